"""Calc's internal names of our functions, HYDROFUNC.FRICTION_HEAD, put into the formulas of a workbook.

Only the text of formulas changes; every other byte stays.
"""

import io
import re
import zipfile
from pathlib import Path

from ...registry import FUNCTIONS, PREFIX
from ...workbook.reading import bytes_of, guard
from .build import HELPERS, SERVICE

# Where formulas stand in the XML (ECMA-376 part 1: f 18.3.1.40, formula 18.3.1.43, definedName 18.2.5).
_FORMULA = re.compile(r"(<(?:\w+:)?(?:f|formula|formula1|formula2|definedName)\b[^>]*(?<!/)>)([^<]*)")
_CALL = re.compile(r'"(?:[^"]|"")*"|(?<![\w.!])' + PREFIX + r"(\w+)(?=\s*\()", re.I)


def internal_names(source: Path | str | bytes) -> tuple[bytes, int]:
    """(bytes of the copy, number of calls renamed) of a workbook, a path or bytes."""
    name, data = bytes_of(source)
    guard(name, data)
    known = {f.name.upper() for f in FUNCTIONS.values()} | set(HELPERS)
    count = 0

    def renamed(match: re.Match[str]) -> str:
        nonlocal count
        if match[1] is None or match[1].upper() not in known:
            return match[0]
        count += 1
        return f"{SERVICE.upper()}.{match[1].upper()}"

    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as archive, zipfile.ZipFile(stream, "w") as target:
        target.comment = archive.comment
        for member in archive.infolist():
            content = archive.read(member)
            if member.filename.startswith("xl/") and member.filename.endswith(".xml"):
                text = _FORMULA.sub(lambda m: m[1] + _CALL.sub(renamed, m[2]), content.decode("utf-8"))
                content = text.encode("utf-8")
            target.writestr(member, content)
    return stream.getvalue(), count
