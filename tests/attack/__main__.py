"""python -m tests.attack SECONDS [SEED] [NAME ...]: attacks for so long, round by round; prints counts and findings.

A finding says its seed: `tests.attack.functions.one_round(FUNCTIONS[name], seed)` repeats it.
"""

import sys
import time

from hydrofunc import catalogue  # noqa: F401  (fills the registry)
from tests.attack.functions import attack
from tests.attack.score import Score


def main(seconds: float, seed: int = 1, *names: str) -> Score:
    score, turn, started = Score(), 0, time.perf_counter()
    while time.perf_counter() - started < seconds:
        score += attack(f"{seed}/{turn}", rounds=1, names=list(names) or None)
        turn += 1
    print(f"functions, seed {seed}, {turn} rounds, {time.perf_counter() - started:.0f} s: {score}")
    return score


if __name__ == "__main__":
    arguments = sys.argv[1:]
    if not arguments:
        sys.exit(__doc__)
    found = main(float(arguments[0]), *map(int, arguments[1:2]), *arguments[2:])
    sys.exit(1 if found.findings else 0)
