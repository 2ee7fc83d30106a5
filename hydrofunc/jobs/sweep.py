"""Run the scenarios of a workbook and write a table of what was varied and what came of it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

import numpy as np

from ..engine.compile import compile_book
from ..engine.reference import Reference
from ..errors import FileRefused
from ..template import PLACED, RESULTS_SHEET, Input, Result, Table
from ..template.model import Formula
from ..workbook.files import refuse_existing
from ..workbook.lists import Problem
from ..workbook.reading import read_book
from ..workbook.results import Cells, cells_of, cells_of_column, check_ending, open_results
from .best import TOLD, Best
from .inputs import head_with, split_head
from .needs import MISSING, cell_named
from .recalc import SHEET_FUNCTIONS
from .scenarios import Scenarios, cell_of

# A name of the template stands for a cell in the functions' unit, whatever unit the sheet shows.
_UNITS = {item.name: item.unit for items in PLACED.values() for _, item in items if isinstance(item, (Input, Result))}
_UNITS |= {
    cell.name: cells[table.heads.index("unit")]
    for items in PLACED.values()
    for _, table in items
    if isinstance(table, Table) and "unit" in table.heads
    for cells in table.rows
    for cell in cells
    if isinstance(cell, Formula) and cell.name and isinstance(cells[table.heads.index("unit")], str)
}
PART = 65_536  # scenarios calculated and written together; bounds the memory


@dataclass(frozen=True)
class Swept:
    """How many scenarios `sweep` wrote, how many of them are at fault, what is wrong with the list, the best rows."""

    scenarios: int
    at_fault: int
    problems: list
    best: list[str]


def sweep(
    path: str | Path,
    out: str | Path,
    scenarios: str | Path | None = None,
    vary: Sequence[str] = (),
    outputs: Sequence[str] | None = None,
    force: bool = False,
    progress: Callable[[int, int], None] = lambda done, total: None,
    yes: bool = False,
) -> Swept:
    """Run the scenarios of the workbook at `path` and write a table to `out`, a row for each.

    `scenarios` is the path of a CSV or XLSX list, each column headed by a defined name or a cell such as
    ``Pipe!C7``; a blank cell leaves the workbook's own value. `vary` holds texts such as ``nozzle=4:12:0.5``
    or ``pipe_bore=20,25,32``. `outputs` are names or cells; by default all names on the results sheet. More than
    `MOST_SCENARIOS` are refused, but for `yes`.

    The columns are the varied inputs, the outputs, and `error`; their heads have the unit in brackets. A scenario with
    a value that is not allowed keeps its row, with blank outputs and the reason as its error; one without results, as
    an input that is needed is missing, says so there. Raises `FileRefused` or `FormulaRefused` where nothing can be
    done.
    """
    book = read_book(path)
    cases = Scenarios(book, scenarios, vary, yes)
    followed = _outputs(book, path, outputs)
    check_ending(out, len(cases))
    refuse_existing([out], force)
    inputs = [target.key for target in cases.targets]
    missing = cell_named(book, MISSING)
    plan = compile_book(book, SHEET_FUNCTIONS, overrides=inputs, outputs=[*followed.values(), *filter(None, [missing])])
    _refuse_unread(cases.targets, plan)
    without: dict[str, int] = {}  # how many scenarios have no results, by what is needed

    def part(start):
        values, errors = cases.part(start, start + PART)
        lanes = min(PART, len(cases) - start)
        result = plan.run(
            {target.key: target.in_cell(column) for target, column in values.items()},
            lanes=lanes,
            progress=lambda done: progress(start + done, len(cases)),
        )
        cells = [cells_of(cases.as_listed(target, values[target], start, errors)) for target in cases.targets]
        outputs = [cells_of_column(result.column(key), blank=errors) for key in followed.values()]
        words = result.column(missing).python() if missing else []
        lacking = {
            lane: f"no results: {said.strip()}" for lane, said in enumerate(words) if said and lane not in errors
        }
        for said in lacking.values():
            without[said] = without.get(said, 0) + 1
        return [*cells, *outputs, Cells(np.full(lanes, np.nan), errors | lacking)]

    names = [head_with(split_head(target.header)[0], target.unit) for target in cases.targets]
    names += [head_with(name, _UNITS.get(name, "") if missing else "") for name in followed]
    first = part(0)
    heads = [(name, cells.are_words) for name, cells in zip(names, first)] + [("error", True)]
    best = Best(names, len(inputs), TOLD)
    with open_results(out, heads, force) as write:
        for columns in chain([first], map(part, range(PART, len(cases), PART))):
            best.add(columns)
            write(columns)
    lacking = [Problem(None, "", f"{count} of {len(cases)} scenarios: {said}") for said, count in without.items()]
    return Swept(len(cases), cases.at_fault + sum(without.values()), [*cases.problems, *lacking], best.lines())


def _refuse_unread(targets, plan):
    """Raise `FileRefused` for an empty cell that no formula reads: a scenario would only seem to be another."""
    read = {key for keys in plan.precedents.values() for key in keys}
    unread = [target.header for target in targets if target.base is None and not target.item and target.key not in read]
    if unread:
        raise FileRefused(f"{', '.join(unread)}: an empty cell, and no formula on the way to the outputs reads it")


def _outputs(book, path, outputs):
    """(sheet, cell) by name of what is to be collected."""
    if outputs is not None:
        return {name: cell_of(book, name) for name in outputs}
    named = {
        name: book.resolve(name)
        for name, target in book.names.items()
        if isinstance(target, Reference) and target.single and target.sheet == RESULTS_SHEET
    }
    if not named:
        raise FileRefused(f"{path}: no names on a sheet {RESULTS_SHEET}; say with --outputs what to collect")
    return named
