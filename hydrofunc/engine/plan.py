"""A workbook compiled for recalculation: each formula once for all scenarios, in blocks of lanes.

`compile_book` turns the formulas the wanted cells need into Python closures, in an order in which every cell
comes after those it depends on. `Plan.run` evaluates them: what depends on no input given as lanes once, as
plain values; the rest block by block. What the engine does not evaluate is refused while compiling, with the
cell and the reason.

A formula kept without array marks is an old-style one: a range where one value is wanted means the cell of
that range in the formula's own row or column. Inside SUM and its kin, where hosts disagree about
`SUM(A1:A3*2)`, such a formula is refused.
"""

from operator import itemgetter

import numpy as np

from ..errors import FormulaRefused
from . import lanes as ln
from . import library, operators
from .book import Formula, operand
from .formula import Reference, Refused, address, parse, place
from .lanes import BLANK, BOOLEAN, NA, NUM, NUMBER, TEXT, VALUE, Area, ExcelError, Lanes
from .library import TABLE
from .operators import OPERATORS

BLOCK = 16_384  # lanes worked on at a time, so that a column of them stays in the processor's cache
MOST_CELLS = 100_000  # of one range
_RAISING = {"over": "raise", "divide": "raise", "invalid": "raise", "under": "ignore"}
_EQUAL = OPERATORS["="]
_KINDS = {NUMBER: "number", TEXT: "text", BOOLEAN: "boolean", BLANK: "blank"}


def compile_book(book, functions, *, overrides=(), outputs=None):
    """A `Plan` for a `Book`.

    functions: our worksheet functions by upper-case name.
    overrides: cells, as (sheet, "B7"), that `Plan.run` may be given other values for.
    outputs:   cells wanted; None means every formula cell.
    Raises `FormulaRefused` listing every formula on the way to an output that is not evaluated, and why.
    """
    return _Compiler(book, functions, overrides, outputs).plan()


# -- compiling -----------------------------------------------------------------------------------------


class _Compiler:
    def __init__(self, book, functions, overrides, outputs):
        self.book, self.functions = book, functions
        self.inputs = [self.known(key) for key in overrides]
        formulas = [key for key, value in book.cells.items() if isinstance(value, Formula)]
        self.outputs = formulas if outputs is None else [self.known(key) for key in outputs]
        self.slots = {}  # key -> place in the list of values
        self.base = []  # plain values; None for blanks and for formulas
        self.keys = []  # of the slots; None for the whole result of an array formula
        self.problems = []
        self.compiled = {}  # slot -> (closure, slots it needs)
        self.arrays = {}  # (sheet, area) -> slot of the whole result of an array formula
        self.sizes = dict(book.sizes)
        for sheet, cell in self.inputs:
            (row, column), (rows, columns) = place(cell), self.sizes[sheet]
            self.sizes[sheet] = max(row, rows), max(column, columns)

    def known(self, key):
        sheet, cell = key
        title = self.book.sheet(sheet)
        if title is None:
            raise LookupError(f"{self.book.source} has no sheet {sheet!r}")
        return title, address(*place(cell))

    def plan(self):
        inputs = {key: self.slot(*key) for key in self.inputs}
        given = set(inputs.values())
        outputs = {key: self.slot(*key) for key in self.outputs}
        todo = list(outputs.values())
        while todo:
            slot = todo.pop()
            if slot in self.compiled or slot in given:
                continue
            key = self.keys[slot]
            source = self.book.cells.get(key)
            if not isinstance(source, Formula):
                continue
            self.compiled[slot] = self.cell(key, source)
            todo.extend(self.compiled[slot][1])
            for needed in self.compiled[slot][1]:
                if needed in self.compiled:
                    todo.extend(self.compiled[needed][1])
        order = _ordered(list(outputs.values()), self.compiled, self.keys, self.problems)
        if self.problems:
            raise FormulaRefused(self.problems)
        varying = set(given)
        for slot in order:
            if any(needed in varying for needed in self.compiled[slot][1]):
                varying.add(slot)
        steps = [(slot, *self.compiled[slot]) for slot in order]
        return Plan(self.base, steps, varying - given, inputs, outputs)

    def slot(self, sheet, cell):
        key = sheet, cell
        found = self.slots.get(key)
        if found is None:
            found = self.slots[key] = len(self.base)
            value = self.book.cells.get(key)
            self.base.append(None if isinstance(value, Formula) else value)
            self.keys.append(key)
        return found

    def cell(self, key, source):
        """(closure, slots it needs) of a formula cell; a problem is noted where it is refused."""
        sheet, cell = key
        try:
            if source.trouble:
                raise Refused(source.trouble)
            if self.book.iterative:
                raise Refused("the workbook asks for iterative calculation, which is not supported")
            if source.area is None:
                return _Cell(self, sheet, *place(cell)).root(source.text)
            return self.array_cell(sheet, source)
        except Refused as refused:
            self.problems.append((f"{sheet}!{cell}", str(refused)))
            return (lambda values: NA), ()

    def array_cell(self, sheet, source):
        whole = sheet, source.area
        if whole not in self.arrays:
            slot = self.arrays[whole] = len(self.base)
            self.base.append(None)
            self.keys.append(None)
            first = _Cell(self, sheet, source.area.top, source.area.left, "formula")
            self.compiled[slot] = first.whole(source.text)
        slot = self.arrays[whole]
        row, column = source.at

        def run(values):
            return _grounded(ln.cell_at(values[slot], row, column))

        return run, (slot,)


