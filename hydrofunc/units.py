"""Trade units and their conversion: the only place where a factor stands.

`TO_SI` has the units of our functions: SI value = trade value x factor + offset.
Speed is rad/s in SI, angles are rad, temperature is K, charge is C, energy is J.

`CHOICES` has the other units that a person may choose for a value: psi for bar, feet for metres.
"""

import unicodedata
from fractions import Fraction
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


# -- units a person may choose ---------------------------------------------------------------------------------------
# By the functions' unit: the other units of the trade for the same thing, as (factor, offset):
# value in the functions' unit = value as chosen x factor + offset. All factors are exact by definition: the inch, the
# foot and the pound in metric units, the US gallon as 231 cubic inches, the pound-force by standard gravity
# (NIST Special Publication 811, 2008 edition, Appendix B.8 and its footnotes).
# The gallons and what is made of them say "US": the gallon of the United Kingdom and Canada is 20 % larger.

_INCH = Fraction(254, 10000)  # m
_FOOT = 12 * _INCH
_POUND = Fraction(45359237, 10**8)  # kg
_POUND_FORCE = _POUND * Fraction(980665, 10**5)  # N
_US_GALLON = 231 * _INCH**3  # m³
_PSI = _POUND_FORCE / _INCH**2  # Pa

AWG = "AWG"  # American wire gauge
NOT_LINEAR = {AWG: "awg_area"}  # no factor converts it; our function that gives the functions' unit

_EXACT: dict[str, dict[str, tuple[Fraction, Fraction] | None]] = {
    "m": {"ft": (_FOOT, Fraction(0))},
    "mm": {"in": (1000 * _INCH, Fraction(0))},
    "cm²": {"in²": (10_000 * _INCH**2, Fraction(0))},
    "mm²": {AWG: None},
    "L": {"US gal": (1000 * _US_GALLON, Fraction(0))},
    "L/s": {"L/min": (Fraction(1, 60), Fraction(0)), "US gpm": (1000 * _US_GALLON / 60, Fraction(0))},
    "bar": {"psi": (_PSI / 10**5, Fraction(0)), "kPa": (Fraction(1, 100), Fraction(0))},
    "MPa": {"psi": (_PSI / 10**6, Fraction(0))},
    "GPa": {"psi": (_PSI / 10**9, Fraction(0))},
    "°C": {"°F": (Fraction(5, 9), Fraction(-160, 9))},
    "kg": {"lb": (_POUND, Fraction(0))},
    "kg/m": {"lb/ft": (_POUND / _FOOT, Fraction(0))},
    "N·m": {"lbf·ft": (_POUND_FORCE * _FOOT, Fraction(0))},
}
CHOICES: dict[str, dict[str, tuple[float, float] | None]] = {
    unit: {chosen: pair and (float(pair[0]), float(pair[1])) for chosen, pair in others.items()}
    for unit, others in _EXACT.items()
}

# What a whole workbook shows in place of the functions' unit, by the system chosen. Units that are not listed stay.
SYSTEMS = {
    "metric": {unit: unit for unit in CHOICES},
    "us": {
        "m": "ft",
        "mm": "in",
        "cm²": "in²",
        "mm²": AWG,
        "L": "US gal",
        "L/s": "US gpm",
        "bar": "psi",
        "MPa": "psi",
        "GPa": "psi",
        "°C": "°F",
        "kg": "lb",
        "kg/m": "lb/ft",
        "N·m": "lbf·ft",
    },
}

# Other ways people write a unit. Case, blanks, dots and the sign of a power make no difference (`find_unit`).
_SPELLINGS = {
    "ft": ("foot", "feet"),
    "in": ("inch", "inches"),
    "in²": ("sq in", "square inch"),
    "m": ("metre", "metres", "meter", "meters"),
    "L/s": ("lps", "l/sec", "litres/s", "liters/s"),
    "L/min": ("lpm", "litres/min", "liters/min"),
    "L": ("litre", "litres", "liter", "liters"),
    "US gpm": ("gpm US", "US gal/min"),
    "US gal": ("gal US", "US gallon", "US gallons"),
    "lb": ("lbs", "pound", "pounds"),
    "lbf·ft": ("ft·lbf", "lb·ft", "ft·lb", "lb-ft", "ft-lb"),
    "°C": ("C", "celsius"),
    "°F": ("F", "fahrenheit"),
    "V": ("volt", "volts"),
    "A": ("amp", "amps", "ampere", "amperes"),
    "W": ("watt", "watts"),
    "Ω": ("ohm", "ohms"),
    "s": ("sec", "seconds"),
    "h": ("hour", "hours", "hr"),
    "day": ("days", "d"),
    "rpm": ("1/min", "rev/min"),
}


def alternatives(unit: str) -> tuple[str, ...]:
    """The units a person may choose for a value in the functions' `unit`, itself first; alone where it has no other."""
    return (unit, *CHOICES.get(unit, ()))


def conversion(chosen: str, unit: str) -> tuple[float, float]:
    """(factor, offset) from a chosen unit to the functions' `unit`: value x factor + offset.

    Raises ValueError where the chosen unit does not fit, and for those in `NOT_LINEAR`, which no factor converts.
    """
    if chosen == unit:
        return 1.0, 0.0
    pair = CHOICES.get(unit, {}).get(chosen)
    if pair is None:
        fits = f"{chosen} does not fit; {', '.join(alternatives(unit))} would"
        raise ValueError(f"{chosen} has no factor: {NOT_LINEAR[chosen]} gives {unit}" if chosen in NOT_LINEAR else fits)
    return pair


def convert(value: Any, chosen: str, other: str) -> Any:
    """A value, or an array, from one unit to another that both stand for the same functions' unit.

    Raises ValueError where there is no such functions' unit, and for those in `NOT_LINEAR`.
    """
    if chosen == other:
        return value
    for unit in (other, chosen, *CHOICES):
        if {chosen, other} <= set(alternatives(unit)):
            factor, offset = conversion(chosen, unit)
            other_factor, other_offset = conversion(other, unit)
            return (value * factor + (offset - other_offset)) / other_factor
    raise ValueError(f"{chosen} and {other} are units of different things")


def typed_unit(unit: str, system: str) -> str:
    """The unit in which a person types a value of the functions' `unit` in a workbook of this system."""
    return SYSTEMS[system].get(unit, unit)


def shown_unit(unit: str, system: str) -> str:
    """The unit in which a workbook of this system shows a result that our functions give in `unit`.

    A result stays in the functions' unit where no factor converts it: a cross-section in mm² is rarely a whole gauge.
    """
    shown = typed_unit(unit, system)
    return unit if shown in NOT_LINEAR else shown


def find_unit(text: str) -> str | None:
    """The unit that a person means, such as psi by "PSI" or mm² by "mm2"; None where it is none of ours."""
    return _BY_SPELLING.get(_plain(text))


def _plain(text: str) -> str:
    # NFKC makes ² a 2 and the one sign for °C two; the signs left out only join units or say "to the power of"
    text = unicodedata.normalize("NFKC", text).casefold().replace("degrees", "°").replace("degree", "°")
    text = text.replace("deg", "°").replace("º", "°")
    return text if text == "-" else "".join(sign for sign in text if not sign.isspace() and sign not in "·⋅*.^-")


_BY_SPELLING = {_plain(unit): unit for unit in (*TO_SI, *(other for others in CHOICES.values() for other in others))}
_BY_SPELLING |= {_plain(way): unit for unit, ways in _SPELLINGS.items() for way in ways}
