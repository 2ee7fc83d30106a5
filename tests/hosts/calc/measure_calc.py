"""How fast Calc is with the add-in. Prints seconds and ratios, all from one run:

python -m tests.hosts.calc.measure_calc
"""

import io
import json
import os
import sys
import tempfile
import zipfile
from collections import defaultdict
from pathlib import Path
from statistics import median

import openpyxl
import pytest

from hydrofunc.hosts.calc import build as building
from hydrofunc.hosts.calc import install as host
from hydrofunc.hosts.calc.book import book_for_old_calc
from hydrofunc.hosts.calc.build import build
from tests.hosts.calc.calc_session import Calc, options_for

CELLS = 10_000
WORKBOOKS = Path(__file__).parents[3] / "workbooks"
BOOK = WORKBOOKS / "template.xlsx"
# The template with everything filled in: an invented site with its test day and log.
FILLED = WORKBOOKS / "invented-project" / "Invented-project-Fern-Hollow-B-one-wide-pipe-as-tested.xlsx"
CHANGES = 8

# The floor: functions of the same names and arguments that do nothing. What they cost is Calc and its Python bridge.
EMPTY = """

def _nothing(self, *arguments):
    return ((1.0,),)


for _name in [*SETTINGS["functions"], "EXPLAIN", "VERSION"]:
    setattr(g_ImplementationHelper.impls[SETTINGS["service"]].ctor, _name, _nothing)
"""


# VERSION tells how often and how long it was in the component since it was last asked: seconds of the calling thread.
COUNTED = """

_counts = {}


def _counted(what, function):
    def wrapped(*arguments):
        start = time.thread_time()
        try:
            return function(*arguments)
        finally:
            number, seconds = _counts.get(what, (0, 0.0))
            _counts[what] = number + 1, seconds + time.thread_time() - start

    return wrapped


def _told(self):
    told = json.dumps(_counts)
    _counts.clear()
    return ((told,),)


Caller.call = _counted("calls", Caller.call)
Caller._asked = _counted("requests", Caller._asked)
Blanks.is_blank = _counted("reading", Blanks.is_blank)
g_ImplementationHelper.impls[SETTINGS["service"]].ctor.VERSION = _told
"""


def extension(more):
    """The extension with more code in its component, as bytes."""
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(build())) as archive, zipfile.ZipFile(stream, "w") as target:
        for name in archive.namelist():
            end = more.encode() if name == "component.py" else b""
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
    """Hard recalculation of the template after a new nozzle, again unchanged, and with constants for our calls."""
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


def processor_seconds(pid):
    """Of all threads of a process, also those that have ended."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def one_nozzle(folder, patch):
    """Processor time of a changed nozzle in the filled template, of Calc and of the worker; what it was spent on."""
    notes, real = folder / "notes", building.settings
    command = [sys.executable, "-P", str(Path(__file__).with_name("counted_worker.py")), str(notes)]
    patch.setattr(building, "settings", lambda interpreter: real(interpreter) | {"command": command})
    patch.setattr(host, "build", lambda: extension(COUNTED))
    options = options_for(folder / "counted")
    host.install(options)
    calc = Calc(options)
    copy = folder / "filled.xlsx"
    book_for_old_calc(FILLED, copy, force=True)
    calc.open(copy.as_uri())
    calc.calculate_all()
    programs = {pid: Path(f"/proc/{pid}/cmdline").read_bytes() for pid in (calc.pid(), *calc.below())}
    soffice = next(pid for pid, command in programs.items() if b"soffice.bin" in command)
    worker = next(pid for pid, command in programs.items() if b"counted_worker" in command)
    before = calc.read(["nozzle"])[0][0]
    for share in (0.3, 0.6):  # what changes, and in which order, shows in the first two
        calc.change("yours_nozzle", before * (1 + share / 1000))
    calc.call("HYDRO_VERSION", [])
    known = len(notes.read_text().splitlines())
    start = processor_seconds(soffice), processor_seconds(worker)
    seconds = [calc.change("yours_nozzle", before * (1 + share / 1000)) for share in range(1, CHANGES + 1)]
    of_calc, of_worker = processor_seconds(soffice) - start[0], processor_seconds(worker) - start[1]
    counts = json.loads(calc.call("HYDRO_VERSION", [])[0][0])
    calc.quit()
    print(f"filled template, a changed nozzle, processor time (aim 0.15 s): {(of_calc + of_worker) / CHANGES:.2f} s,")
    print(f"  Calc {of_calc / CHANGES:.2f}, worker {of_worker / CHANGES:.2f}; by the clock {median(seconds):.2f} s")
    each = {what: (number / CHANGES, took / CHANGES) for what, (number, took) in counts.items()}
    reading = each.get("reading", (0, 0.0))[1]
    asking, waiting = each["calls"][1], each["requests"][1]
    print(f"  in Calc's thread: calls {(asking - waiting) * 1e3:.0f} ms, requests {waiting * 1e3:.0f} ms", end="; ")
    print(f"{each['calls'][0]:.0f} calls, {each['requests'][0]:.0f} requests to the worker;", end=" ")
    print(f"reading formulas {reading * 1e3:.0f} ms, {reading / median(seconds):.1%} of the time by the clock")
    by_function = defaultdict(lambda: [0, 0, 0.0])
    for line in notes.read_text().splitlines()[known:]:
        name, calls, took = json.loads(line)
        for i, more in enumerate((1, calls, took)):
            by_function[name][i] += more
    print("  in the worker:     requests  calls answered      ms")
    for name, numbers in sorted(by_function.items(), key=lambda item: -item[1][2])[:10]:
        requests, calls, took = (number / CHANGES for number in numbers)
        print(f"  {name:20} {requests:6.0f} {calls:15.0f} {took * 1e3:7.1f}")


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
        with pytest.MonkeyPatch.context() as counted:
            one_nozzle(folder, counted)
        patch.setattr(host, "build", lambda: extension(EMPTY))
        options = options_for(folder / "empty")
        host.install(options)
        calc = Calc(options)
        _, floor, floor_constants = template(calc, folder)[1:]
        ratio = floor / floor_constants
        print(f"the floor, functions that do nothing in place of ours: {floor * 1e3:.0f} ms, ratio {ratio:.1f}")
        calc.quit()


if __name__ == "__main__":
    main()
