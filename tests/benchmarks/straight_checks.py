"""The three results that `straight_line` leaves out, by hand in numpy too: both counts of checks, the nozzle at hand.

For the template's own example with the inputs of `straight_line.VARIED`: what hangs on an input that nobody gave there
(the wall of the pipe, a second survey of the head, the fuse fitted, the test day, the log, ...) says "not looked at" in
every scenario and is left out, as whoever writes a straight line leaves it out.
"""

from typing import NamedTuple

import numpy as np

from hydrofunc.physics import (
    alternator,
    battery,
    electrical_safety,
    housing,
    nozzle,
    operating_point,
    parts,
    pipe,
    route,
    strength,
    supply,
    survey,
    wheel,
)
from hydrofunc.physics.doubt import Line

from .straight_line import doubtful_watts, in_blocks, plant

BLOCK = 1_024
NOZZLES, DRILLS = 15, 12  # tried round the one that is there; sizes at hand
PLENTY = 1.0  # m³/s, more than any nozzle takes
NORMAL_95 = 1.96
DAY, HOUR, YEAR = 86400.0, 3600.0, 365.25 * 86400.0
MONTHS = "january february march april may june july august september october november december".split()
NO_MORE = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0)  # no second or third section


class Check(NamedTuple):
    """A number to judge. NaN: it says stop; the scenarios in which nothing is judged are in `waits`."""

    value: np.ndarray | float
    good: float
    stop: float
    low_is_bad: bool = False
    waits: np.ndarray | bool = False


def everything(varied):
    """All 31 outputs of a sweep by default, by name and in the units of the sheet Results."""
    return in_blocks(_block, varied, BLOCK)


def _block(v):
    shown, r = plant(v, share_solver=True)
    stop = look = np.zeros(len(r["watts"]), dtype=int)
    for value, good, limit, low_is_bad, waits in _checks(v, r):
        value = -value if low_is_bad else value
        good, limit = (-good, -limit) if low_is_bad else (good, limit)
        stops = ~(value <= limit) & ~np.asarray(waits)
        stop = stop + stops
        look = look + ((value > good) & ~stops & ~np.asarray(waits))
    return shown | {"plant_best_at_hand": _at_hand(v, r), "checks_stop": stop, "checks_look": look}


def _solve(v, r, flow, lanes=..., machine=None, size=None):
    """Watts into the battery at a flow, of these scenarios, with another nozzle or another machine."""
    size = v["nozzle"] if size is None else size
    jet = nozzle.jet_velocity(
        nozzle.nozzle_head.flat(flow, _of(size, lanes), *r["outlet"], r["gravity"]),
        v["velocity_coefficient"],
        r["gravity"],
    )
    machine = [_of(value, lanes) for value in machine or r["machine"]]
    return operating_point.operating_power.flat(flow, jet, *machine)


def _of(value, lanes):
    """The value in these scenarios, of one that may be the same in all."""
    return value[lanes] if np.ndim(value) else value


def _solve_some(v, r, flow, lanes, otherwise):
    """Watts at `flow` in these scenarios (a mask), `otherwise` in the others."""
    watts = np.array(otherwise)
    if lanes.any():
        watts[lanes] = _solve(v, r, np.broadcast_to(flow, lanes.shape)[lanes], lanes)
    return watts


def _at_hand(v, r):
    """The size at hand that gives most, of drills round the best of nozzles tried. [mm]"""

    def column(value):
        return value[:, None] if np.ndim(value) else value

    line, tail = ([column(value) for value in r[part]] for part in ("line", "tail"))
    machine = [column(value) for value in r["machine"]]
    widest = column(v["pipe_bore"] / np.sqrt(v["jets"]))

    def watts(sizes):
        flow = nozzle.operating_flow.flat(*line, sizes, *tail, r["available"], *NO_MORE)
        return _solve(v, r, flow, machine=machine, size=sizes)

    steps = v["nozzle_span"] ** (2 / (NOZZLES - 1))
    tried = np.minimum(widest, column(v["nozzle"]) / v["nozzle_span"] * steps ** np.arange(NOZZLES))
    lane = np.arange(len(tried))
    proposed = 1e3 * tried[lane, watts(tried).argmax(axis=1)]
    step = np.where(proposed < 1e3 * v["fine_drills_to"], 1e3 * v["fine_drill_step"], 1e3 * v["drill_step"])
    middle = np.floor(proposed / step + 0.5)
    sizes = step[:, None] * np.maximum(1, middle[:, None] + np.arange(-5, DRILLS - 5))
    fits = sizes <= 1e3 * widest
    given = np.where(fits, watts(np.minimum(sizes / 1e3, widest)), -np.inf)
    return np.where(fits.any(axis=1), sizes[lane, given.argmax(axis=1)], proposed)


