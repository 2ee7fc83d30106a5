"""A blank cell, TRUE, a word, a number far out and an error value in each argument: Excel's side answers as the engine.

The engine's answer comes from a recalculated workbook, Excel's from the adapter with the cells as xlwings
hands them over.
"""

import io

import openpyxl
import pytest

import hydrofunc
from hydrofunc.engine.compile import compile_book
from hydrofunc.hosts.excel import adapter
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS
from hydrofunc.workbook.reading import read_book

ODD = {"A1": None, "A2": True, "A3": "no such word", "A4": -1e12, "A5": "#N/A", "A6": "#DIV/0!"}
FORMULAS = {"A5": "=NA()", "A6": "=1/0"}
FUNCTIONS = hydrofunc.functions()
CASES = [(f.name, a.name, cell) for f in FUNCTIONS.values() for a in f.arguments for cell in ODD]


def arguments(function, odd, cell):
    """(worksheet text, value as xlwings hands it over) of each argument of the worked example, one of them odd."""
    given = function.example.arguments
    last = max(i for i, a in enumerate(function.arguments) if a.name in given or a.name == odd)
    found = []
    for argument in function.arguments[: last + 1]:
        value = given.get(argument.name)
        if argument.name == odd:
            found.append((cell, [[ODD[cell]]]))
        elif value is None:
            found.append(("", None))
        else:
            text = function.formula_arguments({argument.name: value})[-1]
            found.append((text, value if isinstance(value, str | list | tuple) else [[float(value)]]))
    return found


@pytest.fixture(scope="module")
def engine():
    """{case: the engine's answer}."""
    book = openpyxl.Workbook()
    for cell, value in (ODD | FORMULAS).items():
        book.active[cell] = value
    for row, (name, odd, cell) in enumerate(CASES, start=1):
        function = FUNCTIONS[name]
        texts = [text for text, _ in arguments(function, odd, cell)]
        book.active.cell(row, 3, f"={function.sheet_name}({','.join(texts)})")
    stream = io.BytesIO()
    book.save(stream)
    result = compile_book(read_book(stream.getvalue()), SHEET_FUNCTIONS).run()
    return {case: result.value((book.active.title, f"C{row}")) for row, case in enumerate(CASES, start=1)}


def test_every_odd_cell_is_taken_as_the_engine_takes_it(engine):
    wrong, errors = [], 0
    for name, odd, cell in CASES:
        given = [value for _, value in arguments(FUNCTIONS[name], odd, cell)]
        ours, theirs = adapter.call(FUNCTIONS[name], given), engine[name, odd, cell]
        theirs = theirs if isinstance(theirs, float) else str(theirs)
        errors += isinstance(ours, str)
        if ours != theirs:
            wrong.append(f"{name} {odd} {ODD[cell]!r}: Excel {ours!r}, engine {theirs!r}")
    assert not wrong, "\n".join(wrong[:20])
    assert errors > len(CASES) / 2
