"""What a person with Excel on Windows needs, written into one folder.

- ``hydrofunc.xlsm``: the template and the self-test with the VBA in it: the module of xlwings' free part (BSD licence,
  with its notice), as the installed package has it, and the wrappers of our functions; and the settings;
- ``STEPS.txt``: what to do, in words;
- where it is asked for, the folder ``modules``: the same VBA as files, which Excel imports into any workbook, and
  ``xlwings.conf``, the settings for one that has no sheet of them.
"""

import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from ... import __version__
from ...errors import FileRefused
from ...template import look
from ...workbook.files import refuse_existing, write_bytes
from . import CODE_PAGE, vba

BOOK, STEPS, MODULES, SETTINGS = "hydrofunc.xlsm", "STEPS.txt", "modules", "xlwings.conf"
CONF_SHEET, STEPS_SHEET = "xlwings.conf", "Excel steps"
# Rows of the settings sheet that xlwings does not read and `doctor` does. The VBA starts a DLL of one version by name.
VERSION_KEY, DLL_KEY = "hydrofunc version", "xlwings version"
# Rows that stay empty: they keep a setting of that name in a person's own xlwings.conf away.
_NOT_SET: dict[str, object] = {
    **dict.fromkeys(("PYTHONPATH", "Conda Path", "Conda Env")),
    **dict.fromkeys(("Debug UDFs", "Use UDF Server", "Show Console"), False),
}


@dataclass(frozen=True)
class Written:
    """Files written, and notes for the person."""

    paths: list[Path]
    notes: list[str]


def excel_addin(
    folder: Path | str, interpreter: str | None = None, force: bool = False, modules: bool = False
) -> Written:
    """Write the files into `folder`, which is made if missing; the folder `modules` in it only where asked for.

    interpreter: path of the python.exe that has hydrofunc; by default, on Windows, the one running now.
    """
    folder = Path(folder)
    if folder.exists() and not folder.is_dir():
        raise FileRefused(f"{folder} is not a folder")
    notes = []
    if interpreter is None:
        if sys.platform == "win32":
            interpreter = sys.executable
        else:
            interpreter = "python"
            notes.append(
                "This machine has no Excel for Windows. Take the folder to the one that has, install hydrofunc "
                "there, and write the path of its python.exe into the sheet xlwings.conf (Interpreter_Win), or run "
                "this command there."
            )
    made: dict[Path, Callable[[], bytes]] = {
        folder / BOOK: partial(starter, interpreter),
        folder / STEPS: partial(steps_file, interpreter),
    }
    if modules:
        beside = folder / MODULES
        made |= {beside / f"{name}.bas": partial(vba.module_file, name, text) for name, text in vba.modules().items()}
        made[beside / SETTINGS] = partial(settings_file, interpreter)
    for parent in sorted({path.parent for path in made}):
        parent.mkdir(parents=True, exist_ok=True)
    refuse_existing(made, force)
    contents = [content() for content in made.values()]  # all, before the first is written
    for path, content in zip(made, contents):
        write_bytes(path, content, force)
    return Written(list(made), notes)


def settings(interpreter: str) -> dict[str, str]:
    """xlwings' settings by name, as its manual and its quickstart workbook spell them. Raises `FileRefused`."""
    try:
        interpreter.encode(CODE_PAGE)  # in which VBA reads a file, and hands a path to Windows
    except UnicodeEncodeError as error:
        raise FileRefused(
            f"{interpreter}: Excel cannot read {interpreter[error.start : error.end]!r} in it; install Python into a "
            "folder with plain letters in its path, such as C:\\hydro"
        ) from None
    # Else the workbook's folder, and a .zip of its name there, come before everything installed when Python imports.
    beside = {"ADD_WORKBOOK_TO_PYTHONPATH": "False"}
    return {"Interpreter_Win": interpreter, "UDF Modules": vba.PYTHON_MODULE, **beside}


def settings_file(interpreter: str) -> bytes:
    """The settings as the lines of an xlwings.conf file: "KEY","value"."""
    lines = [f'"{key.upper()}","{value}"' for key, value in settings(interpreter).items()]
    return ("\r\n".join(lines) + "\r\n").encode(CODE_PAGE)


