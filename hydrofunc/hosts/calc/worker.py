"""Answers the Calc add-in: a line of JSON in, a line of JSON out, until the input ends.

A request is [name, arguments, fingerprints]. An argument is a number, a text, null (left out) or rows of a range. The
fingerprints, by name, are those of the function (for EXPLAIN of the one it is asked about, for VERSION of all) when the
add-in was made: where one differs from that of today, no number is given. An answer is rows of numbers, of texts, or of
error values as Calc shows them, "#NUM!".

A request for many calls of one function is [name, columns, fingerprints, calls]: a column is the argument's value in
each call, or one alone that is the same in all. Its answer is those of the calls, each equal to the bit to that of the
call by itself.

Calc tells blank cells from others less well than the headless engine: inside a range a blank cell and one
whose formula gives "" are both "" and count as blank; a single blank cell is 0, which for a word counts as
blank too (for numbers see `component.Blanks`); TRUE is 1. An error value never arrives, Calc passes it on itself.
"""

import json
import os
import sys
from typing import Any

import numpy as np

import hydrofunc
from hydrofunc.errors import HydroError
from hydrofunc.registry import Cells, explain_cells, from_cells, range_cells, with_error_texts

OTHER = (
    "The add-in was made by another hydrofunc, whose functions differ: run hydrofunc calc-addin install, "
    "and start Calc anew."
)


def answer(name: str, arguments: list[Any], fingerprints: dict[str, str] | None = None) -> list[list[float | str]]:
    """Rows of values for one call."""
    try:
        if not _are_own(fingerprints or {}):
            return [[OTHER if name in ("version", "explain") else "#N/A"]]
        if name == "version":
            return [[hydrofunc.__version__]]
        if name == "explain":
            return [[explanation(*arguments)]]
        function = hydrofunc.find(name)
        result = with_error_texts(*from_cells(function, _cells(function, arguments)))
        return np.atleast_2d(result).tolist()
    except Exception:  # one call that fails must not take the others with it
        return [["#VALUE!"]]


def answers(
    name: str, columns: list[list[Any]], fingerprints: dict[str, str] | None, calls: int
) -> list[list[list[float | str]]]:
    """The answers of many calls of one function. Those that differ in numbers only are lanes of one call."""
    one_by_one = [[column[i if len(column) > 1 else 0] for column in columns] for i in range(calls)]
    groups: dict[Any, list[int]] = {}
    if _are_own(fingerprints or {}):
        function = hydrofunc.find(name)
        fixed = [len(column) == 1 for column in columns]
        for i, arguments in enumerate(one_by_one):
            groups.setdefault(_form(function, arguments, fixed), []).append(i)
    result: list[Any] = [None] * calls
    arrays: dict[Any, Any] = {}
    for form, group in groups.items():
        if form is not None and len(group) > 1:
            cells = [_cells(function, one_by_one[i]) for i in group]
            together = [_together(arrays, column) for column in zip(*cells, strict=True)]
            try:
                values, codes = from_cells(function, together)
                texts = with_error_texts(values, codes)
                for i, value in zip(group, np.broadcast_to(texts, (len(group),)).tolist(), strict=True):
                    result[i] = [[value]]
            except Exception:  # whatever it is, each call by itself tells it
                continue
    return [
        answer(name, arguments, fingerprints) if found is None else found
        for found, arguments in zip(result, one_by_one, strict=True)
    ]


def _form(function, arguments, fixed):
    """What calls must have in common to be lanes of one call: words, blanks and sizes; None where they cannot be."""
    if len(arguments) > len(function.arguments) or function.one_by_one:
        return None
    form = []
    for argument, item, same in zip(function.arguments, arguments, fixed):
        cells = [cell for row in item for cell in row] if isinstance(item, list) else [item]
        if len(cells) > 1 and not argument.many:
            return None  # its answer is a range
        if not same:
            words = "word" if argument.part == "values" else None  # a changed word may be another in each lane
            form.append((isinstance(item, list), [_kind(cell, words) for cell in cells]))
    return repr(form)


def _kind(cell, words):
    if isinstance(cell, str):
        return words if words and cell.strip() else [cell]
    return type(cell).__name__


def _together(arrays, cells):
    """One argument of many calls as one, what differs as an array. Equal arrays are the same one, so read once."""
    values = [item.values for item in cells]
    if isinstance(values[0], list):
        return Cells([_lanes(arrays, lanes) for lanes in zip(*values, strict=True)])
    return Cells(_lanes(arrays, values))


def _lanes(arrays, values):
    key = tuple(map(repr, values))  # -0.0 is another number than 0.0
    if len(set(key)) == 1:
        return values[0]
    if key not in arrays:
        lanes = np.array(values, dtype=float if all(type(value) is float for value in values) else object)
        lanes.flags.writeable = False
        arrays[key] = lanes
    return arrays[key]


def _are_own(fingerprints):
    """Do the functions with these names have these fingerprints?"""
    functions = hydrofunc.functions()
    return all(name in functions and functions[name].fingerprint == own for name, own in fingerprints.items())


def _cells(function, arguments):
    """The arguments as `Cells`; those too many are of no kind, and only counted."""
    # Left out and blank are the same but where values of a plant are changed: a blank one changes nothing.
    cells = [
        Cells() if item is None and argument.part else range_cells(argument, _rows(argument, item))
        for argument, item in zip(function.arguments, arguments)
    ]
    return cells + [Cells()] * (len(arguments) - len(cells))


def _rows(argument, item):
    """An argument as rows of cells, None for blank as far as Calc lets us see."""
    if isinstance(item, list):
        return [[None if cell == "" else cell for cell in row] for row in item]
    return [[None if argument.is_text and item == 0.0 else item]]


def explanation(name: object = None, *arguments: Any) -> str:
    """What is wrong with the call of function `name`, in words; "fine" where nothing is."""
    if not isinstance(name, str) or not name.strip():
        return 'The first argument is the name of a function, such as "FRICTION_HEAD".'
    try:
        function = hydrofunc.find(name.strip())
        return explain_cells(function, _cells(function, arguments))
    except HydroError as error:
        return str(error)


def main() -> None:
    """Serve standard input. Nothing else may write to the pipe, so prints of libraries go to nowhere."""
    requests = os.fdopen(os.dup(0), "rb")
    replies = os.fdopen(os.dup(1), "wb")
    sys.stdin, sys.stdout = open(os.devnull), open(os.devnull, "w")  # noqa: SIM115  (open as long as the process)
    hydrofunc.functions()
    for line in requests:
        try:
            name, arguments, *more = json.loads(line)
            # An add-in that sends no fingerprints is older than they are: it has those of no function of today.
            reply = answers(name, arguments, *more) if len(more) > 1 else answer(name, arguments, *more or [{"": ""}])
        except Exception:  # no request at all
            reply = [["#VALUE!"]]
        replies.write(json.dumps(reply).encode() + b"\n")
        replies.flush()


if __name__ == "__main__":
    main()
