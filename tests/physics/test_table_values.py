"""Every value of our data tables, typed once more or calculated, so that a wrong digit in a table is noticed.

A row says where its second value comes from. A value that was typed from memory says so: it still notices a slip of the
hand in the table, but not a mistake in what both typings remember.
"""

import itertools
import math

import fluids
import numpy as np
import pytest

import hydrofunc
from hydrofunc import units
from hydrofunc.errors import InputError
from hydrofunc.physics import (
    battery,
    cable,
    electrical_safety,
    fittings,
    parts,
    pipe_tables,
    strength,
    surge,
    survey,
    water,
)
from hydrofunc.physics.tables import rows_of


def same(ours, again, rel=1e-12):
    """All values of a table are those of its second typing."""
    assert ours == pytest.approx(again, rel=rel, abs=0)


# -- cables ----------------------------------------------------------------------------------------------------------

# The ampacities are typed a second time in test_electrical_safety.py. Columns A2, B2 and C of copper stand so also in
# ABNT NBR 5410:2004, table 36, as transcribed in public source text, and up to 16 mm² in SANS 10142-1:2019, table
# 6.3(a), as quoted on the web. Two other transcriptions stray: one has 15 for 14 A, one 92 to 244 for 90 to 232 A.
# IEC 60364-5-52, annex D, table D.52.1: the table's columns as I = a S^m; coefficients from memory, not looked up.
# The surface column of aluminium has another pair above 16 mm². The size called 50 mm² counts as 47.5 mm² there.
CURVES = {
    ("copper", "insulated wall"): (10.8, 0.6015),
    ("copper", "conduit"): (13.1, 0.600),
    ("copper", "surface"): (15.0, 0.625),
    ("copper", "buried duct"): (17.42, 0.540),
    ("aluminium", "insulated wall"): (8.361, 0.6025),
    ("aluminium", "conduit"): (10.24, 0.5994),
    ("aluminium", "surface"): (11.6, 0.625),
    ("aluminium", "surface, above 16"): (10.55, 0.640),
    ("aluminium", "buried duct"): (13.6, 0.540),
}


def _true(areas):
    return np.where(areas == 50, 47.5, areas)


@pytest.mark.parametrize(("material", "installation"), sorted(set(electrical_safety.AMPACITY) & set(CURVES)))
def test_ampacities_lie_on_the_curves_of_the_standard(material, installation):
    """Within the half ampere to which the small ones are rounded, and 0.7 %: none of the others strays by 2 %."""
    areas, amperes = electrical_safety.AMPACITY[material, installation]
    a, m = CURVES[material, installation]
    areas = _true(areas)
    curve = a * areas**m
    if (material, installation) == ("aluminium", "surface"):
        a, m = CURVES[material, "surface, above 16"]
        curve = np.where(areas > 16, a * areas**m, curve)
    assert np.all(np.abs(amperes - curve) < np.maximum(0.5, 0.007 * curve))


def test_a_directly_buried_cable_follows_a_curve_too():
    """No curve of this column is known to us, so a line through its own logarithms: no value strays by 3.5 %."""
    areas, amperes = electrical_safety.AMPACITY["copper", "buried"]
    areas, amperes = np.log(_true(areas)), np.log(amperes)
    slope, start = np.polyfit(areas, amperes, 1)
    assert 0.55 < slope < 0.6
    assert np.abs(amperes - start - slope * areas).max() < 0.035


@pytest.mark.parametrize("installation", ["insulated wall", "conduit", "surface", "buried duct"])
def test_aluminium_carries_less_by_the_root_of_its_resistance(installation):
    """The same heat I² R leaves the same cable, so currents go by 1/√ρ: 0.781 (IEC 60287-1-1's resistivities)."""
    copper, aluminium = (electrical_safety.AMPACITY[material, installation][1] for material in ("copper", "aluminium"))
    ratio = aluminium / copper[1:]
    assert np.all(np.abs(ratio / math.sqrt(1.7241 / 2.8264) - 1) < 0.06)
    assert np.median(ratio) == pytest.approx(0.781, rel=0.035)


