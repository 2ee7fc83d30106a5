"""The doctor in front of healthy and of broken computers and workbooks."""

import io
import json
import os
import re
import sys
import time
import zipfile
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

import hydrofunc
from hydrofunc.cli import main
from hydrofunc.errors import FileRefused
from hydrofunc.hosts import doctor, repair
from hydrofunc.hosts.calc.book import book_for_old_calc
from hydrofunc.hosts.calc.build import settings
from hydrofunc.hosts.doctor import NOTE, OK, Machine, check, check_book
from hydrofunc.jobs.recalc import calculated

TEMPLATE = Path(__file__).parents[2] / "workbooks" / "template.xlsx"
REGISTRY = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">\
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>{}</value></prop></item>
</oor:items>"""


def write(path, text=""):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def add_addin(root, version=hydrofunc.__version__, identifier="org.hydrofunc.calc"):
    """An add-in as LibreOffice 7.4 unpacks it."""
    return write(
        root / "uno_packages/cache/uno_packages/lu1.tmp_/hydrofunc.oxt/description.xml",
        '<description xmlns="http://openoffice.org/extensions/description/2006">'
        f'<identifier value="{identifier}"/><version value="{version}"/></description>',
    )


@pytest.fixture
def healthy(tmp_path):
    """A computer with Calc on which everything is right."""
    office, profile = tmp_path / "office/program", tmp_path / "profile"
    for name in ("soffice", "unopkg", "libpythonloaderlo.so"):
        write(office / name)
    write(profile / "user/registrymodifications.xcu", REGISTRY.format(0))
    add_addin(profile / "user")
    packages = dict.fromkeys(doctor.NEEDED, "9.9") | {
        "hydrofunc": hydrofunc.__version__,
        "xlwings": "0.37.8",
        "pywin32": "311",
    }
    python = write(tmp_path / "venv/python")
    python.chmod(0o755)
    return Machine(
        system="linux",
        python=(3, 12, 1),
        executable=str(python),
        packages=packages,
        office=office,
        office_version="25.2.3.2",
        office_runs=False,
        profile=profile,
        shared=(tmp_path / "office/share",),
        home=tmp_path,
    )


@pytest.fixture
def windows(healthy, tmp_path):
    """The same with Excel."""
    write(tmp_path / ".xlwings/xlwings.conf", f'"INTERPRETER_WIN","{healthy.executable}"\n')
    return replace(healthy, system="win32", excel_start=tmp_path / "XLSTART")


def problems(machine):
    return [finding for finding in check(machine) if finding.is_problem]


def only_problem(machine):
    found = problems(machine)
    assert len(found) == 1, found
    assert found[0].remedy
    return found[0]


def test_a_healthy_computer_has_no_problem(healthy, windows):
    assert not problems(healthy) and not problems(windows)
    assert any("add-in" in finding.text and finding.level == OK for finding in check(healthy))


def test_an_old_python(healthy):
    assert "too old" in only_problem(replace(healthy, python=(3, 8, 4))).text


def test_a_missing_package(healthy):
    assert "numpy" in only_problem(replace(healthy, packages=healthy.packages | {"numpy": None})).text


@pytest.mark.parametrize(("installed", "said"), [("0.0.1", "0.0.1 is installed"), (None, "not installed")])
def test_another_version_of_the_package_is_installed(healthy, installed, said):
    assert said in only_problem(replace(healthy, packages=healthy.packages | {"hydrofunc": installed})).text


def test_no_libreoffice_is_no_problem_but_said(healthy):
    found = check(replace(healthy, office=None))
    assert not any(finding.is_problem for finding in found)
    assert any(finding.about == "Calc" and finding.level == NOTE and "not found" in finding.text for finding in found)


def test_python_support_is_missing(healthy):
    (healthy.office / "libpythonloaderlo.so").unlink()
    found = only_problem(healthy)
    assert "UNO" in found.text and "python3-uno" in found.remedy


def test_unopkg_is_missing(healthy):
    (healthy.office / "unopkg").unlink()
    assert "unopkg" in only_problem(healthy).text


def test_a_stale_lock_file(healthy):
    lock = write(healthy.profile / ".lock")
    found = only_problem(healthy)
    assert str(lock) in found.text and "delete" in found.remedy
    assert not problems(replace(healthy, office_runs=True))
    assert not problems(replace(healthy, office_runs=None))
    assert any(str(lock) in finding.text for finding in check(replace(healthy, office_runs=None)))


def test_an_addin_of_another_version(healthy):
    add_addin(healthy.profile / "user", "0.0.1")
    assert "0.0.1" in only_problem(healthy).text


def test_an_addin_whose_python_is_gone(healthy):
    folder = add_addin(healthy.profile / "user").parent
    write(folder / "hydrofunc.json", json.dumps(settings(healthy.executable)))
    assert not problems(healthy)
    write(folder / "hydrofunc.json", json.dumps(settings("/gone/bin/python")))
    assert "/gone/bin/python, which does not exist any more" in only_problem(healthy).text


def test_an_addin_whose_python_another_user_keeps_to_himself(healthy, monkeypatch):
    """A folder on the way that may not be entered: said, and no end of the whole examination."""
    folder = add_addin(healthy.profile / "user").parent
    write(folder / "hydrofunc.json", json.dumps(settings("/root/bin/python")))

    def exists(path):
        if path == Path("/root/bin/python"):
            raise PermissionError
        return os.path.exists(path)

    monkeypatch.setattr(Path, "exists", exists)
    assert "/root/bin/python, which this user may not run" in only_problem(healthy).text


def test_an_addin_made_from_other_functions(healthy):
    """The version's number is the same, but an argument is not: its calls would mean something else."""
    folder = add_addin(healthy.profile / "user").parent
    made = settings(healthy.executable)
    made["functions"]["PIPE_VELOCITY"]["fingerprint"] = "0"
    write(folder / "hydrofunc.json", json.dumps(made))
    found = only_problem(healthy)
    assert "other functions" in found.text and found.text.endswith(": pipe_velocity")
    assert found.remedy == "hydrofunc calc-addin install"


