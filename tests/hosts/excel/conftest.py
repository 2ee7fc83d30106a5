"""xlwings with its Windows side switched on, on any machine.

What is stood in for: pywin32 (the COM library) and Excel. What is real: xlwings' own decorators, its reading
and cleaning of arguments, its call of a function and its writing of VBA wrappers, all of its BSD part.
"""

import ctypes
import importlib
import sys
from datetime import datetime
from unittest.mock import MagicMock

import pytest
import xlwings

from tests.hosts.excel.stand_ins import Cells, ComError

PYWIN32 = (
    "pythoncom pywintypes win32api win32con win32gui win32process win32timezone win32com win32com.client"
    " win32com.server win32com.server.dispatcher win32com.server.policy win32com.server.util win32com.util win32event"
).split()


@pytest.fixture(scope="package")
def windows():
    """xlwings' `udfs` module, with our module of functions decorated by it."""
    kept = {name: sys.modules.get(name) for name in PYWIN32}
    library = {name: getattr(ctypes, name, None) for name in ("windll", "oledll", "PyDLL")}
    for name in PYWIN32:
        sys.modules[name] = MagicMock(name=name)
    sys.modules["pywintypes"].TimeType = datetime
    sys.modules["pywintypes"].com_error = sys.modules["pythoncom"].com_error = ComError
    sys.modules["pythoncom"].__file__ = "pythoncom.dll"
    for name in library:
        setattr(ctypes, name, MagicMock(name=name))
    excel = importlib.import_module("xlwings._xlwindows")
    udfs = importlib.import_module("xlwings.udfs")
    server = importlib.import_module("xlwings.com_server")
    server.win32com.server.util.unwrap.side_effect = ComError  # no argument is a wrapped Python object
    server.PyIDispatch = ComError
    for name, value in library.items():
        delattr(ctypes, name) if value is None else setattr(ctypes, name, value)
    decorators = xlwings.func, xlwings.arg
    xlwings.func, xlwings.arg = udfs.xlfunc, udfs.xlarg
    xlwings._xlwindows = excel
    excel.is_range_instance = lambda item: isinstance(item, Cells)
    engine = xlwings.Engine(impl=excel.engine)
    xlwings.engines.add(engine)
    active, xlwings.engines.active = xlwings.engines.active, engine
    ours = importlib.reload(importlib.import_module("hydrofunc.hosts.excel.udfs"))
    udfs.ours, udfs.server = ours, server
    yield udfs
    xlwings.func, xlwings.arg = decorators
    xlwings.engines.active = active
    importlib.reload(ours)
    for name, module in kept.items():
        sys.modules.pop(name) if module is None else sys.modules.__setitem__(name, module)
