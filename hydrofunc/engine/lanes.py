"""Worksheet values, one at a time or for many scenarios at once, and what operators do with them.

A value is a float, a str, a bool, None (a blank cell) or an `ExcelError` where it is the same in every
scenario, and `Lanes` where it differs: one lane for each scenario. A range or an array is an `Area` of
values. Operators follow the documented behaviour of Excel:

- a blank cell counts as 0, "" or FALSE, whichever the operator wants;
- numbers are compared at 15 significant digits, text without regard to case, and number < text < boolean;
- where two operands hold errors, the left one shows;
- a result too large for a double is #NUM!.

Text is compared by code point after case folding, which is Excel's order for letters and digits; how Excel
orders punctuation depends on its language and is not imitated. Text that looks like a date is no number.

Floating-point trouble is found through the processor's own flags: callers run operators on lanes within
`numpy.errstate(over="raise", divide="raise", invalid="raise")`, so that the good case costs no extra pass;
where the processor raises no flags, every result is looked through.
"""

import re
from decimal import ROUND_HALF_UP, Context, Decimal
from functools import lru_cache, partial
from math import inf, isfinite, nan, nextafter

import numpy as np

NUMBER, TEXT, BOOLEAN, BLANK = 0, 1, 2, 3  # kinds of a lane
_KINDS = NUMBER, TEXT, BOOLEAN, BLANK
quiet = partial(np.errstate, all="ignore")


class ExcelError:
    """An error value of a worksheet. `ExcelError("#N/A")` is always the same object."""

    __slots__ = ("code", "text")
    TEXTS = ("", "#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A")  # by code, as ERROR.TYPE
    _known = {}

    def __new__(cls, text):
        if text not in cls._known:
            error = super().__new__(cls)
            error.code, error.text = cls.TEXTS.index(text), text
            cls._known[text] = error
        return cls._known[text]

    def __str__(self):
        return self.text

    def __repr__(self):
        return f"ExcelError({self.text!r})"

    def __reduce__(self):
        return ExcelError, (self.text,)


_BY_CODE = (None,) + tuple(ExcelError(text) for text in ExcelError.TEXTS[1:])
NULL, DIV0, VALUE, REF, NAME, NUM, NA = _BY_CODE[1:]


def error_of(code):
    """The error value with this code."""
    return _BY_CODE[int(code)]


class Lanes:
    """A value for each scenario.

    num:   float64 (N,): the number; for text its place in `table`; NaN where there is an error. For
           BOOLEAN alone it is an array of bool.
    err:   uint8 (N,) of error codes, or None where no lane holds an error.
    kind:  NUMBER, TEXT, BOOLEAN or BLANK (these very objects), or a uint8 array of them where lanes differ.
    table: list of the texts in use, not necessarily different ones.
    """

    __slots__ = ("err", "kind", "num", "table")

    def __init__(self, num, err=None, kind=NUMBER, table=None):
        self.num, self.err, self.kind, self.table = num, err, kind, table

    def __len__(self):
        return len(self.num)

    def python(self):
        """The lanes as a list of plain values and `ExcelError`s."""
        kind = self.kind
        if type(kind) is int:
            if kind == NUMBER:
                values = self.num.tolist()
            elif kind == BOOLEAN:
                values = self.num.astype(bool).tolist()
            elif kind == TEXT:
                table = self.table
                values = [table[int(c)] if c == c else None for c in self.num.tolist()]
            else:
                values = [None] * len(self.num)
        else:
            table = self.table
            values = []
            for number, k in zip(self.num.tolist(), kind.tolist()):
                if k == NUMBER:
                    values.append(number)
                elif k == BOOLEAN:
                    values.append(bool(number))
                elif k == TEXT:
                    values.append(table[int(number)] if number == number else None)
                else:
                    values.append(None)
        if self.err is not None:
            for i in np.flatnonzero(self.err).tolist():
                values[i] = _BY_CODE[self.err[i]]
        return values


