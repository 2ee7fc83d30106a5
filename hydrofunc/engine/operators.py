"""What the operators of a formula do with values (see `lanes`), as Excel documents it.

- A blank cell counts as 0, "" or FALSE, whichever the operator wants.
- Numbers are compared at 15 significant digits, text without regard to case, and number < text < boolean.
- Where two operands hold errors, the left one shows, also where the other is a text that is no number.
- A result too large for a double is #NUM!.
- Texts come in the order signs, digits, letters; a letter with an accent comes after the one without.

Text that looks like a date is no number.
"""

import operator
import re
import unicodedata
from collections.abc import Callable, Iterable
from decimal import ROUND_HALF_UP, Context, Decimal
from functools import lru_cache
from math import inf, isfinite, nan, nextafter

import numpy as np

from .lanes import (
    BLANK,
    BOOLEAN,
    DIV0,
    NUM,
    NUMBER,
    SOUND,
    VALUE,
    ExcelError,
    Lanes,
    Value,
    code,
    errors,
    leftmost,
    lifted,
    over_areas,
    quiet,
    settled,
    with_errors,
)

# -- text, numbers and conditions ----------------------------------------------------------------------

_NUMERAL = re.compile(
    r"(?P<sign>[+-]?)\s*[$]?\s*"
    r"(?P<digits>[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]*)?|[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
    r"(?P<exponent>[eE][+-]?[0-9]+)?\s*(?P<percent>%?)"
)


@lru_cache(4096)
def number_from_text(text: str) -> float | None:
    """The number a text stands for, or None: ``" 1,234.5 "``, ``"5%"``, ``"$5"``, ``"(5)"``, ``"1e3"``."""
    text = text.strip(" ")
    negative = text.startswith("(") and text.endswith(")")
    match = _NUMERAL.fullmatch(text[1:-1] if negative else text)
    if not match or (negative and match["sign"]):
        return None
    number = float(match["digits"].replace(",", "") + (match["exponent"] or ""))
    if match["percent"]:
        number /= 100
    if negative or match["sign"] == "-":
        number = -number
    return number if isfinite(number) else None


def text_from_number(number: float) -> str:
    """A number as text, the General format where width is no limit: 15 digits, at most 20 characters."""
    text = f"{number:.15g}"
    if "e" not in text:
        if len(text) <= 20:
            return "0" if text == "-0" else text
        digits, _, exponent = f"{number:.14e}".partition("e")
    else:
        digits, _, exponent = text.partition("e")
        plain = format(Decimal(text), "f")
        if len(plain) <= 20:
            return plain
    if "." in digits:
        digits = digits.rstrip("0").rstrip(".")
    power = int(exponent)
    return f"{digits}E{'-' if power < 0 else '+'}{abs(power):02d}"


def plain_number(value: Value) -> Value:
    """A plain value as a number where an operator wants one: a float or an error."""
    if type(value) is str:
        value = number_from_text(value)
        return VALUE if value is None else value
    return value if type(value) is ExcelError else float(value or 0.0)


def plain_text(value: Value) -> Value:
    """A plain value as text where an operator wants one: a str or an error."""
    if type(value) is float:
        return text_from_number(value)
    return value if type(value) in (str, ExcelError) else "" if value is None else str(value).upper()


def plain_truth(value: Value) -> Value:
    """A plain value as a condition: a bool or an error."""
    if type(value) is str:
        return {"TRUE": True, "FALSE": False}.get(value.upper(), VALUE)
    return value if type(value) is ExcelError else bool(value)


# `Lanes.num` holds the number of a boolean and of a blank already.
_as_number = lifted(plain_number, lambda x: x.astype(float), (NUMBER, BOOLEAN, BLANK))
_as_truth = lifted(plain_truth, lambda x: x != 0.0, (NUMBER, BOOLEAN, BLANK))


