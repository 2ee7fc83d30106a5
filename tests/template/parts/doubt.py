"""The sheet of `pages/doubt.py` as plain Python."""

import math

import hydrofunc as hf
from hydrofunc.template import INPUTS

from .what_pays import numbers, plant, watts

ITEM = {item.name: item for item in INPUTS}
# Argument, the input that declares its range (or None), stage, the input it is measured by.
LINES = (
    ("gross_head", None, "survey", "static_pressure"),
    ("source_flow", None, "survey", "bucket_seconds"),
    ("left_in_stream", "left_in_stream", "survey", "left_in_stream"),
    ("length", None, "survey", "pipe_length"),
    ("bore", None, "survey", "pipe_bore"),
    ("roughness", None, "test day", "pipe_roughness"),
    ("fittings", None, "survey", "elbows_90"),
    ("temperature", "water_temperature", "survey", "water_temperature"),
    ("nozzle", "nozzle", "bench", "nozzle"),
    ("velocity_coefficient", "velocity_coefficient", "test day", "velocity_coefficient"),
    ("contraction", "contraction", "test day", "contraction"),
    ("pitch_diameter", "pitch_diameter", "bench", "pitch_diameter"),
    ("deflection", "deflection", "bench", "deflection"),
    ("cup_friction", "cup_friction", "test day", "cup_friction"),
    ("alignment", "alignment", "test day", "alignment"),
    ("bearing_drag", "bearing_drag", "bench", "bearing_drag"),
    ("windage", "windage", "test day", "windage"),
    ("iron_drag", "iron_drag", "bench", "iron_drag"),
    ("phase_volts", "phase_volts", "bench", "test_volts"),
    ("phase_resistance", "phase_resistance", "bench", "terminal_resistance"),
    ("phase_inductance", "phase_inductance", "bench", "terminal_inductance"),
    ("pole_pairs", "pole_pairs", "bench", "pole_pairs"),
    ("diode_drop", "diode_drop", "bench", "diode_drop"),
    ("cable_resistance", None, "survey", "cable_length"),
    ("battery_volts", "battery_volts", "bench", "battery_volts"),
    ("load_resistance", "load_resistance", "bench", "load_resistance"),
    ("controller_efficiency", "controller_efficiency", "bench", "controller_efficiency"),
)
PERCENT = {
    *"source_flow length bore roughness fittings nozzle pitch_diameter".split(),
    *"bearing_drag windage iron_drag phase_volts".split(),
    *"phase_resistance phase_inductance cable_resistance battery_volts".split(),
}
NORMAL = {"gross_head", "length", "bore"}
LOGNORMAL = {
    *"source_flow roughness fittings bearing_drag windage iron_drag phase_volts".split(),
    *"phase_resistance phase_inductance nozzle pitch_diameter".split(),
}
SITES = {
    "everything certain": {f"doubt_{key}": 0.0 for key, *_ in LINES},
    "wide by one's own judgement, and everything measured that can be": {
        "doubt_alignment": 0.4,
        "doubt_gross_head": 40.0,
        "doubt_source_flow": 100.0,
        "doubt_contraction": 0.1,
        "doubt_temperature": 30.0,
        "doubt_nozzle": 3.0,
        "stage": "test day",
    },
    "head by altimeter, drilled hole, alternator not there": {
        "static_pressure": None,
        "level_difference": 61.0,
        "head_way": "altimeter",
        "nozzle_made": "drilled hole",
        "wheel_made": "a first one",
        "alternator_is": "to be chosen",
        "stage": "test day",
    },
    "machine at hand": dict.fromkeys(("nozzle_is", "wheel_is", "alternator_is"), "at hand") | {"stage": "bench"},
    "gauge that is described": {"gauge_range": 10.0, "gauge_class": 1.6, "bucket_seconds": None, "weir_head": 80.0},
    "no drag to doubt": {"bearing_drag": 0.0, "windage": 0.0, "iron_drag": 0.0},
}
STOP = {
    "Doubt about the watts, of the mean": {"doubt_gross_head": 60.0, "doubt_alignment": 0.8, "doubt_source_flow": 400.0}
}
GOOD = {}


def given(v, *names):
    """Whether a person gave all of these inputs."""
    return all(v[name] is not None for name in names)


