"""Declaration: one function that asks a whole plant, which stands in a block of names and values."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from typing import Any

import numpy as np

from ..errors import InputError
from ..physics import plant as physics
from ..physics.ledger import LINES
from ..registry import (
    REQUIRED,
    Argument,
    Cells,
    Example,
    Function,
    PlantFunction,
    Prepared,
    Rule,
    declare,
    from_cells,
)
from . import nomenclature as n
from .alternator import WHOLE_POLES
from .cable import AREA, CONDUCTOR_TEMPERATURE, LENGTH_ONE_WAY, MATERIAL
from .memory import Memory
from .nozzle import WHOLE_JETS, WITHIN_PIPE
from .operating_point import LOAD_RULES, SOURCE
from .pipe import NEXT_BORES, NEXT_ROUGHNESSES, SMOOTH_ENOUGH
from .wheel import FASTEST, NO_IRON_DRAG

MEMORY = Memory(limit=32_000_000)

# Rows of the block. One that is not there has the default of its argument.
INPUTS = (
    n.GROSS_HEAD,
    n.LENGTH,
    n.BORE,
    n.ROUGHNESS,
    n.FITTINGS,
    n.LENGTH_2,
    n.BORE_2,
    n.ROUGHNESS_2,
    n.LENGTH_3,
    n.BORE_3,
    n.ROUGHNESS_3,
    n.TEMPERATURE,
    n.GRAVITY,
    n.AVAILABLE_FLOW,
    n.NOZZLE,
    n.JETS,
    n.VELOCITY_COEFFICIENT,
    n.CONTRACTION,
    n.PITCH_DIAMETER,
    n.DEFLECTION,
    n.CUP_FRICTION,
    n.ALIGNMENT,
    n.BEARING_DRAG,
    n.WINDAGE,
    n.PHASE_VOLTS,
    n.POLE_PAIRS,
    n.PHASE_RESISTANCE,
    n.PHASE_INDUCTANCE,
    n.CONNECTION,
    n.DIODE_DROP,
    n.IRON_DRAG,
    n.CABLE_RESISTANCE,
    LENGTH_ONE_WAY.with_(name="cable_length"),
    AREA.with_(name="cable_area"),
    MATERIAL.with_(name="cable_material"),
    CONDUCTOR_TEMPERATURE.with_(name="cable_temperature"),
    n.LOAD,
    n.BATTERY_VOLTS,
    n.LOAD_RESISTANCE,
    n.CONTROLLER_EFFICIENCY,
)
STATE = (n.SPEED, n.D_C_CURRENT)  # only as a pair; else those at which the plant settles
_STATE_NAMES = tuple(argument.name for argument in STATE)
_ARGUMENTS = {argument.name: argument for argument in (*INPUTS, *STATE)}
_RUNAWAY = ("runaway_speed", "runaway_volts", "shorted_peak_speed", "shorted_speed")
_WHEN_RUNAWAY = _ARGUMENTS | {argument.name: argument for argument in (*FASTEST, NO_IRON_DRAG)}
CHANGEABLE = tuple(_ARGUMENTS)
# Rows that may be empty because they then say "none": no limit, no further section, another kind of load. Any other
# row that a quantity needs must hold a value, as an empty cell may well be one that could not be worked up.
MAY_BE_EMPTY = frozenset(
    a.name
    for a in (
        *(n.AVAILABLE_FLOW, n.BATTERY_VOLTS, n.LOAD_RESISTANCE, n.CONTROLLER_EFFICIENCY),
        *(n.LENGTH_2, n.BORE_2, n.ROUGHNESS_2, n.LENGTH_3, n.BORE_3, n.ROUGHNESS_3),
    )
)

_SECTIONS = ("length", "bore", "roughness", "length_2", "bore_2", "roughness_2", "length_3", "bore_3", "roughness_3")
# A rule, and the inputs it looks at: it holds for a quantity that needs them all.
RULES: tuple[tuple[Rule, tuple[str, ...]], ...] = (
    (WHOLE_JETS, ("jets",)),
    (SMOOTH_ENOUGH, ("roughness", "bore")),
    *((rule, _SECTIONS) for rule in (*NEXT_BORES, *NEXT_ROUGHNESSES)),
    (WITHIN_PIPE, ("nozzle", "jets", *_SECTIONS)),
    (WHOLE_POLES, ("pole_pairs",)),
    *((rule, ("load", rule.argument)) for rule in LOAD_RULES if rule is not WHOLE_POLES),
)

# What may be asked: name, unit, meaning.
QUANTITIES: dict[str, tuple[str, str]] = {
    "flow": ("L/s", "Flow through pipe and jets."),
    "net_head": ("m", "Total head before the nozzle."),
    "lost_head": ("m", "Head lost in pipe and fittings."),
    "friction_head": ("m", "Head lost to friction in the pipe."),
    "minor_head": ("m", "Head lost in fittings."),
    "pipe_velocity": ("m/s", "Velocity in the first pipe section."),
    "reynolds_number": ("-", "Reynolds number in the first pipe section."),
    "static_pressure": ("bar", "Gauge pressure at the nozzle with the valve shut."),
    "running_pressure": ("bar", "Gauge pressure at the nozzle while water flows."),
    "jet_velocity": ("m/s", "Velocity of the jet."),
    "jet_diameter": ("mm", "Diameter of the jet."),
    "jet_power": ("W", "Power in the jets."),
    "jet_force": ("N", "Force of the jets on a wall that stops them."),
    "best_nozzle": ("mm", "Nozzle of most jet power."),
    "best_nozzle_flow": ("L/s", "Flow that the best nozzle takes."),
    "best_nozzle_power": ("W", "Jet power that the best nozzle gives."),
    "pipe_power_limit": ("W", "Greatest power the water can have at the lower end of the pipe."),
    "speed": ("rpm", "Speed of the wheel: as it settles, or as changed."),
    "speed_ratio": ("-", "Cup speed over jet velocity."),
    "cup_efficiency": ("-", "Share of the jet's power that ideal cups take at that speed ratio."),
    "cup_count": ("-", "Number of cups (Taygun)."),
    "jet_ratio": ("-", "Pitch diameter over jet diameter."),
    "specific_speed": ("rpm", "Specific speed nq."),
    "stall_torque": ("N·m", "Torque of the wheel held still."),
    "wheel_torque": ("N·m", "Torque at the shaft."),
    "wheel_power": ("W", "Power at the shaft."),
    "windage_power": ("W", "Power lost to windage."),
    "runaway_speed": ("rpm", "Speed with no load."),
    "runaway_volts": ("V", "Open d.c. volts at runaway."),
    "operating_speed": ("rpm", "Speed at which the plant settles."),
    "operating_current": ("A", "Direct current at which the plant settles."),
    "operating_volts": ("V", "Volts at the load's end of the cable."),
    "operating_power": ("W", "Watts into the battery or resistor."),
    "load_volts": ("V", "The same as operating_volts."),
    "current": ("A", "Direct current: as the plant settles, at a changed speed, or as changed."),
    "charging_current": ("A", "Direct current at the speed, averaged bridge; not for a controller."),
    "cut_in_speed": ("rpm", "Speed at which a battery begins to be charged; 0 for other loads."),
    "electrical_frequency": ("Hz", "Frequency of the alternator."),
    "open_circuit_volts": ("V", "D.c. volts at the speed with no load."),
    "rectified_volts": ("V", "D.c. volts at the bridge."),
    "alternator_torque": ("N·m", "Torque with which the alternator brakes, iron not counted."),
    "electrical_torque": ("N·m", "The same with the iron's drag."),
    "overlap_angle": ("°", "Overlap of the diodes, electrical."),
    "copper_loss": ("W", "Heat in the windings."),
    "diode_loss": ("W", "Heat in the bridge."),
    "shorted_current": ("A", "Rms amperes in each lead at the speed with the alternator's leads joined."),
    "shorted_torque": ("N·m", "Torque with which the shorted alternator brakes at the speed, iron not counted."),
    "shorted_heat": ("W", "Heat in the windings at the speed with the leads joined."),
    "shorted_peak_speed": ("rpm", "Speed at which the shorted alternator brakes most, up to runaway."),
    "shorted_speed": ("rpm", "Speed to which the wheel comes down from runaway with the leads joined."),
    "cable_loss": ("W", "Heat along the cable."),
    "cable_drop": ("V", "Volts lost along the cable."),
    "cable_resistance": ("Ω", "Resistance of the cable, out and back, as it counts."),
    **{physics.watts_name(line): ("W", f"Line {line} of the power ledger.") for line in LINES},
    "plant_efficiency": ("%", "Watts into the load over the gross power of the water."),
}

PLANT = Argument("plant", "text", "The plant: a range of two columns, names and values.", many=True, part="block")
NAMES = Argument(
    "names", "text", "Names of inputs that have another value here.", many=True, part="names", default="none"
)
VALUES = Argument(
    "values",
    "-",
    "Their values, as many as names; blank: as in the plant.",
    "(-inf, inf)",
    many=True,
    part="values",
    default="as in the plant",
)
QUANTITY = Argument(
    "quantity",
    "text",
    "What is asked, such as flow, net_head, operating_speed or battery_watts.",
    choices=tuple(QUANTITIES),
    part="quantity",
)


def resolve(own: Mapping[str, Cells], block: Mapping[str, Cells], changed: Mapping[str, Cells]) -> Any:
    """The function of single inputs that gives the quantity, and the `Cells` of its arguments.

    Raises `ValueError` for an unknown quantity, and for a name that may not be changed.
    """
    quantity = listed("quantity", own["quantity"].values, tuple(QUANTITIES))
    only_changeable(changed)
    inputs, worked_up = plant_cells(block, changed)
    given = frozenset(name for name in _STATE_NAMES if name in changed)
    needed = _needed(quantity, given, worked_up)
    function = _single(quantity, given, worked_up, empty_rows(needed, block, changed))
    return function, [inputs.get(argument.name, Cells()) for argument in function.arguments]


def plant_cells(block: Mapping[str, Cells], changed: Mapping[str, Cells]) -> tuple[dict[str, Cells], bool]:
    """The cells that count by name; and whether the cable's resistance is worked up from its length and area.

    It is where one of those is changed: a change counts more than the row `cable_resistance`, which was worked up
    before it. And where there is no such row, but one of the cable's length.
    """
    inputs = {name: cells for name, cells in block.items() if name not in changed and name not in _STATE_NAMES}
    inputs |= changed
    if "cable_resistance" in changed:
        return inputs, False
    if any(name in changed for name in physics.CABLE):
        return inputs, True
    return inputs, _is_empty(inputs.get("cable_resistance")) and not _is_empty(inputs.get("cable_length"))


def cells_with_cable(
    block: Mapping[str, Cells], changed: Mapping[str, Cells]
) -> tuple[dict[str, Cells], Mapping[str, Cells]]:
    """The cells that count by name, the cable's resistance worked up where it is to be; and the rows left to judge."""
    inputs, worked_up = plant_cells(block, changed)
    if worked_up:
        rows = {name: cells for name, cells in inputs.items() if name != "cable_resistance"}
        inputs["cable_resistance"] = Cells(
            *from_cells(*resolve({"quantity": Cells("cable_resistance")}, rows, changed))
        )
        block = {name: cells for name, cells in block.items() if name != "cable_resistance"}
    return inputs, block


