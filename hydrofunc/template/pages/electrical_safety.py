"""Safety figures: voltages, fuse and cable, connection, battery voltage, dump load."""

from ...catalogue import electrical_safety as e
from ...catalogue import nomenclature as n
from ...registry import Argument
from ..chain import call, of_plant
from ..model import PASS, Assumption, Formula, Heading, Input, Page, Result, Table, Words
from .common import OWN_JUDGEMENT, PRACTICE, Check, limit, where
from .route import NTH

LIMITS = (
    limit(
        "block_charging",
        "A battery of 12 V, half charged, charges at",
        13.6,
        "V",
        f"Counts in the table of battery voltages where its own cell is empty; 24 V twice that. {PRACTICE}",
        "(0, 20]",
    ),
    limit(
        "charging_rise",
        "End of charge over the volts while charging",
        1.1,
        "-",
        f"Where the highest charging voltage is not given. {PRACTICE}",
        "[1, 1.5]",
    ),
    limit(
        "cable_drop",
        "Volts the cable may lose",
        5.0,
        "%",
        f"Of those at the load: the smallest cable on sale that stays below is named. {PRACTICE}",
        "(0, 50]",
    ),
    limit(
        "dump_room_air",
        "Air that comes to the dump load",
        20.0,
        "°C",
        f"Warm air is thinner and carries less: a warmer room needs more of it. {PRACTICE}",
        "[-30, 50]",
    ),
    limit(
        "short_creep",
        "A short holds the wheel where it leaves, of the speed without load, at most",
        20.0,
        "%",
        f"Faster, the wheel is not stopped. {OWN_JUDGEMENT}",
        "(0, 100]",
    ),
)


def _of_plant(quantity, names, values):
    """What the plant gives with other values for some of its inputs: two cells, or two ranges of cells."""
    return f'HYDRO_PLANT(plant,"{quantity}",{names},{values})'


def _dumping(quantity):
    return "=" + _of_plant(quantity, "dump_names", "dump_values")


def _window_end(end):
    """A row of the table of a controller's window: what comes where it holds the volts of that end."""
    name = f"window_{end}"
    here = ("F{row}:G{row}", "H{row}:I{row}")

    def there(formula, what):
        return Formula(f'=IF(ISNUMBER(I{{row}}),{formula},"")', "0", name=f"{name}_{what}")

    watts = "controller_efficiency*" + _of_plant("battery_watts", *here)
    return (
        f"its {end}",
        there("I{row}", "volts"),
        there(_of_plant("speed", *here), "speed"),
        there(watts, "watts"),
        "load",
        "battery_volts",
        "battery",
        Formula(f'=IF(ISNUMBER({name}),{name},"")', "0"),
    )


# The ends of the window, and what comes there.
_ENDS = {
    "lowest": "Slower than this it takes nothing, and the wheel runs free up to it. Where the best volts lie lower, "
    "the wheel settles here.",
    "highest": "Where the best volts lie higher, some controllers hold these, others let go: then the wheel runs off "
    "as where it opens.",
}


def _held(end):
    """What the wheel does where a controller holds the volts at an end of its window."""
    cells = (Formula(f"=window_{end}_{what}", "0", guard=PASS) for what in ("speed", "volts", "watts"))
    return (f"Controller at its {end} volts", *cells, _ENDS[end])


def _shorted(quantity, speed):
    """What the shorted alternator does at a speed, as a formula."""
    return "=" + of_plant(f"shorted_{quantity}", "speed", speed)


_SHORTED_ROWS = 10


def _shorted_row(i):
    """A row of the table of the short against speed."""
    return (
        Formula("=runaway_speed*C{row}/100", "0"),
        100 * i // _SHORTED_ROWS,
        Formula("=" + of_plant("wheel_torque", "speed", "B{row}"), "0.00"),
        Formula(_shorted("torque", "B{row}"), "0.00"),
        Formula(_shorted("current", "B{row}"), "0.0"),
        Formula(_shorted("heat", "B{row}"), "0"),
    )


def _connection(joined):
    """A row of the table of connections."""
    volts = {"connection": "B{row}"}
    return (
        joined,
        Formula("=" + _of_plant("battery_watts", '"connection"', "B{row}"), "0.0"),
        Formula("=" + _of_plant("speed", '"connection"', "B{row}"), "0"),
        Formula("=" + call("speed_ratio", speed="D{row}"), "0.000"),
        Formula("=" + _of_plant("current", '"connection"', "B{row}"), "0.00"),
        Formula("=" + call("copper_loss", current="F{row}", connection="B{row}"), "0.0"),
        Formula("=" + call("open_circuit_volts", speed="runaway_speed", **volts), "0"),
        Formula("=cold_factor*" + call("open_circuit_volts", speed="worst_speed", **volts), "0", name=f"open_{joined}"),
        Formula("=PI()/3*I{row}", "0"),
        Formula("=100*I{row}/voltage_limit", "0"),
        Formula("=100*I{row}/touch_volts", "0"),
    )


