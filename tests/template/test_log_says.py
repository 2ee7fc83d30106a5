"""What the sheet Log says of an entry, of a season and of service, as statements about a plant.

The plant when all was well: 3 bar at the gauge, 24 V times 5 A, a bucket of 20 L full in 20 s. A nozzle passes water
with the root of its pressure, so the watts of a sound plant go with the pressure to the power 1.5 (p times the root of
p). The limits, 8 % of the gauge and 12 % of the watts, are common practice, no published source.
"""

import pytest

from hydrofunc.engine.lanes import ExcelError
from hydrofunc.template.model import Table
from hydrofunc.template.pages import PLACED, log
from tests.template.parts.log import tables_of_words, with_trend, with_workings

STEADY = (100.0, 100.0, 100.0)
LIMITS = {item.name: item.assumption.value for item in log.LIMITS}
# A bucket of 20 L is full in 20 s when all is well.
SOUND = LIMITS | {
    "counts": 1,
    "gauge_counts": 1,
    "watts_count": 1,
    "watts_now": 120.0,
    "log_bucket_seconds": 20.0,
    "overflows": "yes",
    "source": 0,
}


def entry(gauge=100.0, watts=100.0, seconds=None, before=STEADY, counted=(1, 1, 1), **more):
    """What is known of an entry, and what follows from it:
    gauge and watts in % of what is expected, and the gauges of the three entries before.
    """
    known = SOUND | {
        "gauge_share": gauge,
        "watts_share": watts,
        "seconds": seconds,
        "gauge_share_above": list(before),
        "gauge_counts_above": list(counted),
    }
    return with_workings(known | more)


def says(*args, **more):
    """The word for such an entry."""
    return log.SAYS.value(entry(*args, **more))


def test_the_limits_are_those_of_common_practice():
    """Gauge within 8 %, watts within 12 %, flow by bucket within 8 %; a nozzle is off by 5 % if the gauge is."""
    assert LIMITS == {
        "log_gauge_low": 92,
        "log_gauge_high": 108,
        "log_watts_low": 88,
        "log_watts_high": 112,
        "log_flow_low": 0.92,
        "log_flow_high": 1.08,
        "log_nozzle_low": 0.95,
        "log_nozzle_high": 1.05,
        "log_shaft_low": 0.85,
        "log_slow_fall": 4,
        "log_water_share": 50,
        "log_gauge_share": 33,
        "log_unsure": 1,
        "log_total_least": 2,
        "log_step_least": 2,
        "log_month_dry": 95,
        "log_trend_least": 8,
        "log_change_least": 0.1,
    }


def sound(gauge):
    """Watts, in %, that a sound plant gives at this gauge, in %."""
    return 100 * (gauge / 100) ** 1.5


def test_a_bucket_tells_what_the_nozzle_passes():
    """20 L in 20 s at the full gauge is all; at a gauge of 64 % the same nozzle passes 80 %, so 25 s are right."""
    assert entry(100.0, seconds=20.0)["passes"] == 1
    assert entry(64.0, seconds=25.0)["passes"] == pytest.approx(1)
    assert entry(64.0, seconds=20.0)["passes"] == pytest.approx(1.25)
    assert entry(100.0, seconds=20.0, log_bucket_seconds=10.0)["passes"] == pytest.approx(0.5)
    assert entry(100.0, seconds=20.0, log_bucket_seconds=25.0)["passes"] == pytest.approx(1.25)


def test_without_a_bucket_the_watts_tell_what_the_nozzle_passes():
    """A sound plant gives 51.2 % of its watts at 64 % of its gauge; a blank time and a time of 0 are no bucket."""
    assert entry(64.0, 51.2)["passes"] == pytest.approx(1)
    assert entry(64.0, 76.8, seconds=0.0)["passes"] == pytest.approx(1.5)
    assert entry(100.0, 80.0)["passes"] == pytest.approx(0.8)


