"""What a cell shows whose call is refused."""

from hydrofunc.errors import InputError


def worded(words, formula, *values):
    """The value of `formula`; these words where the call is refused."""
    try:
        return formula(*values)
    except InputError:
        return words
