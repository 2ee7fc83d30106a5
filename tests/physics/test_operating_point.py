"""Where wheel, alternator and load settle: torque balance, the lowest root, the best speed."""

import csv
import inspect
import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

import hydrofunc
from hydrofunc.physics import alternator, operating_point, wheel
from hydrofunc.units import to_si

RPM = np.pi / 30
NAMES = list(inspect.signature(operating_point.operating_point.flat).parameters)
CHARGING = list(inspect.signature(alternator.charging_current).parameters)[1:]
WHEEL = (
    "flow",
    "jet_velocity",
    "pitch_diameter",
    "deflection",
    "cup_friction",
    "alignment",
    "bearing_drag",
    "windage",
    "temperature",
)
SITE = {
    "flow": 2.4,
    "jet_velocity": 30.5,
    "pitch_diameter": 120,
    "phase_volts": 12.27,
    "pole_pairs": 6,
    "phase_resistance": 0.12,
    "phase_inductance": 0.15,
    "cable_resistance": 0.1,
    "alignment": 1,
    "bearing_drag": 0.1,
    "windage": 2,
    "iron_drag": 0.05,
}
NO_DRAG = {"bearing_drag": 0, "windage": 0}


def random_sites(count, seed, load="battery", inductance=(1e-6, 1e-3)):
    """Plants in SI units, spread over decades; most make power, some cannot start."""
    random = np.random.default_rng(seed)

    def spread(low, high):
        return np.exp(random.uniform(np.log(low), np.log(high), count))

    return {
        "flow": spread(2e-4, 1e-2),
        "jet_velocity": spread(8, 60),
        "pitch_diameter": spread(0.06, 0.4),
        "phase_volts": spread(0.01, 1),
        "pole_pairs": random.integers(1, 12, count),
        "phase_resistance": spread(1e-3, 2),
        "battery_volts": spread(6, 120),
        "phase_inductance": spread(*inductance),
        "connection": random.choice(["star", "delta"], count),
        "diode_drop": random.uniform(0, 1.2, count),
        "cable_resistance": spread(1e-3, 1),
        "deflection": np.radians(random.uniform(150, 175, count)),
        "cup_friction": random.uniform(0.8, 1, count),
        "alignment": random.uniform(0.7, 1, count),
        "bearing_drag": spread(1e-3, 0.3),
        "windage": spread(1e-9, 1e-5),
        "iron_drag": spread(1e-3, 0.3),
        "load": np.full(count, load),
        "load_resistance": spread(0.1, 100),
        "controller_efficiency": random.uniform(0.8, 1, count),
        "temperature": np.full(count, 283.15),
    }


def wheel_torque(speed, site):
    return wheel.wheel_torque.flat(speed, *(site[name] for name in WHEEL)) - site["iron_drag"]


def load_torque(speed, site):
    """Alternator torque at a speed, from the averaged bridge; a resistor is a battery of 0 V behind it."""
    resistor = site["load"] == "resistor"
    current = alternator.charging_current(
        speed,
        site["phase_volts"],
        np.where(resistor, 0.0, site["battery_volts"]),
        site["pole_pairs"],
        site["phase_resistance"],
        site["phase_inductance"],
        site["connection"],
        site["diode_drop"],
        site["cable_resistance"] + np.where(resistor, site["load_resistance"], 0.0),
    )
    return alternator.alternator_torque(
        current, site["phase_volts"], site["pole_pairs"], site["phase_inductance"], site["connection"]
    )


def reference_plants():
    """Arguments, in trade units, of the three whole plants of tests/reference/operating_point.csv."""
    path = Path(__file__).parent.parent / "reference" / "operating_point.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["function"] == "operating_current"]
    return [json.loads(row["arguments"]) for row in rows if row["tolerance"] == "rel 1e-4"]


