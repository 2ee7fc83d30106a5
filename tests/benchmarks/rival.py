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

from tests.emit.engines import BOOKS


def main():
    engine, book, questions = sys.argv[1], Path(sys.argv[2]).read_bytes(), Path(sys.argv[3]).read_text()
    asked = json.loads(questions)
    resource.setrlimit(resource.RLIMIT_CPU, (int(sys.argv[4]), int(sys.argv[4])))

    def tell(outputs=()):
        print(json.dumps([time.process_time(), [v if isinstance(v, float) else str(v) for v in outputs]]), flush=True)

    opened = BOOKS[engine](book)
    tell()
    opened.calculate()
    tell([opened.value(key) for key in asked["outputs"]])
    for values in asked["scenarios"]:
        for key, value in zip(asked["inputs"], values):
            opened.type(key, value)
        opened.calculate()
        tell([opened.value(key) for key in asked["outputs"]])


if __name__ == "__main__":
    main()
