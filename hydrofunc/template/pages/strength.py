"""Strength: surge, wall, warmth, forces and supports."""

from ...catalogue.strength import (
    ANGLE,
    DESIGN_STRESS,
    LISTED_MATERIAL,
    MODULUS,
    SAG,
    SUPPORT,
    VALVE_TIME,
    WALL,
    WALL_TEMPERATURE,
)
from ...registry import Argument
from ..chain import asked, call
from ..expression import (
    Expression,
    all_of,
    cell,
    cells,
    column,
    count_less,
    entry,
    greatest,
    is_number,
    is_text,
    no,
    no_value,
    or_zero,
    rounded,
    total_of,
    when,
)
from ..model import Formula, Heading, Input, Page, Result, Table, Words
from .common import HAS_SECTION, PRACTICE, check, fed_by, of_last_section, where
from .route import CHAINAGE, MAIN_LENGTH, NTH, POINTS, RATING_THERE, SECOND_LENGTH

_LINE = {"density": "water_density", "chainage": "whole_length"}
_BLOCKED = call("surge_pressure", closing_time="0", **_LINE)


def _own_material(i):
    return is_text(cell(f"material_{i}"))


def wall_of(i: int) -> Expression:
    """Wall of section 2 or 3: its own, or as thick for its bore as the main pipe's, if of the same material."""
    own, bore, material = cells(f"wall_{i} bore_{i} material_{i}")
    return when(
        (is_number(own), own),
        (all_of(_own_material(i), material != cell("pipe_material")), no_value()),
        otherwise=cell("wall_used") * bore / cell("bore_used"),
    )


def _of_material(i, known, function, **more):
    """What a function of ours says of the section's own material; `known`, of the main pipe, where it has none."""
    return when((_own_material(i), asked(function, material=cell(f"material_{i}"), **more)), otherwise=cell(known))


def _wave(bore, wall, modulus, poisson):
    return call(
        "wave_speed",
        bore=bore,
        wall=wall,
        elastic_modulus=modulus,
        poisson_ratio=poisson,
        support="pipe_support",
        bulk_modulus="water_modulus",
        density="water_density",
    )


def _more_wave(i):
    return Result(
        f"wave_speed_{i}",
        f"Wave speed in section {i}",
        "m/s",
        f"=IF(N(length_{i})>0,"
        + _wave(
            f"bore_{i}",
            f"section_wall_{i}",
            _of_material(i, "modulus_used", "elastic_modulus", duration="short"),
            _of_material(i, "poisson_used", "poisson_ratio"),
        )
        + ",0)",
        "0 where there is no such section.",
        digits="0",
    )


def _more_pipe(i):
    yield Input(
        f"material_{i}",
        f"Material of section {i}",
        LISTED_MATERIAL.with_(name=f"material_{i}"),
        optional=True,
        note="If empty, that of the main pipe.",
    )
    yield Input(
        f"wall_{i}",
        f"Wall of section {i}",
        WALL.with_(name=f"wall_{i}"),
        optional=True,
        note="If empty, as thick for its bore as the main pipe; of another material it must be given.",
    )


def _rest(end):
    """Pressure at rest at the lowest point down to a chainage: as far as the first point drawn at it or beyond it."""
    drawn, levels, water, too_high, route_end = cells(
        "drawn_chainage drawn_level water_level points_above_line route_end"
    )
    down_to = entry(drawn, count_less(drawn, end) + 1)
    lowest = total_of(greatest((drawn <= down_to) * (water - levels)))
    return when(
        (all_of(too_high == 0, route_end >= end), asked("static_pressure", head=lowest)),
        otherwise=cell("rest_at_nozzle"),
    )


_KEPT = "temperature_factor,temperature_factor_2,temperature_factor_3"
_RATINGS = tuple(f"rating_used_{i}" for i in (1, 2, 3))
_AT_THE_END = greatest(cell("rest_at_nozzle"), or_zero(cell("highest_rest")))
_MORE_THAN_ONE = or_zero(cell("length_2")) + or_zero(cell("length_3")) > 0
# Pressure at rest at the lowest point of a section, and above it: of sections 1, 2 and 3.
REST = (
    when((_MORE_THAN_ONE, _rest(MAIN_LENGTH)), otherwise=_AT_THE_END),
    when((HAS_SECTION[3], _rest(MAIN_LENGTH + SECOND_LENGTH)), otherwise=_AT_THE_END),
    _AT_THE_END,
)


