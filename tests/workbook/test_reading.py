"""Reading workbooks: what is found in them, and files that are turned away before they do harm."""

import contextlib
import zipfile
from io import BytesIO

import openpyxl
import pytest
from openpyxl.chart import LineChart, Reference
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.formula import ArrayFormula

from hydrofunc.engine.book import Formula
from hydrofunc.engine.compile import compile_book
from hydrofunc.engine.lanes import ExcelError
from hydrofunc.errors import FileRefused, FormulaRefused
from hydrofunc.jobs.recalc import recalc
from hydrofunc.workbook import reading as book_module
from hydrofunc.workbook.reading import read_book
from tests.engine.fake_functions import saved, workbook


def test_constants_formulas_and_blanks():
    data = workbook(Pipe={"A1": 3, "A2": 2.5, "A3": "pvc", "A4": True, "A5": "#N/A", "A6": "=A1*2", "A7": None})
    book = read_book(data)
    assert book.data == data
    assert book.cells[("Pipe", "A1")] == 3.0 and type(book.cells[("Pipe", "A1")]) is float
    assert book.cells[("Pipe", "A2")] == 2.5
    assert book.cells[("Pipe", "A3")] == "pvc"
    assert book.cells[("Pipe", "A4")] is True
    assert book.cells[("Pipe", "A5")] is ExcelError("#N/A")
    assert book.cells[("Pipe", "A6")] == Formula("=A1*2")
    assert ("Pipe", "A7") not in book.cells


def test_text_that_looks_like_a_formula_stays_text():
    made = openpyxl.Workbook()
    made.active["A1"].value = "=1+1"
    made.active["A1"].data_type = "s"
    assert read_book(saved(made)).cells[("Sheet", "A1")] == "=1+1"


def test_a_date_is_its_serial_number():
    import datetime

    assert read_book(workbook(S={"A1": datetime.date(2024, 1, 1)})).cells[("S", "A1")] == 45292.0


def test_names_and_addresses_lead_to_cells():
    made = openpyxl.Workbook()
    made.active.title = "Pipe"
    made.create_sheet("My page")
    names = {"Flow": "Pipe!$B$7", "rate": "0.25", "sizes": "'My page'!$A$1:$A$5", "f": "Pipe!A1*2"}
    for name, target in names.items():
        made.defined_names[name] = DefinedName(name, attr_text=target)
    made["My page"].defined_names["here"] = DefinedName("here", attr_text="'My page'!$C$3")
    book = read_book(saved(made))
    assert book.resolve("flow") == book.resolve("FLOW") == ("Pipe", "B7")
    assert book.resolve("Pipe!B7") == book.resolve("pipe!$b$7") == ("Pipe", "B7")
    assert book.resolve("'My page'!C2") == ("My page", "C2")
    assert book.resolve("here") == ("My page", "C3")
    assert book.names["rate"] == 0.25
    for what, reason in {
        "rate": "constant",
        "sizes": "range",
        "f": "cannot be used",
        "nothing": "no name",
        "B7": "which sheet",
        "Gone!B7": "no sheet 'Gone'",
        "Pipe!flow": "not the address",
        "Pipe!A0": "not the address",
    }.items():
        with pytest.raises(LookupError, match=reason):
            book.resolve(what)


def test_a_path_can_be_given_and_xlsm_is_read(tmp_path):
    path = tmp_path / "plant.xlsm"
    path.write_bytes(workbook(S={"A1": 1}))
    assert read_book(path).cells == read_book(str(path)).cells == {("S", "A1"): 1.0}


# -- files turned away ---------------------------------------------------------------------------------


def refused(data, tmp_path, name="plant.xlsx"):
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(FileRefused) as caught:
        read_book(path)
    assert name in str(caught.value)
    return str(caught.value)


def changed(data, **parts):
    """A workbook with parts replaced or added."""
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for member in old.namelist():
            if member not in parts:
                new.writestr(member, old.read(member))
        for member, content in parts.items():
            new.writestr(member, content)
    return out.getvalue()


