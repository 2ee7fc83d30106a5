"""Declaration: the pressures along a pipe while a jet is blocked, or its valve is shut or opened."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import inf
from typing import Any

import numpy as np

from ..physics import characteristics as physics
from ..physics.groups import Water
from ..registry import Argument, Cells, Example, Function, PlantFunction, declare
from . import nomenclature as n
from . import plant as whole
from .memory import Memory
from .nozzle import WHOLE_JETS, WITHIN_PIPE
from .pipe import NEXT_BORES, NEXT_ROUGHNESSES, SMOOTH_ENOUGH
from .route import CHAINAGE
from .strength import SPEEDS_GIVEN, VALVE_TIME, WAVE_SPEED, WAVE_SPEED_2, WAVE_SPEED_3

MEMORY = Memory(limit=64_000_000)
LANES_REMEMBERED = 500  # of so many lanes each run is remembered by itself

QUANTITY = Argument(
    "quantity",
    "text",
    "What is asked: blocked, shut or opened, and highest or lowest.",
    choices=physics.QUANTITIES,
    part="quantity",
)
WHERE = CHAINAGE.with_(default=inf, meaning="Where in the pipe, from the intake; left out: at the nozzle.")
_PIPE = (
    *(n.GROSS_HEAD, n.FLOW, n.LENGTH, n.BORE, n.ROUGHNESS, WAVE_SPEED, n.FITTINGS),
    *(n.LENGTH_2, n.BORE_2, n.ROUGHNESS_2, WAVE_SPEED_2, n.LENGTH_3, n.BORE_3, n.ROUGHNESS_3, WAVE_SPEED_3),
    *(n.TEMPERATURE, n.GRAVITY),
)
_VALVE = (n.NOZZLE, n.JETS, n.CONTRACTION, VALVE_TIME)
_ARGUMENTS = {argument.name: argument for argument in (*_PIPE, *_VALVE)}
CHANGEABLE = tuple(_ARGUMENTS)
MAY_BE_EMPTY = whole.MAY_BE_EMPTY | {"wave_speed_2", "wave_speed_3"}


def resolve(own: Mapping[str, Cells], block: Mapping[str, Cells], changed: Mapping[str, Cells]) -> Any:
    """The function of single inputs that gives the pressure, and the `Cells` of its arguments.

    Raises `ValueError` for an unknown quantity, and for a name that may not be changed.
    """
    quantity = whole.listed("quantity", own["quantity"].values, physics.QUANTITIES)
    whole.only_changeable(changed, CHANGEABLE)
    function = single(quantity, whole.empty_rows(_needed(quantity), block, changed) - MAY_BE_EMPTY)
    inputs = {**block, **changed, "chainage": own["chainage"]}
    return function, [inputs.get(argument.name, Cells()) for argument in function.arguments]


@dataclass(frozen=True)
class _Run(Function):
    """A function of the inputs of one run; runs are remembered, as a sheet asks one at many places."""

    quantity: str = ""

    def _answer(self, si: dict[str, Any]) -> Any:
        known = {name: value for name, value in si.items() if name != "chainage"}
        event, _, _ = self.quantity.partition("_")
        run = MEMORY.get(event, known, lambda: self._run(event, known))
        return physics.pressure_change(self.quantity, run, si["chainage"], Water.from_names(known))

    def _run(self, event: str, known: dict[str, Any]) -> physics.Envelope:
        """A run, or those of some lanes, each as remembered by itself; those that are not are calculated together."""
        lanes = np.broadcast_shapes(*map(np.shape, known.values()))
        if len(lanes) != 1 or lanes[0] > LANES_REMEMBERED:
            return physics.run_of(self.quantity, known)
        columns = {name: np.broadcast_to(value, lanes) for name, value in known.items()}
        alone = [{name: column[lane] for name, column in columns.items()} for lane in range(lanes[0])]
        runs = [MEMORY.known(event, inputs) for inputs in alone]
        missing = [lane for lane, run in enumerate(runs) if run is None]
        if missing:
            found = physics.run_of(self.quantity, {name: column[missing] for name, column in columns.items()})
            for lane, *run in zip(missing, *found, strict=True):
                runs[lane] = MEMORY.get(event, alone[lane], lambda run=run: physics.Envelope(*map(np.copy, run)))
        return physics.Envelope(*map(np.array, zip(*runs, strict=True)))


def _needed(quantity: str) -> tuple[str, ...]:
    return tuple(a.name for a in (_PIPE if quantity.startswith("blocked") else (*_PIPE, *_VALVE)))


@lru_cache(maxsize=64)
def single(quantity: str, must_hold: frozenset[str] = frozenset()) -> Function:
    """The function of single inputs that answers a quantity; those in `must_hold` have no default."""
    rules = (SMOOTH_ENOUGH, *NEXT_BORES, *NEXT_ROUGHNESSES, *SPEEDS_GIVEN)
    return _Run(
        **whole.words_of(FUNCTION),
        arguments=whole.without_defaults((*(_ARGUMENTS[name] for name in _needed(quantity)), WHERE), must_hold),
        unit=FUNCTION.unit,
        meaning=FUNCTION.meaning,
        rules=rules if quantity.startswith("blocked") else (*rules, WHOLE_JETS, WITHIN_PIPE),
        physics=physics.surge_run,
        quantity=quantity,
    )


FUNCTION = declare(
    physics.surge_run,
    kind=PlantFunction,
    resolve=resolve,
    group="Surge and strength",
    help="Highest or lowest pressure, above that at rest, while a jet is blocked or its valve is shut or opened: any "
    "sections in series, with friction.",
    arguments=(
        whole.PLANT.with_(meaning="The pipe: a range of two columns, names and values."),
        QUANTITY,
        WHERE,
        whole.NAMES,
        whole.VALUES,
    ),
    unit="bar",
    meaning="Pressure above that at rest; below rest it is negative.",
    symbol="dp",
    equation="H ± a Q / (g A) along dx = ± a dt, friction of the steady flow",
    source="Method of characteristics: E. B. Wylie and V. L. Streeter, Fluid Transients (from memory, not looked up)",
    example=Example(
        {
            "plant": {
                "gross_head": 100,
                "flow": 2.393304,
                "length": 250,
                "bore": 52.5,
                "roughness": 0.15,
                "wave_speed": 1340,
                "length_2": 150,
                "bore_2": 40.9,
                "roughness_2": 0.15,
                "wave_speed_2": 1363,
                "fittings": 2.6,
            },
            "quantity": "blocked_highest",
        },
        28.44,
        "A 2 inch pipe above a 1 1/2 inch one; rho a V of the narrow one is 24.8 bar.",
    ),
    caution="Below minus the air pressure the column parts, and closes with a blow that is not in it. Keep the larger "
    "of this and SURGE_PRESSURE.",
)
