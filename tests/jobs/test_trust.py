"""Nothing that is read wrongly goes on to a result: lists, sweeps and files that look right and are not."""

import datetime
import zipfile

import openpyxl
import pytest
from click.testing import CliRunner

from hydrofunc.cli import main
from hydrofunc.errors import FileRefused
from hydrofunc.jobs import scenarios
from hydrofunc.jobs.enter import enter
from hydrofunc.jobs.fill import fill
from hydrofunc.jobs.recalc import recalc
from hydrofunc.jobs.sweep import sweep
from hydrofunc.template import INPUTS
from tests import books
from tests.jobs.site import SITE


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    path = tmp_path_factory.mktemp("book") / "site.xlsx"
    path.write_bytes(books.calculated_with())
    return path


@pytest.fixture
def tank(tmp_path):
    made = openpyxl.Workbook()
    made.active.title = "Tank"
    for cell, value in {"B1": 200, "B2": 2, "C1": "=B1/B2"}.items():
        made.active[cell] = value
    made.save(tmp_path / "tank.xlsx")
    return tmp_path / "tank.xlsx"


def site_list(tmp_path, **changes):
    """The site as somebody with decimal commas writes it, cells divided by semicolons."""
    site = {name: str(value).replace(".", ",") for name, value in SITE.items()} | changes
    (tmp_path / "sites.csv").write_text(f"{';'.join(site)}\n{';'.join(site.values())}\n", encoding="utf-8")
    return tmp_path / "sites.csv"


def test_a_pipe_of_1_200_metres_is_not_one_of_1_metre_20(tmp_path):
    filled = fill(site_list(tmp_path, pipe_length="1.200"), tmp_path / "out")
    assert [str(problem) for problem in filled.problems] == [
        "row 2, column pipe_length: '1.200' may be 1200 or 1.2; write one of these"
    ]
    assert filled.workbooks == []


def test_a_reading_that_may_be_thousands_is_not_entered(book, tmp_path):
    """Line by line too, where the column has words as well."""
    readings = "name;value\nreading_speed;1.250\nreading_volts;26,4\n"
    (tmp_path / "readings.csv").write_text(readings, encoding="utf-8")
    entered = enter(book, tmp_path / "out.xlsx", tmp_path / "readings.csv")
    assert [str(problem) for problem in entered.problems] == [
        "row 2, reading_speed: '1.250' may be 1250 or 1.25; write one of these"
    ]


def test_a_site_whose_altitude_is_a_formula_without_value_is_not_one_at_sea(tmp_path):
    made = openpyxl.Workbook()
    made.active.append([*SITE, "altitude"])
    made.active.append([*SITE.values(), "=1000+500"])
    made.save(tmp_path / "sites.xlsx")
    with pytest.raises(FileRefused, match="formulas without stored values"):
        fill(tmp_path / "sites.xlsx", tmp_path / "out")


def test_a_time_in_a_cell_is_told_as_a_person_writes_it(tmp_path):
    made = openpyxl.Workbook()
    made.active.append(list(SITE))
    made.active.append([datetime.timedelta(hours=30) if name == "nozzle" else value for name, value in SITE.items()])
    made.save(tmp_path / "sites.xlsx")
    (problem,) = fill(tmp_path / "sites.xlsx", tmp_path / "out").problems
    assert "timedelta" not in str(problem) and "1 day, 6:00:00" in str(problem)


def test_a_name_longer_than_a_cell_is_reported(tmp_path):
    (problem,) = fill(site_list(tmp_path, site_name="x" * 40_000), tmp_path / "out").problems
    assert str(problem).endswith("has 40000 characters; a cell holds 32767")


@pytest.mark.parametrize("name", ["pole_pairs", "jets"])
def test_half_a_pair_of_poles_is_told_where_it_is_typed(tmp_path, name):
    """And not as an error value of a cell that asks a function with it."""
    (problem,) = fill(site_list(tmp_path, **{name: "2,5"}), tmp_path / "out").problems
    assert str(problem) == f"row 2, column {name}: 2.5 is not allowed; it must be a whole number"


# -- sweeps without end, and without effect --------------------------------------------------------------


@pytest.mark.parametrize(
    "vary", [["Tank!B1=4:6:1e-12"], ["Tank!B1=0:1e4:1", "Tank!B2=1:1e5:1"], [f"Tank!B{i}=0:9e6:1" for i in (1, 2, 3)]]
)
def test_more_scenarios_than_anybody_waits_for_are_refused_at_once(tank, tmp_path, vary):
    with pytest.raises(FileRefused, match="more than 10,000,000"):
        sweep(tank, tmp_path / "r.csv", vary=vary, outputs=["Tank!C1"])
    assert not (tmp_path / "r.csv").exists()


def test_as_many_as_are_allowed_are_taken(tank, tmp_path, monkeypatch):
    monkeypatch.setattr(scenarios, "MOST_SCENARIOS", 6)
    assert sweep(tank, tmp_path / "r.csv", vary=["Tank!B1=1:3:1", "Tank!B2=1:2:1"], outputs=["Tank!C1"]).scenarios == 6


def test_more_are_done_where_they_are_asked_for(tank, tmp_path, monkeypatch):
    monkeypatch.setattr(scenarios, "MOST_SCENARIOS", 3)
    words = ["sweep", str(tank), "--vary", "Tank!B1=1,2", "--vary", "Tank!B2=1,2", "--outputs", "Tank!C1", "--out"]
    refused = CliRunner().invoke(main, [*words, str(tmp_path / "r.csv")])
    assert refused.exit_code == 1 and "give sweep --yes" in refused.stderr and not (tmp_path / "r.csv").exists()
    done = CliRunner().invoke(main, [*words, str(tmp_path / "r.csv"), "--yes"])
    assert done.exit_code == 0 and "4 of 4 scenarios" in done.stderr


def test_an_empty_cell_that_no_formula_reads_is_no_scenario(tank, tmp_path):
    with pytest.raises(FileRefused, match="Tank!Z99: an empty cell, and no formula"):
        sweep(tank, tmp_path / "r.csv", vary=["Tank!Z99=1,2"], outputs=["Tank!C1"])


# -- names of files --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["x.pdf", "x", "x.csv", ""])
def test_a_workbook_gets_the_name_of_a_workbook(tank, book, tmp_path, name):
    with pytest.raises(FileRefused, match=r"must end in \.xlsx"):
        recalc(tank, tmp_path / name if name else "")
    with pytest.raises(FileRefused, match=r"must end in \.xlsx"):
        enter(book, tmp_path / name if name else "", None, tank)


def test_no_folder_is_not_this_folder(tmp_path):
    with pytest.raises(FileRefused, match="no folder"):
        fill(site_list(tmp_path), "")


def test_a_signature_that_is_void_is_told(tank, tmp_path):
    """Its part stays as it is; a spreadsheet program then says that the signature does not fit."""
    with zipfile.ZipFile(tank, "a") as archive:
        archive.writestr("_xmlsignatures/sig1.xml", "<Signature/>")
    _, done = recalc(tank)
    assert any("signature of this workbook is void" in line for line in done.needs)


def test_the_template_has_no_name_that_moves():
    """So that every name of it can be read at all."""
    assert {item.name for item in INPUTS} <= set(books.template_book().names)
