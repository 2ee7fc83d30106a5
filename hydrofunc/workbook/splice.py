"""Values written into a workbook's own bytes: results beside formulas, other values into input cells.

Only the cells named, and what they force, are touched: their sheets' XML, `calcPr` in workbook.xml and, where
an input takes the place of a formula, the calculation chain. Every other part keeps its bytes, its name and
its place in the archive; nothing passes through a writer that could lose charts, formats or names. The same
input gives the same bytes.

`calcPr` gets a recent `calcId` and loses `fullCalcOnLoad`, so that a spreadsheet program shows the values
that stand there until something changes.
"""

import posixpath
import re
import zipfile
from collections import Counter
from dataclasses import dataclass, field
from functools import cached_property
from io import BytesIO
from math import isfinite

from ..engine.collector import collector_paused
from ..engine.lanes import ExcelError
from ..engine.operators import LONGEST_TEXT
from ..engine.reference import address, place
from ..errors import FileRefused
from . import plain
from .parts import Archive, joined, parse, parser_of, relations_of

CALC_ID = "191029"  # of Excel 2019 and later, which recalculate files of older engines when they open them
_CALC_ID = b' calcId="%s"' % CALC_ID.encode()
ATTRIBUTES = rb"""(?:\s+[\w:.-]+\s*=\s*(?:"[^"]*"|'[^']*'))*"""
_START_TAG = re.compile(rb"<([\w:.-]+)(" + ATTRIBUTES + rb")\s*(/?)>")
_TYPE = re.compile(rb"""\s+t\s*=\s*(?:"[^"]*"|'[^']*')""")
_SPANS = re.compile(rb"""\s+spans\s*=\s*(?:"[^"]*"|'[^']*')""")
_DIMENSION = re.compile(rb'<dimension ref="([A-Z0-9:]*)"\s*/>')
_NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")
_LOOKS_ESCAPED = re.compile("_(?=x[0-9A-Fa-f]{4}_)")


@collector_paused()
def splice(source: bytes | Archive, values: dict, inputs: dict | None = None) -> bytes:
    """The bytes of the workbook `source` with other values in it.

    values: {(sheet, "B7"): value} to stand beside formulas; the formulas stay.
    inputs: {(sheet, "B7"): value} to stand in cells as constants, None for a blank; a formula there goes.
    A value is a number, a bool, a str or an `ExcelError`. Raises `FileRefused`.
    """
    return Carrier(source).splice(values, inputs)


class Carrier:
    """A workbook that is spliced again and again, with other values each time: what was read of it is kept."""

    def __init__(self, source: bytes | Archive) -> None:
        self._archive = source if isinstance(source, Archive) else Archive(source)
        self._parts, self._workbook, self._names = (
            self._archive.parts,
            self._archive.workbook,
            self._archive.sheets,
        )
        self._titles = {title.casefold(): title for title in self._names}
        self._sheets: dict[str, _Sheet] = {}
        self._moulds: dict[str, tuple[list, _Mould | None]] = {}  # by sheet: the cells they were made for

    def _sheet(self, title):
        if title not in self._sheets:
            part = self._names[title]
            self._sheets[title] = _Sheet(self._parts[part], title, self._archive.plain(part))
        return self._sheets[title]

    def _mould(self, title, cells):
        """From the second time on that the same cells get values; None where more than values changes."""
        asked = [(at, is_input) for at, (_, is_input) in cells.items()]
        before, mould = self._moulds.get(title, (None, None))
        if before == asked:
            if mould is None:
                mould = _Mould(self._sheet(title), cells)
                self._moulds[title] = asked, mould
            return mould if mould.fits else None
        self._moulds[title] = asked, None
        return None

    @collector_paused()
    def splice(self, values: dict, inputs: dict | None = None) -> bytes:
        """As the function of that name."""
        changes: dict[str, dict] = {}
        for by_cell, is_input in ((values, False), (inputs or {}, True)):
            for (sheet, cell), value in by_cell.items():
                changes.setdefault(sheet, {})[place(cell)] = (value, is_input)
        parts, removed_formulas = dict(self._parts), False
        for sheet, cells in changes.items():
            title = self._titles.get(sheet.casefold())
            if title is None:
                raise FileRefused(f"the workbook has no sheet {sheet!r}")
            edit = _SheetEdit(self._sheet(title), cells)
            if (mould := self._mould(title, cells)) is not None:
                parts[self._names[title]] = mould.filled(edit)
                continue
            parts[self._names[title]], lost = edit.result()
            removed_formulas |= lost
        parts[self._workbook] = _with_calc_id(parts[self._workbook])
        if removed_formulas:
            _drop_calculation_chain(parts, self._workbook)
        return _packed(self._archive, parts)


