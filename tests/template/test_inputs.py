"""Every input has one state, whatever a person types or leaves empty: no error anywhere, an honest word beside it.

"Error value" is one that the workbook shows; NA() in a column that only a chart reads is meant.
"""

import io
import re
from functools import cache

import numpy as np
import openpyxl
import pytest

from hydrofunc.engine.compile import compile_book
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS
from hydrofunc.template import INPUTS, build
from hydrofunc.template.pages import ROW_OF
from hydrofunc.units import NOT_LINEAR, SYSTEMS, alternatives, convert
from hydrofunc.workbook.reading import read_book
from tests import books

CELL = {item.name: (item.sheet, item.cell) for item in INPUTS}
ITEM = {item.name: item for item in INPUTS}
NEEDED = {"level_difference": 60.0, "pipe_length": 420.0, "pipe_bore": 32.6}
EXAMPLE = {
    item.name: item.example if item.example is not None else item.default
    for item in INPUTS
    if item.example is not None or item.default is not None
}
LINES = [item for item in INPUTS if item.is_line and item.name in ROW_OF]


class New:
    """A new template, compiled so that every input and every unit may be typed."""

    def __init__(self, units="metric", units_may_change=True):
        self.book = read_book(build(units))
        self.units = {
            item.name: (item.sheet, f"D{item.cell[1:]}") for item in LINES if len(alternatives(item.unit)) > 1
        }
        more = self.units.values() if units_may_change else ()  # left alone they are blank: each number in its own unit
        self.plan = compile_book(self.book, SHEET_FUNCTIONS, overrides=[*CELL.values(), *more])

    def run(self, sites, units=None):
        """All sites in one run, a lane for each; what a site does not give is empty."""
        names = dict.fromkeys(name for site in sites for name in site)
        typed = {CELL[name]: _column([site.get(name) for site in sites]) for name in names}
        typed |= {self.units[name]: unit for name, unit in (units or {}).items()}
        return self.plan.run(typed, lanes=len(sites))

    def value(self, result, name):
        """What a named cell shows, for each lane."""
        return result.column(self.book.resolve(name)).python()

    def errors(self, result):
        """(sheet, cell, lane, error) of every error value shown, but those of charts."""
        for key in self.plan.outputs:
            column = result.column(key)
            if column.errors is not None and np.any(column.errors):
                for lane, value in enumerate(column.python()):
                    if str(value).startswith("#") and not (str(value) == "#N/A" and "NA()" in self.text(key)):
                        yield (*key, lane, str(value))

    def text(self, key):
        """The formula of a cell."""
        return getattr(self.book.cells.get(key), "text", "")


def _column(values):
    if all(isinstance(value, float) for value in values):
        return np.array(values)
    return np.array(values, dtype=object)


@cache
def new():
    return New()


@pytest.fixture(scope="module")
def template():
    return new()


def test_an_empty_template_holds_no_value_of_anyone():
    sheets = openpyxl.load_workbook(io.BytesIO(build()))
    held = {item.name: sheets[item.sheet][item.cell].value for item in INPUTS}
    assert {name: value for name, value in held.items() if value is not None and name != "units"} == {}


def test_an_empty_template_shows_no_error_and_says_what_it_needs(template):
    result = template.run([{}])
    assert list(template.errors(result)) == []
    (missing,) = template.value(result, "missing")
    for name in ("static_pressure", "level_difference", "pipe_length", "pipe_bore", "pipe_size"):
        item = ITEM[name]
        assert f"{item.label} ({item.sheet} {item.cell})" in missing
    assert template.value(result, "plant_watts") == [""]


@pytest.mark.parametrize("left_out", NEEDED)
def test_one_thing_missing_is_one_sentence(template, left_out):
    given = {name: value for name, value in NEEDED.items() if name != left_out}
    result = template.run([given])
    assert list(template.errors(result)) == []
    (missing,) = template.value(result, "missing")
    assert missing.count("Give ") == 1 and ITEM[left_out].label in missing
    assert template.value(result, "plant_watts") == [""]


def test_three_numbers_give_watts_with_a_band(template):
    result = template.run([NEEDED])
    assert list(template.errors(result)) == []
    low, mean, high = (template.value(result, name)[0] for name in ("doubt_low", "doubt_mean", "doubt_high"))
    assert 0 <= low < mean < high
    states = {item.name: template.value(result, f"state_{item.name}")[0] for item in LINES}
    assert {name for name, state in states.items() if state == "yours"} == {*NEEDED, "units"}


def test_any_one_input_left_empty_shows_no_error():
    """The invented example with each of its inputs emptied, one at a time."""
    sites = [{name: value for name, value in EXAMPLE.items() if name != left_out} for left_out in EXAMPLE]
    result = new().run([{name: _cell(value) for name, value in site.items()} for site in sites])
    wrong = {(left_out, *error[:2]) for left_out, error in _by_lane(result, list(EXAMPLE))}
    assert wrong == set()