def _ordered(wanted, compiled, keys, problems):
    """The slots of formulas, each after those it needs; cycles are noted as problems."""
    order, state = [], {}
    for start in wanted:
        if start not in compiled or start in state:
            continue
        state[start] = "open"
        path = [(start, iter(compiled[start][1]))]
        while path:
            slot, needs = path[-1]
            for needed in needs:
                if needed not in compiled:
                    continue
                if needed not in state:
                    state[needed] = "open"
                    path.append((needed, iter(compiled[needed][1])))
                    break
                if state[needed] == "open":
                    _note_cycle(path, needed, keys, problems)
            else:
                state[slot] = "done"
                order.append(slot)
                path.pop()
    return order


def _note_cycle(path, needed, keys, problems):
    slots = [slot for slot, _ in path]
    cells = [keys[slot] for slot in slots[slots.index(needed) :]]
    names = [f"{sheet}!{cell}" for sheet, cell in filter(None, cells)]
    loop = " -> ".join([*names, names[0]])
    problems.extend((name, f"refers to itself: {loop}") for name in names)


def _grounded(value):
    """A formula's value as its cell shows it: 0 for blank, the first value of an area."""
    if type(value) is Area:
        value = value.rows[0][0]
    if value is None:
        return 0.0
    if type(value) is Lanes and value.only in (BLANK, None):
        kind = np.where(value.kind == BLANK, NUMBER, value.kind).astype(np.uint8)
        return Lanes(value.num, value.err, kind, value.table)
    return value


def _constant(value):
    return lambda values: value


