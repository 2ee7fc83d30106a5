"""The module of functions where xlwings does nothing, and what stands in the VBA modules."""

import datetime
import re
import subprocess
import sys
from decimal import Decimal

import pytest

import hydrofunc
from hydrofunc.hosts.excel import adapter, vba

FIND = hydrofunc.functions()["friction_head"]


def test_off_windows_the_functions_are_plain_and_work():
    """In a fresh process, as a person off Windows would import it."""
    code = (
        "import hydrofunc.hosts.excel.udfs as u; f = u.HYDRO_PIPE_VELOCITY;"
        "print(hasattr(f, '__xlfunc__'), f(1.0, 40.0))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.split() == ["False", str(hydrofunc.pipe_velocity(1.0, 40.0))]


def test_without_xlwings_the_person_is_told_what_to_install():
    code = (
        "import sys; sys.modules['xlwings'] = None; from hydrofunc.cli import main; main(['excel-addin', 'never-made'])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert run.returncode == 1 and "pip install xlwings" in run.stderr and "Traceback" not in run.stderr


def test_a_currency_amount_is_a_number_and_a_date_its_serial_number():
    """As the same cells count in a worksheet; 10 January 1900 has the serial number 10 (day 60 not passed: 9 + 1)."""
    assert adapter.call(FIND, (Decimal("1.2"), 400.0, 32.6, 0.007)) == hydrofunc.friction_head(1.2, 400, 32.6, 0.007)
    day = datetime.datetime(2000, 1, 1)  # serial number 36526 (Microsoft, DATEVALUE)
    assert adapter.explain(FIND, (1.2, day, 32.6, 0.007)) == adapter.explain(FIND, (1.2, 36526.0, 32.6, 0.007))


def test_integers_are_numbers_unless_they_are_error_codes():
    assert adapter.call(FIND, (1, 400, 32.6, 0.007)) == hydrofunc.friction_head(1, 400, 32.6, 0.007)
    assert adapter.call(FIND, (-2146826246, 400, 32.6, 0.007)) == "#N/A"
    assert adapter.call(FIND, ([[1], [-2146826259]], 400, 32.6, 0.007))[1] == ["#NAME?"]


OURS = {name: text for name, text in vba.modules().items() if name != vba.THEIRS}


def logical_lines(text):
    return re.sub(r" _\n\s*", " ", text).splitlines()


@pytest.mark.parametrize("name", OURS)
def test_a_module_keeps_the_limits_of_vba(name):
    """At most 24 continued lines and 1023 characters a line (Microsoft, "Too many line continuations", "Line too
    long"; from memory, not looked up); declarations before procedures; every procedure ended."""
    text = OURS[name]
    assert text.isascii()
    assert max(map(len, text.splitlines())) < 1023
    assert max(part.count(" _\n") for part in re.split(r"(?<! _)\n", text)) <= 24
    lines = logical_lines(text)
    assert lines[0] == "Option Explicit"
    opened, begun = None, False
    for line in lines:
        start = re.match(r"(?:Public |Private )(Function|Sub) (\w+)\(", line)
        if start:
            assert opened is None
            opened, begun = start[1], True
        elif opened and line == f"End {opened}":
            opened = None
        elif line.startswith(("Public ", "Option ")):
            assert not begun
    assert opened is None


@pytest.mark.parametrize("name", OURS)
def test_quotation_marks_of_vba_are_balanced(name):
    for line in logical_lines(OURS[name]):
        if not line.lstrip().startswith("'"):
            assert line.count('"') % 2 == 0, line


def test_only_functions_and_the_macro_of_the_wizard_are_offered_to_a_person():
    """What a module with Option Private Module holds is on no list of Excel's."""
    offered = [
        name
        for text in OURS.values()
        if "Option Private Module" not in text
        for name in re.findall(r"(?m)^(?:Public )?(?:Function|Sub) (\w+)", text)
    ]
    assert sorted(offered) == sorted([*vba.worksheet_functions(), "HydrofuncDescribe"])


def test_a_call_that_fails_shows_an_error_value_and_no_sentence():
    text = "".join(OURS.values())
    assert "= Err.Description" not in text
    assert text.count("= CVErr(2042)\nEnd Function") == len(vba.worksheet_functions())
