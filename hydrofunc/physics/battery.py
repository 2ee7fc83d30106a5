"""Lead-acid battery: size, charge, temperature, gas, and how full it is day after day. SI units.

Charge is in coulombs, energy in joules, currents in amperes. Arguments broadcast together; none is checked
here.
"""

from typing import NamedTuple

import numpy as np

from .groups import Storage, flat
from .lists import element, single
from .supply import DAY
from .values import Result, Values

_ZERO_CELSIUS = 273.15
_REFERENCE = 298.15  # 25 °C, at which charge voltages are given [K]
# Battery Council International: open-circuit voltage of six cells at rest, at 26.7 °C.
_CHARGE = (0.0, 0.25, 0.50, 0.75, 1.0)
_REST_VOLTS = (11.89, 12.06, 12.24, 12.45, 12.65)
# Temperature [°C] at which the acid begins to freeze, by the same states of charge: handbook values,
# rounded to the warm side, from memory, not looked up.
_FREEZING = (-8.0, -15.0, -24.0, -36.0, -55.0)
# IEEE Std 485, table of cell size correction factors by cell temperature [°F], from memory, not looked up.
_FAHRENHEIT = (25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 77, 80, 85, 90, 95, 100, 110, 120)
_SIZE_FACTOR = (
    1.52,
    1.43,
    1.35,
    1.30,
    1.25,
    1.19,
    1.15,
    1.11,
    1.08,
    1.04,
    1.00,
    0.98,
    0.96,
    0.94,
    0.93,
    0.91,
    0.88,
    0.86,
)
_CELLS_TABULATED = 6
# IEC 62485-2:2010. Air for 1 A of gassing current, 0.05 m³/h; opening for that air at 0.1 m/s, 28 cm² for 1
# m³/h; distance 28.8 mm times the cube root of the gassing current in mA (the last from memory, not looked
# up).
_AIR = 0.05 / 3600
_OPENING = 28e-4 * 3600
_DISTANCE = 28.8e-3


class Run(NamedTuple):
    """What a battery did, step by step along the last axis. Energies in J."""

    stored: np.ndarray  # at the end of the step
    served: np.ndarray  # of the energy wanted
    unserved: np.ndarray
    dumped: np.ndarray  # to the dump load
    lost: np.ndarray  # in charging


def battery_size(
    daily_energy: Values,
    autonomy: Values,
    battery_volts: Values,
    depth_of_discharge: Values,
    delivery_efficiency: Values,
    cold_capacity: Values,
) -> Result:
    """Rated charge that feeds the loads for a time without the wheel, E N / (V DoD eta f). [C]

    Parameters
    ----------
    daily_energy : array_like
        Energy the loads take in a day. [J]
    autonomy : array_like
        Time to last without charging. [s]
    battery_volts : array_like
        Nominal voltage. [V]
    depth_of_discharge : array_like
        Share of the rated charge that may be taken. [-]
    delivery_efficiency : array_like
        Energy reaching the loads over energy leaving the battery: inverter and wiring. [-]
    cold_capacity : array_like
        Share of the rated capacity that is there at the battery's temperature. [-]
    """
    usable = depth_of_discharge * delivery_efficiency * cold_capacity
    return daily_energy * autonomy / DAY / (battery_volts * usable)


def cold_capacity(battery_temperature: Values) -> Result:
    """Share of the rated capacity that a lead-acid battery of this temperature [K] gives; 1 at 25 °C. [-]

    One over the size correction factor of IEEE Std 485 (from memory, not looked up), straight between its
    temperatures, -3.9 to 48.9 °C; NaN beyond.
    """
    fahrenheit = (np.asarray(battery_temperature) - _ZERO_CELSIUS) * 1.8 + 32
    return 1 / np.interp(fahrenheit, _FAHRENHEIT, _SIZE_FACTOR, left=np.nan, right=np.nan)


def charge_volts(cell_volts: Values, cells: Values, battery_temperature: Values, compensation: Values) -> Result:
    """Charge voltage at the battery's temperature [K], n (V25 - c (t - 25 °C)). [V]

    `cell_volts` is that of one cell at 25 °C [V], `compensation` the fall of one cell's with warmth [V/K].
    """
    return cells * (cell_volts - compensation * (np.asarray(battery_temperature) - _REFERENCE))


def rest_charge(rest_volts: Values, cells: Values) -> Result:
    """State of charge from the voltage [V] of a battery at rest; 0 below the table, 1 above. [-]

    References
    ----------
    Battery Council International, table of open-circuit voltage and density for lead-acid batteries at 26.7
    °C.
    """
    return np.interp(np.asarray(rest_volts) / cells * _CELLS_TABULATED, _REST_VOLTS, _CHARGE)


def freezing_point(charge_state: Values) -> Result:
    """Temperature at which the acid of a lead-acid battery begins to freeze. [K]

    Straight between handbook values by the state of charge [-] (from memory, not looked up).
    """
    return np.interp(charge_state, _CHARGE, _FREEZING) + _ZERO_CELSIUS


def discharge_time(battery_capacity: Values, rated_hours: Values, current: Values, peukert: Values) -> Result:
    """Time a battery holds out at a steady current: Peukert's law in its rated form. [s]

    Parameters
    ----------
    battery_capacity : array_like
        Rated charge. [C]
    rated_hours : array_like
        Time of discharge for which it is rated. [s]
    current : array_like
        Steady current. [A]
    peukert : array_like
        Exponent: 1 for none, 1.1 to 1.3 for lead-acid. [-]

    Returns
    -------
    float or ndarray
        H (C / (I H))^k. The form C / I^k, which many books print, means another C than the rated one. [s]
    """
    return rated_hours * np.power(battery_capacity / (current * np.asarray(rated_hours, dtype=float)), peukert)


