"""The add-in inside LibreOffice: hands every call to the worker. Standard library and uno only, Python 3.8.

The worker is started at the first call. A worker that dies is started again, once for each call; one that
does not answer in time is ended. Then the cell shows #N/A and calls do the same at once for a pause, so that
a sheet of many cells does not wait for each; the first call after the pause tries again.
"""

import json
import os
import queue
import struct
import subprocess
import threading
import time

import uno
import unohelper
from com.sun.star.lang import XServiceInfo

HERE = os.path.dirname(unohelper.fileUrlToSystemPath(__file__) if __file__.startswith("file:") else __file__)
with open(os.path.join(HERE, "hydrofunc.json"), encoding="utf-8") as _file:
    SETTINGS = json.load(_file)

FIRST_ANSWER, ANSWER, FOR_EACH_CELL = 20.0, 10.0, 1e-3  # seconds to wait
SHORTEST_PAUSE, LONGEST_PAUSE = 2.0, 60.0  # seconds
REMEMBERED = 20000  # calls


def _error(code):
    """A not-a-number that Calc shows as the error value with this code."""
    return struct.unpack("<d", struct.pack("<Q", 0x7FF8000000000000 | code))[0]


ERRORS = {"#NUM!": _error(503), "#VALUE!": _error(519), "#N/A": _error(32767)}
NO_ANSWER = ((ERRORS["#N/A"],),)


class Silent(Exception):
    """The worker did not answer in time."""


class Worker:
    """One worker process. A thread of its own writes and reads, so that no pipe can block Calc."""

    def __init__(self):
        environment = {
            name: value for name, value in os.environ.items()
            if not name.startswith("PYTHON") and name != "LD_LIBRARY_PATH"
        }
        flags = {"creationflags": subprocess.CREATE_NO_WINDOW} if os.name == "nt" else {}
        self.process = subprocess.Popen(
            SETTINGS["command"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
            env=environment, **flags
        )
        self.requests, self.answers = queue.Queue(), queue.Queue()
        self.wait = FIRST_ANSWER
        thread = threading.Thread(target=self._serve, daemon=True)
        thread.start()

    def _serve(self):
        try:
            while True:
                request = self.requests.get()
                if request is None:
                    return
                self.process.stdin.write(request)
                self.process.stdin.flush()
                line = self.process.stdout.readline()
                self.answers.put(line)
                if not line:
                    return
        except (OSError, ValueError):
            self.answers.put(b"")

    def ask(self, request, cells):
        """The line that answers; empty if the worker died. Raises `Silent`."""
        self.requests.put(request)
        try:
            line = self.answers.get(timeout=self.wait + cells * FOR_EACH_CELL)
        except queue.Empty:
            raise Silent() from None
        self.wait = ANSWER
        return line

    def end(self):
        self.process.kill()
        self.process.wait()
        self.requests.put(None)


class Caller:
    """Asks the worker, and decides what happens when it does not answer."""

    def __init__(self):
        self.worker = None
        self.pause, self.until = SHORTEST_PAUSE, 0.0
        self.known = {}

    def call(self, name, arguments):
        """Rows of values, as Calc takes them."""
        try:
            key = (name, arguments)
            if key in self.known:
                return self.known[key]
        except TypeError:
            key = None
        rows = self._asked(name, arguments)
        if rows is NO_ANSWER or key is None:
            return rows
        if len(self.known) >= REMEMBERED:
            self.known.clear()
        if len(rows) == 1:
            self.known[key] = rows
        return rows

    def _asked(self, name, arguments):
        if time.monotonic() < self.until:
            return NO_ANSWER
        cells = sum(len(a) * len(a[0]) for a in arguments if isinstance(a, tuple) and a)
        request = json.dumps((name, arguments)).encode() + b"\n"
        for _ in range(2):
            try:
                if self.worker is None:
                    self.worker = Worker()
                line = self.worker.ask(request, cells)
            except Silent:
                break
            except OSError:  # no such interpreter
                break
            if line.endswith(b"\n"):
                self.pause = SHORTEST_PAUSE
                return tuple(tuple(ERRORS.get(v, v) for v in row) for row in json.loads(line))
            self._drop()
        self._drop()
        self.until = time.monotonic() + self.pause
        self.pause = min(2 * self.pause, LONGEST_PAUSE)
        return NO_ANSWER

    def _drop(self):
        if self.worker is not None:
            self.worker.end()
            self.worker = None


CALLER = Caller()


def _method(name):
    def method(self, *arguments):
        return CALLER.call(name, arguments)

    return method


def _explain(self, function, arguments):
    return CALLER.call("explain", (function,) + tuple(arguments))


def _version(self):
    rows = CALLER.call("version", ())
    if rows is not NO_ANSWER and rows[0][0] != SETTINGS["version"]:
        return (("%s, but the add-in is of %s: run hydrofunc calc-addin install" % (rows[0][0], SETTINGS["version"]),),)
    return rows


class _Functions(unohelper.Base, XServiceInfo):
    def __init__(self, context):
        pass

    def getImplementationName(self):
        return SETTINGS["service"]

    def supportsService(self, name):
        return name == SETTINGS["service"]

    def getSupportedServiceNames(self):
        return (SETTINGS["service"],)


def _functions():
    """The class that Calc calls, with a method for each function."""
    try:
        bases = (_Functions, uno.getClass(SETTINGS["interface"]))
    except Exception:  # while the extension is being added its types are not known yet
        bases = (_Functions,)
    methods = {method: _method(name) for method, name in SETTINGS["functions"].items()}
    return type("Functions", bases, dict(methods, EXPLAIN=_explain, VERSION=_version))


g_ImplementationHelper = unohelper.ImplementationHelper()
g_ImplementationHelper.addImplementation(_functions(), SETTINGS["service"], (SETTINGS["service"],))
