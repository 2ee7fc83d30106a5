"""Declaration: the power ledger of a whole plant."""

from ..physics import ledger as physics
from ..registry import Argument, Example, declare
from .nomenclature import (
    ALIGNMENT, AVAILABLE_FLOW, BATTERY_VOLTS, BEARING_DRAG, BORE, BORE_2, BORE_3, CABLE_RESISTANCE,
    CONNECTION, CONTRACTION, CONTROLLER_EFFICIENCY, CUP_FRICTION, DEFLECTION, DIODE_DROP, FITTINGS, GRAVITY,
    GROSS_HEAD, IRON_DRAG, JETS, LENGTH, LENGTH_2, LENGTH_3, LOAD, LOAD_RESISTANCE, NOZZLE, PHASE_INDUCTANCE,
    PHASE_RESISTANCE, PHASE_VOLTS, PITCH_DIAMETER, POLE_PAIRS, ROUGHNESS, ROUGHNESS_2, ROUGHNESS_3,
    TEMPERATURE, VELOCITY_COEFFICIENT, WINDAGE,
)
from .nozzle import RULES as WATER_RULES
from .nozzle import WITHIN_PIPE
from .operating_point import LOAD_RULES, SOURCE

LEDGER_LINE = Argument(
    "ledger_line", "text", "Which line of the ledger.", choices=physics.LINES, default="battery"
)

declare(
    physics.power_ledger, group="Ledger",
    help="One line of the power ledger of a whole plant: the water's gross power, one of the losses, or what the "
    "battery or resistor gets. The losses and the battery add up to the gross power.",
    arguments=(
        GROSS_HEAD, LENGTH, BORE, ROUGHNESS, NOZZLE, PITCH_DIAMETER, PHASE_VOLTS, POLE_PAIRS,
        PHASE_RESISTANCE, BATTERY_VOLTS, FITTINGS, JETS, VELOCITY_COEFFICIENT, CONTRACTION, TEMPERATURE,
        GRAVITY, AVAILABLE_FLOW, DEFLECTION, CUP_FRICTION, ALIGNMENT, BEARING_DRAG, WINDAGE, PHASE_INDUCTANCE,
        CONNECTION, DIODE_DROP, CABLE_RESISTANCE, IRON_DRAG, LOAD, LOAD_RESISTANCE, CONTROLLER_EFFICIENCY,
        LENGTH_2, BORE_2, ROUGHNESS_2, LENGTH_3, BORE_3, ROUGHNESS_3, LEDGER_LINE,
    ),
    unit="W", meaning="Power in the chosen line.", equation="gross = sum of all losses + battery",
    source=f"{SOURCE}; Darcy-Weisbach pipe friction",
    rules=(*WATER_RULES, WITHIN_PIPE, *LOAD_RULES),
    example=Example(
        {"gross_head": 100, "length": 400, "bore": 40.9, "roughness": 0.15, "nozzle": 10, "pitch_diameter": 120,
         "phase_volts": 12.26683, "pole_pairs": 6, "phase_resistance": 0.12, "battery_volts": 54,
         "fittings": 2.6,
         "temperature": 8, "gravity": 9.80447, "bearing_drag": 0.15, "phase_inductance": 0.15,
         "cable_resistance": 0.1}, 880.9, "37.5 % of the gross 2346 W.",
    ),
)
