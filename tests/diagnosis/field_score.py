"""How the diagnosis fares on the second simulator's test days (tests/simulator/field.py), on which it was developed.

`python -m tests.diagnosis.field_score [SEED]` prints the table: the true plants' scatter and the meters' errors as they
usually are, half as large again, and twice as large. The person states the same limits in all of them.

A limit ± of an instrument counts as a rectangular distribution (JCGM 100:2008, 4.3.7, from memory): over the
root of three.
"""

import itertools
import math
import sys
from functools import cache

import numpy as np

from hydrofunc.physics import diagnosis
from tests.simulator import field as simulator

# Index in FAULTS of what each trouble is called there.
_CALLED = {
    "pipe blocked, rough or leaking": ("pipe_blocked", "pipe_rough", "pipe_narrow", "leak"),
    "air lock in the pipe": ("air_pocket",),
    "static head less than surveyed": ("head_short",),
    "nozzle worn, wrong size or blocked": ("nozzle_other", "nozzle_blocked"),
    "jet misaligned or cups worn": ("jet_misaligned", "cups_worn"),
    "load holds the wheel off its best speed": ("load_off_best",),
    "water ponds under the wheel, or a bearing drags": ("water_ponding", "bearing_drag"),
    "diode or phase open, or turns shorted": ("phase_open", "diode_open", "shorted_turns"),
    "star and delta mistaken": ("connection_mistaken",),
    "cable too thin or bad joint": ("cable_bad",),
    "battery full or controller limits": ("charge_throttled",),
    "gauge wrong": ("wrong_gauge",),
    "bucket or stopwatch wrong": ("wrong_bucket",),
    "speed meter wrong": ("wrong_tacho",),
    "voltmeter or ammeter wrong": ("wrong_meter",),
    "source gives too little, or air drawn in": ("source_short", "air_drawn"),
    "magnets weak, or emf not as the sheet says": ("magnets_weak",),
}
FAULT_OF = {trouble: diagnosis.FAULTS.index(fault) for fault, troubles in _CALLED.items() for trouble in troubles}
ALL_WELL, TWO_OR_NONE = 0, diagnosis.TWO_OR_NONE
LOOKS = {"overflow": ("intake_overflows", 0.03), "screen": ("screen_clean", 0.05)}
WAYS = ((1.0, 1.0), (1.5, 1.0), (2.0, 1.0), (1.0, 1.5), (1.0, 2.0))  # (scatter of plants, errors of meters)
BINS = (0.0, 0.5, 0.7, 0.85, 0.95, 1.001)


def planned(plan):
    """A plan as our arguments, in SI."""
    values = {"load": plan["load"], "connection": plan["connection"]}
    for place in range(3):
        for what in ("length", "bore", "roughness"):
            of_sections = plan[what]
            value = of_sections[place] if place < len(of_sections) else 0.0
            values[f"{what}{('', '_2', '_3')[place]}"] = float(value)
    return {name: values[name] if name in values else float(plan[name]) for name in diagnosis.PLANT}


def read(case):
    """(readings, standard uncertainties) of a case in our order; what was not read has 0."""
    values, uncertainties = [], []
    for name in diagnosis.READINGS:
        if name in LOOKS:
            look, mistaken = LOOKS[name]
            seen = case.seen[look]
            values.append(0.0 if math.isnan(seen) else seen)
            uncertainties.append(0.0 if math.isnan(seen) else mistaken)
        elif name in case.readings:
            values.append(case.readings[name])
            uncertainties.append(case.stated[name] / math.sqrt(3))
        else:
            values.append(0.0)
            uncertainties.append(0.0)
    return values, uncertainties


@cache
def diagnosed(seed, count=300, scatter=1.0, meters=1.0, turned=simulator.TRICKLE):
    """(troubles of each case, its diagnosis) of so many test days."""
    cases = simulator.field(seed, count, scatter, meters, turned)
    plants = [planned(case.plan) for case in cases]
    merged = {name: np.array([plant[name] for plant in plants]) for name in diagnosis.PLANT}
    y, u = (np.array(part) for part in zip(*map(read, cases), strict=True))
    return [case.troubles for case in cases], diagnosis.diagnose(y, u, **merged)


def right(troubles, fault):
    """Whether it is right to name this fault: of two troubles either, or that there are two."""
    if not troubles:
        return fault == ALL_WELL
    return fault in {FAULT_OF[trouble] for trouble in troubles} or (len(troubles) > 1 and fault == TWO_OR_NONE)


def scores(seed, count=300, scatter=1.0, meters=1.0, turned=simulator.TRICKLE):
    """Shares by name, each with the number of cases behind it."""
    troubles, said = diagnosed(seed, count, scatter, meters, turned)
    named, sure = said.order[:, :2].astype(int), np.max(said.probability, axis=1)
    first = np.array([right(true, fault) for true, fault in zip(troubles, named[:, 0], strict=True)])
    either = np.array([any(right(t, fault) for fault in two) for t, two in zip(troubles, named, strict=True)])
    number = np.array([len(true) for true in troubles])
    meter = np.array([len(t) == 1 and t[0].startswith("wrong_") for t in troubles])
    certain = sure >= 0.9
    result = {
        "one or none: first": (first[number < 2].mean(), (number < 2).sum()),
        "one or none: in two": (either[number < 2].mean(), (number < 2).sum()),
        "two: one of them, or two": (first[number == 2].mean(), (number == 2).sum()),
        "wrong meter: first": (first[meter].mean(), meter.sum()),
        "all well: left alone": (first[number == 0].mean(), (number == 0).sum()),
        "said with 90 % or more: right": (first[certain].mean(), certain.sum()),
    }
    error = 0.0
    for low, high in itertools.pairwise(BINS):
        inside = (sure >= low) & (sure < high)
        if inside.any():
            error += inside.mean() * abs(first[inside].mean() - sure[inside].mean())
            result[f"said {low:.0%} to {min(high, 1):.0%}: right (said {sure[inside].mean():.0%})"] = (
                first[inside].mean(),
                inside.sum(),
            )
    result["expected calibration error"] = (error, len(sure))
    return result


def by_trouble(seed, count=300):
    """Of each trouble alone: how often named first, and what else was."""
    troubles, said = diagnosed(seed, count)
    lines = []
    for trouble in ("", *FAULT_OF):
        own = [i for i, true in enumerate(troubles) if true == ((trouble,) if trouble else ())]
        if not own:
            continue
        named = [int(said.order[i, 0]) for i in own]
        good = sum(right(troubles[i], fault) for i, fault in zip(own, named, strict=True))
        wrong = [diagnosis.FAULTS[f] for i, f in zip(own, named, strict=True) if not right(troubles[i], f)]
        others = ", ".join(f"{wrong.count(word)} {word}" for word in sorted(set(wrong), key=wrong.count, reverse=True))
        lines.append(f"{trouble or 'all well'}: {good} of {len(own)}; {others}")
    return lines


def main():
    """Print the scores of a seed."""
    seed = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    for scatter, meters, turned in (*((*way, simulator.TRICKLE) for way in WAYS), (1.0, 1.0, simulator.DRILL)):
        drill = ", open volts at whatever turns the wheel" if turned == simulator.DRILL else ""
        print(f"\nscatter x {scatter:g}, meters x {meters:g}{drill}")
        for name, (share, count) in scores(seed, scatter=scatter, meters=meters, turned=turned).items():
            print(f"  {name}: {share:.1%} of {count}" if "error" not in name else f"  {name}: {share:.3f}")
    print("\n" + "\n".join(by_trouble(seed)))


if __name__ == "__main__":
    main()
