"""The worksheet functions as LAMBDA names: what two engines that are not ours make of them, and what Python says.

No published source: the reference is `hydrofunc` itself, which its own tests hold against published values.
"""

import random
import re

import pytest

from hydrofunc import template  # noqa: F401  (fills the registry)
from hydrofunc.catalogue import plant as whole
from hydrofunc.emit.all_names import names
from hydrofunc.emit.lambda_names import LEFT_OUT
from hydrofunc.emit.symbols import CannotTrace
from hydrofunc.emit.text import complaint, shown, stored
from hydrofunc.emit.trace import traced
from hydrofunc.physics.characteristics import QUANTITIES
from hydrofunc.physics.choose import ANSWERS
from hydrofunc.registry import FUNCTIONS
from tests.emit.calls import CELLS, answer, formula, odd_calls, random_calls
from tests.emit.engines import ENGINES, sheet_with
from tests.emit.plants import PIPE, SITE, cells_of, list_answer, pipe_answer, plant_answer, random_pipe, random_plant

LIVE = [f for name, f in FUNCTIONS.items() if name not in LEFT_OUT and f.resolve is None]
WHOLE_PLANTS = ("diagnosis", "doubt")
SEED = 20261127


def close(ours, theirs):
    """The same error, or the same number to 1e-9."""
    if isinstance(ours, float) and isinstance(theirs, (int, float)) and not isinstance(theirs, bool):
        return abs(ours - theirs) <= 1e-9 * abs(ours) + 1e-12
    return ours == theirs


def calls():
    """Every live function: its example, thirty random calls, and odd ones."""
    rng = random.Random(SEED)
    return [
        (function, given) for function in LIVE for given in [*random_calls(function, 30, rng), *odd_calls(function)]
    ]


@pytest.mark.parametrize("engine", ENGINES)
def test_a_call_gives_in_a_spreadsheet_what_it_gives_in_python(engine):
    chosen = calls()
    formulas = [formula(*call) for call in chosen]
    places = [("Calls", f"A{row}") for row in range(1, len(chosen) + 1)]
    found = ENGINES[engine](sheet_with(names().texts, formulas, CELLS), places)
    wrong = [
        (text, answer(*call), found[place])
        for text, call, place in zip(formulas, chosen, places)
        if not close(answer(*call), found[place])
    ]
    assert not wrong, f"{len(wrong)} of {len(chosen)}, such as {wrong[:5]}"
    answered = {function.name for (function, _), place in zip(chosen, places) if isinstance(found[place], float)}
    assert answered == {function.name for function in LIVE}  # each has given a number at least once


def plant_calls(rng, quantities):
    """Questions about random plants, some of their inputs changed: the block, the question, names and values."""
    changes = [
        {},
        {"nozzle": 7.5},
        {"speed": 900.0},
        {"speed": 1100.0, "current": 4.0},
        {"current": 4.0},
        {"battery_volts": 52.0, "nozzle": 9.0},
        {"cable_area": 10.0, "cable_length": 80.0, "cable_material": "copper"},
    ]
    for quantity in quantities:
        for changed in changes:
            yield (SITE if rng.random() < 0.3 else random_plant(rng)), quantity, changed


@pytest.mark.parametrize("engine", ENGINES)
def test_a_question_about_a_plant_gets_the_answer_it_gets_in_python(engine):
    rng = random.Random(SEED + 2)
    asked = list(plant_calls(rng, whole.QUANTITIES))
    if engine == "formulon":
        asked = rng.sample(asked, 100)
    cells, formulas, expected = {}, [], []
    for number, (rows, quantity, changed) in enumerate(asked):
        block, area = cells_of(rows, "A", 1 + 60 * number)
        cells |= block
        text = f'HYDRO_PLANT({area},"{quantity}"'
        if changed:
            for column, (name, value) in zip("DEFG", changed.items()):
                cells[f"{column}{1 + 60 * number}"], cells[f"{column}{2 + 60 * number}"] = name, value
            last = "DEFG"[len(changed) - 1]
            text += "".join(f",Cells!D{row + 60 * number}:{last}{row + 60 * number}" for row in (1, 2))
        formulas.append(text + ")")
        expected.append(plant_answer(rows, quantity, changed or None, changed.values()))
    places = [("Calls", f"A{row}") for row in range(1, len(asked) + 1)]
    found = ENGINES[engine](sheet_with(names().texts, formulas, cells), places)
    wrong = [
        (quantity, changed, ours, found[place])
        for (_, quantity, changed), ours, place in zip(asked, expected, places)
        if not close(ours, found[place])
    ]
    assert not wrong, f"{len(wrong)} of {len(asked)}, such as {wrong[:5]}"
    assert sum(isinstance(found[place], float) for place in places) > len(asked) / 3


