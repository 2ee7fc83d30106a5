"""The template workbook: one sheet for each part of the job, built with openpyxl.

`pages` says what stands on each sheet, `expression` makes decisions out of cells and words, `chain` feeds cells to our
functions, `model` gives every item its cell, `look` holds the colours and formats, `charts` the charts, and `build`
writes the file. Formulas are written, values are not: the headless engine computes and stores them.

What others may know of the template is listed below; nobody outside imports from `pages`.
"""

from . import look
from .build import add_pages, build, new_book, saved
from .model import Input, Result, Table, functions_in
from .pages import INPUTS, ONE_OF, PAGES, PLACED, RECORDED, RESULTS, RESULTS_SHEET
from .pages.doubt import NEXT_LINES, OF_IT, UNCERTAIN

__all__ = [
    "INPUTS",
    "NEXT_LINES",
    "OF_IT",
    "ONE_OF",
    "PAGES",
    "PLACED",
    "RECORDED",
    "RESULTS",
    "RESULTS_SHEET",
    "UNCERTAIN",
    "Input",
    "Result",
    "Table",
    "add_pages",
    "build",
    "functions_in",
    "look",
    "new_book",
    "saved",
]
