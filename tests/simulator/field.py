"""Invented test days of small plants: what was planned, what is true, and what cheap instruments say of it.

`field(seed, n)` gives n cases. Each has a PLAN (what its builder typed, by survey and data sheets), a true plant that
scatters round the plan and has none, one or two of the `TROUBLES`, and the READINGS of its test day. The plant is
calculated by `sampled.py`; nothing is shared with the product or with its diagnosis.

Where nothing else is said, the sizes of scatter, troubles and errors of instruments are the writer's judgement of the
trade: common practice, no published source. Scatter has heavy tails (Student's t, 4 degrees of freedom, cut at 4).

All values are in SI units (temperature in K, angles in rad, speeds in rad/s). Conventions:

- The gauge sits above the valve near the nozzle, `gauge_height` above the nozzle. A blocked pipe is blocked above it.
- rectifier_*: d.c. volts at the bridge. volts_*: at the battery or the resistor; of a maximum-power controller, and of
  some series controllers, at its input: `how["volts_at"]`. amps_*: d.c. in the cable, of a throttling series controller
  on the average.
- Load b is a battery of other volts or a resistor, without a controller: `how["load_b"]` and its size.
- open_constant, behind the bridge, and phase_balance are taken without a load, at open_speed. The volts of a battery
  that gets no current read 5 % lower.
- `stated` is the limit ± which the person would state, in the unit of the reading.
- A source gives more than the pipe takes unless `source_short` is among the troubles, whatever the survey said.
"""

import math
from dataclasses import dataclass
from dataclasses import field as data_field

import numpy as np

from .sampled import LEAK_DISCHARGE, SOUND_WATER, bridge, machine, settle, stream, water_density

RPM = math.pi / 30
# Bores of pressure pipe that such people buy [m]; from memory.
BORES = (0.0204, 0.0262, 0.0326, 0.0408, 0.0514, 0.063)
GAUGES = tuple(1e5 * bar for bar in (1, 1.6, 2.5, 4, 6, 10, 16, 25))  # usual full scales
DIODE = 0.85  # share of the planned diode drop that is threshold, the rest slope, at the planned current
TRACKING = np.linspace(0.5, 1.35, 9)  # volts tried for a maximum-power controller, over the planned ones
# Speed without a load, over the planned one, at which open_constant and phase_balance are read: by a trickle of water,
# the same on every day; or by whatever turns the wheel, a slow drill too.
TRICKLE, DRILL = (1.4, 1.4), (0.2, 1.4)
READINGS = (
    "static",
    "running",
    "flow",
    *(f"{name}_{load}" for load in "ab" for name in ("speed", "rectifier", "volts", "amps")),
    "open_constant",
    "phase_balance",
    "nozzle",
    "open_speed",
)


@dataclass(frozen=True)
class Case:
    """One test day."""

    number: int
    plan: dict
    readings: dict  # reading to value; what was left out is not in it
    stated: dict  # reading to the limit that the person states
    troubles: tuple[str, ...]
    seen: dict  # intake_overflows, screen_clean: 1.0, 0.0, NaN where nobody looked
    how: dict  # what the person knows of the way of measuring: load_b and its size, volts_at
    true: dict  # what perfect instruments would say, all of READINGS
    sizes: dict  # trouble to what was done, in words and numbers


@dataclass
class _Day:
    """A plan that is becoming a test day."""

    plan: dict
    base: dict  # of the plan: flow, jet, speed, torque, volts, amps, pressure ...
    truth: dict  # water and electric truth
    meters: dict
    how: dict
    sizes: dict = data_field(default_factory=dict)


def field(seed, n, scatter=1.0, meters=1.0, turned=TRICKLE):
    """n cases. `scatter` and `meters` multiply the true scatter and the meters' true errors, not the stated ones.

    `turned`: TRICKLE or DRILL.
    """
    days, troubles = [], []
    for number in range(n):
        plan_dice, truth_dice, trouble_dice = (np.random.default_rng([seed, number, part]) for part in (1, 2, 3))
        plan, base = invent(plan_dice)
        day = _Day(
            plan, base, _true_site(plan, base, truth_dice, scatter), _good_meters(), _way(plan, base, plan_dice, turned)
        )
        troubles.append(_add_troubles(day, trouble_dice))
        days.append(day)
    return [
        _case(number, day, ids, true, np.random.default_rng([seed, number, 4]), meters)
        for number, (day, ids, true) in enumerate(zip(days, troubles, _measure(days), strict=True))
    ]


def steady(plans, bases, ways):
    """What perfect instruments, used in these ways (`Case.how`), say of plants that are exactly as planned: lists."""
    dice = np.random.default_rng(0)
    return _measure(
        [
            _Day(plan, base, _true_site(plan, base, dice, 0.0), _good_meters(), way)
            for plan, base, way in zip(plans, bases, ways, strict=True)
        ]
    )