def test_nothing_passes_where_gauge_or_watts_do_not_count():
    """No share is worked out then, not from a bucket either."""
    for missing in ({"gauge_counts": 0}, {"watts_count": 0}):
        known = entry(seconds=20.0, **missing)
        assert known["passes"] == known["sound_watts"] == known["flow_share"] == known["shaft"] == 0


def test_sound_watts_go_with_the_gauge_times_its_root():
    """51.2 % at 64 %: the flow falls to 80 %, the pressure to 64 %."""
    assert entry(64.0)["sound_watts"] == pytest.approx(51.2)
    assert entry(100.0)["sound_watts"] == 100


def test_a_bucket_says_the_flow():
    """25 s instead of 20 s is 80 % of the flow; where the right time is not known, the bucket says nothing."""
    assert entry(seconds=25.0)["flow_share"] == 80
    assert entry(seconds=None)["flow_share"] == entry(seconds=0.0)["flow_share"] == 0
    assert entry(seconds=25.0, log_bucket_seconds=0.0)["flow_share"] == 0
    assert says(100.0, seconds=25.0, log_bucket_seconds=0.0) == "ok"


def test_a_trickle_is_a_flow_too():
    """An hour for a bucket that should fill in 20 s, a gauge that hardly moves: little, but not nothing."""
    trickle = entry(100.0, 100.0, seconds=3600.0)
    assert trickle["passes"] == pytest.approx(1 / 180) and trickle["shaft"] == pytest.approx(180)
    assert log.SAYS.value(trickle) == "nozzle blocked"
    assert entry(1.0, seconds=5.0)["flow_share"] == 400


def test_what_the_machine_makes_of_its_water():
    """At 64 % of the gauge and 30 s, 83 % of the right flow, 42.67 % of the watts are all there can be."""
    assert entry(64.0, 51.2 * 25 / 30, seconds=30.0)["shaft"] == pytest.approx(1)
    assert entry(64.0, 0.8 * 51.2)["shaft"] == pytest.approx(0.8)


NO_READINGS = dict.fromkeys(("date", "gauge", "volts", "amps", "seconds", "hours"))


@pytest.mark.parametrize(
    ("readings", "word"),
    [
        ({}, ""),
        ({"gauge": 3.0}, "no date"),
        ({"hours": 20.0}, "no date"),
        ({"date": 46160.0}, "volts or amps missing"),
        ({"date": 46160.0, "volts": 24.0}, "volts or amps missing"),
        ({"date": 46150.0, "amps": 5.0}, "volts or amps missing"),
        ({"date": 46149.9, "volts": 24.0, "amps": 5.0}, "date goes back"),
    ],
)
def test_a_row_that_is_no_entry_says_what_is_missing(readings, word):
    """The entry before is of day 46150; of the same day is not before it."""
    row = NO_READINGS | readings
    known = row | {"counts": 0, "date to hours": list(row.values()), "last_date_before": 46150.0}
    assert entry(**known)["row_is"] == log.SAYS.value(entry(**known)) == word


def test_the_first_row_has_no_day_before_it():
    """Above it stand the heads of the table: words, which are no date."""
    row = NO_READINGS | {"date": 46150.0}
    known = row | {"counts": 0, "date to hours": list(row.values()), "last_date_before": "last date"}
    assert says(**known) == "volts or amps missing"


def test_no_watts_means_that_the_wheel_stands():
    """Whatever the gauge reads."""
    still = {"watts_now": 0.0, "watts_count": 0}
    assert says(100.0, 0.0, **still) == says(50.0, 0.0, gauge_counts=0, **still) == "stands still"


def test_watts_that_nothing_is_known_to_compare_with_are_not_judged():
    """No watts when all was well, none designed."""
    assert says(100.0, 0.0, watts_count=0) == "cannot tell: no watts to compare with"


