"""What is wrong with a plant, from the readings of a test day. SI units; speed is in rad/s.

A forward model made of this package's own physics says what each instrument reads for given causes: how rough the
pipe is, how wide the nozzle, how well the jet meets the cups, and so on. Each cause has a prior: the scatter of an
ordinary build, narrow, or, where it is the fault under question, wide. A wide prior is a sum of Gaussians, one
per `Component`. Within each the model is made linear around its best fit, step by step (iterated, so that the
fit is exact), and the evidence of the component, the probability density of the readings, is then known in closed form:

    r = y - m(x) - J (mu - x),   S = J P J' + R,   ln E = -(r' S^-1 r + ln det S) / 2

with readings y, model m, Jacobian J, prior mean mu and covariance P, covariance of the readings R. The
probability of a fault is its prior times the evidence of its components, over the sum of all (Bayes' theorem).
Estimates are those of the likeliest fault, with the standard uncertainties of the fit's covariance P - P J' S^-1 J P.

A reading counts where its uncertainty is above 0. Everything is batched over plants and components; no loop runs
over plants (but large batches are cut into pieces, for memory).

References
----------
Bayes' theorem and the evidence of a linear Gaussian model: C. M. Bishop, Pattern Recognition and Machine Learning
(2006), sections 2.3.3 and 3.4 (from memory, not looked up). Standard uncertainties: JCGM 100:2008 (GUM). The
priors are common practice, no published source.
"""

import inspect
from typing import NamedTuple

import numpy as np

from .alternator import alternator_torque, commutation_constant, dc_emf_constant, star_value
from .nozzle import jet_velocity, nozzle_head, operating_flow, running_pressure
from .operating_point import operating_point
from .pipe import losses, outlet_bore, pipe_velocity, sections_of
from .water import density, kinematic_viscosity
from .wheel import speed_for_torque, torque_slope

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
_AT = {name: place for place, name in enumerate(CAUSES)}
_WATER = ("head", "roughness", "velocity_coefficient", "nozzle", "bore", "extra_loss")
_MACHINE = (
    "alignment",
    "bearing_drag",
    "iron_drag",
    "windage",
    "ponding",
    "emf",
    "crest",
    "resistance",
    "inductance",
    "cable",
    "joint",
)
_HEALTHY_BALANCE = 0.985
_HEALTHY_LOAD_B = -0.1  # ln
_SMOOTHEST = 1.5e-6  # m; a pipe taken as smooth still has this roughness, or nothing could be a multiple of it
_ROUGHEST = 0.05  # of the bore, the end of the Moody chart
_STEP = 1e-20  # imaginary, for derivatives
_PASSES, _FINAL_PASSES = 2, 8
_WORTH_A_CLOSER_LOOK = 12.0  # in ln evidence, below the best
_AT_ONCE = 48  # plants
_SURE_OF_NOTHING_WRONG = 0.2  # prior probability of "all well"; the faults share the rest alike


class Component(NamedTuple):
    """One Gaussian of the prior of one fault."""

    fault: int
    weight: float  # of the fault's prior
    mean: dict  # by cause
    deviation: dict  # by cause
    whole_mean: dict  # of the fault's whole prior, for the final fit
    whole_deviation: dict
    single_phase: bool = False  # what is left of the bridge when a phase or diode is open
    open_too: bool = True  # whether the open-circuit reading sees that
    swapped: bool = False  # star and delta mistaken
    cleared: bool = False  # what narrowed the nozzle is gone when its opening is measured
    meter: tuple = ()  # names of the readings taken with the wrong meter


class Diagnosis(NamedTuple):
    """All that is said about each plant; the last axis has the order of FAULTS, READINGS or ITEMS."""

    probability: np.ndarray
    order: np.ndarray  # numbers of the faults, likeliest first
    estimate: np.ndarray
    uncertainty: np.ndarray
    misfit: np.ndarray
    following: np.ndarray  # numbers of the readings to take next, from 1, best first; 0 for none
    expected: np.ndarray
    spread: np.ndarray


def _even(low, high, count):
    """A prior even from `low` to `high`, as Gaussians [(mean, deviation)]."""
    step = (high - low) / count
    return [(low + step * (place + 0.5), 0.45 * abs(step)) for place in range(count)]


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
        # A wrong bit, scale or a wedged stone is met by the drill shank too. A leaf, grit or ice comes out with the nozzle or is pushed
        # out by the shank: the opening then reads as planned, though the jet came from a narrower one.
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
            values[_AT[cause], column] = value
    return values


