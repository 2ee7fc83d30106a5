"""Diagnosis: faults put into the model are found again, estimates are right, ignorance is admitted.

Readings here are made with the package's own model, so they test the inference, not the physics. An independent
simulator judges both in tests/diagnosis/.
"""

from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest
from scipy import special, stats

import hydrofunc
from hydrofunc.errors import InputError
from hydrofunc.physics.alternator import dc_emf_constant, rectified_volts
from hydrofunc.physics.diagnosis import (
    CAUSES,
    COMPONENTS,
    FAULTS,
    ITEMS,
    METERED,
    READINGS,
    USUAL_UNCERTAINTY,
    answers,
    diagnose,
    evidence,
    judgement,
    model,
    priors,
)
from hydrofunc.physics.groups import Plant, over
from hydrofunc.physics.nozzle import jet_velocity, nozzle_head, operating_flow, running_pressure
from hydrofunc.physics.operating_point import operating_point
from hydrofunc.physics.water import density

RPM = np.pi / 30
NOZZLE = FAULTS.index("nozzle worn, wrong size or blocked")
MAGNETS = FAULTS.index("magnets weak, or emf not as the sheet says")
TWO = len(FAULTS) - 1
TURNED = 800 * RPM  # by a drill, to read the open volts
LOOKED = slice(METERED, METERED + len(priors.LOOKS))
NOTHING_READ = np.zeros((2, len(READINGS)))
PLANT = {
    "gross_head": 63.0,
    "length": 180.0,
    "bore": 0.0408,
    "roughness": 7e-6,
    "nozzle": 0.008,
    "pitch_diameter": 0.12,
    "phase_volts": 15 / np.sqrt(3) / (1000 * RPM),
    "pole_pairs": 7.0,
    "phase_resistance": 0.25,
    "battery_volts": 26.5,
    "fittings": 2.0,
    "jets": 1.0,
    "velocity_coefficient": 0.97,
    "contraction": 1.0,
    "temperature": 283.15,
    "gravity": 9.80665,
    "available_flow": np.inf,
    "deflection": np.radians(165),
    "cup_friction": 0.9,
    "alignment": 0.85,
    "bearing_drag": 0.05,
    "windage": 1 / (1000 * RPM) ** 3,
    "phase_inductance": 0.4e-3,
    "connection": "star",
    "diode_drop": 0.8,
    "cable_resistance": 0.17,
    "iron_drag": 0.05,
    "load": "battery",
    "load_resistance": 0.0,
    "controller_efficiency": 0.95,
    "length_2": 0.0,
    "bore_2": 0.0,
    "roughness_2": 0.0,
    "length_3": 0.0,
    "bore_3": 0.0,
    "roughness_3": 0.0,
    "gauge_height": 0.0,
}
# Plants A, B and C differ in size; the diagnosis must not depend on it.
PLANTS = {
    "24 V": {},
    "48 V, long pipe": {
        "gross_head": 100.0,
        "length": 400.0,
        "bore": 0.0409,
        "roughness": 0.15e-3,
        "nozzle": 0.010,
        "battery_volts": 54.0,
        "phase_volts": 12.27 / (1000 * RPM),
        "phase_resistance": 0.12,
        "alignment": 1.0,
        "bearing_drag": 0.15,
        "cable_resistance": 0.1,
    },
    "a resistor": {"load": "resistor", "load_resistance": 2.2, "battery_volts": 0.0},
}


def plan(turned=TURNED, **changes):
    lanes = over(np.atleast_1d, Plant.from_names(PLANT | changes))
    return model.planned(lanes, np.atleast_1d((PLANT | changes)["gauge_height"]), np.atleast_1d(turned))


def component(fault, **wanted):
    """Number of the component of a fault with these means, single phase, meters."""
    for number, one in enumerate(COMPONENTS):
        if one.fault == fault and all(
            getattr(one, key) == value if hasattr(one, key) else one.mean.get(key) == value
            for key, value in wanted.items()
        ):
            return number
    raise AssertionError("no such component")


def read(kind=0, plant=None, looks=(1, 1), turned=TURNED, **causes):
    """Noise-free readings of a plant with these causes, at a load B of 0.85 of the volts planned.

    `looks`: whether water runs over at the intake, and whether its screen is clean; -1 for not looked. `turned`: the
    speed at which the open volts are read.
    """
    x = np.zeros((len(CAUSES), 1))
    x[CAUSES.index("source")] = priors.PLENTY
    x[CAUSES.index("load_b")] = -0.16
    for cause, value in causes.items():
        x[CAUSES.index(cause)] = value
    meters = model.readings_of(x, plan(turned, **(plant or {})), np.array([kind]))[0][0]
    return np.concatenate([meters, looks, [turned]])


def judged(readings, plant=None, uncertainty=1.0, without=()):
    """The diagnosis by usual meters, times `uncertainty`."""
    spread = uncertainty * USUAL_UNCERTAINTY * abs(readings)
    spread[..., LOOKED] = np.where(readings[..., LOOKED] < 0, 0.0, USUAL_UNCERTAINTY[LOOKED])
    spread[..., [READINGS.index(name) for name in without]] = 0.0
    return diagnose(readings, spread, **(PLANT | (plant or {})))


@pytest.mark.parametrize("drops", [0.0, 0.5, 1.0], ids=["before the bridge", "between", "behind it"])
@pytest.mark.parametrize("rpm", [120, 250, 500, 1000])
def test_open_volts_at_a_slow_drill_are_no_fault(rpm, drops):
    """What two diodes keep back is a larger share of fewer volts: at 120 rpm a fifth and more. Each half its drop."""
    y = read(turned=rpm * RPM)
    place = READINGS.index("open_constant")
    emf = dc_emf_constant(PLANT["phase_volts"], "star")
    y[place] = emf - drops * PLANT["diode_drop"] / (rpm * RPM)
    found = judged(y)
    assert found.order[0] == 0 and abs(found.misfit[place]) < 1
    if drops == 0:
        return
    # As weak magnets would: the same volts per rpm, read fast.
    fast = y.copy()
    fast[-1] = 2500 * RPM
    assert judged(fast).misfit[place] < found.misfit[place]


def test_open_volts_of_a_slow_drill_are_expected_less_closely():
    """The diodes' drop is known to a part of a volt, which is more of fewer volts."""
    place = READINGS.index("open_constant")
    slow, fast = (judged(read(turned=rpm * RPM)).spread[place] for rpm in (120, 1000))
    assert slow > 3 * fast > 0


def test_open_volts_over_a_speed_that_is_a_guess_say_little():
    """Magnets a fifth too weak: plain where the speed was measured, not where it may be off by a third."""
    y = read(emf=-0.2)
    without = [name for name in READINGS[:METERED] if name != "open_constant"]
    spread = USUAL_UNCERTAINTY * y
    spread[[READINGS.index(name) for name in without]] = 0.0
    chances = []
    for share in (0.01, 0.33):
        spread[-1] = share * TURNED
        chances.append(diagnose(y, spread, **PLANT).probability[MAGNETS])
    assert chances[0] > 2 * chances[1]


