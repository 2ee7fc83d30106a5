"""Nozzle and jet, and the flow that source, pipe and nozzle settle at together. SI units.

Net head is TOTAL head just before the nozzle, velocity head in the pipe included; a gauge there reads less by
that velocity head (`running_pressure`).
"""

import numpy as np

from .pipe import (
    TURBULENT_FROM,
    Section,
    losses,
    outlet_bore,
    pipe_velocity,
    rough_flow,
    sections_of,
    solve_flow,
)
from .water import density, kinematic_viscosity

_BESIDE = 1e-9  # share of a flow by which a search keeps clear of the step of the slope at Re 4000


def jet_velocity(net_head, velocity_coefficient, gravity):
    """Velocity of the jet: the velocity coefficient times sqrt(2 g H). [m/s]"""
    return velocity_coefficient * np.sqrt(2 * gravity * net_head)


def nozzle_flow(net_head, nozzle, jets, velocity_coefficient, contraction, gravity):
    """Flow through all nozzles at a net head [m]. [m³/s]"""
    return jet_area(nozzle, jets, contraction) * jet_velocity(net_head, velocity_coefficient, gravity)


def nozzle_head(flow, nozzle, jets, velocity_coefficient, contraction, gravity):
    """Total head this flow [m³/s] needs before the nozzles: the inverse of `nozzle_flow`. [m]"""
    return (flow / jet_area(nozzle, jets, contraction) / velocity_coefficient) ** 2 / (2 * gravity)


def jet_area(nozzle, jets, contraction):
    """Area of all jets together. [m²]"""
    return jets * contraction * (np.pi / 4) * np.asarray(nozzle) ** 2


def jet_diameter(nozzle, contraction):
    """Diameter of the jet, narrower than its opening [m] where the water contracts. [m]"""
    return nozzle * np.sqrt(contraction)


def jet_power(flow, jet_velocity, temperature):
    """Kinetic power of the jets, all together. [W]"""
    return density(temperature) * flow * jet_velocity**2 / 2


def jet_force(flow, jet_velocity, temperature):
    """Force of the jet on a wall that stops it; twice this where the water is turned right back. [N]"""
    return density(temperature) * flow * jet_velocity


def running_pressure(net_head, flow, bore, temperature, gravity):
    """Gauge pressure in the pipe just before the nozzle while water flows. [Pa]

    Net head less the velocity head in the bore where the gauge sits.
    """
    return density(temperature) * (gravity * net_head - pipe_velocity(flow, bore) ** 2 / 2)


def operating_flow(
    gross_head,
    length,
    bore,
    roughness,
    nozzle,
    fittings,
    jets,
    velocity_coefficient,
    contraction,
    temperature,
    gravity,
    available_flow,
    length_2,
    bore_2,
    roughness_2,
    length_3,
    bore_3,
    roughness_3,
):
    """Flow at which pipe, fittings and nozzles together use up the gross head.

    Parameters
    ----------
    gross_head : array_like
        Water level at the intake above the nozzle, above 0. [m]
    length, bore, roughness : array_like
        Of the first pipe section. [m]
    nozzle : array_like
        Diameter of one opening. [m]
    fittings : array_like
        Sum of loss coefficients, referred to the first bore. [-]
    jets : array_like
        Number of equal nozzles. [-]
    velocity_coefficient, contraction : array_like
        Of the nozzle. [-]
    temperature : array_like
        Water temperature. [K]
    gravity : array_like
        Gravitational acceleration. [m/s²]
    available_flow : array_like
        Most flow the source gives; infinite where it is enough. [m³/s]
    length_2, bore_2, roughness_2, length_3, bore_3, roughness_3 : array_like
        Further sections in series; none where the length is 0. [m]

    Returns
    -------
    float or ndarray
        The root of  losses(Q) + (v / Cv)² / 2g = gross head, exact to rounding, or `available_flow` where that is
        less: the pipe then runs partly empty. NaN where an input is NaN. [m³/s]

    References
    ----------
    Energy equation; as in Munson, Young and Okiishi, Fundamentals of Fluid Mechanics, Ex. 12.6.
    """
    sections = sections_of(length, bore, roughness, length_2, bore_2, roughness_2, length_3, bore_3, roughness_3)
    viscosity = kinematic_viscosity(temperature)
    outlet = (nozzle, jets, velocity_coefficient, contraction, gravity)

    def total(flow):
        lost = losses(flow, sections, fittings, viscosity, gravity)
        needed = nozzle_head(flow, *outlet)
        return lost.head + needed, lost.slope + 2 * needed

    free = nozzle_flow(gross_head, *outlet)
    guess = (free**-2.0 + rough_flow(gross_head, sections, fittings, gravity) ** -2.0) ** -0.5
    return np.minimum(solve_flow(gross_head, total, guess), available_flow)


