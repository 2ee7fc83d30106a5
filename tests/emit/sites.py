"""A live workbook at many sites: what is typed changes, and every formula cell follows in an engine that is not ours.

    python -m tests.emit.sites ENGINE [SITE ...]

By default the sites of tests/template/test_template_oracle.py, and MORE.

Prints the cells compared and those unlike, site by site. Python's own values are those of the live workbook: where its
cells hold #N/A for a function that no live workbook has, both calculate with that.
"""

import sys
import time
from collections.abc import Iterator

from hydrofunc.engine.compile import compile_book
from hydrofunc.engine.lanes import ExcelError
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS
from hydrofunc.workbook.reading import read_book
from tests.emit.books import agree, formulas_and_values
from tests.emit.engines import BOOKS
from tests.template.test_template_oracle import PLACE
from tests.template.test_template_oracle import SITES as ORACLE_SITES

# What those sites leave as it comes: invented, as everything here.
MORE: dict[str, dict[str, object]] = {
    "high and short, a hair of a jet": {
        "static_pressure": 18.0,
        "pipe_length": 420.0,
        "nozzle": 2.1,
        "bucket_seconds": 120.0,
    },
    "low and wide, four jets": {
        "static_pressure": 1.1,
        "pipe_length": 60.0,
        "pipe_bore": 102.0,
        "nozzle": 14.0,
        "jets": 4.0,
        "bucket_seconds": 2.0,
    },
    "a nozzle wider than the pipe": {"nozzle": 60.0},
    "a nozzle wider than the last section": {"length_2": 30.0, "bore_2": 9.0, "roughness_2": 0.01, "nozzle": 11.0},
    "a wheel that is far too large": {"pitch_diameter": 600.0},
    "a wheel that is far too small, on a stiff alternator": {"pitch_diameter": 40.0, "terminal_inductance": 0.1},
    "no cable to speak of": {"cable_length": 0.1, "cable_area": 95.0},
    "a cable as thin as a hair": {"cable_length": 300.0, "cable_area": 0.5},
    "nearly still water, warm": {"bucket_seconds": 6000.0, "water_temperature": 30.0},
}
SITES: dict[str, dict[str, object]] = {**ORACLE_SITES, **MORE}


def compared(live: bytes, sites: list[str], engine: str) -> Iterator[tuple[str, int, dict]]:
    """(site, cells compared, what is unlike: cell to formula, Python's value, the other one's), site by site."""
    cells = formulas_and_values(live)
    book = read_book(live)
    plan = compile_book(book, SHEET_FUNCTIONS, overrides=list(PLACE.values()))
    other = BOOKS[engine](live)
    typed: dict = {}
    for site in sites:
        before = typed
        typed = {PLACE[name]: value for name, value in SITES[site].items()}
        for key in before.keys() | typed.keys():
            other.type(key, typed.get(key, book.cells.get(key)))
        other.calculate()
        ours = plan.run(typed)
        unlike = {}
        for key, (text, _) in cells.items():
            value, theirs = ours.value(key), other.value(key)
            if not agree(value.text if isinstance(value, ExcelError) else value, theirs):
                unlike[key] = text, value, theirs
        yield site, len(cells), unlike


if __name__ == "__main__":
    from hydrofunc.jobs.live import live_book
    from hydrofunc.jobs.recalc import calculated
    from hydrofunc.template import build

    started, worst = time.perf_counter(), 0
    engine, *sites = sys.argv[1:]
    for site, count, unlike in compared(live_book(calculated(build(example=True)).data), sites or list(SITES), engine):
        worst += len(unlike)
        print(f"{time.perf_counter() - started:4.0f} s  {site}: {count} cells, {len(unlike)} unlike", flush=True)
        for key, what in list(unlike.items())[:5]:
            print("    ", key, *what)
    sys.exit(1 if worst else 0)