# Plans


def _typed(value, digits=3):
    """As people type a number."""
    return float(f"{value:.{digits}g}")


def _ideal(plan):
    """The plan's water as `stream` takes it, with nothing wrong."""
    return {
        **plan,
        **SOUND_WATER,
        "source": plan["available_flow"],
        "air_pressure": 101325 * (1 - 2.25577e-5 * plan["altitude"]) ** 5.25588,  # standard atmosphere; from memory
    }


def invent(dice):
    """A sensible plan, and what it gives."""
    while True:
        plan = _water_plan(dice)
        if plan is not None:
            water = stream(_ideal(plan))
            power = 0.5 * water_density(plan["temperature"]) * water.flow * water.jet**2
            speed = RPM * math.exp(dice.uniform(math.log(450), math.log(2000)))
            pitch = _typed(2 * 0.46 * water.jet / speed, 2)
            if 25 < power < 3000 and pitch > 9 * plan["nozzle"] and 0.06 <= pitch <= 0.4:
                return _electric_plan(plan, water, pitch, power, dice)


def _water_plan(dice):
    head = _typed(math.exp(dice.uniform(math.log(15), math.log(120))))
    length = _typed(min(max(60, head * dice.uniform(1.5, 9)), 600))
    nozzle = round(dice.uniform(3, 14) * 2) / 2000
    flow = 0.97 * math.pi / 4 * nozzle**2 * math.sqrt(2 * 9.81 * 0.8 * head)
    rough = float(dice.choice([0.00001, 0.00003, 0.00005, 0.00015], p=[0.35, 0.3, 0.25, 0.1]))
    plan = {
        "gross_head": head,
        "roughness": [rough],
        "fittings": _typed(dice.uniform(1, 6), 2),
        "nozzle": nozzle,
        "jets": 1.0,
        "velocity_coefficient": 0.97 if dice.random() < 0.7 else _typed(dice.uniform(0.94, 0.985)),
        "contraction": 1.0 if dice.random() < 0.8 else _typed(dice.uniform(0.85, 0.97), 2),
        "temperature": 273.15 + round(dice.uniform(4, 18)),
        "altitude": _typed(dice.uniform(50, 2000), 2),
        "gravity": _typed(dice.uniform(9.78, 9.825), 4),
        "available_flow": math.inf,
        "gauge_height": float(dice.choice([0.0, 0.2, 0.5, 1.0, -0.5])),
    }
    share, spare, measured = dice.uniform(0.08, 0.35), dice.uniform(1.08, 1.8), dice.random() < 0.75
    two, cut = dice.random() < 0.25, _typed(dice.uniform(0.3, 0.7), 2)
    for index, bore in enumerate(BORES):
        pipe = {"length": [length], "bore": [bore]}
        if two and index + 1 < len(BORES):
            pipe = {"length": [cut * length, length - cut * length], "bore": [BORES[index + 1], bore]}
        plan |= pipe | {"roughness": [rough] * len(pipe["bore"])}
        water = stream(_ideal(plan))
        if water.head > (1 - share) * head and 0.8 * flow < water.flow:
            if measured:
                plan["available_flow"] = _typed(water.flow * spare)
            return plan
    return None


