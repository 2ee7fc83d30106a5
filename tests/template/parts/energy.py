"""The sheet of `pages/energy.py` as plain Python.

The run day by day is written again here as a plain loop over single numbers.
"""

import math

import hydrofunc as hf

ROWS = range(1, 11)
NO_LOADS = {f"load_{what}_{i}": None for what in ("name", "watts", "hours", "days") for i in ROWS}

SITES = {
    "no loads, no battery given": {**NO_LOADS, "battery_capacity": None, "vent_opening": None},
    "loads, and the battery they need": {
        "battery_capacity": None,
        "load_days_1": None,
        "load_days_3": 2.5,
        "load_watts_9": 60.0,
    },
    "more wanted than made": {
        "load_watts_2": 400.0,
        "load_hours_2": 20.0,
        "wheel_stops_for": 5.0,
        "rest_volts": 24.5,
        "through_battery": 80.0,
    },
    "small, cold, sealed battery": {
        "battery_capacity": 60.0,
        "battery_kind": "sealed",
        "battery_temperature": -3.0,
        "coldest_battery": -20.0,
        "depth_of_discharge": 80.0,
        "charge_rate": 5.0,
        "charge_efficiency": 85.0,
        "rest_volts": 25.0,
        "altitude": 3500.0,
        "wheel_stops_on": 30.0,
    },
    "forty-eight volts, loads beyond Peukert's rated current": {
        "battery_volts": 54.0,
        "load_watts_2": 3000.0,
        "battery_capacity": 100.0,
    },
}
STOP = {
    "Energy wanted, of what the poorest month gives": {"load_watts_2": 400.0},
    "Battery, of what loads and days need": {"battery_capacity": 100.0},
    "Charge current, of what is allowed": {"battery_capacity": 20.0},
    "Opening against hydrogen, of the one you have": {"vent_opening": 5.0},
    "Coldest night above the freezing point, emptied": {"coldest_battery": -23.0},
    "Energy missed while the wheel stands, of that wanted": {"battery_capacity": 60.0, "wheel_stops_for": 5.0},
}
GOOD = {}


def balance(v, made, wanted):
    """(direct, from the battery) of a long run in balance."""
    direct = min(made, (1 - v["through_battery"] / 100) * wanted)
    return direct, min(wanted - direct, v["charge_efficiency"] / 100 * (made - direct))


