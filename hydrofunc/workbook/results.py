"""Tables of results, written part by part as CSV, XLSX or Parquet.

A table has named columns, each of numbers or of words. A part is a list of `Cells`, one for each column.

- A number stands as a number, an empty cell as nothing. In CSV it is the shortest text that reads back the same.
- CSV and XLSX: an error value or a word stands in its cell, also in a column of numbers. In CSV (UTF-8 with
  byte order mark, comma, point) a word that a spreadsheet would run as a formula gets an apostrophe in front.
- Parquet columns have one type. What does not fit, an error value in either kind of column or a word in a
  column of numbers, leaves a null, and the last column, `other_values`, says what stood there:
  ``best_nozzle=#NUM!; advice=#N/A``.
"""

import re
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal
from itertools import accumulate
from math import isfinite
from pathlib import Path

import numpy as np

from ..engine.lanes import ExcelError
from ..engine.run import Column
from ..errors import FileRefused
from .files import new_file

XLSX_ROWS = 1_048_576  # of a worksheet, head included (ECMA-376; Excel specifications and limits)
ENDINGS = (".csv", ".xlsx", ".parquet")
CSV_BLOCK = 4096  # rows turned into text together; bounds the memory
PLAIN_FROM, PLAIN_BELOW = 1e-6, 1e10  # numbers that CSV holds without an exponent
_RUNS_AS_FORMULA = ("=", "+", "-", "@", "\t", "\r")  # starts of a word that a spreadsheet would calculate
# The same behind what divides cells in another country's CSV: there quotes inside a line count for nothing.
_RUNS_BEHIND = re.compile(r'([;\t\r\n][ "]*)([=+@-])')
_NEEDS_QUOTES = re.compile(r'[",\r\n]')


@dataclass(frozen=True)
class Cells:
    """Part of a column: numbers (NaN where there is none), and words by index for the other cells.

    `errors` holds the indices among `words` that are error values.
    """

    numbers: np.ndarray
    words: dict
    errors: frozenset = frozenset()

    @property
    def are_words(self) -> bool:
        """Whether the column is one of words: it holds some, other than error values, and no number."""
        return len(self.words) > len(self.errors) and bool(np.isnan(self.numbers).all())


def cells_of(values: Sequence) -> Cells:
    """Cells of worksheet values: a float array, or a sequence of float, str, bool, None and `ExcelError`."""
    if isinstance(values, np.ndarray) and values.dtype == float:
        return Cells(values, {})
    numbers, words, errors = np.full(len(values), np.nan), {}, set()
    for index, value in enumerate(values):
        if isinstance(value, ExcelError):
            words[index] = value.text
            errors.add(index)
        elif isinstance(value, bool):
            words[index] = str(value).upper()
        elif isinstance(value, str):
            words[index] = value
        elif value is not None:
            numbers[index] = value
    return Cells(numbers, words, frozenset(errors))


def cells_of_column(column: Column, blank: Collection[int] = ()) -> Cells:
    """Cells of one output of the engine, empty at the indices in `blank`."""
    if column.kind == "number":
        codes = column.errors
        at_fault = [] if codes is None else np.flatnonzero(codes).tolist()
        words = {index: ExcelError.TEXTS[codes[index]] for index in at_fault}
        cells = Cells(column.values, words, frozenset(at_fault))
    else:
        cells = cells_of(column.python())
    if not blank:
        return cells
    numbers = cells.numbers.copy()
    numbers[list(blank)] = np.nan
    words = {index: word for index, word in cells.words.items() if index not in blank}
    return Cells(numbers, words, cells.errors.difference(blank))


def joined(parts: Sequence[Cells]) -> Cells:
    """The cells of a column in one, of which the parts are given in order."""
    if len(parts) == 1:
        return parts[0]
    words: dict[int, str] = {}
    errors: set[int] = set()
    first = 0
    for part in parts:
        words |= {first + index: word for index, word in part.words.items()}
        errors |= {first + index for index in part.errors}
        first += len(part.numbers)
    return Cells(np.concatenate([part.numbers for part in parts]), words, frozenset(errors))


