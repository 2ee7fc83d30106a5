"""What people write into lists: units in the heads, wire gauges, days, names that are none."""

import csv
import datetime
import json
import re
import sys

import numpy as np
import openpyxl
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from click.testing import CliRunner

import hydrofunc
from hydrofunc.cli import main
from hydrofunc.errors import FileRefused
from hydrofunc.jobs.enter import READINGS, enter, write_blank
from hydrofunc.jobs.fill import fill
from hydrofunc.jobs.hints import MEANINGS, meant, suggestion
from hydrofunc.jobs.inputs import column_of, find_input, read_inputs, split_head, unit_of, unit_of_cell
from hydrofunc.jobs.sweep import sweep
from hydrofunc.template import INPUTS
from hydrofunc.units import CHOICES
from hydrofunc.workbook.lists import Numbers, day_of
from hydrofunc.workbook.reading import read_book
from tests import books
from tests.jobs.site import SITE, rows_of


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    path = tmp_path_factory.mktemp("book") / "site.xlsx"
    path.write_bytes(books.calculated_with())
    return path


@pytest.fixture
def listed(tmp_path):
    def write(*rows, name="list.csv", delimiter=","):
        with open(tmp_path / name, "w", encoding="utf-8", newline="") as stream:
            csv.writer(stream, delimiter=delimiter).writerows(rows)
        return tmp_path / name

    return write


def cell(path, name):
    values = books.values_of(path)
    sheet, place = next(values.defined_names[name].destinations)
    return values[sheet][place].value


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


# The same site as somebody in the United States writes it. Feet, inches and gallons are exact by definition (see
# tests/test_units.py); 6 mm² is no whole gauge, so the wire is the next that is whole.
US_SITE = {
    "site_name": "Invented Spring",
    "level_difference [ft]": 60 / 0.3048,
    "known_flow [US gpm]": 1.2 * 60 / 3.785411784,
    "Pipe Length [FT]": 400 / 0.3048,
    "pipe_bore[in]": 32.6 / 25.4,
    "nozzle (in)": 7 / 25.4,
    "pitch_diameter, in": 180 / 25.4,
    "test_volts [V]": 30,
    "test_speed [rpm]": 1000,
    "terminal_resistance [ohm]": 0.9,
    "pole_pairs": 7,
    "cable_length [feet]": 30 / 0.3048,
    "cable_area [mm2]": 6,
    "battery_volts": 26.5,
}


# -- units in the heads ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("head", "name", "unit"),
    [
        ("static_pressure [psi]", "static_pressure", "psi"),
        ("static_pressure[PSI]", "static_pressure", "psi"),
        ("STATIC_PRESSURE [ Psi ]", "static_pressure", "psi"),
        ("Static pressure (psi)", "static_pressure", "psi"),
        ("static_pressure, psi", "static_pressure", "psi"),
        ("static_pressure", "static_pressure", "bar"),
        ("cable_area [AWG]", "cable_area", "AWG"),
        ("water_temperature [deg F]", "water_temperature", "°F"),
        ("connection", "connection", "text"),
    ],
)
def test_a_head_gives_the_unit_of_its_column(head, name, unit):
    item = find_input(head)
    assert (item.name, unit_of(head, item)) == (name, unit)


def test_an_address_may_hold_any_sign_before_its_unit():
    assert split_head("'Pipe (old), left'!C7 [m]") == ("'Pipe (old), left'!C7", "m")


