"""Strength: surge, wall, warmth, forces and supports."""

from ...catalogue.strength import (
    ANGLE,
    DESIGN_STRESS,
    LISTED_MATERIAL,
    MODULUS,
    SAG,
    SUPPORT,
    VALVE_TIME,
    WALL_TEMPERATURE,
)
from ...catalogue.strength import WALL as WALL_THICKNESS
from ...registry import Argument
from ...units import TEXT
from ..chain import asked, call, of_plant
from ..expression import (
    Cell,
    all_of,
    any_of,
    cell,
    cells,
    column,
    count_less,
    entry,
    greatest,
    is_number,
    no,
    or_zero,
    total_of,
    when,
)
from ..model import PASS, STOP, Assumption, Formula, Heading, Input, Page, Result, Table, Words
from .common import HAS_SECTION, PRACTICE, Check, fed_by, limit, where
from .route import NTH, POINTS

_GRADES = ("PE100", "PE80", "PE63", "PE40")
LIMITS = (
    *(
        limit(
            f"stress_of_{grade.lower()}",
            f"Design stress of {grade}",
            stress,
            "MPa",
            "Minimum strength over a coefficient of 1.25 (ISO 12162 and ISO 4427, from memory, not looked up).",
            "(0, 20]",
        )
        for grade, stress in zip(_GRADES, (8.0, 6.3, 5.0, 3.2))
    ),
    limit(
        "wall_stop",
        "Stress in the wall, of what it may bear: stop beyond",
        125.0,
        "%",
        "Beyond it even a moment is too much. Where nobody gave the grade of polyethylene: of what PE100 bears. "
        f"{PRACTICE}",
        "[100, 200]",
    ),
    limit(
        "rating_stop",
        "Printed rating, of what the bare wall stands: stop beyond",
        130.0,
        "%",
        f"Where nobody gave the grade of polyethylene: of what PE100 stands. {PRACTICE}",
        "[100, 200]",
    ),
    limit(
        "poisson_unlisted",
        "Poisson's ratio where the table has none",
        0.4,
        "-",
        f"That of most plastics. {PRACTICE}",
        "(0, 0.5]",
    ),
    limit(
        "surge_suction_seen",
        "Suction as the valve shuts is called so from",
        0.0005,
        "bar",
        f"Less is rounding: no gauge shows it. {PRACTICE}",
        "[0, 1]",
    ),
    limit(
        "surge_share_most",
        "Highest pressure as the valve shuts, of the rating",
        100.0,
        "%",
        "Above it a point is called above the rating. Some codes let plastic pass it for a moment (common practice, no "
        "published source); local pressure codes rule.",
        "(0, 200]",
    ),
    limit(
        "started_share",
        "The flow has come when it is this share of the full one",
        0.9,
        "-",
        f"The last tenth never quite comes. {PRACTICE}",
        "[0.5, 0.99]",
    ),
)
_WAVES = {"wave_speed": "wave_1", "wave_speed_2": "wave_2", "wave_speed_3": "wave_3", "density": "water_density"}
_LINE = _WAVES | {"chainage": "whole_length"}
_FALLS_SHUT = {"bore": "outlet_bore", "peak_head": "surge_head"}

# -- the table of sections, column by column ---------------------------------------------------------------------
_LENGTH, _BORE, _OWN_MATERIAL, _MATERIAL = (
    column("I", "length"),
    column("J", "bore"),
    column("K", "own_material"),
    column("L", "material"),
)
_OWN_WALL, _END, _BELOW = column("M", "own_wall"), column("R", "ends_at"), column("S", "pipe_below")
_DOWN_TO, _DEEPEST = column("T", "seen_down_to"), column("U", "deepest")


def _of_main(of: str, letter: str) -> Cell:
    """The cell of the main pipe, which is the first row, in a column of the table."""
    return Cell(f"main_{of}", f"{letter}${{first}}")


# Wall of a section: its own, or as thick for its bore as the main pipe's, if of the same material; else not known.
WALL = when(
    (_LENGTH == 0, ""),
    (_OWN_WALL > 0, _OWN_WALL),
    (
        all_of(
            _MATERIAL == _of_main("material", "L"),
            is_number(_of_main("wall", "M")),
            is_number(_of_main("bore", "J")),
        ),
        _of_main("wall", "M") * _BORE / _of_main("bore", "J"),
    ),
    otherwise="",
)
# Pressure at rest at the lowest point of a section, and above it: as far down as the first point that the route has at
# its end or beyond. The last section bears the most there is.
_DRAWN, _LEVELS, _WATER, _TOO_HIGH, _ROUTE_END = cells(
    "drawn_chainage drawn_level water_level points_above_line route_end"
)
DOWN_TO = when(
    (all_of(_BELOW > 0, _TOO_HIGH == 0, _ROUTE_END >= _END), entry(_DRAWN, count_less(_DRAWN, _END) + 1)),
    otherwise="",
)
DEEPEST = when(
    (_DOWN_TO == "", ""),
    otherwise=total_of(greatest((_DRAWN <= _DOWN_TO) * (_WATER - _LEVELS))),
)
REST_AT_END = greatest(cell("rest_at_nozzle"), or_zero(cell("highest_rest")))
REST_UNSEEN = when((_BELOW > 0, cell("rest_at_nozzle")), otherwise=cell("rest_at_end"))
REST = when((_DEEPEST == "", column("AB", "rest_unseen")), otherwise=asked("static_pressure", head=_DEEPEST))
LAST_SECTION = when((HAS_SECTION[3], 3), (HAS_SECTION[2], 2), otherwise=1)


