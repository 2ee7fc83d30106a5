"""Formulas that hang on what is needed say "" while it is missing: no sheet then shows an error value."""

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from openpyxl import Workbook
from openpyxl.utils import column_index_from_string, get_column_letter

from .model import PASS, STOP, WRAP

Key = tuple[str, str]  # sheet, cell

_TEXT = re.compile(r'"(?:[^"]|"")*"')
_REFERENCE = re.compile(
    r"(?:(?:'([^']+)'|([A-Za-z_]+))!)?\$?([A-Z]{1,2})\$?([0-9]+)(?::\$?([A-Z]{1,2})\$?([0-9]+))?(?![A-Za-z0-9_(])"
)
_NAME = re.compile(r"(?<![A-Za-z0-9_!$.])([a-z][a-z0-9_]*)(?![A-Za-z0-9_(!.])")


def guard(book: Workbook, ready: str, needed: Sequence[str], guards: Mapping[Key, str]) -> None:
    """Wrap every formula that hangs on one of the cells `needed` in IF(ready, formula, "").

    `ready` and `needed` are defined names. `guards` says of a cell if its formula stays as it is (`PASS`, `STOP`); after
    `STOP` nothing that hangs on the cell alone is wrapped. Raises KeyError for a name that the workbook does not have.
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
    start = [key for name in needed for key in names[name]]
    reached, waiting = set(start), list(start)
    while waiting:
        for user in users[waiting.pop()]:
            if user not in reached and guards.get(user, WRAP) != STOP:
                reached.add(user)
                waiting.append(user)
    for key in reached.difference(start):
        if guards.get(key, WRAP) != PASS:
            cell = formulas[key]
            cell.value = f'=IF({ready},{cell.value[1:]},"")'


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
