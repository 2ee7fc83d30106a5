"""Recalculate a workbook without a spreadsheet program and store the values beside its formulas."""

from pathlib import Path

from .. import catalogue  # noqa: F401  (fills the registry)
from ..engine.compile import compile_book
from ..registry import FUNCTIONS
from ..workbook.files import refuse_existing, write_bytes
from ..workbook.reading import read_book
from ..workbook.splice import splice
from .causes import Cause, Causes

SHEET_FUNCTIONS = {function.sheet_name: function for function in FUNCTIONS.values()}


def calculated(source: str | Path | bytes) -> tuple[bytes, list[Cause]]:
    """The workbook (path or bytes) with the value of every formula stored, as bytes; and why cells show errors.

    Raises `FormulaRefused`, with every cell and reason, where the workbook holds something the engine does not
    evaluate.
    """
    book = read_book(source)
    plan = compile_book(book, SHEET_FUNCTIONS)
    result = plan.run()
    values = {key: result.value(key) for key in plan.outputs}
    return splice(book.data, values), Causes(book, plan).of(values)


def recalc(path: str | Path, out: str | Path | None = None, force: bool = False) -> tuple[Path, list[Cause]]:
    """Recalculate the workbook at `path` into `out`, by default ``NAME-recalculated`` beside it.

    Returns the path written and why cells of it show errors, as `calculated` does.
    """
    path = Path(path)
    out = Path(out) if out else path.with_name(f"{path.stem}-recalculated{path.suffix}")
    refuse_existing([out], force)
    data, causes = calculated(path)
    write_bytes(out, data, force)
    return out, causes
