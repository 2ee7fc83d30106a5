"""What stands on each sheet of the template, one module a sheet, in the order of the job."""

from ..model import Input, Result, inputs_of, names_of, place
from . import (
    as_tested,
    checks,
    choices,
    diagnosis,
    doubt,
    efficiency,
    electrical,
    electrical_safety,
    energy,
    functions,
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
    what_pays,
    wheel,
)
from .checks import CHECKS
from .results import RESULTS_SHEET

IN_ORDER = (
    start,
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
    doubt,
    test_day,
    diagnosis,
    as_tested,
    efficiency,
    log,
    plant,
    functions,
)
*_UP_TO_LOG, _PLANT, _FUNCTIONS = (module.PAGE for module in IN_ORDER)
_FILLED_IN_ON = (*_UP_TO_LOG, limits.page(IN_ORDER), _PLANT)
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
# Of each group a site must give at least one: the first given counts.
ONE_OF = (("static_pressure", "level_difference"), ("pipe_bore", "pipe_size"))

__all__ = [
    "CHECKS",
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
