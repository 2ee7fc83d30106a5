"""The sheet of `pages/what_pays.py` as plain Python, and the chain in one call for any change.

The order is taken from the page's own expressions; tests/template/test_what_pays.py holds these.
"""

import math

import hydrofunc as hf
from hydrofunc.template.pages import what_pays

SITES = {
    "gains over costs": {"rank_by": "gain per cost", "cost_pipe_wider": None, "cost_cable": 0.0},
    "nothing smaller or larger at hand, widest pipe": {
        **{f"nozzle_size_{i}": 7.0 for i in range(1, 13)},
        "pipe_size": "110",
    },
    "delta at 12 V, six jets": {"connection": "delta", "battery_volts": 13.0, "jets": 6.0, "nozzle": 3.0},
    "changes of one's own": {
        "own_name_1": "roughness",
        "own_value_1": 0.5,
        "own_name_2": "Windage",
        "own_value_2": 0.0,
        "own_name_3": "colour",
        "own_value_3": 1.0,
        "own_name_4": "bore",
        "own_value_5": 8.0,
    },
}
STOP = {}
GOOD = {}
# key of the cost, label, whether it gets a nozzle of its own
CHANGES = (
    ("nozzle_smaller", "Next smaller nozzle at hand", False),
    ("nozzle_larger", "Next larger nozzle at hand", False),
    ("nozzle_at_hand", "Nozzle at hand with most watts", False),
    ("nozzle_best", "Nozzle of most jet power", False),
    ("jet", "One jet more with its nozzles", True),
    ("pipe_wider", "Wider pipe with its nozzle", True),
    ("pipe_narrower", "Narrower pipe with its nozzle", True),
    ("fittings", "Better fittings", False),
    ("alignment", "Jet aligned better", False),
    ("pitch_smaller", "Pitch circle smaller", False),
    ("pitch_larger", "Pitch circle larger", False),
    ("connection", "Star and delta changed with its nozzle", True),
    ("bank_12", "Battery of 12 V with its nozzle", True),
    ("bank_24", "Battery of 24 V with its nozzle", True),
    ("bank_48", "Battery of 48 V with its nozzle", True),
    ("cable", "Cable thicker", False),
    ("controller", "Maximum-power controller", False),
)
COLUMNS = (
    "nozzle",
    "jets",
    "bore",
    "fittings",
    "alignment",
    "pitch_diameter",
    "connection",
    "load",
    "battery_volts",
    "cable_resistance",
)
NONE = "none"
NO_NUMBER = (hf.InputError, TypeError)
EFFECTS = ("flow", "surge", "open", "speed")
BASIS = {"roughness": "roughness_used", "fittings": "fittings_k"}  # names on the sheets, where not the argument's own


def basis(v, r, argument):
    """An argument as the sheet takes it: of the machine that is judged, where a sheet says which, else as designed."""
    name = BASIS.get(argument, argument)
    return r.get(f"basis_{argument}", r[name] if name in r else v[name])


def water(v, r):
    """The arguments of the way of the water to the nozzle."""
    given = {
        "length": v["pipe_length"],
        "bore": r["bore_used"],
        "jets": v["jets"],
        "contraction": v["contraction"],
        "temperature": v["water_temperature"],
        "gravity": r["gravity"],
        "available_flow": r["available_flow"],
    } | {name: basis(v, r, name) for name in ("gross_head", "roughness", "fittings", "velocity_coefficient")}
    sections = {f"{what}_{i}": v[f"{what}_{i}"] for i in (2, 3) for what in ("length", "bore")}
    sections |= {f"roughness_{i}": basis(v, r, f"roughness_{i}") for i in (2, 3)}
    return given | {name: value for name, value in sections.items() if value is not None}


def plant(v, r):
    """The arguments of the whole plant, as `power_ledger` takes them."""
    rest = {
        name: v[name]
        for name in """pitch_diameter pole_pairs deflection cup_friction connection diode_drop iron_drag load
        load_resistance controller_efficiency battery_volts""".split()
        if v[name] is not None
    }
    return (
        water(v, r)
        | rest
        | {
            "phase_inductance": r["phase_inductance"],
            "density": r["water_density"],
            "wave_speed": r["wave_speed"],
            "wave_speed_2": r["wave_speed_2"],
            "wave_speed_3": r["wave_speed_3"],
        }
        | {
            name: basis(v, r, name)
            for name in (
                "nozzle",
                "alignment",
                "bearing_drag",
                "windage",
                "phase_volts",
                "phase_resistance",
                "cable_resistance",
            )
        }
    )


def called(function, arguments, **changes):
    """A call with those of the arguments the function has."""
    known = {argument.name for argument in function.arguments}
    return function(**{name: value for name, value in (arguments | changes).items() if name in known})


def watts(arguments, **changes):
    return called(hf.power_ledger, arguments, **changes)


