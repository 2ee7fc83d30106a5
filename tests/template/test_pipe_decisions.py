"""Which pressure, wall and rating count where, and what the sheets Route and Strength say of a point, as statements
about a pipe.

The pipe: 300 m of a main section, 80 m of a second and 40 m of a third, from a water level at 560 m down to a nozzle at
500 m.
"""

import numpy as np
import pytest

import hydrofunc as hf
from hydrofunc.engine.lanes import ExcelError
from hydrofunc.template.model import Table
from hydrofunc.template.pages import PLACED, common, route, strength
from tests.template.conftest import SHOWN
from tests.template.parts.route import SITES, answers, point_says, row_state

LIMITS = {item.name: item.assumption.value for item in route.LIMITS}

LENGTHS = {"pipe_length": 300.0, "length_2": 80.0, "length_3": 40.0, "whole_length": 420.0}
ONE = {"length_2": None, "length_3": None}
TWO = {"length_2": 80.0, "length_3": None}
# The route as it is drawn: chainage and level of each point; a row that is not used repeats the one above.
DRAWN = {
    "drawn_chainage": [0.0, 100.0, 200.0, 250.0, 320.0, 380.0, 420.0, 420.0],
    "drawn_level": [560.0, 530.0, 495.0, 510.0, 505.0, 490.0, 500.0, 500.0],
}
LINE = (
    LENGTHS
    | DRAWN
    | {
        "water_level": 560.0,
        "points_above_line": 0,
        "route_end": 420.0,
        "rest_at_nozzle": 5.88,
        "highest_rest": 6.86,
        "water_temperature": 10.0,
        "gravity": 9.81,
    }
)


LENGTH_NAMES = ("pipe_length", "length_2", "length_3")


def bar_at_rest(section, known):
    """Pressure at rest at the lowest point of a section, from the columns of its row in the table, one by one."""
    lengths = [known[name] or 0.0 for name in LENGTH_NAMES]
    known = known | {"ends_at": sum(lengths[:section]), "pipe_below": sum(lengths[section:])}
    known["rest_at_end"] = strength.REST_AT_END.value(known)
    known["rest_unseen"] = strength.REST_UNSEEN.value(known)
    known["seen_down_to"] = strength.DOWN_TO.value(known)
    known["deepest"] = strength.DEEPEST.value(known)
    return strength.REST.value(known)


def rest(section, **more):
    """Metres of water above the lowest point that counts for a section."""
    known = LINE | more
    return bar_at_rest(section, known) / hf.static_pressure(1.0, known["water_temperature"], known["gravity"])


def test_each_section_stands_the_rest_at_its_lowest_point_or_above_it():
    """The main one ends at 300 m, so the point at 320 m closes it: its lowest is the dip of 495 m.
    The second ends at 380 m.
    """
    assert rest(1) == pytest.approx(560 - 495)
    assert rest(2) == pytest.approx(560 - 490)


def test_a_point_right_at_the_end_of_a_section_closes_it():
    """And the one below it belongs to the next."""
    assert rest(1, pipe_length=250.0) == pytest.approx(560 - 495)
    assert rest(1, pipe_length=200.0) == pytest.approx(560 - 495)
    assert rest(1, pipe_length=199.9) == pytest.approx(560 - 495)
    assert rest(1, pipe_length=100.0) == pytest.approx(560 - 530)
    assert rest(1, pipe_length=100.1) == pytest.approx(560 - 495)


def test_the_lowest_is_sought_as_far_as_the_next_point_and_no_further():
    """A main section of 330 m is closed by the point of 380 m, which lies lowest."""
    assert rest(1, pipe_length=320.0) == pytest.approx(560 - 495)
    assert rest(1, pipe_length=320.1) == pytest.approx(560 - 490)
    assert rest(2, pipe_length=200.0) == pytest.approx(560 - 495)  # to 280 m: 250 and 320 m lie higher
    assert rest(2, pipe_length=240.0) == pytest.approx(560 - 495)  # to 320 m


