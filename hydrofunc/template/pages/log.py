"""Log: readings of a season, what they say, their trend, and service that is due."""

from ...registry import Argument
from ...units import TEXT
from ..chain import call
from ..expression import (
    Expression,
    all_of,
    any_of,
    cell,
    cells,
    column,
    count_filled,
    entry,
    greatest,
    is_number,
    magnitude,
    no,
    or_zero,
    root,
    slot_of,
    total,
    when,
)
from ..model import DATE, LETTERS, STOP, Assumption, Formula, Heading, Input, Page, Result, Space, Table, Words
from .common import AT_GAUGE, PRACTICE, Check, limit
from .route import NTH

ENTRIES = 60
GAUGE_BAND, WATTS_BAND, FLOW_BAND = 8, 12, 8  # %, as on Test day
_DATE_OR_NOTHING = f"{DATE};;"

_DAY = Argument("log_date", "day", "Day of the reading.", "[36526, 73050]")
_GAUGE = Argument("log_gauge", "bar", "Gauge before the nozzle, running.", "[0, 200]")
_VOLTS = Argument("log_volts", "V", "D.c. volts at the battery.", "[0, 2000]")
_AMPS = Argument("log_amps", "A", "D.c. amperes.", "[0, 2000]")
_SECONDS = Argument(
    "log_seconds", "s", "Time in which the bucket of the sheet Site fills below the wheel.", "(0, 3600]"
)
_HOURS = Argument("log_hours", "h", "Hours run since the last entry.", "[0, 100000]")
_OVERFLOWS = Argument(
    "log_overflows", TEXT, "Does water run over at the intake? Leave it empty if nobody looked.", choices=("yes", "no")
)
_REMARK = Argument("log_remark", TEXT, "Remarks.")
_INTERVAL_DAYS = Argument("service_days", "day", "Days between.", "(0, 4000]")
_INTERVAL_HOURS = Argument("service_hours", "h", "Hours run between.", "(0, 100000]")


def _recorded(name, label, argument, digits="General", **more):
    return Input(name, label, argument, recorded=True, digits=digits, **more)


def _kept(name, label, argument, digits="General", **more):
    return Input(name, label, argument.with_(name=name), digits=digits, **more)


def _interval(name, label, argument, usual):
    assumed = Assumption('=""' if usual is None else usual, f"A usual interval, where there is one. {PRACTICE}")
    return Input(name, label, argument.with_(name=name), assumed=assumed, example=usual)


def _counted(name):
    """What counts of an interval: blank where there is neither one of one's own nor a usual one."""
    return Formula(f'=IF(ISNUMBER({name}),{name},"")', "0")


# -- an entry ----------------------------------------------------------------------------------------------

_LOW, _HIGH = "(0, 100]", "[100, 1000]"
LIMITS = (
    limit(
        "log_gauge_low",
        "Gauge is low: below this share of the expected",
        100 - GAUGE_BAND,
        "%",
        f"A gauge of class 2.5 and the stream's own ups and downs. {PRACTICE}",
        _LOW,
    ),
    limit(
        "log_gauge_high",
        "Gauge is high: above this share of the expected",
        100 + GAUGE_BAND,
        "%",
        f"The same. {PRACTICE}",
        _HIGH,
    ),
    limit(
        "log_watts_low",
        "Watts are low: below this share of the expected",
        100 - WATTS_BAND,
        "%",
        f"Watts go with the pressure to the power 1.5: one and a half times the gauge's band. {PRACTICE}",
        _LOW,
    ),
    limit(
        "log_watts_high",
        "Watts are high: above this share of the expected",
        100 + WATTS_BAND,
        "%",
        f"The same. {PRACTICE}",
        _HIGH,
    ),
    limit(
        "log_flow_low",
        "Gauge right, bucket: nozzle blocked below this share of the right flow",
        1 - FLOW_BAND / 100,
        "-",
        "The right flow: what a whole nozzle passes at the gauge's pressure. A bucket and a watch may be off by as "
        f"much. {PRACTICE}",
        "(0, 1]",
    ),
    limit(
        "log_flow_high",
        "Gauge right, bucket: nozzle worn above this share of the right flow",
        1 + FLOW_BAND / 100,
        "-",
        f"The same. {PRACTICE}",
        "[1, 10]",
    ),
    limit(
        "log_nozzle_low",
        "Gauge high: nozzle blocked below this share of the right flow",
        0.95,
        "-",
        f"A high gauge is a sign already, so less is asked of the second. {PRACTICE}",
        "(0, 1]",
    ),
    limit(
        "log_nozzle_high",
        "Gauge low: nozzle worn above this share of the right flow",
        1.05,
        "-",
        f"The same with a low gauge. {PRACTICE}",
        "[1, 10]",
    ),
    limit(
        "log_shaft_low",
        "Gauge low: electrical too below this share of the water's watts",
        0.85,
        "-",
        f"The water's watts: what its flow and pressure gave when all was well. {PRACTICE}",
        "(0, 1]",
    ),
    limit(
        "log_water_share",
        "Gauge within its band: water first if its fall explains this share of the watts'",
        50,
        "%",
        f"Watts go with the pressure to the power 1.5. {PRACTICE}",
        "(0, 100]",
    ),
    limit(
        "log_gauge_share",
        "Season: water first if the gauge falls by this share of the watts' fall",
        33,
        "%",
        "By its likeliest change, though that may be chance. A third of the fall in pressure explains half of that in "
        f"watts, which go with the pressure to the power 1.5. {PRACTICE}",
        "(0, 100]",
    ),
    limit(
        "log_slow_fall",
        "Gauge low: lasting if it fell less in three entries",
        4,
        "%",
        f"Less is no sudden clog but scale, slime or silt. {PRACTICE}",
        "(0, 100]",
    ),
    limit(
        "log_trend_least",
        "Fewest entries for a trend",
        8,
        "-",
        f"A line through fewer says more of the weather than of the plant. {PRACTICE}",
        "[3, 1000]",
    ),
    limit(
        "log_unsure",
        "Cannot tell: so large a change in a month would not be seen",
        1,
        "%",
        f"Who is told that nothing changes would not expect 12 % a year behind it. {PRACTICE}",
        "(0, 100]",
    ),
    limit(
        "log_change_least",
        "Change in a month that is worth a word",
        0.1,
        "%",
        f"Less does not matter, however sure it is. {PRACTICE}",
        "[0, 100]",
    ),
    limit(
        "log_total_least",
        "Change from its begin to the last entry that is worth a word",
        2,
        "%",
        f"Weather, cold copper and a battery's state move the watts as much. {PRACTICE}",
        "[0, 100]",
    ),
    limit(
        "log_step_least",
        "Step that is worth a word",
        2,
        "%",
        f"The same. {PRACTICE}",
        "[0, 100]",
    ),
    limit(
        "log_month_dry",
        "Month is dry: the source of sheet Supply brings less than this share of the watts",
        95,
        "%",
        "An entry of such a month judges the source and not the plant, unless somebody saw the intake overflow. "
        f"Typical flows are hardly known better. {PRACTICE}",
        _LOW,
    ),
)

