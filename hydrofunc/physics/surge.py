"""Surge: what happens when the water in the pipe is stopped or started. SI units.

Sections stand in series in downhill order; each has its wave speed. One section of no length is none.
"""

import numpy as np

from .groups import Pipe, flat
from .pipe import pipe_velocity
from .route import reached
from .tables import look_up
from .values import Result, Values, Words
from .water import density

# W. Marczak, J. Acoust. Soc. Am. 102 (1997) 2776: sound in water at atmospheric pressure, powers of t in °C. The
# coefficients are from memory, not looked up; they agree with IAPWS-95 to 3e-5 (tested).
_SOUND = (1402.385, 5.038813, -5.799136e-2, 3.287156e-4, -1.398845e-6, 2.787860e-9)
# How the pipe may move along its axis: psi = 1 - c1 mu - c2 mu².
_FIRST = {"expansion joints": 0.0, "anchored upstream": 0.5, "anchored throughout": 0.0}
_SECOND = {"expansion joints": 0.0, "anchored upstream": 0.0, "anchored throughout": 1.0}
SUPPORTS = tuple(_FIRST)
_MORE = "length_2 bore_2 wave_speed_2 length_3 bore_3 wave_speed_3"


def bulk_modulus(temperature: Values) -> Result:
    """Bulk modulus of fresh water without air bubbles, density times (speed of sound)², 0 to 40 °C. [Pa]

    References
    ----------
    W. Marczak, Water as a standard in the measurements of speed of sound in liquids, J. Acoust. Soc. Am. 102 (1997)
    2776.
    """
    t = temperature - 273.15
    sound = sum(coefficient * np.power(t, power) for power, coefficient in enumerate(_SOUND))
    return density(temperature) * np.square(sound)


def wave_speed(
    bore: Values,
    wall: Values,
    elastic_modulus: Values,
    poisson_ratio: Values,
    support: Words,
    bulk_modulus: Values,
    density: Values,
) -> Result:
    """Speed of a pressure wave in water in an elastic pipe (Korteweg).

    Parameters
    ----------
    bore, wall : array_like
        Inside diameter and wall thickness. [m]
    elastic_modulus : array_like
        Of the pipe wall, for quick loads; infinite for a rigid pipe. [Pa]
    poisson_ratio : array_like
        Of the pipe wall. [-]
    support : str or array of str
        "expansion joints", "anchored upstream" or "anchored throughout". [word]
    bulk_modulus : array_like
        Of the water. [Pa]
    density : array_like
        Of the water. [kg/m³]

    Returns
    -------
    float or ndarray
        a = sqrt(K / rho / (1 + psi K D / (E e))), with psi = 1, 1 - mu / 2 or 1 - mu². [m/s]

    Notes
    -----
    Thin wall. In a thick wall (PE SDR 11) the wave is some per cent slower, so the surge is not under-stated. Air
    bubbles slow it much more, but are not to be relied upon.

    References
    ----------
    V. L. Streeter and E. B. Wylie, Fluid Transients (section not checked); factors psi as in the manual of a general
    multiphysics program, pipe flow chapter.
    """
    psi = 1 - look_up(_FIRST, support) * poisson_ratio - look_up(_SECOND, support) * np.square(poisson_ratio)
    return np.sqrt(bulk_modulus / density / (1 + psi * bulk_modulus * bore / (elastic_modulus * wall)))


def _travel(section):
    """Time a wave takes through a section; 0 where it has no length. [s]"""
    return section.length / section.wave_speed


def _velocity(flow, section):
    """Velocity in a section; 0 where it has no length. [m/s]"""
    return np.where(np.asarray(section.length) == 0, 0.0, pipe_velocity(flow, section.bore))


def _column(flow, pipe, above):
    """Length times velocity, summed over all that lies `above`: the momentum of the water over density and area.
    [m²/s]
    """
    return sum(
        part.length * _velocity(flow, section) for part, section in zip(above.sections, pipe.sections, strict=True)
    )


@flat("length wave_speed length_2 wave_speed_2 length_3 wave_speed_3")
def critical_time(pipe: Pipe) -> Result:
    """Time a wave takes from the lower end to the intake and back: closing in less is a sudden stop. [s]

    2 (L_1/a_1 + L_2/a_2 + ...): travel times add; wave speeds must not be averaged.
    """
    return 2 * sum(_travel(section) for section in pipe.sections)


