"""True watts into the battery, by plain equations on arrays. Imports nothing of the package under test.

Values are a dict of the judge's names (see `names`) in their trade units, plus `altitude`, `latitude`,
`pole_pairs` and `delta` (1 where the winding is in delta, else 0). All broadcast together.

The water properties are those of tests/simulator; flow and torque balance are found by halving an interval,
and the tests hold both to that simulator's own root finder.
"""

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tests.simulator.plant import LAMINAR_BELOW, RPM, THREE_PHASE, water

Array = NDArray[np.float64]
Values = Mapping[str, Any]
HALVINGS = 46
COPPER = 1.7241e-8  # [Ω m] at 20 °C, IEC 60028
COPPER_WARMING = 0.00393  # [1/K], IEC 60028


def gravity(values: Values) -> Any:
    """By latitude and height: WGS 84 normal gravity (from memory) less 3.086e-6 per metre of altitude. [m/s²]"""
    sine = np.sin(np.radians(values["latitude"])) ** 2
    level = 9.7803253359 * (1 + 0.00193185265241 * sine) / np.sqrt(1 - 0.00669437999013 * sine)
    return level - 3.086e-6 * np.asarray(values["altitude"])


def friction_factor(reynolds: Any, relative: Any) -> Any:
    """Darcy's factor: 64/Re below Re 2040, else Colebrook's, iterated from Haaland's. [-]"""
    reynolds = np.maximum(reynolds, 1e-6)
    turbulent = np.maximum(reynolds, 2000.0)
    root = -1.8 * np.log10((relative / 3.7) ** 1.11 + 6.9 / turbulent)  # 1/sqrt f
    for _ in range(6):
        root = -2 * np.log10(relative / 3.7 + 2.51 * root / turbulent)
    return np.where(reynolds < LAMINAR_BELOW, 64 / reynolds, root**-2)


def pipe_loss(values: Values, flow: Any) -> Any:
    """Head lost in pipe and fittings at a flow [m³/s]. [m]"""
    bore = np.asarray(values["pipe_bore"]) / 1000
    speed = flow / (math.pi / 4 * bore**2)
    _, viscosity = water(np.asarray(values["water_temperature"], dtype=float))
    factor = friction_factor(speed * bore / viscosity, values["pipe_roughness"] / (1000 * bore))
    return (factor * values["pipe_length"] / bore + values["fittings_k"]) * speed**2 / (2 * gravity(values))


def flow_for_loss(values: Values, head: Any) -> Array:
    """Flow at which pipe and fittings lose this head [m]. [m³/s]"""
    high = np.asarray(math.pi / 4 * (np.asarray(values["pipe_bore"]) / 1000) ** 2 * np.sqrt(2 * 9.81 * head) * 3)
    return _halve(lambda flow: head - pipe_loss(values, flow), np.zeros_like(high), high)


def available_flow(values: Values) -> Any:
    """What may be taken from the source. [m³/s]"""
    return np.asarray(values["source_flow"]) / 1000 * (1 - np.asarray(values["left_in_stream"]) / 100)


def jet_area(values: Values) -> Any:
    """Of the jet where it is narrowest. [m²]"""
    return values["contraction"] * math.pi / 4 * (np.asarray(values["nozzle"]) / 1000) ** 2


def _halve(excess: Any, low: Array, high: Array) -> Array:
    """Root of a falling function between two limits."""
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        above = excess(middle) > 0
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    return (low + high) / 2


def jet(values: Values) -> tuple[Array, Array]:
    """Flow [m³/s] and jet velocity [m/s].

    Where the source gives less than pipe and nozzle would take, that is the flow, and the pipe runs partly empty.
    """
    area, earth = jet_area(values), gravity(values)
    most = area * values["velocity_coefficient"] * np.sqrt(2 * earth * np.asarray(values["gross_head"]))
    shape = np.broadcast_shapes(*(np.shape(values[name]) for name in ("pipe_length", "pipe_bore", "pipe_roughness")))
    most = np.broadcast_to(most, np.broadcast_shapes(np.shape(most), shape))

    def excess(flow: Array) -> Any:
        nozzle = (flow / area / values["velocity_coefficient"]) ** 2 / (2 * earth)
        return values["gross_head"] - pipe_loss(values, flow) - nozzle

    flow = np.minimum(_halve(excess, np.zeros_like(most), most), available_flow(values))
    return flow, flow / area


