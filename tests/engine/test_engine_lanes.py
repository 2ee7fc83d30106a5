"""Many scenarios at once give what each gives alone; errors, text and blanks included."""

import gc
import random
from itertools import product

import numpy as np
import pytest

from hydrofunc.engine import lanes, operators
from hydrofunc.engine.cell import Cell
from hydrofunc.engine.compile import compile_book
from hydrofunc.engine.lanes import ExcelError
from hydrofunc.engine.run import BLOCK, block_of
from hydrofunc.errors import FormulaRefused
from hydrofunc.workbook.reading import read_book
from tests.engine import sheet_oracles as oracles
from tests.engine.fake_functions import evaluate, fakes, workbook

NA, NUM, DIV0, VALUE = (ExcelError(text) for text in ("#N/A", "#NUM!", "#DIV/0!", "#VALUE!"))
NUMBERS = [0.0, 1.0, 2.0, 3.0, 4.5, -2.0, 0.1 + 0.2, 0.3, 5.0, 8.0, 13.0, 1e300, -0.5, 2.5]
OTHERS = ["abc", "5", "", "pvc", "PVC*", "TRUE", "1e3", " 7 ", "three", True, False, None, NA, DIV0, NUM]
POOLS = {
    "numbers": NUMBERS,
    "anything": NUMBERS * 2 + OTHERS,
    "numbers and blanks": NUMBERS + [None] * 4,
    "words": ["pvc", "steel", "PVC", "pe", "p*", "three", "", "5"],
}


def same(a, b):
    return type(a) is type(b) and (a == b or (isinstance(a, float) and abs(a - b) <= 1e-14 * abs(a)))


def differing(plan, inputs, lanes):
    """Where a run of many lanes and runs of one lane each disagree."""
    together = plan.run(inputs, lanes=lanes)
    columns = {key: together.column(key).python() for key in plan.outputs}
    found = []
    for i in range(lanes):
        alone = plan.run({key: values[i] for key, values in inputs.items()})
        found += [
            (key, i, alone.value(key), columns[key][i])
            for key in plan.outputs
            if not same(alone.value(key), columns[key][i])
        ]
    return found


@pytest.fixture(scope="module")
def probe_book():
    return read_book(oracles.probe_workbook([row["formula"] for row in oracles.probes()]))


@pytest.mark.parametrize("pool", POOLS)
@pytest.mark.parametrize("seed", range(3))
def test_every_probe_formula_gives_in_lanes_what_it_gives_alone(probe_book, pool, seed):
    chance = random.Random(f"{pool} {seed}")
    cells = [("D", f"{column}{row}") for column, values in oracles.DATA.items() for row in range(1, len(values) + 1)]
    chosen = cells if seed == 0 else chance.sample(cells, 20)
    plan = compile_book(probe_book, {}, overrides=chosen)
    inputs = {cell: chance.choices(POOLS[pool], k=12) for cell in chosen}
    assert differing(plan, inputs, 12) == []


CHOICES = {
    "A1": 4,
    "A2": 9,
    "A3": 16,
    "B1": "=HYDRO_ROOT(A2)",
    "B2": "=HYDRO_ROOT(A3)",
    "B3": "=HYDRO_ROOT(B2)",
    "C1": "=IF(A1>0,A2,B1)",
    "C2": "=IF(A1>0,IF(A1>3,A2,B2),B1)",
    "C3": "=IF(B1>2,A2,B2)",
    "C4": "=IF(A1>0,B1,B2)+1",
    "D1": "=C2+B3",
}


@pytest.mark.parametrize(
    ("output", "condition", "calculated"),
    [
        ("C1", [1.0, 5.0], []),
        ("C1", [1.0, -5.0], [9.0]),
        ("C1", [-1.0, -5.0], [9.0]),
        ("C2", [4.0, 5.0], []),
        ("C2", [1.0, 2.0], [16.0]),
        ("C2", [-1.0, -2.0], [9.0]),
        ("C2", [4.0, -2.0], [9.0, 16.0]),
        ("C3", [4.0, 5.0], [9.0]),
        ("D1", [4.0, 5.0], [4.0, 16.0]),
    ],
)
def test_cells_that_no_lane_chooses_are_not_calculated(output, condition, calculated):
    """Unless another cell needs them; a formula that is no choice between cells needs all it names."""
    functions = fakes()
    plan = compile_book(
        read_book(workbook(S=CHOICES)),
        functions,
        overrides=[("S", "A1"), ("S", "A2"), ("S", "A3")],
        outputs=[("S", output)],
    )
    plan.run({("S", "A1"): condition, ("S", "A2"): [9.0, 9.0], ("S", "A3"): [16.0, 16.0]}, lanes=2)
    assert sorted(float(np.ravel(call[0])[0]) for call in functions["HYDRO_ROOT"].seen) == calculated


