"""Calculations for very small Pelton-wheel hydro plants, in a worksheet, from Python, and headless.

Every worksheet function is here under its lower-case name without prefix, in the same trade units:

>>> import hydrofunc
>>> round(hydrofunc.pipe_velocity(flow=1.0, bore=40.0), 4)  # 1 L/s in a 40 mm bore, in m/s
0.7958

Arguments may be numbers or numpy arrays. `hydrofunc.functions()` lists the functions,
`print(hydrofunc.friction_head.describe())` explains one, and `hydrofunc.explain("friction_head", ...)` says
which values of a call are not allowed, and why.
Nothing is loaded until the first function is asked for. So a type checker reads `__init__.pyi` instead of this
file; `python -m tests.stub` writes it from the declarations.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from .errors import HydroError, InputError

if TYPE_CHECKING:
    from .registry import Function, Problem, Registry

__version__ = "0.1.0"
__all__ = ["HydroError", "InputError", "explain", "find", "functions"]


def explain(name: str, *args: Any, **kwargs: Any) -> "list[Problem]":
    """The problems of calling function `name` with these arguments; an empty list where all is fine.

    Each problem has `index` (of the bad element in an array call), `argument` and `reason`.
    Raises `InputError` where there is no such function.
    """
    return find(name).explain(*args, **kwargs)


def find(name: str) -> "Function":
    """The declared function called `name`, here or in a cell. Raises `InputError` where there is none."""
    declared = functions()
    plain = str(name).lower().removeprefix("hydro_")
    if plain not in declared:
        from difflib import get_close_matches

        near = get_close_matches(plain, declared, n=1)
        raise InputError(f"there is no function {name!r}" + (f"; did you mean {near[0]}?" if near else ""))
    return declared[plain]


def functions() -> "Registry":
    """The declared functions by name, in the order in which the job is done."""
    # `from . import catalogue` would first ask this module for the attribute, and so come back here.
    import_module("hydrofunc.catalogue")  # fills the registry
    return import_module("hydrofunc.registry").FUNCTIONS


def __getattr__(name: str) -> Any:
    if not name.startswith("_") and name in (declared := functions()):
        return declared[name]
    raise AttributeError(f"module 'hydrofunc' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *functions()})
