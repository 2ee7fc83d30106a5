"""Charts of the way from the nozzle to the battery."""

from openpyxl import Workbook
from openpyxl.chart import BarChart, ScatterChart, Series
from openpyxl.chart.label import DataLabelList

from ..look import ASH, BRICK, BROWN, TEAL
from .drawing import Cells, Tables, called, cell, column, line, lying_bars, point, scatter


def nozzle_curve(book: Workbook, tables: Tables, cells: Cells) -> ScatterChart:
    """Battery watts and flow against nozzle size; the best and the fitted one marked."""
    sheet, table = book["Nozzle"], tables["nozzle_curve"]
    chart = scatter("Battery watts and water against nozzle size", "nozzle, mm", "watts into the battery")
    size = column(sheet, 2, table)
    watts = called(Series(column(sheet, 6, table), size), "battery, W (left)", sheet, table)
    chart.series.append(line(watts, TEAL))
    best = Series(cell(sheet, cells["top_watts"]), cell(sheet, cells["top_nozzle"]), title="most watts")
    chart.series.append(point(best, BRICK))
    fitted = Series(
        cell(book["Alternator and battery"], cells["battery_watts"]),
        cell(book["Inputs"], cells["nozzle"]),
        title="nozzle fitted",
    )
    chart.series.append(point(fitted, BROWN, "circle"))
    flow = ScatterChart()
    flow.scatterStyle = "lineMarker"
    flow.series.append(line(Series(column(sheet, 3, table), size, title="flow, L/s (right)"), ASH, "dash"))
    flow.x_axis.axId, flow.y_axis.axId = 210, 200  # a hidden size axis of its own, or its title shows twice
    flow.x_axis.crossAx, flow.y_axis.crossAx = 200, 210
    flow.x_axis.delete = True
    flow.y_axis.title = "flow, L/s"
    flow.y_axis.crosses = "max"
    flow.y_axis.delete = False
    flow.y_axis.majorGridlines = None
    chart.x_axis.number_format, chart.y_axis.number_format, flow.y_axis.number_format = "0", "0", "0.0"
    chart.y_axis.scaling.min = flow.y_axis.scaling.min = 0
    chart += flow
    return chart


def torque_curve(book: Workbook, tables: Tables, cells: Cells) -> ScatterChart:
    """Torque of wheel and alternator against speed, crossing at the operating point."""
    sheet, table = book["Alternator and battery"], tables["torque_curve"]
    chart = scatter("Where torque of wheel and alternator meet", "speed, rpm", "torque, N·m")
    speed = column(sheet, 2, table)
    wheel = called(Series(column(sheet, 3, table), speed), "wheel", sheet, table)
    chart.series.append(line(wheel, TEAL))
    chart.series.append(line(Series(column(sheet, 6, table), speed, title="alternator"), BROWN, "dash"))
    here = Series(cell(sheet, cells["electrical_torque"]), cell(sheet, cells["speed"]), title="it settles here")
    chart.series.append(point(here, BRICK))
    chart.x_axis.number_format, chart.y_axis.number_format = "0", "0.0"
    chart.x_axis.scaling.min = chart.y_axis.scaling.min = 0
    return chart


def ledger(book: Workbook, tables: Tables, cells: Cells) -> BarChart:
    """The power ledger as bars: where every watt goes."""
    sheet, table = book["Results"], tables["ledger"]
    chart = lying_bars(
        "Where every watt goes, W", column(sheet, 2, table), column(sheet, 3, table), TEAL, (0.45, 0.14, 0.47, 0.82)
    )
    chart.width, chart.height = 15.4, 8.4
    chart.y_axis.delete = True  # the numbers stand at the bars
    chart.series[0].dLbls = DataLabelList(
        showVal=True, showSerName=False, showCatName=False, showLegendKey=False, numFmt="0"
    )
    return chart