_NO_CHANGE = [_HEALTHY_LOAD_B if cause == "load_b" else 0.0 for cause in CAUSES]
_MEANS, _WHOLE_MEANS = _table(_NO_CHANGE, "mean"), _table(_NO_CHANGE, "whole_mean")
_DEVIATIONS = _table(list(SCATTER.values()), "deviation")
_WHOLE_DEVIATIONS = _table(list(SCATTER.values()), "whole_deviation")
_FAULT = np.array([component.fault for component in COMPONENTS])
_SINGLE, _OPEN_TOO, _SWAPPED, _CLEARED = (
    np.array([getattr(component, flag) for component in COMPONENTS])
    for flag in ("single_phase", "open_too", "swapped", "cleared")
)
_METER = np.array([[float(name in component.meter) for component in COMPONENTS] for name in READINGS])
_FAULT_PRIOR = np.where(
    np.arange(len(FAULTS)) == 0, _SURE_OF_NOTHING_WRONG, (1 - _SURE_OF_NOTHING_WRONG) / (len(FAULTS) - 1)
)
_LOG_PRIOR = np.log([_FAULT_PRIOR[component.fault] * component.weight for component in COMPONENTS])
# At one flow a rough pipe and a blocked one read alike. It is told as roughness unless that explains the readings much worse.
_TOLD_FIRST = np.array([3.0 * ("roughness" in component.mean) for component in COMPONENTS])
# Causes that only add, and shares that only take away.
_NEVER_NEGATIVE = [_AT[name] for name in ("extra_loss", "air", "ponding", "joint")]
_NEVER_POSITIVE = [_AT[name] for name in ("held_a", "held_b")]


class _Plan(NamedTuple):
    """The plant as planned, and the sizes by which causes are counted; one element per plant."""

    given: dict  # arguments of the power ledger and the height of the gauge
    velocity: np.ndarray  # in the first bore
    volts: np.ndarray  # at the load
    current: np.ndarray
    speed: np.ndarray
    torque: np.ndarray  # of the alternator
    load: np.ndarray  # what `load_a` and `load_b` multiply: volts, or ohms of a resistor

    def pick(self, places):
        """The same for some plants, repeated as `places` says."""
        return _Plan(
            {name: value[places] for name, value in self.given.items()}, *(value[places] for value in self[1:])
        )


def _planned(given):
    water = [given[name] for name in _WATER_ARGUMENTS]
    flow = operating_flow(*water)
    net = nozzle_head(
        flow, *(given[name] for name in ("nozzle", "jets", "velocity_coefficient", "contraction", "gravity"))
    )
    jet = jet_velocity(net, given["velocity_coefficient"], given["gravity"])
    point = operating_point(flow=flow, jet_velocity=jet, **{name: given[name] for name in _MACHINE_ARGUMENTS})
    torque = alternator_torque(
        point.current, given["phase_volts"], given["pole_pairs"], given["phase_inductance"], given["connection"]
    )
    is_resistor = given["load"] == "resistor"
    return _Plan(
        given,
        pipe_velocity(flow, given["bore"]),
        np.maximum(point.volts, 0.1),
        np.maximum(point.current, 1e-3),
        np.maximum(point.speed, 1.0),
        np.maximum(torque, 1e-3),
        np.where(is_resistor, given["load_resistance"], np.maximum(point.volts, 0.1)),
    )


def _cause(x, name):
    return x[_AT[name]]


def _changed(x, causes):
    """`x` (causes, pairs) with each of the causes named changed by an imaginary step: (causes, changes, pairs)."""
    changed = np.repeat(x[:, None, :].astype(complex), len(causes), axis=1)
    for change, cause in enumerate(causes):
        changed[_AT[cause], change] += 1j * _STEP
    return changed


