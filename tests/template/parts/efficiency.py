"""The sheet of `pages/as_tested.py` as plain Python."""

SITES = {}
STOP = {}
GOOD = {}


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    return []