@flat("flow closing_time length bore wave_speed density", _MORE, "chainage")
def surge_pressure(flow: Values, closing_time: Values, pipe: Pipe, density: Values, chainage: Values) -> Result:
    """Pressure rise when a flow is stopped at the lower end of the pipe.

    Parameters
    ----------
    flow : array_like
        Flow that is stopped, or the part of it by which it changes. [m³/s]
    closing_time : array_like
        In which the flow falls to nothing in proportion to time; 0 for a nozzle suddenly blocked. [s]
    pipe : Pipe
        Length, bore and wave speed of each section; a section of no length is none. [m], [m], [m/s]
    density : array_like
        Of the water. [kg/m³]
    chainage : array_like
        Where in the pipe, from the intake; infinite or beyond the pipe: at the lower end. [m]

    Returns
    -------
    float or ndarray
        rho a V of Joukowsky where the wave from the intake comes too late; else 2 rho L V / T of Michaud, with L the
        length above the point, and never more than the former. In sections of different a V the greatest counts,
        times 1 + |r| for each joint, r being the share of a wave that the joint reflects. [Pa]

    Notes
    -----
    Friction is left out. Added to the pressure at rest, not to the lower running pressure, the rise then also holds
    the packing of the line that follows the first step. Against a run by characteristics this holds in one section
    always; at joints reflections can add up by chance to somewhat more, rarely by a tenth with usual bores (tested).
    A valve does not stop the flow in proportion to time: see `stopping_time`. Trap: the formula of a rigid column,
    rho L V / T, gives half.

    References
    ----------
    N. Joukowsky 1898 and A. Michaud 1878, as worked in K. Subramanya, 1000 Solved Problems in Fluid Mechanics,
    Ex. 14.14 to 14.20, pp. 358-360.
    """
    above = reached(chainage, pipe)
    steps = [section.wave_speed * _velocity(flow, section) for section in pipe.sections]
    upper = greatest = steps[0]
    joints = 1.0
    for step in steps[1:]:
        lower = np.where(step > 0, step, upper)
        joints = joints * (1 + np.abs(lower - upper) / np.maximum(lower + upper, 1e-300))
        greatest, upper = np.maximum(greatest, step), lower
    sudden = joints * greatest
    travel = sum(_travel(section) for section in above.sections)
    slow = 2 * _column(flow, pipe, above) / np.where(np.asarray(closing_time) > 0, closing_time, 1.0)
    rise = density * np.where(np.asarray(closing_time) <= 2 * travel, sudden, np.minimum(sudden, slow))
    return np.where(np.asarray(chainage) == 0, 0.0, rise)


def stopping_time(
    valve_time: Values,
    nozzle: Values,
    bore: Values,
    net_head: Values,
    peak_head: Values,
    jets: Values,
    contraction: Values,
) -> Result:
    """Time in which a valve before the nozzles really stops the flow: what to give to `surge_pressure`.

    Parameters
    ----------
    valve_time : array_like
        In which the valve's opening goes evenly from full to nothing. [s]
    nozzle, bore : array_like
        Diameter of each nozzle and of the open valve; the same for a spear, or a valve with no nozzle behind it. [m]
    net_head, peak_head : array_like
        Before the nozzle while water flows, and at the peak of the surge: what it may come to, at rest and surge. [m]
    jets, contraction : array_like
        Number of jets, and area of a jet over that of its nozzle. [-]

    Returns
    -------
    float or ndarray
        valve_time z C_c (d / D)² sqrt(H_n / H_peak), at most valve_time. [s]

    Notes
    -----
    Until the opening is about as small as the nozzle the nozzle alone decides the flow; then the flow falls with the
    opening, and the faster, the more the head before it rises. This is the steepest fall there is while the head stays
    below its peak.

    References
    ----------
    Orifices in series; our own derivation, held against a run by characteristics in the tests.
    """
    share = np.minimum(1.0, jets * contraction * np.square(nozzle / bore))
    return valve_time * share * np.sqrt(np.minimum(1.0, net_head / peak_head))


@flat("surge_allowed flow length bore wave_speed density", _MORE)
def safe_closing_time(surge_allowed: Values, flow: Values, pipe: Pipe, density: Values) -> Result:
    """Shortest time in which a flow may be stopped so that the pressure rises by no more than is allowed.

    Parameters
    ----------
    surge_allowed : array_like
        Rise the weakest part stands above the pressure at rest. [Pa]
    flow, pipe, density : array_like or group
        As of `surge_pressure`. [SI]

    Returns
    -------
    float or ndarray
        0 where even a sudden stop is allowed; else 2 rho sum(L V) / surge_allowed, and at least the critical time. [s]

    References
    ----------
    The inverse of `surge_pressure`.
    """
    slow = np.maximum(2 * density * _column(flow, pipe, pipe) / surge_allowed, critical_time(pipe))
    return np.where(surge_pressure(flow, 0.0, pipe, density, np.inf) <= surge_allowed, 0.0, slow)


@flat("closing_time length wave_speed length_2 wave_speed_2 length_3 wave_speed_3")
def full_surge_length(closing_time: Values, pipe: Pipe) -> Result:
    """Length of pipe, from its lower end, that feels the whole sudden stop: L - a T / 2 in one section. [m]

    0 where the closing time is the critical time or longer.
    """
    left = critical_time(pipe) / 2 - closing_time / 2
    total = 0.0
    for section in reversed(pipe.sections):
        part = np.clip(left, 0.0, _travel(section))
        total, left = total + part * section.wave_speed, left - part
    return total


@flat("share flow gross_head length bore gravity length_2 bore_2 length_3 bore_3")
def starting_time(share: Values, flow: Values, gross_head: Values, pipe: Pipe, gravity: Values) -> Result:
    """Time in which the water in the pipe comes up to a share of its final flow once the nozzle is opened at once. [s]

    `share` is above 0 and below 1; `flow` is the final one. Rigid column, losses and jet in proportion to flow²:
    t = sum(L V) / (2 g H) ln((1 + s) / (1 - s)).
    """
    return _column(flow, pipe, pipe) / (2 * gravity * gross_head) * np.log((1 + share) / (1 - share))
