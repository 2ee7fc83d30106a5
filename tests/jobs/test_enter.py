"""Readings of a test day and entries of a log go from lists into a copy of a workbook."""

import csv

import openpyxl
import pytest
from click.testing import CliRunner

from hydrofunc.cli import main
from hydrofunc.errors import FileRefused
from hydrofunc.jobs.enter import enter
from tests import books


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    path = tmp_path_factory.mktemp("book") / "site.xlsx"
    path.write_bytes(books.calculated_with())
    return path


def listed(folder, name, *rows):
    with open(folder / name, "w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(rows)
    return folder / name


def cell(path, name, row=0):
    book = books.values_of(path)
    sheet, place = book.defined_names[name].attr_text.replace("'", "").replace("$", "").split("!")
    return book[sheet][place].value if ":" not in place else [c[0].value for c in book[sheet][place]]


def test_readings_reach_their_cells_and_what_hangs_on_them(book, tmp_path):
    """20 L in 16 s are 1.25 L/s, whatever else is read."""
    names = ["reading_seconds", "reading_static [bar]", "reading_speed", "reading_nozzle"]
    done = enter(book, tmp_path / "out.xlsx", listed(tmp_path, "r.csv", names, ["16", "6.15", "", "7.6"]))
    assert (done.inputs, done.entries, done.problems, done.errors) == (3, 0, [], [])
    assert cell(done.path, "test_count") == 3 and 7.6 in cell(done.path, "reads")
    assert cell(done.path, "reading_flow") == pytest.approx(20 / 16)
    assert cell(done.path, "reading_static") == 6.15 and cell(done.path, "reading_speed") is None


def test_a_wrong_reading_is_named_and_the_others_are_entered(book, tmp_path):
    """Unknown name, out of range, a word: each with its column; nothing of the workbook is lost."""
    readings = listed(
        tmp_path,
        "r.csv",
        ["reading_amps", "reading_volts", "reading_sped", "reading_running"],
        ["7.5", "-3", "9", "low"],
    )
    done = enter(book, tmp_path / "out.xlsx", readings)
    said = "\n".join(map(str, done.problems))
    assert done.inputs == 1 and cell(done.path, "reading_amps") == 7.5
    assert (
        "reading_volts" in said and "reading_sped" in said and "did you mean reading_speed" in said and "'low'" in said
    )


def test_a_number_torn_by_its_decimal_comma_is_not_entered_as_its_first_half(book, tmp_path):
    """118,5 between commas is two cells; 118 alone, or 1 of 1,185, would be a length that nobody measured."""
    path = tmp_path / "torn.csv"
    path.write_text("name,unit,value\npipe_length,m,1,185\npipe_bore,mm,28\n", encoding="utf-8")
    done = enter(book, tmp_path / "torn.xlsx", path)
    (problem,) = map(str, done.problems)
    assert problem.startswith("row 2: has more cells than the 3 column heads; row left out.") and done.inputs == 1
    assert cell(done.path, "yours_pipe_length") == cell(book, "yours_pipe_length")


@pytest.mark.parametrize(
    ("values", "entered", "unclear"),
    [
        (("62,500", "1.400", "28"), 1, 2),  # 62.5 m and 1,400 L/s, or 62,500 m and 1.4 L/s? Nobody can tell
        (
            ("62,500", "1.45", "28"),
            2,
            0,
        ),  # this point divides decimals, so the comma does not, and is said to be no number
        (("625", "1.400", "28"), 3, 0),
    ],
)
def test_a_comma_that_may_be_of_decimals_makes_points_unclear(book, tmp_path, values, entered, unclear):
    path = tmp_path / "unclear.csv"
    lines = zip(("pipe_length", "known_flow", "pipe_bore"), ("m", "L/s", "mm"), values, strict=True)
    path.write_text("name,unit,value\n" + "".join(f'{name},{unit},"{value}"\n' for name, unit, value in lines))
    done = enter(book, tmp_path / "out.xlsx", path)
    assert done.inputs == entered
    assert sum("write one of these" in str(problem) for problem in done.problems) == unclear


def test_the_service_record_goes_in_by_name_and_a_bad_day_is_said(book, tmp_path):
    """A day as people write it becomes a date cell; 90 days after 1 February is 2 May."""
    readings = listed(
        tmp_path,
        "r.csv",
        ["service_done_gauge", "day_today", "service_done_guard", "well_watts"],
        ["2026-02-01", "2026-05-02", "last May", "310"],
    )
    done = enter(book, tmp_path / "out.xlsx", readings)
    assert done.inputs == 3 and cell(done.path, "service_done_gauge").date().isoformat() == "2026-02-01"
    assert [word for word in cell(done.path, "service_due") if word != "no date"] == ["due now"]
    assert cell(done.path, "log_expected_watts") == 310
    assert "service_done_guard" in str(done.problems[0]) and "a date such as" in str(done.problems[0])


def test_log_entries_go_into_the_first_free_rows(book, tmp_path):
    """Twice: the second list goes below the first; energy is the mean of two watts times the hours between."""
    first = listed(
        tmp_path, "a.csv", ["date", "gauge", "volts", "amps", "remarks"], ["2026-03-01", "3.8", "26", "8", "invented"]
    )
    second = listed(tmp_path, "b.csv", ["Date", "amps", "volts"], ["2026-03-02", "7", "26"], ["2026-03-03", "7", "26"])
    once = enter(book, tmp_path / "once.xlsx", log=first)
    twice = enter(once.path, tmp_path / "twice.xlsx", log=second)
    assert (once.entries, twice.entries, twice.problems) == (1, 2, [])
    dates = [day.date().isoformat() for day in cell(twice.path, "log_dates") if day]
    assert dates == ["2026-03-01", "2026-03-02", "2026-03-03"]
    assert cell(twice.path, "log_entries") == 3
    assert cell(twice.path, "log_energy") == pytest.approx(24 * ((26 * 8 + 26 * 7) / 2 + 26 * 7) / 1000)


def test_a_wrong_entry_is_left_out_with_its_row(book, tmp_path):
    """No date, a date that is none, volts below zero: the good one is entered."""
    rows = [
        ["date", "volts", "amps", "weather"],
        ["", "26", "7", ""],
        ["first of May", "26", "7", ""],
        ["2026-05-02", "-1", "7", ""],
        ["2026-05-03", "26", "7", ""],
    ]
    done = enter(book, tmp_path / "out.xlsx", log=listed(tmp_path, "log.csv", *rows))
    assert done.entries == 1
    assert {problem.row for problem in done.problems} == {2, 3, 4, None}
    assert "weather" in str(next(problem for problem in done.problems if problem.row is None))


def test_more_entries_than_rows_are_counted_not_lost_silently(book, tmp_path):
    rows = [["date", "volts", "amps"], *([f"2026-{m:02d}-{d:02d}", "26", "7"] for m in (1, 2, 3) for d in range(1, 29))]
    done = enter(book, tmp_path / "out.xlsx", log=listed(tmp_path, "log.csv", *rows))
    assert done.entries == 60
    assert "last 24 entries were left out" in str(done.problems[-1])


def test_files_are_not_overwritten_unasked_and_lists_must_fit(book, tmp_path):
    (tmp_path / "out.xlsx").write_text("mine")
    one = listed(tmp_path, "r.csv", ["reading_amps"], ["7"])
    with pytest.raises(FileRefused, match="exists"):
        enter(book, tmp_path / "out.xlsx", one)
    with pytest.raises(FileRefused, match="one row"):
        enter(book, tmp_path / "new.xlsx", listed(tmp_path, "two.csv", ["reading_amps"], ["7"], ["8"]))
    with pytest.raises(FileRefused, match="date"):
        enter(book, tmp_path / "new.xlsx", log=listed(tmp_path, "no.csv", ["volts"], ["26"]))
    assert (tmp_path / "out.xlsx").read_text() == "mine" and not (tmp_path / "new.xlsx").exists()


def test_the_command_says_what_it_entered(book, tmp_path):
    one = listed(tmp_path, "r.csv", ["reading_amps"], ["7"])
    done = CliRunner().invoke(main, ["enter", str(book), "--readings", str(one), "--out", str(tmp_path / "cli.xlsx")])
    assert done.exit_code == 0 and "1 input and 0 log entries entered" in done.output
    assert CliRunner().invoke(main, ["enter", str(book), "--out", str(tmp_path / "x.xlsx")]).exit_code == 2


def test_only_the_date_of_an_entry_must_be_there(book, tmp_path):
    """Who read only the gauge writes only that: the entry is entered, and the rest of its row stays blank."""
    rows = [["date", "gauge", "volts", "amps"], ["2026-04-01", "3.8", "", ""], ["2026-04-02", "", "26", "7"]]
    done = enter(book, tmp_path / "out.xlsx", log=listed(tmp_path, "log.csv", *rows))
    assert (done.entries, done.problems) == (2, [])
    assert [day.date().isoformat() for day in cell(done.path, "log_dates") if day] == ["2026-04-01", "2026-04-02"]


def test_looks_at_the_intake_go_in_with_the_entries(book, tmp_path):
    """Yes, no, or nobody looked; another word is said, and that entry left out."""
    rows = (
        ["date", "volts", "amps", "Intake overflows"],
        ["2026-04-01", "26", "8", "yes"],
        ["2026-04-08", "26", "8", ""],
        ["2026-04-15", "26", "8", "No"],
        ["2026-04-22", "26", "8", "perhaps"],
    )
    done = enter(book, tmp_path / "out.xlsx", log=listed(tmp_path, "log.csv", *rows))
    assert done.entries == 3
    assert [str(problem) for problem in done.problems if "perhaps" in str(problem)]
    assert cell(done.path, "log_last_look") == 0
    sheet = openpyxl.load_workbook(done.path, data_only=True)["Log"]
    first = next(row for row in range(1, 300) if sheet.cell(row, 15).value == "yes")
    assert [sheet[f"O{first + row}"].value for row in range(3)] == ["yes", None, "No"]  # as the list spells it
    assert [sheet[f"AO{first + row}"].value for row in range(3)] == [0, 0, 1]  # the source limits


def test_a_look_is_not_written_into_a_log_that_has_no_column_for_it(book, tmp_path):
    """A workbook of another day: nothing there would read it. The rest of the entry goes in."""
    old = openpyxl.load_workbook(book)
    head = next(cell for row in old["Log"].iter_rows() for cell in row if cell.value == "intake overflows")
    head.value = None
    old.save(tmp_path / "old.xlsx")
    rows = [["date", "volts", "amps", "intake overflows"], ["2026-04-01", "26", "8", "yes"]]
    done = enter(tmp_path / "old.xlsx", tmp_path / "out.xlsx", log=listed(tmp_path, "log.csv", *rows))
    assert done.entries == 1 and ["no such column" in str(problem) for problem in done.problems] == [True]
    assert [day.date().isoformat() for day in cell(done.path, "log_dates") if day] == ["2026-04-01"]
    sheet = openpyxl.load_workbook(done.path)["Log"]
    assert all(sheet.cell(row, head.column).value != "yes" for row in range(1, 300))
