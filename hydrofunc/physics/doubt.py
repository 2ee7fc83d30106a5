"""How far a result may be off where several inputs are not known well: all of them are drawn together.

The draws are no random numbers but the points of a lattice, so that the same plant always has the same band. Line j of
the doubt has, at point k, the place k STEP^j of an order of POINTS places, turned round by a part of its own. POINTS is
a prime, so every line passes through all its places once; STEP was sought among all so that no curves of two lines,
up to the fourth degree, look alike at these points (their correlation is 0.08 at most for thirty lines; chance alone
would have 0.022 on average, here it is 0.013). Method: N. M. Korobov, rank-1 lattices (1959, from memory, not looked
up).

Where the shares come from: the results are fitted by least squares with a sum of curves, one for each line, of the
fourth degree and independent within the line. The mean square of a curve is the variance that the line explains by
itself (first-order index of Sobol; A. Saltelli et al., Global Sensitivity Analysis: The Primer, 2008, ch. 1 and 4, from
memory).
"""

import math
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache, partial
from statistics import NormalDist
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from .groups import Pipe
from .pipe import ROUGHEST, widest_nozzle
from .plant import STEPS, solved
from .values import Result, Values

POINTS, STEP = 2039, 181
TURN = (5**0.5 - 1) / 2  # the golden ratio: no line begins where another does
# Half of the interval that holds 95 % of a normal distribution (JCGM 100:2008, table G.1; from memory).
NORMAL_95 = 1.96
DEGREES = 4
LEAST = 0.01  # of the value: no input in doubt is 0 or has another sign
AT_ONCE = 8  # scenarios that are drawn together: some 16,000 lanes, so that a column stays in the processor's cache
FITTED = "fitted"  # of a nozzle: lognormal round the one that suits the water drawn with it
SPREADS = ("normal", "rectangular", "lognormal", FITTED)
WHOLE = ("pole_pairs",)  # what is counted
ROUGH = ("roughness", "roughness_2", "roughness_3")  # one pipe: as much rougher in all sections

Floats = NDArray[np.float64]


class Line(NamedTuple):
    """An input in doubt: its name, how its values spread, and between which limits they may lie. [SI]"""

    name: str
    spread: str
    limits: tuple[float, float]


class Summary(NamedTuple):
    """What the draws say, for each scenario; shares and parts have the lines on their last axis."""

    mean: Floats
    standard_uncertainty: Floats
    low: Floats  # 2.5 % of the draws lie below
    median: Floats
    high: Floats
    shares: Floats  # of the variance that each line explains alone [-]
    parts: Floats  # what one standard deviation more of a line does, on average


@lru_cache
def places(count: int) -> NDArray[np.intp]:
    """Place of each line at each point, in the order of what it may be: (count, POINTS) whole numbers."""
    steps = np.array([pow(STEP, line, POINTS) for line in range(count)])
    turns = np.array([int(POINTS * (TURN * (line + 1) % 1)) for line in range(count)])
    return (np.arange(POINTS) * steps[:, None] + turns[:, None]) % POINTS


_CHANCES = (np.arange(POINTS) + 0.5) / POINTS
_SCORES = np.array([NormalDist().inv_cdf(chance) for chance in _CHANCES])
# Polynomials of the score that are independent of each other over the places, each with a mean square of 1.
_CURVES = np.linalg.qr(np.vander(_SCORES, DEGREES + 1, increasing=True))[0][:, 1:] * POINTS**0.5
_CURVES *= np.sign(_CURVES[-1])