def in_si(given):
    """Every argument of the operating point, defaults filled in, by name in SI units."""
    declared = hydrofunc.operating_speed.arguments
    values = {a.name: given.get(a.name, a.default) for a in declared}
    return {a.name: values[a.name] if a.is_text else to_si(values[a.name], a.unit) for a in declared}


def one(site, index):
    return {name: values[index].item() for name, values in site.items()}


@pytest.mark.parametrize("load", ["battery", "resistor", "controller"])
@pytest.mark.parametrize("inductance", [(1e-6, 1e-3), (1e-4, 2e-2)])
def test_wheel_and_alternator_torque_balance_where_it_settles(load, inductance):
    site = random_sites(20000, 1, load, inductance)
    settled = operating_point.operating_point.flat(**site)
    turning = settled.speed > 0
    assert turning.mean() > 0.9 and (settled.current > 0).mean() > 0.5
    braking = alternator.alternator_torque(
        settled.current, site["phase_volts"], site["pole_pairs"], site["phase_inductance"], site["connection"]
    )
    balance = wheel_torque(settled.speed, site) - braking
    assert np.max(np.abs(balance[turning]) / wheel_torque(0.0, site)[turning]) < 1e-12
    assert np.all(wheel_torque(0.0, site)[~turning] <= 0)
    assert np.all(settled.current[~turning] == 0)


@pytest.mark.parametrize("load", ["battery", "resistor"])
def test_two_hundred_sites_against_an_independent_root_finder(load):
    """Speeds by scipy's brentq, from the first sign change of a fine scan up from standstill."""
    site = random_sites(200, 2, load)
    ours = operating_point.operating_speed.flat(**site)
    for index in range(200):
        lane = one(site, index)
        free = wheel.runaway_speed.flat(
            *(lane[n] for n in WHEEL[:6]), lane["bearing_drag"] + lane["iron_drag"], *(lane[n] for n in WHEEL[7:])
        )
        if free == 0:
            assert ours[index] == 0
            continue
        grid = np.linspace(0, free, 401)
        values = wheel_torque(grid, lane) - load_torque(grid, lane)
        last = np.flatnonzero(values[:-1] > 0)
        first = next((i for i in last if values[i + 1] <= 0), last[-1])
        high = grid[first + 1] * (1 + 1e-9)
        found = brentq(
            lambda speed, lane: wheel_torque(speed, lane) - load_torque(speed, lane),
            grid[first],
            high,
            args=(lane,),
            xtol=1e-12,
            rtol=1e-14,
        )
        assert ours[index] == pytest.approx(found, rel=1e-9)


def test_of_several_speeds_of_balance_the_lowest_is_found():
    """A machine of large inductance passes its greatest torque: up to three speeds balance there."""
    site = random_sites(4000, 3, "battery", (2e-3, 5e-2))
    ours = operating_point.operating_speed.flat(**site)
    free = operating_point.operating_speed.flat(**{**site, "battery_volts": np.full(4000, 1e9)})
    part = np.linspace(0, 1, 4001)[:, None]
    net = wheel_torque(part * free, site) - load_torque(part * free, site)
    crossings = (net[:-1] > 0) & (net[1:] <= 0)
    several = crossings.sum(axis=0) > 1
    assert several.sum() > 5
    first = np.argmax(crossings, axis=0)
    seen = crossings.any(axis=0) & (free > 0)
    low, high = (part[first, 0] * free)[seen], (part[first + 1, 0] * free)[seen]
    # The scan may step over two close crossings; ours may then be lower than its first, never higher.
    assert np.all(ours[seen] <= high * (1 + 1e-12))
    assert np.mean(ours[seen] >= low * (1 - 1e-12)) > 0.999
    below = np.linspace(0, 0.999999, 2001)[:, None] * ours
    assert np.all((wheel_torque(below, site) - load_torque(below, site))[:, ours > 0] > 0)


