"""The referee: what an honest product must reach on sites whose truth is known.

A walk is what one person does with the product: three facts (`FIRST`), then always the first quantity named that can be
measured at the stage reached and has not been yet. With the machine at hand the bench is open from the start; else
there is the survey, then the machine is made to the product's proposal of that moment, then the bench; last the
test day. The readings of a site are the same in every walk.

Every share comes with its count and the limits of Clopper and Pearson (95 %). A coverage of 95 % is refused where
these limits exclude it; the wants of the brief on shares of sites are taken in proportion where fewer sites are
judged.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from scipy.stats import beta

from . import measuring, truth
from .names import FIRST, STAGES
from .optimum import best_machine, best_volts
from .population import Population, Site, as_delta, delivered, scaled, watts
from .protocol import Answer, Fact, Product, answers
from .sites import OWN

ENOUGH = 1.5  # times the width with everything measured
MOST_FACTS = 13
COUNTS = (3, 8, 13)
NOTHING_TO_GAIN = 0.02  # of the width: where no measurement narrows by more, any is as good
AS_GOOD = 0.98  # of the best narrowing: a draw with it
Measured = dict[str, tuple[float, float]]


def limits(good: int, count: int, confidence: float = 0.95) -> tuple[float, float]:
    """Clopper and Pearson's limits for a share."""
    tail = (1 - confidence) / 2
    low = float(beta.ppf(tail, good, count - good + 1)) if good else 0.0
    high = float(beta.ppf(1 - tail, good + 1, count - good)) if good < count else 1.0
    return low, high


@dataclass(frozen=True)
class Score:
    """A share of sites, what is wanted of it, and whether it is reached; `wanted` None is for information."""

    name: str
    good: int
    count: int
    wanted: float | None = None
    at_limit: bool = False

    @property
    def passed(self) -> bool:
        """By count; with `at_limit` as long as the limits of the share do not lie below what is wanted."""
        if self.wanted is None:
            return True
        if not self.count:
            return False
        if self.at_limit:
            return limits(self.good, self.count)[1] >= self.wanted
        return self.good >= math.ceil(self.wanted * self.count - 1e-9)

    def __str__(self) -> str:
        if not self.count:
            return f"{self.name}: none judged" + (" FAIL" if not self.passed else "")
        low, high = limits(self.good, self.count)
        verdict = "" if self.wanted is None else f" want {self.wanted:.0%}: {'pass' if self.passed else 'FAIL'}"
        return f"{self.name}: {self.good} of {self.count} ({low:.0%} to {high:.0%}){verdict}"


@dataclass
class Report:
    """Scores that count, and remarks for whoever reads them."""

    scores: list[Score] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    @property
    def passed(self) -> bool:
        """All that is wanted is reached."""
        return all(score.passed for score in self.scores)

    def add(self, other: "Report") -> None:
        """Take over another's scores and remarks."""
        self.scores += other.scores
        self.remarks += other.remarks

    def __str__(self) -> str:
        return "\n".join([*map(str, self.scores), *(f"  ({remark})" for remark in self.remarks)])


@dataclass(frozen=True)
class State:
    """A person at one moment: the site, what has been measured, the stage, and what the product says."""

    site: Site
    measured: Measured
    stage: str
    answer: Answer

    @property
    def width(self) -> float:
        """Of the band. [W]"""
        return self.answer.high - self.answer.low

    def left(self) -> list[str]:
        """What can be measured now and has not been."""
        return [name for name in measuring.possible(self.stage) if name not in self.measured]

    def named(self) -> list[str]:
        """What the product names of it, in its order."""
        left = set(self.left())
        return list(dict.fromkeys(name for name, _ in self.answer.next if name in left))

    def too_early(self) -> list[str]:
        """What the product names before that although it cannot be measured yet."""
        found = []
        for name, _ in self.answer.next:
            if name in self.left():
                break
            if name not in self.measured:
                found.append(name)
        return found


