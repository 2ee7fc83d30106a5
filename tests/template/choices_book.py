"""The sheets Choices and Tried in a small workbook of their own: the block above them, what may be typed, the limits.

Every input has a name, so that a test says `run({"gross_head": 40, "typed_nozzle": 7})`.
"""

import io
from functools import cache

import numpy as np
from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName

import hydrofunc as hf
from hydrofunc.engine.compile import compile_book
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS
from hydrofunc.template.chain import WIRED
from hydrofunc.template.model import LETTERS, Formula, Result, Table, place
from hydrofunc.template.pages import choices, tried
from hydrofunc.workbook.reading import read_book
from tests.template.parts.choices import AREAS, AT_HAND, LIMITS

# A site above the choices, by the names of the functions. The machine's drags are those of a small one.
BLOCK = {
    "gross_head": 50.0,
    "length": 400.0,
    "bore": 35.2,
    "roughness": 0.03,
    "fittings": 6.0,
    "temperature": 8.0,
    "gravity": 9.81,
    "available_flow": 1.2,
    "jets": 1.0,
    "velocity_coefficient": 0.96,
    "contraction": 1.0,
    "deflection": 163.0,
    "cup_friction": 0.87,
    "alignment": 0.85,
    "bearing_drag": 0.03,
    "windage": 0.8,
    "pole_pairs": 7.0,
    "diode_drop": 0.7,
    "iron_drag": 0.04,
    "load": "battery",
    "controller_efficiency": 0.94,
}
REST = {
    "cable_length": 30.0,
    "cable_material": "copper",
    "cable_temperature": 20.0,
    "cable_laid": "conduit",
    "cable_around": 30.0,
    "battery_nominal": None,
    "charging_12": None,
    "charging_24": None,
    "charging_48": None,
    "block_charging": 13.6,
    "cable_drop": 5.0,
    "charging_rise": 1.1,
    **{f"cable_size_{i}": float(area) for i, area in enumerate(AREAS, start=1)},
    "fuse_margin": 1.25,
    "dump_margin": 1.25,
    "test_connection": "star",
}
BENCH = ("test_volts", "test_speed", "terminal_resistance", "terminal_inductance")
TYPED = (
    "nozzle",
    "pitch_diameter",
    "phase_volts",
    "phase_resistance",
    "phase_inductance",
    "connection",
    "battery_volts",
    "load_resistance",
    "cable_area",
    "cable_resistance",
    "windage",
)
_WORKED_UP = {
    "widest_nozzle": "=bore_used/SQRT(jets)",
    "dump_volts_used": "=charging_rise*bank_used",
    **{f"nozzle_size_{i}": f'=IF(typed_size_{i}="",drill_size_{i},typed_size_{i})' for i in range(1, AT_HAND + 1)},
}


def _name(book, name, sheet, first, last=""):
    area = f"'{sheet}'!{_fixed(first)}" + (f":{_fixed(last)}" if last else "")
    book.defined_names[name] = DefinedName(name, attr_text=area)


def _fixed(cell):
    letters = cell.rstrip("0123456789")
    return f"${letters}${cell[len(letters) :]}"


def _written(book, sheet, table):
    """Writes a table's cells; the cells that have a name, by it."""
    named = {}
    for number, row in enumerate(table.rows, start=table.first):
        for letter, cell in zip(LETTERS, row):
            sheet[f"{letter}{number}"] = cell.text if isinstance(cell, Formula) else cell or None
            if isinstance(cell, Formula) and cell.name:
                _name(book, cell.name, sheet.title, f"{letter}{number}")
                named[cell.name] = (sheet.title, f"{letter}{number}")
    return named


