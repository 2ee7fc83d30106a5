"""What every chart needs: lines, marked points, axes, references to cells."""

from collections.abc import Mapping
from typing import TypeAlias

from openpyxl.chart import BarChart, LineChart, Reference, ScatterChart
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.series import Series
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.worksheet.worksheet import Worksheet

from ..model import Table

WIDTH, HEIGHT = 24.5, 8  # cm

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
    chart.series[0].graphicalProperties.solidFill = colour
    chart.legend = None
    chart.x_axis.scaling.orientation = "maxMin"
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
    """One cell, in a column of one letter."""
    return Reference(sheet, range_string=f"'{sheet.title}'!${address[0]}${address[1:]}")
