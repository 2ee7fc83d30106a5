"""Random draws of uncertain numbers, and what many draws say: bands and shares of variance.

Draws are plain (each by itself, no Latin hypercube): a quantile of them then has a known error, and more draws of
the same kind can be added. The generator is numpy's PCG64; the same seed gives the same draws.
"""

import numpy as np
import numpy.typing as npt

from ..catalogue.doubt import FITTED, NORMAL_95

CLASSES = 40  # into which a share of variance sorts an input
MOST_TRIES = 1000


def draw(
    chance: np.random.Generator,
    count: int | tuple[int, ...],
    value: npt.ArrayLike,
    half_width: npt.ArrayLike,
    kind: str,
    low: float = -np.inf,
    high: float = np.inf,
    low_in: bool = True,
) -> np.ndarray:
    """Draws of one quantity, inside [low, high] or, unless `low_in`, above `low`.

    Parameters
    ----------
    chance : numpy.random.Generator
    count : int or tuple
        How many, or the shape; `value` and `half_width` broadcast against it.
    value : array_like
        The guess. [unit of the quantity]
    half_width : array_like
        "normal": 95 % lie within it of the value. "rectangular": all do. "lognormal" and "fitted": 95 % lie between
        value / f and value × f, where f = 1 + half_width / value. 0: the value itself. [unit of the quantity]
    kind : str
        One of these words.

    A draw outside the limits is drawn again, so the distribution is cut off there, not heaped up. Raises
    `ValueError` for another word, and where nothing lies inside the limits.
    """
    value, half_width = np.broadcast_to(value, count).astype(float), np.broadcast_to(half_width, count)
    if kind not in _ONE_DRAW:
        raise ValueError(f"{kind!r} is no kind of distribution")
    drawn = np.empty(value.shape)
    again = np.ones(value.shape, dtype=bool)
    for _ in range(MOST_TRIES):
        drawn[again] = _ONE_DRAW[kind](chance, value[again], half_width[again])
        again = ~((drawn >= low if low_in else drawn > low) & (drawn <= high))
        if not again.any():
            return drawn
    raise ValueError(f"nothing between {low:g} and {high:g} was drawn")


def _normal(chance, value, half_width):
    return value + half_width / NORMAL_95 * chance.standard_normal(value.size)


def _rectangular(chance, value, half_width):
    return value + half_width * chance.uniform(-1, 1, value.size)


def _lognormal(chance, value, half_width):
    spread = np.log1p(np.divide(half_width, value, out=np.zeros(value.shape), where=value > 0)) / NORMAL_95
    return value * np.exp(spread * chance.standard_normal(value.size))


_ONE_DRAW = {"normal": _normal, "rectangular": _rectangular, "lognormal": _lognormal, FITTED: _lognormal}


def band(values: np.ndarray, share: float = 0.95) -> tuple[np.ndarray, ...]:
    """(from, median, to) of the middle `share` of the values, along the last axis."""
    return tuple(np.quantile(values, [(1 - share) / 2, 0.5, (1 + share) / 2], axis=-1))


def variance_share(values: np.ndarray, results: np.ndarray) -> float:
    """Share of the variance of the results that one input alone explains, by any curve, straight or bent. [-]

    The variance of the mean result in classes of the input, each with as many draws, over the whole variance: the
    first-order index of Sobol. What chance alone puts between the classes is taken off. From 0; of independent inputs
    that do not act together the shares add up to 1. 0 where a result or the input never changes.

    References
    ----------
    A. Saltelli et al., Global Sensitivity Analysis: The Primer (2008), ch. 1 and 4 (definition; from memory, not looked
    up).
    """
    total = results.var()
    if total == 0 or values.min() == values.max():
        return 0.0
    classes = np.array_split(np.argsort(values, kind="stable"), min(CLASSES, len(values) // 4))
    sizes = np.array([len(indices) for indices in classes])
    means = np.array([results[indices].mean() for indices in classes])
    between = float(sizes @ (means - results.mean()) ** 2)
    within = float(len(results) * total) - between
    degrees = len(classes) - 1
    noise = degrees * within / (len(results) - len(classes))  # expected between the classes from chance
    return max(0.0, between - noise) / float(len(results) * total)
