"""A slow change among dips and one step: laws, gaps, what cannot be judged, and its definition once more by scipy.

How often it is right on invented seasons is in tests/diagnosis/test_season.py.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import linalg, stats

import hydrofunc
from hydrofunc.errors import InputError
from hydrofunc.physics import slow_change

MONTH = 30.4375
WEEKS = np.arange(40) * 7.0
# Scatter of 1 that a sum over any few neighbours nearly takes away, so that it says neither slope nor step.
UNEVEN = np.array([(-1) ** (k * (k + 1) // 2) for k in range(40)], dtype=float)
OF_ALL = (
    hydrofunc.slow_change,
    hydrofunc.slow_change_limit,
    hydrofunc.slow_change_begin,
    hydrofunc.slow_change_step,
    hydrofunc.slow_change_entries,
)


def drawn(seed, entries=40, scatter=1.0):
    """Readings round 100 that nothing happens to."""
    return 100 + np.random.default_rng(seed).normal(0, scatter, entries)


@given(st.floats(-2, 2), st.floats(0, 60000))
@settings(max_examples=20)
def test_readings_on_a_line_give_its_slope(slope, first_day):
    """Also where the days are dates, as spreadsheets count them; its begin is the first entry."""
    values = 100 + slope * WEEKS / MONTH
    assert hydrofunc.slow_change(values, WEEKS + first_day) == pytest.approx(slope, abs=1e-3)
    assert hydrofunc.slow_change_limit(values, WEEKS + first_day) < 0.02
    if abs(slope) > 0.2:
        assert hydrofunc.slow_change_begin(values, WEEKS + first_day) == pytest.approx(first_day)
    assert hydrofunc.slow_change_step(values, WEEKS + first_day) == 0
    assert hydrofunc.slow_change_entries(values, WEEKS + first_day) == 40


@pytest.mark.parametrize("depth", [0.3, 0.6, 0.9])
@pytest.mark.parametrize("weeks", [(0, 8), (15, 23), (30, 36), (5, 8)])
def test_a_dry_spell_changes_nothing(depth, weeks):
    """Eight dry weeks in a fall from 100 to 85: as if those weeks had not been read."""
    values = np.linspace(100, 85, 40) + 0.5 * UNEVEN
    dry = values.copy()
    dry[slice(*weeks)] *= 1 - depth / 2
    without = np.ones(40)
    without[slice(*weeks)] = 0
    change = hydrofunc.slow_change(dry, WEEKS)
    assert change == pytest.approx(hydrofunc.slow_change(values, WEEKS, without), abs=0.15)
    assert -change > hydrofunc.slow_change_limit(dry, WEEKS)
    assert change == pytest.approx(-15 / 39 / 7 * MONTH, abs=0.2)


@pytest.mark.parametrize("size", [-12.0, -6.0, 6.0, 12.0])
@pytest.mark.parametrize("slope", [0.0, -1.0])
@pytest.mark.parametrize("at", [12, 20, 25])
def test_a_step_counts_for_itself(size, slope, at):
    """A repair up, or something that broke: its size and its day, and the change beside it is what it was."""
    values = 100 + slope * WEEKS / MONTH + 0.5 * UNEVEN
    values[at:] += size
    assert hydrofunc.slow_change_step(values, WEEKS) == pytest.approx(size, abs=1.5)
    assert hydrofunc.slow_change_step_day(values, WEEKS) == pytest.approx(7 * at, abs=7)
    assert hydrofunc.slow_change(values, WEEKS) == pytest.approx(slope, abs=0.3)


@pytest.mark.parametrize("slope", [0.0, -1.0])
@pytest.mark.parametrize("weeks", [3, 6, 9])
def test_what_has_been_low_for_some_weeks_only_is_a_dip_that_may_yet_end(weeks, slope):
    """Nobody can tell a dry spell that is not over from something that broke: neither step nor fall."""
    values = 100 + slope * WEEKS / MONTH + 0.5 * UNEVEN
    values[-weeks:] *= 0.8
    assert hydrofunc.slow_change_step(values, WEEKS) == 0
    assert hydrofunc.slow_change(values, WEEKS) == pytest.approx(slope, abs=0.3)
    assert hydrofunc.slow_change_entries(values, WEEKS) == 40 - weeks


@pytest.mark.parametrize("week", [8, 15, 22])
def test_the_day_on_which_a_fall_began(week):
    """Level, then 2.5 % a month; the band holds the day and is narrower than two months."""
    values = 100 - 2.5 * np.maximum(0, WEEKS - 7 * week) / MONTH + 0.5 * UNEVEN
    likeliest, early, late = (hydrofunc.slow_change_begin(values, WEEKS, side=side) for side in (0, -1, 1))
    assert early - 7 <= 7 * week <= late + 7 and early <= likeliest <= late
    assert late - early < 60
    assert hydrofunc.slow_change(values, WEEKS) == pytest.approx(-2.5, abs=0.25)


@pytest.mark.parametrize("seed", range(5))
def test_rows_that_do_not_count_might_as_well_not_be_there(seed):
    """Whatever stands in them, in any order."""
    rng = np.random.default_rng(seed)
    values = drawn(seed) - 1.5 * WEEKS / MONTH
    many, days, counted = np.full(60, 7.0), rng.uniform(0, 300, 60), np.zeros(60)
    rows = rng.permutation(60)[:40]
    many[rows], days[rows], counted[rows] = values, WEEKS, 1
    for function in OF_ALL:
        assert function(many, days, counted) == pytest.approx(function(values, WEEKS), rel=1e-9)


@pytest.mark.parametrize("seed", range(5))
def test_other_units_and_another_first_day_change_nothing_else(seed):
    values = drawn(seed) - 1.5 * np.maximum(0, WEEKS - 100) / MONTH
    assert hydrofunc.slow_change(3 * values, WEEKS + 500) == pytest.approx(3 * hydrofunc.slow_change(values, WEEKS))
    assert hydrofunc.slow_change_limit(3 * values, WEEKS + 500) == pytest.approx(
        3 * hydrofunc.slow_change_limit(values, WEEKS)
    )
    assert hydrofunc.slow_change_begin(3 * values, WEEKS + 500) == pytest.approx(
        500 + hydrofunc.slow_change_begin(values, WEEKS)
    )


def by_scipy(values, days):
    """(change in a month, its limit) of a line from the first entry, without dip and step: each weather by itself."""
    values, days = np.array(values), np.array(days)
    line = np.column_stack([np.ones(len(days)), days - days[0]])
    freedom, size = len(days) - 2, np.sort(values)[len(values) // 2]
    found = []
    for share, memory in slow_change.WEATHERS:
        alike = share * np.exp(-abs(days[:, None] - days) / memory) + (1 - share) * np.eye(len(days))
        inverse = linalg.inv(alike)
        normal = line.T @ inverse @ line
        parts = linalg.solve(normal, line.T @ inverse @ values)
        left = values - line @ parts
        squares = left @ inverse @ left
        rounding = len(days) * (0.05 * slow_change.LEAST_SCATTER * size) ** 2
        likely = -(freedom * np.log(squares + rounding) + np.linalg.slogdet(alike)[1]) / 2
        likely -= np.linalg.slogdet(normal)[1] / 2
        found.append((likely, parts[1], squares / freedom * linalg.inv(normal)[1, 1]))
    likely, slope, variance = np.array(found).T
    weight = np.exp(likely - likely.max()) / np.exp(likely - likely.max()).sum()
    mean = weight @ slope
    wide = np.sqrt(weight @ (variance + (slope - mean) ** 2))
    return mean * MONTH, stats.t.ppf((1 + slow_change.SURE) / 2, freedom) * wide * MONTH


@pytest.mark.parametrize("seed", range(8))
def test_the_change_is_that_of_its_definition(seed):
    """Where there is neither dip nor step: generalised least squares in each weather, by scipy."""
    rng = np.random.default_rng(seed)
    days = np.cumsum(rng.integers(3, 15, 25)).astype(float)
    values = 100 - 1.2 * (days - days[0]) / MONTH + rng.normal(0, 1, 25)
    if hydrofunc.slow_change_entries(values, days) < 25 or hydrofunc.slow_change_step(values, days):
        pytest.skip("a reading far off, or a step, by chance")
    change, limit = by_scipy(values, days)
    assert hydrofunc.slow_change(values, days) == pytest.approx(change, rel=1e-6)
    assert hydrofunc.slow_change_limit(values, days) == pytest.approx(limit, rel=1e-5)


def test_what_has_no_change_has_no_answer():
    """Too few, all on one day, lists of different lengths; without a step no day of it."""
    for call in (
        lambda: hydrofunc.slow_change([98, 99, 97, 96, 95], [1, 2, 3, 4, 5]),
        lambda: hydrofunc.slow_change([98, 99, 97] * 4, [5] * 12),
        lambda: hydrofunc.slow_change_limit([98, 99, 97] * 4, range(12), [0] * 12),
        lambda: hydrofunc.slow_change([98, 99, 97], [1, 2]),
        lambda: hydrofunc.slow_change_begin([98, 99, 97], [1, 2]),
        lambda: hydrofunc.slow_change_step_day(np.linspace(100, 85, 40), WEEKS),
    ):
        with pytest.raises(InputError):
            call()
    nothing = np.full(40, np.nan)
    assert np.isnan(slow_change.slow_change(nothing, WEEKS * 86400, 1.0))


def test_many_seasons_at_once_equal_one_by_one():
    """Also with more of them than are judged together."""
    values = np.array([drawn(seed, 20) for seed in range(60)])
    days = np.arange(20) * 7.0
    values[::2, 10:] -= 8
    for function in OF_ALL:
        np.testing.assert_allclose(
            function(values, days), [function(row, days) for row in values], rtol=1e-9, atol=1e-12
        )


def test_lists_that_differ_only_in_what_they_are_compared_with_are_judged_once():
    """A sweep over the design asks the same season a hundred thousand times."""
    slow_change._judged.cache_clear()
    values = drawn(1)[None] * np.linspace(0.5, 2, 2000)[:, None]
    change = slow_change.slow_change(values, WEEKS * 86400, 1.0)
    np.testing.assert_allclose(change / change[0], np.linspace(1, 4, 2000), rtol=1e-9)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(slow_change, "_lines", None)  # not asked again
        slow_change.slow_change_limit(values, WEEKS * 86400, 1.0)