def test_an_addin_for_one_user_and_one_for_all(healthy):
    add_addin(healthy.shared[0])
    assert "twice" in only_problem(healthy).text


def test_no_addin_is_said_and_those_of_others_do_not_count(healthy):
    add_addin(healthy.profile / "user", identifier="org.example.other")
    assert any("not installed" in finding.text for finding in check(healthy))


@pytest.mark.parametrize("mode", [None, 1, 2])
def test_calc_that_trusts_stored_values(healthy, mode):
    write(healthy.profile / "user/registrymodifications.xcu", "" if mode is None else REGISTRY.format(mode))
    said = [finding for finding in check(healthy) if "trusts the values" in finding.text]
    assert len(said) == 1 and "Recalculation on File Load" in said[0].remedy


def test_calc_that_recalculates_is_praised(healthy):
    assert not any("trusts the values" in finding.text for finding in check(healthy))


def test_an_old_calc(healthy):
    assert any("calc-addin book" in finding.remedy for finding in check(replace(healthy, office_version="7.4.7.2")))


@pytest.mark.parametrize("package", ["xlwings", "pywin32"])
def test_excel_without_its_packages(windows, package):
    assert package in only_problem(replace(windows, packages=windows.packages | {package: None})).text


def test_excel_from_the_store(windows):
    assert "Store" in only_problem(replace(windows, store_excel=True)).text


def test_xlwings_starts_a_python_that_is_gone(windows, tmp_path):
    write(tmp_path / ".xlwings/xlwings.conf", f'"INTERPRETER_WIN","{tmp_path}/gone/python.exe"\n')
    assert "does not exist" in only_problem(windows).text


def test_xlwings_starts_another_python(windows, tmp_path):
    other = write(tmp_path / "other/python")
    write(tmp_path / ".xlwings/xlwings.conf", f'"INTERPRETER_WIN","{other}"\n')
    assert any("two installations" in finding.remedy for finding in check(windows))
    write(tmp_path / ".xlwings/xlwings.conf", '"INTERPRETER_WIN","python"\n')
    assert any("finds first" in finding.text for finding in check(windows))