class Area:
    """A rectangle of values: a range of cells, or an array."""

    __slots__ = ("rows",)

    def __init__(self, rows):
        self.rows = rows

    @property
    def shape(self):
        return len(self.rows), len(self.rows[0])

    def cells(self):
        return [cell for row in self.rows for cell in row]


# -- making lanes --------------------------------------------------------------------------------------


def from_python(values):
    """Lanes from a list or an array of plain values; None is a blank, NaN and infinity are #NUM!."""
    if isinstance(values, np.ndarray) and values.dtype.kind in "fiu":
        return _settle(values.astype(float), None)
    if isinstance(values, np.ndarray) and values.dtype.kind == "b":
        return Lanes(values, None, BOOLEAN)
    n = len(values)
    num = np.empty(n)
    err = np.zeros(n, np.uint8)
    kind = np.empty(n, np.uint8)
    table, places = [], {}
    for i, value in enumerate(values):
        if isinstance(value, (str, np.str_)):
            if value not in places:
                places[value] = len(table)
                table.append(str(value))
            num[i], kind[i] = places[value], TEXT
        elif isinstance(value, (bool, np.bool_)):
            num[i], kind[i] = value, BOOLEAN
        elif value is None:
            num[i], kind[i] = 0.0, BLANK
        elif isinstance(value, ExcelError):
            num[i], kind[i], err[i] = nan, NUMBER, value.code
        else:
            num[i], kind[i] = value, NUMBER
    bad = (kind == NUMBER) & (err == 0) & ~np.isfinite(num)
    err[bad] = NUM.code
    num[bad] = nan
    return tidy(num, err, kind, table)


def some(value, places):
    """The value in some lanes only; `places` is a slice or an array of whole numbers."""
    if type(value) is Area:
        return Area([[some(cell, places) for cell in row] for row in value.rows])
    if type(value) is not Lanes:
        return value
    err = None if value.err is None else value.err[places]
    if type(value.kind) is not int:
        return tidy(value.num[places], err, value.kind[places], value.table)
    if err is not None and not err.any():
        err = None
    return Lanes(value.num[places], err, value.kind, value.table)


def tidy(num, err, kind, table=None):
    """Lanes with what need not differ between lanes said once."""
    if err is not None and not err.any():
        err = None
    if type(kind) is not int:
        good = kind if err is None else kind[err == 0]
        if good.size == 0:
            kind = NUMBER
        elif (good == good[0]).all():
            kind = _KINDS[good[0]]
    if type(kind) is int and kind == BOOLEAN and num.dtype != bool:
        num = num == 1.0
    return Lanes(num, err, kind, table)


def _settle(num, err, codes=None):
    """Numeric lanes from a fresh result that may hold NaN or infinities: those become errors.

    `codes` are the error codes of the lanes where the operator itself found fault; elsewhere it is #NUM!.
    """
    fine = np.isfinite(num)
    if codes is None and fine.all():
        return Lanes(num, err)
    bad = ~fine
    if codes is not None:
        bad |= codes > 0
    if err is not None:
        bad &= err == 0
    if bad.any():
        err = np.zeros(len(num), np.uint8) if err is None else err.copy()
        err[bad] = NUM.code if codes is None else np.where(codes > 0, codes, NUM.code)[bad]
        num[bad] = nan
    return Lanes(num, err)


def settled(result, err=None, codes=None):
    """A float, an error or numeric lanes from what an elementary function returned."""
    if isinstance(result, np.ndarray) and result.ndim:
        return _settle(result, err, codes)
    if codes is not None and codes:
        return error_of(codes)
    result = float(result)
    return result if isfinite(result) else NUM


def lanes_in(*values):
    """How many lanes the values have, None where they are the same in all."""
    for value in values:
        if type(value) is Lanes:
            return len(value)
        if type(value) is Area:
            for row in value.rows:
                for cell in row:
                    if type(cell) is Lanes:
                        return len(cell)
    return None


def leftmost(first, second):
    """Error codes of two operands together: those of the first count."""
    if first is None or first is second:
        return second
    if second is None:
        return first
    return np.where(first > 0, first, second)


