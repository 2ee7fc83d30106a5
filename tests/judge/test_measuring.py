"""Instruments are as good as is said of them, and no better; and not to be had before their stage."""

import numpy as np
import pytest

from . import measuring
from .names import FIRST, QUANTITIES, STAGES
from .population import Population, Site
from .sites import OWN
from .sites_published import PUBLISHED

WAYS = [(name, way) for name, ways in measuring.WAYS.items() for way in ways]


@pytest.fixture(scope="module", params=(OWN, PUBLISHED), ids=lambda population: population.name)
def found(request: pytest.FixtureRequest) -> list[Site]:
    """Six hundred sites of each population."""
    population: Population = request.param
    return population.sites(8, 600)


@pytest.mark.parametrize(("name", "way"), WAYS)
def test_the_half_range_holds_about_95_of_100_readings(found: list[Site], name: str, way: str) -> None:
    """92 to 98.5 % (the seeing of nothing left in the stream, which is certain, aside)."""
    hits = []
    for site in found:
        if name == "left_in_stream" and site.values[name] == 0:
            continue
        value, half = measuring.measure(site, name, way, site.rng("test", name, way))
        assert half > 0 and value >= 0
        hits.append(abs(value - site.values[name]) <= half + 1e-9)
    assert 0.92 <= np.mean(hits) <= 0.985


def test_stages() -> None:
    """What needs parts waits for the bench, what needs water or a turning wheel for the test day."""
    assert set(measuring.WAYS) == set(QUANTITIES)
    assert set(FIRST) <= set(measuring.possible("survey"))
    bench = {"iron_drag", "bearing_drag", "phase_volts", "phase_resistance", "nozzle", "pitch_diameter"}
    assert not bench & set(measuring.possible("survey")) and bench <= set(measuring.possible("bench"))
    wheel = {"alignment", "cup_friction", "windage", "pipe_roughness", "velocity_coefficient", "contraction"}
    assert not wheel & set(measuring.possible("bench"))
    assert measuring.possible(STAGES[-1]) == QUANTITIES


def test_shares_are_whole() -> None:
    """The ways of a quantity are all there are."""
    for name, ways in measuring.WAYS.items():
        assert sum(way.share for way in ways.values()) == pytest.approx(1), name


def test_a_person_reads_the_same_twice(found: list[Site]) -> None:
    """The same way and reading whenever asked for; another number gives another reading."""
    site = found[0]
    assert measuring.usual_way(site, "gross_head") == measuring.usual_way(site, "gross_head")
    assert measuring.usual(site, "fittings_k") == measuring.usual(site, "fittings_k")
    assert measuring.usual(site, "fittings_k") != measuring.usual(site, "fittings_k", 1)
    assert {measuring.usual_way(one, "gross_head") for one in found} == set(measuring.WAYS["gross_head"])


def test_poles_are_counted(found: list[Site]) -> None:
    """Exactly."""
    site = found[0]
    assert measuring.measure(site, "pole_pairs", "counting", site.rng("x")) == (site.values["pole_pairs"], 0.0)