@pytest.mark.parametrize("gauge", ["not read", "low", "right", "high"])
@pytest.mark.parametrize("seconds", [None, 14.0, 20.0, 28.0])
@pytest.mark.parametrize("watts", [30.0, 100.0, 200.0])
@pytest.mark.parametrize("lasting", [True, False])
def test_every_case_has_a_word(gauge, seconds, watts, lasting):
    """No entry is without one; the case says the gauge as it is."""
    share = {"not read": 0.0, "low": 80.0, "right": 100.0, "high": 120.0}[gauge]
    before = (81.0, 81.0, 81.0) if lasting else STEADY
    known = entry(share, watts, seconds, before=before, gauge_counts=0 if gauge == "not read" else 1)
    assert known["gauge_is"] == gauge and known["case"].startswith(f"gauge {gauge}, ")
    assert log.SAYS.value(known) in tables_of_words("log")["log_words"]


@pytest.mark.parametrize(("watts", "word"), [(87.9, "watts low: read the gauge"), (88.0, "ok"), (150.0, "ok")])
def test_without_a_gauge_low_watts_ask_for_one(watts, word):
    """12 % less than expected is still ordinary."""
    assert says(0.0, watts, gauge_counts=0) == word


@pytest.mark.parametrize(
    ("gauge", "watts", "word"),
    [
        (100.0, 100.0, "ok"),
        (92.0, 100.0, "ok"),
        (108.0, 100.0, "ok"),
        (92.0, 88.0, "ok"),
        (100.0, 87.9, "electrical"),
        (92.0, 87.9, "a little less water"),  # 92 % of the pressure gives 88.2 % of the watts
        (92.0, 70.0, "electrical"),  # it explains 12 of 30 %
        (95.0, 85.5, "a little less water"),  # 7.4 of 14.5 %
        (96.0, 87.9, "electrical"),  # 5.9 of 12.1 %
        (99.0, 87.9, "electrical"),
        (108.0, 80.0, "electrical"),
        (100.0, 112.0, "ok"),
        (100.0, 112.1, "more than expected"),
    ],
)
def test_gauge_as_expected_leaves_the_electrical_side(gauge, watts, word):
    """Gauge within 8 %: the water is there; watts off by more than 12 % come about behind the jet."""
    assert says(gauge, watts) == word


@pytest.mark.parametrize("gauge", [91.9, 80.0, 60.0])
def test_gauge_low_and_watts_fell_with_it_is_a_clog(gauge):
    """Less water arrives, and the nozzle passes what it should at that pressure: the screen or the pipe."""
    assert says(gauge, sound(gauge)) == "screen or pipe clogging"
    assert says(gauge, 0.86 * sound(gauge)) == says(gauge, 1.04 * sound(gauge)) == "screen or pipe clogging"


@pytest.mark.parametrize("gauge", [91.9, 80.0, 64.0])
def test_gauge_low_and_watts_fell_less_is_a_worn_nozzle(gauge):
    """More water passes than a nozzle of the right size lets through at that pressure: more than 5 % more."""
    assert says(gauge, 1.06 * sound(gauge)) == "nozzle worn"
    assert says(64.0, seconds=25.0 / 1.06, watts=51.2) == "nozzle worn"
    assert says(64.0, seconds=25.0 / 1.04, watts=51.2) == "screen or pipe clogging"
    assert says(64.0, watts=51.2, passes=1.05) == "screen or pipe clogging"


@pytest.mark.parametrize("gauge", [91.9, 80.0, 64.0])
def test_gauge_low_and_watts_fell_more_is_a_second_fault(gauge):
    """Less than 85 % of the watts that this pressure explains."""
    assert says(gauge, 0.84 * sound(gauge)) == "gauge low, electrical too"


def test_with_a_bucket_the_flow_that_was_measured_explains_the_watts():
    """At 64 % of the gauge and 30 s, 83 % of the right flow, a sound machine gives 83 % of 51.2 % of the watts."""
    explained = 25 / 30 * 51.2
    assert says(64.0, 0.86 * explained, seconds=30.0) == "screen or pipe clogging"
    assert says(64.0, 0.84 * explained, seconds=30.0) == "gauge low, electrical too"
    assert says(25.0, 10.625, passes=1.0) == "screen or pipe clogging"  # 0.85 to the last digit: not less


