"""Parts of a long calculation on several cores: what comes out is the same, and in the same order, as on one."""

import os
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, nullcontext
from multiprocessing import Pipe, get_context
from multiprocessing.connection import Connection, wait
from threading import Thread, main_thread
from time import sleep
from typing import Any

from ..errors import FileRefused

AHEAD = 2  # parts for each core that wait or are at work; bounds the memory
GRACE = 5  # seconds in which a process that is to end removes the file that it writes
# Each process is one core's work: libraries of linear algebra must not start as many threads again.
_THREADS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")

_work: Callable[..., Any] | None = None


def available() -> int:
    """Cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def in_order(
    begin: Callable[..., Callable[..., Any]], recipe: Any, tasks: Iterable[tuple], cores: int, one_thread: bool = True
) -> Iterator[Any]:
    """What `begin(recipe)`, called once in each process, gives for each task, in the order of the tasks.

    `begin` and `recipe`, tasks and answers go from process to process, so they must be such as pickle takes. Raises
    `FileRefused` where a process is stopped from outside, as a system short of memory does. Where no more answers are
    wanted, as after Ctrl+C, the processes end at once. Without `one_thread` each has as many threads for linear algebra
    as this one: on their number the last digit of what is solved may hang.
    """
    waiting: deque = deque()
    theirs, ours = Pipe(duplex=False)
    with _one_thread_each() if one_thread else nullcontext():
        pool = ProcessPoolExecutor(cores, get_context("spawn"), _begin, (begin, recipe, theirs))
        try:
            for task in tasks:
                waiting.append(pool.submit(_do, task))
                if len(waiting) >= AHEAD * cores:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
            pool.shutdown()
        except BrokenProcessPool:
            raise FileRefused(
                "a process of this calculation was stopped from outside, perhaps for want of memory; try fewer --cores"
            ) from None
        finally:
            ours.close()
            pool.shutdown(cancel_futures=True)
            theirs.close()


def _begin(begin, recipe, parent):
    global _work
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the process that asks is told, and ends this one
    signal.signal(signal.SIGTERM, _stop)
    Thread(target=_end_with, args=(parent,), daemon=True).start()
    with _until_stopped():
        _work = begin(recipe)


def _end_with(parent: Connection) -> None:
    """A process whose parent is gone, or wants no more, would go on with its part, or wait for work for ever."""
    wait([parent])
    if hasattr(signal, "pthread_kill"):
        signal.pthread_kill(main_thread().ident or 0, signal.SIGTERM)  # wakes what waits, too
    else:
        signal.raise_signal(signal.SIGTERM)
    sleep(GRACE)
    os._exit(1)


def _stop(*_):
    raise SystemExit(1)  # so that a file half written is removed


@contextmanager
def _until_stopped():
    try:
        yield
    except SystemExit:
        os._exit(1)


def _do(task):
    assert _work is not None
    with _until_stopped():
        return _work(*task)


@contextmanager
def _one_thread_each():
    """Processes started within have one thread each for linear algebra, unless the user wants it otherwise."""
    added = [name for name in _THREADS if name not in os.environ]
    os.environ.update(dict.fromkeys(added, "1"))
    try:
        yield
    finally:
        for name in added:
            os.environ.pop(name, None)
