"""Our own template in the engine: scenarios together give what each gives alone, in every cell."""

import random

import pytest

from hydrofunc import catalogue  # noqa: F401  (fills the registry)
from hydrofunc.engine.compile import compile_book
from hydrofunc.engine.lanes import ExcelError
from hydrofunc.hosts.calc.names import internal_names
from hydrofunc.jobs.inputs import INPUTS
from hydrofunc.registry import FUNCTIONS
from hydrofunc.workbook.reading import read_book
from tests import books

KEYS = [(item.sheet, item.cell) for item in INPUTS]


@pytest.fixture(scope="module")
def book():
    return books.template_book()


@pytest.fixture(scope="module")
def plan(book):
    return compile_book(book, {function.sheet_name: function for function in FUNCTIONS.values()}, overrides=KEYS)


def odd_values(chance, value, lanes):
    """Mostly near the template's value, now and then something a person might leave or type there."""
    if isinstance(value, float):
        odd = [0.0, -1.0, None, "abc", ExcelError("#N/A")]
        return [
            value * chance.uniform(0.5, 1.6) if chance.random() < 0.95 else chance.choice(odd) for _ in range(lanes)
        ]
    return [value if chance.random() < 0.9 else chance.choice(["x", None, "pvc", "steel"]) for _ in range(lanes)]


@pytest.mark.parametrize("share", [0.1, 0.3, 1.0])
def test_scenarios_together_equal_each_alone(book, plan, share):
    chance, lanes = random.Random(f"{share}"), 12
    inputs = {
        key: odd_values(chance, book.cells[key], lanes) for key in KEYS if key in book.cells and chance.random() < share
    }
    together = plan.run(inputs, lanes=lanes)
    columns = {key: together.column(key).python() for key in plan.outputs}
    differing = []
    for i in range(lanes):
        alone = plan.run({key: values[i] for key, values in inputs.items()})
        for key in plan.outputs:
            a, b = alone.value(key), columns[key][i]
            if type(a) is not type(b) or (abs(a - b) > max(1e-9 * abs(a), 1e-12) if isinstance(a, float) else a != b):
                differing.append((key, i, a, b))
    assert differing == []


def test_calls_by_the_name_inside_an_older_calc_are_ours(plan):
    """LibreOffice Calc 7.4 writes HYDROFUNC.NAME into an .xlsx (`internal_names` does the same)."""
    data, renamed = internal_names(books.template())
    assert renamed == books.CALLS
    other = compile_book(read_book(data), {function.sheet_name: function for function in FUNCTIONS.values()})
    ours, theirs = plan.run(), other.run()
    assert {key: ours.value(key) for key in plan.outputs} == {key: theirs.value(key) for key in other.outputs}
