"""Plain cases of the trade: one trouble, of a size that anybody would call a trouble, read with good meters.

Whatever was read, nobody is sure (80 % and more) of another trouble, nor that all is well: a sure wrong answer is a
defect. Where the physics makes two troubles read alike the answer is shared between them. Readings are the package's
own model's, without noise. Which sizes are plain is common practice, no published source: a fifth of a meter, a tenth
of the head, half of the current. Troubles that these plants hide (a leak at the nozzle of a short wide pipe) are not
plain.
"""

from functools import cache

import numpy as np
import pytest

from hydrofunc.physics.diagnosis import FAULTS, LOOKS, READINGS, TWO_OR_NONE, USUAL_UNCERTAINTY, diagnose
from tests.physics.test_diagnosis import PLANT, PLANTS, component, judged, read

SURE = 0.8
WELL, PIPE, AIR, HEAD, NOZZLE, JET, LOAD, POND, PHASE, STAR = range(10)
CABLE, FULL, GAUGE, BUCKET, SPEED, VOLTS, SOURCE, MAGNETS = range(10, TWO_OR_NONE)
TAKEN = {
    "three of the water": "static running flow",
    "three of the machine": "speed_a volts_a amps_a",
    "a gauge and a multimeter": "static running volts_a amps_a",
    "six": "static running flow speed_a volts_a amps_a",
    "all": " ".join(READINGS),
}
LESS, MORE = float(np.log(0.8)), float(np.log(1.2))


def meter(fault, *names, off):
    """A meter that spoils these readings by that factor (ln)."""
    return fault, {"meter": dict.fromkeys(names, 1.0)}, {"meter": off}