def picked(cells: Cells, rows: Sequence[int]) -> Cells:
    """These rows of a column, in this order."""
    words = {new: cells.words[old] for new, old in enumerate(rows) if old in cells.words}
    return Cells(cells.numbers[list(rows)], words, frozenset(n for n, old in enumerate(rows) if old in cells.errors))


def check_ending(path: str | Path, rows: int) -> None:
    """Raise `FileRefused` where no table of so many rows can be written under this name."""
    ending = Path(path).suffix.lower()
    if ending not in ENDINGS:
        raise FileRefused(f"{path}: results can be written as {', '.join(ENDINGS)}")
    if ending == ".parquet" and not has_pyarrow():
        raise FileRefused(
            f"{path}: writing Parquet needs pyarrow, which is not installed: pip install pyarrow, or write .csv"
        )
    if ending == ".xlsx" and rows + 1 > XLSX_ROWS:
        raise FileRefused(f"{path}: {rows} rows do not fit on a worksheet; write .csv or .parquet")


def has_pyarrow() -> bool:
    """Whether Parquet can be read and written here."""
    try:
        import pyarrow.parquet  # noqa: F401  (a try tells more than a look for its folder)
    except ImportError:
        return False
    return True


@contextmanager
def open_results(
    path: str | Path, columns: Sequence[tuple[str, bool]], force: bool = False
) -> Iterator[Callable[[Sequence[Cells]], None]]:
    """A function that writes the next part to a new table; `columns` is a list of (name, is it words?).

    `check_ending` says beforehand whether the table can be written. Raises `FileRefused` as `new_file` does.
    """
    writers = {".csv": _csv, ".xlsx": _xlsx, ".parquet": _parquet}
    with new_file(path, force) as stream, writers[Path(path).suffix.lower()](stream, columns) as write:
        yield write


# -- CSV -----------------------------------------------------------------------------------------------------


@contextmanager
def _csv(stream, columns):
    def write(part):
        rows = len(part[0].numbers)
        for start in range(0, rows, CSV_BLOCK):
            texts = [_csv_texts(cells, start, min(start + CSV_BLOCK, rows)) for cells in part]
            write_line("\r\n".join(map(",".join, zip(*texts))))

    def write_line(text):
        stream.write(f"{text}\r\n".encode())

    stream.write("\ufeff".encode())
    write_line(",".join(_csv_word(name) for name, _ in columns))
    yield write


def _csv_texts(cells, start, stop):
    """The cells of some rows as they stand in a CSV file."""
    texts = _number_texts(cells.numbers[start:stop])
    if cells.words:
        for index in range(start, stop):
            if index in cells.words:
                texts[index - start] = _csv_word(cells.words[index])
    return texts


def _csv_word(word):
    if word.startswith(_RUNS_AS_FORMULA):
        word = f"'{word}"
    word = _RUNS_BEHIND.sub(r"\1'\2", word)
    if _NEEDS_QUOTES.search(word):
        word = '"' + word.replace('"', '""') + '"'
    return word


def _number_texts(numbers):
    """Each number as the shortest text that reads back as the same number; NaN is no text."""
    # To make the text is what takes the time, and a grid of scenarios repeats its numbers: there each is made once.
    # Told apart by their bits: so 0 is not -0, and NaN is equal to itself.
    bits = np.ascontiguousarray(numbers).view(np.int64).tolist()
    distinct = list(set(bits))
    if len(distinct) > len(bits) // 2:
        return _shortest_texts(numbers)
    texts = dict(zip(distinct, _shortest_texts(np.array(distinct, dtype=np.int64).view(float))))
    return [texts[key] for key in bits]


def _shortest_texts(numbers):
    # Python writes a list faster than its numbers one by one. Whole numbers lose their ".0" on the way.
    texts = repr(numbers.tolist())[1:-1].replace(".0, ", ", ").removesuffix(".0").split(", ")
    size = np.abs(numbers)
    for index in np.flatnonzero(~((size == 0) | (size >= 1e-4) & (size < PLAIN_BELOW))).tolist():
        texts[index] = _outside_plain(float(numbers[index]))
    return texts


