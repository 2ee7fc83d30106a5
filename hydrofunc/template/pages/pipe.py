"""Pipe: bore, roughness, fittings, and what they take away."""

from ...catalogue import nomenclature as n
from ...registry import Argument
from ...units import TEXT
from ..chain import call, of_plant
from ..model import STOP, Assumption, Formula, Heading, Input, Page, Result, Table
from .common import OWN_JUDGEMENT, PRACTICE, argument_of, limit

_FITTINGS = (
    ("elbows_90", "Elbows 90°", "90 elbow", 2),
    ("elbows_45", "Elbows 45°", "45 elbow", 0),
    ("long_bends", "Long bends", "long bend", 4),
    ("gate_valves", "Gate valves", "gate valve", 0),
    ("ball_valves", "Ball valves, full bore", "ball valve", 1),
    ("globe_valves", "Globe valves", "globe valve", 0),
)
_ENTRANCES = ("sharp entrance", "rounded entrance", "projecting entrance")
LIMITS = (
    limit(
        "unknown_roughness",
        "Roughness of a pipe if nobody says its condition, at least",
        0.03,
        "mm",
        f"Between smooth plastic, 0.003, and scaled or slimy pipe, 0.3. {OWN_JUDGEMENT}",
        "[0, 5]",
    ),
)


def _count(name, label):
    return Argument(name, "-", f"Number of: {label}.", "[0, 500]")


