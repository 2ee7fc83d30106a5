"""Head lost in the pipe, for up to three sections in series and their fittings. SI units.

Friction follows Darcy-Weisbach with the Darcy (Moody) factor: 64/Re to Re 2000, Colebrook-White from Re 4000,
and between them ln f straight in ln Re. So the head always rises with flow, and every coupled solution built
on it is unique. The unknown of those solutions is ln(flow): head over flow has a slope of 1 to 4 in logarithms.
"""

from typing import NamedTuple

import numpy as np

from .water import kinematic_viscosity

LAMINAR_TO, TURBULENT_FROM = 2000.0, 4000.0
_PER_DECADE = 2 / np.log(10)
_CLOSE = 1e-10  # in ln(flow); Newton squares the error, so a smooth root is then exact to rounding
_NO_FLOW = 1e-30  # [m³/s] the least that is sought
_STEPS = 200  # far more than bisection alone needs


class Section(NamedTuple):
    """A length of pipe of one bore. [m], [m], [m]"""

    length: np.ndarray
    bore: np.ndarray
    roughness: np.ndarray


class Losses(NamedTuple):
    """Head lost [m], and its first and second derivative to ln(flow)."""

    head: np.ndarray
    slope: np.ndarray
    curvature: np.ndarray


def pipe_velocity(flow, bore):
    """Mean velocity in a pipe running full: flow [m³/s] over the area of the bore [m]. [m/s]"""
    return 4 * flow / (np.pi * bore**2)


def reynolds_number(flow, bore, temperature):
    """Velocity times bore over kinematic viscosity. [-]

    Laminar below about 2000, turbulent above 4000.
    """
    return pipe_velocity(flow, bore) * bore / kinematic_viscosity(temperature)


