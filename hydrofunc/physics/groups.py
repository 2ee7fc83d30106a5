"""Arguments that belong together, and how a worksheet, which has only single cells, calls a function of such groups.

A group is a named tuple with a class method `from_names`, which picks its fields out of a mapping of names to values.
The names are those of the worksheet functions (see `hydrofunc.catalogue.nomenclature`), the values SI. A pipe has as
many sections as there are names `length`, `length_2`, `length_3` and so on.
"""

import inspect
from collections.abc import Callable, Mapping, Sequence
from functools import cache, update_wrapper
from itertools import count
from operator import itemgetter
from typing import Any, Generic, NamedTuple, ParamSpec, TypeVar

import numpy as np

from .values import Result, Values, Words

P = ParamSpec("P")
R = TypeVar("R")
T = TypeVar("T")


def _by_name(cls: Any, values: Mapping[str, Any]) -> Any:
    """The group whose fields are the values of their own names."""
    return cls(*(values[name] for name in cls._fields))


class Section(NamedTuple):
    """A length of pipe of one bore; a column that a function does not use is left out. [m], [m], [m], [m/s]"""

    length: Values
    bore: Values = np.nan
    roughness: Values = np.nan
    wave_speed: Values = np.nan

    def filled(self) -> "Section":
        """The same with harmless values where there is no length: nothing is then divided by a bore of 0."""
        if all(isinstance(value, float) for value in self):  # the same, much faster, for a single call
            if self.length == 0:
                return Section(self.length, 1.0, 0.0, 1.0)
            return Section(*map(np.float64, self))  # a bore of 0 then gives infinity or NaN, and no exception
        missing = np.equal(self.length, 0)
        if not missing.any():
            return self
        return Section(
            self.length,
            np.where(missing, 1.0, self.bore),
            np.where(missing, 0.0, self.roughness),
            np.where(missing, 1.0, self.wave_speed),
        )


class Pipe(NamedTuple):
    """Sections in series, the highest first, and the summed loss coefficient of the fittings, referred to the first
    bore. [-]
    """

    sections: tuple[Section, ...]
    fittings: Values = 0.0

    @classmethod
    def from_names(cls, values: Mapping[str, Any]) -> "Pipe":
        """From length, bore, roughness, wave_speed, length_2, bore_2, ... and fittings, as far as they are there."""
        sections: list[Section] = []
        for number in count(1):
            end = "" if number == 1 else f"_{number}"
            if f"length{end}" not in values:
                break
            columns = {name: values[name + end] for name in Section._fields if name + end in values}
            sections.append(Section(**columns) if number == 1 else Section(**columns).filled())
        return cls(tuple(sections), values.get("fittings", 0.0))

    def laid(self) -> "Pipe":
        """The same without the further sections that have no length in any lane: they would only cost time."""
        first, *more = self.sections
        return Pipe((first, *(section for section in more if np.any(section.length))), self.fittings)


class Outlet(NamedTuple):
    """Equal nozzles at the lower end: diameter of one opening [m], number of jets, velocity coefficient, contraction.
    [-]
    """

    nozzle: Values
    jets: Values
    velocity_coefficient: Values
    contraction: Values

    @classmethod
    def from_names(cls, values: Mapping[str, Any]) -> "Outlet":
        """From the fields' own names."""
        return _by_name(cls, values)


class Water(NamedTuple):
    """Temperature of the water [K], and gravity where it falls. [m/s²]"""

    temperature: Values
    gravity: Values

    @classmethod
    def from_names(cls, values: Mapping[str, Any]) -> "Water":
        """From the fields' own names."""
        return _by_name(cls, values)


class Wheel(NamedTuple):
    """Pitch diameter [m], angle of the cups [rad], two shares [-], drag of the bearings [N·m], windage. [W·s³]

    See `hydrofunc.physics.wheel`.
    """

    pitch_diameter: Values
    deflection: Values
    cup_friction: Values
    alignment: Values
    bearing_drag: Values
    windage: Values

    @classmethod
    def from_names(cls, values: Mapping[str, Any]) -> "Wheel":
        """From the fields' own names."""
        return _by_name(cls, values)


class Alternator(NamedTuple):
    """One winding: emf constant [V·s], resistance [Ω], inductance [H]; pole pairs; "star" or "delta"; one diode's drop
    [V]; drag of the iron. [N·m]
    """

    phase_volts: Values
    pole_pairs: Values
    phase_resistance: Values
    phase_inductance: Values
    connection: Words
    diode_drop: Values
    iron_drag: Values

    @classmethod
    def from_names(cls, values: Mapping[str, Any]) -> "Alternator":
        """From the fields' own names."""
        return _by_name(cls, values)


class Load(NamedTuple):
    """What takes the current, and the cable to it.

    `load` is "battery": a constant voltage [V]. "resistor": a resistance [Ω]. "controller": a converter before a
    battery that finds the speed of greatest power, with an efficiency [-]. The cable counts out and back. [Ω]
    """

    load: Words
    battery_volts: Values
    load_resistance: Values
    controller_efficiency: Values
    cable_resistance: Values

    @classmethod
    def from_names(cls, values: Mapping[str, Any]) -> "Load":
        """From the fields' own names."""
        return _by_name(cls, values)


