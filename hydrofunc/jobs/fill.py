"""From a list of sites to one calculated workbook for each, and a summary that compares them."""

from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import ceil
from pathlib import Path

import numpy as np

from ..engine.compile import compile_book
from ..engine.lanes import ExcelError
from ..errors import FileRefused
from ..template import INPUTS, ONE_OF, RESULTS, build
from ..template.model import ASSUMED, PROPOSED
from ..units import typed_unit
from ..workbook.files import file_stem, refuse_existing, write_bytes
from ..workbook.lists import Problem
from ..workbook.reading import read_book
from ..workbook.results import cells_of, open_results
from ..workbook.splice import Carrier
from .causes import Causes
from .cluster import machines
from .cores import available, in_order
from .inputs import (
    bad_values,
    column_of,
    converted,
    find_input,
    head_with,
    read_inputs,
    refuse_units,
    split_head,
    unit_of,
    unknown,
)
from .live import live_book, macro_book
from .recalc import SHEET_FUNCTIONS

BAND = ("doubt_mean", "doubt_low", "doubt_high")  # beside the watts: their mean over the doubt, and 95 % band
COUNTED = ("given", ASSUMED, PROPOSED)  # how many inputs of a site are
BATCH = 64  # sites calculated together, give or take half of LEAST; bounds the memory: each takes some 5 MB
LEAST = 32  # sites: parts begin at multiples of it, as what is solved for some of them together may hang on which
FEWEST = 50  # sites for each process: it reads the template first, and any part takes as long as some fifteen of them


@dataclass(frozen=True)
class Filled:
    """What `fill` wrote, how many sites the list has, and what is wrong with it."""

    workbooks: list
    summaries: list
    results: dict  # by name, a list in the order of the workbooks
    sites: int
    problems: list


def fill(
    sites: str | Path,
    folder: str | Path,
    force: bool = False,
    progress: Callable[[int, int], None] = lambda done, total: None,
    protect: bool = False,
    live: bool = False,
    macros: bool = False,
    cores: int | None = 1,
    cluster: str | None = None,
) -> Filled:
    """Fill and calculate the template for every row of the list `sites`, into `folder`.

    A row with a problem is left out and reported; the others are done. A site whose results show an error
    value, such as a pipe size its standard does not have, is written and reported. An input the list does not
    give has its default. `summary.csv` and `summary.xlsx` compare all sites; where none is done there are none. Raises
    `FileRefused` where the list cannot be read or a file would be overwritten. Beside the watts it has their band
    and how many inputs the site gives, and how many others are assumed and proposed. With `protect` only inputs and
    units of the workbooks can be typed; with `live` they carry the functions and need no Python, with `macros` they
    carry them as VBA and are .xlsm. `cores`: how many processes share a list that takes long; None for as many as there
    are cores. The files are the same, byte by byte. A script that asks for more than one must begin its work below
    ``if __name__ == "__main__":``, as each process imports it. `cluster` is the address of a dask scheduler, whose
    workers calculate the workbooks in place of processes, or ``local:N``; the files are written here.
    """
    if not str(folder):
        raise FileRefused("no folder is named to write to")
    if live and macros:
        raise FileRefused(
            "--live is for .xlsx, --macros for .xlsm: one workbook has the functions in one of the two ways"
        )
    table = read_inputs(sites)
    inputs, problems = _inputs(table)
    bad = {problem.row for problem in problems}
    good = [index for index, row in enumerate(table.rows) if row not in bad]

    if not good:
        return Filled([], [], {}, len(table), sorted(problems, key=_by_row))
    folder = Path(folder)
    stems = {"summary"}
    names = inputs["site_name"].values if "site_name" in inputs else [None] * len(table)
    ending = ".xlsm" if macros else ".xlsx"
    paths = {index: folder / f"{file_stem(names[index] or '', stems)}{ending}" for index in good}
    summaries = [folder / "summary.csv", folder / "summary.xlsx"]
    folder.mkdir(parents=True, exist_ok=True)
    refuse_existing([*paths.values(), *summaries], force)

    put_in = live_book if live else macro_book if macros else None
    recipe = _Recipe(_template(protect), _template(protect, put_in) if put_in else None, force)
    with machines(cluster, "the workbooks that were written are whole; --force begins anew") as far:
        cores = available() if cores is None else cores
        results, troubles = _write_workbooks(inputs, paths, recipe, progress, cores, far)
    problems += [Problem(int(table.rows[index]), "", reason) for index, reason in troubles]
    problems.sort(key=_by_row)
    columns = _summary(table, inputs, paths, results, problems)
    for path in summaries:
        with open_results(path, [(head, cells.are_words) for head, cells in columns.items()], force) as write:
            write(list(columns.values()))
    return Filled(list(paths.values()), summaries, results, len(table), problems)


