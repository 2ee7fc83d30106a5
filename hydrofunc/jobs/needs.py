"""What a person must give or mend in a workbook before it says something: a line for each cause."""

from collections.abc import Callable, Iterator
from functools import cache
from typing import TYPE_CHECKING

from ..engine.book import Book, Formula
from ..engine.compile import Key
from ..engine.lanes import ExcelError
from ..engine.reference import Reference, address
from ..units import alternatives

if TYPE_CHECKING:
    from ..template import Input

MISSING = "missing"  # the name of the cell that says what is needed, with sheet and cell; "" where nothing is
REFUSED = "not allowed"  # as the template has it
# So begin names of cells that hold a value though nobody typed over a formula: inputs, and a table of wires.
NO_RESULTS = ("yours_", "reading_", "well_", "service_done_", "site_name", "surveyed_by", "gauge_of_thinnest")
NO_RESULTS += ("thinnest_wire", "gauge_steps", "wire_ratio")
OF_READINGS = ("reading_watts", "reading_flow", "reading_constant", "reading_balance")  # these are results all the same
_VALUE = Callable[[Key], object]  # what a cell holds after calculation


def needs(book: Book, value: _VALUE) -> list[str]:
    """What is typed but not allowed or over a formula, and what is needed and missing; nothing of a stranger's book."""
    told = [*_refused(book, value), *_typed_over(book)] if _is_odd(book, value) else []
    return [*told, *filter(None, [missing(book, value)])]


def _is_odd(book, value):
    """Whether a named cell may hold what it should not. To know the template, which says more, takes time to load."""
    for name, target in book.names.items():
        if isinstance(target, Reference) and target.single:
            key = target.sheet, address(target.top, target.left)
            if name.startswith("state_") and value(key) == REFUSED:
                return True
            if name.startswith("yours_") and _holds_value(book, (key[0], f"E{key[1][1:]}")):
                return True
            if not is_no_result(name) and _holds_value(book, key):
                return True
    return False


def is_no_result(name: str) -> bool:
    """Whether a name tells by itself that its cell is none of the template's results."""
    return name.startswith(NO_RESULTS) and name not in OF_READINGS


def missing(book: Book, value: _VALUE) -> str:
    """One sentence that says what is needed before there are results, such as "no results yet. Give ...", or ""."""
    key = cell_named(book, MISSING)
    words = value(key) if key else ""
    return f"no results yet. {words.strip()}" if isinstance(words, str) and words else ""


def cell_named(book: Book, name: str) -> Key | None:
    """The one cell that has this name, or None."""
    target = book.names.get(name)
    return book.resolve(name) if isinstance(target, Reference) and target.single else None


def _refused(book: Book, value: _VALUE) -> Iterator[str]:
    """Inputs whose cell holds what does not fit: something else counts in its place."""
    from ..template import INPUTS

    for item in INPUTS:
        state, typed = (cell_named(book, f"{kind}_{item.name}") for kind in ("state", "yours"))
        if state and typed and value(state) == REFUSED:
            where = f"{typed[0]}!{typed[1]} ({item.label})"
            yield f"{where} holds {value(typed)!r}, which does not count: {_why(item, typed, value)}"


def _typed_over(book: Book) -> Iterator[str]:
    """Cells in which a template has a formula and somebody typed a value, which then counts in this one cell only."""
    from ..template import INPUTS

    if cell_named(book, MISSING) is None:
        return
    for item in INPUTS:
        typed, counts = cell_named(book, f"yours_{item.name}"), cell_named(book, item.name)
        if typed and counts:
            beside = (typed[0], f"E{typed[1][1:]}")
            home = f"Type it in {typed[0]}!{typed[1]}, column yours"
            yield from (_over(book, key, item.label, home) for key in (beside, counts) if _holds_value(book, key))
    for name, label in _results().items():
        key = cell_named(book, name)
        if key and _holds_value(book, key):
            yield _over(book, key, label, "A result is not typed")


def _holds_value(book, key):
    """Typed by a person; #N/A is what a live workbook holds where it needs Python."""
    return book.cells.get(key) is not None and not isinstance(book.cells[key], (Formula, ExcelError))


def _over(book, key, label, instead):
    return (
        f"{key[0]}!{key[1]} ({label}) holds {book.cells[key]!r} where the template has a formula. {instead}, and take "
        "the formula back: Undo, or the same cell of a new template"
    )


@cache
def _results():
    """The labels of the template's results, by name."""
    from ..template import PLACED, Result

    return {item.name: item.label for placed in PLACED.values() for _, item in placed if isinstance(item, Result)}


def _why(item: "Input", typed: Key, value: _VALUE) -> str:
    """What must be typed instead, or in the cell of the unit."""
    holds, unit = value(typed), value((typed[0], f"D{typed[1][1:]}"))
    if isinstance(holds, str) and not item.is_text and not item.is_date:
        alone = ", alone, with the decimal mark of your spreadsheet program" if any(map(str.isdigit, holds)) else ""
        return f"it is text; it must be a number{alone}: {item.allowed}"
    if item.is_convertible and unit not in (None, *alternatives(item.unit)):
        return f"the unit beside it, {unit!r}, must be {' or '.join(alternatives(item.unit))}"
    return f"it must be {item.allowed}"
