"""Loss coefficients of fittings beside an independent library; roughness of pipe walls."""

import csv
from pathlib import Path

import fluids
import numpy as np
import pytest
from fluids import fittings as crane
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc
from hydrofunc.physics import fittings

BORES = [12.0, 15.76, 20.96, 26.64, 35.08, 40.94, 51.4, 62.68, 77.92, 102.26]  # mm
PLAIN = {
    "gate valve": lambda d: crane.K_gate_valve_Crane(d, d, 0.0),
    "globe valve": lambda d: crane.K_globe_valve_Crane(d, d),
    "ball valve": lambda d: crane.K_ball_valve_Crane(d, d, 0.0),
    "swing check valve": lambda d: crane.K_swing_check_valve_Crane(d, angled=True),
    "90 elbow": lambda d: crane.bend_rounded(d, 90, method="Crane standard"),
    "45 elbow": lambda d: crane.bend_rounded(d, 45, method="Crane standard"),
    "tee run": lambda d: 20 * crane.ft_Crane(d),  # n = 20 and 60: Crane TP-410, appendix A
    "tee branch": lambda d: 60 * crane.ft_Crane(d),
    "sharp entrance": lambda d: crane.entrance_sharp(method="Swamee"),
    "rounded entrance": lambda d: crane.entrance_rounded(d, 0.2 * d, method="Crane"),
    "projecting entrance": lambda d: 0.78,  # Crane TP-410, appendix A, from memory, not looked up
    "exit": lambda d: crane.exit_normal(),
}


@pytest.mark.parametrize("fitting", PLAIN)
def test_a_fitting_loses_what_an_independent_library_says(fitting):
    """fluids 1.3.1, fittings by Crane TP-410."""
    ours = hydrofunc.fitting_loss(fitting, np.array(BORES))
    assert ours.tolist() == pytest.approx([PLAIN[fitting](bore / 1000) for bore in BORES], rel=5e-4)


def test_the_long_bend_is_within_half_a_percent_of_a_curve_through_the_table():
    """Crane gives 14 fT for a radius of 1.5 bores; fluids' curve through Crane's table 14.06."""
    theirs = [crane.bend_rounded_Crane(bore / 1000, 90, bend_diameters=1.5) for bore in BORES]
    assert hydrofunc.fitting_loss("long bend", np.array(BORES)).tolist() == pytest.approx(theirs, rel=5e-3)


def test_every_fitting_is_checked():
    assert set(PLAIN) | {"long bend"} == set(fittings.FITTINGS)


def test_a_small_valve_costs_more_than_a_large_one_and_an_entrance_the_same():
    bores = np.array(BORES)
    assert np.all(np.diff(hydrofunc.fitting_loss("gate valve", bores)) < 0)
    assert np.all(hydrofunc.fitting_loss("exit", bores) == 1)


@given(st.floats(10, 100), st.floats(0.05, 1.0))
def test_sudden_steps_agree_with_an_independent_library(bore, ratio):
    """fluids 1.3.1: Crane contraction; the expansion by its default, Rennels'."""
    small = bore * ratio
    assert hydrofunc.sudden_contraction_loss(bore, small) == pytest.approx(
        crane.contraction_sharp(bore, small, method="Crane"), rel=1e-9, abs=1e-12
    )
    assert hydrofunc.sudden_expansion_loss(small, bore) == pytest.approx(
        crane.diffuser_sharp(small, bore), rel=1e-9, abs=1e-12
    )


@given(st.floats(10, 50), st.floats(1.01, 10), st.floats(0.1, 10))
def test_a_sudden_widening_loses_the_velocity_that_is_lost(bore, widening, flow):
    """Borda-Carnot: the head lost is (V1 - V2)² / 2g, V1 in the smaller pipe."""
    fast, slow = hydrofunc.pipe_velocity(flow, bore), hydrofunc.pipe_velocity(flow, bore * widening)
    lost = hydrofunc.minor_head(flow, bore, hydrofunc.sudden_expansion_loss(bore, bore * widening))
    assert lost == pytest.approx((fast - slow) ** 2 / 2 / 9.80665, rel=1e-9)


def test_no_step_loses_nothing_and_a_tank_is_entrance_or_exit():
    assert hydrofunc.sudden_contraction_loss(40, 40) == hydrofunc.sudden_expansion_loss(40, 40) == 0
    assert hydrofunc.sudden_contraction_loss(2000, 20) == pytest.approx(0.5, rel=1e-3)
    assert hydrofunc.sudden_expansion_loss(20, 2000) == pytest.approx(1.0, rel=1e-3)


def test_commercial_steel_is_not_the_smooth_tubing_of_a_library():
    """fluids 1.3.1 lists "Steel" at 0.0015 mm, drawn tubing; commercial pipe is thirty times as rough."""
    assert fluids.friction._roughness["Steel"] < 2e-6
    assert hydrofunc.roughness("steel") == pytest.approx(0.045)


@pytest.mark.parametrize("material", fittings.MATERIALS)
def test_pipe_gets_rougher_with_age(material):
    new, used, fouled = (hydrofunc.roughness(material, condition) for condition in ("new", "used", "fouled"))
    assert 0 < new < used < fouled <= 3
    assert hydrofunc.roughness(material) == new


@pytest.mark.parametrize("material", fittings.HAZEN_WILLIAMS)
def test_the_smoother_the_wall_the_higher_hazen_and_williams(material):
    coefficient, wall = hydrofunc.hazen_williams_coefficient(material), hydrofunc.roughness(material)
    for other in fittings.HAZEN_WILLIAMS:
        if hydrofunc.roughness(other) > 2 * wall:
            assert hydrofunc.hazen_williams_coefficient(other) <= coefficient


def test_every_roughness_names_its_source():
    with (Path(fittings.__file__).parent / "roughness.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == len(fittings.ROUGHNESS) == len(fittings.MATERIALS) * len(fittings.CONDITIONS)
    assert all(len(row["source"]) >= 10 for row in rows)


def test_words_in_arrays_equal_single_words_and_unknown_ones_spoil_only_themselves():
    words = np.array(["gate valve", "trap door", "90 elbow", "Gate  Valve"], dtype=object)
    loss = hydrofunc.fitting_loss(words, np.array([40.0, 40.0, 40.0, 25.0]))
    assert np.isnan(loss).tolist() == [False, True, False, False]
    for place, word, bore in ((0, "gate valve", 40.0), (2, "90 elbow", 40.0), (3, "gate valve", 25.0)):
        assert loss[place] == hydrofunc.fitting_loss(word, bore)
    wall = hydrofunc.roughness(np.array(["pvc", "straw", "steel"], dtype=object), "used")
    assert np.isnan(wall).tolist() == [False, True, False]
    assert wall[[0, 2]].tolist() == [hydrofunc.roughness("pvc", "used"), hydrofunc.roughness("steel", "used")]
