"""The sheet of `pages/efficiency.py` as plain Python."""

import math

import hydrofunc as hf

SITES = {
    "efficiency from few bucket readings": {
        "reading_running": 3.9,
        "reading_seconds": 22.0,
        "reading_speed": 1850.0,
        "reading_volts": 26.4,
        "reading_amps": 7.2,
        "gauge_height": 0.4,
        "water_degrees": 2.0,
        "amps_degrees": 4.0,
    },
    "flow given, nothing in doubt": {
        "reading_running": 3.9,
        "given_flow": 0.9,
        "reading_volts": 26.4,
        "reading_amps": 7.2,
        **{f"{name}_doubt": 0.0 for name in ("gauge", "height", "water", "bore", "volts", "amps")},
    },
    "gauge and flow read, no amperes": {"reading_running": 3.9, "reading_seconds": 22.0, "reading_volts": 26.4},
}
STOP = {}
GOOD = {}
_QUANTITIES = ("gauge", "height", "water", "bore", "volts", "amps")


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    g, temperature, bore = r["gravity"], v["water_temperature"], r["outlet_bore"]
    water = {"temperature": temperature, "gravity": g}
    gauge, volts, amps = (v[f"reading_{name}"] for name in ("running", "volts", "amps"))
    flow = r["test_flow"] = v["given_flow"] if v["given_flow"] is not None else r["reading_flow"]
    wheel = {"pitch_diameter": v["pitch_diameter"], "gravity": g}
    r |= dict.fromkeys(
        """test_velocity test_velocity_head test_head test_gauge_head test_water test_speed_factor
        test_discharge_factor""".split(),
        "",
    )
    if flow != "":
        r["test_velocity"] = hf.pipe_velocity(flow, bore)
        moving = r["test_velocity_head"] = r["test_velocity"] ** 2 / 2 / g
    measured = flow != "" and gauge is not None
    if measured:
        head = r["test_head"] = hf.measured_head(gauge, v["gauge_height"], flow, bore, temperature, g)
        r["test_gauge_head"] = head - v["gauge_height"] - moving
        r["test_water"] = hf.hydraulic_power(flow, head, temperature, g)
        r["test_discharge_factor"] = hf.discharge_factor(flow, net_head=head, **wheel)
        if v["reading_speed"] is not None:
            r["test_speed_factor"] = hf.speed_factor(v["reading_speed"], net_head=head, **wheel)
    r["test_watts"] = r["reading_watts"]
    r["planned_efficiency"] = hf.measured_efficiency(r["battery_watts"], r["flow"], r["net_head"], **water)

    readings = [gauge, v["gauge_height"], flow, bore, volts, amps]
    readings = ["" if reading is None else reading for reading in readings]
    doubts, degrees = ([v[f"{name}_{what}"] for name in _QUANTITIES] for what in ("doubt", "degrees"))
    r |= dict.fromkeys(
        """test_efficiency test_doubt test_expanded test_low test_high test_degrees degrees_used test_coverage
        test_student""".split(),
        "",
    )
    if not measured or r["reading_watts"] == "":
        tables["budget"] = [
            [reading, doubt, "", "", "", count] for reading, doubt, count in zip(readings, doubts, degrees)
        ]
        return
    eta = r["test_efficiency"] = hf.measured_efficiency(r["reading_watts"], flow, head, **water)
    sensitivities = [
        -(head - v["gauge_height"] - moving) / head,
        -100 / head,
        -(1 + 2 * moving / head),
        4 * moving / head,
        1,
        1,
    ]
    given = [doubt * sensitivity for doubt, sensitivity in zip(doubts, sensitivities)]
    total = r["test_doubt"] = math.hypot(*given)
    tables["budget"] = [
        [reading, doubt, sensitivity, gives, 100 * (gives / total) ** 2 if total > 0 else "", count]
        for reading, doubt, sensitivity, gives, count in zip(readings, doubts, sensitivities, given, degrees)
    ]
    r["test_expanded"] = 2 * total
    r["test_low"], r["test_high"] = eta * (1 - total / 50), eta * (1 + total / 50)
    if total > 0:
        r["test_degrees"] = hf.effective_degrees(given, degrees)
        r["degrees_used"] = max(1, r["test_degrees"])
        r["test_coverage"] = hf.coverage_factor(r["degrees_used"], v["test_confidence"])
        r["test_student"] = r["test_coverage"] * total


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    return []
