"""Safety figures: voltages, fuse and cable, connection, battery voltage, dump load."""

from ...catalogue import electrical_safety as e
from ...catalogue import nomenclature as n
from ...registry import Argument
from ..chain import call
from ..model import Formula, Heading, Input, Page, Result, Table, Words
from .common import PRACTICE, check

_JOINED = ("star", "delta")


def _both(label, unit, digits, why, function, name="", **given):
    """A row of the table of connections: a formula for star and one for delta."""
    cells = (
        Formula(
            "=" + call(function, connection=f'"{joined}"', **given), digits, name=f"{name}_{joined}" if name else ""
        )
        for joined in _JOINED
    )
    return (label, *cells, unit, why)


def _of(label, of, by, why):
    return (label, *(Formula(f"=100*{of}_{joined}/{by}", "0") for joined in _JOINED), "%", why)


_CONNECTIONS = (
    _both("Watts into the battery", "W", "0.0", "With everything else as on the sheets before.", "operating_power"),
    _both("The wheel settles at", "rpm", "0", "", "operating_speed", "speed"),
    (
        "Speed ratio (best: 0.46)",
        *(Formula("=" + call("speed_ratio", speed=f"speed_{joined}"), "0.000") for joined in _JOINED),
        "-",
        "Nearer to 0.46, more at the shaft.",
    ),
    _both("Direct current", "A", "0.00", "", "operating_current", "current"),
    (
        "Heat in the windings",
        *(
            Formula("=" + call("copper_loss", current=f"current_{joined}", connection=f'"{joined}"'), "0.0")
            for joined in _JOINED
        ),
        "W",
        "",
    ),
    _both(
        "Open volts at runaway",
        "V",
        "0",
        "Star gives 1.73 times delta (Bird, Electrical Circuit Theory, ch. 20).",
        "open_circuit_volts",
        speed="runaway_speed",
    ),
    (
        "Open volts at the worst",
        *(
            Formula(
                "=cold_factor*" + call("open_circuit_volts", speed="worst_speed", connection=f'"{joined}"'),
                "0",
                name=f"open_{joined}",
            )
            for joined in _JOINED
        ),
        "V",
        "Cold, highest head, no drag at all: no higher is possible.",
    ),
    (
        "its peaks",
        *(Formula(f"=PI()/3*open_{joined}", "0") for joined in _JOINED),
        "V",
        "A capacitor charges to the peak: 4.7 % above the mean of six pulses (Bimbhra, Power Electronics, Ex. 3.19).",
    ),
    _of(
        "the worst, of what the parts stand",
        "open",
        "voltage_limit",
        "Above 100: the parts are lost the first time the load falls off.",
    ),
    _of(
        "the worst, of what may be touched",
        "open",
        "touch_volts",
        "Above 100: cover every live part so that no finger reaches it.",
    ),
)
_NOMINALS = (12, 24, 48)


def _charging(nominal):
    return f"charging_{nominal}"


def _per_battery(label, digits, why, function, name="", **given):
    cells = (
        Formula(
            "=" + call(function, load='"battery"', battery_volts=_charging(nominal), **given),
            digits,
            name=f"{name}_at_{nominal}" if name else "",
        )
        for nominal in _NOMINALS
    )
    return (label, *cells, why)


