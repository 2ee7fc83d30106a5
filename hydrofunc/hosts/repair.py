"""Formulas of a workbook that call our functions by a name that only one machine knows.

A function taken from an add-in or from another workbook is written into a formula with the path of that
file; a spreadsheet program that lacks the add-in may keep its internal or a lower-case name. `strange_calls`
finds such calls, `repair` writes a copy that calls the functions by their plain names. Only the text of
formulas changes, and links to files that no formula needs any longer go; every other byte stays.
"""

import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from html import unescape
from pathlib import Path
from xml.sax.saxutils import escape

import hydrofunc

from ..errors import FileRefused, FormulaRefused
from ..jobs.recalc import calculated
from ..workbook.files import refuse_existing, write_bytes
from ..workbook.parts import sheet_parts, workbook_part
from ..workbook.reading import bytes_of, guard

# Where formulas stand in the XML (ECMA-376 part 1, 18.3.1.40 f, 18.3.1.43 formula, 18.2.5 definedName, ...).
_FORMULA = re.compile(
    r"(<(?:\w+:)?(f|formula|formula1|formula2|definedName|calculatedColumnFormula|totalsRowFormula)\b[^>]*(?<!/)>)"
    r"([^<]*)(</)"
)
_PIECE = re.compile(
    r"""(?P<text>"(?:[^"]|"")*")"""
    r"""|(?P<path>'(?:[^']|'')*'!|\[[^\]]*\][\w. ]*!|[\w.]+!|_xll\.|_xlfn\.|_xludf\.)?"""
    r"""(?P<name>(?:[A-Za-z]\w*\.)*(?i:hydro_\w+|hydrofunc(?:\.\w+)+))(?=\s*\()"""
    r"""|(?P<quoted>'(?:[^']|'')*')"""
)
_LONGEST = 8192  # characters of a formula (Microsoft, Excel specifications and limits)
_LINK = re.compile(r"\[(\d+)\]")
_CELL = re.compile(r'<c\b[^>]*?\br="([A-Z]+[0-9]+)"')


@dataclass(frozen=True)
class StrangeCall:
    """A call of one of our functions that is not by its plain name. `plain` is None where there is none."""

    where: str  # Sheet!Cell, or the part of the file and the kind of formula
    written: str
    plain: str | None


@dataclass(frozen=True)
class Repaired:
    """How many formulas were changed, and what else the person should know."""

    formulas: int
    notes: list[str]


def strange_calls(source: Path | str | bytes) -> list[StrangeCall]:
    """The calls of our functions in a workbook (path or bytes) that are not by their plain names."""
    archive = _archive(source)
    parts = {member.filename: archive.read(member) for member in archive.infolist()}
    titles = {part: title for title, part in sheet_parts(parts, workbook_part(parts)).items()}
    calls = []
    for name, content in _xml_parts(archive).items():
        for match in filter(_may_call_us, _FORMULA.finditer(content)):
            for written, plain in _strange(unescape(match[3])):
                where = _cell_of(titles.get(name), content, match) or f"{name} ({match[2]})"
                calls.append(StrangeCall(where, written, plain))
    return calls


def _cell_of(title: str | None, content: str, match: re.Match[str]) -> str | None:
    """Sheet!Cell of a formula in a cell, else None."""
    start = content.rfind("<c ", 0, match.start())
    cell = _CELL.match(content, start) if start >= 0 and match[2] == "f" else None
    return f"{title}!{cell[1]}" if title and cell else None


def repair(path: Path | str, out: Path | str, force: bool = False) -> Repaired:
    """Write a copy of the workbook at `path` to `out` with plain names; `path` itself is never written.

    The values stored beside the formulas are brought up to date where the headless engine can.
    """
    if Path(out).resolve() == Path(path).resolve():
        raise FileRefused(f"{out} is the workbook itself; give the copy another name")
    refuse_existing([out], force)
    data, count, notes = repaired(path)
    try:
        data = calculated(data).data
    except FormulaRefused as refused:
        notes.append(f"Stored values are as they were; recalculate in a spreadsheet program. {refused.problems[0][1]}")
    write_bytes(out, data, force)
    return Repaired(count, notes)


