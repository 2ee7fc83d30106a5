"""The errors hydrofunc raises. One type for bad input to a function, one for bad files."""

from collections.abc import Iterable
from typing import Any


class HydroError(Exception):
    """Base of every error raised on purpose by hydrofunc."""


class InputError(HydroError, ValueError):
    """An argument of a hydro function is of the wrong kind, or outside what is allowed.

    Carries `function`, `argument`, `value`, `unit` and `allowed` for programs; its text says
    the same for people.
    """

    def __init__(
        self,
        message: str,
        *,
        function: str | None = None,
        argument: str | None = None,
        value: Any = None,
        unit: str | None = None,
        allowed: str | None = None,
    ) -> None:
        super().__init__(message)
        self.function = function
        self.argument = argument
        self.value = value
        self.unit = unit
        self.allowed = allowed


class DeclarationError(HydroError):
    """A worksheet function is declared in a way some host could not serve."""


class FormulaRefused(HydroError):
    """A workbook holds formulas the headless engine does not evaluate.

    `problems` is a list of (cell, reason), a cell being like ``Pipe!C12``; the text has the first `MOST_LINES`.
    """

    MOST_LINES = 1000

    def __init__(self, problems: Iterable[tuple[str, str]]) -> None:
        self.problems = list(problems)
        lines = [f"{cell}: {reason}" for cell, reason in self.problems[: self.MOST_LINES]]
        if len(self.problems) > len(lines):
            lines.append(f"... and {len(self.problems) - len(lines)} more")
        super().__init__("\n".join(lines))


class FileRefused(HydroError):
    """A file cannot be read, or must not be written; the text names the file and the reason."""


class HostError(HydroError):
    """A spreadsheet program is missing, incomplete, or refused something; the text says which and what helps."""
