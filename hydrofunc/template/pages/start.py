"""Start: the page that is enough. A dozen inputs, what comes of them, and what to measure next.

The inputs are declared on the pages of their stage; here they are typed, there they are shown.
"""

from ...registry import Argument
from ...units import SYSTEMS, TEXT
from ..model import STOP, Assumption, First, Formula, Heading, Input, Link, Page, Result, Table, Words

# What decides most, in the order in which a person comes to know it.
FIRST = (
    "static_pressure",
    "level_difference",
    "pipe_length",
    "pipe_bore",
    "pipe_size",
    "bucket_volume",
    "bucket_seconds",
    "nozzle",
    "pitch_diameter",
    "test_volts",
    "test_speed",
    "terminal_resistance",
    "battery_volts",
)
# Sheet, what it is for.
STAGES = (
    ("Site", "head and flow, measured"),
    ("Pipe", "bore, roughness, fittings"),
    ("Nozzle", "its size, and what the jet does"),
    ("Wheel", "how fast, how strong"),
    ("Alternator and battery", "volts, cable, battery"),
    ("Choices", "what is proposed"),
    ("Supply", "flow by month, tank"),
    ("Route", "high points, air, suction"),
    ("Strength", "pressure, surge, anchors"),
    ("Housing", "room for the water"),
    ("Safety figures", "speed, volts, fuse, dump load"),
    ("Energy", "loads, battery, gas"),
    ("Parts", "weight and money"),
    ("Checks", "good, look or stop"),
    ("What pays", "which change is worth it"),
    ("Doubt", "how far off, and why"),
    ("Test day", "print it, take it along"),
    ("Diagnosis", "what the readings mean"),
    ("Log", "keep it for years"),
)


def _rounded(name):
    return f"ROUND({name},0)"


def _next(i):
    return (
        Result(f"measure_{i}", f"{i}", "", "=doubt_most", digits="General", strong=True),
        Result(f"measure_{i}_how", "How", "", "=doubt_most", digits="General"),
        Result(f"measure_{i}_band", "The band then", "", "=doubt_most", digits="General"),
    )


PAGE = Page(
    "Start",
    "From what you know to the watts that reach the battery. Type on the sand cells; a dozen are enough.",
    (
        Result(
            "to_give",
            "Still needed",
            "",
            '=IF(ready,"nothing: the rest is assumed",missing)',
            digits="General",
            strong=True,
        ),
        Heading("What comes of it"),
        Result("start_watts", "Watts into the battery", "W", "=doubt_watts", digits="0", strong=True),
        Result(
            "start_band",
            "In 95 of 100 such plants",
            "",
            f'={_rounded("doubt_low")}&" to "&{_rounded("doubt_high")}&" W"',
            digits="General",
            strong=True,
        ),
        Result("start_energy", "Energy a day", "Wh", "=24*doubt_watts", digits="#,##0"),
        Result("start_days", "Days to charge the battery", "day", "=days_to_charge", digits="0.0"),
        Result("start_nozzle", "Nozzle to drill", "mm", "=recommended_nozzle", digits="0.0", strong=True),
        Result("start_nozzle_loss", "It loses, of the best possible", "%", "=recommended_loss", digits="0.0"),
        Result("start_flow", "Water it takes", "L/s", "=flow", digits="0.000"),
        Result("start_gauge", "Gauge while it runs", "bar", "=running_pressure", digits="0.00"),
        Result("start_speed", "Speed", "rpm", "=speed", digits="0"),
        Result("start_open", "Danger: open volts at runaway", "V", "=runaway_volts", digits="0", strong=True),
        Result(
            "start_stops",
            "Do not build it so",
            "",
            '=IF(checks_stop=0,"no check says stop",checks_stop&" stop: "&INDEX(check_labels,MATCH(1,check_ranks,0)))',
            digits="General",
            strong=True,
        ),
        Heading("What you know: leave empty what you do not know"),
        Input(
            "units",
            "Units",
            Argument("units", TEXT, "System in which units are shown.", choices=tuple(SYSTEMS)),
            assumed=Assumption("metric", "Each line's own unit may be changed in its unit cell."),
        ),
        *(First(name) for name in FIRST),
        Heading("Measure next: what narrows the band most"),
        *(item for i in (1, 2, 3) for item in _next(i)),
        Heading("From here"),
        Table(
            ("sheet", "yours", "", "for"),
            tuple(
                (Link(sheet), Formula(f"=COUNTIF('{sheet}'!F5:F200,\"yours\")", "0", guard=STOP), "", purpose)
                for sheet, purpose in STAGES
            ),
            key="stages",
            spread="E",
            how={"C": "how many of its inputs are your own"},
        ),
        Words(
            "Pressure, rotation, open volts, battery gas and heat can hurt: read the sheet Guide before you build. Local "
            "codes and licensed people come first.",
            caution=True,
        ),
    ),
    widths=(2, 20, 9, 7, 9, 9),
    heads=("", "what", "yours", "unit", "counts", "state"),
)
