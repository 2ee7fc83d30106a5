"""Permanent-magnet three-phase alternator and its six-diode bridge. SI units; speed is in rad/s.

A delta winding is turned into the star that behaves the same at the terminals: voltage / sqrt(3),
resistance / 3, inductance / 3. On the d.c. side the machine then has three constants:

- `dc_emf_constant` kE, the mean open-circuit voltage per rad/s, (3 sqrt(6) / pi) × rms phase voltage;
- 2 × the star resistance, as two windings carry the current at any time;
- `commutation_constant` X: the windings' inductance lowers the voltage by X × speed × current while one
  phase hands the current over to the next. This drop is NOT a loss; the shaft does not feel it.

The averaged bridge takes the direct current as smooth, and holds while each hand-over ends before the next
begins, at an overlap angle of up to 60°. A battery right after the bridge does not smooth the current. There a
time-domain simulation of the bridge (tests/physics/test_alternator.py) gives, at a given SPEED, from 13 % less
current just above cut-in, with little resistance, to 15 % more near 60°. Behind a WATER WHEEL that settles at 0.35 to
0.6 of the speed at which it gives no torque, the averaged current is closer (tests/physics/test_bridge_in_circuit.py,
against ngspice): up to 35° of overlap within 1 % where resistance is no more than commutation, else 2.3 % high (in
pulses just above cut-in) to 2.7 % low; from 35° to 60° 1 % high to 6 % low. A wheel that settles at 0.8 of that speed
gives up to 11 % more than is computed here; one of the same torque at any speed up to 8 % less at 60°.

Arguments broadcast together; none is checked here (the declarations in `hydrofunc.catalogue` hold the ranges),
so no function raises, and a NaN argument gives NaN in its element.
"""

import numpy as np

from .values import Result, Values, Words

BRIDGE = 3 * np.sqrt(6) / np.pi  # mean d.c. voltage of a six-diode bridge over rms phase voltage


def star_value(value: Values, connection: Words) -> Result:
    """Resistance or inductance per phase of the star that stands for the winding: a third of it for delta."""
    return np.where(np.asarray(connection) == "delta", value / 3, value)


def dc_emf_constant(phase_volts: Values, connection: Words) -> Result:
    """Mean open-circuit voltage after the bridge per rad/s, from the rms voltage of one winding. [V·s]"""
    return BRIDGE * np.where(np.asarray(connection) == "delta", phase_volts / np.sqrt(3), phase_volts)


def commutation_constant(phase_inductance: Values, pole_pairs: Values, connection: Words) -> Result:
    """Voltage drop of commutation per ampere and rad/s, 3 L p / pi with the star inductance. [Ω·s]"""
    return 3 / np.pi * pole_pairs * star_value(phase_inductance, connection)


def emf_constant(line_volts: Values, speed: Values, connection: Words) -> Result:
    """Voltage of one winding per rad/s, from an open-circuit reading between two terminals.

    Parameters
    ----------
    line_volts : array_like
        A.c. reading, rms, between two of the three terminals, nothing else connected. [V]
    speed : array_like
        Speed during the reading. [rad/s]
    connection : array_like of str
        "star" or "delta".

    Returns
    -------
    float or ndarray
        Rms voltage of ONE winding per rad/s. In star a terminal pair shows sqrt(3) times this. [V·s]

    References
    ----------
    J. O. Bird, Electrical Circuit Theory and Technology, ch. 20 Ex. 27 p. 340.
    """
    return np.where(np.asarray(connection) == "delta", line_volts, line_volts / np.sqrt(3)) / speed


def phase_resistance(terminal_resistance: Values, connection: Words) -> Result:
    """Resistance of one winding from a reading between two terminals: half in star, 3/2 in delta. [Ω]"""
    return np.where(np.asarray(connection) == "delta", 1.5 * terminal_resistance, terminal_resistance / 2)


def phase_inductance(terminal_inductance: Values, connection: Words) -> Result:
    """Inductance of one winding from a reading between two terminals: half in star, 3/2 in delta. [H]"""
    return np.where(np.asarray(connection) == "delta", 1.5 * terminal_inductance, terminal_inductance / 2)


def electrical_frequency(speed: Values, pole_pairs: Values) -> Result:
    """Frequency of the alternator's voltage. [Hz]"""
    return pole_pairs * speed / (2 * np.pi)