def failed(error, err, n):
    """What remains where every lane has an error, `error` where `err` has none."""
    if err is None:
        return error
    return Lanes(np.full(n, nan), np.where(err > 0, err, np.uint8(error.code)))


def errors_of(value):
    """Error codes of a value: None, a code, or an array of codes."""
    if type(value) is Lanes:
        return value.err
    return value.code if type(value) is ExcelError else None


# -- text and numbers ----------------------------------------------------------------------------------

_NUMERAL = re.compile(
    r"(?P<sign>[+-]?)\s*[$]?\s*"
    r"(?P<digits>[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]*)?|[0-9]+\.?[0-9]*|\.[0-9]+)"
    r"(?P<exponent>[eE][+-]?[0-9]+)?\s*(?P<percent>%?)"
)


@lru_cache(4096)
def number_from_text(text):
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


def text_from_number(number):
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


def number(value):
    """A value as a number where an operator wants one: a float, an error, or numeric lanes."""
    kind = type(value)
    if kind is float:
        return value
    if kind is Lanes:
        return value if value.kind is NUMBER else _number_lanes(value)
    if kind is bool:
        return 1.0 if value else 0.0
    if value is None:
        return 0.0
    if kind is str:
        found = number_from_text(value)
        return VALUE if found is None else found
    return value


def _number_lanes(value):
    kind, err = value.kind, value.err
    if type(kind) is int:
        if kind == BOOLEAN:
            num = value.num.astype(float)
            if err is not None:
                num[err > 0] = nan
            return Lanes(num, err)
        if kind == BLANK:
            return Lanes(np.where(err > 0, nan, 0.0) if err is not None else np.zeros(len(value)), err)
        is_text = np.ones(len(value), bool)
    else:
        is_text = kind == TEXT
    if err is not None:
        is_text &= err == 0
    num = value.num.astype(float)
    if type(kind) is not int:
        num[(kind == BLANK) & ((err == 0) if err is not None else True)] = 0.0
    if is_text.any():
        places = value.num[is_text].astype(np.intp)
        found = [number_from_text(text) for text in value.table]
        numbers = np.array([nan if x is None else x for x in found])[places]
        num[is_text] = numbers
        err = np.zeros(len(num), np.uint8) if err is None else err.copy()
        err[is_text] = np.where(np.isnan(numbers), np.uint8(VALUE.code), 0)
        if not err.any():
            err = None
    return Lanes(num, err)


def text(value):
    """A value as text where an operator wants one: a str, an error, or lanes of text."""
    kind = type(value)
    if kind is str:
        return value
    if kind is float:
        return text_from_number(value)
    if kind is bool:
        return "TRUE" if value else "FALSE"
    if value is None:
        return ""
    if kind is not Lanes:
        return value
    if type(value.kind) is int:
        if value.kind == TEXT:
            return value
        if value.kind == BOOLEAN:
            return Lanes(_nan_where(value.err, value.num.astype(float)), value.err, TEXT, ["FALSE", "TRUE"])
        if value.kind == BLANK:
            return Lanes(_nan_where(value.err, np.zeros(len(value))), value.err, TEXT, [""])
    return text_lanes([item if type(item) is ExcelError else text(item) for item in value.python()])


def text_lanes(items):
    """Lanes of text from a list of str and `ExcelError`, each with its own place in the table."""
    err = None
    if any(type(item) is ExcelError for item in items):
        err = np.array([item.code if type(item) is ExcelError else 0 for item in items], np.uint8)
        items = ["" if type(item) is ExcelError else item for item in items]
    return Lanes(_nan_where(err, np.arange(len(items), dtype=float)), err, TEXT, items)


def _nan_where(err, num):
    if err is not None:
        num[err > 0] = nan
    return num


