"""The judge shares nothing with the product."""

import pathlib

import pytest

from tests.simulator.test_independence import ALLOWED, imported

HERE = pathlib.Path(__file__).parent
ADAPTER = "product.py"


@pytest.mark.parametrize(
    "path", sorted(path for path in HERE.glob("*.py") if path.name != ADAPTER), ids=lambda path: path.stem
)
def test_no_module_imports_the_product(path: pathlib.Path) -> None:
    """Only numpy, scipy, pytest, the standard library, this package and the simulator beside it.

    `protocol` alone may import by name: it loads the adapter.
    """
    words = path.read_text(encoding="utf-8")
    by_name = {"importlib"} if path.stem == "protocol" else set()
    assert set(imported(words)) <= ALLOWED | {".", "tests"} | by_name
    beside = {line.split()[1] for line in words.splitlines() if line.startswith("from tests")}
    assert all(name.startswith("tests.simulator.") for name in beside)
