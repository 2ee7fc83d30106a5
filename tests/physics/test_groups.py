"""Groups of arguments: built from names, with any number of pipe sections, and the flat form that worksheets call."""

import inspect

import numpy as np
import pytest

from hydrofunc.physics.groups import Outlet, Pipe, Section, Water, in_lanes, over
from hydrofunc.physics.nozzle import nozzle_head, operating_flow
from hydrofunc.physics.pipe import penstock_head
from hydrofunc.physics.strength import pipe_volume

WATER = Water(283.15, 9.80665)
QUARTER = {"length": 50.0, "bore": 0.04, "roughness": 7e-6}


def in_parts(count):
    """200 m of one pipe, by the names of so many sections."""
    names = {"fittings": 2.0}
    for number in range(1, count + 1):
        end = "" if number == 1 else f"_{number}"
        names |= {name + end: value for name, value in QUARTER.items()} | {f"length{end}": 200.0 / count}
    return names


@pytest.mark.parametrize("count", [1, 2, 4, 7])
def test_a_pipe_has_as_many_sections_as_there_are_names(count):
    """However often it is cut, it is the same pipe: it loses as much head, holds as much water, and passes as much."""
    pipe = Pipe.from_names(in_parts(count))
    assert len(pipe.sections) == count
    whole = Pipe((Section(200.0, 0.04, 7e-6),), 2.0)
    assert penstock_head(0.002, pipe, WATER) == pytest.approx(penstock_head(0.002, whole, WATER), rel=1e-12)
    assert pipe_volume(pipe) == pytest.approx(np.pi * 0.02**2 * 200, rel=1e-12)
    outlet = Outlet(0.008, 1.0, 0.97, 1.0)
    flows = [operating_flow(60.0, each, outlet, WATER, np.inf) for each in (pipe, whole)]
    assert flows[0] == pytest.approx(flows[1], rel=1e-12)


def test_a_section_of_no_length_is_none_whatever_its_bore():
    """In one lane, or in all; a bore of 0 divides nothing."""
    lengths = np.array([0.0, 30.0])
    names = in_parts(1) | {"length_2": lengths, "bore_2": np.array([0.0, 0.03]), "roughness_2": 0.0}
    lost = penstock_head(0.002, Pipe.from_names(names), WATER)
    assert lost[0] == pytest.approx(penstock_head(0.002, Pipe.from_names(in_parts(1)), WATER), rel=1e-14)
    assert lost[1] > lost[0]


def test_single_names_and_groups_are_the_same_function():
    names = ["flow", "nozzle", "jets", "velocity_coefficient", "contraction", "gravity"]
    assert list(inspect.signature(nozzle_head.flat).parameters) == names
    assert list(inspect.signature(nozzle_head).parameters) == ["flow", "outlet", "gravity"]
    values = (0.002, 0.008, 1.0, 0.97, 1.0, 9.80665)
    head = nozzle_head(0.002, Outlet(*values[1:5]), 9.80665)
    assert nozzle_head.flat(*values) == nozzle_head.flat(**dict(zip(names, values, strict=True))) == head
    for wrong in ({}, dict(zip(names, values, strict=True)) | {"bore": 1.0}):
        with pytest.raises(TypeError):
            nozzle_head.flat(**wrong)


def test_every_value_of_a_group_within_a_group_is_reached():
    doubled = over(lambda value: 2 * value, (Pipe((Section(1.0, 2.0, 3.0, 4.0),), 5.0), 6.0))
    assert doubled == (Pipe((Section(2.0, 4.0, 6.0, 8.0),), 10.0), 12.0)


def test_a_bore_of_zero_gives_no_exception_in_a_single_call_either():
    """Division by it is endless as in an array; where the section has no length, its bore does not matter."""
    with np.errstate(divide="ignore"):
        for bore in (0.0, np.array([0.0])):
            section = Section(10.0, bore, 0.0, 1000.0).filled()
            assert np.isinf(section.length / section.bore)
    assert Section(0.0, 0.0, 0.0, 0.0).filled() == (0.0, 1.0, 0.0, 1.0)


def test_a_function_is_asked_in_the_lanes_that_need_it_and_in_no_others():
    asked = []

    def halved(value, pair):
        asked.append(value)
        return value / 2, pair[1]

    values, pair = np.array([2.0, 4.0, 6.0]), (1.0, np.array([7.0, 8.0, 9.0]))
    first, second = in_lanes(np.array([True, False, True]), halved, (values, np.zeros(3)), values, pair)
    assert first.tolist() == [1.0, 4.0, 3.0] and second.tolist() == [7.0, 0.0, 9.0]
    assert asked[0].tolist() == [2.0, 6.0]
    assert in_lanes(np.zeros(3, bool), halved, values, values, pair) is values and len(asked) == 1
