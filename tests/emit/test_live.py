"""A workbook that carries its functions: its file, and every cell of it in an engine that is not ours.

No published source: the reference is the value Python stored beside each formula. What a spreadsheet wants in the file
is from notes of others, made in real Excel; nothing here has been opened in Excel.
"""

import re
import zipfile
from functools import cache
from io import BytesIO
from xml.etree import ElementTree

import openpyxl
import pytest
from click.testing import CliRunner

from hydrofunc.cli import main
from hydrofunc.emit.all_names import names
from hydrofunc.emit.lambda_names import LEFT_OUT
from hydrofunc.errors import FileRefused
from hydrofunc.jobs import fill
from hydrofunc.jobs.live import JUDGEMENT, NOTE, live_book, told, what_needs_python
from hydrofunc.jobs.recalc import calculated
from hydrofunc.physics.choose import ANSWERS
from hydrofunc.template import INPUTS, build
from hydrofunc.workbook.reading import read_book
from hydrofunc.workbook.splice import splice
from tests.emit.books import agree, formulas_and_values
from tests.emit.sites import SITES, compared

WHOLE = (
    "Site",
    "Pipe",
    "Route",
    "Nozzle",
    "Wheel",
    "Choices",
    "Housing",
    "Alternator and battery",
    "Energy",
    "Supply",
    "Tried",
    "Strength",
)


@cache
def own():
    return calculated(build(example=True)).data


@cache
def live():
    return live_book(own())


@cache
def needing():
    return what_needs_python(read_book(own()))


def parts():
    with zipfile.ZipFile(BytesIO(live())) as archive:
        return {name: archive.read(name).decode() for name in archive.namelist() if name.endswith((".xml", ".rels"))}


@pytest.mark.parametrize(
    ("engine", "sites"),
    [
        ("formulon", list(SITES)),
        ("ironcalc", ["as the template comes", "steel pipe, measured in star and used in delta"]),
    ],
    ids=["formulon", "ironcalc"],
)
def test_every_formula_cell_has_in_another_engine_the_value_that_python_gives_it(engine, sites):
    """As the workbook comes, and where what is typed has changed; `python -m tests.emit.sites` tries all sites."""
    for site, count, unlike in compared(live(), sites, engine):
        assert not unlike, f"{site}: {len(unlike)} of {count}, such as {list(unlike.items())[:5]}"


def test_what_hangs_on_a_missing_function_holds_an_error_and_no_formula():
    checks, missing = needing()
    book = openpyxl.load_workbook(BytesIO(live()))
    assert {book[sheet][cell].value for sheet, cell in missing} == {"#N/A"}
    assert {book[sheet][cell].value for sheet, cell in checks} == {JUDGEMENT}
    left = {
        name.lower()
        for text, _ in formulas_and_values(live()).values()
        for name in re.findall(r"HYDRO_([A-Z0-9_]+)\(", text)
    }
    assert not left & LEFT_OUT.keys()


@pytest.mark.parametrize("sheet", WHOLE)
def test_these_sheets_need_no_python_at_all(sheet):
    _, missing = needing()
    assert not [cell for title, cell in missing if title == sheet]


def test_what_pays_needs_python_for_its_surges_only():
    _, missing = needing()
    sheet = openpyxl.load_workbook(BytesIO(own()))["What pays"]
    formulas = {sheet[cell].value for title, cell in missing if title == "What pays"}
    about_surge = ("SURGE_RUN", "pays_surge", "blocked_surge", "MAX(AK")
    assert formulas and all(any(word in text for word in about_surge) for text in formulas)


def test_values_as_tested_need_python_and_cannot_be_chosen():
    found = "".join(part for name, part in parts().items() if name.startswith("xl/worksheets/"))
    assert "as designed,as tested" not in found and found.count("as tested needs Python") == 2  # prompt and error
    basis = read_book(own()).resolve("basis")
    tested = splice(own(), {}, {basis: "as tested"})
    _, missing = what_needs_python(read_book(tested))
    assert {read_book(own()).resolve(f"basis_{item}") for item in ("nozzle", "gross_head")} <= set(missing)
    assert {sheet for sheet, _ in missing} >= {"Plant", "What pays", "Combinations"}


def test_a_check_that_is_not_calculated_does_not_say_good():
    """Doubt and diagnosis are not in a live workbook: the checks of them must not pass by default."""
    checks, _ = needing()
    labels = openpyxl.load_workbook(BytesIO(own()))["Checks"]
    said = " ".join(str(labels[f"B{cell[1:]}"].value) for _, cell in checks)
    assert "Doubt about the watts" in said and "A fault is likely" in said
    assert "surge" not in said  # what the pipe must stand is judged


def test_start_names_the_sheets_that_need_python():
    start = openpyxl.load_workbook(BytesIO(live()))["Start"]
    assert "Not yet seen in Excel" in start[NOTE].value and len(start[NOTE].value) < 135  # one line on paper
    note = start[told(read_book(live()))]
    whole, parts = note.value.split("; parts of ")
    assert "Diagnosis" in whole and "What pays" in parts
    assert "Strength" not in note.value and "Nozzle" not in note.value
    assert note.alignment.wrap_text and len(note.value) < 150  # two lines


