"""Charts of what is in doubt: what each quantity adds, and the watts of each nozzle at hand."""

from openpyxl import Workbook
from openpyxl.chart import BarChart, ScatterChart, Series

from ..look import ASH, BRICK, BROWN, TEAL
from .drawing import Cells, Tables, called, column, line, lying_bars, scatter


def bars(book: Workbook, tables: Tables, cells: Cells) -> BarChart:
    """The part each quantity has in the doubt, in watts: to the left where more of it means fewer watts."""
    sheet, table = book["Doubt"], tables["doubt_effects"]
    chart = lying_bars(
        "One standard uncertainty, W", column(sheet, 2, table), column(sheet, 10, table), TEAL, (0.42, 0.11, 0.53, 0.8)
    )
    chart.width, chart.height = 15.5, 13
    chart.series[0].invertIfNegative = False
    chart.x_axis.tickLblPos = "low"
    return chart


def nozzles(book: Workbook, tables: Tables, cells: Cells) -> ScatterChart:
    """Watts of each nozzle at hand: by the guess, on average of the draws, and the band that holds 90 % of them."""
    sheet, table = book["Doubt"], tables["hand"]
    chart = scatter("Battery watts of each nozzle at hand", "nozzle, mm", "watts into the battery")
    size = column(sheet, 3, table)
    guess = called(Series(column(sheet, 4, table), size), "by the guess", sheet, table, "no nozzle at hand yet")
    chart.series.append(line(guess, BROWN, "lgDashDot"))
    for place, title, colour, dash, width in (
        (5, "mean of the draws", TEAL, "solid", 28000),
        (6, "5 % get less", ASH, "dash", 16000),
        (7, "5 % get more", BRICK, "sysDot", 16000),
    ):
        chart.series.append(line(Series(column(sheet, place, table), size, title=title), colour, dash, width))
    chart.x_axis.number_format, chart.y_axis.number_format = "0", "0"
    chart.y_axis.scaling.min = 0
    return chart
