"""Lists in the graph: the second implementation of `physics.lists`, and what goes through a list step by step.

A list is a node of several values whose number is known in the call only. What is done to it is done to each value;
what makes one number of it is a node of its own. What follows from step to step is a loop, which may carry several
numbers at once: its start and its body are then a `tuple`, of which `pick` takes one.
"""

from collections.abc import Callable
from typing import Any

from ..physics import battery, lists, uncertainty
from .graph import Node, node
from .symbols import CannotTrace, Numpy, Symbol, apply, has_symbol, node_of

_numpy = Numpy()
# Steps of a continued fraction: of 182 cases, 1 to 1e6 degrees and factors of 0.001 to 1e5, none took more than
# 18 + 1.4 sqrt(a) of them to be exact to rounding.
_FEWEST, _MORE = 24, 2.0
_NONE = -1e300  # less than any measure
Steps = Callable[..., tuple[Any, ...]]
STAND_INS: dict[Any, Any] = {}  # what stands in physics, and what stands for it while symbols go through


def _instead_of(real: Callable[..., Any]) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Decorator: for symbols the function, for all else the one of physics."""

    def decorated(symbolic: Callable[..., Any]) -> Callable[..., Any]:
        def call(*values: Any) -> Any:
            return symbolic(*values) if has_symbol(values) else real(*values)

        STAND_INS[real] = call
        return call

    return decorated


def loop(kind: str, start: tuple[Any, ...], steps: Any, body: Steps) -> tuple[Symbol, ...]:
    """Numbers, then so many times `body` of them and of the number of the step, from 1.

    `steps` is a number, for one value `UntilStill` too, or a symbol of a number that is 1 or more.
    """
    first = _together(start)
    known = isinstance(steps, int)
    more = () if known else (node_of(steps),)

    def repeated(name: str) -> tuple[Node, Node, Node]:
        row, step = (node("variable", value=f"{part} {name}") for part in ("value", "step"))
        carried = [row] if len(start) == 1 else [node("pick", row, value=i) for i in range(1, len(start) + 1)]
        return _together(body(*map(Symbol, carried), Symbol(step))), row, step

    then, row, step = repeated(kind)
    if len(start) > 1:  # what is carried has parts, and two loops that shared them would be taken for one
        key = (first, then, more)
        if key not in _LOOPS:
            _LOOPS[key] = repeated(f"{kind} {len(_LOOPS)}")
        then, row, step = _LOOPS[key]
    found = node("loop", first, then, row, step, *more, value=steps if known else None)
    if len(start) == 1:
        return (Symbol(found),)
    return tuple(Symbol(node("pick", found, value=i)) for i in range(1, len(start) + 1))


_LOOPS: dict[tuple[Any, ...], tuple[Node, Node, Node]] = {}


def _together(parts: tuple[Any, ...]) -> Node:
    nodes = tuple(map(node_of, parts))
    return nodes[0] if len(nodes) == 1 else node("tuple", *nodes)


def _count(value: Any) -> Any:
    return value.shape[-1] if isinstance(value, Symbol) and value.node.is_list else 1.0


def _at(values: Any, place: Any) -> Any:
    """The element at a place counted from 1; a single value counts at every place."""
    if not (isinstance(values, Symbol) and values.node.is_list):
        return values
    return Symbol(node("element", values.node, node_of(place)))


# -- in place of physics.lists -----------------------------------------------------------------------------------------


@_instead_of(lists.element)
def _element(values: Any, place: Any) -> Any:
    if isinstance(values, _Stepwise):
        return values.after(place + 1)
    of = node_of(values)
    if of.op == "sorted":
        return Symbol(node("smallest", of.args[0], node_of(place + 1)))
    return _at(values, _numpy.floor(place) + 1)


@_instead_of(lists.single)
def _single(values: Any) -> Any:
    return values


@_instead_of(lists.fit_together)
def _fit_together(first: Any, *others: Any) -> Any:
    counts = [_count(value) for value in (first, *others)]
    fine: Any = True
    for i, a in enumerate(counts):
        for b in counts[i + 1 :]:
            if a is not b:
                fine = fine & (apply("or", apply("=", a, b), apply("or", apply("=", a, 1.0), apply("=", b, 1.0))))
    return fine


@_instead_of(lists.full_list)
def _full_list(values: Any, count: Any) -> Any:
    found = _count(values)
    single = apply("if", apply("=", _at(values, 1.0), 0.0), 0.0, float("nan"))
    return _numpy.where(apply("=", found, count), values, _numpy.where(apply("=", found, 1.0), single, float("nan")))


@_instead_of(lists.neighbour_products)
def _neighbour_products(values: Any, keys: Any) -> Any:
    return Symbol(node("neighbours", node_of(values), node_of(keys)))


@_instead_of(lists.best_of)
def _best_of(values: Any, measure: Any) -> Any:
    def compared(most: Any, best: Any, place: Any) -> tuple[Any, ...]:
        value = _at(values, place)
        found = measure(value)
        better = apply(">", found, most)
        return _numpy.where(better, found, most), _numpy.where(better, value, best)

    most, best = loop("best", (-1.0, 0.0), _count(values), compared)
    return _numpy.where(apply("<", most, 0.0), float("nan"), best)


@_instead_of(lists.best_by)
def _best_by(values: Any, measure: Any) -> Any:
    def compared(*carried: Any) -> tuple[Any, ...]:
        top, first, first_of, second, second_of, place = carried
        value = _at(values, place)
        *measures, counts = measure(value)
        most, other = (_numpy.where(_numpy.isnan(found), _NONE, found) for found in measures)
        more, other_more = counts & (most > first), counts & (other > second)
        return (
            _numpy.maximum(top, most),
            _numpy.where(more, most, first),
            _numpy.where(more, value, first_of),
            _numpy.where(other_more, other, second),
            _numpy.where(other_more, value, second_of),
        )

    start = (0.0, _NONE, 0.0, _NONE, 0.0)
    found: Any = loop("best", start, _count(values), compared)
    top, first, first_of, second, second_of = found
    return _numpy.where(
        top > 0,
        _numpy.where(first > _NONE, first_of, float("nan")),
        _numpy.where(second > _NONE, second_of, float("nan")),
    )


# -- step by step ------------------------------------------------------------------------------------------------------


class _Stepwise(Symbol):
    """One of the results that every step has; how far it is followed depends on what is asked."""

    def __init__(self, start: Any, count: Any, step: Any, of: Any) -> None:
        super().__init__(node("variable", value="a result of each step"))
        self._start, self._count, self._step, self._of = start, count, step, of

    @property
    def shape(self) -> tuple[Any, ...]:
        """As many as there are steps."""
        return (self._count,)

    def __truediv__(self, divisor: Any) -> "_Stepwise":
        return _Stepwise(self._start, self._count, self._step, lambda run: self._of(run) / divisor)

    def after(self, steps: Any) -> Any:
        """The result of one step, counted from 1."""

        def follow(state: Any, _: Any, now: Any) -> tuple[Any, ...]:
            run = self._step(state, now)
            return run[0], self._of(run)

        return loop("step", (self._start, 0.0), _numpy.floor(steps), follow)[1]

    def _gathered(self, first: float, gather: Any) -> Any:
        def follow(state: Any, so_far: Any, now: Any) -> tuple[Any, ...]:
            run = self._step(state, now)
            return run[0], gather(so_far, self._of(run))

        return loop("step", (self._start, first), self._count, follow)[1]

    def sum(self, axis: int = -1) -> Any:
        """Over all steps."""
        return self._gathered(0.0, lambda a, b: a + b)

    def min(self, axis: int = -1) -> Any:
        """Of all steps."""
        return self._gathered(float("inf"), _numpy.minimum)

    def max(self, axis: int = -1) -> Any:
        """Nothing asks for it."""
        raise CannotTrace("the greatest of all steps")


@_instead_of(battery.battery_run)
def _battery_run(storage: Any) -> Any:
    """As `battery.battery_run`."""
    made_there, wanted, *others = storage
    full, start = others[0], others[1]

    def step(state: Any, now: Any) -> Any:
        return battery._step(state, _at(made_there, now), _at(wanted, now), full, *others[2:])

    count = _numpy.maximum(_count(made_there), _count(wanted))
    results = [_Stepwise(start * full, count, step, lambda run, i=i: run[i]) for i in range(len(battery.Run._fields))]
    return battery.Run(*results)  # type: ignore[arg-type]


@_instead_of(uncertainty._beta_fraction)
def _beta_fraction(x: Any, a: Any, b: Any, lanes: Any) -> Any:
    """As `uncertainty._beta_fraction`, with as many steps as are enough: they grow with the root of a parameter."""
    x = _numpy.where(lanes, x, 0.0)
    first = 1 / uncertainty._away_from_zero(1 - (a + b) * x / (a + 1))

    def step(c: Any, d: Any, value: Any, m: Any) -> tuple[Any, ...]:
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for coefficient in (even, odd):
            d = 1 / uncertainty._away_from_zero(1 + coefficient * d)
            c = uncertainty._away_from_zero(1 + coefficient / c)
            value = value * d * c
        return c, d, value

    steps = _numpy.ceil(_FEWEST + _MORE * _numpy.sqrt(_numpy.maximum(a, b)))
    return loop("fraction", (1.0, first, first), _numpy.where(lanes, steps, 1.0), step)[2]
