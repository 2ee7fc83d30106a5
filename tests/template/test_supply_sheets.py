"""Supply, Housing and Energy as a person meets them: cautions, charts, a site without their inputs."""

import pytest

import hydrofunc as hf
from hydrofunc import template
from hydrofunc.errors import InputError
from hydrofunc.template.model import Table
from hydrofunc.template.pages import PLACED, energy, housing, supply
from tests import books

BOOK = books.opened()
OPTIONAL = {
    item.name: None
    for item in template.INPUTS
    if item.assumption is None and item.sheet in ("Supply", "Housing", "Energy")
}


@pytest.mark.parametrize(
    ("sheet", "words"),
    {
        "Supply": ("overflow", "slow"),
        "Housing": ("Shut the valve",),
        "Energy": ("hydrogen", "freezes", "Acid", "spanner", "dump load", "local codes"),
    }.items(),
)
def test_cautions_stand_where_the_danger_is(sheet, words):
    """Pressure and weight of a tank; a wheel that still turns; acid, gas, short circuit, frost and heat."""
    rows = range(1, BOOK[sheet].max_row + 1)
    cautions = " ".join(BOOK[sheet][f"B{row}"].value for row in rows if BOOK[sheet][f"A{row}"].value == "!")
    for word in words:
        assert word in cautions, word


def test_the_year_has_its_charts():
    """Energy and duration of the flow; made, used and dumped; state of charge."""
    assert [len(BOOK[name]._charts) for name in ("Supply", "Energy")] == [2, 2]


def test_a_site_that_tells_nothing_of_year_and_loads_is_not_stopped_for_that(sheet):
    """No month, tank, load or battery given: the Site sheet's flow counts, and nothing of them is judged."""
    result = sheet.run(**OPTIONAL)
    first = next(row for row in range(1, 200) if BOOK["Checks"][f"B{row}"].value == supply.CHECKS[0].label)
    checks = [check for module in (supply, housing, energy) for check in module.CHECKS]
    labels = [check.label for check in checks]
    place = {BOOK["Checks"][f"B{row}"].value: row for row in range(first, first + 200)}
    said = {label: str(result.value(("Checks", f"G{place[label]}"))) for label in labels}
    assert {word.split(":")[0] for word in said.values()} <= {"good", "not looked at"}, said
    for rests_on in ("load_watts", "battery_capacity", "month_flows", "tank_volume", "vent_opening"):
        label = next(check.label for check in checks if rests_on in check.rests_on)
        assert said[label].startswith("not looked at: give "), label
    assert sheet.value(result, "driest_watts") == pytest.approx(sheet.value(result, "battery_watts"), rel=1e-12)


def test_a_jet_that_runs_short_of_water_gets_what_the_whole_chain_says(sheet):
    """Month by month from flow and jet alone; the ledger of the whole plant must agree, unfilled pipe too."""
    short = {"flow_september": 0.7}
    result = sheet.run(**short)
    usable = sheet.value(result, "driest_usable")
    limited = sheet.run(**short, bucket_seconds=None, known_flow=0.7)
    assert sheet.value(limited, "available_flow") == pytest.approx(usable, rel=1e-12)
    assert sheet.value(limited, "battery_watts") == pytest.approx(sheet.value(result, "driest_watts"), rel=1e-9)
    row = next(row for row in range(1, 60) if BOOK["Supply"][f"B{row}"].value == "September")
    unused = (
        sheet.value(limited, "ledger_unfilled")
        / sheet.value(limited, "ledger_gross")
        * sheet.value(limited, "gross_head")
    )
    assert result.value(("Supply", f"J{row}")) == pytest.approx(unused, rel=1e-9)


