"""The trend of the log on invented seasons that had no part in making it (seed `LOOKED_AT_ONCE`).

Limits stand at what was measured (of 100 seasons a row) less two standard errors of it, or plus two for false alarms.
"""

import numpy as np
import pytest

from tests.diagnosis import season_score
from tests.diagnosis.season_score import KINDS, LOOKED_AT_ONCE

SEASONS = 100
# Shares said to fall after 30 and after 60 entries, as measured.
MEASURED = {
    (0.0, "plain"): (0.02, 0.00),
    (0.0, "dry spells"): (0.05, 0.03),
    (0.0, "outages, steps"): (0.00, 0.00),
    (0.0, "both"): (0.05, 0.04),
    (0.05, "plain"): (0.38, 0.89),
    (0.05, "dry spells"): (0.36, 0.89),
    (0.05, "outages, steps"): (0.27, 0.73),
    (0.05, "both"): (0.28, 0.69),
    (0.10, "plain"): (0.76, 1.00),
    (0.10, "dry spells"): (0.68, 0.96),
    (0.10, "outages, steps"): (0.70, 0.94),
    (0.10, "both"): (0.65, 0.92),
    (0.15, "plain"): (0.96, 1.00),
    (0.15, "dry spells"): (0.83, 0.99),
    (0.15, "outages, steps"): (0.90, 0.99),
    (0.15, "both"): (0.67, 0.97),
}


def said_to_fall(loss, kind, entries):
    return season_score.judged(season_score.seasons(LOOKED_AT_ONCE, SEASONS, kind, loss), entries)[0].mean()


def error(share):
    """Two standard errors of a share of so many seasons; of one that is 0 or 1 as if it were one season off."""
    share = np.clip(share, 1 / SEASONS, 1 - 1 / SEASONS)
    return 2 * np.sqrt(share * (1 - share) / SEASONS)


@pytest.mark.parametrize(("loss", "kind"), [key for key in MEASURED if key[0] > 0])
def test_a_slow_decline_is_said(loss, kind):
    for entries, measured in zip((30, 60), MEASURED[loss, kind]):
        assert said_to_fall(loss, kind, entries) >= measured - error(measured), entries


@pytest.mark.parametrize("kind", KINDS)
def test_where_nothing_declines_no_fall_is_said(kind):
    for entries, measured in zip((30, 60), MEASURED[0.0, kind]):
        assert said_to_fall(0.0, kind, entries) <= measured + error(measured), entries


def test_false_alarms_are_at_most_one_in_twenty():
    """Over all kinds of seasons, after 30 and after 60 entries."""
    alarms = [said_to_fall(0.0, kind, entries) for kind in KINDS for entries in (30, 60)]
    assert np.mean(alarms) <= 0.05


def test_the_day_on_which_a_decline_began():
    """15 % a year from some day on, nothing else: 0.93 within the days said to be as likely, 1.28 % a month."""
    _, _, inside, _, change = season_score.begins(LOOKED_AT_ONCE, SEASONS, "plain")
    assert inside >= 0.93 - error(0.93)
    assert change == pytest.approx(1.25, abs=0.1)


def test_the_score_would_notice_a_judge_that_always_sees_a_fall(monkeypatch):
    monkeypatch.setattr(season_score.slow_change, "slow_change", lambda values, *_: np.full(len(values), -1.0))
    assert said_to_fall(0.0, "plain", 30) > 0.9
