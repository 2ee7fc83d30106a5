"""564 one-line formulas against what Excel documents, and against two engines that are not ours.

The column `excel` of probes.csv is the behaviour in Microsoft's function reference (support.microsoft.com, "Excel
functions (alphabetical)"; from memory, not looked up), and, where that says nothing, what formulon 0.18.0
answers. Where formulon 0.18.0 or LibreOffice Calc 7.4.7 answers otherwise, the row holds its answer and why.
"""

import random

import pytest

from tests.engine import sheet_oracles as oracles

ROWS = oracles.probes()


@pytest.fixture(scope="module")
def workbook():
    return oracles.probe_workbook([row["formula"] for row in ROWS])


def differences(values, column):
    """Rows where an engine does not say what the table says of it."""
    found = []
    for i, row in enumerate(ROWS, 1):
        wanted, value = row[column] or row["excel"], values.get(f"A{i}", "")
        if not oracles.same(value, oracles.expected(wanted)):
            found.append(f"{row['formula']} should be {wanted}, is {oracles.written(value)}")
    return found


def test_the_table_is_large_and_says_why_an_engine_differs():
    assert len(ROWS) == 564
    assert len({row["formula"] for row in ROWS}) == len(ROWS)
    for row in ROWS:
        assert bool(row["formulon"] or row["calc"]) == bool(row["why"])
        for other in (row["formulon"], row["calc"]):
            assert not other or not oracles.same(oracles.expected(other), oracles.expected(row["excel"]))


def test_our_engine_gives_what_excel_documents(workbook):
    assert differences(oracles.by_our_engine(workbook), "excel") == []


def test_formulon_agrees_but_for_the_rows_that_say_so(workbook):
    assert differences(oracles.by_formulon(workbook, len(ROWS)), "formulon") == []


@pytest.mark.calc
def test_calc_agrees_but_for_the_rows_that_say_so(workbook):
    assert differences(oracles.by_calc(workbook), "calc") == []


def random_formula(chance, depth):
    """An expression of numbers, cells and all operators; parentheses only here and there."""
    if depth == 0 or chance.random() < 0.15:
        return chance.choice(["A1", "A2", "A3", "A6", "B2", "B5", "D1", "F3", "F4", "2", "0.5", "3", "10", "1E1"])
    kind = chance.random()
    left = random_formula(chance, depth - 1)
    if kind < 0.12:
        return f"-{left}"
    if kind < 0.2:
        return f"{left}%"
    if kind < 0.32:
        return f"({left})"
    return left + chance.choice("+ - * / ^ & = < > <= >= <>".split()) + random_formula(chance, depth - 1)


def test_random_expressions_agree_with_formulon():
    chance = random.Random(20)
    formulas = ["=" + random_formula(chance, chance.choice([2, 3, 4])) for _ in range(500)]
    data = oracles.probe_workbook(formulas)
    ours, theirs = oracles.by_our_engine(data), oracles.by_formulon(data, len(formulas))
    differing = [
        (formula, ours[f"A{i}"], theirs[f"A{i}"])
        for i, formula in enumerate(formulas, 1)
        if not oracles.same(ours[f"A{i}"], theirs[f"A{i}"])
    ]
    assert differing == []


