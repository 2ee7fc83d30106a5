"""Recalculate a workbook without a spreadsheet program and store the values beside its formulas."""

from pathlib import Path

from .. import catalogue  # noqa: F401  (fills the registry)
from ..engine.compile import compile_book
from ..engine.lanes import ExcelError
from ..registry import FUNCTIONS
from ..workbook.files import refuse_existing, write_bytes
from ..workbook.reading import read_book
from ..workbook.splice import splice

SHEET_FUNCTIONS = {function.sheet_name: function for function in FUNCTIONS.values()}


def calculated(source):
    """The workbook (path or bytes) with the value of every formula stored, as bytes; and its error values.

    The error values are a list of (``Sheet!Cell``, value). Raises `FormulaRefused`, with every cell and
    reason, where the workbook holds something the engine does not evaluate.
    """
    book = read_book(source)
    plan = compile_book(book, SHEET_FUNCTIONS)
    result = plan.run()
    values = {key: result.value(key) for key in plan.outputs}
    errors = [
        (f"{sheet}!{cell}", str(value)) for (sheet, cell), value in values.items() if isinstance(value, ExcelError)
    ]
    return splice(book.data, values), errors


def recalc(path, out=None, force=False):
    """Recalculate the workbook at `path` into `out`, by default ``NAME-recalculated`` beside it.

    Returns the path written and the error values found, as `calculated` does.
    """
    path = Path(path)
    out = Path(out) if out else path.with_name(f"{path.stem}-recalculated{path.suffix}")
    refuse_existing([out], force)
    data, errors = calculated(path)
    write_bytes(out, data, force)
    return out, errors
