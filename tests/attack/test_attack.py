"""The short attack of every change, and that the attacker sees what it is there to see."""

import os
import time
import warnings

import numpy as np
import pytest

from hydrofunc import catalogue  # noqa: F401  (fills the registry)
from hydrofunc.registry import FUNCTIONS, Argument, Example, Registry
from hydrofunc.workbook.files import write_bytes
from tests.attack import engine, engines, files, functions, hostile, lists, texts, workbooks
from tests.attack.score import Score

ROUNDS = 8  # some 15 s on one core


def test_no_function_crashes_hangs_or_is_wrong():
    score = functions.attack(seed=20261127, rounds=ROUNDS)
    assert score.findings == [], str(score)
    assert score.tried > 50 * len(FUNCTIONS)
    assert 0.1 < score.refused / score.tried < 0.4  # else it would try only what is allowed, or only what is not


def test_no_formula_crashes_hangs_or_differs_between_one_scenario_and_many():
    score = engine.attack(20261127, 400)
    assert score.findings == [], str(score)
    assert score.tried > 2000 and score.refused < 100


def test_our_engine_says_what_another_says():
    """All but a few of 1,000 random formulas; an engine alone may be wrong."""
    said = [answer for turn in range(2) for answer in engines.answers(f"20261127/{turn}", with_calc=False)]
    assert len([answer for answer in said if answer.differing]) <= 8


@pytest.mark.calc
def test_our_engine_says_what_calc_or_another_says():
    said = list(engines.answers("20261127/2", with_calc=True))
    unlike = [answer for answer in said if len(answer.differing) == 2]
    assert [answer for answer in unlike if not answer.is_known] == []
    assert len(unlike) <= 4


def test_no_list_is_read_otherwise_than_it_is_meant(tmp_path):
    score = lists.attack(20261127, 250, tmp_path)
    assert score.findings == [], str(score)
    assert score.tried == 250 and score.refused < 80


def test_a_text_that_is_dangerous_elsewhere_stays_a_text(tmp_path):
    score = texts.attack(20261127, 30, tmp_path)
    assert score.findings == [], str(score)
    assert score.tried == 180


@pytest.mark.parametrize(
    ("guard", "instead"),
    [
        ("hydrofunc.workbook.results._csv_word", lambda word: '"' + word.replace('"', '""') + '"'),
        ("hydrofunc.report.layout.escape", str),
        ("tests.attack.texts.file_stem", lambda text, used: text[:60]),
        ("tests.attack.texts.splice", lambda data, *_: data),
    ],
)
def test_the_attacker_sees_a_text_that_is_let_through(guard, instead, tmp_path, monkeypatch):
    monkeypatch.setattr(guard, instead)
    found = Score()
    for turn in range(30):
        found += texts.one_text(f"20261127/{turn}", tmp_path)
    assert found.findings


@pytest.mark.filterwarnings("ignore")  # of openpyxl, about what it would lose on saving
def test_a_damaged_workbook_is_recalculated_or_refused():
    score = workbooks.attack(20261127, 50)
    assert score.findings == [], str(score)
    assert 10 < score.refused < 40


def test_a_hostile_or_odd_workbook_is_refused_or_calculated_in_little_time_and_memory():
    score = hostile.in_little_memory(20261127)
    assert score.findings == [], str(score)
    assert score.tried >= 30 and 15 < score.refused < 25


def test_a_killed_run_leaves_a_whole_file_and_the_next_one_clears_up(tmp_path):
    score = Score()
    for turn in range(8):
        score += files.one_kill(f"20261127/{turn}", tmp_path)
    assert score.findings == [], str(score)
    left = list(tmp_path.glob(".*.part"))
    assert left  # else no kill fell into the writing, and nothing was tried
    for path in left:
        os.utime(path, (1e9, 1e9))
    write_bytes(tmp_path / "book.xlsx", b"new", force=True)
    assert [path.name for path in tmp_path.iterdir()] == ["book.xlsx"]


