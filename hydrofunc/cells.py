"""From cells to the arguments of a declared function: the one reading that all hosts share.

A host hands over each argument as `Cells`, in its order. What they mean is decided in this module:

- a blank cell, or an argument left out, is the default; where there is none it is #VALUE!;
- in an argument that takes a list, blank cells are left out, the others are one list, row by row;
- a word where a number is due, a boolean, or a cell that shows nothing because its formula gives "", is #VALUE!;
- a number where a word is due is the word that its digits make;
- an error value goes through, the leftmost of the arguments first, before anything else is looked at;
- out of range is #NUM!; ranges whose sizes do not fit together are #VALUE!.
"""

from collections.abc import Callable, Iterable, Sequence
from math import isfinite, nan
from typing import Any, NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

# Error values of a worksheet; the index of each is its code, as ERROR.TYPE counts.
ERROR_TEXTS = ("", "#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A")
VALUE, NUM = ERROR_TEXTS.index("#VALUE!"), ERROR_TEXTS.index("#NUM!")
_SHOWN = np.array([0, NUM, VALUE], np.uint8)  # error codes for FINE, OUT_OF_RANGE and WRONG_KIND of `Function.lanes`


Values = Any  # a plain value, or an array of them
Codes = Any  # of error values: a number, or an array of them; None where there is no error


class _Argument(Protocol):
    """What is asked here of an argument's declaration; the registry, which imports this module, has the whole."""

    @property
    def name(self) -> str: ...

    @property
    def many(self) -> bool: ...


class _Function(Protocol):
    """The same of a function's."""

    @property
    def sheet_name(self) -> str: ...

    @property
    def arguments(self) -> Sequence[_Argument]: ...

    def lanes(self, inputs: Sequence[Values]) -> tuple[Values, Codes]: ...

    def explain(self, *args: Values) -> Iterable[object]: ...


class Cells(NamedTuple):
    """The cells of one argument.

    values: a number, a word, a bool, None for blank or left out; or an array of numbers or of all of these.
            For an argument that takes a list: a list of them, where an array is one cell in many scenarios.
    errors: codes of the error values in the cells, in the same form; None where there are none. What `values`
            holds where there is an error does not matter.
    """

    values: Values = None
    errors: Codes = None


def range_cells(
    argument: _Argument, rows: Sequence[Sequence[object]], error_code: Callable[[Any], int] = lambda cell: 0
) -> Cells:
    """`Cells` from rows of cells as a host has them; `error_code(cell)` is 0 where the cell holds no error value."""
    cells = [cell for row in rows for cell in row]
    codes = [error_code(cell) or (NUM if type(cell) is float and not isfinite(cell) else 0) for cell in cells]
    if any(codes):
        cells = ["" if code else cell for cell, code in zip(cells, codes)]
    if argument.many:
        return Cells(cells, codes if any(codes) else None)
    if len(cells) == 1:
        return Cells(cells[0], codes[0] or None)
    shape = len(rows), len(rows[0])
    return Cells(_array(cells).reshape(shape), np.array(codes, np.uint8).reshape(shape) if any(codes) else None)


def from_cells(function: _Function, arguments: Sequence[Cells]) -> tuple[Values, Codes]:
    """(values, codes): the result of a declared function for the `Cells` of its arguments, in their order.

    `codes` are those of the error values to show, 0 for none, or None where there is none at all.
    """
    inputs, errors = _read(function, arguments)
    try:
        if errors is not None and np.all(errors):
            single = (value for argument, value in zip(function.arguments, inputs) if not argument.many)
            return nan, np.broadcast_to(errors, np.broadcast_shapes(np.shape(errors), *map(np.shape, single)))
        with np.errstate(all="ignore"):
            values, problems = function.lanes(inputs)
        codes = None if problems is None else _SHOWN[problems]
        if errors is None:
            return values, codes
        values, codes = np.broadcast_arrays(values, _leftmost([errors, 0 if codes is None else codes]))
        return values, codes
    except ValueError:  # sizes that do not fit together; `InputError` is one
        return nan, VALUE


def explain_cells(function: _Function, arguments: Sequence[Cells]) -> str:
    """In words, what is wrong with a call that has the `Cells` of these arguments; "fine" where nothing is."""
    if len(arguments) > len(function.arguments):
        return f"{function.sheet_name} takes at most {len(function.arguments)} arguments."
    for argument, cells in zip(function.arguments, arguments):
        codes = np.ravel(0 if cells.errors is None else cells.errors)
        if codes.any():
            return f"{argument.name}: the cell it is taken from shows {ERROR_TEXTS[codes[codes > 0][0]]}"
    try:
        problems = function.explain(*_read(function, arguments)[0])
    except ValueError as error:
        return str(error)
    return "; ".join(dict.fromkeys(map(str, problems))) or "fine"


def with_error_texts(values: Values, codes: Codes) -> NDArray[np.object_]:
    """The result of `from_cells` as an array of numbers and of the texts of error values."""
    numbers = np.asarray(values, dtype=float).astype(object)
    return numbers if codes is None else np.where(np.equal(codes, 0), numbers, np.array(ERROR_TEXTS, object)[codes])


def _read(function: _Function, arguments: Sequence[Cells]) -> tuple[list[Values], Codes]:
    """The arguments as `Function.lanes` takes them, None for left out; and the error codes over all of them."""
    inputs = [_list(cells.values) if a.many else cells.values for a, cells in zip(function.arguments, arguments)]
    inputs += [None] * (len(function.arguments) - len(inputs))
    errors = [
        _leftmost(cells.errors) if argument.many else cells.errors
        for argument, cells in zip(function.arguments, arguments)
        if cells.errors is not None
    ]
    return inputs, _leftmost(errors) if errors else None


def _leftmost(codes: Iterable[Codes]) -> Codes:
    """Error codes over each other: the first that is not 0 counts."""
    result = None
    for code in codes:
        result = code if result is None else np.where(np.equal(result, 0), code, result)
    return result


def _list(values: Values) -> NDArray[Any] | None:
    """A list as an array, its last axis without the blank cells; None where nothing is left."""
    values = [value for value in values if value is not None]
    scenarios = next((value.shape for value in values if isinstance(value, np.ndarray)), None)
    if scenarios is None:
        return _array(values) if values else None
    numbers = all(type(value) is float or (isinstance(value, np.ndarray) and value.dtype == float) for value in values)
    array = np.empty((*scenarios, len(values)), dtype=float if numbers else object)
    for i, value in enumerate(values):
        array[..., i] = value
    return array


def _array(values: Sequence[object]) -> NDArray[Any]:
    """Plain values as an array: of floats where all are numbers, which are read fastest."""
    numbers = all(type(value) is float for value in values)
    array = np.empty(len(values), dtype=float if numbers else object)
    array[:] = values
    return array
