"""The adapter: what the judge tells, typed as a person would type it into an empty template; what the template says.

Only names are translated. `hydrofunc.jobs.estimate` fills the template and reads its sheet Doubt.

Where a judge's fact has no cell of its own:

- The head goes to the height by level, its ± to the line of the head on sheet Doubt.
- The sum of K of the fittings: the six fittings are counted as none, the entrance is the one that loses least, and the
  rest goes to "other losses".
- What has been ordered, not measured: the number of the order is typed, with the ± that the sheet Doubt showed before
  the order. Else the sheet would take it for measured.
- The cable is there: no maker is told of one. Unread it is "at hand".
- ± of length, conductor and warmth of the cable: sheet Doubt has one line for its resistance. The three are combined,
  with the sheet's own ± of warmth and joints.
- The nozzle that is ordered is the one made to measure (sheet Choices), as the judge's maker makes any size; what
  counts in the template until then is the next drill.
- A reading beyond what a cell allows, such as a contraction of 1.01, or a roughness beyond a twentieth of the bore:
  the nearest value that is allowed.
"""

from collections.abc import Mapping, Sequence
from functools import cache
from math import hypot
from typing import Any

from hydrofunc import fitting_loss
from hydrofunc.catalogue.pipe import ROUGHEST
from hydrofunc.jobs.estimate import Estimate, estimate, estimates
from hydrofunc.template import INPUTS, UNCERTAIN

from .names import ORDERED, QUANTITIES
from .protocol import Answer, Facts, Question

# The input into which a quantity is typed, where that is not of the same name.
INPUT_OF = {"gross_head": "level_difference", "source_flow": "known_flow"}
# Its line on the sheet Doubt, where that is not of the same name; those of the cable have none of their own.
LINE_OF = {
    "pipe_length": "length",
    "pipe_bore": "bore",
    "pipe_roughness": "roughness",
    "fittings_k": "fittings",
    "water_temperature": "temperature",
}
# What counts of it, where that is not of the same name.
COUNTS_OF = {"pipe_bore": "bore_used", "pipe_roughness": "roughness_used"}
# The quantity that a measurement gives, where the input that is named first has another name.
MEASURED_BY = {
    "static_pressure": "gross_head",
    "gauge_class": "gross_head",
    "bucket_seconds": "source_flow",
    "elbows_90": "fittings_k",
    "test_volts": "phase_volts",
    "terminal_resistance": "phase_resistance",
    "terminal_inductance": "phase_inductance",
}
CABLE = ("cable_area", "cable_temperature", "cable_length")
FITTINGS = ("elbows_90", "elbows_45", "long_bends", "gate_valves", "ball_valves", "globe_valves")
LEAST_ENTRANCE = "rounded entrance"
MADE = (*ORDERED, "connection")
NOZZLES = {"drilled": "drilled hole", "turned": "turned nozzle"}

_ITEMS = {item.name: item for item in INPUTS}
_LINES = {line.key: line for line in UNCERTAIN}
_ABOVE = 1e-6  # of the range of a cell, where an end of it is not allowed itself


class Adapter:
    """The product; it remembers its answers."""

    def __init__(self) -> None:
        self._said: dict[object, Answer] = {}

    def __call__(self, facts: Facts, machine_at_hand: bool, stage: str) -> Answer:
        """Watts, band, proposal and what to measure next."""
        return self.together([(facts, machine_at_hand, stage)])[0]

    def together(self, questions: Sequence[Question]) -> list[Answer]:
        """The answers to many questions, calculated at once."""
        keys = [(frozenset(facts.items()), at_hand, stage) for facts, at_hand, stage in questions]
        new = {key: question for key, question in zip(keys, questions, strict=True) if key not in self._said}
        told = estimates(typed(*question) for question in new.values())
        for (key, (facts, _, _)), said in zip(new.items(), told, strict=True):
            self._said[key] = _answer(facts, said)
        return [self._said[key] for key in keys]


product = Adapter()


