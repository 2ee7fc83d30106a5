"""True watts against the simulator's root finder, by hand, and by the account of energy."""

import math

import numpy as np
import pytest

from tests.simulator.plant import Machine, Water, battery_watts

from . import truth
from .population import Population, Site
from .sites import OWN
from .sites_published import PUBLISHED

PLAIN = {
    "gross_head": 100.0,
    "pipe_length": 500.0,
    "pipe_bore": 40.0,
    "pipe_roughness": 0.01,
    "fittings_k": 0.0,
    "source_flow": 0.8,
    "left_in_stream": 37.5,
    "water_temperature": 10.0,
    "altitude": 0.0,
    "latitude": 45.0,
    "nozzle": 5.0,
    "velocity_coefficient": 0.97,
    "contraction": 1.0,
    "pitch_diameter": 100.0,
    "deflection": 180.0,
    "cup_friction": 0.9,
    "alignment": 0.8,
    "bearing_drag": 0.02,
    "iron_drag": 0.03,
    "windage": 0.0,
    "phase_volts": 10.0,
    "phase_resistance": 0.0,
    "phase_inductance": 0.0,
    "pole_pairs": 4.0,
    "delta": 0.0,
    "diode_drop": 0.5,
    "cable_length": 10.0,
    "cable_area": 4.0,
    "cable_temperature": 20.0,
    "battery_volts": 26.0,
}


@pytest.fixture(scope="module", params=(OWN, PUBLISHED), ids=lambda population: population.name)
def found(request: pytest.FixtureRequest) -> list[Site]:
    """Eighty sites of each population, as they are or as their reference machine makes them."""
    population: Population = request.param
    return population.sites(5, 80)


def as_plant(values: truth.Values) -> dict:
    """The same in the simulator's words."""
    plant = {name: values[name] for name in PLAIN if name in values}
    plant.update(
        pipe=((values["pipe_length"], values["pipe_bore"], values["pipe_roughness"]),),
        temperature=values["water_temperature"],
        gravity=float(truth.gravity(values)),
        jets=1,
        connection="delta" if values["delta"] else "star",
        cable_resistance=float(truth.cable_resistance(values)),
        gauge_height=0.0,
    )
    return plant


def limited(values: truth.Values) -> bool:
    """Does the source give less than the pipe could take?"""
    return float(truth.jet(values)[0]) >= 0.999999 * truth.available_flow(values)


def test_flow_and_watts_are_the_simulators(found: list[Site]) -> None:
    """Flow to 1e-6; watts to 1e-5 where the pipe runs full, and on the same jet where it does not."""
    kinds = set()
    for site in found:
        plant, ours = as_plant(site.values), truth.watts(site.values)
        kinds.add(limited(site.values))
        if not limited(site.values):
            assert float(truth.jet(site.values)[0]) == pytest.approx(Water(plant).flow, rel=1e-6)
            assert ours == pytest.approx(battery_watts(plant), rel=1e-5)
        else:
            jet = Water(plant)
            jet.flow, jet.jet_velocity = (float(value) for value in truth.jet(site.values))
            assert ours == pytest.approx(Machine(plant, jet).settle(plant["battery_volts"])["watts"], rel=1e-5)
    assert kinds == {True, False}


def test_there_is_one_speed_of_balance(found: list[Site]) -> None:
    """So it does not matter from where it is sought; and the averaged bridge holds, below 60° of overlap."""
    for site in found:
        state = truth.settled(site.values)
        surplus = state["excess"](np.linspace(0.001, 1, 3000) * float(state["top"]))
        assert np.count_nonzero(np.diff(np.sign(surplus))) == 1
        assert math.degrees(float(state["overlap"])) < 60


def test_the_account_of_energy_closes(found: list[Site]) -> None:
    """The gross power of the water is the sum of the battery's watts and all losses."""
    for site in found:
        if not limited(site.values):
            terms = truth.ledger(site.values)
            gross = terms.pop("gross")
            assert min(terms.values()) >= 0
            assert sum(terms.values()) == pytest.approx(gross, rel=1e-6)


def test_a_case_worked_by_hand() -> None:
    """The source gives 0.8 L/s, of which 37.5 % stay: 0.5 L/s through 19.635 mm², 25.465 m/s.

    Without resistance in the winding the cable alone limits the current. 10 V/krpm in star are 0.223365 V s on the
    direct current side; the cable is 2 · 10 · 1.7241e-8 / 4e-6 = 0.086205 Ω. Stalled torque 999.70 · 0.0005 · 0.8 ·
    1.9 · 25.465 · 0.05 = 0.96738 N m, top speed 509.30 rad/s, drags 0.05 N m. With w = (27 + 0.086205 I) / 0.223365
    = 120.878 + 0.385938 I the balance 0.96738 (1 - w / 509.30) - 0.05 = 0.223365 I is
    0.687779 = (0.223365 + 0.000733066) I, so I = 3.06910 A and 79.797 W.
    """
    assert truth.watts(PLAIN) == pytest.approx(79.797, rel=1e-4)
    assert truth.watts(PLAIN, {"battery_volts": 13.0}) != pytest.approx(79.797, rel=1e-2)


def test_limits() -> None:
    """No jet torque above the drags, or volts too low to charge: nothing. Friction laminar and rough."""
    assert truth.watts(PLAIN, {"bearing_drag": 5.0}) == 0
    assert truth.watts(PLAIN, {"phase_volts": 0.5}) == 0
    assert float(truth.friction_factor(1000.0, 0.001)) == pytest.approx(0.064)
    rough = float(truth.friction_factor(1e9, 0.01))
    assert rough == pytest.approx((2 * math.log10(370)) ** -2, rel=1e-5)
    assert float(truth.gravity({"latitude": 45.0, "altitude": 0.0})) == pytest.approx(9.80620, abs=1e-5)
    assert float(truth.gravity({"latitude": 0.0, "altitude": 1000.0})) == pytest.approx(9.77724, abs=1e-5)


def test_delta_is_a_star_of_root_three_fewer_volts() -> None:
    """Volts by root three, ohms and henries by three."""
    coil = {"phase_volts": 12.0, "phase_resistance": 0.6, "phase_inductance": 0.9}
    star = {"phase_volts": 12 / math.sqrt(3), "phase_resistance": 0.2, "phase_inductance": 0.3}
    assert truth.watts(PLAIN, {**coil, "delta": 1.0}) == pytest.approx(truth.watts(PLAIN, star), rel=1e-9)
