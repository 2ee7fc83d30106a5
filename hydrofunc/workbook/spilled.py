"""A sequence of objects that is too long for the memory: in a file that has no name, or loses it at its end."""

import pickle
import weakref
from pathlib import Path
from tempfile import SpooledTemporaryFile
from typing import Any

from ..errors import FileRefused

IN_MEMORY = 1 << 23  # bytes of a sequence that needs no file


class Spilled:
    """Objects by number, as in a list that grows at its end; each is made anew whenever it is asked for.

    The file lies in `folder`, where most systems show it to nobody, and is gone when the sequence is, also after a
    kill. An object that is replaced still takes its place in it. Raises `FileRefused` where the folder does not take
    the file, or the disk is full.
    """

    def __init__(self, folder: str | Path) -> None:
        self._folder = Path(folder)
        self._file = SpooledTemporaryFile(IN_MEMORY, dir=self._folder)  # noqa: SIM115  (closed in the next line)
        weakref.finalize(self, self._file.close)
        self._places: list[tuple[int, int]] = []

    def __len__(self) -> int:
        return len(self._places)

    def __getitem__(self, number: int) -> Any:
        start, length = self._places[number]
        self._file.seek(start)
        return pickle.loads(self._file.read(length))

    def __setitem__(self, number: int, value: object) -> None:
        self._places[number] = self._written(value)

    def append(self, value: object) -> None:
        """Add one more."""
        self._places.append(self._written(value))

    def _written(self, value):
        data = pickle.dumps(value, pickle.HIGHEST_PROTOCOL)
        try:
            start = self._file.seek(0, 2)
            self._file.write(data)
        except OSError as error:
            raise FileRefused(
                f"{self._folder}: the list cannot be kept there while it is worked on: {error.strerror or error}"
            ) from None
        return start, len(data)
