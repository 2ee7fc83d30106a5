"""Fill, recalc and sweep: what goes in, what comes out, and what is said about what cannot be done."""

import csv
import io
import os
import random
import shutil
import signal
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import openpyxl
import pyarrow.parquet as pq
import pytest
from click.testing import CliRunner
from openpyxl.workbook.defined_name import DefinedName

import hydrofunc
from hydrofunc.cli import main
from hydrofunc.engine.book import Formula
from hydrofunc.engine.compile import compile_book
from hydrofunc.errors import FileRefused, FormulaRefused
from hydrofunc.jobs import fill as fill_module
from hydrofunc.jobs import scenarios as scenarios_module
from hydrofunc.jobs import sweep as sweep_module
from hydrofunc.jobs.cores import in_order
from hydrofunc.jobs.fill import fill
from hydrofunc.jobs.latin import Latin
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS, recalc
from hydrofunc.jobs.sweep import sweep
from hydrofunc.template import INPUTS, RESULTS, RESULTS_SHEET, build
from hydrofunc.workbook.reading import read_book
from tests import books
from tests.jobs.site import SITE, by_name, rows_of


def table_text(*rows, delimiter=","):
    """CSV text of rows given as dicts; the columns are those of all rows."""
    heads = list(dict.fromkeys(head for row in rows for head in row))
    stream = io.StringIO()
    writer = csv.DictWriter(stream, heads, delimiter=delimiter)
    writer.writeheader()
    writer.writerows(rows)
    return stream.getvalue()


def stored(path, name):
    """The value stored in the cell of a defined name."""
    book = books.values_of(path)
    sheet, cell = next(book.defined_names[name].destinations)
    return book[sheet][cell].value


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def sites(here):
    def write(*rows, **changes):
        (here / "sites.csv").write_text(table_text(*rows, **changes), encoding="utf-8")
        return here / "sites.csv"

    return write


