"""The VBA of a workbook for xlwings: a wrapper for each function of `udfs`, error values, wizard texts, xlwings' own.

xlwings can write such wrappers itself ("Import Functions"). Ours make the same call and differ in what
they do with the answer: the text of an error value becomes a real one (CVErr), in arrays too, and a call
that fails gives #N/A instead of a sentence in the cell. They come in the file, so nothing has to be imported.
"""

import inspect
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import hydrofunc

from ... import __version__
from ...emit.vba import attributes, complaint, described, packed, plain
from ...errors import HydroError
from ...registry import Function
from . import udfs
from .adapter import XL_ERR

THEIRS = "xlwings"  # the name of xlwings' module
_TRIED = "0.37.8"  # version of xlwings
PYTHON_MODULE = "hydrofunc.hosts.excel.udfs"
WIZARD_SHEET = "Wizard texts"
WIZARD_HEAD = ("function", "category", "help", "arguments")
_LONGEST_LINE = 200  # characters; VBA allows 1023 and 24 continued lines

_WRITTEN = f"""\
Option Explicit
' Written by hydrofunc {__version__} (hydrofunc excel-addin). Do not edit: write it again after an update.
"""

_ANSWERS = """\
Option Private Module

Public Const HYDROFUNC_VERSION As String = "{version}"
' Why the last call failed, for the Immediate window (Ctrl+G):  ?HydrofuncLastFailure
Public HydrofuncLastFailure As String

' Error values: the Python side sends their texts; all its other results are numbers.
Public Function HydrofuncCells(ByVal answer As Variant) As Variant
    Dim r As Long, c As Long
    If Not IsArray(answer) Then
        HydrofuncCells = HydrofuncCell(answer)
    ElseIf HydrofuncIsTable(answer) Then
        For r = LBound(answer, 1) To UBound(answer, 1)
            For c = LBound(answer, 2) To UBound(answer, 2)
                answer(r, c) = HydrofuncCell(answer(r, c))
            Next c
        Next r
        HydrofuncCells = answer
    Else
        For r = LBound(answer) To UBound(answer)
            answer(r) = HydrofuncCell(answer(r))
        Next r
        HydrofuncCells = answer
    End If
End Function

Private Function HydrofuncCell(ByVal item As Variant) As Variant
    HydrofuncCell = item
    If VarType(item) = vbString Then
        Select Case item
{cases}
        End Select
    End If
End Function

Private Function HydrofuncIsTable(ByVal answer As Variant) As Boolean
    Dim last As Long
    On Error GoTo OneDimension
    last = UBound(answer, 2)
    HydrofuncIsTable = True
    Exit Function
OneDimension:
    HydrofuncIsTable = False
End Function
"""

_WRAPPER = """
Public Function {name}({parameters})
{shown}
    On Error GoTo failed
    {name} = {answer}
    Exit Function
failed:
    HydrofuncLastFailure = "{name}: " & Err.Description
    {name} = CVErr(2042)
End Function
"""

_DESCRIBE = """
' Categories and texts of the arguments for the function wizard, from a hidden sheet. Run once (Alt+F8), then save.
Public Sub HydrofuncDescribe()
    Dim told As Variant, texts() As String, book As String, r As Long, c As Long, last As Long
    book = "'" & Replace(ThisWorkbook.Name, "'", "''") & "'!"
    told = ThisWorkbook.Worksheets("{sheet}").UsedRange.Value
    For r = 2 To UBound(told, 1)
        last = 3
        For c = 4 To UBound(told, 2)
            If Not IsEmpty(told(r, c)) Then last = c
        Next c
        If last = 3 Then
            Application.MacroOptions Macro:=book & told(r, 1), Description:=told(r, 3), Category:=told(r, 2)
        Else
            ReDim texts(0 To last - 4)
            For c = 4 To last
                texts(c - 4) = told(r, c)
            Next c
            Application.MacroOptions Macro:=book & told(r, 1), Description:=told(r, 3), Category:=told(r, 2), _
                ArgumentDescriptions:=texts
        End If
    Next r
End Sub
"""


def worksheet_functions() -> dict[str, Callable[..., Any]]:
    """The functions of `udfs` that get a wrapper, by name in alphabetical order."""
    names = sorted(name for name in vars(udfs) if name.startswith("HYDRO_"))
    return {name: getattr(udfs, name) for name in names}


def modules() -> dict[str, str]:
    """Every module that the workbook needs: its name to its text. Raises `HydroError` where VBA would not take one."""
    cases = "\n".join(f'            Case "{text}": HydrofuncCell = CVErr({number})' for text, number in XL_ERR.items())
    wrappers = [_wrapper(name, function) for name, function in worksheet_functions().items()]
    found = {
        THEIRS: xlwings_module(),
        "hydrofunc_answers": _WRITTEN + _ANSWERS.format(version=__version__, cases=cases),
        "hydrofunc_wizard": _WRITTEN + _DESCRIBE.format(sheet=WIZARD_SHEET),
    }
    found |= {f"hydrofunc_functions_{i}": text for i, text in enumerate(packed(_WRITTEN, wrappers), start=1)}
    for name, text in found.items():
        if wrong := complaint(text):
            raise HydroError(f"VBA module {name}: {wrong}: more than VBA takes")
    return found


