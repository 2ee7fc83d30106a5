"""Where the sheet Route says "vent here" and "drain here", against what a high and a low point are."""

from itertools import groupby

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hydrofunc.template.model import Table
from hydrofunc.template.pages import PLACED

ROWS = 40
TABLE = next(item for _, item in PLACED["Route"] if isinstance(item, Table) and item.key == "route")
# A row: a level that may well be that of its neighbours, an empty row, or one that cannot be used. All lie deep below
# the water.
rows = st.one_of(st.integers(0, 3).map(float), st.none(), st.just("no chainage"))
routes = st.lists(rows, min_size=0, max_size=ROWS)


def inputs(route):
    """The route's input cells: a point every 10 m, between 20 and 23 m above the nozzle."""
    changes = dict.fromkeys([f"{what}_{i}" for i in range(1, ROWS + 1) for what in ("point", "chainage", "level")])
    for i, row in enumerate(route, start=1):
        if row is not None:
            changes[f"level_{i}"] = 20.0 if row == "no chainage" else 20.0 + row
            changes[f"chainage_{i}"] = None if row == "no chainage" else 10.0 * i
    return changes | {"nozzle_level": 0.0, "pipe_length": 420.0, "nozzle": 6.0}


def plainly(route):
    """{row: word}:
    a level stretch is a high point if the pipe falls away on both sides of it, a low one if it rises on both.
    """
    used = [(i, row) for i, row in enumerate(route, start=1) if isinstance(row, float)]
    stretches = [(level, [i for i, _ in points]) for level, points in groupby(used, key=lambda point: point[1])]
    words = {}
    for (before, _), (here, points), (after, _) in zip(stretches, stretches[1:], stretches[2:]):
        if before < here > after:
            words[points[0]] = "vent here"
        if before > here < after:
            words[points[0]] = "drain here"
    return words


@settings(max_examples=3)
@given(st.lists(routes, min_size=80, max_size=80))
def test_a_level_stretch_is_high_or_low_only_if_it_is_so_on_both_sides(sheet, many):
    """The word stands at the first point of the stretch, and nowhere else."""
    for route, lane in zip(many, sheet.run_all([inputs(route) for route in many])):
        said = {i: str(lane.value(("Route", f"F{TABLE.first + i - 1}"))) for i in range(1, ROWS + 1)}
        assert set(said.values()) <= {"", "ok", "give both numbers", "vent here", "drain here"}
        assert {i: word for i, word in said.items() if "here" in word} == plainly(route), route
        assert sheet.value(lane, "vent_points") == list(plainly(route).values()).count("vent here")


@pytest.mark.parametrize(
    ("route", "words"),
    [
        ((3.0, 1.0, 2.0, 2.0, 3.0, 0.0), {2: "drain here", 5: "vent here"}),  # a terrace on the way up is no high point
        (
            (3.0, 2.0, 2.0, 1.0, 2.0, 0.0),
            {4: "drain here", 5: "vent here"},
        ),  # a terrace on the way down is no low point
        ((3.0, 1.0, 2.0, "no chainage", 2.0, None, 0.0), {2: "drain here", 3: "vent here"}),  # once for a flat top
        ((2.0, 2.0, 1.0, 1.0), {}),
    ],
)
def test_terraces_and_flat_tops(sheet, route, words):
    result = sheet.run(**inputs(route))
    said = {i: result.value(("Route", f"F{TABLE.first + i - 1}")) for i in range(1, ROWS + 1)}
    assert {i: word for i, word in said.items() if "here" in word} == words == plainly(route)
