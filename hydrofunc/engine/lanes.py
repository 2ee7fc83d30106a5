"""What a worksheet value is, for one scenario or for thousands at once.

1. A value is a float, a str, a bool, None (a blank cell) or an `ExcelError` where it is the same in all scenarios.
2. Where it differs it is `Lanes`: one lane for each scenario. A range or an array is an `Area` of values.
3. `Lanes.num` holds numbers: 0 and 1 for booleans, 0 for a blank, for text its index in `Lanes.table`.
4. `Lanes.kind` says of each lane what it holds: NUMBER, TEXT, BOOLEAN or BLANK.
5. `Lanes.err` says of each lane which error it holds: its code, 0 for none. Beside an error `num` is NaN.
6. Both masks are always arrays of uint8. A mask of length 1 holds for all lanes; a longer one has an entry for each.
7. So numpy's broadcasting does the rest: masks of any two values combine, whatever their lengths.
8. Error codes that a function finds by itself are such a mask too; `leftmost` puts masks of errors together.
9. A function is written once, for plain values, and `lifted` makes it work on lanes.
10. What a sweep does often has a second form for arrays of numbers alone, which `lifted` uses where it can.
"""

from collections.abc import Callable, Sequence
from functools import partial
from math import isfinite, nan
from typing import ClassVar

import numpy as np

NUMBER, TEXT, BOOLEAN, BLANK = 0, 1, 2, 3  # kinds of a lane
quiet = partial(np.errstate, all="ignore")


class ExcelError:
    """An error value of a worksheet. `ExcelError("#N/A")` is always the same object."""

    __slots__ = ("code", "text")
    TEXTS = ("", "#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A")  # by code, as ERROR.TYPE
    _known: ClassVar[dict[str, "ExcelError"]] = {}

    def __new__(cls, text):
        if text not in cls._known:
            error = super().__new__(cls)
            error.code, error.text = cls.TEXTS.index(text), text
            cls._known[text] = error
        return cls._known[text]

    def __str__(self):
        return self.text

    def __repr__(self):
        return f"ExcelError({self.text!r})"

    def __reduce__(self):
        return ExcelError, (self.text,)


_BY_CODE = (None, *(ExcelError(text) for text in ExcelError.TEXTS[1:]))
_, DIV0, VALUE, REF, NAME, NUM, NA = _BY_CODE[1:]


def mask(code: int) -> np.ndarray:
    """A mask (1,) that says the same of all lanes; it cannot be written to."""
    array = np.array([code], np.uint8)
    array.flags.writeable = False
    return array


ALIKE = tuple(mask(kind) for kind in (NUMBER, TEXT, BOOLEAN, BLANK))  # masks of one kind in all lanes
SOUND = mask(0)  # the mask of no errors


class Lanes:
    """A value for each scenario (see the module's first lines).

    num:   float64 (n,); bool (n,) where all lanes are BOOLEAN
    err:   uint8 (1,) or (n,), error codes; `SOUND` itself where no lane has an error
    kind:  uint8 (1,) or (n,); (1,) where all lanes without an error are of one kind
    table: the texts in use, not necessarily different ones
    only:  the kind of all lanes, None where they differ;  sound: no lane has an error
    """

    __slots__ = ("err", "kind", "num", "only", "sound", "table")

    def __init__(self, num, err=SOUND, kind=ALIKE[NUMBER], table=()):
        self.sound = err is SOUND or not err.any()
        self.err = SOUND if self.sound else err
        if len(kind) > 1:
            good = kind if self.sound else kind[np.broadcast_to(err, len(kind)) == 0]
            if not good.size or (good == good[0]).all():
                kind = ALIKE[good[0] if good.size else NUMBER]
        self.only = int(kind[0]) if len(kind) == 1 else None
        self.num = num == 1.0 if self.only == BOOLEAN and num.dtype != bool else num
        self.kind, self.table = kind, table

    def __len__(self):
        return len(self.num)

    def python(self) -> list:
        """The lanes as a list of plain values and `ExcelError`s."""
        if self.sound and self.only in (NUMBER, BOOLEAN):
            return self.num.tolist()
        err, kind = (np.broadcast_to(a, len(self.num)).tolist() for a in (self.err, self.kind))
        return [self._plain(*lane) for lane in zip(self.num.tolist(), err, kind, strict=True)]

    def _plain(self, number, code, kind):
        if code:
            return _BY_CODE[code]
        if kind == TEXT:
            return self.table[int(number)]
        return number if kind == NUMBER else bool(number) if kind == BOOLEAN else None


