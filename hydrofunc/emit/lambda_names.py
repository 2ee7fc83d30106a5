"""The worksheet functions as LAMBDA names of a workbook: for Excel 2024 and 365, the web, the Mac and the phone.

A name reads its arguments as `registry` does: an error value goes through, the leftmost first; then the first
argument of a wrong kind is #VALUE! or out of its range #NUM!; then a broken rule is #NUM!, and so is a result that is
no number. What is left out or blank has its default. An optional parameter is asked by ISOMITTED in the outermost
LAMBDA.

Where two arguments of one call are wrong in different ways, the first one in the list counts, as in Python. A range
in place of a single value is not understood as a list of calls, as Python and the add-ins understand it.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from math import inf

from ..errors import DeclarationError
from ..registry import Argument, Function, spelt_out
from .graph import Node, node, parts_of
from .text import COMMENT, TEXT, UNLIMITED, Writer, array, complaint, letters, literal, local, stored, word
from .trace import Helper, Traced

HELPER = "_hydro_"
_ASIDE = (
    1e-12  # share by which a highest value that does not belong to a range is moved: a worksheet compares 15 digits
)

# What the graph cannot hold, and why: the name answers #N/A. Whoever makes one of them traceable takes it from here.
LEFT_OUT = {
    "combined_uncertainty": "it needs the eigenvalues of a matrix",
    "diagnosis": "it solves sets of equations for every trouble",
    "diagnosis_estimate": "it solves sets of equations for every trouble",
    "diagnosis_uncertainty": "it solves sets of equations for every trouble",
    "doubt": "it calculates the plant 2,039 times",
    "expected_reading": "it solves sets of equations for every trouble",
    "expected_spread": "it solves sets of equations for every trouble",
    "fault_probability": "it solves sets of equations for every trouble",
    "likeliest_fault": "it solves sets of equations for every trouble",
    "next_reading": "it solves sets of equations for every trouble",
    "reading_misfit": "it solves sets of equations for every trouble",
    "slow_change": "it works on a list",
    "slow_change_begin": "it works on a list",
    "slow_change_entries": "it works on a list",
    "slow_change_limit": "it works on a list",
    "slow_change_step": "it works on a list",
    "slow_change_step_day": "it works on a list",
}

# What reads one argument. x: what was given; then the lowest and highest value, or the words that are allowed.
READERS = {
    "number": "LAMBDA(x,low,high,IF(ISERROR(x),x,IF(ISNUMBER(x),IF(AND(x>=low,x<=high),x,#NUM!),#VALUE!)))",
    "optional": "LAMBDA(x,low,high,default,IF(ISERROR(x),x,IF(ISBLANK(x),default,"
    "IF(ISNUMBER(x),IF(OR(x=default,AND(x>=low,x<=high)),x,#NUM!),#VALUE!))))",
    # The same where the lowest value does not belong to the range.
    "number_above": "LAMBDA(x,low,high,IF(ISERROR(x),x,IF(ISNUMBER(x),IF(AND(x>low,x<=high),x,#NUM!),#VALUE!)))",
    "optional_above": "LAMBDA(x,low,high,default,IF(ISERROR(x),x,IF(ISBLANK(x),default,"
    "IF(ISNUMBER(x),IF(OR(x=default,AND(x>low,x<=high)),x,#NUM!),#VALUE!))))",
    # As the tables spell it; a number is the word that its digits make. MATCH would take *, ? and ~ for other signs.
    "text": "LAMBDA(x,IF(ISERROR(x),x,IF(OR(ISBLANK(x),ISLOGICAL(x)),#VALUE!,LET(text,SUBSTITUTE(SUBSTITUTE(SUBSTITUTE("
    f'LOWER(TRIM({spelt_out("x")})),"*","#"),"?","#"),"~","#"),IF(text="",#VALUE!,text)))))',
    "word": "LAMBDA(x,words,LET(text,_hydro_text(x),IF(ISERROR(text),text,"
    "IFERROR(INDEX(words,MATCH(text,words,0)),#VALUE!))))",
    "finite": f"LAMBDA(x,IF(ISERROR(x),#NUM!,IF(ABS(x)<{literal(UNLIMITED / 1e9)},x,#NUM!)))",
    # The value of the greatest key that is not above x, or of the least that is not below it.
    "below": "LAMBDA(x,across,up,IF(x<INDEX(across,1),#NUM!,INDEX(up,MATCH(x,across,1))))",
    "above": "LAMBDA(x,across,up,IF(x<=INDEX(across,1),INDEX(up,1),IF(x>MAX(across),#NUM!,"
    "LET(i,MATCH(x,across,1),IF(INDEX(across,i)=x,INDEX(up,i),INDEX(up,i+1))))))",
    # A list as one row, its blank cells left out.
    "list": "LAMBDA(x,low,high,IF(COUNTA(x)=0,#VALUE!,_hydro_judged(TOROW(x,1),LAMBDA(one,AND(one>=low,one<=high)))))",
    "list_above": "LAMBDA(x,low,high,"
    "IF(COUNTA(x)=0,#VALUE!,_hydro_judged(TOROW(x,1),LAMBDA(one,AND(one>low,one<=high)))))",
    "judged": "LAMBDA(row,within,LET(worst,REDUCE(0,row,LAMBDA(so_far,one,"
    "IF(ISNUMBER(one),IF(within(one),so_far,MAX(so_far,1)),2))),IF(worst=0,row,IF(worst=1,#NUM!,#VALUE!))))",
    # The first error value of a list; 0 where it has none.
    "wrong": "LAMBDA(x,IF(ISERROR(SUM(x)),REDUCE(0,TOROW(x),LAMBDA(so_far,one,"
    "IF(ISERROR(so_far),so_far,IF(ISERROR(one),one,0)))),0))",
    # A list of one counts at every place.
    "element": "LAMBDA(x,place,INDEX(x,IF(COLUMNS(x)=1,1,place)))",
    # Each value times the next one in the order of the keys, in all.
    "neighbours": "LAMBDA(x,keys,LET(row,INDEX(SORT(VSTACK(keys,x),1,1,TRUE),2,0),"
    "IF(COLUMNS(row)=1,0,SUM(DROP(row,0,1)*DROP(row,0,-1)))))",
    # Straight between the points of a table, x within it.
    "interpolate": "LAMBDA(x,across,up,LET(i,MIN(MATCH(x,across,1),COLUMNS(across)-1),"
    "from,INDEX(across,i),at,INDEX(up,i),at+(x-from)*(INDEX(up,i+1)-at)/(INDEX(across,i+1)-from)))",
}
LOCAL_WORDS = "x low high default text words across up i from at row place keys so_far one within worst".split()


@dataclass
class Names:
    """The names of a workbook while they are written: name to text, and what is said of it."""

    texts: dict[str, str] = field(default_factory=dict)
    comments: dict[str, str] = field(default_factory=dict)
    helpers: dict[Helper, str] = field(default_factory=dict)

    def add(self, name: str, text: str, comment: str = "") -> None:
        """A name with its text as stored. Raises `DeclarationError` where Excel would not take it."""
        wrong = complaint(text)
        if wrong:
            raise DeclarationError(f"{name}: {wrong}: more than a spreadsheet takes")
        if self.texts.setdefault(name, text) != text:
            raise DeclarationError(f"{name}: two texts for one name")
        self.comments[name] = comment[:COMMENT]

    def with_helpers(self, root: Node) -> None:
        """Writes the helpers that a graph calls, and those which they call."""
        for part in parts_of(root):
            if part.op != "call" or part.value in self.helpers:
                continue
            helper: Helper = part.value
            self.with_helpers(helper.body)
            taken = set(self.helpers.values())
            plain = HELPER + helper.hint
            name = next(n for n in (plain, *(f"{plain}_{i}" for i in range(2, 1000))) if n not in taken)
            self.helpers[helper] = name
            free = letters()
            known = {node("parameter", value=i): local(next(free)) for i in range(1, helper.parameters + 1)}
            body = Writer(helper.body, known, self.helpers, free).text()
            self.add(name, stored(f"LAMBDA({','.join(known.values())},{body})"))


def by_hand(text: str, words: Iterable[str]) -> str:
    """A formula that is written by hand, the words in it marked as local names."""
    own = re.compile(rf"(?<![\w.])({'|'.join(words)})(?!\w)")
    pieces = TEXT.split(text)
    quoted = TEXT.findall(text)
    return "".join(own.sub(r"_xlpm.\1", piece) + more for piece, more in zip(pieces, [*quoted, ""]))


def add_function(result: Names, function: Function, graph: Traced) -> None:
    """The name of a function of single values."""
    free = letters()
    short = {argument.name: local(next(free)) for argument in graph.arguments}
    many = {short[argument.name] for argument in graph.arguments if argument.many}
    own = [local(argument.name) for argument in graph.arguments]
    parameters = [name if a.required else f"_xlop.{a.name}" for a, name in zip(graph.arguments, own)]
    reads = [reading(argument, name) for argument, name in zip(graph.arguments, own)]
    known = {node("list" if text in many else "argument", value=name): text for name, text in short.items()}
    answer = judged(result, graph.result, graph.rules, known, free)
    given = [pair for argument, name in zip(graph.arguments, own) for pair in _if_error(argument, name)]
    read = [f"ISERROR({f'INDEX({name},1)' if name in many else name}),{name}" for name in short.values()]
    wrong = local(next(free))

    def unless(errors: list[str], then: str) -> str:
        return f"LET({wrong},IFS({','.join(errors)},TRUE,0),IF(ISERROR({wrong}),{wrong},{then}))"

    bound = ",".join(f"{name},{text}" for name, text in zip(short.values(), reads))
    text = stored(f"LAMBDA({','.join(parameters)},LET({bound},{unless([*given, *read], answer)}))")
    if complaint(text):  # then what comes after the reading has a name of its own
        inner = f"{HELPER}of_{function.name}"
        result.add(inner, stored(f"LAMBDA({','.join(short.values())},{unless(read, answer)})"))
        call = f"{inner}({','.join(reads)})"
        text = stored(f"LAMBDA({','.join(parameters)},{unless(given, call)})")
    result.add(function.sheet_name, text, function.help)


def _if_error(argument: Argument, name: str) -> Iterator[str]:
    """Whether an error value was given, and which."""
    value = f"{HELPER}wrong({name})" if argument.many else name
    yield f"ISERROR({value})" if argument.required else f"IF(ISOMITTED({name}),FALSE,ISERROR({value}))"
    yield value


def judged(result: Names, root: Node, rules: Iterable[Node], known: dict[Node, str], free: Iterator[str]) -> str:
    """The result where the rules hold, else #NUM!."""
    result.with_helpers(root)
    return judged_text(result, finite(Writer(root, known, result.helpers, free).text(), root), rules, known, free)


