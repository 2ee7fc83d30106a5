"""Efficiency: what the machine makes of the water, from readings, and how well that is known."""

from ...catalogue import nomenclature as n
from ...catalogue import uncertainty as u
from ...registry import Argument
from ..chain import call
from ..model import PASS, Assumption, Formula, Heading, Input, Page, Result, Table, Words
from .common import PRACTICE, where

_PERCENT = "[0, 100]"


_WHY = f"Standard uncertainty with instruments one has. {PRACTICE}"
_OF_READINGS = "0 stands for infinitely many: not from repeated readings."


def _measured(formula, *needs):
    """The formula where what it needs is there; else an empty text."""
    needs = needs or ("test_efficiency",)
    nothing = f'{needs[0]}=""' if len(needs) == 1 else f"COUNT({','.join(needs)})<{len(needs)}"
    return f'=IF({nothing},"",{formula})'


def _quantity(name, label, reading, digits, unit, doubt, doubt_unit, sensitivity, why):
    """A row of the budget: the reading, its standard uncertainty, what it does to the efficiency, its share."""
    return (
        label,
        Formula(f"={reading}", digits, guard=PASS),
        unit,
        Formula(f"={name}_doubt", "0.00"),
        Input(
            f"{name}_doubt",
            f"Uncertainty: {label}",
            Argument(f"{name}_doubt", doubt_unit, "Standard uncertainty.", _PERCENT),
            digits="0.00",
            assumed=Assumption(doubt, f"{why} {_WHY}".strip()),
        ),
        doubt_unit,
        Formula(_measured(sensitivity), "0.000", guard=PASS),
        Formula(_measured("E{row}*H{row}"), "0.00", guard=PASS),
        Formula('=IF(N(test_doubt)>0,100*(I{row}/test_doubt)^2,"")', "0", guard=PASS),
        Input(
            f"{name}_degrees",
            f"Degrees of freedom: {label}",
            Argument(f"{name}_degrees", "-", "Readings less 1.", "[0, 1000000]"),
            digits="0",
            assumed=Assumption(0.0, _OF_READINGS),
        ),
        Formula(f"={name}_degrees", "0"),
        why,
    )


_BUDGET = (
    _quantity(
        "gauge",
        "Gauge, running",
        "seen_running",
        "0.00",
        "bar",
        1.0,
        "%",
        "-test_gauge_head/test_head",
        "A gauge of class 1.6 may be off by 1.6 % of its full scale: choose one of little more range.",
    ),
    _quantity("height", "Gauge above the nozzle", "gauge_height", "0.00", "m", 0.05, "m", "-100/test_head", ""),
    _quantity(
        "water",
        "Flow",
        "test_flow",
        "0.000",
        "L/s",
        2.0,
        "%",
        "-(1+2*test_velocity_head/test_head)",
        "Bucket: how full is full, and the stopwatch. Mean of several; degrees: fillings less 1.",
    ),
    _quantity(
        "bore",
        "Bore at the gauge",
        "outlet_bore",
        "0.0",
        "mm",
        1.0,
        "%",
        "2*2*test_velocity_head/test_head",  # the head goes with velocity squared, velocity with the bore squared
        "Only through the velocity head.",
    ),
    _quantity("volts", "Volts", "seen_volts_a", "0.00", "V", 0.5, "%", "1", ""),
    _quantity(
        "amps",
        "Amperes",
        "seen_amps_a",
        "0.00",
        "A",
        1.5,
        "%",
        "1",
        "A clamp meter on d.c. drifts: zero it before each reading.",
    ),
)