def _packed(source, parts):
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.comment = source.comment
        for member in source.members:
            if member.filename in parts:
                archive.writestr(_same_member(member), parts[member.filename])
    return out.getvalue()


def _same_member(member):
    copy = zipfile.ZipInfo(member.filename, member.date_time)
    copy.compress_type, copy.external_attr = member.compress_type, member.external_attr
    copy.create_system, copy.comment = member.create_system, member.comment
    return copy


# -- the part that lists the sheets ---------------------------------------------------------------------

# Elements that follow calcPr in CT_Workbook (ECMA-376 part 1, 18.2.27), in its order.
_AFTER_CALC = (
    "oleSize",
    "customWorkbookViews",
    "pivotCaches",
    "smartTagPr",
    "smartTagTypes",
    "webPublishing",
    "fileRecoveryPr",
    "webPublishObjects",
    "extLst",
)


def _with_calc_id(content):
    position = _first_element(content, ["calcPr"])
    if position is not None:
        tag = _tag_at(content, position)
        others = re.sub(rb"""\s+(?:calcId|fullCalcOnLoad)\s*=\s*(?:"[^"]*"|'[^']*')""", b"", tag[2])
        new = b"<" + tag[1] + _CALC_ID + others + (b"/>" if tag[3] else b">")
        return content[:position] + new + content[tag.end() :]
    root = _tag_at(content, _first_element(content, ["workbook"]))
    prefix = root[1][: -len(b"workbook")]
    position = _first_element(content, _AFTER_CALC)
    if position is None:
        position = content.rindex(b"</" + root[1])
    return content[:position] + b"<" + prefix + b"calcPr" + _CALC_ID + b"/>" + content[position:]


def _tag_at(content, position):
    """The start tag at a position. Raises `FileRefused` where none of the usual form stands there."""
    tag = None if position is None else _START_TAG.match(content, position)
    if tag is None:
        raise FileRefused("a part of the workbook is damaged: it has not the elements that it must have")
    return tag


def _first_element(content, names):
    """Where the first element of one of these local names starts; only the root and its children count."""
    positions = []
    depth = [0]
    parser = parser_of(content)

    def start(name, _):
        if depth[0] < 2 and name.rpartition(":")[2] in names:
            positions.append(parser.CurrentByteIndex)
        depth[0] += 1

    def end(_):
        depth[0] -= 1

    parser.StartElementHandler, parser.EndElementHandler = start, end
    parse(parser, content)
    return positions[0] if positions else None


def _drop_calculation_chain(parts, workbook):
    """Remove the calculation chain, which may not name cells without a formula; Excel makes a new one."""
    folder, relations = relations_of(parts, workbook)
    for relation in relations:
        if relation["Type"].endswith("/calcChain"):
            chain = joined(folder, relation["Target"])
            parts.pop(chain, None)
            rels = f"{folder}/_rels/{posixpath.basename(workbook)}.rels"
            parts[rels] = _without(parts[rels], b"Relationship", b"Id", relation["Id"].encode())
            parts["[Content_Types].xml"] = _without(
                parts["[Content_Types].xml"], b"Override", b"PartName", b"/" + chain.encode()
            )


def _without(content, element, attribute, value):
    with_value = attribute + rb"""\s*=\s*["']""" + re.escape(value) + rb"""["']"""
    return re.sub(rb"<(?:\w+:)?" + element + rb"\b[^<>]*\s" + with_value + rb"[^<>]*/>", b"", content)


# -- one sheet -----------------------------------------------------------------------------------------


@dataclass
class _Element:
    """A row or a cell in the sheet's bytes, with its children."""

    at: tuple  # (row,) or (row, column)
    start: int
    end: int = 0
    children: list = field(default_factory=list)

    @cached_property
    def by_place(self) -> dict:
        """The children by row or column."""
        return {child.at[-1]: child for child in self.children}


