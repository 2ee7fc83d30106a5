"""Invented sites with stated uncertainties, and the true battery watts of one draw each.

A band of 95 % that the product computes from the nominal values and these uncertainties must hold the true
watts on 93 to 97 % of 1,000 sites (95 % has a standard deviation of 0.7 % there). Plain: one site at a time,
scipy roots.

Each site is a dict:
    nominal      a plant as in `plant`, with ONE pipe section
    doubt        {input: (shape, size)}, exactly the distributions below
    true_plant   one draw of the inputs
    true_watts   what it delivers at `battery_volts` [W]
    nominal_watts

Inputs in doubt, all independent; every other input is known exactly. For nominal x:

    input                  shape         size, drawn for each site           the true value is
    gross_head             normal        u = x U(0.005, 0.03)                N(x, u)
    roughness              lognormal     s = U(0.1, 0.5)                     x exp(N(0, s))
    velocity_coefficient   rectangular   a = U(0.005, 0.02)                  U(x - a, x + a)
    alignment              rectangular   a = U(0.02, 0.05)                   U(x - a, x + a)
    bearing_drag           rectangular   a = x U(0.15, 0.40)                 U(x - a, x + a)
    iron_drag              rectangular   a = x U(0.15, 0.40)                 U(x - a, x + a)
    windage                rectangular   a = x U(0.15, 0.40)                 U(x - a, x + a)
    phase_volts            normal        u = x U(0.01, 0.03)                 N(x, u)
    phase_resistance       normal        u = x U(0.02, 0.08)                 N(x, u)
    cable_resistance       normal        u = x U(0.03, 0.12)                 N(x, u)

The nominal roughness is the MEDIAN of its distribution, not the mean.
u is a standard uncertainty; a is a half-width (standard uncertainty a/sqrt 3); s is the standard deviation of
the natural logarithm. Sizes are in the input's own unit. No draw is cut off: the nominal velocity coefficient
is at most 0.98 and the alignment at most 0.95, so none passes 1. Sizes are common practice, no published
source; the shapes are those of JCGM 100:2008 and JCGM 101:2008.
"""

import math

import numpy as np

from .plant import battery_watts, random_plant

SIZES = {  # input: (shape, size relative to the nominal?, least, most)
    "gross_head": ("normal", True, 0.005, 0.03),
    "roughness": ("lognormal", False, 0.1, 0.5),
    "velocity_coefficient": ("rectangular", False, 0.005, 0.02),
    "alignment": ("rectangular", False, 0.02, 0.05),
    "bearing_drag": ("rectangular", True, 0.15, 0.40),
    "iron_drag": ("rectangular", True, 0.15, 0.40),
    "windage": ("rectangular", True, 0.15, 0.40),
    "phase_volts": ("normal", True, 0.01, 0.03),
    "phase_resistance": ("normal", True, 0.02, 0.08),
    "cable_resistance": ("normal", True, 0.03, 0.12),
}


def value_of(plant, name):
    """An input by name; the roughness is that of the one pipe section."""
    return plant["pipe"][0][2] if name == "roughness" else plant[name]


def drawn(nominal, doubt, rng):
    """A plant with every doubtful input drawn from its distribution about the nominal value."""
    plant = dict(nominal)
    for name, (shape, size) in doubt.items():
        value = value_of(nominal, name)
        if shape == "normal":
            value = rng.normal(value, size)
        elif shape == "rectangular":
            value = rng.uniform(value - size, value + size)
        elif shape == "lognormal":
            value *= math.exp(rng.normal(0, size))
        else:
            raise ValueError(f"no such shape: {shape}")
        if name == "roughness":
            length, bore, _ = nominal["pipe"][0]
            plant["pipe"] = ((length, bore, value),)
        else:
            plant[name] = value
    return plant


def invented_site(rng):
    """One site: nominal values, doubt, and the truth of one draw."""
    nominal = random_plant(rng)
    while len(nominal["pipe"]) > 1:
        nominal = random_plant(rng)
    doubt = {}
    for name, (shape, relative, least, most) in SIZES.items():
        scale = value_of(nominal, name) if relative else 1.0
        doubt[name] = (shape, scale * rng.uniform(least, most))
    true_plant = drawn(nominal, doubt, rng)
    return {
        "nominal": nominal,
        "doubt": doubt,
        "true_plant": true_plant,
        "true_watts": battery_watts(true_plant),
        "nominal_watts": battery_watts(nominal),
    }


def invented_sites(count=1000, seed=2024):
    """The sites of one seed. [list]"""
    rng = np.random.default_rng(seed)
    return [invented_site(rng) for _ in range(count)]


def plain_watts(site, rng, draws=400):
    """Battery watts of repeated draws about the nominal values, one by one. [W]"""
    return np.array([battery_watts(drawn(site["nominal"], site["doubt"], rng)) for _ in range(draws)])
