"""Supply: how much water the year brings, and a tank to hold it."""

from itertools import zip_longest

from ...catalogue import supply as declared
from ...registry import Argument
from ..chain import call, of_plant
from ..model import PASS, Formula, Heading, Input, Page, Result, Space, Table, Words
from .common import PRACTICE, Check, fed_by, usable_of, where
from .route import NTH

# Month, days in it, invented flow of the example in L/s.
_MONTHS = (
    ("January", 31, 1.6),
    ("February", 28.25, 1.5),
    ("March", 31, 2.1),
    ("April", 30, 3.4),
    ("May", 31, 4.2),
    ("June", 30, 3.0),
    ("July", 31, 2.0),
    ("August", 31, 1.4),
    ("September", 30, 1.1),
    ("October", 31, 1.25),
    ("November", 30, 1.8),
    ("December", 31, 1.7),
)
_DURATION_ROWS = 9  # tenths of the year


def _with_water(quantity, flow):
    """What the plant gives when so much water is there, the nozzle as it is."""
    return f'HYDRO_PLANT(plant,"{quantity}","available_flow",{flow})'


def _month(name, days, example):
    word = name.lower()
    argument = Argument(f"flow_{word}", "L/s", f"Typical flow of the source in {name}.", "[0, 1000]")
    return (
        name,
        Input(
            f"flow_{word}",
            f"Flow in {name}",
            argument,
            example=example,
            digits="0.00",
            note="Typical flow of the month. Left empty, the flow of the Site sheet counts.",
        ),
        Formula(f"={days}", "0"),
        Formula("=IF(ISNUMBER(C{row}),C{row},source_flow)", "0.000"),
        Formula("=" + usable_of("E{row}", "M{row}"), "0.000"),
        Formula("=MIN(F{row},nozzle_thirst)", "0.000"),
        Formula("=" + _with_water("battery_watts", "F{row}"), "0.0"),
        Formula("=D{row}*24*H{row}/1000", "0.0"),
        Formula("=IF(F{row}<nozzle_thirst,MAX(0,gross_head-K{row}-L{row}),0)", "0.0"),
        Formula("=" + _with_water("lost_head", "F{row}"), "0.0"),
        Formula("=" + _with_water("net_head", "F{row}"), "0.0"),
        Formula("=INDEX(month_left,ROWS(M${first}:M{row})+1)", "0.000", guard=PASS),
    )


# What is asked about the nozzles of the year. The answers stand below each other: a workbook that carries its functions
# asks all at once, as each needs the whole search.
_ASKED = ("one", "one_watts", "dry", "wet", "two_watts", "first", "last", "every_watts")
_PLACE = "ROWS(B${first}:B{row})-1"  # the first row holds names


def _question(asked):
    """What is asked about the nozzles of the year, and the answer."""
    formula = "=HYDRO_NOZZLE_SEASON(plant,R{row},year_sizes,month_usable,month_days)"
    return (asked, Formula(formula, "0.0")) if asked else ()


def _season(name, asked):
    """A row of the table of nozzles: what must stay that month, what stays, and which nozzle is fitted."""
    word = name.lower()
    argument = Argument(f"left_{word}", "L/s", f"Flow that must stay in the stream in {name}.", "[0, 1000]")
    return (
        name,
        Input(
            f"left_{word}",
            f"Must stay in {name}",
            argument,
            digits="0.000",
            note="By the permit. Left empty, that of sheet Site counts.",
        ),
        Formula("=IF(ISNUMBER(C{row}),C{row},left_flow)", "0.000", guard=PASS),
        Formula("=INDEX(month_source,N{row})-INDEX(month_used,N{row})", "0.000"),
        Formula(
            f"=IFERROR({of_plant('best_nozzle', 'available_flow', 'K{row}')},nozzle)",
            "0.00",
            guard=PASS,
        ),
        Formula("=IF(COUNT(nozzle_typed)=0,MAX(M{row},ROUND(F{row}/M{row},0)*M{row}),O{row})", "0.0"),
        Formula("=IF(AND(dry_from>0,P{row}<=Q{row}),dry_nozzle,wet_nozzle)", "0.0"),
        Formula("=" + of_plant("battery_watts", "K${first}:L${first}", "K{row}:L{row}"), "0.0"),
        Formula("=INDEX(month_days,N{row})*24*I{row}/1000", "0.0"),
        Formula("=INDEX(month_usable,N{row})", "0.000"),
        Formula("=H{row}", "0.0"),
        Formula("=IF(F{row}<fine_drills_to,fine_drill_step,drill_step)", "0.0"),
        Formula(f"={_PLACE}", "0", guard=PASS),
        Formula(
            "=IF(ISNUMBER(INDEX(nozzle_typed,N{row})),INDEX(nozzle_sizes,N{row}),MAX(nozzle_typed))",
            "0.0",
            guard=PASS,
        ),
        Formula("=MOD(N{row}-dry_from,12)", "0"),
        Formula("=MOD(dry_to-dry_from,12)", "0"),
        *_question(asked),
    )