@pytest.mark.parametrize(
    ("head", "fitting"),
    [
        ("static_pressure [m]", "give bar, psi or kPa"),
        ("nozzle [bar]", "give mm or in"),
        ("known_flow [gpm]", "give L/s, L/min or US gpm"),  # which gallon? one is 20 % larger
        ("battery_volts [mV]", "give V"),
        ("jets [mm]", "it has no unit"),
        ("connection [V]", "it has no unit"),
    ],
)
def test_a_unit_that_does_not_fit_is_refused_with_the_head_and_what_fits(head, fitting, listed, tmp_path, book):
    item = find_input(head)
    with pytest.raises(FileRefused, match=fitting) as refused:
        unit_of(head, item)
    assert item.name in str(refused.value) and head[head.index("[") :] in str(refused.value)
    sites = listed([*SITE, head], [*SITE.values(), 1])
    for job in (
        lambda: fill(sites, tmp_path / "out"),
        lambda: sweep(book, tmp_path / "r.csv", listed([head], [1])),
        lambda: enter(book, tmp_path / "o.xlsx", listed([head], [1])),
    ):
        with pytest.raises(FileRefused, match=fitting):
            job()
    assert [path.name for path in tmp_path.iterdir()] == ["list.csv"]


def test_a_site_in_other_units_is_the_same_site(listed, tmp_path):
    """To 1e-12 of the watts; the summary and the workbook are in the units of the template."""
    metric = fill(listed(list(SITE), list(SITE.values())), tmp_path / "metric")
    other = fill(
        listed(list(US_SITE), [repr(value) if type(value) is float else value for value in US_SITE.values()]),
        tmp_path / "us",
    )
    assert (metric.problems, other.problems) == ([], [])
    assert other.results["plant_watts"] == pytest.approx(metric.results["plant_watts"], rel=1e-12)
    assert cell(other.workbooks[0], "pipe_bore") == pytest.approx(32.6, rel=1e-14)


def test_wire_gauges_are_read_as_people_write_them(listed, tmp_path):
    """4/0 and 0000 are one size, 107.2 mm² (ASTM B258: 0.46 in across); a plain 0 is 53.5 mm²."""
    sites = {name: value for name, value in SITE.items() if name != "cable_area"}
    gauges = ["4/0", "0000", "0", "10", "0.5 in", "99"]
    rows = [[*sites.values(), gauge] for gauge in gauges]
    done = fill(listed([*sites, "cable_area [AWG]"], *rows), tmp_path / "out")
    areas = [cell(path, "cable_area") for path in done.workbooks]
    assert areas == pytest.approx([np.pi / 4 * (0.46 * 25.4) ** 2] * 2 + [hydrofunc.awg_area(n) for n in (0, 10)])
    assert [(problem.row, problem.column) for problem in done.problems] == [
        (6, "cable_area [AWG]"),
        (7, "cable_area [AWG]"),
    ]
    assert "no wire gauge" in done.problems[0].reason


def test_a_value_out_of_range_is_named_in_the_unit_of_its_writer_and_in_that_of_the_range(listed, tmp_path):
    row = SITE | {"nozzle [in]": 30}
    del row["nozzle"]
    problem = fill(listed(list(row), list(row.values())), tmp_path / "out").problems[0]
    assert (problem.row, problem.column) == (2, "nozzle [in]")
    assert (
        problem.reason == "30 in: 762 mm is not allowed; it must be above 0 to 500 mm, or empty (above 0 to 19.69 in)"
    )


def test_a_sweep_varies_in_the_unit_of_the_head_and_says_so(book, listed, tmp_path):
    """The table shows what was varied as it was written; a blank cell is the workbook's own value."""
    sweep(book, tmp_path / "in.csv", listed(["nozzle [in]", "jets"], ["0.25", 1], ["", 1]), outputs=["flow"])
    sweep(book, tmp_path / "mm.csv", vary=["nozzle=6.35,7"], outputs=["flow"])
    sweep(book, tmp_path / "vary.csv", vary=["nozzle [in]=0.25:0.25:1"], outputs=["flow"])
    inches, millimetres, varied = (rows_of(tmp_path / name) for name in ("in.csv", "mm.csv", "vary.csv"))
    assert list(inches[0]) == ["nozzle [in]", "jets", "flow [L/s]", "error"]
    assert list(millimetres[0]) == ["nozzle [mm]", "flow [L/s]", "error"]
    for other in (inches, varied):
        assert float(other[0]["flow [L/s]"]) == pytest.approx(float(millimetres[0]["flow [L/s]"]), rel=1e-14)
    own = cell(book, "nozzle")
    assert [float(row["nozzle [in]"]) for row in inches] == pytest.approx([0.25, own / 25.4], rel=1e-14)
    assert float(inches[1]["flow [L/s]"]) == pytest.approx(cell(book, "flow"), rel=1e-12)