@pytest.mark.parametrize(("section", "lengths"), [(1, ONE), (2, TWO), (3, {}), (3, ONE)])
def test_the_last_section_stands_the_greatest_rest_of_all(section, lengths):
    """That at the nozzle or of the deepest dip, whichever is more; without a route, that at the nozzle."""
    assert bar_at_rest(section, LINE | lengths) == 6.86
    assert bar_at_rest(section, LINE | lengths | {"highest_rest": 5.0}) == 5.88
    assert bar_at_rest(section, LINE | lengths | {"highest_rest": ""}) == 5.88


@pytest.mark.parametrize("lengths", [TWO, {"length_2": None, "length_3": 40.0}])
def test_a_second_or_a_third_section_alone_leaves_the_main_one_before_the_end(lengths):
    """Then the main section is not the last one."""
    assert rest(1, **lengths) == pytest.approx(560 - 495)


@pytest.mark.parametrize(("section", "end"), [(1, 300.0), (2, 380.0)])
def test_where_the_route_does_not_tell_the_rest_at_the_nozzle_counts(section, end):
    """It ends before the section does, or a point lies above the running line, where the water may part."""
    assert bar_at_rest(section, LINE | {"route_end": end}) != 5.88
    assert bar_at_rest(section, LINE | {"route_end": end - 0.1}) == 5.88
    assert bar_at_rest(section, LINE | {"points_above_line": 1}) == 5.88


@pytest.mark.parametrize(
    ("lengths", "section"),
    [
        (ONE, 1),
        (TWO, 2),
        ({}, 3),
        ({"length_2": None}, 3),
        ({"length_3": 0.0}, 2),
        ({"length_2": 0.0, "length_3": 0.0}, 1),
    ],
)
def test_the_lower_end_belongs_to_the_last_section_with_a_length(lengths, section):
    """A length of 0 or none is no section."""
    end = common.of_last_section("first", "second", "third")
    assert end.value(LENGTHS | lengths | {"first": 1, "second": 2, "third": 3}) == section
    assert strength.LAST_SECTION.value(LENGTHS | lengths) == section


@pytest.mark.parametrize(
    ("wall", "material", "used"),
    [
        (3.2, "steel", 3.2),
        (3.2, None, 3.2),
        (None, None, 3.7 * 26.0 / 32.6),
        (None, "polyethylene", 3.7 * 26.0 / 32.6),
        (None, "steel", ""),
    ],
)
def test_a_wall_that_is_not_given_is_as_thick_for_its_bore_as_the_main_pipe_s(wall, material, used):
    """But only of the same material."""
    known = {"length": 80.0, "own_wall": wall, "material": material or "polyethylene", "bore": 26.0}
    known |= {"main_material": "polyethylene", "main_wall": 3.7, "main_bore": 32.6}
    shown = strength.WALL.value(known)
    assert strength.WALL.value(known | {"length": 0.0}) == ""
    assert shown == used if isinstance(used, str) else shown == pytest.approx(used)


@pytest.mark.parametrize(
    ("chainage", "lengths", "section"),
    [
        (0.0, {}, 1),
        (300.0, {}, 1),
        (300.1, {}, 2),
        (380.0, {}, 2),
        (380.1, {}, 3),
        (420.0, {}, 3),
        (300.1, {"length_2": None}, 3),
    ],
)
def test_a_point_is_held_to_the_rating_of_its_section(chainage, lengths, section):
    """A joint belongs to the section above it."""
    ratings = {"rating_used_1": 1, "rating_used_2": 2, "rating_used_3": 3}
    assert route.RATING_THERE.value(LENGTHS | lengths | ratings | {"chainage": chainage}) == section


# -- what is said of a point as the valve shuts ----------------------------------------------------------


@pytest.mark.parametrize(
    ("lowest", "share", "word"),
    [
        (3.0, 80.0, "ok"),
        (3.0, 100.0, "ok"),
        (3.0, 100.1, "above the rating"),
        (-8.0, 100.1, "above the rating"),
        (0.0, 80.0, "ok"),
        (-0.0004, 80.0, "ok"),
        (-0.0006, 80.0, "suction for a moment"),
        (-6.5, 80.0, "suction for a moment"),
        (-6.51, 80.0, "the column parts and slams"),
    ],
)
def test_the_valve_may_burst_a_pipe_or_tear_its_water_apart(lowest, share, word):
    """Suction down to the usable 6.5 bar is borne for a moment; a thousandth of a bar is rounding;
    the rating comes first.
    """
    known = {"chainage": 100.0, "lowest": lowest, "share": share}
    known |= {"usable_suction_bar": 6.5, "surge_suction_seen": 0.0005, "surge_share_most": 100.0}
    known["suction"] = strength.SUCTION.value(known)
    known["torn"] = strength.TORN.value(known)
    assert strength.SAYS.value(known) == word
    assert strength.SAYS.value(known | {"share": ""}) == ""


