"""From a workbook of an older layout to one of today's: what a person typed goes over, all else is listed.

Inputs are looked up by their defined names, entries of the log by the heads of its columns; addresses count for
nothing, as people insert rows. No input of the older layout has another name today; those that are no inputs any more
are listed like everything that has no room in the new workbook. The old workbook is read, never written.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

from ..engine.book import Book, Formula
from ..engine.compile import Key, compile_book
from ..engine.lanes import ExcelError
from ..engine.reference import Reference, address
from ..errors import FileRefused, FormulaRefused
from ..template import INPUTS, Input, build
from ..workbook.files import refuse_existing, write_bytes
from ..workbook.reading import read_book
from ..workbook.results import cells_of, check_ending, open_results
from ..workbook.splice import splice
from .enter import cell_in_log, free_rows, head_of, log_columns
from .hints import plain_label
from .inputs import complaint
from .older import OF_OURS, OF_TODAY, OF_VALUE, as_text, is_older, mark, older_cells, older_inputs
from .recalc import SHEET_FUNCTIONS, calculated

NO_INPUT = "is no input any more"
AS_EXAMPLE = "as in the older template's invented example or default"
_ITEMS = {item.name: item for item in INPUTS}


@dataclass(frozen=True)
class Left:
    """A content of the old workbook that is not in the new one as it was, and why.

    `quiet`: nobody typed it there, or it counts all the same; it is for the list, not for the terminal.
    """

    sheet: str
    cell: str
    name: str
    label: str
    value: object
    reason: str
    quiet: bool = False

    def __str__(self) -> str:
        what = f" {self.name}" if self.name else ""
        return f"{self.sheet}!{self.cell}{what}, {as_text(self.value)!r}: {self.reason}"


@dataclass(frozen=True)
class Renewed:
    """What `renew` wrote: inputs and log entries in the new workbook, what is not in it, why cells show errors."""

    path: Path
    inputs: int
    entries: int
    left: list[Left]
    errors: list

    @property
    def as_example(self) -> list[Left]:
        """Inputs that the person left as the older template had them."""
        return [each for each in self.left if each.reason == AS_EXAMPLE]

    @property
    def first(self) -> list[str]:
        """Those of them that stand on today's first page, with their values."""
        return [
            f"{item.short} {as_text(each.value)}{'' if item.is_text else ' ' + item.unit}"
            for each in self.as_example
            if (item := _ITEMS.get(each.name)) and item.short
        ]

    def messages(self) -> Iterator[str]:
        """What a person must know of it, a line each: what is not in the new workbook first, then what is."""
        loud = [each for each in self.left if not each.quiet]
        sheets = dict.fromkeys(each.sheet for each in loud if not each.name)
        yield from (str(each) for each in loud if each.name)
        for sheet in sheets:
            own = [each.cell for each in loud if each.sheet == sheet and not each.name]
            shown = ", ".join(own[:5]) + (", ..." if len(own) > 5 else "")
            yield f"{sheet}: {len(own)} cells of your own are not taken over ({shown})"
        if self.first:
            yield f"On the first page these stood as in the older template's example, too: {', '.join(self.first)}."
        if self.as_example:
            yield (
                f"{len(self.as_example)} cells still held the older template's own example or default: not taken over. "
                "There counts what is now assumed or proposed; --left LIST.csv lists them, --all takes them over."
            )
        yield f"{self.inputs} inputs and {self.entries} log entries taken over, in metric units."


def renew(
    path: str | Path,
    out: str | Path,
    left: str | Path | None = None,
    every: bool = False,
    force: bool = False,
) -> Renewed:
    """Take what a person typed into the workbook of an older layout at `path` over into a new template, at `out`.

    What the older template held itself, as invented example or default, is not taken over unless `every`: what is
    assumed or proposed counts there. A formula in an input's cell becomes its value. The new workbook is in metric
    units and recalculated. All that is not in it as it was is in the result, and in the list `left` (.csv, .xlsx).
    Raises `FileRefused` where the workbook is none of ours, or of today's layout.
    """
    refuse_existing([out, *([left] if left else [])], force)
    if left:
        check_ending(left, 0)
    book = read_book(path)
    if OF_TODAY in book.names and book.names.keys() >= OF_OURS:
        raise FileRefused(f"{path} has today's layout already: nothing to renew")
    if not is_older(book.names):
        raise FileRefused(
            f"{path} is no workbook made by hydrofunc: it lacks names such as {', '.join(sorted(OF_OURS))}"
        )
    old = _Old(book)
    new = read_book(build())
    typed, lost = _inputs(old, new, every)
    logged, entries, without_row = _log(old, new)
    lost += [*without_row, *old.own_cells()]
    data, needs, causes = calculated(splice(new.data, {}, typed | logged))
    if left:
        _write_list(left, lost, force)
    write_bytes(out, data, force)
    return Renewed(Path(out), sum(value is not None for value in typed.values()), entries, lost, [*needs, *causes])


