"""Writes what hydrofunc/jobs/older.py knows of the older layout, from its empty template.

    git show 1a516e5:workbooks/template.xlsx > older.xlsx
    python -m tests.jobs.older_layout older.xlsx

An input of that template is a cell that is not locked and has a name of its own.
"""

import csv
import re
import sys
from pathlib import Path

import openpyxl

from hydrofunc.engine.reference import Reference, address
from hydrofunc.jobs import older
from hydrofunc.workbook.reading import read_book

FOLDER = Path(older.__file__).parent


def inputs_of(path):
    """{name: value} of the inputs of a workbook of the older layout."""
    book, stored = read_book(path), openpyxl.load_workbook(path)
    spelt = {name.lower(): name for name in stored.defined_names}
    inputs = {}
    for name, target in book.names.items():
        if isinstance(target, Reference) and target.single:
            cell = address(target.top, target.left)
            if not stored[target.sheet][cell].protection.locked:
                inputs[spelt[name]] = book.cells.get((target.sheet, cell))
    return inputs


def marks_of(path):
    """The marks of all contents of a workbook."""
    cells = read_book(path).cells
    return {older.mark(sheet, re.sub(r"\d", "", cell), content) for (sheet, cell), content in cells.items()}


def write(path):
    for name, heads, rows in (
        ("older_inputs.csv", ("name", "value"), [(n, older.as_text(v)) for n, v in sorted(inputs_of(path).items())]),
        ("older_cells.csv", ("mark",), [(m,) for m in sorted(marks_of(path))]),
    ):
        with open(FOLDER / name, "w", encoding="utf-8", newline="") as stream:
            writer = csv.writer(stream, lineterminator="\n")
            writer.writerow(heads)
            writer.writerows(rows)


if __name__ == "__main__":
    write(sys.argv[1])
