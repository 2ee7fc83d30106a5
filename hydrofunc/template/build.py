"""Writes the template with openpyxl: formulas, names, validation, charts, print set-up; no stored values."""

import io
import re
import zipfile
from datetime import datetime
from itertools import chain, groupby, repeat, zip_longest

from openpyxl import Workbook
from openpyxl.formatting.rule import CellIsRule, FormulaRule
from openpyxl.utils import column_index_from_string, get_column_letter
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.pagebreak import Break

from .. import __version__
from ..errors import DeclarationError
from ..units import alternatives, conversion, convert, shown_unit, typed_unit
from . import look, metrics, paper
from .charts import CHARTS
from .guard import guard
from .model import (
    COUNTS,
    HEADS_OF_UNITS,
    LETTERS,
    LINE_WIDTHS,
    OPEN,
    PASS,
    REFUSED,
    Formula,
    Heading,
    Input,
    Link,
    Result,
    Shown,
    Space,
    Table,
    Words,
    Written,
    how,
    is_shown_converted,
)
from .pages import GROUP_OF, INPUTS, PAGES, PLACED, RECORDED, ROW_OF, SHEET_OF
from .pages.inputs import GATES, READY, TO_GIVE, unit_cell
from .pages.inputs import SHEET as INPUTS_SHEET

_FIXED_TIME = datetime(2026, 1, 1)  # so that the same version writes the same bytes
_A4 = 9
_BESIDE = 2.2  # lines of words that a formula gives
_HOME = {item.name: item for item in INPUTS}


def build(units: str = "metric", example: bool = False, protect: bool = False) -> bytes:
    """The template as the bytes of an .xlsx file, the same for the same version.

    `units`: "metric" or "us". With `example` the inputs hold the invented example; else they are empty. With `protect`
    only inputs and units can be typed; whoever wants more switches that off again, as it has no password.
    """
    book = new_book()
    add_pages(book, units, example)
    if protect:
        for sheet in book:
            _protect(sheet)
    return saved(book)


def new_book() -> Workbook:
    """A workbook without a sheet, in the template's font."""
    book = Workbook()
    book.remove(book.active)
    # openpyxl offers no other way to change the style whose font gives the width of columns
    book._named_styles["Normal"].font = look.STANDARD_FONT
    return book


def _protect(sheet):
    """All but the cells that are marked unlocked; widths, heights and rows put in between stay a person's own."""
    sheet.protection.sheet = True
    for allowed in ("formatColumns", "formatRows", "insertRows"):
        setattr(sheet.protection, allowed, False)  # False: not forbidden


def add_pages(book: Workbook, units: str = "metric", example: bool = False) -> None:
    """The template's sheets, behind those a workbook has."""
    tables, cells = {}, {}
    for page in PAGES:
        book.create_sheet(page.sheet)
    for page in PAGES:
        sheet = book[page.sheet]
        _frame(sheet, page)
        for row, item in PLACED[page.sheet]:
            _WRITERS[type(item)](sheet, page, row, item)
            if isinstance(item, Table):
                tables[item.key] = item
            elif isinstance(item, Result):
                cells[item.name] = item.cell
    cells |= {name: row.counts for name, row in ROW_OF.items()}  # of the sheet Inputs
    _fill_in(book, units, example)
    if units == "us":
        _inches_in_full(book)
    closed = guard(book, GATES, dict(_guards()))
    _say_what_to_give(book, closed)
    for page in PAGES:
        sheet, placed = book[page.sheet], PLACED[page.sheet]
        for item, chart in _charts(book, page, tables, cells):
            sheet.add_chart(chart, f"{item.column}{item.top}")
            placed = paper.with_room(placed, item, chart.height)
        _print_setup(sheet, page, placed)
    _properties(book)


def _say_what_to_give(book, closed):
    """What each check needs that the gates before it ask for, added to what it says of its own inputs."""
    sheet = book["Checks"]
    table = next(item for _, item in PLACED["Checks"] if isinstance(item, Table) and item.key == "checks")
    for row in range(table.first, table.last + 1):
        cell, own = sheet[f"J{row}"], sheet[f"O{row}"]
        gates = closed.get(("Checks", f"C{row}"), [])
        words = [*cell.value.removeprefix("give ").split("; "), *(TO_GIVE[gate] for gate in gates if gate != READY)]
        own.value = "; ".join(dict.fromkeys(filter(None, words))) or (TO_GIVE[READY] if READY in gates else "")
        cell.value = f'="give "&IF({READY},O{row},"{TO_GIVE[READY]}")' if READY in gates else f"give {own.value}"