def cable_resistance(values: Values) -> Any:
    """Out and back. [Ω]"""
    warm = 1 + COPPER_WARMING * (np.asarray(values["cable_temperature"]) - 20)
    return 2 * np.asarray(values["cable_length"]) * COPPER / (np.asarray(values["cable_area"]) * 1e-6) * warm


def settled(values: Values, flow: Any = None, velocity: Any = None) -> dict[str, Any]:
    """The plant running: flow [m³/s], velocity [m/s], speed [rad/s], torques [N·m], current [A], watts, overlap [rad].

    Flow and velocity of the jet may be given where they are known already.
    """
    if flow is None:
        flow, velocity = jet(values)
    density, _ = water(np.asarray(values["water_temperature"], dtype=float))
    radius = np.asarray(values["pitch_diameter"]) / 2000
    cups = 1 + values["cup_friction"] * np.cos(np.pi - np.radians(values["deflection"]))
    stall = density * flow * values["alignment"] * cups * velocity * radius
    drag = np.asarray(values["bearing_drag"]) + values["iron_drag"]
    air = np.asarray(values["windage"]) * (RPM / 1000) ** 3
    part = np.where(np.asarray(values["delta"]) > 0.5, 3.0, 1.0)
    emf = THREE_PHASE * np.asarray(values["phase_volts"]) * RPM / 1000 / np.sqrt(part)
    resistance = 2 * values["phase_resistance"] / part
    commutation = 3 / math.pi * np.asarray(values["pole_pairs"]) * values["phase_inductance"] / 1000 / part
    cable = cable_resistance(values)
    fixed = np.asarray(values["battery_volts"]) + 2 * np.asarray(values["diode_drop"])

    def current_at(speed: Any) -> Any:
        return np.maximum(emf * speed - fixed, 0.0) / (resistance + cable + commutation * speed)

    def excess(speed: Any) -> Any:
        current = current_at(speed)
        return stall - stall / top * speed - drag - air * speed**2 - (emf - commutation * current) * current

    top = velocity / radius
    top = top + np.zeros(np.broadcast_shapes(np.shape(top), np.shape(stall), np.shape(emf), np.shape(cable)))
    speed = np.where(stall > drag, _halve(excess, np.zeros_like(top), top), 0.0)
    current = current_at(speed)
    return {
        "flow": flow,
        "velocity": velocity,
        "speed": speed,
        "top": top,
        "shaft": stall * (1 - speed / top) - drag - air * speed**2,
        "current": current,
        "watts": current * values["battery_volts"],
        "overlap": np.arccos(np.clip(1 - 2 * commutation * current / emf, -1, 1)),
        "excess": excess,
    }


def watts_of(values: Values) -> Any:
    """Watts into the battery for arrays of values."""
    return settled(values)["watts"]


def watts(site: Values, machine: Values | None = None) -> float:
    """True watts into the battery of one site's values, with the machine's values in place of the site's."""
    return float(watts_of({**site, **(machine or {})}))


def ledger(values: Values) -> dict[str, float]:
    """Where the water's gross power goes, each term from its own physics, while the pipe runs full. [W]"""
    state = settled(values)
    density, _ = water(values["water_temperature"])
    flow, velocity, speed, current = (float(state[name]) for name in ("flow", "velocity", "speed", "current"))
    earth = float(gravity(values))
    cup = speed * values["pitch_diameter"] / 2000
    inward = velocity - cup
    outward = values["cup_friction"] * inward
    turn = math.pi - math.radians(values["deflection"])
    leaving = density * flow / 2 * (cup**2 + outward**2 - 2 * cup * outward * math.cos(turn))
    rubbing = density * flow / 2 * (inward**2 - outward**2)
    jet_power = density * flow / 2 * velocity**2
    part = 3 if values["delta"] else 1
    return {
        "gross": density * earth * flow * values["gross_head"],
        "pipe": density * earth * flow * float(pipe_loss(values, flow)),
        "nozzle": jet_power * (1 / values["velocity_coefficient"] ** 2 - 1),
        "leaving": leaving,
        "cups": rubbing,
        "alignment": (1 - values["alignment"]) * (jet_power - leaving - rubbing),
        "drags": (values["bearing_drag"] + values["iron_drag"]) * speed + values["windage"] * (speed * RPM / 1000) ** 3,
        "copper": 2 * values["phase_resistance"] / part * current**2,
        "diodes": 2 * values["diode_drop"] * current,
        "cable": float(cable_resistance(values)) * current**2,
        "battery": float(state["watts"]),
    }