class _Cell:
    """Compiles the formula of one cell.

    `array` says how ranges stand in operators and in functions that want one value: "" one cell of the
    range, "argument" (inside SUMPRODUCT) and "formula" (an array formula) element by element.
    """

    def __init__(self, compiler, sheet, row, column, array=""):
        self.compiler, self.sheet, self.row, self.column, self.array = compiler, sheet, row, column, array
        self.in_aggregate = False
        self.needs = set()

    def parse(self, text):
        return parse(text, lambda item: operand(self.compiler.book, item, self.sheet, self.row))

    def root(self, text):
        tree = self.parse(text)
        run = self.snapping(tree) if _ends_in_sum(tree) else self.value(tree)
        return (lambda values: _grounded(run(values))), tuple(self.needs)

    def whole(self, text):
        run = self.value(self.parse(text))

        def area(values):
            value = run(values)
            return value if type(value) is Area else Area([[value]])

        return area, tuple(self.needs)

    def snapping(self, tree):
        _, first, rest = tree
        sign, last = rest[-1]
        left = self.value(("chain", first, rest[:-1]) if len(rest) > 1 else first)
        right, operate = self.value(last), OPERATORS[sign]

        def run(values):
            a = left(values)
            return operators.snapped(operate(a, right(values)), a)

        return run

    # one value

    def value(self, tree):
        return getattr(self, "value_" + tree[0])(*tree[1:])

    def value_value(self, value):
        return _constant(value)

    def value_missing(self):
        return _constant(None)

    def value_paren(self, tree):
        return self.value(tree)

    def value_array(self, rows):
        return _constant(Area(rows))

    def value_minus(self, tree):
        inner = self.value(tree)
        return lambda values: operators.negate(inner(values))

    def value_percent(self, tree):
        inner = self.value(tree)
        return lambda values: operators.percent(inner(values))

    def value_chain(self, first, rest):
        run = self.value(first)
        if len(rest) == 1:
            return _binary(OPERATORS[rest[0][0]], run, self.value(rest[0][1]))
        steps = [(OPERATORS[sign], self.value(tree)) for sign, tree in rest]

        def chain(values):
            result = run(values)
            for operate, other in steps:
                result = operate(result, other(values))
            return result

        return chain

    def value_ref(self, ref):
        if ref.single:
            return self.one(ref.sheet, ref.top, ref.left)
        if self.array:
            if ref.open_ended:
                raise Refused("a whole column or row inside an array expression is not supported")
            return self.area(ref)
        if self.in_aggregate:
            raise Refused(
                "hosts disagree about a range in an expression inside this function: "
                "use SUMPRODUCT, or enter it as an array formula"
            )
        if ref.width == 1 and ref.top <= self.row <= ref.bottom:
            return self.one(ref.sheet, self.row, ref.left)
        if ref.height == 1 and ref.left <= self.column <= ref.right:
            return self.one(ref.sheet, ref.top, self.column)
        return _constant(VALUE)

    def one(self, sheet, row, column):
        slot = self.compiler.slot(sheet, address(row, column))
        self.needs.add(slot)
        return itemgetter(slot)

    def value_call(self, name, args):
        return self.call(name, args, False)

    # a range as it is

    def ranged(self, tree):
        """A closure that gives an area for cells, and for what Excel calls a reference; else a value."""
        if tree[0] == "paren":
            return self.ranged(tree[1])
        if tree[0] == "ref":
            return self.area(tree[1])
        if tree[0] == "missing":
            return _constant(0.0)
        before, self.in_aggregate = self.in_aggregate, True
        if tree[0] == "call" and tree[1] in ("IF", "CHOOSE", "INDEX", "XLOOKUP"):
            run = self.call(*tree[1:], True)
        else:
            run = self.value(tree)
        self.in_aggregate = before
        return (lambda values: _as_area(run(values))) if _refers(tree) else run

    def area(self, ref):
        rows, columns = self.compiler.sizes[ref.sheet]
        bottom = max(ref.top, min(ref.bottom, rows)) if ref.open_ended else ref.bottom
        right = max(ref.left, min(ref.right, columns)) if ref.open_ended else ref.right
        if (bottom - ref.top + 1) * (right - ref.left + 1) > MOST_CELLS:
            raise Refused(f"the range {ref} has more than {MOST_CELLS} cells")
        slots = [
            [self.compiler.slot(ref.sheet, address(r, c)) for c in range(ref.left, right + 1)]
            for r in range(ref.top, bottom + 1)
        ]
        for row in slots:
            self.needs.update(row)
        return lambda values: Area([[values[slot] for slot in row] for row in slots])

    # functions

    def call(self, name, args, as_range):
        function = self.compiler.functions.get(name)
        if function is not None:
            return self.ours(function, args)
        entry = TABLE.get(name)
        if entry is None:
            why = library.WHY_REFUSED.get(name, "the engine does not know it")
            raise Refused(f"the function {name} is not supported: {why}")
        if not entry.least <= len(args) <= entry.most:
            wanted = entry.least if entry.least == entry.most else f"{entry.least} to {entry.most}"
            raise Refused(f"{name} takes {wanted} arguments, not {len(args)}")
        form = _FORMS.get(name)
        if form is not None:
            return form(self, args, as_range)
        return self.ordinary(name, entry, args)

    def ordinary(self, name, entry, args):
        if entry.repeats == 2 and (len(args) - entry.least) % 2:
            raise Refused(f"{name}: a criterion is missing")
        kinds = [entry.kind(i) for i in range(len(args))]
        if name in ("SUMIF", "AVERAGEIF") and len(args) == 3:
            args = [*args[:2], _resized(args[2], args[0])]
        if "c" in kinds or name in ("XLOOKUP", "TEXTJOIN"):
            _refuse_open_ended(name, args)
        if name == "XLOOKUP":
            args = _checked_xlookup(args)
        runs = [self.argument(name, kind, tree) for kind, tree in zip(kinds, args)]
        single = [i for i, kind in enumerate(kinds) if kind == "v"]
        return _calling(entry.call, runs, single)

    def argument(self, name, kind, tree):
        if kind == "r":
            return self.ranged(tree)
        if kind == "c":
            while tree[0] == "paren":
                tree = tree[1]
            if tree[0] != "ref":
                raise Refused(f"{name} wants cells here")
            return self.area(tree[1])
        if kind == "a":
            before = self.array
            self.array = before or "argument"
            run = self.area(tree[1]) if tree[0] == "ref" and not tree[1].open_ended else self.value(tree)
            self.array = before
            return run
        return self.value(tree)

    def ours(self, function, args):
        """A call of one of our own worksheet functions."""
        declared = function.arguments
        if len(args) > len(declared):
            raise Refused(f"{function.sheet_name} takes at most {len(declared)} arguments, not {len(args)}")
        for i, argument in enumerate(declared):
            if argument.required and (i >= len(args) or args[i][0] == "missing"):
                raise Refused(f"{function.sheet_name}: the argument {argument.name} is missing")
        runs = []
        for argument, tree in zip(declared, args):
            if tree[0] == "missing":
                runs.append(_constant(None))
            else:
                runs.append(self.ranged(tree) if argument.many or _is_range(tree) else self.value(tree))
        blank = [None] * (len(declared) - len(runs))

        def run(values):
            return _call_ours(function, declared, [each(values) for each in runs] + blank)

        return run


