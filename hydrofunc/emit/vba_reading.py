"""What every workbook with VBA needs beside the functions: the reading of arguments, and error values. No physics.

Two programs run this text. Excel hands a cell over as a Range, and an error value travels as CVErr. LibreOffice's Basic
(measured in 7.4.7) reads a cell that shows an error as 0, shows a CVErr as text, and gives a real error value for a
number that is none, with the code of the error in it; such numbers can be read from a stream of bytes.
"""

READING = """\
Option Explicit
Option Private Module
' What reads the arguments of the functions. wrong: 0, or the number of an error value; below 0 one that was given.

Public Function HydGiven(ByVal x As Variant) As Variant
If IsObject(x) Then HydGiven = HydOfCell(x) Else HydGiven = x
End Function

Public Function HydOfCell(ByVal cell As Object) As Variant
Dim found As Variant
found = cell.Value
If VarType(found) = 5 Then
If found = 0# Then
If HydInCalc() Then found = HydShown(cell, found)
End If
End If
HydOfCell = found
End Function

' LibreOffice: a cell with an error value is read as 0; what it shows tells.
Public Function HydShown(ByVal cell As Object, ByVal found As Variant) As Variant
Dim text As String
text = cell.Text
HydShown = found
If Left(text, 1) <> "#" And Left(text, 4) <> "Err:" Then Exit Function
Select Case text
Case "#N/A": HydShown = CVErr(2042)
Case "#NUM!": HydShown = CVErr(2036)
Case "#DIV/0!": HydShown = CVErr(2007)
Case "#NAME?": HydShown = CVErr(2029)
Case "#REF!": HydShown = CVErr(2023)
Case "#NULL!": HydShown = CVErr(2000)
Case Else: HydShown = CVErr(2015)
End Select
End Function

' In a procedure of its own: where a number stands for x, LibreOffice does not even read past x.Cells.
Public Function HydInside(ByVal area As Object, ByVal row As Long, ByVal column As Long, _
ByVal found As Variant) As Variant
HydInside = HydShown(area.Cells(row, column), found)
End Function

Public Function HydError(ByVal code As Long) As Variant
If HydInCalc() Then HydError = HydCalcError(Abs(code)) Else HydError = CVErr(Abs(code))
End Function

' Of an argument that must be given.
Public Function HydLack(wrong As Long) As Variant
HydBad wrong, 2015
End Function

Public Sub HydBad(wrong As Long, ByVal code As Long)
If wrong = 0 Then wrong = code
End Sub

' A number in its range. ends: 1 where the lowest value does not belong to it, 2 where the highest does not, 3 both.
Public Function HydNumber(ByVal x As Variant, ByVal low As Double, ByVal high As Double, ByVal ends As Long, _
wrong As Long) As Double
Dim found As Variant
If IsObject(x) Then found = HydOfCell(x) Else found = x
HydNumber = HydJudged(found, low, high, ends, wrong)
End Function

' The same, usual where nothing is given.
Public Function HydOptional(ByVal x As Variant, ByVal low As Double, ByVal high As Double, ByVal ends As Long, _
ByVal usual As Double, wrong As Long) As Double
Dim found As Variant
If IsObject(x) Then found = HydOfCell(x) Else found = x
HydOptional = usual
If IsEmpty(found) Then Exit Function
If VarType(found) = 5 Then
If found = usual Then Exit Function
' LibreOffice hands an empty place in the middle of a call over as 0: then a 0 that no cell holds is refused.
If found = 0# And Not IsObject(x) Then
If HydInCalc() Then
If HydEmptyPlaces() Then HydBad wrong, 2015
End If
End If
End If
HydOptional = HydJudged(found, low, high, ends, wrong)
End Function

Public Function HydJudged(ByVal found As Variant, ByVal low As Double, ByVal high As Double, ByVal ends As Long, _
wrong As Long) As Double
Dim value As Double
Select Case VarType(found)
Case 2, 3, 4, 5, 6, 7, 14, 20
value = CDbl(found)
HydJudged = value
If value < low Or value > high Then
HydBad wrong, 2036
ElseIf ends > 0 Then
If (value = low And ends <> 2) Or (value = high And ends <> 1) Then HydBad wrong, 2036
End If
Case 10
If wrong >= 0 Then wrong = -CLng(found)
Case Else
HydBad wrong, 2015
End Select
End Function

' A word of a list such as |star|delta|; any word where there is no list.
Public Function HydWord(ByVal x As Variant, ByVal words As String, wrong As Long) As String
Dim found As Variant
If IsObject(x) Then found = HydOfCell(x) Else found = x
HydWord = HydListed(found, words, wrong)
End Function

Public Function HydWordOr(ByVal x As Variant, ByVal words As String, ByVal usual As String, wrong As Long) As String
Dim found As Variant
If IsObject(x) Then found = HydOfCell(x) Else found = x
If IsEmpty(found) Then HydWordOr = usual Else HydWordOr = HydListed(found, words, wrong)
End Function

Public Function HydListed(ByVal found As Variant, ByVal words As String, wrong As Long) As String
Dim text As String
If VarType(found) = 10 Then
If wrong >= 0 Then wrong = -CLng(found)
Exit Function
End If
text = HydSpelt(found)
HydListed = text
If text = "" Then
HydBad wrong, 2015
ElseIf words <> "" Then
If InStr(text, "|") > 0 Or InStr(words, "|" & text & "|") = 0 Then HydBad wrong, 2015
End If
End Function

' As the tables spell a word; a number is the word that its digits make.
Public Function HydSpelt(ByVal found As Variant) As String
Dim text As String
Select Case VarType(found)
Case 2, 3, 4, 5, 6, 7, 14, 20
text = Trim(Str(CDbl(found)))
If Left(text, 1) = "." Then text = "0" & text
If Left(text, 2) = "-." Then text = "-0" & Mid(text, 2)
Case 8
text = LCase(found)
text = Replace(text, ChrW(189), " 1/2")
text = Replace(text, ChrW(188), " 1/4")
text = Replace(text, ChrW(190), " 3/4")
text = HydOneBlank(text)
End Select
HydSpelt = text
End Function

Public Function HydOneBlank(ByVal text As String) As String
text = Replace(Replace(Replace(Replace(text, Chr(9), " "), Chr(10), " "), Chr(13), " "), ChrW(160), " ")
Do While InStr(text, "  ") > 0
text = Replace(text, "  ", " ")
Loop
HydOneBlank = Trim(text)
End Function

' The cells of a range one by one, row by row, from 1; before them how many they are.
Public Function HydList(ByVal x As Variant) As Variant
Dim cells As Variant, value As Variant, found() As Variant, i As Long, j As Long, n As Long
cells = HydGiven(x)
If Not IsArray(cells) Then
HydList = HydAlone(cells)
Exit Function
End If
If HydDimensions(cells) = 1 Then
ReDim found(UBound(cells) - LBound(cells) + 1)
For i = LBound(cells) To UBound(cells)
n = n + 1
found(n) = cells(i)
Next i
Else
ReDim found((UBound(cells, 1) - LBound(cells, 1) + 1) * (UBound(cells, 2) - LBound(cells, 2) + 1))
For i = LBound(cells, 1) To UBound(cells, 1)
For j = LBound(cells, 2) To UBound(cells, 2)
value = cells(i, j)
If VarType(value) = 5 Then
If value = 0# And IsObject(x) Then
If HydInCalc() Then value = HydInside(x, i - LBound(cells, 1) + 1, j - LBound(cells, 2) + 1, value)
End If
End If
n = n + 1
found(n) = value
Next j
Next i
End If
found(0) = n
HydList = found
End Function

Private Function HydAlone(ByVal x As Variant) As Variant
Dim found(1) As Variant
found(0) = 1
found(1) = x
HydAlone = found
End Function

Public Function HydDimensions(cells As Variant) As Long
Dim n As Long
On Error GoTo other
n = UBound(cells, 2)
HydDimensions = 2
Exit Function
other:
HydDimensions = 1
End Function

' The numbers of a list, each in its range, without its blank cells; usual where there are none and it may be so.
Public Function HydNumbers(ByVal x As Variant, ByVal low As Double, ByVal high As Double, ByVal ends As Long, _
ByVal usual As Variant, wrong As Long) As Variant
Dim cells As Variant, found As Variant, i As Long, n As Long, own As Long, worst As Long
cells = HydList(x)
found = HydRoom(cells(0))
For i = 1 To cells(0)
If Not IsEmpty(cells(i)) Then
n = n + 1
own = 0
found(n) = HydJudged(cells(i), low, high, ends, own)
If own < 0 And wrong >= 0 Then wrong = own
If own = 2015 Or (own = 2036 And worst = 0) Then worst = own
End If
Next i
found(0) = n
If worst <> 0 Then HydBad wrong, worst
If n = 0 Then
If IsEmpty(usual) Then
HydBad wrong, 2015
Else
found = HydSingle(usual)
End If
End If
HydNumbers = found
End Function

Public Function HydSingle(ByVal x As Double) As Variant
Dim found As Variant
found = HydRoom(1)
found(1) = x
HydSingle = found
End Function

' Room for so many numbers, from 1; before them how many they are.
Public Function HydRoom(ByVal n As Long) As Variant
Dim found() As Double
ReDim found(n)
found(0) = n
HydRoom = found
End Function

' A list of one counts at every place.
Public Function HydAt(list As Variant, ByVal place As Long) As Double
If list(0) = 1 Then HydAt = list(1) Else HydAt = list(place)
End Function

Public Function HydMost(ByVal a As Double, ByVal b As Double) As Double
If a > b Then HydMost = a Else HydMost = b
End Function

' The places of a list in the order of its rising values, of equal ones as they come.
Public Function HydOrder(list As Variant) As Variant
Dim places() As Long, other() As Long, n As Long, width As Long, i As Long, a As Long, b As Long
Dim middle As Long, last As Long
n = list(0)
ReDim places(n)
ReDim other(n)
For i = 1 To n
places(i) = i
Next i
width = 1
Do While width < n
i = 1
Do While i <= n
a = i
middle = i + width
b = middle
last = i + 2 * width
If middle > n + 1 Then middle = n + 1
If last > n + 1 Then last = n + 1
Do While i < last
If HydFirstIsNext(list, places, a, middle, b, last) Then
other(i) = places(a)
a = a + 1
Else
other(i) = places(b)
b = b + 1
End If
i = i + 1
Loop
Loop
For i = 1 To n
places(i) = other(i)
Next i
width = 2 * width
Loop
HydOrder = places
End Function

Private Function HydFirstIsNext(list As Variant, places() As Long, ByVal a As Long, ByVal middle As Long, _
ByVal b As Long, ByVal last As Long) As Boolean
If a >= middle Then Exit Function
HydFirstIsNext = True
If b < last Then HydFirstIsNext = list(places(a)) <= list(places(b))
End Function

Public Function HydSmallest(list As Variant, ByVal place As Long) As Double
Dim order As Variant
order = HydOrder(list)
HydSmallest = list(order(place))
End Function

' Each value times the next one in the order of the keys, in all.
Public Function HydNeighbours(list As Variant, keys As Variant) As Double
Dim order As Variant, i As Long
order = HydOrder(keys)
For i = 2 To list(0)
HydNeighbours = HydNeighbours + list(order(i)) * list(order(i - 1))
Next i
End Function

Public Function HydRound(ByVal x As Double, ByVal digits As Double) As Double
Dim scaled As Double, whole As Double
scaled = x * 10# ^ digits
whole = Int(scaled + 0.5)
If whole - scaled = 0.5 And whole - 2# * Int(whole / 2#) <> 0# Then whole = whole - 1#
HydRound = whole / 10# ^ digits
End Function

Public Function HydArcCos(ByVal x As Double) As Double
If x = -1# Then HydArcCos = 4# * Atn(1#) Else HydArcCos = 2# * Atn(Sqr((1# - x) / (1# + x)))
End Function

Public Function HydBetween(ByVal x As Double, ByVal x1 As Double, ByVal y1 As Double, ByVal x2 As Double, _
ByVal y2 As Double) As Double
HydBetween = y1 + (x - x1) * (y2 - y1) / (x2 - x1)
End Function
"""

