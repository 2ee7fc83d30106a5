"""Strength of the wall, forces, supports: limits and invariants beside the reference values."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc
from hydrofunc.physics import fittings, pipe_tables, strength

outsides, ratios, pressures = st.floats(15, 400), st.floats(3, 60), st.floats(0.1, 60)


@given(pressures, outsides, ratios)
def test_barlow_is_never_too_low_and_the_bore_never_enough(pressure, outside, ratio):
    """The trap of D06: with the bore the stress lies below Lamé's, with the outside diameter above."""
    thin, exact, safe = (
        hydrofunc.hoop_stress(pressure, outside, outside / ratio, way) for way in ("bore", "lame", "barlow")
    )
    assert thin < exact < safe
    if ratio > 40:
        assert safe == pytest.approx(exact, rel=0.05), "all agree in a thin wall"


def test_the_wall_of_a_large_main():
    """K. Subramanya, Ex. 2.37 p. 38: 1000 kPa, 2.5 m and 120 MPa want 10.42 mm."""
    assert strength.hoop_stress(1e6, 2.5, 0.01042, "barlow") == pytest.approx(120e6, rel=5e-4)


def test_the_greatest_shear_is_half_the_difference_of_the_stresses_in_the_wall():
    """Bhavikatti, Ex. 8.8.1 p. 322: hoop 50, along 25, shear 12.5 MPa: along the pipe half of the hoop stress, from the
    push on its end.
    """
    hoop = hydrofunc.hoop_stress(15, 1030, 15, "bore")
    along = hydrofunc.end_force(15, 1000) / (math.pi * 1000 * 15)
    assert along == pytest.approx(25, rel=1e-12) and (hoop - along) / 2 == pytest.approx(12.5, rel=1e-12)


@given(outsides, ratios, st.floats(1, 200))
def test_the_class_of_a_wall_brings_it_to_its_design_stress(outside, ratio, stress):
    """On the mean diameter."""
    wall = outside / ratio
    held = hydrofunc.wall_pressure(outside, wall, stress)
    assert held / 10 * (outside - wall) / (2 * wall) == pytest.approx(stress, rel=1e-12)


@pytest.mark.parametrize(
    "size", [size for size in pipe_tables.SIZES if ("pe100 iso 4427", size, "sdr 11") in pipe_tables.WALL]
)
@pytest.mark.parametrize(("pipe_class", "pressure"), [("sdr 11", 16), ("sdr 17", 10)])
def test_listed_pe_pipe_holds_its_class(size, pipe_class, pressure):
    """PE100 of SDR 11 is PN 16, of SDR 17 PN 10: never less, and more only by the rounding up of thin walls."""
    if ("pe100 iso 4427", size, pipe_class) in pipe_tables.WALL:
        pipe = ("pe100 iso 4427", size, pipe_class)
        held = hydrofunc.wall_pressure(hydrofunc.pipe_outside(*pipe), hydrofunc.pipe_wall(*pipe), 8)
        assert 0.975 * pressure < held < 1.2 * pressure


@given(st.sampled_from(("polyethylene", "pvc")), st.floats(0, 40))
def test_plastic_only_loses_by_warmth(material, temperature):
    cooler, warmer = hydrofunc.temperature_factor(material, np.array([temperature, min(40, temperature + 1)]))
    assert 0.6 < warmer <= cooler <= 1


def test_no_factor_is_made_up_for_plastic_hotter_than_published():
    with pytest.raises(hydrofunc.InputError, match="wall_temperature: must not be above the hottest"):
        hydrofunc.temperature_factor("polyethylene", 41)
    with pytest.raises(hydrofunc.InputError, match="hottest"):
        hydrofunc.temperature_factor("pvc", 45.1)


def test_every_material_has_sensible_figures_and_a_source():
    """Long modulus not above the short one; Poisson's ratio below a half; words the pipe sheet knows too."""
    for material in strength.MATERIALS:
        assert material in fittings.MATERIALS
        assert hydrofunc.elastic_modulus(material, "long") <= hydrofunc.elastic_modulus(material, "short")
        assert 0 < hydrofunc.poisson_ratio(material) < 0.5
        assert hydrofunc.design_stress(material) < 1000 * hydrofunc.elastic_modulus(material) / 50
    assert all(len(row["source"]) > 5 for row in strength._LISTED)


def test_a_wave_in_plastic_is_taken_no_slower_than_it_was_measured():
    """HDPE, SDR 11, 63 mm, about 20 °C: 395 m/s. D. Covas and others, The dynamic effect of pipe-wall viscoelasticity
    in hydraulic transients, part 1, J. Hydraulic Research 42 (2004) 516-530 (from memory, not looked up)."""
    modulus = hydrofunc.elastic_modulus("polyethylene", "short")
    for support in ("expansion joints", "anchored throughout"):
        speed = hydrofunc.wave_speed(50.6, 6.2, modulus, 0.45, support, 2.19, 998)
        assert 395 < speed < 1.45 * 395