def repaired(source: Path | str | bytes) -> tuple[bytes, int, list[str]]:
    """(bytes of the repaired workbook, number of formulas changed, notes)."""
    archive = _archive(source)
    parts = {member.filename: archive.read(member) for member in archive.infolist()}
    count = 0
    notes: list[str] = []
    links: set[str] = set()
    for name, content in _xml_parts(archive).items():
        text, changed, unknown, used = _plain_text(content)
        count += changed
        links |= used
        notes += [f"{name}: {written} is no function of hydrofunc; left as it is" for written in unknown]
        if changed:
            parts[name] = text.encode()
    dropped: set[str] = set()
    if count and not links:
        dropped = _drop_links(parts)
    elif links and any(name.startswith("xl/externalLinks/") for name in parts):
        notes.append("The workbook still takes values from other files; those links are left as they are.")
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as target:
        target.comment = archive.comment
        for member in archive.infolist():
            if member.filename not in dropped:
                target.writestr(member, parts[member.filename])
    return out.getvalue(), count, notes


def _archive(source: Path | str | bytes) -> zipfile.ZipFile:
    name, data = bytes_of(source)
    guard(name, data)
    return zipfile.ZipFile(io.BytesIO(data))


def _xml_parts(archive: zipfile.ZipFile) -> dict[str, str]:
    return {
        member.filename: archive.read(member).decode("utf-8")
        for member in archive.infolist()
        if member.filename.startswith("xl/")
        and member.filename.endswith(".xml")
        and not member.filename.startswith("xl/externalLinks/")
    }


def _may_call_us(match: re.Match[str]) -> bool:
    return "hydro" in match[3].lower() and len(match[3]) <= 8 * _LONGEST  # characters may be escaped: &quot;


def _strange(formula: str) -> Iterator[tuple[str, str | None]]:
    """(as written, plain name or None) of each call in a formula that is not by its plain name."""
    for match in _PIECE.finditer(formula):
        if match["name"]:
            plain = plain_name(match["name"])
            if match["path"] or match["name"] != plain:
                yield (match["path"] or "") + match["name"], plain


def plain_name(name: str) -> str | None:
    """The worksheet name of one of our functions written in lower case, or as an add-in's internal name."""
    capitals = name.upper()
    names = _names()
    if capitals in names:
        return capitals
    last = capitals.rpartition(".")[2].replace("_", "")
    return next(
        (plain for plain in names if plain.replace("_", "").removeprefix("HYDRO") == last.removeprefix("HYDRO")), None
    )


def _names() -> list[str]:
    return [function.sheet_name for function in hydrofunc.functions().values()] + ["HYDRO_EXPLAIN", "HYDRO_VERSION"]


def _plain_text(content: str) -> tuple[str, int, list[str], set[str]]:
    """The XML with plain names, the number of formulas changed, unknown calls, and the links still in use."""
    unknown: list[str] = []
    used: set[str] = set()
    changed = 0

    def formula(match: re.Match[str]) -> str:
        nonlocal changed
        before = unescape(match[3])
        if not _may_call_us(match):
            used.update(_LINK.findall(before))
            return match[0]
        after = _PIECE.sub(call, before)
        used.update(_LINK.findall(_PIECE.sub(lambda m: "" if m["text"] else m[0], after)))
        if after == before:
            return match[0]
        changed += 1
        return match[1] + escape(after) + match[4]

    def call(match: re.Match[str]) -> str:
        if not match["name"]:
            return match[0]
        plain = plain_name(match["name"])
        if plain is None:
            if match["path"]:
                unknown.append(match[0])
            return match[0]
        return plain

    return _FORMULA.sub(formula, content), changed, unknown, used


def _drop_links(parts: dict[str, bytes]) -> set[str]:
    """Take links to other files out of the parts; the names of the parts that go."""
    gone = {name for name in parts if name.startswith("xl/externalLinks/")}
    if not gone:
        return gone
    for name, pattern in (
        ("xl/workbook.xml", rb"<(\w+:)?externalReferences\b.*?</(\w+:)?externalReferences>"),
        ("xl/_rels/workbook.xml.rels", rb'<Relationship\b[^>]*relationships/externalLink"[^>]*/>'),
        ("[Content_Types].xml", rb"<Override\b[^>]*/xl/externalLinks/[^>]*/>"),
    ):
        parts[name] = re.sub(pattern, b"", parts[name], flags=re.DOTALL)
    return gone
