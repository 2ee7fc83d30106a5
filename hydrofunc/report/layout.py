"""The pages of a report: A4, readable in black and white, the same bytes for the same content."""

from importlib.resources import files
from io import BytesIO
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor, black, white
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, CondPageBreak, Frame, KeepTogether, PageTemplate, Paragraph, Spacer, Table

from . import figures
from .figures import BOLD, PLAIN

_MARGIN = 15 * mm
_WIDTH = A4[0] - 2 * _MARGIN
_GAP = 6 * mm
_FOOT = 15 * mm
_INK, _BRICK, _AMBER, _RULE = HexColor("#17494D"), HexColor("#9C2F1B"), HexColor("#FBE3B0"), HexColor("#9AA3A2")
_TEXT = ParagraphStyle("text", fontName=PLAIN, fontSize=8.6, leading=11.8, spaceAfter=2.5)
_CELL = ParagraphStyle("cell", parent=_TEXT, fontSize=7.6, leading=9.4, spaceAfter=0)
_NUMBER = ParagraphStyle("number", parent=_CELL, alignment=2)
_FINE = ParagraphStyle("fine", parent=_TEXT, fontSize=6.4, leading=8, spaceAfter=1.5)
_FINE_CELL = ParagraphStyle("fine cell", parent=_FINE, spaceAfter=0)
_TITLE = ParagraphStyle("title", parent=_TEXT, fontName=BOLD, fontSize=17, leading=21, textColor=_INK, spaceAfter=0)
_HEAD = ParagraphStyle("head", parent=_TEXT, fontName=BOLD, fontSize=10.5, leading=13, textColor=_INK, spaceBefore=7, spaceAfter=3)
_VERDICT = ParagraphStyle("verdict", parent=_CELL, fontName=BOLD, alignment=1)
_ALARM = ParagraphStyle("alarm", parent=_TEXT, fontName=BOLD, textColor=white, backColor=_BRICK, borderPadding=(3, 4, 4, 4), leftIndent=4,
                        rightIndent=4, spaceBefore=8, spaceAfter=8)
_LINE = ("LINEBELOW", (0, 0), (-1, -1), 0.3, _RULE)
_TIGHT = [("VALIGN", (0, 0), (-1, -1), "MIDDLE"), ("TOPPADDING", (0, 0), (-1, -1), 1.1), ("BOTTOMPADDING", (0, 0), (-1, -1), 1.6),
          ("LEFTPADDING", (0, 0), (-1, -1), 2), ("RIGHTPADDING", (0, 0), (-1, -1), 2)]


def pdf(content):
    """The bytes of the report."""
    _load_fonts()
    stream = BytesIO()
    document = BaseDocTemplate(
        stream, pagesize=A4, invariant=1, title=f"Very small hydro plant: {content.site}", subject="Design report", creator=content.made, lang="en",
    )
    frame = Frame(_MARGIN, _FOOT, _WIDTH, A4[1] - _FOOT - 12 * mm, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)
    document.addPageTemplates(PageTemplate(frames=[frame]))
    document.build(list(_story(content)), canvasmaker=lambda *args, **kwargs: _Numbered(*args, footer=content.made, **kwargs))
    return stream.getvalue()


def _load_fonts():
    if PLAIN not in pdfmetrics.getRegisteredFontNames():
        for name, file in ((PLAIN, "DejaVuSans.ttf"), (BOLD, "DejaVuSans-Bold.ttf")):
            pdfmetrics.registerFont(TTFont(name, BytesIO((files(__package__) / "fonts" / file).read_bytes())))
        pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


class _Numbered(Canvas):
    """Writes the foot of each page once it is known how many there are."""

    def __init__(self, *args, footer, **kwargs):
        super().__init__(*args, **kwargs)
        self._footer, self._pages = footer, []

    def showPage(self):
        self._pages.append(dict(self.__dict__))
        self._startPage()

    def save(self):
        for number, page in enumerate(self._pages, start=1):
            self.__dict__.update(page)
            self.setFont(PLAIN, 6.2)
            self.drawString(_MARGIN, 9 * mm, self._footer)
            self.drawRightString(A4[0] - _MARGIN, 9 * mm, f"{number} of {len(self._pages)}")
            super().showPage()
        super().save()


def _story(content):
    yield Paragraph(escape(content.site), _TITLE)
    yield Paragraph("Very small hydro plant: the design, its limits and its cautions", _TEXT)
    if content.survey:
        yield Paragraph(escape(content.survey), _FINE)
    yield from _verdict(content.checks)
    if content.errors:
        yield Paragraph(f"Cells of the workbook that show an error ({len(content.errors)}): {escape(_listed(content.errors))}", _ALARM)
    yield Paragraph("The plant", _HEAD)
    for sentence in content.sentences:
        yield Paragraph("".join(f"<b>{escape(text)}</b>" if value else escape(text) for text, value in sentence), _TEXT)
    yield from _long_section(content)
    yield Paragraph("The numbers that matter, sheet by sheet", _HEAD)
    yield _two_columns(list(_result_rows(content.results)))
    yield from _plant_figures(content)
    yield CondPageBreak(45 * mm)
    yield Paragraph("Checks", _HEAD)
    yield Paragraph("Good: in the usual range. Look: think again. Stop: do not build it so. A good does not make an installation safe.", _CELL)
    yield Spacer(0, 3)
    yield _checks_table(content.checks)
    yield Paragraph("Cautions", _HEAD)
    for group in _by_sheet(content.cautions):
        yield _run_in([group], "! ")
    yield Paragraph("Measured or chosen", _HEAD)
    yield _run_in(_said(content.chosen))
    yield Paragraph("Assumed: left as the template has it", _HEAD)
    yield _run_in(_said(content.assumed))
    yield Paragraph("Sources of the formulas", _HEAD)
    yield Paragraph(escape("; ".join(content.sources)) + ".", _FINE)


