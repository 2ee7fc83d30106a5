"""Workbooks of an older layout: what a person typed goes into a new one, and nothing is dropped in silence.

old-layout.xlsx is workbooks/invented-project/Invented-project-Fern-Hollow-B-one-wide-pipe-as-tested.xlsx of commit
1a516e5, the last of that layout: an invented plant with a test day and thirty entries of its log.
"""

import csv
from functools import cache
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

from hydrofunc.cli import main
from hydrofunc.engine.book import Formula
from hydrofunc.errors import FileRefused
from hydrofunc.jobs.older import OLDER, as_text, is_older, mark, older_cells, older_inputs
from hydrofunc.jobs.recalc import calculated
from hydrofunc.jobs.renew import NO_INPUT, renew
from hydrofunc.template import INPUTS, build
from hydrofunc.workbook.reading import defined_names, read_book
from tests.jobs.older_layout import inputs_of, marks_of

OLD = Path(__file__).with_name("old-layout.xlsx")
ITEMS = {item.name: item for item in INPUTS}


def edited(path, out, **inputs):
    """A copy of a workbook with other contents in the cells of these names."""
    book = openpyxl.load_workbook(path)
    for name, content in inputs.items():
        sheet, cell = book.defined_names[name].attr_text.replace("'", "").replace("$", "").split("!")
        book[sheet][cell] = content
    book.save(out)
    return out


def typed(path):
    """What stands in the cells of all inputs of a workbook of today, by name; empty ones are left out."""
    cells = read_book(path).cells
    return {name: cells[key] for name, item in ITEMS.items() if (key := (item.sheet, item.cell)) in cells}


@cache
def _opened(path):
    return openpyxl.load_workbook(path, data_only=True)


def stored(path, name):
    """The stored values of a name's cells."""
    book = _opened(path)
    sheet, cells = book.defined_names[name].attr_text.replace("'", "").replace("$", "").split("!")
    block = book[sheet][cells]
    return [row[0].value for row in block] if isinstance(block, tuple) else block.value


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """All that the old workbook holds, taken over."""
    folder = tmp_path_factory.mktemp("whole")
    return renew(OLD, folder / "new.xlsx", folder / "left.csv", every=True)


@pytest.fixture(scope="module")
def changed(tmp_path_factory):
    """(old workbook, what `renew` made of it, its list): an older template in which a person typed."""
    folder = tmp_path_factory.mktemp("changed")
    template = folder / "template.xlsx"
    as_it_was = {name: _cell(value) for name, value in older_inputs().items()}
    edited(OLD, template, **as_it_was)
    old = edited(
        template,
        folder / "old.xlsx",
        static_pressure=2.6,
        pipe_length="=150+35",  # as people add up their tape
        pipe_bore=33.5,
        cable_material="aluminium",
        reading_running=2.1,
        service_done_gauge=46000,
        survey_date=46001,
        phase_resistance=0.31,  # a formula then, typed over; an input today
        kind_bore="rectangular",  # no input today
        bucket_volume="twenty",
        doubt_gross_head=5,
        doubt_alignment=None,
        gauge_doubt=None,  # of a table that is filled in today, too
        net_head=40,  # typed over a formula
    )
    book = openpyxl.load_workbook(old)
    book.create_sheet("My notes")["B2"] = "the neighbour's well"
    book["Site"]["K40"] = "=1+1"
    dates = book.defined_names["log_dates"].attr_text.replace("$", "").split("!")[1]
    first, last = (int(cell[1:]) for cell in dates.split(":"))
    for number, row in enumerate(range(first, last + 1)):  # the last one goes into the row that closes the table
        for column, value in zip("CDEFGH", (46000 + number, 2.0 + number / 100, 26.0, 4.0, None, 24)):
            book["Log"][f"{column}{row}"] = value
    book["Log"][f"N{first}"] = "cleaned"
    book.save(old)
    done = renew(old, folder / "new.xlsx", folder / "left.csv")
    with open(folder / "left.csv", encoding="utf-8-sig", newline="") as stream:
        return old, done, list(csv.DictReader(stream))


