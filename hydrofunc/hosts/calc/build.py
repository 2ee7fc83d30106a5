"""Makes the Calc extension from the registry: types, help of every function and argument, component."""

import io
import json
import re
import sys
import zipfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from ... import __version__, catalogue  # noqa: F401  (catalogue fills the registry)
from ...registry import FUNCTIONS, PREFIX, Argument, Function

SERVICE = "hydrofunc"  # Calc's internal name of a function is HYDROFUNC.FRICTION_HEAD
INTERFACE = "org.hydrofunc.XFunctions"
IDENTIFIER = "org.hydrofunc.calc"
HELPERS: dict[str, tuple[str, tuple[tuple[str, str], ...]]] = {
    "EXPLAIN": (
        'What is wrong with a call, in words; "fine" where nothing is. '
        "Give the name of the function, then its arguments.",
        (("function", 'Name of the function, such as "FRICTION_HEAD".'), ("arguments", "Its arguments, in its order.")),
    ),
    "VERSION": ("The version of hydrofunc that answers.", ()),
}
_FIXED_TIME = (2026, 1, 1, 0, 0, 0)  # so that the same version writes the same bytes


def build(interpreter: str = sys.executable) -> bytes:
    """The .oxt as bytes; its worker is started with the Python `interpreter`, which must have hydrofunc."""
    parts = {
        "META-INF/manifest.xml": _MANIFEST,
        "description.xml": _description(),
        "licence.txt": LICENCE,
        "hydrofunc.idl": types(),
        "CalcAddIns.xcu": configuration(),
        "hydrofunc.json": json.dumps(settings(interpreter), indent=1),
        "component.py": Path(__file__).with_name("component.py").read_text(encoding="utf-8"),
    }
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(zipfile.ZipInfo(name, _FIXED_TIME), text.encode(), zipfile.ZIP_DEFLATED)
    return stream.getvalue()


def settings(interpreter: str) -> dict[str, Any]:
    """What the component needs to know."""
    return {
        "version": __version__,
        "service": SERVICE,
        "interface": INTERFACE,
        "functions": {
            f.name.upper(): {
                "name": f.name,
                "fingerprint": f.fingerprint,
                "zero_is_not_blank": _slots(f),
                "blank_is_not_left_out": [i for i, a in enumerate(f.arguments) if a.part == "values"],
            }
            for f in FUNCTIONS.values()
        },
        "command": [str(interpreter), "-P", "-m", "hydrofunc.hosts.calc.worker"],
    }


def _slots(function: Function) -> list[int]:
    """The arguments, by index, in which a blank cell and a 0 do not mean the same.

    Words are left to the worker: no word is 0.
    """
    return [i for i, a in enumerate(function.arguments) if not a.is_text and (a.required or a.default != 0)]


def types() -> str:
    """The interface in IDL. Every argument is `any`: only so can it be left out, or be a range."""
    lines = [
        _method(f.name.upper(), *(f"[in] any {identifier(a.name)}" for a in f.arguments)) for f in FUNCTIONS.values()
    ]
    lines.append(
        _method("EXPLAIN", f"[in] any {identifier('function')}", f"[in] sequence<any> {identifier('arguments')}")
    )
    lines.append(f"    {_ROWS} VERSION();")
    *modules, name = INTERFACE.split(".")
    body = "\n".join([f"interface {name} : com::sun::star::uno::XInterface {{", *lines, "};"])
    return " ".join(f"module {m} {{" for m in modules) + "\n" + body + "\n" + " ".join("};" for _ in modules) + "\n"


_CALLER = "[in] com::sun::star::beans::XPropertySet aCaller"  # Calc gives the document here
_ROWS = "sequence< sequence< any > >"


def _method(name: str, *parameters: str) -> str:
    return f"    {_ROWS} {name}({', '.join([_CALLER, *parameters])});"


def identifier(argument: str) -> str:
    """An argument's name in IDL, which allows no _ and keeps some words for itself: aGrossHead."""
    return "a" + "".join(word.capitalize() for word in argument.split("_"))


def configuration() -> str:
    """Names and help for the function wizard."""
    nodes = []
    for f in FUNCTIONS.values():
        parameters = [(a.name, shown_name(a), shown_help(a)) for a in f.arguments]
        nodes.append(_node(f.name.upper(), shown_description(f), parameters))
    for name, (words, arguments) in HELPERS.items():
        nodes.append(_node(name, words, [(a, a, help_) for a, help_ in arguments]))
    return _XCU.format(service=SERVICE, nodes="\n".join(nodes))


