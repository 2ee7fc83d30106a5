"""Remembered results: one solution of a plant serves every quantity that is asked of it."""

from collections import OrderedDict
from collections.abc import Callable, Mapping
from threading import Lock
from typing import Any

import numpy as np

_OVERHEAD = 1500  # bytes of one entry beside its arrays: a key of some twenty numbers, and the objects themselves


class Memory:
    """Results by the bytes of the arguments; the ones not asked for longest go first. Safe in several threads."""

    def __init__(self, limit: int) -> None:
        """`limit`: most bytes to hold, keys included."""
        self.limit = limit
        self.size = 0
        self._entries: OrderedDict[Any, tuple[Any, int]] = OrderedDict()
        self._lock = Lock()

    def __len__(self) -> int:
        return len(self._entries)

    def get(self, step: str, arguments: Mapping[str, Any], calculate: Callable[[], Any]) -> Any:
        """The result of the step for these arguments: as remembered, else calculated."""
        key = _key(step, arguments)
        with self._lock:
            entry = self._entries.get(key)
            if entry is not None:
                self._entries.move_to_end(key)
                return entry[0]
        result = calculate()
        arrays = [array for array in _arrays(result) if array.ndim]
        for array in arrays:
            array.flags.writeable = False  # the next one asked gets the same array
        held = sum(len(part[-1]) for part in key[1] if type(part) is tuple)
        size = _OVERHEAD + held + sum(array.nbytes for array in arrays)
        if size > self.limit:
            return result
        with self._lock:
            old = self._entries.pop(key, None)
            self.size += size - (old[1] if old else 0)
            self._entries[key] = result, size
            while self.size > self.limit:
                self.size -= self._entries.popitem(last=False)[1][1]
        return result

    def known(self, step: str, arguments: Mapping[str, Any]) -> Any:
        """The result of the step for these arguments as remembered; None where it is not."""
        key = _key(step, arguments)
        with self._lock:
            entry = self._entries.get(key)
        return None if entry is None else entry[0]

    def clear(self) -> None:
        """Forget everything."""
        with self._lock:
            self._entries.clear()
            self.size = 0


def _key(step: str, arguments: Mapping[str, Any]) -> tuple[str, tuple[Any, ...]]:
    return step, tuple(map(_frozen, arguments.values()))


def _frozen(value: Any) -> Any:
    """A number or word as it is, an array as its shape and bytes: equal where the values are equal to the bit."""
    if isinstance(value, np.ndarray) and value.ndim:
        return value.dtype.str, value.shape, value.tobytes()
    return value.item() if isinstance(value, np.generic | np.ndarray) else value


def _arrays(result: Any) -> list[np.ndarray[Any, Any]]:
    """The arrays of a result, which may be a tuple of them."""
    parts = result if isinstance(result, tuple) else (result,)
    return [part for part in parts if isinstance(part, np.ndarray)]
