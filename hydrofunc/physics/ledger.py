"""Where the water's power goes, from the intake to the battery. SI units.

Every loss is computed from its own physics, none as what is left over, so the sum of the ledger is a check
of the whole chain.
"""

from collections.abc import Callable

import numpy as np

from .alternator import copper_loss, diode_loss
from .cable import cable_loss
from .groups import MORE_SECTIONS, SECTION, Outlet, Pipe, Plant, Water, Wheel, flat, parameters
from .nozzle import HeadBalance, head_balance, jet_velocity, operating_flow
from .operating_point import operating_point
from .values import Result, Values, Words
from .water import density, kinematic_viscosity
from .wheel import cup_loss, euler_power, windage_power


@flat(
    "flow gross_head",
    SECTION,
    "nozzle fittings jets velocity_coefficient contraction temperature gravity",
    MORE_SECTIONS,
)
def head_use(flow: Values, gross_head: Values, pipe: Pipe, outlet: Outlet, water: Water) -> HeadBalance:
    """How a flow [m³/s] uses the gross head. [m]"""
    return head_balance(flow, gross_head, pipe.laid(), outlet, kinematic_viscosity(water.temperature), water.gravity)


def weight_flow(flow: Values, temperature: Values, gravity: Values) -> Result:
    """Weight of the water that passes each second. [N/s]"""
    return density(temperature) * gravity * flow


def _unfilled(weight, heads, flow, available_flow):
    return weight * np.where(flow >= available_flow, -heads.excess, 0.0)


def _alignment(speed: Values, flow: Values, jet_velocity: Values, wheel: Wheel, temperature: Values) -> Result:
    return (1 - wheel.alignment) * euler_power(speed, flow, jet_velocity, wheel, temperature)


def _controller(load, controller_efficiency, settled):
    tracked = np.asarray(load) == "controller"
    return np.where(tracked, (1 - controller_efficiency) * settled.volts * settled.current, 0.0)


# Each line from the single names it needs: inputs, and flow, heads (`head_use`), weight (`weight_flow`), jet_velocity,
# settled (`operating_point`), its speed and its current.
LINE_WATTS: dict[str, Callable[..., Result]] = {
    "gross": lambda weight, gross_head: weight * gross_head,
    "unfilled pipe": _unfilled,
    "pipe friction": lambda weight, heads: weight * heads.friction,
    "fittings": lambda weight, heads: weight * heads.fittings,
    "nozzle": lambda weight, heads, velocity_coefficient: weight * heads.nozzle * (1 - np.square(velocity_coefficient)),
    "cups": flat()(cup_loss).flat,
    "alignment": flat()(_alignment).flat,
    "windage": windage_power,
    "bearings": lambda bearing_drag, speed: bearing_drag * speed,
    "iron": lambda iron_drag, speed: iron_drag * speed,
    "windings": copper_loss,
    "diodes": diode_loss,
    "cable": cable_loss,
    "controller": _controller,
    "battery": lambda settled: settled.power,
}
LINES = tuple(LINE_WATTS)


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
    flow = operating_flow(gross_head, pipe, outlet, water, available_flow)
    heads = head_use(flow, gross_head, pipe, outlet, water)
    jet = jet_velocity(heads.nozzle, outlet.velocity_coefficient, water.gravity)
    settled = operating_point(flow, jet, wheel, alternator, load, water.temperature)
    names = {
        "gross_head": gross_head,
        "flow": flow,
        "available_flow": available_flow,
        "heads": heads,
        "weight": weight_flow(flow, *water),
        "jet_velocity": jet,
        "settled": settled,
        "speed": settled.speed,
        "current": settled.current,
    }
    for group in (outlet, water, wheel, alternator, load):
        names |= group._asdict()
    watts = [line(**{name: names[name] for name in parameters(line)}) for line in LINE_WATTS.values()]
    return np.select([np.asarray(ledger_line) == line for line in LINES], watts, np.nan)
