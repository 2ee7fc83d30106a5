"""One bad element of an array harms no other: physics sees allowed values only, and what it cannot do is NaN there."""

import numpy as np
import pytest

import hydrofunc
from hydrofunc.errors import DeclarationError, InputError
from hydrofunc.registry import OUT_OF_RANGE, WRONG_KIND, Argument, Example, Registry, Rule

NOZZLE = Argument("nozzle", "mm", "Opening.", "(0, 500]")
BORE = Argument("bore", "mm", "Pipe.", "(0, 500]", default=50.0)
SIZES = Argument("sizes", "mm", "List.", "(0, 500]", many=True)
SMALLER = Rule("nozzle", "be smaller than the bore", lambda nozzle, bore, **_: np.less(nozzle, bore))


def declared(physics, arguments=(NOZZLE, BORE), **changes):
    words = {
        "group": "Toys",
        "name": "toy",
        "help": "A toy.",
        "unit": "-",
        "meaning": "A number.",
        "equation": "A = d²",
        "source": "invented for this test",
        "example": Example({"nozzle": 10.0}, 1.0),
    } | changes
    return Registry().declare(physics, arguments=arguments, **words)


@pytest.fixture
def seen():
    return []


@pytest.fixture
def watched(seen):
    def share(nozzle, bore):
        seen.append((np.array(nozzle), np.array(bore)))
        return nozzle / bore

    return declared(share, rules=(SMALLER,))


def test_physics_sees_only_values_that_are_allowed(watched, seen):
    nozzles, bores = [10.0, -1e9, np.nan, 60.0, 20.0, None], [50.0, 50.0, 50.0, 50.0, 1e12, 50.0]
    assert np.isnan(watched(nozzles, bores)).tolist() == [False, True, True, True, True, True]
    ((nozzle, bore),) = seen
    assert nozzle.tolist() == [0.01] * 6 and bore.tolist() == [0.05] * 6  # those of the one good lane


def test_where_no_lane_is_good_physics_is_not_asked(watched, seen):
    assert np.isnan(watched([-1.0, 60.0], 50.0)).all()
    with pytest.raises(InputError, match="smaller than the bore"):
        watched(60.0, 50.0)
    assert seen == []


def test_no_lanes_are_no_lanes(watched, seen):
    assert watched(np.empty(0)).shape == (0,)
    assert watched(np.empty((3, 0)), 40.0).shape == (3, 0)
    assert seen == []


def test_an_array_that_changes_nothing_still_has_its_lanes():
    half = declared(lambda nozzle, bore: nozzle * 0.5)
    assert half(10.0, [20.0, 30.0]).tolist() == [0.005, 0.005]


def test_a_lane_that_cannot_be_solved_is_alone():
    """One singular matrix among three, and one division by zero: both are errors of their own lanes."""

    def solved(nozzle, bore):
        if np.any(np.equal(nozzle, 0.02)):
            raise np.linalg.LinAlgError("Singular matrix")
        return nozzle / bore

    function = declared(solved)
    result = function([10.0, 20.0, 30.0, 20.0, 40.0])
    assert np.isnan(result).tolist() == [False, True, False, True, False]
    assert result[[0, 2, 4]].tolist() == function([10.0, 30.0, 40.0]).tolist()
    with pytest.raises(InputError, match="no answer"):
        function(20.0)
    assert [problem.index for problem in function.explain([10.0, 20.0])] == [(1,)]


def test_a_lane_that_cannot_be_solved_is_alone_beside_a_list():
    def largest(sizes, bore):
        if np.any(np.equal(np.max(sizes, axis=-1, keepdims=True), 0.02)):
            raise ZeroDivisionError
        return np.max(sizes / bore, axis=-1)

    function = declared(largest, (SIZES, BORE), example=Example({"sizes": [10.0]}, 0.2))
    assert np.isnan(function([[10.0, 20.0], [10.0, 40.0], [5.0, 20.0]], [50.0, 60.0, 70.0])).tolist() == [
        True,
        False,
        True,
    ]
    assert function([[10.0, 20.0], [10.0, 40.0]], [50.0, 60.0])[1] == function([10.0, 40.0], 60.0)


def test_plain_numbers_are_divided_as_arrays_are():
    """1 / 0 is infinite in an array; in plain Python it raises."""
    function = declared(lambda nozzle, bore: np.minimum(1.0 / (nozzle - 0.01) if nozzle is not None else 0.0, 3.0))
    assert function(10.0) == 3.0 == function([10.0, 20.0])[0]


@pytest.mark.parametrize(
    ("value", "code"),
    [
        (10**400, OUT_OF_RANGE),
        (-(10**400), OUT_OF_RANGE),
        (True, WRONG_KIND),
        ([1, True], WRONG_KIND),
        (1j, WRONG_KIND),
        (b"1", WRONG_KIND),
        ([1, [2, 3]], WRONG_KIND),
        ({}, WRONG_KIND),
        (object(), WRONG_KIND),
    ],
)
def test_what_is_no_number_is_refused_and_said(watched, value, code):
    _, codes = watched.lanes([value])
    assert np.max(codes) == code
    assert watched.explain(value)


def test_a_list_without_elements_is_none():
    total = declared(lambda sizes: np.sum(sizes, axis=-1), (SIZES,), example=Example({"sizes": [10.0]}, 0.01))
    with pytest.raises(InputError, match="sizes: "):
        total([])


# -- what physics forbids ------------------------------------------------------------------------------


def test_an_impossible_result_is_an_error_and_says_what_it_comes_to():
    function = declared(lambda nozzle, bore: nozzle / bore, unit="%", possible="[0, 100]")
    assert function(25.0) == pytest.approx(50.0)
    assert np.isnan(function([25.0, 60.0])).tolist() == [False, True]
    with pytest.raises(InputError, match="comes to 120 %, which cannot be: from 0 to 100 % is possible"):
        function(60.0)
    assert "Possible: from 0 to 100 %." in function.describe()
    with pytest.raises(DeclarationError, match="possible results"):
        declared(lambda nozzle, bore: nozzle, possible="0 to 1")


@pytest.mark.parametrize(
    ("name", "arguments", "comes_to"),
    [
        ("outlet_level", {"flow": 1, "outlet": "round hole", "opening_width": 0.1}, "1e\\+09 mm"),
        ("outlet_width", {"flow": 1, "outlet": "slot", "water_level": 0.0001}, "1e\\+09 mm"),
        # 1 L/s through 10 m carry 98 W
        ("measured_efficiency", {"power": 11768, "flow": 1, "net_head": 10}, "1.2e\\+04 %"),
    ],
)
def test_what_physics_forbids_is_an_error(name, arguments, comes_to):
    with pytest.raises(InputError, match=f"comes to {comes_to}, which cannot be"):
        getattr(hydrofunc, name)(**arguments)
