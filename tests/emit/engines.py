"""A workbook with names, calculated by two engines that are not ours: formulon and ironcalc.

What each does not know is said here once, and put right in the copy that it gets; no result is excused by it.
"""

import re
import tempfile
import zipfile
from io import BytesIO
from pathlib import Path
from xml.sax.saxutils import escape, unescape

import formulon
import ironcalc
import openpyxl
from openpyxl.utils import coordinate_to_tuple
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.formula import ArrayFormula

from tests.oracle.formulon_book import ERRORS

_CALL = re.compile(r'(\w*[({]|[)},"])')
_QUOTE = {"&quot;": '"', "&apos;": "'"}


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
    """formulon 0.18 knows no `_xlop.`: there every place of a call is given, and one that is no cell and blank is none.

    How many places there are is read from the names of the workbook itself.
    """
    with zipfile.ZipFile(BytesIO(data)) as archive:
        names = re.findall(
            r'name="(HYDRO_\w+)"[^>]*>_xlfn\.LAMBDA\(([^()]*),', archive.read("xl/workbook.xml").decode()
        )
    places = {name: len(re.findall(r"_xl[op][mp]\.", parameters)) for name, parameters in names}

    def as_blank(text):
        omitted = r"AND(ISBLANK(\1),NOT(ISREF(\1)))"
        return re.sub(r"_xlfn\.ISOMITTED\(([\w.]+)\)", omitted, text.replace("_xlop.", "_xlpm."))

    def filled_up(found):
        return found[1] + escape(padded(unescape(found[2], _QUOTE), places)) + found[3]

    return changed(data, as_blank, lambda text: re.sub(r"(<f[^>]*>)([^<]*HYDRO_[^<]*)(</f>)", filled_up, text))


def for_ironcalc(data):
    """ironcalc 0.9.1 takes the workbook's own name where a parameter is called like it: parameters are renamed.

    It also takes an empty cell that has a style and says `t="n"` for a 0: such cells are taken out.
    """
    return changed(
        data,
        lambda text: re.sub(r"_xl(pm|op)\.(?=[a-z])", r"_xl\1.q_", text),
        lambda text: re.sub(r'<c r="[A-Z]+[0-9]+"( s="[0-9]+")? t="n" ?/>', "", text),
    )


def padded(formula, places):
    """A formula with an empty place for every argument that a call of ours leaves out. `places`: how many each has."""
    pieces, calls, quoted = [], [], False  # of each open bracket: places of its call and those given, or nothing
    for piece in _CALL.split(formula):
        quoted ^= piece == '"'
        if not quoted:
            if piece[-1:] in ("(", "{"):
                calls.append([places[piece[:-1]], 1] if piece[:-1] in places else None)
            elif piece == "," and calls and calls[-1]:
                calls[-1][1] += 1
            elif piece in (")", "}"):
                call = calls.pop()
                pieces.append("," * (call[0] - call[1]) if call else "")
        pieces.append(piece)
    return "".join(pieces)


class Formulon:
    """A workbook opened by formulon."""

    def __init__(self, data):
        self.book = formulon.Workbook.load(for_formulon(data))
        self.sheets = {self.book.sheet_name(i): i for i in range(self.book.sheet_count())}
        self.calculate = self.book.recalc

    def _place(self, sheet, cell):
        row, column = coordinate_to_tuple(cell)
        return self.sheets[sheet], row - 1, column - 1

    def type(self, key, value):
        """Puts a number or a text into a cell, or empties it."""
        set_ = self.book.set_text if isinstance(value, str) else self.book.set_number
        self.book.set_blank(*self._place(*key)) if value is None else set_(*self._place(*key), value)

    def value(self, key):
        """What a cell shows; an error as its text."""
        value = self.book.get_value(*self._place(*key)).to_python()
        code = getattr(value, "error_code", None)
        return value if code is None else ERRORS[code] if code < len(ERRORS) else f"error {code}"


class Ironcalc:
    """A workbook opened by ironcalc."""

    def __init__(self, data):
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "book.xlsx"
            path.write_bytes(for_ironcalc(data))
            self.book = ironcalc.load_from_xlsx(str(path), "en", "UTC")
        names = [s["name"] if isinstance(s, dict) else s.name for s in self.book.get_worksheets_properties()]
        self.sheets = {name: i for i, name in enumerate(names)}
        self.calculate = self.book.evaluate

    def _place(self, sheet, cell):
        return self.sheets[sheet], *coordinate_to_tuple(cell)

    def type(self, key, value):
        """Puts a number or a text into a cell, or empties it."""
        set_ = self.book.update_cell_with_text if isinstance(value, str) else self.book.update_cell_with_number
        self.book.clear_cell_contents(*self._place(*key)) if value is None else set_(*self._place(*key), value)

    def value(self, key):
        """What a cell shows; an error as its text."""
        return self.book.get_cell_value(*self._place(*key))


BOOKS = {"formulon": Formulon, "ironcalc": Ironcalc}


def _values(book):
    """What calculates a workbook's values for (sheet, cell)."""

    def values(data, places):
        opened = book(data)
        opened.calculate()
        return {key: opened.value(key) for key in places}

    return values


ENGINES = {name: _values(book) for name, book in BOOKS.items()}
