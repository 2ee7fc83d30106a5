"""The nozzle at hand with most watts, against an independent plant, limiting cases and the sizes tried one by one."""

import itertools

import numpy as np
import pytest

import hydrofunc
from hydrofunc.catalogue.plant import _SITE_A
from hydrofunc.errors import InputError
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