@pytest.fixture
def lists(here):
    def write(text, name="scenarios.csv"):
        (here / name).write_text(text, encoding="utf-8")
        return here / name

    return write


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.fixture
def own_book(here):
    """A workbook that is not the template: a tank, its names, a word, a switch, an empty cell."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Tank"
    for cell, value in {
        "A1": "volume, L",
        "B1": 200,
        "A2": "flow, L/s",
        "B2": 2,
        "A3": "mode",
        "B3": "fill",
        "B4": True,
        "B5": None,
        "C1": "=B1/B2",
        "C2": '=IF(B3="fill","filling","emptying")',
        "C3": "=IF(B4,C1,-C1)",
        "C4": '=B5&""',
        "C5": "=HYDRO_PIPE_VELOCITY(B2,40)",
        "C6": '=IF(C1>100,"long",C1)',
    }.items():
        sheet[cell] = value
    for name, cell in {"volume": "B1", "flow": "B2", "mode": "B3", "seconds": "C1", "all": "B1:B3"}.items():
        first, _, last = cell.partition(":")
        target = f"Tank!${first[0]}${first[1:]}" + (f":${last[0]}${last[1:]}" if last else "")
        book.defined_names[name] = DefinedName(name, attr_text=target)
    book.save(here / "tank.xlsx")
    return here / "tank.xlsx"


@pytest.fixture(scope="module")
def filled_once(tmp_path_factory):
    """One filled workbook for tests that only read it."""
    folder = tmp_path_factory.mktemp("filled")
    (folder / "sites.csv").write_text(table_text(SITE), encoding="utf-8")
    return fill(folder / "sites.csv", folder / "out").workbooks[0]


@pytest.fixture
def filled(filled_once, here):
    return shutil.copy(filled_once, here / "site.xlsx")


# -- fill --------------------------------------------------------------------------------------------------


def test_every_site_gets_a_workbook_that_opens_with_its_own_numbers(sites):
    path = sites(SITE, SITE | {"site_name": "Invented Gully", "nozzle": 9})
    done = run("fill", path, "--out", "out")
    assert done.exit_code == 0, done.output
    assert [line.replace("\\", "/") for line in done.stdout.split()] == [
        "out/Invented-Spring.xlsx",
        "out/Invented-Gully.xlsx",
        "out/summary.csv",
        "out/summary.xlsx",
    ]
    assert stored("out/Invented-Gully.xlsx", "nozzle") == 9
    assert stored("out/Invented-Gully.xlsx", "site_name") == "Invented Gully"
    flow = {name: stored(f"out/{name}.xlsx", "flow") for name in ("Invented-Spring", "Invented-Gully")}
    assert flow["Invented-Gully"] > flow["Invented-Spring"] > 0
    assert stored("out/Invented-Spring.xlsx", "jet_velocity") == pytest.approx(
        hydrofunc.jet_velocity(
            stored("out/Invented-Spring.xlsx", "net_head"),
            stored("out/Invented-Spring.xlsx", "velocity_coefficient"),
            stored("out/Invented-Spring.xlsx", "gravity"),
        ),
        rel=1e-12,
    )


def test_a_filled_workbook_equals_its_own_recalculation(filled):
    recalc(filled, "again.xlsx")
    before, after = (openpyxl.load_workbook(path, data_only=True) for path in (filled, "again.xlsx"))
    for sheet in before:
        for row in sheet.iter_rows():
            for cell in row:
                assert after[sheet.title][cell.coordinate].value == cell.value, (sheet.title, cell.coordinate)


def test_no_number_of_the_templates_invented_example_is_left_in_a_site(filled):
    site, empty = books.values_of(filled), openpyxl.load_workbook(io.BytesIO(build()))
    for item in INPUTS:
        expected = SITE.get(item.name, empty[item.sheet][item.cell].value)
        assert site[item.sheet][item.cell].value == expected, item.name


def test_the_summary_compares_all_sites_with_names_units_and_real_numbers(sites):
    fill(sites(SITE, SITE | {"site_name": "Bad", "nozzle": -1}), "out")
    rows = rows_of("out/summary.csv")
    for item in RESULTS:
        head = item.name if item.unit == "-" else f"{item.name} [{item.unit}]"
        assert float(rows[0][head]) == pytest.approx(stored("out/Invented-Spring.xlsx", item.name), rel=1e-12)
        assert rows[1][head] == ""
    assert [row["row"] for row in rows] == ["2", "3"]
    assert rows[0]["problem"] == ""
    low, mean, high = (float(rows[0][f"doubt_{which} [W]"]) for which in ("low", "mean", "high"))
    assert low < mean < high and low < float(rows[0]["plant_watts [W]"]) < high
    assert rows[1]["problem"].startswith("nozzle: -1 mm is not allowed; it must be above 0 to 500 mm")
    sheet = openpyxl.load_workbook("out/summary.xlsx").active
    heads = [cell.value for cell in sheet[1]]
    assert isinstance(sheet.cell(2, heads.index("plant_watts [W]") + 1).value, float)


def test_the_summary_tells_inputs_of_the_list_from_assumed_and_proposed_ones(sites):
    """One nozzle more in the list is one proposal less; a name and the units are no measurements."""
    few = {"site_name": "Few", "level_difference": 60, "pipe_length": 300, "pipe_bore": 26.6, "units": "metric"}
    fill(sites(few | {"nozzle": ""}, few | {"nozzle": 5}), "out")
    counts = [
        tuple(float(row[what]) for what in ("given", "assumed", "proposed")) for row in rows_of("out/summary.csv")
    ]
    assert counts[0][0] == 3 and counts[0][1] > 0 and counts[0][2] > 0
    assert counts[1] == (4, counts[0][1], counts[0][2] - 1)


def test_all_problems_are_reported_with_row_and_column_and_the_other_sites_are_done(sites):
    rows = [
        SITE,
        SITE | {"site_name": "A", "nozzle": 0, "jets": 9},
        {},
        SITE | {"site_name": "B", "pipe_length": "far", "nozle": 3},
        SITE | {"site_name": "C", "pipe_length": "", "load": "windmill"},
        SITE | {"site_name": "D", "level_difference": ""},
        SITE | {"site_name": "E"},
    ]
    done = run("fill", sites(*rows), "--out", "out")
    assert done.exit_code == 1
    said = done.stderr.splitlines()
    for line in (
        "column nozle: the template has no such input; not used; did you mean nozzle?",
        "row 3, column nozzle: 0 mm is not allowed; it must be above 0 to 500 mm, or empty",
        "row 3, column jets: 9 is not allowed; it must be from 1 to 6, or empty",
        "row 7: one of static_pressure, level_difference must be given",
    ):
        assert line in said, done.stderr
    assert not any(line.startswith("row 4") for line in said)  # a blank row is no site
    assert any(text.startswith("row 5, column pipe_length: 'far' is not a number") for text in said)
    assert any(text.startswith("row 6, column pipe_length: is missing") for text in said)
    assert any(text.startswith("row 6, column load: 'windmill' is not allowed") for text in said)
    assert said[-1] == "2 of 6 sites written."
    assert [line.split("/")[-1] for line in done.stdout.split()][:2] == ["Invented-Spring.xlsx", "E.xlsx"]


def test_a_site_without_results_is_written_and_reported_with_what_is_missing(sites):
    """A class that its standard does not have gives no bore."""
    odd = {name: value for name, value in SITE.items() if name != "pipe_bore"}
    odd |= {"site_name": "Odd", "pipe_standard": "pe100 iso 4427", "pipe_size": "40", "pipe_class": "sch 40"}
    done = run("fill", sites(SITE, odd), "--out", "out")
    assert done.exit_code == 1
    missing = stored("out/Odd.xlsx", "missing")
    assert missing.startswith("Size of the pipe (Start C26) is in no table: give ")
    assert stored("out/Invented-Spring.xlsx", "missing") in (None, "")
    assert done.stderr.splitlines() == [
        f"row 3: calculated, but without results: {missing.strip()}",
        "2 of 2 sites written.",
    ]
    assert rows_of("out/summary.csv")[1]["plant_watts [W]"] == ""


def test_a_site_whose_results_show_an_error_is_written_and_reported_with_its_cause(sites, monkeypatch):
    """No input of the template does that: here somebody broke the formula of a result."""
    book = openpyxl.load_workbook(io.BytesIO(build()))
    sheet, cell = next(book.defined_names["plant_watts"].destinations)
    book[sheet][cell] = "=1/0"
    stream = io.BytesIO()
    book.save(stream)
    monkeypatch.setattr(fill_module, "build", lambda protect: stream.getvalue())
    fill_module._template.cache_clear()
    try:
        filled = fill(sites(SITE), "out")
    finally:
        fill_module._template.cache_clear()
    (problem,) = filled.problems
    assert str(problem).startswith(f"row 2: calculated, but {sheet}!{cell.replace('$', '')} (")
    assert " shows #DIV/0!" in str(problem)
    assert str(filled.results["plant_watts"][0]) == "#DIV/0!" == stored("out/Invented-Spring.xlsx", "plant_watts")


def test_a_column_head_may_carry_the_right_unit_but_not_a_wrong_one(sites):
    named = {("nozzle [mm]" if name == "nozzle" else name): value for name, value in SITE.items()}
    assert fill(sites(named), "right").problems == []
    named = {("nozzle [bar]" if name == "nozzle" else name): value for name, value in SITE.items()}
    with pytest.raises(FileRefused, match=r"the unit \[bar\] does not fit nozzle: give mm or in"):
        fill(sites(named), "wrong")


def test_a_spreadsheet_list_with_decimal_comma_gives_the_same_site(sites):
    comma = {name: str(value).replace(".", ",") for name, value in SITE.items()}
    fill(sites(SITE), "point")
    fill(sites(comma, delimiter=";"), "comma")
    assert stored("comma/Invented-Spring.xlsx", "flow") == stored("point/Invented-Spring.xlsx", "flow")


def test_an_xlsx_list_gives_the_same_site(sites, here):
    fill(sites(SITE), "csv")
    book = openpyxl.Workbook()
    book.active.append(list(SITE))
    book.active.append(list(SITE.values()))
    book.save("sites.xlsx")
    fill("sites.xlsx", "xlsx")
    assert stored("xlsx/Invented-Spring.xlsx", "flow") == stored("csv/Invented-Spring.xlsx", "flow")


def test_two_sites_of_one_name_get_two_files(sites):
    filled = fill(sites(SITE, SITE, SITE | {"site_name": "INVENTED SPRING"}), "out")
    assert [path.name for path in filled.workbooks] == [
        "Invented-Spring.xlsx",
        "Invented-Spring-2.xlsx",
        "INVENTED-SPRING-3.xlsx",
    ]


def test_a_site_name_that_looks_like_a_formula_stays_text(sites):
    fill(sites(SITE | {"site_name": '=HYPERLINK("x")'}), "out")
    assert rows_of("out/summary.csv")[0]["site"] == '\'=HYPERLINK("x")'
    cell = openpyxl.load_workbook("out/HYPERLINK-x.xlsx")["Site"][next(i.cell for i in INPUTS if i.name == "site_name")]
    assert (cell.value, cell.data_type) == ('=HYPERLINK("x")', "s")


def test_existing_workbooks_are_not_overwritten_and_nothing_is_half_done(sites):
    path = sites(SITE, SITE | {"site_name": "New"})
    (path.parent / "out").mkdir()
    (path.parent / "out" / "Invented-Spring.xlsx").write_bytes(b"mine")
    done = run("fill", path, "--out", "out")
    assert done.exit_code == 1
    assert "Invented-Spring.xlsx exists already" in done.stderr
    assert [p.name for p in (path.parent / "out").iterdir()] == ["Invented-Spring.xlsx"]
    assert run("fill", path, "--out", "out", "--force").exit_code == 0


def test_more_sites_than_one_batch_come_out_in_order(sites, monkeypatch):
    monkeypatch.setattr("hydrofunc.jobs.fill.BATCH", 2)
    filled = fill(sites(*(SITE | {"site_name": f"S{i}", "nozzle": 5 + i} for i in range(5))), "out")
    assert filled.results["plant_flow"] == sorted(filled.results["plant_flow"])
    assert [stored(path, "plant_flow") for path in filled.workbooks] == filled.results["plant_flow"]


def test_a_list_shared_by_two_processes_gives_the_same_files_and_words(sites, monkeypatch):
    """Byte by byte, in the order of the list, with what is wrong in it."""
    for name in ("LEAST", "BATCH", "FEWEST"):
        monkeypatch.setattr(fill_module, name, 2)
    path = sites(
        SITE,
        SITE | {"site_name": "Wrong", "nozzle": -1},
        SITE | {"site_name": "Wide", "nozzle": 9},
        {name: value for name, value in SITE.items() if name != "pipe_bore"}
        | {"site_name": "Odd", "pipe_standard": "pe100 iso 4427", "pipe_size": "40", "pipe_class": "sch 40"},
        SITE | {"site_name": "Short", "pipe_length": 200},
    )
    done, told = [], []
    for cores in (1, 2):
        steps = []
        done.append(fill(path, f"out{cores}", cores=cores, progress=lambda *at, steps=steps: steps.append(at)))
        told.append(steps)
        assert steps == sorted(steps) and steps[-1] == (4, 4)
    assert len(told[0]) > len(told[1]) == 2  # one process tells of each site, two of each part
    one, two = ([str(problem) for problem in filled.problems] for filled in done)
    assert one == two and [text[:5] for text in one] == ["row 3", "row 5"]
    assert done[0].results == done[1].results and len(done[0].results["given"]) == 4
    names = [path.name for path in done[0].workbooks]
    assert names == ["Invented-Spring.xlsx", "Wide.xlsx", "Odd.xlsx", "Short.xlsx"]
    for name in (*names, "summary.csv"):
        assert Path("out1", name).read_bytes() == Path("out2", name).read_bytes(), name
    assert {path.name for path in Path("out2").iterdir()} == {*names, "summary.csv", "summary.xlsx"}


@pytest.mark.parametrize("cores", [1, 2, 3, 8])
def test_processes_share_a_list_evenly_and_no_site_changes_by_it(cores):
    """Sites that draw their doubt together stay together, and no site is alone unless the list is one site."""
    least, most = fill_module.LEAST, fill_module.BATCH
    for count in (1, 2, 31, 32, 33, 64, 65, 95, 100, 240, 241, 257, 511, 600, 1000, 9999):
        workers = max(1, min(cores, count // fill_module.FEWEST))
        parts = fill_module._parts(count, workers)
        assert [index for part in parts for index in range(*part)] == list(range(count))
        assert all(first % least == 0 for first, _ in parts) and len(parts) % workers == 0
        sizes = [stop - first for first, stop in parts]
        assert max(sizes) <= most + least // 2 and max(sizes) - min(sizes) <= 3 * least // 2
        assert min(sizes) >= least // 2 or len(parts) == 1


def test_a_site_has_the_same_numbers_among_others_as_in_another_part_of_the_list():
    """To the last digit, with what is drawn for its doubt: calculated for 35 sites, and for 32 and 3."""
    book = read_book(fill_module._template(False))
    given = {item.name: (item.sheet, item.cell) for item in INPUTS}
    doubts = [key for key, content in book.cells.items() if key[0] == "Doubt" and isinstance(content, Formula)]
    results = [(item.sheet, item.cell) for item in RESULTS if not item.name.startswith("checks")]
    plan = compile_book(book, SHEET_FUNCTIONS, overrides=list(given.values()), outputs=[*doubts, *results])

    def calculated(start, stop):
        values = {given[name]: [value] * (stop - start) for name, value in SITE.items()}
        values[given["nozzle"]] = [4 + 0.1 * index for index in range(start, stop)]
        return fill_module._calculated(plan, values, stop - start)

    (first, rest), whole = (calculated(0, 32), calculated(32, 35)), calculated(0, 35)
    assert len(doubts) > 500 and len(set(whole[book.resolve("doubt_mean")])) > 30
    assert {key: first[key] + rest[key] for key in whole} == whole


def test_a_list_without_sites_is_refused(lists):
    with pytest.raises(FileRefused, match="has no rows below its heads"):
        fill(lists("site_name,nozzle\n"), "out")


# -- recalc ------------------------------------------------------------------------------------------------


def test_recalc_writes_beside_the_book_and_leaves_it_alone(own_book):
    before = own_book.read_bytes()
    done = run("recalc", own_book)
    assert (done.exit_code, done.stdout.strip()) == (0, str(own_book.with_name("tank-recalculated.xlsx")))
    assert own_book.read_bytes() == before
    sheet = openpyxl.load_workbook(done.stdout.strip(), data_only=True).active
    assert (sheet["C1"].value, sheet["C2"].value) == (100, "filling")
    assert sheet["C5"].value == pytest.approx(hydrofunc.pipe_velocity(2.0, 40.0), rel=1e-12)


def test_recalc_overwrites_the_book_itself_only_by_force(own_book):
    assert run("recalc", own_book, "--out", own_book).exit_code == 1
    assert run("recalc", own_book, "--out", own_book, "--force").exit_code == 0
    assert openpyxl.load_workbook(own_book, data_only=True).active["C1"].value == 100


def test_recalc_changes_nothing_but_sheets_and_the_calculation_mark(own_book):
    path, _ = recalc(own_book)
    with zipfile.ZipFile(own_book) as before, zipfile.ZipFile(path) as after:
        assert before.namelist() == after.namelist()
        changed = [name for name in before.namelist() if before.read(name) != after.read(name)]
    assert set(changed) <= {"xl/worksheets/sheet1.xml", "xl/workbook.xml"}


def test_a_year_of_hours_in_two_columns_of_ones_own(tmp_path):
    """As the sheet Energy says: made and wanted, 8,760 rows, against a plain loop over the hours."""
    draw = random.Random(7)
    hours = [(180.0, draw.uniform(0, 400)) for _ in range(8760)]
    book = openpyxl.Workbook()
    for row in hours:
        book.active.append(row)
    run = "(A1:A8760,B1:B8760,8000,100,50,0,70)"
    book.active["D1"], book.active["D2"], book.active["D3"] = (
        f"=HYDRO_{name}{run}" for name in ("LOWEST_STATE", "UNSERVED_ENERGY", "DUMPED_ENERGY")
    )
    book.save(tmp_path / "year.xlsx")
    recalc(tmp_path / "year.xlsx", out=tmp_path / "out.xlsx")
    held, lowest, missed, dumped = 8000.0, 8000.0, 0.0, 0.0
    for made, wanted in hours:
        over, short = max(0.0, made - wanted), max(0.0, wanted - made)
        charged, given = min(0.7 * over, 8000.0 - held), min(short, held - 4000.0)
        held += charged - given
        lowest, missed, dumped = min(lowest, held), missed + short - given, dumped + over - charged / 0.7
    cells = openpyxl.load_workbook(tmp_path / "out.xlsx", data_only=True).active
    assert [cells[f"D{row}"].value for row in (1, 2, 3)] == pytest.approx(
        [100 * lowest / 8000, missed, dumped], rel=1e-9
    )


def test_every_cell_that_cannot_be_evaluated_is_named_and_nothing_is_written(own_book):
    book = openpyxl.load_workbook(own_book)
    book.active["D1"] = "=NO_SUCH_FUNCTION(1)"
    book.active["D2"] = "=D3"
    book.active["D3"] = "=D2"
    book.save(own_book)
    done = run("recalc", own_book)
    assert (done.exit_code, done.stdout) == (1, "")
    for cell in ("Tank!D1", "Tank!D2", "Tank!D3"):
        assert cell in done.stderr
    assert "Traceback" not in done.stderr
    assert not own_book.with_name("tank-recalculated.xlsx").exists()


def test_error_values_are_said_but_are_no_failure(own_book):
    book = openpyxl.load_workbook(own_book)
    book.active["B2"] = 0
    book.save(own_book)
    done = run("recalc", own_book)
    assert done.exit_code == 0
    said = "Tank!C1 (volume, L) shows #DIV/0!, and 2 cells that use it"
    assert done.stderr.splitlines() == [f"{said}; it reads Tank!B1 (volume, L) 200, Tank!B2 (flow, L/s) 0"]


# -- sweep -------------------------------------------------------------------------------------------------


def test_a_sweep_gives_a_row_for_each_scenario_by_name_and_by_cell(own_book, lists):
    path = lists("flow,Tank!B3\n2,fill\n4,empty\n,fill\n")
    done = run("sweep", own_book, path, "--out", "r.csv", "--outputs", "seconds,Tank!C2")
    assert done.exit_code == 0, done.output
    assert rows_of("r.csv") == [
        {"flow": "2", "Tank!B3": "fill", "seconds": "100", "Tank!C2": "filling", "error": ""},
        {"flow": "4", "Tank!B3": "empty", "seconds": "50", "Tank!C2": "emptying", "error": ""},
        {"flow": "2", "Tank!B3": "fill", "seconds": "100", "Tank!C2": "filling", "error": ""},
    ]


def test_a_blank_cell_leaves_the_workbooks_own_value(own_book, lists):
    sweep(
        own_book,
        "r.csv",
        lists("flow,volume\n,\n4,\n,100\n".replace("\n,\n", "\n,200\n")),
        outputs=["seconds"],
    )
    assert [row["seconds"] for row in rows_of("r.csv")] == ["100", "50", "50"]


def test_varied_ranges_and_lists_are_combined_each_with_each(own_book, lists):
    sweep(
        own_book,
        "r.csv",
        lists("volume\n100\n200\n"),
        ["flow=1:2:0.5", "mode=fill,empty"],
        ["seconds", "Tank!C2"],
    )
    rows = rows_of("r.csv")
    assert [(row["volume"], row["flow"], row["mode"]) for row in rows] == [
        (volume, flow, mode) for volume in ("100", "200") for flow in ("1", "1.5", "2") for mode in ("fill", "empty")
    ]
    for row in rows:
        assert float(row["seconds"]) == float(row["volume"]) / float(row["flow"])


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("0.1:0.3:0.1", [0.1, 0.2, 0.3]),
        ("4:12:3", [4, 7, 10]),
        ("3:1:-1", [3, 2, 1]),
        ("1:2:0.33333333333", [1, 1 + 0.33333333333, 1 + 2 * 0.33333333333, 2]),
        ("5:5:1", [5]),
        (" 1 : 2 : 1 ", [1, 2]),
        ("20,25,32", [20, 25, 32]),
        ("1e1", [10]),
    ],
)
def test_a_range_includes_its_end_where_the_steps_meet_it(own_book, text, values):
    found, _ = scenarios_module.Scenarios(read_book(own_book), None, [f"flow={text}"]).part(0, 100)
    assert next(iter(found.values())).tolist() == pytest.approx(values, rel=1e-15)


@pytest.mark.parametrize(
    "text",
    [
        "flow",
        "flow=",
        "flow=1:2",
        "flow=2:1:1",
        "flow=1:2:0",
        "flow=a:b:c",
        "flow=1,,2",
        "flow=x",
        "Tank!B4=maybe",
    ],
)
def test_a_range_that_makes_no_sense_is_refused(own_book, text):
    with pytest.raises(FileRefused, match="--vary"):
        sweep(own_book, "r.csv", vary=[text], outputs=["seconds"])


@pytest.mark.parametrize(
    ("head", "complaint"),
    [
        ("seconds", "holds a formula; only an input can be varied"),
        ("Tank!C2", "holds a formula"),
        ("flwo", "no name 'flwo'"),
        ("all", "is the range"),
        ("Pond!B1", "no sheet 'Pond'"),
        ("flow [L/s]", "the unit cannot be checked"),
    ],
)
def test_only_an_input_cell_can_be_overridden(own_book, lists, head, complaint):
    with pytest.raises(FileRefused, match=complaint.replace("[", r"\[")):
        sweep(own_book, "r.csv", lists(f"{head}\n1\n"), outputs=["Tank!C1"])


def test_all_column_heads_that_are_no_input_are_named_at_once(own_book, lists):
    done = run("sweep", own_book, lists("flwo,seconds,mode\n1,2,fill\n"), "--out", "r.csv", "--outputs", "Tank!C1")
    assert done.exit_code == 1
    assert "did you mean flow?" in done.stderr
    assert "seconds: Tank!C1 holds a formula" in done.stderr


def test_one_cell_cannot_be_varied_twice(own_book, lists):
    with pytest.raises(FileRefused, match="flow and Tank!B2 are the same cell"):
        sweep(own_book, "r.csv", lists("flow,Tank!B2\n1,2\n"), outputs=["seconds"])


def test_a_foreign_workbook_needs_to_be_told_what_to_collect(own_book):
    done = run("sweep", own_book, "--vary", "flow=1,2", "--out", "r.csv")
    assert done.exit_code == 1
    assert "--outputs" in done.stderr


def test_a_row_at_fault_keeps_its_place_with_blank_outputs_and_the_reason(own_book, lists):
    done = run(
        "sweep",
        own_book,
        lists("flow,Tank!B4\n2,TRUE\nfast,TRUE\n4,perhaps\n5,FALSE,9\n8,false\n"),
        "--out",
        "r.csv",
        "--outputs",
        "seconds,Tank!C3",
    )
    assert done.exit_code == 1
    rows = rows_of("r.csv")
    assert [row["seconds"] for row in rows] == ["100", "", "", "", "25"]
    assert [row["Tank!C3"] for row in rows] == ["100", "", "", "", "-25"]
    assert rows[1]["flow"] == "fast"
    assert rows[1]["error"] == "flow: 'fast' is not a number"
    assert "row 3, column flow: 'fast' is not a number" in done.stderr.splitlines()
    assert any(line.startswith("row 4, column Tank!B4: 'perhaps' is not allowed") for line in done.stderr.splitlines())
    assert "row 5: has more cells than the 2 column heads; row left out. " in done.stderr
    assert done.stderr.splitlines()[-1] == "2 of 5 scenarios calculated."


def test_error_values_stand_as_their_text_and_neighbours_are_untouched(own_book):
    sweep(own_book, "r.csv", vary=["flow=1,0,2"], outputs=["seconds"])
    assert [row["seconds"] for row in rows_of("r.csv")] == ["200", "#DIV/0!", "100"]
    assert [row["error"] for row in rows_of("r.csv")] == ["", "", ""]


@pytest.mark.parametrize(("listed", "torn"), [("13.6,27,2", "27,2"), ("9.5,9,5.5,6", "5.5,6"), ("1,0,2.5", "0,2.5")])
def test_a_list_out_of_order_in_which_a_comma_may_be_a_decimal_one_is_refused(own_book, listed, torn):
    with pytest.raises(FileRefused, match=f"is {torn} one number"):
        sweep(own_book, "r.csv", vary=[f"flow={listed}"], outputs=["seconds"])


@pytest.mark.parametrize("listed", ["13.6,27.2", "8,5.5,4", "4,8,6", "5.5,5.5,6"])
def test_other_lists_are_taken_as_they_are(own_book, listed):
    assert sweep(own_book, "r.csv", vary=[f"flow={listed}"], outputs=["seconds"]).scenarios == listed.count(",") + 1


def test_parquet_holds_typed_columns_and_says_what_did_not_fit(own_book):
    sweep(own_book, "r.parquet", vary=["flow=0,1,2.5"], outputs=["seconds", "Tank!C2", "Tank!C6"])
    table = pq.read_table("r.parquet")
    assert [str(field.type) for field in table.schema] == [
        "double",
        "double",
        "string",
        "double",
        "string",
        "string",
    ]
    assert table.column("seconds").to_pylist() == [None, 200.0, 80.0]
    assert table.column("other_values").to_pylist() == [
        "seconds=#DIV/0!; Tank!C6=#DIV/0!",
        "Tank!C6=long",
        None,
    ]


def test_parquet_without_its_package_is_refused_in_plain_words(own_book, monkeypatch):
    for name in [name for name in sys.modules if name.partition(".")[0] == "pyarrow"]:
        monkeypatch.setitem(sys.modules, name, None)
    told = "r.parquet: writing Parquet needs pyarrow, which is not installed: pip install pyarrow"
    for command in (
        ["sweep", own_book, "--vary", "flow=1", "--outputs", "seconds", "--out"],
        ["doubt", own_book, "--csv"],
    ):
        done = run(*command, "r.parquet")
        assert done.exit_code == 1 and told in done.stderr
    assert os.listdir() == ["tank.xlsx"]


def test_xlsx_results_hold_numbers_and_error_values(own_book):
    sweep(own_book, "r.xlsx", vary=["flow=1,0"], outputs=["seconds"])
    rows = list(openpyxl.load_workbook("r.xlsx").active.iter_rows(min_row=2))
    assert [(row[1].value, row[1].data_type) for row in rows] == [(200, "n"), ("#DIV/0!", "e")]


def test_an_empty_cell_takes_numbers_and_words(own_book, lists):
    sweep(own_book, "r.csv", lists("Tank!B5,flow\nabc,1\n7.5,1\n,1\n"), outputs=["Tank!C4"])
    assert [row["Tank!C4"] for row in rows_of("r.csv")] == ["abc", "7.5", ""]


@pytest.mark.parametrize("cores", [1, 2, 3])
@pytest.mark.parametrize("ending", [".csv", ".parquet"])
def test_a_sweep_in_parts_and_on_several_cores_is_the_same_byte_by_byte(own_book, lists, monkeypatch, cores, ending):
    """In the order of the list, with what is wrong in it, and in the same groups of rows."""
    path = lists("flow\n" + "".join(f"{'x' if i == 7 else i}\n" for i in range(1, 23)))
    monkeypatch.setattr(sweep_module, "LEAST_BLOCK", 4)
    monkeypatch.setattr(sweep_module, "TIMED", 8)
    monkeypatch.setattr(sweep_module, "PART", 32)
    monkeypatch.setattr(sweep_module, "BLOCK", 16)
    for name, seconds, long, on in ((f"one{ending}", 1.0, 1e9, 1), (f"parts{ending}", 0.0, -1.0, cores)):
        monkeypatch.setattr(sweep_module, "SECONDS", seconds)
        monkeypatch.setattr(sweep_module, "LONG", long)
        done = []
        swept = sweep(
            own_book,
            name,
            path,
            ["volume=1:10:1"],
            ["seconds", "Tank!C6"],
            True,
            lambda *at, done=done: done.append(at),
            cores=on,
        )
        assert (swept.scenarios, swept.at_fault) == (220, 10) and done == sorted(done) and done[-1] == (220, 220)
    assert len(done) == 55
    assert Path(f"one{ending}").read_bytes() == Path(f"parts{ending}").read_bytes()
    if ending == ".csv":
        rows = rows_of("parts.csv")
        assert len(rows) == 220 and sum(bool(row["error"]) for row in rows) == 10
        assert [float(row["volume"]) for row in rows[:11]] == [*range(1, 11), 1]


@pytest.fixture
def long_sweep(own_book, lists, monkeypatch):
    """A sweep of 220 scenarios in 55 parts that is taken for a long one, as a function of where it is stopped."""
    path = lists("flow\n" + "".join(f"{'x' if i == 7 else i}\n" for i in range(1, 23)))
    for name, value in {"LEAST_BLOCK": 4, "TIMED": 8, "PART": 32, "BLOCK": 16, "SECONDS": 0.0, "KEPT": -1.0}.items():
        monkeypatch.setattr(sweep_module, name, value)

    def swept(out, stop=None, vary="volume=1:10:1", **options):
        def progress(done, total):
            if stop is not None and done > stop:
                raise KeyboardInterrupt

        return sweep(own_book, out, path, [vary], ["seconds", "Tank!C6"], progress=progress, **options)

    return swept


@pytest.mark.parametrize("ending", [".csv", ".xlsx", ".parquet"])
@pytest.mark.parametrize("stops", [(0,), (3,), (100,), (219,), (20, 21, 120)])
def test_a_sweep_that_was_stopped_goes_on_and_ends_as_if_it_had_not(long_sweep, ending, stops):
    """However often; no scenario twice, none left out, counts as in one run."""
    whole = long_sweep(f"whole{ending}")
    for count, stop in enumerate(stops):
        with pytest.raises(KeyboardInterrupt):
            long_sweep(f"r{ending}", stop, resume=bool(count))
        assert not Path(f"r{ending}").exists()
    assert long_sweep(f"r{ending}", resume=True) == whole
    if ending == ".xlsx":  # it holds the time at which it was written
        books_read = [openpyxl.load_workbook(name).active.values for name in (f"r{ending}", f"whole{ending}")]
        assert list(books_read[0]) == list(books_read[1])
    else:
        assert Path(f"r{ending}").read_bytes() == Path(f"whole{ending}").read_bytes()
    assert [path.name for path in Path().iterdir() if path.name.startswith(".")] == []


def test_what_a_stop_cut_short_is_calculated_again(long_sweep):
    """At any byte."""
    long_sweep("whole.csv")
    with pytest.raises(KeyboardInterrupt):
        long_sweep("r.csv", 100)
    (journal,) = Path().glob(".r.csv*")
    data = journal.read_bytes()
    for length in [*random.Random(5).sample(range(len(data)), 12), len(data) - 1]:
        journal.write_bytes(data[:length])
        long_sweep("r.csv", resume=True, force=True)
        assert Path("r.csv").read_bytes() == Path("whole.csv").read_bytes() and not journal.exists()
    changed = bytearray(data)
    changed[-3] ^= 1
    journal.write_bytes(changed)
    long_sweep("r.csv", resume=True, force=True)
    assert Path("r.csv").read_bytes() == Path("whole.csv").read_bytes()


def test_parts_of_two_runs_in_one_journal_do_not_pass_for_each_other(long_sweep):
    """What stands behind a part that does not follow the one before is calculated again."""
    long_sweep("whole.csv")
    with pytest.raises(KeyboardInterrupt):
        long_sweep("r.csv", 100)
    (journal,) = Path().glob(".r.csv*")
    head, *parts = journal.read_bytes().split(b'{"stop"')
    assert len(parts) > 20
    for mixed in ([*parts[:9], *parts[5:]], [*parts[:9], *parts[12:]], parts[3:]):
        journal.write_bytes(b'{"stop"'.join([head, *mixed]))
        long_sweep("r.csv", resume=True, force=True)
        assert Path("r.csv").read_bytes() == Path("whole.csv").read_bytes()


def test_what_a_stopped_run_has_done_is_neither_lost_nor_taken_for_another_run_s(long_sweep, own_book):
    with pytest.raises(KeyboardInterrupt):
        long_sweep("r.csv", 100)
    with pytest.raises(FileRefused, match=r"has done 1[0-9][0-9] scenarios .*--resume goes on with it, --force begins"):
        long_sweep("r.csv")
    with pytest.raises(FileRefused, match="is of another run"):
        long_sweep("r.csv", vary="volume=1:9:1", resume=True)
    book = openpyxl.load_workbook(own_book)
    book["Tank"]["B2"] = 3
    book.save(own_book)
    with pytest.raises(FileRefused, match="is of another run"):
        long_sweep("r.csv", resume=True)
    assert long_sweep("r.csv", force=True).scenarios == 220
    assert list(Path().glob(".r.csv*")) == []


def test_only_the_best_rows_are_written_the_best_first(long_sweep):
    """Whatever part they stand in, however the run was stopped; equal ones in their order."""
    long_sweep("all.csv")
    everything = [row for row in rows_of("all.csv") if row["seconds"]]
    expected = sorted(everything, key=lambda row: -float(row["seconds"]))[:7]
    with pytest.raises(KeyboardInterrupt):
        long_sweep("best.csv", 100, keep=7, by="seconds")
    swept = long_sweep("best.csv", keep=7, by="seconds", resume=True)
    assert (swept.scenarios, swept.rows) == (220, 7)
    assert rows_of("best.csv") == expected
    assert long_sweep("more.csv", keep=1000, by="seconds").rows == len(everything) == 210


@pytest.mark.parametrize("part", [4, 8, 32, 64])
@pytest.mark.parametrize(("keep", "where"), [(1, []), (3, []), (3, ["seconds<2.5", "flow>2"]), (1000, ["volume>7"])])
def test_the_best_of_each_row_of_the_list_are_written_in_its_order(long_sweep, monkeypatch, part, keep, where):
    """However the table is cut into parts; a row at fault, and one of which none meets the conditions, has none."""
    monkeypatch.setattr(sweep_module, "PART", part)
    monkeypatch.setattr(sweep_module, "LEAST_BLOCK", 4)
    long_sweep("all.csv", vary="volume=3,9,9,1,2,8", where=where)
    expected = []
    for flow in dict.fromkeys(row["flow"] for row in rows_of("all.csv")):
        rows = [row for row in rows_of("all.csv") if row["flow"] == flow and row["seconds"]]
        expected += sorted(rows, key=lambda row: -float(row["seconds"]))[:keep]
    options = {"vary": "volume=3,9,9,1,2,8", "where": where, "keep": keep, "by": "seconds", "of_each": True}
    with pytest.raises(KeyboardInterrupt):
        long_sweep("best.csv", 60, **options)
    swept = long_sweep("best.csv", resume=True, **options)
    assert rows_of("best.csv") == expected and swept.rows == len(expected) > 10


def test_the_best_of_each_row_are_the_same_on_two_cores_and_in_parquet(long_sweep, monkeypatch):
    options = {"keep": 2, "by": "volume", "of_each": True}
    long_sweep("one.csv", **options)
    monkeypatch.setattr(sweep_module, "LONG", -1.0)
    long_sweep("two.csv", cores=2, **options)
    long_sweep("two.parquet", cores=2, **options)
    assert Path("one.csv").read_bytes() == Path("two.csv").read_bytes()
    assert pq.read_table("two.parquet").column("volume").to_pylist() == [10, 9] * 22


@pytest.mark.parametrize(
    ("where", "meets"),
    [
        (["seconds<2.5"], lambda row: float(row["seconds"] or "nan") < 2.5),
        (["volume >= 9"], lambda row: float(row["volume"]) >= 9),
        (["Tank!C6=LONG"], lambda row: row["Tank!C6"] == "long"),
        (["volume=3", "flow<=5"], lambda row: row["volume"] == "3" and row["flow"] != "x" and float(row["flow"]) <= 5),
    ],
)
def test_only_rows_that_meet_all_conditions_are_written(long_sweep, where, meets):
    long_sweep("all.csv", vary="volume=1,3,9,9000")
    swept = long_sweep("some.csv", vary="volume=1,3,9,9000", where=where)
    expected = [row for row in rows_of("all.csv") if meets(row)]
    assert rows_of("some.csv") == expected and swept.rows == len(expected) > 3
    best = long_sweep("best.csv", vary="volume=1,3,9,9000", where=where, keep=2, by="flow")
    numbers = [row for row in expected if row["flow"] != "x"]
    assert rows_of("best.csv") == sorted(numbers, key=lambda row: -float(row["flow"]))[:2] and best.rows == 2


def test_a_latin_sweep_meets_each_slice_of_each_range_once_and_each_word_as_often(own_book):
    """However many points; a list that they cannot share evenly has no value more than once more than another."""
    for count in (3, 4, 7, 100):
        done = run(
            *("sweep", own_book, "--latin", count, "--vary", "flow=1:3", "--vary", "volume=50:250"),
            *("--vary", "mode=fill,empty,rest", "--outputs", "seconds", "--out", "r.csv", "--force"),
        )
        assert done.exit_code == 0, done.output
        rows = rows_of("r.csv")
        for name, low, high in (("flow", 1, 3), ("volume", 50, 250)):
            slices = sorted(int((float(row[name]) - low) / (high - low) * count) for row in rows)
            assert slices == list(range(count)), name
        often = [sum(row["mode"] == word for row in rows) for word in ("fill", "empty", "rest")]
        assert sum(often) == count and max(often) - min(often) <= 1
        for row in rows:
            assert float(row["seconds"]) == pytest.approx(float(row["volume"]) / float(row["flow"]), rel=1e-12)


def test_the_same_seed_gives_the_same_points_and_another_seed_others(long_sweep):
    for name, options in {"a": {}, "b": {"seed": 1}, "c": {"seed": 2}, "d": {"latin": 41}}.items():
        long_sweep(f"{name}.csv", vary="volume=1:10", **{"latin": 40} | options)
    tables = {name: [row["volume"] for row in rows_of(f"{name}.csv")] for name in "abcd"}
    assert tables["a"] == tables["b"] and len(set(tables["a"])) == 40
    assert not set(tables["a"]) & set(tables["c"]) and not set(tables["a"]) & set(tables["d"])


def test_each_row_of_a_list_has_the_same_latin_points(long_sweep):
    long_sweep("r.csv", vary="volume=1:10", latin=10)
    rows = rows_of("r.csv")
    volumes = [row["volume"] for row in rows]
    assert len(rows) == 220 and volumes == volumes[:10] * 22
    assert [row["flow"] for row in rows[::10]] == ["x" if i == 7 else str(i) for i in range(1, 23)]


def test_a_latin_sweep_is_the_same_on_two_cores_and_after_a_stop(long_sweep, monkeypatch):
    options = {"vary": "volume=1:10", "latin": 10, "seed": 7}
    long_sweep("whole.csv", **options)
    with pytest.raises(KeyboardInterrupt):
        long_sweep("r.csv", 100, **options)
    for other in ({"seed": 8}, {"latin": 11}, {"latin": None, "seed": None, "vary": "volume=1:10:1"}):
        with pytest.raises(FileRefused, match="is of another run"):
            long_sweep("r.csv", resume=True, **options | other)
    long_sweep("r.csv", resume=True, **options)
    monkeypatch.setattr(sweep_module, "LONG", -1.0)
    long_sweep("two.csv", cores=2, **options)
    assert Path("whole.csv").read_bytes() == Path("r.csv").read_bytes() == Path("two.csv").read_bytes()
    best = long_sweep("best.csv", keep=3, by="seconds", where=["volume<5"], **options)
    met = [row for row in rows_of("whole.csv") if float(row["volume"]) < 5 and row["seconds"]]
    assert rows_of("best.csv") == sorted(met, key=lambda row: -float(row["seconds"]))[:3] and best.rows == 3


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"latin": 5, "vary": []}, "--latin: say with --vary which inputs"),
        ({"seed": 5, "vary": ["flow=1:2:1"]}, "say with --latin how many points"),
        ({"vary": ["flow=1:2"]}, "a range is FIRST:LAST:STEP, three numbers; LOW:HIGH goes with sweep --latin"),
        ({"latin": 5, "vary": ["flow=2:1"]}, "--vary flow=2:1: the first number must be lower than the second"),
        ({"latin": 5, "vary": ["flow=1:1"]}, "the first number must be lower than the second"),
        ({"latin": 5, "vary": ["flow=1:few"]}, "a range is LOW:HIGH, two numbers"),
        ({"latin": 5, "vary": ["mode=1:2", "flow=x"]}, "--vary flow=x: 'x' is not a number"),
        ({"latin": 2, "vary": ["mode=fill,empty,rest"]}, "3 values do not all occur in 2 points of --latin"),
        ({"latin": 10_000_001, "vary": ["flow=1:2"]}, "give --latin fewer points, or give sweep --yes"),
    ],
)
def test_a_latin_sweep_that_makes_no_sense_is_refused(own_book, options, words):
    with pytest.raises(FileRefused) as refused:
        sweep(own_book, "r.csv", outputs=["seconds"], **options)
    assert words in str(refused.value) and not Path("r.csv").exists()


def test_a_latin_range_holds_only_what_its_input_may_be(filled):
    book = read_book(filled)
    for text, words in {
        "nozzle=-1:8": "-1 mm is not allowed",
        "nozzle=3:800": "800 mm is not allowed",
        "nozzle [in]=0.1:30": "30 in: 762 mm is not allowed",
        "jets=1:4": "not all between these is allowed; give the values as 1,2,3",
        "pole_pairs=5:7": "not all between these is allowed; give the values as 1,2,3",
        "cable_area [AWG]=6:10": "there is no wire between two gauges",
    }.items():
        with pytest.raises(FileRefused) as refused:
            scenarios_module.Scenarios(book, None, [text], latin=Latin(5, 1))
        assert words in str(refused.value)
    values, _ = scenarios_module.Scenarios(book, None, ["nozzle [in]=0.1:0.5"], latin=Latin(5, 1)).part(0, 5)
    ((target, inches),) = values.items()
    assert sorted(int((inch - 0.1) / 0.4 * 5) for inch in inches) == [0, 1, 2, 3, 4]
    assert target.in_cell(inches) == pytest.approx(25.4 * inches, rel=1e-12)


def test_the_best_rows_that_are_told_meet_the_conditions_too(filled):
    """What must be stopped is no best row."""
    told = {}
    for name, more in {"all": (), "some": ("--where", "nozzle<=6")}.items():
        done = run(
            "sweep", filled, "--vary", "nozzle=4,5,6,7,8,9", "--outputs", "plant_watts", *more, "--out", f"{name}.csv"
        )
        assert done.exit_code == 0, done.output
        told[name] = [float(line.rpartition("=")[2]) for line in done.output.splitlines() if " W  nozzle" in line]
    assert len(told["all"]) == len(told["some"]) == 3 and max(told["all"]) > 6
    assert sorted(told["some"]) == [4, 5, 6]


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"where": ["second<1"]}, "--where second<1: the table has no column second; did you mean seconds?"),
        ({"where": ["seconds"]}, "--where seconds: write NAME<=NUMBER"),
        ({"where": ["seconds<few"]}, "few is not a number"),
        ({"keep": 3}, "no watts; say with --by"),
        ({"by": "seconds"}, "say with --best how many"),
        ({"keep": 3, "by": "hours"}, "--by: the table has no column hours"),
        ({"of_each": True, "by": "seconds"}, "say with --best how many"),
    ],
)
def test_a_choice_of_rows_that_means_nothing_is_refused_at_once(long_sweep, options, words):
    with pytest.raises(FileRefused) as refused:
        long_sweep("r.csv", 0, **options)
    assert words in str(refused.value)


def _stopped(recipe):
    """Of a process that the system ends."""
    return lambda number: os._exit(9) if number == recipe else number


def test_a_process_that_is_stopped_from_outside_is_said_and_nothing_waits():
    assert list(in_order(_stopped, 9, [(number,) for number in range(7)], 2)) == list(range(7))
    with pytest.raises(FileRefused, match="was stopped from outside"):
        list(in_order(_stopped, 3, [(number,) for number in range(7)], 2))


_BEGUN = """
import os, signal, time
from pathlib import Path
from hydrofunc.jobs.cores import in_order
from hydrofunc.workbook.files import new_file