def test_a_speed_of_the_open_volts_by_itself_says_nothing():
    """Nor is it ever what to read next."""
    y, spread = np.zeros(len(READINGS)), np.zeros(len(READINGS))
    y[-1], spread[-1] = TURNED, 0.01 * TURNED
    alone, nothing = diagnose(y, spread, **PLANT), diagnose(*NOTHING_READ, **PLANT)
    np.testing.assert_allclose(alone.probability, nothing.probability, rtol=1e-9)
    assert alone.misfit[-1] == 0 and len(READINGS) not in alone.following


def test_a_bridge_that_blocks_shows_the_battery():
    """A load B of five times the volts takes no current from the wheel; a meter at the rectifier reads its volts."""
    y = dict(zip(READINGS, read(load_b=float(np.log(5)))))
    assert y["amps_b"] == 0
    assert y["rectifier_b"] == pytest.approx(5 * PLANT["battery_volts"], rel=1e-12) == y["volts_b"]


def test_a_survey_of_the_dry_season_does_not_hold_a_wider_nozzle_back():
    """More water than the survey said, where the plan needs less than that: the nozzle, and no two faults."""
    flow = read()[READINGS.index("flow")]
    survey = {"available_flow": 1.1 * flow}
    y = read(plant=survey, nozzle=0.18)
    assert y[READINGS.index("flow")] > 1.3 * flow
    found = judged(y, survey)
    assert found.order[0] == NOZZLE and found.probability[NOZZLE] > 0.9


CLEARED = component(4, cleared=True)
SCALE = component(12, meter={"static": 1.0})
SMALLEST_JET_OFF = max(
    (n for n, one in enumerate(COMPONENTS) if one.fault == 5), key=lambda n: COMPONENTS[n].mean["alignment"]
)
CASES = {
    "all well": (0, 0, {}),
    "rough pipe": (1, 0, {"extra_loss": 0.3}),
    "air lock": (2, 0, {"air": 0.12, "extra_loss": 0.25}),
    "less head": (3, 0, {"head": -0.15}),
    "nozzle worn": (4, 0, {"nozzle": 0.15}),
    "nozzle half blocked": (4, 0, {"nozzle": -0.2}),
    "nozzle half blocked, cleared before it was measured": (4, CLEARED, {"nozzle": -0.2}),
    "jet misaligned": (5, 0, {"alignment": -0.3}),
    "battery nearly empty or of another kind": (6, 0, {"load_a": -0.5}),
    "another, higher load": (6, 0, {"load_a": 0.35, "load_b": 0.2}),
    "water ponds": (7, 0, {"ponding": 0.35}),
    "phase open": (8, component(8, single_phase=True, open_too=True), {"balance": -0.6}),
    "joint that opens under load": (8, component(8, single_phase=True, open_too=False), {"balance": -0.6}),
    "star and delta mistaken": (9, component(9, swapped=True), {}),
    "bad joint": (10, 0, {"joint": 0.2}),
    "a joint so bad that it is hot": (10, 0, {"joint": 0.45}),
    "battery full": (11, 0, {"load_a": 0.1, "held_a": -0.8}),
    "volts and amps read behind a converter that limits": (
        11,
        component(11, meter={"volts_a": 1.0, "amps_a": -1.0}),
        {"load_a": 0.4, "meter": -0.35},
    ),
    "the source gives less": (16, component(16), {"source": -0.3, "looks": (0, 1)}),
    "weak magnets": (17, component(17), {"emf": -0.25}),
    "a seal drags": (7, 0, {"seal": 0.35}),
    "one diode open": (8, 0, {"emf": float(np.log(5 / 6)), "crest_a": 0.08, "crest_b": 0.08, "balance": -0.08}),
    "turns shorted": (8, 0, {"shorted": 0.15, "ring": -0.3}),
    "a winding for other volts": (6, 0, {"turns": 0.45}),
    "a whirl draws air in": (16, component(16, void=0.2), {"void": 0.3, "looks": (0, 1)}),
    "wrong number of poles": (14, component(14, meter={"speed_a": 1.0, "speed_b": 1.0}), {"meter": float(np.log(2))}),
    "the gauge shows too much by itself": (12, 0, {"zero": 0.15}),
    **{
        f"{', '.join(meter)} read {words}": (fault, component(fault, meter=meter), {"meter": factor})
        for fault, meter in {
            str(one.meter): (one.fault, one.meter) for one in COMPONENTS if one.meter and one.fault not in (8, 11)
        }.values()
        for words, factor in (("low", -0.2), ("high", 0.2))
    },
}


@cache
def found_again(name):
    """{case: (number of the likeliest fault, sum of all probabilities)} on a plant, all read and judged together."""
    y = np.array([read(kind, PLANTS[name], **causes) for _, kind, causes in CASES.values()])
    found = judged(y, PLANTS[name])
    return dict(zip(CASES, zip(found.order[:, 0].astype(int), found.probability.sum(axis=1)), strict=True))


@pytest.mark.parametrize("name", PLANTS)
@pytest.mark.parametrize("case", CASES)
def test_each_fault_is_found_again(case, name):
    """From readings without noise, on plants of different size and load."""
    found, whole = found_again(name)[case]
    assert found == CASES[case][0], FAULTS[found]
    assert whole == pytest.approx(1.0, rel=1e-12)


# What one meter shows, however many of its readings it spoils; the readings are changed here, not in the model.
WRONG_METERS = [
    *((12, words) for words in ("static running", "static", "running")),
    *((14, words) for words in ("speed_a speed_b", "speed_a", "speed_b")),
    *((15, words) for words in ("volts_a volts_b", "volts_a", "volts_b", "rectifier_a rectifier_b")),
    *((15, words) for words in ("amps_a amps_b", "amps_a", "amps_b")),
    (15, "volts_a volts_b rectifier_a rectifier_b open_constant"),
]


@pytest.mark.parametrize("factor", [0.8, 1.2])
@pytest.mark.parametrize(("fault", "words"), WRONG_METERS)
def test_a_meter_that_shows_a_fifth_too_much_or_too_little_is_named(fault, words, factor):
    """Whichever of the readings it was that it spoiled; and how far they are off is seen."""
    y = read()
    spoiled = [READINGS.index(word) for word in words.split()]
    y[spoiled] *= factor
    found = judged(y)
    assert found.order[0] == fault and found.probability[fault] > 0.5
    if len(spoiled) == 1:
        assert np.sign(found.misfit[spoiled]) == np.sign(factor - 1) and abs(found.misfit[spoiled]) > 3


@pytest.mark.parametrize("counted", [5, 6, 8, 9, 14, 3.5, 7 * 2 / 3, 10.5])
def test_a_speed_by_a_wrong_number_of_poles_is_a_matter_of_the_tachometer(counted):
    """Speed is the frequency over the pairs of poles: 7 here. Volts per rpm are wrong the other way."""
    y = read()
    y[[READINGS.index(name) for name in ("speed_a", "speed_b")]] *= PLANT["pole_pairs"] / counted
    y[READINGS.index("open_constant")] *= counted / PLANT["pole_pairs"]
    found = judged(y)
    assert found.order[0] == 14 and found.probability[14] > 0.55


