"""The workbook of the formula probes, and three engines that calculate it: ours, formulon, LibreOffice Calc."""

import csv
import os
import re
import subprocess
import tempfile
from io import BytesIO
from pathlib import Path

import openpyxl
from openpyxl.utils.datetime import to_excel
from openpyxl.workbook.defined_name import DefinedName

from hydrofunc.engine.compile import compile_book
from hydrofunc.engine.lanes import ExcelError
from hydrofunc.workbook.reading import read_book

PROBES = Path(__file__).with_name("probes.csv")
PAGE = "Probes"
DATA = {
    "A": [3, 4.5, -2, "abc", True, None, "'5", "=NA()", '=""', "=1/0"],
    "B": [1, 2, 3, 5, 8, 13],
    "C": ["one", "two", "three", "five", "eight", "thirteen"],
    "D": [5, 3, 8, 3, 1, 9],
    "E": ["pvc", "steel", "PVC", "pe", "Steel", "pvc pipe"],
    "F": [0.1, 0.2, "=F1+F2", 0.3],
    "G": [1, 4, 7],
    "H": [2, 5, 8],
    "I": [3, 6, 9],
    "K": [1, "'1", True, None, "x", 2],
}
NAMES = {"flow": "D!$A$1", "rate": "0.25", "pipes": "D!$B$1:$C$6", "label": '"spring"'}
_NEWER = re.compile(r"\b(IFS|IFNA|XOR|SWITCH|CONCAT|TEXTJOIN|XLOOKUP|MAXIFS|MINIFS)\(")
# The error a formulon value holds, by its number; it counts as ERROR.TYPE does, but from 0.
_FORMULON_ERRORS = ExcelError.TEXTS[1:]


def probes():
    """Rows of the probe table as dicts: formula, excel, formulon, calc, why."""
    with open(PROBES, encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def expected(cell):
    """A value as the table writes it: TRUE, 1.5, #N/A or "text"."""
    if cell in ("TRUE", "FALSE"):
        return cell == "TRUE"
    if cell.startswith("#"):
        return ExcelError(cell)
    return cell[1:-1] if cell.startswith('"') else float(cell)


def written(value):
    """The opposite of `expected`."""
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, float):
        return repr(value)
    return f'"{value}"' if isinstance(value, str) else str(value)


def same(a, b):
    """Are two values equal: of one kind, numbers to 1e-13?"""
    if type(a) is not type(b):
        return False
    return abs(a - b) <= 1e-13 * abs(b) if isinstance(a, float) and a != b else a == b


def probe_workbook(formulas, columns=DATA):
    """Bytes of a workbook with the data on sheet D, by columns, and the formulas in column A of sheet Probes."""
    workbook = openpyxl.Workbook()
    page = workbook.active
    page.title = PAGE
    data = workbook.create_sheet("D")
    other = workbook.create_sheet("My page")
    other["A1"], other["A2"] = 10, 20
    for column, values in columns.items():
        for row, value in enumerate(values, 1):
            if isinstance(value, str) and value.startswith("'"):
                value = value[1:]
                data[f"{column}{row}"].number_format = "@"
            data[f"{column}{row}"] = value
    for name, target in NAMES.items():
        workbook.defined_names[name] = DefinedName(name, attr_text=target)
    for row, formula in enumerate(formulas, 1):
        page.cell(row, 1).value = _NEWER.sub(r"_xlfn.\1(", _on_data(formula))
    out = BytesIO()
    workbook.save(out)
    return out.getvalue()


def _on_data(formula):
    """References without a sheet, outside of texts, point to sheet D."""
    pieces = re.split(r'("[^"]*")', formula)
    reference = re.compile(r"(?<![A-Za-z0-9!$:'.])([A-K]\d{1,2})(?::([A-K]\d{1,2}))?(?![\w(])")
    for i in range(0, len(pieces), 2):
        pieces[i] = reference.sub(lambda m: f"D!{m[0]}", pieces[i])
    return "".join(pieces)


def by_our_engine(data):
    book = read_book(data)
    plan = compile_book(book, {})
    result = plan.run()
    return {cell: result.value((sheet, cell)) for sheet, cell in plan.outputs if sheet == PAGE}


def by_formulon(data, rows):
    import formulon

    with formulon.Workbook.load(data) as workbook:
        workbook.recalc()
        sheet = next(i for i in range(workbook.sheet_count()) if workbook.sheet_name(i) == PAGE)
        values = {}
        for row in range(rows):
            value = workbook.get_value(sheet, row, 0).to_python()
            if value is not None:
                error = getattr(value, "error_code", None)
                values[f"A{row + 1}"] = value if error is None else ExcelError(_FORMULON_ERRORS[error])
        return values


def saved_by_calc(data, recalculate=True, locale=""):
    """The workbook, with its values, after LibreOffice Calc has opened and saved it.

    Calc runs in a profile of its own. Without `recalculate` it keeps the values stored in the file. `locale`, such as
    "de-DE", is that of the profile: there the decimal mark is a comma.
    """
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder, "probes.xlsx")
        source.write_bytes(data)
        profile = Path(folder, "profile", "user")
        profile.mkdir(parents=True)
        (profile / "registrymodifications.xcu").write_text(
            _PROFILE.format(mode=0 if recalculate else 1, locale=locale), encoding="utf-8"
        )
        command = [
            "soffice",
            f"-env:UserInstallation={profile.parent.as_uri()}",
            "--headless",
            "--norestore",
            "--convert-to",
            "xlsx:Calc MS Excel 2007 XML",
            "--outdir",
            f"{folder}/out",
            str(source),
        ]
        subprocess.run(
            command,
            check=True,
            timeout=180,
            capture_output=True,
            env={"PATH": "/usr/bin:/bin", "HOME": folder, "LC_ALL": os.environ.get("LC_ALL", "C.UTF-8")},
        )
        return openpyxl.load_workbook(f"{folder}/out/probes.xlsx", data_only=True)


def by_calc(data, page=PAGE, recalculate=True):
    """{address: value} of column A as `saved_by_calc`."""
    saved = saved_by_calc(data, recalculate)[page]
    return {cell.coordinate: value_of(cell) for (cell,) in saved.iter_rows(max_col=1)}


def value_of(cell):
    """The value of an openpyxl cell as our engine would give it; "" where it is empty."""
    if cell.data_type == "e":
        return ExcelError(cell.value)
    if cell.is_date and cell.value is not None:  # openpyxl turns numbers shown as dates into dates
        return float(to_excel(cell.value))
    if isinstance(cell.value, int) and not isinstance(cell.value, bool):
        return float(cell.value)
    return "" if cell.value is None else cell.value


# OOXMLRecalcMode: 0 recalculates always, 1 never (LibreOffice, officecfg schema, Office.Calc/Formula/Load).
_PROFILE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"
 xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">
<value>{mode}</value></prop></item>
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse">
<value>{locale}</value></prop></item>
</oor:items>
"""
