"""Limits: every threshold of the workbook's verdicts, each a named cell with its reason, in one place."""

from ..model import Heading, Page
from . import electrical_safety, energy, housing, strength

# Modules of other pages declare theirs as `LIMITS`: tuples of lines made by `common.limit`.
_PAGES: tuple = (  # (heading, module) in the order of the sheets
    ("Strength", strength),
    ("Housing", housing),
    ("Safety figures", electrical_safety),
    ("Energy", energy),
)

PAGE = Page(
    "Limits",
    "Where a verdict changes from one word to the next. Change one only if you know better for your site.",
    tuple(item for heading, module in _PAGES for item in (Heading(heading), *module.LIMITS)),
)
if not _PAGES:  # until the first page declares its limits
    PAGE = None  # type: ignore[assignment]
