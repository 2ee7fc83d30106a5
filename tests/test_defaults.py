"""No function promises more than measured machines give: what counts when an argument is left out, in all functions.

What is better, more or less of it, is not written down here: the ledger of a plant says it. So a new function, and
a new argument of the ledger, is held too.
"""

import csv
from math import isfinite
from pathlib import Path

import numpy as np
import pytest

import hydrofunc
from hydrofunc.errors import InputError
from hydrofunc.registry import FUNCTIONS
from hydrofunc.template.model import Input
from hydrofunc.template.pages import PAGES

PLANT = hydrofunc.power_ledger.example.arguments | {
    "diode_drop": 0.8,
    "windage": 1,
    "iron_drag": 0.1,
    "alignment": 0.8,
    "available_flow": 50,
    "load": "controller",
    "controller_efficiency": 0.9,
    "velocity_coefficient": 0.9,
    "contraction": 0.9,
    "deflection": 160,
    "cup_friction": 0.8,
}
ASSUMED = {item.name: item.assumed for page in PAGES for item in page.items if isinstance(item, Input)}
MEASURED = Path(__file__).parent / "measured" / "cases.csv"
# Of the ledger, what stands for nothing there when it is left out; what there is of it on a site nobody can know.
NEUTRAL = {
    "fittings": "the sum of those that are counted; one sharp entrance is 0.5, which a test below weighs",
    "cable_resistance": "a battery beside the alternator",
    "phase_inductance": "none is the best there is; the sheet assumes some: a test below weighs it",
    "available_flow": "the source is another question",
    "jets": "one is the least",
    "temperature": "of any water",
    "gravity": "of the standard",
    "length_2": "no second section",
    "length_3": "no third section",
    "bore_2": "refused with a section: a test below",
    "bore_3": "refused with a section: a test below",
    "roughness_2": "refused with a section: a test below",
    "roughness_3": "refused with a section: a test below",
    "battery_volts": "refused with a battery",
    "load_resistance": "refused with a resistor",
}
# Where more speed is the danger, what is left out slows nothing down.
FASTEST = {
    "runaway_speed": {"alignment", "bearing_drag", "windage"},
    "shorted_speed": {"alignment", "bearing_drag", "windage", "iron_drag"},
}
# Optional numbers of other functions, none of which raises the watts of a plant.
OTHERS = set(
    """air_pressure air_temperature altitude ambient_temperature blocked_share bulk_modulus cells_per_block chainage
    charge_efficiency charge_limit cold_capacity compensation conductor_temperature confidence correlations counted
    covering degrees_each degrees_of_freedom delivery_efficiency density depth_of_discharge discharge_coefficient
    final_depth fuse_margin gassing gauge_height heat_efficiency interest lowest_charge margin notch_angle
    opening_height peukert poisson_ratio sag side speed_ratio start_charge step_number temperature_rise
    through_battery wave_speed_2 wave_speed_3 which width_factor""".split()
)


def _optional_numbers():
    """(function, argument) of all that may be left out and is a number."""
    return [
        (function, argument)
        for function in FUNCTIONS.values()
        for argument in function.arguments
        if not argument.required and not argument.is_text and not argument.part
    ]


def _watts(**changes):
    return hydrofunc.power_ledger(**PLANT | changes)


def _better(name):
    """1 where more of it gives more watts, -1 where less does, 0 where it changes nothing."""
    value = PLANT.get(name, FUNCTIONS["power_ledger"].arguments[_position(name)].default)
    step = 0.01 * abs(value) if value else 0.01
    return int(np.sign(_watts(**{name: value + step}) - _watts(**{name: value})))


def _position(name):
    return [argument.name for argument in FUNCTIONS["power_ledger"].arguments].index(name)


def _usual_best(name, better):
    """The best end of the range of what the template takes for it when nobody knows; its sources stand there."""
    assumed = ASSUMED[name]
    if isinstance(assumed.value, str):  # a share of the jet: that of a small machine, four times less at best
        return {"bearing_drag": 0.008, "iron_drag": 0.02, "windage": 0.15}[name] / 4
    return assumed.value + better * assumed.half


def _measured(part):
    with MEASURED.open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["part"] == part]


BEST = {"alignment": None, "contraction": None}  # of the two a measurement of the whole says more: tests below
LOWERING = [
    (function, argument)
    for function, argument in _optional_numbers()
    if argument.name in {a.name for a in FUNCTIONS["power_ledger"].arguments} - set(NEUTRAL) - set(BEST)
]


def test_what_raises_watts_is_known_by_name():
    """An argument of the ledger that may be left out is weighed, or the reason is given why it is not."""
    names = {a.name for a in FUNCTIONS["power_ledger"].arguments if not a.required and not a.is_text}
    weighed = {argument.name for _, argument in LOWERING} | set(BEST)
    assert names == weighed | set(NEUTRAL)
    assert weighed == {name for name in names - set(NEUTRAL) if _better(name)}
    assert {argument.name for _, argument in _optional_numbers()} - names == OTHERS


