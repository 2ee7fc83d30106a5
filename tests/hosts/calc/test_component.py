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
            name, arguments, *more = parts
            reply = worker.answers(name, arguments, *more) if len(more) > 1 else worker.answer(name, arguments, *more)
            return json.dumps(reply).encode() + b"\n"

    monkeypatch.setattr(module, "Worker", InThisProcess)
    module.CALLER.took = TookNoTime()
    return module


class TookNoTime(dict):
    """As if the worker were quick: how many calls are asked together must not hang on this computer's load."""

    def get(self, name, default):
        return 1e-6


def asked(component, name, *arguments):
    own = {name: hydrofunc.find(name).fingerprint}
    ((value,),) = component.CALLER.call(name, arguments, own)
    return value


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

    component.CALLER._asked = lambda name, arguments, fingerprints, calls=0: (
        component.requests.append(name) or ((1.0,),)
    )
    recalculated()
    assert len(component.requests) > 20_000
    component.requests.clear()
    recalculated()
    assert component.requests == []


def test_a_changed_plant_is_asked_for_all_that_was_asked_of_it_before(component):
    """Thirty nozzles: one by one the first time, then in two requests, with the same numbers as one by one."""
    nozzles = [4.0 + i / 4 for i in range(30)]

    def column(block):
        return [asked(component, "plant", block, "battery_watts", "nozzle", nozzle) for nozzle in nozzles]

    column(plant())
    assert len(component.requests) == 30
    component.requests.clear()
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
    for head in (100.0, 90.0):
        component.requests.clear()
        for nozzle in range(2000):
            asked(component, "plant", plant(gross_head=head), "flow", "nozzle", 4.0 + nozzle / 1000)
    assert [len(request[1][3]) for request in component.requests[1:]] == [component.TOGETHER] * 3


def test_a_slow_function_is_asked_for_fewer_at_once(component):
    """As many as it answers in two seconds, by what its last call took."""
    caller = component.CALLER
    for chainage in range(50):
        caller.call("plant", (plant(), "flow", "nozzle", 4.0 + chainage / 10), {})
    caller.took = {"plant": 0.2}
    component.requests.clear()
    caller.call("plant", (plant(gross_head=90.0), "flow", "nozzle", 4.0), {})
    assert component.requests[0][3] == 10
