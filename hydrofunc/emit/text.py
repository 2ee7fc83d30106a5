"""A graph as the text of a spreadsheet formula, in the form in which a file stores it.

A part that is needed more than once gets a name in a LET: in the branch of an IF that alone needs it, else further
out, and outside a loop that does not change it. Facts about the stored form, measured by others in real Excel (for
Mac 16.115 and Microsoft 365 2609 on Windows): local names have the prefix `_xlpm.`, a parameter that may be left out
`_xlop.` in the list and `_xlpm.` in the body; functions newer than 2010 have `_xlfn.`, or the whole name is lost (which
they are: Microsoft, [MS-XLSX], section 2.2.3).
"""

import math
import re
from collections.abc import Iterator

from .graph import STILL, Node, UntilStill, parts_of
from .trace import Helper

UNLIMITED = 9.99e299  # stands for "no limit": a worksheet has no infinity, and a change of units must not pass 1.79e308
# Microsoft's limits: 8,192 characters a formula, 64 levels of brackets, 255 characters a comment, 253 parameters; shown
# formulas of 7,992 characters were taken by Excel.
SHOWN, STORED, BRACKETS, COMMENT, PAIRS = 7900, 8192, 64, 255, 126

_NEWER = (
    "LAMBDA LET REDUCE SEQUENCE ISOMITTED HSTACK TOROW IFS VSTACK DROP XMATCH MAKEARRAY SCAN TAKE BYROW BYCOL MAP"
).split()
_PREFIX = re.compile(r"_xl(?:fn|pm|op|ws)\.")
TEXT = re.compile(r'"[^"]*"')
_OPEN = frozenset("argument list parameter variable number truth word nan".split())

# How tightly an operation binds; what binds less is bracketed.
_COMPARED, _SUM, _PRODUCT, _POWER, _ATOM = 1, 3, 4, 5, 9
_BINDS = {
    **dict.fromkeys(("<", "<=", ">", ">=", "=", "<>"), _COMPARED),
    **dict.fromkeys(("+", "-"), _SUM),
    **dict.fromkeys(("*", "/"), _PRODUCT),
    "^": _POWER,
}
_CALLS = {
    "sqrt": "SQRT",
    "ln": "LN",
    "exp": "EXP",
    "sin": "SIN",
    "cos": "COS",
    "tan": "TAN",
    "acos": "ACOS",
    "atan": "ATAN",
    "abs": "ABS",
    "max": "MAX",
    "min": "MIN",
    "and": "AND",
    "or": "OR",
    "not": "NOT",
    "if": "IF",
    "isnan": "ISERROR",
    "sum": "SUM",
    "round": "ROUND",
    "floor": "INT",
    "tuple": "HSTACK",
    "count": "COLUMNS",
    "greatest": "MAX",
    "least": "MIN",
    "smallest": "SMALL",
}
_EACH = {"and": "IF({0},{1},FALSE)", "or": "IF({0},TRUE,{1})", "not": "IF({0},FALSE,TRUE)"}


def stored(text: str) -> str:
    """A formula with the prefixes of newer functions; local names have theirs already."""
    pieces = TEXT.split(text)
    words = TEXT.findall(text)
    for i, piece in enumerate(pieces):
        pieces[i] = re.sub(rf"(?<![\w.])({'|'.join(_NEWER)})\(", r"_xlfn.\1(", piece)
        pieces[i] = re.sub(r"(?<![\w.])SORT\(", "_xlfn._xlws.SORT(", pieces[i])
    return "".join(piece + word for piece, word in zip(pieces, [*words, ""]))


def shown(text: str) -> str:
    """A stored formula as a person sees it."""
    return _PREFIX.sub("", text)


def complaint(text: str) -> str:
    """What Excel would not take in a stored formula; nothing where it keeps the limits."""
    if len(text) >= STORED or len(shown(text)) >= SHOWN:
        return f"{len(shown(text))} characters, {len(text)} as stored"
    depth = deepest = 0
    for sign in TEXT.sub("", text):
        depth += (sign == "(") - (sign == ")")
        deepest = max(deepest, depth)
    if depth or deepest >= BRACKETS:
        return f"brackets {deepest} deep, {depth} left open"
    return ""


def literal(value: float) -> str:
    """A number inside a formula."""
    if math.isinf(value):
        value = math.copysign(UNLIMITED, value)
    return repr(float(value)).upper().removesuffix(".0")


def word(text: str) -> str:
    """A text inside a formula."""
    return '"' + text.replace('"', '""') + '"'


def array(items: tuple[object, ...]) -> str:
    """A row of numbers or words inside a formula."""
    return "{" + ",".join(word(item) if isinstance(item, str) else literal(item) for item in items) + "}"  # type: ignore


