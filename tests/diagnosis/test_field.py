"""The diagnosis on test days of the second simulator, whose author had not read it, nor its numbers.

Seed 20261127 was looked at once, when the method was done, which had been developed on other seeds of this simulator.
Limits stand two standard errors of sampling below what was measured then (above, of the calibration error). The aims
are higher: 88 % first, 96 % in two, 80 % of wrong meters, 95 % of healthy plants left alone, an error of 0.05.
"""

import pytest

from tests.simulator import field as simulator

from .field_score import FAULT_OF, scores

SEED = 20261127


@pytest.fixture(scope="module")
def share():
    return {name: value for name, (value, _) in scores(SEED).items()}


def test_every_trouble_of_the_simulator_has_a_name_here():
    assert set(FAULT_OF) == set(simulator.IDS)


@pytest.mark.parametrize(
    ("of", "least"),
    [
        ("one or none: first", 0.705 - 2 * 0.030),
        ("one or none: in two", 0.848 - 2 * 0.024),
        ("two: one of them, or two", 0.750 - 2 * 0.050),
        ("wrong meter: first", 0.692 - 2 * 0.091),
        ("all well: left alone", 0.951 - 2 * 0.034),
        ("said with 90 % or more: right", 0.922 - 2 * 0.026),
    ],
)
def test_it_is_right_as_often_as_it_was_measured(share, of, least):
    assert share[of] >= least


def test_its_sureness_holds_as_well_as_it_was_measured(share):
    assert share["expected calibration error"] <= 0.021 + 2 * 0.02
