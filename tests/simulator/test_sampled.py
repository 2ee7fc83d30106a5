"""The second plant against published values, limits that follow from geometry, and its own energy."""

import itertools
import math

import numpy as np
import pytest
from fluids.friction import Colebrook

from .sampled import (
    SOUND_WATER,
    Machine,
    bridge,
    friction_factor,
    machine,
    settle,
    shorted_watts,
    stream,
    water_density,
    water_viscosity,
    wheel_torque,
)

SITE = {
    "gross_head": 60.0,
    "length": [200.0, 150.0],
    "bore": [0.0514, 0.0408],
    "roughness": [5e-5, 5e-5],
    "fittings": 3.0,
    "nozzle": 0.008,
    "velocity_coefficient": 0.97,
    "contraction": 1.0,
    "temperature": 283.15,
    "gravity": 9.81,
    "gauge_height": 0.5,
    "source": math.inf,
    "air_pressure": 101325.0,
    **SOUND_WATER,
}
ROW = {
    "flow": 0.002,
    "jet": 30.0,
    "density": 1000.0,
    "radius": 0.06,
    "turn": 1.85,
    "alignment": 0.95,
    "spill": 0.0,
    "bearing_drag": 0.1,
    "windage": 1e-6,
    "iron_drag": 0.1,
    "emf": np.full(3, 0.16),
    "fifth": 0.0,
    "resistance": np.full(3, 0.12),
    "inductance": np.full(3, 0.15e-3),
    "closed": np.full(3, True),
    "diodes": np.full(6, True),
    "delta": False,
    "pole_pairs": 6.0,
    "shorted": 0.0,
    "threshold": 0.7,
    "slope": 0.005,
    "volts": 54.0,
    "cable": 0.1,
    "load": 0.0,
    "duty": 1.0,
}
# A fault of each kind that a lane can have.
LANES = {
    "well": {},
    "delta": {"delta": True, "emf": np.full(3, 0.28)},
    "resistor": {"volts": 0.0, "load": 3.0},
    "broken winding": {"closed": np.array([True, False, True])},
    "broken winding of a delta": {"delta": True, "emf": np.full(3, 0.28), "closed": np.array([True, False, True])},
    "broken diode": {"diodes": np.array([True] * 5 + [False])},
    "shorted turns": {"shorted": 0.1, "emf": np.array([0.16, 0.16, 0.144])},
    "harmonic": {"fifth": 0.03},
}
PLANTS: Machine = machine([ROW | change for change in LANES.values()])


def ideal(**change):
    """Lanes with nothing but EMF: hardly any resistance, no inductance, no drop."""
    tiny = {"resistance": np.full(3, 1e-4), "inductance": np.zeros(3), "threshold": 0.0, "slope": 1e-4}
    return machine([ROW | tiny | change])


@pytest.mark.parametrize(
    ("celsius", "density", "viscosity"), [(4, 999.97, 1.567e-6), (10, 999.70, 1.307e-6), (20, 998.21, 1.004e-6)]
)
def test_water(celsius, density, viscosity):
    """Values of any table of water; from memory, not looked up."""
    assert water_density(celsius + 273.15) == pytest.approx(density, abs=0.03)
    assert water_viscosity(celsius + 273.15) == pytest.approx(viscosity, rel=0.02)


@pytest.mark.parametrize("reynolds", [4000, 2e4, 1e5, 1e6])
@pytest.mark.parametrize("roughness", [0.0, 1e-4, 3e-3, 0.03])
def test_friction_is_colebrooks(reynolds, roughness):
    """The equation itself leaves no remainder, and fluids solves it to the same factor."""
    factor = friction_factor(reynolds, roughness)
    remainder = factor**-0.5 + 2 * math.log10(roughness / 3.7 + 2.51 / (reynolds * factor**0.5))
    assert abs(remainder) < 1e-9
    assert factor == pytest.approx(Colebrook(reynolds, roughness), rel=1e-3)


def test_published_friction_factors():
    """Cengel & Cimbala, Fluid Mechanics, Ex. 8-3 p. 360 and 8-8 p. 377 (read in a public transcription)."""
    assert friction_factor(134126, 4e-5) == pytest.approx(0.0172, abs=5e-5)
    assert friction_factor(116865.27, 0.0052) == pytest.approx(0.0315, abs=5e-5)
    assert friction_factor(1000, 0.01) == pytest.approx(0.064)


