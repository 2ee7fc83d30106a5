"""HYDRO_PLANT as VBA: any quantity of a plant that stands in a block of names and values.

What stands in the block is read first, then no cell any more. A reader is a procedure that judges all that a group of
quantities needs and puts it into the arrays `HydX` (numbers) and `HydS` (words); a quantity is a function of these.
Rows left out, empty or changed count as in `plant`, the writer of LAMBDA names.
"""

from collections.abc import Iterable, Mapping
from typing import cast

from ..catalogue import characteristics
from ..catalogue import plant as whole
from ..physics import characteristics as waves
from ..physics import plant as physics
from ..registry import FUNCTIONS, Argument, Rule
from ..units import from_si, to_si
from .graph import Node, node
from .of_plants import OfPlant, Seasons, nozzle_at_hand, nozzle_season
from .plant import STATES, needed
from .symbols import CannotTrace, node_of
from .trace import symbol_of, traced, tracing
from .vba import Modules, described, ends, finite, folded, judged, listed, procedure, reading
from .vba_body import TYPES, Body, literal, word

_OF_WAVES = tuple(name for name in characteristics.CHANGEABLE if name not in whole.CHANGEABLE)
_ROWS = (*(argument.name for argument in whole.INPUTS), *_OF_WAVES)  # the others are changed only
_PLACES = {name: i for i, name in enumerate((*_ROWS, *(argument.name for argument in whole.STATE)), start=1)}
_RESISTANCE = _PLACES["cable_resistance"]

