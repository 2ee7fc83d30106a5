"""Jobs shared among machines: a real scheduler and real workers, as processes of this computer."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from threading import Thread

import openpyxl
import pytest
from click.testing import CliRunner
from openpyxl.workbook.defined_name import DefinedName

from hydrofunc.cli import main
from hydrofunc.engine.book import Formula
from hydrofunc.engine.compile import compile_book
from hydrofunc.errors import FileRefused
from hydrofunc.jobs import cluster as cluster_module
from hydrofunc.jobs import fill as fill_module
from hydrofunc.jobs import sweep as sweep_module
from hydrofunc.jobs.cluster import machines
from hydrofunc.jobs.doubt import doubts
from hydrofunc.jobs.fill import fill
from hydrofunc.jobs.recalc import SHEET_FUNCTIONS
from hydrofunc.jobs.sweep import sweep
from hydrofunc.template import INPUTS, RESULTS
from hydrofunc.workbook.splice import splice
from tests import books
from tests.jobs import work
from tests.jobs.site import SITE
from tests.jobs.work import LONG, wait_for

ROOT = Path(__file__).parents[2]
FRAIL = {"DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": "0"}  # one death is too many


def running(group):
    """The processes of a group that run; what has ended and is not yet asked for does not."""
    stats = [path.read_text().rpartition(")")[2].split() for path in Path("/proc").glob("[0-9]*/stat") if path.exists()]
    return [state for state, _, own, *_ in stats if own == str(group) and state != "Z"]


class Machinery:
    """A scheduler and its workers; all of them end with it."""

    def __init__(self, folder):
        self._folder, self.processes, self.address = folder, [], ""

    def start(self, *command, **environment):
        process = subprocess.Popen(
            [sys.executable, *command],
            cwd=ROOT,
            env=os.environ | environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        self.processes.append(process)
        return process

    def scheduler(self, **environment):
        """Start it; if this process is killed it ends by itself, and its workers with it."""
        told = self._folder / f"scheduler{len(self.processes)}.json"
        options = ("--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--idle-timeout", "5 minutes")
        command = ("-m", "distributed.cli.dask_scheduler", *options, "--scheduler-file", str(told))
        process = self.start(*command, **environment)
        wait_for(lambda: told.exists() and told.read_text().rstrip().endswith("}"))
        self.address = json.loads(told.read_text())["address"]
        return process

    def worker(self, threads=1, before=""):
        """Start one; a statement `before` runs in it first."""
        code = f"{before}\nfrom distributed.cli.dask_worker import main\nmain()"
        options = ("--no-nanny", "--no-dashboard", "--nthreads", str(threads), "--death-timeout", str(LONG))
        place = ("--local-directory", str(self._folder))
        return self.start("-c", code, self.address, *options, *place, "--name", f"w{len(self.processes)}")

    def has(self, count):
        """Wait for so many workers."""
        from distributed import Client

        with cluster_module._quiet(), Client(self.address, timeout=LONG, set_as_default=False) as client:
            wait_for(lambda: len(client.nthreads()) == count)

    def end(self):
        for process in self.processes:
            process.kill()
        for process in self.processes:
            process.wait()


@pytest.fixture(autouse=True)
def patient(monkeypatch):
    """A test that is not about waiting never fails by it."""
    monkeypatch.setattr(cluster_module, "ANSWER", LONG)
    monkeypatch.setattr(cluster_module, "FIRST", LONG)


@pytest.fixture
def machinery(tmp_path):
    """One of a test's own, in which things die."""
    started = Machinery(tmp_path)
    yield started
    started.end()


