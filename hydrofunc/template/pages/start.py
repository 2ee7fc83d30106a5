"""Start: the page that is enough. A dozen inputs, what comes of them, and what to measure next.

The inputs are declared on the pages of their stage; here they are typed, there they are shown.
"""

from ...registry import Argument
from ...units import SYSTEMS, TEXT
from ..model import STOP, Assumption, First, Formula, Heading, Input, Link, Page, Result, Table, Words

# What decides most, in the order in which a person comes to know it.
FIRST = (
    First("static_pressure", "Gauge, valve shut"),
    First("level_difference", "Height surveyed"),
    First("pipe_length", "Pipe length"),
    First("pipe_bore", "Pipe bore, inside"),
    First("pipe_size", "Pipe size"),
    First("bucket_volume", "Bucket holds"),
    First("bucket_seconds", "Bucket fills in"),
    First("nozzle", "Nozzle opening"),
    First("pitch_diameter", "Pitch circle"),
    First("test_volts", "Alternator, a.c. volts"),
    First("test_speed", "Speed in that test"),
    First("terminal_resistance", "Alternator, ohms"),
    First("battery_volts", "Battery, charging"),
)
# Stage, its sheets in order, what it is for.
STAGES = (
    ("Water and pipe", ("Site", "Supply", "Pipe", "Route", "Strength"), "head, flow, pressure"),
    ("Machine", ("Nozzle", "Wheel", "Choices", "Alternator and battery", "Housing"), "jet, wheel, volts"),
    ("Safety, energy", ("Safety figures", "Energy"), "fuse, battery, gas"),
    ("What to change", ("Parts", "What pays", "Combinations", "Doubt"), "money, gains, doubt"),
    ("Test day", ("Test day", "Diagnosis", "As tested", "Efficiency"), "print, read, find out"),
    ("Years after", ("Log",), "weekly readings"),
)


A_GUESS = '"A guess. The average is mostly lower; it needs Python."'


def _rounded(name):
    return f"ROUND({name},0)"


def _next(i):
    return Result(
        f"measure_{i}",
        f"{i}  Measure",
        "",
        f'=next_{i}_label&IF(next_{i}_band="","",": "&next_{i}_band)',
        digits="General",
        strong=True,
        beside=f'=IF(measure_{i}="","",next_{i}_how)',
    )


PAGE = Page(
    "Start",
    "Type what you know on the sand cells: a dozen are enough.",
    (
        Result(
            "to_give",
            "Still needed",
            "",
            '=IF(ready,IF(refused="","nothing: the rest is assumed",refused),need_in_cells&refused)',
            digits="General",
            strong=True,
            two_lines=True,
        ),
        Heading("What comes of it"),
        Result(
            "start_watts",
            "Watts, on average",
            "W",
            "=IF(ISNUMBER(doubt_mean),doubt_mean,plant_watts)",
            digits="0",
            strong=True,
            beside=f'=IF(ISNUMBER(doubt_mean),"sheet Doubt",{A_GUESS})',
        ),
        Result(
            "start_band",
            "95 of 100 plants",
            "",
            f'={_rounded("doubt_low")}&" to "&{_rounded("doubt_high")}&" W"',
            digits="General",
            strong=True,
        ),
        Result("start_energy", "Energy a day", "Wh", "=24*start_watts", "Day and night.", digits="#,##0"),
        Result("start_days", "Charging the battery", "", "=charging_says", digits="General"),
        Result("start_nozzle", "Nozzle to drill", "mm", "=recommended_nozzle", digits="0.0", strong=True),
        Result("start_nozzle_loss", "It loses, of the best", "%", "=recommended_loss", digits="0.0"),
        Result("start_flow", "Water it takes", "L/s", "=flow", digits="0.000"),
        Result("start_gauge", "Gauge while it runs", "bar", "=running_pressure", digits="0.00"),
        Result("start_speed", "Speed", "rpm", "=speed", digits="0"),
        Result("start_open", "Danger: open volts", "V", "=runaway_volts", digits="0", strong=True),
        Result(
            "start_stops",
            "Checks",
            "",
            '=IF(ready,IF(checks_stop=0,"no check says stop",checks_stop&" stop: "&first_check),"not looked at")',
            "All of them: sheet Checks.",
            digits="General",
            strong=True,
            two_lines=True,
            stops="N(checks_stop)>0",
        ),
        Heading("What you know: leave empty what you do not know"),
        Input(
            "units",
            "Units",
            Argument("units", TEXT, "System in which units are shown.", choices=tuple(SYSTEMS)),
            assumed=Assumption("metric", "Each line's own unit may be changed in its unit cell."),
        ),
        *FIRST,
        Heading("Measure next, and the band one has then"),
        *(_next(i) for i in (1, 2, 3)),
        Heading("From here"),
        Table(
            ("stage", "yours", "", "for"),
            tuple(
                (
                    Link(sheets[0], stage),
                    Formula("=SUMIF(sheet_stages,B{row},sheet_yours)", "0", guard=STOP),
                    "",
                    purpose,
                )
                for stage, sheets, purpose in STAGES
            ),
            key="stages",
            spread="E",
            how={"C": "how many of its inputs are your own"},
        ),
        Words(
            "Pressure, rotation, open volts, battery gas and heat can hurt: read the sheet Guide before you build. "
            "Local codes and licensed people come first.",
            caution=True,
        ),
    ),
    widths=(1.4, 19.5, 7.5, 5.5, 7.5, 10, 61.5),
    heads=("", "what", "yours", "unit", "counts", "state", "how to measure it; where a result comes from"),
)