_BATTERIES = (
    (
        "Charging at, V",
        *(
            Input(
                _charging(nominal),
                f"Charging volts of a {nominal} V battery",
                n.BATTERY_VOLTS.with_(name=_charging(nominal), within="(0, 1000]"),
                13.6 * nominal / 12,
                digits="0.0",
            )
            for nominal in _NOMINALS
        ),
        "Yours to change: from the battery's sheet, half charged.",
    ),
    _per_battery(
        "Arrives, W",
        "0.0",
        "Straight from the rectifier, without a maximum-power controller.",
        "operating_power",
        "watts",
    ),
    _per_battery("The wheel settles at, rpm", "0", "", "operating_speed", "rpm"),
    (
        "Speed ratio, - (best: 0.46)",
        *(Formula("=" + call("speed_ratio", speed=f"rpm_at_{nominal}"), "0.000") for nominal in _NOMINALS),
        "Far from 0.46: other winding, connection or pitch circle.",
    ),
    _per_battery(
        "Direct current, A",
        "0.00",
        "Half the volts, twice the current, four times the loss in the same cable.",
        "operating_current",
        "amps",
    ),
    (
        "Lost in the cable, % of what arrives",
        *(
            Formula(
                f"=IF(watts_at_{nominal}>0,100*"
                + call("cable_loss", current=f"amps_at_{nominal}")
                + f"/watts_at_{nominal},0)",
                "0.0",
            )
            for nominal in _NOMINALS
        ),
        f"Above 5: thicker cable. {PRACTICE}",
    ),
    (
        "Lost in the diodes, % of what arrives",
        *(
            Formula(
                f"=IF(watts_at_{nominal}>0,100*"
                + call("diode_loss", current=f"amps_at_{nominal}")
                + f"/watts_at_{nominal},0)",
                "0.0",
            )
            for nominal in _NOMINALS
        ),
        "Two drops weigh four times as much at 12 V as at 48 V.",
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
            optional=True,
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
            "worst_speed",
            "Highest speed possible",
            "rpm",
            "="
            + call(
                "runner_speed",
                jet_velocity=call("jet_velocity", net_head="MAX(gross_head,N(highest_head))"),
                speed_ratio="1",
            ),
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
            "the same, joined the other way",
            "V",
            "=cold_factor*"
            + call("open_circuit_volts", speed="worst_speed", connection='IF(connection="star","delta","star")'),
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
            ("compared", "star", "delta", "unit", "what it means"),
            _CONNECTIONS,
            key="connections",
            wrap=("B", "F"),
            how={
                "C:D": "HYDRO_OPERATING_POWER, _SPEED, _CURRENT, HYDRO_SPEED_RATIO, HYDRO_COPPER_LOSS, "
                "HYDRO_OPEN_CIRCUIT_VOLTS, of either "
                "connection; the shares by the limits on this sheet and the sheet before"
            },
        ),
        Heading("Which battery voltage", new_page=True),
        Table(
            ("battery, V", *map(str, _NOMINALS), "what it means"),
            _BATTERIES,
            key="batteries",
            wrap=("B", "F"),
            how={
                "C:E": (
                    "HYDRO_OPERATING_POWER, _SPEED, _CURRENT, HYDRO_SPEED_RATIO, HYDRO_CABLE_LOSS, HYDRO_DIODE_LOSS, "
                    "at those volts"
                )
            },
        ),
        Result(
            "best_battery",
            "Most watts go into a battery of",
            "V",
            "=IF(watts_at_48>MAX(watts_at_12,watts_at_24),48,IF(watts_at_24>watts_at_12,24,12))",
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
            optional=True,
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
            "="
            + call(
                "cable_ampacity",
                area="cable_area",
                material="cable_material",
                installation="cable_laid",
                ambient_temperature="cable_around",
            ),
            (
                "PVC, two loaded wires, IEC 60364-5-52 (from memory, not looked up). #NUM!: thinner than the table's "
                "thinnest."
            ),
            digits="0.0",
            strong=True,
        ),
        Result(
            "fuse_wanted",
            "Fuse to fit",
            "A",
            "=" + call("fuse_size", ampacity="ampacity", fuse_margin="fuse_margin"),
            (
                "At the battery's terminal. #NUM!: no fuse both carries the current and protects this cable: thicker "
                "cable."
            ),
            digits="0",
            strong=True,
        ),
        Result("fuse_used", "Fuse counted with", "A", "=IF(ISNUMBER(fuse_fitted),fuse_fitted,fuse_wanted)", digits="0"),
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
            optional=True,
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
            "and stands",
            Argument("resistor_watts", "W", "Rated power of one.", "(0, 100000]"),
            200.0,
            digits="0",
            note="Often only on a large cooled metal plate: read its sheet.",
        ),
        Input(
            "resistors_fitted",
            "Resistors fitted, in parallel",
            Argument("resistors_fitted", "-", "How many.", "[1, 1000]"),
            optional=True,
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
        Result(
            "dump_volts_used",
            "Highest charging voltage used",
            "V",
            "=IF(ISNUMBER(dump_volts),dump_volts,IF(ISNUMBER(battery_volts),1.1*battery_volts,load_volts))",
            "As given above; else a tenth above the volts while charging.",
            digits="0.0",
        ),
        Result(
            "dump_need",
            "Most that can come",
            "W",
            "=MAX(battery_watts,"
            + call(
                "operating_power", load='IF(load="controller","controller","battery")', battery_volts="dump_volts_used"
            )
            + ")",
            "All the plant gives, as nobody may be using anything.",
            digits="0",
        ),
        Result(
            "dump_ohms",
            "Resistance, at most",
            "Ω",
            "=" + call("dump_resistance", power="dump_margin*dump_need", volts="dump_volts_used"),
            "At the highest voltage, with the margin.",
            strong=True,
        ),
        Result(
            "resistors_wanted",
            "Resistors in parallel, at least",
            "-",
            "=IF(N(resistor_ohms)>0,ROUNDUP(resistor_ohms/dump_ohms,0),NA())",
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
        Result("dump_together", "They have together", "Ω", "=resistor_ohms/resistors_used"),
        Result(
            "dump_watts",
            "and take",
            "W",
            "=" + call("dump_power", volts="dump_volts_used", dump_resistance="dump_together"),
            "All of it heat.",
            digits="0",
            strong=True,
        ),
        Result(
            "dump_amps",
            "at a current of",
            "A",
            "=dump_volts_used/dump_together",
            "Its switch and wires must carry it for days.",
            digits="0.0",
        ),
        Result(
            "resistor_load",
            "Each, of what it stands",
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
                air_temperature="20",
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
                    Formula("=speed", "0"),
                    Formula("=load_volts", "0.0"),
                    Formula("=battery_watts", "0"),
                    "Normal.",
                ),
                (
                    "Full: dump load keeps it loaded",
                    Formula(
                        "="
                        + call(
                            "operating_speed",
                            load='IF(load="controller","controller","battery")',
                            battery_volts="dump_volts_used",
                        ),
                        "0",
                    ),
                    Formula("=dump_volts_used", "0.0"),
                    Formula(
                        "="
                        + call(
                            "operating_power",
                            load='IF(load="controller","controller","battery")',
                            battery_volts="dump_volts_used",
                        ),
                        "0",
                    ),
                    (
                        "A controller across the battery (shunt) turns the surplus to heat. The wheel notices next "
                        "to nothing."
                    ),
                ),
                (
                    "Full: controller opens, or a fuse blows",
                    Formula("=runaway_speed", "0"),
                    Formula("=runaway_volts", "0"),
                    "none",
                    (
                        "A controller in the line (as for solar panels) takes the load away: the wheel runs off and "
                        "the volts rise within seconds."
                    ),
                ),
                (
                    "the same at the worst",
                    Formula("=worst_speed", "0"),
                    Formula("=worst_volts", "0"),
                    "none",
                    "Cold, highest head, no drag. This is what everything must stand.",
                ),
            ),
            key="full",
            wrap=("B", "F"),
            how={
                "C:E": (
                    "sheet Alternator and battery; with dump load HYDRO_OPERATING_SPEED and HYDRO_OPERATING_POWER at"
                    " the highest charging voltage; the worst from the top of this sheet"
                )
            },
        ),
        Words(
            "Never let a controller, switch or fuse be able to cut the wheel off from both battery and dump load. To "
            "stop the plant close the water, "
            "slowly, or turn the jet aside; never pull the plug.",
            caution=True,
        ),
    ),
    widths=(3, 36, 13, 12, 25, 60),
    pages=0,
)