def test_a_sweep_takes_wire_gauges_and_days(book, listed, tmp_path):
    sweep(book, tmp_path / "r.csv", listed(["cable_area [AWG]"], ["4/0"], ["10"]), outputs=["cable_resistance"])
    sweep(book, tmp_path / "s.csv", vary=["cable_area [AWG]=4/0,10"], outputs=["cable_resistance"])
    sweep(book, tmp_path / "d.csv", vary=["day_today=20.8.2026"], outputs=["day_today"])
    first, second = (rows_of(tmp_path / name) for name in ("r.csv", "s.csv"))
    ratio = float(first[1]["cable_resistance [Ω]"]) / float(first[0]["cable_resistance [Ω]"])
    assert ratio == pytest.approx(92 ** (2 * 13 / 39), rel=1e-9)  # 13 gauges apart, ASTM B258
    assert [row["cable_resistance [Ω]"] for row in first] == [row["cable_resistance [Ω]"] for row in second]


def test_a_list_without_units_is_in_the_units_that_the_workbook_shows(tmp_path, listed):
    """A workbook whose unit cell says psi holds psi; a list in bar is converted for it, one without a unit is not."""
    path = tmp_path / "own.xlsx"
    path.write_bytes(books.calculated_with())
    content = openpyxl.load_workbook(path)
    item = next(item for item in INPUTS if item.name == "static_pressure")
    content[item.sheet][item.cell].offset(0, 1).value = "psi"
    content.save(path)
    assert unit_of_cell(read_book(path), (item.sheet, item.cell), item) == "psi"
    plain = enter(path, tmp_path / "plain.xlsx", listed(["static_pressure"], ["75"]))
    in_bar = enter(path, tmp_path / "bar.xlsx", listed(["static_pressure [bar]"], ["5"]))
    assert cell(plain.path, "yours_static_pressure") == 75
    assert cell(plain.path, "static_pressure") == pytest.approx(5.171068, abs=5e-7)  # what counts, 75 x 6.894757 kPa
    assert cell(in_bar.path, "yours_static_pressure") == pytest.approx(72.51887, abs=5e-6)
    assert cell(in_bar.path, "static_pressure") == pytest.approx(5, rel=1e-14)
    content[item.sheet][item.cell].offset(0, 1).value = '=IF(1=1,"kPa","psi")'
    content.save(path)
    assert unit_of_cell(read_book(path), (item.sheet, item.cell), item) == "kPa"


@pytest.mark.parametrize("item", [item for item in INPUTS if item.unit in CHOICES], ids=lambda item: item.name)
def test_every_input_reads_every_unit_that_fits_it(item):
    for unit in CHOICES[item.unit]:
        column = column_of(
            item, unit_of(f"{item.name} [{unit}]", item), ["1"] if unit == "AWG" else Numbers(np.array([1.0]))
        )
        assert np.isfinite(column.values.values).all()


# -- days --------------------------------------------------------------------------------------------------

AUGUST = datetime.date(2026, 8, 20)


@pytest.mark.parametrize(
    "text",
    [
        "2026-08-20", "2026/8/20", "2026.08.20", "20260820", "20.8.2026", "20.08.2026", "20. 8. 2026", "20/8/2026",
        "8/20/2026", "20-8-2026", "20 Aug 2026", "20 August 2026", "Aug 20, 2026", "August 20th, 2026", "20-Aug-2026",
        "20. August 2026", "20th of august 2026", " 2026 AUG 20 ",
    ],
)  # fmt: skip
def test_days_are_read_as_people_write_them(text):
    assert day_of(text) == AUGUST


