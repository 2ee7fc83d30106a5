"""One style for the whole house: format, rules and types, each by its tool as pyproject.toml sets it.

Rooms that are not there yet are named below. A list may only grow shorter: a room that is clean must leave it.
"""

import ast
import json
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]

# Where `ruff check` still has findings.
NOT_YET_CLEAN = {"hydrofunc/engine"}
# Where public functions still lack types.
NOT_YET_ANNOTATED = {"hydrofunc/engine"}


def tool(*words):
    """Run a tool of this Python in the project's folder."""
    return subprocess.run([sys.executable, "-m", *words], cwd=ROOT, capture_output=True, encoding="utf-8")


def complaints(findings, exempt):
    """Findings (path, words) outside the exempt rooms, and exempt rooms that have none any more."""
    rooms = {room for room in exempt for path, _ in findings if path == room or path.startswith(f"{room}/")}
    outside = [
        f"{path}: {words}"
        for path, words in findings
        if not any(path == room or path.startswith(f"{room}/") for room in rooms)
    ]
    return outside + [f"{room} is clean: take it off the list" for room in sorted(set(exempt) - rooms)]


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
    run = tool("ruff", "check", "--no-cache", "--output-format=json", ".")
    assert run.returncode in (0, 1), run.stderr
    findings = [
        (
            Path(item["filename"]).relative_to(ROOT).as_posix(),
            f"line {item['location']['row']}, {item['code']} {item['message']}",
        )
        for item in json.loads(run.stdout)
    ]
    assert complaints(findings, NOT_YET_CLEAN) == []


def test_every_public_function_has_types():
    """Of its arguments and of its result."""
    findings = [
        (path.relative_to(ROOT).as_posix(), words)
        for path in sorted((ROOT / "hydrofunc").rglob("*.py"))
        for words in unannotated(path)
    ]
    assert complaints(findings, NOT_YET_ANNOTATED) == []


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


def test_a_room_that_has_become_clean_must_leave_the_list():
    assert complaints([("a/b.py", "bad"), ("c.py", "worse")], {"a"}) == ["c.py: worse"]
    assert complaints([], {"a"}) == ["a is clean: take it off the list"]
