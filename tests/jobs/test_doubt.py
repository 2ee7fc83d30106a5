"""`hydrofunc doubt`: the workbook drawn at random, its copy, and what is refused."""

import csv
import io
import re

import numpy as np
import openpyxl
import pytest
import scipy.special
from click.testing import CliRunner
from scipy.differentiate import derivative

import hydrofunc
from hydrofunc.cli import main
from hydrofunc.engine.compile import compile_book
from hydrofunc.errors import FileRefused
from hydrofunc.jobs.doubt import doubt, doubts
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS
from hydrofunc.template import INPUTS, build
from hydrofunc.template.pages.doubt import UNCERTAIN
from hydrofunc.workbook.reading import read_book
from hydrofunc.workbook.splice import splice
from tests import books

DRAWS = 2000
CERTAIN = {f"doubt_{doubtful.key}": 0.0 for doubtful in UNCERTAIN}
SIZES = {f"nozzle_size_{i}": float(size) for i, size in enumerate((3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 20), start=1)}
PLACE = books.CELLS


def book_with(**changes):
    """The calculated template with whole sizes at hand and some inputs changed, as bytes."""
    return books.calculated_with(**SIZES | changes)


def stored(path, name):
    book = books.values_of(path)
    sheet, cells = next(book.defined_names[name].destinations)
    cells = book[sheet][cells.replace("$", "")]
    return [cell.value for (cell,) in cells] if isinstance(cells, tuple) else cells.value


@pytest.fixture(scope="module")
def done(tmp_path_factory):
    """(found, path of the copy, rows of the table of draws) for the template."""
    folder = tmp_path_factory.mktemp("doubt")
    path = folder / "mine.xlsx"
    path.write_bytes(book_with())
    found = doubt(path, draws=DRAWS, csv=folder / "draws.csv", outputs=["speed", "flow"])
    with open(folder / "draws.csv", encoding="utf-8-sig", newline="") as stream:
        rows = {name: np.array(values, dtype=float) for name, *values in zip(*csv.reader(stream))}
    assert path.read_bytes() == book_with(), "the user's file is as it was"
    return found, folder / "mine-doubt.xlsx", rows


def test_every_draw_is_the_plant_in_plain_python(done):
    """Each lane of the workbook gives what the ledger gives for the numbers drawn, and so does each nozzle."""
    _, _, rows = done
    value = {item.name: item.shown for item in INPUTS}
    plant = {
        "gross_head": rows["gross_head"],
        "length": rows["pipe_length"],
        "bore": rows["bore_used"],
        "roughness": rows["roughness_used"],
        "fittings": rows["fittings_k"],
        "available_flow": rows["source_flow"],
        "temperature": rows["water_temperature"],
        "gravity": hydrofunc.gravity(value["latitude"], value["altitude"]),
        "nozzle": rows["nozzle"],
        "pole_pairs": value["pole_pairs"],
        **{
            name: rows[name]
            for name in """velocity_coefficient contraction pitch_diameter deflection cup_friction alignment
        bearing_drag windage iron_drag phase_volts phase_resistance phase_inductance diode_drop cable_resistance
        battery_volts""".split()
        },
    }
    plant["available_flow"] = plant["available_flow"] * (1 - value["left_in_stream"] / 100)  # the permit: certain
    assert rows["doubt_guess"] == pytest.approx(hydrofunc.power_ledger(**plant), rel=1e-9)
    for size in (6.0, 9.0):
        assert rows[f"doubt_guess at nozzle {size:g}"] == pytest.approx(
            hydrofunc.power_ledger(**plant | {"nozzle": size}), rel=1e-9
        )


