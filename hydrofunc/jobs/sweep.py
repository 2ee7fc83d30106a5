"""Run the scenarios of a workbook and write a table of what was varied and what came of it."""

from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import dataclass
from itertools import chain, pairwise
from pathlib import Path
from time import perf_counter

import numpy as np

from ..engine.book import Book
from ..engine.compile import compile_book
from ..engine.reference import Reference
from ..engine.run import BLOCK, LEAST_BLOCK, Plan
from ..errors import FileRefused
from ..template import PLACED, RESULTS_SHEET, Input, Result, Table
from ..template.model import Formula
from ..workbook.files import refuse_existing
from ..workbook.lists import Problem
from ..workbook.reading import read_book
from ..workbook.results import Cells, cells_of, cells_of_column, check_ending, joined, open_results
from .best import TOLD, Best, Wanted
from .cluster import about, machines
from .cores import available, in_order
from .inputs import head_with, split_head
from .journal import Journal, name_of_run
from .latin import Latin
from .measured import as_measured, with_values
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
PART = 65_536  # scenarios written together; bounds the memory
TIMED = 1024  # of so many scenarios the first ones show how long the others will take
SECONDS = 6.0  # that a process shall work on its part: fewer scenarios at a time cost more each
LONG = 20.0  # seconds to be gained from which a run is shared among processes: to start them takes some
KEPT = 60.0  # seconds that a run still takes, from which what it has done is kept should it be stopped


@dataclass(frozen=True)
class Swept:
    """How many scenarios `sweep` had, how many of them are at fault, what is wrong with the list, the best rows, how
    many rows it wrote, and whether what was measured stayed as the workbook has it (see `measured`).
    """

    scenarios: int
    at_fault: int
    problems: list
    best: list[str]
    rows: int
    keeps_measured: bool


@dataclass(frozen=True)
class _Recipe:
    """All that another process needs to calculate scenarios: the workbook, and the cells that are varied and asked."""

    data: bytes
    inputs: list
    outputs: list
    missing: tuple | None
    measured: dict

    def compiled(self, book: Book) -> Plan:
        book, outputs = with_values(book, self.measured), [*self.outputs, *filter(None, [self.missing])]
        return compile_book(book, SHEET_FUNCTIONS, overrides=self.inputs, outputs=outputs)

    def calculating(self, plan: Plan) -> Callable:
        """A function of the values of some scenarios: cells of the outputs, and what is missing, by index."""

        def calculate(values, lanes, at_fault):
            result = plan.run(values, lanes=lanes)
            cells = [cells_of_column(result.column(key), blank=at_fault) for key in self.outputs]
            words = result.column(self.missing).python() if self.missing else []
            return cells, {lane: said.strip() for lane, said in enumerate(words) if said and lane not in at_fault}

        return calculate


def _begun(recipe: _Recipe) -> Callable:
    """What another process calculates with."""
    return recipe.calculating(recipe.compiled(read_book(recipe.data)))


def sweep(
    path: str | Path,
    out: str | Path,
    scenarios: str | Path | None = None,
    vary: Sequence[str] = (),
    outputs: Sequence[str] | None = None,
    force: bool = False,
    progress: Callable[[int, int], None] = lambda done, total: None,
    yes: bool = False,
    cores: int | None = 1,
    resume: bool = False,
    where: Sequence[str] = (),
    keep: int | None = None,
    by: str = "",
    latin: int | None = None,
    seed: int | None = None,
    cluster: str | None = None,
    of_each: bool = False,
) -> Swept:
    """Run the scenarios of the workbook at `path` and write a table to `out`, a row for each.

    `scenarios` is the path of a CSV, XLSX or Parquet list, each column headed by a defined name or a cell such as
    ``Pipe!C7``; a blank cell leaves the workbook's own value. A long list takes as much room again in the folder of
    `out` while it is worked on. `vary` holds texts such as ``nozzle=4:12:0.5`` or ``pipe_bore=20,25,32``. `outputs` are
    names or cells; by default all names on the results sheet. More than
    `MOST_SCENARIOS` are refused, but for `yes`. `cores`: how many processes share a run that takes long; None for
    as many as there are cores. The table is the same, byte by byte. A script that asks for more than one must begin
    its work below ``if __name__ == "__main__":``, as each process imports it. `cluster` is the address of a dask
    scheduler, whose workers share the run in place of processes, or ``local:N``. What a run of more than a minute, or
    one on a cluster, has done is kept beside `out` until that is written; `resume` goes on with what a run that was
    stopped has left.
    Of the rows only those are written that meet all conditions of `where`, and only the best of them where `keep` says
    how many, by the column `by`; see `Wanted`. With `of_each` these are the best of each row of the list, in its order;
    a row of which none meets the conditions, or has a number in that column, has none.
    With `latin` the varied inputs have so many points of a Latin hypercube in place of each value with each: of a range
    such as ``nozzle=4:12`` one value in each of as many equal slices, of a list each value as often as any other. The
    same `seed`, 1 if it is not given, gives the same points.

    What readings and a log say belongs to the plant of the workbook, and is the same in all scenarios, unless a cell of
    these sheets is varied or asked for.

    The columns are the varied inputs, the outputs, and `error`; their heads have the unit in brackets. A scenario with
    a value that is not allowed keeps its row, with blank outputs and the reason as its error; one without results, as
    an input that is needed is missing, says so there. Raises `FileRefused` or `FormulaRefused` where nothing can be
    done.
    """
    design = _design(latin, seed, vary)
    book = read_book(path)
    cases = Scenarios(book, scenarios, vary, yes, design, Path(out).parent)
    followed = _outputs(book, path, outputs)
    if of_each and not (keep and scenarios):
        raise FileRefused("--of-each is of each row of SCENARIOS; give such a list, and say with --best how many")
    most = keep * len(cases) // cases.steps if keep and of_each else keep
    check_ending(out, min(most or len(cases), len(cases)))
    refuse_existing([out], force)
    missing = cell_named(book, MISSING)
    varied, asked = [target.key for target in cases.targets], list(followed.values())
    recipe = _Recipe(book.data, varied, asked, missing, as_measured(book, varied, asked))
    plan = recipe.compiled(book)
    _refuse_unread(cases.targets, plan)
    names = [head_with(split_head(target.header)[0], target.unit) for target in cases.targets]
    names += [head_with(name, _UNITS.get(name, "") if missing else "") for name in followed]
    without: dict[str, int] = {}  # how many scenarios have no results, by what is needed
    inputs = len(cases.targets)
    best, wanted = Best(names, inputs, TOLD), Wanted(names, inputs, where, keep, by, cases.steps if of_each else None)
    written = 0
    journal = Journal(out, _run_of(recipe, scenarios, (list(vary), design)), resume, force)
    with machines(cluster, "the same command with --resume goes on") as far:
        answers = _answers(recipe, plan, cases, cores, journal, far)
        with closing(journal), closing(_written_together(answers, cases, progress, without)) as parts:
            first = next(parts)
            heads = [(name, cells.are_words) for name, cells in zip(names, first)] + [("error", True)]
            with open_results(out, heads, force) as write:
                for rows in filter(None, _rows_of(chain([first], parts), best, wanted)):
                    write(rows)
                    written += len(rows[0].numbers)
            journal.remove()
    lacking = [Problem(None, "", f"{count} of {len(cases)} scenarios: {said}") for said, count in without.items()]
    at_fault = cases.at_fault + sum(without.values())
    return Swept(len(cases), at_fault, [*cases.problems, *lacking], best.lines(), written, bool(recipe.measured))


