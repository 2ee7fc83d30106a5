"""MATCH and its kin: functions that look for a value among cells.

The index of a cell is counted from 0, -1 where no cell fits; it is an int, or an array (n,) where lanes differ.
"""

import re
from math import nan

import numpy as np

from ..lanes import (
    NA,
    NUMBER,
    REF,
    VALUE,
    Area,
    ExcelError,
    Lanes,
    Value,
    as_area,
    code,
    errors,
    errors_alone,
    gather,
    lanes_in,
    leftmost,
    lifted,
    settled,
    with_errors,
)
from ..operators import exact_order, number, truth
from .criteria import like
from .table import worksheet

_WILD = re.compile(r"[*?~]")


# -- where a key stands --------------------------------------------------------------------------------


def _plain_find(key, cells, mode):
    """The index of `key` among plain cells: MATCH with match type 0, 1 or -1.

    Types 1 and -1 halve the list as Excel does, so an unsorted list gives what halving gives.
    """
    if mode == 0:
        return _equal(key, cells, range(len(cells)))
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
        order = exact_order(cells[seen], key)
        if order <= 0 if mode > 0 else order > 0:
            low = seen + 1
        else:
            high = middle - 1
    if mode < 0 and low < len(cells) and type(cells[low]) is kind and exact_order(cells[low], key) == 0:
        return low
    index = low - 1
    while index >= 0 and type(cells[index]) is not kind:
        index -= 1
    return index


def _equal(key, cells, order, wild=True):
    kind = type(key)
    if kind is str and wild and _WILD.search(key):
        return next((i for i in order if type(cells[i]) is str and like(key, cells[i])), -1)
    return next((i for i in order if type(cells[i]) is kind and exact_order(cells[i], key) == 0), -1)


def _nearest(key, cells, match, search):
    """XLOOKUP's index: match 0 equal, 2 with wildcards, -1 or 1 else the next smaller or greater."""
    order = range(len(cells)) if search > 0 else range(len(cells) - 1, -1, -1)
    index = _equal(key, cells, order, wild=match == 2.0)
    if index >= 0 or match in (0.0, 2.0):
        return index
    best = -1
    for i in order:
        fits = type(cells[i]) is type(key) and exact_order(cells[i], key) == match
        if fits and (best < 0 or exact_order(cells[i], cells[best]) == -match):
            best = i
    return best


def _index_of(find, key, cells, *more):
    """The index that `find(key, cells, *more)`, a function of plain values, gives."""

    def plain(key, area):
        # A blank cell is looked for in vain: it is not the 0 that may stand in the list.
        return -1.0 if key is None or type(key) is ExcelError else float(find(key, area.cells(), *more))

    result = lifted(plain)(key, Area([cells]))
    return result.num.astype(np.intp) if type(result) is Lanes else int(result)


def _find(key, cells, mode):
    """As `_plain_find`, for lanes too. Numbers, which a sweep looks up in all lanes, are looked for in all at once."""
    n = lanes_in(key, *cells)
    if n is not None and (type(key) is float or (type(key) is Lanes and key.only == NUMBER)):
        x = np.broadcast_to(key.num if type(key) is Lanes else key, n)
        if mode == 0:
            return _equal_numbers(x, cells)
        if all(type(c) is float or (type(c) is Lanes and c.only == NUMBER and c.sound) for c in cells):
            return _halved(x, cells, mode)
    return _index_of(_plain_find, key, cells, mode)


def _equal_numbers(x, cells):
    """Where the numbers x (n,) stand among cells; of equal cells the first."""
    if lanes_in(*cells) is None:
        which = np.array([i for i, cell in enumerate(cells) if type(cell) is float], np.intp)
        if not which.size:
            return np.full(len(x), -1, np.intp)
        numbers = np.array([cells[i] for i in which])
        order = np.argsort(numbers, kind="stable")  # of equal numbers the first stays first
        nearest = order[np.minimum(np.searchsorted(numbers[order], x), len(order) - 1)]
        return np.where(numbers[nearest] == x, which[nearest], -1)
    result = np.full(len(x), -1, np.intp)
    for i in range(len(cells) - 1, -1, -1):
        if type(cells[i]) is float:
            result[x == cells[i]] = i
        elif type(cells[i]) is Lanes:
            result[(x == cells[i].num) & (cells[i].kind == NUMBER)] = i
    return result


