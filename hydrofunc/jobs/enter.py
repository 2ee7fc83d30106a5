"""Put readings and log entries from lists into a copy of a workbook, and recalculate it."""

from dataclasses import dataclass
from pathlib import Path

from ..engine.book import Formula
from ..engine.reference import Reference, address
from ..errors import FileRefused
from ..template.model import Input, Table
from ..template.pages import PLACED
from ..workbook.files import refuse_existing, write_bytes
from ..workbook.lists import Problem, read_table
from ..workbook.reading import read_book
from ..workbook.splice import splice
from .inputs import bad_values, find_input, read_inputs, suggestion
from .recalc import calculated

DATE = "date"


@dataclass(frozen=True)
class Entered:
    """What `enter` wrote: inputs changed, entries added, what is wrong with the lists, error values in the workbook."""

    path: Path
    inputs: int
    entries: int
    problems: list
    errors: list


def enter(path, out, readings=None, log=None, force=False):
    """Write a copy of the workbook at `path` with new values in it, recalculated, to `out`.

    `readings`: a list (.csv, .xlsx) whose first row names inputs and whose second gives their values; a blank changes
    nothing. `log`: a list of log entries headed as on the sheet Log; they go into its first free rows. A wrong value or a
    wrong entry is left out and reported; the rest is entered. Raises `FileRefused` where nothing can be done.
    """
    refuse_existing([out], force)
    book = read_book(path)
    values, problems, entries = {}, [], 0
    if readings:
        found, more = _readings(book, readings)
        values |= found
        problems += more
    changed = len(values)
    if log:
        found, entries, more = _entries(book, log)
        values |= found
        problems += more
    data, errors = calculated(splice(book.data, {}, values))
    write_bytes(out, data, force)
    return Entered(Path(out), changed, entries, problems, errors)


# -- readings: inputs by name ------------------------------------------------------------------------------


def _readings(book, path):
    table = read_inputs(path)
    if len(table) != 1:
        raise FileRefused(f"{path}: one row below the heads is wanted, it has {len(table)}")
    values, problems = {}, list(table.problems)
    for header, column in table.columns.items():
        item = find_input(header)
        if item is None:
            problems.append(Problem(None, header, f"the template has no such input; not used{suggestion(header)}"))
            continue
        wrong = list(bad_values(table, header, item))
        problems += wrong
        if column[0] is None or wrong:
            continue
        try:
            key = book.resolve(item.name)
        except LookupError:
            problems.append(Problem(None, header, f"{book.source} has no cell of this name"))
            continue
        if isinstance(book.cells.get(key), Formula):
            problems.append(Problem(None, header, f"{key[0]}!{key[1]} holds a formula here; not overwritten"))
            continue
        values[key] = item.argument.read(column[0])[0] if item.choices else column[0]
    return values, problems


# -- entries of the log ------------------------------------------------------------------------------------


def _columns():
    """Input of each column of the log by its head, such as gauge, and its letter's place in the table."""
    table = next(item for _, item in PLACED["Log"] if isinstance(item, Table) and item.key == "log")
    return {
        _head(head): (place, cell)
        for place, (head, cell) in enumerate(zip(table.heads, table.rows[0]))
        if isinstance(cell, Input)
    }


def _head(text):
    """The head without its unit: ``gauge`` of ``gauge, bar``."""
    return " ".join(text.partition("[")[0].partition(",")[0].split()).casefold()


def _entries(book, path):
    """(values by cell, number of entries, problems) of a list of log entries."""
    columns = _columns()
    table = read_table(
        path,
        lambda header: (found := columns.get(_head(header))) is None or found[1].is_text,
        lambda header: _head(header) == DATE,
    )
    problems, used = list(table.problems), {}  # by head: column of the list, place in the log, input
    for header, column in table.columns.items():
        if _head(header) in columns:
            used[_head(header)] = (header, column, *columns[_head(header)])
        else:
            problems.append(Problem(None, header, f"the log has no such column; not used. It has {', '.join(columns)}"))
    if DATE not in used:
        raise FileRefused(f"{path}: a log needs a column headed {DATE}")
    free = _free_rows(book, columns)
    values, entries, left = {}, 0, 0
    for index, row in enumerate(table.rows.tolist()):
        entry, wrong = _entry(used, index, row)
        if wrong:
            problems += wrong
        elif entries == len(free):
            left += 1
        else:
            values |= {_at(free[entries], place): value for place, value in entry.items()}
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


def _entry(used, index, row):
    """(values by place in the log, problems) of one row of the list."""
    entry, problems = {}, []
    for head, (header, column, place, item) in used.items():
        value = column[index]
        if value is None:
            if head == DATE:
                problems.append(Problem(row, DATE, "is missing"))
            continue
        reason = item.check(value) if not item.is_text else None
        if reason:
            problems.append(Problem(row, header, reason))
        entry[place] = value
    return entry, problems


def _free_rows(book, columns):
    """The corner (sheet, row, column B) of each row of the log in which nothing has been entered, below the last entry."""
    dates = book.names.get("log_dates")
    if not isinstance(dates, Reference):
        raise FileRefused(f"{book.source}: has no sheet Log with the name log_dates; make one with hydrofunc template")
    places = [place for place, _ in columns.values()]
    left = dates.left - columns[DATE][0]
    rows = [(dates.sheet, row, left) for row in range(dates.top, dates.bottom)]  # the last row closes the table
    taken = [n for n, row in enumerate(rows) if any(book.cells.get(_at(row, place)) is not None for place in places)]
    return rows[taken[-1] + 1 :] if taken else rows


def _at(row, place):
    sheet, number, left = row
    return sheet, address(number, left + place)
