"""Head lost in the pipe: friction in every regime, fittings, sections in series; and back to the flow."""

import numpy as np
import pytest
from fluids.friction import Colebrook
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc
from hydrofunc.physics import pipe
from hydrofunc.physics.groups import Pipe, Section
from hydrofunc.physics.water import kinematic_viscosity

GRAVITY = 9.80665
NO_MORE = (0.0,) * 6
reynolds, rough = st.floats(100, 1e8), st.floats(0, 0.05)


def random_pipes(count, seed):
    """(flow, length, bore, roughness, fittings, temperature) in SI; Reynolds 10 to 1e7 in all regimes."""
    rng = np.random.default_rng(seed)
    bore = 10 ** rng.uniform(-2.3, -0.7, count)
    roughness = bore * np.where(rng.random(count) < 0.2, 0, 10 ** rng.uniform(-6, np.log10(0.05), count))
    temperature = 273.15 + rng.uniform(0, 40, count)
    near = rng.random(count) < 0.4  # the transition
    number = np.where(near, rng.uniform(1500, 5000, count), 10 ** rng.uniform(1, 7, count))
    flow = number * kinematic_viscosity(temperature) * np.pi / 4 * bore
    fittings = rng.uniform(0, 20, count) * (rng.random(count) < 0.7)
    return flow, 10 ** rng.uniform(0, 4, count), bore, roughness, fittings, temperature


def test_ten_thousand_friction_factors_are_those_of_an_independent_solver():
    """fluids 1.3.1, friction.Colebrook, in turbulent flow, from smooth walls to roughness of 5 % of bore."""
    rng = np.random.default_rng(1)
    number = 10 ** rng.uniform(np.log10(4000), 8, 10_000)
    relative = rng.choice([0, 1e-4, 0.01, 1], 10_000) * rng.uniform(0, 0.05, 10_000)
    number[:4], relative[:4] = (4000, 4000, 1e8, 1e8), (0, 0.05, 0, 0.05)
    theirs = np.array([Colebrook(float(r), float(e), tol=1e-15) for r, e in zip(number, relative)])
    assert np.abs(pipe.friction_factor(number, relative) / theirs - 1).max() < 1e-9


def test_turbulent_friction_satisfies_the_equation_of_colebrook_and_white():
    rng = np.random.default_rng(2)
    number, relative = 10 ** rng.uniform(np.log10(4000), 9, 100_000), rng.uniform(0, 0.05, 100_000)
    x = pipe.friction_factor(number, relative) ** -0.5
    assert np.abs(x + 2 * np.log10(relative / 3.7 + 2.51 * x / number)).max() < 1e-12 * x.max()


@given(st.floats(1e-3, 2000), rough)
def test_laminar_friction_is_64_over_reynolds_whatever_the_wall(number, relative):
    assert hydrofunc.friction_factor(number, relative) == 64 / number


@given(st.sampled_from([2000.0, 4000.0]), rough)
def test_friction_has_no_step_where_a_regime_ends(number, relative):
    below, above = (hydrofunc.friction_factor(number * (1 + s), relative) for s in (-1e-12, 1e-12))
    assert below == pytest.approx(above, rel=1e-10)


@given(reynolds, rough)
def test_a_rougher_wall_never_drags_less(number, relative):
    factor, rougher = (hydrofunc.friction_factor(number, min(relative * k, 0.05)) for k in (1, 1.1))
    assert rougher >= factor * (1 - 1e-14)


def test_from_2600_the_friction_is_that_of_turbulent_flow():
    """The careful side: a pipe at Reynolds 2600 to 4000 may be turbulent. Colebrook-White by fluids; below it never
    less than laminar flow, and no step at either end.
    """
    for relative in (0.0, 1e-4, 0.01, 0.05):
        for number in (2600.0, 3000.0, 3500.0, 4000.0):
            assert hydrofunc.friction_factor(number, relative) == pytest.approx(Colebrook(number, relative), rel=1e-9)
        number = np.linspace(2000, 2600, 200)
        factor = hydrofunc.friction_factor(number, relative)
        assert np.all(factor >= 64 / number) and np.all(np.diff(factor) > 0)
        before, after = hydrofunc.friction_factor(np.array([2600 - 1e-6, 2600]), relative)
        assert before == pytest.approx(after, rel=1e-8)


