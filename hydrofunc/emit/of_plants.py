"""What the functions of a whole plant beside HYDRO_PLANT need of the plant's block, and their graphs."""

from dataclasses import dataclass
from typing import Any

from ..catalogue import characteristics, choose
from ..physics import choose as physics
from ..physics.choose import ANSWERS
from ..physics.groups import Pipe
from ..physics.pipe import widest_nozzle
from ..physics.plant import STEPS, solved
from ..registry import Argument, Function, Rule
from ..units import from_si, to_si
from .graph import Node, node
from .symbols import CannotTrace, Symbol, apply, node_of
from .trace import symbol_of, tracing


@dataclass(frozen=True)
class OfPlant:
    """A function of a plant's block and of lists of its own; the block comes first, names and values last."""

    function: Function
    inputs: tuple[Argument, ...]  # of the plant, in the order in which they are judged
    rules: tuple[Rule, ...]
    lists: tuple[Argument, ...]
    graph: Node

    @property
    def arguments(self) -> tuple[Argument, ...]:
        """All that the graph needs."""
        return *self.inputs, *self.lists


def _of_the_block(inner: Function, lists: tuple[Argument, ...]) -> tuple[tuple[Argument, ...], dict[str, Any]]:
    """What a function of single inputs takes from the plant, and the symbols of that in SI units."""
    own = {argument.name for argument in lists}
    inputs = tuple(a for a in inner.arguments if a.name not in own)
    return inputs, {a.name: symbol_of(a) if a.is_text else to_si(symbol_of(a), a.unit) for a in inputs}


def nozzle_at_hand() -> OfPlant:
    """Of the nozzles at hand the one with most watts. Raises `CannotTrace`."""
    inner = choose._single(frozenset())
    inputs, known = _of_the_block(inner, (choose.SIZES,))
    try:
        with tracing():
            answer = physics.most_watts(known, to_si(symbol_of(choose.SIZES), choose.SIZES.unit))
            graph = node_of(from_si(answer, inner.unit))
    except CannotTrace as error:
        raise CannotTrace(f"{choose.FUNCTION.name}: {error}") from None
    return OfPlant(choose.FUNCTION, inputs, inner.rules, (choose.SIZES,), graph)


@dataclass(frozen=True)
class Seasons:
    """The function of a year: what the search for seasons needs, which each language has in a form of its own."""

    function: Function
    inputs: tuple[Argument, ...]  # of the plant, in the order in which they are judged
    rules: tuple[Rule, ...]
    lists: tuple[Argument, ...]  # sizes, flows, days
    watts: Node  # with one size and one flow; 0 where all jets are wider than the pipe
    fits: Node  # 1 for a size of which all jets are not wider than the pipe, else 0


def nozzle_season() -> Seasons:
    """Which nozzle to fit in which season. Raises `CannotTrace`."""
    inner = choose._season(ANSWERS[0], frozenset())
    lists = (choose.SIZES, choose.MONTHLY, choose.DAYS)
    inputs, known = _of_the_block(inner, lists)
    size, flow = (to_si(Symbol(node("argument", value=a.name)), a.unit) for a in lists[:2])
    try:
        with tracing():
            widest = widest_nozzle(known.get("jets", 1.0), Pipe.from_names(known))
            nozzle = {"nozzle": apply("min", size, widest), "available_flow": flow}
            watts = solved("battery_watts", known | nozzle, STEPS)
            fits = size <= widest
            roots = node_of(apply("if", fits, watts, 0.0)), node_of(apply("if", fits, 1.0, 0.0))
    except CannotTrace as error:
        raise CannotTrace(f"{choose.SEASON.name}: {error}") from None
    rules = tuple(rule for rule in inner.rules if rule is not choose.AS_MANY)  # that one each language has by hand
    return Seasons(choose.SEASON, inputs, rules, lists, *roots)


OF_PLANTS = frozenset(function.name for function in (choose.FUNCTION, choose.SEASON, characteristics.FUNCTION))
