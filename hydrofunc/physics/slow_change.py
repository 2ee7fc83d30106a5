"""What a season's readings change by slowly, though dry spells, faults that were mended and a lasting step run
through them. SI units.

Readings are lists on the last axis. `counted` is 1 for an entry that counts and 0 for one that does not.

How it is done, for each list:

1. Dips are left out. An entry is in a dip if it lies three scatters below what the better quarter of the entries
   within 100 days of it reach, and as far below that of all before it; the scatter is that of neighbours. What has
   been low to the end of the list for less than some eleven weeks is a dip: it may yet end.
2. Lines are compared: changing from the first entry on; level, then changing from some day on; and either with one
   lasting step. A step or a begin counts if it makes the readings so much likelier that chance does not explain it.
3. Readings resemble their neighbours. How much of the scatter lasts, and for how long, is not known: each of the
   pairs in `WEATHERS` is tried, and counts as far as it makes the readings likely (generalised least squares,
   restricted likelihood: H. D. Patterson and R. Thompson, Biometrika 58 (1971) 545, from memory, not looked up).
4. Entries three and a half scatters off the line are left out, and 2 and 3 done again.

Every threshold here was set on invented seasons (tests/simulator/season.py): judgement, no published source.
"""

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from .uncertainty import coverage_factor
from .values import Result, Values

DAY = 86400.0
NEAR = 100.0  # days: what an entry is compared with to see whether it is in a dip
BETTER = 0.75  # the better quarter of them
FAR = 3.0  # scatters below these: a dip
OFF = 3.45  # scatters off the line: left out
LEAST_SCATTER = 0.01  # of the readings' size; no cheap meter reads better
FEWEST_BESIDE = 4  # entries on either side of a step
FEWEST_CHANGING = 8  # entries from the day on which a change began
STEP_LIKELIER, BEGIN_LIKELIER = 16.0, 9.0  # twice the logarithm of how much likelier a step or a begin must be
BEGIN_WITHIN = 6.63  # the same, for days that may as well be the begin: chi squared for 99 %, one degree of freedom
SURE = 0.98  # of the limit; more than 95 %, as step and begin were picked by looking at the same entries
FEWEST = 6  # entries; with fewer there is no answer
# (share of the scatter's square that lasts, days after which it resembles itself by 1/e only)
WEATHERS = ((0.0, 1.0), *((share, days) for share in (0.3, 0.6, 0.9) for days in (7.0, 21.0, 63.0)))
ROUNDS = 3  # of lines and of leaving out
_AT_ONCE = 50  # lists that are judged together: memory


class _Judged(NamedTuple):
    """Of each list: change a day and its limit, begin (likeliest, earliest, latest; days), step and its day, entries.

    Values are in shares of the readings' size.
    """

    change: np.ndarray
    limit: np.ndarray
    begin: np.ndarray
    earliest: np.ndarray
    latest: np.ndarray
    step: np.ndarray
    step_day: np.ndarray
    entries: np.ndarray


def slow_change(values: Values, days: Values, counted: Values) -> Result:
    """Slope of the line that the readings follow from the day on which they began to change.

    Parameters
    ----------
    values : array_like
        What was read, above 0; last axis the entries. [-]
    days : array_like
        When; last axis the entries. [s]
    counted : array_like
        1 for an entry that counts, 0 for a gap. [-]

    Returns
    -------
    float or ndarray
        Change of the values, dips, outliers and one step left out; NaN with fewer than `FEWEST` entries or where they
        are all of one day. [1/s]
    """
    judged, size, _ = _of(values, days, counted)
    return (judged.change * size / DAY)[()]


def slow_change_limit(values: Values, days: Values, counted: Values) -> Result:
    """How far off `slow_change` may well be, either way: a change that is larger is beyond doubt at 98 %.

    Parameters as there. Student's t times the standard error, that of each weather weighted by how likely it makes the
    readings. [1/s]
    """
    judged, size, _ = _of(values, days, counted)
    return (judged.limit * size / DAY)[()]


def slow_change_begin(values: Values, days: Values, counted: Values, side: Values) -> Result:
    """Day on which the change began.

    Parameters as for `slow_change`, and

    side : array_like
        0 for the likeliest day, below 0 for the earliest and above 0 for the latest that may as well be; against the
        last axis of `values`. [-]

    Returns
    -------
    float or ndarray
        Day of an entry; the first one where no later begin is so much likelier that chance does not explain it. [s]
    """
    judged, _, first = _of(values, days, counted)
    side = np.asarray(side)[..., 0] if np.ndim(side) else np.asarray(side)
    begin = np.where(side < 0, judged.earliest, np.where(side > 0, judged.latest, judged.begin))
    return (first + begin * DAY)[()]