def test_the_controller_finds_the_best_speed():
    """Each lane's power is compared with what a slightly different current, and so speed, would bring."""
    site = random_sites(5000, 4, "controller", (1e-6, 1e-2))
    site["controller_efficiency"][:] = 1.0
    settled = operating_point.operating_point.flat(**site)
    emf = alternator.dc_emf_constant(site["phase_volts"], site["connection"])
    drop = alternator.commutation_constant(site["phase_inductance"], site["pole_pairs"], site["connection"])
    resistance = 2 * alternator.star_value(site["phase_resistance"], site["connection"]) + site["cable_resistance"]
    working = settled.current > 0
    assert working.mean() > 0.9
    for factor in (0.9, 0.99, 0.999, 1.001, 1.01, 1.1):
        speed = settled.speed * factor
        torque = np.maximum(wheel_torque(speed, site), 0)
        root = emf**2 - 4 * drop * torque
        current = 2 * torque / (emf + np.sqrt(np.maximum(root, 0)))
        power = speed * torque - resistance * current**2 - 2 * site["diode_drop"] * current
        possible = working & (root >= 0)
        assert np.all(power[possible] <= settled.power[possible] * (1 + 1e-12))
        if abs(factor - 1) > 0.005:
            assert np.all(power[possible] < settled.power[possible])


def test_a_lossless_alternator_under_a_controller_runs_the_cups_at_half_the_jet():
    speed = hydrofunc.operating_speed(
        2.4, 30.5, 120, 12.27, 6, 0, load="controller", diode_drop=0, controller_efficiency=1, **NO_DRAG, iron_drag=0
    )
    assert hydrofunc.speed_ratio(speed, 120, 30.5) == pytest.approx(0.5, rel=1e-12)


def test_the_commutation_drop_is_not_charged_to_the_shaft():
    """Trap, for the three whole plants computed with scipy 1.17.1: charging it would give these currents."""
    rows = reference_plants()
    assert len(rows) == 3
    for plant, wrong_current in zip(rows, (15.569, 41.864, 39.711)):
        lane = in_si(plant)
        emf = alternator.dc_emf_constant(lane["phase_volts"], lane["connection"])

        def wrong(speed, lane, emf):
            current = alternator.charging_current(speed, *(lane[name] for name in CHARGING))
            return wheel_torque(speed, lane) - emf * current

        speed = brentq(wrong, 1.0, 2000.0, args=(lane, emf))
        assert wheel_torque(speed, lane) / emf == pytest.approx(wrong_current, rel=1e-3)
        assert hydrofunc.operating_current(**plant) > 1.03 * wrong_current


def test_an_alternator_without_resistance_or_inductance_holds_the_cut_in_speed():
    machine = {"phase_volts": 12.27, "pole_pairs": 6, "phase_resistance": 0, "battery_volts": 54}
    machine["iron_drag"] = 0
    point = {"flow": 2.4, "jet_velocity": 30.5, "pitch_diameter": 120, **NO_DRAG}
    speed = hydrofunc.operating_speed(**point, **machine)
    assert speed == pytest.approx(hydrofunc.cut_in_speed(12.27, 54), rel=1e-14)
    torque = hydrofunc.wheel_torque(speed, **point)
    assert hydrofunc.operating_power(**point, **machine) == pytest.approx(
        54 * torque / alternator.dc_emf_constant(12.27 / 1000 / RPM, "star"), rel=1e-12
    )


def test_a_wheel_that_cannot_start_stands_still():
    stuck = {**SITE, "battery_volts": 24, "bearing_drag": 50}
    assert hydrofunc.operating_speed(**stuck) == 0.0
    assert hydrofunc.operating_current(**stuck) == 0.0
    assert hydrofunc.operating_power(**stuck) == 0.0
    assert hydrofunc.operating_speed(**{**SITE, "flow": 0, "battery_volts": 24}) == 0.0


