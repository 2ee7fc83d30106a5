"""A formula that has been read: a tree of nodes, each of which knows what it refers to.

+x is x; `Paren` stays in the tree, for (A1:A3) is not everywhere the same as A1:A3.
"""

from dataclasses import dataclass

from .lanes import ExcelError
from .reference import Reference

# Which of its arguments a function may return as the references they are.
_MAY_RETURN = {"INDEX": slice(0, 1), "XLOOKUP": slice(2, 3), "IF": slice(1, None), "CHOOSE": slice(1, None)}


class Node:
    """A part of a formula."""

    __slots__ = ()

    def parts(self) -> tuple["Node", ...]:
        """The nodes directly below."""
        return ()

    def unwrapped(self) -> "Node":
        """The node without parentheses around it."""
        return self

    def reference(self) -> Reference | None:
        """The cells it stands for, in parentheses or not; None where it is an expression."""
        return None

    def refers(self) -> bool:
        """Does it give a reference, so that SUM skips text in the cells?"""
        return False

    def has_range(self) -> bool:
        """Does a range of more than one cell stand anywhere in it?"""
        return any(part.has_range() for part in self.parts())


@dataclass(frozen=True, slots=True)
class Value(Node):
    """A number, a text, a boolean or an error value, written as such."""

    value: float | str | bool | ExcelError


@dataclass(frozen=True, slots=True)
class Missing(Node):
    """An argument left out, as in IF(A1,,5)."""


@dataclass(frozen=True, slots=True)
class Ref(Node):
    """Cells."""

    cells: Reference

    def reference(self) -> Reference:
        return self.cells

    def refers(self) -> bool:
        return True

    def has_range(self) -> bool:
        return not self.cells.single


@dataclass(frozen=True, slots=True)
class Array(Node):
    """An array constant such as {1,2;3,4}: rows of plain values."""

    rows: list


@dataclass(frozen=True, slots=True)
class _Around(Node):
    """Something done to one other node."""

    inner: Node

    def parts(self) -> tuple[Node, ...]:
        return (self.inner,)


class Minus(_Around):
    """-x"""

    __slots__ = ()


class Percent(_Around):
    """x%"""

    __slots__ = ()


class Paren(_Around):
    """(x)"""

    __slots__ = ()

    def unwrapped(self) -> Node:
        return self.inner.unwrapped()

    def reference(self) -> Reference | None:
        return self.inner.reference()

    def refers(self) -> bool:
        return self.inner.refers()


@dataclass(frozen=True, slots=True)
class Chain(Node):
    """a - b + c: operators of one rank, from left to right. `steps` are (sign, node)."""

    first: Node
    steps: tuple[tuple[str, Node], ...]

    def parts(self) -> tuple[Node, ...]:
        return (self.first, *(node for _, node in self.steps))


@dataclass(frozen=True, slots=True)
class Call(Node):
    """A call of a function by its name in capitals."""

    name: str
    arguments: tuple[Node, ...]

    def parts(self) -> tuple[Node, ...]:
        return self.arguments

    def may_return(self) -> tuple[Node, ...]:
        """The arguments that the function may return as the references they are."""
        return self.arguments[_MAY_RETURN[self.name]] if self.name in _MAY_RETURN else ()

    def refers(self) -> bool:
        return any(argument.refers() for argument in self.may_return())
