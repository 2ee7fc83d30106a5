"""The add-in inside LibreOffice: hands every call to the worker. Standard library and uno only, Python 3.8.

The worker is started at the first call. A worker that dies is started again, once for each call; one that
does not answer in time is ended. Then the cell shows #N/A, and so does every other one at once, so that a sheet of many
cells does not wait for each. Meanwhile a thread starts workers, with pauses, until one answers; then the documents that
were not answered are calculated again.
"""

from __future__ import annotations  # types of today in a Python of yesterday: they are never evaluated

import json
import os
import queue
import re
import struct
import subprocess
import sys
import tempfile
import threading
import time
from collections import OrderedDict
from contextlib import suppress
from typing import Any, Callable, Iterator

import uno
import unohelper
from com.sun.star.awt import XCallback
from com.sun.star.lang import XServiceInfo

HERE = os.path.dirname(unohelper.fileUrlToSystemPath(__file__) if __file__.startswith("file:") else __file__)
with open(os.path.join(HERE, "hydrofunc.json"), encoding="utf-8") as _file:
    SETTINGS = json.load(_file)

FIRST_ANSWER, ANSWER, FOR_EACH_CELL = 20.0, 10.0, 1e-3  # seconds to wait
SHORTEST_PAUSE, LONGEST_PAUSE = 2.0, 60.0  # seconds between tries
# Answers are remembered in two boxes: a full one takes the place of the older one. So calls that come round again are
# known, up to twice as many. Calls of a box, and cells in their ranges (some 25 MB each).
REMEMBERED, REMEMBERED_CELLS = 40_000, 400_000
# What is asked together with a call: at most so many calls, and so many as the worker answers in this time, in seconds.
TOGETHER, TOGETHER_TIME = 500, 2.0
SETS, IN_A_SET = 16, 5_000  # sets of calls that are remembered for each function and place, and the calls in one
BLANK_CELL = (("",),)  # rows of a range, as Calc hands over a blank cell in it


def _error(code: int) -> float:
    """A not-a-number that Calc shows as the error value with this code."""
    value: float = struct.unpack("<d", struct.pack("<Q", 0x7FF8000000000000 | code))[0]
    return value


ERRORS = {"#NUM!": _error(503), "#VALUE!": _error(519), "#N/A": _error(32767)}
NO_ANSWER = ((ERRORS["#N/A"],),)


SERVICE = SETTINGS["service"].upper()
CALL = re.compile(re.escape(SERVICE) + r"\.([A-Z0-9_]+)$")
CELLS = re.compile(
    r"(?:\$?('(?:[^']|'')+'|[^\s'.$;()!&+*/^<>=:-]+)\.)?\$?([A-Z]{1,3})\$?([0-9]+)(?::\$?([A-Z]{1,3})\$?([0-9]+))?"
)
NAME = re.compile(r"(?![A-Z]{1,3}[0-9]+$)[^\W\d][\w.]*$")  # of cells; A1 is none
NUMBER_CELLS, FORMULA_CELLS = 3, 16  # com.sun.star.sheet.CellFlags
SOON, QUICK = 0.002, 0.2  # seconds: next to nothing; faster than a person
KEEP = 39  # see `Blanks`
UNCLEAR = (
    "One of the arguments is 0, and other formulas give an empty cell there. Calc hands over both as 0: "
    "fill the empty cells, or leave the argument out."
)


class Silent(Exception):
    """The worker did not answer in time."""