def factors(value: Values, half: Values, spread: str, place: NDArray[np.intp]) -> Floats:
    """Draws of an input over its value, on a last axis; 1 where the value is 0 or is not known.

    `half` is in the unit of `value`: with "normal" 95 % of the draws lie within it of the value, with "rectangular" all
    do, with "lognormal" and "fitted" 95 % lie between value / f and value x f, where f = 1 + half / value.
    """
    share = np.asarray(half) / np.where(np.equal(value, 0) | np.isnan(value), np.inf, np.abs(value))
    share = np.where(np.isfinite(value), share, 0.0)[..., None]
    if spread in ("lognormal", FITTED):
        return np.exp(np.log1p(share) / NORMAL_95 * _SCORES[place])
    deviation = 2 * _CHANCES[place] - 1 if spread == "rectangular" else _SCORES[place] / NORMAL_95
    return np.maximum(LEAST, 1 + share * deviation)


def drawn(
    known: Mapping[str, Values], lines: Sequence[Line], halves: Sequence[Values], middles: Sequence[Values]
) -> dict[str, Values]:
    """The inputs in doubt at every point, on a last axis, as they may be together.

    `middles`: where the draws of each line lie, over the value that counts; not at 1 where that is on the careful side.

    Two lines of one name act on it one after the other. A pipe is as much rougher in all its sections, up to the
    roughest that the friction formula allows; a nozzle is no wider than the pipe that feeds it. A nozzle that is
    "fitted" is one that somebody made for the water there: its area goes with the flow that is drawn, as far as the
    pipe can use it, so it stands after the lines of that flow.
    """
    result = {name: np.asarray(value)[..., None] for name, value in known.items()}
    for number, (name, spread, limits) in enumerate(lines):
        factor = factors(known[name], halves[number], spread, places(len(lines))[number])
        factor = factor * np.asarray(middles[number])[..., None]
        if spread == FITTED:
            most = np.asarray(solved("best_nozzle_flow", {**known, "available_flow": np.inf}, STEPS))[..., None]
            now = np.asarray(known["available_flow"])[..., None]
            factor = factor * suited(result["available_flow"], now, most)
        for other in ROUGH if name == ROUGH[0] else (name,):
            value = result[other] * factor
            if name in WHOLE:
                value = np.round(value)
            result[other] = np.minimum(np.maximum(value, limits[0]), limits[1])
    names = {line.name for line in lines}
    if ROUGH[0] in names or "bore" in names:
        for rough in ROUGH:
            result[rough] = np.minimum(result[rough], ROUGHEST * result[rough.replace("roughness", "bore")])
    if "nozzle" in names or "bore" in names:
        result["nozzle"] = np.minimum(result["nozzle"], widest_nozzle(result.get("jets", 1), Pipe.from_names(result)))
    return result


@lru_cache
def _fit(count: int) -> Floats:
    """What turns results into the coefficients of all curves by least squares: (POINTS, count x DEGREES)."""
    curves = np.moveaxis(_CURVES[places(count)], 1, 0).reshape(POINTS, count * DEGREES)
    # The curves hardly resemble each other: a tenth of the time of pinv. No product here goes through a library for
    # linear algebra but that of a small square: its last digit would hang on threads, and on what is beside a plant.
    square = np.linalg.inv(np.einsum("pi,pj->ij", curves, curves))
    return np.einsum("pi,ij->pj", curves, square)


def suited(flow: Values, flow_now: Values, most: Values) -> Result:
    """Diameter of a nozzle made for `flow` over that of one made for `flow_now`. [-]

    Its area goes with the flow, up to the `most` with which the pipe passes most power. A source that gives nothing
    counts as a hundredth of that.
    """
    return np.sqrt(np.clip(flow, LEAST * most, most) / np.clip(flow_now, LEAST * most, most))


def summary(results: Floats, count: int) -> Summary:
    """What the draws say of a result that has the points on its last axis."""
    mean = results.mean(axis=-1)
    variance = results.var(axis=-1)
    low, median, high = np.quantile(results, [0.025, 0.5, 0.975], axis=-1)
    parts = np.einsum("...p,pj->...j", results - mean[..., None], _fit(count)).reshape(*mean.shape, count, DEGREES)
    explained = np.square(parts).sum(axis=-1)
    # What no curve explains would put so much into as many coefficients by chance.
    rest = np.maximum(0.0, variance - explained.sum(axis=-1))
    explained = np.maximum(0.0, explained - DEGREES / POINTS * rest[..., None])
    whole = np.where(variance > 0, variance, 1.0)[..., None]
    # Where hardly any draw gives anything, the mean may lie above all but a few of them.
    high = np.maximum(high, mean)
    return Summary(mean, np.sqrt(variance), low, median, high, explained / whole, parts[..., 0])


