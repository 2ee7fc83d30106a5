"""The VBA module, compiled and run by LibreOffice in its VBA mode, with a stand-in for xlwings' XLPy.

This is not Excel: LibreOffice's Basic reads the same language with its own compiler. It shows that the text is
a program, that error texts become error values, and what a call passes on.
"""

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from hydrofunc.hosts.excel import vba

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


def ran(folder, wrappers):
    """What Probe.Main answers, in parts."""
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
    modules = {"Wrappers": wrappers, "FakePython": PYTHON, "Probe": PROBE}
    run = subprocess.run(
        [python, str(DRIVER), soffice, (folder / "profile").as_uri()],
        input=json.dumps(modules),
        capture_output=True,
        text=True,
        timeout=180,
    )
    answer = json.loads(run.stdout) if run.stdout.strip() else None
    return answer.split(";") if answer else run.stderr


@pytest.fixture(scope="module")
def wrappers():
    """The module as LibreOffice can take it: without its first line, and without Excel's own objects."""
    first, _, text = vba.module_text().partition("\n")
    assert first.startswith("Attribute")
    return text.replace(", ThisWorkbook, Application.Caller", "")


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
def test_a_mistake_anywhere_in_the_module_would_be_noticed(tmp_path, wrappers):
    start = "Private Sub Describe_HYDRO_WINDAGE_POWER()\n"
    assert start in wrappers
    spoilt = wrappers.replace(start, f"{start}    texts(0 = 1\n")
    assert isinstance(ran(tmp_path, spoilt), str)
