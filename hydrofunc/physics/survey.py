"""What the survey measures: head from pressure, flow from bucket and weir. SI units."""

import numpy as np

from .water import density

_FOOT = 0.3048


def static_head(static_pressure, gauge_height, temperature, gravity):
    """Height of the water level above the nozzle, from a gauge `gauge_height` [m] above the nozzle. [m]"""
    return static_pressure / (density(temperature) * gravity) + gauge_height


def static_pressure(head, temperature, gravity):
    """Gauge pressure under a column of water at rest. [Pa]"""
    return density(temperature) * gravity * head


def hydraulic_power(flow, head, temperature, gravity):
    """Power of a flow falling through a head. [W]"""
    return density(temperature) * gravity * flow * head


def bucket_flow(volume, seconds):
    """Flow from the time a bucket takes to fill. [m³/s]"""
    return volume / seconds


def vnotch_flow(weir_head, notch_angle, gravity):
    """Flow over a fully contracted thin-plate V-notch (Kindsvater-Shen). [m³/s]

    Coefficient and head correction by angle between 20 and 100 degrees.
    """
    degrees = np.degrees(notch_angle)
    # Curves of USBR Water Measurement Manual, figure 7-4 (fit from memory, not looked up), moved so that 90° has
    # the 0.578 and 0.85 mm of ISO 1438.
    coefficient = 0.578 + (-0.000874466963 * (degrees - 90) + 6.10393334e-6 * (degrees**2 - 8100))
    feet = 0.0144902648 - 0.00033955535 * degrees + 3.29819003e-6 * degrees**2 - 1.06215442e-8 * degrees**3
    correction = feet * _FOOT - 3.5e-5
    return 8 / 15 * coefficient * np.tan(notch_angle / 2) * np.sqrt(2 * gravity) * (weir_head + correction) ** 2.5


def rectangular_weir_flow(weir_head, crest_width, channel_width, crest_height):
    """Flow over a thin-plate rectangular weir (Kindsvater-Carter). [m³/s]"""
    share = np.array([0.0, 0.2, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0])
    c1 = np.array([-0.0087, -0.0087, 0.0317, 0.0612, 0.0995, 0.1602, 0.2376, 0.3447, 0.4000])
    c2 = np.array([3.152, 3.152, 3.164, 3.173, 3.178, 3.182, 3.189, 3.205, 3.220])
    ratio = crest_width / channel_width
    coefficient = np.interp(ratio, share, c1) * weir_head / crest_height + np.interp(ratio, share, c2)
    widening = np.where(ratio >= 1, -0.003, 0.010)
    return coefficient * (crest_width / _FOOT + widening) * (weir_head / _FOOT + 0.003) ** 1.5 * _FOOT**3
