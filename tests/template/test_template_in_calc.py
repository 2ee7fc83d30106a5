"""The template's ordinary formulas in a real Calc.

This Calc knows none of our functions. So every call of one moves to a cell of its own far to the right, our engine
gives that cell its value, and Calc works out all the rest: lookups, sums, conditions, texts, error values.
"""

import io
import re

import pytest

from hydrofunc import (
    catalogue,  # noqa: F401
    template,
)
from hydrofunc.engine.book import Formula
from hydrofunc.engine.compile import compile_book
from hydrofunc.engine.lanes import ExcelError
from hydrofunc.registry import FUNCTIONS
from hydrofunc.workbook.reading import read_book
from tests import books
from tests.engine import sheet_oracles as oracles

FAR = 60  # first column of the moved calls
OURS = {function.sheet_name: function for function in FUNCTIONS.values()}
CHANGES = {
    "as the template comes": {},
    "source too small, level and V-notch": {
        "static_pressure": None,
        "level_difference": 40.0,
        "bucket_seconds": None,
        "weir_head": 60.0,
    },
    "resistor": {"load": "resistor", "load_resistance": 6.0, "battery_volts": None},
    "no flow given": {"bucket_seconds": None},
    "readings taken": {"reading_static": 5.0, "reading_volts": 26.4, "reading_amps": 9.9, "reading_seconds": 19.0},
}


def outermost(formula):
    """Where the calls of our functions stand that are not inside another: (start, end)."""
    spans = list(calls_in(formula))
    return [(start, end) for start, end in spans if not any(a < start and end < b for a, b in spans)]


def calls_in(formula):
    """Where all calls of our functions stand in a formula: (start, end)."""
    for found in re.finditer(r"HYDRO_[A-Z0-9_]+\(", formula):
        depth, quoted = 0, False
        for end in range(found.end() - 1, len(formula)):
            quoted ^= formula[end] == '"'
            depth += 0 if quoted else {"(": 1, ")": -1}.get(formula[end], 0)
            if depth == 0:
                yield found.start(), end + 1
                break


def with_calls_apart(changes):
    """The template, inputs changed, calls of our functions moved to cells of their own; and those cells."""
    book = books.opened()
    for item in template.INPUTS:
        if item.name in changes:
            book[item.sheet][item.cell].value = changes[item.name]
    moved = []
    for sheet in book:
        for row in list(sheet.iter_rows()):
            column = FAR
            for cell in row:
                if cell.data_type != "f" or "HYDRO_" not in cell.value:
                    continue
                text = cell.value
                for start, end in reversed(outermost(text)):
                    apart = sheet.cell(cell.row, column, "=" + text[start:end])
                    moved.append((sheet.title, apart.coordinate))
                    cell.value = cell.value[:start] + apart.coordinate + cell.value[end:]
                    column += 1
    return book, moved


def as_bytes(book):
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


@pytest.mark.calc
@pytest.mark.parametrize("changes", CHANGES.values(), ids=CHANGES)
def test_calc_agrees_in_every_formula_cell(changes):
    """Numbers to 1e-12, words and error values exactly."""
    compare_with_calc(changes)


@pytest.mark.calc
def test_a_calc_with_decimal_commas_agrees_in_every_formula_cell():
    """Texts too, but for the decimal marks of the numbers in them."""
    compare_with_calc(CHANGES["readings taken"], locale="de-DE")


def compare_with_calc(changes, locale=""):
    book, moved = with_calls_apart(changes)
    data = as_bytes(book)
    assert len(moved) == books.OUTER_CALLS
    ours = compile_book(read_book(data), OURS).run({}, lanes=1)
    for sheet, place in moved:
        value = ours.value((sheet, place))
        cell = book[sheet][place]
        cell.value = str(value) if isinstance(value, ExcelError) else value
        cell.data_type = "e" if isinstance(value, ExcelError) else "n"
    saved = oracles.saved_by_calc(as_bytes(book), locale=locale)
    cells = [key for key, cell in read_book(data).cells.items() if isinstance(cell, Formula) and key not in set(moved)]
    assert len(cells) == books.FORMULAS
    for sheet, place in cells:
        expected, got = ours.value((sheet, place)), oracles.value_of(saved[sheet][place])
        if isinstance(expected, float):
            assert got == pytest.approx(expected, rel=1e-12, abs=1e-12), f"{sheet}!{place}"
        else:
            words = [re.sub(r"(?<=\d),(?=\d)", ".", str(text)) if locale else str(text) for text in (got, expected)]
            assert words[0] == words[1], f"{sheet}!{place}"
