"""Where wheel, alternator and load settle together. SI units; speed is in rad/s.

The wheel gives the torque T(w) = stall - slope w - windage w²; the alternator takes kE I - X I². A load of
fixed voltage V behind a resistance R (battery, or resistor with V = diode drops only) ties speed to current:

    w = (V + R I) / (kE - X I)

so the current is the one unknown, and the balance is g(I) = T(w(I)) - kE I + X I² = 0, which also holds where
nothing but the torque limits the current (R = X = 0). A maximum-power controller chooses the current itself;
the speed follows from the torque, and the power at its input, w T - R I² - 2 Vd I, is a concave function of
torque, so it has one greatest value.

Every root is bracketed by proof before it is sought.
"""

from typing import NamedTuple

import numpy as np

from .alternator import BRIDGE, commutation_constant, dc_emf_constant, star_value
from .groups import Alternator, Load, Wheel, flat, in_lanes, over, spread
from .roots import bracketed_root
from .values import Result, Values, Words
from .wheel import speed_for_torque, stall_torque, torque_slope

_FLAT = """flow jet_velocity pitch_diameter phase_volts pole_pairs phase_resistance battery_volts phase_inductance
connection
    diode_drop cable_resistance deflection cup_friction alignment bearing_drag windage iron_drag load load_resistance
    controller_efficiency temperature"""


class OperatingPoint(NamedTuple):
    """The settled state: speed [rad/s], d.c. current [A], voltage at the load [V], power into it [W]."""

    speed: Result
    current: Result
    volts: Result
    power: Result


class TorqueBalance(NamedTuple):
    """Constants of the torque balance; they may be complex, as the diagnosis finds its derivatives so."""

    stall: Result  # torque at standstill after all constant drags [N·m]
    slope: Result  # of the wheel's torque line [N·m·s]
    windage: Result  # [N·m·s²]
    emf: Result  # kE [V·s]
    drop: Result  # X [Ω·s]
    volts: Result  # V, what the emf must exceed [V]
    windings: Result  # both windings that carry the current [Ω]
    outside: Result  # cable and resistor [Ω]

    @property
    def resistance(self) -> Result:
        """R, all of the d.c. circuit. [Ω]"""
        return self.windings + self.outside

    def running_free(self) -> Result:
        """Speed with no current. [rad/s]"""
        return speed_for_torque(self.stall, self.slope, self.windage)

    def braking(self, current: Values) -> Result:
        """Torque of the alternator. [N·m]"""
        return current * (self.emf - self.drop * current)

    def speed_under(self, current: Values) -> Result:
        """Speed at which the wheel gives the torque that a current takes. [rad/s]"""
        return speed_for_torque(self.stall - self.braking(current), self.slope, self.windage)

    def speed_for(self, current: Values) -> Result:
        """Speed at which the alternator gives a current to the load. [rad/s]"""
        return (self.volts + self.resistance * current) / (self.emf - self.drop * current)

    def excess(self, current: Values) -> tuple[Result, Result]:
        """Wheel torque less alternator torque [N·m], 0 where the plant settles, and its slope to the current.

        Written once, for the solver and, with complex numbers, for the diagnosis.
        """
        remaining = self.emf - self.drop * current
        speed = self.speed_for(current)
        first = (self.resistance + self.drop * speed) / remaining  # of the speed to the current
        return (
            self.stall - (self.slope + self.windage * speed) * speed - current * remaining,
            -(self.slope + 2 * self.windage * speed) * first - self.emf + 2 * self.drop * current,
        )

    def bending(self, current: Values) -> tuple[Result, Result]:
        """Second and third derivative of the excess to the current."""
        remaining = self.emf - self.drop * current
        speed = self.speed_for(current)
        first = (self.resistance + self.drop * speed) / remaining
        second = 2 * self.drop * first / remaining
        third = 3 * self.drop * second / remaining
        steepness = self.slope + 2 * self.windage * speed
        return (
            -steepness * second - 2 * self.windage * np.square(first) + 2 * self.drop,
            -steepness * third - 6 * self.windage * first * second,
        )


