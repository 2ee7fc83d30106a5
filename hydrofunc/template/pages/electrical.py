"""Alternator and battery: where the wheel settles, and what arrives."""

from ...catalogue import nomenclature as n
from ...registry import Argument
from ..chain import call, of_plant
from ..model import STOP, Assumption, Formula, Heading, Input, Page, Result, Space, Table, Words
from .common import OWN_JUDGEMENT, PRACTICE, argument_of, limit, there_already

_SPEED_ROWS = 21
_FROM_REST = 0.001  # as good as 0, which some spreadsheet programs cannot tell from a blank cell
# Before a three-phase bridge: rms volts between two wires over mean d.c. volts, open; rms over mean of a current that
# flows in each wire two thirds of the time (Bimbhra, Power Electronics, Ex. 3.19).
_A_C_VOLTS, _A_C_AMPS = "PI()/3/SQRT(2)", "SQRT(2/3)"
_VOLTS_KNOWN = "AND(ISNUMBER(test_volts),ISNUMBER(test_speed))"

LIMITS = (
    limit(
        "torque_shown",
        "The chart of torques ends at, of the wheel's torque held still",
        1.5,
        "-",
        "Beyond it the crossing would lie on the axis.",
        "[1, 10]",
    ),
    limit("bench_volts_half", "Volts of a winding, read on the bench, are off by", 2, "%", OWN_JUDGEMENT, "[0, 100]"),
    limit("made_volts_half", "Volts of a winding made to a number are off it by", 8, "%", OWN_JUDGEMENT, "[0, 100]"),
    limit(
        "any_volts_half",
        "Volts of an alternator at hand that nobody measured: f = 1 + this/100 off those that fit",
        50,
        "%",
        f"Alternators of a few hundred watts are wound for 12 to 48 V and 300 to 1,500 rpm. {OWN_JUDGEMENT}",
        "[0, 1000]",
    ),
    limit("bench_ohms_half", "Ohms of a winding, read on the bench, are off by", 5, "%", OWN_JUDGEMENT, "[0, 100]"),
    limit("made_ohms_half", "Ohms of a winding made to a number are off it by", 20, "%", OWN_JUDGEMENT, "[0, 100]"),
    limit(
        "any_ohms_half",
        "Ohms of an alternator at hand that nobody measured: f = 1 + this/100 off those that will do",
        150,
        "%",
        f"From 0.4 to 2.5 times. {OWN_JUDGEMENT}",
        "[0, 1000]",
    ),
    limit(
        "thin_cable",
        "Conductor of a cable at hand that nobody read, of the one that would be proposed",
        0.8,
        "-",
        f"On the careful side: a cable is there because it is there. {OWN_JUDGEMENT}",
        "(0, 1]",
    ),
    limit(
        "any_area_half",
        "Resistance of a cable at hand whose conductor nobody read is off by",
        60,
        "%",
        f"From twice the conductor that would be proposed to half of it. {OWN_JUDGEMENT}",
        "[0, 100]",
    ),
    limit(
        "cable_inductance",
        "Inductance of one conductor of a three-phase cable, a kilometre of it",
        0.25,
        "mH",
        "0.08 Ω/km at 50 Hz (IEC 60364-5-52, annex G, from memory, not looked up).",
        "[0, 10]",
    ),
    limit("bench_henries_half", "Inductance, read on the bench, is off by", 10, "%", OWN_JUDGEMENT, "[0, 100]"),
    limit(
        "any_henries_half", "Inductance that nobody measured: f = 1 + this/100", 150, "%", OWN_JUDGEMENT, "[0, 1000]"
    ),
)


def _by_three_phase(quantity):
    """What the plant gives with the three-phase cable in the place of the d.c. one, as worksheet text."""
    return f'HYDRO_PLANT(plant,"{quantity}",three_names,three_values)'


def _metal(area):
    """Mass of two conductors without their covering, as worksheet text."""
    return call("cable_mass", length="cable_length", area=area, material="cable_material", covering="0")