def judged_text(result: Names, value: str, rules: Iterable[Node], known: dict[Node, str], free: Iterator[str]) -> str:
    """A text where the rules hold, else #NUM!."""
    fine = node("truth", value=True)
    for rule in rules:
        fine = rule if fine.op == "truth" else node("and", fine, rule)
    if fine.op == "truth":
        return value
    result.with_helpers(fine)
    return f"IF(IFERROR({Writer(fine, known, result.helpers, free).text()},FALSE),{value},#NUM!)"


def finite(text: str, root: Node) -> str:
    """A result as it is shown: what is no number is #NUM!."""
    if not any(part.op == "number" and part.value == inf for part in parts_of(root)):
        return f"IFERROR({text},#NUM!)"
    return f"{HELPER}finite({text})"


def reading(argument: Argument, given: str) -> str:
    """What reads an argument from its parameter; left out it is the default."""
    if argument.is_text:
        read = f"{HELPER}word({given},{array(argument.choices)})" if argument.choices else f"{HELPER}text({given})"
        if argument.required:
            return read
        default = word(str(argument.default))
        return f"IF(ISOMITTED({given}),{default},IF(ISBLANK({given}),{default},{read}))"
    kind, low, high = ends(argument)
    if argument.many:
        read = f"{HELPER}list{kind}({given},{low},{high})"
        if argument.required:
            return read
        usual = f"TOROW({literal(float(argument.default))})"  # type: ignore[arg-type]
        return f"IF(ISOMITTED({given}),{usual},IF(COUNTA({given})=0,{usual},{read}))"
    if argument.required:
        return f"{HELPER}number{kind}({given},{low},{high})"
    default = literal(float(argument.default))  # type: ignore[arg-type]
    return f"IF(ISOMITTED({given}),{default},{HELPER}optional{kind}({given},{low},{high},{default}))"


def ends(argument: Argument) -> tuple[str, str, str]:
    """Which reader an argument needs, and the lowest and the highest value that it may have, as text."""
    low, high, low_in, high_in = argument.bounds
    if not high_in and high < inf:
        high -= max(abs(high), 1.0) * _ASIDE
    return "" if low_in or low == -inf else "_above", literal(low), literal(high)


def left_out(function: Function) -> str:
    """A name that answers #N/A to any call."""
    parameters = [local(a.name) if a.required else f"_xlop.{a.name}" for a in function.arguments]
    return stored(f"LAMBDA({','.join(parameters)},#N/A)")
