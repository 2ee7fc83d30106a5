"""How fast Calc is with the add-in. Prints seconds and ratios, all from one run:

python -m tests.hosts.calc.measure_calc
"""

import io
import tempfile
import zipfile
from pathlib import Path
from statistics import median

import openpyxl
import pytest

from hydrofunc.hosts.calc import install as host
from hydrofunc.hosts.calc.book import book_for_old_calc
from hydrofunc.hosts.calc.build import build
from tests.hosts.calc.calc_session import Calc, options_for

CELLS = 10_000
BOOK = Path(__file__).parents[3] / "workbooks" / "template.xlsx"

# The floor: functions of the same names and arguments that do nothing. What they cost is Calc and its Python bridge.
EMPTY = """

def _nothing(self, *arguments):
    return ((1.0,),)


for _name in [*SETTINGS["functions"], "EXPLAIN", "VERSION"]:
    setattr(g_ImplementationHelper.impls[SETTINGS["service"]].ctor, _name, _nothing)
"""


def empty_functions():
    """The extension with bodies that do nothing, as bytes."""
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(build())) as archive, zipfile.ZipFile(stream, "w") as target:
        for name in archive.namelist():
            end = EMPTY.encode() if name == "component.py" else b""
            target.writestr(name, archive.read(name) + end)
    return stream.getvalue()


def many_cells(calc):
    """The same 10,000 flows, cell by cell and as one range; new values each time, then the same again."""
    column = f"B1:B{CELLS}"
    calc.open()
    calc.set([("D1", 1.0), (column, "{=ROW(B1:B" + str(CELLS) + ")/10000*$D$1}")])
    calc.column(f"A1:A{CELLS}", [f"=HYDROFUNC.FRICTION_HEAD(B{i};100;40;0.01)" for i in range(1, CELLS + 1)])
    new, again = [], []
    for factor in (1.1, 1.2, 1.3):
        new.append(calc.set_and_calculate([("D1", factor)]))
        again.append(calc.calculate_all())
    calc.set([(f"A1:A{CELLS}", None), (f"A1:A{CELLS}", "{=HYDROFUNC.FRICTION_HEAD(" + column + ";100;40;0.01)}")])
    whole = [calc.set_and_calculate([("D1", factor)]) for factor in (1.4, 1.5, 1.6)]
    return median(new), median(again), median(whole)


def template(calc, folder):
    """Hard recalculation of the template: after a new nozzle, again unchanged, with constants instead of our calls."""
    copy = folder / "template.xlsx"
    book_for_old_calc(BOOK, copy, force=True)
    calc.open(copy.as_uri())
    nozzle = openpyxl.load_workbook(BOOK).defined_names["nozzle"].attr_text.replace("'", "").replace("$", "")
    before = calc.read([nozzle])[0][0]
    new = [calc.set_and_calculate([(nozzle, before * (1 + share / 1000))]) for share in range(1, 6)]
    again = [calc.calculate_all() for _ in range(10)]
    calls = calc.freeze()
    constants = [calc.calculate_all() for _ in range(10)]
    return calls, median(new), median(again), median(constants)


def main():
    with tempfile.TemporaryDirectory() as name, pytest.MonkeyPatch.context() as patch:
        folder = Path(name)
        options = options_for(folder / "ours")
        host.install(options)
        calc = Calc(options)
        new, again, whole = many_cells(calc)
        print(f"{CELLS} cells of HYDRO_FRICTION_HEAD, new values: {new:.2f} s, {CELLS / new:.0f} calls a second")
        print(f"the same values again, from memory: {again:.2f} s, {CELLS / again:.0f} calls a second")
        print(f"one range call of {CELLS} cells: {whole:.3f} s; cell by cell takes {new / whole:.0f} times as long")
        calls, new, again, constants = template(calc, folder)
        print(
            f"template, {calls} cells with our calls, hard recalculation: new nozzle {new * 1e3:.0f} ms, "
            f"unchanged {again * 1e3:.0f} ms, constants instead {constants * 1e3:.1f} ms"
        )
        print(f"ratio to constants (aim <= 3): unchanged {again / constants:.1f}, new nozzle {new / constants:.1f}")
        calc.quit()
        patch.setattr(host, "build", empty_functions)
        options = options_for(folder / "empty")
        host.install(options)
        calc = Calc(options)
        _, floor, floor_constants = template(calc, folder)[1:]
        ratio = floor / floor_constants
        print(f"the floor, functions that do nothing in place of ours: {floor * 1e3:.0f} ms, ratio {ratio:.1f}")
        calc.quit()


if __name__ == "__main__":
    main()
