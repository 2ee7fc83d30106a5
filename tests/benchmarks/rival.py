"""One rival in a process of its own:  python -m tests.benchmarks.rival NAME BOOK QUESTIONS SECONDS

Opens the workbook, calculates it once as it is, and then with the inputs of one scenario after the other. Prints a line
of JSON after each: processor seconds since the process began, and the outputs. Ends when it has used SECONDS of
processor time. QUESTIONS is a JSON of `inputs` and `outputs` (sheet and cell of each) and `scenarios` (a list of
values of each).
"""

import json
import resource
import sys
import time
from pathlib import Path

from openpyxl.utils import coordinate_to_tuple


def formulon(data):
    """Sets cells, calculates, reads cells."""
    from formulon import Workbook

    from tests.emit.engines import for_formulon

    book = Workbook.load(for_formulon(data))
    sheets = {book.sheet_name(i): i for i in range(book.sheet_count())}

    def place(sheet, cell):
        row, column = coordinate_to_tuple(cell)
        return sheets[sheet], row - 1, column - 1

    return (
        lambda key, value: book.set_number(*place(*key), value),
        book.recalc,
        lambda key: book.get_value(*place(*key)).to_python(),
    )


def ironcalc(data):
    from tests.emit.engines import ironcalc_model

    model, sheets = ironcalc_model(data)

    def place(sheet, cell):
        return sheets[sheet], *coordinate_to_tuple(cell)

    return (
        lambda key, value: model.update_cell_with_number(*place(*key), value),
        model.evaluate,
        lambda key: model.get_cell_value(*place(*key)),
    )


def main():
    open_, book, questions = globals()[sys.argv[1]], Path(sys.argv[2]).read_bytes(), Path(sys.argv[3]).read_text()
    asked = json.loads(questions)
    resource.setrlimit(resource.RLIMIT_CPU, (int(sys.argv[4]), int(sys.argv[4])))

    def tell(outputs=()):
        print(json.dumps([time.process_time(), [v if isinstance(v, float) else str(v) for v in outputs]]), flush=True)

    put, calculate, read = open_(book)
    tell()
    calculate()
    tell([read(key) for key in asked["outputs"]])
    for values in asked["scenarios"]:
        for key, value in zip(asked["inputs"], values):
            put(key, value)
        calculate()
        tell([read(key) for key in asked["outputs"]])


if __name__ == "__main__":
    main()
