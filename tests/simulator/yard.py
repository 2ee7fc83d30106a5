"""Test days on invented plants with true troubles, written without sight of the diagnosis: a blind judge.

`days(seed, rows, count)` gives test days as a person would type them: the plan, sixteen readings, their standard
uncertainties as the sheet Test day states them, and beside them the truth. All arrays; one element is one day.

The physics is this module's own:
- pipe: Swamee and Jain's formula (Journal of the Hydraulics Division 102, 1976) and loss coefficients, a leak on the
  way, an air pocket that takes a fixed head; flow by bisection,
- wheel: the momentum of the jet, less a loss off the best speed that grows with its square,
- alternator: three windings of electromotive force, resistance and inductance, in star or delta, before a bridge of six
  diodes, marched in time by the theta method; the diodes are drops with a slope,
- load: a battery behind its own resistance, a resistor, or a controller that holds its input volts.

Sizes of troubles, of scatter and of meters are one practitioner's judgement; no published source. Formulas without a
source beside them are from textbooks and from memory.
"""

from dataclasses import dataclass, field

import numpy as np

READINGS = (
    "static running flow speed_a rectifier_a volts_a amps_a speed_b rectifier_b volts_b amps_b "
    "open_constant balance nozzle overflow screen"
).split()
PEOPLE = ("careful", "ordinary", "hasty")
GRAVITY = 9.80665
STEPS = 90  # of one electrical cycle
THETA = 0.6  # 0.5 rings behind a diode that just closed, 1 damps the machine's own inductance


# Water


def density(temperature):
    """kg/m³ of fresh water; a parabola about 4 °C."""
    return 999.97 - 0.0065 * (temperature - 4) ** 2


def viscosity(temperature):
    """m²/s of fresh water, Vogel's equation for its dynamic viscosity."""
    return 2.414e-5 * 10 ** (247.8 / (temperature + 133.15)) / density(temperature)


def friction_slope(flow, bore, rough, thickness):
    """Head lost over one metre of pipe; laminar below a Reynolds number of 2300."""
    speed = flow / (np.pi * bore**2 / 4)
    reynolds = np.maximum(speed * bore / thickness, 1e-6)
    factor = 0.25 / np.log10(rough / (3.7 * bore) + 5.74 / np.maximum(reynolds, 2300) ** 0.9) ** 2
    factor = np.where(reynolds < 2300, 64 / reynolds, factor)
    return factor / bore * speed**2 / (2 * GRAVITY)


def pipe_loss(p, flow, upper):
    """Head lost above (`upper`) or below the spot of the leak, which stands at a share of the whole length."""
    whole = p["length"] + p["length_2"]
    spot = p["leak_at"] * whole
    first = np.minimum(spot, p["length"])
    second = np.maximum(spot - p["length"], 0)
    if not upper:
        first, second = p["length"] - first, p["length_2"] - second
    thickness = viscosity(p["temperature"])
    loss = first * friction_slope(flow, p["bore"], p["rough"], thickness)
    loss = loss + second * friction_slope(flow, p["bore_2"], p["rough_2"], thickness)
    if upper:
        loss = loss + p["fittings"] * velocity_head(flow, p["bore"])
    return loss


def velocity_head(flow, bore):
    """Metres."""
    return (flow / (np.pi * bore**2 / 4)) ** 2 / (2 * GRAVITY)


def last_bore(p):
    """Bore of the section that ends at the nozzle."""
    return np.where(p["length_2"] > 0, p["bore_2"], p["bore"])


def jet_area(p):
    """m² of all jets."""
    return p["jets"] * p["contraction"] * np.pi * p["nozzle"] ** 2 / 4


def bisect(function, low, high, rounds=60):
    """Where a rising function is zero; the end of the range where it is not."""
    for _ in range(rounds):
        middle = (low + high) / 2
        above = function(middle) > 0
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    return (low + high) / 2


def water(p):
    """Flow of the jets, their velocity, and both gauge pressures in bar."""

    def at(flow):
        nozzle_head = (flow / (jet_area(p) * p["jet_speed"])) ** 2 / (2 * GRAVITY)
        gauge_head = nozzle_head + p["after_gauge"] * velocity_head(flow, last_bore(p))
        spot_head = gauge_head + pipe_loss(p, flow, upper=False)
        pressure = np.maximum(spot_head - p["head"] * (1 - p["leak_at"]), 0)
        leak = p["leak"] * np.sqrt(2 * GRAVITY * pressure)
        return nozzle_head, gauge_head, spot_head, leak

    def too_much(flow):
        *_, spot_head, leak = at(flow)
        return spot_head + pipe_loss(p, flow + leak, upper=True) + p["air"] - p["head"]

    most = jet_area(p) * np.sqrt(2 * GRAVITY * p["head"])
    flow = bisect(too_much, 0 * most, most)
    dry = flow + at(flow)[3] > p["source"]
    short = bisect(lambda q: q + at(q)[3] - p["source"], 0 * most, most)
    flow = np.where(dry, short, flow)
    nozzle_head, gauge_head, _, leak = at(flow)
    weight = density(p["temperature"]) * GRAVITY / 1e5
    running = weight * (gauge_head - velocity_head(flow, last_bore(p)) - p["gauge_height"])

    def rest(drawn):
        spot_head = p["head"] - p["air"] * p["air_at_rest"] - pipe_loss(p, drawn, upper=True)
        return drawn - p["leak"] * np.sqrt(2 * GRAVITY * np.maximum(spot_head - p["head"] * (1 - p["leak_at"]), 0))

    drawn = np.where(p["leak"] > 0, bisect(rest, 0 * most, most), 0.0)
    rest_head = p["head"] - p["air"] * p["air_at_rest"] - pipe_loss(p, drawn, upper=True)
    return {
        "flow": flow,
        "leak": leak,
        "velocity": p["jet_speed"] * np.sqrt(2 * GRAVITY * nozzle_head),
        "static": weight * (rest_head - p["gauge_height"]),
        "running": running,
        "overflow": ~dry,
    }


# Wheel


