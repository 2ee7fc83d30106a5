"""Rows put into the table of Route, whichever way a person fills them: every point says what it says in a table without.

openpyxl puts rows in without looking at formulas, so `put_in` moves their references as spreadsheet programs do: a row
number at or below the new rows grows, in ranges each end by itself, `$` or not (OpenDocument 1.2 part 2, section 5.8, says
what a reference is; that inserted rows move it is the common behaviour of Excel and Calc, from memory). That a real Calc
does the same with one way of filling is tested in tests/hosts/calc/test_calc_books.py.
"""

import io
import re

import pytest
from openpyxl.formula.translate import Translator
from openpyxl.utils import get_column_letter

from hydrofunc.engine.compile import compile_book
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS
from hydrofunc.template.model import Table
from hydrofunc.template.pages import PLACED
from hydrofunc.workbook.reading import read_book
from tests import books

TABLES = {
    (sheet, key): next(item for _, item in PLACED[sheet] if isinstance(item, Table) and item.key == key)
    for sheet, key in (("Route", "route"), ("Route", "route_lines"), ("Strength", "strength"))
}
COLUMNS = {"route": (5, 35), "route_lines": (3, 16), "strength": (3, 18)}  # E to AI, C to P, C to R, as the sheet says
CHECKS = next(item for _, item in PLACED["Checks"] if isinstance(item, Table) and item.key == "checks")
LEFT_OUT = "Route rows without a row in each of its tables"
# Humps and dips, a level stretch, an empty row, and a row that cannot be used; chainage and level.
POINTS = [
    *((0.0, 562.0), (20.0, 555.0), (40.0, 557.0), (60.0, 550.0), (80.0, 552.0), (100.0, 552.0), (120.0, 545.0)),
    *((None, None), (140.0, 547.0), (150.0, None), (160.0, 540.0), (180.0, 543.0), (200.0, 535.0), (220.0, 538.0)),
    *((240.0, 530.0), (260.0, 533.0), (280.0, 525.0), (420.0, 500.0)),
]
_REFERENCE = re.compile(r"((?:'[^']+'|[A-Za-z_]+)!)?(?<![A-Za-z0-9_.])(\$?[A-Z]{1,3})(\$?)([0-9]+)(?![A-Za-z0-9_(.])")


def moved(formula, own, sheet, at, count):
    """A formula that stands on the sheet `own`, after rows were put in on `sheet`."""
    named = own  # an end of a range has the sheet of its beginning

    def shift(match):
        nonlocal named
        before = formula[: match.start()]
        named = match[1].strip("!'") if match[1] else named if before.endswith(":") else own
        number = int(match[4])
        return f"{match[1] or ''}{match[2]}{match[3]}{number + count if named == sheet and number >= at else number}"

    words = re.split(r'("[^"]*")', formula)
    return "".join(part if i % 2 else _REFERENCE.sub(shift, part) for i, part in enumerate(words))


def put_in(book, sheet, at, count):
    """Rows put in above row `at` of a sheet."""
    page = book[sheet]
    page.merged_cells.ranges.clear()
    page.insert_rows(at, count)
    for other in book.worksheets:
        for row in other.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    cell.value = moved(cell.value, other.title, sheet, at, count)
    for name in book.defined_names.values():
        name.attr_text = moved(name.attr_text, "", sheet, at, count)


def copied(page, columns, source, rows):
    """Formulas of the source row copied into the rows."""
    for column in range(columns[0], columns[1] + 1):
        letter = get_column_letter(column)
        formula = page[f"{letter}{source}"].value
        for row in rows:
            if row != source:
                translated = Translator(formula, f"{letter}{source}").translate_formula(f"{letter}{row}")
                page[f"{letter}{row}"].value = translated


def calculated(book):
    stream = io.BytesIO()
    book.save(stream)
    read = read_book(stream.getvalue())
    return read, compile_book(read, SHEET_FUNCTIONS).run()


def told(result, first, count):
    """What stands in words beside the points, pressures too, in the order of the rows."""
    return [
        [result.value(("Route", f"{letter}{row}")) for letter in "EFGIKLMN"] for row in range(first, first + count)
    ]