def test_a_flat_battery_is_full_after(sheet):
    """300 Ah of 24 V in 27.2 V charging; at 15 °C a lead-acid battery holds some 95 % (IEEE Std 485, from memory, not
    looked up). With 70 % of the energy coming out again the charger must give 1 / 0.7 of it, at no more than C/5.
    """
    result = sheet.run(battery_capacity=300.0, battery_volts=27.2, charge_efficiency=70.0, charge_rate=20.0)
    held = 300 * 24 * sheet.value(result, "capacity_share") / 100
    watts = min(sheet.value(result, "battery_watts"), 60 * 27.2)
    assert sheet.value(result, "days_to_charge") == pytest.approx(held / 0.7 / watts / 24, rel=1e-12)
    slow = sheet.run(battery_capacity=300.0, battery_volts=27.2, charge_rate=1.0)
    assert sheet.value(slow, "charge_watts") == pytest.approx(3 * 27.2, rel=1e-12)
    assert sheet.value(slow, "days_to_charge") > sheet.value(result, "days_to_charge")


def test_the_first_page_says_how_long_charging_takes_or_what_is_missing(sheet):
    days = sheet.run(battery_capacity=300.0)
    assert sheet.value(days, "start_days") == f"{round(sheet.value(days, 'days_to_charge'), 1):.15g} days"
    none = sheet.run(battery_capacity=None, **{f"load_watts_{i}": None for i in range(1, 11)})
    assert sheet.value(none, "start_days") == "give its capacity on sheet Energy"
    assert sheet.value(sheet.run(load="resistor", load_resistance=6.0), "start_days") == "no battery"


def test_loads_that_take_all_never_let_the_battery_fill(sheet):
    few = sheet.run(**{f"load_watts_{i}": None for i in range(1, 11)} | {"load_watts_1": 1.0, "load_hours_1": 24.0})
    assert sheet.value(few, "days_to_charge_used") > sheet.value(few, "days_to_charge") > 0
    assert sheet.value(sheet.run(load_watts_2=4000.0), "days_to_charge_used") == "never"
    assert sheet.value(sheet.run(load="resistor", load_resistance=6.0), "days_to_charge") == ""


@pytest.mark.parametrize(
    ("metres", "laid"), [(5.0, "conduit"), (60.0, "conduit"), (60.0, "buried"), (400.0, "conduit")]
)
def test_the_smallest_cable_on_sale_loses_no_more_than_allowed_and_carries_the_current(sheet, metres, laid):
    """Ohm's law with 1/58 Ω mm²/m of copper at 20 °C (IEC 60028), both wires; the ampacity of the installation."""
    given = {"cable_length": metres, "cable_laid": laid, "cable_temperature": 20.0, "cable_material": "copper"}
    result = sheet.run(**given)
    amps, volts = sheet.value(result, "current"), sheet.value(result, "load_volts")

    def is_enough(size):
        lost = 100 * amps * 2 * metres / 58 / size / volts
        try:
            return lost <= 5 and hf.cable_ampacity(size, "copper", laid, 30.0) >= 1.25 * amps
        except InputError:
            return False

    sizes = [1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0]
    expected = next(filter(is_enough, sizes), "none of these")
    assert sheet.value(result, "cable_advised") == expected


@pytest.mark.parametrize(
    ("limit", "value", "name", "words"),
    [
        ("cable_drop", 0.001, "cable_advised", "none of these"),
        ("open_slot", 1000.0, "slot_height", 1000.0),
        ("gassing_vented", 5.0, "gassing", 5.0),
        ("block_volts", 6.75, "battery_blocks", 4.0),
        ("started_share", 0.5, "start_up", None),
        ("charging_rise", 1.2, "dump_volts_used", None),
        ("dump_room_air", 40.0, "dump_air", None),
        ("hole_discharge", 0.8, "opening_needed", None),
        ("surge_share_most", 0.001, "checks", None),
    ],
)
def test_a_limit_may_be_changed(sheet, limit, value, name, words):
    """Each is a cell with a name, and what hangs on it follows."""
    plain = {"opening_height": None, "dump_volts": None}
    before, after = sheet.run(**plain), sheet.run(**plain, **{limit: value})
    if limit == "surge_share_most":
        first = next(item for _, item in PLACED["Strength"] if isinstance(item, Table) and item.key == "strength").first
        assert (before.value(("Strength", f"F{first}")), after.value(("Strength", f"F{first + 10}"))) == (
            "ok",
            "above the rating",
        )
        return
    changed = sheet.value(after, name)
    assert changed != sheet.value(before, name)
    assert words is None or changed == words
