"""One declaration serves every host, and refuses what some host could not serve."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrofunc.errors import DeclarationError, InputError
from hydrofunc.registry import OUT_OF_RANGE, WRONG_KIND, Argument, Example, Registry, Rule
from hydrofunc.units import TO_SI, from_si, to_si


def jet_area(nozzle, connection="star"):
    """A toy in SI: an area, doubled for delta."""
    return nozzle**2 * np.where(np.asarray(connection) == "delta", 2.0, 1.0)


def best_of(flow, sizes):
    """A toy over a list: flow times the largest size."""
    return np.max(flow * sizes, axis=-1)


NOZZLE = Argument("nozzle", "mm", "Opening.", "(0, 500]")
JOINED = Argument("connection", "text", "Windings.", choices=("star", "delta"), default="star")
FLOW = Argument("flow", "L/s", "Water.", "[0, 1000]")
SIZES = Argument("sizes", "mm", "List.", "(0, 500]", many=True)


def declared(physics=jet_area, arguments=(NOZZLE, JOINED), **changes):
    words = {
        "group": "Toys",
        "help": "A toy.",
        "unit": "cm²",
        "meaning": "Area.",
        "equation": "A = d²",
        "source": "invented for this test",
        "example": Example({"nozzle": 10.0}, 1.0),
    } | changes
    return Registry().declare(physics, arguments=arguments, **words)


def test_a_function_is_called_in_trade_units():
    """10 mm squared is 1 cm²; the physics saw metres."""
    assert declared()(10.0) == pytest.approx(1.0, rel=1e-15)
    assert isinstance(declared()(10), float)
    assert declared()(10, "Delta") == pytest.approx(2.0, rel=1e-15)


def test_an_array_call_equals_the_scalar_calls():
    """Element by element, with words varying too."""
    function = declared()
    sizes, joined = [4.0, 6.5, 20.0], ["star", "delta", "star"]
    assert function(sizes, joined).tolist() == [function(d, c) for d, c in zip(sizes, joined)]


@pytest.mark.parametrize("value", [0, -1, 500.1, float("nan"), float("inf"), -float("inf")])
def test_a_scalar_outside_its_range_is_refused_by_name(value):
    """The error names function, argument, value, unit and what is allowed, and is a ValueError."""
    with pytest.raises(
        InputError, match=r"jet_area: nozzle: .* mm is not allowed; it must be above 0 to 500 mm"
    ) as caught:
        declared()(value)
    assert isinstance(caught.value, ValueError)
    assert (caught.value.function, caught.value.argument, caught.value.unit) == ("jet_area", "nozzle", "mm")
    assert caught.value.allowed == "above 0 to 500 mm"


@pytest.mark.parametrize("value", ["ten", True, None, [1, 2], object()])
def test_a_wrong_kind_never_passes_for_a_number(value):
    """Words, booleans and nothing are no nozzle; a list is fine, and is an array call."""
    if isinstance(value, list):
        assert declared()(value).shape == (2,)
        return
    with pytest.raises(InputError):
        declared()(value)


def test_only_the_bad_elements_of_an_array_become_nan():
    """Their neighbours keep their values."""
    got = declared()([10.0, 0.0, np.nan, -3.0, 20.0])
    assert np.isnan(got).tolist() == [False, True, True, True, False]
    assert got[[0, 4]].tolist() == pytest.approx([1.0, 4.0])


def test_explain_says_which_element_which_argument_and_why():
    """One problem for each bad element."""
    problems = declared().explain([10.0, -2.0, 20.0], ["star", "delta", "wye"])
    assert [str(p) for p in problems] == [
        "element 1: nozzle: -2.0 mm is not allowed; it must be above 0 to 500 mm",
        "element 2: connection: 'wye' is not allowed; it must be one of star, delta",
    ]
    assert declared().explain(10.0) == []


def test_hosts_get_a_code_for_each_element():
    """Out of range and wrong kind differ, blanks take the default or are a wrong kind."""
    values, codes = declared().lanes([np.array([10.0, 0.0, "x", None, True], dtype=object), None])
    assert codes.tolist() == [0, OUT_OF_RANGE, WRONG_KIND, WRONG_KIND, WRONG_KIND]
    assert values[0] == pytest.approx(1.0)
    values, codes = declared().lanes([10.0, np.array(["delta", None], dtype=object)])
    assert codes is None and values.tolist() == pytest.approx([2.0, 1.0])
    assert declared().lanes([None])[1] == WRONG_KIND


def test_a_list_argument_is_reduced_and_one_bad_entry_spoils_its_own_call_only():
    """The last axis is the list."""
    best = declared(best_of, (FLOW, SIZES), unit="-", example=Example({"flow": 1.0, "sizes": (1, 2)}, 1.0))
    assert best(1000.0, [1000.0 / 4, 500.0]) == pytest.approx(0.5)
    assert best([1000.0, 500.0], [250.0, 500.0]).tolist() == pytest.approx([0.5, 0.25])
    got = best([1000.0, 500.0], [[250.0, 500.0], [250.0, -1.0]])
    assert got[0] == pytest.approx(0.5) and np.isnan(got[1])


def test_a_rule_ties_arguments_together():
    """The rule's argument is blamed, in arrays only where it is broken."""
    rule = Rule(
        "nozzle",
        "be below 100 mm in delta",
        lambda nozzle, connection: ~((np.asarray(connection) == "delta") & (nozzle >= 100)),
    )
    function = declared(rules=[rule])
    with pytest.raises(InputError, match="nozzle: must be below 100 mm in delta"):
        function(200.0, "delta")
    assert np.isnan(function([200.0, 50.0], "delta")).tolist() == [True, False]