READ_ON, GAUGE, VOLTS, AMPS, SECONDS, HOURS = (
    column(*named) for named in zip("CDEFGH", ("date", "gauge", "volts", "amps", "seconds", "hours"))
)
WATTS, COUNTS, LAST_DATE = column("I", "watts_now"), column("P", "counts"), column("Q", "last_date")
WATTS_SHARE, GAUGE_SHARE = column("U", "watts_share"), column("V", "gauge_share")  # %, of what is expected
GAUGE_COUNTS, WATTS_COUNT = column("W", "gauge_counts"), column("X", "watts_count")
PASSES = column("Y", "passes")  # share of the water that the nozzle should pass at its pressure
_SOUND, _FLOW_SHARE, _SHAFT = column("Z", "sound_watts"), column("AA", "flow_share"), column("AB", "shaft")
_ROW_IS, _GAUGE_IS, _WATTS_ARE = column("AC", "row_is"), column("AD", "gauge_is"), column("AE", "watts_are")
_FALLS, _WITH_LOW, _WITH_HIGH = column("AF", "low_since"), column("AG", "with_low"), column("AH", "with_high")
_WITH_RIGHT, _AND, _CASE = column("AI", "with_right"), column("AJ", "second"), column("AK", "case")
OVERFLOWS, SOURCE = column("O", "overflows"), column("AO", "source")  # SOURCE: 1 if it limits
_SLOW, _IF_LOW = column("AT", "slow"), column("AU", "if_low")
_EXPECTED_WATTS, _EXPECTED_GAUGE, _BUCKET_SECONDS = cells("log_expected_watts log_expected_gauge log_bucket_seconds")
_GAUGE_LOW, _GAUGE_HIGH, _WATTS_LOW, _WATTS_HIGH = cells("log_gauge_low log_gauge_high log_watts_low log_watts_high")
_FLOW_LOW, _FLOW_HIGH, _SHAFT_LOW, _SLOW_FALL = cells("log_flow_low log_flow_high log_shaft_low log_slow_fall")
_NOZZLE_LOW, _NOZZLE_HIGH, _WATER_SHARE = cells("log_nozzle_low log_nozzle_high log_water_share")
_LESS, _MORE = "less flow", "more flow"


def _word(case: Expression, table: str) -> Expression:
    """What a table of cases and words says of a case."""
    return entry(cell(f"{table}_words"), slot_of(case, cell(f"{table}_cases")))