def test_where_even_a_sudden_stop_is_allowed_any_closing_time_will_do(sheet):
    """No hours of turning for a surge that the rating does not feel; else a time, and never where nothing is left."""
    said = [sheet.value(sheet.run(pipe_rating=bar), "safe_valve_time") for bar in (200.0, 7.0, 3.0)]
    assert said[0] == "any" and said[1] > 0 and said[2] == "never"


# -- the route at rest and running -----------------------------------------------------------------------

POINT = {
    "state": "used",
    "level": 530.0,
    "line": 555.0,
    "usable_suction": 6.0,
    "rest": 2.9,
    "running": 2.4,
    "share": 30.0,
    "unused_head": 0.0,
    "full_over": 25.0,
    "level_before": 540.0,
    "level_after": 520.0,
}


@pytest.mark.parametrize(
    ("point", "word"),
    [
        ({}, "ok"),
        ({"state": "not on the pipe"}, "not on the pipe"),
        ({"state": ""}, ""),
        ({"line": 524.0}, "ok"),
        ({"line": 523.9}, "the column parts (air-lock)"),
        ({"line": 523.9, "rest": -1.0, "running": -1.0}, "the column parts (air-lock)"),
        ({"rest": -0.0004}, "ok"),
        ({"rest": -0.0006}, "above the water level: siphon"),
        ({"rest": -0.1, "running": -0.3}, "above the water level: siphon"),
        ({"running": -0.0004}, "ok"),
        ({"running": -0.0006}, "suction: draws air"),
        ({"running": -0.1, "share": 120.0}, "suction: draws air"),
        ({"share": 100.0}, "ok"),
        ({"share": 100.1}, "above the rating"),
        ({"share": 100.1, "level_before": 520.0}, "above the rating"),
        ({"level_before": 520.0}, "vent here"),
        ({"level_before": 529.9, "level_after": 529.9}, "vent here"),
        ({"level_before": 530.0, "level_after": 520.0}, "ok"),
        ({"level_before": 520.0, "level_after": 530.0}, "ok"),
        ({"level_before": 530.1, "level_after": 530.1}, "drain here"),
        ({"level_before": 530.0, "level_after": 540.0}, "ok"),
        ({"level_before": 540.0, "level_after": 530.0}, "ok"),
        ({"level_before": "", "level_after": 520.0}, "ok"),
        ({"level_before": 540.0, "level_after": ""}, "ok"),
        ({"unused_head": 24.9}, "ok"),
        ({"unused_head": 25.1}, "runs part-full"),
        ({"unused_head": 25.1, "level_before": 520.0}, "vent here"),
        ({"full_over": -0.01}, "ok"),  # rounding, with the pipe full
    ],
)
def test_a_point_of_the_route_says_its_worst_trouble(point, word):
    """A point 25 m below the running line;
    air gathers on a crest, mud in a dip, the first and the last point are neither.
    """
    assert point_says(LIMITS | POINT | point)[0] == word


def questions(rules, known):
    """The columns that answer yes."""
    known, _ = answers(rules, known)
    return {column.name for column, *_ in rules if known[column.name] == 1}


