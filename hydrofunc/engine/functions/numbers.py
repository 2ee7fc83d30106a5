"""Functions of single numbers: rounding, logarithms, angles. Each body takes floats or arrays (n,) of float."""

from functools import partial
from math import pi

import numpy as np

from ..lanes import DIV0, NUM, SOUND, code, leftmost
from ..operators import no_truth, of_numbers, power
from .table import worksheet

for _name, _ufunc in {
    "ABS": np.abs,
    "SIGN": np.sign,
    "SQRT": np.sqrt,
    "EXP": np.exp,
    "LN": np.log,
    "LOG10": np.log10,
    "INT": np.floor,
    "ASIN": np.arcsin,
    "ACOS": np.arccos,
    "ATAN": np.arctan,
    "SINH": np.sinh,
    "COSH": np.cosh,
    "TANH": np.tanh,
    "RADIANS": np.radians,
    "DEGREES": np.degrees,
}.items():
    worksheet(_name, "v")(of_numbers(_ufunc))
# Beyond this angle Excel gives #NUM! (from memory, not looked up).
LARGEST_ANGLE = 2.0**27
for _name, _ufunc in {"SIN": np.sin, "COS": np.cos, "TAN": np.tan}.items():
    worksheet(_name, "v")(of_numbers(lambda x, ufunc=_ufunc: (ufunc(x), code(np.abs(x) >= LARGEST_ANGLE, NUM))))
worksheet("POWER", "vv")(power)
worksheet("PI", "")(lambda: pi)

# -- rounding ------------------------------------------------------------------------------------------

# Excel rounds what it shows: 15 decimal digits. A double that stands for 2.675 lies a little below it, so before
# it is cut it is moved by what a double is short of 15 digits, as a part of the number.
_SLACK = 2.0**-50
_POWERS_OF_TEN = np.array([float(f"1e{digits}") for digits in range(301)])


def _half_up(t):
    return np.floor(t + 0.5 + t * _SLACK)


def _down(t):
    return np.floor(t + t * _SLACK)


def _up(t):
    return np.ceil(t - t * _SLACK)


def _rounded(rounder, x, digits=0.0):
    """x rounded by `rounder`, a function of numbers from 0 up to whole ones, at so many decimal digits."""
    digits = np.nan_to_num(np.clip(np.trunc(digits), -300.0, 300.0))
    scale, size = _POWERS_OF_TEN[np.abs(digits).astype(int)], np.abs(x)
    t = np.where(digits >= 0, size * scale, size / scale)
    whole = rounder(t)
    rounded = np.where(digits >= 0, whole / scale, whole * scale)
    # A number of 15 digits or more before the point has no decimals to round; + 0.0 makes -0 to 0.
    return np.where((t >= 1e15) & (digits >= 0), x, np.copysign(rounded, x) + 0.0)


round_half_up = partial(_rounded, _half_up)
worksheet("ROUND", "vv")(of_numbers(round_half_up))
worksheet("ROUNDUP", "vv")(of_numbers(partial(_rounded, _up)))
worksheet("ROUNDDOWN", "vv")(of_numbers(partial(_rounded, _down)))
worksheet("TRUNC", "v[v]")(of_numbers(partial(_rounded, _down)))


def _to_multiple(rounder, x, step):
    """`rounder(x / step) * step`; 0 where the step is 0."""
    none = np.equal(step, 0.0)
    safe = np.where(none, 1.0, step)
    return np.where(none, 0.0, rounder(x / safe) * safe)


@worksheet("CEILING", "vv")
@of_numbers
def _ceiling(x, step):
    result = _to_multiple(lambda q: np.ceil(q - np.abs(q) * _SLACK), x, step)
    return result, code(np.greater(x, 0) & np.less(step, 0), NUM)


@worksheet("FLOOR", "vv")
@of_numbers
def _floor(x, step):
    result = _to_multiple(lambda q: np.floor(q + np.abs(q) * _SLACK), x, step)
    by_zero = np.equal(step, 0.0) & np.not_equal(x, 0.0)
    return result, leftmost(code(by_zero, DIV0), code(np.greater(x, 0) & np.less(step, 0), NUM))


@worksheet("MROUND", "vv")
@no_truth
@of_numbers
def _mround(x, step):
    result = _to_multiple(lambda q: np.copysign(np.floor(np.abs(q) + 0.5), q), x, step)
    return result, code(np.sign(x) * np.sign(step) < 0, NUM)


@worksheet("EVEN", "v")
@of_numbers
def _even(x):
    return np.copysign(2.0 * np.ceil(np.abs(x) / 2.0), x) + 0.0


@worksheet("ODD", "v")
@of_numbers
def _odd(x):
    return np.where(np.equal(x, 0.0), 1.0, np.copysign(2.0 * np.ceil((np.abs(x) + 1.0) / 2.0) - 1.0, x))


# -- of two numbers ------------------------------------------------------------------------------------


@worksheet("MOD", "vv")
@of_numbers
def _mod(x, divisor):
    quotient = np.divide(x, divisor)
    # Microsoft, "MOD function": #NUM! where the quotient is 1,125,900,000,000 or more.
    codes = leftmost(code(np.equal(divisor, 0.0), DIV0), code(np.abs(quotient) >= 1.1259e12, NUM))
    return x - divisor * np.floor(quotient), codes


@worksheet("LOG", "v[v]")
@of_numbers
def _log(x, base=10.0):
    if type(base) is float and base in (10.0, 2.0):
        return (np.log10(x) if base == 10.0 else np.log2(x)), SOUND
    no_logarithm = np.less_equal(x, 0.0) | np.less_equal(base, 0.0)
    return np.log(x) / np.log(base), leftmost(code(no_logarithm, NUM), code(np.equal(base, 1.0), DIV0))


@worksheet("ATAN2", "vv")
@of_numbers
def _atan2(x, y):
    return np.arctan2(y, x), code(np.equal(x, 0.0) & np.equal(y, 0.0), DIV0)
