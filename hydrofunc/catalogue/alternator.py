"""Declarations: alternator and rectifier bridge."""

import numpy as np

from ..physics import alternator
from ..registry import REQUIRED, Argument, Example, Rule, declare
from .nomenclature import (
    BATTERY_VOLTS,
    CABLE_RESISTANCE,
    CONNECTION,
    D_C_CURRENT,
    DIODE_DROP,
    PHASE_INDUCTANCE,
    PHASE_RESISTANCE,
    PHASE_VOLTS,
    POLE_PAIRS,
    SPEED,
)

GROUP = "Alternator to battery"
BIMBHRA = "P. S. Bimbhra, Power Electronics, Ex. 6.28 p. 352"
BIRD = "J. O. Bird, Electrical Circuit Theory and Technology, ch. 20 Ex. 27 p. 340"
IEC_COPPER = "IEC 60028 (copper); IEC 60889 (aluminium, from memory, not looked up)"

BATTERY = BATTERY_VOLTS.with_(default=REQUIRED)
BATTERY_OR_NONE = BATTERY.with_(
    within="[0, 1000]",
    meaning="Battery terminal voltage while charging; 0 for a resistor, whose ohms are then added to cable_resistance.",
)
CABLE = CABLE_RESISTANCE.with_(default=REQUIRED)
TURNING = SPEED.with_(within="(0, 20000]")
LINE_VOLTS = Argument(
    "line_volts", "V", "A.c. volts rms between two terminals, turning, with nothing else connected.", "[0, 2000]"
)
TERMINAL_RESISTANCE = Argument(
    "terminal_resistance", "Ω", "Resistance between two of the three terminals, warm.", "[0, 2000]"
)
TERMINAL_INDUCTANCE = Argument(
    "terminal_inductance", "mH", "Inductance between two of the three terminals.", "[0, 2000]"
)

WHOLE_POLES = Rule(
    "pole_pairs", "be a whole number", lambda pole_pairs, **_: np.equal(pole_pairs, np.round(pole_pairs))
)

