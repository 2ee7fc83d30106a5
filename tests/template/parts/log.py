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
_LOOKED = (*_COLUMNS, "overflows")


def season(*entries, **more):
    """Inputs of a log with these (day since the first, gauge, volts, amps[, seconds[, hours[, overflows]]]) in
    its rows; None leaves a row empty.
    """
    inputs = dict(more)
    for number, entry in enumerate(entries, start=1):
        if entry is not None:
            day, *rest = entry
            inputs[f"log_date_{number}"] = FIRST_DAY + day
            inputs |= {f"log_{column}_{number}": value for column, value in zip(_LOOKED[1:], rest) if value is not None}
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
    "log: looks at the intake, dry months": season(
        (0, 3.0, 24, 5.0, None, None, "yes"),
        (7, 2.5, 24, 3.8, None, None, "yes"),
        (14, 2.5, 24, 3.8, None, None, "no"),
        (21, 3.0, 24, 5.0, None, None, "no"),
        (28, None, 24, 4.0, None, None, "no"),
        (35, 3.3, 24, 5.0, None, None, "no"),
        (42, 2.5, 24, 3.8),
        (93, 2.7, 24, 4.2),
        (100, 2.5, 24, 3.8, None, None, "yes"),
        (130, 2.0, 24, 2.8),
        (137, 2.9, 24, 4.7),
        (170, 0.0, 24, 0.1),
        **_NEW,
    )
    | {"flow_august": 0.7, "flow_september": 0.5, "flow_october": 0.05},
    "log: falls through a dry spell, and a repair": season(
        *(
            (
                7 * week,
                (3.0 - week / 200) * (0.7 if 15 <= week < 20 else 1),
                24,
                (5 - week / 40 + (0.4 if week >= 26 else 0) + 0.03 * (-1) ** (week * (week + 1) // 2))
                * (0.6 if 15 <= week < 20 else 1),
            )
            for week in range(44)
        ),
        **_NEW,
    ),
    "log: dropped at a stroke": season(
        *((7 * week, 3.0, 24, (5 if week < 20 else 4.4) + 0.05 * (-1) ** (week // 2)) for week in range(40)), **_NEW
    ),
    "log: too much scatter": season(
        *((7 * week, 3.0, 24, 5 + 0.6 * math.sin(7.0 * week * week)) for week in range(12)), **_NEW
    ),
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
_STEADY = season(*((day, 3.0, 24, 5 + 0.02 * (-1) ** (day // 6)) for day in range(0, 180, 6)), **_NEW)
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
    tables["log_months"] = list(_months(v, r, tables))
    date, watts, day, watts_share, gauge_share, look = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    rows, history, energy = [], [(None, None)] * 3, 0.0
    for number in range(1, ENTRIES + 1):
        entry = {column: v[f"log_{column}_{number}"] for column in _COLUMNS}
        overflows = v[f"log_overflows_{number}"]
        seen = v | entry | {"date to hours": list(entry.values()), "last_date_before": date}
        given = None not in (entry["date"], entry["volts"], entry["amps"])
        counts = given and entry["date"] >= date
        here = kwh = ""
        gauge_counts = watts_count = False
        run, month, watts_due, gauge_due = 0.0, 0, 1.0, 1.0
        if counts:
            month = sum(row[0] <= (entry["date"] - 1) % 365.25 for row in tables["log_months"])
            if overflows != "yes":
                watts_due, gauge_due = tables["log_months"][month - 1][2:4]
            if overflows:
                look = float(overflows == "yes")
            here = entry["volts"] * entry["amps"]
            run = entry["hours"] if entry["hours"] is not None else 24 * (entry["date"] - date) if date else 0.0
            kwh = run * (here + (watts if date else here)) / 2000
            energy += kwh
            date, watts, day = entry["date"], here, entry["date"] - r["log_begin"]
            if full_watts * watts_due > 0:
                watts_share = 100 * here / full_watts / watts_due
            gauge_counts = (entry["gauge"] or 0) > 0 and gauge_due > 0
            if gauge_counts:
                gauge_share = 100 * entry["gauge"] / full_gauge / gauge_due
            watts_count = here > 0 and full_watts * watts_due > 0
        source = counts and (overflows == "no" or 100 * watts_due < v["log_month_dry"])
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
            "overflows": overflows,
            "source": source,
        }
        workings = with_workings(seen)
        history.append((gauge_share, float(gauge_counts)))
        rows.append(
            [
                log.SAYS.value(workings),
                here,
                watts_share if counts and full_watts * watts_due > 0 else "",
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
                *(workings[name] for name in IN_ORDER[:-2]),
                float(month),
                watts_due,
                gauge_due,
                float(source),
                float(watts_count and not source),
                float(gauge_counts and not source),
                full_flow * math.sqrt(entry["gauge"] / full_gauge) if source and gauge_counts else "",
                look,
                *(workings[name] for name in IN_ORDER[-2:]),
            ]
        )
    tables["log"] = [
        *rows,
        [0.0, date, watts, 0.0, day, watts_share, gauge_share, 0.0, 0.0, 0.0, 0.0, look],
    ]
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
    r["log_last_look"] = look
    r["log_source_least"] = min((row[-4] for row in rows if row[-4] != ""), default="")
    trends, since = zip(_trend(v, r, "watts", rows, 11, -6), _trend(v, r, "gauge", rows, 12, -5))
    tables["log_trends"], tables["log_since"] = list(trends), list(since)
    r["log_fall_since"] = since[0][0] if r["watts_trend_is"] == "falls" else ""
    r["season_case"] = log.SEASON_CASE.value(r)
    r["log_season"] = log.SEASON.value(r | tables_of_words("season"))
    tables["log_service"] = [_service(key, v, r, rows) for key in SERVICES]
    r["services_due"] = sum(row[4] == "due now" for row in tables["log_service"])


def _months(v, r, tables):
    """Of each month: its first day, usable flow, shares of watts and gauge that are expected, and whether it is dry."""
    begins = 0.0
    for days, _, usable, used, watts, _, _, _, before, _ in tables["supply_months"]:
        gauge = hf.running_pressure(before, used, r["outlet_bore"], v["water_temperature"], r["gravity"])
        gauge -= r["water_density"] * r["gravity"] * v["gauge_height"] / 1e5
        shares = [
            min(1.0, part / whole) if whole > 0 else 1.0
            for part, whole in ((watts, r["battery_watts"]), (gauge, r["running_pressure"]))
        ]
        yield [begins, usable, *shares, "dry" if 100 * shares[0] < v["log_month_dry"] else ""]
        begins += days


IN_ORDER = [  # columns Y to AK of the entries, and the last two
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
    "slow",
    "if_low",
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
    known = {
        "watts_trend_is": known["trend_is"],
        "watts_trend": known["change"],
    } | known  # the first row is that of them
    known["in_season"] = log.IN_SEASON.value(known)
    return known


def _trend(v, r, what, rows, share, counts):
    """(row of the table Trend, row of the table Since when)."""
    kept = [row for row in rows if row[counts]]
    enough = log.ENOUGH.value(v | {"entries": float(len(kept)), "log_days": [row[10] for row in rows]})
    slope = limit = used = began = step = ""
    if enough:
        lists = [row[share] for row in kept], [row[7] for row in kept]
        with contextlib.suppress(InputError):
            slope, began = hf.slow_change(*lists), hf.slow_change_begin(*lists)
            limit, used, step = (
                hf.slow_change_limit(*lists),
                hf.slow_change_entries(*lists),
                hf.slow_change_step(*lists),
            )
    months = (r["log_end"] - began) / 30.4375 if began != "" else 0.0
    known = with_trend(v | r | {"change": slope, "limit": limit, "step": step, "months_long": months})
    r[f"{what}_trend"], r[f"{what}_trend_limit"], r[f"{what}_trend_is"] = slope, limit, known["trend_is"]
    r[f"season_{what}"] = {"watts": log.SEASON_WATTS, "gauge": log.SEASON_GAUGE}[what].value(known | r)
    says = log.TREND_SAYS.value(known)
    since = ["", "", "", step or "", hf.slow_change_step_day(*lists) if step else ""]
    if known["sure"]:
        since[:3] = began, *(hf.slow_change_begin(*lists, side=side) for side in (-1, 1))
    return [
        *(slope, limit, used, float(len(kept)), says),
        *(enough, began, step, months, known["sure"], known["trend_is"], r[f"season_{what}"], known["in_season"]),
    ], since


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
    falls = {"too few": "", "unsure": "", "falls": r["watts_trend"] and -r["watts_trend"]}.get(r["watts_trend_is"], 0.0)
    dated = any(value is not None for name, value in v.items() if name.startswith("service_done_"))
    return [
        ("" if r["log_share"] == "" else 100 - share, 12, 30, False),
        (abs(gauge - 100) if gauge else "", 8, 20, False),
        (falls, 1, 5, False),
        (float(r["services_due"]) if dated else "", 0, 2, False),
    ]
