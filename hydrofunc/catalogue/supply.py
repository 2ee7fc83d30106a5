"""Declarations: supply of water over the year."""

import numpy as np

from ..physics import supply as physics
from ..registry import Argument, Example, Rule, Values, declare
from .nomenclature import FLOW, GRAVITY

GROUP = "Supply"
DURATION = (
    "Plotting position of Weibull, m / (n + 1): Vogel and Fennessey, J. Water Resour. Plann. Manage. 120"
    " (1994) 485; curve: J. K. Searcy, USGS Water-Supply Paper 1542-A (1959); both from memory, not looked up"
)
BALANCE = "Volume balance of the tank"

FLOWS = Argument(
    "flows",
    "L/s",
    "Record of the flow at equal intervals, in any order; blank cells are passed over.",
    "[0, 100000]",
    many=True,
)
TIME_SHARE = Argument("time_share", "%", "Share of the time with at least the flow.", "(0, 100)")
TANK_VOLUME = Argument("tank_volume", "L", "What the tank holds between its full and its empty mark.", "(0, 10000000]")
INFLOW = Argument("inflow", "L/s", "What flows into the tank.", "[0, 1000]")
TANK_AREA = Argument("tank_area", "m²", "Area of the water surface; upright walls.", "(0, 100000]")
HOLE = Argument("hole", "mm", "Diameter of a round hole.", "(0, 2000]")
WATER_DEPTH = Argument("water_depth", "m", "Water above the centre of the hole at first.", "[0, 100]")
FINAL_DEPTH = Argument("final_depth", "m", "Water above the centre of the hole at last.", "[0, 100]", default=0.0)
DISCHARGE_COEFFICIENT = Argument(
    "discharge_coefficient",
    "-",
    "Flow through the opening over that without contraction or loss; sharp edge 0.60 to 0.62.",
    "(0, 1]",
    default=0.61,
)
DRIVEN = FLOW.with_(within="(0, 1000]", meaning="Water flow through the pipe or jets.")


def within_record(flows: Values, time_share: Values) -> np.ndarray | np.bool:
    """Does the record say anything about this share of the time?"""
    count = np.shape(flows)[-1]
    return (np.asarray(time_share) >= 100 / (count + 1) - 1e-9) & (
        np.asarray(time_share) <= 100 * count / (count + 1) + 1e-9
    )


declare(
    physics.flow_exceeded,
    group=GROUP,
    help=(
        "Flow that a record reaches or exceeds for a share of the time: its flow-duration curve. n values say"
        " nothing beyond 100/(n+1) and 100 n/(n+1) %."
    ),
    arguments=(FLOWS, TIME_SHARE),
    unit="L/s",
    meaning="Flow.",
    symbol="Q_p",
    equation="share of the m-th largest of n: m / (n + 1)",
    source=DURATION,
    rules=(
        Rule(
            "time_share",
            "lie between 100 / (n + 1) and 100 n / (n + 1) for a record of n flows",
            within_record,
        ),
    ),
    example=Example(
        {"flows": [1.4, 2.6, 3.1, 1.9, 0.9], "time_share": 75},
        1.15,
        "Half way between 1.4 at 66.7 % and 0.9 at 83.3 %.",
    ),
    caution="Twelve monthly means hide the dry days: measure through a dry season, and every day if you can.",
)
declare(
    physics.tank_running_time,
    group=GROUP,
    help="How long a full tank feeds the jet while its inflow goes on.",
    arguments=(TANK_VOLUME, DRIVEN, INFLOW),
    unit="h",
    meaning="Running time.",
    symbol="t_run",
    equation="t = V / (Q - I)",
    source=BALANCE,
    rules=(
        Rule(
            "inflow",
            "be less than the flow, or the tank never runs empty",
            lambda tank_volume, flow, inflow: np.asarray(inflow) < flow,
        ),
    ),
    example=Example({"tank_volume": 3000, "flow": 1.2, "inflow": 0.6}, 1.3889),
)
declare(
    physics.tank_refill_time,
    group=GROUP,
    help="How long an empty tank takes to fill while the jet is shut.",
    arguments=(TANK_VOLUME, INFLOW.with_(within="(0, 1000]")),
    unit="h",
    meaning="Time to fill.",
    symbol="t_fill",
    equation="t = V / I",
    source=BALANCE,
    example=Example({"tank_volume": 3000, "inflow": 0.6}, 1.3889),
)
declare(
    physics.tank_runs,
    group=GROUP,
    help="Starts of the jet in a day, if it empties the tank, waits until it is full, and begins again.",
    arguments=(TANK_VOLUME, DRIVEN, INFLOW),
    unit="-",
    meaning="Runs in a day; 0 where the jet never stops.",
    symbol="n",
    equation="n = 86400 / (V / I + V / (Q - I)); the jet is on for I / Q of the time",
    source=BALANCE,
    example=Example({"tank_volume": 3000, "flow": 1.2, "inflow": 0.6}, 8.64),
    caution=("Each stop must close the valve at the nozzle, slowly, or the pipe empties and a fast one bursts it."),
)
declare(
    physics.tank_emptying_time,
    group=GROUP,
    help="Time for a tank with upright walls to drain through a hole, no water coming in.",
    arguments=(TANK_AREA, HOLE, WATER_DEPTH, FINAL_DEPTH, DISCHARGE_COEFFICIENT, GRAVITY),
    unit="min",
    meaning="Time.",
    symbol="t",
    equation="t = 2 A (sqrt h1 - sqrt h2) / (Cd a sqrt(2 g))",
    source="C. Schaschke, Fluid Mechanics: Worked Examples for Engineers, Ex. 6.3 p. 147",
    rules=(
        Rule(
            "final_depth",
            "not be more than water_depth",
            lambda water_depth, final_depth, **_: np.asarray(final_depth) <= water_depth,
        ),
    ),
    example=Example(
        {
            "tank_area": 0.785398,
            "hole": 20,
            "water_depth": 1.27324,
            "discharge_coefficient": 0.6,
            "gravity": 9.8,
        },
        35.399,
    ),
    caution="A tank that people can fall into needs a lid. Never enter one alone.",
)
