"""General spreadsheet engines, a plain loop and numpy by hand beside `hydrofunc`: same workbook, same scenarios.

Processor time throughout, of all processes of a rival; a process counts from its start. Each rival calculates as many
scenarios as its limit allows, ours a hundred thousand; where ours are fewer too, the line says so.
"""

import csv
import json
import math
import subprocess
import sys
import tempfile
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from statistics import median
from time import process_time
from typing import NamedTuple

from hydrofunc.engine.compile import compile_book
from hydrofunc.hosts.calc.book import book_for_old_calc
from hydrofunc.hosts.calc.install import install
from hydrofunc.jobs.live import live_book
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS, calculated
from hydrofunc.template import build
from hydrofunc.workbook.reading import read_book

from . import plain_loop, straight_line
from .asked import asked_by_default, asked_without_checks
from .timing import Row, spent_by

MANY = 100_000
FEW, MORE = 1_024, 5_120  # of a sweep of all outputs, which takes too long with MANY; the first 1,024 are small blocks
IN_CALC, IN_ENGINE, BY_HAND = 5, 3, 200  # scenarios of a rival
LIMITS = {"ironcalc": 70, "formulon": 60}  # processor seconds for an engine in a process of its own
LONG_LIMIT = 300
TOLERANCE = 1e-9


class Book(NamedTuple):
    """A workbook, and what is asked of it."""

    what: str
    data: bytes
    outputs: dict[str, tuple[str, str]]
    ours: Callable  # what our engine gives for scenarios
    recalc: float  # seconds of `hydrofunc recalc`, the whole process
    each: float  # seconds a scenario of `hydrofunc sweep` of MANY, the whole process


class Rival(NamedTuple):
    name: str
    book: Book
    once: float | None  # to start, open the workbook, calculate it, and read the outputs
    each: list[float]  # seconds of each scenario
    found: list[list]  # outputs of each scenario


def report(long=False):
    scenarios = straight_line.scenarios(MANY)
    rows = [[float(values[i]) for values in scenarios.values()] for i in range(MORE)]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        plain = calculated(build(example=True)).data
        live = live_book(plain)
        listed = {count: _list(folder / f"{count}.csv", scenarios, count) for count in (FEW, MORE, MANY)}
        everything, few = asked_by_default(read_book(plain)), asked_without_checks(read_book(plain))
        yield f"Outputs: {', '.join(few)}; where it says all also {', '.join(everything.keys() - few.keys())}."
        ranges = [f"{name} {low:g} to {high:g}" for name, (low, high) in straight_line.VARIED.items()]
        yield f"Inputs that vary, at random: {', '.join(ranges)}."
        short = _book(f"template, {len(few)} outputs", plain, few, folder, listed, True)
        yield _ours(short)
        whole = _book("template, all outputs", plain, everything, folder, listed, long)
        yield _ours(whole)
        # The live template has no formula for the doubt: its check waits for Python there, in every engine.
        carrying = _book("live template, all outputs, no doubt", live, everything, folder, listed, long)
        yield _ours(carrying)

        def limit(rival):
            return LONG_LIMIT if long else LIMITS[rival]

        for rival, book, aim, work in (
            ("numpy by hand, no files", short, "", lambda: _by_hand(short, scenarios)),
            ("loop over our functions", short, "", lambda: _loop(short, rows)),
            ("ironcalc", carrying, ">= 400", lambda: _alone(folder, "ironcalc", carrying, rows, limit("ironcalc"))),
            ("formulon", carrying, ">= 400", lambda: _alone(folder, "formulon", carrying, rows, limit("formulon"))),
            ("Calc with the add-in", whole, ">= 8000", lambda: _calc(folder, whole, rows)),
        ):
            try:
                found = work()
            except Exception as error:  # whatever is missing or fails, the other rivals are worth their rows
                found = f"{type(error).__name__}: {error}"
            what = f"{rival}, {book.what.partition(' (')[0]}: a scenario / ours"
            if isinstance(found, str):
                yield Row(what, None, aim, found)
            else:
                yield from _rows(what, aim, found, rows)


def _list(path, scenarios, count):
    with path.open("w", newline="") as stream:
        write = csv.writer(stream)
        write.writerow(scenarios)
        write.writerows(zip(*(values[:count].tolist() for values in scenarios.values())))
    return path


def _book(what, data, outputs, folder, listed, in_full):
    """A workbook with what `hydrofunc` takes for it; MANY scenarios in full, or told from fewer."""
    path, out = folder / "book.xlsx", folder / "out.csv"
    path.write_bytes(data)

    def swept(count):
        words = "sweep", str(path), str(listed[count]), "--outputs", ",".join(outputs), "--out", str(out)
        return spent_by("-m", "hydrofunc", *words, "--cores", "1", "--force").processor

    recalc = spent_by("-m", "hydrofunc", "recalc", str(path), "--out", str(folder / "again.xlsx"), "--force").processor
    if in_full:
        each = swept(MANY) / MANY
    else:
        few, more = swept(FEW), swept(MORE)
        each = few / MANY + (more - few) / (MORE - FEW)
        what += f" (ours told from {FEW} and {MORE} scenarios)"
    book = read_book(data)
    inputs = [book.resolve(f"yours_{name}") for name in straight_line.VARIED]
    plan = compile_book(book, SHEET_FUNCTIONS, overrides=inputs, outputs=outputs.values())

    def ours(rows):
        result = plan.run({key: list(values) for key, values in zip(inputs, zip(*rows))}, lanes=len(rows))
        return list(zip(*(result.column(key).python() for key in outputs.values())))

    return Book(what, data, outputs, ours, recalc, each)


