"""What every declared function must do, whatever it computes: one sweep over the registry."""

import inspect
import json
import math
import re

import numpy as np
import pytest

import hydrofunc
from hydrofunc import catalogue  # noqa: F401
from hydrofunc.errors import InputError
from hydrofunc.registry import FUNCTIONS, HELP_LIMIT, REQUIRED
from hydrofunc.units import TEXT

NAMES = list(FUNCTIONS)
# Those of single inputs; the ones of a whole plant are held to the same by test_whole_plant.py.
SINGLE = [name for name, function in FUNCTIONS.items() if function.resolve is None]
RNG = np.random.default_rng(20260101)


def number_near(argument, centre):
    """A legal value near the one of the worked example."""
    low, high, _, _ = argument.bounds
    value = centre * RNG.uniform(0.9, 1.1) if centre else centre
    if argument.default is not REQUIRED and argument.default == math.inf:
        return centre
    return min(max(value, low), high)


def rows_near_example(function, count):
    """Argument lists near the worked example; whole numbers stay as they are."""
    given = function.example.arguments
    rows = []
    for _ in range(count):
        row = {}
        for argument in function.arguments:
            if argument.name not in given:
                continue
            value = given[argument.name]
            if argument.is_text or argument.many or (isinstance(value, int) and argument.unit == "-"):
                row[argument.name] = value
            else:
                row[argument.name] = number_near(argument, value)
        rows.append(row)
    return rows


def values_of(function, rows):
    """Scalar results, NaN where the call is refused."""
    results = []
    for row in rows:
        try:
            results.append(function(**row))
        except InputError:
            results.append(math.nan)
    return results


def significant(shown):
    """Half a unit of the last digit shown, and never more than half a unit of a third digit of 100."""
    text = repr(shown).lower()
    mantissa = text.split("e")[0].replace("-", "")
    decimals = len(mantissa.split(".")[1]) if "." in mantissa and not mantissa.endswith(".0") else 0
    exponent = int(text.split("e")[1]) if "e" in text else 0
    return min(0.5000001 * 10.0 ** (exponent - decimals), 0.005 * abs(shown) or 1)


@pytest.mark.parametrize("name", NAMES)
def test_the_worked_example_is_right(name):
    """To the digits shown, in Python and, as printed, by position in a cell."""
    function = FUNCTIONS[name]
    example = function.example
    assert function(**example.arguments) == pytest.approx(example.result, abs=significant(example.result))
    in_order = [example.arguments.get(a.name) for a in function.arguments]
    values, codes = function.lanes(in_order)
    assert codes is None and values == pytest.approx(function(**example.arguments), rel=1e-15)


@pytest.mark.parametrize("name", SINGLE)
def test_arrays_equal_scalars(name):
    """Twelve rows at once give what they give one by one."""
    function = FUNCTIONS[name]
    rows = rows_near_example(function, 12)
    scalars = values_of(function, rows)
    columns = {
        key: rows[0][key] if isinstance(rows[0][key], (list, tuple)) else np.array([row[key] for row in rows])
        for key in rows[0]
    }
    arrays = np.broadcast_to(function(**columns), 12)
    np.testing.assert_allclose(arrays, scalars, rtol=1e-12)
    assert np.isfinite(scalars).sum() >= 6, "the example stands too near the edge of what is allowed"


@pytest.mark.parametrize("name", SINGLE)
def test_a_bad_element_spoils_itself_only(name):
    """For each number argument in turn: NaN, and both ends overstepped, in the middle of good neighbours."""
    function = FUNCTIONS[name]
    base = dict(function.example.arguments)
    good = function(**base)
    for argument in function.arguments:
        if argument.is_text or argument.many:
            continue
        fine = base.get(argument.name, argument.default)
        low, high, _, _ = argument.bounds
        beyond = [value for value in (low - 1 - abs(low), high + 1 + abs(high), math.nan) if not math.isinf(value)]
        for bad in beyond:
            got = function(**(base | {argument.name: np.array([fine, bad, fine])}))
            assert np.isnan(got[1]), f"{argument.name} = {bad}"
            np.testing.assert_allclose(got[[0, 2]], good, rtol=1e-12)
            with pytest.raises(InputError, match=rf"{name}: {argument.name}: .*not allowed; it must be"):
                function(**(base | {argument.name: bad}))
            problems = hydrofunc.explain(name, **(base | {argument.name: np.array([fine, bad, fine])}))
            assert {problem.index for problem in problems} == {(1,)} and problems[0].argument == argument.name


