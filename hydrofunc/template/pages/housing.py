"""Housing: cups clear of the water, and an outlet that drains."""

from ...catalogue import housing as declared
from ...registry import Argument
from ..chain import call
from ..model import PASS, Formula, Heading, Input, Page, Result, Table, Words
from .common import PRACTICE, Check, fed_by, limit, where
from .route import NTH

LIMITS = (
    limit(
        "hole_discharge",
        "Flow through a sharp-edged hole",
        0.61,
        "-",
        "Of that without contraction or loss: 0.60 to 0.62 in the books of hydraulics (from memory, not looked up). A "
        "rounded edge lets more through, which is on the safe side for an outlet.",
        "(0, 1]",
    ),
    limit(
        "open_slot",
        "A slot without an upper edge counts as high as",
        10000.0,
        "mm",
        f"Higher than water in any box will stand. {PRACTICE}",
        "[1000, 10000]",
    ),
)
_SLOT = {"opening_height": "slot_height", "discharge_coefficient": "hole_discharge"}
_OUTLET = {"outlet": "outlet", "opening_width": "opening_width", **_SLOT}


def _case(label, flow):
    level = call("outlet_level", flow="C{row}", blocked_share="D{row}", **_OUTLET) + "+flood_level"
    return (
        label,
        Formula(f"={flow}", "0.000", guard=PASS),
        Formula(f"=IF(MOD({NTH},2)=0,blocked_share,0)", "0"),
        Formula("=" + level, "0"),
        Formula("=lowest_cup-E{row}", "0"),
    )