def truth(value):
    """A value as a condition: a bool, an error, or lanes of booleans."""
    kind = type(value)
    if kind is bool:
        return value
    if kind is float:
        return value != 0.0
    if value is None:
        return False
    if kind is str:
        word = value.upper()
        return True if word == "TRUE" else False if word == "FALSE" else VALUE
    if kind is ExcelError:
        return value
    if type(value.kind) is int:
        if value.kind == BOOLEAN:
            return value
        if value.kind == NUMBER:
            return Lanes(value.num != 0.0, value.err, BOOLEAN)
        if value.kind == BLANK:
            return Lanes(np.zeros(len(value), bool), value.err, BOOLEAN)
    is_text = np.broadcast_to(np.equal(value.kind, TEXT), len(value))
    if value.err is not None:
        is_text = is_text & (value.err == 0)
    result = (value.num != 0.0) & np.not_equal(value.kind, BLANK)
    err = value.err
    if is_text.any():
        items = [truth(item) for item in value.table]
        places = value.num[is_text].astype(np.intp)
        result[is_text] = np.array([item is True for item in items])[places]
        wrong = np.array([VALUE.code if item is VALUE else 0 for item in items], np.uint8)[places]
        if wrong.any():
            err = np.zeros(len(value), np.uint8) if err is None else err.copy()
            err[is_text] = wrong
    return Lanes(result, err, BOOLEAN)


# -- elementwise over areas ----------------------------------------------------------------------------


def map_areas(function, *args):
    """`function` over areas cell by cell; one row, one column or a single value is repeated as needed."""
    shapes = [arg.shape for arg in args if type(arg) is Area]
    height, width = max(s[0] for s in shapes), max(s[1] for s in shapes)
    return Area([[function(*(cell_of(arg, r, c) for arg in args)) for c in range(width)] for r in range(height)])


def cell_of(value, row, column):
    """The value that stands at a place, counted from 0, where `value` is an area; else `value` itself."""
    if type(value) is not Area:
        return value
    height, width = value.shape
    row, column = (0 if height == 1 else row), (0 if width == 1 else column)
    return value.rows[row][column] if row < height and column < width else NA


# -- arithmetic ----------------------------------------------------------------------------------------


def _prepared(a, b):
    """Both operands as numbers; an error as the third value where it is the result already."""
    a, b = number(a), number(b)
    if type(a) is ExcelError:
        return a, b, a
    if type(b) is ExcelError:
        return a, b, failed(b, a.err, len(a)) if type(a) is Lanes else b
    return a, b, None


def _flags_are_raised():
    """Does this processor tell of divisions by zero and overflows? Not every WebAssembly host does."""
    ones, none, large = np.ones(64), np.zeros(64), np.full(64, 1e200)
    told = 0
    for ufunc, x, y in ((np.divide, ones, none), (np.multiply, large, large)):
        try:
            with np.errstate(all="raise"):
                ufunc(x, y)
        except FloatingPointError:
            told += 1
    return told == 2


_FLAGS = _flags_are_raised()


def _arithmetic(plain, ufunc, fault=None):
    """An operator from one on floats, which gives a float or an error, and its ufunc.

    `fault(y)` gives the error codes of lanes whose result is not finite; without it they are #NUM!.
    """

    def operate(a, b):
        of_a, of_b = type(a), type(b)
        if of_a is float:
            if of_b is float:
                return plain(a, b)
            x, err = a, None
        elif of_a is Lanes and a.kind is NUMBER:
            x, err = a.num, a.err
        else:
            return prepare(a, b)
        if of_b is float:
            y = b
        elif of_b is Lanes and b.kind is NUMBER:
            y = b.num
            if b.err is not None:
                err = leftmost(err, b.err)
        else:
            return prepare(a, b)
        if _FLAGS:
            try:
                return Lanes(ufunc(x, y), err)
            except FloatingPointError:
                pass
        with quiet():
            return _settle(ufunc(x, y), err, fault and fault(y, len(a if of_a is Lanes else b)))

    def prepare(a, b):
        if type(a) is Area or type(b) is Area:
            return map_areas(operate, a, b)
        a, b, error = _prepared(a, b)
        return operate(a, b) if error is None else error

    return operate


def _plain(operator):
    def plain(a, b):
        result = operator(a, b)
        return result if result - result == 0.0 else NUM

    return plain


