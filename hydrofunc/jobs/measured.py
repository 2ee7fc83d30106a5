"""What was measured belongs to the plant that it was measured on, and stays as it is in scenarios of other plants.

Readings of a test day and a log say whether the plant is as it was planned. With another nozzle they would be compared
with a plan that nobody built, and each such scenario would seem to have a fault.
"""

from collections.abc import Sequence
from copy import copy

from ..engine.book import Book, Formula
from ..engine.compile import Key, compile_book
from .needs import MISSING, cell_named
from .recalc import SHEET_FUNCTIONS

SHEETS = ("Test day", "Diagnosis", "Log")
SAYS = {"test_count": (0.0,), "watts_trend_is": ("", "too few")}  # names of cells, and what they hold without readings


def as_measured(book: Book, varied: Sequence[Key], outputs: Sequence[Key]) -> dict[Key, object]:
    """What the formulas of `SHEETS` that others read hold in the workbook as it is; to be kept in all scenarios.

    Nothing where nothing was measured, where a cell of these sheets is varied or asked for, and of a stranger's
    workbook.
    """
    says = {name: cell_named(book, name) for name in SAYS}
    if cell_named(book, MISSING) is None or None in says.values():
        return {}
    if any(sheet in SHEETS for sheet, _ in (*varied, *outputs)):
        return {}
    now = compile_book(book, SHEET_FUNCTIONS, outputs=[key for key in says.values() if key]).run()
    if all(now.value(key) in SAYS[name] for name, key in says.items() if key):
        return {}
    plan = compile_book(book, SHEET_FUNCTIONS, outputs=outputs)
    read = {
        key
        for reader, keys in plan.precedents.items()
        if reader[0] not in SHEETS
        for key in keys
        if key[0] in SHEETS and isinstance(book.cells.get(key), Formula)
    }
    result = compile_book(book, SHEET_FUNCTIONS, outputs=read).run()
    return {key: result.value(key) for key in read}


def with_values(book: Book, values: dict[Key, object]) -> Book:
    """The workbook with values in place of the formulas of some cells."""
    if not values:
        return book
    changed = copy(book)
    changed.cells = book.cells | values
    return changed