def test_fuses_are_preferred_numbers():
    """Rated currents of fuse-links, IEC 60269-1: the series R10 of ISO 3, rounded as those series are; below 10 A, and
    12 A, typed from memory, not looked up."""
    small = [2, 4, 6, 8, 10, 12]
    rounded = {12.5: 12, 31.5: 32, 1.25: 1.25}
    series = [1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8]
    exact = [10 ** (step / 10) for step in range(10)]
    assert np.allclose(series, exact, rtol=0.0125)
    large = [rounded.get(value * 10**power, value * 10**power) for power in (1, 2, 3) for value in series]
    large = [value for value in large if 16 <= value <= 1250]
    same(electrical_safety.FUSES.tolist(), [*small, *large])


def test_metals_of_cables():
    """IEC 60028 (1925): annealed copper 1/58 Ω mm²/m, 0.00393 1/K, 8.89 g/cm³. IEC 60889: aluminium 28.264 nΩ m,
    0.00403 1/K, 2.703 g/cm³. Resistivities and coefficients as a transcription of IEC 60287-1-1, table 1, prints them
    (1.724e-8 and 2.826e-8 Ω m, 0.00393, 0.00403); densities from memory, not looked up."""
    same(cable.RESISTIVITY, {"copper": 0.017241e-6, "aluminium": 0.028264e-6}, 3e-5)
    same(cable.TEMPERATURE_COEFFICIENT, {"copper": 3.93e-3, "aluminium": 4.03e-3})
    same(parts.CONDUCTOR_DENSITY, {"copper": 8.89e3, "aluminium": 2.703e3})


def test_most_resistance_of_conductors():
    """IEC 60228:2004, tables 2 and 3, plain copper; class 2 up to 50 mm² as a transcription prints it, class 5 from
    memory, not looked up."""
    ohm_per_km = {
        "2": {1.5: 12.1, 2.5: 7.41, 4: 4.61, 6: 3.08, 10: 1.83, 16: 1.15, 25: 0.727, 35: 0.524, 50: 0.387},
        "5": {1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.30, 10: 1.91, 16: 1.21, 25: 0.780, 35: 0.554, 50: 0.386},
    }
    assert tuple(map(float, cable.CLASS_SIZES)) == tuple(ohm_per_km["2"]) == tuple(ohm_per_km["5"])
    for kind, row in ohm_per_km.items():
        assert cable.CLASS_RESISTANCE[kind] == pytest.approx(tuple(row.values()), rel=1e-12)
        pure = [1e3 * cable.RESISTIVITY["copper"] / (area * 1e-6) for area in row]
        assert all(1 < value / least < 1.18 for value, least in zip(row.values(), pure))


def test_touch_limits():
    """IEC 60364-4-41, 414.4.5: 60 V of smooth direct current dry, 30 V wet, 120 V behind covers; from memory, not
    looked up."""
    same(electrical_safety.TOUCH_LIMIT, {"dry": 60, "wet": 30, "covered": 120})


# -- pipes -----------------------------------------------------------------------------------------------------------

# R10 of ISO 3 by its law 10^(n/10), rounded as ISO 4065 does for S above 10.
PIPE_SERIES = {
    ("pe100 iso 4427", "sdr 11"): lambda d: 10**0.7,  # S 5
    ("pe100 iso 4427", "sdr 17"): lambda d: 10**0.9,  # S 8
    ("pvc-u iso 1452", "pn 10"): lambda d: 10.0 if d <= 90 else 10**1.1,  # S 10, S 12.5
    ("pvc-u iso 1452", "pn 16"): lambda d: 10**0.8 if d <= 90 else 10**0.9,  # S 6.3, S 8
}
# Thicker than the rule, as ISO 4427-2 prints them (two makers): no wall of small polyethylene pipe below 2.0 mm, and
# 3.0 mm for 32 mm.
THICKER = {("20", "sdr 11"): 2.0, ("32", "sdr 11"): 3.0, ("32", "sdr 17"): 2.0}


