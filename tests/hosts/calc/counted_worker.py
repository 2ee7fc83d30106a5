"""The worker, noting its processor time by function, a line of JSON a request: python counted_worker.py NOTES."""

import json
import sys
import time

from hydrofunc.hosts.calc import worker

notes = open(sys.argv[1], "a")  # noqa: SIM115  (open as long as the process)


one, many = worker.answer, worker.answers_of
inside = False  # those that `answers_of` asks by themselves count with it


def noted(name, calls, function, *arguments):
    global inside
    if inside:
        return function(*arguments)
    inside, start = True, time.process_time()
    try:
        return function(*arguments)
    finally:
        inside = False
        notes.write(json.dumps([name, calls, time.process_time() - start]) + "\n")
        notes.flush()


worker.answer = lambda name, *rest: noted(name, 1, one, name, *rest)
worker.answers_of = lambda name, calls, *rest: noted(name, len(calls), many, name, calls, *rest)
worker.main()
