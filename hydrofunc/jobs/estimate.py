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
from ..engine.reference import address
from ..errors import HydroError
from ..template import INPUTS, NEXT_LINES, UNCERTAIN, build
from ..workbook.reading import read_book
from .recalc import SHEET_FUNCTIONS

_ITEM = {item.name: item for item in INPUTS}
_NUMBERS = ("doubt_guess", "doubt_mean", "doubt_low", "doubt_high", "missing")
_NEXT = ("input", "label", "how", "low", "high")
# Beside the inputs: what is worked out from several of them, and how far the volts of a winding may lie off.
_WORKED_OUT = tuple(
    """gross_head source_flow bore_used roughness_used fittings_k
    proposed_nozzle proposed_volts_low proposed_volts_high""".split()
)
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
    """Watts into the battery with their 95 % band, and what they rest on. Numbers are NaN while one is missing."""

    guess: float  # every value at its most likely [W]
    mean: float  # over the doubt [W]
    low: float
    high: float
    states: dict[str, str]  # by input: yours, assumed, proposed, ...
    next: tuple[Next, ...]
    proposals: dict[str, Any]  # what counts of the inputs that are proposed, by name
    counts: dict[str, Any]  # what counts of every input and of what is worked out from several, by name
    halves: dict[str, Any]  # ± that counts on the sheet Doubt, in its unit there, by argument of the plant
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
    names, cells, held, plan = _template()
    typed = {name for site in sites for name, value in site.items() if value is not None and name in cells}
    result = plan.run({cells[name]: _column(name, held[name], sites) for name in typed}, lanes=len(sites))
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
    """(cell of every answer, cell of every input, what a new template holds there, by name; it compiled).

    Answers are named by a pair: a field of `Estimate`, and the name within it.
    """
    book = read_book(build())
    cells = {name: (item.sheet, item.cell) for name, item in _ITEM.items() if not item.is_free}
    held = {name: book.cells.get(cell) for name, cell in cells.items()}
    with_state = _with_state(book)
    widths = book.names["doubt_widths"]
    names: dict[tuple[str, str], Key] = {("numbers", name): book.resolve(name) for name in _NUMBERS}
    names |= {(f"next_{i}", what): book.resolve(f"next_{i}_{what}") for i in NEXT_LINES for what in _NEXT}
    names |= {("states", name): book.resolve(f"state_{name}") for name in with_state}
    names |= {("counts", name): book.resolve(name) for name in (*with_state, *_WORKED_OUT)}
    for row, line in enumerate(UNCERTAIN, start=widths.top):
        names["halves", line.key] = (widths.sheet, address(row, widths.left))
    return names, cells, held, compile_book(book, SHEET_FUNCTIONS, overrides=cells.values(), outputs=names.values())


def _with_state(book):
    """Inputs that have a word of state; limits of the verdicts are no inputs of a site."""
    limits = {'"usual"'}
    return [item.name for item in INPUTS if f"state_{item.name}" in book.names and item.state not in limits]


def _column(name: str, held: object, sites: Sequence[Mapping[str, Any]]) -> object:
    values = [held if site.get(name) is None else site[name] for site in sites]
    if all(isinstance(value, (int, float)) for value in values):
        return np.array(values, dtype=float)
    return np.array([float(value) if isinstance(value, int) else value for value in values], dtype=object)


def _estimate(cells):
    of = {field: {} for field, _ in cells}
    for (field, name), value in cells.items():
        of[field][name] = value
    *numbers, missing = of["numbers"].values()
    lines = (of[f"next_{i}"] for i in NEXT_LINES)
    return Estimate(
        *(number if isinstance(number, float) else np.nan for number in numbers),
        states=of["states"],
        next=tuple(
            Next(line["input"], line["label"], line["high"] - line["low"], line["how"])
            for line in lines
            if line["input"] and isinstance(line["high"], float)
        ),
        proposals={name: of["counts"][name] for name, state in of["states"].items() if state == "proposed"},
        counts=of["counts"],
        halves=of["halves"],
        missing=missing,
    )