def wheel_torque(p, jet, turn):
    """Newton metres at the shaft at `turn` radians a second, after air, water and bearings."""
    ratio = turn * p["pitch"] / 2 / jet["velocity"]
    returned = 1 + p["cup_friction"] * np.cos(np.radians(180 - p["deflection"]))
    push = density(p["temperature"]) * jet["flow"] * p["pitch"] / 2 * jet["velocity"] * (1 - ratio) * returned
    off_best = 1 - p["curve"] * (np.maximum(ratio - 0.55, 0) ** 2 + np.maximum(0.38 - ratio, 0) ** 2) / 0.2
    air = p["windage"] * (turn / (2 * np.pi) * 60 / 1000) ** 2 * 60 / (2 * np.pi * 1000)
    pond = p["pond"] * (turn / p["pond_turn"]) ** 1.7
    iron = p["iron"] * (1 + p["iron_slope"] * (turn / p["pond_turn"] - 1))
    return push * off_best * p["alignment"] - air - pond - iron - p["bearing"]


# Alternator, bridge and load


def solve(matrix, right):
    """A few linear equations for many days at once; symmetric and positive, so no pivots."""
    size = len(right)
    matrix, right = [list(row) for row in matrix], list(right)
    for k in range(size):
        for j in range(k + 1, size):
            share = matrix[j][k] / matrix[k][k]
            for c in range(k + 1, size):
                matrix[j][c] = matrix[j][c] - share * matrix[k][c]
            right[j] = right[j] - share * right[k]
    for k in reversed(range(size)):
        for c in range(k + 1, size):
            right[k] = right[k] - matrix[k][c] * right[c]
        right[k] = right[k] / matrix[k][k]
    return right


def winding_nodes(star, conductance, source):
    """Conductances between the three terminals and the currents into them, of windings in star or in delta."""
    total = conductance.sum(axis=0)
    pull = source.sum(axis=0)
    into, matrix = [], [[None] * 3 for _ in range(3)]
    for k in range(3):
        # Delta: winding k drives its current from terminal k + 1 into terminal k.
        into.append(np.where(star, source[k] - conductance[k] * pull / total, source[k] - source[k - 1]))
        for j in range(3):
            same = k == j
            between = k if (k + 1) % 3 == j else j
            delta = conductance[k] + conductance[k - 1] if same else -conductance[between]
            matrix[k][j] = np.where(star, same * conductance[k] - conductance[k] * conductance[j] / total, delta)
    return matrix, into


@dataclass
class March:
    """What the windings and the bridge carry over from step to step."""

    current: np.ndarray
    push: np.ndarray
    node: np.ndarray
    rail: np.ndarray


def start(size):
    """Everything at rest."""
    return March(np.zeros((3, size)), np.zeros((3, size)), np.zeros((3, size)), np.zeros(size))


def march(p, turn, volts, ohms, state, cycles, steps=None):
    """Runs the bridge at a fixed speed into `volts` behind `ohms`; means and powers of the last cycle."""
    steps = steps or STEPS
    star = p["star"]
    pulse = p["pairs"] * turn
    step = 2 * np.pi / steps / pulse
    emf_top = np.sqrt(2) * p["phase_volts"] * turn  # (3, days), peak
    share = p["phase_henry"] / step
    conductance = THETA / (share + THETA * p["phase_ohms"])
    sums = dict.fromkeys(("shaft", "rail", "amps", "copper", "diode", "battery"), 0.0)
    squares = np.zeros_like(state.current)
    angles = np.arange(3)[:, None] * 2 * np.pi / 3
    for k in range(cycles * steps):
        emf = emf_top * np.sin(2 * np.pi * (k + 1) / steps - angles)
        source = conductance * ((share * state.current + (1 - THETA) * state.push) / THETA + emf)
        matrix, into = winding_nodes(star, conductance, source)
        node, rail = state.node, state.rail
        for _ in range(12):
            up = (node - rail - p["diode"] > 0) * p["up"]
            down = (-node - p["diode"] > 0) * p["down"]
            full = [[matrix[i][j] + (i == j) * (up[i] + down[i] + 1e-7) for j in range(3)] + [-up[i]] for i in range(3)]
            full.append([-up[0], -up[1], -up[2], up.sum(axis=0) + 1 / ohms + 1e-9])
            right = [into[i] + up[i] * p["diode"] - down[i] * p["diode"] for i in range(3)]
            *nodes, new_rail = solve(full, [*right, volts / ohms - (up * p["diode"]).sum(axis=0)])
            before, (node, rail) = (node, rail), (np.array(nodes), new_rail)
            same = ((node - rail - p["diode"] > 0) == (before[0] - before[1] - p["diode"] > 0)).all()
            if same and ((-node - p["diode"] > 0) == (-before[0] - p["diode"] > 0)).all():
                break
        neutral = ((conductance * node).sum(axis=0) - source.sum(axis=0)) / conductance.sum(axis=0)
        across = np.where(star, node - neutral, node - np.roll(node, -1, axis=0))
        current = source - conductance * across
        push = emf - across - p["phase_ohms"] * current
        state = March(current, push, node, rail)
        if k >= (cycles - 1) * steps:
            amps = (rail - volts) / ohms
            raised = up * (node - rail - p["diode"])
            drawn = down * (-node - p["diode"])
            sums["shaft"] += (emf * current).sum(axis=0) / steps
            sums["rail"] += rail / steps
            sums["amps"] += amps / steps
            sums["copper"] += (p["phase_ohms"] * current**2).sum(axis=0) / steps
            sums["diode"] += (raised * (node - rail)).sum(axis=0) / steps - (drawn * node).sum(axis=0) / steps
            sums["battery"] += rail * amps / steps
            squares += (node - np.roll(node, -1, axis=0)) ** 2 / steps
    return sums | {"line": np.sqrt(squares)}, state


def shorted_torque(p, turn):
    """Newton metres that brake the shaft where turns of one phase are shorted upon themselves."""
    part = p["shorted"]
    volts = part * p["phase_volts"].max(axis=0) * turn
    ohms = np.maximum(part * p["short_ohms"], 1e-9)
    reactance = part**2 * p["phase_henry"].max(axis=0) * p["pairs"] * turn
    return volts**2 * ohms / (ohms**2 + reactance**2) / turn


