"""Test day: what each instrument should read, in the order one reads them."""

from ...catalogue import nomenclature as n
from ...registry import Argument
from ..expression import all_of, column, is_number, no, when
from ..model import Formula, Heading, Input, Page, Result, Table, Words
from .common import PRACTICE

_VOLTS = Argument("volts", "V", "Reading of the voltmeter.", "[0, 2000]")
_AMPS = Argument("amps", "A", "Reading of the ammeter.", "[0, 2000]")
_GAUGE = Argument("gauge", "bar", "Reading of the gauge.", "[0, 200]")
_SECONDS = Argument("seconds", "s", "Stopwatch.", "(0, 3600]")
_SHARE = Argument(
    "share", "%", "Standard uncertainty, of the reading: two thirds of readings are nearer the truth.", "(0, 50]"
)
# What a meter may be off by even near zero, in its unit. Common practice, no published source.
LEAST = {"gauge": 0.03, "bucket": 0, "speed": 1, "volts": 0.05, "amps": 0.05}
BATTERY_SCATTER = 0.03  # of its volts over states of charge, as in hydrofunc.physics.diagnosis


def meter_uncertainty(value: str, meter: str) -> str:
    """Standard uncertainty of a reading, as a formula."""
    return f"SQRT(({value}*meter_{meter}/100)^2+{LEAST[meter]}^2)"


def nozzle_uncertainty(opening: str) -> str:
    """Standard uncertainty of a nozzle's opening by drill shank or calliper, as a formula.

    Common practice, no published source.
    """
    return f"MAX(0.01*{opening},0.05)"


_FROM, _TO, _READING = column("E", "low"), column("F", "high"), column("G", "reading")
JUDGEMENT = when(
    (no(all_of(is_number(_READING), is_number(_FROM))), ""),
    (_READING < _FROM, "lower"),
    (_READING > _TO, "higher"),
    otherwise="as expected",
)


def _row(name, label, argument, expected, unit, band, digits, why):
    """A step. `band`: standard deviation of what a healthy plant reads, as a formula; or the two ends, or none."""
    if band is None:
        ends = '=""', '=""'
    elif isinstance(band, tuple):
        ends = tuple(f'=IF(ISNUMBER(C{{row}}),{end},"")' for end in band)
    else:
        ends = tuple(f'=IF(ISNUMBER(C{{row}}),MAX(0,C{{row}}{sign}2*{band}),"")' for sign in "-+")
    return (
        label,
        Formula(f"={expected}", digits),
        unit,
        Formula(ends[0], digits),
        Formula(ends[1], digits),
        Input(
            f"reading_{name}", f"Reading: {label}", argument.with_(name=f"reading_{name}"), optional=True, digits=digits
        ),
        Formula(f"={JUDGEMENT}"),
        why,
    )


def _healthy(name, label, argument, unit, meter, digits, why, load_b=False):
    """A step whose expectation and scatter stand on the sheet Diagnosis."""
    expected = f"expect_{name}"
    if load_b:
        expected = f'IF(ISNUMBER(reading_volts_b),{expected},"")'
    band = f"SQRT(scatter_{name}^2+{meter_uncertainty('C{row}', meter)}^2)"
    given = {"speed_a": "speed", "rectifier_a": "rectifier", "amps_a": "amps"}.get(name, name)
    return _row(given, label, argument, expected, unit, band, digits, why)


