"""The invented test days: repeatable, sound, and each trouble does what its words say."""

import math
import time

import numpy as np
import pytest

from . import field as module
from .field import IDS, READINGS, TROUBLES, field, invent, steady
from .sampled import stream, water_density

COUNT = 60


@pytest.fixture(scope="module")
def cases():
    """Days as they are."""
    return field(11, COUNT)


@pytest.fixture(scope="module")
def plain():
    """The same plans and troubles, built exactly and read exactly."""
    return field(11, COUNT, scatter=0.0, meters=0.0)


@pytest.fixture(scope="module")
def planned(plain):
    """What perfect instruments would say of the plans of the first days."""
    plans, bases = zip(*(invent(np.random.default_rng([11, number, 1])) for number in range(COUNT)), strict=True)
    return list(zip(plans, bases)), steady(plans, bases, [case.how for case in plain])


@pytest.fixture(scope="module")
def exact():
    """More days, built and read exactly."""
    return field(21, 150, scatter=0.0, meters=0.0)


@pytest.fixture(scope="module")
def effects():
    """Exact readings of plans without and with each trouble of `DOES`; measured at once, which is faster."""
    pairs = {name: pairs_of_days(name, count=6) for name in DOES}
    readings = iter(module._measure([day for before, after in pairs.values() for day in before + after]))
    return {
        name: ([next(readings) for _ in before], [next(readings) for _ in after])
        for name, (before, after) in pairs.items()
    }


def with_trouble(name, **kwargs):
    """Exact readings without and with one trouble, and the days with it."""
    before, after = pairs_of_days(name, **kwargs)
    readings = module._measure(before + after)
    return readings[: len(before)], readings[len(before) :], after


def pairs_of_days(name, seed=3, count=6, **wanted):
    """Days without scatter, first without, then with one trouble, of plans on which it can be."""
    number, before, after = 0, [], []
    while len(after) < count:
        number += 1
        plan, base = invent(np.random.default_rng([seed, number, 1]))
        if name == "charge_throttled" and plan["load"] == "resistor":
            continue
        if any(plan[key] != value for key, value in wanted.items()):
            continue
        for list_, does in ((before, False), (after, True)):
            dice = np.random.default_rng([seed, number])
            site = module._true_site(plan, base, dice, 0.0)
            way = {"volts_at": "battery", "load_b": "resistor", "battery_volts_b": 0.0}
            way["load_resistance_b"] = 0.7 * base["volts"] / base["amps"]
            way["open_speed"] = module.TRICKLE[0] * base["speed"]
            day = module._Day(plan, dict(base), site, module._good_meters(), way)
            if does:
                module._DOES[name][1](day, dice)
            taken = stream(site).intake
            site["source"] = taken * (site["source_share"] or 1.2)
            list_.append(day)
    return before, after


def test_the_days_repeat(cases):
    """A case depends on seed and number only, not on how many there are."""
    few = field(11, 5)
    for one, other in zip(few, cases):
        assert one.plan == other.plan and one.troubles == other.troubles and one.how == other.how
        assert one.readings == pytest.approx(other.readings)
    assert field(12, 1)[0].plan != few[0].plan


def test_plans_are_of_the_size_that_is_meant(cases):
    """Heads, pipes, nozzles and loads of the small plants that the simulator is for."""
    for case in cases:
        plan = case.plan
        assert 15 <= plan["gross_head"] <= 120 and 59 < sum(plan["length"]) <= 600
        assert all(0.020 <= bore <= 0.063 for bore in plan["bore"]) and 0.003 <= plan["nozzle"] <= 0.014
        assert len(plan["length"]) == len(plan["bore"]) == len(plan["roughness"]) <= 2
        assert plan["load"] in ("battery", "resistor", "controller") and plan["connection"] in ("star", "delta")
    assert {len(case.plan["bore"]) for case in cases} == {1, 2}


def test_none_one_or_two_troubles(cases):
    """Only the ids that have words; every trouble comes up among enough days."""
    assert {len(case.troubles) for case in cases} == {0, 1, 2}
    assert len(set(IDS)) == len(IDS) == 26 and all(words.endswith(".") for _, words in TROUBLES)
    met = {name for case in cases for name in case.troubles}
    assert met <= set(IDS) and len(met) > 20


