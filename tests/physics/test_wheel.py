"""The Pelton wheel: size, torque line, runaway and losses."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc
from hydrofunc.physics import wheel

WATER = 283.15  # K
NO_DRAG = {"bearing_drag": 0, "windage": 0}
share = st.floats(0.0, 1.0)


@st.composite
def wheels(draw):
    return {
        "flow": draw(st.floats(0.05, 50)),
        "jet_velocity": draw(st.floats(2, 120)),
        "pitch_diameter": draw(st.floats(150, 1000)),
        "deflection": draw(st.floats(90, 180)),
        "cup_friction": draw(share),
        "alignment": draw(st.floats(0.2, 1.0)),
    }


@given(share, st.floats(90, 180), share)
def test_cups_never_take_more_than_the_jet_has(speed_ratio, deflection, cup_friction):
    assert 0 <= hydrofunc.cup_efficiency(speed_ratio, deflection, cup_friction) <= 1


@given(share, st.floats(90, 180), share)
def test_cups_are_best_at_half_the_jet_velocity(speed_ratio, deflection, cup_friction):
    best = hydrofunc.cup_efficiency(0.5, deflection, cup_friction)
    assert hydrofunc.cup_efficiency(speed_ratio, deflection, cup_friction) <= best * (1 + 1e-12)


@given(wheels(), st.floats(0.001, 1))
def test_power_is_jet_power_times_cup_efficiency_times_alignment(site, speed_ratio):
    speed = hydrofunc.runner_speed(site["jet_velocity"], site["pitch_diameter"], speed_ratio)
    power = hydrofunc.wheel_power(speed, **site, **NO_DRAG)
    jet = hydrofunc.density(10) * site["flow"] / 1000 * site["jet_velocity"] ** 2 / 2
    efficiency = hydrofunc.cup_efficiency(speed_ratio, site["deflection"], site["cup_friction"])
    assert power == pytest.approx(jet * efficiency * site["alignment"], rel=1e-9, abs=1e-9 * jet)


@given(wheels(), st.floats(0, 1))
def test_power_taken_and_power_lost_in_the_cups_make_up_the_jet(site, speed_ratio):
    jet_velocity, diameter = site["jet_velocity"], site["pitch_diameter"] / 1000
    speed = 2 * speed_ratio * jet_velocity / diameter
    turn = np.radians(site["deflection"])
    cups = wheel.Wheel(diameter, turn, site["cup_friction"], alignment=1.0, bearing_drag=0.0, windage=0.0)
    arguments = (speed, site["flow"] / 1000, jet_velocity, cups, WATER)
    jet = hydrofunc.density(10) * site["flow"] / 1000 * jet_velocity**2 / 2
    assert wheel.euler_power(*arguments) + wheel.cup_loss(*arguments) == pytest.approx(jet, rel=1e-12)
    assert wheel.cup_loss(*arguments) >= -1e-12 * jet


@given(wheels(), st.floats(0, 2), st.floats(0, 500))
def test_torque_is_zero_at_runaway(site, bearing_drag, windage):
    drags = {"bearing_drag": bearing_drag, "windage": windage}
    stall = hydrofunc.wheel_torque(0.0, **site, **NO_DRAG)
    speed = (
        wheel.runaway_speed.flat(
            site["flow"] / 1000,
            site["jet_velocity"],
            site["pitch_diameter"] / 1000,
            np.radians(site["deflection"]),
            site["cup_friction"],
            site["alignment"],
            bearing_drag,
            windage / (1000 * np.pi / 30) ** 3,
            WATER,
        )
        * 30
        / np.pi
    )
    if stall <= bearing_drag:
        assert speed == 0
    elif speed < 20000:  # the range of the function
        assert hydrofunc.wheel_torque(speed, **site, **drags) == pytest.approx(0, abs=1e-12 * stall)


@given(wheels())
def test_without_drag_the_cups_run_away_as_fast_as_the_jet(site):
    speed = hydrofunc.runaway_speed(**site)
    cup_speed = np.pi * site["pitch_diameter"] / 1000 * speed / 60
    assert cup_speed == pytest.approx(site["jet_velocity"], rel=1e-12)
    working = hydrofunc.runner_speed(site["jet_velocity"], site["pitch_diameter"], 0.46)
    assert speed / working == pytest.approx(1 / 0.46, rel=1e-12)


def test_the_torque_line_is_straight_and_carried_on_below_zero():
    site = {"flow": 2.393304, "jet_velocity": 30.47249, "pitch_diameter": 120}
    runaway = hydrofunc.runaway_speed(**site)
    speeds = np.array([0.0, 0.25, 0.5, 0.75, 1.0, 1.25]) * runaway
    torque = hydrofunc.wheel_torque(speeds, **site, **NO_DRAG)
    assert torque / torque[0] == pytest.approx([1, 0.75, 0.5, 0.25, 0, -0.25], abs=1e-12)


def test_a_jet_too_weak_for_the_bearings_does_not_start_the_wheel():
    assert hydrofunc.runaway_speed(0.1, 5, 100, bearing_drag=5.0) == 0.0
    assert hydrofunc.runaway_speed(0, 30, 120) == 0.0
    assert hydrofunc.runaway_speed(2, 0, 120) == 0.0


def test_speed_and_diameter_undo_each_other():
    speed = hydrofunc.runner_speed(jet_velocity=41.52, pitch_diameter=506.6)
    assert hydrofunc.pitch_diameter(41.52, speed) == pytest.approx(506.6, rel=1e-13)
    assert hydrofunc.speed_ratio(speed, 506.6, 41.52) == pytest.approx(0.46, rel=1e-13)


def test_the_speed_ratio_of_many_books_is_another_one():
    """Trap: 0.45 × sqrt(2 g H) is more than 0.45 × the jet velocity (A. V. Arasu, Turbomachines, Ex. 9.6)."""
    ideal = np.sqrt(2 * 9.81 * 60)
    book = hydrofunc.pitch_diameter(0.98 * ideal, 200, 0.45 / 0.98)
    assert book == pytest.approx(1474.4, abs=0.5)
    assert abs(hydrofunc.pitch_diameter(0.98 * ideal, 200, 0.45) - 1474.4) > 25


def test_a_whole_cup_count_is_not_rounded_up_by_noise():
    diameters = np.arange(2, 41) * 2 * 0.1  # mm; D / 2d is a whole number but for rounding
    counts = hydrofunc.cup_count(diameters * 100, 10)
    assert np.array_equal(counts, 15 + np.arange(2, 41))
    assert hydrofunc.cup_count(1000.1, 100) == 21


def test_one_bad_wheel_does_not_spoil_its_neighbours():
    flows = np.array([2.0, -1.0, np.nan, 3.0])
    torque = hydrofunc.wheel_torque(1500, flows, 30, 120)
    assert np.isnan(torque).tolist() == [False, True, True, False]
    assert torque[0] == hydrofunc.wheel_torque(1500, 2.0, 30, 120)
    assert torque[3] == hydrofunc.wheel_torque(1500, 3.0, 30, 120)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: hydrofunc.runner_speed(30, 0), "pitch_diameter"),
        (lambda: hydrofunc.runner_speed(30, 120, 1.2), "speed_ratio"),
        (lambda: hydrofunc.pitch_diameter(30, 0), "speed"),
        (lambda: hydrofunc.cup_efficiency(0.5, 80), "deflection"),
        (lambda: hydrofunc.cup_efficiency(0.5, 165, 1.1), "cup_friction"),
        (lambda: hydrofunc.cup_width(10, 6), "width_factor"),
        (lambda: hydrofunc.specific_speed(1000, 2, 0), "net_head"),
    ],
)
def test_the_argument_to_blame_is_named(call, argument):
    with pytest.raises(hydrofunc.InputError) as error:
        call()
    assert error.value.argument == argument
