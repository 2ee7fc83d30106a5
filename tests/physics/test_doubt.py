"""Draws on a lattice, against what is known of sums, products and normal distributions, and against plain draws."""

import numpy as np
import pytest
import scipy.special
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc
from hydrofunc.catalogue.plant import _SITE_A
from hydrofunc.errors import InputError
from hydrofunc.physics import doubt

SITE = {**_SITE_A, "available_flow": 2.2, "alignment": 0.85, "deflection": 165, "cup_friction": 0.88}
LINES = [
    ("gross_head", 5.0, "normal", 1.0),
    ("available_flow", 2.2, "lognormal", 1.0),
    ("roughness", 0.6, "lognormal", 1.0),
    ("nozzle", 3.0, "lognormal", 1.0),
    ("pitch_diameter", 40.0, "lognormal", 1.0),
    ("alignment", 0.15, "rectangular", 1.0),
    ("phase_volts", 8.0, "lognormal", 1.0),
    ("battery_volts", 2.0, "normal", 1.0),
]


def test_no_curves_of_two_lines_look_alike():
    """Correlation of polynomials up to the fourth degree, of any two of thirty lines."""
    curves = doubt._CURVES[doubt.places(30)]
    together = np.einsum("ipa,jpb->ijab", curves, curves) / doubt.POINTS
    others = together[~np.eye(30, dtype=bool)]
    assert abs(others).max() < 0.08 and np.sqrt((others**2).mean()) < 0.014 < doubt.POINTS**-0.5


def test_each_line_takes_every_place_once():
    assert all(doubt.POINTS % factor for factor in range(2, 46)), "a prime"
    assert all(sorted(row) == list(range(doubt.POINTS)) for row in doubt.places(40).tolist())


def one(name, half, spread, value, number=0, count=30):
    """Draws of one of many lines."""
    lines = [doubt.Line("other", "normal", (-np.inf, np.inf))] * count
    lines[number] = doubt.Line(name, spread, (-np.inf, np.inf))
    halves = np.zeros(count)
    halves[number] = half
    known = {"other": np.array(1.0), name: np.array(value)}
    return doubt.drawn(known, lines, halves, np.ones(count))[name].ravel()


@given(st.integers(0, 29), st.floats(0.5, 500), st.floats(0.001, 0.3))
def test_what_is_drawn_has_the_distribution_that_is_said(number, value, share):
    """95 of 100 normal draws within the half, all rectangular ones, lognormal ones between value / f and value f."""
    half = share * value
    normal = one("x", half, "normal", value, number)
    assert normal.mean() == pytest.approx(value) and normal.std() == pytest.approx(half / 1.96, rel=0.005)
    assert np.mean(abs(normal - value) <= half) == pytest.approx(0.95, abs=0.001)
    even = one("x", half, "rectangular", value, number)
    assert even.std() == pytest.approx(half / 3**0.5, rel=0.001)
    assert value - half < even.min() and even.max() < value + half
    skewed = one("x", half, "lognormal", value, number)
    assert np.median(skewed) == pytest.approx(value, rel=1e-6)
    inside = (skewed >= value / (1 + share)) & (skewed <= value * (1 + share))
    assert np.mean(inside) == pytest.approx(0.95, abs=0.001)


def test_sums_have_the_variance_and_the_shares_of_the_gum():
    """Of y = sum c x the variances add up (JCGM 100:2008, 5.1.2), and each share is its part of the sum."""
    count, slopes = 12, np.array([5, 4, 3, 2, 1, 0.5, -5, -4, -3, -2, -1, 0.0])
    scores = np.array([scipy.special.ndtri((row + 0.5) / doubt.POINTS) for row in doubt.places(count)])
    found = doubt.summary(slopes @ scores + 100, count)
    variance = slopes @ slopes
    assert found.mean == pytest.approx(100, abs=0.02)
    assert found.standard_uncertainty**2 == pytest.approx(variance, rel=0.01)
    assert found.shares == pytest.approx(slopes**2 / variance, abs=0.004)
    assert found.parts == pytest.approx(slopes, rel=1e-3, abs=1e-9)
    for end, sign in ((found.low, -1), (found.high, 1)):
        assert end == pytest.approx(100 + sign * 1.96 * variance**0.5, rel=0.01)


def test_a_bend_is_seen_where_the_slope_is_nothing():
    """Of y = x² + 2 z the first explains 2 of 6 (moments of the normal), though no slope shows it."""
    x, z = scipy.special.ndtri((doubt.places(2) + 0.5) / doubt.POINTS)
    found = doubt.summary(x**2 + 2 * z, 2)
    assert found.shares == pytest.approx([2 / 6, 4 / 6], abs=0.02)
    assert found.parts == pytest.approx([0, 2], abs=0.05)


def test_what_acts_only_together_is_nobodys_share():
    """Of y = x z neither explains anything by itself: shares then add up to less than 1."""
    x, z = scipy.special.ndtri((doubt.places(2) + 0.5) / doubt.POINTS)
    assert doubt.summary(x * z, 2).shares.sum() < 0.01