# Workings of an entry, each from those before it: column, head, what it is, decimals ("" for words).
WORKINGS = (
    # Watts that a sound plant gives at this gauge: the nozzle passes water with the root of the pressure.
    (
        _SOUND,
        "sound watts, %",
        when(
            (all_of(GAUGE_COUNTS == 1, WATTS_COUNT == 1), GAUGE_SHARE * root(GAUGE_SHARE / 100)),
            otherwise=0,
        ),
        "0.0",
    ),
    (
        _FLOW_SHARE,
        "flow by bucket, %",
        when((or_zero(SECONDS) * _SOUND > 0, 100 * _BUCKET_SECONDS / SECONDS), otherwise=0),
        "0.0",
    ),
    # By the bucket, else by watts and gauge.
    (
        PASSES,
        "nozzle passes",
        when(
            (_SOUND == 0, 0),
            (_FLOW_SHARE > 0, _FLOW_SHARE / 100 / root(GAUGE_SHARE / 100)),
            otherwise=WATTS_SHARE / _SOUND,
        ),
        "0.00",
    ),
    # Without a bucket the nozzle counts as whole.
    (
        _SHAFT,
        "of this water's watts",
        when((_SOUND == 0, 0), otherwise=WATTS_SHARE / _SOUND / when((_FLOW_SHARE > 0, PASSES), otherwise=1)),
        "0.00",
    ),
    (
        _ROW_IS,
        "row is",
        when(
            (COUNTS == 1, "entry"),
            (count_filled(READ_ON.to(HOURS)) == 0, ""),
            (no(is_number(READ_ON)), "no date"),
            (READ_ON < or_zero(LAST_DATE.before), "date goes back"),
            otherwise="volts or amps missing",
        ),
        "",
    ),
    (
        _GAUGE_IS,
        "gauge is",
        when(
            (GAUGE_COUNTS == 0, "not read"),
            (GAUGE_SHARE < _GAUGE_LOW, "low"),
            (GAUGE_SHARE > _GAUGE_HIGH, "high"),
            otherwise="right",
        ),
        "",
    ),
    (
        _IF_LOW,
        "if watts low",
        when(
            (all_of(_SOUND > 0, 100 - _SOUND >= _WATER_SHARE / 100 * (100 - WATTS_SHARE)), "as gauge"), otherwise="low"
        ),
        "",
    ),
    (
        _WATTS_ARE,
        "watts are",
        "watts "
        & when(
            (WATTS_SHARE < _WATTS_LOW, _IF_LOW),
            (WATTS_SHARE > _WATTS_HIGH, "high"),
            otherwise="right",
        ),
        "",
    ),
    (
        _SLOW,
        "low for three",
        when(
            (all_of(total(GAUGE_COUNTS.above(3)) == 3, greatest(GAUGE_SHARE.above(3)) - GAUGE_SHARE < _SLOW_FALL), 1),
            otherwise=0,
        ),
        "0",
    ),
    (
        _FALLS,
        "low since",
        when((OVERFLOWS != "yes", "not looked"), (_SLOW == 1, "lasting"), otherwise="new"),
        "",
    ),
    (
        _WITH_LOW,
        "if gauge low",
        when((PASSES > _NOZZLE_HIGH, _MORE), (_SHAFT < _SHAFT_LOW, "watts low"), otherwise=_FALLS),
        "",
    ),
    (_WITH_HIGH, "if gauge high", when((PASSES < _NOZZLE_LOW, _LESS), otherwise="flow right"), ""),
    (
        _WITH_RIGHT,
        "if bucket timed",
        when((PASSES < _FLOW_LOW, _LESS), (PASSES > _FLOW_HIGH, _MORE), otherwise=_WATTS_ARE),
        "",
    ),
    (
        _AND,
        "and",
        when(
            (_GAUGE_IS == "low", _WITH_LOW),
            (_GAUGE_IS == "high", _WITH_HIGH),
            (_FLOW_SHARE > 0, _WITH_RIGHT),
            otherwise=_WATTS_ARE,
        ),
        "",
    ),
    (
        _CASE,
        "case",
        when(
            (or_zero(WATTS) == 0, "no watts"),
            (WATTS_COUNT == 0, "no comparison"),
            (SOURCE == 1, "source, gauge " & _GAUGE_IS),
            otherwise="gauge " & _GAUGE_IS & ", " & _AND,
        ),
        "",
    ),
)
SAYS = when((_ROW_IS == "entry", _word(_CASE, "log")), otherwise=_ROW_IS)

_IN_ORDER = sorted(WORKINGS, key=lambda working: LETTERS.index(working[0].letter))
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
    "intake overflows",
    "counts",
    "last date",
    "last watts",
    "hours",
    "day",
    "watts, %",
    "gauge, %",
    "gauge counts",
    "watts count",
    *(head for _, head, *_ in _IN_ORDER[:-2]),
    "month",
    "watts due",
    "gauge due",
    "source limits",
    "watts in trend",
    "gauge in trend",
    "source gives, L/s",
    "last look: over",
    *(head for _, head, *_ in _IN_ORDER[-2:]),
)


