"""Rows put into the table of Route, whichever way they are filled: every point says what it says without new rows.

`put_in` moves the references of formulas as spreadsheet programs do: a row number at or below the new rows grows, in
ranges each end by itself, `$` or not (common behaviour of Excel and Calc, from memory). That a real Calc does the same
with one way of filling is tested in tests/hosts/calc/test_calc_books.py.
"""

import re
from dataclasses import replace

import pytest
from openpyxl.formula.translate import Translator
from openpyxl.utils import get_column_letter

from hydrofunc.engine.book import Book, Formula
from hydrofunc.engine.compile import compile_book
from hydrofunc.engine.reference import Reference
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS
from hydrofunc.template.model import Table
from hydrofunc.template.pages import PLACED
from tests import books

TABLES = {
    (sheet, key): next(item for _, item in PLACED[sheet] if isinstance(item, Table) and item.key == key)
    for sheet, key in (("Route", "route"), ("Route", "route_lines"), ("Strength", "strength"))
}
COLUMNS = {"route": (5, 37), "route_lines": (3, 16), "strength": (3, 18)}  # E to AK, C to P, C to R, as the sheet says
CHECKS = next(item for _, item in PLACED["Checks"] if isinstance(item, Table) and item.key == "checks")
TOLD = "EFGIKLMN"  # columns: pressures, words, lost head, line, state, levels around
NUMBERS = ("vent_points", "drain_points", "lowest_running", "down_surge_low")
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


def with_cells(book, cells, names):
    """The same book with other cells."""
    other = Book(book.data, book.source, cells, names, book.tables, book.sizes, book.local_names)
    other._titles = book._titles
    return other


def put_in(book, sheet, at, count):
    """The book with rows put in above row `at` of a sheet."""
    cells = {}
    for (title, cell), content in book.cells.items():
        if isinstance(content, Formula):
            content = replace(content, text=moved(content.text, title, sheet, at, count))
        cells[title, moved(cell, title, sheet, at, count)] = content
    names = {
        name: replace(
            target,
            top=target.top + count * (target.sheet == sheet and target.top >= at),
            bottom=target.bottom + count * (target.sheet == sheet and target.bottom >= at),
        )
        if isinstance(target, Reference)
        else target
        for name, target in book.names.items()
    }
    return with_cells(book, cells, names)


def copy(book, sheet, columns, source, rows):
    """Formulas of the source row copied into the rows."""
    for column in range(columns[0], columns[1] + 1):
        letter = get_column_letter(column)
        content = book.cells.get((sheet, f"{letter}{source}"))
        for row in rows:
            if row != source and isinstance(content, Formula):
                text = Translator(f"={content.text}", f"{letter}{source}").translate_formula(f"{letter}{row}")
                book.cells[sheet, f"{letter}{row}"] = Formula(text[1:])


def with_rows(fillings, offset, count):
    """The book with rows put into some of the three tables, each filled in its way; None: left empty."""
    book = books.template_book()
    for (sheet, key), table in reversed(TABLES.items()):  # the lower table of a sheet first
        if (sheet, key) in fillings:
            at = table.first + offset
            book = put_in(book, sheet, at, count)
            if fillings[sheet, key]:
                copy(book, sheet, COLUMNS[key], *fillings[sheet, key](at, table.last + count))
    return book


def calculated(book):
    first = TABLES["Route", "route"].first
    said = [("Route", f"{letter}{row}") for letter in TOLD for row in range(first, first + len(POINTS) + 3)]
    row = CHECKS.first + [cells[0] for cells in CHECKS.rows].index(LEFT_OUT)
    wanted = [*said, *map(book.resolve, NUMBERS), ("Checks", f"C{row}"), ("Checks", f"G{row}")]
    there = [key for key in wanted if isinstance(book.cells.get(key), Formula)]
    return compile_book(book, SHEET_FUNCTIONS, outputs=there).run()


def told(result, first, count):
    """What stands in words beside the points, pressures too, in the order of the rows."""
    return [[result.value(("Route", f"{letter}{row}")) for letter in TOLD] for row in range(first, first + count)]


def typed(book, count):
    """The book with the points in the first rows of the table; all else emptied."""
    first, cells = TABLES["Route", "route"].first, dict(book.cells)
    for i in range(count):
        for letter, value in zip("CD", POINTS[i] if i < len(POINTS) else (None, None)):
            cells.pop(("Route", f"{letter}{first + i}"), None)
            if value is not None:
                cells["Route", f"{letter}{first + i}"] = value
    return with_cells(book, cells, book.names)


def verdict(result):
    row = CHECKS.first + [cells[0] for cells in CHECKS.rows].index(LEFT_OUT)
    return result.value(("Checks", f"C{row}")), result.value(("Checks", f"G{row}"))


@pytest.fixture(scope="module")
def without_new_rows():
    book = typed(books.template_book(), 40)
    result = calculated(book)
    rows = told(result, TABLES["Route", "route"].first, len(POINTS))
    words = [row[1] for row in rows]
    assert words.count("vent here") >= 5 and words.count("drain here") >= 5, "so that the points tell rows apart"
    assert verdict(result) == (0.0, "good")
    return rows, [result.value(book.resolve(name)) for name in NUMBERS]


FILLINGS = {
    "the row above": lambda at, last: (at - 1, range(at, at + 3)),
    "the row below": lambda at, last: (at + 3, range(at, at + 3)),
    "the row above, down to the last": lambda at, last: (at - 1, range(at, last + 1)),
}


@pytest.mark.parametrize("offset", [3, 9, 39], ids=["among the points", "after a bad row", "above the last row"])
@pytest.mark.parametrize("filling", FILLINGS)
def test_rows_put_in_say_the_same_whichever_way_they_are_filled(without_new_rows, filling, offset):
    book = typed(with_rows(dict.fromkeys(TABLES, FILLINGS[filling]), offset, 3), 43)
    result = calculated(book)
    rows, numbers = without_new_rows
    assert told(result, TABLES["Route", "route"].first, len(POINTS)) == rows
    assert [result.value(book.resolve(name)) for name in NUMBERS] == numbers
    assert verdict(result) == (0.0, "good")


@pytest.mark.parametrize("left", TABLES)
def test_rows_left_without_formulas_are_said(left):
    """In one of the three tables rows are put in and not filled, or not put in at all."""
    filled = dict.fromkeys(TABLES, FILLINGS["the row above"])
    value, judgement = verdict(calculated(with_rows(filled | {left: None}, 5, 3)))
    assert value == 3.0 and judgement == "stop"
    del filled[left]
    assert verdict(calculated(with_rows(filled, 5, 3)))[1] == "stop"


def test_empty_rows_put_in_do_not_part_the_points_around_them(without_new_rows):
    """Not filled, and nothing typed in them: the others say what they said."""
    table = TABLES["Route", "route"]
    book = put_in(typed(books.template_book(), 40), "Route", table.first + 4, 2)
    result = calculated(book)
    assert told(result, table.first, 4) == without_new_rows[0][:4]
    assert told(result, table.first + 6, len(POINTS) - 4) == without_new_rows[0][4:]


def test_the_sheet_names_the_columns_to_copy():
    """The words above the table say what this test copies."""
    words = " ".join(str(cell.value) for row in books.opened()["Route"].iter_rows() for cell in row if cell.value)
    for text in (
        "copy E to AK of any other row into them",
        "copy C to P into them",
        "with C to R on the sheet Strength",
    ):
        assert text in words
    for (_, key), table in TABLES.items():
        assert len(table.heads) + 1 == COLUMNS[key][1] or key == "route_lines"