def _halved(x, cells, mode):
    """The list halved in all lanes at once, for x (n,) among cells that are numbers."""
    n = len(x)
    column = np.array(np.broadcast_arrays(*(c.num if type(c) is Lanes else c for c in cells)))
    at = (lambda i: (i, np.arange(n))) if column.ndim > 1 else (lambda i: i)  # one column where lanes are alike
    low, high = np.zeros(n, np.intp), np.full(n, len(cells) - 1, np.intp)
    while (unsettled := low <= high).any():
        middle = np.where(unsettled, (low + high) // 2, 0)
        before = (column[at(middle)] <= x) if mode > 0 else (column[at(middle)] > x)
        low = np.where(unsettled & before, middle + 1, low)
        high = np.where(unsettled & ~before, middle - 1, high)
    if mode < 0:
        last = np.minimum(low, len(cells) - 1)
        return np.where((low < len(cells)) & (column[at(last)] == x), low, low - 1)
    return low - 1


# -- the functions -------------------------------------------------------------------------------------


def _line(area):
    """The cells of one row or one column; None where it has more of both."""
    return area.cells() if 1 in area.shape else None


def _at(cells, index, err, missing=NA):
    """The cell at an index, `missing` where that is negative, with the errors `err` laid over."""
    if np.ndim(index):
        return gather([missing, *cells], index + 1, err)
    return with_errors(err, missing if index < 0 else cells[index])


def _whole(value):
    """A number cut towards zero: an int, or an array (n,) of whole numbers; 0 where it is an error."""
    value = number(value)
    if type(value) is Lanes:
        return np.clip(np.where(value.err > 0, 0.0, value.num), -1e9, 1e9).astype(np.intp)
    return 0 if type(value) is ExcelError else int(min(max(value, -1e9), 1e9))


@worksheet("MATCH", "vr[v]")
def _match(key, area, kind=1.0):
    kind, cells = number(kind), _line(as_area(area))
    err = errors_alone(key, area, kind)
    if cells is None:
        return with_errors(err, NA)
    if type(kind) is Lanes:
        return lifted(_match)(key, area, kind)
    if err.all():
        return settled(nan, err)
    index = _find(key, cells, int(np.sign(np.trunc(kind))))
    return settled(np.add(index, 1.0), err, code(np.less(index, 0), NA))


def index(area: Area, row: Value, column: Value) -> Value:
    """INDEX of one cell. A blank row or column is 0, as everywhere: the whole of it, which is no one cell."""
    height, width = area.shape
    row, column = number(row), number(column)
    err = errors(row, column)
    row, column = _whole(row), _whole(column)
    # The whole of a single row or column is the cell in it.
    row, column = row + (np.equal(row, 0) & (height == 1)), column + (np.equal(column, 0) & (width == 1))
    beyond, negative = (row > height) | (column > width), (row < 0) | (column < 0)
    before = negative | (((row < 1) | (column < 1)) & ~beyond)
    err = leftmost(err, code(before, VALUE), code(beyond, REF))
    return _at(area.cells(), np.where(before | beyond, 0, (row - 1) * width + column - 1), np.atleast_1d(err))


def _table_lookup(across):
    def call(key, table, number_of, approximate=True):
        approximate = truth(approximate)
        err = errors_alone(key, table, number_of, approximate)
        if type(approximate) is Lanes:
            return lifted(call)(key, table, number_of, approximate)
        if err.all():
            return settled(nan, err)
        rows = as_area(table).rows
        rows = list(map(list, zip(*rows, strict=True))) if across else rows
        width, which = len(rows[0]), _whole(number_of)
        row = _find(key, [row[0] for row in rows], 1 if approximate else 0)
        codes = leftmost(err, code(which < 1, VALUE), code(which > width, REF), code(np.less(row, 0), NA))
        flat = np.where(codes > 0, 0, row * width + which - 1)
        return _at([cell for row in rows for cell in row], flat, np.atleast_1d(codes))

    return call


worksheet("VLOOKUP", "vrv[v]")(_table_lookup(False))
worksheet("HLOOKUP", "vrv[v]")(_table_lookup(True))


@worksheet("XLOOKUP", "vrr[vvv]")
def _xlookup(key, among, results, missing=NA, match=0.0, search=1.0):
    match, search = number(match), number(search)
    err = errors_alone(key, among, results, match, search)
    cells, answers = _line(as_area(among)), _line(as_area(results))
    if cells is None or answers is None or len(cells) != len(answers):
        return with_errors(err, VALUE)
    if type(match) is Lanes or type(search) is Lanes:
        return lifted(_xlookup)(key, among, results, missing, match, search)
    if err.all():
        return settled(nan, err)
    if match not in (-1.0, 0.0, 1.0, 2.0) or search not in (1.0, -1.0):
        return with_errors(err, VALUE)
    if match == 0.0 and search == 1.0 and type(key) is Lanes and key.only == NUMBER:
        where = _find(key, cells, 0)
    else:
        where = _index_of(_nearest, key, cells, match, search)
    return _at(answers, where, err, missing)
