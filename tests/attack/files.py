"""Runs killed at random moments, without room, or two at once: a file is whole, the old one or the new one."""

import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.attack.score import Score

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
