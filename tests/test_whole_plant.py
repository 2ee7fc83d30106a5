"""HYDRO_PLANT: a whole plant in one argument gives what the functions of single inputs give, to the last bit."""

import math

import numpy as np
import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.workbook.defined_name import DefinedName

import hydrofunc
from hydrofunc.catalogue import plant as declared
from hydrofunc.catalogue.memory import Memory
from hydrofunc.catalogue.plant import CHANGEABLE, INPUTS, MAY_BE_EMPTY, QUANTITIES
from hydrofunc.engine.compile import compile_book
from hydrofunc.engine.lanes import ExcelError
from hydrofunc.errors import InputError
from hydrofunc.physics.diagnosis import answers
from hydrofunc.physics.ledger import LINES
from hydrofunc.registry import Cells, Function, explain_cells, from_cells
from hydrofunc.workbook.reading import read_book
from tests.engine.fake_functions import evaluate, saved
from tests.physics.test_ledger import SITE_A, plants

NUM, VALUE, NA = (ExcelError(text) for text in ("#NUM!", "#VALUE!", "#N/A"))
OURS = {function.sheet_name: function for function in hydrofunc.functions().values()}
FUNCTION = hydrofunc.functions()["plant"]


def answer(function, **arguments):
    """A result, or the words of the refusal without the function's name."""
    try:
        return function(**arguments)
    except InputError as error:
        return str(error).partition(": ")[2]


def with_names(function, values):
    """The function, called with those values that it takes."""
    return function(**{a.name: values[a.name] for a in function.arguments if values.get(a.name) is not None})


def sheet(plant, first_row=1):
    """Cells of a block in columns A and B."""
    cells = {}
    for row, (name, value) in enumerate(plant.items(), start=first_row):
        cells[f"A{row}"], cells[f"B{row}"] = name, value
    return cells


def asked(plant, *formulas, lanes=1, inputs=None, **more):
    """Results of formulas in column D beside a block of the plant, `plant` standing for the block."""
    block = f"$A$1:$B${len(plant)}"
    cells = sheet(plant) | more
    for row, formula in enumerate(formulas, start=1):
        cells[f"D{row}"] = "=" + formula.replace("plant", block, 1)
    results = evaluate(cells, lanes=lanes, functions=OURS, **(inputs or {}))
    return [results[f"D{row}"] for row in range(1, len(formulas) + 1)]


def ask(*arguments):
    """A formula; texts that are no reference are put in quotation marks by the caller."""
    return f"HYDRO_PLANT({','.join(('plant', *arguments))})"


# -- the same answers ------------------------------------------------------------------------------------


@given(plants())
def test_every_line_of_the_ledger_is_that_of_power_ledger_to_the_bit(plant):
    for line in LINES:
        quantity = line.replace(" ", "_") + "_watts"
        assert answer(hydrofunc.plant, plant=plant, quantity=quantity) == answer(
            hydrofunc.power_ledger, **plant, ledger_line=line
        )
    power, watts = (
        answer(hydrofunc.plant, plant=plant, quantity=name) for name in ("operating_power", "battery_watts")
    )
    assert power == watts


@given(plants())
def test_water_is_that_of_the_functions_of_single_steps_to_the_bit(plant):
    """Where a step takes inputs only; the best nozzle, a flow, and what a gauge reads at rest."""
    at = hydrofunc.plant(plant)
    for name in "operating_flow best_nozzle best_nozzle_flow best_nozzle_power pipe_power_limit jet_diameter".split():
        ours = "flow" if name == "operating_flow" else name
        try:
            expected = with_names(hydrofunc.find(name), plant)
        except InputError:
            with pytest.raises(InputError):
                at.ask(ours)
        else:
            assert at.ask(ours) == expected
    assert at.static_pressure == hydrofunc.static_pressure(plant["gross_head"], plant["temperature"], plant["gravity"])


# Quantity: function of single steps, and which quantity of the plant stands for which of its arguments.
STEPS = {
    "net_head": ("nozzle_head", {}),
    "lost_head": ("penstock_head", {}),
    "minor_head": ("minor_head", {}),
    "pipe_velocity": ("pipe_velocity", {}),
    "reynolds_number": ("reynolds_number", {}),
    "running_pressure": ("running_pressure", {"net_head": "net_head"}),
    "jet_velocity": ("jet_velocity", {"net_head": "net_head"}),
    "jet_power": ("jet_power", {}),
    "jet_force": ("jet_force", {}),
    "speed_ratio": ("speed_ratio", {}),
    "cup_efficiency": ("cup_efficiency", {"speed_ratio": "speed_ratio"}),
    "cup_count": ("cup_count", {"jet_diameter": "jet_diameter"}),
    "jet_ratio": ("jet_ratio", {"jet_diameter": "jet_diameter"}),
    "specific_speed": ("specific_speed", {"net_head": "net_head"}),
    "wheel_torque": ("wheel_torque", {}),
    "wheel_power": ("wheel_power", {}),
    "windage_power": ("windage_power", {}),
    "runaway_speed": ("runaway_speed", {}),
    "runaway_volts": ("open_circuit_volts", {"speed": "runaway_speed"}),
    "operating_speed": ("operating_speed", {}),
    "operating_current": ("operating_current", {}),
    "operating_volts": ("operating_volts", {}),
    "load_volts": ("operating_volts", {}),
    "operating_power": ("operating_power", {}),
    "charging_current": ("charging_current", {}),
    "cut_in_speed": ("cut_in_speed", {}),
    "electrical_frequency": ("electrical_frequency", {}),
    "open_circuit_volts": ("open_circuit_volts", {}),
    "rectified_volts": ("rectified_volts", {}),
    "alternator_torque": ("alternator_torque", {}),
    "overlap_angle": ("overlap_angle", {}),
    "copper_loss": ("copper_loss", {}),
    "diode_loss": ("diode_loss", {}),
    "cable_loss": ("cable_loss", {}),
    "cable_drop": ("cable_drop", {}),
}
ALWAYS = {"flow": "flow", "jet_velocity": "jet_velocity", "speed": "operating_speed", "current": "operating_current"}
SINGLE = {**SITE_A, "windage": 2.0, "iron_drag": 0.05, "alignment": 0.9, "cup_friction": 0.88, "contraction": 0.98}


