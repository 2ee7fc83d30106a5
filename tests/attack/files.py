"""Runs killed at random moments, without room, or two at once: a file is whole, the old one or the new one.

python -m tests.attack.files KILLS [SEED]   kills of fill, recalc, sweep, enter and report, so many of each
"""

import contextlib
import io
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Sequence
from pathlib import Path

from hydrofunc.cli import main as command_line
from hydrofunc.workbook import files as writing
from tests.attack.score import Score

EXAMPLES = Path(__file__).parents[2] / "workbooks"

SOON = 0.01  # seconds
SIZE = 2_000_000  # bytes of a file, written so often that most kills fall into the writing
_WRITER = """
import sys
from hydrofunc.workbook.files import write_bytes
print("ready", flush=True)
while True:
    for letter in (b"a", b"b"):
        write_bytes(sys.argv[1], letter * {size}, force=True)
"""


def attack(seed: object, rounds: int, folder: Path) -> Score:
    """So many kills, as many disks without room, and two runs at once; the moments depend on seed and number alone."""
    score = Score()
    for turn in range(rounds):
        score += one_kill(f"{seed}/{turn}", folder)
        with tempfile.TemporaryDirectory(dir=folder.parent) as empty:
            score += full_disk(random.Random(f"{seed}/{turn}").randrange(SIZE), Path(empty))
    with tempfile.TemporaryDirectory(dir=folder.parent) as empty:
        score += two_at_once(10 * rounds, Path(empty))
    return score