def test_dots_put_the_day_first_and_the_same_number_twice_is_one_day():
    assert day_of("8.9.2026") == datetime.date(2026, 9, 8)
    assert day_of("08/08/2026") == datetime.date(2026, 8, 8)
    assert day_of("8 Sept 2026") == datetime.date(2026, 9, 8)


@pytest.mark.parametrize("text", ["08/09/2026", "8/9/2026", "9-8-2026"])
def test_a_day_that_may_be_two_is_refused_with_both_and_with_clear_forms(text):
    with pytest.raises(ValueError, match=r"8 September|9 August") as refused:
        day_of(text)
    assert "2026-09-08, 8.9.2026, 8 Sep 2026 or Sep 8, 2026" in str(refused.value)


@pytest.mark.parametrize(
    "text",
    ["last May", "20.8.26", "31.2.2026", "2026-02-30", "8.20.2026", "20 A 2026", "Ju 3 2026", "Aug 2026", "2026820",
     "2026-08-20 10:00", "46254", ""],
)  # fmt: skip
def test_what_is_no_day_is_refused_with_the_forms_that_are(text):
    with pytest.raises(ValueError, match=re.escape("2026-08-20, 20.8.2026, 20/8/2026, 20 Aug 2026 or Aug 20, 2026")):
        day_of(text)


def test_days_reach_the_workbook_from_every_list(book, listed, tmp_path):
    readings = listed(
        ["service_done_gauge", "day_today", "service_done_guard"], ["20.8.2026", "Sep 1, 2026", "08/09/2026"]
    )
    log = listed(["date", "gauge"], ["20/8/2026", "3.8"], ["21 Aug 2026", "3.7"], ["1/2/2026", "3.6"], name="log.csv")
    done = enter(book, tmp_path / "out.xlsx", readings, log)
    assert cell(done.path, "service_done_gauge").date() == AUGUST
    assert cell(done.path, "day_today").date() == datetime.date(2026, 9, 1)
    assert (done.inputs, done.entries) == (2, 2)
    said = [str(problem) for problem in done.problems]
    assert len(said) == 2 and all("may be" in line and "2026-09-08" in line for line in said)
    assert said[1].startswith("row 4, column date")


def test_the_log_reads_units_too(book, listed, tmp_path):
    """Before, gauge [psi] was read as bar."""
    done = enter(book, tmp_path / "psi.xlsx", log=listed(["date", "gauge [psi]"], ["20.8.2026", "55"]))
    sheet = books.values_of(done.path)["Log"]
    entries = [cell.value for row in sheet.iter_rows() for cell in row if isinstance(cell.value, float)]
    assert any(value == pytest.approx(3.79212, abs=5e-6) for value in entries)  # 55 psi x 0.06894757 bar
    with pytest.raises(FileRefused, match="give bar, psi or kPa"):
        enter(book, tmp_path / "m.xlsx", log=listed(["date", "gauge [m]"], ["20.8.2026", "38"]))


# -- names -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "names"),
    [
        # the mistakes of a person who tried it (both used to point to the Log or to the year's running share)
        ("gauge", {"static_pressure", "reading_static", "reading_running"}),
        ("running", {"reading_running", "reading_speed", "reading_volts", "reading_amps"}),
        ("running gauge", {"reading_running"}),
        ("gauge_running", {"reading_running"}),
        ("static gauge", {"static_pressure", "reading_static"}),
        ("Volts", {"reading_volts", "battery_volts", "test_volts"}),
        ("battery volts", {"battery_volts"}),
        ("amps", {"reading_amps", "current_limit"}),
        ("bucket", {"bucket_volume", "bucket_seconds", "reading_seconds"}),
        ("bore", {"pipe_bore"}),
        ("length", {"pipe_length", "cable_length"}),
        ("head", {"level_difference", "static_pressure"}),
        ("nozle", {"nozzle"}),
        ("reading_sped", {"reading_speed"}),
        ("drag of seals", {"bearing_drag", "iron_drag"}),
        ("name", {"site_name"}),
        ("tree on the pipe", {"break_along_2", "break_below_2", "pipe_length", "pipe_bore"}),
        ("making", {"wheel_made", "nozzle_made"}),
        ("seals", {"bearing_drag"}),  # no limit, which nobody types
        ("xyzzy", set()),
    ],
)
def test_an_unknown_name_is_answered_by_its_meaning(written, names):
    assert set(meant(written)) == names


