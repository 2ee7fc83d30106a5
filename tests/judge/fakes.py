"""Products of the judge's own, to judge the judge by: one honest, others each with a fault that must be found.

`honest` knows how the judge draws its own sites and what instruments do, which no product can know so well. Its band
is thus about as narrow as an honest one can be, rather too wide than too narrow (`Population.posterior`).
`knowing` makes the same for any population, and `honest_published` is that for the published one.
"""

import functools
import math
from dataclasses import replace
from typing import Any

import numpy as np

from . import measuring, truth
from .names import ORDERED, QUANTITIES
from .optimum import best_volts
from .population import Population, as_delta, made, scaled
from .protocol import Answer, Fact, Facts, Product
from .sites import OWN
from .sites_published import PUBLISHED

DRAWN = 700
HANDBOOK = (14.0,)  # pitch circle over jet, one for all: in the judge's own population that loses little
TRIED = (9.0, 10.5, 12.0, 14.0, 16.0)  # for a population whose wheels splash more: the best of these


@functools.cache
def _usual_halves(population: Population) -> dict[str, float]:
    """Half range over the value, as usual, of each quantity."""
    halves: dict[str, list[float]] = {name: [] for name in QUANTITIES}
    for site in population.sites(99, 120):
        for name in QUANTITIES:
            value, half = measuring.usual(site, name)
            halves[name].append(half / max(abs(value), 1e-9))
    return {name: float(np.median(half)) for name, half in halves.items()}


def _choices(facts: Facts) -> dict[str, float]:
    """What was chosen, in the judge's numbers."""
    chosen = {"drilled": float(facts["nozzle_make"][0] == "drilled")}
    for name in ("system_volts", "altitude", "latitude", "pole_pairs"):
        if name in facts:
            chosen[name] = float(facts[name][0])
    if "connection" in facts:
        chosen["delta"] = as_delta(facts["connection"][0])
    return chosen


def _middle(values: dict[str, Any]) -> dict[str, float]:
    return {name: float(np.median(array)) for name, array in values.items()}


def _proposal(values: dict[str, float], ratios: tuple[float, ...]) -> dict[str, float | str]:
    """A machine for the middle of what is known: the best of these ratios of pitch circle and jet."""
    middle = dict(values, delta=0.0)
    flow = min(float(truth.flow_for_loss(middle, 0.345 * middle["gross_head"])), float(truth.available_flow(middle)))
    head = middle["gross_head"] - float(truth.pipe_loss(middle, flow))
    velocity = middle["velocity_coefficient"] * math.sqrt(2 * float(truth.gravity(middle)) * head)
    jet = 1000 * math.sqrt(4 * flow / (math.pi * velocity))
    nozzle = jet / math.sqrt(middle["contraction"])
    machines = []
    for ratio in ratios:
        machine = scaled({**middle, "nozzle": nozzle, "pitch_diameter": max(ratio * jet, 70.0)}, middle)
        machines.append(scaled({**machine, "phase_volts": best_volts(machine)}, machine))
    machine = max(machines, key=truth.watts)
    told = ("nozzle", "pitch_diameter", "phase_volts", "phase_resistance", "phase_inductance")
    return {**{name: float(machine[name]) for name in told}, "connection": "star"}


def _next(
    population: Population, values: dict[str, Any], watts: Any, width: float, facts: Facts, stage: str
) -> list[tuple[str, float]]:
    """By the share of the spread of the watts that a parabola in each quantity's reading takes away."""
    rng = np.random.default_rng(5)
    found = []
    for name in measuring.possible(stage):
        if name in facts and facts[name][1] is not None:
            continue
        drawn = values[name]
        half = _usual_halves(population)[name] * np.abs(drawn)
        seen = drawn + half / 1.96 * rng.normal(size=len(drawn))
        scale = np.std(seen)
        centred = (seen - np.mean(seen)) / scale if scale > 0 else np.zeros_like(seen)
        centred = np.clip(centred, -3, 3)
        parabola = np.vander(centred, 3)
        answer, *_ = np.linalg.lstsq(parabola, watts, rcond=None)
        rest = float(np.var(watts - parabola @ answer) / max(float(np.var(watts)), 1e-12))
        found.append((name, width * math.sqrt(rest)))
    return sorted(found, key=lambda item: item[1])


