"""One style for the whole house: format, rules and types, each by its tool as pyproject.toml sets it."""

import ast
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]


def tool(*words):
    """Run a tool of this Python in the project's folder."""
    return subprocess.run([sys.executable, "-m", *words], cwd=ROOT, capture_output=True, encoding="utf-8")


def unannotated(path):
    """Public functions of a module, and methods of its classes, with an argument or a result without type."""
    module = ast.parse(path.read_text(encoding="utf-8"))
    classes = [node for node in module.body if isinstance(node, ast.ClassDef)]
    for owner in [module, *classes]:
        for node in owner.body:
            if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
                continue
            arguments = node.args.posonlyargs + node.args.args + node.args.kwonlyargs
            if owner is not module and not any(ast.unparse(item) == "staticmethod" for item in node.decorator_list):
                arguments = arguments[1:]  # self or cls
            arguments += [item for item in (node.args.vararg, node.args.kwarg) if item]
            if node.returns is None or any(item.annotation is None for item in arguments):
                yield f"line {node.lineno}, {node.name}"


def test_every_file_has_the_one_format():
    """Else: ruff format"""
    run = tool("ruff", "format", "--no-cache", "--check", ".")
    assert run.returncode == 0, run.stdout + run.stderr


def test_no_rule_is_broken():
    """Else: ruff check"""
    run = tool("ruff", "check", "--no-cache", ".")
    assert run.returncode == 0, run.stdout + run.stderr


def test_every_public_function_has_types():
    """Of its arguments and of its result."""
    paths = sorted((ROOT / "hydrofunc").rglob("*.py"))
    assert paths
    assert [f"{path.relative_to(ROOT)}: {words}" for path in paths for words in unannotated(path)] == []


def test_the_types_agree(tmp_path):
    """Else: mypy"""
    run = tool("mypy", f"--cache-dir={tmp_path}")
    assert run.returncode == 0, run.stdout + run.stderr


def test_a_function_without_types_is_noticed(tmp_path):
    """In a module and in a class; private ones are left to their authors."""
    path = tmp_path / "module.py"
    path.write_text(
        "def good(a: int, *b: int, c: int = 0, **d: int) -> None: ...\n"
        "def no_result(a: int): ...\n"
        "def bare(a, b: int) -> None: ...\n"
        "def bare_rest(*a) -> None: ...\n"
        "def _private(a): ...\n"
        "class Thing:\n"
        "    def fine(self) -> int: ...\n"
        "    def bare_method(self, a) -> int: ...\n"
        "    @staticmethod\n"
        "    def bare_static(a) -> int: ...\n",
        encoding="utf-8",
    )
    assert [words.split()[-1] for words in unannotated(path)] == [
        "no_result",
        "bare",
        "bare_rest",
        "bare_method",
        "bare_static",
    ]


def powers_of_what_varies(text):
    """Every a ** b of which a is no number and no constant."""
    found = []
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Pow):
            base = node.left
            known = isinstance(base, ast.Constant) or (isinstance(base, ast.Name) and base.id.strip("_").isupper())
            found += [] if known else [ast.unparse(node)]
    return found


def test_physics_takes_powers_by_functions_of_numpy_alone():
    """A plain number's ** is another power than an array's: the last bit differs, on some processors often."""
    assert powers_of_what_varies("_TWO**3 + 4**x") == [] and powers_of_what_varies("a**2 + (b + c) ** n")
    wrong = {
        str(path): powers
        for path in (ROOT / "hydrofunc" / "physics").rglob("*.py")
        if (powers := powers_of_what_varies(path.read_text(encoding="utf-8")))
    }
    assert wrong == {}
