"""Lists of sites or scenarios, read from CSV, XLSX or Parquet into columns.

Numbers become float arrays, so that a million rows stay small; what is no number stands beside them, to be reported
with its row. A row number is the one a spreadsheet program shows. A long list can be had some rows at a time.

CSV: UTF-8, or UTF-16 with its mark, cells divided by comma, semicolon or tab, whichever divides the first line most
often. Where it is not the comma, a number may have a decimal comma. "1.200" is then 1.2 in one country and 1200 in
another: it counts only where the list shows its decimal mark elsewhere. Blank rows are left out.

XLSX: the first sheet that is not hidden. A formula must have its value stored beside it.

Parquet: columns of numbers, words or days; null and NaN are blank. Rows are counted as in a sheet.
"""

import codecs
import csv
import datetime
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from io import BytesIO
from itertools import chain, count, islice
from math import isfinite
from pathlib import Path
from typing import Any

import numpy as np

from ..errors import FileRefused
from .results import has_pyarrow
from .spilled import Spilled

CHUNK = 1_000  # rows turned into numbers at a time, while they are still in the processor's cache
READ_AHEAD = 1 << 16  # bytes of each column of a Parquet file; else it is read as a whole
_DAY_ZERO = datetime.date(1899, 12, 30)  # of worksheets, since March 1900
DAYS = "2026-08-20, 20.8.2026, 20/8/2026, 20 Aug 2026 or Aug 20, 2026"  # how a day may be written
_CLEAR_DAYS = "2026-09-08, 8.9.2026, 8 Sep 2026 or Sep 8, 2026"  # those that nobody reads otherwise
_YEAR_FIRST = re.compile(r"(\d{4})([-/.]?)(\d{1,2})\2(\d{1,2})")
_YEAR_LAST = re.compile(r"(\d{1,2})\s*([-/.])\s*(\d{1,2})\s*\2\s*(\d{4})")
_MONTHS = "january february march april may june july august september october november december".split()
_NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?")
_MAY_BE_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2}[.,][0-9]{3}([eE][+-]?[0-9]+)?")
_NO_UTF8 = (
    'is not UTF-8 text. In Excel save it as "CSV UTF-8"; in LibreOffice Calc tick "Edit filter settings" '
    'on saving and choose the character set "Unicode (UTF-8)"'
)


@dataclass(frozen=True)
class Problem:
    """Something wrong with a list: its row and column, as far as there is one, and why.

    `by_line` is for a list with a line for each input: `column` is then the name that stands in the row.
    """

    row: int | None
    column: str
    reason: str
    by_line: bool = False

    def __str__(self):
        where = [f"row {self.row}"] if self.row is not None else []
        where += [self.column if self.by_line else f"column {self.column}"] if self.column else []
        return ": ".join(filter(None, [", ".join(where), self.reason]))

    def about(self) -> str:
        """The problem without its row, to stand in that row."""
        return f"{self.column}: {self.reason}" if self.column else self.reason


class Unclear(str):
    """A number whose mark may divide thousands or decimals."""

    __slots__ = ()

    @property
    def reason(self) -> str:
        """Why it is not taken, and what to write."""
        whole, part = re.split("[.,]", self.lower().partition("e")[0])
        mark = "," if "," in self else "."
        return f"{str(self)!r} may be {whole}{part} or {whole}{mark}{part.rstrip('0') or '0'}; write one of these"


class Marks:
    """The decimal marks that the numbers of a list show; `point_only` where a comma cannot be one."""

    def __init__(self, point_only: bool) -> None:
        self.point_only = point_only
        self.seen = {"."} if point_only else set()
        self.comma = ""  # the first number with a decimal comma
        self.unclear = ""  # the first with a comma that may divide thousands or decimals

    def note(self, text: str) -> bool:
        """Note the mark of a number; is it clear?"""
        if "," not in text and ("." not in text or self.point_only):
            return True
        if _MAY_BE_THOUSANDS.fullmatch(text.strip()):
            self.unclear = self.unclear or (text.strip() if "," in text else "")
            return self.point_only
        if _number_in(text, True) is not None:
            self.seen.add("," if "," in text else ".")
            if "," in text:
                self.comma = self.comma or text.strip()
        return True

    def doubt_points(self, texts: Iterable[str]) -> None:
        """Beside a comma that may be of decimals: a point is unclear, too, where each may divide thousands."""
        with_point = [text.strip() for text in texts if "." in text and _number_in(text, False) is not None]
        if with_point and all(map(_MAY_BE_THOUSANDS.fullmatch, with_point)):
            self.point_only, self.seen = False, set()

    def number(self, cell: object) -> float | Unclear | None:
        """The number of a cell, once all have been noted; None where it is none."""
        if isinstance(cell, str) and not self.note(cell):
            text = cell.strip()
            if self.seen != {"," if "," in text else "."}:
                return Unclear(text)
        return as_number(cell, not self.point_only)


