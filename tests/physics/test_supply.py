"""Water over the year, and a tank that gathers it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

import hydrofunc
from hydrofunc.physics import supply

records = st.lists(st.floats(0, 50), min_size=3, max_size=60)


@given(records, st.floats(0.001, 0.999))
def test_the_duration_curve_is_the_weibull_quantile_of_numpy_within_the_record(flows, share):
    count = len(flows)
    found = supply.flow_exceeded(flows, share)
    if 1 / (count + 1) <= share <= count / (count + 1):
        assert found == pytest.approx(np.quantile(flows, 1 - share, method="weibull"), rel=1e-9, abs=1e-9)
    else:
        assert np.isnan(found)


@given(records)
def test_every_value_of_the_record_lies_on_its_plotting_position(flows):
    count = len(flows)
    for place, flow in enumerate(sorted(flows, reverse=True), start=1):
        assert hydrofunc.flow_exceeded(flows, 100 * place / (count + 1)) == pytest.approx(flow, rel=1e-12, abs=1e-12)


def test_a_record_says_nothing_beyond_its_ends():
    with pytest.raises(hydrofunc.InputError, match="time_share: must lie between"):
        hydrofunc.flow_exceeded([1.0, 2.0, 3.0], 95)


def test_a_record_of_any_length_and_many_shares_at_once():
    flows = np.arange(1.0, 366.0)
    curve = hydrofunc.flow_exceeded(flows, np.array([10.0, 50.0, 90.0]))
    assert curve == pytest.approx([329.4, 183.0, 36.6])
    assert np.isnan(supply.flow_exceeded([1.0, np.nan, 2.0], 0.5))


@given(st.floats(50, 1e5), st.floats(0.05, 20), st.floats(0.01, 0.99))
def test_in_a_cycle_of_the_tank_as_much_leaves_as_came(tank_volume, flow, part):
    inflow = part * flow
    running = hydrofunc.tank_running_time(tank_volume, flow, inflow)
    filling = hydrofunc.tank_refill_time(tank_volume, inflow)
    assert running * flow == pytest.approx((running + filling) * inflow, rel=1e-9)
    assert running / (running + filling) == pytest.approx(part, rel=1e-9)
    assert hydrofunc.tank_runs(tank_volume, flow, inflow) == pytest.approx(24 / (running + filling), rel=1e-9)


def test_a_tank_never_runs_empty_where_the_source_is_enough():
    assert hydrofunc.tank_runs(1000, 1.0, 1.0) == 0 == hydrofunc.tank_runs(1000, 1.0, 3.0)
    with pytest.raises(hydrofunc.InputError, match="inflow"):
        hydrofunc.tank_running_time(1000, 1.0, 1.0)


def test_a_draining_tank_follows_the_hole_at_every_moment():
    """Against an integration in time, scipy 1.17.1."""
    area, hole, rate = 2.0, 0.03, 0.61
    opening = rate * np.pi / 4 * hole**2

    def nearly(_, level):
        return level[0] - 0.2

    nearly.terminal = True
    fall = solve_ivp(
        lambda _, level: -opening * np.sqrt(2 * 9.80665 * level) / area,
        (0, 1e5),
        [1.5],
        events=nearly,
        rtol=1e-10,
        atol=1e-12,
    )
    assert hydrofunc.tank_emptying_time(area, 30, 1.5, 0.2) * 60 == pytest.approx(fall.t_events[0][0], rel=1e-6)


def test_half_the_water_through_an_unchanged_nozzle_gives_an_eighth_of_the_jets_power():
    """What the Supply sheet says of a source too small."""

    def power(flow):
        return hydrofunc.jet_power(flow, hydrofunc.jet_velocity(hydrofunc.nozzle_head(flow, 8)))

    assert power(0.5) == pytest.approx(power(1.0) / 8, rel=1e-12)
