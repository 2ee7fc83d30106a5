"""What every chart needs: lines and bars that differ without colour, axes, references, words where no data are.

Printed in black and white, two colours are two greys that nobody tells apart. So lines differ by dash, bars by pattern,
points by shape and filling; the colour comes on top.
"""

from collections.abc import Mapping
from typing import TypeAlias

from openpyxl.chart import BarChart, LineChart, Reference, ScatterChart
from openpyxl.chart.data_source import StrRef
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.series import Series, SeriesLabel
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText
from openpyxl.drawing.fill import ColorChoice, PatternFillProperties
from openpyxl.drawing.text import CharacterProperties, Paragraph, ParagraphProperties, RichTextProperties
from openpyxl.utils import absolute_coordinate
from openpyxl.worksheet.worksheet import Worksheet

from ..model import Table

EMPTY = "empty"  # of a bar: its outline alone
WIDTH, HEIGHT = 24.5, 8  # cm
SMALL = 9  # points
# Cells that serve a chart alone stand in this column and those after it, right of all tables, in the rows of the
# chart's table. #N/A there is meant: a chart leaves a gap.
OWN_COLUMN = "BA"
NOTHING_YET = "nothing to draw yet: see Start"

Tables: TypeAlias = Mapping[str, Table]  # by key
Cells: TypeAlias = Mapping[str, str]  # addresses by name


def line(series: Series, colour: str, dash: str = "solid", width: int = 22000) -> Series:
    """The series as a line, in EMU of width (12700 to a point)."""
    series.marker.symbol = "none"
    series.graphicalProperties.line.solidFill = colour
    series.graphicalProperties.line.dashStyle = dash
    series.graphicalProperties.line.width = width
    series.smooth = False
    return series


def point(series: Series, colour: str, symbol: str = "diamond") -> Series:
    """The series as points without a line."""
    series.marker.symbol = symbol
    series.marker.size = 11
    series.marker.graphicalProperties = GraphicalProperties(solidFill=colour)
    series.graphicalProperties.line.noFill = True
    series.smooth = False
    return series


def bars(series: Series, colour: str, pattern: str = "") -> Series:
    """The series as bars: full, or empty, or with a pattern of the file format's list.

    The list: ECMA-376 part 1, 20.1.10.51 (from memory). LibreOffice draws its dots as slanting lines.
    """
    if pattern == EMPTY:
        series.graphicalProperties.solidFill = "FFFFFF"
    elif pattern:
        series.graphicalProperties.pattFill = PatternFillProperties(
            prst=pattern, fgClr=ColorChoice(srgbClr=colour), bgClr=ColorChoice(srgbClr="FFFFFF")
        )
    else:
        series.graphicalProperties.solidFill = colour
    series.graphicalProperties.line.solidFill = colour
    return series


def called(
    series: Series, name: str, sheet: Worksheet, table: Table, nothing: str = NOTHING_YET, empty: str = ""
) -> Series:
    """Give the first series of a chart its name for the key; while there is nothing to draw, the key says that instead.

    A chart cannot vanish. The name stands in a cell, so that it follows every change as the drawing does. `empty` is
    the condition, as a formula: without it, that the series has no number.
    """
    values = series.val.numRef.f if series.val else series.yVal.numRef.f
    empty = empty or f"COUNT({values.partition('!')[2]})=0"
    sheet[f"{OWN_COLUMN}{table.top}"] = f'=IF({empty},"{nothing}","{name}")'
    series.tx = SeriesLabel(strRef=StrRef(f"'{sheet.title}'!${OWN_COLUMN}${table.top}"))
    return series


def own_column(sheet: Worksheet, table: Table, formula: str, letter: str = OWN_COLUMN, rows: int = 0) -> Reference:
    """A column of a chart's own beside its table, or beside the first `rows` of it.

    `{row}`, `{first}` and `{top}`, that of the heads, are rows of the table.
    """
    last = table.first + rows - 1 if rows else table.last
    for row in range(table.first, last + 1):
        sheet[f"{letter}{row}"] = formula.format(row=row, first=table.first, top=table.top)
    return Reference(sheet, range_string=f"'{sheet.title}'!${letter}${table.first}:${letter}${last}")


def axes(chart: ScatterChart | BarChart | LineChart, title: str, x: str | None, y: str | None) -> None:
    """Give a chart its title, its axes with their titles, and its size."""
    chart.title = title
    chart.style = 2
    chart.x_axis.title, chart.y_axis.title = x, y
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.x_axis.majorGridlines = None
    chart.y_axis.majorGridlines.spPr = GraphicalProperties(ln=None)
    chart.y_axis.majorGridlines.spPr.line.solidFill = "D5DAD9"
    chart.legend.position = "b"
    chart.width, chart.height = WIDTH, HEIGHT
    chart.layout = Layout(
        manualLayout=ManualLayout(layoutTarget="inner", xMode="edge", yMode="edge", x=0.08, y=0.13, w=0.83, h=0.63)
    )


def scatter(title: str, x: str, y: str) -> ScatterChart:
    """An empty chart of lines over a number axis."""
    chart = ScatterChart()
    chart.scatterStyle = "lineMarker"
    axes(chart, title, x, y)
    return chart


def lying_bars(
    title: str, labels: Reference, values: Reference, colour: str, inner: tuple[float, float, float, float]
) -> BarChart:
    """One bar a row, the first on top; `inner` is the place of the bars in the chart (x, y, w, h)."""
    chart = BarChart()
    chart.type = "bar"
    chart.gapWidth = 40
    axes(chart, title, None, None)
    chart.add_data(values)
    chart.set_categories(labels)
    bars(chart.series[0], colour)
    chart.legend = None
    chart.x_axis.scaling.orientation = "maxMin"
    chart.x_axis.tickLblSkip = 1
    # Small letters, or a program leaves labels out where bars stand close together.
    small = CharacterProperties(sz=100 * SMALL)
    chart.x_axis.txPr = RichText(bodyPr=RichTextProperties(), p=[Paragraph(pPr=ParagraphProperties(defRPr=small))])
    chart.y_axis.crosses = "max"
    chart.y_axis.number_format = "0"
    x, y, w, h = inner
    chart.layout = Layout(
        manualLayout=ManualLayout(layoutTarget="inner", xMode="edge", yMode="edge", x=x, y=y, w=w, h=h)
    )
    return chart


def column(sheet: Worksheet, column: int, table: Table) -> Reference:
    """A column of a table, without its head."""
    return Reference(sheet, min_col=column, min_row=table.first, max_row=table.last)


def cell(sheet: Worksheet, address: str) -> Reference:
    """One cell."""
    return Reference(sheet, range_string=f"'{sheet.title}'!{absolute_coordinate(address)}")