def _electric_plan(plan, water, pitch, power, dice):
    plan |= {
        "pitch_diameter": pitch,
        "deflection": math.radians(float(dice.choice([160, 165, 165, 170]))),
        "cup_friction": _typed(dice.uniform(0.82, 0.95), 2),
        "alignment": float(dice.choice([1.0, 0.97, 0.95, 0.9])),
    }
    turn = 1 - plan["cup_friction"] * math.cos(plan["deflection"])
    density = water_density(plan["temperature"])
    speed = 0.46 * water.jet / (pitch / 2)
    torque = plan["alignment"] * density * water.flow * 0.54 * water.jet * pitch / 2 * turn
    plan["bearing_drag"] = _typed(torque * dice.uniform(0.01, 0.05), 2)
    plan["iron_drag"] = _typed(torque * dice.uniform(0.01, 0.05), 2)
    plan["windage"] = _typed(torque * speed * dice.uniform(0.0, 0.03) / speed**3, 2)
    net = torque - plan["bearing_drag"] - plan["iron_drag"] - plan["windage"] * speed**2
    nominal = 12 if power < 120 else float(dice.choice([12, 24, 48] if power < 500 else [24, 48, 48]))
    kind = dice.choice(["battery", "resistor", "controller"], p=[0.75, 0.15, 0.10])
    battery = _typed(nominal * dice.uniform(1.1, 1.18))
    volts = battery * (dice.uniform(1.3, 2.5) if kind == "controller" else 1.0)
    copper, overlap, cable = dice.uniform(0.05, 0.15), dice.uniform(0.01, 0.1), dice.uniform(0.005, 0.05)
    drop = float(dice.choice([0.7, 0.8, 0.9]))
    # D.c. volts of a bridge: 3 sqrt(6)/pi of the phase volts of a star, less the drops (any book on power electronics).
    inner = volts * (1 + cable) + 2 * drop
    amps = net * speed / (inner * (1 + copper) + 0.5 * overlap * volts)
    tuned = math.exp(0.06 * dice.standard_normal())
    star_volts = (inner * (1 + copper) + overlap * volts) / (3 * math.sqrt(6) / math.pi) / speed * tuned
    pairs = float(dice.choice([2, 3, 4, 6, 7, 8]))
    delta = dice.random() < 0.35
    plan |= {
        "phase_volts": _typed(star_volts * (math.sqrt(3) if delta else 1.0)),
        "pole_pairs": pairs,
        "phase_resistance": _typed(copper * inner / amps / 2 * (3 if delta else 1)),
        "phase_inductance": _typed(overlap * volts / amps * math.pi / (3 * pairs * speed) * (3 if delta else 1)),
        "connection": "delta" if delta else "star",
        "diode_drop": drop,
        "cable_resistance": _typed(cable * volts / amps),
        "load": str(kind),
        "battery_volts": 0.0 if kind == "resistor" else battery,
        "load_resistance": _typed(volts / amps) if kind == "resistor" else 0.0,
        "controller_efficiency": 0.95,
    }
    base = {"water": water, "speed": speed, "torque": torque, "volts": volts, "amps": amps, "nominal": nominal}
    # A battery may hang at the wheel through a series controller, which only throttles when the battery is full.
    return plan, base | {"series": kind == "battery" and dice.random() < 0.6}


def _way(plan, base, dice, turned=TRICKLE):
    """How the person will measure: the other load, and where the volts of a controller are read."""
    way = {"volts_at": "battery", "load_b": "resistor", "load_resistance_b": 0.0, "battery_volts_b": 0.0}
    if plan["load"] == "battery" and dice.random() < 0.6:
        ratio = dice.choice([0.5, 0.75, 1.25, 1.5] if base["nominal"] > 12 else [1.5, 2.0, 0.75])
        way |= {"load_b": "battery", "battery_volts_b": _typed(base["volts"] * ratio)}
    else:
        ratio = math.exp(dice.choice([-1, 1]) * dice.uniform(0.35, 0.9))
        way["load_resistance_b"] = _typed(base["volts"] / base["amps"] * ratio)
    if plan["load"] == "controller" or (base["series"] and dice.random() < 0.4):
        way["volts_at"] = "input"
    return way | {"open_speed": base["speed"] * _log(dice, *turned)}


# True plants


def _t(dice, size=None):
    """Student's t with 4 degrees of freedom, cut at 4, at the scale of a standard deviation of about 1."""
    return np.clip(dice.standard_t(4, size) / math.sqrt(2), -4, 4)


def _true_site(plan, base, dice, scatter):
    """The plan's numbers as the plant really has them, without a trouble."""

    def near(name, share):
        return plan[name] * math.exp(scatter * share * _t(dice))

    def less(name, share):
        """A real one is only worse."""
        return plan[name] * math.exp(-scatter * share * abs(_t(dice)))

    sections = len(plan["length"])
    site = _ideal(plan) | {
        "gross_head": near("gross_head", 0.012),
        "length": [x * math.exp(scatter * 0.02 * _t(dice)) for x in plan["length"]],
        "bore": [x * math.exp(scatter * 0.01 * _t(dice)) for x in plan["bore"]],
        "roughness": [plan["roughness"][0] * math.exp(scatter * 0.5 * _t(dice))] * sections,
        "fittings": near("fittings", 0.3),
        "nozzle": near("nozzle", 0.006) + scatter * 3e-5 * _t(dice),
        "velocity_coefficient": min(near("velocity_coefficient", 0.008), 0.995),
        "contraction": less("contraction", 0.01),
        "temperature": plan["temperature"] + scatter * 2 * _t(dice),
        "alignment": less("alignment", 0.03),
        "cup_friction": min(near("cup_friction", 0.03), 0.99),
        "deflection": near("deflection", 0.015),
        "bearing_drag": near("bearing_drag", 0.4),
        "iron_drag": near("iron_drag", 0.3),
        "windage": near("windage", 0.5),
        "phase_volts": near("phase_volts", 0.025),
        "phase_resistance": near("phase_resistance", 0.07),
        "phase_inductance": near("phase_inductance", 0.12),
        "diode_drop": near("diode_drop", 0.05),
        "cable_resistance": near("cable_resistance", 0.08),
        "battery_volts": near("battery_volts", 0.015),
        "load_resistance": near("load_resistance", 0.02),
        "source": math.inf,
        "spare": 1.05 + abs(float(_t(dice))) * 0.2,
        "spill": scatter * 0.04 * abs(_t(dice)),
        "fifth": scatter * 0.02 * _t(dice),
        "uneven": np.exp(scatter * 0.004 * _t(dice, 3)),
        "closed": np.full(3, True),
        "diodes": np.full(6, True),
        "shorted": 0.0,
        "duty": 1.0,
        "source_share": None,
        "track": 1.0,  # volts of a maximum-power controller over the best ones
        "dirty": dice.random() < 0.08,  # a screen that looks dirty and does no harm
        "dead_line": False,
    }
    site["slope"] = (1 - DIODE) * site["diode_drop"] / base["amps"]
    return site


