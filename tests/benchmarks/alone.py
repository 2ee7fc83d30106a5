"""One benchmark in a process of its own:  python -m tests.benchmarks.alone NAME [--long]

Prints a line of JSON for each row of the table (a list) and each remark (a text), as soon as it is known.
"""

import json
import os
import sys
from importlib import import_module


def main():
    table = os.fdopen(os.dup(1), "w")
    os.dup2(2, 1)  # what programs that a benchmark begins have to say is no row
    module = import_module(f"tests.benchmarks.bench_{sys.argv[1]}")
    for said in module.report(long="--long" in sys.argv):
        print(json.dumps(said), file=table, flush=True)


if __name__ == "__main__":  # the processes that a benchmark begins read this module again
    main()
