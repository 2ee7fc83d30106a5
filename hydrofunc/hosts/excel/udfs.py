"""The module xlwings calls: one decorated function for each declared worksheet function, and two helpers.

Made from the registry when imported, so that a new declaration is a new function here. Its functions have
their worksheet names. Where xlwings' decorators do nothing (off Windows, as xlwings documents), they are
plain functions that take cells.
"""

import inspect

import hydrofunc

from ...errors import HydroError, InputError
from ...registry import TEXT, Argument
from . import adapter

try:
    import xlwings
except ImportError as error:
    raise HydroError("The Excel host needs the package xlwings:  pip install xlwings") from error

CATEGORY = "hydrofunc"  # the wizard's category is this and the function's group


def category(function):
    return f"{CATEGORY}: {function.group}"


def argument_help(argument: Argument):
    """Meaning, unit, range and default, in the 255 characters that Excel's function wizard shows."""
    unit = "" if argument.unit in (TEXT, "-") else f" [{argument.unit}]"
    default = "" if argument.required else f" Default: {argument.default_text}."
    text = f"{argument.meaning}{unit} Allowed: {argument.allowed}.{default}"
    return text if len(text) <= 255 else f"{argument.meaning}{unit}{default}"[:255]


def function_help(function):
    """Help and unit of the result."""
    unit = "" if function.unit == "-" else f" [{function.unit}]"
    text = f"{function.help}{unit}"
    return text if len(text) <= 255 else function.help


def worksheet_function(function):
    """The declared function as xlwings calls it from a cell."""

    def from_cells(*given):
        return adapter.call(function, given)

    kind = inspect.Parameter.POSITIONAL_OR_KEYWORD
    from_cells.__name__ = from_cells.__qualname__ = function.sheet_name
    from_cells.__doc__ = function_help(function)
    from_cells.__signature__ = inspect.Signature(
        [
            inspect.Parameter(a.name, kind, default=inspect.Parameter.empty if a.required else None)
            for a in function.arguments
        ]
    )
    for argument in function.arguments:
        from_cells = xlwings.arg(argument.name, ndim=2, err_to_str=True, doc=argument_help(argument))(from_cells)
    return xlwings.func(category=category(function))(from_cells)


HELPER_ARGUMENTS = {
    "function_name": "Name of a HYDRO function, in quotation marks.",
    "values": "The arguments given to it, in the same order.",
}


@xlwings.func(category=CATEGORY)
def HYDRO_VERSION():  # noqa: N802 (a worksheet name)
    """Version of the hydrofunc package that calculates."""
    return hydrofunc.__version__


@xlwings.func(category=CATEGORY)
@xlwings.arg("function_name", doc=HELPER_ARGUMENTS["function_name"])
@xlwings.arg("values", ndim=2, err_to_str=True, doc=HELPER_ARGUMENTS["values"])
def HYDRO_EXPLAIN(function_name, *values):  # noqa: N802
    """In words, what is wrong with a call of a HYDRO function; "fine" where nothing is."""
    try:
        return adapter.explain(hydrofunc.find(function_name), values)
    except InputError as error:
        return str(error)


globals().update({function.sheet_name: worksheet_function(function) for function in hydrofunc.functions().values()})
