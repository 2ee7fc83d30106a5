"""HYDRO_PLANT as LAMBDA names: any quantity of a plant that stands in a block of names and values.

A reader is a name that takes the block and a function: it reads and judges all that a group of quantities needs, and
hands it to the function. A quantity is a name that takes those values. HYDRO_PLANT chooses both by the word that is
asked.

As in Python a row left out has its default, a row that is there but empty is missed where it may not be empty, and a
changed value counts more than its row. Where two inputs of one call are wrong in different ways, the first counts; in
Python an error value counts before all else. A row whose name stands twice is refused, and so is a changed name that
is none.
"""

from ..catalogue import plant as whole
from ..physics import plant as physics
from ..registry import FUNCTIONS, Argument, Rule
from ..units import from_si, to_si
from .graph import Node, node
from .lambda_names import HELPER, Names, by_hand, ends, finite, judged_text
from .symbols import CannotTrace, node_of
from .text import Writer, array, letters, literal, local, stored, word
from .trace import symbol_of, traced, tracing

STATES = ((), ("speed",), ("current",), ("speed", "current"))  # what of the settled point may be changed
_HANDED_ON = "keys,column,names,values"

_BLOCK = {
    # Names as they are declared: capitals do not matter, and a space is an underscore.
    "keys": 'LAMBDA(x,LOWER(SUBSTITUTE(TRIM(x)," ","_")))',
    "blank": 'LAMBDA(x,IF(ISERROR(x),FALSE,IF(ISBLANK(x),TRUE,IF(ISTEXT(x),TRIM(x)="",FALSE))))',
    # A changed value; "" where the name is not there, or its value is blank.
    "changed": "LAMBDA(names,values,name,LET(place,IFERROR(MATCH(name,names,0),1)-1,"
    'IF(place=0,"",IF(_hydro_blank(INDEX(values,place)),"",INDEX(values,place)))))',
    # The row of a block; `absent` where there is none, `empty` where nothing stands in it.
    "row": "LAMBDA(keys,column,name,absent,empty,LET(place,IFERROR(MATCH(name,keys,0),0),"
    "IF(place=0,absent,IF(_hydro_blank(INDEX(column,place)),empty,INDEX(column,place)))))",
    "source": f"LAMBDA({_HANDED_ON},name,absent,empty,LET(here,_hydro_changed(names,values,name),"
    "IF(ISERROR(here),here,IF(_hydro_blank(here),_hydro_row(keys,column,name,absent,empty),here))))",
    # 0 where names and values may be changed so, else an error.
    "changes": "LAMBDA(names,values,known,REDUCE(0,SEQUENCE(COLUMNS(names)-1),LAMBDA(so_far,place,"
    "LET(name,INDEX(names,place+1),"
    "IF(ISERROR(so_far),so_far,IF(ISERROR(name),name,IF(_hydro_blank(INDEX(values,place)),so_far,"
    "IF(ISNUMBER(MATCH(name,known,0)),IF(MATCH(name,names,0)=place+1,so_far,#VALUE!),#VALUE!))))))))",
    "twice": 'LAMBDA(keys,IFERROR(SUM((keys=TRANSPOSE(keys))*(keys<>""))>SUM((keys<>"")*1),FALSE))',
}
_WORDS = "keys column names values name absent empty place here known so_far x quantity plant block then".split()


def add_plant(result: Names) -> None:
    """Writes HYDRO_PLANT and all it calls."""

    for name, text in _BLOCK.items():
        result.add(HELPER + name, stored(by_hand(text, _WORDS)))
    _add_cable(result)
    readers: dict[object, str] = {}
    for state in STATES:
        calls = []
        for quantity in whole.QUANTITIES:
            reader = _reader(result, readers, quantity, state)
            calls.append(f"{reader}({_HANDED_ON},{_quantity(result, quantity, state)})")
        text = f"LAMBDA(place,{_HANDED_ON},{_one_of(calls)})"
        result.add(f"{HELPER}plant{_of(state)}", stored(by_hand(text, _WORDS)))
    function = FUNCTIONS["plant"]
    result.add(function.sheet_name, stored(_main()), function.help)


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

    handed = "keys,column,changed,changed_to"
    asked = {state: f"_hydro_plant{_of(state)}(place,{handed})" for state in STATES}
    has = {name: f'NOT(_hydro_blank(_hydro_changed(changed,changed_to,"{name}")))' for name in ("speed", "current")}
    text = f"""LAMBDA(plant,quantity,_xlop.names,_xlop.values,
        IF(ISERROR(quantity),quantity,
        IF(COLUMNS(plant)<>2,#VALUE!,
        IF(ISOMITTED(names)<>ISOMITTED(values),#VALUE!,
        LET(place,IFERROR(MATCH(_hydro_keys(quantity),{array(tuple(whole.QUANTITIES))},0),0),
        plain,_hydro_keys(INDEX(plant,0,1)),
        keys,IF(IFERROR(SUM((plain<>INDEX(plant,0,1))*1),1)=0,INDEX(plant,0,1),plain),column,INDEX(plant,0,2),
        given,IF(ISOMITTED(names),"",TOROW(_hydro_keys(names))),
        changed_to,IF(COLUMNS(given)>1,values,HSTACK(IF(ISOMITTED(values),"",IF(_hydro_blank(values),"",values)),"")),
        IF(place=0,#VALUE!,
        IF(AND(COLUMNS(given)>1,COLUMNS(given)<>ROWS(changed_to)*COLUMNS(changed_to)),#VALUE!,
        IF(_hydro_twice(keys),#VALUE!,
        LET(changed,HSTACK("",given),wrong,_hydro_changes(changed,changed_to,{array(whole.CHANGEABLE)}),
        IF(ISERROR(wrong),wrong,
        IF({has["speed"]},IF({has["current"]},{asked["speed", "current"]},{asked["speed",]}),
        IF({has["current"]},{asked["current",]},{asked[()]})
        )))))))))))"""
    pieces = "".join(line.strip() for line in text.splitlines())
    return by_hand(pieces, [*_WORDS, "given", "changed_to", "changed", "wrong", "plain"])


