"""Functions of many numbers: sums, extremes, counts, medians.

A cell of a range enters as a pair: its number, a float or an array (n,), and where it counts, True or an array of
bool. Text, booleans and blanks of a range do not count.
"""

import operator
from collections.abc import Callable, Iterable
from functools import reduce
from math import inf, nan

import numpy as np

from ..lanes import (
    DIV0,
    NUM,
    NUMBER,
    SOUND,
    VALUE,
    Area,
    Lanes,
    Value,
    as_area,
    cells_of,
    code,
    errors,
    errors_alone,
    leftmost,
    lifted,
    mask,
    settled,
    with_errors,
)
from ..operators import number, plain_number
from .logic import asking, is_number
from .table import worksheet


def both(first: bool | np.ndarray, second: bool | np.ndarray) -> bool | np.ndarray:
    """Where two conditions hold, each True, False or an array (n,) of bool."""
    if first is False or second is False:
        return False
    return second if first is True else first if second is True else np.logical_and(first, second)


def counted(cells: Iterable) -> tuple[list, np.ndarray]:
    """The pairs (number, where it counts) of pairs (cell, where it is asked for), and the mask of errors there."""
    pairs, err = [], SOUND
    for cell, where in cells:
        if where is False:
            continue
        if type(cell) is float:
            pairs.append((cell, where))
            continue
        codes = errors(cell)
        if codes is not SOUND:
            err = leftmost(err, codes if where is True else np.where(where, codes, SOUND))
        if type(cell) is Lanes and cell.only in (NUMBER, None):
            pairs.append((cell.num, both(where, cell.only == NUMBER or cell.kind == NUMBER)))
    return pairs, err


def _numbers(args):
    pairs, err = counted((cell, True) for arg in args for cell in (arg.cells() if type(arg) is Area else [number(arg)]))
    # An error anywhere counts before a text that is no number, which only an argument by itself can be.
    alone = [arg for arg in args if type(arg) not in (Area, float)]
    return pairs, leftmost(errors(*args), err) if alone else err


def _sum(values):
    # Added one after the other, as Excel does: Python's own sum makes up for rounding, and numpy's adds in pairs.
    return reduce(operator.add, values, 0.0)


def _where(num, where, otherwise):
    return num if where is True else np.where(where, num, otherwise)


def _count(pairs):
    return _sum(1.0 if where is True else where for _, where in pairs)


def total(pairs: list, err: np.ndarray) -> Value:
    """SUM of pairs (number, where it counts)."""
    return settled(_sum(_where(num, where, 0.0) for num, where in pairs), err)


def mean(pairs: list, err: np.ndarray) -> Value:
    """AVERAGE of pairs (number, where it counts)."""
    count, result = _count(pairs), _sum(_where(num, where, 0.0) for num, where in pairs)
    return settled(result / np.maximum(count, 1.0), err, code(np.equal(count, 0.0), DIV0))


def reduced(combine: np.ufunc, neutral: float) -> Callable:
    """The aggregate of pairs (number, where it counts) that combines all numbers; 0 where there is none."""

    def call(pairs, err):
        result = neutral
        for num, where in pairs:
            result = combine(result, _where(num, where, neutral))
        count = _count(pairs)
        if not np.ndim(count):
            return settled(result if count else 0.0, err)
        return settled(np.where(count == 0, 0.0, result), err)

    return call


smallest, greatest = reduced(np.minimum, inf), reduced(np.maximum, -inf)
for _name, _aggregate in {
    "SUM": total,
    "AVERAGE": mean,
    "PRODUCT": reduced(np.multiply, 1.0),
    "MIN": smallest,
    "MAX": greatest,
}.items():
    worksheet(_name, "(r)+")(lambda *args, aggregate=_aggregate: aggregate(*_numbers(args)))


# -- all numbers at once -------------------------------------------------------------------------------


def _of_rows(plain: Callable, more: int = 0) -> Callable:
    """An aggregate of all numbers at once; the last `more` arguments are no part of them, such as k of LARGE.

    `plain(rows, *more)` takes an array (m,), or (m, n) for n lanes, and floats or arrays (n,). It gives a number or an
    array (n,), and a mask of errors.
    """

    def call(*args):
        last = len(args) - more
        pairs, err = _numbers(args[:last])
        if not all(where is True for _, where in pairs):
            return one_by_one(*args)
        rest = [number(arg) for arg in args[last:]]
        err = leftmost(err, errors(*rest))
        if err.all():
            return settled(nan, err)
        numbers = [num for num, _ in pairs] + [arg.num if type(arg) is Lanes else arg for arg in rest]
        rows = np.broadcast_arrays(*numbers) if numbers else []
        result, codes = plain(np.array(rows[: len(pairs)]), *numbers[len(pairs) :])
        return settled(result, err, codes)

    one_by_one = lifted(call)
    return call


@worksheet("MEDIAN", "(r)+")
@_of_rows
def _median(rows):
    return (np.median(rows, axis=0), SOUND) if len(rows) else (0.0, mask(NUM.code))


@worksheet("STDEV", "(r)+")
@worksheet("STDEV.S", "(r)+")
@_of_rows
def _deviation(rows):
    if len(rows) < 2:
        return 0.0, mask(DIV0.code)
    average = _sum(rows) / len(rows)
    return np.sqrt(_sum((rows - average) ** 2) / (len(rows) - 1)), SOUND


def _ranked(largest):
    """LARGE or SMALL: the number of rank k, counted from 1."""

    def plain(rows, k):
        if not len(rows):
            return 0.0, mask(NUM.code)
        rank = np.ceil(k) if largest else np.floor(k)
        fine = (k <= len(rows)) & np.greater_equal(k, 1)
        rank = np.where(fine, rank, 1.0).astype(int)
        index = len(rows) - rank if largest else rank - 1
        rows = np.sort(rows, axis=0)
        return rows[index] if rows.ndim == 1 else rows[index, np.arange(rows.shape[1])], code(~fine, NUM)

    return _of_rows(plain, 1)


worksheet("LARGE", "rv")(_ranked(True))
worksheet("SMALL", "rv")(_ranked(False))


# -- counting ------------------------------------------------------------------------------------------


def _counting(of_cell, of_value):
    """How many cells of ranges, and values that are arguments by themselves, meet their test."""

    def call(*args):
        met = [(of_cell if type(arg) is Area else of_value)(cell) for arg in args for cell in cells_of(arg)]
        return settled(_sum(value.num if type(value) is Lanes else value for value in met))

    return call


_has_number = asking(lambda value: type(plain_number(value)) is float)
_is_filled = asking(lambda value: value is not None)
_looks_blank = asking(lambda value: value is None or value == "")
worksheet("COUNT", "(r)+")(_counting(is_number, _has_number))
worksheet("COUNTA", "(r)+")(_counting(_is_filled, lambda value: 1.0))
worksheet("COUNTBLANK", "c")(_counting(_looks_blank, _looks_blank))


@worksheet("SUMPRODUCT", "(a)+")
def _sumproduct(*args):
    areas = [as_area(arg) for arg in args]
    if len({area.shape for area in areas}) > 1:
        return with_errors(errors_alone(*args), VALUE)
    result = 0.0
    for group in zip(*(area.cells() for area in areas), strict=True):
        product = 1.0
        for cell in group:
            if type(cell) is Lanes:
                product = product * np.where(cell.kind == NUMBER, cell.num, 0.0)
            else:
                product = product * (cell if type(cell) is float else 0.0)
        result = result + product
    return settled(result, errors(*areas))