_AS_BELOW = {"C:F": ""}  # said under the last of the four tables
_HEADS = ("step", "expect", "unit", "from", "to", "reading", "it is", "if it is not as expected")
_FLOW_BAND = "SQRT(scatter_flow^2+(expect_flow*meter_bucket/100)^2)"
_OPEN_BAND = "C{row}*SQRT((scatter_open_constant/expect_open_constant)^2+(2*meter_volts/100)^2)"
_BATTERY_BAND = f"C{{row}}*SQRT({BATTERY_SCATTER}^2+(meter_volts/100)^2)"

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
                    "gauge",
                    "0.00",
                    (
                        "Lower: air in the pipe, the intake not full, or less head than surveyed. Vent high points, "
                        "wait, try a second gauge."
                    ),
                ),
                _healthy(
                    "running",
                    "2  Valve opened slowly: gauge, running",
                    _GAUGE,
                    "bar",
                    "gauge",
                    "0.00",
                    (
                        "Lower, with less flow: pipe rough, blocked or with air. Lower, with more flow: nozzle worn. "
                        "Higher, with less flow: nozzle blocked."
                    ),
                ),
                _row(
                    "seconds",
                    "3  Bucket below the wheel fills in",
                    _SECONDS,
                    'IF(ISNUMBER(bucket_volume),bucket_volume/expect_flow,"")',
                    "s",
                    (
                        f"bucket_volume/(expect_flow+2*{_FLOW_BAND})",
                        f"bucket_volume/MAX(0.000001,expect_flow-2*{_FLOW_BAND})",
                    ),
                    "0.0",
                    "Longer: less flow than planned. All the water must go into the bucket. Mean of three.",
                ),
            ),
            wrap=("B", "I"),
            key="test_day_water",
            how=_AS_BELOW,
        ),
        Heading("Load A, the ordinary one"),
        Table(
            _HEADS,
            (
                _row(
                    "volts",
                    "4  D.c. volts at the battery or load (with a controller: at its input)",
                    _VOLTS,
                    "load_volts",
                    "V",
                    _BATTERY_BAND,
                    "0.0",
                    (
                        "Set by the battery: higher when full, lower when empty. What is expected below goes by this "
                        "reading."
                    ),
                ),
                _healthy(
                    "speed_a",
                    "5  Speed",
                    n.SPEED,
                    "rpm",
                    "speed",
                    "0",
                    (
                        "Higher: a phase or diode open, star for delta, or the battery takes no more. Lower: jet off "
                        "the cups, drag, water under the wheel."
                    ),
                ),
                _healthy(
                    "rectifier_a",
                    "6  D.c. volts at the rectifier",
                    _VOLTS,
                    "V",
                    "volts",
                    "0.0",
                    (
                        "Higher, with less current: thin cable or a bad joint. Feel for warm joints with the load "
                        "OFF and the wheel stopped."
                    ),
                ),
                _healthy(
                    "amps_a",
                    "7  D.c. amperes",
                    _AMPS,
                    "A",
                    "amps",
                    "0.00",
                    "The sum of everything. With water and volts right and amperes low: alignment of the jet first.",
                ),
                _row(
                    "line_highest",
                    "8  A.c. volts, highest of the three pairs",
                    _VOLTS,
                    '""',
                    "V",
                    None,
                    "0.0",
                    "Between terminals 1-2, 2-3 and 3-1, load on. These terminals are live.",
                ),
                _row(
                    "line_lowest",
                    "9  A.c. volts, lowest of the three pairs",
                    _VOLTS,
                    'IF(ISNUMBER(reading_line_highest),expect_phase_balance*reading_line_highest,"")',
                    "V",
                    "C{row}*SQRT(scatter_phase_balance^2+(meter_volts/100)^2)",
                    "0.0",
                    "Much lower: a phase, diode or joint is open.",
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
                    "10  D.c. volts there",
                    _VOLTS,
                    '""',
                    "V",
                    None,
                    "0.0",
                    (
                        "Any other voltage, the further from load A the better. It tells a weak jet from drag, and a "
                        "controller that limits."
                    ),
                ),
                _healthy("speed_b", "11  Speed", n.SPEED, "rpm", "speed", "0", "As at load A.", True),
                _healthy(
                    "rectifier_b", "12  D.c. volts at the rectifier", _VOLTS, "V", "volts", "0.0", "As at load A.", True
                ),
                _healthy(
                    "amps_b",
                    "13  D.c. amperes",
                    _AMPS,
                    "A",
                    "amps",
                    "0.00",
                    "Right here but low at load A: battery full, or a controller limits.",
                    True,
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
                    '""',
                    "rpm",
                    None,
                    "0",
                    (
                        "Nothing connected after the rectifier. Keep it slow: open volts are dangerous at speed (see "
                        "Alternator and battery)."
                    ),
                ),
                _row(
                    "open_volts",
                    "15  D.c. volts then (at 1000 rpm, if no speed is given)",
                    _VOLTS,
                    "expect_open_constant*IF(ISNUMBER(reading_open_speed),reading_open_speed,1000)/1000",
                    "V",
                    _OPEN_BAND,
                    "0.0",
                    "Lower: a phase or diode open, star and delta mistaken, or weak magnets.",
                ),
                _row(
                    "nozzle",
                    "16  Nozzle fitted, measured",
                    n.NOZZLE,
                    "expect_nozzle",
                    "mm",
                    f"SQRT(scatter_nozzle^2+{nozzle_uncertainty('C{row}')}^2)",
                    "0.00",
                    "Larger: worn, or the wrong bit. Measure with a drill shank, pressure off. "
                    f"Taken as good to 1 %, never better than 0.05 mm. {PRACTICE}",
                ),
            ),
            wrap=("B", "I"),
            key="test_day_rest",
            how={
                "C": (
                    "in all four tables, of a plant as planned, from the sheets Diagnosis (HYDRO_EXPECTED_READING) "
                    "and Alternator and battery"
                ),
                "E:F": (
                    "two standard deviations off, of ordinary builds (HYDRO_EXPECTED_SPREAD) and of the meters below "
                    "together"
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
        Heading("How good the meters are"),
        *(
            Input(f"meter_{name}", label, _SHARE.with_(name=f"meter_{name}"), default, digits="0.0", note=note)
            for name, label, default, note in (
                ("gauge", "Gauge, standard uncertainty", 1.5, "Class 1.6 to 2.5; never taken as better than 0.03 bar."),
                ("bucket", "Bucket and stopwatch", 3.0, "Weigh the bucket once: many hold less than they say."),
                ("speed", "Speed", 1.0, "Optical counter, or frequency over pole pairs."),
                ("volts", "Volts", 1.0, "Never taken as better than 0.05 V."),
                ("amps", "Amperes", 2.5, "Clamp meter, zeroed; never taken as better than 0.05 A."),
            )
        ),
        Words("From and to are two standard deviations off what is expected: 95 of 100 healthy plants read inside."),
        Words(
            "They follow from these meters and the ordinary scatter of building: head 1 %, alignment 0.03, drags 25 "
            f"%. {PRACTICE}"
        ),
    ),
    widths=(3, 36, 11, 7, 10, 10, 12, 14, 62),
    heads=("",) * 9,
)
