"""The one solver: roots of known functions, ends, jumps, noise, and lanes that settle at different times."""

from typing import NamedTuple

import numpy as np
import pytest
from scipy.optimize import brentq

from hydrofunc.physics.roots import bracketed_root, positive_root


class Cubic(NamedTuple):
    """x³ + linear x - constant, which rises where `linear` is not below 0."""

    linear: np.ndarray
    constant: np.ndarray


def cubic(x, shape):
    return x**3 + shape.linear * x - shape.constant, 3 * x**2 + shape.linear


def test_ten_thousand_cubics_against_their_closed_form():
    """The one real root by hyperbolic functions; from flat to steep, so that lanes settle after different numbers of
    steps.
    """
    rng = np.random.default_rng(41)
    linear, constant = 10 ** rng.uniform(-3, 3, 10_000), 10 ** rng.uniform(-3, 3, 10_000)
    wanted = 2 * np.sqrt(linear / 3) * np.sinh(np.arcsinh(1.5 * constant / linear * np.sqrt(3 / linear)) / 3)
    root = bracketed_root(cubic, 0.0, 10.0, 9.0, Cubic(linear, constant))
    assert np.abs(cubic(root, Cubic(linear, constant))[0] / constant).max() < 1e-12
    np.testing.assert_allclose(root, wanted, rtol=1e-13)


def test_a_shape_of_arguments_wider_than_the_ends_is_that_of_the_root():
    root = bracketed_root(cubic, 0.0, 10.0, 1.0, Cubic(np.array([[1.0], [2.0]]), np.array([2.0, 3.0, 10.0])))
    assert root.shape == (2, 3) and root[0, 0] == pytest.approx(1.0, rel=1e-14)  # 1 + 1 = 2
    assert np.shape(bracketed_root(cubic, 0.0, 10.0, 1.0, Cubic(1.0, 2.0))) == ()


@pytest.mark.parametrize(
    ("low", "high", "wanted"), [(0.0, 0.5, 0.5), (1.5, 4.0, 1.5), (0.0, 4.0, 1.0), (1.0, 1.0, 1.0)]
)
def test_a_root_beyond_an_end_gives_that_end(low, high, wanted):
    assert bracketed_root(cubic, low, high, (low + high) / 2, Cubic(1.0, 2.0)) == pytest.approx(wanted, rel=1e-14)


def test_where_the_function_jumps_over_zero_the_jump_is_the_root():
    def step(x, at):
        return np.where(x < at, -1.0, 1.0), np.ones(np.shape(x))

    at = np.array([0.123456789, 7.0, 9.999])
    np.testing.assert_allclose(bracketed_root(step, 0.0, 10.0, 5.0, at), at, rtol=1e-13)


def test_a_slope_of_the_wrong_sign_at_an_end_is_no_reason_to_stop_there():
    """x exp(-x) - 0.1 falls at x = 3, where the search begins, but is above 0 there: its root is near 0.11."""

    def hump(x):
        return x * np.exp(-x) - 0.1, (1 - x) * np.exp(-x)

    wanted = brentq(lambda x: x * np.exp(-x) - 0.1, 0.0, 1.0, xtol=1e-16)
    assert bracketed_root(hump, 0.0, 3.0, 3.0) == pytest.approx(wanted, rel=1e-13)


def test_a_root_as_flat_as_a_power_of_21_is_reached_all_the_same():
    """There Newton's steps shrink by a twentieth only; halving the bracket keeps the count of steps down."""

    def flat(x, at):
        return (x - at) ** 21, 21 * (x - at) ** 20

    at = np.array([0.3, 1.7])  # a step that is small enough, 2e-12, is a 21st of the way
    np.testing.assert_allclose(bracketed_root(flat, 0.0, 2.0, 2.0, at), at, rtol=1e-9)


def test_where_the_slope_has_no_end_there_is_no_root_yet():
    """A step of no length is then no sign that the root is near."""

    def cliff(x):
        return x - 2.0, np.where(x > 5.0, np.inf, 1.0)

    assert bracketed_root(cliff, 0.0, 10.0, 9.0) == pytest.approx(2.0, rel=1e-14)


def test_no_number_spoils_its_own_lane_only_and_the_search_ends():
    constant = np.array([2.0, np.nan, 10.0])
    root = bracketed_root(cubic, 0.0, 10.0, 1.0, Cubic(1.0, constant))
    assert np.isnan(root).tolist() == [False, True, False] and root[2] == pytest.approx(2.0, rel=1e-14)
    noise = np.random.default_rng(3)
    calls = []

    def never(x):
        calls.append(x)
        return noise.uniform(-1, 1, x.shape), np.ones(x.shape)

    bracketed_root(never, np.zeros(4), np.ones(4), np.full(4, 0.5))
    assert len(calls) <= 200


def test_in_logarithms_a_power_law_takes_its_root_over_thirty_decades():
    goal = np.array([1e-12, 1.0, 1e9])

    def square(x, factor):
        return factor * x**2, 2 * factor * x**2

    np.testing.assert_allclose(positive_root(square, goal, 1.0, 4.0), np.sqrt(goal / 4), rtol=1e-12)
    assert positive_root(square, 1e9, 1.0, 4.0, high=3.0) == pytest.approx(3.0, rel=1e-14)
    assert positive_root(square, 1e-9, 1.0, 4.0, low=2.0) == pytest.approx(2.0, rel=1e-14)
    assert positive_root(square, 1.0, 1.0, 4.0, low=0.0) == pytest.approx(0.5, rel=1e-12)


def test_what_other_lanes_need_changes_no_answer():
    """A cell asked alone and the same cell among a thousand show the same number, to the last bit."""
    rng = np.random.default_rng(12)
    goals, guesses = 10 ** rng.uniform(-8, 5, 1000), 10 ** rng.uniform(-6, 3, 1000)
    powers = rng.uniform(0.3, 4, 1000)

    def rising(x, power):
        return x**power + np.log1p(x), power * x**power + x / (1 + x)

    together = positive_root(rising, goals, guesses, powers)
    for i in range(1000):
        assert together[i] == positive_root(rising, goals[i : i + 1], guesses[i : i + 1], powers[i : i + 1])[0]