@pytest.mark.parametrize("row", [row for row in rows_of("pipes.csv") if not row["dn"]], ids=lambda row: row["size"])
def test_walls_of_plastic_pipe_follow_from_the_series_of_pipes(row):
    """ISO 4065: e = d/(2S + 1), rounded up to the next 0.1 mm (what is less than 0.005 mm above one is that one). The
    rule is from memory, not looked up; it gives all walls that two makers print."""
    outside = float(row["size"])
    exact = outside / (2 * PIPE_SERIES[row["standard"], row["class"]](outside) + 1)
    wall = math.ceil(round((exact - 0.005) * 10, 9)) / 10
    if row["standard"].startswith("pe100"):
        wall = THICKER.get((row["size"], row["class"]), wall)
    key = row["standard"], row["size"], row["class"]
    assert pipe_tables.WALL[key] * 1e3 == pytest.approx(wall, abs=1e-9)
    assert pipe_tables.OUTSIDE[key] * 1e3 == pytest.approx(outside, abs=1e-9)


# EN 10255:2004, table 1: outside diameter, medium (series M) and heavy (H) wall; from memory, not looked up.
TUBES = {
    "1/2": (21.3, 2.6, 3.2), "3/4": (26.9, 2.6, 3.2), "1": (33.7, 3.2, 4.0), "1 1/4": (42.4, 3.2, 4.0),
    "1 1/2": (48.3, 3.2, 4.0), "2": (60.3, 3.6, 4.5), "2 1/2": (76.1, 3.6, 4.5), "3": (88.9, 4.0, 5.0),
    "4": (114.3, 4.5, 5.4),
}  # fmt: skip


@pytest.mark.parametrize("size", TUBES)
def test_steel_tube(size):
    outside, medium, heavy = TUBES[size]
    for wall, class_ in ((medium, "medium"), (heavy, "heavy")):
        assert pipe_tables.OUTSIDE["en 10255", size, class_] * 1e3 == pytest.approx(outside, abs=1e-9)
        assert pipe_tables.WALL["en 10255", size, class_] * 1e3 == pytest.approx(wall, abs=1e-9)


def test_no_pipe_stands_without_a_second_value():
    """Plastic and tube above; ASME pipe beside the library fluids, in test_pipe_tables.py."""
    counts = {"plastic": 0, "tube": 0, "asme": 0}
    for row in rows_of("pipes.csv"):
        kind = {"en 10255": "tube", "asme b36.10": "asme"}.get(row["standard"], "plastic")
        counts[kind] += 1
    assert counts == {"plastic": 32, "tube": 2 * len(TUBES), "asme": 18}


# mm; new, used, fouled. Sources as in roughness.csv; typed a second time from memory where it says "common practice".
ROUGHNESS = {
    "polyethylene": (0.003, 0.007, 0.1),
    "pvc": (0.003, 0.007, 0.1),
    "steel": (0.045, 0.15, 1.0),
    "galvanised steel": (0.15, 0.3, 1.0),
    "cast iron": (0.26, 1.0, 1.5),
    "copper": (0.0015, 0.01, 0.1),
    "smooth hose": (0.03, 0.07, 0.3),
    "ribbed hose": (0.3, 1.0, 2.0),
}


def test_roughness_typed_twice():
    ours = {(material, condition): value * 1e3 for (material, condition), value in fittings.ROUGHNESS.items()}
    again = {(m, c): value for m, row in ROUGHNESS.items() for c, value in zip(("new", "used", "fouled"), row)}
    assert ours == pytest.approx(again, rel=1e-9)


def test_roughness_of_new_pipe_is_that_of_an_independent_library():
    """fluids 1.3.1, whose table is that of Moody's chart in feet, turned into metres."""
    moody = fluids.friction._roughness
    for ours, theirs in (("galvanised steel", "Galvanized iron"), ("cast iron", "Cast iron"), ("copper", "Brass")):
        assert fittings.ROUGHNESS[ours, "new"] == pytest.approx(moody[theirs], rel=0.0135)
    assert fittings.ROUGHNESS["steel", "new"] == pytest.approx(0.00015 * 0.3048, rel=0.02)  # 0.00015 ft, Moody 1944


