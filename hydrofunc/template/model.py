"""What can stand on a sheet, and the cell each item gets.

A page is a list of items from top to bottom. A one-line item fills one row: mark, label, value, unit,
allowed range or function, note, in columns A to F. A table fills a block from column B; below it stands how each
column comes about.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from openpyxl.utils import get_column_letter

from ..errors import HydroError
from ..registry import Argument
from ..units import alternatives, shown_unit

LETTERS = tuple(get_column_letter(number) for number in range(2, 53))  # columns a table may use, B to AZ
FIRST_ROW = 5  # below title, purpose and column heads
LINE_WIDTHS = (3, 34, 13, 9, 13, 12, 67)  # of columns A to G of a page of lines
# Column of a result in the functions' unit, where column E shows it in another: formulas of people and of ours use it.
FUNCTIONS_UNITS = "AY"
YOURS, COUNTS = "C", "E"  # columns of a line: what is typed, and what counts
ASSUMED, PROPOSED, NEEDED, OPEN = "assumed", "proposed", "needed", "not given"  # states of an input that is left empty
REFUSED = "not allowed"  # the state of an input whose cell holds what does not fit
HEADS_OF_UNITS = frozenset({"unit", "in", "result"})  # of table columns whose words are units
DATE = "yyyy-mm-dd"  # number format of cells that hold a date
# What becomes of a formula that hangs on what is needed: it says "" while that is missing; it stays as it is, but what
# hangs on it does not; or it can do with "" and so can what hangs on it.
WRAP, PASS, STOP = "wrap", "pass", "stop"
_LONGEST_SHOWN = 64  # characters of a formula that a person still reads
_ASKED = r"(?:[^(),]|(?:AND|ISNUMBER)\((?:[^()]|\([^()]*\))*\))+"
_GUARDED = re.compile(rf'^IF\({_ASKED},(?:(.*),(?:""|NA\(\))|"",(.*))\)$')  # nothing where there is nothing to work on


def functions_in(formula: str) -> tuple[str, ...]:
    """Our functions a formula calls, in order."""
    return tuple(dict.fromkeys(re.findall(r"HYDRO_[A-Z_0-9]+", formula)))


def how(formula: str) -> str:
    """How a formula comes about: the functions of ours it calls, itself where it is short, or the names it takes."""
    functions = functions_in(formula)
    said = _GUARDED.sub(lambda match: match[1] or match[2], formula[1:])
    if functions or len(said) <= _LONGEST_SHOWN:
        return ", ".join(functions) or said
    names = dict.fromkeys(re.findall(r"\b[a-z][a-z0-9_]*\b(?![(!])", re.sub(r'"[^"]*"', "", said)))
    return f"from {', '.join(names)}" if names else ""


@dataclass(frozen=True)
class Heading:
    """A heading between groups of rows; `new_page` where printing should begin a page."""

    text: str
    new_page: bool = False


@dataclass(frozen=True)
class Words:
    """A paragraph across the sheet. `caution` marks danger, `small` what explains a table."""

    text: str
    caution: bool = False
    small: bool = False

    def rows_on(self, widths: Sequence[float]) -> int:
        """Rows of the sheet that are set aside for it on a page of these column widths.

        A rough count. It must stay as it is, as all cells below would move; how tall the rows are is measured when the
        template is built.
        """
        characters = sum(widths[1:]) * (1.1 if self.caution else 1.3 if self.small else 1.2)
        return -(-len(self.text) // int(characters))


@dataclass(frozen=True)
class Assumption:
    """What counts where an input is left empty: a fact on the careful side, or a choice that is proposed.

    `value` is a number or a word, or a formula ("=...") that gives it, in the unit of the input's argument. `why` is a
    sentence with the source. `half` is half of the range in which the truth lies, `measured` the same when the input is
    given: numbers or formulas in the argument's unit, or in % of the value where `percent`. `spread` says how the
    values lie in that range.
    """

    value: object
    why: str
    proposed: bool = False
    half: float | str | None = None
    measured: float | str | None = None
    percent: bool = False
    spread: str = "rectangular"


@dataclass(frozen=True)
class Input:
    """A cell the person fills in. `argument` holds unit, allowed range or choices.

    A line shows what is typed (empty in a new template), what counts, and in one word which of the two it is. `assumed`
    says what counts while it is empty; `default` is a short way to write an assumption whose reason is the note. An
    input without either is open: nothing counts. `needed`: nothing can be assumed. `unless` is a condition under which
    it is not needed, as worksheet text; where that is too little, `state` gives the word itself. `measure` says how to
    measure it. `example` is what the invented example's workbook holds. `recorded` is a cell of an entry in the log: it
    is validated like any other, but has no defined name and is no column of site lists.
    """

    name: str
    label: str
    argument: Argument
    default: object = None
    note: str = ""
    example: object = None
    recorded: bool = False
    digits: str = "General"
    assumed: Assumption | None = None
    needed: bool = False
    unless: str = ""
    state: str = ""  # a formula, without "=", for the word of its state while it is empty
    measure: str = ""
    is_line: bool = False  # not in a table
    short: str = ""  # its label on the first page
    sheet: str = ""
    cell: str = ""

    @property
    def assumption(self) -> Assumption | None:
        """What counts while it is empty, or None."""
        if self.assumed is None and self.default is not None:
            return Assumption(self.default, self.note)
        return self.assumed

    @property
    def shown(self) -> object:
        """What counts in the invented example: what its cell holds, or what is assumed; None for a formula."""
        if self.example is not None or self.assumption is None:
            return self.example
        value = self.assumption.value
        return None if isinstance(value, str) and value.startswith("=") else value

    @property
    def is_convertible(self) -> bool:
        """Whether it may be typed in another unit: a line whose unit has alternatives."""
        return self.is_line and not self.is_text and len(alternatives(self.unit)) > 1

    @property
    def is_free(self) -> bool:
        """Whether it holds any words, such as a name, or a date: nothing is worked out from it."""
        return self.is_date or (self.is_text and not self.choices)

    @property
    def state_when_empty(self) -> str:
        """The word for it while it is empty."""
        if self.needed:
            return NEEDED
        if self.assumption is None:
            return OPEN
        return PROPOSED if self.assumption.proposed else ASSUMED

    @property
    def unit(self) -> str:
        """Its unit, as its argument has it."""
        return self.argument.unit

    @property
    def is_text(self) -> bool:
        """Whether it holds words."""
        return self.argument.is_text

    @property
    def is_date(self) -> bool:
        """Whether it holds a date."""
        return self.digits == DATE

    @property
    def within(self) -> str:
        """The range allowed, such as "(0, 500]"."""
        return self.argument.within

    @property
    def choices(self) -> tuple[str, ...]:
        """The words allowed, or none where any are."""
        return self.argument.choices

    @property
    def allowed(self) -> str:
        """What is allowed, in words for a person."""
        if self.is_text and not self.choices:
            return "any words"
        empty = "" if self.needed else ", or empty"
        if self.is_date:
            return f"a date such as 2026-05-31{empty}"
        return f"{self.argument.allowed}{empty}"

    def check(self, value: object) -> str | None:
        """What is wrong with a value for this cell, or None."""
        if value is None or value == "":
            return f"is empty; it must be {self.allowed}" if self.needed else None
        if self.is_text and not self.choices:
            return None
        if not self.is_text and (isinstance(value, (bool, str)) or not isinstance(value, (int, float))):
            return f"{value!r} is not a number; it must be {self.allowed}"
        _, codes = self.argument.read(value)
        if codes is None:
            return None
        unit = "" if self.is_text or self.unit == "-" else f" {self.unit}"
        shown = f"{value:g}" if isinstance(value, (int, float)) else repr(value)
        return f"{shown}{unit} is not allowed; it must be {self.allowed}"


@dataclass(frozen=True)
class First:
    """A line of the first page: the input of this name, which another page declares, with a short label."""

    name: str
    label: str


@dataclass(frozen=True)
class Shown:
    """A line that shows an input which is typed on the first page."""

    item: Input
    row: int = 0


@dataclass(frozen=True)
class Link:
    """A table cell that leads to a sheet; without words of its own it shows the sheet's name."""

    sheet: str
    words: str = ""


