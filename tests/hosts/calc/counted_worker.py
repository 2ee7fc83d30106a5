"""The worker, noting its processor time by function, a line of JSON a request: python counted_worker.py NOTES."""

import json
import sys
import time

from hydrofunc.hosts.calc import worker

notes = open(sys.argv[1], "a")  # noqa: SIM115  (open as long as the process)


def noted(function):
    def wrapped(name, arguments, fingerprints=None, calls=1):
        start = time.process_time()
        reply = function(name, arguments, fingerprints, *([calls] if calls > 1 else []))
        notes.write(json.dumps([name, calls, time.process_time() - start]) + "\n")
        notes.flush()
        return reply

    return wrapped


one = worker.answer
many = worker.answers


def answers(*arguments):
    worker.answer = one  # those that it asks by itself count with it
    try:
        return many(*arguments)
    finally:
        worker.answer = noted(one)


worker.answer, worker.answers = noted(one), noted(answers)
worker.main()