def _checks(v, r):
    """Every check that has something to judge, in the order of the sheet Checks."""
    full = nozzle.operating_flow.flat(*r["line"], v["nozzle"], *r["tail"], PLENTY, *NO_MORE)
    full_watts = _solve_some(v, r, full, r["flow"] < full, r["watts"])
    months = [v[f"flow_{month}"] for month in MONTHS]
    driest = max(0.0, min(min(flow * (1 - v["left_in_stream"]), flow - v["left_flow"]) for flow in months))
    # More water in the pipe makes a faster jet and more watts: the driest month is the poorest.
    driest_watts = _solve_some(v, r, driest, driest < full, full_watts)

    def check(value, name, **more):
        return Check(value, v[f"good_{name}"], v[f"stop_{name}"], **more)

    yield check(full / r["available"], "water_taken")
    yield check(v["nozzle"] / r["best"], "nozzle_size")
    yield check(r["lost"] / r["gross"], "head_lost")
    rest = survey.static_pressure(r["gross"], v["water_temperature"], r["gravity"])
    yield check(rest / v["pipe_rating"], "static_share")
    jet = nozzle.jet_diameter(v["nozzle"], v["contraction"])
    yield check(wheel.jet_ratio(v["pitch_diameter"], jet), "jet_ratio", low_is_bad=True)
    yield check(np.abs(r["speed_ratio"] - v["best_ratio"]), "speed_ratio")
    yield Check(r["watts"], 1.0, 1e-6, low_is_bad=True)
    overlap = alternator.overlap_angle(
        r["current"], r["phase_volts"], v["pole_pairs"], r["inductance"], v["connection"]
    )
    yield Check(np.degrees(overlap), 35.0, 60.0)
    yield check(r["runaway_volts"] / v["voltage_limit"], "runaway_share")
    yield check(r["runaway_volts"], "runaway_touch")
    yield check(r["current"] / v["current_limit"], "current_share")
    yield check(_over(r["current"] * r["wire"], r["volts"]), "cable_drop")
    yield Check(np.abs(r["total"] / r["lines"]["gross"] - 1), 1e-9, 1e-9)
    yield check(full / driest, "month_thirst")
    yield check(supply.tank_runs(v["tank_volume"], full, driest), "jet_starts")
    yield from _on_the_route(v, r, full, check)
    drags = sum(r["lines"][name] for name in ("bearings", "iron", "windage"))
    yield check(_over(drags, r["jet_power"]), "drag_share")
    outside = v["pitch_diameter"] + wheel.cup_width(jet, v["cup_width_factor"])
    level = housing.outlet_level(
        full,
        v["outlet"],
        v["opening_width"],
        v["opening_height"],
        v["blocked_share"],
        v["hole_discharge"],
        r["gravity"],
    )
    yield check(v["wheel_height"] - outside / 2 - level - v["flood_level"], "cup_air", low_is_bad=True)
    yield from _of_electricity(v, r, check)
    yield from _of_energy(v, r, full_watts, driest_watts, check)
    yield _price(v, r, check)
    yield _of_the_doubt(v, r)


def _over(value, other):
    """0 where there is nothing to divide by."""
    return np.divide(value, other, out=np.zeros_like(other), where=other > 0)


