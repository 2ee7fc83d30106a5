"""A real Calc in a profile of its own, driven by another Python over a pipe."""

import json
import math
import os
import shutil
import subprocess
from contextlib import suppress
from pathlib import Path

import openpyxl
from openpyxl.utils.datetime import to_excel

from hydrofunc.hosts.calc.install import find_program

ERRORS = {"#NUM!": 503, "#VALUE!": 519, "#N/A": 32767, "#DIV/0!": 532, "#REF!": 524, "#NAME?": 525}
DRIVER = Path(__file__).with_name("calc_driver.py")


def python_with_uno():
    """The distribution's Python that can import uno."""
    for candidate in ("/usr/bin/python3", shutil.which("python3")):
        if candidate and subprocess.run([candidate, "-c", "import uno"], capture_output=True).returncode == 0:
            return candidate
    raise RuntimeError("no Python with uno found: install python3-uno")


def options_for(folder):
    """A private profile, and a private place for what root installs for all."""
    return [
        f"-env:UserInstallation={(folder / 'profile').as_uri()}",
        f"-env:UNO_SHARED_PACKAGES_CACHE={(folder / 'shared').as_uri()}",
    ]


class Calc:
    """Calls the driver's methods by their names."""

    def __init__(self, options, display=None):
        """Without a window, unless the X `display` to show it on is given."""
        environment = os.environ | {"PATH": "/usr/bin:/bin"}
        if display:
            environment |= {"DISPLAY": display, "SAL_USE_VCLPLUGIN": "gen"}
        else:
            options = ["--headless", *options]
        self.process = subprocess.Popen(
            [python_with_uno(), str(DRIVER), str(find_program() / "soffice"), *options],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env=environment,
        )

    def __getattr__(self, name):
        def call(*arguments):
            self.process.stdin.write(json.dumps([name, arguments]) + "\n")
            self.process.stdin.flush()
            line = self.process.stdout.readline()
            assert line, "the driver of Calc has ended"
            reply = json.loads(line)
            assert "error" not in reply, reply["error"]
            return reply["result"]

        return call

    def workers(self):
        """Process ids of the workers that this Calc has started."""
        return [
            pid for pid in self.below() if b"hydrofunc.hosts.calc.worker" in Path(f"/proc/{pid}/cmdline").read_bytes()
        ]

    def below(self):
        return list(below(self.pid()))


def below(pid):
    """Process ids of all children, also those that other threads than the first have started; none of one that ends."""
    with suppress(FileNotFoundError, ProcessLookupError):
        for task in Path(f"/proc/{pid}/task").iterdir():
            for child in (task / "children").read_text().split():
                yield int(child)
                yield from below(int(child))


def compare(calc, path):
    """Every formula cell against the stored value; the number of cells.

    To 1e-12; to 1e-9 on Doubt, where nearly equal watts are taken from one another, which keeps the rounding of both.
    """
    stored = openpyxl.load_workbook(path, data_only=True)
    places = [(sheet, address) for sheet, cells in calc.formulas().items() for address in cells]
    got = calc.read([f"{sheet}!{address}" for sheet, address in places])
    wrong = []
    for (sheet, address), (number, shown, error, formula) in zip(places, got):
        cell = stored[sheet][address]
        value = (
            to_excel(cell.value) if cell.is_date and cell.value is not None else cell.value
        )  # openpyxl makes dates of numbers
        near = 1e-9 if sheet == "Doubt" else 1e-12
        if isinstance(value, (bool, int, float)):
            fine = not error and math.isclose(number, value, rel_tol=near, abs_tol=1e-12)
        elif value in ERRORS:
            fine = error == ERRORS[value]
        else:
            fine = not error and shown == (value or "")
        if not fine:
            wrong.append(f"{sheet}!{address}: Calc {shown} ({number!r}), headless {value!r}: {formula}")
    assert not wrong, "\n".join(wrong)
    return len(places)
