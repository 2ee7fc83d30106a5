"""The best machine for a site by brute force: nozzle, pitch circle and volts tried on a grid, closed in on.

The copper is that of a reference machine, the volts wound with more or fewer turns (`population.scaled`). The
wheel's size is bounded to jet ratios that people build, 9 to 16 (textbooks say ten and more; from memory), or to the
reference's own ratio where that lies outside: nothing in the equations stops a wheel from growing but its windage.
Nor do people make wheels of less than 70 mm (own judgement), unless the reference is one.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from . import truth
from .population import scaled

RATIOS = (9.0, 16.0)
LEAST_PITCH = 70.0  # [mm]


@dataclass(frozen=True)
class Best:
    """The best found: watts, and what gives them."""

    watts: float
    nozzle: float
    pitch_diameter: float
    phase_volts: float


def _tried(values: truth.Values, nozzle: Any, ratio: Any, volts: Any) -> tuple[Any, Any]:
    """Watts on a grid, axes nozzle, ratio, volts; and the pitch circles."""
    contraction = values["contraction"]
    flow, velocity = truth.jet({**values, "nozzle": nozzle})
    least = min(LEAST_PITCH, values["pitch_diameter"])
    pitch = np.maximum((nozzle * np.sqrt(contraction))[:, None] * ratio, least)
    machine = {**values, "pitch_diameter": pitch[:, :, None], "phase_volts": volts[None, None, :]}
    machine = scaled(machine, values)
    state = truth.settled(machine, flow[:, None, None], velocity[:, None, None])
    return state["watts"], pitch


def best_machine(values: truth.Values) -> Best:
    """Most watts over nozzle, pitch circle and volts; `values` are plain numbers and hold the reference machine."""
    reference = values["pitch_diameter"] / (values["nozzle"] * np.sqrt(values["contraction"]))
    low_ratio, high_ratio = min(RATIOS[0], reference), max(RATIOS[1], reference)
    limits = [
        np.log([0.35 * values["nozzle"], 2.5 * values["nozzle"]]),
        np.log([low_ratio, high_ratio]),
        np.log([0.25 * values["phase_volts"], 4.0 * values["phase_volts"]]),
    ]
    bounds = [tuple(limit) for limit in limits]
    best = Best(-1.0, 0.0, 0.0, 0.0)
    counts = (41, 7, 41)
    for _ in range(5):
        axes = [np.exp(np.linspace(*limit, count)) for limit, count in zip(limits, counts, strict=True)]
        tried, pitch = _tried(values, *axes)
        at = np.unravel_index(int(np.argmax(tried)), tried.shape)
        if tried[at] > best.watts:
            best = Best(float(tried[at]), float(axes[0][at[0]]), float(pitch[at[0], at[1]]), float(axes[2][at[2]]))
        steps = [2 * (limit[1] - limit[0]) / (count - 1) for limit, count in zip(limits, counts, strict=True)]
        middles = [np.log(axis[place]) for axis, place in zip(axes, at, strict=True)]
        limits = [
            np.array([max(middle - step, bound[0]), min(middle + step, bound[1])])
            for middle, step, bound in zip(middles, steps, bounds, strict=True)
        ]
        counts = (17, 5, 13)
    return best


def best_volts(values: truth.Values) -> float:
    """Volts per 1000 rpm with most watts for the nozzle and the pitch circle there are."""
    low, high = np.log([0.25 * values["phase_volts"], 4.0 * values["phase_volts"]])
    flow, velocity = truth.jet(values)
    found = float(values["phase_volts"])
    for _ in range(4):
        volts = np.exp(np.linspace(low, high, 61))
        tried = truth.settled(scaled({**values, "phase_volts": volts}, values), flow, velocity)["watts"]
        found = float(volts[int(np.argmax(tried))])
        step = 2 * (high - low) / 60
        low, high = np.log(found) - step, np.log(found) + step
    return found
