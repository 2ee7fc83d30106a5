"""A line for each cause of errors in a workbook, and none for what is meant."""

import io

import openpyxl
import pytest
from click.testing import CliRunner
from openpyxl.chart import LineChart, Reference

from hydrofunc.cli import main
from hydrofunc.hosts.doctor import check_book
from hydrofunc.jobs.recalc import calculated
from hydrofunc.template import INPUTS, build
from tests import books


def said_of(cells, chart=None, names=()):
    """What is said of a workbook with one sheet of these cells and, maybe, a chart of some of them."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Tank"
    for cell, value in cells.items():
        sheet[cell] = value
    if chart:
        drawing = LineChart()
        drawing.add_data(Reference(sheet, range_string=f"Tank!{chart}"))
        sheet.add_chart(drawing)
    for name, cell in names:
        book.defined_names[name] = openpyxl.workbook.defined_name.DefinedName(name, attr_text=f"Tank!{cell}")
    stream = io.BytesIO()
    book.save(stream)
    return [str(cause) for cause in calculated(stream.getvalue()).causes]


def template_with(name, value):
    """What is said of the template, as a file, in which somebody typed over the cell of this name."""
    sheet, cell = books.template_book().resolve(name)
    book = books.opened()
    book[sheet][cell] = value
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue(), f"{sheet}!{cell}"


def errors_in(data):
    """How many cells of a workbook show an error."""
    book = openpyxl.load_workbook(io.BytesIO(data), data_only=True)
    return sum(cell.data_type == "e" for sheet in book for row in sheet.iter_rows() for cell in row)


def test_one_cause_is_one_line_with_the_number_of_its_consequences():
    assert said_of(
        {"A1": "volume, L", "B1": 200, "A2": "flow, L/s", "B2": 0, "A3": "seconds", "B3": "=B1/B2", "B4": "=B3+1"}
        | {f"C{row}": "=B4*2" for row in range(1, 8)}
    ) == [
        "Tank!B3 (seconds) shows #DIV/0!, and 8 cells that use it; "
        "it reads Tank!B1 (volume, L) 200, Tank!B2 (flow, L/s) 0"
    ]


def test_two_causes_are_two_lines_in_the_order_of_calculation():
    said = said_of({"B1": 0, "C1": "=1/B1", "C2": '=VALUE("x")', "C3": "=C1+C2"})
    assert [line.partition(",")[0] for line in said] == ["Tank!C1 shows #DIV/0!", "Tank!C2 shows #VALUE!"]
    assert all("and 1 cell that uses it" in line for line in said)


def test_a_name_stands_in_where_no_label_does():
    assert said_of({"B1": 0, "D4": "=1/B1"}, names=[("seconds", "$D$4")])[0].startswith("Tank!D4 (seconds) shows")


def test_what_an_array_formula_reads_is_seen_too():
    cells = {"A1": 1, "A2": 0, "B1": "=1/A2", "D1": openpyxl.worksheet.formula.ArrayFormula("D1:D2", "=B1*A1:A2")}
    said = said_of(cells)
    assert len(said) == 1 and said[0].startswith("Tank!B1") and "2 cells that use it" in said[0]


# -- charts ------------------------------------------------------------------------------------------------

CHARTED = {"A1": 1, "A2": None, "B1": "=IF(ISNUMBER(A1),A1,NA())", "B2": "=IF(ISNUMBER(A2),A2,NA())", "C2": "=B2*2"}


def test_na_that_a_formula_says_itself_for_a_chart_is_no_problem():
    assert said_of(CHARTED, chart="B1:C2") == []


def test_the_same_na_outside_a_chart_is_one():
    assert said_of(CHARTED) == ["Tank!B2 shows #N/A, and 1 cell that uses it; it reads Tank!A2 (empty)"]


def test_a_result_that_reads_a_point_left_out_of_a_chart_is_a_problem_with_its_reason():
    assert said_of(CHARTED | {"D1": "=SUM(B1:B2)"}, chart="B1:C2") == [
        "Tank!B2 shows #N/A for a chart: Tank!D1 shows #N/A"
    ]


def test_another_error_in_a_chart_is_a_problem():
    assert len(said_of(CHARTED | {"C1": "=1/0"}, chart="B1:C2")) == 1


# -- the template ------------------------------------------------------------------------------------------


def test_neither_an_empty_template_nor_one_without_any_value_of_its_example_has_a_cause():
    """Both draw charts of which some points are left out by NA()."""
    for data in (build(), build(example=True)):
        assert calculated(data).causes == []


@pytest.mark.parametrize("value", ["=1/0", "=NA()"])
def test_a_broken_cell_of_the_template_is_one_line_with_its_label_and_its_consequences(value):
    data, cell = template_with("water_density", value)
    done = calculated(data)
    assert len(done.causes) == 1
    assert str(done.causes[0]).startswith(f"{cell} (Density of the water) shows #")
    # The sound template shows no error at all, so every other cell that shows one now does so because of this one.
    assert errors_in(calculated(build(example=True)).data) == 0
    assert done.causes[0].others == errors_in(done.data) - 1


def test_a_number_typed_as_words_is_shown_where_it_is_read():
    data, cell = template_with("gravity", "about 9.8")
    said = [str(cause) for cause in calculated(data).causes]
    assert 0 < len(said) < 8  # what takes gravity without a function of ours
    assert all(f"{cell} (Gravity) 'about 9.8'" in line for line in said)


def test_an_input_that_nothing_replaces_is_blamed_and_what_may_be_empty_is_only_shown():
    """Formulas of a person's own on a sheet of the template, where both kinds are read."""
    length = next(item for item in INPUTS if item.name == "pipe_length")
    latitude = next(item for item in INPUTS if item.name == "latitude")
    book = openpyxl.Workbook()
    book.create_sheet(length.sheet)[f"B{length.cell[1:]}"] = length.label
    book.create_sheet(latitude.sheet)[f"B{latitude.cell[1:]}"] = latitude.label
    sheet = book.active
    sheet["A1"], sheet["A2"] = (f"=1/'{item.sheet}'!{item.cell}" for item in (length, latitude))
    sheet["A3"] = f'=1/IF(\'{length.sheet}\'!{length.cell}="","",1)'  # reads a blank word that comes of an empty cell
    sheet["A4"] = "=1/A5"
    sheet["A5"] = f"='{length.sheet}'!{length.cell}"  # a plain reference, which gives 0
    stream = io.BytesIO()
    book.save(stream)
    first, second = map(str, calculated(stream.getvalue()).causes)
    assert (
        first
        == f"{length.sheet}!{length.cell} ({length.label}) is empty: Sheet!A1 shows #DIV/0!, and 2 cells that use it"
    )
    assert second == f"Sheet!A2 shows #DIV/0!; it reads {latitude.sheet}!{latitude.cell} ({latitude.label}) (empty)"


