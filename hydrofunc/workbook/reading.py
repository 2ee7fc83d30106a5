"""Reads a workbook file into the engine's `Book`: constants, formulas and names, not the values cached beside formulas.

Guards against files made to harm come first.
"""

import re
import warnings
import zipfile
import zlib
from datetime import date, datetime, time, timedelta
from io import BytesIO
from math import isfinite
from pathlib import Path
from xml.parsers import expat

from defusedxml import ElementTree
from defusedxml.common import DefusedXmlException
from openpyxl.reader.excel import ExcelReader
from openpyxl.utils.datetime import to_excel
from openpyxl.worksheet.formula import ArrayFormula, DataTableFormula

from ..engine.book import Book, Formula, Table, Unusable
from ..engine.cell import MOST_CELLS
from ..engine.collector import collector_paused
from ..engine.lanes import ExcelError
from ..engine.reference import MAX_COLUMN, MAX_ROW, address, place, reference, split_sheet, table_part
from ..errors import FileRefused
from .parts import Archive
from .plain import FORMULA, INLINE, VALUE, as_text, inline_text, inside, is_plain, kind_of
from .splice import ATTRIBUTES

LARGEST_FILE = 64 * 2**20  # bytes, as stored
LARGEST_CONTENT = 512 * 2**20  # bytes, unpacked
HIGHEST_RATIO = 200  # of unpacked to packed, for parts beyond RATIO_FROM bytes
RATIO_FROM = 4 * 2**20
MOST_MEMBERS = 5_000
# A range that stays where it is. One without all the $ signs counts from the cell of the formula that has the name.
_FIXED = re.compile(r"(\$[A-Za-z]+\$[0-9]+)(:\$[A-Za-z]+\$[0-9]+)?|\$[A-Za-z]+:\$[A-Za-z]+|\$[0-9]+:\$[0-9]+")
_ESCAPED = re.compile("_x([0-9A-Fa-f]{4})_")  # of a character that XML cannot hold (ECMA-376 part 1, 22.9.2.19)
# The element around a sheet of the usual namespace (ECMA-376 part 1), and a number as programs write it.
_ROOT = re.compile(rb'<worksheet [^<>]*xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"[^<>]*>')
# Elements that are closed by a tag of their own: so each is looked for once, however many there are.
_CONDITIONS = re.compile(rb"<(conditionalFormatting|dataValidations)" + ATTRIBUTES + rb"\s*>.*?</\1\s*>", re.DOTALL)
# Merged cells and names as programs write them.
_AREA = rb'<mergeCell ref="[A-Z]{1,3}[1-9][0-9]{0,6}:[A-Z]{1,3}[1-9][0-9]{0,6}" ?/>'
_MERGED = re.compile(rb'<mergeCells(?: count="[0-9]{1,9}")?>(?:' + _AREA + rb")+</mergeCells>")
_MERGED_AREA = re.compile(rb'"([A-Z]+[0-9]+):([A-Z]+[0-9]+)"')
_NAME = re.compile(rb'<definedName name="((?!(?i:_xlnm))[\w.\\]+)"(?: hidden="[01]")?>([^<]*)</definedName>')
_LOCAL_NAME = re.compile(rb'<definedName [^<>]*\blocalSheetId="')
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_LIST_OF_NAMES = [f"{_MAIN} workbook", f"{_MAIN} definedNames"]
_NUMBER = re.compile(r"[-+]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]+)?")
_OLD_OR_ENCRYPTED = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # OLE compound file


