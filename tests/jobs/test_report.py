"""The report of a workbook: the workbook's own numbers and words, nothing stale, nothing hidden."""

import io
import math
import re
from dataclasses import replace

import openpyxl
import pypdf
import pytest
from click.testing import CliRunner

from hydrofunc import __version__
from hydrofunc.cli import main
from hydrofunc.errors import FileRefused
from hydrofunc.jobs.recalc import calculated
from hydrofunc.jobs.report import Curves, read, report, shown
from hydrofunc.registry import FUNCTIONS
from hydrofunc.report import figures
from hydrofunc.report.layout import pdf
from hydrofunc.template import build
from hydrofunc.template.model import Result, Words
from hydrofunc.template.pages import CHECKS, INPUTS, PAGES, PLACED
from hydrofunc.template.pages.checks import WAITS
from hydrofunc.workbook.splice import splice
from tests import books
from tests.printed import sizes

BRICK = ".611765 .184314 .105882 rg"  # the ground of a check that says stop
FOOT = re.compile(r"hydrofunc[\d.]+\.Allvaluesrecalculated.*?\(SHA-256\)[0-9a-f]{12}\.\d+of\d+")


def book_with(path, **inputs):
    """A template with these inputs, without any stored value."""
    path.write_bytes(books.changed(**inputs))
    return path


class Printed:
    """A report as a reader gets it."""

    def __init__(self, book, out):
        self.book = book
        self.said, self.needs = report(book, out)
        self.data = out.read_bytes()
        self.pages = pypdf.PdfReader(out).pages
        texts = [squeezed(page.extract_text()) for page in self.pages]
        self.foot = FOOT.search(texts[0])[0]
        self.text = "".join(FOOT.sub("", text) for text in texts)  # a paragraph may go on over the page
        self.drawn = " ".join(page.get_contents().get_data().decode("latin-1") for page in self.pages)

    def has(self, words):
        return squeezed(words) in self.text


def squeezed(text):
    """Without spaces: lines break where they will."""
    return re.sub(r"\s+", "", text)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("report")


@pytest.fixture(scope="module")
def example(folder):
    return Printed(book_with(folder / "plant.xlsx"), folder / "plant.pdf")


@pytest.fixture(scope="module")
def burst(folder):
    """The same plant with a pipe that is too weak."""
    return Printed(book_with(folder / "burst.xlsx", pipe_rating=5), folder / "burst.pdf")


@pytest.fixture(scope="module")
def broken(folder):
    """The same plant in a workbook in which somebody has spoilt a formula: that of the watts that arrive."""
    book = books.opened()
    named(book, "battery_watts").value = "=1/0"
    book.save(folder / "broken.xlsx")
    return Printed(folder / "broken.xlsx", folder / "broken.pdf")


@pytest.fixture(scope="module")
def content(example, folder):
    return read(folder / "plant.xlsx")


@pytest.fixture(scope="module")
def stored(example, folder):
    """What `hydrofunc recalc` stores in the same workbook."""
    data, *_ = calculated(folder / "plant.xlsx")
    return openpyxl.load_workbook(io.BytesIO(data), data_only=True)


def named(book, name):
    sheet, cell = book.defined_names[name].attr_text.replace("$", "").replace("'", "").split("!")
    return book[sheet][cell]


def test_a_few_pages_of_a4(example, burst):
    """Six, as no letter is too small; one more where much is wrong and each wrong thing has its reason."""
    for printed, most in ((example, 6), (burst, 7)):
        assert 2 <= len(printed.pages) <= most
        assert {tuple(round(float(side)) for side in page.mediabox[2:]) for page in printed.pages} == {(595, 842)}


def test_the_same_workbook_gives_the_same_bytes(example, folder):
    report(folder / "plant.xlsx", folder / "again.pdf")
    assert (folder / "again.pdf").read_bytes() == example.data


