"""A compiled workbook, run for one scenario or thousands: `Plan` in, `Result` with a `Column` for each output out.

What depends on no input that differs between lanes is calculated once, as plain values; the rest block by block.
"""

from collections import Counter
from collections.abc import Callable, Hashable, Iterator
from functools import cached_property
from typing import NamedTuple, Protocol

import numpy as np

from . import lanes as ln
from .lanes import BLANK, BOOLEAN, NUMBER, TEXT, ExcelError, Lanes

BLOCK = 16_384  # lanes worked on at a time, so that a column of them stays in the processor's cache
LEAST_BLOCK = 256
VALUES = 16_000_000  # of all cells in a block of lanes, for the memory: a long workbook has fewer lanes in a block
_RAISING = {"over": "raise", "divide": "raise", "invalid": "raise", "under": "ignore"}  # see `lanes`
_KINDS = {NUMBER: "number", TEXT: "text", BOOLEAN: "boolean", BLANK: "blank"}

Key = tuple[str, str]  # a cell: (sheet, "B7")


class Fork(NamedTuple):
    """A formula IF(condition, yes, no), of which only one branch may be needed.

    `way` says which: True, False, or None for both. It reads `condition`; the branches read `yes` and `no`, or are
    forks themselves.
    """

    way: Callable[[list], bool | None]
    condition: tuple[int, ...]
    yes: "tuple[int, ...] | Fork"
    no: "tuple[int, ...] | Fork"


class Alike(Protocol):
    """A formula that may be calculated together with others of the same `kind`, as lanes of one."""

    @property
    def kind(self) -> Hashable:
        """What those have in common."""

    def together(self, others: list, values: list) -> list:
        """The values of this formula and of the others, from those of all slots."""


class Step(NamedTuple):
    """A formula compiled: `run` gives its value from those of all slots, of which it reads `needs`."""

    slot: int
    run: Callable[[list], object]
    needs: tuple[int, ...]
    fork: Fork | None = None
    alike: Alike | None = None


class Plan:
    """A compiled workbook. `inputs` and `outputs` are the cells it takes and gives, as (sheet, "B7")."""

    def __init__(
        self, base: list, steps: list[Step], dependent: set[int], inputs: dict, outputs: dict, keys: list[Key | None]
    ):
        self._base, self._inputs, self._outputs, self._keys = base, inputs, outputs, keys
        self._fixed = [step for step in steps if step.slot not in dependent]
        self._steps = [step for step in steps if step.slot in dependent]
        self._settled = None

    @property
    def inputs(self) -> list[Key]:
        return list(self._inputs)

    @property
    def outputs(self) -> list[Key]:
        return list(self._outputs)

    @property
    def in_order(self) -> list[Key]:
        """The outputs that are formulas, each after those it needs: the first error among them is a cause."""
        keys = {slot: key for key, slot in self._outputs.items()}
        return [keys[step.slot] for step in self._fixed + self._steps if step.slot in keys]

    @property
    def precedents(self) -> dict[Key, list[Key]]:
        """The cells that each formula itself reads, by the formula's cell."""
        return {key: self.precedents_of(key) for slot in self._step_of if (key := self._keys[slot]) is not None}

    def precedents_of(self, key: Key) -> list[Key]:
        """The cells that the formula of one cell itself reads."""
        slots = [other for needed in self._step_of[self._slot_of[key]].needs for other in self._read_for(needed)]
        return list(dict.fromkeys(self._keys[other] for other in slots))

    @cached_property
    def _step_of(self):
        return {step.slot: step for step in self._fixed + self._steps}

    @cached_property
    def _slot_of(self):
        return {self._keys[slot]: slot for slot in self._step_of}

    def _read_for(self, slot):
        """What an array formula reads stands at a slot that is no cell."""
        return (slot,) if self._keys[slot] is not None else self._step_of[slot].needs

    def run(
        self, inputs: dict[Key, object] | None = None, lanes: int = 1, progress: Callable[[int], object] | None = None
    ) -> "Result":
        """Recalculate with other values in input cells.

        inputs:   {(sheet, "B7"): value}: one value, or a list or array of `lanes` values; numbers, text,
                  booleans, None for blank, `ExcelError`. Input cells left out keep what the workbook holds.
        progress: called after each block with the number of lanes done so far.
        """
        with np.errstate(**_RAISING):
            return self._run(inputs or {}, lanes, progress)

    def _run(self, inputs, lanes, progress):
        values = self._values_without_inputs()
        varying = {}
        for key, content in inputs.items():
            if key not in self._inputs:
                raise LookupError(f"{key[0]}!{key[1]} was not named as an input of the compiled workbook")
            value = _input_value(content, lanes, key)
            if type(value) is Lanes:
                varying[self._inputs[key]] = value
            else:
                values[self._inputs[key]] = value
        in_lanes, steps = set(varying), []
        for step in self._steps:
            if in_lanes.isdisjoint(step.needs):
                values[step.slot] = step.run(values)
            else:
                in_lanes.add(step.slot)
                steps.append(step)
        columns = {slot: _Collector(lanes) for slot in self._outputs.values() if slot in in_lanes}
        if columns:
            self._run_blocks(values, varying, steps, columns, lanes, progress)
        elif progress is not None:
            progress(lanes)
        outputs = {
            key: columns[slot].column() if slot in columns else values[slot] for key, slot in self._outputs.items()
        }
        return Result(outputs, lanes)

    def _values_without_inputs(self):
        """The values of all slots, as far as they depend on no input; calculated at the first run."""
        if self._settled is None:
            values = list(self._base)
            for steps in _in_turn(self._fixed, len(values)):
                if len(steps) == 1:
                    values[steps[0].slot] = steps[0].run(values)
                    continue
                first, *others = [step.alike for step in steps]
                for step, value in zip(steps, first.together(others, values)):
                    values[step.slot] = value
            self._settled = values
        return list(self._settled)

    def _run_blocks(self, values, varying, steps, columns, lanes, progress):
        by_slot = {step.slot: step for step in steps}
        own = by_slot.keys() | varying.keys()
        readers = Counter(needed for step in steps for needed in step.needs if needed in own)
        for slot in columns:
            readers[slot] += 1  # the collector reads it after all steps
        size = block_of(len(steps))
        for start in range(0, lanes, size):
            stop = min(start + size, lanes)
            for slot, whole in varying.items():
                values[slot] = _settled(ln.take(whole, np.arange(start, stop)))
            _evaluate(values, list(columns), by_slot, dict(readers))
            for slot, collector in columns.items():
                collector.add(values[slot], start, stop)
            if progress is not None:
                progress(stop)


