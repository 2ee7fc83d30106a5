"""Water hammer by the method of characteristics: reservoir, up to three pipe sections, a closing valve.

A reference for surge formulas and for the question "how slowly must I close?". It is the usual scheme of
E. B. Wylie and V. L. Streeter, Fluid Transients (from memory, not looked up):

    along dx = +a dt:  H_new + B Q_new = H + B Q - R Q |Q|
    along dx = -a dt:  H_new - B Q_new = H - B Q + R Q |Q|        B = a/(g A),  R = f dx/(2 g D A^2)

- H is the head above the valve's outlet [m] (piezometric; velocity heads and minor losses are left out), Q
  the flow.
- Friction is that of steady flow with a constant Darcy factor for each section; 0 is the frictionless line of
  the textbooks.
- The reservoir keeps its head. At a joint head and flow are common to both sections.
- The valve follows one of two laws while it closes, in a straight line over the closing time, down to `left`:
    "flow":     the FLOW falls in a straight line. The slow-closure formula dp = 2 rho L V/T is exact for this
                and this only (frictionless, one pipe, T above 2L/a).
    "opening":  the OPENING falls in a straight line, flow = opening Q0 sqrt(H/H0), H0 the steady head at the
                valve: what a hand on a valve or a spear does. In a frictionless line the surge then stays
                below the formula's. Where most of the head is lost on the way to the valve the flow hardly
                falls until the end of the closure, and the surge over the reservoir's head becomes several
                times the formula's (a wide-open gate valve at the foot of a long line is such a case; a test
                shows 2 times at 14 % and 6 times at 2 % of the head left at the valve).
- closing_time 0 is instantaneous: the first step has the final opening.
- Wave speeds are bent a little so that each section holds whole reaches; more than 1 % is refused.
- Vapour: a head below about -10 m cannot be; the column parts and may slam together harder than anything
  computed here. `lowest` tells; this run does not model it.
- Walls are elastic. Plastic pipe creeps: real surges in it are lower and die sooner.
"""

import math
from dataclasses import dataclass

import numpy as np

MOST_BENT = 0.01  # share by which a wave speed may be adjusted


@dataclass(frozen=True)
class Pipe:
    """One section: length [m], bore [mm], wave_speed [m/s], Darcy friction factor [-]."""

    length: float
    bore: float
    wave_speed: float
    friction_factor: float = 0.0

    @property
    def area(self):
        """Inside area. [m2]"""
        return math.pi / 4 * (self.bore / 1000) ** 2


@dataclass(frozen=True)
class Surge:
    """What a run gives. Heads [m] above the valve outlet, places [m] from the reservoir, times [s]."""

    places: np.ndarray  # of the nodes; a joint stands twice
    highest: np.ndarray  # head ever met at each place
    lowest: np.ndarray
    times: np.ndarray
    valve_heads: np.ndarray
    valve_flows: np.ndarray  # [L/s]
    joint_heads: np.ndarray  # [joint, time]
    wave_speeds: tuple  # as used, after bending

    @property
    def max_head_at_valve(self):
        """Highest head at the valve. [m]"""
        return float(self.valve_heads.max())

    @property
    def max_head(self):
        """Highest head anywhere. [m]"""
        return float(self.highest.max())

    @property
    def rise(self):
        """Highest head at the valve over the head there before. [m]"""
        return self.max_head_at_valve - float(self.valve_heads[0])


def korteweg(bulk_modulus, density, bore, wall, youngs_modulus, restraint=1.0):
    """Wave speed in an elastic pipe; moduli [Pa], bore and wall in one unit, restraint psi. [m/s]"""
    return math.sqrt(bulk_modulus / density / (1 + restraint * bulk_modulus * bore / (youngs_modulus * wall)))