def test_an_xlwings_addin_of_another_version(windows):
    write(windows.excel_start / "xlwings.xlam", "of another version")
    assert "xlwings add-in" in only_problem(windows).text
    without = replace(windows, packages=windows.packages | {"xlwings": None})
    assert "package xlwings is missing" in only_problem(without).text


def test_this_computer_can_be_looked_at():
    machine = Machine.this()
    assert machine.packages["numpy"] and machine.python >= (3, 11)
    assert check(machine)


def test_every_command_a_remedy_names_exists():
    source = Path(doctor.__file__).read_text(encoding="utf-8")
    named = set(re.findall(r'"hydrofunc ((?:calc-addin )?(?!runs )[a-z-]+)', source))
    assert {"calc-addin install", "calc-addin book", "recalc", "excel-addin", "functions"} <= named
    for words in named:
        command = main
        for word in words.split():
            command = getattr(command, "commands", {}).get(word)
        assert command is not None, words


def test_exit_codes(healthy, monkeypatch):
    monkeypatch.setattr(Machine, "this", classmethod(lambda cls: healthy))
    assert CliRunner().invoke(main, ["doctor"]).exit_code == 0
    ill = replace(healthy, python=(3, 8, 4))
    monkeypatch.setattr(Machine, "this", classmethod(lambda cls: ill))
    run = CliRunner().invoke(main, ["doctor"])
    assert run.exit_code == 1 and "-> Install Python 3.11" in run.output
    assert CliRunner().invoke(main, ["doctor", "--repair", "x.xlsx"]).exit_code == 2
    assert CliRunner().invoke(main, ["doctor", "no-such-book.xlsx"]).exit_code == 1


def test_findings_as_json(healthy, monkeypatch):
    """The same findings and exit codes as in words."""
    ill = replace(healthy, python=(3, 8, 4))
    monkeypatch.setattr(Machine, "this", classmethod(lambda cls: ill))
    run = CliRunner().invoke(main, ["doctor", "--json"])
    assert run.exit_code == 1
    found = json.loads(run.stdout)
    assert [set(one) for one in found] == [{"level", "about", "text", "remedy"}] * len(found)
    assert [one["text"] for one in found] == [finding.text for finding in check(ill)]
    assert CliRunner().invoke(main, ["doctor", "x.xlsx", "--repair", "y.xlsx", "--json"]).exit_code == 2


def test_bits_are_said_where_known(healthy, windows):
    assert any("64 bits" in finding.text for finding in check(healthy) if finding.about == "Python")
    said = check(replace(windows, excel_bits=32))
    assert any("32 bits" in finding.text for finding in said if finding.about == "Excel")
    assert Machine.this().bits == (64 if sys.maxsize > 2**32 else 32)


@pytest.mark.parametrize(("machine", "bits"), [(0x14C, 32), (0x8664, 64), (0xAA64, 64), (0x1234, None)])
def test_the_bits_of_a_windows_program(tmp_path, machine, bits):
    """Machine types after Microsoft, "PE Format", COFF file header."""
    program = tmp_path / "excel.exe"
    start = b"MZ".ljust(0x3C, b"\0") + (0x80).to_bytes(4, "little") + b"\0" * 0x40
    program.write_bytes(start + b"PE\0\0" + machine.to_bytes(2, "little"))
    assert doctor.program_bits(program) == bits
    program.write_bytes(b"#!/bin/sh")
    assert doctor.program_bits(program) is None


# -- workbooks -----------------------------------------------------------------------------------------

SHEET = "xl/worksheets/sheet1.xml"


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    """A workbook with one of our functions and an ordinary formula, calculated."""
    book = openpyxl.Workbook()
    book.active.title = "Pipe"
    book.active["A1"], book.active["B1"], book.active["B2"] = 4, "=HYDRO_DENSITY(A1)", "=ROUND(B1,2)"
    stream = io.BytesIO()
    book.save(stream)
    path = tmp_path_factory.mktemp("books") / "small.xlsx"
    path.write_bytes(calculated(stream.getvalue())[0])
    return path


