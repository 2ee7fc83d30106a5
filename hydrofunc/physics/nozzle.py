"""Nozzle and jet, and the flow that source, pipe and nozzle settle at together. SI units.

Net head is TOTAL head just before the nozzle, velocity head in the pipe included; a gauge there reads less by
that velocity head (`running_pressure`).
"""

import itertools
from typing import NamedTuple

import numpy as np

from . import lists
from .groups import MORE_SECTIONS, SECTION, Outlet, Pipe, Water, flat, in_lanes
from .pipe import TURBULENT_FROM, losses, pipe_velocity, rough_flow, widest_nozzle
from .roots import positive_root
from .values import Result, Values
from .water import density, kinematic_viscosity

_BESIDE = 1e-9  # share of a flow by which a search keeps clear of the step of the slope at Re 2600


_JETS, _WATER = "jets velocity_coefficient contraction", "temperature gravity available_flow"
_WITHOUT_NOZZLE = f"gross_head {SECTION} fittings {_JETS} {_WATER} {MORE_SECTIONS}"


class HeadBalance(NamedTuple):
    """How a flow uses the gross head. [m]"""

    friction: Result  # of the pipe
    fittings: Result
    nozzle: Result  # before it: what the jets need
    excess: Result  # of the three together over the gross head; 0 where the flow settles
    slope: Result  # of the excess to ln(flow)


def head_balance(
    flow: Values, gross_head: Values, pipe: Pipe, outlet: Outlet, viscosity: Values, gravity: Values
) -> HeadBalance:
    """The balance of heads at a flow [m³/s]: `operating_flow` is the root of its excess.

    Written once, for the solver, the ledger and, with complex numbers in pipe, outlet and gross head, the diagnosis.
    """
    lost, needed = losses(flow, pipe, viscosity, gravity), nozzle_head(flow, outlet, gravity)
    excess = lost.head + needed - gross_head
    return HeadBalance(lost.friction, lost.fittings, needed, excess, lost.slope + 2 * needed)


def jet_velocity(net_head: Values, velocity_coefficient: Values, gravity: Values) -> Result:
    """Velocity of the jet: the velocity coefficient times sqrt(2 g H). [m/s]"""
    return velocity_coefficient * np.sqrt(2 * gravity * net_head)


@flat()
def nozzle_flow(net_head: Values, outlet: Outlet, gravity: Values) -> Result:
    """Flow through all nozzles at a net head [m]. [m³/s]"""
    return jet_area(outlet) * jet_velocity(net_head, outlet.velocity_coefficient, gravity)


@flat()
def nozzle_head(flow: Values, outlet: Outlet, gravity: Values) -> Result:
    """Total head this flow [m³/s] needs before the nozzles: the inverse of `nozzle_flow`. [m]"""
    return np.square(flow / jet_area(outlet) / outlet.velocity_coefficient) / (2 * gravity)


def jet_area(outlet: Outlet) -> Result:
    """Area of all jets together. [m²]"""
    return outlet.jets * outlet.contraction * (np.pi / 4) * np.square(np.asarray(outlet.nozzle))


def jet_diameter(nozzle: Values, contraction: Values) -> Result:
    """Diameter of the jet, narrower than its opening [m] where the water contracts. [m]"""
    return nozzle * np.sqrt(contraction)


def jet_power(flow: Values, jet_velocity: Values, temperature: Values) -> Result:
    """Kinetic power of the jets, all together. [W]"""
    return density(temperature) * flow * np.square(jet_velocity) / 2


def jet_force(flow: Values, jet_velocity: Values, temperature: Values) -> Result:
    """Force of the jet on a wall that stops it; twice this where the water is turned right back. [N]"""
    return density(temperature) * flow * jet_velocity


def running_pressure(net_head: Values, flow: Values, bore: Values, temperature: Values, gravity: Values) -> Result:
    """Gauge pressure in the pipe just before the nozzle while water flows. [Pa]

    Net head less the velocity head in the bore where the gauge sits.
    """
    return density(temperature) * (gravity * net_head - np.square(pipe_velocity(flow, bore)) / 2)


