"""HYDRO_SURGE_RUN as VBA. The last runs are remembered: a sheet asks for one at many places."""

from ..catalogue import characteristics as declared
from ..physics import characteristics as physics
from .graph import Node, node
from .vba import Modules, described, ends, procedure
from .vba_body import Body, literal
from .vba_plant import ENTERED, Plant, asked, places_of
from .waves import EVENTS, LINE, SECTIONS, Pipeline, Waves, waves

_KEPT = 24
_LONG = 2 * physics.REACHES + 1  # the most nodes of a run

_RUNS = f"""\
Option Explicit
Option Private Module
' Waves along a pipe, step by step.

Public HydLine({len(LINE)}) As Double
Private kept({_KEPT}, {len(LINE)}) As Double
Private newest As Long
Private reaches(3) As Long
Private ends({_KEPT}) As Long
Private nodes({_KEPT}, {_LONG}) As Double
Private highest({_KEPT}, {_LONG}) As Double
Private lowest({_KEPT}, {_LONG}) As Double

' The head at a chainage: the worse one of the two nodes beside it.
Public Function HydWave(ByVal happens As Long, ByVal low As Boolean, ByVal x As Double) As Double
Dim k As Long, i As Long, same As Boolean, above As Long, below As Long
For k = 1 To {_KEPT}
same = kept(k, 0) = happens
For i = 1 To {len(LINE)}
If kept(k, i) <> HydLine(i) Then same = False
If Not same Then Exit For
Next i
If same Then Exit For
Next k
If k > {_KEPT} Then
newest = newest Mod {_KEPT} + 1
k = newest
kept(k, 0) = 0#
HydMarches happens, k
For i = 1 To {len(LINE)}
kept(k, i) = HydLine(i)
Next i
kept(k, 0) = happens
End If
HydBeside k, x, above, below
If low Then
HydWave = lowest(k, above)
If lowest(k, below) < HydWave Then HydWave = lowest(k, below)
Else
HydWave = highest(k, above)
If highest(k, below) > HydWave Then HydWave = highest(k, below)
End If
End Function

Private Sub HydBeside(ByVal k As Long, ByVal x As Double, above As Long, below As Long)
Dim i As Long, gap As Double
gap = 0.000000001 * nodes(k, ends(k))
above = 0
below = 0
For i = 0 To ends(k)
If nodes(k, i) <= x + gap Then above = i
If nodes(k, i) < x - gap Then below = i + 1
Next i
If below > ends(k) Then below = ends(k)
End Sub

' How many whole reaches each section has: see physics.characteristics.
Private Function HydReaches(ByVal total As Long, share() As Double, ByVal most As Long) As Double
Dim i As Long, rest As Long, exact As Double, off As Double
rest = total
For i = 1 To {SECTIONS}
reaches(i) = 0
If share(i) > 0# Then
exact = total * share(i)
reaches(i) = Int(exact + 0.5)
If exact - Int(exact) = 0.5 And reaches(i) Mod 2 = 1 Then reaches(i) = reaches(i) - 1
If reaches(i) < 1 Then reaches(i) = 1
End If
rest = rest - reaches(i)
Next i
reaches(most) = reaches(most) + rest
For i = 1 To {SECTIONS}
off = Abs(reaches(i) / total - share(i))
If off > HydReaches Then HydReaches = off
Next i
HydReaches = HydRound(HydReaches, 6#)
End Function

' All grids of a pipe, and what is worst in them at the nodes of the first one.
Private Sub HydMarches(ByVal happens As Long, ByVal k As Long)
Dim share({SECTIONS}) As Double, sum As Double, off As Double, least As Double
Dim i As Long, most As Long, total As Long, best As Long, away As Long, other As Long
For i = 1 To {SECTIONS}
sum = sum + HydLine({{travel}} + i)
Next i
most = 1
For i = 1 To {SECTIONS}
share(i) = HydLine({{travel}} + i) / sum
If share(i) > share(most) Then most = i
Next i
least = 9#
For total = {physics.REACHES} To {2 * physics.REACHES - 2}
off = HydReaches(total, share, most)
If off < least Then
least = off
best = total
End If
Next total
off = HydReaches(best, share, most)
ends(k) = best + 1
HydMarch happens, k, True
For away = 1 To {SECTIONS}
For other = 1 To {SECTIONS}
If away <> other And reaches(away) > 1 And reaches(other) > 0 Then
reaches(away) = reaches(away) - 1
reaches(other) = reaches(other) + 1
HydMarch happens, k, False
reaches(away) = reaches(away) + 1
reaches(other) = reaches(other) - 1
End If
Next other
Next away
End Sub
"""

