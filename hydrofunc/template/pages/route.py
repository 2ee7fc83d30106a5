"""Route: ground, pipe and grade line, point by point."""

from ...registry import Argument
from ..chain import call
from ..expression import (
    Cell,
    all_of,
    any_of,
    cell,
    cells,
    column,
    count,
    entry,
    greatest,
    is_number,
    least,
    magnitude,
    or_zero,
    row_count,
    slot_of,
    total,
    total_of,
    when,
)
from ..model import PASS, Formula, Heading, Input, Page, Result, Space, Table, Words
from .common import PRACTICE, Check, argument_of, fed_by, limit, words

POINTS = 40
# A formula of these tables never names the row above or below it, only ranges that begin or end in its own row. So it
# is right in whatever row it is copied to, and rows put in change nothing in the rows around them.
NTH = "ROWS(B${first}:B{row})"  # of a row in its table
_CHAINAGE_ABOVE = Cell("chainage_before", "INDEX(C${head}:C{row},AK{row})")  # of the first row it is the head
CHAINAGE, LEVEL = column("C", "chainage"), column("D", "level")
_RUNNING, _REST, _SHARE = column("E", "running"), column("G", "rest"), column("H", "share")  # bar, bar, % of the rating
_LOST, _VELOCITY_HEAD = column("I", "lost"), column("J", "moving")
_LINE, STATE_THERE = column("K", "line"), column("L", "state")
_LEVEL_BEFORE, _LEVEL_AFTER = column("M", "level_before"), column("N", "level_after")
_STATE_WORD, _POINT_WORD = column("T", "state_word"), column("AB", "point_word")
_ON_PIPE, _SECTION, _HERE = column("AC", "on_pipe"), column("AD", "section"), column("AE", "level_here")
_FULL_OVER, _UNUSED = column("AG", "full_over"), cell("unused_head")
_ABOVE, _BELOW = column("AH", "usable_above"), column("AI", "usable_below")
_LEVELS = cell("route_level")
MAIN_LENGTH, SECOND_LENGTH, WHOLE_LENGTH, WATER_LEVEL, SUCTION = cells(
    "pipe_length length_2 whole_length water_level usable_suction"
)
OVER, SPAN, LEAST_SUCTION, MOST_SHARE = cells("route_over route_level_span route_suction_least route_share_most")
LIMITS = (
    limit(
        "route_over",
        "Chainage may be longer than the pipe by",
        3,
        "%",
        f"Of the pipe's length: so far two measurements of one pipe differ. {PRACTICE}",
        "[0, 50]",
    ),
    limit(
        "route_level_span",
        "Level may differ from the water level by",
        1500,
        "m",
        f"More is a slip of the pen, or levels from two different zeros. {PRACTICE}",
        "(0, 9000]",
    ),
    limit(
        "route_suction_least",
        "Suction counts from",
        0.0005,
        "bar",
        f"5 mm of water: less is rounding. {PRACTICE}",
        "[0, 0.1]",
    ),
    limit(
        "route_share_most",
        "Pressure at rest: most of the rating",
        100,
        "%",
        f"The rating itself; surge comes on top (sheet Checks asks for a third in hand). {PRACTICE}",
        "(0, 100]",
    ),
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


def _chainage(i):
    return Argument(f"chainage_{i}", "m", "Length along the pipe from the intake.", "[0, 60000]")


def _level(i):
    return Argument(f"level_{i}", "m", "Level of the pipe there.", "[-1000, 9000]")


# -- rules: a column asks one question, 1 is yes; the first yes gives the word ------------------------------------

_TWO_NUMBERS = count(CHAINAGE.to(LEVEL)) == 2
_NO_NUMBERS, _NO_LENGTH = column("O", "no_numbers"), column("P", "no_length")
_END = (1 + OVER / 100) * WHOLE_LENGTH
STATE_RULES = (  # column, head, question, word, what to do; of a row that is not empty
    (_NO_NUMBERS, "a number missing", when((_TWO_NUMBERS, 0), otherwise=1), "give both numbers", "Chainage and level."),
    (
        _NO_LENGTH,
        "pipe not known",
        when((is_number(WHOLE_LENGTH), 0), otherwise=1),
        "head, length or bore missing",
        "Give them first: a point is judged by where it lies on the pipe.",
    ),
    (
        column("Q", "off_pipe"),
        "off the pipe",
        when((_NO_NUMBERS + _NO_LENGTH > 0, 0), (any_of(CHAINAGE < 0, CHAINAGE > _END), 1), otherwise=0),
        "not on the pipe",
        "Below 0, or beyond the pipe's end by more than measuring explains: look at both lengths.",
    ),
    (
        column("R", "no_such_level"),
        "impossible level",
        when((_NO_NUMBERS + _NO_LENGTH > 0, 0), (magnitude(LEVEL - WATER_LEVEL) > SPAN, 1), otherwise=0),
        "level cannot be",
        "Too far from the water level: a slip of the pen, or levels from two different zeros.",
    ),
    (
        column("S", "out_of_order"),
        "out of order",
        when((all_of(is_number(_CHAINAGE_ABOVE), CHAINAGE <= _CHAINAGE_ABOVE), 1), otherwise=0),
        "not beyond the row above",
        "Points go downhill along the pipe, each further from the intake than the one above.",
    ),
)
_USED = STATE_THERE == "used"
_HAS_NEIGHBOURS = count(_LEVEL_BEFORE.to(_LEVEL_AFTER)) == 2
POINT_RULES = (  # of a row that is used
    (
        column("U", "parts"),
        "beyond suction",
        when((_USED, when((LEVEL - _LINE > SUCTION, 1), otherwise=0)), otherwise=0),
        "the column parts (air-lock)",
        "The pipe stands further above its running line than suction can hold: the flow of sheet Nozzle is not "
        "reached. Lower it or lay a wider pipe above it.",
    ),
    (
        column("V", "siphon"),
        "suction at rest",
        when((all_of(_USED, _REST < -LEAST_SUCTION), 1), otherwise=0),
        "above the water level: siphon",
        "It does not fill by itself, and air gathers in it. Lower it.",
    ),
    (
        column("W", "suction"),
        "suction running",
        when((all_of(_USED, _RUNNING < -LEAST_SUCTION), 1), otherwise=0),
        "suction: draws air",
        "Every joint draws air while the water runs. Lower it, lay a wider pipe above it, or use less water.",
    ),
    (
        column("X", "over_rating"),
        "over rating",
        when((all_of(_USED, or_zero(_SHARE) > MOST_SHARE), 1), otherwise=0),
        "above the rating",
        "At rest, before any surge: a stronger pipe from here down.",
    ),
    (
        column("Y", "crest"),
        "high point",
        when((all_of(_USED, _HAS_NEIGHBOURS, LEVEL > _LEVEL_BEFORE, LEVEL > _LEVEL_AFTER), 1), otherwise=0),
        "vent here",
        "Air gathers there and throttles the flow: a small valve or hydrant on top.",
    ),
    (
        column("Z", "dip"),
        "low point",
        when((all_of(_USED, _HAS_NEIGHBOURS, LEVEL < _LEVEL_BEFORE, LEVEL < _LEVEL_AFTER), 1), otherwise=0),
        "drain here",
        "Sand settles and water freezes there: a drain at its lowest spot.",
    ),
    (
        column("AA", "part_full"),
        "part-full",
        when((all_of(_USED, _UNUSED > 0), when((_FULL_OVER < _UNUSED, 1), otherwise=0)), otherwise=0),
        "runs part-full",
        "The source gives less than the nozzle takes: the water stands lower in the pipe. A smaller nozzle fills it.",
    ),
)


def _first_word(rules, table, otherwise):
    """The word, in a table of them in the order of the rules, of the first rule that says 1."""
    answers = rules[0][0].to(rules[-1][0])
    return when((total(answers) == 0, otherwise), otherwise=entry(cell(table), slot_of(1, answers)))


STATE_WORD = _first_word(STATE_RULES, "route_reasons", "used")
POINT_WORD = _first_word(POINT_RULES, "route_verdicts", "ok")
STATE = when((all_of(CHAINAGE == "", LEVEL == ""), ""), otherwise=_STATE_WORD)
SAYS = when((_USED, _POINT_WORD), otherwise=STATE_THERE)


# -- a point ---------------------------------------------------------------------------------------------------

_BEGIN, _ENDS, _LOST_ABOVE, _SLOPE = cells("section_begin section_end section_lost section_slope")
SECTION = 1 + total_of((_ENDS < _ON_PIPE) * 1)
_LOST_THERE = entry(_LOST_ABOVE, _SECTION) + entry(_SLOPE, _SECTION) * (_ON_PIPE - entry(_BEGIN, _SECTION))
LEVEL_HERE = when((_USED, LEVEL), otherwise=_LEVEL_BEFORE)  # of this point, or of the nearest usable one above
LEVEL_BEFORE = when((_ABOVE == 0, ""), otherwise=entry(_LEVELS, _ABOVE))
LEVEL_AFTER = when((_BELOW == 0, ""), otherwise=entry(_LEVELS, 1 + row_count(_LEVELS) - _BELOW))
# The nearest usable row above, counted from the first; and the nearest below whose level is another one, counted from
# the last: where the pipe goes at the end of a level stretch. 0: there is none. SUMPRODUCT makes MAX take products.
# Head over the head lost on the way while the plant runs: out of the pipe broken off where it is greatest comes most
# water, as losses go very nearly with the square of the flow: of 400 lines made at random 7 had their worst point
# elsewhere, with at most 0.5 % more flow. The flow itself is on sheet Supply.
BREAK_ORDER = '=IF(MIN(N(G{row}),N(I{row})+N(J{row}))>0,(water_level-D{row})/(I{row}+J{row}),"")'
USABLE_ABOVE = '=SUMPRODUCT(MAX((L${first}:L{row}="used")*(AK${first}:AK{row}<AK{row})*AK${first}:AK{row}))'
USABLE_BELOW = '=SUMPRODUCT(MAX((L{row}:L${last}="used")*(D{row}:D${last}<>AE{row})*(1+AK${last}-AK{row}:AK${last})))'


# The running line. Up to where the water stands it lies below that of a full pipe by the head that is not used; above
# that the pipe runs part-full, and its line is the pipe itself. A dip stands full: what lies below counts as well.
FULL_OVER = WATER_LEVEL - _LOST - _VELOCITY_HEAD - LEVEL
LINE = _FULL_OVER + LEVEL - greatest(0, least(_UNUSED, Cell("full_over_below", "AG{row}:AG${last}")))


def _if_used(expression):
    return f"={when((_USED, expression), otherwise='')}"


def _pressure(above):
    return f'=IF(L{{row}}="used",{call("gauge_pressure", line_above=above)},"")'


def _cell(text, digits="General", **more):
    """A cell of a table here: it looks after itself while head, length, bore or rating is missing."""
    return Formula(text, digits, guard=PASS, **more)


def _row(i):
    there, chainage, level = _EXAMPLE[i - 1] if i <= len(_EXAMPLE) else (None, None, None)
    return (
        Input(f"point_{i}", f"Point {i}", words(f"point_{i}", "What is there."), example=there),
        Input(f"chainage_{i}", f"Chainage of point {i}", _chainage(i), example=chainage, digits="0.0"),
        Input(f"level_{i}", f"Level of point {i}", _level(i), example=level, digits="0.0"),
        _cell(_pressure("K{row}-D{row}"), "0.00"),
        _cell(f"={SAYS}"),
        _cell(_pressure("water_level-D{row}"), "0.00"),
        _cell('=IF(L{row}="used",IFERROR(MAX(0,100*G{row}/INDEX(section_rating,AD{row})),""),"")', "0"),
        _cell(_if_used(when((CHAINAGE > 0, _LOST_THERE), otherwise=0)), "0.00"),
        _cell(_if_used(when((CHAINAGE > 0, entry(cell("section_head"), _SECTION)), otherwise=0)), "0.00"),
        _cell(_if_used(LINE), "0.0"),
        _cell(f"={STATE}"),
        _cell(f"={LEVEL_BEFORE}", "0.0"),
        _cell(f"={LEVEL_AFTER}", "0.0"),
        *(_cell(f"={question}", "0") for _, _, question, _, _ in STATE_RULES),
        _cell(f"={STATE_WORD}"),
        *(_cell(f"={question}", "0") for _, _, question, _, _ in POINT_RULES),
        _cell(f"={POINT_WORD}"),
        _cell(_if_used(least(CHAINAGE, WHOLE_LENGTH)), "0.0"),
        _cell(_if_used(SECTION), "0"),
        _cell(f"={LEVEL_HERE}", "0.0"),
        _cell('=IF(L{row}="used",AK{row},AH{row})', "0"),
        _cell(_if_used(FULL_OVER), "0.0"),
        _cell(USABLE_ABOVE, "0"),
        _cell(USABLE_BELOW, "0"),
        _cell(BREAK_ORDER, "0.00"),
        _cell(f"={NTH}", "0"),
    )


def _drawn(i):
    """What the chart draws: the point, or where the row is not used the one before it once more."""

    def drawn(column):
        return f"=IF(O{{row}}>0,INDEX(route_{column},O{{row}}),INDEX(straight_{column},1+P{{row}}))"

    return (
        f"point {i}",
        _cell(drawn("chainage"), "0.0"),
        _cell(drawn("level"), "0.0", name="route_foot" if i == POINTS else ""),
        _cell("=water_level", "0.0"),
        _cell(drawn("line"), "0.0"),
        *[""] * 8,
        _cell(f"=INDEX(route_drawn,{NTH})", "0"),
        _cell(f"=IF(AND(route_points=0,ISNUMBER(nozzle_line)),MIN({NTH}-1,2),0)", "0"),
    )


def _section(i):
    """A row of the table of sections."""
    first = ("pipe_length", "bore_used", "roughness_used")
    length, bore, roughness = first if i == 1 else (f"{what}_{i}" for what in ("length", "bore", "roughness"))
    friction = call("friction_head", length="C{row}", bore="F{row}", roughness="G{row}")
    moving = call("velocity_head", bore="F{row}")
    lost = '=IF(COUNT(H{row-1}:I{row-1})=2,H{row-1}+I{row-1}*C{row-1},"")' if i > 1 else '=IFERROR(fittings_head,"")'
    return (
        f"section {i}",
        _cell(f"=N({length})", "0.0"),
        _cell("=N(E{row-1})", "0.0"),
        _cell("=D{row}+C{row}", "0.0"),
        _cell(f"={bore}", "0.0"),
        _cell(f"={roughness}", "0.000"),
        _cell(lost, "0.00"),
        _cell(f'=IF(C{{row}}>0,IFERROR({friction}/C{{row}},""),0)', "0.0000"),
        _cell(f'=IF(C{{row}}>0,IFERROR({moving},""),0)', "0.00"),
        _cell(f"=rating_used_{i}", "0.0"),
    )


def _rating(i):
    return Input(
        f"section_rating_{i}",
        f"Rating of section {i}",
        argument_of("static_pressure", "head").with_(
            name=f"section_rating_{i}", unit="bar", meaning="Nominal pressure of this section.", within="(0, 200]"
        ),
        note="If empty, the rating on sheet Pipe counts.",
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
        Heading("Sections of the pipe (of sheet Pipe)"),
        Table(
            (
                "section",
                "length, m",
                "from, m",
                "to, m",
                "bore, mm",
                "rough, mm",
                "lost above, m",
                "lost in 1 m, m/m",
                "velocity head, m",
                "rating, bar",
            ),
            tuple(_section(i) for i in (1, 2, 3)),
            names={
                "section_begin": "D",
                "section_end": "E",
                "section_lost": "H",
                "section_slope": "I",
                "section_head": "J",
                "section_rating": "K",
            },
            key="route_sections",
            how={
                "C": "length on sheet Pipe",
                "D": "where the section above ends",
                "F:G": "of sheet Pipe",
                "H": "all fittings, as if just below the intake, and the friction of the sections above",
                "K": "as above",
            },
        ),
        Heading("What a row and a point of the table below can say"),
        Words("The first that is true counts. Where one begins is on the sheet Limits. Without any of them: used, ok."),
        Table(
            ("row is", "means"),
            tuple((word, advice) for *_, word, advice in STATE_RULES),
            names={"route_reasons": "B"},
            key="route_reasons",
            spread="C",
        ),
        Table(
            ("in words", "means"),
            tuple((word, advice) for *_, word, advice in POINT_RULES),
            names={"route_verdicts": "B"},
            key="route_verdicts",
            spread="C",
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
            "Below 0 air is drawn in at every joint. 0: the pipe runs part-full there.",
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
            '=COUNTIF(route_running,"<"&-route_suction_least)',
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
        Result(
            "route_end",
            "Chainage of the last point",
            "m",
            "=IF(route_points>0,MAX(drawn_chainage),0)",
            "0: no point is given.",
            digits="0.0",
        ),
        Result(
            "nozzle_line",
            "Running line at the nozzle",
            "m",
            f'=IFERROR(nozzle_level+net_head-{call("velocity_head", bore="outlet_bore")},"")',
            "Net head there (sheet Nozzle) less velocity head. Empty: the flow or the head is not known.",
            digits="0.0",
        ),
        Result(
            "straight_full_from",
            "A straight pipe runs full from this share of its length",
            "-",
            "=IF(N(unused_head)>0,1-(nozzle_line-nozzle_level)/(gross_head-(lost_head-fittings_head)),0)",
            "For the chart where no point is given: friction spread evenly. 0: all of it.",
            digits="0.00",
        ),
        Result(
            "route_length_off",
            "Route and length of the pipe differ by",
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
            "Fall of the route and gross head differ by",
            "%",
            _if_route("100*(route_fall/gross_head-1)", 2),
            "The first point is a little lower than the water above it.",
            digits="0.0",
        ),
        Words(
            "Where the source gives less than the nozzle takes, the water stands in the pipe only as high as the head "
            "before the nozzle (sheet Nozzle) and the friction below ask for. Above that the pipe runs part-full: no "
            "pressure, and air is drawn in. Running pressures and the chart follow this."
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
            "Rows at the end may stay empty. Columns L to N, and those to the right of the printed page, are workings. "
            "More points: insert rows above the last row of this table and copy E to AK of any other row into them; "
            "insert as many above the last row of the table that the chart draws and copy C to P into them; the same "
            "with C to R on the sheet Strength. A check (sheet Checks) says where a row was left out."
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
                *(head for _, head, *_ in STATE_RULES),
                "a row says",
                *(head for _, head, *_ in POINT_RULES),
                "a point says",
                "on the pipe at, m",
                "section",
                "level here, m",
                "row to draw",
                "full line above the pipe, m",
                "usable row above",
                "other level below",
                "head over losses there",
                "row",
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
                "route_drawn": "AF",
                "route_break": "AJ",
            },
            key="route",
            how={
                "H": "at rest over the rating of that section, above",
                "I:J": "of its section, above",
                "K": "water level at the intake less lost head, velocity head and head not used; where that is below "
                "the pipe, the pipe runs part-full and the line is the pipe",
                "M:N": "level of the nearest usable point up and down the pipe",
                "O:S": "questions to a row, 1 is yes; the first yes gives the word, in the order of the words above",
                "U:AA": "questions to a usable row, answered and read the same way",
                "AC": "chainage, at most the length of the pipe",
                "AD": "sections that end above it, and one",
                "AE": "of this point, or of the nearest usable one above",
                "AF": "the nearest usable row down to here, counted in this table",
                "AG": "how far the running line of a full pipe would lie above the pipe",
                "AH": "the nearest, counted in this table; 0 is none",
                "AI": "nearest usable row of another level, counted from the last row; 0 is none",
                "AJ": "the pipe broken off at the greatest lets out most water (sheet Supply)",
                "AK": "of this table",
            },
        ),
        Heading("What the chart draws", new_page=True),
        Words(
            "An unused row repeats the point before it. As long as no point is given: a straight pipe from the intake "
            "to the nozzle, by head and length."
        ),
        Table(
            ("straight pipe", "share of its length, -", "chainage, m", "pipe, m", "running line, m"),
            tuple(
                (
                    where,
                    _cell(f"=IF({NTH}=2,N(straight_full_from),({NTH}-1)/2)", "0.00"),
                    _cell("=N(whole_length)*C{row}", "0.0"),
                    _cell('=IFERROR(water_level-gross_head*C{row},"")', "0.0"),
                    _cell("=IF(C{row}<1,E{row},nozzle_line)", "0.0"),
                )
                for where in ("intake", "runs full from", "nozzle")
            ),
            names={"straight_chainage": "D", "straight_level": "E", "straight_line": "F"},
            key="straight",
            how={"C": "0, as above, 1", "F": "at the pipe as far as it runs part-full"},
        ),
        Table(
            (
                "",
                "chainage, m",
                "pipe, m",
                "rest line, m",
                "running line, m",
                *[""] * 8,
                "row",
                "straight pipe, 0 to 2",
            ),
            tuple(_drawn(i) for i in range(1, POINTS + 1)),
            names={"drawn_chainage": "C", "drawn_level": "D", "drawn_rows": "O"},
            key="route_lines",
            how={
                "C:D": "of the points above",
                "E": "water level at the intake",
                "F": "as above",
                "O": "of the table of points",
                "P": "where nobody gave points: which row of the straight pipe above, less one",
            },
        ),
    ),
    widths=(3, 28, 11, 9, 14, 24, 9, 9, 9, 9, 9, 12, 9, 9),
    heads=("", "what", "value", "unit", "allowed / by", "note"),
)

