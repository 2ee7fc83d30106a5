"""Reading of the data tables beside the physics, and looking words up in them."""

import csv
from collections.abc import Mapping
from importlib.resources import files
from typing import Any

import numpy as np

from .values import Result, Values, Words


def rows_of(name: str) -> list[dict[str, str]]:
    """The rows of a CSV file of this folder, as dictionaries."""
    text = files(__package__).joinpath(name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def look_up(table: Mapping[Any, float], *words: Words) -> Result:
    """The number that `table` holds for a word, or for a tuple of words; NaN where it holds none.

    Words may be arrays: they are taken in step, and each different combination is looked up once.
    """
    if all(np.ndim(word) == 0 for word in words):
        return table.get(_key(words), np.nan)
    arrays = np.broadcast_arrays(*words)
    different, row = np.unique(np.stack([array.ravel() for array in arrays]), axis=1, return_inverse=True)
    values = np.array([table.get(_key(column), np.nan) for column in different.T])
    return values[row.ravel()].reshape(arrays[0].shape)


def value_below(keys: Any, values: Any, x: Values) -> Result:
    """The value that belongs to the greatest of rising `keys` that is not above `x`; NaN below the first."""
    row = np.searchsorted(keys, x, side="right") - 1
    return np.where((row >= 0) & ~np.isnan(x), values[row], np.nan)


def value_above(keys: Any, values: Any, x: Values) -> Result:
    """The value that belongs to the least of rising `keys` that is not below `x`; NaN above the last."""
    return np.append(values, np.nan)[np.searchsorted(keys, x)]


def _key(words):
    return tuple(map(str, words)) if len(words) > 1 else str(words[0])
