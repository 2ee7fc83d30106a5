"""A workbook that carries its functions: the LAMBDA names put into its file.

Facts measured by others in real Excel: names added to the file open without repair; a cell that calls such a name is
stored as an array of one cell with a mark in `metadata.xml`, else it shows an @; `fullCalcOnLoad` makes Excel
calculate on opening; a calculation chain that does not fit means repair, so it goes. In Protected View every such
cell shows #NAME? until Enable Editing. LibreOffice 7.4 knows no LAMBDA and loses stored values of such a workbook.
"""

import re
import zipfile
from io import BytesIO
from xml.sax.saxutils import escape, quoteattr

from ..errors import FileRefused
from .all_names import names
from .lambda_names import Names

_CELL = re.compile(rb'<c r="([A-Z]+[0-9]+)"((?:\s[\w:]+="[^"]*")*)><f((?:\s[\w:]+="[^"]*")*)>([^<]*HYDRO_[^<]*)</f>')
_METADATA = b"""<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<metadata xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" \
xmlns:xda="http://schemas.microsoft.com/office/spreadsheetml/2017/dynamicarray"><metadataTypes count="1">\
<metadataType name="XLDAPR" minSupportedVersion="120000" copy="1" pasteAll="1" pasteValues="1" merge="1" \
splitFirst="1" rowColShift="1" clearFormats="1" clearComments="1" assign="1" coerce="1" cellMeta="1"/></metadataTypes>\
<futureMetadata name="XLDAPR" count="1"><bk><extLst><ext uri="{bdbb8cdc-fa1e-496e-a857-3c3f30c029c3}">\
<xda:dynamicArrayProperties fDynamic="1" fCollapsed="0"/></ext></extLst></bk></futureMetadata>\
<cellMetadata count="1"><bk><rc t="1" v="0"/></bk></cellMetadata></metadata>"""
_TYPE = (
    b'<Override PartName="/xl/metadata.xml" '
    b'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheetMetadata+xml"/>'
)
_RELATION = (
    b'<Relationship Id="rIdLive" '
    b'Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sheetMetadata" Target="metadata.xml"/>'
)
_CALCULATION = b'<calcPr calcId="191029" fullCalcOnLoad="1"/>'


def live(data: bytes) -> bytes:
    """A copy of a workbook of ours with the functions in it. Raises `FileRefused` for one that has them already."""
    with zipfile.ZipFile(BytesIO(data)) as archive:
        parts = [(member, archive.read(member)) for member in archive.infolist()]
    if any(member.filename == "xl/metadata.xml" for member, _ in parts):
        raise FileRefused("this workbook has marks of dynamic arrays already; the functions go into one of hydrofunc")
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for member, part in parts:
            name = member.filename
            if name.endswith("calcChain.xml"):
                continue
            if name.startswith("xl/worksheets/sheet"):
                part = _CELL.sub(_marked, part)
            elif name == "xl/workbook.xml":
                part = _with_names(part, names())
            elif name == "[Content_Types].xml":
                part = re.sub(rb"<Override[^>]*calcChain[^>]*/>", b"", part).replace(b"</Types>", _TYPE + b"</Types>")
            elif name == "xl/_rels/workbook.xml.rels":
                part = re.sub(rb"<Relationship [^>]*calcChain[^>]*/>", b"", part)
                part = part.replace(b"</Relationships>", _RELATION + b"</Relationships>")
            archive.writestr(zipfile.ZipInfo(name, member.date_time), part, zipfile.ZIP_DEFLATED)
        archive.writestr(zipfile.ZipInfo("xl/metadata.xml", (2026, 1, 1, 0, 0, 0)), _METADATA, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def _marked(found: re.Match[bytes]) -> bytes:
    """A cell that calls one of our functions, as an array of one cell; one that fills several fills these."""
    cell, attributes, how, formula = found.groups()
    if b't="array"' in how:
        return b'<c r="%b"%b cm="1"><f%b>%b</f>' % (cell, attributes, how, formula)
    if b"t=" in how:
        return found[0]
    return b'<c r="%b"%b cm="1"><f t="array" ref="%b">%b</f>' % (cell, attributes, cell, formula)


def _with_names(part: bytes, added: Names) -> bytes:
    """The part of the workbook with our names beside its own."""
    lines = []
    for name, text in sorted(added.texts.items(), key=lambda pair: pair[0].lower()):
        comment = added.comments[name]
        said = f" comment={quoteattr(comment)}" if comment else ""
        lines.append(f'<definedName name="{name}"{said}>{escape(text)}</definedName>')
    more = "".join(lines).encode()
    if b"</definedNames>" in part:
        part = part.replace(b"</definedNames>", more + b"</definedNames>")
    else:
        part = part.replace(b"</sheets>", b"</sheets><definedNames>" + more + b"</definedNames>")
    return re.sub(rb"<calcPr[^>]*/>", _CALCULATION, part)
