"""Results: the numbers that matter and the power ledger."""

from ..chain import of_plant
from ..model import Formula, Heading, Page, Result, Space, Table

RESULTS_SHEET = "Results"


LEDGER = (  # quantity of the plant without _watts, name of its cell, label, why
    ("gross", "gross", "Water falling from intake to nozzle", "Density x gravity x flow x gross head."),
    (
        "unfilled_pipe",
        "unfilled",
        "Head not used: pipe not full",
        "More than zero where the nozzle would take more than the source gives.",
    ),
    ("pipe_friction", "friction", "Pipe friction", "Longer or thinner pipe, or more flow: more."),
    ("fittings", "fittings", "Entrance, bends, valves", "Sheet Pipe: their loss coefficients K."),
    ("nozzle", "nozzle", "Nozzle", "Roughness inside the nozzle."),
    ("cups", "cups", "Water leaving the cups", "Least where the cups run at 0.46 of the jet velocity."),
    ("alignment", "alignment", "Jet not well aligned", "Spray, jet off the splitter."),
    ("windage", "windage", "Churning air and spray", "Grows with the cube of the speed (fan law)."),
    ("bearings", "bearings", "Bearings and seals", "Drag x angular speed."),
    ("iron", "iron", "Iron of the alternator", "Drag x angular speed."),
    ("windings", "windings", "Windings", "2 R I² of the star-equivalent winding: heat in the copper."),
    ("diodes", "diodes", "Diodes", "Two drops at all times: weighs most at 12 V."),
    ("cable", "cable", "Cable", "Current squared x resistance, out and back."),
    ("controller", "controller", "Controller", "What a maximum-power controller takes for itself."),
    ("battery", "battery", "Into the battery", "What you came for."),
)


def _ledger_rows():
    for quantity, key, label, why in LEDGER:
        yield (
            label,
            Formula("=" + of_plant(f"{quantity}_watts"), "0.0", name=f"ledger_{key}"),
            "W",
            Formula("=100*C{row}/ledger_gross", "0.0"),
            why,
        )


PAGE = Page(
    RESULTS_SHEET,
    "The numbers that matter, and where every watt goes.",
    (
        Heading("In short"),
        Result("plant_watts", "Watts into the battery", "W", "=battery_watts", digits="0.0", strong=True),
        Result("plant_energy", "Energy if it runs all day", "Wh", "=battery_watts*24", digits="#,##0", strong=True),
        Result("plant_flow", "Water used", "L/s", "=flow", digits="0.000", strong=True),
        Result("plant_lost_share", "Gross head lost in the pipe", "%", "=lost_share", digits="0.0"),
        Result("plant_best_nozzle", "Best nozzle for jet power", "mm", "=best_nozzle", digits="0.0", strong=True),
        Result(
            "plant_best_at_hand", "Nozzle to drill, of the sizes at hand", "mm", "=recommended_nozzle", digits="0.0"
        ),
        Result("plant_jet_power", "Power in the jet", "W", "=jet_power", digits="0"),
        Result("plant_speed", "The wheel settles at", "rpm", "=speed", digits="0", strong=True),
        Result("plant_speed_ratio", "Speed ratio there (best: 0.46)", "-", "=speed_ratio", digits="0.000"),
        Result("plant_amps", "Direct current", "A", "=current"),
        Result("plant_volts", "Volts at the end of the cable", "V", "=load_volts", digits="0.0"),
        Result("plant_efficiency", "Water used to battery", "%", "=100*battery_watts/ledger_gross", digits="0.0"),
        Result(
            "plant_runaway_volts", "Danger: open d.c. volts at runaway", "V", "=runaway_volts", digits="0", strong=True
        ),
        Result("checks_stop", "Checks that say stop", "-", '=COUNTIF(judgements,"stop")', digits="0", strong=True),
        Result("checks_look", "Checks that say look", "-", '=COUNTIF(judgements,"look")', digits="0"),
        Heading("Power ledger: every watt from the water to the battery", new_page=True),
        Space("ledger", 17),
        Table(
            ("line", "power", "unit", "of the water's, %", "why"),
            tuple(_ledger_rows()),
            key="ledger",
            names={"ledger_lines": "C"},
            spread="F",
        ),
        Result(
            "ledger_sum",
            "Losses and battery together",
            "W",
            "=SUM(ledger_lines)-ledger_gross",
            "Must equal the first line.",
            digits="0.0",
        ),
    ),
)
