"""Scenarios of a workbook: which input cells they override, with what, and which of them are at fault.

Scenarios come from a list, one a row, from values to vary, or from both, each with each. They are numbered
from 0; the list's row changes slowest, the last of the varied inputs fastest. In place of each value with each the
varied inputs may have the points of a Latin hypercube. Any part of the scenarios can be asked for, so that millions are
never held as a whole.
"""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal
from math import prod

import numpy as np

from ..engine.book import Book, Formula
from ..engine.reference import address, place
from ..errors import FileRefused
from ..units import AWG
from ..workbook.lists import Chunks, Marks, Numbers, Problem, Unclear, as_number, day_number, read_chunks
from .hints import by_spelling, suggestion
from .inputs import (
    bad_values,
    cell_of_input,
    column_of,
    converted,
    find_input,
    is_date,
    split_head,
    unit_of,
    unit_of_cell,
)
from .latin import Latin, Span

LABELS = 2  # the column in which the template's sheets have labels
_NO_LIST = Chunks(None, [], Marks(True), 1, [(np.zeros(1, dtype=int), [], [])], 1)


@dataclass(frozen=True, eq=False)
class Target:
    """An input cell of the workbook that scenarios override."""

    header: str
    key: tuple  # (sheet, cell)
    base: object  # what the workbook holds there, in the unit of the head
    item: object  # the template's Input, where it is one
    unit: str = ""  # of the values below the head; that of the cell where the head gives none
    cell_unit: str = ""

    @property
    def is_text(self) -> bool:
        """Whether it holds words, or TRUE and FALSE."""
        return self.item.is_text if self.item else isinstance(self.base, (str, bool))

    @property
    def takes_words(self) -> bool:
        """Whether a word is allowed: always in a text cell, and in an empty one of which nothing is known."""
        return self.is_text or (self.item is None and self.base is None)

    def complaint(self, value: object) -> str | None:
        """What is wrong with a value for a cell that is no input of the template, or None."""
        if isinstance(self.base, bool) and str(value).upper() not in ("TRUE", "FALSE"):
            return f"{value!r} is not allowed; it must be TRUE or FALSE"
        if isinstance(value, str) and not self.takes_words:
            return value.reason if isinstance(value, Unclear) else f"{value!r} is not a number"
        return None

    def cell_value(self, value: object) -> object:
        """A value as the cell holds it."""
        return str(value).upper() == "TRUE" if isinstance(self.base, bool) else value

    def in_cell(self, values: np.ndarray) -> np.ndarray:
        """Values below the head in the unit of the cell; words and blanks stay."""
        return converted(values, self.item, self.unit, self.cell_unit)