_SEASONS = Table(
    (
        "month",
        "must stay, L/s",
        "counts, L/s",
        "stays, L/s",
        "most jet power, mm",
        "size tried, mm",
        "nozzle to fit, mm",
        "battery, W",
        "in the month, kWh",
        "you may use, L/s",
        "nozzle, mm",
        "step of drills, mm",
        "month, number",
        "at hand, mm",
        "from the first, number",
        "to the last, number",
        "asked of the year",
        "answer, mm, W or month",
    ),
    (
        (
            *("", "", "", "", ""),
            Formula("=nozzle", "0.0"),
            *("", "", "", "available_flow", "nozzle", "", "", "", "", ""),
            *_question(_ASKED[0]),
        ),
        *(_season(name, asked) for (name, *_), asked in zip_longest(_MONTHS, _ASKED[1:])),
    ),
    names={"month_left": "D", "year_sizes": "G", "fitted_energy": "J", "year_asked": "R", "year_answers": "S"},
    key="season",
    how={
        "D": "yours, or where it is empty that of sheet Site",
        "E": "what the source gives less what the jet gets, with the nozzle fitted now",
        "F": "HYDRO_PLANT with the water of the month",
        "G": "the one fitted; then those at hand if you typed any on sheet Nozzle, else a drill near the best",
        "H": "the smaller or the larger of the lines below",
        "I": "HYDRO_PLANT with that nozzle and the water of the month",
        "K:S": "right of the page: what the columns before are made of",
    },
)


def _answer(name, label, unit, quantity, note="", **more):
    """What a question about the nozzles of the year was answered."""
    formula = f'=INDEX(year_answers,MATCH("{quantity}",year_asked,0))'
    return Result(name, label, unit, formula, note, way="HYDRO_NOZZLE_SEASON", **more)


def _month_name(number):
    return f"INDEX(month_names,{number})"


_NOZZLES = (
    Heading("What stays in the stream, and which nozzle in which season", new_page=True),
    _SEASONS,
    _answer("year_nozzle", "One nozzle all the year", "mm", "one", "Of the sizes tried.", digits="0.0"),
    _answer("year_nozzle_watts", "Mean watts over the year with it", "W", "one_watts", digits="0.0"),
    _answer(
        "dry_nozzle",
        "Changed twice a year: the smaller",
        "mm",
        "dry",
        "Of all pairs of the sizes tried. The same as the one all the year where changing brings nothing.",
        digits="0.0",
        strong=True,
    ),
    _answer("wet_nozzle", "Changed twice a year: the larger", "mm", "wet", digits="0.0", strong=True),
    _answer(
        "dry_from",
        "The smaller goes in with month number",
        "-",
        "first",
        "0: it never does.",
        digits="0",
    ),
    _answer("dry_to", "The smaller comes out after month number", "-", "last", digits="0"),
    Result(
        "dry_says",
        "In words",
        "",
        f'=IF(dry_from>0,{_month_name("dry_from")}&" to the end of "&{_month_name("dry_to")},"one nozzle is enough")',
        "So long the smaller one is in.",
        digits="General",
    ),
    _answer("two_nozzles_watts", "Mean watts, changed twice a year", "W", "two_watts", digits="0.0", strong=True),
    Result(
        "two_nozzles_gain",
        "Changing it twice a year brings",
        "kWh",
        "=(two_nozzles_watts-year_nozzle_watts)*24*SUM(month_days)/1000",
        "In a year, over the one nozzle that is best all the year.",
        digits="0",
    ),
    Result(
        "two_nozzles_over_now",
        "Against the nozzle fitted now, all the year",
        "kWh",
        "=(two_nozzles_watts-year_watts)*24*SUM(month_days)/1000",
        digits="0",
    ),
    _answer(
        "every_nozzle_watts",
        "Mean watts with the best size every month",
        "W",
        "every_watts",
        "More than that no changing brings.",
        digits="0.0",
    ),
    Words(
        "Shut the valve, wait until the gauge stands still at rest, and only then unscrew a nozzle. A flow that must "
        "stay is set by law: a gap or a pipe in the weir of that size, below the intake, keeps it by itself.",
        caution=True,
    ),
)

