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
from hydrofunc.jobs.sweep import _outputs
from hydrofunc.template import build
from hydrofunc.workbook.reading import read_book

from . import plain_loop, straight_line
from .timing import spent_by

MANY = 100_000
FEW, MORE = 1_024, 4_096  # of a sweep of all outputs, which takes too long with MANY; the first 1,024 are small blocks
IN_CALC, IN_ENGINE, BY_HAND = 5, 3, 200  # scenarios of a rival
LIMIT = 70  # processor seconds for an engine in a process of its own
TOLERANCE = 1e-9
HEADS = "rival", "opened + once", "a scenario", "ours", "ratio", "aim", "", "difference"


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
    engine: bool = True
    aim: float | None = None


def report(long=False):
    scenarios = straight_line.scenarios(MANY)
    rows = [[float(values[i]) for values in scenarios.values()] for i in range(MORE)]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        plain = calculated(build(example=True)).data
        live = live_book(plain)
        listed = {count: _list(folder / f"{count}.csv", scenarios, count) for count in (FEW, MORE, MANY)}
        everything, few = _asked(plain), _asked(plain, by_hand=True)
        yield f"Outputs: {', '.join(few)}; where it says all also {', '.join(everything.keys() - few.keys())}."
        ranges = [f"{name} {low:g} to {high:g}" for name, (low, high) in straight_line.VARIED.items()]
        yield f"Inputs that vary, at random: {', '.join(ranges)}."
        short = _book("template, 28 outputs", plain, few, folder, listed, True)
        yield _ours(short)
        whole = _book("template, all outputs", plain, everything, folder, listed, long)
        yield _ours(whole)
        carrying = _book("live template, all outputs", live, everything, folder, listed, long)
        yield _ours(carrying)
        rivals = []
        for work in (
            lambda: _by_hand(short, scenarios),
            lambda: _loop(short, rows),
            lambda: _calc(folder, whole, rows),
            lambda: _alone(folder, "ironcalc", carrying, rows),
            lambda: _alone(folder, "formulon", carrying, rows),
        ):
            rival = work()
            if isinstance(rival, str):
                yield rival
                continue
            if not rivals:
                yield _line(HEADS)
            rivals.append(rival)
            yield _line(_cells(rival, rows))
        yield from _aims([rival for rival in rivals if rival.engine])


def _asked(data, by_hand=False):
    """The outputs of a sweep by default, by name; those that are written out by hand, without the counts of checks."""
    named = _outputs(read_book(data), "the template", None)
    left_out = {"plant_best_at_hand", "checks_stop", "checks_look"} if by_hand else ()
    return {name: key for name, key in named.items() if name not in left_out}


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


def _alone(folder, name, book, rows):
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
    words = "-m", "tests.benchmarks.rival", name, str(path), str(questions)
    words += (str(LIMIT),)
    process = subprocess.run([sys.executable, *words], stdout=subprocess.PIPE, text=True)
    told = [json.loads(line) for line in process.stdout.splitlines()]
    seconds = [when for when, _ in told]
    if len(told) < 2:
        reached = f"opened after {seconds[0]:.0f} s, not calculated" if told else "not even opened"
        return f"{name}, {book.what}: {reached} within {LIMIT} s"
    each = [after - before for before, after in pairwise(seconds[1:])]
    return Rival(name, book, seconds[1], each, [outputs for _, outputs in told[2:]], aim=400)


def _calc(folder, book, rows):
    from tests.hosts.calc.calc_session import Calc, options_for
    from tests.hosts.calc.measure_calc import processor_seconds

    path, copy = folder / "calc.xlsx", folder / "calc-copy.xlsx"
    path.write_bytes(book.data)
    book_for_old_calc(path, copy, force=True)
    options = options_for(folder)
    try:
        install(options)
        calc = Calc(options)
    except Exception as error:  # whatever is missing, the other rivals are worth their lines
        return f"Calc: not here ({error})"
    names = read_book(book.data)
    inputs = ["!".join(names.resolve(f"yours_{name}")) for name in straight_line.VARIED]
    outputs = ["!".join(key) for key in book.outputs.values()]

    def read():
        return [math.nan if error else number for number, _, error, _ in calc.read(outputs)]

    def seconds():
        return sum(processor_seconds(pid) for pid in (calc.pid(), *calc.below()))

    calc.open(copy.as_uri())
    calc.calculate_all()
    read()
    times, found = [seconds()], []
    for values in rows[: IN_CALC + 1]:
        calc.set_and_calculate(list(zip(inputs, values)), hard=False)
        found.append(read())
        times.append(seconds())
    calc.quit()
    each = [after - before for before, after in pairwise(times)]
    # The first one still asks one by one.
    return Rival("Calc with the add-in", book, times[0], each[1:], found[: IN_CALC + 1], aim=8000)


def _loop(book, rows):
    begun, found = process_time(), []
    for values in rows[:BY_HAND]:
        results = plain_loop.results(dict(zip(straight_line.VARIED, values)))
        found.append([results[name] for name in book.outputs])
    each = (process_time() - begun) / BY_HAND
    return Rival("loop over our functions", book, None, [each] * BY_HAND, found, engine=False)


def _by_hand(book, scenarios):
    begun = process_time()
    results = straight_line.results(scenarios, share_solver=True)
    each = (process_time() - begun) / MANY
    found = list(zip(*(results[name][:BY_HAND].tolist() for name in book.outputs)))
    return Rival("numpy by hand, no files", book, None, [each] * MANY, found, engine=False)


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


def _cells(rival, rows):
    each, apart = median(rival.each), difference(rival, rows)
    ratio = each / rival.book.each
    met = "" if rival.aim is None else "met" if ratio >= rival.aim else "NOT MET"
    return (
        f"{rival.name}, {rival.book.what}",
        "" if rival.once is None else f"{rival.once:.1f} s",
        f"{_seconds(each)} ({len(rival.each)})",
        _seconds(rival.book.each),
        f"{ratio:.4g}",
        "" if rival.aim is None else f">= {rival.aim}",
        met,
        f"{apart:.1e}" if apart <= TOLERANCE else f"{apart:.1e} IS TOO MUCH",
    )


def _seconds(value):
    return f"{value:.2f} s" if value >= 0.1 else f"{1e3 * value:.3g} ms" if value >= 1e-4 else f"{1e6 * value:.3g} µs"


def _line(cells):
    name, *rest = cells
    return f"{name}\n    " + " ".join(f"{cell:>17}" for cell in rest).rstrip()


def _aims(rivals):
    """Whether one recalculation of one workbook takes us less than each of them, opening it included."""
    for rival in rivals:
        met = "met" if rival.book.recalc < rival.once else "NOT MET"
        times = f"{rival.name} {rival.once:.1f} s, hydrofunc {rival.book.recalc:.1f} s"
        yield f"one recalculation, from start to values, {rival.book.what.partition(',')[0]}: {times}: {met}"


if __name__ == "__main__":
    for text in report(long="--long" in sys.argv):
        print(text, flush=True)
