"""Invented seasons of a log: what one person would write down of a very small plant, week by week.

Written before the method that judges it, and from general sense alone: no number here is measured, and none is taken
from the product. A season is a truth (does the plant decline, by how much a year, from which day) and the entries that
a person makes of it. Everything is in shares of the full plant as the person expects it: watts 1, gauge 1, flow 1.

What happens to a plant:
- weather: slow ups and downs of watts that resemble their neighbours (AR(1) with a memory of one to three weeks), and a
  small yearly wave (temperature of copper, magnets, water, battery);
- a decline: the pipe closes up (pressure falls, watts with its power 1.5) or the machine gives less of the same water;
- dry spells (`dry`): the source follows a yearly wave and its own memory, and in some weeks gives less than the nozzle
  takes; pressure falls with the square of the flow, watts with its cube;
- `troubles`: weeks without entries, days on which the plant stands, faults of some weeks that are then mended, a screen
  that clogs between cleanings, one lasting step up (a repair, a better nozzle setting).
What a person does: reads on about the same day of the week or every second one, forgets some, reads volts and amps with
their own scatter, a gauge with its divisions, now and then misreads; looks at the intake always, sometimes or never;
knows the typical flow of the months (of another year, and roughly) or does not.
"""

import math
from dataclasses import dataclass

import numpy as np

YEAR = 365.25
ENTRIES = 60


@dataclass(frozen=True)
class Season:
    """Entries of one season, and the truth behind them. Shares of what is expected; nan where not read."""

    days: np.ndarray  # since the first entry
    watts: np.ndarray  # 0 where the plant stands
    gauge: np.ndarray
    overflows: np.ndarray  # 1, 0, nan: nobody looked
    month: np.ndarray  # 0 to 11
    typical: np.ndarray | None  # flow that the person expects of the source in each month, 1 is what the nozzle takes
    short: np.ndarray  # truth: the source gave less than the nozzle takes
    year_loss: float  # truth: watts lost in a year, share
    begins: float  # truth: day on which the decline begins
    stepped: float  # truth: day of a lasting step up, nan: none


def remembered(rng, days, spread, memory):
    """A wave with mean 0 and this spread whose values resemble those `memory` days before by 1/e."""
    values = np.empty(len(days))
    values[0] = rng.normal(0, spread)
    for i in range(1, len(days)):
        share = math.exp(-(days[i] - days[i - 1]) / memory)
        values[i] = share * values[i - 1] + rng.normal(0, spread * math.sqrt(1 - share * share))
    return values


def days_of_entries(rng, every, troubles):
    """Days since the first: about `every` days apart, one in ten forgotten, and now and then some weeks away."""
    days, day = [], 0.0
    while len(days) < ENTRIES:
        if not days or rng.random() > 0.1:
            days.append(day)
        day += max(1.0, round(every + rng.normal(0, 1)))
        if troubles and rng.random() < 0.02:
            day += rng.integers(14, 42)
    return np.array(days)


def season(rng, year_loss=0.0, dry=False, troubles=False, late=False):
    """One season. `late`: the decline begins between a fifth and a half of the record, not on its first day."""
    every = 14.0 if rng.random() < 0.3 else 7.0
    days = days_of_entries(rng, every, troubles)
    first_of_year = rng.uniform(0, YEAR)  # day of the year on which the log begins
    of_year = (days + first_of_year) % YEAR
    month = np.minimum((of_year / YEAR * 12).astype(int), 11)

    wave = rng.uniform(0, 0.01) * np.cos(2 * math.pi * (of_year - rng.uniform(0, YEAR)) / YEAR)
    electrical = 1 + wave + remembered(rng, days, rng.uniform(0.005, 0.02), rng.uniform(7, 21))
    pressure = 1 + remembered(rng, days, rng.uniform(0.002, 0.008), rng.uniform(7, 21))

    begins = days[0] + (rng.uniform(0.2, 0.5) * days[-1] if late else 0.0)
    left = 1 - year_loss * np.clip(days - begins, 0, None) / YEAR
    if rng.random() < 0.5:
        pressure = pressure * left ** (1 / 1.5)
    else:
        electrical = electrical * left

    stepped = math.nan
    if troubles:
        electrical, pressure, stepped = with_troubles(rng, days, electrical, pressure)

    short, typical, flow = np.zeros(len(days), bool), None, np.full(len(days), 2.0)
    if dry:
        least, most = rng.uniform(0.6, 1.05), rng.uniform(1.6, 4.0)
        middle, swing, driest = (
            (math.log(most) + math.log(least)) / 2,
            (math.log(most) - math.log(least)) / 2,
            rng.uniform(0, YEAR),
        )

        def usual(day):
            return np.exp(middle - swing * np.cos(2 * math.pi * (day - driest) / YEAR))

        flow = usual(of_year) * np.exp(remembered(rng, days, rng.uniform(0.1, 0.25), rng.uniform(15, 40)))
        if rng.random() < 0.5:
            middles = (np.arange(12) + 0.5) * YEAR / 12
            typical = usual(middles) * np.exp(rng.normal(0, 0.12) + rng.normal(0, 0.08, 12))
        short = flow < 1
        pressure = pressure * np.minimum(flow, 1) ** 2

    watts = electrical * pressure**1.5
    watts = watts * (1 + rng.normal(0, 0.003, len(days))) * (1 + rng.normal(0, rng.uniform(0.005, 0.015), len(days)))
    misread = rng.random(len(days)) < 0.01
    watts = np.where(misread, watts * (1 + rng.choice([-1, 1], len(days)) * rng.uniform(0.08, 0.2, len(days))), watts)
    division = rng.choice([0.005, 0.01, 0.02])
    gauge = pressure * (1 + rng.normal(0, rng.uniform(0.003, 0.01), len(days)))
    gauge = np.round(gauge / division) * division
    gauge = np.where(rng.random(len(days)) < (1.0 if rng.random() < 0.15 else 0.05), np.nan, gauge)
    if troubles:
        watts = np.where(rng.random(len(days)) < 0.02, 0.0, watts)
    # What is expected is itself not quite right: measured in the first days, or designed.
    watts, gauge = watts * rng.normal(1, 0.03), gauge * rng.normal(1, 0.02)

    looks = rng.random(len(days)) < rng.choice([0.0, 0.5, 1.0])
    right = rng.random(len(days)) > 0.02
    overflows = np.where(looks, np.where((flow > 1.02) == right, 1.0, 0.0), np.nan)
    return Season(days, watts, gauge, overflows, month, typical, short, year_loss, begins, stepped)


def with_troubles(rng, days, electrical, pressure):
    """Faults of some weeks, a screen between cleanings, and in half the seasons one lasting step up."""
    electrical, pressure, stepped = electrical.copy(), pressure.copy(), math.nan
    for _ in range(rng.poisson(0.8)):
        begin, lasts = rng.uniform(0, days[-1]), rng.uniform(10, 50)
        inside = (days >= begin) & (days < begin + lasts)
        electrical[inside] *= rng.uniform(0.7, 0.93)
    if rng.random() < 0.5:
        cleaned = np.cumsum(rng.uniform(20, 60, 200))
        since = np.array([day - max([0.0, *cleaned[cleaned <= day]]) for day in days])
        pressure *= 1 - rng.uniform(0.0003, 0.0012) * since
    if rng.random() < 0.5:
        stepped = rng.uniform(0.15, 0.85) * days[-1]
        electrical[days >= stepped] *= 1 + rng.uniform(0.02, 0.08)
    return electrical, pressure, stepped