def _entry(number):
    workings = [Formula(f"={what}", digits or "General") for *_, what, digits in _IN_ORDER]
    return (
        Formula(f"={SAYS}", words=True),
        _recorded(f"log_date_{number}", "Date", _DAY, DATE),
        _recorded(f"log_gauge_{number}", "Gauge", _GAUGE, "0.00"),
        _recorded(f"log_volts_{number}", "Volts", _VOLTS, "0.0"),
        _recorded(f"log_amps_{number}", "Amps", _AMPS, "0.00"),
        _recorded(f"log_seconds_{number}", "Bucket", _SECONDS, "0.0"),
        _recorded(f"log_hours_{number}", "Hours run since", _HOURS, "0.0"),
        Formula('=IF(P{row}=1,E{row}*F{row},"")', "0.0"),
        Formula('=IF(P{row}*N(log_expected_watts)*AM{row}>0,100*I{row}/log_expected_watts/AM{row},"")', "0.0"),
        Formula('=IF(W{row}=1,V{row},"")', "0.0"),
        Formula('=IF(P{row}=1,S{row}*(I{row}+IF(N(Q{row-1})>0,N(R{row-1}),I{row}))/2/1000,"")', "0.00"),
        Formula('=IF(P{row}=1,SUM(L${first}:L{row}),"")', "0.0"),
        _recorded(f"log_remark_{number}", "Remarks", _REMARK),
        _recorded(f"log_overflows_{number}", "Intake overflows", _OVERFLOWS),
        Formula("=IF(AND(ISNUMBER(C{row}),COUNT(E{row}:F{row})=2),IF(C{row}>=N(Q{row-1}),1,0),0)", "0"),
        Formula("=IF(P{row}=1,C{row},N(Q{row-1}))", _DATE_OR_NOTHING),
        Formula("=IF(P{row}=1,I{row},N(R{row-1}))", "0.0"),
        Formula("=IF(P{row}=1,IF(ISNUMBER(H{row}),H{row},IF(N(Q{row-1})>0,24*(C{row}-Q{row-1}),0)),0)", "0.0"),
        Formula("=IF(P{row}=1,C{row}-log_begin,N(T{row-1}))", "0.0"),
        Formula("=IF(ISNUMBER(J{row}),J{row},N(U{row-1}))", "0.0"),
        Formula("=IF(W{row}=1,100*D{row}/log_expected_gauge/AN{row},N(V{row-1}))", "0.0"),
        Formula("=IF(P{row}*N(D{row})*N(log_expected_gauge)*AN{row}>0,1,0)", "0"),
        Formula("=IF(N(I{row})*N(log_expected_watts)*AM{row}>0,1,0)", "0"),
        *workings[:-2],
        Formula("=IF(P{row}=1,SUMPRODUCT((log_month_begins<=MOD(C{row}-1,SUM(month_days)))*1),0)", "0"),
        Formula('=IF(AL{row}*(O{row}<>"yes")>0,INDEX(log_month_watts,AL{row}),1)', "0.00"),
        Formula('=IF(AL{row}*(O{row}<>"yes")>0,INDEX(log_month_gauge,AL{row}),1)', "0.00"),
        Formula('=IF(P{row}=1,IF(OR(O{row}="no",100*AM{row}<log_month_dry),1,0),0)', "0"),
        Formula("=X{row}*(1-AO{row})", "0"),
        Formula("=W{row}*(1-AO{row})", "0"),
        Formula('=IF(W{row}*AO{row}>0,N(log_expected_flow)*SQRT(D{row}/log_expected_gauge),"")', "0.000"),
        Formula('=IF(P{row}*(O{row}<>"")>0,IF(O{row}="yes",1,0),N(AS{row-1}))', "0"),
        *workings[-2:],
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
    *[""] * 17,
    Formula("=0", "0"),
    Formula("=0", "0"),
    "",
    Formula("=N(AS{row-1})", "0", name="log_last_look"),
)

# -- what they are compared with, trend, service -----------------------------------------------------------


_BESIDE = ("",) * 9  # columns G to O, where the note is


def _counts(digits, name):
    return Formula("=IF(ISNUMBER(C{row}),C{row},P{row})", digits, name=name)


def _reference(what, argument, name, designed, unit, digits, note):
    well = argument.with_(within="(0, 100000]")
    return (
        f"{what.capitalize()} when all was well",
        _kept(f"well_{what}", f"{what.capitalize()} when all was well", well, digits),
        unit,
        _counts(digits, name),
        note,
        *_BESIDE,
        Formula(f'=IFERROR({designed},"")', digits, guard=STOP),  # the log goes on without a design
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
    (
        *_reference(
            "flow",
            Argument("", "L/s", "Flow when new."),
            "log_expected_flow",
            "flow",
            "L/s",
            "0.000",
            "Empty: as designed (sheet Nozzle).",
        ),
        Formula("=IF(N(E{row})*N(bucket_volume)>0,bucket_volume/E{row},0)", "0.0", name="log_bucket_seconds"),
    ),
    (
        "Today",
        _kept("day_today", "Today", _DAY, DATE),
        "",
        _counts(_DATE_OR_NOTHING, "log_today"),
        "For service that is due. Empty: the day of the last entry.",
        *_BESIDE,
        Formula('=IFERROR(log_end,"")', _DATE_OR_NOTHING),
    ),
)


_MONTHS = "January February March April May June July August September October November December".split()


def _month(month):
    """What is expected in a month, of what is expected when the source gives enough."""
    return (
        month,
        Formula(f"=IF({NTH}=1,0,N(C{{row-1}})+INDEX(month_days,MAX(1,{NTH}-1)))", "0"),
        Formula(f"=INDEX(month_usable,{NTH})", "0.000"),
        Formula(f"=IFERROR(MIN(1,INDEX(month_watts,{NTH})/battery_watts),1)", "0.00", guard=STOP),
        Formula(
            f'=IFERROR(MIN(1,(HYDRO_PLANT(plant,"running_pressure","available_flow",D{{row}}){AT_GAUGE})'
            "/running_pressure),1)",
            "0.00",
            guard=STOP,
        ),
        Formula('=IF(100*E{row}<log_month_dry,"dry","")', words=True),
    )


