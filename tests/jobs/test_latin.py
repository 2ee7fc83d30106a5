"""Points of a Latin hypercube: what McKay, Beckman and Conover (see `latin`) ask of them, whatever the seed."""

import numpy as np
import pytest

from hydrofunc.jobs.latin import Latin, Span


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 16, 17, 64, 65, 1000, 4097, 100_003])
@pytest.mark.parametrize("seed", [0, 1, 2**70])
def test_the_points_meet_each_slice_once(count, seed):
    """Also where the value that is given is rounded: it lies inside its slice."""
    latin, points = Latin(count, seed), np.arange(count)
    for number in range(3):
        slices = latin.slices(number, points)
        assert np.array_equal(np.sort(slices), points)
        values = latin.values(number, Span(-2.0, 7.0), points)
        assert np.array_equal(np.floor((values + 2) / 9 * count), slices)


@pytest.mark.parametrize("count", [2, 10, 1000])
def test_a_list_has_each_value_as_often_or_once_more(count):
    for length in (1, 2, 7, 10):
        if length <= count:
            values = Latin(count, 3).values(0, np.arange(length), np.arange(count))
            often = np.bincount(values, minlength=length)
            assert often.max() - often.min() <= 1 and often.min() >= 1


def test_a_point_is_the_same_in_whatever_part_it_is_asked_for():
    latin, span = Latin(5000, 9), Span(3.0, 9.0)
    whole = latin.values(1, span, np.arange(5000))
    for first, stop in ((0, 1), (17, 4000), (4999, 5000)):
        assert np.array_equal(latin.values(1, span, np.arange(first, stop)), whole[first:stop])


def test_the_last_of_a_thousand_million_points_is_found_without_the_others():
    latin = Latin(10**9, 1)
    points = np.array([0, 10**9 - 1])
    slices = latin.slices(0, points)
    assert ((slices >= 0) & (slices < 10**9)).all() and slices[0] != slices[1]


def test_inputs_are_paired_as_by_chance():
    """The correlation of two random orders of n has a mean of 0 and a variance of 1 / (n - 1): M. G. Kendall, Rank
    Correlation Methods (from memory, not looked up). Of 500 seeds, for few points and for many; with 500 the variance
    itself scatters by some 6 %, the mean by 0.045 of a deviation.
    """
    for count in (6, 20, 1000):
        points = np.arange(count)
        pairs = [(Latin(count, seed).slices(0, points), Latin(count, seed).slices(1, points)) for seed in range(500)]
        for others in (pairs, [(first, points) for first, _ in pairs]):  # nor does a later point lie higher
            scaled = np.array([np.corrcoef(*pair)[0, 1] for pair in others]) * (count - 1) ** 0.5
            assert abs(scaled.mean()) < 0.2 and 0.75 < scaled.var() < 1.3 and abs(scaled).max() < 5


def test_every_order_of_few_points_comes_up():
    """24 orders of four points, 4800 seeds: each some 200 times, give or take 14."""
    orders = [tuple(Latin(4, seed).slices(0, np.arange(4)).tolist()) for seed in range(4800)]
    often = [orders.count(order) for order in set(orders)]
    assert len(often) == 24 and min(often) > 130 and max(often) < 270