def begin(folder):
    Path(folder, "begun", str(os.getpid())).touch()
    return write

def write(name):
    with new_file(name) as stream:
        stream.write(b"half")
        time.sleep(600)

if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.default_int_handler)  # what a shell starts in the background ignores Ctrl+C
    list(in_order(begin, {folder!r}, [(name,) for name in "abcd"], 2))
"""


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="looks for processes in /proc")
@pytest.mark.parametrize("ending", [signal.SIGKILL, signal.SIGINT, signal.SIGTERM])
def test_processes_do_not_outlive_the_one_that_asked(here, ending):
    """Not even where it is killed; and no half of a file is left."""
    folder = here / "begun"
    folder.mkdir()
    (here / "asks.py").write_text(_BEGUN.replace("{folder!r}", repr(str(here))))
    asking = subprocess.Popen([sys.executable, "asks.py"], cwd=here, stderr=subprocess.DEVNULL)
    wait_for(lambda: len(list(here.glob(".?.*.part"))) == 2)
    asking.send_signal(ending)
    asking.wait(60)
    wait_for(lambda: not any(Path("/proc", path.name).exists() for path in folder.iterdir()))
    assert sorted(path.name for path in here.iterdir()) == ["asks.py", "begun"]


def wait_for(happened, seconds=60):
    until = time.monotonic() + seconds
    while not happened():
        assert time.monotonic() < until
        time.sleep(0.05)


def test_the_template_is_swept_by_name_with_all_results(filled, lists):
    done = run(
        "sweep",
        filled,
        lists("nozzle,connection,battery_volts\n6,star,13\n600,star,13\n8,Delta,26\n8,ring,26\n"),
        "--out",
        "r.csv",
    )
    assert done.exit_code == 1, done.output
    rows = by_name(rows_of("r.csv"))
    assert {item.name for item in RESULTS} <= set(rows[0])
    assert [bool(row["plant_watts"]) for row in rows] == [True, False, True, False]
    assert rows[1]["error"] == "nozzle: 600 mm is not allowed; it must be above 0 to 500 mm, or empty"
    assert rows[3]["error"].startswith("connection: 'ring' is not allowed; it must be one of star, delta")
    for row in (rows[0], rows[2]):
        book = openpyxl.load_workbook(filled)
        for name in ("nozzle", "connection", "battery_volts"):
            sheet, cell = next(book.defined_names[f"yours_{name}"].destinations)
            book[sheet][cell] = row[name] if name == "connection" else float(row[name])
        book.save("edited.xlsx")
        recalc("edited.xlsx", "edited-again.xlsx", force=True)
        for item in RESULTS:
            assert float(row[item.name]) == pytest.approx(stored("edited-again.xlsx", item.name), rel=1e-12, abs=1e-12)


def test_default_outputs_are_the_single_cells_named_on_the_results_sheet(filled):
    sweep(filled, "r.csv", vary=["nozzle=7"])
    book = read_book(filled)
    single = {
        name for name, target in book.names.items() if getattr(target, "sheet", "") == RESULTS_SHEET and target.single
    }
    heads = rows_of("r.csv")[0]
    assert set(by_name([heads])[0]) == single | {"nozzle", "error"}
    assert {"nozzle [mm]", "plant_watts [W]", "plant_speed_ratio", "ledger_cups [W]"} < set(heads)


def test_results_are_not_overwritten_unasked_and_unknown_endings_are_refused(own_book, here):
    (here / "r.csv").write_text("mine")
    assert run("sweep", own_book, "--vary", "flow=1", "--outputs", "seconds", "--out", "r.csv").exit_code == 1
    assert (here / "r.csv").read_text() == "mine"
    assert (
        "can be written as"
        in run("sweep", own_book, "--vary", "flow=1", "--outputs", "seconds", "--out", "r.ods").stderr
    )
    assert (
        run("sweep", own_book, "--vary", "flow=1", "--outputs", "seconds", "--out", "r.csv", "--force").exit_code == 0
    )


def test_a_formula_the_engine_refuses_stops_the_sweep_with_its_cell(own_book):
    book = openpyxl.load_workbook(own_book)
    book.active["C1"] = "=NO_SUCH_FUNCTION(B1)"
    book.save(own_book)
    with pytest.raises(FormulaRefused, match="Tank!C1"):
        sweep(own_book, "r.csv", vary=["flow=1"], outputs=["Tank!C6"])


# -- template ----------------------------------------------------------------------------------------------


def test_the_template_is_written_with_values_beside_its_formulas(here):
    done = run("template", "t.xlsx")
    assert (done.exit_code, done.stdout) == (0, "t.xlsx\n")
    assert stored("t.xlsx", "plant_watts") in (None, "") and stored("t.xlsx", "missing").startswith("Give ")
    assert stored("t.xlsx", "gravity") == pytest.approx(9.8, abs=0.05)
    assert run("template", "t.xlsx").exit_code == 1
    assert run("template", "t.xlsx", "--force").exit_code == 0


def test_the_template_comes_in_the_units_asked_for_and_with_the_example_if_asked(here):
    """The invented example in US units is the same plant: its watts to 1e-12."""
    for units in ("metric", "us"):
        assert run("template", f"{units}.xlsx", "--units", units, "--example").exit_code == 0
    assert (stored("metric.xlsx", "units"), stored("us.xlsx", "units")) == ("metric", "us")
    assert stored("us.xlsx", "plant_watts") == pytest.approx(stored("metric.xlsx", "plant_watts"), rel=1e-12)
    assert stored("us.xlsx", "yours_pipe_length") == pytest.approx(
        stored("metric.xlsx", "pipe_length") / 0.3048, rel=1e-14
    )
    assert stored("metric.xlsx", "plant_watts") > 0
    assert run("template", "x.xlsx", "--units", "cubits").exit_code == 2
