"""A workbook that carries VBA, such as its functions: the modules put into its file, which then is an .xlsm.

What makes a workbook one with macros: its main part has another content type, a relation leads to vbaProject.bin, and
workbook and sheets have the code names of their modules. The names of type and relation are those of openpyxl
(openpyxl.xml.constants) and of the workbook with macros that xlwings ships.
"""

import re
import zipfile
from collections.abc import Mapping
from functools import lru_cache
from io import BytesIO

from ..errors import FileRefused
from .vba_modules import modules
from .vba_project import vba_project

PART = "xl/vbaProject.bin"
_MAIN = b"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
_MACROS = b"application/vnd.ms-excel.sheet.macroEnabled.main+xml"
_TYPE = b'<Default Extension="bin" ContentType="application/vnd.ms-office.vbaProject"/>'
_RELATION = (
    b'<Relationship Id="rIdVba" Type="http://schemas.microsoft.com/office/2006/relationships/vbaProject" '
    b'Target="vbaProject.bin"/>'
)
_SHEET = re.compile(r"xl/worksheets/sheet([0-9]+)\.xml")


def with_vba(data: bytes) -> bytes:
    """A copy of a workbook of ours with the functions in it. Raises `FileRefused` for one that has macros already."""
    return with_modules(data, modules())


def with_modules(data: bytes, texts: Mapping[str, str]) -> bytes:
    """A copy of a workbook of ours with these modules in it. Raises `FileRefused` for one that has macros already."""
    with zipfile.ZipFile(BytesIO(data)) as archive:
        parts = [(member, archive.read(member)) for member in archive.infolist()]
    if any(member.filename == PART for member, _ in parts):
        raise FileRefused("this workbook has macros already; the functions go into one of hydrofunc")
    sheets = [found[1] for member, _ in parts if (found := _SHEET.fullmatch(member.filename))]
    project = _project(tuple(texts.items()), tuple(sheets))
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for member, part in parts:
            name = member.filename
            sheet = _SHEET.fullmatch(name)
            if sheet is not None:
                part = _coded(part, f"Sheet{sheet[1]}")
            elif name == "xl/workbook.xml":
                part = _once(rb"<workbookPr\b", b'<workbookPr codeName="ThisWorkbook"', part)
            elif name == "[Content_Types].xml":
                part = _once(rb"(<Types[^>]*>)", rb"\1" + _TYPE, part.replace(_MAIN, _MACROS))
            elif name == "xl/_rels/workbook.xml.rels":
                part = part.replace(b"</Relationships>", _RELATION + b"</Relationships>")
            archive.writestr(zipfile.ZipInfo(name, member.date_time), part, zipfile.ZIP_DEFLATED)
        archive.writestr(zipfile.ZipInfo(PART, (2026, 1, 1, 0, 0, 0)), project, zipfile.ZIP_DEFLATED)
    return out.getvalue()


@lru_cache(maxsize=1)
def _project(texts: tuple[tuple[str, str], ...], sheets: tuple[str, ...]) -> bytes:
    return vba_project(dict(texts), [f"Sheet{number}" for number in sheets])


def _coded(part: bytes, name: str) -> bytes:
    """A sheet with its code name."""
    if b"<sheetPr" in part:
        return _once(rb"<sheetPr\b", b'<sheetPr codeName="%b"' % name.encode(), part)
    return _once(rb"(<worksheet[^>]*>)", rb'\1<sheetPr codeName="%b"/>' % name.encode(), part)


def _once(pattern: bytes, text: bytes, part: bytes) -> bytes:
    return re.sub(pattern, text, part, count=1)
