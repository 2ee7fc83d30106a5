"""Runs a declared function once with symbols in place of numbers and keeps the graph of its result.

While tracing, the name `np` in every module of physics and of the catalogue stands for `symbols.Numpy`, and a few
functions are primitives: each has one implementation in physics, for arrays, and one here, for the graph. They are
what loops until it stands still (`bracketed_root`, `positive_root`), what picks lanes (`in_lanes`) and what looks
into tables (`look_up`, `value_below`, `value_above`). A root, and a few formulas that are needed everywhere, become
helpers: a body of their own that is called.
"""

import importlib
import pkgutil
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from threading import Lock
from typing import Any

import numpy as np

from .. import catalogue, physics
from ..physics import groups, nozzle, operating_point, pipe, roots, tables, water
from ..registry import Argument, Function
from ..units import from_si, to_si
from . import lists
from .graph import Node, UntilStill, made, node
from .lists import loop
from .symbols import CannotTrace, Numpy, Symbol, apply, has_symbol, node_of

NEWTON = 8  # steps in logarithms; five are exact to rounding from the guesses of physics, the rest is in hand
SMALL_HALVINGS = 44  # of a bracket in logarithms, from 1e-30 to 1e3: 5e-12 is left
CLOSE = 1e-9  # what Newton's last step may be for all to count, a share of the unknown
HALVINGS, LAST = 26, 4  # of a bracket, then steps of Newton from there: 1e-8 of the bracket, then rounding


_REAL_POSITIVE_ROOT, _REAL_BRACKETED_ROOT = roots.positive_root, roots.bracketed_root
_REAL_LOSSES = pipe.losses
_REAL_TURBULENT_FROM = nozzle._turbulent_from
_REAL_LOOK_UP, _REAL_VALUE_BELOW, _REAL_VALUE_ABOVE = tables.look_up, tables.value_below, tables.value_above


@dataclass(frozen=True, eq=False)
class Helper:
    """A body with parameters, which other bodies call; `hint` says what it is."""

    hint: str
    parameters: int
    body: Node


@dataclass(frozen=True)
class Traced:
    """A declared function as a graph: its result in the trade unit, and what must hold between its arguments."""

    arguments: tuple[Argument, ...]
    result: Node
    rules: tuple[Node, ...]


_HELPERS: dict[tuple[int, int], Helper] = {}


def _helper(hint: str, parameters: int, body: Node) -> Helper:
    return _HELPERS.setdefault((id(body), parameters), Helper(hint, parameters, body))


def _opened(value: Any, leaves: list[Node]) -> Any:
    """The same group with a parameter in place of every symbol; what is known stays. `leaves`: what the calls give."""
    if isinstance(value, tuple):
        parts = [_opened(part, leaves) for part in value]
        return type(value)(*parts) if hasattr(value, "_fields") else tuple(parts)
    if isinstance(value, Symbol):
        if value.node.op in ("number", "word"):
            return value.node.value
        leaves.append(value.node)
        return Symbol(node("parameter", value=len(leaves)))
    return value


def _called(hint: str, body_of: Callable[..., Any], *values: Any) -> Any:
    """A call of a helper whose body is made by `body_of` of parameters in place of the symbols in `values`.

    Where that gives several results there is a helper for each.
    """
    leaves: list[Node] = []
    bodies = body_of(*_opened(tuple(values), leaves))

    def call(body: Any) -> Symbol:
        return Symbol(node("call", *leaves, value=_helper(hint, len(leaves), node_of(body))))

    return tuple(map(call, bodies)) if isinstance(bodies, tuple) else call(bodies)


def _hint(function: Callable[..., Any]) -> str:
    return function.__qualname__.partition(".")[0].strip("_").lower()


def _as_helper(real: Callable[..., Any]) -> Callable[..., Any]:
    """A formula that is needed in many places, called by its name."""

    def call(*values: Any) -> Any:
        return _called(_hint(real), real, *values) if has_symbol(values) else real(*values)

    return call


# -- primitives --------------------------------------------------------------------------------------------------------