def test_a_short_wide_pipe_gives_torricellis_jet():
    """Without losses the jet has the velocity of free fall, times the velocity coefficient."""
    water = stream(SITE | {"length": [60.0, 0.01], "bore": [2.0, 2.0], "fittings": 0.0})
    assert water.jet == pytest.approx(0.97 * math.sqrt(2 * 9.81 * 60), rel=1e-4)
    assert water.flow == pytest.approx(water.jet * math.pi / 4 * 0.008**2, rel=1e-6)


def test_the_shut_gauge_reads_the_head():
    """Water at rest: density times gravity times height."""
    density = water_density(SITE["temperature"])
    assert stream(SITE, shut=True).pressure == pytest.approx(density * 9.81 * 59.5, rel=1e-6)


def test_the_head_is_used_up():
    """Friction and fittings by fluids' own factor make up what is missing at the nozzle."""
    water = stream(SITE)
    lost = 0.0
    for length, bore in zip(SITE["length"], SITE["bore"]):
        velocity = water.flow / (math.pi / 4 * bore**2)
        factor = Colebrook(velocity * bore / water_viscosity(SITE["temperature"]), 5e-5 / bore)
        lost += factor * length / bore * velocity**2 / (2 * 9.81)
    lost += 3.0 * (water.flow / (math.pi / 4 * SITE["bore"][0] ** 2)) ** 2 / (2 * 9.81)
    assert water.level == pytest.approx(60.0, abs=1e-6)
    assert water.head + lost == pytest.approx(60.0, rel=1e-3)


@pytest.mark.parametrize(
    ("name", "sizes"),
    [
        ("block", [0, 20, 100, 400]),
        ("roughness", [[k, k] for k in (1e-5, 1e-4, 5e-4, 2e-3)]),
        ("bore", [[0.0514 * share, 0.0408 * share] for share in (1, 0.9, 0.8, 0.7)]),
        ("air_pocket", [0, 3, 10, 25]),
        ("void", [0, 0.1, 0.2, 0.4]),
        ("leak_area", [0, 1e-5, 3e-5, 1e-4]),
        ("gross_head", [60, 55, 50, 40]),
        ("source", [math.inf, 0.0012, 0.001, 0.0008]),
    ],
)
def test_what_takes_head_lowers_gauge_and_flow(name, sizes):
    """Bigger troubles of the water take more."""
    waters = [stream(SITE | {name: size}) for size in sizes]
    for better, worse in itertools.pairwise(waters):
        assert worse.pressure < better.pressure and worse.flow < better.flow


def test_a_wider_nozzle_takes_more_at_less_pressure():
    """Gauge and flow go opposite ways; so they do, the other way round, where it is blocked."""
    planned, wide, blocked = (stream(SITE | change) for change in ({}, {"nozzle": 0.010}, {"nozzle_open": 0.6}))
    assert wide.flow > planned.flow > blocked.flow
    assert wide.pressure < planned.pressure < blocked.pressure


def test_a_short_source_lets_the_level_sink():
    """All that the source gives passes the nozzle, under a level below the intake; shut, the pipe fills again."""
    water = stream(SITE | {"source": 0.0012})
    assert water.intake == water.flow == pytest.approx(0.0012)
    assert water.level < 58
    assert stream(SITE | {"source": 0.0012}, shut=True).level == pytest.approx(60)


def test_a_leak_flows_at_rest_too():
    """More enters than the nozzle gets, and the shut gauge misses the friction above the leak."""
    leaky = SITE | {"leak_area": 5e-5, "leak_at": 0.8}
    assert stream(leaky).intake > 1.2 * stream(leaky).flow
    assert stream(leaky, shut=True).flow == 0
    assert stream(leaky, shut=True).pressure < stream(SITE, shut=True).pressure - 1e4


def test_the_mean_of_an_unloaded_bridge():
    """3 sqrt(6)/pi of a star's phase volts, 3 sqrt(2)/pi of a delta's: the textbooks' 2.34 and 1.35."""
    for delta, expected in ((False, 3 * math.sqrt(6) / math.pi), (True, 3 * math.sqrt(2) / math.pi)):
        plant = ideal(delta=delta, emf=np.full(3, math.sqrt(2))).unloaded()
        volts = bridge(plant, np.array([100.0]))[0].volts
        assert volts == pytest.approx(100 * expected, rel=2e-3)


