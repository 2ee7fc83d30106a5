"""The ordinary worksheet functions the engine evaluates: `TABLE`, one entry for each, and nothing else.

Every function takes values (see `lanes`) and gives a value. What stands where:

- kind "v": one value is wanted;
- kind "r": a range is taken as it is; text and booleans inside it are skipped, but given directly they count;
- kind "a": as "r", and an expression of ranges is worked out element by element, as in SUMPRODUCT;
- kind "c": cells are wanted, nothing else will do.

Functions for which the compiler decides what is evaluated, such as IF, join the table in `forms`.

Behaviour follows Microsoft's function reference; where that is silent, what formulon 0.18.0 and LibreOffice
7.4 agree on. Functions are called within `numpy.errstate(all="ignore")`.
"""

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from functools import lru_cache
from math import inf, nan, pi

import numpy as np

from . import lanes as ln
from .formula import Refused
from .lanes import BLANK, BOOLEAN, DIV0, NA, NUM, NUMBER, REF, TEXT, VALUE, Area, ExcelError, Lanes, number, settled

MANY = 255  # arguments a worksheet function may take
LONGEST_TEXT = 32_767  # characters in a cell (Microsoft, "Excel specifications and limits")


@dataclass(frozen=True)
class Entry:
    """A function: how many arguments it takes, what kinds they are, and its `call`, or its `form` (see `forms`)."""

    least: int
    most: int
    kinds: str
    call: object = None
    repeats: int = 1  # how many of the last kinds repeat where there are more arguments
    form: object = None

    def kind(self, i):
        if i < len(self.kinds):
            return self.kinds[i]
        tail = self.kinds[-self.repeats :]
        return tail[(i - len(self.kinds)) % self.repeats]


TABLE = {}


def _declare(name, least, most, kinds, call=None, repeats=1):
    TABLE[name] = Entry(least, most, kinds, call, repeats)


def _merged_errors(args):
    """(codes, error): leftmost error codes by lane, or the error all lanes have."""
    err = None
    for arg in args:
        if type(arg) is ExcelError:
            return None, arg if err is None else ln.failed(arg, err, len(err))
        if type(arg) is Lanes and arg.err is not None:
            err = ln.leftmost(err, arg.err)
    return err, None


# -- numbers -------------------------------------------------------------------------------------------


def _of_numbers(core):
    """A worksheet function from one of floats or arrays that gives a result, or a result and error codes."""

    def call(*args):
        args = [number(arg) for arg in args]
        err, error = _merged_errors(args)
        if error is not None:
            return error
        result = core(*(arg.num if type(arg) is Lanes else arg for arg in args))
        if type(result) is tuple:
            return _settled_pair(*result, err)
        return settled(result, err)

    return call


def _settled_pair(result, codes, err):
    if np.ndim(result) or np.ndim(codes):
        shape = np.broadcast_shapes(np.shape(result), np.shape(codes))
        return settled(np.array(np.broadcast_to(result, shape), float), err, np.broadcast_to(codes, shape))
    return settled(float(result), None, int(codes))


def _code(condition, error):
    return np.where(condition, np.uint8(error.code), np.uint8(0))


_SLACK = 2.0**-50  # what a double is short of 15 decimal digits, as a part of the number


def _half_up(t):
    return np.floor(t + 0.5 + t * _SLACK)


def _down(t):
    return np.floor(t + t * _SLACK)


def _up(t):
    return np.ceil(t - t * _SLACK)


def _rounding(rounder):
    def core(x, digits=0.0):
        digits = np.clip(np.trunc(digits), -300.0, 300.0)
        scale = _power_of_ten(np.abs(digits))
        if not np.ndim(digits):
            size = np.abs(x)
            t = size * scale if digits >= 0 else size / scale
            rounded = rounder(t)
            rounded = np.copysign(rounded / scale if digits >= 0 else rounded * scale, x) + 0.0
            large = t >= 1e15
            return np.where(large, x, rounded)[()] if digits >= 0 and np.any(large) else rounded
        size = np.abs(x)
        t = np.where(digits >= 0, size * scale, size / scale)
        rounded = rounder(t)
        rounded = np.where(digits >= 0, rounded / scale, rounded * scale)
        return np.where((t < 1e15) | (digits < 0), np.copysign(rounded, x) + 0.0, x)[()]

    return core


def _power_of_ten(digits):
    if np.ndim(digits):
        return np.array([10.0 ** int(d) if d == d else nan for d in digits.tolist()])
    return float(f"1e{int(digits)}")


_ROUND = _rounding(_half_up)


def _mod(x, divisor):
    quotient = x / divisor if np.ndim(divisor) or divisor else np.full(np.shape(x), nan)
    codes = np.where(np.equal(divisor, 0.0), np.uint8(DIV0.code), _code(np.abs(quotient) >= 1.1259e12, NUM))
    return x - divisor * np.floor(quotient), codes


def _to_multiple(rounder, zero_is_error):
    def core(x, step=1.0):
        safe = np.where(np.equal(step, 0.0), 1.0, step)
        quotient = x / safe
        result = np.where(np.equal(step, 0.0), 0.0, rounder(quotient) * safe)
        codes = _code((x > 0) & (np.asarray(step) < 0), NUM)
        if zero_is_error:
            codes = np.where(np.equal(step, 0.0) & np.not_equal(x, 0.0), np.uint8(DIV0.code), codes)
        return result, codes

    return core


def _mround(x, step):
    safe = np.where(np.equal(step, 0.0), 1.0, step)
    result = np.where(np.equal(step, 0.0), 0.0, np.floor(np.abs(x / safe) + 0.5) * np.abs(safe) * np.sign(x))
    return result, _code(np.multiply(np.sign(x), np.sign(step)) < 0, NUM)


def _even(x):
    return np.copysign(2.0 * np.ceil(np.abs(x) / 2.0), x) + 0.0


def _odd(x):
    size = np.abs(x)
    return np.where(np.equal(x, 0.0), 1.0, np.copysign(2.0 * np.ceil((size + 1.0) / 2.0) - 1.0, x))[()]


def _log(x, base=10.0):
    if np.ndim(base) == 0 and base in (10.0, 2.0):
        return np.log10(x) if base == 10.0 else np.log2(x)
    codes = np.where(np.equal(base, 1.0), np.uint8(DIV0.code), _code(np.asarray(base) <= 0, NUM))
    return np.log(x) / np.log(base), codes


