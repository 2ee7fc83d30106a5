"""One declaration serves every host, and refuses what some host could not serve."""

from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import hydrofunc
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
    assert type(declared()(10)) is float is type(declared()(np.array(10.0)))
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


@pytest.mark.parametrize(
    ("within", "words", "inside", "outside"),
    [
        ("[1, 4]", "from 1 to 4 mm", [1, 2.5, 4], [0.999, 4.001]),
        ("(1, 4]", "above 1 to 4 mm", [1.001, 4], [1, 4.001]),
        ("[1, 4)", "from 1 below 4 mm", [1, 3.999], [0.999, 4]),
        ("(1, 4)", "above 1 below 4 mm", [1.001, 3.999], [1, 4]),
        ("[-inf, 4]", "to 4 mm", [-1e9, 4], [4.001]),
        ("(-inf, 4]", "to 4 mm", [-1e9, 4], [4.001]),
        ("(1, inf)", "above 1 mm", [1.001, 1e9], [1, np.inf]),
        ("[1, inf]", "from 1 mm", [1, 1e9], [0.999]),
        ("[1, inf)", "from 1 mm", [1, 1e9], [0.999]),
        ("(-inf, inf)", "any number mm", [-1e9, 0, 1e9], [np.inf, -np.inf]),
    ],
)
def test_a_square_bracket_lets_the_end_of_a_range_in_and_a_round_one_does_not(within, words, inside, outside):
    """ISO 80000-2, intervals: [ and ] include the end, ( and ) do not (notation from memory).

    In a scalar call, in an array call, to a host, and in the words a person reads.
    """
    argument = NOZZLE.with_(within=within)
    function = declared(arguments=(argument, JOINED))
    assert argument.allowed == words
    for value in inside:
        assert np.isfinite(function(value)) and np.isfinite(function([value, 2.0])).tolist() == [True, True]
    for value in outside:
        with pytest.raises(InputError, match=f"it must be {words}"):
            function(value)
        assert np.isfinite(function([value, 2.0])).tolist() == [False, True]
    assert [function.explain(value) == [] for value in inside] == [True] * len(inside)
    assert [function.explain(value) == [] for value in outside] == [False] * len(outside)
    codes = function.lanes([np.array([*inside, *outside, "x"], dtype=object)])[1]
    assert codes.tolist() == [0] * len(inside) + [OUT_OF_RANGE] * len(outside) + [WRONG_KIND]


def test_a_number_without_unit_has_none_in_words():
    assert Argument("share", "-", "A share.", "[0, 1]").allowed == "from 0 to 1"


@pytest.mark.parametrize(
    ("default", "words"),
    [(inf, "no limit"), (-1.5, "-1.5"), (10, "10"), (0.0, "0"), (2.50, "2.5"), (1000.0, "1000"), (9.80665, "9.80665")],
)
def test_a_default_is_told_as_a_person_reads_it(default, words):
    """An infinite one, which a cell cannot hold, is no limit; any other is its number. JSON has no infinity either."""
    nozzle = NOZZLE.with_(default=default)
    function = declared(arguments=(nozzle, JOINED))
    assert nozzle.default_text == words
    assert f"nozzle [mm]: Opening. Allowed: above 0 to 500 mm. Default: {words}." in function.describe()
    assert function.record()["arguments"][0]["default"] == ("no limit" if words == "no limit" else default)
    assert "connection: Windings. Allowed: one of star, delta. Default: star." in function.describe()
    assert declared().record()["arguments"][0]["default"] is None
    assert "Default: no limit." in hydrofunc.surge_pressure.describe().split("chainage [m]")[1]
    assert hydrofunc.surge_pressure.describe().count("no limit") == 1


def test_an_infinite_default_is_allowed_though_it_is_outside_the_range():
    """Given by hand too; the physics then sees infinity."""
    function = declared(
        lambda nozzle, limit: np.minimum(nozzle, limit),
        (NOZZLE, Argument("limit", "mm", "Most.", "[0, 500]", default=np.inf)),
        name="limited",
        unit="mm",
    )
    assert function(20.0) == function(20.0, np.inf) == pytest.approx(20.0)
    assert function(20.0, [np.inf, 5.0]).tolist() == pytest.approx([20.0, 5.0])
    with pytest.raises(InputError, match="limit: 501"):
        function(20.0, 501)


