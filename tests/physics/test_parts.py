"""Mass of pipe and cable; what energy costs."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc
from hydrofunc.physics import fittings
from hydrofunc.physics.parts import PIPE_DENSITY

YEARS, RATE = st.integers(1, 60), st.floats(0, 30)


def test_every_pipe_material_has_a_density():
    """The words of the roughness table, which the sheets use for both."""
    assert set(PIPE_DENSITY) == set(fittings.MATERIALS)


@given(st.floats(5, 400), st.floats(0.01, 0.5), st.floats(0, 5000), st.sampled_from(sorted(PIPE_DENSITY)))
def test_a_pipe_weighs_the_ring_of_its_wall(outside, share, length, material):
    """Area of the outer circle less that of the bore."""
    wall = share * outside
    ring = np.pi / 4 * (outside**2 - (outside - 2 * wall) ** 2) * 1e-6
    assert hydrofunc.pipe_mass(outside, wall, length, material) == pytest.approx(
        ring * length * PIPE_DENSITY[material], rel=1e-9, abs=1e-9
    )


def test_a_wall_thicker_than_the_pipe_is_refused():
    with pytest.raises(hydrofunc.InputError, match="wall: must be at most half the outside diameter"):
        hydrofunc.pipe_mass(20, 11, 1, "steel")


def test_aluminium_of_the_same_resistance_weighs_half():
    """1.64 times the area at 0.304 of the density."""
    area = 16 * hydrofunc.cable_resistance(1, 16, "aluminium") / hydrofunc.cable_resistance(1, 16, "copper")
    ratio = hydrofunc.cable_mass(50, area, "aluminium") / hydrofunc.cable_mass(50, 16, "copper")
    assert ratio == pytest.approx(0.4984, abs=0.001)


@given(YEARS, RATE)
def test_the_yearly_payment_ends_the_debt_with_the_last_year(years, interest):
    """The debt stepped year by year, as a bank keeps it."""
    debt, payment = 1.0, hydrofunc.capital_recovery(years, interest) / 100
    for _ in range(years):
        debt = debt * (1 + interest / 100) - payment
    assert debt == pytest.approx(0, abs=1e-9 * (1 + interest / 100) ** years)


@given(st.integers(1, 20), YEARS, RATE)
def test_what_is_laid_aside_buys_every_battery(every, years, interest):
    """An account that earns interest and pays each purchase is empty after the last, none being at the very end."""
    account = laid_aside = hydrofunc.replacement_worth(100, every, years, interest)
    bought = 0
    for year in range(1, years):
        account *= 1 + interest / 100
        if year % every == 0:
            account -= 100
            bought += 1
    grown = (1 + interest / 100) ** years
    assert account == pytest.approx(0, abs=1e-7 * grown)
    assert laid_aside <= 100 * bought + 1e-9
    assert (laid_aside == 0) == (bought == 0)


@given(st.floats(100, 1e5), st.floats(1, 60), st.floats(0.001, 30))
def test_a_gain_that_just_recovers_the_capital_pays_it_back_at_the_end(capital, years, interest):
    """Payback is the inverse of capital recovery."""
    gain = capital * hydrofunc.capital_recovery(years, interest) / 100
    assert hydrofunc.payback_time(capital, gain, interest) == pytest.approx(years, rel=1e-6)


def test_no_interest_is_the_limit_of_little_interest():
    for call in (
        lambda i: hydrofunc.capital_recovery(20, i),
        lambda i: hydrofunc.replacement_worth(600, 7, 20, i),
        lambda i: hydrofunc.payback_time(5000, 600, i),
        lambda i: hydrofunc.energy_cost(5000, 100, 1500, 20, i),
    ):
        assert call(0) == pytest.approx(call(1e-9), rel=1e-6)


def test_what_never_pays_back_is_refused_and_spoils_no_neighbour():
    with pytest.raises(hydrofunc.InputError, match="yearly_gain: must be more than a year's interest"):
        hydrofunc.payback_time(5000, 250, 5)
    years = hydrofunc.payback_time(5000, np.array([250.0, 251.0, 1000.0]), 5)
    assert np.isnan(years).tolist() == [True, False, False] and np.all(np.diff(years[1:]) < 0)


def test_half_the_energy_costs_twice_as_much_each():
    one = hydrofunc.energy_cost(5000, 100, 1500, 20)
    assert hydrofunc.energy_cost(5000, 100, 750, 20) == pytest.approx(2 * one, rel=1e-12)
    parts = hydrofunc.energy_cost(5000, 0, 1500, 20) + hydrofunc.energy_cost(0, 100, 1500, 20)
    assert parts == pytest.approx(one, rel=1e-12)
