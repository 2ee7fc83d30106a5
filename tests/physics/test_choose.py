"""The nozzle at hand with most watts, against an independent plant, limiting cases and the sizes tried one by one."""

import itertools

import numpy as np
import pytest

import hydrofunc
from hydrofunc.catalogue.plant import _SITE_A
from hydrofunc.errors import InputError
from hydrofunc.physics import choose as physics
from tests.simulator import plant as simulator

SIZES = [4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0, 14.0]
# What the independent plant takes, at the values of plant A (its wheel: cups that turn the water by 165°, 0.9 kept).
MACHINE = {"alignment": 0.85, "deflection": 165.0, "cup_friction": 0.9, "windage": 0.2, "iron_drag": 0.02}
OURS = _SITE_A | MACHINE | {"velocity_coefficient": 0.97, "diode_drop": 0.8, "connection": "star"}
THEIRS = OURS | {
    "pipe": ((OURS["length"], OURS["bore"], OURS["roughness"]),),
    "fittings_k": OURS["fittings"],
    "jets": 1,
    "contraction": 1.0,
    "gauge_height": 0.0,
}


@pytest.mark.parametrize(
    ("bore", "battery_volts", "connection", "jets"),
    list(itertools.product((32.6, 40.9, 61.4), (27.0, 54.0), ("star", "delta"), (1, 2))),
)
def test_it_is_the_size_with_most_watts_of_an_independent_plant(bore, battery_volts, connection, jets):
    """`tests/simulator/plant.py`, which imports nothing of ours; sizes that it cannot tell apart to 0.2 % are alike."""
    change = {"bore": bore, "battery_volts": battery_volts, "connection": connection, "jets": jets}
    plant = THEIRS | change | {"pipe": ((OURS["length"], bore, OURS["roughness"]),)}
    watts = {size: simulator.battery_watts(plant | {"nozzle": size}) for size in SIZES}
    chosen = hydrofunc.nozzle_at_hand(OURS, SIZES, list(change), list(change.values()))
    assert watts[chosen] >= 0.998 * max(watts.values()) > 0


def test_it_gives_what_the_sizes_tried_one_by_one_give():
    for bore in (20.4, 40.8, 61.4):
        watts = [hydrofunc.plant(OURS, nozzle=size, bore=bore).battery_watts for size in SIZES]
        assert hydrofunc.nozzle_at_hand(OURS, SIZES, ["bore"], [bore]) == SIZES[int(np.argmax(watts))]


def test_without_friction_and_with_little_water_it_is_the_one_that_just_takes_it():
    """A wide short pipe: a smaller nozzle leaves water unused, a wider one leaves head unused (Torricelli)."""
    plant = OURS | {"bore": 200, "length": 101, "available_flow": 1.0, "fittings": 0}
    just = (4 * 1e-3 / np.pi / (0.97 * (2 * 9.80447 * 100) ** 0.5)) ** 0.5 * 1000
    plant |= {"load": "controller", "controller_efficiency": 0.9}  # holds the wheel at its best, whatever the jet
    assert hydrofunc.nozzle_at_hand(plant, [0.5 * just, 0.8 * just, 0.999 * just, 1.3 * just, 2 * just]) == (
        pytest.approx(0.999 * just)
    )


def test_a_size_wider_than_the_pipe_does_not_count():
    """That of the last section decides; where none fits there is no answer."""
    sections = {"length_2": 50, "bore_2": 9, "roughness_2": 0.15}
    assert hydrofunc.nozzle_at_hand(OURS | sections, [6, 8, 10, 12]) <= 8
    with pytest.raises(InputError):
        hydrofunc.nozzle_at_hand(OURS | sections, [10, 12])


def test_all_jets_together_are_no_wider_than_the_pipe():
    """As HYDRO_PLANT has it, which refuses a wider one: two of 9.9 mm are as wide as 14 mm, two of 10.9 wider."""
    short = OURS | {"length": 1, "bore": 14, "fittings": 0, "jets": 2}
    assert hydrofunc.nozzle_at_hand(short, [2, 10.9]) == 2
    assert hydrofunc.nozzle_at_hand(short | {"jets": 1}, [2, 10.9]) == 10.9
    assert hydrofunc.nozzle_at_hand(short, [2, 9.8]) == 9.8 and hydrofunc.plant(short, nozzle=9.8).battery_watts > 0
    assert hydrofunc.nozzle_season(short, "one", [2, 10.9], [100.0] * 6, [30.0] * 6) == 2
    with pytest.raises(InputError):
        hydrofunc.nozzle_at_hand(short, [10.9, 12])


def test_where_nothing_reaches_the_battery_it_is_the_one_of_most_jet_power():
    plant = OURS | {"battery_volts": 900}
    jets = [hydrofunc.plant(plant, nozzle=size).jet_power for size in SIZES]
    assert hydrofunc.plant(plant, nozzle=8).battery_watts == 0
    assert hydrofunc.nozzle_at_hand(plant, SIZES) == SIZES[int(np.argmax(jets))]


