"""The referee of what could be named at all reads the third simulator's days as they are, and learns from them."""

import numpy as np
import pytest

from tests.simulator import yard

from . import ceiling

SEED, EACH = 9801, 24
WITH_TREES = pytest.mark.skipif(ceiling.lightgbm is None, reason="the extra [referee] is not installed")


@pytest.fixture(scope="module")
def deck():
    """Plants of every row, each with a day on which readings were left out, and a complete one."""
    return ceiling.yard_deck(SEED, EACH, 1)


@pytest.mark.parametrize("name", ["changed between", yard.PAIR])
def test_its_days_are_those_of_the_third_simulator(deck, name):
    """To the bit, so that what it says of them holds for the score too."""
    own = deck[2 * ceiling.ROWS.index(name)][0]
    days = yard.day_row(SEED, name, EACH)
    assert np.array_equal(own.readings, days.readings)
    assert np.array_equal(own.uncertainties, days.uncertainties)
    assert np.array_equal(own.visible, days.visible)
    assert own.right == days.right


def test_of_a_complete_day_nothing_is_left_out(deck):
    assert all((days.uncertainties > 0).all() == complete for days, _, complete in deck)


def test_a_healthy_plant_reads_nearly_as_planned(deck):
    """Half of each reading within a tenth: plan, units and what is expected arrive whole."""
    days, as_planned, _ = deck[1]
    for k, name in enumerate(yard.READINGS[:7]):
        assert np.median(abs(np.log(days.readings[:, k] / as_planned[name]))) < 0.1


def test_every_day_has_a_cell(deck):
    """A trouble in its own cell, another where the readings hide it; pairs, and what no sheet has a name for, too."""
    for days, _, _ in deck:
        cells, present = ceiling._yard_answers(days)
        pair, other = days.row == yard.PAIR, np.isin(days.row, yard.UNNAMEABLE)
        assert np.array_equal(cells == ceiling.PAIR, pair)
        assert np.array_equal(cells == ceiling.OTHER, other)
        assert (present.sum(axis=1) == np.select([pair, other | (days.row == "none")], [2, 0], 1)).all()
        own = ~pair & ~other & (days.row != "none")
        assert np.array_equal(cells[own] < ceiling.TWO, days.visible[own])


@pytest.mark.parametrize("trees", [False, pytest.param(True, marks=WITH_TREES)])
def test_what_it_has_learnt_beats_guessing(deck, monkeypatch, trees):
    """Of plants that it has not seen, the last third, it names far more than one trouble in eighteen, and with every
    reading more than with few.
    """
    for name, value in {"HIDDEN": 64, "BATCH": 64, "ROUNDS": 20}.items():
        monkeypatch.setattr(ceiling, name, value)
    days, rows, complete = ceiling.together(deck)
    last = np.arange(len(rows)) % EACH >= EACH * 2 // 3
    chances = ceiling.learn(ceiling.some(days, ~last), rows[~last], trees)
    few, every = (
        ceiling.yard_lines(ceiling.some(days, here), ceiling.aims(*chances(rows[here]))["first, healthy x 1"])
        for here in (last & ~complete, last & complete)
    )
    first = "one trouble or none: first right"
    assert few[first] > 100 * 3 / 18
    assert every[first] > few[first]
