"""A workbook as the engine sees it: constants, formulas and names, whatever file they came from."""

import re
from dataclasses import dataclass, field

from .formula import Refused
from .lanes import ExcelError
from .reference import Reference, address, reference, split_sheet, table_part
from .tree import Node, Ref, Value

_ADDRESS = re.compile(r"\$?[A-Za-z]{1,3}\$?[0-9]{1,7}")


@dataclass(frozen=True)
class Formula:
    """A formula as written; `area` is the range an array formula fills, `at` says which of its cells this is."""

    text: str
    area: Reference | None = None
    at: tuple[int, int] = (0, 0)  # rows and columns from its first cell
    trouble: str = ""  # why it cannot be evaluated, where that is known already


@dataclass(frozen=True)
class Table:
    """An Excel table: where it lies, its columns, and how many head and total rows it has."""

    area: Reference
    columns: tuple[str, ...]
    heads: int
    totals: int


@dataclass
class Book:
    """What `read_book` returns. A cell is named by (sheet title, "B7")."""

    data: bytes
    source: str
    cells: dict = field(default_factory=dict)
    names: dict = field(default_factory=dict)  # name in lower case -> Reference, plain value or Unusable
    tables: dict = field(default_factory=dict)
    sizes: dict = field(default_factory=dict)  # sheet title -> (last row, last column) in use
    local_names: dict = field(default_factory=dict)  # (sheet title, name) -> target; known on that sheet only
    trouble: str = ""  # why no formula of it can be evaluated, where that is so

    @property
    def sheets(self) -> list[str]:
        return list(self.sizes)

    def sheet(self, title: str) -> str | None:
        """The title as the workbook spells it, or None."""
        return self._titles.get(title.casefold())

    def __post_init__(self):
        self._titles = {}

    def resolve(self, what: str) -> tuple[str, str]:
        """(sheet, "B7") of a defined name or of an address such as "Pipe!B7". Raises LookupError."""
        target = self.names.get(what.lower())
        if target is None:
            title, name = split_sheet(what)
            local = {
                sheet: meaning
                for (sheet, label), meaning in self.local_names.items()
                if label == name.lower() and title in (None, sheet)
            }
            if len(local) > 1:
                sheets = ", ".join(local)
                raise LookupError(f"the name {what!r} is defined on {sheets}; write Sheet!name")
            target = next(iter(local.values())) if local else self._address(what)
        if isinstance(target, Unusable):
            raise LookupError(f"the name {what!r} cannot be used: {target.reason}")
        if not isinstance(target, Reference):
            raise LookupError(f"the name {what!r} stands for a constant, not for a cell")
        if not target.single:
            raise LookupError(f"{what!r} is the range {target}, not one cell")
        return target.sheet, address(target.top, target.left)

    def _address(self, what):
        title, cell = split_sheet(what)
        if title is None:
            if not _ADDRESS.fullmatch(cell):
                raise LookupError(f"{self.source} has no name {what!r}, and it is no address such as Page!B7")
            if len(self.sizes) > 1:
                raise LookupError(f"{what!r} does not say on which sheet, as {self.sheets[0]}!{cell} does")
            title = self.sheets[0]
        sheet = self.sheet(title)
        if sheet is None:
            raise LookupError(f"{self.source} has no sheet {title!r}; it has {', '.join(self.sheets)}")
        target = reference(cell, sheet)
        if target is None:
            raise LookupError(f"{cell!r} is not the address of a cell")
        return target


@dataclass(frozen=True)
class Unusable:
    """A defined name that stands for something the engine does not evaluate."""

    reason: str


def operand(book: Book, text: str, sheet: str, row: int) -> Node:
    """The tree of an operand that is no literal: a reference, a defined name or a table column.

    `sheet` and `row` are those of the formula's cell. Raises `Refused`.
    """
    title, rest = split_sheet(text)
    if title is not None and ("[" in title or "]" in title):
        raise Refused(f"{text} points to another workbook")
    if part := table_part(rest):
        return _table_operand(book, part, sheet, row)
    if "#" in rest:
        raise Refused("the spill operator # is not supported")
    if "[" in rest:
        raise Refused(f"{text} is not supported: write it as an ordinary range")
    if title is not None:
        known = book.sheet(title)
        if known is None:
            reason = "a reference across several sheets" if ":" in title else "there is no such sheet"
            raise Refused(f"{text}: {reason}")
    cells = reference(rest, known if title is not None else sheet)
    if cells is not None:
        return Ref(cells)
    if title is not None:
        target = book.local_names.get((known, rest.lower()))
    else:
        target = book.local_names.get((sheet, rest.lower()), book.names.get(rest.lower()))
    if target is None:
        raise Refused(f"{text} is not known as a name or reference")
    if isinstance(target, Unusable):
        raise Refused(f"the name {rest} is not supported: {target.reason}")
    return Ref(target) if isinstance(target, Reference) else Value(target)


def _table_operand(book, part, sheet, row):
    name, what = part
    table = book.tables.get(name.lower())
    if table is None:
        raise Refused(f"there is no table {name}")
    area = table.area
    first, last = area.top + table.heads, area.bottom - table.totals
    this_row = False
    pieces = re.findall(r"\[([^\[\]]*)\]", what) if what.startswith("[") else [what]
    if what.startswith("@"):
        pieces = ["#This Row", what[1:].strip("[] ")]
    columns = []
    for piece in map(str.strip, pieces):
        special = piece.lower()
        if special == "#this row":
            this_row = True
        elif special == "#all":
            first, last = area.top, area.bottom
        elif special == "#headers" and table.heads:
            first = last = area.top
        elif special == "#totals" and table.totals:
            first = last = area.bottom
        elif special in ("#data", ""):
            pass
        else:
            columns.append(_column(table, name, piece))
    left, right = (min(columns), max(columns)) if columns else (0, len(table.columns) - 1)
    if len(columns) > 2 or (len(columns) == 2 and "]:[" not in what):
        raise Refused(f"{name}[{what}] is not supported: write it as an ordinary range")
    if this_row:
        if sheet != area.sheet or not first <= row <= last:
            return Value(ExcelError("#VALUE!"))
        first = last = row
    return Ref(Reference(area.sheet, first, area.left + left, last, area.left + right))


def _column(table, name, title):
    for i, column in enumerate(table.columns):
        if column.casefold() == title.casefold():
            return i
    raise Refused(f"table {name} has no column {title!r}")
