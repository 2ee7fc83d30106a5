"""Change one input in the workbook that is open in Calc, and see what depends on it change.

    python -m tests.hosts.calc.change_open_book nozzle 5 flow plant_watts

Names or cells (Sheet!A1): the input, its new value, the results to watch. The input is set back at the end.
Exit code 1 if a result does not change, is an error, or does not come back.
"""

import os
import sys

from tests.hosts.calc.calc_session import Calc


def change(calc, name, value, results):
    """(result, before, after, set back) of each result."""
    ((old, *_),) = calc.read([name])
    before = calc.read(results)
    calc.set([(name, float(value))])
    after = calc.read(results)
    calc.set([(name, old)])
    return list(zip(results, before, after, calc.read(results)))


def main(name, value, *results):
    calc = Calc([], os.environ.get("DISPLAY"))  # a second start of LibreOffice only asks the first one to listen
    calc.attach()
    well = True
    for result, (before, _, *_), (after, shown, error, _), (again, *_) in change(calc, name, value, results):
        print(f"{result}: {before:g} -> {shown} -> {again:g}")
        well &= not error and after != before and again == before
    return 0 if well and results else 1


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
