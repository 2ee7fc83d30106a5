"""The workbooks kept in the repository are those that this version makes."""

from pathlib import Path

import pytest

from hydrofunc.demo import demo
from hydrofunc.demo.project import project
from hydrofunc.engine.book import Formula
from hydrofunc.jobs.recalc import calculated
from hydrofunc.template import build
from hydrofunc.workbook.reading import read_book

KEPT = Path(__file__).parent.parent / "workbooks"


def stored(path):
    """(constants and formulas by cell, stored values by cell) of a workbook."""
    import openpyxl

    values = openpyxl.load_workbook(path, data_only=True)
    cells = {key: cell.text if isinstance(cell, Formula) else cell for key, cell in read_book(path).cells.items()}
    return cells, {key: values[key[0]][key[1]].value for key in cells}


def same(kept, fresh):
    """Same cells, same formulas; values to 1e-9, as another processor may round otherwise."""
    (kept_cells, kept_values), (fresh_cells, fresh_values) = stored(kept), stored(fresh)
    assert kept_cells == fresh_cells
    for key, value in fresh_values.items():
        if isinstance(value, float):
            assert kept_values[key] == pytest.approx(value, rel=1e-9, abs=1e-9), key
        else:
            assert kept_values[key] == value, key


def test_the_kept_template_is_current(tmp_path):
    """Else: hydrofunc template workbooks/template.xlsx --force"""
    fresh = tmp_path / "template.xlsx"
    fresh.write_bytes(calculated(build())[0])
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
    _, values = stored(tested)
    book = read_book(tested)
    value = {
        name: values.get(book.resolve(name))
        for name in ("fault_first", "log_entries", "basis", "gross_head", "site_name", "draws_state")
    }
    assert value["fault_first"] == "jet misaligned" and value["log_entries"] == 30 and value["basis"] == "as tested"
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
