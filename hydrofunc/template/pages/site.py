"""Site: what the survey found."""

from ...catalogue import nomenclature as n
from ...registry import Argument
from ...units import TEXT
from ..chain import asked, call, of_plant
from ..expression import all_of, cell, cells, is_number, when
from ..model import PASS, Assumption, Heading, Input, Page, Result, Words
from .common import OWN_JUDGEMENT, PRACTICE, limit, usable_of, where, words

_PRESSURE, _SURVEYED, _BUCKET, _SECONDS, _WEIR_HEAD, _KNOWN_FLOW = cells(
    "static_pressure level_difference bucket_volume bucket_seconds weir_head known_flow"
)
_GROSS_HEAD = when(
    (is_number(_PRESSURE), asked("static_head", static_pressure=_PRESSURE, gauge_height=cell("gauge_height"))),
    (is_number(_SURVEYED), _SURVEYED),
    otherwise="",
)
_TIMED = all_of(is_number(_BUCKET), is_number(_SECONDS))
_SOURCE_FLOW = when(
    (_TIMED, asked("bucket_flow", volume=_BUCKET, seconds=_SECONDS)),
    otherwise=cell("weir_or_known"),
)
_WEIR_OR_KNOWN = when(
    (is_number(_WEIR_HEAD), asked("vnotch_flow", weir_head=_WEIR_HEAD, notch_angle=cell("notch_angle"))),
    otherwise=_KNOWN_FLOW,
)
# Whether another line says the flow already.
_BY_BUCKET, _BY_WEIR = f"{_TIMED}", "ISNUMBER(weir_head)"
LIMITS = (
    limit(
        "unknown_flow_share",
        "Flow of a source that nobody measured, of what the pipe likes best",
        0.7,
        "-",
        f"On the careful side: in a dry season a source often gives less than the pipe could carry. {OWN_JUDGEMENT}",
        "(0, 1]",
    ),
    limit(
        "told_flow_share",
        "Flow of a source that nobody measured, of what a nozzle at hand takes with the pipe full",
        0.9,
        "-",
        f"On the careful side: somebody made it for the water there. {OWN_JUDGEMENT}",
        "(0, 1]",
    ),
    limit(
        "usual_gauge_range",
        "A gauge that nobody describes reads up to",
        10,
        "bar",
        f"Or twice what it shows, if that is more: the error goes with the full scale. {PRACTICE}",
        "(0, 400]",
    ),
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
            example="invented",
            note="As you write dates.",
        ),
        Input(
            "surveyed_by",
            "Surveyed by",
            words("surveyed_by", "Who took the measurements."),
            example="invented",
            note="Whom to ask when a number looks odd.",
        ),
        Input(
            "latitude",
            "Latitude",
            Argument("latitude", "°", "Latitude, south negative.", "[-90, 90]"),
            digits="0.0",
            assumed=Assumption(
                45.0, "Assumed in the middle: between equator and pole gravity differs by 0.5 %.", half=45.0
            ),
            measure="From a map, to the nearest degree.",
        ),
        Input(
            "altitude",
            "Altitude of the nozzle",
            Argument("altitude", "m", "Height above sea level.", "[-400, 5500]"),
            assumed=Assumption(500.0, f"Assumed: air pressure and gravity depend on it a little. {OWN_JUDGEMENT}"),
            measure="From a map.",
        ),
        Input(
            "water_temperature",
            "Water temperature",
            n.TEMPERATURE.with_(name="water_temperature"),
            digits="0.0",
            assumed=Assumption(
                10.0,
                f"Assumed cool: cold water is thicker and loses more head. {OWN_JUDGEMENT}",
                half=8.0,
                measured=1.0,
            ),
            measure="Thermometer in the flowing water for a minute.",
        ),
        Heading("Head: give one of the two (the gauge counts if both are given)"),
        Input(
            "static_pressure",
            "Static pressure on the gauge",
            Argument("static_pressure", "bar", "Gauge pressure with the valve shut and the pipe full.", "(0, 150]"),
            needed=True,
            unless="ISNUMBER(level_difference)",
            example=6.2,
            digits="0.00",
            note="Valve shut, pipe full, no air: wait until bubbles stop at the intake.",
        ),
        Input(
            "gauge_range",
            "Full scale of the gauge",
            Argument("gauge_range", "bar", "Highest mark of the gauge's scale.", "(0, 400]"),
            digits="0.0",
            assumed=Assumption(
                "=IF(ISNUMBER(static_pressure),MAX(usual_gauge_range,2*static_pressure),usual_gauge_range)",
                "Assumed wide: a gauge errs by a share of its full scale (EN 837-1), not of its reading.",
            ),
            measure="The last number on its dial.",
        ),
        Input(
            "gauge_class",
            "Class of the gauge",
            Argument("gauge_class", "%", "Largest error, of the full scale.", "[0.1, 10]"),
            digits="0.0",
            assumed=Assumption(
                2.5, "Assumed: classes run from 0.1 to 4 (EN 837-1, from memory); cheap gauges are 2.5 at best."
            ),
            measure="Printed small on the dial, such as 1.6 or Kl. 2.5.",
        ),
        Input(
            "gauge_height",
            "Gauge above the nozzle",
            Argument("gauge_height", "m", "How far the gauge sits above the nozzle; below is negative.", "[-50, 200]"),
            digits="0.0",
            assumed=Assumption(0.0, "Assumed level with it. A gauge higher up reads less, a tenth of a bar a metre."),
            measure="Below the nozzle is negative.",
        ),
        Input(
            "level_difference",
            "Height by level or altimeter",
            Argument("level_difference", "m", "Water level at the intake above the nozzle.", "(0, 1500]"),
            needed=True,
            unless="ISNUMBER(static_pressure)",
            digits="0.0",
            note="Water level at the intake above the nozzle.",
        ),
        Input(
            "head_way",
            "Height of the source comes from",
            Argument("head_way", TEXT, "How the height was measured.", choices=("level", "altimeter", "map")),
            unless="ISNUMBER(static_pressure)",
            assumed=Assumption(
                "map", "Assumed the least exact. Level and staff err by 1 %, altimeters and phones by metres."
            ),
            measure="A water hose as a level, step by step, or a gauge on the full pipe, is best.",
        ),
        Heading("Flow of the source: give one of the three (the first given counts)"),
        Input(
            "bucket_volume",
            "Bucket holds",
            Argument("bucket_volume", "L", "Volume of the bucket.", "(0, 2000]"),
            example=20.0,
            unless=_BY_WEIR,
            note="Counts only with the seconds.",
            measure="Weigh it full and empty once: a kilogram is a litre. Many hold less than they say.",
        ),
        Input(
            "bucket_seconds",
            "Bucket fills in",
            Argument("bucket_seconds", "s", "Mean time to fill it.", "(0, 3600]"),
            example=17.0,
            digits="0.0",
            unless=_BY_WEIR,
            measure="Mean of at least three fillings, in the driest season you build for.",
        ),
        Input(
            "weir_head",
            "Water over a V-notch",
            Argument("weir_head", "mm", "Head over the notch.", "[50, 500]"),
            unless=_BY_BUCKET,
            note="Measured upstream, away from the drop of the surface. Range as in ISO 1438 practice.",
        ),
        Input(
            "notch_angle",
            "Angle of the notch",
            Argument("notch_angle", "°", "Angle of the V-notch.", "[20, 100]"),
            unless="NOT(ISNUMBER(weir_head))",
            assumed=Assumption(90.0, "Assumed: the usual cut (ISO 1438)."),
            measure="Between the two edges.",
        ),
        Input(
            "known_flow",
            "Flow known otherwise",
            Argument("known_flow", "L/s", "Flow of the source.", "[0, 1000]"),
            digits="0.00",
            unless=f"OR({_BY_BUCKET},{_BY_WEIR})",
            assumed=Assumption(
                "=IF(nozzle_tells=1,told_flow_share*nozzle_needs,unknown_flow_share*pipe_likes)",
                "Assumed from the pipe, on the careful side and very wide: no rule replaces a bucket and a watch.",
                half=100.0,
                measured=10.0,
                percent=True,
                spread="lognormal",
            ),
            measure="From a meter, another weir, or the permit.",
        ),
        Input(
            "left_in_stream",
            "Left in the stream",
            Argument("left_in_stream", "%", "Share that must stay.", "[0, 100]"),
            example=10.0,
            assumed=Assumption(
                20.0,
                f"Assumed on the careful side: what lives downstream needs water. Permits differ much. {OWN_JUDGEMENT}",
                half=15.0,
            ),
            measure="The permit says how much; ask before you build.",
        ),
        Input(
            "left_flow",
            "Left in the stream, at least",
            Argument("left_flow", "L/s", "Flow that must stay, whatever the source gives.", "[0, 1000]"),
            digits="0.000",
            assumed=Assumption(0.0, "Assumed: no fixed flow; only the share in the line before."),
            note="Where both are given the one that leaves more counts. By month: sheet Supply.",
            measure="The permit says how much; ask before you build.",
        ),
        Heading("What follows"),
        Result("gravity", "Gravity", "m/s²", "=" + call("gravity", latitude="latitude"), digits="0.0000"),
        Result("water_density", "Density of the water", "kg/m³", "=" + call("density"), digits="0.0"),
        Result(
            "gross_head",
            "Gross head",
            "m",
            f"={_GROSS_HEAD}",
            "Water level at the intake above the nozzle.",
            strong=True,
        ),
        Result("weir_or_known", "Flow by weir, or known otherwise", "L/s", f"={_WEIR_OR_KNOWN}", digits="0.000"),
        Result("source_flow", "Flow of the source", "L/s", f"={_SOURCE_FLOW}", digits="0.000"),
        Result("usable_share", "Share of the source's flow that you may use", "-", "=1-left_in_stream/100"),
        Result(
            "pipe_likes",
            "Flow with which this pipe passes most power",
            "L/s",
            "=" + of_plant("best_nozzle_flow", block="plant_pipe"),
            "If the source gave plenty.",
            digits="0.000",
        ),
        Result(
            "nozzle_tells",
            "A nozzle at hand says what flow it was made for",
            "-",
            '=IF(AND(nozzle_is="at hand",ISNUMBER(typed_nozzle)),1,0)',
            "1: yes, its opening is given (sheet Nozzle). It counts while nobody has measured the flow.",
            digits="0",
            guard=PASS,
        ),
        Result(
            "nozzle_takes",
            "Flow that a nozzle at hand takes with the pipe full",
            "L/s",
            where("nozzle_tells=1", of_plant("flow", "nozzle", "typed_nozzle", block="plant_pipe")),
            digits="0.000",
        ),
        Result(
            "nozzle_needs",
            "Flow of the source that such a nozzle needs",
            "L/s",
            where("usable_share>0", "nozzle_takes/usable_share"),
            digits="0.000",
        ),
        Result(
            "available_flow",
            "Flow you may use",
            "L/s",
            "=" + usable_of("source_flow", "left_flow"),
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
