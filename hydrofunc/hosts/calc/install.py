"""Hands the extension to LibreOffice's own `unopkg`, and says plainly what is missing where it cannot."""

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from ...errors import HostError
from .build import IDENTIFIER, build

_USUAL = (
    "/usr/lib/libreoffice/program",
    "/usr/lib64/libreoffice/program",
    "/opt/libreoffice*/program",
    "/usr/local/lib/libreoffice/program",
    "/Applications/LibreOffice.app/Contents/MacOS",
    "C:/Program Files/LibreOffice/program",
    "C:/Program Files (x86)/LibreOffice/program",
)
_WAIT = 180  # seconds


def install(options: Sequence[str] = (), program: Path | str | None = None) -> str:
    """Put the add-in into LibreOffice; returns what was done, in words.

    `options` are passed on to unopkg, such as -env:UserInstallation=file:///...; `program` is LibreOffice's
    program folder, looked for where it is None. Raises `HostError`, saying what is missing.
    """
    program = Path(program) if program else find_program()
    complaint = missing_python(program)
    if complaint:
        raise HostError(complaint)
    with tempfile.TemporaryDirectory(prefix="hydrofunc-") as folder:
        path = Path(folder, "hydrofunc.oxt")
        path.write_bytes(build())
        _unopkg(program, ["add", "-f", *_for_root(), *options, str(path)])
    done = f"Installed in LibreOffice ({program}) {_for_whom()}. It calls {sys.executable}. Start Calc anew to use it."
    if _is_root() and not _open_to_all(Path(sys.executable)):
        done += " Other users may not run that Python: they will see #N/A. Install hydrofunc where all may read it."
    return done


def uninstall(options: Sequence[str] = (), program: Path | str | None = None) -> str:
    """Take the add-in out of LibreOffice; returns what was done, in words."""
    program = Path(program) if program else find_program()
    if not installed(options, program):
        return f"There was no hydrofunc in LibreOffice ({program}) {_for_whom()}."
    _unopkg(program, ["remove", *_for_root(), *options, IDENTIFIER])
    return f"Removed from LibreOffice ({program}) {_for_whom()}. Start Calc anew."


def installed(options: Sequence[str] = (), program: Path | str | None = None) -> bool:
    """Is the add-in in LibreOffice?"""
    program = Path(program) if program else find_program()
    return IDENTIFIER in _unopkg(program, ["list", *_for_root(), *options])


def installed_for_anyone(options: Sequence[str] = (), program: Path | str | None = None) -> bool:
    """Is the add-in in LibreOffice, for this user or for all users?"""
    program = Path(program) if program else find_program()
    return installed(options, program) or IDENTIFIER in _unopkg(program, ["list", "--shared", *options])


def find_program() -> Path:
    """LibreOffice's program folder: that of the soffice or unopkg on the path, or one of the usual places."""
    for command in ("soffice", "libreoffice", "unopkg"):
        path = shutil.which(command)
        if path and _unopkg_of(Path(path).resolve().parent):
            return Path(path).resolve().parent
    for pattern in _USUAL:
        root = Path(pattern).anchor
        for folder in sorted(Path(root).glob(pattern[len(root) :]), reverse=True):
            if _unopkg_of(folder):
                return folder
    raise HostError(
        "LibreOffice was not found: there is no soffice with unopkg beside it on the path or in the usual places. "
        "Install LibreOffice Calc (Debian, Ubuntu: libreoffice-calc python3-uno)."
    )


def missing_python(program: Path) -> str | None:
    """What is wrong with LibreOffice's Python, in words; None where nothing is."""
    folders = (program, program.parent / "Frameworks", program.parent / "Resources")
    if any(next(folder.glob("*pythonloaderlo*"), None) for folder in folders if folder.is_dir()):
        return None
    return (
        f"LibreOffice in {program} cannot run Python add-ins: its Python loader is missing. "
        "Debian, Ubuntu: install python3-uno; Fedora: libreoffice-pyuno; elsewhere: LibreOffice's own packages hold it."
    )


def _unopkg_of(program: Path) -> Path | None:
    names = ("unopkg.com", "unopkg.exe") if os.name == "nt" else ("unopkg",)
    return next((program / name for name in names if (program / name).is_file()), None)


def _unopkg(program: Path, arguments: Sequence[str]) -> str:
    command = _unopkg_of(program)
    if command is None:
        raise HostError(
            f"There is no unopkg in {program}: LibreOffice is incomplete there, or this is not its program folder."
        )
    try:
        done = subprocess.run(
            [str(command), *arguments],
            env=clean_environment(program),
            capture_output=True,
            text=True,
            timeout=_WAIT,
            stdin=subprocess.DEVNULL,
        )
    except subprocess.TimeoutExpired:
        raise HostError(f"unopkg did not end within {_WAIT} seconds. Close LibreOffice and try again.") from None
    if done.returncode:
        said = "\n".join(line for line in (done.stdout + done.stderr).splitlines() if line.strip())
        raise HostError(
            f"LibreOffice refused ({command} {arguments[0]}). Close LibreOffice and try again. It said:\n{said}"
        )
    return done.stdout


def clean_environment(program: Path) -> dict[str, str]:
    """The environment without our own Python: LibreOffice must find its own."""
    own = Path(sys.executable).parent
    parts = [part for part in os.environ.get("PATH", "").split(os.pathsep) if part and Path(part) != own]
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    return environment | {"PATH": os.pathsep.join([str(program), *parts])}


def _open_to_all(interpreter: Path) -> bool:
    """May every user reach this Python, and the one it stands for?"""
    folders = {*interpreter.absolute().parents, *interpreter.resolve().parents}
    return all(folder.stat().st_mode & 0o001 for folder in folders)


def _is_root() -> bool:
    return hasattr(os, "geteuid") and os.geteuid() == 0


def _for_root() -> list[str]:
    return ["--shared"] if _is_root() else []  # unopkg refuses root otherwise


def _for_whom() -> str:
    return "for all users, as you are root" if _is_root() else "for you"
