"""What a long sweep has calculated, kept in a file beside its table until that is written: a stopped run can go on.

The file is a line of JSON that says which run it is of, then a record for each part: a line of JSON with the words,
and the numbers of all columns as they are in memory. A record that was cut short by the end of the run is dropped.
"""

import hashlib
import json
import zlib
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np

from ..errors import FileRefused
from ..workbook.results import Cells

Answer = tuple[list[Cells], dict[int, str]]  # the outputs of some scenarios, and what some of them lack


_AT_ONCE = 1 << 20  # bytes of a file read together


def name_of_run(*parts: bytes | str | Path) -> str:
    """A name that two runs share only where all that they hang on is the same; of a path what the file holds."""
    whole = hashlib.sha256()
    for part in parts:
        if isinstance(part, Path):
            whole.update(part.stat().st_size.to_bytes(8, "big"))
            with part.open("rb") as stream:
                while some := stream.read(_AT_ONCE):
                    whole.update(some)
        else:
            data = part.encode() if isinstance(part, str) else part
            whole.update(len(data).to_bytes(8, "big"))
            whole.update(data)
    return whole.hexdigest()


class Journal:
    """The journal of the run that writes its table to `out`.

    Raises `FileRefused` where there is one of a run that was stopped and neither `resume` nor `force` is given, or of
    another run and not `force`.
    """

    def __init__(self, out: str | Path, run: str, resume: bool, force: bool) -> None:
        out = Path(out)
        self.path = out.with_name(f".{out.name[:200]}.sweep")
        self.begun = False
        self._run, self._stream, self._records = run, None, []
        if not self.path.exists():
            return
        own, self._records = self._read()
        done = self._records[-1][0] if self._records else 0
        if own and resume:
            self.begun = True
        elif force:
            self.remove()
        elif own:
            raise FileRefused(
                f"{out}: a run that was stopped, or is still at work, has done {done:,} scenarios ({self.path}); "
                "--resume goes on with it, --force begins anew"
            )
        else:
            raise FileRefused(
                f"{out}: {self.path} is of another run: workbook, scenarios, outputs or hydrofunc differ; "
                "--force begins anew"
            )

    def known(self) -> Iterator[tuple[int, Answer]]:
        """(number of the scenario behind the last one, answer) of every part that is there."""
        if not self.begun:
            return
        with open(self.path, "r+b") as stream:
            stream.truncate(self._records[-1][2] if self._records else len(self._head()))  # what was cut short
            for stop, begin, _ in self._records:
                stream.seek(begin)
                yield stop, _answer(stream.readline(), stream)

    def add(self, stop: int, answer: Answer) -> None:
        """Keep one more part."""
        try:
            if self._stream is None:
                self._stream = open(self.path, "ab")  # noqa: SIM115  (`close` closes it)
                if not self.begun:
                    self._stream.write(self._head())
                    self.begun = True
            self._stream.write(_record(stop, answer))
            self._stream.flush()
        except OSError as error:
            raise FileRefused(f"{self.path} cannot be written: {error.strerror or error}") from None

    def close(self) -> None:
        """The file stays."""
        if self._stream is not None:
            self._stream.close()
            self._stream = None

    def remove(self) -> None:
        """The table is written, or the run begins anew."""
        self.close()
        with suppress(FileNotFoundError):
            self.path.unlink()
        self.begun = False

    def _head(self):
        return json.dumps({"run": self._run}).encode() + b"\n"

    def _read(self):
        """Whether the journal is of this run, and (stop, begin, end) of its whole records that follow one another."""
        records, done = [], 0
        with open(self.path, "rb") as stream:
            if stream.readline() != self._head():
                return False, []
            while line := stream.readline():
                begin = stream.tell() - len(line)
                try:
                    said = json.loads(line)
                    data = stream.read(said["bytes"])
                    if len(data) < said["bytes"] or zlib.crc32(data) != said["crc"]:
                        break
                    # Two runs that wrote into one journal leave parts out of order: they must not pass for others.
                    if said["stop"] - said["bytes"] // 8 // len(said["words"]) != done:
                        break
                    done = said["stop"]
                    records.append((done, begin, stream.tell()))
                except (ValueError, KeyError, TypeError, ZeroDivisionError):
                    break
        return True, records


def _record(stop, answer):
    cells, lacking = answer
    data = b"".join(np.ascontiguousarray(column.numbers, dtype="<f8").tobytes() for column in cells)
    said = {
        "stop": stop,
        "words": [[_pairs(column.words), sorted(column.errors)] for column in cells],
        "lacking": _pairs(lacking),
        "bytes": len(data),
        "crc": zlib.crc32(data),
    }
    return json.dumps(said).encode() + b"\n" + data


def _answer(line, stream):
    said = json.loads(line)
    numbers = np.frombuffer(stream.read(said["bytes"]), dtype="<f8").reshape(len(said["words"]), -1)
    cells = [
        Cells(column, dict(map(tuple, words)), frozenset(errors))
        for column, (words, errors) in zip(numbers, said["words"], strict=True)
    ]
    return cells, dict(map(tuple, said["lacking"]))


def _pairs(words: dict[int, str]) -> Iterable[Any]:
    return [[int(index), word] for index, word in words.items()]
