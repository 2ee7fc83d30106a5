"""What the component remembers and asks together, in this Python: a stand-in for uno, and the worker without a pipe."""

import importlib.util
import json
import sys
import types
from pathlib import Path

import pytest

import hydrofunc
from hydrofunc.hosts.calc import build as building
from hydrofunc.hosts.calc import worker

FLOWS = [0.5 + i / 10_000 for i in range(10_000)]


class Nothing:
    def __init__(self, *arguments):
        pass

    def addImplementation(self, *arguments):
        pass


@pytest.fixture
def component(tmp_path, monkeypatch):
    """The module, and the requests that reach its worker."""
    for name in ("uno", "unohelper", "com", "com.sun", "com.sun.star", "com.sun.star.awt", "com.sun.star.lang"):
        monkeypatch.setitem(sys.modules, name, types.ModuleType(name))
    for name in ("ImplementationHelper", "Base"):
        setattr(sys.modules["unohelper"], name, type(name, (Nothing,), {}))
    sys.modules["com.sun.star.awt"].XCallback = type("XCallback", (), {})
    sys.modules["com.sun.star.lang"].XServiceInfo = type("XServiceInfo", (), {})
    source = Path(building.__file__).with_name("component.py")
    place = tmp_path / "component.py"
    place.write_text(source.read_text(encoding="utf-8"), encoding="utf-8")
    (tmp_path / "hydrofunc.json").write_text(json.dumps(building.settings(sys.executable)), encoding="utf-8")
    spec = importlib.util.spec_from_file_location("component_under_test", place)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    module.requests = []

    class InThisProcess:
        def ask(self, request, cells):
            parts = json.loads(request)
            module.requests.append(parts)
            reply = worker.answers(**parts) if isinstance(parts, dict) else worker.answer(*parts)
            return json.dumps(reply).encode() + b"\n"

    monkeypatch.setattr(module, "Worker", InThisProcess)
    module.CALLER.took = TookNoTime()
    module.PAUSE = 1e9  # as if nobody had waited, until `later`
    return module


class TookNoTime(dict):
    """As if the worker were quick: how many calls are asked together must not hang on this computer's load."""

    def get(self, name, default):
        return 1e-6


def asked(component, name, *arguments):
    own = {name: hydrofunc.find(name).fingerprint}
    ((value,),) = component.CALLER.call(name, arguments, own)
    return value


def later(component):
    """A person changes something, and does not do so within a fifth of a second."""
    component.CALLER.order.paused = True
    component.requests.clear()


def asked_in(request):
    """How many calls a request asks for."""
    return len(request["calls"]) if isinstance(request, dict) else 1


def plant(**changed):
    """The example's plant as Calc hands a block over."""
    values = hydrofunc.find("plant").example.arguments["plant"] | changed
    return tuple((name, item if isinstance(item, str) else float(item)) for name, item in values.items())


def test_three_columns_of_10000_rows_that_build_on_each_other_are_not_asked_twice(component):
    """30,000 calls, of which a hard recalculation finds every one."""

    def recalculated():
        for flow in FLOWS:
            lost = asked(component, "friction_head", flow, 100.0, 40.0, 0.01, None, None)
            speed = asked(component, "pipe_velocity", flow + lost / 1e3, 40.0)
            asked(component, "velocity_head", speed)

    component.CALLER._asked = lambda request, cells: component.requests.append(request) or [[1.0]]
    recalculated()
    assert len(component.requests) > 20_000
    later(component)
    recalculated()
    assert component.requests == []


def test_a_changed_plant_is_asked_for_all_that_was_asked_of_it_before(component):
    """Thirty nozzles: one by one the first time, then in two requests, with the same numbers as one by one."""
    nozzles = [4.0 + i / 4 for i in range(30)]

    def column(block):
        return [asked(component, "plant", block, "battery_watts", "nozzle", nozzle) for nozzle in nozzles]

    column(plant())
    assert len(component.requests) == 30
    later(component)
    other = plant(gross_head=90.0)
    watts = column(other)
    assert len(component.requests) <= 2
    rows = [list(row) for row in other]
    assert watts == [worker.answer("plant", [rows, "battery_watts", "nozzle", nozzle])[0][0] for nozzle in nozzles]


def test_a_wrong_guess_shows_nowhere(component):
    """Calls that come no more are only never looked at; each number is that of its own call."""
    for block in (plant(), plant(gross_head=80.0), plant(bore=50.0)):
        for quantity, nozzle in (("flow", 9.0), ("battery_watts", 10.0), ("flow", block[0][1] / 10)):
            expected = worker.answer("plant", [[list(row) for row in block], quantity, "nozzle", nozzle])[0][0]
            assert asked(component, "plant", block, quantity, "nozzle", nozzle) == expected