BREAKS = 4
_BREAK_NAMES = ("gross_head", "length", "nozzle", "length_2", "length_3", "velocity_coefficient", "contraction", "jets")
_BREAK_HEADS = (
    "head, m",
    "length, m",
    "open end, mm",
    "second, m",
    "third, m",
    "velocity, -",
    "contraction, -",
    "jets",
)


_WORST = "MATCH(MAX(route_break),route_break,0)"
_AT_WORST = (
    f'=IF(COUNT(route_break)>0,INDEX(route_chainage,{_WORST}),"")',
    f'=IF(COUNT(route_break)>0,water_level-INDEX(route_level,{_WORST}),"")',
)
# Where it is broken off, and there is such a place on the pipe: the head, and the sections as far as there.
_THERE = "AND(COUNT(B{row}:D{row})=2,N(C{row})<=(1+route_over/100)*whole_length)"
_BROKEN_OFF = (
    f'=IFERROR(IF({_THERE},D{{row}},"none"),"none")',
    "=MIN(N(C{row}),N(pipe_length))",
    "=IF(N(C{row})<=N(pipe_length),bore_used,IF(N(C{row})<=pipe_length+N(length_2),bore_2,bore_3))",
    "=MAX(0,MIN(N(length_2),N(C{row})-N(pipe_length)))",
    "=MAX(0,MIN(N(length_3),N(C{row})-N(pipe_length)-N(length_2)))",
    *("=1", "=1", "=1"),
)


def _break(i):
    """A place where the pipe is broken off: the lower end, one of a person's own, or the worst of the route."""
    chainage = Argument(f"break_along_{i}", "m", "Along the pipe from the intake.", "(0, 60000]")
    below = Argument(f"break_below_{i}", "m", "Height of the intake's water above the break.", "(0, 2000]")
    if i == 1:
        label, places = "At the lower end", (Formula("=whole_length", "0"), Formula("=gross_head", "0.0"))
    elif i == BREAKS:
        label, places = "At the worst point of the route", (Formula(_AT_WORST[0], "0"), Formula(_AT_WORST[1], "0.0"))
    else:
        label, note = f"Break {i - 1} of your own", "Such as below the steepest stretch."
        places = (
            Input(chainage.name, f"{label}: along the pipe", chainage, digits="0", note=note),
            Input(below.name, f"{label}: below the intake", below, digits="0.0", note=note),
        )
    return (
        label,
        *places,
        Formula(
            f'=IFERROR({of_plant("flow", "F${first}:M${first}", "F{row}:M{row}", block="plant_pipe")},"")',
            "0.0",
            guard=PASS,
        ),
        *(Formula(text, "0.0", guard=PASS) for text in _BROKEN_OFF),
    )


