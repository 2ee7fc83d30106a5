"""Declarations: loads, battery, ventilation, heat."""

import numpy as np

from ..physics import battery, heat, lists
from ..registry import REQUIRED, Argument, Example, Rule, Values, declare
from .nomenclature import BATTERY_VOLTS, D_C_CURRENT, TEMPERATURE
from .survey import VOLUME
from .water import ALTITUDE

GROUP = "Battery and energy"
BCI = "Battery Council International, table of open-circuit voltage at 26.7 °C"
IEC_GAS = "IEC 62485-2:2010 (EN 50272-2 before it)"
PEUKERT_LAW = (
    "W. Peukert, Elektrotechnische Zeitschrift 20 (1897) 287, from memory, not looked up; rated form by"
    " definition of the rating"
)
RUN = "Energy balance of each step: made + stored before = served + dumped + lost + stored after"
SHORT_CIRCUIT = (
    "A battery drives thousands of amperes through a dropped spanner: fuse at its terminal, cover the"
    " terminals, no rings."
)
HYDROGEN = (
    "Hydrogen explodes from 4 % in air: vent at the highest point, no flame or spark, and follow IEC 62485-2"
    " and local codes."
)

DAILY_ENERGY = Argument("daily_energy", "Wh", "Energy the loads take in a day.", "[0, 1000000]")
AUTONOMY = Argument("autonomy", "day", "Days to last without the wheel.", "(0, 30]")
DEPTH = Argument("depth_of_discharge", "%", "Share of the rated capacity that may be taken.", "(0, 100]", default=50.0)
DELIVERY = Argument(
    "delivery_efficiency",
    "%",
    "Energy reaching the loads over energy leaving the battery: inverter, wiring.",
    "(0, 100]",
    default=90.0,
)
COLD = Argument(
    "cold_capacity",
    "%",
    "Share of the rated capacity there at the battery's temperature, as from COLD_CAPACITY.",
    "(0, 130]",
    default=100.0,
)
BATTERY_TEMPERATURE = Argument("battery_temperature", "°C", "Temperature of the battery.", "[-40, 60]")
CELL_VOLTS = Argument("cell_volts", "V", "Charge voltage of one cell at 25 °C, as from its maker.", "[1.8, 3]")
CELLS = Argument("cells", "-", "Cells in series: 6 for 12 V, 12 for 24 V, 24 for 48 V.", "[1, 500]")
COMPENSATION = Argument(
    "compensation", "mV/K", "Fall of one cell's charge voltage with warmth; 3 to 5.", "[0, 10]", default=4.0
)
REST_VOLTS = Argument("rest_volts", "V", "Voltage after hours without charge or load.", "(0, 1000]")
BATTERY_CAPACITY = Argument("battery_capacity", "Ah", "Rated capacity of the battery.", "(0, 100000]")
RATED_HOURS = Argument(
    "rated_hours", "h", "Hours of discharge for which the capacity is rated; 20 is usual.", "(0, 1000]"
)
PEUKERT = Argument("peukert", "-", "Peukert's exponent: 1 for none, 1.1 to 1.3 for lead-acid.", "[1, 2]", default=1.2)
SECOND_CAPACITY = Argument("second_capacity", "Ah", "Capacity at another time of discharge.", "(0, 100000]")
SECOND_HOURS = Argument("second_hours", "h", "That time of discharge.", "(0, 1000]")
CHARGE_STATE = Argument("charge_state", "%", "State of charge.", "[0, 100]")
GASSING = Argument(
    "gassing",
    "mA/Ah",
    "Current that makes gas: vented 5 on float, 20 on boost; sealed 1 and 8.",
    "(0, 100]",
    default=20.0,
)
CELLS_PER_BLOCK = Argument(
    "cells_per_block",
    "-",
    "Cells in one block: 6 in 12 V of lead-acid, 3 in 6 V, 1 in 2 V.",
    "[1, 24]",
    default=6.0,
)
VENTILATION = Argument("ventilation", "m³/h", "Air the battery room needs, as from GAS_VENTILATION.", "[0, 100000]")
HEATER_POWER = Argument("heater_power", "W", "Electrical power of the heater.", "(0, 100000]")
HEAT_EFFICIENCY = Argument(
    "heat_efficiency",
    "%",
    "Share of the heat that stays in the water; a lid and a snug element 80 to 90.",
    "(0, 100]",
    default=80.0,
)

