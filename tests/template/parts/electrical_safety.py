"""The sheet of `pages/electrical_safety.py` as plain Python."""

import math

import hydrofunc as hf

from .errors import worded

SITES = {
    "fuse and resistors fitted, flood": {
        "fuse_fitted": 16.0,
        "resistors_fitted": 6.0,
        "highest_head": 70.0,
        "dump_volts": None,
        "touch_place": "covered",
    },
    "cable too thin for the table": {"cable_area": 1.0, "cable_laid": "buried", "cable_around": 15.0},
    "warm alternator, delta": {
        "connection": "delta",
        "coldest": 40.0,
        "touch_place": "wet",
        "cable_laid": "insulated wall",
    },
    "resistor, no dump voltage": {
        "load": "resistor",
        "load_resistance": 6.0,
        "battery_volts": None,
        "dump_volts": None,
    },
}
WHEEL = ("flow jet_velocity pitch_diameter deflection cup_friction alignment bearing_drag windage temperature").split()
STOP = {
    "Current, of what the cable carries": {"cable_area": 1.5, "cable_around": 64.0},
    "Cable that the fuse needs, of what this one carries": {"fuse_fitted": 50.0},
    "Current, of the fuse": {"fuse_fitted": 4.0},
    "Highest volts, of what the fuse breaks": {"fuse_volts": 32.0},
    "Battery's short circuit, of what the fuse breaks": {"fuse_breaks": 500.0},
    "Open volts at the worst, of what the parts stand": {"voltage_limit": 100.0},
    "Open volts at the worst, of what may be touched": {"touch_place": "wet"},
    "Open volts joined the other way, of what the parts stand": {"connection": "delta", "voltage_limit": 50.0},
    "Best volts, of the window in which the controller works": {
        "load": "controller",
        "window_lowest": 900.0,
        "window_highest": 1000.0,
    },
    "Most that can come, of what the dump load takes": {"resistors_fitted": 1.0},
    "Each dump resistor, of what it stands": {"resistor_watts": 50.0},
}
GOOD = {
    "Best volts, of the window in which the controller works": {
        "load": "controller",
        "window_lowest": 5.0,
        "window_highest": 900.0,
    },
    "Open volts at the worst, of what may be touched": {"touch_place": "covered"},
    "Cable that the fuse needs, of what this one carries": {"fuse_fitted": 10.0},
    "Current, of the fuse": {"fuse_fitted": 16.0},
    "Most that can come, of what the dump load takes": {"resistor_ohms": 3.0, "resistors_fitted": 2.0},
}


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    temperature, both = v["water_temperature"], ("star", "delta")
    highest = max(r["gross_head"], v["highest_head"] or 0)
    jet = hf.jet_velocity(highest, v["velocity_coefficient"], r["gravity"])
    r["volts_measured"], r["worst_jet"] = 1, jet
    r["worst_speed"] = hf.runner_speed(jet, v["pitch_diameter"], 1)
    r["cold_factor"] = 1 + v["magnet_drift"] / 100 * max(0, v["bench_temperature"] - v["coldest"])
    worst = {c: r["cold_factor"] * hf.open_circuit_volts(r["worst_speed"], r["phase_volts"], c) for c in both}
    other = "delta" if v["connection"] == "star" else "star"
    r["worst_volts"], r["other_volts"] = worst[v["connection"]], worst[other]
    r["touch_volts"] = hf.touch_limit(v["touch_place"])

    plant = {
        "flow": r["flow"],
        "jet_velocity": r["jet_velocity"],
        "temperature": temperature,
        "load": v["load"],
        **{name: r[name] for name in ("phase_volts", "phase_resistance", "phase_inductance", "cable_resistance")},
        **{
            name: v[name]
            for name in (
                "pitch_diameter",
                "deflection",
                "cup_friction",
                "alignment",
                "bearing_drag",
                "windage",
                "pole_pairs",
                "connection",
                "diode_drop",
                "iron_drag",
                "controller_efficiency",
            )
        },
        **{name: v[name] for name in ("battery_volts", "load_resistance") if v[name] is not None},
    }
    ratio = {"pitch_diameter": v["pitch_diameter"], "jet_velocity": r["jet_velocity"]}
    speed = {c: hf.operating_speed(**plant | {"connection": c}) for c in both}
    current = {c: hf.operating_current(**plant | {"connection": c}) for c in both}
    tables["connections"] = [
        [
            hf.operating_power(**plant | {"connection": c}),
            speed[c],
            hf.speed_ratio(speed[c], **ratio),
            current[c],
            hf.copper_loss(current[c], r["phase_resistance"], c),
            hf.open_circuit_volts(r["runaway_speed"], r["phase_volts"], c),
            worst[c],
            math.pi / 3 * worst[c],
            100 * worst[c] / v["voltage_limit"],
            100 * worst[c] / r["touch_volts"],
        ]
        for c in both
    ]

    banks = (12, 24, 48)
    volts = [13.6 * bank / 12 if v[f"charging_{bank}"] is None else v[f"charging_{bank}"] for bank in banks]
    charged = [plant | {"load": "battery", "battery_volts": at} for at in volts]
    watts = [hf.operating_power(**bank) for bank in charged]
    rpm = [hf.operating_speed(**bank) for bank in charged]
    amps = [hf.operating_current(**bank) for bank in charged]
    tables["batteries"] = [
        [
            at,
            p,
            n,
            hf.speed_ratio(n, **ratio),
            i,
            100 * i * i * r["cable_resistance"] / p if p > 0 else 0.0,
            200 * i * v["diode_drop"] / p if p > 0 else 0.0,
            bank,
            at,
        ]
        for bank, at, p, n, i in zip(banks, volts, watts, rpm, amps)
    ]
    r["best_battery"] = banks[max(range(3), key=lambda i: (watts[i], -i))]

    if v["dump_volts"] is not None:
        at = v["dump_volts"]
    else:
        at = r["load_volts"] if v["load"] == "resistor" else 1.1 * v["battery_volts"]
    r["dump_volts_used"] = at
    r["dump_load_kind"] = "controller" if v["load"] == "controller" else "battery"
    full = plant | {"load": r["dump_load_kind"], "battery_volts": at}
    r["dump_speed"], r["dump_arrives"] = hf.operating_speed(**full), hf.operating_power(**full)
    tables["dumping"] = [[r["dump_load_kind"]], [at]]
    window = v["window_lowest"], v["window_highest"]

    def held(volts):
        return plant | {"load": "battery", "battery_volts": volts}

    def shown(value):
        return "" if value is None else value

    need = r["dump_need"] = max(r["battery_watts"], r["dump_arrives"])
    ohms = r["dump_ohms"] = hf.dump_resistance(v["dump_margin"] * need, at) if need > 0 else "none needed"
    wanted = r["resistors_wanted"] = math.ceil(v["resistor_ohms"] / ohms) if need > 0 else 0
    count = r["resistors_used"] = wanted if v["resistors_fitted"] is None else v["resistors_fitted"]
    together = r["dump_together"] = v["resistor_ohms"] / count if count else "none"
    r["dump_watts"], r["dump_amps"] = (at**2 / together, at / together) if count else (0.0, 0.0)
    r["resistor_load"] = 100 * hf.dump_power(at, v["resistor_ohms"]) / v["resistor_watts"]
    r["dump_air"] = hf.cooling_air(r["dump_watts"], v["air_warming"], 20, hf.air_pressure(v["altitude"]))
    tables["full"] = [
        [r["speed"], r["load_volts"], r["battery_watts"]],
        [r["dump_speed"], at, r["dump_arrives"]],
        [r["runaway_speed"], r["runaway_volts"]],
        [r["runaway_speed"], r["runaway_volts"]],
        *(
            ["", "", ""]
            if volts is None
            else [
                hf.operating_speed(**held(volts)),
                volts,
                v["controller_efficiency"] * hf.operating_power(**held(volts)),
            ]
            for volts in window
        ),
        [r["worst_speed"], r["worst_volts"]],
    ]
    tables["window"] = [
        [shown(volts), speed, watts, shown(volts)] for (speed, _, watts), volts in zip(tables["full"][4:6], window)
    ]
    low, high = window
    r["window_used"] = (
        "" if None in window or r["load_volts"] <= 0 else 100 * max(low / r["load_volts"], r["load_volts"] / high)
    )

    def carries(area):
        return hf.cable_ampacity(area, v["cable_material"], v["cable_laid"], v["cable_around"])

    r["ampacity"] = worded("not in the table", carries, v["cable_area"])
    r["fuse_wanted"] = worded("thicker cable first", hf.fuse_size, r["current"], r["ampacity"], v["fuse_margin"])
    r["fuse_used"] = r["fuse_wanted"] if v["fuse_fitted"] is None else v["fuse_fitted"]
    r["fuse_needs"] = "" if isinstance(r["fuse_used"], str) else hf.fuse_ampacity(r["fuse_used"])
    r["highest_volts"] = max(r["worst_volts"], at)
    r["short_current"] = at / v["bank_resistance"]
    lost = 100 * r["current"] * r["cable_resistance"] / r["load_volts"] if r["load_volts"] > 0 else 0.0
    r["cable_lost"] = lost
    r["fuse_amps"] = hf.fuse_ampacity(hf.fuse_size(r["current"], 2500, v["fuse_margin"]))
    tables["cables"] = []
    r["cable_advised"] = "none of these" if r["current"] > 0 else "no current"
    for i in range(9, 0, -1):
        size = v[f"cable_size_{i}"]
        resistance = hf.cable_resistance(v["cable_length"], size, v["cable_material"], v["cable_temperature"])
        loss = 100 * r["current"] * resistance / r["load_volts"] if r["load_volts"] > 0 else 0.0
        bears = worded(0.0, carries, size)
        enough = loss <= 5 and bears >= r["fuse_amps"]
        tables["cables"].insert(0, [size, loss, bears, "yes" if enough else "no"])
        r["cable_advised"] = size if enough and r["current"] > 0 else r["cable_advised"]

    winding = [r["phase_volts"], v["pole_pairs"], r["phase_resistance"], r["phase_inductance"], v["connection"]]
    wheel = {name: plant[name] for name in WHEEL}
    turning = hf.runaway_speed(**wheel)

    def short(speed):
        """Torque, current and heat of the short: three phases, 3 R I² and that over the speed."""
        star = 3 if v["connection"] == "delta" else 1
        amps, rpm = hf.shorted_current(speed, *winding), speed * math.pi / 30
        heat = 3 * r["phase_resistance"] / star * amps**2
        return heat / rpm if rpm else 0.0, amps, heat

    r["short_known"] = 1
    r["short_speed"] = hf.shorted_speed(
        **wheel,
        **dict(zip(("phase_volts", "pole_pairs", "phase_resistance", "phase_inductance", "connection"), winding)),
        iron_drag=v["iron_drag"],
    )
    slow = r["short_speed"] <= 0.2 * turning
    r["short_says"] = "holds: it creeps" if slow else "does not stop it"
    reactance = v["pole_pairs"] * r["phase_inductance"] / 1000
    r["short_peak_speed"] = min(turning, r["phase_resistance"] / reactance * 30 / math.pi) if reactance else turning
    r["short_peak"] = short(r["short_peak_speed"])[0]
    r["wheel_held"] = hf.wheel_torque(speed=0.0, **wheel)
    _, r["short_amps"], r["short_heat"] = short(turning)
    _, r["creep_amps"], r["creep_heat"] = short(r["short_speed"])
    r["work_heat"] = hf.copper_loss(r["current"], r["phase_resistance"], v["connection"])
    tables["shorted"] = [
        [at, hf.wheel_torque(speed=at, **wheel), *short(at)] for at in (turning * part / 10 for part in range(1, 11))
    ]


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    carries, fuse, need = r["ampacity"], r["fuse_used"], r["dump_need"]
    taken = 100 * need / r["dump_watts"] if r["dump_watts"] > 0 else "it takes none"
    both = not isinstance(carries, str) and not isinstance(fuse, str)
    return [
        (carries if isinstance(carries, str) else 100 * r["current"] / carries, 80, 100, False),
        (100 * r["fuse_needs"] / carries if both else "no fuse fits", 100, 100, False),
        (fuse if isinstance(fuse, str) else 100 * r["current"] / fuse, 80, 100, False),
        (100 * r["highest_volts"] / v["fuse_volts"], 100, 100, False),
        (100 * r["short_current"] / v["fuse_breaks"], 100, 100, False),
        (100 * r["worst_volts"] / v["voltage_limit"], 90, 100, False),
        (100 * r["worst_volts"] / r["touch_volts"], 100, 200, False),
        (100 * r["other_volts"] / v["voltage_limit"], 100, 200, False),
        (r["window_used"] if v["load"] == "controller" else 0.0, 90, 100, False),
        (taken if need > 0 else 0.0, 95, 100, False),
        (r["resistor_load"], 60, 100, False),
    ]
