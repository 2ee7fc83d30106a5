"""What may be wrong, and how likely: faults, their causes, and the scatter of an ordinary build.

A fault's prior is a sum of Gaussians over the causes, one per `Component`. `MEANS`, `DEVIATIONS`, `WHOLE_MEANS` and
`WHOLE_DEVIATIONS` have the shape (causes, components).
"""

from typing import NamedTuple

import numpy as np

READINGS = (
    "static",
    "running",
    "flow",
    "speed_a",
    "rectifier_a",
    "volts_a",
    "amps_a",
    "speed_b",
    "rectifier_b",
    "volts_b",
    "amps_b",
    "open_constant",
    "phase_balance",
    "nozzle",
)
FAULTS = (
    "all well",
    "pipe blocked or rough",
    "air lock in the pipe",
    "static head less than surveyed",
    "nozzle worn, wrong size or blocked",
    "jet misaligned",
    "load holds the wheel off its best speed",
    "water ponds under the wheel",
    "diode or phase open",
    "star and delta mistaken",
    "cable too thin or bad joint",
    "battery full or controller limits",
    "gauge or meter wrong",
)
ITEMS = (
    "gross_head",
    "roughness",
    "fittings",
    "velocity_coefficient",
    "nozzle",
    "alignment",
    "bearing_drag",
    "windage",
    "phase_volts",
    "phase_resistance",
    "cable_resistance",
)
# Standard uncertainty of an ordinary cheap instrument, of the reading; common practice, no published source.
USUAL_UNCERTAINTY = np.array([0.015, 0.02, 0.03, 0.01, 0.01, 0.01, 0.02, 0.01, 0.01, 0.01, 0.02, 0.015, 0.02, 0.01])

# Causes a fit may change, and the standard deviation of each over ordinary healthy plants. "ln" is the logarithm of
# the factor to the plan, "add" what is added to it. Common practice, no published source.
SCATTER = {
    "head": 0.01,  # ln
    "roughness": 0.26,  # ln: a factor of 1.3
    "velocity_coefficient": 0.01,  # add
    "nozzle": 0.004,  # ln
    "bore": 0.004,  # ln, of all sections
    "extra_loss": 0.0,  # add, head at the planned flow over the planned gross head
    "air": 0.0,  # add, trapped air columns over gross head
    "alignment": 0.03,  # add
    "bearing_drag": 0.25,  # ln
    "iron_drag": 0.25,  # ln
    "windage": 0.25,  # ln
    "ponding": 0.0,  # add, drag at the planned speed over the planned torque
    "emf": 0.02,  # ln
    "crest": 0.0,  # ln, of the voltage under load alone: a battery takes pulses near the crest
    "resistance": 0.05,  # ln
    "inductance": 0.10,  # ln
    "cable": 0.10,  # ln
    "joint": 0.0,  # add, resistance over planned load volts per ampere
    "load_a": 0.03,  # ln, of the load's voltage, or of its resistance
    "load_b": 0.5,  # ln: another load, unknown before
    "held_a": 0.0,  # ln, current over what the wheel would give
    "held_b": 0.0,  # ln
    "meter": 0.0,  # ln, of the readings of `Component.meter`
    "balance": 0.012,  # add
}
CAUSES = tuple(SCATTER)
INDEX = {name: index for index, name in enumerate(CAUSES)}
HEALTHY_BALANCE = 0.985  # lowest over highest line voltage
HEALTHY_LOAD_B = -0.1  # ln
_SURE_OF_NOTHING_WRONG = 0.2  # prior probability of "all well"; the faults share the rest alike


class Component(NamedTuple):
    """One Gaussian of the prior of one fault."""

    fault: int
    weight: float  # of the fault's prior
    mean: dict[str, float]  # by cause
    deviation: dict[str, float]  # by cause
    whole_mean: dict[str, float]  # of the fault's whole prior, for the final fit
    whole_deviation: dict[str, float]
    single_phase: bool = False  # what is left of the bridge when a phase or diode is open
    open_too: bool = True  # whether the open-circuit reading sees that
    swapped: bool = False  # star and delta mistaken
    cleared: bool = False  # what narrowed the nozzle is gone when its opening is measured
    meter: tuple[str, ...] = ()  # names of the readings taken with the wrong meter


def _even(low, high, count):
    """A prior even from `low` to `high`, as Gaussians [(mean, deviation)]."""
    step = (high - low) / count
    return [(low + step * (number + 0.5), 0.45 * abs(step)) for number in range(count)]


def _even_in_flow(least, most, count):
    """Extra loss of head, as a share of gross head at the planned flow, even in the share of the flow it takes."""
    return [(left**-2 - 1, 2 * left**-3 * deviation) for left, deviation in _even(1 - least, 1 - most, count)]


def _branch(fault, share, causes, **flags):
    """Components over all combinations of the sizes [(mean, deviation)] of the causes named."""
    combinations = [({}, {})]
    whole_mean, whole_deviation = {}, {}
    for cause, sizes in causes.items():
        combinations = [
            (mean | {cause: m}, deviation | {cause: d}) for mean, deviation in combinations for m, d in sizes
        ]
        low, high = min(m - 1.5 * d for m, d in sizes), max(m + 1.5 * d for m, d in sizes)
        whole_mean[cause], whole_deviation[cause] = (low + high) / 2, (high - low) / 2
    return [
        Component(fault, share / len(combinations), mean, deviation, whole_mean, whole_deviation, **flags)
        for mean, deviation in combinations
    ]