class _PlainCell:
    """A cell in the bytes of a sheet as programs write it, with what an `_Element` has."""

    __slots__ = ("at", "match")

    def __init__(self, row, column, match):
        self.at, self.match = (row, column), match

    @property
    def start(self) -> int:
        return self.match.start()

    @property
    def end(self) -> int:
        return self.match.end()

    @property
    def children(self) -> list[tuple[str, int, int, dict[str, str]]]:
        """(local name, start, end, attributes) of its elements; attributes only of the formula."""
        spans = ((local, *self.match.span(group)) for group, local in _PLAIN_ELEMENTS)
        return [(local, start, end, self._attributes(local)) for local, start, end in spans if start >= 0]

    def _attributes(self, local):
        return plain.attributes(self.match[plain.FORMULA].partition(b">")[0]) if local == "f" else {}

    def pieces(self) -> tuple[bytes, bytes, bytes, bytes]:
        """As `_Sheet.pieces`."""
        attributes = self.match[1]
        kept = _TYPE.sub(b"", attributes) if b" t=" in attributes else attributes
        return b"c", b"<c" + kept, self.match[plain.FORMULA] or b"", b""


_PLAIN_ELEMENTS = (plain.FORMULA, "f"), (plain.VALUE, "v"), (plain.INLINE, "is")


class _Sheet:
    """A sheet as read: its rows and cells, and where they stand in its bytes."""

    def __init__(self, content, title, sheet):
        self.content, self.title = content, title
        self.rows, self.data, self.dimension = [], None, None
        self._pieces = {}
        self._read(sheet)
        # What stands before the names of the sheet's own elements, such as b"x:".
        self.prefix = _tag_at(content, self.data.start)[1][: -len(b"sheetData")]
        self.by_row = {row.at[0]: row for row in self.rows}

    def pieces(self, cell: _Element | _PlainCell) -> tuple[bytes, bytes, bytes, bytes]:
        """Of a cell its name, its start without a type, its formula, and what is neither formula nor value."""
        if type(cell) is _PlainCell:
            return cell.pieces()
        known = self._pieces.get(cell.start)
        if known is None:
            tag, formula, rest = _tag_at(self.content, cell.start), b"", b""
            for local, start, end, _ in cell.children:
                if local == "f":
                    formula = self.content[start:end]
                elif local not in ("v", "is"):
                    rest += self.content[start:end]
            known = tag[1], b"<" + tag[1] + _TYPE.sub(b"", tag[2]), formula, rest
            self._pieces[cell.start] = known
        return known

    # -- reading

    @cached_property
    def shared_users(self) -> Counter[str | None]:
        """How many cells use each of the shared formulas."""
        formulas = (
            child[3] for row in self.rows for cell in row.children for child in cell.children if child[0] == "f"
        )
        return Counter(each.get("si") for each in formulas if each.get("t") == "shared")

    def _read(self, sheet):
        if sheet is not None and self._read_plain(sheet):
            return
        self._open = []  # the elements around the reader: (local name, where it starts)
        self._at = [0, 0]  # row and column of the cell last seen
        self._parser = parser_of(self.content)
        self._parser.StartElementHandler, self._parser.EndElementHandler = self._starts, self._ends
        parse(self._parser, self.content, f"the sheet {self.title}")
        if self.data is None:
            raise FileRefused(f"the sheet {self.title} holds no cells")

    def _read_plain(self, sheet):
        """Take over a sheet as programs write it; False where its dimension looks otherwise."""
        dimensions = list(_DIMENSION.finditer(self.content))
        if len(dimensions) != self.content.count(b"<dimension"):
            return False
        if dimensions:
            self.dimension = dimensions[0].start(), dimensions[0][1].decode()
        self.data = _Element((), sheet.start, sheet.end)
        self.rows = [
            _Element(
                (row.number,),
                row.start,
                row.end,
                [_PlainCell(row.number, column, match) for column, match in row.cells],
            )
            for row in sheet.rows
        ]
        return True

    def _path(self):
        """The elements around the reader below the root, as far as they count: a file may nest thousands."""
        return [local for local, _ in self._open[1:6]]

    def _starts(self, name, attributes):
        start = self._parser.CurrentByteIndex
        self._open.append((name.rpartition(":")[2], start))
        path = self._path()
        if path == ["dimension"]:
            self.dimension = start, attributes.get("ref", "")
        elif path == ["sheetData"]:
            self.data = _Element((), start)
        elif path == ["sheetData", "row"]:
            self._at = [int(attributes.get("r", self._at[0] + 1)), 0]
            self.rows.append(_Element((self._at[0],), start))
        elif path == ["sheetData", "row", "c"]:
            at = place(attributes["r"]) if "r" in attributes else (self._at[0], self._at[1] + 1)
            self._at = list(at)
            self.rows[-1].children.append(_Element(at, start))
        elif path[:3] == ["sheetData", "row", "c"] and len(path) == 4:
            self.rows[-1].children[-1].children.append((path[-1], start, start, attributes))

    def _ends(self, name):
        path = self._path()
        _, start = self._open.pop()
        if path[:1] != ["sheetData"] or len(path) > 4:
            return
        tag = _tag_at(self.content, start)
        end = tag.end() if tag[3] else self.content.index(b">", self._parser.CurrentByteIndex) + 1
        if path == ["sheetData"]:
            self.data.end = end
        elif path == ["sheetData", "row"]:
            self.rows[-1].end = end
        elif path == ["sheetData", "row", "c"]:
            self.rows[-1].children[-1].end = end
        elif path[:3] == ["sheetData", "row", "c"]:
            children = self.rows[-1].children[-1].children
            local, start, _, attributes = children[-1]
            children[-1] = local, start, end, attributes


