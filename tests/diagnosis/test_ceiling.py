"""The referee of what could be named at all reads the simulators' days as they are, and learns from them."""

import numpy as np
import pytest

from tests.simulator import yard

from . import ceiling

SEED = 9801


@pytest.fixture(scope="module")
def deck():
    """Two days of each of six plants of every row: with readings left out, and complete."""
    return ceiling.yard_deck(SEED, 6, 1)


@pytest.mark.parametrize("name", ["cable", "load: by design", "changed between", yard.PAIR])
def test_its_days_are_those_of_the_third_simulator(deck, name):
    """To the bit, so that what it says of them holds for the score too."""
    own = deck[2 * ceiling.ROWS.index(name)][0]
    days = yard.day_row(SEED, name, 6)
    assert np.array_equal(own.readings, days.readings)
    assert np.array_equal(own.uncertainties, days.uncertainties)
    assert np.array_equal(own.visible, days.visible)
    assert own.right == days.right


def test_of_a_complete_day_nothing_is_left_out(deck):
    assert all((days.uncertainties > 0).all() == complete for days, _, complete in deck)


def test_a_healthy_plant_reads_nearly_as_planned(deck):
    """Half of its readings within a tenth: plan, units and what is expected arrive whole."""
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


def test_what_it_has_learnt_beats_guessing(monkeypatch):
    """On days that it has not seen it names far more than one in eighteen, and with all readings more than with few."""
    monkeypatch.setattr(ceiling, "HIDDEN", 64)
    monkeypatch.setattr(ceiling, "BATCH", 64)
    net = ceiling.learn_yard([SEED], 20)
    first = []
    for complete in (False, True):
        days, rows = ceiling.unseen_yard([SEED + 1], 10, complete)
        said = ceiling.aims(*net.chances(rows))["first, healthy x 1"]
        first.append(ceiling.yard_lines(days, said)["one trouble or none: first right"])
    assert first[0] > 100 * 3 / 18
    assert first[1] > first[0]