def _good_meters():
    return {"gauge": 1.0, "gauge_offset": 0.0, "volts": 1.0, "amps": 1.0, "tacho": 1.0, "bucket": 1.0}


# Troubles

_DOES = {}  # id to its words and what it does to a day


def _trouble(name, words):
    def enter(function):
        _DOES[name] = words, function
        return function

    return enter


def _log(dice, low, high):
    return math.exp(dice.uniform(math.log(low), math.log(high)))


def _mostly_up(dice, low, high, up=0.5):
    """A factor off by a share between low and high, upwards with the probability `up`."""
    share = dice.uniform(low, high)
    return 1 + share if dice.random() < up else 1 - share


@_trouble("pipe_blocked", "The pipe is blocked at one point above the gauge: screen, half-shut valve or stone.")
def _pipe_blocked(day, dice):
    share, at = _log(dice, 0.08, 0.7), str(dice.choice(["screen", "valve", "stone"], p=[0.45, 0.3, 0.25]))
    velocity = day.base["water"].intake / (math.pi / 4 * day.plan["bore"][0] ** 2)
    day.truth["block"] += share * day.plan["gross_head"] * 2 * day.plan["gravity"] / velocity**2
    day.truth["dirty"] |= at == "screen"
    return f"{at}, {share:.0%} of the gross head at the planned flow"


@_trouble("pipe_rough", "The pipe is rougher all along: scale, slime or rust.")
def _pipe_rough(day, dice):
    before = stream(day.truth).head
    scale = _log(dice, 0.0002, 0.002)
    clean = day.truth["roughness"], day.truth["bore"]
    while True:  # Thicker until it can be noticed: 4 % of the head.
        day.truth["roughness"] = [k + scale for k in clean[0]]
        day.truth["bore"] = [bore - scale for bore in clean[1]]
        if stream(day.truth).head < 0.96 * before:
            return f"{1000 * scale:.2f} mm of scale"
        scale *= 1.3


@_trouble("pipe_narrow", "A narrower pipe than planned was laid.")
def _pipe_narrow(day, dice):
    before, ratio = stream(day.truth).head, dice.uniform(0.7, 0.92)
    wide = day.truth["bore"]
    while True:
        day.truth["bore"] = [bore * ratio for bore in wide]
        if stream(day.truth).head < 0.96 * before:
            return f"bore times {ratio:.2f}"
        ratio *= 0.95


@_trouble("air_pocket", "Air is trapped at a high point of the pipe.")
def _air_pocket(day, dice):
    share = dice.uniform(0.05, 0.4)
    day.truth["air_pocket"] = share * day.plan["gross_head"]
    day.truth["pocket_at_rest"] = float(dice.choice([0.0, dice.uniform(0, 0.4)]))
    return f"{share:.0%} of the gross head, {day.truth['pocket_at_rest']:.0%} of that at rest"


@_trouble("air_drawn", "A whirl at the intake draws air into the pipe.")
def _air_drawn(day, dice):
    void = dice.uniform(0.06, 0.4)
    day.truth["void"] = void
    day.truth["alignment"] *= 1 - void * dice.uniform(0.4, 1.2)
    return f"{void:.2f} volumes of air in one of water"


@_trouble("source_short", "The source gives less than the nozzle takes; the level in the pipe sinks.")
def _source_short(day, dice):
    day.truth["source_share"] = dice.uniform(0.6, 0.96)
    return f"{day.truth['source_share']:.0%} of what the nozzle would take"


@_trouble("leak", "Water leaks from the pipe on the way.")
def _leak(day, dice):
    before, share, at = stream(day.truth).head, _log(dice, 0.12, 0.9), dice.uniform(0.3, 0.97)
    water, g = day.base["water"], day.plan["gravity"]
    first = share
    while True:
        day.truth["leak_at"] = at
        day.truth["leak_area"] = share * water.flow / (LEAK_DISCHARGE * math.sqrt(2 * g * water.head * at))
        if stream(day.truth).head < 0.97 * before:
            return f"about {share:.0%} of the planned flow, {at:.0%} of the way down"
        share *= 1.2
        if share > 20:  # Another trouble leaves no pressure there, and no hole is large enough: further down it is.
            share, at = first, (1 + at) / 2


