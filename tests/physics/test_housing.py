"""The box round the wheel and its outlet."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad

import hydrofunc
from hydrofunc.physics import housing

kinds, widths, levels = st.sampled_from(housing.OUTLETS), st.floats(10, 1000), st.floats(2, 2000)
blocked = st.floats(0, 90)


@given(levels, kinds, widths, st.floats(10, 500), blocked)
def test_level_and_width_undo_the_flow(level, outlet, width, height, share):
    shape = {"opening_height": height, "blocked_share": share}
    flow = hydrofunc.outlet_flow(level, outlet, width, **shape)
    assume(flow <= 1000)  # the most that is allowed
    assert hydrofunc.outlet_level(flow, outlet, width, **shape) == pytest.approx(level, rel=1e-9)
    assert hydrofunc.outlet_width(flow, outlet, level, **shape) == pytest.approx(width, rel=1e-9)


@given(st.floats(0.001, 2), st.floats(0.01, 1))
def test_a_round_hole_passes_the_sum_of_its_strips(level, diameter):
    def strip(height):
        return 2 * np.sqrt(height * (diameter - height)) * np.sqrt(2 * 9.81 * (level - height))

    exact = 0.61 * quad(strip, 0, min(level, diameter), epsabs=1e-15, epsrel=1e-10, limit=200)[0]
    assert housing.outlet_flow(level, "round hole", diameter, np.inf, 0.0, 0.61, 9.81) == pytest.approx(exact, rel=1e-8)


@given(st.floats(20, 100), st.floats(20, 50))
def test_a_hole_far_under_water_follows_torricelli(diameter, times):
    """The strips then all feel nearly the head over the centre."""
    level = times * diameter
    flow = hydrofunc.outlet_flow(level, "round hole", diameter)
    assert hydrofunc.hole_head(flow, diameter) == pytest.approx(level - diameter / 2, rel=1e-3)


@given(st.floats(1, 500), widths, st.floats(1, 500))
def test_a_slot_not_yet_covered_is_a_weir(level, width, more):
    uncovered = hydrofunc.outlet_flow(level, "slot", width, opening_height=level + more)
    assert uncovered == pytest.approx(hydrofunc.outlet_flow(level, "slot", width), rel=1e-12)
    assert hydrofunc.outlet_flow(2 * level, "slot", width) == pytest.approx(2**1.5 * uncovered, rel=1e-9)


@given(kinds, widths, st.floats(0.05, 5), blocked)
def test_leaves_raise_the_water(outlet, width, flow, share):
    clean, blocked = hydrofunc.outlet_level(flow, outlet, width, 200, [0, share])
    assume(np.isfinite(blocked))  # a kilometre of water is refused
    assert blocked >= clean * (1 - 1e-12)
    area = hydrofunc.outlet_level(flow, "slot", [width * (1 - share / 100)], 200)
    assert hydrofunc.outlet_level(flow, "slot", [width], 200, share) == pytest.approx(area, rel=1e-9, nan_ok=True)


@given(st.floats(1, 10), st.floats(100, 500))
def test_water_that_hardly_stands_over_a_floor_hole_falls_over_its_rim_as_over_a_slot_as_long(level, diameter):
    over_the_rim = hydrofunc.outlet_flow(level, "slot", np.pi * diameter, opening_height=1000)
    assert hydrofunc.outlet_flow(level, "floor hole", diameter) == pytest.approx(over_the_rim, rel=1e-12)


def test_the_floor_hole_is_a_weir_first_and_a_hole_then():
    low, high = hydrofunc.outlet_flow(np.array([5.0, 10.0]), "floor hole", 100)
    assert high / low == pytest.approx(2**1.5)
    low, high = hydrofunc.outlet_flow(np.array([200.0, 400.0]), "floor hole", 100)
    assert high / low == pytest.approx(2**0.5)


def test_no_water_no_level():
    for outlet in housing.OUTLETS:
        assert hydrofunc.outlet_level(0, outlet, 100) == 0 == hydrofunc.outlet_width(0, outlet, 50)


def test_a_bad_element_leaves_its_neighbours_alone():
    levels = hydrofunc.outlet_level(np.array([1.0, np.nan, 2.0]), np.array(["slot", "round hole", "floor hole"]), 80)
    assert np.isnan(levels).tolist() == [False, True, False]
    assert levels[2] == pytest.approx(hydrofunc.outlet_level(2.0, "floor hole", 80), rel=1e-14)


@pytest.mark.parametrize("outlet", housing.OUTLETS)
def test_the_search_is_given_the_true_slopes(outlet):
    """Wrong ones would end at the right level too, only later: so by differences, shallow and deep water at once."""
    level, width = np.array([0.01, 0.04, 0.15, 0.6]), 0.1
    rest = outlet, width, 0.05, 0.61, 9.81
    _, by_level, by_width = housing._passed(level, *rest)
    step = 1e-6

    def slope(change):
        return (change(step) - change(-step)) / (2 * step)

    levels = slope(lambda s: housing._passed(level * np.exp(s), *rest)[0])
    widths = slope(lambda s: housing._passed(level, outlet, width * np.exp(s), *rest[2:])[0])
    assert by_level == pytest.approx(levels, rel=1e-5)
    assert by_width == pytest.approx(widths, rel=1e-5)
