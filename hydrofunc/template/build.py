"""Writes the template with openpyxl: formulas, names, validation, charts, print set-up; no stored values."""

import io
import re
import zipfile
from datetime import datetime
from itertools import groupby, zip_longest

from openpyxl import Workbook
from openpyxl.formatting.rule import CellIsRule
from openpyxl.utils import column_index_from_string, get_column_letter
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.pagebreak import Break

from .. import __version__
from ..errors import DeclarationError
from . import look
from .charts import CHARTS
from .model import LETTERS, Formula, Heading, Input, Result, Space, Table, Words, Written, how
from .pages import PAGES, PLACED, SHEET_OF

_FIXED_TIME = datetime(2026, 1, 1)  # so that the same version writes the same bytes
_A4 = 9
_CHARACTERS_PER_WIDTH = 1.4  # Arial 9 against the column width unit
_HEAD_CHARACTERS = 1.25  # the same for the bold heads of tables
_NARROW = 22  # column E holds no function name if it is narrower


def build():
    """The template as the bytes of an .xlsx file, the same for the same version."""
    book = Workbook()
    book.remove(book.active)
    add_pages(book)
    return saved(book)


def add_pages(book):
    """The template's sheets, behind those a workbook has."""
    tables, cells = {}, {}
    for page in PAGES:
        sheet = book.create_sheet(page.sheet)
        _frame(sheet, page)
        for row, item in PLACED[page.sheet]:
            _WRITERS[type(item)](sheet, page, row, item)
            if isinstance(item, Table):
                tables[item.key] = item
            elif isinstance(item, (Input, Result)):
                cells[item.name] = item.cell
        _print_setup(sheet, page)
    for page in PAGES:
        for _, item in PLACED[page.sheet]:
            if isinstance(item, Space):
                book[page.sheet].add_chart(CHARTS[item.chart](book, tables, cells), f"{item.column}{item.top}")
    _properties(book)


def _frame(sheet, page):
    last = len(page.widths)
    for column, width in enumerate(page.widths, start=1):
        sheet.column_dimensions[get_column_letter(column)].width = width
        look.dress(sheet.cell(1, column), look.TITLE)
        look.dress(sheet.cell(2, column), look.PURPOSE)
    sheet.cell(1, 2, page.sheet)
    sheet.cell(2, 2, page.purpose)
    for column, head in enumerate(page.heads[:last], start=1):
        look.dress(sheet.cell(3, column, head or None), look.COLUMN_HEAD)
    sheet.row_dimensions[1].height = 27
    sheet.row_dimensions[2].height = 17
    sheet.freeze_panes = "C4"
    sheet.sheet_view.showGridLines = False
    sheet.sheet_view.zoomScale = 100
    sheet.sheet_properties.tabColor = look.TEAL


def _heading(sheet, page, row, item):
    for column in range(2, len(page.widths) + 1):
        look.dress(sheet.cell(row, column), look.HEADING)
    sheet.cell(row, 2, item.text)
    sheet.row_dimensions[row].height = 20
    if item.new_page:
        sheet.row_breaks.append(Break(id=row - 1))


def _words(sheet, page, row, item):
    last = len(page.widths)
    style = look.CAUTION if item.caution else look.HOW if item.small else look.WORDS
    for column in range(2, last + 1):
        look.dress(sheet.cell(row, column), style)
    rows = item.rows_on(page.widths)
    sheet.merge_cells(start_row=row, end_row=row + rows - 1, start_column=2, end_column=last)
    sheet.cell(row, 2, item.text)
    for line in range(row, row + rows):
        sheet.row_dimensions[line].height = 12.5 if item.small else 15
    if item.caution:
        look.dress(sheet.cell(row, 1, look.MARK_CAUTION), look.MARK)
        sheet.cell(row, 1).font = look.CAUTION["font"]


def _input(sheet, page, row, item):
    look.dress(sheet.cell(row, 1, look.MARK_INPUT), look.MARK)
    look.dress(sheet.cell(row, 2, item.label), look.LABEL)
    _input_cell(sheet, item, look.WORDS_INPUT if item.is_text else look.INPUT)
    look.dress(sheet.cell(row, 4, "" if item.is_text else item.unit), look.UNIT)
    _explain(sheet, page, row, item.label, _allowed_here(item), item.note)


def _allowed_here(item):
    if item.choices:
        return "choose from the list" + (", or empty" if item.optional else "")
    return item.allowed


def _input_cell(sheet, item, style):
    cell = sheet[item.cell]
    cell.value = item.shown
    look.dress(cell, style, "@" if item.is_text else item.digits)  # else 1/2 inch would become a date
    if not item.recorded:
        _name(sheet, item.name, item.cell)
        sheet.add_data_validation(_validation(item, item.cell))