def close(
    pipes,
    reservoir_head,
    flow,
    closing_time,
    law="flow",
    left=0.0,
    gravity=9.80665,
    reaches=200,
    duration=None,
):
    """Run a closure from steady flow [L/s]; pipes from the reservoir down.

    left: share of the flow or opening that remains. reaches: at least so many over the whole line. duration
    [s] of the run, from the start of closing; left out, the closing time and six turns of the wave through
    the whole line.
    """
    if law not in ("flow", "opening"):
        raise ValueError(f"no such law: {law}")
    if not 1 <= len(pipes) <= 3:
        raise ValueError("one to three pipe sections")
    travel = sum(pipe.length / pipe.wave_speed for pipe in pipes)
    counts, step = _reaches(pipes, travel, reaches)
    speeds = tuple(pipe.length / (count * step) for pipe, count in zip(pipes, counts))
    if max(abs(speed / pipe.wave_speed - 1) for speed, pipe in zip(speeds, pipes)) > MOST_BENT:
        raise ValueError("a short section needs more reaches")
    start = flow / 1000
    impedance = [speed / (gravity * pipe.area) for speed, pipe in zip(speeds, pipes)]
    rub = [
        pipe.friction_factor * pipe.length / count / (2 * gravity * pipe.bore / 1000 * pipe.area**2)
        for pipe, count in zip(pipes, counts)
    ]
    heads, flows, places = _steady(pipes, counts, rub, reservoir_head, start)
    valve_head = heads[-1][-1]
    if valve_head <= 0:
        raise ValueError("friction uses up the head before the valve")
    if duration is None:
        duration = closing_time + 12 * travel
    steps = math.ceil(duration / step)
    history = np.empty((2, steps + 1))
    history[:, 0] = valve_head, start
    joints = np.empty((len(pipes) - 1, steps + 1))
    joints[:, 0] = [head[-1] for head in heads[:-1]]
    highest, lowest = [head.copy() for head in heads], [head.copy() for head in heads]
    for count in range(1, steps + 1):
        time = count * step
        opening = left if time >= closing_time else 1 - (1 - left) * time / closing_time
        plus = [h[:-1] + q[:-1] * (b - r * abs(q[:-1])) for h, q, b, r in zip(heads, flows, impedance, rub)]
        minus = [h[1:] - q[1:] * (b - r * abs(q[1:])) for h, q, b, r in zip(heads, flows, impedance, rub)]
        for head, discharge, p, m, b in zip(heads, flows, plus, minus, impedance):
            head[1:-1] = (p[:-1] + m[1:]) / 2
            discharge[1:-1] = (p[:-1] - m[1:]) / (2 * b)
        heads[0][0], flows[0][0] = reservoir_head, (reservoir_head - minus[0][0]) / impedance[0]
        for place in range(len(pipes) - 1):
            through = (plus[place][-1] - minus[place + 1][0]) / (impedance[place] + impedance[place + 1])
            flows[place][-1] = flows[place + 1][0] = through
            heads[place][-1] = heads[place + 1][0] = plus[place][-1] - impedance[place] * through
            joints[place, count] = heads[place][-1]
        out = opening * start if law == "flow" else _through(opening * start, valve_head, plus[-1][-1], impedance[-1])
        flows[-1][-1], heads[-1][-1] = out, plus[-1][-1] - impedance[-1] * out
        history[:, count] = heads[-1][-1], out
        for head, high, low in zip(heads, highest, lowest):
            np.maximum(high, head, out=high)
            np.minimum(low, head, out=low)
    return Surge(
        places=np.concatenate(places),
        highest=np.concatenate(highest),
        lowest=np.concatenate(lowest),
        times=step * np.arange(steps + 1),
        valve_heads=history[0],
        valve_flows=1000 * history[1],
        joint_heads=joints,
        wave_speeds=speeds,
    )


def _reaches(pipes, travel, least):
    """Whole reaches for each section, and the time step, that bend the wave speeds least."""

    def parts(total):
        return [max(1, round(total * pipe.length / pipe.wave_speed / travel)) for pipe in pipes]

    def bend(total):
        step = travel / total
        return max(abs(pipe.length / (count * step) / pipe.wave_speed - 1) for pipe, count in zip(pipes, parts(total)))

    total = min(range(least, 2 * least), key=lambda total: (round(bend(total), 6), total))
    return parts(total), travel / total


def _steady(pipes, counts, rub, reservoir_head, flow):
    """Heads, flows and places of the nodes of each section before the valve moves."""
    heads, flows, places, head, place = [], [], [], reservoir_head, 0.0
    for pipe, count, loss in zip(pipes, counts, rub):
        heads.append(head - loss * flow**2 * np.arange(count + 1))
        flows.append(np.full(count + 1, flow))
        places.append(place + pipe.length * np.arange(count + 1) / count)
        head, place = heads[-1][-1], place + pipe.length
    return heads, flows, places


def _through(full, full_head, arriving, impedance):
    """Flow of an opening that lets `full` through at `full_head`, where H + impedance Q = arriving."""
    c = full**2 / (2 * full_head)  # Q |Q| = 2 c H
    size = math.sqrt((impedance * c) ** 2 + 2 * c * abs(arriving)) - impedance * c
    return math.copysign(size, arriving)
