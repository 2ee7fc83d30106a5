"""The add-in never takes Calc with it: workers that die, hang or cannot be started."""

import ast
import json
import os
import signal
import subprocess
import sys
import time
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest

import hydrofunc
from hydrofunc.hosts.calc import build as building
from hydrofunc.hosts.calc import worker
from hydrofunc.hosts.calc.install import install
from hydrofunc.registry import FUNCTIONS, Argument, Example
from tests.hosts.calc.calc_session import Calc, options_for

NA = 32767


def asked(flow):
    return f"=HYDROFUNC.PIPE_VELOCITY({flow!r};40)"


def fine(cell, flow):
    assert cell[2] == 0, cell
    assert cell[0] == pytest.approx(hydrofunc.pipe_velocity(flow, 40), rel=1e-12)


@pytest.mark.calc
def test_one_worker_serves_many_calls_and_a_killed_one_is_replaced(calc):
    """The next call is answered, by another process."""
    fine(calc.work_out([asked(1.5)])[0], 1.5)
    first = calc.workers()
    assert len(first) == 1
    os.kill(first[0], signal.SIGKILL)
    fine(calc.work_out([asked(1.6)])[0], 1.6)
    assert len(calc.workers()) == 1 and calc.workers() != first


@pytest.mark.calc
def test_the_worker_ends_with_calc(tmp_path):
    """Also when Calc is killed."""
    options = options_for(tmp_path)
    install(options)
    for end in ("quit", "kill"):
        calc = Calc(options)
        calc.open()
        fine(calc.work_out([asked(1.7)])[0], 1.7)
        worker = calc.workers()[0]
        if end == "quit":
            calc.quit()
        else:
            for pid in {calc.pid(), *calc.below()} - {worker}:
                os.kill(pid, signal.SIGKILL)
        until = time.monotonic() + 10
        while alive(worker) and time.monotonic() < until:
            time.sleep(0.05)
        assert not alive(worker), end
        calc.process.kill()


def alive(pid):
    try:
        return open(f"/proc/{pid}/stat").read().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


def other_calc(tmp_path, monkeypatch, command):
    """A Calc whose add-in starts `command` as its worker."""
    real = building.settings
    monkeypatch.setattr(building, "settings", lambda interpreter: real(interpreter) | {"command": command})
    options = options_for(tmp_path)
    install(options)
    calc = Calc(options)
    calc.open()
    return calc


@pytest.mark.calc
def test_a_missing_interpreter_shows_an_error_value_at_once(tmp_path, monkeypatch):
    """1000 cells too; VERSION and EXPLAIN say why."""
    calc = other_calc(tmp_path, monkeypatch, [str(tmp_path / "gone" / "python"), "-m", "nothing"])
    start = time.monotonic()
    calc.column("A1:A1000", [asked(1 + i / 1000) for i in range(1000)])
    assert time.monotonic() - start < 10
    assert {cell[2] for cell in calc.read([f"A{row}" for row in range(1, 1001, 50)])} == {NA}
    asking = ["=HYDROFUNC.VERSION()", '=HYDROFUNC.EXPLAIN("PIPE_VELOCITY";1;40)']
    for _, shown, error, _ in calc.work_out(asking):
        assert error == 0
        assert "gone/python cannot be started" in shown and "hydrofunc doctor" in shown
    calc.quit()


SILENT_THEN_FINE = """
import os, sys, time
flag = sys.argv[1]
if not os.path.exists(flag):
    open(flag, "w").close()
    time.sleep(1000)
os.execv(sys.executable, [sys.executable, "-P", "-m", "hydrofunc.hosts.calc.worker"])
"""


@pytest.mark.calc
def test_a_silent_worker_costs_one_wait_and_the_cells_heal_by_themselves(tmp_path, monkeypatch):
    """100 cells show #N/A after one wait of 20 s, not 100; some seconds later all are answered, with nothing typed."""
    calc = other_calc(tmp_path, monkeypatch, [sys.executable, "-c", SILENT_THEN_FINE, str(tmp_path / "flag")])
    start = time.monotonic()
    addresses = [f"A{row}" for row in range(101, 201)]  # where they are worked out
    cells = calc.work_out([asked(1 + i / 1000) for i in range(100)])
    waited = time.monotonic() - start
    assert {cell[2] for cell in cells} == {NA}
    assert 19 < waited < 30
    until = time.monotonic() + 20
    while any(cell[2] for cell in calc.read(addresses)) and time.monotonic() < until:
        time.sleep(0.5)
    for i, cell in enumerate(calc.read(addresses)):
        fine(cell, 1 + i / 1000)
    calc.quit()


