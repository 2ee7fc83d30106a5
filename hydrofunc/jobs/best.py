"""The best rows of a table of results while it is calculated, and the rows that meet what is asked of them."""

import re
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from ..engine.operators import HOLDS
from ..errors import FileRefused
from ..workbook.lists import as_number
from ..workbook.results import Cells, joined, picked
from .hints import by_spelling
from .inputs import split_head

TOLD = 3  # rows that a sweep tells
WATTS = ("battery_watts", "plant_watts")  # names of the watts into the battery, the first of them that is there counts


class Best:
    """The `count` rows with most watts of those added so far; none where no column has watts.

    `heads` are those of all columns, `varied` is how many of them, the first ones, hold what was varied.
    """

    def __init__(self, heads: Sequence[str], varied: int, count: int) -> None:
        names = [split_head(head)[0] for head in heads]
        watts = _watts_of(names[varied:])
        self._watts = None if watts is None else names.index(watts, varied)
        self._heads, self._count = heads[:varied], count
        self._rows: list[tuple[float, str]] = []

    def add(self, part: Sequence[Cells]) -> None:
        """Look through some more rows, given by columns."""
        if self._watts is None:
            return
        watts = part[self._watts].numbers
        rows = [*self._rows, *((float(watts[row]), self._told(part, row)) for row in _most(watts, self._count))]
        self._rows = sorted(rows, key=lambda row: -row[0])[: self._count]

    def _told(self, part: Sequence[Cells], row: int) -> str:
        values = ((head, _shown(cells, row)) for head, cells in zip(self._heads, part))
        return ", ".join(f"{head} = {value}" for head, value in values if value)

    def lines(self) -> list[str]:
        """The watts of each, and what was varied in it."""
        return [f"{watts:10.1f} W  {words}".rstrip() for watts, words in self._rows]


class Wanted:
    """Which rows of a table are written: those that meet every condition of `where`, or the `best` of them.

    A condition is a text such as ``checks_stop=0`` or ``running_pressure<6``, of a column of the table and a number in
    its unit, or a word. The best have most of the column `by`; left out, most watts into the battery. With `each` they
    are the best of each so many rows that follow one another. `heads` are those of all columns, `varied` is how many of
    them hold what was varied. Raises `FileRefused` for what is no column or no condition.
    """

    def __init__(
        self,
        heads: Sequence[str],
        varied: int,
        where: Sequence[str] = (),
        best: int | None = None,
        by: str = "",
        each: int | None = None,
    ) -> None:
        self._names = [split_head(head)[0] for head in heads]
        self._where = [self._condition(text) for text in where]
        self._best, self._each, self._kept, self._seen = best, each, None, 0
        if by and not best:
            raise FileRefused("--by says which rows are best; say with --best how many")
        if best:
            name = by or _watts_of(self._names[varied:])
            if name is None:
                raise FileRefused("the results have no watts; say with --by of which column the best rows have most")
            self._by = self._column("--by", name)

    def _column(self, what: str, name: str) -> int:
        if name not in self._names:
            raise FileRefused(f"{what}: the table has no column {name}{by_spelling(name, self._names)}")
        return self._names.index(name)

    def _condition(self, text: str) -> tuple[int, Callable[[Any, Any], Any], float | str]:
        parts = re.fullmatch(r"\s*(.+?)\s*(<=|>=|=|<|>)\s*(.+?)\s*", text)
        if parts is None:
            raise FileRefused(f"--where {text}: write NAME<=NUMBER, with <=, >=, =, < or >, or NAME=WORD")
        name, sign, wanted = parts.groups()
        number = as_number(wanted)
        if number is None and sign != "=":
            raise FileRefused(f"--where {text}: {wanted} is not a number")
        return self._column(f"--where {text}", name), HOLDS[sign], wanted.casefold() if number is None else number

    def meeting(self, part: Sequence[Cells]) -> list[Cells]:
        """The rows of some more of the table that meet all conditions.

        Where the best are sought a last column says which of them they are among.
        """
        count = len(part[0].numbers)
        if self._best is not None:
            rows = np.arange(self._seen, self._seen + count, dtype=float)
            part = [*part, Cells(rows // self._each if self._each else 0 * rows, {})]
        self._seen += count
        if not self._where:
            return list(part)
        fine = np.full(len(part[0].numbers), True)
        for column, compared, wanted in self._where:
            cells = part[column]
            if isinstance(wanted, str):
                fine &= np.array(
                    [cells.words.get(row, "").casefold() == wanted for row in range(len(fine))], dtype=bool
                )
            else:
                fine &= compared(cells.numbers, wanted)  # what is no number meets nothing
        rows = np.flatnonzero(fine).tolist()
        return [picked(cells, rows) for cells in part]

    def now(self, part: Sequence[Cells]) -> list[Cells]:
        """Of rows that meet all conditions, those to be written at once; nothing while better ones may follow."""
        if self._best is None:
            return list(part)
        kept = list(part) if self._kept is None else [joined(pair) for pair in zip(self._kept, part, strict=True)]
        among = kept[-1].numbers
        first = _most(kept[self._by].numbers, self._best, among)
        whole = among[first] < (self._seen // self._each if self._each else 0)  # no more of these will come
        self._kept = [picked(cells, first[~whole].tolist()) for cells in kept]
        return [picked(cells, first[whole].tolist()) for cells in kept[:-1]] if whole.any() else []

    def rest(self) -> list[Cells]:
        """The best rows, the best first; nothing where all that is wanted is written already."""
        return self._kept[:-1] if self._kept and len(self._kept[-1].numbers) else []


def _watts_of(names: Sequence[str]) -> str | None:
    """The name of the watts into the battery among these, None where there is none."""
    return next((name for name in WATTS if name in names), None)


def _most(values: np.ndarray, count: int, among: np.ndarray | None = None) -> np.ndarray:
    """The places of the `count` greatest numbers, the greatest first, equal ones in their order.

    Where `among` differs they are those of each of its values, which rise.
    """
    known = np.flatnonzero(~np.isnan(values))
    if among is None:
        return known[np.argsort(-values[known], kind="stable")[:count]]
    order = known[np.lexsort((-values[known], among[known]))]
    rank = np.arange(len(order)) - np.searchsorted(among[order], among[order])
    return order[rank < count]


def _shown(cells: Cells, row: int) -> str:
    """A cell as text, "" where it is empty."""
    number = cells.numbers[row]
    return cells.words.get(row, "") if np.isnan(number) else f"{number:.6g}"
