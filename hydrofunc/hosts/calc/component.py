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
from contextlib import suppress
from itertools import islice
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
# Guesses that may be wrong: each one that is right brings one more, up to so many.
MOST_CREDIT = 2_000
SHORT = 24  # cells of a range whose values are looked at one by one
# Seconds without a call, after which comes another recalculation: within one there were 4 ms at most, between those of
# a script 11 at least. One that is taken for two is asked in more requests.
PAUSE = 0.008
LOOKED_AT = 32  # places of which the nearest is sought
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
    """The cells of a range; equal to itself only, so that a call with it is looked up fast. See `Caller._range`."""

    __slots__ = ("cells", "kind", "rows")

    def __init__(self, rows: tuple[Any, ...]) -> None:
        cells = [cell for row in rows for cell in row]
        words = all(isinstance(cell, str) for cell in cells)
        self.rows = rows
        self.cells = None if words or len(cells) > SHORT else cells  # those that may change by themselves
        self.kind = self if words else (len(rows), len(rows[0]))  # what does not change


class Place:
    """A place in a document from which a call comes again and again: the last one, and what follows."""

    __slots__ = ("key", "kind", "moving", "next", "round", "values")

    def __init__(self, kind: Any) -> None:
        self.key: Any = None
        self.kind = kind
        self.values: list[Any] = []
        self.moving: list[int] = []  # which of the values changed when it last changed; at first, its plants
        self.round = -1
        self.next: Place | None = None


class Order:
    """The order in which calls come, and which are likely to come next.

    A recalculation makes the same calls as the one before, in the same order, with some values changed. So each call
    is set beside the one that came from the same place before. What stands now for an old value here is likely to
    stand for it in the others too; and where all that changed last time has its new value, that call is likely.
    """

    def __init__(self, range_of: Callable[[Any], Range]) -> None:
        self.range_of = range_of
        self.forget()

    def forget(self) -> None:
        """Start anew."""
        self.places: dict[Any, Place] = {}  # by the last call
        self.kinds: dict[Any, dict[Place, None]] = {}  # those of a kind, the one seen longest ago first
        self.waiting: dict[Any, dict[Place, None]] = {}  # by each value that is likely to change
        self.count = 0
        self.last = Place(None)
        self.first: Place | None = None
        self.round, self.end = 0, 0.0  # the number of the recalculation, and when its last call was answered
        self.paused = False
        self.now: dict[Any, Any] = {}  # what stands for a value in this recalculation
        self.likely: dict[Any, None] = {}

    def cells(self) -> int:
        """Of the ranges that are held."""
        held = {item for _, arguments in self.places for item in arguments if type(item) is Range}
        return sum(len(item.rows) * len(item.rows[0]) for item in held)

    def arrived(self) -> None:
        """A call comes. After a pause it is one of another recalculation."""
        self.paused = self.paused or time.monotonic() - self.end > PAUSE

    def answered(self) -> None:
        """A call was answered."""
        self.end = time.monotonic()

    def note(self, key: Any) -> None:
        """A call was asked for by Calc."""
        place = self.last.next
        if self.paused or (place is not None and place is self.first):
            self._begin()
        if place is not None and place.key == key and place.round != self.round:
            self._stays(place)
        else:
            place = self._changed(key)
        place.round = self.round
        self.first = self.first or place
        self.last.next = self.last = place
        of_kind = self.kinds[place.kind]
        del of_kind[place]
        of_kind[place] = None

    def _begin(self) -> None:
        self.round += 1
        self.first, self.paused = None, False
        self.now, self.likely = {}, {}

    def _stays(self, place: Place) -> None:
        for i in place.moving:
            value = place.values[i]
            if value not in self.now:
                self._learn(value, value)

    def _changed(self, key: Any) -> Place:
        """The place of a call that is not the expected one, or not as it was."""
        kind, values = _spread(key)
        expected = self.last.next
        if expected is not None and (expected.kind != kind or expected.round == self.round):
            expected = None
        same = self.places.get(key)
        if same is not None and same.round != self.round and not (expected and self._is_explained(expected, values)):
            self._stays(same)
            return same
        place = expected or self._nearest(kind, values) or self._new(kind)
        old, place.round = place.values, self.round
        if not old:
            self._set(place, key, values, [i for i, v in enumerate(values) if type(v) is Range and v.kind is not v])
            return place
        moved = _differing(old, values)
        known = [(old[i], values[i]) for i in {*moved, *place.moving}]
        self._set(place, key, values, moved)
        for before, after in known:
            self._learn(before, after)
        return place

    def _set(self, place: Place, key: Any, values: list[Any], moving: list[int]) -> None:
        """Give a place its last call and what is likely to change in it."""
        if self.places.get(place.key) is place:
            del self.places[place.key]
        for value in {place.values[i] for i in place.moving}:
            self.waiting[value].pop(place)
            if not self.waiting[value]:
                del self.waiting[value]
        place.key, place.values, place.moving = key, values, moving
        self.places[key] = place
        for i in moving:
            self.waiting.setdefault(values[i], {})[place] = None

    def _is_explained(self, place: Place, values: list[Any]) -> bool:
        return all(self.now.get(place.values[i]) == values[i] for i in _differing(place.values, values))

    def _nearest(self, kind: Any, values: list[Any]) -> Place | None:
        """Of the places of this kind that wait for longest the one that differs least."""
        found = [place for place in islice(self.kinds.get(kind, ()), LOOKED_AT) if place.round != self.round]
        return min(found, key=lambda place: len(_differing(place.values, values)), default=None)

    def _new(self, kind: Any) -> Place:
        self.count += 1
        if self.count > REMEMBERED:
            self.forget()
        place = Place(kind)
        self.kinds.setdefault(kind, {})[place] = None
        return place

    def _learn(self, before: Any, after: Any) -> None:
        if before in self.now and self.now[before] == after:
            return
        self.now[before] = after
        if type(before) is Range and before is not after:
            for old, new in _changes(before, after):
                self._learn(old, new)
        for place in self.waiting.get(before, ()):
            if place.round != self.round and all(place.values[i] in self.now for i in place.moving):
                self._guess(place)

    def _guess(self, place: Place) -> None:
        values = list(place.values)
        for i in place.moving:
            values[i] = self.now[values[i]]
        name, arguments = place.key
        left, guessed = iter(values), []
        for item in arguments:
            if type(item) is Range and item.cells is not None:
                guessed.append(self.range_of(tuple(tuple(next(left) for _ in row) for row in item.rows)))
            else:
                guessed.append(next(left))
        self.likely[name, tuple(guessed)] = None


