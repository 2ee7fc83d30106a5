"""Water over the year, and a tank that gathers it. SI units.

A tank's level is small against the head of the plant: the jet is taken to run at one flow while the tank
empties.
"""

import numpy as np

from .lists import element, single
from .values import Result, Values

DAY = 86400.0  # [s]


def flow_exceeded(flows: Values, time_share: Values) -> Result:
    """Flow that a record reaches or exceeds for a share of the time: one point of its flow-duration curve.

    Parameters
    ----------
    flows : array_like
        The record, along the last axis, in any order; all values stand for equally long times. [m³/s]
    time_share : array_like
        Share of the time, against the last axis of `flows`. [-]

    Returns
    -------
    float or ndarray
        The m-th largest of n flows is given the share m / (n + 1) (plotting position of Weibull); straight
        lines between. NaN beyond the first and the last: a record of n flows says nothing there. [m³/s]

    References
    ----------
    J. K. Searcy, Flow-duration curves, U.S. Geological Survey Water-Supply Paper 1542-A (1959), for the
    curve; R. M. Vogel and N. M. Fennessey, J. Water Resour. Plann. Manage. 120 (1994) 485, for the plotting
    position (both from memory, not looked up).
    """
    flows = np.asarray(flows, dtype=float)
    rising, count = np.sort(flows, axis=-1), flows.shape[-1]
    rank = single(np.asarray(time_share) * (count + 1) - 1)  # 0 is the largest flow
    rank = np.where(np.abs(rank - np.round(rank)) < 1e-9, np.round(rank), rank)
    known = (rank >= 0) & (rank <= count - 1)
    above = np.floor(np.clip(np.where(known, rank, 0), 0, np.maximum(count - 2, 0)))
    larger = element(rising, (count - 1 - above)[..., None])
    smaller = element(rising, np.maximum(count - 2 - above, 0)[..., None])
    flow = np.where(known, larger + (smaller - larger) * (rank - above), np.nan)
    return flow + 0 * np.sum(flows, axis=-1)  # a flow that is not known leaves none known


def tank_running_time(tank_volume: Values, flow: Values, inflow: Values) -> Result:
    """Time a full tank [m³] feeds a jet of `flow` while `inflow` [m³/s] keeps coming, V / (Q - I). [s]

    Infinite where the inflow is as large as the flow.
    """
    return np.where(np.asarray(flow) > inflow, tank_volume / (np.maximum(flow, inflow) - inflow), np.inf)


def tank_refill_time(tank_volume: Values, inflow: Values) -> Result:
    """Time an empty tank [m³] needs to fill from `inflow` [m³/s] while the jet is shut, V / I. [s]"""
    return tank_volume / np.asarray(inflow, dtype=float)


def tank_runs(tank_volume: Values, flow: Values, inflow: Values) -> Result:
    """How often in a day a jet of `flow` starts, if it runs until the tank is empty and waits until it is
    full. [-]

    One cycle takes V / I + V / (Q - I) seconds; the jet is on for I / Q of it. 0 where the inflow is as
    large as the flow: the jet then never stops.
    """
    rising = np.maximum(flow - np.asarray(inflow, dtype=float), 0)
    return DAY * inflow * rising / (tank_volume * np.asarray(flow, dtype=float))


def tank_emptying_time(
    tank_area: Values,
    hole: Values,
    water_depth: Values,
    final_depth: Values,
    discharge_coefficient: Values,
    gravity: Values,
) -> Result:
    """Time for a tank with upright walls to drain through a hole, with no inflow.

    Parameters
    ----------
    tank_area : array_like
        Area of the water surface. [m²]
    hole : array_like
        Diameter of the hole. [m]
    water_depth, final_depth : array_like
        Water above the centre of the hole at first and at last. [m]
    discharge_coefficient : array_like
        Flow over that without contraction or loss; sharp-edged hole 0.60 to 0.62. [-]
    gravity : array_like
        Gravitational acceleration. [m/s²]

    Returns
    -------
    float or ndarray
        2 A (sqrt h1 - sqrt h2) / (Cd a sqrt(2 g)). [s]

    References
    ----------
    C. Schaschke, Fluid Mechanics: Worked Examples for Engineers, Ex. 6.3 p. 147; Cengel and Cimbala, Fluid
    Mechanics, Ex. 5-2 p. 191.
    """
    fall = np.sqrt(water_depth) - np.sqrt(final_depth)
    opening = discharge_coefficient * np.pi / 4 * np.square(np.asarray(hole))
    return 2 * tank_area * fall / (opening * np.sqrt(2 * gravity))
