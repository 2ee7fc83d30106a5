"""As tested: the machine as designed and as its readings show it."""

from ...registry import Argument
from ..model import PASS, Formula, Heading, Input, Page, Result, Table, Words
from .common import AT_GAUGE, PRACTICE, limit
from .diagnosis import ESTIMATED

LIMITS = (
    limit("share_most", "Velocity coefficient and alignment as tested, at most", 1, "-", "No more than all.", "(0, 1]"),
    limit(
        "fittings_most",
        "Sum of K as tested, at most",
        1000,
        "-",
        "More is a shut valve; the functions take no more.",
        "(0, 1000]",
    ),
    limit(
        "rough_most",
        "Roughness of section 2 or 3 as tested, at most, of its bore",
        5,
        "%",
        f"The end of Moody's chart. {PRACTICE}",
        "(0, 5]",
    ),
)
_MOST = {"velocity_coefficient": "share_most", "alignment": "share_most", "fittings": "fittings_most"}
_BASIS = Argument(
    "basis", "text", "Which values other sheets take.", choices=("as designed", "as tested"), default="as designed"
)
# Where other sheets take the machine from that they judge: designed or tested, by the switch.
BASIS = {
    name: f"basis_{name}"
    for name in """gross_head roughness roughness_2 roughness_3 fittings nozzle velocity_coefficient alignment
    bearing_drag windage phase_volts phase_resistance cable_resistance""".split()
}


def section_roughness(section: int, roughness: str) -> str:
    """Roughness of section 2 or 3, as a formula, where that of the first is `roughness`: in proportion to the plan.

    But no more than a twentieth of the bore, the end of Moody's chart, as in hydrofunc.physics.diagnosis.
    """
    return f"MIN(N(roughness_{section})*IF(roughness_used>0,{roughness}/roughness_used,1),roughness_ceiling_{section})"


def _value_row(item, label, planned, unit):
    """A value of the plant; `planned` and `estimate_` with the item name cells."""
    is_estimated = item in _ITEMS
    return (
        label,
        Formula(f"={planned}", "0.0000", guard=PASS),
        unit,
        Formula('=IF(ISNUMBER(J{row}),MIN(J{row},K{row}),"")', "0.0000", guard=PASS, name=f"tested_{item}"),
        Formula(f"=uncertainty_{item}", "0.0000", guard=PASS) if is_estimated else "",
        Formula("=IF(ISNUMBER(E{row}),E{row},C{row})", "0.0000", guard=PASS, name=f"found_{item}"),
        Formula('=IF(basis="as tested",G{row},C{row})', "0.0000", guard=PASS, name=f"basis_{item}"),
        item,
        Formula(f"=estimate_{item}", "0.0000", guard=PASS),
        Formula(f"={_MOST[item]}", "0") if item in _MOST else "",
    )


_ITEMS = {item for item, *_ in ESTIMATED}
_VALUES = (
    *ESTIMATED,
    *((f"roughness_{i}", f"Roughness of section {i}", f"N(roughness_{i})", "mm") for i in (2, 3)),
    ("battery_volts", "Volts of the battery", "battery_volts", "V"),
)


def _result_row(name, label, unit, designed, quantity, measured, digits, why):
    return (
        label,
        Formula(f"={designed}", digits, guard=PASS),
        unit,
        Formula("=" + of_plant_tested("I{row}") + "+N(J{row})", digits, name=f"found_{name}"),
        Formula(f"={measured}", digits) if measured else "",
        why,
        "",
        quantity,
        Formula("=gauge_offset", "0.00") if name == "running_pressure" else "",
    )


def of_plant_tested(quantity: str) -> str:
    """A quantity of the plant as tested, as worksheet text; `quantity` is a cell."""
    return f"HYDRO_PLANT(plant,{quantity},found_names,found_values)"


