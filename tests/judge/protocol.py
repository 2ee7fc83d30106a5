"""What the judge asks of a product.

The adapter to the package under test is a function `product` in tests/judge/product.py, written by its authors.

The judge calls the product as a person would use it, and nothing else passes between them:

    answer = product(facts, machine_at_hand, stage)

`facts` maps a name to (value, half range or None). Three kinds of facts are told apart by what comes with them:

- measured: a quantity of `names.QUANTITIES` with the half range (95 %) of its reading; with `--unsaid` None;
- as ordered: where `machine_at_hand` is False and the machine has been made to the product's own proposal, the
  numbers of that proposal come back with None until they are measured;
- chosen, of `names.CHOICES`, always known, never counted, with half range 0 or None:
    system_volts   12, 24 or 48, the battery's name;
    nozzle_make    "drilled" (a hole in a cap) or "turned", as it is or as this person's maker makes them;
    altitude [m], latitude [°];
    connection     "star" or "delta", once the machine exists;
    pole_pairs     counted, once the machine exists.
  A product may leave them unused. Text stands in place of the value.

`machine_at_hand` is True where wheel, nozzle and alternator existed before the first question. False means that they
were not chosen then; once they have been made, the ordered numbers are among the facts.

`stage` is the furthest reached of "survey", "bench", "test day". Everything that can be measured at it or before
it may be asked for. `measuring.stage_of` says what the judge thinks possible when. An adapter must NOT sort the
product's `next` by it: what the product names although it cannot be measured yet counts against the product.

What the adapter may read of this package: this file and names.py. The judge's distributions (sites.py,
sites_published.py, measuring.py) are not for the eyes of who makes the method.
"""

import importlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

Fact = tuple[float | str, float | None]
Facts = Mapping[str, Fact]
Question = tuple[Facts, bool, str]


@dataclass(frozen=True)
class Answer:
    """What the product tells the person.

    `mean`, `low`, `high`: watts into the battery and their 95 % band. `proposal`: nozzle, pitch_diameter,
    phase_volts, phase_resistance, connection ("star" or "delta"), and what else a maker is to be told; needed where
    the machine is neither at hand nor ordered. `next`: (name, predicted width of the band after it), the best
    first. `ranges`: the lowest and highest value named for a proposed number. `assumed`: values the product counts
    with, told or taken for granted, by the names of the facts; needed to judge the search for the proposal by itself,
    without what a reading was off.
    """

    mean: float
    low: float
    high: float
    proposal: Mapping[str, float | str] = field(default_factory=dict)
    next: list[tuple[str, float]] = field(default_factory=list)
    ranges: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    assumed: Mapping[str, float] = field(default_factory=dict)


class Product(Protocol):
    """What is judged: a function of the facts. The same facts must give the same answer."""

    def __call__(self, facts: Facts, machine_at_hand: bool, stage: str) -> Answer:
        """Watts, band, proposal and what to measure next."""
        ...


def answers(product: Product, questions: Sequence[Question]) -> list[Answer]:
    """One after the other; at once where a product has a method `together` for it, which must say the same."""
    together = getattr(product, "together", None)
    return together(questions) if together else [product(*question) for question in questions]


def load(where: str) -> Product:
    """The product named "module:function"; a missing one is refused with words on what is wanted."""
    module, _, name = where.partition(":")
    try:
        found: Callable[..., Answer] = getattr(importlib.import_module(module), name or "product")
    except (ImportError, AttributeError) as problem:
        raise SystemExit(
            f"no product to judge at {where}: {problem}. tests/judge/protocol.py says what one is."
        ) from None
    return found
