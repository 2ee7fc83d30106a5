"""Every row of tests/reference/*.csv: an expected value with its source, beside our answer.

Columns: case, function, arguments (by name, trade units, JSON), expected,
tolerance ("rel 1e-4" or "abs 0.1"), kind, source, note.

A row is of one of three kinds, and only the first kind is a published value:

- seen: the number was read at the source: a book, a standard, a maker's table.
- computed: the number was computed by the library or the formula that the source names, outside this project.
- memory: the number or its formula comes from memory and was not looked up. The row says so.
"""

import csv
import json
import math
from collections import Counter
from pathlib import Path

import pytest

import hydrofunc

COLUMNS = ["case", "function", "arguments", "expected", "tolerance", "kind", "source", "note"]
KINDS = {"seen": 165, "computed": 565, "memory": 69}  # rows of each kind: change the number with the rows


def read_rows(path):
    """(where, cells) of each row below the heading; a wrong heading is an error."""
    with path.open(encoding="utf-8", newline="") as file:
        lines = csv.reader(file, strict=True)
        heading = next(lines)
        assert heading == COLUMNS, f"{path.name}: the columns are {heading}"
        return [(f"{path.name} line {lines.line_num}", cells) for cells in lines]


def read_tolerance(text):
    """("rel" or "abs", size) of a tolerance such as "rel 1e-4"."""
    kind, size = text.split(" ")
    size = float(size)
    assert kind in ("rel", "abs") and 0 <= size < math.inf, f"no tolerance: {text!r}"
    return kind, size


def check(cells):
    """Fails on a malformed row, an unknown function, a missing source, or a result outside the tolerance."""
    assert len(cells) == len(COLUMNS), f"{len(cells)} cells"
    assert all(cell == cell.strip() for cell in cells), "spaces around a cell"
    row = dict(zip(COLUMNS, cells))
    assert row["case"] and row["kind"] in KINDS, f"no case, or an unknown kind: {row['kind']!r}"
    assert len(row["source"]) >= 10, "no source"
    if row["kind"] == "memory":
        assert "from memory" in row["source"] + row["note"], "a value from memory must say so"
    assert row["function"] in FUNCTIONS, f"unknown function: {row['function']!r}"
    arguments = json.loads(row["arguments"])
    assert isinstance(arguments, dict), "arguments must have names"
    expected = float(row["expected"])
    kind, size = read_tolerance(row["tolerance"])
    got = FUNCTIONS[row["function"]](**arguments)
    allowed = size * abs(expected) if kind == "rel" else size
    error = abs(got - expected)
    assert error <= allowed, f"{got!r} is {error:.3g} from {expected!r}; allowed {allowed:.3g}"


FUNCTIONS = hydrofunc.functions()
FILES = sorted((Path(__file__).parent / "reference").glob("*.csv"))
ROWS = [(where, cells) for path in FILES for where, cells in read_rows(path)]


@pytest.mark.parametrize("cells", [cells for _, cells in ROWS], ids=[where for where, _ in ROWS])
def test_we_agree_with_the_reference(cells):
    check(cells)


def test_no_row_is_lost_and_none_passes_for_another_kind():
    counts = Counter(cells[COLUMNS.index("kind")] for _, cells in ROWS)
    print(", ".join(f"{counts[kind]} rows {kind}" for kind in KINDS))
    assert counts == KINDS


# No value of these was ever published or can be computed without our own priors or draws; what holds them instead.
_JUDGED = "what our own priors make of the readings: tests/diagnosis scores it over plants of three simulators"
WITHOUT_ROW = {
    "doubt": "statistics of our own draws: tests/physics/test_doubt.py holds them against formulas and other draws",
    "fault_probability": _JUDGED,
    "diagnosis_uncertainty": _JUDGED,
    "next_reading": _JUDGED,
    "expected_spread": _JUDGED,
}


def test_every_function_has_a_row_or_a_reason_for_none():
    assert set(FUNCTIONS) - {cells[1] for _, cells in ROWS} == set(WITHOUT_ROW)


def test_every_case_has_its_own_name():
    names = [(where.split()[0], cells[0]) for where, cells in ROWS]
    assert len(set(names)) == len(names)


GOOD = {
    "case": "X-1",
    "function": "bucket_flow",
    "arguments": '{"volume": 20, "seconds": 10}',
    "expected": "2.0",
    "tolerance": "rel 1e-12",
    "kind": "computed",
    "source": "Volume over time, plain Python",
    "note": "",
}


def test_a_good_row_passes():
    check(list(GOOD.values()))


@pytest.mark.parametrize(
    "spoilt",
    [
        {"case": ""},
        {"function": "bucket_flaw"},
        {"function": ""},
        {"arguments": "[20, 10]"},
        {"arguments": '{"volume": 20, "seconds": 10'},
        {"arguments": '{"volume": 20, "minutes": 10}'},
        {"arguments": '{"volume": 20, "seconds": 0}'},
        {"expected": ""},
        {"expected": "two"},
        {"expected": "nan"},
        {"expected": "2.001"},
        {"tolerance": ""},
        {"tolerance": "1e-4"},
        {"tolerance": "rel"},
        {"tolerance": "rel inf"},
        {"tolerance": "rel nan"},
        {"tolerance": "rel -1"},
        {"tolerance": "about 0.1"},
        {"kind": ""},
        {"kind": "guessed"},
        {"kind": "memory"},
        {"source": ""},
        {"source": " "},
    ],
    ids=lambda spoilt: " ".join(f"{k}={v!r}" for k, v in spoilt.items()),
)
def test_a_spoilt_row_fails(spoilt):
    with pytest.raises((AssertionError, ValueError, TypeError)):
        check(list((GOOD | spoilt).values()))


def test_a_row_with_a_cell_too_few_or_too_many_fails():
    for cells in (list(GOOD.values())[:-1], [*GOOD.values(), ""]):
        with pytest.raises(AssertionError):
            check(cells)


def test_a_file_with_other_columns_fails(tmp_path):
    path = tmp_path / "spoilt.csv"
    path.write_text("case,function\nX-1,bucket_flow\n", encoding="utf-8")
    with pytest.raises(AssertionError, match="columns"):
        read_rows(path)
