"""554 one-line formulas against what Excel documents, and against two engines that are not ours.

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
    assert len(ROWS) == 554
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