def test_no_word_means_something_of_the_log_or_of_a_share_of_the_year():
    items = {item.name: item for item in INPUTS}
    for word, names in MEANINGS.items():
        assert all(items[name].sheet not in ("Log", "Doubt", "Efficiency", "Parts") for name in names), word


def test_a_suggestion_shows_labels_and_keeps_to_the_names_of_the_workbook():
    assert suggestion("gauge") == (
        "; did you mean static_pressure (Static pressure on the gauge), reading_static (Gauge, valve shut, no bubbles) "
        "or reading_running (Valve opened slowly: gauge, running)?"
    )
    assert suggestion("flwo", ["flow", "volume"]) == "; did you mean flow?"
    assert suggestion("gauge", ["flow", "volume"]) == ""


@pytest.mark.parametrize("job", ["enter", "fill", "sweep"])
def test_the_commands_say_it(job, book, listed, tmp_path):
    rows = {
        "enter": (["gauge", "reading_amps"], ["5", "7"]),
        "fill": ([*SITE, "gauge"], [*SITE.values(), "5"]),
        "sweep": (["gauge"], ["5"]),
    }
    path = listed(*rows[job])
    words = {
        "enter": ["enter", book, "--readings", path, "--out", tmp_path / "o.xlsx"],
        "fill": ["fill", path, "--out", tmp_path / "sites"],
        "sweep": ["sweep", book, path, "--out", tmp_path / "r.csv"],
    }
    done = run(*words[job])
    assert done.exit_code == 1
    assert "reading_running" in done.stderr and "well_gauge" not in done.stderr


# -- lists to take along -----------------------------------------------------------------------------------