def _validation(item, cells):
    """The rule of an input, for its cell or a column of cells that begins with it."""
    place = item.cell
    if item.choices:
        source = ",".join(item.choices)
        rule = DataValidation(type="list", formula1=f'"{source}"', allow_blank=item.optional)
        if len(source) > 255 or any("," in choice for choice in item.choices):
            raise DeclarationError(f"{item.name}: its list is too long for a drop-down")
    elif item.is_text:
        rule = DataValidation(type="textLength", operator="lessThanOrEqual", formula1="255", allow_blank=True)
    else:
        low, high, low_in, high_in = item.argument.bounds
        tests = [f"ISNUMBER({place})"]
        if low != float("-inf"):
            tests.append(f"{place}{'>=' if low_in else '>'}{low:g}")
        if high != float("inf"):
            tests.append(f"{place}{'<=' if high_in else '<'}{high:g}")
        rule = DataValidation(type="custom", formula1=f"AND({','.join(tests)})", allow_blank=item.optional)
    rule.errorTitle, rule.error = "Not allowed here", f"{item.label}: {item.allowed}."[:225]
    rule.promptTitle, rule.prompt = item.label[:32], f"{item.allowed[0].upper()}{item.allowed[1:]}. {item.note}"[:255]
    rule.showErrorMessage = rule.showInputMessage = True
    rule.add(cells)
    return rule


def _result(sheet, page, row, item):
    mark = look.MARK_STRONG if item.strong else look.MARK_RESULT
    look.dress(sheet.cell(row, 1, mark), look.MARK)
    look.dress(sheet.cell(row, 2, item.label), look.LABEL)
    if item.strong:
        sheet.cell(row, 2).font = look.STRONG["font"]
    cell = sheet.cell(row, 3, item.formula)
    styles = (look.TEXT_RESULT, look.STRONG_WORDS) if item.is_words else (look.RESULT, look.STRONG)
    look.dress(cell, styles[item.strong], item.digits)
    look.dress(sheet.cell(row, 4, item.unit or None), look.UNIT)  # words run on over empty cells
    _explain(sheet, page, row, item.label, "" if item.is_words else _how(item), item.note)
    _name(sheet, item.name, item.cell)


def _how(item):
    """How a result comes about: the sheet it is taken from, the functions of ours, or its formula; "" where the note must say."""
    home = SHEET_OF.get(item.formula[1:])
    return f"sheet {home}" if home and home != item.sheet else how(item.formula)


def _explain(sheet, page, row, label, way, note):
    """Columns E and F of a one-line item: what is allowed or how it comes about, and the note, which reaches across all columns from F."""
    if page.widths[4] < _NARROW:  # no room: both stand in F
        way, note = "", f"{note} ({way})" if note and way else note or way
    look.dress(sheet.cell(row, 5, way or None), look.NOTE)
    look.dress(sheet.cell(row, 6, note or None), look.NOTE)
    if note and len(page.widths) > 6:
        sheet.merge_cells(start_row=row, end_row=row, start_column=6, end_column=len(page.widths))
    _fit_height(sheet, page, row, (label, "", "", way), note)