def test_a_default_outside_the_range_may_be_given_too():
    """Bore 0 stands for no second section, though a bore must be above 0; no other value outside may."""
    function = declared(lambda nozzle: nozzle + 1.0, (NOZZLE.with_(default=0.0),), name="toy", unit="mm")
    assert [function.explain(value) == [] for value in (0.0, -1.0, 3.0)] == [True, False, True]
    assert np.isnan(function([0.0, -1.0, 3.0])).tolist() == [False, True, False]


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
    assert [str(p) for p in declared().explain(-2.0)] == [
        "nozzle: -2.0 mm is not allowed; it must be above 0 to 500 mm"
    ]
    assert [str(p) for p in declared().explain([[10.0, 5.0], [-2.0, 7.0]])] == [
        "element 1, 0: nozzle: -2.0 mm is not allowed; it must be above 0 to 500 mm"
    ]


def test_explain_shows_the_value_that_stands_at_the_element():
    """Also where a column meets a row, and the whole list where the list is bad."""
    shown = declared().explain([[10.0], [-2.0]], ["star", "wye", "delta"])
    assert [(p.index, p.argument, p.reason.split(" is ")[0]) for p in shown] == [
        ((0, 1), "connection", "'wye'"),
        ((1, 0), "nozzle", "-2.0 mm"),
        ((1, 1), "nozzle", "-2.0 mm"),
        ((1, 1), "connection", "'wye'"),
        ((1, 2), "nozzle", "-2.0 mm"),
    ]
    best = declared(best_of, (FLOW, SIZES), unit="-", example=Example({"flow": 1.0, "sizes": (1, 2)}, 1.0))
    (problem,) = best.explain([1.0, 2.0], [[3.0, 4.0], [5.0, -6.0]])
    assert (problem.index, problem.argument) == ((1,), "sizes")
    assert problem.reason.startswith("[[3.0, 4.0], [5.0, -6.0]] mm is not allowed")


def test_explain_refuses_arrays_that_do_not_fit_as_the_call_does():
    """With their shapes, before any element is judged."""
    with pytest.raises(InputError, match=r"do not fit together: nozzle \(2,\), connection \(3,\)"):
        declared().explain([1.0, -2.0], ["star", "delta", "wye"])


def test_explain_names_the_elements_without_an_answer():
    """Where each argument alone is fine."""
    endless = declared(lambda nozzle: np.where(nozzle > 0.006, np.inf, nozzle), (NOZZLE,), name="endless")
    assert [(p.index, p.argument, p.reason) for p in endless.explain([5.0, 7.0])] == [
        ((1,), "endless", "has no answer for these inputs together")
    ]
    assert [p.index for p in endless.explain(7.0)] == [()]


def test_one_element_has_one_problem_and_the_first_to_blame_is_said():
    """A value of the wrong kind or out of range is not blamed a second time by a rule it breaks, and keeps its code."""
    rule = Rule("nozzle", "be below 100 mm", lambda nozzle: nozzle < 100)
    function = declared(lambda nozzle: nozzle * 1.0, (NOZZLE,), name="toy", unit="mm", rules=[rule])
    cells = np.array([50.0, 200.0, 600.0, "x"], dtype=object)
    assert function.lanes([cells])[1].tolist() == [0, OUT_OF_RANGE, OUT_OF_RANGE, WRONG_KIND]
    assert [(p.index, p.reason) for p in function.explain([50.0, 200.0, -1.0])][:1] == [((1,), "must be below 100 mm")]
    problems = function.explain([50.0, 200.0, 600.0])
    assert (problems[0].index, problems[0].reason) == ((1,), "must be below 100 mm")
    assert [problem.index for problem in problems] == [(1,), (2,)] and "600.0 mm is not allowed" in problems[1].reason
    assert [problem.index for problem in function.explain(200.0)] == [()] and function.explain(50.0) == []


