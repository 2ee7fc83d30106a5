"""Choices: what is proposed where nothing is chosen yet, so that the plant can be worked out all the same.

What is proposed is sought on the sheet Tried (`tried.py`). Here stand the answers and the limits of the search.
"""

from ..chain import call
from ..model import PASS, Formula, Heading, Page, Result, Table, Words
from .common import OWN_JUDGEMENT, PRACTICE, limit

LIMITS = (
    limit(
        "expected_share",
        "What arrives at the battery, of the power in the jet, before anything is chosen",
        50,
        "%",
        f"Wheel, alternator, rectifier and cable together. Only rules use it. {OWN_JUDGEMENT}",
        "(0, 100]",
    ),
    limit(
        "best_ratio",
        "Cup speed over jet velocity, for the pitch circle",
        0.46,
        "-",
        f"The losses of real cups move the best from 0.5 to about 0.46. {PRACTICE}",
        "[0.3, 0.6]",
    ),
    limit(
        "pitch_least",
        "Pitch circle over jet, at least",
        10,
        "-",
        f"10 to 14 is usual; with less, water misses the cups (sheet Checks). {PRACTICE}",
        "[5, 50]",
    ),
    limit(
        "pitch_most",
        "Pitch circle, at most",
        2000,
        "mm",
        f"No one builds a larger wheel alone. {OWN_JUDGEMENT}",
        "(0, 5000]",
    ),
    limit(
        "speed_most",
        "Speed of the wheel, at most",
        3000,
        "rpm",
        f"At runaway it is twice that: cups, magnets and bearings made by hand. {OWN_JUDGEMENT}",
        "(0, 20000]",
    ),
    limit(
        "speed_beyond",
        "Speeds are tried up to, of the highest at which the cups have their best speed",
        1.5,
        "-",
        f"Where the copper is poor a wheel that runs a little too fast gives more. {OWN_JUDGEMENT}",
        "[1, 2]",
    ),
    limit("speed_span", "Highest speed tried over the lowest", 15, "-", OWN_JUDGEMENT, "[2, 100]"),
    limit("nozzle_span", "Nozzles are tried up to, of the one of most jet power", 1.4, "-", OWN_JUDGEMENT, "(1, 2]"),
    limit("drill_step", "Drills come in steps of", 0.5, "mm", PRACTICE, "(0, 5]"),
    limit("fine_drill_step", "Small drills come in steps of", 0.1, "mm", PRACTICE, "(0, 5]"),
    limit(
        "fine_drills_to", "Drills are small up to", 13, "mm", f"As drills are sold one by one. {PRACTICE}", "[0, 50]"
    ),
    limit("volts_span", "Windings are tried up to, of the one that fits the speed", 2, "-", OWN_JUDGEMENT, "(1, 5]"),
    limit("pitch_span", "Pitch circles are tried up to, of the one of that speed", 1.25, "-", OWN_JUDGEMENT, "(1, 2]"),
    limit(
        "copper_share",
        "Heat in the windings of an alternator that will do, of what is expected to arrive",
        15,
        "%",
        f"At the speed of the next line: more resistance is too much. On the careful side. {OWN_JUDGEMENT}",
        "(0, 50]",
    ),
    limit(
        "copper_speed",
        "Speed at which that heat is judged, or the highest of the wheel if that is less",
        1000,
        "rpm",
        f"Alternators of a few hundred watts for direct drive are made for 500 to 1500 rpm. {OWN_JUDGEMENT}",
        "(0, 20000]",
    ),
    limit(
        "winding_ratio",
        "Inductance of a winding for each ohm of it",
        1.5,
        "mH",
        f"Windings in iron 1 to 2, without iron less. {OWN_JUDGEMENT}",
        "[0, 20]",
    ),
    limit(
        "bridge_pulses",
        "Volts that inductance takes, for each ampere, henry and hertz",
        6,
        "-",
        "A six-diode bridge: 3 w L p / pi = 6 f L (P. S. Bimbhra, Power Electronics, Ex. 6.28 p. 352).",
        "[1, 24]",
    ),
    limit("ohms_most", "Winding or cable that is tried, at most", 100, "Ω", OWN_JUDGEMENT, "(0, 1000]"),
    limit("volts_most", "Winding that is tried, at most", 500, "V/krpm", OWN_JUDGEMENT, "(0, 2000]"),
    limit(
        "least_share",
        "A speed counts as able to give at least, of the jet's power",
        1,
        "%",
        "So that every speed has a winding; what it truly gives is in its watts.",
        "(0, 10]",
    ),
    limit(
        "good_loss",
        "Winding stays good while it loses at most, of the best watts",
        5,
        "%",
        OWN_JUDGEMENT,
        "(0, 50]",
    ),
    limit(
        "tracker_ratio",
        "Volts before a maximum-power controller over those of its battery",
        2,
        "-",
        f"It steps down, and it must not run out of volts. {OWN_JUDGEMENT}",
        "[1, 10]",
    ),
    limit("cable_warm", "The cable is chosen at", 70, "°C", "The hottest PVC may get (IEC 60364-5-52).", "[0, 90]"),
    limit(
        "current_reserve",
        "The cable is chosen for a current of, of the one expected",
        1.25,
        "-",
        f"The finer steps can find some more. {OWN_JUDGEMENT}",
        "[1, 3]",
    ),
    limit(
        "fuse_largest",
        "Largest fuse of the series",
        1250,
        "A",
        "IEC 60269-1, from memory, not looked up.",
        "(0, 2000]",
    ),
    limit("thickest_cable", "Cable that one person lays, at most", 16, "mm²", OWN_JUDGEMENT, "(0, 120]"),
    limit(
        "nozzle_least",
        "Nozzle that is tried, at least",
        0.5,
        "mm",
        f"A smaller one is blocked by the first grain. {OWN_JUDGEMENT}",
        "(0, 10]",
    ),
    limit(
        "jet_least",
        "Velocity of the jet for which a wheel is proposed, at least",
        1,
        "m/s",
        "So that a dry source still has numbers for every choice; its watts are 0.",
        "(0, 10]",
    ),
    limit(
        "watts_least",
        "Power in the jet for which an alternator is proposed, at least",
        0.1,
        "W",
        "For the same reason.",
        "(0, 10]",
    ),
    limit("most_at_12", "Power into a 12 V battery, at most", 200, "W", f"15 A. {PRACTICE}", "(0, 100000]"),
    limit("most_at_24", "Power into a 24 V battery, at most", 800, "W", f"30 A. {PRACTICE}", "(0, 100000]"),
    limit(
        "most_at_48",
        "Power into a 48 V battery, at most",
        3000,
        "W",
        f"55 A. Above it 48 V is proposed all the same: there is no step above. {PRACTICE}",
        "(0, 100000]",
    ),
)


