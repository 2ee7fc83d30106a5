"""How the judgement of a log's trend fares on invented seasons (tests/simulator/season.py).

`python -m tests.diagnosis.season_score [SEED [COUNT]]` prints, for declines of 0, 5, 10 and 15 % a year: of the
seasons so many in a hundred are said to fall after 12, 20, ... 60 entries. In the rows of 0 % these are false alarms.
"""

import sys
from functools import cache

import numpy as np

from hydrofunc.physics import slow_change
from hydrofunc.template.pages import log
from tests.simulator.season import season

DAY, MONTH = 86400.0, 30.4375 * 86400.0
LIMITS = {item.name: item.assumption.value for item in log.LIMITS}
KINDS = {
    "plain": {},
    "dry spells": {"dry": True},
    "outages, steps": {"troubles": True},
    "both": {"dry": True, "troubles": True},
}
LOSSES = (0.0, 0.05, 0.10, 0.15)
AFTER = (12, 20, 30, 40, 50, 60)
DEVELOPED_ON, LOOKED_AT_ONCE = 1, 20261127


@cache
def seasons(seed, count, kind, loss, late=False):
    rng = np.random.default_rng([seed, list(KINDS).index(kind), int(1000 * loss), late])
    return [season(rng, year_loss=loss, late=late, **KINDS[kind]) for _ in range(count)]


def as_lists(some, entries):
    """(watts in %, days [s], whether they count) of the first entries, as the sheet counts them: the plant stands, the
    intake does not overflow, or nobody looked in a month whose typical flow is less than the nozzle takes: not counted.
    """
    watts = np.array([100 * each.watts[:entries] for each in some])
    days = np.array([each.days[:entries] for each in some])
    overflows = np.array([each.overflows[:entries] for each in some])
    nothing = np.full(12, np.inf)
    flow = np.array([(nothing if each.typical is None else each.typical)[each.month[:entries]] for each in some])
    dry_month = np.minimum(flow, 1) ** 3 < LIMITS["log_month_dry"] / 100
    counted = (watts > 0) & (overflows != 0) & ~(dry_month & (overflows != 1))
    return watts, days * DAY, counted.astype(float)


def judged(some, entries):
    """(falls beyond doubt, dropped by a step) of these seasons after so many entries."""
    lists = as_lists(some, entries)
    change = slow_change.slow_change(*lists) * MONTH
    limit = slow_change.slow_change_limit(*lists) * MONTH
    step = slow_change.slow_change_step(*lists)
    last = np.where(lists[2] > 0, lists[1], -np.inf).max(axis=-1)
    months = (last - slow_change.slow_change_begin(*lists, 0)) / MONTH
    used = slow_change.slow_change_entries(*lists)
    enough = used >= LIMITS["log_trend_least"]
    least = np.maximum(LIMITS["log_change_least"], LIMITS["log_total_least"] / months)
    falls = enough & (change < -np.fmax(limit, least))
    return falls, enough & ~falls & (step < -LIMITS["log_step_least"])


def share_falling(seed, count, kind, loss):
    """Shares of the seasons said to fall, by the number of entries."""
    some = seasons(seed, count, kind, loss)
    return [judged(some, entries)[0].mean() for entries in AFTER]


def share_dropped(seed, count, kind, loss):
    return judged(seasons(seed, count, kind, loss), AFTER[-1])[1].mean()


def begins(seed, count, kind):
    """Of declines of 15 % a year that begin a fifth to half way through: (share said to fall; of these the share whose
    begin is said to be later than the first entry; share whose true begin lies between earliest and latest; median
    error of the likeliest day and of the change, which is 1.25 % a month.
    """
    some = seasons(seed, count, kind, 0.15, late=True)
    falls, _ = judged(some, AFTER[-1])
    lists = as_lists(some, AFTER[-1])
    likeliest, earliest, latest = (slow_change.slow_change_begin(*lists, side) / DAY for side in (0, -1, 1))
    truth = np.array([each.begins for each in some])
    week = 7
    inside = (earliest - week <= truth) & (truth <= latest + week)
    later = falls & (likeliest > np.array([each.days[0] for each in some]) + week)
    change = -slow_change.slow_change(*lists) * MONTH
    return (
        falls.mean(),
        later.sum() / falls.sum(),
        inside[falls].mean(),
        np.median(np.abs(likeliest - truth)[later]),
        np.median(change[later]),
    )


def covered(seed, count, kind, loss):
    """Share of the seasons whose true change lies within the band."""
    lists = as_lists(seasons(seed, count, kind, loss), AFTER[-1])
    off = slow_change.slow_change(*lists) * MONTH + 100 * loss / 12
    return np.mean(np.abs(off) <= slow_change.slow_change_limit(*lists) * MONTH)


def main(seed=DEVELOPED_ON, count=300):
    print(f"{count} seasons a row, seed {seed}; said to fall, % of the seasons, after so many entries")
    print(f"{'':26s}" + "".join(f"{n:6d}" for n in AFTER) + "  dropped   band holds")
    for loss in LOSSES:
        for kind in KINDS:
            shares = share_falling(seed, count, kind, loss)
            said = "".join(f"{100 * share:6.0f}" for share in shares)
            dropped, holds = share_dropped(seed, count, kind, loss), covered(seed, count, kind, loss)
            print(f"{100 * loss:3.0f} % a year, {kind:14s}{said}{100 * dropped:9.0f}{100 * holds:13.0f}", flush=True)
    print("15 % a year from some day on: falls, begin later than first entry, begin in its band, days off, % a month")
    for kind in KINDS:
        falls, later, inside, days, change = begins(seed, count, kind)
        print(f"{kind:26s}{100 * falls:6.0f}{100 * later:6.0f}{100 * inside:6.0f}{days:6.0f}{change:7.2f}", flush=True)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
