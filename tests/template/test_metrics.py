"""Rows of the template are as tall as their words need: measured anew, with Helvetica as reportlab knows it."""

import io
import math

import openpyxl
import pytest
from openpyxl.utils import get_column_letter
from reportlab.pdfbase.pdfmetrics import stringWidth

from hydrofunc import template
from hydrofunc.template import metrics

BOOK = openpyxl.load_workbook(io.BytesIO(template.build()))
FONTS = {
    False: "Helvetica",
    True: "Helvetica-Bold",
}  # Arial has their widths (Liberation Sans, made to Arial's, agrees)
DEFAULT_HEIGHT = 15  # points, of a row that says nothing
POINTS_PER_WIDTH, BLANK = 5.25, 3.75  # of a column: 7 pixels a unit of width, 5 pixels blank, 96 pixels an inch
LEAST_LINE, TALLEST_LINE = (
    1.15,
    1.35,
)  # of the font size: what letters need (Arial's ascent and descent), what looks loose


@pytest.mark.parametrize("bold", FONTS)
def test_the_widths_are_those_of_helvetica(bold):
    for letter, width in metrics.WIDTHS[bold].items():
        assert width == pytest.approx(stringWidth(letter, FONTS[bold], 1000)), letter


@pytest.mark.parametrize("bold", FONTS)
def test_every_letter_that_can_be_typed_has_its_width(bold):
    assert set(map(chr, range(32, 127))) <= set(metrics.WIDTHS[bold])


@pytest.mark.parametrize(
    "text", ["", "one", "two words", "HYDRO_FRICTION_HEAD, HYDRO_PIPE_VELOCITY", "a " * 90, "W" * 80]
)
@pytest.mark.parametrize("width", [5, 24, 80])
def test_lines_hold_their_words(text, width):
    """Never fewer than the whole width asks for, and at most as many as there are words where each has room."""
    room = width * POINTS_PER_WIDTH - BLANK
    count = metrics.lines(text, width, 10)
    assert count >= math.ceil(stringWidth(" ".join(text.split()), FONTS[False], 10) / room)
    if all(stringWidth(word, FONTS[False], 10) * 1.1 < room for word in text.split()):
        assert count <= max(1, len(text.split()))


def lines_needed(text, room, font):
    """Lines when each is filled as far as it goes, letter by letter where a word alone is too wide."""

    def wide(line):
        return stringWidth(line, FONTS[bool(font.b)], font.sz) > room

    count, line = 1, ""
    for word in text.split():
        if line and wide(f"{line} {word}"):
            count, line = count + 1, ""
        line = f"{line} {word}".strip()
        while wide(line):
            fits = next(size for size in range(len(line) - 1, 0, -1) if not wide(line[:size]))
            count, line = count + 1, line[fits:]
    return count


def words_of(sheet):
    """(cell, its words' lines, font size, rows it covers) of every cell whose words may take several lines."""
    merged = {area.coord.split(":")[0]: area for area in sheet.merged_cells.ranges}
    for row in sheet.iter_rows():
        for cell in row:
            if isinstance(cell.value, str) and cell.data_type == "s" and cell.alignment.wrap_text:
                area = merged.get(cell.coordinate)
                columns = range(area.min_col, area.max_col + 1) if area else [cell.column]
                rows = range(area.min_row, area.max_row + 1) if area else [cell.row]
                width = sum(sheet.column_dimensions[get_column_letter(column)].width for column in columns)
                room = width * POINTS_PER_WIDTH - BLANK
                yield cell, lines_needed(cell.value, room, cell.font), cell.font.sz, tuple(rows)


@pytest.mark.parametrize("title", BOOK.sheetnames)
def test_no_words_are_cut_off_and_no_row_is_more_than_a_line_too_tall(title):
    sheet = BOOK[title]
    heights = {row: sheet.row_dimensions[row].height or DEFAULT_HEIGHT for row in range(1, sheet.max_row + 1)}
    enough = {}  # height that is surely enough, by the rows a cell covers
    for cell, count, size, rows in words_of(sheet):
        assert count * size * LEAST_LINE <= sum(heights[row] for row in rows), cell.coordinate
        loose = (count + 1) * size * TALLEST_LINE + 3
        enough[rows] = max(enough.get(rows, 0), loose)
    assert enough
    for rows, tall in enough.items():
        assert sum(heights[row] for row in rows) <= tall, f"rows {rows[0]} to {rows[-1]}"
