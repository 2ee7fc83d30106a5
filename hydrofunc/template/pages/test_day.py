"""Test day: what each instrument should read, in the order one reads them."""

from ...catalogue import nomenclature as n
from ...registry import Argument
from ..expression import Call, column, is_plain_number, when
from ..model import PASS, Formula, Heading, Input, Page, Result, Table, Words
from .common import PRACTICE, limit

LIMITS = (
    limit(
        "day_band",
        "From and to are off what is expected by, in standard deviations",
        2,
        "-",
        f"95 of 100 healthy plants read inside. {PRACTICE}",
        "(0, 10]",
    ),
    limit(
        "battery_scatter",
        "Volts of a battery scatter over its states of charge by, as standard deviation",
        3,
        "%",
        f"From nearly empty to nearly full. {PRACTICE}",
        "[0, 50]",
    ),
    limit("least_gauge", "A gauge may be off, even near zero, by", 0.03, "bar", f"Its friction. {PRACTICE}", "[0, 10]"),
    limit("least_speed", "A speed counter may be off by", 1, "rpm", f"Its last digit. {PRACTICE}", "[0, 100]"),
    limit("least_volts", "A voltmeter may be off, even near zero, by", 0.05, "V", f"Its zero. {PRACTICE}", "[0, 10]"),
    limit("least_amps", "An ammeter may be off, even near zero, by", 0.05, "A", f"Its zero. {PRACTICE}", "[0, 10]"),
    limit(
        "least_balance",
        "Lowest over highest line volts of a sound alternator may be off by, besides the meter",
        0.01,
        "-",
        f"Windings are never quite alike. {PRACTICE}",
        "[0, 0.5]",
    ),
    limit(
        "meter_nozzle",
        "A nozzle's opening is measured to, of itself",
        1,
        "%",
        f"By drill shank or calliper. {PRACTICE}",
        "[0, 50]",
    ),
    limit(
        "look_wrong",
        "An answer of a look is wrong with a chance of",
        0.05,
        "-",
        f"Wrong line, wrong day, bad light. {PRACTICE}",
        "(0, 0.5]",
    ),
    limit(
        "least_nozzle",
        "A nozzle's opening is never measured better than",
        0.05,
        "mm",
        f"Steps of small drills. {PRACTICE}",
        "[0, 5]",
    ),
)
_VOLTS = Argument("volts", "V", "Reading of the voltmeter.", "[0, 2000]")
_AMPS = Argument("amps", "A", "Reading of the ammeter.", "[0, 2000]")
_GAUGE = Argument("gauge", "bar", "Reading of the gauge.", "[0, 200]")
_SECONDS = Argument("seconds", "s", "Stopwatch.", "(0, 3600]")
_SHARE = Argument(
    "share", "%", "Standard uncertainty, of the reading: two thirds of readings are nearer the truth.", "(0, 50]"
)


def _look(name, label, why):
    """A look: answered yes or no, or left out."""
    argument = Argument(f"reading_{name}", "text", "yes or no.", choices=("yes", "no"))
    return (label, "yes", "-", "", "", Input(f"reading_{name}", f"Look: {label}", argument), "", why, "")


_FROM, _TO, _READING = column("E", "low"), column("F", "high"), column("G", "reading")
# COUNT of two cells: both are numbers.
_NUMBERS = Call("COUNT", (_FROM, _READING), lambda parts, cells: sum(is_plain_number(p.evaluate(cells)) for p in parts))
JUDGEMENT = when(
    (_NUMBERS < 2, ""),
    (_READING < _FROM, "lower"),
    (_READING > _TO, "higher"),
    otherwise="as expected",
)


def _row(name, label, argument, why, expected=None, band=None, unit="", digits="0.0", ends=(), needs=""):
    """A step. `expected` and `band`, one standard deviation of it, name cells; so do `ends` where they are not alike.

    `needs` is a further condition on which something is expected, as worksheet text.
    """
    condition = f"AND(ISNUMBER(J{{row}}),{needs})" if needs else "ISNUMBER(J{row})"
    low, high = ("L{row}", "M{row}") if ends else ("MAX(0,C{row}-day_band*K{row})", "C{row}+day_band*K{row}")
    return (
        label,
        Formula(f'=IF({condition},J{{row}},"")', digits, guard=PASS),
        unit,
        Formula(f'=IF(ISNUMBER(C{{row}}),{low},"")', digits, guard=PASS),
        Formula(f'=IF(ISNUMBER(C{{row}}),{high},"")', digits, guard=PASS),
        Input(f"reading_{name}", f"Reading: {label}", argument.with_(name=f"reading_{name}"), digits=digits),
        Formula(f"={JUDGEMENT}", guard=PASS),
        why,
        *(Formula(f"={cell}", digits, guard=PASS) if cell else "" for cell in (expected, band, *ends)),
    )