def test_a_difference_next_to_nothing_is_nothing_in_its_own_lane_only():
    """0.1 + 0.2 - 0.3 is 0 in a sheet (as a probe shows); a small difference of small numbers beside it is none."""
    plan = compile_book(
        read_book(workbook(S={"A1": 1, "B1": 1, "C1": "=A1-B1"})), {}, overrides=[("S", "A1"), ("S", "B1")]
    )
    for sign, far in product((1.0, -1.0), (5.0, 1.0)):
        first, second = sign * np.array([0.1 + 0.2, 2e-9, far]), sign * np.array([0.3, 1e-9, 3.0])
        column = plan.run({("S", "A1"): first, ("S", "B1"): second}, lanes=3).column(("S", "C1"))
        assert column.values.tolist() == (sign * np.array([0.0, 1e-9, far - 3])).tolist()


@pytest.mark.parametrize("constant", [True, False])
def test_a_sorted_list_is_searched_in_all_scenarios_together(constant):
    """Rising and falling; the list the same in all of them, or with one value that differs."""
    rows = range(1, 13)
    cells = {f"D{row}": float(row * row) for row in rows} | {f"E{row}": -float(row) for row in rows}
    formulas = {"B1": "=MATCH(A1,D1:D12,1)", "B2": "=MATCH(-A1,E1:E12,-1)", "B3": "=VLOOKUP(A1,D1:E12,2,TRUE)"}
    inputs = {("S", "A1"): [0.5, 1.0, 1.5, 8.9, 9.0, 60.0, 144.0, 1e9]}
    if not constant:
        inputs["S", "D7"] = [37.0, 48.0, 49.0, 50.0, 63.0, 59.0, 61.0, 49.0]
    plan = compile_book(read_book(workbook(S={"A1": 1, **cells, **formulas})), {}, overrides=list(inputs))
    assert differing(plan, inputs, 8) == []
    found = plan.run(inputs, lanes=8).column(("S", "B1")).python()
    assert found == [NA, 1.0, 1.0, 2.0, 3.0, 7.0, 12.0, 12.0]


def test_numbers_of_the_same_15_digits_are_equal_in_lanes_too():
    """0.1 + 0.2 and 0.3, either way round, beside numbers that differ."""
    signs = {"C1": "=", "C2": "<>", "C3": "<", "C4": ">", "C5": "<=", "C6": ">="}
    formulas = {cell: f"=A1{sign}B1" for cell, sign in signs.items()}
    plan = compile_book(read_book(workbook(S={"A1": 1, "B1": 1, **formulas})), {}, overrides=[("S", "A1"), ("S", "B1")])
    inputs = {("S", "A1"): [0.1 + 0.2, 0.3, 1.0, 2.0], ("S", "B1"): [0.3, 0.1 + 0.2, 2.0, 1.0]}
    assert differing(plan, inputs, 4) == []
    columns = {sign: plan.run(inputs, lanes=4).column(("S", cell)).python() for cell, sign in signs.items()}
    assert columns["="] == [True, True, False, False] and columns["<="] == [True, True, True, False]
    assert columns["<"] == [False, False, True, False] and columns[">="] == [True, True, False, True]


