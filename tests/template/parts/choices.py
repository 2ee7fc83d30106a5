"""The sheets of `pages/choices.py` and `pages/tried.py` as plain Python, and what the best plant of many would give."""

import math

import numpy as np

import hydrofunc as hf

SITES: dict = {}
STOP: dict = {}
GOOD: dict = {}
SPEEDS, NOZZLES, VOLTS, PITCHES, AT_HAND = 16, 15, 31, 9, 12
AREAS = (1.5, 2.5, 4, 6, 10, 16, 25, 35, 50)
# What the page's limits hold in a new template; a site may change any.
LIMITS = {
    "expected_share": 50,
    "best_ratio": 0.46,
    "pitch_least": 10,
    "pitch_most": 2000,
    "speed_most": 3000,
    "speed_beyond": 1.5,
    "speed_span": 15,
    "nozzle_span": 1.4,
    "drill_step": 0.5,
    "fine_drill_step": 0.1,
    "fine_drills_to": 13,
    "volts_span": 2,
    "pitch_span": 1.25,
    "copper_share": 15,
    "copper_speed": 1000,
    "winding_ratio": 1.5,
    "bridge_pulses": 6,
    "ohms_most": 100,
    "volts_most": 500,
    "least_share": 1,
    "good_loss": 5,
    "tracker_ratio": 2,
    "cable_warm": 70,
    "current_reserve": 1.25,
    "fuse_largest": 1250,
    "thickest_cable": 16,
    "nozzle_least": 0.5,
    "jet_least": 1,
    "watts_least": 0.1,
    "most_at_12": 200,
    "most_at_24": 800,
    "most_at_48": 3000,
    "usual_windage": 0.15,
    "usual_pitch": 100,
    "windage_most": 10000,
    "fan_power": 5,
}
COLUMNS = (
    "nozzle",
    "pitch_diameter",
    "phase_volts",
    "phase_resistance",
    "phase_inductance",
    "cable_resistance",
    "battery_volts",
    "load_resistance",
    "windage",
    "connection",
)


def called(function, plant, **changes):
    """A call with those of the arguments the function has."""
    known = {argument.name for argument in function.arguments}
    return function(**{name: value for name, value in (plant | changes).items() if name in known})


def water(plant, nozzle):
    """Flow and jet velocity of a nozzle."""
    flow = called(hf.operating_flow, plant, nozzle=nozzle)
    head = called(hf.nozzle_head, plant, flow=flow, nozzle=nozzle)
    return flow, called(hf.jet_velocity, plant, net_head=head)


def sought(plant, nozzle, s):
    """Flow, and the jet velocity for which a wheel is sought."""
    flow, jet = water(plant, nozzle)
    return flow, max(s["jet_least"], jet)


def watts(plant, **row):
    """Watts into the battery of a plant with other choices."""
    return called(hf.power_ledger, plant, **row)


def settled(plant, row):
    """Watts, current and speed of a plant."""
    flow, jet = water(plant, row["nozzle"])
    turning = plant | row | {"flow": flow, "jet_velocity": jet}
    return watts(plant, **row), called(hf.operating_current, turning), called(hf.operating_speed, turning)


def steps(centre, span, count):
    """From centre / span to centre x span, in equal ratios."""
    step = span ** (2 / (count - 1))
    return [centre / span * step**place for place in range(count)]


def ampacity(area, s):
    """What a cable carries; 0 where the standard's table has no such size."""
    try:
        return hf.cable_ampacity(area, s["cable_material"], s["cable_laid"], s["cable_around"])
    except hf.InputError:
        return 0


def fuse(current, s):
    """The smallest that carries a current; "" where the series ends."""
    try:
        return hf.fuse_size(current, 2 * s["fuse_largest"], s["fuse_margin"])
    except hf.InputError:
        return ""


def best(values, gives):
    """The value of the row that gives the most; of equals, the first."""
    return values[max(range(len(values)), key=lambda row: (gives[row], -row))]


