"""A graph as the statements of a VBA procedure: for Excel 2010 to 2021, and for LibreOffice's Basic.

A spreadsheet's error value becomes a run-time error here: a division by 0, a root of what is negative, an overflow.
So nothing is calculated that is not needed: an IF becomes a block with branches, and what only a branch needs stands in
it, in two branches twice rather than before them. What all ways need, and is shared, gets a variable before it is used;
what a loop does not change is calculated before the loop.
"""

import math
from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from .graph import STILL, Node, UntilStill, node, parts_of
from .text import UNLIMITED, free_variables
from .trace import Helper

LONGEST = 160  # characters of an expression before a part of it gets a variable; a line may have 1,023
_ELEMENTS = 12  # of a table in one line
FAILED = "Err.Raise 5"  # what a part that is no number does; the caller's handler makes #NUM! of it
NONE = "9.87654321E+307"  # stands for an argument that is no number, and is not needed in every case

_COMPARED, _SUM, _PRODUCT, _POWER, _ATOM = 1, 3, 4, 5, 9
_BINDS = {
    **dict.fromkeys(("<", "<=", ">", ">=", "=", "<>"), _COMPARED),
    **dict.fromkeys(("+", "-"), _SUM),
    **dict.fromkeys(("*", "/"), _PRODUCT),
    "^": _POWER,
}
_CALLS = {
    "sqrt": "Sqr",
    "ln": "Log",
    "exp": "Exp",
    "sin": "Sin",
    "cos": "Cos",
    "tan": "Tan",
    "atan": "Atn",
    "abs": "Abs",
    "acos": "HydArcCos",
    "round": "HydRound",
    "floor": "Int",
}
_TRUTHS = frozenset("truth and or not isnan < <= > >= = <>".split())
_PLAIN = frozenset("argument list parameter variable number truth word nan table tuple".split())
_RUNS = ("loop", "sum", "greatest", "least")  # what is a loop in the procedure
TYPES = {"number": "Double", "word": "String", "truth": "Boolean", "list": "Variant"}


def literal(value: float) -> str:
    """A number, always a Double: 2 * 20000 of whole numbers would overflow."""
    if math.isinf(value):
        value = math.copysign(UNLIMITED, value)
    text = repr(float(value)).upper()
    text = text.removesuffix(".0") + "#" if text.endswith(".0") else text
    return f"({text})" if value < 0 else text


def word(text: str) -> str:
    """A text."""
    return '"' + text.replace('"', '""') + '"'


def may_fail(part: Node, perhaps: Container[int]) -> bool:
    """May it be no number where it is not needed? `perhaps`: parameters that may be none."""
    if part.op in ("nan", "parameter"):
        return part.op == "nan" or part.value in perhaps
    return any(may_fail(other, perhaps) for other in part.args[part.op == "if" :] if part.op != "call")


@dataclass
class Library:
    """What bodies call: helpers and tables, by their names.

    `kinds` is what each argument of a helper is; `perhaps` holds the parameters, by number, that may be no number.
    """

    helpers: dict[Helper, str] = field(default_factory=dict)
    kinds: dict[Helper, tuple[str, ...]] = field(default_factory=dict)
    perhaps: dict[Helper, set[int]] = field(default_factory=dict)
    tables: dict[tuple[object, ...], str] = field(default_factory=dict)

    def look_through(self, roots: Iterable[Node]) -> None:
        """Finds out for all helpers that these graphs call which of their arguments may be no number."""
        waiting: list[tuple[Node, frozenset[int]]] = [(root, frozenset()) for root in roots]
        while waiting:
            root, own = waiting.pop()
            for part in parts_of(root):
                if part.op != "call":
                    continue
                before = self.perhaps.get(part.value)
                may = {i for i, other in enumerate(part.args, start=1) if may_fail(other, own)} | (before or set())
                if before is None or may != before:
                    self.perhaps[part.value] = may
                    waiting.append((part.value.body, frozenset(may)))

    def table(self, part: Node) -> str:
        """The name of the function that looks into a table."""
        key: tuple[object, ...] = (part.op, part.value)
        if part.op != "lookup":
            key = (part.op, part.args[1].value, part.args[2].value)
        return self.tables.setdefault(key, f"HydTable{len(self.tables) + 1}")


