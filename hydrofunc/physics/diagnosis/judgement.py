"""The diagnosis: every component is fitted, the evidence adds up to probabilities, and the likeliest fault is looked
at.
"""

import inspect
from typing import NamedTuple

import numpy as np

from ..groups import Plant, over
from ..ledger import power_ledger
from ..values import Result, Values
from .evidence import Fit, Gaussian, fit, variance
from .model import Planned, items_of, planned
from .priors import (
    COMPONENTS,
    DEVIATIONS,
    FAULT_OF,
    FAULTS,
    FAVOUR,
    HEALTHY_LOAD_B,
    INDEX,
    LOG_PRIOR,
    MEANS,
    READINGS,
    USUAL_UNCERTAINTY,
    WHOLE_DEVIATIONS,
    WHOLE_MEANS,
)

_PASSES, _FINAL_PASSES = 2, 8
_WORTH_A_CLOSER_LOOK = 12.0  # in ln evidence, below the best
_AT_ONCE = 48  # plants
_LOAD_B = slice(READINGS.index("speed_b"), READINGS.index("amps_b") + 1)
_AT_LOADS = np.isin(READINGS, ("volts_a", "volts_b"))
PLANT = (*(name for name in inspect.signature(power_ledger.flat).parameters if name != "ledger_line"), "gauge_height")


class Diagnosis(NamedTuple):
    """All that is said about each plant; the last axis has the order of FAULTS, READINGS or ITEMS."""

    probability: Result
    order: Result  # numbers of the faults, likeliest first
    estimate: Result
    uncertainty: Result
    misfit: Result
    following: Result  # numbers of the readings to take next, from 1, best first; 0 for none
    expected: Result
    spread: Result


class _Case(NamedTuple):
    """A few plants and their readings, (plants, readings)."""

    y: np.ndarray
    weight: np.ndarray  # one over the uncertainty; 0 where a reading was not taken
    load_b: np.ndarray  # ln of load B over that planned, as far as the readings show it (plants,)
    plan: Planned

    def prior(
        self,
        plants: np.ndarray,
        kind: np.ndarray,
        means: np.ndarray = MEANS,
        deviations: np.ndarray = DEVIATIONS,
    ) -> Gaussian:
        """The prior of a component for each of these plants. Nothing is known of load B but what is read there."""
        mean, deviation = means[:, kind].copy(), deviations[:, kind].copy()
        mean[INDEX["load_b"]] = self.load_b[plants]
        unused = ~(self.weight[plants][:, _LOAD_B] > 0).any(axis=1)
        deviation[INDEX["load_b"]] = np.where(unused, 0.01, deviation[INDEX["load_b"]])  # one would choose and read it
        return Gaussian(mean, deviation)

    def fit(
        self,
        plants: np.ndarray,
        kind: np.ndarray,
        prior: Gaussian,
        x: np.ndarray,
        passes: int,
        used: np.ndarray | bool = True,
    ) -> Fit:
        """Fit of a component to each of these plants, from the causes `x`; `used` are the readings it may use."""
        weight = self.weight[plants] * used
        return fit(self.y[plants], weight, self.plan.pick(plants), kind, prior, x, passes)


class _Closest(NamedTuple):
    """The fits of the components that may count; plant and component of each, and where to look one up."""

    plants: np.ndarray
    kind: np.ndarray
    prior: Gaussian
    fit: Fit
    log: np.ndarray  # prior times evidence of all components, ln (plants, components)
    slot: np.ndarray  # of the fit (plants, components); -1 for none

    def best_of(self, fault: np.ndarray) -> np.ndarray:
        """Slot of the best fit of a fault, one per plant."""
        own = (fault[:, None] == FAULT_OF) & (self.slot >= 0)
        best = np.argmax(np.where(own, self.log + FAVOUR, -np.inf), axis=1)
        return self.slot[np.arange(len(fault)), best]


def _case(y, uncertainty, plan):
    counts = uncertainty > 0
    weight = np.where(counts, 1 / np.where(counts, uncertainty, 1.0), 0.0)
    b, a = READINGS.index("volts_b"), READINGS.index("amps_b")
    of_resistor = plan.plant.load.load == "resistor"
    known = counts[:, b] & (y[:, b] > 0) & (~of_resistor | counts[:, a] & (y[:, a] > 0))
    size = np.where(of_resistor, y[:, b] / np.where(known, y[:, a], 1.0), y[:, b])
    load_b = np.where(known, np.log(np.where(known, size, 1.0) / plan.load), HEALTHY_LOAD_B)
    return _Case(y, weight, load_b, plan)


def _closest(case):
    """A first look at every component, then a closer one at those that may count, and at the best of each fault."""
    every = np.arange(len(case.y))
    plants, kind = np.repeat(every, len(COMPONENTS)), np.tile(np.arange(len(COMPONENTS)), len(every))
    prior = case.prior(plants, kind)
    first = case.fit(plants, kind, prior, prior.mean.copy(), 1)
    log = (first.evidence + LOG_PRIOR[kind]).reshape(len(every), -1)
    near = log > log.max(axis=1, keepdims=True) - _WORTH_A_CLOSER_LOOK
    for fault in range(len(FAULTS)):
        own = np.flatnonzero(fault == FAULT_OF)
        near[every, own[np.argmax(log[:, own], axis=1)]] = True
    closer = np.flatnonzero(near.ravel())
    plants, kind = plants[closer], kind[closer]
    prior = case.prior(plants, kind)
    second = case.fit(plants, kind, prior, first.x[:, closer], _PASSES)
    log[plants, kind] = second.evidence + LOG_PRIOR[kind]
    slot = np.full(log.shape, -1)
    slot[plants, kind] = np.arange(len(closer))
    return _Closest(plants, kind, prior, second, log, slot)