def test_an_open_winding_of_a_delta_is_told_by_its_resistance():
    """Two windings are left: as many volts without load, through twice the resistance."""
    plant = {"connection": "delta", "phase_volts": PLANT["phase_volts"] * np.sqrt(3), "phase_resistance": 3 * 0.25}
    found = judged(read(plant=plant, resistance=float(np.log(2)), inductance=float(np.log(2))), plant, 0.5)
    assert found.order[0] == FAULTS.index("diode or phase open, or turns shorted")


def test_a_diode_open_before_a_resistor_is_thought_of_beside_weak_magnets():
    """Through a resistor meters show the mean, and the shaft feels the mean square: a tenth more power than volts times
    amperes. So little tells it from magnets that are weaker by a sixth.
    """
    kind = component(8, plan="resistor", single_phase=False)
    readings = read(kind, PLANTS["a resistor"], emf=float(np.log(5 / 6)), crest_a=0.04, crest_b=0.04, meter=-0.04)
    found = judged(readings, PLANTS["a resistor"], 0.5)
    diode = FAULTS.index("diode or phase open, or turns shorted")
    assert diode in found.order[:2] and found.probability[diode] > 0.3


def test_volts_read_before_a_controller_that_limits_are_those_of_the_rectifier_less_the_cable():
    """They rise with the wheel, whatever the battery behind has."""
    kind = component(11, at_input=True)
    readings = dict(zip(READINGS, read(kind, load_a=0.05, held_a=-0.5), strict=True))
    drop = readings["amps_a"] * PLANT["cable_resistance"]
    assert readings["volts_a"] == pytest.approx(readings["rectifier_a"] - drop, rel=1e-12)
    assert readings["volts_a"] > 1.2 * PLANT["battery_volts"]


def test_an_error_of_the_gauge_s_scale_is_in_both_its_readings():
    """Both 2 % high is one doubt, one high and one low are two: then something is likelier wrong."""
    static, running = (READINGS.index(name) for name in ("static", "running"))
    healthy = []
    for sign in (1, -1):
        readings = read()
        readings[static] *= 1.02
        readings[running] *= 1 + 0.02 * sign
        healthy.append(judged(readings).probability[0])
    assert healthy[0] > 1.1 * healthy[1]


def test_the_model_is_the_package_s_own_physics():
    """A plant with no cause changed reads what the public chain gives, at both loads."""
    p, load_b = PLANT, PLANT["battery_volts"] * np.exp(-0.16)
    plant = Plant.from_names(p)
    flow = operating_flow(*plant[:5])
    net = nozzle_head(flow, plant.outlet, p["gravity"])
    jet = jet_velocity(net, p["velocity_coefficient"], p["gravity"])
    wanted = [
        density(p["temperature"]) * p["gravity"] * p["gross_head"],
        running_pressure(net, flow, p["bore"], p["temperature"], p["gravity"]),
        flow,
    ]
    for volts in (p["battery_volts"], load_b):
        load = plant.load._replace(battery_volts=volts)
        point = operating_point(flow, jet, plant.wheel, plant.alternator, load, p["temperature"])
        at_bridge = rectified_volts(
            point.speed,
            point.current,
            *(
                p[n]
                for n in (
                    "phase_volts",
                    "pole_pairs",
                    "phase_resistance",
                    "phase_inductance",
                    "connection",
                    "diode_drop",
                )
            ),
        )
        wanted += [point.speed, at_bridge, point.volts, point.current]
    # Two diodes keep back half of what they do at full current.
    kept_back = (0 + 2 * p["diode_drop"] / 2) / 2 / TURNED  # read before the bridge, or behind it
    wanted += [dc_emf_constant(p["phase_volts"], "star") - kept_back]
    wanted += [priors.HEALTHY_BALANCE, p["nozzle"]]
    np.testing.assert_allclose(read()[:METERED], wanted, rtol=1e-12)


MORE = 1.2
BUILT = {  # a cause, and the plan in which the same stands
    "head": ({"head": np.log(MORE)}, ("gross_head",)),
    "roughness": ({"roughness": np.log(MORE)}, ("roughness",)),
    "bore": ({"bore": np.log(MORE)}, ("bore",)),
    "nozzle": ({"nozzle": np.log(MORE)}, ("nozzle",)),
    "jet": ({"velocity_coefficient": -0.02}, {"velocity_coefficient": 0.95}),
    "cups": ({"alignment": -0.1}, {"alignment": 0.75}),
    "bearing": ({"bearing_drag": np.log(MORE)}, ("bearing_drag",)),
    "iron": ({"iron_drag": np.log(MORE)}, ("iron_drag",)),
    "windage": ({"windage": np.log(MORE)}, ("windage",)),
    "magnets": ({"emf": np.log(MORE)}, ("phase_volts",)),
    "resistance": ({"resistance": np.log(MORE)}, ("phase_resistance",)),
    "inductance": ({"inductance": np.log(MORE)}, ("phase_inductance",)),
    "cable": ({"cable": np.log(MORE)}, ("cable_resistance",)),
    "battery": ({"load_a": np.log(MORE), "load_b": np.log(MORE) - 0.16}, ("battery_volts",)),
    "turns": (  # of each winding: volts grow with them, resistance and inductance with their square
        {"turns": np.log(MORE)},
        {
            "phase_volts": MORE * PLANT["phase_volts"],
            "phase_resistance": MORE**2 * PLANT["phase_resistance"],
            "phase_inductance": MORE**2 * PLANT["phase_inductance"],
        },
    ),
}


@pytest.mark.parametrize("cause", BUILT)
def test_a_plant_built_otherwise_reads_as_one_that_is_planned_so(cause):
    """A winding with a fifth more turns, a head a fifth higher: by the cause, and by another plan."""
    causes, plant = BUILT[cause]
    if isinstance(plant, tuple):
        plant = {name: MORE * PLANT[name] for name in plant}
    # Load B goes by the volts planned.
    by_plan = read(plant=plant, load_b=-0.16)
    by_cause = read(**{name: float(value) for name, value in causes.items()})
    np.testing.assert_allclose(by_cause, by_plan, rtol=1e-9)
    assert (abs(by_plan / read() - 1) > 1e-6).any()


def test_what_brakes_or_holds_back_is_counted_by_the_plan_s_own_size():
    """A seal by the planned torque, water that ponds by it at the planned speed, a joint by the planned volts over the
    planned current, a loss by the gross head: as drag, windage, cable and fittings that are greater by so much.
    """
    p, own = PLANT, plan()
    seal = {"bearing_drag": p["bearing_drag"] + 0.2 * own.torque[0]}
    ponds = {"windage": p["windage"] + 0.2 * own.torque[0] / own.speed[0] ** 2}
    joint = {"cable_resistance": p["cable_resistance"] + 0.1 * own.volts[0] / own.current[0]}
    lost = {"fittings": p["fittings"] + 0.2 * p["gross_head"] * 2 * p["gravity"] / own.velocity[0] ** 2}
    source = {"available_flow": 0.8 * own.flow[0]}
    for causes, plant in (
        ({"seal": 0.2}, seal),
        ({"ponding": 0.2}, ponds),
        ({"joint": 0.1}, joint),
        ({"extra_loss": 0.2}, lost),
        ({"source": float(np.log(0.8))}, source),
    ):
        np.testing.assert_allclose(read(**causes), read(plant=plant), rtol=1e-9)


