"""Wrong values in data tables: the CSV files beside the physics, and the numbers of tables that stand in modules."""

import ast
import csv
import hashlib

from .operators import Mutant, _line_starts

SHARE, SHARE_OF_ROUGHNESS = 1.02, 1.05  # a value that much too large; roughness is hardly known better
FEWEST = 4  # numbers of a table; fewer are a constant, which the other faults change
_NO_NUMBERS = {"size", "dn", "area_mm2"}  # columns that say of what a row is


def table_mutants(source, seed=0):
    """Each number of each table of a module, a little too large."""
    made, starts = [], _line_starts(source)
    for statement in ast.parse(source).body:
        if not isinstance(statement, ast.Assign | ast.AnnAssign) or statement.value is None:
            continue
        name = ast.unparse(statement.targets[0] if isinstance(statement, ast.Assign) else statement.target)
        numbers = [node for node in _values(statement.value) if node.value]
        if len(numbers) < FEWEST:
            continue
        for index, node in enumerate(numbers):
            text = f"{seed}|{name}|{index}|{node.value}"
            start = starts[node.lineno - 1] + node.col_offset
            end = starts[node.end_lineno - 1] + node.end_col_offset
            after = repr(node.value * SHARE)
            made.append(Mutant(node.lineno, f"{name}: {node.value}", after, start, end, _rank(text)))
    return made


def _values(node):
    """The numbers of a table: elements of tuples and lists, and values of dictionaries."""
    if isinstance(node, ast.Constant) and type(node.value) in (int, float):
        yield node
    elif isinstance(node, ast.Tuple | ast.List):
        for element in node.elts:
            yield from _values(element)
    elif isinstance(node, ast.Dict):
        for element in node.values:
            yield from _values(element)
    elif isinstance(node, ast.UnaryOp | ast.BinOp):
        for child in ast.iter_child_nodes(node):
            yield from _values(child)
    elif isinstance(node, ast.Call) and ast.unparse(node.func) == "np.array":
        yield from _values(node.args[0])


def csv_mutants(name, text, reader, seed=0):
    """Each number of a CSV file, a little too large, as faults of `reader`, the source of the module that reads it.

    The file is not touched: the faulty reader gives the other value for this one cell. What reads the file by another
    way sees the right value, so only a test that knows the value by itself notices the fault.
    """
    made = []
    end = len(reader.encode())
    for index, row in enumerate(csv.DictReader(text.splitlines())):
        for column, cell in row.items():
            if column in _NO_NUMBERS or not _is_number(cell):
                continue
            share = SHARE_OF_ROUGHNESS if column == "roughness_mm" else SHARE
            after = f"{float(cell) * share:.9g}"
            added = _FAULTY.format(name=name, index=index, column=column, value=after)
            said = f"{name} {' '.join(list(row.values())[:4])}: {column} {cell}"
            made.append(Mutant(index + 2, said, added, end, end, _rank(f"{seed}|{name}|{index}|{column}|{cell}")))
    return made


_FAULTY = """

_right_rows = rows_of


def rows_of(name):
    rows = _right_rows(name)
    if name == {name!r}:
        rows[{index}][{column!r}] = {value!r}
    return rows
"""


def _is_number(cell):
    try:
        return float(cell) != 0
    except ValueError:
        return False


def _rank(text):
    return hashlib.sha256(text.encode()).hexdigest()
