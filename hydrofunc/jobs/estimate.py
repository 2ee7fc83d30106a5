"""From what is known of a site, whatever it is, to watts with a band, what is proposed, and what to measure next.

The same as typing the values into an empty template and reading its sheet Doubt, without a file: the empty template is
compiled once, and many sites are calculated together, one a lane.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, NamedTuple

import numpy as np

from ..engine.compile import Key, compile_book
from ..errors import HydroError
from ..template import INPUTS, NEXT_LINES, build
from ..template.model import Input
from ..workbook.reading import read_book
from .recalc import SHEET_FUNCTIONS

_ITEM = {item.name: item for item in INPUTS}
_NUMBERS = ("doubt_guess", "doubt_mean", "doubt_low", "doubt_high", "missing")
_NEXT = ("input", "label", "how", "low", "high")
# All that may be typed for one measurement, the input that is named first.
TOGETHER = {
    "bucket_seconds": ("bucket_volume",),
    "test_volts": ("test_speed", "phase_volts"),
    "terminal_resistance": ("phase_resistance",),
    "terminal_inductance": ("phase_inductance",),
    "gauge_class": ("gauge_range",),
}


class Next(NamedTuple):
    """A measurement: the input to type, its label, how to measure it, and the width of the band after it. [W]"""

    name: str
    label: str
    width: float
    how: str

    @property
    def names(self) -> tuple[str, ...]:
        """Every input that this measurement gives, or that it may be typed into."""
        return (self.name, *TOGETHER.get(self.name, ()))


@dataclass(frozen=True)
class Estimate:
    """Watts into the battery with their 95 % band, and what they rest on. Numbers are NaN while "
    "something is missing."""

    guess: float  # every value at its most likely [W]
    mean: float  # over the doubt [W]
    low: float
    high: float
    states: dict[str, str]  # by input: yours, assumed, proposed, ...
    next: tuple[Next, ...]
    proposals: dict[str, Any]  # what counts of the inputs that are proposed, by name
    missing: str  # what must be given before there are any numbers; "" where there are

    @property
    def width(self) -> float:
        """Of the band. [W]"""
        return self.high - self.low


def estimate(values: Mapping[str, Any]) -> Estimate:
    """What the template makes of `values`, by name of its inputs, in the units of the metric template.

    An own ± goes to doubt_NAME, as on the sheet Doubt. Raises HydroError for a name that is no input, and for a value
    that is not allowed.
    """
    return estimates([values])[0]


def estimates(sites: Iterable[Mapping[str, Any]]) -> list[Estimate]:
    """The same for many sites, calculated together."""
    sites = list(sites)
    for site in sites:
        _refuse(site)
    if not sites:
        return []
    names, cells, empty, plan = _template()
    given = dict.fromkeys(name for site in sites for name in site)
    inputs = {cells[name]: _column([site.get(name, empty[name]) for site in sites]) for name in given}
    result = plan.run(inputs, lanes=len(sites))
    columns = {name: result.column(cell).python() for name, cell in names.items()}
    return [_estimate({name: column[lane] for name, column in columns.items()}) for lane in range(len(sites))]


def _refuse(site):
    for name, value in site.items():
        if name not in _ITEM:
            raise HydroError(f"the template has no input {name}")
        reason = None if value is None else _ITEM[name].check(value)
        if reason:
            raise HydroError(f"{name}: {reason}")


@cache
def _template():
    """Cells of the answers by name, cells of the inputs, what these hold in an empty template, and that compiled."""
    book = read_book(build())
    cells = {name: (item.sheet, item.cell) for name, item in _ITEM.items() if not item.is_free}
    names: dict[str, Key] = {name: book.resolve(name) for name in _NUMBERS}
    names |= {f"next_{i}_{what}": book.resolve(f"next_{i}_{what}") for i in NEXT_LINES for what in _NEXT}
    names |= {f"state_{item.name}": book.resolve(f"state_{item.name}") for item in _with_state(book)}
    names |= {item.name: book.resolve(item.name) for item in _with_state(book) if _may_be_proposed(item)}
    empty = {name: book.cells.get(cell) for name, cell in cells.items()}
    return names, cells, empty, compile_book(book, SHEET_FUNCTIONS, overrides=cells.values(), outputs=names.values())


def _with_state(book):
    """Inputs that have a word of state; limits of the verdicts are no inputs of a site."""
    limits = {'"usual"'}
    return [item for item in INPUTS if f"state_{item.name}" in book.names and item.state not in limits]


def _may_be_proposed(item: Input) -> bool:
    return item.assumption is not None and item.assumption.proposed


def _column(values: Sequence[object]) -> object:
    """For the engine: floats where all are numbers, else objects."""
    if all(isinstance(value, (int, float)) for value in values):
        return np.array(values, dtype=float)
    return np.array([float(value) if isinstance(value, int) else value for value in values], dtype=object)


def _estimate(cells):
    numbers = (cells[name] if isinstance(cells[name], float) else np.nan for name in _NUMBERS[:4])
    states = {name.removeprefix("state_"): value for name, value in cells.items() if name.startswith("state_")}
    lines = ({what: cells[f"next_{i}_{what}"] for what in _NEXT} for i in NEXT_LINES)
    return Estimate(
        *numbers,
        states,
        tuple(
            Next(line["input"], line["label"], line["high"] - line["low"], line["how"])
            for line in lines
            if line["input"] and isinstance(line["high"], float)
        ),
        {name: cells[name] for name, state in states.items() if state == "proposed" and name in cells},
        cells["missing"],
    )
