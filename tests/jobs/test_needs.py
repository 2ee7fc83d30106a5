"""A workbook without what it needs: every command says so in one line, with sheet, cell and label, and exits with 1."""

import io
import os
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

from hydrofunc.cli import main
from hydrofunc.jobs.needs import REFUSED, is_no_result
from hydrofunc.jobs.recalc import calculated
from hydrofunc.template import INPUTS, PLACED, Result, build, model
from hydrofunc.workbook.splice import splice
from tests.jobs.site import rows_of

KEPT = Path(__file__).parents[2] / "workbooks"
CELLS = {item.name: (item.sheet, item.cell) for item in INPUTS}
HEAD = "Give Static pressure on the gauge (Start C22) or Height by level or altimeter (Start C23)."
LENGTH = "Give Length along the pipe (Start C24)."
BORE = "Give Bore of the pipe, inside (Start C25) or Size of the pipe (Start C26)."


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.fixture(scope="module")
def books(tmp_path_factory):
    """An empty workbook, one with a head alone, and one with a word for its length."""
    folder = tmp_path_factory.mktemp("books")
    for name, typed in (
        ("empty", {}),
        ("half", {"level_difference": 38.0}),
        ("word", {"level_difference": 38.0, "pipe_length": "long", "pipe_bore": 90000.0, "pipe_size": "40"}),
    ):
        (folder / f"{name}.xlsx").write_bytes(splice(build(), {}, {CELLS[key]: value for key, value in typed.items()}))
    return folder


@pytest.mark.parametrize("words", [("recalc",), ("report",), ("doubt",), ("sweep", "--vary", "nozzle=4,5")])
@pytest.mark.parametrize(("name", "needed"), [("empty", (HEAD, LENGTH, BORE)), ("half", (LENGTH, BORE))])
def test_it_is_one_line(words, name, needed, books, tmp_path):
    command, *more = words
    ending = {"report": "pdf", "sweep": "csv"}.get(command, "xlsx")
    done = run(command, books / f"{name}.xlsx", *more, "--out", tmp_path / f"out.{ending}")
    assert done.exit_code == 1
    said = [line.strip() for line in done.stderr.splitlines() if "Give " in line]
    assert len(said) == 1 and said[0].endswith(" ".join(needed))
    assert "#" not in done.stderr and len(done.stderr.splitlines()) <= 2


def test_a_sweep_that_varies_what_is_missing_says_which_rows_lack_it(books, tmp_path):
    (tmp_path / "scenarios.csv").write_text("pipe_length,pipe_bore\n210,\n210,32.6\n", encoding="utf-8")
    out = tmp_path / "r.csv"
    done = run("sweep", books / "half.xlsx", tmp_path / "scenarios.csv", "--out", out, "--outputs", "plant_watts")
    assert done.exit_code == 1
    first, second = rows_of(out)
    assert first["error"] == f"no results: {BORE}" and first["plant_watts [W]"] == ""
    assert float(second["plant_watts [W]"]) > 0 and second["error"] == ""
    assert done.stderr.splitlines() == [f"1 of 2 scenarios: no results: {BORE}", "1 of 2 scenarios calculated."]


def test_what_is_typed_and_does_not_count_is_named_with_what_is_allowed(books):
    said = calculated(books / "word.xlsx").needs
    assert said == [
        "Start!C24 (Length along the pipe) holds 'long', which does not count: it is text; it must be a number: "
        "above 0 to 20000 m",
        "Start!C25 (Bore of the pipe, inside) holds 90000.0, which does not count: it must be above 0 to 2000 mm",
        f"no results yet. {LENGTH}",
    ]


def test_a_number_with_its_unit_or_beside_a_unit_nobody_knows_does_not_count_and_says_why():
    """62 in yards would be taken for 62 m; 27,2 where the decimal mark is a point is text."""
    known = {"level_difference": 62.0, "static_pressure": 6.0, "pipe_length": 410.0, "pipe_bore": "27,2"}
    typed = {CELLS[key]: value for key, value in known.items()} | {("Start", "D23"): "yards"}
    height, bore, *_ = calculated(splice(build(), {}, typed)).needs
    assert height == (
        "Start!C23 (Height by level or altimeter) holds 62.0, which does not count: "
        "the unit beside it, 'yards', must be m or ft"
    )
    assert bore.startswith("Start!C25 (Bore of the pipe, inside) holds '27,2', which does not count: it is text;")
    assert "alone, with the decimal mark of your spreadsheet program" in bore


def test_a_size_that_is_in_no_table_is_named_with_what_would_help():
    known = {"level_difference": 38.0, "pipe_length": 210.0, "pipe_size": "1 1/4"}
    assert calculated(splice(build(), {}, {CELLS[key]: value for key, value in known.items()})).needs == [
        "no results yet. Size of the pipe (Start C26) is in no table: give Pipe standard (Pipe C7) and Class of the "
        "pipe's wall (Pipe C9), or the bore."
    ]


