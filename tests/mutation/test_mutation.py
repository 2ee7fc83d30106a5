"""The tool that plants faults: it plants the fault it names, in memory only, and the same ones for the same seed."""

import ast
import subprocess
import sys
from pathlib import Path

from tests.mutation import __main__ as tool
from tests.mutation.operators import mutants
from tests.mutation.tables import csv_mutants, table_mutants

ROOT = Path(__file__).parents[2]

SOURCE = '''
"""A module with 1 number in its text."""
def lift(head: float = 2, *, losses=None) -> float:
    if head < 0.5 and losses:
        raise ValueError(f"{head + 1} is low")
    return max(head, 0) * -1
'''


def test_each_fault_is_what_it_says_where_it_says():
    """By hand, for ten lines: texts, annotations and the inside of f-strings are left alone."""
    faults = {(m.line, m.before, m.after) for m in mutants(SOURCE)}
    assert faults == {
        (3, "2", "3"),
        (4, "head < 0.5 and losses", "True"),
        (4, "head < 0.5 and losses", "False"),
        (4, "head < 0.5 and losses", "(head < 0.5 or losses)"),
        (4, "head < 0.5", "(head <= 0.5)"),
        (4, "head < 0.5", "(head >= 0.5)"),
        (4, "0.5", "0.51"),
        (5, "raise ValueError(f'{head + 1} is low')", "pass"),
        (6, "max(head, 0) * -1", "(max(head, 0) / -1)"),
        (6, "max", "min"),
        (6, "0", "1"),
        (6, "-1", "1"),
        (6, "1", "2"),
    }
    for fault in mutants(SOURCE):
        changed = fault.applied(SOURCE)
        assert ast.dump(ast.parse(changed)) != ast.dump(ast.parse(SOURCE))
        lines = zip(SOURCE.splitlines(), changed.splitlines(), strict=True)
        assert [number for number, (old, new) in enumerate(lines, start=1) if old != new] == [fault.line]


def test_bytes_before_a_fault_are_counted_not_letters():
    """Names and units beyond ASCII stand all over our modules."""
    source = 'rho = "ρ²"; g = 9.8  # m/s²\n'
    (fault,) = mutants(source)
    assert fault.applied(source) == f'rho = "ρ²"; g = {9.8 * 1.02}  # m/s²\n'


def test_a_seed_gives_one_sample_and_a_statement_that_moves_keeps_its_place_in_it():
    paths = [Path("physics/survey.py"), Path("physics/heat.py")]
    first, again, other = (tool.sample_of(ROOT, paths, 12, seed) for seed in (9, 9, 10))
    assert first == again != other
    assert tool.sample_of(ROOT, paths, 6, 9)[:6] == first[:6], "a shorter run is the beginning of a longer one"
    assert {path for path, _, _ in first} == set(paths) and len(first) in (12, 13, 14)
    ranks = {fault.rank for fault in mutants("a = b + c")}
    assert (
        ranks == {fault.rank for fault in mutants("x = 1\n\n\na = (b\n     + c)") if fault.line > 1} and len(ranks) == 1
    )


def test_a_run_tells_faults_the_tests_notice_from_others_and_leaves_the_tree_alone(tmp_path):
    """A tree of one module of two functions, of which its tests know one."""
    for folder in ("hydrofunc", "tests"):
        (tmp_path / folder).mkdir()
    (tmp_path / "hydrofunc" / "__init__.py").write_text("")  # else an installed hydrofunc goes before this folder
    module = tmp_path / "hydrofunc" / "registry.py"
    module.write_text(
        "def flow(volume, seconds):\n    return volume / seconds\n\n\ndef lift(head):\n    return head + 1\n"
    )
    (tmp_path / "tests" / "test_registry.py").write_text(
        "from hydrofunc import registry\n\n\ndef test_flow():\n    assert registry.flow(20, 16) == 1.25\n"
    )
    before = {path: path.read_bytes() for path in tmp_path.rglob("*.*")}
    words = ["registry", "--root", str(tmp_path), "--survivors", str(tmp_path / "alive")]
    command = [sys.executable, "-m", "tests.mutation", *words]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    assert "killed   registry.py:2  volume / seconds  ->  (volume * seconds)" in done.stdout
    assert done.stdout.splitlines()[-2].split() == ["all", "3", "1", "0", "2"]
    alive = sorted((tmp_path / "alive").read_text().splitlines())
    assert alive == ["survived registry.py:6  1  ->  2", "survived registry.py:6  head + 1  ->  (head - 1)"]
    (tmp_path / "alive").unlink()
    assert {path: path.read_bytes() for path in tmp_path.rglob("*.*")} == before


