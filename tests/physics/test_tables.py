"""Words and numbers looked up in a table: one by one, in arrays, in step, and what is not in it."""

import numpy as np
import pytest

from hydrofunc.physics.tables import look_up, value_above, value_below

STRENGTH = {("pe", "cold"): 1.0, ("pe", "warm"): 2.0, ("steel", "cold"): 3.0}  # invented numbers


def test_one_word_or_one_pair_has_one_number():
    assert look_up({"pe": 4.0}, "pe") == 4.0
    assert look_up(STRENGTH, "pe", "warm") == 2.0
    assert np.isnan(look_up({"pe": 4.0}, "clay")) and np.isnan(look_up(STRENGTH, "warm", "pe"))


def test_words_in_arrays_give_what_each_gives_alone():
    """In step with each other, a single word beside an array, in the shape of the arrays."""
    materials = np.array(["pe", "steel", "pe", "clay"])
    numbers = look_up(STRENGTH, materials, np.array(["warm", "cold", "cold", "cold"]))
    assert numbers.tolist() == pytest.approx([2.0, 3.0, 1.0, np.nan], nan_ok=True)
    numbers = look_up(STRENGTH, materials.reshape(2, 2), "cold")
    assert numbers == pytest.approx(np.array([[1.0, 3.0], [1.0, np.nan]]), nan_ok=True)
    assert look_up({"pe": 4.0}, np.array(["clay", "pe"])).tolist() == pytest.approx([np.nan, 4.0], nan_ok=True)


def test_a_size_between_two_of_a_list_counts_as_the_smaller_or_as_the_larger():
    sizes, amperes = np.array([1.5, 2.5, 4.0]), np.array([10.0, 20.0, 30.0])  # invented numbers
    asked = np.array([1.0, 1.5, 2.0, 4.0, 9.0, np.nan])
    below, above = value_below(sizes, amperes, asked), value_above(sizes, amperes, asked)
    assert below.tolist() == pytest.approx([np.nan, 10.0, 10.0, 30.0, 30.0, np.nan], nan_ok=True)
    assert above.tolist() == pytest.approx([10.0, 10.0, 20.0, 30.0, np.nan, np.nan], nan_ok=True)