def _formula(text, digits="General", **more):
    """A cell that looks after itself while head, length, bore or wall is missing, so that its row stays short."""
    return Formula(text, digits, guard=PASS, **more)


def _if_known(cells, expression):
    """The formula, where these cells of its row hold numbers."""
    asked = [f"{letter}{{row}}" for letter in cells.split()]
    if len(asked) == 1:
        return f'=IF({asked[0]}="","",{expression})'
    return f'=IF(COUNT({",".join(asked)})={len(asked)},{expression},"")'


def _of_material(letter, expression):
    """What holds of the section's own material; where it has none, what holds of the main pipe."""
    return f"={when((any_of(_LENGTH == 0, _OWN_MATERIAL == ''), _of_main('pipe', letter)), otherwise=expression)}"


def _section(i):
    """A row of the table of sections: each by its own wall, material, warmth and pressure."""
    hoop = call("hoop_stress", pressure="F{row}", outside="W{row}", wall="C{row}", method='"barlow"')
    wave = call(
        "wave_speed",
        bore="J{row}",
        wall="C{row}",
        elastic_modulus="N{row}",
        poisson_ratio="O{row}",
        support="pipe_support",
        bulk_modulus="water_modulus",
        density="water_density",
    )
    empty = call("pipe_mass", outside="W{row}", wall="C{row}", length="1", material="L{row}")
    stiff = call("elastic_modulus", material="L{row}", duration='"long"')
    span = call(
        "support_spacing",
        outside="W{row}",
        wall="C{row}",
        elastic_modulus="Y{row}",
        load_mass="X{row}",
        sag="allowed_sag",
    )
    if i == 1:
        length, bore, material, wall = "pipe_length", "bore_used", "pipe_material", "wall_used"
        warm, modulus, poisson, stress = "=temperature_factor", "=modulus_used", "=poisson_used", "=design_stress_used"
    else:
        length, bore, material, wall = f"N(length_{i})", f"N(bore_{i})", f"material_{i}", f"N(wall_{i})"
        warm = _of_material("D", asked("temperature_factor", material=_OWN_MATERIAL))
        modulus = _of_material("N", asked("elastic_modulus", material=_OWN_MATERIAL, duration="short"))
        poisson = _of_material("O", asked("poisson_ratio", material=_OWN_MATERIAL))
        listed = asked("design_stress", material=_OWN_MATERIAL)
        stress = _of_material("Q", when((_OWN_MATERIAL == "polyethylene", cell("stress_of_grade")), otherwise=listed))
    return (
        f"section {i}",
        _formula(f"={WALL}", "0.0"),
        _formula(warm, "0.00", name="" if i == 1 else f"temperature_factor_{i}"),
        _formula(_if_known("C", "Q{row}*D{row}"), "0.0"),
        _formula('=IF(COUNT(C{row},V{row},blocked_surge)=3,V{row}+blocked_surge,"")', "0.00"),
        _formula(_if_known("F W", hoop), "0.0"),
        _formula(_if_known("G", "100*G{row}/E{row}"), "0"),
        _formula(f"={length}", "0.0"),
        _formula(f"={bore}", "0.0"),
        _formula(f'={material}&""', words=True),
        _formula('=IF(K{row}="",K${first},K{row})', words=True),
        _formula(f"={wall}", "0.0"),
        _formula(modulus, "0.00"),
        _formula(poisson, "0.00"),
        _formula(f"=IF(N(I{{row}})=0,0,IF(ISNUMBER(C{{row}}),{wave},rigid_wave))", "0", name=f"wave_{i}"),
        _formula(stress, "0.0"),
        _formula("=SUM(I${first}:I{row})", "0.0"),
        _formula("=SUM(I${first}:I${last})-R{row}", "0.0"),
        _formula(f"={DOWN_TO}", "0.0"),
        _formula(f"={DEEPEST}", "0.0"),
        _formula(f"={REST}", "0.00"),
        _formula(_if_known("C J", "J{row}+2*C{row}"), "0.0"),
        _formula(_if_known("W", f"{empty}+water_density*PI()*(J{{row}}/2/1000)^2"), "0.00"),
        _formula(_if_known("W", stiff), "0.00"),
        _formula(_if_known("W", span), "0.0"),
        _formula(f"=rating_used_{i}", "0.0"),
        _formula(f"={REST_UNSEEN}", "0.00"),
        _formula(_if_known("H", "H{row}/IF(Q{row}=stress_of_grade,grade_room,1)"), "0"),
    )