def _charts(book, page, tables, cells):
    """(its space, chart) for each chart of a page; none is wider than its columns, on any screen and on paper."""
    spaces = [item for _, item in PLACED[page.sheet] if isinstance(item, Space)]
    for item in spaces:
        chart = CHARTS[item.chart](book, tables, cells)
        beside = [other.column for other in spaces if other.top == item.top and other.column > item.column]
        chart.width = min(chart.width, paper.width_between(page.widths, item.column, min(beside, default="")))
        yield item, chart


def _frame(sheet, page):
    last = len(page.widths)
    for column, width in enumerate(page.widths, start=1):
        sheet.column_dimensions[get_column_letter(column)].width = width
        look.dress(sheet.cell(1, column), look.TITLE)
        look.dress(sheet.cell(2, column), look.PURPOSE)
    sheet.cell(1, 2, f'="{page.sheet}"&invented')
    sheet.cell(2, 2, page.purpose)
    for column, head in enumerate(page.heads[:last], start=1):
        look.dress(sheet.cell(3, column, head or None), look.COLUMN_HEAD)
    sheet.sheet_format.defaultRowHeight, sheet.sheet_format.customHeight = metrics.ONE_LINE, True
    sheet.row_dimensions[1].height = 27
    sheet.row_dimensions[2].height = 17
    sheet.freeze_panes = paper.frozen(page.widths)
    sheet.sheet_view.showGridLines = False
    sheet.sheet_view.zoomScale = 100
    sheet.sheet_properties.tabColor = look.TABS[GROUP_OF[page.sheet]]


def _heading(sheet, page, row, item):
    for column in range(2, len(page.widths) + 1):
        look.dress(sheet.cell(row, column), look.HEADING)
    sheet.cell(row, 2, item.text)
    sheet.row_dimensions[row].height = 19


def _words(sheet, page, row, item):
    last = len(page.widths)
    style = look.CAUTION if item.caution else look.HOW if item.small else look.WORDS
    for column in range(2, last + 1):
        look.dress(sheet.cell(row, column), style)
    rows = item.rows_on(page.widths)
    sheet.merge_cells(start_row=row, end_row=row + rows - 1, start_column=2, end_column=last)
    sheet.cell(row, 2, item.text)
    font = style["font"]
    needed = metrics.lines(item.text, sum(page.widths[1:]), font.sz, font.b) * font.sz * metrics.LINE_HEIGHT
    for line in range(row, row + rows):
        sheet.row_dimensions[line].height = round(max(12.5 if item.small else 15, needed / rows), 1)
    if item.caution:
        look.dress(sheet.cell(row, 1, look.MARK_CAUTION), look.MARK)
        sheet.cell(row, 1).font = look.CAUTION["font"]


def _input(sheet, page, row, item):
    look.dress(sheet.cell(row, 1, look.MARK_INPUT), look.MARK)
    look.dress(sheet.cell(row, 2, item.short or item.label), look.LABEL)
    _input_cell(sheet, item, look.WORDS_INPUT if item.is_text else look.INPUT)
    unit = look.dressed(sheet.cell(row, 4), look.UNIT)
    counts = look.dressed(sheet.cell(row, 5), look.TEXT_RESULT if item.is_text else look.RESULT, item.digits)
    state = look.dressed(sheet.cell(row, 6), look.STATE)
    if item.name in ROW_OF:
        counts.value, state.value = f"={INPUTS_SHEET}!{ROW_OF[item.name].as_typed}", f"={_state(item)}"
        unit.value = None if item.is_text else item.unit
        if item.is_convertible:
            unit.value = _by_system(item.unit, typed_unit(item.unit, "us"))
            look.dress(unit, look.UNIT_INPUT)
            sheet.add_data_validation(_unit_rule(item))
    else:
        state.value = f'=IF(ISBLANK({item.cell}),"{OPEN}","yours")'
    _name(sheet, f"state_{item.name}", state.coordinate, hidden=True)
    # The first page has room for how to measure it; the rest stands where the input is declared.
    words = item.measure or item.note if item.short else _sentence(item)
    _explain(sheet, page, row, item.short or item.label, "", words)


