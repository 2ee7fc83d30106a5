"""Declarations: the box round the wheel and its outlet."""

from ..physics import housing as physics
from ..registry import Argument, Example, declare
from .nomenclature import FLOW, GRAVITY
from .supply import DISCHARGE_COEFFICIENT, HOLE

GROUP = "Housing"
STRIPS = (
    "Strips of Cd sqrt(2 g h) over the opening, the derivation of weir and large orifice in textbooks of hydraulics"
)
SAG = "floor hole: the lesser of weir and orifice, FHWA HEC-22, chapter 4, from memory, not looked up"

OUTLET = Argument(
    "outlet",
    "text",
    "Kind of outlet: a slot or a round hole in a wall, or a hole in the floor.",
    choices=physics.OUTLETS,
)
WATER_LEVEL = Argument(
    "water_level",
    "mm",
    "Water above the lower edge of an opening in the wall, or above the floor.",
    "[0, 5000]",
)
OPENING_WIDTH = Argument("opening_width", "mm", "Width of the slot, or diameter of the hole.", "(0, 5000]")
OPENING_HEIGHT = Argument(
    "opening_height",
    "mm",
    "Height of the slot; left out, it has no upper edge. Not used for holes.",
    "(0, 10000]",
    default=float("inf"),
)
BLOCKED_SHARE = Argument(
    "blocked_share", "%", "Share of the opening closed by leaves and moss.", "[0, 95]", default=0.0
)
MORE = (OPENING_HEIGHT, BLOCKED_SHARE, DISCHARGE_COEFFICIENT, GRAVITY)
DROWN = "A wheel that touches the water loses its power and sprays; water at the shaft reaches the alternator."

declare(
    physics.hole_head,
    group=GROUP,
    help="Head over the centre of a hole that is well covered by water and passes this flow.",
    arguments=(FLOW, HOLE, DISCHARGE_COEFFICIENT, GRAVITY),
    unit="mm",
    meaning="Head over the centre of the hole.",
    symbol="h",
    equation="h = (Q / (Cd A))² / 2g",
    source="Torricelli's law with a discharge coefficient; textbooks of hydraulics",
    example=Example({"flow": 2, "hole": 75}, 28.08),
    caution="Less than half the diameter means that the hole is not covered: use OUTLET_LEVEL.",
)
declare(
    physics.outlet_flow,
    group=GROUP,
    help="Flow that leaves the wheel's box through its outlet at a water level, into free air.",
    arguments=(WATER_LEVEL, OUTLET, OPENING_WIDTH, *MORE),
    unit="L/s",
    meaning="Flow.",
    symbol="Q",
    equation="slot: Q = 2/3 Cd b sqrt(2 g) (y^1.5 - (y - h)^1.5); round: the same strips",
    source=f"{STRIPS}; {SAG}",
    example=Example({"water_level": 100, "outlet": "slot", "opening_width": 150, "opening_height": 60}, 6.382),
)
declare(
    physics.outlet_level,
    group=GROUP,
    help="Water level in the wheel's box at which a flow leaves through the outlet, into free air.",
    arguments=(FLOW, OUTLET, OPENING_WIDTH, *MORE),
    unit="mm",
    meaning="Level above the opening's lower edge, or above the floor.",
    possible="[0, 1e6]",  # a kilometre of water stands in no box; below it the sheet's check says stop
    symbol="y",
    equation="Q(y) = Q, solved to rounding",
    source=f"{STRIPS}; {SAG}",
    example=Example({"flow": 2, "outlet": "round hole", "opening_width": 75}, 69.49),
    caution=DROWN,
)
declare(
    physics.outlet_width,
    group=GROUP,
    help=("Smallest outlet that keeps the water in the wheel's box at a level: width of the slot, or diameter."),
    arguments=(FLOW, OUTLET, WATER_LEVEL.with_(within="(0, 5000]"), *MORE),
    unit="mm",
    meaning="Width of the slot, or diameter of the hole.",
    possible="[0, 5000]",  # as far as an opening may be asked for: OPENING_WIDTH
    symbol="b",
    equation="Q(y, b) = Q, solved to rounding",
    source=f"{STRIPS}; {SAG}",
    example=Example({"flow": 2, "outlet": "slot", "water_level": 50, "blocked_share": 50}, 198.7),
    caution=DROWN,
)