def friction_factor(reynolds_number, relative_roughness):
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
        64/Re to Re 2000; from Re 4000 the root of Colebrook-White, to rounding; between, ln f straight in ln Re
        from the one to the other (a choice: no law holds there). [-]

    References
    ----------
    C. F. Colebrook, Turbulent flow in pipes, J. Inst. Civil Engineers 11 (1939) 133.
    """
    return _friction(reynolds_number, relative_roughness)[0]


def _friction(reynolds, relative_roughness):
    """Friction factor, d ln f / d ln Re, and the derivative of that, in all regimes."""
    factor, slope, curvature = _colebrook(np.maximum(reynolds, TURBULENT_FROM), relative_roughness)
    if np.all(reynolds >= TURBULENT_FROM):
        return factor, slope, curvature
    at_end = 64 / LAMINAR_TO
    across = np.log(factor / at_end) / np.log(TURBULENT_FROM / LAMINAR_TO)
    laminar, turbulent = reynolds <= LAMINAR_TO, reynolds >= TURBULENT_FROM
    between = at_end * (reynolds / LAMINAR_TO) ** across
    factor = np.where(laminar, 64 / np.maximum(reynolds, 1e-300), np.where(turbulent, factor, between))
    slope = np.where(laminar, -1.0, np.where(turbulent, slope, across))
    return factor, slope, np.where(turbulent, curvature, 0.0)


def _colebrook(reynolds, relative_roughness):
    """As `_friction`, for turbulent flow alone. The unknown is x = 1/sqrt(f), of x = -2 lg(a + b x)."""
    a, b = relative_roughness / 3.7, 2.51 / reynolds
    x = -_PER_DECADE * np.log(a + 7 * b)  # within 6 %
    for _ in range(2):  # Halley cubes the error: 1e-5, then rounding (tested against an independent solver)
        y = a + b * x
        excess, slope = x + _PER_DECADE * np.log(y), 1 + _PER_DECADE * b / y
        x = x - 2 * excess * slope / (2 * slope**2 + excess * _PER_DECADE * (b / y) ** 2)
    y = a + b * x
    share = _PER_DECADE * b / y
    bending = share * (b * x / y / (1 + share) - 1)  # d share / d ln Re
    return x**-2, -2 * share / (1 + share), -2 * bending / (1 + share) ** 2


def sections_of(length, bore, roughness, length_2, bore_2, roughness_2, length_3, bore_3, roughness_3):
    """The sections that have a length anywhere; where one has none, its bore does not matter."""
    sections = [Section(length, bore, roughness)]
    for more in (Section(length_2, bore_2, roughness_2), Section(length_3, bore_3, roughness_3)):
        if np.any(np.asarray(more.length) != 0):
            missing = np.asarray(more.length) == 0
            sections.append(
                Section(more.length, np.where(missing, 1.0, more.bore), np.where(missing, 0.0, more.roughness))
            )
    return sections


def outlet_bore(bore, length_2, bore_2, length_3, bore_3):
    """Bore at the lower end: that of the last section there is. [m]"""
    return np.where(np.asarray(length_3) > 0, bore_3, np.where(np.asarray(length_2) > 0, bore_2, bore))


def losses(flow, sections, fittings, viscosity, gravity):
    """Head lost in sections and fittings, with its derivatives to ln(flow); `fittings` refer to the first bore."""
    minor = minor_head(flow, sections[0].bore, fittings, gravity)
    head, slope, curvature = minor, 2 * minor, 4 * minor
    for length, bore, roughness in sections:
        velocity = pipe_velocity(flow, bore)
        factor, steepness, bending = _friction(velocity * bore / viscosity, roughness / bore)
        part = factor * (length / bore) * velocity**2 / (2 * gravity)
        power = 2 + steepness
        head, slope, curvature = head + part, slope + part * power, curvature + part * (power**2 + bending)
    return Losses(head, slope, curvature)


def friction_head(flow, length, bore, roughness, temperature, gravity):
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
    sections = [Section(length, bore, roughness)]
    return losses(flow, sections, 0.0, kinematic_viscosity(temperature), gravity).head


def minor_head(flow, bore, fittings, gravity):
    """Head lost in fittings: their summed loss coefficient times the velocity head in the bore. [m]"""
    return fittings * pipe_velocity(flow, bore) ** 2 / (2 * gravity)


def penstock_head(
    flow,
    length,
    bore,
    roughness,
    fittings,
    temperature,
    gravity,
    length_2,
    bore_2,
    roughness_2,
    length_3,
    bore_3,
    roughness_3,
):
    """Head lost in up to three sections in series and the fittings of the first. [m]

    A section of no length is none. A step between bores is not included: add its coefficient to `fittings`.
    """
    sections = sections_of(length, bore, roughness, length_2, bore_2, roughness_2, length_3, bore_3, roughness_3)
    return losses(flow, sections, fittings, kinematic_viscosity(temperature), gravity).head


def hazen_williams_head(flow, length, bore, coefficient):
    """Head lost by the rule of Hazen and Williams, for water near 15 °C in turbulent flow. [m]

    `coefficient` is C, 150 for smooth plastic to 100 for old iron. Less exact than `friction_head`, most of
    all in small pipes.
    """
    return 10.667 * length * flow**1.852 / (coefficient**1.852 * bore**4.871)


def solve_flow(head, total, guess, low=0.0, high=np.inf):
    """The flow between `low` and `high` at which `total` reaches `head`: Newton in logarithms within a bracket.

    Parameters
    ----------
    head : array_like
        Wanted head, above 0. [m]
    total : callable
        Head at a flow, and its derivative to ln(flow); it rises with flow. [m]
    guess : array_like
        Where to begin, above 0. [m³/s]
    low, high : array_like
        Where the head is not reached between them, the nearer one is returned. [m³/s]

    Returns
    -------
    float or ndarray
        Exact to rounding where `total` is smooth. NaN where an input is, or where there is no flow. [m³/s]
    """
    goal = np.log(head)
    lowest, highest = np.log(np.maximum(low, _NO_FLOW)), np.log(np.clip(high, _NO_FLOW, 1e6))
    below, above = lowest - 1, highest + 1  # until a flow on either side is known, the ends themselves may be tried
    s = np.clip(np.log(guess), lowest, highest)
    for _ in range(_STEPS):
        value, slope = total(np.exp(s))
        excess = np.log(value) - goal
        below, above = np.where(excess < 0, s, below), np.where(excess > 0, s, above)
        new = np.clip(s - excess * value / slope, lowest, highest)
        inside = (new > below) & (new < above) | (np.abs(new - s) <= _CLOSE)
        new = np.where(inside, new, np.clip((below + above) / 2, lowest, highest))
        moved, s = np.abs(new - s), new
        if not np.any(moved > _CLOSE):
            break
    return np.where(np.isnan(excess) | (moved > _CLOSE), np.nan, np.exp(s))


def flow_for_loss(head_loss, length, bore, roughness, fittings, temperature, gravity):
    """Flow that loses a given head in one section and its fittings: the inverse of `penstock_head`. [m³/s]"""
    viscosity, sections = kinematic_viscosity(temperature), [Section(length, bore, roughness)]
    guess = rough_flow(head_loss, sections, fittings, gravity)
    flow = solve_flow(head_loss, lambda q: losses(q, sections, fittings, viscosity, gravity)[:2], guess)
    return np.where(np.asarray(head_loss) == 0, 0.0, flow)


def rough_flow(head, sections, fittings, gravity):
    """Flow that loses about this head, to begin a search with. [m³/s]"""
    loss = 0.0
    for length, bore, _ in sections:
        loss = loss + 0.025 * length / bore / (2 * gravity * (np.pi / 4 * bore**2) ** 2)
    return np.sqrt(head / (loss + fittings / (2 * gravity * (np.pi / 4 * sections[0].bore ** 2) ** 2) + 1e-9))
