"""How sheets stand on paper and on a phone: how small the letters print, where pages end, what stays frozen."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from openpyxl.utils import column_index_from_string
from openpyxl.worksheet.worksheet import Worksheet

from ..errors import DeclarationError
from .metrics import ONE_LINE
from .model import Heading, Space, Table, Words

SMALLEST = 9  # points, of the smallest letters on a sheet; also of the foot, which is scaled with the sheet
TITLE_ROWS = 3  # frozen, and repeated on every page
LONG, SHORT = 841.9, 595.3  # points, sides of A4
MARGINS = {"left": 0.4, "right": 0.4, "top": 0.35, "bottom": 0.45}  # inches
PHONE, FROZEN_SHARE = 390, 1 / 3  # pixels of a phone's width, and how much of it may be frozen
# How wide a column of width 1 is in a workbook whose standard font is Arial 10, in points: at most, measured in PDFs
# that LibreOffice wrote; and as the file format has it (7 of 96 pixels of an inch: ECMA-376 part 1, 18.3.1.13).
WIDTH_UNIT, NARROWEST_UNIT = 5.6, 5.25
_CM = 2.54 / 72  # of a point
USUAL = 85  # per cent of the size on the screen
_SURE = 0.98  # of a page: programs differ a little in how tall they print a row


def frozen(widths: Sequence[float]) -> str:
    """The first cell that scrolls: the labels stay in sight where a phone has room for them, else only the heads."""
    labels = sum(7 * width + 5 for width in widths[:2])
    return f"{'C' if labels <= PHONE * FROZEN_SHARE else 'A'}{TITLE_ROWS + 1}"


def is_tall(widths: Sequence[float]) -> bool:
    """Whether a sheet of these columns stands on upright paper."""
    return _percent(widths, SHORT) >= USUAL


def scale(widths: Sequence[float]) -> int:
    """How large a sheet prints, in per cent of its size on the screen.

    The scale is fixed, not fitted to the page: so letters stay readable and pages end where they should, whatever a
    person adds. Tests see to it that the columns of every sheet leave it large enough.
    """
    return min(USUAL, _percent(widths, SHORT if is_tall(widths) else LONG))


def _percent(widths, side):
    return int(100 * _room(side) / (WIDTH_UNIT * sum(widths)))


def _room(side):
    return side - 72 * (MARGINS["left"] + MARGINS["right"])


def width_between(widths: Sequence[float], column: str, end: str = "") -> float:
    """How wide the columns from one up to `end`, or to the edge of the sheet, are at least. [cm]"""
    first = column_index_from_string(column)
    last = column_index_from_string(end) if end else len(widths) + 1
    if first > len(widths):
        raise DeclarationError(f"column {column} is beyond the sheet: what stands there is not printed")
    return sum(widths[first - 1 : last - 1]) * NARROWEST_UNIT * _CM


def with_room(placed: Sequence[tuple[int, object]], item: Space, height: float) -> list[tuple[int, object]]:
    """The items of a page, a chart beside others with the rows it covers; `height` in cm."""
    rows = max(item.rows, math.ceil(height / _CM / ONE_LINE))
    return [(row, replace(item, rows=rows) if other is item else other) for row, other in placed]


def breaks(sheet: Worksheet, placed: Sequence[tuple[int, object]], widths: Sequence[float], last: int) -> Iterator[int]:
    """Rows after which a page ends.

    A new page begins where a heading asks for it and the page before is half full, and before what would be torn: a
    heading and what it stands over, the head of a table and its first two rows, its last two, a paragraph, a chart.
    """
    side = LONG if is_tall(widths) else SHORT
    room = (side - 72 * (MARGINS["top"] + MARGINS["bottom"])) * _SURE * 100 / scale(widths)
    heads = sum(_tall(sheet, row) for row in range(1, TITLE_ROWS + 1))
    asked = {row for row, item in placed if isinstance(item, Heading) and item.new_page}
    torn = _torn(placed, widths)
    first, used = 1, 0.0  # row of this page, and what stands on it
    for row in range(1, last + 1):
        early = row in asked and used > room / 2
        if early or used + _tall(sheet, row) > room:
            begin = row if early else _untorn(row, first, torn)
            yield begin - 1
            first, used = begin, heads + sum(_tall(sheet, line) for line in range(begin, row))
        used += _tall(sheet, row)


def _tall(sheet, row):
    return sheet.row_dimensions[row].height or ONE_LINE


def _untorn(row, first, torn):
    """The last row up to this one before which a page may end; this one where a block is taller than a page."""
    return next((line for line in range(row, first, -1) if line not in torn), row)


def _torn(placed, widths):
    """Rows before which no page should end: they belong to what stands above them."""
    rows = set()
    for row, item in placed:
        if isinstance(item, Heading):
            rows |= {row + 1, row + 2}
        elif isinstance(item, Table):
            rows |= {item.first, item.first + 1, item.last, item.last + 1}
        elif isinstance(item, (Space, Words)):
            rows |= set(range(row + 1, row + (item.rows if isinstance(item, Space) else item.rows_on(widths))))
    return rows
