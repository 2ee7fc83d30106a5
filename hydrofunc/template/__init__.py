"""The template workbook: one sheet for each part of the job, built with openpyxl.

`pages` says what stands on each sheet, `model` gives every item its cell, `look` holds the colours and
formats, `charts` the charts, and `build` writes the file. Formulas are written, values are not: the
headless engine computes and stores them.
"""

from .build import add_pages, build, saved
from .pages import INPUTS, ONE_OF, PAGES, RECORDED, RESULTS, RESULTS_SHEET

__all__ = ["INPUTS", "ONE_OF", "PAGES", "RECORDED", "RESULTS", "RESULTS_SHEET", "add_pages", "build", "saved"]
