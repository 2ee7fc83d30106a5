"""The template's charts: native, fed by cells, so that they follow every change.

A chart is a function (book, tables by key, cells by name) -> openpyxl chart, found by the name in a `Space`.
"""

from . import log, plant

CHARTS = {
    "nozzle_curve": plant.nozzle_curve, "torque_curve": plant.torque_curve, "ledger": plant.ledger,
    "log": log.log,
}