def edited(path, out, changes):
    """A copy of a workbook with text replaced in its parts, each at least once."""
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
        for member in source.infolist():
            data = source.read(member)
            for part, before, after in changes:
                if part == member.filename:
                    assert re.search(before, data.decode()), before
                    data = re.sub(before, lambda match, after=after: after, data.decode(), count=1).encode()
            target.writestr(member, data)
    return out


LINK = [
    (
        "xl/workbook.xml",
        "</sheets>",
        '</sheets><externalReferences><externalReference r:id="rId99"/></externalReferences>',
    ),
    (
        "xl/_rels/workbook.xml.rels",
        "</Relationships>",
        '<Relationship Id="rId99" Type="http://schemas.openxmlformats.org/'
        'officeDocument/2006/relationships/externalLink" Target="externalLinks/externalLink1.xml"/></Relationships>',
    ),
    (
        "[Content_Types].xml",
        "</Types>",
        '<Override PartName="/xl/externalLinks/externalLink1.xml" ContentType="application/'
        'vnd.openxmlformats-officedocument.spreadsheetml.externalLink+xml"/></Types>',
    ),
]
LINK_PART = (
    '<externalLink xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><externalBook xmlns:r="http://schemas.'
    'openxmlformats.org/officeDocument/2006/relationships" r:id="rId1"/></externalLink>'
)


def linked(path, out, formula_change):
    """A workbook as Excel writes it when a function comes from an add-in: [1]! and a link to the file."""
    edited(path, out, [*LINK, formula_change])
    with zipfile.ZipFile(out, "a") as archive:
        archive.writestr("xl/externalLinks/externalLink1.xml", LINK_PART)
        archive.writestr("xl/externalLinks/_rels/externalLink1.xml.rels", "<Relationships/>")
    return out


def formulas(path):
    return {
        (sheet.title, cell.coordinate): cell.value
        for sheet in openpyxl.load_workbook(path)
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    }


def test_the_template_is_healthy(healthy):
    *notes, (note, needed) = [
        (finding.level, finding.text) for finding in check_book(TEMPLATE, healthy) if finding.level != OK
    ]
    assert (
        not notes
        and note == NOTE
        and needed.startswith("no results yet. Give Static pressure on the gauge (Start C22)")
    )


SPOILT = [
    ("<f>HYDRO_", "<f>[1]!HYDRO_"),
    ("<f>HYDRO_", "<f>'C:\\Users\\O''Neil\\AddIns\\hydro (1).xlam'!HYDRO_"),
    ("<f>HYDRO_", "<f>&apos;C:\\A &amp; B\\hydro.xlam&apos;!HYDRO_"),
    ("<f>HYDRO_", "<f>hydrofunc.xlsm!HYDRO_"),
    ("<f>HYDRO_", "<f>_xll.HYDRO_"),
    ("<f>HYDRO_", "<f>_xludf.HYDRO_"),
    ("<f>HYDRO_", "<f>hydro_"),
]


@pytest.mark.parametrize(("before", "after"), SPOILT, ids=[after for _, after in SPOILT])
def test_a_name_only_one_machine_knows_is_found_and_repaired(tmp_path, small, healthy, before, after):
    ill = edited(small, tmp_path / "ill.xlsx", [(SHEET, before, after)])
    original = ill.read_bytes()
    found = [finding for finding in check_book(ill, healthy) if finding.is_problem]
    assert len(found) == 1 and "--repair" in found[0].remedy and re.search(r"\w+![A-Z]+\d+ calls", found[0].text)
    done = repair.repair(ill, tmp_path / "well.xlsx")
    assert done.formulas == 1 and not done.notes
    assert formulas(tmp_path / "well.xlsx") == formulas(small)
    assert not any(finding.is_problem for finding in check_book(tmp_path / "well.xlsx", healthy))
    assert ill.read_bytes() == original