def _water_side(x, plan):
    """Flow, jet velocity and the gauge before the nozzle, each (1 + changes of `_WATER`, pairs).

    The first is that of the causes `x` (causes, pairs), by `operating_flow`; one Newton step from it, exact to first order,
    gives those of the changed ones.
    """
    p = plan.given

    def causes(x):
        rougher, wider = np.exp(_cause(x, "roughness")), np.exp(_cause(x, "bore"))
        return p | {
            "bore": p["bore"] * wider,
            "bore_2": p["bore_2"] * wider,
            "bore_3": p["bore_3"] * wider,
            "gross_head": p["gross_head"] * np.exp(_cause(x, "head")),
            "nozzle": p["nozzle"] * np.exp(_cause(x, "nozzle")),
            "velocity_coefficient": p["velocity_coefficient"] + _cause(x, "velocity_coefficient"),
            "roughness": _rough(p["roughness"], p["bore"], rougher),
            "roughness_2": _rough(p["roughness_2"], p["bore_2"], rougher),
            "roughness_3": _rough(p["roughness_3"], p["bore_3"], rougher),
            "fittings": p["fittings"] + _extra_fittings(x, plan),
        }

    def net_head(flow, c):
        return nozzle_head(
            flow, *(c[name] for name in ("nozzle", "jets", "velocity_coefficient", "contraction", "gravity"))
        )

    built, changed = causes(x), causes(_changed(x, _WATER))
    flow = operating_flow(*(built[name] for name in _WATER_ARGUMENTS))
    sections = sections_of(*(changed[name] for name in inspect.signature(sections_of).parameters))
    lost = losses(flow, sections, changed["fittings"], kinematic_viscosity(p["temperature"]), p["gravity"])
    needed = net_head(flow, changed)
    excess = lost.head + needed - changed["gross_head"]
    change = np.where(flow >= p["available_flow"], 0.0, -excess.imag / (lost.slope + 2 * needed).real)
    flows = np.concatenate([flow[None].astype(complex), flow * (1 + 1j * change)])
    both = {
        name: np.concatenate([built[name][None], changed[name]])
        for name in ("nozzle", "velocity_coefficient", "bore", "bore_2", "bore_3")
    }
    net = net_head(flows, p | both)
    bore = outlet_bore(both["bore"], p["length_2"], both["bore_2"], p["length_3"], both["bore_3"])
    gauge = running_pressure(net - p["gauge_height"], flows, bore, p["temperature"], p["gravity"])
    return flows, jet_velocity(net, both["velocity_coefficient"], p["gravity"]), gauge


def _rough(roughness, bore, factor):
    return np.minimum(np.maximum(roughness, _SMOOTHEST) * factor, _ROUGHEST * bore)


def _extra_fittings(x, plan):
    """Loss coefficient of what blocks the pipe, referred to the first bore. [-]"""
    return _cause(x, "extra_loss") * plan.given["gross_head"] * 2 * plan.given["gravity"] / plan.velocity**2


def _as_built(x, plan, kind):
    """Arguments of the machine that the causes change."""
    p = plan.given
    return {
        "alignment": np.maximum(p["alignment"] + _cause(x, "alignment"), 0.02),
        "bearing_drag": p["bearing_drag"] * np.exp(_cause(x, "bearing_drag")),
        "iron_drag": p["iron_drag"] * np.exp(_cause(x, "iron_drag")),
        "windage": p["windage"] * np.exp(_cause(x, "windage")) + _cause(x, "ponding") * plan.torque / plan.speed**2,
        "phase_volts": p["phase_volts"]
        * np.exp(_cause(x, "emf") + _cause(x, "crest"))
        * np.where(_SINGLE[kind], 2 / 3, 1.0),
        "phase_resistance": p["phase_resistance"] * np.exp(_cause(x, "resistance")),
        "phase_inductance": p["phase_inductance"]
        * np.exp(_cause(x, "inductance"))
        * np.where(_SINGLE[kind], 4 / 3, 1.0),
        "connection": np.where(_SWAPPED[kind], np.where(p["connection"] == "star", "delta", "star"), p["connection"]),
        "cable_resistance": p["cable_resistance"] * np.exp(_cause(x, "cable"))
        + _cause(x, "joint") * plan.volts / plan.current,
    }


