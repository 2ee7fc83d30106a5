"""Where wheel, alternator and load settle together. SI units; speed is in rad/s.

The wheel gives the torque T(w) = stall - slope w - windage w²; the alternator takes kE I - X I². A load of
fixed voltage V behind a resistance R (battery, or resistor with V = diode drops only) ties speed to current:

    w = (V + R I) / (kE - X I)

so the current is the one unknown, and the balance is g(I) = T(w(I)) - kE I + X I² = 0, which also holds where
nothing but the torque limits the current (R = X = 0). A maximum-power controller chooses the current itself;
the speed follows from the torque, and the power at its input, w T - R I² - 2 Vd I, is a concave function of
torque, so it has one greatest value.

Every root is bracketed by proof before it is sought, and sought until it stands still.
"""

import inspect
from typing import NamedTuple

import numpy as np

from .alternator import commutation_constant, dc_emf_constant, star_value
from .wheel import speed_for_torque, stall_torque, torque_slope

_STILL = 4 * np.finfo(float).eps  # a root has settled when a step is smaller than this part of it
_TINY = 1e-11  # steps below this part of the root can fail to shrink only by rounding noise


class OperatingPoint(NamedTuple):
    """The settled state: speed [rad/s], d.c. current [A], voltage at the load [V], power into it [W]."""

    speed: np.ndarray
    current: np.ndarray
    volts: np.ndarray
    power: np.ndarray


class _Balance(NamedTuple):
    """Constants of the torque balance, one lane per element."""

    stall: np.ndarray  # torque at standstill after all constant drags [N·m]
    slope: np.ndarray  # [N·m·s]
    windage: np.ndarray  # [N·m·s²]
    emf: np.ndarray  # kE [V·s]
    drop: np.ndarray  # X [Ω·s]
    volts: np.ndarray  # V, what the emf must exceed [V]
    resistance: np.ndarray  # R, all of the d.c. circuit [Ω]

    def pick(self, lanes):
        return _Balance(*(values[lanes] for values in self))

    def running_free(self):
        return speed_for_torque(self.stall, self.slope, self.windage)

    def speed(self, current):
        return (self.volts + self.resistance * current) / (self.emf - self.drop * current)

    def excess(self, current):
        """Wheel torque less alternator torque, and its first three derivatives to the current."""
        remaining = self.emf - self.drop * current
        speed = (self.volts + self.resistance * current) / remaining
        first = (self.resistance + self.drop * speed) / remaining
        second = 2 * self.drop * first / remaining
        third = 3 * self.drop * second / remaining
        steepness = self.slope + 2 * self.windage * speed
        return (
            self.stall - (self.slope + self.windage * speed) * speed - current * remaining,
            -steepness * first - self.emf + 2 * self.drop * current,
            -steepness * second - 2 * self.windage * first**2 + 2 * self.drop,
            -steepness * third - 6 * self.windage * first * second,
        )