@pytest.mark.parametrize(
    ("gauge", "before", "counted", "word"),
    [
        (84.1, (86.0, 88.0, 85.0), (1, 1, 1), "scaling"),
        (84.0, (86.0, 88.0, 85.0), (1, 1, 1), "screen or pipe clogging"),
        (84.0, (84.0, 84.0, 84.0), (1, 1, 1), "scaling"),
        (84.0, (84.0, 84.0, 84.0), (1, 0, 1), "screen or pipe clogging"),
        (90.0, (93.9, 93.0, 92.0), (1, 1, 1), "scaling"),
        (90.0, (94.1, 93.0, 92.0), (1, 1, 1), "screen or pipe clogging"),
        (84.0, ("", "gauge, %", None), ("gauge counts", 1, 1), "screen or pipe clogging"),
    ],
)
def test_a_slow_fall_of_the_gauge_is_scale_and_a_sudden_one_a_clog(gauge, before, counted, word):
    """Less than 4 % over three entries, all with a gauge reading."""
    assert says(gauge, sound(gauge), before=before, counted=counted) == word


@pytest.mark.parametrize(
    ("passes", "word"), [(0.9499, "nozzle blocked"), (0.95, "gauge high"), (1.0, "gauge high"), (1.2, "gauge high")]
)
def test_gauge_high_and_less_water_is_something_in_the_nozzle(passes, word):
    """More pressure since less flows; if as much flows as before, it is the gauge."""
    assert says(108.1, 100.0, passes=passes) == word
    assert [says(130.0, share * sound(130.0)) for share in (0.94, 0.96)] == ["nozzle blocked", "gauge high"]


@pytest.mark.parametrize(
    ("passes", "word"), [(0.9199, "nozzle blocked"), (0.92, "ok"), (1.08, "ok"), (1.0801, "nozzle worn")]
)
def test_the_bucket_finds_a_nozzle_while_the_gauge_reads_well(passes, word):
    """A flow off by more than 8 %; without a bucket nothing is said of it."""
    assert says(100.0, 100.0, seconds=20.0, passes=passes) == word
    assert says(100.0, 100.0, passes=passes) == "ok"


def test_a_nozzle_is_looked_at_before_the_machine():
    """Low watts with a low flow are first of all the flow."""
    assert says(100.0, 70.0, seconds=28.0) == "nozzle blocked"
    assert says(100.0, 70.0, seconds=20.0) == "electrical"


# -- trend and season ------------------------------------------------------------------------------------


TREND = {"change": -3.0, "limit": 0.5, "step": 0.0, "months_long": 12.0}


@pytest.mark.parametrize(
    ("known", "word"),
    [
        ({"change": "", "limit": "", "step": ""}, "too few entries, or all on one day"),
        ({"limit": 3.0}, "cannot tell yet: too much scatter for so few entries"),
        ({"limit": 1.01, "change": -1.0}, "cannot tell yet: too much scatter for so few entries"),
        ({"limit": 1.0, "change": -1.0}, "no change beyond doubt"),
        ({"limit": 1.0, "change": -1.01}, "falls, beyond doubt"),
        ({"limit": 1.0, "change": 1.01}, "rises, beyond doubt"),
        ({"change": 0.1, "limit": 0.0, "months_long": 50.0}, "no change beyond doubt"),
        ({"change": 0.102, "limit": 0.0, "months_long": 50.0}, "rises, beyond doubt"),
        ({"change": -0.102, "limit": 0.05, "months_long": 50.0}, "falls, beyond doubt"),
        ({"change": -0.6, "months_long": 3.3}, "no change beyond doubt"),
        ({"change": -0.6, "months_long": 3.4}, "falls, beyond doubt"),
        ({"change": -0.2, "step": -2.1}, "dropped at a stroke, steady since"),
        ({"change": -0.2, "step": -2.0}, "no change beyond doubt"),
        ({"change": -0.2, "step": -9.0, "limit": 3.0}, "dropped at a stroke, steady since"),
        ({"change": -0.2, "step": 9.0}, "no change beyond doubt"),
        ({"step": -9.0}, "falls, beyond doubt"),
    ],
)
def test_a_trend_counts_beyond_its_doubt_if_it_is_worth_a_word(known, word):
    """% in a month: more than a tenth, 2 % in all; a step of more than 2 %; nothing is said where 1 % could hide."""
    known = with_trend(LIMITS | TREND | known)
    assert log.TREND_SAYS.value(known) == word
    assert known["sure"] == (1 if word in ("falls, beyond doubt", "rises, beyond doubt") else 0)


