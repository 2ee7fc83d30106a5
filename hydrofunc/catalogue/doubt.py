"""Declaration: how far the watts of a whole plant may be off, where some of its inputs are not known well."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from ..physics import doubt as physics
from ..physics.doubt import FITTED, NORMAL_95, SPREADS, suited  # noqa: F401
from ..registry import Argument, Cells, Example, Function, PlantFunction, declare
from ..units import to_si
from . import plant as whole
from .memory import Memory

MEMORY = Memory(limit=16_000_000)

QUANTITY = Argument(
    "quantity",
    "text",
    "What is asked: mean, standard_uncertainty, low, median or high in W; share in %, part in W.",
    choices=tuple(physics.ANSWERS),
    part="quantity",
)
LINES = Argument(
    "lines",
    "text",
    "What is not known well: name, half of its range, how it spreads, middle of the draws over the value (blank: 1).",
    many=True,
    part="lines",
)
HALVES = Argument("halves", "-", "Half of the range of each, in its own unit.", "[0, inf)", many=True)
MIDDLES = Argument("middles", "-", "Middle of the draws over the value.", "[0.01, 100]", many=True)
WHICH = Argument("which", "-", "Number of the line, from 1: for share and part.", "[1, 1000]", default=1.0)
_NEEDED = whole.needed_for("battery_watts")
_UNCERTAIN = tuple(a.name for a in whole.INPUTS if a.name in _NEEDED and not a.is_text)


def resolve(own: Mapping[str, Cells], block: Mapping[str, Cells], changed: Mapping[str, Cells]) -> Any:
    """The function of single inputs that gives the answer, and the `Cells` of its arguments.

    Raises `ValueError` for a word that is not on its list, for a name that may not be changed or drawn, and for lists
    that do not fit together.
    """
    quantity = whole.listed("quantity", own["quantity"].values, tuple(physics.ANSWERS))
    whole.only_changeable(changed)
    lines, halves, middles = _read(own["lines"])
    inputs, block = whole.cells_with_cable(block, changed)
    function = _single(quantity, lines, whole.empty_rows(_NEEDED, block, changed))
    inputs |= {"halves": halves, "middles": middles, "which": own["which"]}
    return function, [inputs.get(argument.name, Cells()) for argument in function.arguments]


def _read(cells: Cells) -> tuple[tuple[tuple[str, str], ...], Cells, Cells]:
    """Names and spreads, halves and middles of the lines in doubt. Raises `ValueError`."""
    values, errors = cells.values or [], cells.errors
    if not values or len(values) % 4:
        raise ValueError("lines: must be a range of four columns: name, half of the range, spread, middle")
    names = [whole.listed("lines", word, _UNCERTAIN) for word in values[::4]]
    spreads = [whole.listed("lines", word, SPREADS) for word in values[2::4]]
    for name, spread in zip(names, spreads):
        if spread == FITTED and name != "nozzle":
            raise ValueError(f"lines: only a nozzle can be {spread}, not {name}")
    columns = [_filled(values[first::4], 0.0 if first == 1 else 1.0) for first in (1, 3)]
    codes = [None if errors is None else errors[first::4] for first in (1, 3)]
    halves, middles = map(Cells, columns, codes)
    return tuple(zip(names, spreads)), halves, middles


def _filled(values: Sequence[Any], blank: float) -> list[Any]:
    """The values of a column, `blank` where a cell is empty."""
    return [blank if value is None or (isinstance(value, str) and not value.strip()) else value for value in values]


@dataclass(frozen=True)
class _Drawn(Function):
    """A function of the inputs that the watts need, of the halves of the lines in doubt, and of the line asked for."""

    quantity: str = ""
    lines: tuple[physics.Line, ...] = ()

    def _answer(self, si: dict[str, Any]) -> Any:
        own = ("halves", "middles", "which")
        halves, middles, which = (si[name] for name in own)
        scales = np.array([to_si(1.0, unit) - to_si(0.0, unit) for unit in map(_unit, self.lines)])
        known = whole.beside_lists(si, own)
        found = MEMORY.get(
            repr(self.lines),
            {"halves": halves, "middles": middles, **known},
            lambda: physics.in_doubt(known, self.lines, halves * scales, middles, physics.watts),
        )
        result = physics.answer(physics.Summary(*found), self.quantity, which[..., 0] if np.ndim(which) else which)
        return 100 * result if self.quantity == "share" else result


def _unit(line: physics.Line) -> str:
    return whole.argument(line.name).unit


@lru_cache(maxsize=64)
def _single(quantity: str, lines: tuple[tuple[str, str], ...], must_hold: frozenset[str]) -> Function:
    inputs = whole.reading(_NEEDED, must_hold)
    return _Drawn(
        **whole.words_of(FUNCTION),
        arguments=whole.without_defaults((*inputs.arguments, HALVES, MIDDLES, WHICH), frozenset()),
        unit="-",
        meaning=FUNCTION.meaning,
        rules=inputs.rules,
        physics=physics.doubt,
        quantity=quantity,
        lines=tuple(physics.Line(name, spread, _limits(name)) for name, spread in lines),
    )


def _limits(name: str) -> tuple[float, float]:
    """Between which values an input may be drawn, in SI."""
    argument = whole.argument(name)
    low, high, *_ = argument.bounds
    return float(to_si(low, argument.unit)), float(to_si(high, argument.unit))


FUNCTION = declare(
    physics.doubt,
    kind=PlantFunction,
    resolve=resolve,
    group="Whole plant",
    help="How far the watts into the battery may be off, where some inputs of a plant are not known well. All are "
    "drawn together.",
    arguments=(whole.PLANT, QUANTITY, LINES, WHICH, whole.NAMES, whole.VALUES),
    unit="-",
    meaning="Mean, standard uncertainty, ends of the 95 % band or median, W; share of the variance that a line alone "
    "explains, %; what one standard deviation more of it does, W.",
    equation=f"{physics.POINTS} draws on a lattice",
    source="JCGM 101:2008 (GUM, Supplement 1: propagation of distributions), in its manner; shares: Saltelli et al. "
    "(2008), from memory",
    example=Example(
        {
            "plant": whole.PLANT_FUNCTION.example.arguments["plant"],
            "quantity": "low",
            "lines": [("gross_head", 5, "normal", 1), ("roughness", 0.15, "lognormal", 1)],
        },
        537.8,
        "Head known to 5 m, roughness to a factor of two.",
    ),
    caution="A band is about what is known, not about what can happen.",
)