def shown_description(function: Function) -> str:
    """What a function does; the caution before the rest, for the wizard cuts the text after three lines."""
    unit = "" if function.unit == "-" else f"[{function.unit}] "
    caution = f" Caution: {function.caution}" if function.caution else ""
    return f"{unit}{function.help}{caution} Result: {function.meaning}"


def shown_name(argument: Argument) -> str:
    """An argument's name with its unit, where it has one."""
    return argument.name if argument.unit in ("-", "text") else f"{argument.name} [{argument.unit}]"


def shown_help(argument: Argument) -> str:
    """Meaning, default and range of an argument. Calc calls all optional, so what must be given says so."""
    if argument.required:
        return f"Must be given. {argument.meaning} Allowed: {argument.allowed}."
    return f"{argument.meaning} Default: {argument.default_text}. Allowed: {argument.allowed}."


def _node(name: str, words: str, parameters: Iterable[tuple[str, str, str]]) -> str:
    inner = "".join(
        f'<node oor:name="{identifier(key)}" oor:op="replace">'
        f"{_prop('DisplayName', shown)}{_prop('Description', text)}</node>"
        for key, shown, text in parameters
    )
    return (
        f'<node oor:name="{name}" oor:op="replace">{_prop("DisplayName", PREFIX + name)}{_prop("Description", words)}'
        f'<prop oor:name="Category"><value>Add-In</value></prop>{_prop("CompatibilityName", PREFIX + name)}'
        f'<node oor:name="Parameters">{inner}</node></node>'
    )


def _prop(name: str, text: str) -> str:
    return f'<prop oor:name="{name}"><value xml:lang="en-US">{escape(text)}</value></prop>'


def _description() -> str:
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<description xmlns="http://openoffice.org/extensions/description/2006"
    xmlns:l="http://libreoffice.org/extensions/description/2011">
  <identifier value={quoteattr(IDENTIFIER)}/>
  <version value={quoteattr(re.sub(r"[^0-9.].*", "", __version__))}/>
  <dependencies><l:LibreOffice-minimal-version value="7.0" l:name="LibreOffice 7.0"/></dependencies>
  <display-name><name lang="en">hydrofunc: functions for very small hydro plants</name></display-name>
</description>
"""


_MEDIA = {
    "hydrofunc.idl": "application/vnd.sun.star.uno-typelibrary;type=RDB",
    "component.py": "application/vnd.sun.star.uno-component;type=Python",
    "CalcAddIns.xcu": "application/vnd.sun.star.configuration-data",
}
_MANIFEST = """<?xml version="1.0" encoding="UTF-8"?>
<manifest:manifest xmlns:manifest="http://openoffice.org/2001/manifest">
{entries}
</manifest:manifest>
""".format(
    entries="\n".join(
        f'  <manifest:file-entry manifest:media-type="{kind}" manifest:full-path="{part}"/>'
        for part, kind in _MEDIA.items()
    )
)

_XCU = """<?xml version="1.0" encoding="UTF-8"?>
<oor:component-data xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"
    oor:name="CalcAddIns" oor:package="org.openoffice.Office">
<node oor:name="AddInInfo"><node oor:name="{service}" oor:op="replace"><node oor:name="AddInFunctions">
{nodes}
</node></node></node>
</oor:component-data>
"""

LICENCE = """MIT License

Copyright (c) the hydrofunc contributors

Permission is hereby granted, free of charge, to any person obtaining a copy of this software and associated
documentation files (the "Software"), to deal in the Software without restriction, including without limitation the
rights to use, copy, modify, merge, publish, distribute, sublicense, and/or sell copies of the Software, and to permit
persons to whom the Software is furnished to do so, subject to the following conditions:

The above copyright notice and this permission notice shall be included in all copies or substantial portions of the
Software.

THE SOFTWARE IS PROVIDED "AS IS", WITHOUT WARRANTY OF ANY KIND, EXPRESS OR IMPLIED, INCLUDING BUT NOT LIMITED TO THE
WARRANTIES OF MERCHANTABILITY, FITNESS FOR A PARTICULAR PURPOSE AND NONINFRINGEMENT. IN NO EVENT SHALL THE AUTHORS OR
COPYRIGHT HOLDERS BE LIABLE FOR ANY CLAIM, DAMAGES OR OTHER LIABILITY, WHETHER IN AN ACTION OF CONTRACT, TORT OR
OTHERWISE, ARISING FROM, OUT OF OR IN CONNECTION WITH THE SOFTWARE OR THE USE OR OTHER DEALINGS IN THE SOFTWARE.
"""
