"""The expression graph: what a calculation does to its inputs. Equal nodes are one object, so shared parts are shared.

What is known beforehand is calculated when a node is made. A node with several values, a table, a list or a calculation
with one, is told by `is_table`; `is_list` says that how many they are is not known before the call.
"""

import math
from collections.abc import Callable, Iterator
from typing import Any

# What makes one number of a table or a list.
_MAKES_ONE = frozenset("sum interpolate below above element smallest count greatest least neighbours".split())


class Node:
    """An operation and what it works on: other nodes; `value` is the number, word or name that some operations have."""

    __slots__ = ("args", "is_list", "is_table", "op", "value")

    def __init__(self, op: str, args: tuple["Node", ...], value: Any) -> None:
        self.op, self.args, self.value = op, args, value
        many = [] if op in _MAKES_ONE else args
        self.is_list: bool = op == "list" or any(a.is_list for a in many)
        self.is_table: bool = op in ("table", "list") or any(a.is_table for a in many)

    def __repr__(self) -> str:
        return (
            f"{self.op}({', '.join([*map(repr, self.args), *([repr(self.value)] if self.value is not None else [])])})"
        )


class UntilStill(int):
    """So many steps of a loop, fewer where a step has moved the value by less than `STILL`."""


STILL = 1e-8  # Newton's next step is of the order of its square
_NODES: dict[Any, Node] = {}


def node(op: str, *args: Node, value: Any = None) -> Node:
    """The one node of this operation, these parts and this value."""
    key = (op, tuple(map(id, args)), type(value), value)
    found = _NODES.get(key)
    if found is None:
        found = _NODES[key] = Node(op, args, value)
    return found


def number(value: float) -> Node:
    """A number; NaN is a node of its own, an error in a worksheet."""
    value = float(value)
    if value != value:
        return node("nan")
    return node("number", value=value + 0.0)  # no -0.0


def truth(value: bool) -> Node:
    """True or false."""
    return node("truth", value=bool(value))


_BY_TWO: dict[str, Callable[[Any, Any], Any]] = {
    "+": lambda a, b: a + b,
    "-": lambda a, b: a - b,
    "*": lambda a, b: a * b,
    "/": lambda a, b: a / b,
    "^": lambda a, b: a**b,
    "max": max,
    "min": min,
    "<": lambda a, b: a < b,
    "<=": lambda a, b: a <= b,
    ">": lambda a, b: a > b,
    ">=": lambda a, b: a >= b,
    "=": lambda a, b: a == b,
    "<>": lambda a, b: a != b,
}
_BY_ONE: dict[str, Callable[[Any], Any]] = {
    "neg": lambda a: -a,
    "sqrt": math.sqrt,
    "ln": math.log,
    "exp": math.exp,
    "sin": math.sin,
    "cos": math.cos,
    "tan": math.tan,
    "abs": abs,
    "not": lambda a: not a,
    "isnan": lambda a: False,
}


def _known(part: Node) -> bool:
    return part.op in ("number", "truth", "word")


def _folded(op: str, args: tuple[Node, ...]) -> Node | None:
    """The node of the result where that is known beforehand."""
    if not all(map(_known, args)):
        return None
    values = [part.value for part in args]
    try:
        if len(args) == 1 and op in _BY_ONE:
            result = _BY_ONE[op](*values)
        elif len(args) == 2 and op in _BY_TWO:
            result = _BY_TWO[op](*values)
        else:
            return None
    except (ArithmeticError, ValueError):
        return None
    if isinstance(result, bool):
        return truth(result)
    return number(result) if isinstance(result, float) else None


def _is(part: Node, value: float) -> bool:
    return part.op == "number" and part.value == value


def made(op: str, *args: Node) -> Node:
    """A node of this operation, as simple as the laws of arithmetic allow without another rounding."""
    folded = _folded(op, args)
    if folded is not None:
        return folded
    if op in ("+", "-", "*", "/", "^"):
        return _arithmetic(op, *args)
    if op in ("and", "or"):
        neutral = op == "and"
        for known, other in (args, args[::-1]):
            if known.op == "truth":
                return other if known.value is neutral else known
        return args[0] if args[0] is args[1] else node(op, *args)
    if op == "if":
        condition, yes, no = args
        if condition.op == "truth":
            return yes if condition.value else no
        if condition.op == "not":
            return made("if", condition.args[0], no, yes)
        return yes if yes is no else node(op, *args)
    if op == "not" and args[0].op == "not":
        return args[0].args[0]
    if op == "isnan" and args[0].op == "nan":
        return truth(True)
    if op in ("max", "min") and any(part.is_table for part in args):  # else the greatest of the whole table
        return node("if", node(">" if op == "max" else "<", *args), *args)
    return node(op, *args)


def _arithmetic(op: str, a: Node, b: Node) -> Node:
    if (op == "+" and _is(a, 0)) or (op == "*" and _is(a, 1)):
        return b
    if (op in "+-" and _is(b, 0)) or (op in "*/^" and _is(b, 1)):
        return a
    if op == "^" and _is(b, 0):
        return number(1.0)  # a worksheet has an error for 0 to the power 0
    return node(op, a, b)


def parts_of(root: Node) -> Iterator[Node]:
    """Every node of a graph once, each after the parts it works on."""
    seen: set[int] = set()
    stack: list[tuple[Node, bool]] = [(root, False)]
    while stack:
        part, ready = stack.pop()
        if ready:
            yield part
        elif id(part) not in seen:
            seen.add(id(part))
            stack.append((part, True))
            stack.extend((other, False) for other in reversed(part.args))
