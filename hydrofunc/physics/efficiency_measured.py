"""A measured efficiency: net head, power ratio, dimensionless speed and flow. SI units.

In the manner of IEC 60041 and IEC 62006 (field acceptance tests), with what a person has at hand. Arguments
broadcast together; none is checked here, so no function raises, and a NaN argument gives NaN in its element.
"""

import numpy as np

from .pipe import pipe_velocity
from .values import Result, Values
from .water import density


def measured_head(
    running_pressure: Values, gauge_height: Values, flow: Values, bore: Values, temperature: Values, gravity: Values
) -> Result:
    """Net head before the nozzle from a gauge reading while water flows.

    Parameters
    ----------
    running_pressure : array_like
        What the gauge reads. [Pa]
    gauge_height : array_like
        How far the gauge sits above the nozzle. [m]
    flow : array_like
        [m³/s]
    bore : array_like
        Of the pipe where the gauge sits. [m]
    temperature : array_like
        Of the water. [K]
    gravity : array_like
        [m/s²]

    Returns
    -------
    float or ndarray
        p / (rho g) + z + V² / 2g: pressure, height and velocity head. [m]
    """
    velocity_head = np.square(pipe_velocity(flow, bore)) / (2 * gravity)
    return running_pressure / (density(temperature) * gravity) + gauge_height + velocity_head


def measured_efficiency(power: Values, flow: Values, net_head: Values, temperature: Values, gravity: Values) -> Result:
    """Power delivered over the power of the water, rho g Q H. [-]

    `power` in W, `flow` in m³/s, `net_head` in m, `temperature` in K, `gravity` in m/s².
    """
    return power / (density(temperature) * gravity * flow * net_head)


def speed_factor(speed: Values, pitch_diameter: Values, net_head: Values, gravity: Values) -> Result:
    """Speed without dimension, n D / sqrt(g H): the same for equal wheels of any size at any head. [-]

    `speed` in rad/s, counted as turns per second; `pitch_diameter` and `net_head` in m, `gravity` in m/s².

    References
    ----------
    IEC 60193, speed factor n_ED (from memory, not looked up); D is the pitch diameter for a Pelton wheel.
    """
    return speed / (2 * np.pi) * pitch_diameter / np.sqrt(gravity * net_head)


def discharge_factor(flow: Values, pitch_diameter: Values, net_head: Values, gravity: Values) -> Result:
    """Flow without dimension, Q / (D² sqrt(g H)). [-]

    `flow` in m³/s, `pitch_diameter` and `net_head` in m, `gravity` in m/s².

    References
    ----------
    IEC 60193, discharge factor Q_ED (from memory, not looked up); D is the pitch diameter for a Pelton wheel.
    """
    return flow / (np.square(pitch_diameter) * np.sqrt(gravity * net_head))