def _spread(key: Any) -> tuple[Any, list[Any]]:
    """What stays the same of a call from one place, and its values, those of short ranges one by one."""
    name, arguments = key
    kind: list[Any] = [name]
    values: list[Any] = []
    for item in arguments:
        if type(item) is Range:
            values += [item] if item.cells is None else item.cells
            kind.append(item.kind)
        else:
            values.append(item)
            kind.append(item if type(item) is str else type(item))
    return tuple(kind), values


def _changes(before: Range, after: Range) -> list[tuple[Any, Any]]:
    """Cells of one range and of another one of the same kind, where they differ."""
    return [(old, new) for rows in zip(before.rows, after.rows) for old, new in zip(*rows) if old != new]


def _differing(before: list[Any], after: list[Any]) -> list[int]:
    return [i for i, (old, new) in enumerate(zip(before, after)) if old is not new and old != new]


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
        self.order = Order(self._range)
        self.fingerprints: dict[str, str] = {}  # of the functions that were asked
        self.guessed: set[Any] = set()  # calls that were asked for before Calc did, and that it has not asked for yet
        self.credit = TOGETHER  # how many more may be
        self.took: dict[str, float] = {}  # seconds of one call, when the function was last asked by itself

    def call(self, name: str, arguments: tuple[Any, ...], fingerprints: dict[str, str], document: Any = None) -> Any:
        """Rows of values, as Calc takes them."""
        try:
            key = self._key(name, arguments)
        except TypeError:  # a list in it
            return self._noted(self._asked_one(name, arguments, fingerprints), document)
        if name in fingerprints:  # not for a text about a function
            self.fingerprints.update(fingerprints)
            self.order.note(key)
        rows = self.known.get(key)
        if rows is None:
            rows = self.known_before.get(key)
            if rows is None:
                rows = self._asked_together(key, fingerprints)
            else:
                self._remember(key, rows)
        if key in self.guessed:
            self.guessed.remove(key)
            self.credit = min(self.credit + 2, MOST_CREDIT)
        self.order.answered()
        return self._noted(rows, document)

    def _key(self, name: str, arguments: tuple[Any, ...]) -> tuple[str, Any]:
        """What a call is known by: equal ranges are one and the same there. Raises TypeError for what has no hash."""
        key = tuple([self._range(item) if isinstance(item, tuple) else item for item in arguments])
        hash(key)
        return name, key

    def _range(self, rows: tuple[Any, ...]) -> Range:
        found = self.ranges.get(rows)
        if found is None:
            found = self.ranges_before.get(rows) or Range(rows)
            self.ranges[rows] = found
            self.cells += len(rows) * len(rows[0])
        return found

    def _is_known(self, key: tuple[str, Any]) -> bool:
        return key in self.known or key in self.known_before

    def _remember(self, key: tuple[str, Any], rows: Any) -> None:
        if len(self.known) >= REMEMBERED or self.cells >= REMEMBERED_CELLS:
            self.known_before, self.known = self.known, {}
            self.guessed.intersection_update(self.known_before)
            self.ranges_before, self.ranges, self.cells = self.ranges, {}, 0
            if self.order.cells() > REMEMBERED_CELLS:
                self.order.forget()
        self.known[key] = rows

    def _noted(self, rows: Any, document: Any) -> Any:
        if rows is NO_ANSWER and document is not None:
            self.unanswered[document.RuntimeUID] = document
        return rows

    def _asked_together(self, key: Any, fingerprints: dict[str, str]) -> Any:
        """The rows of a call, asked together with those that are likely to come; those of all are remembered."""
        calls = [key, *self._likely(key)]
        start = time.monotonic()
        if len(calls) == 1:
            answers = [self._asked_one(key[0], _plain(key[1]), fingerprints)]
        else:
            answers = self._asked(_request(calls, self.fingerprints), len(calls))
            answers = [NO_ANSWER] if answers is None else [_rows(rows) for rows in answers]
        if all(name == key[0] for name, _ in calls):
            took = (time.monotonic() - start) / len(calls)
            self.took[key[0]] = min(took, 2 * self.took.get(key[0], took))  # the first one of a plant may take longer
        for call, rows in zip(calls, answers):
            if rows is not NO_ANSWER and len(rows) == len(rows[0]) == 1:
                self._remember(call, rows)
        return answers[0]

    def _likely(self, key: Any) -> list[Any]:
        """Calls that are likely to come after this one: no more than the worker answers in some time, and than pays."""
        left, likely = TOGETHER_TIME - self.took.get(key[0], TOGETHER_TIME), self.order.likely
        calls: list[Any] = []
        while likely and len(calls) < min(TOGETHER - 1, self.credit):
            call = next(iter(likely))
            if call != key and not self._is_known(call):
                left -= self.took.get(call[0], TOGETHER_TIME)
                if left < -1e-9:
                    break
                calls.append(call)
            del likely[call]
        self.guessed.update(calls)
        self.credit -= len(calls)
        return calls

    def words(self, name: str, arguments: tuple[Any, ...], fingerprints: dict[str, str], document: Any = None) -> Any:
        """As `call`, for an answer in words: where none comes, they say why."""
        rows = self.call(name, arguments, fingerprints, document)
        if rows is not NO_ANSWER:
            return rows
        return ((f"hydrofunc does not answer: {self.fault}. On the command line, hydrofunc doctor says more.",),)

    def _asked_one(self, name: str, arguments: Any, fingerprints: dict[str, str]) -> Any:
        """Rows of one call."""
        request = json.dumps((name, arguments, fingerprints)).encode() + b"\n"
        rows = self._asked(request, _count(arguments))
        return NO_ANSWER if rows is None else _rows(rows)

    def _asked(self, request: bytes, cells: int) -> Any:
        """What the worker answers, None where it does not."""
        if self.fault:
            return None
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
                return json.loads(line)
            fault = f"{SETTINGS['command'][0]} ended: {self._drop() or 'no reason given'}"
        self.fault = fault
        threading.Thread(target=self._look_for_another, daemon=True).start()
        return None

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


def _request(calls: list[Any], fingerprints: dict[str, str]) -> bytes:
    """Many calls as the worker takes them, each range once."""
    places: dict[Range, int] = {}
    parts = [
        (name, [[places.setdefault(item, len(places))] if type(item) is Range else item for item in arguments])
        for name, arguments in calls
    ]
    own = {name: fingerprints[name] for name, _ in calls}
    request = {"calls": parts, "ranges": [item.rows for item in places], "fingerprints": own}
    return json.dumps(request).encode() + b"\n"


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
        CALLER.order.arrived()  # before formulas are read, which takes time
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