def torque_balance(
    flow: Values, jet_velocity: Values, wheel: Wheel, alternator: Alternator, load: Load, temperature: Values
) -> TorqueBalance:
    """The torque balance of a plant. A controller has no constants of its own; its input is counted as 0 V."""
    kind = np.asarray(load.load)
    return TorqueBalance(
        stall_torque(flow, jet_velocity, wheel, temperature) - wheel.bearing_drag - alternator.iron_drag,
        torque_slope(flow, wheel, temperature),
        wheel.windage,
        dc_emf_constant(alternator.phase_volts, alternator.connection),
        commutation_constant(alternator.phase_inductance, alternator.pole_pairs, alternator.connection),
        2 * alternator.diode_drop + np.where(kind == "battery", load.battery_volts, 0.0),
        2 * star_value(alternator.phase_resistance, alternator.connection),
        load.cable_resistance + np.where(kind == "resistor", load.load_resistance, 0.0),
    )


@flat(_FLAT)
def operating_point(
    flow: Values, jet_velocity: Values, wheel: Wheel, alternator: Alternator, load: Load, temperature: Values
) -> OperatingPoint:
    """The speed at which the plant settles when started from standstill, and what it then delivers.

    Parameters
    ----------
    flow : array_like
        Flow of all jets together. [m³/s]
    jet_velocity : array_like
        Speed of the water in the jets. [m/s]
    wheel, alternator, load : group
        See `hydrofunc.physics.groups`. With load "controller" the converter's own voltage limits are not considered.
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
    everything = (flow, jet_velocity, *wheel, *alternator, *load, temperature)
    shape = np.broadcast_shapes(*map(np.shape, everything))
    whole = torque_balance(flow, jet_velocity, wheel, alternator, load, temperature)
    balance = over(lambda values: spread(values, shape).ravel().astype(float), whole)
    kind = np.asarray(load.load)
    tracked = np.broadcast_to(kind == "controller", shape).ravel()
    speed = balance.running_free()
    with np.errstate(all="ignore"):
        unknown = ~np.isfinite(sum(balance))
        charging = ~unknown & (balance.emf * speed > balance.volts)
        current = np.zeros_like(speed)
        for lanes, settled_current, speed_at in (
            (charging & ~tracked, _balanced_current, TorqueBalance.speed_for),
            (charging & tracked, _tracked_current, TorqueBalance.speed_under),
        ):
            current = in_lanes(lanes, settled_current, current, balance)
            speed = in_lanes(lanes, speed_at, speed, balance, current)
    speed, current, unknown = (values.reshape(shape) for values in (speed, current, unknown))
    inside = whole.resistance + whole.drop * speed
    at_controller = np.maximum(whole.emf * speed - current * inside - 2 * alternator.diode_drop, 0.0)
    at_others = np.where(kind == "resistor", current * load.load_resistance, load.battery_volts)
    volts = np.where(kind == "controller", at_controller, at_others)
    power = volts * current * np.where(kind == "controller", load.controller_efficiency, 1.0)
    return OperatingPoint(*(np.where(unknown, np.nan, values) for values in (speed, current, volts, power)))


def _falling(function):
    """A falling function, with its slope, as the rising one that the solver takes."""
    return lambda current, balance: tuple(-part for part in function(balance, current))


def _balanced_current(balance):
    """Current at the lowest speed of balance, where the wheel alone would exceed the cut-in speed.

    Up to the current of greatest alternator torque, kE / 2X, the excess torque only falls with current.
    Beyond it see `_beyond_peak`.
    """
    low = np.zeros_like(balance.emf)
    available = balance.excess(low)[0]  # torque at the cut-in speed, the most the alternator can be given
    high, certain = _current_for(available, balance)
    beyond = ~certain & (balance.excess(high)[0] > 0)
    low, high = in_lanes(beyond, _beyond_peak, (low, high), balance, high)
    return bracketed_root(_falling(TorqueBalance.excess), low, high, high, balance)


def _current_for(torque, balance):
    """Current that takes this torque, and True; or that of greatest alternator torque, kE / 2X, and False."""
    root = np.square(balance.emf) - 4 * balance.drop * torque
    peak = np.where(balance.drop > 0, balance.emf / (2 * balance.drop), np.inf)
    return np.where(root >= 0, 2 * torque / (balance.emf + np.sqrt(np.maximum(root, 0.0))), peak), root >= 0


def _beyond_peak(balance, peak):
    """Bracket of the lowest balance beyond the current of greatest alternator torque.

    There the third derivative of the excess torque g is negative, so g is convex first and concave after, and
    falls, rises and falls again, or only falls. The lowest root lies before the valley of g where the valley
    reaches 0, and after it otherwise.
    """
    free = balance.running_free()
    end = (balance.emf * free - balance.volts) / (balance.resistance + balance.drop * free)
    return in_lanes(balance.bending(peak)[0] > 0, _beyond_turn, (peak, end), balance, peak, end)


def _beyond_turn(balance, peak, end):
    """The same where g is convex first."""
    turn = bracketed_root(_falling(TorqueBalance.bending), peak, end, end, balance)
    return in_lanes(balance.excess(turn)[1] > 0, _beside_valley, (peak, end), balance, peak, turn, end)


def _beside_valley(balance, peak, turn, end):
    """The same where g has a valley before `turn`."""

    def slope_of_excess(current, balance):
        return balance.excess(current)[1], balance.bending(current)[0]

    valley = bracketed_root(slope_of_excess, peak, turn, turn, balance)
    reaches = balance.excess(valley)[0] <= 0
    return np.where(reaches, peak, valley), np.where(reaches, valley, end)


def _tracked_current(balance):
    """Current of greatest power at a controller's input."""
    high, _ = _current_for(balance.stall, balance)
    return bracketed_root(_falling(_power_slope), np.zeros_like(high), high, high, balance)


