"""Declarations: nozzle, jet, and the flow they settle at with the pipe."""

import numpy as np

from ..physics import nozzle as physics
from ..physics.groups import Pipe
from ..physics.pipe import widest_nozzle
from ..registry import Argument, Example, Rule, declare
from .nomenclature import (
    AVAILABLE_FLOW,
    BORE,
    CONTRACTION,
    FITTINGS,
    FLOW,
    GRAVITY,
    GROSS_HEAD,
    JET_VELOCITY,
    JETS,
    LENGTH,
    NET_HEAD,
    NOZZLE,
    ROUGHNESS,
    TEMPERATURE,
    VELOCITY_COEFFICIENT,
)
from .pipe import MORE_SECTIONS, PIPE_RULES

GROUP = "Nozzle and jet"
ARASU = "A. V. Arasu, Turbomachines, Ex. 9.1 p. 406"
MUNSON = "Munson, Young and Okiishi, Fundamentals of Fluid Mechanics, Ex. 12.6 p. 719"
DAUGHERTY = "Daugherty and Franzini, Fluid Mechanics with Engineering Applications, Ex. 15.1 p. 486"
WHITE = "F. M. White, Fluid Mechanics, problem P11.95"

PIPE = (GROSS_HEAD, LENGTH, BORE, ROUGHNESS)
OUTLET = (JETS, VELOCITY_COEFFICIENT, CONTRACTION)
REST = (TEMPERATURE, GRAVITY, AVAILABLE_FLOW, *MORE_SECTIONS)
SIZES = Argument("sizes", "mm", "Nozzle sizes one can buy or drill: a range of cells or a list.", "(0, 500]", many=True)
WHOLE_JETS = Rule("jets", "be a whole number", lambda jets, **_: np.equal(jets, np.round(jets)))
WITHIN_PIPE = Rule(
    "nozzle",
    "not be larger than the bore it is fed from, which is that of the last pipe section; all jets count together",
    lambda nozzle, jets=1, **plant: np.asarray(nozzle) <= widest_nozzle(jets, Pipe.from_names(plant)) * (1 + 1e-9),
)
RULES = (WHOLE_JETS, *PIPE_RULES)
SITE_A = {"gross_head": 100, "length": 400, "bore": 40.9, "roughness": 0.15}
REST_A = {"fittings": 2.6, "temperature": 8, "gravity": 9.80447}
JET_DANGER = "A jet cuts skin and injects water under it: shut the valve before touching the nozzle."

