"""Sweeps of the whole template: against numpy written by hand, and against recalculating one by one."""

import tempfile
from itertools import count
from pathlib import Path
from time import perf_counter, process_time
from unittest.mock import patch

import numpy as np

from hydrofunc.engine.compile import compile_book
from hydrofunc.engine.reference import Reference
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS, calculated
from hydrofunc.jobs.sweep import sweep
from hydrofunc.physics import doubt
from hydrofunc.template import RESULTS_SHEET, build
from hydrofunc.workbook.reading import read_book

from . import straight_line
from .timing import line, processor_medians

SCENARIOS = 100_000
BY_DEFAULT = 2_048  # scenarios of a sweep that calculates every check
ELSEWHERE = {"plant_best_at_hand"}  # looked up in the table of sheet Nozzle, which is not written out by hand
TOLERANCE = 1e-9  # relative; absolute in the ledger, of the water's power


def report():
    data = build(example=True)
    book = read_book(data)
    outputs = {
        name: book.resolve(name)
        for name, target in book.names.items()
        if isinstance(target, Reference)
        and target.single
        and target.sheet == RESULTS_SHEET
        and name not in ELSEWHERE
        and not name.startswith("checks_")  # these hang on sheets that are not written out by hand
    }
    varied = straight_line.scenarios(SCENARIOS)
    inputs = {book.resolve(name): values for name, values in varied.items()}
    plan = compile_book(book, SHEET_FUNCTIONS, overrides=inputs, outputs=outputs.values())

    by_hand = straight_line.results(varied, share_solver=False)
    swept = plan.run(inputs, lanes=SCENARIOS)
    for name, key in outputs.items():
        _assert_equal(name, swept.column(key), by_hand[name], by_hand["ledger_gross"])
    assert set(outputs) == set(by_hand)
    yield f"{SCENARIOS} scenarios, {len(varied)} inputs, {len(outputs)} outputs: all equal to {TOLERANCE:g}"

    ours, same, shared = processor_medians(
        lambda: plan.run(inputs, lanes=SCENARIOS),
        lambda: straight_line.results(varied, share_solver=False),
        lambda: straight_line.results(varied, share_solver=True),
        repeats=5,
    )
    yield line(
        "engine / numpy by hand, the same kernels called as often",
        ours / same,
        "<= 2",
        f"{ours:.2f} s, {same:.2f} s",
    )
    yield line(
        "engine / numpy by hand, operating point solved once for four",
        ours / shared,
        "<= 2",
        f"{ours:.2f} s, {shared:.2f} s",
    )

    one = {key: values[0] for key, values in inputs.items()}
    single, whole = processor_medians(lambda: plan.run(one), lambda: calculated(data), repeats=5)
    per_scenario = ours / SCENARIOS
    yield line(
        "whole recalc of one / sweep, per scenario",
        whole / per_scenario,
        ">= 1000",
        f"{whole:.3f} s, {1e6 * per_scenario:.1f} µs",
    )
    yield line(
        "compiled run of one / sweep, per scenario",
        single / per_scenario,
        ">= 1000",
        f"{single:.3f} s, {1e6 * per_scenario:.1f} µs",
    )
    yield from _with_files(data, varied, outputs, ours)
    yield from _all_outputs(book, varied)


def _assert_equal(name, column, by_hand, gross):
    assert column.errors is None, name
    scale = gross if name.startswith("ledger") else np.abs(by_hand)
    assert (np.abs(column.values - by_hand) <= TOLERANCE * scale).all(), name


def _with_files(data, varied, outputs, engine):
    """The same sweep as a command runs it, files and checks of every value included."""
    with tempfile.TemporaryDirectory() as folder:
        book, listed = Path(folder, "book.xlsx"), Path(folder, "scenarios.csv")
        book.write_bytes(data)
        rows = np.column_stack(list(varied.values()))
        np.savetxt(listed, rows, fmt="%.17g", delimiter=",", header=",".join(varied), comments="")
        for ending in (".csv", ".parquet"):
            start = perf_counter(), process_time()
            sweep(book, Path(folder, f"out{ending}"), listed, outputs=list(outputs))
            taken, wall = process_time() - start[1], perf_counter() - start[0]
            told = f"{taken:.1f} s, {taken / engine:.1f} x the engine"
            yield f"the same from CSV to {ending}, all in: {told} ({wall:.0f} s by the clock)"


def _all_outputs(book, varied):
    """All that a sweep gives by default, the counts of checks too, against by hand: nearly all of it is one check's.

    By hand are the outputs above and what the check of the doubt needs, 2,039 plants for each scenario; the other
    checks and the nozzle of those at hand are not, so by hand it would take longer.
    """
    names = [name for name, target in book.names.items() if isinstance(target, Reference) and target.single]
    outputs = [book.resolve(name) for name in names if book.resolve(name)[0] == RESULTS_SHEET]
    asked = [book.resolve(name) for name in ("doubt_mean", "doubt_uncertainty")]
    varied = {name: values[:BY_DEFAULT] for name, values in varied.items()}
    inputs = {book.resolve(f"yours_{name}"): values for name, values in varied.items()}
    plan = compile_book(book, SHEET_FUNCTIONS, overrides=inputs, outputs=[*outputs, *asked])
    given, real = [], doubt.in_doubt
    with patch.object(doubt, "in_doubt", lambda *all_: given.append(all_) or real(*all_)):
        result = plan.run(inputs, lanes=BY_DEFAULT)
    (known, lines, halves, middles, _), shape = given[0], (BY_DEFAULT, len(given[0][1]))
    halves, middles = np.broadcast_to(halves, shape), np.broadcast_to(middles, shape)
    for key, by_hand in zip(asked, straight_line.doubtful_watts(known, lines, halves, middles)):
        assert (np.abs(result.column(key).values - by_hand) <= TOLERANCE * by_hand).all(), key
    shares = count(1)

    def by_hand():
        straight_line.results(varied, share_solver=True)
        straight_line.doubtful_watts(known, lines, halves, middles)

    def ours():
        share = 1 - 1e-6 * next(shares)  # new ones every time, as what was just calculated is remembered
        plan.run({key: values * share for key, values in inputs.items()}, lanes=BY_DEFAULT)

    one, other = processor_medians(ours, by_hand, repeats=3)
    told = f"{1e3 * one / BY_DEFAULT:.2f} ms, {1e3 * other / BY_DEFAULT:.2f} ms a scenario"
    yield line(f"all {len(outputs)} outputs, checks too / numpy by hand, at most", one / other, "<= 1.5", told)