def _atan2(x, y):
    return np.arctan2(y, x), _code(np.equal(x, 0.0) & np.equal(y, 0.0), DIV0)


for _name, _core, _least, _most in [
    ("ABS", np.abs, 1, 1),
    ("SIGN", np.sign, 1, 1),
    ("SQRT", np.sqrt, 1, 1),
    ("EXP", np.exp, 1, 1),
    ("LN", np.log, 1, 1),
    ("LOG10", np.log10, 1, 1),
    ("LOG", _log, 1, 2),
    ("INT", np.floor, 1, 1),
    ("EVEN", _even, 1, 1),
    ("ODD", _odd, 1, 1),
    ("MOD", _mod, 2, 2),
    ("ROUND", _ROUND, 2, 2),
    ("ROUNDUP", _rounding(_up), 2, 2),
    ("ROUNDDOWN", _rounding(_down), 2, 2),
    ("TRUNC", _rounding(_down), 1, 2),
    ("MROUND", _mround, 2, 2),
    ("CEILING", _to_multiple(lambda q: np.ceil(q - np.abs(q) * _SLACK), False), 2, 2),
    ("FLOOR", _to_multiple(lambda q: np.floor(q + np.abs(q) * _SLACK), True), 2, 2),
    ("SIN", np.sin, 1, 1),
    ("COS", np.cos, 1, 1),
    ("TAN", np.tan, 1, 1),
    ("ASIN", np.arcsin, 1, 1),
    ("ACOS", np.arccos, 1, 1),
    ("ATAN", np.arctan, 1, 1),
    ("ATAN2", _atan2, 2, 2),
    ("SINH", np.sinh, 1, 1),
    ("COSH", np.cosh, 1, 1),
    ("TANH", np.tanh, 1, 1),
    ("RADIANS", np.radians, 1, 1),
    ("DEGREES", np.degrees, 1, 1),
]:
    _declare(_name, _least, _most, "v", _of_numbers(_core))
_declare("POWER", 2, 2, "v", ln.power)
_declare("PI", 0, 0, "", lambda: pi)


# -- numbers in ranges ---------------------------------------------------------------------------------


def _numbers(args):
    """([(number or array, None or array of where it counts)], error): the numbers aggregates work on.

    `error` is None, an `ExcelError`, or an array of codes.
    """
    found, err = [], None
    for num, mask, codes in _with_errors(args):
        if isinstance(codes, int):
            return found, ln.error_of(codes) if err is None else np.where(err > 0, err, np.uint8(codes))
        if codes is not None:
            err = ln.leftmost(err, codes)
        if mask is not False:
            found.append((num, mask))
    return found, err


def _with_errors(args):
    for arg in args:
        if type(arg) is not Area:
            value = number(arg)
            yield (
                (nan, None, value.code)
                if type(value) is ExcelError
                else ((value.num, None, value.err) if type(value) is Lanes else (value, None, None))
            )
            continue
        for row in arg.rows:
            for cell in row:
                kind = type(cell)
                if kind is float:
                    yield cell, None, None
                elif kind is ExcelError:
                    yield nan, None, cell.code
                elif kind is Lanes:
                    if type(cell.kind) is int:
                        yield cell.num, (None if cell.kind == NUMBER else False), cell.err
                    else:
                        yield cell.num, cell.kind == NUMBER, cell.err


def _ended(result, err, codes=None):
    """An aggregate's result with the errors of its numbers."""
    if type(err) is ExcelError:
        return err
    if err is not None and not np.ndim(result):
        result = np.full(len(err), result)
    if codes is not None:
        return _settled_pair(result, codes, err)
    return settled(np.array(result) if np.ndim(result) else result, err)


def _total(found):
    total = 0.0
    for num, mask in found:
        total = total + (num if mask is None else np.where(mask, num, 0.0))
    return total


def _count(found):
    count = 0.0
    for _, mask in found:
        count = count + (1.0 if mask is None else mask)
    return count


def _sum(*args):
    found, err = _numbers(args)
    return _ended(_total(found), err)


def _product(*args):
    found, err = _numbers(args)
    product = 1.0
    for num, mask in found:
        product = product * (num if mask is None else np.where(mask, num, 1.0))
    return _ended(_unless_none(product, found), err)


def _unless_none(result, found):
    """`result`, 0 where no number was found."""
    if not any(mask is None for _, mask in found):
        return np.where(np.equal(_count(found), 0.0), 0.0, result)[()]
    return result


def _average(*args):
    found, err = _numbers(args)
    return _ended(*_mean(found, err))


def _mean(found, err):
    count = _count(found)
    total = _total(found)
    if not np.ndim(count):
        return (total / count, err) if count else (0.0, err, DIV0.code)
    return np.asarray(total / np.where(count == 0, 1.0, count)), err, _code(count == 0, DIV0)


def _extreme(pick, worst):
    def call(*args):
        found, err = _numbers(args)
        if err is None and found and all(mask is None for _, mask in found):
            best = found[0][0]
            for num, _ in found[1:]:
                best = pick(best, num)
            return Lanes(best) if np.ndim(best) else float(best)
        best = worst
        for num, mask in found:
            best = pick(best, num if mask is None else np.where(mask, num, worst))
        return _ended(_unless_none(best, found), err)

    return call


def _stacked(plain):
    """An aggregate that needs all numbers at once: `plain(array (m,) or (m, N), *more)`, or an error.

    More arguments, such as k of LARGE, come after the range.
    """

    def direct(found, err, more):
        if type(err) is ExcelError:
            return err
        more = [number(item) for item in more]
        more_err, error = _merged_errors(more)
        if error is not None:
            return error if err is None or type(error) is Lanes else ln.failed(error, err, len(err))
        err = ln.leftmost(err, more_err)
        more = [item.num if type(item) is Lanes else item for item in more]
        shape = np.broadcast_shapes(*(np.shape(num) for num, _ in found), *(np.shape(item) for item in more))
        rows = np.array([np.broadcast_to(num, shape) for num, _ in found]) if found else np.empty((0, *shape))
        return _ended(*_with_err(plain(rows, *more), err))

    def one(*args, more=0):
        split = len(args) - more
        found, err = _numbers(args[:split])
        return direct(found, err, args[split:])

    def call(*args, more=0):
        split = len(args) - more
        found, err = _numbers(args[:split])
        if all(mask is None for _, mask in found):
            return direct(found, err, args[split:])
        return ln.lifted(lambda *row: one(*row, more=more))(*args)

    return call


