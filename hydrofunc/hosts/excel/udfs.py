"""The module xlwings calls: one decorated function for each declared worksheet function, and two helpers.

Made from the registry when imported, so that a new declaration is a new function here. Its functions have
their worksheet names. Where xlwings' decorators do nothing (off Windows, as xlwings documents), they are
plain functions that take cells.
"""

import inspect
from collections.abc import Callable
from typing import Any

import hydrofunc

from ...errors import HydroError, InputError
from ...registry import Argument, Function
from . import adapter

try:
    import xlwings
except ImportError as error:
    raise HydroError("The Excel host needs the package xlwings:  pip install xlwings") from error

CATEGORY = "hydrofunc"  # the wizard's category is this and the function's group


def category(function: Function) -> str:
    """The wizard's category of a function."""
    return f"{CATEGORY}: {function.group}"


def argument_help(argument: Argument) -> str:
    """Meaning, unit, range and default, in the 255 characters that Excel's function wizard shows."""
    unit = "" if argument.is_text or argument.unit == "-" else f" [{argument.unit}]"
    default = "" if argument.required else f" Default: {argument.default_text}."
    text = f"{argument.meaning}{unit} Allowed: {argument.allowed}.{default}"
    return text if len(text) <= 255 else f"{argument.meaning}{unit}{default}"[:255]


def function_help(function: Function) -> str:
    """Help and unit of the result."""
    unit = "" if function.unit == "-" else f" [{function.unit}]"
    text = f"{function.help}{unit}"
    return text if len(text) <= 255 else function.help


def worksheet_function(function: Function) -> Callable[..., Any]:
    """The declared function as xlwings calls it from a cell."""

    def from_cells(*arguments: Any) -> Any:
        return adapter.call(function, arguments)

    kind = inspect.Parameter.POSITIONAL_OR_KEYWORD
    from_cells.__name__ = from_cells.__qualname__ = function.sheet_name
    from_cells.__doc__ = function_help(function)
    signature = inspect.Signature(
        [
            inspect.Parameter(a.name, kind, default=inspect.Parameter.empty if a.required else None)
            for a in function.arguments
        ]
    )
    vars(from_cells)["__signature__"] = signature  # xlwings reads the arguments' names from it
    decorated: Callable[..., Any] = from_cells
    for argument in function.arguments:
        decorated = xlwings.arg(argument.name, ndim=2, err_to_str=True, doc=argument_help(argument))(decorated)
    return xlwings.func(category=category(function))(decorated)


HELPER_ARGUMENTS = {
    "function_name": "Name of a HYDRO function, in quotation marks.",
    "values": "The arguments given to it, in the same order.",
}


@xlwings.func(category=CATEGORY)
def HYDRO_VERSION() -> str:  # noqa: N802 (a worksheet name)
    """Version of the hydrofunc package that calculates."""
    return hydrofunc.__version__


@xlwings.func(category=CATEGORY)
@xlwings.arg("function_name", doc=HELPER_ARGUMENTS["function_name"])
@xlwings.arg("values", ndim=2, err_to_str=True, doc=HELPER_ARGUMENTS["values"])
def HYDRO_EXPLAIN(function_name: str, *values: Any) -> str:  # noqa: N802 (a worksheet name)
    """In words, what is wrong with a call of a HYDRO function; "fine" where nothing is."""
    try:
        return str(adapter.explain(hydrofunc.find(function_name), values))
    except InputError as error:
        return str(error)


globals().update({function.sheet_name: worksheet_function(function) for function in hydrofunc.functions().values()})