_MARCH = """\
Private Sub HydMarch(ByVal happens As Long, ByVal k As Long, ByVal first As Boolean)
Dim impedance({long}) As Double, rub({long}) As Double, running({long}) As Double, place({long}) As Double
Dim water({long}) As Double, head({long}) As Double, high({long}) As Double, low({long}) As Double
Dim i As Long, j As Long, part As Long, last As Long, steps As Long, done As Double, opening As Double
Dim down As Double, ahead As Double, up As Double, back As Double, flowing As Double, pressed As Double
Dim throttles As Double, whole As Double, taken As Double, travels As Double, square As Double, slow As Double
Dim fall As Double, above As Long, below As Long
{declared}
last = ends(k)
impedance(0) = {open_} * HydLine({impedance} + 1)
part = 1
j = reaches(1)
For i = 1 To last - 1
Do While j < 1
part = part + 1
j = reaches(part)
Loop
j = j - 1
impedance(i) = HydLine({impedance} + part)
fall = HydLine({lost} + part) / reaches(part)
If i = 1 Then fall = fall + HydLine({minor})
running(i + 1) = running(i) - fall
place(i + 1) = place(i) + HydLine({length} + part) / reaches(part)
rub(i) = fall
If HydLine({flow}) > 0# Then rub(i) = fall / (HydLine({flow}) * HydLine({flow}))
Next i
{throttles}
Select Case happens
{travels}
End Select
If happens > 1 Then whole = throttles * HydLine({valve_travels})
taken = whole
If taken > {longest} Then taken = {longest}
slow = 1#
If whole > {longest} Then slow = {longest} / whole
steps = -Int(-(last - 1) * (taken + travels))
For i = 0 To last
If happens < 3 Then
water(i) = HydLine({flow})
head(i) = running(i)
End If
If running(i) > 0# Then high(i) = running(i) Else low(i) = running(i)
Next i
For j = 1 To steps
done = (last - 1) * taken
If done < 0.000000001 Then done = 0.000000001
done = j / done
If done > 1# Then done = 1#
If happens < 3 Then done = 1# - done
opening = throttles * done
{square}
i = 0
{down}
{ahead}
For i = 1 To last - 1
{up}
{back}
{water}
{head}
{down}
{ahead}
water(i) = flowing
head(i) = pressed
If pressed > high(i) Then high(i) = pressed
If pressed < low(i) Then low(i) = pressed
Next i
{last_water}
{last_head}
water(last) = flowing
head(last) = pressed
If pressed > high(last) Then high(last) = pressed
If pressed < low(last) Then low(last) = pressed
Next j
For i = 0 To last
high(i) = slow * high(i)
low(i) = running(i) + slow * (low(i) - running(i))
If first Then
nodes(k, i) = place(i)
highest(k, i) = 0#
lowest(k, i) = 0#
End If
Next i
For j = 0 To last
above = 0
below = 0
fall = 0.000000001 * place(last)
For i = 0 To last
If place(i) <= nodes(k, j) + fall Then above = i
If place(i) < nodes(k, j) - fall Then below = i + 1
Next i
If below > last Then below = last
If high(above) > highest(k, j) Then highest(k, j) = high(above)
If high(below) > highest(k, j) Then highest(k, j) = high(below)
If low(above) < lowest(k, j) Then lowest(k, j) = low(above)
If low(below) < lowest(k, j) Then lowest(k, j) = low(below)
Next j
End Sub
"""

