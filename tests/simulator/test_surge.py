"""The water-hammer run against published surges, reflections at joints, and Allievi's equations."""

import math

import numpy as np
import pytest

from .surge import Pipe, close, korteweg

WATER = 998.0  # kg/m3, the density of these textbook examples
FLOW = 1000  # L/s in 1 m3/s


def line(speed, length, bore, velocity, **kwargs):
    """One frictionless pipe and the flow [L/s] of a velocity in it."""
    pipe = Pipe(length, bore, speed, **kwargs)
    return [pipe], FLOW * pipe.area * velocity


# K. Subramanya, 1000 Solved Problems in Fluid Mechanics, p. 358 (read in a public transcription); the pipe's
# length and the static head are not given there and do not matter to a sudden closure.
@pytest.mark.parametrize("length", [120.0, 2000.0])
def test_sudden_closure_subramanya_14_14(length):
    """K = 2.0 GPa, E = 100 GPa, 0.9 m bore, 12.5 mm wall, 2.60 m/s, g = 9.81: 240.2 m."""
    speed = korteweg(2.0e9, WATER, 0.9, 0.0125, 100e9)
    pipes, flow = line(speed, length, 900, 2.60)
    assert close(pipes, 400.0, flow, 0.0, gravity=9.81).rise == pytest.approx(240.2, abs=0.1)


def test_sudden_closure_subramanya_14_15():
    """K = 2.1 GPa, 60 cm bore, 1.2 cm wall, E = 210 GPa, 2.1 m/s: 3.040 MPa if rigid, 2.482 MPa elastic."""
    for modulus, expected in ((1e30, 3.040e6), (210e9, 2.482e6)):
        pipes, flow = line(korteweg(2.1e9, WATER, 0.60, 0.012, modulus), 500.0, 600, 2.1)
        assert close(pipes, 500.0, flow, 0.0).rise * WATER * 9.80665 == pytest.approx(expected, abs=1e3)


def test_sudden_closure_daugherty_franzini_13_4():
    """Daugherty, Franzini, Fluid Mechanics, Ex. 13.4 p. 462: 3200 ft/s, 30 ft3/s, radius 2 ft: 102.9 psi."""
    foot = 0.3048
    pipes = [Pipe(1000.0, 4 * foot * 1000, 3200 * foot)]
    rise = close(pipes, 300.0, FLOW * 30 * foot**3, 0.0).rise
    density = 1.94 * 14.59390 / foot**3  # slug/ft3
    assert rise * density * 9.80665 / 6894.757 == pytest.approx(102.9, abs=0.1)


@pytest.mark.parametrize("share", [0.0, 0.5, 0.99])
def test_any_closure_faster_than_the_wave_returns_is_a_sudden_one(share):
    """Within 2L/a the full Joukowsky head a V/g is reached at the valve, however the valve is closed."""
    pipes, flow = line(1200.0, 600.0, 50, 1.5)
    for law in ("flow", "opening"):
        rise = close(pipes, 300.0, flow, share * 2 * 600 / 1200, law).rise
        assert rise == pytest.approx(1200 * 1.5 / 9.80665, rel=1e-9)


def test_slow_closure_subramanya_14_18():
    """K = 2.11 GPa, 60 cm, 1.5 cm wall, E = 104.1 GPa, 800 m, 3 m/s, 2.0 s: 2.394 MPa (sudden 3.235)."""
    speed = korteweg(2.11e9, WATER, 0.60, 0.015, 104.1e9)
    assert 2 * 800 / speed == pytest.approx(1.48, abs=0.005)
    pipes, flow = line(speed, 800.0, 600, 3.0)
    unit = WATER * 9.80665
    assert close(pipes, 600.0, flow, 0.0).rise * unit == pytest.approx(3.235e6, abs=2e3)
    assert close(pipes, 600.0, flow, 2.0).rise * unit == pytest.approx(2.394e6, abs=2e3)


def test_partial_slow_closure_subramanya_14_19():
    """K = 2.10 GPa, 4 m, 10 cm wall, E = 211 GPa, 2500 m, 3.0 to 0.5 m/s in 5 s, static 250 m: 4943 kPa."""
    pipes, flow = line(korteweg(2.10e9, WATER, 4.0, 0.10, 211e9), 2500.0, 4000, 3.0)
    run = close(pipes, 250.0, flow, 5.0, left=0.5 / 3.0, gravity=9.81)
    assert run.max_head_at_valve * 9.79 == pytest.approx(4943, abs=1.5)


def test_length_under_full_surge_subramanya_14_20():
    """K = 2.2 GPa, rigid, 3500 m, 0.8 m/s, 4 s: 1.185 MPa at the valve, and over 530.6 m from it."""
    speed = korteweg(2.2e9, WATER, 1.0, 1.0, 1e30)
    pipes, flow = line(speed, 3500.0, 1000, 0.8)
    run = close(pipes, 200.0, flow, 4.0, reaches=1400)
    assert run.rise * WATER * 9.80665 == pytest.approx(1.185e6, abs=1e3)
    full = run.places[run.highest >= run.max_head_at_valve * (1 - 1e-9)]
    reach = 3500.0 / 1400
    assert 3500.0 - full.min() == pytest.approx(530.6, abs=2 * reach)


