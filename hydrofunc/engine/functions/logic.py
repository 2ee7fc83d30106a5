"""Functions of conditions, and those that ask what a value is."""

from collections.abc import Callable

import numpy as np

from ..lanes import (
    BLANK,
    BOOLEAN,
    NA,
    NUMBER,
    SOUND,
    VALUE,
    Area,
    ExcelError,
    as_lanes,
    cells_of,
    code,
    lanes_in,
    leftmost,
    lifted,
    settled,
)
from ..operators import plain_truth, truth
from .table import worksheet

for _name, _value in {"TRUE": True, "FALSE": False, "NA": NA}.items():
    worksheet(_name, "")(lambda value=_value: value)


def _combining(combine: np.ufunc, neutral: bool) -> Callable:
    """AND and its kin. Text and blanks of a range do not count; where nothing counts there is #VALUE!."""

    def call(*args):
        result, err, seen = neutral, SOUND, False
        for cell, alone in ((cell, type(arg) is not Area) for arg in args for cell in cells_of(arg)):
            if type(cell) in (bool, float):
                result, seen = combine(result, cell != 0.0), True
                continue
            lanes = as_lanes(truth(cell) if alone else cell)
            counts = (lanes.kind == NUMBER) | (lanes.kind == BOOLEAN)
            result = combine(result, np.where(counts, lanes.num != 0.0, neutral))
            err, seen = leftmost(err, lanes.err), seen | counts
        n = lanes_in(*args)
        return settled(np.broadcast_to(result, n or 1), err, code(np.logical_not(seen), VALUE))

    return call


worksheet("AND", "(r)+")(_combining(np.logical_and, True))
worksheet("OR", "(r)+")(_combining(np.logical_or, False))
worksheet("XOR", "(r)+")(_combining(np.logical_xor, False))


def _plain_not(value):
    value = plain_truth(value)
    return value if type(value) is ExcelError else not value


worksheet("NOT", "v")(lifted(_plain_not, lambda x: x == 0.0, (NUMBER, BOOLEAN, BLANK)))


def asking(plain: Callable) -> Callable:
    """A test of one value, which gives True or False for errors too; all numbers answer as 0 does."""
    return lifted(plain, lambda x: np.full(len(x), plain(0.0)))


is_number = asking(lambda value: type(value) is float)
for _name, _is in {
    "ISNUMBER": is_number,
    "ISTEXT": asking(lambda value: type(value) is str),
    "ISNONTEXT": asking(lambda value: type(value) is not str),
    "ISLOGICAL": asking(lambda value: type(value) is bool),
    "ISBLANK": asking(lambda value: value is None),
    "ISERROR": asking(lambda value: type(value) is ExcelError),
    "ISERR": asking(lambda value: type(value) is ExcelError and value is not NA),
    "ISNA": asking(lambda value: value is NA),
}.items():
    worksheet(_name, "v")(_is)


def _plain_n(value):
    return value if type(value) in (float, ExcelError) else 1.0 if value is True else 0.0


worksheet("N", "v")(lifted(_plain_n, lambda x: x.astype(float), (NUMBER, BOOLEAN)))
