"""Random plants in blocks of cells, and what Python answers to a question about one."""

import math

import numpy as np

from hydrofunc.catalogue import plant as whole
from hydrofunc.registry import ERROR_TEXTS, FUNCTIONS, Cells, from_cells

SITE = whole._SITE_A | {"connection": "star", "load": "battery", "jets": 1}
PER_ROW = 50  # rows of cells that a block takes


def random_plant(rng):
    """Rows of a plant near the example's: names and values, some left out, some empty, in any order."""
    rows = {}
    for argument in whole.INPUTS:
        base = SITE.get(argument.name, None if argument.required else argument.default)
        if argument.is_text:
            value = rng.choice(argument.choices)
        elif base in (None, 0, math.inf):
            value = base
        else:
            value = base * rng.uniform(0.8, 1.25)
        if argument.name == "jets":
            value = rng.choice((1, 1, 2))
        if argument.name == "pole_pairs":
            value = rng.choice((2, 4, 6, 8))
        rows[argument.name] = value if isinstance(value, str) or value in (None, math.inf) else float(f"{value:.6g}")
    section = rng.random() < 0.4
    rows |= {
        "available_flow": rng.choice((None, 1.4, 20.0)),
        "load_resistance": 6.5,
        "windage": rng.choice((0.0, 3.0)),
        "length_2": 150.0 if section else 0.0,
        "bore_2": 36.5 if section else None,
        "roughness_2": 0.1 if section else None,
        "length_3": None,
    }
    if rng.random() < 0.5:
        rows["cable_resistance"] = None
        rows |= {"cable_length": 60.0, "cable_area": 16.0, "cable_material": "copper", "cable_temperature": 30.0}
        del rows["cable_resistance"]
    for name in list(rows):
        argument = whole.argument(name)
        if rows[name] == math.inf or (not argument.required and rng.random() < 0.2):
            del rows[name]
    return rows


def cells_of(rows, column="A", first=1):
    """A block as cells: address to value."""
    other = chr(ord(column) + 1)
    cells = {}
    for row, (name, value) in enumerate(rows.items(), start=first):
        cells[f"{column}{row}"], cells[f"{other}{row}"] = name, value
    return cells, f"Cells!{column}{first}:{other}{first + len(rows) - 1}"


def plant_answer(rows, quantity, names=None, values=None):
    """What Python says: a number, or the text of an error."""
    block = [item for pair in rows.items() for item in pair]
    arguments = [Cells(block), Cells(quantity)]
    if names is not None:
        arguments += [Cells(list(names)), Cells(list(values))]
    return _told(*from_cells(FUNCTIONS["plant"], arguments))


def list_answer(function, rows, lists, changed):
    """What Python says of a plant and lists: the nozzle at hand, or an answer about the seasons."""
    block = Cells([item for pair in rows.items() for item in pair])
    arguments = [block, *(Cells(list(one) if isinstance(one, list) else one) for one in lists)]
    if changed:
        arguments += [Cells(list(changed)), Cells(list(changed.values()))]
    return _told(*from_cells(FUNCTIONS[function], arguments))


def _told(value, code):
    return ERROR_TEXTS[int(np.max(code))] if code is not None and np.any(code) else float(value)


PIPE = {
    "gross_head": 100.0,
    "flow": 2.393304,
    "length": 250.0,
    "bore": 52.5,
    "roughness": 0.15,
    "wave_speed": 1340.0,
    "fittings": 2.6,
    "nozzle": 8.0,
    "valve_time": 3.0,
}


def random_pipe(rng):
    """Rows of a pipe of one, two or three sections, with its jet and its valve."""
    rows = {name: float(f"{value * rng.uniform(0.6, 1.3):.5g}") for name, value in PIPE.items()}
    for end in ("_2", "_3")[: rng.choice((0, 1, 2))]:
        rows |= {f"length{end}": rng.choice((3.0, 60.0, 150.0)), f"bore{end}": rows["bore"] * rng.uniform(0.7, 1.0)}
        rows |= {f"roughness{end}": 0.1, f"wave_speed{end}": rng.choice((340.0, 1100.0))}
    rows |= {"jets": rng.choice((1.0, 1.0, 2.0)), "contraction": 0.95, "note": "of no use"}
    if rng.random() < 0.2:
        rows["valve_time"] = rng.choice((0.0, 0.3, 40.0))
    return rows


def pipe_answer(rows, quantity, chainage=None, changed=()):
    """What Python says of the surge in a pipe."""
    arguments = [Cells([item for pair in rows.items() for item in pair]), Cells(quantity), Cells(chainage)]
    if changed:
        arguments += [Cells(list(changed)), Cells(list(changed.values()))]
    return _told(*from_cells(FUNCTIONS["surge_run"], arguments))