def best_nozzle(
    gross_head,
    length,
    bore,
    roughness,
    fittings,
    jets,
    velocity_coefficient,
    contraction,
    temperature,
    gravity,
    available_flow,
    length_2,
    bore_2,
    roughness_2,
    length_3,
    bore_3,
    roughness_3,
):
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
    flow, velocity = _best_jet(
        gross_head,
        length,
        bore,
        roughness,
        fittings,
        velocity_coefficient,
        temperature,
        gravity,
        available_flow,
        length_2,
        bore_2,
        roughness_2,
        length_3,
        bore_3,
        roughness_3,
    )
    return np.sqrt(flow / velocity / jet_area(1.0, jets, contraction))


def best_nozzle_flow(
    gross_head,
    length,
    bore,
    roughness,
    fittings,
    jets,
    velocity_coefficient,
    contraction,
    temperature,
    gravity,
    available_flow,
    length_2,
    bore_2,
    roughness_2,
    length_3,
    bore_3,
    roughness_3,
):
    """Flow that the nozzle of `best_nozzle` takes. [m³/s]"""
    return _best_jet(
        gross_head,
        length,
        bore,
        roughness,
        fittings,
        velocity_coefficient,
        temperature,
        gravity,
        available_flow,
        length_2,
        bore_2,
        roughness_2,
        length_3,
        bore_3,
        roughness_3,
    )[0]


def best_nozzle_power(
    gross_head,
    length,
    bore,
    roughness,
    fittings,
    jets,
    velocity_coefficient,
    contraction,
    temperature,
    gravity,
    available_flow,
    length_2,
    bore_2,
    roughness_2,
    length_3,
    bore_3,
    roughness_3,
):
    """Jet power that the nozzle of `best_nozzle` gives. [W]"""
    flow, velocity = _best_jet(
        gross_head,
        length,
        bore,
        roughness,
        fittings,
        velocity_coefficient,
        temperature,
        gravity,
        available_flow,
        length_2,
        bore_2,
        roughness_2,
        length_3,
        bore_3,
        roughness_3,
    )
    return jet_power(flow, velocity, temperature)


def pipe_power_limit(
    gross_head,
    length,
    bore,
    roughness,
    fittings,
    temperature,
    gravity,
    available_flow,
    length_2,
    bore_2,
    roughness_2,
    length_3,
    bore_3,
    roughness_3,
):
    """Greatest power the water can still have at the lower end of the pipe, with the best flow. [W]"""
    sections = sections_of(length, bore, roughness, length_2, bore_2, roughness_2, length_3, bore_3, roughness_3)
    flow, lost = _best_flow(gross_head, sections, fittings, kinematic_viscosity(temperature), gravity, available_flow)
    return density(temperature) * gravity * flow * (gross_head - lost)


