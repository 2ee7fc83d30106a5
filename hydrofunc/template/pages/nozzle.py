"""Nozzle: which size, and what the jet then does."""

from ...catalogue import nomenclature as n
from ...registry import Argument
from ...units import TEXT
from ..chain import call, of_plant
from ..model import PASS, STOP, Assumption, Formula, Heading, Input, Page, Result, Space, Table, Words
from .common import AT_GAUGE, OWN_JUDGEMENT, PRACTICE, limit, of_last_section, there_already

LIMITS = (
    limit(
        "turned_contraction",
        "Contraction of a turned nozzle",
        0.97,
        "-",
        f"1 where it ends parallel and sharp; few made by hand do quite. {PRACTICE}",
        "[0.5, 1]",
    ),
    limit(
        "hole_contraction",
        "Contraction of a hole drilled in a plate or cap",
        0.66,
        "-",
        "0.62 with a sharp edge (White, Fluid Mechanics, 7th ed., section 6.12; from memory), more in a thick cap.",
        "[0.5, 1]",
    ),
    limit(
        "unknown_contraction",
        "Contraction of a nozzle of which nobody says how it is made",
        0.84,
        "-",
        f"Between both; a little nearer to a turned one, as most are. {OWN_JUDGEMENT}",
        "[0.5, 1]",
    ),
    limit(
        "unknown_contraction_half",
        "Half of the range of a contraction of which nothing is said",
        0.2,
        "-",
        "It reaches to both.",
        "[0, 0.5]",
    ),
    limit("turned_half", "Half of the range of a turned nozzle", 0.05, "-", OWN_JUDGEMENT, "[0, 0.5]"),
    limit("hole_half", "Half of the range of a drilled hole", 0.09, "-", OWN_JUDGEMENT, "[0, 0.5]"),
    limit("made_nozzle_half", "A nozzle made to a size is off it by", 3, "%", OWN_JUDGEMENT, "[0, 100]"),
    limit(
        "any_nozzle_half",
        "A nozzle at hand that nobody measured: f = 1 + this/100 off the one that suits the water there",
        30,
        "%",
        f"From 0.6 to 1.7 times the area. {OWN_JUDGEMENT}",
        "[0, 1000]",
    ),
)
AT_HAND = 12  # sizes
_CURVE_ROWS = 21