def _there(i, expression):
    """The formula, where there is such a section."""
    return f'=IF({HAS_SECTION[i]},{expression},"")' if i > 1 else f"={expression}"


def _section(i):
    """A row of the table of sections: each by its own wall, material, warmth and pressure."""
    first = i == 1
    bore, wall = ("bore_used", "wall_used") if first else (f"bore_{i}", wall_of(i))
    kept, stress = "temperature_factor", "design_stress_used"
    if not first:
        warm = call("temperature_factor", material=f"material_{i}")
        kept = f"IF(AND(N(length_{i})>0,ISTEXT(material_{i})),{warm},{kept})"
        stress = _of_material(i, stress, "design_stress")
    hoop = call("hoop_stress", pressure="F{row}", outside=bore + "+2*C{row}", wall="C{row}", method='"barlow"')
    return (
        f"section {i}",
        Formula(_there(i, wall), "0.0", name="" if first else f"section_wall_{i}"),
        Formula(f"={kept}", "0.00", name="" if first else f"temperature_factor_{i}"),
        Formula(_there(i, f"{stress}*D{{row}}"), "0.0"),
        Formula(_there(i, f"{REST[i - 1]}+blocked_surge"), "0.00"),
        Formula(_there(i, hoop), "0.0"),
        Formula(_there(i, "100*G{row}/E{row}"), "0"),
    )


def _held(i):
    """A row of the table of supports: each section by its own weight and stiffness."""
    bore, wall, material = f"bore_{i}", f"section_wall_{i}", f"IF(ISTEXT(material_{i}),material_{i},pipe_material)"
    if i == 1:
        bore, wall, material = "bore_used", "wall_used", "pipe_material"
    pipe = {"outside": f"{bore}+2*{wall}", "wall": wall}
    stiff = call("elastic_modulus", material=material, duration='"long"')
    mass = call("pipe_mass", length="1", material=material, **pipe) + f"+water_density*PI()/4*({bore}/1000)^2"
    span = call("support_spacing", load_mass="C{row}", sag="allowed_sag", elastic_modulus=stiff, **pipe)
    return f"section {i}", Formula(_there(i, mass), "0.00"), Formula(_there(i, span), "0.0")


_LOWEST, _SHARE = (
    column("E", "lowest"),
    column("H", "share"),
)  # bar as the valve shuts, highest pressure in % of the rating
SAYS = when(
    (no(is_number(CHAINAGE)), ""),
    (_SHARE > 100, "above the rating"),
    (_LOWEST < -cell("usable_suction_bar"), "the column parts and slams"),
    (rounded(_LOWEST, 3) < 0, "suction for a moment"),
    otherwise="ok",
)


def _row(i):
    return (
        f"point {i}",
        Formula(f'=IF(INDEX(route_state,{NTH})="used",INDEX(route_chainage,{NTH}),"")', "0.0"),
        Formula(f'=IF(ISNUMBER(C{{row}}),INDEX(route_rest,{NTH})+G{{row}},"")', "0.00"),
        Formula(f'=IF(ISNUMBER(C{{row}}),INDEX(route_rest,{NTH})-G{{row}},"")', "0.00"),
        Formula(f"={SAYS}"),
        Formula(
            where(
                "ISNUMBER(C{row})",
                call(
                    "surge_pressure",
                    closing_time="valve_stop",
                    density="water_density",
                    chainage="MIN(C{row},whole_length)",
                ),
                '""',
            ),
            "0.00",
        ),
        Formula(f'=IF(ISNUMBER(C{{row}}),100*D{{row}}/{RATING_THERE},"")', "0"),
    )


