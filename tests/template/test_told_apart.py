"""Inputs, workings, results and checks are told apart, and only inputs can be typed into a protected sheet.

ICAEW, Twenty principles for good spreadsheet practice, and the FAST Standard 3.03 ask for inputs, workings and results
apart, the former for protection too; how each looks, and the colours of the tabs, are our own choice.
"""

import io
from itertools import pairwise

import openpyxl
import pytest
from click.testing import CliRunner
from openpyxl.utils import column_index_from_string
from openpyxl.utils.cell import coordinate_from_string

from hydrofunc import template
from hydrofunc.cli import main
from hydrofunc.template import look
from hydrofunc.template.model import LETTERS, Formula, Result, Table
from hydrofunc.template.pages import GROUP_OF, GROUPS, PAGES, PLACED, RECORDED
from hydrofunc.template.pages.inputs import unit_cell
from tests import books
from tests.template.test_checks import luminance

BOOK = openpyxl.load_workbook(io.BytesIO(books.template()))
INPUTS = (*template.INPUTS, *RECORDED)
TYPED = {(item.sheet, item.cell) for item in INPUTS}
UNITS = {(item.sheet, unit_cell(item)) for item in INPUTS if item.is_convertible}
WORKINGS = [page.sheet for page in PAGES if page.workings]


def cells(book=BOOK):
    """(sheet, address, cell) of all cells that the workbook has."""
    return ((sheet.title, cell.coordinate, cell) for sheet in book for row in sheet.iter_rows() for cell in row)


def worked_out():
    """(sheet, address) of all formulas that stand in a result's line or in a table, whether on paper or beside it."""
    for sheet, items in PLACED.items():
        width = len(next(page.widths for page in PAGES if page.sheet == sheet))
        for _, item in items:
            if isinstance(item, Result):
                yield sheet, item.cell, column_index_from_string(coordinate_from_string(item.cell)[0]) <= width
            elif isinstance(item, Table):
                for number, row in enumerate(item.rows, start=item.first):
                    for letter, cell in zip(LETTERS, row):
                        if isinstance(cell, Formula):
                            yield sheet, f"{letter}{number}", column_index_from_string(letter) <= width


def looks_typed(cell):
    return cell.fill.fgColor.rgb.endswith(look.SAND) and cell.border.bottom.style == "medium"


# -- how each looks ------------------------------------------------------------------------------------------


def test_inputs_and_nothing_else_look_like_inputs():
    """Brown on sand with a line below; in their row stands the mark of an input."""
    assert {(sheet, address) for sheet, address, cell in cells() if looks_typed(cell)} == TYPED
    for sheet, address in TYPED:
        row = coordinate_from_string(address)[1]
        assert BOOK[sheet][f"A{row}"].value == look.MARK_INPUT, (sheet, address)
        assert BOOK[sheet][address].font.color.rgb.endswith(look.BROWN), (sheet, address)


def test_an_input_never_holds_a_formula():
    for sheet, address in TYPED | UNITS:
        value = BOOK[sheet][address].value
        alone = (sheet, address) in UNITS and str(value).startswith('=IF(units="us",')  # the system's unit, until typed
        assert alone or not str(value).startswith("="), (sheet, address)


def test_results_are_teal_and_helper_columns_grey():
    """Helper columns stand to the right of the page, and are not printed."""
    seen = set()
    for sheet, address, on_page in worked_out():
        cell = BOOK[sheet][address]
        assert cell.font.color.rgb.endswith(look.TEAL if on_page else look.ASH), (sheet, address)
        seen.add(on_page)
    assert seen == {True, False}


def test_sheets_of_workings_say_so_and_hold_no_input():
    """They are not printed, and stand in a group of their own."""
    assert set(WORKINGS) == {"Tried", "Plant", "Inputs"}
    for sheet in WORKINGS:
        assert BOOK[sheet]["B2"].value.startswith("Workings: ") and BOOK[sheet]["B2"].value.endswith(
            "Nothing to type here."
        )
        assert not [item for item in INPUTS if item.sheet == sheet]
        assert GROUP_OF[sheet] == "Workings"


