"""The self-test workbook: expected values with their sources beside live results, and one verdict.

Whoever opens it in a spreadsheet program sees whether the functions there give what books, standards and
other programs say. Its rows are the worked example of every declaration, the reference values of
`selftest.csv`, and how the host treats bad, missing and empty arguments.
"""

import csv
import json
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from openpyxl import Workbook
from openpyxl.formatting.rule import CellIsRule
from openpyxl.utils import get_column_letter
from openpyxl.workbook.defined_name import DefinedName

from .. import (
    __version__,
    catalogue,  # noqa: F401  (fills the registry)
)
from ..registry import FUNCTIONS
from ..template import look, saved

SHEET, FIRST_ROW = "Self-test", 8
HEADS = (
    "",
    "function",
    "live result",
    "unit",
    "expected",
    "allowed difference",
    "verdict",
    "what is tested",
    "kind",
    "source",
)
WIDTHS = (3, 34, 16, 8, 16, 12, 10, 60, 26, 70)
KINDS = {
    "seen": "read at the source",
    "computed": "computed by the source named",
    "memory": "from memory, not looked up",
    "example": "worked example",
    "behaviour": "behaviour",
}
ERROR = "an error value"  # the expected "value" of a row that must show #NUM! or #VALUE!
ABSENT = "#N/A"


@dataclass(frozen=True)
class Row:
    """One test: a formula, what it must show (a number, a formula, ERROR or ABSENT), the tolerance, the source."""

    function: object
    formula: str
    expected: object
    tolerance: float
    about: str
    kind: str
    source: str


def rows() -> list[Row]:
    """All tests, in the order of the declarations."""
    reference = _reference()
    tests = []
    for function in FUNCTIONS.values():
        tests.append(_example(function))
        tests += reference.pop(function.name, [])
    if reference:
        raise ValueError(f"selftest.csv tests functions that do not exist: {sorted(reference)}")
    return tests + _behaviour()


def _example(function):
    example = function.example
    return Row(
        function,
        function.example_formula(),
        example.result,
        _last_digit(example.result),
        example.words,
        "example",
        function.source,
    )


def _last_digit(result):
    """Half a unit of the last digit that an example shows; small whole numbers are exact."""
    if result == int(result) and abs(result) < 1000:
        return 1e-9 * abs(result)
    return 0.5 * 10.0 ** Decimal(f"{result:.15g}").as_tuple().exponent


def _reference():
    """The rows of selftest.csv by function."""
    by_function = {}
    with Path(__file__).with_name("selftest.csv").open(encoding="utf-8", newline="") as file:
        for line in csv.DictReader(file):
            function = FUNCTIONS[line["function"]]
            call = f"{function.sheet_name}({','.join(function.formula_arguments(json.loads(line['arguments'])))})"
            expected, (kind, size) = float(line["expected"]), line["tolerance"].split()
            tolerance = float(size) * (abs(expected) if kind == "rel" else 1.0)
            by_function.setdefault(function.name, []).append(
                Row(function, call, expected, tolerance, line["note"], line["kind"], line["source"])
            )
    return by_function


def _behaviour():
    """How a host must treat arguments, shown on one function."""
    head = FUNCTIONS["friction_head"]
    own = "the declaration of the function"
    name = head.sheet_name
    whole = f"{name}(1.2,400,32.6,0.007"
    cases = [
        (
            f"{whole},,9.8)",
            f"={whole},{head.arguments[4].default:g},9.8)",
            0.0,
            "an optional argument left empty is its default",
        ),
        (f"{whole})", f"={whole},,)", 0.0, "optional arguments left out are their defaults"),
        (f"{name}(1.2,-400,32.6,0.007)", ERROR, None, "a length below zero shows #NUM!"),
        (f'{name}(1.2,"long",32.6,0.007)', ERROR, None, "a word for a number shows #VALUE!"),
        (f"{name}(1.2,NA(),32.6,0.007)", ABSENT, None, "the error of an input cell passes on"),
    ]
    return [
        Row(head, formula, expected, tolerance, about, "behaviour", own)
        for formula, expected, tolerance, about in cases
    ]


def build() -> bytes:
    """The workbook as bytes, without stored values; the same for the same version."""
    book = Workbook()
    book.remove(book.active)
    add_sheet(book)
    book.properties.title, book.properties.creator = "hydrofunc self-test", f"hydrofunc {__version__}"
    return saved(book)


