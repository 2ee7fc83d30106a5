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

from .timing import Row

PARTS = 8  # of LEAST_BLOCK scenarios, with all checks and the band


def report(long=False):
    cells = {item.name: (item.sheet, item.cell) for item in INPUTS}
    site = {
        "level_difference": 60.0,
        "pipe_length": 400.0,
        "pipe_bore": 32.6,
    }  # no test day, whose diagnosis takes long
    book = read_book(splice(build(), {}, {cells[name]: value for name, value in site.items()}))
    inputs = [cells[name] for name in ("level_difference", "pipe_length", "nozzle")]
    outputs = list(_outputs(book, "", None).values())
    recipe = _Recipe(book.data, inputs, outputs, cell_named(book, MISSING), measured={})
    times, answers, moved = [], [], []
    for workers in (1, 2):
        with machines(f"local:{workers}", "") as far:
            list(far.in_order(_begun, recipe, _tasks(inputs, 16, AHEAD * workers)))  # the workbook is compiled
            before = far.sent, far.received
            start = perf_counter()
            answers.append(
                [pickle.dumps(answer) for answer in far.in_order(_begun, recipe, _tasks(inputs, LEAST_BLOCK, PARTS))]
            )
            times.append(perf_counter() - start)
            moved.append((far.sent - before[0], far.received - before[1]))
    assert answers[0] == answers[1] and moved[0] == moved[1]
    one, two = times
    scenarios = LEAST_BLOCK * PARTS
    what = f"one worker / two, sweep of {scenarios:,} scenarios, {len(outputs)} outputs, by the clock"
    yield Row(what, one / two, ">= 1.6", f"{one:.1f} s, {two:.1f} s")
    sent, received = (total / scenarios for total in moved[0])
    yield (
        f"bytes for each scenario: {sent:.0f} to the workers, {received:.0f} back; the workbook once to each of them, "
        f"{len(recipe.data):,}"
    )


def _tasks(inputs, size, parts):
    chance = np.random.default_rng(20261128)
    for _ in range(parts):
        columns = (chance.uniform(40, 80, size), chance.uniform(300, 600, size), chance.uniform(4, 9, size))
        yield dict(zip(inputs, columns)), size, frozenset()
