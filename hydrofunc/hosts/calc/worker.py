"""Answers the Calc add-in: a line of JSON in, a line of JSON out, until the input ends.

A request is [name, arguments]. An argument is a number, a text, null (left out) or rows of a range, where a
blank cell is "". An answer is rows of numbers, of texts, or of error values as Calc shows them, "#NUM!".
"""

import json
import os
import sys

import numpy as np

import hydrofunc
from hydrofunc.errors import HydroError
from hydrofunc.registry import WRONG_KIND


def answer(name, arguments):
    """Rows of values for one call."""
    try:
        if name == "version":
            return [[hydrofunc.__version__]]
        if name == "explain":
            return [[explanation(*arguments)]]
        function = hydrofunc.find(name)
        return _rows(*function.lanes(given(function, arguments)))
    except HydroError:
        return [["#VALUE!"]]


def given(function, arguments):
    """Arguments as `Function.lanes` takes them."""
    return [_given(argument, value) for argument, value in zip(function.arguments, arguments)]


def _given(argument, value):
    if isinstance(value, list):
        cells = np.array([[None if cell == "" else cell for cell in row] for row in value], dtype=object)
        if argument.many:
            cells = cells[np.not_equal(cells, None)]
            return _plain(cells) if cells.size else None
        return _plain(cells)
    if argument.is_text and value == 0.0:
        return None  # Calc hands over a blank cell as 0
    return value


def _plain(cells):
    """An array of numbers where all cells are numbers: those are read fastest."""
    return cells.astype(float) if all(type(cell) is float for cell in cells.flat) else cells


def _rows(values, codes):
    if codes is None:
        return [[float(values)]] if np.ndim(values) == 0 else np.atleast_2d(values).tolist()
    rows = np.atleast_2d(values).astype(object)
    codes = np.atleast_2d(codes)
    rows[codes > 0] = "#NUM!"
    rows[codes == WRONG_KIND] = "#VALUE!"
    return rows.tolist()


def explanation(name=None, *arguments):
    """What is wrong with the call of function `name`, in words; "fine" where nothing is."""
    if not isinstance(name, str) or not name.strip():
        return 'The first argument is the name of a function, such as "FRICTION_HEAD".'
    try:
        function = hydrofunc.find(name.strip())
        if len(arguments) > len(function.arguments):
            return f"{function.sheet_name} takes at most {len(function.arguments)} arguments."
        taken = given(function, arguments)
        taken += [None] * (len(function.arguments) - len(taken))
        return "; ".join(map(str, function.explain(*taken))) or "fine"
    except HydroError as error:
        return str(error)


def main():
    """Serve standard input. Nothing else may write to the pipe, so prints of libraries go to nowhere."""
    requests = os.fdopen(os.dup(0), "rb")
    answers = os.fdopen(os.dup(1), "wb")
    sys.stdin, sys.stdout = open(os.devnull), open(os.devnull, "w")
    hydrofunc.functions()
    for line in requests:
        try:
            reply = answer(*json.loads(line))
        except Exception:  # one call that fails must not take the others with it
            reply = [["#VALUE!"]]
        answers.write(json.dumps(reply).encode() + b"\n")
        answers.flush()


if __name__ == "__main__":
    main()
