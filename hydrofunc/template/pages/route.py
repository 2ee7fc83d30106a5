"""Route: ground, pipe and grade line, point by point."""

from ...registry import Argument
from ..chain import call
from ..expression import (
    Expression,
    all_of,
    any_of,
    cell,
    cells,
    column,
    is_false,
    is_number,
    magnitude,
    or_zero,
    rounded,
    when,
)
from ..model import Formula, Heading, Input, Page, Result, Space, Table, Words
from .common import PRACTICE, argument_of, check, fed_by, words

POINTS = 40
NTH = "ROWS(B${first}:B{row})"  # of a row in its table: rows put in and filled down go on counting
CHAINAGE, LEVEL = column("C", "chainage"), column("D", "level")
_RUNNING, _REST, _SHARE = column("E", "running"), column("G", "rest"), column("H", "share")  # bar, bar, % of the rating
_LINE, STATE_THERE = column("K", "line"), column("L", "state")
_LEVEL_BEFORE, _LEVEL_AFTER = column("M", "level_before"), column("N", "level_after")
MAIN_LENGTH, SECOND_LENGTH, WHOLE_LENGTH, WATER_LEVEL, SUCTION = cells(
    "pipe_length length_2 whole_length water_level usable_suction"
)
# Of the section in which the chainage lies.
RATING_THERE = when(
    (CHAINAGE <= MAIN_LENGTH, cell("rating_used_1")),
    (CHAINAGE <= MAIN_LENGTH + or_zero(SECOND_LENGTH), cell("rating_used_2")),
    otherwise=cell("rating_used_3"),
)
_EXAMPLE = (  # invented: what is there, chainage, level
    ("intake", 0.0, 562.8),
    ("filter box", 12.0, 561.9),
    ("path", 60.0, 556.0),
    ("dip in the wood", 105.0, 541.0),
    ("rise behind it", 150.0, 546.5),
    ("old wall", 200.0, 538.0),
    ("stream crossing", 250.0, 521.0),
    ("terrace", 285.0, 526.0),
    ("field", 340.0, 514.0),
    ("garden", 390.0, 505.0),
    ("nozzle", 420.0, 500.0),
)
_HERE = "MIN(C{row},whole_length)"


def _chainage(i):
    return Argument(f"chainage_{i}", "m", "Length along the pipe from the intake.", "[0, 60000]")


def _level(i):
    return Argument(f"level_{i}", "m", "Level of the pipe there.", "[-1000, 9000]")


def state(first: bool) -> Expression:
    """Whether a row can be used, in words; the first has none above it."""
    last_reason = [(all_of(is_number(CHAINAGE.before), CHAINAGE <= CHAINAGE.before), "not beyond the row above")]
    return when(
        (all_of(CHAINAGE == "", LEVEL == ""), ""),
        (is_false(all_of(is_number(CHAINAGE), is_number(LEVEL))), "give both numbers"),
        (is_false(is_number(WHOLE_LENGTH)), "no length on sheet Pipe"),
        (any_of(CHAINAGE < 0, CHAINAGE > 1.03 * WHOLE_LENGTH), "not on the pipe"),
        (magnitude(LEVEL - WATER_LEVEL) > 1500, "level cannot be"),
        *([] if first else last_reason),
        otherwise="used",
    )


_HAS_NEIGHBOURS = all_of(is_number(_LEVEL_BEFORE), is_number(_LEVEL_AFTER))
_CREST_OR_DIP = when(
    (all_of(LEVEL > _LEVEL_BEFORE, LEVEL > _LEVEL_AFTER), "vent here"),
    (all_of(LEVEL < _LEVEL_BEFORE, LEVEL < _LEVEL_AFTER), "drain here"),
    otherwise="ok",
)
SAYS = when(
    (STATE_THERE != "used", STATE_THERE),
    (LEVEL - _LINE > SUCTION, "the column parts (air-lock)"),
    (rounded(_REST, 3) < 0, "above the water level: siphon"),
    (rounded(_RUNNING, 3) < 0, "suction: draws air"),
    (_SHARE > 100, "above the rating"),
    (_HAS_NEIGHBOURS, _CREST_OR_DIP),
    otherwise="ok",
)


