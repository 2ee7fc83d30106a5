"""Declarations: diagnosis of a test day.

All functions look at the same diagnosis of a plant, which is kept for the next cell that asks. Readings are one list
of many units, so it is here that they are turned into SI.
"""

import inspect
from collections import OrderedDict
from functools import wraps

import numpy as np

from ..physics import diagnosis as physics
from ..registry import Argument, Example, Rule, declare
from ..units import to_si
from . import nomenclature as n
from .nozzle import RULES as WATER_RULES
from .nozzle import WITHIN_PIPE
from .operating_point import LOAD_RULES

GROUP = "Diagnosis of a test day"
SOURCE = (
    "Bayes' theorem over this package's own model of the plant; evidence of a linear Gaussian model as in C. M. Bishop, Pattern "
    "Recognition and Machine Learning, 2.3.3 and 3.4 (from memory, not looked up); priors are common practice, no published source"
)
GUM = "Standard uncertainty as in JCGM 100:2008 (GUM), from the covariance of the fit; priors are common practice, no published source"
FAULTS, ITEMS, READING_NAMES = physics.FAULTS, physics.ITEMS, physics.READINGS
UNITS = ("bar", "bar", "L/s", "rpm", "V", "V", "A", "rpm", "V", "V", "A", "V/krpm", "-", "mm")  # of the readings
ITEM_UNITS = ("m", "mm", "-", "-", "mm", "-", "N·m", "W/krpm³", "V/krpm", "Ω", "Ω")
_SI = np.array([to_si(1.0, unit) for unit in UNITS])  # all of these units are pure factors
_ITEM_SI = np.array([to_si(1.0, unit) for unit in ITEM_UNITS])

READINGS = Argument(
    "readings",
    "-",
    f"{len(UNITS)}: static bar, running bar, flow L/s; load A: rpm, rectifier V, load V, A; load B: the same 4; open d.c. V per "
    "1000 rpm; lowest over highest line volts; nozzle mm. 0 if not taken.",
    "[0, 1e6]",
    many=True,
)
UNCERTAINTIES = Argument(
    "uncertainties",
    "-",
    f"Standard uncertainty of each of the {len(UNITS)} readings, in its unit; 0 where it was not taken.",
    "[0, 1e6]",
    many=True,
)
_LAST_FAULT = len(FAULTS) - 1
FAULT = Argument(
    "fault",
    "-",
    f"0 all well, then the {_LAST_FAULT} faults in the order of the sheet Diagnosis.",
    f"[0, {_LAST_FAULT}]",
)
RANK = Argument("rank", "-", "1 for the first, 2 for the second.", f"[1, {len(FAULTS)}]")
READING = Argument("reading", "-", "Place of the reading in the list, from 1.", f"[1, {len(UNITS)}]")
ITEM = Argument("item", "text", "Which value; in the unit of the argument of that name.", choices=ITEMS)
_PLANT = (
    n.GROSS_HEAD,
    n.LENGTH,
    n.BORE,
    n.ROUGHNESS,
    n.NOZZLE,
    n.PITCH_DIAMETER,
    n.PHASE_VOLTS,
    n.POLE_PAIRS,
    n.PHASE_RESISTANCE,
    n.BATTERY_VOLTS,
    n.FITTINGS,
    n.JETS,
    n.VELOCITY_COEFFICIENT,
    n.CONTRACTION,
    n.TEMPERATURE,
    n.GRAVITY,
    n.AVAILABLE_FLOW,
    n.DEFLECTION,
    n.CUP_FRICTION,
    n.ALIGNMENT,
    n.BEARING_DRAG,
    n.WINDAGE,
    n.PHASE_INDUCTANCE,
    n.CONNECTION,
    n.DIODE_DROP,
    n.CABLE_RESISTANCE,
    n.IRON_DRAG,
    n.LOAD,
    n.LOAD_RESISTANCE,
    n.CONTROLLER_EFFICIENCY,
    n.LENGTH_2,
    n.BORE_2,
    n.ROUGHNESS_2,
    n.LENGTH_3,
    n.BORE_3,
    n.ROUGHNESS_3,
    Argument(
        "gauge_height", "m", "How far the gauge sits above the nozzle; below is negative.", "[-50, 200]", default=0.0
    ),
)
_KEPT = OrderedDict()  # diagnoses by the bytes of their arguments, the latest last
_MOST_KEPT = 20_000  # plants