_NOMINALS = (12, 24, 48)
_AT_ROW = ("L{row}:M{row}", "N{row}:O{row}")


def _bank(nominal):
    """A row of the table of battery voltages."""
    name = f"charging_{nominal}"
    return (
        f"{nominal} V",
        Input(
            name,
            f"Charging volts of a {nominal} V battery",
            n.BATTERY_VOLTS.with_(name=name, within="(0, 1000]"),
            example=13.6 * nominal / 12,
            digits="0.0",
        ),
        Formula("=IF(ISNUMBER(C{row}),C{row},block_charging*K{row}/12)", "0.0"),
        Formula("=" + _of_plant("battery_watts", *_AT_ROW), "0.0"),
        Formula("=" + _of_plant("speed", *_AT_ROW), "0"),
        Formula("=" + call("speed_ratio", speed="F{row}"), "0.000"),
        Formula("=" + _of_plant("current", *_AT_ROW), "0.00"),
        Formula(where("E{row}>0", "100*" + call("cable_loss", current="H{row}") + "/E{row}"), "0.0"),
        Formula(where("E{row}>0", "100*" + call("diode_loss", current="H{row}") + "/E{row}"), "0.0"),
        Formula(f"=12*2^({NTH}-1)", "0"),
        "load",
        "battery_volts",
        "battery",
        Formula("=D{row}", "0.0"),
    )


_SIZES = (1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0)  # mm² of IEC 60228


def _cable(i, size):
    """A row of the table of cables on sale."""
    carries = call(
        "cable_ampacity",
        area="C{row}",
        material="cable_material",
        installation="cable_laid",
        ambient_temperature="cable_around",
    )
    name = f"cable_size_{i}"
    return (
        f"cable {i}",
        Formula(f"={name}", "0.0"),
        Formula('=IF(N(C{row})>0,cable_lost*cable_area/C{row},"")', "0.0"),
        Formula(f"=IFERROR({carries},0)", "0.0"),
        Formula('=IF(AND(N(D{row})<=cable_drop,E{row}>=fuse_amps),"yes","no")'),
        Input(
            name,
            f"Cable on sale, size {i}",
            Argument(name, "mm²", "Cross-section of one conductor.", "(0, 1000]"),
            assumed=Assumption(float(size), "A usual size (IEC 60228)."),
            note="From thin to thick.",
            digits="0.0",
        ),
    )