def _if_used(expression):
    return f'=IF(L{{row}}="used",{expression},"")'


def _before(i):
    """The level of the nearest usable row above; it looks at that row, or at what that row found."""
    return '=IF(L{row-1}="used",D{row-1},M{row-1})' if i > 1 else '=""'


def _after(i):
    """The next level below that is another one: where the pipe goes at the end of a level stretch."""
    here = 'IF(L{row}="used",D{row},M{row})'
    return f'=IF(L{{row+1}}="used",IF(D{{row+1}}={here},N{{row+1}},D{{row+1}}),N{{row+1}})' if i < POINTS else '=""'


def _row(i):
    there, chainage, level = _EXAMPLE[i - 1] if i <= len(_EXAMPLE) else (None, None, None)
    return (
        Input(f"point_{i}", f"Point {i}", words(f"point_{i}", "What is there."), optional=True, example=there),
        Input(f"chainage_{i}", f"Chainage of point {i}", _chainage(i), optional=True, example=chainage, digits="0.0"),
        Input(f"level_{i}", f"Level of point {i}", _level(i), optional=True, example=level, digits="0.0"),
        Formula(_if_used(call("gauge_pressure", line_above="K{row}-D{row}")), "0.00"),
        Formula(f"={SAYS}"),
        Formula(_if_used(call("gauge_pressure", line_above="water_level-D{row}")), "0.00"),
        Formula(_if_used(f"MAX(0,100*G{{row}}/{RATING_THERE})"), "0"),
        Formula(_if_used(call("lost_head_at", chainage=_HERE)), "0.00"),
        Formula(_if_used("IF(C{row}>0," + call("velocity_head", bore=call("bore_at", chainage=_HERE)) + ",0)"), "0.00"),
        Formula(_if_used("water_level-I{row}-J{row}"), "0.0"),
        Formula(f"={state(first=i == 1)}"),
        Formula(_before(i), "0.0"),
        Formula(_after(i), "0.0"),
    )


def _drawn(i):
    """What the chart draws: the point, or where the row is not used the one before it once more."""

    def drawn(taken, letter, begin):
        return f'=IF(INDEX(route_state,{NTH})="used",INDEX({taken},{NTH}),{f"{letter}{{row-1}}" if i > 1 else begin})'

    return (
        f"point {i}",
        Formula(drawn("route_chainage", "C", "0"), "0.0"),
        Formula(drawn("route_level", "D", "water_level"), "0.0", name="route_foot" if i == POINTS else ""),
        Formula("=water_level", "0.0"),
        Formula(drawn("route_line", "F", "water_level"), "0.0"),
    )


def _rating(i):
    return Input(
        f"section_rating_{i}",
        f"Rating of section {i}",
        argument_of("static_pressure", "head").with_(
            name=f"section_rating_{i}", unit="bar", meaning="Nominal pressure of this section.", within="(0, 200]"
        ),
        optional=True,
        note="If empty, the rating on sheet Pipe counts." if i == 1 else "",
    )


def _rated(i):
    return Result(
        f"rating_used_{i}",
        f"Rating that counts, section {i}",
        "bar",
        f"=IF(ISNUMBER(section_rating_{i}),section_rating_{i},pipe_rating)*temperature_factor"
        + (f"_{i}" if i > 1 else ""),
        "Its own or that of sheet Pipe, less what warmth takes away (sheet Strength).",
        digits="0.0",
    )


def _if_route(expression, least=1):
    return f'=IF(route_points>={least},{expression},"")'


