"""Every check can say good and can say stop: a judgement that cannot go red is none."""

import pytest

from hydrofunc.template import INPUTS, metrics
from hydrofunc.template.model import Table
from hydrofunc.template.pages import CHECKS, PLACED
from hydrofunc.template.pages.checks import WAITS
from tests import books
from tests.template import parts

TABLE = next(item for _, item in PLACED["Checks"] if isinstance(item, Table) and item.key == "checks")
# Inputs that turn the check of this label to stop, and, where the template's own example does not, to good.
STOP = {
    "Water the nozzle takes, of the flow you may use": {"bucket_seconds": 60.0},
    "Nozzle size, of the best one": {"nozzle": 20.0},
    "Gross head lost in pipe and fittings": {"nozzle": 20.0, "bucket_seconds": 5.0},
    "Static pressure, of the weakest rating": {"pipe_rating": 5.0},
    "Gauge and level survey differ by": {"level_difference": 90.0},
    "Pitch circle over jet": {"pitch_diameter": 40.0},
    "Speed ratio off the best by": {"battery_volts": 13.0, "pitch_diameter": 400.0},
    "Watts into the battery": {"battery_volts": 400.0},
    "Overlap of the diodes": {"terminal_inductance": 60.0, "battery_volts": 13.0, "terminal_resistance": 0.1},
    "Open volts at runaway, of what the parts stand": {"voltage_limit": 30.0},
    "Open volts at runaway, against touch": {"test_volts": 200.0},
    "Current, of what windings and bridge carry": {"current_limit": 1.0},
    "Volts lost in the cable": {"cable_area": 0.5, "cable_length": 200.0},
}
GOOD = {
    "Gauge and level survey differ by": {"level_difference": 63.0},
    "Overlap of the diodes": {"terminal_inductance": 0.2},
    "Open volts at runaway, against touch": {"test_volts": 10.0, "battery_volts": 13.5},
    "Volts lost in the cable": {"cable_area": 16.0},
}
for _part in parts.WITH_CHECKS:
    STOP |= _part.STOP
    GOOD |= _part.GOOD
BY_NOTHING = (  # stop only if the workbook itself is changed
    "The workbook's own sums differ by",
    "Route rows without a row in each of its tables",
)


CASES = [("stop", label) for label in STOP] + [("good", label) for label in (*STOP, *BY_NOTHING)]


def cell_of(label, column="G"):
    return "Checks", f"{column}{TABLE.first + [cells[0] for cells in TABLE.rows].index(label)}"


@pytest.fixture(scope="module")
def judgements(sheet):
    """What each check says to the inputs made for it, all cases in one run."""
    together = sheet.run_all([(STOP if wanted == "stop" else GOOD).get(label, {}) for wanted, label in CASES])
    return {case: lane.value(cell_of(case[1])) for case, lane in zip(CASES, together)}


def test_every_check_is_tried():
    """A new check must come with inputs that turn it red."""
    labels = [check.label for check in CHECKS]
    assert len(set(labels)) == len(labels) and set(labels) == {*STOP, *BY_NOTHING}


@pytest.mark.parametrize("label", STOP)
def test_a_check_says_stop(judgements, label):
    """With inputs that deserve it."""
    assert judgements["stop", label] == "stop"


@pytest.mark.parametrize("label", [*STOP, *BY_NOTHING])
def test_a_check_says_good(judgements, label):
    """With inputs that deserve it."""
    assert judgements["good", label] == "good"


def test_what_nobody_gave_is_never_judged_good(sheet):
    """No flow given: it is assumed, and the check says what to give. No head at all: nothing is judged."""
    thirst = cell_of("Water the nozzle takes, of the flow you may use")
    assert sheet.run(bucket_seconds=None).value(thirst).startswith("not looked at: give Bucket fills in or ")
    result = sheet.run(static_pressure=None, level_difference=None)
    for label in ("Water the nozzle takes, of the flow you may use", "Watts into the battery"):
        assert result.value(cell_of(label)) not in ("good", "look")


# Checks of what is designed or proposed, and of the workbook itself: they judge no reading.
OF_THE_PLAN = {
    "Gross head, of the length of the pipe",
    "Nozzle size, of the best one",
    "Gross head lost in pipe and fittings",
    "Pitch circle over jet",
    "Speed ratio off the best by",
    "Watts into the battery",
    "Drag of bearings, iron and air, of the jet's power",
    "Overlap of the diodes",
    "Open volts at runaway, against touch",
    "Volts lost in the cable",
    "Current, of what the cable carries",
    "Best volts, of the window in which the controller works",
    "Doubt about the watts, of the mean",
    *BY_NOTHING,
}
THREE = {"level_difference": 60.0, "pipe_length": 420.0, "pipe_bore": 32.6}


@pytest.mark.parametrize("known", [{}, THREE])
def test_what_nobody_read_is_not_looked_at(sheet, known):
    """All checks of an empty workbook, and of one that knows a head, a length and a bore: none that judges a reading
    says good, or anything but what to give.
    """
    empty = dict.fromkeys(item.name for item in INPUTS if item.name != "units")
    result = sheet.run(**(empty | known))
    said = {check.label: str(result.value(cell_of(check.label))) for check in CHECKS}
    judged = {label for label, word in said.items() if not word.startswith(f"{WAITS}: give ")}
    assert judged == (OF_THE_PLAN if known else set())
    assert all(len(word) > len(f"{WAITS}: give ") for label, word in said.items() if label not in judged)


