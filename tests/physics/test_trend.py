"""A straight line through readings: laws, gaps, and what cannot have a trend."""

import hydrofunc
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from hydrofunc.errors import InputError
from hydrofunc.physics import trend

seasons = st.integers(5, 40).flatmap(
    lambda n: st.tuples(
        st.lists(st.floats(0, 365), min_size=n, max_size=n, unique=True), st.lists(st.floats(50, 120), min_size=n, max_size=n),
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


@pytest.mark.parametrize("freedom, within", [(3, 1.3e-3), (4, 4e-4), (5, 2e-4), (10, 4e-6), (58, 1e-8)])
def test_students_t_is_that_of_scipy(freedom, within):
    """To the accuracy its docstring promises."""
    assert trend._student(float(freedom)) == pytest.approx(stats.t.ppf(0.975, freedom), rel=within)


def test_the_limit_is_right_nineteen_times_in_twenty():
    """Of 4000 seasons of pure scatter about one in twenty shows a trend beyond the limit."""
    values = np.random.default_rng(7).normal(100, 2, (4000, 12))
    days = np.arange(12) * 7.0
    beyond = np.abs(hydrofunc.trend(values, days)) > hydrofunc.trend_limit(values, days)
    assert beyond.mean() == pytest.approx(0.05, abs=0.01)


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
    np.testing.assert_allclose(hydrofunc.trend(values, days), [hydrofunc.trend(row, days) for row in values], rtol=1e-12)