PAGE = Page(
    "Alternator and battery",
    "At which speed the wheel settles against the battery, and what arrives there.",
    (
        Heading("Alternator: is it there already?"),
        there_already("alternator_is", "alternator", example="at hand"),
        Heading("As measured on the bench (turned by a drill, nothing connected)"),
        Input(
            "test_connection",
            "Windings joined, when measured",
            n.CONNECTION.with_(name="test_connection"),
            example="star",
            unless="NOT(ISNUMBER(test_volts))",
            assumed=Assumption("star", "Assumed: with three leads only take star, the watts come out the same."),
            note="Star: three ends tied together. Delta: a ring.",
        ),
        Input(
            "test_volts",
            "A.c. volts between two terminals",
            Argument("test_volts", "V", "Line-to-line volts rms.", "(0, 2000]"),
            example=15.0,
            digits="0.0",
            measure="A true-rms meter; the same between all three pairs, or a phase is open.",
        ),
        Input(
            "test_speed",
            "Speed at which they were read",
            Argument("test_speed", "rpm", "Speed during the test.", "(0, 20000]"),
            example=1000.0,
            digits="0",
            measure="By an optical counter, or the meter's hertz between two terminals times 60 over the pole pairs.",
        ),
        Input(
            "terminal_resistance",
            "Resistance between two terminals",
            Argument("terminal_resistance", "Ω", "Resistance between two terminals.", "[0, 1000]"),
            example=0.5,
            digits="0.000",
            measure="Less the resistance of the meter's leads.",
        ),
        Input(
            "terminal_inductance",
            "Inductance between two terminals",
            Argument("terminal_inductance", "mH", "Inductance between two terminals.", "[0, 1000]"),
            example=0.8,
            digits="0.00",
            measure="An LCR meter at 100 or 120 Hz, mean of all three pairs and some positions of the rotor.",
        ),
        Input(
            "pole_pairs",
            "Pole pairs",
            n.POLE_PAIRS,
            example=7.0,
            digits="0",
            assumed=Assumption(
                8.0, f"Assumed many: they weaken it more at speed. {OWN_JUDGEMENT}", half=6.0, measured=0.0
            ),
            measure="Half the number of magnet poles; or the meter's hertz times 60 over a counted speed.",
        ),
        Input(
            "iron_drag",
            "Drag of the iron",
            n.IRON_DRAG,
            example=0.05,
            digits="0.000",
            assumed=Assumption(
                "=MAX(least_iron,iron_share/100*usual_torque)",
                "Assumed: a share of the torque this water can give (sheet Limits); small machines have little iron.",
                half=300.0,
                measured=20.0,
                percent=True,
                spread="lognormal",
            ),
            measure="Weight on a string round the shaft, times radius, when it just keeps turning, nothing connected.",
        ),
        Heading("One phase of its winding"),
        Input(
            "phase_volts",
            "One phase, per 1,000 rpm",
            n.PHASE_VOLTS,
            digits="0.00",
            assumed=Assumption(
                f"=IF({_VOLTS_KNOWN},"
                + call("emf_constant", line_volts="test_volts", speed="test_speed", connection="test_connection")
                + ",proposed_phase_volts)",
                "From the test above; else proposed with the wheel (sheet Choices).",
                proposed=True,
                half=f"=IF({_VOLTS_KNOWN},bench_volts_half,volts_half)",
                measured=2.0,
                percent=True,
                spread="lognormal",
            ),
            state=f'IF({_VOLTS_KNOWN},"worked out",state_of_winding)',
        ),
        Input(
            "phase_resistance",
            "Resistance of one phase",
            n.PHASE_RESISTANCE,
            digits="0.000",
            assumed=Assumption(
                "=IF(ISNUMBER(terminal_resistance),"
                + call("phase_resistance", terminal_resistance="terminal_resistance", connection="test_connection")
                + ",proposed_phase_resistance)",
                "From the test above; else proposed: the most that will do (sheet Choices).",
                proposed=True,
                half="=IF(ISNUMBER(terminal_resistance),bench_ohms_half,ohms_half)",
                measured=5.0,
                percent=True,
                spread="lognormal",
            ),
            state='IF(ISNUMBER(terminal_resistance),"worked out",state_of_winding)',
        ),
        Input(
            "phase_inductance",
            "Inductance of one phase",
            n.PHASE_INDUCTANCE,
            digits="0.000",
            assumed=Assumption(
                "=IF(ISNUMBER(terminal_inductance),"
                + call("phase_inductance", terminal_inductance="terminal_inductance", connection="test_connection")
                + ",proposed_phase_inductance)",
                f"From the test above; else assumed from volts and ohms. {OWN_JUDGEMENT}",
                half="=IF(ISNUMBER(terminal_inductance),bench_henries_half,any_henries_half)",
                measured=10.0,
                percent=True,
                spread="lognormal",
            ),
            state='IF(ISNUMBER(terminal_inductance),"worked out","assumed")',
        ),
        Heading("Connection, rectifier, cable"),
        Input(
            "connection",
            "Windings joined, in use",
            n.CONNECTION,
            example="star",
            assumed=Assumption(
                "=proposed_connection", "Proposed: the joining with more watts (sheet Choices).", proposed=True
            ),
        ),
        Input(
            "diode_drop",
            "Drop of one diode",
            n.DIODE_DROP,
            digits="0.00",
            example=0.8,
            assumed=Assumption(
                0.9,
                f"Assumed: silicon has about 0.8 V under load, Schottky 0.5 V; two conduct at a time. {PRACTICE}",
                half=0.2,
                measured=0.05,
            ),
            measure="Meter across one diode while current flows, or its data sheet.",
        ),
        there_already("cable_is", "cable"),
        Input(
            "cable_length",
            "Cable, one way",
            Argument("cable_length", "m", "Length one way.", "[0, 5000]"),
            example=30.0,
            digits="0",
            assumed=Assumption(50.0, f"Assumed. {OWN_JUDGEMENT}", half=45.0, measured=2.0),
            measure="From the rectifier to the load, along the way it lies.",
        ),
        Input(
            "cable_area",
            "Conductor",
            Argument("cable_area", "mm²", "Cross-section of one conductor.", "(0, 500]"),
            example=6.0,
            digits="0.0",
            assumed=Assumption(
                '=proposed_cable_area*IF(cable_is="at hand",thin_cable,1)',
                "Proposed: the smallest usual one within the allowed drop (sheet Choices). Of a cable at hand read it.",
                proposed=True,
            ),
            state='IF(cable_is="at hand","assumed","proposed")',
            measure="Printed on the cable.",
        ),
        Input(
            "cable_material",
            "Cable made of",
            argument_of("cable_resistance", "material"),
            example="copper",
            assumed=Assumption("copper", "Proposed: aluminium has 1.6 times the resistance.", proposed=True),
        ),
        Input(
            "cable_temperature",
            "Conductor's temperature in use",
            Argument("cable_temperature", "°C", "Temperature of the conductor.", "[-40, 90]"),
            example=20.0,
            digits="0",
            assumed=Assumption(
                30.0,
                "Assumed warm: copper has 0.4 % more resistance for each degree (IEC 60028).",
                half=15.0,
                measured=15.0,
            ),
        ),
        Input(
            "cable_resistance",
            "Cable, out and back",
            n.CABLE_RESISTANCE,
            digits="0.0000",
            assumed=Assumption(
                "="
                + call(
                    "cable_resistance",
                    length="cable_length",
                    area="cable_area",
                    material="cable_material",
                    conductor_temperature="cable_temperature",
                ),
                "Worked out from the lines above.",
            ),
            state='"worked out"',
            measure="Volts lost over amperes, both read at the same time.",
        ),
        Heading("What takes the power"),
        Input("load", "Load", n.LOAD, example="battery", assumed=Assumption("battery", n.LOAD.meaning, proposed=True)),
        Input(
            "battery_nominal",
            "Battery is called",
            Argument("battery_nominal", "V", "Volts by which the battery is sold: 12, 24, 48.", "[2, 240]"),
            digits="0",
            unless="ISNUMBER(yours_battery_volts)",
            note="12 V, 24 V, 48 V: the name, not what a meter reads. Counts only where the charging volts are empty.",
            measure="Six cells of lead are called 12 V. Count the blocks in series.",
        ),
        Input(
            "battery_volts",
            "Battery volts while charging",
            n.BATTERY_VOLTS.with_(within="(0, 1000]"),
            example=26.5,
            digits="0.0",
            unless='load="resistor"',
            assumed=Assumption(
                "=proposed_battery_volts",
                "By its name, or proposed by power (sheet Choices). 12 V charge at 13 to 14.4 V, 24 V at 26 to 28.8 V.",
                proposed=True,
                half=6.0,
                measured=3.0,
                percent=True,
            ),
            state='IF(ISNUMBER(battery_nominal),"worked out","proposed")',
            measure="At the battery's terminals while it charges.",
        ),
        Input(
            "load_resistance",
            "Resistor load",
            n.LOAD_RESISTANCE,
            digits="0.00",
            unless='load<>"resistor"',
            assumed=Assumption(
                "=proposed_load_resistance",
                "Proposed: takes what is expected to arrive (sheet Choices).",
                proposed=True,
            ),
            note="Only if the load is a resistor.",
        ),
        Input(
            "controller_efficiency",
            "Efficiency of the controller",
            n.CONTROLLER_EFFICIENCY,
            digits="0.00",
            unless='load<>"controller"',
            example=0.95,
            assumed=Assumption(
                0.92, f"Assumed for a small one at part load. {OWN_JUDGEMENT}", half=0.06, measured=0.03
            ),
            note="Only for a maximum-power controller.",
        ),
        Input(
            "voltage_limit",
            "Controller or parts stand at most",
            Argument(
                "voltage_limit",
                "V",
                "Highest d.c. voltage that controller, rectifier and wiring are rated for.",
                "(0, 2000]",
            ),
            example=150.0,
            digits="0",
            note="Nothing is assumed: until it is given no check judges the open volts against it.",
            measure="From the label of the weakest part.",
        ),
        Input(
            "current_limit",
            "Windings and bridge carry at most",
            Argument("current_limit", "A", "Direct current they are rated for.", "(0, 2000]"),
            example=20.0,
            digits="0.0",
            note="Nothing is assumed: until it is given no check judges the current.",
            measure="Direct current, from the maker or the label; the weakest of the two.",
        ),
        Heading("What follows", new_page=True),
        Result(
            "cut_in_speed",
            "Charging begins at",
            "rpm",
            "=" + of_plant("cut_in_speed"),
            "0 where the load is no battery.",
            digits="0",
        ),
        Result(
            "speed",
            "The wheel settles at",
            "rpm",
            "=" + of_plant("operating_speed"),
            "Where torque of wheel and alternator meet; 0 if it does not start.",
            digits="0",
            strong=True,
        ),
        Result(
            "current", "Direct current", "A", "=" + of_plant("operating_current"), "Through the cable.", strong=True
        ),
        Result("rectifier_volts", "Volts at the rectifier", "V", "=" + of_plant("rectified_volts"), digits="0.0"),
        Result("load_volts", "Volts at the end of the cable", "V", "=" + of_plant("operating_volts"), digits="0.0"),
        Result(
            "battery_watts",
            "Watts into the battery",
            "W",
            "=" + of_plant("battery_watts"),
            "Into the battery or resistor, after the controller if there is one.",
            digits="0.0",
            strong=True,
        ),
        Result(
            "electrical_torque",
            "Torque the alternator takes",
            "N·m",
            "=" + of_plant("electrical_torque"),
            digits="0.000",
        ),
        Result(
            "overlap",
            "Overlap of the diodes",
            "°",
            "=" + of_plant("overlap_angle"),
            "Watts are right within 3 % to 35°, mostly 1 %, and up to 6 % low at 60°; beyond the formulas do not hold.",
            digits="0.0",
        ),
        Result(
            "runaway_volts",
            "Open d.c. volts at runaway",
            "V",
            "=" + of_plant("runaway_volts"),
            "If the load falls off: fuse, loose wire, full battery with the controller open.",
            digits="0",
            strong=True,
        ),
        Words(
            "Above 60 V d.c. (120 V where dry and not touchable) extra protection is required; see IEC 60364-4-41 and "
            "local codes. The open "
            "voltage at runaway is the one that counts. Fuse the battery at its terminal and never run the wheel with "
            "the load off.",
            caution=True,
        ),
        Heading("Three-phase cable instead, with the rectifier at the battery's end", new_page=True),
        Input(
            "three_area",
            "Conductor of the three-phase cable",
            Argument("three_area", "mm²", "Cross-section of one of its three conductors.", "(0, 500]"),
            digits="0.0",
            assumed=Assumption(
                "=2/3*cable_area",
                "Proposed: three conductors with as much metal as the two of the d.c. cable.",
                proposed=True,
            ),
        ),
        Table(
            ("with it", "counts"),
            (
                ("cable_resistance", Formula("=cable_resistance*cable_area/three_area", "0.0000")),
                ("phase_inductance", Formula("=three_henries", "0.0000")),
            ),
            names={"three_names": "B", "three_values": "C"},
            key="three_phase",
            how={
                "C": "two of three conductors carry the current at any time: ohms of the d.c. cable, by cross-section"
            },
        ),
        Result(
            "three_henries",
            "Inductance of one phase with its conductor",
            "mH",
            '=phase_inductance+cable_inductance*cable_length/1000*IF(connection="delta",3,1)',
            "The conductor's own counts three times for a winding in delta.",
            digits="0.000",
        ),
        Result(
            "two_metal", "Metal of the d.c. cable", "kg", "=" + _metal("cable_area"), "Two conductors.", digits="0.0"
        ),
        Result(
            "three_metal",
            "Metal of the three-phase cable",
            "kg",
            "=3/2*" + _metal("three_area"),
            "Three conductors.",
            digits="0.0",
        ),
        Result(
            "three_watts",
            "Into the battery by the three-phase cable",
            "W",
            "=" + _by_three_phase("battery_watts"),
            "Everything else as above.",
            digits="0.0",
            strong=True,
        ),
        Result(
            "three_more",
            "More into the battery than by the d.c. cable",
            "W",
            "=three_watts-battery_watts",
            "Below 0: less. With the same metal it is always less.",
            digits="0.0",
            strong=True,
        ),
        Result(
            "three_loss",
            "Heat along the three-phase cable",
            "W",
            "=" + _by_three_phase("cable_loss"),
            "To lose as little as d.c. each conductor must be as thick as those of the d.c. cable.",
            digits="0.0",
        ),
        Result(
            "three_amps",
            "Current in each of its conductors",
            "A",
            f"={_A_C_AMPS}*" + _by_three_phase("current"),
            "Rms. Three conductors warm each other: a cable carries about a tenth less than with two (IEC 60364-5-52, "
            "from memory).",
            digits="0.0",
        ),
        Result(
            "three_volts",
            "A.c. between its conductors at work, at most",
            "V",
            f"={_A_C_AMPS}*({_by_three_phase('rectified_volts')}+2*diode_drop)",
            "Rms, at the alternator's end.",
            digits="0",
        ),
        Result(
            "three_runaway",
            "A.c. between its conductors at runaway",
            "V",
            f"={_A_C_VOLTS}*runaway_volts",
            "Rms, along the whole way, and at any fault behind it.",
            digits="0",
        ),
        Result(
            "three_worst",
            "A.c. between its conductors at the worst",
            "V",
            f"={_A_C_VOLTS}*worst_volts",
            "Rms: cold magnets, highest head, no drag (sheet Safety figures).",
            digits="0",
            strong=True,
        ),
        Result(
            "three_touch",
            "A.c. volts not to be passed on bare parts",
            "V",
            "=" + call("touch_limit_ac", place="touch_place"),
            "By where they are (sheet Safety figures). Covered: 50 V, where extra-low voltage ends (IEC 60364-4-41).",
            digits="0",
        ),
        Result(
            "three_share",
            "A.c. at the worst, of what may be touched",
            "%",
            "=100*three_worst/three_touch",
            "Compare it with the same of the d.c. side on sheet Safety figures: for a.c. the limits are stricter.",
            digits="0",
            strong=True,
        ),
        Words(
            "With the same metal d.c. gives more: three conductors of two thirds lose half as much again. What speaks "
            "for three-phase: the rectifier stands dry and cool by the battery, and a switch breaks a.c. more easily. "
            "What speaks against it: a.c. of more than 25 V (12 V wet) must not be touched, above 50 V it is no "
            "extra-low voltage (IEC 60364-4-41), and at runaway it stands on the whole length. Three conductors in one "
            "sheath, none alone. The battery's fuse stays at the battery. If one conductor breaks, the other two carry "
            "all and the wheel shakes.",
            caution=True,
        ),
        Heading("Torque of wheel and alternator against speed", new_page=True),
        Space("torque_curve", 18),
        Table(
            ("speed, rpm", "wheel, N·m", "of the speed without load", "alternator, N·m", "drawn, N·m"),
            tuple(
                (
                    Formula("=runaway_speed*D{row}", "0"),
                    Formula("=" + of_plant("wheel_torque", "speed", "B{row}"), "0.000"),
                    round(i / (_SPEED_ROWS - 1), 2) or _FROM_REST,
                    Formula(
                        "=IF(torque_known," + of_plant("electrical_torque", "speed", "B{row}") + ',"")',
                        "0.000",
                        guard=STOP,
                    ),
                    Formula("=IF(ISNUMBER(E{row}),IF(E{row}>torque_shown*C${first},NA(),E{row}),NA())", "0.000"),
                )
                for i in range(_SPEED_ROWS)
            ),
            key="torque_curve",
            how={
                "B": "from rest to the speed without load",
                "F": "as the column before, as far as the chart shows it (sheet Limits)",
            },
        ),
        Words(
            "With a maximum-power controller the alternator's torque follows the wheel's: there is no curve of its "
            "own (#N/A)."
        ),
    ),
)
