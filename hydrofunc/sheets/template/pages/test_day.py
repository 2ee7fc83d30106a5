"""Test day: what each instrument should read."""

from ....catalogue import nomenclature as n
from ....registry import Argument
from ..chain import call
from ..model import Formula, Input, Page, Result, Table, Words


def _reading(name, label, argument, expected, unit, band, digits, why):
    judgement = ('=IF(ISNUMBER(G{row}),IF(G{row}<E{row},"lower",IF(G{row}>F{row},"higher","as expected")),"")')
    return (
        label,
        Formula(expected, digits),
        unit,
        Formula(f"=C{{row}}*{1 - band / 100:g}", digits),
        Formula(f"=C{{row}}*{1 + band / 100:g}", digits),
        Input(f"reading_{name}", f"Reading: {label}", argument.with_(name=f"reading_{name}"), optional=True, digits=digits),
        Formula(judgement),
        why,
    )


_VOLTS = Argument("volts", "V", "Reading of the voltmeter.", "[0, 2000]")
_AMPS = Argument("amps", "A", "Reading of the ammeter.", "[0, 2000]")
_GAUGE = Argument("gauge", "bar", "Reading of the gauge.", "[0, 200]")

PAGE = Page(
    "Test day",
    "In the order one does it: what each instrument should read, and the band in which it is still well. Print it.",
    (
        Words("Before: guard on the wheel, battery fused and ventilated, load connected FIRST, then open the valve slowly. Eye protection. "
              "Never disconnect the load while the wheel turns.", caution=True),
        Table(
            ("step", "expect", "unit", "from", "to", "reading", "it is", "if it is not as expected"),
            (
                _reading("static", "1  Gauge, valve shut, no bubbles", _GAUGE,
                         "=" + call("static_pressure", head="MAX(0,gross_head-gauge_height)"), "bar", 3, "0.00",
                         "Lower: air in the pipe, or the intake is not full. Wait, vent high points, try a second gauge."),
                _reading("running", "2  Gauge before the nozzle, running", _GAUGE, "=running_pressure", "bar", 8, "0.00",
                         "Lower, with less flow: pipe rough or blocked. Lower, with more flow: nozzle worn or too large. Higher: nozzle blocked."),
                _reading("seconds", "3  Bucket below the wheel fills in", Argument("seconds", "s", "Stopwatch.", "(0, 3600]"),
                         "=bucket_volume/flow", "s", 8, "0.0", "Longer: less flow than planned. Mean of three."),
                _reading("speed", "4  Speed under load", n.SPEED, "=speed", "rpm", 6, "0",
                         "Higher: a phase or diode open, or the battery takes no more. Lower: jet off the cups, drag, or water under the wheel."),
                _reading("rectifier", "5  D.c. volts at the rectifier", _VOLTS, "=rectifier_volts", "V", 4, "0.0",
                         "Higher, with less current: thin cable or a bad joint."),
                _reading("volts", "6  D.c. volts at the battery", _VOLTS, "=load_volts", "V", 4, "0.0",
                         "Set by the battery: higher when full, lower when empty. Put the true value on the sheet before."),
                _reading("amps", "7  D.c. amperes", _AMPS, "=current", "A", 12, "0.00",
                         "The sum of everything. With volts and speed right and amperes low: alignment of the jet first."),
            ),
            wrap=("B", "I"),
            key="test_day",
        ),
        Result("reading_watts", "Watts from your readings", "W",
               '=IF(AND(ISNUMBER(reading_volts),ISNUMBER(reading_amps)),reading_volts*reading_amps,"")', digits="0.0"),
        Result("reading_flow", "Flow from your readings", "L/s",
               '=IF(ISNUMBER(reading_seconds),bucket_volume/reading_seconds,"")', digits="0.000"),
        Words("Bands are those of cheap meters and hand-set jets: common practice, no published source."),
    ),
    widths=(3, 36, 11, 7, 10, 10, 12, 14, 64),
    heads=("",) * 9,
)