@pytest.mark.parametrize(
    ("point", "yes"),
    [
        ({}, set()),
        ({"line": 523.9}, {"parts"}),
        ({"rest": -0.0006}, {"siphon"}),
        ({"rest": -0.0005, "running": -0.0005, "share": 100.0, "line": 524.0}, set()),  # right at each limit
        ({"running": -0.0006}, {"suction"}),
        ({"rest": -0.1, "running": -0.1, "share": 100.1, "line": 523.9}, {"siphon", "suction", "over_rating", "parts"}),
        ({"level_before": 520.0, "share": 120.0}, {"crest", "over_rating"}),
        ({"share": ""}, set()),  # no rating is known
        ({"level_before": 540.0, "level_after": 540.0}, {"dip"}),
        ({"level_before": "", "level_after": 540.0}, set()),
        ({"level_before": 520.0, "level_after": ""}, set()),
        ({"unused_head": 30.0, "level_before": 520.0}, {"part_full", "crest"}),
        (dict.fromkeys(("line", "rest", "running", "share", "full_over"), "") | {"state": "not on the pipe"}, set()),
    ],
)
def test_each_question_to_a_point_is_answered_for_itself(point, yes):
    """Two troubles at once both say yes; a row that is not used is asked nothing."""
    known = LIMITS | POINT | point
    known["level_before to level_after"] = [known["level_before"], known["level_after"]]
    assert questions(route.POINT_RULES, known) == yes


ROW = {"chainage": 100.0, "level": 530.0, "chainage_before": 60.0, "whole_length": 420.0, "water_level": 560.0}


@pytest.mark.parametrize(
    ("row", "word"),
    [
        ({}, "used"),
        ({"chainage": None, "level": None}, ""),
        ({"chainage": ""}, "give both numbers"),
        ({"level": None}, "give both numbers"),
        ({"chainage": "hundred"}, "give both numbers"),
        ({"whole_length": "#N/A"}, "head, length or bore missing"),
        ({"chainage": -0.1, "chainage_before": ""}, "not on the pipe"),
        ({"chainage": 0.0, "chainage_before": ""}, "used"),
        ({"chainage": 432.6}, "used"),
        ({"chainage": 432.7}, "not on the pipe"),
        ({"level": -940.0}, "used"),
        ({"level": -940.1}, "level cannot be"),
        ({"level": 2060.0}, "used"),
        ({"level": 2060.1}, "level cannot be"),
        ({"chainage_before": 99.9}, "used"),
        ({"chainage_before": 100.0}, "not beyond the row above"),
        ({"chainage_before": 150.0}, "not beyond the row above"),
        ({"chainage_before": "", "chainage": 10.0}, "used"),
    ],
)
def test_a_row_of_the_route_is_used_or_says_why_not(row, word):
    """3 % more than the pipe's length is a matter of measuring; 1500 m off the water level is a slip of the pen."""
    assert row_state(LIMITS | ROW | row)[0] == word
    if "chainage_before" not in row:
        assert row_state(LIMITS | ROW | row | {"chainage_before": "chainage, m"})[0] == word


def test_the_first_row_has_none_above_it():
    """What stands above it is the head of the table: words, which are no chainage."""
    assert row_state(LIMITS | ROW | {"chainage_before": "chainage, m", "chainage": 0.0})[0] == "used"


@pytest.mark.parametrize(
    ("row", "yes"),
    [
        ({}, set()),
        ({"level": None, "chainage": 500.0}, {"no_numbers"}),
        ({"whole_length": "", "water_level": ""}, {"no_length"}),
        ({"chainage": 500.0, "level": 9000.0}, {"off_pipe", "no_such_level"}),
        ({"chainage": -1.0}, {"off_pipe", "out_of_order"}),
        ({"chainage": 60.0}, {"out_of_order"}),
    ],
)
def test_each_question_to_a_row_is_answered_for_itself(row, yes):
    """Where a number is missing, what needs it is not asked."""
    known = LIMITS | ROW | row
    known["chainage to level"] = [known["chainage"], known["level"]]
    assert questions(route.STATE_RULES, known) == yes


@pytest.mark.parametrize(
    ("on_pipe", "lengths", "section"),
    [
        (0.0, {}, 1),
        (300.0, {}, 1),
        (300.1, {}, 2),
        (380.0, {}, 2),
        (380.1, {}, 3),
        (420.0, {}, 3),
        (300.1, {"section_end": [300.0, 300.0, 340.0]}, 3),
        (300.0, {"section_end": [300.0, 300.0, 300.0]}, 1),
    ],
)
def test_a_joint_belongs_to_the_section_above_it(on_pipe, lengths, section):
    """Sections that end before the point, and one; those without a length end where the one above does."""
    ends = {"section_end": [300.0, 380.0, 420.0]} | lengths
    assert route.SECTION.value(ends | {"on_pipe": on_pipe}) == section