def open_circuit_volts(speed: Values, phase_volts: Values, connection: Words) -> Result:
    """Mean voltage after the bridge with no load, diodes not counted. [V]

    A capacitor after the bridge charges to the peak, pi / 3 (1.047) times this.
    """
    return dc_emf_constant(phase_volts, connection) * speed


def cut_in_speed(phase_volts: Values, battery_volts: Values, connection: Words, diode_drop: Values) -> Result:
    """Speed at which the averaged bridge starts to charge a battery. [rad/s]"""
    return (battery_volts + 2 * diode_drop) / dc_emf_constant(phase_volts, connection)


def charging_current(
    speed: Values,
    phase_volts: Values,
    battery_volts: Values,
    pole_pairs: Values,
    phase_resistance: Values,
    phase_inductance: Values,
    connection: Words,
    diode_drop: Values,
    cable_resistance: Values,
) -> Result:
    """Direct current into a battery at a given speed, by the averaged bridge; 0 below the cut-in speed.

    Parameters
    ----------
    speed : array_like
        Speed of the alternator. [rad/s]
    phase_volts : array_like
        Open-circuit rms voltage of one winding per rad/s. [V·s]
    battery_volts : array_like
        Terminal voltage of the battery while charging. [V]
    pole_pairs : array_like
        Magnet pole pairs. [-]
    phase_resistance, phase_inductance : array_like
        Of one winding. [Ω], [H]
    connection : array_like of str
        "star" or "delta".
    diode_drop : array_like
        Forward drop of one diode. [V]
    cable_resistance : array_like
        Out and back. [Ω]

    Returns
    -------
    float or ndarray
        Mean direct current. Infinite where nothing at all limits it. [A]

    Notes
    -----
    I = (kE w - Vb - 2 Vd) / (2 R + X w + Rdc). The module's text says how far this can be trusted; at a given
    speed it is a coarse estimate, within 15 %, while `operating_point` is much closer.

    References
    ----------
    P. S. Bimbhra, Power Electronics, Ex. 6.28 p. 352 (drop and overlap of a three-phase bridge).
    """
    emf = dc_emf_constant(phase_volts, connection) * speed
    drive = emf - battery_volts - 2 * diode_drop
    resistance = 2 * star_value(phase_resistance, connection) + cable_resistance
    resistance = resistance + commutation_constant(phase_inductance, pole_pairs, connection) * speed
    return np.where(drive <= 0, 0.0, drive / np.where(resistance == 0, np.nan, resistance))


def rectified_volts(
    speed: Values,
    current: Values,
    phase_volts: Values,
    pole_pairs: Values,
    phase_resistance: Values,
    phase_inductance: Values,
    connection: Words,
    diode_drop: Values,
) -> Result:
    """Mean voltage at the bridge's d.c. terminals while a given direct current is drawn.

    Arguments as in `charging_current`, `current` in [A].

    Returns
    -------
    float or ndarray
        kE w - I (2 R + X w) - 2 Vd; NaN where the alternator cannot give that current even into a short
        circuit. Never below 0 at no current. [V]
    """
    resistance = 2 * star_value(phase_resistance, connection)
    resistance = resistance + commutation_constant(phase_inductance, pole_pairs, connection) * speed
    volts = dc_emf_constant(phase_volts, connection) * speed - current * resistance - 2 * diode_drop
    return np.where((volts < 0) & (current > 0), np.nan, np.maximum(volts, 0.0))


def alternator_torque(
    current: Values, phase_volts: Values, pole_pairs: Values, phase_inductance: Values, connection: Words
) -> Result:
    """Torque with which the alternator brakes the shaft, from its direct current.

    Parameters
    ----------
    current : array_like
        Mean direct current after the bridge. [A]
    phase_volts, pole_pairs, phase_inductance, connection : array_like
        As in `charging_current`.

    Returns
    -------
    float or ndarray
        kE I - X I², without the drag of the iron: the power that becomes direct current, diode and winding
        loss, over the speed. Leaving X I² out charges the shaft with a loss that does not exist. [N·m]
    """
    emf_constant = dc_emf_constant(phase_volts, connection)
    return current * (emf_constant - commutation_constant(phase_inductance, pole_pairs, connection) * current)


