"""Declarations: where wheel, alternator and load settle together."""

import numpy as np

from ..physics import operating_point as physics
from ..registry import Example, Rule, declare
from .alternator import WHOLE_POLES
from .nomenclature import (
    ALIGNMENT,
    BATTERY_VOLTS,
    BEARING_DRAG,
    CABLE_RESISTANCE,
    CONNECTION,
    CONTROLLER_EFFICIENCY,
    CUP_FRICTION,
    DEFLECTION,
    DIODE_DROP,
    FLOW,
    IRON_DRAG,
    JET_VELOCITY,
    LOAD,
    LOAD_RESISTANCE,
    PHASE_INDUCTANCE,
    PHASE_RESISTANCE,
    PHASE_VOLTS,
    PITCH_DIAMETER,
    POLE_PAIRS,
    TEMPERATURE,
    WINDAGE,
)
from .wheel import FASTEST, NO_IRON_DRAG

GROUP = "Operating point"
SOURCE = (
    "Torque balance of Euler's turbine equation and the averaged three-phase bridge (P. S. Bimbhra, Power "
    "Electronics, Ex. 6.28 p. 352)"
)
EQUATION = "wheel torque - iron drag = kE I - (3 L p / pi) I²; kE w = V + I (2 R + 3 w L p / pi + R_c) + 2 V_d"
ARGUMENTS = (
    FLOW,
    JET_VELOCITY,
    PITCH_DIAMETER,
    PHASE_VOLTS,
    POLE_PAIRS,
    PHASE_RESISTANCE,
    BATTERY_VOLTS,
    PHASE_INDUCTANCE,
    CONNECTION,
    DIODE_DROP,
    CABLE_RESISTANCE,
    DEFLECTION,
    CUP_FRICTION,
    ALIGNMENT,
    BEARING_DRAG,
    WINDAGE,
    IRON_DRAG,
    LOAD,
    LOAD_RESISTANCE,
    CONTROLLER_EFFICIENCY,
    TEMPERATURE,
)
LOAD_RULES = (
    WHOLE_POLES,
    Rule(
        "battery_volts",
        "be given, above 0, when the load is a battery",
        lambda load, battery_volts, **_: (np.asarray(load) != "battery") | (np.asarray(battery_volts) > 0),
    ),
    Rule(
        "load_resistance",
        "be given, above 0, when the load is a resistor",
        lambda load, load_resistance, **_: (np.asarray(load) != "resistor") | (np.asarray(load_resistance) > 0),
    ),
)
SITE_A = {
    "flow": 2.393304,
    "jet_velocity": 30.47249,
    "pitch_diameter": 120,
    "phase_volts": 12.26683,
    "pole_pairs": 6,
    "phase_resistance": 0.12,
    "battery_volts": 54,
    "phase_inductance": 0.15,
    "cable_resistance": 0.1,
    "bearing_drag": 0.15,
    "temperature": 8,
}

declare(
    physics.operating_speed.flat,
    group=GROUP,
    help="Speed at which wheel, alternator and load settle after a start; 0 if the wheel cannot start.",
    arguments=ARGUMENTS,
    unit="rpm",
    meaning="Speed of the plant.",
    symbol="n",
    equation=EQUATION,
    source=SOURCE,
    rules=LOAD_RULES,
    example=Example(SITE_A, 2152.8),
    caution="Without the load the wheel runs away, to about twice this: see RUNAWAY_SPEED.",
)
declare(
    physics.operating_current.flat,
    group=GROUP,
    help="Direct current through the cable at the settled speed; for a controller, the current at its input.",
    arguments=ARGUMENTS,
    unit="A",
    meaning="Mean direct current.",
    symbol="I",
    equation=EQUATION,
    source=SOURCE,
    rules=LOAD_RULES,
    example=Example(SITE_A, 11.56),
    caution="Do not trust it where OVERLAP_ANGLE is above 60°. Put a fuse at the battery, or a short circuit can "
    "start a fire.",
)
declare(
    physics.operating_volts.flat,
    group=GROUP,
    help="D.c. volts at the load's end of the cable at the settled speed; for a controller, volts at its input.",
    arguments=ARGUMENTS,
    unit="V",
    meaning="Mean volts at the load.",
    symbol="V",
    equation=EQUATION,
    source=SOURCE,
    rules=LOAD_RULES,
    example=Example({**SITE_A, "load": "controller"}, 64.49, "The best voltage for this wheel."),
    caution="With the load disconnected the voltage about doubles: see OPEN_CIRCUIT_VOLTS at RUNAWAY_SPEED. A "
    "controller's own input limits are not considered.",
)
declare(
    physics.operating_power.flat,
    group=GROUP,
    help="Watts into the battery or resistor at the settled speed, after the controller if there is one.",
    arguments=ARGUMENTS,
    unit="W",
    meaning="Power delivered.",
    symbol="P",
    equation=f"P = V I; {EQUATION}",
    source=SOURCE,
    rules=LOAD_RULES,
    example=Example(SITE_A, 624.2),
    caution="A full battery that still takes this gives off hydrogen: ventilate it. A resistor gets hot enough to "
    "burn skin and wood.",
)
declare(
    physics.shorted_speed.flat,
    group=GROUP,
    help="Speed to which a wheel with water on it comes down from runaway when the alternator's leads are joined.",
    arguments=(
        FLOW,
        JET_VELOCITY,
        PITCH_DIAMETER,
        PHASE_VOLTS,
        POLE_PAIRS,
        PHASE_RESISTANCE,
        PHASE_INDUCTANCE,
        CONNECTION,
        DEFLECTION,
        CUP_FRICTION,
        *FASTEST,
        NO_IRON_DRAG,
        TEMPERATURE,
    ),
    unit="rpm",
    meaning="Speed at which it goes on turning.",
    symbol="n_s",
    equation="wheel torque - iron drag = 3 R I_s² / w, greatest root",
    source="Torque balance of Euler's turbine equation and SHORTED_TORQUE",
    rules=(WHOLE_POLES,),
    example=Example(
        {name: value for name, value in SITE_A.items() if name not in ("battery_volts", "cable_resistance")}, 219.5
    ),
    caution="A short never stops the wheel while water runs, and the winding burns if it goes on: shut the water.",
)