def test_every_strong_result_stands_with_the_workbooks_own_number_and_unit(example, stored):
    """Of all sheets, as `recalc` stores it, in the decimals of its cell."""
    count = 0
    for items in PLACED.values():
        for _, item in items:
            if isinstance(item, Result) and item.strong:
                cell = named(stored, item.name)
                if isinstance(cell.value, (int, float)):
                    decimals = (
                        len(cell.number_format.partition(".")[2])
                        if re.fullmatch(r"[#,0]*0(\.0+)?", cell.number_format)
                        else None
                    )
                    if decimals is not None:
                        unit = "" if item.unit == "-" else item.unit
                        number = (
                            f"{cell.value:,.{decimals}f}" if "," in cell.number_format else f"{cell.value:.{decimals}f}"
                        )
                        assert example.has(f"{item.label}{number}{unit}") or item.label[0].islower(), (
                            item.name,
                            number,
                        )
                        count += 1
    assert count == 81


def test_the_sentences_hold_the_same_numbers(example, stored):
    head, watts = named(stored, "gross_head").value, named(stored, "battery_watts").value
    assert example.has(f"the water stands {head:.2f} m above the nozzle") and example.has(
        f"{watts:.1f} W go into the load"
    )


def test_us_units_stand_beside_the_numbers_in_them(folder):
    """200 ft of head, a bore of 1.25 in: no metre in a line that says ft. 1 ft is 0.3048 m, 1 in 25.4 mm, exactly."""
    typed = {"level_difference": 200.0, "pipe_length": 1400.0, "pipe_bore": 1.25, "nozzle": 0.197}
    cells = {item.name: (item.sheet, item.cell) for item in INPUTS if item.name in typed}
    (folder / "us.xlsx").write_bytes(splice(build("us"), {}, {cells[name]: value for name, value in typed.items()}))
    printed = Printed(folder / "us.xlsx", folder / "us.pdf")
    assert printed.has("the water stands 200.00 ft above the nozzle")
    assert printed.has("A pipe of 1400 ft in all, with a bore of 1.250 in")
    assert printed.has("a nozzle of 0.197 in with")
    assert printed.has("Gross head 200.00 ft")
    assert printed.has("Pipe bore, inside: 1.25 in; Nozzle opening: 0.197 in")
    content = read(folder / "us.xlsx")
    assert dict(content.results)["Pipe"], "results that are shown converted are read where they are shown"


def test_the_sentences_say_what_nobody_gave_and_how_wide_the_doubt_is(folder):
    typed = {"level_difference": 60.0, "pipe_length": 420.0, "pipe_bore": 32.6}
    cells = {item.name: (item.sheet, item.cell) for item in INPUTS if item.name in typed}
    data, *_ = calculated(splice(build(), {}, {cells[name]: value for name, value in typed.items()}))
    (folder / "three.xlsx").write_bytes(data)
    printed = Printed(folder / "three.xlsx", folder / "three.pdf")
    book = openpyxl.load_workbook(io.BytesIO(data), data_only=True)
    mean, low, high = (named(book, f"doubt_{name}").value for name in ("mean", "low", "high"))
    assert printed.has(f"on average {mean:.1f} W go into the load") and printed.has(f"{low:.1f} W to {high:.1f} W.")
    assert printed.has("L/s (assumed); 20 % (assumed) of it stays in the stream")
    assert printed.has("Jets: 1 (proposed). Each leaves a nozzle of") and printed.has("mm (proposed) with")
    assert printed.has("the water stands 60.00 m above") and printed.has("with a bore of 32.6 mm at")
    assert printed.has("Start. Height surveyed: 60.0 m; Pipe length: 420 m; Pipe bore, inside: 32.6 mm.")
    assert not printed.has("Units: metric")


def test_a_workbook_that_lacks_what_is_needed_says_what_in_place_of_the_plant(folder):
    (folder / "empty.xlsx").write_bytes(build())
    printed = Printed(folder / "empty.xlsx", folder / "empty.pdf")
    assert printed.has("Nothing can be worked out yet. Give ") and printed.has("Length along the pipe")
    assert not printed.has("not given above the nozzle")


@pytest.mark.parametrize(
    ("judgements", "words"),
    [
        (["stop", "look", "good"], "3 checks: 1 says stop, 1 says look, 1 says good"),
        (["look"] * 2 + [f"{WAITS}: give it"], "3 checks: 0 say stop, 2 say look, 0 say good, 1 waits for an input"),
        (["good"] + [f"{WAITS}: give it"] * 2, "1 says good, 2 wait for an input"),
    ],
)
def test_one_check_says_and_two_say(content, judgements, words, tmp_path):
    checks = [replace(content.checks[0], judgement=judgement) for judgement in judgements]
    (tmp_path / "counted.pdf").write_bytes(pdf(replace(content, checks=checks)))
    assert squeezed(words) in squeezed(pypdf.PdfReader(tmp_path / "counted.pdf").pages[0].extract_text())