def _with_err(result, err):
    return (result[0], err, result[1]) if type(result) is tuple else (result, err)


def _deviation(rows):
    if len(rows) < 2:
        return 0.0, DIV0.code
    mean = _total([(row, None) for row in rows]) / len(rows)
    return np.sqrt(_total([((row - mean) ** 2, None) for row in rows]) / (len(rows) - 1))


def _median(rows):
    return np.median(rows, axis=0) if len(rows) else (0.0, NUM.code)


def _nth(largest):
    def plain(rows, k):
        if not len(rows):
            return 0.0, NUM.code
        fine = k <= len(rows)
        k = np.ceil(k) if largest else np.floor(k)
        fine = fine & (k >= 1)
        rank = np.where(fine, k, 1.0).astype(int)
        rows = np.sort(rows, axis=0)
        place = len(rows) - rank if largest else rank - 1
        picked = rows[place] if rows.ndim == 1 else rows[place, np.arange(rows.shape[1])]
        return picked, _code(~fine, NUM)

    call = _stacked(plain)
    return lambda *args: call(*args, more=1)


def _counting(of_area, of_value):
    """COUNT, COUNTA: how many cells of ranges, and values given directly, count."""

    def call(*args):
        count = 0.0
        for arg in args:
            for cell in arg.cells() if type(arg) is Area else [arg]:
                test = of_area if type(arg) is Area else of_value
                count = count + test(cell)
        return _plain_or_lanes(count)

    return call


def _plain_or_lanes(count):
    return Lanes(np.array(count, float)) if np.ndim(count) else float(count)


def _is(kind):
    """A test of one value for being of this kind and no error: a bool or an array."""
    plain = {NUMBER: float, TEXT: str, BOOLEAN: bool, BLANK: type(None)}[kind]

    def test(value):
        if type(value) is Lanes:
            found = np.broadcast_to(np.equal(value.kind, kind), len(value))
            return found if value.err is None else found & (value.err == 0)
        return type(value) is plain

    return test


def _is_error(value):
    if type(value) is Lanes:
        return np.zeros(len(value), bool) if value.err is None else value.err > 0
    return type(value) is ExcelError


def _counts_as_number(value):
    value = number(value)
    return ~_is_error(value) if type(value) is Lanes else type(value) is float


def _not_blank(value):
    found = _is(BLANK)(value)
    return ~found if isinstance(found, np.ndarray) else not found


def _looks_blank(value):
    """Blank or "": what COUNTBLANK counts."""
    if type(value) is not Lanes:
        return value is None or value == ""
    found = _is(BLANK)(value)
    if value.table:
        empty = np.array([item == "" for item in value.table])
        places = np.where(_is(TEXT)(value), value.num, 0.0).astype(np.intp)
        found = found | (_is(TEXT)(value) & empty[places])
    return found


def _sumproduct(*args):
    areas = [arg if type(arg) is Area else Area([[arg]]) for arg in args]
    if len({area.shape for area in areas}) > 1:
        return VALUE
    err, error = _merged_errors(cell for area in areas for cell in area.cells())
    if error is not None:
        return error
    total = 0.0
    for group in zip(*(area.cells() for area in areas)):
        product = 1.0
        for cell in group:
            if type(cell) is Lanes:
                counts = cell.kind == NUMBER
                product = product * (cell.num if counts is True else np.where(counts, cell.num, 0.0))
            else:
                product = product * (cell if type(cell) is float else 0.0)
        total = total + product
    return _ended(total, err)


_declare("SUM", 1, MANY, "r", _sum)
_declare("PRODUCT", 1, MANY, "r", _product)
_declare("AVERAGE", 1, MANY, "r", _average)
_declare("MIN", 1, MANY, "r", _extreme(np.minimum, inf))
_declare("MAX", 1, MANY, "r", _extreme(np.maximum, -inf))
_declare("MEDIAN", 1, MANY, "r", _stacked(_median))
_declare("STDEV", 1, MANY, "r", _stacked(_deviation))
_declare("STDEV.S", 1, MANY, "r", _stacked(_deviation))
_declare("LARGE", 2, 2, "rv", _nth(True))
_declare("SMALL", 2, 2, "rv", _nth(False))
_declare("COUNT", 1, MANY, "r", _counting(_is(NUMBER), _counts_as_number))
_declare("COUNTA", 1, MANY, "r", _counting(_not_blank, lambda value: 1.0))
_declare("COUNTBLANK", 1, 1, "c", _counting(_looks_blank, _looks_blank))
_declare("SUMPRODUCT", 1, MANY, "a", _sumproduct)


# -- conditions ----------------------------------------------------------------------------------------


def _all_or_any(combine, neutral):
    def call(*args):
        result, err, seen = neutral, None, False
        for arg in args:
            inside = type(arg) is Area
            for cell in arg.cells() if inside else [arg]:
                if inside and type(cell) in (str, type(None)):
                    continue
                value, counts = _condition(cell, inside)
                if type(value) is ExcelError:
                    return value if err is None else ln.failed(value, err, len(err))
                if type(value) is Lanes:
                    err = ln.leftmost(err, value.err)
                    value = value.num if counts is None else np.where(counts, value.num, neutral)
                result = value if result is neutral else combine(result, value)
                seen = True if counts is None else np.logical_or(seen, counts)
        if seen is False:
            return VALUE
        if seen is not True and not np.all(seen):
            err = ln.leftmost(err, _code(~seen, VALUE))
        if np.ndim(result) or err is not None:
            if not np.ndim(result):
                result = np.full(len(err), result)
            return Lanes(result, err, BOOLEAN)
        return bool(result)

    return call


