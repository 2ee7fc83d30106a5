"""The table of ordinary worksheet functions: `worksheet` puts a function in, beside its body."""

import re
from collections.abc import Callable
from dataclasses import dataclass

MANY = 255  # arguments a worksheet function may take


@dataclass(frozen=True)
class Entry:
    """A function: how many arguments it takes, what kinds they are, and its `call`, or its `form` (see `forms`)."""

    least: int
    most: int
    kinds: str
    call: Callable | None = None
    repeats: int = 1  # how many of the last kinds repeat where there are more arguments
    form: Callable | None = None

    def kind(self, i: int) -> str:
        """The kind of argument i, counted from 0."""
        if i < len(self.kinds):
            return self.kinds[i]
        tail = self.kinds[-self.repeats :]
        return tail[(i - len(self.kinds)) % self.repeats]


TABLE: dict[str, Entry] = {}


def worksheet(name: str, kinds: str) -> Callable[[Callable], Callable]:
    """Puts the function that follows into `TABLE`.

    kinds: a letter for each argument, as ``"rv[v]"`` with one that may be left out, or ``"c(cv)+"`` with a last
           part that repeats
    - v: one value is wanted;
    - r: a range is taken as it is; text and booleans inside it are skipped, but as arguments of their own they count;
    - a: as r, and an expression of ranges is worked out element by element, as in SUMPRODUCT;
    - c: cells are wanted, nothing else will do.
    """

    def put(call):
        TABLE[name] = Entry(least, most, required + optional + repeated, call, len(repeated) or 1)
        return call

    required, optional, repeated = re.fullmatch(r"(\w*)(?:\[(\w*)\])?(?:\((\w+)\)\+)?", kinds).groups("")
    least = len(required) + len(repeated)
    most = least + (MANY - least) // len(repeated) * len(repeated) if repeated else least + len(optional)
    return put
