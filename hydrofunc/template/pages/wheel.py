"""Wheel: how fast it wants to run, and what it can turn."""

from ...catalogue import nomenclature as n
from ...registry import Argument
from ...units import TEXT
from ..chain import call, of_plant
from ..model import Assumption, Heading, Input, Page, Result, Words
from .common import OWN_JUDGEMENT, PRACTICE, Check, limit, there_already, where

LIMITS = (
    limit(
        "cup_width_factor",
        "Width of a cup over diameter of the jet",
        3.4,
        "-",
        f"Sources give 3 to 5 jet diameters. {PRACTICE}",
        "[2, 8]",
    ),
    limit(
        "usual_speed",
        "Speed at which usual drags are judged",
        1000,
        "rpm",
        f"Alternators of a few hundred watts for direct drive are made for 500 to 1500 rpm. {OWN_JUDGEMENT}",
        "(0, 20000]",
    ),
    limit(
        "bearing_share",
        "Drag of bearings and seals, of the torque of all the jet's power at that speed",
        2,
        "%",
        f"Two small sealed bearings on 300 W: 0.06 N·m. {OWN_JUDGEMENT}",
        "[0, 100]",
    ),
    limit(
        "least_bearing",
        "Drag of bearings and seals, at least",
        0.008,
        "N·m",
        f"The smallest two with seals. {OWN_JUDGEMENT}",
        "[0, 100]",
    ),
    limit(
        "iron_share",
        "Drag of the alternator's iron, of the torque of all the jet's power at that speed",
        3,
        "%",
        f"A machine of 300 W: 0.09 N·m; without iron none. {OWN_JUDGEMENT}",
        "[0, 100]",
    ),
    limit(
        "least_iron",
        "Drag of the alternator's iron, at least",
        0.02,
        "N·m",
        f"A small machine with magnets. {OWN_JUDGEMENT}",
        "[0, 100]",
    ),
    limit(
        "usual_windage",
        "Power lost to air and spray at 1,000 rpm by a wheel of the usual size",
        0.15,
        "W/krpm³",
        "Ten times that of a smooth disc (von Kármán, in Schlichting, Boundary-Layer Theory, ch. 21, from memory), as "
        f"cups work as a fan. {OWN_JUDGEMENT}",
        "[0, 100]",
    ),
    limit(
        "windage_most",
        "Power lost to air and spray at 1,000 rpm, of any wheel, at most",
        n.WINDAGE.bounds[1],
        "W/krpm³",
        "What the functions take.",
        "[0, 10000]",
    ),
    limit("usual_pitch", "Pitch circle of a wheel of the usual size", 100, "mm", "A hand's width.", "(0, 5000]"),
    limit(
        "fan_power",
        "Power lost to air goes with the pitch circle to the power of",
        5,
        "-",
        "Power of similar fans at one speed (White, Fluid Mechanics, ch. 11: similarity rules; from memory).",
        "[3, 5]",
    ),
    limit("made_pitch_half", "A wheel made to a pitch circle is off it by", 2, "%", OWN_JUDGEMENT, "[0, 100]"),
    limit(
        "any_pitch_half",
        "A wheel at hand that nobody measured: f = 1 + this/100 off the one that fits",
        20,
        "%",
        f"From 0.83 to 1.2 times the pitch circle that fits. {OWN_JUDGEMENT}",
        "[0, 1000]",
    ),
)
# How wheel and jet are made: a word for the names of its limits, alignment, half of its range, why.
_AT_SHAFT = "from nozzle to shaft, with usual cups."
_MAKINGS = {
    "set with care": ("careful", 0.86, 0.16, f"About 0.78 {_AT_SHAFT} {OWN_JUDGEMENT}"),
    "set by eye": ("eyed", 0.71, 0.2, f"0.65 {_AT_SHAFT} Measured at best: 0.70 (Cobb and Sharp 2013, abstract)."),
    "a first one": ("first", 0.55, 0.22, f"0.5 {_AT_SHAFT} Measured: 0.47 (Agar and Rasi 2008, abstract)."),
    "": ("anyhow", 0.68, 0.27, "In the middle of all."),
}
LIMITS += tuple(
    one
    for making, (word, middle, half, why) in _MAKINGS.items()
    for one in (
        limit(f"{word}_set", f"Alignment, wheel and jet {making or 'of any making'}", middle, "-", why, "[0, 1]"),
        limit(f"{word}_half", "Half of the range of that alignment", half, "-", OWN_JUDGEMENT, "[0, 0.5]"),
    )
)


