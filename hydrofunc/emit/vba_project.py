"""vbaProject.bin: the part of a workbook that holds VBA modules, written without Excel; only their source text.

From Microsoft's open specifications: [MS-OVBA], Office VBA File Format Structure (sections named below), and [MS-CFB],
Compound File Binary File Format. The version 0xFFFF in the stream _VBA_PROJECT (2.3.4.1) says that there is no compiled
code: a program compiles the source when it opens the file. The same modules give the same bytes: no clock, no chance.
"""

import struct
from collections.abc import Iterable, Mapping

_PROJECT_ID = "{6B1F3C52-0D7E-4A6B-9F0A-2C5D8E417A30}"  # made up once
_CODE_PAGE = "cp1252"
_BOOK, _SHEET = "00020819", "00020820"  # classes of a workbook and of a sheet in Excel
_CHUNK, _KEPT = 4096, 16  # bytes that are compressed together; places remembered of each beginning

FREE, END, OF_FAT = 0xFFFFFFFF, 0xFFFFFFFE, 0xFFFFFFFD  # [MS-CFB] 2.1: numbers of sectors with a meaning
_SECTOR, _MINI, _SMALL = 512, 64, 4096
_ROOT, _STORAGE, _STREAM = 5, 1, 2
_RED, _BLACK = 0, 1


def vba_project(modules: Mapping[str, str], sheets: Iterable[str]) -> bytes:
    """The file's bytes. `modules`: name to text; `sheets`: the code names of the sheets."""
    documents = {"ThisWorkbook": _BOOK, **dict.fromkeys(sheets, _SHEET)}
    sources = {name: _document(name, kind) for name, kind in documents.items()}
    sources |= {name: f'Attribute VB_Name = "{name}"\n{text}' for name, text in modules.items()}
    streams = {f"VBA/{name}": compressed(_bytes(text)) for name, text in sources.items()}
    streams["VBA/dir"] = compressed(_directory(sources, documents))
    streams["VBA/_VBA_PROJECT"] = struct.pack("<HHBH", 0x61CC, 0xFFFF, 0, 0)
    streams["PROJECT"] = _bytes(_project(sources, documents))
    streams["PROJECTwm"] = b"".join(name.encode() + b"\0" + _unicode(name) + b"\0\0" for name in sources) + b"\0\0"
    return compound_file(streams)


def _bytes(text: str) -> bytes:
    return text.replace("\n", "\r\n").encode(_CODE_PAGE)


def _unicode(text: str) -> bytes:
    return text.encode("utf-16-le")


def _document(name: str, kind: str) -> str:
    """The empty module that belongs to the workbook or to a sheet."""
    settings = {
        "GlobalNameSpace": False,
        "Creatable": False,
        "PredeclaredId": True,
        "Exposed": True,
        "TemplateDerived": False,
        "Customizable": True,
    }
    lines = [f'Attribute VB_Name = "{name}"', f'Attribute VB_Base = "0{{{kind}-0000-0000-C000-000000000046}}"']
    return "\n".join([*lines, *(f"Attribute VB_{key} = {value}" for key, value in settings.items()), ""])


# -- the stream PROJECT ------------------------------------------------------------------------------------------------


def _project(sources: Iterable[str], documents: Mapping[str, str]) -> str:
    """[MS-OVBA] 2.3.1: which modules there are. No protection, no password, visible."""
    names = [f"Document={name}/&H00000000" if name in documents else f"Module={name}" for name in sources]
    return "\n".join(
        [
            f'ID="{_PROJECT_ID}"',
            *names,
            'Name="VBAProject"',
            'HelpContextID="0"',
            'VersionCompatible32="393222000"',
            f'CMG="{encrypted(bytes(4))}"',
            f'DPB="{encrypted(bytes(1))}"',
            f'GC="{encrypted(bytes([255]))}"',
            "",
            "[Host Extender Info]",
            "&H00000001={3832D640-CF90-11CF-8E43-00A0C911005A};VBE;&H00000000",
            "",
            "[Workspace]",
            *(f"{name}=0, 0, 0, 0, C" for name in sources),
            "",
        ]
    )


