"""Head lost in the pipe, for up to three sections in series and their fittings. SI units.

Friction follows Darcy-Weisbach with the Darcy (Moody) factor: 64/Re to Re 2000, Colebrook-White from Re 2600,
and between them ln f straight in ln Re. So the head always rises with flow, and every coupled solution built
on it is unique. The unknown of those solutions is ln(flow): head over flow has a slope of 1 to 4 in logarithms.

All functions but `reynolds_number` and `friction_factor` also take a pipe with complex numbers: the diagnosis finds its
derivatives so. numpy compares complex numbers by their real parts first, so `maximum` and `>=` choose as they should.
"""

from typing import NamedTuple

import numpy as np

from .groups import MORE_SECTIONS, SECTION, Pipe, Section, Water, flat
from .roots import positive_root
from .values import Result, Values
from .water import kinematic_viscosity

# Measured pipes turn turbulent between the two. From 2600 Colebrook-White lies 2 % over the smooth pipes of Stanton and
# Pannell 1914; with 4000 in its place the bridge lay 4 to 21 % under them (compared outside the project's tests).
LAMINAR_TO, TURBULENT_FROM = 2000.0, 2600.0
ROUGHEST = 0.05  # roughness over bore; the range of Moody's chart
_PER_DECADE = 2 / np.log(10)


class Losses(NamedTuple):
    """Head lost to the walls and in fittings [m], and the first and second derivative of their sum to ln(flow)."""

    friction: Result
    fittings: Result
    slope: Result
    curvature: Result

    @property
    def head(self) -> Result:
        """Head lost in all. [m]"""
        return self.friction + self.fittings


def pipe_velocity(flow: Values, bore: Values) -> Result:
    """Mean velocity in a pipe running full: flow [m³/s] over the area of the bore [m]. [m/s]"""
    return 4 * flow / (np.pi * np.square(bore))


def reynolds_number(flow: Values, bore: Values, temperature: Values) -> Result:
    """Velocity times bore over kinematic viscosity. [-]

    Laminar below about 2000; counted as turbulent above 2600.
    """
    return pipe_velocity(flow, bore) * bore / kinematic_viscosity(temperature)


def friction_factor(reynolds_number: Values, relative_roughness: Values) -> Result:
    """Darcy (Moody) friction factor; four times the Fanning factor. [-]

    Parameters
    ----------
    reynolds_number : array_like
        Above 0. [-]
    relative_roughness : array_like
        Absolute roughness over bore, 0 to 0.05. [-]

    Returns
    -------
    float or ndarray
        64/Re to Re 2000; from Re 2600 the root of Colebrook-White, to rounding; between, ln f straight in ln Re
        from the one to the other (a choice: no law holds there). [-]

    References
    ----------
    C. F. Colebrook, Turbulent flow in pipes, J. Inst. Civil Engineers 11 (1939) 133.
    """
    factor = np.power(_colebrook_root(relative_roughness / 3.7, 2.51 / np.maximum(reynolds_number, TURBULENT_FROM)), -2)
    return factor if np.all(reynolds_number >= TURBULENT_FROM) else _in_all_regimes(reynolds_number, factor)[0]


def _friction(reynolds, relative_roughness):
    """Friction factor, d ln f / d ln Re, and the derivative of that, in all regimes."""
    factor, slope, curvature = _colebrook(np.maximum(reynolds, TURBULENT_FROM), relative_roughness)
    if np.all(reynolds >= TURBULENT_FROM):
        return factor, slope, curvature
    factor, across, laminar, turbulent = _in_all_regimes(reynolds, factor)
    slope = np.where(laminar, -1.0, np.where(turbulent, slope, across))
    return factor, slope, np.where(turbulent, curvature, 0.0)


def _in_all_regimes(reynolds, turbulent_factor):
    """Friction factor, d ln f / d ln Re between the regimes, and where the flow is laminar, and turbulent."""
    at_end = 64 / LAMINAR_TO
    across = np.log(turbulent_factor / at_end) / np.log(TURBULENT_FROM / LAMINAR_TO)
    laminar, turbulent = reynolds <= LAMINAR_TO, reynolds >= TURBULENT_FROM
    between = at_end * np.power(reynolds / LAMINAR_TO, across)
    factor = np.where(turbulent, turbulent_factor, between)
    return np.where(laminar, 64 / np.maximum(reynolds, 1e-300), factor), across, laminar, turbulent


def _colebrook(reynolds, relative_roughness):
    """As `_friction`, for turbulent flow alone."""
    a, b = relative_roughness / 3.7, 2.51 / reynolds
    x = _colebrook_root(a, b)
    y = a + b * x
    share = _PER_DECADE * b / y
    bending = share * (b * x / y / (1 + share) - 1)  # d share / d ln Re
    return np.power(x, -2), -2 * share / (1 + share), -2 * bending / np.square(1 + share)


def _colebrook_root(a, b):
    """x = 1/sqrt(f), the root of x = -2 lg(a + b x)."""
    x = -_PER_DECADE * np.log(a + 7 * b)  # within 6 %
    for _ in range(2):  # Halley cubes the error: 1e-5, then rounding (tested against an independent solver)
        y = a + b * x
        excess, slope = x + _PER_DECADE * np.log(y), 1 + _PER_DECADE * b / y
        x = x - 2 * excess * slope / (2 * np.square(slope) + excess * _PER_DECADE * np.square(b / y))
    return x