def _power_slope(balance, current):
    """Derivative to the current of the power w T - R I² - V I at a controller's input, and its derivative."""
    torque, speed = balance.braking(current), balance.speed_under(current)
    by_current = balance.emf - 2 * balance.drop * current
    steepness = balance.slope + 2 * balance.windage * speed
    marginal = speed - torque / steepness  # of shaft power to torque
    bend = -2 / steepness - 2 * torque * balance.windage / np.power(steepness, 3)
    return (
        marginal * by_current - 2 * balance.resistance * current - balance.volts,
        bend * np.square(by_current) - 2 * balance.drop * marginal - 2 * balance.resistance,
    )


@flat(_FLAT)
def operating_speed(
    flow: Values, jet_velocity: Values, wheel: Wheel, alternator: Alternator, load: Load, temperature: Values
) -> Result:
    """Speed at which the plant settles; arguments as in `operating_point`. [rad/s]"""
    return operating_point(flow, jet_velocity, wheel, alternator, load, temperature).speed


@flat(_FLAT)
def operating_current(
    flow: Values, jet_velocity: Values, wheel: Wheel, alternator: Alternator, load: Load, temperature: Values
) -> Result:
    """Direct current through the cable; arguments as in `operating_point`. [A]"""
    return operating_point(flow, jet_velocity, wheel, alternator, load, temperature).current


@flat(_FLAT)
def operating_volts(
    flow: Values, jet_velocity: Values, wheel: Wheel, alternator: Alternator, load: Load, temperature: Values
) -> Result:
    """D.c. voltage at the load's end of the cable; arguments as in `operating_point`. [V]"""
    return operating_point(flow, jet_velocity, wheel, alternator, load, temperature).volts


@flat(_FLAT)
def operating_power(
    flow: Values, jet_velocity: Values, wheel: Wheel, alternator: Alternator, load: Load, temperature: Values
) -> Result:
    """Power into the battery or resistor, after the controller; arguments as in `operating_point`. [W]"""
    return operating_point(flow, jet_velocity, wheel, alternator, load, temperature).power


@flat("""flow jet_velocity pitch_diameter phase_volts pole_pairs phase_resistance phase_inductance connection deflection
    cup_friction alignment bearing_drag windage iron_drag temperature""")
