"""Two-wire direct-current cable. SI units.

Arguments broadcast together; none is checked here (the declarations in `hydrofunc.catalogue` hold the ranges),
so no function raises, and a NaN argument gives NaN in its element.
"""

import numpy as np

from .values import Result, Values, Words

_ZERO_POINT = 293.15  # K; resistances are stated at 20 °C
RESISTIVITY = {"copper": 1e-6 / 58, "aluminium": 0.028264e-6}  # Ω·m at 20 °C
TEMPERATURE_COEFFICIENT = {"copper": 0.00393, "aluminium": 0.00403}  # 1/K at 20 °C
# Most resistance of plain copper conductors at 20 °C, IEC 60228:2004, classes 2 and 5. [mm²: Ω/km]
CLASS_SIZES = ("1.5", "2.5", "4", "6", "10", "16", "25", "35", "50")
CLASS_RESISTANCE = {
    "2": (12.1, 7.41, 4.61, 3.08, 1.83, 1.15, 0.727, 0.524, 0.387),
    "5": (13.3, 7.98, 4.95, 3.30, 1.91, 1.21, 0.780, 0.554, 0.386),
}


def awg_area(gauge: Values) -> Result:
    """Cross-section of a round wire by American wire gauge; 0000 is -3, 000 is -2, 00 is -1. [m²]

    The diameter is 0.127 mm × 92^((36 - gauge) / 39) (ASTM B258).
    """
    diameter = 0.127e-3 * 92 ** ((36 - gauge) / 39)
    return np.pi / 4 * np.square(diameter)


def cable_resistance(length: Values, area: Values, material: Words, conductor_temperature: Values) -> Result:
    """Resistance of a two-wire cable, out and back, from the true cross-section of its metal.

    Parameters
    ----------
    length : array_like
        One way. [m]
    area : array_like
        Cross-section of one conductor. [m²]
    material : array_like of str
        "copper" or "aluminium".
    conductor_temperature : array_like
        Of the metal, not of the air. [K]

    Returns
    -------
    float or ndarray
        2 L rho / A × (1 + alpha (t - 20 °C)); NaN for another material. [Ω]

    References
    ----------
    Copper: IEC 60028. Aluminium: IEC 60889, values from memory, not looked up.
    """
    resistivity = _by_word(material, RESISTIVITY)
    return 2 * length * resistivity / area * _warming(material, conductor_temperature)


def cable_class_resistance(
    length: Values, cable_size: Words, strand_class: Words, conductor_temperature: Values
) -> Result:
    """Resistance, out and back, of a copper cable of a standard size: the most IEC 60228 allows.

    Parameters
    ----------
    length : array_like
        One way. [m]
    cable_size : array_like of str
        Size printed on the cable in mm², one of `CLASS_SIZES`.
    strand_class : array_like of str
        "2" for stranded, "5" for flexible.
    conductor_temperature : array_like
        Of the metal, not of the air. [K]

    Returns
    -------
    float or ndarray
        NaN for a size or class that is not in the table. The table lies up to 8 % (class 2) or 16 % (class 5)
        above rho / A, as the printed size is a name and not the metal's true cross-section. [Ω]

    References
    ----------
    IEC 60228:2004, tables for class 2 and class 5 plain copper.
    """
    per_kilometre: Result = np.nan
    for name, resistances in CLASS_RESISTANCE.items():
        listed = _by_word(cable_size, dict(zip(CLASS_SIZES, resistances)))
        per_kilometre = np.where(np.asarray(strand_class) == name, listed, per_kilometre)
    return 2 * length * per_kilometre / 1000 * _warming("copper", conductor_temperature)


def _by_word(word, table):
    value = np.nan
    for name, entry in table.items():
        value = np.where(np.asarray(word) == name, entry, value)
    return value


def _warming(material, conductor_temperature):
    return 1 + _by_word(material, TEMPERATURE_COEFFICIENT) * (conductor_temperature - _ZERO_POINT)


def cable_drop(current: Values, cable_resistance: Values) -> Result:
    """Voltage lost along the cable, out and back. [V]"""
    return current * cable_resistance


def cable_loss(current: Values, cable_resistance: Values) -> Result:
    """Heat along the cable, out and back. [W]"""
    return cable_resistance * np.square(current)
