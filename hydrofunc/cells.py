"""From cells to the arguments of a declared function: the one reading that all hosts share.

A host hands over each argument as `Cells`, in its order. What they mean is decided in this module:

- a blank cell, or an argument left out, is the default; where there is none it is #VALUE!;
- in an argument that takes a list, blank cells are left out, the others are one list, row by row;
- a word where a number is due, a boolean, or a cell that shows nothing because its formula gives "", is #VALUE!;
- a number where a word is due is the word that its digits make;
- an error value goes through, the leftmost of the arguments first, before anything else is looked at;
- out of range is #NUM!; ranges whose sizes do not fit together are #VALUE!.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from math import isfinite, nan
from types import MappingProxyType
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

    @property
    def is_text(self) -> bool: ...

    @property
    def part(self) -> str: ...


class _Function(Protocol):
    """The same of a function's."""

    @property
    def sheet_name(self) -> str: ...

    @property
    def arguments(self) -> Sequence[_Argument]: ...

    @property
    def resolve(self) -> "Callable[..., tuple[_Function, Sequence[Cells]]] | None": ...

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


COLUMNS = {"block": 2, "lines": 4}  # of a range that is read row by row
NO_BLOCK = Cells([""])  # in place of such a range: one of another width


def range_cells(
    argument: _Argument, rows: Sequence[Sequence[object]], error_code: Callable[[Any], int] = lambda cell: 0
) -> Cells:
    """`Cells` from rows of cells as a host has them; `error_code(cell)` is 0 where the cell holds no error value."""
    cells = [cell for row in rows for cell in row]
    codes = [error_code(cell) or (NUM if type(cell) is float and not isfinite(cell) else 0) for cell in cells]
    if any(codes):
        cells = ["" if code else cell for cell, code in zip(cells, codes)]
    if len(rows[0]) != COLUMNS.get(argument.part, len(rows[0])):
        return NO_BLOCK
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
    if function.resolve is not None:
        return _from_block(function, arguments)
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
    if function.resolve is not None:
        return _explain_block(function, arguments)
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


def inputs_of(function: _Function, arguments: Sequence[Cells]) -> list[Values]:
    """The arguments as `Function.lanes` takes them, None for left out."""
    inputs = [_list(cells.values) if a.many else cells.values for a, cells in zip(function.arguments, arguments)]
    return inputs + [None] * (len(function.arguments) - len(inputs))


def _read(function: _Function, arguments: Sequence[Cells]) -> tuple[list[Values], Codes]:
    """The inputs, and the error codes over all of them."""
    errors = [
        _leftmost(cells.errors) if argument.many else cells.errors
        for argument, cells in zip(function.arguments, arguments)
        if cells.errors is not None
    ]
    return inputs_of(function, arguments), _leftmost(errors) if errors else None


def _leftmost(codes: Iterable[Codes]) -> Codes:
    """Error codes over each other: the first that is not 0 counts."""
    result = None
    for code in codes:
        result = code if result is None else np.where(np.equal(result, 0), code, result)
    return result


def _list(values: Values) -> NDArray[Any] | None:
    """A list as an array, its last axis without the blank cells; None where nothing is left."""
    if values is None or isinstance(values, np.ndarray):
        return values
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


# -- a block of names and values -----------------------------------------------------------------------


def resolved(function: _Function, arguments: Sequence[Cells]) -> "tuple[_Function, Sequence[Cells]]":
    """For a function that takes a plant: the function of single inputs that stands for this call, and its `Cells`.

    Words (which quantity, which names) must be the same in all scenarios. Raises `ValueError`.
    """
    assert function.resolve is not None
    own, block, names, values = {}, Cells(), Cells(), Cells()
    for argument, cells in zip(function.arguments, [*arguments, *[Cells()] * len(function.arguments)]):
        if argument.part == "block":
            block = cells
        elif argument.part == "names":
            names = cells
        elif argument.part == "values":
            values = cells
        else:
            own[argument.name] = cells
    return function.resolve(own, _rows_of(block), _pairs_of(names, values))


def _rows_of(block: Cells) -> Mapping[str, Cells]:
    """The rows of a block by name. Rows without a name are passed over; a name that stands twice is refused."""
    if block.errors is None and block.values is not None and not _arrays(block.values):
        try:
            return _plain_rows(*block.values)
        except TypeError:  # what no cell can hold, such as a list inside a mapping: it cannot be remembered
            pass
    return _rows(_each(block))


# Many formulas have the same block. `typed`, as 1.0 and TRUE are equal to Python.
@lru_cache(maxsize=64, typed=True)
def _plain_rows(*values: object) -> Mapping[str, Cells]:
    return MappingProxyType(_rows([Cells(value) for value in values]))


def _rows(cells: Sequence[Cells]) -> dict[str, Cells]:
    if len(cells) < 2 or len(cells) % 2:
        raise ValueError("plant: must be a range of two columns, names and values")
    rows: dict[str, Cells] = {}
    for name, value in zip(cells[::2], cells[1::2], strict=True):
        word = _word(name)
        if word and word in rows:
            raise ValueError(f"plant: the name {word} stands in two rows")
        if word:
            rows[word] = _blank_if_empty(value)
    return rows


def _arrays(values: Iterable[object]) -> list[NDArray[Any]]:
    return [value for value in values if isinstance(value, np.ndarray)]


