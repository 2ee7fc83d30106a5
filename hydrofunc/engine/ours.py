"""Calls of our own worksheet functions: cells that may differ between lanes in, a value out.

What cells mean as arguments is not decided here but in `registry.from_cells`, for every host.
"""

from collections.abc import Callable

import numpy as np

from ..registry import Cells, Function, from_cells
from . import lanes as ln
from .lanes import BLANK, NUMBER, VALUE, Area, ExcelError, Lanes


def calling(function: Function, runs: list[Callable]) -> Callable:
    """A closure that calls one of our functions with what the closures `runs` give."""
    return lambda values: _call(function, [run(values) for run in runs])


def _call(function, args):
    declared, n = function.arguments, ln.lanes_in(*args)
    if n and any(argument.many and _has_gaps(value) for argument, value in zip(declared, args)):
        return _by_gaps(function, args, n)
    cells = [_list(value) if argument.many else _single(value) for argument, value in zip(declared, args)]
    values, codes = from_cells(function, cells)
    if np.size(values) == 1 and np.size(codes) == 1:
        return ln.settled(np.ravel(values)[0], None, None if codes is None else int(np.ravel(codes)[0]))
    if codes is None:
        return ln.settled(values)
    values, codes = np.broadcast_arrays(values, codes)
    return ln.settled(np.where(codes > 0, np.nan, values), None, codes)


def _items(value):
    return value.cells() if type(value) is Area else [value]


def _single(value):
    """`Cells` of an argument that wants one value: a range of more cells is #VALUE!."""
    if type(value) is Area:
        return _cell(value.rows[0][0]) if value.shape == (1, 1) else Cells("", VALUE.code)
    return _cell(value)


def _list(value):
    """`Cells` of an argument that takes a list."""
    values, errors = zip(*map(_cell, _items(value)))
    known = any(codes is not None for codes in errors)
    return Cells(values, [0 if codes is None else codes for codes in errors] if known else None)


def _cell(value):
    """`Cells` of one value; of many lanes an array."""
    if type(value) is not Lanes:
        return Cells("", value.code) if type(value) is ExcelError else Cells(value)
    if _all(value, NUMBER):
        return Cells(value.num, value.err)
    if _all(value, BLANK) and value.err is None:
        return Cells()
    words = np.empty(len(value), dtype=object)
    words[:] = value.python()
    return Cells(words, value.err)


def _all(lanes, kind):
    """Are all lanes of this kind?"""
    return lanes.kind is kind


# -- lists with gaps -----------------------------------------------------------------------------------


def _blank(value):
    """In which lanes is a cell blank? One answer where it is the same in all."""
    return np.equal(ln.parts(value)[2], BLANK)


def _has_gaps(value):
    """Is a cell of this list blank in some lanes and not in others?"""
    return any(np.ndim(blank) and blank.any() for blank in map(_blank, _items(value)))


def _by_gaps(function, args, n):
    """A call whose lists are longer in some lanes than in others: once for each pattern of blank cells."""
    lists = [value for argument, value in zip(function.arguments, args) if argument.many and value is not None]
    blank = [np.broadcast_to(_blank(cell), n) for value in lists for cell in _items(value)]
    _, patterns = np.unique(np.array(blank), axis=1, return_inverse=True)
    num, err = np.empty(n), np.zeros(n, np.uint8)
    for pattern in range(patterns.max() + 1):
        lanes = np.flatnonzero(patterns.ravel() == pattern)
        result = _call(function, [ln.some(value, lanes) for value in args])
        num[lanes], codes, _, _ = ln.parts(result)
        if codes is not None:
            err[lanes] = codes
    return ln.tidy(num, err, NUMBER)
