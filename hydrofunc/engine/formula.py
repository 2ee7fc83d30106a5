"""Formulas as trees: openpyxl's tokenizer, and a parser of our own on top.

A tree is made of tuples whose first item says what they are:

    ("value", plain value)              number, text, boolean or error literal
    ("missing",)                        an argument left out, as in IF(A1,,5)
    ("ref", Reference)                  cells
    ("array", [[plain value, ...]])     {1,2;3,4}
    ("minus", tree) ("percent", tree)   -x, x%; +x is x
    ("paren", tree)
    ("chain", tree, [(sign, tree)])     a - b + c: operators of one rank, from left to right
    ("call", "NAME", [tree, ...])

Whatever is not understood raises `Refused` with the reason.
"""

import re
from dataclasses import dataclass
from functools import lru_cache

from openpyxl.formula.tokenizer import Token, Tokenizer, TokenizerError
from openpyxl.utils import column_index_from_string, get_column_letter

from .lanes import ExcelError

MAX_ROW, MAX_COLUMN = 1_048_576, 16_384  # of a worksheet (Microsoft, "Excel specifications and limits")
DEEPEST = 64  # parentheses and calls within each other (Microsoft, "Excel specifications and limits")
_RANKS = {
    **dict.fromkeys(("=", "<>", "<", ">", "<=", ">="), 0),
    "&": 1,
    "+": 2,
    "-": 2,
    "*": 3,
    "/": 3,
    "^": 4,
}
_CELL = re.compile(r"\$?([A-Za-z]{1,3})\$?([0-9]{1,7})")
_CELLS = re.compile(r"\$?([A-Za-z]{1,3})\$?([0-9]{1,7}):\$?([A-Za-z]{1,3})\$?([0-9]{1,7})")
_COLUMNS = re.compile(r"\$?([A-Za-z]{1,3}):\$?([A-Za-z]{1,3})")
_ROWS = re.compile(r"\$?([0-9]{1,7}):\$?([0-9]{1,7})")
_SHEET = re.compile(r"(?:'((?:[^']|'')+)'|([^'!]+))!(.+)", re.DOTALL)
_TABLE = re.compile(r"([A-Za-z_\\][\w.\\]*)\[(.*)\]", re.DOTALL)


class Refused(Exception):
    """A formula the engine does not evaluate; the text is the reason."""


@dataclass(frozen=True)
class Reference:
    """A rectangle of cells of one sheet, both corners included, counted from 1."""

    sheet: str
    top: int
    left: int
    bottom: int
    right: int

    @property
    def single(self):
        return self.top == self.bottom and self.left == self.right

    @property
    def height(self):
        return self.bottom - self.top + 1

    @property
    def width(self):
        return self.right - self.left + 1

    @property
    def open_ended(self):
        """Whole columns or whole rows."""
        return self.height == MAX_ROW or self.width == MAX_COLUMN

    def __str__(self):
        first = f"{self.sheet}!{address(self.top, self.left)}"
        return first if self.single else f"{first}:{address(self.bottom, self.right)}"


def address(row, column):
    """(7, 2) as "B7"."""
    return f"{get_column_letter(column)}{row}"


def place(cell):
    """ "B7" or "$B$7" as (7, 2); ValueError where it is no address of a cell."""
    match = _CELL.fullmatch(cell)
    if match:
        row, column = int(match[2]), column_index_from_string(match[1].upper())
        if 1 <= row <= MAX_ROW and column <= MAX_COLUMN:
            return row, column
    raise ValueError(f"{cell!r} is not the address of a cell")


def parse(formula, resolve):
    """The tree of a formula, which starts with "=".

    `resolve(text)` turns the text of an operand that is no literal (a reference or a name) into a tree.
    """
    return _Parser(_tokens(formula), resolve).whole()


@lru_cache(maxsize=20_000)  # a workbook is compiled more than once in a job, and tokens are half of the work
def _tokens(formula):
    try:
        return _without_space(Tokenizer(formula).items)
    except (TokenizerError, IndexError, AttributeError):
        spill = "the spill operator # is not supported" if re.search(r"[A-Za-z0-9)]#", formula) else None
        raise Refused(spill or "this formula cannot be read") from None


