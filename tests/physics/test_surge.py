"""Surge: published cases in SI, limits, and what must hold for any pipe."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc
from hydrofunc.physics import surge

SUBRAMANYA = (
    "K. Subramanya, 1000 Solved Problems in Fluid Mechanics, read in a public transcription of its solved examples"
)
ONE = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0)  # no second and third section
lengths, bores, speeds = st.floats(20, 2000), st.floats(15, 200), st.floats(200, 1400)
flows, times = st.floats(0.1, 20), st.floats(0.01, 200)


def flow_of(velocity, bore):
    return velocity * np.pi / 4 * bore**2


def wave(bulk, density, bore, wall, modulus):
    return surge.wave_speed(bore, wall, modulus, 0.3, "expansion joints", bulk, density)


def rise(velocity, closing_time, length, bore, speed, density=998.0):
    return surge.surge_pressure.flat(flow_of(velocity, bore), closing_time, length, bore, speed, density, *ONE, np.inf)


@pytest.mark.parametrize(("bulk", "expected"), [(2.2e9, 1484.7), (2.22e9, 1491.5)])
def test_a_rigid_pipe_carries_sound_as_open_water_does(bulk, expected):
    """Subramanya, Ex. 14.20 p. 360 and Ex. 14.11 p. 358."""
    assert wave(bulk, 998.0, 1.0, 0.01, np.inf) == pytest.approx(expected, abs=0.1)


def test_oil_in_a_steel_main():
    """Subramanya, Ex. 14.12 p. 358: 980.4 m/s."""
    assert wave(1.43e9, 0.8 * 998, 2.5, 0.020, 207e9) == pytest.approx(980.4, abs=0.05)


def test_head_of_a_sudden_stop():
    """Subramanya, Ex. 14.14 p. 358: 240.2 m."""
    speed = wave(2.0e9, 998.0, 0.9, 0.0125, 100e9)
    assert rise(2.60, 0, 1000, 0.9, speed) / (998 * 9.81) == pytest.approx(240.2, abs=0.1)


@pytest.mark.parametrize(("modulus", "expected"), [(np.inf, 3.040e6), (210e9, 2.482e6)])
def test_an_elastic_wall_softens_a_sudden_stop(modulus, expected):
    """Subramanya, Ex. 14.15 p. 358: 3.040 MPa rigid, 2.482 MPa elastic."""
    assert rise(2.1, 0, 1000, 0.6, wave(2.1e9, 998.0, 0.6, 0.012, modulus)) == pytest.approx(expected, abs=1e3)


def test_a_sudden_stop_in_pounds_and_feet():
    """Daugherty and Franzini, Ex. 13.4 p. 462: 102.9 psi of 1.94 slug/ft³, 3200 ft/s, 30 ft³/s, radius 2 ft."""
    foot = 0.3048
    pressure = surge.surge_pressure.flat(
        30 * foot**3, 0, 1000, 4 * foot, 3200 * foot, 1.94 * 14.59390 / foot**3, *ONE, np.inf
    )
    assert pressure / 6894.757 == pytest.approx(102.9, abs=0.1)


def test_closing_slower_than_the_wave_returns():
    """Subramanya, Ex. 14.18 p. 359: 3.235 MPa at once, 2.394 MPa (exact 2.3952) in 2 s, wave back in 1.48 s."""
    speed = wave(2.11e9, 998.0, 0.6, 0.015, 104.1e9)
    assert rise(3.0, 0, 800, 0.6, speed) == pytest.approx(3.235e6, abs=2e3)
    assert rise(3.0, 2.0, 800, 0.6, speed) == pytest.approx(2.394e6, abs=2e3)
    assert surge.critical_time.flat(800, speed, 0, 0, 0, 0) == pytest.approx(1.48, abs=5e-3)


def test_a_stop_faster_than_the_wave_returns_is_a_sudden_one():
    """Subramanya, Ex. 14.20 p. 360: 1.185 MPa in 4 s of 4.7 s, on the lower 530.6 m."""
    speed = wave(2.2e9, 998.0, 1.0, 0.01, np.inf)
    assert rise(0.8, 4.0, 3500, 1.0, speed) == pytest.approx(1.185e6, abs=5e2)
    assert surge.full_surge_length.flat(4.0, 3500, speed, 0, 0, 0, 0) == pytest.approx(530.6, abs=0.1)


def test_part_of_the_flow_stopped_on_top_of_the_pressure_at_rest():
    """Subramanya, Ex. 14.19 p. 359: from 3.0 to 0.5 m/s in 5 s, 250 m at rest: 4943 kPa (recomputed 4942.5)."""
    speed = wave(2.10e9, 998.0, 4.0, 0.10, 211e9)
    assert 250 * 9790 + rise(2.5, 5.0, 2500, 4.0, speed) == pytest.approx(4943e3, abs=1e3)


def test_the_trap_of_the_rigid_column():
    """rho L V / T, found in some books for slow closing, is half of what the wave makes of it."""
    assert rise(1.0, 10.0, 500, 0.1, 1000.0, 1000.0) == pytest.approx(2 * 1000 * 500 * 1.0 / 10.0)


@given(st.floats(0.0, 40.0))
def test_warm_spring_water_is_harder_to_squeeze(temperature):
    """From 1.966 GPa at 0 °C to 2.319 GPa at 40 °C (iapws 1.5.5, IAPWS95 at 0.101325 MPa)."""
    assert 1.966 <= hydrofunc.bulk_modulus(temperature) <= 2.320


@given(bores, st.floats(1, 10), st.floats(0.2, 300), st.floats(0, 0.5), st.sampled_from(surge.SUPPORTS))
def test_no_wave_is_faster_than_sound_in_water(bore, wall, modulus, poisson, support):
    """And holding the pipe back makes it no slower."""
    held = hydrofunc.wave_speed(bore, wall, modulus, poisson, support, 2.1, 1000)
    free = hydrofunc.wave_speed(bore, wall, modulus, poisson, "expansion joints", 2.1, 1000)
    assert 0 < free <= held * (1 + 1e-12) < (2.1e9 / 1000) ** 0.5 * (1 + 1e-12)


@given(flows, lengths, bores, speeds, times)
def test_slower_closing_never_gives_more(flow, length, bore, speed, time):
    line = (length, bore, speed, 1000.0)
    sudden = hydrofunc.surge_pressure(flow, 0, *line)
    quick, slow = hydrofunc.surge_pressure(flow, time, *line), hydrofunc.surge_pressure(flow, 2 * time, *line)
    assert slow <= quick * (1 + 1e-12) and quick <= sudden * (1 + 1e-12)
    assert sudden == pytest.approx(1e-5 * 1000 * speed * hydrofunc.pipe_velocity(flow, bore), rel=1e-12)


@given(flows, lengths, bores, speeds, times, st.floats(0.05, 0.95))
def test_a_pipe_cut_in_three_is_still_the_same_pipe(flow, length, bore, speed, time, cut):
    whole = hydrofunc.surge_pressure(flow, time, length, bore, speed)
    first, second = length * cut, length * (1 - cut) / 2
    parts = hydrofunc.surge_pressure(
        flow, time, first, bore, speed, 1000, second, bore, speed, length - first - second, bore, speed
    )
    assert parts == pytest.approx(whole, rel=1e-9) or time == pytest.approx(
        hydrofunc.critical_time(length, speed), rel=1e-9
    )


@given(flows, lengths, bores, speeds, st.floats(0.1, 30))
def test_the_safe_time_gives_what_is_allowed(flow, length, bore, speed, allowed):
    time = hydrofunc.safe_closing_time(allowed, flow, length, bore, speed)
    assert hydrofunc.surge_pressure(flow, time, length, bore, speed) <= allowed * (1 + 1e-9)
    if time > 0:
        assert hydrofunc.surge_pressure(flow, 0.98 * time, length, bore, speed) > allowed
        assert time >= hydrofunc.critical_time(length, speed) * (1 - 1e-12)


@given(flows, st.floats(10, 500), st.floats(10, 500), st.floats(20, 60), st.floats(20, 60), st.floats(0.1, 30))
def test_the_safe_time_is_safe_in_two_sections_too(flow, upper, lower, bore, bore_2, allowed):
    line = (upper, bore, 330.0, 1000, lower, bore_2, 350.0)
    time = hydrofunc.safe_closing_time(allowed, flow, *line)
    assert hydrofunc.surge_pressure(flow, time * (1 + 1e-9), *line) <= allowed * (1 + 1e-9)


def test_the_rise_dies_out_towards_the_intake():
    """Slow: in proportion to the length above; sudden: all of it up to the intake, where the level holds it at
    nothing.
    """
    line = {"flow": 2.0, "length": 400, "bore": 40.0, "wave_speed": 330.0}
    x = np.array([0.0, 100.0, 200.0, 400.0])
    slow = hydrofunc.surge_pressure(closing_time=10, chainage=x, **line)
    assert slow == pytest.approx(slow[-1] * x / 400, rel=1e-12)
    assert hydrofunc.surge_pressure(closing_time=0, chainage=x, **line).tolist()[0] == 0
    assert np.ptp(hydrofunc.surge_pressure(closing_time=0, chainage=x, **line)[1:]) == 0


def test_travel_times_add_and_wave_speeds_do_not_average():
    """200 m of steel at 1300 m/s above 200 m of polyethylene at 330 m/s: 1.52 s; the mean speed would say 0.98 s."""
    time = hydrofunc.critical_time(200, 1300, 200, 330)
    assert time == pytest.approx(2 * (200 / 1300 + 200 / 330), rel=1e-12)
    assert time > 1.5 * 2 * 400 / ((1300 + 330) / 2)


def test_the_part_under_full_surge_is_counted_from_the_nozzle():
    """A stop of no time: all; of the critical time: nothing; between, the lower section first."""
    line = (200, 1300, 200, 330)
    critical = hydrofunc.critical_time(*line)
    assert hydrofunc.full_surge_length(0, *line) == pytest.approx(400)
    assert hydrofunc.full_surge_length(critical, *line) == pytest.approx(0, abs=1e-9)
    assert hydrofunc.full_surge_length(critical - 0.2, *line) == pytest.approx(0.1 * 330)


@given(st.floats(1, 600), st.floats(3, 30), st.floats(31, 100), st.floats(0.05, 1))
def test_a_valve_stops_the_flow_in_the_last_part_of_its_travel(valve_time, nozzle, bore, share):
    stop = hydrofunc.stopping_time(valve_time, nozzle, bore, 100 * share, 100)
    assert stop == pytest.approx(valve_time * (nozzle / bore) ** 2 * share**0.5, rel=1e-12) and stop < valve_time
    assert hydrofunc.stopping_time(valve_time, bore, bore, 100, 100) == pytest.approx(valve_time), "a spear"


@given(st.floats(0.01, 0.98))
def test_the_steepest_fall_of_flow_behind_a_closing_valve(opening):
    """Valve and nozzle in series at a steady head let x / sqrt(1 + x²) of the nozzle's flow pass, x being valve area
    over nozzle area: it falls by no more than one nozzle flow for each nozzle area of opening."""
    x = opening * 30
    step = 1e-6
    through = [y / np.sqrt(1 + y**2) for y in (x, x + step)]
    assert 0 < (through[1] - through[0]) / step <= 1 + 1e-6


@given(flows, lengths, bores, st.floats(5, 500))
def test_water_starts_faster_in_a_shorter_pipe_and_never_arrives_quite(flow, length, bore, head):
    times = hydrofunc.starting_time([0.1, 0.5, 0.9, 0.99], flow, head, length, bore)
    assert np.all(np.diff(times) > 0)
    assert hydrofunc.starting_time(0.5, flow, head, length / 2, bore) == pytest.approx(times[1] / 2, rel=1e-12)
    first = hydrofunc.starting_time(1e-6, flow, head, length, bore)
    assert first == pytest.approx(1e-6 * length * hydrofunc.pipe_velocity(flow, bore) / (9.80665 * head), rel=1e-9), (
        "g H / L at first"
    )


def test_a_bad_row_leaves_its_neighbours_alone():
    got = hydrofunc.surge_pressure(np.array([1.0, np.nan, 2.0]), 0, 100, 40, 330)
    assert np.isnan(got).tolist() == [False, True, False]
    with pytest.raises(hydrofunc.InputError, match="wave_speed_2: must be given where length_2 is above 0"):
        hydrofunc.surge_pressure(1, 0, 100, 40, 330, 1000, 100, 30)


def test_a_joint_adds_to_the_surge_the_share_of_the_wave_it_throws_back():
    """By hand: 1 L/s at 400 m/s through 50 mm, below it through 40 mm, below that through 60 mm. A joint throws back
    r = (Z2 - Z1) / (Z2 + Z1) of a wave, Z being a / A (continuity and one pressure at the joint): the greatest a V,
    that of 40 mm, times 1 + |r| of both joints."""
    areas = [np.pi / 4 * bore**2 for bore in (0.050, 0.040, 0.060)]
    velocities = [0.001 / area for area in areas]
    back = [abs(velocities[1] - velocities[0]) / (velocities[1] + velocities[0]),
            abs(velocities[2] - velocities[1]) / (velocities[2] + velocities[1])]  # fmt: skip
    rise = 1000 * 400 * velocities[1] * (1 + back[0]) * (1 + back[1]) / 1e5
    pipe = {"length": 100, "bore": 50, "wave_speed": 400, "length_2": 80, "bore_2": 40, "wave_speed_2": 400}
    three = pipe | {"length_3": 60, "bore_3": 60, "wave_speed_3": 400}
    assert hydrofunc.surge_pressure(1, 0, **three) == pytest.approx(rise, rel=1e-12)
    assert hydrofunc.surge_pressure(1, 0, **pipe) == pytest.approx(
        1000 * 400 * velocities[1] * (1 + back[0]) / 1e5, rel=1e-12
    )
    same = three | {"bore_2": 50, "bore_3": 50}
    assert hydrofunc.surge_pressure(1, 0, **same) == pytest.approx(1000 * 400 * velocities[0] / 1e5, rel=1e-12), (
        "no joint"
    )


def test_the_slow_stop_counts_the_water_above_the_point_in_all_sections():
    """Michaud, 2 rho sum(L V) / T: at 140 m that of 100 m of 50 mm and 40 m of 40 mm; nothing at the intake."""
    upper, lower = (0.001 / (np.pi / 4 * bore**2) for bore in (0.050, 0.040))
    line = {"length": 100, "bore": 50, "wave_speed": 400, "length_2": 80, "bore_2": 40, "wave_speed_2": 350}
    rises = hydrofunc.surge_pressure(1, 10, **line, chainage=np.array([0, 50, 140, 180, 1000]))
    columns = np.array([0, 50 * upper, 100 * upper + 40 * lower, *[100 * upper + 80 * lower] * 2])
    assert rises.tolist() == pytest.approx((2 * 1000 * columns / 10 / 1e5).tolist(), rel=1e-12)
    assert hydrofunc.critical_time(100, 400, 80, 350) == pytest.approx(2 * (100 / 400 + 80 / 350), rel=1e-12)


def test_closing_just_as_slowly_as_is_safe_raises_the_pressure_just_to_what_is_allowed():
    """In three sections. A stop in the critical time is still a sudden one; what that may do needs no time at all."""
    line = {"length": 100, "bore": 50, "wave_speed": 400, "length_2": 80, "bore_2": 40, "wave_speed_2": 350}
    line |= {"length_3": 60, "bore_3": 60, "wave_speed_3": 500}
    slow = hydrofunc.safe_closing_time(1.0, 1, **line)
    assert slow > hydrofunc.critical_time(100, 400, 80, 350, 60, 500)
    assert hydrofunc.surge_pressure(1, slow, **line) == pytest.approx(1.0, rel=1e-12)
    sudden = hydrofunc.surge_pressure(1, 0, **line)
    assert hydrofunc.safe_closing_time(sudden * 1.0001, 1, **line) == 0
    just = hydrofunc.safe_closing_time(sudden * 0.9999, 1, **line)
    assert just >= hydrofunc.critical_time(100, 400, 80, 350, 60, 500)


def test_what_feels_the_whole_stop_is_counted_from_the_lower_end_through_every_section():
    """A wave goes up for half of what is missing to the critical time: 0.1 s of 500 m/s, then 0.05 s of 350 m/s."""
    critical = hydrofunc.critical_time(100, 400, 80, 350, 50, 500)
    assert hydrofunc.full_surge_length(critical - 0.3, 100, 400, 80, 350, 50, 500) == pytest.approx(
        50 + 0.05 * 350, rel=1e-9
    )
    assert hydrofunc.full_surge_length(critical - 0.1, 100, 400, 80, 350, 50, 500) == pytest.approx(
        0.05 * 500, rel=1e-9
    )
    assert hydrofunc.full_surge_length(0, 100, 400, 80, 350, 50, 500) == pytest.approx(230, rel=1e-12)
    assert hydrofunc.full_surge_length(critical, 100, 400, 80, 350, 50, 500) == pytest.approx(0, abs=1e-9)