def test_how_a_list_is_searched_may_differ_between_scenarios():
    formulas = {
        "B1": "=MATCH(A1,D1:D3,A2)",
        "B2": "=VLOOKUP(A1,D1:E3,2,A2)",
        "B3": "=HLOOKUP(A1,D1:E3,A3,A2)",
        "B4": "=VLOOKUP(A1,D1:E3,A3,FALSE)",
        "B5": "=XLOOKUP(A1,D1:D3,E1:E3,-1,A2)",
        "B6": "=INDEX(D1:E3,A3,A3)",
    }
    cells = {"D1": 1, "D2": 2, "D3": 4, "E1": 10, "E2": 20, "E3": 40, "A1": 2, "A2": 1, "A3": 1}
    plan = compile_book(read_book(workbook(S=cells | formulas)), {}, overrides=[("S", f"A{row}") for row in (1, 2, 3)])
    keys, ways, places = [2.0, 3.0, 0.5, None, "x"], [0.0, 1.0, -1.0, None, True], [1.0, 2.0, 3.0, -1.0, 0.0]
    cases = list(product(keys, ways, places))
    inputs = {("S", f"A{row}"): list(column) for row, column in enumerate(zip(*cases), 1)}
    assert differing(plan, inputs, len(cases)) == []


@pytest.mark.parametrize(
    ("steps", "lanes"), [(0, 16_384), (976, 16_384), (1_000, 15_872), (4_224, 3_584), (10**6, 256)]
)
def test_the_longer_the_workbook_the_fewer_lanes_are_worked_on_at_a_time(steps, lanes):
    """About sixteen million values at a time, in whole multiples of 256."""
    assert block_of(steps) == lanes


def test_a_list_with_a_gap_in_one_of_two_scenarios_is_shorter_there_only():
    """And what fills it in the other one counts there."""
    plan = compile_book(
        read_book(workbook(S={"A1": 4, "A2": 9, "A3": 1, "B1": "=HYDRO_MOST(A1:A3,100)"})),
        fakes(),
        overrides=[("S", "A2")],
    )
    assert differing(plan, {("S", "A2"): [None, 9.0]}, 2) == []
    assert plan.run({("S", "A2"): [None, 9.0]}, lanes=2).column(("S", "B1")).python() == [4.0, 9.0]


@pytest.mark.parametrize("seed", range(4))
def test_choices_between_cells_give_in_lanes_what_they_give_alone(seed):
    """Whatever the conditions: numbers, words, blanks, errors; in several blocks of lanes, where ways differ."""
    chance = random.Random(seed)
    book = read_book(workbook(S=CHOICES))
    cells = [("S", f"A{row}") for row in (1, 2, 3)]
    plan = compile_book(book, fakes(), overrides=cells)
    inputs = {cell: chance.choices(POOLS["anything"], k=40) for cell in cells}
    assert differing(plan, inputs, 40) == []
    lanes = BLOCK + 3
    inputs = {
        cells[0]: np.where(np.arange(lanes) < BLOCK, 1.0, -1.0),
        cells[1]: np.full(lanes, 9.0),
        cells[2]: np.full(lanes, 16.0),
    }
    column = plan.run(inputs, lanes=lanes).column(("S", "C2")).values
    assert column[:BLOCK].tolist() == [16.0**0.5] * BLOCK and column[BLOCK:].tolist() == [3.0] * 3


CELLS = {
    "A1": 4,
    "A2": "pvc",
    "A3": 9,
    "A4": 2,
    "B1": "=HYDRO_ROOT(A1)",
    "B2": "=HYDRO_ROOT(A1,A4)",
    "B3": "=HYDRO_ROUGH(A2)",
    "B4": "=HYDRO_ROUGH(A2,A1)",
    "B5": "=HYDRO_MOST(A3:A6,A1)",
    "B6": "=HYDRO_MOST(A1,A3)",
    "B7": '=IFERROR(HYDRO_ROOT(A1)*HYDRO_ROUGH(A2),"check")',
    "B8": "=HYDRO_ROOT(HYDRO_ROOT(A1),1)+B3",
    "B9": "=IF(A1>2,HYDRO_ROOT(A1),HYDRO_ROUGH(A2))",
    "B10": "=HYDRO_MOST(A5:A6,4)",
}


@pytest.mark.parametrize("seed", range(4))
def test_our_own_functions_give_in_lanes_what_they_give_alone(seed):
    chance = random.Random(seed)
    plan = compile_book(read_book(workbook(S=CELLS)), fakes(), overrides=[("S", f"A{i}") for i in range(1, 7)])
    inputs = {("S", f"A{i}"): chance.choices(POOLS["anything"] + ["steel", "pvc"] * 4, k=40) for i in range(1, 7)}
    assert differing(plan, inputs, 40) == []