def _cell(value):
    try:
        return float(value)
    except ValueError:
        return value or None


# -- the older layout as we know it ----------------------------------------------------------------------------------


def test_the_list_of_older_inputs_is_that_of_an_older_workbook():
    """Its named cells that are not locked; and every content of theirs is one of the older template's or an input."""
    assert inputs_of(OLD).keys() == older_inputs().keys()
    assert len(older_inputs()) == 513
    own = marks_of(OLD) - older_cells()
    typed_there = {as_text(value) for value in inputs_of(OLD).values()}
    book = read_book(OLD)
    own_texts = {
        as_text(content)
        for (sheet, cell), content in book.cells.items()
        if sheet not in ("Log", "Doubt") and mark(sheet, cell.rstrip("0123456789"), content) in own
    }
    assert own and own_texts <= typed_there


def test_every_older_input_is_one_today_or_known_to_be_none():
    """So an input that is renamed one day cannot be lost: this fails, and the job needs a table of names."""
    assert {name for name in older_inputs() if name not in ITEMS} == {
        name
        for name in older_inputs()
        if name.startswith(("kind_", "cost_own_"))  # of rows of one's own, What pays
    }


def test_layouts_are_told_apart_by_their_names():
    """Without reading a cell."""
    assert is_older(defined_names(OLD)) and defined_names(OLD) == set(read_book(OLD).names)
    assert not is_older(defined_names(build()))
    assert not is_older({"gross_head", "nozzle", "battery_watts"})


def test_other_programs_write_the_same_formula_otherwise():
    """As LibreOffice and Excel write it; another number is another formula."""
    ours = mark("Pipe", "C", Formula("=MIN(outlet_bore,C12*0.40)*1E9"))
    assert ours == mark("Pipe", "C", Formula("=MIN( OUTLET_BORE, $C$7*0.4)*1000000000"))
    assert ours != mark("Pipe", "C", Formula("=MIN(outlet_bore,C12*0.41)*1E9"))
    assert ours != mark("Pipe", "D", Formula("=MIN(outlet_bore,C12*0.40)*1E9"))


# -- all of it -------------------------------------------------------------------------------------------------------


def test_a_workbook_taken_over_whole_gives_the_same_watts(whole):
    """The two layouts work the plant out by different formulas."""
    for name in ("battery_watts", "flow", "speed", "gross_head", "net_head", "runaway_volts"):
        assert stored(whole.path, name) == pytest.approx(stored(OLD, name), rel=1e-9), name


def test_a_workbook_taken_over_whole_holds_every_input(whole):
    """Each as it stood; two half ranges that were in % are in the unit of their value: 72.42 m, and no load."""
    old, new = inputs_of(OLD), typed(whole.path)
    for name, value in old.items():
        if name in ITEMS and name not in ("doubt_gross_head", "doubt_load_resistance"):
            assert new.get(name) == value, name
    assert new["doubt_gross_head"] == pytest.approx(old["doubt_gross_head"] / 100 * stored(OLD, "gross_head"))
    assert "doubt_load_resistance" not in new and old["load_resistance"] is None
    assert new.keys() - old.keys() == {"units"}


def test_the_log_goes_over_entry_by_entry(whole):
    """Its cells stand in other rows today; the energy that hangs on all entries is the same."""
    assert whole.entries == 30
    for name in ("log_dates", "log_energies"):
        old, new = ([value for value in stored(path, name) if value not in (None, "")] for path in (OLD, whole.path))
        assert (
            len(old) >= 30 and new[:30] == pytest.approx(old[:30], rel=1e-9) if name == "log_energies" else old == new
        )


# -- what a person changed -------------------------------------------------------------------------------------------