def _electrical_side(x, plan, kind, flow, jet, letter):
    """Speed, rectifier volts, load volts and current at load `letter`, each (changes, pairs), and the causes changed.

    `operating_point` solves the balance for the causes `x` (causes, pairs); one Newton step from there, exact to first order,
    gives those of the changed ones.
    """
    causes = (*_WATER, *_MACHINE, f"load_{letter}", f"held_{letter}")
    of_water = np.minimum(np.arange(len(causes)) + 1, len(_WATER) + 1) % (len(_WATER) + 1)
    p, is_resistor = plan.given, plan.given["load"] == "resistor"
    ohms_or_volts = plan.load * np.exp(_cause(x, f"load_{letter}"))
    base = operating_point(
        flow=flow[0].real,
        jet_velocity=jet[0].real,
        **(
            {name: p[name] for name in _MACHINE_ARGUMENTS}
            | _as_built(x, plan, kind)
            | {
                "battery_volts": ohms_or_volts,
                "load_resistance": ohms_or_volts,
                "load": np.where(is_resistor, "resistor", "battery"),
            }
        ),
    ).current
    x, flow, jet = _changed(x, causes), flow[of_water], jet[of_water]
    built = _as_built(x, plan, kind)
    load = plan.load * np.exp(_cause(x, f"load_{letter}"))
    volts, ohms = np.where(is_resistor, 0.0, load), np.where(is_resistor, load, 0.0)
    emf = dc_emf_constant(built["phase_volts"], built["connection"])
    drop = commutation_constant(built["phase_inductance"], p["pole_pairs"], built["connection"])
    windings = 2 * star_value(built["phase_resistance"], built["connection"])
    water = (p["pitch_diameter"], p["deflection"], p["cup_friction"], built["alignment"], p["temperature"])
    slope = torque_slope(flow, *water)
    dragged = slope * (2 * jet / p["pitch_diameter"]) - built["bearing_drag"] - built["iron_drag"]
    windage, resistance = built["windage"], windings + built["cable_resistance"] + ohms
    remaining = emf - drop * base
    speed = (volts + 2 * p["diode_drop"] + resistance * base) / remaining
    excess = dragged - (slope + windage * speed) * speed - base * remaining
    steepness = (slope + 2 * windage * speed) * (resistance + drop * speed) / remaining + emf - 2 * drop * base
    current = base + 1j * np.where(base > 0, excess.imag / steepness.real, 0.0)
    current = current * np.exp(_cause(x, f"held_{letter}"))
    speed = speed_for_torque(dragged - current * (emf - drop * current), slope, windage)
    rectifier = np.maximum(emf * speed - current * (windings + drop * speed) - 2 * p["diode_drop"], 0.0)
    return causes, (speed, rectifier, volts + ohms * current, current)


def _model(x, plan, kind):
    """Readings (pairs, readings) for the causes `x` (causes, pairs), and their derivatives (pairs, readings, causes).

    Derivatives are by the complex step, exact to rounding: W. Squire and G. Trapp, Using complex variables to estimate
    derivatives of real functions, SIAM Review 40 (1998) 110 (from memory, not looked up).
    """
    p, pairs = plan.given, x.shape[1]
    flow, jet, gauge = _water_side(x, plan)
    told = []  # a reading's causes, and its values for each of them changed
    head = _changed(x, ("head", "air"))
    static = p["gross_head"] * np.exp(_cause(head, "head")) * (1 - _cause(head, "air")) - p["gauge_height"]
    told += [(("head", "air"), density(p["temperature"]) * p["gravity"] * static)]
    told += [(_WATER, gauge[1:]), (_WATER, flow[1:])]
    for letter in "ab":
        causes, values = _electrical_side(x, plan, kind, flow, jet, letter)
        told += [(causes, value) for value in values]
    seen = np.where(_SINGLE[kind] & ~_OPEN_TOO[kind], 1.5, 1.0) * np.exp(-_cause(x, "crest"))
    built = _as_built(_changed(x, ("emf",)), plan, kind)
    told += [(("emf",), seen * dc_emf_constant(built["phase_volts"], built["connection"]))]
    told += [(("balance",), _HEALTHY_BALANCE + _cause(_changed(x, ("balance",)), "balance"))]
    wider = np.where(_CLEARED[kind], 0.0, _cause(_changed(x, ("nozzle",)), "nozzle"))
    told += [(("nozzle",), p["nozzle"] * np.exp(wider))]
    readings, slopes = np.empty((pairs, len(told))), np.zeros((pairs, len(told), len(CAUSES)))
    for place, (causes, values) in enumerate(told):
        factor = np.exp(_METER[place, kind] * _cause(x, "meter"))
        readings[:, place] = values[0].real * factor
        slopes[:, place, [_AT[cause] for cause in causes]] = (values.imag / _STEP * factor).T
    slopes[:, :, _AT["meter"]] = readings * _METER[:, kind].T
    return readings, slopes


