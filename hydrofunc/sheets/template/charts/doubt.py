"""Charts of what is in doubt: what each quantity adds, and the watts of each nozzle at hand."""

from openpyxl.chart import BarChart, ScatterChart, Series
from openpyxl.chart.layout import Layout, ManualLayout

from ..look import ASH, BRICK, BROWN, TEAL
from .drawing import axes, column, line


def bars(book, tables, cells):
    """The part each quantity has in the doubt, in watts: to the left where more of it means fewer watts."""
    sheet, table = book["Doubt"], tables["doubt"]
    chart = BarChart()
    chart.type = "bar"
    chart.gapWidth = 40
    axes(chart, "One standard uncertainty, W", None, None)
    chart.width, chart.height = 15.5, 13
    chart.add_data(column(sheet, 14, table))
    chart.set_categories(column(sheet, 2, table))
    chart.series[0].graphicalProperties.solidFill = TEAL
    chart.series[0].invertIfNegative = False
    chart.legend = None
    chart.x_axis.scaling.orientation = "maxMin"
    chart.x_axis.tickLblPos = "low"
    chart.y_axis.crosses = "max"
    chart.y_axis.number_format = "0"
    chart.layout = Layout(manualLayout=ManualLayout(layoutTarget="inner", xMode="edge", yMode="edge", x=0.42, y=0.11, w=0.53, h=0.8))
    return chart


def nozzles(book, tables, cells):
    """Watts of each nozzle at hand: by the guess, on average of the draws, and the band that holds 90 % of them."""
    sheet, table = book["Doubt"], tables["hand"]
    chart = ScatterChart()
    chart.scatterStyle = "lineMarker"
    axes(chart, "Battery watts of each nozzle at hand", "nozzle, mm", "watts into the battery")
    size = column(sheet, 3, table)
    for place, title, colour, dash in (
        (4, "by the guess", BROWN, "solid"), (5, "mean of the draws", TEAL, "solid"),
        (6, "5 % get less", ASH, "dash"), (7, "5 % get more", BRICK, "dash"),
    ):
        chart.series.append(line(Series(column(sheet, place, table), size, title=title), colour, dash))
    chart.x_axis.number_format, chart.y_axis.number_format = "0", "0"
    chart.y_axis.scaling.min = 0
    return chart
