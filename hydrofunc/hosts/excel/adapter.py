"""Between xlwings and a declared function: cells in, cells out.

An argument comes as rows of cells, because every one is declared with ``ndim=2``, or as None where it was
left out. A cell is a float, a word, a bool, None (blank), a date or a currency amount, and an error value
is its text, because every argument is declared with ``err_to_str=True``. xlwings makes no difference
between a blank cell and one whose formula gives "": where the first is the default the second is too, while
the headless engine, which sees the difference, shows #VALUE! for it.

A result is a number for one cell, or rows for an array. An error value in it is its text, such as "#NUM!":
xlwings has no other way out. All our results are numbers, so such a text cannot be meant as a word, and
the VBA wrapper (`vba`) turns it into a real error value.
"""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from ...registry import ERROR_TEXTS, Cells, Function, explain_cells, from_cells, range_cells, with_error_texts

# Error values as COM delivers them, SCODE 0x800A0000 + xlErr... (Microsoft, Excel enumeration XlCVError:
# xlErrNull 2000, xlErrDiv0 2007, xlErrValue 2015, xlErrRef 2023, xlErrName 2029, xlErrNum 2036, xlErrNA 2042).
XL_ERR = {
    "#NULL!": 2000,
    "#DIV/0!": 2007,
    "#VALUE!": 2015,
    "#REF!": 2023,
    "#NAME?": 2029,
    "#NUM!": 2036,
    "#N/A": 2042,
}
_SCODES = {number - 0x7FF60000: text for text, number in XL_ERR.items()}
_DAY_ZERO = datetime(1899, 12, 30)  # serial number 0 of a workbook that counts days from 1900


def call(function: Function, arguments: Sequence[object]) -> float | str | list[list[float | str]]:
    """The result of a declared function for a cell formula: a number, an error's text, or rows of both.

    `arguments` holds them in order; the last ones may be lacking. Ranges of one size, or of sizes that
    fit as numpy broadcasts them (a column and a row make a table), give an array; where the sizes do not
    fit, the answer is "#VALUE!". An error value in an argument passes on, the leftmost first.
    """
    return with_error_texts(*from_cells(function, _cells(function, arguments))).tolist()


def explain(function: Function, arguments: Sequence[object]) -> str:
    """In words, what is wrong with a call from a cell; "fine" where nothing is."""
    return explain_cells(function, _cells(function, arguments))


def _cells(function, arguments):
    """The arguments as `Cells`; those too many are of no kind, and only counted."""
    # Left out and blank are the same but where values of a plant are changed: a blank one changes nothing.
    cells = [
        Cells() if item is None and argument.part else range_cells(argument, _rows(item), _error_code)
        for argument, item in zip(function.arguments, arguments)
    ]
    return cells + [Cells()] * (len(arguments) - len(cells))


def _rows(item):
    """An argument as rows of cells; xlwings may hand over a single cell or row without its brackets."""
    rows = item if isinstance(item, (list, tuple)) else [[item]]
    if rows and not isinstance(rows[0], (list, tuple)):
        rows = [rows]
    return [[_cell(cell) for cell in row] for row in rows]


def _cell(value):
    if isinstance(value, datetime):
        return (value.replace(tzinfo=None) - _DAY_ZERO).total_seconds() / 86400
    return float(value) if isinstance(value, Decimal) else value


def _error_code(cell):
    text = cell if isinstance(cell, str) else _SCODES.get(cell) if type(cell) is int else None
    return ERROR_TEXTS.index(text) if text in XL_ERR else 0
