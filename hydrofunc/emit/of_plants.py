"""What the functions of a whole plant beside HYDRO_PLANT need of the plant's block, and their graphs."""

from dataclasses import dataclass

from ..catalogue import choose
from ..physics import choose as physics
from ..registry import Argument, Function, Rule
from ..units import from_si, to_si
from .graph import Node
from .symbols import CannotTrace, node_of
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


def nozzle_at_hand() -> OfPlant:
    """Of the nozzles at hand the one with most watts. Raises `CannotTrace`."""
    inner = choose._single(frozenset())
    inputs = tuple(a for a in inner.arguments if a.name != choose.SIZES.name)
    known = {a.name: symbol_of(a) if a.is_text else to_si(symbol_of(a), a.unit) for a in inputs}
    try:
        with tracing():
            answer = physics.most_watts(known, to_si(symbol_of(choose.SIZES), choose.SIZES.unit))
            graph = node_of(from_si(answer, inner.unit))
    except CannotTrace as error:
        raise CannotTrace(f"{choose.FUNCTION.name}: {error}") from None
    return OfPlant(choose.FUNCTION, inputs, inner.rules, (choose.SIZES,), graph)


OF_PLANTS = {"nozzle_at_hand": nozzle_at_hand}