@pytest.mark.calc
def test_a_worker_that_dies_at_once_is_started_twice_then_left(tmp_path, monkeypatch):
    """No endless starting; the last line of its complaint is shown."""
    counter = tmp_path / "starts"
    code = f"open({str(counter)!r}, 'a').write('x'); raise SystemExit('no module named hydro')"
    calc = other_calc(tmp_path, monkeypatch, [sys.executable, "-c", code])
    assert calc.work_out([asked(1.0), asked(2.0)])[0][2] == NA
    assert counter.read_text() == "xx"
    assert "ended: no module named hydro" in calc.work_out(["=HYDROFUNC.VERSION()"])[0][1]
    calc.quit()


@pytest.mark.calc
def test_an_add_in_of_other_functions_gives_no_number(tmp_path, monkeypatch):
    """An argument more, or another order, would shift all others without a word."""
    real = building.settings

    def older(interpreter):
        settings = real(interpreter)
        settings["functions"]["PIPE_VELOCITY"]["fingerprint"] = "0"
        return settings

    monkeypatch.setattr(building, "settings", older)
    options = options_for(tmp_path)
    install(options)
    calc = Calc(options)
    calc.open()
    asking = [asked(1.5), "=HYDROFUNC.VERSION()", '=HYDROFUNC.EXPLAIN("PIPE_VELOCITY";1;40)', "=HYDROFUNC.DENSITY(10)"]
    cells = calc.work_out(asking)
    assert cells[0][2] == NA
    assert cells[1][1] == cells[2][1] == worker.OTHER
    assert cells[3][0] == pytest.approx(hydrofunc.density(10), rel=1e-12)
    calc.quit()


# -- requests ----------------------------------------------------------------------------------------------


def test_no_number_where_the_function_has_changed_since_the_add_in_was_made():
    own = {name: function.fingerprint for name, function in hydrofunc.functions().items()}
    assert worker.answer("pipe_velocity", [1.5, 40.0], {"pipe_velocity": own["pipe_velocity"]}) == [
        [pytest.approx(hydrofunc.pipe_velocity(1.5, 40))]
    ]
    assert worker.answer("pipe_velocity", [1.5, 40.0], {"pipe_velocity": "0"}) == [["#N/A"]]
    assert worker.answer("gone_since", [1.5], {"gone_since": "0"}) == [["#N/A"]]
    assert worker.answer("explain", ["PIPE_VELOCITY", 1.5, 40.0], {"pipe_velocity": "0"}) == [[worker.OTHER]]
    assert worker.answer("version", [], own) == [[hydrofunc.__version__]]
    assert worker.answer("version", [], own | {"density": "0"}) == [[worker.OTHER]]


def test_no_number_for_an_add_in_that_is_older_than_fingerprints():
    requests = '["pipe_velocity", [1.5, 40.0]]\n["version", []]\n["pipe_velocity", [1.5, 40.0], {}]\n'
    command = building.settings(sys.executable)["command"]
    said = subprocess.run(command, input=requests, check=True, capture_output=True, text=True).stdout.splitlines()
    assert [json.loads(line)[0][0] for line in said] == [
        "#N/A",
        worker.OTHER,
        pytest.approx(hydrofunc.pipe_velocity(1.5, 40)),
    ]


def together(*calls):
    """The answers to calls, each a name and arguments, as the add-in asks for them in one request."""
    ranges = []

    def placed(item):
        if not isinstance(item, list):
            return item
        if item not in ranges or repr(ranges[ranges.index(item)]) != repr(item):
            ranges.append(item)
        return [max(i for i, rows in enumerate(ranges) if repr(rows) == repr(item))]

    return worker.answers([[name, [placed(item) for item in arguments]] for name, *arguments in calls], ranges, {})


