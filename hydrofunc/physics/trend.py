"""A straight line through readings over time: its slope, how sure it is, and what is beyond doubt. SI units.

Readings are lists on the last axis. `counted` is 1 for an entry that counts and 0 for one that does not, so that a
list may have gaps.
"""

import numpy as np

FEWEST_FOR_LIMIT = 5  # entries; with fewer the limit is so wide that it says nothing
_NORMAL = 1.959963984540054  # quantile of the normal distribution for 95 % between both signs


def trend(values, days, counted):
    """Slope of the least-squares line through the values that count.

    Parameters
    ----------
    values : array_like
        What was read; last axis the entries. [-]
    days : array_like
        When; last axis the entries. [s]
    counted : array_like
        1 for an entry that counts, 0 for a gap. [-]

    Returns
    -------
    float or ndarray
        sum (t - mean t)(y - mean y) / sum (t - mean t)²; NaN with fewer than two different days. [1/s]

    References
    ----------
    N. R. Draper and H. Smith, Applied Regression Analysis, chapter 1 (from memory, not looked up).
    """
    return _line(values, days, counted)[0]


def trend_error(values, days, counted):
    """Standard error of `trend`: s / sqrt(sum (t - mean t)²), s² = squares left over / (entries - 2).

    Parameters as there; NaN with fewer than three entries. It takes the entries as independent. [1/s]
    """
    return _line(values, days, counted)[1]


def trend_limit(values, days, counted):
    """How large `trend` must be to be beyond doubt at 95 %: its standard error times Student's t.

    Parameters as there; NaN with fewer than five entries. [1/s]
    """
    _, error, entries = _line(values, days, counted)
    freedom = np.where(entries >= FEWEST_FOR_LIMIT, entries - 2, np.nan)
    return _student(freedom) * error


def _line(values, days, counted):
    """Slope, its standard error, and how many entries count."""
    try:
        y, t, w = np.broadcast_arrays(*map(np.asarray, (values, days, counted)))
    except ValueError:  # lists of different lengths have no line
        shape = np.broadcast_shapes(*(np.shape(each)[:-1] for each in (values, days, counted)))
        return (np.full(shape, np.nan)[()],) * 3
    w = np.where(w > 0, 1.0, 0.0)
    entries = w.sum(axis=-1)
    t = w * (t - _mean(t, w, entries))
    y = w * (y - _mean(y, w, entries))
    spread = (t * t).sum(axis=-1)
    slope = np.divide((t * y).sum(axis=-1), spread, out=np.full(spread.shape, np.nan), where=spread > 0)
    left_over = ((y - slope[..., None] * t) ** 2).sum(axis=-1)
    freedom = np.where(entries > 2, entries - 2, np.nan)
    error = np.sqrt(left_over / freedom / np.where(spread > 0, spread, np.nan))
    return slope[()], error[()], entries[()]


def _mean(values, weights, entries):
    return ((values * weights).sum(axis=-1) / np.maximum(entries, 1.0))[..., None]


def _student(freedom):
    """Student's t for 95 % between both signs, from three degrees of freedom on.

    Expansion in 1/freedom: M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, 26.7.5 (from memory, not
    looked up); within 0.13 % at three degrees of freedom and 0.02 % from five on, against scipy in the tests.
    """
    z, n = _NORMAL, freedom
    return (
        z + (z**3 + z) / (4 * n) + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * n**2)
        + (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / (384 * n**3)
        + (79 * z**9 + 776 * z**7 + 1482 * z**5 - 1920 * z**3 - 945 * z) / (92160 * n**4)
    )
