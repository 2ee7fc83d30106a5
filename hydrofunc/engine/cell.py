"""The compiler of one cell's formula: a tree becomes a closure that takes the list of all values.

A formula kept without array marks is an old-style one: a range where one value is wanted means the cell of
that range in the formula's own row or column. Inside SUM and its kin, where hosts disagree about
`SUM(A1:A3*2)`, such a formula is refused.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from . import lanes as ln
from . import library, operators, ours
from .arguments import PREPARED, cells_of, refuse_open_ended, refuse_open_ended_in_array
from .book import operand
from .formula import Refused, parse
from .lanes import BLANK, NUMBER, VALUE, Area, Lanes
from .library import TABLE
from .operators import OPERATORS
from .reference import Reference
from .tree import Array, Call, Chain, Minus, Missing, Node, Paren, Percent, Ref, Value

Run = Callable[[list], object]  # from the values of all slots to a value (see `lanes`)

MOST_CELLS = 100_000  # of one range


@dataclass(frozen=True)
class Mode:
    """How ranges stand where one value is wanted.

    array:        "": one cell of the range; "argument" (inside SUMPRODUCT) and "formula" (an array formula):
                  element by element
    in_aggregate: inside SUM and its kin, where hosts disagree
    """

    array: str = ""
    in_aggregate: bool = False


class Cell:
    """Compiles the formula of one cell. `needs` gathers the slots it reads."""

    def __init__(self, compiler, sheet: str, row: int, column: int):
        self.compiler, self.sheet, self.row, self.column = compiler, sheet, row, column
        self.needs = set()
        self.calls = []  # those of our own functions that it calls
        self.tree: Node | None = None  # of the formula, once it is compiled

    def one_value(self, text: str) -> Run:
        """The closure of an ordinary formula. Raises `Refused`, as all methods do."""
        self.tree = self._parse(text)
        run = self.formula(self.tree)
        return lambda values: grounded(run(values))

    def formula(self, tree: Node) -> Run:
        """The closure of the tree of an ordinary formula, but for what its cell makes of a blank."""
        if type(tree) is Chain and tree.steps[-1][0] in "+-":
            return self._snapping(tree, Mode())
        return self.value(tree, Mode())

    def whole_area(self, text: str) -> Run:
        """The closure of an array formula: it gives an `Area`."""
        run = self.value(self._parse(text), Mode(array="formula"))
        return lambda values: _as_area(run(values))

    def _parse(self, text):
        return parse(text, lambda item: operand(self.compiler.book, item, self.sheet, self.row))

    def _snapping(self, tree, mode):
        """A formula whose last operator is + or -: a result next to nothing is 0 (see `operators.snapped`)."""
        *steps, (sign, last) = tree.steps
        left = self.value(Chain(tree.first, tuple(steps)) if steps else tree.first, mode)
        right, operate = self.value(last, mode), OPERATORS[sign]

        def run(values):
            a = left(values)
            return operators.snapped(operate(a, right(values)), a)

        return run

    # -- where one value is wanted

    def value(self, tree: Node, mode: Mode) -> Run:
        """The closure of a node where one value is wanted; in an array expression it may give an `Area`."""
        match tree:
            case Ref(cells):
                return self._in_line(cells, mode)
            case Call():
                return self.call(tree, mode)
            case Value(value):
                return constant(value)
            case Chain(first, steps):
                return self._chain(first, steps, mode)
            case Paren(inner):
                return self.value(inner, mode)
            case Minus(inner):
                run = self.value(inner, mode)
                return lambda values: operators.negate(run(values))
            case Percent(inner):
                run = self.value(inner, mode)
                return lambda values: operators.percent(run(values))
            case Array(rows):
                return constant(Area(rows))
            case Missing():
                return constant(None)

    def _chain(self, first, steps, mode):
        run = self.value(first, mode)
        others = [(OPERATORS[sign], self.value(tree, mode)) for sign, tree in steps]
        if len(others) == 1:
            ((operate, other),) = others
            return lambda values: operate(run(values), other(values))

        def chain(values):
            result = run(values)
            for operate, other in others:
                result = operate(result, other(values))
            return result

        return chain

    def _in_line(self, cells: Reference, mode: Mode) -> Run:
        """Cells where one value is wanted."""
        if cells.single:
            return self._slot(cells.sheet, cells.top, cells.left)
        if mode.array:
            refuse_open_ended_in_array(cells)
            return self.area(cells)
        if mode.in_aggregate:
            raise Refused(
                "hosts disagree about a range in an expression inside this function: "
                "use SUMPRODUCT, or enter it as an array formula"
            )
        if cells.width == 1 and cells.top <= self.row <= cells.bottom:
            return self._slot(cells.sheet, self.row, cells.left)
        if cells.height == 1 and cells.left <= self.column <= cells.right:
            return self._slot(cells.sheet, cells.top, self.column)
        return constant(VALUE)

    def _slot(self, sheet, row, column):
        slot = self.compiler.slot(sheet, row, column)
        self.needs.add(slot)
        return self.compiler.reading(slot)

    # -- where a range is wanted as it is

    def ranged(self, tree: Node, mode: Mode) -> Run:
        """A closure that gives an area for cells, and for what Excel calls a reference; else a value."""
        tree = tree.unwrapped()
        if type(tree) is Ref:
            return self.area(tree.cells)
        if type(tree) is Missing:
            return constant(0.0)
        mode = replace(mode, in_aggregate=True)
        as_range = type(tree) is Call and tree.may_return()
        run = self.call(tree, mode, as_range=True) if as_range else self.value(tree, mode)
        return (lambda values: _as_area(run(values))) if tree.refers() else run

    def area(self, cells: Reference) -> Run:
        """A closure that gives all cells of a range; whole columns and rows as far as the sheet is in use."""
        rows, columns = self.compiler.sizes[cells.sheet]
        bottom = max(cells.top, min(cells.bottom, rows)) if cells.open_ended else cells.bottom
        right = max(cells.left, min(cells.right, columns)) if cells.open_ended else cells.right
        if (bottom - cells.top + 1) * (right - cells.left + 1) > MOST_CELLS:
            raise Refused(f"the range {cells} has more than {MOST_CELLS} cells")
        slots = self.compiler.slots_of(Reference(cells.sheet, cells.top, cells.left, bottom, right))
        for row in slots:
            self.needs.update(row)
        return lambda values: Area([[values[slot] for slot in row] for row in slots])

    # -- functions

    def call(self, tree: Call, mode: Mode, as_range: bool = False) -> Run:
        """A call of a function; with `as_range` a form may give an area."""
        name, arguments = tree.name, tree.arguments
        function = self.compiler.functions.get(name)
        if function is not None:
            return self._ours(function, arguments, mode)
        entry = TABLE.get(name)
        if entry is None:
            why = library.WHY_REFUSED.get(name, "the engine does not know it")
            raise Refused(f"the function {name} is not supported: {why}")
        if not entry.least <= len(arguments) <= entry.most:
            number = entry.least if entry.least == entry.most else f"{entry.least} to {entry.most}"
            raise Refused(f"{name} takes {number} arguments, not {len(arguments)}")
        if entry.form is not None:
            return entry.form(self, arguments, mode, as_range)
        return self._ordinary(name, entry, arguments, mode)

    def _ordinary(self, name, entry, arguments, mode):
        if entry.repeats == 2 and (len(arguments) - entry.least) % 2:
            raise Refused(f"{name}: a criterion is missing")
        kinds = [entry.kind(i) for i in range(len(arguments))]
        if name in PREPARED:
            arguments = PREPARED[name](*arguments)
        if "c" in kinds or name in ("XLOOKUP", "TEXTJOIN"):
            refuse_open_ended(name, arguments)
        runs = [self._argument(name, kind, tree, mode) for kind, tree in zip(kinds, arguments)]
        return mapping(entry.call, runs, [i for i, kind in enumerate(kinds) if kind == "v"])

    def _argument(self, name, kind, tree, mode):
        if kind == "r":
            return self.ranged(tree, mode)
        if kind == "c":
            return self.area(cells_of(tree, name))
        if kind == "a":
            mode = replace(mode, array=mode.array or "argument")
            as_area = type(tree) is Ref and not tree.cells.open_ended
            return self.area(tree.cells) if as_area else self.value(tree, mode)
        return self.value(tree, mode)

    def _ours(self, function, arguments, mode):
        """A call of one of our own worksheet functions."""
        declared = function.arguments
        self.calls.append(function)
        if len(arguments) > len(declared):
            raise Refused(f"{function.sheet_name} takes at most {len(declared)} arguments, not {len(arguments)}")
        for i, argument in enumerate(declared):
            if argument.required and (i >= len(arguments) or type(arguments[i]) is Missing):
                raise Refused(f"{function.sheet_name}: the argument {argument.name} is missing")
        runs = []
        for argument, tree in zip(declared, arguments):
            if argument.part and type(tree) is Missing:
                runs.append(constant(ours.LEFT_OUT))
                continue
            is_range = argument.many or (type(tree) is Ref and not tree.cells.single)
            as_range = is_range and type(tree) is not Missing
            runs.append(self.ranged(tree, mode) if as_range else self.value(tree, mode))
        return ours.asking(function, runs) if mode.array else ours.calling(function, runs)


def constant(value: object) -> Run:
    """The closure of a value known while compiling."""
    return lambda values: value


def mapping(function: Callable, runs: list[Run], single: list[int]) -> Run:
    """A closure that calls a function of the table; areas where one value is wanted (`single`) are mapped over."""

    def run(values):
        arguments = [argument(values) for argument in runs]
        with ln.quiet():
            for i in single:
                if type(arguments[i]) is Area:
                    return _mapped(function, arguments, single)
            return function(*arguments)

    return run


def _mapped(function, arguments, single):
    def one(*values):
        row = list(arguments)
        for i, value in zip(single, values):
            row[i] = value
        return function(*row)

    return ln.map_areas(one, *(arguments[i] for i in single))


def grounded(value: object) -> object:
    """A formula's value as its cell shows it: 0 for blank, the first value of an area."""
    if type(value) is Area:
        value = value.rows[0][0]
    if value is None:
        return 0.0
    if type(value) is Lanes and value.only in (BLANK, None):
        kind = np.where(value.kind == BLANK, NUMBER, value.kind).astype(np.uint8)
        return Lanes(value.num, value.err, kind, value.table)
    return value


def _as_area(value):
    return value if type(value) is Area else Area([[value]])
