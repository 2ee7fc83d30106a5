"""What was measured belongs to the plant that it was measured on, not to the scenarios of a sweep."""

import csv
from pathlib import Path

from hydrofunc.engine.compile import compile_book
from hydrofunc.jobs.measured import as_measured
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS
from hydrofunc.jobs.sweep import sweep
from hydrofunc.workbook.reading import read_book
from tests.engine.fake_functions import workbook

KEPT = Path(__file__).parents[2] / "workbooks"
(TESTED,) = KEPT.glob("invented-project/*tested.xlsx")
LIKELY, MISFIT, FALL, OPEN_VOLTS = "Checks!G75", "Checks!G76", "Checks!G79", "plant_runaway_volts"


def swept(folder, *outputs):
    done = sweep(TESTED, folder / "out.csv", vary=["nozzle=6,8,10"], outputs=outputs, force=True)
    with open(folder / "out.csv", encoding="utf-8-sig", newline="") as file:
        return done, [dict(zip(("nozzle", *outputs), row)) for row in list(csv.reader(file))[1:]]


def test_with_another_nozzle_readings_and_log_say_what_they_say_of_the_plant_that_was_tested(tmp_path):
    book = read_book(TESTED)
    outputs = [book.resolve(name) for name in (LIKELY, MISFIT, FALL)]
    now = compile_book(book, SHEET_FUNCTIONS, outputs=outputs).run()
    done, rows = swept(tmp_path, LIKELY, MISFIT, FALL, OPEN_VOLTS, "checks_stop")
    assert done.keeps_measured
    for name, key in zip((LIKELY, MISFIT, FALL), outputs):
        assert {row[name] for row in rows} == {now.value(key)}, name
    assert len({row[OPEN_VOLTS] for row in rows}) == 3  # what is no reading follows the nozzle


def test_what_a_reading_should_be_follows_the_scenario_where_it_is_asked_for(tmp_path):
    done, rows = swept(tmp_path, "worst_misfit", "checks_stop")
    assert not done.keeps_measured
    assert len({row["worst_misfit"] for row in rows}) == 3


def test_nothing_is_kept_of_a_workbook_without_readings_or_of_a_strangers():
    plain = read_book(KEPT / "template.xlsx")
    assert as_measured(plain, [plain.resolve("nozzle")], [plain.resolve("checks_stop")]) == {}
    strange = read_book(workbook(Log={"A1": 1.0, "A2": "=A1*2"}, Sums={"A1": "=Log!A2"}))
    assert as_measured(strange, [("Log", "A1")], [("Sums", "A1")]) == {}
    assert as_measured(strange, [("Sums", "B1")], [("Sums", "A1")]) == {}


def test_the_sheets_of_what_was_measured_are_those_of_the_template():
    from hydrofunc.jobs.measured import SAYS, SHEETS

    book = read_book(KEPT / "template.xlsx")
    assert set(SHEETS) <= set(book.sheets)
    assert all(book.resolve(name)[0] in SHEETS for name in SAYS)