@pytest.mark.filterwarnings("ignore")  # of openpyxl, about what it would lose on saving
@pytest.mark.parametrize("is_whole", [True, False])
def test_a_killed_command_leaves_the_old_file_or_the_new_one(is_whole, tmp_path, monkeypatch):
    """`python -m tests.attack.files` kills five commands; here one, and one that writes straight into the old file."""
    (tmp_path / "book.xlsx").write_bytes(workbooks.whole())
    (tmp_path / "out").mkdir()
    out = tmp_path / "out" / "out.xlsx"
    if not is_whole:
        monkeypatch.setattr("hydrofunc.workbook.files.os.replace", torn)
    words = ["recalc", tmp_path / "book.xlsx", "--out", out, "--force"]
    for turn in range(8):
        score, in_the_middle, new = files.kills_of(words, [out], 20, f"20261127/{turn}")
        assert score.tried == 20 and (score.findings == []) == is_whole
        if in_the_middle and (new or not is_whole):
            return
    pytest.fail("no kill fell into the writing, or none behind it")  # of 20 some four are in the middle


def torn(source, target):
    """Copies slowly instead of changing the name: what a kill cuts short is neither old nor new."""
    with open(source, "rb") as stream, open(target, "wb", buffering=0) as other:
        other.write(stream.read(64))
        time.sleep(0.2)
        other.write(stream.read())
    os.unlink(source)


@pytest.mark.parametrize("room", [0, 1, 4096, files.SIZE - 1])
def test_a_file_without_room_leaves_the_old_one_and_is_named(room, tmp_path):
    score = files.full_disk(room, tmp_path)
    assert score.findings == [], str(score)


def test_two_runs_at_once_leave_one_whole_file(tmp_path):
    score = files.two_at_once(100, tmp_path)
    assert score.findings == [] and score.tried == 100, str(score)


def declared(physics, **changes):
    words = {
        "name": "toy",
        "group": "Toys",
        "help": "A toy.",
        "arguments": (Argument("bore", "-", "A number.", "(0, 500]"), Argument("flow", "-", "One more.", "[-9, 9]")),
        "unit": "-",
        "meaning": "A number.",
        "equation": "invented",
        "source": "invented for this test",
        "example": Example({"bore": 10.0, "flow": 1.0}, 1.0),
    } | changes
    return Registry().declare(physics, **words)


def raises(bore, flow):
    if np.any(np.less(flow, 0)):
        raise KeyError("flow")
    return bore


def warns(bore, flow):
    warnings.warn("of no use", stacklevel=1)
    return bore + flow


def waits(bore, flow):
    if np.any(np.greater(bore, 100)):
        started = time.process_time()
        while time.process_time() - started < 60:
            pass
    return bore + flow


def harms_its_neighbours(bore, flow):
    return bore * np.max(np.where(np.isfinite(flow), flow, 0.0))


@pytest.mark.parametrize(
    ("physics", "kind"),
    [(raises, "crashed"), (warns, "crashed"), (waits, "hung"), (harms_its_neighbours, "wrong")],
)
def test_the_attacker_sees(physics, kind, monkeypatch):
    monkeypatch.setattr(functions, "LIMIT", 0.05)
    score = Score()
    for turn in range(40):
        score += functions.one_round(declared(physics), f"see/{turn}")
        if score.findings:
            break
    assert getattr(score, kind) > 0
    assert score.findings[0].startswith(kind)


def test_the_same_seed_tries_the_same(monkeypatch):
    """So that a finding can be repeated from its words."""
    tried = []
    monkeypatch.setattr(functions, "_together", lambda function, lanes, *_: tried.append(str(lanes)))
    for _ in range(2):
        functions.one_round(FUNCTIONS["friction_head"], "7/friction_head/3")
    assert tried[0] == tried[1]