def _loop(kind: str, start: Any, steps: int, body: Callable[[Symbol, Symbol], Any]) -> Symbol:
    """`start`, then so many times `body` of the value so far and of the number of the step, from 1."""
    (found,) = loop(kind, (start,), steps, lambda value, step: (body(value, step),))
    return found


def _positive_root(
    function: Any, goal: Any, guess: Any, *arguments: Any, low: Any = roots._LEAST, high: Any = roots._MOST
) -> Any:
    """As `roots.positive_root`: Newton's steps in logarithms; between ends, where it may jump, halvings too."""
    if not has_symbol((goal, guess, arguments, low, high)):
        return _REAL_POSITIVE_ROOT(function, goal, guess, *arguments, low=low, high=high)

    def free(goal: Any, guess: Any, *arguments: Any) -> Symbol:
        aim = _ln(goal)

        def newton(s: Any, _: Any) -> Any:
            value, slope = function(apply("exp", s), *arguments)
            return s - (apply("ln", value) - aim) * value / slope

        return apply("exp", _loop("logarithm", _ln(guess), UntilStill(NEWTON), newton))

    def ends(low: Any, high: Any) -> tuple[Any, Any]:
        return (
            _ln(_numpy.maximum(low, roots._LEAST)),
            _ln(_numpy.minimum(_numpy.maximum(high, roots._LEAST), roots._MOST)),
        )

    def halved(goal: Any, low: Any, high: Any, *arguments: Any) -> Symbol:
        lowest, highest = ends(low, high)
        width = highest - lowest

        def halve(s: Any, step: Any) -> Any:
            middle = s + width * apply("^", 2.0, -step)
            return _numpy.where(function(apply("exp", middle), *arguments)[0] < goal, middle, s)

        return _loop("logarithm", lowest, SMALL_HALVINGS, halve)

    def between(goal: Any, low: Any, high: Any, guess: Any, *arguments: Any) -> Symbol:
        aim = _ln(goal)

        def logarithm(s: Any) -> tuple[Any, Any]:
            value, slope = function(apply("exp", s), *arguments)
            return _ln(value) - aim, slope / value

        other = _called(f"{_hint(function)}_halved", halved, goal, low, high, *arguments)
        return apply("exp", _newton_first(logarithm, *ends(low, high), _ln(guess), 1.0, other))

    def root(*arguments: Any) -> Any:
        if has_symbol((low, high)):
            return _called(_hint(function), between, goal, low, high, guess, *arguments)
        return _called(_hint(function), free, goal, guess, *arguments)

    return _of_one_section(root, *arguments)


def _of_one_section(function: Callable[..., Any], *arguments: Any) -> Any:
    """What a function gives; where a pipe among the arguments has one section only, by a body that knows no more."""
    for place, pipe_ in enumerate(arguments):
        if isinstance(pipe_, groups.Pipe) and len(pipe_.sections) > 1:
            first, *more = pipe_.sections
            alone = True
            for section in more:
                alone = alone & _numpy.equal(section.length, 0)
            short = [*arguments[:place], groups.Pipe((first,), pipe_.fittings), *arguments[place + 1 :]]
            return _numpy.where(alone, function(*short), function(*arguments))
    return function(*arguments)


def _newton_first(
    function: Callable[[Any], tuple[Any, Any]], low: Any, high: Any, guess: Any, size: Any, other: Any
) -> Any:
    """The root of a rising function by Newton's steps between two ends; `other` where they do not settle.

    `size`: of the unknown. The last step is a part of 1e-9 of it at most, and Newton squares the error.
    """

    def step(x: Any) -> tuple[Any, Any]:
        value, slope = function(x)
        rises = slope > 0
        return rises, _numpy.where(rises, _numpy.minimum(_numpy.maximum(x - value / slope, low), high), x)

    start = _numpy.minimum(_numpy.maximum(guess, low), high)
    near = _loop("newton", start, UntilStill(NEWTON), lambda x, _: step(x)[1])
    rises, found = step(near)
    settled = rises & (apply("abs", found - near) <= CLOSE * size)
    return _numpy.where(settled, found, other)