def _fit_height(sheet, page, row, texts, note=""):
    pairs = [*zip(texts, page.widths[1:]), (note, sum(page.widths[5:]))]
    lines = max(-(-_breadth(text) // int(width * _CHARACTERS_PER_WIDTH)) for text, width in pairs)
    sheet.row_dimensions[row].height = 15.5 if lines <= 1 else 12.5 * lines + 4


def _lines(text, width, per_width):
    """Lines that words take in a column of a width, broken at blanks only."""
    lines, left = 1, 0
    for word in text.split():
        if left and left + 1 + len(word) > width * per_width:
            lines, left = lines + 1, 0
        left += len(word) + (1 if left else 0)
    return lines


def _breadth(text):
    """Characters, capitals counting more."""
    return round(sum(1.35 if character.isupper() else 1 for character in text))


def _table(sheet, page, row, table):
    for letter, head, below in zip(LETTERS, table.heads, table.rows[0]):
        words = (
            isinstance(below, str)
            or (letter == "B" and not isinstance(below, Formula))
            or getattr(below, "words", False)
        )
        look.dress(sheet[f"{letter}{row}"], look.TABLE_HEAD if words else look.TABLE_HEAD_OF_NUMBERS)
        sheet[f"{letter}{row}"].value = head or None
    lines = max(_lines(head, width, _HEAD_CHARACTERS) for head, width in zip(table.heads, page.widths[1:]))
    if lines > 1:
        sheet.row_dimensions[row].height = 13 * lines + 3
    if table.spread:
        for column in range(column_index_from_string(table.spread), len(page.widths) + 1):
            look.dress(sheet.cell(row, column), look.TABLE_HEAD)
    for offset, cells in enumerate(table.rows, start=1):
        place = row + offset
        for letter, content in zip(LETTERS, cells):
            _table_cell(sheet, f"{letter}{place}", content, table)
        if any(isinstance(content, Input) for content in cells):
            look.dress(sheet.cell(place, 1, look.MARK_INPUT), look.MARK)
        if table.spread:
            _spread(sheet, page, table, place, cells)
        if table.wrap:
            _fit_height(sheet, page, place, [c if isinstance(c, str) else "" for c in cells])
    _validate_recorded(sheet, table)
    for name, letter in table.names.items():
        _name(sheet, name, f"${letter}${table.first}:${letter}${table.last}")
    if table.judgement:
        block = f"{table.judgement}{table.first}:{table.judgement}{table.last}"
        for word, colour in (("good", look.LEAF), ("look", look.AMBER), ("stop", look.BLUSH)):
            rule = CellIsRule(operator="equal", formula=[f'"{word}"'], fill=look.fill(colour))
            sheet.conditional_formatting.add(block, rule)


def _spread(sheet, page, table, row, cells):
    """Merges a row's last cell up to the right edge of the page, tall enough for its words."""
    first = column_index_from_string(table.spread)
    sheet.merge_cells(start_row=row, end_row=row, start_column=first, end_column=len(page.widths))
    words = cells[first - 2] if first - 2 < len(cells) else ""
    lines = (
        -(-_breadth(words) // int(sum(page.widths[first - 1 :]) * _CHARACTERS_PER_WIDTH))
        if isinstance(words, str)
        else 1
    )
    sheet.row_dimensions[row].height = 15.5 if lines <= 1 else 12.5 * lines + 4


def _validate_recorded(sheet, table):
    """One rule for each run of recorded cells below each other that share an argument: rows put in between have it too."""
    for column in zip_longest(*table.rows):
        recorded = [cell for cell in column if isinstance(cell, Input) and cell.recorded]
        for _, run in groupby(recorded, key=lambda item: item.argument):
            run = list(run)
            sheet.add_data_validation(_validation(run[0], f"{run[0].cell}:{run[-1].cell}"))


def _table_cell(sheet, address, content, table):
    cell = sheet[address]
    if isinstance(content, Input):
        _input_cell(
            sheet, content, look.WORDS_INPUT if content.is_text and not content.choices else look.INPUT_IN_TABLE
        )
    elif isinstance(content, Formula):
        cell.value = content.text
        words = content.words or (address[0] == "B" and content.is_words)
        look.dress(cell, look.WORDS_IN_TABLE if words else look.IN_TABLE, content.digits)
        if content.name:
            _name(sheet, content.name, address)
    elif isinstance(content, Written):
        look.dress(cell, look.WRITTEN, content.digits)
    elif isinstance(content, str):
        cell.value = content or None
        if content:
            cell.data_type = "s"  # words, also where they begin with =
        look.dress(cell, look.LABEL if address[0] == "B" else look.UNIT if len(content) <= 6 else look.NOTE)
    else:
        cell.value = content
        look.dress(cell, look.LIMIT, "0E+00" if 0 < content < 1e-4 else "General")


def _name(sheet, name, address):
    absolute = address if "$" in address else re.sub(r"([A-Z]+)(\d+)", r"$\1$\2", address)
    if name in sheet.parent.defined_names:
        raise DeclarationError(f"the name {name} is given twice")
    sheet.parent.defined_names[name] = DefinedName(name, attr_text=f"'{sheet.title}'!{absolute}")


def _print_setup(sheet, page):
    last = max(row + item.rows if isinstance(item, Space) else sheet.max_row for row, item in PLACED[page.sheet])
    sheet.print_area = f"A1:{get_column_letter(len(page.widths))}{last}"
    sheet.print_title_rows = "1:3"
    sheet.page_setup.paperSize = _A4
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, page.pages
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.page_margins.left = sheet.page_margins.right = 0.5
    sheet.page_margins.top, sheet.page_margins.bottom = 0.5, 0.8
    sheet.page_margins.footer = 0.35
    sheet.oddFooter.left.text = f"hydrofunc {__version__}"
    sheet.oddFooter.center.text = "&A"
    sheet.oddFooter.right.text = "&P of &N"


def _properties(book):
    book.properties.title = "Very small hydro: from site to battery"
    book.properties.subject = "Design of a very small Pelton-wheel plant that charges a battery"
    book.properties.creator = f"hydrofunc {__version__}"
    book.properties.keywords = "hydro, Pelton, penstock, alternator, battery"


def saved(book):
    """The saved bytes with fixed time stamps."""
    stream = io.BytesIO()
    book.save(stream)
    out = io.BytesIO()
    stamp = _FIXED_TIME.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    with zipfile.ZipFile(stream) as source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
        for entry in source.infolist():
            data = source.read(entry)
            if entry.filename == "docProps/core.xml":
                data = re.sub(rb"(<dcterms:(?:modified|created)[^>]*>)[^<]*", rb"\g<1>" + stamp, data)
            target.writestr(zipfile.ZipInfo(entry.filename, (2026, 1, 1, 0, 0, 0)), data, zipfile.ZIP_DEFLATED)
    return out.getvalue()


_WRITERS = {
    Heading: _heading,
    Words: _words,
    Input: _input,
    Result: _result,
    Table: _table,
    Space: lambda *_: None,
}