@dataclass
class Numbers:
    """A column of numbers: NaN where the cell is blank, and where it is no number: then `odd` has what stands there."""

    values: np.ndarray
    odd: dict = field(default_factory=dict)

    @property
    def blank(self) -> np.ndarray:
        blank = np.isnan(self.values)
        blank[list(self.odd)] = False
        return blank

    def __getitem__(self, index):
        if index in self.odd:
            return self.odd[index]
        value = float(self.values[index])
        return None if value != value else value


@dataclass
class Table:
    """`columns` maps each header to `Numbers`, or to a list of words with None where blank."""

    path: Path
    rows: np.ndarray  # the row number of each record
    columns: dict
    problems: list
    marks: Marks = field(default_factory=lambda: Marks(True))

    def __len__(self):
        return len(self.rows)


@dataclass
class Chunks:
    """A list, `size` rows at a time: `held` has row numbers, columns and problems of each so many."""

    path: Path | None
    heads: list[str]
    marks: Marks
    size: int
    held: Any  # a list, or what is used as one
    count: int = 0
    _last: tuple[int, Table] | None = None  # whose cells were asked for

    def __len__(self) -> int:
        return self.count

    def __iter__(self) -> Iterator[Table]:
        return map(self.chunk, range(len(self.held)))

    def chunk(self, number: int) -> Table:
        """The rows from `number * size` on."""
        rows, columns, problems = self.held[number]
        return Table(self.path, rows, dict(zip(self.heads, columns)), problems, self.marks)

    def cell(self, head: str, index: int) -> object:
        """What stands below a head in one row, counted from 0."""
        number, within = divmod(index, self.size)
        if self._last is None or self._last[0] != number:
            self._last = number, self.chunk(number)
        return self._last[1].columns[head][within]

    def whole(self) -> Table:
        """All rows together."""
        numbers, columns, problems = zip(*self.held)
        whole = dict(zip(self.heads, map(self._joined, zip(*columns))))
        return Table(self.path, np.concatenate(numbers), whole, list(chain(*problems)), self.marks)

    def _joined(self, parts):
        if not isinstance(parts[0], Numbers):
            return list(chain(*parts))
        starts = range(0, self.count, self.size)
        odd = {start + index: cell for start, part in zip(starts, parts) for index, cell in part.odd.items()}
        return Numbers(np.concatenate([part.values for part in parts]), odd)


def read_table(
    path: str | Path,
    is_text: Callable[[str], bool],
    is_date: Callable[[str], bool] = lambda header: False,
) -> Table:
    """The list in a .csv, .xlsx (its first sheet that is not hidden) or .parquet file.

    `is_text(header)` says which columns hold words, `is_date(header)` which hold days. A day, as people write it
    (`day_of`) or a date cell, becomes the number a worksheet has for it. Raises `FileRefused` where the file cannot be
    read as such a list.
    """
    return _read(path, is_text, is_date, []).whole()


def read_chunks(
    path: str | Path, is_text: Callable[[str], bool], is_date: Callable[[str], bool], folder: str | Path
) -> Chunks:
    """As `read_table`, some rows at a time; a long list is kept in `folder` while anybody holds the chunks."""
    return _read(path, is_text, is_date, Spilled(folder))


