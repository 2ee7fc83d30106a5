"""Choices: what the workbook proposes for a choice that is not made yet."""

from ..chain import of_plant
from ..model import Heading, Page, Result
from .common import limit

LIMITS = (limit("best_ratio", "Cup speed over jet velocity, best", 0.46, "-", "Common practice.", "[0.3, 0.6]"),)
PAGE = Page(
    "Choices",
    "What the workbook goes on with for a choice that you have not made.",
    (
        Heading("Proposed"),
        Result("recommended_nozzle", "Nozzle at hand with most watts", "mm", "=best_at_hand", digits="0.0"),
        Result("recommended_loss", "It loses", "%", "=0", digits="0.0"),
        Result("proposed_battery_volts", "Battery volts while charging", "V", "=27.2", digits="0.0"),
        Result(
            "proposed_pitch",
            "Pitch circle",
            "mm",
            "=60000*best_ratio*"
            + of_plant("jet_velocity", "nozzle", "recommended_nozzle", block="plant_water")
            + "/(PI()*1000)",
            digits="0",
        ),
        Result(
            "proposed_phase_volts", "One phase, per 1,000 rpm", "V/krpm", "=proposed_battery_volts*0.55", digits="0.00"
        ),
        Result(
            "proposed_phase_resistance", "One phase", "Ω", "=proposed_battery_volts^2/best_jet_power/10", digits="0.000"
        ),
        Result("proposed_phase_inductance", "One phase", "mH", "=proposed_phase_resistance", digits="0.000"),
        Result("proposed_connection", "Joined in", "", '="star"', digits="General"),
        Result("proposed_cable_area", "Conductor", "mm²", "=10", digits="0.0"),
    ),
)