def test_head_always_rises_with_flow_through_the_transition():
    """Smooth to very rough, 4000 flows from Reynolds 1000 to 10 000."""
    relative = np.array([0, 1e-6, 1e-4, 1e-3, 0.01, 0.03, 0.05])[:, None]
    number = np.geomspace(1000, 10_000, 4000)
    flow = number * kinematic_viscosity(283.15) * np.pi / 4 * 0.04
    head = pipe.friction_head(flow, 100.0, 0.04, relative * 0.04, 283.15, GRAVITY)
    assert np.all(np.diff(head, axis=-1) > 0)


def test_the_slopes_of_the_losses_are_those_of_their_heads():
    """First and second derivative to ln(flow), beside central differences, away from the ends of a regime."""
    flow, length, bore, roughness, fittings, temperature = random_pipes(20_000, 3)
    viscosity = kinematic_viscosity(temperature)
    number = pipe.pipe_velocity(flow, bore) * bore / viscosity
    smooth = (np.abs(number / 2000 - 1) > 1e-3) & (np.abs(number / 2600 - 1) > 1e-3)

    def at(step):
        line = Pipe((Section(length, bore, roughness),), fittings)
        return pipe.losses(flow * np.exp(step), line, viscosity, GRAVITY)

    step = 1e-5
    up, here, down = at(step), at(0.0), at(-step)
    slope, curvature = (up.head - down.head) / (2 * step), (up.slope - down.slope) / (2 * step)
    assert np.abs(slope / here.slope - 1)[smooth].max() < 1e-8
    assert np.abs(curvature / here.curvature - 1)[smooth].max() < 1e-7


@given(st.floats(0.1, 50), st.floats(1, 2000), st.floats(10, 300), st.floats(0, 0.5), st.floats(0, 40))
def test_head_grows_with_length_and_falls_with_bore(flow, length, bore, roughness, temperature):
    head = hydrofunc.friction_head(flow, length, bore, roughness, temperature)
    twice = hydrofunc.friction_head(flow, 2 * length, bore, roughness, temperature)
    assert twice == pytest.approx(2 * head, rel=1e-13)
    assert hydrofunc.friction_head(flow, length, bore * 1.01, roughness, temperature) < head
    assert hydrofunc.friction_head(0, length, bore, roughness, temperature) == 0
    assert hydrofunc.penstock_head(0, length, bore, roughness, 5, temperature) == 0


def test_one_percent_of_bore_is_worth_five_percent_of_head():
    """At a fixed friction factor: fully rough flow."""
    wide, narrow = (hydrofunc.friction_head(100, 100, bore, bore * 0.02) for bore in (100, 99))
    assert narrow / wide == pytest.approx(0.99**-5, rel=1e-4)


@given(st.floats(0.1, 50), st.floats(1, 2000), st.floats(10, 300), st.floats(0, 0.5), st.floats(0, 20))
def test_fittings_add_to_friction(flow, length, bore, roughness, fittings):
    whole = hydrofunc.penstock_head(flow, length, bore, roughness, fittings)
    friction = hydrofunc.friction_head(flow, length, bore, roughness)
    minor = hydrofunc.minor_head(flow, bore, fittings)
    assert whole == pytest.approx(friction + minor, rel=1e-13)
    velocity = hydrofunc.pipe_velocity(flow, bore)
    assert minor == pytest.approx(fittings * velocity**2 / 2 / GRAVITY, rel=1e-13)


def test_three_sections_of_one_bore_are_one_pipe():
    flow, length, bore, roughness, fittings, temperature = random_pipes(10_000, 4)
    one = pipe.penstock_head.flat(flow, length, bore, roughness, fittings, temperature, GRAVITY, *NO_MORE)
    three = pipe.penstock_head.flat(
        flow,
        0.2 * length,
        bore,
        roughness,
        fittings,
        temperature,
        GRAVITY,
        0.5 * length,
        bore,
        roughness,
        0.3 * length,
        bore,
        roughness,
    )
    assert np.abs(three / one - 1).max() < 1e-12