def knowing(population: Population, ratios: tuple[float, ...] = HANDBOOK) -> Product:
    """An honest product: band of that population's sites that could stand behind the facts.

    Next by their regression, proposal for their middle.
    """

    def product(facts: Facts, machine_at_hand: bool, stage: str) -> Answer:
        return _answer(population, ratios, tuple(sorted(facts.items())), machine_at_hand, stage)

    return product


honest = knowing(OWN)
honest_published = knowing(PUBLISHED, TRIED)
HONEST = {OWN: honest, PUBLISHED: honest_published}


@functools.lru_cache(maxsize=4096)
def _answer(
    population: Population,
    ratios: tuple[float, ...],
    told: tuple[tuple[str, Fact], ...],
    machine_at_hand: bool,
    stage: str,
) -> Answer:
    facts = dict(told)
    rng = np.random.default_rng(11)
    measured = {name: (float(value), half) for name, (value, half) in facts.items() if half and name in QUANTITIES}
    choices = _choices(facts)
    proposal: dict[str, float | str] = {}
    ranges = {}
    if machine_at_hand:
        values = population.posterior(choices, measured, rng, DRAWN)
    elif "pole_pairs" in facts:
        proposal = {name: facts[name][0] for name in (*ORDERED, "phase_inductance", "connection") if name in facts}
        choices.pop("delta")
        values = population.posterior(choices, measured, rng, DRAWN, proposal)
    else:
        reference = population.posterior(choices, measured, rng, DRAWN)
        proposal = _proposal(_middle(reference), ratios)
        volts = float(proposal["phase_volts"])
        ranges = {"phase_volts": (0.8 * volts, 1.25 * volts)}
        values = made(reference, proposal, rng, DRAWN)
    watts = truth.watts_of(values)
    low, high = (float(limit) for limit in np.quantile(watts, (0.02, 0.98)))
    assumed = _middle(values)
    return Answer(
        mean=min(max(float(np.mean(watts)), low), high),
        low=low,
        high=high,
        proposal=proposal,
        next=_next(population, values, watts, high - low, facts, stage),
        ranges=ranges,
        assumed={name: assumed[name] for name in (*QUANTITIES, "pole_pairs")},
    )


def overconfident(facts: Facts, machine_at_hand: bool, stage: str) -> Answer:
    """The honest answer with a band a third as wide."""
    answer = honest(facts, machine_at_hand, stage)
    low, high = (answer.mean + (limit - answer.mean) / 3 for limit in (answer.low, answer.high))
    return replace(answer, low=low, high=high)


def backward(facts: Facts, machine_at_hand: bool, stage: str) -> Answer:
    """The honest answer, naming the least useful measurement first."""
    answer = honest(facts, machine_at_hand, stage)
    return replace(answer, next=answer.next[::-1])


def hasty(facts: Facts, machine_at_hand: bool, stage: str) -> Answer:
    """The honest answer, asking at once for what only the turning wheel can tell."""
    answer = honest(facts, machine_at_hand, stage)
    return replace(answer, next=[("alignment", 0.1), ("windage", 0.1), ("cup_friction", 0.1), *answer.next])


def miswound(facts: Facts, machine_at_hand: bool, stage: str) -> Answer:
    """The honest answer with an alternator of half as many volts again, said to be the only right one."""
    answer = honest(facts, machine_at_hand, stage)
    if not answer.ranges:
        return answer
    volts = 1.5 * float(answer.proposal["phase_volts"])
    return replace(
        answer, proposal={**answer.proposal, "phase_volts": volts}, ranges={"phase_volts": (0.9 * volts, 1.1 * volts)}
    )
