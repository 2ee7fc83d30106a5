"""What may be wrong, and how likely: faults, their causes, and the scatter of an ordinary build.

A fault's prior is a sum of Gaussians over the causes, one per `Component`. `MEANS`, `DEVIATIONS`, `WHOLE_MEANS` and
`WHOLE_DEVIATIONS` have the shape (causes, components).
"""

from collections.abc import Mapping
from types import MappingProxyType
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
    "overflow",
    "screen",
    "open_speed",
)
# Looks instead of meters: 1 for yes, 0 for no; the uncertainty is the chance that the answer is wrong.
LOOKS = ("overflow", "screen")  # water runs over at the intake while the plant runs; the intake's screen is clean
METERED = READINGS.index(LOOKS[0])  # readings of meters stand first, then the looks
# The last is no reading that a fault changes: the speed at which the open volts were read says how much of them the
# diodes kept back, and how well volts over speed is known.
OPEN_SPEED = READINGS.index("open_speed")
FAULTS = (
    "all well",
    "pipe blocked, rough or leaking",
    "air lock in the pipe",
    "static head less than surveyed",
    "nozzle worn, wrong size or blocked",
    "jet misaligned or cups worn",
    "load holds the wheel off its best speed",
    "water ponds under the wheel, or a bearing drags",
    "diode or phase open, or turns shorted",
    "star and delta mistaken",
    "cable too thin or bad joint",
    "battery full or controller limits",
    "gauge wrong",
    "bucket or stopwatch wrong",
    "speed meter wrong",
    "voltmeter or ammeter wrong",
    "source gives too little, or air drawn in",
    "magnets weak, or emf not as the sheet says",
    "two faults, or none of these",
)
TWO_OR_NONE = FAULTS.index("two faults, or none of these")
# On the water's side: readings of the machine do not tell these apart.
OF_WATER = np.isin(range(len(FAULTS)), (1, 2, 3, 4, 12, 13, 16))
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
USUAL_UNCERTAINTY = np.array(
    [0.015, 0.02, 0.03, 0.01, 0.01, 0.01, 0.02, 0.01, 0.01, 0.01, 0.02, 0.015, 0.02, 0.01, 0.05, 0.05, 0.01]
)

