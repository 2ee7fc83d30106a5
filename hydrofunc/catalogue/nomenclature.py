"""One name, one unit and one meaning for each quantity that several functions share."""

from math import inf

from ..registry import Argument

FLOW = Argument("flow", "L/s", "Water flow through the pipe or jets.", "[0, 1000]")
GROSS_HEAD = Argument("gross_head", "m", "Height of the water level at the intake above the nozzle.", "(0, 1500]")
NET_HEAD = Argument("net_head", "m", "Total head just before the nozzle while water flows.", "[0, 1500]")
LENGTH = Argument("length", "m", "Length along the pipe, not the map distance.", "[0, 20000]")
BORE = Argument("bore", "mm", "Inside diameter of the pipe; plastic pipe is named by its outside.", "(0, 2000]")
ROUGHNESS = Argument("roughness", "mm", "Absolute roughness of the pipe wall, as from ROUGHNESS.", "[0, 20]")
FITTINGS = Argument(
    "fittings",
    "-",
    "Sum of the loss coefficients K of entrance, bends and valves, referred to the first bore; left out, none counts.",
    "[0, 1000]",
    default=0.0,
)
TEMPERATURE = Argument("temperature", "°C", "Water temperature.", "[0, 40]", default=10.0)
GRAVITY = Argument("gravity", "m/s²", "Gravitational acceleration, as from GRAVITY.", "[9.7, 9.9]", default=9.80665)
NOZZLE = Argument("nozzle", "mm", "Diameter of the nozzle opening.", "(0, 500]")
JETS = Argument("jets", "-", "Number of equal jets.", "[1, 6]", default=1.0)
VELOCITY_COEFFICIENT = Argument(
    "velocity_coefficient",
    "-",
    "Jet velocity over the ideal one; a smooth nozzle 0.95 to 0.99.",
    "[0.5, 1]",
    default=0.97,
)
CONTRACTION = Argument(
    "contraction",
    "-",
    "Jet area over opening area: 1 for a smooth nozzle, about 0.62 for a hole in a plate.",
    "[0.5, 1]",
    default=1.0,
)
JET_VELOCITY = Argument("jet_velocity", "m/s", "Speed of the water in the jet.", "[0, 200]")
AVAILABLE_FLOW = Argument(
    "available_flow", "L/s", "Most flow the source gives; left out, the source gives enough.", "[0, 1000]", default=inf
)
LENGTH_2 = Argument("length_2", "m", "Length of a second pipe section in series, if any.", "[0, 20000]", default=0.0)
BORE_2 = Argument("bore_2", "mm", "Inside diameter of the second section.", "(0, 2000]", default=0.0)
ROUGHNESS_2 = Argument("roughness_2", "mm", "Roughness of the second section; needed with it.", "[0, 20]", default=0.0)
LENGTH_3 = Argument("length_3", "m", "Length of a third pipe section in series, if any.", "[0, 20000]", default=0.0)
BORE_3 = Argument("bore_3", "mm", "Inside diameter of the third section.", "(0, 2000]", default=0.0)
ROUGHNESS_3 = Argument("roughness_3", "mm", "Roughness of the third section; needed with it.", "[0, 20]", default=0.0)

SPEED = Argument("speed", "rpm", "Speed of the wheel, the same as the alternator's.", "[0, 20000]")
PITCH_DIAMETER = Argument(
    "pitch_diameter", "mm", "Diameter of the circle on which the jet meets the cups.", "(0, 5000]"
)
SPEED_RATIO = Argument("speed_ratio", "-", "Cup speed over jet velocity; best near 0.46.", "(0, 1]", default=0.46)
DEFLECTION = Argument(
    "deflection", "°", "Angle through which the cups turn the water; 160 to 170 is usual.", "[90, 180]", default=165.0
)
CUP_FRICTION = Argument(
    "cup_friction",
    "-",
    "Relative velocity leaving the cups over that entering; 1 is without friction.",
    "[0, 1]",
    default=0.9,
)
# What lowers the watts has a default that measured machines reach (tests/test_defaults.py). Small wheels gave from
# nozzle to shaft at best 0.70 (B. R. Cobb, K. V. Sharp, Renewable Energy 50 (2013) 959-964, abstract) and 0.47
# (D. Agar, M. Rasi, Renewable Energy 33 (2008) 1517-1522, abstract). With the usual cups 0.71 comes to 0.65. The
# defaults of the drags are our own judgement, no published source: those of small machines.
ALIGNMENT = Argument(
    "alignment",
    "-",
    "Share of the ideal torque that wheel and jet give as made: with care 0.86, by eye 0.71, a first one 0.55. 1 is "
    "perfect; no small wheel measured was.",
    "[0, 1]",
    default=0.71,
)
BEARING_DRAG = Argument(
    "bearing_drag",
    "N·m",
    "Drag torque of bearings and seals. The default is that of the two smallest sealed bearings.",
    "[0, 100]",
    default=0.008,
)
WINDAGE = Argument(
    "windage",
    "W/krpm³",
    "Power to churn air and spray at 1000 rpm; it grows with speed cubed. The default is for a wheel of 100 mm; "
    "another goes with the fifth power of its size.",
    "[0, 10000]",
    default=0.15,
)
PHASE_VOLTS = Argument(
    "phase_volts",
    "V/krpm",
    "Open-circuit volts rms of ONE phase winding per 1000 rpm, as from EMF_CONSTANT.",
    "(0, 2000]",
)
POLE_PAIRS = Argument("pole_pairs", "-", "Magnet pole pairs: half the number of poles.", "[1, 100]")
PHASE_RESISTANCE = Argument(
    "phase_resistance", "Ω", "Resistance of ONE phase winding, warm, as from PHASE_RESISTANCE.", "[0, 1000]"
)
PHASE_INDUCTANCE = Argument(
    "phase_inductance", "mH", "Inductance of ONE phase winding; left out, none counts.", "[0, 1000]", default=0.0
)
CONNECTION = Argument(
    "connection", "text", "How the three windings are joined.", choices=("star", "delta"), default="star"
)
DIODE_DROP = Argument("diode_drop", "V", "Forward drop of ONE diode; two conduct at a time.", "[0, 5]", default=0.8)
CABLE_RESISTANCE = Argument(
    "cable_resistance",
    "Ω",
    "Resistance of the d.c. cable, out and back, as from CABLE_RESISTANCE; left out, none counts.",
    "[0, 1000]",
    default=0.0,
)
IRON_DRAG = Argument(
    "iron_drag",
    "N·m",
    "Drag torque of the alternator's iron, as felt turning it unloaded; 0 without iron. The default is that of a small "
    "machine.",
    "[0, 100]",
    default=0.02,
)
LOAD = Argument(
    "load",
    "text",
    "What takes the power: a battery, a resistor, or a maximum-power controller before a battery.",
    choices=("battery", "resistor", "controller"),
    default="battery",
)
BATTERY_VOLTS = Argument("battery_volts", "V", "Battery terminal voltage while charging.", "(0, 1000]", default=0.0)
LOAD_RESISTANCE = Argument("load_resistance", "Ω", "Resistance of a resistor load.", "(0, 100000]", default=0.0)
CONTROLLER_EFFICIENCY = Argument(
    "controller_efficiency", "-", "Power out over power in of a maximum-power controller.", "(0, 1]", default=0.95
)
D_C_CURRENT = Argument("current", "A", "Direct current after the rectifier.", "[0, 10000]")
