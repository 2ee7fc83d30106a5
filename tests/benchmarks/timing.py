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
    """Run Python with these words; what that used, processes that it began included.

    Memory is that of the first process alone, looked at twenty times a second.
    """
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


class Row(NamedTuple):
    """A row of the table: what was measured, the figure, the aim such as "<= 2" or nothing, and from what it comes."""

    what: str
    figure: float | None  # None: it could not be had; `told` says why
    aim: str
    told: str

    def met(self):
        if not self.aim:
            return ""
        if self.figure is None:
            return "NOT HAD"
        sign, bound = self.aim.split()
        met = self.figure <= float(bound) if sign == "<=" else self.figure >= float(bound)
        return "met" if met else "NOT MET"

    def __str__(self):
        figure = "-" if self.figure is None else f"{self.figure:,.{0 if self.figure >= 1000 else 2}f}"
        return f"{self.what:<84} {figure:>10}   {self.aim:<8} {self.met():<7}   {self.told}".rstrip()