def _once(values):
    """The first alone where all scenarios have the same: it is then drawn once for all."""
    return values[:1] if len(values) > 1 and (values == values[0]).all() else values


def _block(block, values):
    return values[block] if len(values) > 1 else values


def in_doubt(
    known: Mapping[str, Values],
    lines: Sequence[Line],
    halves: Values,
    middles: Values,
    result: Callable[[dict[str, Any]], Result],
) -> Summary:
    """What the draws say of `result`, a function of the inputs, for one scenario or an array of them."""
    shape = np.broadcast_shapes(np.shape(halves)[:-1], np.shape(middles)[:-1], *map(np.shape, known.values()))
    known = {name: _once(np.broadcast_to(value, shape).ravel()) for name, value in known.items()}
    halves, middles = (
        [_once(np.broadcast_to(column, (*shape, len(lines)))[..., j].ravel()) for j in range(len(lines))]
        for column in (halves, middles)
    )
    count = math.prod(shape)
    blocks = []
    for first in range(0, count, AT_ONCE):
        block = partial(_block, slice(first, first + AT_ONCE))
        inputs = drawn(
            {name: block(value) for name, value in known.items()},
            lines,
            *(list(map(block, column)) for column in (halves, middles)),
        )
        size = min(AT_ONCE, count - first), POINTS
        blocks.append(summary(np.broadcast_to(result(inputs), size), len(lines)))
    return Summary(*(np.concatenate(column).reshape((*shape, *column[0].shape[1:])) for column in zip(*blocks)))


def doubt(
    plant: Mapping[str, Any],
    quantity: str,
    lines: Sequence[tuple[str, float, str, float]],
    which: int = 1,
    names: Sequence[str] = (),
    values: Sequence[Any] = (),
) -> Result:
    """What the draws say of the watts into the battery of a plant; `which` line, from 1, for "share" and "part". [W; -]

    A line is a name, half of its range, how it spreads, and where the middle of its draws lies. All in SI and without
    limits.
    """
    doubtful = [Line(name, spread, (-np.inf, np.inf)) for name, _, spread, _ in lines]
    halves, middles = [line[1] for line in lines], [line[3] for line in lines]
    found = in_doubt({**plant, **dict(zip(names, values, strict=True))}, doubtful, halves, middles, watts)
    return answer(found, quantity, which)


def watts(known: dict[str, Any]) -> Result:
    """Watts into the battery of a plant whose inputs are known. [W]"""
    return solved("battery_watts", known, STEPS)


# What may be asked: the field of the summary, and whether it has a value for each line.
ANSWERS = {
    "mean": ("mean", False),
    "standard_uncertainty": ("standard_uncertainty", False),
    "low": ("low", False),
    "median": ("median", False),
    "high": ("high", False),
    "share": ("shares", True),
    "part": ("parts", True),
}


def answer(found: Summary, quantity: str, which: Values) -> Result:
    """One number of a summary; NaN where there is no such line."""
    field, has_lines = ANSWERS[quantity]
    values = getattr(found, field)
    if not has_lines:
        return values
    line = np.asarray(which, dtype=int) - 1
    there = (line >= 0) & (line < values.shape[-1]) & np.equal(which, np.round(which))
    shape = np.broadcast_shapes(values.shape[:-1], line.shape)
    picked = np.broadcast_to(np.where(there, line, 0), shape)[..., None]
    return np.where(
        there, np.take_along_axis(np.broadcast_to(values, (*shape, values.shape[-1])), picked, -1)[..., 0], np.nan
    )
