"""Symbols in place of numbers, and what stands for numpy while physics works on them.

A symbol behaves like a single number or word. A decision of Python on one cannot be traced: `np.any` of a symbol is
true and `np.all` is false, so that physics takes its general path, and any other decision raises `CannotTrace`.
"""

import math
from typing import Any

import numpy as np

from .graph import Node, made, node, number, truth


class CannotTrace(Exception):
    """What a function does with a symbol is nothing that the graph can hold; the text says what."""


class Symbol:
    """Stands for one number or word; what is done to it makes the graph `node`."""

    __array_ufunc__ = None  # numpy's numbers and arrays then leave the operators to this class
    __slots__ = ("node",)
    __hash__ = object.__hash__
    dtype = np.dtype(float)

    def __init__(self, part: Node) -> None:
        self.node = part

    @property
    def shape(self) -> "tuple[Symbol, ...]":
        """How many values a list has is a symbol too."""
        return (Symbol(node("count", self.node)),) if self.node.is_list else ()

    @property
    def ndim(self) -> int:
        """1 for a list."""
        return int(self.node.is_list)

    def _refuse(self, *_: Any) -> Any:
        raise CannotTrace("a decision of Python on what is not known yet")

    __bool__ = __iter__ = __len__ = __float__ = __int__ = __index__ = _refuse

    def __getitem__(self, index: Any) -> "Symbol":
        if index in ((), Ellipsis, (Ellipsis, None)) or (index == (Ellipsis, 0) and not self.node.is_list):
            return self
        raise CannotTrace("one of several values is picked")

    def _itself(self, *_: Any, **__: Any) -> "Symbol":
        return self

    ravel = reshape = astype = copy = _itself

    def any(self, **_: Any) -> Any:
        """Of one value: the general path of physics is right for every one."""
        return apply(">", apply("if", self, 1.0, 0.0).sum(), 0.0) if self.node.is_list else True

    def all(self, **_: Any) -> Any:
        """As `any`."""
        return apply("=", apply("if", self, 0.0, 1.0).sum(), 0.0) if self.node.is_list else False

    def _one_of(self, op: str) -> "Symbol":
        if not self.node.is_table:
            raise CannotTrace(f"the {op} of a single value")
        return Symbol(node(op, self.node))

    def sum(self, axis: int = -1) -> "Symbol":
        """Of a list, or of a table of constants with which the symbol was multiplied."""
        return self._one_of("sum")

    def max(self, axis: int = -1) -> "Symbol":
        """Of a list."""
        return self._one_of("greatest")

    def min(self, axis: int = -1) -> "Symbol":
        """Of a list."""
        return self._one_of("least")

    def __neg__(self) -> "Symbol":
        return Symbol(made("neg", self.node))

    def __pos__(self) -> "Symbol":
        return self

    def __abs__(self) -> "Symbol":
        return apply("abs", self)

    def __invert__(self) -> "Symbol":
        return apply("not", self)


def _operators() -> None:
    """Every operator of Python on a symbol makes a node."""
    both = {"add": "+", "sub": "-", "mul": "*", "truediv": "/", "pow": "^", "and": "and", "or": "or"}
    compared = {"lt": "<", "le": "<=", "gt": ">", "ge": ">=", "eq": "=", "ne": "<>"}

    def forward(op: str) -> Any:
        return lambda self, other: apply(op, self, other)

    def reverse(op: str) -> Any:
        return lambda self, other: apply(op, other, self)

    for name, op in (both | compared).items():
        setattr(Symbol, f"__{name}__", forward(op))
    for name, op in both.items():
        setattr(Symbol, f"__r{name}__", reverse(op))


def node_of(value: Any) -> Node:
    """The node of a symbol, number, word, truth value or table of numbers."""
    if isinstance(value, Symbol):
        return value.node
    if isinstance(value, np.ndarray) and value.ndim == 0:
        return node_of(value.item())
    if isinstance(value, (bool, np.bool_)):
        return truth(bool(value))
    if isinstance(value, str):
        return node("word", value=str(value))
    if isinstance(value, (int, float, np.number)) and not isinstance(value, complex):
        return number(float(value))
    if isinstance(value, np.ndarray) and value.ndim == 1:
        return node("table", value=tuple(map(float, value)))
    raise CannotTrace(f"a {type(value).__name__} beside what is not known yet")