_CHANGE, _LIMIT, _ENTRIES = column("C", "change"), column("E", "limit"), column("G", "entries")
_ENOUGH, _STEP, _MONTHS_LONG = column("P", "enough"), column("R", "step"), column("S", "months_long")
_SURE, _TREND_IS, _IN_SEASON = column("T", "sure"), column("U", "trend_is"), column("W", "in_season")
_LEAST_CHANGE, _FEWEST, _DAYS = cells("log_change_least log_trend_least log_days")
_LEAST_TOTAL, _LEAST_STEP, _UNSURE = cells("log_total_least log_step_least log_unsure")
ENOUGH = when((all_of(_ENTRIES >= _FEWEST, greatest(_DAYS) > 0), 1), otherwise=0)
_SIZE = magnitude(or_zero(_CHANGE))
SURE = when(
    (all_of(_SIZE > greatest(_LIMIT, _LEAST_CHANGE), _SIZE * _MONTHS_LONG > _LEAST_TOTAL), 1),
    otherwise=0,
)
TREND_IS = when(
    (no(is_number(_CHANGE)), "too few"),
    (_SURE == 1, when((_CHANGE < 0, "falls"), otherwise="rises")),
    (_STEP < -_LEAST_STEP, "dropped"),
    (_LIMIT > _UNSURE, "unsure"),
    otherwise="steady",
)
TREND_SAYS = _word(_TREND_IS, "trend")
# For the season: watts fall or do not; the gauge goes its own three ways. What is not known has its own word.
_NOT_KNOWN = any_of(_TREND_IS == "too few", _TREND_IS == "unsure")
_GOES_DOWN = any_of(_TREND_IS == "falls", _TREND_IS == "dropped")
_SEASON_WATTS, _SEASON_GAUGE, _LAST_LOOK = cells("season_watts season_gauge log_last_look")
# The gauge goes down with the watts, though that alone may be chance.
_SHARE_OF_WATTS = cell("log_gauge_share") / 100 * or_zero(cell("watts_trend"))
IN_SEASON = when(
    (
        all_of(cell("watts_trend_is") == "falls", _TREND_IS == "steady", or_zero(_CHANGE) < _SHARE_OF_WATTS),
        "falls a little",
    ),
    otherwise=_TREND_IS,
)
_OF_SEASON = {
    "watts": when((_NOT_KNOWN, _TREND_IS), (_GOES_DOWN, "watts fall"), otherwise="watts do not fall"),
    "gauge": when(
        (_NOT_KNOWN, "gauge not known"),
        (_GOES_DOWN, when((_LAST_LOOK == 1, "gauge falls"), otherwise="gauge falls, not looked")),
        otherwise="gauge " & _IN_SEASON,
    ),
}
SEASON_WATTS, SEASON_GAUGE = _OF_SEASON["watts"], _OF_SEASON["gauge"]
SEASON_CASE = when(
    (_SEASON_WATTS == cell("watts_trend_is"), _SEASON_WATTS),  # not known
    otherwise=_SEASON_WATTS & ", " & _SEASON_GAUGE,
)
SEASON = _word(cell("season_case"), "season")


def _lists(what):
    return {"values": f"log_{what}_shares", "days": "log_last_dates", "counted": f"log_{what}_counts"}


def _trend(what):
    name = f"{what}_trend"

    given = _lists(what)

    def of(function, digits, side=None, **more):
        asked = call(function, **given) if side is None else call(function, **given, side=side)
        return Formula(f'=IF(P{{row}}=1,IFERROR({asked},""),"")', digits, **more)

    return (
        f"{what.capitalize()}, of what is expected",
        of("slow_change", "+0.0;-0.0;0.0", name=name),
        "%",
        of("slow_change_limit", "0.0", name=f"{name}_limit"),
        of("slow_change_entries", "0"),
        Formula(f"=SUM(log_{what}_counts)", "0"),
        Formula(f"={TREND_SAYS}", words=True),
        *[""] * 7,
        Formula(f"={ENOUGH}", "0"),
        of("slow_change_begin", _DATE_OR_NOTHING, "0", name=f"{name}_from"),
        of("slow_change_step", "+0.0;-0.0;0.0", name=f"{name}_step"),
        Formula("=IF(ISNUMBER(Q{row}),12*(log_end-Q{row})/SUM(month_days),0)", "0.0"),
        Formula(f"={SURE}", "0", name=f"{name}_sure"),
        Formula(f"={TREND_IS}", name=f"{name}_is"),
        Formula(f"={_OF_SEASON[what]}", name=f"season_{what}"),
        Formula(f"={IN_SEASON}"),
    )


def _since(what):
    """When a trend that is sure began, and its step."""
    name = f"{what}_trend"

    def began(side):
        return Formula(
            f'=IF({name}_sure=1,{call("slow_change_begin", **_lists(what), side=side)},"")', _DATE_OR_NOTHING
        )

    return (
        what.capitalize(),
        Formula(f'=IF({name}_sure=1,{name}_from,"")', _DATE_OR_NOTHING),
        began("-1"),
        began("1"),
        Formula(f'=IF(N({name}_step)=0,"",{name}_step)', "+0.0;-0.0"),
        "%",
        Formula(f'=IF(N(F{{row}})=0,"",{call("slow_change_step_day", **_lists(what))})', _DATE_OR_NOTHING),
    )