def test_no_answer_is_an_error_never_a_number():
    """A physics result that is not finite is reported."""
    with pytest.raises(InputError, match="has no answer"):
        declared(lambda nozzle: nozzle * np.inf, (NOZZLE,), name="endless")(5.0)


def test_arrays_that_do_not_fit_are_refused():
    """With their shapes."""
    with pytest.raises(InputError, match=r"do not fit together: nozzle \(2,\), connection \(3,\)"):
        declared()([1.0, 2.0], ["star", "delta", "star"])


def test_a_wrong_call_says_what_the_function_takes():
    """Like Python's own TypeError, but as the one error type."""
    with pytest.raises(InputError, match=r"it takes nozzle, \[connection\]"):
        declared()(1.0, "star", 3.0)


REFUSED = {
    "cell address": {"name": "abc12"},
    "row and column address": {"name": "r1c1"},
    "VBA word": {"name": "string"},
    "upper case": {"name": "Jet_Area"},
    "too short": {"name": "ja"},
    "long help": {"help": "x" * 256},
    "no help": {"help": ""},
    "no source": {"source": ""},
    "no equation": {"equation": ""},
    "result without unit": {"unit": ""},
    "argument without unit": {"arguments": (Argument("nozzle", "", "Opening.", "(0, 5]"), JOINED)},
    "argument without range": {"arguments": (Argument("nozzle", "mm", "Opening."), JOINED)},
    "argument without meaning": {"arguments": (Argument("nozzle", "mm", "", "(0, 5]"), JOINED)},
    "argument called caller": {
        "physics": lambda caller: caller,
        "name": "toy",
        "arguments": (Argument("caller", "mm", "x", "(0, 5]"),),
    },
    "argument like a cell": {
        "physics": lambda d50: d50,
        "name": "toy",
        "arguments": (Argument("d50", "mm", "x", "(0, 5]"),),
    },
    "arguments unlike the physics": {"arguments": (JOINED, NOZZLE)},
    "required after optional": {"arguments": (NOZZLE.with_(default=1.0), JOINED.with_(default=SIZES.default))},
    "default not among choices": {"arguments": (NOZZLE, JOINED.with_(default="wye"))},
    "rule blaming nobody": {"rules": [Rule("bore", "be there", lambda **_: True)]},
}


@pytest.mark.parametrize("changes", REFUSED.values(), ids=REFUSED)
def test_a_declaration_some_host_could_not_serve_is_refused(changes):
    """Each fault alone is enough."""
    with pytest.raises(DeclarationError):
        declared(**changes)


def test_names_equal_but_for_case_are_refused():
    """Also between two functions."""
    registry = Registry()
    words = {
        "group": "g",
        "help": "h",
        "unit": "mm",
        "meaning": "m",
        "equation": "e",
        "source": "s",
        "example": Example({"nozzle": 1.0}, 1.0),
    }
    registry.declare(jet_area, arguments=(NOZZLE, JOINED), **words)
    with pytest.raises(DeclarationError, match="taken"):
        registry.declare(jet_area, arguments=(NOZZLE, JOINED), **words)


@given(st.sampled_from(sorted(TO_SI)), st.floats(-1e6, 1e6))
def test_units_round_trip(unit, value):
    """To SI and back is the same number, to rounding."""
    assert from_si(to_si(value, unit), unit) == pytest.approx(value, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize(
    "unit, trade, si",
    [
        ("L/s", 1.0, 1e-3),
        ("bar", 1.0, 1e5),
        ("°C", 0.0, 273.15),
        ("rpm", 60.0, 2 * np.pi),
        ("mm²", 1.0, 1e-6),
        ("Wh", 1.0, 3600.0),
        ("Ah", 1.0, 3600.0),
        ("°", 180.0, np.pi),
        ("V/krpm", 1.0, 60 / (2000 * np.pi)),
        ("mm²/s", 1.0, 1e-6),
        ("m³/h", 3600.0, 1.0),
    ],
)
def test_each_unit_means_what_the_SI_brochure_says(unit, trade, si):
    """BIPM, The International System of Units, 9th ed., tables 4 and 8; rpm = 2π/60 rad/s."""
    assert to_si(trade, unit) == pytest.approx(si, rel=1e-15)
