"""Parts of a long calculation on several cores: what comes out is the same, and in the same order, as on one."""

import os
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import get_context, parent_process
from threading import Thread
from typing import Any

from ..errors import FileRefused

AHEAD = 2  # parts for each core that wait or are at work; bounds the memory
# Each process is one core's work: libraries of linear algebra must not start as many threads again.
_THREADS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")

_work: Callable[..., Any] | None = None


def available() -> int:
    """Cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def in_order(
    begin: Callable[..., Callable[..., Any]], recipe: Any, tasks: Iterable[tuple], cores: int
) -> Iterator[Any]:
    """What `begin(recipe)`, called once in each process, gives for each task, in the order of the tasks.

    `begin` and `recipe`, tasks and answers go from process to process, so they must be such as pickle takes. Raises
    `FileRefused` where a process is stopped from outside, as a system short of memory does.
    """
    waiting: deque = deque()
    with _one_thread_each():
        pool = ProcessPoolExecutor(cores, get_context("spawn"), _begin, (begin, recipe))
        try:
            for task in tasks:
                waiting.append(pool.submit(_do, task))
                if len(waiting) >= AHEAD * cores:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        except BrokenProcessPool:
            raise FileRefused(
                "a process of this calculation was stopped from outside, perhaps for want of memory; try fewer --cores"
            ) from None
        finally:
            pool.shutdown(wait=True, cancel_futures=True)


def _begin(begin, recipe):
    global _work
    Thread(target=_end_with_parent, daemon=True).start()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the process that asks is told, and ends this one
    _work = begin(recipe)


def _end_with_parent():
    """A process whose parent was killed would wait for work for ever."""
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _do(task):
    assert _work is not None
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