PAGE = Page(
    "Strength",
    "What the pipe must stand when the flow stops, when it is warm, and at its bends and ends.",
    (
        Heading("The wall"),
        Input(
            "own_wall",
            "Own wall thickness",
            WALL.with_(name="own_wall"),
            optional=True,
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
            optional=True,
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
            optional=True,
            digits="0",
            note="If empty, the table's: PE100 8, PVC-U 10 (12.5 from 110 mm), plain steel 130.",
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
            optional=True,
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
        Result(
            "wall_used",
            "Wall thickness used",
            "mm",
            "=IF(ISNUMBER(own_wall),own_wall," + call("pipe_wall", size="pipe_size") + ")",
            digits="0.0",
        ),
        Result("outside_used", "Outside diameter", "mm", "=bore_used+2*wall_used", digits="0.0"),
        Result(
            "outlet_wall",
            "Wall at the lower end",
            "mm",
            f"={of_last_section('wall_used', 'section_wall_2', 'section_wall_3')}",
            "Of the last section.",
            digits="0.0",
        ),
        Result("outlet_outside", "Outside diameter there", "mm", "=outlet_bore+2*outlet_wall", digits="0.0"),
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
            "=IFERROR(" + call("poisson_ratio", material="pipe_material") + ",0.4)",
            "0.4 where the table has none (common practice, no published source).",
            digits="0.00",
        ),
        Result(
            "design_stress_used",
            "Design stress used",
            "MPa",
            "=IF(ISNUMBER(own_design_stress),own_design_stress,"
            + call("design_stress", material="pipe_material")
            + ")",
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
            "rating_warm",
            "Rating of the weakest part, warm",
            "bar",
            f"=MIN(pipe_rating*MIN({_KEPT}),{of_last_section(*_RATINGS)})",
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
            "water_modulus",
            "Bulk modulus of the water",
            "GPa",
            "=" + call("bulk_modulus"),
            "Without bubbles.",
            digits="0.00",
        ),
        Result(
            "wave_speed",
            "Wave speed in the main pipe",
            "m/s",
            "=" + _wave("bore_used", "wall_used", "modulus_used", "poisson_used"),
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
            "blocked_surge",
            "Surge of a jet suddenly blocked",
            "bar",
            "=" + _BLOCKED,
            "Joukowsky: a stone, a leaf or ice in the nozzle stops all of the flow at once.",
        ),
        Result("blocked_total", "Rest and surge, jet blocked", "bar", "=rest_at_nozzle+blocked_surge", strong=True),
        Result(
            "valve_stop",
            "The valve really stops the flow in",
            "s",
            "="
            + call(
                "stopping_time",
                bore="outlet_bore",
                peak_head="MAX(rating_warm*100000/(water_density*gravity),net_head)",
            ),
            "The nozzle decides until the opening is as small as the nozzle: only the last part of the travel counts.",
        ),
        Result(
            "valve_surge",
            "Surge as the valve shuts",
            "bar",
            "=" + call("surge_pressure", closing_time="valve_stop", **_LINE),
            "Michaud 2 rho L V / T, or Joukowsky where that is less or the stop is sudden.",
        ),
        Result("valve_total", "Rest and surge, valve", "bar", "=rest_at_nozzle+valve_surge", strong=True),
        Result("surge_allowed", "Surge that the rating leaves room for", "bar", "=rating_warm-rest_at_nozzle"),
        Result(
            "safe_stop",
            "Shortest even stop for that",
            "s",
            "=IF(surge_allowed>0," + call("safe_closing_time", density="water_density") + ",NA())",
            "0: even a sudden stop. #N/A: the rating does not even hold the pressure at rest.",
        ),
        Result(
            "safe_valve_time",
            "Take at least, to shut the valve",
            "s",
            "=MAX(safe_stop,wave_return)/"
            + call(
                "stopping_time",
                valve_time="1",
                bore="outlet_bore",
                peak_head="MAX(rating_warm*100000/(water_density*gravity),net_head)",
            ),
            "So that it is no sudden stop and the rating holds. Take several times as long: no valve closes evenly.",
            digits="0",
            strong=True,
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
            '=IF(route_points>0,MIN(lowest_in_surge),"")',
            "The wave comes back as a pull of the same size.",
        ),
        Result(
            "parts_above",
            "Jet blocked: column parts above",
            "bar",
            "=MAX(0,blocked_surge-usable_suction_bar)",
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
            ),
            tuple(_section(i) for i in (1, 2, 3)),
            names={"wall_shares": "H"},
            key="sections",
            how={
                "C": "as above",
                "E": "design stress x kept when warm (HYDRO_DESIGN_STRESS)",
                "F": "HYDRO_STATIC_PRESSURE and the surge above",
                "H": "stress over may bear",
            },
        ),
        Words(
            "A blocked nozzle cannot be forbidden: a screen at the intake and one before the nozzle, and pipe and "
            "fittings that stand it. "
            "Open and shut slowly, the last turns slowest. Plastic fails later from many surges. Local pressure codes "
            "and the "
            "maker's figures come before anything here.",
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
            "="
            + call(
                "bend_force",
                pressure="blocked_total",
                outside="outlet_outside",
                bore="outlet_bore",
                angle="largest_bend",
                density="water_density",
            ),
            "Outwards, along the line that halves it. Ten newtons are a kilogram's weight.",
            digits="0",
            strong=True,
        ),
        Result(
            "end_push",
            "Push on the nozzle's end, jet blocked",
            "N",
            "=" + call("end_force", pressure="blocked_total", outside="outlet_outside"),
            "Straight off the pipe. Same at a shut valve and a cap.",
            digits="0",
            strong=True,
        ),
        Table(("on supports", "full, kg/m", "every, m"), tuple(_held(i) for i in (1, 2, 3)), key="supports"),
        Words(
            "Supports at least that close, for years: plastics creep. Nothing but the full pipe on it: no snow, no "
            "foot."
        ),
        Result("pipe_water", "Water in the pipe", "L", "=" + call("pipe_volume"), digits="0"),
        Result(
            "emptying_time",
            "It runs out in at least",
            "min",
            "=pipe_water/flow/60",
            "Through the nozzle with the intake dry.",
            digits="0.0",
        ),
        Result(
            "filling_time",
            "Filling takes at least",
            "min",
            "=pipe_water/available_flow/60",
            "Slower still is better: let the air out at every high point.",
            digits="0.0",
        ),
        Result(
            "start_up",
            "Nine tenths of the flow come in",
            "s",
            "=" + call("starting_time", share="0.9"),
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
            ),
            tuple(_row(i) for i in range(1, POINTS + 1)),
            names={"lowest_in_surge": "E"},
            key="strength",
            how={
                "C": "of the points on sheet Route",
                "D:E": "pressure at rest there, and the surge up and down from it",
                "H": "highest over the rating of that section (sheet Route)",
            },
        ),
    ),
    widths=(3, 34, 18, 11, 27, 56, 9, 11),
    heads=("", "what", "value", "unit", "allowed / worked out by", "note"),
    pages=0,
)