def plain_draws(count=200_000, seed=3):
    """Watts of as many plants drawn by chance, each line by itself."""
    chance, values = np.random.default_rng(seed), dict(SITE)
    for name, half, spread, _ in LINES:
        value, score = SITE[name], chance.standard_normal(count)
        if spread == "lognormal":
            values[name] = value * (1 + half / value) ** (score / 1.96)
        elif spread == "normal":
            values[name] = value + half / 1.96 * score
        else:
            values[name] = value + half * chance.uniform(-1, 1, count)
    values["alignment"] = np.minimum(values["alignment"], 1)
    values["roughness"] = np.minimum(values["roughness"], values["bore"] / 20)
    return hydrofunc.plant(values).battery_watts


def test_a_whole_plant_is_as_plain_draws_have_it():
    watts = plain_draws()
    said = {what: hydrofunc.doubt(SITE, what, LINES) for what in ("mean", "standard_uncertainty", "median")}
    assert said["mean"] == pytest.approx(watts.mean(), rel=0.01)
    assert said["standard_uncertainty"] == pytest.approx(watts.std(), rel=0.02)
    assert said["median"] == pytest.approx(np.median(watts), rel=0.03)
    low, high = (hydrofunc.doubt(SITE, end, LINES) for end in ("low", "high"))
    assert low == 0 == np.quantile(watts, 0.025), "a plant so little known may give nothing"
    assert np.mean(watts <= high) == pytest.approx(0.975, abs=0.003)


def test_what_is_certain_leaves_the_watts_of_the_plant():
    certain = [(name, 0.0, spread, 1.0) for name, _, spread, _ in LINES]
    watts = hydrofunc.plant(SITE).battery_watts
    for what in ("mean", "low", "median", "high"):
        assert hydrofunc.doubt(SITE, what, certain) == pytest.approx(watts, rel=1e-12)
    assert hydrofunc.doubt(SITE, "standard_uncertainty", certain) == pytest.approx(0, abs=1e-9)
    assert hydrofunc.doubt(SITE, "share", certain, 2) == 0


def test_scenarios_together_are_each_by_itself():
    volts, halves = np.array([26.0, 54.0, 60.0]), np.array([0.1, 3.0, 8.0])
    lines = [("nozzle", halves, "lognormal", 1.0), *LINES[:2]]
    together = hydrofunc.doubt(SITE | {"battery_volts": volts}, "high", lines)
    alone = [
        hydrofunc.doubt(SITE | {"battery_volts": v}, "high", [("nozzle", h, "lognormal", 1.0), *LINES[:2]])
        for v, h in zip(volts, halves)
    ]
    assert together == pytest.approx(alone, rel=1e-12)


def test_a_fitted_nozzle_goes_with_the_water_as_far_as_the_pipe_can_use_it():
    """Own rule, no published source: area in proportion to the flow, and never more than the pipe passes best."""
    most = hydrofunc.plant({name: v for name, v in SITE.items() if name != "available_flow"}).best_nozzle_flow
    assert doubt.suited(0.8, 0.2, most) == pytest.approx(2)
    assert doubt.suited(9 * most, most, most) == 1
    flow = ("available_flow", 8.0, "lognormal", 1.0)
    loose, fitted = (hydrofunc.doubt(SITE, "mean", [flow, ("nozzle", 2.0, s, 1.0)]) for s in ("lognormal", "fitted"))
    assert fitted > 1.1 * loose, "a nozzle made for the water there wastes less of it than any other"


def test_a_middle_above_1_is_a_value_on_the_careful_side():
    plain, shifted = (
        hydrofunc.doubt(_SITE_A, "mean", [("gross_head", 5.0, "normal", middle)]) for middle in (1.0, 1.2)
    )
    higher = hydrofunc.doubt({**_SITE_A, "gross_head": 120}, "mean", [("gross_head", 6.0, "normal", 1.0)])
    assert shifted == pytest.approx(higher, rel=1e-12) and shifted > plain


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        ([("head", 5.0, "normal", 1.0)], "head"),
        ([("gross_head", 5.0, "even", 1.0)], "even"),
        ([("gross_head", 5.0, "fitted", 1.0)], "only a nozzle"),
        ([("gross_head", -5.0, "normal", 1.0)], "halves"),
        ([("gross_head", 5.0, "normal", 0.0)], "middles"),
        ([("gross_head", 5.0, "normal")], "four columns"),
        ([], "four columns"),
    ],
)
def test_what_is_no_line_is_refused_with_its_reason(lines, words):
    with pytest.raises(InputError, match=words):
        hydrofunc.doubt(SITE, "mean", lines)


def test_a_line_that_is_not_there_has_no_share():
    with pytest.raises(InputError):
        hydrofunc.doubt(SITE, "share", LINES, 9)