class Area:
    """A rectangle of values: a range of cells, or an array."""

    __slots__ = ("rows",)

    def __init__(self, rows):
        self.rows = rows

    @property
    def shape(self) -> tuple[int, int]:
        """(rows, columns)."""
        return len(self.rows), len(self.rows[0])

    def cells(self) -> list:
        """Its values, row by row."""
        return [cell for row in self.rows for cell in row]


Value = float | str | bool | None | ExcelError | Lanes | Area


def cells_of(value: Value) -> list:
    """The cells of an area, or the value alone."""
    return value.cells() if type(value) is Area else [value]


def as_area(value: Value) -> Area:
    """An area as it is, another value as an area of one cell."""
    return value if type(value) is Area else Area([[value]])


# -- making lanes --------------------------------------------------------------------------------------


def as_lanes(value: Value) -> Lanes:
    """Any value but an area as lanes; a plain one becomes a single lane, to be spread by numpy."""
    if type(value) is Lanes:
        return value
    if type(value) is float:
        return Lanes(np.array([value]))
    if type(value) is bool:
        return Lanes(np.array([value]), SOUND, ALIKE[BOOLEAN])
    if type(value) is ExcelError:
        return Lanes(np.array([nan]), mask(value.code))
    if type(value) is str:
        return Lanes(np.zeros(1), SOUND, ALIKE[TEXT], [value])
    return Lanes(np.zeros(1), SOUND, ALIKE[BLANK])


def from_python(values: Sequence | np.ndarray) -> Lanes:
    """Lanes from a list or an array of plain values; None is a blank, NaN and infinity are #NUM!."""
    if isinstance(values, np.ndarray) and values.dtype.kind in "fiub":
        return as_lanes(settled(values if values.dtype == bool else values.astype(float)))
    table, num, err, kind = {}, [], [], []
    for value in values:
        code = 0
        if isinstance(value, (str, np.str_)):
            lane = table.setdefault(str(value), len(table)), TEXT
        elif isinstance(value, (bool, np.bool_)):
            lane = value, BOOLEAN
        elif value is None:
            lane = 0.0, BLANK
        else:
            code = value.code if isinstance(value, ExcelError) else 0 if isfinite(value) else NUM.code
            lane = nan if code else value, NUMBER
        num.append(lane[0])
        kind.append(lane[1])
        err.append(code)
    return Lanes(np.array(num, float), np.array(err, np.uint8), np.array(kind, np.uint8), list(table))


def take(value: Value, index: slice | np.ndarray) -> Value:
    """The value in some lanes only; `index` is a slice or an array of whole numbers."""
    if type(value) is Area:
        return Area([[take(cell, index) for cell in row] for row in value.rows])
    if type(value) is not Lanes:
        return value
    err, kind = (a if len(a) == 1 else a[index] for a in (value.err, value.kind))
    return Lanes(value.num[index], err, kind, value.table)


def lanes_in(*values: Value) -> int | None:
    """How many lanes the values have, None where they are the same in all."""
    for value in values:
        if type(value) is Lanes:
            return len(value)
        if type(value) is Area:
            for row in value.rows:
                for cell in row:
                    if type(cell) is Lanes:
                        return len(cell)
    return None


# -- errors --------------------------------------------------------------------------------------------


def code(condition: bool | np.ndarray, error: ExcelError) -> np.ndarray:
    """The mask of `error` where the condition, a bool or an array of bool, holds."""
    return np.where(condition, np.uint8(error.code), np.uint8(0))


