"""What workers of a cluster do in its tests; a module that is loaded quickly."""

import os
import time
from pathlib import Path
from threading import Lock

LONG = 300  # seconds; a busy machine takes its time

_lock, _within = Lock(), []


def wait_for(happened):
    until = time.monotonic() + LONG
    while not happened():
        assert time.monotonic() < until
        time.sleep(0.05)


def alone(recipe):
    """Says how many threads are at work in it."""

    def work(number):
        with _lock:
            _within.append(number)
        time.sleep(0.02)
        with _lock:
            count = len(_within)
            _within.remove(number)
        return number, count

    return work


def counting(folder):
    """Leaves a mark each time that it is begun."""
    (Path(folder) / f"begun-{os.getpid()}-{time.monotonic_ns()}").touch()
    return lambda number: len(folder)


def waiting(folder):
    """Says where a part is at work, and waits until it may go on."""

    def work(number):
        (Path(folder) / f"at-{os.getpid()}-{number}").touch()
        wait_for((Path(folder) / "go").exists)
        return number

    return work


def deadly(recipe):
    """Ends its process at one of the parts."""
    return lambda number: os._exit(9) if number == recipe else number


def wanted(dask_scheduler):
    """How many parts a scheduler knows."""
    return len(dask_scheduler.tasks)


def executing(dask_worker):
    """How many parts a worker is at."""
    return len(dask_worker.state.executing)
