"""The template on paper and on a phone: letters that can be read, pages that end where they may, labels that scroll."""

import io
import subprocess
import zipfile

import openpyxl
import pypdf
import pytest
from openpyxl.utils import get_column_letter
from openpyxl.utils.cell import range_boundaries

from hydrofunc.template.model import Heading, Space, Table
from hydrofunc.template.pages import PLACED
from tests import books
from tests.printed import sizes

DATA = books.template()
BOOK = openpyxl.load_workbook(io.BytesIO(DATA))
SHEETS = BOOK.sheetnames
LEAST = 7.5  # points, of a letter in print
A4 = {"portrait": (595.3, 841.9), "landscape": (841.9, 595.3)}  # points
PHONE = 390  # pixels
# A column of width 1: LibreOffice prints it 5.6 points wide where the standard font is Arial 10 or Liberation Sans 10
# (`test_printed_by_calc_…` below fails where that is wrong), Excel shows it 7 pixels wide.
PRINTED, PIXELS, PIXELS_BLANK = 5.6, 7, 5
LEAST_HEIGHT = 12.8  # points, of a row without a height of its own, as programs make it for Arial 10


def printed(sheet):
    """(columns, rows) of the print area."""
    left, top, right, bottom = range_boundaries(sheet.print_area.split("!")[1].replace("$", ""))
    return range(left, right + 1), range(top, bottom + 1)


def widths(sheet):
    return [sheet.column_dimensions[get_column_letter(column)].width for column in printed(sheet)[0]]


def room(sheet):
    """Width and height of a page inside its margins, as they are before the sheet is made smaller. [points]"""
    across, down = A4[sheet.page_setup.orientation]
    margins = sheet.page_margins
    scale = sheet.page_setup.scale / 100
    return (across - 72 * (margins.left + margins.right)) / scale, (down - 72 * (margins.top + margins.bottom)) / scale


@pytest.mark.parametrize("title", SHEETS)
def test_no_letter_prints_smaller_than_a_person_reads(title):
    sheet = BOOK[title]
    columns, rows = printed(sheet)
    smallest = min(
        cell.font.sz
        for row in sheet.iter_rows(rows[0], rows[-1], columns[0], columns[-1])
        for cell in row
        if cell.value is not None
    )
    assert not [cell for row in sheet.iter_rows() for cell in row if cell.alignment.shrink_to_fit]
    foot = min(part.size for part in (sheet.oddFooter.left, sheet.oddFooter.center, sheet.oddFooter.right))
    assert min(smallest, foot) * sheet.page_setup.scale / 100 >= LEAST


@pytest.mark.parametrize("title", SHEETS)
def test_no_column_falls_off_the_page(title):
    """Nor is the scale fitted: it would make letters smaller than they may be, and programs then pass over breaks."""
    sheet = BOOK[title]
    assert PRINTED * sum(widths(sheet)) <= room(sheet)[0]
    assert not sheet.sheet_properties.pageSetUpPr.fitToPage and not sheet.col_breaks.brk


def pages(sheet):
    """Rows of each page."""
    rows = printed(sheet)[1]
    ends = sorted({mark.id for mark in sheet.row_breaks.brk if mark.id < rows[-1]} | {rows[-1]})
    return [range(begin + 1, end + 1) for begin, end in zip([0, *ends], ends)]


def test_a_page_holds_its_rows():
    """With the heads that repeat: so no program puts a break of its own where none should be."""
    for sheet in BOOK:
        heads = sum(sheet.row_dimensions[row].height or LEAST_HEIGHT for row in (1, 2, 3))
        for number, page in enumerate(pages(sheet)):
            tall = sum(sheet.row_dimensions[row].height or LEAST_HEIGHT for row in page) + heads * (number > 0)
            assert tall <= room(sheet)[1], f"{sheet.title}, rows {page[0]} to {page[-1]}"
        assert sheet.print_title_rows == "$1:$3"


@pytest.mark.parametrize("title", SHEETS)
def test_nothing_stands_alone_at_the_end_of_a_page_or_at_the_top_of_the_next(title):
    """A heading has something below it, a table's head two of its rows, its last row another one, a chart is whole."""
    tops = [page[0] for page in pages(BOOK[title])][1:]
    for row, item in PLACED[title]:
        if isinstance(item, Heading):
            assert row + 1 not in tops and row + 2 not in tops, item.text
        elif isinstance(item, Table):
            assert not {item.first, item.first + 1} & set(tops), item.heads
            assert len(item.rows) < 2 or item.last not in tops, item.heads
        elif isinstance(item, Space):
            assert not set(range(row + 1, row + item.rows)) & set(tops), item.chart


@pytest.mark.parametrize("title", SHEETS)
def test_a_phone_shows_more_than_what_is_frozen(title):
    """Frozen columns take at most a third of its width."""
    frozen = openpyxl.utils.cell.coordinate_from_string(BOOK[title].freeze_panes)
    assert frozen[1] == 4
    count = openpyxl.utils.column_index_from_string(frozen[0]) - 1
    assert sum(PIXELS * width + PIXELS_BLANK for width in widths(BOOK[title])[:count]) <= PHONE / 3


def test_widths_are_counted_in_digits_of_the_font_the_cells_are_written_in():
    """Another standard font that a computer lacks makes all columns wider there, and all letters smaller in print."""
    with zipfile.ZipFile(io.BytesIO(DATA)) as parts:
        styles = openpyxl.xml.functions.fromstring(parts.read("xl/styles.xml"))
    space = {"x": "http://schemas.openxmlformats.org/spreadsheetml/2006/main"}
    normal = styles.find("x:cellStyles/x:cellStyle[@name='Normal']", space)
    style = styles.findall("x:cellStyleXfs/x:xf", space)[int(normal.get("xfId"))]
    font = styles.findall("x:fonts/x:font", space)[int(style.get("fontId"))]
    assert (font.find("x:name", space).get("val"), font.find("x:sz", space).get("val")) == ("Arial", "10")


def test_the_document_is_in_british_english():
    assert BOOK.properties.language == "en-GB"


@pytest.mark.calc
def test_printed_by_calc_every_letter_can_be_read_and_pages_end_where_they_should(tmp_path):
    """The real PDF: font sizes as they stand in it, and as many pages as the arithmetic above says."""
    (tmp_path / "plant.xlsx").write_bytes(books.calculated_with())
    profile = f"-env:UserInstallation=file://{tmp_path}/profile"
    command = ["soffice", profile, "--headless", "--convert-to", "pdf", "--outdir", str(tmp_path)]
    subprocess.run([*command, str(tmp_path / "plant.xlsx")], check=True, capture_output=True, timeout=300)
    document = pypdf.PdfReader(tmp_path / "plant.pdf")
    small = {
        (number, size): words
        for number, page in enumerate(document.pages, start=1)
        for size, words in sizes(page).items()
        if size < LEAST
    }
    assert not small
    assert len(document.pages) == sum(len(pages(sheet)) for sheet in BOOK)
