"""The worksheet functions as plain VBA: for Excel 2010 to 2021 on Windows and Mac, and for LibreOffice's Basic.

A function reads its arguments as `registry` does: an error value goes through, the leftmost first; then the first
argument of a wrong kind is #VALUE! or out of its range #NUM!; then a broken rule is #NUM!, and so is whatever fails in
the calculation. What is left out or blank has its default. A range in place of a single value is #VALUE!.
"""

from collections.abc import Iterable, Iterator
from itertools import groupby, pairwise
from math import inf
from typing import cast

from ..registry import HELP_LIMIT, Argument, Function
from .graph import Node, node, parts_of
from .lambda_names import LEFT_OUT
from .text import UNLIMITED
from .trace import Helper, Traced
from .vba_body import FAILED, TYPES, Body, Library, literal, word

LARGEST = 50_000  # bytes of a module; Excel takes some 64 kB (common practice, no published source)
LINE, CONTINUED = 1_000, 24  # characters of a line and continuations of one; VBA takes 1,023 and 24
PARAMETERS = 60
_PER_LINE = 6
_MANY = 8  # results among which a word chooses: each then has a procedure of its own
_ASCII = {"·": " ", "Ω": "ohm", "°": "deg", "²": "2", "³": "3", "½": "1/2", "×": "x", "–": "-", "µ": "u", "η": "eta"}


class Modules:
    """The procedures of a workbook while they are written, and the helpers and tables that they call."""

    def __init__(self) -> None:
        self.library = Library()
        self.parts: list[str] = []  # helpers, each after those it calls
        self.functions: list[str] = []
        self.plant: list[str] = []

    def with_helpers(self, root: Node, kinds: dict[Node, str]) -> None:
        """Writes the helpers that a graph calls, and those which they call."""
        for part in parts_of(root):
            if part.op != "call" or part.value in self.library.helpers:
                continue
            helper: Helper = part.value
            self.library.kinds[helper] = tuple(Body(self.library, {}, kinds, "0").kind(other) for other in part.args)
            places = [node("parameter", value=i) for i in range(1, helper.parameters + 1)]
            own = dict(zip(places, self.library.kinds[helper], strict=True))
            self.with_helpers(helper.body, own)
            taken = {name.lower() for name in self.library.helpers.values()}
            plain = f"Hyd_{helper.hint}"
            name = next(n for n in (plain, *(f"{plain}_{i}" for i in range(2, 1000))) if n.lower() not in taken)
            self.library.helpers[helper] = name
            self.parts.append(self._helper(name, helper, own))

    def _helper(self, name: str, helper: Helper, kinds: dict[Node, str]) -> str:
        known = {place: f"p{place.value}" for place in kinds}
        body = Body(self.library, known, kinds, "0", self.library.perhaps[helper])
        body.value(helper.body, name)
        typed = [f"ByVal {known[place]} As {TYPES[kind]}" for place, kind in kinds.items()]
        costly = any(part.op == "loop" for part in parts_of(helper.body))
        return procedure(
            f"Public Function {name}({folded(typed)}) As {TYPES[body.kind(helper.body)]}",
            [*body.declarations()],
            [*body.arrays, *(remembered(name, known, kinds, body.lines) if costly else body.lines)],
            ["Exit Function", *body.ends] if body.ends else [],
        )


def remembered(name: str, known: dict[Node, str], kinds: dict[Node, str], lines: list[str]) -> list[str]:
    """The statements of a costly helper, and what answers at once where it is asked the same again."""
    own = {text: f"l{text}" for text in known.values()}
    static = [f"{own[text]} As {TYPES[kinds[place]]}" for place, text in known.items()]
    declared = ["Static " + ", ".join(static[i : i + 12]) for i in range(0, len(static), 12)]
    same = [f"{text} = {last}" for text, last in own.items()]
    asked = " _\nAnd ".join(" And ".join(same[i : i + 12]) for i in range(0, len(same), 12))
    return [
        *declared,
        "Static known As Boolean, answer As Double",
        "If known Then",
        f"If {asked} Then",
        f"{name} = answer",
        "Exit Function",
        "End If",
        "End If",
        *lines,
        *(f"{last} = {text}" for text, last in own.items()),
        f"answer = {name}",
        "known = True",
    ]


def procedure(head: str, declared: Iterable[str], lines: Iterable[str], end: Iterable[str] = ()) -> str:
    """The text of a function."""
    kind = "Sub" if " Sub " in head else "Function"
    return "\n".join([head, *declared, *lines, *end, f"End {kind}"]) + "\n"


def folded(items: list[str]) -> str:
    """Items with commas, some of them in a line."""
    return ", _\n".join(", ".join(items[i : i + _PER_LINE]) for i in range(0, len(items), _PER_LINE))


# -- functions of single values ----------------------------------------------------------------------------------------


