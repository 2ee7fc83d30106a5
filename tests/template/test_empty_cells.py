"""A cell left empty that must not be: no plausible number may follow from it."""

import pytest

from hydrofunc.jobs.recalc import calculated
from hydrofunc.template import INPUTS, build
from hydrofunc.template.model import Table
from hydrofunc.template.pages import PLACED
from hydrofunc.workbook.splice import splice
from tests.template.conftest import PLACE

CHECKS = next(item for _, item in PLACED["Checks"] if isinstance(item, Table) and item.key == "checks")
ROUTE = next(item for _, item in PLACED["Route"] if isinstance(item, Table) and item.key == "route")


def judgement(result, label):
    row = CHECKS.first + [cells[0] for cells in CHECKS.rows].index(label)
    return result.value(("Checks", f"G{row}"))


def test_a_route_on_a_pipe_of_unknown_length_says_so(sheet):
    """Its points are not called off the pipe, and the pipe is not called 0 m long."""
    result = sheet.run(pipe_length=None)
    assert str(sheet.value(result, "whole_length")) == ""
    said = [str(result.value(("Route", f"F{ROUTE.first + i}"))) for i in (0, 10, 11)]
    assert said == ["head, length or bore missing"] * 2 + [""]
    said = judgement(result, "Route rows that cannot be used (1: only one row)")
    assert str(said) == "not looked at: give head, length and bore"


def test_the_mass_of_a_pipe_of_unknown_length_is_not_left_out_of_the_sum(sheet):
    assert not isinstance(sheet.value(sheet.run(pipe_length=None), "total_mass"), float)


@pytest.mark.parametrize(
    "empty", [("test_volts",), ("test_speed",), ("test_volts", "test_speed", "terminal_resistance")]
)
def test_no_check_judges_volts_that_nobody_measured(sheet, empty):
    """Those proposed count as a plan; that a part stands them, or that they may be touched, is not said of them."""
    result = sheet.run(**dict.fromkeys(empty))
    assert sheet.value(result, "volts_measured") == ""
    assert sheet.value(result, "phase_volts") == sheet.value(result, "proposed_phase_volts") > 0
    for label in (
        "Open volts at the worst, of what the parts stand",
        "Open volts at the worst, of what may be touched",
        "Open volts joined the other way, of what the parts stand",
        "Highest volts, of what the fuse breaks",
    ):
        assert judgement(result, label).startswith("not looked at: give the alternator's volts"), label
        assert not judgement(sheet.run(), label).startswith("not looked at"), label


@pytest.mark.parametrize(("empty", "assumed"), [("magnet_drift", 0.2), ("bench_temperature", 20.0), ("coldest", -10.0)])
def test_cold_magnets_are_not_left_out_because_a_temperature_is(sheet, empty, assumed):
    """An empty cell is no 0 °C: the worst voltage would come out too low. What is assumed counts."""
    assert PLACE[empty][0] == "Safety figures"
    typed = sheet.value(sheet.run(**{empty: assumed}), "worst_volts")
    assert sheet.value(sheet.run(**{empty: None}), "worst_volts") == typed > 0


def test_no_resistance_of_a_dump_resistor_is_no_short_circuit(sheet):
    """Some resistance is proposed or assumed, and enough of them are counted."""
    result = sheet.run(resistor_ohms=None, resistors_fitted=None)
    assert sheet.value(result, "resistor_ohms") > 0 and sheet.value(result, "resistors_wanted") >= 1
    assert sheet.value(result, "dump_watts") >= sheet.value(result, "dump_need")


@pytest.mark.parametrize("given", [{}, {"level_difference": 200.0, "pipe_length": 1400.0, "pipe_bore": 1.25}])
def test_in_us_units_what_waits_for_an_input_shows_no_error(given):
    """The empty workbook, and head [ft], length [ft] and bore [in] alone; the charts' own #N/A aside."""
    cells = {item.name: (item.sheet, item.cell) for item in INPUTS if item.name in given}
    data = splice(build("us"), {}, {cells[name]: value for name, value in given.items()})
    assert [str(cause) for cause in calculated(data).causes] == []