def _condition(cell, inside):
    """(condition, where it counts): text and blanks inside a range do not count."""
    if inside and type(cell) is Lanes and not (type(cell.kind) is int and cell.kind in (NUMBER, BOOLEAN)):
        counts = np.broadcast_to(np.isin(cell.kind, (NUMBER, BOOLEAN)), len(cell))
        return Lanes(np.where(counts, cell.num, 0.0) != 0.0, cell.err, BOOLEAN), counts
    return ln.truth(cell), None


def _not(value):
    value = ln.truth(value)
    if type(value) is Lanes:
        return Lanes(~value.num, value.err, BOOLEAN)
    return value if type(value) is ExcelError else not value


_declare("AND", 1, MANY, "r", _all_or_any(np.logical_and, True))
_declare("OR", 1, MANY, "r", _all_or_any(np.logical_or, False))
_declare("XOR", 1, MANY, "r", _all_or_any(np.logical_xor, False))
_declare("NOT", 1, 1, "v", _not)
_declare("TRUE", 0, 0, "", lambda: True)
_declare("FALSE", 0, 0, "", lambda: False)
_declare("NA", 0, 0, "", lambda: NA)


def _tester(test):
    def call(value):
        found = test(value)
        return Lanes(np.array(found), None, BOOLEAN) if isinstance(found, np.ndarray) else bool(found)

    return call


def _is_na(value):
    if type(value) is Lanes:
        return np.zeros(len(value), bool) if value.err is None else value.err == NA.code
    return value is NA


def _negated(test):
    def call(value):
        found = test(value)
        return ~found if isinstance(found, np.ndarray) else not found

    return call


def _is_err(value):
    return _is_error(value) & _negated(_is_na)(value)


def _n(value):
    if type(value) is Lanes:
        if value.kind is NUMBER:
            return value
        keeps = np.broadcast_to(np.isin(value.kind, (NUMBER, BOOLEAN)), len(value))
        num = np.where(keeps, value.num, 0.0)
        return Lanes(num if value.err is None else np.where(value.err > 0, nan, num), value.err)
    return value if type(value) in (float, ExcelError) else 1.0 if value is True else 0.0


_declare("ISNUMBER", 1, 1, "v", _tester(_is(NUMBER)))
_declare("ISTEXT", 1, 1, "v", _tester(_is(TEXT)))
_declare("ISNONTEXT", 1, 1, "v", _tester(_negated(_is(TEXT))))
_declare("ISLOGICAL", 1, 1, "v", _tester(_is(BOOLEAN)))
_declare("ISBLANK", 1, 1, "v", _tester(_is(BLANK)))
_declare("ISERROR", 1, 1, "v", _tester(_is_error))
_declare("ISERR", 1, 1, "v", _tester(_is_err))
_declare("ISNA", 1, 1, "v", _tester(_is_na))
_declare("N", 1, 1, "v", _n)


# -- criteria: COUNTIF and its kin ---------------------------------------------------------------------

_CRITERION = re.compile(r"(<=|>=|<>|<|>|=)?(.*)", re.DOTALL)


@lru_cache(4096)
def pattern(word):
    """A text with the wildcards * ? ~ as a compiled pattern of whole folded texts."""
    parts, i = [], 0
    while i < len(word):
        c = word[i]
        if c == "~" and i + 1 < len(word) and word[i + 1] in "*?~":
            i += 1
            parts.append(re.escape(ln.fold(word[i])))
        else:
            parts.append(".*" if c == "*" else "." if c == "?" else re.escape(ln.fold(c)))
        i += 1
    return re.compile("".join(parts), re.DOTALL)


def _like(word, cell):
    return pattern(word).fullmatch(ln.fold(cell)) is not None


@lru_cache(4096)
def _read_criterion(word):
    """(sign, operand) of a criterion given as text; the sign is "" where none is written."""
    sign, rest = _CRITERION.fullmatch(word).groups()
    sign = sign or ""
    found = ln.number_from_text(rest)
    if found is not None:
        return sign, found
    if rest.upper() in ("TRUE", "FALSE"):
        return sign, rest.upper() == "TRUE"
    if rest.upper() in ExcelError.TEXTS[1:]:
        return sign, ExcelError(rest.upper())
    return sign, rest


def _criterion(value):
    """(sign, operand) of a criterion; the operand may be numeric lanes."""
    if type(value) is str:
        return _read_criterion(value)
    if value is None:
        return "", 0.0
    if type(value) is Lanes and type(value.kind) is int and value.err is None:
        if value.kind == TEXT:
            readings = [_read_criterion(word) for word in value.table]
            if len({sign for sign, _ in readings}) == 1 and all(type(x) is float for _, x in readings):
                places = np.where(np.isnan(value.num), 0.0, value.num).astype(np.intp)
                return readings[0][0], Lanes(np.array([x for _, x in readings])[places])
        elif value.kind == NUMBER:
            return "", value
        return None
    return None if type(value) is Lanes else ("", value)


def _meets_plain(cell, sign, operand):
    """Does a plain cell meet a criterion with a plain operand?"""
    if sign in ("", "=", "<>"):
        if operand == "" and type(operand) is str:
            equal = cell is None if sign else cell is None or cell == ""
        elif type(operand) is str:
            equal = type(cell) is str and _like(operand, cell)
        elif type(operand) is float:
            value = ln.number_from_text(cell) if type(cell) is str and sign != "<>" else cell
            equal = type(value) is float and value == operand
        else:
            equal = type(cell) is type(operand) and cell == operand
        return not equal if sign == "<>" else equal
    if type(cell) is not type(operand) or type(cell) is ExcelError:
        return False
    order = _exact_order(cell, operand)
    return {"<": order < 0, ">": order > 0, "<=": order <= 0, ">=": order >= 0}[sign]


_COMPARE = {
    "": np.equal,
    "=": np.equal,
    "<>": np.not_equal,
    "<": np.less,
    ">": np.greater,
    "<=": np.less_equal,
    ">=": np.greater_equal,
}


