"""Supply, Housing and Energy as a person meets them: cautions, charts, a site without their inputs."""

import pytest

from hydrofunc import template
from hydrofunc.template.pages import energy, housing, supply
from tests import books

BOOK = books.opened()
OPTIONAL = {
    item.name: None for item in template.INPUTS if item.optional and item.sheet in ("Supply", "Housing", "Energy")
}


@pytest.mark.parametrize(
    ("sheet", "words"),
    {
        "Supply": ("overflow", "slow"),
        "Housing": ("Shut the valve",),
        "Energy": ("hydrogen", "freezes", "Acid", "spanner", "dump load", "local codes"),
    }.items(),
)
def test_cautions_stand_where_the_danger_is(sheet, words):
    """Pressure and weight of a tank; a wheel that still turns; acid, gas, short circuit, frost and heat."""
    rows = range(1, BOOK[sheet].max_row + 1)
    cautions = " ".join(BOOK[sheet][f"B{row}"].value for row in rows if BOOK[sheet][f"A{row}"].value == "!")
    for word in words:
        assert word in cautions, word


def test_the_year_has_its_charts():
    """Energy and duration of the flow; made, used and dumped; state of charge."""
    assert [len(BOOK[name]._charts) for name in ("Supply", "Energy")] == [2, 2]


def test_a_site_that_tells_nothing_of_year_and_loads_is_not_stopped_for_that(sheet):
    """No month, tank, load or battery given: the Site sheet's flow counts, and nothing else is judged."""
    result = sheet.run(**OPTIONAL)
    first = next(row for row in range(1, 200) if BOOK["Checks"][f"B{row}"].value == supply.CHECKS[0][0])
    labels = [row[0] for module in (supply, housing, energy) for row in module.CHECKS]
    place = {BOOK["Checks"][f"B{row}"].value: row for row in range(first, first + 200)}
    assert {label: result.value(("Checks", f"G{place[label]}")) for label in labels} == dict.fromkeys(labels, "good")
    assert sheet.value(result, "driest_watts") == pytest.approx(sheet.value(result, "battery_watts"), rel=1e-12)


def test_a_jet_that_runs_short_of_water_gets_what_the_whole_chain_says(sheet):
    """Month by month from flow and jet alone; the ledger of the whole plant must agree, unfilled pipe too."""
    short = {"flow_september": 0.7}
    result = sheet.run(**short)
    usable = sheet.value(result, "driest_usable")
    limited = sheet.run(**short, bucket_seconds=None, known_flow=0.7)
    assert sheet.value(limited, "available_flow") == pytest.approx(usable, rel=1e-12)
    assert sheet.value(limited, "battery_watts") == pytest.approx(sheet.value(result, "driest_watts"), rel=1e-9)
    row = next(row for row in range(1, 60) if BOOK["Supply"][f"B{row}"].value == "September")
    unused = (
        sheet.value(limited, "ledger_unfilled")
        / sheet.value(limited, "ledger_gross")
        * sheet.value(limited, "gross_head")
    )
    assert result.value(("Supply", f"J{row}")) == pytest.approx(unused, rel=1e-9)