def _more_wave(i):
    return Result(
        f"wave_speed_{i}",
        f"Wave speed in section {i}",
        "m/s",
        f"=wave_{i}",
        "0 where there is no such section.",
        digits="0",
    )


def _more_pipe(i):
    yield Input(
        f"material_{i}",
        f"Material of section {i}",
        LISTED_MATERIAL.with_(name=f"material_{i}"),
        note="If empty, that of the main pipe.",
    )
    yield Input(
        f"wall_{i}",
        f"Wall of section {i}",
        WALL_THICKNESS.with_(name=f"wall_{i}"),
        note="If empty, as thick for its bore as the main pipe; of another material it must be given.",
    )


# -- along the route ----------------------------------------------------------------------------------------------
_CHAINAGE, _LOWEST, _SHARE = column("C", "chainage"), column("E", "lowest"), column("H", "share")  # m, bar, % of rating
_SUCTION, _TORN = column("M", "suction"), column("N", "torn")
# From the least trouble to the greatest, a column each.
SUCTION = when((_LOWEST < -cell("surge_suction_seen"), "suction for a moment"), otherwise="ok")
TORN = when((_LOWEST < -or_zero(cell("usable_suction_bar")), "the column parts and slams"), otherwise=_SUCTION)
SAYS = when(
    (no(is_number(_SHARE)), ""),
    (_SHARE > cell("surge_share_most"), "above the rating"),
    otherwise=_TORN,
)


# A blocked jet asks for no valve, and so for no rating.
_BLOCKED = '=IF(AND(ready,wall_known),HYDRO_SURGE_RUN(plant_surge,"blocked_{}"),"")'


def _run(quantity, *where):
    """What a run by characteristics adds to the pressure at rest, where a surge can be told."""
    asked_of = ",".join(("plant_surge", f'"{quantity}"', *where))
    return f'=IF(surge_known,HYDRO_SURGE_RUN({asked_of}),"")'


def _row(i):
    surge = call("surge_pressure", closing_time="valve_stop", chainage="J{row}", **_WAVES)
    return (
        f"point {i}",
        _formula('=IF(INDEX(route_state,I{row})="used",INDEX(route_chainage,I{row}),"")', "0.0"),
        _formula(_if_known("G", "INDEX(route_rest,I{row})+G{row}"), "0.00"),
        _formula(_if_known("G", "INDEX(route_rest,I{row})+MIN(-K{row},P{row})"), "0.00"),
        _formula(f"={SAYS}"),
        _formula(_if_known("C K", "MAX(K{row},O{row})"), "0.00"),
        _formula(_if_known("D L", "100*D{row}/L{row}"), "0"),
        _formula(f"={NTH}", "0"),
        _formula("=MIN(N(C{row}),N(whole_length))", "0.0"),
        _formula(f'=IF(surge_known,{surge},"")', "0.00"),
        _formula("=INDEX(ratings_used,MIN(3,1+SUMPRODUCT((section_ends<J{row})*1)))", "0.0"),
        _formula(f"={SUCTION}", words=True),
        _formula(f"={TORN}", words=True),
        _formula(_run("shut_highest", "J{row}"), "0.00"),
        _formula(_run("shut_lowest", "J{row}"), "0.00"),
        _formula(_run("opened_lowest", "J{row}"), "0.00"),
        _formula(_if_known("C Q", "INDEX(route_rest,I{row})+Q{row}"), "0.00"),
    )


