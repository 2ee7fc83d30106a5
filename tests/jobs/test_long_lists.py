"""A sweep of a long list holds some of its rows at a time; what is wrong far below is told with its row."""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import openpyxl
import pyarrow as pa
import pyarrow.csv
import pyarrow.parquet as pq
import pytest
from openpyxl.workbook.defined_name import DefinedName

from hydrofunc.errors import FileRefused
from hydrofunc.jobs import sweep as sweep_module
from hydrofunc.jobs.sweep import sweep
from hydrofunc.workbook import spilled
from tests.jobs.site import rows_of

FEW, MANY = 50_000, 400_000
ENDINGS = (".csv", ".parquet")
# Small blocks, that the few rows fill all of them.
MEASURED = """
import sys
from importlib import import_module
import_module("hydrofunc.workbook.spilled").IN_MEMORY = 1 << 16
module = import_module("hydrofunc.jobs.sweep")
module.PART = 8192
swept = module.sweep("tank.xlsx", sys.argv[1], sys.argv[2], outputs=["seconds"])
print(swept.rows, next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM")))
"""


@pytest.fixture
def tank(tmp_path, monkeypatch):
    """A workbook in which a tank of some volume is filled by a flow."""
    monkeypatch.chdir(tmp_path)
    book = openpyxl.Workbook()
    book.active.title = "Tank"
    for name, cell, value in (("volume", "B1", 200), ("flow", "B2", 2), ("mode", "B3", "fill"), ("seconds", "C1", 0)):
        book.active[cell] = value
        book.defined_names[name] = DefinedName(name, attr_text=f"Tank!${cell[0]}${cell[1:]}")
    book.active["C1"] = "=B1/B2"
    book.save("tank.xlsx")
    return Path("tank.xlsx")


def columns(count):
    """A list of that many rows: two columns of numbers, one of words."""
    row = np.arange(count)
    return {"volume": 100 + row % 1000 / 8, "flow": 1 + row % 77 / 7, "mode": np.array(["fill", "empty"])[row % 2]}


def written(path, values):
    table = pa.table(values)
    if path.endswith(".csv"):
        pa.csv.write_csv(table, path)
    else:
        pq.write_table(table, path, row_group_size=FEW // 2)  # so that its pages are full
    return path


def read(path):
    if path.endswith(".parquet"):
        return pq.read_table(path).to_pylist()
    return rows_of(path)


def most_memory(out, path):
    """Rows that a sweep in a process of its own has written, and the most memory it had at one time [MB]."""
    words = [sys.executable, "-c", MEASURED, out, path]
    done = subprocess.run(words, capture_output=True, text=True, check=True, env=os.environ)
    rows, kilobytes = map(int, done.stdout.split())
    return rows, kilobytes / 1024


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="the system tells no process's memory")
@pytest.mark.parametrize("ending", ENDINGS)
def test_the_memory_of_a_sweep_does_not_grow_with_its_list(tank, ending):
    """Held as a whole, the longer list took 35 to 39 MB more than the shorter one; now it is 0 to 2."""
    needed = []
    for count in (FEW, MANY):
        rows, megabytes = most_memory(f"of{count}{ending}", written(f"list{count}{ending}", columns(count)))
        assert rows == count
        needed.append(megabytes)
    assert needed[1] - needed[0] < 6


@pytest.mark.parametrize("in_memory", [1, 1 << 23])
@pytest.mark.parametrize("ending", ENDINGS)
def test_what_is_wrong_far_below_is_told_with_its_row(tank, monkeypatch, ending, in_memory):
    monkeypatch.setattr(spilled, "IN_MEMORY", in_memory)
    values, bad = columns(12_345), {7: "x", 11_998: "1_0", 12_344: "two"}
    flow = [bad.get(index, f"{number:.6f}") for index, number in enumerate(values["flow"])]
    swept = sweep(tank, f"r{ending}", written(f"list{ending}", values | {"flow": flow}), outputs=["seconds"])
    assert [str(problem) for problem in swept.problems] == [
        f"row {index + 2}, column flow: {word!r} is not a number" for index, word in bad.items()
    ]
    rows = read(f"r{ending}")
    assert (len(rows), swept.scenarios, swept.at_fault) == (12_345, 12_345, 3)
    for index, row in enumerate(rows):
        if index in bad:
            assert row["error"] == f"flow: {bad[index]!r} is not a number" and row["seconds"] in ("", None)
            assert bad[index] in (row["flow"], (row.get("other_values") or "").removeprefix("flow="))
        else:
            assert not row["error"]
            assert float(row["seconds"]) == pytest.approx(values["volume"][index] / float(flow[index]), rel=1e-12)
        assert row["mode"] == values["mode"][index] and float(row["volume"]) == values["volume"][index]


