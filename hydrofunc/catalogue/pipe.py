"""Declarations: the pipe, its fittings and its dimensions."""

import numpy as np

from ..physics import fittings, pipe, pipe_tables
from ..physics.pipe import ROUGHEST
from ..registry import REQUIRED, Argument, Example, Rule, declare
from .nomenclature import (
    BORE,
    BORE_2,
    BORE_3,
    FITTINGS,
    FLOW,
    GRAVITY,
    LENGTH,
    LENGTH_2,
    LENGTH_3,
    ROUGHNESS,
    ROUGHNESS_2,
    ROUGHNESS_3,
    TEMPERATURE,
)

GROUP = "Pipe"
DARCY = "Darcy-Weisbach with Colebrook-White; Cengel and Cimbala, Fluid Mechanics, Ex. 8-3 p. 360"
CRANE = "Crane Co., TP-410, Flow of Fluids Through Valves, Fittings and Pipe, appendix A"

REYNOLDS_NUMBER = Argument("reynolds_number", "-", "Velocity times bore over kinematic viscosity.", "(0, 1e9]")
RELATIVE_ROUGHNESS = Argument("relative_roughness", "-", "Roughness over bore, in the same unit.", f"[0, {ROUGHEST}]")
HEAD_LOSS = Argument("head_loss", "m", "Head that may be lost.", "[0, 1500]")
COEFFICIENT = Argument(
    "coefficient", "-", "Hazen-Williams C: 150 for smooth plastic, 120 for steel, 100 for old iron.", "[40, 160]"
)
FITTING = Argument("fitting", "text", "Kind of fitting; valves fully open.", choices=fittings.FITTINGS)
MATERIAL = Argument("material", "text", "What the inside of the pipe is made of.", choices=fittings.MATERIALS)
CONDITION = Argument("condition", "text", "State of the inside.", choices=fittings.CONDITIONS, default="new")
STANDARD = Argument("pipe_standard", "text", "Standard the pipe is made to.", choices=pipe_tables.STANDARDS)
SIZE = Argument(
    "size",
    "text",
    "Nominal size: inches in words, or DN, for steel; outside diameter for plastic.",
    choices=pipe_tables.SIZES,
)
CLASS = Argument("pipe_class", "text", "Wall class of that standard.", choices=pipe_tables.CLASSES)
DIRECTION = Argument(
    "direction", "text", "Which of the neighbouring sizes.", choices=("wider", "narrower"), default="wider"
)
LARGER = Argument("bore_2", "mm", "Bore after the step.", "(0, 2000]")

SMOOTH_ENOUGH = Rule(
    "roughness",
    "be at most a twentieth of the bore",
    lambda roughness, bore, **_: roughness <= ROUGHEST * np.asarray(bore),
)
NEXT_BORES = tuple(
    Rule(
        f"bore_{i}",
        f"be given, and be 20 roughnesses or more, where length_{i} is above 0",
        lambda i=i, **values: (
            (np.asarray(values[f"length_{i}"]) == 0)
            | (
                (np.asarray(values[f"bore_{i}"]) > 0)
                & (values[f"roughness_{i}"] <= ROUGHEST * np.asarray(values[f"bore_{i}"]))
            )
        ),
    )
    for i in (2, 3)
)
# Left out it would be 0, smoother than any pipe.
NEXT_ROUGHNESSES = tuple(
    Rule(
        f"roughness_{i}",
        f"be given, above 0, where length_{i} is above 0; a smooth plastic has 0.0015 mm",
        lambda i=i, **values: (np.asarray(values[f"length_{i}"]) == 0) | (np.asarray(values[f"roughness_{i}"]) > 0),
    )
    for i in (2, 3)
)
PIPE_RULES = (SMOOTH_ENOUGH, *NEXT_BORES, *NEXT_ROUGHNESSES)
LISTED_PIPE = Rule(
    "size",
    "be a size made in that standard and class",
    lambda pipe_standard, size, pipe_class: ~np.isnan(pipe_tables.pipe_bore(pipe_standard, size, pipe_class)),
)
LISTED_NEIGHBOUR = Rule(
    "bore",
    "have a wider, or narrower, pipe beside it in that standard and class",
    lambda pipe_standard, pipe_class, bore, direction: (
        ~np.isnan(pipe_tables.next_pipe_bore(pipe_standard, pipe_class, np.asarray(bore) / 1000, direction))
    ),
)
LISTED_STATE = Rule(
    "condition",
    "be one the table holds for that material",
    lambda material, condition: ~np.isnan(fittings.roughness(material, condition)),
)
MORE_SECTIONS = (LENGTH_2, BORE_2, ROUGHNESS_2, LENGTH_3, BORE_3, ROUGHNESS_3)

