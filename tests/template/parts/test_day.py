"""The sheet of `pages/test_day.py` as plain Python."""

import math

from hydrofunc.template.pages import test_day

from .diagnosis import band, expectation, gauge, per_krpm, quotients, seen

SITES = {}  # those of diagnosis.py
STOP = {}
GOOD = {}


def _row(v, name, wanted, low, high, *workings):
    known = {"reading": v[f"reading_{name}"], "low": low, "high": high}
    return [wanted, low, high, test_day.JUDGEMENT.value(known), *workings]


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    healthy, scatter = expectation(v, r)
    deviation = {name: band(v, name, healthy[name], scatter[name]) for name in healthy}
    twice, volts = v["day_band"], v["meter_volts"] / 100

    def ends(wanted, spread):
        return max(0.0, wanted - twice * spread), wanted + twice * spread

    def spread_row(cell, wanted, spread, shown=True):
        """A step with the same deviation up and down; `shown`: whether something is expected."""
        low_high = ends(wanted, spread) if shown and wanted != "" else ("", "")
        return _row(v, cell, wanted if shown else "", *low_high, wanted, spread)

    def by_meter(cell, name, shown=True):
        return spread_row(cell, healthy[name], deviation[name], shown)

    for name in ("static", "running", "flow"):
        r[f"low_{name}"], r[f"high_{name}"] = ends(healthy[name], deviation[name])
    bucket = v["bucket_volume"]
    r["expect_seconds"] = bucket / healthy["flow"]
    r["low_seconds"] = bucket / r["high_flow"]
    r["high_seconds"] = bucket / r["low_flow"] if r["low_flow"] > 0 else ""
    water = {"static": healthy["static"], "running": healthy["running"], "seconds": r["expect_seconds"]}
    tables["test_day_water"] = []
    for name, wanted in water.items():
        low_high = r[f"low_{name}"], r[f"high_{name}"]
        own = [wanted] if name == "seconds" else [wanted, deviation[name]]
        tables["test_day_water"].append(_row(v, name, wanted, *low_high, *own, *low_high))

    highest, balance = v["reading_line_highest"], healthy["phase_balance"]
    lowest = r["expect_lowest"] = "" if highest is None else balance * highest
    r["band_lowest"] = "" if highest is None else lowest * math.hypot(scatter["phase_balance"], volts)
    r["band_volts"] = r["load_volts"] * math.hypot(v["battery_scatter"] / 100, volts)
    tables["test_day_a"] = [
        spread_row("volts", r["load_volts"], r["band_volts"]),
        by_meter("speed", "speed_a"),
        by_meter("rectifier", "rectifier_a"),
        by_meter("amps", "amps_a"),
        _row(v, "line_highest", "", "", ""),
        spread_row("line_lowest", lowest, r["band_lowest"]),
    ]
    at_b = v["reading_volts_b"] is not None
    tables["test_day_b"] = [
        _row(v, "volts_b", "", "", ""),
        *(by_meter(cell, cell, at_b) for cell in ("speed_b", "rectifier_b", "amps_b")),
    ]
    constant = healthy["open_constant"]
    turned = r["expect_open"] = constant * (1.0 if v["reading_open_speed"] is None else v["reading_open_speed"] / 1000)
    shares = scatter["open_constant"] / constant, volts, v["meter_speed"] / 100
    r["band_open"] = math.hypot(*(turned * share for share in shares), v["least_volts"])
    tables["test_day_rest"] = [
        _row(v, "open_speed", "", "", ""),
        spread_row("open_volts", turned, r["band_open"]),
        by_meter("nozzle", "nozzle"),
    ]
    amps, at_load, seconds = v["reading_amps"], v["reading_volts"], v["reading_seconds"]
    r["reading_watts"] = at_load * amps if at_load is not None and amps is not None else ""
    r["reading_flow"] = bucket / seconds if seconds is not None else ""
    constant, balance = quotients(v)
    r["reading_constant"], r["reading_balance"] = ("" if value is None else value for value in (constant, balance))
    r["gauge_share"], r["gauge_off"] = gauge(v)
    for look in ("overflow", "screen"):
        answer = seen(v)[look]
        r[f"answer_{look}"] = "" if answer is None else answer
    r["least_constant"] = per_krpm(v, v["least_volts"])
    r["meter_balance"] = math.sqrt(2) * v["meter_volts"]


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    return []
