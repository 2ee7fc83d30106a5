"""The figures of a report: vector drawings that tell their lines apart without colour."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Protocol, TypeAlias

from reportlab.graphics.charts.barcharts import HorizontalBarChart
from reportlab.graphics.charts.lineplots import LinePlot
from reportlab.graphics.shapes import Circle, Drawing, Line, Rect, String
from reportlab.lib.colors import HexColor, black, white

PLAIN, BOLD = "Plain", "Bold"
INK, SOIL, FAINT = HexColor("#17494D"), HexColor("#5B3A00"), HexColor("#C9CFCE")
SMALL = 7.5
_DASHES = (None, (5, 2), (1.5, 2))
_COLOURS = (INK, SOIL, black)
_LEFT, _BOTTOM, _TOP, _RIGHT = 34, 26, 30, 8


class Curves(Protocol):
    """Columns of numbers by key, and the words over each."""

    @property
    def heads(self) -> Mapping[str, str]:
        """The words over each column."""

    @property
    def columns(self) -> Mapping[str, Sequence[float]]:
        """The numbers; NaN where there is none."""


Mark: TypeAlias = tuple[tuple[float, float] | None, str]  # ((x, y), words)


def lines(
    title: str,
    curves: Curves,
    x: str,
    ys: Sequence[str],
    names: Sequence[str],
    width: float,
    height: float,
    marks: Iterable[Mark] = (),
) -> Drawing | None:
    """A chart of columns of `curves` over its column `x`, or None where there is nothing to draw.

    `marks` are ((x, y), words); one without a point is left out.
    """
    columns = curves.columns
    data = [[(a, b) for a, b in zip(columns[x], columns[y]) if math.isfinite(a) and math.isfinite(b)] for y in ys]
    drawn = [(points, name, style) for style, (points, name) in enumerate(zip(data, names)) if len(set(points)) > 1]
    if not drawn:
        return None
    marks = [(point, words) for point, words in marks if point is not None]
    drawing = _frame(title, width, height)
    plot = LinePlot()
    plot.x, plot.y, plot.width, plot.height = _LEFT, _BOTTOM, width - _LEFT - _RIGHT, height - _BOTTOM - _TOP
    plot.data = [points for points, _, _ in drawn]
    for i, (_, _, style) in enumerate(drawn):
        line = plot.lines[i]
        line.strokeColor, line.strokeWidth, line.strokeDashArray = _COLOURS[style], 1.2, _DASHES[style]
    points = [point for curve in plot.data for point in curve] + [point for point, _ in marks]
    for axis, values in zip((plot.xValueAxis, plot.yValueAxis), zip(*points)):
        _scale(axis, values)
    plot.yValueAxis.visibleGrid, plot.yValueAxis.gridStrokeColor, plot.yValueAxis.gridStrokeWidth = True, FAINT, 0.4
    drawing.add(plot)
    for index, ((a, b), _) in enumerate(marks):
        centre = plot.x + plot.width * _share(plot.xValueAxis, a), plot.y + plot.height * _share(plot.yValueAxis, b)
        drawing.add(Circle(*centre, 3, fillColor=_mark(index), strokeColor=black, strokeWidth=1.2))
    drawing.add(_words(width - _RIGHT, 4, curves.heads[x], anchor="end"))
    entries = [(name, _COLOURS[style], _DASHES[style]) for _, name, style in drawn]
    _key(drawing, height - 22, entries, [words for _, words in marks])
    return drawing


def _scale(axis, values):
    """Give an axis round numbers that hold all values."""
    low, high, step = _ticks(min(values), max(values))
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    axis.valueMin, axis.valueMax, axis.valueStep = low, high, step
    axis.labels.fontName, axis.labels.fontSize = PLAIN, SMALL
    axis.labelTextFormat = lambda value: f"{value:.{decimals}f}"
    axis.strokeWidth = 0.6


def _share(axis, value):
    """How far along an axis a value stands, from 0 to 1."""
    return (value - axis.valueMin) / (axis.valueMax - axis.valueMin)


def bars(title: str, rows: Sequence[tuple[str, float, str]], width: float) -> Drawing | None:
    """Horizontal bars, the first on top, each with its label and the value as text; without a number the text alone.

    None where no row has a number.
    """
    if not any(math.isfinite(number) for _, number, _ in rows):
        return None
    height = 26 + (SMALL + 2) * len(rows)
    drawing = _frame(title, width, height)
    chart = HorizontalBarChart()
    left, right = width * 0.36, 46
    chart.x, chart.y, chart.width, chart.height = left, 4, width - left - right, height - 22
    numbers = [0.0 if math.isnan(number) else max(0.0, number) for _, number, _ in rows]
    chart.data = [numbers[::-1]]
    chart.bars[0].fillColor, chart.bars[0].strokeColor = INK, None
    chart.barSpacing, chart.groupSpacing = 0, 3
    chart.categoryAxis.categoryNames = [label for label, _, _ in rows][::-1]
    chart.categoryAxis.labels.fontName, chart.categoryAxis.labels.fontSize = PLAIN, SMALL
    chart.categoryAxis.visibleTicks, chart.categoryAxis.strokeWidth = False, 0.6
    chart.valueAxis.valueMin, chart.valueAxis.valueMax = 0, max(numbers) or 1
    chart.valueAxis.visible = False
    drawing.add(chart)
    row_height = chart.height / len(rows)
    for i, (number, (_, _, text)) in enumerate(zip(numbers, rows)):
        end = chart.x + chart.width * number / chart.valueAxis.valueMax
        drawing.add(_words(end + 3, chart.y + chart.height - row_height * (i + 0.5) - SMALL / 3, text))
    return drawing


def _frame(title, width, height):
    drawing = Drawing(width, height)
    drawing.add(Rect(0, 0, width, height, fillColor=None, strokeColor=None))
    drawing.add(_words(0, height - 9, title, BOLD, 8))
    return drawing


def _key(drawing, y, entries, marks):
    x = _LEFT
    for name, colour, dash in entries:
        drawing.add(Line(x, y + 2.5, x + 18, y + 2.5, strokeColor=colour, strokeWidth=1.2, strokeDashArray=dash))
        x = _said(drawing, x + 21, y, name)
    for index, words in enumerate(marks):
        drawing.add(Circle(x + 3, y + 2.5, 2.5, fillColor=_mark(index), strokeColor=black, strokeWidth=1))
        x = _said(drawing, x + 9, y, words)


def _mark(index):
    """Marks differ by their filling."""
    return (white, black)[index % 2]


def _said(drawing, x, y, text):
    words = _words(x, y, text)
    drawing.add(words)
    return words.getEast() + 9


def _words(x, y, text, font=PLAIN, size=SMALL, anchor="start"):
    return String(x, y, text, fontName=font, fontSize=size, textAnchor=anchor, fillColor=black)


def _ticks(low, high):
    """(first, last, step) of round numbers that hold a range; from 0 where it begins near enough."""
    if low > 0 and low < 0.6 * high:
        low = 0.0
    span = (high - low) or abs(high) or 1.0
    step = 10.0 ** math.floor(math.log10(span / 4))
    step *= next(factor for factor in (1, 2, 5, 10) if span / (step * factor) <= 6)
    return math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step, step