def _shown(sheet, page, row, item):
    source = item.item
    home = _HOME[source.name]
    look.dress(sheet.cell(row, 2, source.label), look.LABEL)
    look.dress(sheet.cell(row, 4, None if source.is_text else f"='{home.sheet}'!{unit_cell(home)}"), look.UNIT)
    number = look.dressed(sheet.cell(row, 5), look.TEXT_RESULT if source.is_text else look.RESULT, source.digits)
    number.value = f"='{home.sheet}'!{home.cell.replace('C', 'E')}"
    look.dress(sheet.cell(row, 6, f"='{home.sheet}'!{home.cell.replace('C', 'F')}"), look.STATE)
    _explain(sheet, page, row, source.label, "", f"Type it on the sheet {home.sheet}. {_sentence(source)}")


def _link_in_table(sheet, address, content, head):
    cell = look.dressed(sheet[address], look.LABEL)
    cell.value = content.words or content.sheet
    cell.hyperlink = Hyperlink(ref=address, location=f"'{content.sheet}'!A1", display=cell.value)
    cell.font = look.LINK
    sheet[f"A{cell.row}"].fill = look.fill(look.TABS[GROUP_OF[content.sheet]])  # of the tabs to which it leads


def _state(item):
    row = ROW_OF[item.name]
    empty = f"{INPUTS_SHEET}!{row.while_empty}"
    return f'IF({INPUTS_SHEET}!{row.fits},"yours",IF(ISBLANK({item.cell}),{empty},"{REFUSED}"))'


def _by_system(metric, us):
    """A cell's unit in a metric workbook and in one of US units, as a formula where they differ."""
    return metric if metric == us else f'=IF(units="us","{us}","{metric}")'


def _unit_rule(item):
    rule = DataValidation(type="list", formula1=f'"{",".join(alternatives(item.unit))}"', allow_blank=False)
    rule.add(unit_cell(item))
    return rule


def _sentence(item):
    """What is assumed and why, and how to measure it."""
    why = item.assumption.why if item.assumed is not None else ""
    return " ".join(part for part in (item.note if item.note != why else "", why, item.measure) if part)


def _input_cell(sheet, item, style):
    cell = sheet[item.cell]
    look.dress(cell, style, "@" if item.is_text else item.digits)  # else 1/2 inch would become a date
    if not item.recorded:
        if item.name in ROW_OF:
            _name(sheet, f"yours_{item.name}", item.cell, hidden=True)
            _name(sheet.parent[INPUTS_SHEET], f"given_{item.name}", ROW_OF[item.name].fits, hidden=True)
        else:
            _name(sheet, item.name, item.cell)
        sheet.add_data_validation(_validation(item, item.cell))


def _fill_in(book, units, example):
    """Values of the input cells: none in a new template but the usual values of tables without a column "counts"."""
    for item in (*INPUTS, *RECORDED):
        typed = item.example if example else None
        if typed is None and item.default is not None and (example or item.name not in ROW_OF):
            typed = item.default
        if item.name == "units":
            typed = units
        if typed is not None and item.is_convertible:
            unit = shown_unit(item.unit, units)
            typed = convert(typed, item.unit, unit)
            if typed_unit(item.unit, units) != unit:  # a cross-section in mm² is rarely a whole gauge
                book[item.sheet][unit_cell(item)].value = unit
        if typed is not None:
            book[item.sheet][item.cell].value = typed


def _inches_in_full(book):
    """Two more decimals in the cells that show inches in place of millimetres: a drill of 0.2 in is no drill."""
    for page in PAGES:
        sheet = book[page.sheet]
        for row, item in PLACED[page.sheet]:
            source = item.item if isinstance(item, Shown) else item
            if isinstance(source, (Input, Result)) and source.unit == "mm":
                cells = [f"{COUNTS}{row}", item.cell] if isinstance(item, Input) else [f"{COUNTS}{row}"]
                for address in cells:
                    digits = sheet[address].number_format
                    if re.fullmatch(r"0(\.0+)?", digits):
                        sheet[address].number_format = f"{digits}00" if "." in digits else f"{digits}.00"