def test_hazen_williams_coefficients():
    """Plastic and copper 150, new steel 120, cast iron 100 (some years old; new 130): common practice; typed a second
    time from memory."""
    again = {
        "polyethylene": 150, "pvc": 150, "copper": 150, "steel": 120, "galvanised steel": 120, "cast iron": 100,
    }  # fmt: skip
    same(fittings.HAZEN_WILLIAMS, again)


def test_strength_of_materials_follows_from_what_its_sources_state():
    """Design stress: strength over safety. PE100: MRS 10 MPa over 1.25 (ISO 4427-1); PVC-U: 25 over 2.5 (ISO 1452-2,
    to 90 mm); annealed copper 40, EN 1057 R220's 220 over 5.5; steel S195T: 195 over 1.5; grey iron: 150 over 6.
    Poisson's ratios, moduli and factors typed a second time, from memory, not looked up."""
    rows = {row["material"]: row for row in rows_of("materials.csv")}
    stress = {"polyethylene": 10 / 1.25, "pvc": 25 / 2.5, "copper": 220 / 5.5, "steel": 195 / 1.5, "cast iron": 150 / 6}
    gigapascal = {  # for a moment, for years
        "polyethylene": (round(1.43 * 1.6, 1), 0.2), "pvc": (3.6, 1.5), "copper": (120, 120), "steel": (200, 200),
        "cast iron": (100, 100),
    }  # fmt: skip
    poisson = {"polyethylene": 0.45, "pvc": 0.4, "copper": 0.34, "steel": 0.3, "cast iron": 0.26}
    warmth = {  # full strength to, hottest, factor there [°C, °C, -]; ISO 4427-1 annex A, ISO 1452-2 annex A
        "polyethylene": (20, 40, 0.74), "pvc": (25, 45, 0.63), "copper": (60, 100, 0.9), "steel": (60, 100, 0.9),
        "cast iron": (60, 100, 0.9),
    }  # fmt: skip
    for table in (stress, gigapascal, poisson, warmth):
        table["galvanised steel"] = table["steel"]
        assert set(table) == set(rows) == set(strength.MATERIALS)
    for material, (short, long) in gigapascal.items():
        assert hydrofunc.elastic_modulus(material, "short") == pytest.approx(short, rel=1e-9)
        assert hydrofunc.elastic_modulus(material, "long") == pytest.approx(long, rel=1e-9)
        assert hydrofunc.poisson_ratio(material) == pytest.approx(poisson[material], rel=1e-9)
        full_to, hottest, factor = warmth[material]
        assert hydrofunc.design_stress(material) == pytest.approx(stress[material], rel=1e-9)
        assert hydrofunc.temperature_factor(material, full_to) == pytest.approx(1, rel=1e-12)
        assert hydrofunc.temperature_factor(material, hottest) == pytest.approx(factor, rel=1e-9)
        middle = hydrofunc.temperature_factor(material, (full_to + hottest) / 2)
        assert middle == pytest.approx((1 + factor) / 2, rel=1e-9)
        with pytest.raises(InputError):
            hydrofunc.temperature_factor(material, hottest + 0.01)


def test_densities_of_pipes():
    """kg/m³. PE100 pipe compound 0.95 to 0.96 g/cm³; PVC-U 1350 to 1460 (ISO 1452-1); steel 7850 (EN 1993-1-1);
    ductile iron 7050 (ISO 2531); copper 8940 (Cu-DHP); rubber hose 1250: common practice. From
    memory, not looked up."""
    again = {
        "polyethylene": 955, "pvc": 1400, "steel": 7850, "galvanised steel": 7850, "cast iron": 7050, "copper": 8940,
        "smooth hose": 1250, "ribbed hose": 1250,
    }  # fmt: skip
    same(parts.PIPE_DENSITY, again)