@given(pressures, st.floats(0, 10), outsides, st.floats(0, 180))
def test_a_bend_is_pushed_as_two_ends_are(pressure, flow, outside, angle):
    """A straight pipe not at all; a full turn by twice the end; each way the same as two pushes added as arrows."""
    bore = 0.8 * outside
    force = hydrofunc.bend_force(pressure, flow, outside, bore, angle, 1000)
    end = hydrofunc.end_force(pressure, outside) + flow * hydrofunc.pipe_velocity(flow, bore)
    arrows = math.hypot(1 - math.cos(math.radians(angle)), math.sin(math.radians(angle))) * end
    assert force == pytest.approx(arrows, rel=1e-9, abs=1e-6)


@given(outsides, ratios, st.floats(0.2, 200), st.floats(0.1, 1))
def test_the_span_gives_back_the_sag(outside, ratio, modulus, sag):
    """5 w L⁴ / (384 E I) of the span found."""
    wall, load = outside / ratio, 5.0
    span = hydrofunc.support_spacing(outside, wall, modulus, load, sag)
    moment = math.pi / 64 * (outside**4 - (outside - 2 * wall) ** 4) * 1e-12
    assert 5 * load * 9.80665 * span**4 / (384 * modulus * 1e9 * moment) == pytest.approx(sag / 100 * span, rel=1e-9)


def test_every_section_holds_what_its_own_bore_holds():
    """10 cm² hold 1 L in each metre; twice the bore holds 4 L, half of it a quarter: 100 + 4 x 50 + 40 / 4 = 310 L."""
    bore = math.sqrt(4 * 1000 / math.pi)  # mm, of 1000 mm²
    assert hydrofunc.pipe_volume(100, bore) == pytest.approx(100, rel=1e-12)
    assert hydrofunc.pipe_volume(100, bore, 50, 2 * bore, 40, bore / 2) == pytest.approx(310, rel=1e-12)
    assert hydrofunc.pipe_volume(100, bore, 0, 0, 40, bore / 2) == pytest.approx(110, rel=1e-12)


def test_a_wall_thicker_than_the_pipe_is_refused():
    with pytest.raises(hydrofunc.InputError, match="wall: must be less than half of outside"):
        hydrofunc.hoop_stress(10, 40, 20)


def test_ice_needs_the_room_the_sheet_says():
    """916.72 kg/m³ at 0 °C (iapws 1.5.5, IAPWS R10-06(2009)): a good 9 % more than the water it was."""
    assert hydrofunc.density(0.0) / 916.72 == pytest.approx(1.0907, abs=2e-4)


def test_each_section_of_pipe_holds_its_length_times_its_opening():
    """A metre of 100 mm pipe holds 7.854 L, of 50 mm a quarter of that, of 200 mm four times it."""
    metre = 7.853981633974483
    assert hydrofunc.pipe_volume(1, 100) == pytest.approx(metre, rel=1e-12)
    assert hydrofunc.pipe_volume(3, 100, 5, 50, 7, 200) == pytest.approx(metre * (3 + 5 / 4 + 7 * 4), rel=1e-12)


def test_the_stress_in_a_thick_wall_is_exactly_that_of_lame():
    """Bore 40, outside 80 mm: (80² + 40²) / (80² - 40²) = 5/3 of the pressure; by the bore 1, by the outside 2."""
    stresses = [hydrofunc.hoop_stress(10, 80, 20, way) for way in ("bore", "lame", "barlow")]
    assert stresses == pytest.approx([1.0, 5 / 3, 2.0], rel=1e-12)


def test_a_steel_pipe_full_of_water_spans_what_the_beam_formula_says():
    """60.3 x 3.9 mm of 206 GPa, 7.7 kg/m, sag 1 in 400: by hand I = π/64 (60.3⁴ - 52.5⁴) = 276 100 mm⁴,
    L³ = 384 E I sag / (5 w) = 384 · 206e9 · 2.761e-7 · 0.0025 / (5 · 7.7 · 9.80665)."""
    second_moment = math.pi / 64 * (60.3**4 - 52.5**4) * 1e-12
    assert second_moment == pytest.approx(2.761e-7, rel=1e-3)
    span = (384 * 206e9 * second_moment * 0.0025 / (5 * 7.7 * 9.80665)) ** (1 / 3)
    assert hydrofunc.support_spacing(60.3, 3.9, 206, 7.7, 0.25) == pytest.approx(span, rel=1e-12)
