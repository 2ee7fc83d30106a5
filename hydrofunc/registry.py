"""One declaration per worksheet function; every host, page and test reads it.

`declare` joins a pure SI function of `hydrofunc.physics` to its name, trade units, allowed ranges,
help and source. A declared `Function` is called with trade units. Three doors lead in, and they share
one reading of the arguments:

- calling it, from Python: a scalar call raises `InputError` for bad input; in an array call the bad
  elements, and only they, become NaN;
- `Function.explain`: says which elements are bad, which argument, and why;
- `Function.lanes`, for spreadsheets: values beside a code per element, OUT_OF_RANGE (a worksheet
  shows #NUM!) or WRONG_KIND (#VALUE!). Hosts reach it with `from_cells`, which reads what stands in cells.
"""

import hashlib
import inspect
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from math import inf, isfinite
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

# What hosts read cells with stands in a module of its own and is reached through this one.
from .cells import (  # noqa: F401
    COLUMNS,
    ERROR_TEXTS,
    NO_BLOCK,
    Cells,
    explain_cells,
    from_cells,
    inputs_of,
    range_cells,
    resolved,
    with_error_texts,
)
from .errors import DeclarationError, InputError
from .units import TEXT, TO_SI, from_si, to_si

FINE, OUT_OF_RANGE, WRONG_KIND = 0, 1, 2
REQUIRED = object()  # the default of an argument that must be given
HELP_LIMIT = 255  # characters; a spreadsheet cuts longer help
PREFIX = "HYDRO_"

Values = Any  # of an argument or a result: a number, a word, or an array of them
Codes = np.uint8 | NDArray[np.uint8] | None  # None: all is fine
Physics = Callable[..., Any]  # a function of hydrofunc.physics

_INTERVAL = re.compile(r"([\[(])\s*(\S+)\s*,\s*(\S+)\s*([\])])")
_CELL_ADDRESS = re.compile(r"[a-z]{1,3}[0-9]+|r[0-9]*c[0-9]*")
_NAME = re.compile(r"[a-z][a-z0-9_]*[a-z0-9]")
# Words VBA keeps for itself (Microsoft, VBA language specification [MS-VBAL], section 3.3.5.2, reserved
# identifiers; list from memory, not looked up), and `caller`, which xlwings fills in by itself.
_RESERVED = frozenset(
    """abs addressof alias and any append array as attribute base begin binary boolean byref byte byval call
    case cbool cbyte ccur cdate cdbl cdec chdir chdrive cint circle clng clnglng clngptr close compare const csng
    cstr currency cvar cverr date debug decimal declare defbool defbyte defcur defdate defdbl defdec defint deflng
    deflnglng deflngptr defobj defsng defstr defvar dim do doevents double each else elseif empty end endif enum
    eqv erase error event exit explicit false fix for friend function get global gosub goto if imp implements in
    input inputb instr int integer is lbound len lenb let lib like line lock long longlong longptr loop lset me mid
    midb mod name new next not nothing null object on open option optional or output paramarray preserve print
    private property pset public put raiseevent random read redim rem resume return rset scale seek select set sgn
    shared single spc static step stop string sub tab then to true type typeof ubound unload unlock until variant
    wend while width with withevents write xor caller""".split()
)


# What an argument stands for in a function that takes a whole plant, and what it takes, in words.
PARTS = {
    "block": "two columns, names and values",
    "names": "names of inputs of the plant",
    "values": "as many as the names, in the unit of the argument of that name",
    "quantity": "one of the function's list; a word that is not on it shows the list in HYDRO_EXPLAIN",
    "which": "what the quantity asks for",
    "lines": "four columns: name of an input, half of its range, spread, middle",
}


