"""Every formula cell of the template, calculated by another engine with functions written a second time.

formulon calculates a copy of the template in which each HYDRO_ function is a LAMBDA name
(`oracle/lambdas.py`, solved by halving brackets, in worksheet formulas only). Agreement checks the physics,
the engine and the wiring of the sheets at once. The LAMBDAs themselves are held against values computed
outside the project. The functions on the way from site to battery have a LAMBDA; cells that hang on others are
left out here, and only those (they are held by `template/test_chain.py`).
"""

import json
import re
from functools import cache
from io import BytesIO

import openpyxl
import pytest

from hydrofunc import (
    catalogue,  # noqa: F401  (fills the registry)
    template,
)
from hydrofunc.registry import FUNCTIONS
from hydrofunc.template.pages.inputs import CHOSEN
from tests import books
from tests.oracle.formulon_book import FormulonBook, called, with_names
from tests.oracle.lambdas import BODIES, _tables, names
from tests.test_reference import COLUMNS, read_tolerance
from tests.test_reference import ROWS as REFERENCE

SHOWN = {item.name: item.shown for item in template.INPUTS}
PLACE = {name: books.CELLS[name] for name in SHOWN}

# Each of them calculates the whole template twice, which takes seconds: so what touches different parts of the plant
# shares a site. No two errors share one where the first would hide the second.
SITES = {
    "as the template comes": {},
    "every choice left to the proposals": dict.fromkeys(CHOSEN),
    "pipe too rough for its bore, one jet and a half": {"pipe_bore": 30.0, "pipe_roughness": 2.0, "jets": 1.5},
    "source gives less than the nozzle takes": {"bucket_seconds": 60.0},
    "windings of some inductance": {"terminal_inductance": 3.0, "iron_drag": 0.0, "windage": 0.0},
    "V-notch of 60 degrees, head by level, resistor": {
        "static_pressure": None,
        "level_difference": 55.0,
        "bucket_seconds": None,
        "weir_head": 80.0,
        "notch_angle": 60.0,
        "load": "resistor",
        "load_resistance": 6.0,
        "battery_volts": None,
    },
    "two jets from a drilled plate, delta": {
        "jets": 2.0,
        "contraction": 0.62,
        "nozzle": 6.0,
        "connection": "delta",
        "test_connection": "delta",
        "battery_volts": 13.6,
        "terminal_inductance": 0.4,
    },
    "steel pipe, measured in star and used in delta": {
        "pipe_standard": "en 10255",
        "pipe_size": "1 1/4",
        "pipe_class": "medium",
        "pipe_material": "galvanised steel",
        "pipe_condition": "used",
        "entrance": "rounded entrance",
        "globe_valves": 1.0,
        "connection": "delta",
        "battery_volts": 13.6,
    },
    "three pipe sections, thinner downhill, maximum-power controller": {
        "pipe_size": "63",
        "length_2": 150.0,
        "bore_2": 32.6,
        "roughness_2": 0.007,
        "length_3": 40.0,
        "bore_3": 26.0,
        "roughness_3": 0.001,
        "load": "controller",
        "controller_efficiency": 0.93,
        "window_lowest": 22.0,
        "window_highest": 90.0,
        "battery_volts": None,
    },
    "laminar in a thin, smooth tube, does not start": {
        "pipe_bore": 16.0,
        "pipe_roughness": 0.0,
        "pipe_length": 3000.0,
        "bucket_seconds": None,
        "known_flow": 0.02,
        "nozzle": 1.5,
        "water_temperature": 2.0,
        "iron_drag": 50.0,
    },
    "between laminar and turbulent, never reaches the battery": {
        "pipe_bore": 12.0,
        "pipe_length": 2600.0,
        "bucket_seconds": None,
        "known_flow": 0.04,
        "nozzle": 1.6,
        "length_2": 200.0,
        "bore_2": 9.0,
        "roughness_2": 0.003,
        "other_k": 12.0,
        "battery_volts": 400.0,
    },
    "more inductance than the wheel can be held with": {"terminal_inductance": 60.0, "battery_volts": 13.5},
    "southern, high, aluminium, hot cable": {
        "latitude": -12.0,
        "altitude": 3200.0,
        "water_temperature": 0.0,
        "cable_material": "aluminium",
        "cable_temperature": 70.0,
        "gauge_height": -2.0,
        "diode_drop": 0.0,
        "deflection": 180.0,
        "cup_friction": 1.0,
    },
    "readings taken, few nozzles at hand": {
        "reading_static": 6.15,
        "reading_running": 3.0,
        "reading_seconds": 40.0,
        "reading_speed": 900.0,
        "reading_rectifier": 30.0,
        "reading_volts": 26.4,
        "reading_amps": 2.0,
        **{f"nozzle_size_{i}": None for i in range(4, 13)},
    },
    "no head given": {"static_pressure": None},
    "a size its standard does not list, half a pole pair": {"pipe_size": "1 1/4", "pole_pairs": 7.5},
    "a word no table knows": {"pipe_material": "bamboo"},
    "colder than ice": {"water_temperature": -1.0},
    "a word for a number": {"pitch_diameter": "small"},
}