def _meets(cell, sign, operand):
    """The same for lanes: a bool or an array of bool. `operand` is plain or numeric lanes."""
    if type(cell) is not Lanes and type(operand) is not Lanes:
        return _meets_plain(cell, sign, operand)
    if type(operand) in (float, Lanes):
        if type(cell) is float or (type(cell) is Lanes and cell.kind is NUMBER):
            numbers = (value.num if type(value) is Lanes else value for value in (cell, operand))
            found, err = _COMPARE[sign](*numbers), ln.errors_of(cell)
            return found if err is None else np.where(err > 0, sign == "<>", found)
        if type(cell) is not Lanes and type(cell) is not str:
            return sign == "<>"
    found = ln.lifted(_meets_plain)(cell_without_errors(cell), sign, operand)
    if type(found) is not Lanes:
        return found
    err = ln.errors_of(cell)
    if err is None:
        return found.num
    if type(operand) is ExcelError and sign in ("", "=", "<>"):
        return np.where(err > 0, (err == operand.code) != (sign == "<>"), found.num)
    return np.where(err > 0, sign == "<>", found.num)


def cell_without_errors(cell):
    """Lanes with blanks where they hold errors; criteria look at errors apart."""
    if type(cell) is not Lanes or cell.err is None:
        return cell
    kind = np.where(cell.err > 0, np.uint8(BLANK), np.uint8(cell.kind))
    return ln.tidy(np.where(cell.err > 0, 0.0, cell.num), None, kind, cell.table)


def _matches(pairs):
    """(error, [where each cell meets all criteria]) of (range, criterion) pairs; the error may be lanes."""
    shapes = {area.shape for area, _ in pairs}
    if len(shapes) > 1:
        return VALUE, None
    masks = [True] * (len(pairs[0][0].rows) * len(pairs[0][0].rows[0]))
    for area, given in pairs:
        read = _criterion(given)
        for i, cell in enumerate(area.cells()):
            if masks[i] is False:
                continue
            met = _meets(cell, *read) if read else _meets_each(cell, given)
            masks[i] = met if masks[i] is True else (False if met is False else np.logical_and(masks[i], met))
    return None, masks


def _meets_each(cell, given):
    """A criterion that differs between lanes in more than its number."""
    n = len(given)
    cells = cell.python() if type(cell) is Lanes else [cell] * n
    criteria = [_criterion(item) for item in given.python()]
    return np.array([_meets_plain(c, *criterion) for c, criterion in zip(cells, criteria)])


def _pairs(args):
    return list(zip(args[::2], args[1::2]))


def _countifs(*args):
    error, masks = _matches(_pairs(args))
    if error is not None:
        return error
    count = 0.0
    for mask in masks:
        count = count + mask
    return _plain_or_lanes(count)


def _picked(target, masks):
    """As `_numbers`, of the cells of `target` where the masks hold."""
    if len(masks) != target.shape[0] * target.shape[1]:
        return [], VALUE
    found, err = [], None
    for cell, mask in zip(target.cells(), masks):
        if mask is False:
            continue
        for num, counts, codes in _with_errors([Area([[cell]])]):
            if codes is not None:
                codes = np.uint8(codes) if mask is True else np.where(mask, np.uint8(codes), np.uint8(0))
                if codes.ndim == 0:
                    return found, ln.error_of(codes) if err is None else np.where(err > 0, err, codes)
                err = ln.leftmost(err, codes)
            if counts is not False:
                both = counts if mask is True else mask if counts is None else counts & mask
                found.append((num, both))
    return found, err


def _over_matches(aggregate):
    """SUMIFS and its kin: the target first, then pairs of range and criterion."""

    def call(target, *args):
        error, masks = _matches(_pairs(args))
        if error is not None:
            return error
        return aggregate(*_picked(target, masks))

    return call


def _best_of(pick, worst):
    def aggregate(found, err):
        best = worst
        for num, mask in found:
            best = pick(best, num if mask is None else np.where(mask, num, worst))
        return _ended(_unless_none(best, found), err)

    return aggregate


_sumifs = _over_matches(lambda found, err: _ended(_total(found), err))
_averageifs = _over_matches(lambda found, err: _ended(*_mean(found, err)))


def _with_target_last(function):
    """SUMIF(range, criterion, [target]); the compiler has given the target the range's size."""
    return lambda area, criterion, target=None: function(area if target is None else target, area, criterion)


_declare("COUNTIF", 2, 2, "cv", _countifs)
_declare("COUNTIFS", 2, 254, "cv", _countifs, repeats=2)
_declare("SUMIF", 2, 3, "cvc", _with_target_last(_sumifs))
_declare("SUMIFS", 3, 255, "ccv", _sumifs, repeats=2)
_declare("AVERAGEIF", 2, 3, "cvc", _with_target_last(_averageifs))
_declare("AVERAGEIFS", 3, 255, "ccv", _averageifs, repeats=2)
_declare("MINIFS", 3, 255, "ccv", _over_matches(_best_of(np.minimum, inf)), repeats=2)
_declare("MAXIFS", 3, 255, "ccv", _over_matches(_best_of(np.maximum, -inf)), repeats=2)


# -- looking up ----------------------------------------------------------------------------------------

_WILD = re.compile(r"[*?~]")


def _find_plain(key, cells, mode):
    """The place of `key` among plain cells, -1 where it is not: MATCH with match type 0, 1 or -1.

    Types 1 and -1 halve the list as Excel does, so an unsorted list gives what halving gives.
    """
    key = 0.0 if key is None else key
    if mode == 0:
        return _find_equal(key, cells, range(len(cells)))
    kind = type(key)
    low, high = 0, len(cells) - 1
    while low <= high:
        middle = (low + high) // 2
        seen = middle
        while seen <= high and type(cells[seen]) is not kind:
            seen += 1
        if seen > high:
            high = middle - 1
            continue
        order = _exact_order(cells[seen], key)
        if order <= 0 if mode > 0 else order > 0:
            low = seen + 1
        else:
            high = middle - 1
    if mode < 0 and low < len(cells) and type(cells[low]) is kind and _exact_order(cells[low], key) == 0:
        return low
    place = low - 1
    while place >= 0 and type(cells[place]) is not kind:
        place -= 1
    return place


def _exact_order(a, b):
    if type(a) is str:
        a, b = ln.fold(a), ln.fold(b)
    return -1 if a < b else 1 if a > b else 0


def _find_equal(key, cells, order, wild=True):
    kind = type(key)
    if kind is str:
        if wild and _WILD.search(key):
            return next((i for i in order if type(cells[i]) is str and _like(key, cells[i])), -1)
        key = ln.fold(key)
        return next((i for i in order if type(cells[i]) is str and ln.fold(cells[i]) == key), -1)
    return next((i for i in order if type(cells[i]) is kind and cells[i] == key), -1)


