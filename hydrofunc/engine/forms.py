"""Forms: functions for which the compiler decides what is evaluated (IF), or that are settled by their text (TEXT).

They stand in the table of the ordinary functions, with a `form` in the place of a `call`: it takes the
compiler of the cell, the arguments as trees, the mode, and whether an area will do, and gives a closure.
"""

from functools import partial

import numpy as np

from . import lanes as ln
from . import library, operators
from .arguments import cells_of, refuse_open_ended, refuse_open_ended_in_array
from .cell import constant, mapping
from .formula import Refused
from .functions.table import MANY, TABLE, Entry
from .lanes import NA, VALUE, Area, ExcelError, Lanes
from .tree import Array, Missing, Value


def _form(name, least, most):
    """Enters a form in the table."""

    def enter(form):
        TABLE[name] = Entry(least, most, "v", form=form)
        return form

    return enter


def _choice(name, least, most):
    """Enters a form whose branches may stay unevaluated. It is handed its arguments and two compilers of them.

    `value` compiles an argument that is always one value, `branch` one that may be the result. Inside
    SUMPRODUCT a choice would have to work on ranges, about which hosts disagree: that is refused.
    """

    def enter(form):
        def choice(cell, arguments, mode, as_range):
            if mode.array == "argument" and any(tree.has_range() for tree in arguments):
                raise Refused("hosts disagree about a choice between ranges here: enter it as an array formula")
            of_branch = cell.ranged if as_range else cell.value

            def branch(tree):
                return constant(0.0) if type(tree) is Missing else of_branch(tree, mode)

            return form(arguments, partial(cell.value, mode=mode), branch)

        return _form(name, least, most)(choice)

    return enter


# -- choices -------------------------------------------------------------------------------------------


def _agreed(condition):
    """A condition, as a plain bool where all lanes of the block agree."""
    if type(condition) is Lanes and condition.sound:
        if condition.num.all():
            return True
        if not condition.num.any():
            return False
    return condition


def agreed_way(condition: object) -> bool | None:
    """Which branch an IF of this condition takes in all lanes of the block; None where that cannot be said."""
    if type(condition) is Area:
        return None
    way = _agreed(operators.truth(condition))
    return way if type(way) is bool else None


def _first_that_holds(values, cases, default):
    """The value of the first of the cases (condition, closure of its value) that holds, lane by lane.

    Closures that no lane needs are not run; cases may be a generator, which then stops as early.
    """
    undecided = []
    for condition, branch in cases:
        if type(condition) is Area:
            undecided.append((ln.map_areas(operators.truth, condition), branch(values)))
            continue
        condition = _agreed(operators.truth(condition))
        if condition is True or type(condition) is ExcelError:
            result = branch(values) if condition is True else condition
            break
        if condition is not False:
            undecided.append((condition, branch(values)))
    else:
        result = default(values)
    for condition, value in reversed(undecided):
        if type(condition) is Area:
            result = ln.map_areas(ln.choose, condition, value, result)
        else:
            result = ln.choose(condition, value, result)
    return result


@_choice("IF", 2, 3)
def _if(arguments, value, branch):
    condition, yes = value(arguments[0]), branch(arguments[1])
    no = branch(arguments[2]) if len(arguments) > 2 else constant(False)

    def run(values):
        holds = condition(values)
        if type(holds) is bool:
            return yes(values) if holds else no(values)
        return _first_that_holds(values, [(holds, yes)], no)

    return run


@_choice("IFS", 2, 254)
def _ifs(arguments, value, branch):
    if len(arguments) % 2:
        raise Refused("IFS: a value is missing")
    pairs = [(value(condition), branch(result)) for condition, result in _in_twos(arguments)]
    default = constant(NA)
    return lambda values: _first_that_holds(values, ((holds(values), result) for holds, result in pairs), default)


@_choice("SWITCH", 3, 254)
def _switch(arguments, value, branch):
    subject, rest = value(arguments[0]), arguments[1:]
    default = branch(rest[-1]) if len(rest) % 2 else constant(NA)
    pairs = [(value(case), branch(result)) for case, result in _in_twos(rest)]
    equal = operators.OPERATORS["="]

    def run(values):
        sought = subject(values)
        return _first_that_holds(values, ((equal(sought, case(values)), result) for case, result in pairs), default)

    return run


def _in_twos(arguments):
    return zip(arguments[::2], arguments[1::2])


@_choice("CHOOSE", 2, MANY)
def _choose(arguments, value, branch):
    number, *branches = value(arguments[0]), *map(branch, arguments[1:])

    def run(values):
        which = number(values)
        if type(which) is Area:
            return ln.map_areas(lambda one: _chosen(values, one, branches), which)
        return _chosen(values, which, branches)

    return run


def _chosen(values, number, branches):
    number = operators.number(number)
    if type(number) is ExcelError:
        return number
    if type(number) is float:
        return branches[int(number) - 1](values) if 1 <= number < len(branches) + 1 else VALUE
    fine = (number.num >= 1) & (number.num < len(branches) + 1)
    index = np.where(fine, number.num, 0.0).astype(np.intp)
    used = set(np.unique(index).tolist())
    options = [VALUE, *(branch(values) if i in used else None for i, branch in enumerate(branches, start=1))]
    if any(type(option) is Area for option in options):
        return ln.map_areas(lambda *cells: ln.gather(cells, index, number.err), *options)
    return ln.gather(options, index, number.err)