def _in_turn(steps: list[Step], slots: int) -> Iterator[list[Step]]:
    """The steps, each after those it needs; those that may be calculated together in one list."""
    turns: list[tuple[list[Step], dict[Hashable, list[Step]]]] = [([], {})]
    turn_of = [0] * slots
    for step in steps:
        turn = max(map(turn_of.__getitem__, step.needs), default=0)
        plain, alike = turns[turn]
        if step.alike is None:
            plain.append(step)
        else:
            alike.setdefault(step.alike.kind, []).append(step)
            turn += 1
            if turn == len(turns):
                turns.append(([], {}))
        turn_of[step.slot] = turn
    for plain, alike in turns:
        yield from ([step] for step in plain)
        for group in alike.values():
            yield from (group[start : start + LEAST_BLOCK] for start in range(0, len(group), LEAST_BLOCK))


def block_of(steps: int) -> int:
    """How many lanes are worked on at a time where so many formulas differ between them."""
    return min(BLOCK, max(1, VALUES // (max(steps, 1) * LEAST_BLOCK)) * LEAST_BLOCK)


def _evaluate(values, wanted, steps, readers):
    """Runs the steps that the wanted slots need, each after those it needs; what no step reads any more is dropped.

    Of a fork, the steps of a branch that no lane takes are left out, unless others need them.
    """
    done, todo = set(), wanted[::-1]
    while todo:
        step = steps.get(todo[-1])
        if step is None or step.slot in done:
            todo.pop()
            continue
        missing = [slot for slot in _needs_now(step, values, steps, done) if slot in steps and slot not in done]
        if missing:
            todo += missing[::-1]
            continue
        values[step.slot] = _settled(step.run(values))
        done.add(step.slot)
        for slot in step.needs:
            if slot in readers:
                readers[slot] -= 1
                if not readers[slot]:
                    values[slot] = None  # gives its memory back


def _settled(value):
    """A cell's value, from now on read only: so a function may remember what it made of the array."""
    if type(value) is Lanes:
        value.num.flags.writeable = False
    return value


def _needs_now(step, values, steps, done):
    """The slots that a step reads, as far as that can be said before its conditions are known."""
    branch = step.needs if step.fork is None else step.fork
    while type(branch) is Fork:
        if any(slot in steps and slot not in done for slot in branch.condition):
            return branch.condition
        way = branch.way(values)
        if way is None:
            return step.needs
        branch = branch.yes if way else branch.no
    return branch


def _input_value(content, lanes, key):
    """A plain value, or lanes."""
    if isinstance(content, (list, tuple)) or (isinstance(content, np.ndarray) and content.ndim):
        if len(content) != lanes:
            raise ValueError(f"{key[0]}!{key[1]} is given {len(content)} values for {lanes} lanes")
        value = ln.from_python(content)
        return _first(value) if lanes == 1 else value
    return _first(ln.from_python([content.item() if isinstance(content, (np.ndarray, np.generic)) else content]))


def _first(value):
    return value.python()[0]


class _Collector:
    """Gathers the blocks of one output."""

    def __init__(self, lanes):
        self.num, self.err, self.kind = np.empty(lanes), np.empty(lanes, np.uint8), np.empty(lanes, np.uint8)
        self.table, self.last_table, self.offset = [], (), 0

    def add(self, value: object, start: int, stop: int) -> None:
        part = ln.as_lanes(value)
        if part.table != self.last_table:
            self.offset, self.last_table = len(self.table), part.table
            self.table += part.table
        self.num[start:stop] = part.num
        self.err[start:stop], self.kind[start:stop] = part.err, part.kind
        if self.offset:
            self.num[start:stop][self.kind[start:stop] == TEXT] += self.offset

    def column(self) -> "Column":
        return Column(Lanes(self.num, self.err, self.kind, self.table), len(self.num))


class Column:
    """The values of one output cell.

    values: float64 (N,): numbers, 0 and 1 for booleans, NaN for text and errors
    errors: uint8 (N,) of error codes (see `ExcelError.TEXTS`), 0 for none; None if no lane has one
    texts:  object (N,), str where a lane holds text, None elsewhere; None where no lane does
    kind:   "number", "text", "boolean", "blank" (an empty cell without a formula) or "mixed"; lanes with
            errors do not count
    """

    def __init__(self, lanes: Lanes, size: int):
        self._lanes, self._size = lanes, size

    def __len__(self) -> int:
        return self._size

    def _spread(self, array):
        return array if len(array) == self._size else np.broadcast_to(array, self._size)

    @property
    def kind(self) -> str:
        return _KINDS.get(self._lanes.only, "mixed")

    @property
    def errors(self) -> np.ndarray | None:
        return None if self._lanes.sound else self._spread(self._lanes.err)

    @property
    def values(self) -> np.ndarray:
        if self._lanes.only == NUMBER and self._lanes.sound:
            return self._spread(self._lanes.num)
        no_number = (self._lanes.kind == TEXT) | (self._lanes.err > 0)
        return self._spread(np.where(no_number, np.nan, self._lanes.num))

    @property
    def texts(self) -> np.ndarray | None:
        words = [item if type(item) is str else None for item in self._lanes.python()]
        if not any(word is not None for word in words):
            return None
        array = np.empty(len(words), dtype=object)
        array[:] = words
        return self._spread(array)

    def python(self) -> list:
        """The lanes as a list of float, bool, str and `ExcelError`; None for an empty cell."""
        values = self._lanes.python()
        return values if len(values) == self._size else values * self._size

    def first(self) -> object:
        return _first(ln.take(self._lanes, slice(0, 1)))


class Result:
    """What `Plan.run` gives: a `Column` for each output cell."""

    def __init__(self, outputs: dict[Key, object], lanes: int):
        self._outputs, self._lanes = outputs, lanes  # a cell that is the same in all lanes has its plain value

    def column(self, key: Key) -> Column:
        value = self._outputs[key]
        return value if isinstance(value, Column) else Column(ln.as_lanes(value), self._lanes)

    def value(self, key: Key) -> object:
        """The value in the first lane."""
        value = self._outputs[key]
        return value.first() if isinstance(value, Column) else _plain(value)


def _plain(value):
    """A value as `Column.first` gives it."""
    return value if value is None or type(value) in (float, str, bool, ExcelError) else _first(ln.as_lanes(value))