@pytest.mark.parametrize(
    ("known", "here", "before", "after"),
    [
        ({}, 530.0, 540.0, 520.0),
        ({"state": "give both numbers", "level": None}, 540.0, 540.0, 520.0),
        ({"usable_above": 0}, 530.0, "", 520.0),  # the first row
        ({"usable_below": 1}, 530.0, 540.0, 515.0),  # the last row of the table
        ({"usable_below": 0}, 530.0, 540.0, ""),
    ],
)
def test_the_levels_on_both_sides_are_of_the_nearest_usable_points(known, here, before, after):
    """Up the pipe any, down the pipe the first that differs."""
    known = (
        {"state": "used", "level": 530.0, "usable_above": 1, "usable_below": 2}
        | {"route_level": [540.0, 530.0, 520.0, 515.0]}
        | known
    )
    known["level_before"] = route.LEVEL_BEFORE.value(known)
    known["level_here"] = route.LEVEL_HERE.value(known)
    assert (known["level_here"], known["level_before"]) == (here, before)
    assert route.LEVEL_AFTER.value(known) == after


def test_every_limit_of_the_route_moves_its_verdict():
    """Each is asked by name: another value gives another word."""
    assert LIMITS == {"route_over": 3, "route_level_span": 1500, "route_suction_least": 0.0005, "route_share_most": 100}
    assert row_state(LIMITS | ROW | {"chainage": 440.0, "route_over": 5})[0] == "used"
    assert row_state(LIMITS | ROW | {"route_level_span": 29.0})[0] == "level cannot be"
    assert point_says(LIMITS | POINT | {"running": -0.01, "route_suction_least": 0.02})[0] == "ok"
    assert point_says(LIMITS | POINT | {"rest": -0.01, "route_suction_least": 0.02})[0] == "ok"
    assert point_says(LIMITS | POINT | {"route_share_most": 29.0})[0] == "above the rating"


# -- the level in a pipe that the source does not fill -----------------------------------------------------------


def route_table():
    return next(item for _, item in PLACED["Route"] if isinstance(item, Table) and item.key == "route")


def source_limited(rng):
    """A route to the nozzle over random ground, and a source that mostly gives less than the nozzle takes."""
    count = int(rng.integers(2, 12))
    x = np.sort(rng.uniform(1.0, 415.0, count))
    level = 560.0 * (1 - x / 420.0) + 500.0 * x / 420.0 + rng.uniform(-25.0, 3.0, count)
    points = dict.fromkeys(f"{what}_{i}" for what in ("point", "chainage", "level") for i in range(1, 41))
    points |= {f"chainage_{i}": float(value) for i, value in enumerate([*x, 420.0], start=1)}
    points |= {f"level_{i}": float(value) for i, value in enumerate([*level, 500.0], start=1)}
    return points | {
        "nozzle_level": 500.0,
        "gauge_height": 0.0,
        "bucket_seconds": float(rng.uniform(8.0, 200.0)),
        "nozzle": float(rng.uniform(5.0, 12.0)),
    }, count + 1


def test_route_and_nozzle_know_one_pressure_whatever_the_source_gives(sheet):
    """Hydrostatics and Darcy-Weisbach, from the nozzle up: at the last point of the route stands what a gauge before
    the nozzle reads. Above it the line never rises by more than the friction between; where it meets the pipe the
    pressure is 0, and no suction comes of a source that gives too little.
    """
    rng = np.random.default_rng(20261127)
    sites = [source_limited(rng) for _ in range(60)]
    first, limited, part_full = route_table().first, 0, 0
    for result, (site, points) in zip(sheet.run_all([site for site, _ in sites]), sites, strict=True):
        running, line, lost, words, over = (
            [result.value(("Route", f"{letter}{row}")) for row in range(first, first + points)]
            for letter in ("E", "K", "I", "F", "AG")
        )
        bar, unused, lowest, gravity = (
            sheet.value(result, name) for name in ("running_pressure", "unused_head", "lowest_running", "gravity")
        )
        level = np.array([site[f"level_{i}"] for i in range(1, points + 1)])
        assert running[-1] == pytest.approx(bar, abs=1e-6)
        assert lowest == min(running)
        assert running == pytest.approx(hf.gauge_pressure(line - level, SHOWN["water_temperature"], gravity), abs=1e-9)
        no_suction = np.minimum(0.0, hf.gauge_pressure(np.array(over), SHOWN["water_temperature"], gravity))
        assert np.all(np.array(running) >= no_suction - 1e-9)
        if unused > 0:
            limited += 1
            full = np.array(running[:-1]) > 1e-6
            assert -np.diff(line)[full] == pytest.approx(np.diff(lost)[full], abs=1e-6)
            part_full += words.count("runs part-full")
    assert limited > 30 and part_full > 30


