"""The worksheet functions as VBA, run by the Basic of a real LibreOffice Calc that has no add-in.

No published source: the reference is `hydrofunc` itself, which its own tests hold against published values. LibreOffice
is not Excel: it reads the same language with its own compiler.
"""

import io
import random
import shutil
from pathlib import Path

import openpyxl
import pytest

from hydrofunc import template  # noqa: F401  (fills the registry)
from hydrofunc.catalogue.plant import QUANTITIES
from hydrofunc.emit.vba_book import with_vba
from hydrofunc.jobs.live import macro_book
from hydrofunc.jobs.recalc import calculated
from hydrofunc.template import INPUTS
from hydrofunc.workbook.splice import splice
from tests.emit.books import agree, formulas_and_values
from tests.emit.calls import CELLS, answer, formula, odd_calls, random_calls
from tests.emit.plants import PIPE, cells_of, list_answer, pipe_answer, plant_answer
from tests.emit.test_names import (
    LIVE,
    OF_LISTS,
    SEED,
    close,
    list_formulas,
    plant_calls,
    several_questions,
    surge_calls,
    surge_formulas,
)
from tests.hosts.calc.calc_session import ERRORS, Calc, options_for

pytestmark = pytest.mark.calc

DEMO = Path(__file__).parents[2] / "workbooks" / "invented-demo"
TEXTS = {code: text for text, code in ERRORS.items()}
MACROS_RUN = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Common/Security/Scripting">
<prop oor:name="MacroSecurityLevel" oor:op="fuse"><value>0</value></prop></item></oor:items>
"""


def started(folder, settings):
    user = folder / "profile" / "user"
    user.mkdir(parents=True)
    if settings:
        (user / "registrymodifications.xcu").write_text(settings)
    return Calc(options_for(folder))


@pytest.fixture(scope="module")
def calc(tmp_path_factory):
    """Calc whose user lets macros run."""
    calc = started(tmp_path_factory.mktemp("macros"), MACROS_RUN)
    yield calc
    calc.quit()


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """An invented site with the functions as macros, and its bytes."""
    filled = min(path for path in DEMO.glob("*.xlsx") if path.name != "summary.xlsx")
    path = tmp_path_factory.mktemp("site") / "site.xlsm"
    path.write_bytes(macro_book(filled.read_bytes()))
    return path


def opened(calc, folder, formulas, cells):
    """A workbook with these formulas down the first column, and what Calc's Basic answers to them."""
    book = openpyxl.Workbook()
    book.active.title = "Calls"
    other = book.create_sheet("Cells")
    for row, text in enumerate(formulas, start=1):
        book.active.cell(row, 1).value = "=" + text
    for cell, value in cells.items():
        other[cell] = value
    out = io.BytesIO()
    book.save(out)
    path = folder / "calls.xlsm"
    path.write_bytes(with_vba(out.getvalue()))
    calc.open(path.as_uri(), True)
    calc.calculate_all()
    return values(calc, [f"Calls!A{row}" for row in range(1, len(formulas) + 1)])


def values(calc, places):
    """What cells show: a number, a text, or the text of an error."""
    shown = []
    for value, text, error, _ in calc.read(places):
        shown.append(TEXTS.get(error, error) if error else text if value == 0 and text not in ("", "0") else value)
    return shown


def no_empty_place(given):
    """Left out at the end; Calc's Basic takes an empty place in the middle for a 0."""
    given = list(given)
    while given and given[-1] is None:
        given.pop()
    return given if None not in given else None


def test_a_call_gives_in_calc_what_it_gives_in_python(calc, tmp_path):
    rng = random.Random(SEED)
    calls = [(f, list(given)) for f in LIVE for given in [*random_calls(f, 30, rng), *odd_calls(f)]]
    calls = [(f, given) for f, given in ((f, no_empty_place(given)) for f, given in calls) if given is not None]
    formulas = [formula(*call) for call in calls]
    found = opened(calc, tmp_path, formulas, CELLS)
    wrong = [
        (text, answer(*call), value)
        for text, call, value in zip(formulas, calls, found)
        if not close(answer(*call), value)
    ]
    assert not wrong, f"{len(wrong)} of {len(calls)}, such as {wrong[:5]}"
    assert {function.name for (function, _), value in zip(calls, found) if isinstance(value, float)} == {
        function.name for function in LIVE
    }