def empty_rows(needed: tuple[str, ...], block: Mapping[str, Cells], changed: Mapping[str, Cells]) -> frozenset[str]:
    """The needed rows that are there, but empty in some scenario, and may not be."""
    return frozenset(
        name
        for name in needed
        if name in block
        and name not in changed
        and name not in MAY_BE_EMPTY
        and block[name].errors is None
        and (block[name].values is None or getattr(block[name].values, "dtype", None) is np.dtype(object))
    )


def _is_empty(cells: Cells | None) -> bool:
    return cells is None or (cells.values is None and cells.errors is None)


def only_changeable(changed: Mapping[str, Cells], known: tuple[str, ...] = CHANGEABLE) -> None:
    """Raises `ValueError` for a changed name that may not be changed."""
    for name in changed:
        listed("names", name, known)


def listed(argument: str, word: object, known: tuple[str, ...]) -> str:
    """The word as it is declared, if it is on the list. Raises `ValueError`."""
    text = "_".join(word.lower().split()) if isinstance(word, str) else ""
    if text in known:
        return text
    if word is None:
        raise ValueError(f"{argument}: is missing; it must be one of {', '.join(known)}")
    near = get_close_matches(text, known, n=1)
    hint = f"Did you mean {near[0]}? " if near else ""
    raise ValueError(f"{argument}: {word!r} is not on the list. {hint}It must be one of {', '.join(known)}")


