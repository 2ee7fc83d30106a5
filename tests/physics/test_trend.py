"""A straight line through readings: laws, gaps, and what cannot have a trend."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

import hydrofunc
from hydrofunc.errors import InputError
from hydrofunc.physics import trend
from hydrofunc.physics.uncertainty import coverage_factor

seasons = st.integers(5, 40).flatmap(
    lambda n: st.tuples(
        st.lists(st.floats(0, 365), min_size=n, max_size=n, unique=True),
        st.lists(st.floats(50, 120), min_size=n, max_size=n),
        st.lists(st.booleans(), min_size=n, max_size=n),
    )
)
MONTH = 30.4375


@given(st.floats(-20, 20), st.floats(50, 150), st.floats(0, 60000))
def test_readings_on_a_line_give_its_slope_and_no_error(slope, start, first_day):
    """Also where the days are dates, as spreadsheets count them."""
    days = first_day + np.arange(0, 180, 6.0)
    values = start + slope * (days - first_day) / MONTH
    assert hydrofunc.trend(values, days) == pytest.approx(slope, rel=1e-9, abs=1e-9)
    assert hydrofunc.trend_error(values, days) == pytest.approx(0, abs=1e-6)


@given(seasons)
def test_rows_that_do_not_count_might_as_well_not_be_there(season):
    """Whatever stands in them; the answer is that of scipy's regression on the others."""
    days, values, counts = map(np.array, season)
    days = np.round(days, 3)
    kept = counts.astype(bool)
    if kept.sum() < 5 or np.ptp(days[kept]) < 1:
        return
    wanted = stats.linregress(days[kept], values[kept])
    counted = counts.astype(float)
    assert hydrofunc.trend(values, days, counted) == pytest.approx(wanted.slope * MONTH, rel=1e-7, abs=1e-8)
    assert hydrofunc.trend_error(values, days, counted) == pytest.approx(wanted.stderr * MONTH, rel=1e-6, abs=1e-6)


