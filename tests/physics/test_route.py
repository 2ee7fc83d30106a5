"""Heads and pressures along the pipe: limits, and what must hold for any route."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc
from hydrofunc.physics import route

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


def test_the_bore_at_a_place_is_that_of_the_section_it_lies_in():
    """At a joint that of the upper section; a section of no length is none, and the last goes on to the end."""
    three = {"length": 100, "bore": 60, "length_2": 50, "bore_2": 50, "length_3": 25, "bore_3": 40}
    places = np.array([0, 0.5, 100, 100.5, 150, 150.5, 175])
    assert hydrofunc.bore_at(places, **three).tolist() == [60, 60, 60, 50, 50, 40, 40]
    two = three | {"length_2": 0, "bore_2": 0}
    assert hydrofunc.bore_at(np.array([99, 100, 100.5, 125]), **two).tolist() == [60, 60, 40, 40]
    assert hydrofunc.bore_at(np.array([99, 100]), 100, 60).tolist() == [60, 60]
    beyond = {"chainage": np.array([180, 180 + 1e-9, 200]), "length_2": 0, "bore_2": 0, "length_3": 0, "bore_3": 0}
    assert route.bore_at.flat(length=180, bore=0.04, **beyond).tolist() == [0.04] * 3


def test_the_loss_along_three_sections_is_that_of_each_pipe_by_itself():
    """Half way down each section: the whole sections above, and half of this one; fittings stand at the intake."""
    sections = {"length": 100, "bore": 60, "roughness": 0.01} | {"length_2": 50, "bore_2": 50, "roughness_2": 0.02}
    sections |= {"length_3": 25, "bore_3": 40, "roughness_3": 0.03}
    each = [
        hydrofunc.friction_head(2.0, length, bore, roughness)
        for length, bore, roughness in ((100, 60, 0.01), (50, 50, 0.02), (25, 40, 0.03))
    ]
    places = np.array([50.0, 125.0, 162.5, 175.0])
    lost = hydrofunc.lost_head_at(places, 2.0, **sections)
    expected = [each[0] / 2, each[0] + each[1] / 2, each[0] + each[1] + each[2] / 2, sum(each)]
    assert lost.tolist() == pytest.approx(expected, rel=1e-12)
    fittings = 3.0 * hydrofunc.velocity_head(2.0, 60)
    assert hydrofunc.lost_head_at(1e-6, 2.0, fittings=3.0, **sections) == pytest.approx(fittings, rel=1e-6)
    assert hydrofunc.lost_head_at(0, 2.0, fittings=3.0, **sections) == 0


def test_water_boils_at_the_top_of_a_siphon_at_the_height_of_a_barometer():
    """At the sea and 10 °C: 101.325 kPa less 1.228 kPa over 999.70 kg/m³ (IAPWS) and 9.80665 m/s² are 10.210 m; a
    quarter kept in hand leaves three quarters."""
    assert hydrofunc.available_suction(0, 10) == pytest.approx(100097 / (999.70 * 9.80665), abs=0.002)
    assert hydrofunc.available_suction(0, 10, margin=25) == pytest.approx(
        0.75 * hydrofunc.available_suction(0, 10), rel=1e-12
    )


def test_a_metre_per_second_is_five_centimetres_of_head():
    """V² / 2g: 1 m/s is 0.05099 m, and twice the velocity four times that."""
    litres = np.pi / 4 * 50**2 / 1000  # of 1 m/s in 50 mm
    assert hydrofunc.velocity_head(litres, 50) == pytest.approx(1 / (2 * 9.80665), rel=1e-12)
    assert hydrofunc.velocity_head(2 * litres, 50) == pytest.approx(4 / (2 * 9.80665), rel=1e-12)
    assert hydrofunc.gauge_pressure(20, 10) == pytest.approx(20 * hydrofunc.gauge_pressure(1, 10), rel=1e-12)