def _validation(item, cells):
    """The rule of an input, for its cell or a column of cells that begins with it."""
    if item.choices:
        rule = _choice(item)
    elif item.is_text:
        rule = DataValidation(type="textLength", operator="lessThanOrEqual", formula1="255", allow_blank=True)
    else:
        rule = DataValidation(type="custom", formula1=_in_range(item), allow_blank=True)
    rule.errorTitle, rule.error = "Not allowed here", f"{item.label}: {item.allowed}."[:225]
    rule.promptTitle, rule.prompt = item.label[:32], f"{item.allowed[0].upper()}{item.allowed[1:]}. {item.note}"[:255]
    rule.showErrorMessage = rule.showInputMessage = True
    rule.add(cells)
    return rule


def _choice(item):
    source = ",".join(item.choices)
    if len(source) > 255 or any("," in choice for choice in item.choices):
        raise DeclarationError(f"{item.name}: its list is too long for a drop-down")
    style = "warning" if "/" in source else "stop"  # 1/2 may have become one sign while it was typed: it counts
    return DataValidation(type="list", formula1=f'"{source}"', allow_blank=True, errorStyle=style)


def _in_range(item):
    """The formula that says whether an input's cell holds a number that is allowed."""
    if item.is_convertible:
        return f"{INPUTS_SHEET}!{ROW_OF[item.name].fits}"
    low, high, low_in, high_in = item.argument.bounds
    tests = [f"ISNUMBER({item.cell})"]
    if low != float("-inf"):
        tests.append(f"{item.cell}{'>=' if low_in else '>'}{low:g}")
    if high != float("inf"):
        tests.append(f"{item.cell}{'<=' if high_in else '<'}{high:g}")
    return f"AND({','.join(tests)})"


def _result(sheet, page, row, item):
    mark = look.MARK_STRONG if item.strong else look.MARK_RESULT
    look.dress(sheet.cell(row, 1, mark), look.MARK)
    look.dress(sheet.cell(row, 2, item.label), look.LABEL)
    if item.strong:
        sheet.cell(row, 2).font = look.STRONG["font"]
    cell = sheet[item.cell]
    cell.value = item.formula
    unit = item.unit or None
    if is_shown_converted(item):
        look.dress(cell, look.HOW, item.digits)
        us = shown_unit(item.unit, "us")
        times, plus = conversion(us, item.unit)
        shown = f"({item.cell}-{plus:.15g})/{times:.15g}" if plus else f"{item.cell}/{times:.15g}"
        cell = sheet[f"{COUNTS}{row}"]
        # what waits for an input is "" or words
        cell.value = f'=IF(units="us",IFERROR({shown},{item.cell}),{item.cell})'
        unit = _by_system(item.unit, us)
    styles = (look.TEXT_RESULT, look.STRONG_WORDS) if item.is_words else (look.RESULT, look.STRONG)
    look.dress(cell, styles[item.strong], item.digits)
    if item.is_words:
        sheet.merge_cells(start_row=row, end_row=row, start_column=3, end_column=6)
    two_lines = item.is_words and (item.beside or item.two_lines)
    if two_lines:
        cell.alignment = look.WORDS_IN_TABLE["alignment"]  # two lines, as the words beside it
    if item.beside:
        look.dress(sheet.cell(row, len(LINE_WIDTHS), item.beside), look.SENTENCE)
    look.dress(sheet.cell(row, 4, unit), look.UNIT)  # words run on over empty cells
    _explain(sheet, page, row, item.label, "" if item.is_words or item.beside else _how(item), item.note)
    if two_lines:
        sheet.row_dimensions[row].height = _BESIDE * look.NOTE["font"].sz * metrics.LINE_HEIGHT
    if item.stops:
        rule = FormulaRule(formula=[item.stops], **look.VERDICTS["stop"])
        sheet.conditional_formatting.add(f"{item.cell}:F{row}", rule)
    _name(sheet, item.name, item.cell)


def _how(item):
    """How a result comes about: the sheet it is taken from, our functions, or its formula; else nothing."""
    home = SHEET_OF.get(item.formula[1:])
    return f"sheet {home}" if home and home != item.sheet else item.way or how(item.formula)