@pytest.mark.parametrize("quantity", STEPS)
def test_a_quantity_is_what_its_own_function_gives(quantity):
    """Units go to and fro between the steps here, so to rounding."""
    name, stands_for = STEPS[quantity]
    at, function = hydrofunc.plant(SINGLE), hydrofunc.find(name)
    values = SINGLE | {
        argument: at.ask(other) for argument, other in (ALWAYS | stands_for).items() if argument not in SINGLE
    }
    assert at.ask(quantity) == pytest.approx(with_names(function, values), rel=1e-11)


def test_no_quantity_is_left_untested():
    """Those not compared with a function of their own are compared here, by the trade's own relations."""
    at = hydrofunc.plant(SINGLE)
    assert at.friction_head + at.minor_head == pytest.approx(at.lost_head, rel=1e-12)
    assert at.stall_torque == pytest.approx(at.with_(speed=0).wheel_torque, rel=1e-15)
    assert at.speed == at.operating_speed and at.current == at.operating_current
    assert at.electrical_torque == pytest.approx(at.alternator_torque + 0.05, rel=1e-12)
    assert at.electrical_torque == pytest.approx(at.wheel_torque, rel=1e-9)  # where the plant settles
    assert at.cable_resistance == SINGLE["cable_resistance"]
    assert at.plant_efficiency == pytest.approx(100 * at.battery_watts / at.gross_watts, rel=1e-12)
    compared = {"friction_head", "stall_torque", "speed", "current", "electrical_torque", "cable_resistance"}
    compared |= {"plant_efficiency", "flow", "best_nozzle", "best_nozzle_flow", "best_nozzle_power"}
    compared |= {"pipe_power_limit", "static_pressure", "jet_diameter"}
    compared |= {line.replace(" ", "_") + "_watts" for line in LINES}
    winding = {name: SINGLE[name] for name in ("pole_pairs", "phase_resistance", "phase_inductance") if name in SINGLE}
    shorted = {"speed": at.speed, "phase_volts": SINGLE["phase_volts"], **winding}
    shorted |= {"connection": SINGLE["connection"]} if "connection" in SINGLE else {}
    assert at.shorted_current == pytest.approx(hydrofunc.shorted_current(**shorted), rel=1e-12)
    assert at.shorted_torque == pytest.approx(hydrofunc.shorted_torque(**shorted), rel=1e-12)
    assert at.shorted_heat == pytest.approx(at.shorted_torque * at.speed * np.pi / 30, rel=1e-9)  # all of it is heat
    assert at.with_(speed=at.shorted_peak_speed).shorted_torque >= at.shorted_torque
    on = at.with_(speed=at.shorted_speed)
    assert on.wheel_torque == pytest.approx(on.shorted_torque + SINGLE.get("iron_drag", 0.0), rel=1e-6)
    compared |= {"shorted_current", "shorted_torque", "shorted_heat", "shorted_peak_speed", "shorted_speed"}
    assert compared | set(STEPS) == set(QUANTITIES)


def test_a_quantity_has_the_unit_of_its_own_function():
    for quantity, (name, _) in STEPS.items():
        assert QUANTITIES[quantity][0] == hydrofunc.find(name).unit, quantity
    for name in ("best_nozzle", "best_nozzle_flow", "best_nozzle_power", "pipe_power_limit", "static_pressure"):
        assert QUANTITIES[name][0] == hydrofunc.find(name).unit
    assert {QUANTITIES[line.replace(" ", "_") + "_watts"][0] for line in LINES} == {"W"}


def test_the_inputs_are_those_of_the_functions_of_single_inputs():
    """The same declaration, so the same unit, range and default; and no input of the ledger is missing."""
    by_name = {argument.name: argument for argument in INPUTS}
    for argument in hydrofunc.power_ledger.arguments:
        assert argument.name == "ledger_line" or by_name[argument.name] is argument
    assert {*by_name, "speed", "current"} == set(CHANGEABLE)


# -- changed values ----------------------------------------------------------------------------------------


