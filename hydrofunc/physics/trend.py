"""A straight line through readings over time: its slope, how sure it is, and what is beyond doubt. SI units.

Readings are lists on the last axis. `counted` is 1 for an entry that counts and 0 for one that does not, so that a
list may have gaps.
"""

import numpy as np

from .lists import neighbour_products
from .uncertainty import coverage_factor
from .values import Result, Values

FEWEST_FOR_LIMIT = 5  # entries; with fewer the limit is so wide that it says nothing
FEWEST_INDEPENDENT = 3.0  # entries that the ones at hand are worth; with fewer their scatter is not known


def trend(values: Values, days: Values, counted: Values) -> Result:
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


def trend_error(values: Values, days: Values, counted: Values) -> Result:
    """Standard error of `trend`: s / sqrt(sum (t - mean t)²), s² = squares left over / (entries - 2).

    Parameters as there; NaN with fewer than three entries. It takes the entries as independent. [1/s]
    """
    return _line(values, days, counted)[1]


def trend_limit(values: Values, days: Values, counted: Values) -> Result:
    """How large `trend` must be to be beyond doubt at 95 %, though each entry may resemble the one before.

    Parameters as there. [1/s]

    Returns
    -------
    float or ndarray
        t s / sqrt(sum (t - mean t)²) with s² = squares left over / (m - 2) and Student's t for m - 2 degrees of
        freedom, m being the number of independent entries that the n at hand are worth: n (1 - r) / (1 + r), at most n,
        with r the correlation of neighbours in time of what the line leaves over, not below 0. NaN with n below 5 or m
        below 3. [1/s]

    Notes
    -----
    A line takes away some of the resemblance it leaves over: r is seen too small by (2 + 4 r) / n, which is put back.
    The 2 is that of our simulation, the 4 as given for a mean (F. H. C. Marriott and J. A. Pope, Biometrika 41 (1954)
    390, from memory, not looked up). Entries should be about equally far apart. The tests say how often a limit is
    passed by chance.

    References
    ----------
    C. S. Bretherton et al., J. Climate 12 (1999) 1990; B. D. Santer et al., J. Geophys. Res. 105 (2000) 7337; both from
    memory, not looked up.
    """
    _, _, entries, spread, left_over, resemblance = _line(values, days, counted)
    with np.errstate(divide="ignore", invalid="ignore"):
        r = np.clip((entries * resemblance + 2) / (entries - 4), 0.0, 1.0)
    independent = entries * (1 - r) / (1 + r)
    enough = (entries >= FEWEST_FOR_LIMIT) & (independent >= FEWEST_INDEPENDENT)
    freedom = np.where(enough, independent - 2, np.nan)
    return coverage_factor(freedom, 0.95) * np.sqrt(left_over / freedom / spread)


def _line(values, days, counted):
    """Slope, its standard error, how many entries count; squares of the days and of what is left over; its
    resemblance.
    """
    try:
        y, t, w = np.broadcast_arrays(*map(np.asarray, (values, days, counted)))
    except ValueError:  # lists of different lengths have no line
        shape = np.broadcast_shapes(*(np.shape(part)[:-1] for part in (values, days, counted)))
        return (np.full(shape, np.nan)[()],) * 6
    w = np.where(w > 0, 1.0, 0.0)
    entries = w.sum(axis=-1)
    t = w * (t - _mean(t, w, entries))
    largest = np.abs(w * y).max(axis=-1)
    y = w * (y - _mean(y, w, entries))
    spread = (t * t).sum(axis=-1)
    slope = np.divide((t * y).sum(axis=-1), spread, out=np.full(spread.shape, np.nan), where=spread > 0)
    residuals = y - slope[..., None] * t
    left_over = np.square(residuals).sum(axis=-1)
    freedom = np.where(entries > 2, entries - 2, np.nan)
    spread = np.where(spread > 0, spread, np.nan)
    error = np.sqrt(left_over / freedom / spread)
    # Readings on a line leave nothing over but rounding, which resembles nothing.
    rounding = entries * np.square(1e-12 * largest)
    products = neighbour_products(residuals, np.where(w > 0, t, np.inf))
    resemblance = np.where(left_over > rounding, products / np.where(left_over > 0, left_over, np.nan), 0.0)
    return slope[()], error[()], entries[()], spread[()], left_over[()], resemblance[()]


def _mean(values, weights, entries):
    return ((values * weights).sum(axis=-1) / np.maximum(entries, 1.0))[..., None]
