"""The sheet of `pages/supply.py` as plain Python."""

import itertools
import math

import numpy as np

import hydrofunc as hf
from tests.template.parts import route

MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
DAYS = (31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
NO_MONTHS = {f"flow_{month}": None for month in MONTHS}

SITES = {
    "no months known, no tank": {**NO_MONTHS, "tank_volume": None},
    "a winter without water": {"flow_january": 0.0, "flow_february": 0.05, "flow_march": 0.6},
    "a flow that must stay, more of it in summer, nozzles at hand": {
        "left_flow": 0.3,
        "left_july": 0.9,
        "left_august": 1.0,
        "left_september": 0.8,
        "flow_january": 0.9,
        **{f"nozzle_size_{i}": size for i, size in enumerate((4.0, 5.0, 5.5, 9.0, 60.0), start=1)},
    },
    "a break of one's own, a small source, a box": {
        "break_along_2": 100.0,
        "break_below_2": 30.0,
        "break_along_3": 500.0,
        "break_below_3": 40.0,
        "bucket_seconds": 30.0,
        "intake_box": 400.0,
    },
    "water to spare all the year": {f"flow_{month}": 5.0 for month in MONTHS},
    "dry months in three pipe sections": {
        "flow_july": 0.5,
        "flow_august": 0.3,
        "length_2": 150.0,
        "bore_2": 32.6,
        "roughness_2": 0.007,
        "length_3": 40.0,
        "bore_3": 26.0,
        "roughness_3": 0.001,
        "tank_volume": 500.0,
        "tank_hours": 0.5,
        "tank_depth": 0.6,
        "tank_hole": 25.0,
    },
}
STOP = {
    "Nozzle's thirst, of what the driest month gives": {"flow_august": 0.4},
    "Starts of the jet in a day, from the tank": {"flow_august": 0.5, "tank_volume": 200.0},
}
GOOD = {"Nozzle's thirst, of what the driest month gives": {"flow_september": 1.3}}


def given(v, *names):
    return {name: v[name] for name in names if v[name] is not None}


def plant(v, r):
    """Flow that the nozzle takes; as functions of a flow: battery watts, heads (lost, left), the best nozzle."""
    water = {"temperature": v["water_temperature"], "gravity": r["gravity"]}
    pipe = {
        "length": v["pipe_length"],
        "bore": r["bore_used"],
        "roughness": r["roughness_used"],
        "fittings": r["fittings_k"],
        **given(v, "length_2", "bore_2", "roughness_2", "length_3", "bore_3", "roughness_3"),
        **water,
    }
    outlet = given(v, "jets", "velocity_coefficient", "contraction")
    machine = {
        **given(
            v,
            "pitch_diameter",
            "deflection",
            "cup_friction",
            "alignment",
            "bearing_drag",
            "windage",
            "pole_pairs",
            "connection",
            "diode_drop",
            "load",
            "controller_efficiency",
            "iron_drag",
            "battery_volts",
            "load_resistance",
        ),
        **{name: r[name] for name in ("phase_volts", "phase_resistance", "phase_inductance", "cable_resistance")},
        "temperature": v["water_temperature"],
    }

    def needed(flow):
        return hf.nozzle_head(flow, v["nozzle"], gravity=r["gravity"], **outlet)

    def watts(flow):
        jet = hf.jet_velocity(needed(flow), v["velocity_coefficient"], r["gravity"])
        return hf.operating_power(flow=flow, jet_velocity=jet, **machine)

    def best_nozzle(flow):
        return hf.best_nozzle(gross_head=r["gross_head"], available_flow=flow, **pipe, **outlet)

    thirst = hf.operating_flow(gross_head=r["gross_head"], nozzle=v["nozzle"], **pipe, **outlet)
    return thirst, watts, lambda flow: (hf.penstock_head(flow, **pipe), needed(flow)), best_nozzle


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    thirst, watts, heads, best_nozzle = plant(v, r)
    r["nozzle_thirst"], r["full_watts"] = thirst, watts(thirst)
    share = 1 - v["left_in_stream"] / 100
    sources = [r["source_flow"] if v[f"flow_{month}"] is None else v[f"flow_{month}"] for month in MONTHS]
    must_stay = [v["left_flow"] if v[f"left_{month}"] is None else v[f"left_{month}"] for month in MONTHS]
    usable = [max(0.0, min(source * share, source - left)) for source, left in zip(sources, must_stay)]
    used = [min(flow, thirst) for flow in usable]
    power = [watts(flow) for flow in used]
    energy = [days * 24 * each / 1000 for days, each in zip(DAYS, power)]
    lost, before = zip(*map(heads, used))
    empty = [
        max(0.0, r["gross_head"] - one - other) if flow < thirst else 0.0
        for flow, one, other in zip(usable, lost, before)
    ]
    tables["supply_months"] = [
        list(row) for row in zip(DAYS, sources, usable, used, power, energy, empty, lost, before, must_stay)
    ]
    r |= {
        "driest_flow": min(sources),
        "driest_usable": min(usable),
        "driest_left": 100 * (1 - min(used) / min(sources)) if min(sources) > 0 else 100.0,
        "driest_stays": min(sources) - min(used),
        "months_short": sum(flow < thirst for flow in usable),
        "driest_watts": min(power),
        "year_energy": sum(energy),
        "year_watts": 1000 * sum(energy) / (24 * sum(DAYS)),
    }
    stays = [source - flow for source, flow in zip(sources, used)]
    _nozzles(v, r, tables, {"must stay": must_stay, "usable": usable, "stays": stays}, best_nozzle)
    tables["flow_duration"] = []
    for shown in range(10, 100, 10):
        flow = hf.flow_exceeded(sources, shown)
        tables["flow_duration"].append(
            [shown, flow, 365.25 * shown / 100, min(thirst, max(0.0, min(flow * share, flow - v["left_flow"])))]
        )

    _breaks(v, r, tables)
    tank, inflow = v["tank_volume"], r["driest_usable"]
    turns = tank is not None and inflow < thirst
    r |= {
        "tank_short": max(0.0, thirst - inflow),
        "tank_needed": max(0.0, thirst - inflow) * 3600 * v["tank_hours"],
        "tank_share": 100 * min(1.0, inflow / thirst),
        "tank_run": hf.tank_running_time(tank, thirst, inflow) if turns else "",
        "tank_fill": hf.tank_refill_time(tank, inflow) if tank is not None and inflow > 0 else "",
        "tank_starts": hf.tank_runs(tank, thirst, inflow) if turns else "",
        "tank_drained": (
            ""
            if tank is None
            else hf.tank_emptying_time(
                tank / 1000 / v["tank_depth"], v["tank_hole"], v["tank_depth"], gravity=r["gravity"]
            )
        ),
    }
    r["tank_watts"] = r["full_watts"] * r["tank_share"] / 100
    r["tank_gain"] = r["tank_watts"] - r["driest_watts"]


def _nozzles(v, r, tables, flows, best_nozzle):
    """The nozzle of every month, and the best one or two of a year, every pair and season tried one by one."""
    typed = [v[f"nozzle_size_{i}"] for i in range(1, 13)]
    known = [size for size in typed if size is not None]
    rows, sizes = [], [v["nozzle"]]
    for i, flow in enumerate(flows["usable"]):
        try:
            best = best_nozzle(flow)
        except hf.InputError:
            best = v["nozzle"]
        step = v["fine_drill_step" if best < v["fine_drills_to"] else "drill_step"]
        at_hand = 0.0 if not known else max(known) if typed[i] is None else typed[i]
        sizes.append(at_hand if known else max(step, math.floor(float(f"{best / step:.15g}") + 0.5) * step))
        rows.append((best, step, at_hand))
    days, usable = np.array(DAYS), np.array(flows["usable"])
    weights = days / days.sum()
    gives = {}
    for size in sizes:
        if size <= r["outlet_bore"]:
            thirst, watts, *_ = plant(v | {"nozzle": size}, r)
            gives[size] = watts(np.minimum(usable, thirst))
    year = {size: float(gives[size] @ weights) for size in sorted(gives)}
    one = max(year, key=year.get)
    two, dry, wet, first, last = year[one], one, one, 0, 0
    for small, large in itertools.combinations(sorted(gives), 2):
        for start, length in itertools.product(range(12), range(1, 12)):
            season = [(start + month) % 12 for month in range(length)]
            fitted = gives[large].copy()
            fitted[season] = gives[small][season]
            if fitted @ weights > two * (1 + 1e-9):
                two, dry, wet, first, last = fitted @ weights, small, large, start + 1, season[-1] + 1
    r |= {
        "year_nozzle": one,
        "year_nozzle_watts": year[one],
        "dry_nozzle": dry,
        "wet_nozzle": wet,
        "dry_from": float(first),
        "dry_to": float(last),
        "two_nozzles_watts": float(two),
        "two_nozzles_gain": (two - year[one]) * 24 * days.sum() / 1000,
        "two_nozzles_over_now": (two - r["year_watts"]) * 24 * days.sum() / 1000,
        "every_nozzle_watts": float(np.max(list(gives.values()), axis=0) @ weights),
        "dry_says": "one nozzle is enough",
    }
    if first:
        r["dry_says"] = f"{MONTHS[first - 1].capitalize()} to the end of {MONTHS[last - 1].capitalize()}"
    answers = [
        r[name] for name in ("year_nozzle", "year_nozzle_watts", "dry_nozzle", "wet_nozzle", "two_nozzles_watts")
    ]
    answers += [r[name] for name in ("dry_from", "dry_to", "every_nozzle_watts")]
    tables["season"] = [[v["nozzle"], answers[0]]]
    for i, (best, step, at_hand) in enumerate(rows):
        since, lasts = (i + 1 - first) % 12, (last - first) % 12
        nozzle = dry if first and since <= lasts else wet
        watts = float(gives[nozzle][i])
        tables["season"].append(
            [
                *(flows["must stay"][i], flows["stays"][i], best, sizes[i + 1], nozzle, watts),
                *(DAYS[i] * 24 * watts / 1000, flows["usable"][i], nozzle, step, i + 1.0, at_hand),
                *(float(since), float(lasts)),
                *answers[i + 1 : i + 2],
            ]
        )


def _breaks(v, r, tables):
    """Flow out of a pipe that is broken off, and what comes of it."""
    line = {"roughness": r["roughness_used"], "fittings": r["fittings_k"], "temperature": v["water_temperature"]}
    line |= {"bore": r["bore_used"], "gravity": r["gravity"]}
    line |= {"velocity_coefficient": 1.0, "contraction": 1.0, "jets": 1.0}
    more = given(v, "length_2", "bore_2", "roughness_2", "length_3", "bore_3", "roughness_3")
    whole = v["pipe_length"] + (v["length_2"] or 0.0) + (v["length_3"] or 0.0)
    lengths = [v["length_2"] or 0.0, v["length_3"] or 0.0]

    def reached(along):
        """[length of the first section, bore there, lengths of the others] of the pipe as far as there."""
        first, second = v["pipe_length"], v["pipe_length"] + lengths[0]
        bore = r["bore_used"] if along <= first else (v["bore_2"] if along <= second else v["bore_3"]) or 0.0
        further = [min(lengths[0], max(0.0, along - first)), min(lengths[1], max(0.0, along - second))]
        return [min(along, first), bore, *further]

    def broken(along, below):
        """(flow out, what counts for it) of the pipe broken off there."""
        length, bore, *further = reached(min(along, whole))
        cut = more | {f"length_{i}": further[i - 2] for i in (2, 3) if f"length_{i}" in more}
        flow = hf.operating_flow(gross_head=below, length=length, nozzle=bore, **line, **cut)
        return flow, [below, length, bore, *further]

    end, counted = broken(whole, r["gross_head"])
    tables["breaks"] = [[], [whole, r["gross_head"], end, *counted, 1.0, 1.0, 1.0]]
    flows, alongs = [end], [whole]
    for i in (2, 3):
        along, below = v[f"break_along_{i}"], v[f"break_below_{i}"]
        if along is not None and below is not None and along <= whole:
            flow, counted = broken(along, below)
            flows, alongs = [*flows, flow], [*alongs, along]
        else:
            flow, counted = "", ["none", *reached(along or 0.0)]
        tables["breaks"].append([flow, *counted, 1.0, 1.0, 1.0])
    # Every point of the route is broken off in turn: where most runs out is the place that the sheet must find.
    tried, known = [], r | {"whole_length": whole, "water_level": v["nozzle_level"] + r["gross_head"]}
    for i in route.POINTS:
        if route.state(v, known, i)[0] == "used":
            along, below = v[f"chainage_{i}"], known["water_level"] - v[f"level_{i}"]
            if along > 0 and below > 0:
                tried.append((*broken(along, below), along, below))
    if tried:
        flow, counted, along, below = max(tried, key=lambda one: one[0])
        flows, alongs = [*flows, flow], [*alongs, along]
    else:
        flow, counted, along, below = "", ["none", 0.0, r["bore_used"], 0.0, 0.0], "", ""
    tables["breaks"].append([along, below, flow, *counted, 1.0, 1.0, 1.0])
    r["burst_at"] = alongs[flows.index(max(flows))]
    out, source = max(flows), r["source_flow"]
    stored = (v["intake_box"] or 0.0) + (v["tank_volume"] or 0.0)
    bores = [(r["bore_used"], v["pipe_length"]), *((v[f"bore_{i}"] or 0.0, v[f"length_{i}"] or 0.0) for i in (2, 3))]
    r["burst_flow"], r["burst_hour"] = out, 3600 * min(out, source) / 1000
    r["burst_empty"] = stored / (out - source) / 60 if out > source else "never: more flows in"
    r["burst_pipe"] = math.pi / 4 * sum(bore**2 * length for bore, length in bores) / 1000
    r["burst_saved"] = max(0.0, 24 * r["burst_hour"] - r["burst_pipe"] / 1000)


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    usable = r["driest_usable"]
    return [
        (100 * r["nozzle_thirst"] / usable if usable > 0 else "no water in that month", 100, 200, False),
        (r["tank_starts"] or 0.0, 12, 48, False),
    ]
