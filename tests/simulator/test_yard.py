"""The blind judge obeys physics, repeats itself, and shares nothing with the product or the other simulators."""

import ast
import pathlib

import numpy as np
import pytest

from . import yard


@pytest.fixture(scope="module")
def healthy():
    """Plants without scatter, all read, by perfect meters."""
    return yard.days(3, ["none"], 12, builds=0, meters=0, everything=True)


def test_it_shares_nothing():
    """Only numpy and the standard library: neither the product nor another simulator."""
    tree = ast.parse(pathlib.Path(yard.__file__).read_text(encoding="utf-8"))
    names = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    names |= {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert names == {"numpy", "dataclasses"}


def test_the_same_seed_gives_the_same_days():
    """Another seed gives others, and a row does not change with the rows beside it."""
    both = yard.days(5, ["pipe", "cable"], 3)
    again, other = (yard.days(seed, ["cable"], 3) for seed in (5, 6))
    assert np.array_equal(again.readings, both.readings[3:])
    assert np.array_equal(again.uncertainties, both.uncertainties[3:])
    assert not np.array_equal(again.readings, other.readings)


def test_energy_of_water_is_not_made_on_the_way(healthy):
    """The alternator takes less than the jet brings, the jet less than the head; the wheel's best is below 1."""
    jet = yard.water(healthy.truth)
    of_jet = 0.5 * yard.density(healthy.truth["temperature"]) * jet["flow"] * jet["velocity"] ** 2
    of_head = 1000 * jet["flow"] * yard.GRAVITY * healthy.truth["head"]
    assert (of_jet < of_head).all()
    assert (healthy.values["shaft_a"] < 0.94 * of_jet).all()
    assert (healthy.values["shaft_a"] > 0.4 * of_jet).all()


def test_energy_of_the_bridge_balances(healthy):
    """What the shaft gives is what copper, diodes and the direct current take."""
    p, size = healthy.truth, len(healthy.person)
    turn = healthy.values["speed_a"] * np.pi / 30
    ohms = p["cable_ohms"] + p["after_ohms_a"]
    got, _ = yard.march(p, turn, p["bus_volts_a"], ohms, yard.start(size), 4, steps=360)
    assert got["copper"] + got["diode"] + got["battery"] == pytest.approx(got["shaft"], rel=0.005)


def test_finer_steps_say_the_same(healthy, monkeypatch):
    """With twice as many steps a cycle, volts change by less than 1 %, speeds by less than 2 %."""
    p = healthy.truth
    ohms = p["cable_ohms"] + p["after_ohms_a"]
    monkeypatch.setattr(yard, "STEPS", 2 * yard.STEPS)
    finer = yard.settle(p, yard.water(p), p["bus_volts_a"], ohms)
    assert healthy.values["rectifier_a"] == pytest.approx(finer["rail"], rel=0.01)
    assert healthy.values["speed_a"] == pytest.approx(finer["turn"] * 30 / np.pi, rel=0.02)


def test_open_windings_give_the_textbook_mean(healthy):
    """3 sqrt(2) / pi of the line volts, of a six-pulse bridge without current (N. Mohan, Power Electronics, 5-6)."""
    p = healthy.truth
    line = p["phase_volts"][0] * np.where(p["star"], np.sqrt(3), 1) * 1000 * np.pi / 30
    assert healthy.values["open_constant"] == pytest.approx(3 * np.sqrt(2) / np.pi * line, rel=0.005)


def test_constant_voltage_load_agrees_with_its_closed_form():
    """V. Caliskan and others, Analysis of Three-Phase Rectifiers with Constant-Voltage Loads, 2003 (from memory): with
    windings of much inductance, no resistance and diodes that always carry, amps = 3/pi sqrt(Vs² - (2 V/pi)²)/(w L)."""
    one = np.ones((3, 1))
    turn, volts, henry, pairs = 100.0, 20.0, 0.02, 4.0
    p = {"star": np.array([True]), "pairs": np.array([pairs]), "phase_volts": one * 40 / turn}
    p |= {
        "phase_henry": one * henry,
        "phase_ohms": one * 1e-3,
        "diode": np.array([1e-6]),
        "up": one * 1e3,
        "down": one * 1e3,
    }
    got, _ = yard.march(p, np.array([turn]), np.array([volts]), np.array([1e-3]), yard.start(1), 40, steps=120)
    peak = np.sqrt(2) * 40
    expected = 3 / np.pi * np.sqrt(peak**2 - (2 * volts / np.pi) ** 2) / (pairs * turn * henry)
    assert got["amps"][0] == pytest.approx(expected, rel=0.02)


def test_pressures_follow_the_head(healthy):
    """At rest the column's weight above the gauge; while it runs less."""
    p = healthy.truth
    column = yard.density(p["temperature"]) * yard.GRAVITY * (p["head"] - p["gauge_height"]) / 1e5
    assert healthy.values["static"] == pytest.approx(column)
    assert (healthy.values["running"] < healthy.values["static"]).all()


def test_wheel_and_alternator_agree_at_the_speed_that_is_read():
    """The torque left over is below half a per cent of the wheel's, whatever is wrong."""
    days = yard.days(9, ["phase"], 12)
    for load in "ab":
        assert abs(days.values["residual_" + load]).max() < 0.005
    assert np.isfinite(days.readings).all()
    assert (days.readings >= 0).all()
    assert (days.readings[days.uncertainties == 0] == 0).all()


def test_a_dry_stream_gives_what_it_has():
    """The flow is the source's, the level sinks, no water runs over."""
    rng = np.random.default_rng(4)
    plan, design = yard.plans(rng, 40)
    p, m = yard.build(rng, plan, design), yard.fresh_meters(40)
    yard.source_short(rng, p, m, plan, design)
    jet = yard.water(p)
    dry = ~jet["overflow"]
    assert dry.any()
    assert jet["flow"][dry] == pytest.approx(p["source"][dry], rel=1e-6)
    assert (jet["flow"][~dry] <= p["source"][~dry]).all()


def test_a_runaway_wheel_stays_below_its_jet(healthy):
    """With nothing to brake it but drags the cups are never faster than the water."""
    p, jet = healthy.truth, yard.water(healthy.truth)
    top = jet["velocity"] / (p["pitch"] / 2)
    assert (yard.wheel_torque(p, jet, top) < 0).all()
    assert (yard.wheel_torque(p, jet, 0.05 * top) > 0).all()


def test_careful_people_read_more():
    """Nearly all, two thirds, a third."""
    person = np.repeat(yard.PEOPLE, 200)
    taken = yard.taken_readings(np.random.default_rng(2), person)
    shares = [taken[person == name].mean() for name in yard.PEOPLE]
    assert shares[0] > 0.9
    assert 0.55 < shares[1] < 0.8
    assert 0.2 < shares[2] < 0.45
