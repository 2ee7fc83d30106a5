"""Mass of pipe and cable, and what a plant's energy costs. SI units; money in any currency.

Arguments broadcast together; none is checked here (the declarations in `hydrofunc.catalogue` hold the ranges),
so no function raises, and a NaN argument gives NaN in its element. Interest and money are counted in whole
years, paid at their end.
"""

import numpy as np

from .tables import look_up, rows_of
from .values import Result, Values, Words

YEAR = 365.25 * 86400.0  # s
PIPE_DENSITY = {row["material"]: float(row["density_kg_m3"]) for row in rows_of("pipe_density.csv")}  # kg/m³
# Copper: IEC 60028, 8.89 g/cm³; aluminium: IEC 60889, 2.703 g/cm³; both from memory, not looked up. [kg/m³]
CONDUCTOR_DENSITY = {"copper": 8890.0, "aluminium": 2703.0}


def pipe_mass(outside: Values, wall: Values, length: Values, material: Words) -> Result:
    """Mass of an empty pipe.

    Parameters
    ----------
    outside, wall : array_like
        Outside diameter and wall thickness. [m]
    length : array_like
        [m]
    material : array_like of str
        A word of `PIPE_DENSITY` (`pipe_density.csv`, with the source of each row).

    Returns
    -------
    float or ndarray
        pi (D - e) e L rho; NaN for another material. [kg]
    """
    return np.pi * (outside - wall) * wall * length * look_up(PIPE_DENSITY, material)


def cable_mass(length: Values, area: Values, material: Words, covering: Values) -> Result:
    """Mass of a two-wire cable.

    Parameters
    ----------
    length : array_like
        One way. [m]
    area : array_like
        Cross-section of one conductor. [m²]
    material : array_like of str
        "copper" or "aluminium".
    covering : array_like
        Mass of insulation and sheath over that of the metal. [-]

    Returns
    -------
    float or ndarray
        2 L A rho (1 + covering); NaN for another material. [kg]
    """
    return 2 * length * area * look_up(CONDUCTOR_DENSITY, material) * (1 + covering)


def capital_recovery(years: Values, interest: Values) -> Result:
    """Equal payment at the end of each year that pays back a capital with interest, over the capital. [-]

    `interest` is the share per year, `years` the time of payment in s. i / (1 - (1 + i)^-n), and 1 / n without
    interest.

    References
    ----------
    W. Short, D. J. Packey, T. Holt, A Manual for the Economic Evaluation of Energy Efficiency and Renewable
    Energy Technologies, NREL/TP-462-5173, 1995, uniform capital recovery factor (from memory, not looked up).
    """
    number = np.asarray(years / YEAR)
    rate = np.asarray(interest)
    free = rate == 0
    grown = -np.expm1(-number * np.log1p(rate))
    return np.where(free, 1 / number, rate / np.where(free, 1.0, grown))


def replacement_worth(price: Values, every: Values, years: Values, interest: Values) -> Result:
    """Money to lay aside at the start for a part that must be bought again in the plant's life.

    Parameters
    ----------
    price : array_like
        Of the part, today. [currency]
    every : array_like
        Life of the part. [s]
    years : array_like
        Life of the plant: the part is not bought again at its very end. [s]
    interest : array_like
        Share per year. [-]

    Returns
    -------
    float or ndarray
        Sum of price × (1 + i)^-t over t = every, 2 × every, ... below years. [currency]
    """
    times = np.maximum(np.ceil(years / every * (1 - 1e-12)) - 1, 0)
    decline = np.asarray(every / YEAR * np.log1p(interest))  # of present worth from one purchase to the next
    even = decline == 0
    series = np.expm1(-times * decline) / np.where(even, 1.0, np.expm1(-decline))
    sums = np.where(even, times, np.exp(-decline) * series)
    return price * sums


def energy_cost(
    capital: Values, yearly_upkeep: Values, yearly_energy: Values, years: Values, interest: Values
) -> Result:
    """What a unit of energy costs over the plant's life.

    Parameters
    ----------
    capital : array_like
        All that is paid or laid aside at the start, with `replacement_worth`. [currency]
    yearly_upkeep : array_like
        [currency per year]
    yearly_energy : array_like
        Delivered in a year. [J]
    years : array_like
        Life of the plant. [s]
    interest : array_like
        Share per year. [-]

    Returns
    -------
    float or ndarray
        (capital × capital recovery + upkeep) / energy. [currency/J]
    """
    return (capital * capital_recovery(years, interest) + yearly_upkeep) / yearly_energy


def payback_time(capital: Values, yearly_gain: Values, interest: Values) -> Result:
    """Time after which the yearly gains have paid back the capital with interest.

    Parameters
    ----------
    capital : array_like
        [currency]
    yearly_gain : array_like
        What the energy would cost elsewhere, less upkeep. [currency per year]
    interest : array_like
        Share per year. [-]

    Returns
    -------
    float or ndarray
        -ln(1 - i C / A) / ln(1 + i), and C / A without interest; NaN where the gain never covers the interest. [s]
    """
    rate = np.asarray(interest)
    simple = capital / np.asarray(yearly_gain)
    free = rate == 0
    interest_share = rate * simple  # of the first year's gain
    pays = interest_share < 1
    number = -np.log1p(-np.where(pays, interest_share, np.nan)) / np.log1p(np.where(free, 1.0, rate))
    return YEAR * np.where(free, simple, number)
