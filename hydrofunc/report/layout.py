"""The pages of a report: A4, readable in black and white, the same bytes for the same content."""

from functools import partial
from importlib.resources import files
from io import BytesIO
from types import SimpleNamespace
from typing import Any, TypeAlias
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor, black, white
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Frame,
    KeepTogether,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
)

from . import figures
from .figures import BOLD, PLAIN

SMALLEST = 7.5  # points, of any letter
_SIDE, _FOOT, _HEAD_ROOM, _GAP = 14 * mm, 14 * mm, 11 * mm, 6 * mm
_WIDTH = A4[0] - 2 * _SIDE
_HALF = (_WIDTH - _GAP) / 2
_ROWS_TOGETHER = 2 * 24  # of two columns of results
_WAITING = "not looked at"  # how the judgement of a check begins for which nobody gave what it judges
_INK, _BRICK, _AMBER, _RULE = HexColor("#17494D"), HexColor("#9C2F1B"), HexColor("#FBE3B0"), HexColor("#9AA3A2")
_TIGHT = [
    ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
    ("TOPPADDING", (0, 0), (-1, -1), 0.8),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 1.3),
    ("LEFTPADDING", (0, 0), (-1, -1), 2),
    ("RIGHTPADDING", (0, 0), (-1, -1), 2),
]


Content: TypeAlias = Any  # a `jobs.report.Content`; this room knows none above it


def pdf(content: Content) -> bytes:
    """The bytes of the report."""
    _load_fonts()
    return _set(content, _styles())


def _set(content, styles):
    stream = BytesIO()
    document = BaseDocTemplate(
        stream,
        pagesize=A4,
        invariant=1,
        title=f"Very small hydro plant: {content.site}",
        subject="Design report",
        creator=content.made,
        lang="en-GB",
    )
    frame = Frame(
        _SIDE, _FOOT, _WIDTH, A4[1] - _FOOT - _HEAD_ROOM, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0
    )
    document.addPageTemplates(PageTemplate(frames=[frame]))
    document.build(list(_story(content, styles)), canvasmaker=partial(_Numbered, footer=content.made))
    return stream.getvalue()


def _load_fonts():
    if PLAIN not in pdfmetrics.getRegisteredFontNames():
        for name, file in ((PLAIN, "DejaVuSansCondensed.ttf"), (BOLD, "DejaVuSansCondensed-Bold.ttf")):
            pdfmetrics.registerFont(TTFont(name, BytesIO((files(__package__) / "fonts" / file).read_bytes())))
        pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


def _styles():
    def style(name, size, leading, parent=None, **more):
        return ParagraphStyle(
            name, parent=parent, fontName=more.pop("fontName", PLAIN), fontSize=size, leading=leading, **more
        )

    cell = style("cell", 7.8, 9.4)
    return SimpleNamespace(
        title=style("title", 17, 21, fontName=BOLD, textColor=_INK),
        text=style("text", 8.8, 11.6, spaceAfter=2.5),
        head=style("head", 10.5, 13, fontName=BOLD, textColor=_INK, spaceBefore=6, spaceAfter=3),
        alarm=style(
            "alarm",
            8.8,
            11.8,
            fontName=BOLD,
            textColor=white,
            backColor=_BRICK,
            borderPadding=(3, 4, 4, 4),
            leftIndent=4,
            rightIndent=4,
            spaceBefore=8,
            spaceAfter=8,
        ),
        cell=cell,
        number=style("number", 7.8, 9.4, alignment=2),
        verdict=style("verdict", 7.8, 9.4, fontName=BOLD, alignment=1),
        fine=style("fine", SMALLEST, 9, spaceAfter=1.5),
        brief=style("brief", SMALLEST, 9, alignment=2),
        why=style("why", SMALLEST, 8.8),
        sources=style("sources", SMALLEST, 8.8),
    )


class _Numbered(Canvas):
    """Writes the foot of each page once it is known how many there are."""

    def __init__(self, *args, footer, **kwargs):
        super().__init__(*args, **kwargs)
        self._footer, self._pages = footer, []

    def showPage(self) -> None:  # noqa: N802  (reportlab's name)
        self._pages.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        """Write all pages, each with its foot."""
        pages = self._pages
        for number, page in enumerate(pages, start=1):
            self.__dict__.update(page)
            self.setFont(PLAIN, SMALLEST)
            self.drawString(_SIDE, 8 * mm, self._footer)
            self.drawRightString(A4[0] - _SIDE, 8 * mm, f"{number} of {len(pages)}")
            super().showPage()
        super().save()