class _Old:
    """The old workbook: its inputs by name, the entries of its log, and the values of formulas in both."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.inputs = self._inputs()
        self.log = self._log()
        self._values = self._calculated()

    def _inputs(self) -> dict[str, Key]:
        """The cell of every input of the older layout, and of results that are inputs today and were typed over."""
        cells = {}
        for name in {**older_inputs(), **_ITEMS}:
            target = self.book.names.get(name.lower())
            if isinstance(target, Reference) and target.single:
                key = target.sheet, address(target.top, target.left)
                if name in older_inputs() or not isinstance(self.book.cells.get(key), Formula):
                    cells[name] = key
        return cells

    def _log(self) -> list[dict[int, Key]]:
        """The cells of each entry, by the index of their column in today's log."""
        dates = self.book.names.get("log_dates")
        if not isinstance(dates, Reference):
            return []
        # "gauge, bar", which a person types, stands left of "gauge, %", which is worked out: the leftmost counts.
        heads = {
            head_of(words): column
            for column in range(self.book.sizes[dates.sheet][1], 0, -1)
            if isinstance(words := self.book.cells.get((dates.sheet, address(dates.top - 1, column))), str)
        }
        columns = [(index, heads[head]) for head, (index, _) in log_columns().items() if head in heads]
        entries, row = [], dates.top
        # A person may have gone on below the table.
        while row <= dates.bottom or isinstance(self.book.cells.get((dates.sheet, address(row, dates.left))), float):
            entry = {index: (dates.sheet, address(row, column)) for index, column in columns}
            if any(self.book.cells.get(key) is not None for key in entry.values()):
                entries.append(entry)
            row += 1
        return entries

    def _calculated(self) -> Mapping[Key, object]:
        keys = [*self.inputs.values(), *(key for entry in self.log for key in entry.values())]
        keys += [self.book.resolve(name) for name in OF_VALUE.values() if name in self.book.names]
        formulas = [key for key in dict.fromkeys(keys) if isinstance(self.book.cells.get(key), Formula)]
        values = {}
        for key in formulas:  # each by itself: one that is refused spoils no other
            try:
                values[key] = compile_book(self.book, SHEET_FUNCTIONS, outputs=[key]).run().value(key)
            except FormulaRefused:
                values[key] = ExcelError("#N/A")
        return values

    def value(self, key: Key) -> object:
        """What a cell holds, or what its formula gives."""
        content = self.book.cells.get(key)
        return self._values.get(key) if isinstance(content, Formula) else content

    def own_cells(self) -> list[Left]:
        """Contents that neither the older template nor one of its inputs holds; whole sheets of a person too."""
        known = {*self.inputs.values(), *(key for entry in self.log for key in entry.values())}
        for name, target in self.book.names.items():
            if name.startswith("drawn") and isinstance(target, Reference):  # hydrofunc doubt wrote it
                known |= {
                    (target.sheet, address(row, column))
                    for row in range(target.top, target.bottom + 1)
                    for column in range(target.left, target.right + 1)
                }
        return [
            Left(sheet, cell, "", "", self.as_written((sheet, cell)), "a cell of your own")
            for (sheet, cell), content in self.book.cells.items()
            if (sheet, cell) not in known
            and content not in (None, "")
            and mark(sheet, re.sub(r"\d", "", cell), content) not in older_cells()
        ]

    def as_written(self, key: Key) -> object:
        """What stands in a cell: a formula as its text."""
        content = self.book.cells.get(key)
        return content.text if isinstance(content, Formula) else content