def test_the_copy_says_what_the_draws_say(done):
    """Band, median, chances and shares on the sheet are those of the table of draws; the guess is the sheet's own."""
    found, copy, rows = done
    watts = rows["doubt_guess"]
    low, median, high = np.quantile(watts, [0.025, 0.5, 0.975])
    guess = stored(copy, "doubt_guess")
    sizes = [float(name.split()[-1]) for name in rows if name.startswith("doubt_guess at nozzle")]
    each = np.array([rows[f"doubt_guess at nozzle {size:g}"] for size in sizes])
    assert stored(copy, "drawn") == pytest.approx(
        [
            guess,
            stored(copy, "doubt_uncertainty"),
            sum(stored(copy, "hand_watts")),
            DRAWS,
            1,
            0,
            watts.mean(),
            median,
            low,
            high,
        ],
        rel=1e-12,
    )
    assert guess == stored(copy, "battery_watts") == pytest.approx(found.spreads["doubt_guess"].guess)
    assert stored(copy, "drawn_mean") == pytest.approx(each.mean(axis=1))
    assert stored(copy, "drawn_low") == pytest.approx(np.quantile(each, 0.05, axis=1))
    assert stored(copy, "drawn_high") == pytest.approx(np.quantile(each, 0.95, axis=1))
    chances = [100 * (each.argmax(axis=0) == place).mean() for place in range(len(sizes))]
    assert stored(copy, "drawn_best") == pytest.approx(chances)
    assert stored(copy, "drawn_nozzle") == sizes[each.mean(axis=1).argmax()] == found.best_nozzle.size
    assert stored(copy, "guess_chance") == pytest.approx(chances[sizes.index(stored(copy, "guess_nozzle"))])
    assert found.spreads["flow"].median == pytest.approx(np.median(rows["flow"]))
    head = found.uncertain[0]
    assert (head.label, head.state, stored(copy, "drawn_share")[0]) == (
        "Gross head",
        "any gauge",
        pytest.approx(100 * found.spreads["doubt_guess"].shares[0]),
    )
    shares = stored(copy, "drawn_share")
    assert 60 < sum(share for share in shares if share is not None) < 130, (
        "of nearly all that varies something is to blame"
    )


def test_what_is_certain_or_empty_gets_no_draws(done):
    """What the permit says and what can be counted is known; a resistor is not there: their cells stay blank."""
    _, copy, rows = done
    labels, shares = stored(copy, "doubt_labels"), stored(copy, "drawn_share")
    assert {label for label, share in zip(labels, shares) if share is None} == {
        "Left in the stream",
        "Pole pairs",
        "Resistor load",
    }
    assert "pole_pairs" not in rows and "load_resistance" not in rows


def test_only_the_block_is_new_in_the_copy(done):
    """Every input and every formula stands as it did."""
    _, copy, _ = done
    before, after = (openpyxl.load_workbook(io.BytesIO(data)) for data in (book_with(), copy.read_bytes()))
    changed = {
        (sheet.title, cell.coordinate)
        for sheet in after
        for row in sheet.iter_rows()
        for cell in row
        if cell.value != before[sheet.title][cell.coordinate].value
    }
    block = set()
    for name in ("drawn", "drawn_share", "drawn_mean", "drawn_low", "drawn_high", "drawn_best"):
        sheet, cells = next(after.defined_names[name].destinations)
        block |= {(sheet, cell.coordinate) for (cell,) in after[sheet][cells.replace("$", "")]}
    assert changed and changed <= block
    for name in ("Doubt", "What pays"):
        assert after[name].print_area == before[name].print_area


@pytest.mark.parametrize("change", [{"static_pressure": 5.0}, {"doubt_alignment": 0.1}, {"nozzle_size_2": 5.5}])
def test_a_changed_input_makes_the_sheet_say_look(done, change):
    """Watts, ranges or nozzles: the draws no longer belong to them."""
    _, copy, _ = done
    assert stored(copy, "draws_state") == "good: they belong to these inputs"
    book = read_book(splice(copy.read_bytes(), {}, {PLACE[name]: value for name, value in change.items()}))
    key = book.resolve("draws_state")
    state = compile_book(book, SHEET_FUNCTIONS, outputs=[key]).run().value(key)
    assert state == "look: run again, inputs have changed since"


def test_the_same_seed_gives_the_same_file_and_another_nearly_the_same_band(tmp_path):
    path = tmp_path / "b.xlsx"
    path.write_bytes(book_with())
    one, two, other = (doubt(path, tmp_path / f"{i}.xlsx", DRAWS, seed) for i, seed in enumerate((5, 5, 6)))
    assert (
        (tmp_path / "0.xlsx").read_bytes() == (tmp_path / "1.xlsx").read_bytes() != (tmp_path / "2.xlsx").read_bytes()
    )
    a, b = one.spreads["doubt_guess"], other.spreads["doubt_guess"]
    assert a.low != b.low and (a.low, a.median, a.high) == pytest.approx((b.low, b.median, b.high), rel=0.03)
    again = doubt(tmp_path / "0.xlsx", tmp_path / "again.xlsx", DRAWS, 5)
    assert again.spreads == two.spreads, "a block written before changes nothing"