def test_first_step_is_that_of_another_program_and_packing_follows():
    """TSNet 0.3.1, numpy 1.26.4: 400 + 400 m, 52.5 mm, 1184.82 m/s, 2.3256 m/s, closed in 0.02 s: 281.19 m.

    Its first step only: its friction factor is not recorded, so ours runs without. Its later head is higher,
    by line packing: with friction the water behind the wave goes on compressing, which the second run shows.
    """
    heads = []
    for factor in (0.0, 0.02):
        pipes = [Pipe(400.0, 52.5, 1184.82, factor)] * 2
        run = close(pipes, 400.0, FLOW * pipes[0].area * 2.3256, 0.02, reaches=400, gravity=9.8)
        heads.append((run.valve_heads[run.times >= 0.02][0] - run.valve_heads[0], run.rise))
    (jump, rise), (packed_jump, packed_rise) = heads
    assert jump == pytest.approx(281.19, rel=1e-3) and rise == pytest.approx(jump, rel=1e-6)
    assert packed_jump == pytest.approx(jump, rel=5e-3) and packed_rise > 1.2 * jump


def test_packing_never_beats_sudden_rise_over_the_reservoir():
    """With friction the head at the valve stays below reservoir head plus a V/g."""
    for factor in (0.01, 0.03, 0.06):
        pipes, flow = line(1100.0, 500.0, 40, 1.2, friction_factor=factor)
        run = close(pipes, 100.0, flow, 0.0)
        jump = 1100 * 1.2 / 9.80665
        assert run.valve_heads[0] + jump <= run.max_head_at_valve * (1 + 1e-9)
        assert run.max_head_at_valve < 100.0 + jump


def test_a_frictionless_line_rings_as_a_square_wave():
    """a V/g above the static head for 2L/a, as much below for 2L/a, and so on undiminished."""
    pipes, flow = line(1000.0, 500.0, 50, 1.0)
    run = close(pipes, 150.0, flow, 0.0, reaches=100, duration=8.0)
    jump = 1000 * 1.0 / 9.80665
    middles = np.array([0.5, 1.5, 2.5, 3.5, 4.5, 5.5, 6.5, 7.5])
    expected = 150 + jump * np.array([1, -1, 1, -1, 1, -1, 1, -1])
    assert np.interp(middles, run.times, run.valve_heads) == pytest.approx(expected, rel=1e-9)


def test_friction_lets_the_ringing_die_to_the_static_head():
    """After many turns the closed line stands at the reservoir's head."""
    pipes, flow = line(1000.0, 500.0, 20, 1.0, friction_factor=0.05)
    run = close(pipes, 150.0, flow, 0.0, reaches=20, duration=300.0)
    assert np.abs(run.valve_heads[-100:] - 150).max() < 0.03 * run.rise


def test_a_joint_passes_on_and_throws_back():
    """The head passed upstream is 2 B1/(B1 + B2); that thrown back doubles at the closed valve."""
    pipes = [Pipe(600.0, 40.0, 1000.0), Pipe(300.0, 30.0, 1200.0)]
    flow = 0.8
    run = close(pipes, 200.0, flow, 0.0, reaches=300)
    above, below = (pipe.wave_speed / (9.80665 * pipe.area) for pipe in pipes)
    jump = below * flow / 1000
    passed = 2 * above / (above + below)
    thrown = (above - below) / (above + below)
    assert run.valve_heads[1] - 200 == pytest.approx(jump, rel=1e-3)
    assert np.interp(0.4, run.times, run.joint_heads[0]) - 200 == pytest.approx(passed * jump, rel=1e-3)
    assert np.interp(0.7, run.times, run.valve_heads) - 200 == pytest.approx(jump * (1 + 2 * thrown), rel=1e-3)


def test_a_narrow_upper_pipe_makes_it_worse():
    """It throws the wave back as a rise: more than a V/g of the last section."""
    pipes = [Pipe(600.0, 30.0, 1000.0), Pipe(300.0, 40.0, 1000.0)]
    run = close(pipes, 200.0, 0.8, 0.0, reaches=300)
    assert run.rise > 1.2 * 1000 * 0.8e-3 / pipes[1].area / 9.80665


def test_cutting_a_pipe_in_three_changes_nothing():
    """Three equal sections end to end are one pipe, with friction and a real valve."""
    whole = close([Pipe(600.0, 40.0, 1000.0, 0.02)], 90.0, 1.2, 1.5, "opening", reaches=300)
    parts = [Pipe(length, 40.0, 1000.0, 0.02) for length in (100.0, 200.0, 300.0)]
    cut = close(parts, 90.0, 1.2, 1.5, "opening", reaches=300)
    count = min(len(whole.times), len(cut.times))
    assert cut.valve_heads[:count] == pytest.approx(whole.valve_heads[:count], rel=1e-9)
    assert cut.max_head == pytest.approx(whole.max_head, rel=1e-9)


