"""The diagnosis: every component is fitted, the evidence adds up to probabilities, and the likeliest fault is looked
at.
"""

import inspect
from typing import NamedTuple

import numpy as np

from ..groups import Plant, over
from ..ledger import power_ledger
from ..values import Result, Values
from .evidence import Fit, Gaussian, fit, ln_sum, variance
from .model import Planned, items_of, planned
from .priors import (
    COMPONENTS,
    DEVIATIONS,
    DRY_DAY,
    FAULT_OF,
    FAULT_PRIOR,
    FAULTS,
    FAVOUR,
    HEALTHY_LOAD_B,
    INDEX,
    LOG_PRIOR,
    LOOKS,
    LOOKS_YES,
    MEANS,
    METERED,
    NONE_SHARE,
    NONE_SPREAD,
    OF_PLAN,
    OF_WATER,
    OPEN_SPEED,
    ORDINARY,
    POLES,
    READINGS,
    SCALES,
    SURVEY_OFF,
    TWO_OR_NONE,
    USUAL_UNCERTAINTY,
    WHOLE_DEVIATIONS,
    WHOLE_MEANS,
)

_PASSES, _FINAL_PASSES = 2, 8
_WORTH_A_CLOSER_LOOK = 8.0  # in ln evidence, below the best
_AT_ONCE = 48  # plants
_LOAD_B = slice(READINGS.index("speed_b"), READINGS.index("amps_b") + 1)
_AT_LOADS = np.isin(READINGS[:METERED], ("volts_a", "volts_b"))
_OPEN = READINGS.index("open_constant")
_LOOKS = slice(METERED, METERED + len(LOOKS))
_SINGLE = np.flatnonzero(FAULT_OF > 0)  # components of one fault
_LOG_PRIOR_OF_SINGLE = LOG_PRIOR[_SINGLE] - np.log(FAULT_PRIOR[1:TWO_OR_NONE].sum())
_WATER_TELLS = np.isin(READINGS, ("static", "running", "flow", "nozzle", "overflow", "screen"))
_HOLDS_BACK = np.isin(FAULT_OF, (1, 2))  # components of a blocked pipe, and of an air lock
_PIPE = 1  # the fault of a pipe that is blocked, rough or leaking
_FULL = FAULTS.index("battery full or controller limits")
_NEVER = -50.0  # ln
_TIE = 1e-6  # of the share of a wet day
_TELLS_APART = 0.5  # standard deviations between the predictions of two faults, at least
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
    """A few plants and their readings: of meters (plants, METERED) and of looks (plants, LOOKS)."""

    y: np.ndarray
    weight: np.ndarray  # one over the uncertainty; 0 where a reading was not taken
    yes: np.ndarray  # answer of a look, 1 or 0
    wrong: np.ndarray  # chance that it is wrong; 0 where nobody looked
    load_b: np.ndarray  # ln of load B over that planned, as far as the readings show it (plants,)
    plan: Planned

    def prior(
        self,
        plants: np.ndarray,
        kind: np.ndarray,
        means: np.ndarray = MEANS,
        deviations: np.ndarray = DEVIATIONS,
    ) -> Gaussian:
        """The prior of a component for each of these plants."""
        mean, deviation = means[:, kind].copy(), deviations[:, kind].copy()
        pairs, (factor, added) = self.plan.plant.alternator.pole_pairs[plants], POLES[:, kind]
        mean[INDEX["meter"]] -= np.log(np.maximum(factor + added / pairs, 1 / pairs))
        # At the same power the volts of a resistor are off by half of what its ohms are off.
        twice = np.where(self.plan.plant.load.load == "resistor", 2.0, 1.0)[plants]
        for cause in ("load_a", "load_b"):
            mean[INDEX[cause]] *= twice
            deviation[INDEX[cause]] *= twice
        # A controller that tracks the greatest power lowers its volts with the emf; one with volts of its own does not.
        tracked = np.where(self.plan.plant.load.load == "controller", 0.5, 0.0)[plants]
        emf = mean[INDEX["emf"]] + 2 * mean[INDEX["turns"]]
        for cause in ("load_a", "load_b"):
            mean[INDEX[cause]] += tracked * emf
            deviation[INDEX[cause]] = np.hypot(deviation[INDEX[cause]], tracked * np.maximum(abs(emf), 0.1))
        # On a dry day the source gives about what was surveyed; where that is no limit, it gives plenty.
        surveyed = self.plan.plant.available_flow[plants] / self.plan.flow[plants]
        limits = DRY_DAY[kind] & (surveyed > 1) & np.isfinite(surveyed)
        mean[INDEX["source"]] = np.where(limits, np.log(np.where(limits, surveyed, 1.0)), mean[INDEX["source"]])
        deviation[INDEX["source"]] = np.where(limits, SURVEY_OFF, deviation[INDEX["source"]])
        unused = ~(self.weight[plants][:, _LOAD_B] > 0).any(axis=1)
        deviation[INDEX["load_b"]] = np.where(unused, 0.01, deviation[INDEX["load_b"]])  # one would choose and read it
        return Gaussian(mean, deviation)

    def start(self, plants: np.ndarray, prior: Gaussian) -> np.ndarray:
        """Where to begin a fit: at the prior's mean, and at load B as read."""
        x = prior.mean.copy()
        x[INDEX["load_b"]] = self.load_b[plants]
        return x

    def answers(self, yes: np.ndarray) -> np.ndarray:
        """ln of the probability of the answers to the looks (plants, components); `yes` (looks, components)."""
        answered = np.where(self.yes[:, :, None] > 0.5, yes, 1 - yes)
        wrong = self.wrong[:, :, None]
        return np.sum(np.where(wrong > 0, np.log(answered * (1 - wrong) + (1 - answered) * wrong), 0.0), axis=1)

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
    two: np.ndarray  # ln evidence of two faults at once (plants,)

    def best_of(self, fault: np.ndarray) -> np.ndarray:
        """Slot of the best fit of a fault, one per plant."""
        own = (fault[:, None] == FAULT_OF) & (self.slot >= 0)
        best = np.argmax(np.where(own, self.log + FAVOUR, -np.inf), axis=1)
        return self.slot[np.arange(len(fault)), best]