def number(value: Value) -> Value:
    """A value as a number where an operator wants one: a float, an error, or lanes of numbers."""
    return value if type(value) is float or (type(value) is Lanes and value.only == NUMBER) else _as_number(value)


def as_numbers(*args: Value) -> tuple[list, np.ndarray]:
    """(values as numbers, mask of errors). An error anywhere counts before a text that is no number."""
    read = [number(arg) for arg in args]
    err = errors(*read)
    return read, leftmost(errors(*args), err) if any(map(operator.is_not, args, read)) else err


def truth(value: Value) -> Value:
    """A value as a condition: a bool, an error, or lanes of booleans."""
    return value if type(value) is Lanes and value.only == BOOLEAN else _as_truth(value)


# -- arithmetic ----------------------------------------------------------------------------------------


def of_numbers(core: Callable) -> Callable:
    """A function of values from one of numbers.

    `core` takes floats or arrays (n,) of float and gives a float or an array (n,), or a pair of that and a mask
    of errors. A result that is not finite is #NUM!.
    """

    def call(*args):
        args, err = as_numbers(*args)
        if err is not SOUND and err.all():
            return settled(nan, err)
        with quiet():
            result = core(*(arg.num if type(arg) is Lanes else arg for arg in args))
        result, codes = result if type(result) is tuple else (result, SOUND)
        return settled(result, err, codes)

    return call


def no_truth(call: Callable) -> Callable:
    """A function of numbers made to take no boolean for one, as those do that came to Excel with its Analysis ToolPak.

    (From memory, not looked up; formulon 0.18.0 does so.)
    """

    def strict(*args):
        booleans = leftmost(*(code(_is_boolean(arg), VALUE) for arg in args))
        return with_errors(leftmost(errors(*args), np.atleast_1d(booleans)), call(*args))

    return strict


def _is_boolean(value):
    return type(value) is bool or (type(value) is Lanes and value.kind == BOOLEAN)


def _flags_are_raised():
    """Does this processor tell of divisions by zero and overflows? Not every WebAssembly host does."""
    ones, none, large = np.ones(64), np.zeros(64), np.full(64, 1e200)
    raised = 0
    for ufunc, x, y in ((np.divide, ones, none), (np.multiply, large, large)):
        try:
            with np.errstate(all="raise"):
                ufunc(x, y)
        except FloatingPointError:
            raised += 1
    return raised == 2


# A sweep spends most of its time in arithmetic on lanes, and to look through each result for infinities would
# cost a second pass. The processor notes an overflow or a division by zero by itself: whoever runs operators does
# so within `numpy.errstate(over="raise", divide="raise", invalid="raise")`, and a result is looked through only
# after numpy has raised. Where the processor notes nothing, every result is looked through.
_FLAGS = _flags_are_raised()


def _arithmetic(operate: Callable, ufunc: np.ufunc, fault: Callable | None = None) -> Callable:
    """An operator from one on floats and its ufunc; `fault(y)` is the mask of errors a second operand causes."""
    careful = over_areas(of_numbers(lambda x, y: (ufunc(x, y), fault(y)) if fault else ufunc(x, y)))

    def call(a, b):
        if type(a) is float and type(b) is float:
            if not (fault and b == 0.0):
                result = operate(a, b)
                return result if result - result == 0.0 else NUM
        elif _FLAGS and _is_numbers(a) and _is_numbers(b):
            try:
                if type(a) is float:
                    return Lanes(ufunc(a, b.num), b.err)
                if type(b) is float:
                    return Lanes(ufunc(a.num, b), a.err)
                return Lanes(ufunc(a.num, b.num), leftmost(a.err, b.err))
            except FloatingPointError:
                pass
        return careful(a, b)

    return call


def _is_numbers(value):
    return type(value) is float or (type(value) is Lanes and value.only == NUMBER)