def _find(key, cells, mode):
    """`_find_plain` for lanes: an int, or an array of them."""
    n = ln.lanes_in(key, Area([cells]))
    if n is None:
        return _find_plain(key, cells, mode)
    key_is_number = type(key) is float or (type(key) is Lanes and key.kind is NUMBER)
    if key_is_number:
        x = key.num if type(key) is Lanes else key
        if mode == 0:
            return _find_equal_number(x, cells, n)
        if all(type(c) is float or (type(c) is Lanes and c.kind is NUMBER and c.err is None) for c in cells):
            return _halve(x, cells, n, mode)
    return _lifted_place(lambda k, area: _find_plain(k, area.cells(), mode), key, cells)


def _lifted_place(find, key, cells):
    """The place a function of plain values finds, an int or an array of them; -1 where the key is an error."""

    def plain(key, area):
        return -1.0 if type(key) is ExcelError else float(find(key, area))

    found = ln.lifted(plain)(key, Area([cells]))
    if type(found) is Lanes:
        return np.where(np.isnan(found.num), -1.0, found.num).astype(np.intp)
    return int(found)


def _find_equal_number(x, cells, n):
    if not any(type(cell) is Lanes for cell in cells):
        places = np.array([i for i, cell in enumerate(cells) if type(cell) is float], np.intp)
        if not places.size:
            return np.full(n, -1, np.intp)
        numbers = np.array([cells[i] for i in places])
        order = np.argsort(numbers, kind="stable")  # of equal numbers the first stays first
        nearest = order[np.minimum(np.searchsorted(numbers[order], x), len(order) - 1)]
        return np.where(numbers[nearest] == x, places[nearest], -1)
    place = np.full(n, -1, np.intp)
    for i in range(len(cells) - 1, -1, -1):
        cell = cells[i]
        if type(cell) is float:
            place[np.equal(x, cell)] = i
        elif type(cell) is Lanes:
            equal = np.equal(x, cell.num) & np.equal(cell.kind, NUMBER)
            place[equal] = i
    return place


