"""The simulator shares nothing with the product, else their agreement would mean nothing."""

import ast
import pathlib
import sys

import pytest

HERE = pathlib.Path(__file__).parent
ALLOWED = set(sys.stdlib_module_names) - {"importlib", "runpy", "subprocess"} | {
    "numpy",
    "scipy",
    "fluids",
    "pytest",
}


def imported(text):
    """Names of the packages a module's text imports, also inside functions; "" for its own package."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            yield from (alias.name.partition(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield (node.module or "").partition(".")[0] if node.level == 0 else "." * node.level
        elif isinstance(node, ast.Name) and node.id == "__import__":
            yield node.id


@pytest.mark.parametrize("path", sorted(HERE.glob("*.py")), ids=lambda path: path.stem)
def test_no_module_imports_the_product_or_a_way_round(path):
    """Only numpy, scipy, fluids, pytest, the standard library, and this package itself."""
    assert set(imported(path.read_text(encoding="utf-8"))) <= ALLOWED | {"."}


@pytest.mark.parametrize("name", ["sampled", "field"])
def test_the_second_plant_shares_nothing_with_the_first(name):
    """Only each other: the judge of test days takes no number from `plant`, nor from any other module."""
    tree = ast.parse((HERE / f"{name}.py").read_text(encoding="utf-8"))
    own = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and node.level}
    assert own == ({"sampled"} if name == "field" else set())


def test_the_check_would_notice():
    """The reader of imports finds the product in any usual spelling."""
    for text in (
        "import hydrofunc.physics",
        "from hydrofunc import registry",
        "def f():\n    import hydrofunc as h",
    ):
        assert "hydrofunc" in set(imported(text))
    assert ".." in set(imported("from .. import contract"))
    assert "importlib" not in ALLOWED