VOLTMETERS = ("volts_a", "volts_b", "rectifier_a", "rectifier_b", "open_constant")
# Trouble: its number, its component of the prior if it is no plain cause, causes.
CASES = {
    "rough pipe": (PIPE, {}, {"roughness": 4.0}),
    "screen half blocked": (PIPE, {}, {"extra_loss": 0.3}),
    "pipe nearly blocked": (PIPE, {}, {"extra_loss": 0.8}),
    "air in a tenth of the head": (AIR, {}, {"air": 0.1, "extra_loss": 0.15}),
    "air in a fifth of the head": (AIR, {}, {"air": 0.2, "extra_loss": 0.3}),
    "a tenth less head": (HEAD, {}, {"head": -0.1}),
    "a fifth less head": (HEAD, {}, {"head": -0.2}),
    "nozzle a tenth wider": (NOZZLE, {}, {"nozzle": 0.1}),
    "nozzle a fifth wider": (NOZZLE, {}, {"nozzle": 0.2}),
    "nozzle a third wider": (NOZZLE, {}, {"nozzle": 0.3}),
    "nozzle a tenth narrower": (NOZZLE, {}, {"nozzle": -0.1}),
    "nozzle a quarter narrower": (NOZZLE, {}, {"nozzle": -0.25}),
    "a leaf in the nozzle, gone when it is measured": (NOZZLE, {"cleared": True}, {"nozzle": -0.25}),
    "jet a little off": (JET, {}, {"alignment": -0.15}),
    "jet far off": (JET, {}, {"alignment": -0.3}),
    "winding of a quarter fewer turns": (LOAD, {}, {"turns": float(np.log(0.75))}),
    "winding of a third more turns": (LOAD, {}, {"turns": float(np.log(4 / 3))}),
    "water ponds": (POND, {}, {"ponding": 0.25}),
    "a seal drags": (POND, {}, {"seal": 0.2}),
    "turns shorted": (PHASE, {}, {"shorted": 0.15, "ring": -0.3}),
    "star for delta": (STAR, {"swapped": True}, {}),
    "joint that takes a tenth of the volts": (CABLE, {}, {"joint": 0.1}),
    "joint that takes a fifth of the volts": (CABLE, {}, {"joint": 0.2}),
    "both gauge readings high": meter(GAUGE, "static", "running", off=MORE),
    "both gauge readings low": meter(GAUGE, "static", "running", off=LESS),
    "running gauge high": meter(GAUGE, "running", off=MORE),
    "running gauge low": meter(GAUGE, "running", off=LESS),
    "gauge at rest low": meter(GAUGE, "static", off=LESS),
    "needle of the gauge bent": (GAUGE, {}, {"zero": 0.1}),
    "bucket shows too much": meter(BUCKET, "flow", off=MORE),
    "bucket shows too little": meter(BUCKET, "flow", off=LESS),
    "speed meter high": meter(SPEED, "speed_a", "speed_b", off=MORE),
    "speed meter low": meter(SPEED, "speed_a", "speed_b", off=LESS),
    "poles for pairs": meter(SPEED, "speed_a", "speed_b", off=float(np.log(2))),
    "coils for magnets": (
        SPEED,
        {"meter": {"speed_a": 1.0, "speed_b": 1.0, "open_constant": -1.0}},
        {"meter": float(np.log(2 / 3))},
    ),
    "volts at the load high": meter(VOLTS, "volts_a", "volts_b", off=MORE),
    "voltmeter low": meter(VOLTS, *VOLTMETERS, off=LESS),
    "ammeter high": meter(VOLTS, "amps_a", "amps_b", off=MORE),
    "ammeter low": meter(VOLTS, "amps_a", "amps_b", off=LESS),
    "a dry source": (SOURCE, {}, {"source": -0.25, "looks": (0, 1)}),
    "air drawn in": (SOURCE, {"void": 0.2}, {"void": 0.2, "looks": (0, 1)}),
    "magnets a fifth weak": (MAGNETS, {}, {"emf": -0.2}),
    "magnets an eighth strong": (MAGNETS, {}, {"emf": 0.12}),
}
OF_A_BATTERY = {
    "battery of three quarters of the volts": (LOAD, {}, {"load_a": float(np.log(0.75)), "load_b": -0.4}),
    "battery of half the volts": (LOAD, {}, {"load_a": float(np.log(0.5)), "load_b": -0.6}),
    "battery of a third more volts": (LOAD, {}, {"load_a": float(np.log(4 / 3)), "load_b": 0.1}),
    "phase open": (PHASE, {"single_phase": True, "open_too": True}, {"balance": -0.5, "crest_a": 0.1, "crest_b": 0.1}),
    "joint that opens under load": (
        PHASE,
        {"single_phase": True, "open_too": False},
        {"balance": -0.5, "crest_a": 0.1, "crest_b": 0.1},
    ),
    "diode open": (PHASE, {}, {"emf": float(np.log(5 / 6)), "crest_a": 0.085, "crest_b": 0.085, "balance": -0.08}),
    "battery full": (FULL, {}, {"load_a": 0.05, "held_a": -0.7}),
    "battery full, volts before the controller": (FULL, {"at_input": True}, {"load_a": 0.05, "held_a": -0.7}),
    "a controller leaves the best volts": (FULL, {}, {"load_a": 0.3}),
}
OF_A_RESISTOR = {
    "a resistor of half the ohms": (LOAD, {}, {"load_a": float(np.log(0.5)), "load_b": -0.6}),
    "a resistor of twice the ohms": (LOAD, {}, {"load_a": float(np.log(2)), "load_b": 0.4}),
    "phase open": (
        PHASE,
        {"single_phase": True, "open_too": True, "plan": "resistor"},
        {"balance": -0.5, "crest_a": 0.08, "crest_b": 0.08, "meter": -0.08},
    ),
    "diode open": (
        PHASE,
        {"single_phase": False, "plan": "resistor"},
        {"emf": float(np.log(5 / 6)), "crest_a": 0.04, "crest_b": 0.04, "meter": -0.04},
    ),
}
PLAIN = [
    (plant, case) for plant in PLANTS for case in (*CASES, *(OF_A_RESISTOR if plant == "a resistor" else OF_A_BATTERY))
]
# Into a battery, which keeps its volts, these read alike: trouble, what was read, and the trouble that reads the same.
ALIKE = [
    ("a dry source", "three of the water", PIPE),
    ("screen half blocked", "three of the water", SOURCE),
    ("air in a tenth of the head", "three of the water", HEAD),
    ("magnets a fifth weak", "three of the machine", SPEED),
    ("speed meter high", "three of the machine", MAGNETS),
    ("jet a little off", "three of the machine", POND),
    ("water ponds", "three of the machine", JET),
]


