"""The doubt generator: inputs scatter as stated, and a right band holds the truth as often as it says."""

import numpy as np
import pytest
from scipy import stats

from .doubt import SIZES, drawn, invented_site, invented_sites, plain_watts, value_of


@pytest.fixture(scope="module")
def sites():
    """Eighty invented sites."""
    return invented_sites(80, seed=3)


def standard(site, name):
    """Where the truth of one input lies in its own stated distribution, 0 to 1."""
    shape, size = site["doubt"][name]
    true, nominal = value_of(site["true_plant"], name), value_of(site["nominal"], name)
    if shape == "normal":
        return stats.norm.cdf((true - nominal) / size)
    if shape == "rectangular":
        return (true - nominal + size) / (2 * size)
    return stats.norm.cdf(np.log(true / nominal) / size)


@pytest.mark.parametrize("name", SIZES)
def test_each_input_scatters_as_stated(name, sites):
    """Its place in its own distribution is uniform over the sites (Kolmogorov-Smirnov)."""
    assert stats.kstest([standard(site, name) for site in sites], "uniform").pvalue > 0.005


def test_inputs_are_drawn_independently(sites):
    """No pair of inputs goes together."""
    places = np.array([[standard(site, name) for name in SIZES] for site in sites])
    correlation = np.corrcoef(places.T) - np.eye(len(SIZES))
    assert np.abs(correlation).max() < 0.45


def test_no_truth_is_impossible(sites):
    """Coefficients stay at or below 1, and everything is above 0."""
    for site in sites:
        assert len(site["nominal"]["pipe"]) == 1
        for name in SIZES:
            assert value_of(site["true_plant"], name) > 0
        assert site["true_plant"]["velocity_coefficient"] <= 1 and site["true_plant"]["alignment"] <= 1
        assert site["true_watts"] > 0


def ranks(sites, draws, seed):
    """Where each site's true watts lie among draws about its nominal values, 0 to 1."""
    rng = np.random.default_rng(seed)
    return np.array([(plain_watts(site, rng, draws) < site["true_watts"]).mean() for site in sites])


def test_true_watts_lie_anywhere_in_their_distribution(sites):
    """Uniform over the sites, so a 95 % band holds 95 % of them."""
    assert stats.kstest(ranks(sites, 60, 4), "uniform").pvalue > 0.01


def test_a_band_from_too_little_doubt_misses(sites):
    """The check above notices when the stated uncertainties are half the real ones."""
    narrow = [
        dict(site, doubt={name: (shape, size / 2) for name, (shape, size) in site["doubt"].items()}) for site in sites
    ]
    assert stats.kstest(ranks(narrow, 60, 4), "uniform").pvalue < 0.01


def test_doubt_matters(sites):
    """The truth is typically 2 to 15 % off the nominal watts, else the bands would test nothing."""
    off = [abs(site["true_watts"] / site["nominal_watts"] - 1) for site in sites]
    assert 0.02 < np.median(off) < 0.15


def test_a_shape_unknown_is_refused(sites):
    """A misspelt shape must not pass as certainty."""
    with pytest.raises(ValueError, match="shape"):
        drawn(sites[0]["nominal"], {"gross_head": ("gaussian", 1.0)}, np.random.default_rng(0))


def test_a_seed_gives_the_same_sites_again():
    """Draws can be repeated, and more sites of a seed begin with the same ones."""
    one, other = invented_sites(3, seed=9), invented_sites(4, seed=9)
    assert one == other[:3]
    assert invented_site(np.random.default_rng(9)) == one[0]