def _diagnosis(readings, uncertainties, plant):
    """The diagnosis, from what is kept if the same was asked before; None where there are not as many of each as READINGS."""
    readings, uncertainties = np.asarray(readings, dtype=float), np.asarray(uncertainties, dtype=float)
    if not readings.shape[-1] == uncertainties.shape[-1] == len(UNITS):
        return None
    plant = {name: np.asarray(value)[..., 0] if np.ndim(value) else np.asarray(value) for name, value in plant.items()}
    key = tuple((array.shape, array.tobytes()) for array in (readings, uncertainties, *plant.values()))
    if key not in _KEPT:
        _KEPT[key] = physics.diagnose(readings * _SI, uncertainties * _SI, **plant)
        while len(_KEPT) > 1 and sum(kept.order[..., 0].size for kept in _KEPT.values()) > _MOST_KEPT:
            _KEPT.popitem(last=False)
    _KEPT.move_to_end(key)
    return _KEPT[key]


def _at(values, place):
    """The element of the last axis at `place`, a whole number per plant; NaN for a place that is none."""
    place = np.asarray(place)
    fine = (place >= 0) & (place < values.shape[-1])
    place = np.where(fine, place, 0).astype(int)
    shape = np.broadcast_shapes(values.shape[:-1], place.shape)
    values = np.broadcast_to(values, (*shape, values.shape[-1]))
    found = np.take_along_axis(values, np.broadcast_to(place, shape)[..., None], axis=-1)[..., 0]
    return np.where(fine, found, np.nan)[()]


def _over_plant(answer):
    """A function of (first argument, readings, uncertainties, the plant's arguments) from one of (diagnosis, first argument)."""
    first = list(inspect.signature(answer).parameters)[1]

    @wraps(answer)
    def whole(**given):
        chosen = np.asarray(given.pop(first))
        found = _diagnosis(given.pop("readings"), given.pop("uncertainties"), given)
        if found is None:
            return np.full(chosen.shape[:-1], np.nan)[()]
        return answer(found, chosen[..., 0] if chosen.ndim else chosen)

    names = (first, "readings", "uncertainties", *(argument.name for argument in _PLANT))
    kind = inspect.Parameter.POSITIONAL_OR_KEYWORD
    whole.__signature__ = inspect.Signature([inspect.Parameter(name, kind) for name in names])
    return whole


@_over_plant
def fault_probability(found, fault):
    """Probability of a fault of `physics.FAULTS`, given the readings. [-]"""
    return _at(found.probability, fault)


@_over_plant
def likeliest_fault(found, rank):
    """Number in `physics.FAULTS` of the fault of that rank, likeliest first. [-]"""
    return _at(found.order, rank - 1)


@_over_plant
def diagnosis_estimate(found, item):
    """Value of an item of `physics.ITEMS` in the likeliest fault's best fit, in the trade unit of that item. [-]"""
    return _at(found.estimate / _ITEM_SI, _place(item))


@_over_plant
def diagnosis_uncertainty(found, item):
    """Standard uncertainty of `diagnosis_estimate`, in the trade unit of that item. [-]"""
    return _at(found.uncertainty / _ITEM_SI, _place(item))


@_over_plant
def reading_misfit(found, reading):
    """Reading less what plan and all other readings let expect, over its standard deviation, if all were well. [-]"""
    return _at(found.misfit, reading - 1)


@_over_plant
def next_reading(found, rank):
    """Number of the reading, not yet taken, that best tells the two likeliest faults apart; 0 for none. [-]"""
    return _at(found.following, rank - 1)


@_over_plant
def expected_reading(found, reading):
    """What a healthy plant would read at the loads that were read, in the trade unit of that reading. [-]"""
    return _at(found.expected / _SI, reading - 1)


@_over_plant
def expected_spread(found, reading):
    """Standard deviation of that reading over healthy plants, without the meter's own, in its trade unit. [-]"""
    return _at(found.spread / _SI, reading - 1)


def _place(item):
    """Number of an item's word."""
    return np.argmax(np.asarray(item)[..., None] == np.array(ITEMS), axis=-1)


def _whole(name):
    return Rule(name, "be a whole number", lambda **values: np.equal(values[name], np.round(values[name])))


