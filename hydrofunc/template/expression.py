"""Formulas as Python expressions: cells are objects, a decision is a list of conditions and words.

`str(expression)` is the worksheet text without "=". `expression.value({"gauge_share": 80, ...})` is what the cell would
show, worked out in plain Python, so that a decision can be tested without a workbook:

    share, counts = column("V", "gauge_share"), column("W", "gauge_counts")
    SAYS = when(
        (counts == 0, "no gauge"),
        (share < 92, "low"),
        (share > 108, "high"),
        otherwise="ok",
    )
    str(SAYS) == 'IF(W{row}=0,"no gauge",IF(V{row}<92,"low",IF(V{row}>108,"high","ok")))'
    SAYS.value({"gauge_counts": 1, "gauge_share": 80}) == "low"

A value is a number, text, True, False, None for a blank cell, a list for a range, or an error by its text, such as
"#N/A". Blank counts as 0 or as no text. Text is never a number, not even "3": no formula here needs that.
"""

import math
import operator
from collections.abc import Callable, Iterable, Mapping

from ..errors import HydroError
from ..registry import Function

ERRORS = ("#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A")
# How strongly the last operator of a part holds it together; a whole part needs no brackets.
_COMPARED, _JOINED, _ADDED, _MULTIPLIED, _RAISED, _WHOLE = range(6)


# What a function makes of its parts and of the values of all cells.
Answer = Callable[[tuple["Expression", ...], Mapping[str, object]], object]


class CellError(Exception):
    """An error value on its way through a formula; its text is the error's."""


def _operator(symbol: str) -> Callable[..., "Operation"]:
    return lambda left, right: Operation(symbol, left, right)


def _operator_of_right(symbol: str) -> Callable[..., "Operation"]:
    return lambda right, left: Operation(symbol, left, right)


class Expression:
    """A part of a formula. Operators make larger parts; `&` joins text, as in a worksheet."""

    rank = _WHOLE

    def value(self, values: Mapping[str, object]) -> object:
        """What a cell with this formula shows: an error as its text, a blank as 0. `values` holds the cells by name."""
        shown = self.shown(values)
        return 0.0 if shown is None else shown

    def shown(self, values: Mapping[str, object]) -> object:
        """The same inside a larger expression that forgives errors; None stays None."""
        try:
            return self.evaluate(values)
        except CellError as error:
            return str(error)

    def evaluate(self, values: Mapping[str, object]) -> object:
        """The same inside a larger expression. Raises CellError for an error value."""
        raise NotImplementedError

    def __bool__(self) -> bool:
        raise TypeError("the worksheet decides this, not Python: use when, all_of, any_of or no")

    __hash__ = object.__hash__
    # A comparison is a part of a formula, as the others are: == gives no truth value here.
    __eq__, __ne__ = _operator("="), _operator("<>")  # type: ignore[assignment]
    __lt__, __le__, __gt__, __ge__ = _operator("<"), _operator("<="), _operator(">"), _operator(">=")
    __add__, __sub__, __mul__, __truediv__ = _operator("+"), _operator("-"), _operator("*"), _operator("/")
    __radd__, __rsub__ = _operator_of_right("+"), _operator_of_right("-")
    __rmul__, __rtruediv__ = _operator_of_right("*"), _operator_of_right("/")
    __pow__, __and__, __rand__ = _operator("^"), _operator("&"), _operator_of_right("&")

    def __neg__(self) -> "Negative":
        return Negative(self)


class Constant(Expression):
    """A number, a text or a truth value. `text`: how the formula writes it, where that matters."""

    def __init__(self, constant: object, text: str = "") -> None:
        self.constant = constant
        if isinstance(constant, str):
            self.text = text or '"' + constant.replace('"', '""') + '"'
        else:
            self.text = text or (str(constant).upper() if isinstance(constant, bool) else f"{constant:.15g}".upper())
        self.rank = _ADDED if self.text.startswith("-") else _WHOLE

    def __str__(self) -> str:
        return self.text

    def evaluate(self, values: Mapping[str, object]) -> object:
        return checked(self.constant)


class Cell(Expression):
    """A cell or a range: `name` is its key among the values, `text` stands for it in the formula."""

    def __init__(self, name: str, text: str) -> None:
        self.name, self.text = name, text

    def __str__(self) -> str:
        return self.text

    def evaluate(self, values: Mapping[str, object]) -> object:
        return checked(values[self.name])