def _by_making(what):
    """Of the alignment what counts, or half of its range, by how wheel and jet are made."""
    formula = f"anyhow_{what}"
    for making, (word, *_) in _MAKINGS.items():
        if making:
            formula = f'IF(wheel_made="{making}",{word}_{what},{formula})'
    return f"={formula}"


_TYPED_JET = of_plant("jet_power", "nozzle", "typed_nozzle", block="plant_water")
PAGE = Page(
    "Wheel",
    "How fast the wheel wants to run, and what it can turn.",
    (
        Heading("The wheel"),
        there_already("wheel_is", "wheel"),
        Input(
            "pitch_diameter",
            "Pitch circle diameter",
            n.PITCH_DIAMETER,
            example=120.0,
            digits="0",
            assumed=Assumption(
                "=proposed_pitch",
                "Proposed with the alternator (sheet Choices). Of a wheel at hand measure it.",
                proposed=True,
                half='=IF(wheel_is="at hand",any_pitch_half,made_pitch_half)',
                measured=1.0,
                percent=True,
                spread="lognormal",
            ),
            state='IF(wheel_is="at hand","assumed","proposed")',
            measure="Twice the distance from shaft centre to jet centre.",
        ),
        Input(
            "wheel_made",
            "The wheel and its jet are",
            Argument(
                "wheel_made", TEXT, "How the wheel is made and its jet set.", choices=tuple(filter(None, _MAKINGS))
            ),
            note="With care: cups polished, jet set by trial. By eye: bought or cast, jet set by eye. Empty: anything "
            "from the first to the last.",
        ),
        Input(
            "deflection",
            "The cups turn the water by",
            n.DEFLECTION,
            digits="0",
            example=165.0,
            assumed=Assumption(
                163.0, f"Assumed: 160 to 170 is usual, less for hand-made cups. {PRACTICE}", half=13.0, measured=3.0
            ),
            measure="A straight edge along the cup's last part; leave it as it is if unsure.",
        ),
        Input(
            "cup_friction",
            "Velocity the water keeps along the cup",
            n.CUP_FRICTION,
            digits="0.00",
            example=0.9,
            assumed=Assumption(
                0.86, f"Assumed: polished cups keep 0.9, rough ones 0.8 or less. {PRACTICE}", half=0.14, measured=0.05
            ),
            measure="Not to be measured by itself: watts and flow together tell (Diagnosis).",
        ),
        Input(
            "alignment",
            "Alignment of the jet",
            n.ALIGNMENT,
            digits="0.00",
            example=0.85,
            assumed=Assumption(
                _by_making("set"),
                "Assumed by how wheel and jet are made: small wheels measured from nozzle to shaft gave 0.70 (Cobb and "
                "Sharp 2013) to 0.47 (Agar and Rasi 2008). 1: jet on the splitter, right height, no spray.",
                half=_by_making("half"),
                measured=0.05,
            ),
            measure="When the wheel turns: watts before and after setting the jet (Diagnosis).",
        ),
        Input(
            "bearing_drag",
            "Drag of bearings and seals",
            n.BEARING_DRAG,
            digits="0.000",
            example=0.05,
            assumed=Assumption(
                "=MAX(least_bearing,bearing_share/100*usual_torque)",
                "Assumed: a share of the torque this water can give (sheet Limits): small machines, small bearings.",
                half=300.0,
                measured=20.0,
                percent=True,
                spread="lognormal",
            ),
            measure="Hang a weight on a string from the rim: weight x radius when it just turns.",
        ),
        Input(
            "windage",
            "Power lost to air and spray at 1,000 rpm",
            n.WINDAGE,
            digits="0.00",
            example=1.0,
            assumed=Assumption(
                "=MIN(windage_most,usual_windage*(pitch_diameter/usual_pitch)^fan_power)",
                "Assumed from the pitch circle, as a fan's power goes with the fifth power of its size (sheet Limits).",
                half=400.0,
                measured=50.0,
                percent=True,
                spread="lognormal",
            ),
            measure="From the speed without load (Test day).",
        ),
        Heading("What follows"),
        Result(
            "usual_jet_power",
            "Power of the jet that the machine is made for",
            "W",
            where("ISNUMBER(typed_nozzle)", _TYPED_JET, of_plant("best_nozzle_power", block="plant_water")),
            "Of the nozzle you typed, or else of the best one.",
            digits="0",
        ),
        Result(
            "usual_torque",
            "Torque of all the jet's power at the usual speed",
            "N·m",
            "=usual_jet_power/(2*PI()*usual_speed/60)",
            "Usual drags are shares of it.",
            digits="0.00",
        ),
        Result(
            "jet_ratio", "Pitch circle over jet", "-", "=" + of_plant("jet_ratio"), "10 to 14 is usual.", digits="0.0"
        ),
        Result(
            "cup_count",
            "Cups needed",
            "-",
            "=" + of_plant("cup_count"),
            "So that no water slips between two cups.",
            digits="0",
        ),
        Result(
            "cup_width",
            "Width of a cup, about",
            "mm",
            "=" + call("cup_width", width_factor="cup_width_factor"),
            "Sources give 3 to 5 jet diameters.",
            digits="0",
        ),
        Result(
            "best_speed",
            "Speed of most power",
            "rpm",
            "=" + call("runner_speed", speed_ratio="best_ratio"),
            "Cups at 0.46 of the jet velocity.",
            digits="0",
        ),
        Result(
            "speed_ratio",
            "Speed ratio it settles at",
            "-",
            "=" + of_plant("speed_ratio"),
            "Cup speed over jet velocity, with your load.",
            digits="0.000",
        ),
        Result(
            "runaway_speed",
            "Speed without load",
            "rpm",
            "=" + of_plant("runaway_speed"),
            "What happens when a fuse blows or a wire comes off.",
            digits="0",
            strong=True,
        ),
        Result("wheel_torque", "Torque at the shaft", "N·m", "=" + of_plant("wheel_torque"), digits="0.000"),
        Result("shaft_power", "Power at the shaft", "W", "=" + of_plant("wheel_power"), digits="0"),
        Result(
            "specific_speed",
            "Specific speed of one jet",
            "-",
            "=" + call("specific_speed", flow="flow/jets"),
            (
                "nq = n √Q / H^0.75 in rpm, m³/s, m. A single jet works best below about 8 (common practice, no "
                "published source)."
            ),
            digits="0.0",
        ),
        Words(
            "A wheel without load runs up within seconds. Guard it, keep hands out, and hold cups and magnets to a "
            "wheel that was "
            "tested for its runaway speed, not for its working speed.",
            caution=True,
        ),
    ),
)

CHECKS = (
    Check(
        "Drag of bearings, iron and air, of the jet's power",
        where("jet_power>0", "100*(ledger_bearings+ledger_iron+ledger_windage)/jet_power"),
        "%",
        10,
        30,
        "Drags that take more than a tenth decide what arrives: measure them by a string on the rim, and by the speed "
        f"without load (Test day). {OWN_JUDGEMENT}",
        name="drag_share",
    ),
)
