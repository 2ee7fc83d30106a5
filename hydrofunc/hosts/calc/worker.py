"""Answers the Calc add-in: a line of JSON in, a line of JSON out, until the input ends.

A request is [name, arguments, fingerprints]. An argument is a number, a text, null (left out) or rows of a range. The
fingerprints, by name, are those of the function (for EXPLAIN of the one it is asked about, for VERSION of all) when the
add-in was made: where one differs from that of today, no number is given. An answer is rows of numbers, of texts, or of
error values as Calc shows them, "#NUM!".

A request for many calls is {"calls": [[name, arguments], ...], "ranges": [rows, ...], "fingerprints": {...}}, where an
argument that is a range is [its place in ranges]. Its answer is those of the calls, each equal to the bit to that of
the call by itself.

Calc tells blank cells from others less well than the headless engine: inside a range a blank cell and one
whose formula gives "" are both "" and count as blank; a single blank cell is 0, which for a word counts as
blank too (for numbers see `component.Blanks`); TRUE is 1. An error value never arrives, Calc passes it on itself.
"""

import gc
import json
import os
import sys
from contextlib import suppress
from typing import Any

import numpy as np

import hydrofunc
import hydrofunc.catalogue  # fills the registry
from hydrofunc.errors import HydroError
from hydrofunc.registry import FUNCTIONS, Cells, explain_cells, from_cells, range_cells, resolved, with_error_texts

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
    calls: list[list[Any]], ranges: list[list[list[Any]]], fingerprints: dict[str, str]
) -> list[list[list[float | str]]]:
    """The answers of many calls, each [name, arguments]; an argument that is a range is [its place in `ranges`]."""
    by_name: dict[str, list[int]] = {}
    for i, (name, _) in enumerate(calls):
        by_name.setdefault(name, []).append(i)
    result: list[Any] = [None] * len(calls)
    for name, numbers in by_name.items():
        own = {name: fingerprints[name]} if name in fingerprints else {}
        for i, rows in zip(numbers, answers_of(name, [calls[i][1] for i in numbers], ranges, own), strict=True):
            result[i] = rows
    return result


def answers_of(
    name: str, calls: list[list[Any]], ranges: list[list[list[Any]]], fingerprints: dict[str, str]
) -> list[list[list[float | str]]]:
    """The answers of many calls of one function. Those that differ in numbers only are lanes of one call."""
    result: list[Any] = [None] * len(calls)
    if len(calls) > 1 and _are_own(fingerprints):
        _Lanes(hydrofunc.find(name), calls, ranges).fill(result)
    for i, arguments in enumerate(calls):
        if result[i] is None:
            plain = [ranges[item[0]] if isinstance(item, list) else item for item in arguments]
            result[i] = answer(name, plain, fingerprints)
    return result


