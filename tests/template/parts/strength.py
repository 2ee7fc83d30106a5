"""The sheet of `pages/strength.py` as plain Python. Its decisions are held by tests/template/test_pipe_decisions.py."""

import math

import hydrofunc as hf
from hydrofunc.template.pages import strength

from . import route
from .errors import worded

_UNLIKE = {
    "length_2": 150.0,
    "bore_2": 26.0,
    "roughness_2": 0.007,
    "length_3": 40.0,
    "bore_3": 20.4,
    "roughness_3": 0.001,
    "nozzle": 5.0,
}
SITES = {
    "steel below plastic": _UNLIKE
    | {"material_2": "steel", "wall_2": 3.2, "material_3": "copper", "wall_3": 1.5, "valve_time": 3600.0},
    "plastic below steel, in the sun": _UNLIKE
    | {
        "pipe_standard": "en 10255",
        "pipe_size": "1 1/4",
        "pipe_class": "medium",
        "pipe_material": "steel",
        "wall_temperature": 35.0,
        "material_2": "polyethylene",
        "wall_2": 3.0,
        "material_3": "pvc",
        "wall_3": 2.3,
        "section_rating_3": 10.0,
    },
    "a dip below the nozzle, and a joint between two points": _UNLIKE
    | {
        "level_10": 495.0,
        "length_2": 60.0,
        "length_3": None,
        "pipe_length": 360.0,
        "material_2": "copper",
        "wall_2": 1.5,
    },
    "a third section and no second": {
        "length_3": 40.0,
        "bore_3": 27.3,
        "roughness_3": 0.15,
        "material_3": "galvanised steel",
        "wall_3": 3.2,
        "pipe_length": 380.0,
    },
    "the maker's own figures": {
        "own_wall": 4.2,
        "own_modulus": 1.25,
        "own_design_stress": 6.3,
        "own_temperature_factor": 0.8,
        "wall_temperature": 60.0,
        "pipe_support": "expansion joints",
    }
    | _UNLIKE,
    "warm, and free at one end": {"own_modulus": 0.2, "pipe_support": "anchored upstream", "wall_temperature": 35.0},
    "rating below the pressure at rest": {"pipe_rating": 5.0},
    "quarter-turn valve": {"valve_time": 1.0, "pipe_rating": 10.0},
}
STOP = {
    "Rest and surge of a blocked jet, of the rating": {"pipe_rating": 8.0},
    "Rest and surge as the valve shuts, of the rating": {"pipe_rating": 8.0, "valve_time": 1.0},
    "Stress in the wall with the jet blocked, of what it may bear": {"own_wall": 1.2},
    "Printed rating, of what the bare wall stands": {"own_wall": 2.5},
    "Pull on the route as the valve shuts, of the usable suction": {"valve_time": 1.0},
    "Pull on the route as the valve opens, of the usable suction": {"valve_time": 1.0},
}
GOOD = {}


def rest_of(v, r, i, ends, whole):
    """(route seen down to, deepest below the water, pressure at rest there) of section i, which ends at a chainage.

    The first two are "" where the route does not tell, or where the section is the last.
    """
    at_end = r["rest_at_end"]
    if not whole - ends > 0:
        return "", "", at_end
    if r["points_above_line"] or r["route_end"] < ends:
        return "", "", r["rest_at_nozzle"]
    drawn = list(zip(r["drawn_chainage"], r["drawn_level"]))
    down_to = next(chainage for chainage, _ in drawn if chainage >= ends)
    deepest = max(max(r["water_level"] - level for chainage, level in drawn if chainage <= down_to), 0.0)
    return down_to, deepest, hf.static_pressure(deepest, v["water_temperature"], r["gravity"])


def wave_speed(v, r, bore, wall, modulus, poisson):
    """Speed of a pressure wave in a section."""
    return hf.wave_speed(bore, wall, modulus, poisson, v["pipe_support"], r["water_modulus"], r["water_density"])