PAGE = Page(
    "Safety figures",
    "How far the voltage can rise, what protects cable and battery, and what holds the wheel when the battery is full.",
    (
        Heading("How far the voltage can rise"),
        Input(
            "highest_head",
            "Highest head there can be",
            n.GROSS_HEAD.with_(name="highest_head"),
            digits="0.0",
            note="Water level at the intake in flood. Empty: the gross head.",
        ),
        Input(
            "bench_temperature",
            "Alternator when it was measured",
            Argument("bench_temperature", "°C", "Temperature on the bench.", "[-30, 60]"),
            20.0,
            digits="0",
            note="A room, if nothing else is known.",
        ),
        Input(
            "coldest",
            "Alternator at its coldest",
            Argument("coldest", "°C", "Coldest the alternator gets.", "[-60, 60]"),
            -10.0,
            digits="0",
            note="Magnets are stronger when cold: more volts at the same speed.",
        ),
        Input(
            "magnet_drift",
            "Magnets weaken by",
            Argument("magnet_drift", "%/K", "Loss of strength per degree.", "[0, 1]"),
            0.2,
            digits="0.00",
            note="Ferrite about 0.2, neodymium about 0.11 (usual makers' data, from memory, not looked up).",
        ),
        Input("touch_place", "Bare d.c. parts are", e.PLACE.with_(name="touch_place"), "dry", note=e.PLACE.meaning),
        Result(
            "volts_measured",
            "The alternator's volts are measured (1)",
            "-",
            '=IF(OR(state_phase_volts="yours",state_phase_volts="worked out"),1,"")',
            "Empty: they are proposed. The volts below are then those of the proposal, and no check judges them.",
            digits="0",
        ),
        Result(
            "worst_jet",
            "Jet of the highest head, no loss in the pipe",
            "m/s",
            "=" + call("jet_velocity", net_head="MAX(gross_head,N(highest_head))"),
            digits="0.0",
        ),
        Result(
            "worst_speed",
            "Highest speed possible",
            "rpm",
            "=" + call("runner_speed", jet_velocity="worst_jet", speed_ratio="1"),
            "Cups as fast as the jet of the whole head: no loss in the pipe, no drag.",
            digits="0",
        ),
        Result(
            "cold_factor",
            "Cold raises the volts by a factor",
            "-",
            "=IF(COUNT(magnet_drift,bench_temperature,coldest)=3,1+magnet_drift/100*MAX(0,bench_temperature-coldest),NA())",
            "By the three above: 1 where it is no colder than on the bench.",
            digits="0.000",
        ),
        Result(
            "worst_volts",
            "Open d.c. volts at the worst",
            "V",
            "=cold_factor*" + call("open_circuit_volts", speed="worst_speed"),
            "As connected now. Rate every part behind the rectifier for it.",
            digits="0",
            strong=True,
        ),
        Result(
            "other_volts",
            "Open d.c. volts, star and delta changed over",
            "V",
            '=IF(connection="star",open_delta,open_star)',
            "What one gets by changing star and delta over.",
            digits="0",
        ),
        Result(
            "touch_volts",
            "Volts not to be passed on bare parts",
            "V",
            "=" + call("touch_limit", place="touch_place"),
            "D.c. with the small ripple of a three-phase bridge (4.2 % rms; up to 10 % counts as ripple-free). IEC "
            "60598-1:2008, 8.2.3; covered: "
            "IEC 61558-1:2005, 3.7.16.",
            digits="0",
            strong=True,
        ),
        Words(
            "The a.c. side before the rectifier has lower limits: 25 V dry, 12 V wet (IEC 60598-1:2008, 8.2.3). Cover "
            "every terminal, take off "
            "rings and watches, one hand in the pocket. Work on it only with the wheel stopped and the nozzle valve "
            "locked. Electrical code and "
            "licensed people decide what you may do yourself.",
            caution=True,
        ),
        Heading("Star or delta"),
        Table(
            (
                "joined in",
                "into the battery, W",
                "the wheel settles at, rpm",
                "speed ratio, -",
                "direct current, A",
                "heat in the windings, W",
                "open at runaway, V",
                "open at the worst, V",
                "its peaks, V",
                "worst, of what the parts stand, %",
                "worst, of what may be touched, %",
            ),
            tuple(map(_connection, ("star", "delta"))),
            key="connections",
            how={"J": "PI()/3 x open at the worst", "K": "by the limit on the sheet before", "L": "by the limit above"},
        ),
        Words(
            "Everything else as on the sheets before. The nearer the speed ratio to 0.46, the more at the shaft. Star "
            "gives 1.73 times the volts of delta (Bird, Electrical Circuit Theory, ch. 20). The worst: cold, highest "
            "head, no drag at all; no higher is possible. A capacitor charges to the peaks, 4.7 % above the mean of "
            "six pulses (Bimbhra, Power Electronics, Ex. 3.19). Parts above 100 %: they are lost the first time the "
            "load falls off. Touch above 100 %: cover every live part so that no finger reaches it."
        ),
        Heading("Which battery voltage", new_page=True),
        Table(
            (
                "battery",
                "charging at, V",
                "counts, V",
                "arrives, W",
                "the wheel settles at, rpm",
                "speed ratio, -",
                "direct current, A",
                "lost in the cable, %",
                "lost in the diodes, %",
                "nominal, V",
                "changed",
                "changed too",
                "to",
                "to, V",
            ),
            tuple(map(_bank, _NOMINALS)),
            names={"bank_watts": "E", "bank_nominals": "K"},
            key="batteries",
            how={
                "D": "yours, or as a battery half charged has it (sheet Limits)",
                "I": "HYDRO_CABLE_LOSS, of what arrives",
                "J": "HYDRO_DIODE_LOSS, of what arrives",
                "K": "12 and its doubles",
            },
        ),
        Words(
            "Charging volts: from the battery's sheet, half charged. Straight from the rectifier, without a "
            "maximum-power controller. A speed ratio far from 0.46: other winding, connection or pitch circle. Half "
            "the volts, twice the current, four times the loss in the same cable; above 5 %: thicker cable (common "
            "practice, no published source). Two diode drops weigh four times as much at 12 V as at 48 V."
        ),
        Result(
            "best_battery",
            "Most watts go into a battery of",
            "V",
            "=INDEX(bank_nominals,MATCH(MAX(bank_watts),bank_watts,0))",
            "With this winding and connection. What the inverter takes and what may be touched count as well.",
            digits="0",
        ),
        Heading("Cable and fuse"),
        Input(
            "cable_laid",
            "Cable lies in",
            e.INSTALLATION.with_(name="cable_laid"),
            "conduit",
            note="insulated wall: A2; conduit: B2; surface: C; buried duct: D1; buried: D2 (IEC 60364-5-52).",
        ),
        Input(
            "cable_around",
            "Air or ground round it, at most",
            e.AMBIENT_TEMPERATURE.with_(name="cable_around"),
            30.0,
            digits="0",
            note="The table is made for 30 °C in air, 20 °C in the ground.",
        ),
        Input(
            "fuse_margin",
            "Fuse over current, at least",
            e.MARGIN.with_(name="fuse_margin"),
            1.25,
            digits="0.00",
            note=f"The plant runs day and night: a fuse at its limit ages. {PRACTICE}",
        ),
        Input(
            "fuse_fitted",
            "Fuse fitted",
            Argument("fuse_fitted", "A", "Rated current.", "(0, 2000]"),
            digits="0",
            note="Empty: the one worked out below.",
        ),
        Input(
            "fuse_volts",
            "Fuse is made for d.c. volts up to",
            Argument("fuse_volts", "V", "Rated d.c. voltage.", "(0, 2000]"),
            80.0,
            example=150.0,
            digits="0",
            note="D.c., as printed on it. An a.c. rating is worth nothing here: the arc does not go out.",
        ),
        Input(
            "fuse_breaks",
            "Fuse breaks at most",
            Argument("fuse_breaks", "A", "Breaking capacity.", "(0, 200000]"),
            2000.0,
            digits="#,##0",
            note="Breaking capacity, from its maker. Car blade fuses break about 1000 A.",
        ),
        Input(
            "bank_resistance",
            "Inner resistance of the battery",
            Argument("bank_resistance", "Ω", "Of the whole bank.", "(0, 10]"),
            0.02,
            digits="0.0000",
            note=(
                "From its maker; a lead-acid battery of 100 Ah and 12 V about 0.005 Ω (common practice, no published "
                "source)."
            ),
        ),
        Result(
            "ampacity",
            "The cable carries",
            "A",
            "=IFERROR("
            + call(
                "cable_ampacity",
                area="cable_area",
                material="cable_material",
                installation="cable_laid",
                ambient_temperature="cable_around",
            )
            + ',"not in the table")',
            "PVC, two loaded wires, IEC 60364-5-52 (from memory, not looked up). Not in the table: thinner than its "
            "thinnest, or hotter round it than any cable bears.",
            digits="0.0",
            strong=True,
        ),
        Result(
            "fuse_wanted",
            "Fuse to fit",
            "A",
            "=IFERROR(" + call("fuse_size", ampacity="ampacity", fuse_margin="fuse_margin") + ',"thicker cable first")',
            "At the battery's terminal. Thicker cable first: no fuse both carries the current and protects this one.",
            digits="0",
            strong=True,
        ),
        Result("fuse_used", "Fuse counted with", "A", "=IF(ISNUMBER(fuse_fitted),fuse_fitted,fuse_wanted)", digits="0"),
        Result(
            "fuse_needs",
            "It needs a cable that carries",
            "A",
            '=IF(ISNUMBER(fuse_used),HYDRO_FUSE_AMPACITY(fuse_used),"")',
            "A gG fuse of 16 A or more: 1.10 times its rating; a smaller one 1.31 times or more.",
            digits="0.0",
        ),
        Result(
            "highest_volts",
            "It must break d.c. volts of",
            "V",
            "=MAX(worst_volts,dump_volts_used)",
            "The open volts at the worst, or the battery at its highest.",
            digits="0",
        ),
        Result(
            "short_current",
            "Battery's short circuit, about",
            "A",
            "=dump_volts_used/bank_resistance",
            "The fuse must be able to break it, or it explodes.",
            digits="#,##0",
        ),
        Result(
            "fuse_amps",
            "Cable must carry at least",
            "A",
            "=IFERROR(HYDRO_FUSE_AMPACITY(HYDRO_FUSE_SIZE(current,2*fuse_largest,fuse_margin)),fuse_margin*current)",
            "Today's current with the fuse's margin, and what that fuse needs.",
            digits="0.0",
        ),
        Result(
            "cable_lost",
            "Volts today's cable loses",
            "%",
            where("load_volts>0", "100*current*cable_resistance/load_volts"),
            "Of those at the load.",
            digits="0.0",
        ),
        Table(
            (
                "on sale",
                "cross-section, mm²",
                "volts lost, %",
                "carries, A",
                "enough",
                "yours, mm²",
            ),
            tuple(_cable(i, size) for i, size in enumerate(_SIZES, start=1)),
            names={"cable_sizes": "C", "cable_enough": "F"},
            key="cables",
            how={
                "C": "yours; usual sizes where nothing is given (IEC 60228)",
                "D": "today's loss x today's cross-section over this one",
                "E": "HYDRO_CABLE_AMPACITY; 0 if in no table",
            },
        ),
        Result(
            "cable_advised",
            "Smallest cable that is enough",
            "mm²",
            '=IF(current>0,IFERROR(INDEX(cable_sizes,MATCH("yes",cable_enough,0)),"none of these"),"no current")',
            "Loses no more than sheet Limits allows and carries the current with the fuse's margin. By today's "
            "current; with a thicker cable a little more flows.",
            digits="0.0",
            strong=True,
        ),
        Words(
            "The battery feeds a short circuit, not the wheel: the fuse belongs at its positive terminal, before "
            "anything else, and the "
            "battery's box must not hold gas where it could spark. If the fuse blows while the wheel turns the load "
            "is gone: see below.",
            caution=True,
        ),
        Heading("Dump load, for when the battery is full", new_page=True),
        Input(
            "dump_volts",
            "Highest charging voltage",
            Argument("dump_volts", "V", "Highest battery voltage while charging.", "(0, 1000]"),
            example=28.8,
            digits="0.0",
            note="End of charge, with the battery cold. Empty: a tenth above the volts while charging.",
        ),
        Input(
            "dump_margin",
            "Dump load over what can come",
            Argument("dump_margin", "-", "Margin.", "[1, 3]"),
            1.25,
            digits="0.00",
            note=PRACTICE,
        ),
        Input(
            "resistor_ohms",
            "One resistor at hand has",
            Argument("resistor_ohms", "Ω", "Resistance of one.", "(0, 100000]"),
            10.0,
            digits="0.00",
            note="As printed on it; a few ohms is usual for 12 to 48 V (common practice, no published source).",
        ),
        Input(
            "resistor_watts",
            "One resistor at hand stands",
            Argument("resistor_watts", "W", "Rated power of one.", "(0, 100000]"),
            200.0,
            digits="0",
            note="Often only on a large cooled metal plate: read its sheet.",
        ),
        Input(
            "resistors_fitted",
            "Resistors fitted, in parallel",
            Argument("resistors_fitted", "-", "How many.", "[1, 1000]"),
            digits="0",
            note="Empty: the number worked out below.",
        ),
        Input(
            "air_warming",
            "Air at the dump load may warm by",
            e.TEMPERATURE_RISE.with_(name="air_warming"),
            20.0,
            digits="0",
            note=PRACTICE,
        ),
        Input(
            "window_lowest",
            "Controller works from",
            Argument("window_lowest", "V", "Lowest d.c. volts before a maximum-power controller.", "(0, 2000]"),
            digits="0",
            unless='load<>"controller"',
            note="Lowest d.c. volts before it at which it seeks the best point: from its label or sheet.",
        ),
        Input(
            "window_highest",
            "Controller works up to",
            Argument("window_highest", "V", "Highest d.c. volts before a maximum-power controller.", "(0, 2000]"),
            digits="0",
            unless='load<>"controller"',
            note="Highest of these volts. What it stands without working is another, higher figure.",
        ),
        Result(
            "dump_volts_used",
            "Highest charging voltage used",
            "V",
            '=IF(ISNUMBER(dump_volts),dump_volts,IF(load="resistor",load_volts,charging_rise*battery_volts))',
            "As given above; else a tenth above the volts while charging; those of the resistor where it is the load.",
            digits="0.0",
        ),
        Result(
            "dump_load_kind",
            "Load on the plant while it dumps",
            "",
            '=IF(load="controller","controller","battery")',
            "The battery holds the volts; a maximum-power controller stays before it.",
            digits="General",
        ),
        Table(
            ("while it dumps", "counts"),
            (
                ("load", Formula("=dump_load_kind", words=True)),
                ("battery_volts", Formula("=dump_volts_used", "0.0")),
            ),
            names={"dump_names": "B", "dump_values": "C"},
            key="dumping",
            how={"C": "from the lines above; for the two lines below"},
        ),
        Table(
            ("controller holds", "d.c. side, V", "speed, rpm", "battery gets, W", "", "", "load", "load at, V"),
            tuple(map(_window_end, _ENDS)),
            key="window",
            how={"F:I": "HYDRO_PLANT with a battery of these volts; the controller's share comes off"},
        ),
        Result(
            "window_used",
            "Best volts, of the controller's window",
            "%",
            "=IF(AND(COUNT(window_lowest,window_highest)=2,N(load_volts)>0),"
            '100*MAX(window_lowest/load_volts,load_volts/window_highest),"")',
            "Above 100 they lie outside.",
            digits="0",
        ),
        Result("dump_speed", "On the dump load the wheel settles at", "rpm", _dumping("speed"), digits="0"),
        Result("dump_arrives", "On the dump load the plant gives", "W", _dumping("battery_watts"), digits="0"),
        Result(
            "dump_need",
            "Most that can come",
            "W",
            "=MAX(battery_watts,dump_arrives)",
            "All the plant gives, as nobody may be using anything.",
            digits="0",
        ),
        Result(
            "dump_ohms",
            "Resistance, at most",
            "Ω",
            where(
                "dump_need>0",
                call("dump_resistance", power="dump_margin*dump_need", volts="dump_volts_used"),
                '"none needed"',
            ),
            "At the highest voltage, with the margin.",
            strong=True,
        ),
        Result(
            "resistors_wanted",
            "Resistors in parallel, at least",
            "-",
            "=IF(dump_need>0,IF(N(resistor_ohms)>0,ROUNDUP(resistor_ohms/dump_ohms,0),NA()),0)",
            "So that together they take all that can come.",
            digits="0",
        ),
        Result(
            "resistors_used",
            "Resistors counted with",
            "-",
            "=IF(ISNUMBER(resistors_fitted),resistors_fitted,resistors_wanted)",
            "Those fitted, or else those wanted.",
            digits="0",
        ),
        Result(
            "dump_together",
            "Resistors together have",
            "Ω",
            where("resistors_used>0", "resistor_ohms/resistors_used", '"none"'),
            "One resistor's ohms over their number.",
        ),
        Result(
            "dump_watts",
            "Resistors together take",
            "W",
            where("resistors_used>0", call("dump_power", volts="dump_volts_used", dump_resistance="dump_together")),
            "All of it heat.",
            digits="0",
            strong=True,
        ),
        Result(
            "dump_amps",
            "Current of the dump load",
            "A",
            where("resistors_used>0", "dump_volts_used/dump_together"),
            "Its switch and wires must carry it for days.",
            digits="0.0",
        ),
        Result(
            "resistor_load",
            "Each resistor, of what it stands",
            "%",
            "=100*" + call("dump_power", volts="dump_volts_used", dump_resistance="resistor_ohms") + "/resistor_watts",
            "Above 60 too hot to last (common practice, no published source): take larger ones, or two in series.",
            digits="0",
        ),
        Result(
            "dump_air",
            "Air to carry the heat off",
            "m³/h",
            "="
            + call(
                "cooling_air",
                power="dump_watts",
                temperature_rise="air_warming",
                air_temperature="dump_room_air",
                air_pressure=call("air_pressure"),
            ),
            "Through openings low and high that cannot be closed.",
            digits="0",
        ),
        Words(
            "The surface of a loaded resistor passes 200 °C: it burns skin and lights wood, dust and cloth. Mount it "
            "upright in free air on stone or "
            "metal, behind a grille, away from the battery and its gas. A heater in water must never run dry, and "
            "boils: it needs an open vent.",
            caution=True,
        ),
        Table(
            ("what the wheel does", "speed, rpm", "d.c. side, V", "taken, W", "what it means"),
            (
                (
                    "Battery takes all",
                    Formula("=speed", "0", guard=PASS),
                    Formula("=load_volts", "0.0", guard=PASS),
                    Formula("=battery_watts", "0", guard=PASS),
                    "Normal.",
                ),
                (
                    "Full: dump load keeps it loaded",
                    Formula("=dump_speed", "0", guard=PASS),
                    Formula("=dump_volts_used", "0.0", guard=PASS),
                    Formula("=dump_arrives", "0", guard=PASS),
                    (
                        "A controller across the battery (shunt) turns the surplus to heat. The wheel notices next "
                        "to nothing."
                    ),
                ),
                (
                    "Full: controller opens, or a fuse blows",
                    Formula("=runaway_speed", "0", guard=PASS),
                    Formula("=runaway_volts", "0", guard=PASS),
                    "none",
                    (
                        "A controller in the line (as for solar panels) takes the load away: the wheel runs off and "
                        "the volts rise within seconds."
                    ),
                ),
                (
                    "Lithium battery's own switch opens",
                    Formula("=runaway_speed", "0", guard=PASS),
                    Formula("=runaway_volts", "0", guard=PASS),
                    "none",
                    (
                        "Full, empty, or too cold to charge, it cuts itself off at once, and all that hangs behind "
                        "that switch. Join the dump load before it, or the wheel runs off."
                    ),
                ),
                *map(_held, _ENDS),
                (
                    "the same with no load, at the worst",
                    Formula("=worst_speed", "0", guard=PASS),
                    Formula("=worst_volts", "0", guard=PASS),
                    "none",
                    "Cold, highest head, no drag. This is what everything must stand.",
                ),
            ),
            key="full",
            wrap=("B", "F"),
            spread="F",
            how={"C:E": "sheet Alternator and battery; with dump load and at the worst from this sheet"},
        ),
        Words(
            "Never let a controller, switch or fuse be able to cut the wheel off from both battery and dump load. To "
            "stop the plant close the water, "
            "slowly, or turn the jet aside; never pull the plug.",
            caution=True,
        ),
        Heading("Braking the wheel by joining the alternator's three leads", new_page=True),
        Result(
            "short_known",
            "The winding is measured (1)",
            "-",
            '=IF(AND(volts_measured=1,OR(state_phase_inductance="yours",state_phase_inductance="worked out")),1,"")',
            "Volts and inductance: without them nobody can say whether the short holds.",
            digits="0",
        ),
        Result(
            "short_speed",
            "Shorted, the wheel comes down from runaway to",
            "rpm",
            "=" + of_plant("shorted_speed"),
            "With the water on. It never stops: a winding at rest does not brake.",
            digits="0",
            strong=True,
        ),
        Result(
            "short_says",
            "What the short does to the wheel",
            "",
            "=IF(short_known=1,IF(short_speed<=short_creep/100*runaway_speed,"
            '"holds: it creeps","does not stop it"),"is not known")',
            "Holds: the wheel is left with no more speed than sheet Limits says. A hot winding brakes later.",
            digits="General",
            strong=True,
        ),
        Result(
            "short_peak_speed",
            "Speed at which the short brakes most",
            "rpm",
            "=" + of_plant("shorted_peak_speed"),
            "Faster, the inductance holds the current and the torque falls.",
            digits="0",
        ),
        Result(
            "short_peak",
            "Torque of the short at that speed",
            "N·m",
            _shorted("torque", "short_peak_speed"),
            "Shaft, key and wheel must bear it, and a blow of up to twice this.",
            digits="0.00",
        ),
        Result(
            "wheel_held",
            "Torque of the wheel held still",
            "N·m",
            "=" + of_plant("stall_torque"),
            "The most the water can give.",
            digits="0.00",
        ),
        Result(
            "short_amps",
            "Current in each lead as the short begins",
            "A",
            _shorted("current", "runaway_speed"),
            "Rms, from the speed without load; the first peaks are up to twice as high. Switch and leads must bear it.",
            digits="0",
        ),
        Result(
            "short_heat",
            "Heat in the windings as the short begins",
            "W",
            _shorted("heat", "runaway_speed"),
            "For the seconds in which the wheel comes down.",
            digits="0",
        ),
        Result(
            "creep_amps",
            "Current in each lead as it goes on turning",
            "A",
            _shorted("current", "short_speed"),
            "Rms, as long as the water runs.",
            digits="0.0",
        ),
        Result(
            "creep_heat",
            "Heat in the windings as it goes on turning",
            "W",
            _shorted("heat", "short_speed"),
            "All the shaft gives goes into the windings, with little air to cool them.",
            digits="0",
        ),
        Result(
            "work_heat",
            "Heat in the windings at work",
            "W",
            "=" + of_plant("copper_loss"),
            "To compare: the windings bear this for good.",
            digits="0",
        ),
        Table(
            ("speed, rpm", "of runaway, %", "wheel, N·m", "short, N·m", "each lead, A", "windings, W"),
            tuple(_shorted_row(i) for i in range(1, _SHORTED_ROWS + 1)),
            key="shorted",
            how={
                "B": "parts of the speed without load",
                "E": "coming down, the wheel stays where both torques are equal",
            },
        ),
        Words(
            "A short is for the moments until the water is shut, not for the night: more heat than at work burns the "
            "winding, and the magnets may lose strength from the first peaks. Switch all three leads, before the "
            "rectifier, at once. Never short the wires behind the rectifier: with the battery joined that is a fire, "
            "and its fuse may burst. First try it with little water. Where the short does not stop the wheel, it runs "
            "off all the same.",
            caution=True,
        ),
    ),
    widths=(3, 34, 12, 10, 13, 13, 13, 13, 13, 13, 13, 13),
    heads=Page.heads + ("",) * 5,
)

