"""Columns of a list that feed inputs of the template: looked up by their head, converted, checked value by value.

A head names an input and may give the unit of its column: ``static_pressure [psi]``. A list is read as written;
`Column` has it in the unit of our functions, and says what is wrong in the unit of its writer.
"""

import inspect
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from ..engine.book import Book, Formula
from ..engine.compile import compile_book
from ..engine.operators import LONGEST_TEXT
from ..engine.reference import address, place
from ..errors import FileRefused
from ..registry import FUNCTIONS, Rule, in_words
from ..template import INPUTS
from ..template.model import Input
from ..units import AWG, NOT_LINEAR, TEXT, alternatives, convert, find_unit
from ..workbook.lists import Numbers, Problem, Table, Unclear, as_number, day_of, read_table
from .hints import by_meaning, plain_label, suggestion
from .older import OF_VALUE, is_older
from .recalc import SHEET_FUNCTIONS

_BY_NAME = {item.name.casefold(): item for item in INPUTS}
_UNIT_IN_HEAD = re.compile(r"(.*?)\s*[\[(,]\s*(.*?)\s*[\])]?\s*")
_UNIT_OF_CELL = re.compile(r"(.*?)\s*\[\s*(.*?)\s*\]\s*")  # "Pipe (old), left!C7 [m]": a sheet's name may hold anything


# -- heads -----------------------------------------------------------------------------------------------------------


def split_head(head: str) -> tuple[str, str]:
    """(name, unit) of a column head such as ``nozzle [mm]``, ``nozzle (mm)`` or ``nozzle, mm``; the unit may be ""."""
    match = (_UNIT_OF_CELL if "!" in head else _UNIT_IN_HEAD).fullmatch(head)
    return (match[1].strip(), match[2].strip()) if match else (head.strip(), "")


def head_with(name: str, unit: str) -> str:
    """A column's head: the name, with the unit in brackets where there is one."""
    return name if unit in ("", "-", TEXT) else f"{name} [{unit}]"


def find_input(head: str) -> Input | None:
    """The input a column head names, whatever its unit; or None."""
    return _BY_NAME.get("_".join(split_head(head)[0].casefold().split()))


def unit_of(head: str, item: Input, usual: str = "") -> str:
    """The unit of the values below a head that names this input; `usual`, or that of the input, where it gives none.

    Raises `FileRefused`, naming head and units that fit, where it gives one that does not.
    """
    name, written = split_head(head)
    if not written or (item.is_text and written.casefold() == TEXT):
        return usual or item.unit
    unit = find_unit(written)
    if unit not in alternatives(item.unit):
        fitting = "it has no unit" if item.is_text or item.unit == "-" else f"give {_either(alternatives(item.unit))}"
        raise FileRefused(f"the unit [{written}] does not fit {name}: {fitting}")
    return unit


def refuse_units(heads: Iterable[str]) -> None:
    """Raise `FileRefused`, naming every head among them whose unit does not fit its input."""
    complaints = []
    for head in heads:
        if item := find_input(head):
            try:
                unit_of(head, item)
            except FileRefused as refused:
                complaints.append(str(refused))
    if complaints:
        raise FileRefused("\n".join(complaints))


def _either(words: Sequence[str]) -> str:
    return " or ".join(filter(None, [", ".join(words[:-1]), words[-1]]))


def unknown(head: str) -> str:
    """What to say of a head that names no input."""
    return f"the template has no such input; not used{suggestion(split_head(head)[0])}"


def described(name: str | None = None) -> list[dict[str, Any]]:
    """What a person may ask of every input, of one, or of those whose name or label has all words of `name`.

    A plain record for each, in the order of the sheets. Raises `FileRefused` where there is none, with those that may
    be meant.
    """
    if name is None:
        return [_record(item) for item in INPUTS]
    item = find_input(name)
    about = [item] if item else _about(name)  # in the order of the sheets
    if not about:
        raise FileRefused(f"the template has no input {name!r}{suggestion(name)}")
    return [_record(item) for item in about]


def _about(text):
    """Inputs that have every word of a text, or the word of theirs nearest to it in spelling."""
    words_of = {item.name: _words(item.name, item.label) for item in INPUTS}
    known, wanted = set().union(*words_of.values()), _words(text)
    begun = {word: {other for other in known if other.startswith(word)} for word in wanted}
    meant = [begun[word] or set(get_close_matches(word, known, n=1, cutoff=0.8)) for word in wanted]
    called = by_meaning(text)
    return [
        item
        for item in INPUTS
        if item.name in called or (meant and all(words_of[item.name] & words for words in meant))
    ]


def _words(*texts):
    return {word for text in texts for word in re.findall(r"[a-z0-9]{3,}", text.casefold())}


