"""Where the water's power goes, from the intake to the battery. SI units.

Every loss is computed from its own physics, none as what is left over, so the sum of the ledger is a check
of the whole chain.
"""

import numpy as np

from .alternator import copper_loss, diode_loss
from .cable import cable_loss
from .nozzle import jet_velocity, nozzle_head, operating_flow
from .operating_point import operating_point
from .pipe import minor_head, penstock_head
from .water import density
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


def power_ledger(
    gross_head,
    length,
    bore,
    roughness,
    nozzle,
    pitch_diameter,
    phase_volts,
    pole_pairs,
    phase_resistance,
    battery_volts,
    fittings,
    jets,
    velocity_coefficient,
    contraction,
    temperature,
    gravity,
    available_flow,
    deflection,
    cup_friction,
    alignment,
    bearing_drag,
    windage,
    phase_inductance,
    connection,
    diode_drop,
    cable_resistance,
    iron_drag,
    load,
    load_resistance,
    controller_efficiency,
    length_2,
    bore_2,
    roughness_2,
    length_3,
    bore_3,
    roughness_3,
    ledger_line,
):
    """One line of the power ledger of a whole plant. [W]

    All arguments but the last are those of `hydrofunc.physics.nozzle.operating_flow` and
    `hydrofunc.physics.operating_point.operating_point`. `ledger_line` is a word of `LINES`, or an array of them:

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
    pipe = (temperature, gravity, length_2, bore_2, roughness_2, length_3, bore_3, roughness_3)
    flow = operating_flow(
        gross_head,
        length,
        bore,
        roughness,
        nozzle,
        fittings,
        jets,
        velocity_coefficient,
        contraction,
        temperature,
        gravity,
        available_flow,
        *pipe[2:],
    )
    friction = penstock_head(flow, length, bore, roughness, 0.0, *pipe)
    bends = minor_head(flow, bore, fittings, gravity)
    before_nozzle = nozzle_head(flow, nozzle, jets, velocity_coefficient, contraction, gravity)
    limited = flow >= available_flow
    unused = np.where(limited, gross_head - friction - bends - before_nozzle, 0.0)
    jet = jet_velocity(before_nozzle, velocity_coefficient, gravity)
    settled = operating_point(
        flow,
        jet,
        pitch_diameter,
        phase_volts,
        pole_pairs,
        phase_resistance,
        battery_volts,
        phase_inductance,
        connection,
        diode_drop,
        cable_resistance,
        deflection,
        cup_friction,
        alignment,
        bearing_drag,
        windage,
        iron_drag,
        load,
        load_resistance,
        controller_efficiency,
        temperature,
    )
    speed, current = settled.speed, settled.current
    weight = density(temperature) * gravity * flow
    ideal = euler_power(speed, flow, jet, pitch_diameter, deflection, cup_friction, temperature)
    tracked = np.asarray(load) == "controller"
    watts = {
        "gross": weight * gross_head,
        "unfilled pipe": weight * unused,
        "pipe friction": weight * friction,
        "fittings": weight * bends,
        "nozzle": weight * before_nozzle * (1 - velocity_coefficient**2),
        "cups": cup_loss(speed, flow, jet, pitch_diameter, deflection, cup_friction, temperature),
        "alignment": (1 - alignment) * ideal,
        "windage": windage_power(speed, windage),
        "bearings": bearing_drag * speed,
        "iron": iron_drag * speed,
        "windings": copper_loss(current, phase_resistance, connection),
        "diodes": diode_loss(current, diode_drop),
        "cable": cable_loss(current, cable_resistance),
        "controller": np.where(tracked, (1 - controller_efficiency) * settled.volts * current, 0.0),
        "battery": settled.power,
    }
    return np.select([np.asarray(ledger_line) == name for name in LINES], [watts[name] for name in LINES], np.nan)
