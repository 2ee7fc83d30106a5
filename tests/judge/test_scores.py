"""The referee passes an honest product and finds the fault of each faulty one."""

import math
from dataclasses import replace

import pytest

from . import fakes, measuring
from .__main__ import main
from .names import FIRST, QUANTITIES
from .protocol import Answer, Facts, Product, load
from .scores import Referee, Report, Score, limits
from .sites import OWN

SPREAD = dict.fromkeys(QUANTITIES, 0.2) | {"source_flow": 12.0, "fittings_k": 6.0, "nozzle": 9.0, "alignment": 20.0}


def toy(facts: Facts, machine_at_hand: bool, stage: str) -> Answer:
    """A band that is the root of the squares of what has not been measured, so that the best advice is known."""

    def width(measured: set[str]) -> float:
        return math.sqrt(4 + sum(spread**2 for name, spread in SPREAD.items() if name not in measured))

    told = {name for name in QUANTITIES if name in facts and facts[name][1] is not None}
    left = [name for name in measuring.possible(stage) if name not in told]
    band = width(told)
    after = sorted(((name, width(told | {name})) for name in left), key=lambda item: item[1])
    machine: dict[str, float | str] = {"nozzle": 5.0, "pitch_diameter": 90.0, "phase_volts": 6.0, "connection": "star"}
    return Answer(100.0, 100 - band / 2, 100 + band / 2, machine, after)


def turned(product: Product) -> Product:
    """The same with the worst advice first."""

    def backward(facts: Facts, machine_at_hand: bool, stage: str) -> Answer:
        answer = product(facts, machine_at_hand, stage)
        return replace(answer, next=answer.next[::-1])

    return backward


def by_name(report: Report) -> dict[str, Score]:
    """Scores by their names."""
    return {score.name: score for score in report.scores}


def test_limits_of_clopper_and_pearson() -> None:
    """Against tables (0 of 10 by hand: 1 - 0.025^(1/10)), and the mirror."""
    assert limits(0, 10) == (0.0, pytest.approx(1 - 0.025**0.1))
    assert limits(10, 10) == (pytest.approx(0.025**0.1), 1.0)
    assert limits(5, 10) == (pytest.approx(0.1871, abs=1e-4), pytest.approx(0.8129, abs=1e-4))
    assert limits(43, 50)[1] < 0.95 < limits(44, 50)[1]


def test_a_score_says_whether_it_is_reached() -> None:
    """In counts, by limits, for information, and with nobody judged."""
    assert Score("a", 45, 50, 0.9).passed and not Score("a", 44, 50, 0.9).passed
    assert Score("a", 44, 50, 0.95, True).passed and not Score("a", 43, 50, 0.95, True).passed
    assert Score("a", 0, 50).passed and not Score("a", 0, 0, 0.5).passed
    assert "FAIL" in str(Score("a", 0, 0, 0.5)) and "pass" in str(Score("a", 5, 5, 0.5))
    assert "want" not in str(Score("a", 5, 5))


def test_an_honest_product_is_covered_and_an_overconfident_one_is_found_out() -> None:
    """At three facts, at eight, at thirteen, and with all: a band a third as wide fails at every one."""
    good = Referee(fakes.honest, seed=3).coverage(12)
    assert good.passed, str(good)
    bad = by_name(Referee(fakes.overconfident, seed=3).coverage(12, against=fakes.honest))
    assert len(bad) == 4
    assert not any(score.passed for score in bad.values())
    assert all(score.count == 12 for score in bad.values())


def test_the_walk_goes_where_the_product_sends_it() -> None:
    """One fact at a time, best first, each at its stage; the machine made between; at last all of them."""
    referee = Referee(toy, seed=2)
    for site in OWN.sites(2, 2):
        states = list(referee.walk(site))
        assert set(states[0].measured) == set(FIRST)
        assert set(states[-1].measured) == set(QUANTITIES) and states[-1].stage == "test day"
        order = list(states[-1].measured)[3:]
        assert order[0] == "source_flow"
        assert order.index("alignment") > order.index("nozzle")
        for state in states:
            assert set(state.measured) <= set(measuring.possible(state.stage))
            assert state.site.machine or state.stage == "survey"
            assert ("pole_pairs" in referee.facts(state.site, state.measured)) == state.site.machine
        if not site.at_hand:
            bench = next(state for state in states if state.stage == "bench")
            assert referee.facts(bench.site, bench.measured)["phase_volts"] == (6.0, None)


def test_half_ranges_are_told_or_not() -> None:
    """As the judge is asked to."""
    site = OWN.sites(2, 1)[0]
    measured = {"gross_head": (50.0, 1.0)}
    assert Referee(toy).facts(site, measured)["gross_head"] == (50.0, 1.0)
    assert Referee(toy, unsaid=True).facts(site, measured)["gross_head"] == (50.0, None)


