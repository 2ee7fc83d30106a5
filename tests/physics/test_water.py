"""Water, gravity and air, beside formulas of other authors."""

import fluids
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc

WARMTH = np.linspace(0, 40, 401)  # °C
altitudes = st.floats(-299, 9000)


def test_density_agrees_with_the_formula_of_kell():
    """G. S. Kell, J. Chem. Eng. Data 20 (1975) 97, equation for 0 to 150 °C; from memory, not looked up."""
    t = WARMTH
    kell = (
        999.83952
        + 16.945176 * t
        - 7.9870401e-3 * t**2
        - 46.170461e-6 * t**3
        + 105.56302e-9 * t**4
        - 280.54253e-12 * t**5
    ) / (1 + 16.879850e-3 * t)
    assert np.abs(hydrofunc.density(t) - kell).max() < 0.01


def test_water_is_heaviest_near_four_degrees():
    assert abs(WARMTH[np.argmax(hydrofunc.density(WARMTH))] - 4.0) < 0.06


def test_viscosity_agrees_with_the_formula_of_kestin():
    """J. Kestin, M. Sokolov & W. A. Wakeham, J. Phys. Chem. Ref. Data 7 (1978) 941; from memory,
    not looked up."""
    cold = 20 - WARMTH
    dynamic = 1.002e-3 * 10 ** (cold / (WARMTH + 96) * (1.2364 - 1.37e-3 * cold + 5.7e-6 * cold**2))
    ours = hydrofunc.kinematic_viscosity(WARMTH) * 1e-6 * hydrofunc.density(WARMTH)
    assert np.abs(ours / dynamic - 1).max() < 2e-3


def test_warm_water_is_thinner():
    assert np.all(np.diff(hydrofunc.kinematic_viscosity(WARMTH)) < 0)


def test_vapour_pressure_at_the_triple_point():
    """611.657 Pa at 273.16 K: IAPWS R7-97, region 4; from memory, not looked up."""
    assert hydrofunc.vapour_pressure(0.01) == pytest.approx(0.00611657, rel=2e-5)


def test_vapour_pressure_rises_by_the_law_of_clausius_and_clapeyron():
    """d ln p / d(1/T) = -latent heat / gas constant of steam: 2501 - 2.36 t kJ/kg and 0.4615 kJ/(kg K),
    from memory, not looked up."""
    step = 0.01
    kelvin = WARMTH[1:-1] + 273.15
    up, down = (np.log(hydrofunc.vapour_pressure(WARMTH[1:-1] + s)) for s in (step, -step))
    slope = (up - down) / (1 / (kelvin + step) - 1 / (kelvin - step))
    assert np.abs(slope / (-(2501 - 2.36 * WARMTH[1:-1]) / 0.4615) - 1).max() < 5e-3


@given(st.floats(-90, 90), altitudes)
def test_gravity_is_the_same_north_and_south_and_weaker_higher_up(latitude, altitude):
    here = hydrofunc.gravity(latitude, altitude)
    assert here == hydrofunc.gravity(-latitude, altitude)
    assert 9.75 < here < hydrofunc.gravity(latitude, altitude / 2 - 250) < 9.84


def test_gravity_falls_by_three_millionths_a_metre():
    """The free-air gradient, 3.086e-6 1/s²."""
    fall = hydrofunc.gravity(45, 0) - hydrofunc.gravity(45, 1000)
    assert fall == pytest.approx(3.086e-3, rel=1e-3)


@given(altitudes)
def test_air_pressure_agrees_with_an_independent_standard_atmosphere(altitude):
    """fluids takes geometric altitude and turns it into the geopotential one, of which our formula speaks."""
    ours = hydrofunc.air_pressure(altitude) * 1e5
    earth = 6356766.0
    geometric = earth * altitude / (earth - altitude)
    assert ours == pytest.approx(fluids.ATMOSPHERE_1976(geometric).P, rel=1e-6)


@pytest.mark.parametrize("name", ["density", "kinematic_viscosity", "vapour_pressure"])
def test_an_array_of_temperatures_equals_single_ones(name):
    function = getattr(hydrofunc, name)
    assert function(WARMTH).tolist() == pytest.approx([function(t) for t in WARMTH], rel=1e-14)
    spoilt = function(np.array([10.0, np.nan, 20.0, 41.0]))
    assert np.isnan(spoilt).tolist() == [False, True, False, True]
    assert spoilt[[0, 2]].tolist() == pytest.approx([function(10.0), function(20.0)], rel=1e-14)
