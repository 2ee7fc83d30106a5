"""Where the water's power goes, from the intake to the battery. SI units.

Every loss is computed from its own physics, none as what is left over, so the sum of the ledger is a check
of the whole chain.
"""

import numpy as np

from .alternator import copper_loss, diode_loss
from .cable import cable_loss
from .groups import MORE_SECTIONS, SECTION, Plant, flat
from .nozzle import head_balance, jet_velocity, operating_flow
from .operating_point import operating_point
from .values import Result, Words
from .water import density, kinematic_viscosity
from .wheel import cup_loss, euler_power, windage_power

LINES = (
    "gross",
    "unfilled pipe",
    "pipe friction",
    "fittings",
    "nozzle",
    "cups",
    "alignment",
    "windage",
    "bearings",
    "iron",
    "windings",
    "diodes",
    "cable",
    "controller",
    "battery",
)


@flat(
    f"gross_head {SECTION}",
    """nozzle pitch_diameter phase_volts pole_pairs phase_resistance battery_volts fittings jets velocity_coefficient
    contraction temperature gravity available_flow deflection cup_friction alignment bearing_drag windage
    phase_inductance connection diode_drop cable_resistance iron_drag load load_resistance controller_efficiency""",
    MORE_SECTIONS,
    "ledger_line",
)
def power_ledger(plant: Plant, ledger_line: Words) -> Result:
    """One line of the power ledger of a whole plant. [W]

    `ledger_line` is a word of `LINES`, or an array of them:

    - "gross", the power of the flow that is used, falling through the gross head;
    - "unfilled pipe", the head left over where the source gives less than the nozzle would take;
    - "pipe friction", "fittings" and "nozzle";
    - "cups", water leaving the cups and friction in them; "alignment", "windage" and "bearings" of the wheel;
    - "iron" and "windings" of the alternator, "diodes", "cable" and "controller";
    - "battery", what reaches the battery, or the resistor.

    Returns
    -------
    float or ndarray
        "gross" equals the sum of all other lines. With the wheel at rest all the jet's power is lost in the
        cups. NaN for another word. [W]
    """
    gross_head, pipe, outlet, water, available_flow, wheel, alternator, load = plant
    temperature, gravity = water
    flow = operating_flow(gross_head, pipe, outlet, water, available_flow)
    heads = head_balance(flow, gross_head, pipe.laid(), outlet, kinematic_viscosity(temperature), gravity)
    unused = np.where(flow >= available_flow, -heads.excess, 0.0)
    jet = jet_velocity(heads.nozzle, outlet.velocity_coefficient, gravity)
    settled = operating_point(flow, jet, wheel, alternator, load, temperature)
    speed, current = settled.speed, settled.current
    weight = density(temperature) * gravity * flow
    tracked = np.asarray(load.load) == "controller"
    watts = {
        "gross": weight * gross_head,
        "unfilled pipe": weight * unused,
        "pipe friction": weight * heads.friction,
        "fittings": weight * heads.fittings,
        "nozzle": weight * heads.nozzle * (1 - outlet.velocity_coefficient**2),
        "cups": cup_loss(speed, flow, jet, wheel, temperature),
        "alignment": (1 - wheel.alignment) * euler_power(speed, flow, jet, wheel, temperature),
        "windage": windage_power(speed, wheel.windage),
        "bearings": wheel.bearing_drag * speed,
        "iron": alternator.iron_drag * speed,
        "windings": copper_loss(current, alternator.phase_resistance, alternator.connection),
        "diodes": diode_loss(current, alternator.diode_drop),
        "cable": cable_loss(current, load.cable_resistance),
        "controller": np.where(tracked, (1 - load.controller_efficiency) * settled.volts * current, 0.0),
        "battery": settled.power,
    }
    return np.select([np.asarray(ledger_line) == name for name in LINES], [watts[name] for name in LINES], np.nan)