THREE = {
    "length_2": 60.0,
    "bore_2": 32.6,
    "roughness_2": 0.007,
    "length_3": 20.0,
    "bore_3": 26.0,
    "roughness_3": 0.15,
    "reading_static": 6.2,
    "reading_running": 3.0,
    "reading_seconds": 21.5,
    "bucket_seconds": 5.0,
}


@pytest.mark.parametrize("basis", ["as designed", "as tested"])
def test_a_draw_of_the_roughness_is_one_of_all_sections(tmp_path, basis):
    """Each as rough in proportion, about the plant that is judged.

    The plant as designed, followed beside it, changes by the same shares.
    """
    path = tmp_path / "three.xlsx"
    path.write_bytes(book_with(**THREE, basis=basis))
    found = doubt(path, draws=400, csv=tmp_path / "draws.csv", outputs=["flow"])
    with open(tmp_path / "draws.csv", encoding="utf-8-sig", newline="") as stream:
        rows = {name: np.array(values, dtype=float) for name, *values in zip(*csv.reader(stream))}
    designed = {name: stored(path, name) for name in ("roughness_used", "fittings_k", "nozzle")}
    judged = [stored(path, f"basis_{name}") for name in ("roughness", "fittings", "nozzle")]
    tested = judged[0] / designed["roughness_used"]
    assert found.left_out == 0 and (tested > 5 if basis == "as tested" else tested == 1)
    value = {item.name: item.shown for item in INPUTS} | THREE
    water = {name: value[name] for name in ("length_2", "bore_2", "length_3", "bore_3")} | {
        "length": rows["pipe_length"],
        "bore": rows["bore_used"],
        "velocity_coefficient": rows["velocity_coefficient"],
        "contraction": rows["contraction"],
        "temperature": rows["water_temperature"],
        "gravity": hydrofunc.gravity(value["latitude"], value["altitude"]),
        "available_flow": rows["source_flow"] * (1 - value["left_in_stream"] / 100),
    }
    machine = {
        name: rows[name]
        for name in """gross_head nozzle pitch_diameter deflection cup_friction alignment bearing_drag windage iron_drag
    phase_volts phase_resistance phase_inductance diode_drop cable_resistance battery_volts""".split()
    }
    rougher = rows["roughness_used"] / designed["roughness_used"]
    watts = hydrofunc.power_ledger(
        **water,
        **machine,
        fittings=rows["fittings_k"],
        pole_pairs=value["pole_pairs"],
        roughness=rows["roughness_used"],
        roughness_2=0.007 * rougher,
        roughness_3=np.minimum(0.15 * rougher, np.maximum(0.15 * rougher / tested, 26 / 20)),
    )
    assert rows["doubt_guess"] == pytest.approx(watts, rel=1e-9)
    rough, fittings, nozzle = (held * rows[name] / basis for (name, held), basis in zip(designed.items(), judged))
    flow = hydrofunc.operating_flow(
        **water,
        gross_head=rows["gross_head"],
        nozzle=nozzle,
        fittings=fittings,
        roughness=rough,
        roughness_2=0.007 * rougher / tested,
        roughness_3=0.15 * rougher / tested,
    )
    assert rows["flow"] == pytest.approx(flow, rel=1e-9)


@pytest.mark.parametrize("basis", ["as designed", "as tested"])
def test_the_live_band_too_takes_all_sections_as_rough(tmp_path, monkeypatch, basis):
    """Only the roughness in doubt, one pipe or three: the band in the sheet is that of the draws.

    One quantity needs no chance: its draws are the middles of equal shares of its distribution, so that 200 of them say
    more than 2,000 by chance.
    """

    def evenly(chance, count, value, half_width, kind, *limits):
        assert kind == "lognormal"
        shares = (np.arange(count) + 0.5) / count
        return value * (1 + half_width / value) ** (scipy.special.ndtri(shares) / 1.96)

    monkeypatch.setattr("hydrofunc.jobs.doubt.draw", evenly)
    path = tmp_path / "three.xlsx"
    path.write_bytes(book_with(**THREE | CERTAIN | {"doubt_roughness": 30.0, "roughness_3": 0.1, "basis": basis}))
    doubt(path, draws=200, csv=tmp_path / "draws.csv")
    with open(tmp_path / "draws.csv", encoding="utf-8-sig", newline="") as stream:
        watts = np.array([float(row["doubt_guess"]) for row in csv.DictReader(stream)])
    assert watts.std() == pytest.approx(stored(path, "doubt_uncertainty"), rel=0.05)
    assert watts.mean() == pytest.approx(stored(path, "doubt_mean"), rel=0.003)


