"""A function is declared once and is in every host, with the same arguments, help and answers."""

import json
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


def test_the_table_in_the_guide_is_the_one_computed():
    """Else: python -m tests.contract"""
    assert contract.kept_table() == contract.table()


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
    found = contract.agreement(replace(FUNCTIONS["friction_head"], **change))
    assert found["Calc"] != "agrees" and found["Excel metadata"] != "agrees" and found["Python"] != "agrees"


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
    arguments=(Argument("drop", "m", "A height.", "[0, 10]"), Argument("share", "-", "A share.", "[0, 1]", default=0.5)),
    example=Example({{"drop": 3}}, 1.5),
)
from tests import contract
from hydrofunc.jobs import selftest
from hydrofunc.template import PAGES
print(json.dumps({{
    "hosts": contract.agreement(hydrofunc.throw_away), "row": "HYDRO_THROW_AWAY" in contract.table(),
    "selftest": any(test.function.name == "throw_away" for test in selftest.rows()),
    "template": "HYDRO_THROW_AWAY" in repr(PAGES),
}}))
"""


def test_a_function_declared_once_is_everywhere():
    """In a fresh process: declared, and found in every host, in the self-test and in the template's list."""
    code = THROW_AWAY.format(tests=str(Path(contract.__file__).parents[1]))
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert json.loads(run.stdout) == {
        "hosts": dict.fromkeys(contract.HOSTS, "agrees"),
        "row": True,
        "selftest": True,
        "template": True,
    }
