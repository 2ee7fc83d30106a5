"""Boiling water with the plant's watts. SI units."""

import numpy as np

from .values import Result, Values
from .water import air_pressure, boiling_temperature, density

_SPECIFIC_HEAT = 4187.0  # of water, mean from spring to boiling [J/(kg K)]


def boiling_point(altitude: Values) -> Result:
    """Temperature at which water boils at an altitude [m], in the standard atmosphere. [K]"""
    return boiling_temperature(air_pressure(altitude))


def boil_time(
    volume: Values, heater_power: Values, temperature: Values, altitude: Values, heat_efficiency: Values
) -> Result:
    """Time to bring water to the boil.

    Parameters
    ----------
    volume : array_like
        Of cold water. [m³]
    heater_power : array_like
        Electrical power of the heater. [W]
    temperature : array_like
        Of the cold water. [K]
    altitude : array_like
        Of the place. [m]
    heat_efficiency : array_like
        Share of the heat that stays in the water. [-]

    Returns
    -------
    float or ndarray
        rho V c (t_boil - t) / (eta P), with c = 4187 J/(kg K). [s]
    """
    rise = np.maximum(boiling_point(altitude) - temperature, 0)
    return density(temperature) * volume * _SPECIFIC_HEAT * rise / (heat_efficiency * heater_power)