def settle(p, jet, volts, ohms, rounds=13):
    """The speed at which wheel and alternator agree, by false position (Illinois); and what the bridge does there."""
    size = len(volts)
    state = start(size)

    def surplus(turn, state, cycles=2):
        spin = turn * (1 - p["slip"])  # a coupling that slips passes the torque on, not the speed
        result, state = march(p, spin, volts, ohms, state, cycles)
        brake = result["shaft"] / spin + shorted_torque(p, spin)
        return wheel_torque(p, jet, turn) - brake, result, state

    top = jet["velocity"] / (p["pitch"] / 2)
    low, high = 0.03 * top, top.copy()
    at_low, *_ = surplus(low, state)
    at_high, _, state = surplus(high, state)
    side = np.zeros(size)
    for _ in range(rounds):
        turn = np.clip((low * at_high - high * at_low) / (at_high - at_low), low, high)
        value, _, state = surplus(turn, state)
        more = value > 0
        low, high = np.where(more, turn, low), np.where(more, high, turn)
        at_high = np.where(more, np.where(side == 1, at_high / 2, at_high), value)
        at_low = np.where(more, value, np.where(side == -1, at_low / 2, at_low))
        side = np.where(more, 1, -1)
    residual, result, _ = surplus(turn, state, cycles=3)
    return result | {"turn": turn, "residual": residual / np.maximum(wheel_torque(p, jet, 0.3 * top), 1e-9)}


def run(p):
    """All that happens on the day, before anyone reads it; names as in `READINGS`."""
    jet = water(p)
    out = {"static": jet["static"], "running": jet["running"], "flow": jet["flow"] * 1000}
    for load in "ab":
        after = p["after_ohms_" + load]
        bus = p["bus_volts_" + load]
        ohms = p["cable_ohms"] + after
        # A load before the ammeter, at the rectifier, stands beside cable and battery: Thevenin's equivalent of both.
        stray = p["stray"]
        joined, pulled = ohms / (1 + ohms * stray), bus / (1 + ohms * stray)
        got = settle(p, jet, pulled, joined)
        amps = (got["rail"] - bus) / ohms
        out["speed_" + load] = got["turn"] * 30 / np.pi * (1 - p["slip"])
        out["rectifier_" + load] = got["rail"]
        out["amps_" + load] = np.maximum(amps, 0)
        out["volts_" + load] = bus + after * amps
        out["residual_" + load] = got["residual"]
        if load == "a":
            out["balance"] = got["line"].min(axis=0) / got["line"].max(axis=0)
            out["shaft_a"] = got["shaft"]
            out["ratio"] = got["turn"] * p["pitch"] / 2 / jet["velocity"]
    drill = p["drill_turn"]
    loose = p | {"diode": np.zeros_like(drill)}
    got, _ = march(loose, drill, 0 * drill, np.full_like(drill, 1e6), start(len(drill)), 3)
    open_volts = got["rail"] * (1 + 0.047 * p["peak_held"]) - 2 * p["open_diode"]
    out["open_constant"] = np.maximum(open_volts, 0) / (drill * 30 / np.pi / 1000)
    out["nozzle"] = p["nozzle_seen"] * 1000
    out["overflow"] = jet["overflow"] & ~p["hides_overflow"]
    out["screen"] = ~p["screen_dirty"]
    return out


# Plans: what the builder types of the plant


PLAN = (
    "gross_head length bore roughness nozzle pitch_diameter phase_volts pole_pairs phase_resistance battery_volts "
    "fittings jets velocity_coefficient contraction temperature available_flow deflection cup_friction alignment "
    "bearing_drag windage phase_inductance connection diode_drop cable_resistance iron_drag load load_resistance "
    "length_2 bore_2 roughness_2 gauge_height"
).split()
BORES = np.array([20.4, 26.0, 32.6, 40.8, 51.4, 61.4, 73.6, 90.0, 110.2])  # mm, of polyethylene pipe


def rounded(value, step):
    """As people type it."""
    return np.round(value / step) * step


def pick(rng, words, shares, count):
    """Words by their shares."""
    return rng.choice(np.array(words), size=count, p=np.array(shares) / sum(shares))


def spread_evenly(rng, low, high, count):
    """Anywhere between, in proportion."""
    return np.exp(rng.uniform(np.log(low), np.log(high), count))


def plans(rng, count, off_best=False):
    """Invented plants as designed, in the sheet's units. With `off_best` the alternator does not suit the wheel."""
    head = rounded(spread_evenly(rng, 14, 140, count), 0.5)
    length = rounded(head * spread_evenly(rng, 2.5, 14, count), 5)
    bore = BORES[rng.integers(1, 7, count)]
    two = rng.random(count) < 0.22
    wider = BORES[np.minimum(np.searchsorted(BORES, bore) + 1, len(BORES) - 1)]
    length_2 = np.where(two, rounded(length * rng.uniform(0.25, 0.7, count), 5), 0)
    length = length - length_2
    bore, bore_2 = np.where(two, wider, bore), np.where(two, bore, 0)
    roughness = pick(rng, [0.01, 0.02, 0.05, 0.15], [45, 25, 18, 12], count)
    jets = pick(rng, [1, 2, 3], [78, 17, 5], count)
    fittings = rounded(rng.uniform(1, 6, count), 0.1)
    temperature = rounded(rng.uniform(4, 15, count), 1)
    contraction = np.where(rng.random(count) < 0.12, 0.64, 1.0)
    p = {"length": length, "length_2": length_2, "bore": bore / 1000, "bore_2": np.where(two, bore_2, bore) / 1000}
    p |= {"rough": roughness / 1000, "rough_2": roughness / 1000, "temperature": temperature, "leak_at": 0 * head + 0.5}
    p |= {"fittings": fittings, "leak": 0 * head, "air": 0 * head}
    lost = rng.uniform(0.05, 0.33, count) * head
    flow = bisect(lambda q: pipe_loss(p, q, upper=True) + pipe_loss(p, q, upper=False) - lost, 0 * head, 0 * head + 0.2)
    velocity = 0.97 * np.sqrt(2 * GRAVITY * (head - lost))
    nozzle = np.sqrt(flow / velocity / contraction / jets / np.pi * 4) * 1000
    nozzle = np.maximum(rounded(nozzle, 0.5), 2.5)
    pitch = rounded(np.maximum(nozzle * rng.uniform(9, 15, count), 70), 5)
    turn = 0.47 * velocity / (pitch / 2000)
    krpm = turn * 30 / np.pi / 1000
    watts = 500 * flow * velocity**2 * 0.72
    torque = watts / turn
    bank = np.where(watts < 150, 12, np.where(watts < 600, 24, 48))
    load = pick(rng, ["battery", "controller", "resistor"], [78, 12, 10], count)
    battery_volts = rounded(bank * rng.uniform(1.06, 1.18, count), 0.1)
    direct = np.where(load == "controller", bank * rng.uniform(1.5, 3, count), battery_volts)
    amps = 0.85 * watts / direct
    star = rng.random(count) < 0.7
    suited = spread_evenly(rng, 0.9, 1.12, count)
    if off_best:
        suited = np.where(rng.random(count) < 0.5, spread_evenly(rng, 0.58, 0.75, count), 1 / suited * 1.55)
    open_line = (direct + 1.6) * rng.uniform(1.06, 1.2, count) / (3 * np.sqrt(2) / np.pi) * suited
    emf = open_line / np.where(star, np.sqrt(3), 1) / krpm
    ohms = open_line / np.sqrt(3) / (0.78 * amps) * np.where(star, 1, 3)
    pairs = rng.integers(2, 9, count)
    henry = rng.uniform(0.04, 0.32, count) * ohms / (pairs * turn)
    given = rng.random(count) < 0.5
    plan = {
        "gross_head": head,
        "length": length,
        "bore": bore,
        "roughness": roughness,
        "nozzle": nozzle,
        "pitch_diameter": pitch,
        "phase_volts": np.round(emf, 3),
        "pole_pairs": pairs,
        "phase_resistance": ohms * rng.uniform(0.03, 0.1, count),
        "battery_volts": battery_volts,
        "fittings": fittings,
        "jets": jets,
        "velocity_coefficient": 0 * head + 0.97,
        "contraction": contraction,
        "temperature": temperature,
        "available_flow": np.where(given, flow * 1000 * rng.uniform(1.15, 4, count), np.inf),
        "deflection": 0 * head + 165,
        "cup_friction": 0 * head + 0.9,
        "alignment": rounded(rng.uniform(0.82, 0.95, count), 0.01),
        "bearing_drag": torque * rng.uniform(0.005, 0.03, count),
        "windage": watts * rng.uniform(0.005, 0.04, count) / krpm**3,
        "phase_inductance": henry * 1000,
        "connection": np.where(star, "star", "delta"),
        "diode_drop": pick(rng, [0.7, 0.8, 0.9], [1, 2, 1], count),
        "cable_resistance": direct / amps * spread_evenly(rng, 0.01, 0.06, count),
        "iron_drag": torque * rng.uniform(0.005, 0.03, count),
        "load": load,
        "load_resistance": np.where(load == "resistor", rounded(direct / amps, 0.01) + 0.01, 0),
        "length_2": length_2,
        "bore_2": np.where(two, bore_2, 0),
        "roughness_2": np.where(two, roughness, 0),
        "gauge_height": pick(rng, [0, 0.5, 1, -0.5, 2], [60, 15, 15, 5, 5], count),
    }
    return plan, {"amps": amps, "direct": direct, "torque": torque, "turn": turn, "flow": flow, "watts": watts}


