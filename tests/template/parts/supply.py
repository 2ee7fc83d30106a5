"""The sheet of `pages/supply.py` as plain Python."""

import hydrofunc as hf

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
    "water to spare all the year": {f"flow_{month}": 5.0 for month in MONTHS},
    "dry months in three pipe sections": {
        "flow_july": 0.5,
        "flow_august": 0.3,
        "length_2": 150.0,
        "bore_2": 32.6,
        "roughness_2": 0.007,
        "length_3": 40.0,
        "bore_3": 26.0,
        "roughness_3": 0.0,
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
    """Of this plant: flow that the nozzle takes; as functions of a flow: battery watts, and heads (lost, left)."""
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

    thirst = hf.operating_flow(gross_head=r["gross_head"], nozzle=v["nozzle"], **pipe, **outlet)
    return thirst, watts, lambda flow: (hf.penstock_head(flow, **pipe), needed(flow))


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    thirst, watts, heads = plant(v, r)
    r["nozzle_thirst"], r["full_watts"] = thirst, watts(thirst)
    share = 1 - v["left_in_stream"] / 100
    sources = [r["source_flow"] if v[f"flow_{month}"] is None else v[f"flow_{month}"] for month in MONTHS]
    usable = [source * share for source in sources]
    used = [min(flow, thirst) for flow in usable]
    power = [watts(flow) for flow in used]
    energy = [days * 24 * each / 1000 for days, each in zip(DAYS, power)]
    lost, before = zip(*map(heads, used))
    empty = [
        max(0.0, r["gross_head"] - one - other) if flow < thirst else 0.0
        for flow, one, other in zip(usable, lost, before)
    ]
    tables["supply_months"] = [
        list(row) for row in zip(DAYS, sources, usable, used, power, energy, empty, lost, before)
    ]
    r |= {
        "driest_flow": min(sources),
        "driest_usable": min(usable),
        "driest_left": 100 * (1 - min(used) / min(sources)) if min(sources) > 0 else 100.0,
        "months_short": sum(flow < thirst for flow in usable),
        "driest_watts": min(power),
        "year_energy": sum(energy),
        "year_watts": 1000 * sum(energy) / (24 * sum(DAYS)),
    }
    tables["flow_duration"] = []
    for shown in range(10, 100, 10):
        flow = hf.flow_exceeded(sources, shown)
        tables["flow_duration"].append([shown, flow, 365.25 * shown / 100, min(thirst, flow * share)])

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


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    usable = r["driest_usable"]
    return [
        (100 * r["nozzle_thirst"] / usable if usable > 0 else "no water in that month", 100, 200, False),
        (r["tank_starts"] or 0.0, 12, 48, False),
    ]