def _read(path, is_text, is_date, held):
    path = Path(path)
    readers = {".csv": _csv_rows, ".xlsx": _xlsx_rows, ".parquet": _parquet_rows}
    if path.suffix.lower() not in readers:
        raise FileRefused(f"{path}: a list must be a .csv, .xlsx or .parquet file")
    try:
        return _collect(path, readers[path.suffix.lower()](path), is_text, is_date, held)
    except OSError as error:
        raise FileRefused(f"{path} cannot be read: {error.strerror or error}") from None
    except UnicodeDecodeError:
        raise FileRefused(f"{path} {_NO_UTF8}") from None
    except csv.Error as error:
        raise FileRefused(f"{path} is not a proper CSV file: {error}") from None


# -- from file to rows that are not blank: (row number, cells), after one first item: is the point the only mark? --


def _csv_rows(path):
    with open(path, "rb") as stream:
        wide = stream.read(2) in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
    with open(path, encoding="utf-16" if wide else "utf-8-sig", newline="") as stream:
        first = next((line for line in stream if line.strip()), "")
        delimiter = max(",;\t", key=lambda mark: len(next(csv.reader([first], delimiter=mark), [])))
        yield delimiter == ","
        stream.seek(0)
        for number, cells in enumerate(csv.reader(stream, delimiter=delimiter, strict=True), start=1):
            if "".join(cells).strip():
                yield number, cells


def _xlsx_rows(path):
    from openpyxl import load_workbook

    from .reading import bytes_of, formulas_without_value, guard

    name, data = bytes_of(path)
    guard(name, data)
    try:
        sheets = load_workbook(BytesIO(data), data_only=True, read_only=True).worksheets
        sheet = next((each for each in sheets if each.sheet_state == "visible"), None)
        if sheet is None:
            raise FileRefused(f"{path} has no sheet with cells that is not hidden")
        sheet.reset_dimensions()  # else each row is as wide as the widest, up to 16,384 cells
        rows = [
            (number, list(cells)) for number, cells in enumerate(sheet.iter_rows(values_only=True), start=1) if cells
        ]
    except FileRefused:
        raise
    except Exception as error:  # openpyxl raises whatever it stumbles over
        raise FileRefused(f"{path}: not a workbook that can be read ({error})") from None
    if cells := formulas_without_value(data, sheet.title):
        more = f" and {len(cells) - 3} more" if len(cells) > 3 else ""
        raise FileRefused(
            f"{path}: {', '.join(cells[:3])}{more} on sheet {sheet.title}: formulas without stored values. Open the "
            "list in a spreadsheet program and save it there"
        )
    yield False
    for number, cells in rows:
        if any(map(_holds, cells)):
            yield number, [_day(cell) for cell in cells]


def _parquet_rows(path):
    """Rows are counted as in a sheet: the heads are the first."""
    if not has_pyarrow():
        raise FileRefused(f"{path}: reading Parquet needs pyarrow, which is not installed: pip install pyarrow")
    import pyarrow
    import pyarrow.parquet

    numbers = count(2)
    try:
        with pyarrow.parquet.ParquetFile(path, pre_buffer=False, buffer_size=READ_AHEAD) as file:
            yield False
            yield 1, list(file.schema_arrow.names)
            for batch in file.iter_batches(CHUNK, use_threads=False):
                columns = [map(_plain, column.to_pylist()) for column in batch.columns]
                for cells, number in zip(zip(*columns, strict=True), numbers):  # in this order none is lost
                    if any(map(_holds, cells)):
                        yield number, list(cells)
    except (pyarrow.ArrowException, OSError) as error:
        if isinstance(error, OSError) and error.errno:
            raise
        raise FileRefused(f"{path}: not a Parquet file that can be read ({error})") from None


def _plain(cell):
    """A value of a typed column as a sheet's cell would hold it: NaN is blank, other kinds of number are floats."""
    cell = _day(cell)
    if cell is None or isinstance(cell, (str, bool)):
        return cell
    if not isinstance(cell, (int, float, Decimal)):
        return str(cell)
    return None if cell != cell else float(cell)


def _day(cell):
    """A date cell, or one of a time, as text."""
    if isinstance(cell, datetime.datetime):
        return cell.date().isoformat() if cell.time() == datetime.time() else cell.isoformat(" ")
    if isinstance(cell, datetime.timedelta):
        return str(cell)
    return cell.isoformat() if isinstance(cell, (datetime.date, datetime.time)) else cell


# -- from rows to columns ----------------------------------------------------------------------------------