CHANGES = [{}, {}, {"gross_head": 40.0}, {"battery_volts": 52.0, "jets": 2.0}, {"speed": 700.0}, {"nozzle": 5.0}]
CHANGES += [
    {"cable_area": 10.0, "cable_length": 80.0},
    {"battery_volts": 900.0},
    {"bore": -1.0},
    {"colour": 1.0},
    {"wave_speed": 900.0},
]


def nozzle_calls(rng, count):
    """Random plants, the sizes at hand, some too wide for the pipe, and what is changed; or sizes that are none."""
    sizes = [
        [7.0],
        [9.0, 6.0, 8.0, 8.0],
        [4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0],
        [60.0, 8.0],
        [60.0, 55.0],
        [0.3, 0.5],
        [8.0, None, 9.0],
    ]
    yield from ((SITE, (one,), {}) for one in ([8.0, "nine"], [8.0, 0.0], [8.0, 600.0], [None, None]))
    for number in range(count):
        yield random_plant(rng) if number % 3 else SITE, (rng.choice(sizes),), rng.choice(CHANGES)


def season_calls(rng, count):
    """Random plants with the flows of some months, what is asked of the year, and what is changed; or odd lists."""
    year, days = [2.4, 2.4, 1.1, 0.9], [30.0, 28.0, 31.0, 30.0]
    yield from (
        (SITE, ("dry", sizes, flows, of_days), {})
        for sizes, flows, of_days in (
            ([6.0, 8.0], year, days[:3]),
            ([6.0, 8.0], [2.4], [30.0]),
            ([6.0], year, days),
            ([60.0, 70.0], year, days),
            ([6.0, "eight"], year, days),
            ([6.0, 8.0], [-1.0, 2.0], [30.0, 30.0]),
            ([6.0, 8.0], [2.0, 2.0], [30.0, 0.0]),
        )
    )
    yield SITE, ("best", [6.0, 8.0], year, days), {}
    for number in range(count):
        months = rng.choice((2, 3, 5, 8))
        flows = [round(rng.uniform(0.0, 2.6), 3) for _ in range(months)]
        sizes = rng.choice(([6.0, 8.0], [9.0, 5.0, 7.0], [60.0, 8.0, 6.5], [7.0, 7.0]))
        lists = rng.choice(ANSWERS), sizes, flows, [rng.choice((28.0, 30.0, 31.0)) for _ in range(months)]
        yield random_plant(rng) if number % 2 else SITE, lists, rng.choice(CHANGES)


def list_formulas(name, asked, top=1):
    """Cells from row `top` down, and calls in the same order."""
    cells, formulas = {}, []
    for number, (rows, lists, changed) in enumerate(asked):
        first = top + 60 * number
        block, area = cells_of(rows, "A", first)
        cells |= block
        given = [area]
        for row, one in enumerate(lists, start=first + 3):
            if isinstance(one, str):
                given.append(f'"{one}"')
                continue
            cells |= {f"{column}{row}": value for column, value in zip("DEFGHIJK", one)}
            given.append(f"Cells!D{row}:{'DEFGHIJK'[len(one) - 1]}{row}")
        for column, (changed_name, value) in zip("DE", changed.items()):
            cells[f"{column}{first}"], cells[f"{column}{first + 1}"] = changed_name, value
        if changed:
            last = "DE"[len(changed) - 1]
            given += [f"Cells!D{first + row}:{last}{first + row}" for row in (0, 1)]
        formulas.append(f"HYDRO_{name.upper()}({','.join(given)})")
    return cells, formulas


OF_LISTS = {"nozzle_at_hand": nozzle_calls, "nozzle_season": season_calls}