def test_a_gauge_above_the_nozzle_shows_so_much_less():
    """At rest and while the plant runs; the nozzle does not know where the gauge is."""
    lower, higher = read(), read(plant={"gauge_height": 3.0})
    column = density(PLANT["temperature"]) * PLANT["gravity"] * 3.0
    np.testing.assert_allclose((lower - higher)[:2], column, rtol=1e-9)
    np.testing.assert_array_equal(lower[2:], higher[2:])


@pytest.mark.parametrize("open_too", [True, False])
def test_a_phase_that_is_open_leaves_a_machine_of_two_thirds_of_the_volts(open_too):
    """Two windings in series behind what is left of the bridge: 2/3 of the mean volts of three, 4/3 of the drop of
    commutation. A joint that opens under load alone shows all of its volts without.
    """
    kind = component(8, single_phase=True, open_too=open_too)
    left = {"phase_volts": PLANT["phase_volts"] * 2 / 3, "phase_inductance": PLANT["phase_inductance"] * 4 / 3}
    crests = {"crest_a": 0.05, "crest_b": 0.05}
    found, wanted = read(kind, **crests), read(plant=left, **crests)
    place = READINGS.index("open_constant")
    np.testing.assert_allclose(np.delete(found, place), np.delete(wanted, place), rtol=1e-9)
    assert found[place] == pytest.approx((wanted if open_too else read())[place], rel=1e-9)


def test_star_for_delta_is_told_as_the_winding_that_does_the_same_as_planned():
    """Planned in star, joined in delta: as a star of 1/sqrt(3) of the volts and a third of the resistance.

    Published: the star of a delta of equal windings, in any text on three-phase circuits (from memory, not looked up).
    """
    found = judged(read(component(9, swapped=True)))
    assert FAULTS[int(found.order[0])] == "star and delta mistaken"
    for item, share in (("phase_volts", 1 / np.sqrt(3)), ("phase_resistance", 1 / 3)):
        assert found.estimate[ITEMS.index(item)] == pytest.approx(share * PLANT[item], rel=0.02)


def test_a_winding_of_a_delta_that_is_open_doubles_the_mean_resistance_between_the_lines():
    """Whole: one winding beside two, 2/3 R. Open: its own pair sees two in a row, 2 R, and the others one, R.

    Published: resistances in series and beside each other, in any text on circuits (from memory, not looked up).
    """
    (kind,) = (i for i, one in enumerate(COMPONENTS) if one.fault == 8 and one.plan == "delta")
    share = np.mean([2.0, 1.0, 1.0]) / (2 / 3)
    for item in ("resistance", "inductance"):
        assert priors.MEANS[CAUSES.index(item), kind] == pytest.approx(np.log(share), rel=1e-12)


def test_what_no_cause_explains_counts_alike_in_every_unit():
    """A pressure in pascals and a voltage that are off by the same share are as likely, and each as scipy's normal
    density says, against that of a reading that is right.
    """
    read_as, healthy, share = np.array([[40e3, 26.0, 7.0]]), np.array([[52e3, 26.5, 0.0]]), 0.02
    weight = np.array([[1 / (share * 40e3), 1 / (share * 26.0), 0.0]])
    case = SimpleNamespace(y=read_as, weight=weight, answers=lambda likely: np.zeros((1, 1)))
    wide = np.hypot(share * read_as, judgement.NONE_SPREAD * np.maximum(read_as, healthy))
    each = stats.norm.logpdf(read_as, healthy, wide) - stats.norm.logpdf(0, 0, share * read_as)
    assert judgement._none_of_these(case, healthy) == pytest.approx(each[0, :2].sum(), rel=1e-12)


@pytest.mark.parametrize("without", [(), ("static", "speed_b", "open_constant", "nozzle")])
def test_one_part_far_off_and_one_more_fault_are_wider_priors_of_that_part(without):
    """The evidence of each by its definition: the density of the readings with one cause, one reading or one meter so
    much wider, the mean over all of these, at each of the scales of `TWO_AT`.

    scipy.stats.multivariate_normal (SciPy) has the density.
    """
    y = read(joint=0.03, looks=(1, 1))[:METERED]
    weight = 1 / (USUAL_UNCERTAINTY[:METERED] * y)
    weight[[READINGS.index(name) for name in without]] = 0.0
    taken = weight > 0
    kind, prior = np.array([0]), evidence.Gaussian(priors.MEANS[:, [0]], priors.DEVIATIONS[:, [0]])
    fit = evidence.fit(y[None], weight[None], plan(), kind, prior, prior.mean.copy(), 6)
    slopes, deviation = fit.weighed_slopes[0][taken], prior.deviation[:, 0]
    residual = np.linalg.solve(fit.inverse[0], fit.weighed[0])[taken]
    ordinary, one = priors.ORDINARY[:, 0], priors.ONE_INSTRUMENT[np.ix_(taken, taken)]
    together = priors.TOGETHER[taken]
    several = abs(together).sum(axis=0) >= np.minimum(abs(priors.TOGETHER).sum(axis=0), 2)
    off = (np.maximum(abs(y), abs(fit.readings[0])) * weight)[taken]
    odd, second = [], []
    for number, share in priors.TWO_AT:
        meters, builds, shared, _ = priors.SCALES[number]
        wide = deviation * np.where(ordinary, builds, 1.0)
        usual = slopes @ np.diag(wide**2) @ slopes.T + meters**2 * (np.eye(len(residual)) + shared * one)

        def mean_density(parts, usual=usual):
            logs = [stats.multivariate_normal(cov=usual + np.outer(part, part)).logpdf(residual) for part in parts]
            return special.logsumexp(logs) - np.log(len(logs)) + len(residual) / 2 * np.log(2 * np.pi)

        odd_causes = [priors.ODD * d * slopes[:, n] for n, d in enumerate(deviation) if d > 0 and ordinary[n]]
        odd_meters = list((priors.ODD * together[:, several]).T)
        odd.append(np.log(share) + mean_density(odd_causes + odd_meters))
        more = [
            size * slopes[:, CAUSES.index(name)]
            for name, size in priors.SECOND.items()
            if deviation[CAUSES.index(name)] < size / 3
        ]
        wrong = list((priors.SECOND_METER * off[:, None] * together[:, several]).T)
        second.append(np.log(share) + mean_density(more + wrong))
    assert fit.odd[0] == pytest.approx(special.logsumexp(odd), abs=1e-6)
    assert fit.two[0] == pytest.approx(special.logsumexp(second), abs=1e-4)


