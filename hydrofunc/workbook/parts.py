"""The file of a workbook, opened once: its parts, which of them are its sheets, and what stands in those."""

import posixpath
import re
import zipfile
from functools import cached_property
from io import BytesIO
from xml.parsers import expat

from ..errors import FileRefused
from .plain import PlainSheet, plain_sheet

_ENCODING = re.compile(rb"""\s*<\?xml[^>]*encoding\s*=\s*["']([\w.-]+)["']""")


class Archive:
    """The parts of a workbook. Each is unpacked, and each sheet read, when it is first asked for, and only then.

    It checks nothing: files of other people come by `reading.opened`.
    """

    def __init__(self, data: bytes, name: str = "workbook") -> None:
        self.data, self.name = data, name
        self._file = zipfile.ZipFile(BytesIO(data))
        self.members, self.comment = self._file.infolist(), self._file.comment
        self._unpacked: dict[int, bytes] = {}
        self._plain: dict[str, PlainSheet | None] = {}

    def read(self, member: zipfile.ZipInfo) -> bytes:
        """What one of the members holds."""
        if id(member) not in self._unpacked:
            self._unpacked[id(member)] = self._file.read(member)
        return self._unpacked[id(member)]

    def member(self, name: str) -> zipfile.ZipInfo:
        """The member of this name. Raises `KeyError`."""
        return self._file.getinfo(name)

    def start(self, name: str, size: int) -> bytes:
        """The first bytes of a member, the others still packed."""
        with self._file.open(name) as stream:
            return stream.read(size)

    @cached_property
    def parts(self) -> dict[str, bytes]:
        """All parts by name."""
        return {member.filename: self.read(member) for member in self.members}

    @cached_property
    def workbook(self) -> str:
        """The name of the part that lists the sheets."""
        return workbook_part(self.parts)

    @cached_property
    def sheets(self) -> dict[str, str]:
        """{sheet title: name of its part}."""
        return sheet_parts(self.parts, self.workbook)

    def plain(self, part: str) -> PlainSheet | None:
        """The rows of a sheet, by the name of its part; None where it is not as programs write it."""
        if part not in self._plain:
            self._plain[part] = plain_sheet(self.parts[part])
        return self._plain[part]


def attributes_of(content: bytes, element: str) -> list[dict[str, str]]:
    """The attributes of every element of this local name, in order."""
    result = []

    def start(name, attributes):
        if name.rpartition(":")[2] == element:
            result.append(attributes)

    parser = parser_of(content)
    parser.StartElementHandler = start
    parse(parser, content)
    return result


def parser_of(content: bytes) -> expat.XMLParserType:
    """A parser for the bytes of a part. Raises `FileRefused` where they are of a kind that is not read."""
    declared = _ENCODING.match(content.removeprefix(b"\xef\xbb\xbf"))
    if declared and declared[1].lower() not in (b"utf-8", b"us-ascii", b"ascii"):
        raise FileRefused(f"a part of the workbook is written in {declared[1].decode()}, not in UTF-8")
    if b"<!DOCTYPE" in content:
        raise FileRefused("a part of the workbook declares a document type")
    return expat.ParserCreate()


def parse(parser: expat.XMLParserType, content: bytes, what: str = "a part of the workbook") -> None:
    """Parse all of a part. Raises `FileRefused` where it is damaged."""
    try:
        parser.Parse(content, True)
    except (expat.ExpatError, ValueError) as error:
        raise FileRefused(f"{what} is not well-formed XML: {error}") from None


def workbook_part(parts: dict[str, bytes]) -> str:
    """The name of the part that lists the sheets."""
    for relation in attributes_of(parts.get("_rels/.rels", b"<r/>"), "Relationship"):
        target = relation.get("Target", "").lstrip("/")
        if relation.get("Type", "").endswith("/officeDocument") and target in parts:
            return target
    return "xl/workbook.xml"


def relations_of(parts: dict[str, bytes], workbook: str) -> tuple[str, list[dict[str, str]]]:
    """(folder of the part that lists the sheets, what it is related to)."""
    folder, name = posixpath.split(workbook)
    relations = attributes_of(parts.get(f"{folder}/_rels/{name}.rels", b"<r/>"), "Relationship")
    return folder, [relation for relation in relations if {"Id", "Type", "Target"} <= relation.keys()]


def joined(folder: str, target: str) -> str:
    """The name of a part from the target of a relation of a part in `folder`."""
    if target.startswith("/"):
        return target.lstrip("/")
    return posixpath.normpath(posixpath.join(folder, target))


def sheet_parts(parts: dict[str, bytes], workbook: str) -> dict[str, str]:
    """{sheet title: name of its part}."""
    folder, relations = relations_of(parts, workbook)
    targets = {r["Id"]: joined(folder, r["Target"]) for r in relations if r.get("TargetMode") != "External"}
    names = {}
    for sheet in attributes_of(parts[workbook], "sheet"):
        relation = next((value for name, value in sheet.items() if name.endswith(":id")), None)
        if targets.get(relation) in parts and "name" in sheet:
            names[sheet["name"]] = targets[relation]
    return names
