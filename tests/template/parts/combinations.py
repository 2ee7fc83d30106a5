"""The sheet of `pages/combinations.py` as plain Python: all combinations as arrays, in one call for each quantity."""

import math

import numpy as np

import hydrofunc as hf
from tests.template.parts import what_pays
from tests.template.parts.what_pays import NO_NUMBER, NONE, called

SITES = {
    "own list of pipes, a budget and a weight": {
        "own_pipe_bore_2": 28.0,
        "own_pipe_wall_2": 2.5,
        "own_pipe_mass_2": 75.0,
        "own_pipe_rating_2": 10.0,
        "own_pipe_bore_3": 18.0,
        "own_pipe_bore_5": 45.0,
        "own_pipe_wall_5": 2.0,
        "own_pipe_rating_5": 6.0,
        "pipe_cost_6": None,
        "cost_jet": None,
        "budget": 700.0,
        "carry": 300.0,
        "nozzle_size_1": 5.0,
        "nozzle_size_3": 6.5,
        "nozzle_size_4": 8.0,
    },
    "two jets now, nothing fits": {"jets": 2.0, "nozzle": 5.0, "carry": 1.0},
    "three jets, other sections, no rating": {
        "jets": 3.0,
        "nozzle": 4.0,
        "length_2": 100.0,
        "bore_2": 26.0,
        "roughness_2": 0.01,
        "own_pipe_rating_4": 12.0,
    },
}
STOP = {}
GOOD = {}
DIRECTIONS = ("", "narrower", "narrower", "wider", "wider", "wider")
BANKS = (12, 24, 48)
STEPS = range(-3, 4)