def test_shorted_turns_are_lost_to_the_volts_and_brake_as_a_ring():
    """A tenth of one phase's turns: a thirtieth of the mean volts. The ring of them has the emf, resistance and leakage
    of its turns, so that its torque at speed w is share w kE^2 R / (R^2 + (p w L share)^2): half of it counts as
    constant, half as growing with the square of the speed. In star two line volts lack half of what the phase lacks.

    Induction brake: any text on machines (from memory, not looked up); the halves are our choice.
    """
    p, share, speed = PLANT, 0.1, plan().speed[0]
    reactance = p["pole_pairs"] * speed * p["phase_inductance"] * share
    torque = share * speed * p["phase_volts"] ** 2 * p["phase_resistance"] / (p["phase_resistance"] ** 2 + reactance**2)
    braked = {
        "phase_volts": p["phase_volts"] * (1 - share / 3),
        "bearing_drag": p["bearing_drag"] + torque / 2,
        "windage": p["windage"] + torque / 2 / speed**2,
    }
    np.testing.assert_allclose(read(shorted=share), read(plant=braked, balance=-share / 2), rtol=1e-9)


@pytest.mark.parametrize("at_intake", [False, True])
def test_water_that_leaves_on_the_way_is_a_trouble_of_the_pipe(at_intake):
    """Wherever the flow is read; at the intake it shows what leaves too."""
    kind = component(1, at_intake=at_intake)
    found = judged(read(kind, leak=0.4))
    assert found.order[0] == 1
    assert found.probability[1] > 3 * found.probability[2], "no air lock"


def test_a_resistor_that_takes_no_current_at_load_b_is_judged_all_the_same():
    """0 A, read: its wire is off, and volts over amperes are no ohms."""
    y = read(plant=PLANTS["a resistor"])
    y[READINGS.index("amps_b")] = 0.0
    spread = USUAL_UNCERTAINTY * np.where(y == 0, 1.0, abs(y))
    found = diagnose(y, spread, **(PLANT | PLANTS["a resistor"]))
    assert np.isfinite(found.probability).all() and np.isfinite(found.estimate).all()
    assert found.order[0] != 0


def test_the_volts_of_a_controller_that_seeks_the_most_power_are_known_less_well_than_a_battery_s():
    """They go with the emf, as it turns out: nobody read them, a twentieth more doubt. Common practice, no published
    source.
    """
    volts = READINGS.index("volts_a")
    of = {load: diagnose(*NOTHING_READ, **(PLANT | {"load": load})) for load in ("battery", "controller")}
    doubt = {load: found.spread[volts] / found.expected[volts] for load, found in of.items()}
    assert doubt["battery"] == pytest.approx(0.03, rel=1e-6)
    assert doubt["controller"] == pytest.approx(np.hypot(0.03, 0.05), rel=1e-6)


@pytest.mark.parametrize(
    "kind", [0, component(8, single_phase=True, open_too=False), component(9, swapped=True), SCALE, CLEARED]
)
@pytest.mark.parametrize("source", [priors.PLENTY, -0.3])
def test_derivatives_are_those_of_the_model(kind, source):
    """The complex step against differences, at a place where every cause is at work."""
    x = np.array(
        [[{"held_a": -0.3, "held_b": -0.2, "head": -0.05, "source": source}.get(cause, 0.04)] for cause in CAUSES]
    )
    _, slopes = model.readings_of(x, plan(), np.array([kind]))
    _values, value_slopes = model.items_of(x, plan(), np.array([kind]))
    for place in range(len(CAUSES)):
        step = np.zeros_like(x)
        step[place] = 1e-5
        up, down = (model.readings_of(x + sign * step, plan(), np.array([kind]))[0][0] for sign in (1, -1))
        np.testing.assert_allclose(slopes[0, :, place], (up - down) / 2e-5, rtol=2e-6, atol=1e-9 * abs(up).max())
        up, down = (model.items_of(x + sign * step, plan(), np.array([kind]))[0][0] for sign in (1, -1))
        np.testing.assert_allclose(value_slopes[0, :, place], (up - down) / 2e-5, rtol=2e-6, atol=1e-7 * abs(up).max())


def test_the_evidence_is_that_of_the_readings_drawn_at_random():
    """Fault against all well: the closed form beside the mean likelihood over 40,000 plants drawn from the same
    prior.
    """
    rng = np.random.default_rng(11)
    y, kinds = read(alignment=-0.06), (0, SMALLEST_JET_OFF)
    used = [READINGS.index(name) for name in ("speed_a", "volts_a", "amps_a", "flow")]
    u = USUAL_UNCERTAINTY * abs(y)
    weight = np.zeros(len(READINGS))
    weight[used] = 1 / u[used]
    drawn, closed = [], []
    for kind in kinds:
        mean, deviation = priors.MEANS[:, [kind]], priors.DEVIATIONS[:, [kind]]
        prior = evidence.Gaussian(mean, deviation)
        fit = evidence.fit(y[None, :METERED], weight[None, :METERED], plan(), np.array([kind]), prior, mean.copy(), 3)
        closed.append(fit.by_scale[0, 0] - np.log(priors.SCALES[0][-1]))
        x = mean + deviation * rng.standard_normal((len(CAUSES), 40_000))
        many = plan().pick(np.zeros(x.shape[1], dtype=int))
        misses = (model.readings_of(x, many, np.full(x.shape[1], kind))[0] - y[:METERED])[:, used] / u[used]
        drawn.append(np.log(np.mean(np.exp(-np.sum(misses**2, axis=1) / 2))))
    np.testing.assert_allclose(closed, drawn, atol=0.12)


# Computed with plain Python (Colebrook), site A: 100 m, 400 m of 40.9 mm pipe, nozzle 10 mm, fittings K 2.6, water at 8
# °C.
@pytest.mark.parametrize(
    ("flow", "gauge", "roughness"),
    [
        (2.393304, 491.717, 0.1500),
        (2.200, 415.494, 0.46955),
        (2.000, 343.383, 1.12343),
    ],
)
def test_the_roughness_behind_a_flow(flow, gauge, roughness):
    """With exact instruments the estimate is the root of Colebrook's formula."""
    found = at_site_a(flow, gauge)
    assert found.estimate[ITEMS.index("roughness")] * 1e3 == pytest.approx(roughness, rel=2e-3)


# Computed with scipy 1.17.1 brentq and fluids (Colebrook), the same site.
@pytest.mark.parametrize(("flow", "gauge", "nozzle"), [(2.26516, 541.121, 9.5), (2.50977, 444.545, 10.5)])
def test_the_nozzle_behind_flow_and_gauge(flow, gauge, nozzle):
    """Blocked: less flow and more pressure. Worn: more flow and less pressure."""
    found = at_site_a(flow, gauge)
    assert found.order[0] == NOZZLE
    assert found.estimate[ITEMS.index("nozzle")] * 1e3 == pytest.approx(nozzle, rel=1e-3)