def changed(name, value, chance):
    """Another allowed value near the one there is."""
    if name == "connection":
        return "delta" if value == "star" else "star"
    if name == "load":
        return "controller"
    if name in ("jets", "pole_pairs"):
        return value + 1
    low, high, _, _ = {a.name: a for a in INPUTS}[name].bounds
    return min(high, max(low, (value or 0.01) * (0.9 + 0.15 * chance)))


@given(plants(), st.data())
def test_a_changed_value_is_as_if_it_stood_in_the_block(plant, data):
    names = data.draw(st.lists(st.sampled_from([n for n in plant if plant[n] is not None]), unique=True, max_size=4))
    pairs = {name: changed(name, plant[name], data.draw(st.floats(0, 1))) for name in names}
    for quantity in ("battery_watts", "flow", "runaway_volts"):
        inside = answer(hydrofunc.plant, plant=plant | pairs, quantity=quantity)
        beside = answer(hydrofunc.plant, plant=plant, quantity=quantity, names=list(pairs), values=list(pairs.values()))
        assert inside == beside


def test_names_and_values_in_a_sheet():
    """One pair, a range of pairs in a row or a column, blank ones as in the block, and lists typed in."""
    more = {"F1": "nozzle", "G1": "bore", "H1": "load", "I1": "windage", "F2": 9, "G2": None, "H2": "controller"}
    more |= {"F3": '=""', "G3": 39.0, "I3": 0.0, "J1": "nozzle", "J2": "bore", "K1": 9, "K2": 39.0, "F4": None}
    results = asked(
        SITE_A,
        ask('"battery_watts"'),
        ask('"battery_watts"', '"nozzle"', "9"),
        ask('"battery_watts"', '"Nozzle"', "F2"),
        ask('"battery_watts"', "$F$1:$I$1", "F2:I2"),
        ask('"battery_watts"', "$F$1:$I$1", "F3:I3"),
        ask('"battery_watts"', "J1:J2", "K1:K2"),
        ask('"battery_watts"', "F1:G1", "K1:K2"),
        ask('"Battery Watts"', '{"nozzle","bore"}', "{9,39}"),
        ask('"battery_watts"', "F1", "F4"),
        ask('"battery_watts"', "F4", "F4"),
        **more,
    )
    at = hydrofunc.plant(SITE_A)
    assert results == [
        at.battery_watts,
        at.with_(nozzle=9).battery_watts,
        at.with_(nozzle=9).battery_watts,
        at.with_(nozzle=9, load="controller").battery_watts,
        at.with_(bore=39, windage=0).battery_watts,
        *[at.with_(nozzle=9, bore=39).battery_watts] * 3,
        at.battery_watts,
        at.battery_watts,
    ]


def explained(plant, *arguments):
    """HYDRO_EXPLAIN of a call, in the words a host shows: the plant as cells, then the others."""
    block = Cells([item for pair in plant.items() for item in pair])
    return explain_cells(FUNCTION, [block, *arguments])


@pytest.mark.parametrize(
    ("arguments", "error", "words"),
    [
        (['"battery_wats"'], VALUE, "quantity: 'battery_wats' is not on the list. Did you mean battery_watts?"),
        (["42"], VALUE, "quantity: 42.0 is not on the list"),
        (['"flow"', '"nozle"', "9"], VALUE, "names: 'nozle' is not on the list. Did you mean nozzle?"),
        (['"flow"', '"latitude"', "9"], VALUE, "names: 'latitude' is not on the list"),
        (['"flow"', '"nozzle"'], VALUE, "values: is missing, though there is a name"),
        (['"flow"', "", "9"], VALUE, "values: must be as many as the names"),
        (['"flow"', '{"nozzle","bore"}', "9"], VALUE, "values: must be as many as the names: 1 for 2 names"),
        (['"flow"', '{"nozzle","nozzle"}', "{9,8}"], VALUE, "names: nozzle is there twice"),
        (['"flow"', '{"nozzle",""}', "{9,8}"], VALUE, "names: a value has no name"),
        (['"flow"', '"nozzle"', "900"], NUM, "nozzle: 900.0 mm is not allowed; it must be above 0 to 500 mm"),
        (['"flow"', '"nozzle"', "45"], NUM, "nozzle: must not be larger than the bore it is fed from"),
        (['"flow"', '"nozzle"', '"nine"'], VALUE, "nozzle: 'nine' is not allowed; it must be above 0 to 500 mm"),
        (['"flow"', '"nozzle"', "TRUE"], VALUE, "nozzle: True is not allowed"),
        (['"flow"', '"nozzle"', "NA()"], NA, "nozzle: the cell it is taken from shows #N/A"),
        (['"battery_watts"', '"load"', '"lamp"'], VALUE, "load: 'lamp' is not allowed; it must be one of battery"),
        (["NA()"], NA, ""),
    ],
)
def test_what_is_refused_and_why(arguments, error, words):
    """The error in the cell, and the reason in HYDRO_EXPLAIN."""
    assert asked(SITE_A, ask(*arguments)) == [error]
    plain = {"NA()": Cells("", 7), "TRUE": Cells(True), "": Cells()}
    cells = []
    for place, text in enumerate(arguments):
        if text in plain:
            cell = plain[text]
        elif text.startswith("{"):
            cell = Cells([float(i) if i.isdigit() else i.strip('"') for i in text.strip("{}").split(",")])
        else:
            cell = Cells(float(text) if text.isdigit() else text.strip('"'))
        if place and not isinstance(cell.values, list) and cell.values is not None:
            cell = Cells([cell.values], None if cell.errors is None else [cell.errors])
        cells.append(cell)
    assert words in explained(SITE_A, *cells)


