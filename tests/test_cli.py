"""What a person at the command line sees: results on stdout, messages on stderr, exit codes that tell."""

import json
import subprocess
import sys

import pytest
from click.testing import CliRunner

import hydrofunc
from hydrofunc.cli import main


@pytest.fixture
def run(tmp_path, monkeypatch):
    """Run `hydrofunc` with these arguments in an empty folder."""
    monkeypatch.chdir(tmp_path)
    return lambda *words: CliRunner().invoke(main, [str(word) for word in words])


def python(code):
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout


# -- start-up ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("words", [["--help"], ["-h"], ["--version"], ["sweep", "--help"]])
def test_help_and_version_load_no_heavy_library(words):
    loaded = python(
        "import sys\nfrom hydrofunc.cli import main\n"
        f"try: main({words!r})\nexcept SystemExit: pass\n"
        "print(sorted({'numpy', 'openpyxl', 'pyarrow', 'fluids'} & set(sys.modules)))"
    )
    assert loaded.splitlines()[-1] == "[]"


def test_importing_hydrofunc_loads_nothing_until_a_function_is_asked_for():
    loaded = "print('numpy' in sys.modules)"
    code = f"import sys, hydrofunc; {loaded}; hydrofunc.friction_head; {loaded}"
    assert python(code).split() == ["False", "True"]


def test_the_module_runs_as_the_command_does():
    done = subprocess.run([sys.executable, "-m", "hydrofunc", "--version"], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == f"hydrofunc, version {hydrofunc.__version__}"


def test_every_command_has_help_and_a_summary_of_one_line(run):
    listed = run("--help")
    for name, command in main.commands.items():
        assert name in listed.stdout
        assert command.get_short_help_str()
        assert run(name, "-h").exit_code == 0


# -- functions ---------------------------------------------------------------------------------------------


def test_functions_are_listed_by_group_with_unit_and_help(run):
    shown = run("functions")
    assert shown.exit_code == 0
    lines = shown.stdout.splitlines()
    for function in hydrofunc.functions().values():
        assert function.group in lines
        assert any(
            line.split()[:2] == [function.name, f"[{function.unit}]"] and function.help in line for line in lines
        )


def test_one_function_is_explained_with_its_example(run):
    shown = run("functions", "friction_head").stdout
    function = hydrofunc.friction_head
    assert function.describe() in shown
    assert f"={function.example_formula()}" in shown


def test_a_function_is_found_by_the_name_it_has_in_a_cell(run):
    assert run("functions", "HYDRO_FRICTION_HEAD").stdout == run("functions", "friction_head").stdout


def test_an_unknown_function_gives_one_clear_message_and_no_traceback(run):
    shown = run("functions", "friction_hed")
    assert (shown.exit_code, shown.stdout) == (1, "")
    assert shown.stderr == "Error: there is no function 'friction_hed'; did you mean friction_head?\n"


def test_json_holds_every_declaration(run):
    records = json.loads(run("functions", "--json").stdout)
    assert [record["name"] for record in records] == list(hydrofunc.functions())
    for record in records:
        assert {"name", "group", "help", "arguments", "result", "source"} <= set(record)
        assert all({"unit", "default", "range", "choices"} <= set(argument) for argument in record["arguments"])


# -- from Python -------------------------------------------------------------------------------------------


def test_every_function_is_an_attribute_of_the_package_and_hides_no_module():
    for name, function in hydrofunc.functions().items():
        assert getattr(hydrofunc, name) is function
        assert name in dir(hydrofunc)
    from pathlib import Path

    modules = {path.stem for path in Path(hydrofunc.__file__).parent.iterdir()}
    assert not modules & set(hydrofunc.functions())
    assert not {"explain", "find", "functions"} & set(hydrofunc.functions())


def test_explain_names_the_bad_elements():
    problems = hydrofunc.explain("pipe_velocity", flow=[1.0, -1.0], bore=40.0)
    assert [(problem.index, problem.argument) for problem in problems] == [((1,), "flow")]
    with pytest.raises(hydrofunc.InputError, match="did you mean pipe_velocity"):
        hydrofunc.explain("pipe_velosity")


def test_an_unknown_attribute_is_an_ordinary_attribute_error():
    with pytest.raises(AttributeError, match="has no attribute 'frobnicate'"):
        _ = hydrofunc.frobnicate


# -- wrong use ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "words",
    [
        ["nonsense"],
        ["fill", "sites.csv"],
        ["sweep", "book.xlsx"],
        ["sweep", "book.xlsx", "--out", "r.csv"],
        ["template"],
    ],
)
def test_wrong_use_exits_with_2(run, words):
    shown = run(*words)
    assert shown.exit_code == 2
    assert shown.stdout == ""
    assert "Error" in shown.stderr


@pytest.mark.parametrize(
    "words",
    [
        ["recalc", "missing.xlsx"],
        ["fill", "missing.csv", "--out", "d"],
        ["sweep", "missing.xlsx", "--vary", "a=1,2", "--out", "r.csv"],
    ],
)
def test_a_missing_file_is_named_without_a_traceback(run, words, tmp_path):
    shown = run(*words)
    assert shown.exit_code == 1
    assert shown.stderr.startswith("Error: missing.")
    assert "Traceback" not in shown.stderr
    assert list(tmp_path.iterdir()) == []
