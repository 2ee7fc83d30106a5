"""What the empty template says of a part that nobody measured: middle and 95 % band, from its assumptions and ranges.

`python -m tests.measured` prints them beside what others measured (cases.csv).
"""

import csv
import json
from pathlib import Path
from typing import NamedTuple

import numpy as np

import hydrofunc as hf
from hydrofunc.jobs.estimate import estimate

CASES = Path(__file__).with_name("cases.csv")
SITE = {
    "level_difference": 30.0,
    "pipe_length": 60.0,
    "pipe_bore": 60.0,
}  # little is lost; the part does not hang on it
DRAWS = 4000


class Band(NamedTuple):
    """Mean and 2.5 and 97.5 % of what is expected."""

    mean: float
    low: float
    high: float


def _band(draws):
    return Band(float(np.mean(draws)), *map(float, np.quantile(draws, (0.025, 0.975))))


def _drawn(known, name, rng, spread="even", most=np.inf):
    """Evenly within ± the half range; with spread "times" evenly in the logarithm, up to 1 + half/100 times."""
    value, half = known.counts[name], known.halves["roughness" if name == "roughness_used" else name]
    if spread == "times":
        return value * (1 + half / 100) ** rng.uniform(-1, 1, DRAWS)
    return np.minimum(value + half * rng.uniform(-1, 1, DRAWS), most)


def wheel(given, rng):
    """Shaft over jet at the best speed."""
    jet = hf.jet_velocity(0.97 * SITE["level_difference"])
    flow = given.pop("jet_watts") / (jet**2 / 2)
    nozzle = 1000 * np.sqrt(4 * flow / 1000 / jet / np.pi)
    known = estimate(SITE | {"nozzle": float(nozzle), "contraction": 1.0} | given)
    pitch = known.counts["pitch_diameter"]
    speeds = hf.runner_speed(jet, pitch, np.linspace(0.25, 0.6, 30))[:, None]
    power = hf.wheel_power(
        speed=speeds,
        flow=flow,
        jet_velocity=jet,
        pitch_diameter=pitch,
        deflection=_drawn(known, "deflection", rng, most=180),
        cup_friction=_drawn(known, "cup_friction", rng, most=1),
        alignment=_drawn(known, "alignment", rng, most=1),
        bearing_drag=_drawn(known, "bearing_drag", rng, "times"),
        windage=_drawn(known, "windage", rng, "times"),
    )
    return _band(np.maximum(power, 0).max(axis=0) / hf.jet_power(flow, jet))


def plant(given, rng):
    """Watts into the battery, of the whole template; the head is that which drives the measured jet."""
    velocity = given["flow"] / 1000 / (np.pi / 4 * (given["nozzle"] / 1000) ** 2)
    head = float((velocity / 0.96) ** 2 / 2 / 9.81)
    source = {"known_flow": 2 * given["flow"], "left_in_stream": 0.0, "contraction": 1.0}
    known = estimate(SITE | source | {"level_difference": 1.05 * head, "nozzle": given["nozzle"]})
    return Band(known.mean, known.low, known.high)


def nozzle(given, rng):
    """Velocity coefficient, or discharge coefficient: velocity times contraction."""
    quantity = given.pop("quantity")
    known = estimate(SITE | given)
    velocity = _drawn(known, "velocity_coefficient", rng, most=1)
    return _band(velocity * (_drawn(known, "contraction", rng, most=1) if quantity == "discharge" else 1))


def pipe(given, rng):
    """Roughness of a new pipe. [mm]"""
    known = estimate(SITE | {"pipe_material": given["material"], "pipe_condition": "new"})
    return _band(_drawn(known, "roughness_used", rng, "times"))


PARTS = {"wheel": wheel, "plant": plant, "nozzle": nozzle, "pipe": pipe}


def compared():
    """For each case its row, what is expected, and whether the middle of what was measured lies in the band."""
    for row in csv.DictReader(CASES.read_text(encoding="utf-8").splitlines()):
        band = PARTS[row["part"]](json.loads(row["given"]), np.random.default_rng(1))
        measured = (float(row["low"]) + float(row["high"])) / 2
        yield row, measured, band, band.low <= measured <= band.high