# -- a route that nobody walked --------------------------------------------------------------------------------


def test_without_a_route_the_pipe_is_drawn_straight_from_intake_to_nozzle(sheet):
    """By head and length; the running line ends above the nozzle by what a gauge there reads. No cell is an error."""
    given = {"nozzle_level": 500.0, "gauge_height": 0.0, "pipe_length": 420.0, "water_temperature": 10.0}
    result = sheet.run(**SITES["no route"] | given)
    assert [key for key in sheet.plan.outputs if key[0] == "Route" and isinstance(result.value(key), ExcelError)] == []
    drawn = next(item for _, item in PLACED["Route"] if isinstance(item, Table) and item.key == "route_lines")
    head, gauge, gravity = (sheet.value(result, name) for name in ("gross_head", "running_pressure", "gravity"))
    rows = [[result.value(("Route", f"{letter}{row}")) for letter in "CDEF"] for row in (drawn.first, drawn.last)]
    above = hf.static_head(gauge, 0.0, 10.0, gravity)
    assert rows[0] == pytest.approx([0.0, 500 + head, 500 + head, 500 + head])
    assert rows[1] == pytest.approx([420.0, 500.0, 500 + head, 500 + above])


@pytest.mark.parametrize("unknown", ["static_pressure", "pipe_length"])
@pytest.mark.parametrize("route", ["no route", "route with bad rows", "route through three sections"])
def test_what_is_not_known_of_the_plant_is_not_drawn(sheet, route, unknown):
    """No head or no length: nothing to draw, and no error, whatever stands in the rows; they say why."""
    result = sheet.run(**SITES[route] | {unknown: None})
    assert [key for key in sheet.plan.outputs if key[0] == "Route" and isinstance(result.value(key), ExcelError)] == []
    drawn, points = (
        next(item for _, item in PLACED["Route"] if isinstance(item, Table) and item.key == key)
        for key in ("route_lines", "route")
    )
    for row in range(drawn.first, drawn.last + 1):
        assert {str(result.value(("Route", f"{letter}{row}"))) for letter in "DEF"} == {""}
    said = {str(result.value(("Route", f"F{row}"))) for row in range(points.first, points.last + 1)}
    assert said <= {"", "give both numbers", "head, length or bore missing"}
    assert route == "no route" or "head, length or bore missing" in said


def test_without_a_rating_a_point_is_judged_by_the_rest(sheet):
    """Its share of the rating is empty, not 0, and it still says where air gathers."""
    result = sheet.run(pipe_rating=None)
    points = next(item for _, item in PLACED["Route"] if isinstance(item, Table) and item.key == "route")
    rows = range(points.first, points.last + 1)
    said = [str(result.value(("Route", f"F{row}"))) for row in rows]
    assert said == [str(sheet.run().value(("Route", f"F{row}"))) for row in rows] and "vent here" in said
    assert (
        {str(result.value(("Route", f"H{row}"))) for row in rows}
        == {str(sheet.value(result, "most_of_rating"))}
        == {""}
    )


def test_one_point_is_a_route(sheet):
    """Then nothing stands in for others."""
    result = sheet.run(**SITES["one point alone"])
    drawn = next(item for _, item in PLACED["Route"] if isinstance(item, Table) and item.key == "route_lines")
    assert [result.value(("Route", f"C{row}")) for row in (drawn.first, drawn.last)] == [100.0, 100.0]
    assert sheet.value(result, "route_end") == 100.0
