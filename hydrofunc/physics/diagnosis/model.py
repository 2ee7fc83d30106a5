"""What each instrument reads on a plant with given causes, and how that changes with every cause.

`x` holds the causes, (causes, pairs); a pair is a plant and a component of the prior, whose number is in `kind`.
Derivatives are by the complex step, exact to rounding: a cause is changed by an imaginary part too small to touch the
real one, and the imaginary part of the result is then the derivative times that step. W. Squire and G. Trapp, Using
complex variables to estimate derivatives of real functions, SIAM Review 40 (1998) 110 (from memory, not looked up).

Flow and current are roots of a balance. The root is sought in real numbers; one Newton step from there with the same
balance in complex numbers, exact to first order, gives the root of the changed causes.
"""

from typing import Any, NamedTuple

import numpy as np

from ..alternator import alternator_torque, dc_emf_constant
from ..groups import Load, Pipe, Plant, over
from ..nozzle import head_balance, jet_velocity, nozzle_head, operating_flow, running_pressure
from ..operating_point import operating_point, torque_balance
from ..pipe import ROUGHEST, outlet_bore, pipe_velocity
from ..values import Result, Values
from ..water import density, kinematic_viscosity
from .priors import (
    AT_INPUT,
    AT_INTAKE,
    CAUSES,
    CLEARED,
    HEALTHY_BALANCE,
    INDEX,
    METER,
    METERED,
    OPEN_TOO,
    SINGLE_PHASE,
    SWAPPED,
)

_WATER = ("head", "roughness", "velocity_coefficient", "nozzle", "bore", "extra_loss", "leak", "source", "void")
_MACHINE = (
    "alignment",
    "bearing_drag",
    "iron_drag",
    "windage",
    "seal",
    "ponding",
    "emf",
    "turns",
    "shorted",
    "ring",
    "resistance",
    "inductance",
    "cable",
    "joint",
)
_SMOOTHEST = 1.5e-6  # m; a pipe taken as smooth still has this roughness, or nothing could be a multiple of it
# A leak flows with the valve shut too, at more pressure: square of its flow there over that while running, where
# three tenths of the head are lost on the way.
_MORE_AT_REST = 1.4
_ONE_BAR = 10.2  # m of water
_BURSTS = 0.8  # of the torque, for one volume of air in one of water; common practice, no published source
# At a voltmeter's current a diode drops about half as much as at full current, but the emf may have been read before
# it. Where nobody told the speed it may have been that of a slow drill. Common practice, no published source.
_WITHOUT_LOAD = 1.4  # speed at which the emf may be read, over the planned speed
_MOST_KEPT_BACK = 0.9  # of the emf
_KEPT_BACK = {True: (0.5, 0.6), False: (1.0, 2.0)}  # by whether it is told: drops of one diode, and their doubt
_STEP = 1e-20  # imaginary


class Planned(NamedTuple):
    """The plant as planned, and the sizes by which causes are counted; one element per plant."""

    plant: Plant
    gauge_height: Result
    flow: Result
    velocity: Result  # in the first bore
    lost: Result  # head
    volts: Result  # at the load
    current: Result
    speed: Result
    torque: Result  # of the alternator
    load: Result  # what `load_a` and `load_b` multiply: volts, or ohms of a resistor
    open_speed: Result  # at which the emf was read
    open_drop: Result  # volts that two diodes keep back then, over that speed
    open_doubt: Result  # its standard uncertainty

    def pick(self, plants: Any) -> "Planned":
        """The same for some plants, repeated as `plants` says."""
        return over(lambda values: values[plants], self)


def planned(plant: Plant, gauge_height: Values, open_speed: Values = 0.0) -> Planned:
    """How the plant would run, and at which speed its emf is read, 0 if not told; every value is an array (plants,)."""
    gross_head, pipe, outlet, water, available_flow, wheel, alternator, load = plant
    flow = operating_flow(gross_head, pipe, outlet, water, available_flow)
    jet = jet_velocity(nozzle_head(flow, outlet, water.gravity), outlet.velocity_coefficient, water.gravity)
    point = operating_point(flow, jet, wheel, alternator, load, water.temperature)
    torque = alternator_torque(
        point.current, alternator.phase_volts, alternator.pole_pairs, alternator.phase_inductance, alternator.connection
    )
    volts, speed = np.maximum(point.volts, 0.1), np.maximum(point.speed, 1.0)
    told = np.asarray(open_speed) > 0
    drop, doubt = (alternator.diode_drop * np.where(told, *of) for of in zip(_KEPT_BACK[True], _KEPT_BACK[False]))
    open_speed = np.where(told, open_speed, _WITHOUT_LOAD * speed)
    emf = dc_emf_constant(alternator.phase_volts, alternator.connection)
    return Planned(
        plant,
        gauge_height,
        flow,
        pipe_velocity(flow, pipe.sections[0].bore),
        np.maximum(gross_head - nozzle_head(flow, outlet, water.gravity), 0.0),
        volts,
        np.maximum(point.current, 1e-3),
        speed,
        np.maximum(torque, 1e-3),
        np.where(load.load == "resistor", load.load_resistance, volts),
        open_speed,
        np.minimum(drop / open_speed, _MOST_KEPT_BACK * emf),
        doubt / open_speed,
    )