def _source(argument: Argument) -> str:
    """What reads and judges one input of the plant."""

    if argument.name == "cable_resistance":
        return f"{HELPER}cable({_HANDED_ON})"
    default = None if argument.required else argument.default
    known = "#VALUE!" if default is None else word(default) if isinstance(default, str) else _number(default)
    empty = known if argument.name in whole.MAY_BE_EMPTY else "#VALUE!"
    given = f"{HELPER}source({_HANDED_ON},{word(argument.name)},{known},{empty})"
    if argument.is_text:
        return f"{HELPER}word({given},{array(argument.choices)})"
    kind, low, high = ends(argument)
    if default is None:
        return f"{HELPER}number{kind}({given},{low},{high})"
    return f"{HELPER}optional{kind}({given},{low},{high},{known})"


def _number(value: object) -> str:

    return literal(float(value))  # type: ignore[arg-type]


def _reader(result: Names, readers: dict[object, str], quantity: str, state: tuple[str, ...]) -> str:
    """The name that reads what a quantity needs."""

    arguments, rules = needed(quantity, state)
    key = tuple((argument, argument.within) for argument in arguments)
    if key in readers:
        return readers[key]
    readers[key] = name = f"{HELPER}read_{len(readers) + 1}"
    free = letters()
    short = {argument.name: local(next(free)) for argument in arguments}
    sources = by_hand(",".join(f"{short[a.name]},{_source(a)}" for a in arguments), _WORDS)
    wrong = local(next(free))
    errors = ",".join(f"ISERROR({own}),{own}" for own in short.values())
    given = {argument.name: symbol_of(argument) for argument in arguments}
    with tracing():
        broken = [node_of(rule.fine(**given)) for rule in rules]
    known = {node("argument", value=name): own for name, own in short.items()}
    then = f"{local('then')}({','.join(short.values())})"
    answer = judged_text(result, then, broken, known, free)
    handed = ",".join(local(part) for part in _HANDED_ON.split(","))
    judged = f"LET({sources},{wrong},IFS({errors},TRUE,0),IF(ISERROR({wrong}),{wrong},{answer}))"
    result.add(name, stored(f"LAMBDA({handed},{local('then')},{judged})"))
    return name


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
    return _body(result, f"{HELPER}q_{quantity}", arguments, root)


def _body(result: Names, name: str, arguments: tuple[Argument, ...], root: Node) -> str:
    """The name of this body: `name`, or the same with a number where that has another body already."""

    result.with_helpers(root)
    free = letters()
    known = {node("argument", value=argument.name): local(next(free)) for argument in arguments}
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
        ",".join(f"{short[plain]},{_source(whole._ARGUMENTS[name])}" for plain, name in names.items()), _WORDS
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
    changed = ",".join(f'_hydro_blank(_hydro_changed(names,values,"{name}"))' for name in physics.CABLE)
    row = _source(own.with_(name="cable resistance")).replace('"cable resistance"', '"cable_resistance"')
    up = f"{HELPER}cable_worked_up({_HANDED_ON})"
    text = f"""LAMBDA({_HANDED_ON},IF(_hydro_blank(_hydro_changed(names,values,"cable_resistance")),
        IF(AND({changed}),
        IF(_hydro_blank(_hydro_row(keys,column,"cable_resistance","","")),
        IF(_hydro_blank(_hydro_row(keys,column,"cable_length","","")),{row},{up}),{row}),{up}),{row}))"""
    result.add(f"{HELPER}cable", stored(by_hand("".join(line.strip() for line in text.splitlines()), _WORDS)))