def _collect(path, rows, is_text, is_date, held):
    marks = Marks(next(rows))
    heads = _headers(path, next(rows, (0, []))[1])
    kinds = [(is_text(head), is_date(head)) for head in heads]
    table, doubtful = Chunks(path, heads, marks, CHUNK, held), []
    while chunk := list(islice(rows, CHUNK)):
        problems = []
        for number, cells in chunk:
            if len(cells) != len(heads):
                problems += _squared(number, cells, len(heads))
        columns = [_column(cells, *kind, marks) for kind, cells in zip(kinds, zip(*(cells for _, cells in chunk)))]
        if any(map(_unclear, columns)):
            doubtful.append(len(held))
        held.append((np.array([number for number, _ in chunk], dtype=int), columns, problems))
        table.count += len(chunk)
    if not held:
        raise FileRefused(f"{path} has no rows below its heads")
    _refuse_commas(table)
    for number in doubtful:
        held[number] = _settled(held[number], marks)
    return table


def _refuse_commas(table):
    """Raise `FileRefused` where cells that a comma divides may have decimal commas, and points divide thousands."""
    path, marks = table.path, table.marks
    if marks.point_only and "," in marks.seen:
        raise FileRefused(
            f"{path} has numbers with decimal commas, such as {marks.comma!r}, and commas between the cells: a point "
            "in another number may then divide thousands. Save it with semicolons between the cells"
        )
    if (
        marks.point_only
        and marks.unclear
        and any(map(_has_fractions, _arrays(table)))
        and all(map(_shows_no_decimal_point, _arrays(table)))
    ):
        raise FileRefused(
            f"{path} has {marks.unclear!r} in a cell, whose comma may divide decimals: a point in another number may "
            "then divide thousands. Write that number without a comma or with a point"
        )


def _settled(chunk, marks):
    """A chunk in which what was unclear is a number, where the marks of all cells tell which."""
    for column in chunk[1]:
        for index in _unclear(column):
            number = marks.number(str(column.odd[index]))
            if not isinstance(number, str):
                column.values[index] = number
                del column.odd[index]
    return chunk


def _unclear(column):
    odd = column.odd if isinstance(column, Numbers) else {}
    return [index for index, cell in odd.items() if isinstance(cell, Unclear)]


def _arrays(table):
    """The numbers of all columns, chunk by chunk."""
    for chunk in table:
        yield from (column.values for column in chunk.columns.values() if isinstance(column, Numbers))


def _column(cells, is_text, is_date, marks):
    """The cells of one chunk as they are kept."""
    if is_date:
        cells = [_day_number(cell) for cell in cells]
    return [_word(cell) for cell in cells] if is_text else Numbers(*_as_numbers(cells, marks))


def _has_fractions(values):
    """Does one of the numbers have decimals?"""
    return (values[np.isfinite(values)] % 1 != 0).any()


def _shows_no_decimal_point(values):
    """May a point in each of the numbers divide thousands: 1 to 999, and no more than three digits?"""
    with_point = abs(values[np.isfinite(values) & (values % 1 != 0)])
    thousands = with_point * 1000
    return not ((with_point < 1) | (with_point >= 1000) | (abs(thousands - np.round(thousands)) > 1e-6)).any()


def _squared(number, cells, width):
    """Make a row `width` cells long; a problem if that loses any that is not blank."""
    lost = cells[width:]
    cells[width:] = [None] * (width - len(cells))
    if any(map(_holds, lost)):
        why = "A decimal comma in a list with commas needs quotes round its number, or semicolons between all cells"
        yield Problem(number, "", f"has more cells than the {width} column heads; row left out. {why}")


def _holds(cell):
    return cell is not None and (not isinstance(cell, str) or cell.strip() != "")


def _headers(path, cells):
    headers = ["" if cell is None else " ".join(str(cell).split()) for cell in cells]
    while headers and not headers[-1]:
        headers.pop()
    if not headers:
        raise FileRefused(f"{path} is empty: the first row must hold the column heads")
    if "" in headers:
        raise FileRefused(f"{path}: column {headers.index('') + 1} has no head")
    seen = set()
    for header in headers:
        if header.casefold() in seen:
            raise FileRefused(f"{path}: two columns are headed {header}")
        seen.add(header.casefold())
    return headers


