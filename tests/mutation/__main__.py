"""Do the tests notice a fault? Small faults are made in our modules one at a time, and the tests of the module are run.

    python -m tests.mutation                       every group of modules, 30 faults of each
    python -m tests.mutation registry physics/surge --sample 40 --seed 9 --survivors survivors.txt
    python -m tests.mutation engine --list         the faults only, nothing is run
    python -m tests.mutation tables --sample 120   values of data tables, 2 % too large (roughness 5 %)

A fault that no test notices has survived: a test is missing, or the fault changes nothing that matters. The faulty
source is never written to disk: a child of this process imports it in place of the file. The same seed gives the same
faults, also after a statement has moved to another module.
"""

import argparse
import importlib.abc
import importlib.util
import os
import re
import shutil
import signal
import sys
import tempfile
import time
from dataclasses import dataclass
from fnmatch import fnmatch
from pathlib import Path

from .operators import mutants
from .tables import csv_mutants, table_mutants


@dataclass(frozen=True)
class Group:
    """Modules that are tried together; what fits nothing in a tree is passed over, so that older layouts fit too."""

    modules: tuple  # patterns of paths below hydrofunc
    tests: tuple  # patterns of the files that hold their tests; {module} is the faulty module, {folder} where it is
    chosen: str = ""  # pytest's -k: where one run of all of them takes minutes


_READING = ("tests/sheets/test_engine_book.py", "tests/workbook/test_reading.py")
_GENERAL = (
    "tests/test_registry.py",
    "tests/test_lanes.py",
    "tests/test_reference.py",
    "tests/test_catalogue.py",
    "tests/test_contract.py",
)
_ENGINE = ("plan", "lanes", "library", "formula", "book")
_ONE_DRAWING = (
    "test_draws or every_draw or copy_says or certain_or_empty or only_the_block or without_the_sheet or no_sense"
)
_NO_DIAGNOSIS = "not (fault and not default or diagnosis or misfit or next_reading or expected_)"  # they are slow
# Left out for time: each fault on one plant of three, and 40,000 plants drawn at random.
_DIAGNOSIS = (
    "(diagnosis or worked_example and (fault or misfit or reading or expected_))"
    " and not (each_fault and 48 or drawn_at_random)"
)
GROUPS = {
    "engine": Group(
        ("engine/*.py", "workbook/reading.py", *(f"sheets/{name}.py" for name in _ENGINE)),
        (
            "tests/*/test_engine_probes.py",
            "tests/*/test_engine_refusals.py",
            *_READING,
            "tests/engine/test_*.py",
            "tests/sheets/test_engine_lanes.py",
        ),
        "not template and not formulon",
    ),
    "splice": Group(("*/splice.py",), ("tests/*/test_*splice.py", *_READING)),
    "doubt": Group(
        tuple(f"{room}/{name}.py" for room in ("sheets", "jobs") for name in ("doubt", "draws")),
        ("tests/*/test_draws.py", "tests/test_doubt.py", "tests/jobs/test_doubt.py"),
        _ONE_DRAWING,
    ),
    "enter": Group(("*/enter.py",), ("tests/test_enter.py", "tests/jobs/test_enter.py"), "not command"),
    "registry": Group(("registry.py",), _GENERAL, _NO_DIAGNOSIS),
    "cells": Group(
        ("cells.py",),
        ("tests/hosts/excel/test_excel_plain.py", "tests/hosts/test_odd_cells.py", "tests/test_whole_plant.py"),
    ),
    "diagnosis": Group(
        ("physics/diagnosis/*.py", "catalogue/diagnosis.py"),
        (
            "tests/test_reference.py",
            "tests/test_catalogue.py::test_the_worked_example_is_right",
            "tests/physics/test_diagnosis.py",
            "tests/test_whole_plant.py",
        ),
        _DIAGNOSIS,
    ),
    "physics": Group(
        ("physics/*.py",),
        (
            "tests/physics/test_{module}.py",
            "tests/physics/test_{folder}.py",
            "tests/physics/test_{module}_by_*.py",
            "tests/test_{module}_by_*.py",
            "tests/test_whole_{module}.py",
            "tests/physics/test_table_values.py",
            "tests/test_reference.py",
            "tests/test_catalogue.py::test_the_worked_example_is_right",
        ),
    ),
    "tables": Group(
        ("physics/*.csv", "physics/*.py", "units.py", "engine/functions/units.py"),
        (
            "tests/physics/test_table_values.py",
            *(f"tests/physics/test_{name}.py" for name in ("pipe_tables", "electrical_safety", "strength", "parts")),
            "tests/physics/test_fittings.py",
            "tests/physics/test_{module}.py",
            "tests/test_units.py",
            "tests/engine/test_engine_probes.py::test_convert_knows_each_unit_by_its_definition",
            "tests/test_reference.py",
        ),
        _NO_DIAGNOSIS,
    ),
}
READER = Path("physics/tables.py")  # reads the CSV files
JUDGED = Path(
    "physics/diagnosis/priors.py"
)  # its sizes and shares are judgements; tests/diagnosis scores them together
AT_LEAST = 2  # faults of every module of a group, however small
SPARE_SECONDS, SPARE_FACTOR = 20, 4  # a child may take so much longer than the tests of the sound source
_WARM = "numpy openpyxl pytest click.testing hypothesis scipy.stats scipy.optimize scipy.differentiate fluids".split()


