"""One plant at work: water marched up the pipe, bridge rectifier sampled in time, wheel settled by a search.

All in SI units. It shares nothing with the product and nothing with `plant.py`:

- Friction is Colebrook's equation, solved exactly with Wright's omega function (R. M. Corless and D. J. Jeffrey, The
  Wright omega function, 2002; from memory, not looked up). Laminar below Re 2000, a straight line from there to 4000.
- The head balance is marched from the nozzle up to the intake, so that a leak, a stone or air may be anywhere.
  A source that gives less than the nozzle takes lets the level sink in the pipe until both are equal.
- The bridge is a circuit of three windings and six diodes (threshold and slope resistance), stepped through electrical
  periods by the second-order backward difference; no averaged formula of a bridge is used.
- The shaft power of the alternator is the mean of EMF times current.
"""

import math
from dataclasses import dataclass, fields, replace

import numpy as np
from scipy.optimize import brentq
from scipy.special import wrightomega

STEPS = 180  # in an electrical period; with 60 the current of an inductive alternator is 2 % wrong
LEAST = 1e-7  # conductance [S] from each node to earth, without which a dead node has no voltage
METER = 1e6  # ohm of a voltmeter
LEAK_DISCHARGE = 0.6  # a sharp-edged hole
# What `stream` is told of water with nothing wrong, beside plan, source and air pressure.
SOUND_WATER = {
    "block": 0.0,
    "nozzle_open": 1.0,
    "leak_area": 0.0,
    "leak_at": 0.5,
    "air_pocket": 0.0,
    "pocket_at_rest": 0.0,
    "void": 0.0,
}
MOST_SWITCHING = 15  # changes of the diodes' states within one time step


def water_density(temperature):
    """Density of water [kg/m3] at a temperature [K] (J. L. McCutcheon et al., 1993; from memory)."""
    t = temperature - 273.15
    return 1000 * (1 - (t + 288.9414) / (508929.2 * (t + 68.12963)) * (t - 3.9863) ** 2)


def water_viscosity(temperature):
    """Kinematic viscosity of water [m2/s] (Vogel's equation with the usual three constants; from memory)."""
    return 2.414e-5 * 10 ** (247.8 / (temperature - 140)) / water_density(temperature)


def friction_factor(reynolds, roughness):
    """Darcy's factor; roughness over bore."""
    if reynolds < 2000:
        return 64 / max(reynolds, 1e-9)
    if reynolds < 4000:
        share = (reynolds - 2000) / 2000
        return (1 - share) * 64 / 2000 + share * _colebrook(4000, roughness)
    return _colebrook(reynolds, roughness)


def _colebrook(reynolds, roughness):
    # With y = e/3.7 + 2.51 x/Re and x = -2 log10 y the equation becomes w + ln w = a/c - ln c, where y = c w.
    a, c = roughness / 3.7, 2 * 2.51 / (reynolds * math.log(10))
    return (-2 * math.log10(c * float(wrightomega(a / c - math.log(c))))) ** -2


@dataclass(frozen=True)
class Stream:
    """Water at rest or running."""

    flow: float  # through the nozzle [m3/s]
    intake: float  # into the pipe [m3/s]
    head: float  # total head before the nozzle, above it [m]
    level: float  # of the water in the pipe or at the intake, above the nozzle [m]
    pressure: float  # at the gauge [Pa]
    jet: float  # velocity [m/s]


def stream(site, shut=False):
    """How the water of a site runs, or stands with the valve below the gauge shut.

    `site` has the plan's names (gross_head, length, bore, roughness, fittings, nozzle, velocity_coefficient,
    contraction, temperature, gravity, gauge_height; the pipe's as lists from the intake down) and what a plan has not:
    source [m3/s], block (loss coefficient, on the first bore), nozzle_open (share of its area), leak_area [m2], leak_at
    (share of the way down), air_pocket [m of head] and pocket_at_rest (its share with the valve shut), void (air over
    water, both as volumes at the intake) and air_pressure [Pa]. The pipe falls evenly.
    """
    g, density = site["gravity"], water_density(site["temperature"])
    viscosity = water_viscosity(site["temperature"])
    first, last = (math.pi / 4 * site["bore"][end] ** 2 for end in (0, -1))
    height, leak_at = site["gross_head"], site["leak_at"]
    void = 0.0 if shut else site["void"]
    air = site["air_pressure"]
    # Air bubbles make the column lighter: less and less on the way down, as they are pressed together.
    lost_to_air = site["air_pocket"] * (site["pocket_at_rest"] if shut else 1.0)
    lost_to_air += void * air / (density * g) * math.log1p(density * g * height / air)

    def friction(flow, begin, end):
        total, run, at = 0.0, sum(site["length"]), 0.0
        for length, bore, roughness in zip(site["length"], site["bore"], site["roughness"], strict=True):
            wet = max(0.0, min(end * run, at + length) - max(begin * run, at))
            at += length
            velocity = flow / (math.pi / 4 * bore**2)
            factor = friction_factor(velocity * bore / viscosity, roughness / bore)
            total += factor * wet / bore * velocity**2 / (2 * g)
        return total

    def march(head):
        """Flows and head at the intake which go with a total head before the nozzle."""
        air_left = void / (1 + density * g * head / air)
        opening = site["contraction"] * site["nozzle_open"] * math.pi / 4 * site["nozzle"] ** 2
        jet = site["velocity_coefficient"] * math.sqrt(2 * g * head)
        flow = 0.0 if shut else opening * jet / math.sqrt(1 + air_left)
        head += friction(flow, leak_at, 1.0)
        pressed = max(0.0, head - height * (1 - leak_at) - (flow / last) ** 2 / (2 * g))
        intake = flow + LEAK_DISCHARGE * site["leak_area"] * math.sqrt(2 * g * pressed)
        head += friction(intake, 0.0, leak_at) + (site["fittings"] + site["block"]) * (intake / first) ** 2 / (2 * g)
        return flow, intake, head + lost_to_air, jet

    head = brentq(lambda h: march(h)[2] - height, 0.0, height, xtol=1e-10) if march(0.0)[2] < height else 0.0
    if march(head)[1] > site["source"]:
        head = brentq(lambda h: march(h)[1] - site["source"], 0.0, head, xtol=1e-10)
    flow, intake, level, jet = march(head)
    pressure = density * g * (head - (flow / last) ** 2 / (2 * g) - site["gauge_height"])
    return Stream(flow, intake, head, level, pressure, jet)