_BURST = (
    Heading("A tree on the pipe, or a burst", new_page=True),
    Table(
        ("the pipe breaks off", "along the pipe, m", "below the intake, m", "flow out, L/s", *_BREAK_HEADS),
        (("names for HYDRO_PLANT", "", "", "", *_BREAK_NAMES), *(_break(i) for i in range(1, BREAKS + 1))),
        names={"burst_places": "C", "burst_flows": "E"},
        key="breaks",
        how={
            "C:D": "at the lower end all of it; on the route where most runs out (workings of sheet Route)",
            "E": "HYDRO_PLANT with the pipe open at that place, all its fittings counted and the source without limit",
            "F:M": "right of the page: what is changed for it",
        },
    ),
    Input(
        "intake_box",
        "Water in the intake box",
        Argument("intake_box", "L", "What stands above the pipe's entrance.", "[0, 1E6]"),
        digits="0",
        note="Above the pipe's entrance, beside what the tank below holds. Empty: none.",
    ),
    Result("burst_flow", "Flow out of the worst break", "L/s", "=MAX(burst_flows)", digits="0.0", strong=True),
    Result(
        "burst_at",
        "The worst break is along the pipe at",
        "m",
        '=IF(burst_flow>0,INDEX(burst_places,MATCH(burst_flow,burst_flows,0)),"")',
        "From the intake. Of the points that the route has: without a route it is the lower end, or one of your own.",
        digits="0",
    ),
    Result(
        "burst_empty",
        "It empties box and tank in",
        "min",
        where(
            "burst_flow>source_flow",
            "(N(intake_box)+N(tank_volume))/(burst_flow-source_flow)/60",
            '"never: more flows in"',
        ),
        "While the source goes on as measured.",
        digits="0.0",
    ),
    Result(
        "burst_hour",
        "Then runs out each hour, until somebody shuts it",
        "m³",
        "=3600*MIN(burst_flow,source_flow)/1000",
        "All that the source gives, or what the open pipe passes.",
        digits="0.0",
        strong=True,
    ),
    Result(
        "burst_pipe",
        "Water in the pipe",
        "L",
        "=PI()/2/2*(bore_used^2*pipe_length+N(bore_2)^2*N(length_2)+N(bore_3)^2*N(length_3))/1000",
        "It runs out whatever is shut above.",
        digits="0",
    ),
    Result(
        "burst_saved",
        "A valve that shuts by itself at the intake saves in a day",
        "m³",
        "=MAX(0,24*burst_hour-burst_pipe/1000)",
        "A float that shuts when the box sinks, or a valve that shuts when the flow is more than the nozzle takes.",
        digits="0",
    ),
    Words(
        "Water that runs out on a slope washes it away and can bring it down on people below. Shut the intake first, "
        "from above; never grip a pipe that jets. A float that shuts must have an air vent below it, or the pipe is "
        "sucked flat as it empties.",
        caution=True,
    ),
)

