"""Our VBA modules, compiled and run by LibreOffice in its VBA mode, with a stand-in for xlwings' XLPy.

This is not Excel: LibreOffice's Basic reads the same language with its own compiler. It shows that the text is
a program, that error texts become error values, and what a call passes on.
"""

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from hydrofunc.hosts.excel import vba
from hydrofunc.hosts.excel.setup import starter

DRIVER = Path(__file__).with_name("basic_driver.py")
PYTHON = """
Option ClassModule
Public Function CallUDF(module, name, arguments)
    Called = module & " " & name & " " & UBound(arguments) - LBound(arguments) + 1
    If Fails Then Err.Raise 1000, "xlwings", "Python is not there"
    CallUDF = Answer
End Function
"""
PROBE = """
Public Answer As Variant
Public Called As String
Public Fails As Boolean

Function XLPy()
    Dim python As New FakePython
    Set XLPy = python
End Function

Function Shown(value) As String
    If IsError(value) Then
        Shown = "error " & CLng(value)
    Else
        Shown = TypeName(value) & " " & CStr(value)
    End If
End Function

Function Main() As String
    Dim text, row(2), table(1, 1), found, r
    For Each text In Array("#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A", "fine", 1.5)
        Answer = text
        found = found & Shown(HYDRO_DENSITY(4)) & ";"
    Next text
    row(0) = 1.5: row(1) = "#NUM!": row(2) = 2.5
    Answer = row
    r = HYDRO_DENSITY(4)
    found = found & Shown(r(0)) & "," & Shown(r(1)) & "," & Shown(r(2)) & ";"
    table(0, 0) = 1.5: table(0, 1) = "#VALUE!": table(1, 0) = "#N/A": table(1, 1) = 2.5
    Answer = table
    r = HYDRO_DENSITY(4)
    found = found & Shown(r(0, 0)) & "," & Shown(r(0, 1)) & "," & Shown(r(1, 0)) & "," & Shown(r(1, 1)) & ";"
    Answer = 1
    r = HYDRO_FRICTION_HEAD(1.2, 400, 32.6, 0.007)
    found = found & Called & ";"
    r = HYDRO_EXPLAIN("density", 4, 5)
    found = found & Called & ";"
    Fails = True
    found = found & Shown(HYDRO_DENSITY(4)) & ";" & HydrofuncLastFailure
    Main = found
End Function
"""


def by_libreoffice(folder, *book, modules=None):
    """What the driver answers, or what it complains of."""
    python = next(
        (
            path
            for path in ("/usr/bin/python3", shutil.which("python3"))
            if subprocess.run([path, "-c", "import uno"], capture_output=True).returncode == 0
        ),
        None,
    )
    soffice = shutil.which("soffice")
    assert python and soffice, "LibreOffice and python3-uno are needed"
    run = subprocess.run(
        [python, str(DRIVER), soffice, (folder / "profile").as_uri(), *book],
        input=json.dumps(modules),
        capture_output=True,
        text=True,
        timeout=180,
    )
    return (json.loads(run.stdout) if run.stdout.strip() else None) or run.stderr


def ran(folder, wrappers, probe=PROBE):
    """What Probe.Main answers, in parts; a text where it is an error."""
    answer = by_libreoffice(folder, modules={**wrappers, "FakePython": PYTHON, "Probe": probe})
    return answer.split(";") if ";" in answer else answer


@pytest.fixture(scope="module")
def wrappers():
    """The modules as LibreOffice can take them: without Excel's own objects, and all but xlwings' own."""
    ours = {name: text for name, text in vba.modules().items() if name != vba.THEIRS}
    return {name: as_libreoffice_takes_it(text) for name, text in ours.items()}


def as_libreoffice_takes_it(text):
    text = text.replace(", ThisWorkbook, Application.Caller", "").replace("ThisWorkbook.Name", '"a ""book"".xlsm"')
    text = text.replace(f'ThisWorkbook.Worksheets("{vba.WIZARD_SHEET}").UsedRange.Value', "Sheet()")
    return text.replace("Application.MacroOptions ", "Noted ")


