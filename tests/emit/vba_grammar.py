"""VBA as an independent grammar reads it: antlr4-vba, written after Microsoft's specification of the language."""

import re

from antlr4 import CommonTokenStream, InputStream
from antlr4.error.ErrorListener import ErrorListener
from antlr4_vba.vbaLexer import vbaLexer
from antlr4_vba.vbaParser import vbaParser

_BEGINS = re.compile(r"(?m)^(?=(?:Public|Private) (?:Function|Sub) )")


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
    return head, {re.match(r"\w+ \w+ (\w+)", text)[1]: text for text in texts}
