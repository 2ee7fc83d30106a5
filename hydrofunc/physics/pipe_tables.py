"""Dimensions of pipes by standard, size and class (`pipes.csv`, with the source of each row). SI units.

The bore is the outside diameter less two walls. Plastic pipe is named by its outside diameter in mm, steel
pipe by inches in words, such as "1 1/4", or by its DN (ISO 6708; the DN of each size from memory, not looked
up). For plastic the wall is the least allowed, so the bore is the largest.
"""

import numpy as np

from .tables import look_up, rows_of, value_above, value_below
from .values import Result, Values, Words

_LISTED = rows_of("pipes.csv")
_ROWS = {(row["standard"], row[name], row["class"]): row for name in ("size", "dn") for row in _LISTED if row[name]}
OUTSIDE = {key: float(row["outside_mm"]) * 1e-3 for key, row in _ROWS.items()}
WALL = {key: float(row["wall_mm"]) * 1e-3 for key, row in _ROWS.items()}
BORE = {key: round(OUTSIDE[key] - 2 * WALL[key], 9) for key in _ROWS}
OTHER_SIZE = 1.05  # bores nearer to each other than this are the same pipe, measured or made a little off
# The bores of a standard and class, rising, and the key of each.
_SERIES = {
    series: {BORE[key]: key for key in sorted(BORE, key=BORE.__getitem__) if (key[0], key[2]) == series}
    for series in dict.fromkeys((standard, made) for standard, _, made in BORE)
}
STANDARDS, SIZES, CLASSES = (tuple(dict.fromkeys(key[part] for key in _ROWS)) for part in range(3))


def pipe_bore(pipe_standard: Words, size: Words, pipe_class: Words) -> Result:
    """Inside diameter of a pipe; NaN where the table holds no such pipe. [m]"""
    return look_up(BORE, pipe_standard, size, pipe_class)


def pipe_wall(pipe_standard: Words, size: Words, pipe_class: Words) -> Result:
    """Wall thickness of a pipe; NaN where the table holds no such pipe. [m]"""
    return look_up(WALL, pipe_standard, size, pipe_class)


def pipe_outside(pipe_standard: Words, size: Words, pipe_class: Words) -> Result:
    """Outside diameter of a pipe; NaN where the table holds no such pipe. [m]"""
    return look_up(OUTSIDE, pipe_standard, size, pipe_class)


def next_pipe_bore(pipe_standard: Words, pipe_class: Words, bore: Values, direction: Words) -> Result:
    """Inside diameter of the pipe one size wider or narrower than a bore, in the same standard and class.

    Parameters
    ----------
    pipe_standard, pipe_class : array_like of str
        As in `pipe_bore`.
    bore : array_like
        Inside diameter now. [m]
    direction : array_like of str
        "wider" or "narrower".

    Returns
    -------
    float or ndarray
        The nearest listed bore at least 5 % wider or narrower; nearer ones are the pipe itself, measured or
        made a little off its table. NaN where the table holds none. [m]
    """
    return _neighbour(BORE, pipe_standard, pipe_class, bore, direction)


def next_pipe_outside(pipe_standard: Words, pipe_class: Words, bore: Values, direction: Words) -> Result:
    """Outside diameter of the pipe that `next_pipe_bore` goes to; the arguments are the same. [m]"""
    return _neighbour(OUTSIDE, pipe_standard, pipe_class, bore, direction)


def _neighbour(table, pipe_standard, pipe_class, bore, direction):
    """What a table says of the pipe one size wider or narrower; NaN where there is none."""
    is_wider = np.asarray(direction) == "wider"
    result: Result = np.nan
    for (standard, made), bores in _SERIES.items():
        keys, values = np.array([*bores]), np.array([table[key] for key in bores.values()])
        wider = value_above(keys, values, OTHER_SIZE * np.asarray(bore))
        narrower = value_below(keys, values, np.asarray(bore) / OTHER_SIZE)
        listed = (np.asarray(pipe_standard) == standard) & (np.asarray(pipe_class) == made)
        result = np.where(listed, np.where(is_wider, wider, narrower), result)
    return result
