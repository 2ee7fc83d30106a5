"""Formulas from text to trees: openpyxl's tokenizer, and a parser of our own on top.

Whatever is not understood raises `Refused` with the reason.
"""

import re
from collections.abc import Callable
from functools import lru_cache

from openpyxl.formula.tokenizer import Token, Tokenizer, TokenizerError

from .lanes import ExcelError
from .tree import Array, Call, Chain, Minus, Missing, Node, Paren, Percent, Value

DEEPEST = 64  # parentheses and calls within each other (Microsoft, "Excel specifications and limits")
_OPERATORS = ("=", "<>", "<", ">", "<=", ">="), ("&",), ("+", "-"), ("*", "/"), ("^",)
_RANKS = {sign: rank for rank, signs in enumerate(_OPERATORS) for sign in signs}

# What programs write before the names of functions: Excel before those newer than the file format, LibreOffice Calc
# (7.4, not 25.2) before ours in an .xlsx, as they are called inside it.
_PREFIXES = {"_XLFN.": "", "_XLWS.": "", "HYDROFUNC.": "HYDRO_"}


class Refused(Exception):
    """A formula the engine does not evaluate; the text is the reason."""


def parse(formula: str, resolve: Callable[[str], Node]) -> Node:
    """The tree of a formula, which starts with "=".

    `resolve(text)` turns the text of an operand that is no literal (a reference or a name) into a tree.
    Raises `Refused`.
    """
    return _Parser(_tokens(formula), resolve).whole()


# Cells in a formula's text, but not in what is quoted: A1 in =A1*2, not in LOG10(, q_A1, A1!B1 or "A1".
_CELL = re.compile(r"(?<![A-Za-z0-9_.$\\])\$?[A-Za-z]{1,3}\$?[0-9]{1,7}(?![A-Za-z0-9_.(!\\])")
_QUOTED = re.compile(r"""("(?:[^"]|"")*"|'(?:[^']|'')*')""")
_ANY_CELL = "A1"


def shape_of(formula: str) -> tuple[str, list[str]]:
    """The formula with one and the same address in place of all its cells, and the cells in their order."""
    cells: list[str] = []

    def any_cell(match):
        cells.append(match[0])
        return _ANY_CELL

    return _with_cells(formula, any_cell), cells


def operands_of(shape: str, cells: list[str]) -> list[str] | None:
    """The texts that `parse` hands to `resolve`, in their order, of a formula of this shape with these cells.

    None where that cannot be said without reading the formula itself.
    """
    known = _open_operands(shape)
    if known is None or known[0] != len(cells):
        return None
    _, plain, operands = known
    if plain:
        return cells
    left = iter(cells)
    texts = []
    for pieces in operands:
        match pieces:
            case [name]:
                texts.append(name)
            case [before, after]:
                texts.append(before + next(left) + after)
            case [before, *others]:
                texts.append(before + "".join(next(left) + piece for piece in others))
    return texts


@lru_cache(maxsize=20_000)
def _open_operands(shape):
    """(how many cells, are they all that is named, of each operand that is no literal the pieces between its cells)."""
    try:
        tokens = _tokens_of(shape)
    except Refused:
        return None
    operands = [
        _with_cells(token.value, "\0").split("\0")
        for token in tokens
        if token.type == Token.OPERAND and token.subtype == Token.RANGE and _constant(token.value) is None
    ]
    count = sum(len(pieces) - 1 for pieces in operands)
    return count, all(pieces == ["", ""] for pieces in operands), operands


def _constant(text):
    """What a word stands for that the tokenizer may take for a range; None where it names something."""
    if text.upper() in ("TRUE", "FALSE"):
        return Value(text.upper() == "TRUE")
    return Value(ExcelError("#REF!")) if text.endswith("#REF!") else None


def _tokens(formula):
    """The tokens of a formula. Most formulas of a sheet differ in their cells alone; tokens are half of the work."""
    shape, cells = shape_of(formula)
    try:
        tokens = _tokens_of(shape)
    except Refused:
        return _tokens_of(formula)  # which says it of its own cells
    left = cells[::-1]

    def own_cell(_):
        return left.pop() if left else ""

    result = [
        Token(_with_cells(token.value, own_cell), token.type, token.subtype) if token.subtype == Token.RANGE else token
        for token in tokens
    ]
    # Each cell has its place again, and in the same order: else something looked like a cell that is none.
    return result if not left and "" not in (token.value for token in result) else _tokens_of(formula)


def _with_cells(text, replacement):
    if '"' not in text and "'" not in text:
        return _CELL.sub(replacement, text)
    pieces = _QUOTED.split(text)  # what is quoted at the odd places
    pieces[::2] = [_CELL.sub(replacement, piece) for piece in pieces[::2]]
    return "".join(pieces)


@lru_cache(maxsize=20_000)
def _tokens_of(formula):
    try:
        return _without_space(Tokenizer(formula).items)
    except (TokenizerError, IndexError, AttributeError):
        spill = "the spill operator # is not supported" if re.search(r"[A-Za-z0-9)]#", formula) else None
        raise Refused(spill or "this formula cannot be read") from None