def operating_point(
    flow,
    jet_velocity,
    pitch_diameter,
    phase_volts,
    pole_pairs,
    phase_resistance,
    battery_volts,
    phase_inductance,
    connection,
    diode_drop,
    cable_resistance,
    deflection,
    cup_friction,
    alignment,
    bearing_drag,
    windage,
    iron_drag,
    load,
    load_resistance,
    controller_efficiency,
    temperature,
):
    """The speed at which the plant settles when started from standstill, and what it then delivers.

    Parameters
    ----------
    flow : array_like
        Flow of all jets together. [m³/s]
    jet_velocity : array_like
        Speed of the water in the jets. [m/s]
    pitch_diameter : array_like
        Diameter of the circle on which the jet meets the cups. [m]
    phase_volts : array_like
        Open-circuit rms voltage of one winding per rad/s. [V·s]
    pole_pairs : array_like
        Magnet pole pairs. [-]
    phase_resistance, phase_inductance : array_like
        Of one winding. [Ω], [H]
    battery_volts : array_like
        Used with load "battery" only. [V]
    connection : array_like of str
        "star" or "delta".
    diode_drop : array_like
        Of one diode. [V]
    cable_resistance : array_like
        D.c. cable, out and back. [Ω]
    deflection : array_like
        Of the cups. [rad]
    cup_friction, alignment : array_like
        See `hydrofunc.physics.wheel`. [-]
    bearing_drag, iron_drag : array_like
        Constant drags of bearings and of the alternator's iron. [N·m]
    windage : array_like
        Power over speed cubed. [W·s³]
    load : array_like of str
        "battery": a constant voltage. "resistor": `load_resistance` [Ω]. "controller": a converter before a
        battery that finds the speed of greatest power; its own voltage limits are not considered.
    controller_efficiency : array_like
        Power out over power in; used with load "controller" only. [-]
    temperature : array_like
        Water temperature. [K]

    Returns
    -------
    OperatingPoint
        Arrays in the broadcast shape. Speed 0 where the water cannot overcome the constant drags at
        standstill; current 0 where the wheel settles below the cut-in speed. Where the torque of an
        alternator of large inductance has passed its greatest value before balance is reached, up to three
        speeds balance, and the lowest is given, the one a start from standstill comes to. With a controller,
        `current` and `volts` are those at its input, `power` that after it. NaN where an input is NaN.

    Notes
    -----
    The averaged bridge of `hydrofunc.physics.alternator` with its limits; the wheel's Euler torque line.
    """
    common = (
        flow,
        jet_velocity,
        pitch_diameter,
        phase_volts,
        pole_pairs,
        phase_resistance,
        battery_volts,
        phase_inductance,
        connection,
        diode_drop,
        cable_resistance,
        deflection,
        cup_friction,
        alignment,
        bearing_drag,
        windage,
        iron_drag,
        load,
        load_resistance,
        controller_efficiency,
        temperature,
    )
    shape = np.broadcast_shapes(*map(np.shape, common))
    load = np.asarray(load)
    resistor = load == "resistor"
    stall = stall_torque(flow, jet_velocity, pitch_diameter, deflection, cup_friction, alignment, temperature)
    balance = _Balance(
        *(
            np.broadcast_to(values, shape).ravel().astype(float)
            for values in (
                stall - bearing_drag - iron_drag,
                torque_slope(flow, pitch_diameter, deflection, cup_friction, alignment, temperature),
                windage,
                dc_emf_constant(phase_volts, connection),
                commutation_constant(phase_inductance, pole_pairs, connection),
                2 * diode_drop + np.where(load == "battery", battery_volts, 0.0),
                2 * star_value(phase_resistance, connection)
                + cable_resistance
                + np.where(resistor, load_resistance, 0.0),
            )
        )
    )
    tracked = np.broadcast_to(load == "controller", shape).ravel()
    speed = balance.running_free()
    current = np.zeros_like(speed)
    with np.errstate(all="ignore"):
        unknown = ~np.isfinite(sum(balance))
        charging = ~unknown & (balance.emf * speed > balance.volts)
        lanes = np.flatnonzero(charging & ~tracked)
        if lanes.size:
            picked = balance.pick(lanes)
            current[lanes] = _balanced_current(picked)
            speed[lanes] = picked.speed(current[lanes])
        lanes = np.flatnonzero(charging & tracked)
        if lanes.size:
            picked = balance.pick(lanes)
            current[lanes] = _tracked_current(picked)
            torque = current[lanes] * (picked.emf - picked.drop * current[lanes])
            speed[lanes] = speed_for_torque(picked.stall - torque, picked.slope, picked.windage)
    emf, drop, _, resistance = (values.reshape(shape) for values in balance[3:])
    speed, current, unknown = (values.reshape(shape) for values in (speed, current, unknown))
    at_controller = np.maximum(emf * speed - current * (resistance + drop * speed) - 2 * diode_drop, 0.0)
    volts = np.where(load == "controller", at_controller, np.where(resistor, current * load_resistance, battery_volts))
    power = volts * current * np.where(load == "controller", controller_efficiency, 1.0)
    return OperatingPoint(*(np.where(unknown, np.nan, values) for values in (speed, current, volts, power)))


def _bracketed_root(function, low, high, balance):
    """Root of a function that is above 0 at `low` and not above 0 at `high`, one per lane.

    `function` takes a point per lane and a `_Balance` and returns value and slope. Newton steps are taken while
    they stay inside the bracket and at least halve; otherwise the bracket is halved. A lane leaves when its
    step or its bracket is down to rounding, or when steps that were already tiny stop shrinking: then only
    rounding noise is left.
    """
    root = high.copy()
    lanes = np.arange(high.size)
    low, high, step = low.copy(), high.copy(), np.full(high.shape, np.inf)
    point = high.copy()
    while lanes.size:
        value, slope = function(point, balance)
        low, high = np.where(value > 0, point, low), np.where(value > 0, high, point)
        newton = point - value / slope
        shrinks = 2 * abs(newton - point) <= step
        done = (value == 0) | (~shrinks & (step <= _TINY * point))
        good = shrinks & (newton >= low) & (newton <= high)
        following = np.where(done, point, np.where(good, newton, (low + high) / 2))
        step = np.where(good, abs(following - point), high - low)
        root[lanes] = following
        moving = ~done & (step > _STILL * following)
        lanes, balance = lanes[moving], balance.pick(moving)
        low, high, step, point = low[moving], high[moving], step[moving], following[moving]
    return root