class Storage(NamedTuple):
    """Energies made and wanted in each step along the last axis [J], and the battery between them.

    Energy of the full battery [J]; states of charge at the start and where the loads are cut off [-]; share of the
    wanted energy that comes when the plant cannot give it directly: 0 for steps of an hour, for steps of a day that of
    the evening [-]; energy that comes out again over energy charged [-]; most energy charged in one step. [J]
    """

    energy_in: Values
    energy_out: Values
    battery_energy: Values
    start_charge: Values
    lowest_charge: Values
    through_battery: Values
    charge_efficiency: Values
    charge_limit: Values

    @classmethod
    def from_names(cls, values: Mapping[str, Any]) -> "Storage":
        """From the fields' own names."""
        return _by_name(cls, values)


class Plant(NamedTuple):
    """The whole of it, from the intake to the battery. Gross head in m, available flow in m³/s."""

    gross_head: Values
    pipe: Pipe
    outlet: Outlet
    water: Water
    available_flow: Values
    wheel: Wheel
    alternator: Alternator
    load: Load

    @classmethod
    def from_names(cls, values: Mapping[str, Any]) -> "Plant":
        """From the names of all parts together."""
        return cls(**{name: read(values) for name, read in readers(cls.__annotations__).items()})


def readers(parameters: Mapping[str, Any]) -> dict[str, Callable[[Mapping[str, Any]], Any]]:
    """For parameters, name to type, the function that makes the argument from single names: a group, or the value."""
    return {name: getattr(kind, "from_names", itemgetter(name)) for name, kind in parameters.items()}


@cache
def parameters(function: Callable[..., Any]) -> tuple[str, ...]:
    """The names of a function's parameters."""
    return tuple(inspect.signature(function).parameters)


def over(function: Callable[[Any], Any], group: T) -> T:
    """The same group, or tuple of groups, with the function applied to every value in it."""
    if isinstance(group, tuple):
        parts = [over(function, part) for part in group]
        return type(group)(*parts) if hasattr(group, "_fields") else tuple(parts)  # type: ignore[return-value]
    return function(group)


def spread(values: Values, shape: tuple[int, ...]) -> Any:
    """As `np.broadcast_to`, without its time where the shape is that one already, or a single plant's."""
    if isinstance(values, np.ndarray) and values.shape == shape:
        return values
    return np.broadcast_to(values, shape) if shape else np.asarray(values)


def in_lanes(lanes: Any, function: Callable[..., T], otherwise: T, *arguments: Any) -> T:
    """What the function gives in some lanes, where alone it is asked, and `otherwise` in the others.

    Parameters
    ----------
    lanes : array_like of bool
        Where to ask.
    function : callable
        Of `arguments`, of which it gets those lanes.
    otherwise : array_like, or a tuple of them
        In the form of the function's result.
    arguments : array_like, or groups of them
        Broadcast against `lanes`.
    """
    if not np.any(lanes):
        return otherwise
    shape = np.shape(lanes)
    if len(shape) == 1 and np.all(lanes):  # a single plant most often: nothing is cut out, nothing put in
        found = function(*over(lambda values: spread(values, shape), arguments))
        return over(lambda values: np.array(spread(values, shape), dtype=float), found)
    found = function(*over(lambda values: np.broadcast_to(values, shape)[lanes], arguments))

    def put(old: Any, new: Any) -> Any:
        result = np.array(np.broadcast_to(old, shape), dtype=float)
        result[lanes] = new
        return result

    return tuple(map(put, otherwise, found)) if isinstance(otherwise, tuple) else put(otherwise, found)  # type: ignore


class Grouped(Generic[P, R]):
    """A function of groups, `f(gross_head, pipe, ...)`, that has a second form for single names, `f.flat(gross_head,
    length, bore, ...)`. A worksheet function is declared with the second form.
    """

    def __init__(self, function: Callable[P, R], names: Sequence[str] = ()) -> None:
        update_wrapper(self, function)
        self.function = function
        parameters = {name: parameter.annotation for name, parameter in inspect.signature(function).parameters.items()}
        in_order = names or [field for name, kind in parameters.items() for field in getattr(kind, "_fields", (name,))]
        one = inspect.Parameter.POSITIONAL_OR_KEYWORD
        signature = inspect.Signature([inspect.Parameter(name, one) for name in in_order])
        all_names, arguments_of = set(in_order), readers(parameters)

        def single(*arguments: Any, **named: Any) -> Result:
            if arguments or named.keys() != all_names:
                named = signature.bind(*arguments, **named).arguments
            return function(**{name: read(named) for name, read in arguments_of.items()})  # type: ignore[call-arg]

        self.flat: Callable[..., Result] = update_wrapper(single, function)
        # The true signature of `single` is (*arguments, **named); the registry and `help` must see the names.
        self.flat.__signature__ = signature  # type: ignore[attr-defined]

    def __call__(self, *arguments: P.args, **named: P.kwargs) -> R:
        return self.function(*arguments, **named)


def flat(*names: str) -> Callable[[Callable[P, R]], Grouped[P, R]]:
    """Decorator that makes a `Grouped` function.

    `names` are the single names in the order of the worksheet function, in one text or several; left out, the fields of
    each group stand where the group stands.
    """
    return lambda function: Grouped(function, " ".join(names).split())


SECTION = "length bore roughness"
MORE_SECTIONS = "length_2 bore_2 roughness_2 length_3 bore_3 roughness_3"