def _line(name, label, unit, formula, note="", digits="0.00", strong=False):
    return Result(name, label, unit, f"={formula}", note, digits, strong)


def where_best(column: str, watts: str) -> str:
    """The value of a column of tries where the watts are greatest, as worksheet text."""
    return f"INDEX({column},MATCH(MAX({watts}),{watts},0))"


def _winding(label, volts):
    return (
        label,
        Formula(f"={volts}", "0.00", guard=PASS),
        Formula("=C{row}/used_ratio", "0.00"),
        Formula("=copper_ratio*D{row}^2", "0.000"),
        Formula("=D{row}*delta_ratio", "0.00"),
    )


PAGE = Page(
    "Choices",
    "What is proposed where you have not chosen yet: nozzle, wheel, alternator, battery, cable, fuse, dump load.",
    (
        Words(
            "What you type on the sheets before and behind this one counts, and the rest is proposed so that it fits. "
            "How it is sought: sheet Tried. What limits it: sheet Limits."
        ),
        Heading("Nozzle"),
        _line(
            "recommended_nozzle",
            "Nozzle to drill: of the sizes at hand",
            "mm",
            f"IF(COUNT(hand_gives)=0,proposed_nozzle,{where_best('hand_openings', 'hand_gives')})",
            "Most watts into the battery (sheet Nozzle has the sizes); with none at hand the one made to measure.",
            "0.0",
            strong=True,
        ),
        _line(
            "recommended_loss",
            "The nozzle to drill loses, of the best possible",
            "%",
            "IF(best_watts>0,100*(1-recommended_watts/best_watts),0)",
            "Against the nozzle made to measure.",
            "0.0",
        ),
        _line(
            "proposed_nozzle",
            "Nozzle made to measure",
            "mm",
            where_best("nozzles_tried", "nozzle_watts"),
            "Most watts into the battery of all sizes, with the water there is.",
        ),
        Heading("Wheel"),
        _line(
            "proposed_pitch",
            "Pitch circle that gives most",
            "mm",
            where_best("pitches_tried", "pitch_watts"),
            "Most watts into the battery, with the winding below.",
            "0",
            strong=True,
        ),
        _line("proposed_speed", "Speed at which the wheel then settles", "rpm", "final_speed", digits="0"),
        Heading("Alternator"),
        _line(
            "proposed_phase_volts",
            "Winding that gives most, volts of one phase per 1,000 rpm",
            "V/krpm",
            where_best("volts_tried", "volts_watts"),
            "Most watts into the battery, joined as proposed, with the pitch circle that fits.",
            strong=True,
        ),
        _line(
            "proposed_volts_low",
            "The winding stays good from, one phase per 1,000 rpm",
            "V/krpm",
            "MIN(volts_good)",
            "Wound with the same copper; while the wheel is not cut its pitch circle follows. How good: sheet Limits.",
            strong=True,
        ),
        _line(
            "proposed_volts_high",
            "The winding stays good up to, one phase per 1,000 rpm",
            "V/krpm",
            "MAX(volts_good)",
            "As the line before.",
            strong=True,
        ),
        _line(
            "proposed_phase_resistance",
            "Resistance of one phase, at most",
            "Ω",
            "IF(ISNUMBER(fixed_ohms),fixed_ohms,copper_ratio*volts_used^2)",
            "For the volts that count. The plant is worked out with it: a better alternator gives more.",
            "0.000",
            strong=True,
        ),
        _line(
            "proposed_phase_inductance",
            "Inductance of one phase, about",
            "mH",
            "IF(ISNUMBER(fixed_henries),fixed_henries,winding_used*proposed_phase_resistance)",
            "A usual one for that resistance (sheet Limits).",
            "0.000",
        ),
        _line(
            "proposed_connection",
            "Windings joined in",
            "",
            'IF(AND(joinings<>"star",delta_gain>0),"delta","star")',
            "A known winding: the way that gives more. Else star; in delta the same copper needs 1.73 times the volts.",
            "General",
        ),
        Table(
            ("windings that will do", "as joined, V/krpm", "star, V/krpm", "star, Ω at most", "delta, V/krpm"),
            (
                _winding("fewest volts", "proposed_volts_low"),
                _winding("best", "proposed_phase_volts"),
                _winding("most volts", "proposed_volts_high"),
            ),
            key="windings",
            how={
                "C": "the lines above",
                "E": "ohms go with the square of the volts (sheet Tried)",
                "F": "1.73 times as many; then three times the ohms will do",
            },
        ),
        Heading("Battery, cable, fuse, dump load: by rules"),
        _line(
            "proposed_battery_volts",
            "Battery volts while charging",
            "V",
            "IF(named_bank>0,named_bank,rule_bank)",
            "By the battery's name; else the lowest for which power and cable stay within the limits.",
            "0.0",
            strong=True,
        ),
        _line(
            "proposed_load_resistance",
            "Resistor instead of a battery",
            "Ω",
            "bank_used^2/expected_watts",
            "It takes what is expected to arrive at the volts of that battery.",
        ),
        _line(
            "proposed_cable_area",
            "Cable, cross-section of one conductor",
            "mm²",
            "IF(COUNT(areas_good)>0,MIN(areas_good),MAX(areas_listed))",
            "The thinnest on sale (sheet Safety figures) that keeps volts and fuse within limits; else the thickest.",
            "0.0",
            strong=True,
        ),
        _line(
            "proposed_fuse",
            "Fuse at the battery's terminal",
            "A",
            'IF(final_fuse_needs<=ampacity_used,final_fuse,"")',
            "Empty: no fuse both carries the current and protects this cable. Take a thicker cable.",
            "0",
            strong=True,
        ),
        _line(
            "proposed_dump_watts",
            "Dump load takes, at least",
            "W",
            "dump_margin*MAX(final_watts,charged_watts)",
            "All that can come, with the margin of sheet Safety figures.",
            "0",
            strong=True,
        ),
        _line(
            "proposed_dump_ohms",
            "Resistance of the dump load, at most",
            "Ω",
            f"IF(proposed_dump_watts>0,{call('dump_resistance', power='proposed_dump_watts', volts='dump_volts_used')}"
            ',"")',
            "At the highest charging voltage.",
        ),
        Heading("In words"),
        _line(
            "choices_say",
            "The proposal",
            "",
            'IF(best_watts>0,"good","no watts: the drags take all")',
            digits="General",
        ),
        Words(
            "A proposal is worked out, not tried. Buy nothing before head, flow and pipe are measured: what they are "
            "decides nozzle, wheel and alternator. The fuse protects the cable, not you: see Safety figures.",
            caution=True,
        ),
    ),
)
