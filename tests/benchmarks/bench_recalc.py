"""How much processor time `hydrofunc recalc` takes as a whole process, against one that loads numpy alone."""

import resource
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median

from .timing import Row

BOOK = Path(__file__).parents[2] / "workbooks" / "invented-demo" / "Invented-example-Goat-Meadow.xlsx"


def report(long=False):
    with tempfile.TemporaryDirectory() as folder:
        out = str(Path(folder, "out.xlsx"))
        ours = "-m", "hydrofunc", "recalc", str(BOOK), "--out", out, "--force"
        turns = [(_processor_time(*ours), _processor_time("-c", "import numpy")) for _ in range(5)]
    recalc, numpy = (median(times) for times in zip(*turns))
    yield Row(
        '`hydrofunc recalc`, the process / `python -c "import numpy"`',
        median(one / other for one, other in turns),
        "<= 6",
        f"{recalc:.2f} s, {numpy:.2f} s of processor time",
    )


def _processor_time(*words):
    """Of a process of Python's own, in user and system mode."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, *words], check=True, capture_output=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
