"""Drives one real Calc for the tests, run by the Python that has uno: a line of JSON in, a line of JSON out.

python3 calc_driver.py SOFFICE -env:...
"""

import contextlib
import json
import re
import subprocess
import sys
import time
import traceback
import uuid

import uno
from com.sun.star.beans import PropertyValue
from com.sun.star.uno import RuntimeException

CELLS = re.compile(r"(^|!)[A-Z]{1,3}[0-9]+(:|$)")


class Calc:
    def __init__(self, soffice, options):
        pipe = "hydrofunc" + uuid.uuid4().hex
        self.process = subprocess.Popen(
            [soffice, "--norestore", "--nologo", "--nodefault", f"--accept=pipe,name={pipe};urp;", *options],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        resolver = uno.getComponentContext().ServiceManager.createInstance("com.sun.star.bridge.UnoUrlResolver")
        until = time.monotonic() + 90
        while True:
            try:
                self.context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
                break
            except Exception:
                if time.monotonic() > until or self.process.poll():
                    raise
                time.sleep(0.1)
        self.desktop = self.service("com.sun.star.frame.Desktop")
        self.document = None

    def service(self, name):
        return self.context.ServiceManager.createInstanceWithContext(name, self.context)

    def pid(self):
        return self.process.pid

    def version(self):
        """[25, 2] and the like."""
        provider = self.service("com.sun.star.configuration.ConfigurationProvider")
        access = provider.createInstanceWithArguments(
            "com.sun.star.configuration.ConfigurationAccess", (_property("nodepath", "/org.openoffice.Setup/Product"),)
        )
        return [int(part) for part in access.ooSetupVersion.split(".")[:2]]

    def open(self, url="private:factory/scalc", macros=False):
        """`macros`: whether the macros in a document run is then for the user's settings to say, else they do not."""
        self.close()
        settings = [_property("Hidden", True)]
        if macros:
            settings.append(_property("MacroExecutionMode", 3))  # com.sun.star.document.MacroExecMode.USE_CONFIG
        self.document = self.desktop.loadComponentFromURL(url, "_blank", 0, tuple(settings))

    def attach(self, seconds=60):
        """Take the spreadsheet that is open already in the LibreOffice of the same user."""
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            document = self.desktop.getCurrentComponent()
            if document is not None and document.supportsService("com.sun.star.sheet.SpreadsheetDocument"):
                self.document = document
                return document.Title
            time.sleep(0.2)
        raise LookupError("no spreadsheet is open")

    def show(self, url, width, height, macros=False):
        """Open a document in a window of that size in pixels, at the top left; `macros` as in `open`."""
        self.close()
        settings = (_property("MacroExecutionMode", 3),) if macros else ()
        self.document = self.desktop.loadComponentFromURL(url, "_blank", 0, settings)
        self.document.CurrentController.Frame.ContainerWindow.setPosSize(0, 0, width, height, 15)

    def select(self, address):
        """Put the cursor on a cell."""
        cell = self._range(address)
        self.document.CurrentController.setActiveSheet(cell.getSpreadsheet())
        self.document.CurrentController.select(cell)

    def dispatch(self, command):
        """What a menu entry or key would do, such as .uno:FunctionDialog."""
        helper = self.service("com.sun.star.frame.DispatchHelper")
        helper.executeDispatch(self.document.CurrentController.Frame, command, "", 0, ())

    def windows(self):
        """Titles of the windows on the screen."""
        return list(self._windows())

    def words(self, title):
        """All texts that the window with this title shows."""
        return list(_words(self._windows()[title]))

    def _windows(self):
        toolkit = self.service("com.sun.star.awt.Toolkit")
        windows = [toolkit.getTopWindow(i) for i in range(toolkit.getTopWindowCount())]
        contexts = [window.getAccessibleContext() for window in windows]
        return {context.getAccessibleName(): context for context in contexts}

    def save(self, url, kind):
        self.document.storeToURL(url, (_property("FilterName", kind),))

    def close(self):
        if self.document is not None:
            self.document.close(True)
            self.document = None

    def set(self, cells):
        """Contents by address: a number, a text, a formula that begins with =, or {=...} for an array."""
        for address, content in cells:
            cell = self._range(address)
            if isinstance(content, str) and content.startswith("{="):
                cell.setArrayFormula(content[1:-1])
            elif isinstance(content, str) and content.startswith("="):
                cell.setFormula(content)
            elif isinstance(content, str):
                cell.setString(content)
            elif content is None:
                cell.clearContents(1023)
            else:
                cell.setValue(content)

    def enter(self, address, content):
        """Enter a content where the sheet's protection allows it, which `set` does not ask; whether it does."""
        try:
            self._range(address).setFormulaArray([[content]])
        except RuntimeException:
            return False
        return True

    def unprotect(self, title):
        """Switch a sheet's protection off without password; whether it was on, and whether it is off."""
        sheet = self.document.Sheets.getByName(title)
        was_on = sheet.isProtected()
        sheet.unprotect("")
        return [was_on, not sheet.isProtected()]

    def insert(self, title, row, count):
        """Put empty rows in above this one."""
        self.document.Sheets.getByName(title).Rows.insertByIndex(row - 1, count)

    def copy_down(self, address, to):
        """Copy a range of one row, such as Route!E70:N70, over each row below it down to `to`."""
        source = self._range(address)
        sheet, place = source.getSpreadsheet(), source.getRangeAddress()
        for row in range(place.StartRow + 1, to):
            sheet.copyRange(sheet.getCellByPosition(place.StartColumn, row).getCellAddress(), place)

    def read(self, addresses):
        """[number, text shown, error code, formula] for each address."""
        cells = [self._range(address) for address in addresses]
        return [[c.getValue(), c.getString(), c.getError(), c.getFormula()] for c in cells]

    def work_out(self, formulas):
        """Each formula entered in a cell of its own below row 100 of the first sheet, and read."""
        addresses = [f"A{row}" for row in range(101, 101 + len(formulas))]
        self.set(list(zip(addresses, formulas)))
        return self.read(addresses)

    def column(self, address, formulas):
        """Enter one formula in each cell of a column, in one go; the seconds until all are calculated."""
        self._range(address).setFormulaArray([[formula] for formula in formulas])
        start = time.perf_counter()
        self.document.calculateAll()
        return time.perf_counter() - start

    def set_and_calculate(self, cells, hard=True):
        """Seconds for new contents and a hard recalculation, or one of all that hangs on them."""
        start = time.perf_counter()
        self.document.enableAutomaticCalculation(False)
        self.set(cells)
        if hard:
            self.document.calculateAll()
        else:
            self.document.calculate()
        self.document.enableAutomaticCalculation(True)
        return time.perf_counter() - start

    def change(self, address, value):
        """Seconds for a new value and all that hangs on it."""
        start = time.perf_counter()
        self._range(address).setValue(value)
        self.document.calculate()
        return time.perf_counter() - start

    def calculate_all(self):
        start = time.perf_counter()
        self.document.calculateAll()
        return time.perf_counter() - start

    def call(self, name, arguments):
        """A function called by a program, without a sheet."""
        return self.service("com.sun.star.sheet.FunctionAccess").callFunction(name, tuple(arguments))

    def freeze(self):
        """Put the value in place of each formula that calls one of ours; how many."""
        count = 0
        for sheet, cells in self.formulas().items():
            for address, formula in cells.items():
                cell = self._range(f"{sheet}!{address}")
                if "HYDROFUNC." in formula and not cell.getError():
                    cell.setValue(cell.getValue())
                    count += 1
        return count

    def formulas(self):
        """{sheet: {address: formula}} of every formula cell."""
        return self._of_formula_cells("getFormulaArray")

    def results(self):
        """The same with what each shows: a number or a text, None for an error value."""
        return self._of_formula_cells("getDataArray")

    def _of_formula_cells(self, what):
        found = {}
        for sheet in self.document.Sheets:
            cells = found[sheet.Name] = {}
            for block in sheet.queryContentCells(16).RangeAddresses:
                area = sheet.getCellRangeByPosition(block.StartColumn, block.StartRow, block.EndColumn, block.EndRow)
                for r, row in enumerate(getattr(area, what)()):
                    for c, content in enumerate(row):
                        cells[_address(block.StartColumn + c, block.StartRow + r)] = content
        return found

    def functions(self):
        """What the function wizard knows of each of our functions."""
        all_ = self.service("com.sun.star.sheet.FunctionDescriptions")
        found = []
        for i in range(all_.getCount()):
            item = {p.Name: p.Value for p in all_.getByIndex(i)}
            if item["Name"].startswith("HYDRO_"):
                item["Arguments"] = [[a.Name, a.Description, a.IsOptional] for a in item["Arguments"] or ()]
                found.append(item)
        return found

    def quit(self):
        self.close()
        with contextlib.suppress(Exception):
            self.desktop.terminate()
        self.process.wait(30)

    def _range(self, address):
        """Cells by their address, Sheet!A1, or by a name of the document."""
        if not CELLS.search(address):
            return self.document.NamedRanges.getByName(address).getReferredCells()
        sheet, _, place = address.rpartition("!")
        sheets = self.document.Sheets
        return (sheets.getByName(sheet) if sheet else sheets.getByIndex(0)).getCellRangeByName(place)


def _words(context):
    """The names and texts of a part of a window and of all parts in it."""
    yield context.getAccessibleName()
    with contextlib.suppress(Exception):  # not every part has one
        yield context.getText()
    for i in range(context.getAccessibleChildCount()):
        child = context.getAccessibleChild(i)
        if child is not None:
            yield from _words(child.getAccessibleContext())


def _address(column, row):
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return f"{letters}{row + 1}"


def _property(name, value):
    item = PropertyValue()
    item.Name, item.Value = name, value
    return item


def main():
    calc = Calc(sys.argv[1], sys.argv[2:])
    try:
        for line in sys.stdin:
            name, arguments = json.loads(line)
            try:
                reply = {"result": getattr(calc, name)(*arguments)}
            except Exception:
                reply = {"error": traceback.format_exc()}
            print(json.dumps(reply), flush=True)
            if name == "quit":
                return
    finally:
        if calc.process.poll() is None:
            calc.process.terminate()


if __name__ == "__main__":
    main()
