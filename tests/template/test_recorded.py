"""The log's entries: cells that are written while the plant runs. They are validated, and no columns of a site list."""

import datetime
import io

import pytest
from openpyxl.utils.cell import coordinate_from_string

from hydrofunc import template
from hydrofunc.jobs.inputs import find_input
from hydrofunc.template.model import DATE, Input, Table
from hydrofunc.template.pages import PLACED
from tests import books

BOOK = books.opened()
LOG = next(item for _, item in PLACED["Log"] if isinstance(item, Table) and item.key == "log")


RULES = {title: BOOK[title].data_validations.dataValidation for title in BOOK.sheetnames}


def rule_of(item):
    return next(rule for rule in RULES[item.sheet] if item.cell in rule.sqref)


def test_a_recorded_cell_is_an_input_without_a_name():
    """Unlocked, looks like an input, limited, explained; no defined name; no column of a site list."""
    for item in template.RECORDED:
        assert item.name not in BOOK.defined_names and find_input(item.name) is None
        cell = BOOK[item.sheet][item.cell]
        assert not cell.protection.locked and cell.fill.fgColor.rgb.endswith("F5EAD2"), item.name
        rule = rule_of(item)
        assert (
            rule.allow_blank
            and rule.showErrorMessage
            and rule.prompt
            and len(rule.prompt) <= 255
            and len(rule.error) <= 225
        )
        assert not item.needed and item.check(None) is None and item.check(item.shown) is None
        assert (cell.number_format == "@") == item.is_text
        if item.digits == DATE:
            assert cell.number_format == "yyyy-mm-dd" and "2026-05-31" in rule.error and "46143" not in rule.error


def test_names_of_recorded_cells_do_not_repeat():
    names = [item.name for item in (*template.INPUTS, *template.RECORDED)]
    assert len(set(names)) == len(names)


def test_the_log_is_empty_and_has_room_for_sixty_entries():
    """Nothing invented stands in it."""
    entries = [row for row in LOG.rows if any(isinstance(cell, Input) for cell in row)]
    assert len(entries) == 60
    assert all(BOOK["Log"][cell.cell].value is None for row in entries for cell in row if isinstance(cell, Input))


def test_one_rule_serves_a_whole_column_so_that_rows_put_in_between_have_it_too():
    columns = {coordinate_from_string(cell.cell)[0] for cell in LOG.rows[0] if isinstance(cell, Input)}
    for column in columns:
        rules = [
            rule
            for rule in BOOK["Log"].data_validations.dataValidation
            if str(rule.sqref) == f"{column}{LOG.first}:{column}{LOG.last - 1}"
        ]
        assert len(rules) == 1, column


def test_rows_inserted_above_the_last_line_are_counted():
    """As that line says: rows put in, the row above copied down. Every range ends below them."""
    for name in LOG.names:
        assert BOOK.defined_names[name].attr_text.endswith(f"${LOG.last}")
    assert "insert rows above the row before this line" in BOOK["Log"][f"B{LOG.last}"].value


def test_a_date_typed_in_a_spreadsheet_program_is_the_same_as_its_number(sheet):
    """A real date cell through the whole engine."""
    from hydrofunc.engine.compile import compile_book
    from hydrofunc.jobs.recalc import SHEET_FUNCTIONS
    from hydrofunc.workbook.reading import read_book

    book = books.opened()
    page = book["Log"]
    for number, (day, amps) in enumerate([(1, 5.0), (8, 4.0)]):
        row = LOG.first + number
        page[f"C{row}"], page[f"E{row}"], page[f"F{row}"] = datetime.date(2026, 5, day), 24.0, amps
    stream = io.BytesIO()
    book.save(stream)
    changed = read_book(stream.getvalue())
    result = compile_book(changed, SHEET_FUNCTIONS).run()
    assert result.value(changed.resolve("log_end")) == 46150.0
    assert result.value(changed.resolve("log_energy")) == pytest.approx((120 + 96) / 2 * 7 * 24 / 1000)


def test_a_date_typed_as_words_is_said_and_not_counted(sheet):
    result = sheet.run(log_date_1="1 May", log_volts_1=24.0, log_amps_1=5.0)
    assert sheet.value(result, ("Log", f"B{LOG.first}")) == "no date" and sheet.value(result, "log_entries") == 0


# -- faults put into the plant, read back from the log -----------------------------------------------------


def plant(sheet, **fault):
    """What gauge, volts, amps and bucket would read with this fault in the template's plant."""
    result = sheet.run(**fault)
    gauge, volts, amps, flow = (
        sheet.value(result, name) for name in ("running_pressure", "load_volts", "current", "flow")
    )
    return {"gauge": gauge, "volts": volts, "amps": amps, "seconds": 20.0 / flow}


FAULTS = {
    "ok": {},
    "screen or pipe clogging": {"other_k": 600.0},
    "nozzle blocked": {"nozzle": 5.0},
    "nozzle worn": {"nozzle": 8.6},
    "electrical": {"cable_area": 0.15},
    "source gives less than expected": {"bucket_seconds": 25.0},
}
DRY = "source gives less than expected"


@pytest.mark.parametrize("timed", [True, False], ids=["with a bucket time", "without"])
@pytest.mark.parametrize("word", FAULTS)
def test_a_fault_in_the_plant_is_named(sheet, word, timed):
    """The whole chain computes what the instruments show, and the log names the cause from them alone."""
    readings = plant(sheet, **FAULTS[word])
    if not timed:
        del readings["seconds"]
    entry = {f"log_{what}_1": value for what, value in readings.items()} | {"log_date_1": 46143.0}
    entry["log_overflows_1"] = "no" if word == DRY else "yes"
    result = sheet.run(**entry)
    assert sheet.value(result, ("Log", f"B{LOG.first}")) == word, readings
    if word == DRY:  # the gauge says how much there was
        flow = sheet.value(sheet.run(**FAULTS[word]), "flow")
        assert sheet.value(result, "log_source_least") == pytest.approx(flow, rel=0.01)
