"""A workbook as the engine sees it: constants, formulas and names; not the values cached beside formulas."""

import re
import warnings
import zipfile
import zlib
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from io import BytesIO
from pathlib import Path

import openpyxl
from defusedxml.common import DefusedXmlException
from openpyxl.utils.datetime import to_excel
from openpyxl.worksheet.formula import ArrayFormula, DataTableFormula

from ..errors import FileRefused
from .formula import Reference, Refused, address, reference, split_sheet, table_part
from .lanes import ExcelError

LARGEST_FILE = 64 * 2**20  # bytes, as stored
LARGEST_CONTENT = 512 * 2**20  # bytes, unpacked
HIGHEST_RATIO = 200  # of unpacked to packed, for parts beyond RATIO_FROM bytes
RATIO_FROM = 4 * 2**20
MOST_MEMBERS = 5_000
_OLD_OR_ENCRYPTED = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # OLE compound file
_ADDRESS = re.compile(r"\$?[A-Za-z]{1,3}\$?[0-9]{1,7}")


@dataclass(frozen=True)
class Formula:
    """A formula as written; `area` is the range an array formula fills, `at` the cell's place in it."""

    text: str
    area: Reference | None = None
    at: tuple = (0, 0)
    trouble: str = ""  # why it cannot be evaluated, where that is known already


