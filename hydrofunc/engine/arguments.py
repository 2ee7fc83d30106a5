"""What is settled or refused by looking at the arguments of an ordinary function, before they are compiled."""

from collections.abc import Iterable

from .formula import Refused
from .lanes import NA
from .reference import Reference
from .tree import Missing, Node, Ref, Value


def cells_of(tree: Node, name: str) -> Reference:
    """The cells an argument stands for. Raises `Refused` where it is an expression."""
    cells = tree.reference()
    if cells is None:
        raise Refused(f"{name} wants cells here")
    return cells


def refuse_open_ended(name: str, arguments: Iterable[Node]) -> None:
    """Whole columns are cut to the rows in use, which only functions that skip blank cells do not notice."""
    if any(cells and cells.open_ended for cells in (tree.reference() for tree in arguments)):
        raise Refused(f"{name} of a whole column or row is not supported: write the range with its last row")


def refuse_open_ended_in_array(cells: Reference) -> None:
    if cells.open_ended:
        raise Refused("a whole column or row inside an array expression is not supported")


def _resized(source, criterion, target=None):
    """The arguments of SUMIF; the target is as large as the range, from its own first cell."""
    if target is None:
        return source, criterion
    shape, first = source.reference(), target.reference()
    if type(target) is Missing:
        target = source
    elif shape and first:
        bottom, right = first.top + shape.height - 1, first.left + shape.width - 1
        target = Ref(Reference(first.sheet, first.top, first.left, bottom, right))
    return source, criterion, target


def _xlookup(key, among, results, *rest):
    """The arguments of XLOOKUP, a default in the place of those left out; search modes other than 1 and -1 refused."""
    rest = list(rest)
    if rest and type(rest[0]) is Missing:
        rest[0] = Value(NA)
    if len(rest) > 2:
        if type(rest[2]) is Missing:
            rest[2] = Value(1.0)
        elif type(rest[2]) is not Value or rest[2].value not in (1.0, -1.0):
            raise Refused("XLOOKUP: only the search modes 1 and -1 are supported")
    first, second = among.reference(), results.reference()
    if first and second:
        size = first.height, first.width
        if 1 not in size or size != (second.height, second.width):
            raise Refused("XLOOKUP: only one row or column, and results of the same size, are supported")
    return key, among, results, *rest


def _zero_if_left_out(key, *rest):
    """The arguments of MATCH and its kin: a key that is left out is 0, which a blank cell is not."""
    return Value(0.0) if type(key) is Missing else key, *rest


def _empty_if_left_out(*arguments):
    """The arguments of a function of texts: one that is left out is an empty text."""
    return [Value("") if type(tree) is Missing else tree for tree in arguments]


# How the arguments of a function are made ready to be compiled.
PREPARED = {
    "SUMIF": _resized,
    "AVERAGEIF": _resized,
    "XLOOKUP": _xlookup,
    "CONCAT": _empty_if_left_out,
    "TEXTJOIN": lambda separator, skip, *words: (separator, skip, *_empty_if_left_out(*words)),
    **dict.fromkeys(("MATCH", "VLOOKUP", "HLOOKUP"), _zero_if_left_out),
}