class _Lanes:
    """Calls of one function, answered as lanes of as few calls as can be."""

    def __init__(self, function, calls, ranges):
        self.function, self.calls, self.ranges = function, calls, ranges
        self.read: dict[Any, Any] = {}  # (place of an argument, place in `ranges`): its form and its `Cells`
        self.forms: dict[Any, int] = {}
        self.arrays: dict[Any, Any] = {}

    def fill(self, result: list[Any]) -> None:
        """Put the answers of those that can be lanes into `result`; what raises is left out, and tells it by itself."""
        groups: dict[Any, list[int]] = {}
        for i, arguments in enumerate(self.calls):
            groups.setdefault(self._form(arguments), []).append(i)
        several = [numbers for form, numbers in groups.items() if form is not None]
        for function, arguments, numbers in self._joined(several):
            with suppress(Exception):
                texts = with_error_texts(*from_cells(function, arguments))
                for i, value in zip(numbers, np.broadcast_to(texts, (len(numbers),)).tolist(), strict=True):
                    result[i] = [[value]]

    def _form(self, arguments):
        """What calls must have in common to be lanes of one call: words, blanks and sizes; None where they cannot be.

        Of a function whose lanes are solved together all but `which`, which picks from one solution.
        """
        if len(arguments) > len(self.function.arguments):
            return None
        form = []
        for place, (argument, item) in enumerate(zip(self.function.arguments, arguments)):
            if self.function.one_by_one and argument.part != "which":
                form.append(repr(item))
            elif isinstance(item, list):
                kinds = self._range(place, item[0])[0]
                if kinds is None:
                    return None
                form.append(kinds)
            else:
                form.append(_kind(argument, item))
        return tuple(form)

    def _range(self, place, number):
        """The form of a range as an argument, None where its answer is a range; and its `Cells`."""
        if (place, number) not in self.read:
            argument, rows = self.function.arguments[place], self.ranges[number]
            kinds = tuple(_kind(argument, cell) for row in rows for cell in row)
            form = self.forms.setdefault(kinds, len(self.forms)) if argument.many or len(kinds) == 1 else None
            self.read[place, number] = form, _cell(argument, rows)
        return self.read[place, number]

    def _joined(self, groups):
        """(function, the `Cells` of its arguments, numbers of calls): those of a plant that ask the same are joined."""
        joined: dict[Any, list[Any]] = {}
        for numbers in groups:
            arguments = self._together(numbers)
            if self.function.resolve is None:
                yield self.function, arguments, numbers
                continue
            try:
                inner, cells = resolved(self.function, arguments)
            except ValueError:  # what they have in common is not allowed
                yield self.function, arguments, numbers
                continue
            alike = tuple(numbers if self.function.one_by_one else map(_kind_of_lanes, cells))
            joined.setdefault((id(inner), alike), []).append((inner, cells, numbers))
        for parts in joined.values():
            inner, cells, numbers = parts[0]
            if len(parts) > 1:
                sizes = [len(numbers) for _, _, numbers in parts]
                cells = [self._end_to_end(column, sizes) for column in zip(*(c for _, c, _ in parts), strict=True)]
                numbers = [i for _, _, numbers in parts for i in numbers]
            yield inner, cells, numbers

    def _together(self, numbers):
        """The arguments of many calls as those of one, what differs as an array."""
        arguments = []
        for place, items in enumerate(zip(*(self.calls[i] for i in numbers), strict=True)):
            if isinstance(items[0], list):
                several = [self._range(place, item[0])[1] for item in items]
            else:
                several = [_cell(self.function.arguments[place], item) for item in items]
            if isinstance(several[0].values, list) and any(cells is not several[0] for cells in several):
                lanes = zip(*(cells.values for cells in several), strict=True)
                arguments.append(Cells([self._lanes(values) for values in lanes]))
            else:
                arguments.append(several[0] if len(several) == 1 else Cells(self._lanes([c.values for c in several])))
        return arguments

    def _end_to_end(self, column, sizes):
        """The lanes of an argument of several calls, one call's after the other's."""
        values = [
            item.values.tolist() if isinstance(item.values, np.ndarray) else [item.values] * size
            for item, size in zip(column, sizes, strict=True)
        ]
        return Cells(self._lanes([value for part in values for value in part]))

    def _lanes(self, values):
        """As an array; one alone where it is the same in all. Equal arrays are the same one, so read once."""
        first = values[0]
        if all(value is first for value in values):
            return first
        if all(type(value) is float for value in values):
            lanes = np.array(values)
            key: Any = lanes.tobytes()  # -0.0 is another number than 0.0
            if key == key[:8] * len(values):
                return first
        else:
            lanes, key = np.array(values, dtype=object), tuple(map(repr, values))
            if len(set(key)) == 1:
                return first
        if key not in self.arrays:
            lanes.flags.writeable = False
            self.arrays[key] = lanes
        return self.arrays[key]


def _kind(argument, cell):
    """What a cell of an argument has in common with those that may be lanes beside it."""
    if isinstance(cell, str):
        return "a word" if argument.part in ("values", "which") and cell.strip() else repr(cell)
    return type(cell)


def _kind_of_lanes(cells):
    """The same for one input of a plant; of a list and of an error value it is its own, shared with none."""
    values = cells.values
    if isinstance(values, list) or cells.errors is not None:
        return id(cells)
    if isinstance(values, np.ndarray):
        return float if values.dtype == float else str
    return type(values)


def _are_own(fingerprints):
    """Do the functions with these names have these fingerprints?"""
    return all(name in FUNCTIONS and FUNCTIONS[name].fingerprint == own for name, own in fingerprints.items())


def _cells(function, arguments):
    """The arguments as `Cells`; those too many are of no kind, and only counted."""
    cells = [_cell(argument, item) for argument, item in zip(function.arguments, arguments)]
    return cells + [Cells()] * (len(arguments) - len(cells))


def _cell(argument, item):
    """One argument as `Cells`."""
    # Left out and blank are the same but where values of a plant are changed: a blank one changes nothing.
    return Cells() if item is None and argument.part else range_cells(argument, _rows(argument, item))


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
    gc.freeze()  # what is loaded stays, and need not be looked through for garbage again and again
    for line in requests:
        try:
            request = json.loads(line)
            if isinstance(request, dict):
                reply: Any = answers(**request)
            else:
                name, arguments, *more = request
                # An add-in that sends no fingerprints is older than they are: it has those of no function of today.
                reply = answer(name, arguments, *more or [{"": ""}])
        except Exception:  # no request at all
            reply = [["#VALUE!"]]
        replies.write(json.dumps(reply).encode() + b"\n")
        replies.flush()


if __name__ == "__main__":
    main()
