"""Recalculate a workbook without a spreadsheet program and store the values beside its formulas."""

from pathlib import Path
from typing import NamedTuple

from .. import catalogue  # noqa: F401  (fills the registry)
from ..engine.collector import collector_paused
from ..engine.compile import compile_book
from ..errors import FileRefused
from ..registry import FUNCTIONS
from ..workbook.files import refuse_existing, write_bytes
from ..workbook.parts import Archive
from ..workbook.reading import opened, read_book
from ..workbook.splice import splice
from .causes import Cause, Causes
from .needs import needs

SHEET_FUNCTIONS = {function.sheet_name: function for function in FUNCTIONS.values()}


class Recalculated(NamedTuple):
    """A workbook with the value of every formula stored, what it needs of a person, and why cells show errors."""

    data: bytes
    needs: list[str]
    causes: list[Cause]


@collector_paused()
def calculated(source: str | Path | bytes | Archive) -> Recalculated:
    """The workbook (path, bytes or opened) with the value of every formula stored, and what is to be said of it.

    Raises `FormulaRefused`, with every cell and reason, where the workbook holds something the engine does not
    evaluate.
    """
    archive = opened(source)
    book = read_book(archive)
    plan = compile_book(book, SHEET_FUNCTIONS)
    result = plan.run()
    values = {key: result.value(key) for key in plan.outputs}
    lacking = needs(book, lambda key: values.get(key, book.cells.get(key)))
    if b"_xmlsignatures/" in book.data:  # names of parts stand unpacked in an archive
        lacking.append("The digital signature of this workbook is void now, as its values have changed.")
    return Recalculated(splice(archive, values), lacking, Causes(book, plan).of(values))


def refuse_other_ending(out: str | Path) -> None:
    """Raise `FileRefused` where a workbook would get a name that no spreadsheet program opens as one."""
    if Path(out).suffix.lower() not in (".xlsx", ".xlsm"):
        raise FileRefused(f"{str(out)!r}: the name of a workbook must end in .xlsx or .xlsm")


def recalc(
    path: str | Path, out: str | Path | None = None, force: bool = False, archive: Archive | None = None
) -> tuple[Path, Recalculated]:
    """Recalculate the workbook at `path` into `out`, by default ``NAME-recalculated`` beside it.

    `archive` is that workbook where it is open already.
    Returns the path written, and what `calculated` gives.
    """
    path = Path(path)
    if not path.name:
        raise FileRefused("no workbook is named")
    out = Path(out) if out is not None else path.with_name(f"{path.stem}-recalculated{path.suffix}")
    refuse_other_ending(out)
    refuse_existing([out], force)
    done = calculated(archive or path)
    write_bytes(out, done.data, force)
    return out, done