def _halve(x, cells, n, mode):
    if mode > 0 and all(type(c) is float for c in cells):
        column = np.array(cells)
        if (np.diff(column) >= 0).all():
            return np.searchsorted(column, np.where(np.isnan(x), -inf, x), side="right") - 1
    column = np.array([np.broadcast_to(c.num if type(c) is Lanes else c, n) for c in cells])
    x = np.broadcast_to(x, n)
    low, high = np.zeros(n, np.intp), np.full(n, len(cells) - 1, np.intp)
    each = np.arange(n)
    while (open_ := low <= high).any():
        middle = np.where(open_, (low + high) // 2, 0)
        seen = column[middle, each]
        before = (seen <= x) if mode > 0 else (seen > x)
        low = np.where(open_ & before, middle + 1, low)
        high = np.where(open_ & ~before, middle - 1, high)
    if mode < 0:
        here = np.minimum(low, len(cells) - 1)
        return np.where((low < len(cells)) & (column[here, each] == x), low, low - 1)
    return low - 1


def _line(area):
    """The cells of one row or one column; None where it has more of both."""
    height, width = area.shape
    return area.cells() if height == 1 or width == 1 else None


def _picks(cells, place, err=None, missing=NA):
    """The cell at `place`, `missing` where that is negative."""
    if not isinstance(place, np.ndarray):
        value = missing if place < 0 else cells[place]
        return value if err is None else ln.with_errors(err, value)
    return ln.gather([missing, *cells], place + 1, err)


def _whole(value):
    """A whole number given as an argument, cut towards zero; an int, an array, or an `ExcelError`."""
    value = number(value)
    if type(value) is float:
        return int(value)
    if type(value) is Lanes:
        return np.where(np.isnan(value.num), 0.0, np.clip(value.num, -1e9, 1e9)).astype(np.intp)
    return value


def _match(key, area, kind=1.0):
    err, error = _merged_errors([key, kind])
    if error is not None:
        return error
    cells = _line(area) if type(area) is Area else [area]
    if cells is None:
        return NA
    kind = number(kind)
    if type(kind) is Lanes:
        return _by_lane(_match, key, area, kind)
    if type(kind) is ExcelError:
        return kind
    place = _find(key, cells, int(np.sign(kind)))
    if not isinstance(place, np.ndarray):
        result = NA if place < 0 else place + 1.0
        return result if err is None else ln.with_errors(err, result)
    err = ln.leftmost(err, _code(place < 0, NA))
    return ln.tidy(np.where(err > 0, nan, place + 1.0), err, NUMBER)


def _by_lane(function, *args):
    return ln.lifted(function)(*args)


def index(area, row, column):
    """INDEX of one cell; `row` or `column` is None where left out."""
    height, width = area.shape
    if column is None and height == 1:
        row, column = 1.0, row
    row, column = (1.0 if row is None else row), (1.0 if column is None else column)
    row, column = number(row), number(column)
    err, error = _merged_errors([row, column])
    if error is not None:
        return error
    row, column = _whole(row), _whole(column)
    low, high = (row < 1) | (column < 1), (row > height) | (column > width)
    negative = (row < 0) | (column < 0)
    if not np.ndim(low) and not np.ndim(high):
        if negative or (low and not high):
            return VALUE
        return REF if high else area.rows[row - 1][column - 1]
    codes = np.where(high & ~negative, np.uint8(REF.code), _code(low, VALUE))
    err = ln.leftmost(err, codes if codes.any() else None)
    place = np.where(low | high, 0, (row - 1) * width + column - 1)
    return ln.gather(area.cells(), place, err)


def _table_lookup(across):
    def call(key, table, number_of, approximate=True):
        table = table if type(table) is Area else Area([[table]])
        approximate = ln.truth(approximate)
        err, error = _merged_errors([key, number_of, approximate])
        if error is not None:
            return error
        if type(approximate) is Lanes:
            return _by_lane(call, key, table, number_of, approximate)
        rows = list(map(list, zip(*table.rows))) if across else table.rows
        number_of = _whole(number_of)
        if type(number_of) is ExcelError:
            return number_of
        width = len(rows[0])
        place = _find(key, [row[0] for row in rows], 1 if approximate else 0)
        if not np.ndim(number_of):
            if number_of < 1 or number_of > width:
                fault = VALUE if number_of < 1 else REF
                return fault if err is None else ln.failed(fault, err, len(err))
            return _picks([row[number_of - 1] for row in rows], place, err)
        codes = np.where(number_of < 1, np.uint8(VALUE.code), _code(number_of > width, REF))
        codes = np.where(codes > 0, codes, _code(np.less(place, 0), NA))
        flat = np.where(codes > 0, 0, place * width + number_of - 1)
        return ln.gather([cell for row in rows for cell in row], flat, ln.leftmost(err, codes))

    return call


def _xlookup(key, among, results, missing=NA, match=0.0, search=1.0):
    among = among if type(among) is Area else Area([[among]])
    results = results if type(results) is Area else Area([[results]])
    match, search = number(match), number(search)
    err, error = _merged_errors([key, match, search])
    if error is not None:
        return error
    cells, answers = _line(among), _line(results)
    if cells is None or answers is None or len(cells) != len(answers):
        return VALUE
    if type(match) is Lanes or type(search) is Lanes:
        return _by_lane(_xlookup, key, among, results, missing, match, search)
    if match not in (-1.0, 0.0, 1.0, 2.0) or search not in (1.0, -1.0):
        return VALUE
    if match == 0.0 and search == 1.0 and type(key) is Lanes and key.kind is NUMBER:
        place = _find(key, cells, 0)
    else:
        place = _lifted_place(lambda k, area: _xfind_plain(k, area.cells(), match, search), key, cells)
    return _picks(answers, place, err, missing)


def _xfind_plain(key, cells, match, search):
    order = range(len(cells)) if search > 0 else range(len(cells) - 1, -1, -1)
    key = 0.0 if key is None else key
    place = _find_equal(key, cells, order, wild=match == 2.0)
    if place >= 0 or match in (0.0, 2.0):
        return place
    best = -1
    for i in order:
        if type(cells[i]) is type(key) and _exact_order(cells[i], key) == match:
            if best < 0 or _exact_order(cells[i], cells[best]) == -match:
                best = i
    return best


_declare("MATCH", 2, 3, "vrv", _match)
_declare("VLOOKUP", 3, 4, "vrvv", _table_lookup(False))
_declare("HLOOKUP", 3, 4, "vrvv", _table_lookup(True))
_declare("XLOOKUP", 3, 6, "vrrvvv", _xlookup)


# -- text ----------------------------------------------------------------------------------------------

_READ = {"t": ln.text, "n": number, "x": lambda value: value}


def _of_texts(plain, kinds):
    """A worksheet function from one of plain values, each read as text (t), as number (n) or as it is (x)."""

    def strict(*args):
        read = []
        for arg, kind in zip(args, kinds):
            value = _READ[kind](arg)
            if type(value) is ExcelError:
                return value
            read.append(value)
        result = plain(*read)
        return VALUE if type(result) is str and len(result) > LONGEST_TEXT else result

    return ln.lifted(strict)


def _left(word, count=1.0):
    return VALUE if int(count) < 0 else word[: int(count)]


def _right(word, count=1.0):
    return VALUE if int(count) < 0 else word[len(word) - min(int(count), len(word)) :]


def _mid(word, start, count):
    return VALUE if start < 1 or int(count) < 0 else word[int(start) - 1 : int(start) - 1 + int(count)]


def _find_text(part, word, start=1.0):
    if start < 1 or int(start) > len(word) + 1:
        return VALUE
    place = word.find(part, int(start) - 1)
    return VALUE if place < 0 else place + 1.0


def _search(part, word, start=1.0):
    if start < 1 or int(start) > len(word) + 1:
        return VALUE
    match = pattern(part).search(ln.fold(word), int(start) - 1)
    return VALUE if match is None else match.start() + 1.0


def _substitute(word, old, new, which=None):
    if old == "":
        return word
    if which is None:
        return word.replace(old, new)
    if which < 1:
        return VALUE
    place = -1
    for _ in range(int(which)):
        place = word.find(old, place + 1 if place < 0 else place + len(old))
        if place < 0:
            return word
    return word[:place] + new + word[place + len(old) :]


def _repeat(word, count):
    return VALUE if int(count) < 0 or len(word) * int(count) > LONGEST_TEXT else word * int(count)


def _concat(*args):
    joined = ""
    for arg in args:
        for cell in arg.cells() if type(arg) is Area else [arg]:
            joined = ln.join(joined, cell)
    return joined


def _textjoin_plain(separator, skip, *args):
    separator, skip = ln.text(separator), ln.truth(skip)
    for value in (separator, skip):
        if type(value) is ExcelError:
            return value
    words = []
    for arg in args:
        for cell in arg.cells() if type(arg) is Area else [arg]:
            word = ln.text(cell)
            if type(word) is ExcelError:
                return word
            if word or not skip:
                words.append(word)
    joined = separator.join(words)
    return VALUE if len(joined) > LONGEST_TEXT else joined


def _value(value):
    return value if type(value) is float else number(value) if type(value) is not bool else VALUE


for _name, _plain, _kinds, _least in [
    ("LEN", lambda word: float(len(word)), "t", 1),
    ("LEFT", _left, "tn", 1),
    ("RIGHT", _right, "tn", 1),
    ("MID", _mid, "tnn", 3),
    ("UPPER", str.upper, "t", 1),
    ("LOWER", str.lower, "t", 1),
    ("TRIM", lambda word: " ".join(piece for piece in word.split(" ") if piece), "t", 1),
    ("EXACT", lambda a, b: a == b, "tt", 2),
    ("FIND", _find_text, "ttn", 2),
    ("SEARCH", _search, "ttn", 2),
    ("SUBSTITUTE", _substitute, "tttn", 3),
    ("REPT", _repeat, "tn", 2),
    ("VALUE", _value, "x", 1),
    ("T", lambda value: value if type(value) is str else "", "x", 1),
]:
    _declare(_name, _least, len(_kinds), "v", _of_texts(_plain, _kinds))
_declare("CONCATENATE", 1, MANY, "v", _concat)
_declare("CONCAT", 1, MANY, "r", _concat)
_declare("TEXTJOIN", 3, MANY, "vvr", ln.lifted(_textjoin_plain))


# -- TEXT ----------------------------------------------------------------------------------------------

_LITERAL = r'(?:"[^"]*"|\\.|[ $+():!^&\'~{}<>=-])*'
_FORMAT = re.compile(
    rf"(?P<before>{_LITERAL})(?P<whole>#,##0|#,###|[#0]+)(?P<point>\.(?P<places>0*#*))?"
    rf"(?P<exponent>[eE][+]0+)?(?P<after>{_LITERAL}%?{_LITERAL})"
)


_WIDE = Context(prec=400)  # room for the largest double written out


def formatter(picture):
    """A function from an array of numbers to their texts in a plain number format; `Refused` for others."""
    if picture.lower() == "general":
        return lambda numbers: [ln.text_from_number(x) for x in numbers.tolist()]
    match = _FORMAT.fullmatch(picture)
    if not match or (match["exponent"] and "," in match["whole"]):
        raise Refused(f"TEXT with the format {picture!r} is not supported")
    before, after = _plain_literal(match["before"]), _plain_literal(match["after"])
    percent = "%" in re.sub(r'"[^"]*"|\\.', "", match["after"])
    places = match["places"] or ""
    least, most = places.count("0"), len(places)
    digits = match["whole"].replace(",", "").count("0")
    plain = digits == 1 and least == most and not (match["point"] and not most)
    spec = f"{',' if ',' in match['whole'] else ''}.{most}f"

    def body(size):
        """A number without sign, already multiplied for per cent, in the format's digits."""
        if match["exponent"]:
            shown = _scientific(size, len(match["whole"]), least, most, len(match["exponent"]) - 2)
            return shown.replace("E", ".E", 1) if match["point"] and not most else shown
        size = size.quantize(Decimal(1).scaleb(-most), ROUND_HALF_UP, _WIDE)
        whole, _, part = f"{size:{spec}}".partition(".")
        whole = whole.lstrip("0").rjust(digits, "0") if digits != 1 or whole == "0" else whole
        return whole + ("." + _trimmed(part, least) if match["point"] else "")

    def careful(x):
        size = abs(Decimal(f"{x:.14e}")) * (100 if percent else 1)
        shown = body(size)
        sign = "-" if x < 0 and re.search("[1-9]", shown.partition("E")[0]) else ""
        return f"{sign}{before}{shown}{after}"

    def show(numbers):
        if not plain or match["exponent"]:
            return [careful(x) for x in numbers.tolist()]
        scaled = numbers * 100.0 if percent else numbers
        rounded = _ROUND(scaled, float(most))
        if before or np.any(np.abs(scaled) * 10.0**most >= 1e15):
            return [careful(x) for x in numbers.tolist()]
        return [f"{x:{spec}}{after}" for x in rounded.tolist()]

    return show


def _plain_literal(piece):
    return re.sub(r'"([^"]*)"|\\(.)', lambda m: m[1] if m[1] is not None else m[2], piece)


def _trimmed(part, least):
    return part[:least] + part[least:].rstrip("0")


def _scientific(size, width, least, most, exponent_digits):
    if size == 0:
        power, mantissa = 0, Decimal(0).quantize(Decimal(1).scaleb(-most))
    else:
        power = size.adjusted() // width * width
        mantissa = size.scaleb(-power).quantize(Decimal(1).scaleb(-most), ROUND_HALF_UP)
        if mantissa.adjusted() >= width:
            power += width
            mantissa = size.scaleb(-power).quantize(Decimal(1).scaleb(-most), ROUND_HALF_UP)
    whole, _, part = f"{mantissa:f}".partition(".")
    part = _trimmed(part, least)
    return f"{whole}{'.' + part if part else ''}E{'-' if power < 0 else '+'}{abs(power):0{exponent_digits}d}"


def formatted(show, value):
    """TEXT of a value with the function `show`."""
    if type(value) is Lanes:
        if value.kind is NUMBER:
            if value.err is None:
                return ln.text_lanes(show(value.num))
            words = show(np.where(value.err > 0, 0.0, value.num))
            return ln.with_errors(value.err, ln.text_lanes(words))
        return ln.lifted(lambda item: formatted(show, item))(value)
    if type(value) in (bool, ExcelError):
        return ln.text(value)
    if type(value) is str:
        found = ln.number_from_text(value)
        return value if found is None else show(np.array([found]))[0]
    return show(np.array([number(value)]))[0]


# -- CONVERT -------------------------------------------------------------------------------------------

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


def converter(source, target):
    """CONVERT between two units, as a function of a value; `Refused` for units it does not know."""
    if source in _TEMPERATURES and target in _TEMPERATURES:
        return _of_numbers(lambda x: _temperature(x, _TEMPERATURES[source], _TEMPERATURES[target]))
    first, second = _unit(source), _unit(target)
    for name, unit in ((source, first), (target, second)):
        if unit is None and name not in _TEMPERATURES:
            raise Refused(f"CONVERT does not know the unit {name!r}")
    if first is None or second is None or first[0] != second[0]:
        return lambda value: value if type(value) is ExcelError else NA
    return _of_numbers(lambda x: x * first[1] / second[1])


def _temperature(x, source, target):
    if source == target:
        return x * 1.0
    kelvin = x if source == "K" else x + 273.15 if source == "C" else (x - 32) / 1.8 + 273.15
    celsius = x if source == "C" else kelvin - 273.15 if source == "K" else (x - 32) / 1.8
    return kelvin if target == "K" else celsius if target == "C" else celsius * 1.8 + 32


# -- what is refused, and why --------------------------------------------------------------------------

_VOLATILE = "it changes at every recalculation"
_DYNAMIC = "it refers to cells known only while calculating"
_SPILLS = "it fills more than one cell"
WHY_REFUSED = {
    **dict.fromkeys(("RAND", "RANDBETWEEN", "RANDARRAY", "NOW", "TODAY", "CELL", "INFO"), _VOLATILE),
    **dict.fromkeys(("OFFSET", "INDIRECT"), _DYNAMIC),
    **dict.fromkeys(("FILTER", "SORT", "SORTBY", "UNIQUE", "SEQUENCE", "TRANSPOSE", "MMULT"), _SPILLS),
}