class Both:
    """The template, ready in both engines."""

    def __init__(self):
        data = books.template()
        self.book, self.plan = books.template_book(), books.plan()
        every = called(data)
        self.called = every & {*BODIES, *_tables(), "plant"}
        self.names = names([FUNCTIONS[name] for name in sorted(self.called)])
        self.oracle = FormulonBook(with_names(data, self.names))
        self.beyond = beyond(self.plan, self.book, every - self.called)
        self.run = cache(self._run)

    def _run(self, site):
        """{cell: (ours, the oracle's)} of every formula cell, with the inputs of one of the SITES."""
        inputs = {PLACE[name]: value for name, value in (SHOWN | SITES[site]).items()}
        ours = self.plan.run(inputs, lanes=1)
        return {
            key: (ours.value(key), value) for key, value in self.oracle.run(inputs).items() if key not in self.beyond
        }


def beyond(plan, book, functions):
    """The formula cells that call one of these functions, or hang on a cell that does."""
    call = re.compile(r"HYDRO_(" + "|".join(sorted(functions) or ["none"]) + r")\(", re.I)
    keys = {slot: key for key, slot in plan._outputs.items()}
    slots = set()
    for step in plan._fixed + plan._steps:  # each after those it needs
        calls = step.slot in keys and call.search(book.cells[keys[step.slot]].text)
        if calls or not slots.isdisjoint(step.needs):
            slots.add(step.slot)
    return {keys[slot] for slot in slots if slot in keys}


@pytest.fixture(scope="module")
def both():
    return Both()


def agree(ours, oracle):
    """Numbers to 1e-9 relative; words, and which error, exactly."""
    if isinstance(ours, float) and isinstance(oracle, float):
        # The small absolute part is for differences of nearly equal numbers (a gain, what does not close):
        # they keep the rounding of the watts they are made of.
        return ours == oracle or abs(ours - oracle) <= 1e-9 * max(1.0, abs(oracle))
    return str(ours) == str(oracle)


@pytest.mark.parametrize("site", SITES)
def test_every_formula_cell_agrees_with_the_other_engine(both, site):
    pairs = both.run(site)
    apart = {key: pair for key, pair in pairs.items() if not agree(*pair)}
    assert not apart, f"{len(apart)} of {len(pairs)} cells, first: {dict(list(apart.items())[:8])}"


def test_no_formula_cell_and_no_function_is_left_out(both):
    formulas = {key for key, cell in both.book.cells.items() if type(cell).__name__ == "Formula"}
    assert both.oracle.formulas == formulas and len(formulas - both.beyond) == 11911
    assert len(both.called) == 37
    assert sum(name.startswith("HYDRO_") for name in both.names) == 63  # HYDRO_PLANT asks those that are not called
    whole = {"Site", "Pipe", "Nozzle", "Wheel", "Alternator and battery", "Tried"}
    assert not {sheet for sheet, _ in both.beyond} & whole
    # Two limits hang on the strength of the pipe: where its stress and its rating say stop.
    assert sum(sheet == "Limits" for sheet, _ in both.beyond) == 2


def test_the_sites_reach_what_they_are_named_for(both):
    """So that a change of the template's example cannot quietly empty a case."""

    def values(site, *wanted):
        pairs = both.run(site)
        return [pairs[both.book.resolve(name)][1] for name in wanted]

    flow, available = values("source gives less than the nozzle takes", "flow", "available_flow")
    assert flow == available
    assert 40 < values("windings of some inductance", "overlap")[0] < 80
    laminar, speed = values("laminar in a thin, smooth tube, does not start", "reynolds", "speed")
    assert laminar < 2000 and speed == 0
    between, current = values("between laminar and turbulent, never reaches the battery", "reynolds", "current")
    assert 2000 < between < 2600 and current == 0
    assert values("more inductance than the wheel can be held with", "overlap")[0] > 90
    delivering = (
        "V-notch of 60 degrees, head by level, resistor",
        "two jets from a drilled plate, delta",
        "steel pipe, measured in star and used in delta",
        "three pipe sections, thinner downhill, maximum-power controller",
        "every choice left to the proposals",
    )
    for site in delivering:
        assert values(site, "battery_watts")[0] > 50, site
    proposed = ("nozzle", "pitch_diameter", "phase_volts", "battery_volts", "cable_area")
    assert all(isinstance(value, float) for value in values("every choice left to the proposals", *proposed))