PAGE = Page(
    "Supply",
    "How much water the year brings, what it gives at the battery month by month, and whether a tank helps.",
    (
        Result(
            "nozzle_thirst",
            "Flow the nozzle takes, if there is enough",
            "L/s",
            "=" + _with_water("flow", 1000),
            "Nozzle and pipe as on their sheets.",
            digits="0.000",
            strong=True,
        ),
        Result(
            "full_watts", "Battery watts with that flow", "W", "=" + _with_water("battery_watts", 1000), digits="0.0"
        ),
        Heading("Month by month, the nozzle unchanged"),
        Table(
            (
                "month",
                "typical flow, L/s",
                "days",
                "source, L/s",
                "you may use, L/s",
                "the jet gets, L/s",
                "battery, W",
                "in the month, kWh",
                "head not used, m",
                "lost in the pipe, m",
                "before the nozzle, m",
                "must stay, L/s",
            ),
            tuple(_month(*month) for month in _MONTHS),
            names={
                "month_names": "B",
                "month_flows": "C",
                "month_days": "D",
                "month_source": "E",
                "month_usable": "F",
                "month_used": "G",
                "month_watts": "H",
                "month_energy": "I",
            },
            key="supply_months",
            how={
                "D": "of the month, a quarter day for leap years",
                "E": "typical flow, or where it is empty that of sheet Site",
                "J": "gross head less the two heads to the right, where the nozzle takes more than there is",
            },
        ),
        Words(
            "When the source gives less than the nozzle takes, the water stands lower in the pipe, until the"
            " head left pushes through the nozzle just what comes in. Head not used is how far the level"
            " has sunk. The jet is weaker AND slower: half the water gives about an eighth of the power, and"
            " soon the wheel no longer reaches the battery's voltage. The pipe also draws air. A smaller"
            " nozzle for the dry months, or a tank and running in turns, gets more out of little water."
        ),
        Result(
            "driest_flow",
            "Source in the driest month",
            "L/s",
            "=MIN(month_source)",
            "A month left empty counts with the flow of the sheet Site.",
            digits="0.000",
        ),
        Result(
            "driest_usable",
            "You may use, in the driest month",
            "L/s",
            "=MIN(month_usable)",
            digits="0.000",
            strong=True,
        ),
        Result(
            "driest_left",
            "Stays in the stream, in the driest month",
            "%",
            "=IF(driest_flow>0,100*(1-MIN(month_used)/driest_flow),100)",
            "Of the flow there. What a permit asks may be more than a share: local law decides.",
            digits="0",
        ),
        Result(
            "driest_stays",
            "Flow that stays in the stream in the driest month",
            "L/s",
            "=driest_flow-MIN(month_used)",
            "Month by month: table below.",
            digits="0.000",
        ),
        Result(
            "months_short",
            "Months with less than the nozzle takes",
            "-",
            "=SUMPRODUCT((month_usable<nozzle_thirst)*1)",
            digits="0",
        ),
        Result(
            "driest_watts", "Battery watts in the poorest month", "W", "=MIN(month_watts)", digits="0.0", strong=True
        ),
        Result(
            "year_energy",
            "Energy in a year",
            "kWh",
            "=SUM(month_energy)",
            "If it never stops.",
            digits="0",
            strong=True,
        ),
        Result("year_watts", "Mean watts over the year", "W", "=1000*year_energy/(24*SUM(month_days))", digits="0.0"),
        *_NOZZLES,
        Heading("How often how much water flows", new_page=True),
        Space("supply_months", 0, "F"),
        Space("flow_duration", 17),
        Table(
            ("share of the time, %", "flow, L/s", "days", "the jet gets, L/s"),
            tuple(
                (
                    Formula(f"=100*{NTH}/(1+ROWS(B${{first}}:B${{last}}))", "0"),
                    Formula("=" + call("flow_exceeded", flows="month_source", time_share="B{row}"), "0.000"),
                    Formula("=365.25*B{row}/100", "0"),
                    Formula(f"=MIN(nozzle_thirst,{usable_of('C{row}', 'left_flow')})", "0.000"),
                )
                for _ in range(_DURATION_ROWS)
            ),
            key="flow_duration",
            how={"B": "with at least this flow, in tenths of the year", "D": "of 365.25"},
        ),
        Words(
            "The m-th largest of n flows is reached m / (n + 1) of the time (plotting position"
            " of Weibull; from memory, not looked up). Twelve monthly flows say nothing beyond 8 and 92 %,"
            " and hide dry days: if you have a longer record, put it on a sheet of your own and ask "
            " =HYDRO_FLOW_EXCEEDED(its cells, 95)."
        ),
        *_BURST,
        Heading("A tank above the pipe", new_page=True),
        Input(
            "tank_volume",
            "Tank holds",
            declared.TANK_VOLUME,
            example=2000.0,
            digits="0",
            note="Between the marks at which the jet is opened and shut. Empty: no tank.",
        ),
        Input(
            "tank_hours",
            "Jet wanted at full flow for",
            Argument("tank_hours", "h", "Hours in one go.", "(0, 100]"),
            3.0,
            digits="0.0",
            note="In one go, such as an evening.",
        ),
        Input(
            "tank_depth",
            "Depth of water in the tank",
            Argument("tank_depth", "m", "Depth over the drain.", "(0, 20]"),
            1.0,
            note="Over the drain, when full. A metre is usual (common practice, no published source).",
        ),
        fed_by(
            declared.HOLE.with_(name="tank_hole", default=40.0),
            "Drain hole of the tank",
            "To empty and clean it.",
            digits="0",
        ),
        Result(
            "tank_needed",
            "Volume needed for those hours",
            "L",
            "=tank_short*3600*tank_hours",
            "Beside what flows in, in the driest month. 0: no tank is needed.",
            digits="0",
        ),
        Result(
            "tank_share",
            "Share of the time the jet can be on",
            "%",
            "=100*MIN(1,driest_usable/nozzle_thirst)",
            "Driest month; the same for any tank.",
            digits="0",
        ),
        Result(
            "tank_short",
            "What the tank must add while the jet runs",
            "L/s",
            "=MAX(0,nozzle_thirst-driest_usable)",
            "In the driest month.",
            digits="0.000",
        ),
        Result(
            "tank_run",
            "Full tank feeds the jet for",
            "h",
            where(
                "N(tank_volume)*tank_short>0",
                call("tank_running_time", tank_volume="tank_volume", flow="nozzle_thirst", inflow="driest_usable"),
                '""',
            ),
            "Empty where there is no tank, or the source is enough.",
        ),
        Result(
            "tank_fill",
            "Empty tank fills again in",
            "h",
            where(
                "N(tank_volume)*driest_usable>0",
                call("tank_refill_time", tank_volume="tank_volume", inflow="driest_usable"),
                '""',
            ),
            "With the jet shut.",
        ),
        Result(
            "tank_starts",
            "Starts in a day",
            "-",
            where(
                "N(tank_volume)*tank_short>0",
                call("tank_runs", tank_volume="tank_volume", flow="nozzle_thirst", inflow="driest_usable"),
                '""',
            ),
            digits="0.0",
        ),
        Result(
            "tank_watts",
            "Mean watts, run in turns",
            "W",
            "=full_watts*tank_share/100",
            "If the pipe stays full: shut the valve at the NOZZLE, not at the tank.",
            digits="0.0",
            strong=True,
        ),
        Result("tank_gain", "Watts more than without a tank", "W", "=tank_watts-driest_watts", digits="0.0"),
        Result(
            "tank_drained",
            "Drain empties the tank in",
            "min",
            where(
                "N(tank_volume)*tank_depth>0",
                call(
                    "tank_emptying_time",
                    tank_area="tank_volume/1000/tank_depth",
                    hole="tank_hole",
                    water_depth="tank_depth",
                    final_depth="0",
                    discharge_coefficient="hole_discharge",
                ),
                '""',
            ),
            "Sharp-edged hole into free air, no inflow.",
            digits="0",
        ),
        Words(
            "Each stop must be slow: a valve that shuts fast on a long pipe doubles the pressure or worse. A"
            " jet that stops and starts by itself needs a guard on the wheel and a note on the door. A tank"
            " needs an overflow, a lid that no child lifts, and firm ground: a thousand litres weigh a ton.",
            caution=True,
        ),
    ),
    widths=(3, 31, 14, 9, 13, 14, 15, 15, 15, 16),
    heads=Page.heads + ("",) * 3,
)
CHECKS = (
    Check(
        "Nozzle's thirst, of what the driest month gives",
        where("driest_usable>0", "100*nozzle_thirst/driest_usable", '"no water in that month"'),
        "%",
        100,
        200,
        "Above 100 the pipe runs partly empty in that month: half the water gives an eighth of the power."
        f" Second nozzle, or tank. A month left empty counts with the flow of the sheet Site. {PRACTICE}",
        digits="0",
        rests_on=("month_flows",),
        name="month_thirst",
    ),
    Check(
        "Starts of the jet in a day, from the tank",
        "=N(tank_starts)",
        "-",
        12,
        48,
        f"Valves, shaft seals and the person tire of many starts; 0 without a tank or where it never stops. {PRACTICE}",
        rests_on=("tank_volume",),
        name="jet_starts",
    ),
)