BLOCK = f"""\
Option Explicit
Option Private Module
' The plant that is asked for: what its block holds, and what is changed.

Public HydX(60) As Double
Public HydS(60) As String
' How an input is given: 0 not at all, 1 an empty row, 2 a row, 3 changed.
Public HydHow(60) As Long
Public HydGot(60) As Variant
Public HydWorkedUp As Boolean
Private keys(500) As String
Private places(500) As Long
Private known As Long

Public Sub HydRows(ByVal x As Variant, wrong As Long)
Dim cells As Variant, value As Variant, i As Long, n As Long, place As Long, first As Long, column As Long
Dim doubtful As Boolean
For i = 1 To 60
HydHow(i) = 0
Next i
cells = HydGiven(x)
If IsObject(x) Then
If HydInCalc() Then doubtful = HydHasErrors(x)
End If
If Not HydTwoColumns(cells) Then
HydBad wrong, 2015
Exit Sub
End If
first = LBound(cells, 1)
column = LBound(cells, 2)
n = UBound(cells, 1) - first + 1
If Not HydSameKeys(cells, first, column, n) Then
If Not HydNewKeys(cells, first, column, n) Then
HydBad wrong, 2015
Exit Sub
End If
End If
For i = 1 To n
place = places(i)
If place > 0 Then
value = cells(first + i - 1, column + 1)
HydHow(place) = 2
Select Case VarType(value)
Case 5
If doubtful Then
If value = 0# Then value = HydInside(x, i, 2, value)
End If
Case 0, 8
If HydBlank(value) Then HydHow(place) = 1
End Select
HydGot(place) = value
End If
Next i
End Sub

Public Function HydTwoColumns(cells As Variant) As Boolean
On Error GoTo other
If IsArray(cells) Then HydTwoColumns = UBound(cells, 2) - LBound(cells, 2) = 1
other:
End Function

' Most blocks have the same names as the one before.
Private Function HydSameKeys(cells As Variant, ByVal first As Long, ByVal column As Long, ByVal n As Long) As Boolean
Dim i As Long
If n <> known Then Exit Function
For i = 1 To n
If VarType(cells(first + i - 1, column)) <> 8 Then Exit Function
If cells(first + i - 1, column) <> keys(i) Then Exit Function
Next i
HydSameKeys = True
End Function

' False where a name stands twice, or there are too many rows.
Private Function HydNewKeys(cells As Variant, ByVal first As Long, ByVal column As Long, ByVal n As Long) As Boolean
Dim i As Long, key As String, seen As String
known = 0
If n > 500 Then Exit Function
seen = "|"
For i = 1 To n
keys(i) = ""
If VarType(cells(first + i - 1, column)) = 8 Then keys(i) = cells(first + i - 1, column)
key = HydKey(cells(first + i - 1, column))
places(i) = 0
If key <> "" Then
If InStr(seen, "|" & key & "|") > 0 Then Exit Function
seen = seen & key & "|"
places(i) = HydInput(key)
If places(i) > {len(_ROWS)} Then places(i) = 0
End If
Next i
known = n
HydNewKeys = True
End Function

' A name as it is declared: capitals do not matter, and a space is an underscore.
Public Function HydKey(ByVal found As Variant) As String
Select Case VarType(found)
Case 8
HydKey = Replace(HydOneBlank(LCase(found)), " ", "_")
Case 0, 1, 10
Case Else
HydKey = CStr(found)
End Select
End Function

Public Function HydBlank(ByVal found As Variant) As Boolean
If IsEmpty(found) Then
HydBlank = True
ElseIf VarType(found) = 8 Then
HydBlank = HydOneBlank(found) = ""
End If
End Function

Public Sub HydChanges(names As Variant, values As Variant, wrong As Long, Optional ByVal waves As Boolean = False)
Dim i As Long, place As Long, key As String, seen As String
For i = 1 To names(0)
If VarType(names(i)) = 10 And wrong >= 0 Then wrong = -CLng(names(i))
Next i
If names(0) <> values(0) Then HydBad wrong, 2015
If wrong <> 0 Then Exit Sub
seen = "|"
For i = 1 To names(0)
If Not HydBlank(values(i)) Then
key = HydKey(names(i))
place = HydInput(key)
If Not HydMay(place, waves) Then place = 0
If place = 0 Or InStr(seen, "|" & key & "|") > 0 Then
HydBad wrong, 2015
Exit Sub
End If
seen = seen & key & "|"
HydGot(place) = values(i)
HydHow(place) = 3
End If
Next i
End Sub

' May the input in this place be changed, for the run of waves or for all else?
Private Function HydMay(ByVal place As Long, ByVal waves As Boolean) As Boolean
Select Case place
Case 0
Case {", ".join(str(_PLACES[name]) for name in _OF_WAVES)}
HydMay = waves
Case {", ".join(str(_PLACES[name]) for name in characteristics.CHANGEABLE if name not in _OF_WAVES)}
HydMay = True
Case Else
HydMay = Not waves
End Select
End Function

Public Function HydRow(ByVal place As Long, ByVal low As Double, ByVal high As Double, ByVal ends As Long, _
wrong As Long) As Double
If HydHow(place) < 2 Then HydRow = HydLack(wrong) Else HydRow = HydJudged(HydGot(place), low, high, ends, wrong)
End Function

' usual: where there is no row; where there is one without a value too if it may be empty.
Public Function HydRowOr(ByVal place As Long, ByVal low As Double, ByVal high As Double, ByVal ends As Long, _
ByVal usual As Double, ByVal may As Boolean, wrong As Long) As Double
HydRowOr = usual
If HydHow(place) = 0 Or (HydHow(place) = 1 And may) Then Exit Function
If HydHow(place) = 1 Then
HydBad wrong, 2015
Exit Function
End If
If VarType(HydGot(place)) = 5 Then
If HydGot(place) = usual Then Exit Function
End If
HydRowOr = HydJudged(HydGot(place), low, high, ends, wrong)
End Function

Public Function HydRowWord(ByVal place As Long, ByVal words As String, wrong As Long) As String
If HydHow(place) < 2 Then HydRowWord = HydLack(wrong) Else HydRowWord = HydListed(HydGot(place), words, wrong)
End Function

Public Function HydRowWordOr(ByVal place As Long, ByVal words As String, ByVal usual As String, _
ByVal may As Boolean, wrong As Long) As String
HydRowWordOr = usual
If HydHow(place) = 0 Or (HydHow(place) = 1 And may) Then Exit Function
HydRowWordOr = HydRowWord(place, words, wrong)
End Function
"""

# What reads a block and what of it is changed; `wrong` is 0 where all is well.
ENTERED = """\
none = Array(0)
If IsMissing(names) Then changed = none Else changed = HydList(names)
If IsMissing(values) Then changed_to = none Else changed_to = HydList(values)
If wrong = 0 Then HydRows plant, wrong
If wrong >= 0 Then HydChanges changed, changed_to, wrong
"""
_WORKED_UP = """\
HydWorkedUp = {worked_up}
If HydHow({resistance}) = 3 Then HydWorkedUp = False
"""