@lru_cache(maxsize=16)
def _steps(given: frozenset[str], worked_up: bool) -> Mapping[str, physics.Step]:
    return physics.steps_with(given, worked_up)


def needed_for(quantity: str) -> tuple[str, ...]:
    """Names of the inputs that a quantity of a settled plant needs, its cable's resistance being known."""
    return _needed(quantity, frozenset(), False)


def argument(name: str) -> Argument:
    """The argument of an input of the plant."""
    return _ARGUMENTS[name]


@lru_cache(maxsize=1024)
def _needed(quantity: str, given: frozenset[str], worked_up: bool) -> tuple[str, ...]:
    needed = physics.inputs_of(quantity, _steps(given, worked_up))
    return tuple(name for name in CHANGEABLE if name in needed)  # in one order, so that readers are shared


# A function of the single inputs that a quantity needs. Plain numbers, and arrays that cannot change, are read and
# judged once for all quantities that need the same, and the steps to one quantity serve the next: `physics` adds them
# to the inputs.
@dataclass(frozen=True)
class _Single(Function):
    reader: "_Reader | None" = None

    def _prepared(self, inputs: Sequence[Any]) -> Prepared:
        arrays = any(isinstance(value, np.ndarray) for value in inputs)
        try:
            return (
                _lanes_prepared_once(self.reader, *map(_same, inputs))
                if arrays
                else _prepared_once(self.reader, *inputs)
            )
        except TypeError:  # what is no number and no word, such as a list or an array that may change
            return super()._prepared(inputs)

    def _answer(self, si: dict[str, Any]) -> Any:
        return self.physics(si)