def encrypted(data: bytes, project: str = _PROJECT_ID, seed: int = 0) -> str:
    """[MS-OVBA] 2.4.3.2: how the stream PROJECT hides what protects it. A seed of 0 asks for no bytes of chance."""
    key = sum(project.encode()) & 0xFF
    out = [seed, seed ^ 2, seed ^ key]
    before, plain = [seed ^ key, seed ^ 2], key
    for byte in [*bytes((seed & 6) // 2), *struct.pack("<I", len(data)), *data]:
        hidden = byte ^ ((before[1] + plain) & 0xFF)
        out.append(hidden)
        before, plain = [hidden, before[0]], byte
    return bytes(out).hex().upper()


# -- the stream dir ----------------------------------------------------------------------------------------------------


def _record(number: int, data: bytes = b"") -> bytes:
    return struct.pack("<HI", number, len(data)) + data


def _number(number: int, value: int, form: str = "<I") -> bytes:
    return _record(number, struct.pack(form, value))


def _text(number: int, unicode: int, text: str) -> bytes:
    return _record(number, text.encode(_CODE_PAGE)) + _record(unicode, _unicode(text))


def _directory(sources: Mapping[str, str], documents: Mapping[str, str]) -> bytes:
    """[MS-OVBA] 2.3.4.2: the project, what it refers to, and its modules."""
    automation = "*\\G{00020430-0000-0000-C000-000000000046}#2.0#0#C:\\Windows\\System32\\stdole2.tlb#OLE Automation"
    library = automation.encode(_CODE_PAGE)
    parts = [
        _number(0x01, 1),  # kind of system: Windows, 32 bit
        _number(0x02, 0x0409),
        _number(0x14, 0x0409),
        _number(0x03, 1252, "<H"),
        _record(0x04, b"VBAProject"),
        _text(0x05, 0x40, ""),
        _record(0x06) + _record(0x3D),
        _number(0x07, 0),
        _number(0x08, 0),
        struct.pack("<HIIH", 0x09, 4, 1, 1),  # version; its length does not count the last two bytes
        _text(0x0C, 0x3C, ""),
        _text(0x16, 0x3E, "stdole"),
        _record(0x0D, struct.pack("<I", len(library)) + library + bytes(6)),
        _number(0x0F, len(sources), "<H"),
        _number(0x13, 0xFFFF, "<H"),
    ]
    for name in sources:
        parts += [
            _text(0x19, 0x47, name),
            _text(0x1A, 0x32, name),
            _text(0x1C, 0x48, ""),
            _number(0x31, 0),  # no compiled part stands before the source
            _number(0x1E, 0),
            _number(0x2C, 0xFFFF, "<H"),
            _record(0x22 if name in documents else 0x21),
            _record(0x2B),
        ]
    return b"".join([*parts, _record(0x10)])


# -- compression -------------------------------------------------------------------------------------------------------


def compressed(data: bytes) -> bytes:
    """[MS-OVBA] 2.4.1: each 4,096 bytes by themselves."""
    return b"\x01" + b"".join(_packed(data[at : at + _CHUNK]) for at in range(0, len(data), _CHUNK))


def _packed(chunk: bytes) -> bytes:
    """A chunk: groups of eight pieces, each a byte or a copy of what stood before."""
    out, seen, at = bytearray(), dict[bytes, list[int]](), 0
    while at < len(chunk):
        flags, pieces = 0, bytearray()
        for bit in range(8):
            if at >= len(chunk):
                break
            start, length = _longest(chunk, at, seen)
            if length:
                flags |= 1 << bit
                pieces += struct.pack("<H", (at - start - 1) << (16 - _bits(at)) | (length - 3))
            else:
                length = 1
                pieces.append(chunk[at])
            for place in range(at, at + length):
                seen.setdefault(chunk[place : place + 3], []).append(place)
            at += length
        out += bytes([flags]) + pieces
    if len(out) > _CHUNK:  # longer than it was: as it is
        return struct.pack("<H", 0x3FFF) + chunk.ljust(_CHUNK, b"\0")
    return struct.pack("<H", 0xB000 | (len(out) - 1)) + bytes(out)


def _bits(at: int) -> int:
    """How many bits of a copy say where it begins."""
    return max(4, (at - 1).bit_length())


def _longest(chunk: bytes, at: int, seen: Mapping[bytes, list[int]]) -> tuple[int, int]:
    """Where the longest piece begins that stands here again, and its length; 0 below three bytes."""
    most = min((0xFFFF >> _bits(at)) + 3 if at else 0, len(chunk) - at)
    best = (0, 0)
    for start in reversed(seen.get(chunk[at : at + 3], [])[-_KEPT:]):
        length = 0
        while length < most and chunk[start + length] == chunk[at + length]:
            length += 1
        if length > best[1]:
            best = (start, length)
    return best if best[1] >= 3 else (0, 0)


# -- compound file -----------------------------------------------------------------------------------------------------


class _Sectors:
    """The sectors of a compound file, and which follows which."""

    def __init__(self, size: int) -> None:
        self.size = size
        self.data = bytearray()
        self.next: list[int] = []

    def place(self, data: bytes) -> int:
        """Puts bytes into sectors of their own; the number of the first."""
        count = -(-len(data) // self.size)
        first = len(self.next)
        self.data += data.ljust(count * self.size, b"\0")
        self.next += [*range(first + 1, first + count), END] if count else []
        return first if count else END


def compound_file(streams: Mapping[str, bytes]) -> bytes:
    """[MS-CFB]: a file of version 3 with these streams; a path has at most one storage, as in VBA/dir."""
    sectors, small = _Sectors(_SECTOR), _Sectors(_MINI)
    storages = sorted({path.partition("/")[0] for path in streams if "/" in path})
    entries = ["", *storages, *streams]
    starts = [0] * (1 + len(storages))
    starts += [(small if len(data) < _SMALL else sectors).place(data) for data in streams.values()]
    starts[0] = sectors.place(bytes(small.data))
    sizes = [len(small.data), *[0] * len(storages), *map(len, streams.values())]
    table = struct.pack(f"<{len(small.next)}I", *small.next)
    table += b"\xff" * (-len(table) % _SECTOR)
    small_table = sectors.place(table)
    directory = sectors.place(_entries(entries, storages, starts, sizes))
    count = 1
    while len(sectors.next) + count > count * (_SECTOR // 4):
        count += 1
    if count > 109:  # more would need a list of its own
        raise ValueError("too large for one list of sectors")
    first = len(sectors.next)
    follows = [*sectors.next, *[OF_FAT] * count]
    fat = struct.pack(f"<{len(follows)}I", *follows).ljust(count * _SECTOR, b"\xff")
    header = struct.pack("<8s16xHHHHH6x", bytes.fromhex("D0CF11E0A1B11AE1"), 0x3E, 3, 0xFFFE, 9, 6)
    header += struct.pack("<IIIIIIIII", 0, count, directory, 0, _SMALL, small_table, len(table) // _SECTOR, END, 0)
    header += struct.pack(f"<{count}I", *range(first, first + count))
    return header.ljust(_SECTOR, b"\xff") + bytes(sectors.data) + fat


def _entries(entries: list[str], storages: list[str], starts: list[int], sizes: list[int]) -> bytes:
    """The directory: 128 bytes for the root, each storage and each stream."""
    left, right, child = ([FREE] * len(entries) for _ in range(3))
    colour = [_BLACK] * len(entries)

    def tree(items: list[int], depth: int, red: int) -> int:
        """A balanced tree of entries; those of an incomplete last row are red."""
        if not items:
            return FREE
        middle = len(items) // 2
        top = items[middle]
        left[top], right[top] = tree(items[:middle], depth + 1, red), tree(items[middle + 1 :], depth + 1, red)
        colour[top] = _RED if depth == red else _BLACK
        return top

    def below(storage: str) -> int:
        items = [i for i, path in enumerate(entries) if i and path.rpartition("/")[0] == storage]
        items.sort(key=lambda i: (len(_own(entries[i])), _own(entries[i]).upper()))
        full = (len(items) + 1) & len(items) == 0
        return tree(items, 0, -1 if full else len(items).bit_length() - 1)

    for i, path in enumerate(entries[: 1 + len(storages)]):
        child[i] = below(path)
    out = bytearray()
    for i, path in enumerate(entries):
        kind = _ROOT if not i else _STORAGE if i <= len(storages) else _STREAM
        name = _unicode(_own(path) or "Root Entry") + b"\0\0"
        out += name.ljust(64, b"\0") + struct.pack("<HBB", len(name), kind, colour[i])
        out += struct.pack("<III36xIQ", left[i], right[i], child[i], 0 if kind == _STORAGE else starts[i], sizes[i])
    while len(out) % _SECTOR:
        out += struct.pack("<64xHBBIII36xIQ", 0, 0, 0, FREE, FREE, FREE, 0, 0)
    return bytes(out)


def _own(path: str) -> str:
    return path.rpartition("/")[2]
