"""Lists on the last axis: one of their elements, their order, the best of them. No units, no physics.

Every function here has a second implementation in `hydrofunc.emit.lists`, for a worksheet without Python. A list of one
element counts at every place, as arrays broadcast.
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from .values import Result, Values


def single(values: Values) -> Result:
    """What stands against lists, without their axis."""
    return np.atleast_1d(values)[..., 0]


def element(values: Values, place: Values) -> Result:
    """The element at a place counted from 0, which is cut to a whole number; the result has no last axis.

    `place` stands against that axis: a number, or an array whose last axis has one element.
    """
    values, index = np.asarray(values), np.atleast_1d(np.asarray(place)).astype(int)
    shape = np.broadcast_shapes(values.shape[:-1], index.shape[:-1])
    values = np.broadcast_to(values, (*shape, values.shape[-1]))
    return np.take_along_axis(values, np.broadcast_to(index, (*shape, 1)), axis=-1)[..., 0]


def fit_together(first: Values, *others: Values) -> bool:
    """Are lists equally long, but for those of one element?"""
    fine = True
    for i, one in enumerate((first, *others)):
        for other in others[i:]:
            a, b = np.shape(one)[-1], np.shape(other)[-1]
            fine = fine & ((a == b) | (a == 1) | (b == 1))
    return fine


def full_list(values: Values, count: int) -> Result:
    """`values` where there are `count` of them, or zeros for a single 0; NaN otherwise.

    A list shorter than it should be is never stretched, as a worksheet drops blank cells.
    """
    values = np.asarray(values, dtype=float)
    if values.shape[-1] == count:
        return values
    return np.where(values == 0, 0.0, np.nan) if values.shape[-1] == 1 else np.full((*values.shape[:-1], 1), np.nan)


def neighbour_products(values: Values, keys: Values) -> Result:
    """Sum of the products of each element with the next one in the order of rising keys, of equal keys as they come."""
    rising = np.take_along_axis(values, np.argsort(keys, axis=-1, kind="stable"), axis=-1)
    return (rising[..., 1:] * rising[..., :-1]).sum(axis=-1)


def best_of(values: Values, measure: Callable[[Any], Result]) -> Result:
    """The element of greatest measure, of equals the first; NaN where none measures 0 or more, or one is NaN."""
    found = measure(values)
    values = np.broadcast_to(values, found.shape)
    best = np.take_along_axis(values, np.argmax(found, axis=-1)[..., None], axis=-1)[..., 0]
    return np.where(np.isnan(found).any(axis=-1) | (found < 0).all(axis=-1), np.nan, best)


def best_by(values: Values, measure: Callable[[Any], tuple[Any, Any, Any]]) -> Result:
    """The element of greatest first measure; where no element has one above 0, of greatest second. Of equals the first.

    `measure` gives both, and which elements count. NaN where none counts; a measure that is NaN is less than any other.
    """
    first, second, counts = measure(values)
    rank = np.where((first > 0).any(axis=-1, keepdims=True), first, second)
    rank, counts, values = np.broadcast_arrays(rank, counts, values)
    rank = np.where(counts & np.isfinite(rank), rank, -np.inf)
    best = np.take_along_axis(values, rank.argmax(axis=-1, keepdims=True), -1)[..., 0]
    return np.where(np.isneginf(rank).all(axis=-1), np.nan, best)