@cache
def _compiled():
    """(plan, cells of inputs by name, cells of outputs by name, tables by key)."""
    book = Workbook()
    plant = book.active
    plant.title = "Plant"
    inputs, outputs, tables = {}, {}, {}
    for row, (name, value) in enumerate(BLOCK.items(), start=1):
        plant.append((name, value))
        _name(book, WIRED.get(name, name), "Plant", f"B{row}")
        inputs[name] = ("Plant", f"B{row}")
    _name(book, "plant_above", "Plant", "A1", f"B{len(BLOCK)}")
    rest = book.create_sheet("Rest")
    typed = [f"typed_{name}" for name in TYPED] + [f"typed_size_{i}" for i in range(1, AT_HAND + 1)]
    cells = LIMITS | REST | dict.fromkeys(BENCH) | dict.fromkeys(typed) | _WORKED_UP
    for row, (name, value) in enumerate(cells.items(), start=1):
        rest.append((name, value))
        _name(book, name, "Rest", f"B{row}")
        if name not in _WORKED_UP:
            inputs[name] = ("Rest", f"B{row}")
    for page in (choices.PAGE, tried.PAGE):
        sheet = book.create_sheet(page.sheet)
        for _, item in place(page):
            if isinstance(item, Result):
                sheet[item.cell] = item.formula
                _name(book, item.name, page.sheet, item.cell)
                outputs[item.name] = (page.sheet, item.cell)
            elif isinstance(item, Table):
                outputs |= _written(book, sheet, item)
                for name, letter in item.names.items():
                    _name(book, name, page.sheet, f"{letter}{item.first}", f"{letter}{item.last}")
                tables[item.key] = [
                    [
                        (page.sheet, f"{letter}{number}")
                        for letter, cell in zip(LETTERS, row)
                        if isinstance(cell, Formula)
                    ]
                    for number, row in enumerate(item.rows, start=item.first)
                ]
    stored = io.BytesIO()
    book.save(stored)
    plan = compile_book(read_book(stored.getvalue()), SHEET_FUNCTIONS, overrides=inputs.values())
    return plan, inputs, outputs, tables


def run(*cases):
    """The sheet for all cases at once, a lane for each: (values by name, rows of formula values by table) of each.

    A case is {name of an input: value}; what it leaves out is as in `BLOCK` and `REST`.
    """
    plan, inputs, outputs, tables = _compiled()
    usual = BLOCK | LIMITS | REST
    given = {place: [(usual | case).get(name) for case in cases] for name, place in inputs.items()}
    result = plan.run(given, lanes=len(cases))
    columns = {key: result.column(key).python() for key in plan.outputs}
    return [
        (
            {name: columns[key][lane] for name, key in outputs.items()},
            {key: [[columns[cell][lane] for cell in row] for row in rows] for key, rows in tables.items()},
        )
        for lane in range(len(cases))
    ]


def twin_of(case):
    """What the plain twin takes for the same case: (the block, the rest)."""
    whole = BLOCK | REST | case
    plant = {name: whole[name] for name in BLOCK if whole[name] is not None}
    rest = {name: value for name, value in whole.items() if name not in BLOCK}
    return plant, rest | {"widest_nozzle": plant["bore"] / plant.get("jets", 1) ** 0.5}


def random_sites(seed, count):
    """Sites of 8 to 150 m of head: pipes, sources, wheels, drags, copper and cables such as small plants have.

    Drags and copper are of a machine of the plant's size. The ranges are our own judgement, no published source.
    """
    chance = np.random.default_rng(seed)

    def between(low, high):
        return float(np.exp(chance.uniform(np.log(low), np.log(high))))

    def one_of(*values):
        value = chance.choice(np.array(values, dtype=object))
        return value if isinstance(value, str) else float(value)

    for _ in range(count):
        head = between(8, 150)
        site = BLOCK | {
            "gross_head": head,
            "length": head * between(2.5, 20),
            "bore": one_of(17, 21, 28, 35, 44, 55, 66, 79),
            "roughness": between(0.003, 0.3),
            "fittings": float(chance.uniform(1, 10)),
            "temperature": float(chance.uniform(4, 15)),
            "jets": one_of(1, 1, 1, 2),
            "velocity_coefficient": float(chance.uniform(0.9, 0.98)),
            "contraction": one_of(1, 1, 0.65),
            "cup_friction": float(chance.uniform(0.8, 0.95)),
            "alignment": float(chance.uniform(0.75, 0.95)),
            "pole_pairs": one_of(2, 4, 7, 10),
            "diode_drop": float(chance.uniform(0.4, 0.9)),
            "available_flow": None,
        }
        best = {a.name: site[a.name] for a in hf.best_nozzle_flow.arguments if site.get(a.name) is not None}
        if chance.random() < 0.5:
            site["available_flow"] = hf.best_nozzle_flow(**best) * float(chance.uniform(0.2, 1.2))
            best["available_flow"] = site["available_flow"]
        size = min(1.0, hf.best_nozzle_power(**best) / 100)
        yield site | {
            "bearing_drag": between(0.01, 0.1) * size,
            "iron_drag": between(0.01, 0.1) * size,
            "windage": between(0.2, 3) * size,
            "copper_share": float(chance.uniform(3, 25)),
            "winding_ratio": float(chance.uniform(0.3, 1.5)),
            "cable_length": between(5, 150),
            "cable_material": one_of("copper", "aluminium"),
        }
