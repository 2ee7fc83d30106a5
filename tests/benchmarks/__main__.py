"""Run the benchmarks and print one table of their figures:  python -m tests.benchmarks [--long] [NAME ...]

Each runs in a process of its own, so that none has another's memory or caches. One that fails or takes too long costs
its further rows and no others. Without names all of them, within some 8 minutes on two cores that nobody else uses.
`--long` adds what takes longer: a hundred thousand scenarios with all checks, ten million rows.
"""

import json
import os
import signal
import subprocess
import sys
import tempfile
from contextlib import suppress
from threading import Timer
from time import perf_counter

from .timing import Row

ALL = "startup", "recalc", "plant", "sweep", "cores", "kernels", "cluster", "rivals", "memory"
LIMIT, LONG_LIMIT = 600, 7200  # seconds by the clock of one benchmark


def main():
    long = "--long" in sys.argv
    names = [word for word in sys.argv[1:] if not word.startswith("-")] or ALL
    begun, said = perf_counter(), {}
    for name in names:
        start = perf_counter()
        said[name] = list(_said_by(name, long))
        print(f"({name}: {perf_counter() - start:.0f} s)", flush=True)
    print(f"\n{'what':<84} {'figure':>10}   {'aim':<16}   from")
    for name, items in said.items():
        print(f"-- {name}")
        for item in items:
            print(item)
    rows = [item for items in said.values() for item in items if isinstance(item, Row)]
    met = [row.met() for row in rows if row.aim]
    counts = ", ".join(f"{met.count(word)} {word}" for word in ("met", "NOT MET", "NOT HAD"))
    print(f"\n{len(rows)} figures, {len(met)} with an aim: {counts}; {perf_counter() - begun:.0f} s by the clock")


def _said_by(name, long):
    """Rows and remarks of one benchmark, printed as they come; a row that says so where it did not end well."""
    limit = LONG_LIMIT if long else LIMIT
    words = [sys.executable, "-m", "tests.benchmarks.alone", name, *(["--long"] if long else [])]
    with tempfile.TemporaryFile("w+") as errors:
        process = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=errors, text=True, start_new_session=True)
        late = Timer(limit, _end, [process])
        late.start()
        for line in process.stdout:
            if not line.endswith("\n"):  # it was ended while it said that
                break
            item = json.loads(line)
            item = item if isinstance(item, str) else Row(*item)
            print(item, flush=True)
            yield item
        if process.wait():
            errors.seek(0)
            last = errors.read().strip().splitlines()[-1:] if late.is_alive() else []
            yield Row(f"{name}: did not end", None, "", " ".join(last) or f"stopped after {limit} s")
        late.cancel()


def _end(process):
    """The process and all that it began: it leads a group of its own."""
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)


main()