def local(name: str) -> str:
    """A name that is known within one formula only."""
    return f"_xlpm.{name}"


def letters() -> Iterator[str]:
    """a_, b_, ... aa_, ab_, ...: with the underscore none looks like the address of a cell."""
    count = 0
    while True:
        text, rest = "", count
        while True:
            text = chr(ord("a") + rest % 26) + text
            rest = rest // 26 - 1
            if rest < 0:
                break
        yield f"{text}_"
        count += 1


class _Scope:
    """A part of a formula that may have a LET of its own: the whole, the branch of an IF, or what a loop repeats."""

    def __init__(self, owner: "Node | None" = None, branch: int = 0) -> None:
        self.owner = owner
        self.loop = owner if owner is not None and owner.op == "loop" else None
        self.guard: frozenset[tuple[Node, int]] = frozenset()
        if owner is not None and owner.op == "if":
            self.guard = frozenset({(owner.args[0], branch)})


class Writer:
    """Writes one graph. `known`: names of arguments and parameters; `names`: the names of helpers."""

    def __init__(self, root: Node, known: dict[Node, str], names: dict[Helper, str], free: Iterator[str]) -> None:
        self.root, self.names, self.free = root, names, free
        self.called = dict(known)  # node: what stands for it
        self.order = list(parts_of(root))
        self.place = {part: i for i, part in enumerate(self.order)}
        self.whole = _Scope()
        self._find_scopes()

    def text(self) -> str:
        """The formula, without the sign of equality."""
        return self._block(self.whole, self.root)

    # -- where a shared part is calculated

    def _find_scopes(self) -> None:
        """For every node the innermost scope through which all ways to it lead."""
        above: dict[object, object] = {self.root: self.whole}  # immediate dominator of a node or scope
        depth: dict[object, int] = {self.whole: 0}
        uses: dict[Node, int] = dict.fromkeys(self.order, 0)
        self.branch: dict[tuple[Node, int], _Scope] = {}

        def meet(a: object, b: object) -> object:
            while a is not b:
                if depth[a] < depth[b]:
                    a, b = b, a
                a = above[a]
            return a

        for part in reversed(self.order):
            if part not in above:
                continue  # the number of a step that its loop does not use
            depth[part] = depth[above[part]] + 1
            for i, other in enumerate(part.args):
                if part.op == "loop" and i in (2, 3):
                    continue  # the loop's own variables
                way: object = part
                if (part.op == "if" and i > 0) or (part.op == "loop" and i == 1):
                    scope = _Scope(part, i)
                    self.branch[part, i] = scope
                    above[scope], depth[scope] = part, depth[part] + 1
                    way = scope
                uses[other] += 1
                above[other] = meet(above[other], way) if other in above else way
        self._find_guards()
        free = free_variables(self.order)

        def scope_of(item: object) -> _Scope:
            while not isinstance(item, _Scope):
                item = above[item]
            return item

        self.bound: dict[_Scope, list[Node]] = {}
        home: dict[Node, _Scope] = {}
        moved: set[Node] = set()
        for part in reversed(self.order):
            if part.op == "variable" or part not in above:
                continue
            scope = scope_of(above[part])
            way = scope
            while way is not self.whole:  # out of loops that do not change it
                if way.loop is not None:
                    if free[part] & {id(v) for v in way.loop.args[2:4]}:
                        break
                    scope = scope_of(above[way.loop])
                    moved.add(part)
                way = scope_of(above[way.owner])
            home[part] = scope
        parents: dict[Node, list[Node]] = {}
        for part in self.order:
            for other in part.args:
                parents.setdefault(other, []).append(part)
        for part in self.order:
            if part.op in _OPEN or part not in home or part in self.called or part is self.root:
                continue
            alone = part in moved and any(home.get(user) is not home[part] for user in parents[part])
            if uses[part] > 1 or alone:
                self.bound.setdefault(home[part], []).append(part)

    def _find_guards(self) -> None:
        """For every node the branches of IFs that all ways to it take: outside them it is not needed."""
        self.guards: dict[Node, frozenset[tuple[Node, int]]] = {self.root: frozenset()}
        for part in reversed(self.order):
            if part not in self.guards:
                continue
            for i, other in enumerate(part.args):
                if part.op == "loop" and i in (2, 3):
                    continue
                way = self.guards[part]
                if part.op == "if" and i > 0:
                    way = way | {(part.args[0], i)}
                self.guards[other] = self.guards[other] & way if other in self.guards else way

    def _where_needed(self, part: Node, scope: _Scope, text: str) -> str:
        """The text of a costly part that is shared by some branches, calculated only where one of them is taken."""
        if part.op not in ("call", "loop"):
            return text
        within = scope.guard | (self.guards[scope.owner] if scope.owner is not None else frozenset())
        for condition, branch in sorted(self.guards[part] - within, key=lambda guard: self.place[guard[0]]):
            if condition in self.called:
                taken, other = (text, "0") if branch == 1 else ("0", text)
                return f"IF({self.called[condition]},{taken},{other})"
        return text

    # -- text

    def _block(self, scope: _Scope, root: Node) -> str:
        """What is calculated in a scope, after the parts that it names."""
        pairs = []
        for part in self.bound.get(scope, ()):
            text = self._where_needed(part, scope, self._of(part)[0])
            self.called[part] = local(next(self.free))
            pairs.append(f"{self.called[part]},{text}")
        if len(pairs) >= PAIRS:
            raise ValueError(f"{len(pairs)} names in one LET")
        text = self._of(root)[0]
        return f"LET({','.join(pairs)},{text})" if pairs else text

    def _of(self, part: Node) -> tuple[str, int]:
        """The text of a part, and how tightly it binds."""
        if part in self.called:
            return self.called[part], _ATOM
        op, args = part.op, part.args
        if op == "number":
            return literal(part.value), _ATOM if part.value >= 0 else 0
        if op == "word":
            return word(part.value), _ATOM
        if op == "truth":
            return ("TRUE" if part.value else "FALSE"), _ATOM
        if op == "nan":
            return "#NUM!", _ATOM
        if op == "table":
            return array(part.value), _ATOM
        if op == "neg":
            return f"-{self._inside(args[0], _ATOM)}", 0
        if op in _BINDS:
            binds = _BINDS[op]
            return f"{self._inside(args[0], binds)}{op}{self._inside(args[1], binds + 1)}", binds
        if op == "if":
            condition = self._of(args[0])[0]
            yes, no = (self._block(self.branch[part, i], args[i]) for i in (1, 2))
            return f"IF({condition},{yes},{no})", _ATOM
        if op == "loop":
            start = self._of(args[0])[0]
            steps = self._of(args[4])[0] if part.value is None else part.value
            for variable in args[2:4]:
                self.called[variable] = local(next(self.free))
            value, step = (self.called[variable] for variable in args[2:4])
            body = self._block(self.branch[part, 1], args[1])
            if isinstance(steps, UntilStill):  # the value and its last step; where that is nothing any more, both stay
                both, then = local(next(self.free)), local(next(self.free))
                moved = f"LET({value},INDEX({both},1),{then},{body},HSTACK({then},{then}-{value}))"
                body = f"IF(ABS(INDEX({both},2))<{literal(STILL)},{both},{moved})"
                return f"INDEX(REDUCE(HSTACK({start},1),SEQUENCE({steps}),LAMBDA({both},{step},{body})),1)", _ATOM
            return f"REDUCE({start},SEQUENCE({steps}),LAMBDA({value},{step},{body}))", _ATOM
        if op == "pick":
            return f"INDEX({self._of(args[0])[0]},{part.value})", _ATOM
        if part.is_list and op in _EACH:  # AND and its like would make one value of all
            return _EACH[op].format(*(self._of(other)[0] for other in args)), _ATOM
        if op in ("and", "or"):
            return f"{_CALLS[op]}({','.join(self._flat(part, op))})", _ATOM
        texts = [self._of(other)[0] for other in args]
        if op in _CALLS:
            return f"{_CALLS[op]}({','.join(texts)})", _ATOM
        if op == "ceiling":
            return f"-INT(-{self._inside(args[0], _ATOM)})", 0
        if op == "lookup":
            keys, values = zip(*part.value)
            key = '&"|"&'.join(texts)
            return f"INDEX({array(values)},MATCH({key},{array(keys)},0))", _ATOM
        if op in ("interpolate", "below", "above", "element", "neighbours"):
            return f"_hydro_{op}({','.join(texts)})", _ATOM
        if op == "call":
            return f"{self.names[part.value]}({','.join(texts)})", _ATOM
        raise ValueError(f"no text for {op}")

    def _flat(self, part: Node, op: str) -> list[str]:
        """What an AND of ANDs joins, in one list."""
        texts = []
        for other in part.args:
            texts += self._flat(other, op) if other.op == op and other not in self.called else [self._of(other)[0]]
        return texts

    def _inside(self, part: Node, binds: int) -> str:
        text, own = self._of(part)
        return text if own >= binds else f"({text})"


def free_variables(order: list[Node]) -> dict[Node, set[int]]:
    """The variables of loops on which each node depends."""
    free: dict[Node, set[int]] = {}
    for part in order:
        found = {id(part)} if part.op == "variable" else set().union(*(free[other] for other in part.args))
        if part.op == "loop":
            start, body, *variables = part.args[:4]
            found = free[start] | (free[body] - set(map(id, variables))).union(*(free[more] for more in part.args[4:]))
        free[part] = found
    return free
