"""What every population of true sites shares: a site, the machine a maker brings, and what may stand behind readings.

A `Population` is a value: its draws and its limits. `sites` holds the judge's own, `sites_published` another whose
distributions rest on published measurements.

Half of the sites have wheel, nozzle and alternator at hand. For the other half the same draws are a reference
machine of the population's: only its copper (ohms over volts squared), inductance (alike) and drags are used, and
`delivered` makes the machine that a maker brings for a proposal. Volts and turns rise together, and resistance and
inductance with their square, for the same copper in the same slots. Windage grows with the fifth power of the
wheel's diameter at the same speed (similarity of fans, n³ D⁵; from memory).
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from . import truth
from .names import QUANTITIES
from .truth import Array

Draw = Callable[[dict[str, Array], np.random.Generator, int], Array]
LEAST = {"deflection": 120.0, "pipe_roughness": 0.0015, "left_in_stream": 0.0, "water_temperature": 0.5}
MOST = {
    "deflection": 179.0,
    "cup_friction": 1.0,
    "alignment": 1.0,
    "velocity_coefficient": 1.0,
    "contraction": 1.0,
    "left_in_stream": 95.0,
}
MACHINE = ("nozzle", "pitch_diameter", "phase_volts", "phase_resistance", "phase_inductance", "windage")
LOT = 256
TRIES = 20  # for one reading and one site of `posterior`
SOFTENING = 1.0  # how much `posterior` lets readings say of what they depend on


def choice(rng: np.random.Generator, n: int, of: Any, shares: Any) -> Array:
    """n of these values, each as often as its share."""
    return rng.choice(np.asarray(of, dtype=float), n, p=shares)


def lognormal(rng: np.random.Generator, n: int, median: Any, spread: float) -> Array:
    """n values about a median; `spread` is the standard deviation of their logarithm."""
    return median * np.exp(rng.normal(0.0, spread, n))


def by_name(functions: Sequence[Draw]) -> dict[str, Draw]:
    """Draws by the names of their functions without the leading underscore."""
    return {function.__name__[1:]: function for function in functions}  # type: ignore[attr-defined]


@dataclass(frozen=True)
class Site:
    """One true site.

    `values` holds every quantity, those of `CHOICES` in numbers, and what the judge needs beside them. `machine`
    says whether wheel, nozzle and alternator exist; `proposal` is what a maker was told, where one was.
    """

    seed: int
    number: int
    at_hand: bool
    values: dict[str, float]
    machine: bool
    proposal: dict[str, float | str] | None = None

    def rng(self, *words: str | int) -> np.random.Generator:
        """Random numbers of this site for one purpose: the same whenever they are asked for."""
        key = [self.seed, self.number]
        for word in words:
            key.extend(word.encode() if isinstance(word, str) else [word])
        return np.random.default_rng(key)

    def having(self, **values: float) -> "Site":
        """The same site with other true values."""
        return replace(self, values={**self.values, **values})


def scaled(values: truth.Values, reference: truth.Values, copper: bool = True) -> dict[str, Any]:
    """Values with resistance and inductance for the same copper as the reference's, and windage for its size.

    Volts count per winding, so that star or delta makes no difference here.
    """
    turns = (np.asarray(values["phase_volts"]) / reference["phase_volts"]) ** 2
    size = np.asarray(values["pitch_diameter"]) / reference["pitch_diameter"]
    changed = dict(values)
    if copper:
        changed["phase_resistance"] = reference["phase_resistance"] * turns
    changed["phase_inductance"] = reference["phase_inductance"] * turns
    changed["windage"] = reference["windage"] * size**5
    return changed


def as_delta(value: float | str) -> float:
    """1 for delta, 0 for star."""
    return {"star": 0.0, "delta": 1.0}[value] if isinstance(value, str) else float(value)


def made(values: Mapping[str, Any], proposal: Mapping[str, float | str], rng: np.random.Generator, n: int) -> Any:
    """Values of n sites with the machines that makers bring for a proposal.

    Making tolerances (own): opening +0.03 ± 0.07 mm turned, +0.10 ± 0.10 mm drilled; pitch circle ± 0.8 %; volts
    ± 3 %; ohms +2 ± 6 %, inductance ± 10 % (standard deviations). Without proposed ohms the maker uses the copper
    of the judge's reference machine; inductance and windage are those of that machine, scaled, unless proposed.
    """
    told = {name: float(number) for name, number in proposal.items() if name != "connection"}
    wanted = scaled({**values, **told}, values, copper="phase_resistance" not in told)
    if "phase_inductance" in told:
        wanted["phase_inductance"] = told["phase_inductance"]
    error = rng.normal(size=(5, n))
    drilled = np.asarray(values["drilled"]) > 0.5
    wanted["nozzle"] = wanted["nozzle"] + np.where(drilled, 0.10 + 0.10 * error[0], 0.03 + 0.07 * error[0])
    wanted["pitch_diameter"] = wanted["pitch_diameter"] * (1 + 0.008 * error[1])
    wanted["phase_volts"] = wanted["phase_volts"] * (1 + 0.03 * error[2])
    wanted["phase_resistance"] = wanted["phase_resistance"] * np.exp(0.02 + 0.06 * error[3])
    wanted["phase_inductance"] = wanted["phase_inductance"] * np.exp(0.10 * error[4])
    wanted["delta"] = np.full(n, as_delta(proposal.get("connection", "star")))
    return wanted


def delivered(site: Site, proposal: Mapping[str, float | str], rng: np.random.Generator) -> Site:
    """The site with the machine a maker brings for a proposal."""
    values = made({name: np.array([value]) for name, value in site.values.items()}, proposal, rng, 1)
    numbers = {name: float(np.asarray(value).ravel()[0]) for name, value in values.items()}
    return replace(site, values=numbers, machine=True, proposal=dict(proposal))


def _picked(options: Array, likely: Array, rng: np.random.Generator) -> Array:
    """One of several draws for each site, each as often as its reading is likely. Both have draws by sites."""
    reached = np.cumsum(likely, axis=0)
    n = likely.shape[1]
    place = np.minimum((reached < rng.random(n) * reached[-1]).sum(axis=0), len(likely) - 1)
    return options[place, np.arange(n)]


def _likely(drawn: Any, reading: tuple[float, float]) -> Any:
    value, half = reading
    return np.exp(-0.5 * ((drawn - value) / max(half / 1.96, 1e-9)) ** 2) + 1e-12


def _about(name: str, reading: tuple[float, float], rng: np.random.Generator, n: int) -> Array:
    value, half = reading
    drawn = rng.normal(value, half / 1.96, n)
    return np.clip(drawn, LEAST.get(name, 0.02 * abs(value) + 1e-4), MOST.get(name, np.inf))


def _resampled(values: dict[str, Array], weight: Array, rng: np.random.Generator) -> dict[str, Array]:
    n = len(weight)
    comb = (np.arange(n) + rng.random()) / n
    place = np.minimum(np.searchsorted(np.cumsum(weight) / weight.sum(), comb), n - 1)
    place = rng.permutation(place)
    return {name: array[place] for name, array in values.items()}


def _weighed(name: str, options: Array, reading: tuple[float, float], rng: np.random.Generator) -> tuple[Array, Array]:
    """(values of one quantity by its reading, weight of each site); a reading nobody foresees is taken as it is."""
    likely = _likely(options, reading)
    weight = likely.mean(axis=0)
    if (likely > 0.01).sum() < 20:
        return _about(name, reading, rng, len(weight)), np.ones_like(weight)
    return np.where(weight > 1e-9, _picked(options, likely, rng), _about(name, reading, rng, len(weight))), weight


@dataclass(frozen=True, eq=False)
class Population:
    """Who has such plants and what they have: how every quantity is drawn, and what nobody would build.

    `draws`: one function for a quantity, in an order in which each needs only those before it. Beside `QUANTITIES`
    it has what the judge reads: `CHOICES` in numbers, `drilled`, `best_flow` [m³/s], `pipe_outside`, `pipe_wall` and
    `cable_print`. A sensible plant gives from `least_watts` to `most_watts` into the battery, and its jet is
    thicker than `thinnest_jet` [mm].
    """

    name: str
    draws: Mapping[str, Draw]
    least_watts: float
    most_watts: float
    thinnest_jet: float

    def __post_init__(self) -> None:
        """Refuse a population without a quantity of the judge."""
        if missing := set(QUANTITIES) - set(self.draws):
            raise ValueError(f"population {self.name} does not draw {', '.join(sorted(missing))}")

    def drawn(self, rng: np.random.Generator, n: int) -> dict[str, Array]:
        """All values of n sites as arrays, none thrown away yet."""
        values: dict[str, Array] = {}
        for name, draw in self.draws.items():
            values[name] = draw(values, rng, n)
        values["pipe_print"] = values["pipe_outside"] - 2 * values["pipe_wall"]
        return values

    def sensible(self, values: dict[str, Array]) -> Array:
        """Which of a population anybody would build."""
        watts = truth.watts_of(values)
        thin = values["nozzle"] * np.sqrt(values["contraction"])
        return (watts > self.least_watts) & (watts < self.most_watts) & (thin > self.thinnest_jet)

    def sites(self, seed: int, n: int) -> list[Site]:
        """n random true sites; every second one has its machine at hand."""
        rng = np.random.default_rng([seed, 7])
        found: list[dict[str, float]] = []
        while len(found) < n:  # in lots of one size, so that fewer sites are the first of more
            values = self.drawn(rng, LOT)
            good = np.flatnonzero(self.sensible(values))
            found += [{name: float(array[place]) for name, array in values.items()} for place in good]
        return [
            Site(seed, number, number % 2 == 0, values, number % 2 == 0)
            for number, values in enumerate(found[:n], start=1)
        ]

    def posterior(
        self,
        choices: Mapping[str, float],
        measured: Mapping[str, tuple[float, float]],
        rng: np.random.Generator,
        n: int,
        ordered: Mapping[str, float | str] | None = None,
    ) -> dict[str, Array]:
        """Values of n sites that could stand behind readings: a particle filter over `draws`.

        What was chosen is fixed. Each measured quantity is drawn `TRIES` times for each site, and draws are kept, and
        sites weighed, as their reading is likely. `ordered`: the machine was made to this proposal, and what was
        measured of it is weighed after it is made.

        With many readings hardly any site would be left that foresees them all, and the rest would be too much alike.
        The weights are therefore softened by the number of readings: the more there are, the less each says of what it
        depends on, which leaves the spread rather too wide than too narrow.
        """
        values: dict[str, Array] = {}
        weight = np.ones(n)
        soft = min(1.0, SOFTENING / max(len(measured), 1))
        later = [name for name in MACHINE if name in measured] if ordered else []
        for name, draw in self.draws.items():
            if name in choices:
                values[name] = np.full(n, float(choices[name]))
                continue
            values[name] = draw(values, rng, n)
            if name not in measured or name in later:
                continue
            options = np.stack([values[name], *(draw(dict(values), rng, n) for _ in range(TRIES - 1))])
            values[name], share = _weighed(name, options, measured[name], rng)
            weight = weight * (share / share.max()) ** soft
            if weight.sum() ** 2 / (weight**2).sum() < 0.4 * n:
                values, weight = _resampled(values, weight, rng), np.ones(n)
        values["pipe_print"] = values["pipe_outside"] - 2 * values["pipe_wall"]
        good = self.sensible(values)
        if good.sum() > n // 20:
            weight = weight * good
        if ordered:
            options_made = [made(values, ordered, rng, n) for _ in range(TRIES)]
            values = options_made[0]
            for name in later:
                options = np.stack([option[name] for option in options_made])
                values[name], share = _weighed(name, options, measured[name], rng)
                weight = weight * (share / share.max()) ** soft
        return _resampled(values, weight, rng)

    def alike(
        self, site: Site, measured: Mapping[str, tuple[float, float]], rng: np.random.Generator, n: int
    ) -> list[Site]:
        """Other sites that could stand behind the same facts; what was chosen stays."""
        fixed = ["system_volts", "altitude", "latitude", "drilled"] + (["delta", "pole_pairs"] if site.at_hand else [])
        choices = {name: site.values[name] for name in fixed}
        if site.machine and not site.at_hand:
            choices["pole_pairs"] = site.values["pole_pairs"]
        values = self.posterior(choices, measured, rng, max(400, n), site.proposal)
        return [
            replace(site, values={name: float(array[place]) for name, array in values.items()}) for place in range(n)
        ]


def watts(site: Site) -> float:
    """True watts into the battery of a site whose machine exists."""
    if not site.machine:
        raise ValueError("this site has no machine yet")
    return truth.watts(site.values)