def test_any_part_of_what_there_is_to_know_shows_no_error():
    """300 random parts of the example's inputs, each with head, length and bore."""
    chance = np.random.default_rng(10)
    names = [name for name in EXAMPLE if name not in ("pipe_bore", "pipe_size")]
    sites = []
    for _ in range(300):
        share = chance.random()
        site = {name: EXAMPLE[name] for name in names if chance.random() < share}
        site |= {"pipe_length": 420.0, "pipe_bore" if chance.random() < 0.5 else "pipe_size": None}
        site |= {"pipe_bore": 32.6} if "pipe_bore" in site else {"pipe_size": "40"}
        site |= {} if "static_pressure" in site else {"level_difference": 62.0}
        sites.append({name: _cell(value) for name, value in site.items()})
    result = new().run(sites)
    assert {error[:2] for error in new().errors(result)} == set()
    assert all(isinstance(watts, float) for watts in new().value(result, "plant_watts"))
    for name in ("doubt_low", "doubt_high"):
        assert all(isinstance(watts, float) for watts in new().value(result, name))
    states = {item.name: new().value(result, f"state_{item.name}") for item in LINES}
    for lane, site in enumerate(sites):
        yours = {name for name, words in states.items() if words[lane] == "yours"}
        assert yours == {name for name in site if name in ROW_OF and ITEM[name].is_line} | {"units"}


def _by_lane(result, names):
    return [(names[lane], (sheet, cell)) for sheet, cell, lane, _ in new().errors(result)]


def _cell(value):
    return float(value) if isinstance(value, int) else value


@pytest.mark.parametrize("typed", ["ten", "", "12 m", True])
def test_what_is_no_number_is_refused_in_a_word_and_the_assumption_holds(template, typed):
    result = template.run([NEEDED | {"alignment": typed}])
    assert template.value(result, "state_alignment") == ["not allowed"]
    assert template.value(result, "alignment") == template.value(result, "anyhow_set") == [0.68]


def test_zero_is_a_number(template):
    result = template.run([NEEDED | {"bearing_drag": 0.0, "left_in_stream": 0.0}])
    for name in ("bearing_drag", "left_in_stream"):
        assert template.value(result, f"state_{name}") == ["yours"] and template.value(result, name) == [0.0]


def test_what_lies_outside_its_range_does_not_count(template):
    result = template.run([NEEDED | {"alignment": 1.2, "velocity_coefficient": 0.2, "entrance": "square"}])
    for name in ("alignment", "velocity_coefficient", "entrance"):
        assert template.value(result, f"state_{name}") == ["not allowed"]
        assumed = 0.68 if name == "alignment" else ITEM[name].assumption.value  # by how the wheel is made
        assert template.value(result, name) == [assumed]


@pytest.mark.parametrize(
    "item", [item for item in LINES if len(alternatives(item.unit)) > 1], ids=lambda item: item.name
)
def test_an_input_may_be_typed_in_any_unit_that_fits(template, item):
    low, high, *_ = item.argument.bounds
    value = min(max(low, 5.0), high)
    for unit in (unit for unit in alternatives(item.unit) if unit not in NOT_LINEAR):
        typed = float(convert(value, item.unit, unit))
        result = template.run([NEEDED | {item.name: typed}], {item.name: unit})
        assert template.value(result, item.name)[0] == pytest.approx(value, rel=1e-12)
        shown = result.column((item.sheet, f"E{item.cell[1:]}")).python()[0]
        assert shown == pytest.approx(typed, rel=1e-9, abs=1e-9)


def test_the_same_site_in_us_units_gives_the_same_watts():
    """Every number of the example, converted as NIST SP 811 says, down to 1e-12 of the watts."""
    metric, us = {}, {}
    for name, value in EXAMPLE.items():
        if name in ("units", "cable_area"):  # a gauge has sizes of its own: both plants take the cable proposed
            continue
        metric[name] = us[name] = _cell(value)
        item = ITEM[name]
        unit = SYSTEMS["us"].get(item.unit, item.unit)
        if item.is_line and name in ROW_OF and not item.is_text and unit not in (item.unit, *NOT_LINEAR):
            us[name] = float(convert(float(value), item.unit, unit))
    american = New("us", units_may_change=False)
    watts = [
        template.value(template.run([site | {"units": units}]), "plant_watts")[0]
        for template, site, units in ((new(), metric, "metric"), (american, us, "us"))
    ]
    assert watts[0] > 100 and watts[1] == pytest.approx(watts[0], rel=1e-12)


def test_every_line_says_in_a_sentence_what_holds_while_it_is_empty():
    sheets = openpyxl.load_workbook(io.BytesIO(books.template()))
    for item in LINES:
        words = sheets[item.sheet][f"G{item.cell[1:]}"].value if sheets[item.sheet].max_column >= 7 else ""
        said = " ".join(filter(None, (words, item.note, item.measure, item.assumption.why if item.assumption else "")))
        assert re.search("[A-Za-z]{3}", said), item.name