def typed(book, count):
    """The points in the first rows of the table; all else emptied."""
    first = TABLES["Route", "route"].first
    for i in range(count):
        chainage, level = POINTS[i] if i < len(POINTS) else (None, None)
        book["Route"][f"C{first + i}"].value, book["Route"][f"D{first + i}"].value = chainage, level
        book["Route"][f"B{first + i}"].value = None


def verdict(result):
    row = CHECKS.first + [cells[0] for cells in CHECKS.rows].index(LEFT_OUT)
    return result.value(("Checks", f"C{row}")), result.value(("Checks", f"G{row}"))


@pytest.fixture(scope="module")
def without_new_rows():
    book = books.opened()
    typed(book, 40)
    read, result = calculated(book)
    rows = told(result, TABLES["Route", "route"].first, len(POINTS))
    words = [row[1] for row in rows]
    assert words.count("vent here") >= 5 and words.count("drain here") >= 5, "so that the points tell rows apart"
    assert verdict(result) == (0.0, "good")
    return rows, [result.value(read.resolve(name)) for name in ("vent_points", "lowest_running", "down_surge_low")]


FILLINGS = {
    "the row above": lambda at, last: (at - 1, range(at, at + 3)),
    "the row below": lambda at, last: (at + 3, range(at, at + 3)),
    "the row above, down to the last": lambda at, last: (at - 1, range(at, last + 1)),
    "the row below, drawn up": lambda at, last: (at + 3, range(at + 2, at - 1, -1)),
}


@pytest.mark.parametrize("offset", [3, 9, 39], ids=["among the points", "after a bad row", "above the last row"])
@pytest.mark.parametrize("filling", FILLINGS)
def test_rows_put_in_say_the_same_whichever_way_they_are_filled(without_new_rows, filling, offset):
    book = books.opened()
    for (sheet, key), table in reversed(TABLES.items()):
        at = table.first + offset
        put_in(book, sheet, at, 3)
        copied(book[sheet], COLUMNS[key], *FILLINGS[filling](at, table.last + 3))
    typed(book, 43)
    read, result = calculated(book)
    rows, numbers = without_new_rows
    assert told(result, TABLES["Route", "route"].first, len(POINTS)) == rows
    assert [result.value(read.resolve(name)) for name in ("vent_points", "lowest_running", "down_surge_low")] == numbers
    assert verdict(result) == (0.0, "good")


@pytest.mark.parametrize("left", TABLES)
def test_rows_left_without_formulas_are_said(left):
    """In one of the three tables rows are put in and not filled, or not put in at all."""
    book = books.opened()
    for (sheet, key), table in reversed(TABLES.items()):
        at = table.first + 5
        put_in(book, sheet, at, 2)
        if (sheet, key) != left:
            copied(book[sheet], COLUMNS[key], at - 1, range(at, at + 2))
    _, result = calculated(book)
    value, judgement = verdict(result)
    assert value == 2.0 and judgement == "stop"
    _, result = calculated(_without(left))
    assert verdict(result)[1] == "stop"


def _without(left):
    """All tables but one have two rows more."""
    book = books.opened()
    for (sheet, key), table in reversed(TABLES.items()):
        if (sheet, key) != left:
            at = table.first + 5
            put_in(book, sheet, at, 2)
            copied(book[sheet], COLUMNS[key], at - 1, range(at, at + 2))
    return book


def test_empty_rows_put_in_do_not_part_the_points_around_them(without_new_rows):
    """Not filled, and nothing typed in them: the others say what they said."""
    book = books.opened()
    typed(book, 40)
    at = TABLES["Route", "route"].first + 4
    put_in(book, "Route", at, 2)
    _, result = calculated(book)
    now = told(result, TABLES["Route", "route"].first, len(POINTS) + 2)
    assert now[:4] + now[6:] == without_new_rows[0]


def test_the_sheet_names_the_columns_to_copy():
    """The words above the table say what this test copies."""
    words = " ".join(str(cell.value) for row in books.opened()["Route"].iter_rows() for cell in row if cell.value)
    for text in ("copy E to AI of any other row into them", "copy C to P into them", "with C to R on the sheet Strength"):
        assert text in words
    for (_, key), table in TABLES.items():
        assert len(table.heads) + 1 == COLUMNS[key][1] or key == "route_lines"
