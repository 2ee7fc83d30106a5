"""The workbooks kept in the repository are those that this version makes."""

from pathlib import Path

import pytest

from hydrofunc.demo import demo
from hydrofunc.sheets.book import Formula, read_book
from hydrofunc.sheets.recalc import calculated
from hydrofunc.sheets.template import build

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
