"""Pelton wheel: size, speed, torque and losses. SI units throughout; speed is in rad/s.

The cups follow Euler's equation for an impulse wheel: water meets the cups at the jet velocity v less the
cup speed u, turns by `deflection`, and leaves with `cup_friction` times that relative velocity. `alignment`
is the share of the ideal torque that a real, hand-set jet keeps. Bearing drag is a constant torque; windage
is a power that grows with the cube of speed.

Arguments broadcast together; none is checked here (the declarations in `hydrofunc.catalogue` hold the ranges),
so no function raises, and a NaN argument gives NaN in its element.
"""

import numpy as np

from .groups import Wheel, flat
from .values import Result, Values
from .water import density


def runner_speed(jet_velocity: Values, pitch_diameter: Values, speed_ratio: Values) -> Result:
    """Speed at which the cups move at `speed_ratio` times the jet velocity.

    Parameters
    ----------
    jet_velocity : array_like
        Speed of the water in the jet. [m/s]
    pitch_diameter : array_like
        Diameter of the circle on which the jet meets the cups. [m]
    speed_ratio : array_like
        Cup speed over JET velocity. Many books divide by the ideal velocity sqrt(2 g H) instead. [-]

    Returns
    -------
    float or ndarray
        Speed, in the broadcast shape. [rad/s]

    References
    ----------
    A. V. Arasu, Turbomachines, Ex. 9.1 p. 406.
    """
    return 2 * speed_ratio * jet_velocity / pitch_diameter


def pitch_diameter(jet_velocity: Values, speed: Values, speed_ratio: Values) -> Result:
    """Pitch diameter that gives a wanted speed [rad/s] at a speed ratio: the inverse of `runner_speed`. [m]"""
    return 2 * speed_ratio * jet_velocity / speed


def speed_ratio(speed: Values, pitch_diameter: Values, jet_velocity: Values) -> Result:
    """Cup speed over jet velocity; NaN or infinite where there is no jet. [-]"""
    return speed * pitch_diameter / 2 / jet_velocity


def cup_count(pitch_diameter: Values, jet_diameter: Values) -> Result:
    """Number of cups, 15 + D / 2d rounded up (Taygun's rule). [-]

    A count that is whole but for rounding noise is not raised to the next.
    """
    return np.ceil(np.round(15 + pitch_diameter / (2 * jet_diameter), 9))


def cup_width(jet_diameter: Values, width_factor: Values) -> Result:
    """Width of a cup as a multiple of the jet diameter. [m]"""
    return width_factor * jet_diameter


def jet_ratio(pitch_diameter: Values, jet_diameter: Values) -> Result:
    """Pitch diameter over jet diameter. [-]"""
    return pitch_diameter / jet_diameter


def specific_speed(speed: Values, flow: Values, net_head: Values) -> Result:
    """Speed of a wheel of the same shape at 1 m head and 1 m³/s: n sqrt(Q) / H^0.75. [rad/s]

    Told in rpm it is the number called nq.
    """
    return speed * np.sqrt(flow) / np.power(net_head, 0.75)


def turning_factor(deflection: Values, cup_friction: Values) -> Result:
    """1 + c cos(beta): change of the water's velocity in the cups over its relative velocity. [-]

    `deflection` is the angle [rad] through which the cups turn the water; beta = pi - deflection is the angle
    that the leaving water keeps to the line of the jet.
    """
    return 1 - cup_friction * np.cos(deflection)


def cup_efficiency(speed_ratio: Values, deflection: Values, cup_friction: Values) -> Result:
    """Share of the jet's power that the cups take, 2 k (1 - k)(1 + c cos beta).

    Parameters
    ----------
    speed_ratio : array_like
        Cup speed over jet velocity, k. [-]
    deflection : array_like
        Angle through which the cups turn the water. [rad]
    cup_friction : array_like
        Relative velocity leaving over that entering, c. [-]

    Returns
    -------
    float or ndarray
        Efficiency against JET power; times the square of the velocity coefficient for the head before the
        nozzle. Greatest at k = 0.5. [-]

    References
    ----------
    S. L. Dixon, Fluid Mechanics and Thermodynamics of Turbomachinery, Ex. 9.2 p. 302.
    """
    return 2 * speed_ratio * (1 - speed_ratio) * turning_factor(deflection, cup_friction)


def stall_torque(flow: Values, jet_velocity: Values, wheel: Wheel, temperature: Values) -> Result:
    """Torque of the water on a wheel held still, the most there is; no drag is taken off. [N·m]"""
    return torque_slope(flow, wheel, temperature) * (2 * jet_velocity / wheel.pitch_diameter)


