"""Put readings and log entries from lists into a copy of a workbook, and recalculate it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from ..engine.book import Book, Formula
from ..engine.compile import Key
from ..engine.reference import Reference, address
from ..errors import FileRefused
from ..template import INPUTS, PLACED, Input, Table
from ..workbook.files import refuse_existing, write_bytes
from ..workbook.lists import Numbers, Problem, day_number, read_table
from ..workbook.reading import read_book
from ..workbook.results import cells_of, open_results
from ..workbook.splice import splice
from .hints import plain_label
from .inputs import (
    cell_of_input,
    column_of,
    converted,
    find_input,
    holds_words,
    read_inputs,
    split_head,
    unit_of,
    unit_of_cell,
    unknown,
)
from .recalc import calculated, refuse_other_ending

LogRow = tuple[str, int, int]  # sheet, row, first column
DATE = "date"
_HEADS = ("name", "unit", "value")  # of a list with a line for each reading; the unit may be left out
OTHER_LOG = (
    "the log of this workbook has no such column, as another hydrofunc made it: not used, for nothing would read it "
    "there; hydrofunc template makes a workbook of today"
)
READINGS = tuple(item for item in INPUTS if item.name.startswith("reading_"))


@dataclass(frozen=True)
class Entered:
    """What `enter` wrote: inputs changed, entries added, what is wrong with the lists, what the copy lacks or shows."""

    path: Path
    inputs: int
    entries: int
    problems: list
    errors: list


def enter(
    path: str | Path,
    out: str | Path,
    readings: str | Path | None = None,
    log: str | Path | None = None,
    force: bool = False,
) -> Entered:
    """Write a copy of the workbook at `path` with new values in it, recalculated, to `out`.

    `readings`: a list (.csv, .xlsx) with a line for each reading below the heads name and value, and unit if there is
    one; or with the names of inputs as heads and one row of values. A blank changes nothing. `log`: a list of log
    entries headed as on the sheet Log; they go into its first free rows. A wrong value or a wrong entry is left out and
    reported; the rest is entered. Raises `FileRefused` where nothing can be done; where nothing is left to enter no
    copy is written.
    """
    refuse_other_ending(out)
    refuse_existing([out], force)
    book = read_book(path)
    inputs, problems = _readings(book, readings) if readings else ({}, [])
    logged, entries, problems_of_log = _entries(book, log) if log else ({}, 0, [])
    problems += problems_of_log
    if not inputs and not entries:
        raise FileRefused("\n".join([*map(str, problems), f"nothing to enter, so {out} is not written"]))
    done = calculated(splice(book.data, {}, inputs | logged))
    write_bytes(out, done.data, force)
    return Entered(Path(out), len(inputs), entries, problems, [*done.needs, *done.causes])


def write_blank(out: str | Path, force: bool = False) -> None:
    """Write an empty list of the readings of a test day, to take along and to give to `enter` (.csv or .xlsx)."""
    columns = {
        "name": [item.name for item in READINGS],
        "unit": [item.unit for item in READINGS],
        "label": [_asked(item) for item in READINGS],
        "value": [None] * len(READINGS),
    }
    if Path(out).suffix.lower() not in (".csv", ".xlsx"):
        raise FileRefused(f"{out}: a list must be a .csv or .xlsx file")
    with open_results(out, [(head, True) for head in columns], force) as write:
        write([cells_of(values) for values in columns.values()])


def _asked(item):
    """The label of a reading, with the words that may be answered where only some may."""
    return " ".join([plain_label(item), *([f"({' or '.join(item.choices)})"] if item.choices else [])])


# -- readings: inputs by name ------------------------------------------------------------------------------


def _readings(book, path):
    """(values by cell, problems) of a list of readings."""
    table = read_inputs(path)
    table.columns = {
        head.casefold() if head.casefold() in _HEADS else head: cells for head, cells in table.columns.items()
    }
    values, problems, torn = {}, list(table.problems), _torn(table)
    by_line = {"name", "value"} <= table.columns.keys()
    for row, head, written in _by_line(table) if by_line else _by_head(table):
        if row in torn:
            continue
        item = find_input(head)
        if item is None:
            problems.append(Problem(row, head, unknown(head), by_line))
            continue
        try:
            key = cell_of_input(book, item)
            cell_unit = unit_of_cell(book, key, item)
            unit = unit_of(head, item, usual=cell_unit)
        except FileRefused as refused:
            problems.append(Problem(row, head, str(refused), by_line))
            continue
        except LookupError:
            problems.append(Problem(row, head, f"{book.source} has no cell of this name", by_line))
            continue
        column = column_of(item, unit, written)
        wrong = [Problem(row, head, reason, by_line) for _, reason in column.complaints()]
        if column[0] is None or wrong:
            problems += wrong
        elif isinstance(book.cells.get(key), Formula):
            problems.append(Problem(row, head, f"{key[0]}!{key[1]} holds a formula here; not overwritten", by_line))
        elif key in values:
            problems.append(Problem(row, head, f"{item.name} has a value already; not used", by_line))
        else:
            values[key] = _in_cell(column, cell_unit)
    return values, problems


def _torn(table):
    """Rows whose cells do not belong to the heads above them: what they say is anybody's guess."""
    return {problem.row for problem in table.problems}


def _in_cell(column, cell_unit):
    """The one value of a column as the cell of a workbook holds it."""
    if column.item.choices:  # as the list in the cell spells them
        return column.item.argument.read(column[0])[0]
    value = converted(np.array([column.written[0]], dtype=object), column.item, column.unit, cell_unit)[0]
    return value if isinstance(value, str) else float(value)


