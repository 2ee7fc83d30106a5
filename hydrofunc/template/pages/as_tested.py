"""As tested: the machine as designed and as its readings show it."""

from ...registry import FUNCTIONS, Argument
from ..chain import call
from ..model import Formula, Heading, Input, Page, Table, Words
from .common import AT_GAUGE
from .diagnosis import ESTIMATED

_MOST = {"velocity_coefficient": 1, "alignment": 1, "fittings": 1000}  # what the planned chain takes
_BASIS = Argument(
    "basis", "text", "Which values other sheets take.", choices=("as designed", "as tested"), default="as designed"
)
# Where other sheets take the machine from that they judge: designed or tested, by the switch.
BASIS = {
    name: f"basis_{name}"
    for name in """gross_head roughness roughness_2 roughness_3 fittings nozzle velocity_coefficient alignment
    bearing_drag windage phase_volts phase_resistance cable_resistance""".split()
}
# The plant as the readings show it, at the load volts that were read.
_FOUND = {
    "gross_head": "found_gross_head",
    "roughness": "found_roughness",
    "roughness_2": "found_roughness_2",
    "roughness_3": "found_roughness_3",
    "fittings": "found_fittings",
    "nozzle": "found_nozzle",
    "velocity_coefficient": "found_velocity_coefficient",
    "alignment": "found_alignment",
    "bearing_drag": "found_bearing_drag",
    "windage": "found_windage",
    "phase_volts": "found_phase_volts",
    "phase_resistance": "found_phase_resistance",
    "cable_resistance": "found_cable_resistance",
    "flow": "found_flow",
    "net_head": "found_net_head",
    "jet_velocity": "found_jet_velocity",
    "battery_volts": 'IF(AND(load="battery",N(reading_volts)>0),reading_volts,battery_volts)',
    "speed": "found_speed",
    "current": "found_current",
}


def section_roughness(section: int, roughness: str) -> str:
    """Roughness of section 2 or 3, as a formula, where that of the first is `roughness`: in proportion to the plan.

    But no more than a twentieth of the bore, the end of Moody's chart, as in hydrofunc.physics.diagnosis.
    """
    planned = f"N(roughness_{section})"
    return f"MIN({planned}*IF(roughness_used>0,{roughness}/roughness_used,1),MAX({planned},N(bore_{section})/20))"


def _found(function, **more):
    """A call with the plant as found; arguments it does not have are left out."""
    names = {argument.name for argument in FUNCTIONS[function].arguments}
    return "=" + call(function, **({name: cell for name, cell in _FOUND.items() if name in names} | more))


def _cause_row(item, label, cell, unit):
    estimate = f"estimate_{item}"
    if item in _MOST:
        estimate = f"MIN({_MOST[item]},{estimate})"
    return (
        label,
        Formula(f"={cell}", "0.0000"),
        unit,
        Formula(f'=IF(ISNUMBER(estimate_{item}),{estimate},"")', "0.0000", name=f"tested_{item}"),
        Formula(f"=uncertainty_{item}", "0.0000"),
        Formula(f"=IF(ISNUMBER(tested_{item}),tested_{item},{cell})", "0.0000", name=f"found_{item}"),
        Formula(
            f'=IF(AND(basis="as tested",ISNUMBER(tested_{item})),tested_{item},{cell})', "0.0000", name=f"basis_{item}"
        ),
    )


def _section_row(section):
    return (
        f"Roughness of section {section}",
        Formula(f"=N(roughness_{section})", "0.0000"),
        "mm",
        Formula(
            f'=IF(ISNUMBER(tested_roughness),{section_roughness(section, "tested_roughness")},"")',
            "0.0000",
            name=f"tested_roughness_{section}",
        ),
        "",
        Formula("=" + section_roughness(section, "found_roughness"), "0.0000", name=f"found_roughness_{section}"),
        Formula("=" + section_roughness(section, "basis_roughness"), "0.0000", name=f"basis_roughness_{section}"),
    )


def _result_row(name, label, unit, designed, found, measured, digits, why):
    measured = f'=IF({measured[0]},{measured[1]},"")' if measured else '=""'
    return (
        label,
        Formula(f"={designed}", digits),
        unit,
        Formula(found, digits, name=f"found_{name}"),
        Formula(measured, digits),
        why,
    )


_RESULTS = (
    ("flow", "Flow", "L/s", "flow", _found("operating_flow"), ("ISNUMBER(reading_flow)", "reading_flow"), "0.000", ""),
    ("net_head", "Net head before the nozzle", "m", "net_head", _found("nozzle_head"), None, "0.00", ""),
    ("lost_head", "Head lost in the pipe", "m", "lost_head", _found("penstock_head"), None, "0.00", ""),
    (
        "running_pressure",
        "Gauge before the nozzle, running",
        "bar",
        "running_pressure",
        _found("running_pressure", bore="outlet_bore") + AT_GAUGE,
        ("ISNUMBER(reading_running)", "reading_running"),
        "0.00",
        "At the gauge's height.",
    ),
    ("jet_velocity", "Jet velocity", "m/s", "jet_velocity", _found("jet_velocity"), None, "0.0", ""),
    ("jet_watts", "Power in the jet", "W", "jet_power", _found("jet_power"), None, "0", ""),
    (
        "speed",
        "Speed",
        "rpm",
        "speed",
        _found("operating_speed"),
        ("ISNUMBER(reading_speed)", "reading_speed"),
        "0",
        "Higher than as tested where a controller limits or a meter is wrong.",
    ),
    (
        "current",
        "Direct current",
        "A",
        "current",
        _found("operating_current"),
        ("ISNUMBER(reading_amps)", "reading_amps"),
        "0.00",
        "Lower than as tested where a controller limits.",
    ),
    (
        "rectifier_volts",
        "Volts at the rectifier",
        "V",
        "rectifier_volts",
        _found("rectified_volts"),
        ("ISNUMBER(reading_rectifier)", "reading_rectifier"),
        "0.0",
        "",
    ),
    (
        "load_volts",
        "Volts at the load",
        "V",
        "load_volts",
        _found("operating_volts"),
        ("ISNUMBER(reading_volts)", "reading_volts"),
        "0.0",
        "As tested, a battery has the volts that were read.",
    ),
    (
        "watts",
        "Watts into the load",
        "W",
        "battery_watts",
        _found("operating_power"),
        ("ISNUMBER(reading_watts)", "reading_watts"),
        "0.0",
        "",
    ),
    ("copper_watts", "Lost in the windings", "W", "ledger_windings", _found("copper_loss"), None, "0.0", ""),
    (
        "cable_watts",
        "Lost in cable and joints",
        "W",
        "ledger_cable",
        _found("cable_loss"),
        None,
        "0.0",
        "Warm joints are a fire risk.",
    ),
    (
        "efficiency",
        "Water used to load",
        "%",
        "plant_efficiency",
        "=100*found_watts/" + call("hydraulic_power", flow="found_flow", head="found_gross_head"),
        None,
        "0.0",
        "",
    ),
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
            (*(_cause_row(*row) for row in ESTIMATED), _section_row(2), _section_row(3)),
            key="as_tested",
            how={
                "C": "from the sheets before",
                "E:F": "sheet Diagnosis; sections 2 and 3 in proportion to the first",
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
                "E": "the same functions with the tested values",
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
    ),
    widths=(3, 36, 18, 9, 17, 28, 31, 23),
    heads=("", "what", "value", "unit", "allowed", "note", "", ""),
)
CHECKS = ()
