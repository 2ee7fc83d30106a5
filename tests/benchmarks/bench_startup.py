"""How long `hydrofunc --help` takes, against loading numpy."""

import subprocess
import sys

from .timing import Row, medians


def report(long=False):
    def python(*words):
        return lambda: subprocess.run([sys.executable, *words], check=True, capture_output=True)

    ours, numpy = medians(python("-m", "hydrofunc", "--help"), python("-c", "import numpy"), repeats=15)
    yield Row(
        '`hydrofunc --help` / `python -c "import numpy"`, by the clock',
        ours / numpy,
        "<= 2",
        f"{1e3 * ours:.0f} ms, {1e3 * numpy:.0f} ms",
    )