def numbers(values):
    return [value for value in values if not isinstance(value, str)]


def tenth(number):
    """To a tenth, halves up, of the fifteen digits that a worksheet has."""
    return math.floor(float(f"{number * 10:.15g}") + 0.5) / 10


def sought(arguments):
    """The nozzle of most jet power, to a tenth; "" where the plant is not possible."""
    try:
        return tenth(called(hf.best_nozzle, arguments))
    except NO_NUMBER:
        return ""


def gives(arguments):
    """Watts into the battery; "" where the plant is not possible."""
    if NONE in arguments.values():
        return ""
    try:
        return watts(arguments)
    except NO_NUMBER:
        return ""


def next_bore(v, bore, direction):
    """The next size of the pipe's series, or "none"."""
    try:
        return hf.next_pipe_bore(v["pipe_standard"], v["pipe_class"], bore, direction)
    except NO_NUMBER:
        return NONE


def bank_now(v):
    """Nominal volts of the battery, by its charging volts; "" without one."""
    volts = v["battery_volts"]
    if v["load"] == "resistor" or volts is None:
        return ""
    return 12.0 if volts < v["bank_24_from"] else 24.0 if volts < v["bank_48_from"] else 48.0


def changed(v, r, machine):
    """What each change makes of the plant, by its key."""
    sizes, fitted = [v[f"nozzle_size_{i}"] or r[f"drill_size_{i}"] for i in range(1, 13)], v["nozzle"]
    at_hand = [(size, watts(machine, nozzle=size)) for size in sizes if size <= r["widest_nozzle"]]
    most = max((power for _, power in at_hand), default=None)
    now, volts = bank_now(v), v["battery_volts"]
    pitch, step = v["pitch_diameter"], v["pitch_change"] / 100
    return {
        "nozzle_smaller": {"nozzle": max((size for size in sizes if size < fitted), default=NONE)},
        "nozzle_larger": {"nozzle": min((size for size in sizes if size > fitted), default=NONE)},
        "nozzle_at_hand": {"nozzle": next((size for size, power in at_hand if power == most), NONE)},
        "nozzle_best": {"nozzle": called(hf.best_nozzle, machine)},
        "jet": {"jets": v["jets"] + 1},
        "pipe_wider": {"bore": next_bore(v, r["bore_used"], "wider")},
        "pipe_narrower": {"bore": next_bore(v, r["bore_used"], "narrower")},
        "fittings": {"fittings": machine["fittings"] * (1 - v["fittings_saved"] / 100)},
        "alignment": {"alignment": min(1, machine["alignment"] + v["aligned_better"])},
        "pitch_smaller": {"pitch_diameter": pitch * (1 - step)},
        "pitch_larger": {"pitch_diameter": pitch * (1 + step)},
        "connection": {"connection": "delta" if v["connection"] == "star" else "star"},
        **{
            f"bank_{bank}": {"battery_volts": NONE if now in ("", bank) else volts * bank / now}
            for bank in (12, 24, 48)
        },
        "cable": {"cable_resistance": machine["cable_resistance"] / v["cable_thicker"]},
        "controller": {"load": NONE if v["load"] == "controller" else "controller"},
    }


def label_of(label, change):
    """The label with bore and nozzle, where a row changes them."""
    bore, nozzle = (
        f"{before}{tenth(change[name]):g} mm" if isinstance(change.get(name), (int, float)) else ""
        for name, before in (("bore", ", bore "), ("nozzle", ": "))
    )
    return [bore, nozzle, label + nozzle + bore]


