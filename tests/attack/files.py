"""Runs killed at random moments: the file that they write is whole, the old one or the new one."""

import random
import subprocess
import sys
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
    """So many kills; the moments depend on seed and number alone."""
    score = Score()
    for turn in range(rounds):
        score += one_kill(f"{seed}/{turn}", folder)
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
