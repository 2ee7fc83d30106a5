"""Dimensions of pipes by standard, size and class (`pipes.csv`, with the source of each row). SI units.

The bore is the outside diameter less two walls. Plastic pipe is named by its outside diameter in mm, steel
pipe by inches in words, such as "1 1/4", or by its DN (ISO 6708; the DN of each size from memory, not looked
up). For plastic the wall is the least allowed, so the bore is the largest.
"""

from .tables import look_up, rows_of

_LISTED = rows_of("pipes.csv")
_ROWS = {
    (row["standard"], row[name], row["class"]): row
    for name in ("size", "dn") for row in _LISTED if row[name]
}
OUTSIDE = {key: float(row["outside_mm"]) * 1e-3 for key, row in _ROWS.items()}
WALL = {key: float(row["wall_mm"]) * 1e-3 for key, row in _ROWS.items()}
BORE = {key: round(OUTSIDE[key] - 2 * WALL[key], 9) for key in _ROWS}
STANDARDS, SIZES, CLASSES = (tuple(dict.fromkeys(key[part] for key in _ROWS)) for part in range(3))


def pipe_bore(pipe_standard, size, pipe_class):
    """Inside diameter of a pipe; NaN where the table holds no such pipe. [m]"""
    return look_up(BORE, pipe_standard, size, pipe_class)


def pipe_wall(pipe_standard, size, pipe_class):
    """Wall thickness of a pipe; NaN where the table holds no such pipe. [m]"""
    return look_up(WALL, pipe_standard, size, pipe_class)


def pipe_outside(pipe_standard, size, pipe_class):
    """Outside diameter of a pipe; NaN where the table holds no such pipe. [m]"""
    return look_up(OUTSIDE, pipe_standard, size, pipe_class)