def add_sheet(book: Workbook) -> None:
    """The self-test's sheet, behind those a workbook has."""
    sheet = book.create_sheet(SHEET)
    tests = rows()
    last = FIRST_ROW + len(tests) - 1
    _head(sheet, last)
    for row, test in enumerate(tests, start=FIRST_ROW):
        _write(sheet, row, test)
    verdicts = f"G{FIRST_ROW}:G{last}"
    sheet.conditional_formatting.add(
        verdicts, CellIsRule(operator="equal", formula=['"pass"'], **look.VERDICTS["good"])
    )
    sheet.conditional_formatting.add(
        verdicts, CellIsRule(operator="notEqual", formula=['"pass"'], **look.VERDICTS["stop"])
    )
    for name, cell in (("selftest_passed", "C4"), ("selftest_total", "C5"), ("selftest_verdict", "C6")):
        book.defined_names[name] = DefinedName(name, attr_text=f"'{SHEET}'!${cell[0]}${cell[1]}")
    _print(sheet, last)


def calculated_selftest() -> tuple[bytes, list[str]]:
    """The workbook as bytes with stored values, and a line for every test that fails."""
    from ..engine.compile import compile_book
    from ..workbook.reading import read_book
    from ..workbook.splice import splice
    from .recalc import SHEET_FUNCTIONS

    source = build()
    book = read_book(source)
    plan = compile_book(book, SHEET_FUNCTIONS)
    result = plan.run()
    values = {key: result.value(key) for key in plan.outputs}
    failed = [
        f"{SHEET}!G{row}: {test.formula} shows {values[SHEET, f'C{row}']}, expected {test.expected}"
        for row, test in enumerate(rows(), start=FIRST_ROW)
        if values[SHEET, f"G{row}"] != "pass"
    ]
    return splice(book.data, values), failed


def _head(sheet, last):
    for column, width in enumerate(WIDTHS, start=1):
        sheet.column_dimensions[get_column_letter(column)].width = width
        look.dress(sheet.cell(1, column), look.TITLE)
        look.dress(sheet.cell(2, column), look.PURPOSE)
        look.dress(sheet.cell(FIRST_ROW - 1, column, HEADS[column - 1] or None), look.TABLE_HEAD)
    sheet.cell(1, 2, f"Self-test of hydrofunc {__version__}")
    sheet.cell(
        2,
        2,
        "Recalculate (Excel: Ctrl+Alt+F9, Calc: Ctrl+Shift+F9). Every row must say pass. #NAME? means: no add-in here.",
    )
    verdicts = f"G{FIRST_ROW}:G{last}"
    for row, (label, formula) in enumerate(
        [
            ("tests that pass", f'=COUNTIF({verdicts},"pass")'),
            ("tests", f"=ROWS({verdicts})"),
            ("verdict", '=IF(C4=C5,"PASS","FAIL")'),
        ],
        start=4,
    ):
        look.dress(sheet.cell(row, 2, label), look.LABEL)
        look.dress(sheet.cell(row, 3, formula), look.STRONG)
    sheet.freeze_panes = f"C{FIRST_ROW}"
    sheet.sheet_view.showGridLines = False


def _write(sheet, row, test):
    shown, target = f"C{row}", f"E{row}"
    if test.expected == ERROR:
        expected, verdict = ERROR, f'=IF(ISERR({shown}),"pass","FAIL")'
    elif test.expected == ABSENT:
        expected, verdict = "the error of the input", f'=IF(ISNA({shown}),"pass","FAIL")'
    else:
        expected = test.expected
        verdict = f'=IF(ISNUMBER({shown}),IF(ABS({shown}-{target})<=F{row},"pass","FAIL"),"FAIL")'
    look.dress(sheet.cell(row, 2, test.function.sheet_name), look.LABEL)
    look.dress(sheet.cell(row, 3, f"={test.formula}"), look.RESULT)
    look.dress(sheet.cell(row, 4, "" if test.function.unit == "-" else test.function.unit), look.UNIT)
    look.dress(sheet.cell(row, 5, expected), look.RESULT)
    look.dress(sheet.cell(row, 6, test.tolerance), look.LIMIT, "0.0E+00")
    look.dress(sheet.cell(row, 7, verdict), look.IN_TABLE)
    for column, words in ((8, test.about), (9, KINDS[test.kind]), (10, test.source)):
        cell = sheet.cell(row, column, words or None)
        look.dress(cell, look.NOTE)
        if words:
            cell.data_type = "s"  # words, also where they begin with =


def _print(sheet, last):
    sheet.print_area = f"A1:{get_column_letter(len(WIDTHS))}{last}"
    sheet.print_title_rows = f"{FIRST_ROW - 1}:{FIRST_ROW - 1}"
    sheet.page_setup.paperSize, sheet.page_setup.orientation = 9, "landscape"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.oddFooter.left.text, sheet.oddFooter.right.text = f"hydrofunc {__version__}", "&P of &N"