def test_a_word_in_an_input_is_named():
    item = next(item for item in INPUTS if item.name == "latitude")
    book = openpyxl.Workbook()
    book.active["A1"] = f"=1+'{item.sheet}'!{item.cell}"
    sheet = book.create_sheet(item.sheet)
    sheet[item.cell], sheet[f"B{item.cell[1:]}"] = "45 N", item.label
    stream = io.BytesIO()
    book.save(stream)
    where = f"{item.sheet}!{item.cell} (Latitude)"
    assert [str(cause) for cause in calculated(stream.getvalue()).causes] == [
        f"{where} holds '45 N', which is no number: Sheet!A1 shows #VALUE!"
    ]


def test_the_commands_say_causes(tmp_path):
    path = tmp_path / "broken.xlsx"
    data, cell = template_with("water_density", "=1/0")
    path.write_bytes(calculated(data)[0])
    done = CliRunner().invoke(main, ["recalc", str(path), "--out", str(tmp_path / "again.xlsx")])
    assert done.exit_code == 0
    assert len(done.stderr.splitlines()) == 1 and done.stderr.startswith(f"{cell} (Density of the water) shows")
    found = [finding for finding in check_book(path) if finding.is_problem]
    assert len(found) == 1 and found[0].text == done.stderr.strip()
