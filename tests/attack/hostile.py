"""Workbooks made to harm, and workbooks that hold what a calculation knows nothing of: refused in words, or calculated
with every part it need not touch as it was, in bounded time and memory.

No published source: what is tried is what archives and XML allow, and what other writers put into workbooks.
"""

import random
import re
import resource
import struct
import subprocess
import sys
import zipfile
import zlib
from collections.abc import Callable, Iterator
from io import BytesIO

import openpyxl
from openpyxl.comments import Comment
from openpyxl.drawing.image import Image
from PIL import Image as Picture

from hydrofunc.errors import FileRefused, FormulaRefused
from hydrofunc.jobs.recalc import calculated
from tests.attack.score import Score, guarded
from tests.attack.workbooks import TOUCHED, whole

MEMORY = 2 * 2**30  # bytes of address space for all of them, one after the other
SECONDS = 60.0  # of work for one
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
SHEET = "xl/worksheets/sheet1.xml"
REFUSED, CALCULATED, EITHER = "refused", "value", "either"

Parts = dict[str, bytes]


def opened(data: bytes) -> Parts:
    with zipfile.ZipFile(BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def packed(parts: Parts) -> bytes:
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return out.getvalue()


def _with(**changes: bytes) -> bytes:
    return packed(opened(whole()) | {name.replace("__", "/").replace("_xml", ".xml"): c for name, c in changes.items()})


def _rows(rows: str, head: str = "") -> bytes:
    text = f'<?xml version="1.0"?><worksheet xmlns="{MAIN}">{head}<sheetData>{rows}</sheetData></worksheet>'
    return packed(opened(whole()) | {SHEET: text.encode()})


def _formula(text: str, cell: str = "A1") -> str:
    return f'<c r="{cell}"><f>{text}</f><v>0</v></c>'


def _one_formula(text: str) -> bytes:
    return _rows(f'<row r="1">{_formula(text)}</row>')


def _entities(part: str, encoding: str) -> bytes:
    """Each name ten times the one before it, nine times over: 10^9 letters."""
    names = "".join(f'<!ENTITY a{n + 1} "{f"&a{n};" * 10}">' for n in range(9))
    bomb = f'<?xml version="1.0" encoding="{encoding}"?><!DOCTYPE x [<!ENTITY a0 "aaaaaaaaaa">{names}]><x>&a9;</x>'
    return packed(opened(whole()) | {part: bomb.encode(encoding)})


def _file_entity(part: str) -> bytes:
    text = '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY f SYSTEM "file:///etc/hostname">]><x>&f;</x>'
    return packed(opened(whole()) | {part: text.encode()})


def _lying_size(chance: random.Random) -> bytes:
    """A part that says it is small and unpacks to far more."""
    data = bytearray(packed(opened(whole()) | {"xl/media/image1.xml": b" " * 50_000_000}))
    at = data.rfind(b"PK\x01\x02")
    while data[at + 46 : at + 46 + 19] != b"xl/media/image1.xml":
        at = data.rfind(b"PK\x01\x02", 0, at)
    struct.pack_into("<I", data, at + 24, chance.randrange(10, 1000))
    return bytes(data)


def _twice() -> bytes:
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, content in opened(whole()).items():
            for _ in range(2 if name == SHEET else 1):
                archive.writestr(name, content)
    return out.getvalue()


def _locked() -> bytes:
    data = bytearray(whole())
    at = -1
    while (at := data.find(b"PK\x01\x02", at + 1)) >= 0:
        data[at + 8] |= 1
    return bytes(data)


def _nested_in_itself() -> bytes:
    return packed(opened(whole()) | {"xl/embeddings/whole.xlsx": whole()})


def _cycle(length: int) -> bytes:
    cells = [_formula(f"A{row % length + 1}+1", f"A{row}") for row in range(1, length + 1)]
    return _rows("".join(f'<row r="{row}">{cell}</row>' for row, cell in enumerate(cells, 1)))


def _chain(length: int) -> bytes:
    cells = ['<c r="A1"><v>1</v></c>', *(_formula(f"A{row - 1}+1", f"A{row}") for row in range(2, length + 1))]
    return _rows("".join(f'<row r="{row}">{cell}</row>' for row, cell in enumerate(cells, 1)))


def _strict() -> bytes:
    strict = b"http://purl.oclc.org/ooxml/spreadsheetml/main"
    return packed({name: content.replace(MAIN.encode(), strict) for name, content in opened(whole()).items()})


def _linked() -> bytes:
    """A formula that asks another workbook."""
    parts = opened(whole())
    parts[SHEET] = parts[SHEET].replace(b"<f>A1*B1</f>", b"<f>[1]Other!A1*2</f>")
    return packed(parts)


def _prepared() -> Parts:
    """A picture, comments, a pivot table and its cache, macros, settings of a printer, a part of nobody's."""
    book = openpyxl.load_workbook(BytesIO(whole()))
    sheet = book["Sheet"]
    dot = BytesIO()
    Picture.new("RGB", (3, 3), "white").save(dot, "PNG")
    dot.seek(0)
    sheet.add_image(Image(dot), "K2")
    sheet["A1"].comment = Comment("read on site", "someone")
    out = BytesIO()
    book.save(out)
    parts = opened(out.getvalue())
    relations = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    parts["xl/vbaProject.bin"] = zlib.compress(b"no macro at all") * 20
    parts["xl/printerSettings/printerSettings1.bin"] = bytes(range(256))
    parts["customXml/item1.xml"] = b"<nobodys/>"
    parts["xl/pivotCache/pivotCacheDefinition1.xml"] = (
        f'<pivotCacheDefinition xmlns="{MAIN}" refreshOnLoad="1" recordCount="0"><cacheSource type="worksheet">'
        '<worksheetSource ref="A1:B8" sheet="Sheet"/></cacheSource><cacheFields count="2">'
        '<cacheField name="a"><sharedItems/></cacheField><cacheField name="b"><sharedItems/></cacheField>'
        "</cacheFields></pivotCacheDefinition>"
    ).encode()
    parts["xl/pivotTables/pivotTable1.xml"] = (
        f'<pivotTableDefinition xmlns="{MAIN}" name="turned" cacheId="1" dataCaption="Values">'
        '<location ref="P1:Q3" firstHeaderRow="1" firstDataRow="1" firstDataCol="1"/><pivotFields count="2">'
        '<pivotField showAll="0"/><pivotField showAll="0"/></pivotFields></pivotTableDefinition>'
    ).encode()
    parts["xl/pivotTables/_rels/pivotTable1.xml.rels"] = _relation(
        f"{relations}/pivotCacheDefinition", "/xl/pivotCache/pivotCacheDefinition1.xml"
    )
    rels = "xl/worksheets/_rels/sheet1.xml.rels"
    parts[rels] = parts[rels].replace(
        b"</Relationships>",
        f'<Relationship Id="rId90" Type="{relations}/pivotTable" '
        'Target="/xl/pivotTables/pivotTable1.xml"/></Relationships>'.encode(),
    )
    parts["xl/_rels/workbook.xml.rels"] = parts["xl/_rels/workbook.xml.rels"].replace(
        b"</Relationships>",
        f'<Relationship Id="rId91" Type="{relations}/pivotCacheDefinition" '
        'Target="/xl/pivotCache/pivotCacheDefinition1.xml"/>'
        '<Relationship Id="rId92" Type="http://schemas.microsoft.com/office/2006/relationships/vbaProject" '
        'Target="vbaProject.bin"/></Relationships>'.encode(),
    )
    parts["xl/workbook.xml"] = parts["xl/workbook.xml"].replace(
        b"</workbook>",
        f'<pivotCaches><pivotCache cacheId="1" xmlns:r="{relations}" r:id="rId91"/></pivotCaches></workbook>'.encode(),
    )
    kinds = "application/vnd.openxmlformats-officedocument.spreadsheetml"
    parts["[Content_Types].xml"] = (
        parts["[Content_Types].xml"]
        .replace(
            b"</Types>",
            f'<Override PartName="/xl/pivotTables/pivotTable1.xml" ContentType="{kinds}.pivotTable+xml"/>'
            '<Override PartName="/xl/pivotCache/pivotCacheDefinition1.xml" '
            f'ContentType="{kinds}.pivotCacheDefinition+xml"/>'
            '<Default Extension="bin" ContentType="application/vnd.ms-office.vbaProject"/></Types>'.encode(),
        )
        .replace(f"{kinds}.sheet.main+xml".encode(), b"application/vnd.ms-excel.sheet.macroEnabled.main+xml")
    )
    return parts


def _relation(kind: str, target: str) -> bytes:
    return (
        '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        f'<Relationship Id="rId1" Type="{kind}" Target="{target}"/></Relationships>'
    ).encode()


def _very_hidden() -> bytes:
    parts = opened(whole())
    sheet = rb'(name="Second page" [^>]*)state="visible"'
    parts["xl/workbook.xml"], found = re.subn(sheet, rb'\1state="veryHidden"', parts["xl/workbook.xml"])
    assert found == 1
    return packed(parts)


def cases(chance: random.Random, long: bool = False) -> Iterator[tuple[str, str, Callable[[], bytes]]]:
    """(name, what has to come, what makes the bytes); the sizes and places depend on the chance."""
    part = chance.choice([name for name in opened(whole()) if name.endswith((".xml", ".rels"))])
    many = chance.randrange(5_001, 7_000)
    deep = chance.randrange(5_000, 12_000)
    row = chance.randrange(1_048_577, 2**31)
    yield "a part of zeros", REFUSED, lambda: _with(xl__media__image1_xml=bytes(chance.randrange(20, 60) * 1_000_000))
    yield "a part that lies about its size", EITHER, lambda: _lying_size(chance)
    yield f"{many} parts", REFUSED, lambda: packed(opened(whole()) | {f"xl/media/{n}.png": b"" for n in range(many)})
    yield "one part twice", REFUSED, _twice
    yield "locked parts", REFUSED, _locked
    yield "locked by a password", REFUSED, lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + chance.randbytes(4096)
    yield f"names upon names in {part}", REFUSED, lambda: _entities(part, "utf-8")
    yield f"names upon names in {part}, UTF-16", REFUSED, lambda: _entities(part, "utf-16")
    yield f"a file's content in {part}", REFUSED, lambda: _file_entity(part)
    yield "elements in elements", EITHER, lambda: _rows("<row>" * deep + "</row>" * deep)
    yield (
        "a sheet said to be full",
        CALCULATED,
        lambda: _rows(f'<row r="1">{_formula("1+1")}</row>', '<dimension ref="A1:XFD1048576"/>'),
    )
    yield (
        "a cell in the last corner",
        CALCULATED,
        lambda: _rows(
            f'<row r="1">{_formula("SUM(XFD1048576,1)")}</row><row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'
        ),
    )
    yield f"a cell in row {row}", REFUSED, lambda: _rows(f'<row r="{row}"><c r="A{row}"><v>1</v></c></row>')
    yield "a column that no worksheet has", REFUSED, lambda: _rows('<row r="1"><c r="ZZZZ1"><v>1</v></c></row>')
    yield (
        "an array over a whole sheet",
        REFUSED,
        lambda: _rows('<row r="1"><c r="A1"><f t="array" ref="A1:XFD1048576">1+1</f><v>0</v></c></row>'),
    )
    yield "sums of whole sheets", EITHER, lambda: _one_formula("+".join(["SUM(B:XFD)"] * 50))
    yield f"{deep} brackets", EITHER, lambda: _one_formula("(" * deep + "1" + ")" * deep)
    yield f"{deep} signs", EITHER, lambda: _one_formula("-" * deep + "1")
    yield f"{deep} IFs", EITHER, lambda: _one_formula("IF(TRUE," * deep + "1" + ")" * deep)
    yield "a circle", REFUSED, lambda: _cycle(chance.randrange(2, 3_000))
    yield "a long chain", CALCULATED, lambda: _chain(chance.randrange(5_000, 20_000))
    yield (
        "a text that doubles",
        EITHER,
        lambda: _rows(
            '<row r="1"><c r="A1" t="str"><v>aaaa</v></c></row>'
            + "".join(f'<row r="{n}">{_formula(f"A{n - 1}&amp;A{n - 1}", f"A{n}")}</row>' for n in range(2, 60))
        ),
    )
    yield (
        "a pattern of stars",
        EITHER,
        lambda: _rows(
            f'<row r="1"><c r="B1" t="str"><v>{"a" * 5_000}</v></c>'
            + _formula(f'COUNTIF(B1,"{"*a" * 100}b")').replace('"A1"', '"C1"')
            + "</row>"
        ),
    )
    yield "a command for another program", REFUSED, lambda: _one_formula("cmd|'/C calc'!A0")
    yield "a link to another workbook", REFUSED, _linked
    yield "a question to the network", REFUSED, lambda: _one_formula('WEBSERVICE("http://example.invalid")')
    yield "a strict workbook", REFUSED, _strict
    yield "a workbook in a workbook", CALCULATED, _nested_in_itself
    yield "a sheet hidden well", CALCULATED, _very_hidden
    yield "macros, picture, comments, pivot table", CALCULATED, lambda: packed(_prepared())
    if long:
        yield "200,000 formulas", CALCULATED, lambda: _chain(200_000)


def attack(seed: object, long: bool = False) -> Score:
    """Every case once, in this process."""
    score = Score()
    for name, wanted, make in cases(random.Random(f"{seed}"), long):
        data = make()
        kind, done = guarded(score, name, (FileRefused, FormulaRefused), SECONDS, lambda d=data: calculated(d))
        if kind == "finding":
            continue
        if wanted not in (kind, EITHER):
            score.note("wrong", f"{name}: {kind} {done if kind == 'refused' else ''}, not {wanted}")
        if kind == "refused":
            lines = str(done).splitlines()
            if len(lines) > FormulaRefused.MOST_LINES + 1 or not 20 < max(map(len, lines)) < 500:
                score.note("wrong", f"{name}: said in {len(lines)} lines: {lines[0][:600]}")
        if kind == "value":
            before, after = opened(data), opened(done.data)
            for key in sorted(before.keys() | after.keys()):
                if not TOUCHED.fullmatch(key) and before.get(key) != after.get(key):
                    score.note("wrong", f"{name}: {key} is another part now")
    return score


def in_little_memory(seed: object, long: bool = False) -> Score:
    """The same in a child process that may have so much memory and no more."""
    child = subprocess.run(
        [sys.executable, "-m", "tests.attack.hostile", str(seed), *(["long"] if long else [])],
        capture_output=True,
        text=True,
        check=False,
    )
    score = Score()
    try:
        counts, *findings = child.stdout.splitlines()
        for part in counts.split(", "):
            word, count = part.split()
            setattr(score, word, int(count.replace(",", "")))
        score.findings = findings
    except ValueError:
        score.note("crashed", f"seed {seed}: the whole child, {child.returncode}: {child.stderr[-500:]}")
    return score


if __name__ == "__main__":
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    print(attack(sys.argv[1], "long" in sys.argv))
