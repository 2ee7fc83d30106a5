"""Workbooks with a damaged part: recalculated with every other part as it was, or refused in words."""

import random
import re
import zipfile
from functools import cache
from io import BytesIO

import openpyxl
from openpyxl.chart import LineChart, Reference
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.table import Table

from hydrofunc.errors import FileRefused, FormulaRefused
from hydrofunc.jobs.recalc import calculated
from tests.attack.score import Score, guarded

LIMIT = 10.0
TOUCHED = re.compile(r"xl/workbook\.xml|xl/worksheets/sheet\d+\.xml")
ODD = (
    b"",
    b"-1",
    b"0",
    b"99999999",
    b"A1",
    b"XFD1048577",
    b"\xff\xfe",
    b"&#0;",
    b"<a>",
    b"&lt;",
    b"1e999",
    b"rId1",
    b"str",
    b"e",
)


@cache
def whole() -> bytes:
    """A workbook with two sheets, formulas of several kinds, names, a table and a chart."""
    book = openpyxl.Workbook()
    first, second = book.active, book.create_sheet("Second page")
    for row in range(1, 9):
        first.append([row, row * 1.5, f"=A{row}*B{row}", f"text {row}", row % 2 == 0])
        second.append([f"=Sheet!C{row}+k", f'=IF(Sheet!E{row},"even","odd")', "=SUM(Sheet!A1:A8)"])
    second["F1"], second["F2"] = "head", 5
    second.add_table(Table(displayName="Sizes", ref="F1:F2"))
    second["G1"] = "=SUM(Sizes[head])"
    book.defined_names["k"] = DefinedName("k", attr_text="Sheet!$A$1")
    chart = LineChart()
    chart.add_data(Reference(first, min_col=1, min_row=1, max_row=8))
    first.add_chart(chart, "H2")
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def attack(seed: object, rounds: int) -> Score:
    """So many damaged workbooks; the chance of each depends on seed and number alone."""
    score = Score()
    for turn in range(rounds):
        score += one_workbook(f"{seed}/{turn}")
    return score


def one_workbook(seed: str) -> Score:
    """Damage one part, recalculate, and compare the other parts."""
    chance, score = random.Random(seed), Score()
    with zipfile.ZipFile(BytesIO(whole())) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    name = chance.choice(list(parts))
    damaged = _damaged(parts[name], chance)
    parts = {key: damaged if key == name else content for key, content in parts.items()}
    if damaged is None:
        del parts[name]
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for key, content in parts.items():
            archive.writestr(key, content)
    kind, done = guarded(
        score, f"{seed}: {name}", (FileRefused, FormulaRefused), LIMIT, lambda: calculated(out.getvalue())
    )
    if kind == "value":
        with zipfile.ZipFile(BytesIO(done.data)) as archive:
            for key, content in parts.items():
                if not TOUCHED.fullmatch(key) and archive.read(key) != content:
                    score.note("wrong", f"{seed}: {name} was damaged, and {key} is another part now")
        try:
            openpyxl.load_workbook(BytesIO(done.data))
        except Exception as error:
            score.note("wrong", f"{seed}: {name} was damaged, and what is written cannot be opened: {error}")
    return score


def _damaged(content: bytes, chance: random.Random) -> bytes | None:
    kind = chance.randrange(7)
    at = chance.randrange(len(content) + 1)
    if kind == 0:
        return None
    if kind == 1:
        return content[:at]
    if kind == 2:
        return content[:at] + bytes([chance.randrange(256)]) + content[at + 1 :]
    if kind == 3:
        return content[:at] + chance.choice(ODD) + content[at:]
    # an element twice or not at all, an attribute with another value or not at all
    what = rb"<[\w:]+[^<>]*/>|<c [^<>]*>.*?</c>" if kind == 4 else rb'\s[\w:]+="[^"]*"'
    matches = list(re.finditer(what, content, re.DOTALL))
    if not matches:
        return content + chance.choice(ODD)
    match = chance.choice(matches)
    if kind == 5:
        name = match[0].partition(b"=")[0]
        new = name + b'="' + chance.choice(ODD).replace(b"<", b"&lt;") + b'"'
    else:
        new = chance.choice((b"", match[0] * 2))
    return content[: match.start()] + new + content[match.end() :]