def test_below_cut_in_the_wheel_runs_free_and_charges_nothing():
    high = {**SITE, "battery_volts": 400}
    assert hydrofunc.operating_current(**high) == 0.0
    assert hydrofunc.operating_volts(**high) == 400.0
    drags = {"bearing_drag": SITE["bearing_drag"] + SITE["iron_drag"], "windage": SITE["windage"]}
    free = hydrofunc.runaway_speed(SITE["flow"], SITE["jet_velocity"], SITE["pitch_diameter"], **drags)
    assert hydrofunc.operating_speed(**high) == pytest.approx(free, rel=1e-14)


@given(st.floats(0.3, 8), st.floats(10, 60), st.floats(1.0, 1.5), st.floats(8, 60))
def test_a_faster_jet_never_charges_less(flow, jet_velocity, more, battery_volts):
    site = {**SITE, "bearing_drag": 0, "windage": 0, "iron_drag": 0, "battery_volts": battery_volts, "flow": flow}
    less = hydrofunc.operating_power(**{**site, "jet_velocity": jet_velocity})
    assert hydrofunc.operating_power(**{**site, "jet_velocity": jet_velocity * more}) >= less * (1 - 1e-12)


@given(st.floats(0.3, 8), st.floats(10, 60), st.sampled_from(["battery", "resistor", "controller"]))
def test_power_is_volts_times_amperes_and_less_than_the_jet_has(flow, jet_velocity, load):
    site = {
        **SITE,
        "flow": flow,
        "jet_velocity": jet_velocity,
        "load": load,
        "battery_volts": 24,
        "load_resistance": 3,
        "controller_efficiency": 0.9,
    }
    power = hydrofunc.operating_power(**site)
    product = hydrofunc.operating_volts(**site) * hydrofunc.operating_current(**site)
    assert power == pytest.approx(product * (0.9 if load == "controller" else 1), rel=1e-12)
    assert power < hydrofunc.density(10) * flow / 1000 * jet_velocity**2 / 2


@given(st.floats(0.5, 8), st.floats(15, 60), st.floats(12, 60))
def test_a_perfect_controller_is_at_least_as_good_as_any_battery(flow, jet_velocity, battery_volts):
    site = {**SITE, "flow": flow, "jet_velocity": jet_velocity, "battery_volts": battery_volts}
    tracked = hydrofunc.operating_power(**site, load="controller", controller_efficiency=1)
    assert tracked >= hydrofunc.operating_power(**site) * (1 - 1e-9)


def test_a_resistor_equal_to_the_battery_at_its_current_settles_at_the_same_point():
    battery = {**SITE, "battery_volts": 48}
    current = hydrofunc.operating_current(**battery)
    resistor = {**SITE, "load": "resistor", "load_resistance": 48 / current}
    assert hydrofunc.operating_speed(**resistor) == pytest.approx(hydrofunc.operating_speed(**battery), rel=1e-12)
    assert hydrofunc.operating_volts(**resistor) == pytest.approx(48, rel=1e-12)


def test_arrays_agree_with_single_calls_and_one_bad_plant_spoils_only_itself():
    loads = np.array(["battery", "resistor", "controller", "battery", "grid", "battery", "battery"], dtype=object)
    flows = np.array([2.4, 2.4, 2.4, np.nan, 2.4, -1.0, 0.5])
    site = {**SITE, "battery_volts": 54, "load_resistance": 4.0}
    powers = hydrofunc.operating_power(**{**site, "flow": flows, "load": loads})
    assert np.isnan(powers).tolist() == [False, False, False, True, True, True, False]
    for index in (0, 1, 2, 6):
        alone = hydrofunc.operating_power(**{**site, "flow": flows[index], "load": loads[index]})
        assert powers[index] == pytest.approx(alone, rel=1e-13)
    grid = {"flow": np.array([[1.0], [2.0]]), "battery_volts": [24.0, 48.0, 54.0]}
    table = hydrofunc.operating_power(**{**site, **grid})
    assert table.shape == (2, 3)
    assert table[1, 2] == pytest.approx(hydrofunc.operating_power(**{**site, "flow": 2.0}), rel=1e-13)