def peukert_exponent(
    battery_capacity: Values, rated_hours: Values, second_capacity: Values, second_hours: Values
) -> Result:
    """Peukert's exponent, ln(t1/t2) / ln(I2/I1), from two capacities [C] and their times [s]. [-]"""
    rated_hours, second_hours = np.asarray(rated_hours, float), np.asarray(second_hours, float)
    rated, second = battery_capacity / rated_hours, second_capacity / second_hours
    return np.log(rated_hours / second_hours) / np.log(second / rated)


def gas_ventilation(cells: Values, battery_capacity: Values, gassing: Values) -> Result:
    """Air a battery room needs while charging, 0.05 m³/h for each ampere of gassing current. [m³/s]

    Parameters
    ----------
    cells : array_like
        Cells in series. [-]
    battery_capacity : array_like
        Rated charge. [C]
    gassing : array_like
        Current that makes gas, for each unit of rated charge. [1/s]

    References
    ----------
    IEC 62485-2:2010, ventilation requirements.
    """
    return _AIR * cells * gassing * battery_capacity


def gas_opening(ventilation: Values) -> Result:
    """Free area of an inlet, and of an outlet alike, for natural ventilation [m³/s] of a battery room. [m²]

    References
    ----------
    IEC 62485-2:2010: A = 28 Q in cm² and m³/h, air at 0.1 m/s.
    """
    return _OPENING * ventilation


def gas_distance(battery_capacity: Values, gassing: Values, cells_per_block: Values) -> Result:
    """Distance from a battery within which nothing may spark or glow while it is charged. [m]

    The cells of one block give off their gas in one spot, so it grows with the cube root of their number.

    References
    ----------
    IEC 62485-2:2010, annex (from memory, not looked up).
    """
    return _DISTANCE * np.cbrt(cells_per_block * gassing * battery_capacity / 1e-3)


@flat()
def battery_run(storage: Storage) -> Run:
    """A battery between a plant and its loads, step after step: hours or days.

    In each step the loads first take what they can directly; the rest of what is made charges the battery,
    as far as its limit and its room allow; what is then left over is dumped. At last the battery gives what
    the loads still want, as far as it may be emptied.

    Parameters
    ----------
    storage : Storage
        What is made and wanted in each step, and the battery.

    Returns
    -------
    Run
        made + stored at the start = served + dumped + lost + stored at the end. NaN throughout where the lists of
        energies are not equally long. [J]
    """
    made, wanted, full, start, *others = _in_step(storage)
    state = start[..., 0] * full[..., 0]
    steps = []
    for now in range(made.shape[-1]):
        done = _step(state, *(values[..., now] for values in (made, wanted, full, *others)))
        state = done.stored
        steps.append(done)
    return Run(*(np.stack(column, axis=-1) for column in zip(*steps)))


def _step(state, made, wanted, full, lowest, share, efficiency, limit):
    """One step of `battery_run`; `state` is what is stored before it. [J]"""
    direct = np.minimum(made, (1 - share) * wanted)
    spare = made - direct
    room = np.maximum(full - state, 0) / efficiency
    charged = np.minimum(np.minimum(spare, limit), room)
    state = state + efficiency * charged
    short = wanted - direct
    drawn = np.minimum(short, np.maximum(state - lowest * full, 0))
    return Run(state - drawn, direct + drawn, short - drawn, spare - charged, (1 - efficiency) * charged)


def _in_step(storage):
    """The values with equally many steps each; NaN where the two lists are of different length."""
    lengths = {np.shape(energies)[-1] for energies in storage[:2] if np.ndim(energies)} - {1}
    if len(lengths) > 1:
        shape = np.broadcast_shapes(*(np.shape(values)[:-1] for values in storage))
        return np.full((len(storage), *shape, max(lengths)), np.nan)
    return np.broadcast_arrays(*(np.atleast_1d(np.asarray(values, dtype=float)) for values in storage))


@flat()
def state_of_charge(storage: Storage, step_number: Values) -> Result:
    """State of charge at the end of one step of `battery_run`; the first is 1, and 0 stands for the last. [-]

    NaN for a step that the lists do not have.
    """
    stored = battery_run(storage).stored
    count = stored.shape[-1]
    number = np.asarray(step_number, dtype=float)
    exists = (number >= 0) & (number <= count)
    place = np.where(exists, np.where(number == 0, count, number), 1) - 1
    state = element(stored, place) / single(storage.battery_energy)
    return np.where(single(exists), state, np.nan)


@flat()
def lowest_state(storage: Storage) -> Result:
    """Lowest state of charge at the end of any step of `battery_run`. [-]"""
    return (battery_run(storage).stored / storage.battery_energy).min(axis=-1)


@flat()
def unserved_energy(storage: Storage) -> Result:
    """Energy the loads wanted and did not get, over all steps of `battery_run`. [J]"""
    return battery_run(storage).unserved.sum(axis=-1)


@flat()
def dumped_energy(storage: Storage) -> Result:
    """Energy that neither loads nor battery took, over all steps of `battery_run`. [J]"""
    return battery_run(storage).dumped.sum(axis=-1)
