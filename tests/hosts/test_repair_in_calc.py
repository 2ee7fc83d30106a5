"""A workbook that a real Calc without our add-in has saved: its functions are lost there, and come back."""

import shutil
import subprocess
from pathlib import Path

import openpyxl
import pytest

from hydrofunc.hosts import repair

TEMPLATE = Path(__file__).parents[2] / "workbooks" / "template.xlsx"


@pytest.mark.calc
def test_a_book_saved_by_calc_without_the_addin_is_repaired(tmp_path):
    soffice = shutil.which("soffice")
    assert soffice, "LibreOffice is needed"
    subprocess.run(
        [
            soffice,
            f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}",
            f"-env:UNO_SHARED_PACKAGES_CACHE={(tmp_path / 'shared').as_uri()}",
            "--headless",
            "--convert-to",
            "xlsx",
            "--outdir",
            str(tmp_path / "saved"),
            str(TEMPLATE),
        ],
        check=True,
        capture_output=True,
        timeout=180,
    )
    ill, well = tmp_path / "saved" / TEMPLATE.name, tmp_path / "well.xlsx"
    assert repair.strange_calls(ill)
    repair.repair(ill, well)
    assert not repair.strange_calls(well)
    original, mended = (openpyxl.load_workbook(path, data_only=True) for path in (TEMPLATE, well))
    formulas = openpyxl.load_workbook(TEMPLATE)
    compared = 0
    for sheet in formulas:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f" and "HYDRO_" in str(cell.value):
                    before, after = (book[sheet.title][cell.coordinate].value for book in (original, mended))
                    assert after == (pytest.approx(before, rel=1e-9) if isinstance(before, float) else before)
                    compared += 1
    assert compared > 200
