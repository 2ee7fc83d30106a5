"""Sheets are read by patterns where they look as programs write them, and else by a parser: nobody can tell which."""

import zipfile
from io import BytesIO
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrofunc.engine.book import Formula
from hydrofunc.engine.lanes import ExcelError
from hydrofunc.errors import FileRefused
from hydrofunc.workbook import parts, reading, splice
from hydrofunc.workbook.plain import plain_sheet
from tests.engine.fake_functions import saved

KEPT = sorted((Path(__file__).parents[2] / "workbooks").rglob("*.xlsx"))
TEMPLATE = KEPT[-1]


def by_the_parser(do):
    """What `do` gives where no sheet is read by patterns."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(parts, "plain_sheet", lambda content: None)
        return do()


def cells(data):
    return {key: (type(value), value) for key, value in reading.read_book(data).cells.items()}


def sheets_of(data):
    with zipfile.ZipFile(BytesIO(data)) as archive:
        return [archive.read(name) for name in archive.namelist() if name.startswith("xl/worksheets/sheet")]


@pytest.mark.parametrize("path", KEPT, ids=lambda path: path.stem)
def test_both_readings_of_a_kept_workbook_are_the_same(path):
    data = path.read_bytes()
    assert all(plain_sheet(content) for content in sheets_of(data))
    assert cells(data) == by_the_parser(lambda: cells(data))
    assert list(cells(data)) == by_the_parser(lambda: list(cells(data)))


@pytest.mark.parametrize("path", KEPT[:2] + KEPT[-2:], ids=lambda path: path.stem)
def test_both_ways_of_splicing_give_the_same_bytes(path):
    data = path.read_bytes()
    book = reading.read_book(data)
    values = {key: float(i) for i, (key, value) in enumerate(book.cells.items()) if isinstance(value, Formula)}
    inputs = {(title, f"{column}{row}"): "new & <old>" for title in book.sheets for column in "AZ" for row in (1, 900)}
    # Two inputs beyond every cell make new cells and new rows.
    inputs = {key: value for key, value in inputs.items() if key not in values}
    spliced = splice.splice(data, values, inputs)
    assert spliced == by_the_parser(lambda: splice.splice(data, values, inputs))
    assert reading.read_book(spliced).cells[book.sheets[0], "Z900"] == "new & <old>"


TEXT = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=12)
CELL = st.one_of(TEXT, st.floats(allow_nan=False, allow_infinity=False), st.booleans(), st.just("=A1&\"<b> 'x'\""))


@given(st.lists(st.lists(CELL, max_size=3), min_size=1, max_size=3))
def test_whatever_a_program_writes_is_read_the_same(rows):
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    data = saved(book)
    assert cells(data) == by_the_parser(lambda: cells(data))


SHARED = b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>shared</t></si></sst>'

OVERRIDE = (
    b'<Override PartName="/xl/sharedStrings.xml" '
    b'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/>'
)


def with_cells(rows, head=b""):
    """A workbook whose sheet holds these rows."""
    packed, out = BytesIO(saved(openpyxl.Workbook())), BytesIO()
    with zipfile.ZipFile(packed) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            content = old.read(name)
            if name == "xl/worksheets/sheet1.xml":
                start, end = content.index(b"<sheetData>"), content.index(b"</sheetData>")
                content = content[:start] + head + b"<sheetData>" + rows + content[end:]
            new.writestr(name, content.replace(b"</Types>", b"%s</Types>" % OVERRIDE))
        new.writestr("xl/sharedStrings.xml", SHARED)
    return out.getvalue()


PLAIN = b'<row r="1"><c r="A1"><v>7</v></c></row>'


@pytest.mark.parametrize(
    "data",
    [
        with_cells(b'<!-- <row r="1"><c r="A1"><v>8</v></c></row> -->' + PLAIN),
        with_cells(PLAIN, head=b'<!-- <sheetData><row r="1"><c r="A1"><v>8</v></c></row></sheetData> -->'),
        with_cells(b"\n " + PLAIN),
        with_cells(b"<row r='1'><c r='A1'><v>7</v></c></row>"),
        with_cells(b"<row><c><v>7</v></c></row>"),
        with_cells(b'<row r="1"><c r="A1"><v>7</v><extLst/></c></row>'),
        with_cells(b'<row r="1"><c r="A1"><v>8</v></c><c r="A1"><v>7</v></c></row>'),
        with_cells(b'<row r="2"><c r="A2"><v>1</v></c></row><row r="1"><c r="A1"><v>7</v></c></row>'),
        with_cells(b'<row r="1"><c r="A1" t="n"><v><![CDATA[7]]></v></c></row>'),
    ],
    ids=["a comment", "a comment before", "white space", "quotes", "no addresses", "more", "twice", "order", "CDATA"],
)
def test_what_looks_otherwise_is_left_to_the_parser(data):
    assert not any(plain_sheet(content) for content in sheets_of(data))
    assert reading.read_book(data).cells["Sheet", "A1"] == 7.0


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        (b'<c r="A1"><v>1E-3</v></c>', 0.001),
        (b'<c r="A1" s="0"><v>-.5</v></c>', -0.5),
        (b'<c r="A1" t="s"><v>0</v></c>', "shared"),
        (b'<c r="A1" t="b"><v>1</v></c>', True),
        (b'<c r="A1" t="e"><v>#N/A</v></c>', ExcelError("#N/A")),
        (b'<c r="A1" t="str"><v>a &amp; b</v></c>', "a & b"),
        (b'<c r="A1" t="inlineStr"><is><t xml:space="preserve"> a&#10;b</t></is></c>', " a\nb"),
        (b'<c r="A1"><f>1&lt;2</f><v>0</v></c>', Formula("=1<2")),
        (b'<c r="A1" t="str"><f ca="1">B1&amp;"&gt;"</f><v/></c>', Formula('=B1&">"')),
        (b'<c r="A1" t="str"><v>_x0007_</v></c>', "\x07"),
        (b'<c r="A1" t="s"><v/></c>', None),
        (b'<c r="A1"/>', None),
    ],
)
def test_every_kind_of_cell_that_programs_write(cell, value):
    data = with_cells(b'<row r="1">' + cell + b"</row>")
    assert all(plain_sheet(content) for content in sheets_of(data))
    found = reading.read_book(data).cells.get(("Sheet", "A1"))
    assert (type(found), found) == (type(value), value)
    assert cells(data) == by_the_parser(lambda: cells(data))


@pytest.mark.parametrize("number", [b"1", b"0.0", b"x"])
def test_a_text_that_no_table_holds_is_refused(number):
    with pytest.raises(FileRefused, match="not a workbook that can be read"):
        reading.read_book(with_cells(b'<row r="1"><c r="A1" t="s"><v>' + number + b"</v></c></row>"))


# -- merged cells and names, which are read by patterns too ------------------------------------------------


def with_part(name, change):
    """The template with one of its parts changed."""
    out = BytesIO()
    with zipfile.ZipFile(TEMPLATE) as archive, zipfile.ZipFile(out, "w") as target:
        for member in archive.namelist():
            content = archive.read(member)
            changed = change(content) if member == name else content
            assert (member == name) == (changed != content)
            target.writestr(member, changed)
    return out.getvalue()


@pytest.mark.parametrize("path", KEPT[:1] + KEPT[-1:], ids=lambda path: path.stem)
def test_names_are_those_that_openpyxl_finds_in_the_same_order(path):
    assert b"<mergeCell ref=" in sheets_of(path.read_bytes())[3]
    book, workbook = reading.read_book(path), openpyxl.load_workbook(path)
    assert list(book.names) == [name.lower() for name in workbook.defined_names]
    for name, defined in workbook.defined_names.items():
        assert book.names[name.lower()] == reading._target(book, defined.value)


@pytest.mark.parametrize(
    "other",
    [b"G64:B9", b"G64:G", b"G0:J64", b"G64:JJJJ64", b"64:G64", b""],
)
def test_merged_cells_that_cannot_be_are_refused(other):
    data = with_part("xl/worksheets/sheet4.xml", lambda content: content.replace(b'ref="G64:J64"', b'ref="%s"' % other))
    with pytest.raises(FileRefused, match="not a workbook that can be read"):
        reading.read_book(data)


@pytest.mark.parametrize(
    "other",
    [
        b'<definedName nam="to_give">',
        b'<definedName name="to_give" x="1">',
    ],
)
def test_a_name_that_is_damaged_is_refused(other):
    data = with_part("xl/workbook.xml", lambda content: content.replace(b'<definedName name="to_give">', other))
    with pytest.raises(FileRefused, match="not a workbook that can be read"):
        reading.read_book(data)


@pytest.mark.parametrize(
    ("old", "new", "read"),
    [
        (b"'Start'!$C$5<", b"&quot;a &amp;amp; b&quot;<", "a &amp; b"),
        (b"'Start'!$C$5<", b"<![CDATA[1]]><", 1.0),
        (b'name="to_give"', b'comment="why" name="to_give"', None),
        (b"<definedNames>", b'<!-- <definedName name="to_give">1</definedName> --><definedNames>', None),
        (b"</definedNames>", b'<definedName name="TO_GIVE">2</definedName></definedNames>', 2.0),
    ],
    ids=["signs", "CDATA", "a comment of its own", "a comment", "twice"],
)
def test_names_however_they_are_written(old, new, read):
    book = reading.read_book(with_part("xl/workbook.xml", lambda content: content.replace(old, new, 1)))
    assert book.names["to_give"] == (reading.read_book(TEMPLATE).names["to_give"] if read is None else read)
    assert len(book.names) == len(reading.read_book(TEMPLATE).names)