@dataclass(frozen=True)
class Result:
    """A live formula with its own name."""

    name: str
    label: str
    unit: str
    formula: str
    note: str = ""
    digits: str = "0.00"
    strong: bool = False  # one of the numbers that matter
    guard: str = WRAP
    beside: str = ""  # a formula that gives the words to its right
    two_lines: bool = False  # its words may take two lines
    stops: str = ""  # when it looks like a stop
    way: str = ""  # how it comes about, where its formula does not say so
    sheet: str = ""
    cell: str = ""

    @property
    def is_words(self) -> bool:
        """Whether it gives words, not a number."""
        return self.digits == "General"


@dataclass(frozen=True)
class Formula:
    """A formula in a table cell; `name` defines a name for it, if given. `words`: it gives words, set to the left."""

    text: str
    digits: str = "General"
    name: str = ""
    words: bool = False
    guard: str = WRAP

    @property
    def is_words(self) -> bool:
        """Whether it gives words, not a number."""
        return self.digits == "General"


@dataclass(frozen=True)
class Written:
    """A table cell that a command of hydrofunc writes a value into; empty in the template."""

    digits: str = "General"


@dataclass(frozen=True)
class Table:
    """A block: head cells, then rows of labels, numbers, `Formula`, `Input` or `Written`.

    `{row}` in a formula is its row number, `{row-7}` and `{row+1}` others counted from it, `{head}`, `{first}` and
    `{last}` those of the block. `names` maps a defined name to a column letter, or a run of them ("B:C"): the name
    covers that part of the block. `how` says of a column or a run of them ("C", "C:F") how its numbers come about;
    without it a column says its functions or its formula.
    """

    heads: tuple
    rows: tuple
    names: dict = field(default_factory=dict)
    key: str = ""  # charts find the block by it
    judgement: str = ""  # column letter holding good / look / stop
    wrap: tuple = ()  # column letters whose text wraps
    spread: str = ""  # column letter whose cells reach to the right edge of the page
    lines: int = 1  # of the words that formulas give, as nobody can measure them beforehand
    how: dict = field(default_factory=dict)
    sheet: str = ""
    top: int = 0  # row of the head cells

    @property
    def first(self) -> int:
        """Row of its first line below the head."""
        return self.top + 1

    @property
    def last(self) -> int:
        """Row of its last line."""
        return self.top + len(self.rows)

    def ways(self) -> Iterator[tuple[tuple[str, ...], str, str]]:
        """(columns, heads, how their numbers come about) of what is worked out in a table not yet placed.

        How is "" where it cannot be said.
        """
        heads = {letter: head.rpartition(", ")[0] or head for letter, head in zip(LETTERS, self.heads)}
        explained: dict[str, tuple] = {}
        for key in self.how:
            first, _, last = key.partition(":")
            letters = LETTERS[LETTERS.index(first) : LETTERS.index(last or first) + 1]
            explained |= dict.fromkeys(letters, ())
            explained[first] = (letters, f"{heads[first]} to {heads[last]}" if last else heads[first], self.how[key])
        for slot, letter in enumerate(heads):
            cells = [row[slot] for row in self.rows if slot < len(row) and isinstance(row[slot], Formula)]
            if letter in explained:
                if explained[letter]:
                    yield explained[letter]
            elif any(not cell.is_words for cell in cells):
                functions = dict.fromkeys(name for cell in cells for name in functions_in(cell.text))
                alike = len({cell.text for cell in cells}) == 1
                formula = re.sub(
                    r"([A-Z]{1,2})\{row\}", lambda match: heads.get(match[1], match[1]).replace(" ", "_"), cells[0].text
                )
                yield (letter,), heads[letter], ", ".join(functions) or (how(formula) if alike else "")

    def explained(self) -> Words | None:
        """The words below the table, or None where nothing is worked out."""
        ways = [f"{head}: {way.rstrip('.')}." for _, head, way in self.ways() if way]
        return Words("How. " + " ".join(way[0].upper() + way[1:] for way in ways), small=True) if ways else None


