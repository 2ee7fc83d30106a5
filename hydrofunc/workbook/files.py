"""Files written whole or not at all, never over another file unasked, under names every system takes."""

import os
import re
import secrets
import time
import unicodedata
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from ..errors import FileRefused

LEFT_OVER_AFTER = 3600  # seconds
LONGEST_STEM = 60  # characters; leaves room for folders within the 260 a Windows path may have
# Names Windows keeps for devices (Microsoft, "Naming Files, Paths, and Namespaces"; from memory).
_DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}


def refuse_existing(paths: Iterable[str | Path], force: bool) -> None:
    """Raise `FileRefused` naming every path that cannot be written: it exists, or its folder does not."""
    complaints = []
    for path in map(Path, paths):
        if not path.name or "\0" in str(path):
            complaints.append(f"{str(path)!r} is no name of a file")
        elif path.is_dir():
            complaints.append(f"{path} is a folder")
        elif path.exists() and not force:
            complaints.append(f"{path} exists already; add --force to overwrite it")
        elif path.exists() and not path.stat().st_mode & 0o222:
            complaints.append(f"{path} is write-protected; not overwritten")
        elif lock := _lock_of(path):
            complaints.append(
                f"{path} is open in a spreadsheet program; close it there, or delete {lock.name} if it is not"
            )
        elif not path.parent.is_dir():
            complaints.append(f"{path} cannot be written: the folder {path.parent} does not exist")
    if complaints:
        raise FileRefused("\n".join(complaints))


def _lock_of(path):
    """The file that LibreOffice or Excel lays beside an open workbook, if it is there."""
    beside = (path.with_name(f".~lock.{path.name}#"), path.with_name(f"~${path.name}"))
    return next((lock for lock in beside if path.exists() and lock.exists()), None)


@contextmanager
def new_file(path: str | Path, force: bool = False) -> Iterator[BinaryIO]:
    """A binary stream that becomes `path` when the block ends well, and leaves nothing when it does not.

    Raises `FileRefused`, naming the file, also where the disk is full.

    The bytes go to a temporary file in the same folder, which then takes the place of `path` in one step.
    An overwritten file keeps its permissions; a new one gets those the umask allows.
    """
    refuse_existing([path], force)
    target = _target(path)
    temporary = target.with_name(f".{target.name[:40]}.{secrets.token_hex(4)}.part")
    _remove_left_over(target)
    try:
        with open(temporary, "xb") as stream:
            yield stream
            stream.flush()
            os.fsync(stream.fileno())
        refuse_existing([target], force)
        if target.exists():
            os.chmod(temporary, target.stat().st_mode & 0o7777)
        os.replace(temporary, target)
    except BaseException as error:
        with suppress(OSError):
            os.unlink(temporary)
        if isinstance(error, OSError):
            raise FileRefused(f"{path} cannot be written: {error.strerror or error}") from None
        raise


def _remove_left_over(target):
    """Remove what runs that were killed have left of this file; what is young may belong to one that goes on."""
    name = re.compile(re.escape(f".{target.name[:40]}.") + "[0-9a-f]{8}[.]part")
    with suppress(OSError):
        for other in target.parent.iterdir():
            if name.fullmatch(other.name) and time.time() - other.stat().st_mtime > LEFT_OVER_AFTER:
                other.unlink()


def _target(path):
    """The file itself, as a link keeps pointing to it."""
    try:
        real = Path(path).resolve()
        if real.is_symlink():  # still one: a circle, for which Python raises RuntimeError up to 3.12 and nothing later
            raise RuntimeError
        return real
    except (OSError, RuntimeError):
        raise FileRefused(f"{path}: a link that leads in a circle") from None


def write_bytes(path: str | Path, data: bytes, force: bool = False) -> None:
    """Write `data` to `path`, whole or not at all."""
    with new_file(path, force) as stream:
        stream.write(data)


def file_stem(text: str, used: set[str]) -> str:
    """A file name, without ending, made from any text and different from those in `used`; added to them.

    Letters and digits of any script stay; everything else becomes a hyphen. Names that differ only in
    case count as equal, because on many disks they are.
    """
    plain = unicodedata.normalize("NFC", str(text))
    stem = re.sub(r"[\W_]+", "-", plain).strip("-")[:LONGEST_STEM].strip("-") or "site"
    if stem.lower() in _DEVICES:
        stem += "-site"
    unique, count = stem, 1
    while unique.casefold() in used:
        count += 1
        unique = f"{stem}-{count}"
    used.add(unique.casefold())
    return unique