@pytest.mark.parametrize(
    ("entries", "days", "enough"), [(7.0, [0.0, 7.0], 0), (8.0, [0.0, 0.5], 1), (9.0, [0.0, 0.0], 0), (9.0, [], 0)]
)
def test_a_trend_wants_eight_entries_on_more_than_one_day(entries, days, enough):
    """Days since the first."""
    assert log.ENOUGH.value(LIMITS | {"entries": entries, "log_days": days}) == enough


UP, DOWN, EVEN = {"change": 2.0}, {"change": -2.0}, {"change": 0.2}
DROPPED, UNSURE = EVEN | {"step": -10.0}, EVEN | {"limit": 2.0}
TOO_FEW = {"change": "", "limit": "", "step": ""}
SEASONS = [
    (TOO_FEW, TOO_FEW, 0, "too few entries"),
    (TOO_FEW, DOWN, 1, "too few entries"),
    (UNSURE, DOWN, 1, "cannot tell yet"),
    (DOWN, TOO_FEW, 1, "watts fall"),
    (DOWN, UNSURE, 0, "watts fall"),
    (EVEN, TOO_FEW, 0, "steady"),
    (UP, UNSURE, 0, "steady"),
    (DOWN, DOWN, 1, "clogging, scaling"),
    (DOWN, DOWN, 0, "less water: clogging, or the source"),
    (DROPPED, DROPPED, 1, "clogging, scaling"),
    (DROPPED, DOWN, 0, "less water: clogging, or the source"),
    (DOWN, UP, 0, "nozzle blocking"),
    (DOWN, EVEN, 0, "electrical"),
    (DROPPED, EVEN, 0, "electrical"),
    (DOWN, EVEN | {"change": -0.7, "limit": 0.9}, 1, "less water, it seems"),  # more than a third of 2
    (DOWN, EVEN | {"change": -0.6, "limit": 0.9}, 1, "electrical"),
    (EVEN | {"change": -0.3}, EVEN | {"change": -0.3}, 1, "steady"),
    (DROPPED, EVEN | {"change": -0.2}, 0, "electrical"),
    (EVEN, DOWN, 0, "nozzle wearing"),
    (UP, DOWN, 1, "nozzle wearing"),
    (EVEN, UP, 0, "gauge rises"),
    (EVEN, EVEN, 0, "steady"),
    (UP, EVEN, 1, "steady"),
]


@pytest.mark.parametrize(("watts", "gauge", "look", "word"), SEASONS)
def test_watts_and_gauge_together_name_the_fault_of_a_season(watts, gauge, look, word):
    """Both fall: water stays away, in the pipe if water was seen to run over at the intake; watts alone: the machine;
    gauge alone: the nozzle. A drop counts as a fall.
    """
    known = {"log_last_look": look} | tables_of_words("season")
    for name, season, trend in (("watts", log.SEASON_WATTS, watts), ("gauge", log.SEASON_GAUGE, gauge)):
        judged = with_trend(LIMITS | TREND | trend | known)
        known |= {f"{name}_trend": judged["change"], f"{name}_trend_is": judged["trend_is"]}
        known[f"season_{name}"] = season.value(judged | known)
    known["season_case"] = log.SEASON_CASE.value(known)
    assert log.SEASON.value(known) == word


