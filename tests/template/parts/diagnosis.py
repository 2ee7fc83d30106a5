"""The sheet of `pages/diagnosis.py` as plain Python, and what the sheets Test day and As tested share with it."""

import math

import hydrofunc as hf
from hydrofunc.template.pages import diagnosis

READINGS = (
    "static",
    "running",
    "flow",
    "speed_a",
    "rectifier_a",
    "volts_a",
    "amps_a",
    "speed_b",
    "rectifier_b",
    "volts_b",
    "amps_b",
    "open_constant",
    "phase_balance",
    "nozzle",
    "overflow",
    "screen",
    "open_speed",
)
LABELS = (
    "Gauge, valve shut",
    "Gauge, running",
    "Flow by bucket",
    "Speed at load A",
    "Rectifier volts at load A",
    "Load volts at load A",
    "Amperes at load A",
    "Speed at load B",
    "Rectifier volts at load B",
    "Load volts at load B",
    "Amperes at load B",
    "Open d.c. volts per 1000 rpm",
    "Lowest over highest line volts",
    "Nozzle fitted, measured",
    "Water runs over at the intake (1 yes)",
    "Screen of the intake is clean (1 yes)",
    "Speed at which the open volts were read",
)
FAULTS = (
    "all well",
    "pipe blocked, rough or leaking",
    "air lock in the pipe",
    "static head less than surveyed",
    "nozzle worn, wrong size or blocked",
    "jet misaligned or cups worn",
    "load holds the wheel off its best speed",
    "water ponds under the wheel, or a bearing drags",
    "diode or phase open, or turns shorted",
    "star and delta mistaken",
    "cable too thin or bad joint",
    "battery full or controller limits",
    "gauge wrong",
    "bucket or stopwatch wrong",
    "speed meter wrong",
    "voltmeter or ammeter wrong",
    "source gives too little, or air drawn in",
    "magnets weak, or emf not as the sheet says",
    "two faults, or none of these",
)
ITEMS = {  # and the cell with the planned value
    "gross_head": "gross_head",
    "roughness": "roughness_used",
    "fittings": "fittings_k",
    "velocity_coefficient": "velocity_coefficient",
    "nozzle": "nozzle",
    "alignment": "alignment",
    "bearing_drag": "bearing_drag",
    "windage": "windage",
    "phase_volts": "phase_volts",
    "phase_resistance": "phase_resistance",
    "cable_resistance": "cable_resistance",
}
_HEALTHY_ISH = {
    "reading_static": 6.15,
    "reading_running": 3.8,
    "reading_seconds": 19.5,
    "reading_speed": 1850.0,
    "reading_rectifier": 27.9,
    "reading_volts": 26.4,
    "reading_amps": 8.0,
}
SITES = {
    "a blocked pipe, two loads read": {
        "reading_static": 6.2,
        "reading_running": 2.3,
        "reading_seconds": 25.0,
        "reading_speed": 1700.0,
        "reading_rectifier": 27.2,
        "reading_volts": 26.4,
        "reading_amps": 3.4,
        "reading_speed_b": 1500.0,
        "reading_rectifier_b": 23.1,
        "reading_volts_b": 22.5,
        "reading_amps_b": 3.9,
        "reading_open_volts": 20.0,
        "reading_open_speed": 1000.0,
        "reading_line_highest": 23.0,
        "reading_line_lowest": 22.6,
        "reading_nozzle": 7.1,
        "reading_overflow": "yes",
        "reading_screen": "no",
        "gauge_range": 10.0,
        "gauge_class": 1.6,
        "basis": "as tested",
    },
    "a dry source": _HEALTHY_ISH
    | {"reading_running": 3.1, "reading_seconds": 23.0, "reading_amps": 5.5, "reading_overflow": "no"},
    "all is well": _HEALTHY_ISH | {"basis": "as tested"},
    "a wrong ammeter": _HEALTHY_ISH | {"reading_amps": 9.9, "meter_amps": 1.0},
    "two readings only": {"reading_seconds": 22.0, "reading_volts": 26.4},
    "a small nozzle, worn": {"nozzle": 4.0, "reading_nozzle": 4.4, "reading_seconds": 40.0, "basis": "as tested"},
    "quotients half given": {"reading_open_volts": 20.0, "reading_line_lowest": 20.0},
    "tested, three sections": {
        "length_2": 60.0,
        "bore_2": 32.6,
        "roughness_2": 0.007,
        "length_3": 20.0,
        "bore_3": 26.0,
        "roughness_3": 0.001,
        "reading_static": 6.2,
        "reading_running": 1.2,
        "reading_seconds": 33.0,
        "basis": "as tested",
    },
    "tested, the last section of old steel": {
        "length_2": 60.0,
        "bore_2": 32.6,
        "roughness_2": 0.007,
        "length_3": 20.0,
        "bore_3": 26.0,
        "roughness_3": 0.15,
        "reading_static": 6.2,
        "reading_running": 2.6,
        "reading_seconds": 22.9,
        "basis": "as tested",
    },
}
_CALLED_FAULTY = _HEALTHY_ISH | {"reading_running": 2.6, "reading_seconds": 30.0, "reading_amps": 3.0}
STOP = {"A fault is likely": _CALLED_FAULTY, "Reading that disagrees most": _HEALTHY_ISH | {"reading_amps": 13.0}}
GOOD = dict.fromkeys(STOP, _HEALTHY_ISH)


