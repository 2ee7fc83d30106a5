"""Limits: every threshold of the workbook's verdicts, each a named cell with its reason, in one place."""

from collections.abc import Iterable, Iterator
from types import ModuleType

from ..model import Heading, Input, Page


def page(modules: Iterable[ModuleType]) -> Page:
    """The page of all limits that modules of pages declare as `LIMITS`: lines made by `common.limit`."""
    return Page(
        "Limits",
        "Where a verdict changes from one word to the next. Change one only if you know better for your site.",
        tuple(_items(modules)),
    )


def _items(modules) -> Iterator[Heading | Input]:
    for module in modules:
        limits = getattr(module, "LIMITS", ())
        if limits:
            yield Heading(f"For sheet {module.PAGE.sheet}")
            yield from limits