def _explain(sheet, page, row, label, way, note):
    """The words from column G on, which say how a one-line item comes about, and how tall it is."""
    words = f"{note} ({way})" if note and way else note or way
    first = min(len(LINE_WIDTHS), len(page.widths))
    if words:
        look.dress(sheet.cell(row, first, words), look.SENTENCE)
    if words and len(page.widths) > first:
        sheet.merge_cells(start_row=row, end_row=row, start_column=first, end_column=len(page.widths))
    label_font, note_font = sheet.cell(row, 2).font, look.NOTE["font"]
    sheet.row_dimensions[row].height = _height(
        (label, page.widths[1], label_font), (words, sum(page.widths[first - 1 :]) - look.INDENT, note_font)
    )


def _height(*texts):
    """How tall a row must be for its words, each (text, width of its column, font)."""
    return max(metrics.height(metrics.lines(text, width, font.sz, font.b), font.sz) for text, width, font in texts)


def _table(sheet, page, row, table):
    _table_heads(sheet, page, row, table)
    for row_number, cells in enumerate(table.rows, start=table.first):
        _table_row(sheet, page, row_number, cells, table)
    _validate_recorded(sheet, table)
    for name, letter in table.names.items():
        left, _, right = letter.partition(":")
        _name(sheet, name, letter if "$" in letter else f"${left}${table.first}:${right or left}${table.last}")
    if table.judgement:
        for row_number in range(table.first, table.last + 1):  # its first words are in sight, however long it is
            sheet[f"{table.judgement}{row_number}"].alignment = look.TEXT_RESULT["alignment"]
        block = f"{table.judgement}{table.first}:{table.judgement}{table.last}"
        for word, dress in look.VERDICTS.items():
            sheet.conditional_formatting.add(block, CellIsRule(operator="equal", formula=[f'"{word}"'], **dress))


def _table_heads(sheet, page, row, table):
    """Heads stand to the left above words and in the middle above numbers, as the first row of the table tells."""
    for letter, head, below in zip(LETTERS, table.heads, table.rows[0]):
        label = letter == "B" and not isinstance(below, Formula)
        words = label or isinstance(below, str) or (isinstance(below, Formula) and below.words)
        look.dress(sheet[f"{letter}{row}"], look.TABLE_HEAD if words else look.TABLE_HEAD_OF_NUMBERS)
        sheet[f"{letter}{row}"].value = head or None
    if table.spread:
        for column in range(column_index_from_string(table.spread), len(page.widths) + 1):
            look.dress(sheet.cell(row, column), look.TABLE_HEAD)
    font = look.TABLE_HEAD["font"]
    tall = _height(*((head, width, font) for head, width in zip(table.heads, page.widths[1:])))
    if tall > metrics.ONE_LINE:
        sheet.row_dimensions[row].height = tall


def _table_row(sheet, page, row, cells, table):
    """One row of a table; the cell in the column `spread` reaches to the right edge of the page."""
    words = []
    # Helper columns stand without a head, to the right of the page.
    for letter, head, width, content in zip(
        LETTERS, chain(table.heads, repeat("")), chain(page.widths[1:], repeat(0)), cells
    ):
        _CELL_WRITERS.get(type(content), _limit_in_table)(sheet, f"{letter}{row}", content, head)
        if not width and not isinstance(content, Input):
            look.dress(sheet[f"{letter}{row}"], look.HELPER)
        if letter == table.spread:
            width = sum(page.widths[column_index_from_string(letter) - 1 :])
        if isinstance(content, str) and width:
            words.append((content, width, _style_of_words(letter, head)["font"]))
    if any(isinstance(content, Input) for content in cells):
        look.dress(sheet.cell(row, 1, look.MARK_INPUT), look.MARK)
    if table.spread:
        first = column_index_from_string(table.spread)
        sheet.merge_cells(start_row=row, end_row=row, start_column=first, end_column=len(page.widths))
    tall = _height(*words) if words else metrics.height(table.lines, look.LABEL["font"].sz)
    if table.wrap or table.spread or tall > metrics.ONE_LINE:
        sheet.row_dimensions[row].height = tall


def _validate_recorded(sheet, table):
    """One rule for each run of recorded cells that share an argument; so rows put in between have it too."""
    for column in zip_longest(*table.rows):
        recorded = [cell for cell in column if isinstance(cell, Input) and cell.recorded]
        for _, run in groupby(recorded, key=lambda item: item.argument):
            run = list(run)
            sheet.add_data_validation(_validation(run[0], f"{run[0].cell}:{run[-1].cell}"))


