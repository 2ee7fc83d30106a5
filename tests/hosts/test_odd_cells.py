"""The same odd cells through the three readers: headless engine, Excel's side and Calc's side give one answer.

The engine's answer comes from a recalculated workbook, Excel's from the adapter with cells as xlwings hands them
over, Calc's from the worker with a request as the add-in sends it. What a program does not let us see is not
asked of it: Calc passes error values on itself and has "" for a blank cell of a range.
"""

import io
import json
from math import nan

import openpyxl
import pytest

import hydrofunc
from hydrofunc.engine.compile import compile_book
from hydrofunc.hosts.calc import worker
from hydrofunc.hosts.excel import adapter
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS
from hydrofunc.workbook.reading import read_book
from tests import contract

FUNCTIONS = hydrofunc.functions()
LEFT_OUT = object()
NA, DIV0 = "#N/A", "#DIV/0!"
FORMULAS = {NA: "=NA()", DIV0: "=1/0", "": '=""'}
# Blank, "" of a formula, TRUE, a word for a number, digits as text, a number for a word, one far out, errors, and
# what is not a number.
ODD = [None, "", True, "no such word", "5", 7.0, -1e12, NA, DIV0, nan]
CALC_CANNOT_TELL = ("", NA, DIV0)  # in a range
GAP = [None]  # a blank cell of a list


def rows_of(argument):
    return argument if isinstance(argument, list) else [[argument]]


def by_engine(calls):
    """The engine's answers to calls [(function, [argument, ...])]; an argument is LEFT_OUT, a cell or rows of cells."""
    book = openpyxl.Workbook()
    formulas, sheet = book.active, book.create_sheet("Cells")
    formulas.title = "Calls"
    not_numbers, top = [], 1
    for call, (function, arguments) in enumerate(calls, start=1):
        texts = []
        for argument in arguments:
            rows = rows_of(argument)
            for r, row in enumerate(rows, start=top):
                for c, cell in enumerate(row, start=1):
                    if cell != cell:  # no workbook can hold it, but a scenario can
                        not_numbers.append(("Cells", sheet.cell(r, c).coordinate))
                    elif argument is not LEFT_OUT:
                        sheet.cell(r, c, FORMULAS.get(cell, cell))
            last = sheet.cell(top + len(rows) - 1, len(rows[0])).coordinate
            cells = f"Cells!A{top}" + (f":{last}" if isinstance(argument, list) else "")
            texts.append("" if argument is LEFT_OUT else cells)
            top += len(rows)
        formulas.cell(call, 1, f"={function.sheet_name}({','.join(texts)})")
    stream = io.BytesIO()
    book.save(stream)
    outputs = [("Calls", f"A{row}") for row in range(1, len(calls) + 1)]
    plan = compile_book(read_book(stream.getvalue()), SHEET_FUNCTIONS, overrides=not_numbers, outputs=outputs)
    result = plan.run(dict.fromkeys(not_numbers, nan))
    return [value if isinstance(value, float) else str(value) for value in map(result.value, outputs)]


def by_excel(function, arguments, ask=adapter.call):
    """With rows for every argument, as xlwings hands them over; None for one left out."""
    return ask(function, [None if argument is LEFT_OUT else rows_of(argument) for argument in arguments])


def by_calc(function, arguments, ask=worker.answer):
    """Through JSON; a blank cell of a range is ""."""
    wire = [
        [["" if cell is None else cell for cell in row] for row in argument]
        if isinstance(argument, list)
        else None if argument is LEFT_OUT else argument
        for argument in arguments
    ]  # fmt: skip
    name, wire = json.loads(json.dumps([function.name, wire]))
    return ask(name, wire) if ask is worker.answer else ask(name, *wire)


def example(function, **others):
    """The arguments of the worked example in order, some of them others; the last ones may be lacking."""
    values = dict(zip((argument.name for argument in function.arguments), contract.example_cells(function)))
    values = {name: float(value) if type(value) is int else value for name, value in values.items()} | others
    values = {name: value for name, value in values.items() if value is not None or name in others}
    last = max(i for i, argument in enumerate(function.arguments) if argument.name in values)
    return [values.get(argument.name, LEFT_OUT) for argument in function.arguments[: last + 1]]


def wrong(calls, engine):
    """Where one of the three answers something else; Calc is not asked what it cannot hand over."""
    problems = []
    for (function, arguments), theirs in zip(calls, engine, strict=True):
        cells = [cell for argument in arguments if isinstance(argument, list) for row in argument for cell in row]
        answers = {"engine": theirs, "Excel": by_excel(function, arguments)}
        if not any(cell in CALC_CANNOT_TELL for cell in cells) and NA not in arguments and DIV0 not in arguments:
            ((answers["Calc"],),) = by_calc(function, arguments)
        if len(set(answers.values())) > 1:
            problems.append(f"{function.name}: {answers}, {arguments}")
    return problems


