"""What several pages need: inputs made from arguments of our functions, and rows of checks."""

from ...registry import FUNCTIONS, Argument
from ...units import TEXT
from ..model import Formula, Input

AT_GAUGE = "-water_density*gravity*gauge_height/100000"  # bar that a gauge above the nozzle reads less
PRACTICE = "Common practice, no published source."


def of_last_section(first, second, third):
    """That expression of the three which belongs to the pipe section at the lower end."""
    return f"IF(N(length_3)>0,{third},IF(N(length_2)>0,{second},{first}))"


def words(name, meaning):
    """An argument that takes any words."""
    return Argument(name, TEXT, meaning)


def argument_of(function, argument):
    """The argument of one of our functions."""
    return next(a for a in FUNCTIONS[function].arguments if a.name == argument)


def fed_by(argument, label, note="", **more):
    """An input that feeds an argument of the same name in our functions."""
    if "default" not in more and not more.get("optional") and not argument.required:
        more["default"] = argument.default
    return Input(argument.name, label, argument, note=note or argument.meaning, **more)


def check(label, value, unit, good, stop, why, digits="0.0", low_is_bad=False):
    """A row of the Checks sheet: good up to `good`, stop beyond `stop`, look between; stop where there is no number."""
    beyond = "<" if low_is_bad else ">"
    judgement = (
        f'=IF(ISNUMBER(C{{row}}),IF(C{{row}}{beyond}F{{row}},"stop",IF(C{{row}}{beyond}E{{row}},"look","good")),"stop")'
    )
    return (label, Formula(value, digits), unit, good, stop, Formula(judgement), why)
