"""COUNTIF and its kin: functions of the cells that meet a criterion."""

import re
from collections.abc import Callable
from functools import lru_cache, partial

import numpy as np

from ..lanes import NUMBER, VALUE, ExcelError, Lanes, from_python, lifted, settled
from ..operators import HOLDS, exact_order, fold, number_from_text
from .aggregates import both, counted, greatest, mean, smallest, total
from .table import worksheet

# -- what a criterion says -----------------------------------------------------------------------------

_CRITERION = re.compile(r"(<=|>=|<>|<|>|=)?(.*)", re.DOTALL)


class Pattern:
    """A text with the wildcards * ? ~, for folded texts.

    What stands between stars has a fixed length, so that it is looked for once, from left to right: no text takes
    longer than its length times that of the pattern. (A regular expression with many stars can take for ever.)
    """

    def __init__(self, word: str) -> None:
        parts, i = [[]], 0
        while i < len(word):
            c = word[i]
            if c == "~" and i + 1 < len(word) and word[i + 1] in "*?~":
                i += 1
                parts[-1].append(re.escape(fold(word[i])))
            elif c == "*":
                parts.append([])
            else:
                parts[-1].append("." if c == "?" else re.escape(fold(c)))
            i += 1
        self._first, *rest = [re.compile("".join(part), re.DOTALL) for part in parts]
        self._last = rest.pop() if rest else None
        self._between = [part for part in rest if part.pattern]

    def fits(self, text: str) -> bool:
        """Is it the whole text?"""
        if self._last is None:
            return self._first.fullmatch(text) is not None
        begins = self._first.match(text)
        at = -1 if begins is None else self._after(text, begins.end())
        return at >= 0 and self._ends(text, at)

    def find(self, text: str, start: int) -> int:
        """Where it first begins from `start` on; -1 where it does not."""
        begins = self._first.search(text, start)
        if begins is None:
            return -1
        at = begins.end() if self._last is None else self._after(text, begins.end())
        found = at >= 0 and (self._last is None or self._last.search(text, at) is not None)
        return begins.start() if found else -1

    def _after(self, text, at):
        """Where the parts between the stars end; -1 where they are not there."""
        for part in self._between:
            match = part.search(text, at)
            if match is None:
                return -1
            at = match.end()
        return at

    def _ends(self, text, at):
        """Does the text end with the last part, behind `at`? Its length is that of any text that it fits."""
        if not self._last.pattern:
            return True
        return any(self._last.fullmatch(text, first) for first in range(max(at, len(text) - self._longest), len(text)))

    @property
    def _longest(self):
        return len(self._last.pattern)  # escapes make it longer than what it fits, never shorter


_pattern = lru_cache(4096)(Pattern)


def like(word: str, cell: str) -> bool:
    """Is the text of a cell what a text with wildcards describes?"""
    return _pattern(word).fits(fold(cell))


@lru_cache(4096)
def _read(word):
    """(sign, operand) of a criterion that is a text; the sign is "" where none is written."""
    sign, rest = _CRITERION.fullmatch(word).groups("")
    number = number_from_text(rest)
    if number is not None:
        return sign, number
    if rest.upper() in ("TRUE", "FALSE"):
        return sign, rest.upper() == "TRUE"
    return sign, ExcelError(rest.upper()) if rest.upper() in ExcelError.TEXTS[1:] else rest


def _plain_criterion(value):
    return _read(value) if type(value) is str else ("", 0.0 if value is None else value)


def _criteria(value):
    """[(sign, where, operand)]: a criterion as one or more comparisons, each for the lanes where it is asked for."""
    if type(value) is not Lanes:
        sign, operand = _plain_criterion(value)
        return [(sign, True, operand)]
    if value.only == NUMBER and value.sound:
        return [("", True, value)]
    signs, operands = zip(*map(_plain_criterion, value.python()), strict=True)
    return [(sign, np.array([other == sign for other in signs]), from_python(operands)) for sign in set(signs)]


def _equals(cell, operand, sign):
    if operand == "" and type(operand) is str:
        return cell is None or (cell == "" and not sign)
    if type(operand) is str:
        return type(cell) is str and like(operand, cell)
    if type(operand) is float and type(cell) is str and sign != "<>":
        cell = number_from_text(cell)
    return type(cell) is type(operand) and cell == operand


def _plain_meets(sign, cell, operand):
    if sign in ("", "=", "<>"):
        return _equals(cell, operand, sign) != (sign == "<>")
    if type(cell) is not type(operand) or type(cell) is ExcelError:
        return False
    return HOLDS[sign](exact_order(cell, operand), 0)


_MEETS = {sign: lifted(partial(_plain_meets, sign), HOLDS[sign or "="]) for sign in ("", *HOLDS)}


def _meets(cell, criteria):
    """Where a cell meets a criterion: a bool, or an array (n,) of bool."""
    result = False
    for sign, where, operand in criteria:
        met = _MEETS[sign](cell, operand)
        met = both(where, met.num if type(met) is Lanes else met)
        result = met if result is False else np.logical_or(result, met)
    return result


def _matches(pairs):
    """For each cell where it meets all criteria, from pairs (range, criterion); None where sizes differ."""
    if len({area.shape for area, _ in pairs}) > 1:
        return None
    result = [True] * len(pairs[0][0].cells())
    for area, criterion in pairs:
        criteria = _criteria(criterion)
        cells = zip(result, area.cells(), strict=True)
        result = [where is not False and both(where, _meets(cell, criteria)) for where, cell in cells]
    return result


# -- the functions -------------------------------------------------------------------------------------


def _pairs(args):
    return list(zip(args[::2], args[1::2], strict=True))


@worksheet("COUNTIF", "cv")
@worksheet("COUNTIFS", "(cv)+")
def _countifs(*args):
    matches = _matches(_pairs(args))
    return VALUE if matches is None else settled(sum(where + 0.0 for where in matches))


def _ifs(aggregate: Callable) -> Callable:
    """SUMIFS and its kin: the target first, then pairs of range and criterion."""

    def call(target, *args):
        matches, cells = _matches(_pairs(args)), target.cells()
        if matches is None or target.shape != args[0].shape:
            return VALUE
        return aggregate(*counted(zip(cells, matches, strict=True)))

    return call


def _if(aggregate: Callable) -> Callable:
    """SUMIF(range, criterion, [target]); the compiler has given the target the range's size."""
    call = _ifs(aggregate)
    return lambda area, criterion, target=None: call(area if target is None else target, area, criterion)


worksheet("SUMIF", "cv[c]")(_if(total))
worksheet("AVERAGEIF", "cv[c]")(_if(mean))
for _name, _aggregate in {"SUMIFS": total, "AVERAGEIFS": mean, "MINIFS": smallest, "MAXIFS": greatest}.items():
    worksheet(_name, "c(cv)+")(_ifs(_aggregate))
