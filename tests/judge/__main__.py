"""Judge a product on invented true sites:  python -m tests.judge [--seed N]"""

import argparse
import sys

from .fakes import HONEST
from .protocol import load
from .scores import PARTS, Referee, judged

POPULATIONS = {population.name: population for population in HONEST}


def main() -> int:
    """Print the scores; 0 where all that is wanted is reached."""
    parser = argparse.ArgumentParser(prog="python -m tests.judge", description=__doc__)
    parser.add_argument("--seed", type=int, default=1, help="another seed: other sites")
    parser.add_argument("--sites", type=int, default=50, help="how many (proposals: three fifths of it)")
    parser.add_argument("--draws", type=int, default=4, help="sites each measurement is tried with")
    parser.add_argument("--population", choices=POPULATIONS, default="own", help="whose sites")
    parser.add_argument("--only", choices=PARTS, help="one part of the scores")
    parser.add_argument("--unsaid", action="store_true", help="the person tells no half ranges")
    parser.add_argument("--product", default="tests.judge.product:product", help="module:function")
    chosen = parser.parse_args()
    population = POPULATIONS[chosen.population]
    referee = Referee(load(chosen.product), chosen.seed, chosen.unsaid, population)
    report = judged(referee, chosen.sites, chosen.draws, HONEST[population], chosen.only)
    print(report)
    print("all reached" if report.passed else "NOT all reached")
    return 0 if report.passed else 1


if __name__ == "__main__":
    sys.exit(main())
