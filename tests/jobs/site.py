"""A site as somebody writes it into a list, and a table of results as it was written."""

import csv

SITE = {
    "site_name": "Invented Spring",
    "level_difference": 60,
    "known_flow": 1.2,
    "pipe_length": 400,
    "pipe_bore": 32.6,
    "nozzle": 7,
    "pitch_diameter": 180,
    "test_volts": 30,
    "test_speed": 1000,
    "terminal_resistance": 0.9,
    "pole_pairs": 7,
    "cable_length": 30,
    "cable_area": 6,
    "battery_volts": 26.5,
}


def rows_of(path):
    with open(path, encoding="utf-8-sig", newline="") as stream:
        return list(csv.DictReader(stream))


def by_name(rows):
    """The rows with heads that are names alone: "flow" for "flow [L/s]"."""
    return [{head.partition(" [")[0]: value for head, value in row.items()} for row in rows]