def _input_in_table(sheet, address, content, head):
    words = content.is_text and not content.choices
    _input_cell(sheet, content, look.WORDS_INPUT if words else look.INPUT_IN_TABLE)


def _formula_in_table(sheet, address, content, head):
    words = content.words or (address[0] == "B" and content.is_words)
    sheet[address].value = content.text
    look.dress(sheet[address], look.WORDS_IN_TABLE if words else look.IN_TABLE, content.digits)
    if content.name:
        _name(sheet, content.name, address)


def _written_in_table(sheet, address, content, head):
    look.dress(sheet[address], look.WRITTEN, content.digits)


def _words_in_table(sheet, address, content, head):
    cell = sheet[address]
    cell.value = content or None
    if content:
        cell.data_type = "s"  # words, also where they begin with =
    look.dress(cell, _style_of_words(address[0], head))


def _style_of_words(letter, head):
    return look.LABEL if letter == "B" else look.UNIT if head in HEADS_OF_UNITS else look.NOTE


def _limit_in_table(sheet, address, content, head):
    """A number that is typed into the template: only the limits of checks are."""
    sheet[address].value = content
    look.dress(sheet[address], look.LIMIT, "0E+00" if 0 < content < 1e-4 else "General")


def _guards():
    """What becomes of the formula of each cell while what is needed is missing, by (sheet, cell)."""
    for page in PAGES:
        for row, item in PLACED[page.sheet]:
            if isinstance(item, Result):
                yield (page.sheet, item.cell), item.guard
                if is_shown_converted(item):  # "" stays "" there
                    yield (page.sheet, f"{COUNTS}{row}"), PASS
            elif isinstance(item, Table):
                for row, cells in enumerate(item.rows, start=item.first):
                    for letter, cell in zip(LETTERS, cells):
                        if isinstance(cell, Formula):
                            yield (page.sheet, f"{letter}{row}"), cell.guard


def _name(sheet, name, address, hidden=False):
    absolute = address if "$" in address else re.sub(r"([A-Z]+)(\d+)", r"$\1$\2", address)
    if name in sheet.parent.defined_names:
        raise DeclarationError(f"the name {name} is given twice")
    target = f"'{sheet.title}'!{absolute}"
    sheet.parent.defined_names[name] = DefinedName(name, attr_text=target, hidden=hidden or None)


def _print_setup(sheet, page, placed):
    last = max(row + item.rows if isinstance(item, Space) else sheet.max_row for row, item in placed)
    last = paper.TITLE_ROWS if page.workings else last
    sheet.print_area = f"A1:{get_column_letter(len(page.widths))}{last}"
    sheet.print_title_rows = f"1:{paper.TITLE_ROWS}"
    sheet.page_setup.paperSize = _A4
    sheet.page_setup.orientation = "portrait" if paper.is_tall(page.widths) else "landscape"
    sheet.page_setup.scale = paper.scale(page.widths)
    for side, inches in paper.MARGINS.items():
        setattr(sheet.page_margins, side, inches)
    sheet.page_margins.header, sheet.page_margins.footer = 0.2, 0.2
    for side, words in (("left", f"hydrofunc {__version__}"), ("center", "&A"), ("right", "&P of &N")):
        part = getattr(sheet.oddFooter, side)
        part.text, part.size = words, paper.SMALLEST
    for row in paper.breaks(sheet, placed, page.widths, last):
        sheet.row_breaks.append(Break(id=row))


def _properties(book):
    book.properties.language = "en-GB"
    book.properties.title = "Very small hydro: from site to battery"
    book.properties.subject = "Design of a very small Pelton-wheel plant that charges a battery"
    book.properties.creator = f"hydrofunc {__version__}"
    book.properties.keywords = "hydro, Pelton, penstock, alternator, battery"


def saved(book: Workbook) -> bytes:
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


# What stands in a cell of a table, and what writes it; anything else is a number.
_CELL_WRITERS = {
    Input: _input_in_table,
    Formula: _formula_in_table,
    Link: _link_in_table,
    Written: _written_in_table,
    str: _words_in_table,
}
_WRITERS = {
    Heading: _heading,
    Words: _words,
    Input: _input,
    Result: _result,
    Shown: _shown,
    Table: _table,
    Space: lambda *_: None,
}