def _on_the_route(v, r, full, check):
    points = [i for i in range(1, 41) if v[f"chainage_{i}"] is not None]
    chainage, level = (np.array([v[f"{what}_{i}"] for i in points]) for what in ("chainage", "level"))
    gross, whole = r["gross"][:, None], v["pipe_length"][:, None]
    water_level = v["nozzle_level"] + gross
    used = (chainage <= (1 + v["route_over"]) * whole) & (np.abs(level - water_level) <= v["route_level_span"])
    used &= np.diff(chainage, prepend=-1.0) > 0
    count = used.sum(axis=1)
    bad, none, alone = len(points) - count, count == 0, count < 2
    yield Check(np.where(bad > 0, 1 + bad, np.where(alone, 1, 0)), 0.0, 1.0, waits=none & (bad == 0))

    there = np.minimum(chainage, whole)
    friction = pipe.friction_head(
        r["flow"], v["pipe_length"], v["pipe_bore"], r["roughness"], v["water_temperature"], r["gravity"]
    )
    lost = r["bends_head"][:, None] + (friction / v["pipe_length"])[:, None] * there
    moving = route.velocity_head(r["flow"], v["pipe_bore"], r["gravity"])[:, None]
    over = np.where(used, water_level - np.where(chainage > 0, lost + moving, 0.0) - level, np.inf)
    unused = np.where(r["flow"] < full, np.maximum(0, r["gross"] - r["lost"] - r["net"]), 0.0)[:, None]
    below = np.minimum.accumulate(over[:, ::-1], axis=1)[:, ::-1]
    lowest = (over - np.maximum(0, np.minimum(unused, below))).min(axis=1)
    usable = route.available_suction(
        v["altitude"] + r["gross"], v["water_temperature"], r["gravity"], v["suction_margin"]
    )
    yield check(np.maximum(0, -lowest) / usable, "route_suction", waits=none)
    rest = route.gauge_pressure(water_level - level, v["water_temperature"], r["gravity"])
    rating = v["pipe_rating"] * strength.temperature_factor(v["pipe_material"], v["wall_temperature"])
    yield check(np.where(used, rest / rating, 0.0).max(axis=1), "route_rest", waits=none)
    yield Check(r["gross"] / v["pipe_length"], 1.0, 1.0)
    end = np.where(used, chainage, 0.0).max(axis=1)
    yield check(np.abs(end / v["pipe_length"] - 1), "route_length", waits=alone)
    first, last = used.argmax(axis=1), used.shape[1] - 1 - used[:, ::-1].argmax(axis=1)
    yield check(np.abs((level[first] - level[last]) / r["gross"] - 1), "route_fall", waits=alone)


def _of_electricity(v, r, check):
    carries = electrical_safety.cable_ampacity(v["cable_area"], v["cable_material"], v["cable_laid"], v["cable_around"])
    yield check(r["current"] / carries, "cable_load")
    jet = nozzle.jet_velocity(r["gross"], v["velocity_coefficient"], r["gravity"])
    speed = wheel.runner_speed(jet, v["pitch_diameter"], 1.0)
    cold = 1 + v["magnet_drift"] * max(0.0, v["bench_temperature"] - v["coldest"])
    worst = cold * alternator.open_circuit_volts(speed, r["phase_volts"], v["connection"])
    joined = "delta" if v["connection"] == "star" else "star"
    other = cold * alternator.open_circuit_volts(speed, r["phase_volts"], joined)
    yield Check(np.maximum(worst, v["dump_volts"]) / v["fuse_volts"], 1.0, 1.0)
    yield Check(v["dump_volts"] / v["bank_resistance"] / v["fuse_breaks"], 1.0, 1.0)
    yield check(worst / v["voltage_limit"], "worst_open")
    yield check(worst / electrical_safety.touch_limit(v["touch_place"]), "worst_touch")
    yield check(other / v["voltage_limit"], "other_joint")
    each = electrical_safety.dump_power(v["dump_volts"], v["resistor_ohms"])
    yield check(each / v["resistor_watts"], "resistor_share")


def _loads(v):
    """Of each load: energy of a day on which it is used [J], days of a week."""
    rows = [i for i in range(1, 11) if v[f"load_watts_{i}"] is not None]
    return [(v[f"load_watts_{i}"] * v[f"load_hours_{i}"], v[f"load_days_{i}"]) for i in rows]