@pytest.mark.parametrize("name", SINGLE)
def test_a_wrong_word_or_kind_is_refused(name):
    """Text where a number belongs, a word that is on no list."""
    function = FUNCTIONS[name]
    for argument in function.arguments:
        with pytest.raises(InputError, match=argument.name):
            function(**(function.example.arguments | {argument.name: "no such word"}))
        if argument.required:
            missing = {key: value for key, value in function.example.arguments.items() if key != argument.name}
            with pytest.raises(InputError, match=argument.name):
                function(**missing)


@pytest.mark.parametrize("name", NAMES)
def test_the_declaration_serves_every_host(name):
    """Limits of spreadsheets; a source that is one; plain JSON."""
    function = FUNCTIONS[name]
    assert len(function.help) <= HELP_LIMIT and function.help.endswith(".")
    assert function.source and not re.fullmatch(r"[a-z]|n/?a|unknown", function.source, re.I)
    for argument in function.arguments:
        assert argument.meaning.endswith((".", "?")), argument.name
        if argument.unit == TEXT:
            assert all(choice == choice.lower().strip() and "," not in choice for choice in argument.choices)
    record = json.loads(json.dumps(function.record(), allow_nan=False))
    assert record["sheet_name"] == "HYDRO_" + name.upper()
    assert record["result"]["unit"] and all(
        a["unit"] and (a["range"] or a["unit"] == TEXT) for a in record["arguments"]
    )


@pytest.mark.parametrize("name", NAMES)
def test_the_physics_is_documented(name):
    """Its docstring speaks of the result's unit, and names parameters as the signature does, in order."""
    physics = FUNCTIONS[name].physics
    text = inspect.getdoc(physics)
    assert text and re.search(r"\[[^\]]+\]", text), "a unit in [brackets]"
    described = re.search(r"Parameters\n-+\n(.*?)\n\n?(?:Returns|Raises|Notes)\n-", text, re.S)
    if described:
        names = [
            part.strip() for line in re.findall(r"^([a-z_0-9, ]+) : ", described[1], re.M) for part in line.split(",")
        ]
        assert names == list(inspect.signature(inspect.unwrap(physics)).parameters)  # unwrapped: a function of groups


def test_one_name_has_one_unit_and_one_kind_throughout():
    """An argument called flow is always in L/s."""
    seen = {}
    for function in FUNCTIONS.values():
        for argument in function.arguments:
            unit, many = seen.setdefault(argument.name, (argument.unit, argument.many))
            assert (unit, many) == (argument.unit, argument.many), f"{function.name}: {argument.name}"


def test_the_whole_job_is_covered():
    """The functions a person needs from survey to battery; more may be there."""
    job = """
    density kinematic_viscosity vapour_pressure gravity static_head static_pressure bucket_flow vnotch_flow
    rectangular_weir_flow reynolds_number friction_factor friction_head hazen_williams_head minor_head
    pipe_velocity fitting_loss roughness pipe_bore flow_for_loss penstock_head jet_velocity nozzle_flow jet_power
    jet_force nozzle_head operating_flow best_nozzle best_nozzle_flow best_nozzle_power best_listed_nozzle
    pipe_power_limit pitch_diameter runner_speed speed_ratio cup_count cup_width jet_ratio specific_speed
    cup_efficiency wheel_torque wheel_power runaway_speed emf_constant open_circuit_volts rectified_volts
    cable_resistance awg_area cable_drop cut_in_speed operating_speed operating_current operating_volts
    operating_power power_ledger
    """.split()
    assert not set(job) - set(FUNCTIONS)


def test_the_public_name_is_the_declared_function():
    """import hydrofunc; hydrofunc.friction_head."""
    assert hydrofunc.friction_head is FUNCTIONS["friction_head"]
    assert set(NAMES) <= set(dir(hydrofunc))