def _by_head(table) -> Iterator[tuple[int, str, Numbers | list]]:
    """(row, head, column of one value) of a list whose heads name inputs."""
    if len(table) != 1:
        wanted = "one row below the names of inputs is wanted, or a row for each input below the heads name and value"
        raise FileRefused(f"{table.path}: {wanted}; it has {len(table)} rows")
    for head, column in table.columns.items():
        yield int(table.rows[0]), head, column


def _by_line(table) -> Iterator[tuple[int, str, Numbers | list]]:
    """(row, head, column of one value) of a list with a line for each input."""
    units = table.columns.get("unit", [None] * len(table))
    words = list(filter(None, table.columns["value"]))
    for word in words:
        table.marks.note(word)
    if "," in table.marks.seen:  # in a cell of its own: then a point elsewhere may divide thousands
        table.marks.point_only = False
    elif table.marks.unclear:
        table.marks.doubt_points(words)
    for row, name, unit, word in zip(table.rows.tolist(), table.columns["name"], units, table.columns["value"]):
        if word is not None:
            head = f"{name or ''} [{unit}]" if unit else name or ""
            yield row, head, _column_of_one(head, word, table.marks)


def _column_of_one(head, word, marks):
    item = find_input(head)
    if holds_words(head, item):
        return [word]
    try:
        number = day_number(word) if item.is_date else marks.number(word)
    except ValueError:
        number = None
    odd = word if number is None else number
    return Numbers(np.array([np.nan]), {0: odd}) if isinstance(odd, str) else Numbers(np.array([number]))


# -- entries of the log ------------------------------------------------------------------------------------


def log_columns() -> dict[str, tuple[int, Input]]:
    """(index of the column in the table, its input) by the head of each column of the log, such as gauge."""
    table = next(item for _, item in PLACED["Log"] if isinstance(item, Table) and item.key == "log")
    return {
        head_of(head): (index, cell)
        for index, (head, cell) in enumerate(zip(table.heads, table.rows[0]))
        if isinstance(cell, Input)
    }


def head_of(text: str) -> str:
    """The head without its unit: ``gauge`` of ``gauge, bar``."""
    return " ".join(split_head(text)[0].split()).casefold()


def _entries(book, path):
    """(values by cell, number of entries, problems) of a list of log entries."""
    columns = log_columns()
    table = read_table(
        path,
        lambda header: (column := columns.get(head_of(header))) is None or column[1].is_text,
        lambda header: head_of(header) == DATE,
    )
    problems, used = list(table.problems), {}  # by head: head as written, column of the list, index in the log
    for header, column in table.columns.items():
        if head_of(header) in columns:
            index, item = columns[head_of(header)]
            used[head_of(header)] = header, column_of(item, unit_of(header, item), column), index
        else:
            problems.append(Problem(None, header, f"the log has no such column; not used. It has {', '.join(columns)}"))
    if DATE not in used:
        raise FileRefused(f"{path}: a log needs a column headed {DATE}")
    free = free_rows(book, columns)
    missing = [head for head in used if not _stands(book, free, head, used[head][2])]
    problems += [Problem(None, used.pop(head)[0], OTHER_LOG) for head in missing]
    values, entries, left, torn = {}, 0, 0, _torn(table)
    for index, row in enumerate(table.rows.tolist()):
        if row in torn:
            continue
        entry, wrong = _entry(used, index, row)
        if wrong:
            problems += wrong
        elif entries == len(free):
            left += 1
        else:
            values |= {cell_in_log(free[entries], index): value for index, value in entry.items()}
            entries += 1
    if left:
        problems.append(
            Problem(
                None,
                "",
                f"the sheet Log has {len(free)} free rows; the last {left} entries were left out: insert rows there",
            )
        )
    return values, entries, problems


def _stands(book, free, head, index):
    """Whether the workbook's own log has the column there: its head says so."""
    row = book.names["log_dates"].top - 1
    written = book.cells.get(cell_in_log((free[0][0], row, free[0][2]), index)) if free else head
    return not isinstance(written, str | None) or head_of(written or "") == head


def _entry(used, index, row):
    """(values by index of their column in the log, problems) of one row of the list."""
    entry, problems = {}, []
    for head, (header, column, index_in_log) in used.items():
        if column[index] is None:
            if head == DATE:
                problems.append(Problem(row, DATE, "is missing"))
        elif reason := column.complaint(index):
            problems.append(Problem(row, header, reason))
        else:
            entry[index_in_log] = column[index]
    return entry, problems


def free_rows(book: Book, columns: Mapping[str, tuple[int, Input]]) -> list[LogRow]:
    """(sheet, row, first column) of each row of the log below the last entry: nothing has been entered there."""
    dates = book.names.get("log_dates")
    if not isinstance(dates, Reference):
        raise FileRefused(f"{book.source}: has no sheet Log with the name log_dates; make one with hydrofunc template")
    indices = [index for index, _ in columns.values()]
    left = dates.left - columns[DATE][0]
    rows = [(dates.sheet, row, left) for row in range(dates.top, dates.bottom)]  # the last row closes the table
    full = [
        n for n, row in enumerate(rows) if any(book.cells.get(cell_in_log(row, index)) is not None for index in indices)
    ]
    return rows[full[-1] + 1 :] if full else rows


def cell_in_log(row: LogRow, index: int) -> Key:
    """(sheet, cell) of a column in a row of the log."""
    sheet, number, left = row
    return sheet, address(number, left + index)