def shorted_speed(
    flow: Values,
    jet_velocity: Values,
    wheel: Wheel,
    phase_volts: Values,
    pole_pairs: Values,
    phase_resistance: Values,
    phase_inductance: Values,
    connection: Words,
    iron_drag: Values,
    temperature: Values,
) -> Result:
    """Speed to which the wheel comes down from runaway when the alternator's three leads are joined, water running.

    Parameters
    ----------
    flow, jet_velocity, wheel : array_like, group
        As in `operating_point`.
    phase_volts, pole_pairs, phase_resistance, phase_inductance, connection, iron_drag : array_like
        Of the alternator, as in `hydrofunc.physics.groups`.
    temperature : array_like
        Water temperature. [K]

    Returns
    -------
    float or ndarray
        The greatest speed at which the torque of the wheel and that of the short, `shorted_torque`, are equal: a
        wheel that comes down goes no lower. It never stops, as a winding at rest does not brake. 0 where the water
        does not turn the wheel at all. NaN where neither resistance nor inductance limits the current. [rad/s]
    """
    everything = (flow, jet_velocity, *wheel, phase_volts, pole_pairs, phase_resistance, phase_inductance, connection)
    shape = np.broadcast_shapes(*map(np.shape, (*everything, iron_drag, temperature)))
    line = Shorted(
        stall_torque(flow, jet_velocity, wheel, temperature) - wheel.bearing_drag - iron_drag,
        torque_slope(flow, wheel, temperature),
        wheel.windage,
        dc_emf_constant(phase_volts, connection) / BRIDGE,
        star_value(phase_resistance, connection),
        pole_pairs * star_value(phase_inductance, connection),
    )
    line = over(lambda values: np.broadcast_to(values, shape).ravel().astype(float), line)
    with np.errstate(all="ignore"):
        free = speed_for_torque(line.stall, line.slope, line.windage)
        # Beyond `turn` the excess bends upwards, before it downwards: so between `turn` and `free` it has at most one
        # valley. Where that is below 0 the greatest root lies after it, else the only root lies before it.
        reactance = np.square(line.reactance)
        turn = speed_for_torque(
            line.stall * reactance - line.windage * np.square(line.resistance),
            3 * line.slope * reactance,
            6 * line.windage * reactance,
        )
        turn = np.where(reactance > 0, np.minimum(turn, free), 0.0)
        valley = bracketed_root(Shorted.steepness, turn, free, free, line)
        below = Shorted.excess(valley, line)[0] < 0
        speed = bracketed_root(Shorted.excess, np.where(below, valley, 0.0), np.where(below, free, valley), free, line)
    unlimited = (line.resistance == 0) & (line.reactance == 0)
    return np.where(unlimited, np.nan, np.where(line.stall <= 0, 0.0, speed)).reshape(shape)


class Shorted(NamedTuple):
    """Constants of a wheel and a shorted alternator, whose equivalent star counts."""

    stall: Result  # torque at standstill after all constant drags [N·m]
    slope: Result  # of the wheel's torque line [N·m·s]
    windage: Result  # [N·m·s²]
    emf: Result  # rms volts of a phase over speed [V·s]
    resistance: Result  # [Ω]
    reactance: Result  # over speed [Ω·s]

    def parts(self, speed: Values) -> tuple[Result, Result, Result, Result]:
        """Torque of the wheel and by how much it falls, R² + X² and by how much that rises, over speed."""
        return (
            self.stall - (self.slope + self.windage * speed) * speed,
            self.slope + 2 * self.windage * speed,
            np.square(self.resistance) + np.square(self.reactance * speed),
            2 * np.square(self.reactance) * speed,
        )

    @staticmethod
    def excess(speed: Values, line: "Shorted") -> tuple[Result, Result]:
        """Torque of the short less torque of the wheel, times R² + X², and its slope: a polynomial of fourth degree."""
        emf, (wheel, falling, impedance, more) = 3 * np.square(line.emf) * line.resistance, line.parts(speed)
        return emf * speed - wheel * impedance, emf + falling * impedance - wheel * more

    @staticmethod
    def steepness(speed: Values, line: "Shorted") -> tuple[Result, Result]:
        """Slope of the excess, and the slope of that."""
        wheel, falling, impedance, more = line.parts(speed)
        bend = 2 * line.windage * impedance + 2 * falling * more - 2 * wheel * np.square(line.reactance)
        return Shorted.excess(speed, line)[1], bend
