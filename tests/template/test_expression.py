"""The builder of formulas: the text it writes, and that its own Python gives what the engine makes of that text.

What a worksheet does with blanks, text and errors is as in Microsoft's function reference (from memory, not looked up);
the engine is held to it by tests/engine/test_engine_probes.py.
"""

import io
import random

import openpyxl
import pytest
from openpyxl.workbook.defined_name import DefinedName

from hydrofunc.engine.compile import compile_book
from hydrofunc.registry import FUNCTIONS
from hydrofunc.template import expression as x
from hydrofunc.template.chain import asked
from hydrofunc.template.model import in_row
from hydrofunc.workbook.reading import read_book

A, B, C, D = (x.column(letter, letter.lower()) for letter in "ABCD")
FLOW, LABEL, SIZES, MISSING = x.cells("flow label sizes missing")
TEXTS = ("", "battery", "Battery", "star")
NAMED = {"flow": 0.8, "label": "battery", "sizes": [6.0, 7.0, None, 8.5, "none", 7.0], "missing": "#N/A"}


@pytest.mark.parametrize(
    ("part", "text"),
    [
        (A + B * C, "A{row}+B{row}*C{row}"),
        ((A + B) * C, "(A{row}+B{row})*C{row}"),
        (A - B - C, "A{row}-B{row}-C{row}"),
        (A - (B - C), "A{row}-(B{row}-C{row})"),
        (A / (B * C), "A{row}/(B{row}*C{row})"),
        (A**2 * -B, "A{row}^2*(-B{row})"),
        (-(A**2), "-(A{row}^2)"),
        ((-A) ** 2, "(-A{row})^2"),
        ((A**B) ** C, "A{row}^B{row}^C{row}"),
        (A ** (B**C), "A{row}^(B{row}^C{row})"),
        (A < -B, "A{row}<-B{row}"),
        (A == (B == 1), "A{row}=(B{row}=1)"),
        (1 - A, "1-A{row}"),
        (100 / A + 0.000001, "100/A{row}+1E-06"),
        (A * x.Constant(1e9, "1E9"), "A{row}*1E9"),
        (x.Brackets(A / 2) * B, "(A{row}/2)*B{row}"),
        ("<" & A, '"<"&A{row}'),
        (A.before + B.after, "A{row-1}+B{row+1}"),
        (x.total(A.above(3)) + x.count_filled(A.to(C)), "SUM(A{row-3}:A{row-1})+COUNTA(A{row}:C{row})"),
        (x.all_of(LABEL != 'say "no"', x.no(FLOW > 1)), 'AND(label<>"say ""no""",NOT(flow>1))'),
        (x.count_less(SIZES, FLOW + 1), 'COUNTIF(sizes,"<"&(flow+1))'),
        (x.slot_of(7, SIZES), "MATCH(7,sizes,0)"),
    ],
)
def test_text_has_the_brackets_it_needs(part, text):
    """And no others; a worksheet works powers off from left to right, and a sign before a power."""
    assert str(part) == text


def test_a_chain_of_conditions_is_read_from_the_top():
    """The first that holds decides; what stands behind is not worked out."""
    says = x.when((A < 1, "low"), (A < 2, "middle"), (C / A > 1, MISSING), otherwise="high")
    assert str(says) == 'IF(A{row}<1,"low",IF(A{row}<2,"middle",IF(C{row}/A{row}>1,missing,"high")))'
    words = [says.value({"a": a, "c": 1.0, "missing": "#N/A"}) for a in (0.5, 1, 1.5, 2, 0.0)]
    assert words == ["low", "middle", "middle", "high", "low"]
    assert says.value({"a": 2.0, "c": 3.0, "missing": "#N/A"}) == "#N/A"


def test_a_condition_that_is_denied_swaps_the_arms():
    """NOT is not written where IF can do without it."""
    says = x.when((x.no(x.is_number(A)), "none"), (A > 3, "many"), otherwise="few")
    assert str(says) == 'IF(ISNUMBER(A{row}),IF(A{row}>3,"many","few"),"none")'
    assert [says.value({"a": a}) for a in (None, "", 4, 3)] == ["none", "none", "many", "few"]


def test_python_must_not_decide_for_the_worksheet():
    """`if a < b` in Python would take every comparison for true."""
    with pytest.raises(TypeError, match="worksheet decides"):
        bool(A < B)
    with pytest.raises(TypeError, match="worksheet decides"):
        assert 0 < A < 1


def test_a_call_of_ours_leaves_a_blank_out_and_shows_a_refusal():
    """As in a worksheet: the default counts for a blank cell, and what is not allowed is #NUM!."""
    pressure = asked("static_pressure", head=A)
    assert str(pressure) == "HYDRO_STATIC_PRESSURE(A{row},water_temperature,gravity)"
    values = {"a": 50.0, "water_temperature": None, "gravity": None}
    assert pressure.value(values) == FUNCTIONS["static_pressure"](50.0)
    assert pressure.value(values | {"a": None}) == "#NUM!"
    assert pressure.value(values | {"a": "#DIV/0!"}) == "#DIV/0!"


# -- text and Python against each other ------------------------------------------------------------------