CELLS = {"speed_a": "speed", "rectifier_a": "rectifier", "volts_a": "volts", "amps_a": "amps"}
_METERS = {"flow": "bucket", "rectifier": "volts"}


def meter_of(v, name):
    """(share in %, what it may be off by even near zero, floor) of what a reading is read with."""
    root2 = math.sqrt(2)
    if name == "open_constant":
        return v["meter_volts"], per_krpm(v, v["least_volts"]), 0.0
    if name == "open_speed":
        return v["meter_speed"], v["least_speed"], 0.0
    if name == "phase_balance":
        return root2 * v["meter_volts"], v["least_balance"], 0.0
    if name == "nozzle":
        return v["meter_nozzle"], 0.0, v["least_nozzle"]
    if name in ("overflow", "screen"):
        return 0.0, v["look_wrong"], 0.0
    if name in ("static", "running"):
        return gauge(v)[0], gauge(v)[1], 0.0
    what = name.split("_")[0]
    meter = _METERS.get(what, what)
    return v[f"meter_{meter}"], 0.0 if meter == "bucket" else v[f"least_{meter}"], 0.0


def per_krpm(v, volts):
    """Volts over the speed at which the open volts were read; 0 without it."""
    speed = v["reading_open_speed"] or 0
    return 1000 * volts / speed if speed > 0 else 0.0


def gauge(v):
    """(share in %, bar besides) by which the gauge is off: by class and full scale where both are given."""
    if v["gauge_range"] is not None and v["gauge_class"] is not None:
        return 0.0, v["gauge_class"] / 100 * v["gauge_range"] / math.sqrt(3)
    return v["meter_gauge"], v["least_gauge"]


def uncertain(v, value, name):
    """Standard uncertainty of a reading."""
    share, least, floor = meter_of(v, name)
    return max(floor, math.hypot(value * share / 100, least))


def quotients(v):
    """Open volts per 1000 rpm, and lowest over highest line volts; None where one of the two was not read."""
    constant = balance = None
    if v["reading_open_volts"] is not None and (v["reading_open_speed"] or 0) > 0:
        constant = 1000 * v["reading_open_volts"] / v["reading_open_speed"]
    if v["reading_line_lowest"] is not None and (v["reading_line_highest"] or 0) > 0:
        balance = min(1.0, v["reading_line_lowest"] / v["reading_line_highest"])
    return constant, balance


def seen(v):
    """What was read, by name of the reading; None where it was not taken."""
    constant, balance = quotients(v)
    flow = None if v["reading_seconds"] is None else v["bucket_volume"] / v["reading_seconds"]
    looks = {name: {"yes": 1.0, "no": 0.0}.get(v[f"reading_{name}"]) for name in ("overflow", "screen")}
    own = {"flow": flow, "open_constant": constant, "phase_balance": balance, **looks}
    return {name: own[name] if name in own else v[f"reading_{CELLS.get(name, name)}"] for name in READINGS}


def taken(v):
    """(readings, their standard uncertainties), 0 where there is none."""
    read = seen(v)
    values = [0.0 if value is None else value for value in read.values()]
    return values, [0.0 if value is None else uncertain(v, value, name) for name, value in read.items()]


def asked(v, r):
    """The arguments of every function of the diagnosis but the first."""
    values, spreads = taken(v)
    inputs = """length bore roughness nozzle pitch_diameter pole_pairs battery_volts jets velocity_coefficient
    contraction deflection cup_friction alignment bearing_drag windage connection diode_drop iron_drag load
    load_resistance controller_efficiency length_2 bore_2 roughness_2 length_3 bore_3 roughness_3
    gauge_height""".split()
    plant = {name: v[name] for name in inputs if v.get(name) is not None}
    plant |= {
        name: r[name]
        for name in (
            "gross_head",
            "gravity",
            "available_flow",
            "phase_volts",
            "phase_resistance",
            "phase_inductance",
            "cable_resistance",
        )
    }
    plant |= {
        "length": v["pipe_length"],
        "bore": r["bore_used"],
        "roughness": r["roughness_used"],
        "fittings": r["fittings_k"],
        "temperature": v["water_temperature"],
    }
    return {"readings": values, "uncertainties": spreads, **plant}