def asked(look_up: str) -> str:
    """What reads the word that is asked, and finds its place in a list."""
    return f"""\
If IsMissing(plant) Or IsMissing(quantity) Then
HydBad wrong, 2015
Else
asked = HydGiven(quantity)
If VarType(asked) = 10 Then wrong = -CLng(asked) Else place = {look_up}(HydKey(asked))
End If
"""


_MAIN = f"""\
Public Function HYDRO_PLANT(Optional plant As Variant, Optional quantity As Variant, Optional names As Variant, _
Optional values As Variant) As Variant
{{described}}
Dim wrong As Long, place As Long, result As Double
Dim none As Variant, asked As Variant, changed As Variant, changed_to As Variant
On Error GoTo failed
{asked("HydQuantity")}{ENTERED}If place = 0 Then HydBad wrong, 2015
If wrong = 0 Then
{{working_up}}Select Case {{state}}
{{cases}}
End Select
End If
If wrong <> 0 Then
HYDRO_PLANT = HydError(wrong)
Exit Function
End If
HYDRO_PLANT = result
Exit Function
failed:
HYDRO_PLANT = HydError(2036)
End Function
"""


# The search of `physics.choose.seasons`: sizes rising, and what each gives in every month.
_SEASONS = """\
Public Sub HydSeasons(sizes As Variant, gives As Variant, ByVal months As Long, ByVal count As Long, _
answers() As Double)
Dim whole() As Double, sums() As Double
Dim i As Long, k As Long, small As Long, large As Long, start As Long, best As Long, found As Long
Dim most As Double, every As Double, two As Double, top As Double, total As Double
Dim dry As Double, wet As Double, first As Double, last As Double
ReDim whole(1 To count)
ReDim sums(0 To 2 * months)
best = 1
For k = 1 To count
For i = 1 To months
whole(k) = whole(k) + gives(i, k)
Next i
If whole(k) > whole(best) Then best = k
Next k
For i = 1 To months
most = gives(i, 1)
For k = 2 To count
If gives(i, k) > most Then most = gives(i, k)
Next k
every = every + most
Next i
two = whole(best)
dry = sizes(best)
wet = sizes(best)
If months > 1 Then
For small = 1 To count - 1
For large = small + 1 To count
sums(0) = 0#
For k = 1 To 2 * months
i = (k - 1) Mod months + 1
sums(k) = sums(k - 1) + (gives(i, small) - gives(i, large))
Next k
For start = 1 To months
found = start
For k = start + 1 To start + months - 2
If sums(k) > sums(found) Then found = k
Next k
top = sums(found) - sums(start - 1)
total = whole(large) + top
If total > two * 1.000000001 Then
two = total
dry = sizes(small)
wet = sizes(large)
first = start
last = (found - 1) Mod months + 1
End If
Next start
Next large
Next small
End If
{answers}
End Sub
"""
_ANSWERS = {
    "one": "sizes(best)",
    "one_watts": "whole(best)",
    "dry": "dry",
    "wet": "wet",
    "two_watts": "two",
    "first": "first",
    "last": "last",
    "every_watts": "every",
}
# Many words in a range or list are answered by one search, each for itself.
_SEASON = f"""\
Public Function HYDRO_NOZZLE_SEASON(Optional plant As Variant, Optional quantity As Variant, _
Optional sizes As Variant, Optional flows As Variant, Optional month_days As Variant, _
Optional names As Variant, Optional values As Variant) As Variant
{{described}}
Dim a1 As Variant, a2 As Variant, a3 As Variant, wrong As Long, worse As Long, unread As Long, result As Double
Dim none As Variant, asked As Variant, words As Variant, changed As Variant, changed_to As Variant
Dim told() As Variant, answers({len(_ANSWERS)}) As Double, down As Long, across As Long
Dim rising() As Double, gives() As Double, i As Long, k As Long, count As Long, months As Long, days As Double
On Error GoTo failed
If IsMissing(plant) Or IsMissing(quantity) Then
HYDRO_NOZZLE_SEASON = HydError(2015)
Exit Function
End If
asked = HydGiven(quantity)
words = HydList(quantity)
{{reads}}
If worse < 0 Then wrong = worse
{ENTERED}unread = wrong
{{working_up}}If wrong = 0 Then {{reader}} wrong
If wrong = 0 Then wrong = worse
On Error GoTo none_found
If wrong = 0 Then
count = a1(0)
months = a2(0)
If months <> a3(0) Then Err.Raise 5
ReDim rising(1 To count)
For k = 1 To count
result = a1(k)
i = k - 1
Do While i > 0
If rising(i) <= result Then Exit Do
rising(i + 1) = rising(i)
i = i - 1
Loop
rising(i + 1) = result
Next k
If HydSeasonFits(rising(1)) = 0# Then Err.Raise 5
For i = 1 To months
days = days + a3(i)
Next i
ReDim gives(1 To months, 1 To count)
For i = 1 To months
For k = 1 To count
gives(i, k) = HydSeasonWatts(rising(k), a2(i)) * (a3(i) / days)
Next k
Next i
HydSeasons rising, gives, months, count, answers
End If
all_found:
On Error GoTo failed
If Not IsArray(asked) Then
HYDRO_NOZZLE_SEASON = HydOfYear(words(1), answers, wrong, unread)
Exit Function
End If
down = 1
If HydDimensions(asked) = 2 Then down = UBound(asked, 1) - LBound(asked, 1) + 1
across = words(0) / down
ReDim told(1 To down, 1 To across)
For i = 1 To down
For k = 1 To across
told(i, k) = HydOfYear(words((i - 1) * across + k), answers, wrong, unread)
Next k
Next i
HYDRO_NOZZLE_SEASON = told
Exit Function
none_found:
wrong = 2036
Resume all_found
failed:
HYDRO_NOZZLE_SEASON = HydError(2036)
End Function
"""
# unread: what was wrong before the inputs of the plant were read; an unknown word counts before what is wrong in them.
_OF_YEAR = """\
Public Function HydOfYear(ByVal asked As Variant, answers() As Double, ByVal wrong As Long, _
ByVal unread As Long) As Variant
Dim place As Long
If VarType(asked) = 10 Then
HydOfYear = HydError(CLng(asked))
Exit Function
End If
place = HydAnswer(HydKey(asked))
If place = 0 Then
wrong = unread
HydBad wrong, 2015
End If
If wrong <> 0 Then HydOfYear = HydError(wrong) Else HydOfYear = answers(place)
End Function
"""


