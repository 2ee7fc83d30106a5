"""The template's whole calculation, written again as plain Python calls of the public functions.

`expected(inputs)` gives the value of every named result and of every formula in a table, without reading a
single formula of the workbook.
"""

import math

import hydrofunc as hf
from hydrofunc.template.pages import CHECKS, INPUTS
from tests.template import parts
from tests.template.parts.supply import MONTHS

FITTINGS = {
    "elbows_90": "90 elbow",
    "elbows_45": "45 elbow",
    "long_bends": "long bend",
    "gate_valves": "gate valve",
    "ball_valves": "ball valve",
    "globe_valves": "globe valve",
}
NOT_LOOKED_AT, GIVES = "not looked at", "give "  # both go on to say what to give: test_checks.py
RPM = math.pi / 30


def given(**arguments):
    """Only the arguments that have a value: an empty cell leaves an argument out."""
    return {name: value for name, value in arguments.items() if value is not None}


def expected(v):
    """(values by name, rows of formula values by table) for input values by name; None is an empty cell."""
    r = {}
    temperature = v["water_temperature"]
    g = r["gravity"] = hf.gravity(v["latitude"], v["altitude"])
    r["water_density"] = hf.density(temperature)
    if v["static_pressure"] is not None:
        r["gross_head"] = hf.static_head(v["static_pressure"], v["gauge_height"], temperature, g)
    else:
        r["gross_head"] = v["level_difference"]
    head = r["gross_head"]
    if v["bucket_seconds"] is not None:
        r["source_flow"] = hf.bucket_flow(v["bucket_volume"], v["bucket_seconds"])
    elif v["weir_head"] is not None:
        r["source_flow"] = hf.vnotch_flow(v["weir_head"], v["notch_angle"], g)
    else:
        r["source_flow"] = v["known_flow"]
    r["usable_share"] = 1 - v["left_in_stream"] / 100
    r["available_flow"] = max(0.0, min(r["source_flow"] * r["usable_share"], r["source_flow"] - v["left_flow"]))
    r["water_power"] = hf.hydraulic_power(r["available_flow"], head, temperature, g)

    bore = r["bore_used"] = v["pipe_bore"] or hf.pipe_bore(v["pipe_standard"], v["pipe_size"], v["pipe_class"])
    r["table_roughness"] = hf.roughness(v["pipe_material"], v["pipe_condition"])
    rough = r["roughness_used"] = v["pipe_roughness"] if v["pipe_roughness"] is not None else r["table_roughness"]
    each = {name: hf.fitting_loss(fitting, bore) for name, fitting in FITTINGS.items()}
    for i, rough_one, bore_one in (
        (1, rough, bore),
        (2, v["roughness_2"], v["bore_2"]),
        (3, v["roughness_3"], v["bore_3"]),
    ):
        there = i == 1 or (v[f"length_{i}"] or 0.0) > 0
        r[f"rough_{i}"] = float(there and (rough_one or 0.0) > (bore_one or 0.0) / 20)
    r["rough_sections"] = r["rough_1"] + r["rough_2"] + r["rough_3"]
    r["smooth_enough"] = 1.0 if r["rough_sections"] == 0 else ""
    k = r["fittings_k"] = (
        hf.fitting_loss(v["entrance"], bore) + sum(v[name] * one for name, one in each.items()) + v["other_k"]
    )
    sections = given(**{f"{what}_{i}": v[f"{what}_{i}"] for i in (2, 3) for what in ("length", "bore", "roughness")})
    pipe = {"gross_head": head, "length": v["pipe_length"], "bore": bore, "roughness": rough}
    water = {"temperature": temperature, "gravity": g}
    outlet = {"jets": v["jets"], "velocity_coefficient": v["velocity_coefficient"], "contraction": v["contraction"]}
    source = {"available_flow": r["available_flow"]}

    def flow_with(nozzle, **changes):
        return hf.operating_flow(
            **({**pipe, "fittings": k, **outlet, **water, **source, **sections, "nozzle": nozzle} | changes)
        )

    q = r["flow"] = flow_with(v["nozzle"])
    hn = r["net_head"] = hf.nozzle_head(q, v["nozzle"], gravity=g, **outlet)
    last_bore = v["bore_3"] if (v["length_3"] or 0) > 0 else v["bore_2"] if (v["length_2"] or 0) > 0 else bore
    r["outlet_bore"] = last_bore
    r["widest_nozzle"] = last_bore / v["jets"] ** 0.5
    r["nozzle_fits"] = 1.0
    r["running_pressure"] = (
        hf.running_pressure(hn, q, last_bore, temperature, g) - r["water_density"] * g * v["gauge_height"] / 1e5
    )
    jet = r["jet_velocity"] = hf.jet_velocity(hn, v["velocity_coefficient"], g)
    r["jet_diameter"] = hf.jet_diameter(v["nozzle"], v["contraction"])
    r["jet_power"] = hf.jet_power(q, jet, temperature)
    r["jet_force"] = hf.jet_force(q, jet, temperature)
    whole = {**pipe, "fittings": k, **outlet, **water, **source, **sections}
    r["best_nozzle"] = hf.best_nozzle(**whole)
    r["best_flow"] = hf.best_nozzle_flow(**whole)
    r["pipe_likes"] = hf.best_nozzle_flow(**(whole | {"available_flow": 1000}))
    tells = r["nozzle_tells"] = float(v["nozzle_is"] == "at hand")
    r["nozzle_takes"] = flow_with(v["nozzle"], available_flow=1000) if tells else 0.0
    r["nozzle_needs"] = r["nozzle_takes"] / r["usable_share"] if r["usable_share"] > 0 else 0.0
    assumed = v["told_flow_share"] * r["nozzle_needs"] if tells else v["unknown_flow_share"] * r["pipe_likes"]
    known = assumed if v["known_flow"] is None else v["known_flow"]
    r["weir_or_known"] = known if v["weir_head"] is None else hf.vnotch_flow(v["weir_head"], v["notch_angle"], g)
    r["best_jet_power"] = hf.best_nozzle_power(**whole)
    r["usual_jet_power"] = r["jet_power"]  # of the nozzle typed
    r["usual_torque"] = r["usual_jet_power"] / (2 * math.pi * 1000 / 60)
    proposals = {}
    parts.choices.expected(v, r, proposals)
    sizes = [v[f"nozzle_size_{i}"] or r[f"drill_size_{i}"] for i in range(1, 13)]

    r["velocity"] = hf.pipe_velocity(q, bore)
    r["reynolds"] = hf.reynolds_number(q, bore, temperature)
    r["darcy_factor"] = hf.friction_factor(r["reynolds"], rough / bore)
    losses = {key: value for key, value in pipe.items() if key != "gross_head"}
    r["lost_head"] = hf.penstock_head(q, fittings=k, **losses, **water, **sections)
    r["fittings_head"] = hf.minor_head(q, bore, k, g)
    r["lost_share"] = 100 * r["lost_head"] / head
    r["unused_head"] = max(0.0, head - r["lost_head"] - hn) if q < flow_with(v["nozzle"], available_flow=1000) else 0.0
    r["missing_share"] = 100 * (r["lost_head"] + r["unused_head"]) / head
    r["pipe_limit"] = hf.pipe_power_limit(fittings=k, **pipe, **water, **source, **sections)

    joined = v["test_connection"]
    r["phase_volts"] = hf.emf_constant(v["test_volts"], v["test_speed"], joined)
    r["phase_resistance"] = hf.phase_resistance(v["terminal_resistance"], joined)
    r["phase_inductance"] = hf.phase_inductance(v["terminal_inductance"], joined)
    r["cable_resistance"] = cable(v, v["cable_area"])
    wheel = {
        "pitch_diameter": v["pitch_diameter"],
        "deflection": v["deflection"],
        "cup_friction": v["cup_friction"],
        "alignment": v["alignment"],
        "bearing_drag": v["bearing_drag"],
        "windage": v["windage"],
    }
    machine = {name: r[name] for name in ("phase_volts", "phase_resistance", "phase_inductance")} | {
        "pole_pairs": v["pole_pairs"],
        "connection": v["connection"],
        "diode_drop": v["diode_drop"],
    }
    load = {
        "load": v["load"],
        "controller_efficiency": v["controller_efficiency"],
        "iron_drag": v["iron_drag"],
        "cable_resistance": r["cable_resistance"],
        **given(battery_volts=v["battery_volts"], load_resistance=v["load_resistance"]),
    }

    def settled(function, **changes):
        return function(
            **({"flow": q, "jet_velocity": jet, "temperature": temperature, **wheel, **machine, **load} | changes)
        )

    bridge = {name: machine[name] for name in ("phase_volts", "connection")}
    r["cut_in_speed"] = (
        hf.cut_in_speed(battery_volts=v["battery_volts"], diode_drop=v["diode_drop"], **bridge)
        if v["load"] == "battery"
        else 0.0
    )
    n = r["speed"] = settled(hf.operating_speed)
    i = r["current"] = settled(hf.operating_current)
    r["load_volts"] = settled(hf.operating_volts)
    r["battery_watts"] = settled(hf.operating_power)
    r["rectifier_volts"] = hf.rectified_volts(speed=n, current=i, **machine)
    emf = {**bridge, "pole_pairs": v["pole_pairs"], "phase_inductance": r["phase_inductance"]}
    r["electrical_torque"] = hf.alternator_torque(current=i, **emf) + v["iron_drag"]
    r["overlap"] = hf.overlap_angle(current=i, **emf)

    r["jet_ratio"] = hf.jet_ratio(v["pitch_diameter"], r["jet_diameter"])
    r["cup_count"] = hf.cup_count(v["pitch_diameter"], r["jet_diameter"])
    r["cup_width"] = hf.cup_width(r["jet_diameter"], 3.4)
    r["best_speed"] = hf.runner_speed(jet, v["pitch_diameter"], 0.46)
    ratio = r["speed_ratio"] = hf.speed_ratio(n, v["pitch_diameter"], jet)
    turning = {"flow": q, "jet_velocity": jet, "temperature": temperature, **wheel}
    r["runaway_speed"] = hf.runaway_speed(**turning)
    r["wheel_torque"] = hf.wheel_torque(speed=n, **turning)
    r["shaft_power"] = hf.wheel_power(speed=n, **turning)
    r["specific_speed"] = hf.specific_speed(n, q / v["jets"], hn)
    r["runaway_volts"] = hf.open_circuit_volts(r["runaway_speed"], **bridge)

    cups = hf.cup_efficiency(min(1.0, ratio), v["deflection"], v["cup_friction"]) if ratio > 0 else 0.0

    def power(at_head):
        return hf.hydraulic_power(q, at_head, temperature, g)

    ledger = {
        "gross": power(head),
        "unfilled": power(max(0.0, head - r["lost_head"] - hn)),
        "friction": power(max(0.0, r["lost_head"] - r["fittings_head"])),
        "fittings": power(r["fittings_head"]),
        "nozzle": power(hn) - r["jet_power"],
        "cups": r["jet_power"] * (1 - cups),
        "alignment": r["jet_power"] * cups * (1 - v["alignment"]),
        "windage": hf.windage_power(n, v["windage"]),
        "bearings": v["bearing_drag"] * n * RPM,
        "iron": v["iron_drag"] * n * RPM,
        "windings": hf.copper_loss(i, r["phase_resistance"], v["connection"]),
        "diodes": hf.diode_loss(i, v["diode_drop"]),
        "cable": hf.cable_loss(i, r["cable_resistance"]),
        "controller": r["load_volts"] * i * (1 - v["controller_efficiency"]) if v["load"] == "controller" else 0.0,
        "battery": r["battery_watts"],
    }
    r |= {f"ledger_{line}": watts for line, watts in ledger.items()}
    r["ledger_sum"] = sum(ledger.values()) - ledger["gross"]
    r |= {
        "plant_watts": r["battery_watts"],
        "plant_energy": 24 * r["battery_watts"],
        "plant_flow": q,
        "plant_lost_share": r["lost_share"],
        "plant_best_nozzle": r["best_nozzle"],
        "plant_best_at_hand": r["recommended_nozzle"],
        "plant_jet_power": r["jet_power"],
        "plant_speed": n,
        "plant_speed_ratio": ratio,
        "plant_amps": i,
        "plant_volts": r["load_volts"],
        "plant_efficiency": 100 * r["battery_watts"] / ledger["gross"],
        "plant_runaway_volts": r["runaway_volts"],
    }

    tables = proposals | {"fittings": [[each[name], v[name], v[name] * each[name]] for name in FITTINGS]}
    tables["ledger"] = [[watts, 100 * watts / ledger["gross"]] for watts in ledger.values()]

    curve = []
    for step in range(21):
        nozzle = min(last_bore, r["best_nozzle"] * round(0.4 + 0.06 * step, 2))
        flow = flow_with(nozzle)
        speed = hf.jet_velocity(hf.nozzle_head(flow, nozzle, gravity=g, **outlet), v["velocity_coefficient"], g)
        curve.append(
            [
                nozzle,
                flow,
                speed,
                hf.jet_power(flow, speed, temperature),
                settled(hf.operating_power, flow=flow, jet_velocity=speed),
            ]
        )
    tables["nozzle_curve"] = curve
    tables["sizes"] = [[size] for size in sizes]
    r["top_watts"] = max(row[-1] for row in curve)
    r["top_nozzle"] = next(row[0] for row in curve if row[-1] == r["top_watts"])

    tables["torque_curve"] = []
    for step in range(21):
        at = r["runaway_speed"] * (round(step / 20, 2) or 0.001)
        wheel_side = hf.wheel_torque(speed=at, **turning)
        if v["load"] == "controller":
            tables["torque_curve"].append([at, wheel_side, "", "#N/A"])
            continue
        behind = r["cable_resistance"] + (0 if v["load"] == "battery" else v["load_resistance"])
        volts = v["battery_volts"] if v["load"] == "battery" else 0
        amps = hf.charging_current(speed=at, battery_volts=volts, cable_resistance=behind, **machine)
        brakes = hf.alternator_torque(current=amps, **emf) + v["iron_drag"]
        first = tables["torque_curve"][0][1] if tables["torque_curve"] else wheel_side  # as good as at rest
        shown = "#N/A" if brakes > 1.5 * first else brakes
        tables["torque_curve"].append([at, wheel_side, brakes, shown])

    checks = [
        (100 * flow_with(v["nozzle"], available_flow=1000) / r["available_flow"], 100, 130, False),
        (100 * v["nozzle"] / r["best_nozzle"], 105, 125, False),
        (r["lost_share"], 40, 50, False),
        (100 * hf.static_pressure(head, temperature, g) / v["pipe_rating"], 67, 100, False),
        (
            100 * abs(head / v["level_difference"] - 1) if v["static_pressure"] and v["level_difference"] else "",
            5,
            15,
            False,
        ),
        (r["jet_ratio"], 9, 7, True),
        (abs(ratio - 0.46), 0.07, 0.2, False),
        (r["battery_watts"], 1, 1e-6, True),
        (r["overlap"], 35, 60, False),
        (100 * r["runaway_volts"] / v["voltage_limit"], 80, 100, False),
        (r["runaway_volts"], 60, 120, False),
        (100 * i / v["current_limit"], 80, 100, False),
        (100 * i * r["cable_resistance"] / r["load_volts"] if r["load_volts"] > 0 else 0.0, 5, 10, False),
        (abs(r["ledger_sum"] / ledger["gross"] - 1), 1e-9, 1e-9, False),
    ]

    for part in parts.IN_ORDER:
        part.expected(v, r, tables)
    for part in parts.WITH_CHECKS:
        checks += part.checks(v, r)
    known = {name: None if value == "" else value for name, value in r.items()} | v
    tables["checks"] = [judged(row, known, *check) for row, check in zip(CHECKS, checks, strict=True)]
    words = [row[1] for row in tables["checks"]]
    grades = [{"stop": 1.0, "look": 2.0, "good": ""}.get(word, 3.0) for word in words]
    grave = sorted((row for row, grade in enumerate(grades) if grade), key=grades.__getitem__)
    tables["checks_first"] = [first_check(tables["checks"], checks, grave, place) for place in range(12)]
    lines = zip(CHECKS, checks, tables["checks"], grades, strict=True)
    tables["checks"] = [
        line_of_check(check, known, limits, judged, grade, grave.index(row) + 1.0 if row in grave else "")
        for row, (check, (_, *limits, _), judged, grade) in enumerate(lines)
    ]
    r["checks_stop"], r["checks_look"] = words.count("stop"), words.count("look")
    assert r["grade_words"] == "", "no site of these leaves the grade of its polyethylene open"
    return r, tables


