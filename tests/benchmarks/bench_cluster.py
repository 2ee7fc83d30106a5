"""A sweep of the template on workers of this machine: two against one, and the bytes between them and who asks."""

import pickle
from time import perf_counter

import numpy as np

from hydrofunc.engine.run import LEAST_BLOCK
from hydrofunc.jobs.cluster import AHEAD, machines
from hydrofunc.jobs.needs import MISSING, cell_named
from hydrofunc.jobs.sweep import _begun, _outputs, _Recipe
from hydrofunc.template import INPUTS, build
from hydrofunc.workbook.reading import read_book
from hydrofunc.workbook.splice import splice

from .timing import line

PARTS = 8  # of LEAST_BLOCK scenarios, with all checks and the band
FEW = ("plant_watts", "plant_flow")  # results for which no check is calculated
LARGER, PARTS_OF_FEW = 16_384, 32


def report():
    cells = {item.name: (item.sheet, item.cell) for item in INPUTS}
    site = {
        "level_difference": 60.0,
        "pipe_length": 400.0,
        "pipe_bore": 32.6,
    }  # no test day, whose diagnosis takes long
    book = read_book(splice(build(), {}, {cells[name]: value for name, value in site.items()}))
    inputs = [cells[name] for name in ("level_difference", "pipe_length", "nozzle")]
    missing = cell_named(book, MISSING)
    yield from _compared(book, inputs, list(_outputs(book, "", None).values()), missing, LEAST_BLOCK, PARTS, ">= 1.6")
    few = [book.resolve(name) for name in FEW]
    yield from _compared(book, inputs, few, missing, LARGER, PARTS_OF_FEW, ">= 0")


def _compared(book, inputs, outputs, missing, size, parts, aim):
    recipe = _Recipe(book.data, inputs, outputs, missing)
    times, answers, moved = [], [], []
    for workers in (1, 2):
        with machines(f"local:{workers}", "") as far:
            list(far.in_order(_begun, recipe, _tasks(inputs, 256, AHEAD * workers)))  # the workbook is compiled
            before = far.sent, far.received
            start = perf_counter()
            answers.append(
                [pickle.dumps(answer) for answer in far.in_order(_begun, recipe, _tasks(inputs, size, parts))]
            )
            times.append(perf_counter() - start)
            moved.append((far.sent - before[0], far.received - before[1]))
    assert answers[0] == answers[1] and moved[0] == moved[1]
    one, two = times
    scenarios = size * parts
    what = f"one worker / two, sweep of {scenarios:,} scenarios, {len(outputs)} outputs"
    yield line(what, one / two, aim, f"{one:.1f} s, {two:.1f} s")
    sent, received = (total / scenarios for total in moved[0])
    yield (
        f"{1e6 * one / scenarios:,.0f} µs for each scenario on one worker; to workers {sent:.0f} bytes for each, back "
        f"{received:.0f}; the workbook once to each of them, {len(recipe.data):,} bytes"
    )


def _tasks(inputs, size, parts):
    chance = np.random.default_rng(20261128)
    for _ in range(parts):
        columns = (chance.uniform(40, 80, size), chance.uniform(300, 600, size), chance.uniform(4, 9, size))
        yield dict(zip(inputs, columns)), size, frozenset()
