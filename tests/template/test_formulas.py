"""Formulas that a person can read: short, one pattern down a column, every threshold a cell with a name.

ICAEW, Twenty principles for good spreadsheet practice, and the FAST Standard 3.03 ask for short formulas that are alike
along a column and hold no number that may change; how long "short" is, and what counts as counting, is our own choice.
Where a column must differ, name it in UNLIKE with the reason.
"""

import re
from functools import cache
from typing import NamedTuple

import pytest

from hydrofunc.engine.book import Formula as Written
from hydrofunc.template.model import LETTERS, Table
from hydrofunc.template.pages import PLACED
from hydrofunc.units import NOT_LINEAR, TO_SI, alternatives, conversion
from tests import books

LONGEST, SHORT, SHORT_SHARE = 160, 80, 0.9  # characters; "short" is below SHORT
# Units (100 %, hours, minutes, seconds, watts to kilowatts, bar to pascals), months and their days, a week, counting.
PLAIN = {0.0, 1.0, 2.0, 3.0, 7.0, 12.0, 24.0, 28.25, 30.0, 31.0, 60.0, 100.0, 365.25, 1000.0, 3600.0, 100000.0}
# Factors and offsets of units that a person may choose; test_units.py holds them to their source.
FACTORS = {
    float(f"{abs(number):.15g}")
    for own in TO_SI
    for unit in alternatives(own)
    if unit not in NOT_LINEAR
    for number in conversion(unit, own)
}
COUNTED = {0.0, 1.0, 2.0, 3.0}  # what a value may be compared with
UNLIKE = {  # (page, table, column) whose rows are not all alike: why; "*" is every column of the table
    ("Checks", "checks", "C"): "each check has a number of its own, from the sheet where it stands",
    ("Checks", "checks", "G"): "where less is worse it says < instead of >",
    ("Checks", "checks", "L"): "each check rests on inputs of its own",
    ("Results", "ledger", "C"): "each line of the ledger asks for its own watts",
    ("Plant", "plant_judged", "C"): "the other sections are as rough in proportion to the first",
    ("Inputs", "converted", "I"): "each input has its own assumption",
    ("Inputs", "converted", "P"): "a wire gauge has no factor",
    ("Inputs", "converted", "Q"): "a wire gauge has no factor",
    ("Inputs", "converted", "R"): "whether it is needed hangs on other inputs, each on its own",
    ("Inputs", "plain", "F"): "each input has its own assumption",
    ("Inputs", "plain", "L"): "whether it is needed hangs on other inputs, each on its own",
    ("Inputs", "words", "D"): "a pipe size may hold a sign such as ½",
    ("Inputs", "words", "E"): "each input has its own assumption",
    ("Inputs", "words", "J"): "whether it is needed hangs on other inputs, each on its own",
    ("Inputs", "yours_of_sheets", "D"): "each row counts on its own sheet",
    ("Inputs", "yours_of_sheets", "E"): "each row counts on its own sheet",
    ("Supply", "supply_months", "D"): "days of the months: the calendar is not alike",
    ("Strength", "sections", "K"): "words of a cell, or no words; the same of each section's own cell",
    ("What pays", "pays", "C"): "another nozzle in each row: smaller, larger, at hand, made to measure, its own",
    ("What pays", "pays", "K"): "another battery in each row; 48 V is written as 2 times 24",
    ("Combinations", "ways", "E"): "each battery has a price of its own",
    ("Diagnosis", "test_readings", "I"): "whether its own cell of Test day was read: no link tells a blank from 0",
    ("Efficiency", "budget", "H"): "slopes of the efficiency: each quantity has its own",
    ("Log", "log_service", "D"): "each row's own cell of sheet Inputs",
    ("Log", "log_service", "E"): "each row's own cell of sheet Inputs",
    ("Log", "log", "*"): "the last row closes the table, so that rows put in above it are counted",
}


class Cell(NamedTuple):
    """A formula as it stands in the workbook: the key of its table and the column, or "" for a line; its row."""

    table: str
    letter: str
    row: int
    text: str


@cache
def formulas(sheet: str) -> tuple[Cell, ...]:
    """Every formula of a page, with the gates that the build puts before it."""
    written = {
        key: f"={cell.text.removeprefix('=')}"
        for key, cell in books.template_book().cells.items()
        if key[0] == sheet and isinstance(cell, Written)
    }
    in_table = {
        (sheet, f"{letter}{number}"): (item.key, letter, number)
        for _, item in PLACED[sheet]
        if isinstance(item, Table)
        for number, row in enumerate(item.rows, start=item.first)
        for letter, _ in zip(LETTERS, row)
    }
    return tuple(Cell(*in_table.get(key, ("", "", 0)), text) for key, text in written.items())


_OTHER = r"([a-z]\w*|(?:'[^']+'|[A-Z]\w*)!\$?[A-Z]{1,2}\$?\d+)"  # a cell by its name, or of another sheet
_LINK = re.compile(rf'=(IF\((\w+|AND\([\w,]+\)),)?(N\({_OTHER}\)|IFERROR\({_OTHER},""\)|{_OTHER})(?(1),""\))')
_LINK_TO_BLANK = re.compile(rf'=IF\({_OTHER}="","",\1\)')


def pattern(text: str, row: int) -> str:
    """The formula with rows counted from its own, and "link" for one that only shows another cell, or nothing."""
    if _LINK.fullmatch(text) or _LINK_TO_BLANK.fullmatch(text):
        return "link"
    unquoted = re.split(r'("[^"]*")', text)
    parts = [
        part if i % 2 else re.sub(r"(\$?\b[A-Z]{1,2})(\d+)\b(?!\()", lambda ref: f"{ref[1]}[{int(ref[2]) - row}]", part)
        for i, part in enumerate(unquoted)
    ]
    return "".join(parts)


