"""What can stand on a sheet, and the cell each item gets.

A page is a list of items from top to bottom. A one-line item fills one row: mark, label, value, unit,
allowed range or function, note, in columns A to F. A table fills a block from column B.
"""

import re
from dataclasses import dataclass, field, replace

from openpyxl.utils import get_column_letter

from ...errors import HydroError
from ...registry import Argument

LETTERS = tuple(get_column_letter(number) for number in range(2, 53))  # columns a table may use, B to AZ
FIRST_ROW = 5  # below title, purpose and column heads
VALUE_COLUMN = "C"
DATE = "yyyy-mm-dd"  # number format of cells that hold a date


@dataclass(frozen=True)
class Heading:
    """A heading between groups of rows; `new_page` where printing should begin a page."""

    text: str
    new_page: bool = False


@dataclass(frozen=True)
class Words:
    """A paragraph across the sheet. `caution` marks danger."""

    text: str
    caution: bool = False

    def rows_on(self, page):
        """Rows it needs at the page's width."""
        characters = sum(page.widths[1:]) * (1.1 if self.caution else 1.2)
        return -(-len(self.text) // int(characters))


@dataclass(frozen=True)
class Input:
    """A cell the person fills in. `argument` holds unit, allowed range or choices.

    `default` is what a site has unless told otherwise, such as a usual nozzle coefficient; `example` is
    what the template shows and belongs to its invented example alone. A site list must give every
    input that has no default and may not stay empty. `recorded` is what is written down while the plant runs, such
    as a reading: the cell is validated like any other, but has no defined name and is no column of site lists.
    """

    name: str
    label: str
    argument: Argument
    default: object = None
    note: str = ""
    example: object = None
    optional: bool = False  # may be left empty
    recorded: bool = False
    digits: str = "General"
    sheet: str = ""
    cell: str = ""

    @property
    def shown(self):
        """What the template's cell holds."""
        return self.default if self.example is None else self.example

    @property
    def required_site(self):
        """Whether a list of sites must give it."""
        return self.default is None and not self.optional

    @property
    def unit(self):
        return self.argument.unit

    @property
    def is_text(self):
        return self.argument.is_text

    @property
    def within(self):
        return self.argument.within

    @property
    def choices(self):
        return self.argument.choices

    @property
    def allowed(self):
        if self.is_text and not self.choices:
            return "any words"
        if self.digits == DATE:
            return "a date such as 2026-05-31" + (", or empty" if self.optional else "")
        return self.argument.allowed + (", or empty" if self.optional else "")

    def check(self, value):
        """What is wrong with a value for this cell, or None."""
        if value is None or value == "":
            return None if self.optional else f"is empty; it must be {self.allowed}"
        if self.is_text and not self.choices:
            return None
        if not self.is_text and (isinstance(value, (bool, str)) or not isinstance(value, (int, float))):
            return f"{value!r} is not a number; it must be {self.allowed}"
        _, codes = self.argument.read(value)
        if codes is None:
            return None
        unit = "" if self.is_text or self.unit == "-" else f" {self.unit}"
        shown = f"{value:g}" if isinstance(value, (int, float)) else repr(value)
        return f"{shown}{unit} is not allowed; it must be {self.allowed}"


@dataclass(frozen=True)
class Result:
    """A live formula with its own name."""

    name: str
    label: str
    unit: str
    formula: str
    note: str = ""
    digits: str = "0.00"
    strong: bool = False  # one of the numbers that matter
    sheet: str = ""
    cell: str = ""


@dataclass(frozen=True)
class Formula:
    """A formula in a table cell; `name` defines a name for it, if given. `words`: it gives words, set to the left."""

    text: str
    digits: str = "General"
    name: str = ""
    words: bool = False


@dataclass(frozen=True)
class Written:
    """A table cell that a command of hydrofunc writes a value into; empty in the template."""

    digits: str = "General"


@dataclass(frozen=True)
class Table:
    """A block: head cells, then rows of labels, numbers, `Formula`, `Input` or `Written`.

    `{row}` in a formula is its row number, `{row-7}` and `{row+1}` others counted from it, `{first}` and `{last}` those of the block.
    `names` maps a defined name to a column letter: the name covers that column of the block.
    """

    heads: tuple
    rows: tuple
    names: dict = field(default_factory=dict)
    key: str = ""  # charts find the block by it
    judgement: str = ""  # column letter holding good / look / stop
    wrap: tuple = ()  # column letters whose text wraps
    spread: str = ""  # column letter whose cells reach to the right edge of the page
    sheet: str = ""
    top: int = 0  # row of the head cells

    @property
    def first(self):
        return self.top + 1

    @property
    def last(self):
        return self.top + len(self.rows)


@dataclass(frozen=True)
class Space:
    """Room for a chart, `rows` tall; none where it stands beside what follows, from `column`."""

    chart: str
    rows: int
    column: str = "B"
    sheet: str = ""
    top: int = 0


@dataclass(frozen=True)
class Page:
    """One sheet: title, what it is for, its items, column widths in characters."""

    sheet: str
    purpose: str
    items: tuple
    widths: tuple = (3, 34, 22, 9, 27, 56)
    heads: tuple = ("", "what", "value", "unit", "allowed / worked out by", "note")
    pages: int = 1  # of paper it is fitted to in height; 0 for as many as it takes


def place(page):
    """The page with a cell for every item, and the row after the last."""
    row, placed = FIRST_ROW, []
    for item in page.items:
        if isinstance(item, Heading):
            row += 1 if placed else 0
            placed.append((row, item))
            row += 1
        elif isinstance(item, (Input, Result)):
            placed.append((row, replace(item, sheet=page.sheet, cell=f"{VALUE_COLUMN}{row}")))
            row += 1
        elif isinstance(item, Table):
            placed.append((row, _place_table(item, page.sheet, row)))
            row += len(item.rows) + 2
        elif isinstance(item, Space):
            placed.append((row, replace(item, sheet=page.sheet, top=row)))
            row += item.rows
        elif isinstance(item, Words):
            placed.append((row, item))
            row += item.rows_on(page)
        else:
            raise HydroError(f"{page.sheet}: cannot place {item!r}")
    return placed


def _place_table(table, sheet, top):
    rows = []
    for offset, cells in enumerate(table.rows, start=1):
        row = []
        for column, cell in zip(LETTERS, cells):
            if isinstance(cell, Input):
                cell = replace(cell, sheet=sheet, cell=f"{column}{top + offset}")
            elif isinstance(cell, Formula):
                text = re.sub(r"\{row([+-]\d+)?\}", lambda found: str(top + offset + int(found[1] or 0)), cell.text)
                text = text.replace("{first}", str(top + 1)).replace("{last}", str(top + len(table.rows)))
                cell = replace(cell, text=text)
            row.append(cell)
        rows.append(tuple(row))
    return replace(table, rows=tuple(rows), sheet=sheet, top=top)


def inputs_of(placed):
    """Every input of a placed page, in order."""
    for _, item in placed:
        if isinstance(item, Input):
            yield item
        elif isinstance(item, Table):
            yield from (cell for row in item.rows for cell in row if isinstance(cell, Input))