def _case(y, uncertainty, plan):
    yes, wrong = y[:, _LOOKS], np.clip(uncertainty[:, _LOOKS], 0.0, 0.5)
    of_speed = np.where(y[:, OPEN_SPEED] > 0, uncertainty[:, OPEN_SPEED] / plan.open_speed, 0.0)
    y, uncertainty = y[:, :METERED], uncertainty[:, :METERED].copy()
    without_load = uncertainty[:, _OPEN]
    doubt = np.hypot(plan.open_doubt, of_speed * y[:, _OPEN])  # of the diodes, and of the speed
    without_load[without_load > 0] = np.hypot(without_load, doubt)[without_load > 0]
    counts = uncertainty > 0
    weight = np.where(counts, 1 / np.where(counts, uncertainty, 1.0), 0.0)
    b, a = READINGS.index("volts_b"), READINGS.index("amps_b")
    of_resistor = plan.plant.load.load == "resistor"
    known = counts[:, b] & (y[:, b] > 0) & (~of_resistor | counts[:, a] & (y[:, a] > 0))
    size = np.where(of_resistor, y[:, b] / np.where(known, y[:, a], 1.0), y[:, b])
    load_b = np.where(known, np.log(np.where(known, size, 1.0) / plan.load), HEALTHY_LOAD_B)
    return _Case(y, weight, yes, wrong, load_b, plan)


def _looks(plan):
    """Chance of yes (plants, looks, components).

    Where the plan itself takes all the water there may be, or a wider nozzle does on a dry day, it may run over or not;
    but what holds water back in the pipe makes it run over.
    """
    available_flow = plan.plant.available_flow
    yes = np.repeat(LOOKS_YES[None], len(available_flow), axis=0)
    for lacks, components in ((plan.flow >= available_flow, ~_HOLDS_BACK), (np.isfinite(available_flow), DRY_DAY)):
        cell = np.ix_(lacks, [LOOKS.index("overflow")], components)
        yes[cell] = np.minimum(yes[cell], 0.5)
    return yes