def _divide_plain(a, b):
    if b == 0.0:
        return DIV0
    result = a / b
    return result if result - result == 0.0 else NUM


def _divided_by_zero(y, n):
    return np.where(np.broadcast_to(np.equal(y, 0.0), n), np.uint8(DIV0.code), np.uint8(0))


add = _arithmetic(_plain(lambda a, b: a + b), np.add)
subtract = _arithmetic(_plain(lambda a, b: a - b), np.subtract)
multiply = _arithmetic(_plain(lambda a, b: a * b), np.multiply)
divide = _arithmetic(_divide_plain, np.divide, _divided_by_zero)


# What Excel does at the end of a formula: where its last operator is + or - and the result is next to nothing
# beside the operands, it is 0 (Microsoft, "Floating-point arithmetic may give inaccurate results in Excel", of
# sums and differences at or very close to zero; from memory, not looked up). How close is not published; one
# part in 2^49, the last three bits of a double, agrees with formulon 0.18.0.
_NOTHING = 2.0**-49


def snapped(result, operand):
    """`result` of a formula's last addition, 0 where it is next to nothing beside its first operand."""
    if type(result) is float:
        operand = number(operand)
        return 0.0 if type(operand) is float and abs(result) < abs(operand) * _NOTHING else result
    if type(result) is Area or type(operand) is Area:
        return result if type(result) is not Area else map_areas(snapped, result, operand)
    if type(result) is not Lanes:
        return result
    operand = number(operand)
    if type(operand) is ExcelError:
        return result
    if type(operand) is Lanes:
        operand = operand.num
        least = max(operand.max(), -operand.min()) * _NOTHING
    else:
        least = abs(operand) * _NOTHING
    if result.num.min() > least or result.num.max() < -least:
        return result
    near = np.abs(result.num) < np.abs(operand) * _NOTHING
    if near.any():
        return Lanes(np.where(near, 0.0, result.num), result.err)
    return result


def power(a, b):
    if type(a) is Area or type(b) is Area:
        return map_areas(power, a, b)
    a, b, error = _prepared(a, b)
    if error is not None:
        return error
    x, y = (a.num if type(a) is Lanes else a), (b.num if type(b) is Lanes else b)
    err = leftmost(errors_of(a), errors_of(b))
    if type(y) is float and y == 2.0:
        with np.errstate(over="raise"):
            return multiply(a, a)
    with quiet():
        if type(y) is float and y == 0.5:
            return settled(np.sqrt(x), err)
        result = np.power(x, y)
        if np.isfinite(result).all() and not (np.less_equal(y, 0.0) & np.equal(x, 0.0)).any():
            return Lanes(result, err) if isinstance(result, np.ndarray) and result.ndim else float(result)
        zero, below = np.equal(x, 0.0), np.less(x, 0.0)
        root = np.divide(1.0, y)  # an odd root of a negative number exists: (-8)^(1/3) is -2
        odd = below & (np.abs(root - np.rint(root)) < 1e-9) & (np.fmod(np.rint(root), 2.0) != 0.0)
        result = np.where(odd & ~np.isfinite(result), -np.power(np.abs(x), y), result)
        codes = np.where(zero & np.less(y, 0.0), np.uint8(DIV0.code), np.uint8(0))
        codes = np.where(zero & np.equal(y, 0.0), np.uint8(NUM.code), codes)
        if result.ndim == 0:
            return settled(float(result), None, int(codes))
        return _settle(result, err, np.broadcast_to(codes, result.shape))


def negate(a):
    if type(a) is float:
        return 0.0 - a
    if type(a) is Area:
        return map_areas(negate, a)
    a = number(a)
    if type(a) is Lanes:
        return Lanes(0.0 - a.num, a.err)
    return 0.0 - a if type(a) is float else a


def percent(a):
    return divide(a, 100.0)