class _Parser:
    def __init__(self, tokens, resolve):
        self.tokens = [*tokens, None]
        self.resolve = resolve
        self.at = 0
        self.depth = 0

    def peek(self) -> Token | None:
        return self.tokens[self.at]

    def take(self) -> Token:
        token = self.peek()
        if token is None:
            raise Refused("the formula ends too early")
        self.at += 1
        return token

    def whole(self) -> Node:
        tree = self.expression(0)
        if self.peek() is not None:
            raise Refused(f"{self.peek().value!r} is not expected here")
        return tree

    def expression(self, rank: int) -> Node:
        """An expression of operators of this rank or higher; precedence climbing."""
        tree, steps, chained = self.operand(), [], None
        while (token := self.peek()) is not None and token.type == Token.OP_IN:
            if token.value == ",":
                raise Refused("a union of ranges is not supported")
            own = _RANKS[token.value]
            if own < rank:
                break
            self.at += 1
            step = token.value, self.expression(own + 1)
            if chained not in (None, own):
                tree, steps = Chain(tree, tuple(steps)), []
            steps.append(step)
            chained = own
        return Chain(tree, tuple(steps)) if steps else tree

    def operand(self) -> Node:
        signs = 0
        while (token := self.peek()) is not None and token.type == Token.OP_PRE:
            self.at += 1
            if token.value == "-":
                signs += 1
            elif token.value != "+":
                raise Refused(f"the operator {token.value} is not supported")
        tree = self.primary()
        for _ in range(signs):
            is_number = type(tree) is Value and type(tree.value) is float
            tree = Value(0.0 - tree.value) if is_number else Minus(tree)
        while (token := self.peek()) is not None and token.type == Token.OP_POST:
            self.at += 1
            tree = Percent(tree)
        return tree

    def primary(self) -> Node:
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

    def literal(self, token: Token) -> Node:
        value = token.value
        if token.subtype == Token.NUMBER:
            return Value(_fifteen_digits(value))
        if token.subtype == Token.TEXT:
            return Value(value[1:-1].replace('""', '"'))
        if token.subtype == Token.ERROR:
            if value in ExcelError.TEXTS:
                return Value(ExcelError(value))
            raise Refused(f"the error value {value} is not supported")
        return _constant(value) or self.resolve(value)

    def paren(self, _: Token) -> Paren:
        tree = self.expression(0)
        self.close(Token.PAREN)
        return Paren(tree)

    def call(self, opener: Token) -> Call:
        name = opener.value[:-1].upper()
        for prefix, plain in _PREFIXES.items():
            if name.startswith(prefix):
                name = plain + name.removeprefix(prefix)
        if "!" in name or "[" in name or "\\" in name:
            raise Refused(f"{opener.value[:-1]} points into another file; remove the path")
        arguments = []
        if not self.closing():
            arguments.append(self.argument())
            while self.separator(Token.ARG):
                arguments.append(self.argument())
        self.close(Token.FUNC)
        return Call(name, tuple(arguments))

    def argument(self) -> Node:
        token = self.peek()
        if token is not None and (token.type == Token.SEP or token.subtype == Token.CLOSE):
            return Missing()
        return self.expression(0)

    def closing(self) -> bool:
        return self.peek() is not None and self.peek().subtype == Token.CLOSE

    def separator(self, subtype: str) -> bool:
        token = self.peek()
        if token is not None and token.type == Token.SEP and token.subtype == subtype:
            self.at += 1
            return True
        return False

    def close(self, kind: str) -> None:
        token = self.take()
        if token.subtype != Token.CLOSE or token.type != kind:
            raise Refused(f"{token.value!r} is not expected here")

    def array(self, _: Token) -> Array:
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
        return Array(rows)

    def array_item(self) -> float | str | bool | ExcelError:
        tree = self.operand()
        if type(tree) is not Value:
            raise Refused("an array constant may hold plain values only")
        return tree.value


def _without_space(tokens):
    """Tokens without white space; between two operands it is the intersection operator, which is refused."""
    result, space = [], False
    for token in tokens:
        if token.type == Token.WSPACE:
            space = True
            continue
        starts = token.type == Token.OPERAND or token.subtype == Token.OPEN
        if result and starts:
            before = result[-1]
            if before.type == Token.OPERAND or before.subtype == Token.CLOSE or before.type == Token.OP_POST:
                if space:
                    raise Refused("the intersection operator (a space between ranges) is not supported")
                raise Refused(f"{token.value!r} is not expected here")
        result.append(token)
        space = False
    return result


def _fifteen_digits(literal):
    """A number as Excel enters it: digits after the fifteenth count as 0."""
    mantissa, _, exponent = literal.upper().partition("E")
    digits, seen = "", 0
    for character in mantissa:
        if character.isdigit():
            if seen or character != "0":
                seen += 1
            character = character if seen <= 15 else "0"
        digits += character
    number = float(digits + ("E" + exponent if exponent else ""))
    if number > 9.99999999999999e307:
        raise Refused(f"the number {literal} is too large")
    return number