@dataclass(frozen=True)
class Machine:
    """Wheels and alternators with their loads, one of each in a lane; arrays of lanes, or of (lane, phase)."""

    flow: np.ndarray  # through the nozzle
    jet: np.ndarray
    density: np.ndarray
    radius: np.ndarray  # of the pitch circle
    turn: np.ndarray  # 1 - cup_friction cos(deflection)
    alignment: np.ndarray
    spill: np.ndarray  # share of the jet that misses the cups when these run as fast as the jet
    bearing_drag: np.ndarray
    windage: np.ndarray  # W s3/rad3
    iron_drag: np.ndarray
    emf: np.ndarray  # (lane, phase) peak, V s/rad
    fifth: np.ndarray  # share of the fifth harmonic
    resistance: np.ndarray  # (lane, phase)
    inductance: np.ndarray  # (lane, phase)
    closed: np.ndarray  # (lane, phase) False where a winding is broken
    diodes: np.ndarray  # (lane, 6) False where broken; the upper three, then the lower three
    delta: np.ndarray
    pole_pairs: np.ndarray
    shorted: np.ndarray  # share of one phase's turns that are shorted
    threshold: np.ndarray  # of one diode [V]
    slope: np.ndarray  # of one diode [ohm]
    volts: np.ndarray  # behind the cable: the battery's, 0 of a resistor
    cable: np.ndarray
    load: np.ndarray  # resistance of a resistor load, 0 of a battery
    duty: np.ndarray  # share of the time in which a series controller lets the current through

    def lanes(self, index):
        """These lanes only."""
        return replace(self, **{field.name: getattr(self, field.name)[index] for field in fields(self)})

    def unloaded(self):
        """The same with nothing but a voltmeter at the bridge; at its tiny current a diode drops about half as much."""
        zero = np.zeros_like(self.volts)
        return replace(self, volts=zero, cable=zero, load=zero + METER, duty=zero + 1, threshold=self.threshold / 2)


def machine(rows):
    """A `Machine` of lanes from one dict for each lane."""
    return Machine(**{field.name: np.array([row[field.name] for row in rows]) for field in fields(Machine)})


@dataclass(frozen=True)
class Electric:
    """Means over one electrical period, for each lane. Watts, volts, amps."""

    shaft: np.ndarray  # EMF times current
    volts: np.ndarray  # d.c. at the bridge
    amps: np.ndarray  # d.c.
    copper: np.ndarray
    diodes: np.ndarray
    output: np.ndarray  # d.c. volts times amps at the bridge
    line_volts: np.ndarray  # (lane, 3) rms
    unsettled: np.ndarray  # relative change of the copper loss from the period before