add = _arithmetic(operator.add, np.add)
subtract = _arithmetic(operator.sub, np.subtract)
multiply = _arithmetic(operator.mul, np.multiply)
divide = _arithmetic(operator.truediv, np.divide, lambda y: code(np.equal(y, 0.0), DIV0))


# What Excel does at the end of a formula: where its last operator is + or - and the result is next to nothing
# beside the operands, it is 0 (Microsoft, "Floating-point arithmetic may give inaccurate results in Excel", of
# sums and differences at or very close to zero; from memory, not looked up). How close is not published; one
# part in 2^49, the last three bits of a double, agrees with formulon 0.18.0.
_NOTHING = 2.0**-49


@over_areas
def snapped(result: Value, operand: Value) -> Value:
    """`result` of a formula's last addition, 0 where it is next to nothing beside its first operand."""
    operand = number(operand)
    if type(result) not in (float, Lanes) or type(operand) is ExcelError:
        return result
    x, y = (value.num if type(value) is Lanes else value for value in (result, operand))
    if type(x) is float and type(y) is float:
        return 0.0 if abs(x) < abs(y) * _NOTHING else x
    # Two passes tell that no lane is near 0, which is the rule; NaN beside an error makes both untrue.
    least = max(np.max(y), -np.min(y)) * _NOTHING
    if np.min(x) > least or np.max(x) < -least:
        return result
    near = np.abs(x) < np.abs(y) * _NOTHING
    return settled(np.where(near, 0.0, x), errors(result)) if near.any() else result


def _power(x, y):
    if type(y) is float and y in (2.0, 0.5):
        return x * x if y == 2.0 else np.sqrt(x)
    result, zero = np.power(x, y), np.equal(x, 0.0)
    root = np.divide(1.0, y)  # an odd root of a negative number exists: (-8)^(1/3) is -2
    odd = np.less(x, 0.0) & (np.abs(root - np.rint(root)) < 1e-9) & (np.fmod(np.rint(root), 2.0) != 0.0)
    result = np.where(odd & ~np.isfinite(result), -np.power(np.abs(x), y), result)
    return result, leftmost(code(zero & np.less(y, 0.0), DIV0), code(zero & np.equal(y, 0.0), NUM))


power = over_areas(of_numbers(_power))


def negate(a: Value) -> Value:
    """-a, where -0 is 0."""
    return subtract(0.0, a)


def percent(a: Value) -> Value:
    """a%."""
    return divide(a, 100.0)


LONGEST_TEXT = 32_767  # characters in a cell (Microsoft, "Excel specifications and limits")


def joined(words: Iterable[str], separator: str = "") -> Value:
    """Texts one after the other; #VALUE! where no cell can hold them."""
    text = separator.join(words)
    return VALUE if len(text) > LONGEST_TEXT else text


@lifted
def _join(a, b):
    a, b = plain_text(a), plain_text(b)
    return a if type(a) is ExcelError else b if type(b) is ExcelError else joined((a, b))


join = over_areas(_join)  # a & b


# -- comparison ----------------------------------------------------------------------------------------


def fold(word: str) -> str:
    """A text as it counts where case does not."""
    return word.casefold()


# The order of the Unicode collation's root (Unicode Technical Standard 10, default table; the signs from memory), in
# which formulon 0.18.0 and LibreOffice Calc agree. The hyphen and the apostrophe count only where all else is alike
# (Microsoft, "Sort data in a range or table", of its default order; from memory, not looked up).
_SIGN, _FRACTION = "\0\1"  # all signs and all fractions beyond ASCII
_SIGNS = f' _,;:!?."()[]{{}}@*/\\&#%`^{_SIGN}+<=>|~${_FRACTION}'
_RANK = {ord(sign): chr(1 + rank) for rank, sign in enumerate(_SIGNS)} | {ord("-"): "", ord("'"): ""}