def test_an_out_of_range_argument_is_num_and_a_wrong_word_is_value():
    found = evaluate(CELLS, lanes=3, A1=[4.0, -4.0, 9.0], A2=["pvc", "steel", "clay"])
    assert found["B1"] == [2.0, NUM, 3.0]
    assert found["B3"] == [0.0015, 0.045, VALUE]
    assert found["B7"] == [0.003, "check", "check"]


def test_an_error_in_an_argument_comes_back_and_the_left_one_wins():
    found = evaluate({"B1": "=HYDRO_ROOT(A1,A2)"}, lanes=4, A1=[4.0, NA, 4.0, DIV0], A2=[2.0, DIV0, NUM, 2.0])
    assert found["B1"] == [2.0, NA, NUM, DIV0]


def test_an_error_in_a_list_of_sizes_spoils_only_its_lanes():
    found = evaluate({"A2": 3, "B1": "=HYDRO_MOST(A1:A2,5)"}, lanes=3, A1=[4.0, NA, 7.0])
    assert found["B1"] == [4.0, NA, 3.0]


def test_a_range_where_one_value_is_wanted_is_a_value_error():
    assert evaluate({"A1": 4, "A2": 9, "B5": "=HYDRO_ROOT(A1:A2)"})["B5"] is VALUE
    assert evaluate({"A1": 4, "B5": "=HYDRO_ROOT(A1:A1)"})["B5"] == 2.0


def test_arguments_arrive_as_plain_values_where_all_lanes_agree():
    functions = fakes()
    evaluate(
        {"A2": 2, "B1": "=HYDRO_ROOT(A1,A2)", "B2": "=HYDRO_ROUGH(A3)", "A3": "pvc"},
        lanes=3,
        functions=functions,
        A1=[1.0, 4.0, 9.0],
    )
    area, exponent = functions["HYDRO_ROOT"].seen[0]
    assert isinstance(area, np.ndarray) and area.dtype == float and area.tolist() == [1.0, 4.0, 9.0]
    assert type(exponent) is float
    assert functions["HYDRO_ROUGH"].seen == [["pvc", None]]


def test_blank_arguments_arrive_as_none_and_mixed_ones_as_objects():
    functions = fakes()
    evaluate({"B1": "=HYDRO_ROOT(A2,A1)"}, lanes=3, functions=functions, A1=[1.0, None, "x"])
    area, exponent = functions["HYDRO_ROOT"].seen[0]
    assert area is None
    assert exponent.dtype == object and exponent.tolist() == [1.0, None, "x"]


def test_a_list_arrives_without_its_blank_cells():
    functions = fakes()
    evaluate(
        {"A1": 4, "A3": 6, "B1": "=HYDRO_MOST(A1:A4,C1)", "B2": "=HYDRO_MOST({1,2},C1)"},
        lanes=2,
        functions=functions,
        C1=[5.0, 7.0],
    )
    assert [call[0].tolist() for call in functions["HYDRO_MOST"].seen] == [[4.0, 6.0], [1.0, 2.0]]


def test_a_list_that_differs_between_lanes_has_a_row_for_each():
    functions = fakes()
    found = evaluate({"A1": 4, "B1": "=HYDRO_MOST(A1:A2,5)"}, lanes=2, functions=functions, A2=[4.5, 6.0])
    assert functions["HYDRO_MOST"].seen[0][0].tolist() == [[4.0, 4.5], [4.0, 6.0]]
    assert found["B1"] == [4.5, 4.0]


def test_a_list_may_have_blanks_in_some_lanes_only():
    found = evaluate(
        {"A1": 4, "B1": "=HYDRO_MOST(A1:A3,C1)", "C1": 5},
        lanes=5,
        A2=[4.5, None, None, 4.2, NA],
        A3=[None, 4.7, None, None, None],
        C1=[5.0, 5.0, 4.0, 3.0, 5.0],
    )
    assert found["B1"] == [4.5, 4.7, 4.0, NUM, NA]


def test_what_does_not_depend_on_the_inputs_is_worked_out_once():
    functions = fakes()
    plan = compile_book(
        read_book(workbook(S={"A2": 9, "B1": "=HYDRO_ROOT(A2)", "B2": "=B1+A1"})), functions, overrides=[("S", "A1")]
    )
    for _ in range(3):
        result = plan.run({("S", "A1"): np.arange(3 * BLOCK + 5.0)}, lanes=3 * BLOCK + 5)
    assert len(functions["HYDRO_ROOT"].seen) == 1
    assert result.column(("S", "B2")).values[-1] == 3 * BLOCK + 4 + 3.0


