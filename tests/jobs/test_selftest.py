"""The self-test workbook: it tests every function, passes here, and fails where a function is wrong."""

import csv
import io
import re
import zipfile
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

import hydrofunc
from hydrofunc.cli import main
from hydrofunc.jobs import recalc, selftest

REFERENCE = Path(__file__).parents[1] / "reference"
KEPT = Path(selftest.__file__).with_name("selftest.csv")
MOST_ROWS = 3  # of one function
RANK = {"seen": 0, "computed": 1, "memory": 2}
COLUMNS = ["case", "function", "arguments", "expected", "tolerance", "kind", "source", "note"]


def chosen():
    """From the reference values: for each function the first three, those read at the source before others."""
    found = {}
    for path in sorted(REFERENCE.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                found.setdefault(row["function"], []).append(row)
    return [
        row
        for name in hydrofunc.functions()
        for row in sorted(found.get(name, []), key=lambda row: RANK[row["kind"]])[:MOST_ROWS]
    ]


def write_kept():
    with KEPT.open("w", encoding="utf-8", newline="") as file:
        out = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        out.writeheader()
        out.writerows(chosen())


def test_its_reference_values_are_those_of_the_tests():
    """Else: python -m tests.jobs.test_selftest writes them again."""
    with KEPT.open(encoding="utf-8", newline="") as file:
        assert list(csv.DictReader(file)) == chosen()


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    path = tmp_path_factory.mktemp("selftest") / "selftest.xlsx"
    run = CliRunner().invoke(main, ["selftest", str(path)])
    assert run.exit_code == 0, run.output
    assert run.output.splitlines()[-1] == "PASS"
    return path


def cells(path):
    values = openpyxl.load_workbook(path, data_only=True)["Self-test"]
    return list(values.iter_rows(min_row=selftest.FIRST_ROW, values_only=True)), values


def test_it_passes_here_with_every_value_stored(book):
    rows, sheet = cells(book)
    assert sheet["C4"].value == sheet["C5"].value == len(rows) == len(selftest.rows())
    assert sheet["C6"].value == "PASS"
    assert {row[6] for row in rows} == {"pass"}
    assert all(row[2] is not None for row in rows)


def test_every_function_is_tested_with_a_number_of_known_source(book):
    rows, _ = cells(book)
    tested = {row[1] for row in rows if isinstance(row[4], float | int)}
    assert tested == {f.sheet_name for f in hydrofunc.functions().values()}
    assert all(row[9] for row in rows)
    for row in rows:
        if row[8] == "from memory, not looked up":
            assert "from memory" in row[9] + (row[7] or "")


def test_live_formulas_call_the_functions_they_are_named_after(book):
    sheet = openpyxl.load_workbook(book)["Self-test"]
    for row in sheet.iter_rows(min_row=selftest.FIRST_ROW, values_only=True):
        assert row[2].startswith(f"={row[1]}(")


@pytest.mark.parametrize("name", list(hydrofunc.functions()))
def test_a_result_one_hundredth_off_would_fail(name):
    """No tolerance is so wide that it could not see it."""
    tests = [t for t in selftest.rows() if t.function.name == name and t.kind != "behaviour" and t.expected != 0]
    assert any(0.01 * abs(test.expected) > test.tolerance for test in tests)


def test_a_wrong_function_turns_the_verdict(monkeypatch):
    class Wrong:
        resolve, one_by_one = None, False  # takes no whole plant, and its lanes do not hang on each other

        def __init__(self, function):
            self.function, self.arguments = function, function.arguments

        def lanes(self, given):
            values, codes = self.function.lanes(given)
            return values * 1.01, codes

    wrong = {**recalc.SHEET_FUNCTIONS, "HYDRO_PIPE_VELOCITY": Wrong(hydrofunc.functions()["pipe_velocity"])}
    monkeypatch.setattr(recalc, "SHEET_FUNCTIONS", wrong)
    data, failed = selftest.calculated_selftest()
    assert failed and all("HYDRO_PIPE_VELOCITY(" in line for line in failed)
    assert openpyxl.load_workbook(io.BytesIO(data), data_only=True)["Self-test"]["C6"].value == "FAIL"


def test_the_same_version_writes_the_same_bytes():
    """Also at another time: no time stamp but the fixed one is in it."""
    data = selftest.build()
    assert data == selftest.build()
    core = zipfile.ZipFile(io.BytesIO(data)).read("docProps/core.xml").decode()
    assert set(re.findall(r"\d{4}-\d\d-\d\dT[\d:]+Z", core)) == {"2026-01-01T00:00:00Z"}


if __name__ == "__main__":
    write_kept()
