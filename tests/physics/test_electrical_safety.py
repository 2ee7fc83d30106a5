"""Cable ampacity, fuses, touch voltage and dump loads."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc
from hydrofunc.physics.electrical_safety import AMPACITY, FUSES, INSTALLATIONS

LAID = st.sampled_from(INSTALLATIONS)


@given(st.floats(1.5, 500), LAID, st.floats(-40, 60))
def test_a_thicker_cable_carries_no_less_and_a_warmer_one_no_more(area, laid, around):
    here = hydrofunc.cable_ampacity(area, "copper", laid, around)
    assert hydrofunc.cable_ampacity(1.2 * area, "copper", laid, around) >= here
    assert hydrofunc.cable_ampacity(area, "copper", laid, around + 5) <= here


def test_the_table_rises_with_size_and_aluminium_carries_less_than_copper():
    for (metal, laid), (areas, currents) in AMPACITY.items():
        assert np.all(np.diff(areas) > 0) and np.all(np.diff(currents) > 0), (metal, laid)
        assert np.all(np.diff(currents / areas) < 0), "a thin wire cools better for its metal"
        if metal == "aluminium":
            copper = dict(zip(*AMPACITY["copper", laid]))
            assert all(0.7 < current / copper[area] < 0.85 for area, current in zip(areas, currents))


def test_a_size_between_two_counts_as_the_smaller_and_none_below_the_smallest():
    assert hydrofunc.cable_ampacity(5.26) == hydrofunc.cable_ampacity(4)
    assert hydrofunc.cable_ampacity(300) == hydrofunc.cable_ampacity(120)
    with pytest.raises(hydrofunc.InputError, match="area: must be at least the smallest size"):
        hydrofunc.cable_ampacity(1)
    with pytest.raises(hydrofunc.InputError, match="area"):
        hydrofunc.cable_ampacity(16, "aluminium", "buried")
    some = hydrofunc.cable_ampacity(
        np.array([1.0, 1.5, 2.5]), "copper", np.array(["surface", "surface", "buried"], dtype=object), 20
    )
    assert np.isnan(some).tolist() == [True, False, False]


def test_cold_air_is_no_licence_for_more():
    """The printed factors end at 10 °C."""
    assert hydrofunc.cable_ampacity(6, ambient_temperature=-30) == hydrofunc.cable_ampacity(6, ambient_temperature=10)


def test_the_fuse_stands_between_current_and_cable():
    currents, carries = np.meshgrid(np.linspace(0, 200, 41), np.linspace(5, 260, 52))
    fuses = hydrofunc.fuse_size(currents, carries)
    fits = ~np.isnan(fuses)
    assert np.all(fuses[fits] <= carries[fits]) and np.all(fuses[fits] >= 1.25 * currents[fits] - 1e-9)
    assert set(fuses[fits]) <= set(FUSES)
    # The next smaller fuse would not carry the current, and no fuse fits where none is given.
    below = FUSES[np.maximum(np.searchsorted(FUSES, fuses[fits]) - 1, 0)]
    assert np.all((below < 1.25 * currents[fits]) | (below == FUSES[0]))
    gaps = [FUSES[(1.25 * i <= FUSES) & (z >= FUSES)].size for i, z in zip(currents[~fits], carries[~fits])]
    assert not any(gaps)


def test_a_cable_no_fuse_protects_is_refused():
    with pytest.raises(hydrofunc.InputError, match="ampacity: must be at least the next standard fuse"):
        hydrofunc.fuse_size(30, 38)


@given(st.floats(11, 1e5), st.floats(1, 1000))
def test_a_dump_load_takes_the_power_it_was_made_for(power, volts):
    ohms = hydrofunc.dump_resistance(power, volts)
    assert hydrofunc.dump_power(volts, ohms) == pytest.approx(power, rel=1e-12)
    assert hydrofunc.dump_power(volts / 2, ohms) == pytest.approx(power / 4, rel=1e-12)


def test_thin_air_carries_less_heat_off():
    """At 3000 m a third more air is needed than at the sea."""
    high = hydrofunc.cooling_air(500, air_pressure=hydrofunc.air_pressure(3000))
    assert high / hydrofunc.cooling_air(500) == pytest.approx(1 / 0.692, rel=1e-3)
    assert hydrofunc.cooling_air(0) == 0


def test_a_realistic_plant():
    """8 A at 26.5 V through 6 mm² in a conduit: 38 A ampacity, a fuse of 10 A, a dump load of about 3 Ω."""
    carries = hydrofunc.cable_ampacity(6)
    assert hydrofunc.fuse_size(8.0, carries) == 10
    assert hydrofunc.dump_resistance(1.25 * 217, 28.8) == pytest.approx(3.06, abs=0.01)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: hydrofunc.cable_ampacity(6, "steel"), "material"),
        (lambda: hydrofunc.cable_ampacity(6, "copper", "in a tree"), "installation"),
        (lambda: hydrofunc.cable_ampacity(6, "copper", "conduit", 70), "ambient_temperature"),
        (lambda: hydrofunc.fuse_size(-1, 20), "current"),
        (lambda: hydrofunc.touch_limit("bath"), "place"),
        (lambda: hydrofunc.dump_resistance(0, 24), "power"),
        (lambda: hydrofunc.dump_power(24, 0), "dump_resistance"),
        (lambda: hydrofunc.cooling_air(100, 0), "temperature_rise"),
    ],
)
def test_the_argument_to_blame_is_named(call, argument):
    with pytest.raises(hydrofunc.InputError) as error:
        call()
    assert error.value.argument == argument