PAGE = Page(
    "Route",
    "The pipe on the ground: pressure at every point, at rest and running; where air and mud gather.",
    (
        Heading("Levels and limits"),
        Input(
            "nozzle_level",
            "Level of the nozzle",
            Argument("nozzle_level", "m", "Level of the nozzle.", "[-1000, 9000]"),
            0.0,
            example=500.0,
            digits="0.0",
            note="In the same levels as the points below: above the sea, or any other zero.",
        ),
        fed_by(
            argument_of("available_suction", "margin").with_(name="suction_margin", default=30.0),
            "Margin on suction",
            f"For the air that leaves the water before it boils. {PRACTICE}",
            digits="0",
        ),
        *(_rating(i) for i in (1, 2, 3)),
        Result(
            "water_level",
            "Water level at the intake",
            "m",
            "=nozzle_level+gross_head",
            "Level of the nozzle and gross head.",
            digits="0.0",
        ),
        Result(
            "whole_length",
            "Length of all pipe sections",
            "m",
            "=IF(ISNUMBER(pipe_length),pipe_length+N(length_2)+N(length_3),NA())",
            "From sheet Pipe. #N/A: the length of the main pipe is not given.",
            digits="0",
        ),
        *(_rated(i) for i in (1, 2, 3)),
        Result(
            "full_suction",
            "Suction at which water boils",
            "m",
            "=" + call("available_suction", altitude="altitude+gross_head", margin="0"),
            "Air pressure at the height of the intake, less vapour pressure.",
            digits="0.0",
        ),
        Result(
            "usable_suction",
            "Suction that is usable",
            "m",
            "=" + call("available_suction", altitude="altitude+gross_head", margin="suction_margin"),
            "Less the margin.",
            digits="0.0",
        ),
        Heading("What the route shows (points: in the table below)", new_page=True),
        Result("route_points", "Points used", "-", '=COUNTIF(route_state,"used")', digits="0"),
        Result(
            "route_bad",
            "Rows that cannot be used",
            "-",
            '=SUMPRODUCT((route_state<>"")*(route_state<>"used"))',
            "The row says why; its neighbours still count.",
            digits="0",
        ),
        Result(
            "lowest_running",
            "Lowest gauge pressure, running",
            "bar",
            _if_route("MIN(route_running)"),
            "Below 0 air is drawn in at every joint.",
            digits="0.00",
            strong=True,
        ),
        Result(
            "lowest_running_at",
            "The lowest is at chainage",
            "m",
            _if_route("INDEX(route_chainage,MATCH(lowest_running,route_running,0))"),
            "The first such point of the table below.",
            digits="0.0",
        ),
        Result(
            "points_above_line",
            "Points above the running line",
            "-",
            '=COUNTIF(route_running,"<-0.0005")',
            "Should be none.",
            digits="0",
        ),
        Result(
            "worst_suction",
            "Deepest suction, running",
            "m",
            _if_route("MAX(0,-lowest_running)*100000/(water_density*gravity)"),
            "Compare with the usable suction above.",
            digits="0.00",
        ),
        Result(
            "highest_rest",
            "Highest gauge pressure, at rest",
            "bar",
            _if_route("MAX(route_rest)"),
            digits="0.00",
            strong=True,
        ),
        Result(
            "highest_rest_at",
            "The highest is at chainage",
            "m",
            _if_route("INDEX(route_chainage,MATCH(highest_rest,route_rest,0))"),
            "The first such point.",
            digits="0.0",
        ),
        Result("most_of_rating", "Most of the rating used, at rest", "%", _if_route("MAX(route_share)"), digits="0"),
        Result(
            "vent_points",
            "High points to vent",
            "-",
            '=COUNTIF(route_words,"vent here")',
            "Air gathers there and throttles the flow: a small valve or hydrant on top.",
            digits="0",
        ),
        Result(
            "drain_points",
            "Low points to drain",
            "-",
            '=COUNTIF(route_words,"drain here")',
            "Sand settles and water freezes there.",
            digits="0",
        ),
        Result("route_end", "Chainage of the last point", "m", "=MAX(drawn_chainage)", digits="0.0"),
        Result(
            "route_length_off",
            "Off the length of the pipe by",
            "%",
            _if_route("100*(route_end/whole_length-1)", 2),
            digits="0.0",
        ),
        Result(
            "route_fall",
            "Fall from first to last point",
            "m",
            _if_route('INDEX(route_level,MATCH("used",route_state,0))-route_foot', 2),
            "Levels of the table below.",
            digits="0.0",
        ),
        Result(
            "route_fall_off",
            "Off the gross head by",
            "%",
            _if_route("100*(route_fall/gross_head-1)", 2),
            "The first point is a little lower than the water above it.",
            digits="0.0",
        ),
        Words(
            "Do not vent a point under suction: it draws air in. Lower it, lay a wider pipe above it, or use less "
            "water. Stand aside when "
            "you open a vent: the air comes out as hard as the water after it.",
            caution=True,
        ),
        Space("route_lines", 18),
        Heading("Points along the pipe, from the intake down", new_page=True),
        Words(
            "Chainage is the length along the pipe from the intake; 0 is the still water of the intake. The level is "
            "that of the "
            "pipe. Entrance and all fittings are counted as if they sat just below the intake: the safe side for "
            "every high point. "
            "Rows at the end may stay empty. The last three columns are workings. More points: insert rows above "
            "the last row of this table and copy E to N of a row above them down to the last row but one; insert as "
            "many above the last row of the "
            "next table and copy C to F down to the last; the same with C to H on the sheet Strength."
        ),
        Table(
            (
                "what is there",
                "chainage, m",
                "level, m",
                "running, bar",
                "in words",
                "at rest, bar",
                "at rest, % of rating",
                "lost head, m",
                "velocity head, m",
                "running line, m",
                "row is",
                "level before, m",
                "level after, m",
            ),
            tuple(_row(i) for i in range(1, POINTS + 1)),
            names={
                "route_chainage": "C",
                "route_level": "D",
                "route_running": "E",
                "route_words": "F",
                "route_rest": "G",
                "route_share": "H",
                "route_line": "K",
                "route_state": "L",
            },
            key="route",
            how={
                "H": "at rest over the rating of that section, above",
                "K": "water level at the intake less lost head and velocity head",
                "M:N": "level of the nearest usable point up and down the pipe",
            },
        ),
        Heading("What the chart draws", new_page=True),
        Words("An unused row repeats the point before it."),
        Table(
            ("", "chainage, m", "pipe, m", "rest line, m", "running line, m"),
            tuple(_drawn(i) for i in range(1, POINTS + 1)),
            names={"drawn_chainage": "C", "drawn_level": "D"},
            key="route_lines",
            how={"C:D": "of the points above", "E": "water level at the intake", "F": "as above"},
        ),
    ),
    widths=(3, 31, 11, 9, 23, 38, 8, 9, 8, 9, 9, 16, 8, 8),
    heads=("", "what", "value", "unit", "allowed / by", "note"),
    pages=0,
)

