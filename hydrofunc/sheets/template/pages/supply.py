"""Supply: how much water the year brings, and a tank to hold it."""

PAGE = None
CHECKS = ()
