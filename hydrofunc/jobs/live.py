"""A workbook of the template that carries its functions, and says what in it still needs Python."""

import re

from ..emit.lambda_names import LEFT_OUT
from ..emit.live import live
from ..engine.book import Book, Formula
from ..template.pages import PAGES
from ..workbook.reading import read_book
from ..workbook.splice import splice

NOTE = "B2"  # where each sheet says what it is for
_CALL = re.compile(r"HYDRO_([A-Z0-9_]+)\(")
UNSEEN = (
    "The functions are in this workbook: no Python is needed, but for what is named here. Not yet seen in Excel itself."
)


def live_book(data: bytes) -> bytes:
    """A copy of a calculated workbook with the functions in it; the sheets say what needs Python and shows #N/A."""
    book = read_book(data)
    needing = sheets_that_need_python(book)
    purposes = {page.sheet: page.purpose for page in PAGES}
    notes = {
        (sheet, NOTE): f"{purposes[sheet]} Here #N/A says: this needs Python ({', '.join(sorted(names))})."
        for sheet, names in needing.items()
    }
    first = PAGES[0].sheet
    notes[first, NOTE] = f"{purposes[first]} {UNSEEN} With #N/A: {', '.join(needing)}, and what hangs on them."
    return live(splice(data, {}, notes))


def sheets_that_need_python(book: Book) -> dict[str, set[str]]:
    """Sheets with a cell that calls a function which is not in a live workbook, and which functions."""
    found: dict[str, set[str]] = {}
    for (sheet, _), content in book.cells.items():
        for name in _CALL.findall(content.text) if isinstance(content, Formula) else ():
            if name.lower() in LEFT_OUT:
                found.setdefault(sheet, set()).add(f"HYDRO_{name}")
    return found
