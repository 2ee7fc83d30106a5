"""The chain behind each sheet beyond the main job, one module a sheet of `hydrofunc/template/pages`.

Each module has
- `expected(v, r, tables)`: adds the sheet's named results to `r` and the formula values of its tables to `tables`
  (by the table's key), from the inputs `v` (None is an empty cell) and what `r` holds already;
- `checks(v, r)`: (value, good to, stop beyond, whether low is bad) of each row of the sheet's CHECKS;
- `SITES`: further input sets, by a name that says what is special; `STOP` and `GOOD`: inputs that turn a check, by its
  label, red and, where the template's own example does not, green.
They call public functions of hydrofunc, never the text of a formula. A decision that the page builds as an expression
is taken from there, in Python; what it decides is held by statements about the trade, in tests of their own.
"""

from . import (  # noqa: F401  (choices: for chain.py, which calls it by itself)
    as_tested,
    choices,
    combinations,
    diagnosis,
    doubt,
    efficiency,
    electrical,
    electrical_safety,
    energy,
    housing,
    log,
    parts,
    route,
    strength,
    supply,
    test_day,
    what_pays,
    wheel,
)

# In the order in which one needs the other.
IN_ORDER = (
    supply,
    route,
    strength,
    housing,
    electrical_safety,
    electrical,
    energy,
    parts,
    test_day,
    diagnosis,
    as_tested,
    efficiency,
    what_pays,
    combinations,
    doubt,
    log,
)
# In the order of the rows on the Checks sheet.
WITH_CHECKS = (
    supply,
    route,
    strength,
    wheel,
    housing,
    electrical_safety,
    energy,
    parts,
    what_pays,
    combinations,
    doubt,
    diagnosis,
    log,
)
