"""One plant as such plants are: common practice, no published source, numbers only.

About 65 m of static head, nearly 1 km of one-inch pipe, a jet of about 6 mm, a small permanent-magnet alternator on a
small load: some 20 W before the jet was aligned, about 35 W at best after. What is not known of it has ordinary values
with ordinary ranges.
"""

import pytest

from hydrofunc.jobs.doubt import doubt
from tests import books

KNOWN = {
    "static_pressure": None,
    "level_difference": 65.0,
    "pipe_length": 970.0,
    "pipe_bore": 26.6,
    "nozzle": 6.0,
    "bucket_seconds": 20.0,
    "doubt_gross_head": 2.6,  # m
    "doubt_length": 5.0,
    "doubt_bore": 5.0,
    "doubt_source_flow": 20.0,
    **{f"nozzle_size_{i}": float(size) for i, size in enumerate((3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18), start=1)},
}
UNKNOWN = {  # a used plastic pipe, a rough nozzle, a small alternator of many poles, a 12 V battery
    "pipe_condition": "used",
    "water_temperature": 8.0,
    "velocity_coefficient": 0.95,
    "pitch_diameter": 100.0,
    "battery_volts": 13.5,
    "test_volts": 13.9,
    "test_speed": 1000.0,
    "terminal_resistance": 1.0,
    "terminal_inductance": 1.6,
    "pole_pairs": 6.0,
    "cable_length": 30.0,
    "cable_area": 6.0,
    "doubt_velocity_coefficient": 0.03,
    "doubt_pitch_diameter": 5.0,
    "doubt_phase_volts": 20.0,
    "doubt_phase_resistance": 40.0,
    "doubt_phase_inductance": 50.0,
    "doubt_cable_resistance": 30.0,
    "doubt_bearing_drag": 100.0,
    "doubt_iron_drag": 100.0,
}
BEFORE = {"alignment": 0.55, "doubt_alignment": 0.15}
AFTER = {"alignment": 0.85, "doubt_alignment": 0.08}


def plant(folder, **changes):
    """(path of the calculated workbook, what the draws say)."""
    path = folder / "plant.xlsx"
    given = KNOWN | UNKNOWN | changes
    path.write_bytes(books.calculated_with(**given))
    return path, doubt(path, draws=4000)


@pytest.mark.parametrize(("aligned", "watts"), [(BEFORE, 20.0), (AFTER, 35.0)], ids=["before aligning", "after"])
def test_the_band_holds_what_such_a_plant_gives(tmp_path, aligned, watts):
    """And is narrow enough to say something: the other end of a factor of three is outside."""
    spread = plant(tmp_path, **aligned)[1].spreads["doubt_guess"]
    assert spread.low < watts < spread.high
    assert spread.high < 3 * watts and spread.low > watts / 3


def test_what_pays_sees_a_smaller_nozzle_and_says_what_it_gives(tmp_path):
    """A jet of 6 mm loses most of the head in so long and thin a pipe;
    on average over the doubt a smaller one is better as well.
    """
    path, found = plant(tmp_path, **AFTER)
    book = books.values_of(path)

    def column(name):
        sheet, cells = next(book.defined_names[name].destinations)
        return [cell.value for (cell,) in book[sheet][cells.replace("$", "")]]

    order = list(zip(column("ranked_changes"), column("ranked_gains"), column("ranked_watts")))
    place = [label for label, _, _ in order].index("Next smaller nozzle at hand: 5 mm")
    _, gain, watts = order[place]
    assert place < 5 and gain > 3
    five, six = (next(nozzle for nozzle in found.nozzles if nozzle.size == size) for size in (5.0, 6.0))
    assert watts == pytest.approx(five.guess) and gain == pytest.approx(five.guess - six.guess, abs=1e-3)
    assert five.mean > six.mean and found.best_nozzle.size < 6
