"""Doubt: what is not known well, how far the watts may be off, and which nozzle is best all the same.

The live band follows JCGM 100:2008, Guide to the expression of uncertainty in measurement, 5.1.2 (equation 10) and
5.1.3 note 2 (clauses from memory, not looked up). `UNCERTAIN` lists the quantities in doubt. A row's last cell holds
the names of the cells that a draw overrides, so that `hydrofunc doubt` needs nothing but the sheet: one cell gets what
is drawn; several, where ± is in %, all change by the same share.
"""

from dataclasses import dataclass

from ...catalogue import nomenclature as n
from ...registry import Argument
from ..chain import WIRED
from ..model import Formula, Heading, Input, Page, Result, Space, Table, Words, Written
from .as_tested import section_roughness
from .common import PRACTICE, check
from .what_pays import BASIS, on_basis

KINDS = ("normal", "rectangular", "lognormal")
SOURCE_FLOW = n.AVAILABLE_FLOW.with_(name="source_flow")
SIZES = 12
# What `hydrofunc doubt` writes, in the order of the block `drawn`.
DRAWN = (
    ("Number of draws", "-", "0"),
    ("Seed", "-", "0"),
    ("Draws left out, as they gave no number", "-", "0"),
    ("Watts at the guess, when drawn", "W", "0.0"),
    ("Standard uncertainty, when drawn", "W", "0.0"),
    ("Watts of all nozzles at hand together, when drawn", "W", "0.0"),
    ("Mean", "W", "0.0"),
    ("Median: as likely more as less", "W", "0.0"),
    ("95 % band: from", "W", "0.0"),
    ("95 % band: to", "W", "0.0"),
)


@dataclass(frozen=True)
class Doubtful:
    """A quantity in doubt: the argument of the chain it feeds, its label and its usual range."""

    argument: Argument
    label: str
    width: float | None  # half of the range; None: taken as certain
    percent: bool  # of the value; else in its unit
    kind: str
    digits: str = "0.00"
    alike: tuple = ()  # names of cells that change by the same share

    @property
    def key(self) -> str:
        """Name of the argument it feeds."""
        return self.argument.name

    @property
    def value(self) -> str:
        """What stands for the quantity in a formula."""
        return BASIS.get(self.key, WIRED.get(self.key, self.key))

    @property
    def cells(self) -> str:
        """Names of the cells a draw overrides.

        The quantity as designed; if it differs, that of the machine that is judged; those `alike`.
        """
        return " ".join(dict.fromkeys((WIRED.get(self.key, self.key), self.value, *self.alike)))

    def fed(self, cell: str) -> dict[str, str]:
        """How a cell that holds the quantity feeds the chain."""
        if self.key == "source_flow":
            return {"available_flow": f"{cell}*(1-left_in_stream/100)"}
        if self.key == "roughness":
            return {
                "roughness": cell,
                "roughness_2": section_roughness(2, cell),
                "roughness_3": section_roughness(3, cell),
            }
        return {self.key: cell}