def is_number(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def rounded(number, digits=0):
    """Halves away from 0, of the fifteen digits that a worksheet has."""
    return math.copysign(math.floor(float(f"{abs(number) * 10**digits:.15g}") + 0.5) / 10**digits, number)


def attempt(answer):
    """What it gives, or "" where that is no number."""
    try:
        value = answer()
    except NO_NUMBER:
        return ""
    return "" if isinstance(value, float) and math.isnan(value) else value


def _neighbour(what, v, bore, direction):
    try:
        return getattr(hf, f"next_pipe_{what}")(v["pipe_standard"], v["pipe_class"], bore, direction)
    except NO_NUMBER:
        return NONE if what == "bore" else ""


def _pipes(v, r):
    """Each pipe of the list: what counts of it, and the formula cells of its row."""
    more = (v["length_2"] or 0) + (v["length_3"] or 0) > 0
    before, listed = "which way", ""
    for i, direction in enumerate(DIRECTIONS, start=1):
        start = listed if direction == before else r["bore_used"]
        before = direction
        listed = _neighbour("bore", v, start, direction) if direction else r["bore_used"]
        outside = _neighbour("outside", v, start, direction) if direction else r["outside_used"]
        listed_wall = (outside - listed) / 2 if is_number(outside) and is_number(listed) else ""
        own_bore, own_wall = v[f"own_pipe_bore_{i}"], v[f"own_pipe_wall_{i}"]
        bore = listed if own_bore is None else own_bore
        wall = own_wall if own_wall is not None else "" if own_bore is not None else listed_wall
        across = bore + 2 * wall if is_number(bore) and is_number(wall) else ""
        mass, price, own_rating = v[f"own_pipe_mass_{i}"], v[f"pipe_cost_{i}"], v[f"own_pipe_rating_{i}"]
        if mass is None:
            mass = attempt(lambda: hf.pipe_mass(across, wall, v["pipe_length"], v["pipe_material"]))  # noqa: B023
        rating = r["rating_warm"] if own_rating is None else own_rating * r["temperature_factor"]
        together = min(rating, r["rating_warm"]) if is_number(rating) and is_number(r["rating_warm"]) else ""
        wave = r["rigid_wave"]
        if is_number(wall):
            modulus, poisson = r["modulus_used"], r["poisson_used"]
            water = r["water_modulus"], r["water_density"]
            wave = attempt(lambda: hf.wave_speed(bore, wall, modulus, poisson, v["pipe_support"], *water))  # noqa: B023
            wave = r["rigid_wave"] if wave == "" else wave
        width = f"{rounded(bore if is_number(bore) else 0.0, 1):g}"
        label = f"bore {width} mm" if across == "" else f"{rounded(across, 1):g} mm (bore {width})"
        counts = together if more else rating
        price = "" if price is None else price
        cells = [bore, wall, across, mass, counts, listed, outside, listed_wall, start, price, rating, together, wave]
        yield (
            {"bore": bore, "mass": mass, "rating": counts, "price": price, "wave": wave, "label": label},
            [*cells, label],
        )


def _ways(v, r):
    """Batteries, connections and numbers of jets, and the formula cells of their rows."""
    now, volts = r["bank_now"], v["battery_volts"]
    for i, bank in enumerate(BANKS):
        price = v[f"cost_bank_{bank}"]
        way = {
            "bank": v["load"] if now == "" else f"{bank} V",
            "volts": ("" if i == 0 else NONE) if now == "" else volts * bank / now,
            "price": 0.0 if now in ("", bank) else "" if price is None else price,
        }
        cells = list(way.values())
        if i < 2:
            way["jets"] = v["jets"] if i == 0 else 2.0 if v["jets"] == 1 else 1.0
            extra = way["jets"] - v["jets"]
            each = v["cost_jet"]
            way["jets price"] = 0.0 if extra <= 0 else "" if each is None else extra * each
            cells += [way["jets"], way["jets price"]]
        yield way, cells


def _sizes(v, r, machine, pipes, jets):
    """Formula cells of the nozzles tried; the sizes are those from the second to the ninth."""
    typed = [v[f"nozzle_size_{i}"] for i in range(1, 13)]
    fitted = machine["nozzle"]
    yield [fitted] * len(STEPS)
    for i in range(12):
        pipe, count = pipes[i // 2], jets[i % 2]
        best = attempt(lambda: called(hf.best_nozzle, machine, bore=pipe["bore"], jets=count)) or fitted  # noqa: B023
        step = v["fine_drill_step" if best < v["fine_drills_to"] else "drill_step"]
        place = "" if typed[i] is None else i + 1.0
        known = [size for size in typed if size is not None]
        at_hand = 0.0 if not known else max(known) if typed[i] is None else typed[i]
        apart = v["drills_apart"]
        away = [best * apart**k if k >= 0 else best / apart**-k for k in STEPS]
        sizes = [at_hand or max(step, rounded(size / step) * step) for size in away]
        yield [best, *sizes, step, pipe["bore"], count, at_hand, place]


def numbers(values):
    """An array, NaN where there is no number."""
    return np.array([value if is_number(value) else np.nan for value in values])


def shown(array):
    """A list, "" where there is no number."""
    return ["" if np.isnan(value) else float(value) for value in array]


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    machine = what_pays.plant(v, r)
    pipes, tables["pipes"] = map(list, zip(*_pipes(v, r)))
    ways, tables["ways"] = map(list, zip(*_ways(v, r)))
    jets = [way["jets"] for way in ways[:2]]
    tables["combo_sizes"] = list(_sizes(v, r, machine, pipes, jets))
    order = [(p, b, c, j) for p in range(6) for b in range(3) for c in range(2) for j in range(2)]
    combos = [
        {
            "pipe": pipes[p],
            "bank": ways[b],
            "joined": ("star", "delta")[c],
            "jets": jets[j],
            "jets price": ways[j]["jets price"],
            "place": (p + 1.0, b + 1.0, c + 1.0, j + 1.0),
        }
        for p, b, c, j in order
    ]
    r["combo_now"] = r["judged_watts"]
    for row, combo in enumerate(combos, start=2):
        combo |= {"row": float(row), "water": r["driest_usable"]}
    _calculate(v, r, machine, combos, _tried(tables["combo_sizes"]))
    _judge(v, r, combos)
    tables["combos"] = [[v["last_gain"], 0.0, *[0.0] * 4, 1.0], *map(_row, combos)]
    _first(v, r, tables, pipes, combos)


def _tried(rows):
    return [*rows[0], *(size for row in rows[1:] for size in row[1 : 1 + len(STEPS)])]


def _calculate(v, r, machine, combos, sizes):
    """Adds nozzle, watts, flow and surges to every combination, all worked out together."""
    rows = machine | {
        "bore": numbers([combo["pipe"]["bore"] for combo in combos]),
        "connection": np.array([combo["joined"] for combo in combos], dtype=object),
        "jets": np.array([combo["jets"] for combo in combos]),
    }
    volts = [combo["bank"]["volts"] for combo in combos]
    if "battery_volts" in machine:
        rows["battery_volts"] = numbers(volts)
    change = ("bore", "connection", "jets", *(["battery_volts"] if "battery_volts" in machine else []))
    possible = np.array([value != NONE for value in volts]) & np.isfinite(rows["bore"])
    with np.errstate(all="ignore"):
        chosen = hf.nozzle_at_hand(machine, sizes, change, [rows[name] for name in change])
        rows["nozzle"] = np.where(possible, chosen, np.nan)
        flow = called(hf.operating_flow, rows)
        jet = called(hf.jet_velocity, rows, net_head=called(hf.nozzle_head, rows, flow=flow))
        turning = rows | {"flow": flow, "jet_velocity": jet}
        full = called(hf.operating_flow, _designed(v, r, rows), available_flow=math.inf)
        columns = {
            "nozzle": rows["nozzle"],
            "watts": called(hf.power_ledger, rows),
            "driest": called(hf.power_ledger, rows, available_flow=r["driest_usable"]),
            "open": called(hf.open_circuit_volts, rows, speed=called(hf.runaway_speed, turning)),
            "speed": called(hf.operating_speed, turning),
            "flow": full,
            "formula": called(
                hf.surge_pressure,
                rows,
                flow=full,
                closing_time=0,
                wave_speed=np.array([combo["pipe"]["wave"] for combo in combos]),
            ),
        }
    for name, column in columns.items():
        for combo, value in zip(combos, shown(np.where(np.isnan(rows["nozzle"]), np.nan, column))):
            combo[name] = value
    line = surge_line(v, r)
    # An empty flow counts as in the block.
    moved = {
        "flow": np.where(np.isfinite(full), full, line["flow"]),
        "bore": np.where(np.isfinite(rows["bore"]), rows["bore"], 1.0),
        "wave_speed": numbers([combo["pipe"]["wave"] for combo in combos]),
    }
    runs = hf.surge_run(line, "blocked_highest", math.inf, list(moved), list(moved.values()))
    for combo, value in zip(combos, shown(np.where(np.isfinite(rows["bore"]), runs, np.nan))):
        combo["run"] = value


def _designed(v, r, rows):
    """The pipe as designed, with what the combinations change: for the flow of a full pipe."""
    pipe = what_pays.water(v, {name: value for name, value in r.items() if not name.startswith("basis_")})
    return pipe | {name: rows[name] for name in ("bore", "jets", "nozzle")}


def surge_line(v, r):
    """The pipe and its flow when full, as HYDRO_SURGE_RUN takes them."""
    line = what_pays.water(v, {name: value for name, value in r.items() if not name.startswith("basis_")})
    line |= {name: r[name] for name in ("wave_speed", "wave_speed_2", "wave_speed_3")} | {"flow": r["full_flow"]}
    return {name: value for name, value in line.items() if value is not None}


def _judge(v, r, combos):
    """Adds what follows from the figures of all."""
    for combo in combos:
        pipe, bank, watts = combo["pipe"], combo["bank"], combo["watts"]
        prices = pipe["price"], bank["price"], combo["jets price"]
        combo["gain"] = "" if watts == "" else round(watts - r["judged_watts"], 3)
        combo["cost"] = sum(prices) if all(map(is_number, prices)) else ""
        combo["more cost"] = sum(prices[1:]) if all(map(is_number, prices[1:])) else ""
        combo["mass"] = pipe["mass"]
        surges = combo["formula"], combo["run"]
        combo["pressure"] = r["rest_at_end"] + max(surges) if all(map(is_number, surges)) else ""
        known = is_number(combo["pressure"]) and is_number(pipe["rating"])
        combo["share"] = 100 * combo["pressure"] / pipe["rating"] if known else ""
        cheap = v["budget"] is None or (combo["cost"] != "" and combo["cost"] <= v["budget"])
        light = v["carry"] is None or (combo["mass"] != "" and combo["mass"] <= v["carry"])
        strong = (combo["share"] or 0.0) <= v["fits_share"]
        combo["words"] = ["fits" if cheap else "over the budget"]
        combo["words"].append(combo["words"][0] if light else "too heavy")
        combo["words"].append(combo["words"][1] if strong else "above the rating")
        combo["fits"] = "not possible" if watts == "" else combo["words"][2]
        combo["rank"] = rounded(watts, 1) if watts != "" and combo["cost"] != "" and strong else v["last_gain"]
        combo["allowed"] = rounded(watts, 1) if combo["fits"] == "fits" else 0.0
        nozzle = "0" if combo["nozzle"] == "" else f"{rounded(combo['nozzle'], 2):.15g}"
        combo["label"] = f"{pipe['label']}, {combo['jets']:g} x {nozzle} mm, {combo['joined']}, {bank['bank']}"
    for combo in combos:
        rank, cost = combo["rank"], combo["cost"]
        combo["beaten by"] = "" if rank == v["last_gain"] else 0.0
        for other in combos if combo["beaten by"] != "" else ():
            if other["cost"] != "" and other["cost"] <= cost and other["rank"] >= rank:
                alike = (other["rank"], other["cost"]) == (rank, cost)
                combo["beaten by"] += not alike or other["row"] < combo["row"]
        combo["mark"] = "unbeaten" if combo["beaten by"] == 0 else ""
        combo["marked"] = cost if combo["mark"] else ""


def _row(combo):
    pipe, names = combo["pipe"], "label watts gain driest cost mass pressure share open fits mark speed"
    return [
        *(combo[name] for name in names.split()),
        combo["water"],
        pipe["bore"],
        combo["joined"],
        combo["bank"]["volts"],
        combo["jets"],
        0.0 if combo["nozzle"] == "" else combo["nozzle"],
        combo["flow"],
        pipe["bore"],
        pipe["wave"],
        *(combo[name] for name in ("formula", "run")),
        *combo["words"],
        *(combo[name] for name in ("rank", "allowed", "beaten by")),
        *combo["place"],
        combo["row"],
        combo["marked"],
        f"{combo['joined']}, {combo['bank']['bank']}",
        combo["more cost"],
    ]


FIGURES = ("watts", "gain", "driest", "cost", "mass", "pressure", "share", "open")


def _look(combo, limit):
    pressure = "pressure?" if combo["share"] == "" else ""
    return pressure + (" volts!" if (combo["open"] or 0.0) > limit else "")


def _first(v, r, tables, pipes, combos):
    """What stands first on the sheet."""
    limits = [value for value in (r.get("voltage_limit"), r["touch_volts"]) if is_number(value)]
    r["open_most"] = min(limits)

    def figures(combo):
        if combo is None:
            return ["", *[""] * len(FIGURES), "", ""]
        fast = " fast!" if combo["speed"] > v["speed_most"] else ""
        return [combo["label"], *(combo[name] for name in FIGURES), _look(combo, r["open_most"]) + fast, fast]

    def best(some):
        most = max(combo["allowed"] for combo in some)
        return most, [combo for combo in some if most > 0 and combo["allowed"] == most]

    most, alike = best(combos)
    first = alike[0] if alike else None
    r["best_combo_row"] = first["row"] if first else ""
    r["best_combo"] = first["label"] if first else "none fits"
    for name in ("watts", "gain", "driest", "cost", "mass", "share", "open"):
        r[f"best_combo_{name}"] = first[name] if first else ""
    r["combos_fit"] = float(sum(combo["fits"] == "fits" for combo in combos))
    r["combos_priced"] = float(sum(combo["cost"] != "" for combo in combos))
    tables["best_of_pipes"] = []
    for i, pipe in enumerate(pipes):
        most, alike = best(combos[12 * i : 12 * i + 12])
        label, *cells, fast = figures(alike[0] if alike else None)
        row = alike[0]["row"] if alike else ""
        tables["best_of_pipes"].append(
            [label or f"{pipe['label']}: none fits", *cells, row, float(most), i + 1.0, fast]
        )
    marked = sorted((combo for combo in combos if combo["marked"] != ""), key=lambda combo: combo["marked"])
    tables["unbeaten"] = []
    for i in range(10):
        combo = marked[i] if i < len(marked) else None
        *cells, fast = figures(combo)
        tables["unbeaten"].append([*cells, *(("", "") if combo is None else (combo["row"], combo["marked"])), fast])


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    return []
