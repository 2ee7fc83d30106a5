"""What is wrong between a spreadsheet program and hydrofunc on this computer, and what helps.

`Machine.this()` gathers what there is, `check` judges it, `check_book` judges a workbook. Nothing is
started but ``soffice --version``, and nothing is changed.
"""

import csv
import json
import os
import re
import struct
import subprocess
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .. import __version__
from ..errors import FormulaRefused, HostError
from ..registry import FUNCTIONS
from .calc.build import SERVICE
from .calc.install import find_program, missing_python
from .excel import CODE_PAGE

if TYPE_CHECKING:
    from .repair import StrangeCall

OK, NOTE, PROBLEM = "ok", "note", "problem"
OLDEST_PYTHON = (3, 11)
NEEDED = ("numpy", "openpyxl", "click", "defusedxml")
MOST_PLACES = 10  # of one kind of trouble in a workbook


@dataclass(frozen=True)
class Finding:
    """One thing looked at: how it is, and what to do about it."""

    level: str
    about: str  # Python, Calc, Excel or the workbook
    text: str
    remedy: str = ""

    @property
    def is_problem(self) -> bool:
        """Must something be done?"""
        return self.level == PROBLEM

    def __str__(self) -> str:
        line = f"{self.level:7}  {self.about}: {self.text}"
        return f"{line}\n         -> {self.remedy}" if self.remedy else line


@dataclass(frozen=True)
class Machine:
    """What the doctor looks at. Paths need not exist; a value that is not known is None."""

    system: str  # as sys.platform: linux, darwin, win32
    python: tuple[int, ...]
    executable: str
    packages: dict[str, str | None]  # name: version, or None where it is missing
    office: Path | None  # the program folder of LibreOffice, which holds soffice and unopkg
    office_version: str | None
    office_runs: bool | None
    profile: Path  # LibreOffice's user installation, such as ~/.config/libreoffice/4
    shared: tuple[Path, ...] = ()  # folders of add-ins installed for all users
    home: Path = field(default_factory=Path.home)
    bits: int = 64  # of this Python
    excel_bits: int | None = None
    excel_start: Path | None = None  # Excel's XLSTART folder
    store_excel: bool = False  # Excel comes from the Microsoft Store

    @classmethod
    def this(cls) -> "Machine":
        """This computer."""
        home, system = Path.home(), sys.platform
        office = _office_folder()
        roaming = Path(os.environ.get("APPDATA", home / "AppData" / "Roaming"))
        profile = {
            "win32": roaming / "LibreOffice" / "4",
            "darwin": home / "Library" / "Application Support" / "LibreOffice" / "4",
        }.get(system, Path(os.environ.get("XDG_CONFIG_HOME", home / ".config")) / "libreoffice" / "4")
        store = Path(os.environ.get("PROGRAMFILES", r"C:\Program Files")) / "WindowsApps"
        return cls(
            system=system,
            python=sys.version_info[:3],
            executable=sys.executable,
            packages={name: _version_of(name) for name in ("hydrofunc", *NEEDED, "xlwings", "pywin32")},
            office=office,
            office_version=_office_version(office),
            office_runs=_office_runs(system),
            profile=profile,
            shared=(office.parent / "share",) if office else (),
            home=home,
            excel_start=roaming / "Microsoft" / "Excel" / "XLSTART" if system == "win32" else None,
            bits=struct.calcsize("P") * 8,
            excel_bits=_excel_bits() if system == "win32" else None,
            store_excel=system == "win32" and _any(store, "Microsoft.Office.Desktop*"),
        )


def _excel_bits() -> int | None:
    """32 or 64, as the registry says of the installed Excel; None where it does not.

    App Paths holds the path of excel.exe (Microsoft, "Application Registration"); the file says for which
    machine it is made.
    """
    if sys.platform != "win32":  # for a type checker too, which knows winreg on Windows only
        return None
    import winreg

    key = r"SOFTWARE\Microsoft\Windows\CurrentVersion\App Paths\excel.exe"
    try:
        path = winreg.QueryValue(winreg.HKEY_LOCAL_MACHINE, key)
        return program_bits(Path(path.strip('"')))
    except OSError:
        return None


