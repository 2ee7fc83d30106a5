"""Times of rival pieces of work, taken in turn so that a busy machine disturbs all of them alike."""

import os
import subprocess
import sys
from contextlib import suppress
from pathlib import Path
from statistics import median
from time import perf_counter, process_time, sleep
from typing import NamedTuple


class Spent(NamedTuple):
    """What a process of its own has used, its start and end included."""

    processor: float  # [s]
    wall: float  # [s]
    megabytes: float  # most of the memory at one time


def spent_by(*words):
    """Run Python with these words; what that used. Memory is looked at twenty times a second."""
    start, most = perf_counter(), 0
    process = subprocess.Popen([sys.executable, *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    while True:
        most = max(most, _resident(process.pid))  # ru_maxrss would count what this process had when it began that one
        ended, status, used = os.wait4(process.pid, os.WNOHANG)
        if ended:
            break
        sleep(0.05)
    process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0, words
    return Spent(used.ru_utime + used.ru_stime, perf_counter() - start, most)


def _resident(pid):
    """Most memory that a process has had so far [MB]; 0 where that cannot be told."""
    with suppress(OSError):
        for said in Path(f"/proc/{pid}/status").read_text().splitlines():
            if said.startswith("VmHWM:"):
                return int(said.split()[1]) / 1024
    return 0


def processor_medians(*works, repeats):
    """As `medians`, in processor time: of all threads of this process, whatever else the machine does."""
    return medians(*works, repeats=repeats, clock=process_time)


def medians(*works, repeats, clock=perf_counter):
    """The median time of each work in seconds; the works take turns, `repeats` times."""
    times = [[] for _ in works]
    for _ in range(repeats):
        for taken, work in zip(times, works):
            start = clock()
            work()
            taken.append(clock() - start)
    return [median(taken) for taken in times]


def line(what, ratio, aim, times):
    """One line of the report; `aim` is such as "<= 2" or ">= 1000", or nothing."""
    if not aim:
        return f"{what:66} {ratio:9.2f}   {'':21} ({times})"
    sign, bound = aim.split()
    met = ratio <= float(bound) if sign == "<=" else ratio >= float(bound)
    return f"{what:66} {ratio:9.2f}   aim {aim:8} {'met' if met else 'NOT MET':8} ({times})"
