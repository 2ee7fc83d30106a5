"""Every check can say good and can say stop: a judgement that cannot go red is none."""

import pytest

from hydrofunc.template.model import Table
from hydrofunc.template.pages import CHECKS, PLACED
from tests.template import parts

TABLE = next(item for _, item in PLACED["Checks"] if isinstance(item, Table))
# Inputs that turn the check of this label to stop, and, where the template's own example does not, to good.
STOP = {
    "Nozzle's thirst, of the flow you may use": {"bucket_seconds": 60.0},
    "Nozzle size, of the best one": {"nozzle": 20.0},
    "Gross head lost in pipe and fittings": {"nozzle": 20.0, "bucket_seconds": 5.0},
    "Static pressure, of the weakest rating": {"pipe_rating": 5.0},
    "Gauge and level survey differ by": {"level_difference": 90.0},
    "Pitch circle over jet": {"pitch_diameter": 40.0},
    "Speed ratio off the best by": {"battery_volts": 13.0, "pitch_diameter": 400.0},
    "Watts into the battery": {"battery_volts": 400.0},
    "Overlap of the diodes": {"terminal_inductance": 60.0, "battery_volts": 13.0, "terminal_resistance": 0.1},
    "Open volts at runaway, of what the parts stand": {"voltage_limit": 30.0},
    "Open volts at runaway, against touch": {"test_volts": 200.0},
    "Current, of what windings and bridge carry": {"current_limit": 1.0},
    "Volts lost in the cable": {"cable_area": 0.5, "cable_length": 200.0},
}
GOOD = {
    "Gauge and level survey differ by": {"level_difference": 63.0},
    "Overlap of the diodes": {"terminal_inductance": 0.2},
    "Open volts at runaway, against touch": {"test_volts": 10.0, "battery_volts": 13.5},
    "Volts lost in the cable": {"cable_area": 16.0},
}
for _part in parts.WITH_CHECKS:
    STOP |= _part.STOP
    GOOD |= _part.GOOD
BY_NOTHING = (  # stop only if the workbook itself is changed
    "Ledger does not close by",
    "Step by step and in one call differ by",
    "Route rows without a row in each of its tables",
)


CASES = [("stop", label) for label in STOP] + [("good", label) for label in (*STOP, *BY_NOTHING)]


def cell_of(label):
    return "Checks", f"G{TABLE.first + [cells[0] for cells in TABLE.rows].index(label)}"


@pytest.fixture(scope="module")
def judgements(sheet):
    """What each check says to the inputs made for it, all cases in one run."""
    together = sheet.run_all([(STOP if wanted == "stop" else GOOD).get(label, {}) for wanted, label in CASES])
    return {case: lane.value(cell_of(case[1])) for case, lane in zip(CASES, together)}


def test_every_check_is_tried():
    """A new check must come with inputs that turn it red."""
    labels = [row[0] for row in CHECKS]
    assert len(set(labels)) == len(labels) and set(labels) == {*STOP, *BY_NOTHING}


@pytest.mark.parametrize("label", STOP)
def test_a_check_says_stop(judgements, label):
    """With inputs that deserve it."""
    assert judgements["stop", label] == "stop"


@pytest.mark.parametrize("label", [*STOP, *BY_NOTHING])
def test_a_check_says_good(judgements, label):
    """With inputs that deserve it."""
    assert judgements["good", label] == "good"


def test_a_value_that_cannot_be_worked_out_is_never_good(sheet):
    """No flow given: everything that hangs on it says stop."""
    result = sheet.run(bucket_seconds=None)
    for label in ("Nozzle's thirst, of the flow you may use", "Watts into the battery"):
        assert result.value(cell_of(label)) == "stop"


def test_a_changed_formula_turns_the_ledger_check_red():
    """The checks of the workbook itself go red when somebody breaks a line of the ledger, or lengthens one table of the route alone."""
    import io
    import re

    import openpyxl

    from hydrofunc import template
    from hydrofunc.engine.compile import compile_book
    from hydrofunc.registry import FUNCTIONS
    from hydrofunc.workbook.reading import read_book

    book = openpyxl.load_workbook(io.BytesIO(template.build()))
    for name, broken in {"ledger_cable": "=0", "battery_watts": "=100"}.items():
        sheet_title, cell = book.defined_names[name].attr_text.replace("$", "").replace("'", "").split("!")
        book[sheet_title][cell] = broken
    area = book.defined_names["drawn_chainage"]
    area.attr_text = re.sub(r"\d+$", lambda last: str(int(last[0]) - 1), area.attr_text)
    stream = io.BytesIO()
    book.save(stream)
    changed = read_book(stream.getvalue())
    result = compile_book(changed, {f.sheet_name: f for f in FUNCTIONS.values()}).run({}, lanes=1)
    for label in BY_NOTHING:
        assert result.value(cell_of(label)) == "stop"