CHECKS = (
    Check(
        "Current, of what the cable carries",
        where("ISNUMBER(ampacity)", "100*current/ampacity", "ampacity"),
        "%",
        80,
        100,
        "IEC 60364-5-52:2009, table B.52.2, as public transcriptions print it, the standard not read. Above 100 the "
        "insulation chars.",
        rests_on=("cable_area",),
        name="cable_load",
    ),
    Check(
        "Cable that the fuse needs, of what this one carries",
        where("AND(ISNUMBER(ampacity),ISNUMBER(fuse_used))", "100*fuse_needs/ampacity", '"no fuse fits"'),
        "%",
        100,
        100,
        (
            "A gG fuse blows only at 1.6 times its rating, and the cable bears 1.45 times its own (IEC 60364-4-43, "
            "433.1, from memory, not looked up). Beyond, the cable burns first."
        ),
        rests_on=(
            "fuse_fitted",
            "cable_area",
        ),
    ),
    Check(
        "Current, of the fuse",
        where("ISNUMBER(fuse_used)", "100*current/fuse_used", "fuse_used"),
        "%",
        80,
        100,
        f"A fuse at its limit day and night ages and blows, and the wheel runs away. {PRACTICE}",
        rests_on=("fuse_fitted",),
        name="fuse_load",
    ),
    Check(
        "Highest volts, of what the fuse breaks",
        "=100*highest_volts/fuse_volts",
        "%",
        100,
        100,
        "Above its d.c. rating the arc in the fuse does not go out.",
        rests_on=("volts_measured", "fuse_volts"),
    ),
    Check(
        "Battery's short circuit, of what the fuse breaks",
        "=100*short_current/fuse_breaks",
        "%",
        100,
        100,
        "Beyond its breaking capacity a fuse bursts. Short circuit: volts over the battery's inner resistance.",
        rests_on=(
            "fuse_breaks",
            "bank_resistance",
        ),
    ),
    Check(
        "Open volts at the worst, of what the parts stand",
        "=100*worst_volts/voltage_limit",
        "%",
        90,
        100,
        "Cold magnets, highest head, no drag: higher than the runaway above, and not to be passed.",
        rests_on=("volts_measured", "voltage_limit"),
        name="worst_open",
    ),
    Check(
        "Open volts at the worst, of what may be touched",
        "=100*worst_volts/touch_volts",
        "%",
        100,
        200,
        "Above 100 cover all live parts; 60 V dry, 30 V wet (IEC 60598-1:2008, 8.2.3). Licensed practice rules.",
        rests_on=("volts_measured",),
        name="worst_touch",
    ),
    Check(
        "Open volts joined the other way, of what the parts stand",
        "=100*other_volts/voltage_limit",
        "%",
        100,
        200,
        "Counts on the day you change star and delta over: then it must not be above 100.",
        rests_on=("volts_measured", "voltage_limit"),
        name="other_joint",
    ),
    Check(
        "Best volts, of the window in which the controller works",
        '=IF(load="controller",window_used,0)',
        "%",
        90,
        100,
        "Above 100 the controller does not reach the best point: it holds an end of its window or lets go, and then "
        "the wheel runs off. Other volts: star and delta, pitch circle, winding.",
        name="window_share",
        give="the volts from and up to which the controller works",
    ),
    Check(
        "Most that can come, of what the dump load takes",
        where("dump_need>0", 'IF(dump_watts>0,100*dump_need/dump_watts,"it takes none")'),
        "%",
        95,
        100,
        (
            "A dump load that takes less lets the battery boil and the wheel speed up. R = V²/P at the highest "
            "charging voltage."
        ),
        rests_on=(
            "resistor_ohms",
            "resistors_fitted",
        ),
        name="dump_share",
    ),
    Check(
        "Each dump resistor, of what it stands",
        "=resistor_load",
        "%",
        60,
        100,
        f"Rated power holds on a cooled plate; in a box it is less. {PRACTICE}",
        rests_on=(
            "resistor_ohms",
            "resistor_watts",
        ),
        name="resistor_share",
    ),
)