def slow_change_step(values: Values, days: Values, counted: Values) -> Result:
    """Size of the one lasting step that stands out of the change, up or down; 0 where none does. [-]

    Parameters as for `slow_change`.
    """
    judged, size, _ = _of(values, days, counted)
    return (judged.step * size)[()]


def slow_change_step_day(values: Values, days: Values, counted: Values) -> Result:
    """Day of the first entry after that step; NaN where there is none. [s]

    Parameters as for `slow_change`.
    """
    judged, _, first = _of(values, days, counted)
    return (first + judged.step_day * DAY)[()]


def slow_change_entries(values: Values, days: Values, counted: Values) -> Result:
    """Number of entries that `slow_change` rests on: those neither in a dip nor far off the line. [-]

    Parameters as for `slow_change`.
    """
    return _of(values, days, counted)[0].entries[()]


# -- lists that are alike are judged once ------------------------------------------------------------------------------


def _of(values, days, counted):
    """(what is judged of each list, size of its readings, its first day [s])."""
    try:
        y, t, w = np.broadcast_arrays(*(np.asarray(part, dtype=float) for part in (values, days, counted)))
    except ValueError:  # lists of different lengths have no line
        nothing = np.full(np.broadcast_shapes(*(np.shape(part)[:-1] for part in (values, days, counted))), np.nan)
        return _Judged(*[nothing] * len(_Judged._fields)), nothing, nothing
    counts = (w > 0) & np.isfinite(y) & np.isfinite(t)
    # In the order of time, entries that do not count last.
    order = np.argsort(np.where(counts, t, np.inf), axis=-1, kind="stable")
    y, t, counts = (np.take_along_axis(part, order, axis=-1) for part in (y, t, counts))
    longest = max(int(counts.sum(axis=-1).max(initial=0)), 1)
    y, t, counts = y[..., :longest], t[..., :longest], counts[..., :longest]
    size = _at_rank(np.where(counts, np.abs(y), np.inf), counts, 0.5)
    size = np.where(size > 0, size, 1.0)
    first = np.where(counts[..., 0], t[..., 0], np.nan)
    # Shares of their size, so that lists which differ only in what they are compared with are one list.
    shares = np.where(counts, np.round(y / size[..., None], 12), 0.0)
    since = np.where(counts, np.round((t - t[..., :1]) / DAY, 9), 0.0)
    lists = np.stack([shares, since, counts.astype(float)], axis=-2).reshape(-1, 3, longest)
    different, which = np.unique(lists, axis=0, return_inverse=True)
    judged = _judged(different.tobytes(), longest)
    return _Judged(*(part[which.ravel()].reshape(size.shape) for part in judged)), size, first


@lru_cache(maxsize=8)  # a sheet asks several things of the same list
def _judged(lists: bytes, longest: int) -> _Judged:
    y, t, w = np.moveaxis(np.frombuffer(lists).reshape(-1, 3, longest), 1, 0)
    with np.errstate(all="ignore"):
        parts = [_lines(*(part[k : k + _AT_ONCE] for part in (y, t, w))) for k in range(0, len(y), _AT_ONCE)]
    return _Judged(*map(np.concatenate, zip(*parts)))


# -- lines -------------------------------------------------------------------------------------------------------------


