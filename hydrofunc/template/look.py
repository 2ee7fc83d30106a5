"""Colours, fonts and borders of the template. Every kind of cell differs in more than its colour."""

from copy import copy

from openpyxl.cell import Cell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side

TEAL, BROWN, SAND, MIST, BRICK, ASH = "17494D", "5B3A00", "F5EAD2", "E7EFEE", "9C2F1B", "6B7271"
BLUSH = "F8E3DC"
FACE = "Arial"
# Tabs of the groups of sheets. Neighbours differ in lightness, so that nobody needs to tell the hues apart.
TABS = {
    "Start and results": TEAL,
    "Water and pipe": "2E75B6",
    "Machine": "F0B55A",
    "Safety, energy": BRICK,
    "What to change": "D9A6C6",
    "Test day": "3E8E5A",
    "Years after": "F3E58C",
    "Workings": ASH,
    "Help": "C9D1D0",
}
STANDARD_FONT = Font(name=FACE, size=10)  # of the workbook: the widths of columns are counted in its digits

MARK_INPUT, MARK_RESULT, MARK_STRONG, MARK_CAUTION = "▸", "=", "■", "!"


def fill(colour: str) -> PatternFill:
    """A cell's ground in one colour, RRGGBB."""
    return PatternFill("solid", start_color=colour, end_color=colour)


def _frame(style: str, colour: str) -> Border:
    side = Side(style=style, color=colour)
    return Border(left=side, right=side, top=side, bottom=side)


# How a cell with a judgement looks: the graver the darker, so that it is seen in black and white too. A frame by
# condition can only be thin.
VERDICTS = {
    "stop": {"font": Font(bold=True, color="000000"), "fill": fill("D98C77"), "border": _frame("thin", "000000")},
    "look": {"font": Font(color="000000"), "fill": fill("F6CF7A"), "border": _frame("dotted", ASH)},
    "good": {"fill": fill("F1F7EE")},
}


_HAIR = Side(style="hair", color=ASH)
_BASE = Side(style="medium", color=BROWN)

TITLE = {
    "font": Font(name=FACE, size=16, bold=True, color="FFFFFF"),
    "fill": fill(TEAL),
    "alignment": Alignment(vertical="center"),
}
PURPOSE = {
    "font": Font(name=FACE, size=10, italic=True, color="FFFFFF"),
    "fill": fill(TEAL),
    "alignment": Alignment(vertical="top"),
}
COLUMN_HEAD = {"font": Font(name=FACE, size=9, color=ASH), "border": Border(bottom=_HAIR)}
HEADING = {
    "font": Font(name=FACE, size=11, bold=True, color=TEAL),
    "border": Border(bottom=Side(style="thin", color=TEAL)),
}
WORDS = {"font": Font(name=FACE, size=10), "alignment": Alignment(wrap_text=True, vertical="top")}
CAUTION = {
    "font": Font(name=FACE, size=10, bold=True, color=BRICK),
    "fill": fill(BLUSH),
    "alignment": Alignment(wrap_text=True, vertical="center"),
}
LABEL = {"font": Font(name=FACE, size=10), "alignment": Alignment(vertical="center", wrap_text=True)}
UNIT = {
    "font": Font(name=FACE, size=10, color=ASH),
    "alignment": Alignment(horizontal="left", vertical="center", indent=1),
}
LINK = Font(name=FACE, size=10, color=TEAL, underline="single")
UNIT_INPUT = UNIT | {"protection": Protection(locked=False)}
STATE = UNIT | {"font": Font(name=FACE, size=9, italic=True, color=ASH)}
NOTE = {"font": Font(name=FACE, size=9, color=ASH), "alignment": Alignment(vertical="center", wrap_text=True)}
INDENT = 1.5  # widths of a digit, of which an indent of 1 takes a little less
# Off the state to its left.
SENTENCE = NOTE | {"alignment": Alignment(horizontal="left", vertical="center", wrap_text=True, indent=1)}
HOW = NOTE | {"alignment": Alignment(vertical="top", wrap_text=True)}
MARK = {"font": Font(name=FACE, size=10, color=BROWN), "alignment": Alignment(horizontal="center", vertical="center")}
INPUT = {
    "font": Font(name=FACE, size=10, color=BROWN),
    "fill": fill(SAND),
    "border": Border(bottom=_BASE),
    "alignment": Alignment(horizontal="right", vertical="center"),
    "protection": Protection(locked=False),
}
WORDS_INPUT = INPUT | {"alignment": Alignment(horizontal="left", vertical="center")}  # long words run on to the right
RESULT = {"font": Font(name=FACE, size=10, color=TEAL), "alignment": Alignment(horizontal="right", vertical="center")}
STRONG = {
    "font": Font(name=FACE, size=10, bold=True, color=TEAL),
    "fill": fill(MIST),
    "alignment": Alignment(horizontal="right", vertical="center"),
}
TEXT_RESULT = RESULT | {"alignment": Alignment(horizontal="left", vertical="center")}
STRONG_WORDS = STRONG | {"alignment": Alignment(horizontal="left", vertical="center")}
IN_TABLE = RESULT | {"alignment": Alignment(horizontal="center", vertical="center")}
WORDS_IN_TABLE = TEXT_RESULT | {"alignment": Alignment(horizontal="left", vertical="center", wrap_text=True)}
WRITTEN = IN_TABLE | {"border": Border(bottom=_HAIR, top=_HAIR, left=_HAIR, right=_HAIR)}
INPUT_IN_TABLE = INPUT | {"alignment": Alignment(horizontal="center", vertical="center")}
# Cells of helper columns, to the right of the page: nobody reads them on paper; on the screen they run on to the right.
HELPER = {"font": Font(name=FACE, size=9, color=ASH), "alignment": Alignment(vertical="center")}
LIMIT = UNIT | {"alignment": Alignment(horizontal="center", vertical="center")}
TABLE_HEAD = {
    "font": Font(name=FACE, size=9, bold=True, color=TEAL),
    "fill": fill(MIST),
    "alignment": Alignment(wrap_text=True, vertical="center"),
    "border": Border(bottom=Side(style="thin", color=TEAL)),
}
TABLE_HEAD_OF_NUMBERS = TABLE_HEAD | {"alignment": Alignment(wrap_text=True, horizontal="center", vertical="center")}


def dress(cell: Cell, style: dict, digits: str | None = None) -> None:
    """Apply one of the styles above to a cell."""
    # openpyxl looks each font, fill and border up by comparing whole objects, which takes most of the time of a build.
    # What a style comes to in this workbook is the same for every bare cell, so it is kept with the workbook.
    kept = cell.parent.parent.__dict__.setdefault("_dressed", {})
    key = (id(style), digits)
    if not cell.has_style and key in kept:
        cell._style = copy(kept[key][1])
        return
    bare = not cell.has_style
    for part, value in style.items():
        setattr(cell, part, value)
    if digits:
        cell.number_format = digits
    if bare:
        kept[key] = style, copy(cell._style)  # the style too: its id must not be given to another one


def dressed(cell: Cell, style: dict, digits: str | None = None) -> Cell:
    """The cell, with one of the styles above applied to it."""
    dress(cell, style, digits)
    return cell