def _ends_in_sum(tree):
    return tree[0] == "chain" and tree[2][-1][0] in "+-"


def _is_range(tree):
    return tree[0] == "ref" and not tree[1].single


def _as_area(value):
    return value if type(value) is Area else Area([[value]])


def _refers(tree):
    """Does this call give a reference, so that text in the cell it finds is skipped by SUM?"""
    while tree[0] == "paren":
        tree = tree[1]
    if tree[0] == "ref":
        return True
    if tree[0] != "call":
        return False
    name, args = tree[1:]
    found = {"INDEX": args[:1], "XLOOKUP": args[2:3], "IF": args[1:], "CHOOSE": args[1:]}.get(name, [])
    return any(_refers(arg) for arg in found)


def _contains_range(tree):
    if tree[0] == "ref":
        return not tree[1].single
    if tree[0] in ("paren", "minus", "percent"):
        return _contains_range(tree[1])
    if tree[0] == "chain":
        return _contains_range(tree[1]) or any(_contains_range(other) for _, other in tree[2])
    return tree[0] == "call" and any(_contains_range(arg) for arg in tree[2])


def _refuse_open_ended(name, args):
    """Whole columns are cut to the rows in use, which only functions that skip blank cells do not notice."""
    if any(arg[0] == "ref" and arg[1].open_ended for arg in args):
        raise Refused(f"{name} of a whole column or row is not supported: write the range with its last row")


def _resized(target, source):
    """The target of SUMIF: as large as the range, from the same first cell."""
    if target[0] == "missing":
        return source
    if target[0] != "ref" or source[0] != "ref":
        return target
    first, shape = target[1], source[1]
    return (
        "ref",
        Reference(first.sheet, first.top, first.left, first.top + shape.height - 1, first.left + shape.width - 1),
    )


def _checked_xlookup(args):
    args = list(args)
    if len(args) > 3 and args[3][0] == "missing":
        args[3] = ("value", NA)
    if len(args) > 5:
        search = args[5]
        if search[0] == "missing":
            args[5] = ("value", 1.0)
        elif search[0] != "value" or search[1] not in (1.0, -1.0):
            raise Refused("XLOOKUP: only the search modes 1 and -1 are supported")
    among, results = args[1], args[2]
    if among[0] == "ref" and results[0] == "ref":
        size = among[1].height, among[1].width
        if 1 not in size or size != (results[1].height, results[1].width):
            raise Refused("XLOOKUP: only one row or column, and results of the same size, are supported")
    return args


def _binary(operate, left, right):
    return lambda values: operate(left(values), right(values))


def _calling(function, runs, single):
    """A closure that calls a function of the table; areas given where one value is wanted are mapped over."""

    def run(values):
        args = [each(values) for each in runs]
        for i in single:
            if type(args[i]) is Area:
                return _mapped(function, args, single)
        with ln.quiet():
            return function(*args)

    return run


def _mapped(function, args, single):
    def one(*picked):
        row = list(args)
        for i, value in zip(single, picked):
            row[i] = value
        with ln.quiet():
            return function(*row)

    return ln.map_areas(one, *(args[i] for i in single))


# -- our own functions ---------------------------------------------------------------------------------


def _call_ours(function, declared, args):
    n, err = ln.lanes_in(*args), ln.SOUND
    for argument, value in zip(declared, args):
        many = type(value) is Area and not argument.many and value.shape != (1, 1)
        err = ln.leftmost(err, ln.mask(VALUE.code) if many else ln.errors(value))
        if err.all():
            return ln.settled(np.nan, err)
    if any(a.many and _has_gaps(v) for a, v in zip(declared, args)):
        return _by_gaps(function, declared, args, n)
    given = [
        _given_list(value, n) if argument.many and value is not None else _given(value, argument.is_text)
        for argument, value in zip(declared, args)
    ]
    with ln.quiet():
        result, problems = function.lanes(given)
    # a constant result stands for all lanes
    result = np.asarray(result, dtype=float)
    codes = ln.SOUND if problems is None else np.array([0, NUM.code, VALUE.code], np.uint8)[np.ravel(problems)]
    if n is not None and np.size(result) > 1 or np.size(codes) > 1:
        result = np.array(np.broadcast_to(result, n))
    return ln.settled(result, err, codes)