@pytest.mark.parametrize("name", OF_LISTS)
@pytest.mark.parametrize("engine", ENGINES)
def test_what_is_asked_of_a_plant_and_lists_is_answered_as_in_python(engine, name):
    asked = list(OF_LISTS[name](random.Random(SEED + 3), 12 if engine == "formulon" else 240))
    cells, formulas = list_formulas(name, asked)
    places = [("Calls", f"A{row}") for row in range(1, len(asked) + 1)]
    found = ENGINES[engine](sheet_with(names().texts, formulas, cells), places)
    expected = [list_answer(name, *call) for call in asked]
    wrong = [
        (call[1:], ours, found[place])
        for call, ours, place in zip(asked, expected, places)
        if not close(ours, found[place])
    ]
    assert not wrong, f"{len(wrong)} of {len(asked)}, such as {wrong[:5]}"
    if engine == "ironcalc":
        assert {"#NUM!", "#VALUE!"} < set(expected) and len({o for o in expected if isinstance(o, float)}) > 4


def surge_calls(rng, count):
    """Pipes, what is asked of their surge and where, and what is changed; then what is refused."""
    changes = [{}, {}, {}, {"nozzle": 7.0, "flow": 1.9}, {"bore": 60.0}, {"valve_time": 1.0}]
    for number in range(count):
        where = rng.choice((None, 0.0, 120.0, 251.3, 60_000.0))
        yield random_pipe(rng), QUANTITIES[number % len(QUANTITIES)], where, rng.choice(changes)
    yield from ((PIPE, "blocked_highest", where, {}) for where in (-1.0, 60_001.0, "a word", True))
    yield from ((PIPE, "shut_lowest", None, {name: 1.0}) for name in ("speed", "colour", "wave_speed"))
    yield PIPE | {"length_2": 40.0, "bore_2": 40.0, "roughness_2": 0.1}, "blocked_lowest", None, {}  # no wave speed
    yield PIPE | {"flow": 30.0}, "blocked_lowest", None, {}  # would lose more than there is
    yield PIPE | {"nozzle": 55.0}, "shut_highest", None, {}  # wider than the pipe
    yield {name: value for name, value in PIPE.items() if name != "valve_time"}, "opened_lowest", None, {}
    yield PIPE, "highest", None, {}


def surge_formulas(asked):
    """Cells, and calls in the same order."""
    cells, formulas = {}, []
    for number, (rows, quantity, where, changed) in enumerate(asked):
        first = 1 + 60 * number
        block, area = cells_of(rows, "A", first)
        cells |= block
        if where is not None:
            cells[f"D{first + 3}"] = where
        given = [area, f'"{quantity}"', "" if where is None else f"Cells!D{first + 3}"]
        for column, (name, value) in zip("DE", changed.items()):
            cells[f"{column}{first}"], cells[f"{column}{first + 1}"] = name, value
        if changed:
            given += [f"Cells!D{first + row}:{'DE'[len(changed) - 1]}{first + row}" for row in (0, 1)]
        elif where is None:
            given.pop()
        formulas.append(f"HYDRO_SURGE_RUN({','.join(given)})")
    return cells, formulas


@pytest.mark.parametrize("engine", ENGINES)
def test_a_surge_is_in_a_spreadsheet_what_it_is_in_python(engine):
    asked = list(surge_calls(random.Random(SEED + 4), 5 if engine == "formulon" else 30))
    cells, formulas = surge_formulas(asked)
    places = [("Calls", f"A{row}") for row in range(1, len(asked) + 1)]
    found = ENGINES[engine](sheet_with(names().texts, formulas, cells), places)
    expected = [pipe_answer(*call) for call in asked]
    wrong = [
        (text, call[0], ours, found[place])
        for text, call, ours, place in zip(formulas, asked, expected, places)
        if not close(ours, found[place])
    ]
    assert not wrong, f"{len(wrong)} of {len(asked)}, such as {wrong[:5]}"
    assert {"#NUM!", "#VALUE!"} < set(expected) and sum(isinstance(one, float) for one in expected) > 4


@pytest.mark.parametrize("engine", ENGINES)
def test_one_run_answers_a_range_of_chainages(engine):
    cells, area = cells_of(PIPE, "A", 1)
    where = {"D1": 0.0, "D2": 100.0, "D3": None, "D4": -1.0, "D5": 200.0}
    call = f'HYDRO_SURGE_RUN({area},"shut_highest",Cells!D1:D5)'
    formulas = [f"INDEX({call},{row})" for row in range(1, 6)]
    places = [("Calls", f"A{row}") for row in range(1, 6)]
    found = ENGINES[engine](sheet_with(names().texts, formulas, cells | where), places)
    for place, chainage in zip(places, where.values()):
        assert close(pipe_answer(PIPE, "shut_highest", chainage), found[place])