@flat(f"gross_head {SECTION} nozzle fittings {_JETS} {_WATER} {MORE_SECTIONS}")
def operating_flow(gross_head: Values, pipe: Pipe, outlet: Outlet, water: Water, available_flow: Values) -> Result:
    """Flow at which pipe, fittings and nozzles together use up the gross head.

    Parameters
    ----------
    gross_head : array_like
        Water level at the intake above the nozzle, above 0. [m]
    pipe, outlet, water : group
        See `hydrofunc.physics.groups`; a section of no length is none.
    available_flow : array_like
        Most flow the source gives; infinite where it is enough. [m³/s]

    Returns
    -------
    float or ndarray
        The root of  losses(Q) + (v / Cv)² / 2g = gross head, exact to rounding, or `available_flow` where that is
        less: the pipe then runs partly empty. NaN where an input is NaN. [m³/s]

    References
    ----------
    Energy equation; as in Munson, Young and Okiishi, Fundamentals of Fluid Mechanics, Ex. 12.6.
    """

    def used(flow, gross_head, *rest):
        balance = head_balance(flow, gross_head, *rest)
        return gross_head + balance.excess, balance.slope

    pipe, gravity = pipe.laid(), water.gravity
    free = nozzle_flow(gross_head, outlet, gravity)
    guess = np.power(np.power(free, -2.0) + np.power(rough_flow(gross_head, pipe, gravity), -2.0), -0.5)
    arguments = (gross_head, pipe, outlet, kinematic_viscosity(water.temperature), gravity)
    return np.minimum(positive_root(used, gross_head, guess, *arguments), available_flow)


@flat(_WITHOUT_NOZZLE)
def best_nozzle(
    gross_head: Values,
    pipe: Pipe,
    jets: Values,
    velocity_coefficient: Values,
    contraction: Values,
    water: Water,
    available_flow: Values,
) -> Result:
    """Nozzle that takes most jet power from the pipe, within the available flow.

    A smaller one passes too little water, a larger one spends too much head in the pipe. With a constant
    friction factor a third of the gross head is then lost; the true factor falls with flow and moves that to 34 to
    36 %. Where the source gives less than the optimum, the nozzle that just takes it is the best.

    Parameters as `operating_flow`, without the nozzle.

    Returns
    -------
    float or ndarray
        Diameter of one opening. NaN where nothing limits the flow: no losses and no end to the source. [m]

    References
    ----------
    F. M. White, Fluid Mechanics, problem P11.95; Munson, Young and Okiishi, Ex. 12.6.
    """
    flow, velocity = _best_jet(gross_head, pipe, velocity_coefficient, water, available_flow)
    return np.sqrt(flow / velocity / jet_area(Outlet(1.0, jets, velocity_coefficient, contraction)))


@flat(_WITHOUT_NOZZLE)
def best_nozzle_flow(
    gross_head: Values,
    pipe: Pipe,
    jets: Values,
    velocity_coefficient: Values,
    contraction: Values,
    water: Water,
    available_flow: Values,
) -> Result:
    """Flow that the nozzle of `best_nozzle` takes; it does not depend on the jets. [m³/s]"""
    return _best_jet(gross_head, pipe, velocity_coefficient, water, available_flow)[0]


@flat(_WITHOUT_NOZZLE)
def best_nozzle_power(
    gross_head: Values,
    pipe: Pipe,
    jets: Values,
    velocity_coefficient: Values,
    contraction: Values,
    water: Water,
    available_flow: Values,
) -> Result:
    """Jet power that the nozzle of `best_nozzle` gives, in all jets together. [W]"""
    flow, velocity = _best_jet(gross_head, pipe, velocity_coefficient, water, available_flow)
    return jet_power(flow, velocity, water.temperature)


@flat(f"gross_head {SECTION} fittings {_WATER} {MORE_SECTIONS}")
def pipe_power_limit(gross_head: Values, pipe: Pipe, water: Water, available_flow: Values) -> Result:
    """Greatest power the water can still have at the lower end of the pipe, with the best flow. [W]"""
    flow, lost = _best_flow(gross_head, pipe, water, available_flow)
    return density(water.temperature) * water.gravity * flow * (gross_head - lost)