declare(
    alternator.emf_constant,
    group=GROUP,
    help="Volts of ONE phase winding per 1000 rpm, from an open-circuit a.c. reading between two terminals.",
    arguments=(LINE_VOLTS, TURNING, CONNECTION),
    unit="V/krpm",
    meaning="Rms volts of one winding per 1000 rpm.",
    symbol="k_ph",
    equation="k_ph = V_LL / (sqrt(3) n) in star, V_LL / n in delta",
    source=BIRD,
    example=Example({"line_volts": 24, "speed": 1000}, 13.86, "Star: the reading over sqrt(3)."),
    caution="Spin it with the terminals covered: a bare terminal can be live with a dangerous voltage.",
)
declare(
    alternator.phase_resistance,
    group=GROUP,
    help="Resistance of ONE phase winding, from a reading between two terminals.",
    arguments=(TERMINAL_RESISTANCE, CONNECTION),
    unit="Ω",
    meaning="Resistance of one winding.",
    symbol="R",
    equation="R = R_tt / 2 in star, 3 R_tt / 2 in delta",
    source="Series and parallel resistance of three equal windings; Ohm's and Kirchhoff's laws",
    example=Example({"terminal_resistance": 0.24}, 0.12),
)
declare(
    alternator.phase_inductance,
    group=GROUP,
    help="Inductance of ONE phase winding, from a reading between two terminals.",
    arguments=(TERMINAL_INDUCTANCE, CONNECTION),
    unit="mH",
    meaning="Inductance of one winding.",
    symbol="L",
    equation="L = L_tt / 2 in star, 3 L_tt / 2 in delta",
    source="Series and parallel connection of three equal windings; Kirchhoff's laws",
    example=Example({"terminal_inductance": 0.3, "connection": "delta"}, 0.45),
    caution="A reading may change as the shaft is turned by hand: take the mean.",
)
declare(
    alternator.electrical_frequency,
    group=GROUP,
    help="Frequency of the alternator's a.c. voltage.",
    arguments=(SPEED, POLE_PAIRS),
    unit="Hz",
    meaning="Frequency.",
    symbol="f",
    equation="f = p n / 60",
    source="Definition of synchronous speed",
    rules=(WHOLE_POLES,),
    example=Example({"speed": 2231, "pole_pairs": 6}, 223.1),
)
declare(
    alternator.open_circuit_volts,
    group=GROUP,
    help="D.c. volts after the bridge with no load, the mean; diode drops are not taken off.",
    arguments=(SPEED, PHASE_VOLTS, CONNECTION),
    unit="V",
    meaning="Mean open-circuit volts after the bridge.",
    symbol="V_0",
    equation="V_0 = (3 sqrt(6) / pi) x phase volts; in delta over sqrt(3)",
    source="P. S. Bimbhra, Power Electronics, Ex. 3.19 p. 115 (three-phase bridge)",
    example=Example({"speed": 4849.8, "phase_volts": 12.26683}, 139.16, "A 54 V battery plant at runaway."),
    caution="At runaway this can pass 60 V d.c., which is dangerous to touch, and 120 V, where low-voltage rules "
    "end (IEC 61558-1). It destroys controllers and bridges rated for less; a capacitor charges 5 % higher still.",
)
declare(
    alternator.cut_in_speed,
    group=GROUP,
    help="Speed above which the bridge starts to charge a battery.",
    arguments=(PHASE_VOLTS, BATTERY, CONNECTION, DIODE_DROP),
    unit="rpm",
    meaning="Cut-in speed.",
    symbol="n_c",
    equation="open-circuit d.c. volts = battery volts + 2 diode drops",
    source="Kirchhoff's voltage law with the bridge mean of P. S. Bimbhra, Power Electronics, Ex. 3.19 p. 115",
    example=Example({"phase_volts": 12.26683, "battery_volts": 54}, 1937.7),
    caution="The peaks of the a.c. voltage begin to charge 4.5 % below this speed.",
)
declare(
    alternator.charging_current,
    group=GROUP,
    help="Direct current into a battery at a given speed; 0 below the cut-in speed. Averaged bridge.",
    arguments=(
        SPEED,
        PHASE_VOLTS,
        BATTERY_OR_NONE,
        POLE_PAIRS,
        PHASE_RESISTANCE,
        PHASE_INDUCTANCE,
        CONNECTION,
        DIODE_DROP,
        CABLE_RESISTANCE,
    ),
    unit="A",
    meaning="Mean direct current.",
    symbol="I",
    equation="I = (kE w - V_b - 2 V_d) / (2 R + 3 w L p / pi + R_c)",
    source=BIMBHRA,
    rules=(WHOLE_POLES,),
    example=Example(
        {
            "speed": 2245.97,
            "phase_volts": 12.26683,
            "battery_volts": 54,
            "pole_pairs": 6,
            "phase_resistance": 0.12,
            "phase_inductance": 0.15,
            "cable_resistance": 0.1,
        },
        16.31,
    ),
    caution="At a given speed the averaged bridge is only within 15 % of the true current, up to 60° of "
    "OVERLAP_ANGLE; it reads high just above cut-in and low at a large overlap.",
)
declare(
    alternator.rectified_volts,
    group=GROUP,
    help="D.c. volts at the bridge while a given direct current is drawn.",
    arguments=(
        SPEED,
        D_C_CURRENT,
        PHASE_VOLTS,
        POLE_PAIRS,
        PHASE_RESISTANCE,
        PHASE_INDUCTANCE,
        CONNECTION,
        DIODE_DROP,
    ),
    unit="V",
    meaning="Mean volts at the bridge's d.c. terminals.",
    symbol="V",
    equation="V = kE w - I (2 R + 3 w L p / pi) - 2 V_d, and 0 where that is below 0 at no current",
    source=BIMBHRA,
    rules=(WHOLE_POLES,),
    example=Example(
        {
            "speed": 2000,
            "current": 10,
            "phase_volts": 7.0710678,
            "pole_pairs": 6,
            "phase_resistance": 0,
            "phase_inductance": 0.3,
            "diode_drop": 0,
        },
        29.48,
        "33.08 V less 3.60 V of commutation.",
    ),
)
declare(
    alternator.alternator_torque,
    group=GROUP,
    help="Torque with which the alternator brakes the shaft, from its direct current; iron drag not included.",
    arguments=(D_C_CURRENT, PHASE_VOLTS, POLE_PAIRS, PHASE_INDUCTANCE, CONNECTION),
    unit="N·m",
    meaning="Braking torque.",
    symbol="T_e",
    equation="T_e = kE I - (3 L p / pi) I²",
    source=f"Energy balance of the bridge; commutation drop from {BIMBHRA}",
    rules=(WHOLE_POLES,),
    example=Example(
        {"current": 16.3131, "phase_volts": 12.26683, "pole_pairs": 6, "phase_inductance": 0.15},
        4.241,
    ),
    caution="The commutation drop lowers the voltage but is no loss: open-circuit volts x current overstates "
    "the torque.",
)
declare(
    alternator.overlap_angle,
    group=GROUP,
    help="How long two phases share the current as one hands over to the next; a check on the averaged bridge.",
    arguments=(D_C_CURRENT, PHASE_VOLTS, POLE_PAIRS, PHASE_INDUCTANCE.with_(default=REQUIRED), CONNECTION),
    unit="°",
    meaning="Overlap angle, electrical.",
    symbol="u",
    equation="cos(u) = 1 - 2 w_e L I / (sqrt(2) V_LL)",
    source=BIMBHRA,
    rules=(WHOLE_POLES,),
    example=Example(
        {"current": 10, "phase_volts": 7.0710678, "pole_pairs": 6, "phase_inductance": 0.3},
        38.52,
    ),
    caution="The settled current is right within 3 % up to 35°, 1 % too high to 6 % too low at 60°; "
    "beyond that do not use it.",
)
SHORTED = (SPEED, PHASE_VOLTS, POLE_PAIRS, PHASE_RESISTANCE, PHASE_INDUCTANCE, CONNECTION)
SITE_A_WINDING = {"phase_volts": 12.26683, "pole_pairs": 6, "phase_resistance": 0.12, "phase_inductance": 0.15}
declare(
    alternator.shorted_current,
    group=GROUP,
    help="Settled a.c. amperes in each lead while the alternator's three leads are joined together as a brake.",
    arguments=SHORTED,
    unit="A",
    meaning="Settled current in each lead, rms.",
    symbol="I_s",
    equation="I_s = k w / sqrt(R² + (p w L)²) of the equivalent star",
    source="Derived: Ohm's law for alternating current, one inductance for all positions of the rotor. Its end at high "
    "speed is also described in Roboteq, Calculating the Motor Dynamic Braking 3-Phase Short Current (help page; words "
    "read, formulas not)",
    rules=(WHOLE_POLES,),
    example=Example({"speed": 2231, **SITE_A_WINDING}, 113.04, "Seven times the 16 A of the same plant at work."),
    caution="The first peaks are up to twice as high, may weaken magnets, and weld a switch that is too small. Never "
    "short the wires behind the rectifier while a battery is joined: fire.",
)
declare(
    alternator.shorted_torque,
    group=GROUP,
    help="Torque with which the alternator brakes while its three leads are joined together; iron drag not included.",
    arguments=SHORTED,
    unit="N·m",
    meaning="Settled braking torque.",
    symbol="T_s",
    equation="T_s = 3 R I_s² / w; at most 3 k² / (2 p L), where p w L = R",
    source="Derived: balance of powers, all that the shaft gives heats the windings; current as SHORTED_CURRENT",
    rules=(WHOLE_POLES,),
    example=Example({"speed": 2231, **SITE_A_WINDING}, 19.69),
    caution="Fast, it may be less than the wheel's torque: then the wheel does not come down. See SHORTED_SPEED.",
)
declare(
    alternator.copper_loss,
    group=GROUP,
    help="Heat in the alternator's windings.",
    arguments=(D_C_CURRENT, PHASE_RESISTANCE, CONNECTION),
    unit="W",
    meaning="Heat in all windings.",
    symbol="P_cu",
    equation="P_cu = 2 R I² in star, 2 R I² / 3 in delta",
    source="Joule's law: two windings of the equivalent star carry the direct current",
    example=Example({"current": 16.3131, "phase_resistance": 0.12}, 63.87),
    caution="Hot windings have more resistance: copper 20 % more at 70 °C than at 20 °C.",
)
declare(
    alternator.diode_loss,
    group=GROUP,
    help="Heat in the rectifier bridge; two diodes conduct at a time.",
    arguments=(D_C_CURRENT, DIODE_DROP),
    unit="W",
    meaning="Heat in the bridge.",
    symbol="P_d",
    equation="P_d = 2 V_d I",
    source="Kirchhoff's laws for the three-phase bridge",
    example=Example({"current": 16.3131, "diode_drop": 0.8}, 26.1),
    caution="A bridge without a heat sink burns out; mount it on metal.",
)