def state(v, name):
    """The word of an input's state: yours where it is given."""
    if given(v, name):
        return "yours"
    on_load = {"battery_volts": v["load"] == "resistor", "load_resistance": v["load"] != "resistor"}
    on_load["controller_efficiency"] = v["load"] != "controller"
    if on_load.get(name):
        return "not needed"
    if name == "battery_volts":
        return "worked out" if given(v, "battery_nominal") else "proposed"
    tested = {"phase_volts": ("test_volts", "test_speed"), "phase_resistance": ("terminal_resistance",)}
    tested["phase_inductance"] = ("terminal_inductance",)
    if name in tested and given(v, *tested[name]):
        return "worked out"
    part = {"nozzle": "nozzle_is", "pitch_diameter": "wheel_is"} | dict.fromkeys(
        ("phase_volts", "phase_resistance"), "alternator_is"
    )
    if name in part:
        return "assumed" if v[part[name]] == "at hand" else "proposed"
    return "assumed" if name in tested else ITEM[name].state_when_empty


def hand(v, r):
    """(size, watts) of each nozzle at hand: a usual drill where none is given; "" for one wider than the pipe."""
    for i in range(1, 13):
        size = v[f"nozzle_size_{i}"] or r[f"drill_size_{i}"]
        yield size, watts(plant(v, r), nozzle=size) if size <= r["widest_nozzle"] else ""


def ranges(v, r):
    """By name: state, ± as it stands, ± when measured, of the lines whose range hangs on how they are known.

    Adds the workings to `r`.
    """
    gauge = given(v, "static_pressure")
    pressure = v["static_pressure"] or 0.0
    scale = v["gauge_range"] or max(10.0, 2 * pressure)
    r["state_of_gauge"] = given(v, "gauge_range", "gauge_class")
    r["state_of_head"] = ("yours" if r["state_of_gauge"] else "any gauge") if gauge else v["head_way"]
    r["measure_gross_head"] = "gauge_class" if gauge else "static_pressure"
    r["half_gauge"] = (
        hf.static_head(v["gauge_class"] / 100 * scale, 0, v["water_temperature"], r["gravity"]) if gauge else 0.0
    )
    r["half_height"] = {"level": r["gross_head"] / 100, "altimeter": 5.0}.get(v["head_way"], 8.0)
    r["half_gross_head"] = r["half_gauge"] if gauge else r["half_height"]
    good = min(r["half_gross_head"], 2.1 * r["gross_head"] / 100)
    r["measured_gross_head"] = r["half_gauge"] if r["state_of_head"] == "yours" else good

    by_bucket, by_weir = given(v, "bucket_volume", "bucket_seconds"), given(v, "weir_head")
    r["state_of_flow"] = "yours" if by_bucket or by_weir else state(v, "known_flow")
    r["half_bucket"] = 4 + (100 * 0.3 / v["bucket_seconds"] if v["bucket_seconds"] else 0.3)
    r["measured_source_flow"] = (
        r["half_bucket"]
        if given(v, "bucket_seconds")
        else 6.0
        if by_weir
        else 10.0
        if given(v, "known_flow")
        else r["half_bucket"]
    )
    r["told_flow_half"] = 69.0
    unknown, middle = (69.0, r["nozzle_takes"] / r["available_flow"]) if r["nozzle_tells"] else (300.0, 1.5 / 0.7)
    mine = r["state_of_flow"] == "yours"
    r["half_source_flow"], r["middle_flow"] = (r["measured_source_flow"], 1.0) if mine else (unknown, middle)
    r["state_of_bore"] = "yours" if given(v, "pipe_bore") else "from size"
    r["half_bore"] = 2.0 if given(v, "pipe_class") else 8.0
    r["state_of_roughness"] = "yours" if given(v, "pipe_roughness") else "assumed"
    known = given(v, "pipe_roughness") or given(v, "pipe_condition")
    r["middle_roughness"] = 1.0 if known else r["table_roughness"] / r["roughness_used"]
    r["half_roughness"] = 200.0 if v["pipe_condition"] == "new" else 900.0
    counted = any(given(v, name) for name in ("elbows_90", "elbows_45", "long_bends", "gate_valves"))
    r["state_of_fittings"] = "yours" if counted else "assumed"

    r["state_of_cable"] = (
        "yours" if given(v, "cable_resistance") else "by length" if given(v, "cable_length") else "assumed"
    )
    r["half_cable_warmth"] = 0.393 * 15
    r["half_cable_joints"] = math.hypot(r["half_cable_warmth"], 5)
    r["half_cable_length"] = 100 * (2 if given(v, "cable_length") else 45) / max(1, v["cable_length"])
    unread = v["cable_is"] == "at hand" and not given(v, "cable_area")
    long, thick = r["half_cable_length"], 60.0 if unread else 0.0
    r["half_cable_area"] = thick
    if thick > long:
        r["measure_cable"] = "cable_area"
    else:
        r["measure_cable"] = "cable_resistance" if given(v, "cable_length") else "cable_length"
    r["half_cable"] = 5.0 if r["state_of_cable"] == "yours" else math.hypot(long, thick, r["half_cable_joints"])
    left = math.hypot(min(long, thick), r["half_cable_joints"])
    r["measured_cable"] = 5.0 if r["measure_cable"] == "cable_resistance" else left

    makings = {"set with care": 0.16, "set by eye": 0.2, "a first one": 0.22}
    r["half_alignment"] = makings.get(v["wheel_made"], 0.27)
    r["half_contraction"] = {"turned nozzle": 0.05, "drilled hole": 0.09}.get(v["nozzle_made"], 0.2)
    at_hand = {name: v[name] == "at hand" for name in ("nozzle_is", "wheel_is", "alternator_is")}
    r["half_nozzle"] = 30.0 if at_hand["nozzle_is"] else 3.0
    r["half_pitch_diameter"] = 20.0 if at_hand["wheel_is"] else 2.0
    r["bench_open"] = float(v["stage"] != "survey" or "at hand" in [v[name] for name in at_hand])
    r["test_open"] = float(v["stage"] == "test day")
    r["state_of_winding"] = "assumed" if at_hand["alternator_is"] else "proposed"
    r["volts_half"], r["ohms_half"] = (50.0, 150.0) if at_hand["alternator_is"] else (8.0, 20.0)
    r["half_phase_volts"] = 2.0 if given(v, "test_volts", "test_speed") else r["volts_half"]
    r["half_phase_resistance"] = 5.0 if given(v, "terminal_resistance") else r["ohms_half"]
    r["half_phase_inductance"] = 10.0 if given(v, "terminal_inductance") else 150.0
    return {
        "gross_head": (r["state_of_head"], r["half_gross_head"], r["measured_gross_head"]),
        "source_flow": (r["state_of_flow"], r["half_source_flow"], r["measured_source_flow"]),
        "length": (state(v, "pipe_length"), 3.0, 3.0),
        "bore": (r["state_of_bore"], r["half_bore"], 1.0),
        "roughness": (r["state_of_roughness"], r["half_roughness"], 50.0),
        "fittings": (r["state_of_fittings"], 150.0, 40.0),
        "cable_resistance": (r["state_of_cable"], r["half_cable"], r["measured_cable"]),
    }


