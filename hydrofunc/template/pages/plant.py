"""Plant: the block of names and values that functions of a whole plant take, in the order of the job.

A proposal may read the rows above its own, never its own: there would be a circle. `PARTS` are the parts of the block
that have a name of their own, each from the first row down to the row named.
"""

from ..chain import WIRED
from ..model import Formula, Heading, Page, Table
from .as_tested import BASIS, section_roughness

SHEET = "Plant"
# Arguments of our functions, in the order of the job; the cell of each is that which feeds the chain.
_NAMES = """gross_head length bore roughness fittings
    length_2 bore_2 roughness_2 length_3 bore_3 roughness_3
    temperature gravity gauge_height jets velocity_coefficient contraction available_flow
    deflection cup_friction alignment bearing_drag pole_pairs diode_drop iron_drag load controller_efficiency
    windage battery_volts load_resistance connection cable_length cable_area cable_material cable_temperature
    cable_resistance nozzle pitch_diameter phase_volts phase_resistance phase_inductance"""
BLOCK = tuple((name, WIRED.get(name, name)) for name in _NAMES.split())
PARTS = {
    "plant_pipe": "contraction",  # before anything is known of the source
    "plant_water": "available_flow",
    "plant_above": "controller_efficiency",  # before anything is proposed
    "plant": "phase_inductance",
}

# The pipe, its valve and its full flow, for surges.
_SURGE = """gross_head flow length bore roughness wave_speed fittings
    length_2 bore_2 roughness_2 wave_speed_2 length_3 bore_3 roughness_3 wave_speed_3
    temperature gravity nozzle jets contraction valve_time"""
SURGE = tuple((name, {"flow": "full_flow"}.get(name, WIRED.get(name, name))) for name in _SURGE.split())

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
        Heading("plant_surge: the pipe and its valve for HYDRO_SURGE_RUN, with the flow of a full pipe"),
        Table(
            ("name", "value", "cell"),
            tuple((name, Formula(f"={cell}"), cell) for name, cell in SURGE),
            names={"plant_surge": "B:C"},
            key="plant_surge",
            how={"C": "the cell of that name"},
        ),
    ),
    workings=True,
    widths=(3, 26, 14, 26),
    heads=("",) * 4,
)
