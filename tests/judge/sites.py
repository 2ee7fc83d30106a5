"""Invented true sites of one-person plants, from the judge's own judgement of what such people really have.

A quantity is drawn by one function of `DRAWS`, in their order, each from those before it, for many sites at once.
Where a distribution comes from is said in the function's text: "own" is the judge's own judgement, "from memory" a
published value not looked up. Sites on which a sensible plant would give less than `LEAST_WATTS` or more than
`MOST_WATTS` into the battery, or whose jet would be thinner than 2 mm, are thrown away: nobody builds them (own).

What all populations share is in `population`.
"""

import numpy as np

from . import truth
from .population import Population, by_name, choice, lognormal
from .truth import Array

LEAST_WATTS, MOST_WATTS = 12.0, 450.0
THINNEST_JET = 2.0  # [mm]
PIPE_SIZES = (16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0)  # outside [mm], sizes of EN 12201-2 (from memory)
PIPE_SHARES = (0.04, 0.11, 0.20, 0.27, 0.20, 0.12, 0.06)
WALL_RATIOS = (7.4, 11.0, 13.6, 17.0)  # outside over wall, SDR series of EN 12201-2 (from memory)
WALL_SHARES = (0.10, 0.40, 0.25, 0.25)
CABLE_SIZES = np.array((1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0))  # [mm²], IEC 60228
SHAFT_SHARE = 0.65  # of the jet's power, to give the drags their size (own)