# Causes a fit may change, and the standard deviation of each over ordinary healthy plants. "ln" is the logarithm of
# the factor to the plan, "add" what is added to it. Common practice, no published source.
SCATTER = {
    "head": 0.01,  # ln
    "roughness": 0.26,  # ln: a factor of 1.3
    "velocity_coefficient": 0.01,  # add
    "nozzle": 0.004,  # ln
    "bore": 0.004,  # ln, of all sections
    "extra_loss": 0.0,  # add, head at the planned flow over the planned gross head
    "leak": 0.0,  # add, what leaves on the way over the planned flow
    "source": 0.0,  # ln, most flow the source gives over the planned flow
    "void": 0.0,  # add, volumes of air drawn in at the intake with one of water
    "air": 0.0,  # add, trapped air columns over gross head
    "alignment": 0.03,  # add
    "bearing_drag": 0.25,  # ln
    "iron_drag": 0.25,  # ln
    "windage": 0.25,  # ln
    "seal": 0.0,  # add, constant drag over the planned torque
    "ponding": 0.0,  # add, drag at the planned speed over the planned torque
    "emf": 0.02,  # ln
    "turns": 0.0,  # ln, of a winding: its emf grows with them, resistance and inductance with their square
    "crest_a": 0.0,  # ln, of the voltage under load alone: a battery takes pulses near the crest
    "crest_b": 0.0,  # ln, the same; load B may be a resistor, which takes the mean
    "shorted": 0.0,  # add, share of one phase's turns
    "ring": 0.0,  # ln, of what the ring of shorted turns brakes
    "resistance": 0.05,  # ln
    "inductance": 0.10,  # ln
    "cable": 0.10,  # ln
    "joint": 0.0,  # add, resistance over planned load volts per ampere
    "load_a": 0.03,  # ln, of the load's voltage, or of its resistance
    "load_b": 0.35,  # ln: another load, unknown before
    "held_a": 0.0,  # ln, current over what the wheel would give
    "held_b": 0.0,  # ln
    "meter": 0.0,  # ln, of the readings of `Component.meter`
    "zero": 0.0,  # add, of both readings of the gauge, over the planned static pressure
    "balance": 0.008,  # add
}
CAUSES = tuple(SCATTER)
INDEX = {name: index for index, name in enumerate(CAUSES)}
# Lowest over highest line voltage: below 1 by some hundredths at most, as far as windings and magnets are unlike.
HEALTHY_BALANCE = 0.99
HEALTHY_LOAD_B = -0.1  # ln
PLENTY = 4.0  # ln, of a source that never limits
SURVEY_OFF = 0.05  # ln, standard deviation of what the source gives on a dry day, from what was surveyed
_SURE_OF_NOTHING_WRONG = 0.2  # prior probability of "all well"
# How often a fault is met beside the others, which share the rest alike. A dry source is the commonest; a name for two
# or three unlike troubles is met oftener than one for a single trouble. Common practice, no published source.
# A plant that nobody looked after has often two.
_COMMON = {1: 1.5, 5: 1.3, 7: 1.3, 8: 2.0, 16: 2.0, 18: 2.0}
# Readings of one instrument: the same error of its scale is in all of them.
INSTRUMENTS = (
    ("static", "running"),
    ("rectifier_a", "volts_a", "rectifier_b", "volts_b"),
    ("amps_a", "amps_b"),
    ("speed_a", "speed_b"),
)
SHARED = 0.6  # of the variance of a reading, what its instrument's scale is off; common practice, no published source
# Meters and builds may be worse than stated, all by one factor; and the readings of one instrument have its error in
# common, or their own (another instrument, another range): (meters, builds, shared, share). Common practice, no
# published source.
SCALES = (
    (1.0, 1.0, SHARED, 0.16),
    (1.6, 1.0, SHARED, 0.09),
    (2.6, 1.0, SHARED, 0.05),
    (1.0, 2.0, SHARED, 0.08),
    (1.6, 2.0, SHARED, 0.07),
    (3.0, 2.0, SHARED, 0.05),
    (1.0, 1.0, 0.0, 0.20),
    (1.8, 1.0, 0.0, 0.10),
    (1.0, 2.0, 0.0, 0.12),
    (2.2, 2.0, 0.0, 0.08),
)
TWO_AT = ((0, 0.3), (6, 0.3), (4, 0.4))  # scales at which two faults are looked at, to save time, and their shares
# Of two faults at once: the second as a deviation of one more cause, or of one more reading (its meter), by itself.
SECOND = {
    "head": 0.12,
    "roughness": 1.5,
    "nozzle": 0.15,
    "extra_loss": 0.3,
    "air": 0.12,
    "alignment": 0.2,
    "seal": 0.25,
    "ponding": 0.25,
    "emf": 0.2,
    "crest_a": 0.12,
    "joint": 0.12,
    "load_a": 0.35,
    "held_a": 0.7,
}
SECOND_METER = 0.2  # of the reading
# One reading, one meter or one part of the build far worse than the others, so many times; and how often. Errors have
# heavier tails than a Gaussian. Common practice, no published source.
ODD, ODD_SHARE = 3.0, 0.1
NONE_SHARE = 0.1  # of the prior of "two faults, or none of these": none of these, every reading wide
NONE_SPREAD = 0.25  # of the reading, by itself


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
    plan: str = ""  # possible with this plan alone: windings in "delta"; a "resistor" as load, or "other" loads
    at_input: bool = False  # volts at load A are read before the controller that limits
    at_intake: bool = False  # the flow is read at the intake, above a leak
    cleared: bool = False  # what narrowed the nozzle is gone when its opening is measured
    dry_day: bool = False  # the source gives what was surveyed, and no more
    # Pairs of poles by which a frequency was divided: factor to those planned, and what is added; (1, 0): a meter of
    # its own.
    poles: tuple[float, float] = (1.0, 0.0)
    meter: Mapping[str, float] = MappingProxyType({})  # readings of the wrong meter: power of its factor
    looks: tuple[float, float] = (0.97, 0.93)  # chance of yes in each of LOOKS; common practice, no published source