CHECKS = (
    check(
        "Route rows that cannot be used (1: no route given)",
        "=IF(route_bad>0,1+route_bad,IF(route_points<2,1,0))",
        "-",
        0,
        1,
        "Without the route nobody knows where the pipe stands above its grade line.",
        digits="0",
    ),
    check(
        "Route rows without a row in each of its tables",
        "=ABS(ROWS(drawn_chainage)-ROWS(route_state))+ABS(ROWS(lowest_in_surge)-ROWS(route_state))",
        "-",
        0,
        0,
        "Rows were put into one table only: a point is neither drawn nor judged for surge.",
        digits="0",
    ),
    check(
        "Suction on the route while water flows, of what is usable",
        "=IF(route_points>0,100*worst_suction/usable_suction,0)",
        "%",
        5,
        100,
        "A pipe above its grade line draws air; beyond the usable suction the column parts and the flow on sheet "
        "Nozzle is not reached "
        "(siphon: Cengel and Cimbala, Fluid Mechanics, Ex. 5-7).",
    ),
    check(
        "Pressure at rest along the route, of the rating",
        "=IF(route_points>0,most_of_rating,0)",
        "%",
        67,
        100,
        (
            "Of each section, warm. Surge comes on top: keep a third in hand (common practice, no published source). "
            "Local pressure codes rule."
        ),
    ),
    check(
        "Length of the route and of the pipe differ by",
        "=IF(route_points>1,ABS(route_length_off),0)",
        "%",
        3,
        10,
        f"One of them is wrong, or the last point is not the nozzle. {PRACTICE}",
    ),
    check(
        "Fall of the route and gross head differ by",
        "=IF(route_points>1,ABS(route_fall_off),0)",
        "%",
        5,
        15,
        f"Levels of the route against gauge or level survey. {PRACTICE}",
    ),
)