def test_only_what_the_wanted_cells_need_is_compiled_and_calculated():
    functions = fakes()
    book = read_book(workbook(S={"A1": 4, "B1": "=A1*2", "B2": "=HYDRO_ROOT(A1)", "B3": "=OFFSET(A1,1,1)"}))
    plan = compile_book(book, functions, outputs=[("S", "B1")])
    assert plan.run().value(("S", "B1")) == 8.0
    assert functions["HYDRO_ROOT"].seen == []


def test_the_collector_waits_while_a_workbook_is_read_and_compiled_and_works_again_after(monkeypatch):
    """After an error too; and where it was off, it stays off."""
    data, seen = workbook(S={"A1": 4, "B1": "=A1*2", "B2": "=OFFSET(A1,1,1)"}), []
    made = Cell.__init__
    monkeypatch.setattr(Cell, "__init__", lambda *arguments: seen.append(gc.isenabled()) or made(*arguments))
    assert gc.isenabled()
    compile_book(read_book(data), {}, outputs=[("S", "B1")])
    with pytest.raises(FormulaRefused):
        compile_book(read_book(data), {})
    assert gc.isenabled() and seen and not any(seen)
    gc.disable()
    try:
        read_book(data)
        assert not gc.isenabled()
    finally:
        gc.enable()


def test_what_functions_get_in_lanes_cannot_be_written():
    """So a function may remember what it made of an array; the caller's own array stays writable."""
    functions, given = fakes(), np.arange(3.0)
    book = read_book(workbook(S={"B1": "=A1+1", "B2": "=HYDRO_ROOT(A1)", "B3": "=HYDRO_ROOT(B1)"}))
    compile_book(book, functions, overrides=[("S", "A1")]).run({("S", "A1"): given}, lanes=3)
    arrays = [call[0] for call in functions["HYDRO_ROOT"].seen]
    assert len(arrays) == 2 and not any(array.flags.writeable for array in arrays)
    assert given.flags.writeable


def test_a_branch_no_lane_takes_is_not_calculated():
    functions = fakes()
    cells = {
        "A2": 1,
        "B1": "=IF(A2>0,A1,HYDRO_ROOT(A1))",
        "B2": "=IFERROR(A1,HYDRO_ROOT(A1))",
        "B3": "=CHOOSE(A2,A1,HYDRO_ROOT(A1))",
        "B4": "=IFS(A1>-9,1,TRUE,HYDRO_ROOT(A1))",
        "B5": "=SWITCH(A2,1,5,HYDRO_ROOT(A1))",
        "B6": "=IFNA(A1,HYDRO_ROOT(A1))",
    }
    found = evaluate(cells, lanes=3, functions=functions, A1=[1.0, 2.0, 3.0])
    assert functions["HYDRO_ROOT"].seen == []
    assert found["B1"] == [1.0, 2.0, 3.0] and found["B4"] == [1.0, 1.0, 1.0] and found["B5"] == [5.0, 5.0, 5.0]


def test_errors_of_the_branch_not_taken_do_not_show():
    cells = {
        "B1": "=IF(A1=0,-1,1/A1)",
        "B2": "=IFERROR(1/A1,A1)",
        "B3": "=CHOOSE(A1+1,7,1/A1)",
        "B4": "=IFS(A1=0,0,TRUE,1/A1)",
        "B5": '=IF(A1=0,"none",SQRT(A1))',
        "B6": "=AND(A1>-1,1/A1>0)",
    }
    found = evaluate(cells, lanes=3, A1=[0.0, 1.0, NA])
    assert found["B1"] == [-1.0, 1.0, NA]
    assert found["B2"] == [0.0, 1.0, NA]
    assert found["B3"] == [7.0, 1.0, NA]
    assert found["B4"] == [0.0, 1.0, NA]
    assert found["B5"] == ["none", 1.0, NA]
    assert found["B6"] == [DIV0, True, NA]