def _even(low, high, count):
    """A prior even from `low` to `high`, as Gaussians [(mean, deviation)]."""
    step = (high - low) / count
    return [(low + step * (number + 0.5), 0.45 * abs(step)) for number in range(count)]


def _even_in_flow(least, most, count):
    """Extra loss of head, as a share of gross head at the planned flow, even in the share of the flow it takes."""
    return [
        (np.power(left, -2) - 1, 2 * np.power(left, -3) * deviation)
        for left, deviation in _even(1 - least, 1 - most, count)
    ]


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
    wrong = [*_even(-0.35, -0.06, 2), *_even(0.06, 0.35, 2)]
    # A controller that is off for a tenth of the time takes but a hundredth of the current, as the wheel runs faster.
    held = [
        (float(np.log(share)), 0.45 * width / share)
        for share, width in (
            (0.975, 0.04),
            (0.92, 0.08),
            (0.82, 0.13),
            (0.68, 0.16),
            (0.52, 0.16),
            (0.33, 0.2),
            (0.12, 0.14),
        )
    ]
    both = [(float(np.log(share)), 0.45 * 0.3 / share) for share in (0.82, 0.5, 0.2)]
    # The plan may know the volts of a full battery or not. While the controller is off the volts before it may go to
    # the crest.
    full = {"load_a": [(0.04, 0.05)], "crest_a": [(0.015, 0.025)]}
    behind = {"volts_a": 1.0, "amps_a": -1.0}
    limited = {"load_b": [(HEALTHY_LOAD_B, 0.3)]}  # with a heavy load on, the controller is wide open
    # Fault: readings of one meter, with the power of its factor: share.
    speed, volts, amps = (tuple(f"{what}_{load}" for load in "ab") for what in ("speed", "volts", "amps"))
    rectifier = ("rectifier_a", "rectifier_b")
    meters = [
        (12, 0.30, ("static", "running")),
        (12, 0.25, ("static",)),
        (12, 0.25, ("running",)),
        (14, 0.27, speed),
        (14, 0.21, (*speed, "-open_constant")),
        (14, 0.13, speed[:1]),
        (14, 0.03, speed[1:]),
        (15, 0.20, volts),
        (15, 0.10, (*volts, *rectifier, "open_constant")),
        (15, 0.13, volts[:1]),
        (15, 0.05, volts[1:]),
        (15, 0.05, rectifier),
        (15, 0.27, amps),
        (15, 0.15, amps[:1]),
        (15, 0.05, amps[1:]),
    ]
    # Batteries come in steps: twice or half the volts, half as much more or a quarter less.
    other_battery = [(float(np.log(ratio)), 0.05) for ratio in (0.5, 0.67, 0.75, 1.33, 1.5, 2.0)]
    # Two thirds of the mean; pulses near the crest take up to 0.45 of that back where windings hardly limit them.
    phase_pulses = [(0.05, 0.06), (0.24, 0.1)]
    floats = {"balance": [(-0.5, 0.3)]}
    # Five sixths of the mean on open circuit; a battery takes the pulses that are left.
    open_diode, diode_pulses = {"emf": [(float(np.log(5 / 6)), 0.03)]}, [(0.085, 0.07)]

    def through(crest, form):
        """What pulses do by what load A and B are: [(share, plan, readings that show the mean, causes)].

        A battery takes pulses near the crest. A resistor feels the root of the mean square of the volts, and meters
        show their mean, which is less by the form factor, whose ln is `form`.
        """
        behind_a, behind_b = (tuple(f"{what}_{load}" for what in ("rectifier", "volts", "amps")) for load in "ab")
        felt, less = [(form, 0.02)], {"meter": [(-form, 0.02)]}
        return (
            (1.0, "resistor", behind_a + behind_b, {"crest_a": felt, "crest_b": felt} | less),
            (0.5, "other", behind_b, {"crest_a": crest, "crest_b": felt} | less),
            (0.5, "other", (), {"crest_a": crest, "crest_b": [(crest[-1][0] * 0.7, 0.1)]}),
        )

    # A joint that opens under load alone, and a diode, are not seen in line volts without load.
    unseen, seen = {"balance": [(0.0, 0.008)]}, {"balance": [(-0.1, 0.08)]}
    # A winding of a delta that is open leaves two: the same volts without load, through twice the resistance.
    open_delta = {"resistance": [(float(np.log(2)), 0.12)], "inductance": [(float(np.log(2)), 0.2)]}
    # How much the ring brakes hangs on its leakage and on the joint that shorts it.
    shorted = {"shorted": [(0.05, 0.025), (0.11, 0.04), (0.22, 0.07)], "ring": [(-0.3, 0.5)]}
    # Air drawn in: see `_extra_fittings` and `_of_water` of the model. The jet is part air, bursts, and drives less.
    void = {"void": [(0.08, 0.04), (0.2, 0.06), (0.38, 0.1)], "alignment": [(-0.02, 0.05)]}
    # More air comes to the nozzle than its share at the intake: it gathers at a high point and goes in gulps.
    gulps = {"extra_loss": [(0.06, 0.02), (0.14, 0.05), (0.3, 0.1)], "nozzle": [(-0.06, 0.05)]}
    dry, whirl, blocked = {"looks": (0.04, 0.85)}, {"looks": (0.6, 0.85)}, {"looks": (0.95, 0.5)}
    # Sizes as far as they are met: less is not noticed beside ordinary scatter, more hardly runs.
    branches = [
        _branch(0, 1.0, {}),
        _branch(1, 0.35, {"roughness": _even(0.8, 5.2, 6)}),
        _branch(1, 0.45, {"extra_loss": _even_in_flow(0.04, 0.40, 5)}, **blocked),
        # Water that leaves on the way; the flow is read at the nozzle, or at the intake.
        _branch(1, 0.10, {"leak": _even(0.05, 0.6, 3)}),
        _branch(1, 0.10, {"leak": _even(0.05, 0.6, 3)}, at_intake=True),
        _branch(2, 0.9, {"air": _even(0.02, 0.21, 4), "extra_loss": _even_in_flow(0.03, 0.27, 4)}),
        _branch(2, 0.1, {"air": _even(0.21, 0.45, 2), "extra_loss": _even_in_flow(0.03, 0.40, 4)}),
        _branch(3, 0.9, {"head": _even(-0.24, -0.035, 4)}),
        _branch(3, 0.1, {"head": _even(-0.6, -0.24, 3)}),
        # A wider nozzle takes more water, if there is more than was surveyed; if not, it takes the pressure down alone.
        _branch(4, 0.25, {"nozzle": _even(0.05, 0.24, 4)}),
        _branch(4, 0.04, {"nozzle": _even(0.24, 0.5, 3)}),
        _branch(4, 0.18, {"nozzle": _even(0.05, 0.24, 4)}, dry_day=True),
        _branch(4, 0.03, {"nozzle": _even(0.24, 0.5, 3)}, dry_day=True),
        # A wrong bit, scale or a wedged stone is met by the drill shank too. A leaf, grit or ice comes out with the
        # nozzle or is pushed out by the shank: the opening then reads as planned, though the jet came from a narrower
        # one. Past it the jet sprays.
        _branch(4, 0.25, {"nozzle": _even(-0.5, -0.04, 5)}),
        _branch(4, 0.25, {"nozzle": _even(-0.5, -0.04, 5), "alignment": [(-0.04, 0.05)]}, cleared=True),
        _branch(5, 1.0, {"alignment": _even(-0.45, -0.08, 5)}),
        *(
            # Load B as far off as A, as planned, or anything between.
            _branch(6, share / len(sizes), {"load_a": [(mean, deviation)], "load_b": [(mean / 2 - 0.1, 0.45)]})
            for share, sizes in ((0.45, _even(-0.95, -0.18, 5)), (0.15, _even(0.18, 0.6, 3)), (0.25, other_battery))
            for mean, deviation in sizes
        ),
        # A winding for other volts.
        _branch(6, 0.15, {"turns": [*_even(-0.75, -0.2, 2), *_even(0.2, 0.75, 2)]}),
        # Two loads differ too little in speed to tell a drag that grows with speed from one that does not.
        _branch(7, 0.6, {"ponding": _even(0.08, 0.6, 5)}),
        _branch(7, 0.4, {"seal": _even(0.03, 0.45, 4)}),
        *(
            _branch(8, share * part, causes | pulses, plan=plan, meter=dict.fromkeys(mean, 1.0), **flags)
            for share, causes, crest, form, flags in (
                (0.22, floats, phase_pulses, 0.08, {"single_phase": True}),
                (0.08, floats, phase_pulses, 0.08, {"single_phase": True, "open_too": False}),
                (0.07, unseen, phase_pulses, 0.08, {"single_phase": True, "open_too": False}),
                (0.14, open_diode | unseen, diode_pulses, 0.04, {}),
                (0.10, open_diode | seen, diode_pulses, 0.04, {}),
            )
            for part, plan, mean, pulses in through(crest, form)
        ),
        _branch(8, 0.32, shorted),
        _branch(8, 0.07, open_delta, plan="delta"),
        _branch(9, 1.0, {}, swapped=True),
        _branch(10, 0.92, {"joint": _even(0.02, 0.26, 5)}),
        _branch(10, 0.08, {"joint": [(0.4, 0.1)]}),  # so much heat is seen or smelt
        # Volts read at the battery, behind the controller; the other load takes all there is, or is limited too. Or
        # read at its input: they rise with the wheel.
        _branch(11, 0.35, full | {"held_a": held}),
        _branch(11, 0.10, full | {"held_a": both, "held_b": both}),
        _branch(11, 0.25, full | {"held_a": held}, at_input=True),
        # A controller that tracks the greatest power, and leaves it when the battery is full.
        _branch(11, 0.15, {"load_a": _even(0.08, 0.75, 5)} | limited),
        # A converter: high volts at its input and at the rectifier; volts and amps read at the battery, behind it.
        *(
            _branch(
                11, 0.0375, {"load_a": [(up, deviation)], "meter": [(0.05 - up, deviation)]} | limited, meter=behind
            )
            for up, deviation in _even(0.08, 0.75, 4)
        ),
        *(_meter(fault, share, names, wrong) for fault, share, names in meters),
        # Speed from the frequency, by a wrong number of poles: one pair too many or too few, poles for pairs, or half;
        # or coils counted for magnets: 12 beside 8, or 12 beside 18.
        *(
            _meter(14, share, (*speed, "-open_constant"), [(0.0, 0.015)], poles=poles)
            for share, poles in (
                (0.045, (1.0, 1.0)),
                (0.045, (1.0, -1.0)),
                (0.025, (1.0, 2.0)),
                (0.025, (1.0, -2.0)),
                (0.045, (2.0, 0.0)),
                (0.045, (0.5, 0.0)),
                (0.03, (1.5, 0.0)),
                (0.03, (2 / 3, 0.0)),
            )
        ),
        # The open-circuit reading is of another day: another meter.
        *(
            _meter(14, share, speed, [(0.0, 0.015)], poles=(factor, 0.0))
            for share, factor in ((0.02, 2.0), (0.02, 0.5), (0.015, 1.5), (0.015, 2 / 3))
        ),
        _branch(12, 0.2, {"zero": [*_even(-0.3, -0.04, 2), *_even(0.04, 0.3, 2)]}),
        _meter(13, 0.9, ("flow",), wrong),
        _meter(13, 0.1, ("flow",), [(-0.6, 0.15), (0.6, 0.15)]),
        _branch(16, 0.50, {"source": _even(-0.5, -0.03, 5)}, **dry),
        _branch(16, 0.05, {"source": _even(-1.2, -0.5, 3)}, **dry),
        _branch(16, 0.10, {"source": _even(-0.5, -0.03, 3), "nozzle": [(-0.08, 0.06)]}, cleared=True, **dry),
        _branch(16, 0.22, void, **whirl),
        _branch(16, 0.13, gulps, cleared=True, **whirl),
        _branch(17, 0.75, {"emf": _even(-0.45, -0.06, 4)}),
        _branch(17, 0.07, {"emf": [(-0.6, 0.1)]}),
        _branch(17, 0.18, {"emf": _even(0.06, 0.3, 2)}),
    ]
    return [component for branch in branches for component in branch]