def test_a_question_about_a_plant_gets_the_answer_it_gets_in_python(calc, tmp_path):
    rng = random.Random(SEED + 2)
    asked = list(plant_calls(rng, QUANTITIES))
    cells, formulas, expected = {}, [], []
    for count, (rows, quantity, changed) in enumerate(asked):
        block, area = cells_of(rows, "A", 1 + 60 * count)
        cells |= block
        text = f'HYDRO_PLANT({area},"{quantity}"'
        if changed:
            for column, (name, value) in zip("DEFG", changed.items()):
                cells[f"{column}{1 + 60 * count}"], cells[f"{column}{2 + 60 * count}"] = name, value
            last = "DEFG"[len(changed) - 1]
            text += "".join(f",Cells!D{row + 60 * count}:{last}{row + 60 * count}" for row in (1, 2))
        formulas.append(text + ")")
        expected.append(plant_answer(rows, quantity, changed or None, changed.values()))
    found = opened(calc, tmp_path, formulas, cells)
    wrong = [(text, ours, value) for text, ours, value in zip(formulas, expected, found) if not close(ours, value)]
    assert not wrong, f"{len(wrong)} of {len(asked)}, such as {wrong[:5]}"
    assert sum(isinstance(value, float) for value in found) > len(asked) / 3


@pytest.mark.parametrize("name", OF_LISTS)
def test_what_is_asked_of_a_plant_and_lists_is_answered_as_in_python(calc, tmp_path, name):
    asked = list(OF_LISTS[name](random.Random(SEED + 3), 120))
    cells, formulas = list_formulas(name, asked)
    found = opened(calc, tmp_path, formulas, cells)
    expected = [list_answer(name, *call) for call in asked]
    wrong = [(text, ours, value) for text, ours, value in zip(formulas, expected, found) if not close(ours, value)]
    assert not wrong, f"{len(wrong)} of {len(asked)}, such as {wrong[:5]}"


def test_a_surge_is_in_calc_what_it_is_in_python(calc, tmp_path):
    """Basic takes some seconds for a run. An empty place in the middle is refused, see below."""
    asked = [call for call in surge_calls(random.Random(SEED + 4), 12) if call[2] is not None or not call[3]]
    cells, formulas = surge_formulas(asked)
    found = opened(calc, tmp_path, formulas, cells)
    expected = [pipe_answer(*call) for call in asked]
    wrong = [(text, ours, value) for text, ours, value in zip(formulas, expected, found) if not close(ours, value)]
    assert not wrong, f"{len(wrong)} of {len(asked)}, such as {wrong[:5]}"


def test_one_run_answers_a_range_of_chainages_in_calc(calc, tmp_path):
    cells, area = cells_of(PIPE, "A", 1)
    where = {"D1": 0.0, "D2": 100.0, "D3": None, "D4": -1.0, "D5": 200.0}
    call = f'HYDRO_SURGE_RUN({area},"shut_highest",Cells!D1:D5)'
    found = opened(calc, tmp_path, [f"INDEX({call},{row})" for row in range(1, 6)], cells | where)
    expected = [pipe_answer(PIPE, "shut_highest", chainage) for chainage in where.values()]
    assert all(map(close, expected, found)), found