def random_number(chance, depth):
    """An expression that mostly gives a number."""
    if depth == 0 or chance.random() < 0.1:
        return chance.choice(
            [A, B, C, A.before, B.after, FLOW, MISSING, x.expression(chance.choice([0, 1, 2, 0.5, -3]))]
        )
    some, other = (random_number(chance, depth - 1) for _ in range(2))
    kind = chance.randrange(16)
    operations = (
        lambda: some + other,
        lambda: some - other,
        lambda: some * other,
        lambda: some / other,
        lambda: some**other,
        lambda: -some,
        lambda: x.or_zero(chance.choice([A, B, C, D, some])),
        lambda: chance.choice([x.greatest, x.least, x.total])(some, A.above(3), D, SIZES),
        lambda: x.magnitude(some),
        lambda: x.root(some),
        lambda: x.rounded(some, chance.choice([0, 1, 3])),
        lambda: x.total_of(x.Brackets(SIZES > chance.choice([A, C, FLOW])) * 1),
        lambda: chance.choice([x.smallest, x.largest])(SIZES, some),
        lambda: chance.choice(
            [x.count_less(SIZES, x.or_zero(A)), x.slot_of(some, SIZES), x.count_filled(A.to(D)), x.count(SIZES)]
        ),
        lambda: x.entry(SIZES, x.rounded(some, 0)),
        lambda: x.when((random_condition(chance, depth - 1), some), otherwise=other),
    )
    return operations[kind]()


def random_condition(chance, depth):
    """A condition, of all kinds of cells."""
    kind = chance.randrange(6)
    if kind == 0:
        return chance.choice([x.is_number, x.is_text])(chance.choice([A, D, LABEL, MISSING, random_number(chance, 1)]))
    if kind == 1 and depth > 0:
        return chance.choice([x.all_of, x.any_of])(*(random_condition(chance, depth - 1) for _ in range(2)))
    if kind == 2 and depth > 0:
        return x.no(random_condition(chance, depth - 1))
    sides = (chance.choice([A, B, D, LABEL, x.expression("Battery"), x.expression("")]), random_number(chance, depth))
    symbol = chance.choice(["=", "<>", "<", "<=", ">", ">="])
    return x.Operation(symbol, *chance.sample(sides, 2))


def random_decision(chance):
    """A chain of conditions with words and numbers for answers."""
    decisions = [
        (random_condition(chance, 2), chance.choice(["yes", "", random_number(chance, 2), LABEL & FLOW]))
        for _ in range(chance.randint(1, 4))
    ]
    return x.when(*decisions, otherwise=random_number(chance, 3))


def random_value(chance):
    """What stands in an input cell."""
    return chance.choice([None, True, *TEXTS, *[float(chance.randint(-20, 20)) / 4 for _ in range(8)]])


def by_the_engine(formulas, table):
    """What our engine makes of the formulas, the first in row 4 of a table of the columns A to D; names as in NAMED."""
    workbook = openpyxl.Workbook()
    page = workbook.active
    for row, values in enumerate(table, start=1):
        for letter, value in zip("ABCD", values):
            page[f"{letter}{row}"].value = '=""' if value == "" else value
            if isinstance(value, str) and value:
                page[f"{letter}{row}"].data_type = "s"
    for row, formula in enumerate(formulas, start=4):
        page[f"F{row}"] = "=" + in_row(formula, row)
    for letter, (name, value) in zip("HIJK", NAMED.items()):
        column = value if isinstance(value, list) else ["=NA()" if value == "#N/A" else value]
        for row, entry in enumerate(column, start=1):
            page[f"{letter}{row}"] = entry
        workbook.defined_names[name] = DefinedName(name, attr_text=f"{page.title}!${letter}$1:${letter}${len(column)}")
    stream = io.BytesIO()
    workbook.save(stream)
    book = read_book(stream.getvalue())
    result = compile_book(book, {function.sheet_name: function for function in FUNCTIONS.values()}).run({}, lanes=1)
    return [result.value((page.title, f"F{row}")) for row in range(4, 4 + len(formulas))]


def seen_from(table, row):
    """The values by name that a formula in this row sees."""
    values = dict(NAMED)
    for place, name in enumerate("abcd"):
        values |= {
            name: table[row][place],
            f"{name}_before": table[row - 1][place],
            f"{name}_after": table[row + 1][place],
            f"{name}_above": [table[above][place] for above in range(row - 3, row)],
        }
    return values | {"a to d": table[row]}


@pytest.mark.parametrize("seed", range(8))
def test_random_formulas_give_the_same_in_python_and_in_the_engine(seed):
    """Words, errors and truth values exactly, numbers to 1e-9."""
    chance = random.Random(seed)
    decisions = [random_decision(chance) for _ in range(150)]
    table = [[random_value(chance) for _ in range(4)] for _ in range(len(decisions) + 4)]
    got = by_the_engine([str(decision) for decision in decisions], table)
    for row, (decision, shown) in enumerate(zip(decisions, got), start=3):
        value = decision.value(seen_from(table, row))
        if isinstance(value, float):
            assert shown == pytest.approx(value, rel=1e-9, abs=1e-9), str(decision)
        else:
            assert (str(shown) if str(shown) in x.ERRORS else shown) == value, str(decision)
