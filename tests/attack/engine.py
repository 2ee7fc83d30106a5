"""Random formulas over all ordinary functions: one scenario at a time and all at once must say the same.

Whether it is right is held elsewhere (`tests/engine/test_engine_probes.py`); here nothing may crash, hang or differ.
"""

import random
from math import isclose

from hydrofunc.engine.book import Book
from hydrofunc.engine.book import Formula as Written
from hydrofunc.engine.compile import compile_book
from hydrofunc.engine.lanes import ExcelError
from hydrofunc.engine.library import TABLE
from hydrofunc.errors import FormulaRefused
from tests.attack.score import Score, guarded

LIMIT = 5.0
VALUES = (
    *(0.0, 1.0, -1.0, 2.0, 3.0, 0.3, -2.5, 1e-9, 1e9, 1e300, -1e300, 45000.5, 2.0**27, 0.1 + 0.2, None, None),
    *(
        True,
        False,
        "",
        " ",
        "a",
        "A",
        "ab",
        "b",
        "3",
        "-2.5",
        "1,200",
        "5%",
        "TRUE",
        "*",
        "a*",
        "~*",
        "?",
        ">1",
        "<>a",
        "é",
    ),
    *(ExcelError("#N/A"), ExcelError("#DIV/0!"), ExcelError("#VALUE!")),
)
TEXTS = ('"a"', '""', '"a*"', '">1"', '"<>"', '"m"', '"kg"', '"0.00"', '"#,##0"', '"ab"', "TRUE", "FALSE", "#N/A")
OPERATORS = ("+", "-", "*", "/", "^", "&", "=", "<>", "<", ">", "<=", ">=")
ROWS, LANES = 4, 5


def attack(seed: object, rounds: int) -> Score:
    """So many books of random formulas; the chance of each depends on seed and number alone."""
    score = Score()
    for turn in range(rounds):
        score += one_book(f"{seed}/{turn}")
    return score


def one_book(seed: str) -> Score:
    """Cells A1:C4 with random values, some of them inputs, and one formula in F2."""
    chance, score = random.Random(seed), Score()
    book = empty_book()
    addresses = [f"{column}{row}" for column in "ABC" for row in range(1, ROWS + 1)]
    for cell in addresses:
        value = chance.choice(VALUES)
        if value is not None:
            book.cells["S", cell] = value
    formula = f"={expression(chance, 3)}"
    book.cells["S", "F2"] = Written(formula)
    inputs = chance.sample(addresses, 3)
    lanes = [{("S", cell): chance.choice(VALUES) for cell in inputs} for _ in range(LANES)]
    words = f"{seed}: {formula} with {book.cells} and {lanes}"

    def compiled():
        return compile_book(book, {}, overrides=[("S", cell) for cell in inputs], outputs=[("S", "F2")])

    kind, plan = guarded(score, words, (FormulaRefused,), LIMIT, compiled)
    if kind != "value":
        return score
    alone = []
    for lane in lanes:
        kind, result = guarded(score, words, (), LIMIT, lambda lane=lane: plan.run(lane).value(("S", "F2")))
        alone.append(result if kind == "value" else "finding")
    columns = {key: [lane[key] for lane in lanes] for key in lanes[0]}
    kind, together = guarded(
        score, words, (), LIMIT, lambda: plan.run(columns, lanes=LANES).column(("S", "F2")).python()
    )
    if kind != "value":
        return score
    for lane, (one, all_at_once) in enumerate(zip(alone, together, strict=True)):
        if not _same(one, all_at_once):
            score.note("wrong", f"{words}: lane {lane} alone {one!r}, among others {all_at_once!r}")
        if isinstance(one, float) and not abs(one) < float("inf"):
            score.note("wrong", f"{words}: lane {lane} gives {one!r}")
    return score


def empty_book() -> Book:
    """A book with an empty sheet S."""
    book = Book(b"", "book")
    book.sizes["S"] = (10, 10)
    book._titles["s"] = "S"
    return book


def _same(one, other):
    if type(one) is float and type(other) is float:
        return isclose(one, other, rel_tol=1e-12, abs_tol=1e-300)
    return type(one) is type(other) and one == other


def expression(chance: random.Random, depth: int) -> str:
    """A random formula over cells A1:D4, so many brackets deep at most."""
    kind = chance.random()
    if depth == 0 or kind < 0.25:
        return _operand(chance)
    if kind < 0.45:
        sign = chance.choice(OPERATORS)
        return f"({expression(chance, depth - 1)}{sign}{expression(chance, depth - 1)})"
    if kind < 0.5:
        return chance.choice(("-{}", "{}%")).format(_operand(chance))
    name = chance.choice(list(TABLE))
    entry = TABLE[name]
    count = chance.randint(entry.least, min(entry.most, entry.least + 2))
    return f"{name}({','.join(_argument(chance, entry.kind(i), depth) for i in range(count))})"


def _argument(chance, kind, depth):
    if kind in "cra" and chance.random() < 0.8:
        return chance.choice(("A1:A4", "B1:B4", "A1:C1", "A1:C4", "B2:B2", "B2:C3"))
    return "" if chance.random() < 0.03 else expression(chance, depth - 1)


def _operand(chance):
    kind = chance.random()
    if kind < 0.6:
        return f"{chance.choice('ABCD')}{chance.randint(1, ROWS)}"
    if kind < 0.8:
        return chance.choice(("0", "1", "2", "-3", "0.5", "1E5", "12", "4"))
    return chance.choice(TEXTS)
