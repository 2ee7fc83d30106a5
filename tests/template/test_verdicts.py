"""What Checks, Diagnosis and Test day say of a number, at and around each limit."""

import pytest

from hydrofunc.template.pages import common, diagnosis, test_day


@pytest.mark.parametrize(
    ("value", "word"),
    [
        (79.9, "good"),
        (80.0, "good"),
        (80.1, "look"),
        (100.0, "look"),
        (100.1, "stop"),
        ("", "not looked at: give a flow"),
        ("thicker cable first", "stop"),
        ("#NUM!", "stop"),
        (None, "stop"),
    ],
)
def test_a_check_is_good_up_to_one_limit_and_stops_beyond_the_other(value, word):
    """Good to 80, stop beyond 100; words and errors are never good, and nothing is not judged."""
    known = {"value": value, "good": 80.0, "stop": 100.0, "give": "give a flow"}
    known["of_no_number"] = common.of_no_number().value(known)
    assert common.judgement(low_is_bad=False).value(known) == word


@pytest.mark.parametrize(
    ("value", "word"), [(9.1, "good"), (9.0, "good"), (8.9, "look"), (7.0, "look"), (6.9, "stop"), ("#N/A", "stop")]
)
def test_a_check_of_which_little_is_bad(value, word):
    """Pitch circle over jet: 9 or more is good, less than 7 is not to be built."""
    known = {"value": value, "good": 9.0, "stop": 7.0, "of_no_number": "stop"}
    assert common.judgement(low_is_bad=True).value(known) == word


@pytest.mark.parametrize(
    ("reading", "word"),
    [
        (2.89, "lower"),
        (2.9, "as expected"),
        (3.0, "as expected"),
        (3.1, "as expected"),
        (3.11, "higher"),
        (None, ""),
        ("", ""),
    ],
)
def test_a_reading_of_the_test_day_lies_in_its_band_or_not(reading, word):
    """A gauge that should read 2.9 to 3.1 bar; where there is no band, nothing is said."""
    assert test_day.JUDGEMENT.value({"reading": reading, "low": 2.9, "high": 3.1}) == word
    assert test_day.JUDGEMENT.value({"reading": reading, "low": "", "high": ""}) == ""


@pytest.mark.parametrize(
    ("uncertainty", "misfit", "word"),
    [
        (0.0, 5.0, "not taken"),
        (0.03, 2.0, "fits the rest"),
        (0.03, 2.01, "too high for the rest"),
        (0.03, -2.0, "fits the rest"),
        (0.03, -2.01, "too low for the rest"),
        (0.03, "", "fits the rest"),
    ],
)
def test_two_standard_deviations_are_ordinary(uncertainty, misfit, word):
    """One reading of twenty lies beyond them by chance (JCGM 100:2008, G.1.2: 95.45 %; from memory, not looked up)."""
    assert diagnosis.READING_SAYS.value({"uncertainty": uncertainty, "misfit": misfit, "day_ordinary": 2.0}) == word


def test_the_two_likeliest_faults_are_marked():
    """Once something was read."""
    known = {"test_count": 4, "fault_first_number": 3, "fault_second_number": 0}
    ranks = [diagnosis.RANKED.value(known | {"number": fault}) for fault in range(5)]
    assert ranks == ["next", "", "", "likeliest", ""]
    nothing_read = {"fault_first_number": "", "fault_second_number": ""}
    assert [diagnosis.RANKED.value(nothing_read | {"number": fault}) for fault in range(5)] == [""] * 5


@pytest.mark.parametrize(
    ("share", "word"),
    [(79.9, "read more before you change anything"), (80.0, "sure enough to look there first")],
)
def test_nothing_is_changed_on_the_plant_before_a_fault_is_likely_enough(share, word):
    """From 80 % on; with no reading nothing is said."""
    known = {"test_count": 4, "fault_first_share": share, "fault_sure": 80.0}
    assert diagnosis.ADVICE.value(known) == word
    assert diagnosis.ADVICE.value(known | {"test_count": 0, "fault_first_share": ""}) == ""


@pytest.mark.parametrize(
    ("estimate", "word"), [(8.0, "no"), (9.0, "no"), (9.01, "yes"), (7.0, "no"), (6.99, "yes"), ("", "")]
)
def test_a_value_has_changed_if_it_is_off_by_more_than_twice_its_doubt(estimate, word):
    """A nozzle planned with 8 mm, measured to 0.5 mm."""
    assert diagnosis.CHANGED.value({"estimate": estimate, "planned": 8.0, "spread": 0.5, "day_ordinary": 2.0}) == word