def one_kill(seed: str, folder: Path) -> Score:
    """Start a writer, kill it, and look at what it leaves."""
    score, path = Score(tried=1), folder / "book.xlsx"
    path.write_bytes(b"a" * SIZE)
    command = [sys.executable, "-c", _WRITER.format(size=SIZE), str(path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE) as writer:
        writer.stdout.readline()
        time.sleep(random.Random(seed).uniform(0.0, 0.1))
        writer.kill()
    content = path.read_bytes()
    if content not in (b"a" * SIZE, b"b" * SIZE):
        score.note("wrong", f"{seed}: {len(content)} bytes, {content[:1]!r} to {content[-1:]!r}")
    strange = [other.name for other in folder.iterdir() if other != path and not other.name.endswith(".part")]
    if strange:
        score.note("wrong", f"{seed}: {strange} are left")
    return score


_SMALL_DISK = """
import resource, signal, sys
from hydrofunc.errors import FileRefused
from hydrofunc.workbook.files import write_bytes
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)  # so that a write fails, as on a full disk, and the process lives
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[2]), int(sys.argv[2])))
try:
    write_bytes(sys.argv[1], b"b" * {size}, force=True)
except FileRefused as refused:
    print(refused)
"""


def full_disk(room: int, folder: Path) -> Score:
    """A file that finds no room behind so many bytes: the old one stays, nothing is left, and it is said which."""
    score, path = Score(tried=1), folder / "full.xlsx"
    path.write_bytes(b"a" * SIZE)
    command = [sys.executable, "-c", _SMALL_DISK.format(size=SIZE), str(path), str(room)]
    said = subprocess.run(command, capture_output=True, text=True, check=False)
    if f"{path} cannot be written: " not in said.stdout or said.returncode:
        score.note("crashed", f"{room}: {said.stdout} {said.stderr[-300:]}")
    if path.read_bytes() != b"a" * SIZE:
        score.note("wrong", f"{room}: the old file is gone")
    if left := [other.name for other in folder.iterdir() if other != path]:
        score.note("wrong", f"{room}: {left} are left")
    return score


def two_at_once(turns: int, folder: Path) -> Score:
    """Two runs that write one file over and over while it is read: each look sees one whole file."""
    score, path = Score(), folder / "both.xlsx"
    path.write_bytes(b"a" * SIZE)
    command = [sys.executable, "-c", _WRITER.format(size=SIZE), str(path)]
    with (
        subprocess.Popen(command, stdout=subprocess.PIPE) as one,
        subprocess.Popen(command, stdout=subprocess.PIPE) as other,
    ):
        for writer in (one, other):
            writer.stdout.readline()
        for turn in range(turns):
            score.tried += 1
            content = path.read_bytes()
            if content not in (b"a" * SIZE, b"b" * SIZE):
                score.note("wrong", f"{turn}: {len(content)} bytes")
            time.sleep(0.01)
        for writer in (one, other):
            if writer.poll() is not None:
                score.note("crashed", f"a writer ended by itself with {writer.returncode}")
            writer.kill()
    return score


# -- kills of whole commands ---------------------------------------------------------------------------


class _EnoughError(BaseException):
    """All kills of this command are done."""


def kills_of(words: Sequence[str], outputs: Sequence[Path], kills: int, seed: object) -> tuple[Score, int, int]:
    """Kills of one command from its first write on: what is counted, kills in the middle of a file, new files met.

    The way to that write is gone once. There the process is copied for each kill, and the copy goes on and is killed.
    `outputs` are all files that the command writes, in folders that hold nothing else.
    """
    score, counts = Score(), {"part": 0, "new": 0}
    chance = random.Random(str(seed))
    folders = {path.parent for path in outputs}

    def old_files():
        for folder in folders:
            for other in folder.iterdir():
                other.unlink()
        for path in outputs:
            path.write_bytes(b"old")

    def at_the_first_write(name, mode):
        started, seconds, new = time.perf_counter(), 0.0, {}
        for kill in range(kills + 1):  # the first copy may live
            old_files()
            if not (child := os.fork()):
                del writing.open
                silent = os.open(os.devnull, os.O_WRONLY)
                os.dup2(silent, 1)
                os.dup2(silent, 2)
                return open(name, mode)
            if kill:
                _wait(chance, outputs if kill % 2 else (), seconds)
                os.kill(child, signal.SIGKILL)
            _, status = os.waitpid(child, 0)
            if not kill:
                seconds = 1.05 * (time.perf_counter() - started)
                new = {path: _content(path) for path in outputs}
                if status or b"old" in new.values():
                    raise AssertionError(f"{words} does not write {outputs}")
                continue
            score.tried += 1
            for path in outputs:
                if (found := _content(path)) == new[path]:
                    counts["new"] += 1
                elif found != b"old":
                    score.note("wrong", f"{seed}: {words[0]}, kill {kill}: {path.name} is neither old nor new")
            others = [other.name for folder in folders for other in folder.iterdir() if other not in outputs]
            counts["part"] += any(other.endswith(".part") for other in others)
            if strange := [other for other in others if not other.endswith(".part")]:
                score.note("wrong", f"{seed}: {words[0]}, kill {kill}: {strange} are left")
        raise _EnoughError

    old_files()
    parent, writing.open = os.getpid(), at_the_first_write
    try:
        with contextlib.redirect_stdout(io.StringIO()):
            command_line(list(map(str, words)), standalone_mode=False)
    except _EnoughError:
        pass
    finally:
        if os.getpid() != parent:
            os._exit(0)
        writing.__dict__.pop("open", None)
    return score, counts["part"], counts["new"]


def _wait(chance, outputs, seconds):
    """Any moment of a run; or, where `outputs` are given, one soon after some of them are written."""
    if not outputs:
        time.sleep(chance.uniform(0.0, seconds))
        return
    written, end = chance.randrange(len(outputs)), time.perf_counter() + seconds
    while sum(path.stat().st_size > len(b"old") for path in outputs) < written and time.perf_counter() < end:
        time.sleep(0.001)
    time.sleep(chance.uniform(0.0, SOON))


def _content(path):
    """Bytes of a file; of a workbook those of its parts without the date of writing, None if it is damaged."""
    data = path.read_bytes()
    if path.suffix != ".xlsx" or data == b"old":
        return data
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return {name: archive.read(name) for name in archive.namelist() if name != "docProps/core.xml"}
    except (zipfile.BadZipFile, EOFError, ValueError):
        return None


def main(kills: int, seed: str = "1") -> bool:
    """Print what comes of so many kills of each command; did all leave whole files?"""
    whole, project = Score(), EXAMPLES / "invented-project"
    (book,) = project.glob("*one-wide-pipe.xlsx")
    sites = [
        *(path.name for path in (EXAMPLES / "invented-demo").glob("Invented*.xlsx")),
        "summary.csv",
        "summary.xlsx",
    ]
    commands = {
        "fill": ([EXAMPLES / "invented-demo" / "sites.csv"], sites),
        "recalc": ([book], ["out.xlsx"]),
        "sweep": ([book, "--vary", "nozzle=4:12:0.5"], ["out.csv"]),
        "enter": ([book, "--readings", project / "readings.csv"], ["out.xlsx"]),
        "report": ([book], ["out.pdf"]),
    }
    for command, (words, names) in commands.items():
        with tempfile.TemporaryDirectory() as folder:
            outputs, started = [Path(folder, name) for name in names], time.perf_counter()
            out = folder if command == "fill" else str(outputs[0])
            score, part, new = kills_of([command, *words, "--out", out, "--force"], outputs, kills, f"{seed}/{command}")
        print(
            f"{command}, {time.perf_counter() - started:.0f} s, {part} in the middle, {new} new files: {score}",
            flush=True,
        )
        whole += score
    print(f"all: {whole}")
    return not whole.findings


if __name__ == "__main__":
    if not sys.argv[1:]:
        sys.exit(__doc__)
    sys.exit(0 if main(int(sys.argv[1]), *sys.argv[2:3]) else 1)
