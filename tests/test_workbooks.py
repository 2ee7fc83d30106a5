"""The workbooks kept in the repository are those that this version makes.

They were made on one processor and are compared on another. Processors round the last digit of exp, log and of matrix
products differently, so every number may differ by rounding: to 1e-9 of itself, and to 1e-9 of its unit where nearly
equal numbers were taken from one another. That holds for numbers that stand as plain constants too: `doubt` writes what
it has drawn as such. Words, formulas and dates are the same to the letter.
"""

import math
from functools import cache
from pathlib import Path

import pytest

from hydrofunc.demo import demo
from hydrofunc.demo.project import project
from hydrofunc.engine.book import Formula
from hydrofunc.jobs.recalc import calculated
from hydrofunc.template import build
from hydrofunc.workbook.reading import read_book
from tests import books

KEPT = Path(__file__).parent.parent / "workbooks"


@cache
def stored(path):
    """(constants and formulas by cell, stored values by cell) of a workbook."""
    values = books.values_of(path)
    cells = {key: cell.text if isinstance(cell, Formula) else cell for key, cell in read_book(path).cells.items()}
    return cells, {key: values[key[0]][key[1]].value for key in cells}


def is_number(value):
    """A whole number may come as an int, and the nearest float above or below it as a float; TRUE is no number."""
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def alike(kept, fresh):
    """Numbers to rounding, everything else exactly."""
    if is_number(kept) and is_number(fresh):
        return math.isclose(kept, fresh, rel_tol=1e-9, abs_tol=1e-9)
    return type(kept) is type(fresh) and kept == fresh


def same(kept, fresh):
    """Same cells, same formulas, same constants, same stored values."""
    for before, after in zip(stored(kept), stored(fresh)):
        assert before.keys() == after.keys()
        differing = {key: (before[key], after[key]) for key in before if not alike(before[key], after[key])}
        assert not differing, f"{kept.name}: {len(differing)} cells, first: {dict(list(differing.items())[:8])}"


@pytest.mark.parametrize(
    ("kept", "fresh", "expected"),
    [
        (136.57159756895987, 136.57159756895956, True),
        (136.5715975, 136.5715977, False),
        (5, 5.000000000000001, True),
        (0.0, 1e-12, True),
        (0.0, 1e-8, False),
        (1, True, False),
        ("=A1", "=A2", False),
        (None, 0, False),
        ("", None, False),
    ],
)
def test_numbers_may_differ_by_rounding_and_nothing_else(kept, fresh, expected):
    assert alike(kept, fresh) is expected


@pytest.mark.parametrize(
    "inputs",
    [
        {},
        {"basis": "as tested", "reading_static": 6.2, "reading_running": 3.0, "reading_seconds": 21.5},
        {
            "bucket_seconds": None,
            "load": "resistor",
            "load_resistance": 6.0,
            "length_2": 60.0,
            "bore_2": 32.6,
            "roughness_2": 0.007,
        },
    ],
    ids=["as it comes", "tested", "without water"],
)
def test_the_template_that_tests_share_is_what_a_recalculation_gives(tmp_path, inputs):
    """Its inputs are changed in a plan compiled once, instead of in the file."""
    shared, recalculated = tmp_path / "shared.xlsx", tmp_path / "recalculated.xlsx"
    shared.write_bytes(books.calculated_with(**inputs))
    recalculated.write_bytes(calculated(books.changed(**inputs))[0])
    same(shared, recalculated)


def test_the_kept_template_is_current(tmp_path):
    """Else: hydrofunc template workbooks/template.xlsx --force"""
    fresh = tmp_path / "template.xlsx"
    fresh.write_bytes(calculated(build())[0])  # the empty one, as a person gets it; books.py has the example
    same(KEPT / "template.xlsx", fresh)


def test_the_kept_demo_is_current(tmp_path):
    """Else: remove workbooks/invented-demo and run  hydrofunc demo --out workbooks/invented-demo"""
    demo(tmp_path / "fresh")
    names = sorted(path.name for path in (tmp_path / "fresh").iterdir())
    assert names == sorted(path.name for path in (KEPT / "invented-demo").iterdir())
    books = [name for name in names if name.endswith(".xlsx") and name != "summary.xlsx"]
    assert len(books) == 3
    for name in books:
        same(KEPT / "invented-demo" / name, tmp_path / "fresh" / name)


def test_the_kept_project_is_current(tmp_path):
    """Else: remove workbooks/invented-project and run  hydrofunc demo --project --out workbooks/invented-project"""
    said = project(tmp_path / "fresh")
    names = sorted(path.name for path in (tmp_path / "fresh").iterdir())
    assert names == sorted(path.name for path in (KEPT / "invented-project").iterdir())
    assert all(name in said for name in names) and "not used" not in said
    books = [name for name in names if name.endswith(".xlsx") and name != "summary.xlsx"]
    assert len(books) == 4
    for name in books:
        same(KEPT / "invented-project" / name, tmp_path / "fresh" / name)


def test_the_project_tells_one_story_from_survey_to_log():
    """Three alternatives of one spring; the built one's readings point to its jet, and its log holds a season."""
    tested = next((KEPT / "invented-project").glob("*as-tested.xlsx"))
    _cells, values = stored(tested)
    book = read_book(tested)
    value = {
        name: values.get(book.resolve(name))
        for name in ("fault_first", "log_entries", "basis", "gross_head", "site_name", "draws_state")
    }
    assert (
        value["fault_first"] == "jet misaligned or cups worn"
        and value["log_entries"] == 30
        and value["basis"] == "as tested"
    )
    assert "nvented" in value["site_name"] and value["draws_state"].startswith("good")
    says = {str(values.get(("Log", f"C{row}")))[:10]: values.get(("Log", f"B{row}")) for row in range(1, 200)}
    clogged = "screen or pipe clogging"
    wanted = {"2025-11-15": clogged, "2026-01-03": clogged, "2026-02-07": "electrical", "2026-04-25": "ok"}
    assert {day: says[day] for day in wanted} == wanted, (
        "leaves on the screen, ice, a loose lug, nothing: as the remarks say"
    )
    for other in (KEPT / "invented-project").glob("*.xlsx"):
        if other.name != "summary.xlsx":
            assert stored(other)[1][read_book(other).resolve("gross_head")] == pytest.approx(value["gross_head"])