def _has_gaps(value):
    """Is a cell of this list blank in some lanes and not in others?"""
    return any(type(cell) is Lanes and cell.only is None and (cell.kind == BLANK).any() for cell in ln.cells_of(value))


def _by_gaps(function, declared, args, n):
    """A call whose lists are longer in some lanes than in others: once for each pattern of blank cells."""
    blank = [
        np.broadcast_to(ln.as_lanes(cell).kind == BLANK, n)
        for argument, value in zip(declared, args)
        if argument.many and value is not None
        for cell in ln.cells_of(value)
    ]
    _, group = np.unique(np.array(blank), axis=1, return_inverse=True)
    result = 0.0
    for pattern in range(group.max() + 1):
        mask = group.ravel() == pattern
        here = np.flatnonzero(mask)
        found = _call_ours(function, declared, [ln.take(value, here) for value in args])
        spread = np.zeros(n, np.intp)
        spread[here] = np.arange(len(here))
        result = ln.select(mask, ln.take(found, spread), result)
    return result


def _given(value, is_text):
    """An argument as the function's `lanes` takes it."""
    if type(value) is Area:
        value = value.rows[0][0]
    if type(value) is bool:
        return np.array([value], dtype=object)
    if type(value) is not Lanes:
        return value
    if value.only == NUMBER and (value.sound or not is_text):
        return value.num
    if value.only == BLANK and value.sound:
        return None
    array = np.empty(len(value), dtype=object)
    array[:] = [(None if is_text else np.nan) if type(item) is ExcelError else item for item in value.python()]
    return array


def _given_list(value, n):
    cells = [
        cell
        for cell in ln.cells_of(value)
        if cell is not None and not (type(cell) is Lanes and cell.only == BLANK)
    ]
    if not cells:
        return None
    numeric = all(type(c) is float or (type(c) is Lanes and c.only == NUMBER) for c in cells)
    if not any(type(cell) is Lanes for cell in cells):
        array = np.empty(len(cells), dtype=float if numeric else object)
        array[:] = cells
        return array
    array = np.empty((n, len(cells)), dtype=float if numeric else object)
    for i, cell in enumerate(cells):
        if numeric:
            array[:, i] = cell.num if type(cell) is Lanes else cell
        elif type(cell) is Lanes:
            array[:, i] = [np.nan if type(item) is ExcelError else item for item in cell.python()]
        else:
            array[:, i] = cell
    return array


# -- forms: functions that decide what is evaluated, or that are settled while compiling ----------------


def _lazy(form):
    """A form whose branches may stay unevaluated.

    Inside SUMPRODUCT it would have to work on ranges, about which hosts disagree: that is refused.
    """

    def compile_form(cell, args, as_range):
        if cell.array == "argument" and any(_contains_range(arg) for arg in args):
            raise Refused("hosts disagree about a choice between ranges here: enter it as an array formula")
        branch = cell.ranged if as_range else cell.value
        return form(cell, args, lambda tree: _constant(0.0) if tree[0] == "missing" else branch(tree))

    return compile_form


def _settled_condition(condition):
    """The condition, as a plain bool where all lanes of the block agree."""
    if type(condition) is Lanes and condition.sound:
        if condition.num.all():
            return True
        if not condition.num.any():
            return False
    return condition


def _cascade(conditions, default):
    """The value of the first condition that holds, lane by lane; all are functions without arguments."""
    pending = []
    result = None
    for condition, value in conditions:
        met = condition()
        if type(met) is Area:
            met = ln.map_areas(operators.truth, met)
            pending.append((met, value()))
            continue
        met = _settled_condition(operators.truth(met))
        if met is False:
            continue
        if met is True or type(met) is ExcelError:
            result = value() if met is True else met
            break
        pending.append((met, value()))
    else:
        result = default()
    for met, value in reversed(pending):
        if type(met) is Area:
            result = ln.map_areas(ln.choose, met, value, result)
        else:
            result = ln.choose(met, value, result)
    return result


@_lazy
def _if(cell, args, branch):
    condition, yes = cell.value(args[0]), branch(args[1])
    no = branch(args[2]) if len(args) > 2 else _constant(False)

    def run(values):
        met = condition(values)
        if type(met) is bool:
            return yes(values) if met else no(values)
        return _cascade([(lambda: met, lambda: yes(values))], lambda: no(values))

    return run


