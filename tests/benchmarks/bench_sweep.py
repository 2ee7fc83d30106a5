"""Sweeps of the whole template: against numpy written by hand, and against recalculating one by one."""

import tempfile
from itertools import count
from pathlib import Path
from time import perf_counter, process_time

import numpy as np

from hydrofunc.engine.compile import compile_book
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS, calculated
from hydrofunc.jobs.sweep import sweep
from hydrofunc.template import build
from hydrofunc.workbook.reading import read_book

from . import straight_checks, straight_line
from .asked import asked_by_default, asked_without_checks
from .timing import Row, processor_medians

SCENARIOS = 100_000
BY_DEFAULT = 2_048  # scenarios of a sweep that calculates every check
TOLERANCE = 1e-9  # relative; absolute in the ledger, of the water's power


def report(long=False):
    data = build(example=True)
    book = read_book(data)
    outputs = asked_without_checks(book)
    varied = straight_line.scenarios(SCENARIOS)
    inputs = {book.resolve(name): values for name, values in varied.items()}
    plan = compile_book(book, SHEET_FUNCTIONS, overrides=inputs, outputs=outputs.values())

    swept = plan.run(inputs, lanes=SCENARIOS)
    yield _all_equal(outputs, swept, straight_line.results(varied, share_solver=False), SCENARIOS)

    ours, same, shared = processor_medians(
        lambda: plan.run(inputs, lanes=SCENARIOS),
        lambda: straight_line.results(varied, share_solver=False),
        lambda: straight_line.results(varied, share_solver=True),
        repeats=5,
    )
    yield Row(
        f"{len(outputs)} outputs, engine / numpy by hand, the same kernels called as often",
        ours / same,
        "<= 2",
        f"{ours:.2f} s, {same:.2f} s",
    )
    yield Row(
        f"{len(outputs)} outputs, engine / numpy by hand, operating point solved once for four",
        ours / shared,
        "<= 2",
        f"{ours:.2f} s, {shared:.2f} s",
    )

    one = {key: values[0] for key, values in inputs.items()}
    single, whole = processor_medians(lambda: plan.run(one), lambda: calculated(data), repeats=3)
    per_scenario = ours / SCENARIOS
    yield Row(
        "whole recalc of one / sweep, per scenario",
        whole / per_scenario,
        ">= 1000",
        f"{whole:.3f} s, {1e6 * per_scenario:.1f} µs",
    )
    yield Row(
        "compiled run of one / sweep, per scenario",
        single / per_scenario,
        ">= 1000",
        f"{single:.3f} s, {1e6 * per_scenario:.1f} µs",
    )
    yield from _with_files(data, varied, outputs, ours)
    yield from _all_outputs(book, varied)


def _all_equal(outputs, swept, by_hand, scenarios):
    """A remark that all outputs are equal, and which. Raises `AssertionError` where one is not."""
    assert set(outputs) == set(by_hand)
    for name, key in outputs.items():
        column, other = swept.column(key), by_hand[name]
        assert column.errors is None, name
        scale = by_hand["ledger_gross"] if name.startswith("ledger") else np.abs(other)
        assert (np.abs(column.values - other) <= TOLERANCE * scale).all(), name
    return f"{len(outputs)} outputs of {scenarios:,} scenarios all equal to numpy by hand to {TOLERANCE:g}"


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
            told = f"{taken:.1f} s, {engine:.2f} s; {wall:.0f} s by the clock"
            yield Row(f"sweep from CSV to {ending}, all in / the engine alone", taken / engine, "", told)


def _all_outputs(book, varied):
    """All that a sweep gives by default, the counts of checks too, against by hand: nearly all of it is one check's."""
    outputs = asked_by_default(book)
    varied = {name: values[:BY_DEFAULT] for name, values in varied.items()}
    inputs = {book.resolve(f"yours_{name}"): values for name, values in varied.items()}
    plan = compile_book(book, SHEET_FUNCTIONS, overrides=inputs, outputs=outputs.values())
    swept = plan.run(inputs, lanes=BY_DEFAULT)
    yield _all_equal(outputs, swept, straight_checks.everything(varied), BY_DEFAULT)
    shares = count(1)

    def ours():
        share = 1 - 1e-6 * next(shares)  # new ones every time, as what was just calculated is remembered
        plan.run({key: values * share for key, values in inputs.items()}, lanes=BY_DEFAULT)

    one, other = processor_medians(ours, lambda: straight_checks.everything(varied), repeats=3)
    told = f"{1e3 * one / BY_DEFAULT:.2f} ms, {1e3 * other / BY_DEFAULT:.2f} ms a scenario"
    yield Row(f"all {len(outputs)} outputs, every check too / numpy by hand of the same", one / other, "<= 1.5", told)
