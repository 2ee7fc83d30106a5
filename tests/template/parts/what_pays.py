"""The sheet of `pages/what_pays.py` as plain Python, and the chain in one call for any change.

What each change is, and the order, are held by tests/template/test_what_pays.py.
"""

import hydrofunc as hf
from hydrofunc.template.expression import expression
from hydrofunc.template.pages import what_pays

SITES = {
    "gains over costs": {"rank_by": "gain per cost", "cost_pipe_wider": None, "cost_cable": 0.0},
    "nothing smaller or larger at hand, widest pipe": {
        **{f"nozzle_size_{i}": None for i in range(2, 13)},
        "nozzle_size_1": 7.0,
        "pipe_size": "110",
    },
    "delta at 12 V, six jets": {"connection": "delta", "battery_volts": 13.0, "jets": 6.0, "nozzle": 3.0},
}
STOP = {}
GOOD = {}
COSTS = (
    "nozzle_smaller",
    "nozzle_larger",
    "nozzle_at_hand",
    "nozzle_best",
    "jet",
    "pipe_wider",
    "pipe_narrower",
    "fittings",
    "alignment",
    "pitch_smaller",
    "pitch_larger",
    "connection",
    "bank_12",
    "bank_24",
    "bank_48",
    "cable",
    "controller",
)
NO_NUMBER = (hf.InputError, TypeError)


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


def hand(v, r):
    """(size, watts) of each nozzle at hand; "" for an empty place and for a nozzle wider than the pipe."""
    found = []
    for i in range(1, 13):
        size = v[f"nozzle_size_{i}"]
        found.append(
            (
                "" if size is None else size,
                watts(plant(v, r), nozzle=size) if size is not None and size <= r["outlet_bore"] else "",
            )
        )
    return found


def numbers(values):
    return [value for value in values if not isinstance(value, str)]


def changes(v, r):
    """(label, changed state by name) of each row but the first and those of one's own,
    by the page's own expressions.
    """
    sizes, watts_of_sizes = map(list, zip(*hand(v, r)))
    at_hand = [v[f"nozzle_size_{i}"] for i in range(1, 13)]
    known = v | r | {"nozzle_sizes": at_hand, "hand_sizes": sizes, "hand_watts": watts_of_sizes}
    for _, label, change, letter, _ in what_pays.CHANGES:
        state = {STATE["CDEFGHIJKL".index(column)]: expression(part).value(known) for column, part in change.items()}
        if letter:
            number = state[STATE["CDEFGHIJKL".index(letter)]]
            digits, unit = SHOWN[letter]
            label += ": none" if isinstance(number, str) else f": {round(number, digits):g}{unit}"
        yield label, {name: None if value == "" else value for name, value in state.items()}


# Digits and unit of the number that a label shows, by its column.
SHOWN = {"C": (1, " mm"), "D": (0, ""), "E": (1, " mm"), "F": (2, ""), "G": (2, ""), "H": (0, " mm"), "L": (1, " mm²")}
STATE = (
    "nozzle",
    "jets",
    "bore",
    "fittings",
    "alignment",
    "pitch_diameter",
    "connection",
    "load",
    "battery_volts",
    "cable_area",
)


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    machine = plant(v, r)
    base = {name: machine[name] if name in machine else v[name] for name in STATE}
    costs = [0.0, *(v[f"cost_{key}"] for key in COSTS), *(v[f"cost_own_{i}"] for i in range(1, 6))]
    rows = [("As on the sheets", {}), *changes(v, r), *((f"Your own {i}: type over any cell", {}) for i in range(1, 6))]
    found = []
    for (label, change), cost in zip(rows, costs):
        state = base | change
        error = next((value for value in change.values() if str(value).startswith("#")), None)
        arguments = machine | {
            name: value for name, value in state.items() if name != "cable_area" and value is not None
        }
        arguments |= {"cable_resistance": machine["cable_resistance"] * v["cable_area"] / state["cable_area"]}
        effects = (
            _effects(arguments) if error is None else dict.fromkeys(("flow", "watts", "surge", "open", "speed"), error)
        )
        found.append({"label": label, "state": state, "cost": cost} | effects)
    for place, row in enumerate(found):
        gain = row["gain"] = "" if isinstance(row["watts"], str) else round(row["watts"] - found[0]["watts"], 6)
        known = {"gain": gain, "cost": row["cost"], "rank_by": v["rank_by"]}
        row["per cost"] = what_pays.GAIN_PER_COST.value(known)
        ordered_by = what_pays.ORDERED_BY if place < len(found) - 5 else what_pays.ORDERED_BY_OWN
        row["key"] = ordered_by.value(known)
    order = sorted(range(len(found)), key=lambda place: -found[place]["key"])

    def shown(name):
        value = found[0][name] if name == "state" else row[name]
        return "" if value is None or (isinstance(value, str) and name != "per cost") else value

    tables["pays"], tables["effects"], tables["ranked"] = [], [], []
    for place, row in enumerate(found):
        state = ["" if row["state"][name] is None else row["state"][name] for name in STATE]
        labelled = [row["label"]] if ": " in row["label"] and not row["label"].startswith("Your own") else []
        cost = [row["cost"]] if place == 0 else []  # of the others it is an input
        tables["pays"].append([*labelled, *state, *cost, row["watts"], row["gain"]])
        tables["effects"].append(
            [
                row["label"],
                row["flow"],
                row["per cost"],
                row["surge"],
                row["open"],
                row["speed"],
                row["key"],
                order.index(place) + 1,
            ]
        )
    for place in order:
        row = found[place]
        tables["ranked"].append(
            [
                row["label"],
                *(shown(name) for name in ("gain", "watts", "cost")),
                row["per cost"],
                *(shown(name) for name in ("flow", "surge", "open", "speed")),
                place + 1,
            ]
        )
    first = found[order[0]]
    r["best_change"] = first["label"]
    r["best_change_words"] = "No single change of these gives more."
    if first["gain"] != "" and first["gain"] > 0:
        r["best_change_words"] = (
            f"{round(first['gain'], 1):g} W more: {round(first['watts'], 1):g} W instead of "
            f"{round(found[0]['watts'], 1):g} W."
        )


def _effects(arguments):
    """Flow, watts and side effects of a plant; an error value where a nozzle does not fit the pipe."""
    try:
        flow = called(hf.operating_flow, arguments)
    except NO_NUMBER:
        return dict.fromkeys(("flow", "watts", "surge", "open", "speed"), "#NUM!")
    jet = called(hf.jet_velocity, arguments, net_head=called(hf.nozzle_head, arguments, flow=flow))
    turning = arguments | {"flow": flow, "jet_velocity": jet}
    runaway = called(hf.runaway_speed, turning)
    return {
        "flow": flow,
        "watts": watts(arguments),
        "open": called(hf.open_circuit_volts, arguments, speed=runaway),
        "surge": called(hf.surge_pressure, arguments, flow=flow, closing_time=0),
        "speed": called(hf.operating_speed, turning),
    }


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    return []
