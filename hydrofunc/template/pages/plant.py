"""Plant: the block of names and values that functions of a whole plant take, in the order of the job.

A proposal may read the rows above its own, never its own: there would be a circle. `PARTS` are the parts of the block
that have a name of their own, each from the first row down to the row named.
"""

from ..model import Formula, Heading, Page, Table
from .as_tested import BASIS, section_roughness

SHEET = "Plant"
# Argument of our functions, name of the cell that feeds it.
BLOCK = (
    ("gross_head", "gross_head"),
    ("length", "pipe_length"),
    ("bore", "bore_used"),
    ("roughness", "roughness_used"),
    ("fittings", "fittings_k"),
    *((f"{what}_{i}", f"{what}_{i}") for i in (2, 3) for what in ("length", "bore", "roughness")),
    ("temperature", "water_temperature"),
    ("gravity", "gravity"),
    ("gauge_height", "gauge_height"),  # for the diagnosis
    ("jets", "jets"),
    ("velocity_coefficient", "velocity_coefficient"),
    ("contraction", "contraction"),
    ("available_flow", "available_flow"),
    ("deflection", "deflection"),
    ("cup_friction", "cup_friction"),
    ("alignment", "alignment"),
    ("bearing_drag", "bearing_drag"),
    ("windage", "windage"),
    ("pole_pairs", "pole_pairs"),
    ("diode_drop", "diode_drop"),
    ("iron_drag", "iron_drag"),
    ("load", "load"),
    ("controller_efficiency", "controller_efficiency"),
    ("battery_volts", "battery_volts"),
    ("load_resistance", "load_resistance"),
    ("connection", "connection"),
    ("cable_length", "cable_length"),
    ("cable_area", "cable_area"),
    ("cable_material", "cable_material"),
    ("cable_temperature", "cable_temperature"),
    ("cable_resistance", "cable_resistance"),
    ("nozzle", "nozzle"),
    ("pitch_diameter", "pitch_diameter"),
    ("phase_volts", "phase_volts"),
    ("phase_resistance", "phase_resistance"),
    ("phase_inductance", "phase_inductance"),
)
PARTS = {
    "plant_pipe": "contraction",  # before anything is known of the source
    "plant_water": "available_flow",
    "plant_above": "controller_efficiency",  # before anything is proposed
    "plant": "phase_inductance",
}

_FIRST = 7  # row of the block's first line; a test holds it
_ROWS = {name: row for row, (name, _) in enumerate(BLOCK, start=_FIRST)}
RANGES = {part: f"$B${_FIRST}:$C${_ROWS[last]}" for part, last in PARTS.items()}


def _judged(name, cell):
    """What feeds a row of the machine that is judged.

    The other sections are rougher in proportion to the first, so that a draw of it is one of all.
    """
    if name in ("roughness_2", "roughness_3"):
        return section_roughness(int(name[-1]), "basis_roughness")
    return BASIS.get(name, cell)


PAGE = Page(
    SHEET,
    "Workings: the plant as it counts, in one block of names and values. Nothing to type here.",
    (
        Heading("plant: name and value in the functions' units"),
        Table(
            ("name", "value", "cell"),
            tuple((name, Formula(f"={cell}"), cell) for name, cell in BLOCK),
            names=RANGES,
            key="plant",
            how={"C": "the cell of that name"},
        ),
        Heading("plant_judged: the same for What pays and Doubt, as designed or as tested (sheet As tested)"),
        Table(
            ("name", "value", "cell"),
            tuple((name, Formula(f"={_judged(name, cell)}"), BASIS.get(name, cell)) for name, cell in BLOCK),
            names={"plant_judged": "B:C"},
            key="plant_judged",
            how={"C": "the cell of that name; the other sections as rough in proportion"},
        ),
    ),
    workings=True,
    widths=(3, 26, 14, 26),
    heads=("",) * 4,
)