@flat(f"gross_head {SECTION} sizes fittings {_JETS} {_WATER} {MORE_SECTIONS}")
def best_listed_nozzle(
    gross_head: Values,
    pipe: Pipe,
    sizes: Values,
    jets: Values,
    velocity_coefficient: Values,
    contraction: Values,
    water: Water,
    available_flow: Values,
) -> Result:
    """The size of a list that gives most jet power; of equals, the first.

    `sizes` [m] lie along the last axis; the other arguments broadcast against it, and it is the axis the result
    lacks. Sizes of which all jets are wider than the pipe (`widest_nozzle`) are passed over. A nozzle that would take
    more than the available flow runs with that flow, at a lower velocity. NaN where no size fits the pipe, or where a
    size, or another input, is NaN. [m]
    """

    def power(size):
        outlet = Outlet(size, jets, velocity_coefficient, contraction)
        flow = operating_flow(gross_head, pipe, outlet, water, available_flow)
        too_wide = size > widest_nozzle(jets, pipe) * (1 + 1e-9)
        return np.where(too_wide, -1.0, jet_power(flow, flow / jet_area(outlet), water.temperature))

    return lists.best_of(sizes, power)


def _best_jet(gross_head, pipe, velocity_coefficient, water, available_flow):
    """Flow and velocity of the jet of most power."""
    flow, lost = _best_flow(gross_head, pipe, water, available_flow)
    return flow, jet_velocity(gross_head - lost, velocity_coefficient, water.gravity)


def _best_flow(gross_head, pipe, water, available_flow):
    """The flow up to `available_flow` that carries most power, Q (H - h), through the pipe; and h, the head lost.

    Where the flow in every section is turbulent there is one such flow: the root of h + dh/dlnQ = H. At Re 2600 the
    slope of h drops, so below that flow there may be a second maximum; it is sought where it could be the higher one.
    """
    plant = (gross_head, pipe.laid(), kinematic_viscosity(water.temperature), water.gravity)
    turbulent = np.max(np.broadcast_arrays(*_turbulent_from(plant)), axis=0)  # in every section
    ceiling = np.minimum(available_flow, 1e3)
    flow = _best_between(plant, np.minimum(turbulent * (1 + _BESIDE), ceiling), ceiling)
    flow = np.where(flow >= 1e3 * (1 - 1e-9), np.nan, flow)  # nothing limits it
    # No flow below `turbulent` can carry more than its own Q H.
    doubtful = np.asarray(flow * (gross_head - _lost(flow, plant)) < turbulent * gross_head)
    flow = in_lanes(doubtful, _best_of_pieces, flow, flow, ceiling, plant)
    return np.minimum(flow, available_flow), _lost(flow, plant)


def _lost(flow, plant):
    """Head that a flow loses in the pipe. [m]"""
    _, pipe, viscosity, gravity = plant
    return losses(flow, pipe, viscosity, gravity).head


def _best_of_pieces(flow, ceiling, plant):
    """The better one of `flow` and of the best flows between those at which the sections turn turbulent."""
    edges = [0.0, *np.sort(_turbulent_from(plant), axis=0)]
    for low, high in itertools.pairwise(edges):
        high = np.minimum(high * (1 - _BESIDE), ceiling)
        other = _best_between(plant, np.minimum(low * (1 + _BESIDE), high), high)
        better = other * (plant[0] - _lost(other, plant)) > flow * (plant[0] - _lost(flow, plant))
        flow = np.where(better, other, flow)
    return flow


def _turbulent_from(plant):
    """Flow from which each section is turbulent. [m³/s]"""
    _, pipe, viscosity, _ = plant
    return [TURBULENT_FROM * viscosity * np.pi / 4 * np.asarray(section.bore) for section in pipe.sections]


def _best_between(plant, low, high):
    """Flow between two flows that carries most power, where there is one maximum at most."""

    def marginal(flow, *rest):
        lost = losses(flow, *rest)
        return lost.head + lost.slope, lost.slope + lost.curvature

    gross_head, pipe, viscosity, gravity = plant
    guess = rough_flow(gross_head / 3, pipe, gravity)
    return positive_root(marginal, gross_head, guess, pipe, viscosity, gravity, low=low, high=high)
