"""The template's charts: native, fed by cells, so that they follow every change.

A chart is a function (book, tables by key, cells by name) -> openpyxl chart, found by the name in a `Space`.
"""

from . import doubt, log, plant, route, supply

CHARTS = {
    "nozzle_curve": plant.nozzle_curve,
    "torque_curve": plant.torque_curve,
    "ledger": plant.ledger,
    "supply_months": supply.supply_months,
    "flow_duration": supply.flow_duration,
    "energy_months": supply.energy_months,
    "charge_run": supply.charge_run,
    "route_lines": route.route_lines,
    "doubt_bars": doubt.bars,
    "doubt_nozzles": doubt.nozzles,
    "log": log.log,
}

__all__ = ["CHARTS"]