def _by_row(problem):
    return problem.row or 0


def _inputs(table):
    """The columns by input name, and all problems of the list."""
    inputs, problems = {}, list(table.problems)
    refuse_units(table.columns)
    for header, column in table.columns.items():
        item = find_input(header)
        if item is None:
            problems.append(Problem(None, header, unknown(header)))
        elif item.name in inputs:
            problems.append(Problem(None, header, f"{item.name} has a column already; not used"))
        else:
            inputs[item.name] = column_of(item, unit_of(header, item), column)
            problems += bad_values(table, header, inputs[item.name])
    _refuse_heads_without_unit(table, inputs)
    for index, row in enumerate(table.rows.tolist()):
        blank = {item.name for item in INPUTS if item.name not in inputs or inputs[item.name][index] is None}
        for item in INPUTS:
            if item.needed and not item.unless and item.name in blank:
                problems.append(Problem(row, item.name, f"is missing; it must be {item.allowed}"))
        for group in ONE_OF:
            if blank.issuperset(group):
                problems.append(Problem(row, "", f"one of {', '.join(group)} must be given"))
    return inputs, problems


def _refuse_heads_without_unit(table, inputs):
    """Raise `FileRefused` where sites are in other units and the list does not say in which its columns are."""
    systems = inputs["units"].values if "units" in inputs else ()
    if all(system in (None, "metric") for system in systems):
        return
    unsaid = [
        head for head in table.columns if (item := find_input(head)) and item.is_convertible and not split_head(head)[1]
    ]
    if unsaid:
        raise FileRefused(f"units are not metric in every row, so give the unit in the heads: {', '.join(unsaid)}")


@dataclass(frozen=True)
class _Recipe:
    """All that another process needs to write workbooks: the template, and the one that carries the functions."""

    template: bytes
    carrier: bytes | None
    force: bool


@cache
def _template(protect, put_in=None):
    """The template; with `put_in` the one that carries the functions, for what it lacks hangs on no site."""
    data = build(protect=protect)
    return put_in(data) if put_in else data


@cache
def _prepared(data):
    """A template as read, and compiled with all its inputs open."""
    book = read_book(data)
    return book, compile_book(book, SHEET_FUNCTIONS, overrides=[(item.sheet, item.cell) for item in INPUTS])


def _begun(recipe: _Recipe) -> Callable:
    """What calculates and writes the workbooks of some sites."""
    calculate = _calculating(recipe)

    def write(listed, indices, paths, tell=lambda done: None):
        def put(lane, data):
            write_bytes(paths[lane], data, recipe.force)
            tell(lane + 1)

        return calculate(listed, indices, put)

    return write


def _begun_far(recipe: _Recipe) -> Callable:
    """What calculates the workbooks of some sites on a machine with other disks: they come back as bytes."""
    calculate = _calculating(recipe)

    def give(listed, indices):
        books = []
        answer = calculate(listed, indices, lambda lane, data: books.append(data))
        return books, answer

    return give


def _written(answers, spans, paths, force):
    """The answers of `_begun`, from those of `_begun_far`."""
    with closing(answers):
        for (start, stop), (books, answer) in zip(spans, answers, strict=True):
            for path, data in zip(paths[start:stop], books, strict=True):
                write_bytes(path, data, force)
            yield answer


def _calculating(recipe):
    """What calculates the workbooks of some sites, and hands each over."""
    book, plan = _prepared(recipe.template)
    _, carrier_plan = _prepared(recipe.carrier) if recipe.carrier else (book, plan)
    carrying, causes = Carrier(recipe.carrier or recipe.template), Causes(book, plan)
    asked = {item.name: (item.sheet, item.cell) for item in RESULTS} | {name: book.resolve(name) for name in BAND}
    states = [book.resolve(name) for name in book.names if name.startswith("state_")]
    missing = book.resolve("missing")

    def calculate(listed, indices, put):
        """Results by name, and (index, reason) of every site whose results show an error value, for every cause."""
        count = len(indices)
        systems = listed.get("units", [None] * count)
        inputs = {
            (item.sheet, item.cell): _values(item, listed.get(item.name, [None] * count), systems, book)
            for item in INPUTS
        }
        formulas = _calculated(plan, inputs, count)
        stored = _calculated(carrier_plan, inputs, count) if recipe.carrier else formulas
        results, troubles = {name: formulas[key] for name, key in asked.items()} | {ASSUMED: [], PROPOSED: []}, []
        for lane, index in enumerate(indices):
            values = {key: column[lane] for key, column in formulas.items()}
            own = {key: column[lane] for key, column in inputs.items()}
            put(lane, carrying.splice({key: column[lane] for key, column in stored.items()}, own))
            if lacking := values[missing]:  # a sentence such as "Give Own bore (Start C25)."
                troubles.append((index, f"calculated, but without results: {lacking}".strip()))
            if any(isinstance(values[item.sheet, item.cell], ExcelError) for item in RESULTS):
                troubles += [(index, f"calculated, but {cause}") for cause in causes.of(values, own)]
            words = [values[key] for key in states]
            for word in (ASSUMED, PROPOSED):
                results[word].append(float(words.count(word)))
        return results, troubles

    return calculate