def test_sections_add_in_any_order_and_one_without_length_is_none():
    flow, length, bore, roughness, _, temperature = random_pipes(10_000, 5)
    narrow = 0.7 * bore
    one, other = (length, bore, roughness), (0.3 * length, narrow, roughness)
    rest = (0.0, temperature, GRAVITY)
    whole = pipe.penstock_head.flat(flow, *one, *rest, *other, 0.0, 0.0, 0.0)
    swapped = pipe.penstock_head.flat(flow, *other, *rest, *one, 0.0, 0.0, 0.0)
    parts = sum(pipe.friction_head(flow, *part, temperature, GRAVITY) for part in (one, other))
    some = np.arange(10_000) % 2 == 0  # a third section in half of the lanes only, with no bore in the others
    third = (some * 1.0, np.where(some, bore, np.nan), roughness)
    with_some = pipe.penstock_head.flat(flow, *one, *rest, *other, *third)
    assert np.abs(swapped / whole - 1).max() < 1e-13
    assert np.abs(parts / whole - 1).max() < 1e-13
    assert np.all(with_some[~some] == whole[~some]) and np.all(with_some[some] > whole[some])


def test_flow_for_loss_turns_penstock_head_round():
    """Every regime, and fittings alone."""
    flow, length, bore, roughness, fittings, temperature = random_pipes(50_000, 6)
    length[:1000], fittings[:1000] = 0.0, 5.0
    head = pipe.penstock_head.flat(flow, length, bore, roughness, fittings, temperature, GRAVITY, *NO_MORE)
    found = pipe.flow_for_loss.flat(head, length, bore, roughness, fittings, temperature, GRAVITY)
    assert np.abs(found / flow - 1).max() < 1e-12


def test_no_loss_is_no_flow():
    assert hydrofunc.flow_for_loss(0, 100, 40, 0.003) == 0


@given(st.floats(0.1, 20), st.floats(20, 100))
def test_hazen_and_williams_come_near_to_darcy_in_smooth_pipe(flow, bore):
    """Between 0.5 and 3 m/s at 15 °C the rule with C = 150 stays within 20 % of Colebrook-White."""
    if not 0.5 < hydrofunc.pipe_velocity(flow, bore) < 3:
        return
    rule = hydrofunc.hazen_williams_head(flow, 100, bore, 150)
    assert rule == pytest.approx(hydrofunc.friction_head(flow, 100, bore, 0.003, 15), rel=0.2)


@given(st.floats(0.1, 20), st.floats(1, 1000), st.floats(20, 100), st.floats(60, 150))
def test_the_rule_of_hazen_and_williams_keeps_its_powers(flow, length, bore, coefficient):
    rule = hydrofunc.hazen_williams_head
    head = rule(flow, length, bore, coefficient)
    assert rule(2 * flow, length, bore, coefficient) == pytest.approx(head * 2**1.852, rel=1e-12)
    assert rule(flow, 2 * length, bore, coefficient) == pytest.approx(head * 2, rel=1e-12)
    assert rule(flow, length, 2 * bore, coefficient) == pytest.approx(head / 2**4.871, rel=1e-12)
    assert rule(flow, length, bore, coefficient / 1.2) == pytest.approx(head * 1.2**1.852, rel=1e-12)


def test_arrays_equal_scalars():
    flow, length, bore, roughness, fittings, temperature = random_pipes(200, 7)
    head = pipe.penstock_head.flat(flow, length, bore, roughness, fittings, temperature, GRAVITY, *NO_MORE)
    back = pipe.flow_for_loss.flat(head, length, bore, roughness, fittings, temperature, GRAVITY)
    for i in range(200):
        single = (length[i], bore[i], roughness[i], fittings[i], temperature[i], GRAVITY)
        assert pipe.penstock_head.flat(flow[i], *single, *NO_MORE) == pytest.approx(head[i], rel=1e-13)
        assert float(pipe.flow_for_loss.flat(head[i], *single)) == pytest.approx(back[i], rel=1e-12)


@pytest.mark.parametrize("place", range(6))
def test_a_bad_pipe_leaves_its_neighbours_alone(place):
    """Not a number in any one argument; the search for the flow ends all the same."""
    pipes = random_pipes(5, 8)
    head = pipe.penstock_head.flat(*pipes, GRAVITY, *NO_MORE)
    good = pipe.flow_for_loss.flat(head, *pipes[1:], GRAVITY)
    spoilt = [head.copy(), *(part.copy() for part in pipes[1:])]
    spoilt[place][2] = np.nan
    found = pipe.flow_for_loss.flat(*spoilt, GRAVITY)
    assert np.isnan(found).tolist() == [False, False, True, False, False]
    others = [0, 1, 3, 4]
    assert np.abs(found[others] / good[others] - 1).max() < 1e-12