PAGE = Page(
    "Nozzle",
    "Which nozzle takes most power from this pipe, and what the jet then does.",
    (
        Heading("The nozzle fitted"),
        there_already("nozzle_is", "nozzle"),
        Input(
            "nozzle",
            "Nozzle opening",
            n.NOZZLE,
            example=7.0,
            digits="0.0",
            assumed=Assumption(
                "=recommended_nozzle",
                "Proposed: of the sizes at hand the one with most watts into the battery (sheet Choices).",
                proposed=True,
                half='=IF(nozzle_is="at hand",any_nozzle_half,made_nozzle_half)',
                measured=1.0,
                percent=True,
                spread="lognormal",
            ),
            state='IF(nozzle_is="at hand","assumed","proposed")',
            measure="Diameter of the hole the water leaves by: the shank of a drill that just fits.",
        ),
        Input(
            "jets",
            "Number of jets",
            n.JETS,
            digits="0",
            assumed=Assumption(1.0, "Proposed: one is simplest.", proposed=True),
        ),
        Input(
            "nozzle_made",
            "The nozzle is",
            Argument("nozzle_made", TEXT, "How the nozzle is made.", choices=("turned nozzle", "drilled hole")),
            example="turned nozzle",
            note="A nozzle that narrows and ends parallel, or a hole in a plate or cap; the jet of a hole is thinner.",
        ),
        Input(
            "velocity_coefficient",
            "Velocity coefficient",
            n.VELOCITY_COEFFICIENT,
            example=0.97,
            digits="0.000",
            assumed=Assumption(
                0.96,
                f"Assumed: a smooth, sharp-lipped nozzle has 0.95 to 0.99, a rough or stepped one less. {PRACTICE}",
                half=0.05,
                measured=0.02,
            ),
            measure="From flow and running gauge at the nozzle together (Test day).",
        ),
        Input(
            "contraction",
            "Contraction",
            n.CONTRACTION,
            example=1.0,
            digits="0.00",
            assumed=Assumption(
                '=IF(nozzle_made="turned nozzle",turned_contraction,'
                'IF(nozzle_made="drilled hole",hole_contraction,unknown_contraction))',
                "Assumed from the line above: near 1 for a nozzle that ends parallel, about 0.66 for a drilled hole.",
                half='=IF(nozzle_made="turned nozzle",turned_half,'
                'IF(nozzle_made="drilled hole",hole_half,unknown_contraction_half))',
                measured=0.03,
            ),
            measure="Flow by bucket over opening area times jet velocity.",
        ),
        Heading("Sizes at hand"),
        Table(
            ("sizes you can buy or drill", "yours, mm", "", "counts, mm"),
            tuple(
                (
                    f"size {i}",
                    Input(
                        f"nozzle_size_{i}",
                        f"Nozzle size {i} at hand",
                        n.NOZZLE.with_(name=f"nozzle_size_{i}"),
                        digits="0.0",
                        assumed=Assumption(f"=drill_size_{i}", "Drills round the best nozzle (sheet Tried)."),
                    ),
                    "",
                    Formula(f"=nozzle_size_{i}", "0.0"),
                )
                for i in range(1, AT_HAND + 1)
            ),
            names={"nozzle_typed": "C", "nozzle_sizes": "E"},
            key="sizes",
            how={"E": "yours; drills round the best nozzle where nothing is given"},
        ),
        Heading("What follows", new_page=True),
        Result(
            "flow",
            "Flow",
            "L/s",
            "=" + of_plant("flow"),
            "Gross head, pipe, fittings and nozzle solved together; never more than you may use.",
            digits="0.000",
            strong=True,
        ),
        Result(
            "outlet_bore",
            "Bore before the nozzle",
            "mm",
            f"={of_last_section('bore_used', 'bore_2', 'bore_3')}",
            "Of the last section of the pipe.",
            digits="0.0",
            guard=PASS,
        ),
        Result(
            "widest_nozzle",
            "Nozzle that is as wide as the pipe",
            "mm",
            '=IF(ISNUMBER(outlet_bore),outlet_bore/SQRT(jets),"")',
            "All jets together. No nozzle can be larger.",
            digits="0.0",
            guard=STOP,
        ),
        Result(
            "nozzle_fits",
            "The nozzle is no wider than the pipe",
            "-",
            '=IF(N(typed_nozzle)<=N(widest_nozzle),1,"")',
            "1: yes. Else nothing is worked out.",
            digits="0",
            guard=STOP,
        ),
        Result("net_head", "Net head before the nozzle", "m", "=" + of_plant("net_head")),
        Result(
            "running_pressure",
            "Gauge before the nozzle, running",
            "bar",
            "=" + call("running_pressure", bore="outlet_bore") + AT_GAUGE,
            "At the gauge's height (sheet Site).",
        ),
        Result("jet_velocity", "Jet velocity", "m/s", "=" + of_plant("jet_velocity")),
        Result("jet_diameter", "Jet diameter", "mm", "=" + of_plant("jet_diameter")),
        Result("jet_power", "Power in the jet", "W", "=" + of_plant("jet_power"), digits="0", strong=True),
        Result("jet_force", "Push of the jet on a stopped wall", "N", "=" + of_plant("jet_force"), digits="0.0"),
        Result(
            "best_nozzle",
            "Best nozzle for this pipe",
            "mm",
            "=" + of_plant("best_nozzle", block="plant_water"),
            "Most jet power with the flow you may use; both smaller and larger give less.",
            digits="0.00",
            strong=True,
        ),
        Result(
            "best_flow", "Flow it takes", "L/s", "=" + of_plant("best_nozzle_flow", block="plant_water"), digits="0.000"
        ),
        Result(
            "best_jet_power",
            "Jet power it gives",
            "W",
            "=" + of_plant("best_nozzle_power", block="plant_water"),
            digits="0",
        ),
        Result(
            "top_nozzle",
            "Most battery watts at",
            "mm",
            "=INDEX(curve_nozzle,MATCH(MAX(curve_watts),curve_watts,0))",
            "Of the sizes in the table of the curve; marked in its chart.",
            digits="0.0",
        ),
        Result("top_watts", "Battery watts with that nozzle", "W", "=MAX(curve_watts)", digits="0"),
        Words(
            "A jet of more than a few bar cuts skin and injects water under it. Close the valve before you touch the "
            "nozzle, and fit it so "
            "that it cannot come off.",
            caution=True,
        ),
        Heading("Watts and water against nozzle size", new_page=True),
        Space("nozzle_curve", 18),
        Table(
            ("nozzle, mm", "flow, L/s", "jet, m/s", "jet power, W", "battery, W", "of the best nozzle"),
            tuple(
                (
                    Formula("=MIN(widest_nozzle,best_nozzle*G{row})", "0.00"),
                    *(
                        Formula("=" + of_plant(quantity, "nozzle", "$B{row}"), digits)
                        for quantity, digits in (
                            ("flow", "0.000"),
                            ("jet_velocity", "0.0"),
                            ("jet_power", "0"),
                            ("battery_watts", "0.0"),
                        )
                    ),
                    round(0.4 + 0.06 * i, 2),
                )
                for i in range(_CURVE_ROWS)
            ),
            names={"curve_nozzle": "B", "curve_watts": "F"},
            key="nozzle_curve",
            how={"B": "the share in the last column of the best nozzle, none wider than the bore before it"},
        ),
    ),
)