def program_bits(path: Path) -> int | None:
    """32 or 64 for a Windows program; None for anything else.

    Microsoft, "PE Format": the offset of the header stands at 0x3c; after "PE" and two zeros comes the machine type,
    0x14c for 32 bits, 0x8664 and 0xaa64 for 64.
    """
    with path.open("rb") as file:
        start = file.read(0x40)
        if start[:2] != b"MZ" or len(start) < 0x40:
            return None
        file.seek(struct.unpack_from("<I", start, 0x3C)[0])
        header = file.read(6)
    if len(header) < 6 or header[:4] != b"PE\0\0":
        return None
    return {0x14C: 32, 0x8664: 64, 0xAA64: 64}.get(struct.unpack_from("<H", header, 4)[0])


def _any(folder: Path, pattern: str) -> bool:
    try:
        return any(folder.glob(pattern))
    except OSError:
        return False


def _version_of(name: str) -> str | None:
    try:
        return metadata.version(name)
    except metadata.PackageNotFoundError:
        return None


def _office_folder() -> Path | None:
    try:
        return find_program()
    except HostError:
        return None


def _office_version(office: Path | None) -> str | None:
    if office is None:
        return None
    try:
        run = subprocess.run([office / "soffice", "--version"], capture_output=True, text=True, timeout=20)
    except (OSError, subprocess.SubprocessError):
        return None
    version = re.search(r"(\d+\.\d+[\d.]*)", run.stdout)
    return version[1] if version else None


def _office_runs(system: str) -> bool | None:
    """Whether LibreOffice is running now; None where that cannot be seen."""
    if system != "linux":
        return None
    for process in Path("/proc").glob("[0-9]*"):
        try:
            if b"soffice.bin" in (process / "cmdline").read_bytes():
                return True
        except OSError:
            continue
    return False


# -- the computer --------------------------------------------------------------------------------------


def check(machine: Machine) -> list[Finding]:
    """All findings about a machine, in the order in which a person would mend them."""
    return [*_python(machine), *_calc(machine), *_excel(machine)]


def _python(machine: Machine) -> Iterator[Finding]:
    version = ".".join(map(str, machine.python))
    if machine.python[:2] < OLDEST_PYTHON:
        yield Finding(
            PROBLEM, "Python", f"{version} at {machine.executable} is too old", "Install Python 3.11 or newer."
        )
    else:
        yield Finding(OK, "Python", f"{version}, {machine.bits} bits, at {machine.executable}")
    missing = [name for name in NEEDED if machine.packages.get(name) is None]
    if missing:
        yield Finding(
            PROBLEM, "Python", f"packages are missing: {', '.join(missing)}", "Install hydrofunc again with pip."
        )
    installed = machine.packages.get("hydrofunc")
    if installed is None:
        yield Finding(
            PROBLEM, "Python", "hydrofunc runs from a folder and is not installed", "In that folder: pip install ."
        )
    elif installed != __version__:
        yield Finding(
            PROBLEM,
            "Python",
            f"hydrofunc {__version__} runs, but {installed} is installed",
            "Run pip install again in the folder of hydrofunc, and start from there.",
        )
    else:
        yield Finding(OK, "Python", f"hydrofunc {__version__}")


def _calc(machine: Machine) -> Iterator[Finding]:
    if machine.office is None:
        yield Finding(NOTE, "Calc", "LibreOffice was not found", "To use Calc, install LibreOffice; else ignore this.")
        return
    yield Finding(OK, "Calc", f"LibreOffice {machine.office_version or '(version unknown)'} in {machine.office}")
    if machine.office_version and _numbers(machine.office_version) < (25, 2):
        yield Finding(
            NOTE,
            "Calc",
            f"LibreOffice {machine.office_version} may not know our functions in .xlsx files (7.4 does not, 25.2 does)",
            "hydrofunc calc-addin book BOOK.xlsx --out OUT.ods makes a copy it knows.",
        )
    if not any((machine.office / name).exists() for name in ("unopkg", "unopkg.exe", "unopkg.bin", "unopkg.com")):
        yield Finding(PROBLEM, "Calc", "unopkg, which installs add-ins, is missing", "Install LibreOffice completely.")
    complaint = missing_python(machine.office)
    if complaint:
        yield Finding(PROBLEM, "Calc", "LibreOffice has no Python (UNO) support, so the add-in cannot run", complaint)
    yield from _lock(machine)
    yield from _addin(machine)
    yield from _recalculation(machine)


def _numbers(version: str) -> tuple[int, ...]:
    return tuple(int(part) for part in re.findall(r"\d+", version)[:2])


