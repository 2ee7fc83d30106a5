"""Worksheet functions of our own kind, small enough to check by eye, and a way to write workbooks for tests."""

from dataclasses import dataclass, field
from io import BytesIO

import numpy as np
import openpyxl

from hydrofunc.engine.compile import compile_book
from hydrofunc.workbook.reading import read_book


@dataclass
class FakeArgument:
    name: str
    required: bool = True
    many: bool = False
    is_text: bool = False
    part: str = ""


@dataclass
class FakeFunction:
    sheet_name: str
    arguments: tuple
    core: object
    resolve: None = None
    one_by_one: bool = False
    seen: list = field(default_factory=list)  # the arguments of each call

    def lanes(self, args):
        self.seen.append(args)
        return self.core(*args)


def _number(value, default=np.nan):
    """(values, problems) of a number argument: problem 2 where an element is none."""
    if value is None:
        return default, (0 if default == default else 2)
    if isinstance(value, str):
        return np.nan, 2
    array = np.asarray(value)
    if array.dtype.kind == "f":
        return array, 0
    items = [default if item is None else item for item in array.ravel()]  # a blank cell is an argument left out
    fine = np.array([isinstance(item, float) and item == item for item in items]).reshape(array.shape)
    numbers = np.array([item if isinstance(item, float) else np.nan for item in items])
    return numbers.reshape(array.shape), np.where(fine, 0, 2)


def _result(values, *problems):
    worst = np.maximum.reduce(np.broadcast_arrays(*problems))
    return np.asarray(values, dtype=float), (np.asarray(worst, dtype=np.uint8) if np.any(worst) else None)


def _root(area, exponent):
    """area ** (1 / exponent); an area below 0 is out of range."""
    area, bad_area = _number(area)
    exponent, bad_exponent = _number(exponent, 2.0)
    return _result(np.abs(area) ** (1 / exponent), bad_area, bad_exponent, np.where(np.asarray(area) < 0, 1, 0))


def _rough(material, factor):
    """0.0015 for pvc, 0.045 for steel, times a factor; other words are of the wrong kind."""
    table = {"pvc": 0.0015, "steel": 0.045}
    words = np.asarray(material, dtype=object)
    flat = [table.get(word.lower()) if isinstance(word, str) else None for word in words.ravel()]
    values = np.array([np.nan if x is None else x for x in flat]).reshape(words.shape)
    factor, bad = _number(factor, 1.0)
    return _result(values * factor, np.where(np.isnan(values), 2, 0), bad)


def _most(sizes, limit):
    """The greatest size not above the limit; out of range where there is none."""
    sizes, bad = _number(sizes)
    limit, bad_limit = _number(limit)
    limit = np.asarray(limit)[..., None]
    fits = np.where(sizes <= limit, sizes, -np.inf).max(axis=-1)
    bad = np.max(np.broadcast_to(bad, np.shape(sizes)), axis=-1)
    return _result(np.where(np.isinf(fits), np.nan, fits), bad, bad_limit, np.where(np.isinf(fits), 1, 0))


def fakes():
    """A fresh registry: HYDRO_ROOT(area, [exponent]), HYDRO_ROUGH(material, [factor]), HYDRO_MOST(sizes, limit)."""
    functions = [
        FakeFunction("HYDRO_ROOT", (FakeArgument("area"), FakeArgument("exponent", required=False)), _root),
        FakeFunction(
            "HYDRO_ROUGH", (FakeArgument("material", is_text=True), FakeArgument("factor", required=False)), _rough
        ),
        FakeFunction("HYDRO_MOST", (FakeArgument("sizes", many=True), FakeArgument("limit")), _most),
    ]
    return {function.sheet_name: function for function in functions}


def workbook(**sheets):
    """Bytes of a workbook; each sheet is a dict from addresses to values and formulas."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for title, cells in sheets.items():
        sheet = book.create_sheet(title)
        for cell, value in cells.items():
            sheet[cell] = value
    return saved(book)


def saved(book):
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def evaluate(cells, lanes=1, functions=None, **inputs):
    """{address: value or list of values} of the formulas of a one-sheet workbook, inputs given by address."""
    book = read_book(workbook(S=cells))
    functions = fakes() if functions is None else functions
    plan = compile_book(book, functions, overrides=[("S", cell) for cell in inputs])
    result = plan.run({("S", cell): value for cell, value in inputs.items()}, lanes=lanes)
    if lanes == 1:
        return {cell: result.value((sheet, cell)) for sheet, cell in plan.outputs}
    return {cell: result.column((sheet, cell)).python() for sheet, cell in plan.outputs}