@_trouble("head_short", "The head was surveyed too high.")
def _head_short(day, dice):
    share = _log(dice, 0.05, 0.35)
    day.truth["gross_head"] /= 1 + share
    return f"{share:.0%} too high"


@_trouble("nozzle_other", "The nozzle is worn, or another drill was fitted.")
def _nozzle_other(day, dice):
    ratio = dice.uniform(1.05, 1.35) if dice.random() < 0.7 else dice.uniform(0.72, 0.95)
    day.truth["nozzle"] *= ratio
    return f"diameter times {ratio:.2f}"


@_trouble("nozzle_blocked", "The nozzle is partly blocked.")
def _nozzle_blocked(day, dice):
    day.truth["nozzle_open"] = dice.uniform(0.35, 0.92)
    day.truth["alignment"] *= dice.uniform(0.85, 1.0)
    return f"{day.truth['nozzle_open']:.0%} of its area open"


@_trouble("jet_misaligned", "The jet does not meet the cups as it should.")
def _jet_misaligned(day, dice):
    share = dice.uniform(0.5, 0.9)
    day.truth["alignment"] *= share
    return f"{share:.0%} of the torque"


@_trouble("cups_worn", "The cups are worn or chipped.")
def _cups_worn(day, dice):
    friction, angle = dice.uniform(0.2, 0.75), math.radians(dice.uniform(0, 35))
    day.truth["cup_friction"] *= friction
    day.truth["deflection"] -= angle
    return f"cup friction times {friction:.2f}, {math.degrees(angle):.0f} degrees less"


@_trouble("water_ponding", "Water stands in the housing and brakes the wheel.")
def _water_ponding(day, dice):
    share = _log(dice, 0.07, 0.7)
    day.truth["windage"] += share * day.base["torque"] / day.base["speed"] ** 2
    return f"{share:.0%} of the wheel's power at the planned speed"


@_trouble("bearing_drag", "A bearing or a seal drags.")
def _bearing_drag(day, dice):
    share = _log(dice, 0.07, 0.5)
    day.truth["bearing_drag"] += share * day.base["torque"]
    return f"{share:.0%} of the wheel's torque"


@_trouble("charge_throttled", "The battery is nearly full: the controller throttles.")
def _charge_throttled(day, dice):
    if day.plan["load"] == "controller":
        day.truth["track"] = dice.uniform(1.15, 1.7)
        return f"maximum-power type, input volts times {day.truth['track']:.2f}"
    day.base["series"] = True
    day.truth["duty"] = dice.uniform(0.1, 0.88)
    return f"series type, on for {day.truth['duty']:.0%} of the time"


@_trouble("load_off_best", "The load holds the wheel off its best speed: other battery volts, resistor or winding.")
def _load_off_best(day, dice):
    if day.plan["load"] == "controller" or dice.random() < 0.35:
        ratio = _log(dice, 0.5, 0.8) ** dice.choice([-1, 1])
        day.truth["phase_volts"] *= ratio
        day.truth["phase_resistance"] *= ratio**2
        day.truth["phase_inductance"] *= ratio**2
        return f"winding, turns times {ratio:.2f}"
    if day.plan["load"] == "resistor":
        ratio = _log(dice, 1.5, 3) ** dice.choice([-1, 1])
        day.truth["load_resistance"] *= ratio
        return f"resistance times {ratio:.2f}"
    ratio = float(dice.choice([0.5, 0.75, 1.25, 1.5, 2.0] if day.base["nominal"] > 12 else [0.5, 1.5, 2.0]))
    day.truth["battery_volts"] *= ratio
    return f"battery volts times {ratio}"


@_trouble("phase_open", "One whole phase is open.")
def _phase_open(day, dice):
    phase = dice.integers(3)
    if day.plan["connection"] == "delta" and dice.random() < 0.4:
        day.truth["diodes"][[phase, phase + 3]] = False
        day.truth["dead_line"] = True
        return "one line wire"
    day.truth["closed"][phase] = False
    return "one winding"


@_trouble("diode_open", "One diode is open.")
def _diode_open(day, dice):
    which = dice.integers(6)
    day.truth["diodes"][which] = False
    return f"diode {which}"


@_trouble("shorted_turns", "Some turns of one phase are shorted.")
def _shorted_turns(day, dice):
    share, phase = _log(dice, 0.04, 0.3), dice.integers(3)
    day.truth["shorted"] = share
    day.truth["uneven"][phase] *= 1 - share
    return f"{share:.0%} of one phase"


