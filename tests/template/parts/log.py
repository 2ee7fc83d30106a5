"""The sheet of `pages/log.py` as plain Python: entries read one after the other, as a person would.

What its words mean is held by tests/template/test_log_says.py.
"""

import contextlib
import math

import hydrofunc as hf
from hydrofunc.errors import InputError
from hydrofunc.template.model import Table
from hydrofunc.template.pages import INPUTS, log

ENTRIES = 60
SERVICES = ("screen", "nozzle", "bearings", "water", "gauge", "guard", "fuse")
FIRST_DAY = 46143.0  # 2026-05-01
_AS_DESIGNED = {"gauge": 4.6, "volts": 27.2, "amps": 5.0}
_COLUMNS = ("date", "gauge", "volts", "amps", "seconds", "hours")


def season(*entries, **more):
    """Inputs of a log with these (day since the first, gauge, volts, amps[, seconds[, hours]]) in its rows;
    None leaves a row empty.
    """
    inputs = dict(more)
    for number, entry in enumerate(entries, start=1):
        if entry is not None:
            day, *rest = entry
            inputs[f"log_date_{number}"] = FIRST_DAY + day
            inputs |= {
                f"log_{column}_{number}": value for column, value in zip(_COLUMNS[1:], rest) if value is not None
            }
    return inputs


