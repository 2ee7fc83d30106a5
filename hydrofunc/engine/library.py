"""The ordinary worksheet functions the engine evaluates: `TABLE`, one entry for each (see `functions`).

Entries whose `call` is None are forms: which of their arguments are evaluated, or what they mean, is decided
when the formula is compiled (see `plan`).
"""

from .functions import aggregates, criteria, logic, lookup, numbers, text  # noqa: F401  (they fill the table)
from .functions.formats import formatted, formatter
from .functions.lookup import index
from .functions.table import TABLE, Entry, entry
from .functions.units import converter

__all__ = ["TABLE", "WHY_REFUSED", "converter", "formatted", "formatter", "index"]

TABLE.update(
    {
        name: entry(kinds)
        for name, kinds in {
            "IF": "vv[v]",
            "IFS": "(vv)+",
            "CHOOSE": "v(v)+",
            "IFERROR": "vv",
            "IFNA": "vv",
            "ROW": "[v]",
            "COLUMN": "[v]",
            "ROWS": "v",
            "COLUMNS": "v",
            "INDEX": "vv[v]",
            "TEXT": "vv",
            "CONVERT": "vvv",
        }.items()
    }
)
TABLE["SWITCH"] = Entry(3, 254, "v")  # 126 pairs and a default

_VOLATILE = "it changes at every recalculation"
_DYNAMIC = "it refers to cells known only while calculating"
_SPILLS = "it fills more than one cell"
WHY_REFUSED = {
    **dict.fromkeys(("RAND", "RANDBETWEEN", "RANDARRAY", "NOW", "TODAY", "CELL", "INFO"), _VOLATILE),
    **dict.fromkeys(("OFFSET", "INDIRECT"), _DYNAMIC),
    **dict.fromkeys(("FILTER", "SORT", "SORTBY", "UNIQUE", "SEQUENCE", "TRANSPOSE", "MMULT"), _SPILLS),
}
