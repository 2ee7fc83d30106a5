"""Chart of the route."""

from openpyxl import Workbook
from openpyxl.chart import ScatterChart, Series

from ..look import ASH, BRICK, BROWN
from .drawing import Cells, Tables, called, column, line, scatter


def route_lines(book: Workbook, tables: Tables, cells: Cells) -> ScatterChart:
    """Pipe, rest line and running grade line against chainage."""
    sheet, table = book["Route"], tables["route_lines"]
    chart = scatter("Where the pipe lies under its grade line", "chainage, m", "level, m")
    chainage = column(sheet, 3, table)
    ground = called(Series(column(sheet, 4, table), chainage), "pipe on the ground", sheet, table)
    chart.series.append(line(ground, BROWN, width=28000))
    chart.series.append(line(Series(column(sheet, 5, table), chainage, title="rest line"), ASH, "sysDot"))
    chart.series.append(line(Series(column(sheet, 6, table), chainage, title="running line"), BRICK, "dash"))
    chart.x_axis.number_format = chart.y_axis.number_format = "0"
    return chart
