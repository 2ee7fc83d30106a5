"""`hydrofunc sweep` of the template on one core and on all of them: time, and whether the file is the same."""

import csv
import tempfile
from pathlib import Path

from hydrofunc.jobs.cores import available
from hydrofunc.template import build
from hydrofunc.workbook.reading import read_book

from . import straight_line
from .asked import asked_by_default
from .timing import Row, spent_by

MANY = 32_768  # scenarios: a shorter run is not shared, as starting costs more than it saves


def report(long=False):
    cores = available()
    data = build(example=True)
    book = read_book(data)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "book.xlsx").write_bytes(data)
        yield _one_and_all(folder, asked_by_default(book), MANY, cores)


def _one_and_all(folder, outputs, count, cores):
    listed = folder / f"{count}.csv"
    scenarios = straight_line.scenarios(count)
    with listed.open("w", newline="") as stream:
        write = csv.writer(stream)
        write.writerow(scenarios)
        write.writerows(zip(*(values.tolist() for values in scenarios.values())))
    spent, tables = [], []
    for used in (1, cores):
        out = folder / f"out-{used}.csv"
        words = "sweep", str(folder / "book.xlsx"), str(listed), "--outputs", ",".join(outputs), "--out", str(out)
        spent.append(spent_by("-m", "hydrofunc", *words, "--cores", str(used), "--force"))
        tables.append(out.read_bytes())
    one, all_ = spent
    same = "the same bytes" if tables[0] == tables[1] else "THE BYTES ARE NOT THE SAME"
    told = (
        f"{one.wall:.1f} s, {all_.wall:.1f} s by the clock; {one.processor:.1f} s, {all_.processor:.1f} s of "
        f"processor time; start and files included; {same}"
    )
    what = f"sweep of {count:,}, {len(outputs)} outputs: one core / {cores} cores, by the clock"
    return Row(what, one.wall / all_.wall, "", told)