@_trouble("magnets_weak", "The magnets are weaker than the data sheet says.")
def _magnets_weak(day, dice):
    ratio = dice.uniform(0.55, 0.92)
    day.truth["phase_volts"] *= ratio
    return f"volts times {ratio:.2f}"


@_trouble("connection_mistaken", "Star and delta are mistaken for each other.")
def _connection_mistaken(day, dice):
    day.truth["connection"] = "star" if day.plan["connection"] == "delta" else "delta"
    return f"truly {day.truth['connection']}"


@_trouble("cable_bad", "The cable is too thin, or a joint is bad.")
def _cable_bad(day, dice):
    share = _log(dice, 0.04, 0.35)
    day.truth["cable_resistance"] += share * day.base["volts"] / day.base["amps"]
    return f"{share:.0%} of the volts at the planned current"


@_trouble("wrong_bucket", "The bucket holds more or less than believed.")
def _wrong_bucket(day, dice):
    day.meters["bucket"] = _mostly_up(dice, 0.05, 0.30)
    return f"flow reads times {day.meters['bucket']:.2f}"


@_trouble("wrong_gauge", "The gauge is wrong, in both of its readings.")
def _wrong_gauge(day, dice):
    if dice.random() < 0.5:
        day.meters["gauge"] = _mostly_up(dice, 0.05, 0.25)
        return f"reads times {day.meters['gauge']:.2f}"
    share = _mostly_up(dice, 0.05, 0.20) - 1
    day.meters["gauge_offset"] = share * day.plan["gross_head"] * 9810
    return f"zero off by {share:.0%} of the static pressure"


@_trouble("wrong_tacho", "The tachometer counts a wrong number of pole pairs or marks.")
def _wrong_tacho(day, dice):
    pairs = int(day.plan["pole_pairs"])
    other = int(dice.choice([p for p in (pairs - 2, pairs - 1, pairs + 1, pairs + 2, 2 * pairs) if p > 0]))
    day.meters["tacho"] = pairs / other
    return f"reads times {pairs}/{other}"


@_trouble("wrong_meter", "The multimeter is wrong, in all its volts or in all its amps.")
def _wrong_meter(day, dice):
    which = str(dice.choice(["volts", "amps"]))
    day.meters[which] = _mostly_up(dice, 0.05, 0.25)
    return f"{which} read times {day.meters[which]:.2f}"


TROUBLES = tuple((name, words) for name, (words, _) in _DOES.items())
IDS = tuple(_DOES)
# What a person must have read for the trouble of an instrument to be in the day at all.
NEEDS = {
    "wrong_bucket": {"flow"},
    "wrong_gauge": {"static", "running"},
    "wrong_tacho": {"speed_a"},
    "wrong_meter": {"volts_a", "amps_a"},
}
# Troubles that act on the same number, or hide each other.
NEVER_TOGETHER = (
    {"pipe_rough", "pipe_narrow"},
    {"nozzle_other", "nozzle_blocked"},
    {"phase_open", "diode_open"},
    {"phase_open", "shorted_turns"},
    {"phase_open", "connection_mistaken"},
    {"load_off_best", "charge_throttled"},
    {"source_short", "leak"},
)


def _add_troubles(day, dice):
    """None, one or two troubles, done to the day; gives their ids."""
    count = dice.choice([0, 1, 2], p=[0.15, 0.6, 0.25])
    possible = [t for t in IDS if t != "charge_throttled" or day.plan["load"] != "resistor"]
    while True:
        ids = tuple(sorted(dice.choice(possible, count, replace=False), key=IDS.index))
        if set(ids) not in NEVER_TOGETHER:
            break
    ids = tuple(str(name) for name in ids)
    for name in ids:
        day.sizes[name] = _DOES[name][1](day, dice)
    site = day.truth
    taken = stream(site).intake
    site["source"] = taken * (site["source_share"] or site["spare"])
    return ids


# Measuring


AS_THEY_ARE = "alignment spill bearing_drag windage iron_drag fifth closed diodes pole_pairs shorted slope".split()


def _lane(day, water, **load):
    """One row of a `Machine`: the true plant of a day with a load."""
    site = day.truth
    return {
        "flow": water.flow,
        "jet": water.jet,
        "density": water_density(site["temperature"]),
        "radius": site["pitch_diameter"] / 2,
        "turn": 1 - site["cup_friction"] * math.cos(site["deflection"]),
        "emf": math.sqrt(2) * site["phase_volts"] * site["uneven"],
        "resistance": np.full(3, site["phase_resistance"]),
        "inductance": np.full(3, site["phase_inductance"]),
        "delta": site["connection"] == "delta",
        "threshold": DIODE * site["diode_drop"],
        "cable": site["cable_resistance"],
        "volts": 0.0,
        "load": 0.0,
        "duty": 1.0,
        **{name: site[name] for name in AS_THEY_ARE},
        **load,
    }


