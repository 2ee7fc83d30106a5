"""Choosing among what can be bought: of the nozzles at hand the one with most watts. SI units."""

from collections.abc import Collection, Mapping
from typing import Any

import numpy as np

from .groups import Pipe
from .pipe import outlet_bore
from .plant import STEPS, solved
from .values import Result, Values


def most_watts(known: Mapping[str, Any], sizes: Values) -> Result:
    """Of the sizes on the last axis the one with which the plant gives most watts into the battery. [m]

    `known` holds the inputs of the plant without its nozzle. A size wider than the pipe that feeds it does not count.
    Where no size gives any watts it is the one of most jet power. NaN where none fits.
    """
    plant = {name: np.asarray(value)[..., None] for name, value in known.items()}
    widest = outlet_bore(Pipe.from_names(plant))
    nozzles = np.broadcast_to(sizes, np.broadcast_shapes(np.shape(sizes), np.shape(widest)))
    fits = nozzles <= widest
    plant["nozzle"] = np.where(fits, nozzles, widest)
    watts, jet = (np.asarray(solved(quantity, plant, STEPS)) for quantity in ("battery_watts", "jet_power"))
    rank = np.where((watts > 0).any(axis=-1, keepdims=True), watts, jet)
    rank, fits, nozzles = np.broadcast_arrays(rank, fits, nozzles)
    rank = np.where(fits & np.isfinite(rank), rank, -np.inf)
    best = np.take_along_axis(nozzles, rank.argmax(axis=-1, keepdims=True), -1)[..., 0]
    return np.where(np.isneginf(rank).all(axis=-1), np.nan, best)


def nozzle_at_hand(
    plant: Mapping[str, Any], sizes: Values, names: Collection[str] = (), values: Collection[Any] = ()
) -> Result:
    """`most_watts` of a plant, which is a mapping of names to values; some of them changed. [m]"""
    known = {**plant, **dict(zip(names, values, strict=True))}
    return most_watts({name: value for name, value in known.items() if name != "nozzle"}, sizes)