class _SheetEdit:
    def __init__(self, sheet, cells):
        self.sheet, self.cells = sheet, cells
        self.content, self.title, self.rows, self.data = sheet.content, sheet.title, sheet.rows, sheet.data
        self.prefix = sheet.prefix
        self.lost_formula = False

    def result(self) -> tuple[bytes, bool]:
        """(new bytes of the sheet, did a formula go)."""
        edits = []
        todo = {}
        for (row, column), change in self.cells.items():
            todo.setdefault(row, {})[column] = change
        rows = self.sheet.by_row
        for row, changes in sorted(todo.items()):
            if row in rows:
                edits += self._row_edits(rows[row], changes)
            else:
                changes = {column: change for column, change in changes.items() if change[0] is not None}
                if changes:
                    edits.append(self._new_row(row, changes))
        edits += self.dimension_edit()
        edits.sort(key=lambda edit: edit[0])
        pieces, done = [], 0
        for start, end, new in edits:
            pieces += [self.content[done:start], new]
            done = end
        return b"".join([*pieces, self.content[done:]]), self.lost_formula

    def _row_edits(self, row, changes):
        cells, edits = row.by_place, []
        tag = _tag_at(self.content, row.start)
        added = {}
        for column, (value, is_input) in sorted(changes.items()):
            if column in cells:
                cell = cells[column]
                edits.append((cell.start, cell.end, self._cell(cell, value, is_input)))
            elif value is not None:
                added[column] = self._new_cell(row.at[0], column, value)
        if not added:
            return edits
        attributes = _SPANS.sub(b"", tag[2])
        if tag[3]:  # a row without cells
            body = b"".join(new for _, new in sorted(added.items()))
            return [(row.start, row.end, b"<" + tag[1] + attributes + b">" + body + b"</" + tag[1] + b">")]
        if attributes != tag[2]:
            edits.append((tag.start(2), tag.end(2), attributes))
        for column, new in sorted(added.items()):
            position = next((cell.start for cell in row.children if cell.at[1] > column), None)
            if position is None:
                position = row.children[-1].end if row.children else tag.end()
            edits.append((position, position, new))
        return edits

    def _new_row(self, row, changes):
        name = self.prefix + b"row"
        body = b"".join(self._new_cell(row, column, value) for column, (value, _) in sorted(changes.items()))
        new = b"<" + name + b' r="%d">' % row + body + b"</" + name + b">"
        following = next((other.start for other in self.rows if other.at[0] > row), None)
        if following is not None:
            return following, following, new
        tag = _tag_at(self.content, self.data.start)
        if tag[3]:
            whole = b"<" + tag[1] + tag[2] + b">" + new + b"</" + tag[1] + b">"
            return self.data.start, self.data.end, whole
        position = self.rows[-1].end if self.rows else tag.end()
        return position, position, new

    def _new_cell(self, row, column, value):
        kind, body = self.content_of(value, False)
        name = self.prefix + b"c"
        return b'<%s r="%s"%s>%s</%s>' % (name, address(row, column).encode(), kind, body, name)

    def _cell(self, cell, value, is_input):
        name, start, formula, rest = self.sheet.pieces(cell)
        if is_input:
            for local, _, _, attributes in cell.children:
                if local == "f":
                    self._may_lose(cell, attributes)
            formula = b""
        kind, body = self.content_of(value, bool(formula))
        inside = formula + body + rest
        return start + kind + (b">" + inside + b"</" + name + b">" if inside else b"/>")

    def _may_lose(self, cell, attributes):
        """Refuse to put a constant where other cells need the formula."""
        where = f"{self.title}!{address(*cell.at)}"
        if attributes.get("t") == "array":
            raise FileRefused(f"{where} holds an array formula; it cannot take another value")
        if attributes.get("t") == "dataTable":
            raise FileRefused(f"{where} belongs to a data table; it cannot take another value")
        shared = attributes.get("t") == "shared" and self.sheet.shared_users[attributes.get("si")] > 1
        if shared and "ref" in attributes:
            raise FileRefused(f"{where} holds a formula other cells share; it cannot take another value")
        self.lost_formula = True

    def content_of(self, value: object, beside_formula: bool) -> tuple[bytes, bytes]:
        """(the type attribute, the elements that hold the value)."""
        v = self.prefix + b"v"

        def wrapped(text):
            return b"<" + v + b">" + text + b"</" + v + b">"

        if value is None:
            return b"", b""
        if type(value) is float and isfinite(value):
            return b"", wrapped(_digits(value))
        if isinstance(value, ExcelError):
            return b' t="e"', wrapped(value.text.encode())
        if isinstance(value, str):
            if len(value) > LONGEST_TEXT:
                raise FileRefused(f"{self.title}: a text of {len(value)} characters, more than a cell can hold")
            text, space = _xml_text(value)
            if beside_formula:
                return b' t="str"', b"<" + v + space + b">" + text + b"</" + v + b">"
            is_, t = self.prefix + b"is", self.prefix + b"t"
            inner = b"<" + t + space + b">" + text + b"</" + t + b">"
            return b' t="inlineStr"', b"<" + is_ + b">" + inner + b"</" + is_ + b">"
        if isinstance(value, bool) or type(value).__name__ in ("bool_", "bool"):
            return b' t="b"', wrapped(b"1" if value else b"0")
        number = float(value)
        if not isfinite(number):
            raise FileRefused(f"{self.title}: {number} cannot stand in a cell")
        return b"", wrapped(_digits(number))

    def dimension_edit(self) -> list[tuple[int, int, bytes]]:
        """The sheet's dimension, widened where a new cell lies outside of it."""
        if self.sheet.dimension is None:
            return []
        start, ref = self.sheet.dimension
        first, _, last = ref.partition(":")
        try:
            top, left = place(first)
            bottom, right = place(last or first)
        except ValueError:
            return []
        written = [at for at, (value, _) in self.cells.items() if value is not None]
        rows = [top, bottom, *(row for row, _ in written)]
        columns = [left, right, *(column for _, column in written)]
        if (min(rows), min(columns), max(rows), max(columns)) == (top, left, bottom, right):
            return []
        tag = _tag_at(self.content, start)
        wide = f"{address(min(rows), min(columns))}:{address(max(rows), max(columns))}".encode()
        new = re.sub(rb"""(\sref\s*=\s*["'])[^"']*""", lambda m: m[1] + wide, tag[0])
        return [(start, tag.end(), new)]


