"""Heads and pressures along the pipe, from the intake down. SI units.

A chainage is the length along the pipe from the intake. At chainage 0 stands the still water of the intake: no
loss, no velocity head. Everywhere below it, all fittings of the pipe are counted as if they sat at the intake; the
pressure at a high point is then never over-stated.
"""

import numpy as np

from .groups import MORE_SECTIONS, SECTION, Pipe, Water, flat
from .pipe import losses, pipe_velocity
from .values import Result, Values
from .water import air_pressure, density, kinematic_viscosity, vapour_pressure


def reached(chainage: Values, pipe: Pipe) -> Pipe:
    """The part of a pipe that lies above a chainage; it may be infinite: the whole pipe."""
    left, sections = chainage, []
    for section in pipe.sections:
        sections.append(section._replace(length=np.clip(left, 0.0, section.length)))
        left = left - section.length
    return Pipe(tuple(sections), pipe.fittings)


@flat("chainage flow", SECTION, "fittings temperature gravity", MORE_SECTIONS)
def lost_head_at(chainage: Values, flow: Values, pipe: Pipe, water: Water) -> Result:
    """Head lost between the intake and a point of the pipe.

    Parameters
    ----------
    chainage : array_like
        Length along the pipe from the intake to the point, at most that of the pipe. [m]
    flow : array_like
        Water flow; 0 is allowed. [m³/s]
    pipe, water : group
        See `hydrofunc.physics.groups`. All fittings are counted in full from just below the intake.

    Returns
    -------
    float or ndarray
        Friction to there and all fittings; 0 at chainage 0; that of `penstock_head` at the lower end. [m]

    References
    ----------
    Darcy-Weisbach, as in `hydrofunc.physics.pipe`.
    """
    above = reached(chainage, pipe).laid()
    lost = losses(flow, above, kinematic_viscosity(water.temperature), water.gravity).head
    return np.where(np.asarray(chainage) == 0, 0.0, lost)


@flat("chainage length bore length_2 bore_2 length_3 bore_3")
def bore_at(chainage: Values, pipe: Pipe) -> Result:
    """Bore of the section in which a chainage lies; at a joint that of the upper section. [m]"""
    bore, start = pipe.sections[0].bore, pipe.sections[0].length
    for section in pipe.sections[1:]:
        bore = np.where((np.asarray(chainage) > start) & (np.asarray(section.length) > 0), section.bore, bore)
        start = start + np.asarray(section.length)
    return bore


def velocity_head(flow: Values, bore: Values, gravity: Values) -> Result:
    """Head that is in the movement of the water, V² / 2g. [m]"""
    return np.square(pipe_velocity(flow, bore)) / (2 * gravity)


def gauge_pressure(line_above: Values, temperature: Values, gravity: Values) -> Result:
    """Gauge pressure in a pipe that lies `line_above` [m] below its grade line, negative where it stands above it. [Pa]

    At rest the grade line is the water level of the intake; running it is lower by the head lost and the velocity
    head. Below minus the air pressure no water can be.
    """
    return density(temperature) * gravity * line_above


def available_suction(altitude: Values, temperature: Values, gravity: Values, margin: Values) -> Result:
    """How far a pipe may stand above its grade line before the water in it boils.

    Parameters
    ----------
    altitude : array_like
        Height of the point above the sea. [m]
    temperature : array_like
        Water temperature. [K]
    gravity : array_like
        Gravitational acceleration. [m/s²]
    margin : array_like
        Share kept in hand, for the air that leaves the water long before it boils. [-]

    Returns
    -------
    float or ndarray
        (1 - margin) (air pressure - vapour pressure) / (rho g). [m]

    References
    ----------
    Hydrostatics; siphon as in Cengel and Cimbala, Fluid Mechanics, Ex. 5-7 p. 207. The margin is common practice, no
    published source.
    """
    suction = (air_pressure(altitude) - vapour_pressure(temperature)) / (density(temperature) * gravity)
    return (1 - margin) * suction