@pytest.mark.parametrize("rough", [{"pipe_roughness": 6.0}, {"length_2": 30.0, "bore_2": 26.0, "roughness_2": 2.0}])
def test_a_pipe_rougher_than_friction_is_known_for_is_named_and_no_cell_shows_an_error(rough):
    """Moody's chart ends at a twentieth of the bore (Moody, Trans. ASME 66 (1944), from memory)."""
    known = {"level_difference": 16.0, "pipe_length": 58.0, "pipe_bore": 42.0} | rough
    _, said, causes = calculated(splice(build(), {}, {CELLS[name]: value for name, value in known.items()}))
    assert len(said) == 1 and "a twentieth of the bore" in said[0] and not causes


def test_three_numbers_need_nothing_more():
    known = {"level_difference": 38.0, "pipe_length": 210.0, "pipe_bore": 32.6}
    assert calculated(splice(build(), {}, {CELLS[key]: value for key, value in known.items()})).needs == []


def test_a_workbook_of_ones_own_needs_nothing(tmp_path):
    book = openpyxl.Workbook()
    book.active["A1"] = "=1+1"
    book.save(tmp_path / "own.xlsx")
    assert calculated(tmp_path / "own.xlsx").needs == []


def test_fill_that_does_no_site_leaves_no_file_and_says_why_of_each_row(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with open("sites.csv", "w", encoding="utf-8") as stream:
        stream.write("site_name,level_difference,pipe_length,pipe_bore\nUpper,38,,32.6\nLower,-3,210,32.6\n")
    done = run("fill", "sites.csv", "--out", "sites")
    assert (done.exit_code, done.stdout) == (1, "")
    assert os.listdir() == ["sites.csv"]
    assert done.stderr.splitlines() == [
        "row 2, column pipe_length: is missing; it must be above 0 to 20000 m",
        "row 3, column level_difference: -3 m is not allowed; it must be above 0 to 1500 m",
        "0 of 2 sites written.",
    ]


def test_a_value_typed_over_a_formula_is_named_by_every_command(books, tmp_path):
    """A person types 5 into the column counts in place of the column yours: it is said, with where it belongs."""
    sheet, cell = CELLS["nozzle"]
    beside = (sheet, cell.replace("C", "E"))
    typed = {CELLS[name]: value for name, value in {"level_difference": 38.0, "pipe_length": 210.0}.items()}
    typed |= {CELLS["pipe_bore"]: 32.6, beside: 5.0}
    (tmp_path / "over.xlsx").write_bytes(splice(build(), {}, typed))
    said = calculated(tmp_path / "over.xlsx").needs
    assert said == [
        f"{sheet}!{beside[1]} (Nozzle opening) holds 5.0 where the template has a formula. Type it in {sheet}!{cell}, "
        "column yours, and take the formula back: Undo, or the same cell of a new template"
    ]
    for command in ("recalc", "doctor"):
        more = () if command == "doctor" else ("--out", tmp_path / "out.xlsx")
        done = run(command, tmp_path / "over.xlsx", *more)
        assert said[0] in done.stderr + done.stdout


def test_what_is_typed_and_not_allowed_is_counted_on_the_first_page():
    typed = {
        "level_difference": 38.0,
        "pipe_length": 210.0,
        "pipe_bore": 32.6,
        "phase_volts": -3.0,
        "pole_pairs": 500.0,
    }
    book = calculated(splice(build(), {}, {CELLS[key]: value for key, value in typed.items()})).data
    first = openpyxl.load_workbook(io.BytesIO(book), data_only=True)["Start"]
    assert first["C5"].value == "2 typed not allowed: sheet Alternator and battery"


@pytest.mark.parametrize(("typed", "spelt"), [("1½", "1 1/2"), ("½", "1/2"), ("1 ¼", "1 1/4"), ("¾", "3/4")])
def test_a_size_that_became_one_sign_while_it_was_typed_is_the_size(typed, spelt):
    values = {"level_difference": 38.0, "pipe_length": 210.0, "pipe_standard": "EN 10255", "pipe_class": "medium"}
    bores = []
    for size in (typed, spelt):
        cells = {CELLS[key]: value for key, value in (values | {"pipe_size": size}).items()}
        book = calculated(splice(build(), {}, cells))
        assert book.needs == []
        bores.append(openpyxl.load_workbook(io.BytesIO(book.data), data_only=True)["Pipe"])
    assert [cell.value for cell in bores[0]["E"]] == [cell.value for cell in bores[1]["E"]]


def test_no_result_has_a_name_that_is_passed_over():
    """A result that somebody typed over is looked for by its name; only names of other cells may be left out."""
    results = [item.name for placed in PLACED.values() for _, item in placed if isinstance(item, Result)]
    assert len(results) > 500
    assert not [name for name in results if is_no_result(name)]
    assert REFUSED == model.REFUSED


def test_the_template_is_not_loaded_for_a_workbook_that_lacks_nothing():
    """It would take as long as all other modules together. Own rows of parts or loads may be results: then it is."""
    path = KEPT / "invented-demo" / "Invented-example-Goat-Meadow.xlsx"
    code = f"""
import sys
from hydrofunc.jobs.recalc import calculated
assert calculated({str(path)!r}).needs == []
print([name for name in sys.modules if name.startswith(("hydrofunc.template", "hydrofunc.emit", "click", "reportlab"))])
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