def test_hosts_get_a_code_for_each_element():
    """Out of range and wrong kind differ, blanks take the default or are a wrong kind."""
    values, codes = declared().lanes([np.array([10.0, 0.0, "x", None, True], dtype=object), None])
    assert codes.tolist() == [0, OUT_OF_RANGE, WRONG_KIND, WRONG_KIND, WRONG_KIND]
    assert values[0] == pytest.approx(1.0)
    values, codes = declared().lanes([10.0, np.array(["delta", None], dtype=object)])
    assert codes is None and values.tolist() == pytest.approx([2.0, 1.0])
    assert declared().lanes([None])[1] == WRONG_KIND


def test_a_word_or_number_in_an_array_without_dimensions_is_judged_as_by_itself():
    with pytest.raises(InputError, match="connection"):
        declared()(10.0, np.array("wye"))
    with pytest.raises(InputError, match="nozzle"):
        declared()(np.array(-1.0))
    assert declared()(np.array(10.0), np.array("Delta")) == declared()(10.0, "delta")


def test_a_number_without_an_allowed_range_is_refused():
    with pytest.raises(DeclarationError, match="argument nozzle has no allowed range"):
        _ = Argument("nozzle", "mm", "Opening.").bounds


def test_a_plant_that_is_a_single_number_is_named():
    with pytest.raises(InputError, match="plant: must be a list") as caught:
        hydrofunc.plant(5.0, "flow")
    assert caught.value.argument == "plant"


def test_one_bad_value_for_all_elements_is_a_code_in_each_of_them():
    """A host finds beside every result why it is none."""
    values, codes = declared().lanes([np.array([10.0, 20.0, 30.0]), "wye"])
    assert np.isnan(values).all() and values.shape == (3,)
    assert codes.shape == (3,) and (codes == WRONG_KIND).all()


def test_help_says_what_words_and_symbols_there_are_and_leaves_out_what_there_is_not():
    table = Argument("material", "text", "Of the pipe.")
    assert table.allowed == "a word from the function's table" and JOINED.allowed == "one of star, delta"
    with_symbol = declared(symbol="A").__doc__.splitlines()
    assert "  A: A = d²" in with_symbol
    assert "  A = d²" in declared().__doc__.splitlines()
    assert "  Source: invented for this test" in declared().__doc__.splitlines()
    assert "Caution: It turns." in declared(caution="It turns.").__doc__.splitlines()


def test_a_list_argument_is_reduced_and_one_bad_entry_spoils_its_own_call_only():
    """The last axis is the list."""
    best = declared(best_of, (FLOW, SIZES), unit="-", example=Example({"flow": 1.0, "sizes": (1, 2)}, 1.0))
    assert best(1000.0, [1000.0 / 4, 500.0]) == pytest.approx(0.5)
    assert best([1000.0, 500.0], [250.0, 500.0]).tolist() == pytest.approx([0.5, 0.25])
    got = best([1000.0, 500.0], [[250.0, 500.0], [250.0, -1.0]])
    assert got[0] == pytest.approx(0.5) and np.isnan(got[1])
    got = best([1000.0, 500.0, 500.0], [[250.0, 500.0], [250.0, -1.0], [250.0, 250.0]])
    assert got == pytest.approx([0.5, np.nan, 0.125], nan_ok=True)
    assert np.isnan(best([1000.0, 500.0], [250.0, -1.0])).all()
    with pytest.raises(InputError, match="sizes"):
        best(1000.0, [250.0, -1.0])


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


def test_arrays_that_do_not_fit_name_the_function():
    with pytest.raises(InputError, match="do not fit") as caught:
        declared()([1.0, 2.0], ["star", "delta", "star"])
    assert caught.value.function == "jet_area"


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
    "cell address in the last column": {"name": "xfd1"},
    "row and column address": {"name": "r1c1"},
    "underscore first": {"name": "_abc"},
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
    "range that is no interval": {"arguments": (Argument("nozzle", "mm", "Opening.", "0 to 5"), JOINED)},
    "words with a range": {"arguments": (NOZZLE, JOINED.with_(within="[0, 1]"))},
    "long meaning": {"arguments": (NOZZLE.with_(meaning="x" * 233), JOINED)},
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
    "arguments alike but for case": {
        "physics": lambda size, Size: size,  # noqa: N803
        "name": "toy",
        "arguments": (NOZZLE.with_(name="size"), NOZZLE.with_(name="Size")),
    },
    "rule blaming nobody": {"rules": [Rule("bore", "be there", lambda **_: True)]},
}


