"""Texts that are dangerous elsewhere: in a workbook, a table, a file's name, a PDF and the line to the add-in's worker
each stays the text that was typed, and none becomes a formula, a command, a mark-up, a path or a second line.

No published source: what starts a formula in a spreadsheet is common practice, no published source.
"""

import csv
import io
import json
import random
import re
import subprocess
import sys
from pathlib import Path

import openpyxl
from pypdf import PdfReader

from hydrofunc.jobs.report import Check, Content
from hydrofunc.report.layout import pdf
from hydrofunc.workbook.files import file_stem
from hydrofunc.workbook.reading import read_book
from hydrofunc.workbook.results import cells_of, open_results
from hydrofunc.workbook.splice import splice
from tests.attack.score import Score, guarded

LIMIT = 10.0
STARTS = ("", "=", "+", "-", "@", "'", '"', "\t", "=cmd|' /C calc'!A0", '=HYPERLINK("http://example.invalid")', "+1+1")
MIDDLES = (
    "site",
    "<b>bold</b>",
    "<a href='http://example.invalid'>here</a>",
    "&amp; &#x41; &",
    "]]><c><f>1+1</f></c>",
    "../../etc/passwd",
    "C:\\Windows\\x",
    "CON",
    "nul.txt",
    "a;=1+1;b",
    "a,=1+1,b",
    'say "so"',
    "%s %n {0} ${HOME} `x`",
    ") /URI (http://example.invalid) Tj",
    "_x003D_1+1",
    "\u202etxt.exe",
    "💧🏔️",
    "é" * 40,
    "ﬁ\u0301",
    "n" * 300,
    "first\nsecond",
    "\x07bell",
    "null",
    '"],"x":[1',
)
ENDS = ("", " ", ".", "\n", '"', "'", "\\", "\u00a0")
DEVICES = {"con", "prn", "aux", "nul", *(f"{kind}{n}" for kind in ("com", "lpt") for n in range(1, 10))}
_EMPTY = {"curves": {"long_section": None, "nozzle_curve": None, "torque_curve": None}, "points": {}, "ledger": []}


def attack(seed: object, rounds: int, folder: Path) -> Score:
    """So many texts; the chance of each depends on seed and number alone."""
    score = Score()
    for turn in range(rounds):
        score += one_text(f"{seed}/{turn}", folder)
    with Worker() as worker:
        for turn in range(rounds):
            worker.ask(text_of(f"{seed}/{turn}"), score)
    return score


def text_of(seed: str) -> str:
    chance = random.Random(seed)
    return "".join((chance.choice(STARTS), *chance.choices(MIDDLES, k=chance.randrange(1, 3)), chance.choice(ENDS)))


def one_text(seed: str, folder: Path) -> Score:
    """One text in a cell, a table of results, a file's name and a report."""
    text, score = text_of(seed), Score()
    for place, tried in {"cell": _cell, "csv": _csv, "xlsx": _xlsx, "name": _name, "pdf": _pdf}.items():
        kind, wrong = guarded(score, f"{seed}: {place}: {text!r}", (), LIMIT, lambda go=tried: go(text, folder))
        if kind == "value" and wrong:
            score.note("wrong", f"{seed}: {place}: {text!r}: {wrong}")
    return score


def _book():
    book = openpyxl.Workbook()
    book.active["A1"], book.active["B1"] = "typed here", "=A1&A1"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _cell(text, _):
    data = splice(_book(), {}, {("Sheet", "A1"): text})
    cell = openpyxl.load_workbook(io.BytesIO(data))["Sheet"]["A1"]
    if cell.data_type == "f":
        return "is a formula"
    read = read_book(data).cells["Sheet", "A1"]
    return read != text and f"is read as {read!r}"


def _csv(text, folder):
    path = folder / "texts.csv"
    with open_results(path, [("site", True), ("W", False)], True) as write:
        write([cells_of([text, "next"]), cells_of([1.5, 2.5])])
    content = path.read_bytes().decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(content, newline="")))
    if len(rows) != 3 or any(len(row) != 2 for row in rows):
        return f"makes {len(rows)} rows"
    for separator in ",;\t":
        for row in csv.reader(io.StringIO(content, newline=""), delimiter=separator):
            if any(re.match(r"[=+@\t\r]|-(?![0-9.])", cell) for cell in row):
                return f"is a formula where {separator!r} divides cells"
    return re.sub("'", "", rows[1][0]) != re.sub("'", "", text) and f"is {rows[1][0]!r}"


def _xlsx(text, folder):
    path = folder / "texts.xlsx"
    with open_results(path, [("site", True)], True) as write:
        write([cells_of([text])])
    cell = openpyxl.load_workbook(path).worksheets[0]["A2"]
    return cell.data_type == "f" and "is a formula"


def _name(text, folder):
    taken = {"summary"}
    stem, again = file_stem(text, taken), file_stem(text, taken)
    if Path(stem).name != stem or not 1 <= len(stem.encode()) <= 250 or stem.lower() in DEVICES or stem.startswith("."):
        return f"is the name {stem!r}"
    if stem.casefold() == again.casefold():
        return f"is the name {stem!r} twice"
    (folder / f"{stem}.tmp").write_bytes(b"")
    return [other.name for other in folder.iterdir() if other.name == f"{stem}.tmp"] != [
        f"{stem}.tmp"
    ] and "is elsewhere"


def _pdf(text, _):
    marks = [f"<z{number}>" for number in range(16)]  # in front of the text in each place, so that none hides another
    own = iter([f"{mark}{text}" for mark in marks])
    content = Content(
        next(own), next(own), next(own), [[(next(own), True), (next(own), False)]],
        *([("S", [(next(own), next(own))])] for _ in range(4)), [Check(next(own), text, text, text, "stop", next(own))],
        **_EMPTY, cautions=[("S", text)], errors=[next(own)], needs=[text], sources=[text],
    )  # fmt: skip
    reader = PdfReader(io.BytesIO(pdf(content)))
    if any("/Annots" in page for page in reader.pages):
        return "is a link"
    said = re.sub(r"\s", "", "".join(page.extract_text() for page in reader.pages))
    hidden = [mark for mark in marks if mark not in said]
    return hidden and f"{hidden} are not shown"


class Worker:
    """The process that answers the add-in of Calc, asked as the add-in asks."""

    def __enter__(self):
        command = [sys.executable, "-m", "hydrofunc.hosts.calc.worker"]
        self._child = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        return self

    def ask(self, text: str, score: Score) -> None:
        """A text for a word, then a question with a known answer: each has one line, and the second is right."""
        score.tried += 1
        for name, arguments in (("roughness", [text, "new"]), ("explain", [text, text]), ("version", [])):
            self._child.stdin.write(json.dumps([name, arguments, {}]).encode() + b"\n")
        self._child.stdin.flush()
        word, _, version = (json.loads(self._child.stdout.readline()) for _ in range(3))
        if word != [["#VALUE!"]] or not re.fullmatch(r"\d+\.\d+\.\d+", version[0][0]):
            score.note("wrong", f"worker: {text!r}: {word}, {version}")

    def __exit__(self, *_):
        self._child.stdin.close()
        self._child.wait()
        self._child.stdout.close()