def _rows_of(parts, best, wanted):
    """The rows that are to be written, some at a time; `best` sees all that meet the conditions."""
    for columns in parts:
        meeting = wanted.meeting(columns)
        best.add(meeting)
        yield wanted.now(meeting)
    yield wanted.rest()


def _design(latin, seed, vary):
    """The Latin hypercube that is asked for, if any."""
    if latin is None:
        if seed is not None:
            raise FileRefused("--seed is that of a Latin hypercube; say with --latin how many points")
        return None
    if not vary:
        raise FileRefused("--latin: say with --vary which inputs, and between which values")
    return Latin(latin, 1 if seed is None else seed)


def _run_of(recipe, scenarios, varied):
    """The name of a run: all that its results hang on."""
    listed = Path(scenarios) if scenarios else b""
    return name_of_run(about(), recipe.data, listed, repr((varied, recipe.inputs, recipe.outputs)))


def _answers(recipe, plan, cases, cores, journal, far):
    """(first, behind the last, outputs and what is missing) of some scenarios at a time, in order."""

    def task(start, stop):
        values, errors = cases.part(start, stop)
        return (
            {target.key: target.in_cell(column) for target, column in values.items()},
            stop - start,
            frozenset(errors),
        )

    calculate = recipe.calculating(plan)
    done, seconds, timed = 0, 0.0, []
    for stop, answer in journal.known():
        yield done, stop, answer
        done = stop
    for more in (LEAST_BLOCK, TIMED - LEAST_BLOCK):  # the very first ones also work up what differs in no scenario
        stop, begun = min(done + more, done // PART * PART + PART, len(cases)), perf_counter()
        if stop > done:
            timed.append((stop, calculate(*task(done, stop))))
            seconds = perf_counter() - begun
            yield done, *timed[-1]
            done = stop
    each = seconds / (TIMED - LEAST_BLOCK)
    # Parts end at multiples of a power of two: so the same scenarios are written together, however long they take.
    size = LEAST_BLOCK
    while size < BLOCK and 2 * size * each < SECONDS:
        size *= 2
    ends = [done, *(end for end in range(size, len(cases), size) if end > done), len(cases)]
    spans = [(start, stop) for start, stop in pairwise(ends) if stop > start]
    workers = available() if cores is None else cores
    if far:
        answers = far.in_order(_begun, recipe, (task(*span) for span in spans))
    elif workers > 1 and each * (len(cases) - done) * (1 - 1 / workers) > LONG:
        answers = in_order(_begun, recipe, (task(*span) for span in spans), workers)
    else:
        answers = (calculate(*task(*span)) for span in spans)
    keeps = journal.begun or bool(far) or each * (len(cases) - done) > KEPT
    for one in timed if keeps else ():
        journal.add(*one)
    with closing(answers):
        for (start, stop), answer in zip(spans, answers):
            if keeps:
                journal.add(stop, answer)
            yield start, stop, answer


def _written_together(answers, cases, progress, without):
    """The columns of the table, `PART` scenarios at a time; `without` counts those that have no results."""
    parts = []
    with closing(answers):
        for start, stop, (outputs, lacking) in answers:
            values, errors = cases.part(start, stop)
            inputs = [cells_of(cases.as_listed(target, values[target], start, errors)) for target in cases.targets]
            lacking = {lane: f"no results: {said}" for lane, said in lacking.items()}
            for said in lacking.values():
                without[said] = without.get(said, 0) + 1
            parts.append([*inputs, *outputs, Cells(np.full(stop - start, np.nan), errors | lacking)])
            progress(stop, len(cases))
            if stop % PART == 0 or stop == len(cases):
                together, parts = [joined(column) for column in zip(*parts, strict=True)], []
                yield together


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