def test_readings_and_limits_belong_together(cases):
    """Every reading has a limit above 0, some readings are missing everywhere, and nothing else has a name."""
    for case in cases:
        assert set(case.readings) == set(case.stated) <= set(READINGS)
        assert all(math.isfinite(value) and value >= 0 for value in case.readings.values())
        assert all(limit > 0 for limit in case.stated.values())
        assert set(case.seen) == {"intake_overflows", "screen_clean"}
    for name in READINGS:
        assert 0 < sum(name in case.readings for case in cases) < COUNT


def test_a_healthy_day_without_scatter_is_the_plan(plain, planned):
    """Exact instruments at an exact plant read the plan's own steady state, to the digits that they show."""
    healthy = [case for case in plain if not case.troubles]
    assert healthy
    for case in healthy:
        expected = planned[1][case.number]
        assert case.true == pytest.approx(expected, rel=1e-9)
        for name, value in case.readings.items():
            assert value == pytest.approx(expected[name], rel=6e-4)


def test_plans_work_near_their_best_speed(planned):
    """Cups at 0.36 to 0.58 of the jet's velocity, and a third to three quarters of the water's power at the load."""
    for (plan, base), said in zip(*planned):
        water = stream(module._ideal(plan))
        gross = water_density(plan["temperature"]) * plan["gravity"] * water.flow * plan["gross_head"]
        assert 0.36 < said["speed_a"] * plan["pitch_diameter"] / 2 / water.jet < 0.58
        assert 0.33 < said["volts_a"] * said["amps_a"] / gross < 0.75
        assert said["amps_a"] == pytest.approx(base["amps"], rel=0.25)


def test_energy_falls_from_step_to_step(plain):
    """Gross power, bridge, load: each has less than the one before, with every trouble, in both loads.

    Not where a series controller throttles: there mean volts times mean amps are no mean watts.
    """
    for case in plain:
        true, plan = case.true, case.plan
        density = water_density(plan["temperature"])
        gross = density * plan["gravity"] * true["flow"] * plan["gross_head"]
        for load in "ab":
            if load == "b" or "charge_throttled" not in case.troubles:
                assert true[f"rectifier_{load}"] * true[f"amps_{load}"] < 0.8 * gross
            assert true[f"volts_{load}"] <= true[f"rectifier_{load}"] * (1 + 1e-9)


def test_good_instruments_mostly_keep_their_limits():
    """Of healthy days 85 % or more of the readings lie within the stated limits, and with tails not all do."""
    within = []
    for case in field(5, 150):
        if not any(name.startswith("wrong") for name in case.troubles):
            within += [abs(case.readings[name] - case.true[name]) <= case.stated[name] for name in case.readings]
    assert 0.85 < np.mean(within) < 1


def test_multipliers_act_on_truth_and_errors_only():
    """Twice the errors of meters: other readings, the same truth. Twice the scatter: another truth, the same plan."""
    base, coarse, rough = field(4, 8), field(4, 8, meters=2.0), field(4, 8, scatter=2.0)
    for one, two, three in zip(base, coarse, rough):
        assert one.true == two.true and one.plan == two.plan == three.plan
        assert one.readings != two.readings and one.true != three.true
        for name in set(one.stated) & {"static", "running", "nozzle"}:
            assert one.stated[name] == two.stated[name] == three.stated[name]


# What each trouble of the plant must do to exact readings: reading to sign; 0 is no change.
DOES = {
    "pipe_blocked": {"static": 0, "running": -1, "flow": -1, "nozzle": 0},
    "pipe_rough": {"static": 0, "running": -1, "flow": -1},
    "pipe_narrow": {"static": 0, "running": -1, "flow": -1},
    "air_pocket": {"running": -1, "flow": -1},
    "air_drawn": {"static": 0, "running": -1, "flow": -1},
    "source_short": {"static": 0, "running": -1, "flow": -1},
    "leak": {"static": -1, "running": -1, "flow": -1},
    "head_short": {"static": -1, "running": -1, "flow": -1},
    "nozzle_blocked": {"static": 0, "running": 1, "flow": -1, "nozzle": 0},
    "jet_misaligned": {"running": 0, "flow": 0, "speed_b": -1, "amps_b": -1, "open_constant": 0},
    "cups_worn": {"running": 0, "flow": 0, "speed_b": -1, "amps_b": -1, "open_constant": 0},
    "water_ponding": {"running": 0, "flow": 0, "speed_b": -1, "amps_b": -1},
    "bearing_drag": {"running": 0, "flow": 0, "speed_b": -1, "amps_b": -1},
    "charge_throttled": {"running": 0, "speed_a": 1, "rectifier_a": 1, "amps_a": -1, "speed_b": 0},
    "phase_open": {"running": 0, "flow": 0, "amps_b": -1},
    "diode_open": {"phase_balance": 0, "open_constant": -1, "running": 0},
    "shorted_turns": {"phase_balance": -1, "open_constant": -1, "amps_b": -1},
    "magnets_weak": {"open_constant": -1, "phase_balance": 0, "flow": 0},
    "connection_mistaken": {"phase_balance": 0, "flow": 0},
    "cable_bad": {"open_constant": 0, "flow": 0},
}


