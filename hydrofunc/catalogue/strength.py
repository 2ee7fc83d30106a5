"""Declarations: surge, strength of the wall, forces and supports."""

from math import inf

import numpy as np

from ..physics import strength, surge
from ..registry import Argument, Example, Rule, declare
from .nomenclature import (
    BORE,
    BORE_2,
    BORE_3,
    CONTRACTION,
    FLOW,
    GRAVITY,
    GROSS_HEAD,
    JETS,
    LENGTH,
    LENGTH_2,
    LENGTH_3,
    NET_HEAD,
    NOZZLE,
    TEMPERATURE,
)
from .pipe import MATERIAL
from .route import BORES_GIVEN, CHAINAGE

GROUP = "Surge and strength"
SUBRAMANYA = "K. Subramanya, 1000 Solved Problems in Fluid Mechanics"
KORTEWEG = (
    f"Korteweg's formula; {SUBRAMANYA}, Ex. 14.12 p. 358; psi as in V. L. Streeter and E. B. Wylie, Fluid "
    "Transients (not checked)"
)
SURGE_SOURCE = f"Joukowsky and Michaud; {SUBRAMANYA}, Ex. 14.14 to 14.20 pp. 358-360"
TABLE_SOURCE = "Table of materials in hydrofunc, with the source of each row; partly from memory, not looked up"
LOCAL_CODES = "Local pressure codes and the maker's figures come before this."

WALL = Argument("wall", "mm", "Wall thickness; where a thread is cut, what the thread leaves.", "(0, 200]")
OUTSIDE = Argument("outside", "mm", "Outside diameter of the pipe.", "(0, 2400]")
MODULUS = Argument("elastic_modulus", "GPa", "Elastic modulus of the pipe wall, as from ELASTIC_MODULUS.", "(0, 1000]")
POISSON = Argument(
    "poisson_ratio", "-", "Poisson's ratio of the pipe wall, as from POISSON_RATIO.", "[0, 0.5]", default=0.3
)
SUPPORT = Argument(
    "support",
    "text",
    "How the pipe is held along its axis; buried or clamped: throughout.",
    choices=surge.SUPPORTS,
    default="anchored throughout",
)
BULK_MODULUS = Argument(
    "bulk_modulus", "GPa", "Bulk modulus of the water, as from BULK_MODULUS.", "[0.5, 5]", default=2.1
)
DENSITY = Argument("density", "kg/m³", "Density of the water, as from DENSITY.", "[500, 1500]", default=1000.0)
WAVE_SPEED = Argument("wave_speed", "m/s", "Wave speed in the first section, as from WAVE_SPEED.", "(0, 2000]")
WAVE_SPEED_2 = Argument("wave_speed_2", "m/s", "Wave speed in the second section.", "(0, 2000]", default=0.0)
WAVE_SPEED_3 = Argument("wave_speed_3", "m/s", "Wave speed in the third section.", "(0, 2000]", default=0.0)
CLOSING_TIME = Argument(
    "closing_time", "s", "Time in which the flow falls to nothing; 0 for a sudden stop.", "[0, 1000000]"
)
VALVE_TIME = Argument("valve_time", "s", "Time in which the valve goes evenly from open to shut.", "[0, 36000]")
PEAK_HEAD = Argument(
    "peak_head", "m", "Greatest head before the nozzle as the valve shuts: at rest plus the surge allowed.", "(0, 5000]"
)
SURGE_ALLOWED = Argument(
    "surge_allowed", "bar", "Rise that the weakest part stands above the pressure at rest.", "(0, 500]"
)
SHARE = Argument("share", "-", "Share of the final flow that is reached.", "(0, 1)")
DURATION = Argument(
    "duration",
    "text",
    "How long the load lasts: short for surge, long for weight.",
    choices=strength.DURATIONS,
    default="short",
)
LISTED_MATERIAL = MATERIAL.with_(choices=strength.MATERIALS, meaning="What the pipe wall is made of.")
PRESSURE = Argument("pressure", "bar", "Gauge pressure inside, surge included.", "[0, 500]")
METHOD = Argument(
    "method",
    "text",
    "barlow: with the outside diameter, safe; bore: for thin walls; lame: exact at the inner face.",
    choices=strength.METHODS,
    default="barlow",
)
DESIGN_STRESS = Argument(
    "design_stress", "MPa", "Stress the wall may bear for its life; plastics: MRS over design factor.", "(0, 1000]"
)
WALL_TEMPERATURE = Argument(
    "wall_temperature", "°C", "Hottest the pipe wall gets; in the sun far above the water.", "[0, 100]"
)
ANGLE = Argument("angle", "°", "Angle through which the bend turns the water.", "[0, 180]")
LOAD_MASS = Argument("load_mass", "kg/m", "Mass of each metre: pipe, water, and what lies on it.", "(0, 5000]")
SAG = Argument("sag", "%", "Sag at mid-span over the span.", "(0, 5]", default=0.3)

