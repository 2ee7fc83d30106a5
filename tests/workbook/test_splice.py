"""Values put into a workbook's bytes: everything else stays as it was."""

import re
import time
import zipfile
from io import BytesIO

import openpyxl
import pandas
import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.chart import LineChart, Reference
from openpyxl.comments import Comment
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import PatternFill
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation

from hydrofunc.engine.book import Formula
from hydrofunc.engine.compile import compile_book
from hydrofunc.engine.lanes import ExcelError
from hydrofunc.errors import FileRefused
from hydrofunc.workbook.reading import read_book
from hydrofunc.workbook.splice import Carrier
from hydrofunc.workbook.splice import splice as spliced
from tests.engine import sheet_oracles as oracles
from tests.engine.fake_functions import saved, workbook

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
SHARED_FORMULAS = (
    '<row r="1"><c r="A1"><v>1</v></c><c r="B1"><f t="shared" ref="B1:B3" si="0">A1*2</f><v>0</v></c></row>'
    '<row r="2"><c r="A2"><v>2</v></c><c r="B2"><f t="shared" si="0"/><v>0</v></c></row>'
    '<row r="3"><c r="A3"><v>3</v></c><c r="B3"><f t="shared" si="0"/></c></row>'
)


def splice(data, values, inputs=None):
    """As `spliced`; a carrier that has had other values in the same cells before gives the same bytes."""
    result = spliced(data, values, inputs)
    carrier = Carrier(data)
    for _ in range(2):
        carrier.splice(dict.fromkeys(values, "other"), inputs and dict.fromkeys(inputs, 8.5))
    assert carrier.splice(values, inputs) == result
    return result


