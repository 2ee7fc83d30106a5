"""The sheet of `pages/doubt.py` as plain Python."""

import math

from .as_tested import section_roughness
from .what_pays import hand, numbers, plant, watts

# key: (low limit, whether it is allowed, high limit), and whether ± is in % of the value
LIMITS = {
    "gross_head": (0, False, 1500, True),
    "source_flow": (0, True, 1000, True),
    "length": (0, True, 20000, True),
    "bore": (0, False, 2000, True),
    "roughness": (0, True, 20, True),
    "fittings": (0, True, 1000, True),
    "nozzle": (0, False, 500, True),
    "velocity_coefficient": (0.5, True, 1, False),
    "contraction": (0.5, True, 1, False),
    "pitch_diameter": (0, False, 5000, True),
    "cup_friction": (0, True, 1, False),
    "alignment": (0, True, 1, False),
    "bearing_drag": (0, True, 100, True),
    "windage": (0, True, 10000, True),
    "iron_drag": (0, True, 100, True),
    "phase_volts": (0, False, 2000, True),
    "phase_resistance": (0, True, 1000, True),
    "phase_inductance": (0, True, 1000, True),
    "diode_drop": (0, True, 5, False),
    "cable_resistance": (0, True, 1000, True),
    "battery_volts": (0, False, 1000, True),
    "load_resistance": (0, False, 100000, True),
    "controller_efficiency": (0, False, 1, False),
    "temperature": (0, True, 40, False),
}
SITES = {
    "everything certain": {f"doubt_{key}": None for key in LIMITS},
    "wide, and of other kinds": {
        "doubt_alignment": 0.4,
        "kind_alignment": "normal",
        "doubt_gross_head": 150.0,
        "kind_source_flow": "rectangular",
        "doubt_source_flow": 40.0,
        "kind_velocity_coefficient": "lognormal",
        "doubt_contraction": 0.1,
        "doubt_temperature": 30.0,
    },
    "no drag to doubt": {"bearing_drag": 0.0, "windage": 0.0, "iron_drag": 0.0, "kind_iron_drag": "normal"},
}
STOP = {"Doubt about the watts, of the mean": {"doubt_gross_head": 150.0, "doubt_alignment": 0.8}}
GOOD = {}
LABELS = (
    "Gross head",
    "Flow of the source",
    "Length of the main pipe",
    "Bore of the main pipe",
    "Roughness of the pipe, all sections",
    "Sum of K of the fittings",
    "Opening of the nozzle fitted",
    "Velocity coefficient of the nozzle",
    "Contraction of the jet",
    "Pitch circle",
    "Velocity kept along the cup",
    "Alignment of the jet",
    "Drag of bearings and seals",
    "Churning of air and spray",
    "Drag of the iron",
    "Volts of one phase per 1000 rpm",
    "Resistance of one phase",
    "Inductance of one phase",
    "Drop of one diode",
    "Cable, out and back",
    "Battery volts while charging",
    "Resistor load",
    "Efficiency of the controller",
    "Water temperature",
)


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    machine = plant(v, r)
    guess = r["doubt_watts"] = watts(machine)
    value_of = machine | {
        "source_flow": r["source_flow"],
        "battery_volts": v["battery_volts"],
        "load_resistance": v["load_resistance"],
    }
    rows = []
    for key, (least, least_in, most, percent) in LIMITS.items():
        value, width, kind = value_of[key], v[f"doubt_{key}"], v[f"kind_{key}"]
        half = 0.0 if value is None or width is None else value * width / 100 if percent else width
        if value is None or half == 0:
            shown = "" if value is None else value
            rows.append([shown, 0.0, shown, shown, "", "", 0.0, 0.0])
            continue
        ratio = (1 + half / value) ** (1 / 1.96)
        spread = {
            "normal": half / 1.96,
            "rectangular": half / math.sqrt(3),
            "lognormal": value * (ratio - 1 / ratio) / 2,
        }[kind]
        low, high = (value / ratio, value * ratio) if kind == "lognormal" else (value - spread, value + spread)
        low, high = max(least if least_in else value / 1000, low), min(most, high)

        def at(changed, key=key):
            if key == "source_flow":
                return watts(machine, available_flow=changed * (1 - v["left_in_stream"] / 100))
            if key == "roughness":
                return watts(
                    machine,
                    roughness=changed,
                    **{f"roughness_{i}": section_roughness(v, r, i, changed) for i in (2, 3)},
                )
            return watts(machine, **{key: changed})

        slope = (at(high) - at(low)) / (high - low)
        rows.append([value, spread, low, high, at(low), at(high), slope, slope * spread])
    total = r["doubt_uncertainty"] = math.sqrt(sum(row[-1] ** 2 for row in rows))
    r["doubt_low"], r["doubt_high"] = max(0.0, guess - 1.96 * total), guess + 1.96 * total
    shares = [100 * (row[-1] / total) ** 2 if total > 0 else 0.0 for row in rows]
    most = max(range(len(shares)), key=lambda place: shares[place])
    r["doubt_most"] = "nothing: all is taken as certain"
    if total > 0:
        r["doubt_most"] = f"{LABELS[most]}, {round(shares[most]):d} % of the doubt"
    tables["doubt"] = [[*row, share] for row, share in zip(rows, shares)]
    tables["hand"] = [list(pair) for pair in hand(v, r)]
    best = [size for size, gives in hand(v, r) if gives != "" and gives == max(numbers(w for _, w in hand(v, r)))]
    r["guess_nozzle"] = best[0] if best else "none"
    r["draws_state"] = "no draws yet: hydrofunc doubt BOOK.xlsx"
    r["drawn_nozzle"] = r["guess_chance"] = "no draws yet"


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    return [(196 * r["doubt_uncertainty"] / r["doubt_watts"] if r["doubt_watts"] > 0 else 0.0, 30, 100, False)]