def apply(op: str, *values: Any) -> Symbol:
    """A symbol of an operation on symbols and values."""
    return Symbol(made(op, *map(node_of, values)))


_operators()


def has_symbol(value: Any) -> bool:
    """Is it a symbol, or does it hold one?"""
    if isinstance(value, (list, tuple)):
        return any(map(has_symbol, value))
    return isinstance(value, Symbol)


# -- what stands for numpy ---------------------------------------------------------------------------------------------


def _asarray(value: Any, dtype: Any = None) -> Any:
    if isinstance(value, (Symbol, str)):
        return value
    if has_symbol(value):
        raise CannotTrace("an array of what is not known yet")
    return np.asarray(value, dtype)


def _where(condition: Any, yes: Any, no: Any) -> Any:
    if not has_symbol((condition, yes, no)):
        return np.where(condition, yes, no)
    if not isinstance(condition, Symbol):
        return yes if condition else no
    return apply("if", condition, yes, no)


def _clip(value: Any, low: Any, high: Any) -> Any:
    if not has_symbol((value, low, high)):
        return np.clip(value, low, high)
    return apply("min", apply("max", value, low), high)


def _select(conditions: Any, choices: Any, default: Any = 0.0) -> Any:
    result = default
    for condition, choice in zip(reversed(list(conditions)), reversed(list(choices)), strict=True):
        result = _where(condition, choice, result)
    return result


def _isin(value: Any, words: Any) -> Any:
    if not has_symbol(value):
        return np.isin(value, words)
    found = apply("=", value, words[0])
    for word in words[1:]:
        found = found | (value == word)
    return found


def _interp(x: Any, xs: Any, ys: Any, left: Any = None, right: Any = None) -> Any:
    if not has_symbol(x):
        return np.interp(x, xs, ys, left, right)
    xs, ys = np.asarray(xs, dtype=float), np.asarray(ys, dtype=float)
    low, high = (ys[0] if left is None else left), (ys[-1] if right is None else right)
    inside = Symbol(node("interpolate", node_of(x), node_of(xs), node_of(ys)))
    return _where(x < xs[0], low, _where(x > xs[-1], high, inside))


def _divide(a: Any, b: Any, out: Any = None, where: Any = True) -> Any:
    if not has_symbol((a, b)):
        return np.divide(a, b) if out is None else np.divide(a, b, out=out, where=where)
    return apply("/", a, b) if out is None else _where(where, apply("/", a, b), out)


def _log1p(x: Any) -> Any:
    """ln(1 + x), near 0 by its series: the error of four terms is below rounding there."""
    if not has_symbol(x):
        return np.log1p(x)
    return _where(abs(x) < 1e-4, x * (1 - x * (1 / 2 - x * (1 / 3 - x / 4))), apply("ln", 1 + x))


def _expm1(x: Any) -> Any:
    """exp(x) - 1, as `_log1p`."""
    if not has_symbol(x):
        return np.expm1(x)
    return _where(
        abs(x) < 1e-3, x * (1 + x * (1 / 2 + x * (1 / 6 + x * (1 / 24 + x / 120)))), apply("-", apply("exp", x), 1)
    )


def _max(values: Any, axis: int | None = None) -> Any:
    """The greatest of a list of single values."""
    if not has_symbol(values):
        return np.max(values, axis=axis)
    greatest = values[0]
    for value in values[1:]:
        greatest = apply("max", greatest, value)
    return greatest


