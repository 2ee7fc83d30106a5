"""Every function in a real Calc gives what it gives in Python."""

import math
import time

import numpy as np
import pytest

import hydrofunc
from hydrofunc.errors import InputError

pytestmark = pytest.mark.calc

FUNCTIONS = list(hydrofunc.functions().values())
NUM, VALUE, NA = 503, 519, 32767

A_PERSON = 0.5  # seconds between two things that somebody does: formulas are not read again for each call


def internal(function):
    return f"HYDROFUNC.{function.name.upper()}"


def literal(value):
    """A Python value as Calc's own formula text."""
    if value is None:
        return ""
    if isinstance(value, str):
        return '"' + value.replace('"', '""') + '"'
    if isinstance(value, dict):
        return "{" + "|".join(f"{literal(name)};{literal(item)}" for name, item in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        rows = value if isinstance(value[0], tuple) else [value]
        return "{" + "|".join(";".join(map(literal, row)) for row in rows) + "}"
    return repr(float(value))


def moved(argument, value, share):
    """The value of the worked example moved by a share of itself, where the argument's range allows it."""
    if argument.is_text or argument.many:
        return value
    low, high, low_in, high_in = argument.bounds
    new = value * (1 + share)
    fits = (low <= new if low_in else low < new) and (new <= high if high_in else new < high)
    return new if fits else value


def points(function):
    """The worked example, and it with all numbers a little less and a little more, where there is an answer."""
    given = function.example.arguments
    for share in (0.0, -0.03, 0.02):
        point = {a.name: moved(a, given[a.name], share) for a in function.arguments if a.name in given}
        try:
            yield point, function(**point)
        except InputError:
            yield given, function(**given)


def texts(function, point):
    last = max(i for i, a in enumerate(function.arguments) if a.name in point)
    return [literal(point.get(a.name)) for a in function.arguments[: last + 1]]


def agree(got, expected):
    number, shown, error, formula = got
    assert error == 0, f"{formula} shows {shown}"
    assert math.isclose(number, expected, rel_tol=1e-12, abs_tol=1e-300), f"{formula}: {number!r}, Python {expected!r}"


def test_every_function_at_three_points(calc):
    """One call a cell, typed with the internal names; to 1e-12."""
    wanted = [(f, point, value) for f in FUNCTIONS for point, value in points(f)]
    assert len(wanted) == 3 * len(FUNCTIONS)
    got = calc.work_out([f"={internal(f)}({';'.join(texts(f, point))})" for f, point, _ in wanted])
    for cell, (_, _, expected) in zip(got, wanted):
        agree(cell, expected)


def test_every_function_over_a_range(calc):
    """The three points in a column for each argument, one array formula: the same three values."""
    for number, function in enumerate(FUNCTIONS):
        found = list(points(function))
        top = 10 * number + 1
        arguments, cells = [], []
        last = max(i for i, a in enumerate(function.arguments) if a.name in found[0][0])
        for column, argument in enumerate(function.arguments[: last + 1]):
            letter = chr(66 + column) if column < 25 else "A" + chr(65 + column - 25)
            if argument.name not in found[0][0]:
                arguments.append("")
            elif argument.many:
                arguments.append(literal(found[0][0][argument.name]))
            else:
                cells += [(f"{letter}{top + i}", value_of(p[argument.name])) for i, (p, _) in enumerate(found)]
                arguments.append(f"{letter}{top}:{letter}{top + 2}")
        place = f"A{top}:A{top + 2}"
        calc.set([*cells, (place, "{=" + f"{internal(function)}({';'.join(arguments)})" + "}")])
        for got, (_, expected) in zip(calc.read([f"A{top + i}" for i in range(3)]), found):
            agree(got, expected)


def value_of(item):
    return item if isinstance(item, str) else float(item)


def test_the_names_people_type_are_understood(calc):
    """HYDRO_FRICTION_HEAD, in any case; Calc stores its internal name."""
    number, _, _, formula = calc.work_out(["=hydro_friction_head(1;100;40;0.01)"])[0]
    assert number == pytest.approx(hydrofunc.friction_head(1, 100, 40, 0.01), rel=1e-12)
    assert formula == "=HYDROFUNC.FRICTION_HEAD(1;100;40;0.01)"


# -- what is left out, blank or wrong ----------------------------------------------------------------------


def test_optional_arguments_can_be_left_out_or_point_to_an_empty_cell(calc):
    """Cell D1 is empty, also by a name, on another sheet's way of writing, and as a range."""
    expected = hydrofunc.friction_head(1, 100, 40, 0.01)
    tails = ["", ";", ";;", ";D1", ";$D$1", ";$Sheet1.D1", ";D1:D1", ";;D1", ";D1;D1"]
    for cell in calc.work_out([f"=HYDROFUNC.FRICTION_HEAD(1;100;40;0.01{tail})" for tail in tails]):
        agree(cell, expected)


def test_an_optional_word_can_be_left_empty(calc):
    """The connection of the windings is then star."""
    expected = hydrofunc.emf_constant(100, 1000)
    for cell in calc.work_out([f"=HYDROFUNC.EMF_CONSTANT(100;1000{tail})" for tail in ("", ";", ";D1", ";D1:D1")]):
        agree(cell, expected)


def test_zero_degrees_is_not_an_empty_cell(calc):
    """Calc hands over both as 0; without an empty cell in that place it is a true 0."""
    calc.set([("D1", 0.0)])
    expected = hydrofunc.friction_head(1, 100, 40, 0.01, 0)
    assert expected > 1.05 * hydrofunc.friction_head(1, 100, 40, 0.01)
    for cell in calc.work_out(
        ["=HYDROFUNC.FRICTION_HEAD(1;100;40;0.01;0)", "=HYDROFUNC.FRICTION_HEAD(1;100;40;0.01;D1)"]
    ):
        agree(cell, expected)


def test_emptying_a_cell_changes_what_depends_on_it(calc):
    """0 °C, then nothing, then 20 °C, and no cell is typed again."""
    calc.set([("D1", 0.0), ("A1", "=HYDROFUNC.FRICTION_HEAD(1;100;40;0.01;D1)")])
    for content, degrees in ((0.0, 0), (None, 10), (20.0, 20), (None, 10), (0.0, 0)):
        time.sleep(A_PERSON)
        calc.set([("D1", content)])
        agree(calc.read(["A1"])[0], hydrofunc.friction_head(1, 100, 40, 0.01, degrees))


def test_where_zeros_and_empty_cells_cannot_be_told_apart_no_number_shows(calc):
    """#VALUE! for both, and the reason in words; rows with a number are not touched."""
    calc.set([("D1", 0.0), ("D3", 10.0)])
    rows = [f"=HYDROFUNC.FRICTION_HEAD(1;100;40;0.01;D{i})" for i in (1, 2, 3)]
    calc.work_out(rows)
    time.sleep(A_PERSON)
    calc.calculate_all()
    zero, blank, ten = calc.read(["A101", "A102", "A103"])
    assert (zero[2], blank[2]) == (VALUE, VALUE)
    agree(ten, hydrofunc.friction_head(1, 100, 40, 0.01))
    calc.set([("A104", '=HYDROFUNC.EXPLAIN("FRICTION_HEAD";1;100;40;0.01;D2)')])
    assert "0, and other formulas give an empty cell there" in calc.read(["A104"])[0][1]


def test_in_a_large_document_an_emptied_cell_and_a_new_formula_are_seen_at_once(calc):
    """The formulas of one are not all read again at each change: what a person does half a second later counts."""
    calc.column("F1:F12000", [f"=ROW()+{row}" for row in range(12_000)])
    calc.set([("D1", 0.0), ("E1", "=1+1"), ("A1", "=HYDROFUNC.FRICTION_HEAD(1;100;40;0.01;D1)")])
    for content, degrees in ((0.0, 0), (None, 10), (20.0, 20), (None, 10), (0.0, 0)):
        calc.set([("D1", content)])
        agree(calc.read(["A1"])[0], hydrofunc.friction_head(1, 100, 40, 0.01, degrees))
        time.sleep(0.5)
    calc.select("E1")  # where it is typed, in place of another formula
    calc.set([("E1", "=HYDROFUNC.FRICTION_HEAD(1;100;40;0.01;D2)")])
    assert calc.read(["E1"])[0][2] == VALUE, "one of 0 °C and one left empty: they cannot be told apart"
    calc.set([("G1", "=HYDROFUNC.FRICTION_HEAD(2;100;40;0.01;D2)")])  # where none stood: seen wherever the cursor is
    time.sleep(2.5)
    calc.set([("D1", 5.0)])
    calc.calculate_all()
    for cell, flow in zip(calc.read(["E1", "G1"]), (1, 2)):
        agree(cell, hydrofunc.friction_head(flow, 100, 40, 0.01))


def test_an_empty_required_cell_never_gives_a_number(calc):
    """For each required argument of each function: the example with that one pointing to an empty cell."""
    for function in FUNCTIONS:
        for i, argument in enumerate(function.arguments):
            if argument.required:
                calc.open()
                given = texts(function, function.example.arguments)
                given[i] = "D1"
                formula = f"={internal(function)}({';'.join(given)})"
                _, shown, error, _ = calc.work_out([formula])[0]
                assert error == VALUE, f"{formula} shows {shown}"


BAD = {
    "FRICTION_HEAD(-1;100;40;0.01)": NUM,
    "FRICTION_HEAD(1;100;0;0.01)": NUM,
    'FRICTION_HEAD("one";100;40;0.01)': VALUE,
    'FRICTION_HEAD("";100;40;0.01)': VALUE,
    "FRICTION_HEAD(1)": VALUE,
    "FRICTION_HEAD(1;100;40;0.01;;0)": NUM,
    "FRICTION_HEAD(NA();100;40;0.01)": NA,
    "FRICTION_HEAD(1/0;100;40;0.01)": 532,
    'EMF_CONSTANT(100;1000;"zigzag")': VALUE,
    "EMF_CONSTANT(100;1000;7)": VALUE,
    "PIPE_VELOCITY({1;2};{30;40;50})": VALUE,
}


def test_bad_input_shows_the_right_error_value(calc):
    """#NUM! for out of range, #VALUE! for a wrong kind; an error that comes in goes on."""
    got = calc.work_out([f"=HYDROFUNC.{formula}" for formula in BAD])
    assert {formula: cell[2] for formula, cell in zip(BAD, got)} == BAD


def test_errors_inside_an_array_stand_in_their_own_cells(calc):
    """Neighbours keep their values."""
    calc.set(
        [
            ("B1", 1.0),
            ("B2", -1.0),
            ("B3", "one"),
            ("B4", None),
            ("B5", 2.0),
            ("A1:A5", "{=HYDROFUNC.PIPE_VELOCITY(B1:B5;40)}"),
        ]
    )
    cells = calc.read([f"A{i}" for i in range(1, 6)])
    assert [cell[2] for cell in cells] == [0, NUM, VALUE, VALUE, 0]
    agree(cells[0], hydrofunc.pipe_velocity(1, 40))
    agree(cells[4], hydrofunc.pipe_velocity(2, 40))


def test_a_row_against_a_column_gives_a_table(calc):
    """As an array formula of Calc does with its own functions."""
    calc.set(
        [
            ("B1", 20.0),
            ("C1", 30.0),
            ("D1", 40.0),
            ("A2", 1.0),
            ("A3", 2.0),
            ("B2:D3", "{=HYDROFUNC.PIPE_VELOCITY(A2:A3;B1:D1)}"),
        ]
    )
    expected = hydrofunc.pipe_velocity(np.array([[1.0], [2.0]]), np.array([20.0, 30.0, 40.0]))
    for address, value in zip(("B2", "C2", "D2", "B3", "C3", "D3"), expected.ravel()):
        agree(calc.read([address])[0], value)


def test_a_list_of_cells_may_hold_empty_ones(calc):
    """Nozzles at hand, with gaps; across or down."""
    point = hydrofunc.find("best_listed_nozzle").example.arguments
    sizes = [float(size) for size in point["sizes"]]
    calc.set([(f"D{1 + 2 * i}", size) for i, size in enumerate(sizes)])
    function = hydrofunc.find("best_listed_nozzle")
    given = texts(function, point)
    given[[a.many for a in function.arguments].index(True)] = "D1:D30"
    agree(calc.work_out([f"={internal(function)}({';'.join(given)})"])[0], function(**point))


def test_a_program_can_call_without_a_sheet(calc):
    """A zero is then a zero."""
    assert calc.call("HYDRO_FRICTION_HEAD", [1.0, 100.0, 40.0, 0.01, 0.0])[0][0] == pytest.approx(
        hydrofunc.friction_head(1, 100, 40, 0.01, 0), rel=1e-12
    )


# -- a whole plant -----------------------------------------------------------------------------------------


def with_plant(calc, cells=(), **changed):
    """A block of names and values in columns N and O, named `plant`; returns the plant of Python."""
    values = hydrofunc.find("plant").example.arguments["plant"] | changed
    rows = [(f"N{row}", name) for row, name in enumerate(values, start=1)]
    rows += [(f"O{row}", value_of(value)) for row, value in enumerate(values.values(), start=1)]
    calc.set([*rows, *cells])
    return hydrofunc.plant(values), f"$N$1:$O${len(values)}"


def test_a_whole_plant_from_a_block_of_cells(calc):
    """Any quantity; with a value changed, and with several, blank ones as in the plant."""
    at, block = with_plant(
        calc,
        [("Q1", "nozzle"), ("R1", "load"), ("S1", "fittings"), ("Q2", 9.0), ("S2", 0.0), ("R3", "controller")],
        latitude=50,
    )
    both = at.with_(nozzle=9, fittings=0)
    wanted = {
        f'{block};"flow"': at.flow,
        f'{block};"Battery Watts"': at.battery_watts,
        f'{block};"battery_watts";"nozzle";9': at.with_(nozzle=9).battery_watts,
        f'{block};"battery_watts";"nozzle";Q2': at.with_(nozzle=9).battery_watts,
        f'{block};"battery_watts";Q1:S1;Q2:S2': both.battery_watts,
        f'{block};"battery_watts";Q1:S1;Q3:S3': at.with_(load="controller").battery_watts,
        f'{block};"battery_watts";Q1:S1;Q4:S4': at.battery_watts,
        f'{block};"battery_watts";"load";"controller"': at.with_(load="controller").battery_watts,
        f'{block};"wheel_torque";"speed";1000': at.with_(speed=1000).wheel_torque,
        f'{block};"cable_resistance";{{"cable_length";"cable_area"}};{{30;6}}': hydrofunc.cable_resistance(30, 6),
    }
    for cell, expected in zip(calc.work_out([f"=HYDROFUNC.PLANT({text})" for text in wanted]), wanted.values()):
        agree(cell, expected)
    calc.set([("O1", 90.0)])  # gross head: the first row
    agree(calc.read(["A101"])[0], at.with_(gross_head=90).flow)
    agree(calc.read(["A105"])[0], both.with_(gross_head=90).battery_watts)


def test_what_a_whole_plant_refuses(calc):
    """And what it passes over: a row that is not needed may hold anything but an error value."""
    at, block = with_plant(calc, phase_volts="not known", windage="")
    wanted = {
        f'{block};"flow"': 0,
        f'{block};"battery_watts"': VALUE,
        f'{block};"nonsense"': VALUE,
        f'{block};"flow";"nonsense";9': VALUE,
        f'{block};"flow";"nozzle"': VALUE,
        f'{block};"flow";"nozzle";': VALUE,
        f'{block};"flow";;9': VALUE,
        f'{block};"flow";"nozzle";900': NUM,
        'N1:N5;"flow"': VALUE,
        'N1:P20;"flow"': VALUE,
    }
    got = calc.work_out([f"=HYDROFUNC.PLANT({text})" for text in wanted])
    assert {text: cell[2] for text, cell in zip(wanted, got)} == wanted
    agree(got[0], at.flow)
    words = calc.work_out(
        [
            f'=HYDRO_EXPLAIN("PLANT";{block};"battery_watts")',
            f'=HYDRO_EXPLAIN("PLANT";{block};"flow";"nozle";9)',
            f'=HYDRO_EXPLAIN("PLANT";{block};"flow";"nozzle")',
            f'=HYDRO_EXPLAIN("PLANT";{block};"flow";"nozzle";900)',
            f'=HYDRO_EXPLAIN("PLANT";{block};"flow";"nozzle";9)',
        ]
    )
    for (_, shown, _, _), expected in zip(
        words,
        (
            "phase_volts: 'not known' is not allowed",
            "names: 'nozle' is not on the list. Did you mean nozzle?",
            "values: is missing, though there is a name",
            "nozzle: 900.0 mm is not allowed",
            "fine",
        ),
    ):
        assert expected in shown


def test_a_blank_single_cell_as_a_value_changes_nothing(calc):
    """Calc hands it over as 0; beside a cell that holds 0 nobody can tell which is which, and no number shows."""
    at, block = with_plant(calc)
    calc.set([("A1", f'=HYDROFUNC.PLANT({block};"battery_watts";"fittings";D1)')])
    for content, fittings in ((None, None), (0.0, 0.0), (4.0, 4.0), (None, None), (0.0, 0.0)):
        time.sleep(A_PERSON)
        calc.set([("D1", content)])
        expected = at.battery_watts if fittings is None else at.with_(fittings=fittings).battery_watts
        agree(calc.read(["A1"])[0], expected)
    calc.set([("A2", f'=HYDROFUNC.PLANT({block};"battery_watts";"fittings";D2)')])
    time.sleep(A_PERSON)
    calc.calculate_all()
    assert [cell[2] for cell in calc.read(["A1", "A2"])] == [VALUE, VALUE]
    calc.set([("A3", f'=HYDRO_EXPLAIN("PLANT";{block};"battery_watts";"fittings";D2)')])
    assert "0, and other formulas give an empty cell there" in calc.read(["A3"])[0][1]


def test_an_error_value_in_the_block_stops_every_cell_that_uses_it(calc):
    """Calc does so before we are asked, measured: Err:504, also for quantities that do not need the row."""
    _, block = with_plant(calc)
    calc.set([("O16", "=NA()")])
    (cell,) = calc.work_out([f'=HYDROFUNC.PLANT({block};"flow")'])
    assert cell[2] == 504


# -- words -------------------------------------------------------------------------------------------------


def test_explain_says_in_words_what_is_wrong(calc):
    """The same words as in Python; fine where nothing is wrong."""
    got = [
        cell[1]
        for cell in calc.work_out(
            [
                '=HYDRO_EXPLAIN("FRICTION_HEAD";1;100;40;0.01)',
                '=HYDRO_EXPLAIN("HYDRO_FRICTION_HEAD";-1;100;40;0.01)',
                '=HYDRO_EXPLAIN("friction_head";1;100;40)',
                '=HYDRO_EXPLAIN("FRICTION_HED";1)',
                '=HYDRO_EXPLAIN("DENSITY";10;20)',
                "=HYDRO_EXPLAIN()",
            ]
        )
    ]
    assert got[0] == "fine"
    assert got[1] == "; ".join(map(str, hydrofunc.explain("friction_head", -1.0, 100, 40, 0.01)))
    assert got[2] == "roughness: is missing; it must be from 0 to 20 mm"
    assert "did you mean friction_head?" in got[3]
    assert got[4] == "HYDRO_DENSITY takes at most 1 arguments."
    assert "name of a function" in got[5]


def test_version_is_that_of_the_package(calc):
    assert calc.work_out(["=HYDRO_VERSION()"])[0][1] == hydrofunc.__version__


# -- the function wizard -----------------------------------------------------------------------------------


def test_the_wizard_helps_with_every_function(calc):
    """Category, help, and each argument with unit, range and default."""
    shown = {item["Name"]: item for item in calc.functions()}
    assert set(shown) == {f.sheet_name for f in FUNCTIONS} | {"HYDRO_EXPLAIN", "HYDRO_VERSION"}
    for function in FUNCTIONS:
        item = shown[function.sheet_name]
        assert item["Category"] == 11, "Add-In"
        assert function.help in item["Description"]
        assert len(item["Arguments"]) == len(function.arguments)
        for (name, words, optional), argument in zip(item["Arguments"], function.arguments):
            assert name.split(" ")[0] == argument.name
            assert argument.is_text or argument.unit == "-" or f"[{argument.unit}]" in name
            assert argument.meaning in words and argument.allowed in words
            assert argument.required or f"Default: {argument.default_text}" in words
            assert optional, "else Calc shows Err:502 or Err:504 itself"