def test_a_pipe_of_several_sections_is_told_as_one_pipe(folder):
    """Its length is that of all sections, as the sheet Route has it."""
    printed = Printed(
        book_with(folder / "sections.xlsx", length_2=200.0, bore_2=26.0, roughness_2=0.01), folder / "sections.pdf"
    )
    data, *_ = calculated(folder / "sections.xlsx")
    book = openpyxl.load_workbook(io.BytesIO(data), data_only=True)
    whole, first = named(book, "whole_length").value, named(book, "pipe_length").value
    assert whole == first + 200.0
    assert printed.has(f"A pipe of {whole:.0f} m in all") and not printed.has(f"A pipe of {first:.0f} m")


def test_a_stale_value_cannot_come_in(folder, stored):
    """A stored value that is wrong is not read: the report recalculates."""
    data, *_ = calculated(folder / "plant.xlsx")
    book = openpyxl.load_workbook(io.BytesIO(data))
    sheet, cell = book.defined_names["nozzle"].attr_text.replace("$", "").replace("'", "").split("!")
    book[sheet][cell] = 5.0
    book.save(folder / "changed.xlsx")
    old, changed = named(stored, "battery_watts").value, Printed(folder / "changed.xlsx", folder / "changed.pdf")
    assert changed.has("nozzle of 5.0 mm") and not changed.has(f"{old:.1f} W go into the load")


def test_every_check_appears_with_value_and_limit_and_those_not_good_with_their_reason(example, content):
    waiting = [check for check in content.checks if check.judgement.startswith("not looked at: give ")]
    assert {check.judgement for check in content.checks if check not in waiting} == {"look", "good"}
    assert 0 < len(waiting) < 12 and len(content.checks) == len(CHECKS)
    for check in content.checks:
        if check in waiting:
            give = check.judgement.removeprefix("not looked at: ")
            together = [other.label for other in waiting if other.judgement == check.judgement]
            assert example.has(f"{'; '.join(together)}: {give}"), check.label
        elif check.judgement == "good":
            limit = check.good if check.good.startswith("from") else f"to {check.good}"
            assert example.has(f"{check.label}{check.value}, {limit}"), check.label
        else:
            assert example.has(
                f"{check.label}{check.value}{check.good}{check.stop}{check.judgement.upper()}{check.why}"
            ), check.label
    assert {check.label for check in CHECKS} == {check.label for check in content.checks}


def test_where_low_is_bad_the_limits_say_from_and_below(example, content):
    """Otherwise a reader takes "good to 9, stop beyond 7" for its opposite."""
    fewest = {check.label for check in CHECKS if check.low_is_bad}
    assert len(fewest) >= 3
    for check in content.checks:
        assert (check.good.startswith("from ") and check.stop.startswith("below ")) == (check.label in fewest), (
            check.label
        )
    assert example.has("from 9")


def test_a_check_that_says_stop_is_said_in_words_and_red(burst, example):
    assert burst.has("STOP. ") and burst.has("Static pressure, of the weakest rating")
    assert any(line.startswith("stop: Static pressure, of the weakest rating") for line in burst.said)
    assert re.search(r"Staticpressure,oftheweakestrating[\d.]+%67100STOP", burst.text)
    assert BRICK in burst.drawn and BRICK not in example.drawn
    assert "STOP" not in example.text


def test_the_gravest_checks_come_first(burst, folder):
    words = [check.judgement.partition(":")[0] for check in read(folder / "burst.xlsx").checks]
    assert words == sorted(words, key=("stop", "look", "not looked at", "good").index) and words[0] == "stop"


def test_an_error_is_shown_as_such_and_its_cells_are_named(broken):
    """What hangs on a spoilt cell is no number either."""
    assert broken.has("Cells of the workbook that show an error") and any(" shows #" in line for line in broken.said)
    sheets = {line.partition("!")[0] for line in broken.said if " shows #" in line}
    assert len(sheets) > 3
    for sheet in sheets:
        assert broken.has(next(line for line in broken.said if line.startswith(f"{sheet}!"))), (
            "every sheet with an error is named"
        )
    assert re.search(r"#[A-Z/0!]+gointotheload", broken.text)