def test_a_decimal_mark_far_below_settles_numbers_far_above(tank, monkeypatch):
    """1.200 may be 1200 until another number of the list shows what its point is."""
    monkeypatch.setattr(spilled, "IN_MEMORY", 1)
    lines = ["volume;flow", *["1.200;2"] * 5_000, "150.5;2"]
    Path("list.csv").write_text("\n".join(lines), encoding="utf-8")
    assert sweep(tank, "r.csv", "list.csv", outputs=["seconds"]).at_fault == 0
    assert [float(row["seconds"]) for row in rows_of("r.csv")] == [0.6] * 5_000 + [75.25]


def test_each_row_has_its_designs_wherever_chunks_and_parts_end(tank, monkeypatch):
    monkeypatch.setattr(spilled, "IN_MEMORY", 1)
    monkeypatch.setattr("hydrofunc.workbook.lists.CHUNK", 7)
    path = written("list.csv", {"volume": np.arange(1.0, 1001.0)})
    swept = sweep(tank, "r.csv", path, ["flow=1,2,4"], ["seconds"], keep=1, by="seconds", of_each=True)
    assert swept.scenarios == 3_000
    rows = rows_of("r.csv")
    assert [(float(row["volume"]), float(row["flow"])) for row in rows] == [(n, 1) for n in range(1, 1001)]
    assert [float(row["seconds"]) for row in rows] == list(range(1, 1001))


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_sweep_of_a_list_in_a_file_goes_on_after_a_stop(tank, monkeypatch, ending):
    monkeypatch.setattr(spilled, "IN_MEMORY", 1)
    sizes = {"LEAST_BLOCK": 128, "TIMED": 256, "PART": 1024, "BLOCK": 512, "SECONDS": 0.0, "KEPT": -1.0}
    for name, value in sizes.items():
        monkeypatch.setattr(sweep_module, name, value)
    values = columns(5_000)
    values["flow"] = ["x" if row in (700, 4_900) else str(number) for row, number in enumerate(values["flow"])]
    path = written(f"list{ending}", values)

    def stop(done, total):
        if done > 3_000:
            raise KeyboardInterrupt

    whole = sweep(tank, f"whole{ending}", path, outputs=["seconds"])
    with pytest.raises(KeyboardInterrupt):
        sweep(tank, f"r{ending}", path, outputs=["seconds"], progress=stop)
    assert Path(f".r{ending}.sweep").exists()
    assert sweep(tank, f"r{ending}", path, outputs=["seconds"], resume=True) == whole
    assert Path(f"r{ending}").read_bytes() == Path(f"whole{ending}").read_bytes()


@pytest.mark.skipif(os.name != "posix", reason="elsewhere a file that is open has a name")
def test_the_file_of_a_long_list_has_no_name_and_so_outlives_no_kill(tank, monkeypatch):
    monkeypatch.setattr(spilled, "IN_MEMORY", 1)
    path, seen = written("list.csv", columns(3_000)), []
    Path("out").mkdir()

    def look(done, total):
        seen.append({each.suffix for each in Path("out").iterdir()})

    sweep(tank, "out/r.csv", path, outputs=["seconds"], progress=look)
    assert len(seen) > 1 and set().union(*seen) <= {".part"}  # that of the table
    assert [each.name for each in Path("out").iterdir()] == ["r.csv"]


def test_a_folder_that_takes_no_file_is_named_and_not_the_list(tank, monkeypatch):
    monkeypatch.setattr(spilled, "IN_MEMORY", 1)
    path = written("list.csv", columns(10))
    with pytest.raises(FileRefused, match=r"away: the list cannot be kept there while it is worked on: No such file"):
        sweep(tank, "away/r.csv", path, outputs=["seconds"])