def test_the_state_of_the_plant_may_be_changed_only_by_a_pair():
    """Torque and current at a speed, whatever row called speed a block may hold."""
    at = hydrofunc.plant(SINGLE | {"speed": 10.0, "current": 99.0})
    assert at.speed == pytest.approx(hydrofunc.plant(SINGLE).operating_speed, rel=1e-15) and at.speed > 2000
    speeds = np.linspace(0, at.runaway_speed, 9)
    line = at.with_(speed=speeds)
    names = {name: SINGLE[name] for name in ("pitch_diameter", "cup_friction", "alignment", "bearing_drag", "windage")}
    np.testing.assert_allclose(
        line.wheel_torque,
        hydrofunc.wheel_torque(speeds, at.flow, at.jet_velocity, temperature=SINGLE["temperature"], **names),
        rtol=1e-9,
        atol=1e-12,
    )
    current = with_names(hydrofunc.charging_current, SINGLE | {"speed": speeds})
    np.testing.assert_allclose(line.current, current, rtol=1e-12)
    torque = with_names(hydrofunc.alternator_torque, SINGLE | {"current": current})
    np.testing.assert_allclose(line.alternator_torque, torque, rtol=1e-12)
    assert line.battery_watts == at.battery_watts  # the ledger is that of the settled plant
    assert at.with_(current=5).alternator_torque == pytest.approx(
        with_names(hydrofunc.alternator_torque, SINGLE | {"current": 5}), rel=1e-15
    )


def test_a_speed_needs_nothing_of_the_alternator():
    """The wheel's torque at a speed, before there is any alternator; at no speed it must settle first."""
    wheel = {n: SITE_A[n] for n in ("gross_head", "length", "bore", "roughness", "nozzle", "pitch_diameter")}
    assert hydrofunc.plant(wheel, speed=1000).wheel_torque > 0
    with pytest.raises(InputError, match="phase_volts: is missing") as caught:
        _ = hydrofunc.plant(wheel).wheel_torque
    assert caught.value.argument == "phase_volts"


def test_current_at_a_speed_of_the_other_loads():
    """A resistor is ohms of cable before 0 V; a controller has no current of its own at a speed."""
    resistor = SINGLE | {"load": "resistor", "load_resistance": 4.0}
    at = hydrofunc.plant(resistor)
    expected = with_names(
        hydrofunc.charging_current,
        SINGLE | {"speed": 1500, "battery_volts": 0.0, "cable_resistance": SINGLE["cable_resistance"] + 4.0},
    )
    assert at.with_(speed=1500).current == pytest.approx(expected, rel=1e-12)
    assert at.with_(speed=at.operating_speed).current == pytest.approx(at.operating_current, rel=1e-9)
    with pytest.raises(InputError, match="has no answer"):
        _ = at.with_(load="controller", speed=1500).current
    assert at.with_(load="controller").cut_in_speed == 0


# -- the block ------------------------------------------------------------------------------------------------


def test_rows_it_does_not_know_are_passed_over():
    """The block may hold more, in any order; capitals and rows without a name do not matter."""
    more = {"latitude": NA, "owner": "nobody", "": 7.0, **dict(reversed(SITE_A.items()))}
    more["Gross_Head"] = more.pop("gross_head")
    block = Cells([item for pair in more.items() for item in pair], [0, 7, *[0] * (2 * len(more) - 2)])
    values, codes = from_cells(FUNCTION, [block, Cells("battery_watts")])
    assert codes is None and values == hydrofunc.power_ledger(**SITE_A)


@pytest.mark.parametrize("spoilt", [None, '=""', "=NA()", "twelve", -3.0, True])
def test_a_row_that_is_not_needed_spoils_nothing(spoilt):
    """An alternator that is not known yet, in whatever way; the water is."""
    plant = SITE_A | dict.fromkeys(("phase_volts", "phase_resistance", "windage", "battery_volts"), spoilt)
    flow, watts, stall = asked(plant, ask('"flow"'), ask('"battery_watts"'), ask('"jet_power"'))
    assert flow == hydrofunc.plant(SITE_A).flow and stall > 0
    assert watts == (NA if spoilt == "=NA()" else NUM if spoilt == -3.0 else VALUE)


@pytest.mark.parametrize("argument", INPUTS, ids=lambda a: a.name)
@pytest.mark.parametrize("empty", [None, '=""'])
def test_a_needed_row_that_is_empty_is_named(argument, empty):
    """It may be one that could not be worked up, so a default would be a guess; unless empty means none."""
    quantity = "cable_resistance" if argument.name.startswith("cable_") else "battery_watts"
    plant = SITE_A | ({"cable_area": 6.0, "cable_length": 30.0} if argument.name.startswith("cable_") else {})
    if argument.name in ("cable_length", "cable_area", "cable_material", "cable_temperature"):
        del plant["cable_resistance"]
    whole = hydrofunc.plant(plant).ask(quantity)
    (got,) = asked(plant | {argument.name: empty}, ask(f'"{quantity}"'))
    words = explained(plant | {argument.name: None}, Cells(quantity))
    if argument.name == "battery_volts":  # its rule asks for it
        assert got == NUM and words.startswith("battery_volts: must be given, above 0")
    elif argument.name in MAY_BE_EMPTY:
        assert got == whole and words == "fine"
    elif argument.name in ("cable_length", "cable_resistance"):  # each may come from the other, below
        assert got in (0.0, hydrofunc.cable_resistance(30, 6))
    else:
        assert got == VALUE and words.startswith(f"{argument.name}: is missing; it must be ")


