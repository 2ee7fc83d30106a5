"""Calls of our own worksheet functions: cells that may differ between lanes in, a value out.

What cells mean as arguments is not decided here but in `registry.from_cells`, for every host.
"""

from collections.abc import Callable

import numpy as np

from ..registry import COLUMNS, NO_BLOCK, Cells, Function, from_cells
from . import lanes as ln
from .lanes import BLANK, NUMBER, VALUE, Area, ExcelError, Lanes


class _LeftOut:
    """An argument that the formula leaves out, which is not the same as a blank cell where values are changed."""


LEFT_OUT = _LeftOut()


def calling(function: Function, runs: list[Callable]) -> Callable:
    """A closure that calls one of our functions with what the closures `runs` give."""
    return lambda values: _call(function, [run(values) for run in runs])


def asking(function: Function, runs: list[Callable]) -> Callable:
    """The same in an array formula, where a range in place of single values gets as many answers."""
    single = [not argument.many for argument in function.arguments]

    def run(values):
        args = [run(values) for run in runs]
        ranges = [i for i, arg in enumerate(args) if single[i] and type(arg) is Area]
        if not ranges:
            return _call(function, args)

        def one(*asked):
            return _call(function, [dict(zip(ranges, asked)).get(i, arg) for i, arg in enumerate(args)])

        return ln.map_areas(one, *(args[i] for i in ranges))

    return run


def _call(function, args):
    declared, n = function.arguments, ln.lanes_in(*args)
    if n and any(argument.many and not argument.part and _has_gaps(value) for argument, value in zip(declared, args)):
        return _by_gaps(function, args, n)
    cells = list(map(_cells, declared, args))
    values, codes = from_cells(function, cells)
    return ln.settled(values, codes=ln.SOUND if codes is None else np.asarray(codes, np.uint8))


def _cells(argument, value):
    """`Cells` of an argument."""
    if value is LEFT_OUT:
        return Cells()
    if argument.part in COLUMNS and ln.as_area(value).shape[1] != COLUMNS[argument.part]:
        return NO_BLOCK
    return _list(value) if argument.many else _single(value)


def _single(value):
    """`Cells` of an argument that wants one value: a range of more cells is #VALUE!."""
    if type(value) is Area:
        return _cell(value.rows[0][0]) if value.shape == (1, 1) else Cells("", VALUE.code)
    return _cell(value)


_SEVERAL = {Lanes, ExcelError}  # what is not handed over as it stands


def _list(value):
    """`Cells` of an argument that takes a list."""
    cells = ln.cells_of(value)
    if _SEVERAL.isdisjoint(map(type, cells)):
        return Cells(tuple(cells))
    values, errors = zip(*map(_cell, cells))
    known = any(codes is not None for codes in errors)
    return Cells(values, [0 if codes is None else codes for codes in errors] if known else None)


def _cell(value):
    """`Cells` of one value; of many lanes an array."""
    if type(value) is not Lanes:
        return Cells("", value.code) if type(value) is ExcelError else Cells(value)
    err = None if value.sound else np.broadcast_to(value.err, len(value))
    if value.only == NUMBER:
        return Cells(value.num, err)
    if value.only == BLANK and value.sound:
        return Cells()
    words = np.empty(len(value), dtype=object)
    words[:] = value.python()
    return Cells(words, err)


# -- lists with gaps -----------------------------------------------------------------------------------


def _blank(value):
    """In which lanes is a cell blank? Of length 1 where it is the same in all."""
    lanes = ln.as_lanes(value)
    return (lanes.kind == BLANK) & (lanes.err == 0)


def _has_gaps(value):
    """Is a cell of this list blank in some lanes and not in others?"""
    return any(len(blank) > 1 and blank.any() for blank in map(_blank, ln.cells_of(value)))


def _by_gaps(function, args, n):
    """A call whose lists are longer in some lanes than in others: once for each pattern of blank cells."""
    lists = [
        value
        for argument, value in zip(function.arguments, args)
        if argument.many and not argument.part and value is not None
    ]
    blank = [np.broadcast_to(_blank(cell), n) for value in lists for cell in ln.cells_of(value)]
    _, patterns = np.unique(np.array(blank), axis=1, return_inverse=True)
    result, index = 0.0, np.zeros(n, np.intp)
    for pattern in range(patterns.max() + 1):
        mask = patterns.ravel() == pattern
        lanes = np.flatnonzero(mask)
        index[lanes] = np.arange(len(lanes))
        value = _call(function, [ln.take(arg, lanes) for arg in args])
        result = ln.select(mask, ln.take(value, np.where(mask, index, 0)), result)
    return result