# -- the source ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gauge", "word"),
    [
        (91.9, "source gives less than expected"),
        (92.0, "source as expected, all used"),
        (108.0, "source as expected, all used"),
        (108.1, "source gives more than expected"),
    ],
)
@pytest.mark.parametrize("watts", [30.0, 80.0, 150.0])
@pytest.mark.parametrize("seconds", [None, 14.0, 28.0])
def test_where_the_source_limits_an_entry_judges_the_source(gauge, word, watts, seconds):
    """Whatever watts and bucket say, as far down as it may be: never a clog, never the machine."""
    assert says(gauge, watts, seconds, source=1, overflows="no") == word
    assert says(gauge, watts, seconds, source=1, overflows=None) == word


def test_where_the_source_limits_a_gauge_says_how_much():
    assert says(0.0, 50.0, gauge_counts=0, source=1, overflows="no") == "source limits: read the gauge"
    assert says(0.0, 0.0, watts_now=0.0, source=1) == "stands still"


@pytest.mark.parametrize("overflows", [None, "no"])
@pytest.mark.parametrize("before", [STEADY, (80.0, 80.0, 80.0)])
def test_less_water_is_a_clog_only_if_the_intake_was_seen_to_overflow(overflows, before):
    """A dry week looks the same: the look decides."""
    assert says(80.0, sound(80.0), before=before, overflows=overflows) == "less water: does the intake overflow?"
    assert says(80.0, sound(80.0), before=before) in ("screen or pipe clogging", "scaling")


# 1 May 2026 and a week later; the source gives half of what the nozzle takes in May.
MAY = {
    "flow_may": 0.5,
    "well_watts": 120.0,
    "well_gauge": 3.0,
    **{
        f"log_{what}_{number}": value
        for number in (1, 2)
        for what, value in (("date", 46136.0 + 7 * number), ("gauge", 3.0), ("volts", 24.0), ("amps", 5.0))
    },
}


def column(sheet, result, letter, rows=2):
    """What stands in a column of the first entries."""
    top = next(item for _, item in PLACED["Log"] if isinstance(item, Table) and item.key == "log").first
    return [result.value(("Log", f"{letter}{top + row}")) for row in range(rows)]


def test_in_a_dry_month_less_is_expected_unless_water_runs_over(sheet):
    """Full watts in a month that promises a seventh of them: the source gives more than expected; seen to run over, the
    plant gives what it should.
    """
    result = sheet.run(**MAY, log_overflows_2="yes")
    assert column(sheet, result, "B") == ["source gives more than expected", "ok"]
    due = column(sheet, result, "AM")
    assert due[0] < 0.3 and due[1] == 1
    assert column(sheet, result, "J") == [pytest.approx(100 / due[0]), pytest.approx(100)]
    assert column(sheet, result, "AP") == [0, 1]
    result = sheet.run(**MAY | {"flow_may": 5.0})
    assert column(sheet, result, "B") == ["ok", "ok"] and column(sheet, result, "AP") == [1, 1]


@pytest.mark.parametrize(
    ("day", "month"),
    [(46023, 1), (46053, 1), (46054, 2), (46081, 2), (46083, 3), (46387, 12), (46388, 1), (45351, 2), (47847, 12)],
)
def test_the_month_of_an_entry_is_that_of_its_date(sheet, day, month):
    """2026-01-01, -01-31, -02-01, -02-28, -03-02, -12-31, 2027-01-01, 2024-02-29, 2030-12-30; right within a day."""
    assert column(sheet, sheet.run(log_date_1=day, log_volts_1=24.0, log_amps_1=5.0), "AL", 1) == [month]


