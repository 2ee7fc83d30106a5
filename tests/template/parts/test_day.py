"""The sheet of `pages/test_day.py` as plain Python."""

import math

from hydrofunc.template.pages import test_day

from .diagnosis import expectation, nozzle_uncertain, uncertain

SITES = {}  # those of diagnosis.py
STOP = {}
GOOD = {}


def _row(v, name, wanted, low="", high=""):
    known = {"reading": v[f"reading_{name}"], "low": low, "high": high}
    return [wanted, low, high, test_day.JUDGEMENT.value(known)]


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    healthy, scatter = expectation(v, r)
    volts = v["meter_volts"] / 100

    def band(name, wanted, spread):
        return _row(v, name, wanted, max(0.0, wanted - 2 * spread), max(0.0, wanted + 2 * spread))

    def by_meter(cell, name, meter):
        return band(cell, healthy[name], math.hypot(scatter[name], uncertain(v, healthy[name], meter)))

    def at_load_b(cell, meter):
        return by_meter(cell, cell, meter) if v["reading_volts_b"] is not None else _row(v, cell, "")

    flow, spread = healthy["flow"], math.hypot(scatter["flow"], healthy["flow"] * v["meter_bucket"] / 100)
    bucket = v["bucket_volume"]
    tables["test_day_water"] = [
        by_meter("static", "static", "gauge"),
        by_meter("running", "running", "gauge"),
        _row(v, "seconds", bucket / flow, bucket / (flow + 2 * spread), bucket / max(1e-6, flow - 2 * spread)),
    ]
    highest, balance = v["reading_line_highest"], healthy["phase_balance"]
    lowest = (
        band("line_lowest", balance * highest, balance * highest * math.hypot(scatter["phase_balance"], volts))
        if highest is not None
        else (_row(v, "line_lowest", ""))
    )
    tables["test_day_a"] = [
        band("volts", r["load_volts"], r["load_volts"] * math.hypot(0.03, volts)),
        by_meter("speed", "speed_a", "speed"),
        by_meter("rectifier", "rectifier_a", "volts"),
        by_meter("amps", "amps_a", "amps"),
        _row(v, "line_highest", ""),
        lowest,
    ]
    tables["test_day_b"] = [
        _row(v, "volts_b", ""),
        at_load_b("speed_b", "speed"),
        at_load_b("rectifier_b", "volts"),
        at_load_b("amps_b", "amps"),
    ]
    per_krpm = healthy["open_constant"]
    turned = per_krpm * (1000.0 if v["reading_open_speed"] is None else v["reading_open_speed"]) / 1000
    tables["test_day_rest"] = [
        _row(v, "open_speed", ""),
        band("open_volts", turned, turned * math.hypot(scatter["open_constant"] / per_krpm, 2 * volts)),
        band("nozzle", healthy["nozzle"], math.hypot(scatter["nozzle"], nozzle_uncertain(healthy["nozzle"]))),
    ]
    amps, at_load, seconds = v["reading_amps"], v["reading_volts"], v["reading_seconds"]
    r["reading_watts"] = at_load * amps if at_load is not None and amps is not None else ""
    r["reading_flow"] = bucket / seconds if seconds is not None else ""


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    return []
