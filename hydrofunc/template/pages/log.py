"""Log: readings of a season, what they say, their trend, and service that is due."""

from ...registry import Argument
from ...units import TEXT
from ..chain import call
from ..expression import (
    Brackets,
    all_of,
    any_of,
    cell,
    cells,
    column,
    count_filled,
    greatest,
    is_number,
    magnitude,
    no,
    or_zero,
    root,
    total,
    when,
)
from ..model import DATE, Formula, Heading, Input, Page, Result, Space, Table, Words
from .common import PRACTICE, check

ENTRIES = 60
GAUGE_BAND, WATTS_BAND, FLOW_BAND = 8, 12, 8  # %, as on Test day
SLOW_FALL = 4  # % of the gauge over three entries: less is no sudden clog
LEAST_CHANGE = 0.1  # % a month: less is not worth a word
_DATE_OR_NOTHING = f"{DATE};;"

_DAY = Argument("log_date", "day", "Day of the reading.", "[36526, 73050]")
_GAUGE = Argument("log_gauge", "bar", "Gauge before the nozzle, running.", "[0, 200]")
_VOLTS = Argument("log_volts", "V", "D.c. volts at the battery.", "[0, 2000]")
_AMPS = Argument("log_amps", "A", "D.c. amperes.", "[0, 2000]")
_SECONDS = Argument(
    "log_seconds", "s", "Time in which the bucket of the sheet Site fills below the wheel.", "(0, 3600]"
)
_HOURS = Argument("log_hours", "h", "Hours run since the last entry.", "[0, 100000]")
_REMARK = Argument("log_remark", TEXT, "Remarks.")
_INTERVAL_DAYS = Argument("service_days", "day", "Days between.", "(0, 4000]")
_INTERVAL_HOURS = Argument("service_hours", "h", "Hours run between.", "(0, 100000]")


def _recorded(name, label, argument, digits="General", **more):
    return Input(name, label, argument, optional=True, recorded=True, digits=digits, **more)


def _kept(name, label, argument, digits="General", **more):
    return Input(name, label, argument.with_(name=name), optional=True, digits=digits, **more)


# -- an entry ----------------------------------------------------------------------------------------------

READ_ON, GAUGE, VOLTS, AMPS, SECONDS, HOURS = (
    column(*named) for named in zip("CDEFGH", ("date", "gauge", "volts", "amps", "seconds", "hours"))
)
COUNTS, LAST_DATE = column("P", "counts"), column("Q", "last_date")
WATTS_SHARE, GAUGE_SHARE = column("U", "watts_share"), column("V", "gauge_share")  # %, of what is expected
GAUGE_COUNTS, WATTS_COUNT = column("W", "gauge_counts"), column("X", "watts_count")
PASSES = column("Y", "passes")  # share of the water that the nozzle should pass at its pressure
BUCKET, EXPECTED_FLOW = cells("bucket_volume log_expected_flow")

_TIMED = or_zero(SECONDS) > 0
_BY_PRESSURE = Brackets(GAUGE_SHARE / 100) ** 1.5  # watts of a sound plant go with the pressure to this power
# From the bucket, else from watts and gauge.
NOZZLE_PASSES = when(
    (no(all_of(GAUGE_COUNTS == 1, WATTS_COUNT == 1)), 0),
    (_TIMED, BUCKET / SECONDS / EXPECTED_FLOW / root(GAUGE_SHARE / 100)),
    otherwise=Brackets(WATTS_SHARE / 100) / _BY_PRESSURE,
)
# Watts, of what this flow at this pressure should give; without a bucket the nozzle counts as whole.
_TURNED_INTO_WATTS = Brackets(WATTS_SHARE / 100) / (when((_TIMED, PASSES), otherwise=1) * _BY_PRESSURE)
_LOW_FOR_LONG = all_of(total(GAUGE_COUNTS.above(3)) == 3, greatest(GAUGE_SHARE.above(3)) - GAUGE_SHARE < SLOW_FALL)
_WATTS_LOW = WATTS_SHARE < 100 - WATTS_BAND