def _pairs_of(names: Cells, values: Cells) -> dict[str, Cells]:
    """The values to change by name; a blank value changes nothing. Raises `ValueError`."""
    names_in_order, values_in_order = _each(names), _each(values)
    if names.values is not None and values.values is None:
        raise ValueError("values: is missing, though there is a name")
    if len(names_in_order) != len(values_in_order):
        raise ValueError(
            f"values: must be as many as the names: {len(values_in_order)} for {len(names_in_order)} names"
        )
    pairs: dict[str, Cells] = {}
    for name, value in zip(names_in_order, values_in_order):
        word, value = _word(name), _blank_if_empty(value)
        if value.values is None and value.errors is None:
            continue
        if not word:
            raise ValueError("names: a value has no name")
        if word in pairs:
            raise ValueError(f"names: {word} is there twice")
        pairs[word] = value
    return pairs


def _each(cells: Cells) -> list[Cells]:
    """The cells of an argument that takes a list, one by one."""
    if cells.values is None:
        return []
    if cells.errors is None:
        return [Cells(value) for value in cells.values]
    return [
        Cells(value, code if np.any(code) else None) for value, code in zip(cells.values, cells.errors, strict=True)
    ]


def _word(name: Cells) -> str:
    """A name as it is declared: capitals do not matter, and a space is an underscore."""
    if name.values is None:
        return ""
    return "_".join(name.values.lower().split()) if isinstance(name.values, str) else str(name.values)


def _blank_if_empty(cell: Cells) -> Cells:
    """A cell whose formula gives "" counts as blank: inside a range Calc does not tell them apart."""
    value = cell.values
    if isinstance(value, str) and not value.strip():
        return Cells(None, cell.errors)
    if isinstance(value, np.ndarray) and value.dtype == object:
        empty = np.array([item is None or (isinstance(item, str) and not item.strip()) for item in value.flat])
        if empty.all() and cell.errors is None:
            return Cells()
        if empty.any():
            return Cells(np.where(empty.reshape(value.shape), np.array(None), value), cell.errors)
    return cell


def _from_block(function: _Function, arguments: Sequence[Cells]) -> tuple[Values, Codes]:
    """`from_cells` of a function that takes a plant: once for each combination of words in the scenarios."""
    deciding = _deciding(function, arguments)
    shape = np.broadcast_shapes(*map(np.shape, deciding))
    if not shape:
        return _from_resolved(function, arguments)
    columns = [np.broadcast_to(np.asarray(item, dtype=object), shape).ravel().tolist() for item in deciding]
    groups: dict[tuple[object, ...], list[int]] = {}
    for lane, combination in enumerate(zip(*columns, strict=True)):
        groups.setdefault(combination, []).append(lane)
    values, codes = np.full(int(np.prod(shape)), nan), np.zeros(int(np.prod(shape)), np.uint8)
    for lanes in groups.values():
        picked = [_pick(argument, cells, shape, lanes) for argument, cells in zip(function.arguments, arguments)]
        values[lanes], code = _from_resolved(function, picked)
        codes[lanes] = 0 if code is None else code
    return values.reshape(shape), (codes.reshape(shape) if codes.any() else None)


def _from_resolved(function: _Function, arguments: Sequence[Cells]) -> tuple[Values, Codes]:
    for argument, cells in zip(function.arguments, arguments):
        # An error value in place of a word or of the plant itself; those in rows count where a row is needed.
        if cells.errors is not None and argument.part not in ("block", "values") and argument.is_text:
            code = _leftmost(cells.errors) if argument.many else cells.errors
            if np.any(code):
                return nan, np.max(code)
    try:
        return from_cells(*resolved(function, arguments))
    except ValueError:
        return nan, VALUE


def _explain_block(function: _Function, arguments: Sequence[Cells]) -> str:
    try:
        return explain_cells(*resolved(function, arguments))
    except ValueError as error:
        return str(error)


def _deciding(function: _Function, arguments: Sequence[Cells]) -> list[Values]:
    """What decides which function of single inputs is asked, where it differs between scenarios."""
    result: list[Values] = []
    for argument, cells in zip(function.arguments, arguments):
        if argument.part == "values":
            arrays = _arrays(cell.values for cell in map(_blank_if_empty, _each(cells)))
            result += [np.equal(array, np.array(None)) for array in arrays if array.dtype == object]
        elif argument.part or (argument.is_text and not argument.many):
            for items in cells if argument.many else ([cells.values], [cells.errors]):
                for first in _WORDS_IN.get(argument.part, (0,)):
                    result += _arrays(() if items is None else items[first :: COLUMNS.get(argument.part, 1)])
    return result


_WORDS_IN = {"lines": (0, 2)}  # columns of words; else the first


def _pick(argument: _Argument, cells: Cells, shape: tuple[int, ...], lanes: list[int]) -> Cells:
    """The cells of an argument in some scenarios; words, which are now alike in all, as one."""

    def pick(item: Any) -> Any:
        if not isinstance(item, np.ndarray) or not item.ndim:
            return item
        some = np.broadcast_to(item, shape).ravel()[lanes]
        if some.dtype == object and all(type(other) is type(some[0]) and other == some[0] for other in some):
            return some[0]
        return some

    if not argument.many:
        return Cells(pick(cells.values), pick(cells.errors))
    if cells.values is None:
        return cells
    return Cells(list(map(pick, cells.values)), None if cells.errors is None else list(map(pick, cells.errors)))
