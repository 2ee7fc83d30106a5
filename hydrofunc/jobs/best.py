"""The best rows of a table of results, such as `sweep` writes: those with most watts into the battery."""

import csv
from collections.abc import Iterator
from contextlib import contextmanager
from heapq import nlargest
from pathlib import Path

from ..template import INPUTS
from .inputs import split_head

WATTS = ("battery_watts", "plant_watts")  # names of the watts into the battery, the first of them that is there counts
_NAMES = frozenset(item.name for item in INPUTS)


def best_rows(path: str | Path, count: int) -> list[str]:
    """Lines that tell the `count` rows with most watts, and what was varied in them; none where no column has watts.

    A Parquet table is for programs, and is not looked through.
    """
    with _rows(Path(path)) as (heads, rows):
        names = [split_head(head)[0] for head in heads]
        watts = next((names.index(name) for name in WATTS if name in names), None)
        if watts is None:
            return []
        varied = [i for i, name in enumerate(names) if i < watts and (name in _NAMES or "!" in name)]
        known = ((number, row) for row in rows if (number := _number(row[watts])) is not None)
        best = nlargest(count, known, key=lambda pair: pair[0])
    told = (", ".join(f"{heads[i]} = {row[i]}" for i in varied if row[i] not in (None, "")) for _, row in best)
    return [f"{number:10.1f} W  {words}".rstrip() for (number, _), words in zip(best, told)]


def _number(cell: object) -> float | None:
    """The number of a cell, or None where it is empty or shows an error."""
    try:
        return float(str(cell))
    except ValueError:
        return None


@contextmanager
def _rows(path: Path) -> Iterator[tuple[list[str], Iterator[tuple[object, ...]]]]:
    """The heads of a table of results, and its rows one after the other."""
    if path.suffix.lower() == ".csv":
        with path.open(encoding="utf-8-sig", newline="") as file:
            lines = csv.reader(file)
            yield next(lines), map(tuple, lines)
    elif path.suffix.lower() == ".xlsx":
        from openpyxl import load_workbook

        book = load_workbook(path, read_only=True)
        cells = book.worksheets[0].iter_rows(values_only=True)
        yield [str(head) for head in next(cells)], cells
        book.close()
    else:
        yield [], iter(())