@dataclass(frozen=True)
class Argument:
    """One argument: its name, trade unit, meaning, allowed range or choices, and default."""

    name: str
    unit: str
    meaning: str
    within: str = ""  # an interval such as "(0, 500]", in the trade unit; not for words
    default: object = REQUIRED
    choices: tuple[str, ...] = ()  # allowed words; empty: any text, the function's table decides
    many: bool = False  # takes a range of cells or a list
    part: str = ""  # of a function that takes a whole plant: a key of `PARTS`

    def with_(self, **changes: Any) -> "Argument":
        """The same argument with some fields changed, most often the default."""
        return replace(self, **changes)

    @property
    def required(self) -> bool:
        """Must it be given?"""
        return self.default is REQUIRED

    @property
    def is_text(self) -> bool:
        """Does it take a word instead of a number?"""
        return self.unit == TEXT

    @cached_property
    def bounds(self) -> tuple[float, float, bool, bool]:
        """(lowest, highest, lowest allowed?, highest allowed?) in the trade unit.

        Raises `DeclarationError` where `within` is no interval.
        """
        if not _INTERVAL.fullmatch(self.within):
            raise DeclarationError(f"argument {self.name} has no allowed range such as (0, 500]")
        return _bounds(self.within)

    @property
    def allowed(self) -> str:
        """The allowed range or choices, in words."""
        if self.part:
            return PARTS[self.part]
        if self.is_text:
            return "one of " + ", ".join(self.choices) if self.choices else "a word from the function's table"
        return in_words(self.bounds, self.unit)

    @property
    def default_text(self) -> str:
        """The default as a person reads it, "no limit" for an infinite one."""
        if self.default == inf:
            return "no limit"
        return f"{self.default:g}" if isinstance(self.default, (int, float)) else str(self.default)

    def read(self, value: Values) -> tuple[Values, Codes]:
        """Values in the trade unit and, where any is bad, a code per element.

        `value` is None (left out), a number, a word, or an array; an object array may mix numbers, words,
        booleans and None. Returns (values, codes), codes being None where all is fine.
        """
        if value is None:
            if self.required:
                return ("" if self.is_text else np.nan), np.uint8(WRONG_KIND)
            return self.default, None
        return self._read_text(value) if self.is_text else self._read_number(value)

    def _read_number(self, value: Values) -> tuple[Values, Codes]:
        values: Values
        codes: Codes
        if isinstance(value, float) or (type(value) is int and abs(value) < 1e300):
            values, codes = float(value), None
        else:
            values, codes = _numbers(value, None if self.required else self.default)
        fine = _inside(values, self.bounds)
        if not self.required:
            fine = fine | (values == self.default)
        if fine is True or np.all(fine):
            return values, codes
        return values, _first_codes(codes, np.where(fine, np.uint8(FINE), np.uint8(OUT_OF_RANGE)))

    def _read_text(self, value: Values) -> tuple[Values, Codes]:
        if isinstance(value, str):
            word = _word(value)
            return word, (None if self._knows(word) else np.uint8(WRONG_KIND))
        array = _array(value, object)
        words = np.empty(array.shape, dtype=object)
        words.flat = [  # type: ignore[misc, assignment]  # numpy's stub knows the reading of `flat` only
            self.default if item is None and not self.required else _word(item) for item in array.flat
        ]
        known = {word: self._knows(word) for word in set(words.flat)}
        codes = np.array([FINE if known[word] else WRONG_KIND for word in words.flat], dtype=np.uint8)
        codes = codes.reshape(array.shape)
        if array.ndim == 0:
            return str(words[()]), (codes[()] if np.any(codes) else None)
        return words.astype(str), (codes if np.any(codes) else None)

    def _knows(self, word: str) -> bool:
        return word != "" and (not self.choices or word in self.choices)


@lru_cache(maxsize=1024)
def _bounds(within: str) -> tuple[float, float, bool, bool]:
    """An interval such as "(0, 500]" as (lowest, highest, lowest allowed?, highest allowed?)."""
    interval = _INTERVAL.fullmatch(within)
    assert interval is not None
    left, low, high, right = interval.groups()
    return float(low), float(high), left == "[", right == "]"


def _inside(values: Values, bounds: tuple[float, float, bool, bool]) -> Any:
    """Where values lie in an interval."""
    low, high, low_in, high_in = bounds
    return (values >= low if low_in else values > low) & (values <= high if high_in else values < high)


def in_words(bounds: tuple[float, float, bool, bool], unit: str) -> str:
    """An interval as a person reads it."""
    low, high, low_in, high_in = bounds
    parts = []
    if low != -inf:
        parts.append(f"{'from' if low_in else 'above'} {low:g}")
    if high != inf:
        parts.append(f"{'to' if high_in else 'below'} {high:g}")
    return (" ".join(parts) or "any number") + ("" if unit == "-" else f" {unit}")