def declared(v, r, name):
    """State, ± as it stands, ± when measured, of a line whose input declares its range."""
    said = ITEM[name].assumption
    half = r[f"half_{name}"] if isinstance(said.half, str) else said.half or 0.0
    return state(v, name), half, said.measured or 0.0


def standard(half, value, key):
    """Standard uncertainty of ± `half`; of a lognormal one that of the logarithm."""
    if not (half > 0 and value > 0):
        return 0.0
    if key in LOGNORMAL:
        return math.log(1 + half / value) / 1.96
    return half / (1.96 if key in NORMAL else math.sqrt(3))


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    machine = plant(v, r)
    r["doubt_guess"] = watts(machine)
    r["normal_95"] = 1.96
    special = ranges(v, r)
    value_of = machine | {
        "source_flow": r["source_flow"],
        "left_in_stream": v["left_in_stream"],
        "battery_volts": r["proposed_battery_volts"] if v["battery_volts"] is None else v["battery_volts"],
        "load_resistance": r["proposed_load_resistance"] if v["load_resistance"] is None else v["load_resistance"],
    }
    r["roughest"], r["moved_by_left"] = r["bore_used"] / 20, r["source_flow"] / 100
    known, effects, worth, lines, names = [], [], [], [], []
    for key, name, stage, by in LINES:
        value = value_of[key]
        word, half, measured = special[key] if key in special else declared(v, r, name)
        scale = value / 100 if key in PERCENT else 1
        own = v[f"doubt_{key}"]
        counts = own if own is not None else measured if word == "yours" else half
        needed = 0.0 if word == "not needed" else counts * scale
        unit = standard(needed, value, key)
        kind = "lognormal" if key in LOGNORMAL else "normal" if key in NORMAL else "rectangular"
        if key == "nozzle" and word == "assumed":
            kind = "fitted"
        of_kind = [kind] if key == "nozzle" else []  # the one that hangs on others
        shown = [half, measured]
        if name:  # numbers that are declared with the input stand there as they are
            shown = [half] if isinstance(ITEM[name].assumption.half, str) else []
        logs = float(key in LOGNORMAL)
        divisor = math.sqrt(3) if kind == "rectangular" else 1.96
        known.append([value, word, *shown, *of_kind, counts, needed, unit, logs, scale, divisor])

        asked = {"source_flow": "available_flow", "left_in_stream": "available_flow"}.get(key, key)
        times = {"source_flow": r["usable_share"], "left_in_stream": r["moved_by_left"]}.get(key, 1.0)
        middle = {"source_flow": r["middle_flow"], "roughness": r["middle_roughness"]}.get(key, 1.0)
        lines.append((asked, needed * times, kind, middle))
        hangs_on = [middle] if key in ("source_flow", "roughness") else []
        hangs_on += [times] if asked != key else []
        top = [r["roughest"]] if key == "roughness" else []
        effects.append([LABELS[key], *lines[-1][1:3], *hangs_on, float(len(lines)), *top])

        then = standard(measured * scale, value, key)
        there = {"survey": 1.0, "bench": r["bench_open"], "test day": r["test_open"]}[stage]
        may = 0.0 if word == "yours" else there
        leaves = min(1.0, (then / unit) ** 2) if unit > 0 else 1.0
        worth.append([LABELS[key], may, measured * scale, then, leaves, *by_of(key, r)])
        names.append((by_of(key, r) or [by])[0])

    said = {what: hf.doubt(machine, what, lines) for what in ("mean", "low", "high", "median", "standard_uncertainty")}
    r |= {f"doubt_{what}": said[what] for what in ("mean", "low", "high", "median")}
    r["doubt_uncertainty"] = said["standard_uncertainty"]
    shares, parts = ([hf.doubt(machine, what, lines, i + 1) for i in range(len(lines))] for what in ("share", "part"))
    for row, share, part in zip(effects, shares, parts):
        place = row.index(float(effects.index(row) + 1), 3) + 1
        row[place:place] = [share, part]
    # a nozzle at hand tells the flow within ± 69 %, and more water than it takes gives nothing
    ratio = math.log(1.69) / math.log(1 + r["half_source_flow"] / 100)
    flow_left = 1.0 if r["state_of_flow"] == "yours" else 0.34 * min(1, ratio) ** 2
    nozzle = next(place for place, line in enumerate(LINES) if line[0] == "nozzle")
    told = shares[1] * (1 - flow_left) if known[nozzle][1] == "assumed" else 0.0
    r["told_flow_left"], r["told_by_nozzle"] = flow_left, told
    tells = [told if place == nozzle else 0.0 for place in range(len(worth))]
    scores = [(share * (1 - row[4]) + tell) * row[1] for share, row, tell in zip(shares, worth, tells)]
    for place, (row, score) in enumerate(zip(worth, scores)):
        row[5:5] = [told, score] if place == nozzle else [score]
    tables |= {"doubt": known, "doubt_effects": effects, "doubt_worth": worth}
    tables["next"] = [next_line(r, names, sorted(scores, reverse=True)[place], scores) for place in range(3)]
    for i, line in enumerate(tables["next"], start=1):
        r |= dict(
            zip((f"next_{i}_{what}" for what in ("label", "input", "low", "high", "band", "how")), [line[0], *line[3:]])
        )

    r["draws_off"], r["draws_fit"] = 0.0, "good: they belong to these inputs"
    tables["hand"] = [[size, gives, float(gives != "")] for size, gives in hand(v, r)]
    most = max(numbers(gives for _, gives, _ in tables["hand"]), default=None)
    best = [size for size, gives, _ in tables["hand"] if gives == most]
    r["guess_nozzle"] = best[0] if best else "none"
    r["draws_state"] = "no draws yet: hydrofunc doubt BOOK.xlsx"
    r["drawn_nozzle"] = r["guess_chance"] = "no draws yet"