def _sort(values: Any, axis: int = -1) -> Any:
    """A list, or some single values, rising: then neighbours change places."""
    if not has_symbol(values):
        return np.sort(values, axis=axis)
    if isinstance(values, Symbol):
        return Symbol(node("sorted", values.node))
    rising = list(values)
    for last in range(len(rising) - 1, 0, -1):
        for i in range(last):
            rising[i : i + 2] = apply("min", *rising[i : i + 2]), apply("max", *rising[i : i + 2])
    return rising


def _broadcast_arrays(*values: Any) -> list[Any]:
    """Lists among single values: one of a single element becomes as long as the others."""
    lists = [value for value in values if isinstance(value, Symbol) and value.node.is_list]
    if len(lists) < 2:
        return list(values)
    nothing = apply("*", 0.0, lists[0])
    for value in lists[1:]:
        nothing = apply("+", nothing, apply("*", 0.0, value))
    return [apply("+", value, nothing) if any(value is one for one in lists) else value for value in values]


def _simple(op: str, real: Any) -> Any:
    def call(*values: Any, **named: Any) -> Any:
        return apply(op, *values) if has_symbol(values) else real(*values, **named)

    return call


_OPERATIONS = {
    "sqrt": "sqrt",
    "log": "ln",
    "exp": "exp",
    "sin": "sin",
    "cos": "cos",
    "tan": "tan",
    "arccos": "acos",
    "arctan": "atan",
    "abs": "abs",
    "ceil": "ceiling",
    "floor": "floor",
    "maximum": "max",
    "minimum": "min",
    "power": "^",
    "equal": "=",
    "isnan": "isnan",
}


def _only(symbolic: Any, name: str) -> Any:
    """`symbolic` for symbols, numpy's own function for all else."""
    real = getattr(np, name)

    def call(*values: Any, **named: Any) -> Any:
        return symbolic(*values) if has_symbol(values) else real(*values, **named)

    return call


_STANDS_FOR: dict[str, Any] = {
    **{name: _simple(op, getattr(np, name)) for name, op in _OPERATIONS.items()},
    "asarray": _asarray,
    "where": _where,
    "clip": _clip,
    "select": _select,
    "isin": _isin,
    "interp": _interp,
    "divide": _divide,
    "max": _max,
    "sort": _sort,
    "log1p": _log1p,
    "expm1": _expm1,
    "any": _only(lambda value: value.any() if isinstance(value, Symbol) else True, "any"),
    "all": _only(lambda value: value.all() if isinstance(value, Symbol) else False, "all"),
    "ndim": _only(lambda value: value.ndim, "ndim"),
    "shape": _only(lambda value: value.shape, "shape"),
    "sum": _only(lambda value: value.sum(), "sum"),
    "isfinite": _only(lambda value: ~apply("isnan", value), "isfinite"),
    "round": _only(lambda value, digits=0: apply("round", value, float(digits)), "round"),
    "square": _only(lambda value: apply("^", value, 2.0), "square"),
    "cbrt": _only(lambda value: apply("^", value, 1 / 3), "cbrt"),
    "hypot": _only(lambda a, b: apply("sqrt", apply("+", apply("^", a, 2.0), apply("^", b, 2.0))), "hypot"),
    "degrees": _only(lambda value: value * (180 / math.pi), "degrees"),
    "broadcast_to": _only(lambda value, shape: value, "broadcast_to"),
    "broadcast_arrays": _only(_broadcast_arrays, "broadcast_arrays"),
    "atleast_1d": _only(lambda value: value, "atleast_1d"),
    "zeros_like": _only(lambda value: 0.0, "zeros_like"),
    "full_like": _only(lambda value, fill: fill, "full_like"),
}


class Numpy:
    """Stands for numpy in a module of physics: symbols make nodes, all else goes to numpy."""

    def __getattr__(self, name: str) -> Any:
        if name in _STANDS_FOR:
            return _STANDS_FOR[name]
        real = getattr(np, name)
        if not callable(real) or isinstance(real, type):
            return real

        def guarded(*values: Any, **named: Any) -> Any:
            if has_symbol((*values, *named.values())):
                raise CannotTrace(f"np.{name} of what is not known yet")
            return real(*values, **named)

        return guarded
