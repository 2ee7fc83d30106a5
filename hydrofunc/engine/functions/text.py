"""Functions of text. Each body takes plain values; texts are told apart by case unless it says otherwise."""

from collections.abc import Callable

from ..lanes import VALUE, ExcelError, cells_of, lifted
from ..operators import LONGEST_TEXT, fold, joined, plain_number, plain_text, plain_truth
from .criteria import Pattern
from .table import worksheet

_READ = {"t": plain_text, "n": plain_number, "x": lambda value: value}


def of_texts(kinds: str) -> Callable[[Callable], Callable]:
    """Makes a function of values from one of plain values, which come as text (t), as number (n) or as they are (x)."""

    def decorate(plain):
        def strict(*args):
            read = [_READ[kind](arg) for arg, kind in zip(args, kinds, strict=False)]
            error = next((arg for arg in (*args, *read) if type(arg) is ExcelError), None)
            if error is not None:
                return error
            result = plain(*read)
            return VALUE if type(result) is str and len(result) > LONGEST_TEXT else result

        return lifted(strict)

    return decorate


for _name, _plain in {
    "LEN": lambda word: float(len(word)),
    "UPPER": str.upper,
    "LOWER": str.lower,
    "TRIM": lambda word: " ".join(piece for piece in word.split(" ") if piece),
}.items():
    worksheet(_name, "v")(of_texts("t")(_plain))
worksheet("EXACT", "vv")(of_texts("tt")(lambda a, b: a == b))
worksheet("T", "v")(of_texts("x")(lambda value: value if type(value) is str else ""))
worksheet("VALUE", "v")(of_texts("x")(lambda value: VALUE if type(value) is bool else plain_number(value)))


@worksheet("LEFT", "v[v]")
@of_texts("tn")
def _left(word, count=1.0):
    return VALUE if count < 0 else word[: int(count)]


@worksheet("RIGHT", "v[v]")
@of_texts("tn")
def _right(word, count=1.0):
    return VALUE if count < 0 else word[len(word) - min(int(count), len(word)) :]


@worksheet("MID", "vvv")
@of_texts("tnn")
def _mid(word, start, count):
    return VALUE if start < 1 or count < 0 else word[int(start) - 1 : int(start) - 1 + int(count)]


@worksheet("FIND", "vv[v]")
@of_texts("ttn")
def _find_text(part, word, start=1.0):
    if start < 1 or int(start) > len(word) + 1:
        return VALUE
    index = word.find(part, int(start) - 1)
    return VALUE if index < 0 else index + 1.0


@worksheet("SEARCH", "vv[v]")
@of_texts("ttn")
def _search(part, word, start=1.0):
    if start < 1 or int(start) > len(word) + 1:
        return VALUE
    index = Pattern(part).find(fold(word), int(start) - 1)
    return VALUE if index < 0 else index + 1.0


@worksheet("SUBSTITUTE", "vvv[v]")
@of_texts("tttn")
def _substitute(word, old, new, which=None):
    if which is not None and which < 1:
        return VALUE
    if old == "":
        return word
    if which is None:
        return word.replace(old, new)
    index = -1
    for _ in range(int(which)):
        index = word.find(old, index + 1 if index < 0 else index + len(old))
        if index < 0:
            return word
    return word[:index] + new + word[index + len(old) :]


@worksheet("REPT", "vv")
@of_texts("tn")
def _repeat(word, count):
    if count < 0 or len(word) * int(count) > LONGEST_TEXT:
        return VALUE
    return word * int(count) if word else ""


@worksheet("CONCATENATE", "(v)+")
@worksheet("CONCAT", "(r)+")
@lifted
def _concat(*args):
    words = [plain_text(cell) for arg in args for cell in cells_of(arg)]
    error = next((word for word in words if type(word) is ExcelError), None)
    return joined(words) if error is None else error


@worksheet("TEXTJOIN", "vv(r)+")
@lifted
def _textjoin(separator, skip, *args):
    separator, skip = plain_text(separator), plain_truth(skip)
    words = [plain_text(cell) for arg in args for cell in cells_of(arg)]
    error = next((value for value in (separator, skip, *words) if type(value) is ExcelError), None)
    if error is not None:
        return error
    return joined((word for word in words if word or not skip), separator)