def _lines(y, t, w):
    """What is judged of lists (lists, entries), as shares and days; w is 1 for an entry that counts."""
    everything = w
    w = w * ~_in_dip(y, t, w)
    one = np.ones_like(y)
    begins = np.maximum(0.0, t[:, None, :] - t[:, :, None])  # (lists, begin, entry)
    steps = (t[:, None, :] >= t[:, :, None]).astype(float)
    step, change = np.zeros_like(y), t
    for last in (False,) * (ROUNDS - 1) + (True,):
        weather = _Weathers(y, t, w)
        after = (w[:, None, :] * steps).sum(axis=-1)
        before = w.sum(axis=-1)[:, None] - after

        likelier, stepped = weather._compared(
            steps, (w > 0) & (before >= FEWEST_BESIDE) & (after >= FEWEST_BESIDE), (one, change)
        )
        is_step = likelier.max(axis=-1) - stepped > STEP_LIKELIER
        step_at = likelier.argmax(axis=-1)
        step = np.where(is_step[:, None], _chosen(steps, step_at), 0.0)

        likelier, _ = weather._compared(begins, (w > 0) & ((after >= FEWEST_CHANGING) | (before == 0)), (one, step))
        from_first = np.where((w > 0) & (before == 0), likelier, -np.inf).max(axis=-1)
        is_begin = likelier.max(axis=-1) - from_first > BEGIN_LIKELIER
        begin_at = likelier.argmax(axis=-1)
        first = np.where(w > 0, t, np.inf).min(axis=-1)
        change = np.maximum(0.0, t - np.where(is_begin, _chosen(t, begin_at), first)[:, None])
        if not last:
            left = np.abs(_left_over(y, (one, step, change), w))
            scatter = np.maximum(_scatter(left, w), 0.7 * LEAST_SCATTER)
            # What lies in a dip just before a step down may belong to the time after it.
            before_step = (w > 0) & (t < _chosen(t, step_at)[:, None])
            sooner = step.max(axis=-1)[:, None] * (t > np.where(before_step, t, -np.inf).max(axis=-1)[:, None])
            left = np.minimum(left, np.abs(_left_over(y, (one, sooner, change), w)))
            w = everything * (left < OFF * scatter[:, None])

    slope, limit, size_of_step = weather._line(one, step, change)
    as_well = likelier.max(axis=-1, keepdims=True) - likelier < BEGIN_WITHIN
    enough = (w.sum(axis=-1) >= FEWEST) & ((w * t).max(axis=-1) > first)
    return [
        np.where(enough, part, np.nan)
        for part in (
            slope,
            limit,
            np.where(is_begin, _chosen(t, begin_at), first),
            np.where(as_well, t, np.inf).min(axis=-1),
            np.where(as_well, t, -np.inf).max(axis=-1),
            np.where(is_step, size_of_step, 0.0),
            np.where(is_step, _chosen(t, step_at), np.nan),
            w.sum(axis=-1),
        )
    ]


class _Weathers:
    """Lists of readings seen through each of `WEATHERS`: in it, what is left over of a line is as good as independent.

    Arrays are (lists, weathers, entries); a column is a function of time that a line is made of.
    """

    def __init__(self, y, t, w):
        lasting, memory = (np.array(part)[:, None, None] for part in zip(*WEATHERS))
        apart = np.abs(t[:, :, None] - t[:, None, :])[:, None]
        alike = lasting * np.exp(-apart / memory) + (1 - lasting) * np.eye(y.shape[-1])
        # An entry that does not count stands for itself, and is 0 in every column.
        both = (w[:, :, None] * w[:, None, :])[:, None]
        root = np.linalg.cholesky(alike * both + np.eye(y.shape[-1]) * (1 - w)[:, None, None, :])
        self.w, self.entries = w, w.sum(axis=-1)[:, None]
        self.seen_by = np.linalg.inv(root)
        self.width = 2 * np.log(np.diagonal(root, axis1=-2, axis2=-1)).sum(axis=-1)  # ln of the determinant
        self.rounding = self.entries * np.square(0.05 * LEAST_SCATTER)
        self.readings = self._seen(y)

    def _seen(self, column):
        return (self.seen_by @ (self.w * column)[:, None, :, None])[..., 0]

    def _likely(self, left_over):
        """Twice the logarithm of how likely a line is that leaves these squares over."""
        return -self.entries * np.log(np.maximum(left_over, 0.0) + self.rounding) - self.width

    def _compared(self, candidates, possible, columns):
        """(how likely the line is with each candidate beside these columns, how likely without), in the weather that
        suits best; twice the logarithm.
        """
        base = _square(self._seen(column) for column in columns)
        left = _without(self.readings, base)
        more = self.seen_by @ np.swapaxes(self.w[:, None, :] * candidates, -1, -2)[:, None]  # (.., entry, candidate)
        for column in base:
            more = more - column[..., None] * (column[..., None] * more).sum(axis=-2, keepdims=True)
        along, square = (more * left[..., None]).sum(axis=-2), (more * more).sum(axis=-2)
        gain = np.square(along) / np.where(square > 1e-9, square, np.inf)
        left_over = (left * left).sum(axis=-1)
        with_candidate = np.moveaxis(self._likely_of(left_over[..., None] - gain), -1, -2).max(axis=-1)
        return np.where(possible, with_candidate, -np.inf), self._likely(left_over).max(axis=-1)

    def _likely_of(self, left_over):
        """`likely` for candidates on a last axis."""
        return np.moveaxis(np.stack([self._likely(part) for part in np.moveaxis(left_over, -1, 0)]), 0, -1)

    def _line(self, one, step, change):
        """(slope, its limit, size of the step) of the line of these columns, over all weathers."""
        columns = [self._seen(column) for column in (one, step, change)]
        level, stepped, rest = _square(columns)
        slopes = [_without(columns[k], _square(columns[j] for j in range(3) if j != k)) for k in (1, 2)]
        size, slope = (_share(self.readings, column) for column in slopes)
        left = _without(self.readings, (level, stepped, rest))
        left_over = (left * left).sum(axis=-1)
        square = np.square(slopes[1]).sum(axis=-1)
        parts = 2 + (step.max(axis=-1) > 0)[:, None]
        freedom = self.entries - parts
        freedom = np.where(freedom >= 1, freedom, np.nan)
        spread = np.log(np.square(columns[0]).sum(axis=-1)) + np.log(square)
        spread = spread + np.log(np.where(parts > 2, np.square(_without(columns[1], [level])).sum(axis=-1), 1.0))
        likely = -freedom * np.log(left_over + self.rounding) - self.width - spread
        weight = np.exp((likely - likely.max(axis=-1, keepdims=True)) / 2)
        weight = weight / weight.sum(axis=-1, keepdims=True)
        mean = (weight * slope).sum(axis=-1)
        variance = weight * (left_over / freedom / square + np.square(slope - mean[:, None]))
        limit = coverage_factor(freedom[:, 0], SURE) * np.sqrt(variance.sum(axis=-1))
        return mean, limit, (weight * size).sum(axis=-1)