def test_a_row_left_out_has_the_default_of_its_argument():
    required = {a.name for a in INPUTS if a.required} - {"cable_length", "cable_area"}
    plant = {name: SITE_A[name] for name in required} | {"battery_volts": 54}
    assert hydrofunc.plant(plant).battery_watts == hydrofunc.power_ledger(**plant)
    for name in required:
        rest = {key: value for key, value in plant.items() if key != name}
        assert asked(rest, ask('"battery_watts"')) == [VALUE]
        assert explained(rest, Cells("battery_watts")).startswith(f"{name}: is missing; it must be ")


@pytest.mark.parametrize("block", ["A1:A16", "A1:C16", "B3"])
def test_a_plant_is_two_columns(block):
    cells = sheet(SITE_A) | {"D1": f'=HYDRO_PLANT({block},"flow")'}
    assert evaluate(cells, functions=OURS)["D1"] == VALUE
    assert "two columns" in explain_cells(FUNCTION, [Cells(["bore"]), Cells("flow")])


def test_a_name_in_two_rows_is_refused():
    """Which of them counts?"""
    cells = sheet(SITE_A) | {"A17": "nozzle", "B17": 9.0, "D1": '=HYDRO_PLANT(A1:B17,"flow")'}
    assert evaluate(cells, functions=OURS)["D1"] == VALUE
    with pytest.raises(InputError, match="the name nozzle stands in two rows"):
        hydrofunc.plant(SITE_A | {"Nozzle ": 8.0}, "flow")


CABLE = {"cable_length": 30.0, "cable_area": 6.0, "cable_material": "aluminium", "cable_temperature": 40.0}
WORKED_UP = hydrofunc.cable_resistance(30, 6, "aluminium", 40)


@pytest.mark.parametrize(
    ("block", "pairs", "ohms"),
    [
        (SITE_A, {}, 0.1),
        (SITE_A | CABLE, {}, 0.1),  # the row counts
        ({k: v for k, v in SITE_A.items() if k != "cable_resistance"}, {}, 0.0),  # the argument's default
        (SITE_A | CABLE | {"cable_resistance": None}, {}, WORKED_UP),
        (SITE_A | CABLE, {"cable_area": 16.0}, hydrofunc.cable_resistance(30, 16, "aluminium", 40)),
        (SITE_A | CABLE, {"cable_material": "copper"}, hydrofunc.cable_resistance(30, 6, "copper", 40)),
        (SITE_A | CABLE, {"cable_temperature": 60.0}, hydrofunc.cable_resistance(30, 6, "aluminium", 60)),
        (SITE_A, {"cable_length": 20.0, "cable_area": 4.0}, hydrofunc.cable_resistance(20, 4)),
        (SITE_A | CABLE, {"cable_area": 16.0, "cable_resistance": 0.3}, 0.3),  # said outright
        (SITE_A | CABLE, {"cable_area": None}, 0.1),  # blank changes nothing
    ],
)
def test_the_cable_is_worked_up_where_its_ingredients_are_changed(block, pairs, ohms):
    assert hydrofunc.plant(block, **pairs).cable_resistance == ohms
    assert hydrofunc.plant(block, **pairs).battery_watts == hydrofunc.power_ledger(
        **SITE_A | {"cable_resistance": ohms}
    )
    names = "{" + ",".join(f'"{name}"' for name in pairs) + "}" if pairs else ""
    values = "{" + ",".join(f'"{v}"' if isinstance(v, str) else f"{v}" for v in pairs.values()) + "}"
    if pairs and None not in pairs.values():
        assert asked(block, ask('"cable_resistance"', names, values)) == [ohms]


def test_a_changed_ingredient_alone_names_what_is_missing():
    """Better no answer than the cable of before."""
    with pytest.raises(InputError, match="cable_length: is missing"):
        _ = hydrofunc.plant(SITE_A, cable_area=16.0).battery_watts


# -- the diagnosis ---------------------------------------------------------------------------------------------

DIAGNOSIS = hydrofunc.functions()["diagnosis"]
READ = {name: DIAGNOSIS.example.arguments[name] for name in ("readings", "uncertainties")}
TESTED = DIAGNOSIS.example.arguments["plant"] | {"gauge_height": 1.5, "cable_length": 30.0, "cable_area": 6.0}


