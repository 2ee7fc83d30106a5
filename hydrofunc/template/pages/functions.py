"""Functions: every worksheet function, from the registry."""

from ...registry import FUNCTIONS
from ...units import TEXT
from ..model import Page, Table


def _function_rows():
    for function in FUNCTIONS.values():
        arguments = ", ".join(
            (f"{a.name}" if a.required else f"[{a.name}]") + (f" {a.unit}" if a.unit not in (TEXT, "-") else "")
            for a in function.arguments
        )
        yield (function.sheet_name, function.group, function.help, arguments, function.unit, function.source)


PAGE = Page(
    "Functions",
    "Every worksheet function, what it takes and where it comes from. Arguments in [ ] may be left out.",
    (
        Table(
            ("function", "part of the job", "what it gives", "arguments and units", "result", "source"),
            tuple(_function_rows()),
            wrap=("B", "C", "D", "E", "G"),
            key="functions",
        ),
    ),
    widths=(3, 30, 14, 35, 40, 8, 36),
    heads=("",) * 7,
)