ODD = ["dry", "One  Watts", "best", None, "last", 3.0]  # among them words that are none


def several_questions():
    """Cells, calls that ask several questions about a year at once, and what Python says to each of them alone."""
    year, days = [2.4, 2.4, 1.1, 0.9], [30.0, 28.0, 31.0, 30.0]
    asked = [(list(ANSWERS), year, {}), (ODD, year, {"gross_head": 40.0}), (ODD, [-1.0, 2.0], {})]
    asked += [(ODD, year, {"bore": -1.0}), (ODD, year, {"colour": 1.0}), (ODD, year[:3], {})]
    cells, formulas, expected = {}, [], []
    for number, (words, flows, changed) in enumerate(asked):
        lists = ("", [6.0, 8.0], flows, days)
        more, (text,) = list_formulas("nozzle_season", [(SITE, lists, changed)], 1 + 60 * number)
        first = 10 + 60 * number
        cells |= more | {f"{'DE'[i % 2]}{first + i // 2}": word for i, word in enumerate(words)}
        text = text.replace('""', f"Cells!D{first}:E{first + (len(words) - 1) // 2}")
        for i, word in enumerate(words):
            formulas.append(f"INDEX({text},{i // 2 + 1},{i % 2 + 1})")
            expected.append(list_answer("nozzle_season", SITE, (word, *lists[1:]), changed))
    return cells, formulas, expected


@pytest.mark.parametrize("engine", ENGINES)
def test_several_questions_at_once_are_answered_each_for_itself(engine):
    cells, formulas, expected = several_questions()
    places = [("Calls", f"A{row}") for row in range(1, len(formulas) + 1)]
    found = ENGINES[engine](sheet_with(names().texts, formulas, cells), places)
    wrong = [(text, ours, found[place]) for text, ours, place in zip(formulas, expected, places)
             if not close(ours, found[place])]  # fmt: skip
    assert not wrong, f"{len(wrong)} of {len(formulas)}, such as {wrong[:5]}"
    assert sum(isinstance(ours, float) for ours in expected) == len(ANSWERS) + 3


@pytest.mark.parametrize("name", sorted(FUNCTIONS))
def test_a_function_is_live_or_its_reason_stands_in_the_list(name):
    if name in LEFT_OUT:
        if name not in WHOLE_PLANTS:
            with pytest.raises(CannotTrace):
                traced(FUNCTIONS[name])
        assert shown(names().texts[FUNCTIONS[name].sheet_name]).endswith(",#N/A)")
        assert LEFT_OUT[name] in names().comments[FUNCTIONS[name].sheet_name]
    else:
        assert "#N/A" not in names().texts[FUNCTIONS[name].sheet_name]


def test_every_name_keeps_the_limits_of_a_spreadsheet():
    assert {name: wrong for name, text in names().texts.items() if (wrong := complaint(text))} == {}
    assert all(len(comment) <= 255 for comment in names().comments.values())


def test_no_local_name_can_be_taken_for_cells():
    """A name of LET must not conflict with the notation of ranges (Microsoft's help on LET, from memory)."""
    found = {name for text in names().texts.values() for name in re.findall(r"_xl[op][pm]\.(\w+)", text)}
    assert len(found) > 200
    assert not [name for name in found if re.fullmatch(r"(?i)[a-z]{1,3}\d+|r\d*|c\d*|r\d*c\d*", name)]


@pytest.mark.parametrize("text", ["A" * 8192, "(" * 64 + ")" * 64, "SUM((1)"])
def test_what_a_spreadsheet_would_refuse_is_told(text):
    assert complaint(text)


def test_newer_functions_are_marked_but_not_inside_words():
    assert stored('LET(a,"LET(1)",LAMBDA(b,b))') == '_xlfn.LET(a,"LET(1)",_xlfn.LAMBDA(b,b))'


def test_an_optional_parameter_is_marked_in_the_list_and_asked_in_the_outermost_lambda():
    text = names().texts["HYDRO_JET_VELOCITY"]
    assert text.startswith("_xlfn.LAMBDA(_xlpm.net_head,_xlop.velocity_coefficient,_xlop.gravity,")
    assert "_xlfn.ISOMITTED(_xlpm.gravity)" in text


def test_physics_is_numpy_again_after_tracing():
    names()
    assert FUNCTIONS["jet_velocity"](50, 0.97, 9.81) == pytest.approx(0.97 * (2 * 9.81 * 50) ** 0.5)
