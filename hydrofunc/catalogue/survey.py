"""Declarations: what the survey measures."""

from ..physics import survey
from ..registry import Argument, Example, Rule, declare
from .nomenclature import FLOW, GRAVITY, TEMPERATURE
from .water import GROUP

LIFT = "Hydrostatics: p = rho g H"

HEAD = Argument("head", "m", "Height of a column of water.", "[0, 1500]")
GAUGE_PRESSURE = Argument("static_pressure", "bar", "Gauge pressure with the valve shut and the pipe full.", "[0, 150]")
GAUGE_HEIGHT = Argument(
    "gauge_height", "m", "How far the gauge sits above the nozzle; below is negative.", "[-50, 200]", default=0.0
)
VOLUME = Argument("volume", "L", "What the bucket holds.", "(0, 2000]")
SECONDS = Argument("seconds", "s", "Time to fill it.", "(0, 3600]")
WEIR_HEAD = Argument(
    "weir_head", "mm", "Height of the water surface above the notch or crest, measured well upstream.", "[30, 600]"
)
NOTCH_ANGLE = Argument("notch_angle", "°", "Angle between the two edges of the notch.", "[20, 100]", default=90.0)
CREST_WIDTH = Argument("crest_width", "mm", "Length of the horizontal crest.", "[150, 5000]")
CHANNEL_WIDTH = Argument("channel_width", "mm", "Width of the channel upstream.", "[150, 10000]")
CREST_HEIGHT = Argument("crest_height", "mm", "Height of the crest above the bed upstream.", "[100, 3000]")

declare(
    survey.static_head,
    group=GROUP,
    help="Gross head above the nozzle, from a gauge with the valve shut and the pipe full.",
    arguments=(GAUGE_PRESSURE, GAUGE_HEIGHT, TEMPERATURE, GRAVITY),
    unit="m",
    meaning="Height of the water level at the intake above the nozzle.",
    symbol="H",
    equation="H = p / (rho g) + gauge height",
    source=LIFT,
    example=Example({"static_pressure": 1, "temperature": 4}, 10.197, "10 m of head for each bar."),
    caution="Air in the pipe makes the gauge read low; pressure can burst a hose or throw a fitting.",
)
declare(
    survey.static_pressure,
    group=GROUP,
    help="Gauge pressure at the foot of a column of water at rest.",
    arguments=(HEAD, TEMPERATURE, GRAVITY),
    unit="bar",
    meaning="Gauge pressure at rest.",
    symbol="p",
    equation="p = rho g H",
    source=LIFT,
    example=Example({"head": 100, "temperature": 10, "gravity": 9.80447}, 9.8016),
    caution="Surge comes on top when a valve closes fast or the jet is blocked: the pipe's rating must hold both.",
)
declare(
    survey.bucket_flow,
    group=GROUP,
    help="Flow from the time a bucket takes to fill.",
    arguments=(VOLUME, SECONDS),
    unit="L/s",
    meaning="Flow.",
    symbol="Q",
    equation="Q = V / t",
    source="Definition of flow; as Cengel and Cimbala, Fluid Mechanics, Ex. 5-1 p. 190",
    example=Example({"volume": 37.854, "seconds": 50}, 0.757),
    caution="Footing in a stream: do not work alone in high water.",
)
declare(
    survey.vnotch_flow,
    group=GROUP,
    help="Flow over a thin-plate V-notch weir, fully contracted (Kindsvater-Shen).",
    arguments=(WEIR_HEAD, NOTCH_ANGLE, GRAVITY),
    unit="L/s",
    meaning="Flow.",
    symbol="Q",
    equation="Q = 8/15 C_e tan(a/2) sqrt(2 g) (h + k_h)^2.5; 90°: C_e = 0.578, k_h = 0.85 mm",
    source="ISO 1438:2008, Kindsvater-Shen; curves over the angle from memory, not looked up",
    example=Example({"weir_head": 100}, 4.4095),
    caution="The method wants more than 60 mm of head and free air under the water (USBR Water Measurement Manual, "
    "7.7).",
)
declare(
    survey.rectangular_weir_flow,
    group=GROUP,
    help="Flow over a thin-plate rectangular weir (Kindsvater-Carter).",
    arguments=(WEIR_HEAD, CREST_WIDTH, CHANNEL_WIDTH, CREST_HEIGHT),
    unit="L/s",
    meaning="Flow.",
    symbol="Q",
    equation="Q = C_e (b + k_b) (h + 0.003 ft)^1.5, C_e = C1 h/p + C2 by b/B, in feet",
    source="USBR Water Measurement Manual, equations 7-1 and 7-2 and their table",
    example=Example({"weir_head": 137.16, "crest_width": 609.6, "channel_width": 1219.2, "crest_height": 304.8}, 55.55),
    rules=(
        Rule(
            "crest_width",
            "not be more than channel_width",
            lambda crest_width, channel_width, **_: crest_width <= channel_width,
        ),
        Rule(
            "weir_head",
            "be at most 2.4 times crest_height, as far as the method was measured (from memory, not looked up)",
            lambda weir_head, crest_height, **_: weir_head <= 2.4 * crest_height,
        ),
    ),
)
declare(
    survey.hydraulic_power,
    group=GROUP,
    help="Power of a flow that falls through a head.",
    arguments=(FLOW, HEAD, TEMPERATURE, GRAVITY),
    unit="W",
    meaning="Power.",
    symbol="P",
    equation="P = rho g Q H",
    source="Cengel and Cimbala, Fluid Mechanics, Ex. 14-12 p. 819",
    example=Example({"flow": 1, "head": 100}, 980.37),
)