def mixed(sheet: str) -> list[tuple[str, str, str]]:
    """(page, table, column) of each column with more than one pattern; its first row may differ."""
    columns: dict[tuple, list] = {}
    for cell in formulas(sheet):
        if cell.letter:
            columns.setdefault((sheet, cell.table, cell.letter), []).append(pattern(cell.text, cell.row))
    return [column for column, patterns in columns.items() if len(set(patterns[1:])) > 1]


def unlike(sheet: str) -> list[tuple[str, str, str]]:
    """Those of them that no exception names."""
    return [column for column in mixed(sheet) if column not in UNLIKE and (*column[:2], "*") not in UNLIKE]


_NUMBER = r"(?<![\w$.])\d+\.?\d*(?:E[+-]?\d+)?(?![\w(.])"


def own_numbers(text: str) -> list[str]:
    """Numbers in a formula that belong into a cell: neither units nor counting, or a limit to compare with."""
    # A result in the unit of the chosen system: its factor is that of `units`, which tests/test_units.py holds.
    text = re.sub(r'IF\(units="us",[^,]*,', "IF(", text)
    criteria = re.findall(rf'"[<>=]+-?({_NUMBER})"', text)
    bare = re.sub(r'"[^"]*"', '""', text)
    found = [number for number in re.findall(_NUMBER, bare) if float(number) not in PLAIN | FACTORS]
    compared = re.findall(rf"[<>]=?-?({_NUMBER})(?![*/^])", bare) + re.findall(rf"({_NUMBER})[<>]", bare)
    return found + [
        number for number in (*criteria, *compared) if float(number) not in COUNTED | set(map(float, found))
    ]


# -- the rules, and that they can be broken -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "row", "counted"),
    [
        ("=C7+D$3*$E8", 7, "=C[0]+D$3*$E[1]"),
        ("=SUM(L$5:L9)", 9, "=SUM(L$5:L[0])"),
        ('=IF(L12="A12",B11,"")', 12, '=IF(L[0]="A12",B[-1],"")'),
        ("=LOG10(C7)+length_2", 7, "=LOG10(C[0])+length_2"),
        ("=rating_used_2", 7, "link"),
        ('=IFERROR(flow,"")', 7, "link"),
        ("=N(length_2)", 7, "link"),
        ('=IF(ready,gross_head,"")', 7, "link"),
        ('=IF(AND(ready,wall_known),wall_used,"")', 7, "link"),
        ("='Safety figures'!D26", 7, "link"),
        ("=Inputs!Q26", 7, "link"),
        ("=IF('Site'!C9=\"\",\"\",'Site'!C9)", 7, "link"),
        ("=IF('Site'!C9=\"\",\"\",'Site'!C8)", 7, "=IF('Site'!C[2]=\"\",\"\",'Site'!C[1])"),
        ("=D26", 7, "=D[19]"),
        ("=IF(ready,flow,0)", 7, "=IF(ready,flow,0)"),
        ('=IF(ready,2*flow,"")', 7, '=IF(ready,2*flow,"")'),
        ("=flow,", 7, "=flow,"),
        ("=-flow", 7, "=-flow"),
    ],
)
def test_a_pattern_counts_rows_from_its_own(text, row, counted):
    """Rows that are held by $ stay; names and words are no addresses."""
    assert pattern(text, row) == counted


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("=IF(V80<92,1,0)", ["92"]),
        ("=IF(H60>100,1,0)", ["100"]),
        ("=IF(0.85>A1,1,0)", ["0.85"]),
        ("=IF(A1>-0.5,1,0)", ["0.5"]),
        ('=COUNTIF(route_running,"<-0.0005")', ["0.0005"]),
        ("=1.03*whole_length", ["1.03"]),
        ("=IF(A1<1E-6,0,1)", ["1E-6"]),
        ('=IF(A1>0,100*B1/C$12,"92")', []),
        ("=SQRT(V80/100)+length_2*LOG10(A1)/1000", []),
        ("=24*(C80-Q79)*SUM(W77:W79)/3600", []),
        ("=IF(SUM(W77:W79)=3,1,0)", []),
        ("=IF(A1>2*B1,1,0)", []),
    ],
)
def test_a_threshold_inside_a_formula_is_seen(text, numbers):
    """100 is a unit where it makes percent, and a limit where something is compared with it."""
    assert own_numbers(text) == numbers


@pytest.mark.parametrize("sheet", PLACED)
def test_no_formula_of_a_page_is_long(sheet):
    """Over 160 characters none; nine in ten under 80."""
    texts = [cell.text for cell in formulas(sheet)]
    assert [text for text in texts if len(text) > LONGEST] == []
    long = [text for text in texts if len(text) >= SHORT]
    assert len(long) <= (1 - SHORT_SHARE) * len(texts), long


@pytest.mark.parametrize("sheet", PLACED)
def test_a_column_has_one_pattern(sheet):
    """Below its first row."""
    assert unlike(sheet) == []


@pytest.mark.parametrize("sheet", PLACED)
def test_no_threshold_stands_inside_a_formula(sheet):
    """Every limit is a cell with a name, a reason and a source."""
    assert {cell.text: own_numbers(cell.text) for cell in formulas(sheet) if own_numbers(cell.text)} == {}


@pytest.mark.parametrize("named", UNLIKE)
def test_what_is_named_as_unlike_is_so(named):
    """No exception outlives its column."""
    sheet, table, letter = named
    assert [column for column in mixed(sheet) if column[1] == table and letter in ("*", column[2])]
