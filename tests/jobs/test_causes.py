"""A line for each cause of errors in a workbook, and none for what is meant."""

import io

import openpyxl
import pytest
from click.testing import CliRunner
from openpyxl.chart import LineChart, Reference

from hydrofunc.cli import main
from hydrofunc.engine.lanes import ExcelError
from hydrofunc.hosts.doctor import check_book
from hydrofunc.jobs.causes import Causes
from hydrofunc.jobs.recalc import calculated
from hydrofunc.template import INPUTS
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
    return [str(cause) for cause in calculated(stream.getvalue())[1]]


def template_without(**inputs):
    """The causes of errors in the template with some inputs changed."""
    changes = {books.CELLS[name]: value for name, value in inputs.items()}
    plan = books.plan()
    result = plan.run(changes)
    values = {key: result.value(key) for key in plan.outputs}
    shown = sum(isinstance(value, ExcelError) for value in values.values())
    return Causes(books.template_book(), plan).of(values, changes), shown


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


def test_the_template_as_it_is_has_no_cause():
    causes, _ = template_without()
    assert causes == []


@pytest.mark.parametrize("name", ["latitude", "pipe_length", "pole_pairs", "entrance", "pitch_diameter"])
def test_one_empty_input_is_one_line_that_names_it(name):
    """A person who had emptied latitude got 1,000 lines, and none of them said latitude."""
    item = next(item for item in INPUTS if item.name == name)
    causes, shown = template_without(**{name: None})
    assert shown > 300 and len(causes) == 1
    assert str(causes[0]).startswith(f"{item.sheet}!{item.cell} ({item.label}) is empty: ")
    assert causes[0].others > 300


def test_what_may_be_empty_is_named_but_not_blamed():
    """Battery volts may be empty, with a resistor as load; the line says what is read, empty cells first."""
    causes, _ = template_without(battery_volts=None)
    assert len(causes) == 1 and causes[0].lacks == ()
    assert "(Battery volts while charging) (empty)" in causes[0].reads[0]


def test_a_word_in_the_place_of_a_number_is_named():
    causes, _ = template_without(latitude="45 N")
    assert str(causes[0]).startswith("Site!C9 (Latitude) holds '45 N', which is no number: ")


def test_all_inputs_empty_are_a_page_of_lines_and_not_a_thousand():
    causes, shown = template_without(**{item.name: None for item in INPUTS})
    assert shown > 500 and len(causes) < 30
    said = " ".join(map(str, causes))
    assert all(f"({label}) is empty" in said for label in ("Latitude", "Length along the pipe", "Pipe standard"))


def test_every_error_of_the_template_is_a_cause_or_counted_with_one():
    """Nothing is left out but what is meant for a chart."""
    causes, shown = template_without(latitude=None)
    assert sum(cause.others + 1 for cause in causes) >= 0.95 * shown


def test_the_commands_say_causes(tmp_path):
    path = tmp_path / "emptied.xlsx"
    path.write_bytes(books.calculated_with(latitude=None))
    done = CliRunner().invoke(main, ["recalc", str(path), "--out", str(tmp_path / "again.xlsx")])
    assert done.exit_code == 0
    assert len(done.stderr.splitlines()) == 1 and done.stderr.startswith("Site!C9 (Latitude) is empty")
    found = [finding for finding in check_book(path) if finding.is_problem]
    assert len(found) == 1 and found[0].text == done.stderr.strip()