_NO_ENTRY = when(
    (count_filled(READ_ON.to(HOURS)) == 0, ""),
    (no(is_number(READ_ON)), "no date"),
    (READ_ON < or_zero(LAST_DATE.before), "date goes back"),
    otherwise="volts or amps missing",
)
_GAUGE_LOW = when(
    (PASSES > 1.05, "nozzle worn"),
    (_TURNED_INTO_WATTS < 0.85, "gauge low, electrical too"),
    (_LOW_FOR_LONG, "scaling"),
    otherwise="screen or pipe clogging",
)
SAYS = when(
    (COUNTS == 0, _NO_ENTRY),
    (WATTS_COUNT == 0, "stands still"),
    (GAUGE_COUNTS == 0, when((_WATTS_LOW, "watts low: read the gauge"), otherwise="ok")),
    (GAUGE_SHARE < 100 - GAUGE_BAND, _GAUGE_LOW),
    (GAUGE_SHARE > 100 + GAUGE_BAND, when((PASSES < 0.95, "nozzle blocked"), otherwise="gauge high")),
    (all_of(_TIMED, PASSES < 1 - FLOW_BAND / 100), "nozzle blocked"),
    (all_of(_TIMED, PASSES > 1 + FLOW_BAND / 100), "nozzle worn"),
    (_WATTS_LOW, "electrical"),
    (WATTS_SHARE > 100 + WATTS_BAND, "more than expected"),
    otherwise="ok",
)
_HEADS = (
    "it says",
    "date",
    "gauge, bar",
    "volts",
    "amps",
    "bucket, s",
    "hours run since",
    "watts",
    "watts, %",
    "gauge, %",
    "kWh since",
    "kWh to date",
    "remarks",
    "",
    "counts",
    "last date",
    "last watts",
    "hours",
    "day",
    "watts, %",
    "gauge, %",
    "gauge counts",
    "watts count",
    "nozzle passes",
)


def _entry(number):
    return (
        Formula(f"={SAYS}", words=True),
        _recorded(f"log_date_{number}", "Date", _DAY, DATE),
        _recorded(f"log_gauge_{number}", "Gauge", _GAUGE, "0.00"),
        _recorded(f"log_volts_{number}", "Volts", _VOLTS, "0.0"),
        _recorded(f"log_amps_{number}", "Amps", _AMPS, "0.00"),
        _recorded(f"log_seconds_{number}", "Bucket", _SECONDS, "0.0"),
        _recorded(f"log_hours_{number}", "Hours run since", _HOURS, "0.0"),
        Formula('=IF(P{row}=1,E{row}*F{row},"")', "0.0"),
        Formula('=IF(P{row}=1,U{row},"")', "0.0"),
        Formula('=IF(W{row}=1,V{row},"")', "0.0"),
        Formula('=IF(P{row}=1,S{row}*(I{row}+IF(N(Q{row-1})>0,N(R{row-1}),I{row}))/2000,"")', "0.00"),
        Formula('=IF(P{row}=1,SUM(L{first}:L{row}),"")', "0.0"),
        _recorded(f"log_remark_{number}", "Remarks", _REMARK),
        "",
        Formula("=IF(AND(ISNUMBER(C{row}),ISNUMBER(E{row}),ISNUMBER(F{row})),IF(C{row}>=N(Q{row-1}),1,0),0)", "0"),
        Formula("=IF(P{row}=1,C{row},N(Q{row-1}))", _DATE_OR_NOTHING),
        Formula("=IF(P{row}=1,I{row},N(R{row-1}))", "0.0"),
        Formula("=IF(P{row}=1,IF(ISNUMBER(H{row}),H{row},IF(N(Q{row-1})>0,24*(C{row}-Q{row-1}),0)),0)", "0.0"),
        Formula("=IF(P{row}=1,C{row}-log_begin,N(T{row-1}))", "0.0"),
        Formula("=IF(P{row}=1,100*I{row}/log_expected_watts,N(U{row-1}))", "0.0"),
        Formula("=IF(W{row}=1,100*D{row}/log_expected_gauge,N(V{row-1}))", "0.0"),
        Formula("=IF(AND(P{row}=1,N(D{row})>0),1,0)", "0"),
        Formula("=IF(P{row}=1,IF(I{row}>0,1,0),0)", "0"),
        Formula(f"={NOZZLE_PASSES}", "0.00"),
    )


_END = (
    "More entries: insert rows above the row before this line, and copy a row above them down as far as this line.",
    *[""] * 13,
    Formula("=0", "0"),
    Formula("=N(Q{row-1})", _DATE_OR_NOTHING),
    Formula("=N(R{row-1})", "0.0"),
    Formula("=0", "0"),
    Formula("=N(T{row-1})", "0.0"),
    Formula("=N(U{row-1})", "0.0", name="log_last_watts_share"),
    Formula("=N(V{row-1})", "0.0", name="log_last_gauge_share"),
    Formula("=0", "0"),
    Formula("=0", "0"),
)