def typed(facts: Facts, machine_at_hand: bool, stage: str) -> dict[str, Any]:
    """What is typed into the template, by name of its inputs."""
    cells: dict[str, Any] = {"stage": stage, "cable_is": "at hand"}
    if machine_at_hand:
        cells |= dict.fromkeys(("nozzle_is", "wheel_is", "alternator_is"), "at hand")
    for name, (value, half) in facts.items():
        if name == "system_volts":
            cells["battery_nominal"] = float(value)
        elif name == "nozzle_make":
            cells["nozzle_made"] = NOZZLES[str(value)]
        elif isinstance(value, str):
            cells[name] = value
        elif name == "pipe_roughness":
            cells[name] = _allowed(name, min(value, ROUGHEST * float(facts["pipe_bore"][0])))
        elif name == "fittings_k":
            bore = _allowed("pipe_bore", float(facts["pipe_bore"][0]))
            rest = value - float(fitting_loss(LEAST_ENTRANCE, bore))
            cells |= {"entrance": LEAST_ENTRANCE, "other_k": _allowed("other_k", rest)} | dict.fromkeys(FITTINGS, 0.0)
        else:
            cells[INPUT_OF.get(name, name)] = _allowed(INPUT_OF.get(name, name), value)
        line = LINE_OF.get(name, name)
        if line in _LINES and not isinstance(value, str):
            # With --unsaid nothing tells an order from a measurement: the wider ± of the two.
            if half is None and name in ORDERED and not machine_at_hand:
                cells |= _own(line, value, _before_the_order()[line], _LINES[line].percent)
            elif half:
                cells |= _own(line, value, half)
    return cells | _own_of_cable(facts)


def _own(line: str, value: float, half: float, is_share: bool = False) -> dict[str, float]:
    """A ± of one's own on the sheet Doubt: in the unit of the value, or in % of it as the line has it."""
    if _LINES[line].percent and not is_share:
        if value <= 0:
            return {}
        half = 100 * half / value
    return {f"doubt_{line}": _allowed(f"doubt_{line}", half)}


def _own_of_cable(facts: Facts) -> dict[str, float]:
    """The three quantities of a cable as one ± of its resistance, once its length and its conductor have one."""
    if not all(facts.get(name, (0.0, None))[1] for name in ("cable_length", "cable_area")):
        return {}
    shares = [100 * half / float(value) for value, half in _of(facts, "cable_length", "cable_area") if half and value]
    counts = _limits("copper_rise", "warmth_half", "joints_half")
    warmth = facts.get("cable_temperature", (0.0, None))[1] or counts["warmth_half"]
    return _own("cable_resistance", 1.0, hypot(*shares, counts["copper_rise"] * warmth, counts["joints_half"]), True)


def _of(facts: Facts, *names: str):
    return [facts[name] for name in names if name in facts]


def _limits(*names: str) -> dict[str, float]:
    return {name: _ITEMS[name].assumption.value for name in names}


def _allowed(name: str, value: float) -> float:
    """The nearest value that the cell allows."""
    low, high, low_in, high_in = _ITEMS[name].argument.bounds
    least, most = low if low_in else low + _ABOVE, high if high_in else high - _ABOVE
    return min(max(float(value), least), most)


@cache
def _before_the_order() -> Mapping[str, float]:
    """± on the sheet Doubt while nothing of the machine is chosen; of what is proposed they hang on no number."""
    return estimate({"level_difference": 50.0, "pipe_length": 200.0, "pipe_bore": 30.0}).halves


def _answer(facts: Facts, said: Estimate) -> Answer:
    """What the template says, in the judge's names."""
    proposal = {name: said.proposals[name] for name in MADE if name in said.proposals}
    if "nozzle" in proposal:
        proposal["nozzle"] = said.counts["proposed_nozzle"]
    counts = {name: said.counts[COUNTS_OF.get(name, name)] for name in (*QUANTITIES, "pole_pairs")}
    ranges = {"phase_volts": (said.counts["proposed_volts_low"], said.counts["proposed_volts_high"])}
    return Answer(
        said.mean,
        said.low,
        said.high,
        proposal,
        [(_measured(way.name, facts), way.width) for way in said.next],
        ranges if "phase_volts" in proposal else {},
        {name: value for name, value in counts.items() if name not in proposal},
    )


def _measured(name: str, facts: Facts) -> str:
    """The judge's name of what a measurement gives; a name of the template's where the judge has none.

    The resistance of a cable tells what is not known yet of the cable.
    """
    if name == "cable_resistance":
        return next((part for part in CABLE if part not in facts), CABLE[0])
    return MEASURED_BY.get(name, name)