def test_every_group_has_modules_and_every_module_of_the_physics_its_own_tests():
    """A module that moves into a folder takes its tests along, and the folder names its modules."""
    chosen = tool.modules_of(ROOT, [])
    assert set(chosen) == set(tool.GROUPS)
    for group, paths in chosen.items():
        for path in paths:
            files = [word for word in tool.arguments_of(ROOT, group, path) if ".py" in word]
            assert files and all(Path(file.split("::")[0]).exists() for file in files)
    assert set(chosen["engine"]) >= {Path(f"engine/{name}.py") for name in ("lanes", "functions/lookup")}
    (judgement,) = tool.modules_of(ROOT, ["physics/diagnosis/judgement"])["diagnosis"]
    assert str(ROOT / "tests/physics/test_diagnosis.py") in tool.arguments_of(ROOT, "diagnosis", judgement)
    diagnosis = tool.modules_of(ROOT, ["physics/diagnosis"])
    assert list(diagnosis) == ["diagnosis"] and judgement in diagnosis["diagnosis"]
    assert {path.parent.name for path in diagnosis["diagnosis"]} == {"diagnosis"}


def test_sizes_of_the_diagnosis_s_faults_are_judgements_and_left_alone():
    """Which fault a size is of, and how the sizes are put together, is none."""
    faults = [fault.before for _, _, fault in tool.faults_of(ROOT, "diagnosis", tool.JUDGED, 0)]
    assert "0.26" not in faults and "16" in faults and "share / len(combinations)" in faults


TABLES = """
ONE, HALF = 1, 0.5
FEW = (1, 2, 3)
WALLS: dict = {"thin": (2.0, -3), "thick": [0.0, 4 / 5]}
FUSES = np.array([2, 4, 6, 8], dtype=float)
def lift(): return (1, 2, 3, 4)
"""


def test_each_number_of_a_table_is_made_a_little_too_large():
    """Constants, short tuples, zeros and what stands in functions are left to the other faults."""
    faults = [(fault.line, fault.before, fault.after) for fault in table_mutants(TABLES)]
    assert faults == [
        (4, "WALLS: 2.0", "2.04"), (4, "WALLS: 3", "3.06"), (4, "WALLS: 4", "4.08"), (4, "WALLS: 5", "5.1"),
        (5, "FUSES: 2", "2.04"), (5, "FUSES: 4", "4.08"), (5, "FUSES: 6", "6.12"), (5, "FUSES: 8", "8.16"),
    ]  # fmt: skip
    assert table_mutants(TABLES)[1].applied(TABLES) == TABLES.replace("-3", "-3.06")


def test_a_wrong_value_of_a_file_is_given_by_its_reader():
    """One cell, of one file; sizes and words are left alone, and roughness gets 5 %."""
    text = "material,area_mm2,amperes,roughness_mm\ncopper,1.5,14,0.2\ncopper,2.5,,0\n"
    reader = "def rows_of(name):\n    return [dict(amperes='14', roughness_mm='0.2'), dict(amperes='')]\n"
    amperes, roughness = csv_mutants("cables.csv", text, reader)
    for fault, right, wrong in ((amperes, ["14", "0.2"], ["14.28", "0.2"]), (roughness, ["14", "0.2"], ["14", "0.21"])):
        faulty = {}
        exec(fault.applied(reader), faulty)
        assert [list(row.values()) for row in faulty["rows_of"]("cables.csv")] == [wrong, [""]]
        assert list(faulty["rows_of"]("pipes.csv")[0].values()) == right


def test_every_table_is_tried():
    """The files beside the physics, and the modules that hold numbers in tables; none of the diagnosis."""
    assert set(tool.modules_of(ROOT, ["tables"])) == {"tables"}
    assert "tables" not in tool.modules_of(ROOT, ["physics/survey"])
    paths = {str(path) for path in tool.modules_of(ROOT, ["tables"])["tables"]}
    files = {f"physics/{path.name}" for path in (ROOT / "hydrofunc" / "physics").glob("*.csv")}
    assert files < paths and not any("diagnosis" in path for path in paths)
    assert paths >= {"units.py", "engine/functions/units.py"} | {
        f"physics/{n}.py" for n in ("battery", "cable", "survey")
    }