class Plant:
    """HYDRO_PLANT: first the graphs of all quantities, then, when the library has seen them, the procedures."""

    def __init__(self) -> None:
        self.graphs: dict[tuple[str, tuple[str, ...]], Node] = {}
        for state in STATES:
            for quantity in whole.QUANTITIES:
                self.graphs[quantity, state] = _graph(quantity, state)
        self.at_hand, self.season = nozzle_at_hand(), nozzle_season()
        self.cable = traced(FUNCTIONS["cable_resistance"])
        self._readers: dict[object, str] = {}
        self._quantities: dict[tuple[Node, object], str] = {}

    def add(self, modules: Modules) -> None:
        """Writes the procedures."""
        self._add_cable(modules)
        for i, state in enumerate(STATES):
            lines = ["Select Case place"]
            for place, quantity in enumerate(whole.QUANTITIES, start=1):
                arguments, rules = needed(quantity, state)
                reader = self.reader(modules, arguments, rules)
                answer = self._quantity(modules, quantity, arguments, self.graphs[quantity, state])
                lines += [f"Case {place}", f"{reader} wrong", f"If wrong = 0 Then HydState{i} = {answer}()"]
            head = f"Public Function HydState{i}(ByVal place As Long, wrong As Long) As Double"
            modules.plant.append(procedure(head, [], [*lines, "End Select"]))
        lists = (
            *(("HydQuantity", whole.QUANTITIES), ("HydInput", _PLACES), ("HydAnswer", _ANSWERS)),
            ("HydSurgeQuantity", waves.QUANTITIES),
        )
        for name, words in lists:
            cases = [f"Case {word(one)}: {name} = {place}" for place, one in enumerate(words, start=1)]
            head = f"Public Function {name}(ByVal x As String) As Long"
            modules.plant.append(procedure(head, [], ["Select Case x", *cases, "End Select"]))
        parts = [_PLACES[name] for name in physics.CABLE]
        changed = " Or ".join(f"HydHow({place}) = 3" for place in parts)
        speed, current = (_PLACES[argument.name] for argument in whole.STATE)
        working_up = _WORKED_UP.format(
            worked_up=f"({changed}) Or (HydHow({_RESISTANCE}) < 2 And HydHow({parts[0]}) >= 2)", resistance=_RESISTANCE
        )
        self._add_of_plant(modules, self.at_hand, working_up)
        self._add_seasons(modules, self.season, working_up)
        modules.functions.append(
            _MAIN.format(
                described="\n".join(described(FUNCTIONS["plant"])),
                working_up=working_up,
                state=f"IIf(HydHow({speed}) = 3, 1, 0) + IIf(HydHow({current}) = 3, 2, 0)",
                cases="\n".join(f"Case {i}: result = HydState{i}(place, wrong)" for i in range(len(STATES))),
            )
        )

    def reader(self, modules: Modules, arguments: tuple[Argument, ...], rules: tuple[Rule, ...]) -> str:
        """The procedure that reads these inputs and judges them."""
        key = tuple((argument, argument.within) for argument in arguments)
        if key in self._readers:
            return self._readers[key]
        name = self._readers[key] = f"HydRead{len(self._readers) + 1}"
        known, kinds = places_of(arguments)
        given = {argument.name: symbol_of(argument) for argument in arguments}
        with tracing():
            broken = [node_of(rule.fine(**given)) for rule in rules]
        modules.library.look_through(broken)
        body = Body(modules.library, known, kinds, "0")
        judged(modules, body, broken, kinds)
        modules.plant.append(
            procedure(
                f"Public Sub {name}(wrong As Long)",
                body.declarations(),
                [*map(_read, arguments), "If wrong <> 0 Then Exit Sub", *body.arrays, *body.lines],
                ["Exit Sub", *body.ends] if body.ends else [],
            )
        )
        return name

    def _quantity(self, modules: Modules, quantity: str, arguments: tuple[Argument, ...], root: Node) -> str:
        """The function of this graph."""
        key = (root, tuple(places_of(arguments)[0].values()))
        if key in self._quantities:
            return self._quantities[key]
        name = f"HydQ{len(self._quantities) + 1}_{quantity}"
        self._quantities[key] = name
        self._function(modules, name, arguments, root)
        return name

    def _function(
        self,
        modules: Modules,
        name: str,
        arguments: tuple[Argument, ...],
        root: Node,
        own: Mapping[Argument, str] | None = None,
    ) -> None:
        """Writes the function of a graph: of the inputs that a reader has read, and of numbers of its own."""
        known, kinds = places_of(arguments)
        more = {node("argument", value=argument.name): text for argument, text in (own or {}).items()}
        known, kinds = known | more, kinds | dict.fromkeys(more, "number")
        modules.with_helpers(root, kinds)
        body = Body(modules.library, known, kinds, "0")
        body.value(root, name)
        given = ", ".join(f"ByVal {text} As {TYPES['number']}" for text in more.values())
        modules.plant.append(
            procedure(
                f"Public Function {name}({given}) As {TYPES['number']}",
                body.declarations(),
                [*body.arrays, *body.lines, *finite(name, root)],
                ["Exit Function", *body.ends] if body.ends else [],
            )
        )

    def _add_of_plant(self, modules: Modules, of: OfPlant, working_up: str) -> None:
        """A function of a plant and of lists of its own, which are judged behind the inputs."""
        name = of.function.sheet_name
        reader = self.reader(modules, of.inputs, of.rules)
        known, kinds = places_of(of.inputs)
        lists = {symbol_of(argument).node: f"a{i}" for i, argument in enumerate(of.lists, start=1)}
        known |= lists
        kinds |= dict.fromkeys(lists, "list")
        modules.with_helpers(of.graph, kinds)
        body = Body(modules.library, known, kinds, "failed")
        body.value(of.graph, "result")
        given = [a.name for a in (whole.PLANT, *of.lists, whole.NAMES, whole.VALUES)]
        own = [f"{text} As {TYPES['list']}" for text in lists.values()]
        reads = [reading(argument, text).replace("wrong", "worse") for argument, text in zip(of.lists, lists.values())]
        modules.functions.append(
            procedure(
                f"Public Function {name}({folded([f'Optional {one} As Variant' for one in given])}) As Variant",
                [
                    *described(of.function),
                    f"Dim {folded([*own, 'wrong As Long', 'worse As Long', 'result As Double'])}",
                    "Dim none As Variant, changed As Variant, changed_to As Variant",
                    *body.declarations(),
                ],
                [
                    "On Error GoTo failed",
                    *body.arrays,
                    "If IsMissing(plant) Then HydBad wrong, 2015",
                    *reads,
                    "If worse < 0 Then wrong = worse",
                    *(ENTERED + working_up).splitlines(),
                    f"If wrong = 0 Then {reader} wrong",
                    "If wrong = 0 Then wrong = worse",
                    "If wrong <> 0 Then",
                    f"{name} = HydError(wrong)",
                    "Exit Function",
                    "End If",
                    *body.lines,
                    f"{name} = result",
                ],
                ["Exit Function", *body.ends, "failed:", f"{name} = HydError(2036)"],
            )
        )

    def _add_seasons(self, modules: Modules, of: Seasons, working_up: str) -> None:
        """The nozzles of a year."""
        reader = self.reader(modules, of.inputs, of.rules)
        answers = (f"answers({place}) = {text}" for place, text in enumerate(_ANSWERS.values(), start=1))
        modules.plant += [_SEASONS.format(answers="\n".join(answers)), _OF_YEAR]
        self._function(modules, "HydSeasonWatts", of.inputs, of.watts, dict(zip(of.lists, ("size", "flow"))))
        self._function(modules, "HydSeasonFits", of.inputs, of.fits, dict(zip(of.lists, ("size",))))
        reads = [reading(a, f"a{i}").replace("wrong", "worse") for i, a in enumerate(of.lists, start=1)]
        modules.functions.append(
            _SEASON.format(
                described="\n".join(described(of.function)),
                reads="\n".join(reads),
                working_up=working_up,
                reader=reader,
            )
        )

    def _add_cable(self, modules: Modules) -> None:
        """The cable's resistance from its length, area, material and temperature."""
        names = dict(zip((a.name for a in self.cable.arguments), physics.CABLE, strict=True))
        arguments = [whole.argument(name) for name in names.values()]
        places = {node("argument", value=plain): _text(whole.argument(name)) for plain, name in names.items()}
        kinds = {node("argument", value=a.name): "word" if a.is_text else "number" for a in self.cable.arguments}
        modules.with_helpers(self.cable.result, kinds)
        body = Body(modules.library, places, kinds, "0")
        body.value(self.cable.result, "result")
        modules.plant.append(
            procedure(
                "Public Sub HydWorkUp(wrong As Long)",
                ["Dim result As Double", *body.declarations()],
                [
                    *map(_read, arguments),
                    "If wrong <> 0 Then Exit Sub",
                    *body.lines,
                    f"HydGot({_RESISTANCE}) = result",
                    f"HydHow({_RESISTANCE}) = 3",
                ],
                ["Exit Sub", *body.ends] if body.ends else [],
            )
        )