@pytest.mark.parametrize(
    "formula",
    [
        "=A1+1",
        "=-A1",
        "=A1^2",
        "=A1&1",
        "=A1=1",
        "=MAX(A1,1)",
        "=MIN(1,A1)",
        "=SUM(A1:A2)",
        "=ROUND(A1,1)",
        "=IF(A1>0,1,2)",
        '=TEXT(A1,"0.0")',
        "=LEN(A1)",
        "=VLOOKUP(A1,C1:D2,2,FALSE)",
        "=MATCH(A1,C1:C2,0)",
        "=INDEX(C1:C2,A1)",
        "=AND(A1,TRUE)",
        "=NOT(A1)",
        "=HYDRO_ROOT(A1)",
        "=SUMPRODUCT(A1:A2,C1:C2)",
        "=MOD(A1,2)",
        "=CHOOSE(A1,1,2)",
        "=XLOOKUP(A1,C1:C2,D1:D2)",
        "=LARGE(A1:A2,1)",
        "=MEDIAN(A1:A2)",
        '=CONCATENATE("a",A1)',
    ],
)
def test_an_error_survives(formula):
    cells = {"A2": 1, "C1": 1, "C2": 2, "D1": 5, "D2": 6, "B1": formula}
    found = evaluate(cells, lanes=3, A1=[1.0, NA, DIV0])["B1"]
    assert found[1:] == [NA, DIV0]
    assert not isinstance(found[0], ExcelError)


@pytest.mark.parametrize("flags", [True, False])
def test_a_number_too_large_is_an_error_in_its_lane_only(flags, monkeypatch):
    monkeypatch.setattr(operators, "_FLAGS", flags)
    found = evaluate(
        {"B1": "=A1*1E200", "B2": "=1/(A1*1E200)", "B3": "=EXP(A1)", "B4": "=A1*1E200-A1*1E200"},
        lanes=2,
        A1=[1.0, 1e200],
    )
    assert found["B1"] == [1e200, NUM]
    assert found["B2"] == [1e-200, NUM]
    assert found["B3"] == [np.exp(1.0), NUM]
    assert found["B4"] == [0.0, NUM]
    assert evaluate({"B1": "=1/A1"}, lanes=3, A1=[0.0, NA, 4.0])["B1"] == [DIV0, NA, 0.25]


def test_columns_longer_than_a_block_keep_their_order_and_text():
    n = 2 * BLOCK + 3
    plan = compile_book(
        read_book(workbook(S={"B1": "=A1*2", "B2": '="n"&A1', "B3": '=IF(A1>20000,"high",IF(A1=7,NA(),A1))'})),
        {},
        overrides=[("S", "A1")],
    )
    done = []
    result = plan.run({("S", "A1"): np.arange(float(n))}, lanes=n, progress=done.append)
    assert done == [BLOCK, 2 * BLOCK, n]
    assert (result.column(("S", "B1")).values == 2.0 * np.arange(n)).all()
    assert result.column(("S", "B2")).python()[-1] == f"n{n - 1}"
    mixed = result.column(("S", "B3"))
    assert mixed.kind == "mixed"
    assert mixed.python()[6:9] == [6.0, NA, 8.0] and mixed.python()[-1] == "high"


def test_a_column_shows_numbers_texts_and_errors_apart():
    cells = {"B1": '=IF(A1=1,"x",IF(A1=2,TRUE,1/A1))', "B2": "=A1>1", "B3": '="k"&A1', "B4": "=5"}
    book = read_book(workbook(S=cells))
    plan = compile_book(book, {}, overrides=[("S", "A1")])
    result = plan.run({("S", "A1"): [0.0, 1.0, 2.0, 4.0]}, lanes=4)
    mixed = result.column(("S", "B1"))
    assert mixed.kind == "mixed"
    assert mixed.errors.tolist() == [DIV0.code, 0, 0, 0] and mixed.errors.dtype == np.uint8
    assert mixed.texts.tolist() == [None, "x", None, None]
    assert np.isnan(mixed.values[:2]).all() and mixed.values[2:].tolist() == [1.0, 0.25]
    assert mixed.python() == [DIV0, "x", True, 0.25]
    boolean, text, uniform = (result.column(("S", cell)) for cell in ("B2", "B3", "B4"))
    assert boolean.kind == "boolean" and boolean.python() == [False, False, True, True]
    assert text.kind == "text" and text.errors is None and text.texts.tolist() == ["k0", "k1", "k2", "k4"]
    assert uniform.kind == "number" and uniform.values.tolist() == [5.0] * 4 and uniform.texts is None
    assert len(uniform) == 4