# `typed`, as 1.0 and TRUE are equal to Python.
@lru_cache(maxsize=256, typed=True)
def _prepared_once(reader: "_Reader", *inputs: Any) -> Prepared:
    return reader.function._prepared(inputs)


# A block in a sweep is asked for all its quantities before the next one: few entries do, and arrays need memory.
@lru_cache(maxsize=8, typed=True)
def _lanes_prepared_once(reader: "_Reader", *inputs: Any) -> Prepared:
    return reader.function._prepared([item.array if type(item) is _Same else item for item in inputs])


class _Same:
    """An array that cannot change any more; equal where it is the same array."""

    __slots__ = ("array",)

    def __init__(self, array: np.ndarray[Any, Any]) -> None:
        self.array = array

    def __hash__(self) -> int:
        return id(self.array)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.array is self.array


def _same(value: Any) -> Any:
    """An array that cannot be written and owns its data as `_Same`; any other value as it is."""
    if not isinstance(value, np.ndarray) or value.flags.writeable or not value.flags.owndata:
        return value
    return _Same(value)


class _Reader:
    """What reads the inputs of all quantities that need the same; equal to itself only, so that it is found fast."""

    def __init__(self, needed: tuple[str, ...], must_hold: frozenset[str], runaway: bool = False) -> None:
        arguments = _WHEN_RUNAWAY if runaway else _ARGUMENTS
        self.function = Function(
            **_WORDS,
            arguments=without_defaults((arguments[name] for name in needed), must_hold),
            unit="-",
            meaning="The inputs.",
            rules=tuple(rule for rule, names in RULES if set(names) <= set(needed)),
            physics=physics.plant,
        )