# -- inputs ----------------------------------------------------------------------------------------------------------


def _inputs(old, new, every):
    """(values by cell of the new workbook, what is left) of all inputs."""
    typed, lost = {}, []
    for name, key in old.inputs.items():
        item, value = _ITEMS.get(name), old.value(key)
        written = old.as_written(key)
        here = Left(*key, name, plain_label(item) if item else "", written, "")
        was_example = as_text(written) == older_inputs().get(name)
        if was_example and not every:
            if written is not None:
                lost.append(replace(here, reason=AS_EXAMPLE, quiet=True))
            continue
        if item is None:
            lost.append(replace(here, reason=NO_INPUT, quiet=was_example or written is None))
            continue
        if value in (None, ""):
            if (item.name in OF_CERTAIN or new.cells.get((item.sheet, item.cell)) is not None) and not was_example:
                typed[item.sheet, item.cell] = 0.0 if item.name in OF_CERTAIN else None
            if not was_example:
                lost.append(replace(here, reason="emptied: what is assumed counts", quiet=True))
            continue
        value, reason = _taken(old, item, value)
        if reason:
            lost.append(replace(here, reason=reason, quiet=was_example))
            continue
        typed[item.sheet, item.cell] = value
        if written != old.value(key):
            lost.append(replace(here, reason=f"the formula became its value, {as_text(value)}"))
    return typed, lost


# An empty half range meant on the old sheet Doubt that a quantity is certain; today that is a 0.
OF_CERTAIN = frozenset(item.name for item in INPUTS if item.name.startswith("doubt_"))


def _taken(old, item, value):
    """(the value as the new cell holds it, "") or (None, why it cannot stand there)."""
    if isinstance(value, ExcelError):
        return None, f"its formula gives {value}"
    if item.name in OF_VALUE:
        of = old.value(old.book.resolve(OF_VALUE[item.name])) if OF_VALUE[item.name] in old.book.names else None
        if not isinstance(of, float) or not isinstance(value, float):
            return None, f"it was in % of {OF_VALUE[item.name]}, which is not known"
        value = value * of / 100
    return _fitting(item, value)


def _fitting(item: Input, value):
    if item.is_text and isinstance(value, float):  # a date typed into a cell for words is a number there
        is_day = "date" in item.name and 36526 <= value <= 73050  # days since 1899-12-30, as worksheets number them
        value = (date(1899, 12, 30) + timedelta(value)).isoformat() if is_day else as_text(value)
    if reason := complaint(item, value):
        return None, reason
    return (item.argument.read(value)[0] if item.choices else value), ""


# -- entries of the log ----------------------------------------------------------------------------------------------


def _log(old, new):
    """(values by cell of the new workbook, number of entries, what is left) of the log."""
    columns = {index: (head, item) for head, (index, item) in log_columns().items()}
    rows = free_rows(new, log_columns())
    logged, lost = {}, []
    for number, entry in enumerate(old.log):
        for index, key in entry.items():
            head, item = columns[index]
            value, written = old.value(key), old.as_written(key)
            if value in (None, ""):
                continue
            here = Left(*key, f"log {head}", plain_label(item), written, "")
            if isinstance(value, ExcelError):
                lost.append(replace(here, reason=f"its formula gives {value}"))
                continue
            value, reason = _fitting(item, value)
            if number >= len(rows):
                reason = f"the new log has {len(rows)} rows: insert rows there, then type it"
            if reason:
                lost.append(replace(here, reason=reason))
                continue
            logged[cell_in_log(rows[number], index)] = value
            if written != old.value(key):
                lost.append(replace(here, reason=f"the formula became its value, {as_text(value)}"))
    return logged, min(len(old.log), len(rows)), lost


def _write_list(path, lost, force):
    columns = {
        "sheet": [each.sheet for each in lost],
        "cell": [each.cell for each in lost],
        "name": [each.name for each in lost],
        "label": [each.label for each in lost],
        "value": [as_text(each.value) for each in lost],
        "reason": [each.reason for each in lost],
    }
    with open_results(path, [(head, True) for head in columns], force) as write:
        write([cells_of(values) for values in columns.values()])
