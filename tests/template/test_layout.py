"""The template as a person meets it: every cell labelled, limited, named; every sheet ready to print."""

import io
import re
import zipfile

import openpyxl
import pytest
from openpyxl.utils.cell import range_boundaries

from hydrofunc import template
from hydrofunc.registry import FUNCTIONS
from hydrofunc.template.model import LETTERS, Formula, Input, Result, Table, Written
from hydrofunc.template.pages import PAGES, PLACED, ROW_OF
from hydrofunc.units import CHOICES, TO_SI, shown_unit
from tests import books

DATA = books.template()
BOOK = openpyxl.load_workbook(io.BytesIO(DATA))
ORDER = [
    "Start",
    "Guide",
    "Site",
    "Supply",
    "Pipe",
    "Route",
    "Strength",
    "Nozzle",
    "Wheel",
    "Choices",
    "Housing",
    "Alternator and battery",
    "Safety figures",
    "Energy",
    "Parts",
    "Results",
    "Checks",
    "What pays",
    "Combinations",
    "Doubt",
    "Test day",
    "Diagnosis",
    "As tested",
    "Efficiency",
    "Log",
    "Tried",
    "Limits",
    "Plant",
    "Inputs",
    "Functions",
]


# Tables that hold numbers of ours: assumptions, ranges and factors of units; the steps of curves;
# nominal volts; ranges that are declared with an input.
TYPED = {
    "banks",
    "ways",
    "doubt",
    "doubt_effects",
    "converted",
    "plain",
    "units",
    "wire_gauge",
    "nozzle_curve",
    "torque_curve",
    "shorted",
}


def validations(sheet):
    return {str(rule.sqref): rule for rule in sheet.data_validations.dataValidation}


def named_results():
    for items in PLACED.values():
        for _, item in items:
            if isinstance(item, Result):
                yield item


def test_the_sheets_stand_in_the_order_of_the_job():
    """From start to function list."""
    assert BOOK.sheetnames == ORDER


def test_the_same_version_writes_the_same_bytes():
    """Nothing of the clock is in the file."""
    assert template.build(example=True) == DATA
    assert template.build() == template.build() != DATA


@pytest.mark.parametrize("item", template.INPUTS, ids=lambda item: item.name)
def test_every_input_is_named_limited_and_explained(item):
    """Name, unlocked cell of the input look, validation with a message that says what is allowed."""
    names = {name: defined.attr_text.replace("$", "") for name, defined in BOOK.defined_names.items()}
    if item.name in ROW_OF:  # the name is what counts; what is typed has a hidden one
        counts, fits, *_ = ROW_OF[item.name]
        assert names[item.name] == f"'Inputs'!{counts}" and names[f"yours_{item.name}"] == f"'{item.sheet}'!{item.cell}"
        assert not item.is_line or names[f"given_{item.name}"] == f"'Inputs'!{fits}"
    else:
        assert names[item.name] == f"'{item.sheet}'!{item.cell}"
    sheet = BOOK[item.sheet]
    cell = sheet[item.cell]
    assert not cell.protection.locked
    assert cell.fill.fgColor.rgb.endswith("F5EAD2") and cell.border.bottom.style == "medium"
    rule = validations(sheet)[item.cell]
    assert (
        rule.showInputMessage
        and rule.showErrorMessage
        and rule.prompt
        and len(rule.prompt) <= 255
        and len(rule.error) <= 225
    )
    assert rule.allow_blank
    assert item.shown is None or item.check(item.shown) is None, "the value shown is itself allowed"
    assert (cell.number_format == "@") == item.is_text, "a word such as 1/2 must not become a date"


@pytest.mark.parametrize("item", list(named_results()), ids=lambda item: item.name)
def test_every_result_is_a_named_live_formula_unlike_an_input(item):
    """And carries its unit beside it."""
    assert BOOK.defined_names[item.name].attr_text.replace("$", "") == f"'{item.sheet}'!{item.cell}"
    cell = BOOK[item.sheet][item.cell]
    assert cell.value.startswith("=")
    assert not cell.fill.fgColor.rgb.endswith("F5EAD2") and cell.border.bottom.style is None
    shown = BOOK[item.sheet][f"D{cell.row}"].value
    if item.cell[0] not in "CE":  # kept in the functions' unit, shown in the chosen system's
        us = shown_unit(item.unit, "us")
        assert us != item.unit and shown == f'=IF(units="us","{us}","{item.unit}")'
    else:
        assert shown in (item.unit, None if item.unit in ("-", "") else item.unit)


def test_every_number_of_every_chart_and_table_is_a_live_formula():
    """Tables hold formulas, inputs, or the limits of checks; nothing is typed that could be worked out."""
    for items in PLACED.values():
        for _, item in items:
            if isinstance(item, Table):
                for row in item.rows:
                    numbers = [cell for cell in row if isinstance(cell, (int, float))]
                    typed = item.judgement or item.key in TYPED
                    assert not numbers or typed, f"{item.sheet} row {row[0]}"
                    for cell in row:
                        if isinstance(cell, Formula):
                            assert cell.text.startswith("=") and "{" not in cell.text