def _lock(machine: Machine) -> Iterator[Finding]:
    for lock in (machine.profile / ".lock", machine.profile / "user" / ".lock"):
        if lock.exists() and not machine.office_runs:
            known = machine.office_runs is False
            yield Finding(
                PROBLEM if known else NOTE,
                "Calc",
                f"a lock file is left over: {lock}" if known else f"there is a lock file: {lock}",
                "LibreOffice is not running: delete that file."
                if known
                else "If LibreOffice is not running, delete that file.",
            )


def _addin(machine: Machine) -> Iterator[Finding]:
    addins = list(installed_addins(machine))
    if not addins:
        yield Finding(NOTE, "Calc", "the add-in is not installed", "hydrofunc calc-addin install")
    for path, version in addins:
        if version == __version__:
            yield Finding(OK, "Calc", f"add-in {version} is installed: {path}")
        else:
            yield Finding(
                PROBLEM,
                "Calc",
                f"the add-in is version {version}, hydrofunc is {__version__}: {path}",
                "hydrofunc calc-addin install",
            )
        settings = _settings_of_addin(path)
        interpreter = settings.get("command", [""])[0]
        if interpreter and (complaint := _why_not_run(Path(interpreter))):
            yield Finding(
                PROBLEM, "Calc", f"the add-in calls {interpreter}, which {complaint}", "hydrofunc calc-addin install"
            )
        if version == __version__ and (others := _functions_that_differ(settings)):
            yield Finding(
                PROBLEM,
                "Calc",
                f"the add-in was made from other functions than those of today, and answers #N/A for them: {others}",
                "hydrofunc calc-addin install",
            )
    if len(addins) > 1:
        yield Finding(
            PROBLEM,
            "Calc",
            "the add-in is installed twice, for one user and for all",
            "Take one out: Tools > Extension Manager, or hydrofunc calc-addin uninstall.",
        )


def installed_addins(machine: Machine) -> Iterator[tuple[Path, str]]:
    """(folder, version) of each add-in of ours that LibreOffice has unpacked, for this user or for all."""
    for root in (machine.profile / "user", *machine.shared):
        for path in sorted((root / "uno_packages" / "cache" / "uno_packages").glob("*/*/description.xml")):
            text = path.read_text(encoding="utf-8", errors="replace")
            identifier = re.search(r'<identifier\b[^>]*\bvalue="([^"]*)"', text)
            version = re.search(r'<version\b[^>]*\bvalue="([^"]*)"', text)
            if identifier and "hydrofunc" in identifier[1].lower():
                yield path.parent, version[1] if version else "unknown"