# -- service ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("service", "word"),
    [
        ({"done": None, "due": "", "hours_since": ""}, "no date"),
        ({"due": 46200.0}, "due now"),
        ({"due": 46201.0}, "not yet"),
        ({"due": 46199.0, "every_hours": 8000.0, "hours_since": 10.0}, "due now"),
        ({"due": ""}, "not yet"),
        ({"due": "", "every_hours": 1500.0, "hours_since": 1500.0}, "due now"),
        ({"due": "", "every_hours": 1500.0, "hours_since": 1499.0}, "not yet"),
        ({"due": 46300.0, "every_hours": 1500.0, "hours_since": 1600.0}, "due now"),
        ({"due": "", "every_hours": None, "hours_since": 1600.0}, "not yet"),
        ({"due": "", "every_hours": "", "hours_since": 1600.0}, "not yet"),
    ],
)
def test_service_is_due_by_days_or_by_hours_whichever_comes_first(service, word):
    """Today is day 46200; a service without a date of last time is never due, one without an interval neither."""
    known = {"done": 46100.0, "every_hours": None, "hours_since": 0.0, "log_today": 46200.0} | service
    known |= {"by_date": log.BY_DATE.value(known), "by_hours": log.BY_HOURS.value(known)}
    assert log.SERVICE_IS.value(known) == word


def test_a_service_is_due_on_its_day_and_with_its_last_hour():
    """By the calendar and by the hours run, each for itself."""
    known = {"done": 46100.0, "due": 46200.0, "every_hours": 8000.0, "hours_since": 7999.0, "log_today": 46200.0}
    assert (log.BY_DATE.value(known), log.BY_HOURS.value(known)) == (1, 0)
    known |= {"due": 46201.0, "hours_since": 8000.0}
    assert (log.BY_DATE.value(known), log.BY_HOURS.value(known)) == (0, 1)
    assert log.BY_HOURS.value(known | {"done": None, "hours_since": ""}) == log.BY_DATE.value(known | {"due": ""}) == 0


# -- a log without entries, or of a plant that is not known ----------------------------------------------------


def errors(sheet, result):
    """The cells of the sheet Log that show an error."""
    return [key for key in sheet.plan.outputs if key[0] == "Log" and isinstance(result.value(key), ExcelError)]


ENTRY = {"log_date_1": 46143.0, "log_gauge_1": 3.0, "log_volts_1": 24.0, "log_amps_1": 5.0, "log_seconds_1": 20.0}


@pytest.mark.parametrize("entries", [{}, ENTRY])
@pytest.mark.parametrize("unknown", [{}, {"pipe_length": None}, {"battery_volts": 400.0}, {"bucket_volume": None}])
def test_no_cell_of_the_log_shows_an_error(sheet, entries, unknown):
    """Not without entries, not where the plant is not designed, gives nothing, or has no bucket."""
    assert errors(sheet, sheet.run(**entries, **unknown)) == []


def test_an_entry_of_a_plant_that_is_not_known_is_counted_and_not_judged(sheet):
    """Its energy counts; its share of nothing is empty, not 0 %."""
    result = sheet.run(**ENTRY, log_date_2=46144.0, log_volts_2=24.0, log_amps_2=5.0, pipe_length=None)
    top = next(item for _, item in PLACED["Log"] if isinstance(item, Table) and item.key == "log").first
    assert result.value(("Log", f"B{top}")) == "cannot tell: no watts to compare with"
    assert str(result.value(("Log", f"J{top}"))) == str(sheet.value(result, "log_share")) == ""
    assert sheet.value(result, "log_energy") == pytest.approx(120 * 24 / 1000)
    assert sheet.value(result, "log_season") == "too few entries"


def test_the_log_judges_by_what_was_measured_when_new_where_there_is_no_design(sheet):
    """Watts and gauge when all was well are enough; a bucket then says nothing."""
    new = {"well_watts": 120.0, "well_gauge": 3.0, "pipe_length": None}
    top = next(item for _, item in PLACED["Log"] if isinstance(item, Table) and item.key == "log").first
    for amps, word in ((5.0, "ok"), (4.0, "electrical")):
        result = sheet.run(**ENTRY | {"log_amps_1": amps}, **new)
        assert result.value(("Log", f"B{top}")) == word and errors(sheet, result) == []