def test_losses_of_fittings():
    """Crane TP-410 (metric edition), appendix A-26 to A-29: n of K = n fT, and K; from memory, not looked up."""
    again = {
        "gate valve": 8, "ball valve": 3, "globe valve": 340, "swing check valve": 100, "90 elbow": 30, "45 elbow": 16,
        "long bend": 14, "tee run": 20, "tee branch": 60,
    }  # fmt: skip
    same(fittings.OF_TURBULENT_FACTOR, again)
    edges = {"sharp entrance": 0.5, "rounded entrance": 0.04, "projecting entrance": 0.78, "exit": 1}
    same(fittings.CONSTANT, edges)


def test_how_a_pipe_may_move():
    """Wylie and Streeter, Fluid Transients in Systems: c1 = 1 - mu/2 anchored upstream, 1 - mu² anchored throughout,
    1 with expansion joints; from memory, not looked up."""
    for mu in (0.3, 0.45):
        psi = {name: 1 - surge._FIRST[name] * mu - surge._SECOND[name] * mu**2 for name in surge.SUPPORTS}
        expected = {"expansion joints": 1, "anchored upstream": 1 - mu / 2, "anchored throughout": 1 - mu**2}
        assert psi == pytest.approx(expected, rel=1e-12)


# -- weirs -----------------------------------------------------------------------------------------------------------

# Crest over channel: C1, C2 of the USBR Water Measurement Manual (third edition), table of chapter 7 section 6, typed a
# second time from memory; and slope, start of C_e = start + slope h/p as M. G. Bos, Discharge Measurement Structures
# (ILRI 20, third edition 1989), table 5.2, rounds the same lines for metres; from memory, not looked up.
WEIRS = {
    0.2: (-0.0087, 3.152, -0.0018, 0.589), 0.4: (0.0317, 3.164, 0.0058, 0.591), 0.5: (0.0612, 3.173, 0.011, 0.592),
    0.6: (0.0995, 3.178, 0.018, 0.593), 0.7: (0.1602, 3.182, 0.030, 0.595), 0.8: (0.2376, 3.189, 0.045, 0.597),
    0.9: (0.3447, 3.205, 0.064, 0.599), 1.0: (0.4000, 3.220, 0.075, 0.602),
}  # fmt: skip
WIDER = {0.2: 2.4, 0.4: 2.7, 0.6: 3.6, 0.8: 4.2, 1.0: -0.9}  # k_b in mm, ISO 1438 and Bos, figure 5.3, from memory


@pytest.mark.parametrize("height_share", [0.1, 0.5, 1.0, 1.2])
@pytest.mark.parametrize("width_share", WEIRS)
def test_a_weir_at_several_widths_and_crest_heights(width_share, height_share):
    """The whole formula in feet, in plain Python, with the constants typed again: h 120 mm, channel of 1 m."""
    c1, c2, slope, start = WEIRS[width_share]
    head, channel = 120.0, 1000.0
    near = [share for share in WIDER if math.isclose(share, width_share)]
    wider = WIDER[near[0]] if near else np.interp(width_share, list(WIDER), list(WIDER.values()))
    feet = 304.8
    crest = (width_share * channel + wider) / feet
    cubic_feet = (c1 * height_share + c2) * crest * (head / feet + 0.003) ** 1.5
    ours = hydrofunc.rectangular_weir_flow(head, width_share * channel, channel, head / height_share)
    assert ours == pytest.approx(cubic_feet * 28.316846592, rel=1e-9)
    metric = 2 / 3 * (start + slope * height_share) * math.sqrt(2 * 9.81) * crest * 0.3048 * (head / 1e3 + 0.001) ** 1.5
    assert ours == pytest.approx(1e3 * metric, rel=4e-3)


def test_constants_of_weirs_typed_twice():
    """The ends of the tables and each value in them; below 0.2 the values of 0.2 hold (our choice: no narrower crest
    was measured)."""
    shares = [0.0, *WEIRS]
    rows = [WEIRS[0.2], *WEIRS.values()]
    same(survey._WIDTH_RATIO, tuple(shares))
    same(survey._C1, tuple(row[0] for row in rows))
    same(survey._C2, tuple(row[1] for row in rows))
    same(survey._KB_RATIO, (0.0, *WIDER))
    same(survey._KB, (2.4, *WIDER.values()))