def _story(content, styles):
    def head(text, room=22 * mm):
        return CondPageBreak(room), Paragraph(text, styles.head)

    yield Paragraph(escape(content.site), styles.title)
    yield Paragraph("Very small hydro plant: the design, its limits and its cautions", styles.text)
    if content.survey:
        yield Paragraph(escape(content.survey), styles.fine)
    yield _verdict(content.checks, styles)
    if content.errors:
        yield Paragraph(
            f"Cells of the workbook that show an error ({len(content.errors)}): {escape(_listed(content.errors))}.",
            styles.alarm,
        )
    stops = [check for check in content.checks if _is_grave(check)]
    if stops:
        yield _checks_table(stops, styles)
    yield from head("The plant")
    for sentence in content.sentences:
        yield Paragraph("".join(_bold(text) if is_value else escape(text) for text, is_value in sentence), styles.text)
    yield from head("The numbers that matter, sheet by sheet")
    rows = list(_result_rows(content.results, styles))
    for first in range(0, len(rows), _ROWS_TOGETHER):  # so that no column is read across pages
        yield KeepTogether([_two_columns(rows[first : first + _ROWS_TOGETHER])])
    if content.chosen:
        yield from head("Given: what was measured or chosen", 0)
        yield _run_in(_said(content.chosen), styles.fine)
    yield from _plant_figures(content, styles)
    yield from head("Checks", 45 * mm)
    yield Paragraph(
        "Good: in the usual range. Look: think again. Stop: do not build it so. "
        "A good does not make an installation safe.",
        styles.cell,
    )
    yield Spacer(0, 3)
    yield from _checks(content.checks, styles)
    yield from head("Cautions", 12 * mm)
    for group in _by_sheet(content.cautions):
        yield _run_in([group], styles.fine, "! ")
    for words, inputs in (
        ("Proposed: choices that nobody has made yet", content.proposed),
        ("Assumed: facts that nobody has given", content.assumed),
    ):
        if inputs:
            yield from head(words)
            yield _run_in(_said(inputs), styles.fine)
    yield from head("Sources of the formulas")
    yield Paragraph(escape("; ".join(content.sources)) + ".", styles.sources)


def _bold(value):
    """A value in bold, its unit on the same line."""
    return f"<b>{escape(value)}</b>".replace(" ", "\u00a0")


def _verdict(checks, styles):
    counts = {word: sum(check.judgement == word for check in checks) for word in ("stop", "look", "good")}
    waiting = sum(_is_waiting(check) for check in checks)
    unknown = len(checks) - sum(counts.values()) - waiting
    words = f"{len(checks)} checks: " + ", ".join(
        f"{count} {'says' if count == 1 else 'say'} {word}" for word, count in counts.items()
    )
    if waiting:
        words += f", {waiting} {'waits' if waiting == 1 else 'wait'} for an input"
    if unknown:
        words += f", {unknown} {'has' if unknown == 1 else 'have'} no judgement"
    if counts["stop"] or unknown:
        return Paragraph(f"STOP. {words}. Read them below before you build or run it.", styles.alarm)
    return Paragraph(f"<b>{words}.</b>", styles.text)


def _listed(errors, most=1):
    """Cells with an error, of every sheet that has one: the first by name, the others counted."""
    sheets = {}
    for error in errors:
        sheets.setdefault(error.partition("!")[0], []).append(error)
    return "; ".join(
        ", ".join(group[:most]) + (f" and {len(group) - most} more on {sheet}" if len(group) > most else "")
        for sheet, group in sheets.items()
    )


# -- numbers -----------------------------------------------------------------------------------------------


def _result_rows(results, styles):
    for sheet, lines in results:
        yield Paragraph(f"<b>{escape(sheet)}</b>", styles.cell), ""
        for label, value in lines:
            yield Paragraph(escape(label), styles.cell), Paragraph(f"<b>{escape(value)}</b>", styles.number)


