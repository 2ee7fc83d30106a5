"""Every formula cell of a live workbook in an engine that is not ours, beside what Python stored in it."""

from datetime import date, datetime, time
from io import BytesIO

import openpyxl
from openpyxl.utils.datetime import time_to_days, to_excel


def formulas_and_values(data):
    """(sheet, cell) to (formula, stored value) of every formula cell."""
    values, found = openpyxl.load_workbook(BytesIO(data), data_only=True), {}
    for sheet in openpyxl.load_workbook(BytesIO(data)):
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    text = cell.value if isinstance(cell.value, str) else cell.value.text
                    found[sheet.title, cell.coordinate] = text, values[sheet.title][cell.coordinate].value
    return found


def agree(ours, theirs):
    """The same value: numbers to 1e-9, an empty text and an empty cell alike."""
    ours, theirs = _as_number(ours), _as_number(theirs)
    if isinstance(ours, bool) or isinstance(theirs, bool):
        return bool(ours) == bool(theirs)
    if isinstance(ours, (int, float)) and isinstance(theirs, (int, float)):
        return abs(ours - theirs) <= 1e-9 * abs(ours) + 1e-9
    if ours in (None, "") and theirs in (None, "", 0):
        return True
    return str(ours) == str(theirs)


def _as_number(value):
    """A date or a time of day as the number that its cell holds."""
    if isinstance(value, time):
        return time_to_days(value)
    return to_excel(value) if isinstance(value, (date, datetime)) else value