def test_every_caution_of_the_workbook_stands_in_the_report(example, folder):
    book = openpyxl.load_workbook(folder / "plant.xlsx")
    cautions = [
        sheet[f"B{row}"].value for sheet in book for row in range(1, sheet.max_row + 1) if sheet[f"A{row}"].value == "!"
    ]
    declared = [item.text for page in PAGES for item in page.items if isinstance(item, Words) and item.caution]
    assert cautions == declared and len(cautions) == 37
    for words in cautions:
        assert example.has(words), words


def test_what_was_assumed_and_what_was_chosen_are_told_apart(folder):
    content = read(book_with(folder / "other.xlsx", latitude=12.5))
    chosen, assumed = (
        {label for _, lines in group for label, _ in lines} for group in (content.chosen, content.assumed)
    )
    assert "Latitude" in chosen and "Latitude" not in assumed and "Altitude of the nozzle" in assumed
    assert not chosen & assumed


def test_sources_are_those_of_the_functions_the_workbook_calls(example):
    """Also of those behind a quantity of a whole plant: its friction and its jet have sources of their own."""
    stored = books.opened()
    assert example.has("M. Tanaka et al., Metrologia 38 (2001) 301, equation 1") and example.has("IEC 60028 (copper)")
    formulas = " ".join(str(cell.value) for sheet in stored for row in sheet.iter_rows() for cell in row)
    called = [function for function in FUNCTIONS.values() if f"{function.sheet_name}(" in formulas]
    steps = [FUNCTIONS[name] for name in ("friction_factor", "minor_head", "nozzle_flow", "wheel_torque")]
    assert len(called) == 109
    for function in (*called, *steps):
        assert example.has(function.source.split("; ")[0].partition(", Ex. ")[0]), function.name


def test_signs_of_the_trade_can_be_read(folder):
    """° ² ³ · Ω and letters of many scripts are in the fonts that come along."""
    printed = Printed(
        book_with(folder / "signs.xlsx", site_name="Erfunden: Źródło Čelo Ωηρ Ручей ≤ ² ³ · °"), folder / "signs.pdf"
    )
    assert (
        printed.has("Erfunden: Źródło Čelo Ωηρ Ручей ≤ ² ³ · °")
        and printed.has("°C")
        and printed.has("Ω")
        and printed.has("N·m")
    )
    fonts = {
        str(font["/BaseFont"])
        for page in printed.pages
        for font in (f.get_object() for f in page["/Resources"]["/Font"].values())
    }
    assert any("DejaVuSans" in font for font in fonts)


def test_figures_are_drawn_as_lines_not_as_pictures(example):
    assert example.has("Where every watt goes") and example.has("Torque of wheel and alternator")
    assert all("/XObject" not in page["/Resources"] for page in example.pages)


def test_no_letter_is_too_small_to_read(example, burst):
    """7.5 points: of text, of figures, of the sources, of the foot."""
    for printed in (example, burst):
        assert min(size for page in printed.pages for size in sizes(page)) >= 7.5


def test_what_says_stop_stands_on_the_first_page_dark_and_framed(burst, content):
    first = squeezed(burst.pages[0].extract_text())
    stops = [check for check in read(burst.book).checks if check.judgement == "stop"]
    assert len(stops) > 1
    for check in stops:
        assert squeezed(f"{check.label}{check.value}{check.good}{check.stop}STOP{check.why}") in first
    drawn = burst.pages[0].get_contents().get_data().decode("latin-1")
    assert drawn.count(BRICK) > len(stops) and "\n1.4 w" in drawn, "a dark ground, a heavy frame"
    assert burst.text.count(squeezed(f"{stops[0].label}{stops[0].value}")) == 1, "and not once more below"
    assert not [check for check in content.checks if check.judgement == "stop"]