def build(rng, plan, design, scatter=1.0):
    """The plant as it was truly built: the plan with the ordinary scatter of hands, shops and years; SI."""
    count = len(plan["gross_head"])

    def near(share):
        return 1 + share * scatter * np.clip(rng.standard_normal(count), -2.5, 2.5)

    def apart(share):
        return np.exp(share * scatter * np.clip(rng.standard_normal(count), -2.5, 2.5))

    years = rng.gamma(1.5, 2.0, count) * scatter
    old = 1 + 0.04 * years
    star = plan["connection"] == "star"
    emf = plan["phase_volts"] * 30 / np.pi / 1000 * near(0.02) * (1 - 0.0015 * years)
    ohms = plan["phase_resistance"] * near(0.04)
    amps = design["amps"]
    diode_ohms = 0.1 / amps * apart(0.2)
    nozzle = plan["nozzle"] / 1000 * near(0.007) * (1 + 0.0015 * years)
    second = plan["length_2"] > 0
    bank_ohms = plan["battery_volts"] / amps * spread_evenly(rng, 0.012, 0.08, count)
    terminal = np.where(plan["load"] == "controller", design["direct"], plan["battery_volts"]) * near(0.02)
    battery = plan["load"] == "battery"
    resistor = plan["load"] == "resistor"
    held_ohms = 1e-4 * terminal / amps  # a controller holds its input
    after = np.where(battery, bank_ohms, np.where(resistor, plan["load_resistance"] * near(0.02), held_ohms))
    bus = np.where(battery, terminal - bank_ohms * amps, np.where(resistor, 0.0, terminal))
    heavy = rng.uniform(0.7, 2.6, count) * amps * bank_ohms
    zeros = np.zeros(count)
    return {
        "head": plan["gross_head"] * near(0.01),
        "length": plan["length"] * near(0.01),
        "length_2": plan["length_2"] * near(0.01),
        "bore": plan["bore"] / 1000 * near(0.006),
        "bore_2": np.where(second, plan["bore_2"], plan["bore"]) / 1000 * near(0.006),
        "rough": plan["roughness"] / 1000 * apart(0.35) * old,
        "rough_2": np.where(second, plan["roughness_2"], plan["roughness"]) / 1000 * apart(0.35) * old,
        "fittings": plan["fittings"] * apart(0.2),
        "temperature": plan["temperature"] + 1.5 * scatter * rng.standard_normal(count).clip(-2, 2),
        "gauge_height": plan["gauge_height"] + 0.1 * scatter * rng.standard_normal(count),
        "jets": plan["jets"],
        "contraction": plan["contraction"] * np.where(plan["contraction"] < 1, near(0.015), 1),
        "nozzle": nozzle,
        "nozzle_seen": nozzle.copy(),
        "jet_speed": np.minimum(plan["velocity_coefficient"] * near(0.008), 0.995),
        "after_gauge": zeros.copy(),
        "leak": zeros.copy(),
        "leak_at": rng.uniform(0.15, 0.95, count),
        "air": zeros.copy(),
        "air_at_rest": rng.uniform(0.3, 1, count),
        "source": np.where(np.isfinite(plan["available_flow"]), plan["available_flow"] / 1000, 1e3) * near(0.02),
        "hides_overflow": np.zeros(count, bool),
        "screen_dirty": np.zeros(count, bool),
        "pitch": plan["pitch_diameter"] / 1000 * near(0.006),
        "deflection": plan["deflection"],
        "cup_friction": plan["cup_friction"],
        "alignment": np.minimum(plan["alignment"] + 0.03 * scatter * rng.standard_normal(count).clip(-2.5, 2.5), 0.99),
        "curve": np.minimum(scatter, 1) * rng.uniform(0, 0.5, count),
        "bearing": plan["bearing_drag"] * apart(0.3),
        "windage": plan["windage"] * apart(0.3),
        "iron": plan["iron_drag"] * apart(0.25),
        "iron_slope": np.minimum(scatter, 1) * rng.uniform(0, 0.4, count),
        "pond": zeros.copy(),
        "pond_turn": design["turn"],
        "slip": zeros.copy(),
        "star": star,
        "pairs": plan["pole_pairs"].astype(float),
        "phase_volts": emf * np.stack([near(0.005) for _ in range(3)]),
        "phase_ohms": ohms * np.stack([near(0.01) for _ in range(3)]),
        "phase_henry": plan["phase_inductance"] / 1000 * apart(0.1) * np.ones((3, 1)),
        "shorted": zeros.copy(),
        "short_ohms": ohms * rng.uniform(1, 4, count),
        "diode": plan["diode_drop"] - 0.1 + 0.04 * scatter * rng.standard_normal(count).clip(-2, 2),
        "up": np.ones((3, 1)) / diode_ohms,
        "down": np.ones((3, 1)) / diode_ohms,
        "cable_ohms": plan["cable_resistance"] * apart(0.05) * (1 + 0.01 * years),
        "stray": zeros.copy(),
        "after_ohms_a": after,
        "bus_volts_a": bus,
        "after_ohms_b": after * np.where(resistor, rng.uniform(0.45, 0.75, count), 1),
        "bus_volts_b": np.where(battery, bus - heavy, np.where(resistor, 0.0, bus * rng.uniform(0.75, 0.93, count))),
        "drill_turn": np.minimum(rounded(rng.uniform(250, 900, count), 10) * np.pi / 30, design["turn"]),
        "peak_held": np.minimum(scatter, 1) * np.where(rng.random(count) < 0.3, rng.random(count), 0),
        "open_diode": np.minimum(scatter, 1) * rng.uniform(0.1, 0.3, count),
    }