def leftmost(*masks: np.ndarray) -> np.ndarray:
    """Masks of errors put together: the first error in a lane counts."""
    result = SOUND
    for codes in masks:
        if codes is not SOUND:
            result = codes if result is SOUND else np.where(result > 0, result, codes)
    return result


def errors(*values: Value) -> np.ndarray:
    """The mask of errors in values, cells of areas included; the first error in a lane counts."""
    result = SOUND
    for value in values:
        if type(value) is Lanes:
            result = leftmost(result, value.err)
        elif type(value) is ExcelError:
            result = leftmost(result, mask(value.code))
        elif type(value) is Area:
            result = leftmost(result, errors(*value.cells()))
    return result


def errors_alone(*values: Value) -> np.ndarray:
    """As `errors`, without those in cells of areas."""
    return errors(*(value for value in values if type(value) is not Area))


def settled(result: float | np.ndarray, err: np.ndarray = SOUND, codes: np.ndarray | int = SOUND) -> Value:
    """The value that a float, a bool or a fresh array (n,) of them stands for.

    err:   errors of the operands, which count first
    codes: errors the operation found by itself; a result that is not finite is #NUM! where both say nothing
    """
    if err is SOUND and codes is SOUND and isinstance(result, float):
        return float(result) if isfinite(result) else NUM
    if np.size(result) == len(err) == np.size(codes) == 1:
        value, number = np.ravel(result)[0].item(), err[0] or np.ravel(codes)[0]
        return _BY_CODE[number] if number else value if isfinite(value) else NUM
    result, codes = np.asarray(result), np.atleast_1d(codes)
    if result.dtype == bool:
        n = max(result.size, len(err), len(codes))
        return Lanes(np.array(np.broadcast_to(result, n)), leftmost(err, codes), ALIKE[BOOLEAN])
    finite = np.isfinite(result)
    if err is SOUND and result.ndim and len(result) >= len(codes) and not codes.any() and finite.all():
        return Lanes(result)
    err = leftmost(err, codes, code(np.atleast_1d(~finite), NUM))
    return Lanes(np.where(err > 0, nan, result), err)


def with_errors(err: np.ndarray, value: Value) -> Value:
    """`value` with the errors of the mask `err` laid over it."""
    if not err.any():
        return value
    if type(value) is Area:
        return Area([[with_errors(err, cell) for cell in row] for row in value.rows])
    if err.all():
        return settled(nan, err)
    lanes = as_lanes(value)
    both = leftmost(err, lanes.err)
    return Lanes(np.where(both > 0, nan, lanes.num), both, lanes.kind, lanes.table)


# -- choosing between values lane by lane --------------------------------------------------------------


def select(condition: np.ndarray, yes: Value, no: Value) -> Value:
    """`yes` where the array of bool (n,) holds, else `no`; errors of the one not taken are dropped."""
    if type(yes) is Area or type(no) is Area:
        return map_areas(lambda a, b: select(condition, a, b), yes, no)
    a, b = as_lanes(yes), as_lanes(no)
    if a.only == b.only == NUMBER and a.sound and b.sound:
        return Lanes(np.where(condition, a.num, b.num))
    table, second = a.table, b.num
    if b.table and a.table is not b.table:
        table = [*a.table, *b.table]
        second = second + np.where(b.kind == TEXT, float(len(a.table)), 0.0)
    num, err, kind = (np.where(condition, *pair) for pair in ((a.num, second), (a.err, b.err), (a.kind, b.kind)))
    return Lanes(num, err, kind, table)


def choose(condition: Value, yes: Value, no: Value) -> Value:
    """IF for a condition already evaluated: a bool, an error or lanes of booleans."""
    if type(condition) is Lanes:
        return with_errors(condition.err, select(condition.num, yes, no))
    return condition if type(condition) is ExcelError else yes if condition else no


def gather(cells: Sequence, index: np.ndarray, err: np.ndarray = SOUND) -> Value:
    """The value at `index` (whole numbers (n,), one for each lane) of a list of values."""
    if lanes_in(*cells) is None:
        return with_errors(err, take(from_python(cells), index))
    result = 0.0  # stays in no lane
    for i in np.unique(index).tolist():
        result = select(index == i, cells[i], result)
    return with_errors(err, result)


