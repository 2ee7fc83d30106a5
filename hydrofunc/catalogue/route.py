"""Declarations: heads and pressures along the pipe."""

import numpy as np

from ..physics import route
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
    TEMPERATURE,
)
from .pipe import DARCY, MORE_SECTIONS, PIPE_RULES
from .water import ALTITUDE

GROUP = "Route"
SIPHON = "Hydrostatics; siphon of Cengel and Cimbala, Fluid Mechanics, Ex. 5-7 p. 207"

CHAINAGE = Argument("chainage", "m", "Length along the pipe from the intake to the point.", "[0, 60000]")
LINE_ABOVE = Argument(
    "line_above",
    "m",
    "How far the grade line lies above the pipe; negative where the pipe stands above the line.",
    "[-1500, 1500]",
)
MARGIN = Argument(
    "margin", "%", "Share kept in hand for the air that leaves the water before it boils.", "[0, 90]", default=0.0
)
WITHIN_PIPE = Rule(
    "chainage",
    "not be beyond the end of the pipe",
    lambda chainage, length, length_2, length_3, **_: (
        np.asarray(chainage) <= (np.asarray(length) + length_2 + length_3) * (1 + 1e-12)
    ),
)
BORES_GIVEN = tuple(
    Rule(
        f"bore_{i}",
        f"be given where length_{i} is above 0",
        lambda i=i, **given: (np.asarray(given[f"length_{i}"]) == 0) | (np.asarray(given[f"bore_{i}"]) > 0),
    )
    for i in (2, 3)
)
PLANT_B = {
    "flow": 5.076356,
    "length": 250,
    "bore": 51.4,
    "roughness": 0.003,
    "fittings": 1.9,
    "temperature": 10,
    "gravity": 9.772685,
}

declare(
    route.lost_head_at.flat,
    group=GROUP,
    help="Head lost from the intake to a point of the pipe; all fittings count from just below the intake.",
    arguments=(CHAINAGE, FLOW, LENGTH, BORE, ROUGHNESS, FITTINGS, TEMPERATURE, GRAVITY, *MORE_SECTIONS),
    unit="m",
    meaning="Head lost to there.",
    symbol="h(x)",
    equation="h(x) = sum of f (x_i / D_i) V_i² / 2g + K V² / 2g; h(0) = 0",
    source=DARCY,
    rules=(*PIPE_RULES, WITHIN_PIPE),
    example=Example({"chainage": 110, **PLANT_B}, 12.664, "Less than half way down 250 m of 63 mm pipe."),
)
declare(
    route.bore_at.flat,
    group=GROUP,
    help="Bore of the pipe section in which a chainage lies.",
    arguments=(CHAINAGE, LENGTH, BORE, LENGTH_2, BORE_2, LENGTH_3, BORE_3),
    unit="mm",
    meaning="Bore there.",
    symbol="D(x)",
    equation="that of the section; at a joint that of the upper one",
    source="Definition of chainage",
    rules=(*BORES_GIVEN, WITHIN_PIPE),
    example=Example({"chainage": 110, "length": 100, "bore": 51.4, "length_2": 150, "bore_2": 40.8}, 40.8),
)
declare(
    route.velocity_head,
    group=GROUP,
    help="Head that is in the movement of the water in a full pipe.",
    arguments=(FLOW, BORE, GRAVITY),
    unit="m",
    meaning="Velocity head.",
    symbol="h_v",
    equation="h_v = V² / 2g",
    source="Energy equation (Bernoulli)",
    example=Example({"flow": 5.076356, "bore": 51.4, "gravity": 9.772685}, 0.30622),
)
declare(
    route.gauge_pressure,
    group=GROUP,
    help="Gauge pressure in a pipe from the height of its grade line above it; negative where the pipe stands above "
    "the line.",
    arguments=(LINE_ABOVE, TEMPERATURE, GRAVITY),
    unit="bar",
    meaning="Gauge pressure.",
    symbol="p",
    equation="p = rho g (line - pipe)",
    source=SIPHON,
    example=Example(
        {"line_above": -2.75, "temperature": 10, "gravity": 9.81}, -0.2697, "A siphon 2.75 m above its outlet."
    ),
    caution="Below minus the air pressure less the vapour pressure no water can be: the column parts.",
)
declare(
    route.available_suction,
    group=GROUP,
    help="How far a pipe may stand above its grade line before the water in it boils.",
    arguments=(ALTITUDE.with_(default=REQUIRED), TEMPERATURE, GRAVITY, MARGIN),
    unit="m",
    meaning="Height of suction there is.",
    symbol="h_s",
    equation="h_s = (1 - margin) (p_a - p_v) / (rho g)",
    source=f"{SIPHON}; the margin: common practice, no published source",
    example=Example({"altitude": 3200, "temperature": 10, "gravity": 9.772685}, 6.870),
    caution="Air leaves the water at a fraction of this suction and gathers at the top: keep a margin, better keep "
    "the pipe below the line.",
)