def test_the_diagnosis_of_a_block_is_that_of_single_arguments_to_the_bit():
    """Each of its answers, each of its own arguments; and with values changed."""
    single = {name: value for name, value in TESTED.items() if name not in ("cable_length", "cable_area")}
    pairs, differ = {"roughness": 0.4, "nozzle": 9.5}, set()
    for name in answers.ANSWERS:
        function = hydrofunc.find(name)
        for which in function.arguments[0].choices or (1, 2, 3, 12):
            expected, other = function(which, **READ, **single), function(which, **READ, **single | pairs)
            assert hydrofunc.diagnosis(TESTED, name, which, **READ) == expected
            assert hydrofunc.diagnosis(TESTED, name, which, **READ, names=list(pairs), values=[0.4, 9.5]) == other
            if expected != other:
                differ.add(name)
    assert differ >= {"fault_probability", "diagnosis_estimate", "reading_misfit", "expected_reading"}


def test_the_diagnosis_may_be_asked_for_a_gauge_elsewhere():
    """Whatever is of the plant may be changed by its name: the height of the gauge, the first input and the last."""
    asked_for = ("expected_reading", 2)
    for name, value in (("gauge_height", 8.0), ("gross_head", 90.0), ("controller_efficiency", 0.8)):
        changed = hydrofunc.diagnosis(TESTED, *asked_for, **READ, names=name, values=value)
        assert changed == hydrofunc.diagnosis(TESTED | {name: value}, *asked_for, **READ)
    assert hydrofunc.diagnosis(TESTED, *asked_for, **READ, names="gauge_height", values=8.0) < hydrofunc.diagnosis(
        TESTED, *asked_for, **READ
    )


def test_the_diagnosis_works_up_the_cable_of_which_an_ingredient_is_changed():
    ohms = hydrofunc.cable_resistance(30, 1.5)
    asked_for = ("expected_reading", 4)
    assert hydrofunc.diagnosis(TESTED, *asked_for, **READ, names="cable_area", values=1.5) == hydrofunc.diagnosis(
        TESTED | {"cable_resistance": ohms}, *asked_for, **READ
    )
    with pytest.raises(InputError, match="cable_resistance"):
        hydrofunc.diagnosis(TESTED | {"cable_length": None}, *asked_for, **READ, names="cable_area", values=1.5)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"quantity": "flow"}, "quantity: 'flow' is not on the list"),
        ({"which": 19}, "fault: 19 is not allowed; it must be from 0 to 18"),
        ({"which": "roughness"}, "fault: 'roughness' is not allowed"),
        ({"names": "speed", "values": 100}, "names: 'speed' is not on the list"),
        ({"readings": [1.0]}, "readings: must have 17 numbers"),
        ({"plant": TESTED | {"bore": None}}, "bore: is missing"),
        ({"plant": TESTED | {"windage": None}}, "windage: is missing"),
        ({"plant": TESTED | {"nozzle": 45.0}}, "nozzle: must not be larger than the bore"),
    ],
)
def test_what_the_diagnosis_refuses(changes, words):
    call = {"plant": TESTED, "quantity": "fault_probability", "which": 1, **READ} | changes
    with pytest.raises(InputError) as caught:
        hydrofunc.diagnosis(**call)
    assert words in str(caught.value)


def test_the_diagnosis_in_a_sheet_and_in_lanes():
    """A plant of 3 lanes, each with readings of its own, and a question of its own."""
    cells = {f"F{row}": float(reading) for row, reading in enumerate(READ["readings"], start=1)}
    cells |= {f"G{row}": float(doubt) for row, doubt in enumerate(READ["uncertainties"], start=1)}
    rows = list(TESTED)
    inputs = {
        f"B{rows.index('gross_head') + 1}": [95.0, 100.0, 105.0],
        "F3": [2.1, 2.2, 2.3],
        "H1": [1.0, 2.0, "x"],
    }
    formulas = (
        'HYDRO_DIAGNOSIS(plant,"fault_probability",1,F1:F16,G1:G16)',
        'HYDRO_DIAGNOSIS(plant,"fault_probability",H1,F1:F16,G1:G16,"nozzle",9.8)',
        'HYDRO_DIAGNOSIS(plant,"diagnosis_estimate","nozzle",F1:F16,G1:G16)',
    )
    together = asked(TESTED, *formulas, lanes=3, inputs=inputs, H1=1.0, **cells)
    for lane in range(3):
        readings = [*READ["readings"][:2], inputs["F3"][lane], *READ["readings"][3:]]
        plant = TESTED | {"gross_head": inputs["B1"][lane]}
        given = {"readings": readings, "uncertainties": READ["uncertainties"]}
        assert rows[0] == "gross_head"
        assert together[0][lane] == pytest.approx(hydrofunc.diagnosis(plant, "fault_probability", 1, **given), rel=1e-9)
        assert together[2][lane] == pytest.approx(
            hydrofunc.diagnosis(plant, "diagnosis_estimate", "nozzle", **given), rel=1e-9
        )
        if lane == 2:
            assert together[1][lane] == VALUE
        else:
            assert together[1][lane] == pytest.approx(
                hydrofunc.diagnosis(
                    plant, "fault_probability", inputs["H1"][lane], **given, names="nozzle", values=9.8
                ),
                rel=1e-9,
            )


# -- many at once ------------------------------------------------------------------------------------------------