def _square(columns):
    """Columns square to one another, each of length 1; one that follows from those before it becomes 0."""
    square = []
    for column in columns:
        rest = _without(column, square)
        length = np.sqrt((rest * rest).sum(axis=-1, keepdims=True))
        square.append(np.where(length > 1e-9, rest / np.where(length > 0, length, 1.0), 0.0))
    return square


def _without(values, square):
    """What is left of values when their part along these columns is taken off."""
    for column in square:
        values = values - (column * values).sum(axis=-1, keepdims=True) * column
    return values


def _share(values, column):
    """How much of a column is in the values."""
    length = (column * column).sum(axis=-1)
    return (column * values).sum(axis=-1) / np.where(length > 1e-18, length, np.inf)


def _left_over(y, columns, w):
    """What the line of plain least squares leaves over, at every entry."""
    square = _square(w * column for column in columns)
    fitted = sum((w * y * column).sum(axis=-1, keepdims=True) * column for column in square)
    # Beyond the entries that count the line goes on: its columns' shares are those of the entries that do.
    shares = np.linalg.pinv(np.stack([w * column for column in columns], axis=-1)) @ fitted[..., None]
    return y - (np.stack(columns, axis=-1) @ shares)[..., 0]


# -- dips and scatter --------------------------------------------------------------------------------------------------


def _in_dip(y, t, w):
    """Whether an entry lies in a dip: below what the readings near it reach, and below what they reached before."""
    apart = np.abs(np.diff(y, axis=-1, prepend=np.nan)) / np.sqrt(2)
    scatter = np.fmax(_scatter(apart, w * np.isfinite(apart)), LEAST_SCATTER)
    ahead = t[:, None, :] - t[:, :, None]  # (lists, entry, what it is compared with)
    counts = w[:, None, :] > 0

    def low(compared):
        return y < _at_rank(np.where(compared, y[:, None, :], np.inf), compared, BETTER) - FAR * scatter[:, None]

    before = counts & (ahead < 0)
    return low(counts & (np.abs(ahead) <= NEAR)) & low(before) & (before.sum(axis=-1) >= FEWEST_BESIDE)


def _scatter(sizes, w):
    """Standard deviation that half of the sizes lie below: the median over 0.6745, as of a normal distribution."""
    return _at_rank(np.where(w > 0, sizes, np.inf), w > 0, 0.5) / 0.6745


def _at_rank(values, counts, share):
    """The value below which this share of those that count lie; those that do not are infinite."""
    rank = np.ceil(share * (counts.sum(axis=-1) - 1)).astype(int)
    return np.take_along_axis(np.sort(values, axis=-1), np.maximum(rank, 0)[..., None], axis=-1)[..., 0]


def _chosen(values, index):
    """Of each list the value, or the row, with this index."""
    shaped = index.reshape(-1, *(1,) * (values.ndim - 1))
    return np.take_along_axis(values, shaped, axis=1)[:, 0]