def expectation(v, r):
    """What a healthy plant reads, and its scatter, by name of the reading."""
    question = asked(v, r)
    expected = {name: hf.expected_reading(place, **question) for place, name in enumerate(READINGS, start=1)}
    scatter = {name: hf.expected_spread(place, **question) for place, name in enumerate(READINGS, start=1)}
    return expected, scatter


def band(v, name, healthy, scatter):
    """One standard deviation of a reading over healthy plants, with the meter's own."""
    return math.hypot(scatter, uncertain(v, healthy, name))


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    question = asked(v, r)
    values, spreads = question["readings"], question["uncertainties"]
    count = r["test_count"] = sum(spread > 0 for spread in spreads[:-1])  # a speed alone is none

    def if_read(value):
        return value if count else ""

    first, second = r["fault_first_number"], r["fault_second_number"] = [
        if_read(hf.likeliest_fault(rank, **question)) for rank in (1, 2)
    ]
    r["day_read"] = count > 0
    shares = [if_read(hf.fault_probability(fault, **question)) for fault in range(len(FAULTS))]
    chances = [100 * share if count else "" for share in shares]
    known = {"test_count": count, "fault_first_number": first, "fault_second_number": second}
    ranks = [diagnosis.RANKED.value(known | {"number": number}) for number in range(len(FAULTS))]
    tables["faults"] = [list(row) for row in zip(chances, ranks, range(len(FAULTS)), shares)]
    for place, number in (("first", first), ("second", second)):
        r[f"fault_{place}"] = FAULTS[int(number)] if count else ""
        r[f"fault_{place}_beside"] = diagnosis.WHAT_TO_DO[int(number)] if count else ""
        r[f"fault_{place}_share"] = chances[int(number)] if count else ""
    sure = count and r["fault_first_share"] >= v["fault_named"]
    one_of_two = f"I cannot tell: {r['fault_first']}, or: {r['fault_second']}"
    r["fault_verdict"] = "" if not count else r["fault_first"] if sure else one_of_two
    known |= {"fault_first_share": r["fault_first_share"], "fault_sure": v["fault_sure"]}
    r["fault_advice"] = diagnosis.ADVICE.value(known)
    misfits = [if_read(hf.reading_misfit(place, **question)) for place in range(1, len(READINGS) + 1)]
    sizes = [abs(misfit or 0.0) for misfit in misfits]
    worst = r["worst_misfit"] = max(sizes) if count else 0.0
    r["worst_reading"] = LABELS[sizes.index(worst)] if count else ""
    for name, number, rank in (("read_next", "next_number", 1), ("read_after", "after_number", 2)):
        place = r[number] = if_read(hf.next_reading(rank, **question))
        r[name] = "" if not count else LABELS[int(place) - 1] if place else "nothing left here tells them apart"
    healthy, scatter = expectation(v, r)
    tables["test_readings"] = []
    for place, (name, value, spread, misfit, size) in enumerate(zip(READINGS, values, spreads, misfits, sizes), 1):
        says = diagnosis.READING_SAYS.value(
            {"uncertainty": spread, "misfit": misfit, "day_ordinary": v["day_ordinary"]}
        )
        share, least, floor = meter_of(v, name)
        was_taken = seen(v)[name] is not None
        row = [value, spread, misfit, *([] if name == "open_speed" else [says]), place, float(was_taken)]
        row += [] if name in ("overflow", "screen") else [share]
        row += [least] if least or name == "open_constant" else []
        row += [floor] if floor else []
        row += [size, healthy[name], scatter[name], band(v, name, healthy[name], scatter[name])]
        tables["test_readings"].append([*row, value if was_taken else ""])
    planned = v | r
    tables["estimates"] = []
    for item, cell in ITEMS.items():
        fit, doubt = (function(item, **question) for function in (hf.diagnosis_estimate, hf.diagnosis_uncertainty))
        known = {"estimate": if_read(fit), "spread": if_read(doubt), "planned": planned[cell]}
        changed = diagnosis.CHANGED.value(known | {"day_ordinary": v["day_ordinary"]})
        tables["estimates"].append([if_read(fit), if_read(doubt), changed, planned[cell], fit, doubt])


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    question = asked(v, r)
    fault = 100 - 100 * hf.fault_probability(0, **question) if r["test_count"] else ""
    return [(fault, 50, 90, False), (r["worst_misfit"] if r["test_count"] else "", 2, 4, False)]
