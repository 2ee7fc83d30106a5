"""The ordinary worksheet functions the engine evaluates: `TABLE`, one entry for each (see `functions`).

Functions for which the compiler decides what is evaluated, such as IF, join the table in `forms`.
"""

from .functions import aggregates, criteria, logic, lookup, numbers, text  # noqa: F401  (they fill the table)
from .functions.formats import formatted, formatter
from .functions.lookup import index
from .functions.table import TABLE
from .functions.units import converter

__all__ = ["TABLE", "WHY_REFUSED", "converter", "formatted", "formatter", "index"]

_VOLATILE = "it changes at every recalculation"
_DYNAMIC = "it refers to cells known only while calculating"
_SPILLS = "it fills more than one cell"
WHY_REFUSED = {
    **dict.fromkeys(("RAND", "RANDBETWEEN", "RANDARRAY", "NOW", "TODAY", "CELL", "INFO"), _VOLATILE),
    **dict.fromkeys(("OFFSET", "INDIRECT"), _DYNAMIC),
    **dict.fromkeys(("FILTER", "SORT", "SORTBY", "UNIQUE", "SEQUENCE", "TRANSPOSE", "MMULT"), _SPILLS),
}
