"""From a workbook to a report: recalculated values, with the labels, units and notes beside them, set as a PDF."""

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import numpy as np
import openpyxl
from openpyxl.utils.datetime import from_excel

from .. import __version__
from ..engine import library
from ..engine.book import Formula
from ..engine.compile import Key, compile_book
from ..engine.formula import Refused
from ..engine.lanes import ExcelError
from ..engine.reference import Reference, address
from ..errors import FileRefused
from ..registry import FUNCTIONS
from ..report.layout import pdf
from ..template import PLACED, Input, Result, functions_in
from ..template.model import ASSUMED, COUNTS, FUNCTIONS_UNITS, PROPOSED
from ..template.pages.checks import WAITS
from ..workbook.files import refuse_existing, write_bytes
from ..workbook.reading import read_book
from .causes import Causes
from .needs import needs
from .recalc import SHEET_FUNCTIONS

NOTHING = "not given"
YOURS_WORD = "yours"  # the state of an input that a person gave
JUDGEMENTS = ("stop", "look", WAITS, "good")  # the gravest first
# The plant in sentences: the names of the workbook's cells in braces.
SENTENCES = (
    "At the intake the water stands {gross_head} above the nozzle. The source gives {source_flow}; {left_in_stream} of "
    "it stays in the stream, so that {available_flow} may be used.",
    "A pipe of {whole_length} in all, with a bore of {bore_used} at its upper end, leads the water down; "
    "{net_head} of the head is left before the nozzle: the gauge there reads {running_pressure} while the plant runs.",
    "Jets: {jets}. Each leaves a nozzle of {nozzle} with {jet_velocity}; together they carry {flow} and a power of "
    "{jet_power}. The wheel, {pitch_diameter} from jet to jet across its middle, settles at {speed}.",
    "Kind of load: {load}. The alternator sends {current} through the cable; {load_volts} arrive at its end, and "
    "{battery_watts} go into the load. If the plant runs all day, that is {plant_energy} a day.",
    "If the load falls off, the wheel runs up to {runaway_speed}, and the open d.c. voltage to {runaway_volts}. Guard, "
    "insulation and controller must be made for that.",
)
# What follows the sentence on the watts, where the workbook has them.
BAND = (
    "What is known of the plant leaves doubt: on average {doubt_mean} go into the load, and 95 of 100 plants of which "
    "as much is known give from {doubt_low} to {doubt_high}."
)
_WATTS = 3  # the sentence that it follows
# Results in the sentences that may rest on an assumption alone: whose state says so.
_RESTS_ON = {"source_flow": "known_flow"}
_NAMES = sorted(set(re.findall(r"\{(\w+)\}", "".join(SENTENCES))) | {"site_name", "judgements", "ledger_lines"})
_PLANT = "HYDRO_PLANT"
# What every whole plant goes through, whichever of its quantities is asked.
_PLANT_STEPS = ("density", "kinematic_viscosity", "friction_factor", "minor_head", "nozzle_flow", "cup_efficiency")
LONG_SECTION = {"along": r"chainage, ", "pipe": r"pipe, ", "rest": r"rest line, ", "line": r"running line, "}
NOZZLE_CURVE = {"nozzle": r"nozzle, ", "watts": r"battery, "}
TORQUE_CURVE = {"speed": r"speed, ", "wheel": r"wheel, ", "alternator": r"drawn, "}


@dataclass(frozen=True)
class Check:
    """A row of the Checks sheet, as text."""

    label: str
    value: str
    good: str
    stop: str
    judgement: str
    why: str


@dataclass(frozen=True)
class Curves:
    """Columns of numbers from a table, by key, with the heads they have on the sheet."""

    heads: dict
    columns: dict


@dataclass(frozen=True)
class Content:
    """All that the report says."""

    site: str
    survey: str
    made: str
    sentences: list  # of lists of (text, whether it is a value of the workbook)
    results: list  # (sheet, [(label, value)])
    chosen: list  # (sheet, [(label, value)]) of inputs that a person gave
    assumed: list  # the same of those that the workbook assumes
    proposed: list  # and of choices that it proposes
    checks: list
    ledger: list  # (label, watts or text, share)
    curves: dict
    points: dict  # (x, y) by name of a point, None where there is none
    cautions: list
    errors: list
    needs: list  # what a person must give or mend
    sources: list