def _cause(x, name):
    return x[INDEX[name]]


def _changed(x, causes):
    """`x` with each of the causes named changed by an imaginary step: (causes, changes, pairs). None changes
    nothing.
    """
    changed = np.repeat(x[:, None, :].astype(complex), len(causes), axis=1)
    for change, cause in enumerate(causes):
        if cause is not None:
            changed[INDEX[cause], change] += 1j * _STEP
    return changed


def _water_as_built(x, plan):
    """Gross head, pipe and outlet with these causes."""
    gross_head, pipe, outlet, *_ = plan.plant
    rougher, wider = np.exp(_cause(x, "roughness")), np.exp(_cause(x, "bore"))
    sections = tuple(
        section._replace(bore=section.bore * wider, roughness=_rough(section.roughness, section.bore, rougher))
        for section in pipe.laid().sections
    )
    return (
        gross_head * np.exp(_cause(x, "head")),
        Pipe(sections, pipe.fittings + _extra_fittings(x, plan)),
        outlet._replace(
            nozzle=outlet.nozzle * np.exp(_cause(x, "nozzle")) * np.power(_of_water(x, plan), 0.25),
            velocity_coefficient=outlet.velocity_coefficient + _cause(x, "velocity_coefficient"),
        ),
    )


def _rough(roughness, bore, factor):
    return np.minimum(np.maximum(roughness, _SMOOTHEST) * factor, ROUGHEST * bore)


def _extra_fittings(x, plan):
    """Loss coefficient of what blocks the pipe, and of the flow of a leak halfway, by the first bore. [-]"""
    leak = _cause(x, "leak")
    head = _cause(x, "extra_loss") * plan.plant.gross_head + (np.square(1 + leak) - 1) / 2 * plan.lost
    # Air bubbles make the column lighter: less and less on the way down, as they are pressed together (Boyle).
    head = head + _cause(x, "void") * _ONE_BAR * np.log1p(plan.plant.gross_head / _ONE_BAR)
    return head * 2 * plan.plant.water.gravity / np.square(plan.velocity)


def _of_water(x, plan):
    """Density of the jet over that of water: the jet leaves with the speed of its pressure and its own density, so that
    the flow of water goes by the root, as if the opening had that less.
    """
    return 1 / (1 + _cause(x, "void") / (1 + plan.plant.gross_head / _ONE_BAR))


def _machine_as_built(x, plan, kind, crest=0.0):
    """Wheel, alternator and cable resistance with these causes; `crest`: ln, of the voltage under a load."""
    wheel, alternator, load = plan.plant[-3:]
    single, other = SINGLE_PHASE[kind], np.where(alternator.connection == "star", "delta", "star")
    ring = _ring_torque(x, plan)
    ponding = (_cause(x, "ponding") * plan.torque + ring / 2) / np.square(plan.speed)
    # A share of one phase's turns: of the mean of three.
    sound, turns = 1 - _cause(x, "shorted") / 3, _cause(x, "turns")
    return (
        wheel._replace(
            alignment=np.maximum(
                wheel.alignment + _cause(x, "alignment") - _BURSTS * wheel.alignment * _cause(x, "void"), 0.02
            ),
            bearing_drag=wheel.bearing_drag * np.exp(_cause(x, "bearing_drag"))
            + _cause(x, "seal") * plan.torque
            + ring / 2,
            windage=wheel.windage * np.exp(_cause(x, "windage")) + ponding,
        ),
        alternator._replace(
            phase_volts=alternator.phase_volts
            * np.exp(_cause(x, "emf") + turns + crest)
            * sound
            * np.where(single, 2 / 3, 1.0),
            phase_resistance=alternator.phase_resistance * np.exp(_cause(x, "resistance") + 2 * turns),
            phase_inductance=alternator.phase_inductance
            * np.exp(_cause(x, "inductance") + 2 * turns)
            * np.where(single, 4 / 3, 1.0),
            connection=np.where(SWAPPED[kind], other, alternator.connection),
            iron_drag=alternator.iron_drag * np.exp(_cause(x, "iron_drag")),
        ),
        load.cable_resistance * np.exp(_cause(x, "cable")) + _cause(x, "joint") * plan.volts / plan.current,
    )


