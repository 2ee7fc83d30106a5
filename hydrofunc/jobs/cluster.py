"""Parts of a long calculation on many machines: what comes out is the same, and in the same order, as on one.

The machines are the workers of a scheduler of dask.distributed. Each needs hydrofunc with the same code, and nothing
else: no file of it is read or written there. What they calculate with, such as a workbook, goes to each of them once
and is compiled once in each worker.
"""

import logging
import os
import pickle
import re
import signal
import threading
from collections import OrderedDict, deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import CancelledError
from contextlib import contextmanager, suppress
from functools import cache
from hashlib import sha256
from pathlib import Path
from time import monotonic
from typing import Any
from warnings import catch_warnings, simplefilter

import numpy as np

from .. import __version__
from ..errors import FileRefused
from .journal import name_of_run

AHEAD = 2  # parts for each worker that wait or are at work; bounds the memory
ANSWER = 20.0  # seconds in which a scheduler must answer
FIRST = 20.0  # seconds in which it must have a worker
ALONE = 60.0  # seconds without any worker after which a run ends: one that died is started anew within some
LOOK = 1.0  # seconds between two looks whether there are workers
RECIPES = 2  # that a worker keeps compiled
INSTALL = "pip install distributed threadpoolctl"


@contextmanager
def machines(where: str | None, again: str) -> Iterator["Machines | None"]:
    """The workers of a scheduler at an address such as ``tcp://host:8786``, or ``local:N`` for N of this machine.

    None where no address is given. `again` says what a person does after a run that ended early. Raises `FileRefused`
    where there is no scheduler or no worker, or where one of them is of other code.
    """
    if not where:
        yield None
        return
    local = re.fullmatch(r"local:([1-9][0-9]{0,3})", where)
    if local is None and not re.fullmatch(r"[a-z]+://.+", where):
        raise FileRefused(f"--cluster {where}: write the address of a dask scheduler, tcp://HOST:PORT, or local:N")
    try:
        import distributed
        import threadpoolctl  # noqa: F401  (the workers need it)
    except ImportError as error:
        raise FileRefused(f"--cluster needs {error.name}, which is not installed: {INSTALL}") from None
    with _quiet(), _scheduler(where, int(local[1]) if local else 0) as address:
        try:
            client = distributed.Client(address, timeout=ANSWER, set_as_default=False)
        except (OSError, ValueError, TypeError, ImportError) as error:
            raise FileRefused(
                f"--cluster {where}: no dask scheduler answers there ({_short(error)}); start one with: dask scheduler"
            ) from None
        # What is dropped in the middle of an answer would be told on stderr when its memory is given back.
        client.loop.asyncio_loop.set_exception_handler(lambda loop, context: None)
        try:
            found = Machines(client, where, again)
            found.refuse_unlike()
            yield found
        finally:
            with suppress(Exception):  # a scheduler that is gone needs no good-bye
                client.close(timeout=ANSWER)


class Machines:
    """The workers of a scheduler."""

    def __init__(self, client: Any, where: str, again: str) -> None:
        self._client, self._where, self._again = client, where, again
        self._counted, self._until = 0, 0.0
        self.sent = self.received = 0  # bytes of tasks and of answers

    @property
    def workers(self) -> int:
        """How many there are, looked up now and then: some may come and go."""
        if monotonic() > self._until:
            self._counted = max(len(self._asked(self._client.nthreads)), 1)
            self._until = monotonic() + 5 * LOOK
        return self._counted

    def refuse_unlike(self) -> None:
        """Raise `FileRefused` where there is no worker, or one of them or the scheduler has other code."""
        try:
            self._client.wait_for_workers(1, timeout=FIRST)
        except TimeoutError:
            raise FileRefused(
                f"--cluster {self._where}: the scheduler has no worker; start some with: dask worker {self._where}"
            ) from None
        said = self._asked(self._client.run, about, on_error="return")
        try:
            said["the scheduler"] = self._client.run_on_scheduler(about)
        except Exception as error:
            said["the scheduler"] = error
        for name, theirs in sorted(said.items()):
            _refuse_unlike(theirs, name)

    def in_order(
        self,
        begin: Callable[..., Callable[..., Any]],
        recipe: Any,
        tasks: Iterable[tuple],
        one_thread: bool = True,
    ) -> Iterator[Any]:
        """What `begin(recipe)`, called once in each worker, gives for each task; as `cores.in_order`.

        Raises `FileRefused` where the scheduler or all workers are lost, or a part was the last of too many of them.
        Where no more answers are wanted, as after Ctrl+C, parts that wait are dropped; what a worker is at it ends.
        """
        packed = pickle.dumps((begin, recipe))
        name = sha256(packed).hexdigest()
        common = about(), name, 1 if one_thread else _threads()
        waiting: deque = deque()
        with catch_warnings():
            simplefilter("ignore")  # of a large graph: a large workbook is one
            shipped = self._asked(self._client.submit, bytes, packed, key=f"hydrofunc-{name}")
        for number, task in enumerate(tasks):
            part = pickle.dumps(task)
            self.sent += len(part)
            first = {"priority": -number, "pure": False}  # the earliest is wanted first
            waiting.append(self._asked(self._client.submit, _do, common, shipped, part, **first))
            while len(waiting) >= AHEAD * self.workers:
                yield self._answer(waiting.popleft())
        while waiting:
            yield self._answer(waiting.popleft())

    def _answer(self, future):
        alone = None
        while (answer := self._asked(_within, future)) is None:
            if self._asked(self._client.nthreads):
                alone = None
            elif alone is None:
                alone = monotonic()
            elif monotonic() - alone > ALONE:
                raise FileRefused(f"{self._where}: no worker is left; {self._again}")
        self.received += len(answer)
        return pickle.loads(answer)

    def _asked(self, ask, *words, **options):
        """What the scheduler says, or a part of the calculation."""
        from distributed import KilledWorker

        try:
            return ask(*words, **options)
        except KilledWorker:
            raise FileRefused(
                f"{self._where}: several workers ended, one after the other, at the same part, perhaps for want of "
                f"memory; {self._again}"
            ) from None
        except ImportError as error:  # of a worker that came later
            raise FileRefused(f"a worker of {self._where} has no hydrofunc as here ({error}); {INSTALL}") from None
        except Exception as error:
            if isinstance(error, CancelledError | OSError) or self._client.status != "running":
                raise FileRefused(f"{self._where}: the scheduler was lost; {self._again}") from None
            raise


