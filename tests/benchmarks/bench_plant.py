"""A whole plant in one argument against the same as single arguments: the fifteen lines of a plant's ledger."""

import io

import numpy as np
import openpyxl

import hydrofunc
from hydrofunc.engine.compile import compile_book
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS
from hydrofunc.physics.ledger import LINES
from hydrofunc.workbook.reading import read_book

from .timing import Row, processor_medians

SHEET = "Plant"
SCENARIOS = 100_000
RANGES = {"gross_head": (60, 110), "nozzle": (6, 11), "alignment": (0.8, 1), "phase_volts": (10, 14)}


def _workbook():
    """Names and values in A and B, the ledger by single arguments in D and by the block in E; rows of the names."""
    ledger = hydrofunc.functions()["power_ledger"]
    names = [argument for argument in ledger.arguments if argument.name != "ledger_line"]
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = SHEET
    for row, argument in enumerate(names, start=1):
        value = ledger.example.arguments.get(argument.name, argument.default)
        sheet.cell(row, 1, argument.name)
        sheet.cell(row, 2, None if value == np.inf else value)
    single = ",".join(f"B{row}" for row in range(1, len(names) + 1))
    for row, name in enumerate(LINES, start=1):
        sheet.cell(row, 4, f'=HYDRO_POWER_LEDGER({single},"{name}")')
        sheet.cell(row, 5, f'=HYDRO_PLANT($A$1:$B${len(names)},"{name} watts")')
    stream = io.BytesIO()
    book.save(stream)
    return read_book(stream.getvalue()), {argument.name: row for row, argument in enumerate(names, start=1)}


def report(long=False):
    book, rows = _workbook()
    cells = {name: (SHEET, f"B{rows[name]}") for name in RANGES}
    plans = [
        compile_book(
            book,
            SHEET_FUNCTIONS,
            overrides=cells.values(),
            outputs=[(SHEET, f"{column}{row}") for row in range(1, len(LINES) + 1)],
        )
        for column in "DE"
    ]
    random = np.random.default_rng(1)

    def runs(plan, lanes):
        """With new plants every time, as nobody calculates the same one twice."""

        def run():
            values = {cells[name]: random.uniform(*ends, lanes) for name, ends in RANGES.items()}
            plan.run(values if lanes > 1 else {cell: value[0] for cell, value in values.items()}, lanes=lanes)

        return run

    same = {cells[name]: random.uniform(*ends, 1000) for name, ends in RANGES.items()}
    single, block = (plan.run(same, lanes=1000) for plan in plans)
    for row in range(1, len(LINES) + 1):
        assert single.column((SHEET, f"D{row}")).python() == block.column((SHEET, f"E{row}")).python()
    yield f"{len(LINES)} lines of the ledger of 1000 plants: HYDRO_PLANT equals HYDRO_POWER_LEDGER to the bit"
    for lanes, repeats in ((1, 40), (SCENARIOS, 3)):
        one, other = processor_medians(*(runs(plan, lanes) for plan in plans), repeats=repeats)
        yield Row(
            f"{len(LINES)} ledger lines, single arguments / block, {lanes} plants at once",
            one / other,
            ">= 3",
            f"{1000 * one:.1f} ms, {1000 * other:.1f} ms",
        )
