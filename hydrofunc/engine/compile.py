"""A workbook compiled for recalculation: which formulas are needed, and in which order.

`compile_book` turns the formulas the wanted cells need into closures, in an order in which every cell comes
after those it depends on. What the engine does not evaluate is refused while compiling, with the cell and
the reason.
"""

from collections.abc import Iterable
from functools import cache, partial
from operator import itemgetter

from ..errors import FormulaRefused
from . import forms
from . import lanes as ln
from .book import Book, Formula
from .cell import Cell, Mode, grounded
from .collector import collector_paused
from .formula import Refused
from .lanes import NA
from .reference import Reference, address, place
from .run import Fork, Plan, Step
from .shapes import Shapes, fork_of

LONGEST_LOOP = 8  # cells of a circle that a message names
Key = tuple[str, str]  # a cell: (sheet, "B7")


@collector_paused()
def compile_book(
    book: Book, functions: dict, *, overrides: Iterable[Key] = (), outputs: Iterable[Key] | None = None
) -> Plan:
    """A `Plan` for a `Book`.

    functions: our worksheet functions by upper-case name.
    overrides: cells, as (sheet, "B7"), that `Plan.run` may be given other values for.
    outputs:   cells wanted; None means every formula cell.
    Raises `FormulaRefused` listing every formula on the way to an output that is not evaluated, and why.
    """
    return _Compiler(book, functions, overrides, outputs).plan()


class _Compiler:
    """Gives every cell in use a slot, its index in the list of values, and compiles the formulas needed."""

    def __init__(self, book, functions, overrides, outputs):
        self.book, self.functions = book, functions
        self.slots = {}  # key -> slot
        self.base = []  # plain values by slot; None for blanks and for formulas
        self.keys = []  # by slot; None for the whole result of an array formula
        self.problems = []
        self.steps = {}  # slot -> Step
        self.arrays = {}  # (sheet, area) -> slot of the whole result of an array formula
        self.sizes = dict(book.sizes)
        self.ranges = {}  # Reference -> slots
        overrides = list(overrides)
        self.shapes = Shapes(book, functions, self.slot, self.slots_of, forks=bool(overrides))
        self.reading = cache(itemgetter)  # slot -> closure; one for all formulas that read the cell
        formulas = [key for key, value in book.cells.items() if isinstance(value, Formula)]
        inputs = [self._spelt(key) for key in overrides]
        outputs = formulas if outputs is None else [self._spelt(key) for key in outputs]
        for sheet, cell in inputs:
            (row, column), (rows, columns) = place(cell), self.sizes[sheet]
            self.sizes[sheet] = max(row, rows), max(column, columns)
        self.inputs = {key: self._slot_of(key) for key in inputs}
        self.outputs = {key: self._slot_of(key) for key in outputs}

    def _spelt(self, key):
        """A cell as the workbook spells it. Raises `LookupError` and `ValueError`."""
        sheet, cell = key
        title = self.book.sheet(sheet)
        if title is None:
            raise LookupError(f"{self.book.source} has no sheet {sheet!r}")
        return title, address(*place(cell))

    def plan(self) -> Plan:
        self._compile_what_is_needed()
        order = _ordered(self.outputs.values(), self.steps, self.keys, self.problems)
        if self.problems:
            raise FormulaRefused(self.problems)
        inputs = set(self.inputs.values())
        varying = set(inputs)
        for step in order:
            if not varying.isdisjoint(step.needs):
                varying.add(step.slot)
        return Plan(self.base, order, varying - inputs, self.inputs, self.outputs, self.keys)

    def _compile_what_is_needed(self):
        todo, seen = list(self.outputs.values()), set(self.inputs.values())
        while todo:
            slot = todo.pop()
            if slot in seen:
                continue
            seen.add(slot)
            source = self.book.cells.get(self.keys[slot])
            if slot not in self.steps and isinstance(source, Formula):
                self.steps[slot] = self._formula_cell(slot, source)
            if slot in self.steps:
                todo.extend(self.steps[slot].needs)

    # -- what the compilers of cells ask for

    def slot(self, sheet: str, row: int, column: int) -> int:
        """The slot of a cell."""
        return self._slot_of((sheet, address(row, column)))

    def slots_of(self, cells: Reference) -> list[list[int]]:
        """The slots of a range, row by row. Many formulas read the same one."""
        if cells not in self.ranges:
            self.ranges[cells] = [
                [self.slot(cells.sheet, row, column) for column in range(cells.left, cells.right + 1)]
                for row in range(cells.top, cells.bottom + 1)
            ]
        return self.ranges[cells]

    def _slot_of(self, key):
        slot = self.slots.get(key)
        if slot is None:
            value = self.book.cells.get(key)
            slot = self.slots[key] = self._new_slot(key, None if isinstance(value, Formula) else value)
        return slot

    def _new_slot(self, key, value):
        self.base.append(value)
        self.keys.append(key)
        return len(self.base) - 1

    def fixed(self, sheet: str, row: int, column: int) -> object:
        """What a cell holds; None where it is an input, which may change."""
        key = sheet, address(row, column)
        return None if key in self.inputs else self.book.cells.get(key)

    # -- one cell

    def _formula_cell(self, slot, source):
        """The `Step` of a formula cell; a problem is noted where it is refused."""
        sheet, cell = self.keys[slot]
        try:
            if source.trouble:
                raise Refused(source.trouble)
            if self.book.trouble:
                raise Refused(self.book.trouble)
            if source.area is not None:
                return self._cell_of_array(slot, sheet, source)
            if step := self.shapes.step(slot, sheet, source.text):
                return step
            compiler = Cell(self, sheet, *place(cell))
            run = compiler.one_value(source.text)
            return Step(slot, run, tuple(compiler.needs), fork_of(compiler.tree, partial(self._part, compiler), _fork))
        except Refused as refused:
            self.problems.append((f"{sheet}!{cell}", str(refused)))
            return Step(slot, lambda values: NA, ())

    def _part(self, cell, tree):
        """The closure of a part of a formula, and the slots it reads."""
        part = Cell(self, cell.sheet, cell.row, cell.column)
        return part.value(tree, Mode()), tuple(part.needs)

    def _cell_of_array(self, slot, sheet, source):
        """One cell of an array formula: the formula itself has a slot of its own, for the whole result."""
        key = sheet, source.area
        if key not in self.arrays:
            self.arrays[key] = self._new_slot(None, None)
            compiler = Cell(self, sheet, source.area.top, source.area.left)
            run = compiler.whole_area(source.text)
            self.steps[self.arrays[key]] = Step(self.arrays[key], run, tuple(compiler.needs))
        whole, (row, column) = self.arrays[key], source.at
        return Step(slot, lambda values: grounded(ln.cell_at(values[whole], row, column)), (whole,))