@collector_paused()
def read_book(source: str | Path | bytes | Archive) -> Book:
    """The `Book` in a file, given by path, as bytes or opened; .xlsx and .xlsm. Raises `FileRefused`."""
    archive = opened(source)
    name = archive.name
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of parts openpyxl would lose on saving; we never save with it
            rest, plain = _plain_sheets(archive)
            names = _plain_names(rest, archive.workbook)
            reader = _by_openpyxl(rest, archive)
            if names and reader.parser.workbook_part_name != archive.workbook:  # it reads another list of names
                names, rest[archive.workbook] = {}, archive.parts[archive.workbook]
                reader = _by_openpyxl(rest, archive)
            values = {title: _with_texts(cells, reader.shared_strings) for title, (_, cells) in plain.items()}
    except DefusedXmlException as error:
        raise FileRefused(f"{name}: its XML declares entities or a document type ({error})") from None
    except Exception as error:  # openpyxl raises whatever it stumbles over
        reason = f"{type(error).__name__}: {error}"
        raise FileRefused(f"{name}: not a workbook that can be read ({reason})") from None
    workbook = reader.wb
    _refuse_sheets_not_read(archive, workbook.sheetnames)
    book = Book(archive.data, name)
    if (calculation := workbook.calculation) is not None:
        if calculation.iterate:
            book.trouble = "the workbook asks for iterative calculation, which is not supported"
        if calculation.fullPrecision is False:
            book.trouble = "the workbook calculates with numbers as they are displayed, which is not supported"
    for sheet in workbook.worksheets:
        book.sizes[sheet.title], _ = plain.get(sheet.title, ((sheet.max_row, sheet.max_column), []))
        book._titles[sheet.title.casefold()] = sheet.title
    for sheet in workbook.worksheets:
        if sheet.title in plain:
            _enter(book, sheet.title, values[sheet.title])
        else:
            _read_cells(book, sheet, workbook.epoch)
        for table in sheet.tables.values():
            area = reference(table.ref or "", sheet.title)
            if area is None:
                raise FileRefused(f"{name}: its table {table.displayName} does not say where it lies")
            columns = tuple(column.name for column in table.tableColumns)
            heads = 1 if table.headerRowCount is None else table.headerRowCount
            book.tables[table.displayName.lower()] = Table(area, columns, heads, table.totalsRowCount or 0)
    for label, text in names.items():
        book.names[label.lower()] = _target(book, text)
    scopes = [(None, workbook), *((sheet.title, sheet) for sheet in workbook.worksheets)]
    for title, scope in scopes:
        for label, defined in scope.defined_names.items():
            target = _target(book, defined.value or "")
            if title is None:
                book.names[label.lower()] = target
            else:
                book.local_names[title, label.lower()] = target
    return book


def _refuse_sheets_not_read(archive, titles):
    """Refuse a workbook of which sheets would be passed over without a word."""
    root, name = _workbook_root(archive), archive.name
    if "purl.oclc.org" in root.tag:
        raise FileRefused(f'{name}: a "Strict Open XML" workbook; save it as an ordinary Excel workbook (.xlsx)')
    listed = [each.get("name", "") for each in root.iter() if each.tag.endswith("}sheet")]
    if missing := [title for title in listed if title not in titles]:
        raise FileRefused(f"{name}: the sheet {missing[0]} cannot be read: its part is missing or of an unknown kind")


def _workbook_root(archive):
    """The XML that lists sheets and names."""
    try:
        return ElementTree.fromstring(archive.read(archive.member("xl/workbook.xml")))
    except (DefusedXmlException, ElementTree.ParseError) as error:
        raise FileRefused(f"{archive.name}: not a workbook that can be read ({error})") from None


def formulas_without_value(data: bytes, title: str) -> list[str]:
    """The cells of a sheet whose formula has no value stored beside it, as other programs than spreadsheets write."""
    archive = Archive(data)
    content = archive.parts[archive.sheets[title]]
    if not re.search(rb"<([\w.-]+:)?f[\s/>]", content):
        return []
    bare = []
    for cell in ElementTree.fromstring(content).iter():
        if cell.tag.endswith("}c") and cell.get("t") != "str":
            inside = {child.tag.rpartition("}")[2]: child.text for child in cell}
            if "f" in inside and not inside.get("v"):
                bare.append(cell.get("r", "?"))
    return bare


def defined_names(source: str | Path | bytes | Archive) -> set[str]:
    """The names a whole workbook defines, in lower case; much quicker than `read_book`. Raises `FileRefused`."""
    names = (
        each
        for each in _workbook_root(opened(source)).iter()
        if each.tag.endswith("}definedName") and each.get("localSheetId") is None
    )
    return {each.get("name", "").lower() for each in names}


def bytes_of(source: str | Path | bytes) -> tuple[str, bytes]:
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
    except ValueError as error:  # a zero byte in the name
        raise FileRefused(f"{str(path)!r} names no file: {error}") from None


def opened(source: str | Path | bytes | Archive) -> Archive:
    """A workbook's file, opened and guarded. Raises `FileRefused`."""
    return source if isinstance(source, Archive) else guard(*bytes_of(source))