# -- lifting a function of plain values ----------------------------------------------------------------


def lifted(plain: Callable, numbers: Callable | None = None, kinds: tuple = (NUMBER,)) -> Callable:
    """A function of plain values (and areas of plain values) made to work on lanes too.

    numbers: the same on floats and arrays (n,) of float, which gives an array of float or bool. It is called
             for the lanes where all arguments are of one of `kinds`.
    Elsewhere `plain` is called once for every different combination of arguments, not once for every lane.
    """

    def call(*args):
        n = lanes_in(*args)
        if n is None:
            return plain(*args)
        with quiet():
            easy = _lanes_of_kinds(args, kinds) if numbers else False
            if easy is False or not easy.any():
                return _by_combination(plain, args, n)
            result = settled(np.array(np.broadcast_to(numbers(*map(_num, args)), n)))
            if easy.all():
                return result
            hard = np.flatnonzero(~np.broadcast_to(easy, n))
            index = np.zeros(n, np.intp)
            index[hard] = np.arange(len(hard))
            rest = _by_combination(plain, [take(arg, hard) for arg in args], len(hard))
            return select(easy, result, take(rest, index))

    return call


def _num(arg):
    return arg.num if type(arg) is Lanes else arg


def _lanes_of_kinds(args, kinds):
    """Where all arguments are of these kinds and no errors: (1,) or (n,); False where they are nowhere."""
    easy = np.ones(1, bool)
    for arg in args:
        if type(arg) is Lanes:
            if arg.only is None:
                easy = easy & np.isin(arg.kind, kinds)
            elif arg.only not in kinds:
                return False
            if not arg.sound:
                easy = easy & (arg.err == 0)
        elif type(arg) is not float:
            return False
    return easy


def _by_combination(plain, args, n):
    """Lanes of `plain` of the arguments, called once for each different combination of them."""
    group = np.zeros(n, np.intp)
    for lanes in (cell for arg in args for cell in cells_of(arg) if type(cell) is Lanes):
        # One complex number says all of a lane, so that a single sort finds the lanes that are alike.
        lane = np.where(lanes.err > 0, 0.0, lanes.num) + 1j * np.where(lanes.err > 0, 4.0 + lanes.err, lanes.kind)
        alike = np.unique(lane, return_inverse=True)[1]
        group = np.unique(group * n + alike, return_inverse=True)[1]
    first = np.unique(group, return_index=True)[1]
    rows = zip(*(_plain_lanes(take(arg, first), len(first)) for arg in args), strict=True)
    return take(from_python([plain(*row) for row in rows]), group)


def _plain_lanes(arg, n):
    """The argument in each of n lanes, as a list of plain values or areas of them."""
    if type(arg) is Lanes:
        return arg.python()
    if type(arg) is Area and lanes_in(arg) is not None:
        rows = [[_plain_lanes(cell, n) for cell in row] for row in arg.rows]
        return [Area([[cell[i] for cell in row] for row in rows]) for i in range(n)]
    return [arg] * n


# -- cell by cell over areas ---------------------------------------------------------------------------


def map_areas(function: Callable, *args: Value) -> Area:
    """`function` over areas cell by cell; one row, one column or a single value is repeated as needed."""
    shapes = [arg.shape for arg in args if type(arg) is Area]
    height, width = max(s[0] for s in shapes), max(s[1] for s in shapes)
    return Area([[function(*(cell_at(arg, r, c) for arg in args)) for c in range(width)] for r in range(height)])


def cell_at(value: Value, row: int, column: int) -> Value:
    """The value in a row and column, counted from 0, where `value` is an area; else `value` itself."""
    if type(value) is not Area:
        return value
    height, width = value.shape
    row, column = (0 if height == 1 else row), (0 if width == 1 else column)
    return value.rows[row][column] if row < height and column < width else NA


def over_areas(function: Callable) -> Callable:
    """A function of values made to work on areas too, cell by cell."""

    def call(*args):
        if Area in map(type, args):
            return map_areas(call, *args)
        return function(*args)

    return call
