"""A copy of a workbook for Calc that does not know the names with HYDRO_ in .xlsx files (7.4, measured).

There a formula must call a function by Calc's internal name, HYDROFUNC.FRICTION_HEAD. Only the text of
formulas changes; every other byte stays.
"""

import io
import re
import zipfile
from pathlib import Path

from ...errors import FileRefused
from ...registry import FUNCTIONS, PREFIX
from ...sheets.book import bytes_of, guard
from ...sheets.files import refuse_existing, write_bytes
from .build import HELPERS, SERVICE

# Where formulas stand in the XML (ECMA-376 part 1: f 18.3.1.40, formula 18.3.1.43, definedName 18.2.5).
_FORMULA = re.compile(r"(<(?:\w+:)?(?:f|formula|formula1|formula2|definedName)\b[^>]*(?<!/)>)([^<]*)")
_CALL = re.compile(r'"(?:[^"]|"")*"|(?<![\w.!])' + PREFIX + r"(\w+)(?=\s*\()", re.I)


def book_for_old_calc(path, out, force=False, options=()):
    """Write a copy of the workbook at `path` to `out`, .xlsx or .ods; returns the number of calls renamed.

    An .ods is made by the LibreOffice of this computer; `options` are those of `ods.as_ods`.
    """
    if Path(out).resolve() == Path(path).resolve():
        raise FileRefused(f"{out} is the workbook itself; give the copy another name")
    ending = ending_of(out)
    refuse_existing([out], force)
    if ending == ".ods":
        from .ods import as_ods

        data, count = as_ods(path, options)
    else:
        data, count = internal_names(path)
    write_bytes(out, data, force)
    return count


def ending_of(out):
    """The ending of a file name, .xlsx or .ods. Raises `FileRefused` for any other."""
    ending = Path(out).suffix.lower()
    if ending not in (".xlsx", ".ods"):
        raise FileRefused(f"{out}: the ending must be .xlsx or .ods, it says which kind of file to write")
    return ending


def internal_names(source):
    """(bytes of the copy, number of calls renamed) of a workbook, a path or bytes."""
    name, data = bytes_of(source)
    guard(name, data)
    known = {f.name.upper() for f in FUNCTIONS.values()} | set(HELPERS)
    count = 0

    def renamed(match):
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
