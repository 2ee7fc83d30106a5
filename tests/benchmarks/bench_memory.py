"""Memory and time of `hydrofunc sweep` of a million scenarios, from and to each kind of file; of ten on demand."""

import tempfile
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.csv
import pyarrow.parquet

from hydrofunc.template import build

from . import straight_line
from .timing import Row, spent_by

MEGABYTES = 300
OUTPUTS = "plant_watts,plant_flow"
MILLION = 1_000_000


def report(long=False):
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "book.xlsx").write_bytes(build(example=True))
        for count in (MILLION, 10 * MILLION) if long else (MILLION,):
            for ending in (".csv", ".parquet"):
                listed = _listed(folder / f"list{ending}", count)
                yield _row(folder, f"list of {count}, {ending} to {ending}", str(listed), ending=ending)
            steps = round(count**0.5)
            ranges = [f"nozzle=4:12:{8 / (steps - 1):.17g}", f"pipe_length=200:800:{600 / (steps - 1):.17g}"]
            words = [word for text in ranges for word in ("--vary", text)]
            yield _row(folder, f"--vary, {steps} x {steps}, to .csv", *words, "--yes", ending=".csv")


def _listed(path, count):
    table = pa.table({name: np.round(values, 6) for name, values in straight_line.scenarios(count).items()})
    if path.suffix == ".csv":
        pa.csv.write_csv(table, path)
    else:
        pa.parquet.write_table(table, path, row_group_size=65_536)
    return path


def _row(folder, what, *words, ending):
    out = folder / f"out{ending}"
    files = str(folder / "book.xlsx"), "--out", str(out), "--outputs", OUTPUTS
    spent = spent_by("-m", "hydrofunc", "sweep", *files, *words, "--force", "--cores", "1")
    told = f"{spent.processor:.0f} s of processor time, {spent.wall:.0f} s by the clock, one core"
    return Row(f"sweep, {what}, MB", spent.megabytes, f"<= {MEGABYTES}", told)
