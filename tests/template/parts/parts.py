"""The sheet of `pages/parts.py` as plain Python."""

import math

import hydrofunc as hf

SITES = {
    "three sections, own mass, no interest": {
        "length_2": 150.0,
        "bore_2": 32.6,
        "roughness_2": 0.007,
        "length_3": 40.0,
        "bore_3": 26.0,
        "roughness_3": 0.001,
        "own_pipe_kg": 0.5,
        "own_pipe_kg_3": 0.25,
        "interest_rate": 0.0,
        "currency_name": "shells",
    },
    "energy that never pays": {"other_price": 0.01, "cable_length": 0.0},
}
STOP = {
    "Heaviest single load": {"battery_block": 60.0},
    "A kilowatt-hour, of another source's price": {"other_price": 0.02},
}
GOOD = {"Heaviest single load": {"battery_block": 15.0}}
_NAMES = (
    "pipe pipe_2 pipe_3 fittings intake nozzle_set wheel housing alternator controller cable battery dump fuse "
    "small carriage work"
).split()


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    kind = (v["pipe_standard"], v["pipe_size"], v["pipe_class"])
    outside, wall = r["weighed_outside"], r["weighed_wall"] = hf.pipe_outside(*kind), hf.pipe_wall(*kind)
    r["pipe_kg"] = v["own_pipe_kg"] or hf.pipe_mass(outside, wall, 1, v["pipe_material"])
    for i in (2, 3):
        like_main = r["pipe_kg"] * ((v[f"bore_{i}"] or 0) / r["bore_used"]) ** 2
        r[f"pipe_kg_{i}"] = (v[f"own_pipe_kg_{i}"] or like_main) if (v[f"length_{i}"] or 0) > 0 else 0.0
    r["cable_kg"] = hf.cable_mass(v["cable_length"], v["cable_area"], v["cable_material"], v["cable_covering"])

    r["cable_metre_kg"] = r["cable_kg"] / v["cable_length"] if v["cable_length"] > 0 else 0.0
    r["pipe_to_buy"] = v["pipe_length"]
    r["resistors_to_buy"] = r["resistors_used"] if not isinstance(r["resistors_used"], str) else 0
    counts = {
        "pipe": v["pipe_length"],
        "pipe_2": v["length_2"] or 0,
        "pipe_3": v["length_3"] or 0,
        "cable": v["cable_length"],
        "dump": r["resistors_to_buy"],
    }
    each = {
        "pipe": r["pipe_kg"],
        "pipe_2": r["pipe_kg_2"],
        "pipe_3": r["pipe_kg_3"],
        "cable": r["cable_metre_kg"],
    }
    count = {name: counts[name] if name in counts else v[f"{name}_count"] for name in _NAMES}
    mass = {name: each[name] if name in each else v[f"{name}_mass"] for name in _NAMES}
    cost = {name: count[name] * v[f"{name}_price"] for name in _NAMES}
    heavy = {name: count[name] * mass[name] for name in _NAMES}
    trips = {name: math.ceil(heavy[name] / v["carry_load"]) for name in _NAMES}
    total = r["total_cost"] = sum(cost.values())
    r["total_mass"] = sum(heavy.values())
    watts = r["battery_watts"]
    r["cost_per_watt"] = total / watts if watts > 0 else ""

    r["coil_kg"] = r["pipe_kg"] * min(v["coil_length"], v["pipe_length"])
    single = [
        r["coil_kg"],
        v["battery_block"],
        v["alternator_mass"],
        v["wheel_mass"],
        v["housing_mass"],
        r["cable_kg"],
    ]
    labels = (
        "One coil or length of pipe",
        "One battery block",
        "Alternator",
        "Wheel with shaft",
        "Housing",
        "Cable in one piece",
    )
    tables["single_loads"] = [[kg, math.ceil(kg / v["carry_load"]) if kg > 0 else ""] for kg in single]
    r["heaviest_load"] = max(single)
    r["heaviest_part"] = labels[single.index(max(single))]
    r["carries"] = sum(trips.values())
    r["walking_hours"] = r["carries"] * 2 * v["walk_minutes"] / 60

    money = {"years": v["plant_years"], "interest": v["interest_rate"]}
    energy = r["yearly_kwh"] = watts * 8766 / 1000 * v["running_share"] / 100
    share = r["recovery"] = hf.capital_recovery(**money)
    again = r["battery_again"] = hf.replacement_worth(cost["battery"], v["battery_years"], **money)
    capital = r["capital"] = total + again

    def of_a_kwh(yearly):
        return yearly / energy if energy > 0 else ""

    r["kwh_from_parts"] = of_a_kwh(total * share / 100)
    r["kwh_from_batteries"] = of_a_kwh(again * share / 100)
    r["kwh_from_upkeep"] = of_a_kwh(v["upkeep"])
    r["kwh_price"] = hf.energy_cost(capital, v["upkeep"], energy, **money) if energy > 0 else ""
    gain = r["yearly_gain"] = energy * v["other_price"] - v["upkeep"]
    r["yearly_interest"] = capital * v["interest_rate"] / 100
    r["payback"] = hf.payback_time(capital, gain, v["interest_rate"]) if gain > r["yearly_interest"] else "never"

    tables["parts"] = []
    for name in _NAMES:
        row = [count[name]] if name in counts else []
        row += [mass[name]] if name in each else []
        per_kwh = of_a_kwh(cost[name] * share / 100)
        tables["parts"].append([*row, heavy[name], trips[name], cost[name], 100 * cost[name] / total, per_kwh])


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    price = r["kwh_price"]
    return [
        (r["heaviest_load"], 25, 50, False),
        (100 * price / v["other_price"] if price != "" else "no price, or no energy", 100, 300, False),
    ]