def _write_workbooks(columns, paths, recipe, progress, cores, far):
    """Calculate and write all workbooks; the results by name, a list in the order of `paths`.

    Also (index, reason) of every site whose results show an error value, for every cause.
    """
    measured = [column for column in columns.values() if not column.item.is_free and column.item.name != "units"]
    given = [float(sum(column[index] is not None for column in measured)) for index in paths]
    results, troubles = {name: [] for name in (*(item.name for item in RESULTS), *BAND, *COUNTED)}, []
    indices = list(paths)
    workers = min(far.workers if far else cores, len(indices) // FEWEST)
    spans = _parts(len(indices), max(workers, 1))

    def task(start, stop):
        part = indices[start:stop]
        listed = {name: [column[index] for index in part] for name, column in columns.items()}
        return (listed, part) if far else (listed, part, [paths[index] for index in part])

    if far:
        far_away = far.in_order(_begun_far, recipe, (task(*span) for span in spans), one_thread=False)
        answers = _written(far_away, spans, list(paths.values()), recipe.force)
    elif workers > 1:
        answers = in_order(_begun, recipe, (task(*span) for span in spans), workers, one_thread=False)
    else:
        write = _begun(recipe)
        answers = (write(*task(*span), lambda done, at=span[0]: progress(at + done, len(indices))) for span in spans)
    with closing(answers):
        for (_, stop), (values, reasons) in zip(spans, answers, strict=True):
            for name, column in values.items():
                results[name] += column
            troubles += reasons
            progress(stop, len(indices))
    return results | {"given": given}, troubles


def _parts(count, workers):
    """(first, behind the last) of the sites that are calculated together: as many for each process, and no one alone.

    One site alone is calculated without lanes, and may differ from itself among others in the last digit.
    """
    parts = workers * ceil(count / (BATCH * workers))
    begins = [LEAST * round(part * count / (parts * LEAST)) for part in range(parts)]
    return list(pairwise([*begins, count]))


def _calculated(plan, inputs, lanes):
    """The values of every formula, a list with one for each lane."""
    result = plan.run({key: _array(values) for key, values in inputs.items()}, lanes=lanes)
    return {key: result.column(key).python() for key in plan.outputs}


def _values(item, values, systems, book):
    """What stands in an input's cell for each site: what the template has, where the list has nothing."""
    if item.choices:  # as the list in the cell spells them
        values = [value if value is None else item.argument.read(value)[0] for value in values]
    elif item.is_convertible:
        values = [_in_system(value, item, system) for value, system in zip(values, systems, strict=True)]
    own = book.cells.get((item.sheet, item.cell))
    return [own if value is None else value for value in values]


def _in_system(value, item, system):
    """A value in the unit that the workbook's system gives its cell."""
    unit = typed_unit(item.unit, (system or "metric").casefold())
    return value if value is None else converted(np.array([value]), item, item.unit, unit)[0]


def _array(values):
    """For the engine: floats where all are numbers, else objects."""
    return np.array(values, dtype=float if all(isinstance(value, float) for value in values) else object)


def _summary(table, inputs, paths, results, problems):
    """Cells by column head: a row for every site of the list, also for those not done."""
    rows = table.rows.tolist()
    lane = {index: done for done, index in enumerate(paths)}
    reasons = {}
    for problem in problems:
        reasons.setdefault(problem.row, []).append(problem.about())
    columns = {
        "row": rows,
        "site": inputs["site_name"].values if "site_name" in inputs else [None] * len(rows),
        "workbook": [paths[index].name if index in paths else None for index in range(len(rows))],
    }
    heads = {item.name: head_with(item.name, item.unit) for item in RESULTS}
    watts = {"plant_watts": heads["plant_watts"]}
    beside = {name: f"{name} [W]" for name in BAND} | {name: name for name in COUNTED}
    for name, head in (watts | beside | heads).items():
        values = results[name]
        columns[head] = [values[lane[index]] if index in lane else None for index in range(len(rows))]
    columns["problem"] = ["; ".join(reasons.get(row, [])) or None for row in rows]
    return {head: cells_of(values) for head, values in columns.items()}