# Without Option Explicit: in Excel the names of LibreOffice's own objects are then empty variables, whose use fails.
CALC = """\
Option Private Module
' In which program does this run? Only LibreOffice has a service manager.
Private asked As Boolean
Private inside As Boolean
Private errors(8) As Double
Private looked As Boolean
Private empties As Boolean
Private lookedAt As Double

Public Function HydInCalc() As Boolean
If Not asked Then HydLook
HydInCalc = inside
End Function

Private Sub HydLook()
Dim bytes, writer, reader, code, place
asked = True
On Error GoTo other
Set bytes = GetProcessServiceManager.createInstance("com.sun.star.io.Pipe")
Set writer = GetProcessServiceManager.createInstance("com.sun.star.io.DataOutputStream")
Set reader = GetProcessServiceManager.createInstance("com.sun.star.io.DataInputStream")
writer.setOutputStream bytes
reader.setInputStream bytes
place = 0
For Each code In Array(503, 519, 32767, 532, 525, 524, 521)
writer.writeLong 2146959360
writer.writeLong code
errors(place) = reader.readDouble()
place = place + 1
Next
inside = True
other:
End Sub

' A number that LibreOffice shows as an error value.
Public Function HydCalcError(ByVal code As Long) As Double
Select Case code
Case 2036: HydCalcError = errors(0)
Case 2042: HydCalcError = errors(2)
Case 2007: HydCalcError = errors(3)
Case 2029: HydCalcError = errors(4)
Case 2023: HydCalcError = errors(5)
Case 2000: HydCalcError = errors(6)
Case Else: HydCalcError = errors(1)
End Select
End Function

' Do cells of a range show an error? LibreOffice's own range below its Range knows. True where that cannot be found out.
Public Function HydHasErrors(ByVal area As Object) As Boolean
HydHasErrors = True
On Error GoTo other
HydHasErrors = area.CellRange.queryFormulaCells(4).Count > 0
other:
End Function

' Has a formula of the document with one of our functions an empty place? Asked once a second at most.
Public Function HydEmptyPlaces() As Boolean
Dim sheet, search, found, i
If looked Then
If Abs(Timer - lookedAt) < 1 Then
HydEmptyPlaces = empties
Exit Function
End If
End If
empties = True
On Error GoTo other
For i = 0 To ThisComponent.Sheets.Count - 1
Set sheet = ThisComponent.Sheets.getByIndex(i)
Set search = sheet.createSearchDescriptor()
search.SearchRegularExpression = True
search.SearchString = "HYDRO_.*([(;,] *[;,]|[;,] *\\))"
Set found = sheet.findFirst(search)
If Not IsNull(found) Then GoTo other
Next
empties = False
other:
HydEmptyPlaces = empties
looked = True
lookedAt = Timer
End Function
"""