UNCERTAIN = (
    Doubtful(n.GROSS_HEAD, "Gross head", 2.0, True, "normal"),
    Doubtful(SOURCE_FLOW, "Flow of the source", 10.0, True, "normal", "0.000"),
    Doubtful(n.LENGTH, "Length of the main pipe", 3.0, True, "normal", "0"),
    Doubtful(n.BORE, "Bore of the main pipe", 2.0, True, "normal", "0.0"),
    Doubtful(
        n.ROUGHNESS,
        "Roughness of the pipe, all sections",
        100.0,
        True,
        "lognormal",
        "0.000",
        ("roughness_2", "roughness_3"),
    ),
    Doubtful(n.FITTINGS, "Sum of K of the fittings", 50.0, True, "lognormal"),
    Doubtful(n.NOZZLE, "Opening of the nozzle fitted", 1.0, True, "normal", "0.0"),
    Doubtful(n.VELOCITY_COEFFICIENT, "Velocity coefficient of the nozzle", 0.02, False, "rectangular", "0.000"),
    Doubtful(n.CONTRACTION, "Contraction of the jet", None, False, "rectangular"),
    Doubtful(n.PITCH_DIAMETER, "Pitch circle", 1.0, True, "normal", "0"),
    Doubtful(n.CUP_FRICTION, "Velocity kept along the cup", 0.05, False, "rectangular"),
    Doubtful(n.ALIGNMENT, "Alignment of the jet", 0.05, False, "rectangular"),
    Doubtful(n.BEARING_DRAG, "Drag of bearings and seals", 50.0, True, "lognormal", "0.000"),
    Doubtful(n.WINDAGE, "Churning of air and spray", 100.0, True, "lognormal"),
    Doubtful(n.IRON_DRAG, "Drag of the iron", 50.0, True, "lognormal", "0.000"),
    Doubtful(n.PHASE_VOLTS, "Volts of one phase per 1000 rpm", 2.0, True, "normal"),
    Doubtful(n.PHASE_RESISTANCE, "Resistance of one phase", 10.0, True, "rectangular", "0.000"),
    Doubtful(n.PHASE_INDUCTANCE, "Inductance of one phase", 30.0, True, "normal", "0.000"),
    Doubtful(n.DIODE_DROP, "Drop of one diode", 0.1, False, "rectangular"),
    Doubtful(n.CABLE_RESISTANCE, "Cable, out and back", 10.0, True, "rectangular", "0.0000"),
    Doubtful(
        n.BATTERY_VOLTS.with_(within="(0, 1000]"), "Battery volts while charging", 3.0, True, "rectangular", "0.0"
    ),
    Doubtful(n.LOAD_RESISTANCE, "Resistor load", 5.0, True, "normal"),
    Doubtful(n.CONTROLLER_EFFICIENCY, "Efficiency of the controller", 0.03, False, "rectangular"),
    Doubtful(n.TEMPERATURE, "Water temperature", 3.0, False, "rectangular", "0.0"),
)
_OPTIONAL = ("battery_volts", "load_resistance")


def _row(doubtful):
    low, high, low_in, _ = doubtful.argument.bounds
    least = f"{low:g}" if low_in else "C{row}/1000"
    width = "C{row}*E{row}/100" if doubtful.percent else "E{row}"
    ratio = f"(1+{width}/C{{row}})^(1/1.96)"  # of one standard deviation of the logarithm
    unit = doubtful.argument.unit
    value = f'IF(ISNUMBER({doubtful.value}),{doubtful.value},"")' if doubtful.key in _OPTIONAL else doubtful.value
    argument = Argument(
        f"doubt_{doubtful.key}", "%" if doubtful.percent else doubtful.argument.unit, "Half of the range.", "[0, 1000]"
    )
    kind = Argument(f"kind_{doubtful.key}", "text", "How the values are spread.", choices=KINDS)

    def watts(cell):
        return on_basis("power_ledger", ledger_line='"battery"', **doubtful.fed(cell))

    return (
        doubtful.label,
        Formula("=" + value, doubtful.digits),
        unit,
        Input(
            argument.name,
            f"Doubt: {doubtful.label}",
            argument,
            doubtful.width,
            optional=True,
            digits="General",
            note="Empty or 0: taken as certain.",
        ),
        "%" if doubtful.percent else unit,
        Input(
            kind.name,
            f"Spread: {doubtful.label}",
            kind,
            doubtful.kind,
            note=(
                "Normal: 95 % lie within ±. Rectangular: all do. Lognormal: 95 % between value / f and value x f, f "
                "= 1 + ±/value."
            ),
        ),
        Formula(
            f'=IF(AND(ISNUMBER(C{{row}}),N(E{{row}})>0),IF(G{{row}}="lognormal",IF(C{{row}}>0,C{{row}}*({ratio}-1/{ratio})/2,0),'
            f'IF(G{{row}}="rectangular",{width}/SQRT(3),{width}/1.96)),0)',
            "0.00" if doubtful.digits == "0" else doubtful.digits + "0",
        ),
        Formula(
            f'=IF(H{{row}}>0,MAX({least},IF(G{{row}}="lognormal",C{{row}}/{ratio},C{{row}}-H{{row}})),C{{row}})',
            doubtful.digits,
        ),
        Formula(
            f'=IF(H{{row}}>0,MIN({high:g},IF(G{{row}}="lognormal",C{{row}}*{ratio},C{{row}}+H{{row}})),C{{row}})',
            doubtful.digits,
        ),
        Formula("=IF(H{row}>0," + watts("I{row}") + ',"")', "0.0"),
        Formula("=IF(H{row}>0," + watts("J{row}") + ',"")', "0.0"),
        Formula("=IF(H{row}>0,(L{row}-K{row})/(J{row}-I{row}),0)", "0.00"),
        Formula("=M{row}*H{row}", "+0.0;-0.0;0.0"),
        Formula("=IF(doubt_uncertainty>0,100*(N{row}/doubt_uncertainty)^2,0)", "0.0"),
        Written("0.00"),
        Written("0.0"),
        doubtful.cells,
    )


