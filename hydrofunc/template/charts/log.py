"""The chart of a season's log."""

from openpyxl import Workbook
from openpyxl.chart import ScatterChart, Series

from ..look import ASH, BROWN, TEAL
from .drawing import Cells, Tables, called, column, line, own_column, scatter

DAY, WATTS, GAUGE = 20, 21, 22  # columns T to V of the entries; a row without an entry repeats the one above

FEWEST_DAYS = 30
NO_ENTRY = "no entry yet"


def log(book: Workbook, tables: Tables, cells: Cells) -> ScatterChart:
    """Watts and gauge over time, in % of what is expected."""
    sheet, table = book["Log"], tables["log"]
    chart = scatter("Watts and gauge over the season", "days since the first date", "% of what is expected")
    day = column(sheet, DAY, table)
    watts = called(Series(column(sheet, WATTS, table), day), "watts", sheet, table, NO_ENTRY, "log_entries=0")
    chart.series.append(line(watts, TEAL))
    chart.series.append(line(Series(column(sheet, GAUGE, table), day, title="gauge"), BROWN, "dash"))
    # From the first day to the last, and a month at least: so there is a line to compare with from the beginning.
    ends = own_column(sheet, table, f"=IF(ROWS(BB${{first}}:BB{{row}})=1,0,MAX(log_days,{FEWEST_DAYS}))", "BB", 2)
    expected = own_column(sheet, table, "=100", "BC", 2)
    chart.series.append(line(Series(expected, ends, title="as expected"), ASH, "sysDot"))
    chart.x_axis.number_format = chart.y_axis.number_format = "0"
    chart.x_axis.scaling.min = 0
    return chart
