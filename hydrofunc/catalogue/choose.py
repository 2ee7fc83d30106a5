"""Declarations: the nozzles that suit a plant best, of those one has or can drill."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from ..physics import choose as physics
from ..registry import Argument, Cells, Example, Function, PlantFunction, Rule, declare
from . import plant as whole
from .memory import Memory
from .nozzle import SIZES as LISTED

SIZES = LISTED.with_(
    meaning="Nozzle sizes one has or can drill: a range of cells or a list. Wider ones than the pipe do not count."
)
_NEEDED = tuple(name for name in whole.needed_for("battery_watts") if name != "nozzle")


def resolve(own: Mapping[str, Cells], block: Mapping[str, Cells], changed: Mapping[str, Cells]) -> Any:
    """The function of single inputs that gives the size, and the `Cells` of its arguments.

    Raises `ValueError` for a name that may not be changed.
    """
    whole.only_changeable(changed)
    inputs, block = whole.cells_with_cable(block, changed)
    function = _single(whole.empty_rows(_NEEDED, block, changed))
    inputs["sizes"] = own["sizes"]
    return function, [inputs.get(argument.name, Cells()) for argument in function.arguments]


@dataclass(frozen=True)
class _Chosen(Function):
    """A function of the inputs that the watts need, but for the nozzle, and of the sizes."""

    def _answer(self, si: dict[str, Any]) -> Any:
        return physics.most_watts(whole.beside_lists(si, ("sizes",)), si["sizes"])


@lru_cache(maxsize=64)
def _single(must_hold: frozenset[str]) -> Function:
    inputs = whole.reading(_NEEDED, must_hold)
    return _Chosen(
        **whole.words_of(FUNCTION),
        arguments=whole.without_defaults((*inputs.arguments, SIZES), frozenset()),
        unit=FUNCTION.unit,
        meaning=FUNCTION.meaning,
        rules=inputs.rules,
        physics=physics.nozzle_at_hand,
    )


FUNCTION = declare(
    physics.nozzle_at_hand,
    kind=PlantFunction,
    resolve=resolve,
    group="Whole plant",
    help="Of the nozzle sizes one has or can drill, the one with which a plant gives most watts into its battery.",
    arguments=(whole.PLANT, SIZES, whole.NAMES, whole.VALUES),
    unit="mm",
    meaning="The size of the list; where none gives any watts, the one of most jet power.",
    symbol="d",
    equation="greatest watts into the load over the list",
    source=whole.FUNCTION_SOURCE,
    example=Example(
        {"plant": whole.PLANT_FUNCTION.example.arguments["plant"], "sizes": [6, 8, 9, 10, 12]},
        9.0,
        "651 W. The one of 8 mm has a little more power in its jet, and 633 W.",
    ),
    caution="Most watts now: another season, pipe or battery has another best nozzle.",
)


MEMORY = Memory(limit=4_000_000)
QUANTITY = Argument(
    "quantity",
    "text",
    "What is asked: one, dry or wet in mm; one_watts, two_watts or every_watts in W; first or last month, from 1.",
    choices=physics.ANSWERS,
    part="quantity",
)
MONTHLY = Argument("flows", "L/s", "Flow that may be used, month by month.", "[0, 100000]", many=True)
DAYS = Argument("month_days", "-", "Days of the months, as many as the flows.", "(0, 366]", many=True)
_UNITS = {"one": "mm", "dry": "mm", "wet": "mm", "first": "-", "last": "-"}  # else W
_IN_SEASONS = tuple(name for name in _NEEDED if name != "available_flow")


def resolve_season(own: Mapping[str, Cells], block: Mapping[str, Cells], changed: Mapping[str, Cells]) -> Any:
    """The function of single inputs that gives the answer, and the `Cells` of its arguments.

    Raises `ValueError` for an unknown quantity, and for a name that may not be changed.
    """
    quantity = whole.listed("quantity", own["quantity"].values, physics.ANSWERS)
    whole.only_changeable(changed)
    inputs, block = whole.cells_with_cable(block, changed)
    function = _season(quantity, whole.empty_rows(_IN_SEASONS, block, changed))
    inputs |= {name: own[name] for name in ("sizes", "flows", "month_days")}
    return function, [inputs.get(argument.name, Cells()) for argument in function.arguments]


def _as_many(flows: Any, month_days: Any, **_: Any) -> Any:
    return np.shape(flows)[-1] == np.shape(month_days)[-1]


AS_MANY = Rule("month_days", "be as many as the flows", _as_many)


@dataclass(frozen=True)
class _Season(Function):
    """A function of the inputs that the watts need, of sizes, flows and days; a year is remembered."""

    quantity: str = ""

    def _answer(self, si: dict[str, Any]) -> Any:
        lists = {name: si[name] for name in ("sizes", "flows", "month_days")}
        if not _as_many(lists["flows"], lists["month_days"]):
            return np.nan  # the rule says why
        known = whole.beside_lists(si, lists)
        year = MEMORY.get("seasons", known | lists, lambda: physics.seasons(known, **lists))
        return np.array(year[physics.ANSWERS.index(self.quantity)])


@lru_cache(maxsize=64)
def _season(quantity: str, must_hold: frozenset[str]) -> Function:
    inputs = whole.reading(_IN_SEASONS, must_hold)
    return _Season(
        **whole.words_of(SEASON),
        arguments=whole.without_defaults((*inputs.arguments, SIZES, MONTHLY, DAYS), frozenset()),
        unit=_UNITS.get(quantity, "W"),
        meaning=SEASON.meaning,
        rules=(*inputs.rules, AS_MANY),
        physics=physics.nozzle_season,
        quantity=quantity,
    )


SEASON = declare(
    physics.nozzle_season,
    kind=PlantFunction,
    resolve=resolve_season,
    group="Whole plant",
    help="Which nozzle to fit all the year, or which two to change twice a year, and what that gives, from the flow of "
    "every month.",
    arguments=(whole.PLANT, QUANTITY, SIZES, MONTHLY, DAYS, whole.NAMES, whole.VALUES),
    unit="-",
    meaning="Size in mm, mean watts over the year, or number of a month; dry and wet: the smaller and the larger one.",
    symbol="d",
    equation="greatest mean of the watts over the year, all pairs and seasons tried",
    source=whole.FUNCTION_SOURCE,
    example=Example(
        {
            "plant": whole.PLANT_FUNCTION.example.arguments["plant"],
            "quantity": "dry",
            "sizes": [6, 8, 10],
            "flows": [2.4, 2.4, 1.1, 0.9, 1.1, 2.4],
            "month_days": [30, 30, 30, 30, 30, 30],
        },
        6.0,
        "Put in for the three dry months.",
    ),
    caution="Flows of months are means: a dry week within a wet month is not seen.",
)