@cache
def found(plant):
    """Number of the trouble, and the diagnosis, by case and by what was read."""
    cases = CASES | (OF_A_RESISTOR if plant == "a resistor" else OF_A_BATTERY)
    readings, uncertainties, keys = [], [], []
    for case, (fault, wanted, causes) in cases.items():
        y = read(component(fault, **wanted) if wanted else 0, PLANTS[plant], **causes)
        spread = np.where(np.isin(READINGS, LOOKS), 1.0, abs(y)) * USUAL_UNCERTAINTY
        for taken, names in TAKEN.items():
            readings.append(y)
            uncertainties.append(np.where(np.isin(READINGS, names.split()), spread, 0.0))
            keys.append((case, taken))
    probability = diagnose(np.array(readings), np.array(uncertainties), **(PLANT | PLANTS[plant])).probability
    return {(case, taken): (cases[case][0], row) for (case, taken), row in zip(keys, probability, strict=True)}


@pytest.mark.parametrize(("plant", "case"), PLAIN)
def test_a_plain_trouble_never_makes_sure_of_another(plant, case):
    for taken in TAKEN:
        fault, chances = found(plant)[case, taken]
        others = np.delete(chances, fault)
        assert others.max() < SURE, (taken, FAULTS[int(np.argsort(-chances)[0])], others.max())


@pytest.mark.parametrize(("plant", "case"), PLAIN)
def test_with_every_reading_taken_a_plain_trouble_is_among_the_first_two(plant, case):
    fault, chances = found(plant)[case, "all"]
    assert fault in np.argsort(-chances)[:2], [FAULTS[number] for number in np.argsort(-chances)[:3]]


@pytest.mark.parametrize("plant", ["24 V", "48 V, long pipe"])
@pytest.mark.parametrize(("case", "taken", "twin"), ALIKE)
def test_what_reads_alike_is_shared(plant, case, taken, twin):
    """Either has a chance of one in fifteen at least."""
    fault, chances = found(plant)[case, taken]
    assert min(chances[fault], chances[twin]) > 1 / 15, (chances[fault], chances[twin])


def flow_of(plant):
    return read(plant=PLANTS[plant])[READINGS.index("flow")]


@pytest.mark.parametrize("plant", ["24 V", "48 V, long pipe"])
@pytest.mark.parametrize("more", [1.02, 1.05])
@pytest.mark.parametrize("wider", [0.06, 0.1, 0.15, 0.2, 0.3])
def test_a_worn_nozzle_on_a_dry_day_takes_the_pressure_down_and_no_more_water(plant, more, wider):
    """The source gives a few per cent more than was planned. From a gauge and a bucket a gauge that is wrong while
    running looks much the same, while the nozzle is hardly worn; its opening decides.
    """
    survey = PLANTS[plant] | {"available_flow": more * flow_of(plant)}
    y = read(plant=PLANTS[plant], nozzle=wider, source=float(np.log(more)))
    of_water = ("static", "running", "flow")
    unsure = judged(y, survey, without=[name for name in READINGS if name not in of_water])
    assert np.delete(unsure.probability, NOZZLE).max() < 0.6
    if wider > 0.06:
        assert READINGS[int(unsure.following[0]) - 1] == "nozzle"
    measured = judged(y, survey, without=[name for name in READINGS if name not in (*of_water, "nozzle")])
    assert measured.order[0] == NOZZLE and measured.probability[NOZZLE] > max(0.8, unsure.probability[NOZZLE])


@pytest.mark.parametrize("plant", ["24 V", "48 V, long pipe"])
@pytest.mark.parametrize("surveyed", [0.95, 0.8])
@pytest.mark.parametrize("taken", TAKEN)
def test_a_wet_day_is_no_trouble_of_a_plant_that_takes_all_its_water(plant, surveyed, taken):
    """More flow and more pressure than on the dry day of the survey, as far as pipe and nozzle let it."""
    survey = PLANTS[plant] | {"available_flow": surveyed * flow_of(plant)}
    without = [name for name in READINGS if name not in TAKEN[taken].split()]
    wet, dry = read(plant=PLANTS[plant]), read(plant=survey, looks=(0, 1))
    for y in (wet, dry):
        day = judged(y, survey, without=without)
        assert day.order[0] == WELL and day.probability[TWO_OR_NONE] < 0.1
    blocked = judged(read(plant=PLANTS[plant], extra_loss=0.8), survey, without=without)
    assert blocked.probability[WELL] < SURE
