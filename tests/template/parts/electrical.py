"""The three-phase cable of `pages/electrical.py` as plain Python; the rest of the sheet is in `chain.py`."""

from math import pi, sqrt

import hydrofunc as hf

SITES = {
    "thick three-phase cable, delta": {"three_area": 10.0, "connection": "delta"},
    "aluminium, wet": {"cable_material": "aluminium", "touch_place": "wet"},
}


def expected(v, r, tables):
    """Adds the named results to `r` and the table's rows to `tables`."""
    area = 2 / 3 * v["cable_area"] if v["three_area"] is None else v["three_area"]
    copper, aluminium = 8890.0, 2703.0  # kg/m³
    density = {"copper": copper, "aluminium": aluminium}[v["cable_material"]]
    metre = v["cable_length"] * 1e-6 * density
    r["two_metal"], r["three_metal"] = 2 * metre * v["cable_area"], 3 * metre * area
    own = 0.25 * v["cable_length"] / 1000  # mH of one conductor
    henries = r["three_henries"] = r["phase_inductance"] + own * (3 if v["connection"] == "delta" else 1)
    ohms = r["cable_resistance"] * v["cable_area"] / area
    tables["three_phase"] = [[ohms], [henries]]
    names = (
        "pitch_diameter deflection cup_friction alignment bearing_drag windage pole_pairs connection diode_drop "
        "iron_drag controller_efficiency load"
    ).split()
    machine = {
        "flow": r["flow"],
        "jet_velocity": r["jet_velocity"],
        "temperature": v["water_temperature"],
        "phase_volts": r["phase_volts"],
        "phase_resistance": r["phase_resistance"],
        "phase_inductance": henries,
        "cable_resistance": ohms,
        **{name: v[name] for name in names},
        **{name: v[name] for name in ("battery_volts", "load_resistance") if v[name] is not None},
    }
    r["three_watts"] = hf.operating_power(**machine)
    r["three_more"] = r["three_watts"] - r["battery_watts"]
    amps = hf.operating_current(**machine)
    r["three_loss"] = amps**2 * ohms
    r["three_amps"] = sqrt(2 / 3) * amps
    at_hut = hf.operating_volts(**machine) + amps * ohms  # what the mean of the bridge would be with the drop before it
    if r["current"] == 0:  # open: no load holds the volts
        at_hut = hf.rectified_volts(
            hf.operating_speed(**machine),
            0.0,
            *(machine[name] for name in ("phase_volts", "pole_pairs", "phase_resistance", "phase_inductance")),
            v["connection"],
            v["diode_drop"],
        )
    r["three_volts"] = sqrt(2 / 3) * (at_hut + 2 * v["diode_drop"])
    r["three_runaway"] = pi / 3 / sqrt(2) * r["runaway_volts"]
    r["three_worst"] = pi / 3 / sqrt(2) * r["worst_volts"]
    r["three_touch"] = {"dry": 25, "wet": 12, "covered": 50}[v["touch_place"]]
    r["three_share"] = 100 * r["three_worst"] / r["three_touch"]