def test_an_input_left_out_keeps_the_workbooks_value():
    plan = compile_book(read_book(workbook(S={"A1": 3, "B1": "=A1+A2"})), {}, overrides=[("S", "A1"), ("S", "A2")])
    assert plan.run().value(("S", "B1")) == 3.0
    assert plan.run({("S", "A2"): 4.0}).value(("S", "B1")) == 7.0
    assert plan.run({("S", "A2"): [4.0, 5.0]}, lanes=2).column(("S", "B1")).python() == [7.0, 8.0]


def test_a_formula_cell_can_be_an_input_and_its_formula_then_does_not_count():
    book = read_book(workbook(S={"A1": 3, "A2": "=A1*2", "A3": "=A2+1"}))
    plan = compile_book(book, {}, overrides=[("S", "A2")], outputs=[("S", "A3"), ("S", "A2")])
    result = plan.run({("S", "A2"): 10.0})
    assert result.value(("S", "A3")) == 11.0 and result.value(("S", "A2")) == 10.0


def test_inputs_not_named_beforehand_or_of_the_wrong_length_are_turned_away():
    plan = compile_book(read_book(workbook(S={"A1": 3, "B1": "=A1"})), {}, overrides=[("S", "A1")])
    with pytest.raises(LookupError, match="S!A2"):
        plan.run({("S", "A2"): 1.0})
    with pytest.raises(ValueError, match="S!A1 is given 3 values for 2 lanes"):
        plan.run({("S", "A1"): [1, 2, 3]}, lanes=2)


def test_numbers_that_are_not_finite_are_num_errors():
    assert evaluate({"B1": "=A1+1"}, lanes=3, A1=[np.nan, np.inf, 1.0])["B1"] == [NUM, NUM, 2.0]
    assert evaluate({"B1": "=A1+1"}, A1=float("nan"))["B1"] is NUM


def test_plain_numbers_of_any_type_are_taken():
    for value in (3, 3.0, np.float64(3), np.int64(3), np.array(3.0)):
        assert evaluate({"B1": "=A1+1"}, A1=value)["B1"] == 4.0
    assert evaluate({"B1": "=A1+1"}, lanes=2, A1=np.array([1, 2]))["B1"] == [2.0, 3.0]
    assert evaluate({"B1": "=NOT(A1)"}, lanes=2, A1=np.array([True, False]))["B1"] == [False, True]


def test_criteria_may_differ_between_lanes():
    cells = {
        "C1": 1,
        "C2": 5,
        "C3": 9,
        "B1": '=COUNTIF(C1:C3,">"&A1)',
        "B2": "=SUMIF(C1:C3,A2&A1)",
        "B3": "=COUNTIF(C1:C3,A1)",
    }
    found = evaluate(cells, lanes=4, A1=[0.0, 5.0, 9.0, NA], A2=["<", ">=", "<>", ">"])
    assert found["B1"] == [3.0, 1.0, 0.0, 0.0]
    assert found["B2"][:3] == [0.0, 14.0, 6.0]
    assert found["B3"] == [0.0, 1.0, 1.0, 0.0]


def test_a_lookup_in_a_table_that_differs_between_lanes():
    cells = {
        "C1": 1,
        "C3": 9,
        "D1": "a",
        "D2": "b",
        "D3": "c",
        "B1": "=VLOOKUP(A1,C1:D3,2,TRUE)",
        "B2": "=INDEX(C1:C3,MATCH(A1,C1:C3,0))",
    }
    found = evaluate(cells, lanes=4, A1=[0.0, 4.0, 5.0, 20.0], C2=[5.0, 4.0, 3.0, 2.0])
    assert found["B1"] == [NA, "b", "b", "c"]
    assert found["B2"] == [NA, 4.0, NA, NA]


@pytest.mark.parametrize("function", ["VLOOKUP", "HLOOKUP"])
def test_an_error_in_place_of_a_table_counts_before_one_behind_it(function):
    book = read_book(workbook(S={"A1": 1, "A2": 1, "B1": f"={function}(1,1/0,A1,A2)"}))
    plan = compile_book(book, {}, overrides=[("S", "A1"), ("S", "A2")])
    given = {("S", "A1"): [1.0, NA, VALUE], ("S", "A2"): [0.0, 1.0, NUM]}
    assert plan.run(given, lanes=3).column(("S", "B1")).python() == [DIV0] * 3
    assert differing(plan, given, 3) == []