CHECKS = (
    Check(
        "Route rows that cannot be used (1: only one row)",
        '=IF(route_bad>0,1+route_bad,IF(route_points=0,"",IF(route_points<2,1,0)))',
        "-",
        0,
        1,
        "Without the route nobody knows where the pipe stands above its grade line.",
        digits="0",
        give="points of the route",
    ),
    Check(
        "Route rows without a row in each of its tables",
        "=ABS(COUNT(drawn_rows)-ROWS(route_state))+ABS(COUNT(surge_rows)-ROWS(route_state))"
        "+ROWS(route_state)-COUNT(route_drawn)",
        "-",
        0,
        0,
        "Rows were put into one table only, or stay without the formulas of the rows around them (sheet "
        "Route says how): a point is not judged, not drawn or not looked at for surge.",
        digits="0",
    ),
    Check(
        "Suction on the route while water flows, of what is usable",
        '=IF(route_points>0,100*worst_suction/usable_suction,"")',
        "%",
        5,
        100,
        "A pipe above its grade line draws air; beyond the usable suction the column parts and the flow on sheet "
        "Nozzle is not reached "
        "(siphon: Cengel and Cimbala, Fluid Mechanics, Ex. 5-7).",
        name="route_suction",
        give="points of the route",
    ),
    Check(
        "Pressure at rest along the route, of the rating",
        '=IF(route_points>0,most_of_rating,"")',
        "%",
        67,
        100,
        (
            "Of each section, warm. Surge comes on top: keep a third in hand (common practice, no published source). "
            "Local pressure codes rule."
        ),
        name="route_rest",
        give="points of the route",
    ),
    Check(
        "Gross head, of the length of the pipe",
        "=100*gross_head/whole_length",
        "%",
        100,
        100,
        "No pipe is shorter than the height between its ends: look at both, and at their units.",
    ),
    Check(
        "Length of the route and of the pipe differ by",
        '=IF(route_points>1,ABS(route_length_off),"")',
        "%",
        3,
        10,
        f"One of them is wrong, or the last point is not the nozzle. {PRACTICE}",
        name="route_length",
        give="points of the route",
    ),
    Check(
        "Fall of the route and gross head differ by",
        '=IF(route_points>1,ABS(route_fall_off),"")',
        "%",
        5,
        15,
        f"Levels of the route against gauge or level survey. {PRACTICE}",
        name="route_fall",
        give="points of the route",
    ),
)