def guard(name: str, data: bytes) -> Archive:
    """Refuse what is no workbook, and archives made to harm: the checks come before anything is unpacked."""
    if len(data) > LARGEST_FILE:
        raise FileRefused(f"{name}: larger than {LARGEST_FILE >> 20} MiB")
    if data.startswith(_OLD_OR_ENCRYPTED):
        raise FileRefused(f"{name}: an old .xls file, or one locked with a password; save it as plain .xlsx")
    try:
        archive = Archive(data, name)
        _guard_members(name, archive)
        return archive
    except (zipfile.BadZipFile, NotImplementedError, EOFError, zlib.error, RuntimeError) as error:
        raise FileRefused(f"{name}: not an .xlsx or .xlsm workbook ({error})") from None


def _guard_members(name, archive):
    members = archive.members
    if len(members) > MOST_MEMBERS:
        raise FileRefused(f"{name}: has {len(members)} parts, more than {MOST_MEMBERS}")
    titles = [member.filename for member in members]
    if len(set(titles)) < len(titles):
        raise FileRefused(f"{name}: two of its parts have the same name")
    if "mimetype" in titles and b"opendocument.spreadsheet" in archive.start("mimetype", 100):
        raise FileRefused(
            f"{name}: a workbook of LibreOffice Calc's own kind; there, File > Save a Copy as Excel 2007-365 (.xlsx), "
            "and give that"
        )
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


def _plain_sheets(archive):
    """(the parts without the cells of sheets that `plain_sheet` reads; their size and cells, by title).

    Most of the time goes into cells, formats on conditions and merged cells, so openpyxl gets such sheets without
    them; all else it reads, as what is damaged has to be said.
    """
    parts = archive.parts
    plain, rest = {}, dict(parts)
    for title, name in archive.sheets.items():
        root = _ROOT.search(parts[name])
        sheet = archive.plain(name) if root and b"<tableParts" not in parts[name] else None
        cells = None if sheet is None else _plain_cells(sheet.rows)
        if cells is not None:
            plain[title] = _size(sheet.rows), cells
            behind = _MERGED.sub(_without_merged, _CONDITIONS.sub(b"", parts[name][sheet.end :]))
            rest[name] = parts[name][: sheet.start] + b"<sheetData/>" + behind
    return rest, plain


def _without_merged(block):
    """Nothing in place of merged cells that are all as they must be; any others stay, for openpyxl to refuse."""
    for first, last in _MERGED_AREA.findall(block[0]):
        try:
            (row, column), (last_row, last_column) = place(first.decode()), place(last.decode())
        except ValueError:
            return block[0]
        if row > last_row or column > last_column:
            return block[0]
    return b""


def _plain_names(parts, workbook):
    """The names of the whole workbook, where all are written plainly; they are taken out of `parts`.

    openpyxl takes long over them. Where one is written otherwise it gets all, as what is damaged has to be said.
    """
    content = parts[workbook]
    names = _NAME.findall(content)
    if not _are_names(content, len(names) + len(_LOCAL_NAME.findall(content))):
        return {}
    parts[workbook] = _NAME.sub(b"", content)
    return {name.decode(): as_text(text) for name, text in names}


def _are_names(content, count):
    """Whether a part lists so many names, and nothing else in it looks like one."""
    if not is_plain(content) or content.count(b"<definedName ") != count:
        return False
    path, in_list = [], []

    def start(name, _):
        if name.endswith(" definedName"):
            in_list.append(path == _LIST_OF_NAMES)
        path.append(name)

    try:
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.StartElementHandler, parser.EndElementHandler = start, lambda _: path.pop()
        parser.Parse(content, True)
    except (expat.ExpatError, ValueError):
        return False
    return len(in_list) == count and all(in_list)


def _by_openpyxl(parts, archive):
    """openpyxl's reader, with what it has read of these parts."""
    packed = BytesIO(archive.data)
    if parts != archive.parts:
        packed = BytesIO()
        with zipfile.ZipFile(packed, "w") as target:
            for name, content in parts.items():
                target.writestr(zipfile.ZipInfo(name), content)
    reader = ExcelReader(packed, keep_links=False)
    reader.read()
    return reader


def _size(rows):
    """(last row, last column) that hold a cell."""
    filled = [row for row in rows if row.cells]
    return max((row.number for row in filled), default=1), max((row.cells[-1][0] for row in filled), default=1)


class _Unusual(Exception):
    """A cell of a kind that openpyxl knows better."""


class _SharedText(int):
    """The number of a text in the workbook's table of them."""

    __slots__ = ()


