"""Nozzle and jet, and the flow that pipe and nozzle settle at together. SI units."""

import numpy as np

from .pipe import losses, pipe_velocity, sections_of, solve_flow
from .water import density, kinematic_viscosity


def jet_velocity(net_head, velocity_coefficient, gravity):
    """Velocity of the jet. [m/s]"""
    return velocity_coefficient * np.sqrt(2 * gravity * net_head)


def _jet_area(nozzle, jets, contraction):
    return jets * contraction * np.pi / 4 * np.asarray(nozzle) ** 2


def nozzle_flow(net_head, nozzle, jets, velocity_coefficient, contraction, gravity):
    """Flow through the nozzles at a net head. [m³/s]"""
    return _jet_area(nozzle, jets, contraction) * jet_velocity(net_head, velocity_coefficient, gravity)


def nozzle_head(flow, nozzle, jets, velocity_coefficient, contraction, gravity):
    """Total head this flow needs before the nozzles. [m]"""
    return (flow / _jet_area(nozzle, jets, contraction) / velocity_coefficient) ** 2 / (2 * gravity)


def jet_diameter(nozzle, contraction):
    """Diameter of the jet. [m]"""
    return nozzle * np.sqrt(contraction)


def jet_power(flow, jet_velocity, temperature):
    """Kinetic power of the jets. [W]"""
    return density(temperature) * flow * jet_velocity**2 / 2


def jet_force(flow, jet_velocity, temperature):
    """Force of the jet on a wall that stops it. [N]"""
    return density(temperature) * flow * jet_velocity


def running_pressure(net_head, flow, bore, temperature, gravity):
    """Gauge pressure before the nozzle while water flows. [Pa]"""
    return density(temperature) * (gravity * net_head - pipe_velocity(flow, bore) ** 2 / 2)


def operating_flow(gross_head, length, bore, roughness, nozzle, fittings, jets, velocity_coefficient, contraction,
                   temperature, gravity, available_flow, length_2, bore_2, roughness_2, length_3, bore_3, roughness_3):
    """Flow at which pipe, fittings and nozzles together use up the gross head, or the available flow if less. [m³/s]"""
    sections = sections_of(length, bore, roughness, length_2, bore_2, roughness_2, length_3, bore_3, roughness_3)
    viscosity = kinematic_viscosity(temperature)
    outlet = (nozzle, jets, velocity_coefficient, contraction, gravity)

    def total(flow):
        lost, slope = losses(flow, sections, fittings, viscosity, gravity)
        needed = nozzle_head(flow, *outlet)
        return lost + needed, slope + 2 * needed

    free = nozzle_flow(gross_head, *outlet)
    reach = np.pi / 4 * np.asarray(bore) ** 2 * np.sqrt(2 * gravity * gross_head / (0.025 * length / bore + 1e-9))
    guess = 1 / np.sqrt(free**-2.0 + reach**-2.0)
    return np.minimum(solve_flow(gross_head, total, guess), available_flow)


def _best_flow(gross_head, length, bore, roughness, fittings, temperature, gravity, available_flow, length_2, bore_2,
               roughness_2, length_3, bore_3, roughness_3):
    """(flow of most power at the pipe's end, head lost there), within the available flow."""
    sections = sections_of(length, bore, roughness, length_2, bore_2, roughness_2, length_3, bore_3, roughness_3)
    viscosity = kinematic_viscosity(temperature)

    def marginal(flow):
        lost, slope = losses(flow, sections, fittings, viscosity, gravity)
        return lost + slope, slope + slope * slope / lost  # d/dlnQ of h(1+s), s nearly constant

    guess = np.pi / 4 * np.asarray(bore) ** 2 * np.sqrt(
        2 * gravity * gross_head / 3 / (0.025 * length / bore + fittings + 1e-9))
    flow = np.minimum(solve_flow(gross_head, marginal, guess), available_flow)
    return flow, losses(flow, sections, fittings, viscosity, gravity)[0]


def best_nozzle(gross_head, length, bore, roughness, fittings, jets, velocity_coefficient, contraction, temperature,
                gravity, available_flow, length_2, bore_2, roughness_2, length_3, bore_3, roughness_3):
    """Nozzle that takes most jet power from the pipe. [m]"""
    flow, lost = _best_flow(gross_head, length, bore, roughness, fittings, temperature, gravity, available_flow,
                            length_2, bore_2, roughness_2, length_3, bore_3, roughness_3)
    velocity = jet_velocity(gross_head - lost, velocity_coefficient, gravity)
    return np.sqrt(4 * flow / (np.pi * jets * contraction * velocity))


def best_nozzle_flow(gross_head, length, bore, roughness, fittings, jets, velocity_coefficient, contraction,
                     temperature, gravity, available_flow, length_2, bore_2, roughness_2, length_3, bore_3, roughness_3):
    """Flow the best nozzle takes. [m³/s]"""
    return _best_flow(gross_head, length, bore, roughness, fittings, temperature, gravity, available_flow,
                      length_2, bore_2, roughness_2, length_3, bore_3, roughness_3)[0]


def best_nozzle_power(gross_head, length, bore, roughness, fittings, jets, velocity_coefficient, contraction,
                      temperature, gravity, available_flow, length_2, bore_2, roughness_2, length_3, bore_3, roughness_3):
    """Jet power of the best nozzle. [W]"""
    flow, lost = _best_flow(gross_head, length, bore, roughness, fittings, temperature, gravity, available_flow,
                            length_2, bore_2, roughness_2, length_3, bore_3, roughness_3)
    return jet_power(flow, jet_velocity(gross_head - lost, velocity_coefficient, gravity), temperature)


def best_listed_nozzle(gross_head, length, bore, roughness, sizes, fittings, jets, velocity_coefficient, contraction,
                       temperature, gravity, available_flow, length_2, bore_2, roughness_2, length_3, bore_3, roughness_3):
    """The size of a list (last axis) that gives most jet power. [m]"""
    flow = operating_flow(gross_head, length, bore, roughness, sizes, fittings, jets, velocity_coefficient, contraction,
                          temperature, gravity, available_flow, length_2, bore_2, roughness_2, length_3, bore_3, roughness_3)
    power = flow**3 / np.asarray(sizes) ** 4
    sizes = np.broadcast_to(sizes, power.shape)
    best = np.take_along_axis(sizes, np.argmax(np.where(np.isnan(power), -1, power), axis=-1)[..., None], axis=-1)[..., 0]
    return np.where(np.isnan(power).any(axis=-1), np.nan, best)


def pipe_power_limit(gross_head, length, bore, roughness, fittings, temperature, gravity, available_flow, length_2,
                     bore_2, roughness_2, length_3, bore_3, roughness_3):
    """Most power a pipe can deliver at its lower end. [W]"""
    flow, lost = _best_flow(gross_head, length, bore, roughness, fittings, temperature, gravity, available_flow,
                            length_2, bore_2, roughness_2, length_3, bore_3, roughness_3)
    return density(temperature) * gravity * flow * (gross_head - lost)