def small(share):
    """Ranges so small that the watts follow straight lines, source ample, nothing at its bound."""
    found = {"bucket_seconds": 10.0, "contraction": 0.98}
    for doubtful in UNCERTAIN:
        found[f"doubt_{doubtful.key}"] = 100 * share if doubtful.percent else share
    return found


def test_the_live_band_is_scipys_derivatives_and_the_draws_agree(tmp_path):
    """GUM: u² = sum (c u)², c by scipy 1.17's derivative of the ledger; draws give the same where all is straight."""
    data = book_with(**small(0.001))
    book = read_book(data)
    value = {item.name: item.shown for item in INPUTS} | small(0.001)
    names = """gross_head bore_used roughness_used fittings_k phase_volts phase_resistance phase_inductance
        cable_resistance doubt_uncertainty"""
    keys = {name: book.resolve(name) for name in names.split()}
    result = compile_book(book, SHEET_FUNCTIONS, outputs=list(keys.values())).run()
    live = {name: result.value(key) for name, key in keys.items()}
    at = {
        "gross_head": live["gross_head"],
        "length": value["pipe_length"],
        "bore": live["bore_used"],
        "roughness": live["roughness_used"],
        "fittings": live["fittings_k"],
        "temperature": value["water_temperature"],
        "nozzle": value["nozzle"],
        **{
            name: value[name]
            for name in """velocity_coefficient contraction pitch_diameter deflection cup_friction alignment
        bearing_drag windage iron_drag diode_drop battery_volts""".split()
        },
        **{name: live[name] for name in "phase_volts phase_resistance phase_inductance cable_resistance".split()},
    }
    fixed = {"gravity": hydrofunc.gravity(value["latitude"], value["altitude"]), "pole_pairs": value["pole_pairs"]}
    total = 0.0
    for doubtful in UNCERTAIN:
        if doubtful.key in at:

            def watts(x, key=doubtful.key):
                return hydrofunc.power_ledger(**at | fixed | {key: x})

            x = at[doubtful.key]
            slope = derivative(watts, x, initial_step=x * 1e-3, tolerances={"rtol": 1e-7}).df
            width = value[f"doubt_{doubtful.key}"] * (x / 100 if doubtful.percent else 1)
            divisor = 3**0.5 if doubtful.kind == "rectangular" else 1.96
            total += (slope * width / divisor) ** 2
    assert live["doubt_uncertainty"] == pytest.approx(total**0.5, rel=0.01)
    path = tmp_path / "small.xlsx"
    path.write_bytes(data)
    found = doubt(path, draws=20_000)
    spread = found.spreads["doubt_guess"]
    assert (spread.high - spread.low) / 2 == pytest.approx(1.96 * total**0.5, rel=0.03)
    shares, labels = (
        dict(zip((each.label for each in found.uncertain), spread.shares)),
        stored(found.out, "doubt_labels"),
    )
    for label, share in zip(labels, stored(found.out, "doubt_shares")):
        assert 100 * shares.get(label, 0.0) == pytest.approx(share, abs=2.5)


def test_the_guess_is_not_always_the_nozzle_to_choose(tmp_path):
    """The nozzle by the guess takes nearly all the source is thought to give.

    If that is a guess, the smaller one is the better bet.
    """
    path = tmp_path / "edge.xlsx"
    path.write_bytes(book_with(doubt_source_flow=40.0))
    found = doubt(path, draws=DRAWS)
    assert found.guessed_nozzle.size == 7.0
    assert found.best_nozzle.size == 6.0 and found.best_nozzle.mean > found.guessed_nozzle.mean
    assert 0.3 < found.guessed_nozzle.best < 0.7


