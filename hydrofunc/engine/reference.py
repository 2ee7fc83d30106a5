"""Cells by their addresses: "B7", "Pipe!B1:C9", "A:A", "Nozzles[Flow]"."""

import re
from dataclasses import dataclass
from functools import lru_cache

MAX_ROW, MAX_COLUMN = 1_048_576, 16_384  # of a worksheet (Microsoft, "Excel specifications and limits")
_CELL = re.compile(r"\$?([A-Za-z]{1,3})\$?([0-9]{1,7})")
_CELLS = re.compile(r"\$?([A-Za-z]{1,3})\$?([0-9]{1,7}):\$?([A-Za-z]{1,3})\$?([0-9]{1,7})")
_COLUMNS = re.compile(r"\$?([A-Za-z]{1,3}):\$?([A-Za-z]{1,3})")
_ROWS = re.compile(r"\$?([0-9]{1,7}):\$?([0-9]{1,7})")
_SHEET = re.compile(r"(?:'((?:[^']|'')+)'|([^'!]+))!(.+)", re.DOTALL)
_TABLE = re.compile(r"([A-Za-z_\\][\w.\\]*)\[(.*)\]", re.DOTALL)


@dataclass(frozen=True)
class Reference:
    """A rectangle of cells of one sheet, both corners included, counted from 1."""

    sheet: str
    top: int
    left: int
    bottom: int
    right: int

    @property
    def single(self) -> bool:
        return self.top == self.bottom and self.left == self.right

    @property
    def height(self) -> int:
        return self.bottom - self.top + 1

    @property
    def width(self) -> int:
        return self.right - self.left + 1

    @property
    def open_ended(self) -> bool:
        """Whole columns or whole rows."""
        return self.height == MAX_ROW or self.width == MAX_COLUMN

    def __str__(self) -> str:
        first = f"{self.sheet}!{address(self.top, self.left)}"
        return first if self.single else f"{first}:{address(self.bottom, self.right)}"


class _Columns(dict):
    """The numbers of columns by their letters, one to three capitals; of each they are worked out once."""

    def __missing__(self, letters):
        number = 0
        for letter in letters:
            number = 26 * number + ord(letter) - 64
        self[letters] = number
        return number


class _Letters(dict):
    """The letters of columns by their numbers; of each they are worked out once."""

    def __missing__(self, column):
        if column < 1:
            raise ValueError(f"there is no column {column}")
        letters, left = "", column
        while left:
            left, letter = divmod(left - 1, 26)
            letters = chr(65 + letter) + letters
        self[column] = letters
        return letters


COLUMN_OF = _Columns()
_LETTERS = _Letters()


def address(row: int, column: int) -> str:
    """(7, 2) as "B7"."""
    return f"{_LETTERS[column]}{row}"


def place(cell: str) -> tuple[int, int]:
    """ "B7" or "$B$7" as (7, 2). Raises `ValueError` where it is no address of a cell."""
    match = _CELL.fullmatch(cell)
    if match:
        row, column = int(match[2]), COLUMN_OF[match[1].upper()]
        if 1 <= row <= MAX_ROW and column <= MAX_COLUMN:
            return row, column
    raise ValueError(f"{cell!r} is not the address of a cell")


def split_sheet(operand: str) -> tuple[str | None, str]:
    """ "'My page'!B7" as ("My page", "B7"); the sheet is None where none is named."""
    match = _SHEET.fullmatch(operand)
    if not match:
        return None, operand
    return (match[1].replace("''", "'") if match[1] else match[2]), match[3]


@lru_cache(maxsize=20_000)  # the same few cells stand in most formulas of a workbook
def reference(operand: str, sheet: str) -> Reference | None:
    """The cells that an operand such as "$B$7", "B1:C9", "A:A" or "3:5" means on `sheet`; None where it means none."""
    if match := _CELL.fullmatch(operand):
        row, column = int(match[2]), COLUMN_OF[match[1].upper()]
        return Reference(sheet, row, column, row, column) if 1 <= row <= MAX_ROW and column <= MAX_COLUMN else None
    if match := _CELLS.fullmatch(operand):
        corners = match[2], match[1], match[4], match[3]
    elif match := _COLUMNS.fullmatch(operand):
        corners = "1", match[1], str(MAX_ROW), match[2]
    elif match := _ROWS.fullmatch(operand):
        corners = match[1], "A", match[2], "XFD"
    else:
        return None
    rows = sorted((int(corners[0]), int(corners[2])))
    columns = sorted(COLUMN_OF[letters.upper()] for letters in (corners[1], corners[3]))
    if rows[0] < 1 or rows[1] > MAX_ROW or columns[1] > MAX_COLUMN:
        return None
    return Reference(sheet, rows[0], columns[0], rows[1], columns[1])


def table_part(operand: str) -> tuple[str, str] | None:
    """ "Nozzles[Flow]" as ("Nozzles", "Flow"); None where it is no structured reference."""
    match = _TABLE.fullmatch(operand)
    return (match[1], match[2]) if match else None