@pytest.mark.parametrize("changes", REFUSED.values(), ids=REFUSED)
def test_a_declaration_some_host_could_not_serve_is_refused(changes):
    """Each fault alone is enough."""
    with pytest.raises(DeclarationError):
        declared(**changes)


@pytest.mark.parametrize(
    "changes",
    [
        {"help": "x" * 255},
        {"physics": lambda jet: jet, "name": "jet", "arguments": (NOZZLE.with_(name="jet"),)},
        {"name": "abc"},
        {"name": "abc_d"},
        {"name": "a1b"},
        {"arguments": (NOZZLE.with_(meaning="x" * 232), JOINED)},  # + " [mm] " and "above 0 to 500 mm" are 255
    ],
    ids=["help", "name", "abc", "abc_d", "a1b", "meaning"],
)
def test_the_longest_text_and_the_shortest_name_that_every_host_takes_are_allowed(changes):
    """Excel's function wizard shows 255 characters."""
    assert declared(**changes)(2.0) > 0


def test_a_word_is_read_without_regard_to_capitals_and_spaces_and_a_number_is_its_word():
    """25 is the word "25", 2.5 is "2.5"; truth and blanks are no words. The same in a call and to a host."""
    size = Argument("size", "text", "Size.", choices=("25", "1.5", "2.5", "1 1/4", "schedule 40"))
    function = declared(lambda size: np.where(np.asarray(size) == "25", 1.0, 2.0), (size,), name="known_size", unit="-")
    words = [25, 25.0, "25", 1.5, "1.5", 2.5, " 1  1/4 ", "  Schedule   40 "]
    expected = [1, 1, 1, 2, 2, 2, 2, 2]
    assert [function(word) for word in words] == expected
    assert function(["25", "26"]).tolist() == pytest.approx([1.0, np.nan], nan_ok=True)
    values, codes = function.lanes([np.array([*words, True, None, "", 26], dtype=object)])
    assert codes.tolist() == [0] * 8 + [WRONG_KIND] * 4
    assert values[:8].tolist() == expected


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
    ("unit", "trade", "si"),
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
def test_each_unit_means_what_the_brochure_on_the_si_says(unit, trade, si):
    """BIPM, The International System of Units, 9th ed., tables 4 and 8; rpm = 2π/60 rad/s."""
    assert to_si(trade, unit) == pytest.approx(si, rel=1e-15)


def test_a_plant_that_does_not_fit_names_function_and_argument():
    """A host shows the argument that is wrong; the words alone would not let it."""
    with pytest.raises(InputError) as caught:
        hydrofunc.plant({"gross_head": 100}, "no such quantity")
    assert caught.value.function == "plant" and caught.value.argument == "quantity"


