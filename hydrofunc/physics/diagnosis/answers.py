"""One value at a time of a diagnosis, as a cell asks for it. SI units.

Many cells ask about the same plant, so the last diagnoses are kept. Readings and uncertainties lie along the last axis;
all other arguments broadcast against it, as those of `best_listed_nozzle`, and it is the axis the result lacks.
"""

from collections import OrderedDict
from collections.abc import Collection, Mapping
from typing import Any

import numpy as np

from ..groups import Plant, flat, over
from ..values import Result, Values, Words
from .judgement import PLANT, Diagnosis, diagnose_plant
from .priors import ITEMS, READINGS

_PLANTS_REMEMBERED = 20_000
_memory: OrderedDict[tuple[object, ...], Diagnosis] = OrderedDict()  # by the bytes of all arguments, the latest last


def _diagnosis(*arguments):
    """`diagnose_plant`, from memory if the same was asked before."""
    arrays: list[np.ndarray] = []
    over(lambda values: arrays.append(np.asarray(values)), arguments)
    key = tuple((array.shape, array.tobytes()) for array in arrays)
    if key not in _memory:
        _memory[key] = diagnose_plant(*arguments)
        while len(_memory) > 1 and sum(entry.order[..., 0].size for entry in _memory.values()) > _PLANTS_REMEMBERED:
            _memory.popitem(last=False)
    _memory.move_to_end(key)
    return _memory[key]


def _lane(values):
    """Without the last axis, along which only the readings differ."""
    return np.asarray(values)[..., 0] if np.ndim(values) else np.asarray(values)


def _answer(field, index, readings, uncertainties, *plant):
    """The element at `index` of a field of the diagnosis; NaN for an index that is none, or readings too few or
    many.
    """
    readings, uncertainties = np.asarray(readings, dtype=float), np.asarray(uncertainties, dtype=float)
    index = _lane(index)
    if not readings.shape[-1] == uncertainties.shape[-1] == len(READINGS):
        return np.full(index.shape, np.nan)[()]
    values = getattr(_diagnosis(readings, uncertainties, *over(_lane, plant)), field)
    exists = (index >= 0) & (index < values.shape[-1])
    shape = np.broadcast_shapes(values.shape[:-1], index.shape)
    values = np.broadcast_to(values, (*shape, values.shape[-1]))
    index = np.broadcast_to(np.where(exists, index, 0).astype(int), shape)
    return np.where(exists, np.take_along_axis(values, index[..., None], axis=-1)[..., 0], np.nan)[()]


def _of_item(item):
    """Index of an item's word."""
    return np.argmax(np.asarray(item)[..., None] == np.array(ITEMS), axis=-1)


_REST = ("readings uncertainties", *PLANT)


@flat("fault", *_REST)
def fault_probability(
    fault: Values, readings: Values, uncertainties: Values, plant: Plant, gauge_height: Values
) -> Result:
    """Probability, 0 to 1, of the fault of that number in FAULTS, from 0. [-]"""
    return _answer("probability", fault, readings, uncertainties, plant, gauge_height)


@flat("rank", *_REST)
def likeliest_fault(
    rank: Values, readings: Values, uncertainties: Values, plant: Plant, gauge_height: Values
) -> Result:
    """Number in FAULTS, from 0, of the fault of that rank, from 1, likeliest first. [-]"""
    return _answer("order", np.subtract(rank, 1), readings, uncertainties, plant, gauge_height)


@flat("item", *_REST)
def diagnosis_estimate(
    item: Words, readings: Values, uncertainties: Values, plant: Plant, gauge_height: Values
) -> Result:
    """Value of an item of ITEMS in the likeliest fault's best fit. [SI unit of the item]"""
    return _answer("estimate", _of_item(item), readings, uncertainties, plant, gauge_height)


@flat("item", *_REST)
def diagnosis_uncertainty(
    item: Words, readings: Values, uncertainties: Values, plant: Plant, gauge_height: Values
) -> Result:
    """Standard uncertainty of `diagnosis_estimate`. [SI unit of the item]"""
    return _answer("uncertainty", _of_item(item), readings, uncertainties, plant, gauge_height)


@flat("reading", *_REST)
def reading_misfit(
    reading: Values, readings: Values, uncertainties: Values, plant: Plant, gauge_height: Values
) -> Result:
    """Reading of that number, from 1, less what plan and all other readings let expect, over its standard deviation, if
    all were well. [-]
    """
    return _answer("misfit", np.subtract(reading, 1), readings, uncertainties, plant, gauge_height)


@flat("rank", *_REST)
def next_reading(rank: Values, readings: Values, uncertainties: Values, plant: Plant, gauge_height: Values) -> Result:
    """Number, from 1, of the reading not yet taken that best tells the two likeliest faults apart; 0 for none. [-]"""
    return _answer("following", np.subtract(rank, 1), readings, uncertainties, plant, gauge_height)


@flat("reading", *_REST)
def expected_reading(
    reading: Values, readings: Values, uncertainties: Values, plant: Plant, gauge_height: Values
) -> Result:
    """What a healthy plant would read at the loads that were read. [SI unit of the reading]"""
    return _answer("expected", np.subtract(reading, 1), readings, uncertainties, plant, gauge_height)


@flat("reading", *_REST)
def expected_spread(
    reading: Values, readings: Values, uncertainties: Values, plant: Plant, gauge_height: Values
) -> Result:
    """Standard deviation of that reading over healthy plants, without the meter's own. [SI unit of the reading]"""
    return _answer("spread", np.subtract(reading, 1), readings, uncertainties, plant, gauge_height)


ANSWERS = {
    answer.__name__: answer
    for answer in (
        fault_probability,
        likeliest_fault,
        diagnosis_estimate,
        diagnosis_uncertainty,
        reading_misfit,
        next_reading,
        expected_reading,
        expected_spread,
    )
}


def diagnosis(
    plant: Mapping[str, Any],
    quantity: str,
    which: Values | Words,
    readings: Values,
    uncertainties: Values,
    names: Collection[str] = (),
    values: Collection[Any] = (),
) -> Result:
    """An answer of ANSWERS about a plant, which is a mapping of names to values, some of them changed.

    `which` is the answer's own first argument. [the answer's SI unit]
    """
    known = {**plant, **dict(zip(names, values, strict=True))}
    return ANSWERS[quantity].flat(which, readings, uncertainties, *(known[name] for name in PLANT))