def sections_of(v, r):
    """The three sections, {column: value}, as far as they do not hang on the surge."""
    sections, whole = [], sum(v[length] or 0.0 for length in ("pipe_length", "length_2", "length_3"))
    main = {
        "kept": r["temperature_factor"],
        "modulus": r["modulus_used"],
        "poisson": r["poisson_used"],
        "stress": r["design_stress_used"],
    }
    ends = 0.0
    for i in (1, 2, 3):
        here = {
            "length": v["pipe_length"],
            "bore": r["bore_used"],
            "own": v["pipe_material"],
            "own_wall": r["wall_used"],
        }
        if i > 1:
            own = {"length": f"length_{i}", "bore": f"bore_{i}", "own_wall": f"wall_{i}"}
            here = {column: v[name] or 0 for column, name in own.items()} | {"own": v[f"material_{i}"] or ""}
        length, bore, material = here["length"], here["bore"], here["own"] or v["pipe_material"]
        ends += length
        here |= main | {"material": material, "kept": route.kept_when_warm(v, i), "ends": ends, "below": whole - ends}
        if i > 1 and length and here["own"]:
            here |= {
                "modulus": hf.elastic_modulus(material),
                "poisson": hf.poisson_ratio(material),
                "stress": r["stress_of_grade"] if material == "polyethylene" else hf.design_stress(material),
            }
        of_grade = material == "polyethylene" and here["stress"] == r["stress_of_grade"]
        here["grade_open"] = of_grade and not v["pe_grade"] and here["stress"] < 8.0
        here["down_to"], here["deepest"], here["rest"] = rest_of(v, r, i, ends, whole)
        here |= dict.fromkeys(("wall", "outside", "mass", "stiff", "span"), "") | {"wave": 0.0}
        if length:
            like_main = r["wall_used"] * bore / r["bore_used"]
            assert here["own_wall"] or material == v["pipe_material"], "no site of these leaves such a wall open"
            wall = here["own_wall"] or like_main
            outside = bore + 2 * wall
            stiff = hf.elastic_modulus(material, "long")
            mass = hf.pipe_mass(outside, wall, 1, material) + r["water_density"] * math.pi / 4 * (bore / 1000) ** 2
            span = hf.support_spacing(outside, wall, stiff, mass, v["allowed_sag"], r["gravity"])
            wave = wave_speed(v, r, bore, wall, here["modulus"], here["poisson"])
            here |= {"wall": wall, "outside": outside, "mass": mass, "stiff": stiff, "span": span, "wave": wave}
        here["rating"] = r[f"rating_used_{i}"]
        here["unseen"] = r["rest_at_nozzle"] if here["below"] > 0 else r["rest_at_end"]
        sections.append(here)
    return sections