def by_of(key, r):
    """The input a line is measured by, where that hangs on others."""
    by = {"gross_head": r["measure_gross_head"], "cable_resistance": r["measure_cable"]}.get(key)
    return [by] if by else []


def next_line(r, names, score, scores):
    """A row of what to measure next."""
    place = scores.index(score) if score >= 0.1 else None
    left = math.sqrt(1 - score / 100)
    low = r["doubt_mean"] - (r["doubt_mean"] - r["doubt_low"]) * left
    high = r["doubt_mean"] + (r["doubt_high"] - r["doubt_mean"]) * left
    if place is None:
        return ["nothing more at this stage", score, 0.0, "", low, high, "", ""]
    item = ITEM[names[place]]
    band = f"{math.floor(low + 0.5)} to {math.floor(high + 0.5)} W"
    return [item.label, score, place + 1.0, item.name, low, high, band, item.measure or item.note]


LABELS = {
    "gross_head": "Gross head",
    "source_flow": "Flow of the source",
    "length": "Length of the main pipe",
    "bore": "Bore of the main pipe",
    "roughness": "Roughness of the pipe, all sections",
    "fittings": "Sum of K of the fittings",
    "cable_resistance": "Cable, out and back, with its joints",
} | {key: ITEM[name].label for key, name, *_ in LINES if name}


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    return [(196 * r["doubt_uncertainty"] / r["doubt_mean"] if r["doubt_mean"] > 0 else 0.0, 30, 150, False)]
