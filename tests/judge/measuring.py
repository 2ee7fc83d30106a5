"""What cheap instruments say, and how far they may be off.

A way of measuring belongs to a quantity and becomes possible at a stage:

- "survey": on the hill, before anything turns; battery and cable are there or chosen;
- "bench": nozzle, wheel and alternator lie on a table, with drill, meters, string and weights;
- "test day": water runs through the nozzle, and then the wheel turns.

What cannot be had earlier: iron and bearing drag need the parts (bench: string and weight on the shaft); pipe
roughness and the nozzle's coefficients need running water (test day: bucket, gauge, calliper on the jet);
alignment needs the wheel in its jet (test day: spring balance on the wheel held still); windage a turning wheel
(test day: time to run down); friction in the cups a picture of the leaving water (test day).

All sizes of errors are the judge's own judgement. The stated half range holds about 95 of 100 readings of that
way, and the tests hold every way to it. Errors are normal unless said. A person has one way for a quantity, drawn
once for each site by the `share` of each way.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from . import truth
from .names import QUANTITIES, STAGES
from .population import Site

Reading = tuple[float, float]
Read = Callable[[Site, np.random.Generator], Reading]
TWO_SIDED = 1.96
GAUGES = (2.5, 4.0, 6.0, 10.0, 16.0, 25.0)  # full ranges of ordinary gauges [bar]
METRES_PER_BAR = 10.2
DRILL_STEP = 0.1  # [mm]


@dataclass(frozen=True)
class Way:
    """A way of measuring one quantity: the stage it needs, how usual it is, and how it reads."""

    stage: str
    share: float
    read: Read


def _plain(name: str, half: Callable[[float], float], least: float = 0.0, step: float = 0.0) -> Read:
    """A reading with a normal error; the half range is stated for what was read, the error made on the truth."""

    def read(site: Site, rng: np.random.Generator) -> Reading:
        true = site.values[name]
        value = true + rng.normal(0, half(true) / TWO_SIDED)
        if step:
            value = round(value / step) * step
        value = max(value, least)
        return value, half(value)

    return read


def _share(part: float, floor: float = 0.0) -> Callable[[float], float]:
    """Half range of a part of the value and a floor, added as squares."""
    return lambda value: math.hypot(part * value, floor)


def _gauge(site: Site, rng: np.random.Generator) -> Reading:
    """A gauge of class 1.6 or 2.5, its range the next above, read to half a division; pipe or hose standing full."""
    true = site.values["gross_head"]
    full = next(full for full in GAUGES if full * METRES_PER_BAR > 1.1 * true) * METRES_PER_BAR
    half = full * (0.025 if site.rng("gauge").random() < 0.5 else 0.016)
    return max(1.0, true + rng.normal(0, half / TWO_SIDED)), half


def _printed(label: str, half: Callable[[Site], float]) -> Read:
    """What is printed on it: no error of reading, all of it in the making."""
    return lambda site, rng: (site.values[label], half(site))


def _wall_tolerance(site: Site) -> float:
    """What twice the wall may be over, and a part for the outside. [mm]"""
    return 0.17 * site.values["pipe_wall"] + 0.05 + 0.006 * site.values["pipe_bore"]


def _metal_tolerance(site: Site) -> float:
    """What the metal may be under its print. [mm²]"""
    return 0.13 * site.values["cable_print"]


def _roughness(site: Site, rng: np.random.Generator) -> Reading:
    """From one flow (bucket) and one running gauge, by Colebrook's formula turned round.

    The flow may be 6 % off, the lost head the gauge's 2 % of the gross head; bore, length and fittings are taken
    as known, with 0.8 % on the bore. A result below 0.0015 mm is read as 0.0015, a smooth pipe.
    """
    values = site.values
    flow = float(truth.jet(values)[0]) if site.machine else values["best_flow"]
    bore = values["pipe_bore"] / 1000
    speed = flow / (math.pi / 4 * bore**2)
    _, viscosity = truth.water(values["water_temperature"])
    reynolds = speed * bore / viscosity
    factor = float(truth.friction_factor(reynolds, values["pipe_roughness"] / values["pipe_bore"]))
    lost = factor * values["pipe_length"] / bore * speed**2 / (2 * float(truth.gravity(values)))
    spread = math.sqrt((2 * 0.06) ** 2 + (0.02 * values["gross_head"] / lost) ** 2 + (5 * 0.008) ** 2) / TWO_SIDED
    seen = factor * (1 + rng.normal(0, spread))

    def roughness(found: float) -> float:
        root = 1 / math.sqrt(max(found, 0.3 * factor))
        return max(3.7 * (10 ** (-root / 2) - 2.51 * root / reynolds) * values["pipe_bore"], 0.0015)

    value = roughness(seen)
    above = roughness(seen * (1 + TWO_SIDED * spread)) - value
    below = value - roughness(seen * (1 - TWO_SIDED * spread))
    return value, max(above, below, 0.3 * value)


def _log(name: str, part: float, floor: float = 0.0) -> Read:
    """A reading that is off by a factor, for what is known to so many per cent only."""

    def read(site: Site, rng: np.random.Generator) -> Reading:
        true = site.values[name]
        value = true * math.exp(rng.normal(0, part / TWO_SIDED)) + rng.normal(0, floor / TWO_SIDED)
        value = max(value, 0.05 * floor)
        return value, math.hypot(part * value, floor) * 1.05

    return read


def _left(site: Site, rng: np.random.Generator) -> Reading:
    """By permit and a notch in the weir; nothing left is seen to be nothing."""
    true = site.values["left_in_stream"]
    if true == 0:
        return 0.0, 1.0
    return max(0.0, true + rng.normal(0, 3 / TWO_SIDED)), 3.0


def _battery(site: Site, rng: np.random.Generator) -> Reading:
    """The meter is right to 1 %; how full the battery is when the plant runs adds 2.5 %."""
    true = site.values["battery_volts"]
    return true * (1 + rng.normal(0, 0.027 / TWO_SIDED)), 0.027 * true


WAYS: dict[str, dict[str, Way]] = {
    "gross_head": {
        "gauge": Way("survey", 0.40, _gauge),
        "level": Way("survey", 0.25, _plain("gross_head", _share(0.015, 0.5))),
        "altimeter": Way("survey", 0.22, _plain("gross_head", _share(0.02, 6.0), 3.0)),
        "map": Way("survey", 0.13, _plain("gross_head", _share(0.03, 9.0), 3.0)),
    },
    "pipe_length": {
        "tape": Way("survey", 0.55, _plain("pipe_length", _share(0.01, 0.5))),
        "pacing": Way("survey", 0.25, _plain("pipe_length", _share(0.07, 3.0))),
        "gps": Way("survey", 0.20, _plain("pipe_length", _share(0.04, 8.0))),
    },
    "pipe_bore": {
        "calliper": Way("survey", 0.6, _plain("pipe_bore", _share(0.005, 0.25))),
        "print": Way("survey", 0.4, _printed("pipe_print", _wall_tolerance)),
    },
    "pipe_roughness": {"flow and gauge": Way("test day", 1.0, _roughness)},
    "fittings_k": {"counting": Way("survey", 1.0, _log("fittings_k", 0.40))},
    "source_flow": {
        "bucket": Way("survey", 0.8, _plain("source_flow", _share(0.08))),
        "float": Way("survey", 0.2, _log("source_flow", 0.25)),
    },
    "left_in_stream": {"permit": Way("survey", 1.0, _left)},
    "water_temperature": {"thermometer": Way("survey", 1.0, _plain("water_temperature", _share(0, 1.5), 0.0))},
    "nozzle": {
        "drill gauge": Way("bench", 0.5, _plain("nozzle", _share(0, 0.15), step=DRILL_STEP)),
        "calliper": Way("bench", 0.5, _plain("nozzle", _share(0, 0.18))),
    },
    "velocity_coefficient": {
        "bucket and gauge": Way("test day", 1.0, _plain("velocity_coefficient", _share(0, 0.02))),
    },
    "contraction": {"bucket and gauge": Way("test day", 1.0, _plain("contraction", _share(0.04)))},
    "pitch_diameter": {"rule": Way("bench", 1.0, _plain("pitch_diameter", _share(0.005, 2.0)))},
    "deflection": {"template": Way("bench", 1.0, _plain("deflection", _share(0, 4.0)))},
    "cup_friction": {"picture": Way("test day", 1.0, _plain("cup_friction", _share(0, 0.07)))},
    "alignment": {"spring balance": Way("test day", 1.0, _plain("alignment", _share(0.04)))},
    "bearing_drag": {"string and weight": Way("bench", 1.0, _log("bearing_drag", 0.20, 0.001))},
    "windage": {"running down": Way("test day", 1.0, _log("windage", 0.35))},
    "phase_volts": {"drill": Way("bench", 1.0, _plain("phase_volts", _share(0.03)))},
    "phase_resistance": {
        "known current": Way("bench", 0.7, _plain("phase_resistance", _share(0.06, 0.003))),
        "ohmmeter": Way("bench", 0.3, _plain("phase_resistance", _share(0.05, 0.08), 0.001)),
    },
    "phase_inductance": {"short circuit": Way("bench", 1.0, _log("phase_inductance", 0.15))},
    "iron_drag": {"string and weight": Way("bench", 1.0, _log("iron_drag", 0.20, 0.001))},
    "diode_drop": {"meter": Way("bench", 1.0, _plain("diode_drop", _share(0, 0.10)))},
    "cable_length": {"tape": Way("survey", 1.0, _plain("cable_length", _share(0.01, 0.4), 0.5))},
    "cable_area": {
        "print": Way("survey", 0.7, _printed("cable_print", _metal_tolerance)),
        "strands": Way("survey", 0.3, _plain("cable_area", _share(0.08))),
    },
    "cable_temperature": {"hand": Way("test day", 1.0, _plain("cable_temperature", _share(0, 7.0)))},
    "battery_volts": {"meter": Way("survey", 1.0, _battery)},
}
COUNTED = ("pole_pairs",)  # exact, as soon as the machine exists

assert set(WAYS) == set(QUANTITIES)


def stage_of(name: str) -> str:
    """The stage at which a quantity can first be measured."""
    return min((way.stage for way in WAYS[name].values()), key=STAGES.index)


def possible(stage: str) -> tuple[str, ...]:
    """Quantities that can be measured when this stage is reached."""
    return tuple(name for name in QUANTITIES if STAGES.index(stage_of(name)) <= STAGES.index(stage))


def usual_way(site: Site, name: str) -> str:
    """The way the person of this site has for a quantity."""
    ways = list(WAYS[name])
    return ways[site.rng("way", name).choice(len(ways), p=[WAYS[name][way].share for way in ways])]


def measure(site: Site, name: str, way: str, rng: np.random.Generator) -> Reading:
    """(value, half range that holds 95 %) of one reading."""
    if name in COUNTED:
        return site.values[name], 0.0
    value, half = WAYS[name][way].read(site, rng)
    return float(value), float(half)


def usual(site: Site, name: str, reading: int = 0) -> Reading:
    """The reading of this site's person: the same whenever asked for; a later reading has another number."""
    return measure(site, name, usual_way(site, name), site.rng("reading", name, reading))