# Troubles. Each changes the plant `p` or the meters `m` on the spot; sizes run from barely visible to severe


def size(rng, low, high, count):
    """More small ones than great ones."""
    return spread_evenly(rng, low, high, count)


def either(rng, count, *shares):
    """One boolean array for each share; one of them is true for each day."""
    which = rng.choice(len(shares), size=count, p=np.array(shares) / sum(shares))
    return [which == k for k in range(len(shares))]


def pipe_narrow(rng, p, m, plan, design):
    """Rough wall, something at one spot, or a leak."""
    n = len(p["head"])
    rough, spot, leak = either(rng, n, 35, 40, 25)
    grown = np.where(rough, size(rng, 2, 60, n), 1)
    p["rough"], p["rough_2"] = p["rough"] * grown, p["rough_2"] * grown
    extra = size(rng, 0.02, 0.6, n) * p["head"] / velocity_head(design["flow"], p["bore"])
    p["fittings"] = p["fittings"] + np.where(spot, extra, 0)
    p["screen_dirty"] = p["screen_dirty"] | (spot & (rng.random(n) < 0.4))
    stream = size(rng, 0.03, 0.5, n) * design["flow"]
    p["leak"] = np.where(leak, stream / np.sqrt(2 * GRAVITY * p["head"] * np.maximum(p["leak_at"], 0.1)), p["leak"])


def air_lock(rng, p, m, plan, design):
    """A pocket behind a hump takes a fixed head; at rest a part of it."""
    p["air"] = p["head"] * size(rng, 0.02, 0.4, len(p["head"]))
    m["unsteady"] = m["unsteady"] * 2


def less_head(rng, p, m, plan, design):
    """Surveyed too high, or the gauge stands higher than the plan says."""
    n = len(p["head"])
    level, gauge = either(rng, n, 80, 20)
    share = size(rng, 0.02, 0.25, n)
    p["gauge_height"] = p["gauge_height"] + np.where(gauge, np.minimum(share * p["head"] / 2, 8), 0)
    p["head"] = p["head"] * np.where(level, 1 - share, 1)


def nozzle_wrong(rng, p, m, plan, design):
    """Worn, drilled with another bit, something in it, or a valve after the gauge half shut."""
    n = len(p["head"])
    worn, bit, blocked, valve = either(rng, n, 30, 25, 35, 10)
    grown = np.where(worn, 1 + size(rng, 0.02, 0.25, n), 1)
    steps = rng.integers(1, 5, n) * 0.0005 * rng.choice([-1, 1], n)
    grown = np.where(bit, np.clip((p["nozzle"] + steps) / p["nozzle"], 0.6, 1.5), grown)
    left = np.sqrt(1 - size(rng, 0.04, 0.7, n))
    p["nozzle_seen"] = p["nozzle_seen"] * np.where(blocked & (rng.random(n) < 0.4), left, grown)
    p["nozzle"] = p["nozzle"] * np.where(blocked, left, grown)
    rough_jet = np.where(blocked, 0.03 * rng.random(n) + 0.06 * (1 - left), np.where(worn, 0.15 * (grown - 1), 0))
    p["jet_speed"] = p["jet_speed"] * (1 - rough_jet)
    p["alignment"] = p["alignment"] * (1 - rough_jet)
    extra = size(rng, 0.03, 0.6, n) * p["head"] / velocity_head(design["flow"], last_bore(p))
    p["after_gauge"] = np.where(valve, extra, p["after_gauge"])


def jet_off(rng, p, m, plan, design):
    """The jet beside the splitter, or cups worn."""
    p["alignment"] = p["alignment"] * (1 - size(rng, 0.03, 0.45, len(p["head"])))


def other_bank(rng, p, m, plan, design):
    """The bank is another one than the plan's: the load holds the wheel off its best speed."""
    n = len(p["head"])
    times = np.where(rng.random(n) < 0.65, rng.uniform(0.45, 0.8, n), rng.uniform(1.25, 1.7, n))
    resistor = plan["load"] == "resistor"
    for load in "ab":
        p["bus_volts_" + load] = p["bus_volts_" + load] * times
        p["after_ohms_" + load] = p["after_ohms_" + load] * np.where(resistor, times**2, 1)


def design_off(rng, p, m, plan, design):
    """Nothing: the plan itself holds the wheel off its best speed (see `plans`)."""


def ponds(rng, p, m, plan, design):
    """Water about the wheel, or a bearing that drags; a share of the shaft's torque."""
    n = len(p["head"])
    pond, bearing = either(rng, n, 60, 40)
    share = size(rng, 0.03, 0.5, n) * design["torque"]
    p["pond"] = np.where(pond, share, p["pond"])
    p["bearing"] = p["bearing"] + np.where(bearing, share * 0.7, 0)


