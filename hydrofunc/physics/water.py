"""Water, gravity and air: what the place alone decides. SI units."""

import numpy as np

from .values import Result, Values

# IAPWS R7-97(2012), region 4, table 34.
_SATURATION = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)


def density(temperature: Values) -> Result:
    """Density of fresh water at atmospheric pressure, 0 to 40 °C (273.15 to 313.15 K). [kg/m³]

    References
    ----------
    M. Tanaka et al., Recommended table for the density of water between 0 °C and 40 °C, Metrologia 38 (2001) 301,
    equation 1.
    """
    t = temperature - 273.15
    return 999.974950 * (1 - np.square(t - 3.983035) * (t + 301.797) / (522528.9 * (t + 69.34881)))


def kinematic_viscosity(temperature: Values) -> Result:
    """Kinematic viscosity of fresh water at atmospheric pressure. [m²/s]

    References
    ----------
    IAPWS SR6-08(2011), Supplementary release on properties of liquid water at 0.1 MPa, equation for viscosity.
    """
    t = temperature / 300
    dynamic = 1e-6 * (
        280.68 * np.power(t, -1.9)
        + 511.45 * np.power(t, -7.7)
        + 61.131 * np.power(t, -19.6)
        + 0.45903 * np.power(t, -40.0)
    )
    return dynamic / density(temperature)


def vapour_pressure(temperature: Values) -> Result:
    """Pressure, absolute, at which water of this temperature boils. [Pa]

    References
    ----------
    IAPWS R7-97(2012), equation 30.
    """
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = _SATURATION
    theta = temperature + n9 / (temperature - n10)
    a = np.square(theta) + n1 * theta + n2
    b = n3 * np.square(theta) + n4 * theta + n5
    c = n6 * np.square(theta) + n7 * theta + n8
    return 1e6 * np.power(2 * c / (-b + np.sqrt(np.square(b) - 4 * a * c)), 4)


def boiling_temperature(pressure: Values) -> Result:
    """Temperature at which water boils under an absolute pressure [Pa]: the inverse of `vapour_pressure`. [K]

    References
    ----------
    IAPWS R7-97(2012), equation 31.
    """
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = _SATURATION
    beta = np.power(pressure / 1e6, 0.25)
    e = np.square(beta) + n3 * beta + n6
    f = n1 * np.square(beta) + n4 * beta + n7
    g = n2 * np.square(beta) + n5 * beta + n8
    d = 2 * g / (-f - np.sqrt(np.square(f) - 4 * e * g))
    return (n10 + d - np.sqrt(np.square(n10 + d) - 4 * (n9 + n10 * d))) / 2


def gravity(latitude: Values, altitude: Values) -> Result:
    """Gravitational acceleration on the WGS 84 ellipsoid and above it. [m/s²]

    `latitude` in rad, `altitude` in m.

    References
    ----------
    NIMA TR8350.2, Department of Defense World Geodetic System 1984, equations 4-1 and 4-3.
    """
    s = np.square(np.sin(latitude))
    normal = 9.7803253359 * (1 + 0.00193185265241 * s) / np.sqrt(1 - 0.00669437999013 * s)
    a, f, m = 6378137.0, 1 / 298.257223563, 0.00344978650684
    return normal * (1 - 2 / a * (1 + f + m - 2 * f * s) * altitude + 3 * np.square(altitude) / np.square(a))


def air_pressure(altitude: Values) -> Result:
    """Mean air pressure at an altitude, standard atmosphere below 11 km. [Pa]

    References
    ----------
    U.S. Standard Atmosphere 1976, equation 33a (ISO 2533 alike).
    """
    return 101325 * np.power(1 - 0.0065 * altitude / 288.15, 5.25588)