def test_only_what_a_person_typed_is_given(changed):
    """All else is assumed or proposed: a state of its own for each, and no leftover of an invented plant."""
    _, done, _ = changed
    given = typed(done.path)
    cells = read_book(build()).cells
    fresh = {name for name, item in ITEMS.items() if (item.sheet, item.cell) in cells}
    assert given.keys() - fresh == {
        "static_pressure",
        "pipe_length",
        "pipe_bore",
        "cable_material",
        "reading_running",
        "service_done_gauge",
        "survey_date",
        "phase_resistance",
        "doubt_gross_head",
        "doubt_alignment",
    }
    assert done.inputs == 10
    assert "gauge_doubt" not in given and not fresh - given.keys(), "what was deleted stays out, nothing else is lost"
    assert (
        stored(done.path, "state_static_pressure") == "yours" and stored(done.path, "state_pipe_condition") == "assumed"
    )


def test_typed_values_reach_their_cells(changed):
    """A sum as its value, a day as a day, a word as a word; ± in % of the head as metres; an empty ± meant certain."""
    old, done, _ = changed
    given = typed(done.path)
    assert (given["static_pressure"], given["pipe_length"], given["pipe_bore"]) == (2.6, 185.0, 33.5)
    assert (given["cable_material"], given["phase_resistance"], given["reading_running"]) == ("aluminium", 0.31, 2.1)
    assert given["service_done_gauge"] == 46000 and given["survey_date"] == "2025-12-10"
    recalculated = done.path.with_name("recalculated.xlsx")
    recalculated.write_bytes(calculated(old)[0])
    assert given["doubt_gross_head"] == pytest.approx(0.05 * stored(recalculated, "gross_head"))
    assert given["doubt_alignment"] == 0
    assert done.errors == []


def test_what_has_no_room_is_listed_with_its_reason(changed):
    """By name or by cell: in the result, on the terminal and in the list."""
    _, done, listed = changed
    reasons = {row["name"] or f"{row['sheet']}!{row['cell']}": row["reason"] for row in listed}
    assert reasons["kind_bore"] == NO_INPUT
    assert "'twenty' is not a number" in reasons["bucket_volume"]
    assert "185" in reasons["pipe_length"]
    assert reasons["My notes!B2"] == reasons["Site!K40"] == "a cell of your own"
    assert any(row["value"] == "40" and row["reason"] == "a cell of your own" for row in listed)
    assert reasons["load_watts_1"].startswith("as in the older template")
    said = "\n".join(done.messages())
    for words in ("kind_bore", "'twenty'", "My notes: 1 cells", "Site: 1 cells", "10 inputs and 60 log entries"):
        assert words in said
    assert "Nozzle opening 7 mm" in said and "load_watts_1" not in said


def test_each_content_of_the_old_inputs_is_in_the_new_workbook_or_in_the_list(changed):
    """Nothing is lost."""
    old, done, listed = changed
    given, named = typed(done.path), {row["name"] for row in listed}
    for name, value in inputs_of(old).items():
        assert value is None or name in given or name in named, name


def test_entries_without_a_row_are_listed(changed):
    """Sixty rows in the new log, sixty-one entries in the old one."""
    _, done, listed = changed
    left = [row for row in listed if row["name"].startswith("log ")]
    assert done.entries == 60
    assert [row["value"] for row in left if row["name"] == "log date"] == ["46060"]
    assert {row["name"] for row in left} == {"log date", "log gauge", "log volts", "log amps", "log hours run since"}
    dates = [value for value in stored(done.path, "log_dates") if value]
    assert len(dates) == 60 and (dates[-1] - dates[0]).days == 59


# -- refusals, and the other commands --------------------------------------------------------------------------------