def test_cells_that_call_our_functions_are_stored_as_arrays_of_one_cell():
    for name, part in parts().items():
        if name.startswith("xl/worksheets/sheet"):
            for cell in re.findall(r"<c [^>]*><f[^>]*>[^<]*HYDRO_[^<]*</f>", part):
                assert ' cm="1"><f t="array" ref="' in cell


def test_surges_along_the_pipe_are_three_array_formulas():
    """A run takes some tenths of a second, and one answers every place."""
    formulas = [text for text, _ in formulas_and_values(live()).values() if "SURGE_RUN(" in text]
    assert len(formulas) == 6 and sum(bool(re.search(r"J\d+:J\d+", text)) for text in formulas) == 3


def test_what_is_asked_about_a_year_is_one_array_formula_and_follows_another_nozzle():
    """Each answer takes the whole search. Cells that it fills hold no formula of their own, and Python fills them."""
    formulas = [text for text, _ in formulas_and_values(live()).values() if "NOZZLE_SEASON(" in text]
    before, nozzle = read_book(live()), next(item for item in INPUTS if item.name == "nozzle")
    places = [key for key, content in before.cells.items() if getattr(content, "text", "") in formulas]
    assert len(formulas) == 1 and len(places) == len(ANSWERS)
    changes = {(nozzle.sheet, nozzle.cell): 5.0}
    changed, plain = (calculated(splice(data, {}, changes)).data for data in (live(), own()))
    found, expected = (openpyxl.load_workbook(BytesIO(data), data_only=True) for data in (changed, plain))
    asked = [[book[sheet][cell].value for sheet, cell in places] for book in (found, expected)]
    assert asked[0] == asked[1] and len(set(asked[0])) > 2
    assert asked[0] != [formulas_and_values(own())[key][1] for key in places]


def test_the_parts_of_the_file_fit_together():
    found = parts()
    for part in found.values():
        ElementTree.fromstring(part)
    assert "/xl/metadata.xml" in found["[Content_Types].xml"] and "metadata.xml" in found["xl/_rels/workbook.xml.rels"]
    assert 'fullCalcOnLoad="1"' in found["xl/workbook.xml"] and not any("calcChain" in name for name in found)
    listed = set(re.findall(r'<definedName name="([^"]+)"', found["xl/workbook.xml"]))
    assert names().texts.keys() <= listed


def test_a_live_workbook_is_recalculated_by_hydrofunc_as_before():
    again = calculated(live())
    assert again.needs == []
    before, after = formulas_and_values(live()), formulas_and_values(again.data)
    changed = {key for key in before if before[key][1] != after[key][1]}  # a date is compared as it is
    assert {key for key in changed if not agree(before[key][1], after[key][1])} == set()


def test_a_workbook_gets_the_functions_once():
    with pytest.raises(FileRefused, match="already"):
        live_book(live())


def test_only_an_xlsx_can_carry_functions(tmp_path):
    answer = CliRunner().invoke(main, ["template", str(tmp_path / "site.ods"), "--live"])
    assert answer.exit_code != 0
    assert "--live is for .xlsx" in answer.output


@pytest.mark.parametrize(
    ("option", "put_in", "ending"), [("--live", "live_book", ".xlsx"), ("--macros", "macro_book", ".xlsm")]
)
def test_fill_puts_the_functions_into_the_workbook_of_each_site(tmp_path, monkeypatch, option, put_in, ending):
    monkeypatch.setattr(
        fill, put_in, lambda data: splice(data, {}, {("Start", NOTE): "with functions"})
    )  # the real one is held above and in test_vba, and takes long
    sites, out = tmp_path / "sites.csv", tmp_path / "out"
    sites.write_text(
        "site_name,static_pressure,pipe_length,pipe_bore,bucket_seconds,bucket_volume\n"
        "A,6.2,400,32.6,20,20\nB,4.1,400,32.6,20,20\n"
    )
    answer = CliRunner().invoke(main, ["fill", str(sites), "--out", str(out), option])
    assert {path.name for path in out.iterdir()} == {f"A{ending}", f"B{ending}", "summary.csv", "summary.xlsx"}
    assert f"A{ending}" in (out / "summary.csv").read_text()
    written = {name: read_book((out / f"{name}{ending}").read_bytes()).cells for name in "AB"}
    assert {cells["Start", NOTE] for cells in written.values()} == {"with functions"}, answer.output
    given = next((item.sheet, item.cell) for item in INPUTS if item.name == "static_pressure")
    assert {name: cells[given] for name, cells in written.items()} == {"A": 6.2, "B": 4.1}
    before = (out / f"A{ending}").read_bytes()
    again = CliRunner().invoke(main, ["fill", str(sites), "--out", str(out), option])
    assert again.exit_code != 0 and f"A{ending} exists already; add --force" in again.output
    assert (out / f"A{ending}").read_bytes() == before


def test_the_workbook_of_a_site_has_its_functions_in_one_way(tmp_path):
    sites = tmp_path / "sites.csv"
    sites.write_text("static_pressure,pipe_length,pipe_bore\n6.2,400,32.6\n")
    answer = CliRunner().invoke(main, ["fill", str(sites), "--out", str(tmp_path / "out"), "--live", "--macros"])
    assert answer.exit_code != 0 and "--live is for .xlsx, --macros for .xlsm" in answer.output
    assert not (tmp_path / "out").exists()