def _two_columns(rows):
    """Pairs of cells in two columns of the page, read down the first and then the second."""
    half = -(-len(rows) // 2)
    if half > 1 and not rows[half - 1][1]:  # the name of a sheet stands above one of its lines at least
        half += 1
    rows += [("", "")] * (2 * half - len(rows))
    style = [*_TIGHT, ("FONTSIZE", (0, 0), (-1, -1), SMALLEST), ("LEADING", (0, 0), (-1, -1), 8)]
    style += [("LINEBELOW", (first, 0), (first + 1, -1), 0.3, _RULE) for first in (0, 3)]
    return Table(
        [[*left, "", *right] for left, right in zip(rows[:half], rows[half:])],
        colWidths=(_HALF * 0.68, _HALF * 0.32, _GAP, _HALF * 0.68, _HALF * 0.32),
        style=style,
    )


def _by_sheet(pairs):
    """(sheet, [words]) of (sheet, words), in order."""
    groups = {}
    for sheet, words in pairs:
        groups.setdefault(sheet, []).append(words)
    return groups.items()


def _said(groups):
    for sheet, lines in groups:
        yield sheet, ["; ".join(f"{label}: {value}" for label, value in lines) + "."]


def _run_in(groups, style, mark=""):
    """One paragraph of words in groups, each after its name in bold."""
    return Paragraph(
        " ".join(f"<b>{mark}{escape(name)}.</b> {escape(' '.join(words))}" for name, words in groups), style
    )


# -- figures -----------------------------------------------------------------------------------------------


def _long_section(content):
    curves = content.curves["long_section"]
    drawing = curves and figures.lines(
        "Long section: ground and pipe, and how high the water would stand in it",
        curves,
        "along",
        ("pipe", "rest", "line"),
        ("ground and pipe, m", "water at rest, m", "grade line while running, m"),
        _WIDTH,
        35 * mm,
    )
    if drawing:
        yield drawing


def _plant_figures(content, styles):
    curves, points, height = content.curves, content.points, 35 * mm
    drawn = []
    if curves["nozzle_curve"]:
        drawn.append(
            figures.lines(
                "Watts into the load against nozzle size",
                curves["nozzle_curve"],
                "nozzle",
                ("watts",),
                ("battery, W",),
                _HALF,
                height,
                ((points["best"], "most"), (points["fitted"], "fitted")),
            )
        )
    if curves["torque_curve"]:
        drawn.append(
            figures.lines(
                "Torque of wheel and alternator, N·m",
                curves["torque_curve"],
                "speed",
                ("wheel", "alternator"),
                ("wheel", "alternator"),
                _HALF,
                height,
                ((points["settled"], "settles"),),
            )
        )
    if None in drawn:
        yield Paragraph("A figure is left out where too few cells of its table hold numbers.", styles.fine)
    drawn = [drawing for drawing in drawn if drawing]
    if drawn:
        pair = Table(
            [[*drawn, *[""] * (2 - len(drawn))]],
            colWidths=(_HALF + _GAP, _HALF),
            style=[("LEFTPADDING", (0, 0), (-1, -1), 0)],
        )
        yield KeepTogether([Paragraph("Figures", styles.head), pair])
    yield from _long_section(content)
    ledger = figures.bars("Where every watt goes", content.ledger, _WIDTH)
    if ledger:
        yield ledger


# -- checks ------------------------------------------------------------------------------------------------


def _checks(checks, styles):
    """What says look in a table with its reasons, then what is good, in brief; stops stand on the first page."""
    if any(_is_grave(check) for check in checks):
        yield Paragraph("<b>What says stop stands on the first page.</b>", styles.cell)
    looks, good = ([check for check in checks if check.judgement == word] for word in ("look", "good"))
    if looks:
        yield _checks_table(looks, styles)
    if good:
        words = Paragraph(
            "<b>Good</b>, each with how far it may go; why, and sources, on the sheet Checks:", styles.cell
        )
        yield KeepTogether([Spacer(0, 4), words, _two_columns([_good(check, styles) for check in good])])
    waiting = [check for check in checks if _is_waiting(check)]
    labels: dict[str, list[str]] = {}  # by what to give: together all that wait for the same
    for check in waiting:
        labels.setdefault(check.judgement.removeprefix(_WAITING).lstrip(": "), []).append(check.label)
    if labels:
        lines = (f"{escape('; '.join(waits))}: {escape(give)}." for give, waits in labels.items())
        yield Paragraph(f"<b>{_WAITING[0].upper()}{_WAITING[1:]}</b>, as inputs are missing:", styles.cell)
        yield Paragraph(" ".join(lines), styles.fine)


def _good(check, styles):
    limit = check.good if check.good.startswith("from ") else f"to {check.good}"
    return Paragraph(escape(check.label), styles.fine), Paragraph(
        f"<b>{escape(check.value)}</b>, {escape(limit)}", styles.brief
    )


def _is_grave(check):
    """Whether it says stop, or nothing that is known."""
    return check.judgement not in ("look", "good") and not _is_waiting(check)


def _is_waiting(check):
    """Whether nobody gave what it judges."""
    return check.judgement.startswith(_WAITING)


def _checks_table(checks, styles):
    heads = ("check", "value", "good to", "stop beyond", "it says", "why, and source")
    rows = [[Paragraph(f"<b>{head}</b>", styles.why) for head in heads]]
    style = [*_TIGHT, ("LINEBELOW", (0, 0), (-1, -1), 0.3, _RULE)]
    for number, check in enumerate(checks, start=1):
        grave = _is_grave(check)
        rows.append(
            [
                Paragraph(escape(check.label), styles.cell),
                Paragraph(f"<b>{escape(check.value)}</b>", styles.number),
                Paragraph(escape(check.good), styles.number),
                Paragraph(escape(check.stop), styles.number),
                Paragraph(
                    f'<font color="{"#FFFFFF" if grave else "#000000"}">{escape(check.judgement.upper())}</font>',
                    styles.verdict,
                ),
                Paragraph(escape(check.why), styles.why),
            ]
        )
        if grave:  # dark and in a heavy frame: the first thing one sees, in black and white too
            style += [("BACKGROUND", (4, number), (4, number), _BRICK), ("BOX", (0, number), (-1, number), 1.4, black)]
        else:
            style += [("BACKGROUND", (4, number), (4, number), _AMBER), ("BOX", (4, number), (4, number), 0.8, black)]
    widths = [share * _WIDTH for share in (0.26, 0.085, 0.065, 0.065, 0.07, 0.455)]
    return Table(rows, colWidths=widths, repeatRows=1, style=style)
