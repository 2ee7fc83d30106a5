"""Declarations: diagnosis of a test day.

Readings are one list of many units, so one declared unit cannot serve them; each has the unit of the argument that
stands for it elsewhere.
"""

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache, wraps
from typing import Any

import numpy as np

from ..physics import diagnosis
from ..physics.diagnosis import answers
from ..registry import FUNCTIONS, Argument, Cells, Example, Function, PlantFunction, Rule, declare
from ..units import from_si, to_si
from . import nomenclature as n
from . import plant as whole
from .nozzle import RULES as WATER_RULES
from .nozzle import WITHIN_PIPE
from .operating_point import LOAD_RULES
from .survey import GAUGE_PRESSURE
from .uncertainty import RUNNING_PRESSURE

GROUP = "Diagnosis of a test day"
SOURCE = (
    "Bayes' theorem over this package's own model of the plant; evidence of a linear Gaussian model as in C. M. "
    "Bishop, Pattern Recognition and Machine Learning, 2.3.3 and 3.4 (from memory, not looked up); priors are common "
    "practice, no published source"
)
GUM = (
    "Standard uncertainty as in JCGM 100:2008 (GUM), from the covariance of the fit; priors are common practice, no "
    "published source"
)
FAULTS, ITEMS, READING_NAMES = diagnosis.FAULTS, diagnosis.ITEMS, diagnosis.READINGS
NO_SINGLE = FAULTS[diagnosis.TWO_OR_NONE]  # two faults, or none of these: nobody knows what to put right
_AT_A_LOAD = (n.SPEED.unit, n.BATTERY_VOLTS.unit, n.BATTERY_VOLTS.unit, n.D_C_CURRENT.unit)
UNITS = (  # of the readings
    *(GAUGE_PRESSURE.unit, RUNNING_PRESSURE.unit, n.FLOW.unit),
    *(*_AT_A_LOAD, *_AT_A_LOAD),
    *(n.PHASE_VOLTS.unit, "-", n.NOZZLE.unit),
    *("-",) * len(diagnosis.LOOKS),
    n.SPEED.unit,
)
METERED = diagnosis.METERED
SHORTER = (METERED, METERED + len(diagnosis.LOOKS))  # without the looks; without the speed of the open volts