def test_a_changed_formula_turns_the_ledger_check_red():
    """The checks of the workbook itself go red when somebody breaks a line of the ledger,
    or lengthens one table of the route alone.
    """
    import io
    import re

    from hydrofunc.engine.compile import compile_book
    from hydrofunc.registry import FUNCTIONS
    from hydrofunc.workbook.reading import read_book

    book = books.opened()
    for name, broken in {"ledger_cable": "=0", "battery_watts": "=100"}.items():
        sheet_title, cell = book.defined_names[name].attr_text.replace("$", "").replace("'", "").split("!")
        book[sheet_title][cell] = broken
    area = book.defined_names["drawn_rows"]
    area.attr_text = re.sub(r"\d+$", lambda last: str(int(last[0]) - 1), area.attr_text)
    stream = io.BytesIO()
    book.save(stream)
    changed = read_book(stream.getvalue())
    result = compile_book(changed, {f.sheet_name: f for f in FUNCTIONS.values()}).run({}, lanes=1)
    for label in BY_NOTHING:
        assert result.value(cell_of(label)) == "stop"


FIRST = next(item for _, item in PLACED["Checks"] if isinstance(item, Table) and item.key == "checks_first")


def first_rows(result):
    """(label, judgement) of the table that stands before the list."""
    rows = range(FIRST.first, FIRST.last + 1)
    return [tuple(result.value(("Checks", f"{letter}{row}")) for letter in "BG") for row in rows]


@pytest.mark.parametrize("inputs", [{}, {"pipe_rating": 5.0, "current_limit": 1.0}, {"bucket_seconds": None}])
def test_what_says_stop_stands_first_then_what_says_look_then_what_waits_for_an_input(sheet, inputs):
    """As many as there is room for; and where all are there, a line says so."""
    result = sheet.run(**inputs)
    words = [result.value(cell_of(check.label))[:13] for check in CHECKS]
    grades = ("stop", "look", WAITS)
    wanted = [(check.label, word) for grade in grades for check, word in zip(CHECKS, words) if word == grade]
    assert len(wanted) > 2 and len(wanted) + words.count("good") == len(CHECKS)
    shown = [*wanted, ("all others say good", "")][: len(FIRST.rows)]
    assert first_rows(result) == shown + [("", "")] * (len(FIRST.rows) - len(shown))


def test_what_waits_says_what_to_give(sheet):
    """Where the others have their reason."""
    result = sheet.run()
    rows = range(FIRST.first, FIRST.last + 1)
    waiting = [row for row in rows if result.value(("Checks", f"G{row}")) == WAITS]
    assert waiting and all(result.value(("Checks", f"H{row}")).startswith("give ") for row in waiting)
    assert [row for row in rows if result.value(("Checks", f"H{row}")).startswith("give ")] == waiting


def test_a_check_that_says_stop_shows_its_number_while_others_wait(sheet):
    """What nobody gave for one check hides nothing of another."""
    result = sheet.run(voltage_limit=None, current_limit=None, own_wall=None, pipe_bore=40.8, nozzle=30.0)
    value_of = {check.label: result.value(cell_of(check.label, "C")) for check in CHECKS}
    graver = [
        row for row in range(FIRST.first, FIRST.last + 1) if result.value(("Checks", f"G{row}")) in ("stop", "look")
    ]
    assert len(graver) > 2
    for row in graver:
        label, shown = (result.value(("Checks", f"{letter}{row}")) for letter in "BC")
        assert shown == value_of[label] and shown != "", label


def test_the_reasons_have_room_in_the_table_that_stands_first():
    """Its rows are made before it is known which check will stand in them."""
    sheet = books.opened()["Checks"]
    fonts = sheet[f"B{FIRST.first}"].font, sheet[f"H{FIRST.first}"].font
    for check in CHECKS:
        # where the grade of polyethylene is assumed, two reasons go on
        more = " It counts as the weakest grade (PE100): give the grade printed on it." if check.adds else ""
        for column, words, font in zip("BH", (check.label, check.why + more), fonts):
            lines = metrics.lines(words, sheet.column_dimensions[column].width, font.sz, font.b)
            assert metrics.height(lines, font.sz) <= sheet.row_dimensions[FIRST.first].height, words


def luminance(colour):
    """Of RRGGBB, from 0 to 1 (ITU-R BT.601, the weights of grey printing in most programs; from memory)."""
    return sum(share * int(colour[i : i + 2], 16) / 255 for share, i in ((0.299, 0), (0.587, 2), (0.114, 4)))


def test_in_black_and_white_the_graver_judgement_is_the_darker_one():
    """Stop is bold too, and framed."""
    sheet = books.opened()["Checks"]
    for block, rules in sheet.conditional_formatting._cf_rules.items():
        looks = {rule.formula[0].strip('"'): rule.dxf for rule in rules}
        assert set(looks) == {"stop", "look", "good"}, block.sqref
        grey = {word: luminance(look.fill.bgColor.rgb[-6:]) for word, look in looks.items()}
        assert grey["stop"] < grey["look"] - 0.1 and grey["look"] < grey["good"] - 0.1
        stop = looks["stop"]
        assert stop.font.b and not any(looks[word].font and looks[word].font.b for word in ("look", "good"))
        assert all(getattr(stop.border, side).style == "thin" for side in ("left", "right", "top", "bottom"))
    assert len(sheet.conditional_formatting._cf_rules) == 2