class Reading:
    """A recalculated workbook: values by name, with label and unit."""

    def __init__(self, path):
        self.book = read_book(path)
        self.refuse_strangers()
        plan = compile_book(self.book, SHEET_FUNCTIONS)
        result = plan.run()
        self.values = {key: value for key, value in self.book.cells.items() if not isinstance(value, Formula)}
        formulas = {key: result.value(key) for key in plan.outputs}
        self.values |= formulas
        self.for_charts = Causes(self.book, plan).meant(formulas)
        self.stored = openpyxl.load_workbook(BytesIO(self.book.data))  # number formats and the date of saving

    def refuse_strangers(self) -> None:
        """Raises `FileRefused` where the workbook lacks names without which there is no report."""
        missing = [name for name in _NAMES if not isinstance(self.book.names.get(name), Reference)]
        if len(missing) > len(_NAMES) / 2:
            raise FileRefused(
                f"{self.book.source}: not a workbook made from hydrofunc's template: "
                "its cells have none of the template's names"
            )
        if missing:
            raise FileRefused(
                f"{self.book.source}: cells without which there is no report have lost their names: "
                f"{', '.join(missing)}"
            )

    def has(self, name: str) -> bool:
        """Does the name stand for one cell?"""
        return isinstance(self.book.names.get(name), Reference) and self.book.names[name].single

    def key(self, name: str) -> Key:
        """The cell of a name. Raises `LookupError`."""
        return self.book.resolve(name)

    def shown_key(self, name: str) -> Key:
        """The cell that shows what a name stands for, with its unit beside it. Raises `LookupError`.

        The name alone may stand for a cell in the functions' unit, of the workings or far to the right on the same row.
        """
        typed = f"yours_{name}"
        sheet, cell = self.key(typed if self.has(typed) else name)
        column, row = re.match(r"([A-Z]+)(\d+)", cell).groups()
        return sheet, f"{COUNTS}{row}" if self.has(typed) or column == FUNCTIONS_UNITS else cell

    def value(self, name: str) -> object:
        """What the cell of a name holds; None where it is blank."""
        return self.values.get(self.key(name))

    def beside(self, key: Key, column: str) -> str:
        """What stands in another column of the same row, if words do."""
        value = self.values.get((key[0], column + re.sub(r"\D", "", key[1])))
        return value if isinstance(value, str) else ""

    def text(self, key: Key) -> str:
        """A cell as it shows."""
        value = self.values.get(key)
        if value is None or value == "":
            return NOTHING
        if isinstance(value, (str, bool, ExcelError)):
            return str(value)
        sheet, cell = key
        return shown(value, self.stored[sheet][cell].number_format) or NOTHING  # a format may show nothing of a 0

    def measure(self, key: Key) -> str:
        """A cell as it shows, with the unit beside it in column D."""
        text = self.text(key)
        unit = self.beside(key, "D").removeprefix("-") if _is_number(self.values.get(key)) and text != NOTHING else ""
        return f"{text} {unit}" if unit else text

    def rows(self, name: str) -> Iterator[tuple[str, int, str]]:
        """(sheet, row, column letter) of each row of a named column."""
        area = self.book.names[name]
        for row in range(area.top, area.bottom + 1):
            yield area.sheet, row, re.sub(r"\d", "", address(row, area.left))

    def table(self, sheet: str, patterns: dict[str, str]) -> Curves | None:
        """The `Curves` below the first row of a sheet whose heads fit all patterns, or None."""
        title = self.book.sheet(sheet)
        if title is None:
            return None
        last_row, last_column = self.book.sizes[title]
        letters = [re.sub(r"\d", "", address(1, column)) for column in range(1, last_column + 1)]
        for row in range(1, last_row + 1):
            cells = {letter: self.values.get((title, f"{letter}{row}")) for letter in letters}
            heads = {letter: head for letter, head in cells.items() if isinstance(head, str)}
            letter_of = {key: _first_fitting(heads, pattern) for key, pattern in patterns.items()}
            if None not in letter_of.values() and len(set(letter_of.values())) == len(letter_of):
                columns = self._below(title, row + 1, last_row, letter_of)
                return Curves({key: heads[letter] for key, letter in letter_of.items()}, columns) if columns else None
        return None

    def _below(self, title, first, last, letters):
        columns = {key: [] for key in letters}
        for row in range(first, last + 1):
            values = {key: self.values.get((title, f"{letter}{row}")) for key, letter in letters.items()}
            if all(value is None for value in values.values()):
                break
            for key, value in values.items():
                columns[key].append(float(value) if _is_number(value) else np.nan)
        return columns if len(next(iter(columns.values()))) > 1 else None


