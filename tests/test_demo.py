"""The demo: three sites and a handful of scenarios that say themselves that they are invented."""

import csv
from importlib.resources import files
from io import BytesIO

import openpyxl
import pytest
from click.testing import CliRunner

from hydrofunc.cli import main
from hydrofunc.demo import NUMBERS_THAT_MATTER
from hydrofunc.jobs.recalc import calculated
from hydrofunc.template import RESULTS, build

INVENTED = ": invented example, no such site exists"


def packaged(name):
    return list(csv.DictReader(files("hydrofunc.demo").joinpath(name).read_text(encoding="utf-8").splitlines()))


@pytest.fixture(scope="module")
def shown(tmp_path_factory):
    """The folder after `hydrofunc demo`, and what it printed."""
    folder = tmp_path_factory.mktemp("demo")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        done = CliRunner().invoke(main, ["demo"])
    assert done.exit_code == 0, done.output
    return folder, done.stdout


@pytest.mark.parametrize("name", ["sites.csv", "scenarios.csv"])
def test_every_row_of_the_demo_data_says_that_it_is_invented(name):
    rows = packaged(name)
    assert rows
    assert all("nvented" in row["site_name"] for row in rows)


def test_the_demo_fills_three_sites_sweeps_one_and_compares_them(shown):
    folder, _ = shown
    names = {path.name for path in (folder / "hydrofunc-demo").iterdir()}
    assert {"summary.csv", "summary.xlsx", "sweep.csv", "sites.csv", "scenarios.csv"} < names
    assert len(names) == 3 + 5
    with open(folder / "hydrofunc-demo" / "sweep.csv", encoding="utf-8-sig", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert [row["site_name"] for row in rows] == [row["site_name"] for row in packaged("scenarios.csv")]
    assert all(float(row["plant_watts [W]"]) > 0 and row["error"] == "" for row in rows)


def test_the_demo_prints_where_results_are_and_the_three_numbers_of_each_site(shown):
    folder, text = shown
    lines = [line.split() for line in text.splitlines()]
    items = {item.name: item for item in RESULTS}
    for path in (folder / "hydrofunc-demo").glob("Invented*.xlsx"):
        assert path.name in text
        book = openpyxl.load_workbook(path, data_only=True)
        for name in NUMBERS_THAT_MATTER:
            sheet, cell = next(book.defined_names[name].destinations)
            assert [*items[name].label.split(), f"{book[sheet][cell].value:.1f}", items[name].unit] in lines


def test_every_sheet_of_a_demo_workbook_says_that_it_is_invented_and_none_of_a_new_template(shown):
    """In its title, which stays in sight and is printed on every page; it goes with the name of the site."""
    folder, _ = shown
    for path in (folder / "hydrofunc-demo").glob("Invented*.xlsx"):
        book = openpyxl.load_workbook(path, data_only=True)
        assert all(sheet["B1"].value == f"{sheet.title}{INVENTED}" for sheet in book)
    fresh = openpyxl.load_workbook(BytesIO(calculated(build())[0]), data_only=True)
    assert all(sheet["B1"].value == sheet.title for sheet in fresh)


def test_a_second_demo_takes_a_new_folder_and_a_given_one_is_used(shown, monkeypatch):
    folder, _ = shown
    monkeypatch.chdir(folder)
    assert "are in hydrofunc-demo-2:" in CliRunner().invoke(main, ["demo"]).stdout
    assert "are in mine:" in CliRunner().invoke(main, ["demo", "--out", "mine"]).stdout
    again = CliRunner().invoke(main, ["demo", "--out", "mine"])
    assert again.exit_code == 1
    assert "exists already" in again.stderr
