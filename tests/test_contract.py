"""A function is declared once and is in every host, with the same arguments, help and answers."""

import json
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

import hydrofunc
from tests import contract

FUNCTIONS = hydrofunc.functions()


@pytest.mark.parametrize("name", list(FUNCTIONS))
def test_every_host_agrees_about_a_function(name):
    assert contract.agreement(FUNCTIONS[name]) == dict.fromkeys(contract.HOSTS, "agrees")


def test_the_guide_says_how_many_functions_agree():
    """Else: python -m tests.contract"""
    assert contract.written_summary() == contract.summary(FUNCTIONS.values())


def test_the_summary_names_a_function_that_does_not_agree():
    """With a row that says in which host; those that agree are only counted."""
    good, other = FUNCTIONS["gravity"], replace(FUNCTIONS["friction_head"], help="Other help.")
    first, _, _, _, row = contract.summary([good, other]).split("\n")
    assert first.startswith("1 of 2 functions agree in every host: Python, headless, Calc, ")
    assert row.startswith("| `HYDRO_FRICTION_HEAD` | does not: ") and row.count("does not: ") == 3


# A default as a person must read it, in every host; written here by hand, not taken from the declaration.
DEFAULTS = [
    ("operating_flow", "available_flow", "no limit"),  # infinite: a cell holds no such number
    ("surge_pressure", "chainage", "no limit"),
    ("coverage_factor", "degrees_of_freedom", "no limit"),
    ("friction_head", "temperature", "10"),
    ("friction_head", "gravity", "9.80665"),
    ("emf_constant", "connection", "star"),
]


@pytest.mark.parametrize(("name", "argument", "words"), DEFAULTS)
def test_every_host_tells_a_default_in_the_same_words(name, argument, words):
    """In the texts that a person sees."""
    from hydrofunc.hosts.excel import vba

    function, told = FUNCTIONS[name], f"Default: {words}."
    slot = [a.name for a in function.arguments].index(argument)
    (line,) = [line for line in function.describe().split("\n") if line.startswith(f"  {argument}")]
    assert line.endswith(told)
    node = contract.extension()[1][name.upper()].findall("node/node")[slot]
    assert told in contract.properties(node)["Description"]
    assert vba.wizard_texts(function.sheet_name)[2][slot].endswith(told)


def test_no_host_shows_an_infinity():
    """Nobody at a worksheet writes `inf`."""
    from hydrofunc.hosts.calc.build import configuration
    from hydrofunc.hosts.excel import vba

    texts = [function.describe() for function in FUNCTIONS.values()]
    texts += [configuration(), *vba.modules().values()]
    assert not [text for text in texts if re.search(r"\binf\b", text)]


@pytest.mark.parametrize(
    "change",
    [
        {"help": "Other help."},
        {"name": "other_name"},
        {"arguments": FUNCTIONS["friction_head"].arguments[:-1]},
    ],
)
def test_a_declaration_the_hosts_do_not_have_is_noticed(change):
    """The checks of the table can fail, each of them."""
    verdicts = contract.agreement(replace(FUNCTIONS["friction_head"], **change))
    assert "agrees" not in (verdicts["Calc"], verdicts["Excel metadata"], verdicts["Python"])


def test_an_answer_that_differs_is_noticed():
    doubled = replace(FUNCTIONS["friction_head"], physics=lambda **si: 2 * FUNCTIONS["friction_head"].physics(**si))
    assert "agrees" not in contract.agreement(doubled).values()


def test_calc_and_excel_have_the_same_helpers_beside_the_functions():
    from hydrofunc.hosts.excel import vba

    declared = {function.sheet_name for function in FUNCTIONS.values()}
    in_calc = {contract.properties(node)["CompatibilityName"] for node in contract.extension()[1].values()}
    assert in_calc - declared == set(vba.worksheet_functions()) - declared == {"HYDRO_EXPLAIN", "HYDRO_VERSION"}


@pytest.mark.parametrize(
    "call",
    [
        ("friction_head", 1.2, 400.0, 32.6, 0.007),
        ("HYDRO_FRICTION_HEAD", 1.2, -400.0, 32.6, 0.007),
        ("friction_heat", 1.2),
        ("friction_head", 1.2),
        ("friction_head", -1.0, -1.0, 32.6, 0.007),
        ("pipe_bore", "en 10255", "1/2", "heaviest"),
        ("pipe_velocity", 1.0, 40.0, 3.0, 4.0),
    ],
)
def test_calc_and_excel_explain_in_the_same_words(call):
    from hydrofunc.hosts.calc.worker import explanation
    from hydrofunc.hosts.excel.udfs import HYDRO_EXPLAIN

    name, *values = call
    assert HYDRO_EXPLAIN(name, *[[[value]] for value in values]) == explanation(name, *values)


THROW_AWAY = """
import json, sys
sys.path.insert(0, {tests!r})
import hydrofunc
from hydrofunc import catalogue
from hydrofunc.registry import Argument, Example, declare

def throw_away(drop, share):
    return drop * share

declare(
    throw_away, group="Water and site", help="A throw-away function.", unit="m", meaning="Nothing.",
    equation="x = d s", source="Invented for a test",
    arguments=(
        Argument("drop", "m", "A height.", "[0, 10]"), Argument("share", "-", "A share.", "[0, 1]", default=0.5)
    ),
    example=Example({{"drop": 3}}, 1.5),
)
from tests import contract
from hydrofunc.emit import all_names, vba_modules
from hydrofunc.hosts.calc.build import configuration
from hydrofunc.hosts.excel import vba
from hydrofunc.jobs import selftest
from hydrofunc.template import PAGES
print(json.dumps({{
    "hosts": contract.agreement(hydrofunc.throw_away),
    "selftest": any(test.function.name == "throw_away" for test in selftest.rows()),
    "template": "HYDRO_THROW_AWAY" in repr(PAGES),
    "live name": all_names.names().texts["HYDRO_THROW_AWAY"],
    "macro": [text for text in vba_modules.modules().values() if "Public Function HYDRO_THROW_AWAY(" in text],
    "xlwings": [text for text in vba.modules().values() if "Public Function HYDRO_THROW_AWAY(" in text],
    "wizard": [row for row in vba.wizard_rows() if row[0] == "HYDRO_THROW_AWAY"],
    "Calc": "A throw-away function." in configuration(),
}}))
"""


def test_a_function_declared_once_is_everywhere():
    """In a fresh process: declared, and found in every host, in what travels in a workbook (LAMBDA names and macros),
    in the self-test and in the template's list."""
    code = THROW_AWAY.format(tests=str(Path(contract.__file__).parents[1]))
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    found = json.loads(run.stdout)
    assert found.pop("hosts") == dict.fromkeys(contract.HOSTS, "agrees")
    assert found["selftest"] and found["template"] and found["Calc"]
    assert found["live name"].startswith("_xlfn.LAMBDA(_xlpm.drop,_xlop.share,")
    assert "_xlpm.a_*_xlpm.b_" in found["live name"]
    (macro,), (wrapper,), (texts,) = found["macro"], found["xlwings"], found["wizard"]
    assert "Public Function HYDRO_THROW_AWAY(Optional drop As Variant, Optional share As Variant)" in macro
    assert "= a1 * a2\n" in macro.partition("HYDRO_THROW_AWAY")[2].partition("End Function")[0]
    assert "Public Function HYDRO_THROW_AWAY(drop, Optional share)" in wrapper
    assert texts[1:3] == ["hydrofunc: Water and site", "A throw-away function. [m]"] and len(texts) == 5