GOOD = workbook(S={"A1": 1})


def test_missing_files_and_other_kinds_of_files(tmp_path):
    with pytest.raises(FileRefused, match=r"nowhere\.xlsx"):
        read_book(tmp_path / "nowhere.xlsx")
    assert "not an .xlsx" in refused(b"a,b\n1,2\n", tmp_path, "list.csv")
    assert "password" in refused(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), tmp_path, "old.xls")
    assert "not an .xlsx" in refused(b"", tmp_path)
    assert "not an .xlsx" in refused(GOOD[:-200], tmp_path)
    with pytest.raises(FileRefused):
        read_book(tmp_path)


def test_an_archive_that_is_no_workbook(tmp_path):
    """One of LibreOffice Calc's own is told the way out."""
    for kind, words in (("spreadsheet", "Save a Copy as Excel"), ("text", "no xl/workbook.xml")):
        out = BytesIO()
        with zipfile.ZipFile(out, "w") as archive:
            archive.writestr("mimetype", f"application/vnd.oasis.opendocument.{kind}")
        assert words in refused(out.getvalue(), tmp_path, "plant.ods")


def test_document_types_and_entities(tmp_path):
    bomb = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><x>&b;</x>'
    assert "document type" in refused(changed(GOOD, **{"xl/sharedStrings.xml": bomb}), tmp_path)
    assert "UTF-8" in refused(changed(GOOD, **{"xl/sharedStrings.xml": bomb.decode().encode("utf-16")}), tmp_path)


def test_zip_bombs(tmp_path, monkeypatch):
    assert "zip bomb" in refused(changed(GOOD, **{"xl/media/image1.bin": bytes(50_000_000)}), tmp_path)
    assert read_book(changed(GOOD, **{"docProps/custom.bin": bytes(1_000_000)})).cells  # small: no bomb, however even
    monkeypatch.setattr(book_module, "LARGEST_CONTENT", 1000)
    assert "unpacks to more" in refused(GOOD, tmp_path)
    monkeypatch.setattr(book_module, "MOST_MEMBERS", 3)
    assert "parts, more than 3" in refused(GOOD, tmp_path)
    monkeypatch.setattr(book_module, "LARGEST_FILE", 100)
    assert "larger than" in refused(GOOD, tmp_path)


def test_a_prefix_that_stands_for_nothing_is_refused(tmp_path):
    """No reader of ours takes what others cannot open (Namespaces in XML 1.0, section 5: a prefix must be declared)."""
    with zipfile.ZipFile(BytesIO(GOOD)) as archive:
        sheet = archive.read("xl/worksheets/sheet1.xml")
    assert b"<sheetData>" in sheet
    for damaged in (
        sheet.replace(b"</sheetData>", b"</sheetData><q:x/>"),
        sheet.replace(b"<c r=", b"<c q:z='1' r=", 1),
    ):
        assert "not a workbook that can be read" in refused(
            changed(GOOD, **{"xl/worksheets/sheet1.xml": damaged}), tmp_path
        )


def test_broken_parts(tmp_path):
    broken = changed(GOOD, **{"xl/worksheets/sheet1.xml": b"<broken"})
    assert "not a workbook that can be read" in refused(broken, tmp_path)


def test_damaged_data_is_refused_not_crashed_on(tmp_path):
    import random

    chance = random.Random(1)
    for _ in range(60):
        damaged = bytearray(GOOD)
        for _ in range(5):
            damaged[chance.randrange(len(damaged))] = chance.randrange(256)
        with contextlib.suppress(FileRefused):
            read_book(bytes(damaged))


# -- what would be read wrongly without a word -----------------------------------------------------------