@pytest.mark.calc
def test_error_texts_become_error_values_and_calls_pass_their_arguments(tmp_path, wrappers):
    found = ran(tmp_path, wrappers)
    assert found[:9] == [
        "error 2000",
        "error 2007",
        "error 2015",
        "error 2023",
        "error 2029",
        "error 2036",
        "error 2042",
        "String fine",
        "Double 1.5",
    ]
    assert found[9] == "Double 1.5,error 2036,Double 2.5"
    assert found[10] == "Double 1.5,error 2015,error 2042,Double 2.5"
    assert found[11] == "hydrofunc.hosts.excel.udfs HYDRO_FRICTION_HEAD 6"
    assert found[12] == "hydrofunc.hosts.excel.udfs HYDRO_EXPLAIN 3"
    assert found[13] == "error 2042"
    assert found[14].startswith("HYDRO_DENSITY: ")


@pytest.mark.calc
@pytest.mark.parametrize("module", ["hydrofunc_answers", "hydrofunc_functions_1", "hydrofunc_functions_3"])
def test_a_mistake_anywhere_in_the_modules_would_be_noticed(tmp_path, wrappers, module):
    start = "    On Error GoTo"
    assert start in wrappers[module]
    before, _, after = wrappers[module].rpartition(start)
    spoilt = wrappers | {module: f"{before}    texts(0 = 1\n{start}{after}"}
    assert isinstance(ran(tmp_path, spoilt), str)


WIZARD_PROBE = """
Dim found As String

Function XLPy()
End Function

Function Sheet()
    Dim cells({rows}, {columns})
{filled}
    Sheet = cells
End Function

Sub Noted(Macro, Description, Category, Optional ArgumentDescriptions)
    Dim text
    found = found & Macro & "|" & Category & "|" & Description
    If Not IsMissing(ArgumentDescriptions) Then
        For Each text In ArgumentDescriptions
            found = found & "|" & text
        Next text
    End If
    found = found & ";"
End Sub

Function Main() As String
    HydrofuncDescribe
    Main = found
End Function
"""


@pytest.mark.calc
def test_the_macro_of_the_wizard_tells_every_text_of_the_hidden_sheet(tmp_path, wrappers):
    """A range as Excel gives it: cells from 1, those to the right of a function's last argument empty."""
    rows = [
        row for row in vba.wizard_rows() if row[0] in ("function", "HYDRO_VERSION", "HYDRO_EXPLAIN", "HYDRO_DENSITY")
    ]
    rows = [[text.replace(";", ",") for text in row] for row in rows]
    filled = "\n".join(
        f'    cells({r}, {c}) = "{text.replace(chr(34), chr(34) * 2)}"'
        for r, row in enumerate(rows, start=1)
        for c, text in enumerate(row, start=1)
    )
    probe = WIZARD_PROBE.format(rows=len(rows), columns=max(map(len, rows)) + 1, filled=filled)
    found = ran(tmp_path, {"hydrofunc_wizard": wrappers["hydrofunc_wizard"]}, probe)
    assert [text.split("|") for text in found[:-1]] == [
        [f"'a \"book\".xlsm'!{name}", *texts] for name, *texts in rows[1:]
    ]


@pytest.mark.calc
def test_libreoffice_shows_the_modules_of_the_starter(tmp_path):
    path = tmp_path / "hydrofunc.xlsm"
    path.write_bytes(starter("python.exe"))
    found = by_libreoffice(tmp_path, path.as_uri())
    lines = {name: [line.strip() for line in text.splitlines()] for name, text in found.items()}
    for name, text in vba.modules().items():
        wanted = [line.strip() for line in text.splitlines() if line and not line.startswith("Attribute ")]
        assert [line for line in wanted if line not in lines[name]] == []