def at_site_a(flow, gauge, exactness=1e-4):
    site = PLANT | PLANTS["48 V, long pipe"] | {"fittings": 2.6, "temperature": 281.15, "gravity": 9.80447}
    y = np.zeros(len(READINGS))
    y[LOOKED] = 1.0  # water runs over at a clean screen
    y[:3] = density(281.15) * 9.80447 * 100.0, gauge * 1e3, flow * 1e-3
    return diagnose(y, np.append(exactness * y[:METERED], [0.05, 0.05, 0.0]), **site)


def test_air_in_a_shut_pipe_takes_its_height_from_the_gauge():
    """Trapped air weighs nothing: 6.3 m of it in a plant of 63 m leave a column of 56.7 m of water on the gauge."""
    static = read(air=0.1)[READINGS.index("static")]
    assert static == pytest.approx(density(283.15) * 9.80665 * 56.7, rel=1e-12)
    assert judged(read(air=0.1, extra_loss=0.2)).order[0] == FAULTS.index("air lock in the pipe")


@pytest.mark.parametrize("cause", ["bore", "roughness"])
def test_a_pipe_cut_in_three_scatters_like_the_whole(cause):
    """All sections are of one make: wider or rougher than planned, they read as one pipe that is."""
    parts = {"length": 60.0}
    for end in ("_2", "_3"):
        parts |= {"length" + end: 60.0, "bore" + end: PLANT["bore"], "roughness" + end: PLANT["roughness"]}
    np.testing.assert_allclose(read(plant=parts, **{cause: 0.05}), read(**{cause: 0.05}), rtol=1e-11)


def test_estimates_grow_with_what_they_stand_for():
    """More loss is told as more roughness; more torque missing as less alignment."""
    losses = [judged(read(extra_loss=size)).estimate[ITEMS.index("roughness")] for size in (0.05, 0.08, 0.12)]
    torque = [judged(read(alignment=-size)).estimate[ITEMS.index("alignment")] for size in (0.15, 0.25, 0.35)]
    assert losses == sorted(losses) and torque == sorted(torque, reverse=True)
    np.testing.assert_allclose(torque, [0.70, 0.60, 0.50], atol=0.02)


def test_the_probability_grows_with_the_size_of_the_fault():
    """And with the quality of the instruments."""
    for fault, cause, sizes in (
        (1, "extra_loss", (0.05, 0.1, 0.2)),
        (3, "head", (-0.03, -0.06, -0.12)),
        (10, "joint", (0.02, 0.05, 0.1)),
    ):
        found = [judged(read(**{cause: size})) for size in sizes]
        healthy = [one.probability[0] for one in found]
        assert healthy == sorted(healthy, reverse=True) and found[-1].order[0] == fault
    better = [judged(read(extra_loss=0.1), uncertainty=u).probability[1] for u in (3.0, 1.0, 0.3)]
    assert better == sorted(better)


# Without the speed of the open volts another number of volts is expected, so that is no reading less.
@pytest.mark.parametrize("missing", [name for name in READINGS if name != "open_speed"])
def test_a_missing_reading_widens_what_is_known(missing):
    """Of a healthy plant no estimate gets surer by leaving a reading out."""
    full, less = judged(read()), judged(read(), without=(missing,))
    assert (less.uncertainty >= full.uncertainty * (1 - 1e-5)).all()
    assert less.misfit[READINGS.index(missing)] == 0


def test_without_readings_the_prior_is_what_is_known():
    """The plan is the estimate, and nothing disagrees."""
    found = diagnose(*NOTHING_READ, **PLANT)
    assert found.order[0] == 0 and found.probability[0] == pytest.approx(0.2)
    np.testing.assert_allclose(found.probability[1:TWO], priors.FAULT_PRIOR[1:TWO], rtol=1e-9)
    np.testing.assert_allclose(found.estimate, [PLANT[name] for name in ITEMS], rtol=1e-9)
    assert (found.misfit == 0).all()


def test_the_estimate_of_a_healthy_plant_is_the_plan():
    """And surer than before."""
    found = judged(read(load_b=priors.HEALTHY_LOAD_B))
    np.testing.assert_allclose(found.estimate, [PLANT[name] for name in ITEMS], rtol=1e-6)
    assert (found.uncertainty <= diagnose(*NOTHING_READ, **PLANT).uncertainty * (1 + 1e-9)).all()


@pytest.mark.parametrize("name", [name for name in READINGS[:METERED] if name not in ("flow", "phase_balance")])
def test_the_reading_that_disagrees_most_is_the_wrong_one(name):
    """One reading 15 % high, all else well."""
    y = read()
    y[READINGS.index(name)] *= 1.15
    assert np.argmax(abs(judged(y).misfit)) == READINGS.index(name)


def test_what_to_read_next_tells_the_two_apart():
    """Pressure in the shut pipe, between less head and a blocked pipe; a second load, between a jet off and ponding
    water.
    """
    without_static = judged(read(head=-0.12), without=("static",))
    assert READINGS[int(without_static.following[0]) - 1] == "static"
    load_b = ("speed_b", "rectifier_b", "volts_b", "amps_b")
    one_load = judged(read(ponding=0.3), without=load_b)
    assert set(one_load.order[:2]) == {5, 7} and READINGS[int(one_load.following[0]) - 1] in load_b


def test_a_meter_of_the_machine_may_tell_water_from_all_well_but_not_two_troubles_of_the_water():
    """Less head or all well, no ammeter read: the amperes tell. Less head or a blocked pipe: the gauge at rest."""
    amps = ("amps_a", "amps_b")
    found = judged(read(head=-0.06), without=amps)
    assert found.order[:2].tolist() == [3, 0] and READINGS[int(found.following[0]) - 1] == "amps_a"
    found = judged(read(extra_loss=0.1), without=("static", *amps))
    assert set(found.order[:2]) == {1, 3} and READINGS[int(found.following[0]) - 1] == "static"
    assert not {READINGS.index(name) + 1 for name in amps} & set(found.following)


def test_a_plan_that_takes_all_the_water_need_not_run_over():
    """That the intake does not is no sign of a fault there, nor that it does: a look of half a chance."""
    overflow = READINGS.index("overflow")
    all_of_it = {"available_flow": float(read()[READINGS.index("flow")])}
    dry = judged(read(looks=(0, 1)), all_of_it)
    assert dry.order[0] == 0 and dry.probability[0] > 0.8 and dry.expected[overflow] == pytest.approx(0.5)
    chance = judged(read()).expected[overflow]
    assert chance > 0.9
    surprise = judged(read(looks=(0, 1))).misfit[overflow]  # in standard deviations of a yes of that chance
    assert surprise == pytest.approx(-chance / np.sqrt(chance * (1 - chance)), rel=1e-9)


def test_a_plan_that_takes_all_the_water_of_a_dry_day_is_judged_by_a_wetter_day_where_that_fits():
    """A nozzle a fifth wider met more water than was surveyed: what is expected is what such a day gives."""
    dry = {"available_flow": float(read()[READINGS.index("flow")])}
    y = read(nozzle=0.18)
    found, plenty = judged(y, dry), judged(y)
    assert found.order[0] == NOZZLE == plenty.order[0]
    for of_dry, of_plenty in ((found.misfit, plenty.misfit), (found.expected, plenty.expected)):
        np.testing.assert_allclose(of_dry[:METERED], of_plenty[:METERED], rtol=1e-6, atol=1e-6)


