"""One benchmark in a process of its own:  python -m tests.benchmarks.alone NAME [--long]

Prints a line of JSON for each row of the table (a list) and each remark (a text), as soon as it is known.
"""

import json
import sys
from importlib import import_module


def main():
    module = import_module(f"tests.benchmarks.bench_{sys.argv[1]}")
    for said in module.report(long="--long" in sys.argv):
        print(json.dumps(said), flush=True)


if __name__ == "__main__":  # the processes that a benchmark begins read this module again
    main()