def _fork(condition, yes, no):
    """The `Fork` of parts, of which the branches count by what they read."""
    holds, needs = condition
    yes, no = (branch if type(branch) is Fork else branch[1] for branch in (yes, no))
    return Fork(lambda values: forms.agreed_way(holds(values)), needs, yes, no)


def _ordered(outputs, steps, keys, problems):
    """The steps, each after those it needs; cycles are noted as problems. Long chains need no recursion."""
    order, state, noted = [], {}, set()
    for start in outputs:
        if start not in steps or start in state:
            continue
        state[start] = "open"
        path = [(start, iter(steps[start].needs))]
        while path:
            slot, needs = path[-1]
            for needed in needs:
                if needed not in steps:
                    continue
                if needed not in state:
                    state[needed] = "open"
                    path.append((needed, iter(steps[needed].needs)))
                    break
                if state[needed] == "open":
                    _note_cycle(path, needed, keys, problems, noted)
            else:
                state[slot] = "done"
                order.append(steps[slot])
                path.pop()
    return order


def _note_cycle(path, needed, keys, problems, noted):
    """Note each cell of a cycle once; `noted` are the slots of earlier ones."""
    if needed in noted and path[-1][0] in noted:
        return
    slots = [slot for slot, _ in path]
    slots = slots[slots.index(needed) :]
    names = {slot: "!".join(keys[slot]) for slot in slots if keys[slot]}
    loop = [*names.values()]
    if len(loop) > LONGEST_LOOP:
        loop[LONGEST_LOOP - 1 : -1] = [f"({len(loop) - LONGEST_LOOP} more cells)"]
    words = f"refers to itself: {' -> '.join([*loop, loop[0]])}"
    problems.extend((name, words) for slot, name in names.items() if slot not in noted)
    noted.update(slots)
