"""The folder `hydrofunc excel-addin` writes, read back without Excel."""

import csv
import io
import zipfile
from pathlib import Path

import olefile
import openpyxl
import pytest
import xlwings
from click.testing import CliRunner
from oletools.olevba import VBA_Parser
from pyopenvba import ExcelFile, check_file

import hydrofunc
from hydrofunc.cli import main
from hydrofunc.errors import FileRefused, HydroError
from hydrofunc.hosts.doctor import PROBLEM, check_book
from hydrofunc.hosts.excel import setup, vba
from hydrofunc.jobs.recalc import calculated
from hydrofunc.template import PAGES, build
from tests.books import FORMULAS
from tests.emit.vba_grammar import as_windows_compiles, complaints, procedures

SHEETS = ["Excel steps", *(page.sheet for page in PAGES), "Self-test", "xlwings.conf", vba.WIZARD_SHEET]
PYTHON = r"C:\hydro\Scripts\python.exe"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    path = tmp_path_factory.mktemp("excel") / "new"
    run = CliRunner().invoke(main, ["excel-addin", str(path), "--python", PYTHON])
    assert run.exit_code == 0, run.output
    return path


def book(folder):
    return folder / "hydrofunc.xlsm"


def expected():
    return {name: vba.module_file(name, text).decode("ascii") for name, text in vba.modules().items()}


def test_two_files_and_nothing_else(folder):
    assert sorted(path.name for path in folder.iterdir()) == ["STEPS.txt", "hydrofunc.xlsm"]


def test_three_readers_find_our_modules_and_that_of_xlwings(folder):
    """None of the readers is ours; and nothing of the example that xlwings' own workbook holds."""
    found = {name: text for _, _, name, text in VBA_Parser(str(book(folder))).extract_macros()}
    assert {name.removesuffix(".bas"): text for name, text in found.items() if name.endswith(".bas")} == expected()
    with ExcelFile(book(folder)) as file:
        documents = {"ThisWorkbook", *(f"Sheet{i + 1}" for i in range(len(SHEETS)))}
        assert set(file.module_names()) == {*documents, *expected()}
        for name, text in expected().items():
            assert file.get_module(name).split() == text.split()
    assert check_file(book(folder)).issues == ()
    with zipfile.ZipFile(book(folder)) as archive:
        types = archive.read("[Content_Types].xml").decode()
        assert "application/vnd.ms-excel.sheet.macroEnabled.main+xml" in types
        assert "application/vnd.ms-office.vbaProject" in types
        assert "relationships/vbaProject" in archive.read("xl/_rels/workbook.xml.rels").decode()
        project = archive.read("xl/vbaProject.bin")
    assert olefile.OleFileIO(io.BytesIO(project), raise_defects=olefile.DEFECT_UNSURE).parsing_issues == []
    again = openpyxl.load_workbook(book(folder), keep_vba=True)
    assert again.vba_archive.read("xl/vbaProject.bin") == project
    assert {sheet.sheet_properties.codeName for sheet in again} | {again.code_name} == documents
    again.vba_archive.close()  # openpyxl leaves it to the garbage collector, which may close what is under it first


def test_the_module_of_xlwings_is_theirs_to_the_letter_with_its_licence():
    """BSD: a copy keeps notice, conditions and disclaimer."""
    original = Path(xlwings.__file__).with_name("xlwings.bas").read_bytes()
    ours = vba.modules()["xlwings"]
    assert vba.module_file("xlwings", ours) == original
    for words in ("BSD 3-clause", "Copyright (C)", "Redistributions in binary form", "THIS SOFTWARE IS PROVIDED"):
        assert words in ours


def test_what_of_xlwings_is_left_out_is_for_the_mac_alone():
    """Its class Dictionary: where it is named is compiled on a Mac only, where these functions cannot run."""
    module = vba.modules()["xlwings"]
    assert "New Dictionary" in module
    assert "Dictionary" not in as_windows_compiles(module).replace('CreateObject("Scripting.Dictionary")', "")


def test_the_grammar_reads_what_windows_compiles_of_xlwings():
    """Two of its procedures, and its declarations; the whole module was read once, by hand, in 77 s."""
    head, found = procedures(as_windows_compiles(vba.modules()["xlwings"]))
    assert "Declare PtrSafe" in head
    assert complaints(head[head.index("Const XLPyDLLName") :] + found["XLPy"] + found["GetConfigFromSheet"]) == []


def test_another_xlwings_than_the_one_known_is_told(monkeypatch, tmp_path):
    monkeypatch.setattr(xlwings, "__file__", str(tmp_path / "__init__.py"))
    with pytest.raises(HydroError, match="pip install xlwings=="):
        vba.xlwings_module()
    (tmp_path / "xlwings.bas").write_text('Attribute VB_Name = "other"\n')
    with pytest.raises(HydroError, match="pip install xlwings=="):
        vba.xlwings_module()


