"""Small faults that a person could have written, made one at a time in the source of a module."""

import ast
import copy
import hashlib
from collections import Counter
from dataclasses import dataclass

_SWAPPED_OPERATORS = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult, ast.Mod: ast.Mult,
    ast.FloorDiv: ast.Div, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip
_OTHER_COMPARISONS = {
    ast.Lt: (ast.LtE, ast.GtE), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.LtE), ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.In: (ast.NotIn,), ast.NotIn: (ast.In,), ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
}  # fmt: skip
_PAIRS = (("min", "max"), ("any", "all"), ("minimum", "maximum"), ("floor", "ceil"), ("argmin", "argmax"))
_SWAPPED_NAMES = {one: other for pair in _PAIRS for one, other in (pair, pair[::-1])}


@dataclass(frozen=True)
class Mutant:
    """One fault: where it is in the source, what stands there, and what stands there instead."""

    line: int
    before: str
    after: str
    start: int  # bytes of the source that `after` replaces
    end: int
    rank: str  # decides whether a sample has it; the same wherever the statement stands

    def applied(self, source):
        """The source with this fault in it."""
        data = source.encode()
        return (data[: self.start] + self.after.encode() + data[self.end :]).decode()


def mutants(source, seed=0):
    """All mutants of the source of a module, in the order of its lines."""
    made, seen = [], Counter()
    starts = _line_starts(source)
    for statement, node in _code(ast.parse(source)):
        for changed in _faults(node):
            # Of a statement with a test only the test is replaced, and the lines below it stay as they are.
            target, changed = changed if isinstance(changed, tuple) else (node, changed)
            try:
                before, after = ast.unparse(target), ast.unparse(changed)
            except ValueError:  # quotes inside quotes of an f-string
                continue
            if isinstance(target, ast.expr) and not isinstance(changed, ast.Constant | ast.Name | ast.Attribute):
                after = f"({after})"
            text = f"{seed}|{statement}|{before}|{after}"
            seen[text] += 1
            made.append(
                Mutant(
                    target.lineno,
                    before,
                    after,
                    starts[target.lineno - 1] + target.col_offset,
                    starts[target.end_lineno - 1] + target.end_col_offset,
                    hashlib.sha256(f"{text}|{seen[text]}".encode()).hexdigest(),
                )
            )
    return sorted(made, key=lambda mutant: (mutant.start, mutant.end, mutant.after))


def _line_starts(source):
    """How many bytes of the source stand before each line."""
    starts = [0]
    for line in source.encode().split(b"\n"):
        starts.append(starts[-1] + len(line) + 1)
    return starts


def _code(tree):
    """(text of the innermost statement, node) of every node whose change can change a result.

    Left out: annotations, decorators, docstrings, and the inside of f-strings (Python 3.11 has no positions there).
    """
    waiting = [("", tree)]
    while waiting:
        statement, node = waiting.pop()
        if isinstance(node, ast.stmt):
            statement = "" if isinstance(node, ast.FunctionDef | ast.ClassDef) else ast.unparse(node)
        if isinstance(node, ast.expr | ast.stmt):
            yield statement, node
        for name, children in ast.iter_fields(node):
            if name in ("annotation", "returns", "decorator_list") or isinstance(node, ast.JoinedStr):
                continue
            children = children if isinstance(children, list) else [children]
            waiting += [(statement, child) for child in children if isinstance(child, ast.AST)]


def _faults(node):
    """The node with one fault in it, for each fault it can have; or (a part of the node, what to put in its place)."""
    match node:
        case (
            ast.BinOp(left=ast.JoinedStr() | ast.List() | ast.Constant(value=str()))
            | ast.BinOp(right=ast.JoinedStr() | ast.List() | ast.Constant(value=str()))
        ):
            return  # no numbers: any other operator is an error at once
        case ast.BinOp(op=operator) if type(operator) in _SWAPPED_OPERATORS:
            yield _with(node, op=_SWAPPED_OPERATORS[type(operator)]())
        case ast.AugAssign(op=operator):
            if type(operator) in _SWAPPED_OPERATORS:
                yield _with(node, op=_SWAPPED_OPERATORS[type(operator)]())
            yield ast.Pass()
        case ast.Compare(ops=operators):
            for index, operator in enumerate(operators):
                for other in _OTHER_COMPARISONS.get(type(operator), ()):
                    yield _with(node, ops=[*operators[:index], other(), *operators[index + 1 :]])
        case ast.BoolOp(op=operator):
            yield _with(node, op=ast.Or() if isinstance(operator, ast.And) else ast.And())
        case ast.UnaryOp(operand=operand):
            yield operand
        case ast.If(test=test) | ast.IfExp(test=test):
            yield from ((test, ast.Constant(value)) for value in (True, False))
        case ast.While(test=test):
            yield test, ast.Constant(False)
        case ast.Constant(value=int() | float() as number) if not isinstance(number, bool):
            yield ast.Constant(number + 1 if isinstance(number, int) or number == 0 else number * 1.02)
        case ast.Name(id=name) if name in _SWAPPED_NAMES:
            yield _with(node, id=_SWAPPED_NAMES[name])
        case ast.Attribute(attr=name) if name in _SWAPPED_NAMES:
            yield _with(node, attr=_SWAPPED_NAMES[name])
        case ast.Call(func=function, args=arguments, keywords=keywords):
            if isinstance(function, ast.Attribute) and function.attr == "where" and len(arguments) == 3:
                yield _with(node, args=[arguments[0], arguments[2], arguments[1]])
            for index in range(len(keywords)):
                yield _with(node, keywords=keywords[:index] + keywords[index + 1 :])
        case ast.Return(value=ast.Constant(value=True | False | None as value)):
            yield _with(node, value=ast.Constant(0 if value is None else not value))
        case ast.Expr(value=ast.Call()) | ast.Raise() | ast.Continue() | ast.Break() | ast.Delete():
            yield ast.Pass()
        case ast.Assign(targets=[ast.Attribute() | ast.Subscript()]):
            yield ast.Pass()


def _with(node, **changes):
    changed = copy.copy(node)
    for name, value in changes.items():
        setattr(changed, name, value)
    return changed