@pytest.fixture(scope="module")
def shared(tmp_path_factory):
    """A scheduler with two workers, one of them with several threads."""
    started = Machinery(tmp_path_factory.mktemp("cluster"))
    try:
        started.scheduler()
        started.worker()
        started.worker(threads=3)
        started.has(2)
        yield started
    finally:
        started.end()


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def swept(here, monkeypatch):
    """A sweep of 220 scenarios in 55 parts, with rows at fault, words and error values."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Tank"
    cells = {"B1": 200, "B2": 2, "C1": "=B1/(B2-3)", "C2": '=IF(C1>100,"long",C1)', "C3": "=HYDRO_PIPE_VELOCITY(B2,40)"}
    for cell, value in cells.items():
        sheet[cell] = value
    for name, cell in {"volume": "$B$1", "flow": "$B$2", "seconds": "$C$1"}.items():
        book.defined_names[name] = DefinedName(name, attr_text=f"Tank!{cell}")
    book.save("tank.xlsx")
    Path("flows.csv").write_text("flow\n" + "".join(f"{'x' if i == 7 else i}\n" for i in range(1, 23)))
    for name, value in {"LEAST_BLOCK": 4, "TIMED": 8, "PART": 32, "BLOCK": 16, "SECONDS": 0.0}.items():
        monkeypatch.setattr(sweep_module, name, value)

    def run(out, **options):
        names = ["seconds", "Tank!C2", "Tank!C3"]
        return sweep("tank.xlsx", out, "flows.csv", ["volume=1:10:1"], names, **options)

    return run


def same(one, other):
    return Path(one).read_bytes() == Path(other).read_bytes()


# -- the same as on one machine ------------------------------------------------------------------------------


@pytest.mark.parametrize("ending", [".csv", ".parquet"])
def test_a_sweep_on_many_machines_is_the_same_byte_by_byte(shared, swept, ending):
    steps = []
    one = swept(f"one{ending}")
    many = swept(f"many{ending}", cluster=shared.address, progress=lambda *at: steps.append(at))
    assert one == many and one.scenarios == 220 and same(f"one{ending}", f"many{ending}")
    assert steps == sorted(steps) and steps[-1] == (220, 220) and len(steps) == 55
    assert list(Path().glob(".*")) == []


def light_template():
    """The template with constants in place of what the watts do not hang on: a fifth of it, for the time."""
    book = books.template_book()
    states = [book.resolve(name) for name in book.names if name.startswith("state_")]
    outputs = [*states, *map(book.resolve, ("plant_watts", "plant_flow", "missing"))]
    used = {*compile_book(book, SHEET_FUNCTIONS, outputs=outputs).precedents, *map(book.resolve, fill_module.BAND)}
    used |= {(item.sheet, item.cell) for item in RESULTS}
    others = {key: 1.0 for key, cell in book.cells.items() if isinstance(cell, Formula) and key not in used}
    emptied = {(item.sheet, item.cell): None for item in INPUTS}
    return splice(book.data, {}, others | emptied)


def test_a_list_of_sites_on_many_machines_gives_the_same_files_and_words(shared, here, monkeypatch):
    """Written by the machine that asks: the workers need not see its disk."""
    for name in ("LEAST", "BATCH"):
        monkeypatch.setattr(fill_module, name, 2)
    light = light_template()
    monkeypatch.setattr(fill_module, "_template", lambda protect, put_in=None: light)
    rows = [SITE, SITE | {"site_name": "Wide", "nozzle": 9}, SITE | {"site_name": "Wrong", "nozzle": -1}]
    rows += [SITE | {"site_name": "Low", "level_difference": 30}]
    lines = [",".join(SITE), *(",".join(map(str, row.values())) for row in rows)]
    (here / "sites.csv").write_text("\n".join(lines) + "\n")
    steps = []
    one = fill("sites.csv", "one")
    many = fill("sites.csv", "many", cluster=shared.address, progress=lambda *at: steps.append(at))
    assert steps == [(2, 3), (3, 3)]
    assert (one.results, one.sites) == (many.results, many.sites) and len(many.workbooks) == 3
    assert list(map(str, one.problems)) == list(map(str, many.problems)) and len(many.problems) == 1
    names = {path.name for path in Path("one").iterdir()}
    assert names == {path.name for path in Path("many").iterdir()}
    assert all(same(Path("one", name), Path("many", name)) for name in names - {"summary.xlsx"})  # it holds its time


def test_workbooks_to_doubt_come_back_in_their_order(shared, swept):
    """Refused ones too; `test_doubt` holds what is drawn."""
    refused = list(doubts(["missing.xlsx", "tank.xlsx"], 100, cluster=shared.address))
    assert [str(each).partition(" ")[0] for each in refused] == ["missing.xlsx:", "tank.xlsx"]
    assert "has no name 'doubt_guess'" in str(refused[1])


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="looks for processes in /proc")
def test_workers_of_this_machine_are_started_and_ended(swept):
    swept("one.csv")
    command = ["sweep", "tank.xlsx", "flows.csv", "--vary", "volume=1:10:1", "--outputs", "seconds,Tank!C2,Tank!C3"]
    process = subprocess.Popen(
        [sys.executable, "-m", "hydrofunc", *command, "--out", "two.csv", "--cluster", "local:2"],
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    out, told = process.communicate(timeout=LONG)
    assert same("one.csv", "two.csv") and out == "two.csv\n"
    assert told.splitlines()[-1] == "210 of 220 scenarios calculated." and "distributed" not in told
    wait_for(lambda: not running(process.pid))


def test_a_worker_of_several_threads_calculates_in_one_of_them(shared):
    with machines(shared.address, "") as far:
        assert list(far.in_order(work.alone, None, [(n,) for n in range(24)])) == [(n, 1) for n in range(24)]


def test_what_workers_calculate_with_is_prepared_once_in_each(shared, here):
    with machines(shared.address, "") as far:
        assert len(list(far.in_order(work.counting, str(here), [(n,) for n in range(40)]))) == 40
        assert far.workers == 2
    begun = [path.name.split("-")[1] for path in here.iterdir()]
    assert 1 <= len(begun) == len(set(begun)) <= 2


def test_no_more_parts_are_ahead_than_the_workers_can_have(shared):
    given = []

    def tasks():
        for number in range(50):
            given.append(number)
            yield (number,)

    with machines(shared.address, "") as far:
        for done, _ in enumerate(far.in_order(work.alone, None, tasks())):
            assert len(given) <= done + 2 * cluster_module.AHEAD


def asked(machinery, begin=None, recipe=None, count=0, then=None):
    """Ask for so many parts; `then` says what happens after which of them."""
    with machines(machinery.address, "begin anew") as far:
        for answer in far.in_order(begin, recipe, [(number,) for number in range(count)]):
            (then or {}).get(answer, bool)()


# -- what may go wrong ---------------------------------------------------------------------------------------


def at_work(folder):
    """The processes at work on each part."""
    marks = [path.name.split("-")[1:] for path in folder.glob("at-*")]
    return {(int(process), int(number)) for process, number in marks}


def test_what_a_killed_worker_had_is_done_by_the_others(shared, here):
    killed = shared.worker()
    shared.has(3)

    def kill():
        wait_for(lambda: any(process == killed.pid for process, _ in at_work(here)))
        killed.kill()
        (here / "go").touch()

    killing = Thread(target=kill)
    killing.start()
    with machines(shared.address, "") as far:
        assert list(far.in_order(work.waiting, str(here), [(n,) for n in range(30)])) == list(range(30))
    killing.join()
    again = {number for process, number in at_work(here) if process == killed.pid}
    assert again and all(any(at != killed.pid and n == each for at, n in at_work(here)) for each in again)
    killed.wait()
    shared.has(2)


def test_a_part_that_ends_its_workers_is_said(machinery):
    machinery.scheduler(**FRAIL)
    machinery.worker()
    with pytest.raises(FileRefused, match=r"several workers ended.* want of memory; begin anew"):
        asked(machinery, work.deadly, 0, 7)


def test_a_run_without_workers_does_not_wait_for_ever(machinery, monkeypatch):
    monkeypatch.setattr(cluster_module, "ALONE", 0.5)
    machinery.scheduler()
    worker = machinery.worker()
    with pytest.raises(FileRefused, match="no worker is left; begin anew"):
        asked(machinery, work.deadly, None, 50, {5: worker.kill})


def test_a_sweep_goes_on_after_its_scheduler_was_lost(machinery, swept, caplog):
    """Also one that seeks the best of each row of its list."""
    best = {"keep": 2, "by": "seconds", "of_each": True}
    assert swept("one.csv", **best).rows == 2 * (22 - 2)  # one is at fault, one divides by zero
    scheduler = machinery.scheduler()
    machinery.worker()

    def progress(done, total):
        if done > 100:
            scheduler.kill()
            scheduler.wait()

    words = r"the scheduler was lost; the same command with --resume goes on"
    with pytest.raises(FileRefused, match=words):
        swept("many.csv", cluster=machinery.address, progress=progress, **best)
    assert not Path("many.csv").exists() and list(Path().glob(".many.csv*"))
    assert [record for record in caplog.records if record.name.startswith("distributed")] == []
    with pytest.raises(FileRefused, match=r"has done 1[0-9][0-9] scenarios"):
        swept("many.csv", **best)
    machinery.scheduler()
    machinery.worker()
    swept("many.csv", cluster=machinery.address, resume=True, **best)
    assert same("one.csv", "many.csv") and list(Path().glob(".*")) == []


_ASKS = """
import signal
from hydrofunc.jobs.cluster import machines
from tests.jobs.work import waiting

