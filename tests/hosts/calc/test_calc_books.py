"""The filled demo workbook, recalculated by a real Calc, shows what the headless engine stored in it."""

import re
from pathlib import Path

import openpyxl
import pytest

from hydrofunc.engine.book import Formula
from hydrofunc.hosts.calc.book import book_for_old_calc
from hydrofunc.hosts.calc.names import internal_names
from hydrofunc.workbook.reading import read_book
from tests import books
from tests.hosts.calc.calc_session import compare

BOOKS = sorted((Path(__file__).parents[3] / "workbooks" / "invented-demo").glob("*.xlsx"))


@pytest.fixture
def opened(calc, tmp_path):
    """Opens the copy of a workbook made for older Calc; returns how many calls were renamed in it."""

    def open_copy(path):
        copy = tmp_path / "copy.xlsx"
        count = book_for_old_calc(path, copy, force=True)
        calc.open(copy.as_uri())
        return count

    return open_copy


@pytest.mark.calc
@pytest.mark.parametrize("path", [book for book in BOOKS if book.name != "summary.xlsx"], ids=lambda path: path.stem)
def test_the_filled_demo_recalculated_in_calc_agrees_in_every_cell(calc, opened, path):
    """Hard recalculation of the copy with internal names."""
    assert opened(path) == books.CALLS
    calc.calculate_all()
    assert compare(calc, path) == books.FORMULAS


@pytest.mark.calc
def test_the_usual_names_in_xlsx_files(calc):
    """25.2 understands them, so that one file serves Excel and Calc; 7.4 shows #NAME? and needs the copy."""
    calc.open(BOOKS[0].resolve().as_uri())
    calc.calculate_all()
    if calc.version() >= [25, 2]:
        assert compare(calc, BOOKS[0]) == books.FORMULAS
    else:
        cells = read_book(BOOKS[0]).cells.items()
        calls = [f"{sheet}!{cell}" for (sheet, cell), content in cells if "HYDRO_" in getattr(content, "text", "")]
        assert 525 in {cell[2] for cell in calc.read(calls)}


@pytest.mark.calc
def test_a_changed_input_changes_what_depends_on_it(calc, opened):
    """A larger nozzle passes more water; set back, everything is as before."""
    path = BOOKS[0]
    opened(path)
    calc.calculate_all()
    book = openpyxl.load_workbook(path)
    where = {
        name: book.defined_names[name].attr_text.replace("'", "").replace("$", "") for name in ("yours_nozzle", "flow")
    }
    before, flow = (cell[0] for cell in calc.read([where["yours_nozzle"], where["flow"]]))
    calc.set([(where["yours_nozzle"], before * 0.8)])
    assert calc.read([where["flow"]])[0][0] < 0.9 * flow
    calc.set([(where["yours_nozzle"], before)])
    compare(calc, path)


def areas(book, *names):
    """{name: (sheet, first row, last row)} of named columns."""
    texts = {name: book.defined_names[name].attr_text.replace("'", "").split("!") for name in names}
    return {
        name: (title, *(int(number) for number in re.findall(r"\d+", cells))) for name, (title, cells) in texts.items()
    }