def join(a, b):
    """a & b."""
    if type(a) is str and type(b) is str:
        return a + b
    if type(a) is Area or type(b) is Area:
        return map_areas(join, a, b)
    a, b = text(a), text(b)
    if type(a) is ExcelError:
        return a
    if type(b) is ExcelError:
        return failed(b, a.err, len(a)) if type(a) is Lanes else b
    if type(a) is str and type(b) is str:
        return a + b
    err = leftmost(errors_of(a), errors_of(b))
    if type(a) is str:
        return Lanes(b.num, err, TEXT, [a + item for item in b.table])
    if type(b) is str:
        return Lanes(a.num, err, TEXT, [item + b for item in a.table])
    if len(a.table) * len(b.table) <= len(a):
        table = [first + second for first in a.table for second in b.table]
        return Lanes(_nan_where(err, a.num * len(b.table) + b.num), err, TEXT, table)
    pairs = zip(a.python(), b.python())
    return text_lanes([x if type(x) is ExcelError else y if type(y) is ExcelError else x + y for x, y in pairs])


# -- comparison ----------------------------------------------------------------------------------------


def fold(word):
    return word.casefold()


def _same15(a, b):
    return f"{a:.14e}" == f"{b:.14e}"


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


def compare_plain(a, b):
    """-1, 0 or 1 for two plain values, none of them an error."""
    if a is None and b is None:
        return 0
    if a is None:
        a = "" if type(b) is str else False if type(b) is bool else 0.0
    elif b is None:
        b = "" if type(a) is str else False if type(a) is bool else 0.0
    first, second = type(a), type(b)
    if first is not second:
        order = {float: 0, str: 1, bool: 2}
        return -1 if order[first] < order[second] else 1
    if first is str:
        a, b = fold(a), fold(b)
    if a == b:
        return 0
    if first is float and abs(a - b) <= 1e-14 * abs(a) and _same15(a, b):
        return 0
    return -1 if a < b else 1


_HOLDS = {
    "=": lambda c: c == 0,
    "<>": lambda c: c != 0,
    "<": lambda c: c < 0,
    ">": lambda c: c > 0,
    "<=": lambda c: c <= 0,
    ">=": lambda c: c >= 0,
}
_UFUNC = {
    "=": np.equal,
    "<>": np.not_equal,
    "<": np.less,
    ">": np.greater,
    "<=": np.less_equal,
    ">=": np.greater_equal,
}
_FLIPPED = {"=": "=", "<>": "<>", "<": ">", ">": "<", "<=": ">=", ">=": "<="}


def comparison(sign):
    """The operator `sign`, one of = <> < > <= >=."""
    holds, ufunc = _HOLDS[sign], _UFUNC[sign]

    def compare(a, b):
        if type(a) is Area or type(b) is Area:
            return map_areas(compare, a, b)
        lanes_a, lanes_b = type(a) is Lanes, type(b) is Lanes
        if not (lanes_a or lanes_b):
            if type(a) is ExcelError:
                return a
            return b if type(b) is ExcelError else holds(compare_plain(a, b))
        if type(a) is ExcelError:
            return a
        if type(b) is ExcelError:
            return failed(b, a.err, len(a))
        if lanes_a and a.kind is NUMBER:
            if type(b) is float:
                return Lanes(_against(sign, a.num, b), a.err, BOOLEAN)
            if lanes_b and b.kind is NUMBER:
                result = _number_lanes_compared(sign, ufunc, a.num, b.num)
                return Lanes(result, leftmost(a.err, b.err), BOOLEAN)
        elif type(a) is float and b.kind is NUMBER:
            return Lanes(_against(_FLIPPED[sign], b.num, a), b.err, BOOLEAN)
        elif lanes_a and not lanes_b and a.kind is TEXT:
            return Lanes(_looked_up(a, [holds(compare_plain(item, b)) for item in a.table]), a.err, BOOLEAN)
        elif lanes_b and not lanes_a and b.kind is TEXT:
            return Lanes(_looked_up(b, [holds(compare_plain(a, item)) for item in b.table]), b.err, BOOLEAN)
        return Lanes(holds(_signs(a, b)), leftmost(errors_of(a), errors_of(b)), BOOLEAN)

    return compare


