"""Times of rival pieces of work, taken in turn so that a busy machine disturbs all of them alike."""

from statistics import median
from time import perf_counter


def medians(*works, repeats):
    """The median time of each work in seconds; the works take turns, `repeats` times."""
    times = [[] for _ in works]
    for _ in range(repeats):
        for taken, work in zip(times, works):
            start = perf_counter()
            work()
            taken.append(perf_counter() - start)
    return [median(taken) for taken in times]


def line(what, ratio, aim, times):
    """One line of the report; `aim` is such as "<= 2" or ">= 1000"."""
    sign, bound = aim.split()
    met = ratio <= float(bound) if sign == "<=" else ratio >= float(bound)
    return f"{what:66} {ratio:9.2f}   aim {aim:8} {'met' if met else 'NOT MET':8} ({times})"
