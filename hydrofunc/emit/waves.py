"""HYDRO_SURGE_RUN: what it needs of a plant's block, and the graphs of what waves along a pipe come to.

The formulas are those of physics, each traced by itself. What marches in steps, with nodes whose number is known in the
call only, each language has in a form of its own: which reaches a section has, which nodes stand beside a place.
"""

from dataclasses import dataclass
from typing import Any

from ..catalogue import characteristics as declared
from ..physics import characteristics as physics
from ..physics.groups import Outlet, Pipe, Water
from ..physics.pipe import losses
from ..physics.water import density, kinematic_viscosity
from ..registry import Argument, Function, Rule
from ..units import from_si, to_si
from .graph import Node, node
from .symbols import CannotTrace, Symbol, apply, node_of
from .trace import symbol_of, tracing

SECTIONS = 3
OF_A_SECTION = ("length", "travel", "impedance", "lost")
OF_THE_LINE = ("minor", "gross", "flow", "net", "share", "valve_travels", "factor")  # bar for a metre of head: factor
LINE = (*(f"{name}_{i}" for name in OF_A_SECTION for i in range(1, SECTIONS + 1)), *OF_THE_LINE)
EVENTS = ("blocked", "shut", "opened")


@dataclass(frozen=True)
class Pipeline:
    """A pipe as the waves of some events meet it: inputs, in the order in which they are judged, rules, and `LINE`."""

    inputs: tuple[Argument, ...]
    rules: tuple[Rule, ...]
    line: tuple[Node, ...]


@dataclass(frozen=True)
class Waves:
    """The graphs: of the jet blocked, of the valve that shuts or opens, and, by name, the formulas of the march.

    A formula's arguments have the names of `_formulas`, of other formulas, or those in `LINE`.
    """

    function: Function
    where: Argument
    blocked: Pipeline
    valve: Pipeline
    formulas: dict[str, Node]


def waves() -> Waves:
    """All that the writers need. Raises `CannotTrace`."""
    try:
        with tracing():
            blocked, valve = _pipeline("blocked_highest"), _pipeline("shut_highest")
            return Waves(declared.FUNCTION, declared.WHERE, blocked, valve, _formulas())
    except CannotTrace as error:
        raise CannotTrace(f"{declared.FUNCTION.name}: {error}") from None


def _pipeline(quantity: str) -> Pipeline:
    inner = declared.single(quantity)
    inputs = tuple(a for a in inner.arguments if a.name != declared.WHERE.name)
    known = {a.name: to_si(symbol_of(a), a.unit) for a in inputs}
    pipe, water = Pipe.from_names(known), Water.from_names(known)
    flow, gross = known["flow"], known["gross_head"]
    viscosity = kinematic_viscosity(water.temperature)
    minor = losses(flow, pipe, viscosity, water.gravity).fittings
    sections = [physics.of_waves(flow, part, viscosity, water.gravity) for part in pipe.sections]
    _, travels, _, lost = zip(*sections, strict=True)
    if quantity.startswith("blocked"):
        share, valve_travels = 1.0, 0.0
    else:
        share = physics.jet_share(Outlet.from_names({"velocity_coefficient": 1.0, **known}), pipe)
        valve_travels = known["valve_time"] / sum(travels)
    net = gross - sum(lost) - minor
    factor = from_si(density(water.temperature) * water.gravity, declared.FUNCTION.unit)
    line = (minor, gross, flow, apply("if", net > 0, net, float("nan")), share, valve_travels, factor)
    of_sections = [values[i] for i in range(len(OF_A_SECTION)) for values in sections]
    return Pipeline(inputs, inner.rules, tuple(map(node_of, (*of_sections, *line))))


def _formulas() -> dict[str, Node]:
    def of(*names: str) -> list[Any]:
        return [Symbol(node("argument", value=name)) for name in names]

    down, ahead = physics.from_above(*of("head_above", "water_above", "size_above", "impedance_above", "rub_above"))
    up, back = physics.from_below(*of("head_below", "water_below", "size_below", "impedance_below", "rub_below"))
    water, head = physics.met(*of("down", "ahead", "up", "back"))
    arrives, beyond, square, gross = of("down", "ahead", "square", "gross")
    last_water, last_head = physics.at_valve(arrives, beyond, square, gross, _sqrt, _copysign)
    found = {
        "throttles": physics.throttling(*of("share")),
        "square": physics.valve_square(*of("opening", "share", "flow", "net")),
        "down": down,
        "ahead": ahead,
        "up": up,
        "back": back,
        "water": water,
        "head": head,
        "last_water": last_water,
        "last_head": last_head,
    }
    nodes = {name: node_of(value) for name, value in found.items()}
    for name, other in (("head", "water"), ("last_head", "last_water")):
        nodes[name] = _in_terms_of(nodes[name], nodes[other], node("argument", value=other))
    return nodes


def _in_terms_of(root: Node, known: Node, instead: Node) -> Node:
    """The graph with another node in place of one that is known."""
    if root is known:
        return instead
    return node(root.op, *(_in_terms_of(part, known, instead) for part in root.args), value=root.value)


def _sqrt(value: Any) -> Any:
    return apply("sqrt", value)


def _copysign(value: Any, sign: Any) -> Any:
    return apply("if", sign < 0, -value, value)