def _verdict(checks):
    counts = {word: sum(check.judgement == word for check in checks) for word in ("stop", "look", "good")}
    unknown = len(checks) - sum(counts.values())
    words = f"{len(checks)} checks: {counts['stop']} say stop, {counts['look']} say look, {counts['good']} say good" + (
        f", {unknown} have no judgement" if unknown else "")
    if counts["stop"] or unknown:
        yield Paragraph(f"STOP. {words}. Read them below before you build or run it.", _ALARM)
    else:
        yield Paragraph(f"<b>{words}.</b>", _TEXT)


def _listed(items, most=12):
    return ", ".join(items[:most]) + (f" and {len(items) - most} more" if len(items) > most else "")


# -- numbers -----------------------------------------------------------------------------------------------


def _result_rows(results):
    for sheet, lines in results:
        yield Paragraph(f"<b>{escape(sheet)}</b>", _CELL), ""
        for label, value in lines:
            yield Paragraph(escape(label), _CELL), Paragraph(f"<b>{escape(value)}</b>", _NUMBER)


def _two_columns(rows):
    """Pairs of cells in two columns of the page, read down the first and then the second."""
    half = -(-len(rows) // 2)
    rows += [("", "")] * (2 * half - len(rows))
    width = (_WIDTH - _GAP) / 2
    style = [*_TIGHT, ("FONTSIZE", (0, 0), (-1, -1), 6), ("LEADING", (0, 0), (-1, -1), 8), *(("LINEBELOW", (first, 0), (first + 1, -1), 0.3, _RULE) for first in (0, 3))]
    return Table([[*left, "", *right] for left, right in zip(rows[:half], rows[half:])],
                 colWidths=(width * 0.68, width * 0.32, _GAP, width * 0.68, width * 0.32), style=style)


def _by_sheet(pairs):
    """(sheet, [words]) of (sheet, words), in order."""
    groups = {}
    for sheet, words in pairs:
        groups.setdefault(sheet, []).append(words)
    return groups.items()


def _said(groups):
    for sheet, lines in groups:
        yield sheet, ["; ".join(f"{label}: {value}" for label, value in lines) + "."]


def _run_in(groups, mark=""):
    """One paragraph of words in groups, each after its name in bold."""
    return Paragraph(" ".join(f"<b>{mark}{escape(name)}.</b> {escape(' '.join(words))}" for name, words in groups), _FINE)


# -- figures -----------------------------------------------------------------------------------------------


def _long_section(content):
    curves = content.curves["long_section"]
    drawing = curves and figures.lines(
        "Long section: the pipe, and how high the water would stand in it", curves, "along", ("pipe", "rest", "line"),
        ("pipe, m", "water at rest, m", "grade line while running, m"), _WIDTH, 46 * mm,
    )
    if drawing:
        yield drawing


def _plant_figures(content):
    half = (_WIDTH - _GAP) / 2
    height = 50 * mm
    drawn = []
    curves, points = content.curves, content.points
    if curves["nozzle_curve"]:
        drawn.append(figures.lines("Watts into the load against nozzle size", curves["nozzle_curve"], "nozzle", ("watts",), ("battery, W",), half, height,
                                   ((points["best"], "most"), (points["fitted"], "fitted"))))
    if curves["torque_curve"]:
        drawn.append(figures.lines("Torque of wheel and alternator, N·m", curves["torque_curve"], "speed", ("wheel", "alternator"),
                                   ("wheel", "alternator"), half, height, ((points["settled"], "settles"),)))
    drawn = [drawing for drawing in drawn if drawing]
    if drawn:
        drawn = Table([[*drawn, *[""] * (2 - len(drawn))]], colWidths=(half + _GAP, half), style=[("LEFTPADDING", (0, 0), (-1, -1), 0)])
        yield KeepTogether([Paragraph("Figures", _HEAD), drawn])
    yield figures.bars("Where every watt goes", content.ledger, _WIDTH, 58 * mm)


# -- checks ------------------------------------------------------------------------------------------------


def _checks_table(checks):
    heads = ["check", "value", "good to", "stop beyond", "it says", "why, and source"]
    rows = [[Paragraph(f"<b>{head}</b>", _FINE_CELL) for head in heads]]
    style = [*_TIGHT, _LINE]
    for number, check in enumerate(checks, start=1):
        grave = check.judgement not in ("look", "good")
        word = check.judgement.upper() if check.judgement != "good" else check.judgement
        colour = "#FFFFFF" if grave else "#000000"
        rows.append([
            Paragraph(escape(check.label), _CELL), Paragraph(f"<b>{escape(check.value)}</b>", _NUMBER),
            Paragraph(escape(check.good), _NUMBER), Paragraph(escape(check.stop), _NUMBER),
            Paragraph(f'<font color="{colour}">{escape(word)}</font>', _VERDICT if check.judgement != "good" else _CELL),
            Paragraph(escape(check.why), _FINE_CELL),
        ])
        if grave:
            style.append(("BACKGROUND", (4, number), (4, number), _BRICK))
        elif check.judgement == "look":
            style += [("BACKGROUND", (4, number), (4, number), _AMBER), ("BOX", (4, number), (4, number), 0.8, black)]
    widths = [share * _WIDTH for share in (0.25, 0.095, 0.065, 0.065, 0.07, 0.455)]
    return Table(rows, colWidths=widths, repeatRows=1, style=style)