@pytest.mark.parametrize(
    "target", ["Pipe!B1", "Pipe!$B1", "Pipe!B$1", "Pipe!B1:C1", "Pipe!$B$1:C$1", "Pipe!B:B", "Pipe!1:1"]
)
def test_a_name_that_moves_with_its_formula_is_refused(target):
    """Excel and Calc count it from the formula's cell: in A1:A3 `=k` is B1, B2, B3."""
    made = openpyxl.Workbook()
    made.active.title = "Pipe"
    made.active["A1"], made.active["B1"] = "=SUM(k)", 10
    made.defined_names["k"] = DefinedName("k", attr_text=target)
    book = read_book(saved(made))
    with pytest.raises(LookupError, match="another cell in each formula"):
        book.resolve("k")
    with pytest.raises(FormulaRefused, match=r"write it with \$ signs"):
        compile_book(book, {})


def with_parts(data, change):
    """The workbook with `change(name, content)` in place of each part, left out where that is None."""
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            if (content := change(name, old.read(name))) is not None:
                new.writestr(name, content)
    return out.getvalue()


def test_a_strict_workbook_is_refused_by_its_name():
    """The namespaces of ISO/IEC 29500 Strict, as Excel's "Strict Open XML Spreadsheet" has them."""

    def strict(_, content):
        return content.replace(
            b"http://schemas.openxmlformats.org/spreadsheetml/2006/main",
            b"http://purl.oclc.org/ooxml/spreadsheetml/main",
        ).replace(
            b"http://schemas.openxmlformats.org/officeDocument/2006/relationships",
            b"http://purl.oclc.org/ooxml/officeDocument/relationships",
        )

    with pytest.raises(FileRefused, match="Strict"):
        read_book(with_parts(workbook(S={"A1": "=1+1"}), strict))


def test_a_sheet_that_is_listed_and_not_there_is_refused():
    data = workbook(S={"A1": 1}, T={"A1": "=1+1"})
    with pytest.raises(FileRefused, match="sheet T cannot be read"):
        read_book(with_parts(data, lambda name, content: None if name.endswith("sheet2.xml") else content))


def test_a_chart_sheet_is_no_missing_sheet():
    made = openpyxl.Workbook()
    chart = LineChart()
    chart.add_data(Reference(made.active, min_col=1, min_row=1, max_row=2))
    made.create_chartsheet("Chart", 0).add_chart(chart)
    assert read_book(saved(made)).sheets == ["Sheet"]


def test_precision_as_displayed_is_refused_where_a_formula_is_asked_for():
    made = openpyxl.Workbook()
    made.active["A1"] = "=1.004*1000"
    made.calculation.fullPrecision = False
    with pytest.raises(FormulaRefused, match="as they are displayed"):
        compile_book(read_book(saved(made)), {})


def test_characters_that_xml_cannot_hold_are_read_as_they_are():
    made = openpyxl.Workbook()
    made.active["A1"], made.active["A2"] = "a_x000D_b", "a_x005F_x000D_b"
    book = read_book(saved(made))
    assert book.cells["Sheet", "A1"] == "a\rb" and book.cells["Sheet", "A2"] == "a_x000D_b"


def test_rows_that_no_worksheet_has_are_refused():
    data = workbook(S={"A7": 1})
    with pytest.raises(FileRefused, match="row 99999999"):
        read_book(
            with_parts(data, lambda _, content: content.replace(b'"7"', b'"99999999"').replace(b"A7", b"A99999999"))
        )


def test_an_array_formula_over_a_whole_sheet_is_refused():
    made = openpyxl.Workbook()
    made.active["A1"] = ArrayFormula("A1:XFD1048576", "=1+1")
    with pytest.raises(FormulaRefused, match="an array formula over A1:XFD1048576"):
        compile_book(read_book(saved(made)), {})


@pytest.mark.parametrize("name", ["", "a\0b"])
def test_a_name_that_no_file_has_is_refused(name):
    with pytest.raises(FileRefused):
        read_book(name)
    with pytest.raises(FileRefused):
        recalc(name)