@_lazy
def _ifs(cell, args, branch):
    if len(args) % 2:
        raise Refused("IFS: a value is missing")
    pairs = [(cell.value(args[i]), branch(args[i + 1])) for i in range(0, len(args), 2)]
    return lambda values: _cascade(_bound(pairs, values), lambda: NA)


def _bound(pairs, values):
    for condition, value in pairs:
        yield (lambda: condition(values)), (lambda: value(values))


@_lazy
def _switch(cell, args, branch):
    subject = cell.value(args[0])
    rest = args[1:]
    default = branch(rest[-1]) if len(rest) % 2 else _constant(NA)
    pairs = [(cell.value(rest[i]), branch(rest[i + 1])) for i in range(0, len(rest) - 1, 2)]

    def run(values):
        found = subject(values)
        cases = [
            (lambda case=case: _EQUAL(found, case(values)), lambda each=each: each(values)) for case, each in pairs
        ]
        return _cascade(cases, lambda: default(values))

    return run


@_lazy
def _choose(cell, args, branch):
    which = cell.value(args[0])
    branches = [branch(arg) for arg in args[1:]]

    def pick(values, wanted):
        wanted = operators.number(wanted)
        if type(wanted) is ExcelError:
            return wanted
        if type(wanted) is float:
            return branches[int(wanted) - 1](values) if 1 <= wanted < len(branches) + 1 else VALUE
        fine = (wanted.num >= 1) & (wanted.num < len(branches) + 1)
        place = np.where(fine, wanted.num, 0.0).astype(np.intp)
        used = set(np.unique(place).tolist())
        found = [VALUE] + [each(values) if i + 1 in used else None for i, each in enumerate(branches)]
        if not any(type(value) is Area for value in found):
            return ln.gather(found, place, wanted.err)
        return ln.map_areas(lambda *options: ln.gather(options, place, wanted.err), *found)

    def run(values):
        wanted = which(values)
        if type(wanted) is Area:
            return ln.map_areas(lambda one: pick(values, one), wanted)
        return pick(values, wanted)

    return run


def _rescuing(hit):
    """IFERROR and IFNA; `hit` says which error codes are replaced."""

    @_lazy
    def form(cell, args, branch):
        attempt, instead = cell.value(args[0]), branch(args[1])

        def rescue(values, value):
            if type(value) is Lanes:
                if value.sound:
                    return value
                mask = np.broadcast_to(hit(value.err), len(value))
                return ln.select(mask, instead(values), value) if mask.any() else value
            return instead(values) if type(value) is ExcelError and hit(value.code) else value

        def run(values):
            value = attempt(values)
            if type(value) is Area:
                return ln.map_areas(lambda one: rescue(values, one), value)
            return rescue(values, value)

        return run

    return form


def _position(of_row):
    def form(cell, args, _):
        if not args:
            return _constant(float(cell.row if of_row else cell.column))
        ref = _reference_of(args[0], "ROW" if of_row else "COLUMN")
        if cell.array and not ref.single:
            if ref.open_ended:
                raise Refused("a whole column or row inside an array expression is not supported")
            if of_row:
                return _constant(Area([[float(r)] for r in range(ref.top, ref.bottom + 1)]))
            return _constant(Area([[float(c) for c in range(ref.left, ref.right + 1)]]))
        return _constant(float(ref.top if of_row else ref.left))

    return form


def _reference_of(tree, name):
    while tree[0] == "paren":
        tree = tree[1]
    if tree[0] != "ref":
        raise Refused(f"{name} wants cells here")
    return tree[1]


def _extent(of_rows):
    def form(cell, args, _):
        if args[0][0] == "array":
            rows = args[0][1]
            return _constant(float(len(rows) if of_rows else len(rows[0])))
        ref = _reference_of(args[0], "ROWS" if of_rows else "COLUMNS")
        return _constant(float(ref.height if of_rows else ref.width))

    return form


