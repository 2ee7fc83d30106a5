"""From a workbook to a PDF file."""

from ..sheets.files import refuse_existing, write_bytes
from .content import read
from .layout import pdf


def report(book, out, force=False):
    """Write the report of the workbook at `book` to `out`, a new .pdf file.

    Returns the checks that say stop and the cells that show an error, as text. Raises `FileRefused` where the book is none
    of ours or `out` would be overwritten, and `FormulaRefused` where it holds what the engine does not evaluate.
    """
    refuse_existing([out], force)
    content = read(book)
    write_bytes(out, pdf(content), force)
    return [f"stop: {check.label}: {check.value}" for check in content.checks if check.judgement == "stop"] + content.errors
