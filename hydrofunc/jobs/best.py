"""The best rows of a table of results while it is written: those with most watts into the battery."""

from collections.abc import Sequence

import numpy as np

from ..workbook.results import Cells
from .inputs import split_head

TOLD = 3  # rows that a sweep tells
WATTS = ("battery_watts", "plant_watts")  # names of the watts into the battery, the first of them that is there counts


class Best:
    """The `count` rows with most watts of those added so far; none where no column has watts.

    `heads` are those of all columns, `varied` is how many of them, the first ones, hold what was varied.
    """

    def __init__(self, heads: Sequence[str], varied: int, count: int) -> None:
        names = [split_head(head)[0] for head in heads]
        self._watts = next((names.index(name, varied) for name in WATTS if name in names[varied:]), None)
        self._heads, self._count = heads[:varied], count
        self._rows: list[tuple[float, str]] = []

    def add(self, part: Sequence[Cells]) -> None:
        """Look through some more rows, given by columns."""
        if self._watts is None:
            return
        watts = part[self._watts].numbers
        known = np.flatnonzero(~np.isnan(watts))
        most = known[np.argsort(-watts[known], kind="stable")[: self._count]]
        rows = [*self._rows, *((float(watts[row]), self._told(part, row)) for row in most.tolist())]
        self._rows = sorted(rows, key=lambda row: -row[0])[: self._count]

    def _told(self, part: Sequence[Cells], row: int) -> str:
        values = ((head, _shown(cells, row)) for head, cells in zip(self._heads, part))
        return ", ".join(f"{head} = {value}" for head, value in values if value)

    def lines(self) -> list[str]:
        """The watts of each, and what was varied in it."""
        return [f"{watts:10.1f} W  {words}".rstrip() for watts, words in self._rows]


def _shown(cells: Cells, row: int) -> str:
    """A cell as text, "" where it is empty."""
    number = cells.numbers[row]
    return cells.words.get(row, "") if np.isnan(number) else f"{number:.15g}"