READINGS = Argument(
    "readings",
    "-",
    f"{len(UNITS)}: static bar, running bar, flow L/s; load A: rpm, rectifier V, load V, A; load B: the same 4; open "
    "V per krpm; lowest over highest line V; nozzle mm; 1 or 0: intake overflows, screen clean; rpm of open V. 0 if "
    "not taken.",
    "[0, 1e6]",
    many=True,
)
UNCERTAINTIES = Argument(
    "uncertainties",
    "-",
    f"Standard uncertainty of each of the {len(UNITS)} readings, in its unit (of looks the chance that the answer "
    "is wrong); 0 where it was not taken.",
    "[0, 1e6]",
    many=True,
)
_LAST_FAULT = len(FAULTS) - 1
FAULT = Argument(
    "fault",
    "-",
    f"0 all well, then the {_LAST_FAULT} others in the order of the sheet Diagnosis.",
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
_UNIT = {argument.name: argument.unit for argument in _PLANT}
ITEM_UNITS = tuple(_UNIT[item] for item in ITEMS)


def _in_trade_units(answer, units=None):
    """The flat form of an answer, with the readings in trade units.

    `units` says in which unit the result is, by argument and its value, as in {("reading", 3): "L/s"}; if left out, SI.
    """

    @wraps(answer.flat)
    def worksheet(**values):
        lists = {name: _list_to_si(values[name]) for name in ("readings", "uncertainties")}
        result = answer.flat(**values | lists)
        for (name, choice), unit in (units or {}).items():
            asked = np.asarray(values[name])[..., 0] if np.ndim(values[name]) else values[name]
            result = np.where(asked == choice, from_si(result, unit), result)
        return result

    return worksheet


def _list_to_si(values):
    """A list of readings in SI; one of another length stays, as its rule refuses it. What is left out at its end was
    not taken.
    """
    if np.shape(values)[-1] in SHORTER:
        left_out = len(UNITS) - np.shape(values)[-1]
        values = np.concatenate([values, np.zeros((*np.shape(values)[:-1], left_out))], axis=-1)
    if np.shape(values)[-1] != len(UNITS):
        return values
    columns = (to_si(column, unit) for column, unit in zip(np.moveaxis(values, -1, 0), UNITS, strict=True))
    return np.stack(tuple(columns), axis=-1)


_READING_UNITS = {("reading", number): unit for number, unit in enumerate(UNITS, 1)}
_ITEM_UNITS = {("item", item): unit for item, unit in zip(ITEMS, ITEM_UNITS, strict=True)}


def _whole(name):
    return Rule(name, "be a whole number", lambda **values: np.equal(values[name], np.round(values[name])))


_ALL_READINGS = tuple(
    Rule(
        name,
        f"have {len(UNITS)} numbers, 0 for those not taken; or the first {SHORTER[0]} or {SHORTER[1]}",
        lambda name=name, **values: np.shape(values[name])[-1] in (len(UNITS), *SHORTER),
    )
    for name in ("readings", "uncertainties")
)
_RULES = (*_ALL_READINGS, *WATER_RULES, WITHIN_PIPE, *LOAD_RULES)
# A plant of 100 m of head and 400 m of 1 1/2 inch pipe; its flow of 2.2 L/s and the gauge are those of a pipe of 0.47
# mm roughness.
_SITE_A = {
    "readings": [9.8, 4.155, 2.2, 2275, 58.2, 57, 12.3, 0, 0, 0, 0, 0, 0, 0, 1, 0],
    "uncertainties": [0.1, 0.06, 0.04, 20, 0.6, 0.6, 0.25, 0, 0, 0, 0, 0, 0, 0, 0.05, 0],
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
    "alignment": 1,  # an ideal wheel
    "bearing_drag": 0.15,
    "windage": 0,
    "iron_drag": 0,
    "phase_inductance": 0.15,
    "cable_resistance": 0.1,
}
_DEFER = (
    "A likely fault is no proof: shut the valve and let the wheel stop before you look for it. Local codes and "
    "licensed practice rule."
)


def _declare(answer, first, help_, meaning, equation, source, example, result, words="", units=None, changes=None):
    declare(
        _in_trade_units(answer, units),
        group=GROUP,
        help=help_,
        arguments=(first, READINGS, UNCERTAINTIES, *_PLANT),
        unit="-",
        meaning=meaning,
        equation=equation,
        source=source,
        rules=_RULES if first.is_text else (_whole(first.name), *_RULES),
        example=Example({first.name: example, **_SITE_A, **(changes or {})}, result, words),
        caution=_DEFER,
        one_by_one=True,
    )


_declare(
    answers.fault_probability,
    FAULT,
    "Probability of a fault, given the readings of a test day and the plant as planned.",
    "Probability, 0 to 1.",
    "prior times evidence of the fault, over the sum of all",
    SOURCE,
    1,
    0.77,
    "The flow and both pressures point at the pipe.",
)
_declare(
    answers.likeliest_fault,
    RANK,
    "Number of the likeliest fault (rank 1), the next (rank 2) and so on; 0 is all well.",
    "Number of the fault.",
    "order of FAULT_PROBABILITY",
    SOURCE,
    1,
    1,
)
_declare(
    answers.diagnosis_estimate,
    ITEM,
    "A value of the plant as the readings show it, if the likeliest fault is the true one; in the unit of the item.",
    "Estimate, in the unit of the item.",
    "best fit of the model to readings and prior",
    SOURCE,
    "roughness",
    0.47,
    "As planned: 0.15 mm.",
    units=_ITEM_UNITS,
)
_declare(
    answers.diagnosis_uncertainty,
    ITEM,
    "Standard uncertainty of DIAGNOSIS_ESTIMATE; large where no reading tells.",
    "Standard uncertainty, in the unit of the item.",
    "square root of J (P - P J' S^-1 J P) J'",
    GUM,
    "roughness",
    0.68,
    units=_ITEM_UNITS,
)
_declare(
    answers.reading_misfit,
    READING,
    "How far a reading is from what plan and other readings let expect if all were well, in standard deviations.",
    "Standardised residual, leaving this reading out; 0 if not taken.",
    "(S^-1 r)_i / sqrt((S^-1)_ii)",
    SOURCE,
    2,
    -1.55,
    "Beyond 2 or 3 it does not fit.",
)
_declare(
    answers.next_reading,
    RANK.with_(within=f"[1, {len(UNITS)}]"),
    "Place in the list of the reading, not yet taken, that best tells the two likeliest faults apart; 0 for none.",
    "Place of the reading, from 1.",
    "greatest difference of predictions over its standard deviation",
    SOURCE,
    1,
    15,
    "Not looked yet: does water run over at the intake?",
    changes={name: _SITE_A[name][:METERED] for name in ("readings", "uncertainties")},
)
_declare(
    answers.expected_reading,
    READING,
    "What a healthy plant as planned would read, at the load volts that were read; in the unit of the reading.",
    "Reading expected.",
    "the model's reading at the prior mean",
    SOURCE,
    3,
    2.3933,
    units=_READING_UNITS,
)
_declare(
    answers.expected_spread,
    READING,
    "Standard deviation of EXPECTED_READING over healthy plants, the meter's own not counted.",
    "Standard deviation, in the unit of the reading.",
    "square root of (J P J')_ii",
    GUM,
    3,
    0.0426,
    units=_READING_UNITS,
)


# -- the same of a whole plant in a block ----------------------------------------------------------------------

ANSWERS = tuple(answers.ANSWERS)
QUANTITY = Argument(
    "quantity",
    "text",
    "What is asked: the name of a function of this group, such as fault_probability.",
    choices=ANSWERS,
    part="quantity",
)
WHICH = Argument(
    "which",
    "-",
    "That function's first argument: number of the fault, rank or reading, or the word of the item.",
    "(-inf, inf)",
    part="which",
)
CHANGEABLE = tuple(a.name for a in (*whole.INPUTS, _PLANT[-1]))


def resolve(own: Mapping[str, Cells], block: Mapping[str, Cells], changed: Mapping[str, Cells]) -> Any:
    """The function of single inputs that gives the answer, and the `Cells` of its arguments.

    Raises `ValueError` for an unknown quantity, and for a name that may not be changed.
    """
    quantity = whole.listed("quantity", own["quantity"].values, ANSWERS)
    whole.only_changeable(changed, CHANGEABLE)
    inputs, block = whole.cells_with_cable(block, changed)
    function = _single(quantity, whole.empty_rows(tuple(_UNIT), block, changed))
    inputs |= {function.arguments[0].name: own["which"], **{name: own[name] for name in ("readings", "uncertainties")}}
    return function, [inputs.get(argument.name, Cells()) for argument in function.arguments]


@lru_cache(maxsize=256)
def _single(quantity: str, must_hold: frozenset[str]) -> Function:
    function = FUNCTIONS[quantity]
    first, rest = function.arguments[:1], function.arguments[1:]
    return replace(function, arguments=(*first, *whole.without_defaults(rest, must_hold)))


declare(
    answers.diagnosis,
    kind=PlantFunction,
    resolve=resolve,
    group=GROUP,
    help="Any answer of the diagnosis for a plant that stands in two columns of names and values; with other values "
    "for some inputs if you like.",
    arguments=(whole.PLANT, QUANTITY, WHICH, READINGS, UNCERTAINTIES, whole.NAMES, whole.VALUES),
    unit="-",
    meaning="The answer, in the unit that its own function says.",
    equation="as in the function of that name",
    source=SOURCE,
    example=Example(
        {
            "plant": {name: value for name, value in _SITE_A.items() if name in _UNIT},
            "quantity": "fault_probability",
            "which": 1,
            **{name: _SITE_A[name] for name in ("readings", "uncertainties")},
        },
        0.77,
        "The flow and both pressures point at the pipe.",
    ),
    caution=_DEFER,
    one_by_one=True,
)
