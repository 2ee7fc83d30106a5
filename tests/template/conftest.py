"""The template, compiled once, with any inputs changed."""

import pytest

from hydrofunc import (
    catalogue,  # noqa: F401
    template,
)
from hydrofunc.engine.compile import compile_book
from hydrofunc.registry import FUNCTIONS
from hydrofunc.workbook.reading import read_book

FILLED_IN = (*template.INPUTS, *template.RECORDED)
SHOWN = {item.name: item.shown for item in FILLED_IN}
PLACE = {item.name: (item.sheet, item.cell) for item in FILLED_IN}


class Sheet:
    """The calculated template: values by name or by cell."""

    def __init__(self):
        self.book = read_book(template.build())
        functions = {function.sheet_name: function for function in FUNCTIONS.values()}
        self.plan = compile_book(self.book, functions, overrides=list(PLACE.values()))

    def run(self, **changes):
        """The result of one run with these inputs changed; None empties a cell."""
        inputs = SHOWN | changes
        assert set(inputs) == set(SHOWN), "the template has no such input"
        return self.plan.run({PLACE[name]: value for name, value in inputs.items()}, lanes=1)

    def run_all(self, cases):
        """One run with a lane for each of the cases, which are inputs changed; values by `OneLane.value`."""
        lanes = [SHOWN | changes for changes in cases]
        assert all(set(lane) == set(SHOWN) for lane in lanes), "the template has no such input"
        given = {}
        for name, place in PLACE.items():
            values = [lane[name] for lane in lanes]
            given[place] = values[0] if all(value == values[0] for value in values) else values
        result = self.plan.run(given, lanes=len(lanes))
        columns = {key: result.column(key).python() for key in self.plan.outputs}
        return [OneLane(columns, lane) for lane in range(len(lanes))]

    def value(self, result, name):
        """The value of a named cell, or of a (sheet, cell)."""
        return result.value(name if isinstance(name, tuple) else self.book.resolve(name))


class OneLane:
    """The values of one of many cases calculated together."""

    def __init__(self, columns, lane):
        self._columns, self._lane = columns, lane

    def value(self, key):
        return self._columns[key][self._lane]


@pytest.fixture(scope="session")
def sheet():
    return Sheet()