def xlwings_module() -> str:
    """The module of xlwings' free part (BSD licence, its notice on top), as the installed package has it."""
    import xlwings

    path = Path(xlwings.__file__).with_name("xlwings.bas")
    try:
        text = path.read_text(encoding="latin-1")
    except OSError as error:
        raise HydroError(f"xlwings {xlwings.__version__} has no {path.name}:  pip install xlwings=={_TRIED}") from error
    name, _, rest = text.partition("\n")
    if name.strip() != f'Attribute VB_Name = "{THEIRS}"':
        raise HydroError(f"xlwings {xlwings.__version__} has another {path.name}:  pip install xlwings=={_TRIED}")
    return rest


def module_file(name: str, text: str) -> bytes:
    """A module as a .bas file, for import by hand."""
    return f'Attribute VB_Name = "{name}"\n{text}'.replace("\n", "\r\n").encode("ascii")


def _wrapper(name: str, function: Callable[..., Any]) -> str:
    listed: list[str] = []
    names: list[str] = []
    for parameter in inspect.signature(function).parameters.values():
        if parameter.kind is parameter.VAR_POSITIONAL:  # the last one
            listed.append(f"ParamArray {parameter.name}() As Variant")
            return _repeating_wrapper(name, ", ".join(listed), names, parameter.name)
        optional = parameter.default is not parameter.empty
        listed.append(f"{'Optional ' if optional else ''}{parameter.name}")
        names.append(parameter.name)
    answer = _call(name, f"Array({', '.join(names)})")
    return _WRAPPER.format(name=name, parameters=_folded(", ".join(listed)), shown=_shown(name), answer=answer)


def _shown(name: str) -> str:
    """What the wizard shows of a function before `HydrofuncDescribe` has run."""
    declared = _declared().get(name)
    return "\n".join(described(declared) if declared else attributes(name, plain(wizard_texts(name)[0])))


def _call(name: str, arguments: str) -> str:
    return _folded(
        f'HydrofuncCells(XLPy.CallUDF("{PYTHON_MODULE}", "{name}", {arguments}, ThisWorkbook, Application.Caller))'
    )


def _repeating_wrapper(name: str, parameters: str, names: Sequence[str], repeated: str) -> str:
    """As xlwings does it: the arguments of a ParamArray are copied behind the others."""
    first = len(names)
    copying = "\n".join(
        [
            "Dim given() As Variant, k As Long",
            f"    given = Array({', '.join(names)})",
            f"    ReDim Preserve given(0 To {first} + UBound({repeated}) - LBound({repeated}))",
            f"    For k = LBound({repeated}) To UBound({repeated})",
            f"        If IsObject({repeated}(k)) Then",
            f"            Set given({first} + k - LBound({repeated})) = {repeated}(k)",
            "        Else",
            f"            given({first} + k - LBound({repeated})) = {repeated}(k)",
            "        End If",
            "    Next k",
            f"    {name} = {_call(name, 'given')}",
        ]
    )
    text = _WRAPPER.format(name=name, parameters=parameters, shown=_shown(name), answer="\0")
    return text.replace(f"{name} = \0", copying)


def wizard_rows() -> list[list[str]]:
    """What the hidden sheet holds: for each function its name, category, help and the texts of its arguments."""
    rows = [list(WIZARD_HEAD)]
    for name in worksheet_functions():
        text, group, arguments = wizard_texts(name)
        rows.append([name, group, text, *arguments])
    return rows


def _declared() -> dict[str, Function]:
    return {function.sheet_name: function for function in hydrofunc.functions().values()}


def wizard_texts(name: str) -> tuple[str, str, list[str]]:
    """(help, category, texts of the arguments) of a worksheet function."""
    function = _declared().get(name)
    if function:
        return udfs.function_help(function), udfs.category(function), list(map(udfs.argument_help, function.arguments))
    helper = vars(udfs)[name]
    return helper.__doc__, udfs.CATEGORY, [udfs.HELPER_ARGUMENTS[p] for p in inspect.signature(helper).parameters]


def _folded(text: str) -> str:
    """The text with line continuations after commas, so that no line grows too long."""
    lines, line = [], ""
    for piece in text.split(", "):
        if line and len(line) + len(piece) > _LONGEST_LINE - 60:
            lines.append(line)
            line = ""
        line = f"{line}, {piece}" if line else piece
    return ", _\n        ".join([*lines, line])