PAGE = Page(
    "Pipe",
    "What the pipe takes away as soon as water flows.",
    (
        Heading("Main pipe"),
        Input(
            "pipe_length",
            "Length along the pipe",
            n.LENGTH.with_(name="pipe_length", within="(0, 20000]"),
            needed=True,
            example=420.0,
            digits="0",
            measure="Along the ground, not on the map: a tape, or a rope of known length.",
        ),
        Input(
            "pipe_standard",
            "Pipe standard",
            argument_of("pipe_bore", "pipe_standard"),
            example="pe100 iso 4427",
            unless="ISNUMBER(pipe_bore)",
            assumed=Assumption("pe100 iso 4427", "Assumed: the usual water pipe of polyethylene."),
            measure="Printed on the pipe.",
        ),
        Input(
            "pipe_size",
            "Size of the pipe",
            argument_of("pipe_bore", "size"),
            needed=True,
            unless="ISNUMBER(pipe_bore)",
            example="40",
            note="Plastic pipe: outside diameter in mm. Steel: inches, such as 1 1/4.",
        ),
        Input(
            "pipe_class",
            "Class of the pipe's wall",
            argument_of("pipe_bore", "pipe_class"),
            example="sdr 11",
            unless="ISNUMBER(pipe_bore)",
            assumed=Assumption(
                "sdr 11", "Assumed thick, as it leaves the smaller bore. Strength asks for the true wall."
            ),
            measure="Wall class of that standard, as printed on the pipe.",
        ),
        Input(
            "pipe_bore",
            "Bore of the pipe, inside",
            n.BORE.with_(name="pipe_bore"),
            needed=True,
            unless='pipe_size<>""',
            note=(
                "Inside diameter. If given it counts, not standard, size and class; then give the wall too (sheet "
                "Strength)."
            ),
            measure="Calliper at a clean cut, two ways; or weigh a metre full of water.",
        ),
        Input(
            "pipe_material",
            "Material inside",
            argument_of("roughness", "material"),
            example="polyethylene",
            assumed=Assumption("polyethylene", "Assumed: the usual long thin pipe."),
            note="What the water touches.",
        ),
        Input(
            "pipe_condition",
            "Condition inside",
            argument_of("roughness", "condition"),
            example="new",
            assumed=Assumption("used", "Assumed on the careful side: old pipe is rougher, and so are its joints."),
            note="New, used, or fouled by hard or muddy water.",
        ),
        Input(
            "pipe_roughness",
            "Roughness, if you know it",
            n.ROUGHNESS.with_(name="pipe_roughness"),
            unless="TRUE",
            digits="0.000",
            note="If given it counts; if empty, the table value of material and condition does.",
            measure="From one measured flow and one running gauge: Test day and Diagnosis work it out.",
        ),
        Input(
            "pipe_rating",
            "Pressure rating of the weakest part",
            Argument("pipe_rating", "bar", "Nominal pressure of pipe and fittings.", "(0, 200]"),
            example=16.0,
            note="Nothing is assumed: until it is given no check judges the pressure.",
            measure="PN printed on pipe, valve and couplings: the lowest of them.",
        ),
        Result(
            "bore_used",
            "Bore used",
            "mm",
            '=IF(ISNUMBER(pipe_bore),pipe_bore,IF(pipe_size="","",IFERROR('
            + call("pipe_bore", size="pipe_size")
            + ',"")))',
            "Empty: nothing is given, or that size or class is not in that standard's table.",
            digits="0.0",
        ),
        Result(
            "table_roughness",
            "Roughness of that material in that condition",
            "mm",
            "=" + call("roughness", material="pipe_material", condition="pipe_condition"),
            digits="0.000",
        ),
        Result(
            "roughness_used",
            "Roughness used",
            "mm",
            '=IF(ISNUMBER(pipe_roughness),pipe_roughness,IF(state_pipe_condition="yours",table_roughness,'
            "MAX(table_roughness,unknown_roughness)))",
            digits="0.000",
        ),
        Heading("Second and third section in series, if any (downhill order)"),
        *(
            Input(
                argument.name,
                label,
                argument,
                assumed=Assumption(0.0, f"Assumed: there is none. {argument.meaning}"),
                state=f'IF(N(length_{argument.name[-1]})>0,"needed","not needed")',
            )
            for argument, label in (
                (n.LENGTH_2, "Length of section 2"),
                (n.BORE_2, "Bore of section 2"),
                (n.ROUGHNESS_2, "Roughness of section 2"),
                (n.LENGTH_3, "Length of section 3"),
                (n.BORE_3, "Bore of section 3"),
                (n.ROUGHNESS_3, "Roughness of section 3"),
            )
        ),
        *(
            Result(
                f"rough_{i}",
                f"Section {i} is rougher than friction is known for",
                "-",
                f"=IF(N({length})*N({roughness})>N({length})*N({bore})*roughest_share,1,0)",
                "1: yes. More than a twentieth of the bore: then nothing can be worked out.",
                digits="0",
                guard=STOP,
            )
            for i, length, bore, roughness in (
                (1, "pipe_length", "bore_used", "roughness_used"),
                (2, "length_2", "bore_2", "roughness_2"),
                (3, "length_3", "bore_3", "roughness_3"),
            )
        ),
        Result(
            "rough_sections",
            "Sections that are rougher than friction is known for",
            "-",
            "=rough_1+rough_2+rough_3",
            digits="0",
            guard=STOP,
        ),
        Result(
            "smooth_enough",
            "Friction is known for every section",
            "-",
            '=IF(rough_sections=0,1,"")',
            "1: yes.",
            digits="0",
            guard=STOP,
        ),
        Heading("Fittings in the main pipe"),
        Input(
            "entrance",
            "Entrance at the intake",
            Argument("entrance", TEXT, "Shape of the pipe end in the intake.", choices=_ENTRANCES),
            example="sharp entrance",
            assumed=Assumption("projecting entrance", "Assumed: a pipe that sticks out into the water loses most."),
        ),
        Table(
            ("fitting", "how many", "K of one", "counts", "K together", "as HYDRO_FITTING_LOSS calls it"),
            tuple(
                (
                    label,
                    Input(
                        name,
                        label,
                        _count(name, label),
                        example=count,
                        digits="0",
                        assumed=Assumption(count, f"A usual number. {PRACTICE}"),
                        measure="Walk along the pipe and count them.",
                    ),
                    Formula("=" + call("fitting_loss", fitting="G{row}", bore="bore_used"), "0.000"),
                    Formula(f"={name}", "0"),
                    Formula("=D{row}*E{row}", "0.000"),
                    fitting,
                )
                for name, label, fitting, count in _FITTINGS
            ),
            names={"fittings_together": "F"},
            key="fittings",
            how={"E": f"yours, or a usual number where it is empty ({PRACTICE[0].lower()}{PRACTICE[1:-1]})"},
        ),
        Input(
            "other_k",
            "Other losses, as K",
            Argument("other_k", "-", "Sum of further loss coefficients.", "[0, 1000]"),
            digits="0.00",
            example=0.0,
            assumed=Assumption(1.0, f"Assumed for a screen and some steps. {OWN_JUDGEMENT}"),
            measure="Screens, unions with a step, a filter: from its maker.",
        ),
        Result(
            "fittings_k",
            "Sum of K",
            "-",
            "=" + call("fitting_loss", fitting="entrance", bore="bore_used") + "+SUM(fittings_together)+other_k",
            "Loss = K x velocity² / 2g.",
            digits="0.00",
        ),
        Heading("While water flows (with the nozzle on the next sheet)"),
        Result("velocity", "Velocity in the pipe", "m/s", "=" + of_plant("pipe_velocity")),
        Result(
            "reynolds",
            "Reynolds number",
            "-",
            "=" + of_plant("reynolds_number"),
            "Laminar below 2000; counted as turbulent above 2600.",
            digits="#,##0",
        ),
        Result(
            "darcy_factor",
            "Darcy friction factor",
            "-",
            "=" + call("friction_factor", reynolds_number="reynolds", relative_roughness="roughness_used/bore_used"),
            "Colebrook-White. Some books print a quarter of it (Fanning).",
            digits="0.0000",
        ),
        Result("lost_head", "Head lost in pipe and fittings", "m", "=" + of_plant("lost_head"), strong=True),
        Result("fittings_head", "Head lost in fittings", "m", "=" + of_plant("minor_head")),
        Result(
            "unused_head",
            "Head not used: the pipe is not full to the top",
            "m",
            "=IF(flow<nozzle_thirst,MAX(0,gross_head-lost_head-net_head),0)",
            "Where the source gives less than the nozzle takes, the water stands that much lower in the pipe.",
            strong=True,
        ),
        Result(
            "missing_share",
            "Share of the gross head that does not reach the nozzle",
            "%",
            "=100*(lost_head+unused_head)/gross_head",
            "Lost and not used together; what is left is the net head on sheet Nozzle.",
            digits="0.0",
        ),
        Result(
            "lost_share",
            "Share of the gross head lost in pipe and fittings",
            "%",
            "=100*lost_head/gross_head",
            "About a third at the nozzle of most power; less is thrifty with water, more is a loss.",
            digits="0.0",
        ),
        Result(
            "pipe_limit",
            "Most power this pipe can pass",
            "W",
            "=" + of_plant("pipe_power_limit"),
            "At its lower end, with the best flow and no other loss.",
            digits="0",
        ),
    ),
)
