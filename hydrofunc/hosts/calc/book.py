"""A copy of a workbook for Calc that does not know the names with HYDRO_ in .xlsx files (7.4, measured).

There a formula must call a function by Calc's internal name; an .ods is made by the LibreOffice of this computer.
"""

from collections.abc import Sequence
from pathlib import Path

from ...errors import FileRefused
from ...workbook.files import refuse_existing, write_bytes
from .names import internal_names
from .ods import as_ods


def book_for_old_calc(path: Path | str, out: Path | str, force: bool = False, options: Sequence[str] = ()) -> int:
    """Write a copy of the workbook at `path` to `out`, .xlsx or .ods; returns the number of calls renamed.

    An .ods is made by the LibreOffice of this computer; `options` are those of `ods.as_ods`.
    """
    if Path(out).resolve() == Path(path).resolve():
        raise FileRefused(f"{out} is the workbook itself; give the copy another name")
    ending = ending_of(out)
    refuse_existing([out], force)
    data, count = as_ods(path, options) if ending == ".ods" else internal_names(path)
    write_bytes(out, data, force)
    return count


def ending_of(out: Path | str, endings: tuple[str, ...] = (".xlsx", ".ods")) -> str:
    """The ending of a file name. Raises `FileRefused` for any other than these."""
    ending = Path(out).suffix.lower()
    if ending not in endings:
        allowed = f"{', '.join(endings[:-1])} or {endings[-1]}"
        raise FileRefused(f"{out}: the ending must be {allowed}, it says which kind of file to write")
    return ending
