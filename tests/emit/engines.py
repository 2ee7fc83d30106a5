"""A workbook with names, calculated by two engines that are not ours: formulon and ironcalc.

What each does not know is said here once, and put right in the copy that it gets; no result is excused by it.
"""

import re
import tempfile
import zipfile
from io import BytesIO
from pathlib import Path

import formulon
import ironcalc
import openpyxl
from openpyxl.utils import coordinate_to_tuple
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.formula import ArrayFormula

from tests.oracle.formulon_book import ERRORS


def sheet_with(names, formulas, cells=None):
    """Bytes of a workbook with defined names, cells on a sheet `Cells`, and the formulas down column A of `Calls`.

    The formulas are stored as arrays of one cell, as the live workbooks have them.
    """
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Calls"
    values = book.create_sheet("Cells")
    for name, text in names.items():
        book.defined_names[name] = DefinedName(name, attr_text=text)
    for row, formula in enumerate(formulas, start=1):
        sheet.cell(row, 1).value = ArrayFormula(f"A{row}", "=" + formula)
    for cell, value in (cells or {}).items():
        values[cell] = value
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def changed(data, in_names=str, in_sheets=str):
    """A copy of a workbook with a change made to the part that holds its names, and to those of its sheets."""
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for item in old.infolist():
            part = old.read(item)
            if item.filename == "xl/workbook.xml":
                part = in_names(part.decode())
            elif item.filename.startswith("xl/worksheets/sheet"):
                part = in_sheets(part.decode())
            new.writestr(item, part)
    return out.getvalue()


def for_formulon(data):
    """formulon 0.18 knows no `_xlop.`: there every place of a call is given, and an empty one is blank (`padded`)."""

    def as_blank(text):
        return re.sub(r"_xlfn\.ISOMITTED\(([\w.]+)\)", r"AND(ISBLANK(\1))", text.replace("_xlop.", "_xlpm."))

    return changed(data, as_blank)


def for_ironcalc(data):
    """ironcalc 0.9.1 takes the workbook's own name where a parameter is called like it: parameters are renamed.

    It also takes an empty cell that has a style and says `t="n"` for a 0: such cells are taken out.
    """
    return changed(
        data,
        lambda text: re.sub(r"_xl(pm|op)\.(?=[a-z])", r"_xl\1.q_", text),
        lambda text: re.sub(r'<c r="[A-Z]+[0-9]+"( s="[0-9]+")? t="n" ?/>', "", text),
    )


def padded(formula, count):
    """A call with an empty place for every argument that is left out."""
    depth = given = 0
    for sign in re.sub(r'"[^"]*"', "", formula[formula.index("(") :]):
        depth += (sign in "({") - (sign in ")}")
        given += sign == "," and depth == 1
    return formula[:-1] + "," * (count - 1 - given) + ")"


def formulon_values(data, places):
    """What formulon calculates for (sheet, cell)."""
    book = formulon.Workbook.load(for_formulon(data))
    book.recalc()
    sheets = {book.sheet_name(i): i for i in range(book.sheet_count())}
    found = {}
    for sheet, cell in places:
        row, column = coordinate_to_tuple(cell)
        value = book.get_value(sheets[sheet], row - 1, column - 1).to_python()
        code = getattr(value, "error_code", None)
        found[sheet, cell] = value if code is None else ERRORS[code] if code < len(ERRORS) else f"error {code}"
    return found


def ironcalc_values(data, places):
    """What ironcalc calculates for (sheet, cell)."""
    model, sheets = ironcalc_model(data)
    model.evaluate()
    return {(sheet, cell): model.get_cell_value(sheets[sheet], *coordinate_to_tuple(cell)) for sheet, cell in places}


def ironcalc_model(data):
    """A workbook opened by ironcalc, and the numbers of its sheets by their names."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "book.xlsx"
        path.write_bytes(for_ironcalc(data))
        model = ironcalc.load_from_xlsx(str(path), "en", "UTC")
    names = [s["name"] if isinstance(s, dict) else s.name for s in model.get_worksheets_properties()]
    return model, {name: i for i, name in enumerate(names)}


ENGINES = {"formulon": formulon_values, "ironcalc": ironcalc_values}
