"""Doubt: what is not known well, how far the watts may be off, what to measure next, and which nozzle is best.

HYDRO_DOUBT draws all lines together at the points of a lattice and asks the whole plant at each: so a flow and a nozzle
that hang on each other are asked together, and a choice that stands on its best value, where slopes are 0, is no blind
spot. What a measurement is worth is the share of the variance that its line explains by itself, less what the
measurement leaves.

`UNCERTAIN` lists the lines. How far each may be off is declared with its input (`Assumption.half` while it is assumed,
`Assumption.measured` when it is given); where that hangs on how a thing was measured, it is worked out below the
tables. `hydrofunc doubt` draws the same lines at random through the whole workbook, rows and formulas that a person
added as well: for it a table holds the names of the cells that a draw overrides; one cell gets what is drawn; several,
where ± is in %, all change by the same share.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from ...catalogue import nomenclature as n
from ...catalogue.doubt import FITTED
from ...catalogue.pipe import ROUGHEST
from ...registry import Argument
from ...units import TEXT
from ..chain import WIRED, call
from ..model import (
    PASS,
    STOP,
    Assumption,
    Formula,
    Heading,
    Input,
    Page,
    Result,
    Space,
    Table,
    Words,
    Written,
    inputs_of,
    place,
)
from . import electrical, nozzle, pipe, site, wheel
from .as_tested import BASIS
from .common import OWN_JUDGEMENT, PRACTICE, Check, limit

OF_IT = "% of it"  # a range that is a share of the value
STAGES = ("survey", "bench", "test day")
SIZES = 12
NEXT_LINES = (1, 2, 3)  # measurements that are named
# What `hydrofunc doubt` writes, in the order of the block `drawn`.
DRAWN = (
    ("Watts at the guess, when drawn", "W", "0.0"),
    ("Standard uncertainty, when drawn", "W", "0.0"),
    ("Watts of all nozzles at hand together, when drawn", "W", "0.0"),
    ("Number of draws", "-", "0"),
    ("Seed", "-", "0"),
    ("Draws left out, as they gave no number", "-", "0"),
    ("Mean", "W", "0.0"),
    ("Median: as likely more as less", "W", "0.0"),
    ("95 % band: from", "W", "0.0"),
    ("95 % band: to", "W", "0.0"),
)
LIMITS = (
    limit(
        "normal_95",
        "Half of the interval that holds 95 % of a normal distribution, in standard deviations",
        1.96,
        "-",
        "JCGM 100:2008, table G.1 (from memory).",
        "[1, 4]",
    ),
    limit(
        "level_half", "Height by level and staff is off by", 1, "%", f"Of the height, at most. {PRACTICE}", "[0, 100]"
    ),
    limit(
        "altimeter_half",
        "Height by altimeter or telephone is off by",
        5,
        "m",
        f"The air pressure changes while you climb. {PRACTICE}",
        "[0, 500]",
    ),
    limit(
        "map_half",
        "Height from a map is off by",
        8,
        "m",
        f"Two points between contour lines 10 m apart. {OWN_JUDGEMENT}",
        "[0, 500]",
    ),
    limit(
        "good_gauge",
        "A good gauge is off by",
        2.1,
        "%",
        "Class 1.6 of a full scale of four thirds of the reading (EN 837-1, from memory).",
        "[0, 100]",
    ),
    limit("bucket_half", "What a bucket holds is off by", 4, "%", f"How full is full. {PRACTICE}", "[0, 100]"),
    limit(
        "watch_half", "A watch, pressed by hand, is off by", 0.3, "s", f"Start and stop together. {PRACTICE}", "[0, 10]"
    ),
    limit(
        "weir_half",
        "Flow over a V-notch is off by",
        6,
        "%",
        f"Head read to 1 mm, a notch cut by hand. {PRACTICE}",
        "[0, 100]",
    ),
    limit("meter_half", "Flow known otherwise is off by", 10, "%", OWN_JUDGEMENT, "[0, 100]"),
    limit(
        "unknown_flow_half",
        "Flow of a source that nobody measured: between 1/f and f times, where f = 1 + this/100",
        300,
        "%",
        f"No rule replaces a bucket and a watch. {OWN_JUDGEMENT}",
        "[0, 1000]",
    ),
    limit(
        "usual_flow_share",
        "Draws of the flow of a source that nobody measured lie round, of what the pipe likes best",
        1.5,
        "-",
        f"Not on the careful side: a pipe is laid for the water there. {OWN_JUDGEMENT}",
        "(0, 10]",
    ),
    limit(
        "told_flow_counts",
        "Of a flow that the nozzle tells counts, of its variance",
        0.34,
        "-",
        "Water beyond what the nozzle takes gives nothing: the lower half of a normal distribution, 1/2 - 1/(2 pi).",
        "[0, 1]",
    ),
    limit("own_bore_half", "A bore measured by calliper is off by", 1, "%", OWN_JUDGEMENT, "[0, 100]"),
    limit(
        "table_bore_half",
        "The bore of a size and a class is off by",
        2,
        "%",
        "Outside diameter and wall may be up to 1 % and 13 % larger (ISO 4427-2, from memory).",
        "[0, 100]",
    ),
    limit(
        "any_class_half", "A bore of a size without its class is off by", 8, "%", "From SDR 11 to SDR 17.", "[0, 100]"
    ),
    limit("new_rough_half", "Roughness of new pipe: f = 1 + this/100", 200, "%", OWN_JUDGEMENT, "[0, 5000]"),
    limit(
        "any_rough_half",
        "Roughness of other pipe, or if nobody says its condition: f = 1 + this/100",
        900,
        "%",
        f"From smooth to scaled or slimy: ten times either way. {OWN_JUDGEMENT}",
        "[0, 5000]",
    ),
    limit("own_rough_half", "Roughness from a measured flow: f = 1 + this/100", 50, "%", OWN_JUDGEMENT, "[0, 5000]"),
    limit(
        "roughest_share",
        "Roughest pipe that friction is known for: roughness over bore",
        ROUGHEST,
        "-",
        "The range of Moody's chart; the functions take no more.",
        f"(0, {ROUGHEST}]",
    ),
    limit("counted_k_half", "Sum of K of fittings that were counted: f = 1 + this/100", 40, "%", PRACTICE, "[0, 5000]"),
    limit(
        "any_k_half", "Sum of K of fittings that nobody counted: f = 1 + this/100", 150, "%", OWN_JUDGEMENT, "[0, 5000]"
    ),
    limit("length_half", "A length measured along the ground is off by", 3, "%", PRACTICE, "[0, 100]"),
    limit("cable_half", "A length of cable that was measured is off by", 2, "m", PRACTICE, "[0, 100]"),
    limit(
        "any_cable_half",
        "A length of cable that nobody measured is off by",
        45,
        "m",
        f"From a few metres to twice what is assumed. {OWN_JUDGEMENT}",
        "[0, 1000]",
    ),
    limit("warmth_half", "The conductor is warmer or colder by", 15, "K", OWN_JUDGEMENT, "[0, 100]"),
    limit(
        "copper_rise", "Resistance of copper rises for each kelvin by", 0.393, "%", "IEC 60028 (from memory).", "[0, 1]"
    ),
    limit("joints_half", "Joints add or save, of a cable's resistance", 5, "%", OWN_JUDGEMENT, "[0, 100]"),
    limit(
        "draws_close",
        "Draws belong to these inputs if their watts differ by at most",
        0.000001,
        "W",
        "Rounding alone may differ by that.",
        "[0, 1]",
    ),
    limit(
        "least_score",
        "A measurement is named if it takes away at least, of the variance",
        0.1,
        "%",
        "Less is not seen in the band.",
        "[0, 100]",
    ),
)
_DECLARED = {
    item.name: item for source in (site, pipe, nozzle, wheel, electrical) for item in inputs_of(place(source.PAGE))
}
SOURCE_FLOW = n.AVAILABLE_FLOW.with_(name="source_flow")
LEFT = _DECLARED["left_in_stream"].argument


@dataclass(frozen=True)
class Doubtful:
    """A line in doubt: the argument of the plant that it feeds, and how well that is known.

    `state`, `half` and `measured` are numbers, or names of cells; `by` is the input with which a person measures it, or
    the name of a cell that says which.
    """

    argument: Argument
    label: str
    half: float | str  # half of the range as it stands
    measured: float | str  # the same when it is measured
    percent: bool  # of the value; else in its unit
    kind: str
    stage: str
    by: str
    state: str
    digits: str = "0.00"
    alike: tuple = ()  # names of cells that change by the same share
    asked: str = ""  # input of the plant that it moves, if it is another one
    times: float | str = 1.0  # how far it moves that input, for each unit of its own
    middle: float | str = 1.0  # where its draws lie, over the value that counts
    decimals: int = 12  # to which a value is rounded: 0 for what is counted
    tells: str = ""  # name of the cell that says what measuring it takes away from another line

    @property
    def key(self) -> str:
        """Name of the argument it feeds."""
        return self.argument.name

    @property
    def value(self) -> str:
        """Name of the cell that holds it."""
        return BASIS.get(self.key, WIRED.get(self.key, self.key))

    @property
    def cells(self) -> str:
        """Names of the cells a draw overrides.

        The quantity as designed; if it differs, that of the machine that is judged; those `alike`.
        """
        return " ".join(dict.fromkeys((WIRED.get(self.key, self.key), self.value, *self.alike)))


def _of(argument: Argument, stage: str, by: str = "", **more: object) -> Doubtful:
    """A line whose range is declared with its input."""
    item = _DECLARED[WIRED.get(argument.name, argument.name)]
    said = item.assumption
    half = f"half_{argument.name}" if isinstance(said.half, str) else said.half or 0.0
    known = {
        "label": item.label,
        "half": half,
        "measured": said.measured or 0.0,
        "percent": said.percent,
        "kind": said.spread,
        "by": by or item.name,
        "state": f"state_{item.name}",
        "digits": item.digits,
    }
    return Doubtful(argument, stage=stage, **known | more)


FLOW = Doubtful(
    SOURCE_FLOW,
    "Flow of the source",
    "half_source_flow",
    "measured_source_flow",
    True,
    "lognormal",
    "survey",
    "bucket_seconds",
    "state_of_flow",
    "0.000",
    asked="available_flow",
    times="usable_share",
    middle="middle_flow",
)
UNCERTAIN = (
    Doubtful(
        n.GROSS_HEAD,
        "Gross head",
        "half_gross_head",
        "measured_gross_head",
        False,
        "normal",
        "survey",
        "measure_gross_head",
        "state_of_head",
    ),
    FLOW,
    _of(LEFT, "survey", asked="available_flow", times="moved_by_left"),
    Doubtful(
        n.LENGTH,
        "Length of the main pipe",
        "length_half",
        "length_half",
        True,
        "normal",
        "survey",
        "pipe_length",
        "state_pipe_length",
        "0",
    ),
    Doubtful(
        n.BORE,
        "Bore of the main pipe",
        "half_bore",
        "own_bore_half",
        True,
        "normal",
        "survey",
        "pipe_bore",
        "state_of_bore",
        "0.0",
    ),
    Doubtful(
        n.ROUGHNESS,
        "Roughness of the pipe, all sections",
        "half_roughness",
        "own_rough_half",
        True,
        "lognormal",
        "test day",
        "pipe_roughness",
        "state_of_roughness",
        "0.000",
        ("roughness_2", "roughness_3"),
        middle="middle_roughness",
    ),
    Doubtful(
        n.FITTINGS,
        "Sum of K of the fittings",
        "any_k_half",
        "counted_k_half",
        True,
        "lognormal",
        "survey",
        "elbows_90",
        "state_of_fittings",
    ),
    _of(n.TEMPERATURE, "survey"),
    _of(n.NOZZLE, "bench", kind=f'=IF(state_nozzle="assumed","{FITTED}","lognormal")', tells="told_by_nozzle"),
    _of(n.VELOCITY_COEFFICIENT, "test day"),
    _of(n.CONTRACTION, "test day"),
    _of(n.PITCH_DIAMETER, "bench"),
    _of(n.DEFLECTION, "bench"),
    _of(n.CUP_FRICTION, "test day"),
    _of(n.ALIGNMENT, "test day"),
    _of(n.BEARING_DRAG, "bench"),
    _of(n.WINDAGE, "test day"),
    _of(n.IRON_DRAG, "bench"),
    _of(n.PHASE_VOLTS, "bench", "test_volts"),
    _of(n.PHASE_RESISTANCE, "bench", "terminal_resistance"),
    _of(n.PHASE_INDUCTANCE, "bench", "terminal_inductance"),
    _of(n.POLE_PAIRS, "bench", decimals=0),
    _of(n.DIODE_DROP, "bench"),
    Doubtful(
        n.CABLE_RESISTANCE,
        "Cable, out and back, with its joints",
        "half_cable",
        "measured_cable",
        True,
        "rectangular",
        "survey",
        "measure_cable",
        "state_of_cable",
        "0.0000",
    ),
    _of(n.BATTERY_VOLTS.with_(within="(0, 1000]"), "bench"),
    _of(n.LOAD_RESISTANCE, "bench"),
    _of(n.CONTROLLER_EFFICIENCY, "bench"),
)
_WORKED_OUT = {
    doubtful.key: item.assumption.half
    for doubtful in UNCERTAIN
    if (item := _DECLARED.get(WIRED.get(doubtful.key, doubtful.key)))
    and doubtful.half == f"half_{doubtful.key}"
    and item.assumption
    and isinstance(item.assumption.half, str)
}
# Inputs with which a person measures a line; the sentence that says how stands with each.
WAYS = tuple(
    dict.fromkeys(
        ["static_pressure", "gauge_class", "cable_length", "cable_area", "cable_resistance"]
        + [each.by for each in UNCERTAIN if each.by in _DECLARED]
    )
)


def _lines(doubtful: Doubtful) -> tuple:
    """A row of the first table: what is known."""
    unit = OF_IT if doubtful.percent else doubtful.argument.unit
    own = Argument(
        f"doubt_{doubtful.key}", "%" if doubtful.percent else unit, "Half of the range, as you judge it.", "[0, 1000]"
    )
    return (
        doubtful.label,
        Formula(f'=IFERROR({doubtful.value},"")', doubtful.digits, guard=STOP),
        doubtful.argument.unit,
        Formula(f"={doubtful.state}", words=True),
        _shown(doubtful.half),
        _shown(doubtful.measured),
        Input(own.name, f"Doubt: {doubtful.label}", own, note="Empty: what stands beside it counts."),
        unit,
        Formula(doubtful.kind, words=True) if doubtful.kind.startswith("=") else doubtful.kind,
        Formula('=IF(ISNUMBER(H{row}),H{row},IF(E{row}="yours",G{row},F{row}))', "0.00", guard=STOP),
        Formula('=IF(E{row}="not needed",0,N(K{row})*N(O{row}))', "0.000", guard=STOP),
        Formula(_standard("L{row}", "{row}"), "0.0000", guard=STOP),
        Formula('=IF(OR(J{row}="normal",J{row}="rectangular"),0,1)', "0"),
        Formula(f'=IF(ISNUMBER(C{{row}}),IF(I{{row}}="{OF_IT}",C{{row}}/100,1),0)', "0.0000", guard=STOP),
        Formula('=IF(J{row}="rectangular",SQRT(3),normal_95)', "0.00"),
    )


def _shown(value: float | str) -> Formula | float:
    """A number, or a cell that shows what another cell says."""
    return Formula(f"={value}", "0.00", guard=STOP) if isinstance(value, str) else value


def _standard(half: str, row: str) -> str:
    """Standard uncertainty of a half range of a row, in its unit; of a lognormal one that of its logarithm."""
    return f"=IF(N({half})*N(C{row})>0,IF(N{row}=1,LN(1+{half}/C{row}),{half})/P{row},0)"


def _asked(quantity: str, line: str = "") -> str:
    """The formula that asks HYDRO_DOUBT."""
    return f'=HYDRO_DOUBT(plant_judged,"{quantity}",doubt_lines{line})'


def _effects(doubtful: Doubtful, known: int) -> tuple:
    """A row of the second table: what the plant is asked with, and what comes of it."""
    low, high, low_in, _ = doubtful.argument.bounds
    return (
        Formula(f"=B{{row{known:+d}}}", words=True),
        doubtful.asked or doubtful.key,
        Formula(f"=N(L{{row{known:+d}}})*N(G{{row}})", "0.0000", guard=STOP),
        Formula(f"=J{{row{known:+d}}}", words=True),
        _shown(doubtful.middle),
        _shown(doubtful.times),
        Formula("=ROWS(C${first}:C{row})", "0"),
        Formula(_asked("share", ",H{row}"), "0.0", name="share_of_flow" if doubtful is FLOW else ""),
        Formula(_asked("part", ",H{row}"), "+0.0;-0.0;0.0"),
        Written("0.0"),
        low if low_in else low + 0.01,
        _shown("roughest" if doubtful.key == "roughness" else high),
        doubtful.decimals,
        doubtful.cells,
    )


def _worth(doubtful: Doubtful, known: int, effects: int) -> tuple:
    """A row of the last table of lines: what measuring it would leave."""
    row = f"{{row{known:+d}}}"
    may = f'=IF(E{row}="yours",0,IF(C{{row}}="survey",1,IF(C{{row}}="bench",bench_open,test_open)))'
    return (
        Formula(f"=B{row}", words=True),
        doubtful.stage,
        Formula(may, "0", guard=STOP),
        Formula(f"=N(G{row})*N(O{row})", "0.000", guard=STOP),
        Formula(_standard("E{row}", row), "0.0000", guard=STOP),
        Formula(f"=IF(N(M{row})>0,MIN(1,(F{{row}}/M{row})^2),1)", "0.00", guard=STOP),
        _shown(doubtful.tells) if doubtful.tells else "",
        Formula(f"=(I{{row{effects:+d}}}*(1-G{{row}})+N(H{{row}}))*D{{row}}", "0.0"),
        doubtful.by if doubtful.by in _DECLARED else Formula(f"={doubtful.by}", words=True),
    )


def _next(i: int) -> tuple:
    """A row of what to measure next."""
    way = "MATCH(E{row},way_inputs,0)"
    return (
        Formula(
            f'=IF(D{{row}}>0,INDEX(way_labels,{way}),"nothing more at this stage")', name=f"next_{i}_label", words=True
        ),
        Formula("=IF(COUNT(doubt_scores)>0,LARGE(doubt_scores,ROWS(C${first}:C{row})),0)", "0.0"),
        Formula("=IF(C{row}>=least_score,MATCH(C{row},doubt_scores,0),0)", "0", guard=STOP),
        Formula('=IF(D{row}>0,INDEX(doubt_inputs,D{row}),"")', name=f"next_{i}_input", words=True),
        Formula("=doubt_mean-(doubt_mean-doubt_low)*SQRT(1-C{row}/100)", "0.0", name=f"next_{i}_low"),
        Formula("=doubt_mean+(doubt_high-doubt_mean)*SQRT(1-C{row}/100)", "0.0", name=f"next_{i}_high"),
        Formula('=IF(D{row}>0,ROUND(F{row},0)&" to "&ROUND(G{row},0)&" W","")', name=f"next_{i}_band", words=True),
        Formula(f'=IF(D{{row}}>0,INDEX(way_sentences,{way}),"")', name=f"next_{i}_how", words=True),
    )


def _size(i):
    size = f"nozzle_size_{i}"
    watts = 'HYDRO_PLANT(plant_judged,"battery_watts","nozzle",C{row})'
    return (
        f"size {i}",
        Formula(f'=IFERROR({size},"")', "0.0"),
        Formula(f'=IF(I{{row}}=1,{watts},"")', "0.0", guard=STOP),
        Written("0.0"),
        Written("0.0"),
        Written("0.0"),
        Written("0.0"),
        Formula("=IF(AND(N(C{row})>0,N(C{row})<=N(widest_nozzle)),1,0)", "0", guard=STOP),
    )


def _worked_out() -> Iterator[Result]:
    """Ranges and states that hang on how a thing is known."""
    gauge = call("static_head", static_pressure="gauge_class/100*gauge_range", gauge_height="0")

    def word(name, label, formula):
        return Result(name, label, "", "=" + formula, digits="General")

    def half(name, label, unit, formula):
        return Result(name, label, unit, "=" + formula)

    yield word(
        "state_of_head",
        "Head comes from",
        'IF(ISNUMBER(static_pressure),IF(state_of_gauge,"yours","any gauge"),head_way)',
    )
    yield word(
        "state_of_gauge",
        "Range and class of the gauge are given",
        'AND(state_gauge_range="yours",state_gauge_class="yours")',
    )
    yield word(
        "measure_gross_head",
        "What would make the head better known",
        'IF(ISNUMBER(static_pressure),"gauge_class","static_pressure")',
    )
    yield half("half_gauge", "± of the head by that gauge", "m", f"IF(ISNUMBER(static_pressure),{gauge},0)")
    yield half(
        "half_height",
        "± of a height by level, altimeter or map",
        "m",
        'IF(head_way="level",level_half*N(gross_head)/100,IF(head_way="altimeter",altimeter_half,map_half))',
    )
    yield half("half_gross_head", "± of the head", "m", "IF(ISNUMBER(static_pressure),half_gauge,half_height)")
    yield half(
        "measured_gross_head",
        "± of the head by a good gauge",
        "m",
        'IF(state_of_head="yours",half_gauge,MIN(half_gross_head,good_gauge*gross_head/100))',
    )
    yield word(
        "state_of_flow",
        "Flow of the source is",
        'IF(OR(ISNUMBER(bucket_seconds)*ISNUMBER(bucket_volume),ISNUMBER(weir_head)),"yours",state_known_flow)',
    )
    yield half(
        "half_bucket",
        "± of a flow by bucket",
        "%",
        "bucket_half+IF(N(bucket_seconds)>0,100*watch_half/bucket_seconds,watch_half)",
    )
    yield half(
        "measured_source_flow",
        "± of the flow when it is measured",
        "%",
        "IF(ISNUMBER(bucket_seconds),half_bucket,IF(ISNUMBER(weir_head),weir_half,"
        'IF(state_known_flow="yours",meter_half,half_bucket)))',
    )
    yield half("told_flow_half", "± of a flow that the nozzle tells", "%", "100*((1+any_nozzle_half/100)^2-1)")
    yield half(
        "half_source_flow",
        "± of the flow as it stands",
        "%",
        'IF(state_of_flow="yours",measured_source_flow,IF(nozzle_tells=1,told_flow_half,unknown_flow_half))',
    )
    known = 'state_of_flow="yours"'
    yield half(
        "told_flow_left",
        "Share of the flow's variance that would be left if the nozzle told it",
        "-",
        f"IF({known},1,told_flow_counts*MIN(1,LN(1+told_flow_half/100)/LN(1+half_source_flow/100))^2)",
    )
    yield half(
        "told_by_nozzle",
        "What a nozzle at hand takes away by telling the flow",
        "%",
        'IF(state_nozzle="assumed",N(share_of_flow)*(1-told_flow_left),0)',
    )
    yield half("moved_by_left", "It loses, with each % more left in the stream", "L/s", "source_flow/100")
    yield half("roughest", "Roughest pipe that the functions take", "mm", "roughest_share*bore_used")
    yield half(
        "middle_flow",
        "Its draws lie round, of the flow that counts",
        "-",
        'IF(OR(state_of_flow="yours",N(available_flow)=0),1,'
        "IF(nozzle_tells=1,nozzle_takes/available_flow,usual_flow_share/unknown_flow_share))",
    )
    yield word("state_of_bore", "Bore comes from", 'IF(ISNUMBER(pipe_bore),"yours","from size")')
    yield half(
        "half_bore",
        "± of a bore from size and class",
        "%",
        'IF(state_pipe_class="yours",table_bore_half,any_class_half)',
    )
    yield word("state_of_roughness", "Roughness is", 'IF(ISNUMBER(pipe_roughness),"yours","assumed")')
    yield half(
        "half_roughness",
        "± of a roughness that nobody measured",
        "%",
        'IF(AND(state_pipe_condition="yours",pipe_condition="new"),new_rough_half,any_rough_half)',
    )
    counts = ",".join(f"yours_{name}" for name in ("elbows_90", "elbows_45", "long_bends", "gate_valves"))
    yield half(
        "middle_roughness",
        "Its draws lie round, of the roughness that counts",
        "-",
        'IF(OR(state_of_roughness="yours",state_pipe_condition="yours"),1,table_roughness/roughness_used)',
    )
    yield word("state_of_fittings", "Fittings are", f'IF(COUNT({counts})>0,"yours","assumed")')
    yield word(
        "state_of_cable",
        "Cable is",
        'IF(state_cable_resistance="yours","yours",IF(state_cable_length="yours","by length","assumed"))',
    )
    yield word(
        "measure_cable",
        "What would make the cable better known",
        'IF(half_cable_area>half_cable_length,"cable_area",'
        'IF(state_cable_length="yours","cable_resistance","cable_length"))',
    )
    yield half(
        "half_cable_area",
        "± of the resistance of a cable at hand whose conductor nobody read",
        "%",
        'IF(AND(cable_is="at hand",state_cable_area<>"yours"),any_area_half,0)',
    )
    yield half("half_cable_warmth", "± of its resistance by its warmth", "%", "copper_rise*warmth_half")
    yield half(
        "half_cable_joints", "± of its resistance by joints and warmth", "%", "SQRT(half_cable_warmth^2+joints_half^2)"
    )
    yield half(
        "half_cable_length",
        "± of its length",
        "%",
        '100*IF(state_cable_length="yours",cable_half,any_cable_half)/MAX(1,cable_length)',
    )
    yield half(
        "half_cable",
        "± of the cable as it stands",
        "%",
        'IF(state_of_cable="yours",joints_half,SQRT(half_cable_length^2+half_cable_area^2+half_cable_joints^2))',
    )
    yield half(
        "measured_cable",
        "± of the cable when it is measured",
        "%",
        'IF(measure_cable="cable_resistance",joints_half,'
        "SQRT(MIN(half_cable_length,half_cable_area)^2+half_cable_joints^2))",
    )
    yield Result(
        "bench_open",
        "The machine, or a part of it, is there to be measured",
        "-",
        '=IF(OR(stage<>"survey",alternator_is="at hand",nozzle_is="at hand",wheel_is="at hand"),1,0)',
        "1: yes.",
        digits="0",
        guard=PASS,
    )
    yield Result("test_open", "It turns", "-", '=IF(stage="test day",1,0)', "1: yes.", digits="0", guard=PASS)
    yield Result(
        "state_of_winding",
        "A winding that is not read on the bench is",
        "",
        '=IF(alternator_is="at hand","assumed","proposed")',
        digits="General",
        guard=PASS,
    )
    yield half(
        "volts_half",
        "± of a winding that is not read on the bench, its volts",
        "%",
        'IF(alternator_is="at hand",any_volts_half,made_volts_half)',
    )
    yield half(
        "ohms_half",
        "± of a winding that is not read on the bench, its ohms",
        "%",
        'IF(alternator_is="at hand",any_ohms_half,made_ohms_half)',
    )
    for key, formula in _WORKED_OUT.items():
        item = _DECLARED[WIRED.get(key, key)]
        unit = "%" if item.assumption.percent else item.unit
        yield half(f"half_{key}", f"± of: {item.label}", unit, formula[1:])


_NONE = '"no draws yet"'
_WIDTHS = (3, 26, 13, 9, 11, 9, 9, 9, 8, 10, 8, 8, 8, 9, 8, 8)


def _page(tops: dict[str, int]) -> Page:
    """The page, where the tables begin in these rows: the lines of one read those of another."""

    def below(table, other):
        return tops.get(other, 0) - tops.get(table, 0)

    def rows(line, table, *others):
        return tuple(line(doubtful, *(below(table, other) for other in others)) for doubtful in UNCERTAIN)

    return Page(
        "Doubt",
        "What is not known well, how far the watts at the battery may be off, and what to measure next.",
        (
            Heading("In short"),
            Result(
                "doubt_guess",
                "Watts into the battery, the guess",
                "W",
                '=HYDRO_PLANT(plant_judged,"battery_watts")',
                "Every value at its most likely. Where much is assumed this is too high or too low: take the mean.",
                digits="0.0",
            ),
            Result(
                "doubt_mean",
                "Watts into the battery, mean over the doubt",
                "W",
                _asked("mean"),
                digits="0.0",
                strong=True,
            ),
            Result(
                "doubt_low", "Watts into the battery, 95 % band: from", "W", _asked("low"), digits="0.0", strong=True
            ),
            Result(
                "doubt_high", "Watts into the battery, 95 % band: to", "W", _asked("high"), digits="0.0", strong=True
            ),
            Result(
                "doubt_median", "Watts into the battery, as likely more as less", "W", _asked("median"), digits="0.0"
            ),
            Result(
                "doubt_uncertainty",
                "Combined standard uncertainty",
                "W",
                _asked("standard_uncertainty"),
                digits="0.0",
            ),
            Result(
                "draws_state",
                "The draws",
                "",
                '=IF(COUNT(drawn)=0,"no draws yet: hydrofunc doubt BOOK.xlsx",draws_fit)',
                digits="General",
            ),
            Result(
                "draws_fit",
                "The draws were made of",
                "",
                '=IF(draws_off<=draws_close,"good: they belong to these inputs",'
                '"look: run again, inputs have changed since")',
                digits="General",
            ),
            Result(
                "draws_off",
                "Inputs changed since the draws by, in watts",
                "W",
                "=IF(COUNT(drawn)=0,0,ABS(INDEX(drawn,1)-doubt_guess)+ABS(INDEX(drawn,2)-doubt_uncertainty)"
                "+ABS(INDEX(drawn,3)-SUM(hand_watts)))",
                digits="0.0",
            ),
            Result(
                "guess_nozzle",
                "Best nozzle at hand, by the guess",
                "mm",
                '=IF(COUNT(hand_watts)=0,"none",INDEX(hand_sizes,MATCH(MAX(hand_watts),hand_watts,0)))',
                "Of the sizes below.",
                digits="0.0",
            ),
            Result(
                "drawn_nozzle",
                "Best nozzle at hand, on average of the draws",
                "mm",
                f"=IF(COUNT(drawn_mean)=0,{_NONE},INDEX(hand_sizes,MATCH(MAX(drawn_mean),drawn_mean,0)))",
                "Of the sizes below, by the mean.",
                digits="0.0",
            ),
            Result(
                "guess_chance",
                "Chance that the guess is the best nozzle",
                "%",
                f"=IF(COUNT(drawn_best)=0,{_NONE},INDEX(drawn_best,MATCH(MAX(hand_watts),hand_watts,0)))",
                "Share of the draws in which it gives the most.",
                digits="0",
            ),
            Heading("Measure next"),
            Input(
                "stage",
                "How far you are",
                Argument("stage", TEXT, "What can be measured now.", choices=STAGES),
                assumed=Assumption(
                    "survey", "Assumed: nothing runs yet, so what only a running wheel shows is not named."
                ),
                note="Survey: the place. Bench: the machine, before it turns in water. Test day: everything.",
            ),
            Table(
                ("measure next", "takes away, %", "line", "input", "band from, W", "to, W", "band then", "how"),
                tuple(_next(i) for i in NEXT_LINES),
                key="next",
                spread="I",
                lines=2,
                how={
                    "C": "the largest scores below, of the variance",
                    "D": "its line below",
                    "F:G": "as the band above, with standard uncertainty x √(1 - what it takes away)",
                },
            ),
            Heading("What is known, and how well", new_page=True),
            Table(
                (
                    "quantity",
                    "value",
                    "unit",
                    "state",
                    "± as it stands",
                    "± when measured",
                    "± your own",
                    "in",
                    "spread",
                    "± that counts",
                    "the same, in its unit",
                    "standard uncertainty",
                    "lognormal",
                    "unit of ±",
                    "divisor",
                ),
                tuple(_lines(doubtful) for doubtful in UNCERTAIN),
                names={
                    "doubt_labels": "B",
                    "doubt_values": "C",
                    "doubt_states": "E",
                    "doubt_widths": "K",
                    "doubt_width_units": "I",
                    "doubt_kinds": "J",
                },
                key="doubt",
                wrap=("E", "J"),
                how={
                    "C": "from the sheets before, or as tested (sheet As tested)",
                    "F:G": "declared with the input, or worked out at the foot of this sheet",
                    "K": "your own ±; else when measured where the value is yours; else as it stands",
                    "L": "in % of the value, turned into its unit",
                    "M": "± over the divisor; of a lognormal one that of its logarithm",
                    "N": "1: of the logarithm",
                    "O": "a hundredth of the value where ± is in % of it",
                },
            ),
            Words(
                "Fitted: a nozzle that somebody made for the water there, lognormal round it. "
                "Normal: 95 of 100 values lie within ±. Rectangular: all do, each as likely. Lognormal: 95 of 100 lie "
                "between value / f and value x f, where f = 1 + ± / value. The ranges are not measured by us: "
                f"{PRACTICE[0].lower()}{PRACTICE[1:]} Put in your own."
            ),
            Heading("What each line does to the watts", new_page=True),
            Table(
                (
                    "quantity",
                    "in the plant",
                    "± there",
                    "spread",
                    "middle",
                    "times",
                    "line",
                    "share, %",
                    "one more, W",
                    "draws: share, %",
                    "lowest",
                    "highest",
                    "decimals",
                    "cells drawn",
                ),
                rows(_effects, "doubt_effects", "doubt"),
                names={
                    "doubt_lines": "C:F",
                    "doubt_middles": "F",
                    "doubt_shares": "I",
                    "doubt_parts": "J",
                    "drawn_share": "K",
                    "doubt_lowest": "L",
                    "doubt_highest": "M",
                    "doubt_decimals": "N",
                    "doubt_cells": "O",
                },
                key="doubt_effects",
                wrap=("C", "E"),
                spread="O",
                how={
                    "D": "± that counts x times",
                    "F": "where the draws lie, over the value that counts: above 1 if that is on the careful side",
                    "G": "from what a person measures to what the plant is asked with",
                    "I": "HYDRO_DOUBT: variance that this line explains by itself",
                    "J": "what one standard uncertainty more of it does, on average",
                    "K": "written by hydrofunc doubt: the same of its own draws",
                    "L:M": "what the function takes; of a roughness a twentieth of the bore",
                    "N": "what is counted has none",
                },
            ),
            Words(
                "All lines are drawn together, on a lattice of 2,039 points, and the whole plant is asked at each "
                "(propagation of distributions, in the manner of JCGM 101:2008). Shares add up to less than 100 where "
                "lines act together: a wide nozzle is worth little without the water for it."
            ),
            Heading("What measuring would leave", new_page=True),
            Table(
                (
                    "quantity",
                    "at the stage",
                    "possible now",
                    "± when measured",
                    "standard uncertainty",
                    "leaves of its variance",
                    "takes from another, %",
                    "takes away, %",
                    "by the input",
                ),
                rows(_worth, "doubt_worth", "doubt", "doubt_effects"),
                names={"doubt_may": "D", "doubt_left": "G", "doubt_scores": "I", "doubt_inputs": "J"},
                key="doubt_worth",
                spread="J",
                how={
                    "D": "1 where it can be measured at your stage and is not yours yet",
                    "E:F": "as above",
                    "G": "(standard uncertainty when measured over that now)²",
                    "H": "a nozzle at hand tells the flow as well, while nobody has measured that (foot of this sheet)",
                    "I": "(share x (1 - what it leaves) + what it takes from another), of what is possible now",
                },
            ),
            Table(
                ("input", "its name", "how to measure it"),
                tuple((_DECLARED[name].label, name, _DECLARED[name].measure or _DECLARED[name].note) for name in WAYS),
                names={"way_labels": "B", "way_inputs": "C", "way_sentences": "D"},
                key="ways",
                wrap=("C",),
                spread="D",
            ),
            Heading("Drawn at random: hydrofunc doubt BOOK.xlsx writes these numbers into a copy", new_page=True),
            Space("doubt_bars", 0, "J"),
            Table(
                ("what", "value", "unit"),
                tuple((label, Written(digits), unit) for label, unit, digits in DRAWN),
                names={"drawn": "C"},
                key="drawn",
                how={"C": "written by hydrofunc doubt"},
            ),
            Table(
                (
                    "nozzle at hand",
                    "opening, mm",
                    "by the guess, W",
                    "mean of draws, W",
                    "5 % get less, W",
                    "5 % get more, W",
                    "is the best, % of draws",
                    "fits, 1 or 0",
                ),
                tuple(_size(i) for i in range(1, SIZES + 1)),
                names={
                    "hand_sizes": "C",
                    "hand_watts": "D",
                    "drawn_mean": "E",
                    "drawn_low": "F",
                    "drawn_high": "G",
                    "drawn_best": "H",
                },
                key="hand",
                how={
                    "C": "sheet Nozzle",
                    "E:H": "written by hydrofunc doubt, from the draws",
                    "I": "1: no wider than the pipe that feeds it",
                },
            ),
            Space("doubt_nozzles", 18),
            Words(
                "The sizes at hand are taken as exact; how far your nozzle is off its size counts in the band "
                "above only."
            ),
            Words(
                "A band is about what you know, not about what can happen: a blocked nozzle or a broken pipe is in "
                "none. Do not size a fuse, a pipe or a "
                "controller by the middle of a band.",
                caution=True,
            ),
            Heading("Ranges that hang on how a thing is known", new_page=True),
            *_worked_out(),
        ),
        widths=_WIDTHS,
        heads=("",) * len(_WIDTHS),
    )


# Placed once to learn the rows in which the tables begin; these hang on no formula, only on how many lines there are.
PAGE = _page({item.key: item.top for _, item in place(_page({})) if isinstance(item, Table)})
CHECKS = (
    Check(
        "Doubt about the watts, of the mean",
        "=IF(N(doubt_mean)>0,100*normal_95*doubt_uncertainty/doubt_mean,0)",
        "%",
        30,
        150,  # three numbers and nothing else give about 100: a beginning, no reason to stop
        f"Half of the 95 % band. Three numbers alone give about 100: measure first what sheet Doubt names. {PRACTICE}",
    ),
)