def phase_open(rng, p, m, plan, design):
    """One diode open, a lead or a winding open, or turns of one phase shorted."""
    n = len(p["head"])
    diode, lead, winding, shorted = either(rng, n, 35, 25, 10, 30)
    which = np.arange(3)[:, None] == rng.integers(0, 3, n)
    top = rng.random(n) < 0.5
    p["up"] = np.where(which & (lead | (diode & top)), 1e-7, p["up"])
    p["down"] = np.where(which & (lead | (diode & ~top)), 1e-7, p["down"])
    p["phase_ohms"] = np.where(which & winding, 1e4, p["phase_ohms"])
    part = np.where(shorted, size(rng, 0.03, 0.4, n), 0)
    p["shorted"] = part
    left = 1 - part * which
    p["phase_volts"], p["phase_ohms"] = p["phase_volts"] * left, p["phase_ohms"] * left
    p["phase_henry"] = p["phase_henry"] * left


def star_delta(rng, p, m, plan, design):
    """Joined the other way."""
    p["star"] = ~p["star"]


def thin_cable(rng, p, m, plan, design):
    """More ohms between rectifier and load; a share of the load's volts at the design's amperes."""
    p["cable_ohms"] = p["cable_ohms"] + size(rng, 0.012, 0.3, len(p["head"])) * design["direct"] / design["amps"]


def battery_full(rng, p, m, plan, design):
    """At load A the volts climb: a full battery takes little, or a controller lets only a part through."""
    n = len(p["head"])
    taken = 1 - size(rng, 0.08, 0.95, n)
    stiff = design["direct"] / design["amps"] * rng.uniform(0.15, 1.2, n) * (1 - taken)
    full = rng.uniform(1.0, 1.1, n)
    volts = design["direct"] * full
    p["after_ohms_a"] = stiff / np.maximum(taken, 0.1) + 1e-3 * design["direct"] / design["amps"]
    p["bus_volts_a"] = volts - p["after_ohms_a"] * design["amps"] * 0.1 * taken


def gauge_wrong(rng, p, m, plan, design):
    """Scale, zero, a needle that sticks, or one misreading."""
    n = len(p["head"])
    scale, zero, once = either(rng, n, 45, 40, 15)
    part = size(rng, 0.03, 0.3, n) * rng.choice([-1, 1], n)
    static = p["head"] * 0.098
    for name in ("static", "running"):
        m["times"][name] = m["times"][name] * np.where(scale | (once & (name == "running")), 1 + part, 1)
        m["plus"][name] = m["plus"][name] + np.where(zero, part * static, 0)


def bucket_wrong(rng, p, m, plan, design):
    """A bucket that holds other than it says, a late thumb, or water that misses it."""
    n = len(p["head"])
    more = rng.random(n) < 0.4
    m["times"]["flow"] = m["times"]["flow"] * np.where(more, 1 + size(rng, 0.05, 0.4, n), 1 - size(rng, 0.05, 0.4, n))


def counter_wrong(rng, p, m, plan, design):
    """Poles for pole pairs, two marks on the shaft, one pair too many, or a few per cent."""
    n = len(p["head"])
    half, double, pair, _, once = either(rng, n, 20, 15, 20, 35, 10)
    some_part = 1 + size(rng, 0.03, 0.2, n) * rng.choice([-1, 1], n)
    miscount = p["pairs"] / (p["pairs"] + np.where((rng.random(n) < 0.5) & (p["pairs"] > 1), -1, 1))
    times = np.select([half, double, pair], [0.5 + 0 * some_part, 2 + 0 * some_part, miscount], some_part)
    m["times"]["speed_a"] = m["times"]["speed_a"] * times
    m["times"]["speed_b"] = m["times"]["speed_b"] * np.where(once, 1, times)
    m["times"]["open_constant"] = m["times"]["open_constant"] / np.where(once, 1, times)


def multimeter_wrong(rng, p, m, plan, design):
    """A voltmeter with a weak battery, an ammeter off its zero or off its scale, or one misreading."""
    n = len(p["head"])
    volts, zero, scale, once = either(rng, n, 35, 20, 30, 15)
    part = size(rng, 0.025, 0.25, n) * rng.choice([-1, 1], n)
    amps = 1 + np.where(rng.random(n) < 0.15, -0.5, part * 1.4)
    for name in ("rectifier_a", "volts_a", "rectifier_b", "volts_b", "open_constant"):
        m["times"][name] = m["times"][name] * np.where(volts | (once & (name == "rectifier_a")), 1 + part, 1)
    for name in ("amps_a", "amps_b"):
        m["times"][name] = m["times"][name] * np.where(scale, amps, 1)
        m["plus"][name] = m["plus"][name] + np.where(zero, part * 1.4 * design["amps"], 0)


def source_short(rng, p, m, plan, design):
    """The stream gives less than the nozzle takes; now and then a whirl draws air into the pipe instead."""
    n = len(p["head"])
    short, whirl = either(rng, n, 75, 25)
    flow = water(p)["flow"]
    p["source"] = np.where(short, flow * (1 - size(rng, 0.02, 0.5, n)), p["source"])
    air = size(rng, 0.02, 0.2, n)
    p["jet_speed"] = p["jet_speed"] * np.where(whirl, 1 - air / 2, 1)
    p["contraction"] = p["contraction"] * np.where(whirl, 1 - air / 2, 1)
    p["alignment"] = p["alignment"] * np.where(whirl, 1 - air / 2, 1)
    p["hides_overflow"] = p["hides_overflow"] | (whirl & (rng.random(n) < 0.7))
    m["unsteady"] = m["unsteady"] * np.where(whirl, 3, 1.5)


def weak_magnets(rng, p, m, plan, design):
    """Volts of the winding other than the sheet says, mostly less."""
    n = len(p["head"])
    part = size(rng, 0.03, 0.3, n)
    p["phase_volts"] = p["phase_volts"] * np.where(rng.random(n) < 0.75, 1 - part, 1 + part)


def stray_load(rng, p, m, plan, design):
    """A load that nobody remembers hangs at the rectifier, before the ammeter."""
    p["stray"] = size(rng, 0.05, 0.6, len(p["head"])) * design["amps"] / design["direct"]


