"""The folder `hydrofunc excel-addin` writes, read back without Excel."""

import csv
import io
import zipfile
from pathlib import Path

import openpyxl
import pytest
import xlwings
from click.testing import CliRunner

import hydrofunc
from hydrofunc.cli import main
from hydrofunc.errors import FileRefused
from hydrofunc.hosts.excel import setup, vba
from hydrofunc.jobs.recalc import calculated
from hydrofunc.template import build
from tests.books import FORMULAS

PYTHON = r"C:\hydro\Scripts\python.exe"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    path = tmp_path_factory.mktemp("excel") / "new"
    run = CliRunner().invoke(main, ["excel-addin", str(path), "--python", PYTHON])
    assert run.exit_code == 0, run.output
    return path


def test_four_files_and_nothing_else(folder):
    assert sorted(path.name for path in folder.iterdir()) == sorted(
        [
            "STEPS.txt",
            "hydrofunc.xlsm",
            "hydrofunc_functions.bas",
            "xlwings.conf",
        ]
    )


def test_the_vba_of_xlwings_is_in_the_workbook_byte_for_byte(folder):
    original = Path(xlwings.__file__).with_name("quickstart_standalone.xlsm")
    with zipfile.ZipFile(folder / "hydrofunc.xlsm") as ours, zipfile.ZipFile(original) as theirs:
        assert ours.read("xl/vbaProject.bin") == theirs.read("xl/vbaProject.bin")
        types = ours.read("[Content_Types].xml").decode()
        assert "application/vnd.ms-excel.sheet.macroEnabled.main+xml" in types
        assert "application/vnd.ms-office.vbaProject" in types
        assert "relationships/vbaProject" in ours.read("xl/_rels/workbook.xml.rels").decode()


def test_the_sheets_the_vba_project_knows_are_still_there(folder):
    """It holds a module for each sheet of xlwings' workbook, found by code name."""
    book = openpyxl.load_workbook(folder / "hydrofunc.xlsm", keep_vba=True)
    original = openpyxl.load_workbook(Path(xlwings.__file__).with_name("quickstart_standalone.xlsm"), keep_vba=True)
    kept = {sheet.sheet_properties.codeName for sheet in book}
    assert {sheet.sheet_properties.codeName for sheet in original} <= kept
    assert book.code_name == original.code_name
    for one in (book, original):
        one.vba_archive.close()  # openpyxl leaves it to the garbage collector, which may close what is under it first


def test_the_settings_start_python_and_load_our_module(folder):
    """Where xlwings looks: a sheet called xlwings.conf from A1 on, until the first empty row."""
    sheet = openpyxl.load_workbook(folder / "hydrofunc.xlsm")["xlwings.conf"]
    read = {}
    for key, value in sheet.iter_rows(max_col=2, values_only=True):
        if key is None:
            break
        read[key] = value
    assert read["Interpreter_Win"] == PYTHON
    assert read["UDF Modules"] == "hydrofunc.hosts.excel.udfs"
    assert read["ADD_WORKBOOK_TO_PYTHONPATH"] == "False"  # nothing beside the workbook comes before what is installed
    assert read["hydrofunc version"] == hydrofunc.__version__
    assert read["xlwings version"] == xlwings.__version__
    rows = list(csv.reader(io.StringIO((folder / "xlwings.conf").read_text())))
    assert rows == [
        ["INTERPRETER_WIN", PYTHON],
        ["UDF MODULES", "hydrofunc.hosts.excel.udfs"],
        ["ADD_WORKBOOK_TO_PYTHONPATH", "False"],
    ]


def test_the_vba_names_the_dll_of_the_version_that_is_noted():
    """What the row "xlwings version" stands for: xlwings' module, as a text beside its workbook, names one version."""
    module = Path(xlwings.__file__).with_name("xlwings.bas").read_text(encoding="latin-1")
    assert f"xlwings64-{xlwings.__version__}.dll" in module


def test_the_settings_file_is_in_the_code_page_in_which_vba_reads_it():
    assert "Käthe".encode("cp1252") in setup.settings_file(r"C:\Users\Käthe\python.exe")
    with pytest.raises(FileRefused, match=r"cannot read 'Ł'.*plain letters"):
        setup.settings_file(r"C:\Users\Łukasz\python.exe")


def test_the_workbook_is_the_template_with_stored_values(folder):
    live = openpyxl.load_workbook(folder / "hydrofunc.xlsm")
    stored = openpyxl.load_workbook(folder / "hydrofunc.xlsm", data_only=True)
    template = openpyxl.load_workbook(io.BytesIO(build()))
    values = openpyxl.load_workbook(io.BytesIO(calculated(build())[0]), data_only=True)
    assert live.sheetnames == ["Excel steps", *template.sheetnames, "Self-test", "xlwings.conf"]
    formulas = 0
    for sheet in template:
        for row in sheet.iter_rows():
            for cell in row:
                assert live[sheet.title][cell.coordinate].value == cell.value
                if cell.data_type == "f":
                    formulas += 1
                    assert stored[sheet.title][cell.coordinate].value == values[sheet.title][cell.coordinate].value
    assert formulas == FORMULAS
    assert set(template.defined_names) < set(live.defined_names)
    assert stored["Self-test"]["C6"].value == "PASS"


def test_the_wrappers_are_written_with_windows_line_ends(folder):
    data = (folder / "hydrofunc_functions.bas").read_bytes()
    assert data.replace(b"\r\n", b"\n").decode("ascii") == vba.module_text()
    assert data.count(b"\r\n") == data.count(b"\n")


def test_steps_name_the_files_macros_and_functions_that_exist(folder):
    text = (folder / "STEPS.txt").read_text()
    for word in (
        PYTHON,
        "hydrofunc.xlsm",
        "hydrofunc_functions.bas",
        "xlwings.conf",
        "HydrofuncDescribe",
        "HYDRO_VERSION",
    ):
        assert word in text
    assert "Sub HydrofuncDescribe()" in vba.module_text()
    assert "HydrofuncLastFailure" in vba.module_text()


def test_nothing_is_overwritten_unasked(folder):
    before = (folder / "STEPS.txt").read_bytes()
    run = CliRunner().invoke(main, ["excel-addin", str(folder)])
    assert run.exit_code == 1 and "exists already" in run.output
    assert (folder / "STEPS.txt").read_bytes() == before


def test_off_windows_the_person_is_told_what_is_missing(tmp_path, monkeypatch):
    monkeypatch.setattr(setup.sys, "platform", "linux")
    written = setup.excel_addin(tmp_path / "out")
    assert "Interpreter_Win" in " ".join(written.notes)
