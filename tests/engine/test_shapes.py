"""Formulas that differ in their cells alone are compiled once; each gives what it gives when compiled by itself."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrofunc.engine.compile import compile_book
from hydrofunc.engine.shapes import Shapes
from hydrofunc.errors import FormulaRefused
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS
from hydrofunc.workbook.reading import read_book
from tests.engine.fake_functions import fakes, workbook

KEPT = Path(__file__).parents[2] / "workbooks"


def results(book, functions, inputs=(), lanes=1, values=None):
    """The value of every formula of a book, in every lane; or what is refused."""
    try:
        plan = compile_book(book, functions, overrides=inputs)
    except FormulaRefused as refused:
        return str(refused)
    result = plan.run(values, lanes=lanes)
    return {key: list(map(repr, result.column(key).python())) for key in plan.outputs}


def each_by_itself(do):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Shapes, "step", lambda *_: None)
        return do()


@pytest.mark.parametrize("path", sorted(KEPT.glob("invented-project/*tested.xlsx")), ids=lambda path: path.stem)
def test_every_cell_of_a_kept_workbook_is_what_it_is_by_itself(path):
    book = read_book(path)
    assert results(book, SHEET_FUNCTIONS) == each_by_itself(lambda: results(book, SHEET_FUNCTIONS))


def test_nearly_all_formulas_of_a_template_have_a_shape(monkeypatch):
    book, found = read_book(KEPT / "template.xlsx"), []
    step = Shapes.step
    monkeypatch.setattr(Shapes, "step", lambda *call: found.append(step(*call)) or found[-1])
    compile_book(book, SHEET_FUNCTIONS)
    assert len(found) > 17_000 and sum(each is None for each in found) < 50


# Of one shape each, but that where they stand, how large a range is or what a cell holds decides what they give.
ALIKE = {
    "B1": "=SUM(A1:A2)",
    "B2": "=SUM(A1:A3)",
    "B3": "=SUM(A2:B2)",
    "C1": "=ROW()+ROW(A1)",
    "C2": "=ROW()+ROW(A7)",
    "C3": "=COLUMN()+COLUMN(A1)",
    "D3": "=COLUMN()+COLUMN(C1)",
    "E1": "=ROWS(A1:A2)",
    "E2": "=ROWS(A1:B1)",
    "E3": "=A1:A3*2",
    "E4": "=A2:A4*2",
    "F1": "=INDEX(A1:A3,2)",
    "F2": "=INDEX(A1:C1,2)",
    "F3": "=INDEX(A2:A3,A1)",
    "G1": "=TEXT(A1,H1)",
    "G2": "=TEXT(A1,H2)",
    "H1": "0.00",
    "H2": "0",
    "I1": '=SUMIF(A1:A3,">1",B1)',
    "I2": '=SUMIF(A1:A3,">1",B2)',
    "J1": "=IF(A1>2,A2,IF(A2>2,A3,A1))",
    "J2": "=IF(A2>2,A3,IF(A3>2,A1,A2))",
    "J3": "=IF(A3>2,A3,IF(A1>2,A1,A3))",
    "K1": "=HYDRO_ROOT(A1)",
    "K2": "=HYDRO_ROOT(A2)",
    "K3": "=HYDRO_MOST(A1:A2,5)",
    "K4": "=HYDRO_MOST(A1:A3,5)",
    "L1": "=A1+A1-A2",
    "L2": "=A1+A2-A2",
    "L3": "=1.1-1-0.1",
    "M1": "=Z9",
    "M2": "=IF(A1>0,Z8,A1)",
    "A1": 1.0,
    "A2": 2.0,
    "A3": 3.0,
    "A4": 4.0,
}


def test_formulas_that_look_alike_and_are_not():
    book, functions = read_book(workbook(S=ALIKE)), fakes()
    inputs = {("S", "A1"): [1.0, 3.0, -2.0], ("S", "A2"): [2.0, "x", 5.0]}
    assert (found := results(book, functions)) == each_by_itself(lambda: results(book, functions))
    assert [found["S", cell][0] for cell in ("B1", "B2", "C2", "E1", "E2", "E4")] == [
        "3.0", "6.0", "9.0", "2.0", "1.0", "8.0"
    ]  # fmt: skip
    again = results(book, functions, inputs, 3, inputs)
    assert again == each_by_itself(lambda: results(book, functions, inputs, 3, inputs))


def test_a_circle_that_a_formula_only_counts_in_is_none():
    book = read_book(workbook(S={"A1": "=ROWS(A1:A3)", "B1": "=ROWS(A1:A3)"}))
    assert results(book, {}) == {("S", "A1"): ["3.0"], ("S", "B1"): ["3.0"]}


def test_other_functions_of_the_same_name_are_compiled_anew():
    book = read_book(workbook(S={"A1": 4.0, "B1": "=HYDRO_ROOT(A1)"}))
    first, second = fakes(), fakes()
    for functions in (first, second, first):
        results(book, functions)
    assert [len(functions["HYDRO_ROOT"].seen) for functions in (first, second)] == [2, 1]


OPERANDS = st.sampled_from(["A1", "$A$2", "A1:A3", "A2:B2", "B3", "A:A", "2", "5", '"x"'])
SHAPES = st.sampled_from(
    [
        "{}+{}", "{}-{}", "SUM({},{})", "IF({}>1,{})", "IF({}>1,{},{})", "INDEX({},{})", "IFERROR({},{})", "-{}",
        "SUMPRODUCT({}*{})", "COUNTIF({},{})", "MATCH({},{},0)", "ROWS({})", "{}&{}", "{}={}", "HYDRO_ROOT({})",
        "SUMIF({},{},{})", "CHOOSE({},{},{})", "ROUND({},{})",
    ]
)  # fmt: skip


@st.composite
def formulas(draw):
    shape = draw(SHAPES)
    return "=" + shape.format(*(draw(OPERANDS) for _ in range(shape.count("{}"))))


@given(st.lists(formulas(), min_size=1, max_size=2), st.lists(st.sampled_from([1.0, 0.0, "x", True, None]), max_size=4))
def test_any_formula_is_what_it_is_by_itself(texts, values):
    cells = {f"A{row}": value for row, value in enumerate(values, start=1)}
    cells |= {"B2": 2.0, "B3": 3.0} | {f"D{row}": text for row, text in enumerate(texts, start=1)}
    book, functions = read_book(workbook(S=cells)), fakes()
    assert results(book, functions) == each_by_itself(lambda: results(book, functions))
    inputs = {("S", "A1"): [1.0, 2.0, "y"], ("S", "B2"): [2.0, 0.0, 1.0]}
    assert results(book, functions, inputs, 3, inputs) == each_by_itself(
        lambda: results(book, functions, inputs, 3, inputs)
    )


CALLS = st.sampled_from(
    [
        "=HYDRO_ROOT(A{0})", "=HYDRO_ROOT(A{0},B{0})", "=HYDRO_ROOT(,B{0})", "=HYDRO_MOST(A{0}:C{0},5)",
        "=HYDRO_MOST($A$1:$C$1,A{0})", "=HYDRO_ROUGH(B{0},C{0})", "=IF(A{0}>1,HYDRO_ROUGH(B{0},C{0}),A{0})",
        "=IFERROR(HYDRO_ROOT(A{0}),B{0})&C{0}", "=HYDRO_ROOT(A{0})+SUM(A{0}:C{0})",
        "=INDEX(A{0}:C{0},HYDRO_ROOT(A{0}))",
        "=IF(HYDRO_ROOT(A{0})>1,B{0},C{0})", "=HYDRO_ROOT(D{0})", "=HYDRO_MOST(B{0}:E{0},HYDRO_ROOT(A{0}))",
    ]
)  # fmt: skip
CELLS = st.sampled_from([1.0, 4.0, 0.0, -2.0, True, "x", "pvc", "steel", "4", None])


@given(st.lists(st.tuples(*[CELLS] * 3), min_size=2, max_size=6), CALLS, CALLS)
def test_calls_that_are_alike_are_asked_together_and_give_what_each_gives_by_itself(rows, first, second):
    cells = {f"{column}{row}": value for row, one in enumerate(rows, 1) for column, value in zip("ABC", one)}
    cells |= {f"D{row}": first.format(row) for row in range(1, len(rows) + 1)} | {"C7": "=1/0", "D7": first.format(7)}
    cells |= {f"F{row}": second.format(row) for row in range(1, len(rows) + 1)} | {"E1": "=D1"}
    book, functions = read_book(workbook(S=cells)), fakes()
    assert results(book, functions) == each_by_itself(lambda: results(book, functions))


@pytest.mark.parametrize("one_by_one", [False, True])
def test_as_many_calls_as_stand_in_a_row_are_one(one_by_one):
    cells = {f"A{row}": float(row) for row in range(1, 10)} | {
        f"B{row}": f"=HYDRO_ROOT(A{row})" for row in range(1, 10)
    }
    cells |= {f"C{row}": f"=HYDRO_ROOT(B{row}+C{row - 1})" for row in range(2, 10)} | {"C1": 0.0}
    book, functions = read_book(workbook(S=cells)), fakes()
    functions["HYDRO_ROOT"].one_by_one = one_by_one
    assert float(results(book, functions)["S", "B9"][0]) == 3.0
    # Nine of column B in one; those of column C wait for each other.
    assert len(functions["HYDRO_ROOT"].seen) == (17 if one_by_one else 9)
