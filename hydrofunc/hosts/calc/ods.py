"""An .ods of a workbook, made by the LibreOffice of this computer: Calc 7.4 too finds our functions in one.

LibreOffice works in a profile of its own, with an add-in of its own, so an open Calc is not disturbed. It
keeps the stored values, and our functions by Calc's internal names, as in HYDROFUNC.FRICTION_HEAD.
"""

import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

from ...errors import HostError
from .install import clean_environment, find_program, install, installed_for_anyone
from .names import internal_names

_WAIT = 300  # seconds


def as_ods(
    source: Path | str | bytes, options: Sequence[str] = (), program: Path | str | None = None
) -> tuple[bytes, int]:
    """(bytes of the .ods, number of calls of our functions) of an .xlsx workbook, a path or bytes.

    `options` and `program` say which LibreOffice, as for `install`. Raises `HostError`, saying what is
    missing, also where the add-in is not in LibreOffice: Calc without it would spoil the names in the file.
    """
    data, count = internal_names(source)
    program = Path(program) if program else find_program()
    if not installed_for_anyone(options, program):
        raise HostError(
            f"The add-in is not in LibreOffice ({program}), which would not know our functions. "
            "First: hydrofunc calc-addin install"
        )
    with tempfile.TemporaryDirectory(prefix="hydrofunc-", ignore_cleanup_errors=True) as name:
        folder = Path(name)
        own = [
            f"-env:UserInstallation={(folder / 'profile').as_uri()}",
            f"-env:UNO_SHARED_PACKAGES_CACHE={(folder / 'shared').as_uri()}",
        ]
        install(own, program)
        (folder / "book.xlsx").write_bytes(data)
        said = _convert(program, own, folder)
        made = folder / "book.ods"
        if not made.exists():
            raise HostError(f"LibreOffice ({program}) did not write an .ods file. It said:\n{said}")
        return made.read_bytes(), count


def _convert(program: Path, options: Sequence[str], folder: Path) -> str:
    command = next((program / n for n in ("soffice.com", "soffice.exe", "soffice") if (program / n).exists()), None)
    if command is None:
        raise HostError(f"There is no soffice in {program}: LibreOffice is incomplete there.")
    words = [
        "--headless",
        "--norestore",
        "--convert-to",
        "ods:calc8",
        "--outdir",
        str(folder),
        str(folder / "book.xlsx"),
    ]
    try:
        done = subprocess.run(
            [str(command), *options, *words],
            env=clean_environment(program),
            capture_output=True,
            text=True,
            timeout=_WAIT,
            stdin=subprocess.DEVNULL,
        )
    except subprocess.TimeoutExpired:
        raise HostError(f"LibreOffice did not write the .ods file within {_WAIT} seconds.") from None
    return done.stdout + done.stderr