def starter(interpreter: str) -> bytes:
    """The template and the self-test as a macro-enabled workbook with the VBA in it; values stored."""
    import xlwings

    from ...emit.vba_book import with_modules
    from ...jobs import selftest
    from ...jobs.recalc import calculated
    from ...template import add_pages, new_book, saved

    book = new_book()
    _fill_steps(book.create_sheet(STEPS_SHEET), interpreter)
    add_pages(book)
    selftest.add_sheet(book)
    rows = {**settings(interpreter), **_NOT_SET, VERSION_KEY: __version__, DLL_KEY: xlwings.__version__}
    _fill(book.create_sheet(CONF_SHEET), rows.items())
    texts = book.create_sheet(vba.WIZARD_SHEET)
    texts.sheet_state = "hidden"
    _fill(texts, vba.wizard_rows())
    return with_modules(calculated(saved(book)).data, vba.modules())


def _fill(sheet: Any, rows: Iterable[Iterable[object]]) -> None:
    """Writes words as words, whatever they begin with."""
    for row, values in enumerate(rows, start=1):
        for column, value in enumerate(values, start=1):
            cell = sheet.cell(row, column, value)
            if isinstance(value, str):
                cell.data_type = "s"
    for letter in "ABC":
        sheet.column_dimensions[letter].width = 28


def _fill_steps(sheet: Any, interpreter: str) -> None:
    sheet.column_dimensions["A"].width = 116
    sheet.sheet_view.showGridLines = False
    for row, line in enumerate(steps(interpreter), start=1):
        cell = sheet.cell(row, 1, line)
        look.dress(cell, look.TITLE if row == 1 else look.WORDS)
        cell.data_type = "s"
    sheet.row_dimensions[1].height = 27
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True


def steps(interpreter: str) -> list[str]:
    """The steps, one a line."""
    return [
        f"hydrofunc {__version__} in Excel for Windows, through xlwings (free part, BSD licence).",
        "Not for Excel on a Mac, on the web or from the Microsoft Store: there, use the stored values.",
        "",
        f"1. Python with hydrofunc and xlwings must be on this machine: {interpreter}",
        "   To install, in a command window in the folder of hydrofunc: python -m venv C:\\hydro  and then",
        r"   C:\hydro\Scripts\pip install .[excel]  Its Python is C:\hydro\Scripts\python.exe; write that path into",
        "   the sheet xlwings.conf, row Interpreter_Win, if it is not the path above.",
        "2. In Explorer, right-click hydrofunc.xlsm, Properties, tick Unblock if it is shown. Open it; Enable Content.",
        "3. In an empty cell type =HYDRO_VERSION()  and Enter. The first call starts Python and may take",
        f"   some seconds; the cell then shows {__version__}.",
        "4. Press Ctrl+Alt+F9 to calculate everything. The results should not change, and the sheet Self-test",
        "   must say PASS.",
        "",
        "If you like: Alt+F8, HydrofuncDescribe, Run, then save. The function wizard then explains every argument.",
        "",
        "#N/A in every HYDRO cell: Python did not answer. Alt+F11, Ctrl+G, type ?HydrofuncLastFailure and Enter;",
        "   then run  hydrofunc doctor hydrofunc.xlsm  in a command window.",
        "#NAME? in every HYDRO cell: macros are not enabled (step 2).",
        '#NUM! or #VALUE!: an input is not allowed. =HYDRO_EXPLAIN("friction_head", the same arguments) says which.',
        "Excel says that it repaired or removed something (nobody has seen Excel open this file): run",
        "   hydrofunc excel-addin FOLDER --modules  and import the files of its folder modules: Alt+F11, File, Import",
        "   File. Nothing has to be trusted for this. Please tell us.",
        "After an update of hydrofunc: run  hydrofunc excel-addin  again. To keep a workbook that you have filled, do",
        "   it with --modules: in its VBA editor remove the modules xlwings and hydrofunc_..., import the new files,",
        "   and write the versions of hydrofunc and xlwings into its sheet xlwings.conf.",
        "Keep this workbook the one you calculate in. A function taken from another workbook or add-in gets the",
        "   path of that file written into your formulas;  hydrofunc doctor BOOK.xlsx --repair OUT.xlsx  takes it out.",
    ]


def steps_file(interpreter: str) -> bytes:
    """The steps as a text file for Windows."""
    return ("\r\n".join(steps(interpreter)) + "\r\n").encode()