PAGE = Page(
    "Housing",
    "The box round the wheel: the water must leave before it reaches the cups.",
    (
        Heading("The box"),
        Input(
            "wheel_outside",
            "Wheel over the cups",
            Argument("wheel_outside", "mm", "Outside diameter over the tips of the cups.", "(0, 6000]"),
            digits="0",
            note="Measured over the tips. Empty: pitch circle and the width of a cup.",
        ),
        Input(
            "wheel_height",
            "Shaft above the outlet's lower edge",
            Argument(
                "wheel_height",
                "mm",
                "Centre of the shaft above the lower edge of the outlet, or above the floor of the box.",
                "(0, 5000]",
            ),
            250.0,
            digits="0",
            note="Or above the floor of the box, for a hole in the floor.",
        ),
        Input("outlet", "Outlet", declared.OUTLET, "slot", note=declared.OUTLET.meaning),
        Input(
            "opening_width",
            "Width of the slot, or diameter",
            declared.OPENING_WIDTH,
            150.0,
            digits="0",
            note="Of the free opening, its edges not counted.",
        ),
        Input(
            "opening_height",
            "Height of the slot",
            declared.OPENING_HEIGHT,
            example=100.0,
            digits="0",
            note="Empty: no upper edge. Not used for holes.",
        ),
        fed_by(
            declared.BLOCKED_SHARE.with_(default=50.0),
            "Plan for this much blocked",
            digits="0",
            note="Leaves, moss, ice. Half is a careful plan (common practice, no published source).",
        ),
        Input(
            "flood_level",
            "Water outside, in a flood",
            Argument("flood_level", "mm", "Water in the tail race above the lower edge of the outlet.", "[0, 5000]"),
            0.0,
            digits="0",
            note=(
                "Above the outlet's lower edge. The box is then at least that much fuller; added here, which"
                " is on the safe side."
            ),
        ),
        Input(
            "wanted_clearance",
            "Clearance wanted under the cups",
            Argument("wanted_clearance", "mm", "Air under the cups.", "[0, 2000]"),
            50.0,
            digits="0",
            note="Spray needs room to fall. Common practice, no published source.",
        ),
        Heading("Water level in the box"),
        Result(
            "outside_diameter",
            "Wheel over the cups",
            "mm",
            "=IF(ISNUMBER(wheel_outside),wheel_outside,pitch_diameter+cup_width)",
            "Cups are about as tall as wide.",
            digits="0",
        ),
        Result(
            "lowest_cup",
            "Lowest cup above the outlet's lower edge",
            "mm",
            "=wheel_height-outside_diameter/2",
            digits="0",
        ),
        Result(
            "slot_height",
            "Height of the slot counted with",
            "mm",
            "=IF(ISNUMBER(opening_height),opening_height,open_slot)",
            "Yours; without an upper edge that of sheet Limits.",
            digits="0",
        ),
        Table(
            ("case", "flow, L/s", "shut, %", "water in the box, mm", "air under the cups, mm"),
            (
                _case("As it runs, outlet clean", "flow"),
                _case("As it runs, outlet part blocked", "flow"),
                _case("Most the nozzle takes, clean", "nozzle_thirst"),
                _case("Most the nozzle takes, part blocked", "nozzle_thirst"),
            ),
            names={"box_levels": "E", "box_clearances": "F"},
            key="box_levels",
            how={
                "C": "of sheet Nozzle, or where the source gives more than enough, of sheet Supply",
                "D": "none, or as planned above",
                "F": "lowest cup less water in the box",
            },
        ),
        Result("worst_level", "Highest water in the box", "mm", "=MAX(box_levels)", digits="0"),
        Result(
            "worst_clearance",
            "Least air under the cups",
            "mm",
            "=MIN(box_clearances)",
            "Below 0 the wheel wades.",
            digits="0",
            strong=True,
        ),
        Result(
            "water_room",
            "Water may stand in the box, with the clearance",
            "mm",
            "=lowest_cup-wanted_clearance-flood_level",
            "Over the level outside in a flood.",
            digits="0",
        ),
        Result(
            "opening_needed",
            "Smallest outlet that keeps the clearance",
            "mm",
            where(
                "water_room>0",
                call(
                    "outlet_width",
                    flow="nozzle_thirst",
                    outlet="outlet",
                    water_level="water_room",
                    blocked_share="blocked_share",
                    **_SLOT,
                ),
                '"set the wheel higher"',
            ),
            "Width of the slot, or diameter; with the blocked share.",
            digits="0",
            strong=True,
        ),
        Words(
            "Sharp-edged opening into free air, discharge coefficient 0.61. A pipe behind the outlet must not"
            " be smaller than it, must fall all the way, 2 in 100 or more, and must end in free air: a long"
            " flat one backs up into the box (common practice, no published source). Air must get into the"
            " box, or the water draws itself up to the wheel."
        ),
        Heading("Splash"),
        Result(
            "cup_speed",
            "Water runs along the cup's edge at",
            "m/s",
            "=cup_friction*(jet_velocity-speed_ratio*jet_velocity)",
            "Seen from the cup, where it leaves.",
            digits="0.0",
        ),
        Result(
            "leaving_forward",
            "Water leaves, the way the wheel turns, at",
            "m/s",
            "=speed_ratio*jet_velocity+cup_speed*COS(RADIANS(deflection))",
            "Below 0: back towards the nozzle.",
            digits="0.0",
        ),
        Result(
            "leaving_aside", "Water leaves to the side at", "m/s", "=cup_speed*SIN(RADIANS(deflection))", digits="0.0"
        ),
        Result(
            "leaving_speed",
            "Water leaves the cups at",
            "m/s",
            "=SQRT(leaving_forward^2+leaving_aside^2)",
            "At the speed the wheel settles at: slow, if the ratio is right.",
            digits="0.0",
        ),
        Result(
            "splash_height",
            "Water off the cups could rise",
            "m",
            "=leaving_speed^2/(2*gravity)",
            "Without air: the lid must stop it.",
            digits="0.0",
        ),
        Result(
            "stopped_speed",
            "With the wheel blocked water leaves at",
            "m/s",
            "=cup_friction*jet_velocity",
            "Turned back at the nozzle: the box must stand that too.",
            digits="0.0",
        ),
        Words(
            "Spray that creeps along the shaft reaches bearings and alternator: fit slingers or a labyrinth,"
            " and a drain between. Shut the valve and let the wheel stop before you open the box or clear the"
            " outlet.",
            caution=True,
        ),
    ),
)
CHECKS = (
    Check(
        "Air under the cups, most water and outlet part blocked",
        "=worst_clearance",
        "mm",
        30,
        0,
        f"Cups that touch the water brake the wheel and spray. Larger outlet, or shaft higher. {PRACTICE}",
        digits="0",
        low_is_bad=True,
        rests_on=("wheel_height", "opening_width"),
        name="cup_air",
    ),
)