def test_lanes_through_the_block_and_through_the_pairs():
    """Numbers, words, blanks and errors that differ from lane to lane; each lane as it is alone."""
    lanes = 40
    random = np.random.default_rng(3)
    plant = SITE_A | {"connection": "star", "load": "battery", "load_resistance": 5.0, "windage": 1.0}
    rows = {name: row for row, name in enumerate(plant, start=1)}
    inputs = {
        f"B{rows['gross_head']}": list(random.uniform(40, 120, lanes)),
        f"B{rows['roughness']}": [None if i % 9 == 4 else 0.1 for i in range(lanes)],
        f"B{rows['connection']}": [str(word) for word in random.choice(["star", "delta", "wye"], lanes)],
        f"B{rows['load']}": [str(word) for word in random.choice(["battery", "resistor", "controller"], lanes)],
        f"B{rows['windage']}": [NA if i % 7 == 3 else float(i % 3) for i in range(lanes)],
        "F1": [str(word) for word in random.choice(["battery_watts", "flow", "overlap_angle", "nonsense"], lanes)],
        "F2": [str(word) for word in random.choice(["nozzle", "bore", "speed", "nonsense"], lanes)],
        "F3": [(None, 9.0, "x", 600.0, "")[i % 5] for i in range(lanes)],
    }
    formulas = (ask('"battery_watts"'), ask('"battery_watts"', '"nozzle"', "F3"), ask("F1", "F2", "F3"))
    together = asked(plant, *formulas, lanes=lanes, inputs=inputs, F1="flow", F2="bore", F3=1.0)
    for lane in range(lanes):
        one = {cell: values[lane] for cell, values in inputs.items()}
        alone = asked(plant, *formulas, inputs=one, F1="flow", F2="bore", F3=1.0)
        for a, b in zip(alone, [column[lane] for column in together]):
            assert type(a) is type(b) and (a == b or abs(a - b) <= 1e-12 * abs(a)), (lane, one)


def test_lanes_of_numbers_equal_power_ledger_to_the_bit():
    lanes = 2000
    random = np.random.default_rng(4)
    heads, nozzles = random.uniform(20, 150, lanes), random.uniform(4, 12, lanes)
    (watts,) = asked(
        SITE_A, ask('"battery_watts"', '"nozzle"', "F1"), lanes=lanes, inputs={"B1": heads, "F1": nozzles}, F1=9.0
    )
    assert next(iter(SITE_A)) == "gross_head"
    assert watts == hydrofunc.power_ledger(**SITE_A | {"gross_head": heads, "nozzle": nozzles}).tolist()


def test_arrays_in_python():
    """Of values, broadcast together; a bad element is NaN, as in every other function."""
    at = hydrofunc.plant(SITE_A | {"gross_head": np.array([[80.0], [100.0]])}, nozzle=[8.0, 10.0, 900.0])
    assert at.flow.shape == (2, 3) and np.isnan(at.flow[:, 2]).all() and np.isfinite(at.flow[:, :2]).all()
    assert at.battery_watts[1, 1] == hydrofunc.power_ledger(**SITE_A)
    assert (
        at.with_(connection=["star", "delta", "star"]).battery_watts[1, :2] != at.battery_watts[1, :2]
    ).tolist() == [
        False,
        True,
    ]


def test_one_name_may_have_an_array_of_values():
    watts = hydrofunc.plant(SITE_A, "battery_watts", "nozzle", np.array([8.0, 9.0]))
    assert watts.tolist() == [hydrofunc.plant(SITE_A, nozzle=size).battery_watts for size in (8.0, 9.0)]
    assert hydrofunc.plant(SITE_A, "battery_watts", ["nozzle"], [[8, 9]]).tolist() == watts.tolist()
    for names, values in ((["nozzle"], 8), ("nozzle", None), (None, [8])):
        with pytest.raises(InputError, match="values"):
            hydrofunc.plant(SITE_A, "battery_watts", names, values)


def test_the_function_is_explained_with_all_that_may_be_asked_and_changed():
    text = hydrofunc.plant.describe()
    for name, (unit, meaning) in QUANTITIES.items():
        assert f"  {name} [{unit}]: {meaning}" in text
    for argument in INPUTS:
        assert f"  {argument.name}" in text and argument.meaning in text and argument.allowed in text


def test_a_block_on_another_sheet_by_its_name():
    """As the template has it; and whole columns, cut to the rows in use."""
    book = openpyxl.Workbook()
    book.active.title = "Workings"
    for row in (("name", "value"), *SITE_A.items()):
        book.active.append(row)
    book.defined_names["plant"] = DefinedName("plant", attr_text=f"Workings!$A$2:$B${len(SITE_A) + 1}")
    sheet = book.create_sheet("S")
    sheet["A1"], sheet["A2"] = '=HYDRO_PLANT(plant,"battery_watts")', '=HYDRO_PLANT(Workings!A:B,"battery_watts")'
    plan = compile_book(read_book(saved(book)), OURS, outputs=[("S", "A1"), ("S", "A2")])
    result = plan.run()
    assert result.value(("S", "A1")) == result.value(("S", "A2")) == hydrofunc.plant(SITE_A).battery_watts


