"""Declaration: the nozzle that suits a plant best, of those one has or can drill."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from ..physics import choose as physics
from ..registry import Cells, Example, Function, PlantFunction, declare
from . import plant as whole
from .nozzle import SIZES as LISTED

SIZES = LISTED.with_(
    meaning="Nozzle sizes one has or can drill: a range of cells or a list. Wider ones than the pipe do not count."
)
_NEEDED = tuple(name for name in whole.needed_for("battery_watts") if name != "nozzle")


def resolve(own: Mapping[str, Cells], block: Mapping[str, Cells], changed: Mapping[str, Cells]) -> Any:
    """The function of single inputs that gives the size, and the `Cells` of its arguments.

    Raises `ValueError` for a name that may not be changed.
    """
    for name in changed:
        whole.listed("names", name, whole.CHANGEABLE)
    inputs, block = whole.cells_with_cable(block, changed)
    function = _single(whole.empty_rows(_NEEDED, block, changed))
    inputs["sizes"] = own["sizes"]
    return function, [inputs.get(argument.name, Cells()) for argument in function.arguments]


@dataclass(frozen=True)
class _Chosen(Function):
    """A function of the inputs that the watts need, but for the nozzle, and of the sizes."""

    def _answer(self, si: dict[str, Any]) -> Any:
        sizes = si.pop("sizes")
        # Beside a list every other array has an axis more.
        known = {name: value[..., 0] if np.ndim(value) else value for name, value in si.items()}
        return physics.most_watts(known, sizes)


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
        "922 W. The one of 8 mm has a little more power in its jet, and 901 W.",
    ),
    caution="Most watts now: another season, pipe or battery has another best nozzle.",
)