def _literal(item: Any) -> str:
    """A value inside an array constant of a worksheet."""
    return '"' + item.replace('"', '""') + '"' if isinstance(item, str) else f"{item:.15g}"


def _first_codes(codes: Any, more: Any) -> Any:
    """For each element its code, or where that is fine, or there is none yet, the code of `more`."""
    return more if codes is None else np.where(codes > 0, codes, more)


def _word(item: Any) -> str:
    """A choice as the tables spell it; a number such as 25 is the word "25", and 1½ is the word "1 1/2"."""
    if isinstance(item, str):
        return " ".join(item.translate(_SPELT).split()).lower()
    number = _float(item)
    if number is None or not isfinite(number):
        return ""
    return str(int(number)) if number == int(number) else repr(number)


# What spreadsheet programs make of 1/2 while one types it.
FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4"}
_SPELT = {ord(sign): f" {digits}" for sign, digits in FRACTIONS.items()}


def spelt_out(formula: str) -> str:
    """The same in a worksheet, but for blanks: a formula of a word, in which 1½ is "1 1/2"."""
    for sign, digits in FRACTIONS.items():
        formula = f'SUBSTITUTE({formula},"{sign}"," {digits}")'
    return formula


def _float(item: Any) -> float | None:
    """A plain number as a float, infinite where it is too large for one; None for a boolean and all else."""
    if isinstance(item, (bool, np.bool_)) or not isinstance(item, (int, float, np.integer, np.floating)):
        return None
    try:
        return float(item)
    except OverflowError:
        return inf if item > 0 else -inf


def _array(value: Values, dtype: Any = None) -> NDArray[Any]:
    """Any value as an array; lists of unlike lengths inside each other are one thing that is no number."""
    try:
        return np.asarray(value, dtype=dtype)
    except ValueError:
        return np.array(None, dtype=object)


def _numbers(value: Values, default: object) -> tuple[NDArray[np.float64], Codes]:
    """A float array of what a caller or a worksheet hands over, with codes where an element is no number."""
    array = _array(value)
    if array.dtype.kind in "fiu" and (isinstance(value, np.ndarray) or not _has_booleans(value)):
        return array.astype(float, copy=False)[()], None
    array = _array(value, object)
    values, codes = np.full(array.shape, np.nan), np.zeros(array.shape, dtype=np.uint8)
    for index, item in np.ndenumerate(array):
        number = default if item is None else _float(item)
        if number is None:
            codes[index] = WRONG_KIND
        else:
            values[index] = number
    return values[()], (codes[()] if codes.any() else None)


def _has_booleans(value: Values) -> bool:
    """Does a list hold True or False? Among numbers numpy takes them for 1 and 0."""
    return any(isinstance(item, (bool, np.bool_)) for item in np.ravel(_array(value, object)))


@dataclass(frozen=True)
class Rule:
    """A condition that ties arguments together, such as "the nozzle is smaller than the bore".

    `fine` takes the values of all arguments by name, in trade units, and returns True where all is well;
    `argument` is the one to blame; `needs` completes the sentence "<argument> must ...".
    """

    argument: str
    needs: str
    fine: Callable[..., Any]


@dataclass(frozen=True)
class Example:
    """A worked example: arguments in trade units, the result to the digits shown, and one sentence."""

    arguments: dict[str, Any]
    result: float
    words: str = ""


@dataclass(frozen=True)
class Problem:
    """One bad element of a call: its index (empty for a scalar), the argument and the reason."""

    index: tuple[int, ...]
    argument: str
    reason: str

    def __str__(self) -> str:
        element = f"element {', '.join(map(str, self.index))}: " if self.index else ""
        return f"{element}{self.argument}: {self.reason}"


class Prepared(NamedTuple):
    """The inputs of a call, read and judged: SI values by name, and codes where any is bad.

    Where a lane is bad, the values are those of the first lane that is not: physics never meets what is not allowed.
    hopeless: no lane is good, or there is none; `shape` is that of the result.
    """

    si: dict[str, Values]
    shape: tuple[int, ...]
    codes: Codes
    hopeless: bool


