"""Draws have the distributions they name; shares and bands are those of scipy and of algebra."""

import math

import numpy as np
import pytest
from scipy import stats

from hydrofunc.jobs.draws import band, draw, variance_share

MANY = 20_000


def chance(seed=7):
    return np.random.default_rng(seed)


@pytest.mark.parametrize(
    ("kind", "limits", "reference"),
    [
        ("normal", {}, stats.norm(0.85, 0.1 / 1.96)),
        (
            "normal",
            {"low": 0.0, "high": 0.9},
            stats.truncnorm(-0.85 / (0.1 / 1.96), 0.05 / (0.1 / 1.96), 0.85, 0.1 / 1.96),
        ),
        ("rectangular", {}, stats.uniform(0.75, 0.2)),
        ("rectangular", {"high": 0.9}, stats.uniform(0.75, 0.15)),
        ("lognormal", {}, stats.lognorm(math.log(0.95 / 0.85) / 1.96, scale=0.85)),
    ],
)
def test_draws_have_the_distribution_they_name(kind, limits, reference):
    """Kolmogorov and Smirnov's test finds no difference, with limits or without (scipy 1.17)."""
    drawn = draw(chance(), MANY, 0.85, 0.1, kind, **limits)
    assert stats.kstest(drawn, reference.cdf).pvalue > 0.01
    assert stats.kstest(drawn + 0.003, reference.cdf).pvalue < 0.01, "a small shift would be seen"


def test_the_half_width_holds_95_of_100_and_a_factor_of_two_is_plus_100_percent():
    """The words on the sheet: normal within ±, lognormal from half to twice."""
    inside = np.abs(draw(chance(), MANY, 60.0, 3.0, "normal") - 60) <= 3
    assert inside.mean() == pytest.approx(0.95, abs=0.005)
    rough = draw(chance(), MANY, 0.007, 0.007, "lognormal")
    assert ((rough >= 0.0035) & (rough <= 0.014)).mean() == pytest.approx(0.95, abs=0.005)


def test_what_is_certain_is_not_drawn():
    """Half-width 0: the value, in every kind; also a lognormal of 0."""
    for kind in ("normal", "rectangular", "lognormal"):
        assert (draw(chance(), 50, 1.5, 0.0, kind) == 1.5).all()
    assert (draw(chance(), 50, 0.0, 0.0, "lognormal") == 0).all()


def test_many_sites_are_drawn_at_once():
    """Values and half-widths in a column, draws along the row."""
    drawn = draw(
        chance(),
        (3, MANY),
        np.array([[1.0], [10.0], [100.0]]),
        np.array([[0.1], [1.0], [0.0]]),
        "normal",
        high=10.0 * 11,
    )
    assert drawn.mean(axis=1) == pytest.approx([1, 10, 100], rel=0.002)
    assert drawn.std(axis=1) == pytest.approx([0.1 / 1.96, 1 / 1.96, 0], rel=0.03)


def test_an_unknown_kind_and_limits_that_leave_nothing_are_errors():
    with pytest.raises(ValueError, match="no kind"):
        draw(chance(), 10, 1.0, 0.1, "triangular")
    with pytest.raises(ValueError, match="nothing between"):
        draw(chance(), 10, 1.0, 0.1, "rectangular", low=2.0, high=3.0)


def test_zero_itself_is_left_out_where_it_is_not_allowed():
    """A battery voltage is above 0, a drag may be 0."""
    assert (draw(chance(), MANY, 0.1, 0.5, "normal", low=0.0, low_in=False) > 0).all()
    assert (draw(chance(), 5, 0.0, 0.0, "normal", low=0.0) == 0).all()
    with pytest.raises(ValueError, match="nothing between"):
        draw(chance(), 5, 0.0, 0.0, "normal", low=0.0, low_in=False)


def ishigami(x, a=7.0, b=0.1):
    return np.sin(x[0]) + a * np.sin(x[1]) ** 2 + b * x[2] ** 4 * np.sin(x[0])


def test_shares_of_variance_are_those_of_sobol():
    """Ishigami's function: bent, and not monotonic, so that no correlation finds the second input.

    The exact first-order shares by algebra, and scipy 1.17's sobol_indices for the function.
    """
    x = chance().uniform(-np.pi, np.pi, (3, MANY))
    found = [variance_share(each, ishigami(x)) for each in x]
    whole = 7**2 / 8 + 0.1 * np.pi**4 / 5 + 0.1**2 * np.pi**8 / 18 + 0.5
    exact = [0.5 * (1 + 0.1 * np.pi**4 / 5) ** 2 / whole, 7**2 / 8 / whole, 0.0]
    assert found == pytest.approx(exact, abs=0.01)
    spread = stats.uniform(-np.pi, 2 * np.pi)
    theirs = stats.sobol_indices(func=ishigami, n=4096, dists=[spread] * 3, rng=chance())
    assert found == pytest.approx(theirs.first_order, abs=0.02)


def test_shares_of_a_sum_are_the_shares_of_its_terms():
    """And an input that does nothing has none, though chance alone lets the classes differ."""
    a, b, idle = chance().normal(size=(3, MANY))
    assert [variance_share(each, 3 * a + b) for each in (a, b, idle)] == pytest.approx([0.9, 0.1, 0], abs=0.01)
    assert variance_share(np.ones(MANY), a) == 0 and variance_share(a, np.ones(MANY)) == 0


def test_a_band_holds_its_share():
    assert band(np.arange(1001.0)) == pytest.approx((25, 500, 975))
    assert np.shape(band(np.zeros((4, 100)), 0.9)) == (3, 4)
