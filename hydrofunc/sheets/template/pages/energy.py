"""Energy: loads, battery, ventilation, a year day by day."""

PAGE = None
CHECKS = ()
