"""What a person with Excel on Windows needs, written into one folder.

- ``hydrofunc.xlsm``: the template and the self-test inside the macro-enabled workbook that xlwings ships as its
  stand-alone quickstart (BSD licence), so that it holds xlwings' own VBA, with the settings filled in;
- ``hydrofunc_functions.bas``: the wrappers of our functions, which only Excel can put into a workbook;
- ``xlwings.conf``: the same settings for other workbooks of that folder;
- ``STEPS.txt``: what to do, in words.
"""

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ... import __version__
from ...errors import FileRefused
from ...template import look
from ...workbook.files import refuse_existing, write_bytes
from . import CODE_PAGE, vba

BOOK, WRAPPERS, SETTINGS, STEPS = "hydrofunc.xlsm", f"{vba.MODULE}.bas", "xlwings.conf", "STEPS.txt"
CONF_SHEET, STEPS_SHEET = "xlwings.conf", "Excel steps"
# Rows of the settings sheet that xlwings does not read and `doctor` does. The VBA starts a DLL of one version by name.
VERSION_KEY, DLL_KEY = "hydrofunc version", "xlwings version"


@dataclass(frozen=True)
class Written:
    """Files written, and notes for the person."""

    paths: list[Path]
    notes: list[str]


def excel_addin(folder: Path | str, interpreter: str | None = None, force: bool = False) -> Written:
    """Write the four files into `folder`, which is made if missing.

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
    folder.mkdir(parents=True, exist_ok=True)
    paths = [folder / name for name in (BOOK, WRAPPERS, SETTINGS, STEPS)]
    refuse_existing(paths, force)
    contents = (
        starter(interpreter),
        vba.module_bytes(),
        settings_file(interpreter),
        steps_file(interpreter),
    )
    for path, data in zip(paths, contents):
        write_bytes(path, data, force)
    return Written(paths, notes)


def settings(interpreter: str) -> dict[str, str]:
    """xlwings' settings by name, as its manual and its quickstart workbook spell them."""
    # Else the workbook's folder, and a .zip of its name there, come before everything installed when Python imports.
    beside = {"ADD_WORKBOOK_TO_PYTHONPATH": "False"}
    return {"Interpreter_Win": interpreter, "UDF Modules": vba.PYTHON_MODULE, **beside}


def settings_file(interpreter: str) -> bytes:
    """The settings as the lines of an xlwings.conf file: "KEY","value". Raises `FileRefused`."""
    lines = [f'"{key.upper()}","{value}"' for key, value in settings(interpreter).items()]
    try:
        return ("\r\n".join(lines) + "\r\n").encode(CODE_PAGE)
    except UnicodeEncodeError as error:
        raise FileRefused(
            f"{SETTINGS}: Excel cannot read {error.object[error.start : error.end]!r} in it; install Python into a "
            "folder with plain letters in its path, such as C:\\hydro"
        ) from None


def starter(interpreter: str) -> bytes:
    """The template and the self-test as a macro-enabled workbook with xlwings' VBA in it; values stored."""
    import openpyxl
    import xlwings

    from ...jobs import selftest
    from ...jobs.recalc import calculated
    from ...template import add_pages, saved

    source = Path(xlwings.__file__).with_name("quickstart_standalone.xlsm")
    book = openpyxl.load_workbook(source, keep_vba=True)
    conf = next(sheet for sheet in book if sheet.title.lstrip("_") == CONF_SHEET)
    first = next(sheet for sheet in book if sheet is not conf)
    conf.title = CONF_SHEET
    _fill_settings(conf, {**settings(interpreter), VERSION_KEY: __version__, DLL_KEY: xlwings.__version__})
    _fill_steps(first, interpreter)
    add_pages(book)
    selftest.add_sheet(book)
    book.move_sheet(conf, len(book.sheetnames))
    book.active = 0
    data = saved(book)
    book.vba_archive.close()  # openpyxl leaves it to the garbage collector, which may close what is under it first
    return calculated(data).data


def _fill_settings(sheet: Any, values: dict[str, str]) -> None:
    rows = {sheet.cell(row, 1).value: row for row in range(1, sheet.max_row + 1) if sheet.cell(row, 1).value}
    last = next(row for row in range(1, sheet.max_row + 2) if sheet.cell(row, 1).value is None)
    for key, value in values.items():
        row = rows.get(key)
        if row is None:
            row, last = last, last + 1
            sheet.cell(row, 1, key)
        sheet.cell(row, 2, value)


def _fill_steps(sheet: Any, interpreter: str) -> None:
    sheet.title = STEPS_SHEET
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
        "3. Press Alt+F11. Menu File, Import File, choose hydrofunc_functions.bas. Nothing has to be trusted for this.",
        "4. Back in Excel press Alt+F8, choose HydrofuncDescribe, Run. It gives the function wizard its texts.",
        "5. Save. In an empty cell type =HYDRO_VERSION()  and Enter. The first call starts Python and may take",
        f"   some seconds; the cell then shows {__version__}.",
        "6. Press Ctrl+Alt+F9 to calculate everything. The results should not change, and the sheet Self-test",
        "   must say PASS.",
        "",
        "#N/A in every HYDRO cell: Python did not answer. Alt+F11, Ctrl+G, type ?HydrofuncLastFailure and Enter;",
        "   then run  hydrofunc doctor hydrofunc.xlsm  in a command window.",
        "#NAME? in every HYDRO cell: step 3 is missing, or macros are not enabled.",
        '#NUM! or #VALUE!: an input is not allowed. =HYDRO_EXPLAIN("friction_head", the same arguments) says which.',
        "After an update of hydrofunc: run  hydrofunc excel-addin  again, in the VBA editor remove the module",
        "   hydrofunc_functions and import the new file.",
        "Keep this workbook the one you calculate in. A function taken from another workbook or add-in gets the",
        "   path of that file written into your formulas;  hydrofunc doctor BOOK.xlsx --repair OUT.xlsx  takes it out.",
    ]


def steps_file(interpreter: str) -> bytes:
    """The steps as a text file for Windows."""
    return ("\r\n".join(steps(interpreter)) + "\r\n").encode()