def _by_plan(plan):
    """ln by which the plan makes a component likelier (plants, components): a resistor is never full, a star no
    delta.
    """
    resistor = (plan.plant.load.load == "resistor")[:, None]
    star = (plan.plant.alternator.connection == "star")[:, None]
    never = (star & (OF_PLAN == "delta")) | (resistor & (OF_PLAN == "other")) | (~resistor & (OF_PLAN == "resistor"))
    # What is left of a fault's components is as likely as all of them.
    left = np.where(never, 0.0, np.exp(LOG_PRIOR)) @ (FAULT_OF[:, None] == np.arange(TWO_OR_NONE))
    possible = np.where(never, _NEVER, np.log(FAULT_PRIOR[:TWO_OR_NONE] / left)[:, FAULT_OF])
    return possible + np.where(resistor & (FAULT_OF == _FULL), np.log(0.2), 0.0)


def _closest(case):
    """A first look at every component, then a closer one at those that may count, and at the best of each fault."""
    every = np.arange(len(case.y))
    plants, kind = np.repeat(every, len(COMPONENTS)), np.tile(np.arange(len(COMPONENTS)), len(every))
    prior = case.prior(plants, kind)
    first = case.fit(plants, kind, prior, case.start(plants, prior), 1)
    known = LOG_PRIOR + case.answers(_looks(case.plan)) + _by_plan(case.plan)
    log = first.evidence.reshape(len(every), -1) + known
    near = log > log.max(axis=1, keepdims=True) - _WORTH_A_CLOSER_LOOK
    for fault in range(TWO_OR_NONE):
        own = np.flatnonzero(fault == FAULT_OF)
        near[every, own[np.argmax(log[:, own], axis=1)]] = True
    closer = np.flatnonzero(near.ravel())
    plants, kind = plants[closer], kind[closer]
    prior = case.prior(plants, kind)
    second = case.fit(plants, kind, prior, first.x[:, closer], _PASSES)
    log[plants, kind] = second.evidence + known[plants, kind]
    two = first.two.reshape(log.shape)
    two[plants, kind] = second.two
    slot = np.full(log.shape, -1)
    slot[plants, kind] = np.arange(len(closer))
    two = ln_sum((two + known - LOG_PRIOR)[:, _SINGLE] + _LOG_PRIOR_OF_SINGLE)
    return _Closest(plants, kind, prior, second, log, slot, two)


def _none_of_these(case, healthy):
    """ln evidence of the readings if each may be off by much, from what a healthy plant reads."""
    miss = np.where(case.weight > 0, case.y - healthy, 0.0)
    spread = np.hypot(
        np.where(case.weight > 0, 1 / np.where(case.weight > 0, case.weight, 1.0), 1.0),
        NONE_SPREAD * np.maximum(abs(case.y), abs(healthy)),
    )
    density = -np.square(miss / spread) / 2 - np.log(
        spread * case.weight, where=case.weight > 0, out=np.zeros_like(spread)
    )
    return np.sum(density, axis=1) + case.answers(np.full((len(case.y), len(LOOKS_YES), 1), 0.7))[:, 0]


def _probabilities(closest, none):
    """Of each fault: the sum over its components (plants, faults); and ln evidence of all of them (plants,)."""
    logs = np.concatenate(
        [
            closest.log,
            (closest.two + np.log(FAULT_PRIOR[TWO_OR_NONE] * (1 - NONE_SHARE)))[:, None],
            (none + np.log(FAULT_PRIOR[TWO_OR_NONE] * NONE_SHARE))[:, None],
        ],
        axis=1,
    )
    share = np.exp(logs - logs.max(axis=1, keepdims=True))
    probability = share @ (np.append(FAULT_OF, [TWO_OR_NONE] * 2)[:, None] == np.arange(len(FAULTS)))
    return probability / probability.sum(axis=1, keepdims=True), ln_sum(logs)


