"""Formulas that hang on what is needed say "" while it is missing: no sheet then shows an error value."""

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from openpyxl import Workbook
from openpyxl.utils import column_index_from_string, get_column_letter

from .model import STOP, WRAP

Key = tuple[str, str]  # sheet, cell

_TEXT = re.compile(r'"(?:[^"]|"")*"')
_REFERENCE = re.compile(
    r"(?:(?:'([^']+)'|([A-Za-z_]+))!)?\$?([A-Z]{1,2})\$?([0-9]+)(?::\$?([A-Z]{1,2})\$?([0-9]+))?(?![A-Za-z0-9_(])"
)
_NAME = re.compile(r"(?<![A-Za-z0-9_!$.])([a-z][a-z0-9_]*)(?![A-Za-z0-9_(!.])")


def guard(book: Workbook, gates: Mapping[str, Sequence[str]], guards: Mapping[Key, str]) -> dict[Key, list[str]]:
    """Wrap every formula that hangs on something that may be missing in IF(gate, formula, "").

    `gates` maps the name of a cell that is TRUE or FALSE to the names of cells that hold "" while it is FALSE. `guards`
    says of a cell if its formula stays as it is: after `PASS` what hangs on it is wrapped all the same, after `STOP`
    not, as far as it hangs on that cell alone. Gives the gates of every wrapped cell. Raises KeyError for a name that
    the workbook does not have.
    """
    formulas = {
        (sheet.title, cell.coordinate): cell
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    }
    names = {name: _cells(defined.attr_text, "") for name, defined in book.defined_names.items()}
    users = defaultdict(list)
    for key, cell in formulas.items():
        for source in _sources(cell.value, key[0], names):
            users[source].append(key)
    closed = defaultdict(list)  # by cell, the gates in its way
    for gate, needed in gates.items():
        start = {key for name in needed for key in names[name]}
        for key in _reached(start, users, guards) - start:
            if guards.get(key, WRAP) == WRAP:
                closed[key].append(gate)
    for key, ways in closed.items():
        gate = ways[0] if len(ways) == 1 else f"AND({','.join(ways)})"
        formulas[key].value = f'=IF({gate},{formulas[key].value[1:]},"")'
    return dict(closed)


def _reached(start, users, guards):
    """The cells that hang on those of `start`, and these."""
    reached, waiting = set(start), list(start)
    while waiting:
        for user in users[waiting.pop()]:
            if user not in reached and guards.get(user, WRAP) != STOP:
                reached.add(user)
                waiting.append(user)
    return reached


def _sources(formula, sheet, names) -> Iterator[Key]:
    text = _TEXT.sub('""', formula)
    yield from _cells(text, sheet)
    for match in _NAME.finditer(_REFERENCE.sub(" ", text)):
        yield from names.get(match[1], ())


def _cells(text, sheet) -> list[Key]:
    cells = []
    for quoted, plain, left, top, right, bottom in _REFERENCE.findall(text):
        title = quoted or plain or sheet
        columns = range(column_index_from_string(left), column_index_from_string(right or left) + 1)
        rows = range(int(top), int(bottom or top) + 1)
        cells += [(title, f"{get_column_letter(column)}{row}") for column in columns for row in rows]
    return cells
