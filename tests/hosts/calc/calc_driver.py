"""Drives one real Calc for the tests, run by the Python that has uno: a line of JSON in, a line of JSON out.

    python3 calc_driver.py SOFFICE -env:...
"""

import json
import subprocess
import sys
import time
import traceback
import uuid

import uno
from com.sun.star.beans import PropertyValue


class Calc:
    def __init__(self, soffice, options):
        pipe = "hydrofunc" + uuid.uuid4().hex
        self.process = subprocess.Popen(
            [soffice, "--headless", "--norestore", "--nologo", "--nodefault", f"--accept=pipe,name={pipe};urp;", *options],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )
        resolver = uno.getComponentContext().ServiceManager.createInstance("com.sun.star.bridge.UnoUrlResolver")
        until = time.monotonic() + 90
        while True:
            try:
                self.context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
                break
            except Exception:
                if time.monotonic() > until or self.process.poll() is not None:
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

    def open(self, url="private:factory/scalc"):
        self.close()
        self.document = self.desktop.loadComponentFromURL(url, "_blank", 0, (_property("Hidden", True),))

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

    def set_and_calculate(self, cells):
        """Seconds for new contents and a hard recalculation."""
        start = time.perf_counter()
        self.document.enableAutomaticCalculation(False)
        self.set(cells)
        self.document.calculateAll()
        self.document.enableAutomaticCalculation(True)
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
        found = {}
        for sheet in self.document.Sheets:
            cells = found[sheet.Name] = {}
            for block in sheet.queryContentCells(16).RangeAddresses:
                area = sheet.getCellRangeByPosition(block.StartColumn, block.StartRow, block.EndColumn, block.EndRow)
                for r, row in enumerate(area.getFormulaArray()):
                    for c, formula in enumerate(row):
                        cells[_address(block.StartColumn + c, block.StartRow + r)] = formula
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
        try:
            self.desktop.terminate()
        except Exception:
            pass
        self.process.wait(30)

    def _range(self, address):
        sheet, _, place = address.rpartition("!")
        sheets = self.document.Sheets
        return (sheets.getByName(sheet) if sheet else sheets.getByIndex(0)).getCellRangeByName(place)


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