class Column(Cell):
    """The cell of one column of the formula's own table, in the formula's row."""

    def __init__(self, letter: str, name: str) -> None:
        super().__init__(name, f"{letter}{{row}}")
        self.letter = letter

    @property
    def before(self) -> Cell:
        """The cell one row higher; its name ends in "_before"."""
        return Cell(f"{self.name}_before", f"{self.letter}{{row-1}}")

    @property
    def after(self) -> Cell:
        """The cell one row lower; its name ends in "_after"."""
        return Cell(f"{self.name}_after", f"{self.letter}{{row+1}}")

    def above(self, rows: int) -> Cell:
        """The range of so many rows right above; its name ends in "_above"."""
        return Cell(f"{self.name}_above", f"{self.letter}{{row-{rows}}}:{self.letter}{{row-1}}")

    def to(self, last: Cell) -> Cell:
        """The range from this cell to another one of the row; its name is "a to b"."""
        return Cell(f"{self.name} to {last.name}", f"{self.text}:{last.text}")


def cell(name: str) -> Cell:
    """A cell or range that has a defined name."""
    return Cell(name, name)


def cells(names: str) -> tuple[Cell, ...]:
    """Cells with these defined names, which stand with blanks between."""
    return tuple(cell(name) for name in names.split())


def column(letter: str, name: str) -> Column:
    """A column of the formula's own table: its letter, and what its cells are called in the formula."""
    return Column(letter, name)


class Operation(Expression):
    """Two parts and the operator between them."""

    def __init__(self, symbol: str, left: object, right: object) -> None:
        self.symbol, self.left, self.right = symbol, expression(left), expression(right)
        self.rank, self.take, self.calculate = _OPERATORS[symbol]

    def __str__(self) -> str:
        # A worksheet works from left to right, powers too. After a comparison a sign is clear without brackets.
        left = _bracketed(self.left, self.left.rank < self.rank)
        signed = self.rank == _COMPARED and isinstance(self.right, (Negative, Constant))
        return f"{left}{self.symbol}{_bracketed(self.right, self.right.rank <= self.rank and not signed)}"

    def evaluate(self, values: Mapping[str, object]) -> object:
        left, right = (_each(checked, part.evaluate(values)) for part in (self.left, self.right))  # errors come first
        return _by_pairs(self.calculate, _each(self.take, left), _each(self.take, right))


class Negative(Expression):
    """A part with a minus before it. In a worksheet the minus holds more strongly than a power."""

    rank = _ADDED  # as if it were a difference, so that no reader must know that

    def __init__(self, part: object) -> None:
        self.part = expression(part)

    def __str__(self) -> str:
        return "-" + _bracketed(self.part, self.part.rank < _WHOLE)

    def evaluate(self, values: Mapping[str, object]) -> object:
        return _each(lambda value: -number(value), self.part.evaluate(values))


class Brackets(Expression):
    """A part in brackets that it does not need, to be read more easily."""

    def __init__(self, part: object) -> None:
        self.part = expression(part)

    def __str__(self) -> str:
        return f"({self.part})"

    def evaluate(self, values: Mapping[str, object]) -> object:
        return self.part.evaluate(values)


def _bracketed(part, needed):
    return f"({part})" if needed else str(part)


class Call(Expression):
    """A call. `answer` takes the parts and the values of all cells, so it may leave a part out or forgive its error."""

    def __init__(self, function: str, parts: Iterable[object], answer: Answer) -> None:
        self.function, self.parts, self.answer = function, tuple(map(expression, parts)), answer

    def __str__(self) -> str:
        return f"{self.function}({','.join(map(str, self.parts))})"

    def evaluate(self, values: Mapping[str, object]) -> object:
        return checked(self.answer(self.parts, values))


class Denial(Call):
    """Whether a condition is false. `when` writes it without NOT: it lets the two arms of IF change places."""

    def __init__(self, condition: object) -> None:
        super().__init__("NOT", (condition,), lambda parts, values: not number(parts[0].evaluate(values)))
        self.part = self.parts[0]


