"""The template's results written out by hand in numpy, as by a programmer without worksheet and engine.

The SI kernels in a straight line, for the inputs in `VARIED` and the template's own values for all others, in
blocks that stay in the processor's cache. No check of ranges, no error values, no text that varies.
"""

import numpy as np

from hydrofunc.engine.run import BLOCK
from hydrofunc.physics import alternator, cable, doubt, fittings, nozzle, operating_point, pipe, survey, water, wheel
from hydrofunc.template import INPUTS
from hydrofunc.units import to_si

VARIED = {  # lowest and highest value, in the template's units
    "static_pressure": (3.0, 10.0),
    "pipe_length": (200.0, 800.0),
    "pipe_bore": (24.0, 60.0),
    "nozzle": (4.0, 12.0),
    "pitch_diameter": (120.0, 260.0),
    "alignment": (0.6, 1.0),
    "battery_volts": (12.0, 56.0),
    "cable_length": (5.0, 80.0),
}
RPM = np.pi / 30
LISTED_FITTINGS = {
    "elbows_90": "90 elbow",
    "elbows_45": "45 elbow",
    "long_bends": "long bend",
    "gate_valves": "gate valve",
    "ball_valves": "ball valve",
    "globe_valves": "globe valve",
}


def scenarios(count):
    """Values by name for `count` scenarios, in the template's units."""
    random = np.random.default_rng(2026)
    return {name: random.uniform(low, high, count) for name, (low, high) in VARIED.items()}


def results(varied, share_solver):
    """The 28 results by name, in the units of the sheet Results, for all scenarios.

    With `share_solver` the operating point is solved once for its four results, as a programmer would;
    without, once for each of the four worksheet functions, which is the arithmetic the worksheet asks for.
    """
    return in_blocks(lambda v: plant(v, share_solver)[0], varied, BLOCK)


def in_blocks(work, varied, size):
    """What `work` gives by name for blocks of `size` scenarios, put together; it takes all inputs by name, in SI."""
    fixed = {
        item.name: item.shown if item.is_text or item.shown is None else to_si(item.shown, item.unit) for item in INPUTS
    }
    units = {item.name: item.unit for item in INPUTS}
    count = len(next(iter(varied.values())))
    whole = {}
    for start in range(0, count, size):
        part = {name: to_si(values[start : start + size], units[name]) for name, values in varied.items()}
        for name, values in work(fixed | part).items():
            whole.setdefault(name, np.empty(count))[start : start + size] = values
    return whole


def plant(v, share_solver):
    """The 28 results by name, in their units; and by name in SI what the checks go on with."""
    temperature = v["water_temperature"]
    gravity = water.gravity(v["latitude"], v["altitude"])
    gross = survey.static_head(v["static_pressure"], v["gauge_height"], temperature, gravity)
    available = survey.bucket_flow(v["bucket_volume"], v["bucket_seconds"]) * (1 - v["left_in_stream"])
    bore = v["pipe_bore"]
    roughness = fittings.roughness(v["pipe_material"], v["pipe_condition"])
    bends = fittings.fitting_loss(v["entrance"], bore) + v["other_k"]
    for name, fitting in LISTED_FITTINGS.items():
        bends = bends + v[name] * fittings.fitting_loss(fitting, bore)
    more = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0)  # no second or third section
    outlet = (v["jets"], v["velocity_coefficient"], v["contraction"])
    line = (gross, v["pipe_length"], bore, roughness)
    tail = (bends, *outlet, temperature, gravity)
    flow = nozzle.operating_flow.flat(*line, v["nozzle"], *tail, available, *more)
    net = nozzle.nozzle_head.flat(flow, v["nozzle"], *outlet, gravity)
    jet = nozzle.jet_velocity(net, v["velocity_coefficient"], gravity)
    jet_power = nozzle.jet_power(flow, jet, temperature)
    best = nozzle.best_nozzle.flat(*line, *tail, available, *more)
    lost = pipe.penstock_head.flat(flow, v["pipe_length"], bore, roughness, bends, temperature, gravity, *more)
    bends_head = pipe.minor_head(flow, bore, bends, gravity)

    phase_volts = alternator.emf_constant(v["test_volts"], v["test_speed"], v["test_connection"])
    resistance = alternator.phase_resistance(v["terminal_resistance"], v["test_connection"])
    inductance = alternator.phase_inductance(v["terminal_inductance"], v["test_connection"])
    wire = cable.cable_resistance(v["cable_length"], v["cable_area"], v["cable_material"], v["cable_temperature"])
    cups = (v["deflection"], v["cup_friction"])
    drags = (v["alignment"], v["bearing_drag"], v["windage"])
    machine = (
        flow,
        jet,
        v["pitch_diameter"],
        phase_volts,
        v["pole_pairs"],
        resistance,
        v["battery_volts"],
        inductance,
        v["connection"],
        v["diode_drop"],
        wire,
        *cups,
        *drags,
        v["iron_drag"],
        v["load"],
        0.0,
        v["controller_efficiency"],
        temperature,
    )
    if share_solver:
        speed, current, volts, watts = operating_point.operating_point.flat(*machine)
    else:
        speed = operating_point.operating_speed.flat(*machine)
        current = operating_point.operating_current.flat(*machine)
        volts = operating_point.operating_volts.flat(*machine)
        watts = operating_point.operating_power.flat(*machine)
    runaway = wheel.runaway_speed.flat(flow, jet, v["pitch_diameter"], *cups, *drags, temperature)
    runaway_volts = alternator.open_circuit_volts(runaway, phase_volts, v["connection"])
    ratio = wheel.speed_ratio(speed, v["pitch_diameter"], jet)
    efficiency = np.where(ratio > 0, wheel.cup_efficiency(ratio, *cups), 0.0)

    def power(head):
        return survey.hydraulic_power(flow, head, temperature, gravity)

    lines = {
        "gross": power(gross),
        "unfilled": power(np.maximum(0, gross - lost - net)),
        "friction": power(np.maximum(0, lost - bends_head)),
        "fittings": power(bends_head),
        "nozzle": power(net) - jet_power,
        "cups": jet_power * (1 - efficiency),
        "alignment": jet_power * efficiency * (1 - v["alignment"]),
        "windage": wheel.windage_power(speed, v["windage"]),
        "bearings": v["bearing_drag"] * speed,
        "iron": v["iron_drag"] * speed,
        "windings": alternator.copper_loss(current, resistance, v["connection"]),
        "diodes": alternator.diode_loss(current, v["diode_drop"]),
        "cable": cable.cable_loss(current, wire),
        "controller": np.zeros_like(watts),
        "battery": watts,
    }
    total = sum(lines.values()) - lines["gross"]
    on_the_way = {
        "gravity": gravity,
        "gross": gross,
        "available": available,
        "line": line,
        "tail": tail,
        "outlet": outlet,
        "flow": flow,
        "net": net,
        "jet": jet,
        "jet_power": jet_power,
        "best": best,
        "lost": lost,
        "bends_head": bends_head,
        "bends": bends,
        "roughness": roughness,
        "phase_volts": phase_volts,
        "resistance": resistance,
        "inductance": inductance,
        "wire": wire,
        "machine": machine[2:],
        "speed_ratio": ratio,
        "current": current,
        "volts": volts,
        "watts": watts,
        "runaway_volts": runaway_volts,
        "lines": lines,
        "total": total,
    }
    shown = {
        "plant_watts": watts,
        "plant_energy": 24 * watts,
        "plant_flow": 1e3 * flow,
        "plant_lost_share": 100 * lost / gross,
        "plant_best_nozzle": 1e3 * best,
        "plant_jet_power": jet_power,
        "plant_speed": speed / RPM,
        "plant_speed_ratio": ratio,
        "plant_amps": current,
        "plant_volts": volts,
        "plant_efficiency": 100 * watts / lines["gross"],
        "plant_runaway_volts": runaway_volts,
        "ledger_sum": total,
        **{f"ledger_{name}": watts for name, watts in lines.items()},
    }
    return shown, on_the_way