def _following(case, closest, top, second):
    """Numbers of the readings not yet taken, the one first that best tells the two fits apart; 0 for none."""
    fits, every = closest.fit, np.arange(len(top))
    usual = USUAL_UNCERTAINTY[:METERED] * np.maximum(abs(fits.readings[top]), 1e-12)
    noise = np.square(usual) + sum(
        variance(fits.slopes[one], fits.pick(one).covariance(closest.prior.deviation[:, one])) for one in (top, second)
    )
    apart = abs(fits.readings[top] - fits.readings[second]) / np.sqrt(noise)
    # A look by its own standard deviation, a wrong answer counted.
    yes = _looks(case.plan)
    one, other = (yes[every, :, closest.kind[fit]] * 0.9 + 0.05 for fit in (top, second))
    looks = abs(one - other) / np.sqrt((one * (1 - one) + other * (1 - other)) / 2)
    # The speed of the open volts tells nothing by itself.
    apart = np.concatenate([apart, looks, np.zeros((len(top), 1))], axis=1)
    taken = np.concatenate([case.weight > 0, case.wrong > 0, np.full((len(top), 1), True)], axis=1)
    faults = FAULT_OF[closest.kind]
    hydraulic = OF_WATER[faults[top]] & OF_WATER[faults[second]]
    apart = np.where(taken | (hydraulic[:, None] & ~_WATER_TELLS), -1.0, apart)
    number = np.argsort(-apart, axis=1, kind="stable") + 1
    return np.where(np.take_along_axis(apart, number - 1, axis=1) < _TELLS_APART, 0, number)


def _of_all(case, of_meters, of_looks, of_speed):
    """Readings of meters, of looks beside them, and the speed at which the open volts were read."""
    return np.concatenate(
        [
            of_meters,
            np.broadcast_to(of_looks, case.yes.shape),
            np.broadcast_to(of_speed, len(case.y))[:, None],
        ],
        axis=1,
    )


def _as_wide_as_it_seems(closest, top):
    """How many times worse than stated meters and builds are, by the fit of each plant: (meters, builds)."""
    logs = closest.fit.by_scale[top]
    share = np.exp(logs - ln_sum(logs)[:, None])
    return np.sqrt(share @ np.square(np.array(SCALES)[:, :2])).T


def _judge(y, uncertainty, plan):
    """`Diagnosis` of a few plants, and ln evidence; readings and uncertainties (plants, readings)."""
    case = _case(y, uncertainty, plan)
    closest = _closest(case)
    every, nothing_wrong = np.arange(len(y)), np.zeros(len(y), dtype=int)
    well = closest.best_of(nothing_wrong)
    as_well = closest.fit.pick(well)
    probability, evidence = _probabilities(closest, _none_of_these(case, as_well.readings))
    order = _likeliest_first(probability)
    # What is estimated, and what to read next, goes by the likeliest single faults.
    single = order[order != TWO_OR_NONE].reshape(len(y), -1)
    top, second = (closest.best_of(fault) for fault in (single[:, 0], single[:, 1]))
    misfit = as_well.weighed / np.sqrt(np.diagonal(as_well.inverse, axis1=1, axis2=2))
    chance = _looks(plan)[:, :, 0] * 0.9 + 0.05
    scatter = np.sqrt(chance * (1 - chance))
    surprise = np.where(case.wrong > 0, (case.yes - chance) / scatter, 0.0)

    likeliest = closest.kind[top]
    whole = case.prior(every, likeliest, WHOLE_MEANS, WHOLE_DEVIATIONS)
    final = case.fit(every, likeliest, whole, closest.fit.x[:, top], _FINAL_PASSES)
    estimate, slopes = items_of(final.x, plan, likeliest)
    of_meters, of_builds = _as_wide_as_it_seems(closest, top)
    known = final._replace(weighed_slopes=final.weighed_slopes / of_meters[:, None, None])
    unknown = _joint(whole.deviation * np.where(ORDINARY[:, likeliest], of_builds, 1.0), likeliest)

    healthy = case.prior(every, nothing_wrong)
    expected = case.fit(every, nothing_wrong, healthy, case.start(every, healthy), _PASSES, used=_AT_LOADS)
    spread = np.sqrt(variance(expected.slopes, expected.covariance(healthy.deviation)))
    spread[:, _OPEN] = np.hypot(spread[:, _OPEN], plan.open_doubt)
    found = Diagnosis(
        probability,
        order,
        estimate,
        np.sqrt(variance(slopes, known.covariance(unknown))),
        _of_all(case, misfit, surprise, 0.0),
        _following(case, closest, top, second),
        _of_all(case, expected.readings, chance, plan.open_speed),
        _of_all(case, spread, scatter, plan.open_speed),  # any speed is as good
    )
    return found, evidence