PAGE = Page(
    "Strength",
    "What the pipe must stand when the flow stops, when it is warm, and at its bends and ends.",
    (
        Heading("The wall"),
        Input(
            "own_wall",
            "Own wall thickness",
            WALL_THICKNESS.with_(name="own_wall"),
            digits="0.0",
            note=(
                "Measured. If empty, that of the table of sheet Pipe. A thread leaves only part of a steel wall: "
                "give what it leaves."
            ),
        ),
        Input(
            "own_modulus",
            "Own elastic modulus",
            MODULUS.with_(name="own_modulus"),
            digits="0.00",
            note=(
                "For a moment's load, from the maker. If empty, the table's. Cold polyethylene is stiffer than its 1 "
                "GPa: 1.25 at most."
            ),
        ),
        Input(
            "own_design_stress",
            "Own design stress",
            DESIGN_STRESS.with_(name="own_design_stress"),
            digits="0",
            note="If empty, that of the grade, or the table's: PVC-U 10 (12.5 from 110 mm), plain steel 130.",
        ),
        Input(
            "wall_temperature",
            "Hottest the pipe wall gets",
            WALL_TEMPERATURE,
            20.0,
            digits="0",
            note=(
                "Black pipe in the sun with the water standing: 50 to 60 °C, more than any standard rates it for. "
                "Bury or shade it."
            ),
        ),
        Input(
            "own_temperature_factor",
            "Own factor for warmth",
            Argument("own_temperature_factor", "-", "Share of the rating kept when warm, from the maker.", "(0, 1]"),
            digits="0.00",
            note="From the maker. If empty, the table's.",
        ),
        *_more_pipe(2),
        *_more_pipe(3),
        Input(
            "pipe_support",
            "How the pipe is held",
            SUPPORT,
            "anchored throughout",
            note="Along its axis; buried or clamped: throughout.",
        ),
        Input(
            "pe_grade",
            "Grade of the polyethylene",
            Argument("pe_grade", TEXT, "Grade of a polyethylene pipe.", choices=_GRADES),
            assumed=Assumption(
                '=IF(given_pipe_standard,"PE100","PE40")',
                "PE100 where that standard is yours; else assumed the weakest: old pipe bears half or less.",
            ),
            measure="Printed on the pipe.",
        ),
        Result(
            "wall_of_size",
            "Wall of standard, size and class",
            "mm",
            '=IF(OR(ISNUMBER(pipe_bore),pipe_size=""),"",IFERROR(' + call("pipe_wall", size="pipe_size") + ',""))',
            "None for a bore of your own: the size may be another pipe's.",
            digits="0.0",
            guard=STOP,
        ),
        Result(
            "wall_used",
            "Wall thickness used",
            "mm",
            "=IF(ISNUMBER(own_wall),own_wall,wall_of_size)",
            "Of a bore of your own the wall is not known until you give it.",
            digits="0.0",
            guard=PASS,
        ),
        Result("outside_used", "Outside diameter", "mm", "=bore_used+2*wall_used", digits="0.0"),
        Result(
            "last_section",
            "Last section, at the lower end",
            "-",
            f"={LAST_SECTION}",
            "The last one with a length on sheet Pipe.",
            digits="0",
        ),
        Result(
            "outlet_wall",
            "Wall at the lower end",
            "mm",
            "=INDEX(section_walls,last_section)",
            "Of the last section.",
            digits="0.0",
        ),
        Result(
            "outlet_outside",
            "Outside diameter at the lower end",
            "mm",
            where("COUNT(outlet_bore,outlet_wall)=2", "outlet_bore+2*outlet_wall", '""'),
            digits="0.0",
            guard=PASS,
        ),
        Result("pipe_sdr", "Outside over wall (SDR)", "-", "=outside_used/wall_used", digits="0.0"),
        Result(
            "modulus_used",
            "Elastic modulus used",
            "GPa",
            "=IF(ISNUMBER(own_modulus),own_modulus,"
            + call("elastic_modulus", material="pipe_material", duration='"short"')
            + ")",
            "#VALUE!: a hose is in no table; give its maker's.",
            digits="0.00",
        ),
        Result(
            "poisson_used",
            "Poisson's ratio used",
            "-",
            "=IFERROR(" + call("poisson_ratio", material="pipe_material") + ",poisson_unlisted)",
            "Where the table has none, that of sheet Limits.",
            digits="0.00",
        ),
        Result(
            "weak_stress",
            "Design stress of the weaker two grades",
            "MPa",
            '=IF(pe_grade="PE63",stress_of_pe63,stress_of_pe40)',
            "Sheet Limits.",
            digits="0.0",
        ),
        Result(
            "table_stress",
            "Design stress of the material",
            "MPa",
            '=IF(pipe_material="polyethylene",stress_of_grade,' + call("design_stress", material="pipe_material") + ")",
            digits="0.0",
        ),
        Result(
            "stress_of_grade",
            "Design stress of that grade",
            "MPa",
            '=IF(pe_grade="PE100",stress_of_pe100,IF(pe_grade="PE80",stress_of_pe80,weak_stress))',
            "Sheet Limits.",
            digits="0.0",
        ),
        Result(
            "grade_room",
            "How many times more PE100 bears, if the grade is assumed",
            "-",
            "=IF(given_pe_grade,1,MAX(1,stress_of_pe100/stress_of_grade))",
            digits="0.0",
        ),
        Result(
            "grade_words",
            "What Checks says then",
            "",
            '=IF(grade_room>1," It counts as the weakest grade ("&pe_grade&"): give the grade printed on it.","")',
            digits="General",
        ),
        Result(
            "design_stress_used",
            "Design stress used",
            "MPa",
            "=IF(ISNUMBER(own_design_stress),own_design_stress,table_stress)",
            digits="0.0",
        ),
        Result(
            "temperature_factor",
            "Rating kept when warm",
            "-",
            "=IF(ISNUMBER(own_temperature_factor),own_temperature_factor,"
            + call("temperature_factor", material="pipe_material")
            + ")",
            (
                "#NUM!: warmer than any published figure. From memory of ISO 4427 and ISO 1452: the maker's figure "
                "comes first."
            ),
            digits="0.00",
        ),
        Result(
            "last_rating",
            "Rating at the lower end, warm",
            "bar",
            "=INDEX(ratings_used,last_section)",
            "Of the last section.",
            digits="0.0",
        ),
        Result(
            "rating_warm",
            "Rating of the weakest part, warm",
            "bar",
            "=MIN(pipe_rating*MIN(section_warm),last_rating)",
            "Of all sections, and of the one at the lower end.",
            digits="0.0",
            strong=True,
        ),
        Result(
            "wall_class",
            "Pressure the bare wall stands, warm",
            "bar",
            "="
            + call("wall_pressure", outside="outside_used", wall="wall_used", design_stress="design_stress_used")
            + "*temperature_factor",
            "20 s / (SDR - 1). Less at fittings and threads.",
            digits="0.0",
        ),
        Heading("When the flow stops", new_page=True),
        Result(
            "surge_known",
            "Head, wall and rating are there",
            "-",
            "=IF(AND(ready,wall_known,rating_known),1,0)",
            "1: yes. Without one of them there is no surge to tell.",
            digits="0",
        ),
        Input(
            "valve_time",
            "The valve takes from open to shut",
            VALVE_TIME.with_(within="(0, 36000]"),
            60.0,
            example=180.0,
            digits="0",
            note="Turned evenly. A quarter-turn valve: 1 s or less, however careful the hand.",
        ),
        Result(
            "rest_at_nozzle", "Pressure at rest, at the nozzle", "bar", "=" + call("static_pressure", head="gross_head")
        ),
        Result(
            "rest_at_end",
            "Pressure at rest, the greatest",
            "bar",
            f"={REST_AT_END}",
            "At the nozzle, or in a dip of the route that lies deeper.",
        ),
        Result(
            "water_modulus",
            "Bulk modulus of the water",
            "GPa",
            "=" + call("bulk_modulus"),
            "Without bubbles.",
            digits="0.00",
        ),
        Result(
            "rigid_wave",
            "Wave speed in a pipe that does not give way",
            "m/s",
            "=SQRT(water_modulus*1000*1000*1000/water_density)",
            "The highest there can be: it counts for a section of another material whose wall is not given.",
            digits="0",
        ),
        Result(
            "wave_speed",
            "Wave speed in the main pipe",
            "m/s",
            "=wave_1",
            "From the table of sections below: HYDRO_WAVE_SPEED.",
            digits="0",
        ),
        _more_wave(2),
        _more_wave(3),
        Result(
            "wave_return",
            "Wave to the intake and back",
            "s",
            "=" + call("critical_time"),
            "A stop in less is a sudden one.",
        ),
        Result(
            "full_flow",
            "Flow with the pipe full",
            "L/s",
            "=" + of_plant("flow", "available_flow", "1000"),
            "Also where the source gives less: so it runs just after the valve is opened.",
        ),
        Result(
            "blocked_formula",
            "Jet suddenly blocked, by formula",
            "bar",
            "=" + call("surge_pressure", closing_time="0", flow="full_flow", **_LINE | {"chainage": ""}),
            "Joukowsky: exact in one section.",
        ),
        Result(
            "blocked_run",
            "Jet suddenly blocked, by a run",
            "bar",
            _BLOCKED.format("highest"),
            "HYDRO_SURGE_RUN: all sections, their joints and friction.",
            guard=PASS,
        ),
        Result(
            "blocked_fall",
            "Jet suddenly blocked: what the wave takes off",
            "bar",
            _BLOCKED.format("lowest"),
            "As the wave comes back, at the nozzle.",
            guard=PASS,
        ),
        Result(
            "blocked_surge",
            "Surge of a jet suddenly blocked",
            "bar",
            "=MAX(blocked_formula,blocked_run)",
            "The larger of both: a stone, a leaf or ice in the nozzle stops all of the flow at once.",
        ),
        Result("blocked_total", "Rest and surge, jet blocked", "bar", "=rest_at_nozzle+blocked_surge", strong=True),
        Result(
            "rated_head",
            "Head that the rating stands, warm",
            "m",
            "=rating_warm*100000/(water_density*gravity)",
            digits="0",
        ),
        Result(
            "surge_head",
            "Head before the nozzle, at the most",
            "m",
            "=MAX(rated_head,net_head)",
            "What the rating stands; more would burst the pipe.",
            digits="0",
        ),
        Result(
            "valve_stop",
            "The valve really stops the flow in",
            "s",
            "=" + call("stopping_time", **_FALLS_SHUT),
            "The nozzle decides until the opening is as small as the nozzle: only the last part of the travel counts.",
        ),
        Result(
            "valve_formula",
            "Surge as the valve shuts, by formula",
            "bar",
            f'=IF(surge_known,{call("surge_pressure", closing_time="valve_stop", **_LINE)},"")',
            "Michaud 2 rho L V / T, or Joukowsky where that is less or the stop is sudden.",
            guard=PASS,
        ),
        Result(
            "valve_run",
            "Surge as the valve shuts, by a run",
            "bar",
            _run("shut_highest"),
            "HYDRO_SURGE_RUN.",
            guard=PASS,
        ),
        Result(
            "valve_surge",
            "Surge as the valve shuts",
            "bar",
            '=IF(surge_known,MAX(valve_formula,valve_run),"")',
            "The larger of both.",
            guard=PASS,
        ),
        Result("valve_total", "Rest and surge, valve", "bar", "=rest_at_nozzle+valve_surge", strong=True),
        Result("surge_allowed", "Surge that the rating leaves room for", "bar", "=rating_warm-rest_at_nozzle"),
        Result(
            "surge_planned",
            "Surge to plan the stop for",
            "bar",
            "=IF(surge_allowed>0,surge_allowed,rating_warm)",
            "What the rating leaves; all of it where it leaves nothing, and then no stop is safe.",
        ),
        Result(
            "even_stop",
            "Even stop for that surge",
            "s",
            f'=IF(surge_known,{call("safe_closing_time", surge_allowed="surge_planned", **_WAVES)},"")',
            "Michaud's formula turned round.",
            guard=PASS,
        ),
        Result(
            "safe_stop",
            "Shortest even stop for that",
            "s",
            '=IF(ISNUMBER(surge_allowed),IF(surge_allowed>0,even_stop,"never"),"")',
            "0: even a sudden stop. Never: the rating does not even hold the pressure at rest.",
            guard=PASS,
        ),
        Result(
            "stop_share",
            "Share of the valve's travel that stops the flow",
            "-",
            "=" + call("stopping_time", valve_time="1", **_FALLS_SHUT),
            "The last part of it.",
            digits="0.000",
        ),
        Result(
            "safe_valve_time",
            "Take at least, to shut the valve",
            "s",
            '=IF(ISNUMBER(safe_stop),IF(safe_stop=0,"any",MAX(safe_stop,wave_return)/stop_share),safe_stop)',
            "By Michaud's formula; runs by characteristics ask for less. Take several times as long: no valve closes "
            "evenly. Any: the rating stands even a sudden stop.",
            digits="0",
            strong=True,
            guard=PASS,
        ),
        Result(
            "full_surge",
            "Pipe that feels the whole sudden stop",
            "m",
            "=" + call("full_surge_length", closing_time="valve_stop"),
            "From the nozzle up, as the valve shuts.",
            digits="0",
        ),
        Result(
            "usable_suction_bar",
            "Suction that is usable",
            "bar",
            "=usable_suction*water_density*gravity/100000",
            "From sheet Route.",
        ),
        Result(
            "down_surge_low",
            "Lowest on the route as the valve shuts",
            "bar",
            '=IF(COUNT(lowest_in_surge)>0,MIN(lowest_in_surge),"")',
            "The wave comes back as a pull. Below about -1 bar no water is: the column parts.",
            guard=PASS,
        ),
        Result(
            "opening_low",
            "Lowest on the route as the valve opens",
            "bar",
            '=IF(COUNT(lowest_in_opening)>0,MIN(lowest_in_opening),"")',
            "In the same time as it shuts. The first turns count: the jet needs little of the opening.",
            guard=PASS,
        ),
        Result(
            "parts_above",
            "Jet blocked: column parts above",
            "bar",
            "=MAX(0,blocked_surge-usable_suction_bar,-blocked_fall-usable_suction_bar)",
            (
                "Where less than this stands at rest, the pull tears the column; it closes with a blow no formula "
                "here holds."
            ),
            digits="0.0",
        ),
        Words(
            "Each section by its own wall, material and warmth. At rest counts the deepest point of the sheet Route, "
            "down "
            "to the first one at the section's lower end or beyond; without a route the gross head. Stress: Barlow "
            "with the "
            "outside diameter, which is never too low."
        ),
        Table(
            (
                "with the jet blocked",
                "wall, mm",
                "kept when warm",
                "may bear, warm, MPa",
                "rest and surge at its lowest, bar",
                "stress, MPa",
                "of what it may bear, %",
                "length, m",
                "bore, mm",
                "own material",
                "material",
                "own wall, mm",
                "elastic modulus, GPa",
                "Poisson's ratio, -",
                "wave speed, m/s",
                "design stress, MPa",
                "ends at chainage, m",
                "pipe below it, m",
                "route seen down to, m",
                "deepest below the water, m",
                "at rest at its lowest, bar",
                "outside, mm",
                "full, kg/m",
                "stiff for years, GPa",
                "support every, m",
                "rating, bar",
                "at rest unseen, bar",
                "were it PE100, %",
            ),
            tuple(_section(i) for i in (1, 2, 3)),
            names={
                "section_walls": "C",
                "section_warm": "D",
                "wall_shares": "H",
                "section_lengths": "I",
                "section_ends": "R",
                "section_masses": "X",
                "section_spans": "Z",
                "ratings_used": "AA",
                "strongest_shares": "AC",
            },
            key="sections",
            how={
                "C": "its own, or as thick for its bore as the main pipe's",
                "D": "HYDRO_TEMPERATURE_FACTOR of its own material, or as the main pipe",
                "E": "design stress x kept when warm",
                "F": "at rest at its lowest, and the surge above",
                "H": "stress over may bear",
                "I:M": "as given here and on sheet Pipe",
                "N": "of its own material (HYDRO_ELASTIC_MODULUS), or as the main pipe",
                "O": "the same (HYDRO_POISSON_RATIO)",
                "Q": "the same (HYDRO_DESIGN_STRESS)",
                "S": "length of all sections less where this one ends",
                "T": "first point of the route at its end or beyond, where more pipe follows",
                "U": "of the points so far",
                "V": "HYDRO_STATIC_PRESSURE of that; without a route, and in the last section, as above",
                "X": "HYDRO_PIPE_MASS of a metre, and the water in it",
                "Y": "HYDRO_ELASTIC_MODULUS, long",
                "AA": "sheet Route",
                "AB": "where the route tells nothing: at the nozzle; of the last section the greatest there is",
            },
        ),
        Words(
            "A blocked nozzle cannot be forbidden: a screen at the intake and one before the nozzle, and pipe and "
            "fittings that stand it. "
            "Shut slowly, the last turns slowest; open slowly, the first turns slowest. Plastic fails "
            "later from many surges. Local pressure codes and the maker's figures come before anything here.",
            caution=True,
        ),
        Heading("Holding it, starting it, emptying it", new_page=True),
        fed_by(
            ANGLE.with_(name="largest_bend", default=90.0),
            "Largest bend low on the line",
            "Angle by which it turns.",
            digits="0",
        ),
        fed_by(SAG.with_(name="allowed_sag"), "Sag between supports", f"Of the span. {PRACTICE}", digits="0.0"),
        Result(
            "bend_push",
            "Push on that bend, jet blocked",
            "N",
            where(
                "ISNUMBER(outlet_outside)",
                call(
                    "bend_force",
                    pressure="blocked_total",
                    outside="outlet_outside",
                    bore="outlet_bore",
                    angle="largest_bend",
                    density="water_density",
                ),
                '""',
            ),
            "Outwards, along the line that halves it. Ten newtons are a kilogram's weight.",
            digits="0",
            strong=True,
        ),
        Result(
            "end_push",
            "Push on the nozzle's end, jet blocked",
            "N",
            where(
                "ISNUMBER(outlet_outside)", call("end_force", pressure="blocked_total", outside="outlet_outside"), '""'
            ),
            "Straight off the pipe. Same at a shut valve and a cap.",
            digits="0",
            strong=True,
        ),
        Table(
            ("on supports", "full, kg/m", "every, m"),
            tuple(
                (
                    f"section {i}",
                    _formula(f"=INDEX(section_masses,{NTH})", "0.00"),
                    _formula(f"=INDEX(section_spans,{NTH})", "0.0"),
                )
                for i in (1, 2, 3)
            ),
            key="supports",
            how={"C": "from the table of sections above", "D": "the same: HYDRO_SUPPORT_SPACING"},
        ),
        Words(
            "Supports at least that close, for years: plastics creep. Nothing but the full pipe on it: no snow, no "
            "foot."
        ),
        Result("pipe_water", "Water in the pipe", "L", "=" + call("pipe_volume"), digits="0"),
        Result(
            "emptying_time",
            "It runs out in at least",
            "min",
            where("flow>0", "pipe_water/flow/60", '"never"'),
            "Through the nozzle with the intake dry.",
            digits="0.0",
        ),
        Result(
            "filling_time",
            "Filling takes at least",
            "min",
            where("available_flow>0", "pipe_water/available_flow/60", '"never"'),
            "Slower still is better: let the air out at every high point.",
            digits="0.0",
        ),
        Result(
            "start_up",
            "Nine tenths of the flow come in",
            "s",
            "=" + call("starting_time", share="started_share"),
            "After opening at once.",
        ),
        Words(
            "Anchor bends, valve and nozzle before the pipe is filled: a push-fit joint holds no pull. Water grows by "
            "a good 9 % as it "
            "freezes (999.8 kg/m³ to 916.7 kg/m³ of ice, IAPWS R10-06) and bursts any pipe shut at both ends: drain "
            "low points, bury below the "
            "frost, or keep it running.",
            caution=True,
        ),
        Heading("Along the route as the valve shuts", new_page=True),
        Table(
            (
                "point of sheet Route",
                "chainage, m",
                "highest, bar",
                "lowest, bar",
                "in words",
                "surge, bar",
                "highest, % of rating",
                "row",
                "counts at, m",
                "surge there, bar",
                "rating there, bar",
                "suction",
                "torn",
                "run, shut: up, bar",
                "run, shut: down, bar",
                "run, opened: down, bar",
                "lowest while it opens, bar",
            ),
            tuple(_row(i) for i in range(1, POINTS + 1)),
            names={"lowest_in_surge": "E", "surge_rows": "I", "lowest_in_opening": "R"},
            key="strength",
            how={
                "C": "of the points on sheet Route",
                "D": "pressure at rest there, and the surge",
                "E": "pressure at rest there, less the surge there or what the run takes off, whichever is more",
                "G": "the larger of HYDRO_SURGE_PRESSURE and HYDRO_SURGE_RUN",
                "O:Q": "HYDRO_SURGE_RUN there: above or below the pressure at rest",
                "R": "pressure at rest there, and the run as the valve opens",
                "H": "highest over the rating there",
                "I": "of the table on sheet Route",
                "J": "not beyond the pipe's end",
                "L": "of the section in which it lies; a joint belongs to the one above it",
            },
        ),
    ),
    widths=(3, 34, 13, 10, 18, 19, 11, 11, 11, 11, 11, 11),
    heads=Page.heads + ("",) * 5,
)