def test_an_unloaded_bridge_with_one_diode_less_gives_five_sixths():
    """The mean of the higher of two phases is sqrt(3)/pi of the peak, of three 3 sqrt(3)/(2 pi): 5/6 of both."""
    whole = bridge(ideal().unloaded(), np.array([100.0]))[0].volts
    broken = bridge(ideal(diodes=np.array([True] * 4 + [False, True])).unloaded(), np.array([100.0]))[0].volts
    assert broken / whole == pytest.approx(5 / 6, rel=3e-3)


def test_a_star_with_a_broken_winding_is_a_single_phase_bridge():
    """2 sqrt(2)/pi = 0.90 of the line volts, against 3 sqrt(2)/pi = 1.35."""
    whole = bridge(ideal().unloaded(), np.array([100.0]))[0].volts
    broken = bridge(ideal(closed=np.array([True, True, False])).unloaded(), np.array([100.0]))[0].volts
    assert broken / whole == pytest.approx(2 / 3, rel=5e-3)


def test_an_unloaded_delta_does_not_show_a_broken_winding():
    """Two windings in open delta still make three equal line volts."""
    plant = ideal(delta=True, closed=np.array([True, False, True])).unloaded()
    lines = bridge(plant, np.array([100.0]))[0].line_volts[0]
    assert lines.min() / lines.max() == pytest.approx(1, abs=1e-3)


def test_published_commutation_drop():
    """P. S. Bimbhra, Power Electronics, Ex. 6.28 p. 352 (read in a public transcription): 4 mH, 50 Hz, 20 A lose 24 V.

    The current is held constant, as the book has it, by a high voltage behind a high resistance.
    """
    plant = ideal(
        emf=np.full(3, math.sqrt(2) * 230 / (100 * math.pi)),
        inductance=np.full(3, 4e-3),
        pole_pairs=1.0,
        volts=514.0 - 20 * 2000,
        load=2000.0,
    )
    electric = bridge(plant, np.array([100 * math.pi]), 6)[0]
    assert electric.amps == pytest.approx(20.0, rel=1e-3)
    assert 3 * math.sqrt(6) / math.pi * 230 - electric.volts == pytest.approx(24.0, abs=1.0)


def test_amps_into_a_battery_by_another_circuit_simulator():
    """42.62 A by ngspice 39.3, as row E-11 of tests/reference/electrical.csv notes; averaged formula 37.8 A."""
    plant = ideal(
        emf=np.full(3, math.sqrt(2) * 14.14213562 / (1000 * math.pi / 30)),
        resistance=np.full(3, 0.05),
        inductance=np.full(3, 0.2e-3),
        volts=24.0,
        cable=0.02,
    )
    assert bridge(plant, np.array([1000 * math.pi / 30]), 6)[0].amps == pytest.approx(42.62, rel=0.003)


def test_no_watt_is_lost_or_made():
    """EMF times current goes into copper, diodes and d.c., with every fault, within the error of the time step."""
    speed, electric = settle(PLANTS)
    assert (speed > 0).all()
    assert electric.copper + electric.diodes + electric.output == pytest.approx(electric.shaft, rel=0.01)
    assert (electric.unsettled < 1e-3).all()
    hydraulic = PLANTS.density * PLANTS.flow * PLANTS.jet**2 / 2
    assert (electric.shaft < hydraulic).all()


def test_the_wheel_settles_where_torques_are_equal():
    """What the cups give is what alternator, iron and shorted turns take."""
    speed, electric = settle(PLANTS)
    taken = PLANTS.iron_drag + (electric.shaft + shorted_watts(PLANTS, speed)) / speed
    assert wheel_torque(PLANTS, speed) == pytest.approx(taken, rel=2e-3)
    assert (speed < PLANTS.jet / PLANTS.radius).all()


def test_a_wheel_that_drags_too_much_stands():
    """No start, no speed."""
    assert settle(machine([ROW | {"bearing_drag": 50.0}]))[0] == 0


def test_finer_steps_change_little(monkeypatch):
    """Three times as many steps in a period: the amps of a battery load stay within 0.5 %."""
    coarse = settle(PLANTS)[1].amps
    monkeypatch.setattr("tests.simulator.sampled.STEPS", 540)
    assert settle(PLANTS)[1].amps == pytest.approx(coarse, rel=0.005)
