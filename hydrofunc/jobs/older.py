"""Workbooks of an older layout: how they are told from those of today, and what their empty template held.

`older_inputs.csv` has the inputs of the older template by name, each with the value its invented example or default
gave it. `older_cells.csv` has a mark for each content of its cells, so that a person's own cells are seen.
`python -m tests.jobs.older_layout TEMPLATE.xlsx` wrote both, from workbooks/template.xlsx of commit 1a516e5, the last
of that layout; no template before it had other inputs or other values.
"""

import csv
import hashlib
import re
from collections.abc import Collection
from functools import cache
from importlib.resources import files

from ..engine.book import Formula

OLDER = (
    "made by an older hydrofunc: its sheets still calculate; hydrofunc renew OLD.xlsx --out NEW.xlsx takes its "
    "inputs over"
)
OF_TODAY = "plant"  # the name of the block, which no older layout has
OF_OURS = frozenset(("gross_head", "pipe_length", "nozzle", "battery_watts", "checks_stop"))  # of every layout
# Half ranges of the sheet Doubt that were in % of a value, by the name of that value; they are in its unit today.
OF_VALUE = {"doubt_gross_head": "gross_head", "doubt_load_resistance": "load_resistance"}
_NUMBER = re.compile(r"(?<![A-Z_\d.])\d+(?:\.\d*)?(?:E[+-]?\d+)?")  # one that stands in a formula; 1E9 is 1000000000
_ROW = re.compile(r"(?<=[A-Z])\d+\b")


def is_older(names: Collection[str]) -> bool:
    """Whether a workbook with these defined names (in lower case) is ours, and of a layout before today's."""
    return OF_TODAY not in names and OF_OURS.issubset(names)


@cache
def older_inputs() -> dict[str, str]:
    """What the older template held in each of its inputs, by name, as `as_text` writes it."""
    return {row["name"]: row["value"] for row in _rows("older_inputs.csv")}


@cache
def older_cells() -> frozenset[str]:
    """A mark for each content of the older template's cells."""
    return frozenset(row["mark"] for row in _rows("older_cells.csv"))


def as_text(value: object) -> str:
    """What stands in a cell, so that two of them can be compared and a CSV can hold it; "" for an empty one."""
    if value is None:
        return ""
    return f"{value:.15g}" if isinstance(value, float) else str(value).strip()


def mark(sheet: str, column: str, content: object) -> str:
    """A mark of a content in a column of a sheet, whichever its row.

    Eight hexadecimal digits say enough whether it is one of the template's, and keep the file small. Blanks, $,
    the marks round a sheet's name and the zeros of a number count for nothing: spreadsheet programs write them as they
    like.
    """
    if isinstance(content, Formula):
        said = re.sub(r"[\s$']|_XLFN\.|\(\)", "", content.text.upper())
        words = _ROW.sub("#", _NUMBER.sub(lambda number: f"{float(number[0]):.12g}", said))
    else:
        words = " ".join(as_text(content).split())
    return hashlib.sha256(f"{sheet}!{column} {words}".encode()).hexdigest()[:8]


def _rows(name):
    with files(__package__).joinpath(name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))
