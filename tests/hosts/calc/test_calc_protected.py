"""Protected sheets in a real Calc: what is typed into an input counts, a formula cannot be overwritten."""

import pytest

from hydrofunc import template
from tests import books

PLACE = {name: f"{sheet}!{cell}" for name, (sheet, cell) in books.CELLS.items()}


@pytest.fixture
def protected(calc, tmp_path):
    """The protected template, open."""
    path = tmp_path / "protected.xlsx"
    path.write_bytes(template.build(example=True, protect=True))
    calc.open(path.as_uri())
    return calc


@pytest.mark.calc
def test_inputs_lists_units_and_entries_of_the_log_can_be_typed(protected):
    entry = next(item for item in template.RECORDED if not item.is_text and not item.is_date)
    contents = {
        PLACE["pipe_length"]: "333",
        PLACE["pipe_length"].replace("!C", "!D"): "ft",
        PLACE["connection"]: "delta",
        f"{entry.sheet}!{entry.cell}": "12",
    }
    for address, content in contents.items():
        assert protected.enter(address, content), address
        number, shown, *_ = protected.read([address])[0]
        assert content in (shown, f"{number:g}"), address


@pytest.mark.calc
@pytest.mark.parametrize("name", ["gross_head", "start_watts", "ledger_sum", "first_check", "state_pipe_length"])
def test_results_workings_and_checks_cannot(protected, name):
    before = protected.read([name])[0][3]
    assert before.startswith("=")
    assert not protected.enter(name, "1") and protected.read([name])[0][3] == before


@pytest.mark.calc
def test_whoever_wants_switches_the_protection_off(protected):
    """There is no password; then a formula can be changed."""
    title = next(item.sheet for item in template.RESULTS)
    assert protected.unprotect(title) == [True, True]
    assert protected.enter("ledger_sum", "1")