@given(seasons, st.floats(0.1, 10), st.floats(-1000, 1000))
def test_other_units_and_another_first_day_change_nothing_else(season, scale, shift):
    days, values, _ = map(np.array, season)
    days = np.round(days, 3)
    if np.ptp(days) < 1:
        return
    one = hydrofunc.trend(values, days)
    assert hydrofunc.trend(scale * values + 7, days + shift) == pytest.approx(scale * one, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize(
    ("freedom", "within"),
    [(1, 1e-12), (1.2, 7e-3), (1.5, 7e-3), (2, 3e-3), (3, 1e-3), (4, 2e-4), (5, 1e-4), (10, 4e-6), (58, 1e-8)],
)
def test_students_t_is_that_of_scipy(freedom, within):
    """The factor the limit is made with, also where independent entries are few and not whole."""
    assert coverage_factor(float(freedom), 0.95) == pytest.approx(stats.t.ppf(0.975, freedom), rel=within)


def alike(share, entries, many=4000):
    """Seasons of weekly readings without a trend, each entry keeping `share` of how far off the one before was
    (AR(1)).
    """
    fresh = np.random.default_rng(7).normal(0, 2, (many, entries + 60))
    values = np.zeros_like(fresh)
    for i in range(1, entries + 60):
        values[:, i] = share * values[:, i - 1] + fresh[:, i]
    return 100 + values[:, 60:], np.arange(entries) * 7.0


def found(values, days):
    """(share of the seasons whose trend is beyond doubt, of those whose trend is beyond the plain limit, and without
    judgement).
    """
    slope, error = trend.trend(values, days, 1), trend.trend_error(values, days, 1)
    limit = trend.trend_limit(values, days, 1)
    plain = stats.t.ppf(0.975, len(days) - 2) * error
    return np.mean(np.abs(slope) > limit), np.mean(np.abs(slope) > plain), np.mean(np.isnan(limit))


@pytest.mark.parametrize(("share", "plainly"), [(0.0, 0.05), (0.3, 0.14), (0.6, 0.31)])
def test_a_trend_that_is_not_there_is_beyond_doubt_one_time_in_twenty(share, plainly):
    """Of 4000 seasons of 30 entries, however alike neighbours are; taken as independent, up to one in three would
    be.
    """
    beyond, plain, silent = found(*alike(share, 30))
    assert 0.025 < beyond < 0.08
    assert plain == pytest.approx(plainly, abs=0.02)
    assert silent < 0.1


@pytest.mark.parametrize(("share", "most"), [(0.0, 0.05), (0.3, 0.08), (0.6, 0.11)])
def test_in_a_short_log_the_limit_is_passed_a_little_more_often(share, most):
    """Twelve entries tell little about how alike they are: what the limit then keeps, and how often it says nothing."""
    beyond, plain, silent = found(*alike(share, 12))
    assert beyond < most and beyond < 0.75 * plain
    assert silent < 0.45


def test_a_real_fall_is_found():
    """One per cent a week in scatter of two, over 30 weeks, in every season, also where neighbours are alike."""
    for share in (0.0, 0.3):
        values, days = alike(share, 30, many=500)
        assert found(values - days / 7, days)[0] > 0.99


@given(seasons)
def test_the_limit_is_that_of_its_definition(season):
    """Entry by entry in plain Python, regression and Student's t by scipy; entries in any order, gaps among them."""
    days, values, counts = map(np.array, season)
    days = np.round(days, 3)
    kept = counts.astype(bool)
    n = kept.sum()
    if n < 5 or np.ptp(days[kept]) < 1 or np.ptp(values[kept]) < 1e-3:
        return
    in_time = sorted(zip(days[kept], values[kept]), key=lambda entry: entry[0])
    x, y = (np.array(column) for column in zip(*in_time))
    line = stats.linregress(x, y)
    left = [b - line.intercept - line.slope * a for a, b in zip(x, y)]
    squares = sum(each * each for each in left)
    if squares < 1e-6:
        return
    seen = sum(one * two for one, two in itertools.pairwise(left)) / squares
    r = min(1.0, max(0.0, (n * seen + 2) / (n - 4)))
    worth = n * (1 - r) / (1 + r)
    limit = trend.trend_limit(values, days * 86400, counts.astype(float))
    if worth < 3:
        assert np.isnan(limit) or worth > 2.999999
    else:
        wanted = stats.t.ppf(0.975, worth - 2) * np.sqrt(squares / (worth - 2) / sum((x - x.mean()) ** 2)) / 86400
        assert limit == pytest.approx(wanted, rel=8e-3)


def test_readings_on_a_line_are_not_alike_because_of_rounding():
    """What rounding leaves over says nothing: a fall without scatter is beyond doubt."""
    days = np.arange(40) * 7.0
    values = 100 - days / 37
    assert hydrofunc.trend_limit(values, days) < 1e-9
    for start in (0.1, 100.0, 1e4, 1e7):  # whatever they are read in
        for share in (1100, 3700, 37000):
            assert trend.trend_limit(start - days * start / share, days, 1) < 1e-11 * start


def test_readings_too_alike_have_no_limit():
    """A slow wave is worth fewer than three independent entries: nobody can tell it from a trend."""
    days = np.arange(20) * 7.0
    with pytest.raises(InputError):
        hydrofunc.trend_limit(100 + np.sin(days / 40), days)
    assert hydrofunc.trend_error(100 + np.sin(days / 40), days) > 0


def test_one_day_or_too_few_entries_have_no_answer():
    """Rather than a number that means nothing."""
    for call in (
        lambda: hydrofunc.trend([98, 99, 97], [5, 5, 5]),
        lambda: hydrofunc.trend([98], [5]),
        lambda: hydrofunc.trend([98, 99, 97], [1, 2, 3], [0, 0, 0]),
        lambda: hydrofunc.trend_error([98, 99], [1, 2]),
        lambda: hydrofunc.trend_limit([98, 99, 97, 96], [1, 2, 3, 4]),
        lambda: hydrofunc.trend([98, 99, 97], [1, 2]),
        lambda: hydrofunc.trend([98, None, 97], [1, 2, 3]),
    ):
        with pytest.raises(InputError):
            call()


def test_many_seasons_at_once_equal_one_by_one():
    values = np.random.default_rng(3).normal(100, 3, (5, 20))
    days = np.arange(20) * 3.0
    np.testing.assert_allclose(
        hydrofunc.trend(values, days), [hydrofunc.trend(row, days) for row in values], rtol=1e-12
    )