def _of_energy(v, r, full_watts, driest_watts, check):
    loads, held = _loads(v), v["battery_capacity"]
    daily = sum(energy * days / 7 for energy, days in loads)
    through, efficiency = v["through_battery"], v["charge_efficiency"]
    need, made = daily / v["delivery_efficiency"] * (1 - through + through / efficiency), DAY * driest_watts
    yield check(np.divide(need, made, out=np.full_like(made, np.nan), where=made > 0), "energy_share")
    blocks = np.maximum(1, np.floor(v["battery_volts"] / v["block_volts"] + 0.5))
    cells = v["block_cells"] * blocks
    nominal, depth = 2 * cells, v["depth_of_discharge"]
    cold = battery.cold_capacity(v["battery_temperature"])
    wanted = battery.battery_size(daily, v["autonomy"], nominal, depth, v["delivery_efficiency"], cold)
    yield check(held / wanted, "battery_size", low_is_bad=True)
    amps = full_watts / v["battery_volts"]
    yield check(amps / (held / HOUR * v["charge_rate"]), "charge_current")
    gassing = v["gassing_vented"] if v["battery_kind"] == "vented" else v["gassing_sealed"]
    opening = battery.gas_opening(battery.gas_ventilation(cells, held, gassing))
    yield check(opening / v["vent_opening"], "vent_share")
    yield check(v["coldest_battery"] - battery.freezing_point(1 - depth), "frost_margin", low_is_bad=True)

    full = held * nominal * cold
    a_day = DAY * held / HOUR * v["charge_rate"] * v["battery_volts"]
    stands = v["wheel_stops_on"], v["wheel_stops_on"] + v["wheel_stops_for"] / DAY
    missing, missed, whole = np.zeros_like(full), np.zeros_like(full), 0.0
    for day in range(1, 32):
        wants = sum(energy for energy, days in loads if days >= 7 - (day - 1) % 7) / v["delivery_efficiency"]
        gives = 0.0 * made if stands[0] <= day < stands[1] else made
        direct = np.minimum(gives, (1 - through) * wants)
        charged = np.minimum(np.minimum(gives - direct, a_day), missing / efficiency) * efficiency
        drawn = np.minimum(wants - direct, np.maximum(0, full * depth - missing + charged))
        missing = missing - charged + drawn
        missed, whole = missed + (wants - direct - drawn), whole + wants
    yield check(missed / whole, "energy_missed")


def _price(v, r, check):
    """What a kilowatt-hour costs, over another source's price; where nothing is made it says stop."""
    full = list(r["machine"])
    full[4] = v["dump_volts"]
    need = np.maximum(r["watts"], _solve(v, r, r["flow"], machine=full))
    ohms = electrical_safety.dump_resistance(v["dump_margin"] * np.where(need > 0, need, 1.0), v["dump_volts"])
    resistors = np.where(need > 0, np.ceil(v["resistor_ohms"] / ohms), 0.0)
    named = "fittings intake nozzle_set wheel housing alternator controller battery fuse small carriage work".split()
    total = sum(v[f"{name}_count"] * v[f"{name}_price"] for name in named)
    total = total + v["pipe_length"] * v["pipe_price"] + v["cable_length"] * v["cable_price"]
    total = total + resistors * v["dump_price"]
    again = parts.replacement_worth(
        v["battery_count"] * v["battery_price"], v["battery_years"], v["plant_years"], v["interest_rate"]
    )
    energy = r["watts"] * YEAR * v["running_share"]
    price = parts.energy_cost(
        total + again, v["upkeep"], np.where(energy > 0, energy, np.nan), v["plant_years"], v["interest_rate"]
    )
    return check(price / v["other_price"], "kwh_share")


def _of_the_doubt(v, r):
    known, lines, halves = _in_doubt(v, r)
    mean, deviation = doubtful_watts(known, lines, halves, np.ones_like(halves))
    return Check(_over(NORMAL_95 * deviation, mean), 0.3, 1.5)


