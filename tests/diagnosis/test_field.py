"""The diagnosis on test days of the second simulator, whose author had not read it, nor its numbers.

Seed 20261127 was looked at once for each version of the method, when that was done; it had been developed on other
seeds of this simulator, the last version with the simulator open. So this is no judge any more. Limits stand two
standard errors of sampling below what was measured then. The calibration error was 0.048; its limit is an older one,
and closer. The aims are higher: 88 % first, 96 % in two, 80 % of wrong meters, 95 % of healthy plants left alone, an
error of 0.05.
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
        ("one or none: first", 0.737 - 2 * 0.029),
        ("one or none: in two", 0.875 - 2 * 0.022),
        ("two: one of them, or two", 0.763 - 2 * 0.049),
        ("wrong meter: first", 0.692 - 2 * 0.091),
        ("all well: left alone", 0.976 - 2 * 0.024),
        ("said with 90 % or more: right", 0.968 - 2 * 0.018),
    ],
)
def test_it_is_right_as_often_as_it_was_measured(share, of, least):
    assert share[of] >= least


def test_its_sureness_holds_as_well_as_it_was_measured(share):
    assert share["expected calibration error"] <= 0.021 + 2 * 0.02


@pytest.fixture(scope="module")
def share_by_drill():
    return {name: value for name, (value, _) in scores(SEED, turned=simulator.DRILL).items()}


@pytest.mark.parametrize(
    ("of", "least"),
    [
        ("one or none: first", 0.696 - 2 * 0.031),
        ("one or none: in two", 0.830 - 2 * 0.025),
        ("two: one of them, or two", 0.776 - 2 * 0.048),
        ("wrong meter: first", 0.769 - 2 * 0.083),
        ("all well: left alone", 0.951 - 2 * 0.034),
        ("said with 90 % or more: right", 0.948 - 2 * 0.025),
    ],
)
def test_open_volts_at_a_slow_drill_mislead_no_more_than_was_measured(share_by_drill, of, least):
    """Looked at three times, while the doubt of diodes, odd readings and builds was set by other days."""
    assert share_by_drill[of] >= least


def test_its_sureness_holds_at_a_slow_drill_too(share_by_drill):
    assert share_by_drill["expected calibration error"] <= 0.049 + 2 * 0.02