# -- what they are compared with, trend, service -----------------------------------------------------------


def _reference(what, argument, name, designed, unit, digits, note):
    well = argument.with_(within="(0, 100000]")
    return (
        f"{what.capitalize()} when all was well",
        _kept(f"well_{what}", f"{what.capitalize()} when all was well", well, digits),
        unit,
        Formula(f"=IF(ISNUMBER(C{{row}}),C{{row}},{designed})", digits, name=name),
        note,
    )


_REFERENCES = (
    _reference(
        "watts",
        Argument("", "W", "Watts at the battery when new."),
        "log_expected_watts",
        "battery_watts",
        "W",
        "0.0",
        "As you measured it in the first days. Empty: as designed (sheet Alternator and battery).",
    ),
    _reference(
        "gauge",
        Argument("", "bar", "Gauge, running, when new."),
        "log_expected_gauge",
        "running_pressure",
        "bar",
        "0.00",
        "Empty: as designed (sheet Nozzle).",
    ),
    _reference(
        "flow",
        Argument("", "L/s", "Flow when new."),
        "log_expected_flow",
        "flow",
        "L/s",
        "0.000",
        "Empty: as designed (sheet Nozzle).",
    ),
    (
        "Today",
        _kept("day_today", "Today", _DAY, DATE),
        "",
        Formula("=IF(ISNUMBER(C{row}),C{row},MAX(log_last_dates))", _DATE_OR_NOTHING, name="log_today"),
        "For service that is due. Empty: the day of the last entry.",
    ),
)


_CHANGE, _LIMIT = column("C", "change"), column("F", "limit")
TREND_SAYS = when(
    (no(is_number(_CHANGE)), "too few: five entries or more, on different days"),
    (no(is_number(_LIMIT)), "no judgement: entries too alike, one after the other"),
    (no(magnitude(_CHANGE) > greatest(_LIMIT, LEAST_CHANGE)), "no change beyond doubt"),
    (_CHANGE < 0, "falls, beyond doubt"),
    otherwise="rises, beyond doubt",
)


def _trend(label, values, counts, name):
    given = {"values": values, "days": "log_days", "counted": counts}
    asked_limit = call("trend_limit", **given)

    def of(function):
        return f'=IF(AND(G{{row}}>=5,MAX(log_days)>0),{call(function, **given)},"")'

    return (
        label,
        Formula(of("trend"), "+0.0;-0.0;0.0", name=name),
        "%",
        Formula(of("trend_error"), "0.0"),
        Formula(f'=IF(ISNUMBER(C{{row}}),IFERROR({asked_limit},""),"")', "0.0", name=f"{name}_limit"),
        Formula(f"=SUM({counts})", "0"),
        Formula(f"={TREND_SAYS}", words=True),
    )


_TRENDS = (
    _trend("Watts, of what is expected", "log_watts_shares", "log_watts_counts", "watts_trend"),
    _trend("Gauge, of what is expected", "log_gauge_shares", "log_gauge_counts", "gauge_trend"),
)
WATTS_TREND, WATTS_LIMIT, GAUGE_TREND, GAUGE_LIMIT = cells(
    "watts_trend watts_trend_limit gauge_trend gauge_trend_limit"
)
_WATTS_FALL = WATTS_TREND < -greatest(WATTS_LIMIT, LEAST_CHANGE)
_GAUGE_MOVES = magnitude(GAUGE_TREND) > greatest(GAUGE_LIMIT, LEAST_CHANGE)
_GAUGE_FALLS = GAUGE_TREND < 0
SEASON = when(
    (no(is_number(WATTS_TREND)), "too few entries"),
    (no(is_number(WATTS_LIMIT)), "no judgement"),
    (no(is_number(GAUGE_LIMIT)), when((_WATTS_FALL, "watts fall"), otherwise="steady")),
    (
        _WATTS_FALL,
        when((no(_GAUGE_MOVES), "electrical"), (_GAUGE_FALLS, "clogging, scaling"), otherwise="nozzle blocking"),
    ),
    (no(_GAUGE_MOVES), "steady"),
    (_GAUGE_FALLS, "nozzle wearing"),
    otherwise="gauge rises",
)

