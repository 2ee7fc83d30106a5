"""A whole plant: every quantity from the inputs it needs, by the steps between. SI units.

A step is a function whose parameters are the names of inputs, or of other steps. So what a quantity needs follows from
the functions themselves, and steps that several quantities share are calculated once for one plant.

An input is a name as in `hydrofunc.catalogue.nomenclature`. Two more may be given: `speed` [rad/s] and `current` [A].
Left out, they are those at which the plant settles; with a speed, the current is the one that flows at it.
"""

from collections.abc import Callable, Collection, Mapping
from typing import Any, NamedTuple, Protocol

import numpy as np

from . import alternator, cable, ledger, nozzle, pipe, survey, wheel
from .groups import Wheel, flat, parameters
from .operating_point import operating_point, shorted_speed
from .values import Result, Values, Words
from .wheel import wheel_torque


class Memory(Protocol):
    """What remembers the results of steps, so that a second quantity of the same plant need not solve it again."""

    def get(self, step: str, arguments: Mapping[str, Any], calculate: Callable[[], Any]) -> Any:
        """The result of the step for these arguments: as remembered, else calculated."""


class Step(NamedTuple):
    """A function, and where its arguments come from; `costly` results are worth remembering."""

    function: Callable[..., Any]
    sources: Mapping[str, str]  # parameter: name of an input or of a step
    costly: bool = False


def _step(function, costly=False, **elsewhere):
    return Step(function, {name: elsewhere.get(name, name) for name in parameters(function)}, costly)


def _settled_step(function):
    """A step at the speed and current at which the plant settles, whatever speed may be given."""
    return _step(function, speed="operating_speed", current="operating_current")


def current_at_speed(
    speed: Values,
    phase_volts: Values,
    battery_volts: Values,
    pole_pairs: Values,
    phase_resistance: Values,
    phase_inductance: Values,
    connection: Words,
    diode_drop: Values,
    cable_resistance: Values,
    load: Words,
    load_resistance: Values,
) -> Result:
    """Direct current at a speed, as `charging_current`; a resistor's ohms count as cable before 0 V. [A]

    NaN for a controller, which chooses the current itself.
    """
    resistor = np.asarray(load) == "resistor"
    current = alternator.charging_current(
        speed,
        phase_volts,
        np.where(resistor, 0.0, battery_volts),
        pole_pairs,
        phase_resistance,
        phase_inductance,
        connection,
        diode_drop,
        cable_resistance + np.where(resistor, load_resistance, 0.0),
    )
    return np.where(np.asarray(load) == "controller", np.nan, current)


def stall_torque(flow: Values, jet_velocity: Values, wheel: Wheel, temperature: Values) -> Result:
    """Torque of the wheel held still, after the drag of its bearings. [N·m]"""
    return wheel_torque(0.0, flow, jet_velocity, wheel, temperature)


def cut_in_speed(
    phase_volts: Values, battery_volts: Values, connection: Words, diode_drop: Values, load: Words
) -> Result:
    """Speed at which a battery begins to be charged; 0 where the load is no battery. [rad/s]"""
    speed = alternator.cut_in_speed(phase_volts, battery_volts, connection, diode_drop)
    return np.where(np.asarray(load) == "battery", speed, 0.0)


def last_bore(length_2: Values, bore: Values, bore_2: Values, length_3: Values, bore_3: Values) -> Result:
    """Bore just before the nozzle: that of the last section there is. [m]"""
    bore = np.where(np.asarray(length_2) > 0, bore_2, bore)
    return np.where(np.asarray(length_3) > 0, bore_3, bore)


def plant_efficiency(battery_watts: Values, gross_watts: Values) -> Result:
    """Share of the water's power that reaches the load; NaN where no water flows. [-]"""
    return battery_watts / np.where(np.equal(gross_watts, 0), np.nan, gross_watts)


def watts_name(line: str) -> str:
    """The quantity that stands for a line of the ledger: pipe_friction_watts."""
    return line.replace(" ", "_") + "_watts"


CABLE = ("cable_length", "cable_area", "cable_material", "cable_temperature")