def _load_a(day):
    if day.plan["load"] == "resistor":
        return {"load": day.truth["load_resistance"]}
    return {"volts": day.truth["battery_volts"], "duty": day.truth["duty"]}


def _load_b(day):
    if day.how["load_b"] == "resistor":
        return {"load": day.how["load_resistance_b"]}
    return {"volts": day.how["battery_volts_b"]}


def _measure(days):
    """What perfect instruments, of the kinds that the days have, would say: a dict of READINGS for each day."""
    waters = [stream(day.truth) for day in days]
    best = _tracked(days, waters)
    rows = [_lane(day, water, **(best.get(i) or _load_a(day))) for i, (day, water) in enumerate(zip(days, waters))]
    rows += [_lane(day, water, **_load_b(day)) for day, water in zip(days, waters)]
    plants = machine(rows)
    speed, loaded = settle(plants)
    spinning = np.where(speed > 0, speed, [2 * day.base["speed"] for day in days] * 2)
    n = len(days)
    unloaded, _ = bridge(plants.unloaded(), spinning, 4)
    spun = np.array([day.how["open_speed"] for day in days])
    free, _ = bridge(plants.lanes(slice(n)).unloaded(), spun, 4)
    # A series controller lets the current through for a share of the time; the rest of it the bridge is unloaded.
    rectifier = plants.duty * loaded.volts + (1 - plants.duty) * unloaded.volts
    amps = np.where(speed > 0, np.maximum(plants.duty * loaded.amps, 0.0), 0.0)
    idle = amps < 1e-3
    behind = np.where(plants.load > 0, amps * plants.load, np.where(idle, 0.95, 1.0) * plants.volts)
    rectifier = np.where(speed > 0, rectifier, behind)
    at_input = np.array([day.how["volts_at"] == "input" for day in days] + [False] * len(days)) & (plants.load == 0)
    volts = np.where(at_input, rectifier - amps * plants.cable, behind)
    result = []
    for i, (day, water) in enumerate(zip(days, waters)):
        lines = free.line_volts[i]
        dead = day.truth["dead_line"] or (not day.truth["closed"].all() and day.truth["connection"] == "star")
        readings = {
            "static": stream(day.truth, shut=True).pressure,
            "running": water.pressure,
            "flow": water.flow,
            "open_constant": free.volts[i] / spun[i],
            "phase_balance": 0.03 if dead else lines.min() / lines.max(),
            "nozzle": day.truth["nozzle"],
            "open_speed": spun[i],
        }
        for at, name in ((i, "a"), (n + i, "b")):
            readings |= {
                f"speed_{name}": speed[at],
                f"rectifier_{name}": rectifier[at],
                f"volts_{name}": volts[at],
                f"amps_{name}": amps[at],
            }
        result.append({name: float(readings[name]) for name in READINGS})
    return result


def _tracked(days, waters):
    """For each day with a maximum-power controller, by its number, the load at which it holds the wheel."""
    numbers = [i for i, day in enumerate(days) if day.plan["load"] == "controller"]
    if not numbers:
        return {}
    tried = [TRACKING * days[i].base["volts"] for i in numbers]
    plants = machine(
        [_lane(days[i], waters[i], volts=v) for i, volts in zip(numbers, tried, strict=True) for v in volts]
    )
    speed, electric = settle(plants)
    power = np.where(speed > 0, electric.amps * plants.volts, 0.0).reshape(len(numbers), -1)
    load = {}
    for i, volts, watts in zip(numbers, tried, power, strict=True):
        top = min(max(int(watts.argmax()), 1), len(volts) - 2)
        bend, slope, _ = np.polyfit(volts[top - 1 : top + 2], watts[top - 1 : top + 2], 2)
        best = -slope / (2 * bend) if bend < 0 else volts[top]
        load[i] = {"volts": days[i].truth["track"] * float(np.clip(best, volts[0], volts[-1]))}
    return load


# Instruments


def _case(number, day, troubles, true, dice, meters):
    stated, said = _instruments(day, true, dice, meters)
    wanted = {name for trouble in troubles for name in NEEDS.get(trouble, ())}
    left_out = _left_out(dice) - wanted
    readings = {name: said[name] for name in READINGS if name not in left_out}
    water = stream(day.truth)
    seen = {
        "intake_overflows": _look(day.truth["source"] > water.intake * (1 + 1e-9), dice, 0.03, 0.6),
        "screen_clean": _look(not day.truth["dirty"], dice, 0.05, 0.55),
    }
    limits = {name: float(stated[name]) for name in readings}
    return Case(number, day.plan, readings, limits, troubles, seen, day.how, true, day.sizes)