class _Parser:
    def __init__(self, tokens, resolve):
        self.tokens = tokens
        self.resolve = resolve
        self.at = 0
        self.depth = 0

    def peek(self):
        return self.tokens[self.at] if self.at < len(self.tokens) else None

    def take(self):
        token = self.peek()
        if token is None:
            raise Refused("the formula ends too early")
        self.at += 1
        return token

    def whole(self):
        tree = self.expression(0)
        if self.peek() is not None:
            raise Refused(f"{self.peek().value!r} is not expected here")
        return tree

    def expression(self, rank):
        """An expression of operators of this rank or higher; precedence climbing."""
        tree, chained = self.operand(), None
        while (token := self.peek()) is not None and token.type == Token.OP_IN:
            if token.value == ",":
                raise Refused("a union of ranges is not supported")
            own = _RANKS[token.value]
            if own < rank:
                break
            self.at += 1
            step = token.value, self.expression(own + 1)
            if chained == own:
                tree[2].append(step)
            else:
                tree, chained = ("chain", tree, [step]), own
        return tree

    def operand(self):
        signs = 0
        while (token := self.peek()) is not None and token.type == Token.OP_PRE:
            self.at += 1
            if token.value == "-":
                signs += 1
            elif token.value != "+":
                raise Refused(f"the operator {token.value} is not supported")
        tree = self.primary()
        for _ in range(signs):
            is_number = tree[0] == "value" and type(tree[1]) is float
            tree = ("value", 0.0 - tree[1]) if is_number else ("minus", tree)
        while (token := self.peek()) is not None and token.type == Token.OP_POST:
            self.at += 1
            tree = ("percent", tree)
        return tree

    def primary(self):
        token = self.take()
        if token.type == Token.OPERAND:
            return self.literal(token)
        if token.subtype == Token.OPEN:
            self.depth += 1
            if self.depth > DEEPEST:
                raise Refused("the formula is nested too deeply")
            read = {Token.PAREN: self.paren, Token.FUNC: self.call, Token.ARRAY: self.array}[token.type]
            tree = read(token)
            self.depth -= 1
            return tree
        raise Refused(f"{token.value!r} is not expected here")

    def literal(self, token):
        value = token.value
        if token.subtype == Token.NUMBER:
            return ("value", _fifteen_digits(value))
        if token.subtype == Token.TEXT:
            return ("value", value[1:-1].replace('""', '"'))
        if token.subtype == Token.LOGICAL or value.upper() in ("TRUE", "FALSE"):
            return ("value", value.upper() == "TRUE")
        if token.subtype == Token.ERROR:
            if value in ExcelError.TEXTS:
                return ("value", ExcelError(value))
            raise Refused(f"the error value {value} is not supported")
        if value.endswith("#REF!"):
            return ("value", ExcelError("#REF!"))
        return self.resolve(value)

    def paren(self, _):
        tree = self.expression(0)
        self.close(Token.PAREN)
        return ("paren", tree)

    def call(self, opener):
        name = opener.value[:-1].upper()
        for prefix in ("_XLFN.", "_XLWS."):
            name = name.removeprefix(prefix)
        if "!" in name or "[" in name or "\\" in name:
            raise Refused(f"{opener.value[:-1]} points into another file; remove the path")
        arguments = []
        if not self.closing():
            arguments.append(self.argument())
            while self.separator(Token.ARG):
                arguments.append(self.argument())
        self.close(Token.FUNC)
        return ("call", name, arguments)

    def argument(self):
        token = self.peek()
        if token is not None and (token.type == Token.SEP or token.subtype == Token.CLOSE):
            return ("missing",)
        return self.expression(0)

    def closing(self):
        return self.peek() is not None and self.peek().subtype == Token.CLOSE

    def separator(self, subtype):
        token = self.peek()
        if token is not None and token.type == Token.SEP and token.subtype == subtype:
            self.at += 1
            return True
        return False

    def close(self, kind):
        token = self.take()
        if token.subtype != Token.CLOSE or token.type != kind:
            raise Refused(f"{token.value!r} is not expected here")

    def array(self, _):
        rows = [[self.array_item()]]
        while not self.closing():
            if self.separator(Token.ARG):
                rows[-1].append(self.array_item())
            elif self.separator(Token.ROW):
                rows.append([self.array_item()])
            else:
                raise Refused("an array constant may hold plain values only")
        self.close(Token.ARRAY)
        if len({len(row) for row in rows}) > 1:
            raise Refused("the rows of an array constant differ in length")
        return ("array", rows)

    def array_item(self):
        tree = self.operand()
        if tree[0] != "value":
            raise Refused("an array constant may hold plain values only")
        return tree[1]


def _without_space(tokens):
    """Tokens without white space; between two operands it is the intersection operator, which is refused."""
    kept, space = [], False
    for token in tokens:
        if token.type == Token.WSPACE:
            space = True
            continue
        starts = token.type == Token.OPERAND or token.subtype == Token.OPEN
        if kept and starts:
            before = kept[-1]
            if before.type == Token.OPERAND or before.subtype == Token.CLOSE or before.type == Token.OP_POST:
                if space:
                    raise Refused("the intersection operator (a space between ranges) is not supported")
                raise Refused(f"{token.value!r} is not expected here")
        kept.append(token)
        space = False
    return kept


def _fifteen_digits(literal):
    """A number as Excel enters it: digits after the fifteenth count as 0."""
    mantissa, _, exponent = literal.upper().partition("E")
    kept, seen = "", 0
    for character in mantissa:
        if character.isdigit():
            if seen or character != "0":
                seen += 1
            character = character if seen <= 15 else "0"
        kept += character
    number = float(kept + ("E" + exponent if exponent else ""))
    if number > 9.99999999999999e307:
        raise Refused(f"the number {literal} is too large")
    return number


def split_sheet(operand):
    """ "'My page'!B7" as ("My page", "B7"); the sheet is None where none is named."""
    match = _SHEET.fullmatch(operand)
    if not match:
        return None, operand
    return (match[1].replace("''", "'") if match[1] else match[2]), match[3]


def reference(operand, sheet):
    """The `Reference` of an operand such as "$B$7", "B1:C9", "A:A" or "3:5" on `sheet`, or None."""
    if match := _CELL.fullmatch(operand):
        corners = match[2], match[1], match[2], match[1]
    elif match := _CELLS.fullmatch(operand):
        corners = match[2], match[1], match[4], match[3]
    elif match := _COLUMNS.fullmatch(operand):
        corners = "1", match[1], str(MAX_ROW), match[2]
    elif match := _ROWS.fullmatch(operand):
        corners = match[1], "A", match[2], "XFD"
    else:
        return None
    rows = sorted((int(corners[0]), int(corners[2])))
    columns = sorted(column_index_from_string(c.upper()) for c in (corners[1], corners[3]))
    if rows[0] < 1 or rows[1] > MAX_ROW or columns[1] > MAX_COLUMN:
        return None
    return Reference(sheet, rows[0], columns[0], rows[1], columns[1])


def table_part(operand):
    """ "Nozzles[Flow]" as ("Nozzles", "Flow"); None where it is no structured reference."""
    match = _TABLE.fullmatch(operand)
    return (match[1], match[2]) if match else None