def test_names_are_legal_in_every_spreadsheet_program():
    """No cell address, no R1C1, only letters, digits and _ (ECMA-376 part 1, 18.2.5: definedName)."""
    for name in BOOK.defined_names:
        assert re.fullmatch(r"[a-z][a-z0-9_]{2,}", name), name
        assert not re.fullmatch(r"[a-z]{1,3}[0-9]+|r[0-9]*c[0-9]*", name), name


def test_formulas_call_declared_functions_only():
    """And every HYDRO_ call gives at least the required arguments, at most all."""
    for sheet in BOOK:
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.value.startswith("="):
                    for name in re.findall(r"HYDRO_([A-Z0-9_]+)\(", cell.value):
                        assert name.lower() in FUNCTIONS, f"{sheet.title}!{cell.coordinate}"


@pytest.mark.parametrize("name", ORDER)
def test_a_sheet_is_ready_to_read_and_print(name):
    """Frozen head, A4, footer, print area that holds everything, titles repeated; test_paper.py measures the pages."""
    sheet = BOOK[name]
    assert sheet.freeze_panes in ("A4", "C4")
    assert sheet.page_setup.paperSize == 9
    assert sheet.print_title_rows == "$1:$3"
    assert "hydrofunc" in sheet.oddFooter.left.text
    _, _, last_column, last_row = range_boundaries(sheet.print_area.split("!")[1].replace("$", ""))
    if next(page for page in PAGES if page.sheet == name).workings:
        assert last_row == 3, "only the title"
    else:
        assert (last_column, last_row) >= (sheet.max_column, sheet.max_row) or last_row == sheet.max_row
    assert sheet["B1"].value and sheet["B2"].value


def test_the_questions_of_the_job_have_a_native_chart():
    """Watts against nozzle, torque against speed, the ledger; what is in doubt, and each nozzle's band."""
    assert [len(BOOK[name]._charts) for name in ("Nozzle", "Alternator and battery", "Results", "Doubt")] == [
        1,
        1,
        1,
        2,
    ]


def test_the_file_holds_no_macro_and_no_link_to_elsewhere():
    """Only sheets, charts and styles; the properties say what made it."""
    names = zipfile.ZipFile(io.BytesIO(DATA)).namelist()
    assert not [name for name in names if re.search(r"vba|macro|externalLink|customXml|activeX|embeddings", name)]
    assert BOOK.properties.title and BOOK.properties.creator.startswith("hydrofunc")


def test_nothing_is_left_to_be_written():
    """No placeholder words anywhere."""
    for sheet in BOOK:
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, str):
                    assert not re.search(r"todo|tbd|lorem|xxx|placeholder|to be defined", cell.value, re.I), (
                        f"{sheet.title}!{cell.coordinate}"
                    )


def test_the_function_list_is_the_registry():
    """One row for each declared function, in order."""
    listed = [cell.value for cell in BOOK["Functions"]["B"] if str(cell.value).startswith("HYDRO_")]
    assert listed == [function.sheet_name for function in FUNCTIONS.values()]


def test_cautions_stand_where_the_danger_is():
    """Pressure, jet, rotation, voltage, battery and heat are spoken of on the sheets of their numbers."""
    for sheet, words in {
        "Site": "pressure",
        "Nozzle": "jet",
        "Wheel": "runs up",
        "Alternator and battery": "IEC 60364",
        "Checks": "Local codes",
        "Test day": "load connected FIRST",
        "Safety figures": "licensed people",
        "Parts": "carried by two",
        "Efficiency": "guard on",
    }.items():
        cautions = [
            BOOK[sheet][f"B{row}"].value
            for row in range(1, BOOK[sheet].max_row + 1)
            if BOOK[sheet][f"A{row}"].value == "!"
        ]
        assert any(words in text for text in cautions), sheet
    start = " ".join(str(BOOK["Guide"][f"B{row}"].value) for row in range(1, BOOK["Guide"].max_row + 1))
    for word in ("pressure", "Rotation", "hydrogen", "Heat", "Local codes"):
        assert word in start


# -- never a number without unit, source or reason -----------------------------------------------------------
# Heads of columns that hold counts, ratios or dates: the rest say their unit after a comma, or in a column of units.
PLAIN_HEADS = {
    "how many",
    "K of one",
    "K together",
    "carries",
    "people",
    "jets",
    "K",
    "align. of jet",
    "row",
    "place",
    "order by",
    "degrees of freedom",
    "days",
    "day",
    "days a week",
    "kept when warm",
    "W per currency",
    "date",
    "last done",
    "due",
    "last date",
    "counts",
    "gauge counts",
    "watts count",
    "nozzle passes",
    "entries",
}
CHOSEN = {unit for choices in CHOICES.values() for unit in choices}
MONEY = {"currency", "currency/W", "currency/kWh", "year", "day"}
UNIT_WORDS = {"volts", "amps", "watts", "hours", "kWh"}  # heads of the log: every entry has them
TOLD_ELSEWHERE = {"test_day_water", "test_day_a", "test_day_b"}  # under the last of the four tables of Test day