class _Mould:
    """A sheet cut up between the values of some cells, so that other values only have to be set in.

    `fits` says whether they can be: not where a cell is new or a formula goes, nor where the sheet says it is smaller.
    """

    def __init__(self, sheet: _Sheet, cells: dict) -> None:
        self.parts: list[tuple[tuple[int, int], bytes, bytes, bytes, bool]] = []
        self.fits, done = not _SheetEdit(sheet, dict.fromkeys(cells, (0.0, False))).dimension_edit(), 0
        for at, (_, is_input) in sorted(cells.items()):
            row = sheet.by_row.get(at[0])
            cell = row and row.by_place.get(at[1])
            if cell is None or (is_input and any(local == "f" for local, *_ in cell.children)):
                self.fits = False
                return
            name, start, formula, rest = sheet.pieces(cell)
            before = sheet.content[done : cell.start] + start
            self.parts.append((at, before, formula, rest + b"</" + name + b">", bool(formula or rest)))
            done = cell.end
        self.end = sheet.content[done:]

    def filled(self, edit: "_SheetEdit") -> bytes:
        """The bytes of the sheet with the values of an edit of the same cells."""
        pieces = []
        for at, before, formula, after, has_more in self.parts:
            kind, body = edit.content_of(edit.cells[at][0], bool(formula))
            pieces += (before, kind, b">", formula, body, after) if has_more or body else (before, kind, b"/>")
        return b"".join([*pieces, self.end])


def _digits(number):
    text = repr(number + 0.0)  # no negative zero
    return (text[:-2] if text.endswith(".0") else text).encode()


def _xml_text(value):
    """(a text as XML, the attribute that keeps its white space)."""
    value = _LOOKS_ESCAPED.sub("_x005F_", value)
    value = _NOT_XML.sub(lambda m: f"_x{ord(m[0]):04X}_", value)
    space = b' xml:space="preserve"' if value != value.strip() or "\n" in value else b""
    value = value.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return value.replace("\r", "_x000D_").encode("utf-8", "surrogatepass"), space
