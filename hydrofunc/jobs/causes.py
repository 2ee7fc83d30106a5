"""Why cells of a calculated workbook show errors: a line for each cause, not for each consequence.

A cause is a cell with an error that reads no cell with one. Causes that read the same empty input are one. #N/A in a
cell that a chart reads is none where a formula says NA() itself: the chart leaves the point out, as it is meant to.
"""

import re
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from html import unescape
from io import BytesIO

from ..engine.book import Book, Formula
from ..engine.lanes import ExcelError
from ..engine.reference import Reference, address, place, reference, split_sheet
from ..engine.run import Plan

Key = tuple[str, str]  # a cell: (sheet, "B7")

_MOST = 5  # empty cells named for one cause
_SAYS_NA = re.compile(r"\bNA\(\)", re.IGNORECASE)
_CHART_RANGE = re.compile(r"<(?:\w+:)?f>([^<]+)</")


@cache
def _items():
    """The template's inputs by their cells. Loading it takes long, and most workbooks have no cause to tell."""
    from ..template import INPUTS

    return {(item.sheet, item.cell): item for item in INPUTS}


@dataclass(frozen=True)
class Cause:
    """A cell that shows an error of its own, why, and how many cells show an error because of it."""

    cell: str
    label: str
    value: str
    lacks: tuple[str, ...]  # what is wrong for sure, such as "Site!C9 (Latitude) is empty"
    reads: tuple[str, ...]  # where nothing is for sure: what it reads, such as "Pipe!C9 (Class) 'sch 40'"
    others: int

    def __str__(self) -> str:
        where = f"{self.cell} ({self.label})" if self.label else self.cell
        because = f"{'; '.join(self.lacks)}: " if self.lacks else ""
        cells = "1 cell that uses it" if self.others == 1 else f"{self.others} cells that use it"
        so = f", and {cells}" if self.others else ""
        reads = f"; it reads {', '.join(self.reads)}" if self.reads else ""
        return f"{because}{where} shows {self.value}{so}{reads}"


class Causes:
    """The causes of errors in one workbook, whichever values it is calculated for."""

    def __init__(self, book: Book, plan: Plan) -> None:
        self._book = book
        self._plan = plan

    # Most workbooks show no error: what tells causes is worked out at the first one.
    @cached_property
    def _order(self) -> list[Key]:
        return self._plan.in_order

    @cached_property
    def _charted(self) -> set[Key]:
        return _charted(self._book)

    @cached_property
    def _names(self) -> dict[Key, str]:
        return {
            (target.sheet, address(target.top, target.left)): name
            for name, target in self._book.names.items()
            if isinstance(target, Reference) and target.single
        }

    def of(self, values: Mapping[Key, object], inputs: Mapping[Key, object] | None = None) -> list[Cause]:
        """The causes among the `values` of all formula cells; `inputs` are other values of cells than the book has."""
        errors = {key for key, value in values.items() if isinstance(value, ExcelError)}
        if not errors:
            return []
        cells = {**self._book.cells, **(inputs or {}), **values}
        meant: set[Key] = set()
        users: dict[Key, list[Key]] = {}
        groups: dict[tuple[Key, ...], list[Key]] = {}  # cells with an error of their own, by what they lack
        for key in filter(errors.__contains__, self._order):
            wrong = [other for other in self._plan.precedents_of(key) if other in errors]
            for other in wrong:
                users.setdefault(other, []).append(key)
            if self._is_meant(key, cells, wrong, meant):
                meant.add(key)
            elif meant.issuperset(wrong):
                groups.setdefault((*self._lacks(key, cells), *wrong) or (key,), []).append(key)
        return [self._cause(lacks, keys, cells, users, meant) for lacks, keys in _merged(groups, self._order)]

    def meant(self, values: Mapping[Key, object]) -> set[Key]:
        """The cells among the `values` of all formula cells that show #N/A for a chart: it leaves the point out."""
        errors = {key for key, value in values.items() if isinstance(value, ExcelError)}
        meant: set[Key] = set()
        for key in self._order if errors else ():
            wrong = [other for other in self._plan.precedents_of(key) if other in errors]
            if key in errors and self._is_meant(key, values, wrong, meant):
                meant.add(key)
        return meant

    def _is_meant(self, key, cells, wrong, meant):
        """Whether a cell's #N/A is there for a chart, by its own NA() or by that of a cell it reads."""
        if cells[key].text != "#N/A" or key not in self._charted:
            return False
        return bool(_SAYS_NA.search(self._book.cells[key].text)) or (bool(wrong) and meant.issuperset(wrong))

    def _cause(self, lacks, keys, cells, users, meant):
        first, reached, todo = keys[0], set(keys), list(keys)
        while todo:
            for user in users.get(todo.pop(), ()):
                if user not in reached and user not in meant:
                    reached.add(user)
                    todo.append(user)
        sure = [key for key in lacks if key not in keys and (_is_needed(key) or cells.get(key) not in (None, ""))]
        told = [f"{self._where(key, cells)} {_trouble(cells.get(key))}" for key in sure]
        read = []
        if not sure:
            plain = [
                key for key in self._plan.precedents_of(first) if not isinstance(self._book.cells.get(key), Formula)
            ]
            plain.sort(key=lambda key: isinstance(cells.get(key), (int, float)))  # empty cells and words first
            unsure = [key for key in lacks if key not in keys]
            read = [f"{self._where(key, cells)} {_shown(cells.get(key))}" for key in dict.fromkeys([*unsure, *plain])]
        label = self._label(first, cells)
        return Cause("!".join(first), label, str(cells[first]), _shortened(told), _shortened(read), len(reached) - 1)

    def _lacks(self, key, cells):
        """The input cells a cell reads, also through cells left blank, that are empty or hold a word for a number.

        A plain reference to an empty cell gives 0, which may be a good number: behind it is looked only where nothing
        else that must not be empty is.
        """
        empty, odd = self._missing(key, cells, through_zeros=False)
        needed = [other for other in empty if _is_needed(other)]
        if not needed and not odd:
            needed = [other for other in self._missing(key, cells, through_zeros=True)[0] if _is_needed(other)]
        known = [other for other in empty if other in _items()]
        return [*(needed or known or empty), *odd]

    def _missing(self, key, cells, through_zeros):
        empty, odd, seen, todo = [], [], set(), list(self._plan.precedents_of(key))
        while todo:
            other = todo.pop(0)
            if other in seen:
                continue
            seen.add(other)
            value, item = cells.get(other), _items().get(other)
            if isinstance(self._book.cells.get(other), Formula):
                if value == "" or (through_zeros and value == 0):  # what does that cell lack?
                    todo += self._plan.precedents_of(other)
            elif value is None or value == "":
                empty.append(other)
            elif isinstance(value, str) and item is not None and not item.is_text:
                odd.append(other)
        return empty, odd

    def _where(self, key, cells):
        label = self._label(key, cells)
        return f"{key[0]}!{key[1]} ({label})" if label else f"{key[0]}!{key[1]}"

    def _label(self, key, cells):
        """The words beside a cell, in column B or A of its row; else its name."""
        row, column = place(key[1])
        for other in (2, 1):
            words = cells.get((key[0], address(row, other)))
            if other < column and isinstance(words, str) and len(words.strip()) > 1:  # a sign is a mark, no label
                return words.strip()
        return self._names.get(key, "")