@pytest.mark.parametrize("name", DOES)
def test_a_trouble_does_what_its_words_say(effects, name):
    """Exact plants, exact instruments: the readings move as the trade knows it of that trouble, or stay."""
    for well, ill in zip(*effects[name]):
        for reading, sign in DOES[name].items():
            change = ill[reading] / well[reading] - 1
            assert abs(change) < 2e-3 if sign == 0 else change * sign > 0, (reading, change)


def test_another_nozzle_moves_gauge_and_flow_opposite_ways():
    """And the measured opening says which way."""
    before, after, _ = with_trouble("nozzle_other")
    for well, ill in zip(before, after):
        wider = math.copysign(1, ill["nozzle"] - well["nozzle"])
        assert wider * (ill["flow"] - well["flow"]) > 0 and wider * (ill["running"] - well["running"]) < 0


def test_star_for_delta_changes_the_volts_by_the_root_of_three():
    """Unloaded, a star gives 1.73 times the volts of a delta of the same windings, but for the drop of the diodes."""
    for connection, ratio in (("star", 3**-0.5), ("delta", 3**0.5)):
        before, after, _ = with_trouble("connection_mistaken", connection=connection, count=4)
        for well, ill in zip(before, after):
            assert ill["open_constant"] / well["open_constant"] == pytest.approx(ratio, rel=0.05)


def test_a_bad_cable_parts_the_volts_of_its_ends():
    """The volts between bridge and load grow, at a current that is not higher."""
    before, after, _ = with_trouble("cable_bad")
    for well, ill in zip(before, after):
        assert ill["rectifier_a"] - ill["volts_a"] > well["rectifier_a"] - well["volts_a"]


@pytest.mark.parametrize("connection", ["star", "delta"])
def test_an_open_phase_shows_in_a_star_only(connection):
    """A delta with a broken winding has equal line volts without a load; a star or a broken line wire shows."""
    _, after, days = with_trouble("phase_open", connection=connection, count=6)
    for ill, day in zip(after, days):
        hidden = connection == "delta" and not day.truth["dead_line"]
        assert ill["phase_balance"] > 0.99 if hidden else ill["phase_balance"] < 0.1


def test_a_load_off_its_best_costs_power_or_changes_its_volts():
    """Other battery volts show at the battery, another winding in the unloaded volts."""
    before, after, _ = with_trouble("load_off_best")
    for well, ill in zip(before, after):
        moved = [abs(ill[name] / well[name] - 1) for name in ("volts_a", "open_constant")]
        assert max(moved) > 0.08


@pytest.mark.parametrize(
    ("name", "moved"),
    [
        ("wrong_bucket", {"flow"}),
        ("wrong_gauge", {"static", "running"}),
        ("wrong_tacho", {"speed_a", "speed_b", "open_constant", "open_speed"}),
        ("wrong_meter", {"rectifier_a", "rectifier_b", "volts_a", "volts_b", "open_constant", "amps_a", "amps_b"}),
    ],
)
def test_a_wrong_instrument_moves_its_own_readings_only(exact, name, moved):
    """The plant is well; the readings of that instrument are wrong by 5 % or more, the others right."""
    days = [case for case in exact if case.troubles == (name,)]
    assert days
    for case in days:
        wrong = {reading for reading, value in case.readings.items() if abs(value / case.true[reading] - 1) > 0.01}
        assert wrong and wrong <= moved


def test_the_looks_follow_the_water(exact):
    """Where people looked, a short source does not overflow and others do, but for a few mistaken looks."""
    right = []
    for case in exact:
        answer = case.seen["intake_overflows"]
        if not math.isnan(answer):
            right.append(answer == float("source_short" not in case.troubles))
    assert 0.9 < np.mean(right) <= 1


def test_three_hundred_days_take_less_than_a_minute():
    """On one core; measured as processor time, so that busy neighbours do not count."""
    start = time.process_time()
    field(1, 100)
    assert time.process_time() - start < 20