def _values(x, plan, kind):
    """Values of ITEMS (pairs, items) for the causes `x` (causes, pairs), and their derivatives (pairs, items, causes).

    A wrong joining of the windings is told as the winding that does the same when joined as planned.
    """
    p, pairs = plan.given, x.shape[1]
    x = _changed(x, CAUSES)
    built = _as_built(x, plan, kind)
    as_planned = dc_emf_constant(1.0, built["connection"]) / dc_emf_constant(1.0, p["connection"])
    values = (
        p["gross_head"] * np.exp(_cause(x, "head")),
        _rough(p["roughness"], p["bore"], np.exp(_cause(x, "roughness"))),
        p["fittings"] + _extra_fittings(x, plan),
        p["velocity_coefficient"] + _cause(x, "velocity_coefficient"),
        p["nozzle"] * np.exp(_cause(x, "nozzle")),
        built["alignment"],
        built["bearing_drag"],
        built["windage"],
        built["phase_volts"] * as_planned,
        built["phase_resistance"] * as_planned**2,
        built["cable_resistance"],
    )
    values = np.array([np.broadcast_to(value, (len(CAUSES), pairs)) for value in values])
    return values[:, 0].real.T, (values.imag / _STEP).transpose(2, 0, 1)


class _Fit(NamedTuple):
    """Fits of pairs of plant and component; the first axis is the pair, but of `x`."""

    x: np.ndarray  # (causes, pairs)
    evidence: np.ndarray  # ln, up to what all components share
    readings: np.ndarray  # as the fit has them
    slopes: np.ndarray  # of the readings
    weighed_slopes: np.ndarray  # the same in units of the readings' uncertainty
    inverse: np.ndarray  # S^-1, in these units
    weighed: np.ndarray  # S^-1 r

    def pick(self, places):
        return _Fit(self.x[:, places], *(values[places] for values in self[1:]))

    def covariance(self, deviation):
        """Covariance of the causes after the fit; `deviation` (causes, pairs) is that of the prior.

        P - P J' S^-1 J P in the form D (1 + D J' J D)^-1 D, which subtracts nothing.
        """
        scale = deviation.T[:, :, None]
        slopes = np.ascontiguousarray(self.weighed_slopes * deviation.T[:, None, :])
        return (
            scale * np.linalg.inv(np.eye(len(CAUSES)) + slopes.transpose(0, 2, 1) @ slopes) * scale.transpose(0, 2, 1)
        )


def _fit(y, weight, plan, kind, mean, deviation, x, passes):
    """Fit the causes of each pair to its readings; a reading of `weight` 0 (1 over its uncertainty) is not used."""
    for _ in range(passes):
        here, slopes = _model(x, plan, kind)
        known = np.isfinite(here).all(axis=1) & np.isfinite(slopes).all(axis=(1, 2))
        here, slopes = np.where(known[:, None], here, 0.0), np.where(known[:, None, None], slopes, 0.0)
        weighed_slopes = slopes * weight[:, :, None]
        spread = weighed_slopes * deviation.T[:, None, :] ** 2
        matrix = spread @ np.ascontiguousarray(weighed_slopes.transpose(0, 2, 1)) + np.eye(len(READINGS))
        residual = np.where(weight > 0, (y - here) * weight, 0.0)
        residual = residual + np.sum(weighed_slopes * (x - mean).T[:, None, :], axis=2)
        inverse = np.linalg.inv(matrix)
        weighed = np.sum(inverse * residual[:, None, :], axis=2)
        evidence = -(np.sum(residual * weighed, axis=1) + np.linalg.slogdet(matrix)[1]) / 2
        change = np.sum(spread * weighed[:, :, None], axis=1).T
        before, x = x, _bounded(mean + change, mean, deviation)
    here = here + np.sum(slopes * (x - before).T[:, None, :], axis=2)
    return _Fit(x, np.where(known, evidence, -np.inf), here, slopes, weighed_slopes, inverse, weighed)