# -- the LAMBDAs against values from outside the project -------------------------------------------
# Computed with scipy 1.17.1 (brentq, minimize_scalar), fluids 1.3.1 (Colebrook) and iapws 1.5.5 (water) from
# the energy equation and the torque balance, not with this project. Three invented plants.
PLANTS = {
    "A": {
        "latitude": 46.5,
        "altitude": 1000,
        "temperature": 8,
        "gross_head": 100,
        "length": 400,
        "bore": 40.9,
        "roughness": 0.15,
        "fittings": 2.6,
        "nozzle": 10,
        "velocity_coefficient": 0.97,
        "pitch_diameter": 120,
        "emf": 0.274,
        "pole_pairs": 6,
        "phase_resistance": 0.12,
        "phase_inductance": 0.15,
        "cable_resistance": 0.10,
        "battery_volts": 54,
        "bearing_drag": 0.15,
    },
    "B": {
        "latitude": -12,
        "altitude": 3200,
        "temperature": 10,
        "gross_head": 62,
        "length": 250,
        "bore": 51.4,
        "roughness": 0.003,
        "fittings": 1.9,
        "nozzle": 16,
        "velocity_coefficient": 0.98,
        "pitch_diameter": 192,
        "emf": 0.2975,
        "pole_pairs": 8,
        "phase_resistance": 0.03,
        "phase_inductance": 0.05,
        "cable_resistance": 0.03,
        "battery_volts": 27.6,
        "bearing_drag": 0.30,
    },
    "C": {
        "latitude": 60,
        "altitude": 150,
        "temperature": 4,
        "gross_head": 150,
        "length": 900,
        "bore": 52.5,
        "roughness": 0.0457,
        "fittings": 3.4,
        "nozzle": 9,
        "velocity_coefficient": 0.975,
        "pitch_diameter": 108,
        "emf": 0.185,
        "pole_pairs": 4,
        "phase_resistance": 0.05,
        "phase_inductance": 0.08,
        "cable_resistance": 0.06,
        "battery_volts": 56,
        "bearing_drag": 0.20,
    },
}
_PIPE = "gross_head,length,bore,roughness"
_REST = "fittings,,velocity_coefficient,,temperature,gravity,,,,,,,"
_WHEEL = "flow,jet_velocity,pitch_diameter,165,0.9,1,0,0,temperature"
FORMULAS = {
    "gravity": "=HYDRO_GRAVITY(latitude,altitude)",
    "flow": f"=HYDRO_OPERATING_FLOW({_PIPE},nozzle,{_REST})",
    "net_head": "=HYDRO_NOZZLE_HEAD(flow,nozzle,,velocity_coefficient,,gravity)",
    "jet_velocity": "=HYDRO_JET_VELOCITY(net_head,velocity_coefficient,gravity)",
    "jet_power": "=HYDRO_JET_POWER(flow,jet_velocity,temperature)",
    "running_pressure": "=HYDRO_RUNNING_PRESSURE(net_head,flow,bore,temperature,gravity)",
    "best_nozzle": f"=HYDRO_BEST_NOZZLE({_PIPE},{_REST})",
    "best_power": f"=HYDRO_BEST_NOZZLE_POWER({_PIPE},{_REST})",
    "wheel_power": f"=HYDRO_WHEEL_POWER(HYDRO_RUNNER_SPEED(jet_velocity,pitch_diameter,0.46),{_WHEEL})",
    "free_speed": f"=HYDRO_RUNAWAY_SPEED({_WHEEL})",
    "phase_volts": "=emf*PI()/(3*SQRT(6))*PI()/30*1000",
    **{
        what: f"=HYDRO_OPERATING_{what.upper()}(flow,jet_velocity,pitch_diameter,phase_volts,pole_pairs,"
        "phase_resistance,battery_volts,phase_inductance,,0.8,cable_resistance,165,0.9,1,bearing_drag,"
        "0,0,,,,temperature)"
        for what in ("speed", "current", "power")
    },
    "ledger": f"=HYDRO_POWER_LEDGER({_PIPE},nozzle,pitch_diameter,phase_volts,pole_pairs,phase_resistance,"
    "battery_volts,fittings,,velocity_coefficient,,temperature,gravity,,165,0.9,1,bearing_drag,0,"
    "phase_inductance,,0.8,cable_resistance,0,,,,,,,,,,)",
}
EXPECTED = {  # relative tolerance, then plants A, B, C
    "gravity": (1e-6, 9.804470, 9.772685, 9.818714),
    "flow": (1e-5, 2.393304, 5.076356, 2.907026),
    "net_head": (1e-5, 50.32899, 33.95849, 111.85471),
    "jet_velocity": (1e-5, 30.47249, 25.24772, 45.69557),
    "jet_power": (1e-5, 1111.012, 1617.474, 3034.982),
    "running_pressure": (1e-5, 4.91717, 3.28775, 10.97340),
    "best_nozzle": (1e-3, 8.4863, 14.3911, 10.1457),
    "best_power": (1e-5, 1197.581, 1665.673, 3142.326),
    "wheel_power": (1e-5, 1031.78, 1502.12, 2818.54),
    "free_speed": (2.5e-5, 4849.8, 2511.4, 8080.8),
    "speed": (1e-5, 2245.97, 1128.33, 3572.34),
    "current": (1e-5, 16.3131, 44.0472, 42.3147),
    "power": (1e-5, 880.91, 1215.70, 2369.62),
    "ledger": (1e-5, 880.91, 1215.70, 2369.62),
}