def test_judgements_alone_are_coloured_by_what_they_say():
    """The colours of a verdict stand in the columns that tables declare as judgement, and in a line of Start."""
    columns = {
        (sheet, f"{item.judgement}{item.first}:{item.judgement}{item.last}")
        for sheet, items in PLACED.items()
        for _, item in items
        if isinstance(item, Table) and item.judgement
    }
    lines = {
        (sheet, f"{item.cell}:F{row}")
        for sheet, items in PLACED.items()
        for row, item in items
        if isinstance(item, Result) and item.stops
    }
    rules = {(sheet.title, str(block.sqref)) for sheet in BOOK for block in sheet.conditional_formatting}
    assert rules == columns | lines and {sheet for sheet, _ in columns} == {"Checks"}
    assert len(lines) == 1 and {sheet for sheet, _ in lines} == {"Start"}  # it names the first check that says stop
    for sheet, block in columns:
        first = block.partition(":")[0]
        assert not looks_typed(BOOK[sheet][first])


# -- groups of sheets ----------------------------------------------------------------------------------------


def test_every_sheet_is_in_one_group_and_shows_its_colour():
    listed = [sheet for sheets in GROUPS.values() for sheet in sheets]
    assert sorted(listed) == sorted(BOOK.sheetnames) and set(GROUPS) == set(look.TABS)
    for sheet in BOOK:
        assert sheet.sheet_properties.tabColor.rgb.endswith(look.TABS[GROUP_OF[sheet.title]])


def test_neighbours_of_another_group_differ_in_lightness():
    """So that they are told apart whatever colours a person sees, and in grey."""
    assert len(set(look.TABS.values())) == len(look.TABS)
    for one, other in pairwise(BOOK.sheetnames):
        if GROUP_OF[one] != GROUP_OF[other]:
            apart = abs(luminance(look.TABS[GROUP_OF[one]]) - luminance(look.TABS[GROUP_OF[other]]))
            assert apart > 0.12, (one, other)


def test_start_shows_the_colour_of_each_stage_and_the_guide_says_what_they_are():
    table = next(item for _, item in PLACED["Start"] if isinstance(item, Table) and item.key == "stages")
    for number, row in enumerate(table.rows, start=table.first):
        colour = BOOK["Start"][f"A{number}"].fill.fgColor.rgb
        assert colour.endswith(look.TABS[GROUP_OF[row[0].sheet]]) and GROUP_OF[row[0].sheet] == row[0].words
    guide = " ".join(str(cell.value) for cell in BOOK["Guide"]["B"])
    assert "Tabs have the colour of their group" in guide


# -- protection: offered, never forced -----------------------------------------------------------------------


def test_inputs_and_their_units_are_unlocked_and_nothing_else():
    """Lists are inputs too; entries of the log and rows of one's own are."""
    unlocked = {(sheet, address) for sheet, address, cell in cells() if not cell.protection.locked}
    assert unlocked == TYPED | UNITS
    assert {item.sheet for item in RECORDED} == {"Log"}


def test_no_sheet_is_protected_unless_asked_for():
    assert not any(sheet.protection.sheet for sheet in BOOK)


@pytest.fixture(scope="module")
def protected():
    return openpyxl.load_workbook(io.BytesIO(template.build(example=True, protect=True)))


def test_a_protected_template_has_no_password_and_the_same_cells(protected):
    """Rows may be put in, columns made wider; it differs in nothing else."""
    for sheet in protected:
        assert sheet.protection.sheet and sheet.protection.password is None and sheet.protection.hashValue is None
        assert not (sheet.protection.insertRows or sheet.protection.formatColumns or sheet.protection.formatRows)
        assert not sheet.protection.selectLockedCells, "a formula can still be read"
    same = {(sheet, address): (cell.value, cell.protection.locked) for sheet, address, cell in cells()}
    assert {(sheet, at): (cell.value, cell.protection.locked) for sheet, at, cell in cells(protected)} == same


@pytest.mark.parametrize("asked", [True, False])
def test_the_commands_protect_where_they_are_asked_to(tmp_path, asked):
    """`template` and `fill`, and what is typed into an input then is spliced in as ever."""
    sites = tmp_path / "sites.csv"
    sites.write_text("site_name,level_difference,pipe_length,pipe_bore\nA,50,300,40\n")
    more = ["--protect"] if asked else []
    for command in (
        ["template", str(tmp_path / "new.xlsx"), *more],
        ["fill", str(sites), "--out", str(tmp_path / "sites"), *more],
    ):
        result = CliRunner().invoke(main, command)
        assert result.exit_code == 0, result.output
    for path in (tmp_path / "new.xlsx", tmp_path / "sites" / "A.xlsx"):
        book = openpyxl.load_workbook(path)
        assert {bool(sheet.protection.sheet) for sheet in book} == {asked}, path
    sheet, address = next((item.sheet, item.cell) for item in INPUTS if item.name == "level_difference")
    assert openpyxl.load_workbook(tmp_path / "sites" / "A.xlsx")[sheet][address].value == 50