@pytest.mark.parametrize(
    ("degrees", "coefficient", "correction"),
    # USBR Water Measurement Manual, figure 7-4 (curves of C_e and k_h), and ISO 1438: 90° 0.578 and 0.85 mm; the others
    # as read from the curve by Bos, figures 5.11 and 5.12, from memory: to 0.002, and to 0.15 mm.
    [(20, 0.595, 2.8), (40, 0.582, 1.75), (60, 0.577, 1.15), (80, 0.577, 0.92), (90, 0.578, 0.85), (100, 0.581, 0.80)],
)
def test_a_notch_at_several_angles(degrees, coefficient, correction):
    """By two heads the flow gives both: C_e and k_h."""
    heads = np.array([80.0, 300.0])
    flow = hydrofunc.vnotch_flow(heads, degrees)
    half = 8 / 15 * math.tan(math.radians(degrees / 2)) * math.sqrt(2 * 9.80665)
    root = (flow / 1e3 / half) ** 0.4
    slope = (root[1] - root[0]) / (heads[1] - heads[0]) * 1e3
    assert slope**2.5 == pytest.approx(coefficient, abs=0.003)
    assert root[0] / slope * 1e3 - heads[0] == pytest.approx(correction, abs=0.2)


# -- water -----------------------------------------------------------------------------------------------------------


def test_constants_of_water_typed_twice():
    """IAPWS R7-97(2012), table 34; W. Marczak, J. Acoust. Soc. Am. 102 (1997) 2776, table of coefficients: typed a
    second time from memory, and held by tests/referees and test_surge.py against other formulas."""
    again = """0.11670521452767e4 -0.72421316703206e6 -0.17073846940092e2 0.12020824702470e5 -0.32325550322333e7
        0.14915108613530e2 -0.48232657361591e4 0.40511340542057e6 -0.23855557567849 0.65017534844798e3"""
    same(water._SATURATION, tuple(map(float, again.split())), 1e-13)
    again = "1.402385e3 5.038813 -5.799136e-2 3.287156e-4 -1.398845e-6 2.787860e-9"
    same(surge._SOUND, tuple(map(float, again.split())))


# -- battery ---------------------------------------------------------------------------------------------------------

# Temperature [°F]: factor. IEEE Std 485, table 1, as a calculation program for battery technicians transcribes its
# chart for 77 °F (from 40 °F on); below 40 °F from memory, not looked up.
SIZE_FACTORS = {
    25: 1.52, 30: 1.43, 35: 1.35, 40: 1.30, 45: 1.25, 50: 1.19, 55: 1.15, 60: 1.11, 65: 1.08, 70: 1.04, 77: 1.00,
    80: 0.98, 85: 0.96, 90: 0.94, 95: 0.93, 100: 0.91, 110: 0.88, 120: 0.86,
}  # fmt: skip
# The same chart between those lines.
BETWEEN = {68: 1.056, 72: 1.029, 75: 1.011, 79: 0.987, 83: 0.968, 88: 0.948, 105: 0.89, 115: 0.87}


def test_a_cold_battery_holds_less():
    same(dict(zip(battery._FAHRENHEIT, battery._SIZE_FACTOR, strict=True)), SIZE_FACTORS)
    for fahrenheit, factor in (SIZE_FACTORS | BETWEEN).items():
        share = hydrofunc.cold_capacity(min(max((fahrenheit - 32) / 1.8, -3.8), 48.8))
        assert share == pytest.approx(100 / factor, rel=6e-3)