def overlap_angle(
    current: Values, phase_volts: Values, pole_pairs: Values, phase_inductance: Values, connection: Words
) -> Result:
    """Angle during which two phases share the current as one hands over to the next.

    Returns
    -------
    float or ndarray
        arccos(1 - 2 X I / kE), 0 at no current. It does not depend on speed, as voltage and reactance both
        grow with it. NaN where the current is more than the alternator can give. [rad]

    References
    ----------
    P. S. Bimbhra, Power Electronics, Ex. 6.28 p. 352: cos(u) = 1 - 2 w L I / (sqrt(2) V_LL).
    """
    drop = commutation_constant(phase_inductance, pole_pairs, connection) * current
    return np.arccos(1 - 2 * drop / dc_emf_constant(phase_volts, connection))


def copper_loss(current: Values, phase_resistance: Values, connection: Words) -> Result:
    """Heat in the windings, 2 R I² with the star resistance: two windings carry the direct current. [W]"""
    return 2 * star_value(phase_resistance, connection) * np.square(current)


def diode_loss(current: Values, diode_drop: Values) -> Result:
    """Heat in the bridge: two diodes conduct at a time. [W]"""
    return 2 * diode_drop * current


def shorted_current(
    speed: Values,
    phase_volts: Values,
    pole_pairs: Values,
    phase_resistance: Values,
    phase_inductance: Values,
    connection: Words,
) -> Result:
    """Settled rms current in each lead while the three leads are joined together.

    Parameters
    ----------
    speed : array_like
        Speed of the alternator. [rad/s]
    phase_volts, pole_pairs, phase_resistance, phase_inductance, connection : array_like
        As in `charging_current`.

    Returns
    -------
    float or ndarray
        E / sqrt(R² + X²) of the equivalent star, X = p w L. With speed it rises to E / X, which is the same at any
        speed. Just after the switch closes a peak may be twice as high as those of the settled current. NaN where
        neither resistance nor inductance limits it. [A]

    References
    ----------
    Derived: Ohm's law for alternating current in a machine of one inductance. That the current rises with speed to an
    end set by inductance is said in Roboteq, Calculating the Motor Dynamic Braking 3-Phase Short Current (help page of
    a maker of drives; its words were read, its formulas not).
    """
    emf, resistance, inductance = _star(phase_volts, phase_resistance, phase_inductance, connection)
    impedance = np.hypot(resistance, pole_pairs * inductance * speed)
    return emf * speed / np.where(impedance == 0, np.nan, impedance)


def shorted_torque(
    speed: Values,
    phase_volts: Values,
    pole_pairs: Values,
    phase_resistance: Values,
    phase_inductance: Values,
    connection: Words,
) -> Result:
    """Torque with which the alternator brakes while its three leads are joined together, iron drag not counted.

    Arguments as in `shorted_current`.

    Returns
    -------
    float or ndarray
        3 R I² / w: all of it heats the windings. It rises to 3 k² / (2 p L) of the equivalent star, at the speed where
        X = R, and falls beyond. NaN where neither resistance nor inductance limits the current. [N·m]

    References
    ----------
    Derived: balance of powers with `shorted_current`.
    """
    emf, resistance, inductance = _star(phase_volts, phase_resistance, phase_inductance, connection)
    impedance = np.square(resistance) + np.square(pole_pairs * inductance * speed)
    return 3 * np.square(emf) * speed * resistance / np.where(impedance == 0, np.nan, impedance)


def shorted_peak_speed(
    pole_pairs: Values, phase_resistance: Values, phase_inductance: Values, runaway_speed: Values
) -> Result:
    """Speed at which the shorted alternator brakes most: R / (p L), or the runaway speed if that is lower. [rad/s]"""
    inductance = np.asarray(pole_pairs * phase_inductance, dtype=float)
    peak = np.divide(phase_resistance, inductance, out=np.full_like(inductance, np.inf), where=inductance > 0)
    return np.minimum(peak, runaway_speed)


def _star(phase_volts, phase_resistance, phase_inductance, connection):
    """Emf constant, resistance and inductance of one phase of the equivalent star."""
    emf = dc_emf_constant(phase_volts, connection) / BRIDGE
    return emf, star_value(phase_resistance, connection), star_value(phase_inductance, connection)