def row_of(section, surge):
    """The row of a section in the table, with the surge of a blocked jet."""
    there, loaded, if_strongest = section["length"] > 0, ["", "", "", ""], ""
    if there:
        bears, pressure = section["stress"] * section["kept"], section["rest"] + surge
        stress = pressure / 10 * section["outside"] / (2 * section["wall"])  # Barlow; bar to MPa
        loaded = [bears, pressure, stress, 100 * stress / bears]
        if_strongest = loaded[-1] * (section["stress"] / 8.0 if section["grade_open"] else 1.0)
    columns = (
        "length bore own material own_wall modulus poisson wave stress ends below down_to deepest rest outside mass "
        "stiff span rating unseen"
    )
    return [section["wall"], section["kept"], *loaded, *(section[column] for column in columns.split()), if_strongest]


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    g, density, flow, bore = r["gravity"], r["water_density"], r["flow"], r["bore_used"]
    material, whole = v["pipe_material"], r["whole_length"]
    rest = r["rest_at_nozzle"] = hf.static_pressure(r["gross_head"], v["water_temperature"], g)
    r["rest_at_end"] = max(rest, r["highest_rest"] or 0.0)
    listed = worded("", hf.pipe_wall, v["pipe_standard"], v["pipe_size"], v["pipe_class"])
    r["wall_of_size"] = "" if v["pipe_bore"] else listed
    wall = r["wall_used"] = v["own_wall"] or r["wall_of_size"]
    outside = r["outside_used"] = bore + 2 * wall
    more = {
        f"{what}_{i}": v[f"{what}_{i}"] for i in (2, 3) for what in ("length", "bore") if v[f"{what}_{i}"] is not None
    }
    r["pipe_sdr"] = outside / wall
    r["modulus_used"] = v["own_modulus"] or hf.elastic_modulus(material)
    r["poisson_used"] = hf.poisson_ratio(material)
    r["stress_of_grade"] = {"PE100": 8.0, "PE80": 6.3, "PE63": 5.0, "PE40": 3.2}[v["pe_grade"] or "PE100"]
    r["weak_stress"] = 5.0 if v["pe_grade"] == "PE63" else 3.2
    by_table = r["table_stress"] = r["stress_of_grade"] if material == "polyethylene" else hf.design_stress(material)
    stress = r["design_stress_used"] = v["own_design_stress"] or by_table
    factor = r["temperature_factor"] = v["own_temperature_factor"] or hf.temperature_factor(
        material, v["wall_temperature"]
    )
    r["water_modulus"] = hf.bulk_modulus(v["water_temperature"])
    parts = sections_of(v, r)
    last = r["last_section"] = max(i for i, part in enumerate(parts, start=1) if part["length"])
    r["outlet_wall"] = parts[last - 1]["wall"]
    last_outside = r["outlet_outside"] = r["outlet_bore"] + 2 * r["outlet_wall"]
    weakest = min(part["kept"] for part in parts)
    r["last_rating"] = parts[last - 1]["rating"]
    r["rigid_wave"] = math.sqrt(r["water_modulus"] * 1e9 / density)
    warm = r["rating_warm"] = min(v["pipe_rating"] * weakest, parts[last - 1]["rating"])
    r["wall_class"] = hf.wall_pressure(outside, wall, stress) * factor

    speeds = {f"wave_speed{name}": part["wave"] for name, part in zip(("", "_2", "_3"), parts)}
    r |= speeds
    lengths = {key: value for key, value in more.items() if key.startswith("length")}
    line = {"length": v["pipe_length"], "bore": bore, "density": density, **speeds, **more}
    travelled = {"length": v["pipe_length"], **speeds, **lengths}
    back = r["wave_return"] = hf.critical_time(**travelled)
    pipe = {"gross_head": r["gross_head"], "length": v["pipe_length"], "bore": bore, "roughness": r["roughness_used"]}
    pipe |= {"fittings": r["fittings_k"], "temperature": v["water_temperature"], "gravity": g, **more}
    pipe |= {f"roughness_{i}": v[f"roughness_{i}"] for i in (2, 3) if v[f"roughness_{i}"] is not None}
    jets = {name: v[name] for name in ("nozzle", "jets", "contraction")}
    full = r["full_flow"] = hf.operating_flow(**pipe, **jets, velocity_coefficient=v["velocity_coefficient"])
    run = {**pipe, **jets, **speeds, "flow": full, "valve_time": v["valve_time"]}
    r["blocked_formula"] = hf.surge_pressure(full, 0, **line)
    r["blocked_run"], r["blocked_fall"] = (hf.surge_run(run, f"blocked_{end}") for end in ("highest", "lowest"))
    r["blocked_surge"] = max(r["blocked_formula"], r["blocked_run"])
    blocked = r["blocked_total"] = rest + r["blocked_surge"]
    valve = {
        "nozzle": v["nozzle"],
        "bore": r["outlet_bore"],
        "net_head": r["net_head"],
        "jets": v["jets"],
        "contraction": v["contraction"],
        "peak_head": max(warm * 1e5 / (density * g), r["net_head"]),
    }
    r["rated_head"], r["surge_head"] = warm * 1e5 / (density * g), valve["peak_head"]
    r["surge_known"] = 1.0
    stop = r["valve_stop"] = hf.stopping_time(v["valve_time"], **valve)
    r["valve_formula"], r["valve_run"] = hf.surge_pressure(flow, stop, **line), hf.surge_run(run, "shut_highest")
    r["valve_surge"] = max(r["valve_formula"], r["valve_run"])
    r["valve_total"] = rest + r["valve_surge"]
    room = r["surge_allowed"] = warm - rest
    r["surge_planned"] = room if room > 0 else warm
    r["even_stop"] = hf.safe_closing_time(r["surge_planned"], flow, **line)
    r["stop_share"] = hf.stopping_time(1, **valve)
    r["safe_stop"] = r["even_stop"] if room > 0 else "never"
    r["safe_valve_time"] = max(r["even_stop"], back) / r["stop_share"] if room > 0 else "never"
    r["safe_valve_time"] = "any" if r["safe_stop"] == 0 else r["safe_valve_time"]
    r["full_surge"] = hf.full_surge_length(stop, **travelled)
    tables["sections"] = [row_of(part, r["blocked_surge"]) for part in parts]
    tables["supports"] = [[part["mass"], part["span"]] for part in parts]
    r["grade_words"], r["grade_room"] = "", 1.0  # the example's grade is that of its standard
    r["worst_share"] = max(row[5] for row in tables["sections"] if row[5] != "")
    pull = r["usable_suction_bar"] = r["usable_suction"] * density * g / 1e5

    rows, lowest, opening = [], [], []
    for i in route.POINTS:
        point = r["route"].get(i)
        at = min(point["chainage"], whole) if point else 0.0
        section = next((part for part in parts[:2] if (point["chainage"] if point else 0.0) <= part["ends"]), parts[2])
        rise, rating = hf.surge_pressure(flow, stop, chainage=at, **line), section["rating"]
        up, down, opened = (hf.surge_run(run, of, at) for of in ("shut_highest", "shut_lowest", "opened_lowest"))
        if not point:
            rows.append([*[""] * 6, i, at, rise, rating, "ok", "ok", up, down, opened, ""])
            continue
        surge = max(rise, up)
        high, low = point["rest"] + surge, point["rest"] + min(-rise, down)
        share = 100 * high / rating
        limits = {name: v[name] for name in ("surge_suction_seen", "surge_share_most")}
        known = r | limits | {"lowest": low, "share": share}
        known |= {"chainage": point["chainage"], "suction": strength.SUCTION.value(known)}
        known["torn"] = strength.TORN.value(known)
        says = strength.SAYS.value(known)
        rows.append(
            [
                *(
                    point["chainage"],
                    high,
                    low,
                    says,
                    surge,
                    share,
                    i,
                    at,
                    rise,
                    rating,
                    known["suction"],
                    known["torn"],
                ),
                *(up, down, opened, point["rest"] + opened),
            ]
        )
        opening.append(point["rest"] + opened)
        lowest.append(low)
    tables["strength"] = rows
    r["down_surge_low"] = min(lowest) if lowest else ""
    r["opening_low"] = min(opening) if opening else ""
    r["parts_above"] = max(0.0, r["blocked_surge"] - pull, -r["blocked_fall"] - pull)

    r["bend_push"] = hf.bend_force(blocked, flow, last_outside, r["outlet_bore"], v["largest_bend"], density)
    r["end_push"] = hf.end_force(blocked, last_outside)
    r["pipe_water"] = hf.pipe_volume(v["pipe_length"], bore, **more)
    r["emptying_time"] = r["pipe_water"] / flow / 60 if flow > 0 else "never"
    r["filling_time"] = r["pipe_water"] / r["available_flow"] / 60 if r["available_flow"] > 0 else "never"
    r["start_up"] = hf.starting_time(0.9, flow, r["gross_head"], v["pipe_length"], bore, g, **more)


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    low, opening = r["down_surge_low"], r["opening_low"]
    return [
        (100 * r["blocked_total"] / r["rating_warm"], 80, 100, False),
        (100 * r["valve_total"] / r["rating_warm"], 80, 100, False),
        (r["worst_share"], 100, 125, False),
        (100 * v["pipe_rating"] * r["temperature_factor"] / r["wall_class"], 105, 130, False),
        (100 * max(0.0, -low) / r["usable_suction_bar"] if low != "" else 0.0, 50, 100, False),
        (100 * max(0.0, -opening) / r["usable_suction_bar"] if opening != "" else 0.0, 50, 100, False),
    ]
