"""Lists on the last axis: what is picked, ordered and compared. No published source: Python's own arithmetic."""

import numpy as np
import pytest

from hydrofunc.physics import lists


def test_an_element_is_counted_from_0_and_a_place_is_cut_to_a_whole_number():
    assert lists.element([5.0, 6.0, 7.0], 0) == 5 and lists.element([5.0, 6.0, 7.0], 2.9) == 7


def test_many_lists_are_asked_for_one_place_and_one_list_for_many():
    two = np.array([[1.0, 2.0, 3.0], [4.0, 5.0, 6.0]])
    assert lists.element(two, 1).tolist() == [2, 5]
    assert lists.element(two[0], np.array([[0], [2]])).tolist() == [1, 3]
    with pytest.raises(IndexError):
        lists.element(two, 3)


@pytest.mark.parametrize(
    ("lengths", "fit"), [((3, 3), True), ((3, 1), True), ((1, 1, 4), True), ((3, 2), False), ((1, 3, 2), False)]
)
def test_lists_fit_together_where_they_are_equally_long_or_single(lengths, fit):
    assert lists.fit_together(*map(np.zeros, lengths)) == fit


def test_a_single_0_stands_for_zeros_and_no_other_list_is_stretched():
    assert lists.full_list([1.0, 2.0], 2).tolist() == [1, 2]
    assert lists.full_list([0.0], 5).tolist() == [0]
    assert np.isnan(lists.full_list([3.0], 5)).all() and np.isnan(lists.full_list([1.0, 2.0], 5)).all()


def test_neighbours_are_those_in_the_order_of_the_keys_and_of_equal_keys_as_they_come():
    assert lists.neighbour_products(np.array([2.0, 3.0, 5.0]), np.array([1.0, 2.0, 3.0])) == 2 * 3 + 3 * 5
    assert lists.neighbour_products(np.array([2.0, 3.0, 5.0]), np.array([2.0, 1.0, 3.0])) == 3 * 2 + 2 * 5
    assert lists.neighbour_products(np.array([2.0, 3.0, 5.0]), np.array([1.0, 0.0, 1.0])) == 3 * 2 + 2 * 5
    assert lists.neighbour_products(np.array([2.0]), np.array([1.0])) == 0


def test_the_best_is_the_first_of_equals_and_what_measures_below_0_does_not_count():
    assert lists.best_of(np.array([4.0, 6.0, 5.0]), lambda x: np.minimum(x, 5.0)) == 6
    assert lists.best_of(np.array([4.0, 6.0]), lambda x: np.where(x > 5, -1.0, 0.0)) == 4
    assert np.isnan(lists.best_of(np.array([4.0, 6.0]), lambda x: -x))
    assert np.isnan(lists.best_of(np.array([4.0, np.nan]), lambda x: x))
