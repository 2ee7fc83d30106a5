"""What a cell shows that hangs on a cell with an error, or on a call that is refused."""

from hydrofunc.errors import InputError


def live(formula, *values):
    """The value of `formula`, the first error among `values`, or #NUM! where the call is refused."""
    for value in values:
        if isinstance(value, str) and value.startswith("#"):
            return value
    try:
        return formula(*values)
    except InputError:
        return "#NUM!"