_MAIN = """\
Public Function HYDRO_SURGE_RUN(Optional plant As Variant, Optional quantity As Variant, _
Optional chainage As Variant, Optional names As Variant, Optional values As Variant) As Variant
{described}
Dim wrong As Long, place As Long, i As Long, k As Long, given As Variant, where As Double
Dim doubtful As Boolean, answers() As Variant
Dim none As Variant, asked As Variant, changed As Variant, changed_to As Variant
On Error GoTo failed
{asked}{entered}If place = 0 Then HydBad wrong, 2015
If wrong = 0 Then
If place < 3 Then
{blocked} wrong
Else
{valve} wrong
End If
End If
If wrong <> 0 Then
HYDRO_SURGE_RUN = HydError(wrong)
Exit Function
End If
If place < 3 Then
HydLineBlocked
Else
HydLineValve
End If
If IsMissing(chainage) Then
HYDRO_SURGE_RUN = HydSurge(place, {usual}, 0)
Exit Function
End If
given = HydGiven(chainage)
If Not IsArray(given) Then
where = HydOptional(chainage, {limits}, {usual}, wrong)
HYDRO_SURGE_RUN = HydSurge(place, where, wrong)
Exit Function
End If
If HydInCalc() And IsObject(chainage) Then doubtful = HydHasErrors(chainage)
ReDim answers(LBound(given, 1) To UBound(given, 1), LBound(given, 2) To UBound(given, 2))
For i = LBound(given, 1) To UBound(given, 1)
For k = LBound(given, 2) To UBound(given, 2)
none = given(i, k)
where = {usual}
wrong = 0
If doubtful Then none = HydInside(chainage, i - LBound(given, 1) + 1, k - LBound(given, 2) + 1, none)
If Not IsEmpty(none) Then where = HydJudged(none, {limits}, wrong)
answers(i, k) = HydSurge(place, where, wrong)
Next k
Next i
HYDRO_SURGE_RUN = answers
Exit Function
failed:
HYDRO_SURGE_RUN = HydError(2036)
End Function

' What is asked at one place: a pressure, or an error value.
Private Function HydSurge(ByVal place As Long, ByVal x As Double, ByVal wrong As Long) As Variant
On Error GoTo failed
If wrong <> 0 Then
HydSurge = HydError(wrong)
Exit Function
End If
HydSurge = HydLine({factor}) * HydWave(Int((place + 1) / 2), place Mod 2 = 0 Or place > 4, x)
Exit Function
failed:
HydSurge = HydError(2036)
End Function
"""
# How the march calls what the formulas take.
_TEXTS = {
    "head_above": "head(i)",
    "water_above": "water(i)",
    "size_above": "Abs(water(i))",
    "impedance_above": "impedance(i)",
    "rub_above": "rub(i)",
    "head_below": "head(i + 1)",
    "water_below": "water(i + 1)",
    "size_below": "Abs(water(i + 1))",
    "impedance_below": "impedance(i)",
    "rub_below": "rub(i)",
    "water": "flowing",
    "last_water": "flowing",
    **{name: name for name in ("down", "ahead", "up", "back", "square", "opening")},
}
_TARGETS = {"water": "flowing", "head": "pressed", "last_water": "flowing", "last_head": "pressed"}


class Runs:
    """HYDRO_SURGE_RUN: first the graphs, then, when the library has seen them, the procedures."""

    def __init__(self) -> None:
        self.of = waves()

    def graphs(self) -> list[Node]:
        """All that calls helpers."""
        return [*self.of.blocked.line, *self.of.valve.line]

    def add(self, modules: Modules, plant: Plant) -> str:
        """Writes the procedures; the text of a module of its own."""
        of, places = self.of, _Places()
        readers = {}
        for name, pipeline in (("Blocked", of.blocked), ("Valve", of.valve)):
            readers[name.lower()] = plant.reader(modules, pipeline.inputs, pipeline.rules)
            _add_line(modules, f"HydLine{name}", pipeline)
        low = declared.WHERE
        modules.functions.append(
            _MAIN.format(
                described="\n".join(described(of.function)),
                asked=asked("HydSurgeQuantity"),
                entered=ENTERED.replace("changed_to, wrong", "changed_to, wrong, True"),
                limits=ends(low),
                usual=literal(float("inf")),
                factor=places.factor,
                **readers,
            )
        )
        return _RUNS.format(travel=places.travel) + _march(modules, of, places)


class _Places:
    """Where in `HydLine` a value stands; of the sections the place before the first."""

    def __getattr__(self, name: str) -> int:
        return LINE.index(name) + 1 if name in LINE else LINE.index(f"{name}_1")


def _add_line(modules: Modules, name: str, pipeline: Pipeline) -> None:
    """The procedure that works out a line from the inputs that were read."""
    known, kinds = places_of(pipeline.inputs)
    body = Body(modules.library, known, kinds, "0")
    for i, root in enumerate(pipeline.line, start=1):
        modules.with_helpers(root, kinds)
        body.value(root, f"HydLine({i})")
    end = ["Exit Sub", *body.ends] if body.ends else []
    modules.plant.append(procedure(f"Public Sub {name}()", body.declarations(), [*body.arrays, *body.lines], end))


def _march(modules: Modules, of: Waves, places: _Places) -> str:
    """The procedure of one grid."""
    texts = _TEXTS | {name: f"HydLine({getattr(places, name)})" for name in ("share", "flow", "net", "gross")}
    known = {node("argument", value=name): text for name, text in texts.items()}
    written: dict[str, str] = {}
    names: dict[str, str] = {}
    for name, root in of.formulas.items():
        body = Body(modules.library, known, dict.fromkeys(known, "number"), "0")
        body.value(root, _TARGETS.get(name, name))
        written[name] = "\n".join(body.lines)
        names |= body.locals
    travels = (f"Case {i}: travels = {literal(physics.TRAVELS[event])}" for i, event in enumerate(EVENTS, start=1))
    return _MARCH.format(
        long=_LONG,
        declared="Dim " + ", ".join(f"{name} As {kind}" for name, kind in names.items()),
        open_=literal(physics.OPEN),
        longest=literal(physics.LONGEST),
        travels="\n".join(travels),
        **{name: getattr(places, name) for name in ("impedance", "lost", "length", "minor", "flow", "valve_travels")},
        **written,
    )