def coupling_slips(rng, p, m, plan, design):
    """The alternator, where the speed is read, turns slower than the wheel."""
    p["slip"] = size(rng, 0.03, 0.3, len(p["head"]))


def entries_swapped(rng, p, m, plan, design):
    """Two numbers stand in each other's cell."""
    m["swap"] = rng.choice([1, 2, 3], len(p["head"]))


def changed_between(rng, p, m, plan, design):
    """The water was read before another nozzle was fitted, all else after."""
    steps = rng.integers(1, 5, len(p["head"])) * 0.0005 * rng.choice([-1, 1], len(p["head"]))
    m["nozzle_then"] = np.clip((p["nozzle"] + steps) / p["nozzle"], 0.6, 1.5)


TROUBLES = {
    "none": ((0,), None),
    "pipe": ((1,), pipe_narrow),
    "air lock": ((2,), air_lock),
    "head": ((3,), less_head),
    "nozzle": ((4,), nozzle_wrong),
    "jet": ((5,), jet_off),
    "load: other bank": ((6,), other_bank),
    "load: by design": ((6,), design_off),
    "ponds, drags": ((7,), ponds),
    "phase": ((8,), phase_open),
    "star, delta": ((9,), star_delta),
    "cable": ((10,), thin_cable),
    "battery full": ((11,), battery_full),
    "gauge": ((12,), gauge_wrong),
    "bucket": ((13,), bucket_wrong),
    "speed meter": ((14,), counter_wrong),
    "multimeter": ((15,), multimeter_wrong),
    "source": ((16,), source_short),
    "magnets": ((17,), weak_magnets),
    "stray load": ((18,), stray_load),
    "coupling slips": ((18,), coupling_slips),
    "entries swapped": ((18,), entries_swapped),
    "changed between": ((18,), changed_between),
}
NAMED = tuple(name for name, (numbers, change) in TROUBLES.items() if change and numbers[0] < 18)
UNNAMEABLE = tuple(name for name, (numbers, _) in TROUBLES.items() if numbers[0] == 18)
METERS = ("gauge", "bucket", "speed meter", "multimeter")
PAIR = "two at once"


# People and their meters


EASE = {  # how readily a person takes a reading; about 0 in the middle
    "static": 0.9,
    "running": 1.0,
    "flow": 0.0,
    "speed_a": -0.1,
    "rectifier_a": -0.3,
    "volts_a": 1.4,
    "amps_a": 1.1,
    "speed_b": -0.3,
    "rectifier_b": -0.5,
    "volts_b": 0.4,
    "amps_b": 0.2,
    "open_constant": -0.9,
    "balance": -0.7,
    "nozzle": 0.0,
    "overflow": 0.5,
    "screen": 0.4,
}
LEVEL = {"careful": 3.2, "ordinary": 0.8, "hasty": -0.8}
SHARES = {"bucket": 3.0, "speed": 1.0, "volts": 1.0, "amps": 2.5, "nozzle": 1.0}  # %, as the sheet assumes them


def taken_readings(rng, person):
    """Which of the sixteen a person takes; load B and the drill are all or little."""
    level = np.array([LEVEL[name] for name in person])
    low_b = np.where(rng.random(len(person)) < 1 / (1 + np.exp(-level - 0.2)), 1.2, -3)
    taken = []
    for name in READINGS:
        pull = level + EASE[name] + np.where(name.endswith("_b"), low_b, 0)
        taken.append(rng.random(len(person)) < 1 / (1 + np.exp(-pull)))
    taken[READINGS.index("volts_a")] |= ~np.any(taken, axis=0)  # a sheet with no reading at all is not a test day
    return np.array(taken).T


def fresh_meters(count):
    """Meters that have no trouble of their own; what a trouble may change about reading."""
    return {
        "times": {name: np.ones(count) for name in READINGS},
        "plus": {name: np.zeros(count) for name in READINGS},
        "unsteady": np.ones(count),
        "swap": np.zeros(count, int),
        "nozzle_then": np.ones(count),
    }


def stated(plan, reading, gauge):
    """Standard uncertainties as the sheet Diagnosis makes them of its stated meters, all readings taken."""
    share = dict.fromkeys(READINGS, 0.0)
    floor = dict.fromkeys(READINGS, 0.0)
    for name in READINGS:
        kind = name.removesuffix("_a").removesuffix("_b")
        share[name] = SHARES.get({"flow": "bucket", "rectifier": "volts"}.get(kind, kind), 0.0)
    share["open_constant"], share["balance"] = np.hypot(1, 1), np.sqrt(2)
    floor |= {"speed_a": 1, "speed_b": 1, "amps_a": 0.05, "amps_b": 0.05, "balance": 0.01}
    floor |= dict.fromkeys(("rectifier_a", "volts_a", "rectifier_b", "volts_b"), 0.05)
    floor |= {"overflow": 0.05, "screen": 0.05}
    share |= dict.fromkeys(("static", "running"), np.where(gauge["given"], 0, 1.5))
    class_part = gauge["class"] / 100 * gauge["range"] / np.sqrt(3)
    floor |= dict.fromkeys(("static", "running"), np.where(gauge["given"], class_part, 0.03))
    spread = [np.hypot(reading[:, k] * share[name] / 100, floor[name]) for k, name in enumerate(READINGS)]
    nozzle = READINGS.index("nozzle")
    spread[nozzle] = np.maximum(spread[nozzle], 0.05)
    return np.array(spread).T


def gauges(rng, plan, person):
    """A gauge bought for the head; careful people give its class and its full scale."""
    static = plan["gross_head"] * 0.0981
    scales = np.array([1, 1.6, 2.5, 4, 6, 10, 16, 25, 40])
    full = scales[np.minimum(np.searchsorted(scales, static * 1.15) + (rng.random(len(static)) < 0.25), 8)]
    given = rng.random(len(static)) < np.select([person == "careful", person == "ordinary"], [0.7, 0.3], 0.0)
    return {"given": given, "class": pick(rng, [1.0, 1.6, 2.5], [15, 45, 40], len(static)), "range": full}