def test_the_link_to_the_addin_goes_with_its_last_use(tmp_path, small, healthy):
    ill = linked(small, tmp_path / "ill.xlsx", (SHEET, "<f>HYDRO_", "<f>[1]!HYDRO_"))
    repair.repair(ill, tmp_path / "well.xlsx")
    with zipfile.ZipFile(tmp_path / "well.xlsx") as archive, zipfile.ZipFile(small) as template:
        assert archive.namelist() == template.namelist()
        for name in ("xl/_rels/workbook.xml.rels", "[Content_Types].xml"):
            assert archive.read(name) == template.read(name)
        assert b"externalReference" not in archive.read("xl/workbook.xml")
    assert not any(finding.is_problem for finding in check_book(tmp_path / "well.xlsx", healthy))


def test_a_link_that_another_formula_uses_stays(tmp_path, small):
    ill = linked(small, tmp_path / "ill.xlsx", (SHEET, "<f>HYDRO_", "<f>[1]Prices!$B$2*0+[1]!HYDRO_"))
    done = repair.repair(ill, tmp_path / "well.xlsx")
    assert done.formulas == 1 and any("other files" in note for note in done.notes)
    with zipfile.ZipFile(tmp_path / "well.xlsx") as archive:
        assert "xl/externalLinks/externalLink1.xml" in archive.namelist()
        assert b"[1]Prices!$B$2*0+HYDRO_" in archive.read(SHEET)


def test_words_in_quotation_marks_and_functions_of_others_are_no_calls_of_ours(tmp_path):
    text = '"[1]!HYDRO_DENSITY(4) and hydro_density(4)"'
    book = openpyxl.Workbook()
    book.active["A1"] = f"={text}&1"
    book.active["A3"] = "=HYDROLOGY(1)+[1]!HYDROSTAT(2)+Hydro!A1"
    book.active["A2"] = "=SUM('[1]!HYDRO_DENSITY('!A1)+1"
    book.save(tmp_path / "words.xlsx")
    assert repair.strange_calls(tmp_path / "words.xlsx") == []
    _, count, _ = repair.repaired(tmp_path / "words.xlsx")
    assert count == 0


def test_a_formula_longer_than_any_spreadsheet_allows_is_left_and_takes_no_time(tmp_path, small):
    """8192 characters (Microsoft, Excel specifications and limits); a hostile file may hold more."""
    ill = edited(small, tmp_path / "ill.xlsx", [(SHEET, "<f>HYDRO_", f"<f>{'a' * 3_000_000}hydro_")])
    start = time.perf_counter()
    assert repair.strange_calls(ill) == []
    assert time.perf_counter() - start < 5


def test_defined_names_and_conditions_are_repaired_too(tmp_path):
    from openpyxl.formatting.rule import FormulaRule
    from openpyxl.workbook.defined_name import DefinedName
    from openpyxl.worksheet.datavalidation import DataValidation

    book = openpyxl.Workbook()
    book.defined_names["rho"] = DefinedName("rho", attr_text="[1]!HYDRO_DENSITY(4)")
    book.active.conditional_formatting.add("A1", FormulaRule(formula=["[1]!HYDRO_DENSITY(A1)>999"]))
    rule = DataValidation(type="custom", formula1="[1]!HYDRO_DENSITY(A1)>999")
    rule.add("A1")
    book.active.add_data_validation(rule)
    book.save(tmp_path / "ill.xlsx")
    data, count, _ = repair.repaired(tmp_path / "ill.xlsx")
    assert count == 3 and not repair.strange_calls(data)
    assert "HYDRO_DENSITY(A1)&gt;999" in zipfile.ZipFile(io.BytesIO(data)).read("xl/worksheets/sheet1.xml").decode()


