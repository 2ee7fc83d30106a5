"""What stands on each sheet of the template, one module a sheet, in the order of the job."""

from dataclasses import replace

from ..model import First, Input, Page, Result, Shown, Table, inputs_of, names_of, place
from . import (
    as_tested,
    checks,
    choices,
    combinations,
    diagnosis,
    doubt,
    efficiency,
    electrical,
    electrical_safety,
    energy,
    functions,
    guide,
    housing,
    inputs,
    limits,
    log,
    nozzle,
    parts,
    pipe,
    plant,
    results,
    route,
    site,
    start,
    strength,
    supply,
    test_day,
    tried,
    what_pays,
    wheel,
)
from .checks import CHECKS
from .results import RESULTS_SHEET

IN_ORDER = (
    start,
    guide,
    site,
    supply,
    pipe,
    route,
    strength,
    nozzle,
    wheel,
    choices,
    housing,
    electrical,
    electrical_safety,
    energy,
    parts,
    results,
    checks,
    what_pays,
    combinations,
    doubt,
    test_day,
    diagnosis,
    as_tested,
    efficiency,
    log,
    tried,
    plant,
    functions,
)
*_UP_TO_LOG, _PLANT, _FUNCTIONS = (module.PAGE for module in IN_ORDER)
_FILLED_IN_ON = (*_UP_TO_LOG, limits.page(IN_ORDER), _PLANT)


def _with_first_page(pages: tuple[Page, ...]) -> tuple[Page, ...]:
    """The pages with the inputs of the first page moved there; where they are declared they are shown."""
    declared = {
        item.name: replace(item, is_line=True) for page in pages for item in page.items if isinstance(item, Input)
    }
    first = {item.name for page in pages for item in page.items if isinstance(item, First)}

    def line(item):
        if isinstance(item, First):
            return replace(declared[item.name], short=item.label)
        return Shown(declared[item.name]) if isinstance(item, Input) and item.name in first else item

    every = declared | _tabled(pages)
    return tuple(checks.resolved(replace(page, items=tuple(map(line, page.items))), every) for page in pages)


def _tabled(pages):
    """The inputs in tables, by name."""
    tables = (item for page in pages for item in page.items if isinstance(item, Table))
    cells = (cell for table in tables for row in table.rows for cell in row)
    return {cell.name: cell for cell in cells if isinstance(cell, Input)}


_FILLED_IN_ON = _with_first_page(_FILLED_IN_ON)
_PLACED = {page.sheet: place(page) for page in _FILLED_IN_ON}
_FILLED_IN = tuple(item for page in _FILLED_IN_ON for item in inputs_of(_PLACED[page.sheet]))
INPUTS = tuple(item for item in _FILLED_IN if not item.recorded)
RECORDED = tuple(item for item in _FILLED_IN if item.recorded)  # entries of the log: cells without a defined name
_WORKINGS = inputs.page(INPUTS)
PAGES = (*_FILLED_IN_ON, _WORKINGS, _FUNCTIONS)
PLACED = _PLACED | {page.sheet: place(page) for page in (_WORKINGS, _FUNCTIONS)}
ROW_OF = inputs.rows(PLACED[_WORKINGS.sheet])
SHEET_OF = {name: page.sheet for page in PAGES for name in names_of(PLACED[page.sheet])}  # of every defined name
RESULTS = tuple(item for _, item in PLACED[RESULTS_SHEET] if isinstance(item, Result))
# Groups of sheets, each with a tab of its own colour: the stages of the job, and what belongs to none of them.
GROUPS = {
    "Start and results": ("Start", "Results", "Checks"),
    **{stage: sheets for stage, sheets, _ in start.STAGES},
    "Workings": ("Tried", "Limits", "Plant", "Inputs"),
    "Help": ("Guide", "Functions"),
}
GROUP_OF = {sheet: group for group, sheets in GROUPS.items() for sheet in sheets}
# Of each group a site must give at least one: the first given counts.
ONE_OF = (("static_pressure", "level_difference"), ("pipe_bore", "pipe_size"))

__all__ = [
    "CHECKS",
    "GROUPS",
    "GROUP_OF",
    "INPUTS",
    "ONE_OF",
    "PAGES",
    "PLACED",
    "RECORDED",
    "RESULTS",
    "RESULTS_SHEET",
    "ROW_OF",
    "SHEET_OF",
]