def variants(function):
    """Calls of a function: its example, its numbers moved, and some that are out of range, of another kind or blank."""
    given = function.example.arguments
    for share in (0.0, -0.03, 0.02, 0.011, -0.017, -3.0):
        yield [cells_of(a, given.get(a.name), lambda x, share=share: x * (1 + share)) for a in function.arguments]
    for odd in (0.0, "word", None, ""):
        for i in range(len(function.arguments)):
            call = [cells_of(a, given.get(a.name), float) for a in function.arguments]
            yield [*call[:i], odd, *call[i + 1 :]]


def cells_of(argument, value, moved):
    """As Calc hands it over; numbers of a list and of a plant stay, so that only single ones differ."""
    if isinstance(value, dict):
        return [[name, item if isinstance(item, str) else float(item)] for name, item in value.items()]
    if isinstance(value, (list, tuple)):
        rows = [value if isinstance(value, tuple) else [value] for value in value]
        if argument.part == "values":
            return [[item if isinstance(item, str) else moved(item) for item in row] for row in rows]
        return [[item if isinstance(item, str) else float(item) for item in row] for row in rows]
    return value if value is None or isinstance(value, str) else moved(value)


@pytest.mark.parametrize("function", hydrofunc.functions().values(), ids=lambda function: function.name)
def test_many_calls_at_once_are_answered_as_each_by_itself(function):
    """To the last bit, and each with its own error value."""
    many = list(variants(function))
    answers = together(*((function.name, *arguments) for arguments in many))
    for arguments, rows in zip(many, answers, strict=True):
        assert repr(rows) == repr(worker.answer(function.name, arguments)), arguments


def test_a_plant_asked_for_many_values_is_answered_as_for_each():
    """Every quantity; numbers and words changed, blanks among them, and what is not allowed."""
    plant = hydrofunc.find("plant").example.arguments["plant"]
    block = [[name, item if isinstance(item, str) else float(item)] for name, item in plant.items()]
    names = [["nozzle", "connection", "available_flow"]]
    values = [[[9 + i / 7, ("star", "delta")[i % 2], (2.0, "", 1.6)[i % 3]]] for i in range(12)] + [
        [[-9.0, "star", 2.0]],
        [[9.0, "zigzag", 2.0]],
        [["nine", "star", ""]],
        [["", "", ""]],
    ]
    quantities = list(hydrofunc.catalogue.plant.QUANTITIES)
    calls = [(quantity, changed) for quantity in quantities for changed in values]
    answers = together(*(("plant", block, quantity, names, changed) for quantity, changed in calls))
    for (quantity, changed), rows in zip(calls, answers, strict=True):
        assert repr(rows) == repr(worker.answer("plant", [block, quantity, names, changed])), (quantity, changed)


def test_plants_of_unlike_changes_and_blocks_are_answered_as_each_by_itself():
    """Calls that only come to the same function of single inputs are lanes of one too."""
    plant = hydrofunc.find("plant").example.arguments["plant"]
    blocks = [
        [[name, item if isinstance(item, str) else float(item)] for name, item in (plant | changed).items()]
        for changed in ({}, {"nozzle": 9.3}, {"connection": "delta"}, {"gravity": ""}, {"battery_volts": 1e9})
    ]
    changes = [
        ("nozzle", 9.1),
        ([["bore", "jets"]], [[38.0, 2.0]]),
        ([["jets"]], [[""]]),
        ("nozzle", None),
        ("head", 3.0),
    ]
    changes += [("connection", "delta"), ([["speed"]], [[1500.0]]), ("cable_length", 30.0), (None, None)]
    calls = [
        ("plant", block, quantity, *change)
        for block in blocks
        for quantity in ("flow", "battery_watts", "operating_speed", "current", "runaway_volts", "best_nozzle", "watts")
        for change in changes
    ]
    for call, rows in zip(calls, together(*calls), strict=True):
        assert repr(rows) == repr(worker.answer(call[0], list(call[1:]))), call