IN_WALL = Rule("wall", "be less than half of outside", lambda outside, wall, **_: 2 * np.asarray(wall) < outside)
SPEEDS_GIVEN = tuple(
    Rule(
        f"wave_speed_{i}",
        f"be given where length_{i} is above 0",
        lambda i=i, **given: (np.asarray(given[f"length_{i}"]) == 0) | (np.asarray(given[f"wave_speed_{i}"]) > 0),
    )
    for i in (2, 3)
)
KNOWN_HEAT = Rule(
    "wall_temperature",
    "not be above the hottest that is published for the material",
    lambda material, wall_temperature: (
        ~np.isnan(strength.temperature_factor(material, np.asarray(wall_temperature) + 273.15))
    ),
)
MORE_PIPE = (LENGTH_2, BORE_2, WAVE_SPEED_2, LENGTH_3, BORE_3, WAVE_SPEED_3)
STEEL_LINE = {"length": 400, "bore": 40.9, "wave_speed": 1363.24, "density": 999.851}

declare(
    surge.bulk_modulus,
    group=GROUP,
    help="Bulk modulus of fresh water without bubbles: how little it can be squeezed.",
    arguments=(TEMPERATURE,),
    unit="GPa",
    meaning="Bulk modulus.",
    symbol="K",
    equation="K = rho c², c the speed of sound of Marczak",
    source="W. Marczak, J. Acoust. Soc. Am. 102 (1997) 2776 (coefficients from memory, not looked up; checked against "
    "iapws 1.5.5)",
    example=Example({"temperature": 10}, 2.0940),
)
declare(
    surge.wave_speed,
    group=GROUP,
    help="Speed of a pressure wave in a pipe full of water; soft pipe is slow and surges less.",
    arguments=(BORE, WALL, MODULUS, POISSON, SUPPORT, BULK_MODULUS, DENSITY),
    unit="m/s",
    meaning="Wave speed.",
    symbol="a",
    equation="a = sqrt(K / rho / (1 + psi K D / (E e))); psi = 1, 1 - mu/2 or 1 - mu²",
    source=KORTEWEG,
    example=Example(
        {
            "bore": 51.4,
            "wall": 5.8,
            "elastic_modulus": 1,
            "poisson_ratio": 0.45,
            "support": "expansion joints",
            "bulk_modulus": 2.1,
            "density": 999.7,
        },
        327.3,
        "63 mm polyethylene.",
    ),
    caution="Cold plastic is stiffer: its wave is faster and the surge higher than a table at 20 °C says.",
)
declare(
    surge.critical_time.flat,
    group=GROUP,
    help="Time a wave takes to the intake and back: stopping the flow in less is a sudden stop.",
    arguments=(LENGTH, WAVE_SPEED, LENGTH_2, WAVE_SPEED_2, LENGTH_3, WAVE_SPEED_3),
    unit="s",
    meaning="Critical closing time.",
    symbol="T_c",
    equation="T_c = 2 sum(L_i / a_i)",
    source=f"{SUBRAMANYA}, Ex. 14.16 p. 359",
    rules=SPEEDS_GIVEN,
    example=Example({"length": 400, "wave_speed": 1363.24}, 0.5868),
)
declare(
    surge.surge_pressure.flat,
    group=GROUP,
    help="Pressure rise when the flow is stopped at the lower end: sudden (Joukowsky) or slow (Michaud).",
    arguments=(
        FLOW,
        CLOSING_TIME,
        LENGTH,
        BORE,
        WAVE_SPEED,
        DENSITY,
        *MORE_PIPE,
        CHAINAGE.with_(default=inf, meaning="Where in the pipe, from the intake; left out: at the lower end."),
    ),
    unit="bar",
    meaning="Rise above the pressure at rest.",
    symbol="dp",
    equation="dp = rho a V up to 2L/a, times 1 + |r| for each joint of unlike sections; then 2 rho L V / T, not more",
    source=SURGE_SOURCE,
    rules=(*BORES_GIVEN, *SPEEDS_GIVEN),
    example=Example({"flow": 2.393304, "closing_time": 2, **STEEL_LINE}, 7.2855),
    caution="A valve stops the flow in the last part of its travel: see STOPPING_TIME. " + LOCAL_CODES,
)
declare(
    surge.stopping_time,
    group=GROUP,
    help="Time in which a valve before the nozzles really stops the flow: the last part of its travel.",
    arguments=(
        VALVE_TIME,
        NOZZLE,
        BORE.with_(meaning="Bore of the open valve, or of the last pipe section."),
        NET_HEAD,
        PEAK_HEAD,
        JETS,
        CONTRACTION,
    ),
    unit="s",
    meaning="Closing time for SURGE_PRESSURE.",
    symbol="T",
    equation="T = T_valve z C_c (d / D)² sqrt(H_n / H_peak), at most T_valve",
    source="Orifices in series; our own derivation, held against a run by characteristics in our tests",
    example=Example({"valve_time": 60, "nozzle": 7, "bore": 32.6, "net_head": 40, "peak_head": 63}, 2.204),
    caution="A ball valve closed by a quarter turn is a sudden stop whatever the hand does: fit a valve of many turns.",
)
declare(
    surge.safe_closing_time.flat,
    group=GROUP,
    help="Shortest time in which the flow may be stopped for a pressure rise that is allowed.",
    arguments=(SURGE_ALLOWED, FLOW, LENGTH, BORE, WAVE_SPEED, DENSITY, *MORE_PIPE),
    unit="s",
    meaning="Closing time; 0 where even a sudden stop is allowed.",
    symbol="T",
    equation="T = 2 rho sum(L V) / dp, at least 2 sum(L / a)",
    source=SURGE_SOURCE,
    rules=(*BORES_GIVEN, *SPEEDS_GIVEN),
    example=Example({"surge_allowed": 8, "flow": 2.393304, **STEEL_LINE}, 1.8214),
    caution="Time for the flow to fall evenly: a valve takes many times as long, see STOPPING_TIME.",
)
declare(
    surge.full_surge_length.flat,
    group=GROUP,
    help="Length of pipe, from its lower end, that feels the whole sudden stop.",
    arguments=(CLOSING_TIME, LENGTH, WAVE_SPEED, LENGTH_2, WAVE_SPEED_2, LENGTH_3, WAVE_SPEED_3),
    unit="m",
    meaning="Length from the lower end.",
    symbol="x",
    equation="x = L - a T / 2",
    source=f"{SUBRAMANYA}, Ex. 14.20 p. 360",
    rules=SPEEDS_GIVEN,
    example=Example({"closing_time": 4, "length": 3500, "wave_speed": 1484.7}, 530.6),
)
declare(
    surge.starting_time.flat,
    group=GROUP,
    help="Time in which the water in the pipe comes up to a share of its final flow.",
    arguments=(SHARE, FLOW, GROSS_HEAD, LENGTH, BORE, GRAVITY, LENGTH_2, BORE_2, LENGTH_3, BORE_3),
    unit="s",
    meaning="Time from opening.",
    symbol="t",
    equation="t = sum(L V) / (2 g H) ln((1 + s) / (1 - s))",
    source="Daugherty and Franzini, Fluid Mechanics with Engineering Applications, Ex. 13.3 p. 455",
    rules=BORES_GIVEN,
    example=Example({"share": 0.5, "flow": 23.193, "gross_head": 2, "length": 15, "bore": 100, "gravity": 9.81}, 1.240),
)
declare(
    strength.elastic_modulus,
    group=GROUP,
    help="Elastic modulus of a pipe material for loads of a moment or of years.",
    arguments=(LISTED_MATERIAL, DURATION),
    unit="GPa",
    meaning="Elastic modulus.",
    symbol="E",
    equation="table",
    source=TABLE_SOURCE,
    example=Example({"material": "steel"}, 200.0),
    caution="Short: the stiff end, for quick waves in water near 0 °C. At 20 °C a slow test of polyethylene gives "
    "0.75 to 1.25 GPa: a smaller figure makes the surge smaller than it may be.",
)
declare(
    strength.poisson_ratio,
    group=GROUP,
    help="Poisson's ratio of a pipe material.",
    arguments=(LISTED_MATERIAL,),
    unit="-",
    meaning="Poisson's ratio.",
    symbol="mu",
    equation="table",
    source=TABLE_SOURCE,
    example=Example({"material": "polyethylene"}, 0.45),
)
declare(
    strength.design_stress,
    group=GROUP,
    help="Stress a pipe wall may bear for its life at 20 °C; plastics: MRS over design factor.",
    arguments=(LISTED_MATERIAL,),
    unit="MPa",
    meaning="Design stress.",
    symbol="s",
    equation="table",
    source=TABLE_SOURCE,
    example=Example({"material": "polyethylene"}, 8.0),
    caution=LOCAL_CODES,
)
declare(
    strength.temperature_factor,
    group=GROUP,
    help="Share of its pressure rating that a pipe keeps when its wall is warm.",
    arguments=(LISTED_MATERIAL, WALL_TEMPERATURE),
    unit="-",
    meaning="Factor on the rating.",
    symbol="f_T",
    equation="straight from 1 at 20 °C to 0.74 at 40 °C (PE100); from 1 at 25 °C to 0.63 at 45 °C (PVC-U)",
    source="ISO 4427-1 annex A; ISO 1452-2; both from memory, not looked up (AS/NZS 4130 takes less off PE)",
    rules=(KNOWN_HEAT,),
    example=Example({"material": "polyethylene", "wall_temperature": 30}, 0.87),
    caution="Black pipe in the sun reaches 60 °C. " + LOCAL_CODES,
)
declare(
    strength.hoop_stress,
    group=GROUP,
    help="Stress around the wall of a pipe under pressure.",
    arguments=(PRESSURE, OUTSIDE, WALL, METHOD),
    unit="MPa",
    meaning="Hoop stress.",
    symbol="s_h",
    equation="barlow p D_o/2e; bore p D_i/2e; lame p (D_o² + D_i²)/(D_o² - D_i²)",
    source="S. S. Bhavikatti, Strength of Materials, Ex. 8.8.1 p. 322; Lamé's thick cylinder",
    rules=(IN_WALL,),
    example=Example({"pressure": 12, "outside": 33.7, "wall": 3.2}, 6.319),
    caution=LOCAL_CODES,
)
declare(
    strength.wall_pressure,
    group=GROUP,
    help="Pressure a pipe wall stands at its design stress: the pressure class of plastic pipe by its SDR.",
    arguments=(OUTSIDE, WALL, DESIGN_STRESS),
    unit="bar",
    meaning="Pressure.",
    symbol="PN",
    equation="PN = 20 s / (SDR - 1), s = MRS / C",
    source="ISO 4065 (relation as printed by a dealer in pipe)",
    rules=(IN_WALL,),
    example=Example({"outside": 110, "wall": 10, "design_stress": 8}, 16.0, "PE100, SDR 11."),
    caution="Fittings, threads and joints may stand less. " + LOCAL_CODES,
)
declare(
    strength.pipe_volume.flat,
    group=GROUP,
    help="Water that a pipe of up to three sections holds.",
    arguments=(LENGTH, BORE, LENGTH_2, BORE_2, LENGTH_3, BORE_3),
    unit="L",
    meaning="Volume.",
    symbol="V",
    equation="V = sum of pi/4 D² L",
    source="Geometry",
    rules=BORES_GIVEN,
    example=Example({"length": 400, "bore": 40.9}, 525.5),
)
declare(
    strength.end_force,
    group=GROUP,
    help="Push of a pressure on a cap, closed valve or plugged nozzle, over the whole outside of the pipe.",
    arguments=(PRESSURE, OUTSIDE),
    unit="N",
    meaning="Force along the pipe.",
    symbol="F",
    equation="F = p pi/4 D_o²",
    source="Hydrostatics",
    example=Example({"pressure": 10, "outside": 40}, 1256.6),
    caution="A push-fit joint holds none of it: anchor the pipe before it is filled.",
)
declare(
    strength.bend_force,
    group=GROUP,
    help="Push on a bend, outwards along the line that halves it.",
    arguments=(PRESSURE, FLOW, OUTSIDE, BORE, ANGLE, DENSITY),
    unit="N",
    meaning="Force on the bend.",
    symbol="F",
    equation="F = 2 (p A + rho Q V) sin(angle / 2)",
    source="Momentum equation; F. M. White, Fluid Mechanics, chapter 3 (section not checked)",
    example=Example({"pressure": 10, "flow": 2, "outside": 40, "bore": 32.6, "angle": 90}, 1783.9),
    caution="Anchor bends before the pipe is filled.",
)
declare(
    strength.support_spacing,
    group=GROUP,
    help="Distance of supports for a pipe that may sag by a share of it.",
    arguments=(OUTSIDE, WALL, MODULUS, LOAD_MASS, SAG, GRAVITY),
    unit="m",
    meaning="Distance of supports.",
    symbol="L",
    equation="L = (384 E I sag / (5 w))^(1/3)",
    source="Deflection of a beam free to turn at its ends, 5 w L⁴ / (384 E I)",
    rules=(IN_WALL,),
    example=Example({"outside": 33.7, "wall": 3.2, "elastic_modulus": 200, "load_mass": 3.0, "sag": 0.3}, 3.836),
    caution="Plastic creeps, most when warm: use the long modulus, and lay it on a bed rather than on points.",
)