@dataclass(frozen=True)
class Function:
    """A declared worksheet function. Call it with trade units; see the module's text for its doors."""

    name: str
    group: str
    help: str
    arguments: tuple[Argument, ...]
    unit: str  # of the result
    meaning: str  # of the result
    symbol: str
    equation: str
    source: str
    example: Example
    caution: str
    rules: tuple[Rule, ...]
    physics: Physics
    # Of a function that takes a whole plant: (its own arguments, the rows of the block, the values to change, all as
    # `Cells` by name) to the function of single inputs that answers, and the `Cells` of its arguments.
    resolve: Callable[..., Any] | None = None
    possible: str = ""  # results that physics allows, an interval in the trade unit; another one is an error
    one_by_one: bool = False  # lanes are solved together, so that the last bits of one hang on those beside it

    @property
    def sheet_name(self) -> str:
        """The name in a cell: HYDRO_FRICTION_HEAD."""
        return PREFIX + self.name.upper()

    @property
    def __name__(self) -> str:
        return self.name

    @cached_property
    def __signature__(self) -> inspect.Signature:
        kind = inspect.Parameter.POSITIONAL_OR_KEYWORD
        return inspect.Signature(
            [
                inspect.Parameter(a.name, kind, default=inspect.Parameter.empty if a.required else a.default)
                for a in self.arguments
            ]
        )

    @property  # object's own __doc__ is a plain attribute, which a checker takes for one that may be written
    def __doc__(self) -> str:  # type: ignore[override]
        return self.describe()

    @cached_property
    def fingerprint(self) -> str:
        """Another one where a call would not mean the same any more: its arguments, their order, units and kinds."""
        arguments = [(a.name, a.unit, a.required or (a.default,), a.many, a.part) for a in self.arguments]
        return hashlib.sha256(repr((self.name, self.unit, arguments)).encode()).hexdigest()[:12]

    def describe(self) -> str:
        """The function explained for a person: arguments, units, ranges, result, equation, source, example."""
        lines = [self.help, ""]
        if self.caution:
            lines += [f"Caution: {self.caution}", ""]
        for a in self.arguments:
            unit = f" [{a.unit}]" if a.unit != TEXT else ""
            default = "" if a.required else f" Default: {a.default_text}."
            lines.append(f"  {a.name}{unit}: {a.meaning} Allowed: {a.allowed}.{default}")
        possible = f" Possible: {in_words(_bounds(self.possible), self.unit)}." if self.possible else ""
        lines += ["", f"  result [{self.unit}]: {self.meaning}{possible}", ""]
        lines += [f"  {self.symbol}: {self.equation}" if self.symbol else f"  {self.equation}"]
        lines += [f"  Source: {self.source}", "", "Example:"]
        lines += [
            f"  ={self.example_formula()}",
            f"  {self.example.result!r} {self.unit}  {self.example.words}".rstrip(),
        ]
        return "\n".join(lines)

    def example_formula(self) -> str:
        """The worked example as it is typed into a cell."""
        return f"{self.sheet_name}({', '.join(self.formula_arguments(self.example.arguments))})"

    def formula_arguments(self, values: Mapping[str, Any]) -> list[str]:
        """Arguments by name as worksheet text, in order; the last ones left out where they have no value."""
        last = max(i for i, a in enumerate(self.arguments) if a.name in values)
        texts = []
        for argument in self.arguments[: last + 1]:
            value = values.get(argument.name)
            if isinstance(value, str):
                texts.append('"' + value.replace('"', '""') + '"')
            elif isinstance(value, Mapping):
                texts.append("{" + ";".join(f"{_literal(key)},{_literal(item)}" for key, item in value.items()) + "}")
            elif isinstance(value, (list, tuple)):
                rows = value if isinstance(value[0], tuple) else [value]
                texts.append("{" + ";".join(",".join(map(_literal, row)) for row in rows) + "}")
            else:
                texts.append("" if value is None else repr(value))
        return texts

    def record(self) -> dict[str, Any]:
        """The whole declaration as plain data, for JSON."""
        return {
            "name": self.name,
            "sheet_name": self.sheet_name,
            "group": self.group,
            "help": self.help,
            "arguments": [
                {
                    "name": a.name,
                    "unit": a.unit,
                    "meaning": a.meaning,
                    "allowed": a.allowed,
                    "range": None if a.is_text else a.within,
                    "choices": list(a.choices),
                    "required": a.required,
                    "default": None if a.required else ("no limit" if a.default == inf else a.default),
                    "list": a.many,
                }
                for a in self.arguments
            ],
            "result": {"unit": self.unit, "meaning": self.meaning},
            "symbol": self.symbol,
            "equation": self.equation,
            "source": self.source,
            "caution": self.caution,
            "example": {
                "arguments": self.example.arguments,
                "result": self.example.result,
                "formula": self.example_formula(),
            },
        }

    # -- doors ---------------------------------------------------------------------------------

    def __call__(self, *args: Any, **kwargs: Any) -> Values:
        """The result in its trade unit. Raises `InputError` where a call of plain numbers is not allowed."""
        inputs = self._bind(args, kwargs)
        values, codes = self._evaluate(inputs)
        if codes is None:
            return float(values) if np.ndim(values) == 0 else values
        if np.ndim(values) == 0:
            raise self._error(inputs)
        return np.where(codes > 0, np.nan, values)

    def explain(self, *args: Any, **kwargs: Any) -> list[Problem]:
        """The problems of a call, one per bad element and argument; an empty list where all is fine."""
        return self._problems(self._bind(args, kwargs))

    def lanes(self, inputs: Sequence[Values]) -> tuple[Values, Codes]:
        """Values and codes for a worksheet host; `inputs` are the arguments in order, None for left out."""
        inputs = list(inputs) + [None] * (len(self.arguments) - len(inputs))
        return self._evaluate(inputs)

    # -- one reading of the arguments ----------------------------------------------------------

    def _bind(self, args: tuple[Any, ...], kwargs: dict[str, Any]) -> list[Values]:
        try:
            bound = self.__signature__.bind(*args, **kwargs).arguments
        except TypeError as error:
            takes = ", ".join(a.name if a.required else f"[{a.name}]" for a in self.arguments)
            raise InputError(f"{self.name}: {error}; it takes {takes}", function=self.name) from None
        return [bound.get(a.name) for a in self.arguments]

    def _read(self, inputs: Sequence[Values]) -> tuple[dict[str, Values], dict[str, Any]]:
        """Trade values by name, and the codes of each argument that has bad elements."""
        values, bad = {}, {}
        for argument, item in zip(self.arguments, inputs):
            # A list without elements is none.
            value, codes = argument.read(None if argument.many and np.shape(_array(item))[-1:] == (0,) else item)
            if codes is not None and argument.many:
                codes = codes.max(axis=-1) if np.ndim(codes) else codes
            if argument.many:
                value = np.atleast_1d(value)
            values[argument.name] = value
            if codes is not None:
                bad[argument.name] = codes
        return values, bad

    def _evaluate(self, inputs: Sequence[Values]) -> tuple[Values, Codes]:
        with np.errstate(all="ignore"):
            ready = self._prepared(inputs)
            codes = ready.codes
            result = np.nan if ready.hopeless else self._result(ready.si, ready.shape)
            fine = np.isfinite(result)
            if self.possible:
                fine = fine & _inside(result, _bounds(self.possible))
        if not np.all(fine):
            codes = _first_codes(codes, np.where(fine, np.uint8(FINE), np.uint8(OUT_OF_RANGE)))
        if np.shape(result) != ready.shape:
            result = np.full(ready.shape, result)
        if codes is not None:
            codes = np.broadcast_to(codes, ready.shape) if ready.shape else codes
        return result, codes

    def _result(self, si: dict[str, Values], shape: tuple[int, ...]) -> Values:
        """The result in its trade unit; NaN in lanes for which the physics raises, as for a singular matrix.

        The lanes are halved until those that raise are alone, so that one does not take the others with it.
        """
        try:
            return from_si(self._answer(si), self.unit)
        except (ArithmeticError, np.linalg.LinAlgError):
            lanes = int(np.prod(shape))
            if lanes == 1:
                return self._as_in_arrays(si)
        listed = any(a.many for a in self.arguments)
        flat = {}
        for a in self.arguments:
            value = si[a.name]
            axes = 1 if listed and np.ndim(value) else 0  # the last axis is that of lists, also beside one
            if np.ndim(value) > axes:
                own = np.shape(value)[np.ndim(value) - axes :]
                value = np.broadcast_to(value, (*shape, *own)).reshape(lanes, *own)
            flat[a.name] = value, np.ndim(value) > axes
        whole = []
        for part, size in ((slice(lanes // 2), lanes // 2), (slice(lanes // 2, None), lanes - lanes // 2)):
            half = {name: value[part] if split else value for name, (value, split) in flat.items()}
            whole.append(np.broadcast_to(self._result(half, (size,)), (size,)))
        return np.concatenate(whole).reshape(shape)

    def _as_in_arrays(self, si: dict[str, Values]) -> Values:
        """The result where numbers behave as in arrays: 1 / 0 is infinite there, and raises in plain Python."""
        known = {a.name: np.float64(si[a.name]) if type(si[a.name]) is float else si[a.name] for a in self.arguments}
        try:
            return from_si(self._answer(known), self.unit)
        except (ArithmeticError, np.linalg.LinAlgError):
            return np.nan

    def _answer(self, si: dict[str, Values]) -> Values:
        return self.physics(**si)

    def _prepared(self, inputs: Sequence[Values]) -> "Prepared":
        values, bad = self._read(inputs)
        shape = self._checked_shape(values)
        codes: Codes = None
        for more in bad.values():
            codes = _first_codes(codes, more)
        values = self._without_bad_lanes(values, codes, shape)
        for rule in self.rules if values else ():
            broken = ~np.asarray(rule.fine(**values), dtype=bool)
            if broken.any():
                codes = _first_codes(codes, np.where(broken, np.uint8(OUT_OF_RANGE), np.uint8(FINE)))
        if self.rules and values:
            values = self._without_bad_lanes(values, codes, shape)
        listed = any(a.many for a in self.arguments)
        si = {}
        for a in self.arguments if values else ():
            value = values[a.name] if a.is_text else to_si(values[a.name], a.unit)
            if listed and not a.many and np.ndim(value):
                value = np.asarray(value)[..., None]
            si[a.name] = value
        return Prepared(si, shape, codes, not values)

    def _without_bad_lanes(self, values: dict[str, Values], codes: Codes, shape: tuple[int, ...]) -> dict[str, Values]:
        """The values, those of the first good lane in each bad one; nothing where no lane is good."""
        if 0 in shape:
            return {}
        if codes is None:
            return values
        bad = np.broadcast_to(codes, shape) > 0
        if bad.all():
            return {}
        first = np.unravel_index(np.argmin(bad), shape)
        result = {}
        for a in self.arguments:
            value = values[a.name]
            own = np.shape(value)[-1:] if a.many else ()
            if np.ndim(value) > len(own):
                lanes = np.broadcast_to(value, (*shape, *own))
                value = np.where(bad[..., None] if a.many else bad, lanes[first], lanes)
            result[a.name] = value
        return result

    def _shape(self, values: Mapping[str, Values]) -> tuple[int, ...]:
        if not any(isinstance(value, np.ndarray) for value in values.values()):
            return ()
        return np.broadcast_shapes(
            *(np.shape(values[a.name])[:-1] if a.many else np.shape(values[a.name]) for a in self.arguments)
        )

    def _checked_shape(self, values: Mapping[str, Values]) -> tuple[int, ...]:
        try:
            return self._shape(values)
        except ValueError:
            shapes = ", ".join(f"{name} {np.shape(value)}" for name, value in values.items() if np.ndim(value))
            raise InputError(f"{self.name}: the arrays do not fit together: {shapes}", function=self.name) from None

    def _problems(self, inputs: Sequence[Values]) -> list[Problem]:
        with np.errstate(all="ignore"):
            return self._problems_of_lanes(inputs)

    def _problems_of_lanes(self, inputs: Sequence[Values]) -> list[Problem]:
        values, bad = self._read(inputs)
        shape = self._checked_shape(values)
        problems, flags = [], np.zeros(shape, dtype=bool)
        for argument, item in zip(self.arguments, inputs):
            if argument.name in bad:
                codes: Any = np.broadcast_to(bad[argument.name], shape)
                problems += [self._problem(argument, item, index, int(codes[index])) for index in _flagged(codes)]
                flags = flags | (codes > 0)
        values = self._without_bad_lanes(values, flags if problems else None, shape)
        for rule in self.rules if values else ():
            broken = np.broadcast_to(~np.asarray(rule.fine(**values), dtype=bool), shape) & ~flags
            problems += [Problem(index, rule.argument, f"must {rule.needs}") for index in _flagged(broken)]
        if not problems:
            results, codes = self._evaluate(inputs)
            if codes is not None:
                results = np.broadcast_to(results, shape)
                problems = [Problem(index, self.name, self._why_no_result(results[index])) for index in _flagged(codes)]
        return sorted(problems, key=lambda problem: problem.index)

    def _why_no_result(self, result: float) -> str:
        if not self.possible or not np.isfinite(result):
            return "has no answer for these inputs together"
        words = in_words(_bounds(self.possible), self.unit)
        return (
            f"comes to {result:.4g}{'' if self.unit == '-' else ' ' + self.unit}, which cannot be: {words} is possible"
        )

    def _problem(self, argument: Argument, value: Values, index: tuple[int, ...], code: int) -> Problem:
        item = _pick(value, index, argument.many)
        if value is None or (item is None and code == WRONG_KIND):
            return Problem(index, argument.name, f"is missing; it must be {argument.allowed}")
        unit = "" if argument.unit in (TEXT, "-") or code == WRONG_KIND else f" {argument.unit}"
        return Problem(index, argument.name, f"{item!r}{unit} is not allowed; it must be {argument.allowed}")

    def _error(self, inputs: Sequence[Values]) -> InputError:
        problem = self._problems(inputs)[0]
        blamed = {a.name: (a, item) for a, item in zip(self.arguments, inputs)}.get(problem.argument)
        details = {}
        if blamed:
            argument, item = blamed
            details = {"argument": argument.name, "value": item, "unit": argument.unit, "allowed": argument.allowed}
        return InputError(f"{self.name}: {problem.argument}: {problem.reason}", function=self.name, **details)


# A function that takes a whole plant; in Python a mapping of names to values. A class without a docstring would have
# None for one, in place of the description that `help` shows.
class PlantFunction(Function):
    __doc__ = vars(Function)["__doc__"]

    def _evaluate(self, inputs: Sequence[Values]) -> tuple[Values, Codes]:
        inner, values = self._single(inputs)
        return inner._evaluate(values)

    def _problems(self, inputs: Sequence[Values]) -> list[Problem]:
        inner, values = self._single(inputs)
        return inner._problems(values)

    def _error(self, inputs: Sequence[Values]) -> InputError:
        inner, values = self._single(inputs)
        return inner._error(values)

    def _single(self, inputs: Sequence[Values]) -> tuple[Function, list[Values]]:
        """The function of single inputs that answers, and its inputs. Raises `InputError`."""
        inner: Any
        given = {argument.part or argument.name: item for argument, item in zip(self.arguments, inputs)}
        if isinstance(given["names"], str):  # one pair: the value may be an array
            given |= {"names": [given["names"]], "values": None if given["values"] is None else [given["values"]]}
        try:
            inner, cells = resolved(self, [_as_cells(a, given[a.part or a.name]) for a in self.arguments])
        except ValueError as error:
            argument = str(error).partition(":")[0]
            raise InputError(f"{self.name}: {error}", function=self.name, argument=argument) from None
        return inner, inputs_of(inner, cells)


def _as_cells(argument: Argument, value: Values) -> Cells:
    """What Python hands over, as the cells of a worksheet would come."""
    if argument.part == "block" and isinstance(value, Mapping):
        value = [item for pair in value.items() for item in pair]
    if argument.part == "lines" and isinstance(value, (list, tuple)):
        if not all(isinstance(line, (list, tuple)) for line in value):
            raise InputError(f"{argument.name}: must be {argument.allowed}", argument=argument.name)
        value = [item for line in value for item in line]
    single = not isinstance(value, (list, tuple, np.ndarray)) or (isinstance(value, np.ndarray) and not value.ndim)
    if value is None or not (argument.part and argument.many):
        return Cells([value] if argument.many and single and value is not None else value)
    if single:
        raise InputError(f"{argument.name}: must be a list", argument=argument.name)
    return Cells([np.asarray(item) if isinstance(item, (list, tuple)) else item for item in value])


def _flagged(codes: Any) -> list[tuple[int, ...]]:
    """The indices where an array of codes, or of truth values, is not 0; the empty index for a scalar."""
    return [tuple(index) for index in np.argwhere(codes).tolist()]


def _pick(value: Values, index: tuple[int, ...], many: bool) -> Any:
    """The element of an argument that stands at `index` of the broadcast result, as plain Python."""
    array = _array(value, object)
    if many:
        return value
    keep = index[len(index) - array.ndim :] if array.ndim else ()
    item = array[tuple(0 if size == 1 else i for i, size in zip(keep, array.shape))] if keep else array[()]
    return item.item() if isinstance(item, np.generic) else item


class Registry(dict[str, Function]):
    """Declared functions by lower-case name; refuses what some host could not serve."""

    def declare(
        self,
        physics: Physics,
        *,
        group: str,
        help: str,
        arguments: Iterable[Argument],
        unit: str,
        meaning: str,
        source: str,
        example: Example,
        name: str | None = None,
        symbol: str = "",
        equation: str = "",
        caution: str = "",
        rules: Iterable[Rule] = (),
        kind: type[Function] | None = None,
        resolve: Callable[..., Any] | None = None,
        possible: str = "",
        one_by_one: bool = False,
    ) -> Function:
        """Declare a worksheet function; the name and argument names are those of the physics function.

        Raises `DeclarationError`, naming the function and what is wrong with it.
        """
        function = (kind or Function)(
            name=name or physics.__name__,
            group=group,
            help=help,
            arguments=tuple(arguments),
            unit=unit,
            meaning=meaning,
            symbol=symbol,
            equation=equation,
            source=source,
            example=example,
            caution=caution,
            rules=tuple(rules),
            physics=physics,
            resolve=resolve,
            possible=possible,
            one_by_one=one_by_one,
        )
        for complaint in self._complaints(function):
            raise DeclarationError(f"{function.name}: {complaint}")
        self[function.name] = function
        return function

    def _complaints(self, function: Function) -> Iterator[str]:
        yield from _name_complaints(function.name, "the name")
        if function.name.lower() in {name.lower() for name in self}:
            yield "the name is taken, and hosts do not tell case apart"
        if not function.help or len(function.help) > HELP_LIMIT:
            yield f"the help must have 1 to {HELP_LIMIT} characters, it has {len(function.help)}"
        if function.unit not in TO_SI:
            yield f"the result has no known unit: {function.unit!r}"
        if function.possible and not _INTERVAL.fullmatch(function.possible):
            yield f"its possible results are no interval such as (0, 500]: {function.possible!r}"
        for text in ("group", "meaning", "source", "equation"):
            if not getattr(function, text):
                yield f"its {text} is missing"
        names = [a.name for a in function.arguments]
        if len({name.lower() for name in names}) < len(names):
            yield "two arguments have the same name but for case"
        expected = list(inspect.signature(function.physics).parameters)
        if names != expected:
            yield f"arguments {names} are not those of the physics function, {expected}"
        optional = False
        for a in function.arguments:
            yield from _name_complaints(a.name, f"argument {a.name}:")
            yield from _argument_complaints(a)
            if optional and a.required:
                yield f"argument {a.name} is required but follows one that may be left out"
            optional = not a.required
        for rule in function.rules:
            if rule.argument not in names:
                yield f"a rule blames {rule.argument}, which is no argument"


def _name_complaints(name: str, what: str) -> Iterator[str]:
    if not _NAME.fullmatch(name) or len(name) < 3:
        yield f"{what} {name!r} must be lower-case words joined by _, three letters or more"
    if _CELL_ADDRESS.fullmatch(name):
        yield f"{what} {name!r} looks like a cell address"
    if name in _RESERVED:
        yield f"{what} {name!r} is a reserved word of VBA or of a host"


def _argument_complaints(a: Argument) -> Iterator[str]:
    if a.unit != TEXT and a.unit not in TO_SI:
        yield f"argument {a.name} has no known unit: {a.unit!r}"
    if a.unit != TEXT and not _INTERVAL.fullmatch(a.within):
        yield f"argument {a.name} has no allowed range such as (0, 500]"
    if not a.meaning or len(f"{a.meaning} [{a.unit}] {a.allowed}") > HELP_LIMIT:
        yield f"argument {a.name}: meaning, unit and range must have 1 to {HELP_LIMIT} characters together"
    if a.unit == TEXT and a.within:
        yield f"argument {a.name} takes words; it can have no range"
    if a.unit == TEXT and not a.required and a.choices and a.default not in a.choices:
        yield f"argument {a.name}: the default {a.default!r} is not among its choices"


FUNCTIONS = Registry()
declare = FUNCTIONS.declare