def _outside_plain(number):
    """A number that Python writes with an exponent, or that is too large to read without one; NaN is no text."""
    if number != number:
        return ""
    if not isfinite(number):
        return str(number)
    if PLAIN_FROM <= abs(number) < PLAIN_BELOW:
        return f"{Decimal(repr(number)):f}"
    sign, digits, exponent = Decimal(repr(number)).normalize().as_tuple()
    first, *others = map(str, digits)
    point = "." if others else ""
    return f"{'-' * sign}{first}{point}{''.join(others)}e{exponent + len(others):+d}"


# -- XLSX ----------------------------------------------------------------------------------------------------


@contextmanager
def _xlsx(stream, columns):
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = Workbook(write_only=True)
    sheet = book.create_sheet("results")
    sheet.freeze_panes = "B2"
    for index, (name, _) in enumerate(columns, start=1):
        sheet.column_dimensions[get_column_letter(index)].width = min(max(len(name) + 2, 12), 40)

    def text(word, bold=False):
        cell = WriteOnlyCell(sheet, _clean(word))
        cell.data_type = "s"  # never a formula
        if bold:
            cell.font = Font(bold=True)
        return cell

    def error(word):
        cell = WriteOnlyCell(sheet, word)
        cell.data_type = "e"
        return cell

    def write(part):
        rows = []
        for cells in part:
            column = [None if number != number else number for number in cells.numbers.tolist()]
            for index, word in cells.words.items():
                column[index] = error(word) if index in cells.errors else text(word)
            rows.append(column)
        for row in zip(*rows):
            sheet.append(row)

    sheet.append([text(name, bold=True) for name, _ in columns])
    try:
        yield write
    except BaseException:
        sheet.close()  # else openpyxl complains when the sheet is collected
        raise
    book.save(stream)


def _clean(word):
    """Text without the control characters that XML cannot hold."""
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

    return ILLEGAL_CHARACTERS_RE.sub(" ", word)[:32_767]


# -- Parquet -------------------------------------------------------------------------------------------------


@contextmanager
def _parquet(stream, columns):
    import pyarrow as pa
    import pyarrow.parquet as pq

    fields = [pa.field(name, pa.string() if words else pa.float64()) for name, words in columns]
    schema = pa.schema([*fields, pa.field("other_values", pa.string())])

    def write(part):
        others, arrays = {}, []
        for (name, is_words), cells in zip(columns, part):
            column = _word_texts(cells) if is_words else cells.numbers
            arrays.append(_arrow(column, pa.string() if is_words else pa.float64()))
            for index, word in cells.words.items():
                if not is_words or index in cells.errors:
                    others.setdefault(index, []).append(f"{name}={word}")
        rest = ["; ".join(others[index]) if index in others else None for index in range(len(part[0].numbers))]
        arrays.append(_arrow(rest, pa.string()))
        writer.write_table(pa.Table.from_arrays(arrays, schema=schema))

    with pq.ParquetWriter(stream, schema) as writer:
        yield write


def _arrow(column, kind):
    """An array of numbers, null for NaN, or of texts, null for None.

    It is made of its buffers: `pyarrow.array` imports pandas where that is installed, which takes 40 MB.
    """
    import pyarrow as pa

    if isinstance(column, np.ndarray):
        there, buffers = ~np.isnan(column), [np.ascontiguousarray(column)]
    else:
        there, data = np.array([text is not None for text in column]), [(text or "").encode() for text in column]
        buffers = [np.array([0, *accumulate(map(len, data))], dtype=np.int32), b"".join(data)]
    nulls = None if there.all() else pa.py_buffer(np.packbits(there, bitorder="little"))
    return pa.Array.from_buffers(kind, len(column), [nulls, *map(pa.py_buffer, buffers)])


def _word_texts(cells):
    """The cells of a column of words, None where there is nothing or an error value."""
    texts = [None if number != number else f"{number:.15g}" for number in cells.numbers.tolist()]
    for index, word in cells.words.items():
        texts[index] = None if index in cells.errors else word
    return texts
