"""Charts that can be read in black and white, that say so when there is nothing to draw, and that show what matters."""

import io
import re

import openpyxl
import pytest
from openpyxl.utils import column_index_from_string, get_column_letter

from hydrofunc.template.charts.drawing import OWN_COLUMN
from hydrofunc.template.model import Space, Table
from hydrofunc.template.pages import PLACED
from tests import books

BOOK = openpyxl.load_workbook(io.BytesIO(books.template()))
CHARTS = [(sheet, item) for sheet, items in PLACED.items() for _, item in items if isinstance(item, Space)]
TABLES = {item.key: item for items in PLACED.values() for _, item in items if isinstance(item, Table)}
PIXELS = 7  # of a column of width 1, at 96 to the inch, as narrow as programs make it
CM_OF_PIXEL, EMU_OF_CM = 2.54 / 96, 360000


def chart_of(sheet, item):
    """The chart as it stands in the file."""
    return next(
        chart
        for chart in BOOK[sheet]._charts
        if (chart.anchor._from.row + 1, get_column_letter(chart.anchor._from.col + 1)) == (item.top, item.column)
    )


def series_of(chart):
    return [series for part in chart._charts for series in part.series]


def look(series):
    """What is left of a series' look when its colour is gone."""
    shape = series.graphicalProperties
    symbol = series.marker.symbol if series.marker and series.marker.symbol != "none" else None
    if symbol:
        return "points", symbol
    if shape.pattFill:
        return "bars", shape.pattFill.prst
    if shape.solidFill:
        return "bars", "empty" if shape.solidFill.srgbClr == "FFFFFF" else "full"
    return "line", shape.line.dashStyle or shape.line.prstDash


@pytest.mark.parametrize(("sheet", "item"), CHARTS, ids=lambda value: getattr(value, "chart", ""))
def test_lines_bars_and_points_differ_by_more_than_their_colour(sheet, item):
    """By dash, by pattern, by shape: two colours print as two greys that nobody tells apart."""
    looks = [look(series) for series in series_of(chart_of(sheet, item))]
    assert looks and len(set(looks)) == len(looks)


def test_what_is_made_used_dumped_and_missing_has_four_patterns():
    item = next(item for _, item in CHARTS if item.chart == "energy_months")
    assert [look(series)[1] for series in series_of(chart_of("Energy", item))] == [
        "full",
        "wdUpDiag",
        "empty",
        "horz",
    ]


def test_the_pipe_is_a_full_line_the_rest_line_dotted_the_running_line_dashed():
    item = next(item for _, item in CHARTS if item.chart == "route_lines")
    assert [look(series)[1] for series in series_of(chart_of("Route", item))] == ["solid", "sysDot", "dash"]


def names(result):
    """{chart's table: name of its first series} of every chart that has a key."""
    return {
        key: result.value((table.sheet, f"{OWN_COLUMN}{table.top}"))
        for key, table in TABLES.items()
        if BOOK[table.sheet][f"{OWN_COLUMN}{table.top}"].value
    }


def test_a_chart_without_data_says_so_in_its_key(sheet):
    """Nobody gave a head: nothing behind it has a number. And no log has begun."""
    empty = names(sheet.run(static_pressure=None, level_difference=None))
    assert empty["log"] == names(sheet.run())["log"] == "no entry yet"
    for key in ("nozzle_curve", "torque_curve", "supply_months", "energy_months"):
        assert empty[key] == "nothing to draw yet: see Start", key


def test_a_chart_with_data_names_its_first_line_or_bars(sheet):
    assert {key: name for key, name in names(sheet.run()).items() if key != "log"} == {
        "nozzle_curve": "battery, W (left)",
        "torque_curve": "wheel",
        "supply_months": "energy, kWh",
        "flow_duration": "source",
        "energy_months": "made",
        "charge_run": "state of charge, %",
        "route_lines": "pipe on the ground",
        "hand": "by the guess",
    }


def test_the_name_in_the_key_is_that_cell():
    for sheet, item in CHARTS:
        first = series_of(chart_of(sheet, item))[0]
        if chart_of(sheet, item).legend:
            address = first.tx.strRef.f.split("!")[1].replace("$", "")
            assert BOOK[sheet][address].value.startswith("=IF("), item.chart


@pytest.mark.parametrize("resistance", [0.2, 1.0, 5.0])
def test_the_torque_chart_ends_at_half_as_much_again_as_the_wheel_has_at_rest(sheet, resistance):
    """Or a stiff alternator presses the wheel's line, and the crossing, down onto the axis."""
    table = TABLES["torque_curve"]
    result = sheet.run(terminal_resistance=resistance, terminal_inductance=0.0)
    rows = range(table.first, table.last + 1)
    wheel, whole, drawn = ([result.value((table.sheet, f"{letter}{row}")) for row in rows] for letter in "CEF")
    assert [value for value in whole if value > 1.5 * wheel[0]] or resistance == 5.0
    for value, shown in zip(whole, drawn):
        assert shown == value if value <= 1.5 * wheel[0] else str(shown) == "#N/A"
    alternator = series_of(chart_of(table.sheet, next(item for _, item in CHARTS if item.chart == "torque_curve")))[1]
    assert "$F$" in alternator.yVal.numRef.f


def test_an_empty_log_shows_the_line_that_readings_will_be_compared_with(sheet):
    """100 % of what is expected, over the first month."""
    top, result = TABLES["log"].first, sheet.run()
    assert [[result.value(("Log", f"{letter}{row}")) for letter in ("BB", "BC")] for row in (top, top + 1)] == [
        [0.0, 100.0],
        [30.0, 100.0],
    ]


@pytest.mark.parametrize(("sheet", "item"), CHARTS, ids=lambda value: getattr(value, "chart", ""))
def test_no_chart_is_wider_than_its_columns_or_lies_on_another(sheet, item):
    widths = BOOK[sheet].column_dimensions
    right = BOOK[sheet].print_area.split(":")[1].replace("$", "")
    end = column_index_from_string(re.match("[A-Z]+", right)[0]) + 1
    beside = [other.column for name, other in CHARTS if name == sheet and other.top == item.top]
    end = min([end, *(column_index_from_string(column) for column in beside if column > item.column)])
    columns = range(column_index_from_string(item.column), end)
    room = sum(widths[get_column_letter(column)].width for column in columns) * PIXELS * CM_OF_PIXEL
    assert chart_of(sheet, item).anchor.ext.width / EMU_OF_CM <= room + 0.01