def _ours(book):
    return f"ours, {book.what}: {book.recalc:.2f} s once, {1e3 * book.each:.3f} ms a scenario"


def _alone(folder, name, book, rows, limit):
    """A rival in a process of its own, which ends when its processor time is up."""
    path, questions = folder / "rival.xlsx", folder / "questions.json"
    path.write_bytes(book.data)
    names = read_book(book.data)
    asked = {
        "inputs": [names.resolve(f"yours_{input_}") for input_ in straight_line.VARIED],
        "outputs": list(book.outputs.values()),
        "scenarios": rows[:IN_ENGINE],
    }
    questions.write_text(json.dumps(asked))
    words = sys.executable, "-m", "tests.benchmarks.rival", name, str(path), str(questions), str(limit)
    process = subprocess.run(words, capture_output=True, text=True)
    told = [json.loads(line) for line in process.stdout.splitlines()]
    seconds = [when for when, _ in told]
    if len(told) < 3:
        reached = ("not opened", "opened, not calculated", "calculated once, no scenario")[len(told)]
        why = process.stderr.strip().splitlines()[-1:] if process.returncode > 0 else [f"within {limit} s"]
        return f"{reached}: {' '.join(why)}"
    each = [after - before for before, after in pairwise(seconds[1:])]
    return Rival(name, book, seconds[1], each, [outputs for _, outputs in told[2:]])


def _calc(folder, book, rows):
    from tests.hosts.calc.calc_session import Calc, options_for
    from tests.hosts.calc.measure_calc import processor_seconds

    path, copy = folder / "calc.xlsx", folder / "calc-copy.xlsx"
    path.write_bytes(book.data)
    book_for_old_calc(path, copy, force=True)
    options = options_for(folder)
    install(options)
    calc = Calc(options)
    names = read_book(book.data)
    inputs = ["!".join(names.resolve(f"yours_{name}")) for name in straight_line.VARIED]
    outputs = ["!".join(key) for key in book.outputs.values()]

    def read():
        return [math.nan if error else number for number, _, error, _ in calc.read(outputs)]

    def seconds():
        return sum(processor_seconds(pid) for pid in (calc.pid(), *calc.below()))

    try:
        calc.open(copy.as_uri())
        calc.calculate_all()
        read()
        times, found = [seconds()], []
        for values in rows[: IN_CALC + 1]:
            calc.set_and_calculate(list(zip(inputs, values)), False)  # soft: what hangs on them
            found.append(read())
            times.append(seconds())
    finally:
        calc.quit()
    each = [after - before for before, after in pairwise(times)]
    # The first one still asks one by one.
    return Rival("Calc with the add-in", book, times[0], each[1:], found[: IN_CALC + 1])


def _loop(book, rows):
    begun, found = process_time(), []
    for values in rows[:BY_HAND]:
        results = plain_loop.results(dict(zip(straight_line.VARIED, values)))
        found.append([results[name] for name in book.outputs])
    each = (process_time() - begun) / BY_HAND
    return Rival("loop over our functions", book, None, [each] * BY_HAND, found)


def _by_hand(book, scenarios):
    begun = process_time()
    results = straight_line.results(scenarios, share_solver=True)
    each = (process_time() - begun) / MANY
    found = list(zip(*(results[name][:BY_HAND].tolist() for name in book.outputs)))
    return Rival("numpy by hand, no files", book, None, [each] * MANY, found)


def difference(rival, rows):
    """The largest relative difference from what our engine gives; of a line of the ledger, of the water's power."""
    ours, names = rival.book.ours(rows[: len(rival.found)]), list(rival.book.outputs)
    gross = names.index("ledger_gross")
    worst = 0.0
    for mine, theirs in zip(ours, rival.found):
        for name, one, other in zip(names, mine, theirs):
            if isinstance(one, str) or not isinstance(other, (int, float)):
                worst = max(worst, 0.0 if one == other else math.inf)
                continue
            scale = mine[gross] if name.startswith("ledger") else abs(one)
            apart = abs(one - other)
            worst = max(worst, apart / scale if scale else math.inf if apart else 0.0) if apart == apart else math.inf
    return worst


def _rows(what, aim, rival, rows):
    each, apart = median(rival.each), difference(rival, rows)
    told = f"{_seconds(each)} (median of {len(rival.each)}), {_seconds(rival.book.each)}; differs by {apart:.1e}"
    told += "" if apart <= TOLERANCE else ", WHICH IS TOO MUCH"
    yield Row(what, each / rival.book.each, aim, told)
    if rival.once is not None:
        told = f"{rival.once:.1f} s, {rival.book.recalc:.1f} s"
        what = f"{rival.name}, {rival.book.what.partition(',')[0]}: from start to values once / ours"
        yield Row(what, rival.once / rival.book.recalc, ">= 1", told)


def _seconds(value):
    return f"{value:.2f} s" if value >= 0.1 else f"{1e3 * value:.3g} ms" if value >= 1e-4 else f"{1e6 * value:.3g} µs"