declare(
    physics.jet_velocity,
    group=GROUP,
    help="Velocity of the jet from the net head before the nozzle.",
    arguments=(NET_HEAD, VELOCITY_COEFFICIENT, GRAVITY),
    unit="m/s",
    meaning="Jet velocity.",
    symbol="v",
    equation="v = C_v sqrt(2 g H_n)",
    source=ARASU,
    example=Example({"net_head": 91.5, "velocity_coefficient": 0.98, "gravity": 9.81}, 41.52),
    caution=JET_DANGER,
)
declare(
    physics.nozzle_flow.flat,
    group=GROUP,
    help="Flow through the nozzles at a net head; pipe losses are not in it: see OPERATING_FLOW.",
    arguments=(NET_HEAD, NOZZLE, *OUTLET, GRAVITY),
    unit="L/s",
    meaning="Flow of all jets together.",
    symbol="Q",
    equation="Q = z C_c (pi d² / 4) C_v sqrt(2 g H_n)",
    source=ARASU,
    rules=(WHOLE_JETS,),
    example=Example({"net_head": 50.32899, "nozzle": 10, "gravity": 9.80447}, 2.3933),
)
declare(
    physics.nozzle_head.flat,
    group=GROUP,
    help="Total head that a flow needs before the nozzles: the inverse of NOZZLE_FLOW.",
    arguments=(FLOW, NOZZLE, *OUTLET, GRAVITY),
    unit="m",
    meaning="Net head: total head before the nozzle.",
    symbol="H_n",
    equation="H_n = (v / C_v)² / 2g, v = Q / (z C_c pi d² / 4)",
    source=ARASU,
    rules=(WHOLE_JETS,),
    example=Example({"flow": 2.393304, "nozzle": 10, "gravity": 9.80447}, 50.329),
)
declare(
    physics.jet_diameter,
    group=GROUP,
    help="Diameter of the jet where it has contracted.",
    arguments=(NOZZLE, CONTRACTION),
    unit="mm",
    meaning="Jet diameter.",
    symbol="d_j",
    equation="d_j = d sqrt(C_c)",
    source="Massey and Ward-Smith, Mechanics of Fluids, Ex. 3.3 p. 119",
    example=Example({"nozzle": 11, "contraction": 0.61124}, 8.6),
)
declare(
    physics.jet_power,
    group=GROUP,
    help="Kinetic power of the jets, all together.",
    arguments=(FLOW, JET_VELOCITY, TEMPERATURE),
    unit="W",
    meaning="Power in the jet.",
    symbol="P_j",
    equation="P_j = rho Q v² / 2",
    source=DAUGHERTY,
    example=Example({"flow": 2.393304, "jet_velocity": 30.47249, "temperature": 8}, 1111.0),
)
declare(
    physics.jet_force,
    group=GROUP,
    help="Force of the jet on a wall that stops it; turned right back, the water pushes twice as hard.",
    arguments=(FLOW, JET_VELOCITY, TEMPERATURE),
    unit="N",
    meaning="Force on a wall that stops the jet.",
    symbol="F",
    equation="F = rho Q v",
    source="Momentum equation; P. K. Nag, Power Plant Engineering, Ex. 10.5 p. 712",
    example=Example({"flow": 2.393304, "jet_velocity": 30.47249, "temperature": 8}, 72.919),
    caution=JET_DANGER,
)
declare(
    physics.running_pressure,
    group=GROUP,
    help="What a gauge just before the nozzle reads while water flows.",
    arguments=(NET_HEAD, FLOW, BORE, TEMPERATURE, GRAVITY),
    unit="bar",
    meaning="Gauge pressure, running.",
    symbol="p_r",
    equation="p_r = rho (g H_n - V² / 2)",
    source="Energy equation (Bernoulli)",
    possible="(-1.01325, inf)",  # air at sea level is the most there can be; below it no pipe passes that flow
    example=Example(
        {"net_head": 50.32899, "flow": 2.393304, "bore": 40.9, "temperature": 8, "gravity": 9.80447}, 4.91717
    ),
)
declare(
    physics.operating_flow.flat,
    group=GROUP,
    help="Flow at which gross head, pipe, fittings and jets settle together; never more than the source gives.",
    arguments=(*PIPE, NOZZLE, FITTINGS, *OUTLET, *REST),
    unit="L/s",
    meaning="Flow.",
    symbol="Q",
    equation="H = h(Q) + (v / C_v)² / 2g, solved to rounding",
    source=MUNSON,
    rules=(*RULES, WITHIN_PIPE),
    example=Example({**SITE_A, "nozzle": 10, **REST_A}, 2.3933, "1 1/2 inch pipe, 400 m, 100 m of head."),
)
declare(
    physics.best_nozzle.flat,
    group=GROUP,
    help="Nozzle that takes most jet power from this pipe and source; smaller and larger give less.",
    arguments=(*PIPE, FITTINGS, *OUTLET, *REST),
    unit="mm",
    meaning="Diameter of each nozzle.",
    symbol="d_best",
    equation="greatest Q (H - h(Q)): h + Q dh/dQ = H",
    source=f"{MUNSON}; {WHITE}",
    rules=RULES,
    example=Example({**SITE_A, **REST_A}, 8.486),
)
declare(
    physics.best_nozzle_flow.flat,
    group=GROUP,
    help="Flow that the best nozzle takes.",
    arguments=(*PIPE, FITTINGS, *OUTLET, *REST),
    unit="L/s",
    meaning="Flow.",
    symbol="Q_best",
    equation="greatest Q (H - h(Q)): h + Q dh/dQ = H",
    source=f"{MUNSON}; {WHITE}",
    rules=RULES,
    example=Example({**SITE_A, **REST_A}, 1.9716),
)
declare(
    physics.best_nozzle_power.flat,
    group=GROUP,
    help="Jet power that the best nozzle gives.",
    arguments=(*PIPE, FITTINGS, *OUTLET, *REST),
    unit="W",
    meaning="Jet power.",
    symbol="P_best",
    equation="greatest Q (H - h(Q)), times rho g C_v²",
    source=f"{MUNSON}; {WHITE}",
    rules=RULES,
    example=Example({**SITE_A, **REST_A}, 1197.6),
)
declare(
    physics.best_listed_nozzle.flat,
    group=GROUP,
    help="The nozzle of a list of sizes that takes most jet power from this pipe and source.",
    arguments=(*PIPE, SIZES, FITTINGS, *OUTLET, *REST),
    unit="mm",
    meaning="Best size of the list.",
    symbol="d_best",
    equation="greatest jet power over the list",
    source=DAUGHERTY,
    rules=RULES,
    example=Example({**SITE_A, "sizes": [6, 8, 10, 12], **REST_A}, 8.0),
)
declare(
    physics.pipe_power_limit.flat,
    group=GROUP,
    help="Greatest power the water can still have at the lower end of this pipe.",
    arguments=(*PIPE, FITTINGS, *REST),
    unit="W",
    meaning="Power of the water before the nozzle, at best.",
    symbol="P_max",
    equation="greatest rho g Q (H - h(Q)); 2/3 of rho g Q H at constant f",
    source=WHITE,
    rules=PIPE_RULES,
    example=Example({**SITE_A, **REST_A}, 1272.8),
)