def choices(plant, s):
    """(results by name, rows of formula values by table) from the rows above the choices and the other cells.

    `plant` holds the block's rows by name. `s` holds limits, sizes at hand, cable and safety inputs, bench readings,
    and what is typed for a choice under `typed_` and its name (None or no entry: nothing).
    """
    s = LIMITS | s
    r, tables = {}, {}

    def yours(name):
        return s.get(f"typed_{name}")

    def typed(name, otherwise):
        return otherwise if yours(name) is None else yours(name)

    def shown(value):
        return "" if value is None else value

    bench = dict.fromkeys(("volts", "ohms", "henries"))
    if s.get("test_volts") is not None and s.get("test_speed") is not None:
        bench["volts"] = hf.emf_constant(s["test_volts"], s["test_speed"], s["test_connection"])
    if s.get("terminal_resistance") is not None:
        bench["ohms"] = hf.phase_resistance(s["terminal_resistance"], s["test_connection"])
    if s.get("terminal_inductance") is not None:
        bench["henries"] = hf.phase_inductance(s["terminal_inductance"], s["test_connection"])
    known_volts = typed("phase_volts", bench["volts"])
    known_ohms = typed("phase_resistance", bench["ohms"])
    known_henries = typed("phase_inductance", bench["henries"])
    known = r["winding_known"] = known_volts is not None and (known_ohms or 0) > 0
    fixed_ohms, fixed_henries = (None, None) if known else (known_ohms, known_henries)
    r |= {f"bench_{name}": shown(value) for name, value in bench.items()}
    r["known_phase_volts"], r["known_phase_resistance"] = shown(known_volts), shown(known_ohms)
    r["known_phase_inductance"] = shown(known_henries)
    r["fixed_ohms"], r["fixed_henries"] = shown(fixed_ohms), shown(fixed_henries)
    joinings = r["joinings"] = yours("connection") or ("star" if known_volts is None else "both")

    r["row_nozzle"] = typed("nozzle", min(s["widest_nozzle"], max(s["nozzle_least"], called(hf.best_nozzle, plant))))
    flow, jet = r["row_flow"], r["row_jet"] = sought(plant, r["row_nozzle"], s)
    true_jet = water(plant, r["row_nozzle"])[1]
    r["row_jet_power"] = max(s["watts_least"], called(hf.jet_power, plant, flow=flow, jet_velocity=true_jet))
    expected = r["expected_watts"] = s["expected_share"] / 100 * r["row_jet_power"]
    least = r["least_watts"] = s["least_share"] / 100 * r["row_jet_power"]
    r["row_pitch_least"] = s["pitch_least"] * hf.jet_diameter(r["row_nozzle"], plant["contraction"])
    r["highest_speed"] = min(s["speed_most"], hf.runner_speed(jet, r["row_pitch_least"], s["best_ratio"]))
    r["speed_step"] = s["speed_span"] ** (1 / (SPEEDS - 1))
    for name, count in (("nozzle", NOZZLES), ("volts", VOLTS), ("pitch", PITCHES)):
        r[f"{name}_step"] = s[f"{name}_span"] ** (2 / (count - 1))

    cable_of_1 = r["ohms_of_1"] = hf.cable_resistance(s["cable_length"], 1, s["cable_material"], s["cable_warm"])
    fits, charged, tables["banks"] = [], [], []
    for volts in (12, 24, 48):
        charging, most = s.get(f"charging_{volts}") or s["block_charging"] * volts / 12, s[f"most_at_{volts}"]
        charged.append(charging)
        current = s["current_reserve"] * expected / charging
        area = cable_of_1 * current / (s["cable_drop"] / 100 * charging)
        good = charging if expected <= most and area <= s["thickest_cable"] else ""
        fits += [good] if good else []
        tables["banks"].append([charging, current, area, most, good, s.get(f"charging_{volts}") or 0.0])
    named = r["named_bank"] = s["block_charging"] * (s.get("battery_nominal") or 0) / 12
    r["rule_bank"] = min(fits) if fits else max(charged)
    r["proposed_battery_volts"] = named or r["rule_bank"]
    bank = r["bank_used"] = typed("battery_volts", r["proposed_battery_volts"])
    r["proposed_load_resistance"] = bank**2 / expected
    resistor = r["resistor_used"] = typed("load_resistance", r["proposed_load_resistance"])
    r["resistor_volts"] = math.sqrt(expected * resistor)
    r["target_volts"] = {"battery": bank, "controller": s["tracker_ratio"] * bank, "resistor": r["resistor_volts"]}[
        plant["load"]
    ]
    r["row_circuit_volts"] = r["target_volts"] * (1 + s["cable_drop"] / 100) + 2 * plant["diode_drop"]

    r["copper_speed_used"] = min(s["copper_speed"], r["highest_speed"])
    r["copper_current"] = expected / hf.open_circuit_volts(r["copper_speed_used"], 1, "star")
    r["copper_ohms"] = s["copper_share"] / 100 * expected / (hf.copper_loss(1, 1, "star") * r["copper_current"] ** 2)
    copper = r["copper_ratio"] = known_ohms / known_volts**2 if known else r["copper_ohms"]
    winding = r["winding_used"] = s["winding_ratio"]
    if known and known_henries is not None:
        winding = r["winding_used"] = known_henries / known_ohms
    r["copper_loss_each"] = hf.copper_loss(1, copper, "star")
    r["volts_bound"] = min(s["volts_most"], math.sqrt(s["ohms_most"] / copper))
    r["delta_ratio"] = math.sqrt(3)
    r["joined_ratio"] = math.sqrt(3) if joinings == "delta" else 1.0

    base, power = (s["usual_windage"], s["fan_power"]) if yours("windage") is None else (yours("windage"), 0)
    r["windage_base"], r["windage_power"] = base, float(power)

    def wind(pitch):
        return min(s["windage_most"], base * (pitch / s["usual_pitch"]) ** power)

    def row(nozzle, pitch, volts, cable, bank, connection):
        ohms = copper * volts**2 if fixed_ohms is None else fixed_ohms
        henries = winding * ohms if fixed_henries is None else fixed_henries
        return dict(zip(COLUMNS, (nozzle, pitch, volts, ohms, henries, cable, bank, resistor, wind(pitch), connection)))

    speeds, currents, pitches, windings, cables, star, delta, counts = ([] for _ in range(8))
    r["drop_each"] = s["bridge_pulses"] * winding / 1000 * copper
    r["pitch_floor"], r["pitch_ceiling"] = yours("pitch_diameter") or 0.0, typed("pitch_diameter", s["pitch_most"])
    r["nozzle_start"] = r["row_nozzle"] / s["nozzle_span"]
    tables["speeds"], tables["speeds_tried"] = [[]], [[]]
    for place in range(SPEEDS):
        speed = r["highest_speed"] * s["speed_beyond"] / r["speed_step"] ** place
        free = hf.pitch_diameter(jet, speed, s["best_ratio"])
        pitch = typed("pitch_diameter", min(s["pitch_most"], max(r["row_pitch_least"], free)))
        shaft = called(
            hf.wheel_power, plant, speed=speed, flow=flow, jet_velocity=jet, pitch_diameter=pitch, windage=wind(pitch)
        )
        given = max(least, shaft - plant["iron_drag"] * speed * 2 * math.pi / 60)
        each = hf.open_circuit_volts(speed, 1, "star")
        drop = s["bridge_pulses"] * hf.electrical_frequency(speed, plant["pole_pairs"]) * winding / 1000 * copper
        first = given / each
        product = (given + drop * first**2) / each
        left = max(least, given - r["copper_loss_each"] * product**2)
        current = left / r["row_circuit_volts"]
        fitting = min(r["volts_bound"], r["joined_ratio"] * product / current)
        cable = min(s["ohms_most"], s["cable_drop"] / 100 * r["target_volts"] / current)
        volts = fitting if known_volts is None else known_volts
        tables["speeds"].append(
            [
                *(speed, pitch, r["row_nozzle"], wind(pitch), shaft, given, each, drop, first, product, left, current),
                *(fitting, volts, cable, free),
            ]
        )
        tried = row(r["row_nozzle"], pitch, volts, cable, bank, "delta")
        in_star, in_delta = watts(plant, **tried | {"connection": "star"}), watts(plant, **tried)
        counted = {"star": in_star, "delta": in_delta}.get(joinings, max(in_star, in_delta))
        tables["speeds_tried"].append(["star", *tried.values(), in_star, in_delta, counted])
        for column, value in zip(
            (speeds, currents, pitches, windings, cables, star, delta, counts),
            (speed, current, pitch, fitting, cable, in_star, in_delta, counted),
        ):
            column.append(value)
    r["best_row"] = counts.index(max(counts)) + 2  # the first row holds the names
    row_speed, r["row_pitch"] = speeds[r["best_row"] - 2], pitches[r["best_row"] - 2]
    r["row_speed"] = row_speed
    r["delta_gain"] = max(delta) - max(star)
    r["proposed_connection"] = "delta" if joinings != "star" and r["delta_gain"] > 0 else "star"
    joined = r["connection_used"] = r["proposed_connection"] if joinings == "both" else joinings
    r["used_ratio"] = math.sqrt(3) if joined == "delta" else 1.0
    r["row_volts"] = windings[r["best_row"] - 2] * r["used_ratio"] / r["joined_ratio"]

    wanted = r["cable_current"] = s["current_reserve"] * max(
        currents[r["best_row"] - 2], max(counts) / r["target_volts"]
    )
    rated = r["cable_fuse"] = fuse(wanted, s)
    needs = r["cable_fuse_needs"] = hf.fuse_ampacity(rated) if rated != "" else ""
    good, tables["areas"] = [], []
    sizes = [s[f"cable_size_{i}"] for i in range(1, len(AREAS) + 1)]
    for area in sizes:
        if not area:
            tables["areas"].append([0.0, "", "", 0.0, ""])
            continue
        resistance = hf.cable_resistance(s["cable_length"], area, s["cable_material"], s["cable_warm"])
        lost = 100 * wanted * resistance / bank
        carries = ampacity(area, s)
        good.append(area if lost <= s["cable_drop"] and rated != "" and needs <= carries else "")
        tables["areas"].append([area, resistance, lost, carries, good[-1]])
    r["proposed_cable_area"] = min((area for area in good if area), default=max(filter(None, sizes)))
    r["area_used"] = typed("cable_area", r["proposed_cable_area"])
    cable = hf.cable_resistance(s["cable_length"], r["area_used"], s["cable_material"], s["cable_temperature"])
    cable = r["cable_used"] = typed("cable_resistance", cable)
    r["ampacity_used"] = ampacity(r["area_used"], s)

    nozzles, pitches, gives, tables["nozzles_tried"] = [], [], [], [[]]
    for nozzle in steps(r["row_nozzle"], s["nozzle_span"], NOZZLES):
        nozzle = min(s["widest_nozzle"], nozzle)
        jet = water(plant, nozzle)[1]
        smallest = s["pitch_least"] * hf.jet_diameter(nozzle, plant["contraction"])
        free = hf.pitch_diameter(max(s["jet_least"], jet), row_speed, s["best_ratio"])
        pitch = typed("pitch_diameter", min(s["pitch_most"], max(smallest, free)))
        volts = r["row_volts"] if known_volts is None else known_volts
        tried = row(nozzle, pitch, volts, cable, bank, joined)
        for column, value in zip((nozzles, pitches, gives), (nozzle, pitch, watts(plant, **tried))):
            column.append(value)
        tables["nozzles_tried"].append([*tried.values(), gives[-1], smallest, free, jet])
    r["proposed_nozzle"] = best(nozzles, gives)
    nozzle = r["nozzle_used"] = typed("nozzle", r["proposed_nozzle"])
    r["nozzle_pitch"] = best(pitches, gives) if yours("nozzle") is None else r["row_pitch"]
    smallest = r["pitch_least_used"] = s["pitch_least"] * hf.jet_diameter(nozzle, plant["contraction"])

    rows = []
    for volts in steps(r["row_volts"], s["volts_span"], VOLTS):
        fitting = min(s["pitch_most"], max(smallest, r["nozzle_pitch"] * volts / r["row_volts"]))
        rows.append(row(nozzle, typed("pitch_diameter", fitting), volts, cable, bank, joined))
    gives = [watts(plant, **tried) for tried in rows]
    volts = [tried["phase_volts"] for tried in rows]
    enough = [one if given >= (1 - s["good_loss"] / 100) * max(gives) else "" for one, given in zip(volts, gives)]
    free = [r["nozzle_pitch"] * one / r["row_volts"] for one in volts]
    tables["volts"] = [[], *([*t.values(), *rest] for t, *rest in zip(rows, gives, enough, free))]
    r["proposed_phase_volts"] = best(volts, gives)
    r["proposed_volts_low"] = min(one for one in enough if one)
    r["proposed_volts_high"] = max(one for one in enough if one)
    volts = r["volts_used"] = r["proposed_phase_volts"] if known_volts is None else known_volts
    r["first_volts"] = r["row_volts"] if known_volts is None else known_volts
    r["volts_start"] = r["row_volts"] / s["volts_span"]
    r["volts_pitch"] = r["nozzle_pitch"] * (1 if known_volts is not None else volts / r["row_volts"])
    middle = min(s["pitch_most"], max(smallest, r["volts_pitch"]))
    r["pitch_start"] = middle / s["pitch_span"]
    used = row(nozzle, 1, volts, cable, bank, joined)
    r["proposed_phase_resistance"], r["proposed_phase_inductance"] = (
        used[f"phase_{what}"] for what in ("resistance", "inductance")
    )
    tables["windings"] = []
    for one in (r["proposed_volts_low"], r["proposed_phase_volts"], r["proposed_volts_high"]):
        one = one / r["used_ratio"]
        tables["windings"].append([one * r["used_ratio"], one, copper * one**2, math.sqrt(3) * one])

    rows = [
        row(nozzle, min(s["pitch_most"], max(smallest, pitch)), volts, cable, bank, joined)
        for pitch in steps(middle, s["pitch_span"], PITCHES)
    ]
    gives = [watts(plant, **tried) for tried in rows]
    free = steps(middle, s["pitch_span"], PITCHES)
    tables["pitches"] = [[], *([*tried.values(), given, step] for tried, given, step in zip(rows, gives, free))]
    r["proposed_pitch"] = best([tried["pitch_diameter"] for tried in rows], gives)
    pitch = r["pitch_used"] = typed("pitch_diameter", r["proposed_pitch"])

    step = r["drill_step_used"] = s["fine_drill_step" if r["proposed_nozzle"] < s["fine_drills_to"] else "drill_step"]
    middle = math.floor(r["proposed_nozzle"] / step + 0.5)
    r["drill_start"] = middle - AT_HAND // 2
    drills = [step * max(1, middle + place) for place in range(-5, 7)]
    r |= {f"drill_size_{i}": drill for i, drill in enumerate(drills, start=1)}
    tables["drills"] = [[drill] for drill in drills]
    sizes, tables["at_hand"] = {}, [[]]
    for i, drill in enumerate(drills, start=1):
        size = drill if s.get(f"nozzle_size_{i}") is None else s[f"nozzle_size_{i}"]
        at_hand = size
        size = "" if size > s["widest_nozzle"] else size
        tried = row(size, pitch, volts, cable, bank, joined)
        given = "" if size == "" else watts(plant, **tried)
        sizes |= {} if size == "" else {size: given}
        tables["at_hand"].append([*tried.values(), given, at_hand, size != ""])
    r["recommended_nozzle"] = best(list(sizes), list(sizes.values())) if sizes else r["proposed_nozzle"]
    r["final_nozzle"] = typed("nozzle", r["recommended_nozzle"])

    full = s.get("dump_volts") or s["charging_rise"] * bank
    if s.get("of_template") and plant["load"] == "resistor" and not s.get("dump_volts"):  # the volts at which it runs
        row_used = row(r["final_nozzle"], pitch, volts, cable, bank, joined)
        flow, jet = water(plant, row_used["nozzle"])
        full = called(hf.operating_volts, plant | row_used | {"flow": flow, "jet_velocity": jet})
    tables["final"] = [[]]
    for name, nozzle, volts_of_bank in (
        ("final", r["final_nozzle"], bank),
        ("measure", r["nozzle_used"], bank),
        ("recommended", r["recommended_nozzle"], bank),
        ("charged", r["final_nozzle"], full),
    ):
        tried = row(nozzle, pitch, volts, cable, volts_of_bank, joined)
        r[f"{name}_watts"], r[f"{name}_current"], r[f"{name}_speed"] = results = settled(plant, tried)
        tables["final"].append([*tried.values(), *results])
    r["proposed_speed"] = r["final_speed"]
    r["best_watts"] = max(r["measure_watts"], r["recommended_watts"])
    r["recommended_loss"] = 100 * (1 - r["recommended_watts"] / r["best_watts"]) if r["best_watts"] > 0 else 0
    rated = r["final_fuse"] = fuse(r["final_current"], s)
    r["final_fuse_needs"] = hf.fuse_ampacity(r["final_fuse"]) if r["final_fuse"] != "" else ""
    r["proposed_fuse"] = rated if rated != "" and r["final_fuse_needs"] <= r["ampacity_used"] else ""
    r["proposed_dump_watts"] = s["dump_margin"] * max(r["final_watts"], r["charged_watts"])
    r["proposed_dump_ohms"] = hf.dump_resistance(r["proposed_dump_watts"], full) if r["proposed_dump_watts"] else ""
    r["choices_say"] = "good" if r["best_watts"] > 0 else "no watts: the drags take all"
    return r, tables


