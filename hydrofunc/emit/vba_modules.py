"""All VBA modules that a workbook needs to carry every worksheet function."""

from functools import lru_cache

from ..errors import DeclarationError
from ..registry import FUNCTIONS
from .lambda_names import LEFT_OUT
from .symbols import CannotTrace
from .trace import traced
from .vba import Modules, add_function, complaint, left_out, packed, table
from .vba_plant import BLOCK, Plant
from .vba_reading import CALC, READING
from .vba_waves import Runs


@lru_cache(maxsize=1)
def modules() -> dict[str, str]:
    """Every worksheet function and what it calls: name of a module to its text.

    Raises `DeclarationError` for a function that cannot be traced and is not in `LEFT_OUT`, or that VBA would not take.
    """
    written = Modules()
    traceable = [f for f in FUNCTIONS.values() if f.name not in LEFT_OUT and f.resolve is None]
    try:
        graphs = {function.name: traced(function) for function in traceable}
        plant, runs = Plant(), Runs()
    except CannotTrace as error:
        raise DeclarationError(str(error)) from error
    for graph in [*graphs.values(), plant.cable]:
        written.library.look_through([graph.result, *graph.rules])
    written.library.look_through([*plant.graphs.values(), plant.at_hand.graph, plant.season.watts, plant.season.fits])
    written.library.look_through(runs.graphs())
    waves = ""
    for function in FUNCTIONS.values():
        if function.name in LEFT_OUT:
            written.functions.append(left_out(function))
        elif function.name == "plant":
            plant.add(written)
        elif function.name == runs.of.function.name:
            waves = runs.add(written, plant)
        elif function.name in graphs:
            add_function(written, function, graphs[function.name])
    tables = [table(name, key) for key, name in written.library.tables.items()]
    found = {"hydro_reading": READING, "hydro_calc": CALC, "hydro_block": BLOCK, "hydro_waves": waves}
    hidden = "Option Explicit\nOption Private Module\n"
    for name, head, texts in (
        ("hydro_tables", hidden, tables),
        ("hydro_parts", hidden, written.parts),
        ("hydro_plant", hidden, written.plant),
        ("hydro_functions", "Option Explicit\n", written.functions),
    ):
        for i, text in enumerate(packed(head, texts), start=1):
            found[f"{name}_{i}"] = text
    for name, text in found.items():
        wrong = complaint(text)
        if wrong:
            raise DeclarationError(f"{name}: {wrong}: more than VBA takes")
    return found
