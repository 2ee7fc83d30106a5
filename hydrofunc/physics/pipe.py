"""Head lost in the pipe. SI units."""

from typing import NamedTuple

import numpy as np

from .water import kinematic_viscosity

LAMINAR_TO, TURBULENT_FROM = 2000.0, 4000.0


def pipe_velocity(flow, bore):
    """Mean velocity in a full pipe. [m/s]"""
    return 4 * flow / (np.pi * bore**2)


def reynolds_number(flow, bore, temperature):
    """Velocity x bore / kinematic viscosity. [-]"""
    return pipe_velocity(flow, bore) * bore / kinematic_viscosity(temperature)


def _colebrook(reynolds_number, relative_roughness):
    """(f, d ln f / d ln Re) of Colebrook-White, solved by Newton on 1/sqrt(f)."""
    a, b = relative_roughness / 3.7, 2.51 / reynolds_number
    x = -1.8 * np.log10((relative_roughness / 3.7) ** 1.11 + 6.9 / reynolds_number)  # Haaland: within 2 %
    slope = 2 / np.log(10)
    for _ in range(4):  # the error squares from step to step: 1e-2, 1e-6, 1e-13, rounding
        y = a + b * x
        x = x - (x + slope * np.log(y)) / (1 + slope * b / y)
    y = a + b * x
    share = slope * b / y
    return x**-2, -2 * share / (1 + share)


def friction(reynolds_number, relative_roughness):
    """Darcy friction factor and d ln f / d ln Re, all regimes."""
    low = np.maximum(reynolds_number, 1e-30)
    turbulent, slope = _colebrook(np.maximum(low, TURBULENT_FROM), relative_roughness)
    between = np.log(turbulent / (64 / LAMINAR_TO)) / np.log(TURBULENT_FROM / LAMINAR_TO)
    factor = np.where(low <= LAMINAR_TO, 64 / low, np.where(
        low >= TURBULENT_FROM, turbulent, 64 / LAMINAR_TO * (low / LAMINAR_TO) ** between))
    return factor, np.where(low <= LAMINAR_TO, -1.0, np.where(low >= TURBULENT_FROM, slope, between))


def friction_factor(reynolds_number, relative_roughness):
    """Darcy friction factor. [-]"""
    return friction(reynolds_number, relative_roughness)[0]


class Section(NamedTuple):
    length: np.ndarray
    bore: np.ndarray
    roughness: np.ndarray


def sections_of(*parts):
    """Sections that have a length somewhere; where one has none its bore does not matter."""
    sections = [Section(*parts[:3])]
    for length, bore, roughness in (parts[3:6], parts[6:9]):
        if np.any(np.asarray(length) != 0):
            sections.append(Section(length, np.where(np.asarray(length) == 0, 1.0, bore), roughness))
    return sections


def losses(flow, sections, fittings, viscosity, gravity):
    """Head lost, and its derivative to ln(flow). [m]"""
    head = slope = 0.0
    for length, bore, roughness in sections:
        velocity = pipe_velocity(flow, bore)
        factor, steepness = friction(velocity * bore / viscosity, roughness / bore)
        part = factor * length / bore * velocity**2 / (2 * gravity)
        head, slope = head + part, slope + part * (2 + steepness)
    minor = minor_head(flow, sections[0].bore, fittings, gravity)
    return head + minor, slope + 2 * minor


def friction_head(flow, length, bore, roughness, temperature, gravity):
    """Head lost to wall friction in a full, straight pipe (Darcy-Weisbach). [m]"""
    return losses(flow, [Section(length, bore, roughness)], 0.0, kinematic_viscosity(temperature), gravity)[0]


def minor_head(flow, bore, fittings, gravity):
    """Head lost in fittings of summed loss coefficient. [m]"""
    return fittings * pipe_velocity(flow, bore) ** 2 / (2 * gravity)


def penstock_head(flow, length, bore, roughness, fittings, temperature, gravity, length_2, bore_2, roughness_2,
                  length_3, bore_3, roughness_3):
    """Head lost in up to three sections and the fittings. [m]"""
    sections = sections_of(length, bore, roughness, length_2, bore_2, roughness_2, length_3, bore_3, roughness_3)
    return losses(flow, sections, fittings, kinematic_viscosity(temperature), gravity)[0]


def hazen_williams_head(flow, length, bore, coefficient):
    """Head lost by Hazen-Williams. [m]"""
    return 10.667 * length * flow**1.852 / (coefficient**1.852 * bore**4.871)


def solve_flow(target, total, guess):
    """Flow at which the head `total(flow)` -> (head, d head / d ln flow) is `target`; Newton in logarithms, bracketed."""
    shape = np.broadcast_shapes(np.shape(target), np.shape(guess), np.shape(total(guess)[0]))
    goal = np.log(np.broadcast_to(target, shape).astype(float))
    s = np.log(np.broadcast_to(guess, shape).astype(float))
    low, high = s - 60.0, s + 60.0
    for _ in range(200):
        head, slope = total(np.exp(s))
        excess = np.log(head) - goal
        low, high = np.where(excess < 0, s, low), np.where(excess > 0, s, high)
        step = -excess * head / slope
        new = s + step
        new = np.where((new > low) & (new < high), new, (low + high) / 2)
        moved = np.abs(new - s)
        s = new
        if not np.any(moved > 1e-14 * np.maximum(1, np.abs(s))):
            return np.exp(s)
    return np.where(moved < 1e-11, np.exp(s), np.nan)


def flow_for_loss(head_loss, length, bore, roughness, fittings, temperature, gravity):
    """Flow that loses a given head. [m³/s]"""
    viscosity = kinematic_viscosity(temperature)
    sections = [Section(length, bore, roughness)]
    guess = np.pi / 4 * np.asarray(bore) ** 2 * np.sqrt(2 * gravity * head_loss / (0.02 * length / bore + fittings + 1e-9))
    return solve_flow(head_loss, lambda flow: losses(flow, sections, fittings, viscosity, gravity), guess)