def test_the_engine_sets_no_floating_point_state_behind():
    before = np.geterr()
    evaluate({"B1": "=1/A1"}, lanes=2, A1=[0.0, 1.0])
    assert np.geterr() == before


def test_a_last_difference_next_to_nothing_is_0_in_every_lane():
    assert evaluate({"B1": "=A1-0.3"}, lanes=2, A1=[0.1 + 0.2, 0.1 + 0.2])["B1"] == [0.0, 0.0]
    assert evaluate({"B1": "=A1-0.3"}, lanes=3, A1=[0.1 + 0.2, NA, 0.5])["B1"] == [0.0, NA, 0.2]


def test_text_of_lanes_with_errors_keeps_the_errors():
    assert evaluate({"B1": '=TEXT(A1,"0.0")'}, lanes=3, A1=[1.0, DIV0, -2.5])["B1"] == ["1.0", DIV0, "-2.5"]


def test_masks_are_arrays_and_say_once_what_holds_for_all_lanes():
    mixed = lanes.from_python([1.0, "a", None, NA])
    assert mixed.err.tolist() == [0, 0, 0, NA.code] and not mixed.sound and mixed.only is None
    assert lanes.take(mixed, np.array([0, 3])).only == lanes.NUMBER
    alike = lanes.from_python(["a", "b", "a"])
    assert alike.err is lanes.SOUND and alike.kind.tolist() == [lanes.TEXT] and alike.only == lanes.TEXT
    assert mixed.python() == [1.0, "a", None, NA] and alike.python() == ["a", "b", "a"]


def test_a_function_of_plain_values_is_called_once_for_every_different_combination():
    calls = []
    lifted = lanes.lifted(lambda a, b: calls.append((a, b)) or a * b, np.multiply)
    numbers = lanes.from_python(np.arange(5.0))
    assert lifted(numbers, 2.0).python() == [0.0, 2.0, 4.0, 6.0, 8.0] and calls == []
    result = lifted(lanes.from_python(["x", "y", "x", "x", 3.0]), lanes.from_python([True, True, True, True, 2.0]))
    assert result.python() == ["x", "y", "x", "x", 6.0] and sorted(calls) == [("x", True), ("y", True)]


def test_beside_an_error_there_is_no_number():
    """A function that skips what is no number gives a number even in a lane with an error: it must not show."""
    book = read_book(
        workbook(S={"A2": 3, "B1": "=SUM(A1:A2)", "B2": "=SUMPRODUCT((A1:A2>2)*1)", "B3": "=ROUND(A2,A1)"})
    )
    plan = compile_book(book, {}, overrides=[("S", "A1")])
    result = plan.run({("S", "A1"): [1.0, NA, "x"]}, lanes=3)
    for cell in ("B1", "B2", "B3"):
        column = result.column(("S", cell))
        assert np.isnan(column.values[column.errors > 0]).all() and column.errors[1] == NA.code


def test_outputs_that_are_formulas_are_in_order_of_what_they_need():
    """So the first error among them is the cause of the others; a cell without formula is no cause."""
    cells = {"A1": 1, "B1": "=C1+1", "C1": "=D1*A1", "D1": "=2*3"}
    outputs = [("S", cell) for cell in cells]
    plan = compile_book(read_book(workbook(S=cells)), {}, overrides=[("S", "A1")], outputs=outputs)
    assert plan.in_order == [("S", "D1"), ("S", "C1"), ("S", "B1")]


def test_choose_takes_whole_numbers_from_one_to_the_last_value_in_every_lane():
    """Microsoft's reference for CHOOSE, from memory, not looked up: else #VALUE!; a fraction is cut off first."""
    numbers = [0.0, 0.99, 1.0, 2.99, 3.0, NA, -1.0]
    expected = [VALUE, VALUE, 10.0, 20.0, VALUE, NA, VALUE]
    cells = {"B1": "=CHOOSE(A1,10,20)"}
    assert evaluate(cells, lanes=7, A1=numbers)["B1"] == expected
    assert [evaluate(cells, A1=number)["B1"] for number in numbers] == expected
