"""Charts of water and energy over the year."""

from openpyxl import Workbook
from openpyxl.chart import BarChart, LineChart, ScatterChart, Series
from openpyxl.chart.layout import Layout, ManualLayout

from ..look import ASH, BRICK, BROWN, TEAL
from .drawing import EMPTY, Cells, Tables, axes, bars, called, column, line, scatter

_HALF = 14.2  # cm


def _lower(left):
    """Room for the axis below, also where its labels stand aslant."""
    place = ManualLayout(layoutTarget="inner", xMode="edge", yMode="edge", x=left, y=0.13, w=0.96 - left, h=0.55)
    return Layout(manualLayout=place)


def _bars(chart, sheet, table, *groups):
    """Bars of a row side by side; each of `groups` is a column with its name, colour and pattern."""
    chart.type = "col"
    chart.gapWidth = 60
    for place, name, colour, pattern in groups:
        series = Series(column(sheet, place, table), title=name)
        chart.series.append(bars(series, colour, pattern))
    called(chart.series[0], groups[0][1], sheet, table)
    chart.set_categories(column(sheet, 2, table))
    chart.y_axis.scaling.min = 0


def supply_months(book: Workbook, tables: Tables, cells: Cells) -> BarChart:
    """Energy at the battery, month by month."""
    sheet, table = book["Supply"], tables["supply_months"]
    chart = BarChart()
    axes(chart, "Energy at the battery", None, "kWh in the month")
    _bars(chart, sheet, table, (9, "energy, kWh", TEAL, ""))
    chart.y_axis.number_format = "0"
    chart.width, chart.layout = _HALF, _lower(0.12)
    return chart


def flow_duration(book: Workbook, tables: Tables, cells: Cells) -> ScatterChart:
    """The flow-duration curve, and what the jet gets of it."""
    sheet, table = book["Supply"], tables["flow_duration"]
    chart = scatter("Flow duration", "share of the time with at least this flow, %", "L/s")
    share = column(sheet, 2, table)
    source = called(Series(column(sheet, 3, table), share), "source", sheet, table)
    chart.series.append(line(source, TEAL))
    chart.series.append(line(Series(column(sheet, 5, table), share, title="the jet gets"), BROWN, "dash"))
    chart.x_axis.number_format, chart.y_axis.number_format = "0", "0.0"
    chart.x_axis.scaling.min, chart.x_axis.scaling.max, chart.y_axis.scaling.min = 0, 100, 0
    chart.width, chart.layout = _HALF, _lower(0.12)
    return chart


def energy_months(book: Workbook, tables: Tables, cells: Cells) -> BarChart:
    """Made, used, dumped and missing energy, month by month."""
    sheet, table = book["Energy"], tables["energy_months"]
    chart = BarChart()
    axes(chart, "Energy made, used, dumped and missing", None, "kWh in the month")
    _bars(
        chart,
        sheet,
        table,
        (3, "made", TEAL, ""),
        (6, "used", BROWN, "wdUpDiag"),
        (7, "dumped", ASH, EMPTY),
        (8, "missing", BRICK, "horz"),
    )
    chart.y_axis.number_format = "0"
    chart.layout = _lower(0.08)
    return chart


def charge_run(book: Workbook, tables: Tables, cells: Cells) -> LineChart:
    """State of charge through the poorest month."""
    sheet, table = book["Energy"], tables["charge_run"]
    chart = LineChart()
    axes(chart, "State of charge", "day of the poorest month", "% at the end")
    state = called(Series(column(sheet, 5, table)), "state of charge, %", sheet, table)
    chart.series.append(line(state, TEAL))
    chart.set_categories(column(sheet, 2, table))
    chart.y_axis.number_format = "0"
    chart.y_axis.scaling.min, chart.y_axis.scaling.max = 0, 100
    chart.width, chart.layout = _HALF, _lower(0.12)
    return chart