signal.signal(signal.SIGINT, signal.default_int_handler)  # what a shell starts in the background ignores Ctrl+C
with machines({address!r}, "") as far:
    list(far.in_order(waiting, {folder!r}, [(n,) for n in range(50)]))
"""


def test_what_waits_is_dropped_where_nobody_asks_any_more(machinery, here):
    """Ctrl+C ends at once; a part that waits is never begun."""
    from distributed import Client

    machinery.scheduler()
    worker = machinery.worker()
    for ending in (signal.SIGINT, signal.SIGKILL):
        folder = here / str(ending)
        folder.mkdir()
        asking = machinery.start("-c", _ASKS.format(address=machinery.address, folder=str(folder)))
        wait_for(lambda folder=folder: at_work(folder))
        with cluster_module._quiet(), Client(machinery.address, timeout=LONG, set_as_default=False) as client:
            wait_for(lambda: client.run_on_scheduler(work.wanted) == 1 + cluster_module.AHEAD)
            asking.send_signal(ending)
            asking.wait(LONG)
            wait_for(lambda: not client.run_on_scheduler(work.wanted))
            (folder / "go").touch()
            wait_for(lambda: not any(client.run(work.executing).values()))
        assert at_work(folder) == {(worker.pid, 0)}


def test_machines_that_are_not_there_or_cannot_be_used_are_said(shared, here, monkeypatch):
    """At once, before anything is calculated."""
    monkeypatch.setattr(cluster_module, "ANSWER", 2.0)
    for address, words in {
        "tcp://127.0.0.1:9": "no dask scheduler answers there",
        "nonsense://127.0.0.1:9": "no dask scheduler answers there",
        "tcp://127.0.0.1": "no dask scheduler answers there",
        "tls://127.0.0.1:9": "no dask scheduler answers there",
        "127.0.0.1:8786": "write the address of a dask scheduler, tcp://HOST:PORT, or local:N",
        "local:0": "write the address",
    }.items():
        with pytest.raises(FileRefused, match=f"--cluster {address}: .*{words}"), machines(address, ""):
            pass
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(FileRefused, match=r"needs distributed, .* pip install distributed threadpoolctl"):
        asked(shared)
    both = ["sweep", "tank.xlsx", "--vary", "flow=1,2", "--out", "r.csv", "--cores", "2", "--cluster", "local:2"]
    assert CliRunner().invoke(main, both).exit_code == 2


def test_a_scheduler_without_workers_and_workers_of_other_code_are_said(machinery, monkeypatch):
    monkeypatch.setattr(cluster_module, "FIRST", 1.0)
    machinery.scheduler()
    with pytest.raises(FileRefused, match="the scheduler has no worker; start some with: dask worker tcp://"):
        asked(machinery)
    monkeypatch.setattr(cluster_module, "FIRST", LONG)
    machinery.worker(before="import hydrofunc\nhydrofunc.__version__ = '0.0.9'")
    with pytest.raises(FileRefused, match=r"tcp://127.0.0.1:\d+ has hydrofunc 0.0.9 .*, this machine hydrofunc"):
        asked(machinery)


def test_a_worker_of_other_code_that_comes_later_is_said(machinery):
    """None of its numbers is taken."""
    machinery.scheduler()
    first = machinery.worker()

    def exchange():
        machinery.worker(before="import hydrofunc\nhydrofunc.__version__ = '0.0.9'")
        machinery.has(2)
        first.kill()

    with pytest.raises(FileRefused, match=r"has hydrofunc 0.0.9 .*, the machine that asks hydrofunc"):
        asked(machinery, work.deadly, None, 100, {3: exchange})
