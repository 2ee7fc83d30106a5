"""Every formula cell of the template gives what the same chain gives in plain Python."""

import re

import pytest

from hydrofunc.engine.book import Formula as Written
from hydrofunc.template.model import LETTERS, Formula, Input, Result, Shown, Table
from hydrofunc.template.pages import PLACED
from tests.template import parts
from tests.template.chain import GIVES, NOT_LOOKED_AT, expected
from tests.template.conftest import SHOWN

WORKINGS = ("Inputs", "Plant", "Start")  # tests/template/test_inputs.py and test_start.py look at them
OF_A_CHART = re.compile(r"B[A-Z]\d")  # cells that serve a chart alone: test_charts.py looks at them
SITES = {
    "as the template comes": {},
    "level and V-notch": {
        "static_pressure": None,
        "level_difference": 55.0,
        "bucket_seconds": None,
        "weir_head": 80.0,
        "notch_angle": 60.0,
    },
    "both heads measured": {"level_difference": 60.0},
    "source too small": {"bucket_seconds": 60.0},
    "steel pipe, three sections": {
        "pipe_standard": "en 10255",
        "pipe_size": "1 1/4",
        "pipe_class": "medium",
        "pipe_material": "galvanised steel",
        "pipe_condition": "new",
        "length_2": 150.0,
        "bore_2": 32.6,
        "roughness_2": 0.007,
        "length_3": 40.0,
        "bore_3": 26.0,
        "roughness_3": 0.001,
    },
    "own bore and roughness": {
        "pipe_bore": 30.0,
        "own_wall": 3.0,
        "pipe_roughness": 0.05,
        "entrance": "projecting entrance",
        "other_k": 2.5,
    },
    "two jets from a drilled plate": {"jets": 2.0, "contraction": 0.62, "nozzle": 6.0},
    "delta": {"connection": "delta", "test_connection": "delta", "battery_volts": 13.6},
    "resistor": {"load": "resistor", "load_resistance": 6.0, "battery_volts": None},
    "maximum-power controller": {"load": "controller", "controller_efficiency": 0.93},
    "does not start": {"iron_drag": 50.0},
    "never reaches the battery": {"battery_volts": 400.0},
    "readings taken": {
        "reading_static": 6.15,
        "reading_running": 3.0,
        "reading_seconds": 40.0,
        "reading_speed": 900.0,
        "reading_rectifier": 30.0,
        "reading_volts": 26.4,
        "reading_amps": 2.0,
    },
    "nothing brakes the wheel": {
        "bearing_drag": 0.0,
        "windage": 0.0,
        "iron_drag": 0.0,
        "battery_volts": 400.0,
        "nozzle": 6.3,
    },
    "some sizes only": {f"nozzle_size_{i}": None for i in range(4, 13)},
}
for _part in parts.IN_ORDER:
    SITES |= _part.SITES


def covered(items, names, tables):
    """(cell, expected value) of every formula on a placed page."""
    for _, item in items:
        if isinstance(item, Result):
            yield (item.sheet, item.cell), names[item.name]
            if item.beside:
                yield (item.sheet, f"G{item.cell[1:]}"), names[f"{item.name}_beside"]
        elif isinstance(item, Table) and any(isinstance(cell, Formula) for row in item.rows for cell in row):
            rows = tables[item.key]
            assert len(rows) == len(item.rows)
            for number, (row, values) in enumerate(zip(item.rows, rows), start=item.first):
                places = [f"{letter}{number}" for letter, cell in zip(LETTERS, row) if isinstance(cell, Formula)]
                assert len(places) == len(values)
                yield from (((item.sheet, place), value) for place, value in zip(places, values))


def of_a_line(sheet, placed):
    """The cells of a page's lines that say what counts, in which unit, and whose it is: see test_inputs.py."""
    for row, item in placed:
        if isinstance(item, (Input, Shown)) or (
            isinstance(item, Result) and item.cell != f"E{row}" and not item.is_words
        ):
            yield from ((sheet, f"{letter}{row}") for letter in "DEF")


def to_give(placed):
    """The cells that say what a check waits for: see test_checks.py."""
    table = next(item for _, item in placed if isinstance(item, Table) and item.key == "checks")
    return {("Checks", f"J{row}") for row in range(table.first, table.last + 1)}


LINES = to_give(PLACED["Checks"]) | {(sheet, "B1") for sheet in PLACED}  # the title says what is invented
LINES |= {key for sheet, placed in PLACED.items() for key in of_a_line(sheet, placed)}


@pytest.fixture(scope="module")
def results(sheet):
    """The template calculated for all sites, a lane for each."""
    return dict(zip(SITES, sheet.run_all(SITES.values())))


@pytest.mark.parametrize("site", SITES)
def test_every_formula_cell_equals_the_python_chain(sheet, results, site):
    """To 1e-9 relative, words and errors exactly; no formula cell is left out."""
    result = results[site]
    names, tables = expected(SHOWN | SITES[site])
    pages = (items for page, items in PLACED.items() if page not in WORKINGS)
    wanted = dict(pair for items in pages for pair in covered(items, names, tables))
    formulas = {key for key, cell in sheet.book.cells.items() if isinstance(cell, Written)}
    formulas = {key for key in formulas - LINES if key[0] not in WORKINGS and not OF_A_CHART.match(key[1])}
    assert set(wanted) == formulas
    for key, value in wanted.items():
        got = result.value(key)
        if value in (NOT_LOOKED_AT, GIVES):
            assert str(got).startswith(value), key
        elif isinstance(value, str):
            assert str(got) == value, key
        else:
            # Differences of nearly equal numbers (closure, gain) keep the rounding of their terms.
            assert got == pytest.approx(value, rel=1e-9, abs=1e-9), key
