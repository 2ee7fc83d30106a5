"""The template as .ods: made by the real Calc, opened there, live; what is said where it cannot be."""

import io
import shutil
import zipfile

import openpyxl
import pytest
from click.testing import CliRunner

from hydrofunc.cli import main
from hydrofunc.errors import FileRefused, HostError
from hydrofunc.hosts.calc import install as host
from hydrofunc.hosts.calc.book import book_for_old_calc
from hydrofunc.hosts.calc.ods import as_ods
from hydrofunc.jobs.recalc import calculated
from tests import books
from tests.hosts.calc.calc_session import compare


@pytest.fixture(scope="module")
def made(added, tmp_path_factory):
    """The calculated template as .xlsx, and the .ods made of it."""
    folder = tmp_path_factory.mktemp("ods")
    xlsx, ods = folder / "template.xlsx", folder / "template.ods"
    xlsx.write_bytes(books.calculated_with())
    assert book_for_old_calc(xlsx, ods, options=added) == books.CALLS
    return xlsx, ods


@pytest.mark.calc
def test_the_ods_opens_with_the_stored_values_and_recalculates_to_them(calc, made):
    """Each formula cell, to 1e-12: as stored, and after a hard recalculation."""
    xlsx, ods = made
    calc.open(ods.as_uri())
    formulas = sum(
        cell.data_type == "f" for sheet in openpyxl.load_workbook(xlsx) for row in sheet.iter_rows() for cell in row
    )
    assert compare(calc, xlsx) == formulas == books.FORMULAS
    calc.calculate_all()
    assert compare(calc, xlsx) == formulas


@pytest.mark.calc
def test_a_changed_input_changes_the_results_of_the_ods(calc, made, tmp_path):
    """Every formula cell then equals the headless recalculation of the same change, to 1e-12."""
    xlsx, ods = made
    book = openpyxl.load_workbook(xlsx)
    calc.open(ods.as_uri())
    (before, *_), (flow, *_) = calc.read(["yours_nozzle", "flow"])
    calc.set([("yours_nozzle", before * 0.8)])
    assert 0 < calc.read(["flow"])[0][0] < 0.9 * flow
    ((sheet, cell),) = book.defined_names["yours_nozzle"].destinations
    book[sheet][cell] = before * 0.8
    stream = io.BytesIO()
    book.save(stream)
    changed = tmp_path / "changed.xlsx"
    changed.write_bytes(calculated(stream.getvalue())[0])
    assert compare(calc, changed) == books.FORMULAS


@pytest.mark.calc
def test_the_ods_keeps_names_drop_down_lists_and_charts(made):
    """As many as the .xlsx has."""
    xlsx, ods = made
    book = openpyxl.load_workbook(xlsx)
    with zipfile.ZipFile(ods) as archive:
        content = archive.read("content.xml").decode()
        charts = {
            name.split("/")[0]
            for name in archive.namelist()
            if name.startswith("Object ") and name.endswith("content.xml")
        }
    for name in book.defined_names:
        assert f'table:name="{name}"' in content
    assert any(sheet.data_validations.dataValidation for sheet in book) and "<table:content-validation " in content
    assert len(charts) == sum(len(sheet._charts) for sheet in books.opened()) > 0


@pytest.mark.calc
def test_where_the_addin_is_missing_nothing_is_written(made, tmp_path):
    """It says how to install it."""
    options = [
        f"-env:UserInstallation={(tmp_path / 'p').as_uri()}",
        f"-env:UNO_SHARED_PACKAGES_CACHE={(tmp_path / 's').as_uri()}",
    ]
    with pytest.raises(HostError, match=r"add-in is not in LibreOffice.*hydrofunc calc-addin install"):
        book_for_old_calc(made[0], tmp_path / "out.ods", options=options)
    assert not (tmp_path / "out.ods").exists()


def test_where_libreoffice_is_missing_nothing_is_written(monkeypatch, tmp_path):
    """One message, exit code 1."""
    monkeypatch.setattr(host, "_USUAL", ())
    monkeypatch.setattr(shutil, "which", lambda command: None)
    out = tmp_path / "out.ods"
    result = CliRunner().invoke(main, ["template", str(out)])
    assert result.exit_code == 1 and "LibreOffice was not found" in result.output and "python3-uno" in result.output
    assert not out.exists()


def test_a_libreoffice_without_soffice_is_named(monkeypatch, tmp_path):
    """After unopkg has answered."""
    monkeypatch.setattr("hydrofunc.hosts.calc.ods.installed_for_anyone", lambda options, program: True)
    monkeypatch.setattr("hydrofunc.hosts.calc.ods.install", lambda options, program: "")
    with pytest.raises(HostError, match="There is no soffice"):
        as_ods(books.calculated_with(), program=tmp_path)


@pytest.mark.parametrize("name", ["out.txt", "out", "out.ods.xls"])
def test_any_other_ending_is_refused(name, tmp_path):
    """For the template as for copies of a book."""
    out = tmp_path / name
    result = CliRunner().invoke(main, ["template", str(out)])
    assert result.exit_code == 1 and ".xlsx, .xlsm or .ods" in result.output
    with pytest.raises(FileRefused, match=r"\.xlsx or \.ods"):
        book_for_old_calc(tmp_path / "book.xlsx", out)
    assert not out.exists()