class Scenarios:
    """The scenarios of a list at `path`, or None, combined with `vary`, texts such as ``nozzle=4:12:0.5``.

    With `latin` each row of the list has its points in place of each value with each; a text may then be
    ``nozzle=4:12``.

    A long list is kept in a file in `folder` as long as its scenarios are held.

    Raises `FileRefused` where they do not name inputs of the book, or a value to vary is not allowed. Values
    in the list that are not allowed are `problems`; their scenarios are at fault.
    """

    def __init__(self, book, path, vary, yes=False, latin: Latin | None = None, folder="."):
        self._axes = dict(_axis(book, text, latin) for text in vary)
        self._latin = latin
        self._table = read_chunks(path, lambda head: _is_text(book, head), is_date, folder) if path else _NO_LIST
        self._listed = _targets(book, self._table.heads)
        self.targets = [*self._listed, *self._axes]
        _refuse_twice(self.targets)
        if (count := len(self._table) * self.steps) > MOST_SCENARIOS and not yes:  # more than `len` can tell
            instead = f"{'give --latin fewer points' if latin else 'vary fewer values'}, or give sweep --yes"
            raise FileRefused(f"{count:,} scenarios, more than {MOST_SCENARIOS:,}: {instead}")
        self.problems: list[Problem] = []
        self._errors: dict[int, str] = {}  # by row of the list, from 0
        for first, table in zip(range(0, len(self._table), self._table.size), self._table):
            self._judge(first, table)
        self._last: tuple = (None, {})

    def __len__(self):
        return len(self._table) * self.steps

    @property
    def at_fault(self) -> int:
        """How many scenarios are at fault."""
        return len(self._errors) * self.steps

    @property
    def steps(self) -> int:
        """How many scenarios each row of the list has."""
        return self._latin.count if self._latin else prod(map(len, self._axes.values()))

    def part(self, start: int, stop: int) -> tuple[dict[Target, np.ndarray], dict[int, str]]:
        """Scenarios from `start` to before `stop`: the values by target, and the errors by index.

        A scenario at fault has the workbook's own values in place of those of the list.
        """
        rows, values = np.arange(start, min(stop, len(self))), {}
        if self._latin:
            rows, points = np.divmod(rows, self._latin.count)
            for number, (target, axis) in enumerate(self._axes.items()):
                values[target] = self._latin.values(number, axis, points)
        else:
            for target, steps in reversed(self._axes.items()):
                rows, step = np.divmod(rows, len(steps))
                values[target] = steps[step]
        values |= self._of_list(rows)
        errors = {}
        if self._errors:
            errors = {index: self._errors[row] for index, row in enumerate(rows.tolist()) if row in self._errors}
        return values, errors

    def as_listed(self, target: Target, values: np.ndarray, start: int, indices: Collection[int]) -> np.ndarray:
        """A target's `values` in the part from `start`, with what the list holds at these indices."""
        if target in self._axes or not indices:
            return values
        values = values.astype(object)
        for index in indices:
            values[index] = self._table.cell(target.header, (start + index) // self.steps)
        return values

    def _judge(self, first, table):
        """Take up the problems of some rows of the list, which begin at `first`."""
        problems = list(table.problems)
        for target in self._listed:
            if target.item:
                column = column_of(target.item, target.unit, table.columns[target.header])
                problems += bad_values(table, target.header, column)
            else:
                problems += _bad_cells(table, target)
        problems.sort(key=lambda problem: problem.row)
        for problem in problems:
            index = first + int(np.searchsorted(table.rows, problem.row))
            before = f"{self._errors[index]}; " if index in self._errors else ""
            self._errors[index] = before + problem.about()
        self.problems += problems

    def _of_list(self, rows):
        """The values by target of these rows of the list, which rise."""
        if not self._listed:
            return {}
        size, parts = self._table.size, []
        for number in range(rows[0] // size, rows[-1] // size + 1):
            within = slice(*np.searchsorted(rows, (number * size, (number + 1) * size)))
            columns = self._usable(number)
            parts.append([column[rows[within] - number * size] for column in columns])
        return dict(zip(self._listed, map(np.concatenate, zip(*parts))))

    def _usable(self, number):
        """The listed columns of one chunk, with the workbook's own values in rows at fault and blank cells."""
        if self._last[0] != number:
            table, first = self._table.chunk(number), number * self._table.size
            at_fault = [index for index in range(len(table)) if first + index in self._errors] if self._errors else []
            columns = [_usable(target, table.columns[target.header], at_fault) for target in self._listed]
            self._last = number, columns
        return self._last[1]


def _usable(target, column, at_fault):
    """A listed column with the workbook's own value where it is blank or at fault."""
    if target.item:
        column = column_of(target.item, target.unit, column).written
    if target.is_text:
        values = np.array([target.cell_value(cell) for cell in column], dtype=object)
        own = np.array([cell is None for cell in column])
    else:
        values, own = column.values.copy(), column.blank
        if column.odd or not isinstance(target.base, (int, float)):
            values = values.astype(object)
            for index, word in column.odd.items():
                values[index] = word
    own[at_fault] = True
    values[own] = target.base
    return values


def target_of(book: Book, header: str) -> Target:
    """The input cell that a column head stands for: a defined name, or a cell such as ``Pipe!C7``."""
    name, written = split_head(header)
    item = find_input(header)
    try:
        sheet, ref = cell_of_input(book, item) if item else cell_of(book, name, is_input=True)
    except LookupError:
        sheet, ref = cell_of(book, name, is_input=True)
    if item and not _is_template_cell(book, (sheet, ref), item):
        item = None
    base = book.cells.get((sheet, ref))
    if isinstance(base, Formula):
        raise FileRefused(f"{header}: {sheet}!{ref} holds a formula; only an input can be varied")
    if item is None:
        if written:
            raise FileRefused(f"column {header}: the unit cannot be checked")
        return Target(header, (sheet, ref), base, None)
    cell_unit = unit_of_cell(book, (sheet, ref), item)
    unit = unit_of(header, item, usual=cell_unit)
    own = converted(np.array([base], dtype=object), item, cell_unit, unit)[0]
    return Target(header, (sheet, ref), own, item, unit, cell_unit)


def _is_template_cell(book, key, item):
    """Whether a cell of this workbook is the input of that name of a template, of this layout or an older one."""
    if f"yours_{item.name}" in book.names:
        return True
    beside = key[0], address(place(key[1])[0], LABELS)
    return key == (item.sheet, item.cell) or book.cells.get(beside) == item.label


def cell_of(book: Book, name: str, is_input: bool = False) -> tuple[str, str]:
    """(sheet, cell) of a defined name or an address, which must be one cell of the book."""
    try:
        return book.resolve(name)
    except LookupError as error:
        likely = suggestion if is_input else by_spelling
        raise FileRefused(error.args[0] + likely(name, book.names)) from None


def _is_text(book, header):
    try:
        target = target_of(book, header)
        return target.is_text or target.unit == AWG
    except FileRefused:
        return True  # refused with all others once the list is read


def _targets(book, headers):
    """The targets of all column heads; all that are none are refused together."""
    targets, complaints = [], []
    for header in headers:
        try:
            targets.append(target_of(book, header))
        except FileRefused as refused:
            complaints.append(str(refused))
    if complaints:
        raise FileRefused("\n".join(complaints))
    return targets


def _refuse_twice(targets):
    seen = {}
    for target in targets:
        if target.key in seen:
            raise FileRefused(f"{seen[target.key]} and {target.header} are the same cell; vary it once")
        seen[target.key] = target.header


def _bad_cells(table, target):
    column = table.columns[target.header]
    cells = enumerate(column) if target.is_text else column.odd.items()
    return [
        Problem(int(table.rows[index]), target.header, reason)
        for index, cell in cells
        if cell is not None and (reason := target.complaint(cell))
    ]


def _axis(book, text, latin):
    """The target and the values of a text such as ``nozzle=4:12:0.5`` or ``connection=star,delta``.

    For `latin` a text such as ``nozzle=4:12`` gives a `Span`.
    """
    name, equals, listed = text.partition("=")
    if not equals:
        raise FileRefused(f"--vary {text}: write NAME=FIRST:LAST:STEP or NAME=A,B,C")
    target = target_of(book, name.strip())
    if latin and not target.is_text and listed.count(":") == 1:
        return target, _span(text, target, listed.split(":"))
    if not target.is_text and ":" in listed:
        values = _range(text, listed.split(":"))
    else:
        values = [word.strip() for word in listed.split(",")]
        if "" in values:
            raise FileRefused(f"--vary {text}: a value is missing")
        if not target.is_text and target.unit != AWG:
            words, values = values, [_number_or_word(word, target) for word in values]
            _refuse_torn(text, words, values)
    values = _allowed(text, target, values)
    if latin and len(values) > latin.count:
        raise FileRefused(f"--vary {text}: {len(values)} values do not all occur in {latin.count} points of --latin")
    return target, np.array(values, dtype=float if all(type(value) is float for value in values) else object)


def _allowed(text, target, values):
    """The values as the cell holds them, all of them such as it may hold."""
    if target.item:
        column = column_of(
            target.item, target.unit, values if target.is_text or target.unit == AWG else _numbers(values)
        )
        complaints = [reason for _, reason in column.complaints()]
        values = [column.written[index] for index in range(len(values))]
    else:
        complaints = filter(None, map(target.complaint, values))
    for reason in complaints:
        raise FileRefused(f"--vary {text}: {reason}")
    return [target.cell_value(value) for value in values]


def _span(text, target, parts):
    """The numbers between a low and a high one, where the input may have any of them."""
    if target.unit == AWG:
        raise FileRefused(f"--vary {text}: there is no wire between two gauges; give them as 10,8,6")
    if None in (numbers := [as_number(part) for part in parts]):
        raise FileRefused(f"--vary {text}: a range is LOW:HIGH, two numbers, or FIRST:LAST:STEP")
    low, high = numbers
    if not low < high:
        raise FileRefused(f"--vary {text}: the first number must be lower than the second")
    _allowed(text, target, numbers)
    between = low + (high - low) / np.e  # no whole number, nor half of one
    try:
        _allowed(text, target, [between])
    except FileRefused:
        raise FileRefused(f"--vary {text}: not all between these is allowed; give the values as 1,2,3") from None
    return Span(low, high)


def _refuse_torn(text, words, values):
    """Raise `FileRefused` for 13.6,27,2: a list out of order, with points in it, where a comma may be a decimal one."""
    if not any("." in word for word in words) or not all(type(value) is float for value in values):
        return
    if values in (sorted(values), sorted(values, reverse=True)):
        return
    rises = values[1] > values[0]
    at = next(i for i in range(1, len(values)) if (values[i] > values[i - 1]) != rises and values[i] != values[i - 1])
    torn = ",".join(words[at - 1 : at + 1])
    raise FileRefused(f"--vary {text}: is {torn} one number? Write a decimal point, or give the values in order.")


def _number_or_word(word, target):
    number = as_number(word)
    if number is None and target.item and target.item.is_date:
        try:
            return day_number(word)
        except ValueError:
            return word
    return word if number is None else number


def _numbers(values):
    """A column of these numbers and words."""
    odd = {index: value for index, value in enumerate(values) if isinstance(value, str)}
    return Numbers(np.array([np.nan if index in odd else value for index, value in enumerate(values)]), odd)


# Scenarios that one run may have: some hours of work, and a file of some gigabytes.
MOST_SCENARIOS = 10_000_000


def _range(text, parts):
    """Numbers from a first to a last by a step; the last one is among them where the steps meet it."""
    if len(parts) != 3 or None in map(as_number, parts):
        latin = "; LOW:HIGH goes with sweep --latin" if len(parts) == 2 else ""
        raise FileRefused(f"--vary {text}: a range is FIRST:LAST:STEP, three numbers{latin}")
    first, last, step = (Decimal(part.strip()) for part in parts)
    if not step or (last - first) / step < 0:
        raise FileRefused(f"--vary {text}: the step does not lead from the first number to the last")
    nearly = Decimal("1e-9")
    if (last - first) / step > MOST_SCENARIOS:
        raise FileRefused(f"--vary {text}: {(last - first) / step:.3g} values, more than {MOST_SCENARIOS:,}")
    values = [float(first + count * step) for count in range(int((last - first) / step + nearly) + 1)]
    if abs(first + (len(values) - 1) * step - last) <= nearly * abs(step):
        values[-1] = float(last)
    return values