_TREND_WORDS = (
    ("too few", "too few entries, or all on one day", "A line wants some entries, on different days."),
    (
        "unsure",
        "cannot tell yet: too much scatter for so few entries",
        "A fall that matters could hide in the ups and downs. More entries help, and looks at the intake.",
    ),
    ("steady", "no change beyond doubt", "What change there is may be chance, or is too small to matter."),
    (
        "falls",
        "falls, beyond doubt",
        "Larger than chance explains, and large enough to matter. The table below says since when.",
    ),
    (
        "dropped",
        "dropped at a stroke, steady since",
        "One step down that has lasted: what was changed, or broke, on the day in the table below?",
    ),
    ("rises", "rises, beyond doubt", "Larger than chance explains, upwards."),
)
_SEASON_WORDS = (
    ("too few", "too few entries", "Go on with the log."),
    ("unsure", "cannot tell yet", "The watts go up and down too much for so few entries."),
    ("watts fall, gauge not known", "watts fall", "Read the gauge with each entry: it says whether water stays away."),
    ("watts fall, gauge falls", "clogging, scaling", "The intake overflows, yet water stays away: screen, pipe, air."),
    (
        "watts fall, gauge falls, not looked",
        "less water: clogging, or the source",
        "Look at the intake while it runs: water runs over, then screen, pipe, air; none does, then the source.",
    ),
    (
        "watts fall, gauge falls a little",
        "less water, it seems",
        "The gauge goes down with the watts, if not beyond doubt: look at intake, screen, pipe and source first.",
    ),
    ("watts fall, gauge steady", "electrical", "The water is there: machine, cable, battery side."),
    ("watts fall, gauge rises", "nozzle blocking", "Something gathers in the nozzle."),
    ("watts do not fall, gauge not known", "steady", "By the watts alone."),
    ("watts do not fall, gauge falls", "nozzle wearing", "The hole grows: more water at less pressure."),
    ("watts do not fall, gauge falls, not looked", "nozzle wearing", "The same."),
    ("watts do not fall, gauge steady", "steady", "Nothing slips away."),
    ("watts do not fall, gauge rises", "gauge rises", "More pressure, no fewer watts: check the gauge's zero."),
)

_DONE, _EVERY_HOURS = column("C", "done"), column("E", "every_hours")
_DUE, _HOURS_SINCE = column("F", "due"), column("G", "hours_since")
_BY_DATE, _BY_HOURS = column("P", "by_date"), column("Q", "by_hours")
BY_DATE = when((is_number(_DUE), when((_DUE <= cell("log_today"), 1), otherwise=0)), otherwise=0)
BY_HOURS = when(
    (all_of(is_number(_DONE), is_number(_EVERY_HOURS)), when((_HOURS_SINCE >= _EVERY_HOURS, 1), otherwise=0)),
    otherwise=0,
)
SERVICE_IS = when((no(is_number(_DONE)), "no date"), (_BY_DATE + _BY_HOURS > 0, "due now"), otherwise="not yet")