def doubtful_watts(known, lines, halves, middles, at_once=8):
    """Mean and standard deviation of the watts in doubt, as check "Doubt about the watts" wants them, and no more.

    `known` by name in SI, one value or one for each scenario; halves and middles (scenarios, lines) as sheet Doubt has
    them, in SI. One section of pipe, a battery as the load. What is the same in all scenarios is drawn once.
    """
    count, places = len(halves), doubt.places(len(lines))
    columns = {name: np.asarray(value).reshape(-1, 1) for name, value in known.items()}
    columns = {name: value[:1] if (value == value[0]).all() else value for name, value in columns.items()}
    once, each = dict(columns), []
    for j, line in enumerate(lines):
        half, middle = halves[:, j : j + 1], middles[:, j : j + 1]
        if not half.any() and (middle == 1).all():
            continue
        value = columns[line.name]
        if len(value) == 1 and (half == half[0]).all() and (middle == middle[0]).all():
            once[line.name] = _drawn(once[line.name], value, half[:1], middle[:1], line, places[j])
        else:
            each.append((line, half, middle, places[j]))
    mean, deviation = np.empty(count), np.empty(count)
    for start in range(0, count, at_once):
        rows = slice(start, start + at_once)
        v = {name: value[rows] if len(value) > 1 else value for name, value in once.items()}
        for line, half, middle, place in each:
            value = columns[line.name]
            value = value[rows] if len(value) > 1 else value
            v[line.name] = _drawn(v[line.name], value, half[rows], middle[rows], line, place)
        v["roughness"] = np.minimum(v["roughness"], pipe.ROUGHEST * v["bore"])
        v["nozzle"] = np.minimum(v["nozzle"], v["bore"] / np.sqrt(v["jets"]))
        section = v["length"], v["bore"], v["roughness"]
        outlet = v["nozzle"], v["jets"], v["velocity_coefficient"], v["contraction"]
        more = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
        head, temperature, gravity = v["gross_head"], v["temperature"], v["gravity"]
        flow = nozzle.operating_flow.flat(
            head, *section, v["nozzle"], v["fittings"], *outlet[1:], temperature, gravity, v["available_flow"], *more
        )
        jet = flow / nozzle.jet_area(nozzle.Outlet(*outlet))
        machine = [v[name] for name in ("phase_volts", "pole_pairs", "phase_resistance", "battery_volts")]
        cups = [v[name] for name in ("deflection", "cup_friction", "alignment", "bearing_drag", "windage", "iron_drag")]
        joined = v["phase_inductance"], v["connection"], v["diode_drop"], v["cable_resistance"]
        watts = operating_point.operating_power.flat(
            flow, jet, v["pitch_diameter"], *machine, *joined, *cups, "battery", 0.0, 1.0, temperature
        )
        mean[rows], deviation[rows] = watts.mean(axis=-1), watts.std(axis=-1)
    return mean, deviation


def _drawn(now, value, half, middle, line, place):
    """The draws of one line on top of those before it."""
    factor = doubt.factors(value[:, 0], half[:, 0], line.spread, place) * middle
    drawn = now * factor
    if line.name in doubt.WHOLE:
        drawn = np.round(drawn)
    return np.clip(drawn, *line.limits)