def _healthy(name, label, argument, unit, digits, why, reading="", **more):
    """A step whose expectation and scatter stand on the sheet Diagnosis."""
    return _row(reading or name, label, argument, why, f"expect_{name}", f"band_{name}", unit, digits, **more)


def _line(name, label, unit, formula, note="", digits="0.00"):
    return Result(name, label, unit, f"={formula}", note, digits)


_B_READ = {"needs": "ISNUMBER(reading_volts_b)"}
_AS_BELOW = {"C:F": ""}  # said under the last of the four tables
_HEADS = ("step", "expect", "unit", "from", "to", "reading", "it is", "if it is not as expected")

PAGE = Page(
    "Test day",
    "In the order one does it: what each instrument should read, and the band in which all is still well. Print it.",
    (
        Words(
            "Before: guard on the wheel, battery fused and ventilated, load connected FIRST, then open the valve "
            "slowly. Eye protection. "
            "Never disconnect the load while the wheel turns: it runs away and the volts about double. Hands, hair "
            "and sleeves away from "
            "wheel and shaft; one hand in the pocket at live terminals. Local codes and licensed practice rule.",
            caution=True,
        ),
        Heading("Water"),
        Table(
            _HEADS,
            (
                _healthy(
                    "static",
                    "1  Gauge, valve shut, no bubbles",
                    _GAUGE,
                    "bar",
                    "0.00",
                    "Lower: air in the pipe, the intake not full, or less head than surveyed. Vent high points, wait, "
                    "try a second gauge.",
                    ends=("low_static", "high_static"),
                ),
                _healthy(
                    "running",
                    "2  Valve opened slowly: gauge, running",
                    _GAUGE,
                    "bar",
                    "0.00",
                    "Lower, with less flow: pipe rough, blocked or with air. Lower, with more flow: nozzle worn. "
                    "Higher, with less flow: nozzle blocked.",
                    ends=("low_running", "high_running"),
                ),
                _row(
                    "seconds",
                    "3  Bucket below the wheel fills in",
                    _SECONDS,
                    "Longer: less flow than planned. All the water must go into the bucket. Mean of three.",
                    "expect_seconds",
                    unit="s",
                    ends=("low_seconds", "high_seconds"),
                ),
            ),
            wrap=("B", "I"),
            key="test_day_water",
            how=_AS_BELOW,
        ),
        Heading("Looks, while the plant runs: yes or no"),
        Table(
            _HEADS,
            (
                _look(
                    "overflow",
                    "Does water run over at the intake?",
                    "No: the source gives less than the nozzle takes, and the level sinks in the pipe.",
                ),
                _look("screen", "Is the screen of the intake clean?", "No: clean it, and read again."),
            ),
            wrap=("B", "I"),
            key="test_day_looks",
        ),
        Heading("Load A, the ordinary one"),
        Table(
            _HEADS,
            (
                _row(
                    "volts",
                    "4  D.c. volts where the cable ends: at the controller's input, without one at battery or load",
                    _VOLTS,
                    "Set by the battery: higher when full, lower if empty; much higher if a controller limits. What "
                    "is expected below goes by this reading.",
                    "load_volts",
                    "band_volts",
                    "V",
                ),
                _healthy(
                    "speed_a",
                    "5  Speed at load A",
                    n.SPEED,
                    "rpm",
                    "0",
                    "Higher: a phase or diode open, star for delta, or the battery takes no more. Lower: jet off the "
                    "cups, drag, water under the wheel.",
                    "speed",
                ),
                _healthy(
                    "rectifier_a",
                    "6  D.c. volts at the rectifier, load A",
                    _VOLTS,
                    "V",
                    "0.0",
                    "Higher, with less current: thin cable or a bad joint. Feel for warm joints with the load OFF and "
                    "the wheel stopped.",
                    "rectifier",
                ),
                _healthy(
                    "amps_a",
                    "7  D.c. amperes at load A, in that same cable",
                    _AMPS,
                    "A",
                    "0.00",
                    "The sum of everything. With water and volts right and amperes low: alignment of the jet first.",
                    "amps",
                ),
                _row(
                    "line_highest",
                    "8  A.c. volts, highest of the three pairs",
                    _VOLTS,
                    "Between terminals 1-2, 2-3 and 3-1, load on. These terminals are live.",
                    unit="V",
                ),
                _row(
                    "line_lowest",
                    "9  A.c. volts, lowest of the three pairs",
                    _VOLTS,
                    "Much lower: a phase, diode or joint is open.",
                    "expect_lowest",
                    "band_lowest",
                    "V",
                ),
            ),
            wrap=("B", "I"),
            key="test_day_a",
            how=_AS_BELOW,
        ),
        Heading("Load B: add a heavy load or the dump load, so that the volts fall"),
        Table(
            _HEADS,
            (
                _row(
                    "volts_b",
                    "10  D.c. volts at load B",
                    _VOLTS,
                    "Any other voltage, the further from load A the better. It tells a weak jet from drag, and a "
                    "controller that limits.",
                    unit="V",
                    **_B_READ,
                ),
                _healthy("speed_b", "11  Speed at load B", n.SPEED, "rpm", "0", "As at load A.", **_B_READ),
                _healthy(
                    "rectifier_b",
                    "12  D.c. volts at the rectifier, load B",
                    _VOLTS,
                    "V",
                    "0.0",
                    "As at load A.",
                    **_B_READ,
                ),
                _healthy(
                    "amps_b",
                    "13  D.c. amperes at load B",
                    _AMPS,
                    "A",
                    "0.00",
                    "Right here but low at load A: battery full, or a controller limits.",
                    **_B_READ,
                ),
            ),
            wrap=("B", "I"),
            key="test_day_b",
            how=_AS_BELOW,
        ),
        Heading("With the valve shut and the wheel at rest"),
        Table(
            _HEADS,
            (
                _row(
                    "open_speed",
                    "14  Turned by a drill, or by a trickle: speed",
                    n.SPEED,
                    "Nothing connected after the rectifier. Keep it slow: open volts are dangerous at speed (see "
                    "Alternator and battery). Read it with the speed counter: a speed that is a guess spoils step 15.",
                    unit="rpm",
                    digits="0",
                ),
                _row(
                    "open_volts",
                    "15  D.c. volts while it is turned so (at 1000 rpm, if no speed is given)",
                    _VOLTS,
                    "Lower: a phase or diode open, star and delta mistaken, or weak magnets. The slower, the less it "
                    "says: two diodes keep back up to a volt and more.",
                    "expect_open",
                    "band_open",
                    "V",
                ),
                _healthy(
                    "nozzle",
                    "16  Nozzle fitted, measured",
                    n.NOZZLE,
                    "mm",
                    "0.00",
                    "Larger: worn, or the wrong bit. Measure with a drill shank, pressure off. How good that is: sheet "
                    "Limits.",
                ),
            ),
            wrap=("B", "I"),
            key="test_day_rest",
            how={
                "C": (
                    "in all four tables, of a plant as planned, from the sheets Diagnosis (HYDRO_DIAGNOSIS) and "
                    "Alternator and battery"
                ),
                "E:F": (
                    "two standard deviations off (sheet Limits), of ordinary builds and of the meters below together"
                ),
            },
        ),
        Result(
            "reading_watts",
            "Watts from your readings",
            "W",
            '=IF(AND(ISNUMBER(reading_volts),ISNUMBER(reading_amps)),reading_volts*reading_amps,"")',
            "Volts x amperes at load A.",
            digits="0.0",
        ),
        Result(
            "reading_flow",
            "Flow from your readings",
            "L/s",
            '=IF(ISNUMBER(reading_seconds),bucket_volume/reading_seconds,"")',
            "Bucket over seconds.",
            digits="0.000",
        ),
        _line(
            "reading_constant",
            "Open d.c. volts per 1000 rpm",
            "V/krpm",
            'IF(AND(ISNUMBER(reading_open_volts),N(reading_open_speed)>0),1000*reading_open_volts/reading_open_speed,"")',
            "From steps 14 and 15.",
        ),
        _line(
            "reading_balance",
            "Lowest over highest line volts",
            "-",
            "IF(AND(ISNUMBER(reading_line_lowest),N(reading_line_highest)>0),"
            'MIN(1,reading_line_lowest/reading_line_highest),"")',
            "From steps 8 and 9.",
            "0.000",
        ),
        Heading("How good the meters are"),
        *(
            Input(f"meter_{name}", label, _SHARE.with_(name=f"meter_{name}"), default, digits="0.0", note=note)
            for name, label, default, note in (
                ("gauge", "Gauge, standard uncertainty", 1.5, "Class 1.6 to 2.5; never taken as better than 0.03 bar."),
                ("bucket", "Bucket and stopwatch", 3.0, "Weigh the bucket once: many hold less than they say."),
                ("speed", "Speed counter", 1.0, "Optical counter, or frequency over pole pairs."),
                ("volts", "Voltmeter", 1.0, "Never taken as better than 0.05 V."),
                ("amps", "Ammeter", 2.5, "Clamp meter, zeroed; never taken as better than 0.05 A."),
            )
        ),
        Words("From and to are two standard deviations off what is expected: 95 of 100 healthy plants read inside."),
        Words(
            "They follow from these meters and the ordinary scatter of building: head 1 %, alignment 0.03, drags 25 "
            f"%. {PRACTICE}"
        ),
        Heading("Workings of the steps above"),
        _line("expect_seconds", "Seconds expected, step 3", "s", 'IF(N(bucket_volume)>0,bucket_volume/expect_flow,"")'),
        _line(
            "low_seconds",
            "Seconds at the highest flow of a healthy plant",
            "s",
            'IF(expect_seconds="","",bucket_volume/high_flow)',
        ),
        _line(
            "high_seconds",
            "Seconds at the lowest flow of a healthy plant",
            "s",
            'IF(OR(expect_seconds="",low_flow=0),"",bucket_volume/low_flow)',
            "Empty: no flow at all is still ordinary.",
        ),
        *(
            Result(f"{end}_{name}", f"{label}, {words}", unit, formula, "Standard deviations: sheet Limits.")
            for name, label, unit in (
                ("static", "Gauge, valve shut", "bar"),
                ("running", "Gauge, running", "bar"),
                ("flow", "Flow", "L/s"),
            )
            for end, words, formula in (
                ("low", "from", f"=MAX(0,expect_{name}-day_band*band_{name})"),
                ("high", "to", f"=expect_{name}+day_band*band_{name}"),
            )
        ),
        _line(
            "band_volts",
            "One standard deviation, step 4",
            "V",
            "load_volts*SQRT(battery_scatter^2+meter_volts^2)/100",
            "Of the battery and the meter.",
        ),
        _line(
            "expect_lowest",
            "Volts expected, step 9",
            "V",
            'IF(ISNUMBER(reading_line_highest),expect_phase_balance*reading_line_highest,"")',
            "Of the highest that was read.",
        ),
        _line(
            "band_lowest",
            "One standard deviation, step 9",
            "V",
            'IF(ISNUMBER(expect_lowest),expect_lowest*SQRT(scatter_phase_balance^2+(meter_volts/100)^2),"")',
            "Of the windings and the meter.",
        ),
        _line(
            "expect_open",
            "Volts expected, step 15",
            "V",
            "expect_open_constant*IF(ISNUMBER(reading_open_speed),reading_open_speed/1000,1)",
            "At the speed of step 14.",
        ),
        _line(
            "band_open",
            "One standard deviation, step 15",
            "V",
            "SQRT((expect_open*scatter_open_constant/expect_open_constant)^2+(expect_open*meter_volts/100)^2"
            "+(expect_open*meter_speed/100)^2+least_volts^2)",
            "Of the winding and the diodes, the voltmeter and the speed counter.",
        ),
        *(
            Result(
                name,
                label,
                unit,
                f'=IF(AND(state_gauge_range="yours",state_gauge_class="yours"),{by_class},{otherwise})',
                "By its class and full scale (sheet Site) where both are given: as likely anywhere inside, so over the "
                "root of 3 (JCGM 100:2008, 4.3.7).",
                "0.000",
            )
            for name, label, unit, by_class, otherwise in (
                ("gauge_share", "Gauge, standard uncertainty, share of the reading", "%", "0", "meter_gauge"),
                (
                    "gauge_off",
                    "Gauge, standard uncertainty besides",
                    "bar",
                    "gauge_class/100*gauge_range/SQRT(3)",
                    "least_gauge",
                ),
            )
        ),
        *(
            Result(
                f"answer_{name}",
                f"{label} (1 yes, 0 no)",
                "-",
                f'=IF(reading_{name}="yes",1,IF(reading_{name}="no",0,""))',
                "Of the looks above.",
                digits="0",
            )
            for name, label in (
                ("overflow", "Water runs over at the intake"),
                ("screen", "Screen of the intake is clean"),
            )
        ),
        _line(
            "least_constant",
            "Open volts per 1000 rpm may be off, even near zero, by",
            "V/krpm",
            "IF(N(reading_open_speed)>0,1000*least_volts/reading_open_speed,0)",
            "What the voltmeter may be off by, at that speed: the slower, the more.",
        ),
        _line(
            "meter_balance",
            "Two readings of one voltmeter",
            "%",
            "SQRT(2)*meter_volts",
            "Its errors are taken as independent.",
        ),
    ),
    widths=(3, 36, 11, 7, 10, 10, 12, 14, 62),
    heads=("",) * 9,
)