def _size(i):
    size = f"nozzle_size_{i}"
    watts = on_basis("power_ledger", ledger_line='"battery"', nozzle="C{row}")
    return (
        f"size {i}",
        Formula(f'=IF(ISNUMBER({size}),{size},"")', "0.0"),
        Formula(f'=IF(ISNUMBER(C{{row}}),IF(C{{row}}<=outlet_bore,{watts},""),"")', "0.0"),
        Written("0.0"),
        Written("0.0"),
        Written("0.0"),
        Written("0.0"),
    )


_NONE = '"no draws yet"'
PAGE = Page(
    "Doubt",
    "What is not known well, how far the watts at the battery may be off, and which nozzle to choose all the same.",
    (
        Heading("In short"),
        Result(
            "doubt_watts",
            "Watts into the battery, the guess",
            "W",
            "=" + on_basis("power_ledger", ledger_line='"battery"'),
            digits="0.0",
            strong=True,
        ),
        Result(
            "doubt_uncertainty",
            "Combined standard uncertainty",
            "W",
            "=SQRT(SUMPRODUCT(doubt_parts,doubt_parts))",
            digits="0.0",
        ),
        Result(
            "doubt_low",
            "95 % band, worked out line by line: from",
            "W",
            "=MAX(0,doubt_watts-1.96*doubt_uncertainty)",
            digits="0.0",
        ),
        Result("doubt_high", "to", "W", "=doubt_watts+1.96*doubt_uncertainty", digits="0.0"),
        Result(
            "doubt_most",
            "What matters most: measure this first",
            "",
            "=IF(doubt_uncertainty>0,INDEX(doubt_labels,"
            'MATCH(MAX(doubt_shares),doubt_shares,0))&", "&ROUND(MAX(doubt_shares),0)&" % of the doubt","nothing: all '
            'is taken as certain")',
            digits="General",
            strong=True,
        ),
        Result(
            "draws_state",
            "The draws",
            "",
            '=IF(COUNT(drawn)=0,"no draws yet: hydrofunc doubt '
            'BOOK.xlsx",IF(AND(ABS(INDEX(drawn,4)-doubt_watts)<=0.000001*MAX(1,doubt_watts),'
            "ABS(INDEX(drawn,5)-doubt_uncertainty)<=0.000001*MAX(1,doubt_uncertainty),ABS(INDEX(drawn,6)-SUM(hand_watts))<="
            '0.000001*MAX(1,SUM(hand_watts))),"good: they belong to these inputs","look: run again, inputs have '
            'changed since"))',
            digits="General",
        ),
        Result(
            "guess_nozzle",
            "Best nozzle at hand, by the guess",
            "mm",
            '=IF(COUNT(hand_watts)=0,"none",INDEX(hand_sizes,MATCH(MAX(hand_watts),hand_watts,0)))',
            "Of the sizes below.",
            digits="0.0",
            strong=True,
        ),
        Result(
            "drawn_nozzle",
            "Best nozzle at hand, on average of the draws",
            "mm",
            f"=IF(COUNT(drawn_mean)=0,{_NONE},INDEX(hand_sizes,MATCH(MAX(drawn_mean),drawn_mean,0)))",
            "Of the sizes below, by the mean.",
            digits="0.0",
            strong=True,
        ),
        Result(
            "guess_chance",
            "Chance that the guess is the best nozzle",
            "%",
            f"=IF(COUNT(drawn_best)=0,{_NONE},INDEX(drawn_best,MATCH(MAX(hand_watts),hand_watts,0)))",
            "Share of the draws in which it gives the most.",
            digits="0",
        ),
        Heading("What is in doubt: half of the range, and how the values are spread"),
        Table(
            (
                "quantity",
                "value",
                "unit",
                "±",
                "in",
                "spread",
                "standard uncertainty",
                "low",
                "high",
                "battery at low, W",
                "battery at high, W",
                "W per unit",
                "its part, W",
                "share, %",
                "draws: rank correl.",
                "draws: share, %",
                "cells drawn",
            ),
            tuple(_row(doubtful) for doubtful in UNCERTAIN),
            names={
                "doubt_labels": "B",
                "doubt_values": "C",
                "doubt_widths": "E",
                "doubt_width_units": "F",
                "doubt_kinds": "G",
                "doubt_parts": "N",
                "doubt_shares": "O",
                "drawn_correlation": "P",
                "drawn_share": "Q",
                "doubt_cells": "R",
            },
            key="doubt",
            wrap=("R",),
            how={
                "C": "from the sheets before, or as tested (sheet As tested)",
                "H": "from ± and spread, as said below",
                "I:J": "value less and plus one standard uncertainty",
                "M": "battery at high less at low, over high less low",
                "N": "W per unit x standard uncertainty",
                "O": "square of its part, of the sum of all squares",
                "P:Q": (
                    "written by hydrofunc doubt: rank correlation with the watts (Spearman), and its square's share "
                    "of all"
                ),
            },
        ),
        Words(
            "Normal: 95 of 100 values lie within ±. Rectangular: all do, each as likely. Lognormal: 95 of 100 lie "
            "between value / f and value x f, "
            "where f = 1 + ± / value. Low and high are one standard uncertainty off. Combined as JCGM 100:2008 (GUM) "
            "5.1.2 says, each by "
            "itself (5.1.3, note 2), band 1.96 standard uncertainties; this holds while the watts follow a straight "
            "line. The draws need no such "
            f"line. The ranges given here: {PRACTICE[0].lower()}{PRACTICE[1:]} Put in your own."
        ),
        Heading("Drawn at random: hydrofunc doubt BOOK.xlsx writes these numbers into a copy", new_page=True),
        Space("doubt_bars", 0, "J"),
        Table(
            ("what", "value", "unit"),
            tuple((label, Written(digits), unit) for label, unit, digits in DRAWN),
            names={"drawn": "C"},
            key="drawn",
            how={"C": "written by hydrofunc doubt"},
        ),
        Table(
            (
                "nozzle at hand",
                "opening, mm",
                "by the guess, W",
                "mean of draws, W",
                "5 % get less, W",
                "5 % get more, W",
                "is the best, % of draws",
            ),
            tuple(_size(i) for i in range(1, SIZES + 1)),
            names={
                "hand_sizes": "C",
                "hand_watts": "D",
                "drawn_mean": "E",
                "drawn_low": "F",
                "drawn_high": "G",
                "drawn_best": "H",
            },
            key="hand",
            how={"C": "sheet Nozzle", "E:H": "written by hydrofunc doubt, from the draws"},
        ),
        Space("doubt_nozzles", 18),
        Words(
            "The sizes at hand are taken as exact; how far your nozzle is off its size counts in the band above only."
        ),
        Words(
            "A band is about what you know, not about what can happen: a blocked nozzle or a broken pipe is in none. "
            "Do not size a fuse, a pipe or a "
            "controller by the middle of a band.",
            caution=True,
        ),
    ),
    widths=(3, 42, 10, 9, 9, 9, 12, 11, 8, 8, 9, 9, 8, 8, 8, 8, 8, 19),
    heads=("",) * 18,
    pages=0,
)
CHECKS = (
    check(
        "Doubt about the watts, of the guess",
        "=IF(doubt_watts>0,196*doubt_uncertainty/doubt_watts,0)",
        "%",
        30,
        100,
        f"Half of the 95 % band. Measure first what the sheet Doubt names as mattering most. {PRACTICE}",
    ),
)