SINGLE = [
    (function, argument, odd)
    for function in FUNCTIONS.values()
    for argument in function.arguments
    if not argument.many
    for odd in ODD
]
LISTED = [
    (function, argument)
    for function in FUNCTIONS.values()
    for argument in function.arguments
    if argument.many and not argument.part
]


@pytest.fixture(scope="module")
def single_answers():
    """{(function, argument, repr of the odd cell): the engine's answer}."""
    answers = by_engine([(function, example(function, **{argument.name: odd})) for function, argument, odd in SINGLE])
    return {(f.name, a.name, repr(odd)): answer for (f, a, odd), answer in zip(SINGLE, answers)}


def test_a_single_odd_cell_has_one_answer(single_answers):
    calls = [(function, example(function, **{argument.name: odd})) for function, argument, odd in SINGLE]
    engine = list(single_answers.values())
    arguments = sum(not argument.many for function in FUNCTIONS.values() for argument in function.arguments)
    assert len(calls) == len(engine) == len(ODD) * arguments
    problems = wrong(calls, engine)
    assert not problems, "\n".join(problems[:20])
    assert sum(isinstance(answer, str) for answer in engine) > len(engine) / 2


def test_a_range_of_one_cell_is_that_cell(single_answers):
    """In Calc, which has rows for A1:A1; Excel's side has them for every cell."""
    for function, argument, odd in SINGLE:
        if odd not in CALC_CANNOT_TELL:
            answer = by_calc(function, example(function, **{argument.name: [[odd]]}))
            assert answer == [[single_answers[function.name, argument.name, repr(odd)]]], (function.name, argument.name)


# Not of the diagnosis, which takes a second for each cell of a column.
IN_COLUMNS = [
    (function, argument) for function, argument, _ in SINGLE[:: len(ODD)] if not function.group.startswith("Diagnosis")
]


def test_a_column_of_odd_cells_gives_for_each_what_it_gives_alone(single_answers):
    """In Excel with the error values, in Calc without."""
    assert len(IN_COLUMNS) == sum(
        not argument.many
        for function in FUNCTIONS.values()
        for argument in function.arguments
        if not function.group.startswith("Diagnosis")
    )
    for ask, odds in ((by_excel, ODD), (by_calc, [odd for odd in ODD if odd not in CALC_CANNOT_TELL])):
        for function, argument in IN_COLUMNS:
            column = ask(function, example(function, **{argument.name: [[odd] for odd in odds]}))
            for odd, (answer,) in zip(odds, column, strict=True):
                alone = single_answers[function.name, argument.name, repr(odd)]
                same = answer == (pytest.approx(alone, rel=1e-12) if isinstance(alone, float) else alone)
                assert same, (function.name, argument.name, odd, answer, alone)


def lists(function, argument):
    """The list of the worked example, or a short one, in shapes and with cells that a person may leave in it."""
    values = [float(item) for item in function.example.arguments.get(argument.name, (1.0, 2.0, 3.0))]
    column = [[value] for value in values]
    middle = len(column) // 2
    yield [values]
    yield [*column[:middle], GAP, *column[middle:], GAP, GAP]
    yield [[value, None] for value in values]
    yield [GAP, GAP]
    yield [[values[0]]]
    yield values[0]
    yield None
    yield LEFT_OUT
    for odd in ODD:
        yield [*column[:middle], [odd], *column[middle:]]
        yield [*column, [odd]]
    yield [[NA], *column, [DIV0]]
    yield [[""], *column, [DIV0]]


def test_a_list_of_odd_cells_has_one_answer():
    """Gaps, rows and blocks, no cell at all, one cell, and each odd cell in the middle and at the end."""
    calls = [
        (function, example(function, **{argument.name: cells}))
        for function, argument in LISTED
        for cells in lists(function, argument)
        if not (cells is LEFT_OUT and argument.required)  # refused while compiling
    ]
    engine = by_engine(calls)
    shapes = 8 + 2 * len(ODD) + 2
    assert len(calls) == sum(shapes - argument.required for _, argument in LISTED) == 1867
    problems = wrong(calls, engine)
    assert not problems, "\n".join(problems[:20])
    assert {"#N/A", "#DIV/0!", "#VALUE!", "#NUM!"} < set(engine)
    assert sum(isinstance(answer, float) for answer in engine) == 397


def test_gaps_do_not_count_in_a_list():
    """Against Python, where a list has none."""
    function = FUNCTIONS["best_listed_nozzle"]
    values = [[float(size)] for size in function.example.arguments["sizes"]]
    arguments = example(function, sizes=[GAP, *values, GAP])
    wanted = function(**function.example.arguments)
    assert by_excel(function, arguments) == wanted
    assert by_calc(function, arguments) == [[wanted]]
    assert by_engine([(function, arguments)]) == [wanted]


def test_an_error_value_goes_before_all_else():
    """Before a wrong kind to its left, and before ranges that do not fit together."""
    velocity = FUNCTIONS["pipe_velocity"]
    assert by_engine([(velocity, ["word", NA])]) == ["#N/A"]
    assert by_excel(velocity, ["word", NA]) == "#N/A"
    assert by_excel(velocity, [[[NA], [1.0]], [[40.0, DIV0]]]) == [
        ["#N/A", "#N/A"],
        [pytest.approx(0.7958, rel=1e-3), DIV0],
    ]