def torque_slope(flow: Values, wheel: Wheel, temperature: Values) -> Result:
    """Torque of the water that each rad/s of speed takes away; the torque line is straight. [N·m·s]"""
    radius = wheel.pitch_diameter / 2
    turning = turning_factor(wheel.deflection, wheel.cup_friction)
    return density(temperature) * flow * np.square(radius) * turning * wheel.alignment


@flat()
def wheel_torque(speed: Values, flow: Values, jet_velocity: Values, wheel: Wheel, temperature: Values) -> Result:
    """Torque that the wheel gives its shaft, after windage and bearing drag.

    Parameters
    ----------
    speed : array_like
        Speed of the wheel. [rad/s]
    flow : array_like
        Flow of all jets together. [m³/s]
    jet_velocity : array_like
        Speed of the water in the jets. [m/s]
    wheel : Wheel
        Diameter of the circle on which the jet meets the cups [m]; angle through which the cups turn the water [rad];
        relative velocity leaving over entering, and share of the ideal torque kept [-]; constant drag torque of
        bearings and seals [N·m]; power to churn air and spray over speed cubed. [W·s³]
    temperature : array_like
        Water temperature. [K]

    Returns
    -------
    float or ndarray
        Torque. Negative above the runaway speed, where the shaft would have to be driven: the straight torque
        line is carried on there, though a real jet then meets the backs of the cups. [N·m]

    Notes
    -----
    T = rho Q r (v - u)(1 + c cos beta) a - T_b - k_w w², with u = w r. The drag is taken off at standstill
    too, so a negative torque at speed 0 says that the wheel does not start.

    References
    ----------
    Euler's turbine equation; S. L. Dixon, Fluid Mechanics and Thermodynamics of Turbomachinery, Ex. 9.2 p. 302.
    """
    stall, slope = stall_torque(flow, jet_velocity, wheel, temperature), torque_slope(flow, wheel, temperature)
    return stall - slope * speed - wheel.bearing_drag - wheel.windage * np.square(speed)


@flat()
def wheel_power(speed: Values, flow: Values, jet_velocity: Values, wheel: Wheel, temperature: Values) -> Result:
    """Power at the shaft, after windage and bearing drag; arguments as in `wheel_torque`. [W]"""
    return speed * wheel_torque(speed, flow, jet_velocity, wheel, temperature)


def windage_power(speed: Values, windage: Values) -> Result:
    """Power spent on churning air and spray, windage × speed³. [W]"""
    return windage * np.power(speed, 3)


def speed_for_torque(stall: Values, slope: Values, windage: Values) -> Result:
    """Speed at which `stall` - `slope` × speed - `windage` × speed² is zero, or 0 where `stall` is not above 0.

    The root of the quadratic is written so that no two close numbers are subtracted. [rad/s]
    """
    torque = np.maximum(stall, 0.0)
    divisor = slope + np.sqrt(np.square(slope) + 4 * windage * torque)
    return np.where(torque == 0, 0.0, 2 * torque / np.where(divisor == 0, np.nan, divisor))


@flat()
def runaway_speed(flow: Values, jet_velocity: Values, wheel: Wheel, temperature: Values) -> Result:
    """Speed of the wheel with no load, where the water's torque equals windage and bearing drag: exact root.

    Arguments as in `wheel_torque`. Without any drag the cups then run as fast as the jet. The answer is 0
    where the jet cannot overcome the bearing drag at standstill. [rad/s]
    """
    stall, slope = stall_torque(flow, jet_velocity, wheel, temperature), torque_slope(flow, wheel, temperature)
    return speed_for_torque(stall - wheel.bearing_drag, slope, wheel.windage)


def euler_power(speed: Values, flow: Values, jet_velocity: Values, wheel: Wheel, temperature: Values) -> Result:
    """Power that perfectly aligned cups take from the jet, before any drag. [W]"""
    cup_speed = speed * wheel.pitch_diameter / 2
    turning = turning_factor(wheel.deflection, wheel.cup_friction)
    return density(temperature) * flow * cup_speed * (jet_velocity - cup_speed) * turning


def cup_loss(speed: Values, flow: Values, jet_velocity: Values, wheel: Wheel, temperature: Values) -> Result:
    """Power lost in the cups: what the leaving water carries away and what friction in the cups takes. [W]

    With entering relative velocity w1 = v - u and leaving one w2 = c w1, the leaving water has the squared
    velocity u² + w2² - 2 u w2 cos beta, and friction takes w1² - w2². Together with `euler_power` this makes
    up the jet's power.
    """
    cup_speed = speed * wheel.pitch_diameter / 2
    entering = jet_velocity - cup_speed
    leaving = wheel.cup_friction * entering
    carried_away = np.square(cup_speed) + np.square(leaving) + 2 * cup_speed * leaving * np.cos(wheel.deflection)
    return density(temperature) * flow / 2 * (carried_away + np.square(entering) - np.square(leaving))
