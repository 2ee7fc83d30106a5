"""What each change on the sheet What pays is, and in which order they stand, as statements about a plant.

The plant: a nozzle of 7 mm in one jet, a pipe with a bore of 35.2 mm, a battery of 24 V charged at 27 V in star, and
nozzles of 5 to 10 mm at hand.
"""

import pytest

import hydrofunc as hf
from hydrofunc.template.expression import expression
from hydrofunc.template.pages import what_pays

PLANT = {
    "basis_nozzle": 7.0,
    "nozzle": 7.0,
    "jets": 1.0,
    "bore_used": 35.2,
    "basis_fittings": 8.0,
    "basis_alignment": 0.85,
    "pitch_diameter": 200.0,
    "connection": "star",
    "load": "battery",
    "battery_volts": 27.0,
    "cable_area": 10.0,
    "nozzle_sizes": [6.0, 9.0, None, 5.0, 7.0, 8.0, 10.0, None],
    "hand_sizes": [6.0, 9.0, "", 5.0, 7.0, 8.0, 10.0, ""],
    "hand_watts": [101.0, 127.0, "", 80.0, 118.0, 127.5, "", ""],
    "pipe_standard": "pe100 iso 4427",
    "pipe_class": "sdr 11",
}


def changed(key, **plant):
    """What a change makes of the plant: a value for each column of its row that it changes."""
    change = next(change for name, _, change, _, _ in what_pays.CHANGES if name == key)
    return {column: expression(part).value(PLANT | plant) for column, part in change.items()}


def test_a_row_shows_the_plant_as_it_is():
    """Nozzle, jets, bore, K, alignment, pitch circle, star or delta, load, its volts, cable."""
    row = [part.value(PLANT) for _, _, part, _ in what_pays.STATE]
    assert row == [7.0, 1.0, 35.2, 8.0, 0.85, 200.0, "star", "battery", 27.0, 10.0]
    assert what_pays.STATE[8][2].value({"battery_volts": None}) == ""


@pytest.mark.parametrize(
    ("fitted", "smaller", "larger"),
    [
        (7.0, 6.0, 8.0),
        (7.5, 7.0, 8.0),
        (5.0, "#NUM!", 6.0),
        (10.0, 9.0, "#NUM!"),
        (3.0, "#NUM!", 5.0),
        (20.0, 10.0, "#NUM!"),
    ],
)
def test_the_next_nozzle_at_hand_is_the_nearest_of_another_size(fitted, smaller, larger):
    """Empty places in the list do not count; beyond its ends there is none."""
    assert changed("nozzle_smaller", nozzle=fitted) == {"C": smaller}
    assert changed("nozzle_larger", nozzle=fitted) == {"C": larger}


def test_the_best_nozzle_at_hand_gives_the_most_watts():
    """A nozzle wider than the pipe has no watts; with none at hand there is no best."""
    assert changed("nozzle_at_hand") == {"C": 8.0}
    assert changed("nozzle_at_hand", hand_watts=[""] * 8) == {"C": "#N/A"}


def test_the_nozzle_made_to_measure_is_that_of_the_function():
    """Of the machine as it is judged."""
    site = {
        "basis_gross_head": 60.0,
        "pipe_length": 420.0,
        "basis_roughness": 0.01,
        "basis_velocity_coefficient": 0.97,
        "contraction": 1.0,
        "water_temperature": 8.0,
        "gravity": 9.81,
        "available_flow": 2.0,
    }
    more = dict.fromkeys(f"{what}_{i}" for i in (2, 3) for what in ("length", "bore", "roughness", "basis_roughness"))
    assert changed("nozzle_best", **site, **more)["C"] == pytest.approx(
        hf.best_nozzle(
            60, 420, 35.2, 0.01, 8.0, jets=1, velocity_coefficient=0.97, temperature=8, gravity=9.81, available_flow=2
        )
    )


@pytest.mark.parametrize("jets", [1, 2, 5])
def test_one_jet_more_passes_the_same_water(jets):
    """As many square millimetres of nozzle altogether."""
    row = changed("jet", jets=jets)
    assert row["D"] == jets + 1
    assert row["D"] * row["C"] ** 2 == pytest.approx(jets * 7.0**2)


def test_a_wheel_takes_no_more_than_six_jets():
    """A seventh leaves all as it was."""
    assert changed("jet", jets=6) == {"C": 7.0, "D": 6.0}


def test_pipe_sizes_are_those_of_the_table_next_to_the_bore():
    """PE100 to ISO 4427-2, SDR 11:
    outside 32, 40, 50 mm and walls of 3.0, 3.7, 4.6 mm, as printed by two pipe makers.
    """
    wider, narrower = changed("pipe_wider", bore_used=32.6)["E"], changed("pipe_narrower", bore_used=32.6)["E"]
    assert (wider, narrower) == pytest.approx((40.8, 26.0))