def _within(future):
    """What comes of it, None where that is not known within a moment."""
    try:
        return future.result(timeout=LOOK)
    except TimeoutError:
        return None


@contextmanager
def _scheduler(where, count):
    """The address of a scheduler; with `count` a new one of this machine with so many workers."""
    if not count:
        yield where
        return
    from distributed import LocalCluster

    main = threading.current_thread() is threading.main_thread()
    # Ctrl+C is for the process that asks, which ends the others: those started now do not hear it.
    heard = signal.signal(signal.SIGINT, signal.SIG_IGN) if main else None
    try:
        cluster = LocalCluster(
            n_workers=count, threads_per_worker=1, dashboard_address="127.0.0.1:0", silence_logs=logging.CRITICAL
        )
    finally:
        if heard is not None:
            signal.signal(signal.SIGINT, heard)
    with cluster:
        try:
            yield cluster.scheduler_address
        except BaseException:
            for nanny in cluster.workers.values():  # else each would end its part first
                nanny.auto_restart = False
                if nanny.pid:
                    os.kill(nanny.pid, signal.SIGTERM)
            raise


@contextmanager
def _quiet():
    """Without the log of distributed: what matters in it is said as one message."""
    names = [name for name in logging.root.manager.loggerDict if name.partition(".")[0] == "distributed"]
    before = {log: log.level for log in map(logging.getLogger, names)}
    for log in before:
        log.setLevel(logging.CRITICAL + 1)
    try:
        yield
    finally:
        for log, level in before.items():
            log.setLevel(level)


def _short(error):
    return str(error).partition("\n")[0].strip() or type(error).__name__


def _threads():
    """Of this process, for linear algebra."""
    from threadpoolctl import threadpool_info

    return max((each["num_threads"] for each in threadpool_info() if each["user_api"] == "blas"), default=1)


@cache
def about() -> str:
    """The code that calculates here: where two say the same, their numbers are those of one program."""
    folder = Path(__file__).parents[1]
    paths = sorted(path for ending in ("*.py", "*.csv") for path in folder.rglob(ending))
    parts = ((path.relative_to(folder).as_posix(), path.read_bytes().replace(b"\r\n", b"\n")) for path in paths)
    code = name_of_run(*(each for part in parts for each in part))
    return f"hydrofunc {__version__} ({code[:8]}) with numpy {np.__version__}"


def _refuse_unlike(theirs, name):
    if isinstance(theirs, Exception):
        raise FileRefused(f"{name} has no hydrofunc as here ({_short(theirs)}); there: {INSTALL}")
    if theirs != about():
        raise FileRefused(f"{name} has {theirs}, this machine {about()}: install the same on all")


# -- in a worker ---------------------------------------------------------------------------------------------

_begun: OrderedDict[str, Callable[..., Any]] = OrderedDict()
_one_at_a_time = threading.Lock()  # a compiled workbook is not made for several threads


def _do(common, packed, part):
    theirs, name, threads = common
    if theirs != about():
        from distributed import get_worker

        raise FileRefused(f"{get_worker().address} has {about()}, the machine that asks {theirs}: install the same")
    with _one_at_a_time, _blas().limit(limits=threads, user_api="blas"):
        if name not in _begun:
            begin, recipe = pickle.loads(packed)
            while len(_begun) >= RECIPES:
                _begun.popitem(last=False)
            _begun[name] = begin(recipe)
        _begun.move_to_end(name)
        return pickle.dumps(_begun[name](*pickle.loads(part)))


@cache
def _blas():
    from threadpoolctl import ThreadpoolController

    return ThreadpoolController()