PAGE = Page(
    "Efficiency",
    "What the machine makes of the water before its nozzle, from the readings on Test day, and how well that is known.",
    (
        Words(
            "Read gauge, flow, volts and amperes within the same quarter of an hour, with the valve untouched. What "
            "is not read stays empty here. "
            "In the manner of IEC 60041 and IEC 62006 (their clauses were not seen), with instruments one has."
        ),
        Heading("From the readings"),
        Input(
            "given_flow",
            "Flow, measured otherwise",
            n.FLOW.with_(name="given_flow", within="(0, 1000]"),
            digits="0.000",
            note="Weir or meter. Empty: bucket and seconds of Test day.",
        ),
        Result(
            "test_flow",
            "Flow",
            "L/s",
            '=IF(ISNUMBER(given_flow),given_flow,IF(ISNUMBER(reading_flow),reading_flow,""))',
            "As given above; else bucket over seconds.",
            digits="0.000",
        ),
        Result(
            "test_velocity",
            "Velocity in the pipe at the gauge",
            "m/s",
            _measured(call("pipe_velocity", flow="test_flow", bore="outlet_bore"), "test_flow"),
            "From flow and bore.",
        ),
        Result(
            "test_velocity_head",
            "Velocity head at the gauge",
            "m",
            _measured("test_velocity^2/2/gravity", "test_velocity"),
            "The gauge does not see it; the nozzle has it.",
            digits="0.000",
            guard=PASS,
        ),
        Result(
            "test_head",
            "Net head before the nozzle",
            "m",
            _measured(
                call(
                    "measured_head",
                    running_pressure="reading_running",
                    gauge_height="gauge_height",
                    flow="test_flow",
                    bore="outlet_bore",
                ),
                "reading_running",
                "test_velocity",
            ),
            "Pressure, height of the gauge (sheet Site) and velocity head.",
            strong=True,
            guard=PASS,
        ),
        Result(
            "test_gauge_head",
            "Head that the gauge shows",
            "m",
            _measured("test_head-gauge_height-test_velocity_head", "test_head"),
            "The rest is its height and the velocity head.",
            guard=PASS,
        ),
        Result(
            "test_water",
            "Power of the water before the nozzle",
            "W",
            _measured(call("hydraulic_power", flow="test_flow", head="test_head"), "test_head"),
            digits="0",
            guard=PASS,
        ),
        Result(
            "test_watts", "Electrical power", "W", "=reading_watts", "Volts x amperes at the battery.", digits="0.0"
        ),
        Result(
            "test_efficiency",
            "Efficiency, nozzle to battery",
            "%",
            _measured(
                call("measured_efficiency", power="test_watts", flow="test_flow", net_head="test_head"),
                "test_head",
                "test_watts",
            ),
            "Nozzle, wheel, alternator, rectifier and cable together; the pipe is not in it.",
            digits="0.0",
            strong=True,
            guard=PASS,
        ),
        Result(
            "planned_efficiency",
            "The same, as worked out on the sheets before",
            "%",
            "=" + call("measured_efficiency", power="battery_watts"),
            "Same definition.",
            digits="0.0",
        ),
        Result(
            "test_speed_factor",
            "Speed factor",
            "-",
            _measured(call("speed_factor", speed="reading_speed", net_head="test_head"), "reading_speed", "test_head"),
            "Speed without dimension (IEC 60193, from memory, not looked up): compares runs at different heads.",
            digits="0.0000",
        ),
        Result(
            "test_discharge_factor",
            "Discharge factor",
            "-",
            _measured(call("discharge_factor", flow="test_flow", net_head="test_head"), "test_head"),
            "Flow without dimension, alike.",
            digits="0.00000",
        ),
        Heading("How well it is known"),
        Words(
            "Standard uncertainty is one standard deviation: the standard deviation of the mean of repeated readings, "
            "or a maker's limit over 1.73 "
            "(JCGM 100:2008, 4.2.3 and 4.3.7). Sensitivity says by how many percent the efficiency moves for one unit "
            "of it. Degrees of freedom: "
            "readings less 1; 0 where it does not come from repeated readings (then they count as infinitely many). "
            "The values "
            "shown are common practice, no published source."
        ),
        Table(
            (
                "quantity",
                "reading",
                "unit",
                "standard uncertainty, counts",
                "your own",
                "in",
                "sensitivity, % per unit",
                "gives, %",
                "of all, %",
                "degrees of freedom, yours",
                "degrees that count, -",
                "note",
            ),
            _BUDGET,
            key="budget",
            how={
                "C": "sheets Test day, Site and Pipe",
                "E": "yours, or where that is empty what is usual (common practice, no published source)",
                "H": "slope of the efficiency, of itself",
                "I": "standard uncertainty x sensitivity",
                "J": "its square, of the sum of all squares",
                "L": "yours, or 0",
            },
            wrap=("B", "M"),
            names={"doubts": "E", "doubt_slopes": "H", "doubt_gives": "I", "doubt_degrees": "L"},
        ),
        Input(
            "test_confidence",
            "Confidence wanted",
            u.CONFIDENCE.with_(name="test_confidence"),
            95.0,
            digits="0.0",
            note="Of the interval below that counts few readings.",
        ),
        Result(
            "test_doubt",
            "Combined standard uncertainty",
            "%",
            _measured(
                call("combined_uncertainty", uncertainties="doubts", sensitivities="doubt_slopes", correlations="0")
            ),
            (
                "Of the efficiency itself: root of the sum of squares. Equal errors of volts and amperes are taken "
                "as independent."
            ),
            guard=PASS,
        ),
        Result(
            "test_expanded",
            "Expanded uncertainty, k = 2",
            "%",
            _measured("2*test_doubt", "test_doubt"),
            "About 95 % where readings are many.",
            digits="0.0",
            strong=True,
            guard=PASS,
        ),
        Result(
            "test_low",
            "The efficiency is at least",
            "%",
            _measured("test_efficiency*(1-test_expanded/100)", "test_expanded"),
            "With k = 2.",
            digits="0.0",
            guard=PASS,
        ),
        Result(
            "test_high",
            "The efficiency is at most",
            "%",
            _measured("test_efficiency*(1+test_expanded/100)", "test_expanded"),
            "With k = 2.",
            digits="0.0",
            guard=PASS,
        ),
        Result(
            "test_degrees",
            "Effective degrees of freedom",
            "-",
            where(
                "N(test_doubt)>0",
                call("effective_degrees", contributions="doubt_gives", degrees_each="doubt_degrees"),
                '""',
            ),
            "A million stands for infinitely many.",
            digits="0.0",
            guard=PASS,
        ),
        Result(
            "degrees_used",
            "Degrees of freedom for Student's factor",
            "-",
            _measured("MAX(1,test_degrees)", "test_degrees"),
            "At least 1.",
            digits="0.0",
            guard=PASS,
        ),
        Result(
            "test_coverage",
            "Student's factor for them",
            "-",
            _measured(
                call("coverage_factor", degrees_of_freedom="degrees_used", confidence="test_confidence"),
                "degrees_used",
            ),
            "Instead of 2 where readings are few.",
            guard=PASS,
        ),
        Result(
            "test_student",
            "Expanded uncertainty with Student's factor",
            "%",
            _measured("test_coverage*test_doubt", "test_coverage"),
            "Where readings are few.",
            digits="0.0",
            guard=PASS,
        ),
        Words(
            "Reading a gauge or meter close to a turning wheel and a jet: guard on, sleeves tight, eye protection, a "
            "second person within call. "
            "Volts between bare parts can be dangerous: see Safety figures.",
            caution=True,
        ),
    ),
    widths=(3, 31, 10, 7, 12, 9, 6, 11, 9, 9, 11, 9, 38),
    heads=Page.heads + ("",) * 6,
)

CHECKS = ()