def test_several_questions_at_once_are_answered_each_for_itself(calc, tmp_path):
    cells, formulas, expected = several_questions()
    found = opened(calc, tmp_path, formulas, cells)
    wrong = [(text, ours, value) for text, ours, value in zip(formulas, expected, found) if not close(ours, value)]
    assert not wrong, f"{len(wrong)} of {len(formulas)}, such as {wrong[:5]}"


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"A1": "gross_head", "B1": 100, "A2": "GROSS HEAD", "B2": 90}, "#VALUE!"),
        ({"A1": "gross_head", "B1": "=NA()"}, "#N/A"),
        ({"A1": "gross_head", "B1": "=1/0"}, "#DIV/0!"),
        ({"A1": "gross_head", "B1": None}, "#VALUE!"),
        ({"A1": "another", "B1": 100}, "#VALUE!"),
    ],
    ids=["twice", "not available", "divided by 0", "empty", "not there"],
)
def test_a_row_of_a_plant_that_cannot_be_read_is_an_error(calc, tmp_path, changed, said):
    """LibreOffice hands an error value inside a range to Basic as 0: no head must not come of it."""
    found = opened(calc, tmp_path, ['HYDRO_PLANT(Cells!A1:B3,"static_pressure")'], changed)
    assert found == [said]


def test_an_empty_place_in_the_middle_is_refused_and_a_typed_0_is_not(calc, tmp_path):
    """Calc's Basic gets a 0 for both; where some formula has an empty place, neither is believed."""
    cold = "HYDRO_FRICTION_HEAD(1.2,400,32.6,0.007,0)"
    (value,) = opened(calc, tmp_path, [cold], {})
    assert value == pytest.approx(32.056649972500125)
    assert opened(calc, tmp_path, [cold, "HYDRO_FRICTION_HEAD(1.2,400,32.6,0.007,,9.8)"], {}) == ["#VALUE!"] * 2


def test_an_error_of_ours_is_an_error_value_of_calc(calc, tmp_path):
    formulas = ["ERROR.TYPE(HYDRO_DENSITY(-1))", "IFERROR(HYDRO_DENSITY(99),7)", "ISNA(HYDRO_DOUBT())"]
    assert opened(calc, tmp_path, formulas, {}) == [6, 7, 1]


def _no_differences(calc, expected):
    """Every formula cell shows what Python stored in it."""
    found = {(sheet, cell): value for sheet, cells in calc.results().items() for cell, value in cells.items()}
    errors = [place for place in expected if found[place] is None or found[place] != found[place]]
    found |= zip(errors, values(calc, [f"{sheet}!{cell}" for sheet, cell in errors]))
    wrong = [
        (place, formula, ours, found[place])
        for place, (formula, ours) in expected.items()
        if not agree(ours, found[place])
    ]
    assert not wrong, f"{len(wrong)} of {len(expected)}, such as {wrong[:5]}"
    assert len(expected) > 13_000


def test_a_workbook_with_macros_follows_an_input_in_calc_without_the_add_in(calc, site):
    """All its formula cells, after a hard recalculation and after another nozzle, against Python's."""
    before = formulas_and_values(site.read_bytes())
    nozzle = next(item for item in INPUTS if item.name == "nozzle")
    place = (nozzle.sheet, nozzle.cell)
    after = formulas_and_values(calculated(splice(site.read_bytes(), {}, {place: 6.5})).data)
    assert any(not agree(before[key][1], after[key][1]) for key in before)
    calc.open(site.as_uri(), True)
    calc.calculate_all()
    _no_differences(calc, before)
    calc.set([(f"{nozzle.sheet}!{nozzle.cell}", 6.5)])
    _no_differences(calc, after)


def test_where_macros_may_not_run_the_stored_numbers_stand(tmp_path_factory, site):
    """And a changed input makes errors of what hangs on it, no old numbers."""
    folder = tmp_path_factory.mktemp("no-macros")
    copy = shutil.copy(site, folder / "copy.xlsm")  # the other Calc may have locked the file
    calc = started(folder, "")
    try:
        calc.open(copy.as_uri())
        _no_differences(calc, formulas_and_values(site.read_bytes()))
        calc.set([("Start!C29", 6.5)])
        ((_, _, error, _),) = calc.read(["plant_watts"])
        assert error
    finally:
        calc.quit()