def expression(part: object) -> Expression:
    """The part as an expression: a number, a text or a truth value of Python becomes a constant."""
    return part if isinstance(part, Expression) else Constant(part)


def when(*decisions: tuple[object, object], otherwise: object) -> Expression:
    """The value of the first (condition, value) whose condition is true, from top to bottom; else `otherwise`.

    A condition made by `no` is written without NOT: the two arms of its IF change places. One made by
    `is_false` keeps its NOT.
    """
    chain = expression(otherwise)
    for condition, value in reversed(decisions):
        if isinstance(condition, Denial):
            chain = Call("IF", (condition.part, chain, value), _if)
        else:
            chain = Call("IF", (condition, value, chain), _if)
    return chain


def _if(parts, values):
    condition, value, otherwise = parts
    return (value if number(condition.evaluate(values)) else otherwise).evaluate(values)


# -- values, as a worksheet takes them -------------------------------------------------------------------


def checked(value: object) -> object:
    """The value, an integer as a float. Raises CellError where it is an error."""
    if isinstance(value, str) and value in ERRORS:
        raise CellError(value)
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def number(value: object) -> float:
    """The value in arithmetic or as a condition: blank is 0. Raises CellError for text and errors."""
    if checked(value) is None:
        return 0.0
    if isinstance(value, (int, float)):
        return float(value)
    raise CellError("#VALUE!")


def is_plain_number(value: object) -> bool:
    """Whether it is a number, and no truth value."""
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _joined(left, right):
    return "".join(f"{part:.15g}" if is_plain_number(part) else str(part or "") for part in (left, right))


def _compared(compare):
    def order(value, other):
        """Numbers before text before truth values; blank as the other side needs it; no difference of capitals."""
        if value is None:
            value = "" if isinstance(other, str) else 0.0
        return (isinstance(value, bool), isinstance(value, str)), value.lower() if isinstance(value, str) else value

    return lambda left, right: compare(order(left, right), order(right, left))


def _calculated(calculate):
    def result(left, right):
        try:
            answer = calculate(left, right)
        except ZeroDivisionError:  # 0 to a power below 0 is one, too
            raise CellError("#DIV/0!") from None
        except OverflowError:
            raise CellError("#NUM!") from None
        if isinstance(answer, complex) or not math.isfinite(answer):
            raise CellError("#NUM!")
        return answer

    return result


def _power(base, exponent):
    return math.nan if base == exponent == 0 else base**exponent


_OPERATORS = {  # symbol: how strongly it holds, how it takes a value, what it does with two
    "=": (_COMPARED, checked, _compared(operator.eq)),
    "<>": (_COMPARED, checked, _compared(operator.ne)),
    "<": (_COMPARED, checked, _compared(operator.lt)),
    "<=": (_COMPARED, checked, _compared(operator.le)),
    ">": (_COMPARED, checked, _compared(operator.gt)),
    ">=": (_COMPARED, checked, _compared(operator.ge)),
    "&": (_JOINED, checked, _joined),
    "+": (_ADDED, number, _calculated(operator.add)),
    "-": (_ADDED, number, _calculated(operator.sub)),
    "*": (_MULTIPLIED, number, _calculated(operator.mul)),
    "/": (_MULTIPLIED, number, _calculated(operator.truediv)),
    "^": (_RAISED, number, _calculated(_power)),
}


def _each(function, value):
    """The function of a value, or of each in a range."""
    return list(map(function, value)) if isinstance(value, list) else function(value)


def _by_pairs(calculate, left, right):
    """The operation on two values; where one is a range, on each of its values."""
    count = next((len(side) for side in (left, right) if isinstance(side, list)), None)
    if count is None:
        return calculate(left, right)
    sides = (side if isinstance(side, list) else [side] * count for side in (left, right))
    return [calculate(one, other) for one, other in zip(*sides, strict=True)]


# -- worksheet functions ---------------------------------------------------------------------------------


def _function(name: str, answer: Callable[..., object]) -> Callable[..., Expression]:
    """A maker of calls of a worksheet function that takes the values of its parts."""

    def made(*parts: object) -> Expression:
        return Call(name, parts, lambda parts, values: answer(*(part.evaluate(values) for part in parts)))

    return made


