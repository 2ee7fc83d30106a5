"""`hydrofunc choose`: all combinations of a workbook, the best first."""

import csv
import io
import itertools

import openpyxl
import pytest
from click.testing import CliRunner

from hydrofunc.cli import main
from hydrofunc.engine.lanes import ExcelError
from hydrofunc.errors import FileRefused
from hydrofunc.jobs.best import Best
from hydrofunc.jobs.choose import choose, told, write
from hydrofunc.template import build
from hydrofunc.workbook.results import cells_of
from tests import books
from tests.jobs.test_renew import OLD


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    """The template with the invented example, not calculated."""
    path = tmp_path_factory.mktemp("choose") / "book.xlsx"
    path.write_bytes(books.template())
    return path


@pytest.fixture(scope="module")
def choice(book):
    return choose(book)


def test_the_best_is_that_of_the_sheet(choice):
    values = books.calculated_with()
    path = books.template_book()
    sheet = openpyxl.load_workbook(io.BytesIO(values), data_only=True)["Combinations"]
    best = choice.fitting[0]
    assert best.label == sheet[path.resolve("best_combo")[1]].value
    assert best.watts == pytest.approx(sheet[path.resolve("best_combo_watts")[1]].value)
    assert choice.now == pytest.approx(sheet[path.resolve("combo_now")[1]].value)
    assert len(choice.combinations) == 72


def test_they_stand_in_order(choice):
    """Those that fit first, by watts to a tenth, and of equals the cheaper one."""
    keys = [(row.fits != "fits", -row.tenths, row.cost) for row in choice.combinations]
    assert keys == sorted(keys)


def test_budget_and_weight_count(book):
    within = choose(book, budget=700, carry=300)
    assert all(row.cost <= 700 and row.mass <= 300 for row in within.fitting)
    assert {row.fits for row in within.combinations} == {"fits", "over the budget", "too heavy"}
    assert 0 < len(within.fitting) < 72
    assert not choose(book, budget=0, carry=1).fitting


def test_kilograms_are_kilograms_in_a_workbook_of_us_units_too(tmp_path, book):
    path = tmp_path / "us.xlsx"
    path.write_bytes(build("us", example=True))
    fitting, metric = choose(path, carry=300).fitting, choose(book, carry=300).fitting
    assert len(fitting) == len(metric) > 0 and max(row.mass for row in fitting) <= 300


def test_what_is_varied_is_combined_with_all(book, choice):
    """Two wheels: each combination with each; gains count from the plant as it is, not from the varied one."""
    varied = choose(book, ["pitch_diameter=105,120"])
    assert varied.varied == ("pitch_diameter [mm]",)
    assert len(varied.combinations) == 144
    same = {row.label: row.watts for row in varied.combinations if row.varied == (120.0,)}
    assert same == pytest.approx({row.label: row.watts for row in choice.combinations})
    assert varied.now == choice.now
    assert all(row.gain == pytest.approx(row.watts - choice.now) for row in varied.combinations)


def test_unbeaten_are_those_that_no_other_betters(book):
    """Looked at pair by pair, over all wheels together."""
    fitting = choose(book, ["pitch_diameter=105,120"], carry=450).fitting
    marked = [row for row in fitting if row.unbeaten]
    assert 2 < len(marked) < len(fitting) / 3
    for row, other in itertools.product(marked, fitting):
        assert not (other.tenths >= row.tenths and other.cost < row.cost)
        assert not (other.tenths > row.tenths and other.cost <= row.cost)
    for row in fitting:
        assert row.unbeaten or any(other.tenths >= row.tenths and other.cost <= row.cost for other in marked)


def test_without_prices_it_says_so_and_ranks_by_watts(tmp_path):
    path = tmp_path / "book.xlsx"
    path.write_bytes(books.changed(**{f"pipe_cost_{i}": None for i in range(1, 7)}))
    without = choose(path)
    assert all(row.cost is None and not row.unbeaten for row in without.combinations)
    said = "\n".join(told(without, 3))
    assert "72 of 72 combinations have no known price" in said and "*" not in said
    assert not choose(path, budget=1e6).fitting


def test_all_of_them_are_written(choice, tmp_path):
    out = tmp_path / "all.csv"
    write(choice, out)
    with out.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["combination"] for row in rows] == [row.label for row in choice.combinations]
    assert float(rows[0]["battery_watts [W]"]) == pytest.approx(choice.combinations[0].watts)
    assert {row["unbeaten"] for row in rows} == {"", "unbeaten"}
    with pytest.raises(FileRefused):
        write(choice, out)


def test_a_workbook_without_the_sheet_is_refused(tmp_path):
    with pytest.raises(FileRefused, match="hydrofunc renew"):
        choose(OLD)


def test_too_much_to_vary_is_refused(book):
    with pytest.raises(FileRefused, match="at most 5,000"):
        choose(book, ["pitch_diameter=60:160:0.01"])


def test_the_command(book, tmp_path):
    ran = CliRunner().invoke(main, ["choose", str(book), "--budget", "700", "--rows", "3"])
    assert ran.exit_code == 0, ran.output
    lines = ran.stdout.splitlines()
    assert lines[0] == "The plant as it is gives 210.9 W." and lines[3].endswith(", 24 V")
    assert "The best that fits: 50 mm (bore 40.8)" in ran.stdout


def test_an_empty_workbook_says_what_is_missing(tmp_path):
    path = tmp_path / "empty.xlsx"
    path.write_bytes(build())
    ran = CliRunner().invoke(main, ["choose", str(path)])
    assert ran.exit_code == 1 and "no results yet" in ran.stderr


# -- the best rows of a sweep ------------------------------------------------------------------------------------


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_a_sweep_says_its_best_rows(book, tmp_path, ending):
    """The three nozzles with most watts, of five; a word for a nozzle has no watts and is passed over."""
    out = tmp_path / f"swept{ending}"
    ran = CliRunner().invoke(main, ["sweep", str(book), "--vary", "nozzle=5:9:1", "--out", str(out)])
    assert ran.exit_code == 0, ran.output
    best = [line for line in ran.stderr.splitlines() if " W  nozzle [mm] = " in line]
    watts = [float(line.split(" W ")[0]) for line in best]
    assert len(best) == 3 and watts == sorted(watts, reverse=True)
    assert best[0].split(" = ")[1] in ("7", "7.0") and watts[0] == pytest.approx(210.9)


def best_of(heads, *columns):
    """The best rows of a table of one varied column and some outputs, written in two parts."""
    best = Best(heads, 1, 3)
    for part in (slice(2), slice(2, None)):
        best.add([cells_of(column[part]) for column in columns])
    return best.lines()


def test_without_a_column_of_watts_no_row_is_the_best():
    assert best_of(["nozzle [mm]", "flow [L/s]"], [5.0], [1.0]) == []


def test_a_row_without_a_number_is_never_the_best():
    watts = [ExcelError("#NUM!"), None, 12.5]
    assert best_of(["nozzle [mm]", "plant_watts [W]"], [5.0, 6.0, 7.0], watts) == ["      12.5 W  nozzle [mm] = 7"]


def test_of_rows_alike_the_first_are_told():
    heads, nozzles = ["nozzle [mm]", "battery_watts [W]"], [5.0, 6.0, 7.0, 8.0, 9.0]
    lines = best_of(heads, nozzles, [10.0, 20.0, 10.0, 20.0, 10.0])
    assert [line.split(" = ")[1] for line in lines] == ["6", "8", "5"]
