"""The template as most tests need it, built and calculated once in each process of the test run.

A test of building or of recalculating itself calls `build` or `calculated`; all others start from these bytes.
"""

import io
import os
from functools import cache, lru_cache

import openpyxl

from hydrofunc.engine.compile import compile_book
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS
from hydrofunc.template import INPUTS, RECORDED, build
from hydrofunc.workbook.reading import read_book
from hydrofunc.workbook.splice import splice

# What the template holds: formula cells, calls of our functions, and of these the ones not inside another. The tests
# that claim to look at all of them compare with these, so none is left out unnoticed. Change them with the template.
FORMULAS, CALLS, OUTER_CALLS = 17_614, 1_979, 1_977

CELLS = {item.name: (item.sheet, item.cell) for item in (*INPUTS, *RECORDED)}


@cache
def template():
    """The template without stored values, as bytes."""
    return build(example=True)


@cache
def template_book():
    """The template as the engine reads it. Nobody may change it."""
    return read_book(template())


@cache
def plan():
    """The template, compiled so that every input and every recorded cell may change."""
    return compile_book(template_book(), SHEET_FUNCTIONS, overrides=list(CELLS.values()))


def changed(**inputs):
    """The template with some inputs changed, without stored values, as bytes; None empties a cell."""
    return splice(template(), {}, {CELLS[name]: value for name, value in inputs.items()})


def calculated_with(**inputs):
    """The template with some inputs changed and all values stored, as bytes: what `calculated(changed(…))` gives."""
    return _calculated_with(tuple(sorted(inputs.items())))


@cache
def _calculated_with(inputs):
    inputs = {CELLS[name]: value for name, value in inputs}
    result = plan().run(inputs, lanes=1)
    return splice(template(), {key: result.value(key) for key in plan().outputs}, inputs)


def opened():
    """The template, without stored values, opened anew by openpyxl: a test may change it."""
    return openpyxl.load_workbook(io.BytesIO(template()))


def values_of(path):
    """A workbook as a reader without a formula engine sees it, opened once as long as the file does not change."""
    return _values_of(os.path.abspath(path), os.stat(path).st_mtime_ns)


@lru_cache(4)
def _values_of(path, changed):
    return openpyxl.load_workbook(path, data_only=True)