def test_a_mistake_in_python_is_named():
    with pytest.raises(InputError, match="nozle is no input that may be changed") as caught:
        hydrofunc.plant(SITE_A, nozle=7)
    assert caught.value.argument == "nozle"
    with pytest.raises(InputError, match="nozzle: -1 mm is not allowed") as caught:
        _ = hydrofunc.plant(SITE_A).with_(nozzle=-1).flow
    assert (caught.value.argument, caught.value.unit, caught.value.function) == ("nozzle", "mm", "plant")
    with pytest.raises(AttributeError, match="did you mean battery_watts"):
        _ = hydrofunc.plant(SITE_A).batery_watts
    with pytest.raises(InputError, match="'nonsense' is not on the list"):
        hydrofunc.plant(SITE_A, "nonsense")
    with pytest.raises(InputError, match="must be a mapping"):
        hydrofunc.plant(7)
    assert "battery_watts" in dir(hydrofunc.plant(SITE_A))
    assert hydrofunc.explain("plant", SITE_A | {"nozzle": [8, -8]}, "flow")[0].index == (1,)


# -- remembered solutions -----------------------------------------------------------------------------------------


def test_one_solution_serves_all_that_is_asked_of_a_plant(monkeypatch):
    """Every line of the ledger, and all that is read from it: water once, machine once."""
    declared.MEMORY.clear()
    declared._prepared_once.cache_clear()
    calls = []
    get = declared.MEMORY.get
    monkeypatch.setattr(
        declared.MEMORY, "get", lambda step, arguments, run: get(step, arguments, lambda: calls.append(step) or run())
    )
    plant = hydrofunc.plant(SITE_A)
    for line in LINES:
        plant.ask(line.replace(" ", "_") + "_watts")
    _ = plant.runaway_volts, plant.overlap_angle, hydrofunc.plant(dict(SITE_A)).wheel_torque
    assert sorted(calls) == ["flow", "heads", "settled"]
    _ = plant.with_(battery_volts=27.0).battery_watts  # the water is the same
    assert sorted(calls) == ["flow", "heads", "settled", "settled"]


def test_an_array_changed_in_place_is_another_plant():
    """What is remembered goes by the values, not by the object that held them; and results may be written to."""
    heads = np.array([80.0, 100.0])
    first = hydrofunc.plant(SITE_A | {"gross_head": heads}).battery_watts
    expected = first.copy()
    first += 1e6
    assert (hydrofunc.plant(SITE_A | {"gross_head": heads}).battery_watts == expected).all()
    heads[:] = heads[::-1].copy()
    assert (hydrofunc.plant(SITE_A | {"gross_head": heads}).battery_watts == expected[::-1]).all()


def test_arrays_that_cannot_change_are_read_once_for_all_that_is_asked(monkeypatch):
    """As the engine's lanes are, which none may write to."""
    declared._lanes_prepared_once.cache_clear()
    read = []
    once = Function._read
    monkeypatch.setattr(Function, "_read", lambda function, inputs: read.append(1) or once(function, inputs))
    heads = np.array([80.0, 100.0])
    plant = hydrofunc.plant(SITE_A | {"gross_head": heads})
    writable = plant.battery_watts, plant.ask("windings_watts")
    assert len(read) == 2
    heads.flags.writeable = False
    fixed = plant.battery_watts, plant.ask("windings_watts")
    assert len(read) == 3
    assert np.array_equal(writable, fixed)


def test_a_view_that_cannot_be_written_may_still_change():
    heads = np.array([80.0, 100.0])
    view = heads[:]
    view.flags.writeable = False
    plant = hydrofunc.plant(SITE_A | {"gross_head": view})
    before = plant.battery_watts
    heads[:] = heads[::-1].copy()
    assert (plant.battery_watts == before[::-1]).all()


def test_memory_holds_no_more_than_its_limit_and_forgets_what_was_asked_longest_ago():
    memory = Memory(limit=100_000)

    def first():
        return np.zeros(500)

    def forgotten():
        raise AssertionError("what was asked a moment ago is not remembered")

    for i in range(40):
        memory.get("step", {"x": np.full(500, float(i))}, lambda: np.zeros(500))
        memory.get("step", {"x": np.full(500, 0.0)}, first if i == 0 else forgotten)
        assert memory.size <= memory.limit
    assert 5 < len(memory) < 15
    memory.get("step", {"x": np.zeros(50_000)}, lambda: np.zeros(50_000))  # larger than all of it: not held
    assert len(memory) > 5 and memory.size <= memory.limit
    memory.clear()
    assert (len(memory), memory.size) == (0, 0)


def test_memory_tells_apart_what_is_not_equal_to_the_bit():
    memory = Memory(limit=1_000_000)
    cases = [1.0, np.ones(1), np.ones((1, 1)), np.ones(2), "star", np.array(["star"]), math.nextafter(1.0, 2.0), -0.0]
    for i, case in enumerate(cases):
        assert memory.get("step", {"x": case}, lambda i=i: i) == i
    assert memory.get("other", {"x": 1.0}, lambda: "new") == "new"


def test_memory_is_safe_in_threads():
    from concurrent.futures import ThreadPoolExecutor

    memory = Memory(limit=60_000)

    def work(seed):
        random = np.random.default_rng(seed)
        for x in random.integers(0, 30, 400):
            assert memory.get("step", {"x": np.full(200, float(x))}, lambda x=x: np.full(200, 2.0 * x))[0] == 2 * x

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(work, range(8)))
    assert 0 <= memory.size <= memory.limit