def bridge(m, speed, periods=3, before=None):
    """Steps the circuit through electrical periods at a fixed speed [rad/s]; gives an `Electric` and the last state."""
    lanes = len(speed)
    step = 2 * np.pi / (m.pole_pairs * speed * STEPS)
    conductance = np.where(m.closed, 1 / (m.resistance + 1.5 * m.inductance / step[:, None]), 0.0)
    # Nodes: lines A, B, C, the star point N, and the bridge's plus; its minus is earth.
    ends = np.zeros((lanes, 3, 5))
    phases = np.arange(3)
    ends[:, phases, phases] = 1
    ends[~m.delta, :, 3] = -1
    for phase in phases:
        ends[m.delta, phase, (phase + 1) % 3] = -1
    outward = 1 / np.maximum(m.cable + m.load, 2e-3)
    fixed = np.einsum("lwi,lw,lwj->lij", ends, conductance, ends) + LEAST * np.eye(5)
    fixed[:, 4, 4] += outward
    diode = 1 / m.slope
    currents, older, states = before or (np.zeros((lanes, 3)), np.zeros((lanes, 3)), np.zeros((lanes, 6), bool))
    sums, last = dict.fromkeys("shaft volts amps copper diodes output lines".split(), 0.0), 0.0
    for count in range(periods * STEPS):
        if count % STEPS == 0:
            last = sums["copper"]
            sums = dict.fromkeys(sums, 0.0)
        angle = 2 * np.pi * ((count + 1) / STEPS - phases / 3)
        emf = m.emf * speed[:, None] * (np.sin(angle) + m.fifth[:, None] * np.sin(5 * angle))
        history = emf + m.inductance / (2 * step[:, None]) * (4 * currents - older)
        known = np.einsum("lwi,lw->li", ends, conductance * history)
        known[:, 4] += outward * m.volts
        node = np.zeros((lanes, 5))
        moving = np.arange(lanes)
        states = states & m.diodes
        for _ in range(MOST_SWITCHING):
            node[moving] = _nodes(fixed[moving], known[moving], states[moving], diode[moving], m.threshold[moving])
            now = (_across(node[moving]) > m.threshold[moving, None]) & m.diodes[moving]
            changed = (now != states[moving]).any(axis=1)
            states[moving] = now
            moving = moving[changed]
            if not len(moving):
                break
        older, currents = currents, conductance * (history - np.einsum("lwi,li->lw", ends, node))
        through = states * (_across(node) - m.threshold[:, None]) * diode[:, None]
        amps = outward * (node[:, 4] - m.volts)
        sums["shaft"] += (emf * currents).sum(axis=1)
        sums["copper"] += (m.resistance * currents**2).sum(axis=1)
        sums["diodes"] += (through * _across(node)).sum(axis=1)
        sums["volts"] += node[:, 4]
        sums["amps"] += amps
        sums["output"] += amps * node[:, 4]
        sums["lines"] += (node[:, :3] - node[:, [1, 2, 0]]) ** 2
    mean = {name: total / STEPS for name, total in sums.items()}
    lines = np.sqrt(mean.pop("lines"))
    unsettled = np.abs(sums["copper"] - last) / np.maximum(sums["copper"], 1e-12)
    return Electric(**mean, line_volts=lines, unsettled=unsettled), (currents, older, states)


def _across(node):
    """Forward volts of the six diodes."""
    return np.concatenate([node[:, :3] - node[:, 4:], -node[:, :3]], axis=1)


def _nodes(fixed, known, states, diode, threshold):
    """Node volts with these diodes conducting."""
    matrix, vector = fixed.copy(), known.copy()
    upper, lower = states[:, :3] * diode[:, None], states[:, 3:] * diode[:, None]
    lines = np.arange(3)
    matrix[:, lines, lines] += upper + lower
    matrix[:, :3, 4] -= upper
    matrix[:, 4, :3] -= upper
    matrix[:, 4, 4] += upper.sum(axis=1)
    vector[:, :3] += (upper - lower) * threshold[:, None]
    vector[:, 4] -= upper.sum(axis=1) * threshold
    return np.linalg.solve(matrix, vector[:, :, None])[:, :, 0]


def wheel_torque(m, speed):
    """Torque at the alternator's shaft [N m]: Euler's equation less what cups miss, bearings, churned air or water."""
    cups = speed * m.radius
    ideal = m.density * m.flow * (m.jet - cups) * m.radius * m.turn
    return m.alignment * ideal * (1 - m.spill * (cups / m.jet) ** 4) - m.bearing_drag - m.windage * speed**2


def shorted_watts(m, speed):
    """Power that heats shorted turns: a loop of their share of a phase's EMF, resistance and inductance."""
    emf = m.shorted * m.emf.max(axis=1) / math.sqrt(2) * speed
    resistance = m.shorted * m.resistance.max(axis=1)
    reactance = m.shorted * m.inductance.max(axis=1) * m.pole_pairs * speed
    return emf**2 * resistance / np.maximum(resistance**2 + reactance**2, 1e-12)


def settle(m, rounds=14):
    """Speed [rad/s] at which wheel and alternator settle, 0 where the wheel cannot start, and the `Electric` there."""
    before = None

    def excess(speed, periods=3):
        nonlocal before
        electric, before = bridge(m, speed, periods, before)
        drag = m.iron_drag + (m.duty * electric.shaft + shorted_watts(m, speed)) / speed
        return wheel_torque(m, speed) - drag, electric

    high = m.jet / m.radius
    low = 0.03 * high
    at_low, at_high = excess(low)[0], excess(high)[0]
    stalled = at_low <= 0
    for count in range(rounds):
        secant = (low * at_high - high * at_low) / np.where(at_high == at_low, -1e-12, at_high - at_low)
        inside = (secant > low) & (secant < high)
        speed = np.where(inside & (count % 4 != 3), secant, (low + high) / 2)
        now = excess(speed)[0]
        up = now > 0
        # Illinois: the end that stays counts half, so that both ends come nearer.
        at_high = np.where(up, at_high / 2, now)
        at_low = np.where(up, now, at_low / 2)
        low, high = np.where(up, speed, low), np.where(up, high, speed)
    _, electric = excess(speed, 6)
    return np.where(stalled, 0.0, speed), electric