def _in_doubt(v, r):
    """Inputs of the watts by name, the lines in doubt, and half of the range of each (scenarios, lines). [SI]

    As sheet Doubt has them, with ± as measured for all that is given, which here is all but roughness and temperature.
    """
    known = {
        "gross_head": r["gross"],
        "available_flow": r["available"],
        "length": v["pipe_length"],
        "bore": v["pipe_bore"],
        "roughness": r["roughness"],
        "fittings": r["bends"],
        "temperature": v["water_temperature"],
        "phase_volts": r["phase_volts"],
        "phase_resistance": r["resistance"],
        "phase_inductance": r["inductance"],
        "cable_resistance": r["wire"],
        "gravity": r["gravity"],
    }
    same = """nozzle jets velocity_coefficient contraction pitch_diameter deflection cup_friction alignment bearing_drag
    windage iron_drag pole_pairs connection diode_drop battery_volts controller_efficiency""".split()
    known |= {name: v[name] for name in same}
    scale = np.maximum(v["usual_gauge_range"], 2 * v["static_pressure"])
    head = survey.static_head(v["gauge_class"] * scale, 0.0, v["water_temperature"], r["gravity"])
    timed = v["bucket_half"] + v["watch_half"] / v["bucket_seconds"]
    wire = np.sqrt(
        (v["cable_half"] / np.maximum(1, v["cable_length"])) ** 2
        + (v["copper_rise"] * v["warmth_half"]) ** 2
        + v["joints_half"] ** 2
    )
    rows = (
        ("gross_head", "normal", head, (0, 1500)),
        ("available_flow", "lognormal", timed * r["available"], (0, 1)),
        ("available_flow", "rectangular", 0.0, (0, 1)),  # by the share left in the stream
        ("length", "normal", v["length_half"] * v["pipe_length"], (0, 20000)),
        ("bore", "normal", v["own_bore_half"] * v["pipe_bore"], (0, 2)),
        ("roughness", "lognormal", v["new_rough_half"] * r["roughness"], (0, 0.02)),
        ("fittings", "lognormal", v["counted_k_half"] * r["bends"], (0, 1000)),
        ("temperature", "rectangular", 8.0, (273.15, 313.15)),
        ("nozzle", "lognormal", 0.01 * v["nozzle"], (0, 0.5)),
        ("velocity_coefficient", "rectangular", 0.02, (0.5, 1)),
        ("contraction", "rectangular", 0.03, (0.5, 1)),
        ("pitch_diameter", "lognormal", 0.01 * v["pitch_diameter"], (0, 5)),
        ("deflection", "rectangular", np.radians(3), (np.pi / 2, np.pi)),
        ("cup_friction", "rectangular", 0.05, (0, 1)),
        ("alignment", "rectangular", 0.05, (0, 1)),
        ("bearing_drag", "lognormal", 0.2 * v["bearing_drag"], (0, 100)),
        ("windage", "lognormal", 0.5 * v["windage"], (0, np.inf)),
        ("iron_drag", "lognormal", 0.2 * v["iron_drag"], (0, 100)),
        ("phase_volts", "lognormal", v["bench_volts_half"] * r["phase_volts"], (0, np.inf)),
        ("phase_resistance", "lognormal", v["bench_ohms_half"] * r["resistance"], (0, 1000)),
        ("phase_inductance", "lognormal", v["bench_henries_half"] * r["inductance"], (0, 1)),
        ("pole_pairs", "rectangular", 0.0, (1, 100)),
        ("diode_drop", "rectangular", 0.05, (0, 5)),
        ("cable_resistance", "rectangular", wire * r["wire"], (0, 1000)),
        ("battery_volts", "rectangular", 0.03 * v["battery_volts"], (0, 1000)),
        ("load_resistance", "rectangular", 0.0, (0, 1e5)),
        ("controller_efficiency", "rectangular", 0.0, (0, 1)),
    )
    lines = [Line(name, how, limits) for name, how, _, limits in rows]
    count = len(r["watts"])
    return known, lines, np.column_stack([np.broadcast_to(half, count) for _, _, half, _ in rows])