CHECKS = (
    check(
        "Rest and surge of a blocked jet, of the rating",
        "=100*blocked_total/rating_warm",
        "%",
        80,
        100,
        "Joukowsky 1898, as in K. Subramanya, 1000 Solved Problems in Fluid Mechanics, Ex. 14.14. Some codes let "
        "plastic pass its rating for "
        "a moment: local pressure codes rule.",
    ),
    check(
        "Rest and surge as the valve shuts, of the rating",
        "=100*valve_total/rating_warm",
        "%",
        80,
        100,
        (
            "Michaud, as in Subramanya, Ex. 14.18, over the time in which the valve really stops the flow. Turn it "
            "more slowly."
        ),
    ),
    check(
        "Stress in the wall with the jet blocked, of what it may bear",
        "=MAX(wall_shares)",
        "%",
        100,
        125,
        "Of the worst section, each by its own material. Barlow on the outside diameter, which is on the safe "
        "side; for a moment, not for years. Local pressure codes rule.",
    ),
    check(
        "Printed rating, of what the bare wall stands",
        "=100*pipe_rating*temperature_factor/wall_class",
        "%",
        105,
        130,
        (
            "ISO 4065: PN = 20 s / (SDR - 1). Above 100 the rating does not belong to this wall: look at the print "
            "on the pipe again."
        ),
    ),
    check(
        "Pull on the route as the valve shuts, of the usable suction",
        "=IF(route_points>0,100*MAX(0,-down_surge_low)/usable_suction_bar,0)",
        "%",
        50,
        100,
        f"Beyond it the column parts and slams together. Turn the valve more slowly. {PRACTICE}",
    ),
)