def outlet_bore(pipe: Pipe) -> Result:
    """Bore at the lower end: that of the last section there is. [m]"""
    bore = pipe.sections[0].bore
    for section in pipe.sections[1:]:
        bore = np.where(np.asarray(section.length) > 0, section.bore, bore)
    return bore


def widest_nozzle(jets: Values, pipe: Pipe) -> Result:
    """Diameter of each of so many jets where all of them are as wide as the pipe at its lower end. [m]

    Wider ones are no nozzles: the pressure before them would be below that of the air.
    """
    return outlet_bore(pipe) / np.sqrt(jets)


def losses(flow: Values, pipe: Pipe, viscosity: Values, gravity: Values) -> Losses:
    """Head lost in all sections and in the fittings, with its derivatives to ln(flow)."""
    minor = minor_head(flow, pipe.sections[0].bore, pipe.fittings, gravity)
    friction, slope, curvature = 0.0, 2 * minor, 4 * minor
    for length, bore, roughness, _ in pipe.sections:
        velocity = pipe_velocity(flow, bore)
        factor, steepness, bending = _friction(velocity * bore / viscosity, roughness / bore)
        part = factor * (length / bore) * np.square(velocity) / (2 * gravity)
        power = 2 + steepness
        friction, slope, curvature = (
            friction + part,
            slope + part * power,
            curvature + part * (np.square(power) + bending),
        )
    return Losses(friction, minor, slope, curvature)


def friction_head(
    flow: Values, length: Values, bore: Values, roughness: Values, temperature: Values, gravity: Values
) -> Result:
    """Head lost to wall friction in a full, straight pipe (Darcy-Weisbach).

    Bends, valves and the entrance are not included: see `minor_head`.

    Parameters
    ----------
    flow : array_like
        Water flow; 0 is allowed. [m³/s]
    length : array_like
        Length along the pipe. [m]
    bore : array_like
        Inside diameter. [m]
    roughness : array_like
        Absolute roughness of the wall. [m]
    temperature : array_like
        Water temperature. [K]
    gravity : array_like
        Gravitational acceleration. [m/s²]

    Returns
    -------
    float or ndarray
        Head lost, never negative, in the broadcast shape; NaN where an input is NaN. [m]

    Notes
    -----
    h_f = f (L / D) V² / 2g with the Darcy factor of `friction_factor`. At a fixed factor 1 % of bore is worth 5 %
    of this head.

    References
    ----------
    F. M. White, Fluid Mechanics, chapter 6 (Darcy-Weisbach; section not checked).
    """
    return losses(flow, Pipe((Section(length, bore, roughness),)), kinematic_viscosity(temperature), gravity).friction


def minor_head(flow: Values, bore: Values, fittings: Values, gravity: Values) -> Result:
    """Head lost in fittings: their summed loss coefficient times the velocity head in the bore. [m]"""
    return fittings * np.square(pipe_velocity(flow, bore)) / (2 * gravity)


@flat("flow", SECTION, "fittings temperature gravity", MORE_SECTIONS)
def penstock_head(flow: Values, pipe: Pipe, water: Water) -> Result:
    """Head lost in all sections and in the fittings. [m]

    A section of no length is none. A step between bores is not included: add its coefficient to the fittings.
    """
    return losses(flow, pipe.laid(), kinematic_viscosity(water.temperature), water.gravity).head


def hazen_williams_head(flow: Values, length: Values, bore: Values, coefficient: Values) -> Result:
    """Head lost by the rule of Hazen and Williams, for water near 15 °C in turbulent flow. [m]

    `coefficient` is C, 150 for smooth plastic to 100 for old iron. Less exact than `friction_head`, most of
    all in small pipes.
    """
    return 10.667 * length * np.power(flow, 1.852) / (np.power(coefficient, 1.852) * np.power(bore, 4.871))


@flat(f"head_loss {SECTION} fittings temperature gravity")
def flow_for_loss(head_loss: Values, pipe: Pipe, water: Water) -> Result:
    """Flow that loses a head in the pipe and its fittings: the inverse of `penstock_head`. [m³/s]"""

    def lost(flow, *pipe_and_water):
        heads = losses(flow, *pipe_and_water)
        return heads.head, heads.slope

    arguments = (pipe, kinematic_viscosity(water.temperature), water.gravity)
    flow = positive_root(lost, head_loss, rough_flow(head_loss, pipe, water.gravity), *arguments)
    return np.where(np.asarray(head_loss) == 0, 0.0, flow)


def rough_flow(head: Values, pipe: Pipe, gravity: Values) -> Result:
    """Flow that loses about this head, to begin a search with. [m³/s]"""
    loss: Result = 0.0
    for length, bore, *_ in pipe.sections:
        loss = loss + 0.025 * length / bore / (2 * gravity * np.square(np.pi / 4 * np.square(bore)))
    first = pipe.sections[0].bore
    return np.sqrt(head / (loss + pipe.fittings / (2 * gravity * np.square(np.pi / 4 * np.square(first))) + 1e-9))