@pytest.mark.parametrize(("case", "size"), [("worn", 0.06), ("worn", 0.1), ("narrower", -0.1), ("narrower", -0.15)])
def test_a_nozzle_in_doubt_is_to_be_measured(case, size):
    """From flow and one gauge alone the nozzle is the first or the second thought: its opening is what to read next."""
    water = ("static", "running", "flow", "overflow", "screen")
    found = judged(read(nozzle=size), without=[name for name in READINGS if name not in water])
    assert NOZZLE in found.order[:2]
    assert READINGS[int(found.following[0]) - 1] == "nozzle"


@pytest.mark.parametrize("size", [0.07, 0.1, 0.15])
def test_the_measured_opening_tells_a_worn_nozzle_from_all_others(size):
    """It makes a worn nozzle more likely, and what is measured as planned makes it less likely."""
    flow_and_gauge = [name for name in READINGS if name not in ("running", "flow", "nozzle", "overflow", "screen")]
    y = read(nozzle=size)
    before = judged(y, without=(*flow_and_gauge, "nozzle")).probability[NOZZLE]
    assert judged(y, without=flow_and_gauge).probability[NOZZLE] > max(before, 0.8)
    y[READINGS.index("nozzle")] = PLANT["nozzle"]
    assert judged(y, without=flow_and_gauge).probability[NOZZLE] < before


def test_a_leaf_that_is_gone_when_the_opening_is_measured_is_still_named():
    """The jet came from a narrower nozzle than the drill shank finds: nozzle, and its size is the jet's."""
    y = read(nozzle=-0.2)
    assert y[READINGS.index("nozzle")] == pytest.approx(PLANT["nozzle"] * np.exp(-0.2), rel=1e-12)
    gone = read(CLEARED, nozzle=-0.2)
    assert gone[READINGS.index("nozzle")] == PLANT["nozzle"]
    for readings in (y, gone):
        found = judged(readings)
        assert found.order[0] == NOZZLE and found.probability[NOZZLE] > 0.8
        assert found.estimate[ITEMS.index("nozzle")] == pytest.approx(PLANT["nozzle"] * np.exp(-0.2), rel=0.01)


def test_a_plant_that_is_no_number_spoils_itself_only():
    """In the middle of others."""
    y = np.array([read(), read(head=-0.2), read(joint=0.2)])
    heads = np.array([63.0, np.nan, 63.0])
    found = diagnose(y, USUAL_UNCERTAINTY * abs(y), **(PLANT | {"gross_head": heads}))
    assert np.isnan(found.probability[1]).all() and np.isnan(found.estimate[1]).all()
    for place in (0, 2):
        alone = judged(y[place])
        np.testing.assert_allclose(found.probability[place], alone.probability, rtol=1e-9)
        np.testing.assert_allclose(found.uncertainty[place], alone.uncertainty, rtol=1e-9)


def test_expected_readings_go_with_the_load_that_was_met():
    """An empty battery is no fault of the plant: speed and current are expected for its voltage."""
    y = read(load_a=-0.05)
    found = judged(y)
    assert found.expected[READINGS.index("amps_a")] == pytest.approx(y[READINGS.index("amps_a")], rel=0.005)
    assert found.spread[READINGS.index("amps_a")] > 0


def test_air_in_the_pipe_takes_from_the_gauge_at_rest_what_its_columns_do_not_weigh():
    """63 m of head with 6.3 m of it in columns of air: at rest the gauge shows 56.7 m of water.

    Running there is a loss of its own besides. The same loss under a gauge that shows 69.3 m at rest is not air."""
    pipe = {"length": 180, "bore": 40.8, "roughness": 0.007, "fittings": 2}
    plant = {
        "gross_head": 63, "nozzle": 8, "pitch_diameter": 120, "phase_volts": 8.66, "pole_pairs": 7,
        "phase_resistance": 0.25, "battery_volts": 26.5,
    } | pipe  # fmt: skip
    left = 0.85 * 63  # of the head, while water flows
    flow = hydrofunc.operating_flow(left, 180, 40.8, 0.007, 8, fittings=2)
    running = hydrofunc.running_pressure(left - hydrofunc.lost_head_at(180, flow, **pipe), flow, 40.8)
    air = FAULTS.index("air lock in the pipe")
    chances = [
        hydrofunc.fault_probability(
            air,
            [hydrofunc.static_pressure(rest), running, flow] + [0] * 11 + [1, 1],
            [0.1, 0.1, 0.04] + [0] * 11 + [0.05] * 2,
            **plant,
        )
        for rest in (56.7, 63, 69.3)
    ]
    assert chances[0] > 0.3 and chances[0] > chances[2]
    assert chances[0] > 3 * chances[1], "without air columns the pipe is likelier to be blocked"


def test_where_the_plan_takes_all_the_water_a_look_still_tells_a_dry_source_from_a_blocked_pipe():
    """The readings are the same. A pipe that holds water back makes the intake run over; a dry source does not."""
    all_of_it = {"available_flow": float(read()[READINGS.index("flow")])}
    blocked, dry = read(extra_loss=0.5, looks=(1, 1)), read(source=-0.35, looks=(0, 1))
    assert judged(blocked, all_of_it).order[0] == 1
    assert judged(dry, all_of_it).order[0] == 16
    nobody_looked = judged(read(source=-0.35, looks=(-1, 1)), all_of_it)
    assert nobody_looked.probability[16] < judged(dry, all_of_it).probability[16]
    assert READINGS[int(nobody_looked.following[0]) - 1] == "overflow"


# -- many plants, and what is refused --------------------------------------------------------------------------

OTHERS = (  # a plant, the causes of its readings, the readings that are missing
    ({}, {"joint": 0.2}, ()),
    ({"load": "resistor", "load_resistance": 2.2}, {"emf": -0.2}, ("open_speed",)),
    ({"load": "controller"}, {"load_a": 0.3}, ("speed_b", "rectifier_b", "volts_b", "amps_b")),
    ({"connection": "delta", "phase_volts": PLANT["phase_volts"] * np.sqrt(3)}, {"resistance": 0.7}, ("volts_b",)),
    ({"available_flow": 0.0009}, {"source": -0.5}, ("overflow",)),
    ({"available_flow": 0.0019}, {"nozzle": 0.18}, ("static", "screen")),
    ({"gauge_height": 3.0}, {"head": -0.1}, ("open_constant",)),
)