def modules_of(root, words):
    """{group: its modules, as paths below hydrofunc} that the words name: groups, modules or folders.

    A module is in the first group that has it, and in the group `tables` too if it has tables; that group is tried
    where it is named, or nothing is.
    """
    chosen, taken = {}, set()
    for group, tried in GROUPS.items():
        if group == "tables" and words and group not in words:
            continue
        paths = sorted(path.relative_to(root / "hydrofunc") for path in (root / "hydrofunc").rglob("*.*"))
        paths = [path for path in paths if any(fnmatch(str(path), pattern) for pattern in tried.modules)]
        if group == "tables":
            paths = [path for path in paths if path.parent != JUDGED.parent and faults_of(root, group, path, 0)]
        else:
            paths = [path for path in paths if path not in taken]
            taken.update(paths)
        if words and group not in words:
            paths = [path for path in paths if set(words) & {*map(str, (path.with_suffix(""), *path.parents))}]
        if paths:
            chosen[group] = paths
    return chosen


def faults_of(root, group, path, seed):
    """[(path, source, fault)] of a module or a table; the source is that of the module in which the fault is."""
    text = (root / "hydrofunc" / path).read_text(encoding="utf-8")
    if path.suffix == ".csv":
        source = (root / "hydrofunc" / READER).read_text(encoding="utf-8")
        return [(path, source, fault) for fault in csv_mutants(path.name, text, source, seed)]
    made = table_mutants(text, seed) if group == "tables" else mutants(text, seed)
    if path == JUDGED:
        made = [fault for fault in made if not re.fullmatch(r"\d+\.\d+", fault.before)]
    return [(path, text, fault) for fault in made]


def sample_of(root, paths, size, seed, group=""):
    """`size` faults of these modules as (path, source, fault): those of lowest rank, and some of every module.

    In this order the first are a fair sample too, should a run be cut short.
    """
    ranked = []
    for path in paths:
        ranked += faults_of(root, group, path, seed)
    ranked.sort(key=lambda fault: fault[2].rank)
    chosen = ranked[:size]
    for path in paths:
        mine = [fault for fault in ranked if fault[0] == path][:AT_LEAST]
        chosen += [fault for fault in mine if fault not in chosen]
    return chosen


def arguments_of(root, group, path):
    """What pytest is asked to run for a module."""
    files = []
    for pattern in GROUPS[group].tests:
        pattern, *test = pattern.format(module=path.stem, folder=path.parent.name).split("::")
        files += ["::".join((str(file), *test)) for file in sorted(root.glob(pattern)) if str(file) not in files]
    return [*files, "-k", GROUPS[group].chosen]


