"""What is proposed while nothing is chosen: close to the best of many plants, and safe where it can hurt.

The sheet runs in a small workbook of its own (tests/template/choices_book.py), with the engine, a lane for each site.
"""

import math

import pytest

import hydrofunc as hf
from hydrofunc.engine.lanes import ExcelError
from hydrofunc.template.model import LETTERS, Formula, Result, Table, place
from hydrofunc.template.pages import PLACED, choices, tried, wheel
from tests.template.choices_book import BENCH, BLOCK, random_sites, run, twin_of
from tests.template.conftest import SHOWN
from tests.template.parts import choices as twin

SITES = list(random_sites(20, 30))
CASES = {
    "nothing chosen": {},
    "nozzle typed": {"typed_nozzle": 6.0},
    "wheel at hand": {"typed_pitch_diameter": 160.0},
    "alternator measured": {
        "test_volts": 30.0,
        "test_speed": 1000.0,
        "terminal_resistance": 0.9,
        "terminal_inductance": 1.2,
    },
    "alternator spun only": {"test_volts": 12.0, "test_speed": 700.0},
    "delta typed": {"typed_connection": "delta"},
    "alternator in delta": {"typed_connection": "delta", "test_volts": 30.0, "test_speed": 1000.0},
    "battery and cable at hand": {"typed_battery_volts": 54.0, "typed_cable_area": 2.5},
    "all chosen": {
        "typed_nozzle": 7.0,
        "typed_pitch_diameter": 150.0,
        "test_volts": 25.0,
        "test_speed": 1000.0,
        "terminal_resistance": 0.6,
        "typed_connection": "star",
        "typed_battery_volts": 26.5,
        "typed_cable_area": 6.0,
    },
    "resistor": {"load": "resistor", "typed_load_resistance": 4.0},
    "a resistor not chosen yet": {"load": "resistor"},
    "ohms without volts": {"terminal_resistance": 0.8, "terminal_inductance": 1.0},
    "one phase typed": {"typed_phase_volts": 14.0, "typed_phase_resistance": 0.4, "typed_phase_inductance": 0.5},
    "volts and inductance": {"typed_phase_volts": 14.0, "typed_phase_inductance": 0.5},
    "no resistance at all": {"typed_phase_volts": 14.0, "typed_phase_resistance": 0.0},
    "some cables on sale, other batteries": {"cable_size_2": None, "cable_size_9": None, "charging_24": 28.5},
    "cable measured": {"typed_cable_resistance": 0.21},
    "controller": {"load": "controller"},
    "sizes at hand": {f"typed_size_{i}": 3.0 + i for i in range(1, 13)},
    "source without end": {"available_flow": None},
    "drags take all": {"bearing_drag": 9.0},
    "a long thin cable": {"cable_length": 900.0},
    "a dry source": {"available_flow": 0.0},
    "a trickle": {"bore": 17.0, "available_flow": 0.02},
    "hundreds of amperes": {"bore": 200.0, "available_flow": 60.0, "typed_battery_volts": 13.6},
}
RESULTS = dict(zip(CASES, run(*CASES.values())))
TRIED = run(*SITES)


def proposed(site, **typed):
    """What the sheet says of one site, by name."""
    return run(site | typed)[0][0]


@pytest.mark.parametrize("case", CASES)
def test_every_cell_equals_plain_python(case):
    """The same chain in calls of the public functions; no cell is an error."""
    sizes = {f"nozzle_size_{i}": CASES[case].get(f"typed_size_{i}") for i in range(1, 13)}
    plant, rest = twin_of(CASES[case])
    names, tables = twin.choices(plant, rest | sizes)
    compare((names, tables), RESULTS[case])


def compare(wanted, got):
    """Every cell, by its name or its table: numbers to 1e-9, words exactly, and no error."""
    (names, tables), (got_names, got_tables) = wanted, got
    assert set(names) == set(got_names)
    assert {key: [len(row) for row in rows] for key, rows in tables.items()} == {
        key: [len(row) for row in rows] for key, rows in got_tables.items()
    }
    cells = [(name, value, got_names[name]) for name, value in names.items()]
    cells += [
        (f"{key} {number}", value, got)
        for key, rows in tables.items()
        for number, (row, got_row) in enumerate(zip(rows, got_tables[key]))
        for value, got in zip(row, got_row)
    ]
    for what, value, got in cells:
        assert_same(what, value, got)


def assert_same(what, value, got):
    """A number to 1e-9, a word exactly, no error."""
    assert not isinstance(got, ExcelError), what
    if isinstance(value, str):
        assert got == value, what
    else:
        assert got == pytest.approx(value, rel=1e-9, abs=1e-12), what