def _ring_torque(x, plan):
    """Torque by which shorted turns brake at the planned speed: a ring with the emf, resistance and leakage of its
    turns.

    It grows about with the speed: half of it counts as constant, half as growing with the square.
    """
    alternator, share = plan.plant.alternator, _cause(x, "shorted")
    reactance = alternator.pole_pairs * plan.speed * alternator.phase_inductance * share
    resistance = np.maximum(alternator.phase_resistance, 1e-6)
    torque = (
        share
        * plan.speed
        * np.square(alternator.phase_volts)
        * resistance
        / (np.square(resistance) + np.square(reactance))
    )
    return np.exp(_cause(x, "ring")) * torque


def _water_side(x, plan):
    """Flow, jet velocity and the gauge before the nozzle, each (1 + changes of `_WATER`, pairs); the first is
    unchanged.
    """
    water = plan.plant.water
    # What was surveyed is a dry day's flow: a plan that needs less of it says nothing of how much there is.
    available_flow = np.where(plan.flow < plan.plant.available_flow, np.inf, plan.plant.available_flow)
    causes = _changed(x, (None, *_WATER))
    states = _water_as_built(causes, plan)
    # What no cause changes has no axis of changes.
    built = over(lambda values: values[0].real if np.ndim(values) > 1 else values, states)
    changed = over(lambda values: values[1:] if np.ndim(values) > 1 else values, states)
    source = plan.flow * np.exp(_cause(causes, "source"))
    most = np.minimum(available_flow, source[0].real)
    flow = operating_flow(*built, water, most)
    balance = head_balance(flow, *changed, kinematic_viscosity(water.temperature), water.gravity)
    by_source = np.where(most < available_flow, source[1:].imag / most, 0.0)
    change = np.where(flow >= most, by_source, -balance.excess.imag / balance.slope.real)  # of ln(flow)
    flows = np.concatenate([flow[None].astype(complex), flow * (1 + 1j * change)])
    _, pipe, outlet = states
    net = nozzle_head(flows, outlet, water.gravity)
    above = net - plan.gauge_height
    gauge = running_pressure(above, flows, outlet_bore(pipe), water.temperature, water.gravity)
    return flows, jet_velocity(net, outlet.velocity_coefficient, water.gravity), gauge


def _electrical_side(x, plan, kind, flow, jet, letter):
    """The causes changed at load `letter`; and speed, rectifier volts, load volts and current, each (changes,
    pairs).
    """
    causes = (*_WATER, *_MACHINE, f"crest_{letter}", f"load_{letter}", f"held_{letter}")
    of_water = [_WATER.index(cause) + 1 if cause in _WATER else 0 for cause in causes]
    temperature, planned_load = plan.plant.water.temperature, plan.plant.load
    kind_of_load = np.where(planned_load.load == "resistor", "resistor", "battery")

    def machine(x):
        wheel, alternator, cable_resistance = _machine_as_built(x, plan, kind, _cause(x, f"crest_{letter}"))
        size = plan.load * np.exp(_cause(x, f"load_{letter}"))
        load = Load(kind_of_load, size, size, planned_load.controller_efficiency, cable_resistance)
        return wheel, alternator, load, temperature

    settled = operating_point(flow[0].real, jet[0].real, *machine(x)).current
    x = _changed(x, causes)
    wheel, alternator, load, _ = machine(x)
    balance = torque_balance(flow[of_water], jet[of_water], wheel, alternator, load, temperature)
    excess, slope = balance.excess(settled)
    current = settled + 1j * np.where(settled > 0, -excess.imag / slope.real, 0.0)
    current = current * np.exp(_cause(x, f"held_{letter}"))
    speed = balance.speed_under(current)
    inside = balance.windings + balance.drop * speed
    rectifier = np.maximum(balance.emf * speed - current * inside - 2 * alternator.diode_drop, 0.0)
    volts = np.where(kind_of_load == "resistor", load.load_resistance * current, load.battery_volts)
    # A bridge that blocks hangs on the battery by the cable.
    rectifier = np.where((settled > 0) | (rectifier.real > volts.real), rectifier, volts)
    if letter == "a":
        volts = np.where(AT_INPUT[kind], rectifier - current * load.cable_resistance, volts)
    return causes, (speed, rectifier, volts, current)