def _system_volts(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Nominal battery volts: mostly 12 and 24 (own)."""
    return choice(rng, n, (12, 24, 48), (0.42, 0.36, 0.22))


def _altitude(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Hills and mountains where people live [m] (own)."""
    return rng.uniform(50, 2600, n)


def _latitude(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Anywhere people live in hills [°] (own)."""
    return rng.uniform(0, 62, n)


def _gross_head(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """15 to 150 m as the brief says, the middle most usual (own)."""
    return np.clip(lognormal(rng, n, 48, 0.55), 15, 150)


def _pipe_length(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """From the slope along the pipe: 1 in 20 to 1 in 2, 100 to 1500 m as the brief says (own)."""
    return np.clip(v["gross_head"] / np.clip(lognormal(rng, n, 0.13, 0.55), 0.03, 0.6), 100, 1500)


def _pipe_outside(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Sizes in the trade, 25 to 40 mm most usual (own)."""
    return choice(rng, n, PIPE_SIZES, PIPE_SHARES)


def _pipe_wall(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Wall by pressure class [mm]; at least 2 mm, as thin pipe is made (EN 12201-2, from memory; shares own)."""
    return np.maximum(v["pipe_outside"] / choice(rng, n, WALL_RATIOS, WALL_SHARES), 2.0)


def _pipe_bore(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Outside up to 0.3 mm over, wall up to a tenth and 0.1 mm over (EN 12201-2, from memory), then 0.5 % (own)."""
    wall = v["pipe_wall"] * (1 + rng.uniform(0, 0.10, n)) + rng.uniform(0, 0.1, n)
    return (v["pipe_outside"] + rng.uniform(0, 0.3, n) - 2 * wall) * rng.normal(1, 0.005, n)


def _pipe_roughness(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """New 0.0015 to 0.01 mm, used about 0.02, old and second-hand with film or scale 0.03 to 0.3 mm.

    P. Fraenkel and A. Harvey, micro-hydro manuals, give 0.003 good, 0.01 normal, 0.05 poor for plastic pipe (from
    memory); the shares and the old second-hand pipe are own.
    """
    kind = rng.choice(3, n, p=(0.5, 0.33, 0.17))
    return np.clip(np.array((0.005, 0.018, 0.08))[kind] * np.exp(rng.normal(0, 0.55, n)), 0.0015, 0.6)


def _entrance(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Sharp 0.5, inward 0.8 to 1, with a strainer up to 2 (Crane TP-410 for the bare ones, from memory)."""
    return rng.uniform(0.5, 1.0, n) + np.where(rng.random(n) < 0.6, rng.uniform(0.1, 1.2, n), 0.0)


def _fittings_k(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Entrance, 2 to 12 bends of 0.2 to 0.9, one or two valves, couplings every 50 to 100 m of 0.05 to 0.3.

    Single values from Crane TP-410 (from memory), their numbers own; one site in eight has a globe valve or a
    filter of 4 to 9.
    """
    bends = rng.integers(2, 13, n) * rng.uniform(0.2, 0.9, n)
    valves = rng.integers(1, 3, n) * rng.uniform(0.05, 0.4, n)
    joints = v["pipe_length"] / rng.uniform(50, 100, n) * rng.uniform(0.05, 0.3, n)
    narrow = np.where(rng.random(n) < 0.125, rng.uniform(4, 9, n), 0.0)
    return v["entrance"] + bends + valves + joints + narrow


def _water_temperature(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Springs are near the year's mean of the place [°C] (own)."""
    return np.clip(rng.normal(10, 3.5, n), 2, 22)


def _left_in_stream(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Nothing at a piped spring, else a tenth to a half [%] (own)."""
    return np.where(rng.random(n) < 0.45, 0.0, rng.uniform(5, 45, n))


def _pipe_flow(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Flow of most jet power: a little more than a third of the head lost [m³/s]."""
    return truth.flow_for_loss(v, 0.345 * v["gross_head"])


def _source_flow(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """In the dry season; on about a fifth of the sites less than the pipe would take (own). [L/s]"""
    return 1000 * v["pipe_flow"] * np.maximum(lognormal(rng, n, 2.2, 0.75), 0.3)


def _best_flow(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    return np.minimum(v["pipe_flow"], truth.available_flow(v))


def _drilled(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """1 for a hole drilled in a cap or plug, 0 for a turned nozzle (own)."""
    return (rng.random(n) < 0.3).astype(float)


def _velocity_coefficient(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Textbooks give 0.95 to 0.99 (from memory); hand-made ones lie lower in it and below (own)."""
    return np.where(v["drilled"] > 0.5, rng.uniform(0.93, 0.98, n), rng.uniform(0.945, 0.987, n))


def _contraction(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """A hole 0.62 when sharp and up to 0.85 when its edge is broken or its wall is thick; turned ones 0.9 to 1.

    0.62 and 1 are textbook values (from memory), what lies between is own.
    """
    return np.where(v["drilled"] > 0.5, 0.61 + 0.25 * rng.beta(1.5, 2, n), 0.90 + 0.10 * rng.beta(3.5, 1.3, n))


def _best_velocity(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Of the jet when all of the head that the best flow leaves is used. [m/s]"""
    left = np.maximum(v["gross_head"] - truth.pipe_loss(v, v["best_flow"]), 0.1)
    return v["velocity_coefficient"] * np.sqrt(2 * truth.gravity(v) * left)


def _best_nozzle(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """[mm]"""
    return 1000 * np.sqrt(4 * v["best_flow"] / (np.pi * v["best_velocity"] * v["contraction"]))


def _nozzle_print(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """What somebody made it for: the best, off by an eighth, to the half millimetre (own)."""
    return np.maximum(np.round(2 * v["best_nozzle"] * np.exp(rng.normal(-0.03, 0.13, n))) / 2, 1.5)


def _nozzle(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """A drill cuts wide, and a nozzle wears (own)."""
    return v["nozzle_print"] + np.where(v["drilled"] > 0.5, rng.normal(0.08, 0.10, n), rng.normal(0.03, 0.08, n))


def _jet_state(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Flow of the nozzle [m³/s]; the velocity is kept beside it."""
    flow, v["jet_velocity"] = truth.jet(v)
    return flow


def _pitch_diameter(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """9 to 20 jet diameters (ten and more are usual, textbooks, from memory), at least 70 mm (own). [mm]"""
    jet = v["nozzle"] * np.sqrt(v["contraction"])
    return np.clip(jet * rng.uniform(9, 20, n), 70, 400)


def _deflection(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """160 to 170 when well made, less on wheels cut from spoons or pipe (own). [°]"""
    return np.clip(rng.normal(163, 5, n), 140, 176)


def _cup_friction(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Textbook examples take 0.85 to 0.95 (from memory); rough small cups lie lower (own)."""
    return 0.72 + 0.26 * rng.beta(3.2, 2.2, n)


def _alignment(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Share kept by a hand-set jet on a small wheel; whole small wheels give 60 to 85 % at the shaft (own)."""
    return 0.68 + 0.31 * rng.beta(3.4, 2.2, n)


def _shaft_torque(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """To size the drags by: a share of the jet's power at 0.46 of its speed. [N·m]"""
    power = SHAFT_SHARE * 500 * v["jet_flow"] * v["jet_velocity"] ** 2
    v["shaft_speed"] = 0.46 * v["jet_velocity"] / (v["pitch_diameter"] / 2000)
    return power / v["shaft_speed"]


def _bearing_drag(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """1 to 6 % of the torque, and the drag of a seal in one of three (own)."""
    seal = np.where(rng.random(n) < 0.35, rng.uniform(0.005, 0.03, n), 0.0)
    return v["shaft_torque"] * np.exp(rng.uniform(np.log(0.01), np.log(0.06), n)) + seal


def _windage(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """0.4 to 5 % of the shaft's power at its speed: a wheel in its own spray (own)."""
    share = np.exp(rng.uniform(np.log(0.004), np.log(0.05), n))
    return share * v["shaft_torque"] * v["shaft_speed"] / (v["shaft_speed"] * truth.RPM / 1000) ** 3


def _iron_drag(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """From next to nothing, without iron, to 7 % (own)."""
    return v["shaft_torque"] * np.exp(rng.uniform(np.log(0.006), np.log(0.07), n))


def _diode_drop(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Silicon at some amperes 0.7 to 1.0, Schottky 0.35 to 0.55 V (data sheets, from memory; shares own)."""
    return np.where(rng.random(n) < 0.2, rng.uniform(0.35, 0.55, n), rng.uniform(0.70, 1.0, n))


def _battery_volts(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """2.1 to 2.4 V a lead cell while charging (from memory); other chemistries lie between (own)."""
    return v["system_volts"] / 12 * np.clip(rng.normal(13.6, 0.5, n), 12.4, 14.8)


def _pole_pairs(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Car, washing machine, hub and hand-wound machines (own)."""
    return choice(rng, n, (2, 3, 4, 6, 8, 10, 12, 23), (0.05, 0.12, 0.2, 0.26, 0.18, 0.08, 0.07, 0.04))


def _delta(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """1 for delta; most are in star (own)."""
    return (rng.random(n) < 0.28).astype(float)


def _current(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """To size cable and winding by. [A]"""
    return 0.85 * v["shaft_torque"] * v["shaft_speed"] / v["battery_volts"]


def _cable_length(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """The turbine hut stands by the stream (own). [m]"""
    return np.clip(lognormal(rng, n, 22, 0.8), 2, 180)


def _cable_print(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """A size of IEC 60228 that loses 2 to 12 % of the volts, as far as sizes go (own). [mm²]"""
    share = np.clip(lognormal(rng, n, 0.045, 0.55), 0.01, 0.15)
    area = 2 * v["cable_length"] * truth.COPPER * v["current"] / (share * v["battery_volts"]) * 1e6
    nearest = np.abs(np.log(CABLE_SIZES[:, None]) - np.log(area)).argmin(axis=0)
    return CABLE_SIZES[nearest]


def _cable_area(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """IEC 60228 allows a few to 14 % less metal than printed (from memory); one in twenty is worse (own)."""
    return v["cable_print"] * np.where(rng.random(n) < 0.05, rng.uniform(0.75, 0.88, n), rng.uniform(0.88, 1.0, n))


def _cable_temperature(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Of the metal: ground or air, warmed by its current (own). [°C]"""
    return np.clip(rng.normal(20, 8, n), 2, 55)


def _phase_volts(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Bought to run near the best speed, and off it by an eighth as such things are (own)."""
    v["copper_share"] = np.exp(rng.uniform(np.log(0.03), np.log(0.16), n))
    v["commutation_share"] = np.exp(rng.uniform(np.log(0.01), np.log(0.12), n))
    cable = np.minimum(truth.cable_resistance(v) * v["current"] / v["battery_volts"], 0.3)
    volts = v["battery_volts"] * (1 + cable + v["copper_share"] + v["commutation_share"]) + 2 * v["diode_drop"]
    emf = volts / v["shaft_speed"] * np.exp(rng.normal(0, 0.13, n))
    return emf / truth.THREE_PHASE * 1000 / truth.RPM * np.sqrt(_part(v))


def _part(v: dict[str, Array]) -> Array:
    return np.where(v["delta"] > 0.5, 3.0, 1.0)


def _phase_resistance(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """3 to 16 % of the volts lost in the copper (own)."""
    share = v.get("copper_share", np.exp(rng.uniform(np.log(0.03), np.log(0.16), n)))
    return share * v["battery_volts"] / v["current"] / 2 * _part(v)


def _phase_inductance(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """1 to 12 % of the volts handed over: the overlap stays below about 42° (own)."""
    share = v.get("commutation_share", np.exp(rng.uniform(np.log(0.01), np.log(0.12), n)))
    reactance = share * v["battery_volts"] / v["current"]
    return 1000 * reactance / (3 / np.pi * v["pole_pairs"] * v["shaft_speed"]) * _part(v)


DRAWS = by_name(
    (
        _system_volts,
        _altitude,
        _latitude,
        _gross_head,
        _pipe_length,
        _pipe_outside,
        _pipe_wall,
        _pipe_bore,
        _pipe_roughness,
        _entrance,
        _fittings_k,
        _water_temperature,
        _left_in_stream,
        _pipe_flow,
        _source_flow,
        _best_flow,
        _drilled,
        _velocity_coefficient,
        _contraction,
        _best_velocity,
        _best_nozzle,
        _nozzle_print,
        _nozzle,
    )
)
DRAWS["jet_flow"] = _jet_state
DRAWS |= by_name(
    (
        _pitch_diameter,
        _deflection,
        _cup_friction,
        _alignment,
        _shaft_torque,
        _bearing_drag,
        _windage,
        _iron_drag,
        _diode_drop,
        _battery_volts,
        _pole_pairs,
        _delta,
        _current,
        _cable_length,
        _cable_print,
        _cable_area,
        _cable_temperature,
        _phase_volts,
        _phase_resistance,
        _phase_inductance,
    )
)
OWN = Population("own", DRAWS, LEAST_WATTS, MOST_WATTS, THINNEST_JET)
