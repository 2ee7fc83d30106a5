"""Kernels of physics once more for one value, as loops compiled by numba or as plain Python. SI units.

Written for speed as one would for a compiler: branches in place of masks, Newton inside a bracket, nothing but `math`;
what is the same for all values, such as the viscosity, is given.
Laws and choices are those of `hydrofunc.physics`; agreement is checked where they are timed.
"""

import math

PER_DECADE = 2 / math.log(10)
STEPS = 200
CLOSE, CLOSED = 1e-13, 1e-15  # of the larger end: a step, and a bracket, that are none
BALANCE, BENDING, VALLEY = 0, 1, 2


def kernels(wrap):
    """The kernels by name, each given to `wrap`, as `numba.njit` is."""

    @wrap
    def friction(reynolds, rough):
        """Factor, and its slope in logarithms."""
        if reynolds <= 2000:
            return 64 / max(reynolds, 1e-300), -1.0
        a, b = rough / 3.7, 2.51 / max(reynolds, 2600.0)
        x = -PER_DECADE * math.log(a + 7 * b)
        for _ in range(2):
            y = a + b * x
            excess, slope = x + PER_DECADE * math.log(y), 1 + PER_DECADE * b / y
            x -= 2 * excess * slope / (2 * slope * slope + excess * PER_DECADE * (b / y) ** 2)
        factor = 1 / (x * x)
        if reynolds >= 2600:
            share = PER_DECADE * b / (a + b * x)
            return factor, -2 * share / (1 + share)
        across = math.log(factor / 0.032) / math.log(1.3)
        return 0.032 * (reynolds / 2000) ** across, across

    @wrap
    def friction_head(flow, length, bore, rough, viscosity, gravity):
        velocity = 4 * flow / (math.pi * bore * bore)
        factor = friction(velocity * bore / viscosity, rough / bore)[0]
        return factor * length / bore * velocity * velocity / (2 * gravity)

    @wrap
    def flow_for_loss(head, length, bore, rough, fittings, viscosity, gravity):
        if head == 0:
            return 0.0
        s = 0.5 * math.log(head / ((0.025 * length / bore + fittings) / (2 * gravity * (math.pi / 4 * bore**2) ** 2)))
        low, high, goal = -69.0, 14.0, math.log(head)
        for _ in range(STEPS):
            velocity = 4 * math.exp(s) / (math.pi * bore * bore)
            factor, slope = friction(velocity * bore / viscosity, rough / bore)
            pressure = velocity * velocity / (2 * gravity)
            pipe = factor * length / bore * pressure
            lost = pipe + fittings * pressure
            excess = math.log(lost) - goal
            if excess < 0:
                low = s
            else:
                high = s
            step = excess * lost / (pipe * (2 + slope) + 2 * fittings * pressure)
            now = s - step
            if abs(step) < 1e-13 * 69:
                return math.exp(now)
            s = now if low < now < high else (low + high) / 2
        return math.nan

    @wrap
    def excess(current, stall, line, windage, emf, drop, volts, ohms):
        """Of the torques over the alternator's, with three derivatives to the current."""
        remaining = emf - drop * current
        speed = (volts + ohms * current) / remaining
        first = (ohms + drop * speed) / remaining
        second = 2 * drop * first / remaining
        steepness = line + 2 * windage * speed
        return (
            stall - (line + windage * speed) * speed - current * remaining,
            -steepness * first - emf + 2 * drop * current,
            -steepness * second - 2 * windage * first * first + 2 * drop,
            -steepness * 3 * drop * second / remaining - 6 * windage * first * second,
        )

    @wrap
    def root(which, low, high, stall, line, windage, emf, drop, volts, ohms):
        """Of a derivative between two ends: the balance and its bending fall there, the slope rises in its valley."""
        x, close, closed = high, CLOSE * high, CLOSED * high
        for _ in range(STEPS):
            g, g1, g2, g3 = excess(x, stall, line, windage, emf, drop, volts, ohms)
            if which == BALANCE:
                value, slope = -g, -g1
            elif which == BENDING:
                value, slope = -g2, -g3
            else:
                value, slope = g1, g2
            if value < 0:
                low = x
            else:
                high = x
            if value == 0 or high - low <= closed:
                return x
            now = x - value / slope if slope != 0 else math.nan
            if abs(now - x) <= close:
                return min(max(now, low), high)
            x = now if low < now < high else (low + high) / 2
        return math.nan

    @wrap
    def operating_power(
        flow, jet, pitch, phase_volts, poles, ohms_phase, battery, henries, diode, cable, turning, alignment, drags,
        windage, density,
    ):  # fmt: skip
        """Of star and battery. `turning` is 1 - c cos(deflection); `drags` of bearings and iron together."""
        line = density * flow * (pitch / 2) ** 2 * turning * alignment
        stall = line * 2 * jet / pitch - drags
        emf, drop = 3 * math.sqrt(6) / math.pi * phase_volts, 3 / math.pi * poles * henries
        volts, ohms = 2 * diode + battery, 2 * ohms_phase + cable
        if stall <= 0:
            return 0.0
        free = 2 * stall / (line + math.sqrt(line * line + 4 * windage * stall))
        if emf * free <= volts:
            return 0.0
        p = (stall, line, windage, emf, drop, volts, ohms)
        at_cut_in = excess(0.0, *p)[0]
        inside = emf * emf - 4 * drop * at_cut_in
        low = 0.0
        if inside >= 0:
            high = 2 * at_cut_in / (emf + math.sqrt(inside))
        else:
            high = emf / (2 * drop)
            peak = excess(high, *p)
            if peak[0] > 0:
                low, high = high, (emf * free - volts) / (ohms + drop * free)
                if peak[2] > 0:
                    turn = root(BENDING, low, high, *p)
                    if excess(turn, *p)[1] > 0:
                        valley = root(VALLEY, low, turn, *p)
                        if excess(valley, *p)[0] <= 0:
                            high = valley
                        else:
                            low = valley
        return battery * root(BALANCE, low, high, *p)

    @wrap
    def state_of_charge(made, wanted, full, start, lowest, share, efficiency, limit):
        """At the end of the last of the steps."""
        state = start * full
        for i in range(len(made)):
            direct = min(made[i], (1 - share) * wanted[i])
            charged = min(made[i] - direct, limit, max(full - state, 0.0) / efficiency)
            state += efficiency * charged
            state -= min(wanted[i] - direct, max(state - lowest * full, 0.0))
        return state / full

    @wrap
    def outlet_level(flow, width, height, discharge, gravity):
        """Of a slot."""
        if flow == 0:
            return 0.0
        jet = discharge * math.sqrt(2 * gravity) * width
        level = (1.5 * flow / jet) ** (2 / 3)
        if level <= height:
            return level
        s, goal = math.log(level), math.log(flow)
        for _ in range(STEPS):
            level = math.exp(s)
            covered = max(level - height, 0.0)
            high, low = math.sqrt(level), math.sqrt(covered)
            passed = 2 / 3 * jet * (level * high - covered * low)
            step = (math.log(passed) - goal) * passed / (jet * level * (high - low))
            s -= step
            if abs(step) < 1e-12 * max(1.0, abs(s)):
                return math.exp(s)
        return math.nan

    return {
        "friction_head": friction_head,
        "flow_for_loss": flow_for_loss,
        "operating_power": operating_power,
        "state_of_charge": state_of_charge,
        "outlet_level": outlet_level,
    }