def test_many_plants_at_once():
    """Arrays among the values, as a sweep hands them over."""
    bores = np.array([20.4, 32.6, 61.4])
    together = hydrofunc.nozzle_at_hand(OURS, SIZES, ["bore"], [bores])
    assert together.tolist() == [hydrofunc.nozzle_at_hand(OURS, SIZES, ["bore"], [bore]) for bore in bores]


def test_the_fitted_nozzle_does_not_matter():
    """Not even where it is missing, or wider than the pipe."""
    without = {name: value for name, value in OURS.items() if name != "nozzle"}
    assert hydrofunc.nozzle_at_hand(without, SIZES) == hydrofunc.nozzle_at_hand(OURS | {"nozzle": 60}, SIZES)


def test_what_may_not_be_changed_is_refused():
    with pytest.raises(InputError, match="colour"):
        hydrofunc.nozzle_at_hand(OURS, SIZES, ["colour"], [1])


# -- the nozzles of a year -------------------------------------------------------------------------------------

FLOWS = [2.3, 2.3, 1.9, 1.4, 0.9, 0.6, 0.5, 0.5, 0.8, 1.3, 2.0, 2.3]  # L/s, invented
DAYS = [31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]


def season(quantity, sizes=tuple(SIZES), flows=FLOWS, days=DAYS, plant=OURS):
    return hydrofunc.nozzle_season(plant, quantity, list(sizes), flows, days)


@pytest.fixture(scope="module")
def watts():
    """Watts of the independent plant for every size and month."""
    return {
        size: np.array(
            [
                simulator.Machine(plant, simulator.Water(plant, source=flow / 1e3)).settle(54.0)["watts"]
                for flow in FLOWS
            ]
        )
        for size, plant in ((size, THEIRS | {"nozzle": size}) for size in SIZES)
    }


def test_the_nozzles_of_a_year_are_those_of_an_independent_plant(watts):
    """All pairs and all seasons, one by one, with watts that are worked out by nothing of ours."""
    weights = np.array(DAYS) / np.sum(DAYS)
    best = max(SIZES, key=lambda size: watts[size] @ weights)
    assert season("one") == best
    assert season("one_watts") == pytest.approx(watts[best] @ weights, rel=1e-3)
    most = (0.0,)
    for small, large in itertools.combinations(SIZES, 2):
        for start, length in itertools.product(range(12), range(1, 12)):
            months = [(start + month) % 12 for month in range(length)]
            fitted = watts[large].copy()
            fitted[months] = watts[small][months]
            most = max(most, (fitted @ weights, small, large, start + 1, months[-1] + 1))
    assert [season(what) for what in ("dry", "wet", "first", "last")] == list(most[1:])
    assert season("two_watts") == pytest.approx(most[0], rel=1e-3)
    every = np.max(list(watts.values()), axis=0) @ weights
    assert season("every_watts") == pytest.approx(every, rel=1e-3)
    assert season("one_watts") < season("two_watts") < season("every_watts")


def test_where_every_month_has_the_same_water_one_nozzle_is_enough():
    same = {what: season(what, flows=[1.0] * 12) for what in physics.ANSWERS}
    assert same["one"] == same["dry"] == same["wet"]
    assert same["one"] == hydrofunc.nozzle_at_hand(OURS | {"available_flow": 1}, SIZES)
    assert same["first"] == same["last"] == 0
    assert same["one_watts"] == same["two_watts"] == pytest.approx(same["every_watts"], rel=1e-12)


def test_a_dry_winter_passes_the_turn_of_the_year():
    """The same year half a year later: the same nozzles, the season moved by six months."""
    later = FLOWS[6:] + FLOWS[:6]
    assert season("dry", days=[30] * 12) == season("dry", flows=later, days=[30] * 12)
    first, last = (season(what, days=[30] * 12) for what in ("first", "last"))
    moved = [season(what, flows=later, days=[30] * 12) for what in ("first", "last")]
    assert moved == [(first + 5) % 12 + 1, (last + 5) % 12 + 1] and moved[0] > moved[1]


def test_a_month_of_more_days_counts_more():
    """One month with all the days decides alone."""
    days = [1e-6] * 11 + [300]
    assert season("one", days=days) == hydrofunc.nozzle_at_hand(OURS | {"available_flow": FLOWS[-1]}, SIZES)


def test_the_order_of_the_sizes_and_those_too_wide_do_not_matter():
    assert season("two_watts", sizes=[60.0, *SIZES[::-1]]) == season("two_watts")
    with pytest.raises(InputError):
        season("one", sizes=[60.0])
    with pytest.raises(InputError, match="as many"):
        season("one", days=DAYS[:5])


def test_years_of_many_plants_at_once():
    volts = np.array([27.0, 54.0])
    for what in ("one", "dry", "wet", "two_watts", "first"):
        together = hydrofunc.nozzle_season(OURS, what, SIZES, FLOWS, DAYS, ["battery_volts"], [volts])
        assert together.tolist() == pytest.approx([season(what, plant=OURS | {"battery_volts": v}) for v in volts])
