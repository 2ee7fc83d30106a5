"""Heads and pressures along the pipe: limits, and what must hold for any route."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc

lengths, bores = st.floats(10, 800), st.floats(15, 120)
flows = st.floats(0.05, 10)
PLANT_B = {
    "flow": 5.076356,
    "length": 250,
    "bore": 51.4,
    "roughness": 0.003,
    "fittings": 1.9,
    "temperature": 10,
    "gravity": 9.772685,
}


def series(lengths_and_bores):
    given = {}
    for i, (length, bore) in enumerate(lengths_and_bores, start=1):
        end = "" if i == 1 else f"_{i}"
        given |= {f"length{end}": length, f"bore{end}": bore, f"roughness{end}": 0.01}
    return given


def test_the_hump_of_plant_b_asks_for_more_suction_than_there_is():
    """12°S, 3200 m, 62 m of head over ground at 61 m at 110 m: the total head line runs 11.664 m below the pipe, 6.870
    m are available (scipy 1.17.1, fluids 1.3.1, iapws 1.5.5). The computed flow cannot be reached. The pressure is
    lower still by the velocity head."""
    line = 62 - hydrofunc.lost_head_at(110, **PLANT_B)
    assert line - 61 == pytest.approx(-11.664, abs=0.003)
    suction = hydrofunc.available_suction(3200, 10, 9.772685)
    assert suction == pytest.approx(6.870, abs=0.01) and 61 - line > suction
    moving = hydrofunc.velocity_head(5.076356, 51.4, 9.772685)
    pressure = hydrofunc.gauge_pressure(line - moving - 61, 10, 9.772685)
    assert pressure < hydrofunc.gauge_pressure(line - 61, 10, 9.772685) < -hydrofunc.air_pressure(3200)


def test_the_siphon_of_the_book_in_petrol():
    """Cengel and Cimbala, Ex. 5-7 p. 207: 2.75 m above the outlet, 750 kg/m³: 81.1 kPa absolute at the top (at 101.3
    kPa).
    """
    petrol = hydrofunc.gauge_pressure(-2.75, 10, 9.81) * 100 * 750 / hydrofunc.density(10)
    assert 101.3 + petrol == pytest.approx(81.1, abs=0.1)


@given(flows, lengths, bores, lengths, bores, lengths, bores)
def test_at_the_lower_end_it_is_the_loss_of_the_whole_pipe(flow, a, d, b, e, c, f):
    line = series([(a, d), (b, e), (c, f)])
    whole = hydrofunc.penstock_head(flow, fittings=2.0, **line)
    assert hydrofunc.lost_head_at(a + b + c, flow, fittings=2.0, **line) == pytest.approx(whole, rel=1e-9)


@given(flows, lengths, bores, lengths, bores)
def test_the_line_falls_all_the_way_and_has_no_step_at_a_joint(flow, a, d, b, e):
    line = series([(a, d), (b, e)])
    x = np.linspace(0, a + b, 30)
    assert np.all(np.diff(hydrofunc.lost_head_at(x, flow, fittings=1.0, **line)) > 0)
    before, after = hydrofunc.lost_head_at(np.array([a, a * (1 + 1e-9)]), flow, **line)
    assert after == pytest.approx(before, rel=1e-5, abs=1e-3)


@given(flows, lengths, bores, st.floats(0.01, 0.99))
def test_the_loss_to_a_point_is_that_of_a_pipe_cut_there(flow, length, bore, share):
    got = hydrofunc.lost_head_at(share * length, flow, length, bore, 0.01, 3.0)
    assert got == pytest.approx(
        hydrofunc.friction_head(flow, share * length, bore, 0.01) + hydrofunc.minor_head(flow, bore, 3.0), rel=1e-12
    )


def test_the_still_water_of_the_intake_has_lost_nothing():
    """Just below it all fittings are counted."""
    assert hydrofunc.lost_head_at(0, **PLANT_B) == 0
    assert hydrofunc.lost_head_at(1e-9, **PLANT_B) == pytest.approx(0.58181, abs=1e-5)


def test_each_point_finds_its_section():
    x = np.array([0, 100, 100.1, 250, 250.1, 300])
    assert hydrofunc.bore_at(x, 100, 50, 150, 40, 50, 30).tolist() == [50, 50, 40, 40, 30, 30]
    assert hydrofunc.bore_at(x[:3] / 2, 100, 50).tolist() == [50, 50, 50]
    assert hydrofunc.bore_at(120, 100, 50, 0, 0, 50, 30) == 30


def test_a_point_beyond_the_pipe_is_refused():
    with pytest.raises(hydrofunc.InputError, match="chainage: must not be beyond the end of the pipe"):
        hydrofunc.lost_head_at(251, **PLANT_B)


@given(st.floats(0, 5000), st.floats(0, 40), st.floats(0, 90))
def test_less_suction_higher_up_warmer_and_with_a_margin(altitude, temperature, margin):
    """Never more than the 10.33 m of the mean atmosphere at sea level over cold water."""
    there = hydrofunc.available_suction(altitude, temperature, 9.80665, margin)
    assert 0 < there <= 10.4
    assert hydrofunc.available_suction(altitude + 100, temperature, 9.80665, margin) < there
    assert there == pytest.approx(hydrofunc.available_suction(altitude, temperature) * (1 - margin / 100), rel=1e-12)


@given(st.floats(-1500, 1500), st.floats(0, 40))
def test_pressure_and_suction_are_the_same_law(line_above, temperature):
    pressure = hydrofunc.gauge_pressure(line_above, temperature)
    assert hydrofunc.gauge_pressure(-line_above, temperature) == -pressure
    assert abs(pressure) == pytest.approx(hydrofunc.static_pressure(abs(line_above), temperature), rel=1e-12)