def parts(data):
    with zipfile.ZipFile(BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def repacked(members):
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return out.getvalue()


def with_sheet(rows, **more):
    """A workbook whose only sheet, S, holds these rows as written."""
    members = parts(workbook(S={"A1": 1}))
    sheet = members["xl/worksheets/sheet1.xml"].decode()
    sheet = re.sub("<sheetData>.*</sheetData>", f"<sheetData>{rows}</sheetData>", sheet)
    members["xl/worksheets/sheet1.xml"] = sheet.encode()
    members.update(more)
    return repacked(members)


def sheet_of(data):
    return parts(data)["xl/worksheets/sheet1.xml"].decode()


def workbook_part(data):
    return parts(data)["xl/workbook.xml"].decode()


def shown(data, sheet="S"):
    return openpyxl.load_workbook(BytesIO(data), data_only=True)[sheet]


@pytest.fixture(scope="module")
def rich():
    """A workbook with a chart, validation, conditional format, names, comment, table, protection and print set-up."""
    book = openpyxl.Workbook()
    page = book.active
    page.title = "Pipe & jet"
    for row in range(1, 6):
        page[f"A{row}"], page[f"B{row}"] = row * 1.1, f"=A{row}^2"
        page[f"A{row}"].fill = PatternFill("solid", start_color="FFFF99")
        page[f"B{row}"].number_format = "0.00"
    page["C1"], page["C2"], page["C3"], page["C4"] = '="flow "&A1', "=A1>2", "=1/0", "=MIN(A1,0)"
    page["D1"] = "pvc"
    chart = LineChart()
    chart.add_data(Reference(page, min_col=2, min_row=1, max_row=5))
    page.add_chart(chart, "F2")
    page.add_data_validation(DataValidation("list", formula1='"pvc,steel"', sqref="D1"))
    red = PatternFill("solid", end_color="FF0000")
    page.conditional_formatting.add("B1:B5", CellIsRule("greaterThan", ["10"], fill=red))
    page["A1"].comment = Comment("read on site", "someone")
    page.protection.sheet = True
    page.print_area, page.freeze_panes = "A1:D9", "B2"
    book.defined_names["flow"] = DefinedName("flow", attr_text="'Pipe & jet'!$A$1")
    notes = book.create_sheet("Notes")
    notes["A1"] = "untouched"
    return saved(book)


def recalculated(data, inputs=None):
    book = read_book(data)
    plan = compile_book(book, {}, overrides=list(inputs or {}))
    result = plan.run(inputs)
    return {key: result.value(key) for key in plan.outputs}


def test_values_are_read_back_to_the_last_digit(rich):
    values = recalculated(rich)
    out = splice(rich, values)
    page = shown(out, "Pipe & jet")
    for (_, cell), value in values.items():
        assert page[cell].value == (value.text if isinstance(value, ExcelError) else value), cell
    digits = splice(rich, {("Pipe & jet", "B3"): 0.1 + 0.2, ("Pipe & jet", "B4"): 1 / 3})
    assert [shown(digits, "Pipe & jet")[c].value.hex() for c in ("B3", "B4")] == [(0.1 + 0.2).hex(), (1 / 3).hex()]
    assert page["C1"].data_type == "s" and page["C2"].data_type == "b" and page["C3"].data_type == "e"


def test_pandas_reads_the_values(rich):
    out = splice(rich, recalculated(rich))
    frame = pandas.read_excel(BytesIO(out), sheet_name="Pipe & jet", header=None)
    assert frame.iloc[1, 1] == 2.2**2 or frame.iloc[1, 1] == (2 * 1.1) ** 2
    assert frame.iloc[0, 2] == "flow 1.1"


def test_all_other_parts_keep_their_bytes_names_and_order(rich):
    out = splice(rich, recalculated(rich), {("Pipe & jet", "A1"): 7.5})
    before, after = parts(rich), parts(out)
    assert list(before) == list(after)
    changed = {name for name in before if before[name] != after[name]}
    assert changed == {"xl/worksheets/sheet1.xml", "xl/workbook.xml"}
    with zipfile.ZipFile(BytesIO(rich)) as old, zipfile.ZipFile(BytesIO(out)) as new:
        for a, b in zip(old.infolist(), new.infolist()):
            assert (a.date_time, a.compress_type, a.external_attr) == (b.date_time, b.compress_type, b.external_attr)


def test_only_values_and_their_types_differ_in_the_sheet(rich):
    out = splice(rich, recalculated(rich))

    def bare(text):
        return re.sub(r'( t="\w+")|(<v\s*/>)|(<v>[^<]*</v>)', "", text)

    assert bare(sheet_of(out)) == bare(sheet_of(rich))


def test_charts_formats_names_and_protection_stay(rich):
    out = splice(rich, recalculated(rich), {("Pipe & jet", "A1"): 2.0, ("Pipe & jet", "D1"): "steel"})
    before, after = openpyxl.load_workbook(BytesIO(rich)), openpyxl.load_workbook(BytesIO(out))
    a, b = before["Pipe & jet"], after["Pipe & jet"]
    assert len(b._charts) == len(a._charts) == 1
    assert b.data_validations.dataValidation[0].formula1 == '"pvc,steel"'
    assert len(b.conditional_formatting) == 1 and b.protection.sheet and b.freeze_panes == "B2"
    assert b.print_area == a.print_area and b["A1"].comment.text == "read on site"
    assert after.defined_names["flow"].value == "'Pipe & jet'!$A$1"
    for row in range(1, 6):
        assert b[f"A{row}"].fill.start_color.rgb == a[f"A{row}"].fill.start_color.rgb
        assert b[f"B{row}"].number_format == "0.00" and b[f"B{row}"].value == a[f"B{row}"].value


def test_the_same_input_gives_the_same_bytes(rich):
    values = recalculated(rich)
    assert splice(rich, values) == splice(rich, dict(reversed(values.items())))


def test_splicing_again_replaces_what_was_spliced(rich):
    inputs = {("Pipe & jet", "A1"): 3.0}
    once = splice(rich, recalculated(rich), {})
    again = splice(once, recalculated(rich, inputs), inputs)
    assert again == splice(rich, recalculated(rich, inputs), inputs)
    assert recalculated(again) == recalculated(rich, inputs)


def test_calculation_is_asked_for_by_nothing(rich):
    assert b"fullCalcOnLoad" in parts(rich)["xl/workbook.xml"]
    workbook_xml = parts(splice(rich, {}))["xl/workbook.xml"].decode()
    assert re.findall("<calcPr[^>]*>", workbook_xml) == ['<calcPr calcId="191029"/>']


def test_calculation_properties_are_added_in_their_place():
    members = parts(workbook(S={"A1": 1}))
    text = re.sub("<calcPr[^>]*>", "", members["xl/workbook.xml"].decode())
    members["xl/workbook.xml"] = text.encode()
    assert '<calcPr calcId="191029"/></workbook>' in workbook_part(splice(repacked(members), {}))
    members["xl/workbook.xml"] = text.replace("</workbook>", "<extLst/></workbook>").encode()
    assert '<calcPr calcId="191029"/><extLst/>' in workbook_part(splice(repacked(members), {}))


def test_manual_calculation_stays_manual():
    members = parts(workbook(S={"A1": 1}))
    manual = "<calcPr calcId='1' calcMode='manual' fullCalcOnLoad='1'></calcPr>"
    members["xl/workbook.xml"] = re.sub("<calcPr[^>]*>", manual, members["xl/workbook.xml"].decode()).encode()
    out = workbook_part(splice(repacked(members), {}))
    assert "<calcPr calcId=\"191029\" calcMode='manual'></calcPr>" in out


INPUTS = {
    "number": 0.1 + 0.2,
    "whole number": 3.0,
    "tiny": 5e-324,
    "huge": 1.7976931348623157e308,
    "text": 'a <b> & "c"',
    "spaces": "  two  ",
    "lines": "one\ntwo",
    "other script": "Düse ½″ 水",
    "like a formula": "=1+1",
    "yes": True,
    "no": False,
    "error": ExcelError("#N/A"),
}


@pytest.mark.parametrize("kind", INPUTS)
@pytest.mark.parametrize("cell", ["A1", "B1", "A2", "C9", "AA1", "B2"])
def test_inputs_of_every_kind_in_old_and_new_cells(kind, cell):
    data = workbook(S={"A1": 1, "B1": "words", "D1": 4, "A3": "last"})
    value = INPUTS[kind]
    out = splice(data, {}, {("S", cell): value})
    page = shown(out)
    assert page[cell].value == (value.text if isinstance(value, ExcelError) else value)
    assert isinstance(page[cell].value, bool) == isinstance(value, bool)
    for other, old in {"A1": 1, "B1": "words", "D1": 4, "A3": "last"}.items():
        assert other == cell or page[other].value == old
    assert read_book(out).cells[("S", cell)] == value
    cells = re.findall(r'<c r="([A-Z]+)(\d+)"', sheet_of(out))
    order = [(int(row), len(column), column) for column, row in cells]
    assert order == sorted(order)


def test_a_blank_input_empties_the_cell_and_keeps_its_style(rich):
    out = splice(rich, {}, {("Pipe & jet", "A2"): None, ("Pipe & jet", "Z9"): None})
    page = openpyxl.load_workbook(BytesIO(out))["Pipe & jet"]
    assert page["A2"].value is None and page["A2"].fill.start_color.rgb.endswith("FFFF99")
    assert 'r="Z9"' not in sheet_of(out)


def test_control_characters_are_written_the_way_excel_escapes_them():
    out = splice(workbook(S={"A1": 1}), {}, {("S", "A1"): "bell\x07 _x0041_"})
    assert "bell_x0007_ _x005F_x0041_" in sheet_of(out)


def test_the_dimension_grows_with_new_cells():
    out = splice(workbook(S={"B2": 1}), {}, {("S", "D7"): 1.0})
    assert '<dimension ref="B2:D7"' in sheet_of(out)


def test_text_and_errors_beside_formulas_have_their_types():
    data = workbook(S={"A1": '="x"&" "', "A2": "=1/0", "A3": "=TRUE()", "A4": "=1/3"})
    text = sheet_of(splice(data, recalculated(data)))
    assert '<c r="A1" t="str"><f>"x"&amp;" "</f><v xml:space="preserve">x </v></c>' in text
    assert '<c r="A2" t="e"><f>1/0</f><v>#DIV/0!</v></c>' in text
    assert '<c r="A3" t="b"><f>TRUE()</f><v>1</v></c>' in text
    assert '<c r="A4"><f>1/3</f><v>0.3333333333333333</v></c>' in text


def test_shared_formulas_stay_as_they_are():
    data = with_sheet(SHARED_FORMULAS)
    text = sheet_of(splice(data, recalculated(data)))
    assert '<f t="shared" ref="B1:B3" si="0">A1*2</f><v>2</v>' in text
    assert '<f t="shared" si="0"/><v>4</v>' in text and '<f t="shared" si="0"/><v>6</v>' in text


def test_cells_of_an_array_formula_get_their_values():
    data = with_sheet(
        '<row r="1"><c r="A1"><v>1</v></c><c r="B1"><f t="array" ref="B1:B2">A1:A2*2</f><v>0</v></c></row>'
        '<row r="2"><c r="A2"><v>5</v></c><c r="B2"><v>0</v></c></row>'
    )
    text = sheet_of(splice(data, recalculated(data)))
    assert '<f t="array" ref="B1:B2">A1:A2*2</f><v>2</v>' in text and '<c r="B2"><v>10</v></c>' in text


CHAIN = {
    "xl/calcChain.xml": f'<calcChain xmlns="{MAIN}"><c r="B1" i="1"/></calcChain>'.encode(),
}


def with_chain():
    members = parts(workbook(S={"A1": 1, "B1": "=A1*2", "B2": "=A1"}))
    members.update(CHAIN)
    rels = members["xl/_rels/workbook.xml.rels"].decode()
    kind = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/calcChain"
    chain = f'<Relationship Id="rId99" Type="{kind}" Target="calcChain.xml"/>'
    members["xl/_rels/workbook.xml.rels"] = rels.replace("</Relationships>", chain + "</Relationships>").encode()
    types = members["[Content_Types].xml"].decode()
    content = "application/vnd.openxmlformats-officedocument.spreadsheetml.calcChain+xml"
    override = f'<Override PartName="/xl/calcChain.xml" ContentType="{content}"/>'
    members["[Content_Types].xml"] = types.replace("</Types>", override + "</Types>").encode()
    return repacked(members)


def test_the_calculation_chain_stays_while_the_formulas_do():
    assert "xl/calcChain.xml" in parts(splice(with_chain(), {("S", "B1"): 2.0}, {("S", "A1"): 1.0}))


def test_an_input_in_place_of_a_formula_takes_the_calculation_chain_along():
    after = parts(splice(with_chain(), {}, {("S", "B1"): 9.0}))
    assert "xl/calcChain.xml" not in after
    assert b"calcChain" not in after["[Content_Types].xml"] + after["xl/_rels/workbook.xml.rels"]
    cells = read_book(repacked(after)).cells
    assert cells[("S", "B1")] == 9.0 and cells[("S", "B2")] == Formula("=A1")


def test_a_formula_others_share_cannot_be_replaced():
    with pytest.raises(FileRefused, match="S!B1 holds a formula other cells share"):
        splice(with_sheet(SHARED_FORMULAS), {}, {("S", "B1"): 1.0})
    assert "<v>7</v>" in sheet_of(splice(with_sheet(SHARED_FORMULAS), {}, {("S", "B3"): 7.0}))
    array = '<row r="1"><c r="B1"><f t="array" ref="B1">A1*2</f></c></row>'
    with pytest.raises(FileRefused, match="array formula"):
        splice(with_sheet(array), {}, {("S", "B1"): 1.0})


def test_sheets_written_with_a_prefix_and_odd_spacing():
    sheet = (
        "<?xml version='1.0' encoding='UTF-8'?>\n<x:worksheet xmlns:x='" + MAIN + "'><x:sheetData>\n"
        "<x:row r='2' spans='1:2'><x:c r='A2' s='0' t='n' ><x:v>1</x:v></x:c>"
        "<x:c r='B2' t='str'><x:f>A2*2</x:f><x:v>old &gt; text</x:v><x:extLst/></x:c></x:row>\n"
        "</x:sheetData></x:worksheet>"
    )
    members = parts(workbook(S={"A1": 1}))
    members["xl/worksheets/sheet1.xml"] = sheet.encode()
    out = splice(repacked(members), {("S", "B2"): 8.0}, {("S", "A2"): 4.0, ("S", "D2"): "x", ("S", "A1"): 1.0})
    text = sheet_of(out)
    assert "<x:c r='B2'><x:f>A2*2</x:f><x:v>8</x:v><x:extLst/></x:c>" in text
    assert "<x:row r='2'><x:c r='A2' s='0'><x:v>4</x:v></x:c>" in text
    page = shown(out)
    assert [page[c].value for c in ("A1", "A2", "B2", "D2")] == [1, 4, 8, "x"]


def test_empty_rows_and_an_empty_sheet_take_new_cells():
    rows = '<row r="2" ht="20"/><row r="5"></row>'
    out = splice(with_sheet(rows), {}, {("S", "B2"): 1.0, ("S", "A5"): 2.0, ("S", "A3"): 3.0})
    assert (
        '<row r="2" ht="20"><c r="B2"><v>1</v></c></row><row r="3"><c r="A3"><v>3</v></c></row>'
        '<row r="5"><c r="A5"><v>2</v></c></row>'
    ) in sheet_of(out)
    members = parts(workbook(S={"A1": 1}))
    text = re.sub("<sheetData>.*</sheetData>", "<sheetData/>", members["xl/worksheets/sheet1.xml"].decode())
    members["xl/worksheets/sheet1.xml"] = text.encode()
    assert shown(splice(repacked(members), {}, {("S", "B2"): 1.0}))["B2"].value == 1


def test_what_cannot_be_written_is_refused():
    data = workbook(S={"A1": 1})
    with pytest.raises(FileRefused, match="no sheet 'T'"):
        splice(data, {("T", "A1"): 1.0})
    with pytest.raises(FileRefused, match="nan"):
        splice(data, {("S", "A1"): float("nan")})
    members = parts(data)
    members["xl/worksheets/sheet1.xml"] = members["xl/worksheets/sheet1.xml"][:-9]
    with pytest.raises(FileRefused, match="not well-formed"):
        splice(repacked(members), {("S", "A1"): 1.0})


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_number_comes_back_bit_for_bit(number):
    out = splice(ONE_CELL, {}, {("S", "A1"): number})
    assert read_book(out).cells[("S", "A1")].hex() == (number + 0.0).hex()


ONE_CELL = workbook(S={"A1": 1})


@given(st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cn")), min_size=1, max_size=40))
def test_every_text_comes_back(text):
    out = splice(ONE_CELL, {}, {("S", "A1"): text})
    assert read_book(out).cells[("S", "A1")].replace("_x005F_", "_") == text


@pytest.mark.calc
def test_calc_shows_the_spliced_numbers_and_texts():
    """False values show that Calc reads what we wrote; it recalculates booleans and errors whatever it is told."""
    data = workbook(S={"A1": 1, "A2": "=A1+1", "A3": '="x"&A1', "A4": "=A1/3", "B1": "=A1"})
    values = {("S", "A2"): 41.5, ("S", "A3"): "told", ("S", "A4"): 0.625}
    seen = oracles.by_calc(splice(data, values, {("S", "A1"): 7.25}), page="S", recalculate=False)
    assert seen == {"A1": 7.25, "A2": 41.5, "A3": "told", "A4": 0.625}


@pytest.mark.calc
def test_calc_recalculates_from_the_spliced_inputs():
    data = workbook(S={"A1": 1, "A2": "=A1+1", "A3": '=A5&"!"'})
    out = splice(data, recalculated(data), {("S", "A1"): 7.25, ("S", "A5"): "pvc"})
    assert oracles.by_calc(out, page="S") == {"A1": 7.25, "A2": 8.25, "A3": "pvc!", "A4": "", "A5": "pvc"}


def test_cells_and_rows_that_do_not_say_where_they_are_follow_one_another():
    """ECMA-376 part 1, 18.3.1.4 and 18.3.1.73: the references of cells and rows may be left out (from memory)."""
    rows = (
        '<row r="3"><c><v>1</v></c><c r="C3"><v>3</v></c><c><v>4</v></c></row><row><c><v>5</v></c><c><v>6</v></c></row>'
    )
    data = splice(with_sheet(rows), {}, {("S", "D3"): 40.0, ("S", "B4"): 60.0, ("S", "B3"): 2.0, ("S", "C4"): 7.0})
    cells = openpyxl.load_workbook(BytesIO(data))["S"]
    assert [[cell.value for cell in row] for row in cells["A3:D4"]] == [[1, 2, 3, 40], [5, 60, 7, None]]


@pytest.mark.parametrize(
    ("part", "old", "new"),
    [
        ("xl/workbook.xml", b"</workbook>", b"</work"),
        ("xl/_rels/workbook.xml.rels", b"</Relationships>", b""),
        ("xl/_rels/workbook.xml.rels", b" Id=", b" Idd="),
        ("xl/_rels/workbook.xml.rels", b" Target=", b" Targett="),
        ("xl/worksheets/sheet1.xml", b"</sheetData>", b"</sheet"),
        ("xl/worksheets/sheet1.xml", b'r="A1"', b'r="A99999999"'),
    ],
)
def test_a_damaged_part_is_refused_and_no_traceback(part, old, new):
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(workbook(S={"A1": 1, "B1": "=A1"}))) as archive, zipfile.ZipFile(out, "w") as damaged:
        for name in archive.namelist():
            content = archive.read(name)
            damaged.writestr(name, content.replace(old, new) if name == part else content)
    with pytest.raises(FileRefused):
        splice(out.getvalue(), {("S", "B1"): 1.0})


def test_a_text_that_no_cell_can_hold_is_refused():
    data = workbook(S={"A1": "x"})
    splice(data, {}, {("S", "A1"): "x" * 32_767})
    with pytest.raises(FileRefused, match="32768 characters"):
        splice(data, {}, {("S", "A1"): "x" * 32_768})


def test_elements_nested_deeply_take_no_longer_than_as_many_beside_each_other():
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(workbook(S={"A1": 1, "B1": "=A1"}))) as archive, zipfile.ZipFile(out, "w") as nested:
        for name, content in ((name, archive.read(name)) for name in archive.namelist()):
            deep = b"</sheetData>" + b"<x>" * 50_000 + b"</x>" * 50_000
            nested.writestr(name, content.replace(b"</sheetData>", deep))
    started = time.perf_counter()
    splice(out.getvalue(), {("S", "B1"): 1.0})
    assert time.perf_counter() - started < 10  # measured: 0.3 s; before, minutes


def test_cells_outside_of_what_a_sheet_says_is_its_size_make_it_larger_each_time():
    data = with_sheet('<row r="1"><c r="A1"><v>1</v></c></row><row r="2"><c r="B2"><v>1</v></c></row>')
    assert '<dimension ref="A1:A1"' in sheet_of(data)
    assert '<dimension ref="A1:B2"' in sheet_of(splice(data, {("S", "B2"): 2.0}))
