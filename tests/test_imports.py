"""Imports point one way: errors, units <- physics <- registry, catalogue <- sheets, demo <- cli."""

import ast
import pathlib
import sys

import pytest

import hydrofunc

ROOT = pathlib.Path(hydrofunc.__file__).parent

# What a module whose name begins so may import from inside the package, and from outside the standard library.
ALLOWED = {
    "errors": ((), ()),
    "units": ((), ()),
    "physics": (("physics",), ("numpy",)),
    "registry": (("errors", "units"), ("numpy",)),
    "catalogue": (("registry", "physics", "catalogue", "units"), ("numpy",)),
    "sheets.template": (("errors", "units", "registry", "catalogue", "sheets", ""), ("openpyxl",)),
    "sheets": (("errors", "registry", "catalogue", "sheets", "units", ""), ("numpy", "openpyxl", "defusedxml", "pyarrow", "click")),
    "demo": (("errors", "report", "sheets", "demo", ""), ()),
    "report": (("errors", "registry", "catalogue", "sheets", "report", ""), ("numpy", "openpyxl", "reportlab")),
    "hosts.excel": (("errors", "registry", "sheets", "hosts.excel", ""), ("numpy", "xlwings", "openpyxl")),
    "hosts": (("errors", "registry", "catalogue", "sheets", "hosts", ""), ("openpyxl", "xlwings")),
    "hosts.calc": (("errors", "registry", "catalogue", "sheets.book", "sheets.files", "hosts.calc", ""), ("numpy",)),
    "hosts.calc.component": ((), ("uno", "unohelper", "com")),  # runs inside LibreOffice's own Python
    "cli": (("errors", "registry", "catalogue", "sheets", "demo", "report", "hosts", ""), ("click",)),
    "__main__": (("cli",), ()),
    "": (("errors", "registry", "catalogue", ""), ()),
}

MODULES = sorted(ROOT.rglob("*.py"))


def module_name(path):
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(part for part in parts if part != "__init__")


def imported(path):
    """(inside the package?, dotted name) of everything a file imports, also inside functions."""
    package = path.relative_to(ROOT).parent.parts
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            for alias in node.names:
                head, _, tail = alias.name.partition(".")
                yield (head == "hydrofunc", tail if head == "hydrofunc" else head)
        elif isinstance(node, ast.ImportFrom):
            if node.level:
                base = package[: len(package) - node.level + 1]
                names = [node.module] if node.module else [alias.name for alias in node.names]
                for name in names:
                    yield True, ".".join((*base, name))
            else:
                head, _, tail = (node.module or "").partition(".")
                yield (head == "hydrofunc", tail if head == "hydrofunc" else head)


def rule_for(name):
    """The longest rule that fits a module's name."""
    fitting = [rule for rule in ALLOWED if name == rule or (rule and name.startswith(rule + ".")) or rule == name]
    return max(fitting, key=len)


def test_every_module_has_a_rule():
    """A new folder must say where it stands."""
    assert MODULES
    for path in MODULES:
        rule_for(module_name(path))


@pytest.mark.parametrize("path", MODULES, ids=module_name)
def test_a_module_imports_only_from_its_left(path):
    """Also no package from outside that its layer has no business with."""
    inside, outside = ALLOWED[rule_for(module_name(path))]
    for internal, name in imported(path):
        if internal:
            fits = any(name == part or (part and name.startswith(part + ".")) for part in inside) or name in ("__version__",)
            assert fits, f"{module_name(path)} imports hydrofunc.{name}"
        elif name not in sys.stdlib_module_names and name != "__future__":
            assert name in outside, f"{module_name(path)} imports {name}"