def _probabilities(log):
    """Of each fault: the sum over its components (plants, faults)."""
    share = np.exp(log - log.max(axis=1, keepdims=True))
    probability = share @ (FAULT_OF[:, None] == np.arange(len(FAULTS)))
    return probability / probability.sum(axis=1, keepdims=True)


def _following(case, closest, top, second):
    """Numbers of the readings not yet taken, the one first that best tells the two fits apart; 0 for none."""
    fits = closest.fit
    usual = USUAL_UNCERTAINTY * np.maximum(abs(fits.readings[top]), 1e-12)
    noise = usual**2 + sum(
        variance(fits.slopes[one], fits.pick(one).covariance(closest.prior.deviation[:, one])) for one in (top, second)
    )
    apart = abs(fits.readings[top] - fits.readings[second]) / np.sqrt(noise)
    apart = np.where(case.weight > 0, -1.0, apart)
    number = np.argsort(-apart, axis=1, kind="stable") + 1
    return np.where(np.take_along_axis(apart, number - 1, axis=1) < 0, 0, number)


def _judge(y, uncertainty, plan):
    """`Diagnosis` of a few plants: readings and uncertainties (plants, readings)."""
    case = _case(y, uncertainty, plan)
    closest = _closest(case)
    probability = _probabilities(closest.log)
    order = np.argsort(-probability, axis=1, kind="stable")
    every, nothing_wrong = np.arange(len(y)), np.zeros(len(y), dtype=int)
    top, second, well = (closest.best_of(fault) for fault in (order[:, 0], order[:, 1], nothing_wrong))
    as_well = closest.fit.pick(well)
    misfit = as_well.weighed / np.sqrt(np.diagonal(as_well.inverse, axis1=1, axis2=2))

    likeliest = closest.kind[top]
    whole = case.prior(every, likeliest, WHOLE_MEANS, WHOLE_DEVIATIONS)
    final = case.fit(every, likeliest, whole, closest.fit.x[:, top], _FINAL_PASSES)
    estimate, slopes = items_of(final.x, plan, likeliest)

    healthy = case.prior(every, nothing_wrong)
    expected = case.fit(every, nothing_wrong, healthy, healthy.mean.copy(), _PASSES, used=_AT_LOADS)
    return Diagnosis(
        probability,
        order,
        estimate,
        np.sqrt(variance(slopes, final.covariance(whole.deviation))),
        misfit,
        _following(case, closest, top, second),
        expected.readings,
        np.sqrt(variance(expected.slopes, expected.covariance(healthy.deviation))),
    )


def diagnose_plant(readings: Values, uncertainties: Values, plant: Plant, gauge_height: Values) -> Diagnosis:
    """What the readings of a test day say about a plant.

    Parameters
    ----------
    readings : array_like
        The last axis in the order of READINGS: gauge pressure at the valve shut and just before the nozzle, running
        [Pa]; flow [m³/s]; at load A, speed [rad/s], volts at the rectifier and at the load, current [A]; the same at
        another load B; open-circuit d.c. volts per rad/s [V·s]; lowest over highest line voltage [-]; opening of a
        nozzle, measured [m].
    uncertainties : array_like
        Standard uncertainty of each, in its unit; 0 where it was not taken.
    plant : Plant
        As planned; its values broadcast against the axes of the readings before the last.
    gauge_height : array_like
        How far the gauge sits above the nozzle. [m]

    Returns
    -------
    Diagnosis
        NaN for a plant with an input that is NaN. See the text of `hydrofunc.physics.diagnosis` for the method.
    """
    shapes = [np.shape(readings)[:-1], np.shape(uncertainties)[:-1]]
    over(lambda values: shapes.append(np.shape(values)), (plant, gauge_height))
    shape = np.broadcast_shapes(*shapes)

    def lanes(values):
        values = np.broadcast_to(values, shape).reshape(-1)
        return values if values.dtype.kind == "U" else values.astype(float)

    y, u = (
        np.broadcast_to(values, (*shape, len(READINGS))).reshape(-1, len(READINGS)).astype(float)
        for values in (readings, uncertainties)
    )
    known = np.isfinite(y).all(axis=1) & np.isfinite(u).all(axis=1)
    y, u = np.where(known[:, None], y, 0.0), np.where(known[:, None], u, 0.0)
    with np.errstate(all="ignore"):
        plan = planned(*over(lanes, (plant, gauge_height)))
        known &= np.isfinite(plan[2:]).all(axis=0)  # all but plant and gauge height
        pieces = [slice(start, start + _AT_ONCE) for start in range(0, len(y), _AT_ONCE)]
        parts = [_judge(y[piece], u[piece], plan.pick(piece)) for piece in pieces]
    merged = (np.concatenate(values) for values in zip(*parts))
    return Diagnosis(*(np.where(known[:, None], values, np.nan).reshape(*shape, -1) for values in merged))


def diagnose(readings: Values, uncertainties: Values, **plant: Values) -> Diagnosis:
    """`diagnose_plant` with the plant by single names: PLANT, or further sections of pipe. [SI]"""
    return diagnose_plant(readings, uncertainties, Plant.from_names(plant), plant["gauge_height"])
