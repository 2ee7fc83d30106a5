"""Columns of a list that feed inputs of the template: looked up by their head, checked value by value."""

from collections.abc import Iterator
from difflib import get_close_matches
from pathlib import Path

import numpy as np

from ..template import INPUTS
from ..template.model import Input
from ..workbook.lists import Problem, Table, read_table

_BY_NAME = {item.name.casefold(): item for item in INPUTS}


def bare(header: str) -> str:
    """A column head without its unit in brackets: ``nozzle`` for ``nozzle [mm]``."""
    return header.partition("[")[0].strip()


def find_input(header: str) -> Input | None:
    """The input a column head names, or None. A unit in brackets must be the right one."""
    item = _BY_NAME.get(bare(header).casefold())
    unit = header[len(header.partition("[")[0]) :].strip()
    return item if item and unit in ("", f"[{item.unit}]") else None


def read_inputs(path: str | Path) -> Table:
    """A list whose heads name inputs: columns of numbers, of days as worksheets number them, or of words."""
    return read_table(
        path,
        is_text=lambda header: (item := find_input(header)) is None or item.is_text,
        is_date=lambda header: (item := find_input(header)) is not None and item.is_date,
    )


def suggestion(header: str) -> str:
    """What the writer of an unknown column head may have meant, as the end of a sentence; or nothing."""
    name = bare(header).casefold()
    if name in _BY_NAME:
        return f"; the unit of {_BY_NAME[name].name} is {_BY_NAME[name].unit}"
    near = get_close_matches(name, _BY_NAME, n=1)
    return f"; did you mean {_BY_NAME[near[0]].name}?" if near else ""


def bad_values(table: Table, header: str, item: Input) -> Iterator[Problem]:
    """A problem for every value of a column that its input does not allow; blank cells are passed over."""
    column = table.columns[header]
    if item.is_text:
        suspects = range(len(table)) if item.choices else ()
    else:
        _, codes = item.argument.read(column.values)
        suspects = () if codes is None else np.flatnonzero(codes).tolist()
    for index in suspects:
        value = column[index]
        if value is not None and (reason := item.check(value)):
            yield Problem(int(table.rows[index]), header, reason)