def _settings_of_addin(path: Path) -> dict[str, Any]:
    """The file that the add-in was installed with; empty where there is none."""
    try:
        settings = json.loads((path / "hydrofunc.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return settings if isinstance(settings, dict) else {}


def _why_not_run(interpreter: Path) -> str:
    """Why this user cannot start it, as the end of a sentence; empty where nothing is known against it."""
    try:
        there = interpreter.exists()
    except PermissionError:  # a folder above it, such as that of another user
        there = None
    if there is False:
        return "does not exist any more"
    return "" if there and os.access(interpreter, os.X_OK) else "this user may not run"


def _functions_that_differ(settings: dict[str, Any]) -> str:
    """Names of the functions whose arguments are others than when the add-in was made."""
    made = {f["name"]: f.get("fingerprint") for f in settings.get("functions", {}).values()}
    if not made:
        return ""
    own = {f.name: f.fingerprint for f in FUNCTIONS.values()}
    return ", ".join(sorted(name for name in made.keys() | own.keys() if made.get(name) != own.get(name)))


def _recalculation(machine: Machine) -> Iterator[Finding]:
    """Calc keeps stored values of .xlsx files unless told otherwise (OOXMLRecalcMode: 0 always, 1 never, 2 asks)."""
    settings = machine.profile / "user" / "registrymodifications.xcu"
    text = settings.read_text(encoding="utf-8", errors="replace") if settings.exists() else ""
    mode = re.search(r'Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode"[^>]*><value>(\d+)</value>', text)
    if mode and mode[1] == "0":
        yield Finding(OK, "Calc", "recalculates .xlsx files when it opens them")
    else:
        yield Finding(
            NOTE,
            "Calc",
            "trusts the values stored in .xlsx files, also where another program left old ones there",
            "Ctrl+Shift+F9 recalculates. For good: Tools > Options > LibreOffice Calc > Formula > Recalculation on "
            "File Load, Excel 2007 and newer: Always.",
        )


def _excel(machine: Machine) -> Iterator[Finding]:
    if machine.system != "win32":
        yield Finding(NOTE, "Excel", "live functions need Excel on Windows; nothing to look at on this computer")
        return
    if machine.store_excel:
        yield Finding(
            PROBLEM,
            "Excel",
            "an Excel from the Microsoft Store is installed; xlwings cannot serve it",
            "Install Office from office.com instead.",
        )
    if machine.excel_bits:
        yield Finding(
            OK, "Excel", f"{machine.excel_bits} bits; Python runs in a process of its own, so its bits may differ"
        )
    for name, remedy in (("xlwings", "pip install xlwings"), ("pywin32", "pip install pywin32")):
        if machine.packages.get(name) is None:
            yield Finding(PROBLEM, "Excel", f"the package {name} is missing in {machine.executable}", remedy)
        else:
            yield Finding(OK, "Excel", f"{name} {machine.packages[name]}")
    yield from _interpreter("Excel", machine, xlwings_settings(machine.home / ".xlwings" / "xlwings.conf"))
    addin = machine.excel_start / "xlwings.xlam" if machine.excel_start else None
    if addin and addin.exists() and machine.packages.get("xlwings") and not _same_as_package(addin):
        yield Finding(
            PROBLEM,
            "Excel",
            f"the xlwings add-in {addin} is not the one of the installed package",
            "xlwings addin install --force, with Excel closed",
        )


def _same_as_package(addin: Path) -> bool:
    import xlwings

    ours = Path(xlwings.__file__).with_name("addin") / "xlwings.xlam"
    return not ours.exists() or ours.read_bytes() == addin.read_bytes()


def xlwings_settings(path: Path) -> dict[str, str]:
    """The settings in an xlwings.conf file, by name in capitals; none where there is no file."""
    if not path.exists():
        return {}
    with path.open(encoding=CODE_PAGE, errors="replace", newline="") as file:
        return {row[0].upper(): row[1] for row in csv.reader(file) if len(row) >= 2}


def _interpreter(about: str, machine: Machine, settings: Mapping[str, str]) -> Iterator[Finding]:
    chosen = settings.get("INTERPRETER_WIN")
    if not chosen:
        return
    if "\\" not in chosen and "/" not in chosen:
        yield Finding(
            NOTE,
            about,
            f"xlwings starts whichever {chosen!r} Windows finds first",
            f"Write the whole path into Interpreter_Win: {machine.executable}",
        )
    elif not Path(chosen).exists():
        yield Finding(
            PROBLEM,
            about,
            f"xlwings is told to start {chosen}, which does not exist",
            f"Write into Interpreter_Win: {machine.executable}",
        )
    elif Path(chosen) != Path(machine.executable):
        yield Finding(
            NOTE,
            about,
            f"xlwings starts {chosen}, and this is {machine.executable}",
            "They may be two installations of hydrofunc; run doctor with the one that xlwings starts.",
        )


# -- a workbook ----------------------------------------------------------------------------------------


def check_book(path: Path | str, machine: Machine | None = None) -> list[Finding]:
    """All findings about a workbook. Raises `FileRefused` where it cannot be read."""
    from .repair import strange_calls

    machine = machine or Machine.this()
    about = Path(path).name
    findings = []
    lock = Path(path).with_name(f".~lock.{about}#")
    if lock.exists():
        findings.append(Finding(NOTE, about, f"LibreOffice has it open, or left {lock.name} behind"))
    strange = strange_calls(path)
    findings += [_strange_call(about, call) for call in strange[:MOST_PLACES]]
    if len(strange) > MOST_PLACES:
        findings.append(Finding(PROBLEM, about, f"... and {len(strange) - MOST_PLACES} more such calls"))
    if not strange:
        findings.append(Finding(OK, about, "every formula calls our functions by their plain names"))
        findings += _stored_values(path, about)
    findings += _settings_sheet(path, about, machine)
    return findings


def _strange_call(about: str, call: "StrangeCall") -> Finding:
    if call.plain is None:
        return Finding(
            PROBLEM,
            about,
            f"{call.where} calls {call.written}, and there is no such function",
            "hydrofunc functions lists those there are.",
        )
    if call.written.upper() == call.plain:
        why = "as Calc writes it where the add-in is missing"
    elif "!" in call.written:
        why = "a function taken from another file, which other machines do not have there"
    elif call.written.upper().startswith(f"{SERVICE.upper()}."):
        return Finding(
            NOTE,
            about,
            f"{call.where} calls {call.written}, which only Calc with the add-in knows",
            f"For Excel and for newer Calc: --repair OUT.xlsx writes a copy that calls {call.plain}.",
        )
    else:
        why = "a name that not every spreadsheet program knows"
    return Finding(
        PROBLEM,
        about,
        f"{call.where} calls {call.written}: {why}",
        f"--repair OUT.xlsx writes a copy that calls {call.plain}.",
    )


def _stored_values(path: Path | str, about: str) -> Iterator[Finding]:
    """Stored values that are not what the formulas give."""
    from ..jobs import selftest
    from ..jobs.recalc import calculated

    try:
        fresh, needs, causes = calculated(path)
        causes = [cause for cause in causes if not cause.cell.startswith(f"{selftest.SHEET}!")]  # it asks for errors
    except FormulaRefused as refused:
        cell, reason = refused.problems[0]
        yield Finding(NOTE, about, f"its stored values cannot be judged here: {cell}: {reason}")
        return
    for need in needs:
        yield Finding(NOTE, about, need)
    for cause in causes[:MOST_PLACES]:
        yield Finding(PROBLEM, about, str(cause))
    if len(causes) > MOST_PLACES:
        yield Finding(PROBLEM, about, f"... and {len(causes) - MOST_PLACES} more such causes of errors")
    stale = list(_differing(path, fresh))
    if not stale:
        yield Finding(OK, about, "every stored value is what its formula gives")
    for cell, stored, now in stale[:MOST_PLACES]:
        yield Finding(PROBLEM, about, f"{cell} has {stored!r} stored, its formula gives {now!r}", "hydrofunc recalc")
    if len(stale) > MOST_PLACES:
        yield Finding(PROBLEM, about, f"... and {len(stale) - MOST_PLACES} more such cells")


def _differing(path: Path | str, fresh: bytes) -> Iterator[tuple[str, object, object]]:
    import io

    import openpyxl

    stored = openpyxl.load_workbook(path, data_only=True)
    for sheet in openpyxl.load_workbook(io.BytesIO(fresh), data_only=True):
        for row in sheet.iter_rows():
            for cell in row:
                before = stored[sheet.title][cell.coordinate].value
                if not _equal(before, cell.value):
                    yield f"{sheet.title}!{cell.coordinate}", before, cell.value


def _equal(before: object, now: object) -> bool:
    if isinstance(before, int | float) and isinstance(now, int | float) and type(before) is not bool:
        return abs(before - now) <= 1e-9 * max(abs(before), abs(now), 1e-3)
    return before == now or (before in (None, "") and now in (None, ""))


def _settings_sheet(path: Path | str, about: str, machine: Machine) -> Iterator[Finding]:
    """The sheet xlwings.conf of a macro-enabled workbook."""
    if Path(path).suffix.lower() != ".xlsm":
        return
    import openpyxl

    book = openpyxl.load_workbook(path, read_only=True)
    if "xlwings.conf" not in book.sheetnames:
        return
    rows = book["xlwings.conf"].iter_rows(max_col=2, values_only=True)
    settings = {str(key).upper(): str(value) for key, value in rows if key and value is not None}
    version = settings.get("HYDROFUNC VERSION")
    if version and version != __version__:
        yield Finding(
            PROBLEM,
            about,
            f"it was made by hydrofunc {version}, and {__version__} is installed",
            "hydrofunc excel-addin DIR writes a new one; to keep this one, with --modules: its STEPS.txt says how.",
        )
    made_with, installed = settings.get("XLWINGS VERSION"), machine.packages.get("xlwings")
    if made_with and installed and made_with != installed:
        yield Finding(
            PROBLEM,
            about,
            f"its VBA starts the DLL of xlwings {made_with}, and {installed} is installed: every cell would show #N/A",
            f"pip install xlwings=={made_with}, or make the workbook anew: hydrofunc excel-addin",
        )
    if machine.system == "win32":
        yield from _interpreter(about, machine, settings)
