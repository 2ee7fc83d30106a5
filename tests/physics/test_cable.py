"""Two-wire cables: resistance, drop and heat."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc


@given(st.floats(0.1, 5000), st.floats(0.2, 300), st.floats(-40, 90), st.sampled_from(["copper", "aluminium"]))
def test_resistance_grows_with_length_and_warmth_and_falls_with_area(length, area, warm, material):
    here = hydrofunc.cable_resistance(length, area, material, warm)
    assert hydrofunc.cable_resistance(2 * length, area, material, warm) == pytest.approx(2 * here, rel=1e-12)
    assert hydrofunc.cable_resistance(length, 2 * area, material, warm) == pytest.approx(here / 2, rel=1e-12)
    assert hydrofunc.cable_resistance(length, area, material, min(warm + 1, 90)) >= here


@given(st.floats(0, 500), st.floats(0, 10))
def test_the_heat_is_the_drop_times_the_current(current, resistance):
    drop = hydrofunc.cable_drop(current, resistance)
    assert hydrofunc.cable_loss(current, resistance) == pytest.approx(drop * current, rel=1e-12)


def test_a_cable_sold_by_size_resists_more_than_its_size_says():
    sizes = np.array([1.5, 2.5, 4, 6, 10, 16, 25, 35, 50])
    for strands, most in (("2", 1.13), ("5", 1.20)):
        ratio = hydrofunc.cable_class_resistance(100, sizes, strands) / hydrofunc.cable_resistance(100, sizes)
        assert np.all(ratio > 1.04) and np.all(ratio < most)


def test_the_class_may_be_a_number_or_differ_from_cell_to_cell():
    assert hydrofunc.cable_class_resistance(500, 10, 5) == pytest.approx(1.91, rel=1e-12)
    mixed = hydrofunc.cable_class_resistance(500, 10, np.array(["2", "5"], dtype=object))
    assert mixed == pytest.approx([1.83, 1.91], rel=1e-12)


def test_a_size_that_is_not_made_is_refused_and_the_sizes_are_told():
    with pytest.raises(hydrofunc.InputError, match=r"cable_size: 12 is not allowed; it must be one of 1\.5, 2\.5, 4"):
        hydrofunc.cable_class_resistance(60, 12)
    some = hydrofunc.cable_class_resistance(60, np.array([2.5, 12, 16, 70]))
    assert np.isnan(some).tolist() == [False, True, False, True]
    assert some[2] == hydrofunc.cable_class_resistance(60, 16)


def test_three_gauges_halve_the_area_but_for_a_little():
    """39 steps of gauge divide the diameter by 92 (ASTM B258)."""
    assert hydrofunc.awg_area(-3) / hydrofunc.awg_area(36) == pytest.approx(92**2, rel=1e-12)
    assert hydrofunc.awg_area(7) / hydrofunc.awg_area(10) == pytest.approx(2, rel=0.01)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: hydrofunc.cable_resistance(60, 0), "area"),
        (lambda: hydrofunc.cable_resistance(60, 16, "steel"), "material"),
        (lambda: hydrofunc.cable_resistance(60, 16, "copper", 120), "conductor_temperature"),
        (lambda: hydrofunc.cable_class_resistance(60, 16, "1"), "strand_class"),
        (lambda: hydrofunc.cable_class_resistance(60, 120), "cable_size"),
        (lambda: hydrofunc.awg_area(-4), "gauge"),
        (lambda: hydrofunc.cable_drop(-1, 0.1), "current"),
    ],
)
def test_the_argument_to_blame_is_named(call, argument):
    with pytest.raises(hydrofunc.InputError) as error:
        call()
    assert error.value.argument == argument
