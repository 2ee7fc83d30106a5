"""Declarations: loads, battery, ventilation."""
