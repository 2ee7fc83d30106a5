"""The one solver of this package: a root between two ends, for many lanes at once.

Newton's steps are taken while they stay inside the bracket and at least halve; otherwise the bracket is halved. A lane
has settled when its residual is gone: when the line through the last point says that the root is no further off than a
part of 1e-12 of the larger end. That last step is still taken, and Newton squares the error, so a smooth root is exact
to rounding. Where the residual jumps over 0, or is all rounding noise, the bracket closes instead.
"""

from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np

from .groups import over
from .values import Result, Values

_CLOSE = 1e-12  # of the larger end
_CLOSED = 4 * np.finfo(float).eps  # of the larger end: no number lies between
_STEPS = 200  # far more than halving alone needs
_LEAST, _MOST = 1e-30, 1e6  # of an unknown that is sought in logarithms


def bracketed_root(
    function: Callable[..., tuple[Any, Any]], low: Values, high: Values, guess: Values, *arguments: Any
) -> Result:
    """Root of a rising function between two ends, one per lane.

    Parameters
    ----------
    function : callable
        Of the unknown and `arguments`; gives the value, which rises with the unknown, and its slope.
    low, high : array_like
        Where the function does not reach 0 between them, the nearer end is returned.
    guess : array_like
        Where to begin.
    arguments : array_like, or groups of them
        Broadcast against the unknown. Lanes that have settled are left out of them now and then, so the function must
        not have arrays from elsewhere.

    Returns
    -------
    float or ndarray
        NaN where the function gives NaN, and where `_STEPS` steps were not enough.
    """
    larger = np.maximum(np.abs(low), np.abs(high))
    close, closed = _CLOSE * larger, _CLOSED * larger
    x = np.minimum(np.maximum(guess, low), high)
    below: Any = -np.inf  # points known to lie on either side of the root
    above: Any = np.inf
    last: Any = np.inf  # the step before
    done: Any = False  # lanes that have settled: their answers stay, whatever the lanes beside them still need
    root: Any = None  # the answers of all lanes, once some have settled
    lanes: Any = None  # the numbers of those still sought
    shape: Any = None  # of all lanes
    for steps_left in reversed(range(_STEPS)):
        value, slope = function(x, *arguments)
        below, above = np.where(value < 0, x, below), np.where(value > 0, x, above)
        newton = x - value / slope
        step = np.abs(newton - x)
        near = (step <= close) & (slope < np.inf)
        newton = np.minimum(np.maximum(newton, low), high)
        good = near | (newton > below) & (newton < above) & (2 * step <= last)
        if good.all():
            settled, x, last = near, newton, step
        else:
            left, right = np.maximum(below, low), np.minimum(above, high)
            width = right - left  # 0 at an end with the root beyond it
            settled = near | ~good & ((width <= closed) | np.isnan(value))
            x, last = np.where(good, newton, (left + right) / 2), np.where(good, step, width)
        now = settled & ~np.asarray(done)
        done = settled | done
        moving = done.size - np.count_nonzero(done)
        at_end = moving == 0 or not steps_left
        if not (now.any() or at_end):
            continue
        answer = np.where(settled & ~np.isnan(value), x, np.nan)
        if root is None:
            if at_end and now.all():
                return answer[()]
            root, lanes, shape = np.full(settled.size, np.nan), np.arange(settled.size), settled.shape
        root[lanes[now.ravel()]] = answer[now]
        if at_end:
            return root.reshape(shape)[()]
        if 2 * moving > done.size:
            continue
        # Half of the lanes have settled: go on with the others alone.
        rows, now = ~done.ravel(), done.shape
        lanes, done = lanes[rows], False
        x, low, high, below, above, last, close, closed, arguments = over(
            partial(_rows_of, rows=rows, shape=now),
            (x, low, high, below, above, last, close, closed, arguments),
        )
    raise AssertionError("the last step returns")


def _rows_of(values, rows, shape):
    """The values of some rows, of all lanes in their shape."""
    return np.broadcast_to(values, shape).ravel()[rows]


def positive_root(
    function: Callable[..., tuple[Any, Any]],
    goal: Values,
    guess: Values,
    *arguments: Any,
    low: Values = _LEAST,
    high: Values = _MOST,
) -> Result:
    """The unknown above 0 at which a positive, rising function reaches a goal: `bracketed_root` in logarithms.

    Powers are straight lines in logarithms, so few steps are needed from any guess.

    Parameters
    ----------
    function : callable
        Of the unknown and `arguments`; gives its value and its derivative to the logarithm of the unknown.
    goal : array_like
        Above 0.
    guess : array_like
        Where to begin, above 0.
    arguments, low, high
        As in `bracketed_root`.
    """

    def in_logarithms(s, goal, *arguments):
        value, slope = function(np.exp(s), *arguments)
        return np.log(value) - goal, slope / value

    ends = np.log(np.maximum(low, _LEAST)), np.log(np.minimum(np.maximum(high, _LEAST), _MOST))
    return np.exp(bracketed_root(in_logarithms, *ends, np.log(guess), np.log(goal), *arguments))
