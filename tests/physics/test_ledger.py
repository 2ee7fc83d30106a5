"""The power ledger of a whole plant closes, and each line is what its own function says."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc
import hydrofunc.catalogue
from hydrofunc.physics.ledger import LINES
from hydrofunc.registry import FUNCTIONS

OWN_GROUPS = ("Wheel", "Alternator to battery", "Operating point", "Ledger")


@st.composite
def plants(draw):
    number = st.floats
    return {
        "gross_head": draw(number(5, 300)),
        "length": draw(number(10, 2000)),
        "bore": draw(number(20, 110)),
        "roughness": draw(number(0, 0.3)),
        "nozzle": draw(number(4, 11)),
        "pitch_diameter": draw(number(60, 400)),
        "phase_volts": draw(number(1, 60)),
        "pole_pairs": draw(st.integers(1, 12)),
        "phase_resistance": draw(number(0, 2)),
        "battery_volts": draw(number(6, 120)),
        "fittings": draw(number(0, 20)),
        "jets": draw(st.integers(1, 3)),
        "velocity_coefficient": draw(number(0.8, 1)),
        "contraction": draw(number(0.6, 1)),
        "temperature": draw(number(1, 25)),
        "gravity": draw(number(9.76, 9.84)),
        "available_flow": draw(st.one_of(st.none(), number(0, 10))),
        "deflection": draw(number(120, 180)),
        "cup_friction": draw(number(0.5, 1)),
        "alignment": draw(number(0.5, 1)),
        "bearing_drag": draw(number(0, 1)),
        "windage": draw(number(0, 20)),
        "phase_inductance": draw(number(0, 2)),
        "connection": draw(st.sampled_from(["star", "delta"])),
        "diode_drop": draw(number(0, 1.2)),
        "cable_resistance": draw(number(0, 1)),
        "iron_drag": draw(number(0, 0.5)),
        "load": draw(st.sampled_from(["battery", "resistor", "controller"])),
        "load_resistance": draw(number(0.1, 50)),
        "controller_efficiency": draw(number(0.7, 1)),
        **draw(
            st.sampled_from(
                [
                    {},
                    {"length_2": 60.0, "bore_2": 40.0, "roughness_2": 0.01},
                    {
                        "length_2": 60.0,
                        "bore_2": 40.0,
                        "roughness_2": 0.01,
                        "length_3": 20.0,
                        "bore_3": 32.0,
                        "roughness_3": 0.01,
                    },
                ]
            )
        ),
    }


SITE_A = {
    "gross_head": 100,
    "length": 400,
    "bore": 40.9,
    "roughness": 0.15,
    "nozzle": 10,
    "pitch_diameter": 120,
    "phase_volts": 12.266825111756,
    "pole_pairs": 6,
    "phase_resistance": 0.12,
    "battery_volts": 54,
    "fittings": 2.6,
    "temperature": 8,
    "gravity": 9.80447,
    "alignment": 1,
    "bearing_drag": 0.15,
    "windage": 0,
    "iron_drag": 0,
    "phase_inductance": 0.15,
    "cable_resistance": 0.1,
}


def ledger(plant):
    return dict(zip(LINES, hydrofunc.power_ledger(**plant, ledger_line=np.array(LINES)).tolist()))


@given(plants())
def test_the_ledger_closes(plant):
    lines = ledger(plant)
    gross = lines.pop("gross")
    assert sum(lines.values()) == pytest.approx(gross, rel=1e-9, abs=1e-9)
    assert min(lines.values()) >= -1e-9 * max(gross, 1)


def test_a_thousand_plants_close_in_one_call():
    random = np.random.default_rng(7)
    count = 1000
    plant = {
        **SITE_A,
        "gross_head": random.uniform(20, 200, count),
        "length": random.uniform(50, 1500, count),
        "bore": random.uniform(25, 100, count),
        "nozzle": random.uniform(4, 20, count),
        "available_flow": random.uniform(0.5, 8, count),
        "alignment": 0.9,
        "windage": 3.0,
        "iron_drag": 0.05,
        "load": random.choice(["battery", "resistor", "controller"], count),
        "connection": random.choice(["star", "delta"], count),
        "load_resistance": 4.0,
    }
    lines = hydrofunc.power_ledger(**plant, ledger_line=np.array(LINES)[:, None])
    assert np.max(np.abs(lines[0] - lines[1:].sum(axis=0)) / lines[0]) < 1e-9
    assert (lines[1] > 0).any() and (lines[1] == 0).any()  # some sources are too small, some are not


@given(plants())
def test_the_last_line_is_what_the_operating_point_delivers(plant):
    names = {a.name for a in hydrofunc.operating_power.arguments}
    pipe = {a.name: plant.get(a.name) for a in hydrofunc.operating_flow.arguments if plant.get(a.name) is not None}
    flow = hydrofunc.operating_flow(**pipe)
    nozzle = {name: plant[name] for name in ("nozzle", "jets", "velocity_coefficient", "contraction", "gravity")}
    head = hydrofunc.nozzle_head(flow=flow, **nozzle)
    jet = hydrofunc.jet_velocity(head, plant["velocity_coefficient"], plant["gravity"])
    point = {name: value for name, value in plant.items() if name in names}
    power = hydrofunc.operating_power(flow=flow, jet_velocity=jet, **point)
    assert hydrofunc.power_ledger(**plant) == pytest.approx(power, rel=1e-9, abs=1e-9)


def test_water_to_battery_efficiency_of_the_first_whole_plant():
    """Computed with scipy 1.17.1 brentq, fluids 1.3.1 and iapws 1.5.5: 37.547 %."""
    lines = ledger(SITE_A)
    assert lines["battery"] / lines["gross"] == pytest.approx(0.37547, rel=1e-4)
    electrical = lines["battery"] + lines["windings"] + lines["diodes"] + lines["cable"]
    assert electrical == pytest.approx(997.49, rel=1e-4)
    assert lines["gross"] - lines["unfilled pipe"] - lines["pipe friction"] - lines["fittings"] == pytest.approx(
        1180.798, rel=1e-5
    )
    assert lines["cups"] + lines["bearings"] + 997.49 == pytest.approx(1111.012, rel=1e-4)


def test_a_small_source_leaves_head_unused():
    full = ledger(SITE_A)
    half = ledger({**SITE_A, "available_flow": 1.2})
    assert full["unfilled pipe"] == 0
    assert half["unfilled pipe"] > 0.3 * half["gross"]
    assert half["pipe friction"] / half["gross"] < full["pipe friction"] / full["gross"] / 3
    assert sum(value for name, value in half.items() if name != "gross") == pytest.approx(half["gross"], rel=1e-12)


def test_a_wheel_at_rest_loses_all_of_the_jet_in_the_cups():
    lines = ledger({**SITE_A, "bearing_drag": 50})
    assert lines["battery"] == lines["bearings"] == lines["windings"] == 0
    jet = lines["gross"] - lines["pipe friction"] - lines["fittings"] - lines["nozzle"]
    assert lines["cups"] == pytest.approx(jet, rel=1e-12)


def test_no_water_no_watts():
    assert set(ledger({**SITE_A, "available_flow": 0}).values()) == {0.0}


def test_lines_may_stand_in_a_column_and_a_wrong_word_spoils_only_its_own_cell():
    words = np.array(["battery", "Pipe  Friction", "friction", "gross"], dtype=object)
    watts = hydrofunc.power_ledger(**SITE_A, ledger_line=words)
    assert np.isnan(watts).tolist() == [False, False, True, False]
    assert watts[1] == hydrofunc.power_ledger(**SITE_A, ledger_line="pipe friction")


@pytest.mark.parametrize(
    ("changes", "argument"),
    [
        ({"battery_volts": None}, "battery_volts"),
        ({"load": "resistor"}, "load_resistance"),
        ({"ledger_line": "profit"}, "ledger_line"),
        ({"length_2": 50}, "bore_2"),
        ({"length_3": 50}, "bore_3"),
        ({"nozzle": 0}, "nozzle"),
    ],
)
def test_the_argument_to_blame_is_named(changes, argument):
    with pytest.raises(hydrofunc.InputError) as error:
        hydrofunc.power_ledger(**{**SITE_A, **changes})
    assert error.value.argument == argument


@pytest.mark.parametrize(
    "function", [f for f in FUNCTIONS.values() if f.group in OWN_GROUPS], ids=lambda function: function.name
)
def test_worked_examples_come_out_to_the_digits_shown(function):
    shown = function.example.result
    decimals = len(repr(float(shown)).rstrip("0").partition(".")[2])
    assert round(function(**function.example.arguments), decimals) == pytest.approx(shown, abs=1e-12)