def _looked_up(lanes, results):
    return np.array(results)[np.where(np.isnan(lanes.num), 0.0, lanes.num).astype(np.intp)]


def _against(sign, x, constant):
    low, high = _same15_interval(constant)
    if sign == ">":
        return x > high
    if sign == "<":
        return x < low
    if sign == ">=":
        return x >= low
    if sign == "<=":
        return x <= high
    within = (x >= low) & (x <= high) if low != high else x == low
    return within if sign == "=" else ~within


def _number_lanes_compared(sign, ufunc, x, y):
    result = ufunc(x, y)
    apart = np.subtract(x, y)
    np.abs(apart, out=apart)
    limit = np.abs(x)
    limit *= 1e-14
    near = apart < limit
    if near.any():
        for i in np.flatnonzero(near & (apart > 0)):
            if _same15(x[i], y[i]):
                result[i] = "=" in sign
    return result


def _signs(a, b):
    """-1, 0 or 1 for each lane, whatever the kinds; anything where there is an error."""
    n = lanes_in(a, b)
    (num_a, _, kind_a, table_a), (num_b, _, kind_b, table_b) = parts(a, n), parts(b, n)
    kind_a, kind_b = np.broadcast_to(kind_a, n), np.broadcast_to(kind_b, n)
    ranks = {word: float(i) for i, word in enumerate(sorted({fold(t) for t in [*table_a, *table_b, ""]}))}
    num_a, kind_a = _as_ranks(num_a, kind_a, table_a, kind_b, ranks, n)
    num_b, kind_b = _as_ranks(num_b, kind_b, table_b, kind_a, ranks, n)
    order = kind_a.astype(np.int8) - kind_b.astype(np.int8)
    order = np.where(order == 0, _number_lanes_sign(num_a, num_b, kind_a == NUMBER), np.sign(order))
    return np.where((kind_a == BLANK) & (kind_b == BLANK), 0, order)


def _as_ranks(num, kind, table, other_kind, ranks, n):
    num = np.array(np.broadcast_to(num, n))
    is_text = (kind == TEXT) & ~np.isnan(num)
    if is_text.any():
        lookup = np.array([ranks[fold(word)] for word in table])
        num[is_text] = lookup[num[is_text].astype(np.intp)]
    blank = (kind == BLANK) & (other_kind != BLANK)
    if blank.any():
        num[blank] = np.where(other_kind == TEXT, ranks[""], 0.0)[blank]
        kind = np.where(blank, other_kind, kind)
    return num, kind


def _number_lanes_sign(x, y, at_15_digits):
    with quiet():
        sign = np.where(x < y, -1, np.where(x > y, 1, 0))
        near = (np.abs(x - y) < np.abs(x) * 1e-14) & (sign != 0) & at_15_digits
    for i in np.flatnonzero(near):
        if _same15(x[i], y[i]):
            sign[i] = 0
    return sign


# -- choosing between values lane by lane --------------------------------------------------------------


def parts(value, n=None):
    """(num, err, kind, table) of any value but an area; for a uniform one the first three are single."""
    kind = type(value)
    if kind is Lanes:
        return value.num, value.err, value.kind, value.table or []
    if kind is float:
        return value, None, NUMBER, []
    if kind is bool:
        return float(value), None, BOOLEAN, []
    if value is None:
        return 0.0, None, BLANK, []
    if kind is str:
        return 0.0, None, TEXT, [value]
    return nan, value.code, NUMBER, []