def test_a_draw_without_a_number_is_counted_and_too_many_are_refused(tmp_path):
    """Roughness beyond a twentieth of the bore has no friction factor."""
    path = tmp_path / "rough.xlsx"
    path.write_bytes(book_with(pipe_roughness=0.9, doubt_roughness=100.0, doubt_bore=5.0))
    found = doubt(path, draws=DRAWS)
    assert 0 < found.left_out < 0.05 * DRAWS
    assert stored(found.out, "drawn")[5] == found.left_out
    path.write_bytes(book_with(pipe_roughness=1.6, doubt_roughness=100.0, doubt_bore=15.0))
    with pytest.raises(FileRefused, match="gave no number"):
        doubt(path, tmp_path / "no.xlsx", DRAWS)
    assert not (tmp_path / "no.xlsx").exists()


def test_a_nozzle_wider_than_the_bore_drawn_gives_nothing(tmp_path):
    """It is a size at hand all the same."""
    path = tmp_path / "wide.xlsx"
    path.write_bytes(book_with(pipe_bore=20.1, doubt_bore=3.0))
    found = doubt(path, draws=DRAWS)
    assert found.left_out == 0 and found.nozzles[-1].size == 20.0


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        (CERTAIN, "everything is taken as certain"),
        ({"static_pressure": None}, "no watts to doubt yet. Give Static pressure"),
        ({"doubt_gross_head": -2.0}, "not negative"),
    ],
)
def test_a_sheet_that_makes_no_sense_is_refused(tmp_path, changes, words):
    path = tmp_path / "b.xlsx"
    path.write_bytes(books.changed(**changes))
    with pytest.raises(FileRefused, match=words):
        doubt(path, draws=200)
    assert [each.name for each in tmp_path.iterdir()] == ["b.xlsx"]


def test_a_workbook_without_the_sheet_is_refused(tmp_path):
    path = tmp_path / "other.xlsx"
    book = openpyxl.Workbook()
    book.active["A1"] = 1
    book.save(path)
    with pytest.raises(FileRefused, match="doubt_guess"):
        doubt(path)


def test_a_sheet_that_lost_a_name_makes_no_sense_and_is_refused(tmp_path):
    book = books.opened()
    del book.defined_names["doubt_values"]
    book.save(tmp_path / "lost.xlsx")
    with pytest.raises(FileRefused, match="has no sheet Doubt with the name doubt_values"):
        doubt(tmp_path / "lost.xlsx")


def test_a_kind_that_is_none_is_refused(tmp_path):
    book = books.opened()
    sheet, cells = next(book.defined_names["doubt_kinds"].destinations)
    book[sheet][cells.replace("$", "").split(":")[0]] = "triangular"
    book.save(tmp_path / "kind.xlsx")
    with pytest.raises(FileRefused, match="triangular"):
        doubt(tmp_path / "kind.xlsx")


def test_a_row_of_ones_own_is_drawn_too(tmp_path):
    """The last line made one's own: another label, another cell of the workbook, and the sheet needs no more."""
    book = books.opened()

    def last(name, value):
        sheet, cells = next(book.defined_names[name].destinations)
        book[sheet][cells.replace("$", "").split(":")[1]] = value

    for name, value in {
        "doubt_labels": "Gravity",
        "doubt_values": "=gravity",
        "doubt_states": "assumed",
        "doubt_widths": 0.08,
        "doubt_width_units": "m/s²",
        "doubt_kinds": "rectangular",
        "doubt_lowest": 9.7,
        "doubt_highest": 9.9,
        "doubt_cells": "gravity",
    }.items():
        last(name, value)
    for name, value in CERTAIN.items():
        if name != "doubt_controller_efficiency":
            sheet, cell = PLACE[name]
            book[sheet][cell] = value
    path = tmp_path / "own.xlsx"
    book.save(path)
    found = doubt(path, draws=DRAWS, csv=tmp_path / "d.csv")
    assert [(each.label, each.names) for each in found.uncertain] == [("Gravity", ("gravity",))]
    assert found.spreads["doubt_guess"].shares[0] > 0.95


def test_choices_stay_as_they_were_proposed(tmp_path):
    """A plant is built once: the wheel proposed for one head must not grow and shrink with the head that is drawn."""
    three = {"level_difference": 60.0, "pipe_length": 420.0, "pipe_bore": 32.6}
    path = tmp_path / "three.xlsx"
    path.write_bytes(splice(build(), {}, {PLACE[name]: value for name, value in three.items()}))
    found = doubt(path, draws=2000, outputs=["pitch_diameter", "phase_volts", "gross_head"], csv=tmp_path / "d.csv")
    states = {each.names[0]: each.state for each in found.uncertain}
    assert (
        states["pitch_diameter"] == "proposed" and states["alignment"] == "assumed" and states["pipe_length"] == "yours"
    )
    pitch, head = found.spreads["pitch_diameter"], found.spreads["gross_head"]
    assert (pitch.high - pitch.low) / pitch.guess < 0.06 < (head.high - head.low) / head.guess
    assert next(line.name for line in found.next) == "bucket_seconds"
    assert found.next[0].width < found.spreads["doubt_guess"].high - found.spreads["doubt_guess"].low