def line_of_check(check, v, limits, judged, grade, rank):
    """The formulas of a check's row, from left to right; the words that say what to give are looked at elsewhere."""
    value, word = judged
    waits = value == ""
    asked = [is_given(name, v) for name in check.rests_on if name not in PROPOSED]
    return [
        value,
        *(limits if check.name else ()),
        word,
        *([check.why] if check.adds else ()),
        rank,
        grade,
        *([all(asked)] if asked else ()),
        NOT_LOOKED_AT if waits else "stop",
        GIVES if waits else check.why,
    ]


def first_check(judgements, checks, grave, place):
    """A row of the table of what does not say good."""
    last = "all others say good" if place == len(grave) else ""
    if place >= len(grave):
        return [last, "", "", "", "", "", "", "", place + 1.0, last]
    row = grave[place]
    check, (_, good, stop, _) = CHECKS[row], checks[row]
    value, word, *_ = judgements[row]
    why = GIVES if word == NOT_LOOKED_AT else check.why
    shown = "none" if str(value).startswith("#") else value
    return [check.label, shown, check.unit, good, stop, word, why, row + 1.0, place + 1.0, last]


# Names of columns of which a check needs one entry: the inputs in them.
IN_COLUMN = {
    "load_watts": [f"load_watts_{i}" for i in range(1, 11)],
    "month_flows": [f"flow_{month}" for month in MONTHS],
    "part_prices": [item.name for item in INPUTS if item.name.endswith("_price") and item.name != "other_price"],
    "route_chainage": [f"chainage_{i}" for i in range(1, 41)],
}
PROPOSED = {item.name for item in INPUTS if item.assumption and item.assumption.proposed}


def judged(row, v, value, *limits):
    """Value and judgement of a check: nothing where an input is missing that it rests on."""
    if value == "" or not all(is_given(name, v) for name in row.rests_on if name not in PROPOSED):
        return ["", NOT_LOOKED_AT]
    return [value, verdict(value, *limits)]


def is_given(names, v):
    """Whether one of the inputs is given, or one of a column."""
    return any(v[one] is not None for one in IN_COLUMN.get(names, names.split("|")))


def cable(v, area):
    return hf.cable_resistance(v["cable_length"], area, v["cable_material"], v["cable_temperature"])


def verdict(value, good, stop, low_is_bad):
    if isinstance(value, str):  # an error is never good
        return "stop"
    worse = (lambda a, b: a < b) if low_is_bad else (lambda a, b: a > b)
    return "stop" if worse(value, stop) else "look" if worse(value, good) else "good"