def _bounded(x, mean, deviation):
    x = np.clip(x, mean - 6 * deviation, mean + 6 * deviation)
    x[_NEVER_NEGATIVE] = np.maximum(x[_NEVER_NEGATIVE], 0.0)
    x[_NEVER_POSITIVE] = np.minimum(x[_NEVER_POSITIVE], 0.0)
    return x


def _variance(slopes, covariance):
    """Variance of values with these derivatives to the causes."""
    return np.maximum(np.sum((slopes @ covariance) * slopes, axis=2), 0.0)


def _diagnose(y, uncertainty, plan):
    """`Diagnosis` of a few plants: readings and uncertainties (plants, readings)."""
    plants, every = len(y), np.arange(len(y))
    taken = uncertainty > 0
    weight = np.where(taken, 1 / np.where(taken, uncertainty, 1.0), 0.0)
    b, a = READINGS.index("volts_b"), READINGS.index("amps_b")
    of_resistor = plan.given["load"] == "resistor"
    told = taken[:, b] & (y[:, b] > 0) & (~of_resistor | taken[:, a] & (y[:, a] > 0))
    load_b = np.where(of_resistor, y[:, b] / np.where(told, y[:, a], 1.0), y[:, b])
    load_b = np.where(told, np.log(np.where(told, load_b, 1.0) / plan.load), _HEALTHY_LOAD_B)

    def prior(places, kind, means=_MEANS, deviations=_DEVIATIONS):
        mean, deviation = means[:, kind].copy(), deviations[:, kind].copy()
        mean[_AT["load_b"]] = load_b[places]
        unused = ~taken[places][:, READINGS.index("speed_b") : READINGS.index("amps_b") + 1].any(axis=1)
        deviation[_AT["load_b"]] = np.where(unused, 0.01, deviation[_AT["load_b"]])  # one would choose and read it
        return mean, deviation

    def fitted(places, kind, x, passes, prior_, used=weight):
        return _fit(y[places], used[places], plan.pick(places), kind, *prior_, x, passes)

    # A first look at every component, then a closer one at those that may count, and at the best of each fault.
    places, kind = np.repeat(every, len(COMPONENTS)), np.tile(np.arange(len(COMPONENTS)), plants)
    before = prior(places, kind)
    first = fitted(places, kind, before[0].copy(), 1, before)
    log = (first.evidence + _LOG_PRIOR[kind]).reshape(plants, -1)
    near = log > log.max(axis=1, keepdims=True) - _WORTH_A_CLOSER_LOOK
    for fault in range(len(FAULTS)):
        own = np.flatnonzero(fault == _FAULT)
        near[every, own[np.argmax(log[:, own], axis=1)]] = True
    closer = np.flatnonzero(near.ravel())
    places, kind = places[closer], kind[closer]
    before = prior(places, kind)
    fit = fitted(places, kind, first.x[:, closer], _PASSES, before)
    log[places, kind] = fit.evidence + _LOG_PRIOR[kind]
    share = np.exp(log - log.max(axis=1, keepdims=True))
    probability = share @ (_FAULT[:, None] == np.arange(len(FAULTS)))
    probability = probability / probability.sum(axis=1, keepdims=True)
    order = np.argsort(-probability, axis=1, kind="stable")

    index = np.full(log.shape, -1)
    index[places, kind] = np.arange(len(closer))

    def best_of(fault):
        """Place in `fit` of the best component of a fault, one per plant."""
        return index[
            every, np.argmax(np.where((fault[:, None] == _FAULT) & (index >= 0), log + _TOLD_FIRST, -np.inf), axis=1)
        ]

    top, second = best_of(order[:, 0]), best_of(order[:, 1])
    well = best_of(np.zeros(plants, dtype=int))
    misfit = fit.weighed[well] / np.sqrt(np.diagonal(fit.inverse[well], axis1=1, axis2=2))

    usual = USUAL_UNCERTAINTY * np.maximum(abs(fit.readings[top]), 1e-12)
    noise = usual**2 + sum(
        _variance(fit.slopes[one], fit.pick(one).covariance(before[1][:, one])) for one in (top, second)
    )
    apart = np.where(taken, -1.0, abs(fit.readings[top] - fit.readings[second]) / np.sqrt(noise))
    following = np.argsort(-apart, axis=1, kind="stable") + 1
    following = np.where(np.take_along_axis(apart, following - 1, axis=1) < 0, 0, following)

    whole = prior(every, kind[top], _WHOLE_MEANS, _WHOLE_DEVIATIONS)
    final = fitted(every, kind[top], fit.x[:, top], _FINAL_PASSES, whole)
    at_load = np.isin(READINGS, ("volts_a", "volts_b"))
    nothing_wrong = np.zeros(plants, dtype=int)
    healthy = prior(every, nothing_wrong)
    planned = fitted(every, nothing_wrong, healthy[0].copy(), _PASSES, healthy, weight * at_load)
    values, slopes = _values(final.x, plan, kind[top])
    return Diagnosis(
        probability,
        order,
        values,
        np.sqrt(_variance(slopes, final.covariance(whole[1]))),
        misfit,
        following,
        planned.readings,
        np.sqrt(_variance(planned.slopes, planned.covariance(healthy[1]))),
    )