ABOVE = {  # rows of the block above the choices: name in the functions, name on the sheets
    "length": "pipe_length",
    "bore": "bore_used",
    "roughness": "roughness_used",
    "fittings": "fittings_k",
    "temperature": "water_temperature",
    **{
        name: name
        for name in """gross_head length_2 bore_2 roughness_2 length_3 bore_3 roughness_3 gravity jets
        velocity_coefficient contraction available_flow deflection cup_friction alignment bearing_drag windage
        pole_pairs diode_drop iron_drag load controller_efficiency""".split()
    },
}
TYPED = """nozzle pitch_diameter phase_volts phase_resistance phase_inductance connection battery_volts load_resistance
cable_area cable_resistance windage""".split()


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    known = {name: value for names in (r, v) for name, value in names.items() if value is not None and value != ""}
    plant = {name: known[cell] for name, cell in ABOVE.items() if cell in known}
    typed = {f"typed_{name}": v.get(name) for name in TYPED} | {"of_template": True}
    names, rows = choices(
        plant, known | typed | {f"nozzle_size_{i}": v[f"nozzle_size_{i}"] for i in range(1, AT_HAND + 1)}
    )
    r |= names
    tables |= rows


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    return []


def best_of_all(plant, r, limits, fineness=1):
    """(watts, volts of one phase) of the best of some 70,000 plants: nozzle x pitch circle x winding of equal copper.

    Round the proposal `r`: nozzles from half to one and a half, pitch circles and windings from a quarter to four
    times.
    """
    bore = limits["widest_nozzle"]
    nozzles = r["nozzle_used"] * np.linspace(0.5, 1.5, 20 * fineness + 1)[:, None, None]
    pitches = r["pitch_used"] * np.geomspace(0.25, 4, 56 * fineness + 1)[None, :, None]
    volts = r["volts_used"] * np.geomspace(0.25, 4, 60 * fineness + 1)[None, None, :]
    resistance = r["copper_ratio"] * volts**2
    gives = watts(
        plant,
        nozzle=np.minimum(nozzles, bore),
        pitch_diameter=np.minimum(pitches, limits["pitch_most"]),
        phase_volts=volts,
        phase_resistance=resistance,
        phase_inductance=r["winding_used"] * resistance,
        cable_resistance=r["cable_used"],
        battery_volts=r["bank_used"],
        connection=r["connection_used"],
        windage=np.minimum(
            limits["windage_most"],
            r["windage_base"]
            * (np.minimum(pitches, limits["pitch_most"]) / limits["usual_pitch"]) ** r["windage_power"],
        ),
    )
    possible = np.minimum(pitches, limits["pitch_most"]) >= limits["pitch_least"] * hf.jet_diameter(
        np.minimum(nozzles, bore), plant["contraction"]
    )
    gives = np.where(possible, gives, 0)
    place = np.unravel_index(np.argmax(gives), gives.shape)
    return gives[place], volts[0, 0, place[2]]
