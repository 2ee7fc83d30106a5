"""A copy of a workbook that holds LAMBDA names for our functions, calculated by the engine formulon."""

import re
from io import BytesIO

import formulon
import openpyxl
from openpyxl.utils import coordinate_to_tuple
from openpyxl.workbook.defined_name import DefinedName

# The error a formulon value holds, by its number.
ERRORS = ("#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A")


def called(data):
    """The HYDRO_ functions that the formulas of a workbook call, by lower-case name."""
    book = openpyxl.load_workbook(BytesIO(data))
    cells = (cell for sheet in book for row in sheet.iter_rows() for cell in row)
    texts = (str(cell.value) for cell in cells if cell.data_type == "f")
    return {name.lower() for text in texts for name in re.findall(r"HYDRO_([A-Z0-9_]+)\(", text)}


def with_names(data, names):
    """Bytes of a copy of the workbook with these defined names added, and with calls of HYDRO_PLANT as `completed`."""
    book = openpyxl.load_workbook(BytesIO(data))
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f" and "HYDRO_PLANT(" in str(cell.value):
                    cell.value = completed(cell.value)
    for name, text in names.items():
        book.defined_names[name] = DefinedName(name, attr_text=text)
    out = BytesIO()
    book.save(out)
    return out.getvalue()


_CALL = re.compile(r'(HYDRO_PLANT\(|[(){},"])')
_ASKED = re.compile(r'HYDRO_PLANT\(([^,()]+),"([a-z_]+)"')


def completed(formula):
    """The formula with a call of Q_FLOW(plant,names,values) in place of HYDRO_PLANT(plant,"flow",names,values).

    The names Q_… are those of `lambdas`; names and values that are left out are empty arguments.
    """
    pieces, arguments, quoted = [], [], False  # of each open bracket: arguments so far, 0 where it is no such call
    for piece in _CALL.split(formula):
        quoted ^= piece == '"'
        if not quoted:
            if piece == "HYDRO_PLANT(":
                arguments.append(1)
            elif piece in ("(", "{"):
                arguments.append(0)
            elif piece == "," and arguments and arguments[-1]:
                arguments[-1] += 1
            elif piece in (")", "}"):
                pieces.append("," * (4 - (arguments.pop() or 4)))
        pieces.append(piece)
    return _ASKED.sub(lambda call: f"Q_{call[2].upper()}({call[1]}", "".join(pieces))


class FormulonBook:
    """A workbook in formulon: set cells, calculate, read every formula cell."""

    def __init__(self, data):
        self.formulas = {
            (sheet.title, cell.coordinate)
            for sheet in openpyxl.load_workbook(BytesIO(data))
            for row in sheet.iter_rows()
            for cell in row
            if cell.data_type == "f"
        }
        self.workbook = formulon.Workbook.load(data)
        self.sheets = {self.workbook.sheet_name(i): i for i in range(self.workbook.sheet_count())}
        self.places = {key: self._place(*key) for key in self.formulas}
        self.inputs = {}

    def run(self, inputs):
        """Values of all formula cells by (sheet, cell): float, str, bool, or an error as its text."""
        for key, value in inputs.items():
            if key in self.inputs and self.inputs[key] == value:
                continue  # formulon calculates anew what hangs on a cell that is set, also where the value is the same
            self.inputs[key] = value
            place = self._place(*key)
            if value is None:
                self.workbook.set_blank(*place)
            elif isinstance(value, str):
                self.workbook.set_text(*place, value)
            else:
                self.workbook.set_number(*place, float(value))
        self.workbook.recalc()
        return {key: self._value(place) for key, place in self.places.items()}

    def _place(self, sheet, cell):
        row, column = coordinate_to_tuple(cell)
        return self.sheets[sheet], row - 1, column - 1

    def _value(self, place):
        value = self.workbook.get_value(*place).to_python()
        code = getattr(value, "error_code", None)
        return value if code is None else ERRORS[code]