def _index(cell, args, as_range):
    source = args[0]
    while source[0] == "paren":
        source = source[1]
    if source[0] == "ref":
        height, width = source[1].height, source[1].width
    elif source[0] == "array":
        height, width = len(source[1]), len(source[1][0])
    else:
        raise Refused("INDEX wants cells or an array constant")
    _refuse_open_ended("INDEX", [source])
    area = cell.area(source[1]) if source[0] == "ref" else cell.value(source)
    if len(args) == 2 and height > 1 and width > 1:
        args = [*args, ("missing",)]
    if len(args) == 2 and height == 1:
        args = [args[0], ("value", 1.0), args[1]]
    whole_row = len(args) > 2 and _is_zero(args[2])
    whole_column = _is_zero(args[1])
    row = cell.value(args[1])
    column = cell.value(args[2]) if len(args) > 2 else _constant(1.0)
    if not (whole_row or whole_column):
        return _calling(library.index, [area, row, column], [1, 2])
    if not (as_range or cell.array) and ((width > 1 and whole_row) or (height > 1 and whole_column)):
        raise Refused("INDEX gives a whole row or column where one value is wanted")

    def run(values):
        cells = area(values)
        rows = [float(r + 1) for r in range(len(cells.rows))] if whole_column else [row(values)]
        columns = [float(c + 1) for c in range(len(cells.rows[0]))] if whole_row else [column(values)]
        with ln.quiet():
            return Area([[library.index(cells, r, c) for c in columns] for r in rows])

    return run


def _is_zero(tree):
    return tree[0] == "missing" or (tree[0] == "value" and tree[1] == 0.0)


def _fixed_text(cell, tree, name):
    """The text of an argument that must be known while compiling."""
    while tree[0] == "paren":
        tree = tree[1]
    value = tree[1] if tree[0] == "value" else None
    if tree[0] == "ref" and tree[1].single:
        key = tree[1].sheet, address(tree[1].top, tree[1].left)
        value = cell.compiler.book.cells.get(key) if key not in cell.compiler.inputs else None
    if type(value) is not str:
        raise Refused(f"{name}: this argument must be a fixed text")
    return value


def _text(cell, args, _):
    show = library.formatter(_fixed_text(cell, args[1], "TEXT"))
    return _calling(lambda value: library.formatted(show, value), [cell.value(args[0])], [0])


def _convert(cell, args, _):
    source, target = (_fixed_text(cell, arg, "CONVERT") for arg in args[1:])
    return _calling(library.converter(source, target), [cell.value(args[0])], [0])


_FORMS = {
    "IF": _if,
    "IFS": _ifs,
    "SWITCH": _switch,
    "CHOOSE": _choose,
    "IFERROR": _rescuing(lambda code: code > 0),
    "IFNA": _rescuing(lambda code: code == NA.code),
    "ROW": _position(True),
    "COLUMN": _position(False),
    "ROWS": _extent(True),
    "COLUMNS": _extent(False),
    "INDEX": _index,
    "TEXT": _text,
    "CONVERT": _convert,
}


# -- running -------------------------------------------------------------------------------------------


class Plan:
    """A compiled workbook. `inputs` and `outputs` are the cells it takes and gives, as (sheet, "B7")."""

    def __init__(self, base, steps, dependent, inputs, outputs):
        self._base, self._inputs, self._outputs = base, inputs, outputs
        self._fixed = [step for step in steps if step[0] not in dependent]
        self._steps = [step for step in steps if step[0] in dependent]
        self._settled = None

    @property
    def inputs(self):
        return list(self._inputs)

    @property
    def outputs(self):
        return list(self._outputs)

    @property
    def in_order(self):
        """The outputs that are formulas, each after those it needs: the first error among them is a cause."""
        keys = {slot: key for key, slot in self._outputs.items()}
        return [keys[slot] for slot, _, _ in self._fixed + self._steps if slot in keys]

    def run(self, inputs=None, lanes=1, progress=None):
        """Recalculate with other values in input cells.

        inputs:   {(sheet, "B7"): value}: one value, or a list or array of `lanes` values; numbers, text,
                  booleans, None for blank, `ExcelError`. Input cells left out keep what the workbook holds.
        progress: called after each block with the number of lanes done so far.
        """
        with np.errstate(**_RAISING):
            return self._run(inputs or {}, lanes, progress)

    def _run(self, inputs, lanes, progress):
        values = self._start()
        varying = {}
        for key, given in inputs.items():
            if key not in self._inputs:
                raise LookupError(f"{key[0]}!{key[1]} was not named as an input of the compiled workbook")
            value = _input_value(given, lanes, key)
            if type(value) is Lanes:
                varying[self._inputs[key]] = value
            else:
                values[self._inputs[key]] = value
        in_lanes, once, each = set(varying), [], []
        for step in self._steps:
            if any(needed in in_lanes for needed in step[2]):
                in_lanes.add(step[0])
                each.append(step)
            else:
                once.append(step)
        for slot, run, _ in once:
            values[slot] = run(values)
        columns = {slot: _Collector(lanes) for slot in set(self._outputs.values()) if slot in in_lanes}
        if columns:
            self._run_blocks(values, varying, each, columns, lanes, progress)
        elif progress is not None:
            progress(lanes)
        found = {}
        for key, slot in self._outputs.items():
            found[key] = columns[slot].column() if slot in columns else Column(ln.as_lanes(values[slot]), lanes)
        return Result(found)

    def _start(self):
        if self._settled is None:
            values = list(self._base)
            for slot, run, _ in self._fixed:
                values[slot] = run(values)
            self._settled = values
        return list(self._settled)

    def _run_blocks(self, values, varying, steps, columns, lanes, progress):
        last_use = {}
        for place_, (_, _, needs) in enumerate(steps):
            for needed in needs:
                last_use[needed] = place_
        own = {slot for slot, _, _ in steps} | set(varying)
        drop = [[] for _ in steps]
        for slot, place_ in last_use.items():
            if slot in own and slot not in columns:
                drop[place_].append(slot)
        for start in range(0, lanes, BLOCK):
            stop = min(start + BLOCK, lanes)
            for slot, whole in varying.items():
                values[slot] = ln.take(whole, slice(start, stop))
            for (slot, run, _), unused in zip(steps, drop):
                values[slot] = run(values)
                for old in unused:
                    values[old] = None
            for slot, collector in columns.items():
                collector.take(values[slot], start, stop)
            if progress is not None:
                progress(stop)


