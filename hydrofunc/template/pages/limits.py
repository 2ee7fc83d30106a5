"""Limits: every threshold of the workbook's verdicts, each a named cell with its reason, in one place."""

from ..model import Heading, Page
from . import nozzle, site

# Modules of other pages declare theirs as `LIMITS`: tuples of lines made by `common.limit`.
_PAGES: tuple = (("Site", site), ("Nozzle", nozzle))  # (heading, module) in the order of the sheets

PAGE = Page(
    "Limits",
    "Where a verdict changes from one word to the next. Change one only if you know better for your site.",
    tuple(item for heading, module in _PAGES for item in (Heading(heading), *module.LIMITS)),
)
if not _PAGES:  # until the first page declares its limits
    PAGE = None  # type: ignore[assignment]