def _ln(value: Any) -> Any:
    return apply("ln", value)


def _bracketed_root(function: Any, low: Any, high: Any, guess: Any, *arguments: Any) -> Any:
    """As `roots.bracketed_root`: Newton; where that does not settle the bracket is halved, then Newton once more.

    It is halved by adding 1/2, 1/4 ... of it to its lower end. No bracket of ours begins below 0.
    """
    if not has_symbol((low, high, arguments)):
        return _REAL_BRACKETED_ROOT(function, low, high, guess, *arguments)

    def halved(low: Any, high: Any, *arguments: Any) -> Symbol:
        def halve(x: Any, step: Any) -> Any:
            middle = x + (high - low) * apply("^", 2.0, -step)
            return _numpy.where(function(middle, *arguments)[0] < 0, middle, x)

        def newton(x: Any, _: Any) -> Any:
            value, slope = function(x, *arguments)
            return _numpy.where(slope > 0, _numpy.minimum(_numpy.maximum(x - value / slope, low), high), x)

        return _loop("last", _loop("bracket", low, HALVINGS, halve), LAST, newton)

    def body(low: Any, high: Any, guess: Any, *arguments: Any) -> Any:
        other = _called(f"{_hint(function)}_halved", halved, low, high, *arguments)
        return _newton_first(lambda x: function(x, *arguments), low, high, guess, high, other)

    return _called(_hint(function), body, low, high, guess, *arguments)


def _in_lanes(lanes: Any, function: Any, otherwise: Any, *arguments: Any) -> Any:
    """As `groups.in_lanes`: there is one lane."""
    found = function(*arguments)
    if not isinstance(otherwise, tuple):
        return _numpy.where(lanes, found, otherwise)
    return tuple(_numpy.where(lanes, new, old) for new, old in zip(found, otherwise, strict=True))


def _look_up(table: Mapping[Any, float], *words: Any) -> Any:
    """As `tables.look_up`; words that are known choose the rows."""
    if not has_symbol(words):
        return _REAL_LOOK_UP(table, *words)
    rows: dict[str, float] = {}
    for key, value in table.items():
        parts = key if isinstance(key, tuple) else (key,)
        if all(isinstance(word, Symbol) or word == part for word, part in zip(words, parts, strict=True)):
            open_parts = [part for word, part in zip(words, parts) if isinstance(word, Symbol)]
            rows["|".join(open_parts)] = float(value)
    asked = [word.node for word in words if isinstance(word, Symbol)]
    return Symbol(node("lookup", *asked, value=tuple(rows.items()))) if rows else np.nan


def _value_below(keys: Any, values: Any, x: Any) -> Any:
    """As `tables.value_below`."""
    if not has_symbol(x):
        return _REAL_VALUE_BELOW(keys, values, x)
    return Symbol(node("below", node_of(x), node_of(np.asarray(keys)), node_of(np.asarray(values))))


def _value_above(keys: Any, values: Any, x: Any) -> Any:
    """As `tables.value_above`."""
    if not has_symbol(x):
        return _REAL_VALUE_ABOVE(keys, values, x)
    return Symbol(node("above", node_of(x), node_of(np.asarray(keys)), node_of(np.asarray(values))))


def _losses(flow: Any, pipe: Any, viscosity: Any, gravity: Any) -> Any:
    """As `pipe.losses`, section by section, so that one of no length is not calculated."""
    if not has_symbol((flow, pipe, viscosity, gravity)):
        return _REAL_LOSSES(flow, pipe, viscosity, gravity)
    first, *more = pipe.sections
    total = _REAL_LOSSES(flow, groups.Pipe((first,), pipe.fittings), viscosity, gravity)
    for section in more:
        part = _REAL_LOSSES(flow, groups.Pipe((section,)), viscosity, gravity)
        absent = _numpy.equal(section.length, 0)
        more_of_it = [_numpy.where(absent, 0.0, value) for value in (part.friction, part.slope, part.curvature)]
        friction, slope, curvature = (
            known + value
            for known, value in zip((total.friction, total.slope, total.curvature), more_of_it, strict=True)
        )
        total = total._replace(friction=friction, slope=slope, curvature=curvature)
    return total


