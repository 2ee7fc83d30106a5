"""Scores the diagnosis on the blind judge's test days: `python -m tests.diagnosis.yard_score SEED`.

The judge (`tests/simulator/yard.py`) was written without sight of the diagnosis. Plan and readings reach it as the
sheet Diagnosis hands them: `diagnosis(plant, quantity, which, readings, uncertainties)`. With `--hand-over` it prints
how far healthy plants without scatter, read by perfect meters, are from what the diagnosis expects: near 0, or a unit
is wrong.
"""

import argparse
import itertools
import os
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

import numpy as np

import hydrofunc
from tests.simulator import yard

FAULTS = (
    "all well",
    "pipe",
    "air lock",
    "head",
    "nozzle",
    "jet",
    "off best speed",
    "ponds, drags",
    "phase",
    "star, delta",
    "cable",
    "battery full",
    "gauge",
    "bucket",
    "speed meter",
    "multimeter",
    "source",
    "magnets",
    "two or none",
)
MANY = 18  # number of "two faults, or none of these"
SURE = 0.8  # the sheet says "sure enough to look there first" near here


def plant(days, k):
    """The plan of one day, as the block `plant` of the sheet Plant holds it."""
    block = {name: days.plan[name][k].item() for name in yard.PLAN}
    if block["load"] != "resistor":
        del block["load_resistance"]
    return block


def handed_over(days, k):
    """Readings and uncertainties of one day as the sheet hands them over, with the speed of the open volts.

    Test day asks for that speed, and the judge's days hold the true one: it is told as the person's meter shows the
    wheel's speed at load A beside the true one. What the constant is uncertain by is then its volts' part alone.
    """
    readings, uncertainties = list(days.readings[k]), list(days.uncertainties[k])
    speed, constant = yard.READINGS.index("speed_a"), yard.READINGS.index("open_constant")
    if not readings[constant]:
        return [*readings, 0.0], [*uncertainties, 0.0]
    told = days.truth["drill_turn"][k] * 30 / np.pi
    if readings[speed]:
        told *= readings[speed] / days.values["speed_a"][k]
    uncertainties[constant] = 0.01 * readings[constant]
    return [*readings, told], [*uncertainties, 0.01 * told + 1]


def ask(days, k):
    """Probability of each fault, the two likeliest, of one day."""
    block, (readings, uncertainties) = plant(days, k), handed_over(days, k)
    chances = hydrofunc.diagnosis(block, "fault_probability", np.arange(len(FAULTS)), readings, uncertainties)
    ranks = hydrofunc.diagnosis(block, "likeliest_fault", np.array([1, 2]), readings, uncertainties)
    return np.array([*chances, *ranks])


def misfits(days):
    """How far each reading is off what the rest lets expect, in standard deviations; a day a row."""
    which = np.arange(1, len(yard.READINGS) + 1)
    return np.array(
        [
            hydrofunc.diagnosis(plant(days, k), "reading_misfit", which, list(read), list(days.uncertainties[k]))
            for k, read in enumerate(days.readings)
        ]
    )


@dataclass
class Answers:
    """What the diagnosis says of the days."""

    chances: np.ndarray
    first: np.ndarray
    second: np.ndarray


def answers(days):
    """All days, asked one by one."""
    rows = np.array([ask(days, k) for k in range(len(days.person))])
    return Answers(rows[:, :-2], rows[:, -2].astype(int), rows[:, -1].astype(int))


def one_row(job):
    """The days of one row and what the diagnosis says of them."""
    days = yard.day_row(*job)
    return days, answers(days)


def judged(seed, count, processes, builds=1.0, meters=1.0):
    """All rows, shared among processes."""
    jobs = [(seed, name, count, builds, meters) for name in [*yard.TROUBLES, yard.PAIR]]
    with ProcessPoolExecutor(processes) as pool:
        rows = list(pool.map(one_row, jobs))
    said = [answer for _, answer in rows]
    parts = ([getattr(answer, name) for answer in said] for name in ("chances", "first", "second"))
    return yard.joined([days for days, _ in rows]), Answers(*(np.concatenate(part) for part in parts))


def among(numbers, right):
    """For each day whether a number is one of the right ones."""
    return np.array([number in good for number, good in zip(numbers, right, strict=True)])


def share(mask, of):
    """Per cent, and of how many."""
    return f"{100 * mask[of].mean():5.1f} of {of.sum():5d}" if of.any() else "    - of     0"


def groups(days):
    """Masks of the days by what is asked of them."""
    single = np.isin(days.row, yard.NAMED)
    return {
        "single": single & days.visible,
        "hidden": single & ~days.visible,
        "healthy": days.row == "none",
        "meter": np.isin(days.row, yard.METERS) & days.visible,
        "pair": (days.row == yard.PAIR) & days.visible,
        "other": np.isin(days.row, yard.UNNAMEABLE) & days.visible,
    }