def test_each_of_many_plants_is_judged_by_its_own_readings():
    """Other loads, windings, water and missing readings beside it change nothing; nor does its place."""
    y = np.array([read(plant=plant, **causes) for plant, causes, _ in OTHERS])
    spread = USUAL_UNCERTAINTY * abs(y)
    for row, (*_, without) in zip(spread, OTHERS, strict=True):
        row[[READINGS.index(name) for name in without]] = 0.0
    plants = {name: np.array([(PLANT | plant)[name] for plant, *_ in OTHERS]) for name in PLANT}
    together = diagnose(y, spread, **plants)
    for place, (plant, *_) in enumerate(OTHERS):
        alone = diagnose(y[place], spread[place], **(PLANT | plant))
        for field, values in alone._asdict().items():
            found = getattr(together, field)[place]
            np.testing.assert_allclose(found, values, rtol=1e-7, atol=1e-9 * abs(values).max(), err_msg=field)


@pytest.mark.parametrize("of_readings", [True, False])
def test_a_reading_or_an_uncertainty_that_is_no_number_spoils_its_plant_only(of_readings):
    y = np.array([read(), read(joint=0.2)])
    spread = USUAL_UNCERTAINTY * y
    (y if of_readings else spread)[0, READINGS.index("flow")] = np.nan
    found, alone = diagnose(y, spread, **PLANT), diagnose(y[1], spread[1], **PLANT)
    for field in found._fields:
        assert np.isnan(getattr(found, field)[0]).all()
        np.testing.assert_allclose(getattr(found, field)[1], getattr(alone, field), rtol=1e-9)


PROBABILITY = hydrofunc.functions()["fault_probability"]
READ = {name: list(PROBABILITY.example.arguments[name]) for name in ("readings", "uncertainties")}
SITE = {name: value for name, value in PROBABILITY.example.arguments.items() if name not in ("fault", *READ)}
UNREAD = [0] * len(READINGS)
FIRST = {  # the first argument of each function, and beyond which numbers it is refused
    "fault_probability": (0, len(FAULTS) - 1),
    "likeliest_fault": (1, len(FAULTS)),
    "reading_misfit": (1, len(READINGS)),
    "next_reading": (1, len(READINGS)),
    "expected_reading": (1, len(READINGS)),
    "expected_spread": (1, len(READINGS)),
}


@pytest.mark.parametrize("name", FIRST)
def test_there_is_no_number_of_a_fault_or_reading_but_those_on_the_list(name):
    first, last = FIRST[name]
    argument = hydrofunc.functions()[name].arguments[0].name
    given = READ | SITE
    for good in (first, last):
        assert np.isfinite(hydrofunc.find(name)(good, **given))
    for bad in (first - 1, last + 1, first + 0.5):
        with pytest.raises(InputError, match=f"{argument}: .*(not allowed|whole number)"):
            hydrofunc.find(name)(bad, **given)
    for bad in (first - 1, last + 1):  # physics, asked by itself
        assert np.isnan(getattr(answers, name)(bad, *NOTHING_READ, Plant.from_names(PLANT), 0.0))


@pytest.mark.parametrize("which", ["readings", "uncertainties"])
@pytest.mark.parametrize("count", [0, 13, 15, 18])
def test_a_list_of_readings_has_all_of_them_or_lacks_its_end(which, count):
    """Without the looks, or without the speed of the open volts; what is left out was not taken."""
    with pytest.raises(InputError, match=which):
        hydrofunc.fault_probability(1, **(READ | {which: [1.0] * count}), **SITE)
    lists = {name: np.zeros(len(READINGS)) for name in READ} | {which: np.zeros(count)}
    assert np.isnan(answers.fault_probability(0, *lists.values(), Plant.from_names(PLANT), 0.0))


def test_readings_left_out_at_the_end_were_not_taken():
    for short in (len(READINGS) - 1, METERED):
        cut = {name: values[:short] for name, values in READ.items()}
        full = {name: values + [0] * (len(READINGS) - short) for name, values in cut.items()}
        for name in ("fault_probability", "reading_misfit"):
            assert hydrofunc.find(name)(2, **cut, **SITE) == hydrofunc.find(name)(2, **full, **SITE)


def test_without_readings_each_value_of_the_plant_is_told_as_it_was_given():
    """In its own unit."""
    assumed = {argument.name: argument.default for argument in PROBABILITY.arguments}
    for item in ITEMS:
        given = (assumed | SITE)[item]
        assert hydrofunc.diagnosis_estimate(item, UNREAD, UNREAD, **SITE) == pytest.approx(given, rel=1e-9)


# In SI: bar, L/s, rpm, V per krpm, mm.
SI = [1e5, 1e5, 1e-3, RPM, 1, 1, 1, RPM, 1, 1, 1, 1 / (1000 * RPM), 1, 1e-3, 1, 1, RPM]


def test_readings_go_in_and_come_out_in_the_units_of_the_trade():
    """And the diagnosis is that of the same readings in SI."""
    y = read(joint=0.1)
    spread = USUAL_UNCERTAINTY * y
    trade = {
        "gross_head": 63, "length": 180, "bore": 40.8, "roughness": 0.007, "nozzle": 8, "pitch_diameter": 120,
        "phase_volts": 15 / np.sqrt(3), "pole_pairs": 7, "phase_resistance": 0.25, "battery_volts": 26.5,
        "fittings": 2, "velocity_coefficient": 0.97, "contraction": 1, "temperature": 10, "gravity": 9.80665,
        "deflection": 165, "cup_friction": 0.9, "alignment": 0.85, "bearing_drag": 0.05, "windage": 1,
        "phase_inductance": 0.4, "diode_drop": 0.8, "cable_resistance": 0.17, "iron_drag": 0.05,
    }  # fmt: skip
    wanted = diagnose(y, spread, **PLANT)
    lists = {"readings": y / SI, "uncertainties": spread / SI}
    for number, unit in enumerate(SI, 1):
        place = number - 1
        for name, field, factor in (
            ("expected_reading", wanted.expected, unit),
            ("expected_spread", wanted.spread, unit),
            ("reading_misfit", wanted.misfit, 1),
        ):
            found = hydrofunc.find(name)(number, **lists, **trade)
            assert found * factor == pytest.approx(field[place], rel=1e-6, abs=1e-9)
    for number, probability in enumerate(wanted.probability):
        assert hydrofunc.fault_probability(number, **lists, **trade) == pytest.approx(probability, rel=1e-6)
        assert hydrofunc.likeliest_fault(number + 1, **lists, **trade) == wanted.order[number]


def test_the_last_diagnoses_are_remembered(monkeypatch):
    """Many cells ask about one plant: it is judged once, until others have been asked for since."""
    asked = []
    judge = answers.diagnose_plant
    monkeypatch.setattr(answers, "diagnose_plant", lambda *call: asked.append(call) or judge(*call))
    monkeypatch.setattr(answers, "_PLANTS_REMEMBERED", 2)
    monkeypatch.setattr(answers, "_memory", type(answers._memory)())

    def ask(head):
        plant = Plant.from_names(PLANT | {"gross_head": head})
        return answers.fault_probability(0, *NOTHING_READ, plant, 0.0)

    for head, judged_so_far in ((60.0, 1), (61.0, 2), (60.0, 2), (62.0, 3), (60.0, 3), (61.0, 4)):
        assert ask(head) == pytest.approx(0.2) and len(asked) == judged_so_far