def _components():
    wrong = [*_even(-0.30, -0.07, 2), *_even(0.07, 0.28, 2)]
    held = [(float(np.log(share)), 0.45 * 0.16 / share) for share in (0.74, 0.58, 0.42, 0.26, 0.12)]
    meters = {
        ("static",): 0.19,
        ("running",): 0.19,
        ("nozzle",): 0.02,
        ("speed_a", "speed_b"): 0.1,
        ("speed_a",): 0.07,
        ("speed_b",): 0.03,
        ("volts_a", "volts_b"): 0.07,
        ("rectifier_a", "volts_a", "rectifier_b", "volts_b", "open_constant"): 0.03,
        ("volts_a",): 0.07,
        ("volts_b",): 0.03,
        ("amps_a", "amps_b"): 0.1,
        ("amps_a",): 0.07,
        ("amps_b",): 0.03,
    }
    open_phase = {"crest": [(0.0, 0.03), (0.12, 0.05), (0.25, 0.05)], "balance": [(-0.5, 0.3)]}
    # Sizes as far as they are met: less is not noticed beside ordinary scatter, more hardly runs.
    branches = [
        _branch(0, 1.0, {}),
        _branch(1, 0.4, {"roughness": _even(0.8, 5.2, 6)}),
        _branch(1, 0.6, {"extra_loss": _even_in_flow(0.04, 0.40, 5)}),
        _branch(2, 0.9, {"air": _even(0.02, 0.21, 4), "extra_loss": _even_in_flow(0.03, 0.27, 4)}),
        _branch(2, 0.1, {"air": _even(0.21, 0.45, 2), "extra_loss": _even_in_flow(0.03, 0.40, 4)}),
        _branch(3, 0.9, {"head": _even(-0.24, -0.035, 4)}),
        _branch(3, 0.1, {"head": _even(-0.6, -0.24, 3)}),
        _branch(4, 0.7, {"nozzle": _even(0.05, 0.24, 4)}),
        _branch(4, 0.1, {"nozzle": _even(0.24, 0.5, 3)}),
        # A wrong bit, scale or a wedged stone is met by the drill shank too. A leaf, grit or ice comes out with the
        # nozzle or is pushed out by the shank: the opening then reads as planned, though the jet came from a narrower
        # one.
        _branch(4, 0.11, {"nozzle": _even(-0.5, -0.05, 5)}),
        _branch(4, 0.09, {"nozzle": _even(-0.5, -0.05, 5)}, cleared=True),
        _branch(5, 1.0, {"alignment": _even(-0.45, -0.08, 5)}),
        _branch(6, 0.7, {"load_a": _even(-0.95, -0.18, 5)}),
        _branch(6, 0.3, {"load_a": _even(0.18, 0.5, 3)}),
        _branch(7, 1.0, {"ponding": _even(0.08, 0.6, 5)}),
        _branch(8, 0.5, open_phase, single_phase=True),
        _branch(8, 0.5, open_phase, single_phase=True, open_too=False),
        _branch(9, 1.0, {}, swapped=True),
        _branch(10, 1.0, {"joint": [*_even(0.02, 0.26, 5), (0.4, 0.1)]}),
        _branch(11, 0.7, {"load_a": [(0.1, 0.035)], "held_a": held}),  # the other load takes all there is
        _branch(11, 0.3, {"load_a": [(0.1, 0.035)], "held_a": held, "held_b": held}),
        *(_branch(12, share, {"meter": wrong}, meter=names) for names, share in meters.items()),
    ]
    return [component for branch in branches for component in branch]


COMPONENTS = _components()


def _table(default, field):
    """(causes, components): the default of each cause, or what the component says in `field`."""
    values = np.repeat(np.array(default, dtype=float)[:, None], len(COMPONENTS), axis=1)
    for column, component in enumerate(COMPONENTS):
        for cause, value in getattr(component, field).items():
            values[INDEX[cause], column] = value
    return values


_NO_CHANGE = [HEALTHY_LOAD_B if cause == "load_b" else 0.0 for cause in CAUSES]
MEANS, WHOLE_MEANS = _table(_NO_CHANGE, "mean"), _table(_NO_CHANGE, "whole_mean")
DEVIATIONS = _table(list(SCATTER.values()), "deviation")
WHOLE_DEVIATIONS = _table(list(SCATTER.values()), "whole_deviation")
FAULT_OF = np.array([component.fault for component in COMPONENTS])
SINGLE_PHASE, OPEN_TOO, SWAPPED, CLEARED = (
    np.array([getattr(component, flag) for component in COMPONENTS])
    for flag in ("single_phase", "open_too", "swapped", "cleared")
)
METER = np.array([[float(name in component.meter) for component in COMPONENTS] for name in READINGS])
_FAULT_PRIOR = np.where(
    np.arange(len(FAULTS)) == 0, _SURE_OF_NOTHING_WRONG, (1 - _SURE_OF_NOTHING_WRONG) / (len(FAULTS) - 1)
)
LOG_PRIOR = np.log([_FAULT_PRIOR[component.fault] * component.weight for component in COMPONENTS])
# At one flow a rough pipe and a blocked one read alike. The answer is roughness unless that explains the readings much
# worse.
FAVOUR = np.array([3.0 * ("roughness" in component.mean) for component in COMPONENTS])
# Causes that only add, and shares that only take away.
NEVER_NEGATIVE = [INDEX[name] for name in ("extra_loss", "air", "ponding", "joint")]
NEVER_POSITIVE = [INDEX[name] for name in ("held_a", "held_b")]
