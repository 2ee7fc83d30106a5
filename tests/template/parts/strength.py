"""The sheet of `pages/strength.py` as plain Python. Its decisions are held by tests/template/test_pipe_decisions.py."""

import math

import hydrofunc as hf
from hydrofunc.template.pages import strength
from hydrofunc.template.pages.route import RATING_THERE

from . import route

_UNLIKE = {
    "length_2": 150.0,
    "bore_2": 26.0,
    "roughness_2": 0.007,
    "length_3": 40.0,
    "bore_3": 20.4,
    "roughness_3": 0.0,
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
}
GOOD = {}


def one_section(v, r, i, walls, present):
    """(wall, kept when warm, may bear, rest and surge, stress, % of it), and (mass of a metre, support spacing),
    of a section.
    """
    kept = route.kept_when_warm(v, i)
    if i > 1 and i not in present:
        return ["", kept, "", "", "", ""], ["", ""]
    own = v[f"material_{i}"] if i > 1 else None
    bore, wall = (r["bore_used"], r["wall_used"]) if i == 1 else (v[f"bore_{i}"], walls[i])
    outside, material = bore + 2 * wall, own or v["pipe_material"]
    bears = (hf.design_stress(own) if own else r["design_stress_used"]) * kept
    pressure = strength.REST[i - 1].value(v | r) + r["blocked_surge"]
    stress = pressure / 10 * outside / (2 * wall)
    mass = hf.pipe_mass(outside, wall, 1, material) + r["water_density"] * math.pi / 4 * (bore / 1000) ** 2
    span = hf.support_spacing(outside, wall, hf.elastic_modulus(material, "long"), mass, v["allowed_sag"], r["gravity"])
    return [wall, kept, bears, pressure, stress, 100 * stress / bears], [mass, span]


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    g, density, flow, bore = r["gravity"], r["water_density"], r["flow"], r["bore_used"]
    material, whole, rest = (
        v["pipe_material"],
        r["whole_length"],
        hf.static_pressure(r["gross_head"], v["water_temperature"], r["gravity"]),
    )
    wall = r["wall_used"] = v["own_wall"] or hf.pipe_wall(v["pipe_standard"], v["pipe_size"], v["pipe_class"])
    outside = r["outside_used"] = bore + 2 * wall
    more = {
        f"{what}_{i}": v[f"{what}_{i}"] for i in (2, 3) for what in ("length", "bore") if v[f"{what}_{i}"] is not None
    }
    present = [i for i in (2, 3) if v[f"length_{i}"]]
    walls = {i: strength.wall_of(i).value(v | r) for i in present}
    last_wall = r["outlet_wall"] = walls[present[-1]] if present else wall
    last_outside = r["outlet_outside"] = r["outlet_bore"] + 2 * last_wall
    r["pipe_sdr"] = outside / wall
    modulus = r["modulus_used"] = v["own_modulus"] or hf.elastic_modulus(material)
    poisson = r["poisson_used"] = hf.poisson_ratio(material)
    stress = r["design_stress_used"] = v["own_design_stress"] or hf.design_stress(material)
    factor = r["temperature_factor"] = v["own_temperature_factor"] or hf.temperature_factor(
        material, v["wall_temperature"]
    )
    weakest = min(route.kept_when_warm(v, i) for i in (1, 2, 3))
    warm = r["rating_warm"] = min(v["pipe_rating"] * weakest, r[f"rating_used_{max([1, *present])}"])
    r["wall_class"] = hf.wall_pressure(outside, wall, stress) * factor

    r["rest_at_nozzle"] = rest
    squeeze = r["water_modulus"] = hf.bulk_modulus(v["water_temperature"])

    def wave(bore, wall, modulus, poisson):
        return hf.wave_speed(bore, wall, modulus, poisson, v["pipe_support"], squeeze, density)

    speeds = {"wave_speed": wave(bore, wall, modulus, poisson)}
    for i in (2, 3):
        speeds[f"wave_speed_{i}"] = 0.0
        if i in present:
            other = v[f"material_{i}"]
            stiff = (hf.elastic_modulus(other), hf.poisson_ratio(other)) if other else (modulus, poisson)
            speeds[f"wave_speed_{i}"] = wave(v[f"bore_{i}"], walls[i], *stiff)
    r |= speeds
    lengths = {key: value for key, value in more.items() if key.startswith("length")}
    line = {"length": v["pipe_length"], "bore": bore, "density": density, **speeds, **more}
    travelled = {"length": v["pipe_length"], **speeds, **lengths}
    back = r["wave_return"] = hf.critical_time(**travelled)
    r["blocked_surge"] = hf.surge_pressure(flow, 0, **line)
    blocked = r["blocked_total"] = rest + r["blocked_surge"]
    valve = {
        "nozzle": v["nozzle"],
        "bore": r["outlet_bore"],
        "net_head": r["net_head"],
        "jets": v["jets"],
        "contraction": v["contraction"],
        "peak_head": max(warm * 1e5 / (density * g), r["net_head"]),
    }
    stop = r["valve_stop"] = hf.stopping_time(v["valve_time"], **valve)
    r["valve_surge"] = hf.surge_pressure(flow, stop, **line)
    r["valve_total"] = rest + r["valve_surge"]
    room = r["surge_allowed"] = warm - rest
    r["safe_stop"] = hf.safe_closing_time(room, flow, **line) if room > 0 else "#N/A"
    r["safe_valve_time"] = max(r["safe_stop"], back) / hf.stopping_time(1, **valve) if room > 0 else "#N/A"
    r["full_surge"] = hf.full_surge_length(stop, **travelled)
    parts = [one_section(v, r, i, walls, present) for i in (1, 2, 3)]
    tables["sections"], tables["supports"] = map(list, zip(*parts))
    r["worst_share"] = max(row[-1] for row in tables["sections"] if row[-1] != "")
    pull = r["usable_suction_bar"] = r["usable_suction"] * density * g / 1e5

    rows, lowest = [], []
    for i in route.POINTS:
        if i not in r["route"]:
            rows.append(["", "", "", "", "", ""])
            continue
        point = r["route"][i]
        chainage = point["chainage"]
        rise = hf.surge_pressure(flow, stop, chainage=min(chainage, whole), **line)
        high, low = point["rest"] + rise, point["rest"] - rise
        share = 100 * high / RATING_THERE.value(v | r | {"chainage": chainage})
        says = strength.SAYS.value(r | {"chainage": chainage, "lowest": low, "share": share})
        rows.append([chainage, high, low, says, rise, share])
        lowest.append(low)
    tables["strength"] = rows
    r["down_surge_low"] = min(lowest) if lowest else ""
    r["parts_above"] = max(0.0, r["blocked_surge"] - pull)

    r["bend_push"] = hf.bend_force(blocked, flow, last_outside, r["outlet_bore"], v["largest_bend"], density)
    r["end_push"] = hf.end_force(blocked, last_outside)
    r["pipe_water"] = hf.pipe_volume(v["pipe_length"], bore, **more)
    r["emptying_time"] = r["pipe_water"] / flow / 60
    r["filling_time"] = r["pipe_water"] / r["available_flow"] / 60
    r["start_up"] = hf.starting_time(0.9, flow, r["gross_head"], v["pipe_length"], bore, g, **more)


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    low = r["down_surge_low"]
    return [
        (100 * r["blocked_total"] / r["rating_warm"], 80, 100, False),
        (100 * r["valve_total"] / r["rating_warm"], 80, 100, False),
        (r["worst_share"], 100, 125, False),
        (100 * v["pipe_rating"] * r["temperature_factor"] / r["wall_class"], 105, 130, False),
        (100 * max(0.0, -low) / r["usable_suction_bar"] if low != "" else 0.0, 50, 100, False),
    ]