_WATER_ARGUMENTS = tuple(inspect.signature(operating_flow).parameters)
_MACHINE_ARGUMENTS = tuple(
    name for name in inspect.signature(operating_point).parameters if name not in ("flow", "jet_velocity")
)
PLANT = (
    "gross_head",
    "length",
    "bore",
    "roughness",
    "nozzle",
    "pitch_diameter",
    "phase_volts",
    "pole_pairs",
    "phase_resistance",
    "battery_volts",
    "fittings",
    "jets",
    "velocity_coefficient",
    "contraction",
    "temperature",
    "gravity",
    "available_flow",
    "deflection",
    "cup_friction",
    "alignment",
    "bearing_drag",
    "windage",
    "phase_inductance",
    "connection",
    "diode_drop",
    "cable_resistance",
    "iron_drag",
    "load",
    "load_resistance",
    "controller_efficiency",
    "length_2",
    "bore_2",
    "roughness_2",
    "length_3",
    "bore_3",
    "roughness_3",
    "gauge_height",
)


def diagnose(readings, uncertainties, **plant):
    """What the readings of a test day say about a plant.

    Parameters
    ----------
    readings : array_like
        The last axis in the order of READINGS: gauge pressure at the valve shut and just before the nozzle, running
        [Pa]; flow [m³/s]; at load A, speed [rad/s], volts at the rectifier and at the load, current [A]; the same at
        another load B; open-circuit d.c. volts per rad/s [V·s]; lowest over highest line voltage [-]; opening of a
        nozzle, measured [m].
    uncertainties : array_like
        Standard uncertainty of each, in its unit; 0 where it was not taken.
    plant : array_like
        The plant as planned: PLANT, as in `hydrofunc.physics.ledger.power_ledger`, and `gauge_height`, how far the gauge sits
        above the nozzle [m].

    Returns
    -------
    Diagnosis
        NaN for a plant with an input that is NaN. See the text of this module for the method.
    """
    shape = np.broadcast_shapes(np.shape(readings)[:-1], np.shape(uncertainties)[:-1], *map(np.shape, plant.values()))
    flat = {name: np.broadcast_to(value, shape).reshape(-1) for name, value in plant.items()}
    flat = {name: value if value.dtype.kind == "U" else value.astype(float) for name, value in flat.items()}
    y, u = (
        np.broadcast_to(values, (*shape, len(READINGS))).reshape(-1, len(READINGS)).astype(float)
        for values in (readings, uncertainties)
    )
    known = np.isfinite(y).all(axis=1) & np.isfinite(u).all(axis=1)
    y, u = np.where(known[:, None], y, 0.0), np.where(known[:, None], u, 0.0)
    with np.errstate(all="ignore"):
        plan = _planned({name: flat[name] for name in PLANT})
        known &= np.isfinite([plan.velocity, plan.volts, plan.current, plan.speed, plan.torque, plan.load]).all(axis=0)
        pieces = [slice(start, start + _AT_ONCE) for start in range(0, len(y), _AT_ONCE)]
        parts = [_diagnose(y[piece], u[piece], plan.pick(piece)) for piece in pieces]
    merged = (np.concatenate(values) for values in zip(*parts))
    return Diagnosis(*(np.where(known[:, None], values, np.nan).reshape(*shape, -1) for values in merged))
