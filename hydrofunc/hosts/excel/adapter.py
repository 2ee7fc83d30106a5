"""Between xlwings and a declared function: cells in, cells out.

An argument comes as rows of cells, because every one is declared with ``ndim=2``, or as None where it was
left out. A cell is a float, a word, a bool, None (blank), a date or a currency amount, and an error value
is its text, because every argument is declared with ``err_to_str=True``. xlwings makes no difference
between a blank cell and one whose formula gives "": for an optional argument both are the default here,
where the headless engine shows #VALUE! for the second.

A result is a number for one cell, or rows for an array. An error value in it is its text, such as "#NUM!":
xlwings has no other way out. All our results are numbers, so such a text cannot be meant as a word, and
the VBA wrapper (`vba`) turns it into a real error value.
"""

from datetime import datetime
from decimal import Decimal

import numpy as np

from ...errors import InputError
from ...registry import OUT_OF_RANGE, WRONG_KIND

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


def call(function, given):
    """The result of a declared function for a cell formula: a number, an error's text, or rows of both.

    `given` holds the arguments in order; the last ones may be lacking. Ranges of one size, or of sizes that
    fit as numpy broadcasts them (a column and a row make a table), give an array; where the sizes do not
    fit, the answer is "#VALUE!". An error value in an argument passes on, the leftmost first.
    """
    inputs, errors = _arguments(function, given)
    try:
        values, codes = function.lanes(inputs)
        shape = np.broadcast_shapes(np.shape(values), *(np.shape(texts) for texts in errors))
    except (InputError, ValueError):
        return "#VALUE!"
    if shape == () and codes is None and not any(errors):
        return float(values)
    out = np.array(np.broadcast_to(np.asarray(values, dtype=object), shape))
    if codes is not None:
        codes = np.broadcast_to(codes, shape)
        out[codes == OUT_OF_RANGE], out[codes == WRONG_KIND] = "#NUM!", "#VALUE!"
    for texts in reversed(errors):
        texts = np.broadcast_to(texts, shape)
        out = np.where(texts != "", texts, out)
    return out.tolist()


def explain(function, given):
    """In words, what is wrong with a call from a cell; "fine" where nothing is."""
    if len(given) > len(function.arguments):
        return f"{function.sheet_name} takes at most {len(function.arguments)} arguments."
    inputs, errors = _arguments(function, given)
    inputs += [None] * (len(function.arguments) - len(inputs))
    for argument, texts in zip(function.arguments, errors):
        found = [text for text in np.ravel(texts) if text]
        if found:
            return f"{argument.name}: the cell it is taken from shows {found[0]}"
    try:
        problems = function.explain(*inputs)
    except InputError as error:
        return str(error)
    return "; ".join(dict.fromkeys(map(str, problems))) or "fine"


def _arguments(function, given):
    """The arguments as `Function.lanes` takes them, and for each the texts of the error values in it."""
    inputs, errors = [], []
    for argument, item in zip(function.arguments, given):
        if _is_one_number(item) and not argument.many:  # most calls are of this kind
            inputs.append(item[0][0])
            errors.append("")
            continue
        cells = _cells(item)
        texts = np.frompyfunc(_error_text, 1, 1)(cells).astype(object)
        cells = np.where(texts != "", np.nan if not argument.is_text else None, cells)
        if argument.many:
            cells = np.array([cell for cell in cells.flat if cell is not None], dtype=object)
            texts = np.array(next((text for text in texts.flat if text), ""), dtype=object)
            inputs.append(_plain(cells) if cells.size else None)
        elif cells.size == 1:
            inputs.append(cells.item())
            texts = texts.reshape(())
        else:
            inputs.append(_plain(cells))
        errors.append(texts)
    return inputs, errors


def _is_one_number(item):
    return (
        type(item) is list
        and len(item) == 1
        and type(item[0]) is list
        and len(item[0]) == 1
        and type(item[0][0]) is float
    )


def _cells(item):
    """The cells of an argument as an array of objects, two-dimensional."""
    rows = item if isinstance(item, (list, tuple)) else [[item]]
    if rows and not isinstance(rows[0], (list, tuple)):
        rows = [rows]
    cells = np.empty((len(rows), len(rows[0])), dtype=object)
    for place, row in enumerate(rows):
        cells[place] = [_cell(cell) for cell in row]
    return cells


def _cell(value):
    if isinstance(value, datetime):
        return (value.replace(tzinfo=None) - _DAY_ZERO).total_seconds() / 86400
    if isinstance(value, Decimal):
        return float(value)
    return value


def _error_text(cell):
    if isinstance(cell, str):
        return cell if cell in XL_ERR else ""
    return _SCODES.get(cell, "") if type(cell) is int else ""


def _plain(cells):
    """Floats where all are numbers, which is quick; else the objects as they are."""
    return cells.astype(float) if all(type(cell) is float for cell in cells.flat) else cells
