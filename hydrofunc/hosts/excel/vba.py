"""The VBA module a workbook needs: a wrapper for each function of `udfs`, error values, wizard texts.

xlwings can write such wrappers itself ("Import Functions"). Ours make the same call and differ in what
they do with the answer: the text of an error value becomes a real one (CVErr), in arrays too, and a call
that fails gives #N/A instead of a sentence in the cell. Importing the file needs no trust in the VBA project.
"""

import inspect
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import hydrofunc

from ... import __version__
from . import udfs
from .adapter import XL_ERR

MODULE = "hydrofunc_functions"
PYTHON_MODULE = "hydrofunc.hosts.excel.udfs"
_LONGEST_LINE = 200  # characters; VBA allows 1023 and 24 continued lines

_HEAD = """\
Attribute VB_Name = "{module}"
Option Explicit
' Written by hydrofunc {version} (hydrofunc excel-addin). Do not edit: write it again after an update.
' The xlwings module or a reference to the xlwings add-in must be in the same workbook (function XLPy).

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
    On Error GoTo failed
    {name} = {answer}
    Exit Function
failed:
    HydrofuncLastFailure = "{name}: " & Err.Description
    {name} = CVErr(2042)
End Function
"""

_DESCRIBE = """
' Texts of the function wizard. Run once after importing (Alt+F8), then save the workbook.
Public Sub HydrofuncDescribe()
{calls}
End Sub
"""

_DESCRIBE_ONE = """
Private Sub Describe_{name}()
{texts}    Application.MacroOptions Macro:="'" & Replace(ThisWorkbook.Name, "'", "''") & "'!{name}", _
        Description:={help}, _
        Category:={category}{given}
End Sub
"""


def worksheet_functions() -> dict[str, Callable[..., Any]]:
    """The functions of `udfs` that get a wrapper, by name in alphabetical order."""
    names = sorted(name for name in vars(udfs) if name.startswith("HYDRO_"))
    return {name: getattr(udfs, name) for name in names}


def module_text() -> str:
    """The module as text: only ASCII, as a .bas file is read in the Windows code page of the machine."""
    cases = "\n".join(f'            Case "{text}": HydrofuncCell = CVErr({number})' for text, number in XL_ERR.items())
    wrapped = worksheet_functions()
    parts = [_HEAD.format(module=MODULE, version=__version__, cases=cases)]
    parts += [_wrapper(name, function) for name, function in wrapped.items()]
    parts.append(_describing(wrapped))
    return "".join(parts)


def module_bytes() -> bytes:
    """The module as a .bas file."""
    return module_text().replace("\n", "\r\n").encode("ascii")


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
    return _WRAPPER.format(name=name, parameters=_folded(", ".join(listed)), answer=answer)


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
    text = _WRAPPER.format(name=name, parameters=parameters, answer="\0")
    return text.replace(f"{name} = \0", copying)


def _describing(wrapped: Mapping[str, Callable[..., Any]]) -> str:
    """A procedure for each function, because VBA limits their size."""
    procedures = []
    for name in wrapped:
        text, group, arguments = wizard_texts(name)
        lines = [f"    Dim texts({len(arguments) - 1}) As String\n"] if arguments else []
        lines += [f"    texts({i}) = {_literal(one)}\n" for i, one in enumerate(arguments)]
        procedures.append(
            _DESCRIBE_ONE.format(
                name=name,
                help=_literal(text),
                category=_literal(group),
                texts="".join(lines),
                given=", _\n        ArgumentDescriptions:=texts" if arguments else "",
            )
        )
    calls = "\n".join(f"    Describe_{name}" for name in wrapped)
    return _DESCRIBE.format(calls=calls) + "".join(procedures)


def wizard_texts(name: str) -> tuple[str, str, list[str]]:
    """(help, category, texts of the arguments) of a worksheet function."""
    declared = {function.sheet_name: function for function in hydrofunc.functions().values()}
    if name in declared:
        function = declared[name]
        return udfs.function_help(function), udfs.category(function), list(map(udfs.argument_help, function.arguments))
    helper = vars(udfs)[name]
    return helper.__doc__, udfs.CATEGORY, [udfs.HELPER_ARGUMENTS[p] for p in inspect.signature(helper).parameters]


def _literal(text: str) -> str:
    """A VBA expression for a text; what is not ASCII goes through ChrW, as a .bas file has no Unicode."""
    pieces = re.findall(r"[ -~]+|[^ -~]", " ".join(text.split()))
    words = [
        '"' + piece.replace('"', '""') + '"' if " " <= piece[0] <= "~" else f"ChrW({ord(piece)})" for piece in pieces
    ]
    return " & ".join(words) or '""'


def _folded(text: str) -> str:
    """The text with line continuations after commas, so that no line grows too long."""
    lines, line = [], ""
    for piece in text.split(", "):
        if line and len(line) + len(piece) > _LONGEST_LINE - 60:
            lines.append(line)
            line = ""
        line = f"{line}, {piece}" if line else piece
    return ", _\n        ".join([*lines, line])
