"""Declarations: what a season's readings say."""

from ..physics import trend
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
    lambda values, days, counted, **_: (
        len({len for len in (v.shape[-1] for v in (values, days, counted)) if len > 1}) <= 1
    ),
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
