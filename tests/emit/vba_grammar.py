"""VBA as an independent grammar reads it: antlr4-vba, written after Microsoft's specification of the language."""

import re

from antlr4 import CommonTokenStream, InputStream
from antlr4.error.ErrorListener import ErrorListener
from antlr4_vba.vbaLexer import vbaLexer
from antlr4_vba.vbaParser import vbaParser

_BEGINS = re.compile(r"(?m)^(?=(?:Public |Private )?(?:Function|Sub) )")
_WINDOWS = {"VBA7", "Win64", "Not Mac", 'App = "Microsoft Excel"'}  # what holds in Excel on Windows of 64 bits


class _Complaints(ErrorListener):
    def __init__(self):
        self.found = []

    def syntaxError(self, recognizer, symbol, line, column, message, error):  # noqa: N802 (name of the interface)
        self.found.append(f"line {line}, {column}: {message}")


def complaints(module):
    """What the grammar does not take in a module's text."""
    said = _Complaints()
    lexer = vbaLexer(InputStream(f'Attribute VB_Name = "sample"\n{module}'))
    parser = vbaParser(CommonTokenStream(lexer))
    for part in (lexer, parser):
        part.removeErrorListeners()
        part.addErrorListener(said)
    parser.startRule()
    return said.found


def procedures(module):
    """The head of a module, and its procedures by name."""
    head, *texts = _BEGINS.split(module)
    return head, {re.match(r"(?:Public |Private )?\w+ (\w+)", text)[1]: text for text in texts}


def as_windows_compiles(module):
    """A module without the lines that are for other systems; the grammar takes #If only between whole declarations."""
    lines, open_ = [], [True]
    for line in module.split("\n"):
        directive = line.strip()
        if condition := re.match(r"#If (.*?) Then\b", directive):
            open_.append(condition[1] in _WINDOWS)
        elif directive.startswith("#ElseIf"):
            open_[-1] = None if open_[-1] is not False else directive[8:-5] in _WINDOWS  # None: another branch holds
        elif directive == "#Else":
            open_[-1] = open_[-1] is False
        elif directive == "#End If":
            open_.pop()
        elif not directive.startswith("#Const") and all(open_):
            lines.append(line)
    assert open_ == [True]
    return "\n".join(lines)
