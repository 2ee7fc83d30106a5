"""Sites are the same for a seed, sensible, and made as proposed."""

import numpy as np
import pytest

from . import sites
from .names import QUANTITIES

BOUNDS = {
    "gross_head": (15, 150),
    "pipe_length": (100, 1500),
    "pipe_bore": (9, 60),
    "pipe_roughness": (0.0015, 0.6),
    "velocity_coefficient": (0.9, 1),
    "contraction": (0.6, 1),
    "alignment": (0.5, 1),
    "cup_friction": (0.5, 1),
    "deflection": (140, 180),
    "left_in_stream": (0, 50),
}


@pytest.fixture(scope="module")
def found() -> list[sites.Site]:
    """Two hundred sites."""
    return sites.sites(3, 200)


def test_a_seed_gives_the_same_sites(found: list[sites.Site]) -> None:
    """And another seed others; random numbers for one purpose are the same whenever asked for."""
    assert sites.sites(3, 200) == found and sites.sites(3, 20) == found[:20]
    assert sites.sites(4, 200)[0].values != found[0].values
    assert found[0].rng("a", 1).random() == found[0].rng("a", 1).random() != found[0].rng("a", 2).random()


def test_sites_are_of_the_kind_asked_for(found: list[sites.Site]) -> None:
    """Every quantity there and positive but for what may be nothing; half with a machine; tens to hundreds of watts."""
    assert [site.at_hand for site in found] == [True, False] * 100 or sum(site.at_hand for site in found) == 100
    for site in found:
        assert set(QUANTITIES) <= set(site.values)
        assert all(site.values[name] > 0 for name in QUANTITIES if name != "left_in_stream")
        assert all(low <= site.values[name] <= high for name, (low, high) in BOUNDS.items())
        assert site.machine == site.at_hand
    power = [sites.watts(site) for site in found if site.machine]
    assert min(power) > sites.LEAST_WATTS and max(power) < sites.MOST_WATTS
    short = [
        site.values["source_flow"] * (1 - site.values["left_in_stream"] / 100) < 999 * site.values["pipe_flow"]
        for site in found
    ]
    assert 0.05 < np.mean(short) < 0.5


def test_a_machine_is_made_near_its_proposal(found: list[sites.Site]) -> None:
    """Within making tolerances about what was told; the rest of the site is untouched; no machine, no watts."""
    site = next(site for site in found if not site.at_hand)
    told = {
        "nozzle": 6.0,
        "pitch_diameter": 90.0,
        "phase_volts": 2 * site.values["phase_volts"],
        "connection": "delta",
    }
    with pytest.raises(ValueError, match="no machine"):
        sites.watts(site)
    rng = np.random.default_rng(0)
    made = [sites.delivered(site, told, rng) for _ in range(400)]
    for name in ("nozzle", "pitch_diameter", "phase_volts"):
        values = np.array([one.values[name] for one in made])
        assert values.mean() == pytest.approx(float(told[name]), rel=0.03)
        assert 0.002 < values.std() / values.mean() < 0.05
    ohms = np.mean([one.values["phase_resistance"] for one in made])
    assert ohms == pytest.approx(4 * site.values["phase_resistance"], rel=0.05)
    drag = np.mean([one.values["windage"] for one in made])
    assert drag == pytest.approx(site.values["windage"] * (90 / site.values["pitch_diameter"]) ** 5)
    assert made[0].machine and made[0].values["delta"] == 1 and not made[0].at_hand
    assert made[0].values["alignment"] == site.values["alignment"]
    assert sites.watts(made[0]) >= 0
    proposed = sites.delivered(site, {**told, "phase_resistance": 0.5}, rng)
    assert proposed.values["phase_resistance"] == pytest.approx(0.5, rel=0.4)


def test_others_alike_fit_the_facts(found: list[sites.Site]) -> None:
    """What was chosen stays, what was measured lies about its reading, the rest differs; made machines likewise."""
    for site in found[:2]:
        measured = {"gross_head": (site.values["gross_head"], 1.0), "fittings_k": (site.values["fittings_k"], 1.0)}
        if not site.at_hand:
            told = {name: site.values[name] for name in ("nozzle", "pitch_diameter", "phase_volts")}
            site = sites.delivered(site, told, np.random.default_rng(2))
        measured["nozzle"] = (site.values["nozzle"], 0.1)
        others = sites.alike(site, measured, np.random.default_rng(1), 60)
        assert len(others) == 60
        for other in others:
            assert other.values["system_volts"] == site.values["system_volts"]
            assert other.values["pole_pairs"] == site.values["pole_pairs"]
            for name, (value, half) in measured.items():
                assert abs(other.values[name] - value) < 3 * half
        assert np.std([other.values["source_flow"] for other in others]) > 0


def test_the_posterior_is_that_of_bayes() -> None:
    """A reading at the middle of a wide prior is the truth's mean and spread; a vague one leaves the prior."""
    choices = {"system_volts": 12.0}
    rng = np.random.default_rng(4)
    sharp = sites.posterior(choices, {"gross_head": (50.0, 4.0)}, rng, 4000)["gross_head"]
    assert sharp.mean() == pytest.approx(50, abs=0.4) and sharp.std() == pytest.approx(4 / 1.96, rel=0.15)
    vague = sites.posterior(choices, {"gross_head": (50.0, 900.0)}, rng, 4000)["gross_head"]
    prior = sites.posterior(choices, {}, rng, 4000)["gross_head"]
    assert vague.mean() == pytest.approx(prior.mean(), rel=0.05) and vague.std() == pytest.approx(prior.std(), rel=0.1)
    strange = sites.posterior(choices, {"gross_head": (400.0, 4.0)}, rng, 200)["gross_head"]
    assert strange.mean() == pytest.approx(400, abs=2)
