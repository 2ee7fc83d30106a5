"""Answers the Calc add-in: a line of JSON in, a line of JSON out, until the input ends.

A request is [name, arguments, fingerprints]. An argument is a number, a text, null (left out) or rows of a range. The
fingerprints, by name, are those of the function (for EXPLAIN of the one it is asked about, for VERSION of all) when the
add-in was made: where one differs from that of today, no number is given. An answer is rows of numbers, of texts, or of
error values as Calc shows them, "#NUM!".

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
    except HydroError:
        return [["#VALUE!"]]


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
    answers = os.fdopen(os.dup(1), "wb")
    sys.stdin, sys.stdout = open(os.devnull), open(os.devnull, "w")  # noqa: SIM115  (open as long as the process)
    hydrofunc.functions()
    for line in requests:
        try:
            name, arguments, *fingerprints = json.loads(line)
            # An add-in that sends none is older than fingerprints are: it has those of no function of today.
            reply = answer(name, arguments, *fingerprints or [{"": ""}])
        except Exception:  # one call that fails must not take the others with it
            reply = [["#VALUE!"]]
        answers.write(json.dumps(reply).encode() + b"\n")
        answers.flush()


if __name__ == "__main__":
    main()
