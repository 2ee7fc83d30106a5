"""The chart of a season's log."""

from openpyxl import Workbook
from openpyxl.chart import ScatterChart, Series

from ..look import BROWN, TEAL
from .drawing import Cells, Tables, column, line, scatter

DAY, WATTS, GAUGE = 20, 21, 22  # columns T to V of the entries; a row without an entry repeats the one above


def log(book: Workbook, tables: Tables, cells: Cells) -> ScatterChart:
    """Watts and gauge over time, in % of what is expected."""
    sheet, table = book["Log"], tables["log"]
    chart = scatter("Watts and gauge over the season", "days since the first date", "% of what is expected")
    day = column(sheet, DAY, table)
    chart.series.append(line(Series(column(sheet, WATTS, table), day, title="watts"), TEAL))
    chart.series.append(line(Series(column(sheet, GAUGE, table), day, title="gauge"), BROWN, "dash"))
    chart.x_axis.number_format = chart.y_axis.number_format = "0"
    chart.x_axis.scaling.min = 0
    return chart