def readings_of(x: np.ndarray, plan: Planned, kind: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Readings of meters (pairs, METERED) with the causes `x`, and their derivatives (pairs, METERED, causes). [SI]"""
    plant, pairs = plan.plant, x.shape[1]
    flow, jet, gauge = _water_side(x, plan)
    of_static = ("head", "air", "leak", "zero")
    head = _changed(x, of_static)
    static = plant.gross_head * np.exp(_cause(head, "head")) * (1 - _cause(head, "air")) - plan.gauge_height
    static = static - _MORE_AT_REST * np.square(_cause(head, "leak")) / 2 * plan.lost
    # Of every reading the causes that change it, and its values with each of them changed.
    weight = density(plant.water.temperature) * plant.water.gravity
    zero = _cause(head, "zero") * plant.gross_head * weight
    rows: list[tuple[tuple[str, ...], Any]] = [(of_static, weight * static + zero)]
    rows += [((*_WATER, "zero"), np.concatenate([gauge[1:] + zero[3].real, (gauge[0].real + zero[3])[None]]))]
    leaving = np.where(AT_INTAKE[kind], _cause(_changed(x, _WATER), "leak"), 0.0) * plan.flow
    rows += [(_WATER, flow[1:] + leaving)]
    for letter in "ab":
        causes, values = _electrical_side(x, plan, kind, flow, jet, letter)
        rows += [(causes, value) for value in values]
    seen = np.where(SINGLE_PHASE[kind] & ~OPEN_TOO[kind], 1.5, 1.0)
    of_emf = ("emf", "turns", "shorted")
    _, alternator, _ = _machine_as_built(_changed(x, of_emf), plan, kind)
    without_load = seen * dc_emf_constant(alternator.phase_volts, alternator.connection) - plan.open_drop
    rows += [(of_emf, without_load)]
    uneven = _changed(x, ("balance", "shorted"))
    # In star two line volts lack half of what the phase lacks. In delta a current runs round the three windings: its
    # own line lacks two thirds, the others a sixth.
    unlike = _cause(uneven, "shorted") / 2
    rows += [(("balance", "shorted"), HEALTHY_BALANCE + _cause(uneven, "balance") - unlike)]
    wider = np.where(CLEARED[kind], 0.0, _cause(_changed(x, ("nozzle",)), "nozzle"))
    rows += [(("nozzle",), plant.outlet.nozzle * np.exp(wider))]
    readings, slopes = np.empty((pairs, METERED)), np.zeros((pairs, METERED, len(CAUSES)))
    for reading, (causes, values) in enumerate(rows):
        factor = np.exp(METER[reading, kind] * _cause(x, "meter"))
        readings[:, reading] = values[0].real * factor
        slopes[:, reading, [INDEX[cause] for cause in causes]] = (values.imag / _STEP * factor).T
    slopes[:, :, INDEX["meter"]] = readings * METER[:, kind].T
    return readings, slopes


def items_of(x: np.ndarray, plan: Planned, kind: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Values of ITEMS (pairs, items) with the causes `x`, and their derivatives (pairs, items, causes). [SI]

    A wrong joining of the windings is counted as the winding that does the same when joined as planned.
    """
    plant, pairs = plan.plant, x.shape[1]
    x = _changed(x, CAUSES)
    gross_head, pipe, outlet = _water_as_built(x, plan)
    wheel, alternator, cable_resistance = _machine_as_built(x, plan, kind)
    as_planned = dc_emf_constant(1.0, alternator.connection) / dc_emf_constant(1.0, plant.alternator.connection)
    first = plant.pipe.sections[0]
    values = (
        gross_head,
        _rough(first.roughness, first.bore, np.exp(_cause(x, "roughness"))),
        pipe.fittings,
        outlet.velocity_coefficient,
        outlet.nozzle,
        wheel.alignment,
        wheel.bearing_drag,
        wheel.windage,
        alternator.phase_volts * as_planned,
        alternator.phase_resistance * np.square(as_planned),
        cable_resistance,
    )
    table = np.array([np.broadcast_to(value, (len(CAUSES), pairs)) for value in values])
    return table[:, 0].real.T, (table.imag / _STEP).transpose(2, 0, 1)