@dataclass(frozen=True)
class Table:
    """An Excel table: where it lies, its columns, and how many head and total rows it has."""

    area: Reference
    columns: tuple
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
    iterative: bool = False

    @property
    def sheets(self):
        return list(self.sizes)

    def sheet(self, title):
        """The title as the workbook spells it, or None."""
        return self._titles.get(title.casefold())

    def __post_init__(self):
        self._titles = {}

    def resolve(self, what):
        """(sheet, "B7") of a defined name or of an address such as "Pipe!B7". Raises LookupError."""
        target = self.names.get(what.lower())
        if target is None:
            title, name = split_sheet(what)
            local = {
                sheet: found for (sheet, label), found in self.local_names.items()
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


def read_book(source):
    """The `Book` in a file, given by path or as bytes; .xlsx and .xlsm. Raises `FileRefused`."""
    name, data = bytes_of(source)
    guard(name, data)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of parts openpyxl would lose on saving; we never save with it
            workbook = openpyxl.load_workbook(BytesIO(data), data_only=False, keep_links=False)
    except DefusedXmlException as error:
        raise FileRefused(f"{name}: its XML declares entities or a document type ({error})") from None
    except Exception as error:  # openpyxl raises whatever it stumbles over
        reason = f"{type(error).__name__}: {error}"
        raise FileRefused(f"{name}: not a workbook that can be read ({reason})") from None
    book = Book(data, name)
    book.iterative = bool(workbook.calculation is not None and workbook.calculation.iterate)
    for sheet in workbook.worksheets:
        book.sizes[sheet.title] = (sheet.max_row, sheet.max_column)
        book._titles[sheet.title.casefold()] = sheet.title
    for sheet in workbook.worksheets:
        _read_cells(book, sheet, workbook.epoch)
        for table in sheet.tables.values():
            area = reference(table.ref, sheet.title)
            columns = tuple(column.name for column in table.tableColumns)
            heads = 1 if table.headerRowCount is None else table.headerRowCount
            book.tables[table.displayName.lower()] = Table(area, columns, heads, table.totalsRowCount or 0)
    scopes = [(None, workbook), *((sheet.title, sheet) for sheet in workbook.worksheets)]
    for title, scope in scopes:
        for label, defined in scope.defined_names.items():
            target = _target(book, defined.value or "", title)
            if title is None:
                book.names[label.lower()] = target
            else:
                book.local_names[title, label.lower()] = target
    return book


def bytes_of(source):
    """(name to speak of, bytes) of a path or of bytes; `FileRefused` where it cannot be read or is too large."""
    if isinstance(source, (bytes, bytearray)):
        return "workbook", bytes(source)
    path = Path(source)
    try:
        if path.is_file() and path.stat().st_size > LARGEST_FILE:
            raise FileRefused(f"{path}: larger than {LARGEST_FILE >> 20} MiB")
        return str(path), path.read_bytes()
    except OSError as error:
        raise FileRefused(f"{path}: {error.strerror or error}") from None


def guard(name, data):
    """Refuse what is no workbook, and archives made to harm: the checks come before anything is unpacked."""
    if len(data) > LARGEST_FILE:
        raise FileRefused(f"{name}: larger than {LARGEST_FILE >> 20} MiB")
    if data.startswith(_OLD_OR_ENCRYPTED):
        raise FileRefused(f"{name}: an old .xls file, or one locked with a password; save it as plain .xlsx")
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            _guard_members(name, archive)
    except (zipfile.BadZipFile, NotImplementedError, EOFError, zlib.error, RuntimeError) as error:
        raise FileRefused(f"{name}: not an .xlsx or .xlsm workbook ({error})") from None


def _guard_members(name, archive):
    members = archive.infolist()
    if len(members) > MOST_MEMBERS:
        raise FileRefused(f"{name}: has {len(members)} parts, more than {MOST_MEMBERS}")
    titles = [member.filename for member in members]
    if len(set(titles)) < len(titles):
        raise FileRefused(f"{name}: two of its parts have the same name")
    if "[Content_Types].xml" not in titles or "xl/workbook.xml" not in titles:
        raise FileRefused(f"{name}: not an .xlsx or .xlsm workbook (it has no xl/workbook.xml)")
    if sum(member.file_size for member in members) > LARGEST_CONTENT:
        raise FileRefused(f"{name}: unpacks to more than {LARGEST_CONTENT >> 20} MiB")
    for member in members:
        if member.flag_bits & 1:
            raise FileRefused(f"{name}: its part {member.filename} is encrypted")
        if member.file_size > RATIO_FROM and member.file_size > HIGHEST_RATIO * max(member.compress_size, 1):
            raise FileRefused(f"{name}: its part {member.filename} is packed as tightly as a zip bomb")
        if member.filename.endswith((".xml", ".rels", ".vml")):
            content = archive.read(member)
            if content.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in content:
                raise FileRefused(f"{name}: its part {member.filename} is not UTF-8")
            if b"<!DOCTYPE" in content or b"<!ENTITY" in content:
                raise FileRefused(f"{name}: its part {member.filename} declares a document type or entities")


def _read_cells(book, sheet, epoch):
    title = sheet.title
    filled = []
    for (row, column), cell in sheet._cells.items():
        value = cell.value
        if value is None:
            continue
        key = title, address(row, column)
        if cell.data_type == "f":
            if isinstance(value, ArrayFormula):
                filled.append((value, row, column))
            elif isinstance(value, DataTableFormula):
                book.cells[key] = Formula("=", trouble="a data table is not supported")
            else:
                book.cells[key] = Formula(value)
        elif cell.data_type == "e":
            try:
                book.cells[key] = ExcelError(value)
            except ValueError:
                book.cells[key] = Formula("=", trouble=f"the error value {value} is not supported")
        elif isinstance(value, (datetime, date, time, timedelta)):
            book.cells[key] = float(to_excel(value, epoch))
        elif isinstance(value, (bool, str)):
            book.cells[key] = value
        else:
            book.cells[key] = float(value)
    for value, row, column in filled:  # the other cells it fills hold only cached values
        area = reference(value.ref, title)
        for r in range(area.top, area.bottom + 1):
            for c in range(area.left, area.right + 1):
                book.cells[title, address(r, c)] = Formula(value.text, area, (r - area.top, c - area.left))


def _target(book, text, title):
    """What a defined name stands for: a `Reference`, a plain value, or `Unusable`."""
    text = text.strip().removeprefix("=")
    sheet, rest = split_sheet(text)
    if "[" in text and table_part(text) is None:
        return Unusable("it points to another workbook")
    if sheet is not None:
        if rest.endswith("#REF!"):
            return ExcelError("#REF!")
        known = book.sheet(sheet)
        found = reference(rest, known) if known else None
        return found or Unusable(f"it stands for {text}, which is not a range of one sheet")
    if text.upper() in ("TRUE", "FALSE"):
        return text.upper() == "TRUE"
    if text in ExcelError.TEXTS[1:]:
        return ExcelError(text)
    if re.fullmatch(r'"(?:[^"]|"")*"', text):
        return text[1:-1].replace('""', '"')
    try:
        return float(text)
    except ValueError:
        return Unusable(f"it stands for the formula {text}")


def operand(book, text, sheet, row):
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
    found = reference(rest, known if title is not None else sheet)
    if found is not None:
        return ("ref", found)
    if title is not None:
        target = book.local_names.get((known, rest.lower()))
    else:
        target = book.local_names.get((sheet, rest.lower()), book.names.get(rest.lower()))
    if target is None:
        raise Refused(f"{text} is not known as a name or reference")
    if isinstance(target, Unusable):
        raise Refused(f"the name {rest} is not supported: {target.reason}")
    return ("ref", target) if isinstance(target, Reference) else ("value", target)


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
            return ("value", ExcelError("#VALUE!"))
        first = last = row
    return ("ref", Reference(area.sheet, first, area.left + left, last, area.left + right))


def _column(table, name, title):
    for i, column in enumerate(table.columns):
        if column.casefold() == title.casefold():
            return i
    raise Refused(f"table {name} has no column {title!r}")


