"""Tables of results, written part by part as CSV, XLSX or Parquet.

A table has named columns, each of numbers or of words. A part is a list of `Cells`, one for each column.

- A number stands as a number, an empty cell as nothing.
- CSV and XLSX: an error value or a word stands in its cell, also in a column of numbers. In CSV (UTF-8 with
  byte order mark, comma, point) a word that a spreadsheet would run as a formula gets an apostrophe in front.
- Parquet columns have one type. What does not fit, an error value in either kind of column or a word in a
  column of numbers, leaves a null, and the last column, `other_values`, says what stood there:
  ``best_nozzle=#NUM!; advice=#N/A``.
"""

from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from ..engine.lanes import ExcelError
from ..errors import FileRefused
from .files import new_file

XLSX_ROWS = 1_048_576  # of a worksheet, head included (ECMA-376; Excel specifications and limits)
ENDINGS = (".csv", ".xlsx", ".parquet")
_RUNS_AS_FORMULA = r"^[=+\-@\t\r]"


@dataclass(frozen=True)
class Cells:
    """Part of a column: numbers (NaN where there is none), and words by position for the other cells.

    `errors` holds the positions among `words` that are error values.
    """

    numbers: np.ndarray
    words: dict
    errors: frozenset = frozenset()

    @property
    def are_words(self):
        """Whether the column is one of words: it holds some, other than error values, and no number."""
        return len(self.words) > len(self.errors) and bool(np.isnan(self.numbers).all())


def cells_of(values):
    """Cells of worksheet values: a float array, or a sequence of float, str, bool, None and `ExcelError`."""
    if isinstance(values, np.ndarray) and values.dtype == float:
        return Cells(values, {})
    numbers, words, errors = np.full(len(values), np.nan), {}, set()
    for position, value in enumerate(values):
        if isinstance(value, ExcelError):
            words[position] = value.text
            errors.add(position)
        elif isinstance(value, bool):
            words[position] = str(value).upper()
        elif isinstance(value, str):
            words[position] = value
        elif value is not None:
            numbers[position] = value
    return Cells(numbers, words, frozenset(errors))


def cells_of_column(column, blank=()):
    """Cells of one output of the engine, empty at the positions in `blank`."""
    if column.kind == "number":
        codes = column.errors
        hit = [] if codes is None else np.flatnonzero(codes).tolist()
        cells = Cells(column.values, {place: ExcelError.TEXTS[codes[place]] for place in hit}, frozenset(hit))
    else:
        cells = cells_of(column.python())
    if not blank:
        return cells
    numbers = cells.numbers.copy()
    numbers[list(blank)] = np.nan
    words = {place: word for place, word in cells.words.items() if place not in blank}
    return Cells(numbers, words, cells.errors.difference(blank))


def check_ending(path, rows):
    """Raise `FileRefused` where no table of so many rows can be written under this name."""
    ending = Path(path).suffix.lower()
    if ending not in ENDINGS:
        raise FileRefused(f"{path}: results can be written as {', '.join(ENDINGS)}")
    if ending == ".xlsx" and rows + 1 > XLSX_ROWS:
        raise FileRefused(f"{path}: {rows} rows do not fit on a worksheet; write .csv or .parquet")


@contextmanager
def open_results(path, columns, force=False):
    """A function that writes the next part to a new table; `columns` is a list of (name, is it words?)."""
    writers = {".csv": _csv, ".xlsx": _xlsx, ".parquet": _parquet}
    with new_file(path, force) as stream, writers[Path(path).suffix.lower()](stream, columns) as write:
        yield write


@contextmanager
def _csv(stream, columns):
    import pyarrow as pa
    import pyarrow.compute as pc

    def words_column(words):
        """Words as CSV cells, by position, None elsewhere."""
        words = pa.array(words, pa.string())
        live = pc.match_substring_regex(words, _RUNS_AS_FORMULA)
        words = pc.if_else(live, pc.binary_join_element_wise("'", words, ""), words)
        marked = pc.match_substring_regex(words, '[",\r\n]')
        doubled = pc.replace_substring(words, '"', '""')
        return pc.if_else(marked, pc.binary_join_element_wise('"', doubled, '"', ""), words)

    def write(part):
        texts = []
        for cells in part:
            text = pc.cast(pa.array(cells.numbers, from_pandas=True), pa.string())
            if cells.words:
                text = pc.coalesce(words_column(_spread(cells, cells.words)), text)
            texts.append(text)
        lines = pc.binary_join_element_wise(*texts, ",", null_handling="replace", null_replacement="")
        for line in lines.chunks if isinstance(lines, pa.ChunkedArray) else [lines]:
            stream.write(_joined(pc.binary_join_element_wise(line, "\r\n", "")))

    stream.write("\ufeff".encode())
    heads = words_column([name for name, _ in columns]).to_pylist()
    stream.write((",".join(heads) + "\r\n").encode())
    yield write


def _joined(lines):
    """The bytes of all strings of an Arrow array, one after the other, without a copy per string."""
    if not len(lines):
        return b""
    offsets = np.frombuffer(lines.buffers()[1], np.int32)
    return memoryview(lines.buffers()[2])[offsets[lines.offset] : offsets[lines.offset + len(lines)]]


def _spread(cells, words):
    """`words` as a list as long as the part, None where there is none."""
    spread = [None] * len(cells.numbers)
    for position, word in words.items():
        spread[position] = word
    return spread


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
            for position, word in cells.words.items():
                column[position] = error(word) if position in cells.errors else text(word)
            rows.append(column)
        for row in zip(*rows):
            sheet.append(row)

    sheet.append([text(name, bold=True) for name, _ in columns])
    yield write
    book.save(stream)


def _clean(word):
    """Text without the control characters that XML cannot hold."""
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

    return ILLEGAL_CHARACTERS_RE.sub(" ", word)[:32_767]


@contextmanager
def _parquet(stream, columns):
    import pyarrow as pa
    import pyarrow.parquet as pq

    fields = [pa.field(name, pa.string() if words else pa.float64()) for name, words in columns]
    schema = pa.schema([*fields, pa.field("other_values", pa.string())])

    def write(part):
        others = [[] for _ in range(len(part[0].numbers))]
        arrays = []
        for (name, is_words), cells in zip(columns, part):
            fits = {}
            for position, word in cells.words.items():
                if is_words and position not in cells.errors:
                    fits[position] = word
                else:
                    others[position].append(f"{name}={word}")
            if is_words:
                for position in np.flatnonzero(~np.isnan(cells.numbers)):
                    fits[position] = f"{cells.numbers[position]:.15g}"
                arrays.append(pa.array(_spread(cells, fits), pa.string()))
            else:
                arrays.append(pa.array(cells.numbers, from_pandas=True))
        arrays.append(pa.array(["; ".join(items) or None for items in others], pa.string()))
        writer.write_table(pa.Table.from_arrays(arrays, schema=schema))

    with pq.ParquetWriter(stream, schema) as writer:
        yield write
