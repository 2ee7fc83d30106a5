"""The types of the public functions, for type checkers and editors.

`python -m tests.stub` writes `hydrofunc/__init__.pyi`. It stands with the tests, as it needs ruff and a clone.
The functions of `hydrofunc` are made from declarations when they are first asked for, so no checker sees them in the
source. The stub says the same as the declarations; `tests/test_stub.py` holds it current.
"""

import subprocess
import sys
from pathlib import Path

import hydrofunc
from hydrofunc.catalogue.plant import QUANTITIES, Plant
from hydrofunc.registry import Argument, Function

STUB = Path(hydrofunc.__file__).with_name("__init__.pyi")

HEAD = '''\
"""Types of the public functions. Written by `python -m tests.stub` from the declarations: change those, not this file.

A call of plain numbers and words gives a float, or raises `InputError`. A call with an array gives an array, NaN where
an element is not allowed. Words are written as here; in a worksheet and at run time capitals do not matter.
"""

# A number is also one of the "numbers" of the second overload, and the first one then decides.
# mypy: disable-error-code="overload-overlap"

from collections.abc import Mapping, Sequence
from typing import Any, Literal, TypeAlias, overload

from numpy import float64, floating, integer
from numpy.typing import NDArray

from .errors import HydroError as HydroError
from .errors import InputError as InputError
from .registry import Function, Problem, Registry

__version__: str

def explain(name: str, *args: Any, **kwargs: Any) -> list[Problem]:
    """The problems of a call; an empty list where all is fine. Raises `InputError` where there is no such function."""

def find(name: str) -> Function:
    """The declared function called `name`, here or in a cell. Raises `InputError` where there is none."""

def functions() -> Registry:
    """The declared functions by name, in the order in which the job is done."""

_Number: TypeAlias = float | floating[Any] | integer[Any]
_List: TypeAlias = Sequence[float] | NDArray[Any]
_Numbers: TypeAlias = _Number | _List | Sequence[Sequence[float]]
_Lists: TypeAlias = _List | Sequence[Sequence[float]]
_Array: TypeAlias = NDArray[float64]
'''


def stub() -> str:
    """The whole stub, formatted as the project formats Python."""
    text = HEAD + "".join(map(typed, hydrofunc.functions().values()))
    command = [sys.executable, "-m", "ruff", "format", "--stdin-filename", str(STUB), "-"]
    return subprocess.run(command, input=text, capture_output=True, encoding="utf-8", check=True).stdout


def typed(function: Function) -> str:
    """The class of one function and the function itself.

    It is a class, because a declared function also has `describe`, `explain` and more. The first overload is a call
    of plain numbers; in a function of lists it cannot be told from a call of many lists, so the second one says both.
    """
    if function.name == "plant":
        return whole_plant(function)
    name = "_" + function.name.title().replace("_", "")
    if function.resolve is not None:  # whether its values are arrays cannot be seen from the types
        return f'''
class {name}(Function):
    def __call__(self, {signature(function, one=False)}) -> Any:
        """{function.help}"""

{function.name}: {name}
'''
    result = "float | _Array" if any(a.many for a in function.arguments) else "_Array"
    unit = "" if function.unit == "-" else f" Result: {function.unit}."
    return f'''
class {name}(Function):
    @overload
    def __call__(self, {signature(function, one=True)}) -> float:
        """{function.help}{unit}"""
    @overload
    def __call__(self, {signature(function, one=False)}) -> {result}: ...

{function.name}: {name}
'''


PARTS = {
    "block": "Mapping[str, Any]",
    "names": "str | Sequence[str]",
    "values": "Any",
    "lines": "Sequence[tuple[str, float, str, float]]",
    "which": "float | str",
}


def whole_plant(function: Function) -> str:
    """The classes of a plant and of the function that makes one. A quantity is a number or an array."""
    quantities = "\n".join(
        f'''
    @property
    def {name}(self) -> Any:
        """{meaning}{"" if unit == "-" else f" [{unit}]"}"""'''
        for name, (unit, meaning) in QUANTITIES.items()
    )
    return f'''
class _WholePlant:
    """{Plant.__doc__}"""
    def with_(self, **changed: Any) -> _WholePlant: ...
    def ask(self, quantity: Literal[{", ".join(map(repr, QUANTITIES))}]) -> Any: ...
{quantities}

class _Plant(Function):
    @overload
    def __call__(self, {signature(function, one=True)}) -> Any:
        """{function.help}"""
    @overload
    def __call__(self, plant: Mapping[str, Any], **changed: Any) -> _WholePlant: ...

plant: _Plant
'''


def signature(function: Function, one: bool) -> str:
    """The arguments with their types; `one` call, or as many as the arrays have elements."""
    return ", ".join(f"{a.name}: {kind(a, one)}{'' if a.required else ' = ...'}" for a in function.arguments)


def kind(argument: Argument, one: bool) -> str:
    """The type of an argument."""
    if argument.part == "quantity":
        return f"Literal[{', '.join(map(repr, argument.choices))}]"
    if argument.part:
        return PARTS[argument.part]
    if argument.many:
        return "Sequence[float]" if one else "_Lists"
    if not argument.is_text:
        return "_Number" if one else "_Numbers"
    words = [*map(repr, argument.choices), *filter(str.isdigit, argument.choices)]  # the size "16" may be written 16
    word = f"Literal[{', '.join(words)}]" if words else "str"
    return word if one else f"{word} | Sequence[{word}] | NDArray[Any]"


if __name__ == "__main__":
    STUB.write_text(stub(), encoding="utf-8")