def is_number(cell):
    return isinstance(cell, (int, float)) or (
        (isinstance(cell, (Formula, Written)) and cell.digits != "General")
        or (isinstance(cell, Input) and not cell.is_text)
    )


def columns(table):
    """(letter, head, cells) of each column."""
    for place, (letter, head) in enumerate(zip(LETTERS, table.heads)):
        yield letter, head, [row[place] for row in table.rows if place < len(row)]


def tables():
    """Tables as they stand on their pages, before they get cells."""
    for page in PAGES:
        for item in page.items:
            if isinstance(item, Table):
                yield pytest.param(page, item, id=f"{page.sheet}-{item.key}")


def lines(kind):
    """Items that fill a line of their own."""
    return [item for items in PLACED.values() for _, item in items if isinstance(item, kind)]


def beside(item, column):
    """What stands in a column of the item's line."""
    return BOOK[item.sheet][f"{column}{re.sub('[A-Z]', '', item.cell)}"].value


@pytest.mark.parametrize("item", lines((Input, Result)), ids=lambda item: item.name)
def test_every_line_shows_a_unit(item):
    """Or "-" for a count or a ratio, as Start explains; words and dates have none."""
    words = item.is_text if isinstance(item, Input) else item.digits == "General"
    shown = re.sub(r'=IF\(units="us","([^"]*)","([^"]*)"\)', r"\1|\2", beside(item, "D") or "").split("|")
    assert words or "yyyy" in item.digits or set(shown) <= {*TO_SI, *CHOSEN, "-", *MONEY}, item.label


@pytest.mark.parametrize(
    "item", [item for item in lines(Result) if item.digits != "General"], ids=lambda item: item.name
)
def test_every_result_says_how_it_comes_about(item):
    """Functions, formula or sheet, or words, to the right of the value."""
    said = " ".join(str(beside(item, letter) or "") for letter in "FGHI")
    assert re.search("[A-Za-z]{3}", said), item.label


@pytest.mark.parametrize(
    "item", [item for item in lines(Input) if item.assumption is not None], ids=lambda item: item.name
)
def test_every_value_that_is_ours_says_why(item):
    """An assumption is a number of ours: the sentence beside it says what it is and where it is from."""
    assert item.assumption.why, item.label


@pytest.mark.parametrize(("page", "table"), list(tables()))
def test_every_number_of_a_table_has_a_unit(page, table):
    """In its head, in a column of units, in the row's own label; or it is a count."""
    by_row = "unit" in table.heads or page.sheet == "Inputs"  # there in the column "in", or in the row's name
    if by_row and page.sheet != "Inputs":
        units = [(row[0], row[table.heads.index("unit")]) for row in table.rows]
        assert all(unit or "Today" in label for label, unit in units), units
    for letter, head, cells in columns(table):
        if any(is_number(cell) for cell in cells) and not by_row and head not in PLAIN_HEADS:
            in_labels = all(re.search(r", (\S+)( |$)", str(row[0])) for row in table.rows)
            assert ", " in head or set(head.split()) & UNIT_WORDS or in_labels, f"{page.sheet} {letter}: {head!r}"


@pytest.mark.parametrize(("page", "table"), list(tables()))
def test_every_number_of_a_table_says_how_it_comes_about(page, table):
    """Below the table: our functions, the formula, or words, for every column that is worked out."""
    told = {letter: way for letters, _, way in table.ways() for letter in letters}
    for letter, head, cells in columns(table):
        if any(is_number(cell) and isinstance(cell, (Formula, Written)) for cell in cells):
            assert letter in told, f"{page.sheet} {letter}: {head!r}"
            assert told[letter] or table.key in TOLD_ELSEWHERE, f"{page.sheet} {letter}: {head!r}"
    below = table.explained()
    if below:
        assert below in [item for _, item in PLACED[page.sheet]]


def test_every_axis_of_a_chart_says_its_unit():
    """After a comma or in words; a category axis may hold names."""
    units = re.compile(
        r", (mm|W|L/s|rpm|N·m|m|%)( |$)|watts|kWh|% |days|day of|\bL/s|one standard uncertainty, W", re.I
    )
    for sheet in BOOK:
        for chart in sheet._charts:
            axis = chart.y_axis
            title = "".join(run.t for p in (axis.title.tx.rich.p if axis.title else []) for run in p.r or [])
            head = "".join(run.t for p in chart.title.tx.rich.p for run in p.r or [])
            assert units.search(title) or units.search(head) or "watt" in head, f"{sheet.title}: {head!r} {title!r}"
