"""What every chart needs: lines, marked points, axes, references to cells."""

from openpyxl.chart import BarChart, Reference, ScatterChart
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.shapes import GraphicalProperties

WIDTH, HEIGHT = 24.5, 8  # cm


def line(series, colour, dash="solid", width=22000):
    series.marker.symbol = "none"
    series.graphicalProperties.line.solidFill = colour
    series.graphicalProperties.line.dashStyle = dash
    series.graphicalProperties.line.width = width
    series.smooth = False
    return series


def point(series, colour, symbol="diamond"):
    series.marker.symbol = symbol
    series.marker.size = 11
    series.marker.graphicalProperties = GraphicalProperties(solidFill=colour)
    series.graphicalProperties.line.noFill = True
    series.smooth = False
    return series


def axes(chart, title, x, y):
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


def scatter(title, x, y):
    """An empty chart of lines over a number axis."""
    chart = ScatterChart()
    chart.scatterStyle = "lineMarker"
    axes(chart, title, x, y)
    return chart


def lying_bars(title, labels, values, colour, inner):
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


def column(sheet, column, table):
    return Reference(sheet, min_col=column, min_row=table.first, max_row=table.last)


def cell(sheet, address):
    return Reference(sheet, range_string=f"'{sheet.title}'!${address[0]}${address[1:]}")