def _day_number(cell):
    """The worksheet's number of a day in words; anything else stays as it is."""
    try:
        return day_number(cell) if isinstance(cell, str) else cell
    except ValueError:
        return cell


def day_number(text: str) -> float:
    """The worksheet's number of a day as people write it. Raises ValueError as `day_of` does."""
    return float((day_of(text) - _DAY_ZERO).days)


def day_of(text: str) -> datetime.date:
    """The day that a text means, written in one of the ways of `DAYS`.

    Raises ValueError, saying how to write it, where it means none, or may mean two: 08/09/2026 is the 8th of September
    in one country and the 9th of August in another. Dots stand for day.month.year everywhere.
    """
    days = []
    for year, month, day in dict.fromkeys(_dates_meant(" ".join(text.split()))):
        try:
            days.append(datetime.date(year, month, day))
        except ValueError:
            continue
    if len(days) == 1:
        return days[0]
    if days:
        first, second = (f"{day.day} {_MONTHS[day.month - 1].capitalize()}" for day in days)
        raise ValueError(f"{text!r} may be {first} or {second}; it must be a date such as {_CLEAR_DAYS}")
    raise ValueError(f"{text!r} is not understood; it must be a date such as {DAYS}")


def _dates_meant(text):
    """(year, month, day) of every way to read a date; they may be days that no calendar has."""
    if match := _YEAR_FIRST.fullmatch(text):
        if match[2] or len(text) == 8:  # 20260820 is one, 2026820 may be two
            yield int(match[1]), int(match[3]), int(match[4])
    elif match := _YEAR_LAST.fullmatch(text):
        first, second, year = int(match[1]), int(match[3]), int(match[4])
        yield year, second, first
        if match[2] != ".":
            yield year, first, second
    else:
        yield from _dates_with_a_month_in_words(text.casefold())


def _dates_with_a_month_in_words(text):
    words = re.findall(r"[a-z]+|\d+", re.sub(r"(?<=\d)(st|nd|rd|th)\b|\bof\b", "", text))
    months = [word for word in words if word.isalpha()]
    years = [word for word in words if len(word) == 4 and word.isdigit()]
    days = [word for word in words if len(word) <= 2 and word.isdigit()]
    if len(words) == 3 and len(months) == len(years) == len(days) == 1 and len(months[0]) >= 3:
        for number, name in enumerate(_MONTHS, start=1):
            if name.startswith(months[0]) or months[0] == "sept" == name[:4]:
                yield int(years[0]), number, int(days[0])


def _word(cell):
    if not _holds(cell):
        return None
    if isinstance(cell, float) and cell.is_integer():
        cell = int(cell)
    return str(cell).strip()


def _as_numbers(cells, marks):
    """A float array, and by index whatever is no number, or may be two; blank cells are NaN in the array only."""
    # The common case at once: all cells are plain numbers. Python's float also takes "1_000", "nan", "inf" and "４".
    try:
        text = "".join(cells)  # fails for cells that are no text
        values = np.array(list(map(float, cells)))
        plain = text.isascii() and "_" not in text and (marks.point_only or "." not in text)
        if plain and np.isfinite(values).all():
            return values, {}
    except (TypeError, ValueError):
        pass
    values, odd = np.full(len(cells), np.nan), {}
    for index, cell in enumerate(cells):
        if _holds(cell):
            clear = not isinstance(cell, str) or marks.note(cell)
            number = as_number(cell, not marks.point_only) if clear else None
            if number is None:
                odd[index] = cell if not isinstance(cell, str) else cell.strip() if clear else Unclear(cell.strip())
            else:
                values[index] = number
    return values, odd


def as_number(cell: object, decimal_comma: bool = False) -> float | None:
    """The finite number a cell or a piece of text stands for, or None; thousands marks are not understood."""
    if isinstance(cell, bool):
        return None
    if isinstance(cell, str):
        cell = _number_in(cell, decimal_comma)
    return float(cell) if isinstance(cell, (int, float)) and isfinite(cell) else None


def _number_in(text, decimal_comma):
    text = text.strip().replace(",", ".") if decimal_comma else text.strip()
    return float(text) if _NUMBER.fullmatch(text) else None