# (number, unit, unit, number): definitions of the SI brochure, 9th ed., and of NIST SP 811 (2008), appendix B.8, from
# memory, not looked up. The units by their names in Microsoft's reference for CONVERT.
CONVERTED = [
    (1, "in", "mm", 25.4), (1, "ft", "in", 12), (1, "yd", "ft", 3), (1, "mi", "ft", 5280), (1, "Nmi", "m", 1852),
    (1, "ha", "m2", 10_000), (1, "ft2", "in2", 144), (1, "ft^2", "in^2", 144), (1, "m^2", "cm^2", 10_000),
    (1, "km2", "ha", 100), (1, "m3", "l", 1000), (1, "m^3", "L", 1000), (1, "lt", "cm3", 1000),
    (1, "gal", "in3", 231), (1, "ft3", "in3", 1728), (1, "ft^3", "in^3", 1728), (1, "l", "dm^3", 1),
    (1, "hr", "mn", 60), (1, "day", "hr", 24), (1, "d", "sec", 86_400), (1, "min", "s", 60), (1, "ms", "us", 1000),
    (36, "km/h", "m/s", 10), (36, "km/hr", "m/sec", 10), (1, "mph", "km/h", 1.609344), (1, "kn", "km/h", 1.852),
    (1, "atm", "Pa", 101_325), (1, "at", "hPa", 1013.25), (1, "kp", "Pa", 1000), (1, "atm", "Torr", 760),
    (1, "mmHg", "Pa", 133.322), (1, "psi", "kPa", 6.894757293168), (1, "lbf", "N", 4.4482216152605),
    (1000, "pond", "N", 9.80665), (1, "kWh", "MJ", 3.6), (1, "wh", "J", 3600), (1, "cal", "J", 4.1868),
    (1, "c", "J", 4.184), (1, "HPh", "kJ", 2684.519537696), (1, "hh", "HPh", 1), (1, "HP", "W", 745.69987158227),
    (1, "h", "w", 745.69987158227), (1, "PS", "kW", 0.73549875), (1, "lbm", "g", 453.59237),
    (1, "ozm", "g", 28.349523125), (1, "ton", "kg", 907.18474), (1, "dag", "g", 10), (1, "hg", "cg", 10_000),
    (1, "GW", "MW", 1000), (1, "nm", "um", 0.001), (1, "em", "dm", 100), (100, "C", "F", 212),
    (0, "cel", "K", 273.15), (32, "fah", "kel", 273.15), (0, "K", "C", -273.15), (0, "K", "F", -459.67),
    (20, "C", "cel", 20),
]  # fmt: skip


def test_convert_knows_each_unit_by_its_definition():
    ours = oracles.by_our_engine(oracles.probe_workbook([f'=CONVERT({x},"{a}","{b}")' for x, a, b, _ in CONVERTED]))
    wrong = [row for i, row in enumerate(CONVERTED, 1) if ours[f"A{i}"] != pytest.approx(row[3], rel=1e-12)]
    assert wrong == []


ANSWERS = {
    "=12345678901234567-12345678901234500": "0",  # Excel keeps fifteen digits of a number that is typed in
    "=0.00012345678901234567=0.000123456789012345": "TRUE",
    "=1.23456789012345678E5=123456.789012345": "TRUE",
    "=1E300/1E-300": "#NUM!",  # what is too large for a number is an error, not an endless one
    "=-1E300/1E-300": "#NUM!",
    "=1E200*1E200": "#NUM!",
    "=0/0": "#DIV/0!",
    '=FIND("a","abca",2)': "4",
    '=FIND("a","abc",4)': "#VALUE!",
    '=FIND("a","abc",5)': "#VALUE!",
    '=FIND("","abc",4)': "4",
    '=TEXT(12345678901234+0.5625,"0.00")': '"12345678901234.60"',  # no more than fifteen digits are shown
    '=SUBSTITUTE("abcab","ab","x",1)': '"xcab"',
    '=SUBSTITUTE("abcab","ab","x",2)': '"abcx"',
    '=SUBSTITUTE("aaaaa","aa","x",2)': '"aaxa"',  # what was counted once is not counted in part again
    '=SEARCH("b~*c","abxcb*c")': "5",  # a tilde makes a wildcard a letter
    '=SEARCH("b~","ab~")': "2",
    "=INDEX(B1:B1,2)": "#REF!",
    "=SUMPRODUCT(INDEX(A1:B3,{1;3},2))-(B1+B3)": "0",
    "=SUMPRODUCT(INDEX(A1:B3,2,{1,2}))-(A2+B2)": "0",
    "=SUMPRODUCT(INDEX(A1:B3,2,{1,2}))=0": "FALSE",
    "=INDEX(A1:B3,0*1,3)": "#REF!",  # the whole of a column that is not there
    "=INDEX(A1:B3,4,0*1)": "#REF!",
    "=ROW(B:B)": "1",  # where cells begin needs none of their values, so that a whole column is no matter
    "=COLUMN(B:D)": "2",
}


def test_numbers_too_long_or_too_large_and_the_ends_of_texts_and_areas():
    """Microsoft, "Excel specifications and limits" and the function reference, from memory, not looked up."""
    ours = oracles.by_our_engine(oracles.probe_workbook(list(ANSWERS)))
    rows = enumerate(ANSWERS.items(), 1)
    wrong = [formula for i, (formula, answer) in rows if not oracles.same(ours[f"A{i}"], oracles.expected(answer))]
    assert wrong == []