def summary(days, said, of=True):
    """Lines of figures in per cent; `of` leaves out other days."""
    mask = {name: days_of & of for name, days_of in groups(days).items()}
    first, second = among(said.first, days.right), among(said.second, days.right)
    top = said.chances.max(axis=1)
    both = first & second & (said.first != said.second)
    well = said.first == 0
    sure_wrong = (top >= SURE) & ~first & (said.first != MANY)
    return [
        ("one trouble or none: first right", share(first, mask["single"] | mask["healthy"])),
        ("one trouble or none: in the first two", share(first | second, mask["single"] | mask["healthy"])),
        ("one trouble: first right", share(first, mask["single"])),
        ("one trouble: in the first two", share(first | second, mask["single"])),
        ("one trouble: sure (80 %) of a wrong one", share(sure_wrong, mask["single"])),
        ("one trouble, invisible: said to be well", share(well, mask["hidden"])),
        ("one trouble, invisible: sure of a wrong one, not well", share(sure_wrong & ~well, mask["hidden"])),
        ("wrong meter: first right", share(first, mask["meter"])),
        ("wrong meter: a meter first", share(np.isin(said.first, [12, 13, 14, 15]), mask["meter"])),
        ("healthy: left alone", share(well, mask["healthy"])),
        ("healthy: sure of a fault", share((top >= SURE) & ~well, mask["healthy"])),
        ("two at once: one of them first", share(first, mask["pair"])),
        ("two at once: one of them in the first two", share(first | second, mask["pair"])),
        ("two at once: both in the first two", share(both, mask["pair"])),
        ('two at once: "two faults, or none of these" first', share(said.first == MANY, mask["pair"])),
        ("not on the list: said so first", share(said.first == MANY, mask["other"])),
        ("not on the list: sure of a wrong one", share(sure_wrong, mask["other"])),
    ]


def reliability(days, said):
    """Lines of how often the first answer is right where it says to be so sure; and the expected error of that."""
    of = groups(days)
    judged = of["single"] | of["hidden"] | of["healthy"]
    right = among(said.first, days.right)[judged]
    top = said.chances.max(axis=1)[judged]
    lines, error = [], 0.0
    edges = np.array([0, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99, 1.0001])
    for low, high in itertools.pairwise(edges):
        here = (top >= low) & (top < high)
        if here.any():
            error += here.mean() * abs(top[here].mean() - right[here].mean())
            says, was = 100 * top[here].mean(), 100 * right[here].mean()
            bin_name = f"{100 * low:5.0f} to {min(100 * high, 100):3.0f}"
            lines.append(f"{bin_name}: says {says:5.1f}, right {was:5.1f} of {here.sum():5d}")
    return lines, 100 * error


def by_fault(days, said):
    """A line for each row of troubles: how many, first, in two, and what is said most often when it is wrong."""
    right, second = among(said.first, days.right), among(said.second, days.right)
    lines = []
    for name in dict.fromkeys(days.row):
        here = days.row == name
        seen = here & (days.visible | (name == "none"))
        calls = np.bincount(said.first[seen], minlength=len(FAULTS))
        most = ", ".join(
            f"{FAULTS[k]} {100 * calls[k] / max(seen.sum(), 1):.0f}" for k in np.argsort(-calls)[:3] if calls[k]
        )
        first, two = right[seen].mean() * 100, (right | second)[seen].mean() * 100
        counts = f"{name:17s} {seen.sum():4d} of {here.sum():4d} visible"
        lines.append(f"{counts}  first {first:5.1f}  in two {two:5.1f}  called: {most}")
    return lines


def hand_over(seed):
    """Prints the misfit of healthy plants without scatter, read perfectly."""
    days = yard.days(seed, ["none"], 60, builds=0, meters=0, everything=True)
    off = misfits(days)
    for name, column in zip(yard.READINGS, off.T, strict=True):
        print(f"{name:14s} root mean square {np.sqrt((column**2).mean()):5.2f}  greatest {np.abs(column).max():5.2f}")


def report(days, said):
    """Prints the tables of the main run."""
    people = [days.person == name for name in yard.PEOPLE]
    columns = zip(summary(days, said), *(summary(days, said, person) for person in people), strict=True)
    print(f"{'':54s}" + "".join(f"{name:>18s}" for name in ("all", *yard.PEOPLE)))
    for (label, whole), *rest in columns:
        print(f"{label:54s}" + "".join(f"{text:>18s}" for text in (whole, *(text for _, text in rest))))
    lines, error = reliability(days, said)
    print("How sure the first is, one trouble or none, invisible ones too:", *lines, sep="\n  ")
    print(f"  expected calibration error {error:.1f}")
    print("By trouble:", *by_fault(days, said), sep="\n  ", flush=True)


def main():
    """The whole score."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("seed", type=int)
    parser.add_argument("--count", type=int, default=300, help="days a row of the main table")
    parser.add_argument(
        "--variants", type=int, default=30, help="days a row with more scatter or worse meters; 0: none"
    )
    parser.add_argument("--processes", type=int, default=min(2, os.cpu_count() or 1))
    parser.add_argument("--hand-over", action="store_true", help="only check that plan and readings arrive whole")
    choice = parser.parse_args()
    if choice.hand_over:
        hand_over(choice.seed)
        return
    days, said = judged(choice.seed, choice.count, choice.processes)
    print(f"seed {choice.seed}, {choice.count} days a row; per cent")
    report(days, said)
    for builds, meters in ((1.5, 1), (2, 1), (1, 1.5), (1, 2)) if choice.variants else ():
        days, said = judged(choice.seed, choice.variants, choice.processes, builds, meters)
        print(f"builds x {builds}, meters x {meters}, {choice.variants} days a row:")
        for label, text in summary(days, said):
            print(f"  {label:54s}{text}")
        print(f"  expected calibration error {reliability(days, said)[1]:.1f}", flush=True)


if __name__ == "__main__":
    main()