def add_function(modules: Modules, function: Function, graph: Traced) -> None:
    """The procedure of a function of single values."""
    name = function.sheet_name
    nodes = [node("list" if a.many else "argument", value=a.name) for a in graph.arguments]
    known = {part: f"a{i}" for i, part in enumerate(nodes, start=1)}
    kinds = {part: "list" if a.many else "word" if a.is_text else "number" for part, a in zip(nodes, graph.arguments)}
    body = Body(modules.library, known, kinds, "failed")
    reads = [reading(argument, known[part]) for argument, part in zip(graph.arguments, nodes)]
    judged(modules, body, graph.rules, kinds)
    modules.with_helpers(graph.result, kinds)
    ways = by_word(graph.result)
    if len(ways) < _MANY:
        body.value(graph.result, "result")
    else:
        body.lines += chosen(modules, function, ways, known, kinds)
    own = [f"{known[part]} As {TYPES[kind]}" for part, kind in kinds.items()]
    modules.functions.append(
        procedure(
            f"Public Function {name}({folded([f'Optional {a.name} As Variant' for a in graph.arguments])}) As Variant",
            [*described(function), f"Dim {folded([*own, 'wrong As Long', 'result As Double'])}", *body.declarations()],
            [
                "On Error GoTo failed",
                *body.arrays,
                *reads,
                "If wrong <> 0 Then",
                f"{name} = HydError(wrong)",
                "Exit Function",
                "End If",
                *body.lines,
                *finite("result", graph.result),
                f"{name} = result",
            ],
            ["Exit Function", *body.ends, "failed:", f"{name} = HydError(2036)"],
        )
    )


def by_word(root: Node) -> list[tuple[Node, Node]]:
    """The comparisons with a word, and what each of them chooses, where a result is chosen so."""
    ways: list[tuple[Node, Node]] = []
    while root.op == "if" and root.args[0].op == "=" and root.args[0].args[1].op == "word":
        ways.append((root.args[0], root.args[1]))
        root = root.args[2]
    return ways if root.op == "nan" else []


def chosen(
    modules: Modules, function: Function, ways: list[tuple[Node, Node]], known: dict[Node, str], kinds: dict[Node, str]
) -> list[str]:
    """The statements that choose among many results, each of which is a helper."""
    lines = [f"Select Case {known[ways[0][0].args[0]]}"]
    for i, (asked, result) in enumerate(ways, start=1):
        name = f"Hyd_{function.name}_{i}"
        body = Body(modules.library, known, kinds, "0")
        body.value(result, name)
        typed = [f"ByVal {known[part]} As {TYPES[kind]}" for part, kind in kinds.items()]
        modules.parts.append(
            procedure(
                f"Public Function {name}({folded(typed)}) As Double",
                body.declarations(),
                [*body.arrays, *body.lines],
                ["Exit Function", *body.ends] if body.ends else [],
            )
        )
        lines += [f"Case {word(asked.args[1].value)}", f"result = {name}({folded(list(known.values()))})"]
    return [*lines, f"Case Else: {FAILED}", "End Select"]


def judged(modules: Modules, body: Body, rules: Iterable[Node], kinds: dict[Node, str]) -> None:
    """What fails where a rule is broken."""
    for rule in rules:
        modules.with_helpers(rule, kinds)
        if "fine" not in body.locals:
            body.locals["fine"] = "Boolean"
        body.value(rule, "fine")
        body.lines.append(f"If Not fine Then {FAILED}")


def finite(name: str, root: Node) -> list[str]:
    """What fails where a result stands for one without limit."""
    if not any(part.op == "number" and part.value == inf for part in parts_of(root)):
        return []
    return [f"If Abs({name}) >= {literal(UNLIMITED / 1e9)} Then {FAILED}"]


def reading(argument: Argument, target: str) -> str:
    """What reads an argument into a variable; left out it is the default."""
    given = argument.name
    if argument.is_text:
        words = listed(argument.choices)
        if argument.required:
            return (
                f"If IsMissing({given}) Then {target} = HydLack(wrong) Else {target} = HydWord({given}, {words}, wrong)"
            )
        usual = word(str(argument.default))
        read = f"HydWordOr({given}, {words}, {usual}, wrong)"
        return f"If IsMissing({given}) Then {target} = {usual} Else {target} = {read}"
    limits = ends(argument)
    if argument.many:
        usual = "Empty" if argument.required else literal(float(cast(float, argument.default)))
        left_out = f"{target} = HydSingle({usual})" if not argument.required else f"{target} = HydLack(wrong)"
        return f"If IsMissing({given}) Then {left_out} Else {target} = HydNumbers({given}, {limits}, {usual}, wrong)"
    if argument.required:
        read = f"HydNumber({given}, {limits}, wrong)"
        return f"If IsMissing({given}) Then {target} = HydLack(wrong) Else {target} = {read}"
    usual = literal(float(cast(float, argument.default)))
    read = f"HydOptional({given}, {limits}, {usual}, wrong)"
    return f"If IsMissing({given}) Then {target} = {usual} Else {target} = {read}"