@pytest.mark.parametrize(
    ("function", "argument"), LOWERING, ids=lambda item: item.name if hasattr(item, "name") else str(item)
)
def test_no_default_is_better_than_the_usual_range(function, argument):
    better = _better(argument.name)
    if argument.name in FASTEST.get(function.name, ()):
        assert argument.default == 0
        return
    assert better * argument.default <= better * _usual_best(argument.name, better)


def test_a_wheel_whose_arguments_are_left_out_is_no_better_than_the_best_small_one_measured():
    """From nozzle to shaft at its best speed; jets of 40 W to 5 kW, wheels of 100 to 300 mm."""
    best = max(float(row["high"]) for row in _measured("wheel"))
    assert best == 0.71  # B. R. Cobb, K. V. Sharp, Renewable Energy 50 (2013) 959-964, abstract: just over 70 %
    speeds = np.linspace(50, 6000, 500)[:, None, None]
    heads, flows = np.array([10.0, 30, 100])[:, None], np.array([0.4, 1.5, 5.0])
    jet = hydrofunc.jet_velocity(heads)
    for pitch in (100, 200, 300):
        shaft = hydrofunc.wheel_power(speeds, flows, jet, pitch).max(axis=0)
        assert (shaft / hydrofunc.jet_power(flows, jet) <= best).all()


def test_a_nozzle_whose_arguments_are_left_out_passes_no_more_than_the_best_measured():
    best = max(float(row["high"]) for row in _measured("nozzle") if "turned" in row["given"])
    for function, argument in _optional_numbers():
        if argument.name == "contraction":
            velocity = {a.name: a.default for a in function.arguments}.get("velocity_coefficient", 0.97)
            assert argument.default * velocity <= best


def test_every_function_takes_the_usual_alignment_but_where_speed_is_the_danger():
    for function, argument in _optional_numbers():
        if argument.name == "alignment":
            assert argument.default == (1 if function.name in FASTEST else 0.71)


def test_the_defaults_of_wheel_and_drags_are_those_of_the_template():
    limits = {name: ASSUMED[name].value for name in ("eyed_set", "least_bearing", "least_iron", "usual_windage")}
    defaults = {argument.name: argument.default for _, argument in LOWERING}
    assert limits["eyed_set"] == 0.71
    assert (defaults["bearing_drag"], defaults["iron_drag"], defaults["windage"]) == (
        limits["least_bearing"],
        limits["least_iron"],
        limits["usual_windage"],
    )


def test_a_plant_runs_away_as_fast_as_it_can_where_rows_are_left_out():
    plant = {"gross_head": 100, "length": 400, "bore": 40.9, "roughness": 0.15, "nozzle": 10, "pitch_diameter": 120}
    free = hydrofunc.plant(plant, "runaway_speed")
    assert free == pytest.approx(hydrofunc.plant(plant, "jet_velocity") / (np.pi * 0.12) * 60, rel=1e-12)
    assert hydrofunc.plant(plant | {"windage": 5}, "runaway_speed") < free
    assert hydrofunc.plant(plant, "runaway_volts", ["phase_volts"], [12]) > 0


@pytest.mark.parametrize("section", [2, 3])
def test_a_further_section_without_its_wall_is_refused_and_not_taken_for_smooth(section):
    pipe = {"flow": 1, "length": 100, "bore": 40, "roughness": 0.1}
    more = {f"length_{section}": 50, f"bore_{section}": 30}
    with pytest.raises(InputError, match=f"roughness_{section}: must be given, above 0"):
        hydrofunc.penstock_head(**pipe, **more)
    with pytest.raises(InputError, match=f"bore_{section}"):
        hydrofunc.penstock_head(**pipe, **{f"length_{section}": 50, f"roughness_{section}": 0.1})
    rough = hydrofunc.penstock_head(**pipe, **more, **{f"roughness_{section}": 0.1})
    assert isfinite(rough) and rough > hydrofunc.penstock_head(**pipe)
    plant = PLANT | more | {"bore": 40, "nozzle": 8}
    with pytest.raises(InputError, match=f"roughness_{section}: must be given, above 0"):
        hydrofunc.plant(plant, "flow")
    assert hydrofunc.plant(plant | {f"roughness_{section}": 0.1}, "flow") > 0


def test_what_neutral_defaults_promise_too_much_is_little():
    """An entrance with a sharp edge (K 0.5), and the winding of the example (0.15 mH) against none."""
    assert 0 < 1 - _watts(fittings=3.1) / _watts() < 0.005
    assert 0 <= 1 - _watts() / _watts(phase_inductance=0) < 0.03
