"""How long a changed input takes in LibreOffice Calc: by the macros in a workbook, and by the add-in. One run:

python -m tests.emit.measure_macros
"""

import tempfile
import time
from pathlib import Path
from statistics import median

from hydrofunc.hosts.calc.book import book_for_old_calc
from hydrofunc.hosts.calc.install import install
from hydrofunc.jobs import live
from tests.emit.test_vba_in_calc import DEMO, MACROS_RUN, started
from tests.hosts.calc.calc_session import Calc, options_for

PLACE = "Start!C29"
NOZZLES = (6.5, 5.5, 7.0, 6.0, 7.5, 5.0, 8.0)


def seconds(calc):
    """Until all that hangs on a changed nozzle is calculated, the first and then the median; a hard recalculation."""
    first, *later = (calc.change(PLACE, nozzle) for nozzle in NOZZLES)
    return first, median(later), calc.calculate_all()


def main():
    data = min(path for path in DEMO.glob("*.xlsx") if path.name != "summary.xlsx").read_bytes()
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as name:
        folder = Path(name)
        macros, plain, copy = (folder / part for part in ("site.xlsm", "site.xlsx", "copy.xlsx"))
        macros.write_bytes(live.macro_book(data))
        plain.write_bytes(live._carrying(data, bytes, ""))  # the same cells without the functions
        book_for_old_calc(plain, copy)
        for said, path, calc in (
            ("macros", macros, started(folder / "macros", MACROS_RUN)),
            ("add-in", copy, with_add_in(folder / "add-in")),
        ):
            start = time.perf_counter()
            calc.open(path.as_uri(), path is macros)
            opening = time.perf_counter() - start
            first, later, hard = seconds(calc)
            print(f"{said}: opening {opening:.1f} s, input {first:.2f} s first, {later:.2f} s later; all {hard:.1f} s")
            calc.quit()


def with_add_in(folder):
    folder.mkdir()
    options = options_for(folder)
    install(options)
    return Calc(options)


if __name__ == "__main__":
    main()