@pytest.mark.calc
def test_a_route_may_have_any_number_of_points(calc, opened):
    """Three rows put in and filled down as the sheet says: points in them are drawn, judged, told apart."""
    path = next((BOOKS[0].parents[1] / "invented-project").glob("*B-one-wide-pipe.xlsx"))
    opened(path)
    place = areas(openpyxl.load_workbook(path), "drawn_chainage", "route_state", "lowest_in_surge")
    copied = {"drawn_chainage": ("C", "P"), "route_state": ("E", "AK"), "lowest_in_surge": ("C", "R")}
    for name, columns in copied.items():
        title, _, last = place[name]  # the lower table of a sheet first
        calc.insert(title, last, 3)
        calc.copy_down(f"{title}!{columns[0]}{last - 2}:{columns[1]}{last - 2}", last + 3)
    (_, first, last), drawn, surge = place["route_state"], place["drawn_chainage"][1] + 3, place["lowest_in_surge"][1]
    points = [(10.0, 850.0), (100.0, 840.0), (200.0, 838.0), (300.0, 830.0), (400.0, 835.0), (640.0, 780.0)]
    cells = [(f"Route!{column}{row}", None) for row in range(first, last + 4) for column in "BCD"]
    rows = [last - 2, last - 1, last, last + 1, last + 2, last + 3]  # two old ones, the three put in, the last
    for row, (chainage, level) in zip(rows, points):
        cells += [(f"Route!C{row}", chainage), (f"Route!D{row}", level)]
    calc.set(cells)
    calc.calculate_all()
    told = [cell[1] for cell in calc.read([f"Route!F{row}" for row in rows])]
    assert told == ["ok", "ok", "ok", "drain here", "vent here", "ok"]
    there = [row - first for row in rows]
    assert [cell[0] for cell in calc.read([f"Route!C{drawn + i}" for i in there])] == [
        chainage for chainage, _ in points
    ]
    assert [cell[0] for cell in calc.read([f"Strength!C{surge + i}" for i in there])] == [
        chainage for chainage, _ in points
    ]
    checks = {cell[1]: row for row in range(6, 100) for cell in calc.read([f"Checks!B{row}"])}
    row = checks["Route rows without a row in each of its tables"]
    assert [cell[1] for cell in calc.read([f"Checks!C{row}", f"Checks!G{row}"])] == ["0", "good"]


@pytest.mark.calc
def test_a_log_may_have_any_number_of_entries(calc, opened):
    """Two rows put in and filled down as the sheet says: what is entered in and after them is the last there is."""
    path = next((BOOKS[0].parents[1] / "invented-project").glob("*B-one-wide-pipe.xlsx"))
    opened(path)
    book = openpyxl.load_workbook(path)
    title, first, end = areas(book, "log_dates")["log_dates"]
    calc.insert(title, end - 1, 2)
    calc.copy_down(f"{title}!B{end - 2}:AK{end - 2}", end + 1)
    entries = {
        first: (46000.0, 10.0),
        end - 1: (46010.0, 9.0),
        end + 1: (46020.0, 8.0),
    }  # the first row, one put in, the last
    calc.set(
        [
            (f"{title}!{column}{row}", value)
            for row, (day, amps) in entries.items()
            for column, value in zip("CEF", (day, 26.0, amps))
        ]
    )
    calc.calculate_all()
    where = [
        book.defined_names[name].attr_text.replace("'", "").replace("$", "")
        for name in ("log_entries", "log_energy", "log_share", "battery_watts")
    ]
    count, energy, share, watts = (cell[0] for cell in calc.read(where))
    assert count == 3 and share == pytest.approx(100 * 26 * 8 / watts)
    assert energy == pytest.approx(26 * (9.5 + 8.5) * 240 / 1000)


@pytest.mark.calc
def test_saved_by_calc_and_read_again_formulas_and_values_survive(calc, opened, tmp_path):
    """As .ods, which stores internal names."""
    path = BOOKS[0]
    opened(path)
    calc.calculate_all()
    formulas = calc.formulas()
    saved = (tmp_path / "saved.ods").as_uri()
    calc.save(saved, "calc8")
    calc.open(saved)
    assert calc.formulas() == formulas
    compare(calc, path)
    calc.calculate_all()
    compare(calc, path)


def test_the_copy_differs_in_the_names_of_our_functions_only():
    """Words that look like a call stay; a second time nothing changes."""
    data, count = internal_names(BOOKS[0])
    assert internal_names(data) == (data, 0)
    before, after = read_book(BOOKS[0]).cells, read_book(data).cells
    assert before.keys() == after.keys()
    changed = 0
    for key, cell in before.items():
        if isinstance(cell, Formula):
            assert cell.text == after[key].text.replace("HYDROFUNC.", "HYDRO_")
            changed += after[key].text.count("HYDROFUNC.")
        else:
            assert cell == after[key]
    assert changed == count == books.CALLS