_DONE, _EVERY_HOURS = column("C", "done"), column("E", "every_hours")
_DUE, _HOURS_SINCE = column("F", "due"), column("G", "hours_since")
SERVICE_IS = when(
    (no(is_number(_DONE)), "no date"),
    (
        any_of(
            all_of(is_number(_DUE), or_zero(_DUE) <= cell("log_today")),
            all_of(is_number(_EVERY_HOURS), _HOURS_SINCE >= or_zero(_EVERY_HOURS)),
        ),
        "due now",
    ),
    otherwise="not yet",
)


def _service(key, label, days, hours, note):
    return (
        label,
        _kept(f"service_done_{key}", f"{label}: last done", _DAY, DATE),
        _kept(f"service_days_{key}", f"{label}: every", _INTERVAL_DAYS, default=days),
        _kept(f"service_hours_{key}", f"{label}: or after", _INTERVAL_HOURS, default=hours),
        Formula('=IF(AND(ISNUMBER(C{row}),ISNUMBER(D{row})),C{row}+D{row},"")', DATE),
        Formula('=IF(ISNUMBER(C{row}),SUMPRODUCT((log_last_dates>C{row})*log_hours_run),"")', "0"),
        Formula(f"={SERVICE_IS}"),
        note,
    )


_SERVICES = (
    _service(
        "screen",
        "Intake screen",
        14.0,
        None,
        "Clean it, and look for gaps that let grit through. More often in leaf fall and after storms.",
    ),
    _service(
        "nozzle",
        "Nozzle wear",
        180.0,
        None,
        "Measure the hole and compare with the sheet Nozzle; renew it when the lip is no longer sharp.",
    ),
    _service(
        "bearings", "Bearings", 365.0, 8000.0, "Listen, feel for play and heat; grease or renew as their maker says."
    ),
    _service(
        "water",
        "Battery water",
        30.0,
        None,
        "Flooded cells only: distilled water, after charging. Gas and acid: ventilate, no flame, eye protection.",
    ),
    _service(
        "gauge", "Gauge zero", 90.0, None, "Valve shut and pressure let off: it must read nothing. Frost ruins gauges."
    ),
    _service("guard", "Guard and fixings", 90.0, None, "Nothing loose, nothing that a hand or a sleeve can reach."),
    _service(
        "fuse",
        "Fuses and terminals",
        180.0,
        None,
        "Tight, clean, cool to the touch with the plant stopped; right fuse in place.",
    ),
)

_MEANINGS = (
    ("ok", f"Gauge within {GAUGE_BAND} %, watts within {WATTS_BAND} % of what is expected."),
    (
        "screen or pipe clogging",
        (
            "Gauge and watts fell together, the nozzle passes what it should: less water arrives. Screen, air, silt, "
            "a kink, a leak."
        ),
    ),
    (
        "scaling",
        (
            f"The same, but the gauge has been low for three entries and fell less than {SLOW_FALL} %: scale, slime "
            "or silt, or a clog left in."
        ),
    ),
    (
        "gauge low, electrical too",
        "Watts are lower than the pressure explains: two faults, or the jet has left the cups.",
    ),
    (
        "nozzle blocked",
        "Gauge up, or flow down at the same gauge: something sits in the nozzle. Close the valve before you touch it.",
    ),
    (
        "nozzle worn",
        (
            "Gauge down and flow up: the hole has grown. Without a bucket time: watts fell less than the gauge says "
            "they should."
        ),
    ),
    (
        "electrical",
        "Gauge as expected, watts down: diode, winding, joint, cable, charge controller; or jet off the cups, or drag.",
    ),
    ("gauge high", "More pressure, yet the watts fit: check the gauge's zero."),
    ("stands still", "No watts: counted in the energy, not in the trend."),
)