_reader = lru_cache(maxsize=256)(_Reader)


@lru_cache(maxsize=4096)
def _single(quantity: str, given: frozenset[str], worked_up: bool, must_hold: frozenset[str]) -> Function:
    """The function of the single inputs that a quantity needs; those in `must_hold` have no default."""
    steps, needed = _steps(given, worked_up), _needed(quantity, given, worked_up)

    def answer(known: dict[str, Any]) -> Any:
        # A copy, since a remembered array is shared.
        return np.array(physics.solved(quantity, known, steps, MEMORY))[()]

    unit, meaning = QUANTITIES[quantity]
    reader = _reader(needed, must_hold, quantity in _RUNAWAY)
    return _Single(
        **_WORDS,
        arguments=reader.function.arguments,
        unit=unit,
        meaning=meaning,
        rules=reader.function.rules,
        physics=answer,
        reader=reader,
    )


def without_defaults(arguments: Iterable[Argument], must_hold: frozenset[str]) -> tuple[Argument, ...]:
    """The same arguments, those in `must_hold` without a default; and all of that kind first."""
    changed = (a.with_(default=REQUIRED) if a.name in must_hold else a for a in arguments)
    return tuple(sorted(changed, key=lambda argument: not argument.required))


class Plant:
    """A plant in Python: `plant.battery_watts` is a quantity, `plant.with_(nozzle=7)` another plant.

    `values` are numbers, words or arrays by name, in trade units; `changed` are values that count instead. Names that
    are no input are passed over in `values`, and refused in `changed`.
    """

    def __init__(self, values: Mapping[str, Any], changed: Mapping[str, Any] | None = None) -> None:
        self._values, self._changed = dict(values), dict(changed or {})
        for name in self._changed:
            if name not in CHANGEABLE:
                raise InputError(
                    f"plant: {name} is no input that may be changed; they are {', '.join(CHANGEABLE)}",
                    function="plant",
                    argument=name,
                )

    def with_(self, **changed: Any) -> "Plant":
        """The same plant with other values."""
        return Plant(self._values, self._changed | changed)

    def ask(self, quantity: str) -> Any:
        """A quantity in its trade unit: a number, or an array. Raises `InputError` naming the argument."""
        return PLANT_FUNCTION(self._values, quantity, list(self._changed), list(self._changed.values()))

    def __getattr__(self, quantity: str) -> Any:
        if quantity not in QUANTITIES:
            near = get_close_matches(quantity, QUANTITIES, n=1)
            hint = f"; did you mean {near[0]}?" if near else ""
            raise AttributeError(f"a plant has no quantity {quantity!r}{hint}")
        return self.ask(quantity)

    def __dir__(self) -> list[str]:
        return sorted({*object.__dir__(self), *QUANTITIES})


_READING_OF_ROWS = (
    "How the rows are read:",
    "  A row of another name is passed over. A row left out has its default; without one it is missed where the",
    "  quantity needs it. What stands in a row that the quantity does not need spoils nothing.",
    "  A row that is there but empty is missed where the quantity needs it, but for these, where empty means none: "
    + ", ".join(sorted(MAY_BE_EMPTY))
    + ".",
    "  cable_resistance: a changed one counts; else it is worked up where cable_length, cable_area, cable_material or",
    "  cable_temperature is changed; else its row counts; without a row it is worked up from the others' rows.",
)