def test_rest_volts_and_freezing_points():
    """Volts: Battery Council International. Freezing points, typed a second time from memory, and beside two tables:

    - a United States Army technical manual for road rollers, table III, read in a copy on the web: acid of 1.280,
      1.250, 1.200, 1.150 and 1.100 freezes at -90, -62, -16, 5 and 19 °F;
    - a maker of snow vehicles, owner's manual: 1.265, 1.225, 1.200, 1.150 and 1.100 at -75, -35, -17, 5 and 18 °F.

    A maker of batteries prints 1.265, 1.225, 1.190, 1.160 and 1.120, in the middle, for full to empty. Ours are on the
    warm side of both tables, by 0 to 5 K.
    """
    same(battery._CHARGE, (0, 0.25, 0.5, 0.75, 1))
    same(battery._REST_VOLTS, (11.89, 12.06, 12.24, 12.45, 12.65))
    same(battery._FREEZING, (-8, -15, -24, -36, -55))
    acid = (1.120, 1.160, 1.190, 1.225, 1.265)
    army = (np.interp(acid, (1.1, 1.15, 1.2, 1.25, 1.28), (19, 5, -16, -62, -90)) - 32) / 1.8
    maker = (np.interp(acid, (1.1, 1.15, 1.2, 1.225, 1.265), (18, 5, -17, -35, -75)) - 32) / 1.8
    warmer = battery._FREEZING - np.maximum(army, maker)
    assert np.all((warmer > -0.5) & (warmer < 5)), warmer


def test_air_for_a_battery_room():
    """IEC 62485-2:2010, 7.2 and 7.3: Q = 0.05 n I_gas C 1e-3 m³/h with I in mA; A = 28 Q cm²; annex B: d = 28.8
    ∛(I_gas) mm with I in mA. A second typing, in other units, from memory, not looked up."""
    same(battery._AIR * 3600, 0.05)
    same(battery._OPENING / 3600, 0.0028)
    same(battery._DISTANCE, 0.0288)
    assert battery._CELLS_TABULATED == 6  # the voltages are those of a battery of 12 V


# -- units -----------------------------------------------------------------------------------------------------------


def test_units_of_our_functions():
    """SI brochure, ninth edition: prefixes, bar, minute, hour, day, degree; the Julian year of 365.25 days (IAU); a
    revolution is 2π rad."""
    turn = 2 * math.pi
    one = "- m m² m³ m/s m/s² kg/m³ kg s K Hz kg/m N N·m W V A Ω currency".split()
    year = 31_557_600
    again = dict.fromkeys(one, 1) | {
        "%": 1 / 100, "mm": 1 / 1000, "cm": 1 / 100, "cm²": 1 / 10_000, "mm²": 1 / 1_000_000, "L": 1 / 1000,
        "L/s": 1 / 1000, "m³/h": 1 / 3600, "mm²/s": 1 / 1_000_000, "ms": 1 / 1000, "min": 60, "h": 3600, "day": 86_400,
        "year": year, "1/month": 12 / year, "bar": 100_000, "MPa": 1_000_000, "GPa": 1_000_000_000, "°C": 1,
        "°": turn / 360, "rpm": turn / 60, "kN": 1000, "Wh": 3600, "kWh": 3_600_000, "Ah": 3600,
        "mA/Ah": 1 / 1000 / 3600, "mV/K": 1 / 1000, "%/K": 1 / 100, "Ω/km": 1 / 1000, "mH": 1 / 1000,
        "V/krpm": 60 / turn / 1000, "currency/kWh": 1 / 3_600_000, "W/krpm³": (60 / turn / 1000) ** 3,
    }  # fmt: skip
    same({unit: factor for unit, (factor, _) in units.TO_SI.items()}, again)
    assert {unit: start for unit, (_, start) in units.TO_SI.items() if start} == {"°C": 273.15}


def test_tables_rise_or_fall_as_they_must():
    """A cheap check of another kind: no two values changed places."""
    rising = [
        *(columns[1] for columns in electrical_safety.AMPACITY.values()),
        electrical_safety.FUSES, survey._C1, survey._C2, battery._REST_VOLTS, battery._FAHRENHEIT,
        *(row for row in ROUGHNESS.values()),
    ]  # fmt: skip
    assert all(a <= b for row in rising for a, b in itertools.pairwise(row))
    falling = [battery._SIZE_FACTOR, battery._FREEZING, *cable.CLASS_RESISTANCE.values()]
    assert all(a > b for row in falling for a, b in itertools.pairwise(row))
