"""What the pipe wall stands, what the pipe weighs and holds, and the forces that push at its bends and ends. SI
units.
"""

import numpy as np

from .groups import Pipe, flat
from .pipe import pipe_velocity
from .tables import look_up, rows_of
from .values import Result, Values, Words

_LISTED = rows_of("materials.csv")


def _column(name, factor):
    return {row["material"]: float(row[name]) * factor for row in _LISTED}


_POISSON, _STRESS = _column("poisson_ratio", 1.0), _column("design_stress_mpa", 1e6)
_MODULUS = {
    (row["material"], duration): float(row[f"{duration}_modulus_gpa"]) * 1e9
    for row in _LISTED
    for duration in ("short", "long")
}
_FULL_TO, _HOTTEST, _LEAST = _column("full_to_c", 1.0), _column("hottest_c", 1.0), _column("factor_at_hottest", 1.0)
MATERIALS = tuple(_POISSON)
DURATIONS = ("short", "long")
METHODS = ("barlow", "bore", "lame")


def elastic_modulus(material: Words, duration: Words) -> Result:
    """Elastic modulus of a pipe material for a "short" load, such as surge, or a "long" one, such as weight. [Pa]

    Plastics creep: the modulus for a load of years is a fraction of that for a moment. For a moment it is that of quick
    waves in cold water, the stiff end, as a stiffer pipe surges more. Values of `materials.csv`.
    """
    return look_up(_MODULUS, material, duration)


def poisson_ratio(material: Words) -> Result:
    """Poisson's ratio of a pipe material, of `materials.csv`. [-]"""
    return look_up(_POISSON, material)


def design_stress(material: Words) -> Result:
    """Stress a pipe wall may bear for its life at 20 °C, of `materials.csv`. [Pa]

    For plastics the minimum required strength over the design factor.
    """
    return look_up(_STRESS, material)


def temperature_factor(material: Words, wall_temperature: Values) -> Result:
    """Share of its rating a pipe keeps at a wall temperature.

    Parameters
    ----------
    material : str or array of str
        A word of `materials.csv`. [word]
    wall_temperature : array_like
        Of the pipe wall. [K]

    Returns
    -------
    float or ndarray
        1 up to a temperature of the material, then straight down; NaN above the hottest published. [-]

    References
    ----------
    PE100: 1.00, 0.87, 0.74 at 20, 30, 40 °C, ISO 4427-1 annex A; PVC-U: 1.0 to 25 °C, 0.63 at 45 °C, ISO 1452-2; both
    from memory, not looked up. Another standard (AS/NZS 4130) takes less off.
    """
    celsius = np.asarray(wall_temperature) - 273.15
    start, end, least = look_up(_FULL_TO, material), look_up(_HOTTEST, material), look_up(_LEAST, material)
    factor = np.minimum(1.0, 1 - (1 - least) * (celsius - start) / (end - start))
    return np.where(celsius > end + 1e-9, np.nan, factor)


def hoop_stress(pressure: Values, outside: Values, wall: Values, method: Words) -> Result:
    """Stress around the pipe wall.

    Parameters
    ----------
    pressure : array_like
        Gauge pressure inside. [Pa]
    outside, wall : array_like
        Outside diameter and wall thickness. [m]
    method : str or array of str
        "barlow": p D_o / 2e, never too low; "bore": p D_i / 2e, for thin walls, too low in thick ones; "lame": exact at
        the inner face of an elastic wall. [word]

    Returns
    -------
    float or ndarray
        Hoop stress; the stress along a pipe with closed, free ends is about half of it. [Pa]

    References
    ----------
    S. S. Bhavikatti, Strength of Materials, Ex. 8.8.1 p. 322 (thin wall); Lamé's thick cylinder.
    """
    bore = outside - 2 * wall
    barlow, thin = pressure * outside / (2 * wall), pressure * bore / (2 * wall)
    lame = pressure * (np.square(outside) + np.square(bore)) / (np.square(outside) - np.square(bore))
    which = np.asarray(method)
    return np.where(which == "barlow", barlow, np.where(which == "bore", thin, lame))


def wall_pressure(outside: Values, wall: Values, design_stress: Values) -> Result:
    """Pressure a wall stands at its design stress: 2 s / (SDR - 1), SDR being outside over wall. [Pa]

    References
    ----------
    ISO 4065; with the stress in MPa, PN [bar] = 20 MRS / (C (SDR - 1)).
    """
    return 2 * design_stress * wall / (outside - wall)


@flat("length bore length_2 bore_2 length_3 bore_3")
def pipe_volume(pipe: Pipe) -> Result:
    """Water that the pipe holds when full. [m³]"""
    return np.pi / 4 * sum(section.length * np.square(section.bore) for section in pipe.sections)


def end_force(pressure: Values, outside: Values) -> Result:
    """Force with which a pressure pushes a cap, a closed valve or a plugged nozzle off the end of a pipe. [N]

    The pressure is taken to act over the whole outside, as it does in a push-fit or clamped joint.
    """
    return pressure * np.pi / 4 * np.square(outside)


def bend_force(pressure: Values, flow: Values, outside: Values, bore: Values, angle: Values, density: Values) -> Result:
    """Force with which a bend is pushed outwards, along the line that halves it.

    Parameters
    ----------
    pressure : array_like
        Gauge pressure in the bend, surge included. [Pa]
    flow : array_like
        Water flow. [m³/s]
    outside, bore : array_like
        Outside diameter, over which the pressure acts in the joints, and inside diameter. [m]
    angle : array_like
        By which the bend turns the water. [rad]
    density : array_like
        Of the water. [kg/m³]

    Returns
    -------
    float or ndarray
        2 (p A + rho Q V) sin(angle / 2). [N]

    References
    ----------
    Momentum equation; F. M. White, Fluid Mechanics, chapter 3 (section not checked).
    """
    moving = density * flow * pipe_velocity(flow, bore)
    return 2 * (end_force(pressure, outside) + moving) * np.sin(angle / 2)


def support_spacing(
    outside: Values, wall: Values, elastic_modulus: Values, load_mass: Values, sag: Values, gravity: Values
) -> Result:
    """Distance of supports at which a pipe sags by a share of it between them.

    Parameters
    ----------
    outside, wall : array_like
        Outside diameter and wall thickness. [m]
    elastic_modulus : array_like
        Of the wall, for lasting loads. [Pa]
    load_mass : array_like
        Of each metre: pipe, water and whatever lies on it. [kg/m]
    sag : array_like
        Deflection at mid-span over the span. [-]
    gravity : array_like
        Gravitational acceleration. [m/s²]

    Returns
    -------
    float or ndarray
        Span of a beam free to turn at its ends, (384 E I sag / (5 w))^(1/3); over several supports it sags less. [m]

    References
    ----------
    Beam under its own weight, 5 w L⁴ / (384 E I): any book on strength of materials.
    """
    second_moment = np.pi / 64 * (np.power(outside, 4) - np.power(outside - 2 * wall, 4))
    return np.cbrt(384 * elastic_modulus * second_moment * sag / (5 * load_mass * gravity))