def _balanced_current(balance):
    """Current at the lowest speed of balance, where the wheel alone would exceed the cut-in speed.

    Up to the current of greatest alternator torque, kE / 2X, the excess torque only falls with current.
    Beyond it see `_beyond_peak`.
    """
    zero = np.zeros_like(balance.emf)
    available = balance.excess(zero)[0]  # torque at the cut-in speed, the most the alternator can be given
    root = balance.emf**2 - 4 * balance.drop * available
    peak = np.where(balance.drop > 0, balance.emf / (2 * balance.drop), np.inf)
    high = np.where(root >= 0, 2 * available / (balance.emf + np.sqrt(np.maximum(root, 0.0))), peak)
    low = zero
    beyond = np.flatnonzero((root < 0) & (balance.excess(high)[0] > 0))
    if beyond.size:
        low[beyond], high[beyond] = _beyond_peak(balance.pick(beyond), high[beyond])
    return _bracketed_root(lambda current, lanes: lanes.excess(current)[:2], low, high, balance)


def _beyond_peak(balance, peak):
    """Bracket of the lowest balance beyond the current of greatest alternator torque.

    There the third derivative of the excess torque g is negative, so g is convex first and concave after, and
    falls, rises and falls again, or only falls. The lowest root lies before the valley of g where the valley
    reaches 0, and after it otherwise.
    """
    free = balance.running_free()
    end = (balance.emf * free - balance.volts) / (balance.resistance + balance.drop * free)
    low, high = peak.copy(), end.copy()
    convex = np.flatnonzero(balance.excess(peak)[2] > 0)
    if convex.size:
        some = balance.pick(convex)
        turn = _bracketed_root(lambda current, lanes: lanes.excess(current)[2:], peak[convex], end[convex], some)
        rising = np.flatnonzero(some.excess(turn)[1] > 0)
        some, lanes = some.pick(rising), convex[rising]
        valley = _bracketed_root(
            lambda current, balance: tuple(-part for part in balance.excess(current)[1:3]),
            peak[lanes],
            turn[rising],
            some,
        )
        reaches = some.excess(valley)[0] <= 0
        high[lanes] = np.where(reaches, valley, high[lanes])
        low[lanes] = np.where(reaches, low[lanes], valley)
    return low, high


def _tracked_current(balance):
    """Current of greatest power at a controller's input."""
    root = balance.emf**2 - 4 * balance.drop * balance.stall
    peak = np.where(balance.drop > 0, balance.emf / (2 * balance.drop), np.inf)
    high = np.where(root >= 0, 2 * balance.stall / (balance.emf + np.sqrt(np.maximum(root, 0.0))), peak)
    return _bracketed_root(_power_slope, np.zeros_like(high), high, balance)


def _power_slope(current, balance):
    """Derivative to the current of the power w T - R I² - V I at a controller's input, and its derivative."""
    torque = current * (balance.emf - balance.drop * current)
    by_current = balance.emf - 2 * balance.drop * current
    speed = speed_for_torque(balance.stall - torque, balance.slope, balance.windage)
    steepness = balance.slope + 2 * balance.windage * speed
    marginal = speed - torque / steepness  # of shaft power to torque
    bend = -2 / steepness - 2 * torque * balance.windage / steepness**3
    return (
        marginal * by_current - 2 * balance.resistance * current - balance.volts,
        bend * by_current**2 - 2 * balance.drop * marginal - 2 * balance.resistance,
    )


def _same_arguments(function):
    """Give a function that passes its arguments on to `operating_point` the signature of that function."""
    function.__signature__ = inspect.signature(operating_point)
    return function


@_same_arguments
def operating_speed(*arguments, **named):
    """Speed at which the plant settles; arguments as in `operating_point`. [rad/s]"""
    return operating_point(*arguments, **named).speed


@_same_arguments
def operating_current(*arguments, **named):
    """Direct current through the cable; arguments as in `operating_point`. [A]"""
    return operating_point(*arguments, **named).current


@_same_arguments
def operating_volts(*arguments, **named):
    """D.c. voltage at the load's end of the cable; arguments as in `operating_point`. [V]"""
    return operating_point(*arguments, **named).volts


@_same_arguments
def operating_power(*arguments, **named):
    """Power into the battery or resistor, after the controller; arguments as in `operating_point`. [W]"""
    return operating_point(*arguments, **named).power