def test_a_workbook_of_today_and_one_of_others_are_refused(tmp_path, whole):
    """In words; nothing is written."""
    other = openpyxl.Workbook()
    other.save(tmp_path / "other.xlsx")
    with pytest.raises(FileRefused, match="has today's layout already"):
        renew(whole.path, tmp_path / "new.xlsx")
    with pytest.raises(FileRefused, match="no workbook made by hydrofunc"):
        renew(tmp_path / "other.xlsx", tmp_path / "new.xlsx")
    assert not (tmp_path / "new.xlsx").exists()


def test_nothing_is_overwritten_unasked(tmp_path):
    """Neither the new workbook, nor the list, nor the old one."""
    (tmp_path / "there.xlsx").write_text("mine")
    (tmp_path / "there.csv").write_text("mine")
    for out, left in (("there.xlsx", None), ("new.xlsx", tmp_path / "there.csv")):
        with pytest.raises(FileRefused, match="exists already"):
            renew(OLD, tmp_path / out, left)
    with pytest.raises(FileRefused, match="exists already"):
        renew(OLD, OLD)
    assert {path.name for path in tmp_path.iterdir()} == {"there.xlsx", "there.csv"}


def test_the_command_says_how_many_went_over(tmp_path):
    """Messages on stderr, paths on stdout."""
    before = OLD.read_bytes()
    done = CliRunner().invoke(
        main, ["renew", str(OLD), "--out", str(tmp_path / "new.xlsx"), "--left", str(tmp_path / "left.csv")]
    )
    assert done.exit_code == 0, done.output
    assert done.stdout.split() == [str(tmp_path / "new.xlsx"), str(tmp_path / "left.csv")]
    assert "106 inputs and 30 log entries taken over, in metric units." in done.stderr
    assert "not taken over" in done.stderr and "--all takes them over" in done.stderr
    assert OLD.read_bytes() == before


@pytest.mark.parametrize(
    "command",
    [
        ["recalc", "--out", "{0}/out.xlsx"],
        ["report", "--out", "{0}/out.pdf"],
        ["sweep", "--vary", "nozzle=7,8", "--outputs", "battery_watts", "--out", "{0}/out.csv"],
        ["enter", "--readings", "{0}/readings.csv", "--out", "{0}/out.xlsx"],
    ],
    ids=lambda command: command[0],
)
def test_commands_still_work_on_an_older_workbook_and_say_so(command, tmp_path):
    """One line, and their file."""
    (tmp_path / "readings.csv").write_text("name,value\nreading_static,7.05\n")
    said = CliRunner().invoke(main, [command[0], str(OLD), *(word.format(tmp_path) for word in command[1:])])
    assert said.exit_code == 0, said.output
    assert said.stderr.count(OLDER) == 1
    (written,) = tmp_path.glob("out.*")
    if written.suffix == ".xlsx":
        assert stored(written, "battery_watts") == pytest.approx(stored(OLD, "battery_watts"), rel=1e-12)
    if written.suffix == ".csv":
        assert stored(OLD, "battery_watts") == pytest.approx(float(written.read_text().split()[-1].split(",")[1]))


def test_doubt_refuses_an_older_workbook_with_that_sentence(tmp_path):
    """Its sheet Doubt is another one."""
    said = CliRunner().invoke(main, ["doubt", str(OLD), "--out", str(tmp_path / "out.xlsx")])
    assert said.exit_code == 1 and OLDER in said.stderr and "Traceback" not in said.output
    assert not list(tmp_path.iterdir())


def test_a_half_range_that_was_in_percent_is_not_entered_in_metres(tmp_path):
    """1.5 m are not 1.5 %."""
    (tmp_path / "list.csv").write_text("name,value\ndoubt_gross_head,1.5\n")
    said = CliRunner().invoke(
        main, ["enter", str(OLD), "--readings", str(tmp_path / "list.csv"), "--out", str(tmp_path / "out.xlsx")]
    )
    assert said.exit_code == 1 and "doubt_gross_head" in said.stderr and not (tmp_path / "out.xlsx").exists()
