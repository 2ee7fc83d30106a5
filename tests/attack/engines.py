"""Random formulas in workbooks: our engine against two that are not ours, formulon and LibreOffice Calc.

    python -m tests.attack.engines FORMULAS [SEED] [calc]

Each book holds random values of all kinds and 500 random formulas. Printed is where ours says what no other says, and
how often it differs from one of them. With Calc that is at most a formula in 500, all of the kinds of `KNOWN`.
"""

import random
import re
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO

import openpyxl

from hydrofunc.engine.book import Formula as Written
from hydrofunc.engine.compile import compile_book
from hydrofunc.errors import FormulaRefused
from tests.attack import engine
from tests.engine import sheet_oracles

FORMULAS = 500  # of a book
COLUMNS = "ABCD"
CELLS = (
    *(0, 1, -1, 2, 3, 0.3, -2.5, 12, 1e-9, 1e9, 45000.5, 0.1 + 0.2, 7.5, None, None, True, False),
    *('=""', "a", "A", "ab", "b", "'3", "'-2.5", "x", "m", "*", "a*", "?", ">1", "<>a"),
    *("=NA()", "=1/0", "=SQRT(-1)"),
)
# Where ours may say what no other says. Microsoft's function reference leaves these open (from memory, not looked up).
KNOWN = {
    "MATCH": "the list is not sorted, or the type of match is none of 1, 0, -1",
    "HLOOKUP": "the list is not sorted, or several arguments are wrong and which is named first is not documented",
    "VLOOKUP": "as HLOOKUP",
    "XLOOKUP": "several arguments are wrong, or a single value stands for the list",
    "MROUND": "an argument left out between commas: 0 here as elsewhere, #N/A in formulon, #VALUE! in Calc",
    "AVERAGEIF": "the two ranges differ in size",
    "SUMIF": "as AVERAGEIF",
    "MAXIFS": "the ranges differ in size",
    "MINIFS": "as MAXIFS",
    "SWITCH": "an argument left out between commas",
    "LEN": "the 15th digit of a number that becomes a text, where the 16th is a 5",
    "MID": "a start or length between -1 and 0: #VALUE! here and in Calc",
    "REPT": "as MID",
    "XOR": "a text and an error: the one that stands first is named here, the error in formulon and Calc",
}


@dataclass(frozen=True)
class Answer:
    """What the engines say of one formula."""

    formula: str
    ours: object
    others: dict[str, object]  # by name of engine
    cells: dict[str, object]  # that the formula refers to, as they are written

    @property
    def differing(self) -> list[str]:
        """Names of the engines that say otherwise."""
        return [name for name, value in self.others.items() if not _same(self.ours, value)]

    @property
    def is_known(self) -> bool:
        """Is a function in it of which the documentation leaves something open?"""
        return any(f"{name}(" in self.formula for name in KNOWN)


def answers(seed: str, with_calc: bool) -> Iterator[Answer]:
    """What the engines say of the formulas of one random book."""
    chance = random.Random(seed)
    columns = {column: [chance.choice(CELLS) for _ in range(engine.ROWS)] for column in COLUMNS}
    formulas: list[str] = []
    while len(formulas) < FORMULAS:
        formula = f"={engine.expression(chance, chance.choice((1, 2, 2, 3)))}"
        if not _is_refused(formula):
            formulas.append(formula)
    data = sheet_oracles.probe_workbook(formulas, columns)
    ours = sheet_oracles.by_our_engine(data)
    others = {"formulon": sheet_oracles.by_formulon(data, FORMULAS)}
    if with_calc:
        others["calc"] = sheet_oracles.by_calc(data)
    sheet = openpyxl.load_workbook(BytesIO(data))["D"]
    for row, formula in enumerate(formulas, 1):
        said = {name: values.get(f"A{row}", "") for name, values in others.items()}
        yield Answer(formula, ours.get(f"A{row}", ""), said, _cells(sheet, formula))


def _is_refused(formula):
    book = engine.empty_book()
    book.cells["S", "F2"] = Written(formula)
    try:
        compile_book(book, {}, outputs=[("S", "F2")])
    except FormulaRefused:
        return True
    return False


def _cells(sheet, formula):
    areas = re.findall(rf"\b[{COLUMNS}]\d(?::[{COLUMNS}]\d)?", formula)
    rows = [row for area in areas for row in sheet[area if ":" in area else f"{area}:{area}"]]
    return {cell.coordinate: cell.value for row in rows for cell in row}


def _same(ours, other):
    """Numbers to 1e-9, as Calc keeps 15 digits in a file."""
    if type(ours) is float and type(other) is float:
        return abs(ours - other) <= 1e-9 * max(abs(ours), abs(other), 1e-6)
    return sheet_oracles.same(ours, other)


def main(count: int, seed: str = "1", calc: str = "") -> bool:
    """Print what comes of so many formulas; is all of it known?"""
    tried, unlike, known = 0, Counter(), True
    for turn in range(-(-count // FORMULAS)):
        for answer in answers(f"{seed}/{turn}", bool(calc)):
            tried += 1
            unlike.update(answer.differing)
            if len(answer.differing) == len(answer.others):
                unlike["all others"] += 1
                known &= answer.is_known
                print("known:" if answer.is_known else "NEW:", answer)
    print(f"{tried} formulas, unlike", ", ".join(f"{name} {number}" for name, number in unlike.items()))
    return known


if __name__ == "__main__":
    if not sys.argv[1:]:
        sys.exit(__doc__)
    sys.exit(0 if main(int(sys.argv[1]), *sys.argv[2:4]) else 1)
