"""python -m tests.attack SECONDS [SEED] [NAME ...]: attacks for so long, round by round; prints counts and findings.

Two eighths of the time go to the functions (with names, to these alone, all of it), one each to formulas, lists,
texts that are dangerous elsewhere, damaged workbooks, hostile ones (all of them at least once, in little memory) and
files: kills, no room, two at once. A finding says its seed: `one_round(FUNCTIONS[name], seed)`, `one_book(seed)`,
`one_list(seed, folder)`, `one_text(seed, folder)`, `one_workbook(seed)`,
`python -m tests.attack.hostile SEED` repeat it.
"""

import sys
import tempfile
import time
import warnings
from pathlib import Path

from hydrofunc import catalogue  # noqa: F401  (fills the registry)
from tests.attack import engine, files, functions, hostile, lists, texts, workbooks
from tests.attack.score import Score

warnings.simplefilter("ignore")  # of openpyxl, about what it would lose on saving


def main(seconds: float, seed: int = 1, *names: str) -> Score:
    """Attack for so long; everything that was found."""
    with tempfile.TemporaryDirectory() as folder:
        each = 0.0 if names else 1 / 8
        attacks = {
            "functions": (1.0 if names else 2 / 8, lambda turn: functions.attack(turn, 1, list(names) or None)),
            "formulas": (each, lambda turn: engine.attack(turn, 20)),
            "lists": (each, lambda turn: lists.attack(turn, 20, Path(folder))),
            "texts": (each, lambda turn: texts.attack(turn, 20, Path(folder, "texts"))),
            "workbooks": (each, lambda turn: workbooks.attack(turn, 5)),
            "hostile": (each, lambda turn: hostile.in_little_memory(turn, long=turn.endswith("/0"))),
            "files": (each, lambda turn: files.attack(turn, 5, Path(folder, "files"))),
        }
        Path(folder, "files").mkdir()
        Path(folder, "texts").mkdir()
        whole = Score()
        for name, (share, attack) in attacks.items():
            score, turn, started = Score(), 0, time.perf_counter()
            while time.perf_counter() - started < seconds * share:
                score += attack(f"{seed}/{turn}")
                turn += 1
            print(f"{name}, seed {seed}, {turn} rounds, {time.perf_counter() - started:.0f} s: {score}", flush=True)
            whole += score
    return whole


if __name__ == "__main__":
    arguments = sys.argv[1:]
    if not arguments:
        sys.exit(__doc__)
    found = main(float(arguments[0]), *map(int, arguments[1:2]), *arguments[2:])
    sys.exit(1 if found.findings else 0)