def _graph(quantity: str, state: tuple[str, ...]) -> Node:
    """The graph of a quantity."""
    arguments, _ = needed(quantity, state)
    known = {a.name: symbol_of(a) if a.is_text else to_si(symbol_of(a), a.unit) for a in arguments}
    try:
        with tracing():
            answer = physics.solved(quantity, dict(known), physics.steps_with(state, False))
            return node_of(from_si(answer, whole.QUANTITIES[quantity][0]))
    except CannotTrace as error:
        raise CannotTrace(f"plant, {quantity}: {error}") from None


def _text(argument: Argument) -> str:
    """Where an input stands once it is read."""
    return f"Hyd{'S' if argument.is_text else 'X'}({_PLACES[argument.name]})"


def places_of(arguments: Iterable[Argument]) -> tuple[dict[Node, str], dict[Node, str]]:
    """The inputs' texts and kinds."""
    nodes = {node("argument", value=argument.name): argument for argument in arguments}
    known = {part: _text(argument) for part, argument in nodes.items()}
    return known, {part: "word" if argument.is_text else "number" for part, argument in nodes.items()}


def _read(argument: Argument) -> str:
    """What reads and judges one input of the plant."""
    place, target = _PLACES[argument.name], _text(argument)
    may = argument.name in characteristics.MAY_BE_EMPTY
    before = "If HydWorkedUp Then HydWorkUp wrong\n" if place == _RESISTANCE else ""
    if argument.is_text:
        words = listed(argument.choices)
        if argument.required:
            return f"{before}{target} = HydRowWord({place}, {words}, wrong)"
        return f"{before}{target} = HydRowWordOr({place}, {words}, {word(str(argument.default))}, {may}, wrong)"
    if argument.required:
        return f"{before}{target} = HydRow({place}, {ends(argument)}, wrong)"
    usual = literal(float(cast(float, argument.default)))
    return f"{before}{target} = HydRowOr({place}, {ends(argument)}, {usual}, {may}, wrong)"
