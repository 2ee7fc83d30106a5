"""Imports point one way, room by room, and never in a circle; imports inside functions count too."""

import ast
import pathlib
import sys

import pytest

import hydrofunc

ROOT = pathlib.Path(hydrofunc.__file__).parent

# What a module whose name begins so may import from inside the package, and from outside the standard library.
# "" is the package's own module, hydrofunc/__init__.py.
ALLOWED = {
    "": (("errors", "registry", "catalogue"), ()),
    "errors": ((), ()),
    "units": ((), ()),
    "physics": (("physics",), ("numpy",)),
    "cells": ((), ("numpy",)),
    "registry": (("cells", "errors", "units"), ("numpy",)),
    "catalogue": (("errors", "registry", "physics", "catalogue", "units"), ("numpy",)),
    "engine": (("errors", "registry", "engine"), ("numpy", "openpyxl")),
    "workbook": (("errors", "engine", "workbook"), ("numpy", "openpyxl", "defusedxml", "pyarrow")),
    "emit": (("errors", "units", "registry", "physics", "catalogue", "emit"), ("numpy",)),
    "template": (("errors", "units", "registry", "catalogue", "template", ""), ("openpyxl",)),
    "report": (("report",), ("reportlab",)),
    "jobs": (
        ("errors", "units", "registry", "catalogue", "engine", "workbook", "emit", "template", "report", "jobs", ""),
        ("numpy", "openpyxl"),
    ),
    "jobs.cluster": (("errors", "jobs", ""), ("numpy", "distributed", "threadpoolctl")),
    "hosts": (
        ("errors", "registry", "catalogue", "engine", "workbook", "template", "jobs", "hosts", ""),
        ("openpyxl", "xlwings"),
    ),
    "hosts.excel": (
        ("errors", "registry", "workbook", "emit", "template", "jobs", "hosts.excel", ""),
        ("numpy", "xlwings", "openpyxl"),
    ),
    "hosts.calc": (("errors", "registry", "catalogue", "workbook", "hosts.calc", ""), ("numpy",)),
    "hosts.calc.component": ((), ("uno", "unohelper", "com")),  # runs inside LibreOffice's own Python
    "demo": (("errors", "workbook", "template", "jobs", "demo", ""), ()),
    "cli": (
        ("errors", "registry", "catalogue", "workbook", "emit", "template", "jobs", "hosts", "demo", ""),
        ("click",),
    ),
    "__main__": (("cli",), ()),
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
            fits = any(name == part or (part and name.startswith(part + ".")) for part in inside) or name in (
                "__version__",
            )
            assert fits, f"{module_name(path)} imports hydrofunc.{name}"
        elif name not in sys.stdlib_module_names and name != "__future__":
            assert name in outside, f"{module_name(path)} imports {name}"


def test_no_module_imports_itself_by_a_detour():
    """A circle of imports, inside functions too, means that two modules are one."""
    needs = {module_name(path): set(_inside(path)) for path in MODULES}
    settled = set()
    while ready := [name for name in needs if name not in settled and needs[name] <= settled | {name}]:
        settled.update(ready)
    assert not set(needs) - settled, f"these wait for each other: {sorted(set(needs) - settled)}"


def _inside(path):
    """Modules of ours that a file imports: `from .room import part` means the part where it is a module."""
    known = {module_name(each) for each in MODULES}
    package = path.relative_to(ROOT).parent.parts
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.ImportFrom) or not (node.level or (node.module or "").startswith("hydrofunc")):
            continue
        base = package[: len(package) - node.level + 1] if node.level else ()
        module = node.module if node.level else (node.module or "").partition(".")[2]
        whole = ".".join((*base, module)) if module else ".".join(base)
        for alias in node.names:
            part = f"{whole}.{alias.name}".lstrip(".")
            yield part if part in known else whole
