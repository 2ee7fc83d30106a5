"""CONVERT: a number from one unit into another."""

from collections.abc import Callable

from ..formula import Refused
from ..lanes import NA, errors, with_errors
from ..operators import no_truth, number, of_numbers

# Factors to one SI unit of each quantity. Exact by definition (SI brochure, 9th ed.; NIST SP 811, 2008,
# appendix B.8): inch 0.0254 m, pound 0.45359237 kg, gallon (US) 231 cubic inches, standard gravity
# 9.80665 m/s2, HP = 550 ft lbf/s, PS = 75 kgf m/s, IT calorie 4.1868 J; figures from memory, not looked up.
_POUND, _GRAVITY, _FOOT = 0.45359237, 9.80665, 0.3048
_LBF = _POUND * _GRAVITY
_HP = 550 * _FOOT * _LBF
_GALLON = 231 * 0.0254**3
_UNITS = {
    "length": {"m": 1.0, "in": 0.0254, "ft": _FOOT, "yd": 0.9144, "mi": 1609.344, "Nmi": 1852.0},
    "area": {"m2": 1.0, "m^2": 1.0, "in2": 0.0254**2, "in^2": 0.0254**2, "ft2": _FOOT**2, "ft^2": _FOOT**2, "ha": 1e4},
    "volume": {
        "m3": 1.0,
        "m^3": 1.0,
        "l": 1e-3,
        "L": 1e-3,
        "lt": 1e-3,
        "gal": _GALLON,
        "in3": 0.0254**3,
        "in^3": 0.0254**3,
        "ft3": _FOOT**3,
        "ft^3": _FOOT**3,
    },
    "time": {"s": 1.0, "sec": 1.0, "mn": 60.0, "min": 60.0, "hr": 3600.0, "day": 86400.0, "d": 86400.0},
    "speed": {"m/s": 1.0, "m/sec": 1.0, "m/h": 1 / 3600, "m/hr": 1 / 3600, "mph": 1609.344 / 3600, "kn": 1852 / 3600},
    "pressure": {
        "Pa": 1.0,
        "p": 1.0,
        "atm": 101325.0,
        "at": 101325.0,
        "psi": _LBF / 0.0254**2,
        "mmHg": 133.322,
        "Torr": 101325 / 760,
    },
    "force": {"N": 1.0, "lbf": _LBF, "pond": _GRAVITY / 1000},
    "energy": {"J": 1.0, "Wh": 3600.0, "wh": 3600.0, "cal": 4.1868, "c": 4.184, "HPh": _HP * 3600, "hh": _HP * 3600},
    "power": {"W": 1.0, "w": 1.0, "HP": _HP, "h": _HP, "PS": 75 * _GRAVITY},
    "mass": {"g": 1e-3, "lbm": _POUND, "ozm": _POUND / 16, "ton": 2000 * _POUND},
}
_TAKES_PREFIX = frozenset(
    "m m2 m^2 m3 m^3 l L lt s sec m/s m/sec m/h m/hr Pa p atm mmHg N J Wh wh cal c W w g pond".split()
)
_PREFIXES = {
    "G": 1e9,
    "M": 1e6,
    "k": 1e3,
    "h": 1e2,
    "da": 1e1,
    "e": 1e1,
    "d": 1e-1,
    "c": 1e-2,
    "m": 1e-3,
    "u": 1e-6,
    "n": 1e-9,
}
_TEMPERATURES = {"C": "C", "cel": "C", "F": "F", "fah": "F", "K": "K", "kel": "K"}


def _unit(name):
    for quantity, units in _UNITS.items():
        if name in units:
            return quantity, units[name]
    for prefix, factor in _PREFIXES.items():
        rest = name[len(prefix) :]
        if name.startswith(prefix) and rest in _TAKES_PREFIX:
            quantity = next(q for q, units in _UNITS.items() if rest in units)
            raised = 2 if rest in ("m2", "m^2") else 3 if rest in ("m3", "m^3") else 1
            return quantity, factor**raised * _UNITS[quantity][rest]
    return None


def converter(source: str, target: str) -> Callable:
    """CONVERT between two units, as a function of a value; `Refused` for units it does not know."""
    if source in _TEMPERATURES and target in _TEMPERATURES:
        return no_truth(of_numbers(lambda x: _temperature(x, _TEMPERATURES[source], _TEMPERATURES[target])))
    first, second = _unit(source), _unit(target)
    for name, unit in ((source, first), (target, second)):
        if unit is None and name not in _TEMPERATURES:
            raise Refused(f"CONVERT does not know the unit {name!r}")
    if first is None or second is None or first[0] != second[0]:
        return _no_such_conversion
    return no_truth(of_numbers(lambda x: x * first[1] / second[1]))


def _no_such_conversion(value):
    """What is no number is an error of its own kind first."""
    return with_errors(errors(number(value)), NA)


def _temperature(x, source, target):
    if source == target:
        return x * 1.0
    kelvin = x if source == "K" else x + 273.15 if source == "C" else (x - 32) / 1.8 + 273.15
    celsius = x if source == "C" else kelvin - 273.15 if source == "K" else (x - 32) / 1.8
    return kelvin if target == "K" else celsius if target == "C" else celsius * 1.8 + 32