@pytest.fixture(scope="module")
def plants():
    """{plant: {what: value}}, each plant in a column of its own, calculated by the LAMBDAs alone."""
    book = openpyxl.Workbook()
    sheet = book.active
    labels = [*PLANTS["A"], *FORMULAS]
    for letter, plant in PLANTS.items():
        place = {label: f"{letter}{row}" for row, label in enumerate(labels, start=1)}
        for label, value in plant.items():
            sheet[place[label]] = value
        for label, formula in FORMULAS.items():
            sheet[place[label]] = re.sub(r"\b[a-z][a-z_]*\b", lambda word, place=place: place[word[0]], formula)
    out = BytesIO()
    book.save(out)
    functions = [FUNCTIONS[name] for name in sorted(called(out.getvalue()))]
    values = FormulonBook(with_names(out.getvalue(), names(functions))).run({})
    return {
        letter: {
            label: values[(sheet.title, f"{letter}{row}")]
            for row, label in enumerate(labels, start=1)
            if label in FORMULAS
        }
        for letter in PLANTS
    }


@pytest.mark.parametrize("what", EXPECTED)
def test_the_lambdas_give_what_was_computed_outside_the_project(plants, what):
    tolerance, *expected = EXPECTED[what]
    assert [plants[letter][what] for letter in PLANTS] == pytest.approx(expected, rel=tolerance)


def test_the_lambdas_give_the_reference_values():
    """Each row of tests/reference whose function has a LAMBDA, to the tolerance of the row."""
    book = openpyxl.Workbook()
    sheet, rows = book.active, []
    written = {*BODIES, *_tables()}
    for where, cells in REFERENCE:
        row = dict(zip(COLUMNS, cells))
        arguments = json.loads(row["arguments"])
        if row["function"] not in written or any(isinstance(value, list) for value in arguments.values()):
            continue
        order = [argument.name for argument in FUNCTIONS[row["function"]].arguments]
        texts = [json.dumps(arguments[name]) if name in arguments else "" for name in order]
        rows.append((where, row))
        sheet.cell(len(rows), 1, f"=HYDRO_{row['function'].upper()}({','.join(texts)})")
    out = BytesIO()
    book.save(out)
    functions = [FUNCTIONS[name] for name in sorted(called(out.getvalue()))]
    assert (len(rows), len(functions)) == (404, 63)
    values = FormulonBook(with_names(out.getvalue(), names(functions))).run({})
    for number, (where, row) in enumerate(rows, start=1):
        kind, size = read_tolerance(row["tolerance"])
        near = {"rel": size, "abs": 0} if kind == "rel" else {"rel": 0, "abs": size}
        value = values[(sheet.title, f"A{number}")]
        assert value == pytest.approx(float(row["expected"]), **near), f"{where}: {row['function']}"