CHECKS = (
    Check(
        "Rest and surge of a blocked jet, of the rating",
        "=100*blocked_total/rating_warm",
        "%",
        80,
        100,
        "Joukowsky 1898, as in K. Subramanya, 1000 Solved Problems in Fluid Mechanics, Ex. 14.14. Some codes let "
        "plastic pass its rating for "
        "a moment: local pressure codes rule.",
        rests_on=("pipe_rating",),
        name="blocked_jet",
    ),
    Check(
        "Rest and surge as the valve shuts, of the rating",
        "=100*valve_total/rating_warm",
        "%",
        80,
        100,
        (
            "Michaud, as in Subramanya, Ex. 14.18, over the time in which the valve really stops the flow. Turn it "
            "more slowly."
        ),
        rests_on=(
            "valve_time",
            "pipe_rating",
        ),
        name="valve_shuts",
    ),
    Check(
        "Stress in the wall with the jet blocked, of what it may bear",
        '=IF(COUNT(wall_shares)=COUNTIF(section_lengths,">"&0),MAX(wall_shares),"a wall is missing")',
        "%",
        100,
        # as much more as PE100 would bear, where the grade is assumed
        "=IF(MAX(wall_shares)>MAX(strongest_shares),wall_stop*MAX(wall_shares)/MAX(strongest_shares),wall_stop)",
        "Worst section, its own material. Barlow on the outside diameter, the safe side; for a moment. Local codes "
        "rule.",
        adds='IF(F{row}>wall_stop,grade_words,"")',
        name="wall_stress",
    ),
    Check(
        "Printed rating, of what the bare wall stands",
        "=100*pipe_rating*temperature_factor/wall_class",
        "%",
        105,
        "=rating_stop*IF(design_stress_used=stress_of_grade,grade_room,1)",
        "ISO 4065: PN = 20 s / (SDR - 1). Above 100 the rating does not belong to this wall: look at the print again.",
        adds='IF(F{row}>rating_stop,grade_words,"")',
        rests_on=("pipe_rating",),
        name="printed_rating",
    ),
    Check(
        "Pull on the route as the valve shuts, of the usable suction",
        "=IF(route_points>0,100*MAX(0,-down_surge_low)/usable_suction_bar,0)",
        "%",
        50,
        100,
        f"Beyond it the column parts and slams together. Turn the valve more slowly. {PRACTICE}",
        rests_on=("route_chainage",),
        name="valve_pull",
    ),
    Check(
        "Pull on the route as the valve opens, of the usable suction",
        "=IF(route_points>0,100*MAX(0,-opening_low)/usable_suction_bar,0)",
        "%",
        50,
        100,
        f"Beyond it the column parts and slams together. Open it more slowly, the first turns most. {PRACTICE}",
        rests_on=("route_chainage", "pipe_rating"),
        name="opening_pull",
    ),
)