PAGE = Page(
    "Log",
    "Readings of a season: what each one says, whether watts or pressure slip away, and what service is due.",
    (
        Heading("In short"),
        Result("log_entries", "Entries that count", "-", "=SUM(log_entry_counts)", digits="0", strong=True),
        Result("log_begin", "First date", "", "=MIN(log_dates)", digits=_DATE_OR_NOTHING),
        Result("log_end", "Last entry", "", "=MAX(log_last_dates)", digits=_DATE_OR_NOTHING),
        Result("log_energy", "Energy to date", "kWh", "=SUM(log_energies)", digits="0.0", strong=True),
        Result(
            "log_share",
            "Last watts, of what is expected",
            "%",
            '=IF(log_entries>0,log_last_watts_share,"")',
            digits="0",
            strong=True,
        ),
        Result("log_season", "The season says", "", f"={SEASON}", digits="General"),
        Words(
            "Energy: the mean of two entries' watts times the hours between them, from the dates, or the hours run "
            "where you give them. "
            "Nothing is known of what happened between, so read the meters more often when the stream changes."
        ),
        Heading("Compared with"),
        Table(
            ("", "yours", "unit", "counts", "note"),
            _REFERENCES,
            key="log_references",
            spread="F",
            how={"E": "yours, or else as the note says"},
        ),
        Heading("Trend"),
        Table(
            ("change in a month", "change", "unit", "error", "beyond doubt from", "entries", "it says"),
            _TRENDS,
            key="log_trends",
            spread="H",
            how={"G": "that have this reading"},
        ),
        Words(
            "A straight line through all entries. Beyond doubt: larger than its standard error times Student's t for "
            "95 %, and than "
            f"{LEAST_CHANGE} %. Entries taken close together repeat the same weather: the more alike they are, the "
            "fewer they "
            "count for here (the error beside the change takes each for itself). Falling water in a "
            "dry season looks like a clog: compare with the sheet Supply."
        ),
        Space("log", 17),
        Heading("Service", new_page=True),
        Words(
            "Shut the valve, wait until the wheel stands, and open the battery fuse before you reach behind the "
            "guard. The charged battery and "
            "the water in the pipe stay dangerous.",
            caution=True,
        ),
        Table(
            ("service", "last done", "every, days", "or after, hours", "due", "hours since", "it is", "what to do"),
            _SERVICES,
            names={"service_due": "H"},
            key="log_service",
            spread="I",
            how={"F": "last done and the days allowed", "G": "hours run since, from the entries"},
        ),
        Words(
            f"Intervals are yours to change. {PRACTICE} The maker's own come first. A permanent-magnet alternator "
            "has no brushes."
        ),
        Heading("What an entry can say"),
        Table(("it says", "what that means"), _MEANINGS, key="log_meanings", spread="C"),
        Heading("Entries", new_page=True),
        Words(
            "Date, volts and amps make an entry; gauge, bucket and hours run as you have them. Leave no date out of "
            "order. What stands to the "
            "right of the remarks serves trend and chart."
        ),
        Table(
            _HEADS,
            (*(_entry(number) for number in range(1, ENTRIES + 1)), _END),
            key="log",
            how={
                "I": "volts x amps",
                "J:K": "of what is expected, at the top of this sheet",
                "L": "mean watts of this entry and the one before x hours",
                "M": "sum of these",
                "P:Y": "workings for what it says, trend and chart",
            },
            names={
                "log_dates": "C",
                "log_energies": "L",
                "log_entry_counts": "P",
                "log_last_dates": "Q",
                "log_hours_run": "S",
                "log_days": "T",
                "log_watts_shares": "U",
                "log_gauge_shares": "V",
                "log_gauge_counts": "W",
                "log_watts_counts": "X",
            },
        ),
    ),
    widths=(3, 34, 17, 9, 10, 11, 10, 9, 9, 9, 9, 9, 10, 28),
    heads=("",) * 14,
    pages=0,
)
CHECKS = (
    check(
        "Log: last watts short of what is expected",
        "=IF(log_entries>0,100-log_last_watts_share,0)",
        "%",
        WATTS_BAND,
        30,
        f"The sheet Log says where to look first. 0 while the log is empty. {PRACTICE}",
    ),
    check(
        "Log: last gauge off what is expected",
        "=IF(SUM(log_gauge_counts)>0,ABS(log_last_gauge_share-100),0)",
        "%",
        GAUGE_BAND,
        20,
        f"Down: screen, pipe or worn nozzle; up: blocked nozzle. 0 while the log has no gauge reading. {PRACTICE}",
    ),
    check(
        "Log: watts fall in a month, beyond doubt",
        f"=IF(ISNUMBER(watts_trend_limit),IF({_WATTS_FALL},-watts_trend,0),0)",
        "%",
        1,
        5,
        f"Least squares, Student's t for 95 %; 0 where no fall is beyond doubt. {PRACTICE}",
    ),
    check(
        "Log: services due now",
        '=COUNTIF(service_due,"due now")',
        "-",
        0,
        2,
        f"Those with a date of last time, on the sheet Log. {PRACTICE}",
        digits="0",
    ),
)
