"""Declarations: mass and money."""

import numpy as np

from ..physics import parts as physics
from ..registry import Argument, Example, Rule, declare
from .cable import AREA, LENGTH_ONE_WAY, MATERIAL

GROUP = "Parts"
NREL = (
    "W. Short, D. J. Packey, T. Holt, NREL/TP-462-5173, 1995 (from memory, not looked up)"  # its title: physics/parts
)

OUTSIDE = Argument("outside", "mm", "Outside diameter of the pipe.", "(0, 2100]")
WALL = Argument("wall", "mm", "Thickness of its wall.", "(0, 200]")
PIPE_LENGTH = Argument("length", "m", "Length of the pipe.", "[0, 20000]")
PIPE_MATERIAL = Argument("material", "text", "What the pipe is made of.", choices=tuple(physics.PIPE_DENSITY))
COVERING = Argument("covering", "%", "Mass of insulation and sheath, of that of the metal.", "[0, 500]", default=50.0)
INTEREST = Argument(
    "interest", "%", "Interest a year, above inflation if money is to keep its worth.", "[0, 100]", default=5.0
)
YEARS = Argument("years", "year", "Years the plant lasts.", "(0, 100]")
EVERY = Argument("every", "year", "Years after which the part must be bought again.", "(0, 100]")
PRICE = Argument("price", "currency", "Price of the part.", "[0, 1e12]")
CAPITAL = Argument("capital", "currency", "All that is paid at the start.", "[0, 1e12]")
YEARLY_UPKEEP = Argument("yearly_upkeep", "currency", "Upkeep in a year.", "[0, 1e12]")
YEARLY_ENERGY = Argument("yearly_energy", "kWh", "Energy delivered in a year.", "(0, 1e9]")
YEARLY_GAIN = Argument(
    "yearly_gain", "currency", "What the energy of a year would cost elsewhere, less upkeep.", "(0, 1e12]"
)

SOLID = Rule("wall", "be at most half the outside diameter", lambda outside, wall, **_: 2 * np.asarray(wall) <= outside)
PAYS = Rule(
    "yearly_gain",
    "be more than a year's interest on the capital, or it never pays back",
    lambda capital, yearly_gain, interest: np.asarray(yearly_gain) > np.asarray(capital) * np.asarray(interest) / 100,
)

declare(
    physics.pipe_mass,
    group=GROUP,
    help="Mass of an empty pipe from its outside diameter, wall and material.",
    arguments=(OUTSIDE, WALL, PIPE_LENGTH, PIPE_MATERIAL),
    unit="kg",
    meaning="Mass.",
    symbol="m",
    equation="m = pi (D - e) e L rho",
    source="Geometry; densities: steel as EN 10255's masses; plastics ISO 4427, ISO 1452 (from memory, not looked "
    "up); hoses: common "
    "practice, no published source",
    rules=(SOLID,),
    example=Example({"outside": 33.7, "wall": 3.2, "length": 1, "material": "steel"}, 2.41, "EN 10255, 1 inch medium."),
    caution="Full of water it weighs far more: what carries the pipe must carry that.",
)
declare(
    physics.cable_mass,
    group=GROUP,
    help="Mass of a two-wire cable from its length, cross-section and metal.",
    arguments=(LENGTH_ONE_WAY, AREA, MATERIAL, COVERING),
    unit="kg",
    meaning="Mass.",
    symbol="m",
    equation="m = 2 L A rho (1 + covering)",
    source="Geometry; densities of IEC 60028 and IEC 60889 (from memory, not looked up); covering: common practice, "
    "no published source",
    example=Example({"length": 30, "area": 6}, 4.8),
)
declare(
    physics.capital_recovery,
    group=GROUP,
    help="Yearly payment that pays back a capital with interest, as a share of the capital.",
    arguments=(YEARS, INTEREST),
    unit="%",
    meaning="Yearly payment, of the capital.",
    symbol="CRF",
    equation="CRF = i / (1 - (1 + i)^-n); 1 / n without interest",
    source=f"{NREL}, uniform capital recovery factor",
    example=Example({"interest": 5, "years": 20}, 8.0243),
)
declare(
    physics.replacement_worth,
    group=GROUP,
    help="Money to lay aside at the start so that a part can be bought again, at today's price, each time it wears "
    "out.",
    arguments=(PRICE, EVERY, YEARS, INTEREST),
    unit="currency",
    meaning="Money to lay aside.",
    symbol="C_r",
    equation="sum of price (1 + i)^-t over t = every, 2 every, ... below years",
    source=f"{NREL}, present value",
    example=Example(
        {"price": 600, "every": 7, "years": 20, "interest": 5}, 729.45, "A battery bought again after 7 and 14 years."
    ),
)
declare(
    physics.energy_cost,
    group=GROUP,
    help="What a kilowatt-hour costs over the life of the plant, from all that is paid for it.",
    arguments=(CAPITAL, YEARLY_UPKEEP, YEARLY_ENERGY, YEARS, INTEREST),
    unit="currency/kWh",
    meaning="Cost of a kilowatt-hour.",
    symbol="c",
    equation="c = (capital x CRF + upkeep) / energy",
    source=f"{NREL}, levelized cost of energy",
    example=Example({"capital": 5000, "yearly_upkeep": 100, "yearly_energy": 1500, "years": 20}, 0.3341),
)
declare(
    physics.payback_time,
    group=GROUP,
    help="Years after which the plant has earned back what it cost, with interest; an error if never.",
    arguments=(CAPITAL, YEARLY_GAIN, INTEREST),
    unit="year",
    meaning="Time to pay back.",
    symbol="t_p",
    equation="t_p = -ln(1 - i C / A) / ln(1 + i); C / A without interest",
    source=f"{NREL}, discounted payback",
    rules=(PAYS,),
    example=Example({"capital": 5000, "yearly_gain": 600}, 11.05),
)