def test_answers_of_one_diagnosis_are_those_of_each_call():
    """Every answer, in turn with those of another test day; words and numbers in `which`, also such as are none."""
    given = hydrofunc.find("diagnosis").example.arguments
    block = [[name, item if isinstance(item, str) else float(item)] for name, item in given["plant"].items()]
    readings, uncertainties = ([[float(item)] for item in given[name]] for name in ("readings", "uncertainties"))
    other = [[reading[0] * 1.01] for reading in readings]
    which = [1.0, 2.0, 3.0, 40.0, -1.0, 1.5, "roughness", "nozzle", "nothing", None]
    quantities = hydrofunc.catalogue.diagnosis.ANSWERS
    calls = [
        ("diagnosis", block, quantity, item, taken, uncertainties)
        for quantity in quantities
        for item in which
        for taken in (readings, other)
    ]
    for call, rows in zip(calls, together(*calls), strict=True):
        assert repr(rows) == repr(worker.answer(call[0], list(call[1:]))), call[2:4]


def test_many_calls_of_another_add_in_give_no_number():
    calls = [["pipe_velocity", [1.5, 40.0]], ["density", [10.0]], ["pipe_velocity", [1.6, 40.0]]]
    fine = [[hydrofunc.density(10.0)]]
    assert worker.answers(calls, [], {"pipe_velocity": "0"}) == [[["#N/A"]], fine, [["#N/A"]]]


def test_a_fingerprint_is_the_same_in_every_process():
    asking = "import hydrofunc; print(*(f.fingerprint for f in hydrofunc.functions().values()))"
    said = subprocess.run([sys.executable, "-c", asking], check=True, capture_output=True, text=True).stdout.split()
    assert said == [function.fingerprint for function in hydrofunc.functions().values()]


def test_a_fingerprint_changes_with_the_arguments_alone():
    function = hydrofunc.find("pipe_velocity")
    first, second, *rest = function.arguments
    assert replace(function, help="Other words.").fingerprint == function.fingerprint
    for changed in (
        {"arguments": (second, first, *rest)},
        {"arguments": (first, replace(second, unit="m"), *rest)},
        {"arguments": (first, replace(second, default=30.0), *rest)},
        {"arguments": (*function.arguments, replace(second, name="more"))},
        {"unit": "ft/s"},
    ):
        assert replace(function, **changed).fingerprint != function.fingerprint


# -- the file and the installation -------------------------------------------------------------------------


def test_the_extension_is_the_same_for_the_same_version(tmp_path):
    """And holds the interpreter that is to answer."""
    data = building.build("/somewhere/python")
    assert data == building.build("/somewhere/python")
    path = tmp_path / "hydrofunc.oxt"
    path.write_bytes(data)
    with zipfile.ZipFile(path) as archive:
        settings = json.loads(archive.read("hydrofunc.json"))
        assert b"MIT" in archive.read("licence.txt")
        assert hydrofunc.__version__.encode() in archive.read("description.xml")
    assert settings["command"][0] == "/somewhere/python"
    assert set(settings["functions"]) == {name.upper() for name in hydrofunc.functions()}


def test_the_component_is_python_3_8():
    """The oldest that LibreOffice 7.0 brings."""
    ast.parse(Path(building.__file__).with_name("component.py").read_text(), feature_version=(3, 8))


def test_a_new_function_is_in_the_extension_by_its_declaration_alone():
    """Types, help and dispatch of a throwaway function."""

    def toy_head(flow):
        return flow

    FUNCTIONS.declare(
        toy_head,
        group="Toys",
        help="A toy.",
        unit="m",
        meaning="Head.",
        equation="h = Q",
        source="invented for this test",
        arguments=(Argument("flow", "L/s", "Water.", "[0, 10]", default=5.0),),
        example=Example({"flow": 1.0}, 0.001),
    )
    try:
        assert "TOY_HEAD([in] com::sun::star::beans::XPropertySet aCaller, [in] any aFlow)" in building.types()
        assert "HYDRO_TOY_HEAD" in building.configuration()
        assert "Water. Default: 5. Allowed: from 0 to 10 L/s." in building.configuration()
        assert building.settings("python")["functions"]["TOY_HEAD"] == {
            "name": "toy_head",
            "fingerprint": FUNCTIONS["toy_head"].fingerprint,
            "zero_is_not_blank": [0],
            "blank_is_not_left_out": [],
        }
        assert worker.answer("toy_head", [None]) == [[0.005]]
        assert worker.answer("toy_head", [[[1.0, ""], [20.0, "x"]]]) == [[0.001, 0.005], ["#NUM!", "#VALUE!"]]
    finally:
        del FUNCTIONS["toy_head"]
