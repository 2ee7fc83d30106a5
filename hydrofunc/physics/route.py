"""Heads and pressures along the pipe, from the intake down. SI units.

A chainage is the length along the pipe from the intake. At chainage 0 stands the still water of the intake: no
loss, no velocity head. Everywhere below it, all fittings of the pipe are counted as if they sat at the intake; the
pressure at a high point is then never over-stated.
"""

import numpy as np

from .pipe import losses, pipe_velocity, sections_of
from .water import air_pressure, density, kinematic_viscosity, vapour_pressure


def reached(chainage, length, length_2, length_3):
    """How much of each of the three sections lies above a chainage; it may be infinite: the whole pipe. [m]"""
    return (
        np.minimum(chainage, length),
        np.clip(chainage - length, 0.0, length_2),
        np.clip(chainage - length - length_2, 0.0, length_3),
    )


def lost_head_at(
    chainage,
    flow,
    length,
    bore,
    roughness,
    fittings,
    temperature,
    gravity,
    length_2,
    bore_2,
    roughness_2,
    length_3,
    bore_3,
    roughness_3,
):
    """Head lost between the intake and a point of the pipe.

    Parameters
    ----------
    chainage : array_like
        Length along the pipe from the intake to the point, at most that of the pipe. [m]
    flow : array_like
        Water flow; 0 is allowed. [m³/s]
    length, bore, roughness : array_like
        Of the first section. [m]
    fittings : array_like
        Summed loss coefficient, referred to the first bore; counted in full from just below the intake. [-]
    temperature : array_like
        Water temperature. [K]
    gravity : array_like
        Gravitational acceleration. [m/s²]
    length_2, bore_2, roughness_2, length_3, bore_3, roughness_3 : array_like
        Of the second and third section; a section of no length is none. [m]

    Returns
    -------
    float or ndarray
        Friction to there and all fittings; 0 at chainage 0; that of `penstock_head` at the lower end. [m]

    References
    ----------
    Darcy-Weisbach, as in `hydrofunc.physics.pipe`.
    """
    first, second, third = reached(chainage, length, length_2, length_3)
    sections = sections_of(first, bore, roughness, second, bore_2, roughness_2, third, bore_3, roughness_3)
    lost = losses(flow, sections, fittings, kinematic_viscosity(temperature), gravity).head
    return np.where(np.asarray(chainage) == 0, 0.0, lost)


def bore_at(chainage, length, bore, length_2, bore_2, length_3, bore_3):
    """Bore of the section in which a chainage lies; at a joint that of the upper section. [m]"""
    in_second = (np.asarray(chainage) > length) & (np.asarray(length_2) > 0)
    in_third = (np.asarray(chainage) > np.asarray(length) + length_2) & (np.asarray(length_3) > 0)
    return np.where(in_third, bore_3, np.where(in_second, bore_2, bore))


def velocity_head(flow, bore, gravity):
    """Head that is in the movement of the water, V² / 2g. [m]"""
    return pipe_velocity(flow, bore) ** 2 / (2 * gravity)


def gauge_pressure(line_above, temperature, gravity):
    """Gauge pressure in a pipe that lies `line_above` [m] below its grade line, negative where it stands above it. [Pa]

    At rest the grade line is the water level of the intake; running it is lower by the head lost and the velocity
    head. Below minus the air pressure no water can be.
    """
    return density(temperature) * gravity * line_above


def available_suction(altitude, temperature, gravity, margin):
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
