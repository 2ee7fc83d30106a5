"""Declarations: direct-current cable."""

from ..physics import cable
from ..registry import Argument, Example, declare
from .alternator import CABLE, GROUP
from .nomenclature import D_C_CURRENT

IEC_COPPER = "IEC 60028 (copper); IEC 60889 (aluminium, from memory, not looked up)"

GAUGE = Argument("gauge", "-", "American wire gauge; give 0000 as -3, 000 as -2 and 00 as -1.", "[-3, 40]")
LENGTH_ONE_WAY = Argument("length", "m", "Length of the cable one way.", "[0, 20000]")
AREA = Argument("area", "mm²", "Cross-section of the metal of one conductor.", "(0, 1000]")
MATERIAL = Argument("material", "text", "Metal of the conductor.", choices=tuple(cable.RESISTIVITY), default="copper")
CABLE_SIZE = Argument("cable_size", "text", "Size printed on the cable, in mm².", choices=cable.CLASS_SIZES)
STRAND_CLASS = Argument(
    "strand_class",
    "text",
    "Conductor class: 2 for stranded, 5 for flexible.",
    choices=tuple(cable.CLASS_RESISTANCE),
    default="2",
)
CONDUCTOR_TEMPERATURE = Argument(
    "conductor_temperature", "°C", "Temperature of the metal, not of the air.", "[-40, 90]", default=20.0
)

declare(
    cable.awg_area,
    group=GROUP,
    help="Cross-section of a solid round wire of an American wire gauge.",
    arguments=(GAUGE,),
    unit="mm²",
    meaning="Cross-section.",
    symbol="A",
    equation="d = 0.127 mm x 92^((36 - gauge) / 39); A = pi d² / 4",
    source="ASTM B258",
    example=Example({"gauge": 10}, 5.261),
)
declare(
    cable.cable_resistance,
    group=GROUP,
    help="Resistance of a two-wire cable, out and back, from the true cross-section of its metal.",
    arguments=(LENGTH_ONE_WAY, AREA, MATERIAL, CONDUCTOR_TEMPERATURE),
    unit="Ω",
    meaning="Resistance, out and back.",
    symbol="R_c",
    equation="R_c = 2 L rho / A x (1 + alpha (t - 20))",
    source=IEC_COPPER,
    example=Example({"length": 60, "area": 16}, 0.1293, "IEC 60228 allows a 16 mm² cable 0.138 Ω."),
    caution="A cable sold by size has up to 8 % more, a flexible one 16 %: see CABLE_CLASS_RESISTANCE.",
)
declare(
    cable.cable_class_resistance,
    group=GROUP,
    help="Most resistance, out and back, that IEC 60228 allows a copper cable of a standard size.",
    arguments=(LENGTH_ONE_WAY, CABLE_SIZE, STRAND_CLASS, CONDUCTOR_TEMPERATURE),
    unit="Ω",
    meaning="Resistance, out and back.",
    symbol="R_c",
    equation="R_c = 2 L R_20 x (1 + 0.00393 (t - 20)), R_20 from the table",
    source="IEC 60228:2004, classes 2 and 5, plain copper",
    example=Example({"length": 60, "cable_size": 16}, 0.138),
)
declare(
    cable.cable_drop,
    group=GROUP,
    help="Volts lost along the cable, out and back.",
    arguments=(D_C_CURRENT, CABLE),
    unit="V",
    meaning="Volts lost.",
    symbol="V_c",
    equation="V_c = R_c I",
    source="Ohm's law",
    example=Example({"current": 25, "cable_resistance": 0.138}, 3.45),
)
declare(
    cable.cable_loss,
    group=GROUP,
    help="Heat along the cable, out and back.",
    arguments=(D_C_CURRENT, CABLE),
    unit="W",
    meaning="Heat in the cable.",
    symbol="P_c",
    equation="P_c = R_c I²",
    source="Joule's law",
    example=Example({"current": 25, "cable_resistance": 0.138}, 86.25),
)