def test_a_blank_list_goes_out_and_comes_back_filled(book, tmp_path):
    blank = tmp_path / "take-along.csv"
    assert run("enter", "--blank", blank).stdout.strip() == str(blank)
    rows = rows_of(blank)
    assert [row["name"] for row in rows] == [item.name for item in READINGS]
    assert {item.sheet for item in READINGS} == {"Test day"}
    assert all(row["unit"] and row["label"] and not row["value"] for row in rows)
    assert {row["name"]: row["label"] for row in rows}["reading_screen"].endswith("(yes or no)")
    written = {"reading_static": ("psi", "90"), "reading_nozzle": ("mm", "7.6"), "reading_seconds": ("", "16")}
    written["reading_screen"] = ("text", "no")  # as the list itself has it
    for row in rows:
        row["unit"], row["value"] = written.get(row["name"], (row["unit"], ""))
    with open(blank, "w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    done = enter(book, tmp_path / "out.xlsx", blank)
    assert (done.inputs, done.problems) == (4, [])
    assert cell(done.path, "reading_screen") == "no"
    assert cell(done.path, "reading_static") == pytest.approx(6.205282, abs=5e-7)  # 90 psi x 6.894757 kPa
    assert (cell(done.path, "reading_nozzle"), cell(done.path, "reading_seconds")) == (7.6, 16)


def test_a_blank_list_is_a_table_that_a_spreadsheet_opens_and_is_not_overwritten(tmp_path):
    write_blank(tmp_path / "list.xlsx")
    assert openpyxl.load_workbook(tmp_path / "list.xlsx").active["A2"].value == "reading_static"
    with pytest.raises(FileRefused, match="exists"):
        write_blank(tmp_path / "list.xlsx")
    with pytest.raises(FileRefused, match=r"csv or \.xlsx"):
        write_blank(tmp_path / "list.txt")


def test_a_list_by_lines_reports_each_line_and_takes_a_decimal_comma(book, listed, tmp_path):
    rows = [
        ["Name", "Unit", "Value"],
        ["reading_static", "psi", "89,5"],
        ["gauge", "bar", "3"],
        ["reading_running", "m", "30"],
        ["reading_amps", "A", "many"],
        ["reading_static", "bar", "6"],
        ["day_today", "", "20.8.2026"],
        ["connection", "", "Delta"],
        ["reading_volts", "V", ""],
    ]
    done = enter(book, tmp_path / "out.xlsx", listed(*rows, delimiter=";"))
    assert [problem.row for problem in done.problems] == [3, 4, 5, 6]
    assert "give bar, psi or kPa" in done.problems[1].reason and "already" in done.problems[3].reason
    assert cell(done.path, "reading_static") == pytest.approx(89.5 * 0.06894757, rel=1e-6)
    assert cell(done.path, "connection") == "delta" and cell(done.path, "day_today").date() == AUGUST


def test_a_decimal_comma_between_commas_counts_and_makes_a_point_unclear(book, listed, tmp_path):
    """Who writes "62,5" may mean 1400 by 1.400: a pipe of 1.4 m is not entered without a word."""
    rows = [["name", "unit", "value"], ["level_difference", "m", "62,5"], ["pipe_length", "m", "1.400"]]
    done = enter(book, tmp_path / "out.xlsx", listed(*rows))
    assert cell(done.path, "level_difference") == 62.5
    assert [str(problem) for problem in done.problems] == [
        "row 3, pipe_length [m]: '1.400' may be 1400 or 1.4; write one of these"
    ]


def test_a_list_of_sites_with_both_kinds_of_comma_names_the_number(listed):
    sites = listed(["level_difference", "pipe_length"], ["62,5", "1.400"])
    with pytest.raises(FileRefused, match="decimal commas, such as '62,5'"):
        read_inputs(sites)


def test_a_comma_that_may_be_of_decimals_makes_points_unclear_unless_another_number_shows_what_they_are(listed):
    """Who writes "1,400" for 1.4 writes 40.223 for 40223; who writes 0.5 or 62.5125 does not. Found by the attack, seed
    51/261/19."""
    heads = ["level_difference", "pipe_length"]
    with pytest.raises(FileRefused, match="has '1,400' in a cell, whose comma may divide decimals"):
        read_inputs(listed(heads, ["40.223", "1,400"]))
    for clear in ("40", "0.5", "62.5125", "1200.5"):
        found = read_inputs(listed(heads, [clear, "1,400"], ["50", "1400"]))
        assert found.columns["pipe_length"].odd == {0: "1,400"}


def test_a_list_with_a_line_for_each_input_is_told_by_row_and_name(book, listed, tmp_path):
    """No column has that name; the head of a row of values is a column."""
    lines = listed(["name", "unit", "value"], ["head", "m", 45], ["pipe_length", "m", 380])
    done = enter(book, tmp_path / "lines.xlsx", lines)
    assert str(done.problems[0]).startswith("row 2, head [m]: the template has no such input")
    row = listed(["head", "pipe_length"], [45, 380])
    done = enter(book, tmp_path / "row.xlsx", row)
    assert str(done.problems[0]).startswith("row 2, column head: the template has no such input")


@pytest.mark.parametrize("rows", [[["reading_amps", ""]], [["reading_amps", "-1"], ["reading_volts", "low"]]])
def test_no_copy_is_written_where_nothing_was_entered(book, listed, tmp_path, rows):
    readings = listed(["name", "value"], *rows)
    done = run("enter", book, "--readings", readings, "--out", tmp_path / "o.xlsx")
    assert done.exit_code == 1
    assert "nothing to enter" in done.stderr and not (tmp_path / "o.xlsx").exists()
    assert done.stderr.count("must be") == len(rows) - (rows[0][1] == "")


# -- the list of inputs ------------------------------------------------------------------------------------


def test_every_input_is_listed_with_all_that_a_list_maker_needs():
    records = json.loads(run("inputs", "--json").stdout)
    assert [record["name"] for record in records] == [item.name for item in INPUTS]
    by_name = {record["name"]: record for record in records}
    assert by_name["static_pressure"]["units"] == ["bar", "psi", "kPa"]
    assert by_name["reading_static"]["units"] == ["bar"], "its cell has no unit to choose"
    assert by_name["pipe_length"]["needed"] and by_name["pipe_length"]["how"]
    assert by_name["static_pressure"]["instead"] == ["level_difference"]
    assert (by_name["latitude"]["empty"], by_name["latitude"]["counts"]) == ("assumed", 45)
    assert by_name["nozzle"]["empty"] == "proposed" and by_name["nozzle"]["counts"] is None
    assert all(record["empty"] and record["allowed"] and record["label"] for record in records)
    rows = list(csv.DictReader(run("inputs", "--csv").stdout.splitlines()))
    assert [row["name"] for row in rows] == list(by_name)
    assert rows[list(by_name).index("static_pressure")]["units"] == "bar psi kPa"


def test_one_input_is_explained_and_an_unknown_one_is_answered_by_meaning():
    shown = run("inputs", "latitude").stdout
    item = next(item for item in INPUTS if item.name == "latitude")
    for part in (f"{item.sheet}\n", item.cell, "[°]", "assumed: 45 °", item.allowed, item.assumed.why, item.measure):
        assert part in shown
    assert "needed, or else level_difference" in run("inputs", "static_pressure").stdout
    assert "proposed: worked out" in run("inputs", "nozzle").stdout
    by_meaning = run("inputs", "gauge").stdout
    assert all(f" {name} " in by_meaning for name in ("static_pressure", "reading_running", "gauge_class"))
    by_label, mistyped = run("inputs", "length", "cable").stdout, run("inputs", "length", "cabel").stdout
    assert " cable_length " in by_label and " pipe_length " not in by_label and " cable_length " in mistyped
    refused = run("inputs", "xyzzy")
    assert refused.exit_code == 1 and "no input 'xyzzy'" in refused.stderr
    listed = run("inputs").stdout
    assert all(item.name in listed for item in INPUTS)


def test_sites_of_either_system_stand_in_one_list_whose_heads_say_the_units(listed, tmp_path):
    """A site in the US system has feet in its cells and the same watts to 1e-12. Heads without unit are refused."""
    heads = [
        "site_name",
        "units",
        "level_difference [m]",
        "pipe_length [ft]",
        "pipe_bore [in]",
        "test_volts",
        "nozzle [mm]",
    ]
    values = ["60", repr(400 / 0.3048), repr(32.6 / 25.4), "30", "7"]
    done = fill(listed(heads, ["Metric", "metric", *values], ["US", "us", *values]), tmp_path / "out")
    assert done.problems == []
    metric, us = done.workbooks
    assert done.results["plant_watts"][1] == pytest.approx(done.results["plant_watts"][0], rel=1e-12)
    assert cell(us, "yours_level_difference") == pytest.approx(60 / 0.3048, rel=1e-14)
    assert cell(metric, "yours_level_difference") == 60
    assert cell(us, "level_difference") == pytest.approx(60, rel=1e-14)
    with pytest.raises(FileRefused, match="give the unit in the heads: pipe_length"):
        fill(listed(["units", "level_difference [m]", "pipe_length"], ["us", "60", "400"]), tmp_path / "other")


def test_three_numbers_are_a_site_and_what_is_missing_is_named(listed, tmp_path):
    sites = listed(
        ["level_difference", "pipe_length", "pipe_bore"], ["60", "400", "32.6"], ["60", "", "32.6"], ["", "400", "32"]
    )
    done = fill(sites, tmp_path / "out")
    assert [path.name for path in done.workbooks] == ["site.xlsx"]
    assert done.results["plant_watts"][0] > 0
    said = [str(problem) for problem in done.problems]
    assert said[0].startswith("row 3, column pipe_length: is missing")
    assert said[1] == "row 4: one of static_pressure, level_difference must be given"


def test_blank_goes_alone_and_enter_needs_a_workbook(tmp_path, book):
    assert run("enter", "--readings", "r.csv", "--out", "o.xlsx").exit_code == 2
    assert run("enter", book, "--blank", tmp_path / "b.csv").exit_code == 2
    assert run("inputs", "--csv", "--json").exit_code == 2


# -- Parquet ----------------------------------------------------------------------------------------------


def parquet(path, **columns):
    pq.write_table(pa.table(columns), path)
    return path


def test_a_list_in_parquet_is_the_list_in_csv(book, listed, tmp_path):
    """Numbers of any kind, words, nulls; rows are counted as in a sheet, what is not allowed is said with its row."""
    typed = parquet(
        tmp_path / "list.parquet",
        **{
            "nozzle [mm]": pa.array([6.5, float("nan"), 700.0, 7.0], pa.float32()),
            "jets": pa.array([1, 2, None, 1], pa.int16()),
            "connection": pa.array(["star", None, "delta", "Delta"]),
        },
    )
    rows = [["6.5", "1", "star"], ["", "2", ""], ["700", "", "delta"], ["7", "1", "Delta"]]
    written = listed(["nozzle [mm]", "jets", "connection"], *rows)
    found = [sweep(book, tmp_path / f"{path.suffix[1:]}.csv", path, outputs=["flow"]) for path in (typed, written)]
    assert found[0] == found[1] and found[0].at_fault == 1 and found[0].problems[0].row == 4
    assert (tmp_path / "parquet.csv").read_bytes() == (tmp_path / "csv.csv").read_bytes()


def test_rows_of_a_long_parquet_list_keep_their_numbers(tmp_path):
    sizes = np.full(2_500, 6.0)
    sizes[[0, 999, 1_000, 2_001, 2_499]] = -1.0
    table = read_inputs(parquet(tmp_path / "long.parquet", nozzle=sizes))
    assert table.rows.tolist() == list(range(2, 2_502))
    assert table.rows[table.columns["nozzle"].values < 0].tolist() == [2, 1001, 1002, 2003, 2501]


def test_days_in_parquet_are_days(book, tmp_path):
    days = parquet(tmp_path / "days.parquet", day_today=pa.array([datetime.date(2026, 8, 20)]))
    sweep(book, tmp_path / "d.csv", days, outputs=["day_today"])
    sweep(book, tmp_path / "e.csv", vary=["day_today=20.8.2026"], outputs=["day_today"])
    assert rows_of(tmp_path / "d.csv") == rows_of(tmp_path / "e.csv")


@pytest.mark.parametrize("content", [b"", b"PAR1", b"nozzle\n6\n", b"PAR1" + bytes(100) + b"PAR1"])
def test_what_is_no_parquet_file_is_said(book, tmp_path, content):
    (tmp_path / "list.parquet").write_bytes(content)
    with pytest.raises(FileRefused, match="not a Parquet file that can be read"):
        sweep(book, tmp_path / "r.csv", tmp_path / "list.parquet", outputs=["flow"])


def test_a_column_of_lists_is_no_column_of_numbers(book, tmp_path):
    odd = parquet(tmp_path / "list.parquet", nozzle=pa.array([[6.0], [7.0]]))
    swept = sweep(book, tmp_path / "r.csv", odd, outputs=["flow"])
    assert swept.at_fault == 2 and "'[6.0]' is not a number" in str(swept.problems[0])


def test_without_pyarrow_parquet_says_how_to_get_it(book, tmp_path, monkeypatch):
    path = parquet(tmp_path / "list.parquet", nozzle=[6.0])
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    with pytest.raises(FileRefused, match="pip install pyarrow"):
        sweep(book, tmp_path / "r.csv", path, outputs=["flow"])