def _record(item):
    """The only reading of a declaration for such lists."""
    assumption = item.assumption
    value = assumption.value if assumption else None
    is_formula = isinstance(value, str) and value.startswith("=")
    return {
        "name": item.name,
        "label": plain_label(item),
        "sheet": item.sheet,
        "cell": item.cell,
        "unit": item.unit,
        "units": list(alternatives(item.unit)) if item.is_line else [item.unit],
        "allowed": item.allowed,
        "needed": item.needed,
        "instead": [name for name in re.findall(r"[a-z_0-9]{3,}", item.unless) if name in _BY_NAME]
        if item.needed
        else [],
        "empty": item.state_when_empty,
        "counts": None if is_formula else value,
        "why": assumption.why if assumption else "",
        "how": item.measure or ("" if assumption and assumption.why == item.note else item.note),
    }


def when_empty(record: Mapping[str, Any]) -> str:
    """In words what becomes of an input that is left empty, from its record."""
    if record["needed"]:
        return "needed" + (f", or else {_either(record['instead'])}" if record["instead"] else "")
    if record["counts"] is None:
        return f"{record['empty']}: worked out" if record["why"] else "may be empty"
    unit = "" if record["unit"] in ("-", "text") else f" {record['unit']}"
    value = record["counts"]
    return f"{record['empty']}: {f'{value:g}' if isinstance(value, (int, float)) else value}{unit}"


# -- values of a column ----------------------------------------------------------------------------------------------


def read_inputs(path: str | Path) -> Table:
    """A list whose heads name inputs: columns of numbers, of days as worksheets number them, or of words."""
    return read_table(path, is_text=lambda head: holds_words(head, find_input(head)), is_date=is_date)


def holds_words(head: str, item: Input | None) -> bool:
    """Whether the column below a head is read as words: those of an unknown input, and wire gauges such as 4/0."""
    return item is None or item.is_text or find_unit(split_head(head)[1]) == AWG


def is_date(head: str) -> bool:
    """Whether the column below a head holds days."""
    item = find_input(head)
    return item is not None and item.is_date


@dataclass(frozen=True)
class Column:
    """A column of a list, for an input: its values in the unit of our functions, and how they were written."""

    item: Input
    unit: str  # as written in the list
    written: Numbers | list
    values: Numbers | list

    def __getitem__(self, index: int) -> object:
        return self.values[index]

    def complaint(self, index: int) -> str | None:
        """What is wrong with a value, in the unit in which it is written; None where nothing is."""
        value = self.values[index]
        if self.unit == AWG and isinstance(value, str):
            return f"{value!r} is no wire gauge; it must be from 40 to 0, 2/0, 3/0 or 4/0"
        reason = None if value is None else complaint(self.item, value)
        if reason and self.unit != self.item.unit and not isinstance(value, str):
            return f"{self.written[index]:g} {self.unit}: {reason} ({self._allowed})"
        return reason

    @property
    def _allowed(self):
        """The range in the unit of the column; gauges have none of their own, as a thicker wire has a lower one."""
        if self.unit == AWG:
            return "cross-section"
        low, high, *closed = self.item.argument.bounds
        low, high = (float(f"{convert(bound, self.item.unit, self.unit):.4g}") for bound in (low, high))
        return in_words((low, high, *closed), self.unit)

    def complaints(self) -> Iterator[tuple[int, str]]:
        """(index, what is wrong) of every value that the input does not allow; blank cells are passed over."""
        if self.item.is_text:
            of_any = self.item.choices or any(len(word or "") > LONGEST_TEXT for word in self.values)
            suspects = range(len(self.values)) if of_any else ()
        else:
            _, codes = self.item.argument.read(self.values.values)
            suspects = {*self.values.odd, *([] if codes is None else np.flatnonzero(codes).tolist())}
            for rule in _own_rules(self.item.argument.name):
                suspects.update(np.flatnonzero(~rule.fine(**{rule.argument: self.values.values})).tolist())
        for index in sorted(suspects):
            if reason := self.complaint(index):
                yield index, reason


def column_of(item: Input, unit: str, written: Numbers | list) -> Column:
    """A column as it was read, with its values in the unit of our functions."""
    if unit == AWG:
        words = [written[index] for index in range(len(written.values))] if isinstance(written, Numbers) else written
        written = gauges(words)
    if unit == item.unit or item.is_text:
        return Column(item, unit, written, written)
    return Column(item, unit, written, Numbers(to_functions_unit(written.values, unit, item), written.odd))