class Faulty(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Imports one module from a text instead of from its file."""

    def __init__(self, name, path, source):
        self.name, self.path, self.source = name, path, source

    def find_spec(self, name, path=None, target=None):
        if name != self.name:
            return None
        inside = [os.path.dirname(self.path)] if self.path.endswith("__init__.py") else None
        return importlib.util.spec_from_file_location(name, self.path, loader=self, submodule_search_locations=inside)

    def exec_module(self, module):
        exec(compile(self.source, self.path, "exec"), module.__dict__)


def start(root, arguments, module=None, source=None):
    """(number, folder) of a child that runs pytest, with `source` in place of a module; its answer is pytest's."""
    folder = tempfile.mkdtemp(prefix="mutation-")
    child = os.fork()
    if child:
        return child, folder
    answer = 1
    try:
        os.setsid()
        with open(os.path.join(folder, "output"), "w") as output:
            os.dup2(output.fileno(), 1)
            os.dup2(output.fileno(), 2)
        os.environ["HYPOTHESIS_STORAGE_DIRECTORY"] = folder
        if module is not None:
            name = ".".join(("hydrofunc", *module.with_suffix("").parts)).removesuffix(".__init__")
            sys.meta_path.insert(0, Faulty(name, str(root / "hydrofunc" / module), source))
        import pytest

        # Its rewriting of assert statements would import a module called ..._test.py by itself, from the file.
        words = ["-x", "-q", "-p", "no:cacheprovider", "--assert=plain", f"--basetemp={folder}/tests"]
        answer = int(pytest.main([*words, *arguments]))
    finally:
        sys.stdout.flush()
        os._exit(answer)


def finish(child, folder, seconds):
    """pytest's answer and the last lines it wrote, or None while the child is at work; ends a child that is late."""
    number, status = os.waitpid(child, os.WNOHANG)
    if not number and seconds > 0:
        return None
    if not number:
        os.killpg(child, signal.SIGKILL)
        os.waitpid(child, 0)
    answer = os.waitstatus_to_exitcode(status) if number else "timeout"
    text = Path(folder, "output").read_text(errors="replace").splitlines()
    shutil.rmtree(folder, ignore_errors=True)
    return answer, "\n".join(text[-15:])


def sound_seconds(root, arguments):
    """How long the tests take with the source as it is; they must pass."""
    begin = time.monotonic()
    child, folder = start(root, arguments)
    while (done := finish(child, folder, 3600)) is None:
        time.sleep(0.05)
    if done[0] != 0:
        raise SystemExit(f"the tests fail without any fault: {' '.join(arguments)}\n{done[1]}")
    return time.monotonic() - begin


def run(root, group, faults, workers):
    """[(path, fault, "killed", "timeout" or "survived")] of the faults of one group."""
    seconds, waiting, running, results = {}, list(faults), {}, []
    while waiting or running:
        while waiting and len(running) < workers:
            path, source, mutant = waiting.pop(0)
            arguments = arguments_of(root, group, path)
            if tuple(arguments) not in seconds:
                seconds[tuple(arguments)] = sound_seconds(root, arguments)
            limit = time.monotonic() + SPARE_SECONDS + SPARE_FACTOR * seconds[tuple(arguments)]
            module = READER if path.suffix == ".csv" else path
            child, folder = start(root, arguments, module, mutant.applied(source))
            running[child] = (folder, limit, path, mutant)
        time.sleep(0.05)
        for child, (folder, limit, path, mutant) in list(running.items()):
            done = finish(child, folder, limit - time.monotonic())
            if done is not None:
                del running[child]
                outcome = {"timeout": "timeout", 0: "survived"}.get(done[0], "killed")
                results.append((path, mutant, outcome))
                print(f"{outcome:9}{described(path, mutant)}", flush=True)
    return results


def described(path, mutant):
    """File and line, what stands there and what the fault makes of it, in one line."""
    if path.suffix == ".csv":
        return f"{path}:{mutant.line}  {mutant.before}  ->  a little too large"
    before, after = (" ".join(text.split()) for text in (mutant.before, mutant.after))
    if len(before) > 100:  # of a long statement only the neighbourhood of the difference
        same = next(index for index in range(len(before)) if before[: index + 1] != after[: index + 1])
        before, after = (f"…{text[max(same - 40, 0) : same + 60]}…" for text in (before, after))
    return f"{path}:{mutant.line}  {before}  ->  {after}"


def table(results):
    """A line for each module and one for all: made, killed, timed out, survived."""
    lines = [f"{'module':34}{'made':>6}{'killed':>8}{'timeout':>9}{'survived':>10}"]
    paths = sorted({path for path, _, _ in results})
    for path in [*paths, None]:
        outcomes = [outcome for other, _, outcome in results if path in (None, other)]
        counts = [outcomes.count(word) for word in ("killed", "timeout", "survived")]
        lines.append(f"{path or 'all'!s:34}{len(outcomes):6}{counts[0]:8}{counts[1]:9}{counts[2]:10}")
    return "\n".join(lines)


def main(words=None):
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__.split("\n")[0])
    parser.add_argument(
        "modules", nargs="*", help=f"of {', '.join(GROUPS)}; or modules and folders such as physics/surge"
    )
    parser.add_argument("--root", type=Path, default=Path(__file__).parents[2], help="the tree whose tests are tried")
    parser.add_argument("--sample", type=int, default=30, help="faults of each group")
    parser.add_argument("--seed", type=int, default=9)
    parser.add_argument("--workers", type=int, default=1, choices=(1, 2))
    parser.add_argument("--list", action="store_true", help="print the faults and run nothing")
    parser.add_argument("--survivors", type=Path, help="a file to which the faults that survived are added")
    options = parser.parse_args(words)
    root = options.root.resolve()
    samples = {
        group: sample_of(root, paths, options.sample, options.seed, group)
        for group, paths in modules_of(root, options.modules).items()
    }
    if options.list:
        for faults in samples.values():
            print("\n".join(described(path, mutant) for path, _, mutant in faults))
        return
    os.chdir(root)
    sys.path[0] = str(root)  # not the tree this file is in
    for name in [name for name in sys.modules if name.split(".")[0] == "tests"]:
        del sys.modules[name]
    sys.dont_write_bytecode = True
    for name in _WARM:
        importlib.import_module(name)
    for group, faults in samples.items():
        results = run(root, group, faults, options.workers)
        print(f"\n{group}, seed {options.seed}\n{table(results)}\n", flush=True)
        if options.survivors:
            with options.survivors.open("a") as file:
                file.writelines(
                    f"{word:9}{described(path, fault)}\n" for path, fault, word in results if word != "killed"
                )


if __name__ == "__main__":
    main()