def test_facts_needed_are_counted() -> None:
    """The toy needs its few wide quantities; asked in reverse it needs more, up to all there are."""
    good, bad = Referee(toy, seed=2), Referee(turned(toy), seed=2)
    assert good.facts_needed(6).passed
    site = next(site for site in OWN.sites(2, 6) if site.at_hand)
    # bench: sqrt(2² + 20²) = 20.1 with all, 30.2 wanted, 25.8 before: three facts do.
    # test day: 2.0 with all, 3.0 wanted: 20, 12, 9 and 6 must be measured, and do: 2.2.
    assert [facts for _, facts in good.short_walk(site)] == [3, 7]
    assert [facts for _, facts in bad.short_walk(site)] == [3, 26]
    assert not by_name(bad.facts_needed(6))["at most 13 facts, test day"].passed


def test_measure_next_is_judged_by_trying() -> None:
    """The toy's advice is the best there is; in reverse it is not; too early is worth nothing."""
    good = Referee(toy, seed=2).measure_next(6, draws=2)
    assert good.passed, str(good)
    bad = by_name(Referee(turned(toy), seed=2).measure_next(6, draws=2))
    assert not bad["next at three facts: 0.9 of the best"].passed
    assert not bad["next at three facts: best among three"].passed

    def hasty(facts: Facts, machine_at_hand: bool, stage: str) -> Answer:
        answer = toy(facts, machine_at_hand, stage)
        return replace(answer, next=[("alignment", 1.0), *answer.next])

    referee = Referee(hasty, seed=2)
    state = referee.start(OWN.sites(2, 1)[0])
    assert state.too_early() == ["alignment"]
    assert state.named()[0] == "source_flow"
    ratio, among, _ = referee.next_of(state, draws=2)
    assert ratio == 0 and among


def test_where_nothing_narrows_any_advice_will_do() -> None:
    """A band that no measurement changes."""

    def stiff(facts: Facts, machine_at_hand: bool, stage: str) -> Answer:
        return replace(toy(facts, machine_at_hand, stage), low=50.0, high=150.0)

    def silent(facts: Facts, machine_at_hand: bool, stage: str) -> Answer:
        return replace(stiff(facts, machine_at_hand, stage), next=[])

    for product in (stiff, turned(stiff), silent):
        referee = Referee(product, seed=2)
        assert referee.next_of(referee.start(OWN.sites(2, 1)[0]), draws=2)[:2] == (1.0, True)


def test_a_product_that_names_nothing_is_walked_to_the_end_all_the_same() -> None:
    """Its advice is worth nothing, and it never gets its band down."""

    def silent(facts: Facts, machine_at_hand: bool, stage: str) -> Answer:
        return replace(toy(facts, machine_at_hand, stage), next=[])

    referee = Referee(silent, seed=2)
    site = OWN.sites(2, 1)[0]
    assert [len(state.measured) for state in referee.walk(site)] == [3, 3, 3, 26]  # survey, bench, test day
    assert all(score.count == 2 for score in referee.coverage(2).scores)
    assert not by_name(referee.facts_needed(2))["at most 13 facts, test day"].passed
    assert referee.next_of(referee.start(site), draws=2)[:2] == (0.0, False)


def test_a_good_proposal_passes_and_a_miswound_one_does_not() -> None:
    """By what was assumed; half as many volts again lose, and the best volts are not in the range named."""
    good = Referee(fakes.honest, seed=1).proposals(6)
    assert good.passed, str(good)
    bad = by_name(Referee(fakes.miswound, seed=1).proposals(6))
    assert not bad["proposal at 0.96 of the best, assumed"].passed
    assert bad["best volts in the range named, assumed"].good == 0
    assert Referee(fakes.honest, seed=1).proposals(2, "truth").scores[0].wanted is None


def test_a_proposal_without_its_assumptions_is_not_judged_good() -> None:
    """None judged is a fail."""
    report = Referee(toy, seed=2).proposals(2)
    assert not report.passed


def test_nonsense_is_refused() -> None:
    """A band beside its mean, a proposal that no maker could follow."""

    def upside_down(facts: Facts, machine_at_hand: bool, stage: str) -> Answer:
        return Answer(100.0, 120.0, 90.0)

    def wordless(facts: Facts, machine_at_hand: bool, stage: str) -> Answer:
        return replace(toy(facts, machine_at_hand, stage), proposal={})

    site = next(site for site in OWN.sites(2, 4) if not site.at_hand)
    with pytest.raises(ValueError, match="no band"):
        Referee(upside_down).start(site)
    referee = Referee(wordless)
    with pytest.raises(ValueError, match="proposal lacks"):
        referee.made(referee.start(site))


def test_the_command_line(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Prints every score and whether all is reached; a product that is not there is named."""
    words = ["judge", "--product", "tests.judge.fakes:overconfident", "--sites", "2", "--draws", "1", "--seed", "3"]
    monkeypatch.setattr("sys.argv", words)
    assert main() == 1
    said = capsys.readouterr().out
    for part in ("coverage, 3 facts", "facts, test day", "next at bench", "proposal at 0.96", "NOT all reached"):
        assert part in said
    monkeypatch.setattr("sys.argv", [*words, "--population", "published", "--only", "facts"])
    main()
    said = capsys.readouterr().out
    assert "facts, test day" in said
    for part in ("coverage", "next at", "proposal at"):
        assert part not in said
    with pytest.raises(SystemExit, match="no product to judge"):
        load("tests.judge.nowhere:product")