def read(rng, values, plan, m, gauge, worse=1.0):
    """What the person writes down: meters with one error for all their readings, an eye, digits."""
    n = len(plan["gross_head"])

    def one():
        return worse * rng.standard_normal(n).clip(-3, 3)

    volts, amps_scale, amps_zero, speed, bucket = one(), one(), one(), one(), one()
    gauge_off = worse * rng.uniform(-1, 1, n) * gauge["class"] / 100 * gauge["range"]
    step = gauge["range"] / 100
    out = {}
    for name in READINGS:
        true = values[name].astype(float)
        eye = one() * m["unsteady"]
        kind = name.removesuffix("_a").removesuffix("_b")
        if kind in ("static", "running"):
            seen = rounded(true + gauge_off + eye * 0.4 * step, worse * step + 1e-9)
        elif kind == "flow":
            seen = true * (1 + 0.02 * bucket + 0.015 * eye)
        elif kind == "speed":
            seen = np.round(true * (1 + 0.004 * speed + 0.006 * eye))
        elif kind in ("rectifier", "volts"):
            seen = rounded(true * (1 + 0.006 * volts + 0.004 * eye), worse * 0.01 + 1e-9)
        elif kind == "amps":
            seen = true * (1 + 0.015 * amps_scale + 0.01 * eye) + 0.06 * amps_zero
            seen = rounded(seen, worse * np.where(true > 40, 0.1, 0.01) + 1e-9)
        elif kind == "open_constant":
            seen = true * (1 + 0.006 * volts - 0.004 * speed + 0.008 * eye)
        elif kind == "balance":
            seen = np.minimum(true * (1 - abs(0.006 * eye)), 1)
        elif kind == "nozzle":
            seen = rounded(true + 0.05 * eye, worse * 0.1 + 1e-9)
        else:
            wrong = rng.random(n) < np.minimum(0.04 * worse, 0.5)
            seen = np.where(wrong, 1 - true, true)
        if kind not in ("overflow", "screen"):
            seen = np.maximum(seen * m["times"][name] + m["plus"][name], 1e-3)
        out[name] = seen
    for which, (left, right) in enumerate(
        (("rectifier_a", "volts_a"), ("static", "running"), ("speed_a", "speed_b")), 1
    ):
        swap = m["swap"] == which
        out[left], out[right] = np.where(swap, out[right], out[left]), np.where(swap, out[left], out[right])
    return np.stack([out[name] for name in READINGS], axis=1)


# Days


@dataclass
class Days:
    """Test days, one a row: what is typed, and beside it the truth."""

    plan: dict
    readings: np.ndarray
    uncertainties: np.ndarray
    person: np.ndarray
    row: np.ndarray
    right: list
    visible: np.ndarray
    values: dict = field(default_factory=dict)
    truth: dict = field(default_factory=dict)


def joined(parts):
    """Days of many rows as one; also the dictionaries in them. Days stand last in what is inside, first in readings."""
    first = parts[0]
    if isinstance(first, dict):
        return {name: np.concatenate([part[name] for part in parts], axis=-1) for name in first}
    out = {}
    for name, value in vars(first).items():
        every = [getattr(part, name) for part in parts]
        if isinstance(value, dict):
            out[name] = joined(every)
        else:
            out[name] = [one for part in every for one in part] if name == "right" else np.concatenate(every)
    return Days(**out)


def values_of(p, m):
    """`run`, with the water of an earlier nozzle where it was changed between."""
    values = run(p)
    then = water(p | {"nozzle": p["nozzle"] * m["nozzle_then"]})
    earlier = m["nozzle_then"] != 1
    values["running"] = np.where(earlier, then["running"], values["running"])
    values["flow"] = np.where(earlier, then["flow"] * 1000, values["flow"])
    return values


def two_at_once(rng, p, m, plan, design):
    """Changes the plant and the meters by two troubles of different numbers a day; returns their numbers."""
    pool = [name for name in NAMED if not name.startswith("load")]
    pairs = np.array([rng.choice(len(pool), 2, replace=False) for _ in p["head"]])
    for k, trouble in enumerate(pool):
        hit = (pairs == k).any(axis=1)
        other = dict(p)
        marks = m | {kind: dict(m[kind]) for kind in ("times", "plus")}
        TROUBLES[trouble][1](rng, other, marks, plan, design)
        for old, new in ((p, other), (m["times"], marks["times"]), (m["plus"], marks["plus"])):
            old |= {name: np.where(hit, new[name], old[name]) for name in old}
        m["unsteady"] = np.where(hit, marks["unsteady"], m["unsteady"])
    return [tuple(TROUBLES[pool[k]][0][0] for k in pair) for pair in pairs]


def day_row(seed, name, count, builds=1.0, meters=1.0, everything=False):
    """Test days of one row, see `days`."""
    rng = np.random.default_rng([seed, [*TROUBLES, PAIR].index(name)])
    plan, design = plans(rng, count, off_best=name == "load: by design")
    if name == "battery full":
        plan["load"] = np.where(plan["load"] == "resistor", "battery", plan["load"])
        plan["load_resistance"] = np.zeros(count)
    healthy = build(rng, plan, design, builds)
    p, m = dict(healthy), fresh_meters(count)
    if name == PAIR:
        right = two_at_once(rng, p, m, plan, design)
    else:
        numbers, change = TROUBLES[name]
        right = [numbers] * count
        if change:
            change(rng, p, m, plan, design)
    person = np.array(PEOPLE)[np.arange(count) % 3]
    taken = np.ones((count, len(READINGS)), bool) if everything else taken_readings(rng, person)
    gauge = gauges(rng, plan, person)
    values = values_of(p, m)
    fine = gauge | {"class": 0 * gauge["range"], "range": 0 * gauge["range"]}
    truly = read(rng, values, plan, m, fine, worse=0)
    well = read(rng, run(healthy), plan, fresh_meters(count), fine, worse=0)
    visible = np.any((np.abs(truly - well) > stated(plan, well, gauge)) & taken, axis=1)
    if name == "load: by design":  # no reading is off: the plan itself is; three readings can say that the plan is met
        visible = taken.sum(axis=1) > 2
    readings = np.where(taken, read(rng, values, plan, m, gauge, worse=meters), 0.0)
    uncertainties = np.where(taken, stated(plan, readings, gauge), 0.0)
    return Days(plan, readings, uncertainties, person, np.repeat([name], count), right, visible, values, p)


def days(seed, rows=None, count=50, builds=1.0, meters=1.0, everything=False):
    """Test days: `count` for each name of `rows` (of `TROUBLES`, or `PAIR`). Same seed, same days.

    `builds` and `meters` multiply the scatter of building and the errors of meters; the stated uncertainties stay.
    With `everything` every reading is taken.
    """
    rows = rows or [*TROUBLES, PAIR]
    return joined([day_row(seed, name, count, builds, meters, everything) for name in rows])
