"""A workbook of the template that carries its functions, as names or as macros, and says what in it needs Python."""

import re
import zipfile
from collections.abc import Callable, Iterable
from io import BytesIO

from ..emit.lambda_names import LEFT_OUT
from ..emit.live import live
from ..emit.vba_book import with_vba
from ..engine.book import Book, Formula
from ..engine.compile import compile_book
from ..engine.lanes import ExcelError
from ..engine.run import Key
from ..template.model import Table
from ..template.pages import PAGES, PLACED
from ..template.pages.checks import WAITS
from ..workbook.reading import read_book
from ..workbook.splice import splice
from .recalc import SHEET_FUNCTIONS, calculated

NOTE = "B2"  # where each sheet says what it is for
FIRST = PAGES[0].sheet
JUDGEMENT = f"{WAITS}: this needs Python"
UNSEEN = "The functions are in this workbook. Not yet seen in Excel itself."
MACROS = "Enable macros: the functions are in it. Not yet seen in Excel itself."
WORKINGS = ("Start", "Checks", "Limits", "Plant", "Inputs")  # say it for what stands elsewhere
_CALL = re.compile(r"HYDRO_([A-Z0-9_]+)\(")
_CHECKS, _VALUE, _JUDGED = "Checks", "C", "G"
# Of one of two cells by a word, or of something by a word, else nothing.
_CHOICE = re.compile(r'=?IF\((\w+)="([^"]*)",([A-Z]+[0-9]+),([A-Z]+[0-9]+)\)')
_BY_A_WORD = re.compile(r'=?IF\(ready,IF\((\w+)="([^"]*)",.+,""\),""\)')
_TO_CHOOSE = re.compile(rb'(<dataValidation [^>]*>)<formula1>"as designed,as tested"</formula1>')
# A run of waves takes some tenths of a second in a worksheet: too long for each of many designs.
_TOO_SLOW = {"What pays": "HYDRO_SURGE_RUN"}
# A question that is asked in many rows, by what stands beside it: the search of a year, a run of waves.
_QUESTION = re.compile(
    rb'(<c r="([A-Z]+)([0-9]+)"[^>]*>)<f>([^<]*HYDRO_(?:NOZZLE_SEASON|SURGE_RUN)\([^<]*?,)([A-Z]+)\3([,)][^<]*)</f>'
)
_AS_A_WHOLE = "Combinations"  # its answer needs the surges of all: without them its thousand plants are for nothing
_A_PART = 0.25  # share of a sheet's formulas up to which it is said that a part of it is missing
_COUNTS = re.compile(r"=?COUNTIF\([^()]*\)")  # words in a range: what is not there is not counted
_INSTEAD = "start_watts"  # says the guess where the mean of the doubt is not there; the words beside it say which
_OF_A_CHECK = "CDEFGHIJKLMNO"  # columns of the table of checks


def live_book(data: bytes) -> bytes:
    """A copy of a calculated workbook with the functions in it as LAMBDA names."""
    return _carrying(data, live, UNSEEN, _at_once)


def macro_book(data: bytes) -> bytes:
    """The same with the functions as VBA, an .xlsm."""
    return _carrying(data, with_vba, MACROS)


def _carrying(
    data: bytes, put_in: Callable[[bytes], bytes], said: str, change: Callable[[bytes], bytes] = bytes
) -> bytes:
    """A copy of a calculated workbook with the functions in it; `change` is made to each of its sheets.

    A cell that hangs on a function which is not in it holds #N/A and no formula any more, so that nothing made of what
    is missing can look like a result; a check that does is not looked at. The sheets say so.
    """
    book = read_book(data)
    checks, missing = what_needs_python(book)
    changes: dict[Key, object] = {key: ExcelError("#N/A") for key in missing}
    changes |= dict.fromkeys(checks, JUDGEMENT)
    purposes = {page.sheet: page.purpose for page in PAGES}
    sheets = [sheet for sheet in purposes if any(key[0] == sheet for key in missing)]
    for sheet in sheets:
        changes[sheet, NOTE] = f"{purposes[sheet]} #N/A: this needs Python."
    changes[FIRST, NOTE] = f"{purposes[FIRST]} {said}"
    named = _named(book, [sheet for sheet in sheets if sheet not in WORKINGS], missing)
    changes[FIRST, told(book)] = f"#N/A needs Python: {named}; {len(checks)} checks wait for it."
    ready = calculated(splice(data, {}, changes)).data
    return put_in(_in_sheets(ready, lambda part: change(_one_choice_less(part))))


def _named(book: Book, sheets: list[str], missing: list[Key]) -> str:
    """The sheets on which something is missing, last those on which it is a part."""

    def is_part(sheet: str) -> bool:
        formulas = sum(isinstance(content, Formula) for key, content in book.cells.items() if key[0] == sheet)
        return sum(key[0] == sheet for key in missing) < _A_PART * formulas

    parts = list(filter(is_part, sheets))
    whole = ", ".join(sheet for sheet in sheets if sheet not in parts)
    return f"{whole}; parts of {', '.join(parts)}" if parts else whole


