"""The units a person may choose, against the tables of the standards, and there and back again."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc
from hydrofunc.template import INPUTS
from hydrofunc.units import (
    CHOICES,
    NOT_LINEAR,
    SYSTEMS,
    TO_SI,
    alternatives,
    conversion,
    convert,
    find_unit,
    shown_unit,
)

PAIRS = [(chosen, unit) for unit, others in CHOICES.items() for chosen in others]
LINEAR = [(chosen, unit) for chosen, unit in PAIRS if chosen not in NOT_LINEAR]

# Units of inputs that nobody wants to choose, with the reason.
WITHOUT_CHOICE = {
    "text": "a word",
    "-": "a count or a ratio",
    "%": "the same everywhere",
    "°": "the same everywhere",
    "s": "the same everywhere",
    "min": "the same everywhere",
    "h": "the same everywhere",
    "day": "the same everywhere",
    "year": "the same everywhere",
    "rpm": "the same everywhere",
    "V": "the same everywhere",
    "A": "the same everywhere",
    "Ω": "the same everywhere",
    "mH": "the same everywhere",
    "W": "the trade says watts everywhere",
    "Ah": "the same everywhere",
    "%/K": "of data sheets, the same everywhere",
    "mV/K": "of data sheets, the same everywhere",
    "V/krpm": "of data sheets, the same everywhere",
    "mA/Ah": "of data sheets, the same everywhere",
    "m/s": "of limits only, as their sources state them",
    "W/krpm³": "a coefficient that no other trade has",
    "K": "a difference of temperatures: °F would be read as a temperature",
    "currency": "whichever the person pays in",
    "currency/kWh": "whichever the person pays in",
}


def test_every_unit_of_an_input_has_alternatives_or_a_reason_for_none():
    units = {item.unit for item in INPUTS}
    assert units <= set(CHOICES) | set(WITHOUT_CHOICE)
    assert not set(CHOICES) & set(WITHOUT_CHOICE)
    assert set(CHOICES) | set(WITHOUT_CHOICE) == units, "a unit without an input has no business here"


# NIST Special Publication 811, 2008 edition, Appendix B.8, "factors for units listed alphabetically", whose factors
# have seven digits, and are set bold where they are exact. Read from a transcription of NIST's page of that appendix.
# [one of ours, SI value as printed, exact there?]
PRINTED = [
    ("foot (ft)", "ft", "m", "3.048 E-01", True),
    ("inch (in)", "in", "mm", "2.54 E-02", True),
    ("square inch (in2)", "in²", "cm²", "6.4516 E-04", True),
    ("gallon (U.S.) (gal)", "US gal", "L", "3.785412 E-03", False),
    ("gallon (U.S.) per minute (gpm)", "US gpm", "L/s", "6.309020 E-05", False),
    ("pound-force per square inch (psi)", "psi", "bar", "6.894757 E+03", False),
    ("pound-force per square inch (psi)", "psi", "MPa", "6.894757 E+03", False),
    ("pound-force per square inch (psi)", "psi", "GPa", "6.894757 E+03", False),
    ("pound (avoirdupois) (lb)", "lb", "kg", "4.535924 E-01", False),
    ("pound per foot (lb/ft)", "lb/ft", "kg/m", "1.488164 E+00", False),
    ("pound-force foot (lbf · ft)", "lbf·ft", "N·m", "1.355818 E+00", False),
]


@pytest.mark.parametrize(("name", "chosen", "unit", "printed", "exact"), PRINTED)
def test_factors_are_those_printed_by_nist(name, chosen, unit, printed, exact):
    """To the last digit printed where NIST rounds, and exactly where it does not."""
    factor, offset = conversion(chosen, unit)
    digits, power = printed.split(" E")
    in_si = Fraction(repr(factor)) * Fraction(repr(TO_SI[unit][0]))
    half_a_digit = Fraction(0) if exact else Fraction(10) ** (int(power) - 6) / 2
    assert abs(in_si - Fraction(digits) * Fraction(10) ** int(power)) <= half_a_digit, name
    assert offset == 0


def test_every_factor_but_those_within_the_metric_system_stands_among_the_printed():
    """The litre per minute and the kilopascal are 1/60 and 1/100 by their names."""
    by_name = {("L/min", "L/s"), ("kPa", "bar"), ("°F", "°C")}
    assert {(chosen, unit) for _, chosen, unit, *_ in PRINTED} | by_name == set(LINEAR)
    assert convert(60.0, "L/min", "L/s") == pytest.approx(1, rel=1e-15)
    assert convert(100.0, "kPa", "bar") == 1


@pytest.mark.parametrize(
    ("chosen", "unit", "exact"),
    [
        # the legal definitions: 1 lb = 0.453 592 37 kg and 1 lbf that times 9.806 65 m/s² (footnotes of the same
        # appendix), the US gallon 231 in³ (NIST Handbook 44, Appendix C); all from memory, not looked up
        ("lb", "kg", Fraction("0.45359237")),
        ("psi", "bar", Fraction("0.45359237") * Fraction("9.80665") / Fraction("0.0254") ** 2 / 10**5),
        ("lbf·ft", "N·m", Fraction("0.45359237") * Fraction("9.80665") * Fraction("0.3048")),
        ("US gal", "L", Fraction("3.785411784")),
        ("US gpm", "L/s", Fraction("3.785411784") / 60),
    ],
)
def test_factors_that_nist_rounds_are_ours_to_the_last_bit(chosen, unit, exact):
    assert conversion(chosen, unit)[0] == float(exact)


@pytest.mark.parametrize(("fahrenheit", "celsius"), [(-40, -40), (32, 0), (50, 10), (212, 100)])
def test_temperatures_by_the_formula_of_nist(fahrenheit, celsius):
    """The same appendix: t/°C = (t/°F - 32)/1.8."""
    assert convert(float(fahrenheit), "°F", "°C") == pytest.approx(celsius, abs=1e-13)
    factor, offset = conversion("°F", "°C")
    assert fahrenheit * factor + offset == pytest.approx(celsius, abs=1e-13)


@given(st.sampled_from(PAIRS), st.floats(-1e6, 1e6))
def test_there_and_back(pair, value):
    chosen, unit = pair
    if chosen in NOT_LINEAR:
        with pytest.raises(ValueError, match=NOT_LINEAR[chosen]):
            conversion(chosen, unit)
        return
    size = abs(convert(value, chosen, unit)) + 20  # a temperature near 0 °C is a difference of larger numbers
    assert convert(convert(value, chosen, unit), unit, chosen) == pytest.approx(value, rel=1e-13, abs=1e-13 * size)


def test_wire_gauges_have_a_function_and_no_factor():
    """ASTM B258: No. 36 is 0.005 in, No. 0000 (-3) is 0.46 in across, by definition."""
    assert alternatives("mm²") == ("mm²", "AWG")
    area = getattr(hydrofunc, NOT_LINEAR["AWG"])
    for gauge, inches in ((36, 0.005), (-3, 0.46)):
        assert area(gauge) == pytest.approx(np.pi / 4 * convert(inches, "in", "mm") ** 2, rel=1e-12)


@pytest.mark.parametrize(("chosen", "other"), [("psi", "m"), ("kg", "N·m"), ("US gal", "US gpm"), ("ft", "in")])
def test_units_of_different_things_are_refused(chosen, other):
    with pytest.raises(ValueError, match="different things"):
        convert(1.0, chosen, other)
    with pytest.raises(ValueError, match="does not fit"):
        conversion(chosen, other)


def test_two_chosen_units_convert_by_way_of_the_functions_unit():
    assert convert(1.0, "psi", "kPa") == pytest.approx(6.894757, abs=5e-7)  # the same appendix, psi to kPa
    assert convert(np.array([0.0, 1.0]), "US gpm", "L/min") == pytest.approx([0, 3.785412], abs=5e-7)
    assert convert(7.0, "A", "A") == 7


def test_both_systems_name_units_that_fit():
    for units in SYSTEMS.values():
        assert set(units) == set(CHOICES)
        assert all(shown in alternatives(unit) for unit, shown in units.items())
    assert all(unit == shown for unit, shown in SYSTEMS["metric"].items())
    assert shown_unit("bar", "us") == "psi"
    assert shown_unit("mm²", "us") == "mm²", "a cross-section worked out is no whole gauge"
    assert shown_unit("V", "us") == "V"


@pytest.mark.parametrize(
    ("written", "unit"),
    [
        ("PSI", "psi"),
        (" psi ", "psi"),
        ("l/s", "L/s"),
        ("us GPM", "US gpm"),
        ("mm2", "mm²"),
        ("mm^2", "mm²"),
        ("sq in", "in²"),
        ("deg F", "°F"),
        ("C", "°C"),
        ("℃", "°C"),
        ("Nm", "N·m"),
        ("N m", "N·m"),
        ("ft-lb", "lbf·ft"),
        ("lb/ft", "lb/ft"),
        ("awg", "AWG"),
        ("Ohm", "Ω"),
        ("\u2126", "Ω"),
        ("W/krpm3", "W/krpm³"),
        ("-", "-"),
        ("gal", None),  # US or Imperial? 20 % apart
        ("gpm", None),
        ("furlong", None),
        ("", None),
    ],
)
def test_units_as_people_write_them(written, unit):
    assert find_unit(written) == unit


def test_every_unit_is_read_as_itself():
    for unit in (*TO_SI, *(chosen for chosen, _ in PAIRS)):
        assert find_unit(unit) == unit, "two units are written alike"