@pytest.mark.parametrize(
    ("written", "plain"),
    [
        ("HYDRO_DENSITY", "HYDRO_DENSITY"),
        ("hydro_density", "HYDRO_DENSITY"),
        ("org.hydrofunc.calc.frictionHead", "HYDRO_FRICTION_HEAD"),
        ("HYDROFUNC.FRICTION_HEAD", "HYDRO_FRICTION_HEAD"),
        ("HYDRO_EXPLAIN", "HYDRO_EXPLAIN"),
        ("HYDRO_NOTHING", None),
    ],
)
def test_plain_names(written, plain):
    assert repair.plain_name(written) == plain


def test_a_book_for_old_calc_is_no_problem_but_said(tmp_path, small, healthy):
    """Made on purpose, for Calc 7.4."""
    book_for_old_calc(small, tmp_path / "old.xlsx")
    found = check_book(tmp_path / "old.xlsx", healthy)
    assert not any(finding.is_problem for finding in found) and "only Calc" in found[0].text
    repair.repair(tmp_path / "old.xlsx", tmp_path / "back.xlsx")
    assert formulas(tmp_path / "back.xlsx") == formulas(small)


def test_a_function_that_does_not_exist_is_named_and_left(tmp_path, small, healthy):
    ill = edited(small, tmp_path / "ill.xlsx", [(SHEET, "<f>HYDRO_", "<f>[1]!HYDRO_NOTHING(1)+HYDRO_")])
    found = [finding for finding in check_book(ill, healthy) if finding.is_problem]
    assert len(found) == 1 and "no such function" in found[0].text
    done = repair.repair(ill, tmp_path / "well.xlsx")
    assert done.formulas == 0 and "HYDRO_NOTHING" in done.notes[0]


def test_a_stale_value_is_found(tmp_path, small, healthy):
    ill = edited(small, tmp_path / "ill.xlsx", [(SHEET, r"(?<=</f><v>)[^<]*", "5.125")])
    found = [finding for finding in check_book(ill, healthy) if finding.is_problem]
    assert len(found) == 1 and "5.125" in found[0].text and found[0].remedy == "hydrofunc recalc"


def test_the_original_is_never_written(tmp_path, small):
    copy = tmp_path / "book.xlsx"
    copy.write_bytes(small.read_bytes())
    with pytest.raises(FileRefused, match="the workbook itself"):
        repair.repair(copy, copy, force=True)
    other = write(tmp_path / "other.xlsx", "mine")
    with pytest.raises(FileRefused, match="exists already"):
        repair.repair(copy, other)
    assert other.read_text() == "mine"


def test_a_starter_of_another_version_or_with_a_lost_python(tmp_path, windows):
    from hydrofunc.hosts.excel.setup import starter

    path = tmp_path / "starter.xlsm"
    path.write_bytes(starter(str(tmp_path / "gone" / "python.exe")))
    assert "does not exist" in " ".join(f.text for f in check_book(path, windows) if f.is_problem)
    book = openpyxl.load_workbook(path, keep_vba=True)
    for row in book["xlwings.conf"].iter_rows(max_col=2):
        if row[0].value == "hydrofunc version":
            row[1].value = "0.0.1"
    book.save(path)
    assert "made by hydrofunc 0.0.1" in " ".join(f.text for f in check_book(path, windows) if f.is_problem)
    newer = replace(windows, packages={**windows.packages, "xlwings": "9.9.9"})
    assert "and 9.9.9 is installed" in " ".join(f.text for f in check_book(path, newer) if f.is_problem)
    assert "9.9.9" not in " ".join(f.text for f in check_book(path, windows))


def test_repair_from_the_command_line(tmp_path, small):
    ill = edited(small, tmp_path / "ill.xlsx", [(SHEET, "<f>HYDRO_", "<f>[1]!HYDRO_")])
    run = CliRunner().invoke(main, ["doctor", str(ill)])
    assert run.exit_code == 1 and "--repair" in run.output
    run = CliRunner().invoke(main, ["doctor", str(ill), "--repair", str(tmp_path / "well.xlsx")])
    assert run.exit_code == 0 and "1 formulas repaired" in run.output
    assert CliRunner().invoke(main, ["doctor", str(tmp_path / "well.xlsx")]).exit_code == 0