_RESULTS = (
    ("flow", "Flow", "L/s", "flow", "flow", "seen_flow", "0.000", ""),
    ("net_head", "Net head before the nozzle", "m", "net_head", "net_head", "", "0.00", ""),
    ("lost_head", "Head lost in the pipe", "m", "lost_head", "lost_head", "", "0.00", ""),
    (
        "running_pressure",
        "Gauge before the nozzle, running",
        "bar",
        "running_pressure",
        "running_pressure",
        "seen_running",
        "0.00",
        "At the gauge's height.",
    ),
    ("jet_velocity", "Jet velocity", "m/s", "jet_velocity", "jet_velocity", "", "0.0", ""),
    ("jet_watts", "Power in the jet", "W", "jet_power", "jet_power", "", "0", ""),
    (
        "speed",
        "Speed",
        "rpm",
        "speed",
        "operating_speed",
        "seen_speed_a",
        "0",
        "Higher than as tested where a controller limits or a meter is wrong.",
    ),
    (
        "current",
        "Direct current",
        "A",
        "current",
        "operating_current",
        "seen_amps_a",
        "0.00",
        "Lower than as tested where a controller limits.",
    ),
    (
        "rectifier_volts",
        "Volts at the rectifier",
        "V",
        "rectifier_volts",
        "rectified_volts",
        "seen_rectifier_a",
        "0.0",
        "",
    ),
    (
        "load_volts",
        "Volts at the load",
        "V",
        "load_volts",
        "operating_volts",
        "seen_volts_a",
        "0.0",
        "As tested, a battery has the volts that were read.",
    ),
    ("watts", "Watts into the load", "W", "battery_watts", "operating_power", "reading_watts", "0.0", ""),
    ("copper_watts", "Lost in the windings", "W", "ledger_windings", "copper_loss", "", "0.0", ""),
    (
        "cable_watts",
        "Lost in cable and joints",
        "W",
        "ledger_cable",
        "cable_loss",
        "",
        "0.0",
        "Warm joints are a fire risk.",
    ),
    ("efficiency", "Water used to load", "%", "plant_efficiency", "plant_efficiency", "", "0.0", ""),
)

PAGE = Page(
    "As tested",
    "The plant as designed and as its readings show it, side by side; and which of the two other sheets are to use.",
    (
        Input(
            "basis",
            "Other sheets take the plant",
            _BASIS,
            "as designed",
            note="As tested: the values below that come from readings; where there are none, the designed ones.",
        ),
        Heading("Values behind the results"),
        Table(
            ("value", "designed", "unit", "tested", "± (standard)", "tested, or designed", "basis for other sheets"),
            tuple(_value_row(*row) for row in _VALUES),
            names={"found_names": "I", "found_values": "G"},
            key="as_tested",
            how={
                "C": "from the sheets before",
                "E:F": "sheet Diagnosis; sections 2 and 3 in proportion to the first; the battery's volts as read",
                "G": "tested where the readings tell, else designed",
                "H": "the same, or designed, as chosen above",
            },
        ),
        Heading("Results"),
        Table(
            ("result", "designed", "unit", "as tested", "measured", "note"),
            tuple(_result_row(*row) for row in _RESULTS),
            key="as_tested_results",
            spread="G",
            how={
                "C": "from the sheets before",
                "E": "HYDRO_PLANT with the tested values",
                "F": "sheet Test day",
            },
        ),
        Words(
            "As tested is the best fit of the sheet Diagnosis if its likeliest fault is the true one; look there how "
            "sure that is, before you spend "
            "money on it. Where that fault is a wrong meter or a controller that limits, measured and tested differ "
            "for that reason."
        ),
        Words(
            "A plant that differs from its plan can also exceed it: look at Checks again for open volts, current and "
            "pressure with the tested values "
            "before you run it unattended. Local codes and licensed practice rule.",
            caution=True,
        ),
        Heading("Workings of the tables above"),
        *(
            line
            for i in (2, 3)
            for line in (
                Result(
                    f"roughness_ceiling_{i}",
                    f"Roughness of section {i}, at most",
                    "mm",
                    f"=MAX(N(roughness_{i}),N(bore_{i})*rough_most/100)",
                    "The planned one, or the limit of sheet Limits.",
                    digits="0.000",
                ),
                Result(
                    f"estimate_roughness_{i}",
                    f"Roughness of section {i}, as tested",
                    "mm",
                    f'=IF(ISNUMBER(tested_roughness),{section_roughness(i, "tested_roughness")},"")',
                    "Empty: no readings.",
                    digits="0.0000",
                ),
            )
        ),
        Result(
            "estimate_battery_volts",
            "Volts of the battery, as read",
            "V",
            '=IF(AND(load="battery",N(reading_volts)>0),reading_volts,"")',
            "Empty: not read, or no battery is charged directly.",
        ),
        Result("gauge_offset", "Gauge reads more for its height", "bar", f"={AT_GAUGE}", "Less where it sits higher."),
    ),
    widths=(3, 36, 18, 9, 17, 28, 31, 23),
    heads=(*Page.heads, ""),
)
CHECKS = ()