def listed(choices: Iterable[str]) -> str:
    """Words as one text."""
    text = "|".join(choices)
    return word(f"|{text}|") if text else '""'


def ends(argument: Argument) -> str:
    """The lowest and the highest value that an argument may have, and which of them do not belong to its range."""
    low, high, low_in, high_in = argument.bounds
    without = (not low_in and low > -inf) + 2 * (not high_in and high < inf)
    return f"{literal(low)}, {literal(high)}, {without}"


def described(function: Function) -> list[str]:
    """What the function wizard shows of a function."""
    text = plain(function.help)
    for argument in function.arguments:
        more = f"{';' if '[' in text else ''} {plain(f'{argument.name} [{argument.unit}]')}"
        if len(text + more) > HELP_LIMIT:
            break
        text += more
    return attributes(function.sheet_name, text)


def attributes(name: str, text: str) -> list[str]:
    """A procedure's text for the function wizard; a module may hold these lines, an editor hides them."""
    return [
        f"Attribute {name}.VB_Description = {word(text)}",
        f'Attribute {name}.VB_ProcData.VB_Invoke_Func = " \\n14"',
    ]


def plain(text: str) -> str:
    """A text without other signs than those of ASCII."""
    text = "".join(_ASCII.get(sign, sign) for sign in " ".join(text.split()))
    return text.encode("ascii", "replace").decode()


def left_out(function: Function) -> str:
    """A function that answers #N/A to any call."""
    name = function.sheet_name
    return procedure(
        f"Public Function {name}({folded([f'Optional {a.name} As Variant' for a in function.arguments])}) As Variant",
        described(function),
        [f"' Not without Python: {LEFT_OUT[function.name]}.", f"{name} = HydError(2042)"],
    )


# -- tables ------------------------------------------------------------------------------------------------------------


def table(name: str, key: tuple[object, ...]) -> str:
    """A function that looks into a table."""
    op = key[0]
    if op == "lookup":
        rows = cast("tuple[tuple[str, float], ...]", key[1])
        head = f"Public Function {name}(ByVal x As String) As Double"
        cases = [f"Case {word(row)}: {name} = {literal(value)}" for row, value in rows]
        return _cases(head, [*cases, f"Case Else: {FAILED}"])
    across, up = cast("tuple[tuple[float, ...], tuple[float, ...]]", key[1:])
    head = f"Public Function {name}(ByVal x As Double) As Double"
    if op == "above":
        cases = [f"Case Is <= {literal(x)}: {name} = {literal(y)}" for x, y in zip(across, up)]
        return _cases(head, [*cases, f"Case Else: {FAILED}"])
    first = f"Case Is < {literal(across[0])}: {FAILED}"
    if op == "below":
        cases = [f"Case Is < {literal(x)}: {name} = {literal(y)}" for x, y in zip(across[1:], up)]
        return _cases(head, [first, *cases, f"Case Else: {name} = {literal(up[-1])}"])
    points = list(zip(across, up))
    between = [
        f"{name} = HydBetween(x, {literal(x1)}, {literal(y1)}, {literal(x2)}, {literal(y2)})"
        for (x1, y1), (x2, y2) in pairwise(points)
    ]
    cases = [f"Case Is < {literal(x)}: {text}" for x, text in zip(across[1:], between)]
    return _cases(head, [*cases[:-1], f"Case Else: {between[-1]}"])


def _cases(head: str, cases: list[str]) -> str:
    return procedure(head, [], ["Select Case x", *cases, "End Select"])


# -- modules -----------------------------------------------------------------------------------------------------------


def packed(head: str, texts: Iterable[str]) -> Iterator[str]:
    """Procedures in as few modules as there is room."""
    module = head
    for text in texts:
        if size(module + text) > LARGEST and module != head:
            yield module
            module = head
        module += text
    if module != head:
        yield module


def size(text: str) -> int:
    """Bytes of a module in a workbook, where lines end with two signs."""
    return len(text) + text.count("\n")


def complaint(text: str) -> str:
    """What VBA would not take in a module; nothing where it keeps the limits."""
    if not text.isascii():
        return "signs that are not ASCII"
    if size(text) > LARGEST:
        return f"{size(text)} bytes"
    lines = text.split("\n")
    longest = max(map(len, lines))
    if longest >= LINE:
        return f"a line of {longest} characters"
    continued = max(len(list(run)) * is_open for is_open, run in groupby(lines, lambda line: line.endswith(" _")))
    return f"a line continued {continued} times" if continued > CONTINUED else ""