def _service(key, label, days, hours, note):
    return (
        label,
        _kept(f"service_done_{key}", f"{label}: last done", _DAY, DATE),
        _counted(f"service_days_{key}"),
        _counted(f"service_hours_{key}"),
        Formula('=IF(AND(ISNUMBER(C{row}),ISNUMBER(D{row})),C{row}+D{row},"")', DATE),
        Formula('=IF(ISNUMBER(C{row}),SUMPRODUCT((log_last_dates>C{row})*log_hours_run),"")', "0"),
        Formula(f"={SERVICE_IS}"),
        _interval(f"service_days_{key}", f"{label}: every", _INTERVAL_DAYS, days),
        _interval(f"service_hours_{key}", f"{label}: or after", _INTERVAL_HOURS, hours),
        note,
        *[""] * 4,
        Formula(f"={BY_DATE}", "0"),
        Formula(f"={BY_HOURS}", "0"),
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

_BLOCKED = "Something sits in the nozzle. Close the valve before you touch it."
_WORN = "The hole has grown. Without a bucket time: watts fell less than the gauge says they should."
_FINE = "Gauge and watts are as expected."
_ENTRY_WORDS = (
    ("gauge right, watts right", "ok", _FINE),
    ("gauge right, watts high", "more than expected", "Good, if the meters are right; or what is expected is too low."),
    (
        "gauge right, watts low",
        "electrical",
        "The water is there: diode, winding, joint, cable, charge controller; or jet off the cups, or drag.",
    ),
    (
        "gauge right, watts as gauge",
        "a little less water",
        "The pressure, a little low too, explains much of it: look at intake, screen, pipe and source before the "
        "machine.",
    ),
    ("gauge right, less flow", "nozzle blocked", f"Less flow at the same gauge. {_BLOCKED}"),
    ("gauge right, more flow", "nozzle worn", f"More flow at the same gauge. {_WORN}"),
    (
        "gauge low, new",
        "screen or pipe clogging",
        "Water runs over at the intake, yet gauge and watts fell together: less of it arrives. Screen, air, silt, a "
        "kink, a leak.",
    ),
    (
        "gauge low, not looked",
        "less water: does the intake overflow?",
        "Gauge and watts fell together. Look while it runs: water runs over at the intake, then screen or pipe; none "
        "does, then the source gives less than the nozzle takes.",
    ),
    (
        "gauge low, lasting",
        "scaling",
        "The same, but the gauge has been low for three entries and fell slowly: scale, slime or silt, or a clog left "
        "in.",
    ),
    (
        "gauge low, watts low",
        "gauge low, electrical too",
        "Watts are lower than the pressure explains: two faults, or the jet has left the cups.",
    ),
    ("gauge low, more flow", "nozzle worn", f"Gauge down and flow up. {_WORN}"),
    ("gauge high, less flow", "nozzle blocked", f"Gauge up and flow down. {_BLOCKED}"),
    ("gauge high, flow right", "gauge high", "More pressure, yet the watts fit: check the gauge's zero."),
    ("gauge not read, watts right", "ok", "By the watts alone."),
    ("gauge not read, watts high", "ok", "By the watts alone."),
    (
        "gauge not read, watts low",
        "watts low: read the gauge",
        "It says whether water stays away or the machine fails.",
    ),
    (
        "source, gauge low",
        "source gives less than expected",
        "No water runs over, or none is to be expected in this month (sheet Supply): the nozzle takes all there is. "
        "Left out of the trend.",
    ),
    ("source, gauge right", "source as expected, all used", "The same, as much as expected in this month."),
    ("source, gauge high", "source gives more than expected", "The same, and more than expected in this month."),
    ("source, gauge not read", "source limits: read the gauge", "It says how much the source gives."),
    ("no watts", "stands still", "Counted in the energy, not in the trend."),
    (
        "no comparison",
        "cannot tell: no watts to compare with",
        "Neither yours nor designed ones are known, or the design gives none.",
    ),
)


def _words(key, table, heads):
    """A table of cases: what `_word` looks up."""
    return Table(heads, table, names={f"{key}_cases": "B", f"{key}_words": "C"}, key=f"{key}_words", spread="D")


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
            '=IF(log_entries*N(log_expected_watts)>0,log_last_watts_share,"")',
            digits="0",
            strong=True,
        ),
        Result(
            "log_fall_since",
            "Watts fall since",
            "",
            '=IF(watts_trend_is="falls",watts_trend_from,"")',
            "Empty where no fall is beyond doubt. Under Trend: how surely the day is known.",
            digits=_DATE_OR_NOTHING,
        ),
        Result(
            "log_source_least",
            "Least that the source gave",
            "L/s",
            '=IF(COUNT(log_source_flows)*N(log_expected_flow)>0,MIN(log_source_flows),"")',
            "Of the entries in which it limited, by their gauge.",
            digits="0.000",
        ),
        Result("log_season", "The season says", "", f"={SEASON}", digits="General"),
        Result("season_case", "Watts and gauge of the season", "", f"={SEASON_CASE}", digits="General"),
        Words(
            "Energy: the mean of two entries' watts times the hours between them, from the dates, or the hours run "
            "where you give them. "
            "Nothing is known of what happened between, so read the meters more often when the stream changes."
        ),
        Heading("Compared with"),
        Table(
            ("", "yours", "unit", "counts", "note", *_BESIDE, "as designed", "bucket fills in, s"),
            _REFERENCES,
            key="log_references",
            spread="F",
            how={
                "E": "yours, or else as the note says",
                "P": "from the sheets Alternator and battery, and Nozzle; empty where it is not known",
                "Q": "the bucket of sheet Site over the flow that counts; 0 where one is not known",
            },
        ),
        Heading("Trend"),
        Table(
            (
                "change in a month",
                "change",
                "unit",
                "±",
                "entries used",
                "of entries",
                "it says",
                *[""] * 7,
                "enough entries",
                "from",
                "step",
                "months",
                "beyond doubt",
                "trend",
                "for the season",
                "beside the watts",
            ),
            (_trend("watts"), _trend("gauge")),
            key="log_trends",
            spread="H",
            how={
                "E": "how far off the change may well be; on invented seasons it held for 8 to 9½ of 10",
                "F": "in no dip and not far off the line",
                "G": "that have this reading, and in which the source gave enough",
                "P": "1 where there are enough, on more than one day",
                "S": "from there to the last entry",
                "T": "1 where the change is larger than ±, than the least that is worth a word, and adds up to enough",
            },
        ),
        Table(
            ("since when", "likeliest", "earliest", "latest", "step", "unit", "step on"),
            (_since("watts"), _since("gauge")),
            key="log_since",
            how={
                "C:E": "day on which the change began, where it is beyond doubt; on the first entry, or before it",
                "F": "the one lasting step that stands out, up or down; down only after some eleven weeks",
                "H": "first entry after it",
            },
        ),
        Words(
            "A line that is level until some day and then goes its way. Left out: dry spells, faults that were mended, "
            "misreadings (what lies far below its neighbours, or far off the line), and entries in which the source "
            "limits. One lasting step up or down, as after a repair or a new nozzle, counts for itself. Entries close "
            "together repeat the same weather: the more alike, the wider the ±."
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
            (
                "service",
                "last done",
                "every, days",
                "or after, hours",
                "due",
                "hours since",
                "it is",
                "yours, days",
                "yours, hours",
                "what to do",
                *[""] * 4,
                "by date, 1 = yes",
                "by hours, 1 = yes",
            ),
            _SERVICES,
            names={"services_done": "C", "service_due": "H"},
            key="log_service",
            spread="K",
            how={
                "D:E": "yours; a usual interval where nothing is given",
                "F": "last done and the days allowed",
                "G": "hours run since, from the entries",
                "P:Q": "1 where it is due by the calendar, or by the hours run",
            },
        ),
        Words(
            f"Intervals are yours to change. {PRACTICE} The maker's own come first. A permanent-magnet alternator "
            "has no brushes."
        ),
        Heading("Expected by month"),
        Table(
            ("month", "begins, day", "you may use, L/s", "watts, share", "gauge, share", "source"),
            tuple(map(_month, _MONTHS)),
            key="log_months",
            names={
                "log_month_begins": "C",
                "log_month_watts": "E",
                "log_month_gauge": "F",
            },
            how={
                "C": "of the year, from 0",
                "D": "of sheet Supply",
                "E:F": "share of what stands under Compared with, where the source gives less than the nozzle takes",
            },
        ),
        Words(
            "In a dry month an entry is compared with what that month's flow would give, and judges the source instead "
            "of the plant, unless water was seen to run over at the intake."
        ),
        Heading("What an entry, a trend and a season can say", new_page=True),
        Words("Where low and high begin is on the sheet Limits. Change a word here, and it changes everywhere."),
        _words("log", _ENTRY_WORDS, ("an entry with", "says", "means")),
        _words("trend", _TREND_WORDS, ("a trend that is", "says", "means")),
        _words("season", _SEASON_WORDS, ("a season in which", "says", "means")),
        Heading("Entries", new_page=True),
        Words(
            "Date, volts and amps make an entry; gauge, bucket and hours run as you have them. Intake overflows: yes "
            "or no, if you looked while it ran. Leave no date out of order. What stands to the right of it serves "
            "trend and chart."
        ),
        Table(
            _HEADS,
            (*(_entry(number) for number in range(1, ENTRIES + 1)), _END),
            key="log",
            how={
                "I": "volts x amps",
                "J:K": "of what is expected of the entry's month, at the top of this sheet",
                "L": "mean watts of this entry and the one before x hours",
                "M": "sum of these",
                "P:X": "workings for trend and chart; watts and gauge in % of what is expected of the entry's month",
                "Y": "of the water that is right at this pressure: by the bucket, else by watts over sound watts",
                "Z": "gauge times its root: what a sound plant gives at this pressure",
                "AA": "what the bucket says of the flow, of what is expected; 0 without bucket or gauge",
                "AB": "watts over sound watts and what the nozzle passes",
                "AC:AK": "one question each; the last is the case whose word is taken from the table above",
                "AL:AN": "of the date, and what is expected in it; all of it where the intake overflows",
                "AO": "1 where the intake does not overflow, or nobody looked in a dry month",
                "AP:AQ": "1 where the source does not limit",
                "AR": "what the nozzle passes at this pressure",
                "AS": "1 where water ran over at the last look",
                "AT": "1 where the gauge fell slowly over three entries",
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
                "log_watts_counts": "AP",
                "log_gauge_counts": "AQ",
                "log_source_flows": "AR",
            },
        ),
    ),
    widths=(3, 28, 12, 11, 11, 10, 9, 11, 9, 9, 9, 9, 10, 16, 9),
    heads=("",) * 15,
)
# Nothing is judged of too few entries, or of entries with too much scatter.
FALL = 'IF(watts_trend_is="falls",-watts_trend,IF(OR(watts_trend_is="too few",watts_trend_is="unsure"),"",0))'
CHECKS = (
    Check(
        "Log: last watts short of what is expected",
        '=IF(ISNUMBER(log_share),100-log_share,"")',
        "%",
        "=100-log_watts_low",
        30,
        f"The sheet Log says where to look first. {PRACTICE}",
        name="log_watts",
        give="entries of the log, with volts and amps",
    ),
    Check(
        "Log: last gauge off what is expected",
        '=IF(SUM(log_gauge_counts)>0,ABS(log_last_gauge_share-100),"")',
        "%",
        "=100-log_gauge_low",
        20,
        f"Down: screen, pipe or worn nozzle; up: blocked nozzle. {PRACTICE}",
        name="log_gauge",
        give="entries of the log, with the gauge",
    ),
    Check(
        "Log: watts fall in a month, beyond doubt",
        f"={FALL}",
        "%",
        1,
        5,
        f"Dry spells, mended faults and a step left out, 98 %; 0 where no fall is beyond doubt. {PRACTICE}",
        name="log_fall",
        give="more entries of the log, on different days",
    ),
    Check(
        "Log: services due now",
        '=IF(COUNT(services_done)>0,COUNTIF(service_due,"due now"),"")',
        "-",
        0,
        2,
        f"Those with a date of last time, on the sheet Log. {PRACTICE}",
        digits="0",
        name="log_services",
        give="the day of the last service",
    ),
)