def _plain_cells(rows):
    """(row, column, value) of the cells that hold something; None where one of them is unusual."""
    cells = []
    try:
        for row in rows:
            number = row.number
            for column, cell in row.cells:
                value = _plain_value(cell)
                if value is not None:
                    cells.append((number, column, value))
    except _Unusual:
        return None
    return cells


def _plain_value(cell):
    formula, value, inline = cell.group(FORMULA, VALUE, INLINE)
    if formula is not None:
        if b' t="' in formula[: formula.index(b">")]:
            raise _Unusual
        return Formula("=" + inside(formula))
    kind = kind_of(cell)
    if inline is not None:
        text = inline_text(inline) if kind == "inlineStr" else None
        if text is None:
            raise _Unusual
        return _text(text)
    if value is None:  # a cell without a value, most often one that only has a look
        return _nothing(kind)
    text = inside(value)
    match kind:
        case "inlineStr":
            return None
        case "n" if not text or (_NUMBER.fullmatch(text) and isfinite(float(text))):
            return float(text) if text else None
        case "s" if not text or text.isdecimal():
            return _SharedText(text) if text else None
        case "b" if not text or text.isdecimal():
            return bool(int(text)) if text else None
        case "e":
            return _error(text) if text else None
        case "str":
            return _text(text) if text else None
    raise _Unusual


def _nothing(kind):
    if kind not in ("inlineStr", "n", "s", "b", "e", "str"):
        raise _Unusual


def _with_texts(cells, shared):
    return [
        (row, column, _text(shared[value]) if type(value) is _SharedText else value) for row, column, value in cells
    ]


def _enter(book, title, cells):
    for row, column, value in cells:
        if row > MAX_ROW or column > MAX_COLUMN:
            raise _no_such_cell(book, title, row)
        book.cells[title, address(row, column)] = value


def _no_such_cell(book, title, row):
    return FileRefused(f"{book.source}: sheet {title} has a cell in row {row}, which no worksheet has")


def _error(text):
    """An error value, or what stands for one that the engine does not know."""
    try:
        return ExcelError(text)
    except ValueError:
        return Formula("=", trouble=f"the error value {text} is not supported")


def _text(text):
    return _ESCAPED.sub(lambda match: chr(int(match[1], 16)), text) if "_x" in text else text


def _read_cells(book, sheet, epoch):
    title = sheet.title
    filled = []
    for (row, column), cell in sheet._cells.items():
        value = cell.value
        if value is None:
            continue
        if row > MAX_ROW or column > MAX_COLUMN:
            raise _no_such_cell(book, title, row)
        key = title, address(row, column)
        if cell.data_type == "f":
            if isinstance(value, ArrayFormula):
                filled.append((value, row, column))
            elif isinstance(value, DataTableFormula):
                book.cells[key] = Formula("=", trouble="a data table is not supported")
            else:
                book.cells[key] = Formula(value)
        elif cell.data_type == "e":
            book.cells[key] = _error(value)
        elif isinstance(value, (datetime, date, time, timedelta)):
            book.cells[key] = float(to_excel(value, epoch))
        elif isinstance(value, bool):
            book.cells[key] = value
        elif isinstance(value, str):
            book.cells[key] = _text(value)
        else:
            book.cells[key] = float(value)
    for value, row, column in filled:  # the other cells it fills hold only cached values
        area = reference(value.ref, title)
        if area is None or area.height * area.width > MOST_CELLS:
            book.cells[title, address(row, column)] = Formula("=", trouble=f"an array formula over {value.ref}")
            continue
        for r in range(area.top, area.bottom + 1):
            for c in range(area.left, area.right + 1):
                book.cells[title, address(r, c)] = Formula(value.text, area, (r - area.top, c - area.left))


def _target(book, text):
    """What a defined name stands for: a `Reference`, a plain value, or `Unusable`."""
    text = text.strip().removeprefix("=")
    sheet, rest = split_sheet(text)
    if "[" in text and table_part(text) is None:
        return Unusable("it points to another workbook")
    if sheet is not None:
        if rest.endswith("#REF!"):
            return ExcelError("#REF!")
        known = book.sheet(sheet)
        area = reference(rest, known) if known else None
        if area and not _FIXED.fullmatch(rest):
            return Unusable(f"it stands for {text}, which is another cell in each formula: write it with $ signs")
        return area or Unusable(f"it stands for {text}, which is not a range of one sheet")
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