def complaint(item: Input, value: object) -> str | None:
    """What is wrong with a value, in the unit of our functions, for an input; None where nothing is."""
    if isinstance(value, Unclear):
        return value.reason
    if isinstance(value, str) and len(value) > LONGEST_TEXT:
        return f"has {len(value)} characters; a cell holds {LONGEST_TEXT}"
    if item.is_date and isinstance(value, str):
        try:
            day_of(value)
        except ValueError as error:
            return str(error)
    reason = item.check(value)
    if reason is None and isinstance(value, (int, float)):
        broken = (rule for rule in _own_rules(item.argument.name) if not rule.fine(**{rule.argument: value}))
        reason = next((f"{value:g} is not allowed; it must {rule.needs}" for rule in broken), None)
    return reason


@cache
def _own_rules(name: str) -> list[Rule]:
    """The rules of our functions about an argument of this name and no other, such as that it is a whole number."""
    rules = {
        rule.needs: rule
        for function in FUNCTIONS.values()
        for rule in function.rules
        if rule.argument == name and [p.name for p in _named(rule)] == [name]
    }
    return list(rules.values())


def _named(rule):
    parameters = inspect.signature(rule.fine).parameters.values()
    return [parameter for parameter in parameters if parameter.kind is not parameter.VAR_KEYWORD]


def bad_values(table: Table, head: str, column: Column) -> Iterator[Problem]:
    """A problem for every value of a column that its input does not allow."""
    for index, reason in column.complaints():
        yield Problem(int(table.rows[index]), head, reason)


# -- from one unit to another, wire gauges too -----------------------------------------------------------------------


def to_functions_unit(values: np.ndarray, unit: str, item: Input) -> np.ndarray:
    """Numbers in a unit that fits the input, in the unit of our functions."""
    if unit in NOT_LINEAR:
        return FUNCTIONS[NOT_LINEAR[unit]](values)
    return convert(values, unit, item.unit)


def from_functions_unit(values: np.ndarray, unit: str, item: Input) -> np.ndarray:
    """Numbers in the unit of our functions, in a unit that fits the input."""
    if unit not in NOT_LINEAR:
        return convert(values, item.unit, unit)
    # from one gauge to the next the area changes by the same factor
    first, second = (np.log(to_functions_unit(np.array(gauge), unit, item)) for gauge in (0.0, 1.0))
    return (np.log(values) - first) / (second - first)


def converted(values: np.ndarray, item: Input, unit: str, other: str) -> np.ndarray:
    """Values of an input in another unit that fits it; words and blanks among them stay."""
    if unit == other:
        return values
    result = values.astype(object)
    numbers = [index for index, value in enumerate(values) if isinstance(value, (int, float))]
    in_functions_unit = to_functions_unit(np.array([values[index] for index in numbers], dtype=float), unit, item)
    result[numbers] = from_functions_unit(in_functions_unit, other, item)
    return result if len(numbers) < len(values) else result.astype(float)


def gauges(words: Sequence[object]) -> Numbers:
    """Wire gauges as people write them, as numbers: 4/0 and 0000 are -3, as our functions have them."""
    numbers = Numbers(np.full(len(words), np.nan))
    for index, word in enumerate(words):
        if word is None:
            continue
        gauge = _gauge(word)
        if gauge is None:
            numbers.odd[index] = str(word)
        else:
            numbers.values[index] = gauge
    return numbers


@lru_cache(maxsize=1024, typed=True)  # a list has the same few again and again
def _gauge(word):
    """The number of a wire gauge, None where it is none."""
    if match := re.fullmatch(r"([1-4])/0", str(word)):
        gauge = 1.0 - int(match[1])
    elif re.fullmatch(r"0{2,4}", str(word)):
        gauge = 1.0 - len(str(word))
    else:
        gauge = as_number(word)
    lowest, highest, *_ = FUNCTIONS[NOT_LINEAR[AWG]].arguments[0].bounds
    return gauge if gauge is not None and lowest <= gauge <= highest else None


# -- the cell of an input in a workbook ------------------------------------------------------------------------------


def cell_of_input(book: Book, item: Input) -> tuple[str, str]:
    """(sheet, cell) where a person types the input in this workbook. Raises LookupError where there is none.

    In the template of today an input's name is that of what counts, and the cell to type in has `yours_` before it.
    """
    try:
        return book.resolve(f"yours_{item.name}")
    except LookupError:
        if item.name in OF_VALUE and is_older(book.names):
            raise LookupError(f"{item.name} was in another unit then") from None
        return book.resolve(item.name)


def unit_of_cell(book: Book, key: tuple[str, str], item: Input) -> str:
    """The unit in which a workbook's cell holds the input: beside it, where a unit stands there that fits."""
    row, column = place(key[1])
    beside = key[0], address(row, column + 1)
    words = book.cells.get(beside)
    if isinstance(words, Formula):
        words = compile_book(book, SHEET_FUNCTIONS, outputs=[beside]).run().value(beside)
    unit = find_unit(words) if isinstance(words, str) else None
    return unit if unit in alternatives(item.unit) else item.unit
