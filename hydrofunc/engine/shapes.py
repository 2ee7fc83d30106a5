"""Formulas that differ in their cells alone: compiled once, with places for the cells, and then bound to those of each.

A template has some 17,600 formulas, of 2,700 shapes. What depends on where a formula stands, or on what a cell holds
while compiling, has no shape and is compiled by itself.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property, partial
from operator import itemgetter
from typing import NamedTuple

from . import forms
from .book import Book, operand
from .cell import MOST_CELLS, Cell, Mode, Run, grounded
from .formula import Refused, operands_of, parse, shape_of
from .lanes import Area, Lanes, from_python
from .reference import Reference, reference
from .run import Fork, Step
from .tree import Call, Node, Ref

MOST_KNOWN = 20_000  # shapes kept from one workbook to the next


class _OwnPlace(Exception):
    """The formula depends on where it stands, so it has no shape."""


@dataclass(frozen=True, slots=True)
class _Part:
    """A part of a formula with places for its cells: `run` takes a frame, the values and areas at the places."""

    run: Run
    places: frozenset[int]


@dataclass(frozen=True, slots=True)
class _OpenFork:
    """A `Fork` with places for its cells."""

    condition: _Part
    yes: "_Part | _OpenFork"
    no: "_Part | _OpenFork"


class _Shape:
    """A compiled formula with places for its cells, and its fork, compiled once somebody wants it."""

    def __init__(self, whole: _Part, tree: Node, part: Callable, calls: list):
        self.whole, self._tree, self._part = whole, tree, part
        # Of one call of ours the most time goes by before its first number: many cells are then asked in one.
        self.asked_together = bool(calls) and not any(function.one_by_one for function in calls)

    @cached_property
    def fork(self) -> _OpenFork | None:
        return fork_of(self._tree, self._part, _OpenFork)


class _OpenCell(Cell):
    """Compiles a formula with places for its cells. `places` are those of the references, by their identity."""

    def __init__(self, functions: dict, places: dict[int, int]):
        self.compiler, self.places = _NoCompiler(functions), places
        self.needs, self.calls = set(), []

    @property
    def row(self) -> int:
        """Where the formula stands; nowhere, so far."""
        raise _OwnPlace

    column = row

    def _in_line(self, cells, mode):
        if cells.single:
            return itemgetter(self._place(cells))
        if mode.array:
            return self.area(cells)
        raise _OwnPlace

    def area(self, cells: Reference) -> Run:
        if cells.height * cells.width > MOST_CELLS:
            raise _OwnPlace
        place = self._place(cells)
        if cells.single:
            return lambda frame: Area([[frame[place]]])
        return lambda frame: Area([[*row(frame[-1])] for row in frame[place]])

    def _place(self, cells):
        if id(cells) not in self.places:  # cells that the formula does not name, but that follow from those it does
            raise _OwnPlace
        place = self.places[id(cells)]
        self.needs.add(place)
        return place


class _NoCompiler:
    """What an open cell has in place of the compiler of a workbook: functions, and no cells."""

    def __init__(self, functions):
        self.functions = functions

    def fixed(self, *_: object) -> object:
        raise _OwnPlace


class _Named:
    """What an operand of a formula names: its cells, and how a formula gets their values, once one wants it."""

    __slots__ = ("cells", "get", "one", "size", "slots")

    def __init__(self, cells):
        self.cells, self.one, self.size = cells, cells.single, (cells.height, cells.width)
        self.get, self.slots = None, ()


class _Names(dict):
    """What operands name, by (sheet of the formula, operand); asked once for each."""

    def __init__(self, ask):
        self._ask = ask

    def __missing__(self, key):
        self[key] = named = self._ask(*key)
        return named


class Shapes:
    """The shapes of a workbook's formulas. `slot` and `slots_of` are those of its compiler.

    Without `forks` steps have none: only lanes make use of them.
    """

    def __init__(self, book: Book, functions: dict, slot: Callable, slots_of: Callable, forks: bool):
        self._book, self._functions, self._slot, self._slots_of = book, functions, slot, slots_of
        self._forks = forks
        self._known = _known(functions)
        self._named = _Names(self._what_is_named)

    def step(self, slot: int, sheet: str, text: str) -> Step | None:
        """The `Step` of an ordinary formula; None where it has no shape, or is refused: then it says so itself."""
        shape, cells = shape_of(text)
        texts = operands_of(shape, cells)
        if texts is None:
            return None
        named = [self._named[sheet, each] for each in texts]
        if None in named:
            return None
        key = shape, *[each.size for each in named]  # which decide how a formula is compiled; places do not
        if key not in self._known:
            if len(self._known) >= MOST_KNOWN:
                self._known.clear()
            self._known[key] = _compiled(text, named, self._functions)
        known = self._known[key]
        return None if known is None else self._bound(slot, known, named)

    def _what_is_named(self, sheet, text):
        cells = reference(text, sheet)
        if cells is not None:
            return None if cells.open_ended else _Named(cells)
        if "[" in text:  # the row of a table that a formula stands in
            return None
        try:
            node = operand(self._book, text, sheet, 0)
        except Refused:
            return None
        return _Named(node.cells) if type(node) is Ref and not node.cells.open_ended else None

    # -- a shape bound to cells

    def _bound(self, slot, shape, named):
        frame, needs = self._frame(shape.whole.places, named)
        run = shape.whole.run
        fork = self._bound_fork(shape.fork, named) if self._forks else None
        alike = _Alike(shape, named) if shape.asked_together else None
        return Step(slot, lambda values: grounded(run(frame(values))), needs, fork, alike)

    def _bound_fork(self, fork, named):
        if type(fork) is not _OpenFork:
            return None if fork is None else self._needs(fork.places, named)
        frame, needs = self._frame(fork.condition.places, named)
        run = fork.condition.run
        yes, no = self._bound_fork(fork.yes, named), self._bound_fork(fork.no, named)
        return Fork(lambda values: forms.agreed_way(run(frame(values))), needs, yes, no)

    def _frame(self, places, named):
        """From the values of all slots to what a shape takes; and the slots that it reads."""
        if len(places) == len(named) > 1 and all(each.one for each in named):
            slots = [(each if each.get is not None else self._ready(each)).slots[0] for each in named]
            return itemgetter(*slots), tuple({*slots})
        read = [self._ready(each) if i in places else None for i, each in enumerate(named)]
        needs = tuple({slot for each in read if each is not None for slot in each.slots})
        if all(each is None or each.one for each in read):
            if len(read) > 1 and None not in read:
                return itemgetter(*[each.slots[0] for each in read]), needs
            slots = [None if each is None else each.slots[0] for each in read]
            return (lambda values: [None if slot is None else values[slot] for slot in slots]), needs
        parts = [(each is not None and each.one, None if each is None else each.get) for each in read]
        return (lambda values: [*[get(values) if is_one else get for is_one, get in parts], values]), needs

    def _needs(self, places, named):
        return tuple({slot for i in places for slot in self._ready(named[i]).slots})

    def _ready(self, named):
        """What is named, with its slots. Only what is read gets them."""
        if named.get is None:
            cells: Reference = named.cells
            if named.one:
                named.slots = (self._slot(cells.sheet, cells.top, cells.left),)
                named.get = itemgetter(named.slots[0])
            else:
                rows = self._slots_of(cells)
                named.slots = tuple(slot for row in rows for slot in row)
                named.get = [_row_of(row) for row in rows]
        return named


class _Alike(NamedTuple):
    """A bound formula, which may be calculated together with others of its shape, as far as their cells are alike."""

    shape: _Shape
    named: list

    @property
    def kind(self) -> int:
        """The same for all that may be calculated together."""
        return id(self.shape)

    def together(self, others: "list[_Alike]", values: list) -> list:
        """The values of this formula and of others like it, as lanes of one."""
        bound = [self.named, *(other.named for other in others)]
        ask = _Kinds(values)
        groups: dict[tuple, list[int]] = {}
        for number, named in enumerate(bound):
            groups.setdefault(tuple([ask[named[i]] for i in self.shape.whole.places]), []).append(number)
        results: list = [None] * len(bound)
        for numbers in groups.values():
            for number, value in zip(numbers, self._in_lanes([bound[number] for number in numbers], values)):
                results[number] = value
        return results

    def _in_lanes(self, bound, values):
        frame: list = [None] * len(self.named)
        for i in self.shape.whole.places:
            alike = [named[i] for named in bound]
            if alike[0].one:
                frame[i] = _stacked([values[each.slots[0]] for each in alike])
            else:
                frame[i] = [partial(_row_in_lanes, row) for row in zip(*[each.get for each in alike])]
        result = grounded(self.shape.whole.run([*frame, values]))
        return result.python() if type(result) is Lanes else [result] * len(bound)


class _Kinds(dict):
    """What formulas must have in common in a place to be lanes of one: which cells are blank, words, errors and so on.

    A blank row of a plant or a list, or another word, decides about a call as a whole.
    """

    def __init__(self, values):
        self._values = values

    def __missing__(self, named):
        values = self._values
        cells = [values[slot] for slot in named.slots]
        self[named] = kinds = tuple([cell if type(cell) is str else type(cell) for cell in cells])
        return kinds


def _row_in_lanes(row, values):
    """A row of cells; of many lanes where they are other cells in each."""
    if all(get is row[0] for get in row):
        return row[0](values)
    return [_stacked(cells) for cells in zip(*[get(values) for get in row])]


def _stacked(cells):
    """Values of one place in many lanes as one value."""
    first = cells[0]
    if all(cell is first for cell in cells) or (
        first and all(type(cell) is type(first) and cell == first for cell in cells)
    ):
        return first
    lanes = from_python(cells)
    lanes.num.flags.writeable = False
    return lanes


def _row_of(slots):
    """From the values of all slots to those of a row."""
    if len(slots) > 1:
        return itemgetter(*slots)
    (slot,) = slots
    return lambda values: (values[slot],)


def _compiled(text, named, functions):
    """The `_Shape` of a formula whose operands name these cells; None where it has none."""
    references = [replace(each.cells) for each in named]  # objects of their own, also where two name the same cells
    places = {id(cells): i for i, cells in enumerate(references)}
    left = iter(references)
    try:
        tree = parse(text, lambda _: Ref(next(left)))
        cell = _OpenCell(functions, places)
        run = cell.formula(tree)
        of_part = partial(_part, functions=functions, places=places)
        return _Shape(_Part(run, frozenset(cell.needs)), tree, of_part, cell.calls)
    except (_OwnPlace, Refused, StopIteration):
        return None


def fork_of(tree: Node, part: Callable, joined: Callable) -> object:
    """What `joined` makes of the condition and the branches of a formula that chooses between cells; None of any other.

    `part` compiles a condition or a branch; a branch that chooses itself is joined before. None, as making one takes
    time.
    """
    if type(tree) is not Call or tree.name != "IF" or len(tree.arguments) != 3:
        return None
    condition, *branches = tree.arguments
    forks = [fork_of(branch, part, joined) for branch in branches]
    if not any(fork or branch.reference() is not None for fork, branch in zip(forks, branches)):
        return None
    return joined(part(condition), *(fork or part(branch) for fork, branch in zip(forks, branches)))


def _part(tree, functions, places):
    cell = _OpenCell(functions, places)
    return _Part(cell.value(tree, Mode()), frozenset(cell.needs))


_last: tuple[dict, dict] = ({}, {})  # our functions, and the shapes compiled with them


def _known(functions):
    """The shapes known of these functions; what they were compiled with goes when other functions come."""
    global _last
    before = _last[0]
    if before.keys() != functions.keys() or any(before[name] is not functions[name] for name in before):
        _last = dict(functions), {}
    return _last[1]
