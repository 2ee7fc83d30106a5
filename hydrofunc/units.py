"""Trade units and their conversion to SI: the only place where a factor stands.

Each unit maps to (factor, offset): SI value = trade value x factor + offset.
Speed is rad/s in SI, angles are rad, temperature is K, charge is C, energy is J.
"""

from math import pi
from typing import Any

_RPM = 2 * pi / 60

TO_SI = {
    "-": (1.0, 0.0),
    "%": (0.01, 0.0),
    "m": (1.0, 0.0),
    "mm": (1e-3, 0.0),
    "cm": (1e-2, 0.0),
    "cm²": (1e-4, 0.0),
    "mm²": (1e-6, 0.0),
    "m²": (1.0, 0.0),
    "m³": (1.0, 0.0),
    "L": (1e-3, 0.0),
    "L/s": (1e-3, 0.0),
    "m³/h": (1 / 3600, 0.0),
    "m/s": (1.0, 0.0),
    "m/s²": (1.0, 0.0),
    "mm²/s": (1e-6, 0.0),
    "kg/m³": (1.0, 0.0),
    "kg": (1.0, 0.0),
    "s": (1.0, 0.0),
    "ms": (1e-3, 0.0),
    "min": (60.0, 0.0),
    "h": (3600.0, 0.0),
    "day": (86400.0, 0.0),
    "year": (365.25 * 86400.0, 0.0),
    "1/month": (12 / (365.25 * 86400.0), 0.0),
    "bar": (1e5, 0.0),
    "MPa": (1e6, 0.0),
    "GPa": (1e9, 0.0),
    "°C": (1.0, 273.15),
    "K": (1.0, 0.0),
    "°": (pi / 180, 0.0),
    "rpm": (_RPM, 0.0),
    "Hz": (1.0, 0.0),
    "kg/m": (1.0, 0.0),
    "N": (1.0, 0.0),
    "kN": (1e3, 0.0),
    "N·m": (1.0, 0.0),
    "W": (1.0, 0.0),
    "Wh": (3600.0, 0.0),
    "kWh": (3.6e6, 0.0),
    "V": (1.0, 0.0),
    "A": (1.0, 0.0),
    "Ah": (3600.0, 0.0),
    "mA/Ah": (1e-3 / 3600.0, 0.0),
    "mV/K": (1e-3, 0.0),
    "%/K": (1e-2, 0.0),
    "Ω": (1.0, 0.0),
    "Ω/km": (1e-3, 0.0),
    "mH": (1e-3, 0.0),
    "V/krpm": (1 / (1000 * _RPM), 0.0),
    "currency": (1.0, 0.0),
    "currency/kWh": (1 / 3.6e6, 0.0),
    "W/krpm³": (1 / (1000 * _RPM) ** 3, 0.0),
}

TEXT = "text"  # the "unit" of an argument that takes a word from a list


def to_si(value: Any, unit: str) -> Any:
    """SI value of a trade value; `value` is a float or an array."""
    factor, offset = TO_SI[unit]
    if factor != 1.0:
        value = value * factor
    return value + offset if offset else value


def from_si(value: Any, unit: str) -> Any:
    """Trade value of an SI value; `value` is a float or an array."""
    factor, offset = TO_SI[unit]
    if offset:
        value = value - offset
    return value / factor if factor != 1.0 else value
