"""Pictures of Calc on a screen: the filled demo workbook, and the function wizard on one of our functions.

    python -m tests.hosts.calc.picture FOLDER

writes workbook.png and wizard.png there. Needs LibreOffice, python3-uno, xvfb, xdotool and imagemagick.
"""

import sys
import tempfile
from pathlib import Path

from hydrofunc.hosts.calc.book import book_for_old_calc
from hydrofunc.hosts.calc.install import install
from tests.hosts.calc.calc_session import Calc, options_for
from tests.hosts.calc.screen import HEIGHT, WIDTH, screen, take, wait_for_window

BOOKS = Path(__file__).parents[3] / "workbooks" / "invented-demo"
WIZARD = "Function Wizard"
SHOWN = "plant_watts"  # name of a cell on the sheet to be seen


def show_workbook(calc, path, folder):
    """Open a filled workbook, as .ods, in a window on Calc's screen."""
    book = folder / f"{path.stem}.ods"
    calc.show(book.as_uri(), WIDTH, HEIGHT)
    calc.select(SHOWN)


def show_wizard(calc):
    """Open the function wizard on a cell that asks for gravity or density; the name of the function."""
    for name in ("GRAVITY", "DENSITY"):
        for sheet, cells in calc.formulas().items():
            for address, formula in cells.items():
                if formula.startswith(f"=HYDROFUNC.{name}("):
                    calc.select(f"{sheet}!{address}")
                    calc.dispatch(".uno:FunctionDialog")
                    return name
    raise LookupError("no cell of the open workbook asks for gravity or density")


def filled_workbook():
    """A filled demo workbook."""
    return min(path for path in BOOKS.glob("*.xlsx") if path.name != "summary.xlsx")


def main(out):
    out = Path(out)
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as name, screen() as display:
        folder = Path(name)
        options = options_for(folder)
        install(options)
        path = filled_workbook()
        book_for_old_calc(path, folder / f"{path.stem}.ods", options=options)
        calc = Calc(options, display)
        show_workbook(calc, path, folder)
        wait_for_window(display, path.stem)
        take(display, out / "workbook.png")
        show_wizard(calc)
        wait_for_window(display, WIZARD)
        take(display, out / "wizard.png")
        calc.quit()


if __name__ == "__main__":
    main(*sys.argv[1:])