ENERGY_IN = Argument(
    "energy_in",
    "Wh",
    "Energy the plant makes, step by step: hours or days. Write 0, leave no blank.",
    "[0, 1e9]",
    many=True,
)
ENERGY_OUT = Argument(
    "energy_out", "Wh", "Energy the loads want, step by step. Write 0, leave no blank.", "[0, 1e9]", many=True
)
BATTERY_ENERGY = Argument(
    "battery_energy", "Wh", "Energy of the full battery: volts times usable rated ampere hours.", "(0, 1e9]"
)
START_CHARGE = Argument("start_charge", "%", "State of charge at the start.", "[0, 100]", default=100.0)
LOWEST_CHARGE = Argument(
    "lowest_charge", "%", "State of charge at which the loads are cut off.", "[0, 100]", default=50.0
)
THROUGH_BATTERY = Argument(
    "through_battery",
    "%",
    "Share of the wanted energy that comes when the plant cannot give it directly; 0 for steps of an hour.",
    "[0, 100]",
    default=0.0,
)
CHARGE_EFFICIENCY = Argument(
    "charge_efficiency",
    "%",
    "Energy that comes out again over energy charged; about 70 for lead-acid.",
    "(0, 100]",
    default=70.0,
)
CHARGE_LIMIT = Argument(
    "charge_limit",
    "Wh",
    "Most energy the battery takes in one step; left out, no limit.",
    "[0, 1e9]",
    default=float("inf"),
)
STEP_NUMBER = Argument("step_number", "-", "Which step, from 1; 0 stands for the last.", "[0, 1000000]", default=0.0)
RUN_ARGUMENTS = (
    ENERGY_IN,
    ENERGY_OUT,
    BATTERY_ENERGY,
    START_CHARGE,
    LOWEST_CHARGE,
    THROUGH_BATTERY,
    CHARGE_EFFICIENCY,
    CHARGE_LIMIT,
)
WEEK = {
    "energy_in": [1500, 1500, 0, 0, 1500],
    "energy_out": [1000, 1000, 1000, 1000, 1000],
    "battery_energy": 2400,
    "through_battery": 40,
}

WHOLE_CELLS = Rule("cells", "be a whole number", lambda cells, **_: np.equal(cells, np.round(cells)))
AT_REST = Rule(
    "rest_volts",
    "be below 2.3 V a cell: it is still on charge",
    lambda rest_volts, cells: rest_volts < 2.3 * np.asarray(cells),
)
TWO_RATINGS = Rule(
    "second_hours",
    "give a smaller capacity in a shorter time, at a larger current",
    lambda battery_capacity, rated_hours, second_capacity, second_hours: (
        ((np.asarray(rated_hours) - second_hours) * (np.asarray(battery_capacity) - second_capacity) > 0)
        & (
            (np.asarray(rated_hours) - second_hours)
            * (second_capacity / np.asarray(second_hours) - battery_capacity / np.asarray(rated_hours))
            > 0
        )
    ),
)


def as_long(energy_in: Values, energy_out: Values, **_: Values) -> bool:
    """Have the two lists equally many steps?"""
    return lists.fit_together(energy_in, energy_out)


def is_step(energy_in: Values, energy_out: Values, step_number: Values, **_: Values) -> np.ndarray | np.bool:
    """Is there such a step?"""
    count = np.maximum(np.shape(energy_in)[-1], np.shape(energy_out)[-1])
    return np.equal(step_number, np.round(step_number)) & (np.asarray(step_number) <= count)


EQUALLY_LONG = Rule("energy_out", "have as many steps as energy_in", as_long)

