"""Alternator and battery: where the wheel settles, and what arrives."""

from ...catalogue import nomenclature as n
from ...registry import Argument
from ..chain import call
from ..model import Formula, Heading, Input, Page, Result, Space, Table, Words
from .common import argument_of, fed_by

_SPEED_ROWS = 21

PAGE = Page(
    "Alternator and battery",
    "At which speed the wheel settles against the battery, and what arrives there.",
    (
        Heading("Alternator, as measured on the bench (turned by a drill, nothing connected)"),
        Input(
            "test_connection",
            "Windings joined, when measured",
            n.CONNECTION.with_(name="test_connection"),
            "star",
            note="Star: three ends tied together. Delta: a ring.",
        ),
        Input(
            "test_volts",
            "A.c. volts between two terminals",
            Argument("test_volts", "V", "Line-to-line volts rms.", "(0, 2000]"),
            example=15.0,
            digits="0.0",
            note="A true-rms meter; the same between all three pairs, or a phase is open.",
        ),
        Input(
            "test_speed",
            "at a speed of",
            Argument("test_speed", "rpm", "Speed during the test.", "(0, 20000]"),
            example=1000.0,
            digits="0",
            note="By an optical counter, or the frequency times 60 over the pole pairs.",
        ),
        Input(
            "terminal_resistance",
            "Resistance between two terminals",
            Argument("terminal_resistance", "Ω", "Resistance between two terminals.", "[0, 1000]"),
            example=0.5,
            digits="0.000",
            note="Less the resistance of the meter's leads.",
        ),
        Input(
            "terminal_inductance",
            "Inductance between two terminals",
            Argument("terminal_inductance", "mH", "Inductance between two terminals.", "[0, 1000]"),
            0.0,
            example=0.8,
            digits="0.00",
            note="If you cannot measure it leave 0: the speed comes out somewhat low.",
        ),
        Input(
            "pole_pairs", "Pole pairs", n.POLE_PAIRS, example=7.0, digits="0", note="Half the number of magnet poles."
        ),
        fed_by(
            n.IRON_DRAG.with_(default=0.05),
            "Drag of the iron",
            digits="0.000",
            note="Felt as cogging and drag with nothing connected.",
        ),
        Heading("Connection, rectifier, cable"),
        Input("connection", "Windings joined, in use", n.CONNECTION, "star", note="Safety figures compares the two."),
        fed_by(
            n.DIODE_DROP,
            "Drop of one diode",
            digits="0.00",
            note="Silicon about 0.8 V under load, Schottky about 0.5 V. Two conduct at a time.",
        ),
        Input(
            "cable_length",
            "Cable, one way",
            Argument("cable_length", "m", "Length one way.", "[0, 5000]"),
            example=30.0,
            digits="0",
            note="From the rectifier to the load, along the way it lies.",
        ),
        Input(
            "cable_area",
            "Conductor",
            Argument("cable_area", "mm²", "Cross-section of one conductor.", "(0, 500]"),
            example=6.0,
            digits="0.0",
            note="Printed on the cable. For an American wire gauge ask HYDRO_AWG_AREA.",
        ),
        Input(
            "cable_material",
            "of",
            argument_of("cable_resistance", "material"),
            "copper",
            note="Aluminium has 1.6 times the resistance.",
        ),
        Input(
            "cable_temperature",
            "at a conductor temperature of",
            Argument("cable_temperature", "°C", "Temperature of the conductor.", "[-40, 90]"),
            20.0,
            digits="0",
            note="Copper has 0.4 % more resistance for each degree (IEC 60028).",
        ),
        Heading("What takes the power"),
        Input("load", "Load", n.LOAD, "battery", note=n.LOAD.meaning),
        Input(
            "battery_volts",
            "Battery volts while charging",
            n.BATTERY_VOLTS.with_(within="(0, 1000]"),
            optional=True,
            example=26.5,
            digits="0.0",
            note="A 12 V battery takes charge at 13 to 14.4 V, a 24 V one at 26 to 28.8 V.",
        ),
        Input(
            "load_resistance",
            "Resistor load",
            n.LOAD_RESISTANCE,
            optional=True,
            digits="0.00",
            note="Only if the load is a resistor.",
        ),
        fed_by(
            n.CONTROLLER_EFFICIENCY,
            "Efficiency of the controller",
            digits="0.00",
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
            150.0,
            digits="0",
            note="From the label of the weakest part.",
        ),
        Input(
            "current_limit",
            "Windings and bridge carry at most",
            Argument("current_limit", "A", "Direct current they are rated for.", "(0, 2000]"),
            20.0,
            digits="0.0",
            note="Direct current, from the maker or the label; the weakest of the two.",
        ),
        Heading("What follows", new_page=True),
        Result(
            "phase_volts",
            "One phase, per 1000 rpm",
            "V/krpm",
            "=" + call("emf_constant", line_volts="test_volts", speed="test_speed", connection="test_connection"),
            digits="0.00",
        ),
        Result(
            "phase_resistance",
            "Resistance of one phase",
            "Ω",
            "=" + call("phase_resistance", terminal_resistance="terminal_resistance", connection="test_connection"),
            digits="0.000",
        ),
        Result(
            "phase_inductance",
            "Inductance of one phase",
            "mH",
            "=" + call("phase_inductance", terminal_inductance="terminal_inductance", connection="test_connection"),
            digits="0.000",
        ),
        Result(
            "cable_resistance",
            "Cable, out and back",
            "Ω",
            "="
            + call(
                "cable_resistance",
                length="cable_length",
                area="cable_area",
                material="cable_material",
                conductor_temperature="cable_temperature",
            ),
            digits="0.0000",
        ),
        Result(
            "cut_in_speed",
            "Charging begins at",
            "rpm",
            '=IF(load="battery",' + call("cut_in_speed") + ",0)",
            "0 where the load is no battery.",
            digits="0",
        ),
        Result(
            "speed",
            "The wheel settles at",
            "rpm",
            "=" + call("operating_speed"),
            "Where torque of wheel and alternator meet; 0 if it does not start.",
            digits="0",
            strong=True,
        ),
        Result("current", "Direct current", "A", "=" + call("operating_current"), "Through the cable.", strong=True),
        Result("rectifier_volts", "Volts at the rectifier", "V", "=" + call("rectified_volts"), digits="0.0"),
        Result("load_volts", "Volts at the end of the cable", "V", "=" + call("operating_volts"), digits="0.0"),
        Result(
            "battery_watts",
            "Watts into the battery",
            "W",
            "=" + call("operating_power"),
            "Into the battery or resistor, after the controller if there is one.",
            digits="0.0",
            strong=True,
        ),
        Result(
            "electrical_torque",
            "Torque the alternator takes",
            "N·m",
            "=" + call("alternator_torque") + "+iron_drag",
            digits="0.000",
        ),
        Result(
            "overlap",
            "Overlap of the diodes",
            "°",
            "=" + call("overlap_angle"),
            "Above 35° the watts read high, 4 % at 50°; the formulas do not hold beyond 60°.",
            digits="0.0",
        ),
        Result(
            "runaway_volts",
            "Open d.c. volts at runaway",
            "V",
            "=" + call("open_circuit_volts", speed="runaway_speed"),
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
        Heading("Torque of wheel and alternator against speed", new_page=True),
        Space("torque_curve", 18),
        Table(
            ("speed, rpm", "wheel, N·m", "", "alternator, N·m"),
            tuple(
                (
                    Formula(f"=runaway_speed*{i / (_SPEED_ROWS - 1):.2f}", "0"),
                    Formula("=" + call("wheel_torque", speed="B{row}"), "0.000"),
                    "",
                    Formula(
                        '=IF(load="controller",NA(),'
                        + call(
                            "alternator_torque",
                            current=(
                                'IF(load="battery",'
                                + call("charging_current", speed="B{row}")
                                + ","
                                + call(
                                    "charging_current",
                                    speed="B{row}",
                                    battery_volts="0",
                                    cable_resistance="cable_resistance+N(load_resistance)",
                                )
                                + ")"
                            ),
                        )
                        + "+iron_drag)",
                        "0.000",
                    ),
                )
                for i in range(_SPEED_ROWS)
            ),
            key="torque_curve",
            how={"B": "from rest to the speed without load"},
        ),
        Words(
            "With a maximum-power controller the alternator's torque follows the wheel's: there is no curve of its "
            "own (#N/A)."
        ),
    ),
    pages=0,
)