def test_the_command_prints_what_a_person_asks(tmp_path, monkeypatch):
    """Band, what matters, nozzle and chance; the file is written beside the book, and never over another unasked."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "b.xlsx").write_bytes(book_with())
    shown = CliRunner().invoke(main, ["doubt", "b.xlsx", "--draws", "500", "--outputs", "plant_flow"])
    assert shown.exit_code == 0, shown.output
    lines = shown.stdout.splitlines()
    assert re.match(
        r"Watts into the load: [\d.]+ W, 95 % of the draws [\d.]+ to [\d.]+ W; the guess", lines[0]
    ) and lines[1].startswith("plant_flow: ")
    assert any(line.startswith("Flow of the source") and " yours " in line for line in lines)
    assert any(line.startswith("1. ") and "the band is then about" in line for line in lines)
    assert any(line.startswith("Best on average: 7 mm. By the guess: 7 mm, the best in ") for line in lines)
    assert lines[-1] == "b-doubt.xlsx" and (tmp_path / "b-doubt.xlsx").exists()
    again = CliRunner().invoke(main, ["doubt", "b.xlsx", "--draws", "500"])
    assert again.exit_code == 1 and "exists already" in again.stderr
    for words, message in (
        (["--draws", "5"], "from 100"),
        (["--outputs", "speeed"], "did you mean speed"),
        (["--csv", "x.doc"], "can be written as"),
    ):
        refused = CliRunner().invoke(main, ["doubt", "b.xlsx", "--force", *words])
        assert refused.exit_code == 1 and message in refused.stderr


def test_several_workbooks_are_drawn_each_as_alone(tmp_path, monkeypatch):
    """In their order, in one process or two, byte by byte; what is refused is named and keeps no other back."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "b.xlsx").write_bytes(book_with())
    (tmp_path / "a.xlsx").write_bytes(book_with(pipe_length=300))
    alone = [doubt(name, draws=200) for name in ("b.xlsx", "a.xlsx")]
    copies = [found.out.read_bytes() for found in alone]
    names = ["b.xlsx", "missing.xlsx", "a.xlsx"]
    for cores in (1, 2):
        steps = []
        done = doubts(names, 200, force=True, cores=cores, progress=lambda *at, steps=steps: steps.append(at))
        first, refused, last = done
        assert [first, last] == alone and [found.out.read_bytes() for found in alone] == copies
        assert isinstance(refused, FileRefused) and str(refused).startswith("missing.xlsx: ")
        assert steps == [(1, 3), (2, 3), (3, 3)]
        for found in alone:
            found.out.write_bytes(b"to be overwritten")
    with pytest.raises(FileRefused, match=r"b-doubt.xlsx exists already(.|\n)*a-doubt.xlsx exists already"):
        list(doubts(names, 200))
    with pytest.raises(FileRefused, match=r"b-doubt.xlsx would be written twice"):
        list(doubts(["b.xlsx", "b.xlsx"], 200))


def test_the_command_draws_several_workbooks_and_says_which_it_does_not(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "b.xlsx").write_bytes(book_with())
    command = ["doubt", "b.xlsx", "--draws", "200", "--seed", "3", "--force"]
    alone = CliRunner().invoke(main, command)
    several = CliRunner().invoke(main, [*command, "missing.xlsx", "--cores", "1"])
    assert (alone.exit_code, several.exit_code) == (0, 1)
    assert several.stdout == alone.stdout and alone.stdout.endswith("b-doubt.xlsx\n")
    assert several.stderr.startswith("missing.xlsx: ") and several.stderr.endswith("1 of 2 workbooks drawn.\n")
    for words in (["--out", "o.xlsx"], ["--csv", "d.csv"]):
        assert CliRunner().invoke(main, [*command, "missing.xlsx", *words]).exit_code == 2
    assert CliRunner().invoke(main, [*command, "--cluster", "local:2"]).exit_code == 2
