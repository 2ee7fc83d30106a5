"""Wheel: how fast it wants to run, and what it can turn."""

from ...catalogue import nomenclature as n
from ..chain import call
from ..model import Heading, Input, Page, Result, Words
from .common import fed_by

PAGE = Page(
    "Wheel",
    "How fast the wheel wants to run, and what it can turn.",
    (
        Heading("The wheel"),
        Input(
            "pitch_diameter",
            "Pitch circle diameter",
            n.PITCH_DIAMETER,
            example=120.0,
            digits="0",
            note="Twice the distance from shaft centre to jet centre.",
        ),
        fed_by(n.DEFLECTION, "Water turned by the cups through", digits="0"),
        fed_by(n.CUP_FRICTION, "Velocity kept along the cup", digits="0.00"),
        fed_by(
            n.ALIGNMENT.with_(default=0.85),
            "Alignment of the jet",
            digits="0.00",
            note=(
                "1: jet on the splitter, at the right height, no spray. Set by hand 0.8 to 0.9 (common practice, no "
                "published source)."
            ),
        ),
        fed_by(
            n.BEARING_DRAG.with_(default=0.05),
            "Drag of bearings and seals",
            digits="0.000",
            note="Hang a weight on a string from the rim: weight x radius when it just turns.",
        ),
        fed_by(n.WINDAGE.with_(default=1.0), "Churning of air and spray", digits="0.00"),
        Heading("What follows"),
        Result("jet_ratio", "Pitch circle over jet", "-", "=" + call("jet_ratio"), "10 to 14 is usual.", digits="0.0"),
        Result(
            "cup_count",
            "Cups needed",
            "-",
            "=" + call("cup_count"),
            "So that no water slips between two cups.",
            digits="0",
        ),
        Result(
            "cup_width",
            "Width of a cup, about",
            "mm",
            "=" + call("cup_width", width_factor="3.4"),
            "Sources give 3 to 5 jet diameters.",
            digits="0",
        ),
        Result(
            "best_speed",
            "Speed of most power",
            "rpm",
            "=" + call("runner_speed", speed_ratio="0.46"),
            "Cups at 0.46 of the jet velocity.",
            digits="0",
        ),
        Result(
            "speed_ratio",
            "Speed ratio it settles at",
            "-",
            "=" + call("speed_ratio"),
            "Cup speed over jet velocity, with your load.",
            digits="0.000",
        ),
        Result(
            "runaway_speed",
            "Speed without load",
            "rpm",
            "=" + call("runaway_speed"),
            "What happens when a fuse blows or a wire comes off.",
            digits="0",
            strong=True,
        ),
        Result("wheel_torque", "Torque at the shaft", "N·m", "=" + call("wheel_torque"), digits="0.000"),
        Result("shaft_power", "Power at the shaft", "W", "=" + call("wheel_power"), digits="0"),
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
