"""The sheets Test day, Diagnosis and As tested as a person meets them:
empty, filled, and for many scenarios at once.
"""

import numpy as np
import pytest

from hydrofunc.template.model import Formula, Result, Table
from hydrofunc.template.pages import PLACED
from tests.template.conftest import PLACE, SHOWN
from tests.template.parts.diagnosis import SITES

READ = SITES["a blocked pipe, two loads read"]
ITEMS = (
    "gross_head roughness fittings velocity_coefficient nozzle alignment bearing_drag windage phase_volts "
    "phase_resistance cable_resistance"
)


@pytest.mark.parametrize(
    "changes", [{}, {"load": "resistor", "load_resistance": 6.0, "battery_volts": None}, {"iron_drag": 50.0}]
)
def test_without_readings_nothing_is_claimed(sheet, changes):
    """No error on the three sheets, no probability, and tested is designed."""
    result = sheet.run(**({"basis": "as tested"} | changes))
    for page in ("Test day", "Diagnosis", "As tested"):
        for _, item in PLACED[page]:
            cells = (
                [item]
                if isinstance(item, Result)
                else [cell for row in item.rows for cell in row if isinstance(cell, Formula) and cell.name]
                if isinstance(item, Table)
                else []
            )
            for cell in cells:
                assert not str(sheet.value(result, cell.name)).startswith("#"), cell.name
    assert sheet.value(result, "fault_first") == "" and sheet.value(result, "fault_first_share") == ""
    for item in ITEMS.split():
        planned = sheet.value(result, {"roughness": "roughness_used", "fittings": "fittings_k"}.get(item, item))
        assert sheet.value(result, f"tested_{item}") == ""
        assert sheet.value(result, f"basis_{item}") == planned


def test_the_switch_decides_what_other_sheets_take(sheet):
    """As designed, though there are readings; then as tested."""
    designed, tested = sheet.run(**(READ | {"basis": "as designed"})), sheet.run(**READ)
    assert sheet.value(designed, "basis_fittings") == sheet.value(designed, "fittings_k")
    assert (
        sheet.value(tested, "basis_fittings")
        == sheet.value(tested, "tested_fittings")
        != sheet.value(tested, "fittings_k")
    )


def test_the_words_name_the_fault(sheet):
    """Flow and running pressure low, all else in proportion: the pipe."""
    result = sheet.run(**READ)
    assert sheet.value(result, "fault_first") == "pipe blocked, rough or leaking"
    assert sheet.value(result, "fault_first_share") > 50
    assert sheet.value(result, "read_next") == "nothing left here tells them apart"
    assert abs(sheet.value(result, "found_flow") / 0.8 - 1) < 0.05, "as tested gives the flow that was measured"


@pytest.mark.parametrize(("running", "seconds"), [(2.6, 22.9), (3.0, 21.5)])
def test_all_sections_are_as_rough_as_tested_wherever_the_tested_plant_is_judged(sheet, running, seconds):
    """A pipe of three sections gone rough: What pays and Doubt start from the watts of As tested;
    by the plan from the planned watts.
    """
    three = {
        "length_2": 60.0,
        "bore_2": 32.6,
        "roughness_2": 0.007,
        "length_3": 20.0,
        "bore_3": 26.0,
        "roughness_3": 0.15,
        "reading_overflow": "yes",
        "reading_static": 6.2,
        "reading_running": running,
        "reading_seconds": seconds,
    }
    tested, designed = sheet.run(**three, basis="as tested"), sheet.run(**three)
    rougher = sheet.value(tested, "found_roughness") / sheet.value(tested, "roughness_used")
    assert rougher > 5 and sheet.value(tested, "basis_roughness_2") == pytest.approx(0.007 * rougher)
    assert sheet.value(tested, "basis_roughness_3") == pytest.approx(1.3), "no rougher than a twentieth of its bore"
    assert [sheet.value(designed, f"basis_roughness_{i}") for i in (2, 3)] == [0.007, 0.15]
    for result, watts in ((tested, "found_watts"), (designed, "battery_watts")):
        wanted = pytest.approx(sheet.value(result, watts), rel=1e-9)
        assert sheet.value(result, "doubt_guess") == wanted and sheet.value(result, "judged_watts") == wanted
    assert sheet.value(tested, "found_watts") < 0.95 * sheet.value(tested, "battery_watts")


def test_a_worn_nozzle_is_told_by_its_opening(sheet):
    """More flow at less pressure: the sheet asks for the nozzle, and measured 7.7 mm instead of 7 it is named;
    measured 7 it is not.
    """
    plant = sheet.run(nozzle=7.7)
    static, running, flow = (sheet.value(plant, name) for name in ("expect_static", "running_pressure", "flow"))
    water = {"reading_static": static, "reading_running": running, "reading_seconds": SHOWN["bucket_volume"] / flow}
    asked, worn, as_planned = (sheet.run(**(water | {"reading_nozzle": size})) for size in (None, 7.7, 7.0))
    assert SHOWN["nozzle"] == 7.0
    assert sheet.value(asked, "read_next") == "Nozzle fitted, measured" and sheet.value(asked, "test_count") == 3
    assert (
        sheet.value(worn, "fault_first") == "nozzle worn, wrong size or blocked"
        and sheet.value(worn, "test_count") == 4
    )
    assert sheet.value(worn, "fault_first_share") > max(90, sheet.value(asked, "fault_first_share"))
    assert sheet.value(as_planned, "fault_first") != "nozzle worn, wrong size or blocked"
    assert sheet.value(worn, "tested_nozzle") == pytest.approx(7.7, abs=0.1)


def test_many_scenarios_at_once_give_what_each_gives_alone(sheet):
    """Nine readings of the running gauge, from blocked to healthy."""
    gauge = np.linspace(2.0, 3.8, 9)
    inputs = {PLACE[name]: value for name, value in (SHOWN | READ | {"reading_running": gauge}).items()}
    together = sheet.plan.run(inputs, lanes=len(gauge))
    for name in ("fault_first", "fault_first_share", "worst_misfit", "tested_fittings", "found_watts"):
        column = together.column(sheet.book.resolve(name)).python()
        for place in (0, 4, 8):
            alone = sheet.value(sheet.run(**(READ | {"reading_running": float(gauge[place])})), name)
            one = column[place]
            assert one == alone if isinstance(alone, str) else one == pytest.approx(alone, rel=1e-8)
