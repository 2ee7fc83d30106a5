"""HYDRO_PLANT as LAMBDA names: any quantity of a plant that stands in a block of names and values.

A reader is a name that takes the block and a function: it reads and judges all that a group of quantities needs, and
hands it to the function. A quantity is a name that takes those values. HYDRO_PLANT chooses both by the word that is
asked.

As in Python a row left out has its default, a row that is there but empty is missed where it may not be empty, and a
changed value counts more than its row. Where two inputs of one call are wrong in different ways, the first counts; in
Python an error value counts before all else. A row whose name stands twice is refused, and so is a changed name that
is none.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from ..catalogue import characteristics
from ..catalogue import plant as whole
from ..physics import choose
from ..physics import plant as physics
from ..registry import FUNCTIONS, Argument, Rule
from ..units import from_si, to_si
from .graph import Node, node
from .lambda_names import HELPER, Names, by_hand, ends, finite, judged_text, reading
from .of_plants import OfPlant, Seasons, nozzle_at_hand, nozzle_season
from .symbols import CannotTrace, node_of
from .text import Writer, array, letters, literal, local, stored, word
from .trace import symbol_of, traced, tracing

STATES = ((), ("speed",), ("current",), ("speed", "current"))  # what of the settled point may be changed
_HANDED_ON = "keys,column"
_WORKED_UP = "cable_resistance"  # may be worked up from a cable's size
_CABLE = ",".join(f'ISNUMBER(XMATCH("{name}",counts))' for name in physics.CABLE)

# The block goes through a call as two lists: names as they are declared (no capitals, a space an underscore) and
# values, those that are changed first. What is empty is "" in them, and no value is TRUE or FALSE: TRUE is for a name
# that is not there, and FALSE says that a cable is to be worked up from its size, whatever its row of resistance says.
_BLOCK = {
    "keys": 'LAMBDA(x,LOWER(SUBSTITUTE(TRIM(x)," ","_")))',
    "clean": 'LAMBDA(x,IF(ISLOGICAL(x),"logical",IF(IFERROR(TRIM(x)="",FALSE),"",x)))',
    # 0 where names and values may be changed so, else an error.
    "changes": "LAMBDA(names,values,known,REDUCE(0,SEQUENCE(COLUMNS(names)),LAMBDA(so_far,place,"
    "LET(name,INDEX(names,place),value,INDEX(values,place),"
    'IF(ISERROR(so_far),so_far,IF(ISERROR(name),name,IF(IFERROR(value="",FALSE),so_far,'
    "IF(ISNUMBER(XMATCH(name,known)),IF(XMATCH(name,names)=place,so_far,#VALUE!),#VALUE!))))))))",
    # Hands names, values and what of them is changed to `then`.
    "block": "LAMBDA(plant,then,IF(COLUMNS(plant)<>2,#VALUE!,LET(keys,_hydro_keys(INDEX(plant,0,1)),"
    'IF(_hydro_twice(keys),#VALUE!,then(keys,VSTACK(_hydro_clean(INDEX(plant,0,2)),TRUE),"")))))',
    "changed": "LAMBDA(plant,names,values,known,then,_hydro_block(plant,LAMBDA(keys,column,none,"
    "LET(changed,TOROW(_hydro_keys(names)),changed_to,TOROW(_hydro_clean(values)),"
    "IF(COLUMNS(changed)<>COLUMNS(changed_to),#VALUE!,"
    "LET(wrong,_hydro_changes(changed,changed_to,known),IF(ISERROR(wrong),wrong,"
    'LET(counts,IF(IFERROR(changed_to="",FALSE),"",changed),then('
    f'VSTACK(IF(AND(OR({_CABLE}),ISERROR(XMATCH("cable_resistance",counts))),"cable_resistance",""),'
    "TRANSPOSE(counts),keys),VSTACK(FALSE,TRANSPOSE(changed_to),column),counts)))))))))",
    # What stands in the rows of these names, as one row.
    "rows": "LAMBDA(keys,column,names,MAP(names,LAMBDA(x,INDEX(column,IFERROR(XMATCH(x,keys),ROWS(column))))))",
    "twice": "LAMBDA(keys,IF(ROWS(keys)=1,FALSE,LET(row,SORT(keys),lower,DROP(row,1),"
    'IFERROR(SUM((lower=DROP(row,-1))*(lower<>""))>0,FALSE))))',
}
_WORDS = (
    "keys column names values name value place here known so_far x quantity plant then row lower none "
    "changed changed_to wrong counts"
).split()


def add_plant(result: Names) -> dict[object, str]:
    """Writes HYDRO_PLANT and all it calls. The names of the readers of a block, by what they read."""

    for name, text in _BLOCK.items():
        result.add(HELPER + name, stored(by_hand(text, _WORDS)))
    _add_cable(result)
    readers: dict[object, str] = {}
    for state in STATES:
        calls = []
        for quantity in whole.QUANTITIES:
            reader = reader_of(result, readers, *needed(quantity, state))
            calls.append(f"{reader}({_HANDED_ON},{_quantity(result, quantity, state)})")
        text = f"LAMBDA(place,{_HANDED_ON},{_one_of(calls)})"
        result.add(f"{HELPER}plant{_of(state)}", stored(by_hand(text, _WORDS)))
    function = FUNCTIONS["plant"]
    result.add(function.sheet_name, stored(_main()), function.help)
    _add_of_plant(result, readers, nozzle_at_hand())
    _add_seasons(result, readers, nozzle_season())
    return readers


def _one_of(calls: list[str], first: int = 1) -> str:
    """The call at `place`, by halves: an IF calculates one branch only, in every engine."""
    if len(calls) == 1:
        return calls[0]
    half = len(calls) // 2
    return f"IF(place<{first + half},{_one_of(calls[:half], first)},{_one_of(calls[half:], first + half)})"


def _of(state: tuple[str, ...]) -> str:
    return "".join(f"_{name}" for name in state)


def _main() -> str:
    """Plant, quantity, and the names and values that are changed, as they are given."""
    asked = {state: f"_hydro_plant{_of(state)}(place,{_HANDED_ON})" for state in STATES}
    has = {name: f'ISNUMBER(XMATCH("{name}",counts))' for name in ("speed", "current")}
    settled = f"LAMBDA(keys,column,counts,{asked[()]})"
    then = f"""LAMBDA(keys,column,counts,
        IF({has["speed"]},IF({has["current"]},{asked["speed", "current"]},{asked["speed",]}),
        IF({has["current"]},{asked["current",]},{asked[()]})))"""
    text = f"""LAMBDA(plant,quantity,_xlop.names,_xlop.values,
        IF(ISERROR(quantity),quantity,
        LET(place,IFERROR(XMATCH(_hydro_keys(quantity),{array(tuple(whole.QUANTITIES))}),0),
        IF(place=0,#VALUE!,{entered(settled, then)}))))"""
    return hand_written(text)


def entered(plain: str, changed: str, known: tuple[str, ...] = whole.CHANGEABLE) -> str:
    """What goes on with a block as it stands, or with one of which something is changed; `known`: what may be."""
    return f"""IF(ISOMITTED(names)<>ISOMITTED(values),#VALUE!,
        IF(ISOMITTED(names),_hydro_block(plant,{plain}),_hydro_changed(plant,names,values,{array(known)},{changed})))"""


def hand_written(text: str, words: Iterable[str] = ()) -> str:
    """A formula written by hand in several lines; `words`: its local names, beside those of every such formula."""
    return by_hand("".join(line.strip() for line in text.splitlines()), [*_WORDS, *words])


def _add_of_plant(result: Names, readers: dict[object, str], of: OfPlant) -> None:
    """A function of a plant and of lists of its own."""
    reader = reader_of(result, readers, of.inputs, of.rules)
    inner = body_of(result, f"{HELPER}of_{of.function.name}", of.arguments, of.graph)
    free = letters()
    inputs = ",".join(local(next(free)) for _ in of.inputs)
    own, lists = _lists(of.lists, free)
    found = lists.judged(f"{inner}({','.join([inputs, *lists.short])})")
    text = f"""LAMBDA(plant,{own},_xlop.names,_xlop.values,LET({lists.bound},wrong,{lists.wrong},
        then,LAMBDA(keys,column,counts,{reader}({_HANDED_ON},LAMBDA({inputs},{found}))),
        IF(ISERROR(wrong),wrong,{entered("then", "then")})))"""
    result.add(of.function.sheet_name, stored(hand_written(text)), of.function.help)


class _Lists(NamedTuple):
    """Lists beside a plant, as text: their short names, what binds these, and the first error value given."""

    short: list[str]
    bound: str
    wrong: str

    def judged(self, found: str) -> str:
        """What was found where all lists may be used; they are judged behind the inputs of the plant."""
        for one in reversed(self.short):
            found = f"IF(ISERROR(INDEX({one},1)),{one},{found})"
        return found


def _lists(arguments: tuple[Argument, ...], free: Iterator[str]) -> tuple[str, _Lists]:
    """The parameters of lists, and how they are read."""
    own = [local(argument.name) for argument in arguments]
    short = [local(next(free)) for _ in own]
    bound = ",".join(f"{text},{reading(a, name)}" for text, a, name in zip(short, arguments, own))
    first = ",".join(f"ISERROR({HELPER}wrong({name})),{HELPER}wrong({name})" for name in own)
    return ",".join(own), _Lists(short, bound, f"IFS({first},TRUE,0)")


def _given(argument: Argument) -> str:
    """One input as it stands in the block, its default where it is not there, or is empty and may be."""
    if argument.name == "cable_resistance":
        return f"{HELPER}cable({_HANDED_ON})"
    return f"LET(x,{_raw(argument.name)},{_or_default('x', argument)})"


def _default(argument: Argument) -> str:
    if argument.required:
        return "#VALUE!"
    return word(argument.default) if isinstance(argument.default, str) else _number(argument.default)


def _or_default(found: str, argument: Argument) -> str:
    """What was found in the block, its default where it is not there, or is empty and may be."""
    known = _default(argument)
    empty = known if argument.name in characteristics.MAY_BE_EMPTY else "#VALUE!"
    plain = f'IF(ISLOGICAL({found}),{known},IF({found}="",{empty},{found}))'
    return plain if argument.is_text else f"IF(ISNUMBER({found}),{found},{plain})"


def _raw(name: str) -> str:
    return f"INDEX(column,IFERROR(XMATCH({word(name)},keys),ROWS(column)))"


def _read(argument: Argument, given: str) -> str:
    """An input that was given, or the error value that stands for it."""
    if argument.is_text:
        return f"{HELPER}word({given},{array(argument.choices)})"
    kind, low, high = ends(argument)
    if argument.required:
        return f"{HELPER}number{kind}({given},{low},{high})"
    return f"{HELPER}optional{kind}({given},{low},{high},{_default(argument)})"


def _number(value: object) -> str:

    return literal(float(value))  # type: ignore[arg-type]


def reader_of(
    result: Names, readers: dict[object, str], arguments: tuple[Argument, ...], rules: tuple[Rule, ...]
) -> str:
    """The name that reads these inputs and judges them."""
    key = tuple((argument, argument.within) for argument in arguments)
    if key in readers:
        return readers[key]
    readers[key] = name = f"{HELPER}read_{len(readers) + 1}"
    free = letters()
    short = {argument.name: local(next(free)) for argument in arguments}
    rows = [a for a in arguments if a.name != _WORKED_UP]  # looked up together
    found = {a.name: f"LET(x,INDEX(row,{place}),{_or_default('x', a)})" for place, a in enumerate(rows, start=1)}
    found[_WORKED_UP] = _given(whole.argument(_WORKED_UP))
    read = [_read(a, found[a.name]) if a.is_text else found[a.name] for a in arguments]
    sources = [f"{short[a.name]},{text}" for a, text in zip(arguments, read)]
    if rows:
        sources.insert(0, f"row,{HELPER}rows({_HANDED_ON},{array(tuple(a.name for a in rows))})")
    given = {argument.name: symbol_of(argument) for argument in arguments}
    with tracing():
        broken = [node_of(rule.fine(**given)) for rule in rules]
    known = {node("argument", value=name): own for name, own in short.items()}
    then = f"{local('then')}({','.join(short.values())})"
    answer = judged_text(result, then, broken, known, free)
    handed = ",".join(local(part) for part in _HANDED_ON.split(","))
    own = ",".join(short.values())
    wrong = local(next(free))
    judged = (
        f"LET({by_hand(','.join(sources), _WORDS)},{wrong},{name}_wrong({own}),IF(ISERROR({wrong}),{wrong},{answer}))"
    )
    result.add(name, stored(f"LAMBDA({handed},{local('then')},{judged})"))
    reads = [own if a.is_text else _read(a, own) for a, own in zip(arguments, short.values())]
    errors = ",".join(f"ISERROR({read}),{read}" for read in reads)
    text = f"LAMBDA({own},IF({_all_fine(arguments, short)},0,IFS({errors},TRUE,#VALUE!)))"
    result.add(f"{name}_wrong", stored(text))
    return name


def _all_fine(arguments: tuple[Argument, ...], short: dict[str, str]) -> str:
    """Whether all inputs may be used; all numbers are judged at once. What is no number is greater than any number."""
    numbers = [a for a in arguments if not a.is_text]
    lows, highs, defaults, belongs = [], [], [], []
    for argument in numbers:
        kind, low, high = ends(argument)
        lows.append(float(low))
        highs.append(float(high))
        belongs.append(0.0 if kind else 1.0)
        defaults.append(highs[-1] if argument.required else float(_default(argument)))
    row = local("row")
    within = f"(({row}>{array(tuple(lows))})+({row}={array(tuple(lows))})*{array(tuple(belongs))})"
    within = f"{within}*({row}<={array(tuple(highs))})+({row}={array(tuple(defaults))})"
    fine = f"LET({row},HSTACK({','.join(short[a.name] for a in numbers)}),AND({within}))"
    words = [f"NOT(ISERROR({short[a.name]}))" for a in arguments if a.is_text]
    return f"IFERROR(AND({','.join([*words, fine])}),FALSE)"


def needed(quantity: str, state: tuple[str, ...]) -> tuple[tuple[Argument, ...], tuple[Rule, ...]]:
    """The inputs that a quantity needs, in the order in which they are judged, and the rules between them."""
    function = whole._single(quantity, frozenset(state), False, frozenset())
    return function.arguments, function.rules


def _quantity(result: Names, quantity: str, state: tuple[str, ...]) -> str:
    """The name that calculates a quantity from what it needs."""

    arguments, _ = needed(quantity, state)
    unit, _ = whole.QUANTITIES[quantity]
    known = {a.name: symbol_of(a) if a.is_text else to_si(symbol_of(a), a.unit) for a in arguments}
    try:
        with tracing():
            answer = physics.solved(quantity, dict(known), physics.steps_with(state, False))
            root = node_of(from_si(answer, unit))
    except CannotTrace as error:
        raise CannotTrace(f"plant, {quantity}: {error}") from None
    return body_of(result, f"{HELPER}q_{quantity}", arguments, root)


# The best size of the year, and the best two with the season of the smaller: sizes rising, what each gives in every
# month (rows), and the answers in their order. Every season of every pair is tried, as in physics.
_SEASONS = """LAMBDA(sizes,gives,LET(
    months,ROWS(gives),count,COLUMNS(gives),year,BYCOL(gives,LAMBDA(x,SUM(x))),
    most,MAX(year),one,INDEX(sizes,XMATCH(most,year)),
    two,IF(OR(months=1,count=1),HSTACK(most,one,one,0,0),
    REDUCE(HSTACK(most,one,one,0,0),SEQUENCE(count*count),LAMBDA(so_far,pair,
    LET(small,INT((pair-1)/count)+1,large,pair-(small-1)*count,
    IF(large<=small,so_far,
    LET(more,INDEX(gives,0,small)-INDEX(gives,0,large),
    sums,VSTACK(0,SCAN(0,VSTACK(more,more),LAMBDA(a,b,a+b))),
    REDUCE(so_far,SEQUENCE(months),LAMBDA(best,start,
    LET(season,TAKE(DROP(sums,start),months-1)-INDEX(sums,start),
    top,MAX(season),total,INDEX(year,large)+top,
    IF(total>INDEX(best,1)*(1+1E-9),
    HSTACK(total,INDEX(sizes,small),INDEX(sizes,large),start,MOD(start+XMATCH(top,season)-2,months)+1),
    best)))))))))),
    HSTACK(one,most,INDEX(two,2),INDEX(two,3),INDEX(two,1),INDEX(two,4),INDEX(two,5),SUM(BYROW(gives,LAMBDA(x,MAX(x))))))
    )"""
_OF_SEASONS = (
    "sizes gives months count year most one two pair small large more sums a b best start season top total x "
    "flows days size flow part month rising all asked"
).split()


def _add_seasons(result: Names, readers: dict[object, str], of: Seasons) -> None:
    """The nozzles of a year."""
    result.add(f"{HELPER}seasons", stored(hand_written(_SEASONS, _OF_SEASONS)))
    reader = reader_of(result, readers, of.inputs, of.rules)
    size, flow = (of.lists[i].with_(many=False) for i in (0, 1))
    watts = body_of(result, f"{HELPER}of_season", (*of.inputs, size, flow), of.watts)
    fits = body_of(result, f"{HELPER}fits", (*of.inputs, size), of.fits)
    free = letters()
    inputs = ",".join(local(next(free)) for _ in of.inputs)
    own, lists = _lists(of.lists, free)
    sizes, flows, days = lists.short
    gives = (
        f"MAKEARRAY(COLUMNS({flows}),COLUMNS(rising),LAMBDA(month,part,"
        f"{watts}({inputs},INDEX(rising,part),INDEX({flows},month))*INDEX({days},month)/SUM({days})))"
    )
    found = f"""IF(COLUMNS({flows})<>COLUMNS({days}),#NUM!,LET(rising,SORT({sizes},1,1,TRUE),
        IF({fits}({inputs},INDEX(rising,1))=0,#NUM!,LET(all,{HELPER}seasons(rising,{gives}),
        IF(ISERROR(SUM(all)),#NUM!,all)))))"""
    found = lists.judged(found)
    # All answers stand in one row, so that a range of words is answered by one search.
    text = f"""LAMBDA(plant,quantity,{own},_xlop.names,_xlop.values,
        LET({lists.bound},wrong,{lists.wrong},
        then,LAMBDA(keys,column,counts,{reader}({_HANDED_ON},LAMBDA({inputs},{found}))),
        all,IF(ISERROR(wrong),wrong,{entered("then", "then")}),none,SUM(all),
        MAP(quantity,LAMBDA(asked,IF(ISERROR(asked),asked,IF(ISERROR(wrong),wrong,
        LET(place,IFERROR(XMATCH(_hydro_keys(asked),{array(choose.ANSWERS)}),0),
        IF(place=0,#VALUE!,IF(ISERROR(none),none,INDEX(all,place))))))))))"""
    result.add(of.function.sheet_name, stored(hand_written(text, _OF_SEASONS)), of.function.help)


def body_of(result: Names, name: str, arguments: Sequence[Argument], root: Node) -> str:
    """The name of this body: `name`, or the same with a number where that has another body already."""

    result.with_helpers(root)
    free = letters()
    known = {symbol_of(argument).node: local(next(free)) for argument in arguments}
    text = stored(
        f"LAMBDA({','.join(known.values())},{finite(Writer(root, known, result.helpers, free).text(), root)})"
    )
    for own in (name, *(f"{name}_{i}" for i in range(2, 9))):
        if result.texts.get(own, text) == text:
            result.add(own, text)
            return own
    raise ValueError(f"{name}: more bodies than states")


def _add_cable(result: Names) -> None:
    """The cable's resistance as it counts: changed; worked up from a changed cable; its row; worked up; its default."""

    own = whole._ARGUMENTS["cable_resistance"]
    single = traced(FUNCTIONS["cable_resistance"])
    names = dict(zip((a.name for a in single.arguments), physics.CABLE, strict=True))
    result.with_helpers(single.result)

    free = letters()
    short = {plain: local(next(free)) for plain in names}
    known = {node("argument", value=plain): text for plain, text in short.items()}
    reads = by_hand(
        ",".join(
            f"{short[plain]},{_read(own_part, _given(own_part))}"
            for plain, own_part in ((plain, whole._ARGUMENTS[name]) for plain, name in names.items())
        ),
        _WORDS,
    )
    wrong = local(next(free))
    errors = ",".join(f"ISERROR({text}),{text}" for text in short.values())
    worked_up = Writer(single.result, known, result.helpers, free).text()
    handed = ",".join(local(part) for part in _HANDED_ON.split(","))
    result.add(
        f"{HELPER}cable_worked_up",
        stored(
            f"LAMBDA({handed},LET({reads},{wrong},IFS({errors},TRUE,0),IF(ISERROR({wrong}),{wrong},IFERROR({worked_up},#NUM!))))"
        ),
    )
    row = _read(own, _or_default("here", own))
    text = f"""LAMBDA({_HANDED_ON},LET(here,{_raw("cable_resistance")},long,{_raw("cable_length")},
        none,IF(ISLOGICAL(here),here,IFERROR(here="",FALSE)),
        size,NOT(IF(ISLOGICAL(long),long,IFERROR(long="",FALSE))),
        up,IF(none,size,ISLOGICAL(here)),
        IF(up,{HELPER}cable_worked_up({_HANDED_ON}),{row})))"""
    result.add(f"{HELPER}cable", stored(hand_written(text, ["long", "size", "up"])))
