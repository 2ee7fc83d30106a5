"""What the survey measures: head from pressure, flow from bucket and weir. SI units."""

import numpy as np

from .values import Result, Values
from .water import density

_FOOT = 0.3048
# Kindsvater-Carter by crest over channel width: C1, C2 of the USBR Water Measurement Manual, chapter 7 (foot units);
# width correction k_b [mm] of ISO 1438, from memory, not looked up.
_WIDTH_RATIO = (0.0, 0.2, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
_C1 = (-0.0087, -0.0087, 0.0317, 0.0612, 0.0995, 0.1602, 0.2376, 0.3447, 0.4000)
_C2 = (3.152, 3.152, 3.164, 3.173, 3.178, 3.182, 3.189, 3.205, 3.220)
_KB_RATIO, _KB = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0), (2.4, 2.4, 2.7, 3.6, 4.2, -0.9)


def static_head(static_pressure: Values, gauge_height: Values, temperature: Values, gravity: Values) -> Result:
    """Height of the water level above the nozzle.

    Parameters
    ----------
    static_pressure : array_like
        Gauge pressure at rest. [Pa]
    gauge_height : array_like
        Height of the gauge above the nozzle, negative below it. [m]
    temperature : array_like
        Water temperature. [K]
    gravity : array_like
        Gravitational acceleration. [m/s²]

    Returns
    -------
    float or ndarray
        Gross head, p / (rho g) + gauge height. [m]
    """
    return static_pressure / (density(temperature) * gravity) + gauge_height


def static_pressure(head: Values, temperature: Values, gravity: Values) -> Result:
    """Gauge pressure at the foot of a column of water at rest, `head` [m] high. [Pa]"""
    return density(temperature) * gravity * head


def hydraulic_power(flow: Values, head: Values, temperature: Values, gravity: Values) -> Result:
    """Power of a flow [m³/s] that falls through a head [m], rho g Q H. [W]"""
    return density(temperature) * gravity * flow * head


def bucket_flow(volume: Values, seconds: Values) -> Result:
    """Flow from the time [s] in which a bucket [m³] fills. [m³/s]"""
    return volume / seconds


def vnotch_flow(weir_head: Values, notch_angle: Values, gravity: Values) -> Result:
    """Flow over a fully contracted thin-plate V-notch weir (Kindsvater-Shen).

    Parameters
    ----------
    weir_head : array_like
        Head over the bottom of the notch, measured upstream of the drawdown. [m]
    notch_angle : array_like
        Angle between the edges, 20 to 100 degrees. [rad]
    gravity : array_like
        Gravitational acceleration. [m/s²]

    Returns
    -------
    float or ndarray
        Q = 8/15 C_e tan(a/2) sqrt(2 g) (h + k_h)^2.5. [m³/s]

    References
    ----------
    ISO 1438:2008 for the form, and for C_e = 0.578 and k_h = 0.85 mm at 90 degrees.
    """
    degrees = np.degrees(notch_angle)
    # Curves of USBR Water Measurement Manual, figure 7-4 (fit from memory, not looked up), moved so that 90° has
    # the 0.578 and 0.85 mm of ISO 1438.
    coefficient = 0.578 + (-0.000874466963 * (degrees - 90) + 6.10393334e-6 * (np.square(degrees) - 8100))
    feet = (
        0.0144902648
        - 0.00033955535 * degrees
        + 3.29819003e-6 * np.square(degrees)
        - 1.06215442e-8 * np.power(degrees, 3)
    )
    correction = feet * _FOOT - 3.4687e-5
    return 8 / 15 * coefficient * np.tan(notch_angle / 2) * np.sqrt(2 * gravity) * np.power(weir_head + correction, 2.5)


def rectangular_weir_flow(
    weir_head: Values, crest_width: Values, channel_width: Values, crest_height: Values
) -> Result:
    """Flow over a thin-plate rectangular weir (Kindsvater-Carter).

    Parameters
    ----------
    weir_head : array_like
        Head over the crest, measured upstream of the drawdown. [m]
    crest_width, channel_width : array_like
        Length of the crest, and width of the channel, at least as large. [m]
    crest_height : array_like
        Height of the crest above the bed. [m]

    Returns
    -------
    float or ndarray
        Q = C_e (b + k_b) (h + 0.003 ft)^1.5 with C_e = C1 h/p + C2, in feet: the width correction goes to the
        width, the head correction to the head. [m³/s]

    References
    ----------
    USBR, Water Measurement Manual, equations 7-1 and 7-2.
    """
    ratio = crest_width / channel_width
    coefficient = np.interp(ratio, _WIDTH_RATIO, _C1) * weir_head / crest_height + np.interp(ratio, _WIDTH_RATIO, _C2)
    width = crest_width + np.interp(ratio, _KB_RATIO, _KB) * 1e-3
    return coefficient * (width / _FOOT) * np.power(weir_head / _FOOT + 0.003, 1.5) * _FOOT**3