class Referee:
    """Judges one product on the sites of one seed and one population."""

    def __init__(self, product: Product, seed: int = 1, unsaid: bool = False, population: Population = OWN) -> None:
        """`unsaid`: the person tells no half ranges."""
        self.product = product
        self.population = population
        self.seed = seed
        self.unsaid = unsaid
        self.early: dict[str, int] = {}
        self._said: dict[Any, Answer] = {}

    def facts(self, site: Site, measured: Mapping[str, tuple[float, float]]) -> dict[str, Fact]:
        """What the product is told."""
        value = site.values
        facts: dict[str, Fact] = {
            "system_volts": (value["system_volts"], 0.0),
            "nozzle_make": ("drilled" if value["drilled"] > 0.5 else "turned", None),
            "altitude": (value["altitude"], 0.0),
            "latitude": (value["latitude"], 0.0),
        }
        if site.machine:
            facts["connection"] = ("delta" if value["delta"] > 0.5 else "star", None)
            facts["pole_pairs"] = (value["pole_pairs"], 0.0)
        for name, number in (site.proposal or {}).items():
            if name != "connection":
                facts[name] = (number, None)
        for name, (number, half) in measured.items():
            facts[name] = (number, None if self.unsaid else half)
        return facts

    def ask(self, site: Site, measured: Measured, stage: str) -> State:
        """The product's answer, checked for sense."""
        return self.ask_all(site, [measured], stage)[0]

    def ask_all(self, site: Site, many: Sequence[Measured], stage: str) -> list[State]:
        """The same for many states of knowledge of one site."""
        told = [self.facts(site, measured) for measured in many]
        keys = [(site.at_hand, stage, *sorted((name, str(fact)) for name, fact in facts.items())) for facts in told]
        new = {key: facts for key, facts in zip(keys, told, strict=True) if key not in self._said}
        said = answers(self.product, [(facts, site.at_hand, stage) for facts in new.values()])
        for key, answer in zip(new, said, strict=True):
            if not answer.low <= answer.mean <= answer.high or not math.isfinite(answer.high - answer.low):
                raise ValueError(f"no band: {answer.low} to {answer.high} about {answer.mean}, site {site.number}")
            self._said[key] = answer
        return [State(site, dict(measured), stage, self._said[key]) for measured, key in zip(many, keys, strict=True)]

    def start(self, site: Site) -> State:
        """Three facts."""
        measured = {name: measuring.usual(site, name) for name in FIRST}
        return self.ask(site, measured, "bench" if site.at_hand else "survey")

    def with_reading(self, state: State, name: str) -> State:
        """One more fact."""
        return self.ask(state.site, {**state.measured, name: measuring.usual(state.site, name)}, state.stage)

    def with_all(self, state: State) -> State:
        """Everything measured that can be at this stage."""
        readings = {name: measuring.usual(state.site, name) for name in state.left()}
        return self.ask(state.site, {**state.measured, **readings}, state.stage)

    def made(self, state: State) -> Site:
        """The site with its machine: its own, or made to the product's proposal of this moment."""
        if state.site.machine:
            return state.site
        if missing := {"nozzle", "pitch_diameter", "phase_volts"} - set(state.answer.proposal):
            raise ValueError(f"the proposal lacks {', '.join(sorted(missing))}, site {state.site.number}")
        return delivered(state.site, state.answer.proposal, state.site.rng("maker"))

    def next_stage(self, state: State) -> State | None:
        """The same facts a stage later, the machine made; None after the last."""
        place = STAGES.index(state.stage) + 1
        return self.ask(self.made(state), state.measured, STAGES[place]) if place < len(STAGES) else None

    def _noted(self, state: State) -> None:
        for name in state.too_early():
            key = f"{name} at {state.stage}"
            self.early[key] = self.early.get(key, 0) + 1

    def walk(self, site: Site) -> Iterator[State]:
        """To the end: every stage until the product names nothing more, at last with everything measured."""
        state: State | None = self.start(site)
        while state is not None:
            yield state
            self._noted(state)
            named = state.named()
            if named:
                state = self.with_reading(state, named[0])
            elif state.stage == STAGES[-1] and state.left():
                state = self.with_all(state)
            else:
                state = self.next_stage(state)

    def short_walk(self, site: Site) -> Iterator[tuple[State, int | None]]:
        """At each stage only until the band is narrow enough: (its first state, facts then, or None for never)."""
        first: State | None = self.start(site)
        while first is not None:
            state = first
            goal = ENOUGH * self.with_all(first).width
            while state.width > goal and (named := state.named()):
                state = self.with_reading(state, named[0])
            yield first, len(state.measured) if state.width <= goal else None
            first = self.next_stage(state)

    def covered(self, state: State) -> bool:
        """Do the true watts lie in the band?"""
        return state.answer.low <= watts(self.made(state)) <= state.answer.high

    def coverage(self, count: int = 50, against: Product | None = None) -> Report:
        """Score a. `against`: a product whose widths are set beside, as a remark."""
        hits: dict[str, list[bool]] = {name: [] for name in (*(f"{facts} facts" for facts in COUNTS), "all facts")}
        widths: dict[str, list[float]] = {name: [] for name in hits}
        wider: dict[str, list[float]] = {name: [] for name in hits}
        other = Referee(against, self.seed, self.unsaid, self.population) if against else None
        for site in self.population.sites(self.seed, count):
            seen: dict[str, State] = {}
            for state in self.walk(site):
                for facts in COUNTS:  # the first state with so many, or the last with fewer where no more are named
                    before = seen.get(f"{facts} facts")
                    if len(state.measured) <= facts and (before is None or len(state.measured) > len(before.measured)):
                        seen[f"{facts} facts"] = state
                seen["all facts"] = state
            for name in hits:
                state = seen[name]
                hits[name].append(self.covered(state))
                widths[name].append(state.width / max(state.answer.mean, 1e-9))
                if other:
                    beside = other.ask(state.site, state.measured, state.stage).width
                    wider[name].append(state.width / max(beside, 1e-9))
        report = Report([Score(f"coverage, {name}", sum(hit), len(hit), 0.95, True) for name, hit in hits.items()])
        for name, width in widths.items():
            words = f", {np.median(wider[name]):.2f} times the judge's own" if wider[name] else ""
            report.remarks.append(f"width at {name}: median {np.median(width):.0%} of the mean{words}")
        report.remarks += [f"asked too early: {name}, {times} times" for name, times in sorted(self.early.items())]
        return report

    def facts_needed(self, count: int = 50) -> Report:
        """Score b."""
        needed: dict[str, list[float]] = {stage: [] for stage in STAGES}
        for site in self.population.sites(self.seed, count):
            for first, facts in self.short_walk(site):
                needed[first.stage].append(math.inf if facts is None else facts)
        report = Report()
        for stage, numbers in needed.items():
            good = sum(number <= MOST_FACTS for number in numbers)
            report.scores.append(Score(f"at most {MOST_FACTS} facts, {stage}", good, len(numbers), 1.0))
            if numbers:
                words = f"median {np.median(numbers):.0f}, most {max(numbers):.0f}"
                report.remarks.append(f"facts needed, {stage}: {words}")
        return report

    def _after(self, state: State, names: Iterable[str], others: list[Site]) -> dict[str, list[float]]:
        """Widths of the band after one more reading, of each of these names, taken on each of these sites."""
        rows = [(name, place, other) for name in names for place, other in enumerate(others)]
        many = [
            {
                **state.measured,
                name: measuring.measure(other, name, measuring.usual_way(other, name), other.rng("next", name, place)),
            }
            for name, place, other in rows
        ]
        widths: dict[str, list[float]] = {name: [] for name in names}
        for (name, _, _), after in zip(rows, self.ask_all(state.site, many, state.stage), strict=True):
            widths[name].append(after.width)
        return widths

    def next_of(self, state: State, draws: int = 4) -> tuple[float, bool, float]:
        """(narrowing of the first named over the best, best among the first three, width told over found).

        The person does not know the truth, so the reading is not the site's alone: every measurement is tried with
        the same `draws` sites, the true one and others that could stand behind the same facts; the four best and
        the first three named then with three times as many more. What is behind the best by less than the standard
        error of that difference counts as equal to it, else a shorter lucky row of readings would be the best. A
        first name that cannot be measured yet narrows by nothing. What was measured already is passed over.
        """
        others = self.population.alike(state.site, state.measured, state.site.rng("alike", state.stage), 4 * draws - 1)
        tried, more = [state.site, *others[: draws - 1]], others[draws - 1 :]
        widths = self._after(state, state.left(), tried)
        fresh = list(dict.fromkeys(name for name, _ in state.answer.next if name not in state.measured))
        leading = sorted(widths, key=lambda name: float(np.mean(widths[name])))[:4]
        longest = self._after(state, list(dict.fromkeys(leading + [n for n in fresh[:3] if n in widths])), more)
        longer = {name: np.array(widths[name] + found) for name, found in longest.items()}
        if not longer:
            return 1.0, True, math.nan
        best = min(longer, key=lambda name: float(np.mean(longer[name])))
        most = state.width - float(np.mean(longer[best]))

        def share(name: str) -> float:
            if name not in longer:
                return 0.0
            if most <= NOTHING_TO_GAIN * state.width:
                return 1.0
            behind = longer[name] - longer[best]
            doubt = float(np.std(behind, ddof=1)) / math.sqrt(len(behind))
            return min(1.0, 1 - (float(np.mean(behind)) - doubt) / most)

        told = dict(state.answer.next)
        found = float(np.mean(longer[fresh[0]])) if fresh and fresh[0] in longer else math.nan
        ratio = told[fresh[0]] / found if found > 0 else math.nan
        shares = [share(name) for name in fresh[:3]] or [float(most <= NOTHING_TO_GAIN * state.width)]
        return shares[0], max(shares) >= AS_GOOD, ratio

    def measure_next(self, count: int = 50, draws: int = 4, later: bool = True) -> Report:
        """Score c: at the three facts of each site, and with `later` at the first state of each stage after."""
        results: dict[str, list[tuple[float, bool, float]]] = {}
        for site in self.population.sites(self.seed, count):
            if not later:
                results.setdefault("three facts", []).append(self.next_of(self.start(site), draws))
                continue
            for place, (first, _) in enumerate(self.short_walk(site)):
                name = "three facts" if place == 0 else first.stage
                results.setdefault(name, []).append(self.next_of(first, draws))
        report = Report()
        for name, found in results.items():
            ratios = np.array([ratio for ratio, _, _ in found])
            told = [ratio for _, _, ratio in found if math.isfinite(ratio)]
            report.scores += [
                Score(f"next at {name}: 0.9 of the best", int((ratios >= 0.9).sum()), len(found), 0.90),
                Score(f"next at {name}: 0.7 of the best", int((ratios >= 0.7).sum()), len(found), 1.0),
                Score(f"next at {name}: best among three", sum(good for _, good, _ in found), len(found), 0.96),
            ]
            words = f", width told over found {np.median(told):.2f}" if told else ""
            report.remarks.append(f"next at {name}: least {ratios.min():.2f}, median {np.median(ratios):.2f}{words}")
        return report

    def proposals(self, count: int = 30, known: str = "assumed") -> Report:
        """Score d, with everything of the survey measured, on `count` sites without a machine.

        `known` "assumed": all that is not proposed has the values the product assumed, and the copper is the
        proposal's, so that only the search is judged. "truth": the true values, and the copper of the judge's
        reference machine, so that what the product took for granted is judged too: for information, as nobody knows
        the contraction of a nozzle that is not made.
        """
        ratios, inside = [], []
        wanted = 1.0 if known == "assumed" else None
        for site in [site for site in self.population.sites(self.seed, 2 * count) if not site.at_hand]:
            answer = self.with_all(self.start(site)).answer
            if known == "assumed" and not answer.assumed:
                continue  # none judged is a fail
            proposed, reference = self._proposed(site, answer, known)
            ratios.append(float(truth.watts_of(proposed)) / best_machine(reference).watts)
            if "phase_volts" in answer.ranges:
                low, high = answer.ranges["phase_volts"]
                inside.append(low <= best_volts(proposed) <= high)
        good = sum(ratio >= 0.96 for ratio in ratios)
        report = Report([Score(f"proposal at 0.96 of the best, {known}", good, len(ratios), wanted)])
        report.scores.append(Score(f"best volts in the range named, {known}", sum(inside), len(inside), wanted))
        if ratios:
            words = f"least {min(ratios):.3f}, median {np.median(ratios):.3f} of the best"
            report.remarks.append(f"proposal, {known}: {words}")
        return report

    @staticmethod
    def _proposed(site: Site, answer: Answer, known: str) -> tuple[dict[str, Any], dict[str, Any]]:
        """(values of the proposal, values of the reference machine) for `proposals`."""
        told = {name: float(value) for name, value in answer.proposal.items() if name != "connection"}
        told["delta"] = as_delta(answer.proposal.get("connection", "star"))
        if known == "truth":
            wound = {name: told[name] for name in ("nozzle", "pitch_diameter", "phase_volts", "delta")}
            return scaled({**site.values, **wound}, site.values), dict(site.values)
        assumed = {**answer.assumed, **told}
        proposed = {**scaled({**site.values, **told}, site.values), **assumed}
        return proposed, proposed


PARTS = ("coverage", "facts", "next", "proposals")


def judged(referee: Referee, count: int, draws: int, against: Product | None, only: str | None = None) -> Report:
    """All scores of a product, or those of one of `PARTS`."""
    fewer = max(1, 3 * count // 5)
    parts: dict[str, list[Callable[[], Report]]] = {
        "coverage": [lambda: referee.coverage(count, against)],
        "facts": [lambda: referee.facts_needed(count)],
        "next": [lambda: referee.measure_next(count, draws)],
        "proposals": [lambda: referee.proposals(fewer), lambda: referee.proposals(fewer, "truth")],
    }
    report = Report()
    for part in [only] if only else PARTS:
        for scores in parts[part]:
            report.add(scores())
    return report
