"""Site: what the survey found."""

from ...catalogue import nomenclature as n
from ...registry import Argument
from ..chain import asked, call
from ..expression import cell, cells, is_number, no_value, when
from ..model import Heading, Input, Page, Result, Words
from .common import fed_by, words

_PRESSURE, _SURVEYED, _SECONDS, _WEIR_HEAD, _KNOWN_FLOW = cells(
    "static_pressure level_difference bucket_seconds weir_head known_flow"
)
_GROSS_HEAD = when(
    (is_number(_PRESSURE), asked("static_head", static_pressure=_PRESSURE, gauge_height=cell("gauge_height"))),
    (is_number(_SURVEYED), _SURVEYED),
    otherwise=no_value(),
)
_SOURCE_FLOW = when(
    (is_number(_SECONDS), asked("bucket_flow", volume=cell("bucket_volume"), seconds=_SECONDS)),
    (is_number(_WEIR_HEAD), asked("vnotch_flow", weir_head=_WEIR_HEAD, notch_angle=cell("notch_angle"))),
    (is_number(_KNOWN_FLOW), _KNOWN_FLOW),
    otherwise=no_value(),
)
PAGE = Page(
    "Site",
    "What the survey found: how high the water stands above the nozzle, and how much there is of it.",
    (
        Heading("The place"),
        Input(
            "site_name",
            "Name of the site",
            words("site_name", "Name of the site."),
            example="Invented: Larch Spring",
            note="Used for file names when many sites are filled at once.",
        ),
        Input(
            "survey_date",
            "Date of the survey",
            words("survey_date", "Date of the survey."),
            optional=True,
            example="invented",
            note="As you write dates.",
        ),
        Input(
            "surveyed_by",
            "Surveyed by",
            words("surveyed_by", "Who took the measurements."),
            optional=True,
            example="invented",
            note="Whom to ask when a number looks odd.",
        ),
        Input(
            "latitude",
            "Latitude",
            Argument("latitude", "°", "Latitude, south negative.", "[-90, 90]"),
            45.0,
            digits="0.0",
            note="Gravity depends on it a little; to the nearest degree will do.",
        ),
        Input(
            "altitude",
            "Altitude of the nozzle",
            Argument("altitude", "m", "Height above sea level.", "[-400, 5500]"),
            500.0,
            note="Gravity and air pressure depend on it.",
        ),
        fed_by(
            n.TEMPERATURE.with_(name="water_temperature"),
            "Water temperature",
            "Cold water is thicker: it loses more head.",
            digits="0.0",
        ),
        Heading("Head: give one of the two (the gauge counts if both are given)"),
        Input(
            "static_pressure",
            "Static pressure on the gauge",
            Argument("static_pressure", "bar", "Gauge pressure with the valve shut and the pipe full.", "(0, 150]"),
            optional=True,
            example=6.2,
            digits="0.00",
            note="Valve shut, pipe full, no air: wait until bubbles stop at the intake.",
        ),
        Input(
            "gauge_height",
            "Gauge above the nozzle",
            Argument("gauge_height", "m", "How far the gauge sits above the nozzle; below is negative.", "[-50, 200]"),
            0.0,
            digits="0.0",
            note="Below it is negative. A gauge higher than the nozzle reads less, a tenth of a bar for each metre.",
        ),
        Input(
            "level_difference",
            "Height by level or altimeter",
            Argument("level_difference", "m", "Water level at the intake above the nozzle.", "(0, 1500]"),
            optional=True,
            digits="0.0",
            note="Water level at the intake above the nozzle. Altimeters err by metres: prefer the gauge.",
        ),
        Heading("Flow of the source: give one of the three (the first given counts)"),
        Input(
            "bucket_volume",
            "Bucket holds",
            Argument("bucket_volume", "L", "Volume of the bucket.", "(0, 2000]"),
            20.0,
            note="Weigh it full and empty once: a kilogram is a litre. Many hold less than they say.",
        ),
        Input(
            "bucket_seconds",
            "Bucket fills in",
            Argument("bucket_seconds", "s", "Mean time to fill it.", "(0, 3600]"),
            optional=True,
            example=17.0,
            digits="0.0",
            note="Mean of at least three fillings, in the driest season you build for.",
        ),
        Input(
            "weir_head",
            "Water over a V-notch",
            Argument("weir_head", "mm", "Head over the notch.", "[50, 500]"),
            optional=True,
            note="Measured upstream, away from the drop of the surface. Range as in ISO 1438 practice.",
        ),
        Input(
            "notch_angle",
            "Angle of the notch",
            Argument("notch_angle", "°", "Angle of the V-notch.", "[20, 100]"),
            90.0,
            note="Between the two edges; 90 is the usual cut (ISO 1438).",
        ),
        Input(
            "known_flow",
            "Flow known otherwise",
            Argument("known_flow", "L/s", "Flow of the source.", "[0, 1000]"),
            optional=True,
            digits="0.00",
            note="From a meter, another weir, or the permit.",
        ),
        Input(
            "left_in_stream",
            "Left in the stream",
            Argument("left_in_stream", "%", "Share that must stay.", "[0, 100]"),
            10.0,
            note="What lives downstream needs water; a permit may say how much.",
        ),
        Heading("What follows"),
        Result("gravity", "Gravity", "m/s²", "=" + call("gravity", latitude="latitude"), digits="0.0000"),
        Result("water_density", "Density of the water", "kg/m³", "=" + call("density"), digits="0.0"),
        Result(
            "gross_head",
            "Gross head",
            "m",
            f"={_GROSS_HEAD}",
            "Water level at the intake above the nozzle. #N/A: neither pressure nor height is given.",
            strong=True,
        ),
        Result(
            "source_flow", "Flow of the source", "L/s", f"={_SOURCE_FLOW}", "#N/A: no flow is given.", digits="0.000"
        ),
        Result(
            "available_flow",
            "Flow you may use",
            "L/s",
            "=source_flow*(1-left_in_stream/100)",
            digits="0.000",
            strong=True,
        ),
        Result(
            "water_power",
            "Power in the water",
            "W",
            "=" + call("hydraulic_power", flow="available_flow", head="gross_head"),
            (
                "If nothing were lost. Less than half of it usually reaches a small battery (common practice, no "
                "published source)."
            ),
            digits="0",
        ),
        Words(
            "A static pressure of more than a few bar can burst a hose or throw a fitting. Stand aside when you open "
            "a valve; use pipe "
            "and fittings rated for at least the pressure on the gauge plus the surge.",
            caution=True,
        ),
    ),
)