STEPS: dict[str, Step] = {
    # water
    "flow": _step(nozzle.operating_flow.flat, costly=True),
    "heads": _step(ledger.head_use.flat, costly=True),
    "net_head": _step(lambda heads: heads.nozzle),
    "lost_head": _step(lambda heads: heads.friction + heads.fittings),
    "friction_head": _step(lambda heads: heads.friction),
    "minor_head": _step(lambda heads: heads.fittings),
    "pipe_velocity": _step(pipe.pipe_velocity),
    "reynolds_number": _step(pipe.reynolds_number),
    "static_pressure": _step(survey.static_pressure, head="gross_head"),
    "last_bore": _step(last_bore),
    "running_pressure": _step(nozzle.running_pressure, bore="last_bore"),
    "jet_velocity": _step(nozzle.jet_velocity),
    "jet_diameter": _step(nozzle.jet_diameter),
    "jet_power": _step(nozzle.jet_power),
    "jet_force": _step(nozzle.jet_force),
    "best_nozzle": _step(nozzle.best_nozzle.flat, costly=True),
    "best_nozzle_flow": _step(nozzle.best_nozzle_flow.flat, costly=True),
    "best_nozzle_power": _step(nozzle.best_nozzle_power.flat, costly=True),
    "pipe_power_limit": _step(nozzle.pipe_power_limit.flat, costly=True),
    # wheel
    "speed_ratio": _step(wheel.speed_ratio),
    "cup_efficiency": _step(wheel.cup_efficiency),
    "cup_count": _step(wheel.cup_count),
    "jet_ratio": _step(wheel.jet_ratio),
    "specific_speed": _step(wheel.specific_speed),
    "stall_torque": _step(flat()(stall_torque).flat),
    "wheel_torque": _step(wheel.wheel_torque.flat),
    "wheel_power": _step(wheel.wheel_power.flat),
    "windage_power": _step(wheel.windage_power),
    "runaway_speed": _step(wheel.runaway_speed.flat),
    # alternator, cable, load
    "settled": _step(operating_point.flat, costly=True),
    "operating_speed": _step(lambda settled: settled.speed),
    "operating_current": _step(lambda settled: settled.current),
    "operating_volts": _step(lambda settled: settled.volts),
    "operating_power": _step(lambda settled: settled.power),
    "load_volts": _step(lambda settled: settled.volts),
    "speed": _step(lambda operating_speed: operating_speed),
    "current": _step(lambda operating_current: operating_current),
    "charging_current": _step(current_at_speed),
    "cut_in_speed": _step(cut_in_speed),
    "electrical_frequency": _step(alternator.electrical_frequency),
    "open_circuit_volts": _step(alternator.open_circuit_volts),
    "rectified_volts": _step(alternator.rectified_volts),
    "runaway_volts": _step(alternator.open_circuit_volts, speed="runaway_speed"),
    "alternator_torque": _step(alternator.alternator_torque),
    "electrical_torque": _step(lambda alternator_torque, iron_drag: alternator_torque + iron_drag),
    "overlap_angle": _step(alternator.overlap_angle),
    "copper_loss": _step(alternator.copper_loss),
    "diode_loss": _step(alternator.diode_loss),
    "shorted_current": _step(alternator.shorted_current),
    "shorted_torque": _step(alternator.shorted_torque),
    "shorted_heat": _step(lambda shorted_torque, speed: shorted_torque * speed),
    "shorted_peak_speed": _step(alternator.shorted_peak_speed),
    "shorted_speed": _step(shorted_speed.flat, costly=True),
    "cable_loss": _step(cable.cable_loss),
    "cable_drop": _step(cable.cable_drop),
    # ledger
    "weight": _step(ledger.weight_flow),
    **{watts_name(line): _settled_step(watts) for line, watts in ledger.LINE_WATTS.items()},
    "plant_efficiency": _step(plant_efficiency),
}
# Steps that hold only where an input is given, or is worked up from others.
CURRENT_AT_SPEED = STEPS["charging_current"]
CABLE_WORKED_UP = Step(cable.cable_resistance, dict(zip(parameters(cable.cable_resistance), CABLE, strict=True)))


def steps_with(given: Collection[str], cable_worked_up: bool) -> Mapping[str, Step]:
    """The steps of a plant of which `speed` and `current`, or one of them, may be given."""
    steps = {name: step for name, step in STEPS.items() if name not in given}
    if "speed" in given and "current" not in given:
        steps["current"] = CURRENT_AT_SPEED
    if cable_worked_up:
        steps["cable_resistance"] = CABLE_WORKED_UP
    return steps


def inputs_of(quantity: str, steps: Mapping[str, Step]) -> tuple[str, ...]:
    """The inputs that a quantity needs, those of the first steps first."""
    names: dict[str, None] = {}

    def gather(name):
        if name in steps:
            for source in steps[name].sources.values():
                gather(source)
        else:
            names[name] = None

    gather(quantity)
    return tuple(names)


def solved(quantity: str, known: dict[str, Any], steps: Mapping[str, Step], memory: Memory | None = None) -> Result:
    """A quantity of a plant, in SI. `known` holds the inputs that it needs; results of steps are added to it."""
    # No function within this one that names itself: it would hold all results until garbage is collected.
    if quantity not in known:
        step = steps[quantity]
        arguments = {name: solved(source, known, steps, memory) for name, source in step.sources.items()}
        if step.costly and memory is not None:
            known[quantity] = memory.get(quantity, arguments, lambda: step.function(**arguments))
        else:
            known[quantity] = step.function(**arguments)
    return known[quantity]


def plant(plant: Mapping[str, Any], quantity: str, names: Collection[str] = (), values: Collection[Any] = ()) -> Result:
    """A quantity of a plant, which is a mapping of names to values; some of them changed. [the quantity's SI unit]"""
    changed = dict(zip(names, values, strict=True))
    given = [name for name in ("speed", "current") if name in changed]
    worked_up = "cable_resistance" not in changed and any(name in changed for name in CABLE)
    return solved(quantity, {**plant, **changed}, steps_with(given, worked_up))
