"""A report of a workbook on a few A4 pages: for a landowner, an insurer, a fellow builder.

`content` recalculates the workbook and gathers what it says, in its own labels, units and notes; `figures` draws;
`layout` sets the pages. No number of a report is written here.
"""

from .job import report

__all__ = ["report"]