# Compared with what was measured when new: 3 bar, 24 V times 5 A, 1 L/s into the template's bucket of 20 L.
_NEW = {"well_watts": 120.0, "well_gauge": 3.0, "well_flow": 1.0}
_FALLING = [
    (day, 3.0 - day / 400, 24.0, 5.0 * (1 - day / 400) ** 1.5 + (0.02 if day % 2 else -0.02)) for day in range(0, 77, 7)
]
SITES = {
    "log: every word": season(
        (0, 3.0, 24, 5.0),
        (3, 2.5, 24, 5 * (2.5 / 3) ** 1.5),
        (6, 2.5, 24, 3.8, 21.9),
        (9, 2.49, 24, 3.8),
        (12, 2.48, 24, 3.8),
        (15, 2.6, 24, 5.0),
        (18, 2.6, 24, 4.9, 18.5),
        (21, 3.4, 24, 3.5),
        (24, 3.4, 24, 6.03),
        (27, 3.05, 24, 4.0, 24.0),
        (30, 2.95, 24, 5.1, 18.0),
        (33, 3.0, 24, 3.0),
        (36, 3.0, 24, 6.0),
        (39, None, 24, 3.0),
        (42, None, 24, 5.0),
        (45, 3.0, 24, 0.0),
        (45.5, 0.0, 24, 0.0),
        None,
        (40, 3.0, 24, 5.0),
        (50, 3.0, None, 5.0),
        (52, 3.0, 24, 5.0, 20.0, 30.0),
        (53, 2.5, 24, 2.5),
        **_NEW,
    )
    | {"log_gauge_30": 3.0, "log_remark_24": "a remark alone says nothing"},
    "log: as designed": season((0, 4.0, 26.0, 3.0), (10, 4.0, 26.0, 2.9, 25.0)),
    "log: slow fall of gauge and watts": season(*_FALLING, **_NEW),
    "log: watts fall alone": season(
        *((day, 3.0, 24, 5 - day / 100 + (0.02 if day % 4 else 0)) for day in range(0, 60, 6)), **_NEW
    ),
    "log: nozzle blocks": season(
        *((day, 3 + day / 200 + (0.01 if day % 4 else 0), 24, 5 - day / 100) for day in range(0, 60, 6)), **_NEW
    ),
    "log: nozzle wears": season(
        *((day, 3 - day / 200 + (0.01 if day % 4 else 0), 24, 5.0) for day in range(0, 60, 6)), **_NEW
    ),
    "log: gauge creeps up": season(*((day, 3 + day / 200, 24, 5.0) for day in range(0, 60, 6)), **_NEW),
    "log: a slow wave": season(
        *((day, 3 + math.sin(day / 40) / 10, 24, 5 + math.sin(day / 40)) for day in range(0, 140, 7)), **_NEW
    ),
    "log: a slow wave of the gauge alone": season(
        *((day, 3 + math.sin(day / 40) / 10, 24, 5 - day / 100 + (0.05 if day % 2 else 0)) for day in range(0, 140, 7)),
        **_NEW,
    ),
    "log: no gauge": season(
        *((day, None, 24, 5 - day / 100 + (0.02 if day % 4 else 0)) for day in range(0, 60, 6)), **_NEW
    ),
    "log: no gauge, steady": season(
        *((day, None, 24, 5 + (0.02 if day % 4 else 0)) for day in range(0, 60, 6)), **_NEW
    ),
    "log: a plant that gives nothing": season((0, 3.0, 24, 1.0), (1, 3.0, 24, 1.0)) | {"battery_volts": 400.0},
    "log: all rows full": season(*((day, 3.0, 24, 5.0) for day in range(ENTRIES)), **_NEW),
    "log: service": season((0, 3.0, 24, 5.0), (100, 3.0, 24, 5.0, None, 1500.0), **_NEW)
    | {
        "service_done_screen": FIRST_DAY + 95,
        "service_done_nozzle": FIRST_DAY,
        "service_done_bearings": FIRST_DAY - 200,
        "service_hours_bearings": 1500.0,
        "service_done_gauge": FIRST_DAY,
        "service_days_gauge": None,
        "service_done_water": FIRST_DAY - 400,
    },
    "log: service by the calendar alone": {
        "day_today": FIRST_DAY,
        "service_done_water": FIRST_DAY - 31,
        "service_done_fuse": FIRST_DAY - 10,
    },
}
STOP = {
    "Log: last watts short of what is expected": season((0, 3.0, 24, 2.0), **_NEW),
    "Log: last gauge off what is expected": season((0, 2.0, 24, 2.0), **_NEW),
    "Log: watts fall in a month, beyond doubt": season(
        *((day, 3.0, 24, 5 - day / 60) for day in range(0, 60, 6)), **_NEW
    ),
    "Log: services due now": {"day_today": FIRST_DAY}
    | {f"service_done_{key}": FIRST_DAY - 1000 for key in ("nozzle", "gauge", "guard")},
}
_STEADY = season(*((day, 3.0, 24, 5 + 0.05 * (-1) ** (day // 6)) for day in range(0, 60, 6)), **_NEW)
GOOD = {label: _STEADY for label in STOP if "services" not in label} | {
    "Log: services due now": {"day_today": FIRST_DAY, "service_done_nozzle": FIRST_DAY - 1}
}


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    designs = [r[designed] for designed in ("battery_watts", "running_pressure", "flow")]
    for what, designed in zip(("watts", "gauge", "flow"), designs):
        r[f"log_expected_{what}"] = v[f"well_{what}"] if v[f"well_{what}"] is not None else designed
    full_watts, full_gauge, full_flow = (r[f"log_expected_{what}"] for what in ("watts", "gauge", "flow"))
    r["log_bucket_seconds"] = v["bucket_volume"] / full_flow if full_flow and v["bucket_volume"] else 0.0
    dates = [v[f"log_date_{number}"] for number in range(1, ENTRIES + 1)]
    r["log_begin"] = min((date for date in dates if date is not None), default=0.0)
    date, watts, day, watts_share, gauge_share = 0.0, 0.0, 0.0, 0.0, 0.0
    rows, history, energy = [], [(None, None)] * 3, 0.0
    for number in range(1, ENTRIES + 1):
        entry = {column: v[f"log_{column}_{number}"] for column in _COLUMNS}
        seen = v | entry | {"date to hours": list(entry.values()), "last_date_before": date}
        given = None not in (entry["date"], entry["volts"], entry["amps"])
        counts = given and entry["date"] >= date
        here = kwh = ""
        gauge_counts = watts_count = False
        run = 0.0
        if counts:
            here = entry["volts"] * entry["amps"]
            run = entry["hours"] if entry["hours"] is not None else 24 * (entry["date"] - date) if date else 0.0
            kwh = run * (here + (watts if date else here)) / 2000
            energy += kwh
            date, watts, day = entry["date"], here, entry["date"] - r["log_begin"]
            if full_watts > 0:
                watts_share = 100 * here / full_watts
            gauge_counts = (entry["gauge"] or 0) > 0
            if gauge_counts:
                gauge_share = 100 * entry["gauge"] / full_gauge
            watts_count = here > 0 and full_watts > 0
        shares_above, counts_above = zip(*history[-3:])
        seen |= {
            "watts_now": here,
            "counts": counts,
            "watts_share": watts_share,
            "watts_count": watts_count,
            "gauge_share": gauge_share,
            "gauge_counts": gauge_counts,
            "gauge_share_above": list(shares_above),
            "gauge_counts_above": list(counts_above),
            "log_bucket_seconds": r["log_bucket_seconds"],
        }
        workings = with_workings(seen)
        history.append((gauge_share, float(gauge_counts)))
        rows.append(
            [
                log.SAYS.value(workings),
                here,
                watts_share if counts and full_watts > 0 else "",
                gauge_share if gauge_counts else "",
                kwh,
                energy if counts else "",
                float(counts),
                date,
                watts,
                run,
                day,
                watts_share,
                gauge_share,
                float(gauge_counts),
                float(watts_count),
                *(workings[name] for name in IN_ORDER),
            ]
        )
    tables["log"] = [*rows, [0.0, date, watts, 0.0, day, watts_share, gauge_share, 0.0, 0.0]]
    r["log_last_watts_share"], r["log_last_gauge_share"] = watts_share, gauge_share
    r["log_entries"], r["log_end"], r["log_energy"] = sum(row[6] for row in rows), date, energy
    r["log_share"] = watts_share if r["log_entries"] and full_watts > 0 else ""
    r["log_today"] = v["day_today"] if v["day_today"] is not None else date
    tables["log_references"] = [
        [full_watts, designs[0]],
        [full_gauge, designs[1]],
        [full_flow, designs[2], r["log_bucket_seconds"]],
        [r["log_today"], date],
    ]
    tables["log_trends"] = [_trend(v, r, "watts", rows, 11, 14), _trend(v, r, "gauge", rows, 12, 13)]
    r["season_case"] = log.SEASON_CASE.value(r)
    r["log_season"] = log.SEASON.value(r | tables_of_words("season"))
    tables["log_service"] = [_service(key, v, r, rows) for key in SERVICES]
    r["services_due"] = sum(row[4] == "due now" for row in tables["log_service"])


IN_ORDER = [  # columns Y to AK of the entries
    "passes",
    "sound_watts",
    "flow_share",
    "shaft",
    "row_is",
    "gauge_is",
    "watts_are",
    "low_since",
    "with_low",
    "with_high",
    "with_right",
    "second",
    "case",
]


def tables_of_words(key):
    """Cases and words of a table of the sheet, as its names give them: "log", "trend" or "season"."""
    table = next(item for item in log.PAGE.items if isinstance(item, Table) and item.key == f"{key}_words")
    cases, said, _ = zip(*table.rows)
    return {f"{key}_cases": list(cases), f"{key}_words": list(said)}


def with_workings(known):
    """What is known of an entry, and the workings that follow from it."""
    known = {name: float(value) if isinstance(value, bool) else value for name, value in known.items()}
    known |= tables_of_words("log")
    for column, _, what, _ in log.WORKINGS:
        known.setdefault(column.name, what.value(known))
    return known


def with_trend(known):
    """What is known of a trend, and the words that follow from it."""
    known = {"enough": None} | known | tables_of_words("trend")
    known["sure"] = log.SURE.value(known)
    known["trend_is"] = log.TREND_IS.value(known)
    return known


def _trend(v, r, what, rows, share, counts):
    kept = [row for row in rows if row[counts]]
    days = [row[10] for row in rows]
    enough = log.ENOUGH.value(v | {"entries": float(len(kept)), "log_days": days})
    slope = error = limit = ""
    if enough:
        values, days = [row[share] for row in kept], [row[10] for row in kept]
        slope, error = hf.trend(values, days), hf.trend_error(values, days)
        with contextlib.suppress(InputError):
            limit = hf.trend_limit(values, days)
    r[f"{what}_trend"], r[f"{what}_trend_limit"] = slope, limit
    known = with_trend(v | {"change": slope, "limit": limit})
    r[f"{what}_trend_is"] = known["trend_is"]
    r[f"season_{what}"] = {"watts": log.SEASON_WATTS, "gauge": log.SEASON_GAUGE}[what].value(known)
    says = log.TREND_SAYS.value(known)
    return [
        *(slope, error, limit, float(len(kept)), says),
        *(enough, known["sure"], known["trend_is"], r[f"season_{what}"]),
    ]


USUAL = {
    item.name: None if item.assumption.value == '=""' else item.assumption.value
    for item in INPUTS
    if item.name.startswith(("service_days", "service_hours"))
}


def _service(key, v, r, rows):
    done = v[f"service_done_{key}"]
    days, hours = (v[f"service_{what}_{key}"] or USUAL[f"service_{what}_{key}"] for what in ("days", "hours"))
    due = "" if done is None or days is None else done + days
    run = "" if done is None else sum(row[9] for row in rows if row[7] > done)
    known = {"done": done, "due": due, "every_hours": hours, "hours_since": run, "log_today": r["log_today"]}
    known |= {"by_date": log.BY_DATE.value(known), "by_hours": log.BY_HOURS.value(known)}
    shown = ["" if interval is None else interval for interval in (days, hours)]
    return [*shown, due, run, log.SERVICE_IS.value(known), known["by_date"], known["by_hours"]]


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    share, gauge = r["log_last_watts_share"], r["log_last_gauge_share"]
    slope, limit = r["watts_trend"], r["watts_trend_limit"]
    falls = "" if limit == "" else -slope if slope < -max(limit, v["log_change_least"]) else 0.0
    dated = any(value is not None for name, value in v.items() if name.startswith("service_done_"))
    return [
        ("" if r["log_share"] == "" else 100 - share, 12, 30, False),
        (abs(gauge - 100) if gauge else "", 8, 20, False),
        (falls, 1, 5, False),
        (float(r["services_due"]) if dated else "", 0, 2, False),
    ]