def told(book: Book) -> str:
    """The cell of Start that says which sheets need Python: beside what checks say, where paper has room."""
    return f"G{book.resolve('start_stops')[1][1:]}"


def what_needs_python(book: Book) -> tuple[list[Key], list[Key]]:
    """The judgements of checks, and the other cells, that hang on a function which no live workbook has.

    A cell that takes one of two others, or something or nothing, as a word says, does not hang on what it does not
    take: it keeps its formula, and where the word asks for what is missing it shows #N/A.
    """
    plan = compile_book(book, SHEET_FUNCTIONS)
    read, order = plan.precedents, plan.in_order
    calls = {key for key in order if _calls_left_out(key[0], book.cells.get(key))}
    table = next(item for _, item in PLACED[_CHECKS] if isinstance(item, Table) and item.key == "checks")
    judged = {
        (_CHECKS, f"{column}{row}"): column for column in _OF_A_CHECK for row in range(table.first, table.last + 1)
    }
    instead = book.resolve(_INSTEAD)
    alone = {instead, (instead[0], f"G{instead[1][1:]}")} | {key for key in order if _only_counts(book.cells.get(key))}
    hanging: set[Key] = set()
    checks: list[Key] = []
    missing: list[Key] = []
    for key in order:
        if key in alone or (key not in calls and hanging.isdisjoint(read.get(key, ()))):
            continue
        if _has_a_choice(book, key, hanging):
            continue
        column = judged.get(key)
        if column is None:
            hanging.add(key)
        elif column == _VALUE:  # its judgement says so; the list of the worst checks shows it, but does not hang on it
            checks.append((_CHECKS, f"{_JUDGED}{key[1].removeprefix(_VALUE)}"))
        if column in (None, _VALUE):
            missing.append(key)
    return checks, missing


def _only_counts(content: object) -> bool:
    return isinstance(content, Formula) and _COUNTS.fullmatch(content.text) is not None


def _has_a_choice(book: Book, key: Key, hanging: set[Key]) -> bool:
    content = book.cells.get(key)
    if not isinstance(content, Formula):
        return False
    found = _CHOICE.fullmatch(content.text)
    if found is not None and hanging.issuperset((key[0], way) for way in found.groups()[2:]):
        return False
    found = found or _BY_A_WORD.fullmatch(content.text)
    if found is None:
        return False
    asked = book.resolve(found[1])
    return asked not in hanging and book.cells.get(asked) != found[2]


def _in_sheets(data: bytes, change: Callable[[bytes], bytes]) -> bytes:
    """A copy of a workbook in which the parts that hold its sheets are changed."""
    with zipfile.ZipFile(BytesIO(data)) as archive:
        parts = [(member, archive.read(member)) for member in archive.infolist()]
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for member, part in parts:
            part = change(part) if member.filename.startswith("xl/worksheets/") else part
            archive.writestr(member, part, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def _at_once(part: bytes) -> bytes:
    """A sheet whose questions below each other are one array formula, where each takes what answers all.

    Not with macros: Calc keeps no stored values of an array formula where macros may not run.
    """
    columns: dict[tuple[bytes, ...], list[re.Match[bytes]]] = {}
    for question in _QUESTION.finditer(part):
        _, column, _, *text = question.groups()
        columns.setdefault((column, *text), []).append(question)
    instead: dict[int, bytes] = {}
    for (column, before, beside, after), found in columns.items():
        first, *_, last = rows = [int(question[3]) for question in found]
        if rows == list(range(first, last + 1)):
            instead |= {question.start(): question[1] for question in found}
            area = b"%b%d:%b%d" % (column, first, column, last)
            asked = b"%b%d:%b%d" % (beside, first, beside, last)
            instead[found[0].start()] += b'<f t="array" ref="%b">%b%b%b</f>' % (area, before, asked, after)
    return _QUESTION.sub(lambda question: instead.get(question.start(), question[0]), part)


def _one_choice_less(part: bytes) -> bytes:
    """A sheet with one word less to choose: that which needs Python. It is refused from then on."""
    return _TO_CHOOSE.sub(_one_less, part)


def _one_less(found: re.Match[bytes]) -> bytes:
    said = re.sub(rb'((?:prompt|error)=")[^"]*"', rb'\1As designed, or empty: as tested needs Python."', found[1])
    return said + b'<formula1>"as designed"</formula1>'


def _calls_left_out(sheet: str, content: object) -> bool:
    names: Iterable[str] = _CALL.findall(content.text) if isinstance(content, Formula) else ()
    slow = _TOO_SLOW.get(sheet)
    return any(sheet == _AS_A_WHOLE or f"HYDRO_{name}" == slow or name.lower() in LEFT_OUT for name in names)