def test_an_independent_grammar_reads_our_modules():
    """antlr4-vba, written after Microsoft's specification [MS-VBAL]; of the wrappers, which are alike, a sample."""
    for name in ("hydrofunc_answers", "hydrofunc_wizard"):
        assert complaints(vba.modules()[name]) == []
    wrappers = {}
    for name, text in vba.modules().items():
        if name.startswith("hydrofunc_functions"):
            head, found = procedures(text)
            wrappers |= {function: head + part for function, part in found.items()}
    assert wrappers.keys() == vba.worksheet_functions().keys()
    for name in ("HYDRO_VERSION", "HYDRO_EXPLAIN", "HYDRO_FRICTION_HEAD", "HYDRO_FAULT_PROBABILITY"):
        assert complaints(wrappers[name]) == []
    assert complaints(wrappers["HYDRO_VERSION"].replace("On Error GoTo", "On Error GoTo (")) != []


def test_the_modules_are_small_enough_for_excel():
    """Some 64 kB a module (common practice, no published source); we stop at 50."""
    assert max(len(vba.module_file(*module)) for module in vba.modules().items()) < 50_100  # with the line of its name


def test_the_wizard_texts_stand_in_a_hidden_sheet(folder):
    read = openpyxl.load_workbook(book(folder))[vba.WIZARD_SHEET]
    assert read.sheet_state == "hidden"
    rows = [[value for value in row if value is not None] for row in read.iter_rows(values_only=True)]
    assert rows == vba.wizard_rows()
    assert {row[0] for row in rows[1:]} == set(vba.worksheet_functions())
    assert (
        max(len(text) for row in rows for text in row) <= 255
    )  # as long as the wizard takes; from memory, not looked up


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
    for shield in ("PYTHONPATH", "Conda Path", "Conda Env"):  # else those of a file of the person's count
        assert shield in read and read[shield] is None
    assert "Debug UDFs" in read and not read["Debug UDFs"]
    assert len({str(key).upper() for key in read}) == len(read)  # xlwings' VBA refuses a second of a name
    rows = list(csv.reader(io.StringIO(setup.settings_file(PYTHON).decode())))
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
        setup.settings(r"C:\Users\Łukasz\python.exe")


def test_the_workbook_is_the_template_with_stored_values(folder):
    live = openpyxl.load_workbook(folder / "hydrofunc.xlsm")
    stored = openpyxl.load_workbook(folder / "hydrofunc.xlsm", data_only=True)
    template = openpyxl.load_workbook(io.BytesIO(build()))
    values = openpyxl.load_workbook(io.BytesIO(calculated(build())[0]), data_only=True)
    assert live.sheetnames == SHEETS
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


def test_where_it_is_asked_for_the_vba_comes_as_files_too(tmp_path, monkeypatch):
    """For another workbook, and where Excel should refuse what we wrote: Excel imports such files itself."""
    monkeypatch.setattr(setup, "starter", lambda interpreter: b"held above")
    run = CliRunner().invoke(main, ["excel-addin", str(tmp_path), "--python", PYTHON, "--modules"])
    assert run.exit_code == 0, run.output
    files = {path.name: path.read_bytes() for path in (tmp_path / "modules").iterdir()}
    assert files.pop("xlwings.conf") == setup.settings_file(PYTHON)
    assert {name.removesuffix(".bas"): data.decode("ascii") for name, data in files.items()} == expected()
    assert all(data.count(b"\r\n") == data.count(b"\n") for data in files.values())
    again = CliRunner().invoke(main, ["excel-addin", str(tmp_path), "--modules"])
    assert again.exit_code == 1 and "xlwings.bas exists already" in again.output


def test_steps_name_the_files_macros_and_functions_that_exist(folder):
    text = (folder / "STEPS.txt").read_text()
    for word in (PYTHON, "hydrofunc.xlsm", "xlwings.conf", "HydrofuncDescribe", "HYDRO_VERSION", "--modules"):
        assert word in text
    assert "Sub HydrofuncDescribe()" in vba.modules()["hydrofunc_wizard"]
    assert "Public HydrofuncLastFailure As String" in vba.modules()["hydrofunc_answers"]


def test_nothing_has_to_be_imported_by_hand_to_begin(folder):
    """Only where Excel should refuse the file, and to keep an old workbook."""
    numbered, _, rest = (folder / "STEPS.txt").read_text().partition("If you like")
    assert "Import" not in numbered and "Alt+F11" not in numbered and "5." not in numbered
    assert "import" in rest


def test_nothing_is_overwritten_unasked(folder):
    before = (folder / "STEPS.txt").read_bytes()
    run = CliRunner().invoke(main, ["excel-addin", str(folder)])
    assert run.exit_code == 1 and "exists already" in run.output
    assert (folder / "STEPS.txt").read_bytes() == before


def test_off_windows_the_person_is_told_what_is_missing(tmp_path, monkeypatch):
    monkeypatch.setattr(setup.sys, "platform", "linux")
    written = setup.excel_addin(tmp_path / "out")
    assert "Interpreter_Win" in " ".join(written.notes)


def test_the_doctor_finds_nothing_wrong_with_the_workbook_that_was_just_written(folder):
    """The self-test in it asks for errors on purpose, and compares them itself."""
    problems = [found for found in check_book(book(folder)) if found.level == PROBLEM]
    assert problems == []