def _seen(value):
    return float(f"{value:.4g}")


def _look(answer, dice, wrong, looked):
    mistaken, seen = dice.random() < wrong, dice.random() < looked
    return float(bool(answer) != mistaken) if seen else math.nan


def _instruments(day, true, dice, meters):
    """The limits which the person states, and what the instruments say."""

    def t():
        return meters * float(_t(dice))

    bad = day.meters
    full = next((g for g in GAUGES if g > 1.15 * 9810 * day.plan["gross_head"]), GAUGES[-1])
    gauge_class = float(
        dice.choice([0.016, 0.025, 0.04], p=[0.4, 0.45, 0.15])
    )  # share of full scale, EN 837-1; from memory
    volt_class, amp_class = float(dice.choice([0.005, 0.01, 0.015])), float(dice.choice([0.02, 0.025, 0.03]))
    bucket, watch = float(dice.choice([0.02, 0.03, 0.05])), 0.4
    volume = 0.010 if true["flow"] < 0.001 else 0.025
    caliper = float(dice.choice([5e-5, 1e-4]))
    # Errors common to all readings of one instrument; half its limit is about one standard deviation.
    common = {"gauge": gauge_class / 2 * full * t(), "volts": volt_class / 2 * t(), "amps": amp_class / 2 * t()}
    common["speed"] = 0.003 * t()
    said = {}
    for name in READINGS:
        value, kind = true[name], name.partition("_")[0]
        if name in ("static", "running"):
            restless = 0.01 * value if name == "running" and (day.truth["air_pocket"] or day.truth["void"]) else 0.0
            own = (full / 300 + restless) * t()
            reading = bad["gauge"] * value + bad["gauge_offset"] + common["gauge"] + own
        elif name == "flow":
            reading = bad["bucket"] * value * (1 + bucket / 2 * t() + watch / 2 * value / volume * t())
        elif kind == "speed" or name == "open_speed":
            reading = bad["tacho"] * value * (1 + common["speed"] + 0.002 * t())
        elif kind in ("rectifier", "volts"):
            reading = bad["volts"] * value * (1 + common["volts"] + 0.002 * t()) + _volt_digit(value) * t()
        elif kind == "amps":
            reading = bad["amps"] * value * (1 + common["amps"] + 0.004 * t()) + 3 * _amp_digit(value) * t()
        elif name == "open_constant":
            volts = value * true["open_speed"]
            own = math.hypot(0.004, _volt_digit(volts) / max(volts, 0.01))
            reading = bad["volts"] / bad["tacho"] * value * (1 + common["volts"] - common["speed"] + own * t())
        elif name == "phase_balance":
            reading = min(1.0, value * (1 + 0.005 * t()))
        else:
            reading = value + caliper / 2 * t()
        said[name] = _seen(max(reading, 0.0))
    stated = dict.fromkeys(("static", "running"), gauge_class * full)
    stated |= {"flow": said["flow"] * math.hypot(bucket, watch * said["flow"] / volume), "phase_balance": 0.02}
    stated |= {"nozzle": caliper, "open_speed": 0.01 * said["open_speed"] + RPM}
    turning = max(said["open_speed"], RPM)
    open_volts = said["open_constant"] * turning
    stated["open_constant"] = (volt_class * open_volts + 3 * _volt_digit(open_volts)) / turning
    for load in "ab":
        stated[f"speed_{load}"] = 0.01 * said[f"speed_{load}"] + RPM
        for name in (f"rectifier_{load}", f"volts_{load}"):
            stated[name] = volt_class * said[name] + 3 * _volt_digit(said[name])
        amps = said[f"amps_{load}"]
        stated[f"amps_{load}"] = amp_class * amps + 8 * _amp_digit(amps)
    return stated, said


def _volt_digit(volts):
    return 0.01 if volts < 40 else 0.1


def _amp_digit(amps):
    return 0.01 if amps < 20 else 0.1


def _left_out(dice):
    """Names of the readings that a person does not take."""
    groups = (
        (0.12, ["static"]),
        (0.10, ["running"]),
        (0.25, ["flow"]),
        (0.25, ["speed_a", "speed_b", "open_constant", "open_speed"]),
        (0.40, ["rectifier_a", "rectifier_b"]),
        (0.05, ["volts_a"]),
        (0.10, ["amps_a", "amps_b"]),
        (0.45, ["speed_b", "rectifier_b", "volts_b", "amps_b"]),
        (0.45, ["open_constant", "open_speed"]),
        (0.50, ["phase_balance"]),
        (0.50, ["nozzle"]),
    )
    return {name for chance, names in groups if dice.random() < chance for name in names}