def select(mask, yes, no):
    """`yes` where the boolean array `mask` holds, else `no`; errors of the one not taken are dropped."""
    if type(yes) is Area or type(no) is Area:
        return map_areas(lambda a, b: select(mask, a, b), yes, no)
    a, b = parts(yes), parts(no)
    if a[2] is NUMBER and b[2] is NUMBER and a[1] is None and b[1] is None:
        return Lanes(np.where(mask, a[0], b[0]))
    err = None
    if a[1] is not None or b[1] is not None:
        first, second = (np.uint8(0) if codes is None else np.uint8(codes) for codes in (a[1], b[1]))
        err = np.where(mask, first, second)
    if not (a[3] or b[3]):
        table, second = None, b[0]
    elif a[3] is b[3] or a[3] == b[3]:
        table, second = a[3], b[0]
    else:
        table = a[3] + b[3]
        is_text = np.equal(b[2], TEXT)
        second = b[0] + np.where(is_text, float(len(a[3])), 0.0) if a[3] else b[0]
    num = np.where(mask, a[0], second)
    kind = (
        a[2]
        if type(a[2]) is int and type(b[2]) is int and a[2] == b[2]
        else (np.where(mask, np.uint8(a[2]), np.uint8(b[2])))
    )
    return tidy(num, err, kind, table)


def choose(mask, yes, no):
    """IF for a condition already evaluated: a bool, an error or lanes of booleans."""
    if type(mask) is not Lanes:
        return mask if type(mask) is ExcelError else yes if mask else no
    result = select(mask.num, yes, no)
    return with_errors(mask.err, result)


def with_errors(err, value):
    """`value` with the errors `err` laid over it."""
    if err is None:
        return value
    if type(value) is Area:
        return Area([[with_errors(err, cell) for cell in row] for row in value.rows])
    num, old, kind, table = parts(value)
    hit = err > 0
    num = np.where(hit, nan, num)
    code = np.where(hit, err, np.uint8(0) if old is None else np.uint8(old))
    return tidy(num, code, kind, table or None)


def gather(cells, places, err=None):
    """The value at `places` (whole numbers as an int array, one for each lane) of a list of values."""
    n = len(places)
    split = [parts(cell) for cell in cells]
    tables, offsets, table = {}, [], []
    for part in split:
        key = id(part[3]) if len(part[3]) > 1 else tuple(part[3])
        if key not in tables:
            tables[key] = len(table)
            table = table + part[3]
        offsets.append(tables[key])
    if all(type(cell) is not Lanes for cell in cells):
        num = np.array([p[0] + (offset if p[2] == TEXT else 0) for p, offset in zip(split, offsets)])[places]
        codes = np.array([p[1] or 0 for p in split], np.uint8)[places]
        kind = np.array([p[2] for p in split], np.uint8)[places]
    else:
        num, codes, kind = np.empty(n), np.zeros(n, np.uint8), np.zeros(n, np.uint8)
        for i, (p, offset) in enumerate(zip(split, offsets)):
            here = np.flatnonzero(places == i)
            if not here.size:
                continue
            for target, source in ((num, p[0]), (codes, 0 if p[1] is None else p[1]), (kind, p[2])):
                target[here] = source[here] if isinstance(source, np.ndarray) else source
            if offset:
                here = here[kind[here] == TEXT]
                num[here] += offset
    if err is not None:
        codes = np.where(err > 0, err, codes)
    num = np.where(codes > 0, nan, num)
    return tidy(num, codes, kind, table or None)


# -- lifting a function of plain values ----------------------------------------------------------------


def lifted(plain):
    """A function of plain values (and areas of plain values) made to work on lanes too."""

    def call(*args):
        n = lanes_in(*args)
        if n is None:
            return plain(*args)
        varying = [arg for arg in args if type(arg) is Lanes]
        if len(varying) == 1 and lanes_in(*(a for a in args if type(a) is Area)) is None:
            only = varying[0]
            if only.kind is TEXT and len(only.table) < n:
                results = [plain(*(word if arg is only else arg for arg in args)) for word in only.table]
                places = np.where(np.isnan(only.num), 0.0, only.num).astype(np.intp)
                return gather(results, places, only.err)
        return from_python([plain(*row) for row in zip(*(_each(arg, n) for arg in args))])

    return call


def _each(arg, n):
    if type(arg) is Lanes:
        return arg.python()
    if type(arg) is Area and lanes_in(arg) is not None:
        columns = [[_each(cell, n) for cell in row] for row in arg.rows]
        return [Area([[cell[i] for cell in row] for row in columns]) for i in range(n)]
    return [arg] * n
