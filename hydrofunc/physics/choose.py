"""Choosing among what can be bought: of the nozzles at hand the one with most watts. SI units."""

from collections.abc import Collection, Mapping
from itertools import combinations
from typing import Any, NamedTuple

import numpy as np

from . import lists
from .groups import Pipe
from .pipe import widest_nozzle
from .plant import STEPS, solved
from .values import Result, Values


def most_watts(known: Mapping[str, Any], sizes: Values) -> Result:
    """Of the sizes on the last axis the one with which the plant gives most watts into the battery. [m]

    `known` holds the inputs of the plant without its nozzle. A size of which all jets are wider than the pipe does not
    count. Where no size gives any watts it is the one of most jet power. NaN where none fits.
    """
    plant = {name: np.asarray(value)[..., None] for name, value in known.items()}
    widest = widest_nozzle(plant.get("jets", 1), Pipe.from_names(plant))

    def measure(size: Values) -> tuple[Any, Any, Any]:
        fits = size <= widest
        with_it = {**plant, "nozzle": np.where(fits, size, widest)}
        watts, jet = (np.asarray(solved(quantity, with_it, STEPS)) for quantity in ("battery_watts", "jet_power"))
        return watts, jet, fits

    return lists.best_by(sizes, measure)


def nozzle_at_hand(
    plant: Mapping[str, Any], sizes: Values, names: Collection[str] = (), values: Collection[Any] = ()
) -> Result:
    """`most_watts` of a plant, which is a mapping of names to values; some of them changed. [m]"""
    known = {**plant, **dict(zip(names, values, strict=True))}
    return most_watts({name: value for name, value in known.items() if name != "nozzle"}, sizes)


class Seasons(NamedTuple):
    """Which nozzle to fit in which season. Watts are means over the year; months are counted from 1."""

    one: Result  # best size if it stays in all the year [m]
    one_watts: Result
    dry: Result  # smaller of the best two, if it is changed twice a year; the one size where changing brings nothing
    wet: Result  # the larger of the two
    two_watts: Result
    first: Result  # month in which the smaller one is put in; 0 where it is not
    last: Result  # month after which it is taken out
    every_watts: Result  # with the best size every month


ANSWERS = Seasons._fields


def seasons(known: Mapping[str, Any], sizes: Values, flows: Values, month_days: Values) -> Seasons:
    """The nozzles of a year: one, or two that are changed twice, from the watts of every size in every month.

    `known` holds the inputs of the plant without nozzle and available flow; `sizes` [m], the flows that may be used
    [m³/s] and the days of the months have an axis of their own, the last. A size of which all jets are wider than the
    pipe does not count.
    """
    # Axes behind those of the plant: months, sizes.
    plant = {name: np.asarray(value)[..., None, None] for name, value in known.items()}
    sizes = np.sort(np.asarray(sizes), axis=-1)[..., None, :]
    widest = widest_nozzle(plant.get("jets", 1), Pipe.from_names(plant))
    nozzles = np.minimum(sizes, widest)
    watts = np.asarray(
        solved("battery_watts", {**plant, "nozzle": nozzles, "available_flow": np.asarray(flows)[..., None]}, STEPS)
    )
    nozzles, watts, fits = np.broadcast_arrays(nozzles, watts, sizes <= widest)
    share = np.asarray(month_days) / np.sum(month_days, axis=-1, keepdims=True)
    gives = np.where(fits, watts, 0.0) * share[..., None]  # what every month adds to the mean of the year
    year, size = gives.sum(axis=-2), nozzles[..., 0, :]
    one = np.take_along_axis(size, year.argmax(axis=-1, keepdims=True), -1)[..., 0]
    one_watts = year.max(axis=-1)
    twice = _changed_twice(gives, year, size, one, one_watts)
    found = Seasons(one, one_watts, *twice, gives.max(axis=-1).sum(axis=-1))
    fits_any = fits[..., 0, :].any(axis=-1)
    return Seasons(*(np.where(fits_any, value, np.nan) for value in found))


def _changed_twice(gives, year, size, one, one_watts):
    """Smaller and larger size, watts, first and last month: of all pairs and seasons in turn each that gives more."""
    dry, wet, two_watts = one, one, one_watts
    first, last = np.zeros_like(one), np.zeros_like(one)
    months, count = gives.shape[-2:]
    pairs = list(combinations(range(count), 2)) if months > 1 else []  # a season is shorter than the year
    small, large = np.array(pairs, dtype=int).reshape(-1, 2).T
    # What the smaller one gives more, twice over: a season may pass the turn of the year. Axes: months, pairs.
    more = gives[..., small] - gives[..., large]
    sums = np.cumsum(np.concatenate([0 * more[..., :1, :], more, more], axis=-2), axis=-2)
    # From each start on what a season of one month, two months, ... gives more.
    longer = [sums[..., start + 1 : start + months, :] - sums[..., [start], :] for start in range(months)]
    totals = np.stack([year[..., large] + given.max(axis=-2, initial=-np.inf) for given in longer], axis=-1)
    enough = 1 + 1e-9  # by less than a rounding error is no better
    tried = (totals > (one_watts * enough)[..., None, None]).any(axis=tuple(range(totals.ndim - 2)))
    for pair, start in np.argwhere(tried).tolist():
        total = totals[..., pair, start]
        better = total > two_watts * enough
        if better.any():
            two_watts = np.where(better, total, two_watts)
            dry, wet = (np.where(better, size[..., i], old) for i, old in zip(pairs[pair], (dry, wet), strict=True))
            first = np.where(better, start + 1, first)
            last = np.where(better, (start + longer[start][..., pair].argmax(axis=-1)) % months + 1, last)
    return dry, wet, two_watts, first, last


def nozzle_season(
    plant: Mapping[str, Any],
    quantity: str,
    sizes: Values,
    flows: Values,
    month_days: Values,
    names: Collection[str] = (),
    values: Collection[Any] = (),
) -> Result:
    """One of ANSWERS of a plant, which is a mapping of names to values; some of them changed. [m, W or 1]"""
    known = {**plant, **dict(zip(names, values, strict=True))}
    known = {name: value for name, value in known.items() if name not in ("nozzle", "available_flow")}
    return getattr(seasons(known, sizes, flows, month_days), quantity)