def _turbulent_from(plant: Any) -> Any:
    """As `nozzle._turbulent_from`, 0 for a section of no length: Python leaves those out where no lane has one."""
    flows = _REAL_TURBULENT_FROM(plant)
    return [_numpy.where(_numpy.equal(section.length, 0), 0.0, flow) for section, flow in zip(plant[1].sections, flows)]


_numpy = Numpy()
_PRIMITIVES: dict[Any, Any] = {
    **lists.STAND_INS,
    roots.positive_root: _positive_root,
    roots.bracketed_root: _bracketed_root,
    groups.in_lanes: _in_lanes,
    tables.look_up: _look_up,
    tables.value_below: _value_below,
    tables.value_above: _value_above,
    nozzle._turbulent_from: _turbulent_from,
    pipe.losses: _losses,
    **{
        formula: _as_helper(formula)
        for formula in (
            pipe._colebrook_root,
            nozzle._lost,
            nozzle._best_of_pieces,
            operating_point._beyond_peak,
            operating_point._balanced_current,
            operating_point._tracked_current,
            water.kinematic_viscosity,
            water.density,
            water.vapour_pressure,
        )
    },
}
_STAND_INS: dict[int, Any] = {id(np): _numpy} | {id(real): stand_in for real, stand_in in _PRIMITIVES.items()}
_TRACING = Lock()


@contextmanager
def tracing() -> Iterator[None]:
    """Within it physics works on symbols too. One at a time, and nothing else should calculate meanwhile."""
    with _TRACING:
        before: list[tuple[Any, str, Any]] = []
        try:
            for module in _modules():
                for name, value in list(vars(module).items()):
                    stand_in = _STAND_INS.get(id(value))
                    if stand_in is not None:
                        before.append((module, name, value))
                        setattr(module, name, stand_in)
            yield
        finally:
            for module, name, value in before:
                setattr(module, name, value)


@cache
def _modules() -> tuple[Any, ...]:
    return tuple(
        importlib.import_module(f"{package.__name__}.{info.name}")
        for package in (physics, catalogue)
        for info in pkgutil.iter_modules(package.__path__)
    )


# -- functions ---------------------------------------------------------------------------------------------------------


def symbol_of(argument: Argument) -> Symbol:
    """An argument in its trade unit. Raises `CannotTrace` for a part of a plant."""
    if argument.part:
        raise CannotTrace(f"{argument.name} is {argument.allowed}")
    return Symbol(node("list" if argument.many else "argument", value=argument.name))


def traced(function: Function) -> Traced:
    """The graph of a declared function. Raises `CannotTrace`, which names the function and what stands in the way."""
    try:
        if function.resolve is not None:
            raise CannotTrace("it takes a whole plant")
        given = {argument.name: symbol_of(argument) for argument in function.arguments}
        with tracing():
            rules = tuple(node_of(rule.fine(**given)) for rule in function.rules)
            si = {a.name: given[a.name] if a.is_text else to_si(given[a.name], a.unit) for a in function.arguments}
            result = node_of(from_si(function.physics(**si), function.unit))
    except CannotTrace as error:
        raise CannotTrace(f"{function.name}: {error}") from None
    except (TypeError, ValueError, AttributeError, IndexError, KeyError, np.linalg.LinAlgError) as error:
        raise CannotTrace(f"{function.name}: {type(error).__name__}: {error}") from error
    return Traced(function.arguments, within_possible(result, function), rules)


def within_possible(result: Node, function: Function) -> Node:
    """The result, an error where it is one that physics does not allow."""
    if not function.possible:
        return result
    low, high, low_in, high_in = Argument("result", function.unit, "", function.possible).bounds
    fine = made(
        "and",
        made(">=" if low_in else ">", result, node_of(low)),
        made("<=" if high_in else "<", result, node_of(high)),
    )
    return made("if", fine, result, node("nan"))