def _meter(fault, share, names, sizes, **flags):
    """Components of a wrong meter; "-" before a name: the reading falls as the meter's factor grows."""
    powers = {name.removeprefix("-"): -1.0 if name.startswith("-") else 1.0 for name in names}
    return _branch(fault, share, {"meter": sizes}, meter=powers, **flags)


COMPONENTS = _components()


def _table(default, field):
    """(causes, components): the default of each cause, or what the component says in `field`."""
    values = np.repeat(np.array(default, dtype=float)[:, None], len(COMPONENTS), axis=1)
    for column, component in enumerate(COMPONENTS):
        for cause, value in getattr(component, field).items():
            values[INDEX[cause], column] = value
    return values


_NO_CHANGE = [{"load_b": HEALTHY_LOAD_B, "source": PLENTY}.get(cause, 0.0) for cause in CAUSES]
MEANS, WHOLE_MEANS = _table(_NO_CHANGE, "mean"), _table(_NO_CHANGE, "whole_mean")
DEVIATIONS = _table(list(SCATTER.values()), "deviation")
WHOLE_DEVIATIONS = _table(list(SCATTER.values()), "whole_deviation")
FAULT_OF = np.array([component.fault for component in COMPONENTS])
SINGLE_PHASE, OPEN_TOO, SWAPPED, CLEARED, AT_INTAKE, AT_INPUT, DRY_DAY = (
    np.array([getattr(component, flag) for component in COMPONENTS])
    for flag in ("single_phase", "open_too", "swapped", "cleared", "at_intake", "at_input", "dry_day")
)
OF_PLAN = np.array([component.plan for component in COMPONENTS])
POLES = np.array([component.poles for component in COMPONENTS]).T
# Correlation of the errors of two readings by one instrument: 1 where they are (METERED, METERED).
ONE_INSTRUMENT = np.array(
    [
        [any({one, other} <= set(names) for names in INSTRUMENTS) and one != other for other in READINGS[:METERED]]
        for one in READINGS[:METERED]
    ],
    dtype=float,
)
_TOGETHER = [
    *({name: 1.0} for name in READINGS[:METERED]),
    *(dict.fromkeys(names, 1.0) for names in INSTRUMENTS),
    {"volts_a": 1.0, "volts_b": 1.0},  # with another meter than the rectifier's
    {"speed_a": 1.0, "speed_b": 1.0, "open_constant": -1.0},
    {"rectifier_a": 1.0, "volts_a": 1.0, "rectifier_b": 1.0, "volts_b": 1.0, "open_constant": 1.0},
]
# Readings that one meter spoils, by the power of its factor: single ones, and all of one instrument (METERED, meters).
TOGETHER = np.array([[one.get(name, 0.0) for one in _TOGETHER] for name in READINGS[:METERED]])
METER = np.array([[component.meter.get(name, 0.0) for component in COMPONENTS] for name in READINGS[:METERED]])
LOOKS_YES = np.array([component.looks for component in COMPONENTS]).T  # (looks, components)
# Causes with the scatter of an ordinary build (causes, components); a builds' scale counts for these alone.
ORDINARY = np.array([[cause not in c.deviation and cause != "load_b" for c in COMPONENTS] for cause in CAUSES])
_common = np.array([_COMMON.get(fault, 1.0) for fault in range(len(FAULTS))])
_common[0] = 0.0
FAULT_PRIOR = _common / _common.sum() * (1 - _SURE_OF_NOTHING_WRONG)
FAULT_PRIOR[0] = _SURE_OF_NOTHING_WRONG
LOG_PRIOR = np.log([FAULT_PRIOR[component.fault] * component.weight for component in COMPONENTS])
# At one flow a rough pipe and a blocked one read alike. The answer is roughness unless that explains the readings much
# worse.
FAVOUR = np.array([3.0 * (component.fault == 1 and "roughness" in component.mean) for component in COMPONENTS])
# Causes that only add, and shares that only take away.
NEVER_NEGATIVE = [INDEX[name] for name in ("extra_loss", "leak", "air", "seal", "ponding", "joint", "shorted", "void")]
NEVER_POSITIVE = [INDEX[name] for name in ("held_a", "held_b")]
