"""The template's charts: native, fed by cells, so that they follow every change."""

from openpyxl.chart import BarChart, Reference, ScatterChart, Series
from openpyxl.chart.label import DataLabelList
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.shapes import GraphicalProperties

from .look import ASH, BRICK, BROWN, TEAL

WIDTH, HEIGHT = 24.5, 8  # cm


def _line(series, colour, dash="solid", width=22000):
    series.marker.symbol = "none"
    series.graphicalProperties.line.solidFill = colour
    series.graphicalProperties.line.dashStyle = dash
    series.graphicalProperties.line.width = width
    series.smooth = False
    return series


def _point(series, colour, symbol="diamond"):
    series.marker.symbol = symbol
    series.marker.size = 11
    series.marker.graphicalProperties = GraphicalProperties(solidFill=colour)
    series.graphicalProperties.line.noFill = True
    series.smooth = False
    return series


def _axes(chart, title, x, y):
    chart.title = title
    chart.style = 2
    chart.x_axis.title, chart.y_axis.title = x, y
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.x_axis.majorGridlines = None
    chart.y_axis.majorGridlines.spPr = GraphicalProperties(ln=None)
    chart.y_axis.majorGridlines.spPr.line.solidFill = "D5DAD9"
    chart.legend.position = "b"
    chart.width, chart.height = WIDTH, HEIGHT
    chart.layout = Layout(manualLayout=ManualLayout(layoutTarget="inner", xMode="edge", yMode="edge", x=0.08, y=0.13, w=0.83, h=0.63))


def _column(sheet, column, table):
    return Reference(sheet, min_col=column, min_row=table.first, max_row=table.last)


def _cell(sheet, address):
    return Reference(sheet, range_string=f"'{sheet.title}'!${address[0]}${address[1:]}")


def nozzle_curve(book, tables, cells):
    """Battery watts and flow against nozzle size; the best and the fitted one marked."""
    sheet, table = book["Nozzle"], tables["nozzle_curve"]
    chart = ScatterChart()
    chart.scatterStyle = "lineMarker"
    _axes(chart, "Battery watts and water against nozzle size", "nozzle, mm", "watts into the battery")
    size = _column(sheet, 2, table)
    chart.series.append(_line(Series(_column(sheet, 6, table), size, title="battery, W (left)"), TEAL))
    best = Series(_cell(sheet, cells["top_watts"]), _cell(sheet, cells["top_nozzle"]), title="most watts")
    chart.series.append(_point(best, BRICK))
    fitted = Series(_cell(book["Alternator and battery"], cells["battery_watts"]), _cell(sheet, cells["nozzle"]), title="nozzle fitted")
    chart.series.append(_point(fitted, BROWN, "circle"))
    flow = ScatterChart()
    flow.scatterStyle = "lineMarker"
    flow.series.append(_line(Series(_column(sheet, 3, table), size, title="flow, L/s (right)"), ASH, "dash"))
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


def torque_curve(book, tables, cells):
    """Torque of wheel and alternator against speed, crossing at the operating point."""
    sheet, table = book["Alternator and battery"], tables["torque_curve"]
    chart = ScatterChart()
    chart.scatterStyle = "lineMarker"
    _axes(chart, "Where torque of wheel and alternator meet", "speed, rpm", "torque, N·m")
    speed = _column(sheet, 2, table)
    chart.series.append(_line(Series(_column(sheet, 3, table), speed, title="wheel"), TEAL))
    chart.series.append(_line(Series(_column(sheet, 5, table), speed, title="alternator"), BROWN, "dash"))
    here = Series(_cell(sheet, cells["electrical_torque"]), _cell(sheet, cells["speed"]), title="it settles here")
    chart.series.append(_point(here, BRICK))
    chart.x_axis.number_format, chart.y_axis.number_format = "0", "0.0"
    chart.x_axis.scaling.min = chart.y_axis.scaling.min = 0
    return chart


def ledger(book, tables, cells):
    """The power ledger as bars: where every watt goes."""
    sheet, table = book["Results"], tables["ledger"]
    chart = BarChart()
    chart.type = "bar"
    chart.gapWidth = 40
    _axes(chart, "Where every watt goes", None, None)
    chart.width, chart.height = 15.4, 8.4
    chart.add_data(_column(sheet, 3, table))
    chart.set_categories(_column(sheet, 2, table))
    chart.series[0].graphicalProperties.solidFill = TEAL
    chart.series[0].dLbls = DataLabelList(showVal=True, showSerName=False, showCatName=False, showLegendKey=False, numFmt="0")
    chart.legend = None
    chart.x_axis.scaling.orientation = "maxMin"
    chart.y_axis.crosses = "max"
    chart.y_axis.number_format = "0"
    chart.layout = Layout(manualLayout=ManualLayout(layoutTarget="inner", xMode="edge", yMode="edge", x=0.42, y=0.14, w=0.5, h=0.76))
    return chart


CHARTS = {"nozzle_curve": nozzle_curve, "torque_curve": torque_curve, "ledger": ledger}