def best_listed_nozzle(
    gross_head,
    length,
    bore,
    roughness,
    sizes,
    fittings,
    jets,
    velocity_coefficient,
    contraction,
    temperature,
    gravity,
    available_flow,
    length_2,
    bore_2,
    roughness_2,
    length_3,
    bore_3,
    roughness_3,
):
    """The size of a list that gives most jet power; of equals, the first.

    `sizes` [m] lie along the last axis; the other arguments broadcast against it, and it is the axis the result
    lacks. Sizes wider than the bore they would be fed from are passed over. A nozzle that would take more than the
    available flow runs with that flow, at a lower velocity. NaN where no size fits the pipe, or where a size, or another input, is NaN. [m]
    """
    flow = operating_flow(
        gross_head,
        length,
        bore,
        roughness,
        sizes,
        fittings,
        jets,
        velocity_coefficient,
        contraction,
        temperature,
        gravity,
        available_flow,
        length_2,
        bore_2,
        roughness_2,
        length_3,
        bore_3,
        roughness_3,
    )
    power = jet_power(flow, flow / jet_area(sizes, jets, contraction), temperature)
    power = np.where(sizes > outlet_bore(bore, length_2, bore_2, length_3, bore_3), -1.0, power)
    sizes = np.broadcast_to(sizes, power.shape)
    best = np.take_along_axis(sizes, np.argmax(power, axis=-1)[..., None], axis=-1)[..., 0]
    return np.where(np.isnan(power).any(axis=-1) | (power < 0).all(axis=-1), np.nan, best)


def _best_jet(
    gross_head,
    length,
    bore,
    roughness,
    fittings,
    velocity_coefficient,
    temperature,
    gravity,
    available_flow,
    length_2,
    bore_2,
    roughness_2,
    length_3,
    bore_3,
    roughness_3,
):
    """Flow and velocity of the jet of most power."""
    sections = sections_of(length, bore, roughness, length_2, bore_2, roughness_2, length_3, bore_3, roughness_3)
    flow, lost = _best_flow(gross_head, sections, fittings, kinematic_viscosity(temperature), gravity, available_flow)
    return flow, jet_velocity(gross_head - lost, velocity_coefficient, gravity)


def _best_flow(gross_head, sections, fittings, viscosity, gravity, available_flow):
    """The flow up to `available_flow` that carries most power, Q (H - h), through the pipe; and h, the head lost.

    Where the flow in every section is turbulent there is one such flow: the root of h + dh/dlnQ = H. At Re 4000 the
    slope of h drops, so below that flow there may be a second maximum; it is sought where it could be the higher one.
    """
    turbulent = 0.0  # flow above which every section is turbulent
    for _, bore, _ in sections:
        turbulent = np.maximum(turbulent, TURBULENT_FROM * viscosity * np.pi / 4 * np.asarray(bore))

    def best_between(gross_head, sections, fittings, viscosity, gravity, low, high):
        def marginal(flow):
            lost = losses(flow, sections, fittings, viscosity, gravity)
            return lost.head + lost.slope, lost.slope + lost.curvature

        flow = solve_flow(gross_head, marginal, rough_flow(gross_head / 3, sections, fittings, gravity), low, high)
        return flow, losses(flow, sections, fittings, viscosity, gravity).head

    pipe = (gross_head, sections, fittings, viscosity, gravity)
    ceiling = np.minimum(available_flow, 1e3)
    flow, lost = best_between(*pipe, np.minimum(turbulent * (1 + _BESIDE), ceiling), ceiling)
    flow = np.where(flow >= 1e3 * (1 - 1e-9), np.nan, flow)  # nothing limits it
    # No flow below `turbulent` can carry more than its own Q H.
    doubtful = np.asarray(flow * (gross_head - lost) < turbulent * gross_head)
    if np.any(doubtful):

        def pick(values):
            return np.broadcast_to(values, doubtful.shape)[doubtful]

        few = (
            pick(gross_head),
            [Section(*map(pick, section)) for section in sections],
            pick(fittings),
            pick(viscosity),
            pick(gravity),
        )
        flow, lost = np.array(flow, dtype=float), np.array(np.broadcast_to(lost, doubtful.shape))
        edges = [0.0, *np.sort([TURBULENT_FROM * few[3] * np.pi / 4 * section.bore for section in few[1]], axis=0)]
        for low, high in zip(edges, edges[1:]):
            high = np.minimum(high * (1 - _BESIDE), pick(ceiling))
            other, other_lost = best_between(*few, np.minimum(low * (1 + _BESIDE), high), high)
            better = other * (few[0] - other_lost) > flow[doubtful] * (few[0] - lost[doubtful])
            flow[doubtful] = np.where(better, other, flow[doubtful])
            lost[doubtful] = np.where(better, other_lost, lost[doubtful])
    return np.minimum(flow, available_flow), lost