declare(
    battery.battery_size,
    group=GROUP,
    help="Rated capacity that feeds the loads for some days without the wheel.",
    arguments=(DAILY_ENERGY, AUTONOMY, BATTERY_VOLTS.with_(default=REQUIRED), DEPTH, DELIVERY, COLD),
    unit="Ah",
    meaning="Rated capacity.",
    symbol="C",
    equation="C = E N / (V DoD eta f)",
    source="Definition of the terms; as in sizing guides for off-grid batteries",
    example=Example(
        {
            "daily_energy": 2400,
            "autonomy": 2,
            "battery_volts": 24,
            "depth_of_discharge": 50,
            "delivery_efficiency": 85,
        },
        470.6,
    ),
    caution=SHORT_CIRCUIT,
)
declare(
    battery.cold_capacity,
    group=GROUP,
    help="Share of its rated capacity that a lead-acid battery gives at a temperature; 100 % at 25 °C.",
    arguments=(BATTERY_TEMPERATURE.with_(within="[-3.8, 48.8]"),),
    unit="%",
    meaning="Share of the rated capacity.",
    symbol="f",
    equation="f = 1 / size correction factor",
    source="IEEE Std 485, cell size correction factors for temperature, from memory, not looked up",
    example=Example({"battery_temperature": 10}, 84.03),
)
declare(
    battery.charge_volts,
    group=GROUP,
    help="Charge voltage of a lead-acid battery at its temperature: a cold one needs more.",
    arguments=(CELL_VOLTS, CELLS, BATTERY_TEMPERATURE, COMPENSATION),
    unit="V",
    meaning="Charge voltage.",
    symbol="V",
    equation="V = n (V25 - c (t - 25 °C)), c = 3 to 5 mV/K",
    rules=(WHOLE_CELLS,),
    source=(
        "Temperature compensation of 3 to 5 mV a cell and kelvin, as battery tutorials print it; the maker's"
        " sheet rules"
    ),
    example=Example({"cell_volts": 2.4, "cells": 12, "battery_temperature": 10, "compensation": 5}, 29.7),
    caution=(
        "Too much boils the battery dry and makes hydrogen; a warm one at the voltage of a cold one can run"
        " away and burn."
    ),
)
declare(
    battery.rest_charge,
    group=GROUP,
    help="State of charge from the voltage of a lead-acid battery that has rested for hours.",
    arguments=(REST_VOLTS, CELLS),
    unit="%",
    meaning="State of charge.",
    symbol="SoC",
    equation="12.65, 12.45, 12.24, 12.06, 11.89 V for 100, 75, 50, 25, 0 % of six cells",
    source=BCI,
    rules=(WHOLE_CELLS, AT_REST),
    example=Example({"rest_volts": 24.9, "cells": 12}, 75.0),
    caution=(
        "Wrong by far while it is charged or loaded, and for hours after. The density of the acid says more:"
        " acid burns, cover your eyes."
    ),
)
declare(
    battery.freezing_point,
    group=GROUP,
    help="Temperature at which the acid of a lead-acid battery begins to freeze: an empty one freezes first.",
    arguments=(CHARGE_STATE,),
    unit="°C",
    meaning="Freezing point.",
    symbol="t_f",
    equation="-55, -36, -24, -15, -8 °C for 100, 75, 50, 25, 0 %",
    source="Handbook values, rounded to the warm side, from memory, not looked up",
    example=Example({"charge_state": 50}, -24.0),
    caution="A frozen battery bursts its case. Do not charge it: it can explode.",
)
declare(
    battery.discharge_time,
    group=GROUP,
    help="How long a battery holds out at a steady current, by Peukert's law in its rated form.",
    arguments=(BATTERY_CAPACITY, RATED_HOURS, D_C_CURRENT.with_(within="(0, 10000]"), PEUKERT),
    unit="h",
    meaning="Time of discharge.",
    symbol="t",
    equation="t = H (C / (I H))^k",
    source=PEUKERT_LAW,
    example=Example({"battery_capacity": 100, "rated_hours": 20, "current": 10, "peukert": 1.25}, 8.409),
    caution="Below the rated current it promises more than the rated capacity: do not count on that.",
)
declare(
    battery.peukert_exponent,
    group=GROUP,
    help="Peukert's exponent from two capacities of a data sheet.",
    arguments=(BATTERY_CAPACITY, RATED_HOURS, SECOND_CAPACITY, SECOND_HOURS),
    unit="-",
    meaning="Exponent.",
    symbol="k",
    equation="k = ln(t1 / t2) / ln(I2 / I1)",
    source=PEUKERT_LAW,
    rules=(TWO_RATINGS,),
    example=Example({"battery_capacity": 100, "rated_hours": 20, "second_capacity": 80, "second_hours": 5}, 1.1918),
)
declare(
    battery.gas_ventilation,
    group=GROUP,
    help="Air that a room with a charging battery needs against hydrogen.",
    arguments=(CELLS, BATTERY_CAPACITY, GASSING),
    unit="m³/h",
    meaning="Air.",
    symbol="Q",
    equation="Q = 0.05 n I_gas C / 1000",
    source=f"{IEC_GAS}, as quoted on public engineering pages",
    rules=(WHOLE_CELLS,),
    example=Example({"cells": 12, "battery_capacity": 200}, 2.4),
    caution=HYDROGEN,
)
declare(
    battery.gas_opening,
    group=GROUP,
    help="Free area of the inlet below, and of the outlet above, for that air without a fan.",
    arguments=(VENTILATION,),
    unit="cm²",
    meaning="Free area of each opening.",
    symbol="A",
    equation="A = 28 Q",
    source=f"{IEC_GAS}, as quoted on public engineering pages",
    example=Example({"ventilation": 2.4}, 67.2),
    caution=HYDROGEN,
)
declare(
    battery.gas_distance,
    group=GROUP,
    help="Distance from a charging battery within which nothing may spark, glow or get hot.",
    arguments=(BATTERY_CAPACITY, GASSING, CELLS_PER_BLOCK),
    unit="mm",
    meaning="Distance.",
    symbol="d",
    equation="d = 28.8 (N I_gas C)^(1/3), in mA",
    source=f"{IEC_GAS}, annex, from memory, not looked up; the cube root of the cells of a block too: the long side",
    example=Example({"battery_capacity": 200}, 830.7, "Blocks of 12 V; single cells of 2 V: 457 mm."),
    caution=HYDROGEN,
)
declare(
    battery.state_of_charge.flat,
    group=GROUP,
    help="State of charge after a step, from what is made and wanted hour by hour or day by day.",
    arguments=(*RUN_ARGUMENTS, STEP_NUMBER),
    unit="%",
    meaning="State of charge.",
    symbol="SoC",
    equation=RUN,
    source=RUN,
    rules=(EQUALLY_LONG, Rule("step_number", "be a whole number, not more than there are steps", is_step)),
    example=Example({**WEEK, "step_number": 4}, 50.0, "Two days without the wheel: the loads are cut off at half."),
)
declare(
    battery.lowest_state.flat,
    group=GROUP,
    help="Lowest state of charge of a whole run, as of a year of days.",
    arguments=RUN_ARGUMENTS,
    unit="%",
    meaning="Lowest state of charge.",
    symbol="SoC_min",
    equation=RUN,
    source=RUN,
    rules=(EQUALLY_LONG,),
    example=Example(WEEK, 50.0),
)
declare(
    battery.unserved_energy.flat,
    group=GROUP,
    help="Energy the loads wanted and did not get in a whole run.",
    arguments=RUN_ARGUMENTS,
    unit="Wh",
    meaning="Energy not served.",
    symbol="E_short",
    equation=RUN,
    source=RUN,
    rules=(EQUALLY_LONG,),
    example=Example(WEEK, 1200.0),
)
declare(
    battery.dumped_energy.flat,
    group=GROUP,
    help="Energy that neither the loads nor the battery took in a whole run; the dump load must take it.",
    arguments=RUN_ARGUMENTS,
    unit="Wh",
    meaning="Energy dumped.",
    symbol="E_dump",
    equation=RUN,
    source=RUN,
    rules=(EQUALLY_LONG,),
    example=Example(WEEK, 1228.6),
    caution=(
        "Without a dump load, or a controller that can stop charging, this boils the battery. The dump load"
        " gets hot enough to burn."
    ),
)
declare(
    heat.boiling_point,
    group=GROUP,
    help="Temperature at which water boils at an altitude.",
    arguments=(ALTITUDE.with_(default=REQUIRED),),
    unit="°C",
    meaning="Boiling point.",
    symbol="t_b",
    equation="p_v(t_b) = p_a(altitude)",
    source="IAPWS R7-97(2012), equation 31; U.S. Standard Atmosphere 1976",
    example=Example({"altitude": 2000}, 93.315),
    caution="Water boiled high up is less hot: boil drinking water longer.",
)
declare(
    heat.boil_time,
    group=GROUP,
    help="Time to bring water to the boil with an electric heater, at an altitude.",
    arguments=(VOLUME, HEATER_POWER, TEMPERATURE, ALTITUDE, HEAT_EFFICIENCY),
    unit="min",
    meaning="Time.",
    symbol="t",
    equation="t = rho V c (t_b - t) / (eta P)",
    source="Heat balance with c = 4187 J/(kg K), within 0.2 % of steam tables from 10 °C up to boiling",
    example=Example({"volume": 1, "heater_power": 300}, 26.15),
)