def test_missing_numbers_give_no_answer_in_that_lane_and_end_at_once():
    site = random_sites(50, 5)
    for name in NAMES:
        if name in ("connection", "load"):
            continue
        spoilt = {**site, name: np.where(np.arange(50) == 7, np.nan, site[name])}
        settled = operating_point.operating_point.flat(**spoilt)
        if name in ("controller_efficiency", "load_resistance"):  # not used by a battery
            assert np.isfinite(settled.power).all()
        else:
            assert np.isnan(settled.power).tolist() == (np.arange(50) == 7).tolist(), name


@pytest.mark.parametrize(
    ("changes", "argument"),
    [
        ({}, "battery_volts"),
        ({"load": "resistor"}, "load_resistance"),
        ({"battery_volts": 24, "load": "grid"}, "load"),
        ({"battery_volts": 24, "pole_pairs": 2.5}, "pole_pairs"),
        ({"battery_volts": 24, "alignment": 1.1}, "alignment"),
        ({"battery_volts": 24, "controller_efficiency": 0}, "controller_efficiency"),
    ],
)
def test_the_argument_to_blame_is_named(changes, argument):
    with pytest.raises(hydrofunc.InputError) as error:
        hydrofunc.operating_power(**{**SITE, **changes})
    assert error.value.argument == argument


@pytest.mark.parametrize("load", ["battery", "resistor", "controller"])
def test_the_four_results_come_from_one_solution(load):
    site = random_sites(100, 6, load)
    settled = operating_point.operating_point.flat(**site)
    for function, values in zip(
        (
            operating_point.operating_speed,
            operating_point.operating_current,
            operating_point.operating_volts,
            operating_point.operating_power,
        ),
        settled,
    ):
        assert np.array_equal(function.flat(**site), values)
        assert list(inspect.signature(function.flat).parameters) == NAMES


def test_a_wheel_too_slow_to_open_its_diodes_gives_no_volts_amps_or_watts():
    """Two diodes of 0.8 V stand in the way: a jet of 0.1 mm/s, or none at all, turns the wheel a little and charges
    nothing; beside them in one call a plant that runs."""
    plant = ([2.4, 0.0, 2.4], [1e-4, 30.5, 30.5], 120, 12.27, 6, 0.1)
    for shown in (hydrofunc.operating_volts, hydrofunc.operating_current, hydrofunc.operating_power):
        slow, dry, running = shown(*plant, load="controller")
        assert slow == dry == 0 < running
    assert hydrofunc.operating_speed(*plant, load="controller")[1] == 0


def test_a_wheel_that_turns_free_just_at_the_volts_of_its_battery_charges_nothing():
    """And the least more speed lets it: no step between them."""
    plant = {"flow": 2.4, "jet_velocity": 30.5, "pitch_diameter": 120, "phase_volts": 12.27, "pole_pairs": 6}
    plant |= {"phase_resistance": 0.1, "diode_drop": 0.0}
    free = hydrofunc.operating_speed(**plant, battery_volts=1000)
    at_rest = hydrofunc.rectified_volts(free, 0, 12.27, 6, 0.1, diode_drop=0)
    assert hydrofunc.operating_current(**plant, battery_volts=at_rest * (1 + 1e-9)) == 0
    barely = hydrofunc.operating_current(**plant, battery_volts=at_rest * (1 - 1e-6))
    assert 0 < barely < 1e-3