class Worker:
    """One worker process. A thread of its own writes and reads, so that no pipe can block Calc."""

    def __init__(self) -> None:
        environment = {
            name: value
            for name, value in os.environ.items()
            if not name.startswith("PYTHON") and name != "LD_LIBRARY_PATH"
        }
        self.complaints = tempfile.TemporaryFile()  # noqa: SIM115  (open as long as the process)
        flags: dict[str, Any] = {}
        if sys.platform == "win32":
            flags["creationflags"] = subprocess.CREATE_NO_WINDOW
        self.process = subprocess.Popen(
            SETTINGS["command"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self.complaints,
            env=environment,
            **flags,
        )
        self.requests: queue.SimpleQueue[bytes | None] = queue.SimpleQueue()
        self.answers: queue.SimpleQueue[bytes] = queue.SimpleQueue()
        self.wait = FIRST_ANSWER
        thread = threading.Thread(target=self._serve, daemon=True)
        thread.start()

    def _serve(self) -> None:
        stdin: Any = self.process.stdin  # pipes both, as Popen was asked for
        stdout: Any = self.process.stdout
        try:
            while True:
                request = self.requests.get()
                if request is None:
                    return
                stdin.write(request)
                stdin.flush()
                line = stdout.readline()
                self.answers.put(line)
                if not line:
                    return
        except (OSError, ValueError):
            self.answers.put(b"")

    def ask(self, request: bytes, cells: int) -> bytes:
        """The line that answers; empty if the worker died. Raises `Silent`."""
        self.requests.put(request)
        try:
            line = self.answers.get(timeout=self.wait + cells * FOR_EACH_CELL)
        except queue.Empty:
            raise Silent() from None
        self.wait = ANSWER
        return line

    def end(self) -> str:
        """Kill the process; the thread ends too. The last line that the process has written as an error."""
        self.process.kill()
        self.process.wait()
        self.requests.put(None)
        with self.complaints as written:
            written.seek(0)
            lines = written.read()[-2000:].decode("utf-8", "replace").split("\n")
        return next((line.strip() for line in reversed(lines) if line.strip()), "")


class Range:
    """The cells of a range; equal to itself only, so that a call with it is looked up fast. See `Caller._key`."""

    __slots__ = ("rows",)

    def __init__(self, rows: tuple[Any, ...]) -> None:
        self.rows = rows


class Sets:
    """Sets of calls of one function that have the same values in some places, such as the plant; the rest differs.

    Where one call comes with new values there, those of its set are likely to come with the same new values.
    """

    PLACES = ((0,), (0, 1), (0, 2), (0, 3))

    def __init__(self) -> None:
        self.sets: list[OrderedDict[Any, dict[Any, None]]] = [OrderedDict() for _ in self.PLACES]
        self.last: list[dict[Any, Any]] = [{} for _ in self.PLACES]  # of each rest, the values it last had

    def note(self, arguments: tuple[Any, ...]) -> None:
        """A call was asked for by Calc."""
        for places, sets, last in zip(self.PLACES, self.sets, self.last):
            values, rest = _split(arguments, places)
            if values in sets:
                sets.move_to_end(values)
            else:
                sets[values] = {}
                if len(sets) > SETS:
                    old, rests = sets.popitem(last=False)
                    for one in rests:
                        if last.get(one) == old:
                            del last[one]
            if len(sets[values]) < IN_A_SET:
                sets[values][rest] = None
                last[rest] = values

    def likely(self, arguments: tuple[Any, ...], known: Callable[[Any], bool], most: int) -> list[Any]:
        """This call, and those not known yet that are likely to come with it."""
        best = [arguments]
        for places, sets, last in zip(self.PLACES, self.sets, self.last):
            values, rest = _split(arguments, places)
            old = last.get(rest, values)
            if old != values and len(sets.get(old, ())) > len(best):
                calls = [arguments]
                for other in sets[old]:
                    call = _joined(values, other, places)
                    if other != rest and not known(call):
                        calls.append(call)
                        if len(calls) >= most:
                            break
                if len(calls) > len(best):
                    best = calls
        return best


def _split(arguments: tuple[Any, ...], places: tuple[int, ...]) -> tuple[Any, Any]:
    """What stands in these places, and the rest."""
    if len(places) == 1:
        return arguments[:1], arguments[1:]
    place = places[1]
    return arguments[:1] + arguments[place : place + 1], arguments[1:place] + arguments[place + 1 :]


def _joined(values: tuple[Any, ...], rest: tuple[Any, ...], places: tuple[int, ...]) -> tuple[Any, ...]:
    """The arguments that `_split` has split."""
    if len(places) == 1:
        return values + rest
    place = places[1] - 1
    return values[:1] + rest[:place] + values[1:] + rest[place:]


class Caller:
    """Asks the worker, and decides what happens when it does not answer."""

    def __init__(self) -> None:
        self.worker: Worker | None = None
        self.fault = ""  # why no worker answers, in words; then a thread looks for one that does
        self.unanswered: dict[str, Any] = {}  # documents by their identifier
        self.known: dict[tuple[str, Any], Any] = {}
        self.known_before: dict[tuple[str, Any], Any] = {}
        self.ranges: dict[Any, Range] = {}  # by their rows
        self.ranges_before: dict[Any, Range] = {}
        self.cells = 0  # in the ranges of known calls
        self.sets: dict[str, Sets] = {}  # by function
        self.took: dict[str, float] = {}  # seconds of one call, when the function was last asked

    def call(self, name: str, arguments: tuple[Any, ...], fingerprints: dict[str, str], document: Any = None) -> Any:
        """Rows of values, as Calc takes them."""
        try:
            key = self._key(name, arguments)
        except TypeError:  # a list in it
            return self._noted(self._asked(name, arguments, fingerprints), document)
        sets = self.sets.get(name)
        if sets is None:
            sets = self.sets[name] = Sets()
        rows = self.known.get(key)
        if rows is None:
            rows = self.known_before.get(key)
            if rows is None:
                most = min(TOGETHER, int(TOGETHER_TIME / self.took.get(name, TOGETHER_TIME)))
                calls = sets.likely(key[1], lambda call: self._is_known((name, call)), most)
                rows = self._asked_together(name, calls, fingerprints)
            else:
                self._remember(key, rows)
        sets.note(key[1])
        return self._noted(rows, document)

    def _key(self, name: str, arguments: tuple[Any, ...]) -> tuple[str, Any]:
        """What a call is known by: equal ranges are one and the same there. Raises TypeError for what has no hash."""
        key = []
        for argument in arguments:
            if isinstance(argument, tuple):
                found = self.ranges.get(argument)
                if found is None:
                    found = self.ranges_before.get(argument) or Range(argument)
                    self.ranges[argument] = found
                    self.cells += len(argument) * len(argument[0])
                key.append(found)
            else:
                hash(argument)
                key.append(argument)
        return name, tuple(key)

    def _is_known(self, key: tuple[str, Any]) -> bool:
        return key in self.known or key in self.known_before

    def _remember(self, key: tuple[str, Any], rows: Any) -> None:
        if len(self.known) >= REMEMBERED or self.cells >= REMEMBERED_CELLS:
            self.known_before, self.known = self.known, {}
            self.ranges_before, self.ranges, self.cells = self.ranges, {}, 0
        self.known[key] = rows

    def _noted(self, rows: Any, document: Any) -> Any:
        if rows is NO_ANSWER and document is not None:
            self.unanswered[document.RuntimeUID] = document
        return rows

    def _asked_together(self, name: str, calls: list[Any], fingerprints: dict[str, str]) -> Any:
        """The rows of the first of these calls; those of all are remembered."""
        start = time.monotonic()
        if len(calls) == 1:
            answers = [self._asked(name, _plain(calls[0]), fingerprints)]
        else:
            columns = [_plain(column[:1] if _alike(column) else column) for column in zip(*calls)]
            answers = self._asked(name, columns, fingerprints, len(calls))
            if answers is NO_ANSWER:
                answers = [NO_ANSWER]
        self.took[name] = (time.monotonic() - start) / len(calls)
        for arguments, rows in zip(calls, answers):
            if rows is not NO_ANSWER and len(rows) == len(rows[0]) == 1:
                self._remember((name, arguments), rows)
        return answers[0]

    def words(self, name: str, arguments: tuple[Any, ...], fingerprints: dict[str, str], document: Any = None) -> Any:
        """As `call`, for an answer in words: where none comes, they say why."""
        rows = self.call(name, arguments, fingerprints, document)
        if rows is not NO_ANSWER:
            return rows
        return ((f"hydrofunc does not answer: {self.fault}. On the command line, hydrofunc doctor says more.",),)

    def _asked(self, name: str, arguments: Any, fingerprints: dict[str, str], calls: int = 0) -> Any:
        """Rows; of many calls, whose arguments come as columns, a list of them."""
        if self.fault:
            return NO_ANSWER
        cells = calls or _count(arguments)
        parts = (name, arguments, fingerprints, calls) if calls else (name, arguments, fingerprints)
        request = json.dumps(parts).encode() + b"\n"
        fault = ""
        for _ in range(2):
            try:
                if self.worker is None:
                    self.worker = Worker()
                line = self.worker.ask(request, cells)
            except Silent:
                self._drop()
                fault = "it was busy for too long"
                break
            except OSError as error:  # no such interpreter
                fault = f"{SETTINGS['command'][0]} cannot be started: {error.strerror}"
                break
            if line.endswith(b"\n"):
                answer = json.loads(line)
                return [_rows(rows) for rows in answer] if calls else _rows(answer)
            fault = f"{SETTINGS['command'][0]} ended: {self._drop() or 'no reason given'}"
        self.fault = fault
        threading.Thread(target=self._look_for_another, daemon=True).start()
        return NO_ANSWER

    def _drop(self) -> str:
        """End the worker; its last complaint."""
        worker, self.worker = self.worker, None
        return worker.end() if worker is not None else ""

    def _look_for_another(self) -> None:
        """In a thread of its own: pauses and tries, until a worker answers; then calculate again."""
        pause = SHORTEST_PAUSE
        while True:
            time.sleep(pause)
            pause = min(2 * pause, LONGEST_PAUSE)
            try:
                worker = Worker()
            except OSError:
                continue
            try:
                if worker.ask(b'["version", [], {}]\n', 0).endswith(b"\n"):
                    break
            except Silent:
                pass
            worker.end()
        self.worker, self.fault = worker, ""
        context = uno.getComponentContext()
        service = context.ServiceManager.createInstanceWithContext("com.sun.star.awt.AsyncCallback", context)
        service.addCallback(_Recalculation(), None)


class _Recalculation(unohelper.Base, XCallback):
    """Calc calls this in its own thread, when it has nothing else to do."""

    def notify(self, _: Any) -> None:
        documents, CALLER.unanswered = list(CALLER.unanswered.values()), {}
        for document in documents:
            with suppress(Exception):  # it may be closed meanwhile
                document.calculateAll()


def _rows(answer: list[list[Any]]) -> tuple[Any, ...]:
    return tuple(tuple(ERRORS.get(v, v) for v in row) for row in answer)


def _plain(items: tuple[Any, ...]) -> list[Any]:
    """With the cells of ranges in their place."""
    return [item.rows if isinstance(item, Range) else item for item in items]


def _alike(column: tuple[Any, ...]) -> bool:
    """Is it the same in all calls? -0.0 is another number than 0.0."""
    first = column[0]
    return all(item is first for item in column) or len({repr(item) for item in column}) == 1


def _count(arguments: tuple[Any, ...]) -> int:
    """Cells in the ranges of a call."""
    return sum(len(a) * len(a[0]) for a in arguments if isinstance(a, tuple) and a)


CALLER = Caller()


class Unclear(Exception):
    """A 0 that may be a blank cell: both occur in this argument."""


class Blanks:
    """Tells blank cells from zeros in one document.

    Calc hands over a blank cell as 0. So where a 0 comes in an argument in which it does not mean the same as
    nothing, the formulas of the document that call the function are looked through for what stands in that
    argument. Where no single blank cell does, it is a 0; where nothing that may be 0 does, it is a blank cell;
    else it is unclear. A slot is the index of an argument in a call.

    Reading takes a fortieth of the time at most: what was read counts for `KEEP` times as long as reading took. Of a
    large document that is seconds, in which somebody may type another formula. So meanwhile it is compared where
    formulas stand at all, what those say that call such a function, and what stands in the selected cells, which is
    what a person has typed or pasted last. Each of these, and a verdict, counts for `KEEP` times as long as it took:
    the selection and a verdict for some hundredths of a second, the others for a second or two. A formula that a
    script, undo or find-and-replace turns into a call of ours, in place, is known from the next full reading on: in a
    large document that can be ten seconds.
    """

    def __init__(self) -> None:
        self.read = Kept()
        self.compared, self.selected = Kept(0.0), Kept(0.0)
        self.asked: set[str] = set()  # methods that it was asked about
        self.names: tuple[str, ...] = ()
        self.blocks: list[tuple[int, Any]] = []  # (sheet, address) of each rectangle of formulas
        self.formulas: list[Any] = []  # their rows
        self.callers: dict[str, list[int]] = {}  # the blocks with calls of a method
        self.ours: set[tuple[int, str]] = set()  # (sheet, formula) of all with a call
        self.slots: dict[tuple[str, int], Slot] = {}
        self.verdicts: dict[tuple[str, int], tuple[Kept | None, bool | None]] = {}

    def is_blank(self, document: Any, method: str, slot: int) -> bool:
        """Does a 0 in this slot of the method's calls stand for a blank cell? Raises `Unclear`."""
        if not self.read.holds() or (
            self.read.is_long() and (self._is_new_selected(document) or self._is_changed(document, method))
        ):
            self._read(document)
        key = (method, slot)
        kept, verdict = self.verdicts.get(key, (None, None))
        if kept is None or (self.read.is_long() and not kept.holds()):
            kept = Kept(0.0)
            with kept:
                verdict = self.slots[key].verdict(document) if key in self.slots else False
            self.verdicts[key] = kept, verdict
        if verdict is None:
            raise Unclear()
        return verdict

    def _read(self, document: Any) -> None:
        with self.read:
            names, blocks = _formula_blocks(document)
            sheets = [document.Sheets.getByIndex(index) for index in range(len(names))]
            formulas = [_cells(sheets[index], block).getFormulaArray() for index, block in blocks]
            if (names, blocks, formulas) != (self.names, self.blocks, self.formulas):
                self.names, self.blocks, self.formulas = names, blocks, formulas
                self._sort()
        self.verdicts = {}

    def _is_changed(self, document: Any, method: str) -> bool:
        """Do formulas stand elsewhere, or do those read that call what was asked about say something else now?"""
        if method in self.asked and self.compared.holds():
            return False
        self.asked.add(method)
        with self.compared:
            names, blocks = _formula_blocks(document)
            if (names, blocks) != (self.names, self.blocks):
                return True
            for number in {number for asked in self.asked for number in self.callers.get(asked, ())}:
                sheet, block = blocks[number]
                if _cells(document.Sheets.getByIndex(sheet), block).getFormulaArray() != self.formulas[number]:
                    return True
        return False

    def _is_new_selected(self, document: Any) -> bool:
        """Does a formula with a call of ours that was not read stand in the selected cells?"""
        if self.selected.holds():
            return False
        with self.selected:
            controller = document.getCurrentController()
            cells: Any = controller.getSelection() if controller is not None else None
            if not hasattr(cells, "queryContentCells"):
                return False
            for block in cells.queryContentCells(FORMULA_CELLS).getRangeAddresses():
                for row in _cells(document.Sheets.getByIndex(block.Sheet), block).getFormulaArray():
                    if any((block.Sheet, formula) not in self.ours for formula in row if SERVICE in formula):
                        return True
        return False

    def _sort(self) -> None:
        self.slots, self.callers, self.ours = {}, {}, set()
        sheets = {name: i for i, name in enumerate(self.names)}
        for number, ((index, _), rows) in enumerate(zip(self.blocks, self.formulas)):
            methods = set()
            for row in rows:
                for formula in row:
                    if SERVICE in formula:
                        self.ours.add((index, formula))
                    for method, arguments in calls(formula):
                        methods.add(method)
                        for slot, text in enumerate(arguments):
                            self.slots.setdefault((method, slot), Slot()).note(sheets, index, text)
            for method in methods:
                self.callers.setdefault(method, []).append(number)


class Kept:
    """How long something counts: for `KEEP` times as long as it took; not at all if that was less than `least`."""

    def __init__(self, least: float = SOON) -> None:
        self.least = least
        self.start = self.took = self.until = 0.0

    def __enter__(self) -> None:
        self.start = time.monotonic()

    def __exit__(self, *_: Any) -> None:
        end = time.monotonic()
        self.took = end - self.start
        self.until = end + (KEEP * self.took if self.took > self.least else 0.0)

    def holds(self) -> bool:
        return time.monotonic() <= self.until

    def is_long(self) -> bool:
        """Long enough for a person to change something meanwhile?"""
        return KEEP * self.took > QUICK


def _formula_blocks(document: Any) -> tuple[tuple[str, ...], list[tuple[int, Any]]]:
    """The sheets' names, and the rectangles in which formulas stand: (sheet, address)."""
    sheets = document.Sheets
    names, blocks = sheets.ElementNames, []
    for index in range(len(names)):
        found = sheets.getByIndex(index).queryContentCells(FORMULA_CELLS).getRangeAddresses()
        blocks += [(index, block) for block in found]
    return names, blocks


class Slot:
    """What stands in one argument of one function's calls: single cells, names, and may anything else be 0."""

    def __init__(self) -> None:
        self.cells: dict[tuple[int, int, int], Any] = {}
        self.names: set[tuple[int, str]] = set()
        self.other = False
        self.ranges: Any = None

    def note(self, sheets: dict[str, int], index: int, text: str) -> None:
        """Add what stands in one call on sheet `index`."""
        if NAME.match(text):
            self.names.add((index, text))
            return
        address = _address(sheets, index, text)
        if address is None:
            self.other = self.other or _may_be_zero(text)
        else:
            _add_cell(self.cells, address)

    def verdict(self, document: Any) -> bool | None:
        """True: some cell is blank and nothing else may be 0. False: no cell is blank. None: both."""
        cells, other = dict(self.cells), self.other
        for index, name in self.names:  # what a name means can change while the formulas stay
            address = _meaning(document, index, name)
            if address is None:
                other = True
            else:
                _add_cell(cells, address)
        if not cells:
            return False
        if self.ranges is None or self.names:
            self.ranges = document.createInstance("com.sun.star.sheet.SheetCellRanges")
            self.ranges.addRangeAddresses(tuple(cells.values()), True)
        if not self.ranges.queryEmptyCells().getCount():
            return False
        may_be_zero = other or self.ranges.queryContentCells(FORMULA_CELLS).getCount()
        return None if may_be_zero or _has_zero(document, self.ranges) else True


def calls(formula: str) -> Iterator[tuple[str, list[str]]]:
    """(method, texts of its arguments) of each call of ours in a formula, as Calc's API writes it."""
    if SERVICE not in formula:
        return
    opened: list[list[Any]] = []  # [method or None, start of the argument, arguments]
    quote = None
    for i, character in enumerate(formula):
        if quote:
            quote = None if character == quote else quote
        elif character in "\"'":
            quote = character
        elif character in "({":
            before = CALL.search(formula, 0, i) if character == "(" else None
            opened.append([before and before.group(1), i + 1, []])
        elif opened and (character in ")}" or (character == ";" and opened[-1][0])):
            opened[-1][2].append(formula[opened[-1][1] : i].strip())
            opened[-1][1] = i + 1
            if character in ")}":
                method, _, arguments = opened.pop()
                if method:
                    yield method, arguments


def _address(sheets: dict[str, int], index: int | None, text: str) -> Any:
    """Where a reference in A1 notation points; None for anything else. `sheets`: numbers by names."""
    match = CELLS.fullmatch(text)
    if not match:
        return None
    name, letters, row, last_letters, last_row = match.groups()
    if name is not None:
        index = sheets.get(name[1:-1].replace("''", "'") if name.startswith("'") else name)
    if index is None:
        return None
    address = uno.createUnoStruct("com.sun.star.table.CellRangeAddress")
    address.Sheet = index
    address.StartColumn, address.StartRow = _column(letters), int(row) - 1
    address.EndColumn = address.StartColumn if last_letters is None else _column(last_letters)
    # A1:A1 is a range of one cell and arrives as rows; one row more keeps it apart from A1.
    address.EndRow = address.StartRow if last_row is None else int(last_row)
    return address


def _meaning(document: Any, index: int, name: str) -> Any:
    """The cells that a name means on a sheet; None where it means none."""
    for holder in (document.Sheets.getByIndex(index), document):
        if holder.NamedRanges.hasByName(name):
            cells = holder.NamedRanges.getByName(name).getReferredCells()
            return cells.getRangeAddress() if cells is not None else None
    return None


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number - 1


def _add_cell(cells: dict[tuple[int, int, int], Any], address: Any) -> None:
    """Add an address to those of single cells, if it is one. A range arrives as rows, with "" for a blank cell."""
    if address.StartColumn == address.EndColumn and address.StartRow == address.EndRow:
        cells[address.Sheet, address.StartColumn, address.StartRow] = address


def _may_be_zero(text: str) -> bool:
    try:
        return float(text) == 0.0
    except ValueError:
        return text != ""


def _has_zero(document: Any, cells: Any) -> bool:
    for block in cells.queryContentCells(NUMBER_CELLS).getRangeAddresses():
        for row in _cells(document.Sheets.getByIndex(block.Sheet), block).getDataArray():
            if 0.0 in row:
                return True
    return False


def _cells(sheet: Any, block: Any) -> Any:
    return sheet.getCellRangeByPosition(block.StartColumn, block.StartRow, block.EndColumn, block.EndRow)


BLANKS: dict[str, Blanks] = {}  # by document


def _blanks(document: Any) -> Blanks:
    key = document.RuntimeUID
    if key not in BLANKS:
        if len(BLANKS) > 50:
            BLANKS.clear()
        BLANKS[key] = Blanks()
    return BLANKS[key]


def _method(method: str, function: dict[str, Any]) -> Callable[..., Any]:
    name, slots = function["name"], function["zero_is_not_blank"]
    fingerprints = _fingerprints(method)

    def call(self: Any, document: Any, *arguments: Any) -> Any:
        for slot in slots:
            if arguments[slot] == 0.0:
                try:
                    arguments = _cleared(document, method, arguments)
                except Unclear:
                    return ((ERRORS["#VALUE!"],),)
                break
        return CALLER.call(name, arguments, fingerprints, document)

    return call


def _cleared(document: Any, method: str, arguments: tuple[Any, ...], asked: str | None = None) -> tuple[Any, ...]:
    """Arguments with None for blank cells. `asked`: the function that EXPLAIN was asked about."""
    if document is None or document.Sheets is None:  # a program calls without a sheet
        return arguments
    cleared = list(arguments)
    function = SETTINGS["functions"][asked or method]
    for slot in function["zero_is_not_blank"]:
        if slot < len(cleared) and cleared[slot] == 0.0:
            blanks = _blanks(document)
            blank = blanks.is_blank(document, method, slot + 1 if asked else slot)
            if asked:
                blanks.is_blank(document, asked, slot)
            if blank:
                cleared[slot] = BLANK_CELL if slot in function["blank_is_not_left_out"] else None
    return tuple(cleared)


def _explain(self: Any, document: Any, function: object, arguments: tuple[Any, ...]) -> Any:
    asked = str(function).strip().upper()
    asked = asked[6:] if asked.startswith("HYDRO_") else asked
    if asked in SETTINGS["functions"]:
        try:
            arguments = _cleared(document, "EXPLAIN", arguments, asked)
        except Unclear:
            return ((UNCLEAR,),)
    return CALLER.words("explain", (function, *arguments), _fingerprints(asked), document)


def _version(self: Any) -> Any:
    rows = CALLER.words("version", (), _fingerprints(*SETTINGS["functions"]))
    answers, own = rows[0][0], SETTINGS["version"]
    if re.fullmatch(r"[0-9.]+", answers) and answers != own:
        return ((f"{answers}, but the add-in is of {own}: run hydrofunc calc-addin install",),)
    return rows


def _fingerprints(*methods: str) -> dict[str, str]:
    """Of those methods that are functions of ours, by the functions' names."""
    functions = [SETTINGS["functions"][method] for method in methods if method in SETTINGS["functions"]]
    return {function["name"]: function["fingerprint"] for function in functions}


class _Functions(unohelper.Base, XServiceInfo):
    def __init__(self, context: Any) -> None:
        pass

    def getImplementationName(self) -> Any:
        return SETTINGS["service"]

    def supportsService(self, name: str) -> bool:
        return bool(name == SETTINGS["service"])

    def getSupportedServiceNames(self) -> tuple[Any, ...]:
        return (SETTINGS["service"],)


def _functions() -> type:
    """The class that Calc calls, with a method for each function."""
    try:
        bases: tuple[type, ...] = (_Functions, uno.getClass(SETTINGS["interface"]))
    except Exception:  # while the extension is being added its types are not known yet
        bases = (_Functions,)
    methods = {method: _method(method, function) for method, function in SETTINGS["functions"].items()}
    return type("Functions", bases, dict(methods, EXPLAIN=_explain, VERSION=_version))


g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(_functions(), SETTINGS["service"], (SETTINGS["service"],))