_ALL_READINGS = tuple(
    Rule(
        name,
        f"have {len(UNITS)} numbers, 0 for those not taken",
        lambda name=name, **values: np.shape(values[name])[-1] == len(UNITS),
    )
    for name in ("readings", "uncertainties")
)
_RULES = (*_ALL_READINGS, *WATER_RULES, WITHIN_PIPE, *LOAD_RULES)
# A plant of 100 m of head and 400 m of 1 1/2 inch pipe; its flow of 2.2 L/s and the gauge are those of a pipe of 0.47 mm roughness.
_SITE_A = {
    "readings": [9.8, 4.155, 2.2, 2275, 58.2, 57, 12.3, 0, 0, 0, 0, 0, 0, 0],
    "uncertainties": [0.1, 0.06, 0.04, 20, 0.6, 0.6, 0.25, 0, 0, 0, 0, 0, 0, 0],
    "gross_head": 100,
    "length": 400,
    "bore": 40.9,
    "roughness": 0.15,
    "nozzle": 10,
    "pitch_diameter": 120,
    "phase_volts": 12.26683,
    "pole_pairs": 6,
    "phase_resistance": 0.12,
    "battery_volts": 57,
    "fittings": 2.6,
    "temperature": 8,
    "gravity": 9.80447,
    "bearing_drag": 0.15,
    "phase_inductance": 0.15,
    "cable_resistance": 0.1,
}
_DEFER = "A likely fault is no proof: shut the valve and let the wheel stop before you look for it. Local codes and licensed practice rule."


def _declare(function, first, help_, meaning, equation, source, example, result, words=""):
    declare(
        function,
        group=GROUP,
        help=help_,
        arguments=(first, READINGS, UNCERTAINTIES, *_PLANT),
        unit="-",
        meaning=meaning,
        equation=equation,
        source=source,
        rules=_RULES if first.is_text else (_whole(first.name), *_RULES),
        example=Example({first.name: example, **_SITE_A}, result, words),
        caution=_DEFER,
    )


_declare(
    fault_probability,
    FAULT,
    "Probability of a fault, given the readings of a test day and the plant as planned.",
    "Probability, 0 to 1.",
    "prior times evidence of the fault, over the sum of all",
    SOURCE,
    1,
    0.949,
    "The flow and both pressures point at the pipe.",
)
_declare(
    likeliest_fault,
    RANK,
    "Number of the likeliest fault (rank 1), the next (rank 2) and so on; 0 is all well.",
    "Number of the fault.",
    "order of FAULT_PROBABILITY",
    SOURCE,
    1,
    1,
)
_declare(
    diagnosis_estimate,
    ITEM,
    "A value of the plant as the readings show it, if the likeliest fault is the true one; in the unit of the item.",
    "Estimate, in the unit of the item.",
    "best fit of the model to readings and prior",
    SOURCE,
    "roughness",
    0.47,
    "As planned: 0.15 mm.",
)
_declare(
    diagnosis_uncertainty,
    ITEM,
    "Standard uncertainty of DIAGNOSIS_ESTIMATE; large where no reading tells.",
    "Standard uncertainty, in the unit of the item.",
    "square root of J (P - P J' S^-1 J P) J'",
    GUM,
    "roughness",
    0.0499,
)
_declare(
    reading_misfit,
    READING,
    "How far a reading is from what plan and other readings let expect if all were well, in standard deviations.",
    "Standardised residual, leaving this reading out; 0 if not taken.",
    "(S^-1 r)_i / sqrt((S^-1)_ii)",
    SOURCE,
    2,
    -1.42,
    "Beyond 2 or 3 it does not fit.",
)
_declare(
    next_reading,
    RANK.with_(within=f"[1, {len(UNITS)}]"),
    "Place in the list of the reading, not yet taken, that best tells the two likeliest faults apart; 0 for none.",
    "Place of the reading, from 1.",
    "greatest difference of predictions over its standard deviation",
    SOURCE,
    1,
    11,
)
_declare(
    expected_reading,
    READING,
    "What a healthy plant as planned would read, at the load volts that were read; in the unit of the reading.",
    "Reading expected.",
    "the model's reading at the prior mean",
    SOURCE,
    3,
    2.3933,
)
_declare(
    expected_spread,
    READING,
    "Standard deviation of EXPECTED_READING over healthy plants, the meter's own not counted.",
    "Standard deviation, in the unit of the reading.",
    "square root of (J P J')_ii",
    GUM,
    3,
    0.0426,
)