def run(v, made, wanted, full, limit):
    """(rows of the days, missed, dumped) of a run from a full battery, day by day.

    A row: state of charge at the end in %, met directly, missing to a full battery at first, charged, drawn, missing
    at the end.
    """
    stored, floor, share = full, full * (1 - v["depth_of_discharge"] / 100), v["charge_efficiency"] / 100
    rows, missed, dumped = [], 0.0, 0.0
    for gives, wants in zip(made, wanted):
        room = full - stored
        direct = min(gives, (1 - v["through_battery"] / 100) * wants)
        charged = min(gives - direct, limit, room / share)
        stored += charged * share
        drawn = min(wants - direct, max(0.0, stored - floor))
        stored -= drawn
        rows.append([100 * stored / full if full else 0.0, direct, room, charged, drawn, full - stored])
        missed += wants - direct - drawn
        dumped += gives - direct - charged
    return rows, missed, dumped


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    loads = []
    for i in ROWS:
        days = v[f"load_days_{i}"]
        on_day = (v[f"load_watts_{i}"] or 0.0) * (v[f"load_hours_{i}"] or 0.0)
        loads.append(
            [
                on_day,
                on_day * (7 if days is None else days) / 7,
                0 if on_day == 0 else 7 if days is None else math.ceil(days),
            ]
        )
    tables["loads"] = loads
    delivered = r["delivered"] = v["delivery_efficiency"] / 100
    through, efficiency = v["through_battery"] / 100, v["charge_efficiency"] / 100
    r["daily_load"] = sum(mean for _, mean, _ in loads)
    wanted = r["daily_wanted"] = r["daily_load"] / delivered
    r["daily_need"] = wanted * (1 - through + through / efficiency)
    r["daily_made"] = 24 * r["driest_watts"]

    none = v["load"] == "resistor"
    r["battery_blocks"] = 0 if none else max(1, math.floor(v["battery_volts"] / 13.5 + 0.5))
    cells = r["battery_cells"] = 6 * r["battery_blocks"]
    volts = r["nominal_volts"] = 2 * cells
    cold = r["capacity_share"] = hf.cold_capacity(v["battery_temperature"])
    depth = v["depth_of_discharge"]
    r["battery_needed"] = (
        0.0
        if none or r["daily_load"] == 0
        else hf.battery_size(r["daily_load"], v["autonomy"], volts, depth, v["delivery_efficiency"], cold)
    )
    held = r["battery_held"] = (
        0.0 if none else r["battery_needed"] if v["battery_capacity"] is None else v["battery_capacity"]
    )
    full = r["battery_energy"] = held * volts * cold / 100
    allowed = r["charge_amps_allowed"] = held * v["charge_rate"] / 100
    charging = r["charge_watts"] = min(r["battery_watts"], allowed * v["battery_volts"]) if held else 0.0
    taken = r["charge_energy"] = full / efficiency
    left = r["daily_left"] = 24 * r["battery_watts"] - r["daily_need"]
    r["days_to_charge"] = taken / charging / 24 if charging > 0 else ""
    lacks = "nothing arrives" if held else "give its capacity on sheet Energy"
    r["charging_lacks"] = "no battery" if v["load"] == "resistor" else lacks
    days = r["days_to_charge"]
    r["charging_says"] = r["charging_lacks"] if days == "" else f"{round(days, 1):.15g} days"
    r["days_to_charge_used"] = "" if not held else max(r["days_to_charge"], taken / left) if left > 0 else "never"
    r["charge_amps"] = r["full_watts"] / v["battery_volts"] if held else 0.0
    r["charge_share"] = 100 * r["charge_amps"] / held if held else 0.0
    r["charge_volts"] = (
        hf.charge_volts(v["cell_volts"], cells, v["battery_temperature"], v["compensation"]) if cells else 0.0
    )
    r["rest_state"] = hf.rest_charge(v["rest_volts"], cells) if v["rest_volts"] and cells else ""
    amps = r["mean_amps"] = wanted / 24 / volts if volts else 0.0
    r["full_hours"] = (
        min(held / amps, hf.discharge_time(held, v["rated_hours"], amps, v["peukert"])) if held * amps > 0 else 0.0
    )
    r["holds_out"] = r["full_hours"] * depth / 100 * cold / 100
    r["freezes_at"] = hf.freezing_point(100 - depth)

    r["gassing"] = {"vented": 20, "sealed": 8}[v["battery_kind"]]
    r["gas_air"] = hf.gas_ventilation(cells, held, r["gassing"]) if held else 0.0
    r["vent_needed"] = hf.gas_opening(r["gas_air"])
    r["spark_distance"] = hf.gas_distance(held, r["gassing"]) if held else ""
    kettle = {"temperature": v["water_temperature"], "altitude": v["altitude"], "heat_efficiency": v["heat_efficiency"]}
    r["boils_at"] = hf.boiling_point(v["altitude"])
    r["boil_minutes"] = hf.boil_time(v["kettle_litres"], v["kettle_watts"], **kettle)
    r["boil_by_plant"] = hf.boil_time(v["kettle_litres"], r["driest_watts"], **kettle) if r["driest_watts"] > 0 else ""

    rows = tables["energy_months"] = []
    for days, _, _, _, _, made, *_ in tables["supply_months"]:
        want = wanted * days / 1000
        direct, via = balance(v, made, want)
        rows.append([made, want, via, direct + via, made - direct - via / efficiency, want - direct - via, direct])
    r["dump_most"] = r["full_watts"]
    r["dump_mean"] = 1000 * sum(row[4] for row in rows) / (24 * 365.25)

    days = range(1, 32)
    made = [
        0.0 if v["wheel_stops_on"] <= day < v["wheel_stops_on"] + v["wheel_stops_for"] else r["daily_made"]
        for day in days
    ]
    wants = [sum(on_day for on_day, _, counted in loads if counted >= 7 - (day - 1) % 7) / delivered for day in days]
    a_day = r["day_charge"] = 24 * allowed * v["battery_volts"] if held else 0.0
    r["reserve"] = full * depth / 100
    r["runs_again_on"] = v["wheel_stops_on"] + v["wheel_stops_for"]
    rows, missed, dumped = run(v, made, wants, full, a_day)
    if not held:
        missed, dumped = sum(wants), 0.0
    tables["charge_run"] = [[day, gives, want, *row] for day, gives, want, row in zip(days, made, wants, rows)]
    r |= {"run_lowest": min(row[0] for row in rows) if held else "", "run_missing": missed, "run_dumped": dumped}
    r["run_wanted_in_all"] = sum(wants)


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    held, made, need = r["battery_held"], r["daily_made"], r["daily_need"]
    opening = 100 * r["vent_needed"] / v["vent_opening"] if v["vent_opening"] else "no opening given"
    wanted = r["run_wanted_in_all"]
    return [
        (0.0 if need == 0 else 100 * need / made if made > 0 else "nothing is made", 85, 100, False),
        (100 * held / r["battery_needed"] if held and r["battery_needed"] else 100.0, 99.9, 50, True),
        (100 * r["charge_share"] / v["charge_rate"] if held else 0.0, 80, 100, False),
        (opening if held else 0.0, 80, 100, False),
        (v["coldest_battery"] - r["freezes_at"] if held else 100.0, 10, 3, True),
        (100 * r["run_missing"] / wanted if wanted > 0 else 0.0, 0.001, 5, False),
    ]