def test_a_figure_without_numbers_is_left_out(content):
    curves = dict.fromkeys(content.curves)
    nothing = replace(content, curves=curves, ledger=[(label, math.nan, "") for label, _, _ in content.ledger])
    text = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf(nothing))).pages)
    assert not any(title in text for title in ("Figures", "Long section", "Where every watt goes", "Torque of wheel"))
    at_a_point = Curves({"x": "x, m", "y": "y, m"}, {"x": [1.0, 1.0, 1.0], "y": [2.0, 2.0, 2.0]})
    assert figures.lines("A point", at_a_point, "x", ("y",), ("y",), 100, 50) is None


def test_the_torque_figure_ends_where_the_wheel_is_long_outdone(folder):
    """At 1.5 times what the wheel has at rest, as the sheet's chart does: else the crossing lies on the axis."""
    torques = read(book_with(folder / "stiff.xlsx", terminal_resistance=0.1)).curves["torque_curve"].columns
    drawn = [torque for torque in torques["alternator"] if math.isfinite(torque)]
    assert len(drawn) < len(torques["alternator"]) and max(drawn) <= 1.5 * torques["wheel"][0]


def test_the_document_is_in_british_english(example):
    assert pypdf.PdfReader(io.BytesIO(example.data)).trailer["/Root"]["/Lang"] == "en-GB"


def test_the_long_section_is_there_where_the_route_is(example, content):
    assert example.has("Long section")
    columns = content.curves["long_section"].columns
    assert len(columns["along"]) == len(columns["pipe"]) > 2
    assert all(rest >= line - 1e-9 for rest, line in zip(columns["rest"], columns["line"]) if math.isfinite(line))
    without = replace(content, curves=content.curves | {"long_section": None})
    assert "Long section" not in "".join(
        page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf(without))).pages
    )


def test_the_report_says_where_its_values_come_from(example, folder):
    """Which file, by its name and fingerprint, and when somebody saved it."""
    begin = rf"hydrofunc{re.escape(__version__)}\.Allvaluesrecalculatedfromplant\.xlsx,"
    assert re.match(rf"{begin}ashydrofuncwroteit;fingerprint", example.foot)
    assert str(folder) not in example.foot + example.text, "no machine path"
    path = folder / "by-hand" / "plant.xlsx"
    path.parent.mkdir()
    openpyxl.load_workbook(folder / "plant.xlsx").save(path)
    saved = Printed(path, folder / "by-hand" / "plant.pdf")
    assert re.match(rf"{begin}lastsaved20[\d:-]+UTC;fingerprint", saved.foot)


def test_a_workbook_that_is_not_ours_is_refused(tmp_path):
    book = openpyxl.Workbook()
    book.active["A1"] = 1
    book.save(tmp_path / "mine.xlsx")
    with pytest.raises(FileRefused, match="not a workbook made from hydrofunc's template"):
        report(tmp_path / "mine.xlsx", tmp_path / "mine.pdf")
    assert not (tmp_path / "mine.pdf").exists()


def test_a_workbook_without_a_name_it_needs_is_refused_by_that_name(tmp_path):
    book = books.opened()
    del book.defined_names["plant_energy"]
    book.save(tmp_path / "less.xlsx")
    with pytest.raises(FileRefused, match="plant_energy"):
        report(tmp_path / "less.xlsx", tmp_path / "less.pdf")


def test_the_command_writes_once_and_overwrites_only_when_told(example, folder, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    words = ["report", str(folder / "plant.xlsx"), "--out", "plant.pdf"]
    first = CliRunner().invoke(main, words)
    assert first.exit_code == 0 and first.stdout == "plant.pdf\n"
    second = CliRunner().invoke(main, words)
    assert second.exit_code == 1 and "exists already" in second.stderr
    assert CliRunner().invoke(main, [*words, "--force"]).exit_code == 0


@pytest.mark.parametrize(
    ("value", "picture", "text"),
    [
        (1234.56, "#,##0", "1,235"),
        (0.1234, "0.00", "0.12"),
        (-1.26, "+0.0;-0.0;0.0", "-1.3"),
        (1.26, "+0.0;-0.0;0.0", "+1.3"),
        (46143.0, "yyyy-mm-dd", "2026-05-01"),
        (46143.0, "yyyy-mm-dd;;", "2026-05-01"),
        (0.0, "yyyy-mm-dd;;", "not given"),
        (1.5, "General", "1.5"),
        (2.0, "# ?/?", "2"),
    ],
)
def test_a_number_looks_as_in_its_cell(value, picture, text):
    assert shown(value, picture) == text