@pytest.mark.parametrize(
    ("key", "row"),
    [
        ("fittings", {"F": 4.0}),
        ("pitch_smaller", {"H": 180.0}),
        ("pitch_larger", {"H": 220.0}),
        ("cable", {"L": 20.0}),
        ("controller", {"J": "controller"}),
    ],
)
def test_a_change_changes_one_thing_by_what_its_label_says(key, row):
    """Half the K, a tenth of the pitch circle, twice the cable, another load."""
    assert changed(key) == {
        column: value if isinstance(value, str) else pytest.approx(value) for column, value in row.items()
    }


@pytest.mark.parametrize(("now", "then"), [(0.85, 0.90), (0.95, 1.0), (0.98, 1.0), (1.0, 1.0)])
def test_a_jet_aligned_better_gives_a_twentieth_more_but_never_more_than_all(now, then):
    """Of the ideal torque."""
    assert changed("alignment", basis_alignment=now)["G"] == pytest.approx(then)


def test_star_and_delta_change_places():
    """Each becomes the other."""
    assert changed("connection") == {"I": "delta"}
    assert changed("connection", connection="delta") == {"I": "star"}


@pytest.mark.parametrize(
    ("volts", "now"), [(13.5, 12), (17.9, 12), (18.0, 24), (27.0, 24), (35.9, 24), (36.0, 48), (54.0, 48), (58.0, 48)]
)
def test_another_bank_is_charged_at_as_many_volts_a_cell(volts, now):
    """12 V are six cells in series, 24 V twelve, 48 V twenty-four;
    what a bank is called shows in its charging volts.
    """
    for bank in (12, 24, 48):
        assert changed(f"bank_{bank}", battery_volts=volts)["K"] == pytest.approx(volts * bank / now)
        assert changed(f"bank_{bank}", battery_volts=None) == {"K": ""}


# -- the order -------------------------------------------------------------------------------------------


def order(gain, cost, rank_by="gain per cost", own=False):
    """The number by which a change is put in order; the greatest stands first."""
    by = what_pays.ORDERED_BY_OWN if own else what_pays.ORDERED_BY
    return by.value({"gain": gain, "cost": cost, "rank_by": rank_by})


@pytest.mark.parametrize(
    ("gain", "cost", "shown"),
    [(12.0, 60.0, 0.2), (-12.0, 60.0, -0.2), (12.0, 0.0, "free"), (12.0, 0.5, 24.0), (12.0, None, ""), ("", 60.0, "")],
)
def test_watts_for_the_money(gain, cost, shown):
    """Free where it costs nothing; nothing is said where the cost is not known, or the change not possible."""
    assert what_pays.GAIN_PER_COST.value({"gain": gain, "cost": cost}) == shown


def test_by_gain_the_cost_does_not_matter():
    """Not even where it is not known."""
    assert [order(gain, cost, "gain") for gain, cost in ((12.0, 60.0), (5.0, None), (-3.0, 0.0))] == [12.0, 5.0, -3.0]


def test_by_gain_for_the_money_free_gains_come_first_and_unknown_costs_last():
    """Then by watts for each unit of money; what is free and loses watts stands behind what costs and gains."""
    free, cheap, dear = order(3.0, 0.0), order(12.0, 60.0), order(12.0, 600.0)
    loses, costs_and_loses, unknown, impossible = (
        order(-3.0, 0.0),
        order(-3.0, 60.0),
        order(12.0, None),
        order("", 60.0),
    )
    assert free > cheap > dear > costs_and_loses > loses > unknown == impossible
    assert (cheap, dear, costs_and_loses) == pytest.approx((0.2, 0.02, -0.05))
    assert free == 3e9


def test_a_free_gain_stands_before_any_that_costs():
    """A tenth of a watt for nothing before a thousand watts for a unit of money."""
    assert order(0.1, 0.0) > order(1000.0, 1.0)


@pytest.mark.parametrize("rank_by", ["gain", "gain per cost"])
def test_a_row_of_ones_own_that_changes_nothing_stands_last(rank_by):
    """A change of the list that gains nothing stays in its order; one's own row counts once it gains or loses."""
    assert order(0.0, 60.0, rank_by, own=True) == order("", None, rank_by, own=True) == -1e99
    assert order(0.0, 60.0, rank_by) == 0.0
    assert order(2.0, 40.0, rank_by, own=True) == order(2.0, 40.0, rank_by) > 0
    assert order(-2.0, 40.0, rank_by, own=True) == order(-2.0, 40.0, rank_by) < 0
    assert order(2.0, 0.0, rank_by, own=True) == order(2.0, 0.0, rank_by) > 0
    assert order(2.0, None, rank_by, own=True) == order(2.0, None, rank_by)
