"""The template, compiled once, with any inputs changed."""

import pytest

from hydrofunc import catalogue  # noqa: F401
from hydrofunc.registry import FUNCTIONS
from hydrofunc.sheets import template
from hydrofunc.sheets.book import read_book
from hydrofunc.sheets.plan import compile_book

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

    def value(self, result, name):
        """The value of a named cell, or of a (sheet, cell)."""
        return result.value(name if isinstance(name, tuple) else self.book.resolve(name))


@pytest.fixture(scope="session")
def sheet():
    return Sheet()
