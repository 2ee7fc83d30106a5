"""Declarations: what a season's readings say."""

from ..physics import lists, slow_change, trend
from ..registry import Argument, Example, Rule, declare

GROUP = "Log"
VALUES = Argument(
    "values",
    "-",
    "Readings, for example watts in % of what is expected: a range of cells or a list.",
    "[-1e12, 1e12]",
    many=True,
)
DAYS = Argument(
    "days",
    "day",
    "When each was read, in days from any beginning; a column of dates will do.",
    "[-1e6, 1e6]",
    many=True,
)
COUNTED = Argument(
    "counted",
    "-",
    "1 for each entry that counts, 0 for one that does not, such as an empty row.",
    "[0, 1]",
    default=1.0,
    many=True,
)
AS_MANY = Rule(
    "days",
    "be as many as the values, and so must counted",
    lambda values, days, counted, **_: lists.fit_together(values, days, counted),
)
LEAST_SQUARES = "Least squares; as the NIST Statistical Reference Datasets, Norris, certify it"
FALLING = Example({"values": [100, 99, 99, 97, 96], "days": [0, 30.4375, 60.875, 91.3125, 121.75]}, -1.0)
SEASON = Example({"values": [100, 99, 99, 97, 97, 95, 96, 94], "days": list(range(0, 56, 7))}, 1.06728)


def _declared(function, meaning, help, symbol, equation, example, source=LEAST_SQUARES):
    declare(
        function,
        group=GROUP,
        help=help,
        arguments=(VALUES, DAYS, COUNTED),
        unit="1/month",
        meaning=meaning,
        symbol=symbol,
        equation=equation,
        source=source,
        example=example,
        rules=(AS_MANY,),
    )


_declared(
    trend.trend,
    "Change of the values in a month of 30.4375 days.",
    "Change of readings in a month: slope of the straight line through them.",
    "b",
    "b = sum (t - mean t)(y - mean y) / sum (t - mean t)²",
    FALLING,
)
_declared(
    trend.trend_error,
    "Standard error of the change in a month.",
    "Standard error of TREND: how far off it may well be, if each entry stands for itself.",
    "s_b",
    "s_b = s / sqrt(sum (t - mean t)²), s² = sum of squares left over / (n - 2)",
    Example(FALLING.arguments, 0.16330),
)
_declared(
    trend.trend_limit,
    "Change in a month that is beyond doubt at 95 %.",
    "How large TREND must be, up or down, to be beyond doubt at 95 %, though each entry may resemble the one before.",
    "t s_b",
    "t s_b, both for m = n (1 - r) / (1 + r) instead of n entries, r the correlation of neighbours; n >= 5, m >= 3",
    SEASON,
    f"{LEAST_SQUARES}; t: JCGM 100:2008 (GUM), G.3 and table G.2; m: C. S. Bretherton et al., J. Climate 12 (1999) "
    "1990, "
    "from memory, not looked up",
)

# -- a change that is slow, among dips and a step ---------------------------------------------------------------------

SIDE = Argument(
    "side",
    "-",
    "0: the likeliest day; -1: the earliest that may as well be; 1: the latest.",
    "[-1, 1]",
    default=0.0,
)
ON_SEASONS = (
    "thresholds set on invented seasons, judgement, no published source; restricted likelihood: H. D. Patterson and "
    "R. Thompson, Biometrika 58 (1971) 545, from memory, not looked up"
)
# Ten even weeks, then a fall by 0.5 a week with a dry spell of four weeks in it; or even weeks and a repair.
_SCATTER = [0.3 * (-1) ** (week * (week + 1) // 2) for week in range(30)]
_WEEKS = list(range(0, 210, 7))
DRY_SPELL = {
    "values": [
        (100 - 0.5 * max(0, week - 10) + _SCATTER[week]) * (0.6 if 18 <= week < 22 else 1.0) for week in range(30)
    ],
    "days": _WEEKS,
}
REPAIR = {"values": [95 + _SCATTER[week] + (6.0 if week >= 12 else 0.0) for week in range(30)], "days": _WEEKS}


def _slow(function, unit, meaning, help, symbol, equation, example, more=()):
    declare(
        function,
        group=GROUP,
        help=help,
        arguments=(VALUES, DAYS, COUNTED, *more),
        unit=unit,
        meaning=meaning,
        symbol=symbol,
        equation=equation,
        source=f"Generalised least squares, {ON_SEASONS}",
        example=example,
        rules=(AS_MANY,),
    )


_slow(
    slow_change.slow_change,
    "1/month",
    "Change of the values in a month of 30.4375 days, from the day on which it began.",
    "Slow change of readings in a month: dry spells, faults that were mended and one lasting step left out. 6 entries.",
    "b",
    "y = a + b max(0, t - t0) + c [t >= t1], neighbours alike",
    Example(DRY_SPELL, -2.178432),
)
_slow(
    slow_change.slow_change_limit,
    "1/month",
    "Change in a month that is beyond doubt at 98 %.",
    "How large SLOW_CHANGE must be to be beyond doubt at 98 %, and how far off it may be, either way.",
    "t s_b",
    "Student's t for 98 % times s_b, over ten ways in which neighbours may be alike, weighted by their likelihood",
    Example(DRY_SPELL, 0.1471356),
)
_slow(
    slow_change.slow_change_begin,
    "day",
    "Day on which the slow change began.",
    "Day on which SLOW_CHANGE began, of those of the entries; that of the first one where no later day stands out.",
    "t0",
    "the t0 that makes the readings likeliest; earliest and latest: no less likely than chance explains (99 %)",
    Example(DRY_SPELL, 70.0),
    more=(SIDE,),
)
_slow(
    slow_change.slow_change_step,
    "-",
    "Size of the one lasting step, up or down; 0 where none stands out.",
    "Size of the one lasting step among readings that change slowly, as after a repair: above 0 is up; 0: none.",
    "c",
    "c of SLOW_CHANGE's line",
    Example(REPAIR, 6.015885),
)
_slow(
    slow_change.slow_change_step_day,
    "day",
    "Day of the first entry after the lasting step.",
    "Day of the first entry after the one lasting step among readings that change slowly. No step: out of range.",
    "t1",
    "the t1 that makes the readings likeliest",
    Example(REPAIR, 84.0),
)
_slow(
    slow_change.slow_change_entries,
    "-",
    "Entries that the slow change rests on.",
    "How many readings SLOW_CHANGE rests on: those in no dip and not far off its line.",
    "n",
    "those within 3.45 scatters of the line",
    Example(DRY_SPELL, 26.0),
)