def test_a_valve_left_alone_leaves_the_water_steady():
    """Nothing closes: heads and flow of the friction line stay as they were."""
    pipes = [Pipe(300.0, 50.0, 900.0, 0.02), Pipe(200.0, 40.0, 1100.0, 0.025)]
    for law in ("flow", "opening"):
        run = close(pipes, 100.0, 2.0, 1.0, law, left=1.0)
        assert np.ptp(run.valve_heads) < 1e-8
        assert run.highest == pytest.approx(run.lowest, abs=1e-8)
        assert run.valve_flows == pytest.approx(2.0, rel=1e-9)


def allievi(steps, rho):
    """Relative heads at the ends of the turns 2L/a, frictionless, the opening falling in `steps` turns.

    L. Allievi's chain: z_i^2 + z_(i-1)^2 - 2 = 2 rho (eta_(i-1) z_(i-1) - eta_i z_i), z^2 the head over the
    static head, eta the opening, rho = a V0/(2 g H0). From memory, not looked up.
    """
    relative = [1.0]
    for turn in range(1, steps + 3):
        before = max(0.0, 1 - (turn - 1) / steps)
        now = max(0.0, 1 - turn / steps)
        right = 2 - relative[-1] ** 2 + 2 * rho * before * relative[-1]
        relative.append(-rho * now + math.sqrt((rho * now) ** 2 + right))
    return np.array(relative) ** 2


@pytest.mark.parametrize(("steps", "rho"), [(2, 0.5), (4, 0.8), (4, 2.0), (10, 5.0)])
def test_a_closing_opening_follows_allievi(steps, rho):
    """Heads at the end of each turn; the opening falls in a straight line."""
    speed, length, velocity = 1000.0, 400.0, 1.5
    static = speed * velocity / (2 * 9.80665 * rho)
    pipes, flow = line(speed, length, 40, velocity)
    turn = 2 * length / speed
    run = close(pipes, static, flow, steps * turn, "opening", reaches=100, duration=(steps + 2.5) * turn)
    heads = np.interp(np.arange(steps + 3) * turn, run.times, run.valve_heads)
    assert heads / static == pytest.approx(allievi(steps, rho), rel=1e-6)


def test_a_hand_on_the_valve_can_do_worse_than_the_slow_closure_formula():
    """Without friction less than 2 L V/(g T); with little head left at the valve several times as much."""
    formula = 2 * 400 * 1.5 / (9.80665 * 8.0)
    pipes, flow = line(1000.0, 400.0, 40, 1.5)
    assert close(pipes, 40.0, flow, 8.0, "flow").rise == pytest.approx(formula, rel=1e-6)
    assert close(pipes, 40.0, flow, 8.0, "opening").rise < formula
    pipes, flow = line(1000.0, 400.0, 40, 1.5, friction_factor=0.03)
    for head, least in ((40.0, 1.8), (35.0, 5.5)):
        run = close(pipes, head, flow, 8.0, "opening")
        assert run.max_head_at_valve - head > least * formula


def test_finer_reaches_do_not_change_the_answer():
    """Within 0.2 % for a line of three sections with friction."""
    pipes = [Pipe(260.0, 51.4, 330.0, 0.021), Pipe(180.0, 40.8, 345.0, 0.022), Pipe(90.0, 40.9, 1350.0, 0.03)]
    coarse, fine = (close(pipes, 80.0, 1.6, 2.0, "opening", reaches=reaches) for reaches in (200, 600))
    assert coarse.max_head_at_valve == pytest.approx(fine.max_head_at_valve, rel=2e-3)
    assert coarse.max_head == pytest.approx(fine.max_head, rel=2e-3)


def test_nonsense_is_refused():
    """A law or a line that is none, friction beyond the head, a section too short for the reaches."""
    pipe = Pipe(400.0, 40.0, 1000.0)
    with pytest.raises(ValueError, match="law"):
        close([pipe], 50.0, 1.0, 1.0, "slam")
    with pytest.raises(ValueError, match="sections"):
        close([pipe] * 4, 50.0, 1.0, 1.0)
    with pytest.raises(ValueError, match="friction"):
        close([Pipe(4000.0, 20.0, 1000.0, 0.03)], 10.0, 1.0, 1.0)
    with pytest.raises(ValueError, match="reaches"):
        close([pipe, Pipe(0.3, 40.0, 1000.0)], 50.0, 1.0, 1.0, reaches=50)


# K. Subramanya, as above: Ex. 14.12 p. 358 (oil of relative density 0.80 with water 998) and Ex. 14.20 p.
# 360.
def test_wave_speeds_are_the_printed_ones():
    """980.4 m/s in an oil line, 1484.7 m/s in a rigid pipe."""
    assert korteweg(1.43e9, 0.80 * WATER, 2.5, 0.020, 207e9) == pytest.approx(980.4, abs=0.05)
    assert korteweg(2.2e9, WATER, 1.0, 1.0, 1e30) == pytest.approx(1484.7, abs=0.1)