def _replaces(name, hit):
    """IFERROR and IFNA; `hit` says which error codes are replaced."""

    @_choice(name, 2, 2)
    def _if_error(arguments, value, branch):
        attempt, instead = value(arguments[0]), branch(arguments[1])

        def rescued(values, result):
            if type(result) is Lanes and not result.sound:
                mask = np.broadcast_to(hit(result.err), len(result))
                return ln.select(mask, instead(values), result) if mask.any() else result
            return instead(values) if type(result) is ExcelError and hit(result.code) else result

        def run(values):
            result = attempt(values)
            if type(result) is Area:
                return ln.map_areas(lambda one: rescued(values, one), result)
            return rescued(values, result)

        return run


_replaces("IFERROR", lambda code: code > 0)
_replaces("IFNA", lambda code: code == NA.code)


# -- where cells stand, and how many they are ------------------------------------------------------------


@_form("ROW", 0, 1)
def _row(cell, arguments, mode, _):
    if not arguments:
        return constant(float(cell.row))
    cells = cells_of(arguments[0], "ROW")
    if not mode.array or cells.single:
        return constant(float(cells.top))
    refuse_open_ended_in_array(cells)
    return constant(Area([[float(row)] for row in range(cells.top, cells.bottom + 1)]))


@_form("COLUMN", 0, 1)
def _column(cell, arguments, mode, _):
    if not arguments:
        return constant(float(cell.column))
    cells = cells_of(arguments[0], "COLUMN")
    if not mode.array or cells.single:
        return constant(float(cells.left))
    refuse_open_ended_in_array(cells)
    return constant(Area([[float(column) for column in range(cells.left, cells.right + 1)]]))


@_form("ROWS", 1, 1)
def _rows(cell, arguments, mode, _):
    return constant(float(_size(arguments[0], "ROWS")[0]))


@_form("COLUMNS", 1, 1)
def _columns(cell, arguments, mode, _):
    return constant(float(_size(arguments[0], "COLUMNS")[1]))


def _size(tree, name):
    """(height, width) of cells or of an array constant."""
    if type(tree) is Array:
        return len(tree.rows), len(tree.rows[0])
    cells = cells_of(tree, name)
    return cells.height, cells.width


# -- INDEX ---------------------------------------------------------------------------------------------


@_form("INDEX", 2, 3)
def _index(cell, arguments, mode, as_range):
    source, row, column = _index_arguments(*arguments)
    height, width = _size(source, "INDEX")
    area = cell.value(source, mode) if type(source) is Array else cell.area(source.reference())
    whole_column, whole_row = _is_zero(row), column is not None and _is_zero(column)
    row = cell.value(row, mode)
    column = constant(1.0) if column is None else cell.value(column, mode)
    if not (whole_row or whole_column):
        return mapping(library.index, [area, row, column], [1, 2])
    if not (as_range or mode.array) and ((width > 1 and whole_row) or (height > 1 and whole_column)):
        raise Refused("INDEX gives a whole row or column where one value is wanted")

    def run(values):
        cells = area(values)
        rows = [float(r + 1) for r in range(len(cells.rows))] if whole_column else [row(values)]
        columns = [float(c + 1) for c in range(len(cells.rows[0]))] if whole_row else [column(values)]
        with ln.quiet():
            return Area([[library.index(cells, r, c) for c in columns] for r in rows])

    return run


def _index_arguments(source, row, column=None):
    """The arguments of INDEX with the only number where it belongs: it counts along a single row."""
    source = source.unwrapped()
    if source.reference() is None and type(source) is not Array:
        raise Refused("INDEX wants cells or an array constant")
    refuse_open_ended("INDEX", [source])
    height, width = _size(source, "INDEX")
    if column is None and height == 1:
        return source, Value(1.0), row
    if column is None and width > 1:
        return source, row, Missing()
    return source, row, column


def _is_zero(tree):
    return type(tree) is Missing or (type(tree) is Value and tree.value == 0.0)


# -- TEXT and CONVERT ------------------------------------------------------------------------------------


@_form("TEXT", 2, 2)
def _text(cell, arguments, mode, _):
    show = library.formatter(_fixed_text(cell, arguments[1], "TEXT"))
    return mapping(partial(library.formatted, show), [cell.value(arguments[0], mode)], [0])


@_form("CONVERT", 3, 3)
def _convert(cell, arguments, mode, _):
    source, target = (_fixed_text(cell, tree, "CONVERT") for tree in arguments[1:])
    return mapping(library.converter(source, target), [cell.value(arguments[0], mode)], [0])


def _fixed_text(cell, tree, name):
    """The text of an argument that must be known while compiling."""
    tree, cells = tree.unwrapped(), tree.reference()
    value = tree.value if type(tree) is Value else None
    if cells is not None and cells.single:
        value = cell.compiler.fixed(cells.sheet, cells.top, cells.left)
    if type(value) is not str:
        raise Refused(f"{name}: this argument must be a fixed text")
    return value
