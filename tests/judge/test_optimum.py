"""The brute-force optimum is one: no machine tried beside it gives more."""

import numpy as np
import pytest

from . import truth
from .optimum import LEAST_PITCH, RATIOS, best_machine, best_volts
from .population import Site, scaled
from .sites import OWN
from .sites_published import PUBLISHED

SITES = {f"{population.name} {site.number}": site for population in (OWN, PUBLISHED) for site in population.sites(6, 8)}


@pytest.mark.parametrize("site", SITES.values(), ids=SITES.keys())
def test_nothing_tried_at_random_is_better(site: Site) -> None:
    """Four thousand random machines of the same copper, in and about the bounds of the search."""
    best = best_machine(site.values)
    rng = np.random.default_rng(site.number)
    nozzle = best.nozzle * np.exp(rng.normal(0, 0.3, 4000))
    ratio = rng.uniform(*RATIOS, 4000)
    machine = {
        **site.values,
        "nozzle": nozzle,
        "pitch_diameter": np.maximum(ratio * nozzle * np.sqrt(site.values["contraction"]), LEAST_PITCH),
        "phase_volts": best.phase_volts * np.exp(rng.normal(0, 0.3, 4000)),
    }
    tried = truth.watts_of(scaled(machine, site.values))
    assert best.watts >= 0.9995 * tried.max()
    assert best.watts >= 0.999 * truth.watts(site.values)
    chosen = {
        **site.values,
        "nozzle": best.nozzle,
        "pitch_diameter": best.pitch_diameter,
        "phase_volts": best.phase_volts,
    }
    assert truth.watts(scaled(chosen, site.values)) == pytest.approx(best.watts, rel=1e-9)


def test_the_best_volts_are_those_of_the_search() -> None:
    """For the nozzle and the wheel of the optimum the volts alone come out the same."""
    site = OWN.sites(6, 1)[0]
    best = best_machine(site.values)
    chosen = {
        **site.values,
        "nozzle": best.nozzle,
        "pitch_diameter": best.pitch_diameter,
        "phase_volts": 1.2 * best.phase_volts,
    }
    told = scaled({**chosen, "phase_volts": 1.2 * best.phase_volts}, site.values)
    assert best_volts(told) == pytest.approx(best.phase_volts, rel=0.03)
