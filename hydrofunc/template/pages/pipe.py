"""Pipe: bore, roughness, fittings, and what they take away."""

from ...catalogue import nomenclature as n
from ...registry import Argument
from ...units import TEXT
from ..chain import call
from ..model import Formula, Heading, Input, Page, Result, Table
from .common import argument_of

_FITTINGS = (
    ("elbows_90", "Elbows 90°", "90 elbow", 2),
    ("elbows_45", "Elbows 45°", "45 elbow", 0),
    ("long_bends", "Long bends", "long bend", 4),
    ("gate_valves", "Gate valves", "gate valve", 0),
    ("ball_valves", "Ball valves, full bore", "ball valve", 1),
    ("globe_valves", "Globe valves", "globe valve", 0),
)
_ENTRANCES = ("sharp entrance", "rounded entrance", "projecting entrance")


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
            example=420.0,
            digits="0",
            note="Along the ground, not on the map.",
        ),
        Input(
            "pipe_standard",
            "Pipe standard",
            argument_of("pipe_bore", "pipe_standard"),
            "pe100 iso 4427",
            note="Printed on the pipe.",
        ),
        Input(
            "pipe_size",
            "Size",
            argument_of("pipe_bore", "size"),
            "40",
            note="Plastic pipe: outside diameter in mm. Steel: inches, such as 1 1/4.",
        ),
        Input(
            "pipe_class",
            "Class",
            argument_of("pipe_bore", "pipe_class"),
            "sdr 11",
            note="Wall class of that standard, as printed on the pipe.",
        ),
        Input(
            "pipe_bore",
            "Own bore",
            n.BORE.with_(name="pipe_bore"),
            optional=True,
            note="Measured inside diameter. If given it counts; if empty, the table below does.",
        ),
        Input(
            "pipe_material",
            "Material inside",
            argument_of("roughness", "material"),
            "polyethylene",
            note="What the water touches: new polyethylene is smoothest.",
        ),
        Input(
            "pipe_condition",
            "Its condition",
            argument_of("roughness", "condition"),
            "new",
            note="Old pipe that carries hard or muddy water is rougher.",
        ),
        Input(
            "pipe_roughness",
            "Own roughness",
            n.ROUGHNESS.with_(name="pipe_roughness"),
            optional=True,
            note="If given it counts; if empty, the table value does.",
        ),
        Input(
            "pipe_rating",
            "Pressure rating of the weakest part",
            Argument("pipe_rating", "bar", "Nominal pressure of pipe and fittings.", "(0, 200]"),
            16.0,
            note="PN printed on pipe, valve and couplings: the lowest of them.",
        ),
        Result(
            "bore_used",
            "Bore used",
            "mm",
            "=IF(ISNUMBER(pipe_bore),pipe_bore," + call("pipe_bore", size="pipe_size") + ")",
            "#NUM! or #VALUE!: that size or class is not in that standard's table.",
            digits="0.0",
        ),
        Result(
            "roughness_used",
            "Roughness used",
            "mm",
            "=IF(ISNUMBER(pipe_roughness),pipe_roughness,"
            + call("roughness", material="pipe_material", condition="pipe_condition")
            + ")",
            digits="0.000",
        ),
        Heading("Second and third section in series, if any (downhill order)"),
        *(
            Input(argument.name, label, argument.with_(default=argument.default), optional=True, note=argument.meaning)
            for argument, label in (
                (n.LENGTH_2, "Length of section 2"),
                (n.BORE_2, "Bore of section 2"),
                (n.ROUGHNESS_2, "Roughness of section 2"),
                (n.LENGTH_3, "Length of section 3"),
                (n.BORE_3, "Bore of section 3"),
                (n.ROUGHNESS_3, "Roughness of section 3"),
            )
        ),
        Heading("Fittings in the main pipe"),
        Input(
            "entrance",
            "Entrance at the intake",
            Argument("entrance", TEXT, "Shape of the pipe end in the intake.", choices=_ENTRANCES),
            "sharp entrance",
            note="Rounded loses least, a pipe that sticks out into the water most.",
        ),
        Table(
            ("fitting", "how many", "", "K of one", "K together"),
            tuple(
                (
                    label,
                    Input(name, label, _count(name, label), count, digits="0"),
                    "",
                    Formula("=" + call("fitting_loss", fitting=f'"{fitting}"', bore="bore_used"), "0.000"),
                    Formula("=C{row}*E{row}", "0.000"),
                )
                for name, label, fitting, count in _FITTINGS
            ),
            names={"fittings_together": "F"},
            key="fittings",
        ),
        Input(
            "other_k",
            "Other losses, as K",
            Argument("other_k", "-", "Sum of further loss coefficients.", "[0, 1000]"),
            0.0,
            digits="0.00",
            note="Screens, unions with a step, a filter: from its maker.",
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
        Result("velocity", "Velocity in the pipe", "m/s", "=" + call("pipe_velocity")),
        Result(
            "reynolds",
            "Reynolds number",
            "-",
            "=" + call("reynolds_number"),
            "Laminar below 2000, turbulent above 4000.",
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
        Result("lost_head", "Head lost in pipe and fittings", "m", "=" + call("penstock_head"), strong=True),
        Result("fittings_head", "of which fittings", "m", "=" + call("minor_head")),
        Result(
            "lost_share",
            "Share of the gross head lost",
            "%",
            "=100*lost_head/gross_head",
            "About a third at the nozzle of most power; less is thrifty with water, more is a loss.",
            digits="0.0",
        ),
        Result(
            "pipe_limit",
            "Most power this pipe can pass",
            "W",
            "=" + call("pipe_power_limit"),
            "At its lower end, with the best flow and no other loss.",
            digits="0",
        ),
    ),
)