def test_a_long_table_is_asked_in_parts(component):
    """No request is so long that Calc stands still for more than some seconds."""
    component.CALLER.credit = 10_000
    for head in (100.0, 90.0):
        later(component)
        for nozzle in range(2000):
            asked(component, "plant", plant(gross_head=head), "flow", "nozzle", 4.0 + nozzle / 1000)
    assert [asked_in(request) for request in component.requests] == [component.TOGETHER] * 4


def test_a_slow_function_is_asked_for_fewer_at_once(component):
    """As many as it answers in two seconds, by what its last call took."""
    caller = component.CALLER
    for chainage in range(50):
        asked(component, "plant", plant(), "flow", "nozzle", 4.0 + chainage / 10)
    caller.took = {"plant": 0.2}
    later(component)
    asked(component, "plant", plant(gross_head=90.0), "flow", "nozzle", 4.0)
    assert asked_in(component.requests[0]) == 10


def chain(component, head, nozzle, more=()):
    """A sheet: what hangs on an answer is asked for after it. Returns what its cells show."""
    block = plant(gross_head=head, nozzle=nozzle)
    flow = asked(component, "plant", block, "flow")
    shown = [asked(component, "plant", block, "battery_watts", "cable_resistance", 0.1 + i / 50) for i in range(9)]
    shown += [asked(component, "pipe_velocity", flow, 30.0 + i) for i in range(9)]
    shown += [asked(component, "jet_diameter", nozzle, 0.8 + i / 100) for i in range(9)]
    shown += [asked(component, "plant", plant(gross_head=head), "flow", "nozzle", nozzle + i) for i in more]
    return [flow, *shown]


def test_a_changed_value_is_put_wherever_it_stood_and_what_hangs_on_an_answer_follows_it(component):
    """One request for what hangs on the nozzle, of two functions, and one for what hangs on the flow."""
    chain(component, 100.0, 9.0)
    later(component)
    chain(component, 100.0, 9.1)
    later(component)
    chain(component, 100.0, 9.2)
    assert [asked_in(request) for request in component.requests] == [19, 9]
    assert {name for name, _ in component.requests[0]["calls"]} == {"plant", "jet_diameter"}


def test_every_cell_shows_its_own_answer_whatever_changes_and_in_whatever_order(component):
    """Two inputs in turn, back again, with cells more and less, and without a pause."""
    for head, nozzle, more in (
        (100.0, 9.0, ()),
        (100.0, 9.1, (0,)),
        (90.0, 9.1, (0, 1)),
        (90.0, 9.0, ()),
        (100.0, 9.0, (1, 0)),
        (95.0, 9.3, (0, 1)),
        (95.0, 9.0, (0, 1)),
    ):
        shown = chain(component, head, nozzle, more)
        if nozzle != 9.1:
            later(component)
        component.CALLER.known, component.CALLER.known_before = {}, {}
        component.CALLER.order.forget()
        assert shown == chain(component, head, nozzle, more)


def test_wrong_guesses_are_hardly_more_than_right_ones(component):
    """Fifty cells that are there no more are not asked for again with every plant that comes."""
    for cable in range(50):
        asked(component, "plant", plant(), "battery_watts", "cable_resistance", 0.1 + cable / 100)
    for i in range(40):
        for block in (plant(), plant(gross_head=60.0 + i)):
            later(component)
            asked(component, "plant", block, "flow")
    assert 0 < len(component.CALLER.guessed) <= component.TOGETHER


def test_guesses_that_are_forgotten_are_not_kept(component, monkeypatch):
    """Of calls that nobody asks for any more nothing is left."""
    monkeypatch.setattr(component, "REMEMBERED", 100)
    for head in range(60, 90):
        later(component)
        for cable in range(50 if head < 70 else 1):
            asked(
                component,
                "plant",
                plant(gross_head=float(head)),
                "battery_watts",
                "cable_resistance",
                0.1 + cable / 100,
            )
    assert component.CALLER.guessed <= {*component.CALLER.known, *component.CALLER.known_before}


def test_places_that_are_too_many_are_forgotten(component, monkeypatch):
    monkeypatch.setattr(component, "REMEMBERED", 100)
    for i in range(1000):
        asked(component, "pipe_velocity", 1.0 + i / 1000, 40.0)
    assert len(component.CALLER.order.places) <= 101
