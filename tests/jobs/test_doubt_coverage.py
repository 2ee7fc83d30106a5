"""A band of 95 % must hold the truth about 95 times in 100: 1,000 invented sites whose truth another program computed.

The sites, their doubts and their true watts come from tests/simulator/doubt.py, which imports nothing of hydrofunc.
"""

import math

import numpy as np
import pytest

import hydrofunc
from hydrofunc.engine.reference import address
from hydrofunc.jobs.doubt import doubt
from hydrofunc.jobs.draws import NORMAL_95, band, draw
from hydrofunc.jobs.recalc import calculated
from hydrofunc.template import INPUTS
from hydrofunc.template.pages.doubt import UNCERTAIN
from hydrofunc.workbook.splice import splice
from tests import books
from tests.simulator.doubt import invented_sites

SITES = 1000
DRAWS = 1000
BY_WORKBOOK = (0, 1, 2)  # these sites go through the whole workbook too
LIMITS = {doubtful.key: doubtful.argument.bounds[:3] for doubtful in UNCERTAIN}
SAME = """gross_head nozzle jets velocity_coefficient contraction temperature gravity pitch_diameter deflection
cup_friction alignment bearing_drag iron_drag windage phase_volts pole_pairs phase_resistance phase_inductance
connection diode_drop cable_resistance battery_volts""".split()


def plant_of(site):
    """The nominal plant as `power_ledger` takes it."""
    nominal = site["nominal"]
    length, bore, roughness = nominal["pipe"][0]
    return {name: nominal[name] for name in SAME} | {
        "length": length,
        "bore": bore,
        "roughness": roughness,
        "fittings": nominal["fittings_k"],
    }


def half_width(shape, size, value):
    """What the sheet calls ±, from what the generator states."""
    return {"normal": NORMAL_95 * size, "rectangular": size, "lognormal": value * (math.exp(NORMAL_95 * size) - 1)}[
        shape
    ]


@pytest.fixture(scope="module")
def sites():
    return invented_sites(SITES)


@pytest.fixture(scope="module")
def nominal(sites):
    """The nominal plants as columns, a site a row."""
    plants = [plant_of(site) for site in sites]
    return {name: np.array([plant[name] for plant in plants])[:, None] for name in plants[0]}


def doubts(sites, nominal):
    """(name, kind, half-widths of all sites) of each quantity in doubt."""
    for name in sites[0]["doubt"]:
        kind = sites[0]["doubt"][name][0]
        assert all(site["doubt"][name][0] == kind for site in sites)
        sizes = [half_width(kind, site["doubt"][name][1], value) for site, value in zip(sites, nominal[name].ravel())]
        yield name, kind, np.array(sizes)[:, None]


def share_inside(sites, low, high):
    truth = np.array([site["true_watts"] for site in sites])
    return np.mean((truth >= low) & (truth <= high))


def test_the_plants_are_the_same_to_both_programs(sites, nominal):
    """Before any doubt: nominal watts of all sites, theirs with fluids 1.3.1 and scipy roots."""
    ours = hydrofunc.power_ledger(**nominal).ravel()
    assert ours == pytest.approx([site["nominal_watts"] for site in sites], rel=1e-5)


def test_the_drawn_band_holds_the_truth_about_95_times_in_100(sites, nominal):
    """The product's own draws, band and chain, all sites as lanes. 95 % of 1,000 has a standard deviation of 0.7 %."""
    chance = np.random.default_rng(11)
    drawn = dict(nominal)
    for name, kind, sizes in doubts(sites, nominal):
        drawn[name] = draw(chance, (SITES, DRAWS), nominal[name], sizes, kind, *LIMITS[name])
    watts = hydrofunc.power_ledger(**drawn)
    assert np.isfinite(watts).all()
    low, median, high = band(watts)
    assert 0.93 <= share_inside(sites, low, high) <= 0.97
    below = np.mean([site["true_watts"] < middle for site, middle in zip(sites, median)])
    assert 0.45 <= below <= 0.55, "as often less than the median as more"
    narrow = (low + median) / 2, (median + high) / 2
    assert share_inside(sites, *narrow) < 0.8, "half as wide it would not"


def test_the_live_band_holds_it_too(sites, nominal):
    """The band of the sheet, which asks HYDRO_DOUBT, all sites as lanes."""
    plant = {name: np.ravel(value) for name, value in nominal.items()}
    lines = [(name, np.ravel(sizes), kind, 1.0) for name, kind, sizes in doubts(sites, nominal)]
    low, high = (hydrofunc.doubt(plant, end, lines) for end in ("low", "high"))
    assert 0.93 <= share_inside(sites, low, high) <= 0.97


@pytest.mark.parametrize("number", BY_WORKBOOK)
def test_the_workbook_gives_the_same_band(sites, number, tmp_path):
    """The site typed into the template, then `hydrofunc doubt`: the band of the lanes above, within the noise."""
    site = sites[number]
    plant = plant_of(site)
    book = books.template_book()
    place = {item.name: (item.sheet, item.cell) for item in INPUTS}
    given = {place[f"doubt_{key}"]: 0.0 for key in LIMITS}
    kinds = book.names["doubt_kinds"]
    given |= {place[name]: None for name in ("static_pressure", "bucket_seconds")}
    given |= {
        place["level_difference"]: plant["gross_head"],
        place["known_flow"]: 500.0,
        place["water_temperature"]: plant["temperature"],
    }
    given |= {
        place["pipe_length"]: plant["length"],
        place["pipe_bore"]: plant["bore"],
        place["pipe_roughness"]: plant["roughness"],
    }
    for name in SAME:
        if name not in ("gross_head", "temperature"):
            given[book.resolve(name)] = plant[name]  # also where the template works it out from a reading
    given[book.resolve("fittings_k")] = plant["fittings"]
    for name, (kind, size) in site["doubt"].items():
        line = next(i for i, each in enumerate(UNCERTAIN) if each.key == name)
        doubtful = UNCERTAIN[line]
        width = half_width(kind, size, plant[name])
        given |= {
            place[f"doubt_{name}"]: 100 * width / plant[name] if doubtful.percent else width,
            (kinds.sheet, address(kinds.top + line, kinds.left)): kind,
        }
    path = tmp_path / "site.xlsx"
    path.write_bytes(calculated(splice(book.data, {}, given))[0])
    spread = doubt(path, draws=20_000).spreads["doubt_guess"]
    assert spread.guess == pytest.approx(site["nominal_watts"], rel=1e-5)

    chance = np.random.default_rng(3)
    drawn = plant | {
        name: draw(chance, 20_000, plant[name], half_width(kind, size, plant[name]), kind, *LIMITS[name])
        for name, (kind, size) in site["doubt"].items()
    }
    low, median, high = band(hydrofunc.power_ledger(**drawn))
    width = high - low
    assert (spread.low, spread.median, spread.high) == pytest.approx((low, median, high), abs=0.03 * width)
    live = books.values_of(path)
    sheet, cell = next(live.defined_names["doubt_low"].destinations)
    assert live[sheet][cell.replace("$", "")].value == pytest.approx(low, abs=0.1 * width), (
        "straight enough for the live band"
    )
