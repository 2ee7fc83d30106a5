"""Cable ampacity, fuses, touch voltage and dump loads. SI units.

Arguments broadcast together; none is checked here (the declarations in `hydrofunc.catalogue` hold the ranges),
so no function raises, and a NaN argument gives NaN in its element.
"""

import numpy as np

from .tables import look_up, rows_of, value_above, value_below
from .values import Result, Values, Words

_TABLE = rows_of("ampacity.csv")
# IEC 60364-5-52:2009: PVC stands 70 °C at the conductor; the table holds in air of 30 °C and ground of 20 °C.
_HOTTEST, _AIR, _GROUND, _COLDEST = 343.15, 303.15, 293.15, 283.15
_IN_GROUND = ("buried duct", "buried")
INSTALLATIONS = tuple(dict.fromkeys(row["installation"] for row in _TABLE))
CONDUCTORS = tuple(dict.fromkeys(row["material"] for row in _TABLE))


def _listed(material, installation):
    """Areas [mm²] and ampacities [A] of one column of the table, rising."""
    rows = [row for row in _TABLE if (row["material"], row["installation"]) == (material, installation)]
    return np.array([[float(row["area_mm2"]), float(row["amperes"])] for row in rows]).T


AMPACITY = {
    (material, installation): _listed(material, installation)
    for material, installation in dict.fromkeys((row["material"], row["installation"]) for row in _TABLE)
}
# Rated currents of fuse-links, IEC 60269-1, from memory, not looked up. [A]
FUSES = np.array(
    [
        2,
        4,
        6,
        8,
        10,
        12,
        16,
        20,
        25,
        32,
        40,
        50,
        63,
        80,
        100,
        125,
        160,
        200,
        250,
        315,
        400,
        500,
        630,
        800,
        1000,
        1250,
    ],
    dtype=float,
)
TOUCH_LIMIT = {"dry": 60.0, "wet": 30.0, "covered": 120.0}  # V
TOUCH_LIMIT_AC = {"dry": 25.0, "wet": 12.0, "covered": 50.0}  # V rms
_GAS_CONSTANT, _HEAT_CAPACITY = 287.05287, 1005.0  # of dry air [J/(kg·K)]


def cable_ampacity(area: Values, material: Words, installation: Words, ambient_temperature: Values) -> Result:
    """Direct current that a two-wire PVC cable carries for good without overheating.

    Parameters
    ----------
    area : array_like
        Cross-section of one conductor. A size between two of the table counts as the smaller, one beyond the
        largest (120 mm²) as the largest. [m²]
    material : array_like of str
        One of `CONDUCTORS`.
    installation : array_like of str
        One of `INSTALLATIONS`: "insulated wall" (method A2), "conduit" (B2), "surface" (C), "buried duct" (D1),
        "buried" (D2).
    ambient_temperature : array_like
        Of the air round the cable, or of the ground. Colder than 10 °C counts as 10 °C. [K]

    Returns
    -------
    float or ndarray
        Table value times sqrt((70 °C - t) / (70 °C - t_table)): heat grows with the square of the current and the
        warming with the heat, which gives the factors of tables B.52.14 and B.52.15 to their two digits. NaN for a
        size below the smallest of the table, or a column that the table does not have. [A]

    References
    ----------
    IEC 60364-5-52:2009, table B.52.2: two loaded conductors, PVC; read in transcriptions, see `ampacity.csv`.
    """
    square_millimetres = np.asarray(area) * 1e6 * (1 + 1e-9)  # an area of just a table size is that size
    amperes: Result = np.nan
    for (metal, laid), (areas, currents) in AMPACITY.items():
        listed = value_below(areas, currents, square_millimetres)
        amperes = np.where((np.asarray(material) == metal) & (np.asarray(installation) == laid), listed, amperes)
    reference = np.where(np.isin(installation, _IN_GROUND), _GROUND, _AIR)
    ambient = np.maximum(ambient_temperature, _COLDEST)
    return amperes * np.sqrt((_HOTTEST - ambient) / (_HOTTEST - reference))