@pytest.mark.parametrize("number", range(len(SITES)))
def test_the_proposal_is_close_to_the_best_plant_and_names_its_winding(number):
    """Of some 70,000 plants round it, nozzle x pitch circle x winding of as much copper, none gives 4 % more.

    The volts per 1000 rpm of the best one lie in the range that is said to stay good. A plant of under 10 W, whose
    drags take as much as it gives, may miss a tenth, and that range.
    """
    names, _ = TRIED[number]
    plant, rest = twin_of(SITES[number])
    most, volts = twin.best_of_all(plant, names, twin.LIMITS | rest)
    assert names["measure_watts"] >= (0.96 if most > 10 else 0.9) * most > 0
    if most < 10:
        return
    low, high = names["proposed_volts_low"], names["proposed_volts_high"]
    assert low * (1 - 1e-9) <= volts <= high * (1 + 1e-9)


def test_the_same_over_all_sites():
    """Half of the sites within 0.5 % of the best; a sequence of rules alone came to 4 % (30 sites of a trial)."""
    shares = []
    for site, (names, _) in zip(SITES, TRIED):
        plant, rest = twin_of(site)
        shares.append(names["measure_watts"] / twin.best_of_all(plant, names, twin.LIMITS | rest)[0])
    shares.sort()
    assert shares[len(shares) // 2] > 0.995 and shares[len(shares) // 10] > 0.985


def watts(site, names, **changes):
    """Watts of the proposal with one choice changed, the copper being the same."""
    plant, _ = twin_of(site)
    volts = changes.get("phase_volts", names["volts_used"])
    resistance = names["copper_ratio"] * volts**2
    choice = {
        "nozzle": names["nozzle_used"],
        "pitch_diameter": names["pitch_used"],
        "phase_volts": volts,
        "phase_resistance": resistance,
        "phase_inductance": names["winding_used"] * resistance,
        "cable_resistance": names["cable_used"],
        "battery_volts": names["bank_used"],
        "connection": names["connection_used"],
        "windage": names["windage_base"] * (names["pitch_used"] / 100) ** names["windage_power"],
    }
    return twin.watts(plant, **choice | changes)


def test_a_smaller_or_larger_nozzle_and_another_winding_give_less():
    """A nozzle of nine tenths or eleven tenths, a winding of three quarters or four thirds of the volts."""
    for site, (names, _) in zip(SITES, TRIED):
        best = watts(site, names)
        assert best == pytest.approx(names["measure_watts"], rel=1e-9)
        for factor in (0.9, 1.1):
            nozzle = min(names["nozzle_used"] * factor, site["bore"])
            assert watts(site, names, nozzle=nozzle) < best * 1.004
        for factor in (0.75, 4 / 3):
            assert watts(site, names, phase_volts=names["volts_used"] * factor) < best


def test_the_ends_of_the_good_range_lose_what_is_said_and_beyond_them_more():
    """Each with the pitch circle that fits it, as it is not cut yet."""
    for names, tables in TRIED:
        rows = tables["volts"][1:]
        most = max(row[10] for row in rows)
        for row in rows:
            inside = names["proposed_volts_low"] <= row[2] <= names["proposed_volts_high"]
            assert (row[10] >= 0.95 * most) == inside


def test_a_winding_of_more_resistance_gives_less_than_is_shown():
    """The plant counts with the greatest resistance that will do: any better machine gives more."""
    for site, (names, _) in zip(SITES, TRIED):
        worse = watts(site, names, phase_resistance=1.3 * names["proposed_phase_resistance"])
        better = watts(site, names, phase_resistance=0.7 * names["proposed_phase_resistance"])
        assert worse < watts(site, names) < better


def test_poor_copper_asks_for_a_faster_smaller_wheel():
    """The heat in the windings goes with the square of the torque."""
    good, poor = proposed(BLOCK, copper_share=3.0), proposed(BLOCK, copper_share=25.0)
    assert poor["final_speed"] > 1.1 * good["final_speed"]
    assert poor["proposed_pitch"] < good["proposed_pitch"] / 1.1
    assert poor["final_watts"] < good["final_watts"]


def test_the_nozzle_takes_no_more_than_the_source_gives():
    """A tenth of the water: a nozzle of about a third."""
    plenty, little = proposed(BLOCK, available_flow=None), proposed(BLOCK, available_flow=0.1)
    assert little["row_nozzle"] < 0.5 * plenty["row_nozzle"]
    assert little["row_flow"] == pytest.approx(0.1, rel=1e-9)


def test_nobody_proposes_a_wheel_that_the_jet_misses():
    """At least ten jets wide, at most two metres, and never above the highest speed that is tried."""
    for site, (names, _) in zip(SITES, TRIED):
        jet = hf.jet_diameter(names["nozzle_used"], site["contraction"])
        assert 10 * jet * (1 - 1e-9) <= names["proposed_pitch"] <= 2000
        assert names["final_speed"] <= 3000 * 1.5


def test_what_is_typed_counts_and_the_rest_fits_it():
    """A wheel at hand of half the size asks for a winding of about half the volts."""
    free = proposed(BLOCK)
    typed = proposed(BLOCK, typed_pitch_diameter=free["proposed_pitch"] / 2)
    assert typed["pitch_used"] == free["proposed_pitch"] / 2
    assert 0.35 < typed["proposed_phase_volts"] / free["proposed_phase_volts"] < 0.75
    assert proposed(BLOCK, typed_nozzle=5.0)["final_nozzle"] == 5.0
    assert proposed(BLOCK, typed_battery_volts=51.0)["bank_used"] == 51.0
    measured = {"test_volts": 20.0 * math.sqrt(3), "test_speed": 1000.0, "terminal_resistance": 1.6}
    alternator = proposed(BLOCK, **measured)
    assert alternator["volts_used"] == pytest.approx(20) and alternator["proposed_phase_resistance"] == pytest.approx(
        0.8
    )
    free_ratio, ratio = (hf.speed_ratio(r["final_speed"], r["pitch_used"], r["row_jet"]) for r in (free, alternator))
    assert ratio == pytest.approx(free_ratio, abs=0.08)


# -- in the template ---------------------------------------------------------------------------------------

OPEN = dict.fromkeys((*twin.TYPED, *BENCH, *(f"nozzle_size_{i}" for i in range(1, 13))))
IN_TEMPLATE = {
    "nothing chosen": OPEN,
    "as the example is": {},
    "nozzle and wheel chosen": OPEN | {"nozzle": 6.5, "pitch_diameter": 140.0},
    "alternator on the bench": OPEN | {"test_volts": 40.0, "test_speed": 900.0, "terminal_resistance": 1.4},
    "one phase typed, delta": OPEN | {"phase_volts": 20.0, "phase_resistance": 0.5, "connection": "delta"},
    "controller": OPEN | {"load": "controller"},
    "resistor": OPEN | {"load": "resistor"},
    "cable of ones own": OPEN | {"cable_area": 2.5, "battery_volts": 52.0, "nozzle_size_3": 8.0},
}
# What the plant counts with, and what the sheet Tried says of the same.
SAME = {
    "nozzle": "final_nozzle",
    "pitch_diameter": "pitch_used",
    "phase_volts": "volts_used",
    "phase_resistance": "proposed_phase_resistance",
    "phase_inductance": "proposed_phase_inductance",
    "connection": "connection_used",
    "cable_resistance": "cable_used",
    "battery_watts": "final_watts",
    "current": "final_current",
    "speed": "final_speed",
    "fuse_wanted": "proposed_fuse",
    "guess_nozzle": "recommended_nozzle",
}


@pytest.fixture(scope="module")
def in_template(sheet):
    """The template with the example's water and pipe, calculated for all cases."""
    return dict(zip(IN_TEMPLATE, sheet.run_all(IN_TEMPLATE.values())))


def shown_on(titles, result):
    """Named results and formula cells of tables of these sheets, as `run` gives them."""
    names, tables = {}, {}
    for title in titles:
        for _, item in PLACED[title]:
            if isinstance(item, Result):
                names[item.name] = result.value((title, item.cell))
            elif isinstance(item, Table):
                tables[item.key] = rows = []
                for number, row in enumerate(item.rows, start=item.first):
                    cells = [(letter, cell) for letter, cell in zip(LETTERS, row) if isinstance(cell, Formula)]
                    rows.append([result.value((title, f"{letter}{number}")) for letter, _ in cells])
                    names |= {cell.name: value for (_, cell), value in zip(cells, rows[-1]) if cell.name}
    return names, tables


@pytest.mark.parametrize("case", IN_TEMPLATE)
def test_in_the_template_every_cell_equals_plain_python(sheet, in_template, case):
    """The rows above the choices are read from the sheets; what then counts is what is proposed."""
    result = in_template[case]
    above = {name: sheet.value(result, name) for name in (*twin.ABOVE.values(), "widest_nozzle")}
    names, tables = dict(above), {}
    twin.expected(SHOWN | IN_TEMPLATE[case], names, tables)
    names = {name: value for name, value in names.items() if name not in above}
    compare((names, tables), shown_on(("Choices", "Tried"), result))
    for counts, proposal in SAME.items():
        assert_same(counts, names[proposal], sheet.value(result, counts))


# -- star and delta ---------------------------------------------------------------------------------------


def test_the_same_copper_gives_the_same_watts_in_star_and_delta_for_1_73_times_the_volts():
    """Three windings in delta stand for a star of 1/1.73 of the volts and a third of the resistance.

    J. O. Bird, Electrical Circuit Theory and Technology, ch. 20: star and delta of equal windings.
    """
    for site in SITES[:6]:
        star, delta = proposed(site, typed_connection="star"), proposed(site, typed_connection="delta")
        assert delta["measure_watts"] == pytest.approx(star["measure_watts"], rel=1e-9)
        for name in ("proposed_phase_volts", "proposed_volts_low", "proposed_volts_high"):
            assert delta[name] == pytest.approx(math.sqrt(3) * star[name], rel=1e-9)
        assert delta["proposed_phase_resistance"] == pytest.approx(3 * star["proposed_phase_resistance"], rel=1e-9)


def test_star_is_proposed_while_the_winding_is_free():
    """It needs fewer volts of each winding, and nothing is lost."""
    assert all(names["proposed_connection"] == "star" for names, _ in TRIED)


@pytest.mark.parametrize("volts", [3.0, 12.0, 20.0, 60.0, 90.0])
def test_a_known_winding_is_joined_the_way_that_gives_more(volts):
    """With a wheel that is cut already, so that its speed cannot follow."""
    typed = {
        "test_volts": volts * math.sqrt(3),
        "test_speed": 1000.0,
        "terminal_resistance": 0.01 * volts**2,
        "typed_pitch_diameter": 180.0,
    }
    names = proposed(BLOCK, **typed)
    star, delta = (proposed(BLOCK, typed_connection=joined, **typed) for joined in ("star", "delta"))
    better = "delta" if delta["final_watts"] > star["final_watts"] else "star"
    if min(star["final_watts"], delta["final_watts"]) < 0.98 * max(star["final_watts"], delta["final_watts"]):
        assert names["proposed_connection"] == better
    assert names["final_watts"] >= 0.98 * max(star["final_watts"], delta["final_watts"])


def test_a_winding_of_many_volts_is_joined_in_delta_and_one_of_few_in_star():
    """Delta gives 1/1.73 of the volts at the terminals."""
    free = proposed(BLOCK, typed_pitch_diameter=180.0)
    for factor, joined in ((0.9, "star"), (1.9, "delta")):
        volts = factor * free["proposed_phase_volts"]
        typed = {"test_volts": volts * math.sqrt(3), "test_speed": 1000.0, "typed_pitch_diameter": 180.0}
        assert proposed(BLOCK, **typed)["proposed_connection"] == joined


# -- rules -------------------------------------------------------------------------------------------------


def test_cable_fuse_and_dump_load_are_on_the_safe_side():
    """IEC 60364-4-43, 433.1: current <= fuse <= what the cable carries (from memory, not looked up).

    Volts lost in the warm cable within the limit, where a size of the list can do that.
    """
    for site, (names, _) in zip(SITES, TRIED):
        assert names["final_current"] <= names["cable_current"]
        assert names["proposed_fuse"] != "", "the proposed cable carries the proposed fuse"
        assert names["final_current"] * 1.25 <= names["proposed_fuse"] <= names["ampacity_used"] / 1.6 * 1.45
        area, thickest = names["proposed_cable_area"], twin.AREAS[-1]
        warm = hf.cable_resistance(site["cable_length"], area, site["cable_material"], 70)
        if area < thickest:
            assert names["final_current"] * warm <= 0.05 * names["bank_used"]
        assert names["proposed_dump_watts"] >= 1.25 * names["final_watts"]
        taken = hf.dump_power(1.1 * names["bank_used"], names["proposed_dump_ohms"])
        assert taken >= 1.25 * max(names["final_watts"], names["charged_watts"]) * (1 - 1e-9)


def test_the_cable_is_the_thinnest_that_will_do():
    """The next thinner one loses too much or does not carry the fuse."""
    for names, tables in TRIED:
        for area, _, lost, carries, _ in tables["areas"]:
            will_do = lost <= 5 and names["cable_fuse_needs"] <= carries
            assert not (will_do and area < names["proposed_cable_area"])


@pytest.mark.parametrize(
    ("flow", "metres", "volts"),
    [(0.5, 5.0, 13.6), (0.5, 60.0, 27.2), (0.5, 300.0, 54.4), (2.0, 5.0, 27.2), (2.0, 300.0, 54.4), (9.0, 5.0, 54.4)],
)
def test_more_power_or_a_longer_cable_asks_for_more_battery_volts(flow, metres, volts):
    """Half the volts, four times the copper."""
    assert proposed(BLOCK, bore=79.0, available_flow=flow, cable_length=metres)["proposed_battery_volts"] == volts


def test_a_thin_cable_of_ones_own_gets_no_fuse_that_lets_it_burn():
    """Where no fuse both carries the current and protects the cable there is none."""
    names, _ = RESULTS["hundreds of amperes"]
    assert names["proposed_fuse"] == ""
    thin = proposed(
        BLOCK, typed_cable_area=1.5, typed_battery_volts=13.6, cable_laid="insulated wall", cable_around=60.0
    )
    assert thin["final_current"] * 1.25 > thin["ampacity_used"]
    assert thin["proposed_fuse"] == ""


def test_where_drags_take_all_it_is_said_and_nothing_breaks():
    """Numbers for every choice, no watts."""
    names, _ = RESULTS["drags take all"]
    assert names["final_watts"] == 0 and names["choices_say"].startswith("no watts")
    for choice in ("nozzle", "pitch", "phase_volts", "phase_resistance", "battery_volts", "cable_area", "fuse"):
        assert names[f"proposed_{choice}"] > 0
    assert RESULTS["nothing chosen"][0]["choices_say"] == "good"


# -- nozzles at hand ---------------------------------------------------------------------------------------


def test_the_nozzle_to_drill_gives_the_most_of_those_at_hand():
    """And it is said what it loses against one made to measure."""
    for site, (names, tables) in zip(SITES, TRIED):
        sizes = {row[0]: row[10] for row in tables["at_hand"][1:] if row[0] != ""}
        most = max(sizes.values())
        assert sizes[names["recommended_nozzle"]] == most
        assert names["recommended_watts"] == pytest.approx(most)
        assert watts(site, names, nozzle=names["recommended_nozzle"]) == pytest.approx(most, rel=1e-9)
        loss = 100 * (1 - most / max(most, names["measure_watts"]))
        assert names["recommended_loss"] == pytest.approx(loss, abs=1e-9)


def test_drills_come_in_half_millimetres_and_small_ones_in_tenths():
    """A tenth is a lot at 1 mm; from 3 mm on the nozzle to drill loses little."""
    for names, _ in TRIED:
        step = 0.1 if names["proposed_nozzle"] < 13 else 0.5
        assert names["recommended_nozzle"] / step == pytest.approx(round(names["recommended_nozzle"] / step))
        assert names["recommended_loss"] < (4 if names["proposed_nozzle"] > 3 else 10)


def test_sizes_of_ones_own_count_and_none_wider_than_the_pipe():
    """4 to 15 mm at hand, and a pipe of 9 mm."""
    _, tables = RESULTS["sizes at hand"]
    assert [row[0] for row in tables["at_hand"][1:]] == [3.0 + i for i in range(1, 13)]
    narrow = proposed(BLOCK, bore=9.0, **CASES["sizes at hand"])
    assert narrow["recommended_nozzle"] <= 9
    none = proposed(BLOCK, bore=3.5, **CASES["sizes at hand"])
    assert none["recommended_nozzle"] == none["proposed_nozzle"] and none["recommended_loss"] == 0


# -- how it is written -------------------------------------------------------------------------------------


def formulas():
    """Every formula of the two pages, with what it belongs to."""
    for _, item in (*place(choices.PAGE), *place(tried.PAGE)):
        if isinstance(item, Result):
            yield item.name, item.formula
        elif isinstance(item, Table):
            for row in item.rows:
                yield from ((item.key, cell.text) for cell in row if isinstance(cell, Formula))


def test_formulas_are_short():
    """None over 145 characters, so that none passes 160 with the guard round it; four in five under 80."""
    lengths = sorted(len(text) for _, text in formulas())
    assert lengths[-1] <= 145 and lengths[len(lengths) * 4 // 5] < 80


def test_limits_are_inside_their_own_range_and_used():
    """Each is named in a formula of the page."""
    written = " ".join(text for _, text in formulas())
    for line in choices.LIMITS:
        assert line.check(line.shown) is None
        assert line.name in written, line.name
        assert line.assumption.why.strip(), line.name
    wind = {line.name: line.shown for line in wheel.LIMITS if line.name in twin.LIMITS}
    assert len(wind) == 4 and {line.name: line.shown for line in choices.LIMITS} | wind == twin.LIMITS