@dataclass(frozen=True)
class Space:
    """Room for a chart, `rows` tall; none where it stands beside what follows, from `column`."""

    chart: str
    rows: int
    column: str = "B"
    sheet: str = ""
    top: int = 0


@dataclass(frozen=True)
class Page:
    """One sheet: title, what it is for, its items, column widths in characters."""

    sheet: str
    purpose: str
    items: tuple
    widths: tuple = LINE_WIDTHS
    heads: tuple = (
        "",
        "what",
        "yours",
        "unit",
        "counts",
        "state",
        "what is assumed, how to measure it; how it comes about",
    )
    workings: bool = False  # nothing to type and nothing to print


def is_shown_converted(item: Result) -> bool:
    """Whether a result is shown in another unit where the workbook is in US units."""
    return not item.is_words and shown_unit(item.unit, "us") != item.unit


def place(page: Page) -> list[tuple[int, object]]:
    """The page with a cell for every item, and the row after the last."""
    row = FIRST_ROW
    placed: list[tuple[int, object]] = []
    for item in page.items:
        if isinstance(item, Heading):
            row += 1 if placed else 0
            placed.append((row, item))
            row += 1
        elif isinstance(item, (Input, Result)):
            column = YOURS if isinstance(item, Input) or item.is_words else COUNTS
            if isinstance(item, Result) and is_shown_converted(item):
                column = FUNCTIONS_UNITS
            lines = {"is_line": True} if isinstance(item, Input) else {}
            placed.append((row, replace(item, sheet=page.sheet, cell=f"{column}{row}", **lines)))
            row += 1
        elif isinstance(item, Shown):
            placed.append((row, replace(item, row=row)))
            row += 1
        elif isinstance(item, Table):
            placed.append((row, _place_table(item, page.sheet, row)))
            row += len(item.rows) + 1
            if explained := item.explained():
                placed.append((row, explained))
                row += explained.rows_on(page.widths)
            row += 1
        elif isinstance(item, Space):
            placed.append((row, replace(item, sheet=page.sheet, top=row)))
            row += item.rows
        elif isinstance(item, Words):
            placed.append((row, item))
            row += item.rows_on(page.widths)
        else:
            raise HydroError(f"{page.sheet}: cannot place {item!r}")
    return placed