def fuse_size(current: Values, ampacity: Values, fuse_margin: Values) -> Result:
    """Smallest standard fuse that carries the current for good and still protects the cable.

    Parameters
    ----------
    current : array_like
        Direct current in use. [A]
    ampacity : array_like
        What the cable carries. [A]
    fuse_margin : array_like
        Fuse rating over current, at least. [-]

    Returns
    -------
    float or ndarray
        The first of `FUSES` that is at least fuse_margin × current; NaN where the cable carries less than
        `fuse_ampacity` of it. [A]

    References
    ----------
    IEC 60364-4-43, 433.1: current ≤ fuse ≤ ampacity (from memory, not looked up). Series: IEC 60269-1.
    """
    least = np.asarray(fuse_margin * current * (1 - 1e-12))
    rating = value_above(FUSES, FUSES, least)
    return np.where(fuse_ampacity(rating) <= np.asarray(ampacity) * (1 + 1e-12), rating, np.nan)


def fuse_ampacity(fuse: Values) -> Result:
    """What a cable must carry for a gG fuse of this rated current [A] to protect it. [A]

    I_n ≤ I_z and I_2 ≤ 1.45 I_z, I_2 the current at which the fuse surely blows: 1.6 I_n from 16 A, 1.9 I_n below, and
    2.1 I_n to 4 A. So the second condition counts: 1.10, 1.31 or 1.45 I_n.

    References
    ----------
    IEC 60364-4-43, 433.1; I_2: IEC 60269-1 (both from memory; 1.1 and 1.31 as a help page on cable sizing prints them,
    electricalom.com, Design current and current carrying capacity calculations).
    """
    size = np.asarray(fuse, dtype=float)
    blows = np.where(size >= 16, 1.6, np.where(size > 4, 1.9, 2.1)) * size
    return np.maximum(size, blows / 1.45)


def touch_limit(place: Words) -> Result:
    """Highest ripple-free d.c. voltage between bare live parts that may be touched, or that is extra-low. [V]

    `place` is "dry", "wet", or "covered": parts that cannot be touched. A three-phase bridge, with 4.2 % rms
    ripple, counts as ripple-free (at most 10 %).

    References
    ----------
    IEC 60364-4-41:2005, 414.4.5: no protection against contact needed up to 60 V where dry, 30 V (15 V a.c. times two)
    elsewhere; 414: 120 V, where extra-low voltage ends (from memory, not looked up). The same numbers stand in IEC
    60598-1:2008, 8.2.3, and IEC 61558-1:2005, 3.7.16.
    """
    return look_up(TOUCH_LIMIT, place)


def touch_limit_ac(place: Words) -> Result:
    """Highest a.c. voltage between bare live parts that may be touched, or that is extra-low, rms. [V]

    `place` as in `touch_limit`.

    References
    ----------
    IEC 60364-4-41:2005, 414.4.5: 25 V where dry, 12 V elsewhere; 414: 50 V, where extra-low voltage ends (from memory,
    not looked up). 25 and 12 V stand also in IEC 60598-1:2008, 8.2.3.
    """
    return look_up(TOUCH_LIMIT_AC, place)


def dump_resistance(power: Values, volts: Values) -> Result:
    """Resistance that takes a power at a voltage; a larger one takes less. [Ω]"""
    return np.square(volts) / power


def dump_power(volts: Values, dump_resistance: Values) -> Result:
    """Power a resistance takes at a voltage, as heat. [W]"""
    return np.square(volts) / dump_resistance


def cooling_air(power: Values, temperature_rise: Values, air_temperature: Values, air_pressure: Values) -> Result:
    """Flow of air, as it comes in, that carries heat off while it warms by a given amount.

    Parameters
    ----------
    power : array_like
        Heat. [W]
    temperature_rise : array_like
        By how much the air may warm. [K]
    air_temperature : array_like
        Of the air that comes in. [K]
    air_pressure : array_like
        Absolute. [Pa]

    Returns
    -------
    float or ndarray
        P / (rho c_p dT) with the density of dry air as a perfect gas. [m³/s]
    """
    density = air_pressure / (_GAS_CONSTANT * air_temperature)
    return power / (density * _HEAT_CAPACITY * temperature_rise)