@lru_cache(4096)
def _sorting(word):
    """What a text is sorted by: without accents, then how many hyphens and apostrophes it has, then as it is."""
    word = fold(word)
    plain = unicodedata.normalize("NFKD", "".join(map(_sign_or_letter, word)))
    plain = "".join(letter for letter in plain if not unicodedata.combining(letter))
    return plain.translate(_RANK), word.count("-") + word.count("'"), word


def _sign_or_letter(letter):
    if letter.isascii():
        return letter
    if unicodedata.decomposition(letter).startswith("<fraction>"):
        return _FRACTION
    return _SIGN if unicodedata.category(letter)[0] in "PS" else letter


def _same15(a, b):
    return f"{a:.14e}" == f"{b:.14e}"


# To compare lanes with a constant at 15 digits, its neighbours that read the same are looked for once; two plain
# comparisons of doubles then do for all lanes. A decimal half up or down lands beside them; the steps finish it.
@lru_cache(1024)
def _same15_interval(number):
    """The smallest and greatest doubles that have the same 15 significant digits as `number`."""
    if number == 0.0 or abs(number) > 1e307:
        return number, number
    digits = Context(prec=15, rounding=ROUND_HALF_UP).create_decimal(Decimal(number))
    half = Decimal(5).scaleb(digits.adjusted() - 15)
    low, high = float(digits - half), float(digits + half)
    while not _same15(low, number):
        low = nextafter(low, inf)
    while not _same15(high, number):
        high = nextafter(high, -inf)
    return low, high


def exact_order(a: Value, b: Value) -> int:
    """-1, 0 or 1 for two plain values of one kind, numbers to the last bit: as lookups and criteria compare."""
    if type(a) is str:
        a, b = _sorting(a), _sorting(b)
    return -1 if a < b else 1 if a > b else 0


_NOTHING_BESIDE = {str: "", bool: False}  # what a blank counts as beside another kind


def order(a: Value, b: Value) -> int:
    """-1, 0 or 1 for two plain values, none of them an error: as the operators compare."""
    a = _NOTHING_BESIDE.get(type(b), 0.0) if a is None else a
    b = _NOTHING_BESIDE.get(type(a), 0.0) if b is None else b
    if type(a) is not type(b):
        kinds = (float, str, bool)
        return -1 if kinds.index(type(a)) < kinds.index(type(b)) else 1
    if type(a) is float and a != b and abs(a - b) <= 1e-14 * abs(a) and _same15(a, b):
        return 0
    return exact_order(a, b)


HOLDS = {
    "=": operator.eq,
    "<>": operator.ne,
    "<": operator.lt,
    ">": operator.gt,
    "<=": operator.le,
    ">=": operator.ge,
}
_FLIPPED = {"<": ">", ">": "<", "<=": ">=", ">=": "<="}


def _comparison(sign: str) -> Callable:
    holds = HOLDS[sign]

    def plain(a, b):
        if type(a) is ExcelError or type(b) is ExcelError:
            return a if type(a) is ExcelError else b
        return holds(order(a, b), 0)

    def numbers(x, y):
        if type(y) is float:
            return _beside_constant(sign, x, y)
        if type(x) is float:
            return _beside_constant(_FLIPPED.get(sign, sign), y, x)
        result, apart = holds(x, y), np.abs(x - y)
        for i in np.flatnonzero((apart < 1e-14 * np.abs(x)) & (apart > 0)):
            if _same15(x[i], y[i]):
                result[i] = "=" in sign
        return result

    return over_areas(lifted(plain, numbers))


def _beside_constant(sign, x, constant):
    low, high = _same15_interval(constant)
    if sign in ("=", "<>"):
        within = (x >= low) & (x <= high) if low != high else x == low
        return within if sign == "=" else ~within
    return HOLDS[sign](x, high if sign in (">", "<=") else low)


OPERATORS = {
    "+": add,
    "-": subtract,
    "*": multiply,
    "/": divide,
    "^": power,
    "&": join,
    **{sign: _comparison(sign) for sign in HOLDS},
}