def _trouble(value):
    if isinstance(value, ExcelError):
        return f"shows {value} for a chart"
    return "is empty" if value in (None, "") else f"holds {value!r}, which is no number"


def _shown(value):
    if value in (None, ""):
        return "(empty)"
    return f"{value:g}" if isinstance(value, (int, float)) and not isinstance(value, bool) else repr(value)


def _shortened(told):
    return tuple(told) if len(told) <= _MOST else (*told[:_MOST], f"and {len(told) - _MOST} more")


def _is_needed(key):
    """Whether it is an input that nothing replaces."""
    return key in _items() and _items()[key].needed and not _items()[key].unless


def _merged(groups, order):
    """The groups without those whose lack is named by another: (what they lack, cells with an error of their own).

    What may be empty is named only where nothing else explains an error: it is one of many such cells.
    """
    merged: dict[tuple[Key, ...], list[Key]] = {}
    for lacks, keys in sorted(groups.items(), key=lambda group: len(group[0])):
        named = {lack: other for other in merged for lack in other}
        explained = [lack for lack in lacks if lack in named]
        if explained and (len(explained) == len(lacks) or not any(map(_is_needed, lacks))):
            merged[named[explained[0]]] += keys
        else:
            merged[lacks] = list(keys)
    rank = {key: number for number, key in enumerate(order)}
    for keys in merged.values():
        keys.sort(key=rank.__getitem__)
    return sorted(merged.items(), key=lambda group: rank[group[1][0]])


def _charted(book):
    """Every cell whose value a chart of the workbook draws."""
    cells: set[Key] = set()
    with zipfile.ZipFile(BytesIO(book.data)) as parts:
        for name in parts.namelist():
            if name.startswith("xl/charts/") and name.endswith(".xml"):
                for text in _CHART_RANGE.findall(parts.read(name).decode("utf-8", "replace")):
                    sheet, area = split_sheet(unescape(text))
                    cells.update(_cells_of(reference(area, sheet) if sheet else None))
    return cells


def _cells_of(area):
    if area is None or area.open_ended:
        return
    for row in range(area.top, area.bottom + 1):
        for column in range(area.left, area.right + 1):
            yield area.sheet, address(row, column)