def _is_number(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _first_fitting(heads, pattern):
    """The letter of the first head that fits a pattern, or None."""
    return next((letter for letter, head in heads.items() if re.match(pattern, head, re.I)), None)


def shown(value: float, picture: str) -> str:
    """A number in a cell's number format."""
    if re.match(r"y+-m+-d+", picture):
        return from_excel(value).date().isoformat() if value else NOTHING
    parts = picture.split(";")
    part = parts[min(len(parts) - 1, 0 if value > 0 else 1 if value < 0 else 2)] if len(parts) > 1 else picture
    if len(parts) == 2 and value == 0:
        part = parts[0]
    if not part:
        return ""
    try:
        return (
            f"{value:.6g}"
            if part == "General"
            else library.formatter(part)(np.array([abs(value) if len(parts) > 1 and value < 0 else value]))[0]
        )
    except Refused:
        return f"{value:.6g}"


def report(book: str | Path, out: str | Path, force: bool = False) -> tuple[list[str], list[str]]:
    """Write the report of the workbook at `book` to `out`, a new .pdf file.

    Returns as text the checks that say stop and the cells that show an error, and what the workbook needs of a person.
    Raises `FileRefused` where the book is none of ours or `out` would be overwritten, and `FormulaRefused` where it
    holds what the engine does not evaluate.
    """
    refuse_existing([out], force)
    content = read(book)
    write_bytes(out, pdf(content), force)
    stops = [f"stop: {check.label}: {check.value}" for check in content.checks if check.judgement == "stop"]
    return [*stops, *content.errors], content.needs


def read(path: str | Path) -> Content:
    """The `Content` of the workbook at `path`."""
    reading = Reading(path)
    inputs = _inputs(reading)
    return Content(
        site=name if (name := reading.text(reading.key("site_name"))) != NOTHING else "A site without a name",
        survey=_survey(reading),
        made=_made(reading, path),
        sentences=_sentences(reading),
        results=_results(reading),
        chosen=inputs[YOURS_WORD],
        assumed=inputs[ASSUMED],
        proposed=inputs[PROPOSED],
        checks=_checks(reading),
        ledger=_ledger(reading),
        curves={
            "long_section": reading.table("Route", LONG_SECTION),
            "nozzle_curve": reading.table("Nozzle", NOZZLE_CURVE),
            "torque_curve": reading.table("Alternator and battery", TORQUE_CURVE),
        },
        points={
            "fitted": _point(reading, "nozzle", "battery_watts"),
            "best": _point(reading, "top_nozzle", "top_watts"),
            "settled": _point(reading, "speed", "electrical_torque"),
        },
        cautions=_cautions(reading),
        errors=[
            f"{sheet}!{cell} shows {value}"
            for (sheet, cell), value in reading.values.items()
            if isinstance(value, ExcelError) and (sheet, cell) not in reading.for_charts
        ],
        needs=needs(reading.book, reading.values.get),
        sources=_sources(reading),
    )


def _survey(reading):
    parts = []
    for name in ("survey_date", "surveyed_by"):
        if reading.has(name):
            key = reading.key(name)
            parts.append(f"{reading.beside(key, 'B')}: {reading.text(key)}")
    return ". ".join(parts)


def _made(reading, path):
    saved = reading.stored.properties.modified
    by_hand = saved is not None and (saved.hour, saved.minute, saved.second) != (0, 0, 0)
    when = f"last saved {saved:%Y-%m-%d %H:%M} UTC" if by_hand else "as hydrofunc wrote it"
    mark = hashlib.sha256(reading.book.data).hexdigest()[:12]
    return (
        f"hydrofunc {__version__}. All values recalculated from {Path(path).name}, {when}; "
        f"fingerprint of the file (SHA-256) {mark}."
    )


def _sentences(reading):
    """The plant in sentences, each as (text, whether it is a value of the workbook) in order."""
    if reading.has("missing") and reading.value("missing"):
        return [[("Nothing can be worked out yet. ", False), (reading.text(reading.key("missing")).strip(), True)]]
    texts = list(SENTENCES)
    if all(map(reading.has, re.findall(r"\{(\w+)\}", BAND))):
        texts.insert(_WATTS + 1, BAND)
    return [_sentence(reading, text) for text in texts]


def _sentence(reading, text):
    pieces = []
    for i, piece in enumerate(re.split(r"\{(\w+)\}", text)):
        if i % 2:
            pieces += [(reading.measure(reading.shown_key(piece)), True), (_whose(reading, piece), False)]
        else:
            pieces.append((piece, False))
    return [(words, is_value) for words, is_value in pieces if words]


def _whose(reading, name):
    """In brackets, that nobody gave an input: it is assumed or proposed."""
    state = f"state_{_RESTS_ON.get(name, name)}"
    word = reading.value(state) if reading.has(state) else ""
    return f" ({word})" if word in (ASSUMED, PROPOSED) else ""


def _results(reading):
    """The strong results of every sheet, each under its own label; those that wait for an input are left out."""
    results = []
    for sheet, items in PLACED.items():
        lines = [
            (label, value)
            for item, label, value, _ in _lines(reading, items)
            if isinstance(item, Result) and item.strong and value != NOTHING
        ]
        if lines:
            results.append((sheet, lines))
    return results


def _lines(reading, items):
    """(item, label, value with unit, its state) of the one-line items of a sheet; a result has no state.

    A label that goes on from the one above has that one in front.
    """
    above = ""
    for _, item in items:
        key = _key_of_line(reading, item) if isinstance(item, (Input, Result)) else None
        if key:
            label = reading.beside(key, "B")
            if label[:1].islower():
                label = f"{above}, {label}"
            else:
                above = label
            yield item, label, reading.measure(key), reading.beside(key, "F") if isinstance(item, Input) else ""


def _key_of_line(reading, item):
    """The cell that shows what counts of an input, or that of a result; None where the workbook has lost its name."""
    return reading.shown_key(item.name) if reading.has(item.name) else None


def _inputs(reading):
    """{"yours", "assumed" or "proposed": [(sheet, [(label, value)])]} of the inputs that count."""
    groups = {state: [] for state in (YOURS_WORD, ASSUMED, PROPOSED)}
    for sheet, items in PLACED.items():
        lines = {state: [] for state in groups}
        for item, label, value, state in _lines(reading, items):
            # every workbook is written in some units: they are nobody's measurement or choice for the plant
            if state in lines and value != NOTHING and item.name != "units":
                lines[state].append((label, value))
        for state, group in lines.items():
            if group:
                groups[state].append((sheet, group))
    return groups


def _checks(reading):
    """Every row of the Checks sheet, the gravest first."""
    checks = []
    for sheet, row, column in reading.rows("judgements"):

        def cell(letter, sheet=sheet, row=row):
            return sheet, f"{letter}{row}"

        judgement = reading.text((sheet, f"{column}{row}"))
        checks.append(
            Check(
                reading.text(cell("B")),
                reading.measure(cell("C")),
                *_limits(reading, cell("E"), cell("F")),
                judgement,
                reading.beside(cell("B"), "H"),
            )
        )
    grave = {judgement: i for i, judgement in enumerate(JUDGEMENTS)}
    return sorted(checks, key=lambda check: grave.get(check.judgement.partition(":")[0], -1))


def _limits(reading, good, stop):
    """Where good ends and where stop begins, as text; a stop below the good says that low is bad."""
    both = reading.text(good), reading.text(stop)
    values = reading.values.get(good), reading.values.get(stop)
    falling = all(isinstance(value, (int, float)) for value in values) and values[1] < values[0]
    return (f"from {both[0]}", f"below {both[1]}") if falling else both


def _ledger(reading):
    lines = []
    for sheet, row, column in reading.rows("ledger_lines"):
        key = sheet, f"{column}{row}"
        value = reading.values.get(key)
        number = float(value) if isinstance(value, (int, float)) else np.nan
        lines.append((reading.beside(key, "B"), number, reading.measure(key)))
    return lines


def _point(reading, x, y):
    if not (reading.has(x) and reading.has(y)):
        return None
    pair = reading.value(x), reading.value(y)
    return pair if all(isinstance(value, (int, float)) for value in pair) else None


def _cautions(reading):
    """Every paragraph marked ! on the sheets, once, in their order."""
    cautions = {}
    for sheet in reading.book.sheets:
        for row in range(1, reading.book.sizes[sheet][0] + 1):
            words = reading.values.get((sheet, f"B{row}"))
            if reading.values.get((sheet, f"A{row}")) == "!" and isinstance(words, str):
                cautions.setdefault(words, sheet)
    return [(sheet, words) for words, sheet in cautions.items()]


def _sources(reading):
    """Sources of the functions the workbook calls, each once; examples of one book together."""
    called = set()
    for cell in reading.book.cells.values():
        if isinstance(cell, Formula):
            called.update(functions_in(cell.text))
            if _PLANT in cell.text:  # it asks a whole plant for a quantity that has a function of its own name
                asked = (FUNCTIONS[name] for name in re.findall(r'"(\w+)"', cell.text) if name in FUNCTIONS)
                called.update(function.sheet_name for function in asked)
    if _PLANT in called:
        called.update(FUNCTIONS[name].sheet_name for name in _PLANT_STEPS)
    said = "; ".join(function.source for function in FUNCTIONS.values() if function.sheet_name in called)
    works = {}
    for part in re.split(r"; (?=[A-Z])", said):  # what goes on in small letters belongs to the source before it
        work, mark, example = part.partition(", Ex. ")
        works.setdefault(work + mark, {})[example] = True
    return [work + ", ".join(examples) for work, examples in works.items()]