CHECKS = (
    check(
        "Current, of what the cable carries",
        "=100*current/ampacity",
        "%",
        80,
        100,
        "IEC 60364-5-52:2009, table B.52.2 (from memory, not looked up). Above 100 the insulation chars.",
    ),
    check(
        "Fuse, of what the cable carries",
        "=100*fuse_used/ampacity",
        "%",
        100,
        100,
        (
            "A fuse larger than the cable's ampacity lets the cable burn first (IEC 60364-4-43, 433.1, from memory, "
            "not looked up)."
        ),
    ),
    check(
        "Current, of the fuse",
        "=100*current/fuse_used",
        "%",
        80,
        100,
        f"A fuse at its limit day and night ages and blows, and the wheel runs away. {PRACTICE}",
    ),
    check(
        "Highest volts, of what the fuse breaks",
        "=100*highest_volts/fuse_volts",
        "%",
        100,
        100,
        "Above its d.c. rating the arc in the fuse does not go out.",
    ),
    check(
        "Battery's short circuit, of what the fuse breaks",
        "=100*short_current/fuse_breaks",
        "%",
        100,
        100,
        "Beyond its breaking capacity a fuse bursts. Short circuit: volts over the battery's inner resistance.",
    ),
    check(
        "Open volts at the worst, of what the parts stand",
        "=100*worst_volts/voltage_limit",
        "%",
        90,
        100,
        "Cold magnets, highest head, no drag: higher than the runaway above, and not to be passed.",
    ),
    check(
        "Open volts at the worst, of what may be touched",
        "=100*worst_volts/touch_volts",
        "%",
        100,
        200,
        "Above 100 cover all live parts; 60 V dry, 30 V wet (IEC 60598-1:2008, 8.2.3). Licensed practice rules.",
    ),
    check(
        "Open volts joined the other way, of what the parts stand",
        "=100*other_volts/voltage_limit",
        "%",
        100,
        200,
        "Counts on the day you change star and delta over: then it must not be above 100.",
    ),
    check(
        "Most that can come, of what the dump load takes",
        "=IF(dump_need>0,100*dump_need/dump_watts,0)",
        "%",
        95,
        100,
        (
            "A dump load that takes less lets the battery boil and the wheel speed up. R = V²/P at the highest "
            "charging voltage."
        ),
    ),
    check(
        "Each dump resistor, of what it stands",
        "=resistor_load",
        "%",
        60,
        100,
        f"Rated power holds on a cooled plate; in a box it is less. {PRACTICE}",
    ),
)
