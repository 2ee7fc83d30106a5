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
)
FAULTS = (
    "all well",
    "pipe blocked or rough",
    "air lock in the pipe",
    "static head less than surveyed",
    "nozzle worn, wrong size or blocked",
    "jet misaligned",
    "load holds the wheel off its best speed",
    "water ponds under the wheel",
    "diode or phase open",
    "star and delta mistaken",
    "cable too thin or bad joint",
    "battery full or controller limits",
    "gauge or meter wrong",
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
        "basis": "as tested",
    },
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
        "roughness_3": 0.0,
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
GOOD = {}


def uncertain(v, value, meter):
    """Standard uncertainty of a reading."""
    least = {"gauge": 0.03, "bucket": 0.0, "speed": 1.0, "volts": 0.05, "amps": 0.05}[meter]
    return math.hypot(value * v[f"meter_{meter}"] / 100, least)


def nozzle_uncertain(opening):
    """Standard uncertainty of a drill shank or calliper. [mm]"""
    return max(0.01 * opening, 0.05)


def taken(v):
    """(readings, their standard uncertainties), 0 where there is none."""
    values, spreads = [], []
    cells = {"speed_a": "speed", "rectifier_a": "rectifier", "volts_a": "volts", "amps_a": "amps"}
    meters = {
        "static": "gauge",
        "running": "gauge",
        "speed": "speed",
        "rectifier": "volts",
        "volts": "volts",
        "amps": "amps",
    }
    share = {meter: v[f"meter_{meter}"] / 100 for meter in ("volts", "speed")}
    for name in READINGS:
        value = spread = 0.0
        if name == "flow" and v["reading_seconds"] is not None:
            value = v["bucket_volume"] / v["reading_seconds"]
            spread = uncertain(v, value, "bucket")
        elif name == "open_constant" and v["reading_open_volts"] is not None and (v["reading_open_speed"] or 0) > 0:
            value = 1000 * v["reading_open_volts"] / v["reading_open_speed"]
            spread = value * math.hypot(share["volts"], share["speed"])
        elif name == "phase_balance" and v["reading_line_lowest"] is not None and (v["reading_line_highest"] or 0) > 0:
            value = min(1.0, v["reading_line_lowest"] / v["reading_line_highest"])
            spread = math.sqrt(2 * (value * share["volts"]) ** 2 + 0.01**2)
        elif name == "nozzle" and v["reading_nozzle"] is not None:
            value, spread = v["reading_nozzle"], nozzle_uncertain(v["reading_nozzle"])
        elif name not in ("flow", "open_constant", "phase_balance", "nozzle"):
            given = v[f"reading_{cells.get(name, name)}"]
            if given is not None:
                value, spread = given, uncertain(v, given, meters[name.split("_")[0]])
        values.append(value)
        spreads.append(spread)
    return values, spreads


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


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    question = asked(v, r)
    values, spreads = question["readings"], question["uncertainties"]
    count = r["test_count"] = sum(spread > 0 for spread in spreads)

    def if_read(function, first):
        return function(first, **question) if count else ""

    first, second = r["fault_first_number"], r["fault_second_number"] = [
        if_read(hf.likeliest_fault, rank) for rank in (1, 2)
    ]
    chances = [100 * hf.fault_probability(fault, **question) if count else "" for fault in range(len(FAULTS))]
    known = {"test_count": count, "fault_first_number": first, "fault_second_number": second}
    ranks = [diagnosis.rank_of(number).value(known) for number in range(len(FAULTS))]
    tables["faults"] = [list(row) for row in zip(chances, ranks)]
    r["fault_first"], r["fault_second"] = (FAULTS[int(number)] if count else "" for number in (first, second))
    r["fault_first_share"], r["fault_second_share"] = (
        chances[int(number)] if count else "" for number in (first, second)
    )
    misfits = [if_read(hf.reading_misfit, place) for place in range(1, len(READINGS) + 1)]
    sizes = [abs(misfit) if count else 0.0 for misfit in misfits]
    worst = r["worst_misfit"] = max(sizes)
    r["worst_reading"] = LABELS[sizes.index(worst)] if count else ""
    for name, number, rank in (("read_next", "next_number", 1), ("read_after", "after_number", 2)):
        place = r[number] = if_read(hf.next_reading, rank)
        r[name] = "" if not count else LABELS[int(place) - 1] if place else "nothing is left to read"
    healthy, scatter = expectation(v, r)
    tables["test_readings"] = []
    for name, value, spread, misfit, size in zip(READINGS, values, spreads, misfits, sizes):
        says = diagnosis.READING_SAYS.value({"uncertainty": spread, "misfit": misfit})
        tables["test_readings"].append([value, spread, says, healthy[name], scatter[name], misfit, size])
    planned = v | r
    tables["estimates"] = []
    for item, cell in ITEMS.items():
        estimate, spread = if_read(hf.diagnosis_estimate, item), if_read(hf.diagnosis_uncertainty, item)
        known = {"estimate": estimate, "spread": spread, "planned": planned[cell]}
        tables["estimates"].append([*known.values(), diagnosis.CHANGED.value(known)])


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    question = asked(v, r)
    fault = 100 - 100 * hf.fault_probability(0, **question) if r["test_count"] else 0.0
    return [(fault, 50, 90, False), (r["worst_misfit"], 2, 4, False)]