def _place_table(table, sheet, top):
    def placed(letter, row, cell):
        if isinstance(cell, Input):
            return replace(cell, sheet=sheet, cell=f"{letter}{row}")
        if isinstance(cell, Formula):
            text = in_row(cell.text, row)
            return replace(
                cell,
                text=text.replace("{head}", str(top))
                .replace("{first}", str(top + 1))
                .replace("{last}", str(top + len(table.rows))),
            )
        return cell

    rows = tuple(
        tuple(placed(letter, row, cell) for letter, cell in zip(LETTERS, cells))
        for row, cells in enumerate(table.rows, start=top + 1)
    )
    return replace(table, rows=rows, sheet=sheet, top=top)


def in_row(formula: str, row: int) -> str:
    """The formula with row numbers for `{row}`, `{row-1}` and so on."""
    return re.sub(r"\{row([+-]\d+)?\}", lambda shift: str(row + int(shift[1] or 0)), formula)


def inputs_of(placed: Iterable[tuple[int, object]]) -> Iterator[Input]:
    """Every input of a placed page, in order."""
    for _, item in placed:
        if isinstance(item, Input):
            yield item
        elif isinstance(item, Table):
            yield from (cell for row in item.rows for cell in row if isinstance(cell, Input))


def names_of(placed: Iterable[tuple[int, object]]) -> Iterator[str]:
    """Every defined name of a placed page; that of a line's input stands on the page of workings."""
    for _, item in placed:
        if isinstance(item, Result) or (isinstance(item, Input) and item.is_free):
            yield item.name
        elif isinstance(item, Table):
            yield from item.names
            for cell in (cell for row in item.rows for cell in row):
                if (isinstance(cell, Formula) and cell.name) or (
                    isinstance(cell, Input) and not cell.recorded and cell.assumed is None
                ):
                    yield cell.name