def _likeliest_first(probability):
    return np.argsort(-probability, axis=1, kind="stable")


def _told(y, uncertainty):
    """Speed at which the open volts were read, 0 if not told."""
    return y[:, OPEN_SPEED] * (uncertainty[:, OPEN_SPEED] > 0)


def _judge_on_any_day(y, uncertainty, plan):
    """`_judge`; a plan that takes all the water there may be is judged by a day with more of it too.

    What was surveyed is a dry day's flow. Either day is as likely; all but the probabilities goes by the better one.
    """
    found, evidence = _judge(y, uncertainty, plan)
    takes_all = np.flatnonzero(plan.flow >= plan.plant.available_flow)
    if not takes_all.size:
        return found
    y, uncertainty, plan = y[takes_all], uncertainty[takes_all], plan.pick(takes_all)
    with_plenty = plan.plant._replace(available_flow=np.full(len(y), np.inf))
    wet, of_wet = _judge(y, uncertainty, planned(with_plenty, plan.gauge_height, _told(y, uncertainty)))
    share = 1 / (1 + np.exp(np.clip(evidence[takes_all] - of_wet, -500, 500)))[:, None]
    mixed = (1 - share) * found.probability[takes_all] + share * wet.probability
    for values, on_wet in zip(found, wet):
        values[takes_all] = np.where(share > 0.5 + _TIE, on_wet, values[takes_all])
    found.probability[takes_all], found.order[takes_all] = mixed, _likeliest_first(mixed)
    return found


def _joint(deviation, kind):
    """Of a blocked or rough pipe roughness and loss are one reading at one flow: each is as unknown as the other."""
    deviation, pipe = deviation.copy(), FAULT_OF[kind] == _PIPE
    for cause, unknown in (("roughness", 1.5), ("extra_loss", 0.4)):
        deviation[INDEX[cause]] = np.where(pipe, np.maximum(unknown, deviation[INDEX[cause]]), deviation[INDEX[cause]])
    return deviation


def diagnose_plant(readings: Values, uncertainties: Values, plant: Plant, gauge_height: Values) -> Diagnosis:
    """What the readings of a test day say about a plant.

    Parameters
    ----------
    readings : array_like
        The last axis in the order of READINGS: gauge pressure at the valve shut and just before the nozzle, running
        [Pa]; flow [m³/s]; at load A, speed [rad/s], volts at the rectifier and at the load, current [A]; the same at
        another load B; open-circuit d.c. volts per rad/s [V·s]; lowest over highest line voltage [-]; opening of a
        nozzle, measured [m]; two looks, 1 for yes, 0 for no: whether the intake runs over, whether its screen is
        clean; and the speed at which the open-circuit volts were read [rad/s].
    uncertainties : array_like
        Standard uncertainty of each, in its unit; of a look the chance that the answer is wrong. 0 where it was not
        taken. That of the open-circuit volts over speed leaves out the speed's own, which stands last.
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
        plan = planned(*over(lanes, (plant, gauge_height)), _told(y, u))
        known &= np.isfinite(plan[2:]).all(axis=0)  # all but plant and gauge height
        pieces = [slice(start, start + _AT_ONCE) for start in range(0, len(y), _AT_ONCE)]
        parts = [_judge_on_any_day(y[piece], u[piece], plan.pick(piece)) for piece in pieces]
    merged = (np.concatenate(values) for values in zip(*parts))
    return Diagnosis(*(np.where(known[:, None], values, np.nan).reshape(*shape, -1) for values in merged))


def diagnose(readings: Values, uncertainties: Values, **plant: Values) -> Diagnosis:
    """`diagnose_plant` with the plant by single names: PLANT, or further sections of pipe. [SI]"""
    return diagnose_plant(readings, uncertainties, Plant.from_names(plant), plant["gauge_height"])
