"""The filled demo workbook, recalculated by a real Calc, shows what the headless engine stored in it."""

import re
from pathlib import Path

import openpyxl
import pytest
from calc_session import compare

from hydrofunc.hosts.calc.book import book_for_old_calc, internal_names
from hydrofunc.sheets.book import Formula, read_book

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
    assert opened(path) > 200
    calc.calculate_all()
    assert compare(calc, path) > 500


@pytest.mark.calc
def test_the_usual_names_in_xlsx_files(calc):
    """25.2 understands them, so that one file serves Excel and Calc; 7.4 shows #NAME? and needs the copy."""
    calc.open(BOOKS[0].resolve().as_uri())
    calc.calculate_all()
    if calc.version() >= [25, 2]:
        assert compare(calc, BOOKS[0]) > 500
    else:
        assert 525 in {cell[2] for cell in calc.read(["Pipe!C20", "Site!C20", "Results!C5", "Results!C6", "Results!C7"])}


@pytest.mark.calc
def test_a_changed_input_changes_what_depends_on_it(calc, opened):
    """A larger nozzle passes more water; set back, everything is as before."""
    path = BOOKS[0]
    opened(path)
    calc.calculate_all()
    book = openpyxl.load_workbook(path)
    where = {name: book.defined_names[name].attr_text.replace("'", "").replace("$", "") for name in ("nozzle", "flow")}
    before, flow = (cell[0] for cell in calc.read([where["nozzle"], where["flow"]]))
    calc.set([(where["nozzle"], before * 0.8)])
    assert calc.read([where["flow"]])[0][0] < 0.9 * flow
    calc.set([(where["nozzle"], before)])
    compare(calc, path)


@pytest.mark.calc
def test_a_route_may_have_any_number_of_points(calc, opened):
    """Rows put in and copied down in its three tables: the points below move on, the new one counts in every table."""
    path = next((BOOKS[0].parents[1] / "invented-project").glob("*B-one-wide-pipe.xlsx"))
    opened(path)
    book = openpyxl.load_workbook(path)

    def area(name):
        title, cells = book.defined_names[name].attr_text.replace("'", "").split("!")
        return title, *(int(number) for number in re.findall(r"\d+", cells))

    tables = [area(name) for name in ("drawn_chainage", "route_state", "lowest_in_surge")]
    route, first, _ = tables[1]
    for title, top, _ in tables:  # the lower table of a sheet first
        calc.lengthen(title, top + 2)
    new = first + 3
    calc.set([(f"{route}!C{new}", 100.0), (f"{route}!D{new}", 838.0)])
    calc.calculate_all()
    drawn, surge = tables[0][1] + 1, tables[2][1]  # the table drawn stands below the route, which has a row more
    cells = calc.read([f"{route}!L{new}", *(f"{route}!C{drawn + i}" for i in (3, 4)), *(f"Strength!C{surge + i}" for i in (3, 4))])
    assert cells[0][1] == "used" and [cell[0] for cell in cells[1:]] == [100.0, 130.0, 100.0, 130.0]
    checks = {calc.read([f"Checks!B{row}"])[0][1]: calc.read([f"Checks!G{row}"])[0][1] for row in range(20, 30)}
    assert checks["Route rows without a row in each of its tables"] == "good"


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
    assert changed == count > 200