def _of_numbers(name: str, answer: Callable[[list], object]) -> Callable[..., Expression]:
    """The same for one that takes all numbers of its parts. Cells and ranges may hold text, which does not count."""

    def numbers(parts, values):
        for part in parts:
            value = part.evaluate(values)
            if isinstance(value, list):
                yield from filter(is_plain_number, map(checked, value))
            elif not isinstance(part, Cell):
                yield number(value)
            elif is_plain_number(value):
                yield value

    return lambda *parts: Call(name, parts, lambda parts, values: answer(list(numbers(parts, values))))


def _of_shown(name: str, answer: Callable[[object], object]) -> Callable[[object], Expression]:
    """The same for one that takes what a part shows, an error too."""
    return lambda part: Call(name, (part,), lambda parts, values: answer(parts[0].shown(values)))


def _place(array, slot, beyond):
    return array[int(slot) - 1] if 1 <= slot <= len(array) else beyond


def _rank(slot):
    """Of the largest: a rank below 1 is none, any other is rounded up."""
    return math.ceil(slot) if slot >= 1 else 0


def _in_order(array):
    return sorted(filter(is_plain_number, map(checked, array)))


def _half_up(value, digits):
    """Halves away from 0, of the fifteen digits that a worksheet has."""
    scaled = float(f"{abs(number(value)) * 10**digits:.15g}")
    return math.copysign(math.floor(scaled + 0.5) / 10**digits, number(value))


# AND and OR look at every condition (a list, not one after the other), so that an error in any of them counts.
all_of = _function("AND", lambda *values: all(list(map(number, values))))
any_of = _function("OR", lambda *values: any(list(map(number, values))))
no = Denial
is_false = _function("NOT", lambda value: not number(value))
is_number = _of_shown("ISNUMBER", is_plain_number)
is_text = _of_shown("ISTEXT", lambda value: isinstance(value, str) and value not in ERRORS)
or_zero = _function("N", lambda value: 0.0 if value is None or isinstance(value, str) else float(value))
greatest = _of_numbers("MAX", lambda values: max(values, default=0.0))
least = _of_numbers("MIN", lambda values: min(values, default=0.0))
total = _of_numbers("SUM", math.fsum)
count = _function("COUNT", lambda array: sum(map(is_plain_number, array)))
count_filled = _function("COUNTA", lambda array: sum(value is not None for value in array))
row_count = _function("ROWS", len)
total_of = _function("SUMPRODUCT", lambda array: math.fsum(array) if isinstance(array, list) else array)
magnitude = _function("ABS", lambda value: abs(number(value)))
root = _function("SQRT", lambda value: math.sqrt(number(value)) if number(value) >= 0 else "#NUM!")
rounded = _function("ROUND", _half_up)
smallest = _function("SMALL", lambda array, slot: _place(_in_order(array), number(slot), "#NUM!"))
largest = _function("LARGE", lambda array, slot: _place(_in_order(array)[::-1], _rank(number(slot)), "#NUM!"))
entry = _function("INDEX", lambda array, slot: _place(array, number(slot), "#REF!" if number(slot) >= 1 else "#VALUE!"))
no_value = _function("NA", lambda: "#N/A")


def slot_of(value: object, array: object) -> Expression:
    """MATCH: where the value stands in a range, from 1; #N/A where it does not."""
    exact = _function("MATCH", lambda value, array, _: array.index(value) + 1 if value in array else "#N/A")
    return exact(value, array, 0)


def count_less(array: Expression, limit: object) -> Expression:
    """COUNTIF: how many numbers of a range are less than the limit, which must be a number."""

    def answer(parts, values):
        array, limit = parts[0].evaluate(values), number(parts[1].right.evaluate(values))
        return sum(is_plain_number(value) and value < limit for value in array)

    return Call("COUNTIF", (array, "<" & Brackets(limit)), answer)


def of_ours(function: Function, arguments: Mapping[str, object]) -> Expression:
    """A call of a declared function, with an expression for each of its arguments. A blank leaves one out."""

    def answer(parts, values):
        known = zip((argument.name for argument in function.arguments), (part.evaluate(values) for part in parts))
        try:
            return function(**{name: value for name, value in known if value is not None})
        except HydroError:
            return "#NUM!"

    return Call(function.sheet_name, [arguments[argument.name] for argument in function.arguments], answer)
