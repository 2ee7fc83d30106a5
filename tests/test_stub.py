"""A type checker sees every public function: right calls pass, a misspelt argument does not."""

import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import hydrofunc
from tests import stub

ROOT = Path(__file__).parents[1]

RIGHT = """\
import numpy as np
import hydrofunc
from hydrofunc import HydroError, InputError, friction_head

one: float = hydrofunc.friction_head(flow=1.2, length=400, bore=32.6, roughness=0.007)
by_position: float = friction_head(1.2, 400, 32.6, np.float32(0.007), gravity=9.8)
many = friction_head(np.array([1.0, 1.2]), [300, 400], 32.6, 0.007)
print(many.max(), many.shape)
delta: float = hydrofunc.emf_constant(20.0, 500, connection="delta")
both = hydrofunc.emf_constant(20.0, 500, connection=["star", "delta"])
print(both.mean())
listed: float = hydrofunc.flow_exceeded([1.0, 1.2, 0.9], 50)
print(friction_head.describe(), hydrofunc.find("gravity").sheet_name, hydrofunc.__version__.split("."))
print([problem.reason for problem in hydrofunc.explain("friction_head", -1, 400, 32.6, 0.007)])
print(list(hydrofunc.functions()), hydrofunc.functions()["gravity"].unit)
try:
    hydrofunc.friction_head(-1, 400, 32.6, 0.007)
except InputError as error:
    print(error.argument, error.allowed, isinstance(error, HydroError))
"""
WRONG = """
hydrofunc.friction_head(flwo=1.2, length=400, bore=32.6, roughness=0.007)  # wrong: no such argument
hydrofunc.friction_head(flow=1.2, length=400, bore=32.6)  # wrong: one is missing
hydrofunc.friction_head("1.2", 400, 32.6, 0.007)  # wrong: a word for a number
hydrofunc.emf_constant(20.0, 500, connection="stra")  # wrong: no such choice
hydrofunc.emf_constant(20.0, 500, connection=["star", "dleta"])  # wrong: no such choice in a list
hydrofunc.flow_exceeded(1.2, 50)  # wrong: a number for a list
hydrofunc.friction_heat(1.2)  # wrong: no such function
whole: int = hydrofunc.gravity(45)  # wrong: the result is a float
"""


@pytest.fixture(scope="module")
def check(tmp_path_factory):
    """The lines of a program in which `mypy --strict` reports an error, with its words."""
    folder = tmp_path_factory.mktemp("user")

    def lines(program):
        path = folder / "program.py"
        path.write_text(program, encoding="utf-8")
        command = [sys.executable, "-m", "mypy", "--strict", "--config-file=", f"--cache-dir={folder}", str(path)]
        run = subprocess.run(
            command, env=os.environ | {"MYPYPATH": str(ROOT)}, cwd=folder, capture_output=True, encoding="utf-8"
        )
        assert run.returncode in (0, 1), run.stderr
        # Errors inside hydrofunc are for tests/test_style.py; a checker is silent about those of an installed package.
        errors = re.findall(r"^program\.py:(\d+): error: (.*)$", run.stdout, re.MULTILINE)
        return {int(line): words for line, words in errors}

    return lines


def test_the_stub_is_the_one_the_declarations_give():
    """Else: python -m tests.stub"""
    assert stub.STUB.read_text(encoding="utf-8") == stub.stub()


def test_a_checker_passes_right_calls_and_reports_each_wrong_one_on_its_line(check):
    program = RIGHT + WRONG
    wrong = {number for number, line in enumerate(program.splitlines(), start=1) if "# wrong" in line}
    assert len(wrong) == 8
    assert set(check(program)) == wrong


def test_what_the_checker_passes_also_runs(capsys):
    """With results of the kinds that the stub says."""
    names = {}
    exec(RIGHT, names)
    assert type(names["one"]) is type(names["delta"]) is type(names["listed"]) is float
    assert names["many"].shape == names["both"].shape == (2,)
    assert "flow from 0 to 1000 L/s" in capsys.readouterr().out


def test_every_worked_example_passes_the_checker(check):
    """Its result is a number, as the example is one call."""
    program = ["import hydrofunc"]
    for name, function in hydrofunc.functions().items():
        arguments = ", ".join(f"{key}={value!r}" for key, value in function.example.arguments.items())
        program.append(f"{name}: float = hydrofunc.{name}({arguments})")
    assert check("\n".join(program)) == {}


def test_every_file_that_is_no_module_is_shipped_with_the_package():
    """Tables, fonts, the stub, and py.typed, by which a checker knows that the package has types (PEP 561)."""
    with (ROOT / "pyproject.toml").open("rb") as file:
        patterns = tomllib.load(file)["tool"]["setuptools"]["package-data"]["hydrofunc"]
    package = ROOT / "hydrofunc"
    shipped = {path for pattern in patterns for path in package.glob(pattern)}
    files = {path for path in package.rglob("*") if path.is_file() and path.suffix not in (".py", ".pyc")}
    assert package / "py.typed" in files
    assert files == {path for path in shipped if path.is_file()}