REASONS = {
    "cell address": "looks like a cell address",
    "cell address in the last column": "looks like a cell address",
    "row and column address": "looks like a cell address",
    "underscore first": "lower-case words",
    "VBA word": "reserved word",
    "upper case": "lower-case words",
    "too short": "three letters or more",
    "long help": "it has 256",
    "no help": "it has 0",
    "no source": "source is missing",
    "no equation": "equation is missing",
    "result without unit": "result has no known unit",
    "argument without unit": "nozzle has no known unit",
    "argument without range": "no allowed range",
    "range that is no interval": "no allowed range",
    "words with a range": "can have no range",
    "long meaning": "255 characters together",
    "argument without meaning": "255 characters together",
    "argument called caller": "'caller' is a reserved word",
    "argument like a cell": "'d50' looks like a cell address",
    "arguments unlike the physics": "are not those of the physics function",
    "required after optional": "required but follows one that may be left out",
    "default not among choices": "not among its choices",
    "arguments alike but for case": "two arguments have the same name but for case",
    "rule blaming nobody": "which is no argument",
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_declaration_is_refused_for_the_right_reason(case):
    """Another complaint about the same declaration would hide that nobody looks for this one."""
    with pytest.raises(DeclarationError, match=REASONS[case]):
        declared(**REFUSED[case])


def test_none_is_the_default_where_there_is_one_and_no_value_where_there_is_none():
    """As an empty cell is."""
    assert declared()(10.0, None) == declared()(10.0, "star") != declared()(10.0, "delta")
    with pytest.raises(InputError, match="nozzle: is missing; it must be above 0 to 500 mm"):
        declared()(None)


def test_an_empty_number_in_a_list_is_the_default_where_there_is_one():
    """In any kind of list, beside numbers and beside words that are none."""
    deep = Argument("depth", "m", "Of water.", "[0, 100]", default=7.0)
    function = declared(lambda depth: depth * 1.0, (deep,), name="deep", unit="m", example=Example({}, 7.0))
    assert function([None, 5.0]).tolist() == [7.0, 5.0]
    assert function(np.array([3.0, None, 5.0], dtype=object)).tolist() == [3.0, 7.0, 5.0]
    values, codes = function.lanes([np.array([None, "x", 5.0], dtype=object)])
    assert codes.tolist() == [0, WRONG_KIND, 0] and values[[0, 2]].tolist() == [7.0, 5.0]


@pytest.mark.parametrize("one", [25.0, np.array(25.0)])
def test_one_size_is_a_list_of_one(one):
    sized = declared(best_of, (FLOW, SIZES), example=Example({"flow": 1.0, "sizes": [10.0]}, 0.0), name="best_size")
    assert sized(2.0, one) == sized(2.0, [25.0]) == sized(2.0, [10.0, 25.0])


def test_a_changed_input_without_its_value_lacks_it_whether_named_alone_or_in_a_list():
    """It is not changed to nothing."""
    said = []
    for names in ("nozzle", ["nozzle"]):
        with pytest.raises(InputError) as caught:
            hydrofunc.plant({"gross_head": 100}, "flow", names)
        said.append(str(caught.value))
    assert said[0] == said[1]


def test_a_changed_input_may_have_several_values():
    """One plant for each; a mapping says the same."""
    plant = hydrofunc.plant.example.arguments["plant"]
    together = hydrofunc.plant(plant, "flow", ["nozzle"], [[6.0, 7.0]])
    assert together.tolist() == [hydrofunc.plant(plant, "flow", ["nozzle"], [size]) for size in (6.0, 7.0)]


@pytest.mark.parametrize("digits", [309, 400])
def test_a_whole_number_too_large_for_any_cell_is_too_large_or_too_small_by_its_sign(digits):
    """Below nothing it is not "no limit", which is the default here."""
    source = Argument("source", "L/s", "Water.", "[0, 1000]", default=inf)
    function = declared(lambda source: source * 1.0, (source,), name="water", unit="L/s", example=Example({}, 1.0))
    (problem,) = function.explain(np.array([-(10**digits), 5], dtype=object))
    assert problem.index == (0,) and problem.argument == "source"
    with pytest.raises(InputError, match="source"):
        function(-(10**digits))


def test_physics_that_divides_by_nothing_warns_nobody(recwarn):
    """The answer is refused; that is the word."""
    by_zero = declared(lambda nozzle: 1 / (nozzle - nozzle), (NOZZLE,), name="by_zero")
    with pytest.raises(InputError):
        by_zero(5.0)
    assert np.isnan(by_zero([5.0, 6.0])).all() and not recwarn.list


def test_a_plant_may_be_two_columns_as_a_sheet_has_it_or_a_mapping():
    plant = hydrofunc.plant.example.arguments["plant"]
    flat = [item for pair in plant.items() for item in pair]
    assert hydrofunc.plant(flat, "flow") == hydrofunc.plant(plant, "flow")


@pytest.mark.parametrize("odd", ["roughness", 5.0, None])
@pytest.mark.parametrize("good", [1, 0])
def test_a_line_of_doubt_that_is_no_list_is_named(odd, good):
    """A word or a number among good lines, or alone."""
    lines = [("gross_head", 5, "normal", 1)] * good + [odd]
    with pytest.raises(InputError, match="lines: must be") as caught:
        hydrofunc.doubt(hydrofunc.doubt.example.arguments["plant"], "low", lines)
    assert caught.value.argument == "lines"