declare(
    pipe.pipe_velocity,
    group=GROUP,
    help="Mean velocity of the water in a pipe running full.",
    arguments=(FLOW, BORE),
    unit="m/s",
    meaning="Mean velocity.",
    symbol="V",
    equation="V = 4 Q / (pi D²)",
    source="Continuity; Cengel and Cimbala, Fluid Mechanics, Ex. 8-3 p. 360",
    example=Example({"flow": 6, "bore": 50}, 3.06),
)
declare(
    pipe.reynolds_number,
    group=GROUP,
    help="Reynolds number in a full pipe: laminar below 2000, turbulent above 2600.",
    arguments=(FLOW, BORE, TEMPERATURE),
    unit="-",
    meaning="Reynolds number.",
    symbol="Re",
    equation="Re = V D / nu",
    source="Crane Co., TP-410M, problem 7-1",
    example=Example({"flow": 2, "bore": 40, "temperature": 10}, 48735.0),
)
declare(
    pipe.friction_factor,
    group=GROUP,
    help="Darcy (Moody) friction factor: 64/Re to Re 2000, Colebrook-White from 2600, ln f straight in ln Re between.",
    arguments=(REYNOLDS_NUMBER, RELATIVE_ROUGHNESS),
    unit="-",
    meaning="Darcy friction factor, four times Fanning's.",
    symbol="f",
    equation="1/sqrt(f) = -2 lg(k/(3.7 D) + 2.51/(Re sqrt(f)))",
    source="C. F. Colebrook, J. Inst. Civil Engineers 11 (1939) 133",
    example=Example({"reynolds_number": 100000, "relative_roughness": 0.0001}, 0.01851387),
    caution="Some books, most of them British, print f for a quarter of this.",
)
declare(
    pipe.friction_head,
    group=GROUP,
    help="Head lost to wall friction in a full, straight pipe.",
    arguments=(FLOW, LENGTH, BORE, ROUGHNESS, TEMPERATURE, GRAVITY),
    unit="m",
    meaning="Head lost to friction.",
    symbol="h_f",
    equation="h_f = f (L / D) V² / 2g",
    source=DARCY,
    rules=(SMOOTH_ENOUGH,),
    example=Example(
        {"flow": 1.2, "length": 400, "bore": 32.6, "roughness": 0.007}, 29.94, "400 m of a long thin pipe."
    ),
)
declare(
    pipe.hazen_williams_head,
    group=GROUP,
    help="Head lost to friction by the rule of Hazen and Williams; rougher than FRICTION_HEAD.",
    arguments=(FLOW, LENGTH, BORE, COEFFICIENT),
    unit="m",
    meaning="Head lost to friction.",
    symbol="h_f",
    equation="h_f = 10.667 L Q^1.852 / (C^1.852 D^4.871)",
    source="Hazen-Williams in SI form, as computed by EPANET 2.2",
    example=Example({"flow": 2, "length": 100, "bore": 51.4, "coefficient": 150}, 1.898),
    caution="Fitted to water near 15 °C in larger pipes; it understates the loss in small ones.",
)
declare(
    pipe.minor_head,
    group=GROUP,
    help="Head lost in fittings, from their summed loss coefficient.",
    arguments=(FLOW, BORE, FITTINGS.with_(default=REQUIRED), GRAVITY),
    unit="m",
    meaning="Head lost in fittings.",
    symbol="h_m",
    equation="h_m = K V² / 2g",
    source=CRANE,
    example=Example({"flow": 2, "bore": 40, "fittings": 2.6}, 0.3358),
)
declare(
    pipe.penstock_head.flat,
    group=GROUP,
    help="Head lost in up to three pipe sections in series and the fittings of the first.",
    arguments=(FLOW, LENGTH, BORE, ROUGHNESS, FITTINGS, TEMPERATURE, GRAVITY, *MORE_SECTIONS),
    unit="m",
    meaning="Head lost in the whole pipe.",
    symbol="h",
    equation="h = sum of f (L / D) V² / 2g + K V² / 2g",
    source=DARCY,
    rules=PIPE_RULES,
    example=Example(
        {"flow": 2.393304, "length": 400, "bore": 40.9, "roughness": 0.15, "fittings": 2.6, "temperature": 8}, 49.66
    ),
)
declare(
    pipe.flow_for_loss.flat,
    group=GROUP,
    help="Flow that loses a given head in one pipe and its fittings: the inverse of PENSTOCK_HEAD.",
    arguments=(HEAD_LOSS, LENGTH.with_(within="(0, 20000]"), BORE, ROUGHNESS, FITTINGS, TEMPERATURE, GRAVITY),
    unit="L/s",
    meaning="Flow.",
    symbol="Q",
    equation="h(Q) = head loss, solved to rounding",
    source=DARCY,
    rules=(SMOOTH_ENOUGH,),
    example=Example({"head_loss": 20, "length": 400, "bore": 32.6, "roughness": 0.007}, 0.957),
)
declare(
    fittings.fitting_loss,
    group=GROUP,
    help="Loss coefficient K of an entrance, bend, tee or open valve.",
    arguments=(FITTING, BORE),
    unit="-",
    meaning="Loss coefficient K.",
    symbol="K",
    equation="K = n f_T, or a constant",
    source=CRANE,
    example=Example({"fitting": "90 elbow", "bore": 40.94}, 0.6),
)
declare(
    fittings.sudden_contraction_loss,
    group=GROUP,
    help="Loss coefficient K of a step down in bore; it goes with the smaller bore's velocity.",
    arguments=(BORE, LARGER),
    unit="-",
    meaning="K, referred to the velocity in bore_2.",
    symbol="K",
    equation="K = 0.5 (1 - (D_2 / D)²)",
    source=f"{CRANE}; problem 7-19",
    example=Example({"bore": 30, "bore_2": 20}, 0.27778),
    rules=(Rule("bore_2", "not be above bore", lambda bore, bore_2: np.asarray(bore_2) <= bore),),
)
declare(
    fittings.sudden_expansion_loss,
    group=GROUP,
    help="Loss coefficient K of a step up in bore; it goes with the smaller bore's velocity.",
    arguments=(BORE, LARGER),
    unit="-",
    meaning="K, referred to the velocity in bore.",
    symbol="K",
    equation="K = (1 - (D / D_2)²)²",
    source=CRANE,
    example=Example({"bore": 20, "bore_2": 30}, 0.30864),
    rules=(Rule("bore_2", "not be below bore", lambda bore, bore_2: np.asarray(bore_2) >= bore),),
)
declare(
    fittings.roughness,
    group=GROUP,
    help="Absolute roughness of a pipe wall by material and condition.",
    arguments=(MATERIAL, CONDITION),
    unit="mm",
    meaning="Absolute roughness.",
    symbol="k",
    equation="table",
    source="R. C. Binder, Fluid Mechanics (1973); I. E. Idelchik, Handbook of Hydraulic Resistance; fouled plastic "
    "and used galvanised: "
    "common practice, no published source",
    rules=(LISTED_STATE,),
    example=Example({"material": "galvanised steel"}, 0.15),
    caution="Real pipes spread by a factor of two or more about the table.",
)
declare(
    fittings.hazen_williams_coefficient,
    group=GROUP,
    help="Hazen-Williams coefficient C of new pipe.",
    arguments=(MATERIAL.with_(choices=tuple(fittings.HAZEN_WILLIAMS)),),
    unit="-",
    meaning="Coefficient C.",
    symbol="C",
    equation="table",
    source="Published table of Hazen-Williams coefficients",
    example=Example({"material": "pvc"}, 150.0),
)
for physics, what, symbol, result in (
    (pipe_tables.next_pipe_bore, "Inside diameter", "D", 40.8),
    (pipe_tables.next_pipe_outside, "Outside diameter", "d_n", 50.0),
):
    declare(
        physics,
        group=GROUP,
        help=f"{what} of the pipe one size wider or narrower, in the same standard and class.",
        arguments=(STANDARD, CLASS, BORE, DIRECTION),
        unit="mm",
        meaning=f"{what} of the neighbouring size.",
        symbol=symbol,
        equation="nearest bore of the table at least 5 % wider or narrower",
        source="EN 10255:2004; ASME B36.10M; ISO 4427-2; ISO 1452-2 (from memory, not looked up)",
        example=Example({"pipe_standard": "pe100 iso 4427", "pipe_class": "sdr 11", "bore": 32.6}, result),
        rules=(LISTED_NEIGHBOUR,),
    )
for physics, what, symbol, result in (
    (pipe_tables.pipe_bore, "Inside diameter", "D", 32.6),
    (pipe_tables.pipe_wall, "Wall thickness", "e", 3.7),
    (pipe_tables.pipe_outside, "Outside diameter", "d_n", 40.0),
):
    declare(
        physics,
        group=GROUP,
        help=f"{what} of a pipe by standard, size and class.",
        arguments=(STANDARD, SIZE, CLASS),
        unit="mm",
        meaning=f"{what}.",
        symbol=symbol,
        equation="table; bore = outside - 2 x wall",
        source="EN 10255:2004; ASME B36.10M; ISO 4427-2; ISO 1452-2 (from memory, not looked up)",
        rules=(LISTED_PIPE,),
        example=Example({"pipe_standard": "pe100 iso 4427", "size": "40", "pipe_class": "sdr 11"}, result),
        caution="Pressure class and derating with temperature are the maker's to state.",
    )