@pytest.mark.parametrize("name", ["friction_head", "emf_constant", "best_listed_nozzle"])
def test_excel_and_calc_explain_in_the_same_words(name):
    function = FUNCTIONS[name]
    for argument in function.arguments:
        for odd in (None, True, "no such word", -1e12):
            cells = example(function, **{argument.name: [[1.0], [odd]] if argument.many else odd})
            excel, calc = by_excel(function, cells, adapter.explain), by_calc(function, cells, worker.explanation)
            assert excel == calc
            assert (excel == "fine") == isinstance(by_excel(function, cells), float)


def plants():
    """Calls of HYDRO_PLANT with each odd cell in a row that is needed, in one that is not, as a name, and in a pair."""
    function = FUNCTIONS["plant"]
    rows = example(function)[0]
    for odd in ODD:
        for quantity in ("flow", "battery_watts"):
            for place in (("bore", 1), ("fittings", 1), ("phase_volts", 1), ("bore", 0), ("fittings", 0)):
                block = [list(row) for row in rows]
                block[[name for name, _ in rows].index(place[0])][place[1]] = odd
                yield function, [block, quantity]
            yield function, [rows, quantity, "nozzle", odd]
            yield function, [rows, quantity, odd, 9.0]
            yield function, [rows, quantity, [["nozzle", "windage"]], [[odd, 1.0]]]
            yield function, [rows, quantity, [["nozzle"], [odd]], [[9.0], [1.0]]]
            yield function, [rows, quantity, [["nozzle", odd]], [[9.0, None]]]
    for quantity in ("flow", "battery_watts"):
        yield function, [rows, quantity, "nozzle"]
        yield function, [rows, quantity, LEFT_OUT, 9.0]
        yield function, [rows, quantity, "nozzle", LEFT_OUT]
        yield function, [rows, quantity, "nozzle", [[9.0, 8.0]]]
        yield function, [[[*row, "m"] for row in rows], quantity]
        yield function, [[row[:1] for row in rows], quantity]
        yield function, ["gross_head", quantity]
        yield function, [[*rows, ["nozzle", 9.0]], quantity]
        yield function, [[[None, None], *rows, ["latitude", 50.0], [None, 7.0]], quantity]
        yield function, [[[name.upper().replace("_", " "), value] for name, value in rows], quantity]


def test_odd_cells_in_a_plant_have_one_answer():
    """Calc is asked with "" too, which counts as blank in a plant everywhere; it is never asked with an error value.

    Not asked of Calc: a single blank cell, which the add-in sends as 0 for a name and as a range for a value.
    """
    calls = list(plants())
    engine = by_engine(calls)
    problems = []
    for (function, arguments), theirs in zip(calls, engine, strict=True):
        cells = [cell for argument in arguments for row in rows_of(argument) for cell in row]
        answers = {"engine": theirs, "Excel": by_excel(function, arguments)}
        if not any(cell in (NA, DIV0) or cell != cell for cell in cells) and None not in arguments:
            ((answers["Calc"],),) = by_calc(function, arguments)
            words = by_calc(function, arguments, worker.explanation)
            assert words == by_excel(function, arguments, adapter.explain)
            assert (words == "fine") == isinstance(theirs, float), (words, theirs)
        if len(set(answers.values())) > 1:
            problems.append(f"{answers}, {arguments[1:]}, {[row for row in arguments[0] if row[0] in ('bore', None)]}")
    assert not problems, "\n".join(problems[:20])
    assert {"#N/A", "#DIV/0!", "#VALUE!", "#NUM!"} < set(engine)
    assert (len(engine), sum(isinstance(answer, float) for answer in engine)) == (220, 63)


def test_a_blank_value_of_a_plant_is_not_one_left_out():
    """Blank: as in the plant. Left out: the pair has no value."""
    function = FUNCTIONS["plant"]
    rows = example(function)[0]
    for blank in (None, ""):
        arguments = [rows, "flow", "nozzle", blank]
        wanted = by_excel(function, [rows, "flow"])
        assert by_excel(function, arguments) == wanted
        assert by_engine([(function, arguments)]) == [wanted]
        assert by_calc(function, [rows, "flow", "nozzle", [[blank]]]) == [[wanted]]
    for arguments in ([rows, "flow", "nozzle"], [rows, "flow", "nozzle", LEFT_OUT]):
        assert by_excel(function, arguments) == by_engine([(function, arguments)])[0] == "#VALUE!"
        assert by_calc(function, arguments) == [["#VALUE!"]]
    zero = [rows, "battery_watts", "fittings", 0.0]
    assert by_calc(function, zero) == [[by_excel(function, zero)]]
    assert by_excel(function, zero) > by_excel(function, [rows, "battery_watts"])