def effects(arguments, surge):
    """Flow, surge with the jet blocked, open volts at runaway, speed."""
    flow = called(hf.operating_flow, arguments)
    jet = called(hf.jet_velocity, arguments, net_head=called(hf.nozzle_head, arguments, flow=flow))
    turning = arguments | {"flow": flow, "jet_velocity": jet}
    return (
        flow,
        surge,
        called(hf.open_circuit_volts, arguments, speed=called(hf.runaway_speed, turning)),
        called(hf.operating_speed, turning),
    )


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    machine = plant(v, r)
    now = r["judged_watts"] = watts(machine)
    r["bank_now"] = bank_now(v)
    to_mend = v["basis"] == "as tested" and (r["fault_first_number"] or 0) > 0
    to_mend = to_mend and r["fault_first"] != "two faults, or none of these"  # nobody knows what to put right
    planned = plant(v, {name: value for name, value in r.items() if not name.startswith("basis_")})
    rows = [_row(f"Put right: {r['fault_first']}" if to_mend else "", {}, v["cost_fault"])]
    rows[0]["cells"], rows[0]["watts"] = [rows[0]["name"]], watts(planned) if to_mend else ""
    rows[0]["plant"] = planned | {"bore": r["bore_used"]}
    rows.append(_row("As on the sheets", {}, 0.0) | {"cells": [0.0], "watts": now, "plant": machine})
    changes = changed(v, r, machine)
    for key, label, has_own in CHANGES:
        change, arguments = changes[key], machine | changes[key]
        own, tried = [], []
        if has_own:
            own = [sought(arguments)]
            tried = [gives(arguments), gives(arguments | {"nozzle": own[0]}) if own[0] != "" else ""]
            better = round((tried[1] or 0) - (tried[0] or 0), 3) > 0
            change = {"nozzle": own[0] if better else ""} | change
            arguments |= {"nozzle": own[0]} if better else {}
        cells = [change[name] for name in COLUMNS if name in change] + own
        rows.append(
            _row(label, change, v[f"cost_{key}"])
            | {"cells": cells, "watts": gives(arguments), "tried": tried, "plant": arguments}
        )
    rows[0]["blocked"] = r["blocked_surge"]
    for row in rows:
        row["gain"] = "" if row["watts"] == "" else round(row["watts"] - now, 3)
        row["surge"] = _surge(v, r, machine, row["change"])
        surge = row.get("blocked", max(numbers(row["surge"][-2:]), default=0.0))
        row["effects"] = ("",) * 4 if row["watts"] == "" else effects(row["plant"], surge)
        known = {"gain": row["gain"], "cost": row["cost"], "rank_by": v["rank_by"], "least_cost": v["least_cost"]}
        known["per cost"] = row["per cost"] = what_pays.GAIN_PER_COST.value(known)
        known["by"] = row["by"] = what_pays.ORDERED_BY.value(known)
        row["key"] = what_pays.ORDER.value(known | {"last_gain": v["last_gain"]})
    gain, last = rows[0]["gain"], v["last_gain"]
    rows[0]["key"] = 2 * last if gain == "" else -last if gain > 0 else gain
    keys = [row["key"] for row in rows]
    order = sorted(range(len(rows)), key=lambda place: -keys[place])
    tables["pays"] = [
        [
            *row["cells"],
            row["watts"],
            row["gain"],
            *row["tried"],
            *row["label"][:2],
            row["change"].get("bore") if isinstance(row["change"].get("bore"), float) else r["bore_used"],
            *row["effects"],
            row["per cost"],
            row["by"],
            row["key"],
            sum(key > row["key"] for key in keys),
            order.index(place) + 1,
            row["label"][2],
            *(row["surge"] if place else []),
        ]
        for place, row in enumerate(rows)
    ]
    tables["ranked"] = [
        [
            row["label"][2],
            row["gain"],
            row["watts"],
            "" if row["cost"] is None else row["cost"],
            row["per cost"],
            *row["effects"],
            place + 1,
        ]
        for place, row in ((place, rows[place]) for place in order)
    ]
    first = rows[order[0]]
    r["best_change"], r["best_change_gain"] = first["label"][2], first["gain"]
    r["best_change_words"] = "No single change of these gives more."
    if first["gain"] != "" and first["gain"] > 0:
        r["best_change_words"] = f"{tenth(first['gain']):g} W more than {tenth(now):g} W."
    tables["own_changes"] = list(_own(v, machine, now))


def _surge(v, r, machine, change):
    """Nozzle, jets, K, bore, flow with the pipe full, and the surge of a blocked jet by formula and by a run."""
    names = ("nozzle", "jets", "fittings", "bore")
    counts = {name: change[name] if is_number(change.get(name)) else machine[name] for name in names}
    designed = {name: value for name, value in r.items() if not name.startswith("basis_")}
    line = water(v, designed) | {"wave_speed": r["wave_speed"]}
    line |= {f"wave_speed_{i}": r[f"wave_speed_{i}"] for i in (2, 3)} | {"flow": r["full_flow"]}
    try:
        flow = called(hf.operating_flow, line | counts, available_flow=math.inf)
    except NO_NUMBER:
        flow = ""
    try:
        formula = called(hf.surge_pressure, machine, bore=counts["bore"], flow=flow, closing_time=0)
    except NO_NUMBER:
        formula = ""
    moved = {"fittings": counts["fittings"], "bore": counts["bore"]} | ({} if flow == "" else {"flow": flow})
    run = hf.surge_run(line, "blocked_highest", math.inf, list(moved), list(moved.values()))
    return [*counts.values(), flow, formula, run]


def is_number(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _row(label, change, cost):
    return {"name": label, "change": change, "label": label_of(label, change), "cost": cost, "tried": []}


def _own(v, machine, now):
    """Watts and gain of each row of one's own."""
    for i in range(1, 9):
        name, value = v[f"own_name_{i}"], v[f"own_value_{i}"]
        if name is None or value is None:
            yield ["", ""]
        elif name.lower() in machine:
            power = watts(machine, **{name.lower(): value})
            yield [power, round(power - now, 3)]
        else:
            yield ["not possible", ""]


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    return []