def _input_value(given, lanes, key):
    """A plain value, or lanes."""
    if isinstance(given, (list, tuple)) or (isinstance(given, np.ndarray) and given.ndim):
        if len(given) != lanes:
            raise ValueError(f"{key[0]}!{key[1]} is given {len(given)} values for {lanes} lanes")
        value = ln.from_python(given)
        return _first(value) if lanes == 1 else value
    return _first(ln.from_python([given.item() if isinstance(given, (np.ndarray, np.generic)) else given]))


def _first(value):
    return value.python()[0]


class _Collector:
    """Gathers the blocks of one output."""

    def __init__(self, lanes):
        self.num, self.err, self.kind = np.empty(lanes), np.empty(lanes, np.uint8), np.empty(lanes, np.uint8)
        self.table, self.last_table, self.offset = [], (), 0

    def take(self, value, start, stop):
        part = ln.as_lanes(value)
        if part.table != self.last_table:
            self.offset, self.last_table = len(self.table), part.table
            self.table += part.table
        self.num[start:stop] = part.num + np.where(part.kind == TEXT, self.offset, 0.0)
        self.err[start:stop], self.kind[start:stop] = part.err, part.kind

    def column(self):
        return Column(Lanes(self.num, self.err, self.kind, self.table), len(self.num))


class Column:
    """The values of one output cell.

    values: float64 (N,): numbers, 0 and 1 for booleans, NaN for text and errors
    errors: uint8 (N,) of error codes (see `ExcelError.TEXTS`), 0 for none; None if no lane has one
    texts:  object (N,), str where a lane holds text, None elsewhere; None where no lane does
    kind:   "number", "text", "boolean", "blank" (an empty cell without a formula) or "mixed"; lanes with
            errors do not count
    """

    def __init__(self, lanes, size):
        self._lanes, self._size = lanes, size

    def __len__(self):
        return self._size

    def _spread(self, array):
        return array if len(array) == self._size else np.broadcast_to(array, self._size)

    @property
    def kind(self):
        return _KINDS.get(self._lanes.only, "mixed")

    @property
    def errors(self):
        return None if self._lanes.sound else self._spread(self._lanes.err)

    @property
    def values(self):
        lost = (self._lanes.kind == TEXT) | (self._lanes.err > 0)
        return self._spread(np.where(lost, np.nan, self._lanes.num))

    @property
    def texts(self):
        if self._lanes.only not in (TEXT, None):
            return None
        words = [item if type(item) is str else None for item in self._lanes.python()]
        if not any(word is not None for word in words):
            return None
        array = np.empty(len(words), dtype=object)
        array[:] = words
        return self._spread(array)

    def python(self):
        """The lanes as a list of float, bool, str and `ExcelError`; None for an empty cell."""
        values = self._lanes.python()
        return values if len(values) == self._size else values * self._size

    def first(self):
        return _first(ln.take(self._lanes, slice(0, 1)))


class Result:
    """What `Plan.run` found: a `Column` for each output cell."""

    def __init__(self, columns):
        self._columns = columns

    def column(self, key):
        return self._columns[key]

    def value(self, key):
        """The value in the first lane."""
        return self._columns[key].first()
