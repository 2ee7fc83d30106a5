"""Run the scenarios of a workbook and write a table of what was varied and what came of it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from ..engine.compile import compile_book
from ..engine.reference import Reference
from ..errors import FileRefused
from ..template import RESULTS_SHEET
from ..workbook.files import refuse_existing
from ..workbook.reading import read_book
from ..workbook.results import Cells, cells_of, cells_of_column, check_ending, open_results
from .recalc import SHEET_FUNCTIONS
from .scenarios import Scenarios, cell_of

PART = 65_536  # scenarios calculated and written together; bounds the memory


@dataclass(frozen=True)
class Swept:
    """How many scenarios `sweep` wrote, how many of them are at fault, and what is wrong with the list."""

    scenarios: int
    at_fault: int
    problems: list


def sweep(
    path: str | Path,
    out: str | Path,
    scenarios: str | Path | None = None,
    vary: Sequence[str] = (),
    outputs: Sequence[str] | None = None,
    force: bool = False,
    progress: Callable[[int, int], None] = lambda done, total: None,
) -> Swept:
    """Run the scenarios of the workbook at `path` and write a table to `out`, a row for each.

    `scenarios` is the path of a CSV or XLSX list, each column headed by a defined name or a cell such as
    ``Pipe!C7``; a blank cell leaves the workbook's own value. `vary` holds texts such as ``nozzle=4:12:0.5``
    or ``pipe_bore=20,25,32``. `outputs` are names or cells; by default all names on the results sheet.

    The columns are the varied inputs, the outputs, and `error`. A scenario with a value that is not allowed
    keeps its row, with blank outputs and the reason as its error. Raises `FileRefused` or `FormulaRefused`
    where nothing can be done.
    """
    book = read_book(path)
    cases = Scenarios(book, scenarios, vary)
    followed = _outputs(book, path, outputs)
    check_ending(out, len(cases))
    refuse_existing([out], force)
    inputs = [target.key for target in cases.targets]
    plan = compile_book(book, SHEET_FUNCTIONS, overrides=inputs, outputs=followed.values())

    def part(start):
        values, errors = cases.part(start, start + PART)
        lanes = min(PART, len(cases) - start)
        result = plan.run(
            {target.key: target.in_cell(column) for target, column in values.items()},
            lanes=lanes,
            progress=lambda done: progress(start + done, len(cases)),
        )
        cells = [cells_of(cases.as_listed(target, values[target], start, errors)) for target in cases.targets]
        cells += [cells_of_column(result.column(key), blank=errors) for key in followed.values()]
        return [*cells, Cells(np.full(lanes, np.nan), errors)]

    names = [*(target.header for target in cases.targets), *followed]
    first = part(0)
    heads = [(name, cells.are_words) for name, cells in zip(names, first)] + [("error", True)]
    with open_results(out, heads, force) as write:
        write(first)
        for start in range(PART, len(cases), PART):
            write(part(start))
    return Swept(len(cases), cases.at_fault, cases.problems)


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