class _Block:
    """What has been calculated where: in this block, and in those round it."""

    def __init__(self, outer: "_Block | None" = None, bound: frozenset[int] = frozenset(), index: str = "") -> None:
        self.outer = outer
        self.bound: frozenset[int] = bound | (outer.bound if outer else frozenset())  # variables of loops round it
        self.index: str = index or (outer.index if outer else "")  # of the element of a table
        self.own: dict[Node, str] = {}
        self.caught: dict[Node, str] = {}  # what may have failed: the variable that says so
        self.fine: set[Node] = set()

    def find(self, part: Node) -> str | None:
        """The text that stands for a part."""
        block: _Block | None = self
        while block is not None:
            if part in block.own:
                return block.own[part]
            block = block.outer
        return None

    def doubt(self, part: Node) -> str | None:
        """The variable that says whether a part has failed, where that is not yet known to be false."""
        block: _Block | None = self
        while block is not None:
            if part in block.fine:
                return None
            if part in block.caught:
                return block.caught[part]
            block = block.outer
        return None


class Body:
    """Writes graphs into one procedure.

    `known`: texts of arguments and parameters; `kinds`: what each of them is; `perhaps`: parameters that may be none.
    """

    def __init__(
        self,
        library: Library,
        known: Mapping[Node, str],
        kinds: Mapping[Node, str],
        handler: str,
        perhaps: Container[int] = (),
    ) -> None:
        self.library, self.kinds, self.perhaps = library, kinds, perhaps
        self.arrays: list[str] = []  # come first in the procedure
        self.lines: list[str] = []
        self.locals: dict[str, str] = {}
        self.ends: list[str] = []  # handlers of what may fail; they stand behind the procedure's end
        self._whole = _Block()
        self._whole.own.update(known)
        self._whole.caught = {
            part: f"{text} = {NONE}" for part, text in known.items() if part.op == "parameter" and part.value in perhaps
        }
        self._counts: dict[str, int] = {}
        self._uses: dict[Node, int] = {}
        self._free: dict[Node, set[int]] = {}
        self._place: dict[Node, int] = {}
        self._always: dict[Node, frozenset[Node]] = {}
        self._handlers = [handler]

    def value(self, root: Node, target: str) -> None:
        """Statements that put the value of a graph into a variable."""
        order = list(parts_of(root))
        self._uses = {}
        for part in order:
            for other in part.args:
                self._uses[other] = self._uses.get(other, 0) + 1
        self._free = free_variables(order)
        self._place = {part: i for i, part in enumerate(order)}
        self._always = {}
        self._into(root, target, self._whole)

    def declarations(self) -> Iterator[str]:
        """A line for each type of variable."""
        names = [f"{name} As {kind}" for name, kind in self.locals.items()]
        for i in range(0, len(names), 12):
            yield "Dim " + ", ".join(names[i : i + 12])

    # -- blocks

    def _new(self, letter: str, kind: str) -> str:
        self._counts[letter] = self._counts.get(letter, 0) + 1
        name = f"{letter}{self._counts[letter]}"
        self.locals[name] = kind
        return name

    def kind(self, part: Node) -> str:
        """Is it a number, a word or a truth value?"""
        while part.op == "if":
            part = part.args[1] if part.args[1].op != "nan" else part.args[2]
        if part.op == "word":
            return "word"
        if part.op == "list":  # one of its values
            return "number"
        return "truth" if part.op in _TRUTHS else self.kinds.get(part, "number")

    def _variable(self, part: Node) -> str:
        kind = self.kind(part)
        return self._new({"number": "v", "word": "w", "truth": "b"}[kind], TYPES[kind])

    def _into(self, root: Node, target: str, block: _Block, perhaps: bool = False) -> None:
        """What is calculated in a block: shared parts first, then its value into `target`."""
        if perhaps:
            self._or_none(root, target, block)
        else:
            self._shared(root, block)
            self._assign(root, target, block)

    def _shared(self, root: Node, block: _Block) -> None:
        needed = self._needed(root)
        here = {part for part in needed if self._belongs(part, block)}
        elsewhere: set[Node] = set()  # needed parts whose user stands deeper, or which two parts use
        for part in needed:
            if part not in here:
                elsewhere.update(part.args)
        for part in sorted(here, key=self._place.__getitem__):
            if part is root or part.op in _PLAIN or block.find(part) is not None:
                continue
            if self._uses[part] == 1 and part not in elsewhere:
                continue
            if part.op in (*_RUNS, "isnan", "pick"):
                self._of(part, block)
            else:
                name = self._variable(part)
                self._assign(part, name, block)
                block.own[part] = name

    def _belongs(self, part: Node, block: _Block) -> bool:
        return self._free[part] <= block.bound and (not part.is_table or bool(block.index))

    def _needed(self, root: Node) -> frozenset[Node]:
        """The parts that are calculated whatever the values are."""
        if root in self._always:
            return self._always[root]
        found: set[Node] = set()
        stack = [root]
        while stack:
            part = stack.pop()
            if part in found or part.op == "variable":
                continue
            found.add(part)
            if part.op == "if":
                condition, *ways = part.args
                stack.append(condition)
                needed = [self._needed(way) for way in ways if way.op != "nan"]  # nothing comes after that one
                found |= needed[0].intersection(*needed[1:])
            elif part.op == "loop":
                stack += [*part.args[:2], *part.args[4:]]
            elif part.op in ("interpolate", "below", "above"):
                stack.append(part.args[0])
            elif part.op == "call":
                may = self.library.perhaps[part.value]
                stack += [other for i, other in enumerate(part.args, start=1) if i not in may]
            elif part.op != "isnan":
                stack += part.args
        self._always[root] = frozenset(found)
        return self._always[root]

    # -- statements

    def _assign(self, part: Node, target: str, block: _Block) -> None:
        """Statements that put a part into a variable. The old value of the variable may be used in them."""
        if block.find(part) is not None:
            self.lines.append(f"{target} = {self._of(part, block)[0]}")
        elif part.op == "nan":
            self.lines.append(FAILED)
        elif part.op == "if":
            self._branches(part, target, block)
        elif part.op in ("max", "min"):
            a, b = (self._atom(other, block) for other in part.args)
            sign = ">" if part.op == "max" else "<"
            self.lines.append(f"If {a} {sign} {b} Then {target} = {a} Else {target} = {b}")
        else:
            self.lines.append(f"{target} = {self._of(part, block)[0]}")

    def _or_none(self, part: Node, target: str, block: _Block) -> None:
        """As `_assign`, but what is no number becomes `NONE`."""
        if part.op == "nan":
            self.lines.append(f"{target} = {NONE}")
        elif part.op == "parameter":
            self.lines.append(f"{target} = {block.find(part)}")
        elif part.op == "if" and block.find(part) is None:
            self._branches(part, target, block, perhaps=True)
        elif may_fail(part, self.perhaps):
            value = self._variable(part)
            flag = self._caught(part, value, _Block(block))
            self.lines.append(f"If {flag} Then {target} = {NONE} Else {target} = {value}")
        else:
            self._assign(part, target, block)

    def _branches(self, part: Node, target: str, block: _Block, perhaps: bool = False) -> None:
        condition, *ways = part.args
        asked = self._of(condition, block)[0]
        texts: list[list[str]] = []
        before = self.lines
        for branch, way in enumerate(ways):
            inner = _Block(block)
            if condition.op == "isnan" and branch:
                inner.fine.add(condition.args[0])
            self.lines = []
            self._into(way, target, inner, perhaps)
            texts.append(self.lines)
        self.lines = before
        yes, no = texts
        line = f"If {asked} Then {yes[0]} Else {no[0]}"
        # LibreOffice reads no Else behind a statement other than an assignment.
        simple = yes[0] != FAILED and not any(text[0].startswith("If ") for text in texts)
        if len(yes) == len(no) == 1 and simple and len(line) < 2 * LONGEST:
            self.lines.append(line)
        else:
            self.lines += [f"If {asked} Then", *yes, "Else", *no, "End If"]

    def _loop(self, part: Node, block: _Block) -> str:
        start, body, carried, step, *steps = part.args
        starts, bodies = ((whole.args if whole.op == "tuple" else (whole,)) for whole in (start, body))
        values = [self._new("v", "Double") for _ in starts]
        places = [carried] if len(values) == 1 else self._picks(carried, values)
        for first, value in zip(starts, values):
            self._assign(first, value, block)
        count = self._new("i", "Long")
        last = part.value if not steps else self._of(steps[0], block)[0]
        inner = _Block(block, frozenset({id(carried), id(step)}))
        inner.own.update(dict(zip(places, values)) | {step: count})
        self.lines.append(f"For {count} = 1 To {last}")
        if isinstance(last, UntilStill):
            before = self._new("v", "Double")
            self.lines.append(f"{before} = {values[0]}")
            self._into(body, values[0], inner)
            self.lines.append(f"If Abs({values[0]} - {before}) < {literal(STILL)} Then Exit For")
        elif len(values) == 1:
            self._into(body, values[0], inner)
        else:  # no value is replaced before all are known
            following = [self._new("v", "Double") for _ in values]
            for then, value in zip(bodies, following):
                self._into(then, value, inner)
            self.lines += [f"{value} = {then}" for value, then in zip(values, following)]
            block.own.update(zip(self._picks(part, values), values))
        self.lines.append(f"Next {count}")
        return values[0]

    def _picks(self, whole: Node, values: list[str]) -> list[Node]:
        return [node("pick", whole, value=i) for i in range(1, len(values) + 1)]

    # -- lists and tables

    def _leaves(self, root: Node) -> tuple[list[Node], list[Node]]:
        """The lists and tables on whose values a value of `root` depends, and what else it does."""
        many: dict[Node, None] = {}
        single: dict[Node, None] = {}
        stack = [root]
        while stack:
            part = stack.pop()
            if part.op in ("list", "table"):
                many[part] = None
            elif part.is_table:
                stack += part.args
            else:
                single[part] = None
        return list(many), list(single)

    def _count(self, root: Node) -> str:
        """How many values it has."""
        first, *more = [f"{self._whole.find(part)}(0)" for part in self._leaves(root)[0]]
        for other in more:
            first = f"HydMost({first}, {other})"
        return first

    def _one(self, root: Node, block: _Block, place: str) -> _Block:
        """A block in which lists and tables are one of their values. What does not change is calculated before."""
        many, single = self._leaves(root)
        needed = self._needed(root)
        for part in sorted(single, key=self._place.__getitem__):
            if part in needed and part.op not in _PLAIN and block.find(part) is None:
                name = self._variable(part)
                self._assign(part, name, block)
                block.own[part] = name
        inner = _Block(block, index=place)
        for part in many:
            own = f"HydAt({self._whole.find(part)}, {place})"
            inner.own[part] = f"{self._array(part)}({place})" if part.op == "table" else own
        return inner

    def _over(self, part: Node, block: _Block) -> str:
        """The sum of the values of a list or a table, or the greatest or the least of them."""
        (body,) = part.args
        total, count, term = self._new("v", "Double"), self._new("i", "Long"), self._new("v", "Double")
        inner = self._one(body, block, count)
        many, _ = self._leaves(body)
        first, last = (1, self._count(body)) if body.is_list else (0, len(many[0].value) - 1)
        self.lines += [f"{total} = 0#", f"For {count} = {first} To {last}"]
        self._into(body, term, inner)
        if part.op == "sum":
            self.lines.append(f"{total} = {total} + {term}")
        else:
            sign = ">" if part.op == "greatest" else "<"
            self.lines += [f"If {count} = {first} Or {term} {sign} {total} Then {total} = {term}"]
        self.lines.append(f"Next {count}")
        return total

    def _element(self, root: Node, place: Node, block: _Block) -> str:
        """One value of a list, counted from 1."""
        where = self._of(place, block)[0]
        if root.op == "list":
            return f"HydAt({self._whole.find(root)}, {where})"
        index, name = self._new("i", "Long"), self._variable(root)
        self.lines.append(f"{index} = {where}")
        self._into(root, name, self._one(root, block, index))
        return name

    def _whole_list(self, root: Node, block: _Block) -> str:
        """A variable that holds all values of a list."""
        if root.op == "list":
            return str(self._whole.find(root))
        name, count, term = self._new("t", "Variant"), self._new("i", "Long"), self._new("v", "Double")
        inner = self._one(root, block, count)
        last = self._count(root)
        self.lines += [f"{name} = HydRoom({last})", f"For {count} = 1 To {last}"]
        self._into(root, term, inner)
        self.lines += [f"{name}({count}) = {term}", f"Next {count}"]
        return name

    def _array(self, table: Node) -> str:
        name = self._whole.own.get(table)
        if name is None:
            name = self._whole.own[table] = self._new("t", "Variant")
            items = list(map(literal, table.value))
            lines = [", ".join(items[i : i + _ELEMENTS]) for i in range(0, len(items), _ELEMENTS)]
            self.arrays.append(f"{name} = Array(" + ", _\n".join(lines) + ")")
        return name

    def _is_nan(self, part: Node, block: _Block) -> str:
        """A variable that says whether a part fails."""
        (asked,) = part.args
        if block.find(asked) is not None:
            return block.doubt(asked) or "False"
        value = self._variable(asked)
        flag = self._caught(asked, value, _Block(block))
        block.own[asked] = value
        block.caught[asked] = flag
        return flag

    def _caught(self, part: Node, value: str, block: _Block) -> str:
        """A part calculated into a variable; another variable says whether that failed."""
        flag = self._new("b", "Boolean")
        self.lines += [f"{flag} = True", f"On Error GoTo caught_{flag}"]
        self._handlers.append(f"caught_{flag}")
        self._into(part, value, block)
        self._handlers.pop()
        self.lines += [f"{flag} = False", f"after_{flag}:", f"On Error GoTo {self._handlers[-1]}"]
        self.ends += [f"caught_{flag}:", f"Resume after_{flag}"]
        return flag

    def _argument(self, part: Node, perhaps: bool, block: _Block) -> str:
        """An argument of a helper; where it may be no number it is `NONE`."""
        if not perhaps:
            return self._of(part, block)[0]
        if part.op == "parameter":
            return str(block.find(part))
        name = self._variable(part)
        self._or_none(part, name, block)
        return name

    # -- expressions

    def _atom(self, part: Node, block: _Block) -> str:
        """A variable or a number."""
        text, binds = self._of(part, block)
        if binds == _ATOM and "(" not in text.removeprefix("("):
            return text
        name = self._variable(part)
        self.lines.append(f"{name} = {text}")
        return name

    def _of(self, part: Node, block: _Block) -> tuple[str, int]:
        """The text of a part, and how tightly it binds; statements that must come before it are written."""
        text, binds = self._text(part, block)
        if len(text) > LONGEST and part.op not in ("lookup", "word"):
            name = self._variable(part)
            self.lines.append(f"{name} = {text}")
            block.own[part] = name
            return name, _ATOM
        return text, binds

    def _text(self, part: Node, block: _Block) -> tuple[str, int]:
        own = block.find(part)
        if own is not None:
            doubt = block.doubt(part)
            if doubt is not None:
                self.lines.append(f"If {doubt} Then {FAILED}")
                block.fine.add(part)
            return own, _ATOM
        op, args = part.op, part.args
        if op == "number":
            return literal(part.value), _ATOM
        if op == "word":
            return word(part.value), _ATOM
        if op == "truth":
            return str(part.value), _ATOM
        if op == "isnan":
            block.own[part] = self._is_nan(part, block)
            return block.own[part], _ATOM
        if op in ("if", "max", "min", "nan"):
            name = self._variable(part)
            self._assign(part, name, block)
            block.own[part] = name
            return name, _ATOM
        if op in _RUNS:
            name = self._loop(part, block) if op == "loop" else self._over(part, block)
            block.own[part] = name
            return name, _ATOM
        if op == "pick":
            self._of(args[0], block)
            return str(block.find(part)), _ATOM
        if op == "count":
            return self._count(args[0]), _ATOM
        if op == "element":
            return self._element(args[0], args[1], block), _ATOM
        if op == "smallest":
            return f"HydSmallest({self._whole_list(args[0], block)}, {self._of(args[1], block)[0]})", _ATOM
        if op == "neighbours":
            return f"HydNeighbours({', '.join(self._whole_list(other, block) for other in args)})", _ATOM
        if op == "^" and args[1].op == "number" and args[1].value == 2.0:
            base = self._atom(args[0], block)
            return f"{base} * {base}", _PRODUCT
        if op == "neg":
            return f"(-{self._inside(args[0], _ATOM, block)})", _ATOM
        if op in _BINDS:
            binds = _BINDS[op]
            left = self._inside(args[0], binds + (op == "^"), block)
            return f"{left} {op} {self._inside(args[1], binds + 1, block)}", binds
        if op in ("and", "or"):
            texts = [self._inside(other, _COMPARED, block) for other in args]
            return f"({f' {op.title()} '.join(texts)})", _ATOM
        if op == "not":
            return f"(Not ({self._of(args[0], block)[0]}))", _ATOM
        if op == "ceiling":
            return f"(-Int(-{self._inside(args[0], _ATOM, block)}))", _ATOM
        if op == "lookup":
            key = ' & "|" & '.join(self._of(other, block)[0] for other in args)
            return f"{self.library.table(part)}({key})", _ATOM
        if op in ("interpolate", "below", "above"):
            return f"{self.library.table(part)}({self._of(args[0], block)[0]})", _ATOM
        if op == "call":
            may = self.library.perhaps[part.value]
            texts = [self._argument(other, i in may, block) for i, other in enumerate(args, start=1)]
            return f"{self.library.helpers[part.value]}({', '.join(texts)})", _ATOM
        if op in _CALLS:
            return f"{_CALLS[op]}({', '.join(self._of(other, block)[0] for other in args)})", _ATOM
        raise ValueError(f"no VBA for {op}")

    def _inside(self, part: Node, binds: int, block: _Block) -> str:
        text, own = self._of(part, block)
        return text if own >= binds else f"({text})"