# `hydrofunc.plant`: without a quantity it gives a `Plant`.
class _PlantInPython(PlantFunction):
    __doc__ = vars(PlantFunction)["__doc__"]

    def describe(self) -> str:
        """The function explained, with all that may be asked and changed."""
        lines = [super().describe(), "", "Quantities:"]
        lines += [f"  {name} [{unit}]: {meaning}" for name, (unit, meaning) in QUANTITIES.items()]
        lines += ["", "Inputs, which are rows of the plant and may be changed:"]
        lines += [
            f"  {a.name}{'' if a.is_text else f' [{a.unit}]'}: {a.meaning} Allowed: {a.allowed}."
            + ("" if a.required else f" Default: {a.default_text}.")
            for a in INPUTS
        ]
        state = ", ".join(f"{a.name} [{a.unit}]" for a in STATE)
        lines += ["", f"Only as a changed value: {state}; else those of the settled plant.", "", *_READING_OF_ROWS]
        return "\n".join(lines)

    def __call__(self, plant: Any = None, quantity: Any = None, names: Any = None, values: Any = None, **changed: Any):
        if quantity is None and names is None:
            if not isinstance(plant, Mapping):
                raise InputError("plant: must be a mapping of names to values", function="plant", argument="plant")
            return Plant(plant, changed)
        if changed:
            raise InputError(f"plant: give {', '.join(changed)} in names and values", function="plant")
        return super().__call__(plant, quantity, names, values)


_SITE_A = {
    "gross_head": 100,
    "length": 400,
    "bore": 40.9,
    "roughness": 0.15,
    "fittings": 2.6,
    "temperature": 8,
    "gravity": 9.80447,
    "nozzle": 10,
    "pitch_diameter": 120,
    "bearing_drag": 0.15,
    "phase_volts": 12.26683,
    "pole_pairs": 6,
    "phase_resistance": 0.12,
    "phase_inductance": 0.15,
    "cable_resistance": 0.1,
    "battery_volts": 54,
}
FUNCTION_SOURCE = f"{SOURCE}; Darcy-Weisbach pipe friction"
PLANT_FUNCTION = declare(
    physics.plant,
    kind=_PlantInPython,
    resolve=resolve,
    group="Whole plant",
    help="Any quantity of a whole plant, which stands in two columns of names and values; with other values for some "
    "inputs if you like.",
    arguments=(PLANT, QUANTITY, NAMES, VALUES),
    unit="-",
    meaning="The quantity, in the unit it has elsewhere: L/s, m, bar, mm, rpm, N·m, V, A, W, °, %.",
    equation="as in the functions of the single steps",
    source=FUNCTION_SOURCE,
    example=Example(
        {"plant": _SITE_A, "quantity": "battery_watts", "names": ["battery_volts"], "values": [57]},
        632.2,
        "A fuller battery; 624.2 W at its 54 V.",
    ),
    caution="Rows it does not know are passed over and a row left out has its default, so a misspelt row goes unseen.",
)


def reading(needed: tuple[str, ...], must_hold: frozenset[str]) -> Function:
    """A function of these inputs, with the rules that look at them and nothing else; it only reads."""
    return _reader(needed, must_hold).function


def beside_lists(si: Mapping[str, Any], lists: Collection[str]) -> dict[str, Any]:
    """The values that are no lists; beside a list every other array has an axis more, which these have not."""
    return {name: value[..., 0] if np.ndim(value) else value for name, value in si.items() if name not in lists}


def words_of(function: Function) -> dict[str, Any]:
    """What is said of a function, for one that stands in for it."""
    fields = ("name", "group", "help", "symbol", "equation", "source", "example", "caution")
    return {field: getattr(function, field) for field in fields}


_WORDS = words_of(PLANT_FUNCTION)