@st.composite
def shorted_plants(draw):
    return {
        "flow": draw(st.floats(0.2, 20)),
        "jet_velocity": draw(st.floats(5, 60)),
        "pitch_diameter": draw(st.floats(50, 400)),
        "phase_volts": draw(st.floats(1, 60)),
        "pole_pairs": draw(st.integers(1, 16)),
        "phase_resistance": draw(st.floats(0.005, 5)),
        "phase_inductance": draw(st.floats(0, 10)),
        "connection": draw(st.sampled_from(["star", "delta"])),
        "alignment": draw(st.floats(0.4, 1)),
        "bearing_drag": draw(st.floats(0, 0.3)),
        "windage": draw(st.floats(0, 20)),
        "iron_drag": draw(st.floats(0, 0.3)),
    }


WHEEL_NAMES = ("flow", "jet_velocity", "pitch_diameter", "alignment", "bearing_drag", "windage")
WINDING_NAMES = ("phase_volts", "pole_pairs", "phase_resistance", "phase_inductance", "connection")


def net_of_a_short(plant, speed):
    """Torque of the short and the iron less that of the wheel."""
    wheel = hydrofunc.wheel_torque(speed, **{name: plant[name] for name in WHEEL_NAMES})
    return hydrofunc.shorted_torque(speed, **{name: plant[name] for name in WINDING_NAMES}) + plant["iron_drag"] - wheel


@given(shorted_plants())
def test_a_shorted_wheel_comes_down_to_the_first_balance_below_runaway(plant):
    speed = hydrofunc.shorted_speed(**plant)
    free = hydrofunc.runaway_speed(**{name: plant[name] for name in WHEEL_NAMES})
    if net_of_a_short(plant, 0.0) >= 0:
        assert speed == 0
        return
    assert 0 < speed <= free * (1 + 1e-12)
    stall = -net_of_a_short(plant, 0.0)
    assert net_of_a_short(plant, speed) == pytest.approx(0, abs=1e-6 * stall)
    above = np.linspace(speed * (1 + 1e-6), max(free, speed * (1 + 1e-5)), 2000)
    assert (net_of_a_short(plant, above) > -1e-9 * stall).all()


def test_without_inductance_and_windage_a_short_is_a_straight_line():
    plant = {"flow": 2.0, "jet_velocity": 30.0, "pitch_diameter": 120.0, "phase_volts": 12.0, "pole_pairs": 6}
    speed = hydrofunc.shorted_speed(**plant, phase_resistance=0.5)
    stall = hydrofunc.wheel_torque(0.0, 2.0, 30.0, 120.0, alignment=1, bearing_drag=0)
    line = stall / (30 / 0.06) + 3 * (12 / (1000 * np.pi / 30)) ** 2 / 0.5
    assert speed == pytest.approx(stall / line * 30 / np.pi, rel=1e-12)


def test_a_large_inductance_lets_a_shorted_wheel_run_on():
    """Trap: the short has more torque than the wheel at low speed, and yet a fast wheel is not brought down."""
    plant = {"flow": 2.0, "jet_velocity": 30.0, "pitch_diameter": 120.0, "phase_volts": 12.0, "pole_pairs": 6}
    held = hydrofunc.shorted_speed(**plant, phase_resistance=0.12, phase_inductance=0.15)
    on = hydrofunc.shorted_speed(**plant, phase_resistance=0.12, phase_inductance=1.5)
    assert held < 300
    assert on > 4000
    lower = np.linspace(1, on, 4000)
    torque = hydrofunc.shorted_torque(lower, 12.0, 6, 0.12, 1.5)
    assert np.any(torque < hydrofunc.wheel_torque(lower, 2.0, 30.0, 120.0))


def test_no_resistance_no_brake():
    plant = {"flow": 2.0, "jet_velocity": 30.0, "pitch_diameter": 120.0, "phase_volts": 12.0, "pole_pairs": 6}
    free = hydrofunc.runaway_speed(2.0, 30.0, 120.0)
    assert hydrofunc.shorted_speed(**plant, phase_resistance=0, phase_inductance=1) == pytest.approx(free, rel=1e-9)
    with pytest.raises(hydrofunc.InputError, match="no answer"):
        hydrofunc.shorted_speed(**plant, phase_resistance=0)
